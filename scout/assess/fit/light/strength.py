"""How strong key and fill are at the face, and what a camera starts at."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

import numpy as np

from scout.assess.answers import (
    Act,
    Change,
    Finding,
    FitAnswer,
    PlanLight,
    RoomAssessment,
    act,
)
from scout.assess.daylight.judged import MOST_ND_STOPS
from scout.assess.daylight.mark.marks import own_setting
from scout.assess.daylight.mark.readings import marks_otherwise
from scout.assess.daylight.sun.findings import shut
from scout.assess.fit.levels import (
    SHORT_STOPS,
    Daylight,
    daylight_on_face,
    key_strength,
)
from scout.assess.fit.light.kinds import (
    FillWeak,
    KeyLost,
    KeyStrong,
    KeyTurnedAway,
    KeyUnknown,
    KeyWeak,
    StartingExposure,
    StrengthUnknown,
)
from scout.assess.setup import Setup
from scout.calc.fit.plan.search import RATIO_TOLERANCE_STOPS
from scout.records.kit import LUMENS_DOUBT_STOPS
from scout.values import (
    Figure,
    Many,
    Name,
    Said,
    Unit,
    Word,
    names,
    said,
)

PARTS = ("key", "fill", "back")
TAPE_M = 0.05  # a length that a tape and two people may miss by (common practice)
BRIGHT_STOPS = 1.0  # a background further over a grey card draws the eye (common practice)


def strength(setup: Setup, found: RoomAssessment) -> Iterator[Finding]:
    """What is found of the lights' strength at the face, and of the exposure."""
    yield from _exposure(setup, found.fit)
    kit = setup.sheet.kit
    dark = [one.id for one in (kit.lights or () if kit else ()) if one.known_lux_at_1m is None]
    if dark:
        lux_of = Many(tuple(said("fit.lux_of", light=Name(one)) for one in dark))
        yield StrengthUnknown(
            level="unknown",
            about=names(dark).items,
            acts=(act("measure", facts=lux_of),),
        )
    key = found.fit.plan.get("key")
    if key is not None and key.light is not None and key.light not in dark:
        day = daylight_on_face(setup, found.daylight)
        yield from _key(key, Name(key.light), found.fit, day, own_setting(kit))
    fill = found.fit.plan.get("fill")
    if fill is None or fill.light is None or fill.at_m is None or found.fit.ratio is None:
        return
    short, ratio = fill.short_stops or 0.0, found.fit.ratio
    if short > RATIO_TOLERANCE_STOPS:
        yield FillWeak(
            level="care",
            about=(Name(fill.light),),
            short=Figure(short, "stops"),
            ratio=Figure(ratio, "ratio"),
            acts=_stronger("fill", short, Change("ratio", "ratio", ratio * 2.0**short, ratio)),
        )


def _key(
    key: PlanLight, light: Name, answer: FitAnswer, day: Daylight | None, setting: Said | None
) -> Iterator[Finding]:
    strength = key_strength(key, answer.needed_lux, day)
    if strength is None:
        return
    level, about = strength.level, (light,)
    lux, stops = Figure(key.lux or 0.0, "lux"), abs(strength.stops or 0.0)
    most = None if day is None else Figure(day.most_lux, "lux")
    if strength.what == "turned_away":
        yield KeyTurnedAway(level=level, about=about)
    elif strength.what == "unknown" or (answer.needed_lux is None and strength.what != "lost"):
        because = (
            said("fit.beam_unknown", light=light) if key.lux is None else said("fit.no_exposure")
        )
        yield KeyUnknown(level="unknown", about=about, because=because)
    elif strength.what == "lost" and day is not None and most is not None:
        yield KeyLost(
            level=level,
            about=about,
            lux=lux,
            under=Figure(stops, "stops"),
            day=most,
            at=day.at,
            acts=_stronger("key", stops, Change("under", "stops", stops, 0.0)),
        )
    elif answer.needed_lux is not None:
        needed = Figure(answer.needed_lux, "lux")
        if strength.what == "weak":
            yield KeyWeak(
                level=level,
                about=about,
                lux=lux,
                needed=needed,
                setting=setting,
                short=Figure(stops, "stops"),
                day=most,
                acts=_stronger(
                    "key", stops, Change("lux", "lux", lux.value, lux.value * 2.0**stops)
                ),
            )
        else:
            yield KeyStrong(
                level=level,
                about=about,
                lux=lux,
                needed=needed,
                setting=setting,
                over=Figure(stops, "stops"),
                day=most,
            )


