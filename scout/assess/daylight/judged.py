"""Whether daylight is enough for the camera, decided once: for findings, needs, pages and paper.

A face is exposed by the light on the side that the camera sees; the level plane stands in where
that is not known. What nobody measured is worked out at both ends: if both come to the same, so it
is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import pairwise
from math import hypot, log2
from typing import Literal

from scout.assess.answers import (
    DaylightAnswer,
    Interval,
    Level,
    LuxPoint,
    MarkDaylight,
    RangeFact,
    worst_level,
)
from scout.assess.setup import Setup
from scout.values import Figure, Word

Kind = Literal["enough", "too_bright", "clear_only", "short", "dark", "unknown"]
Variant = Literal["usual", "low", "high"]
Lux = tuple[datetime, float | None]
TOO_BRIGHT_STOPS = 2.0  # a camera comes down by so much without a filter (common practice)
MOST_ND_STOPS = 10.0  # the strongest filter that is carried as a rule (common practice)


@dataclass(frozen=True)
class JudgedLight:
    """The light at the subject within the setup's hours, by the plane that it is judged by.

    kind:         what it comes to; `level` is the level of that
    at:           the instant that the stops are for: the brightest under cloud of a whole day, the
                  dimmest of a scene's hours
    overcast, clear: stops over what the camera needs at that instant, below 0 short
    enough, enough_clear: spells within the hours in which either sky brings what is needed
    hangs_on:     the fact that most of the width comes from, where both its ends do not come to the same
    most, brightest: stops over at the brightest instant of the hours, under either sky, and when
    """

    kind: Kind
    level: Level
    side: bool
    needed_lux: float | None
    overcast_lux_noon: float | None
    clear_lux_noon: float | None
    enough_from: datetime | None  # of the whole date, under an overcast sky
    enough_until: datetime | None
    at: datetime | None = None
    overcast: Figure | None = None
    clear: Figure | None = None
    enough: tuple[Interval, ...] = ()
    enough_clear: tuple[Interval, ...] = ()
    hangs_on: str | None = None
    most: Figure | None = None
    brightest: datetime | None = None

    @property
    def where(self) -> Word:
        """The plane: on the side the camera sees, or level."""
        return Word("plane", "camera" if self.side else "level")

    @property
    def too_bright(self) -> Level | None:
        """The level of what the camera must keep out; None where it need not."""
        if self.most is None or self.most.value < TOO_BRIGHT_STOPS:
            return None
        return "care" if self.most.value <= MOST_ND_STOPS else "problem"


def judged_light(light: DaylightAnswer, setup: Setup | None = None) -> JudgedLight | None:
    """The light at the subject, judged for a setup's hours (the whole date without one); None
    without a subject.
    """
    mark = light.marks.get("subject")
    if mark is None:
        return None
    side = mark.camera_overcast_lux_noon is not None
    noon = (
        (mark.camera_overcast_lux_noon, mark.camera_clear_lux_noon)
        if side
        else (mark.overcast_lux_noon, mark.clear_lux_noon)
    )
    day = (
        (mark.camera_enough_from, mark.camera_enough_until)
        if side
        else (mark.enough_from, mark.enough_until)
    )
    unknown = JudgedLight("unknown", "unknown", side, light.needed_lux, *noon, *day)
    nothing = mark.daylight_factor_pct is None and mark.overcast_lux_noon is None
    if light.needed_lux is None or nothing or not mark.series:
        return unknown
    judged = [_judged(unknown, mark, light.needed_lux, setup, which) for which in _variants(mark)]
    usual = judged[0]
    kind: Kind = usual.kind
    # too much is enough: what must be kept out is a matter of its own
    hangs = len({"enough" if one.kind == "too_bright" else one.kind for one in judged}) > 1
    if not hangs:
        level = worst_level(one.level for one in judged if one.kind == kind)
    elif _mostly_unmeasured(mark.range_from):
        kind, level = "unknown", "unknown"
    else:  # the doubt of what is recorded: what is likeliest, with care
        level = usual.level if usual.level == "problem" else "care"
    return replace(
        usual,
        kind=kind,
        level=level,
        hangs_on=next((fact.fact for fact in mark.range_from), None) if hangs else None,
        overcast=_ranged([variant.overcast for variant in judged]),
        clear=_ranged([variant.clear for variant in judged]),
        most=_ranged([variant.most for variant in judged]),
    )


def _mostly_unmeasured(range_from: Sequence[RangeFact]) -> bool:
    """Whether what nobody measured widens a range more than the doubt of what is recorded does:
    bounds add up, doubts as squares.
    """
    width = {fact: max(fact.overcast_pct, fact.clear_pct or 0.0) for fact in range_from}
    bounds = sum(width[fact] for fact in range_from if not fact.recorded)
    return bounds > hypot(*(width[fact] for fact in range_from if fact.recorded))


def _variants(mark: MarkDaylight) -> tuple[Variant, ...]:
    return ("usual",) if mark.daylight_factor_range_pct is None else ("usual", "low", "high")


def _judged(
    blank: JudgedLight, mark: MarkDaylight, needed: float, setup: Setup | None, which: Variant
) -> JudgedLight:
    """One end of what is not measured, or the usual in between."""
    overcast, clear = (
        _within(setup, [(point.at, _lux(point, sky, blank.side, which)) for point in mark.series])
        for sky in ("overcast", "clear")
    )
    lit = [(at, lux) for at, lux in overcast if lux]
    enough, enough_clear = _spells(overcast, needed), _spells(clear, needed)
    if which == "usual" and blank.enough_from is not None and blank.enough_until is not None:
        published = ((blank.enough_from, blank.enough_until),)  # to the minute
        enough = published if setup is None else setup.cut(published)
    if not lit:
        return replace(blank, kind="dark", level="care")
    hours = None if setup is None else setup.hours
    at, lux = (max if hours is None else min)(lit, key=lambda point: point[1])
    under_clear = dict(clear).get(at)
    if hours is None and which == "usual":
        lux, under_clear = blank.overcast_lux_noon or lux, blank.clear_lux_noon or under_clear
    shown = [(at, value) for at, value in (*overcast, *clear) if value]
    brightest, most = max(shown, key=lambda point: point[1])
    stops = log2(lux / needed)
    kind, level = _kind(stops, enough, enough_clear, hours)
    if kind == "too_bright" and log2(most / needed) > MOST_ND_STOPS:
        level = "problem"
    return replace(
        blank,
        kind=kind,
        level=level,
        at=at,
        overcast=Figure(stops, "stops"),
        clear=Figure(log2(under_clear / needed), "stops") if under_clear else None,
        enough=enough,
        enough_clear=enough_clear,
        most=Figure(log2(most / needed), "stops"),
        brightest=brightest,
    )


def _kind(
    stops: float,
    enough: Sequence[Interval],
    enough_clear: Sequence[Interval],
    hours: Interval | None,
) -> tuple[Kind, Level]:
    """What an overcast and a clear sky come to, and its level."""
    if stops >= TOO_BRIGHT_STOPS:
        return "too_bright", "care"
    if enough:
        whole = hours is None or (enough[0][0] <= hours[0] and hours[1] <= enough[-1][1])
        return "enough", "good" if whole and len(enough) == 1 else "care"
    return ("clear_only", "care") if enough_clear else ("short", "problem")


def _ranged(figures: Sequence[Figure | None]) -> Figure | None:
    """The usual figure with both ends."""
    usual = figures[0]
    values = [figure.value for figure in figures if figure is not None]
    if usual is None or len(values) == 1:
        return usual
    return Figure(usual.value, usual.unit, min(values), max(values))


def _lux(point: LuxPoint, sky: str, side: bool, which: Variant) -> float | None:
    name = f"camera_{sky}" if side else sky
    if which == "usual":
        value: float | None = getattr(point, f"{name}_lux")
        return value
    ends: tuple[float, float] | None = getattr(point, f"{name}_range_lux")
    return None if ends is None else ends[0 if which == "low" else 1]


def _within(setup: Setup | None, series: list[Lux]) -> list[Lux]:
    """The series within the setup's hours, with both their ends."""
    if setup is None or setup.hours is None:
        return series
    inside = [(at, lux) for at, lux in series if setup.within(at)]
    for end in setup.hours:
        if end not in dict(inside):
            inside.append((end, _at(series, end)))
    return sorted(inside, key=lambda point: point[0])


def _at(series: Sequence[Lux], at: datetime) -> float | None:
    for (before, low), (after, high) in pairwise(series):
        if before <= at <= after and low is not None and high is not None:
            return low + (high - low) * ((at - before) / (after - before))
    return None


def _spells(series: Sequence[Lux], needed: float) -> tuple[Interval, ...]:
    """The spells in which a series is at what is needed or over it, ends drawn straight between its
    points.
    """
    spells: list[Interval] = []
    for (before, low), (after, high) in pairwise(series):
        if low is None or high is None or max(low, high) < needed:
            continue
        cross = None if low == high else before + (after - before) * ((needed - low) / (high - low))
        start = before if low >= needed or cross is None else cross
        end = after if high >= needed or cross is None else cross
        if spells and spells[-1][1] == start:
            spells[-1] = (spells[-1][0], end)
        elif end > start:
            spells.append((start, end))
    return tuple(spells)
