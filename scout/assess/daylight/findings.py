"""What daylight and sun come to for a setup: enough or not for the camera, and where direct sun
falls (`sun/findings.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, ClassVar

import numpy as np

from scout.assess.answers import (
    Act,
    Change,
    EventsAnswer,
    ExposureAnswer,
    Finding,
    Interval,
    PlanLight,
    ReadAnswer,
    RoomAssessment,
    WayAnswer,
    act,
)
from scout.assess.answers.finding import Topic
from scout.assess.daylight.judged import (
    MOST_ND_STOPS,
    judged_light,
)
from scout.assess.daylight.mark.marks import own_setting
from scout.assess.daylight.mark.readings import marks
from scout.assess.daylight.missing import measuring
from scout.assess.daylight.place.events import events, sun_answer
from scout.assess.daylight.room.reckoned import not_taken
from scout.assess.daylight.room.windows import sun_at, windows
from scout.assess.daylight.sun.findings import sun_findings
from scout.assess.setup import Setup
from scout.records.sheet import RoomRecord
from scout.values import (
    Figure,
    Lux,
    Many,
    Name,
    Said,
    Spell,
    Stops,
    Word,
    names,
    said,
)

__all__ = ["CAUTIONS", "events", "findings", "marks", "sun_at", "sun_position_at", "windows"]

sun_position_at = sun_answer
CAUTIONS = (said("sun.caution"),)
ODD_STOPS = 1.5  # a reading further off than that is asked about (common practice)
KIT_FACTS = ("kit.camera.iso", "kit.camera.f_number", "kit.camera.shutter_s")


@dataclass(frozen=True, kw_only=True)
class _Light(Finding):
    topic: ClassVar[Topic] = "light"


@dataclass(frozen=True, kw_only=True)
class Enough(_Light):
    """Daylight alone is what the camera needs, even under cloud.

    Why:    a crew that knows it leaves lamps in the van.
    Level:  good; care where it is for part of the scene's hours only, or not at the dark end of
            its range.
    Source: assess.daylight.judged; the camera's need by ISO 2720.
    """

    code = "light.enough"
    levels = ("good", "care")
    spell: Spell
    plane: Word
    at: datetime
    cloud: Stops
    sun: Stops | None
    setting: Said | None = None  # the kit's own exposure, for which it is judged


@dataclass(frozen=True, kw_only=True)
class ClearOnly(_Light):
    """An overcast sky brings too little, a clear one enough.

    Why:    whether lamps come along hangs on the weather of the day.
    Level:  care.
    Source: assess.daylight.judged.
    """

    code = "light.clear_only"
    levels = ("care",)
    short: Stops
    spell: Spell
    plane: Word
    at: datetime
    setting: Said | None = None


@dataclass(frozen=True, kw_only=True)
class Short(_Light):
    """Neither sky brings what the camera needs within the hours.

    Why:    it is found out on the day, when no light is there.
    Level:  problem.
    Source: assess.daylight.judged, by the side that the camera sees.
    """

    code = "light.short"
    levels = ("problem",)
    short: Stops
    sun: Stops | None
    plane: Word
    at: datetime
    needed: Lux
    setting: Said | None = None  # the kit's own exposure, for which that much is needed


@dataclass(frozen=True, kw_only=True)
class TooBright(_Light):
    """Daylight is so far over what the camera needs that it must be kept out of the lens.

    Why:    a face burns out at the stop and shutter that the scene is set to; lamps are useless.
    Level:  care from two stops, problem beyond ten, which no usual filter takes (common practice).
    Source: assess.daylight.judged, the brightest instant of the hours under either sky.
    """

    code = "light.too_bright"
    levels = ("care", "problem")
    over: Stops
    brightest: datetime
    plane: Word
    needed: Lux
    spell: Spell | None
    setting: Said | None = None


@dataclass(frozen=True, kw_only=True)
class Dark(_Light):
    """There is no daylight within the scene's hours.

    Why:    all the light has to be brought.
    Level:  care: who plans a night knows it.
    Source: assess.daylight.judged; twilight counts as none.
    """

    code = "light.dark"
    levels = ("care",)
    why: Said | None = None  # where it is the room and not the hour


@dataclass(frozen=True, kw_only=True)
class LightUnknown(_Light):
    """Whether daylight is enough cannot be told.

    Why:    something is not measured, and its bounds come to different levels.
    Level:  unknown.
    Source: assess.daylight.judged.
    """

    code = "light.unknown"
    levels = ("unknown",)
    why: Said


@dataclass(frozen=True, kw_only=True)
class ReadOdd(_Light):
    """A light reading that the room as it is recorded cannot give.

    Why:    every figure of daylight follows the reading; a slip of a digit or of the hour would, too.
    Level:  care: reading and record are further apart than both may err, and by a stop and a half.
    Source: assess.daylight.mark.readings; a stop and a half by common practice.
    """

    code = "light.read_odd"
    levels = ("care",)
    reading: Name
    off: Stops
    lux: Lux
    given: Lux


def findings(setup: Setup, found: RoomAssessment) -> tuple[Finding, ...]:
    """What daylight and sun come to for a setup."""
    odd = (_read_odd(row) for row in found.daylight.readings if _odd(row))
    return (*_light(setup, found), *odd, *sun_findings(setup, found))


def _odd(row: ReadAnswer) -> bool:
    if not row.believed_pct or abs(row.off_stops or 0.0) < ODD_STOPS:
        return False
    read, given = row.range_lux, row.predicted_range_lux
    return read is not None and given is not None and (read[0] > given[1] or read[1] < given[0])


def _read_odd(row: ReadAnswer) -> ReadOdd:
    return ReadOdd(
        level="care",
        rests_on=("room.readings",),
        acts=(_measure("room.readings"),),
        reading=Name(row.id),
        off=Figure(row.off_stops or 0.0, "stops"),
        lux=Figure(row.lux or 0.0, "lux"),
        given=Figure(row.predicted_lux or 0.0, "lux"),
    )


def _light(setup: Setup, found: RoomAssessment) -> Iterator[Finding]:
    light, sheet = found.daylight, setup.sheet
    judged = judged_light(light, setup)
    mark = light.marks.get("subject")
    if judged is None or (judged.kind == "unknown" and judged.overcast is None):
        why = light.unknown or (mark.unknown if mark is not None else None)
        yield LightUnknown(**measuring(why or said("light.noon_in_twilight")))
        return
    rests_on = (*_taken(sheet.room), *KIT_FACTS, "marks.subject")
    asked = () if judged.hangs_on is None else (_measure(judged.hangs_on),)
    if judged.hangs_on is not None:
        rests_on = (judged.hangs_on, *rests_on)
    needed, setting = Figure(judged.needed_lux or 0.0, "lux"), own_setting(sheet.kit)
    if judged.kind == "dark":
        yield Dark(level=judged.level, rests_on=rests_on, why=_dark_room(setup, found.events))
        return
    assert judged.overcast is not None
    assert judged.at is not None
    if judged.kind == "unknown":
        ends = judged.overcast.low, judged.overcast.high
        least, most = (Figure(end or 0.0, "stops") for end in ends)
        why = said("light.depends", least=least, most=most)
        yield LightUnknown(**measuring(why, _taken(sheet.room)))
    elif judged.kind == "enough":
        yield Enough(
            level=judged.level,
            rests_on=rests_on,
            acts=asked,
            spell=_whole(judged.enough),
            plane=judged.where,
            at=judged.at,
            cloud=judged.overcast,
            sun=judged.clear,
            setting=setting,
        )
    elif judged.kind in ("clear_only", "short"):
        short = _turned(judged.overcast)
        key = found.fit.plan.get("key")
        clamp = next((way for way in found.ways if way.way == "clamp"), None)
        acts = (*_more_light(short, needed.value, key, clamp), *asked)
        if judged.kind == "clear_only":
            yield ClearOnly(
                level=judged.level,
                rests_on=rests_on,
                acts=acts,
                short=short,
                spell=_whole(judged.enough_clear),
                plane=judged.where,
                at=judged.at,
                setting=setting,
            )
        else:
            yield Short(
                level=judged.level,
                rests_on=rests_on,
                acts=acts,
                short=short,
                sun=None if judged.clear is None else _turned(judged.clear),
                plane=judged.where,
                at=judged.at,
                needed=needed,
                setting=setting,
            )
    if judged.too_bright is not None and judged.most is not None and judged.brightest is not None:
        yield TooBright(
            level=judged.too_bright,
            rests_on=rests_on,
            acts=_darker(judged.most, found.fit.exposure, setup),
            over=judged.most,
            brightest=judged.brightest,
            plane=judged.where,
            needed=needed,
            spell=_whole(judged.enough) if judged.enough else None,
            setting=setting,
        )


def _dark_room(setup: Setup, events: EventsAnswer) -> Said | None:
    """Why no light comes in by day: no windows, or nothing but windows that are blacked out."""
    room = setup.sheet.room
    if not room.windows:
        return said("light.no_windows") if room.windows is not None else None
    day = (
        ()
        if events.sunrise is None or events.sunset is None
        else ((events.sunrise, events.sunset),)
    )
    if events.state != "polar_day" and not setup.cut(day):
        return None
    shut = [window.id for window in room.windows if window.covering == "blackout"]
    return said("light.all_shut", windows=names(shut)) if len(shut) == len(room.windows) else None


def _taken(room: RoomRecord) -> tuple[str, ...]:
    """What a usual value is taken for, glass first: it moves every figure by as much."""
    return tuple(sorted(not_taken(room), key=lambda path: not path.startswith("windows.")))


def _turned(stops: Figure) -> Figure:
    """Stops over as stops short."""
    low = None if stops.high is None else -stops.high
    return Figure(-stops.value, "stops", low, None if stops.low is None else -stops.low)


def _more_light(
    short: Figure, needed_lux: float, key: PlanLight | None, clamp: WayAnswer | None
) -> tuple[Act, ...]:
    """The kit's key wherever it stands, or else on a clamp, undimmed; then what is lacking with it
    on.
    """
    own: list[Act] = []
    if key is not None and key.light is not None:
        lux, code = None, "light.key"
        values: dict[str, Any] = {}
        if key.fits is not False or key.at_m is not None:  # out of its place it lights all the same
            lux = key.lux
        elif clamp is not None and clamp.possible and clamp.at_m is not None:
            lux, code = clamp.lux, "clamp.light"
            values = {"height": Figure(clamp.at_m[2], "m")}
        if lux:
            lit = _lit(short, needed_lux, lux)
            gain = Change("short", "stops", short.value, max(lit.value, 0.0))
            own = [act(code, light=Name(key.light), buys=gain, **values)]
            short = lit
    if short.value <= 0.0:
        return tuple(own)
    gain = Change("short", "stops", short.value, 0.0)
    return (*own, act("bring.light", buys=gain, short=short))


def _lit(short: Figure, needed_lux: float, lamp_lux: float) -> Figure:
    """How far the daylight is short with a lamp added to it; below 0 over."""

    def with_lamp(stops: float) -> float:
        return float(-np.log2(2.0**-stops + lamp_lux / needed_lux))

    ends = [None if end is None else with_lamp(end) for end in (short.low, short.high)]
    return Figure(with_lamp(short.value), "stops", *ends)


def _measure(fact: str) -> Act:
    """Measure the fact that the width mostly comes from: it buys certainty."""
    return act("measure", facts=Many((Word("fact", fact),)))


def _darker(over: Stops, start: ExposureAnswer | None, setup: Setup) -> tuple[Act, ...]:
    """The ISO to start from and the filter that it leaves to do; where no exposure is worked out, the
    filter of whole stops that leaves the face at what is needed or just over it.
    """
    hours = Spell(*setup.hours) if setup.hours is not None else None
    if start is None or start.iso is None or start.nd_stops is None:
        stops = min(float(np.floor(over.value)), MOST_ND_STOPS)
        gain = Change("over", "stops", over.value, over.value - stops)
        return (act("camera.nd", buys=gain, stops=Figure(stops, "stops"), iso=None, hours=hours),)
    iso, nd = Figure(start.iso, "iso"), start.nd
    if nd is None:
        return (act("camera.iso", buys=Change("over", "stops", over.value, 0.0), iso=iso),)
    left = max((nd.value if nd.high is None else nd.high) - MOST_ND_STOPS, 0.0)
    gain = Change("over", "stops", over.value, left)
    return (act("camera.nd", buys=gain, stops=nd, iso=iso, hours=hours),)


def _whole(spells: Sequence[Interval]) -> Spell:
    return Spell(spells[0][0], spells[-1][1])