def once_shut(
    setup: Setup, found: RoomAssessment, findings: Iterable[Finding]
) -> tuple[Finding, ...]:
    """The findings with a key that is lost in daylight judged again where others have the sun shut
    out: a stronger one is what could be brought instead, and only where that is not enough, besides.
    """
    findings = tuple(findings)
    closing = {
        one.deed: one
        for finding in findings
        for one in finding.acts
        if one.code == "close.covering"
    }
    key = found.fit.plan.get("key")
    lost = next((one for one in findings if isinstance(one, KeyLost)), None)
    if lost is None or key is None or not closing:
        return findings
    windows = dict.fromkeys(name.text for one in closing for name in one["windows"])
    shaded = marks_otherwise(shut(setup.sheet, windows), setup.sheet, setup.on)
    day = daylight_on_face(setup, shaded)
    again = key_strength(key, found.fit.needed_lux, day)
    before = lost.under.value
    if again is not None and again.what in ("lost", "weak"):
        left = abs(again.stops or 0.0)
        judged = replace(lost, acts=_stronger("key", left, Change("under", "stops", left, 0.0)))
    else:
        gain = Change("under", "stops", before, 0.0)
        acts = tuple(replace(one, buys=gain) for one in closing)
        judged = replace(lost, acts=acts, instead=lost.acts)
    return tuple(judged if one is lost else one for one in findings)


def _exposure(setup: Setup, answer: FitAnswer) -> Iterator[Finding]:
    start = answer.exposure
    if (
        start is None
        or start.iso is None
        or start.f_number is None
        or start.shutter_s is None
        or start.lit_lux is None
    ):
        return
    camera = setup.sheet.kit.camera if setup.sheet.kit is not None else None
    own = camera.iso if camera is not None else None
    raised = float(np.log2(start.iso / own)) if own is not None else 0.0
    hard = raised > SHORT_STOPS or (start.nd_stops or 0.0) > MOST_ND_STOPS
    day = start.day_lux or None
    yield StartingExposure(
        level="care" if hard else "good",
        iso=Figure(start.iso, "iso"),
        f_number=Figure(start.f_number, "f"),
        shutter=Figure(start.shutter_s, "shutter_s"),
        nd=start.nd,
        white_balance=None
        if start.white_balance_k is None
        else _ranged(start.white_balance_k, start.white_balance_range_k, "K"),
        lux=_ranged(start.lit_lux, start.lit_range_lux, "lux"),
        day=None if day is None else _ranged(day, start.day_range_lux, "lux"),
        fill=None
        if start.key_over_fill_stops is None
        else Figure(start.key_over_fill_stops, "stops"),
        over_day=None
        if start.key_over_day_stops is None
        else _ranged(start.key_over_day_stops, start.key_over_day_range_stops, "stops"),
    )


def _ranged(value: float, ends: tuple[float, float] | None, unit: Unit) -> Figure:
    return Figure(value, unit) if ends is None else Figure(value, unit, *ends)


def _stronger(part: str, short: float, gain: Change) -> tuple[Act, ...]:
    """A light so much stronger: its lux, and so what it buys, follows from inverse square; none
    where the shortage is within the doubt of a lux.
    """
    if short <= LUMENS_DOUBT_STOPS:
        return ()
    return (
        act("bring.stronger", part=Word("part", part), short=Figure(short, "stops"), buys=gain),
    )
