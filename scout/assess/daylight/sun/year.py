"""Over time: a year's carpet of direct sun and enough light, and the blocks of steady light in a
range of dates.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scout.assess.daylight.mark.marks import needed_of
from scout.assess.daylight.mark.planes import Plane, Way, plane_at
from scout.assess.daylight.place.events import day_of
from scout.assess.daylight.room.windows import SHUT
from scout.calc.daylight.mark.clear_day import ClearTable
from scout.calc.daylight.outside.sky import OVERCAST, extraterrestrial_lux, sky_lux
from scout.calc.daylight.outside.skyline import skyline_deg
from scout.calc.daylight.place.local_date import (
    FIRST_YEAR,
    LAST_YEAR,
    local_time,
    out_of_years,
    spans_of_date,
)
from scout.calc.daylight.sun.position import SUNRISE_DEG, SunPosition, sun_position
from scout.calc.daylight.window.pane import lit_margin, lit_rectangle, turned_deg, wings_of
from scout.calc.geometry import FloatArray, require
from scout.errors import OutOfRange, Refused
from scout.records.sheet import RoomSheet
from scout.values import Said, said

Sky = Literal["overcast", "clear"]
MOST_DATES = 400
STEADY_STEP_S = 120.0


@dataclass(frozen=True)
class YearCarpet:
    """Day by time of day, as local clocks show it. Rows are dates, columns steps of the day; a time
    the clocks skip is dark and not `there`.

    sun_lux and the like are None where they could not be worked out; `unknown` then says why.
    """

    year: int
    mark: str
    step_min: int
    dates: tuple[date, ...]
    up: NDArray[np.bool_] | None = None  # (days, steps) the sun is above the level horizon
    there: NDArray[np.bool_] | None = None
    sun_on_mark: NDArray[np.bool_] | None = None  # direct sun reaches the mark, were the sky clear
    sun_in: Mapping[str, NDArray[np.bool_]] = field(
        default_factory=dict
    )  # by window: direct sun on any of its clear glass
    overcast_lux: FloatArray | None = None
    clear_lux: FloatArray | None = None
    needed_lux: float | None = None
    enough_overcast: NDArray[np.bool_] | None = None
    enough_clear: NDArray[np.bool_] | None = None
    assumed: tuple[Said, ...] = ()
    unknown: Said | None = None

    def hours(self, cells: NDArray[np.bool_]) -> float:
        """How many hours of the year the cells stand for."""
        return float(np.sum(cells)) * self.step_min / 60.0


def year_carpet(
    sheet: RoomSheet, year: int, *, mark: str = "subject", way: Way = "camera", step_min: int = 15
) -> YearCarpet:
    """Direct sun and light at a mark for every step of every day of a year, all windows in one
    pass.

    way: the plane the light is on: "camera" is the side the camera sees, "level" looks up
    step_min: 5 to 60, a divisor of 60
    Raises Refused for a year or a step out of reach.
    """
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise Refused("year", year, out_of_years())
    if step_min not in (5, 6, 10, 12, 15, 20, 30, 60):
        raise Refused("step_min", step_min, said("refusal.light.step_min"))
    dates = tuple(
        date(year, 1, 1) + timedelta(days=k)
        for k in range((date(year + 1, 1, 1) - date(year, 1, 1)).days)
    )
    plane = plane_at(sheet, date(year, 7, 1), mark, way)
    if isinstance(plane, Said):
        return YearCarpet(year, mark, step_min, dates, unknown=plane)
    at, there = _cells(dates, plane, step_min)
    sun = _sun(plane, at)
    needed, no_need = needed_of(sheet.kit)
    light = _light(
        plane,
        sun,
        np.array([extraterrestrial_lux(day) for day in dates])[:, None] + np.zeros_like(at),
        there,
    )
    shut = {window.id for window in sheet.room.windows or () if window.covering in SHUT}
    return YearCarpet(
        year,
        mark,
        step_min,
        dates,
        light.up,
        there,
        light.lit,
        _sun_in(plane, sun, light.up, shut),
        light.overcast,
        light.clear,
        needed,
        None if needed is None else light.overcast >= needed,
        None if needed is None else light.clear >= needed,
        tuple(dict.fromkeys((said("light.year"), said("light.skies"), *plane.assumed))),
        no_need,
    )


def _sun_in(
    plane: Plane, sun: SunPosition[FloatArray], up: NDArray[np.bool_], shut: Set[str]
) -> dict[str, NDArray[np.bool_]]:
    """By window, the cells in which direct sun falls on any clear glass that nothing shuts, past
    reveal, overhang, skyline and the room's own walls.
    """
    if plane.room is None:
        return {}
    light, found = plane.room.light, {}
    azimuth, height = sun.azimuth_deg[up], sun.elevation_deg[up]
    for glass in light.glazing:
        if glass.facing_deg is None or glass.id in shut:
            continue
        g = turned_deg(azimuth, glass.facing_deg)
        lit = lit_margin(glass.pane, g, height) > 0
        if glass.skyline is not None:
            lit &= height > skyline_deg(glass.skyline, azimuth)
        wings = wings_of(light.plan_m, glass.pane.wall, light.height_m)
        if wings and np.any(lit):
            lit[lit] = wings.lit(
                lit_rectangle(glass.pane, g[lit], height[lit]), g[lit], height[lit]
            )
        cells = np.zeros(up.shape, dtype=bool)
        cells[up] = lit
        found[glass.id] = cells
    return found


@dataclass(frozen=True)
class _Light:
    up: NDArray[np.bool_]
    lit: NDArray[np.bool_]
    overcast: FloatArray
    clear: FloatArray


def _light(
    plane: Plane, sun: SunPosition[FloatArray], outside_lux: FloatArray, there: NDArray[np.bool_]
) -> _Light:
    """Light on the plane wherever the sun is up; arrays of one shape."""
    up = (sun.geometric_elevation_deg > SUNRISE_DEG) & there
    shine = up & (sun.elevation_deg > 0)
    lit, clear = np.zeros(up.shape, dtype=bool), np.zeros(up.shape)
    azimuth, height = sun.azimuth_deg[shine], sun.elevation_deg[shine]
    if len(height):
        found = ClearTable(plane.spot, azimuth, height, ground_reflectance=plane.ground).lux(
            azimuth, height, outside_lux[shine]
        )
        lit[shine], clear[shine] = found.lit, found.lux
    open_lux = sky_lux(np.maximum(sun.elevation_deg, 0.0), OVERCAST)
    return _Light(up, lit, np.where(shine, plane.factor * open_lux, 0.0), clear)


def _sun(plane: Plane, at_s: FloatArray) -> SunPosition[FloatArray]:
    return sun_position(at_s, **plane.place.where)


def _cells(
    dates: Sequence[date], plane: Plane, step_min: int
) -> tuple[FloatArray, NDArray[np.bool_]]:
    """(days, steps) instants of the middles of the cells, and which of them exist: clocks going on
    skip some, going back show some twice (the first counts).
    """
    zone, steps = plane.place.zone, 24 * 60 // step_min
    into = (np.arange(steps) + 0.5) * step_min * 60.0
    start = np.array(
        [datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp() for day in dates]
    )
    edges = [*dates, dates[-1] + timedelta(days=1)]

    def offsets_s(hours: float) -> list[float]:
        moments = (
            datetime(day.year, day.month, day.day, tzinfo=UTC) + timedelta(hours=hours)
            for day in edges
        )
        return [
            (moment.astimezone(zone).utcoffset() or timedelta()).total_seconds()
            for moment in moments
        ]

    early, offsets, late = offsets_s(-15), offsets_s(0), offsets_s(13)
    at = (start - np.array(offsets[:-1]))[:, None] + into
    there = np.ones(at.shape, dtype=bool)
    for k in range(len(dates)):
        if early[k] == offsets[k] == early[k + 1] == offsets[k + 1] == late[k + 1]:
            continue  # one offset from before the date to after it, in any zone: the row stands
        for j, seconds in enumerate(into.tolist()):
            shown = datetime(dates[k].year, dates[k].month, dates[k].day, tzinfo=zone) + timedelta(
                seconds=seconds
            )
            at[k, j] = shown.astimezone(UTC).timestamp()
            there[k, j] = shown.astimezone(UTC).astimezone(zone).replace(
                tzinfo=None
            ) == shown.replace(tzinfo=None)
    return at, there


# -- steady blocks
# ----------------------------------------------------------------------------------------------------
@dataclass(frozen=True)
class SteadyBlock:
    """A stretch of one date in which the light at the mark changes by no more than so many stops."""

    on: date
    start: datetime
    end: datetime
    minutes: float
    change_stops: float
    least_lux: float
    most_lux: float
    in_direct_sun: bool
    enough: bool | None  # all along; None when the camera's need is not known


@dataclass(frozen=True)
class SteadyAnswer:
    """The best blocks under one sky, longest first, those with enough light before the others."""

    sky: Sky
    mark: str
    within_stops: float
    least_min: float
    blocks: tuple[SteadyBlock, ...] = ()
    without: tuple[date, ...] = ()  # dates that hold no such block
    needed_lux: float | None = None
    assumed: tuple[Said, ...] = ()
    unknown: Said | None = None


def steady_blocks(
    sheet: RoomSheet,
    dates: Sequence[date],
    *,
    least_min: float = 60.0,
    within_stops: float = 0.5,
    sky: Sky = "clear",
    mark: str = "subject",
    way: Way = "camera",
    most: int = 10,
) -> SteadyAnswer:
    """The longest blocks of steady light at a mark over some dates.

    least_min: a block lasts so long at least [min], 5 to 1440;  within_stops: brightest over
        dimmest instant, above 0 to 5
    sky:       "clear" (the sun moves and comes and goes) or "overcast"; clouds that pass the
        sun are beyond any planning
    most:      how many blocks are told, no two of them sharing an instant
    Raises Refused, naming what is out of reach.
    """
    _check(dates, least_min, within_stops)
    days = tuple(sorted(set(dates)))
    needed, no_need = needed_of(sheet.kit)
    plane = plane_at(sheet, days[0], mark, way)
    if isinstance(plane, Said):
        return SteadyAnswer(sky, mark, within_stops, least_min, needed_lux=needed, unknown=plane)
    found: list[SteadyBlock] = []
    without: list[date] = []
    spans = {
        day: events.spans
        for day in days
        if not isinstance(events := day_of(plane.place, day), Said)
    }
    at = [
        np.arange(start + STEADY_STEP_S / 2, end, STEADY_STEP_S)
        for day in spans
        for start, end in spans[day]
    ]
    owner = [day for day in spans for _ in spans[day]]
    if at:
        joined = np.concatenate(at)
        outside = np.concatenate(
            [
                np.full(len(part), extraterrestrial_lux(day))
                for part, day in zip(at, owner, strict=True)
            ]
        )
        light = _light(plane, _sun(plane, joined), outside, np.ones(len(joined), dtype=bool))
        lux = light.clear if sky == "clear" else light.overcast
        cuts = np.cumsum([len(part) for part in at])[:-1]
        for day, times, values, lit in zip(
            owner, at, np.split(lux, cuts), np.split(light.lit, cuts), strict=True
        ):
            blocks = _longest(times, values, least_min * 60.0, within_stops)
            found += [
                _block(plane, day, times, values, lit & (sky == "clear"), needed, first, last)
                for first, last in blocks
            ]
    for day in days:
        if not any(block.on == day for block in found):
            without.append(day)
    found.sort(key=lambda block: (block.enough is False, -block.minutes, block.start))
    return SteadyAnswer(
        sky,
        mark,
        within_stops,
        least_min,
        tuple(found[:most]),
        tuple(without),
        needed,
        tuple(dict.fromkeys((said("light.steady"), *plane.assumed))),
        no_need,
    )


def _check(dates: Sequence[date], least_min: float, within_stops: float) -> None:
    if not dates:
        raise Refused("dates", None, said("refusal.light.one_date"))
    if len(set(dates)) > MOST_DATES:
        raise Refused("dates", len(set(dates)), said("refusal.light.dates", most=MOST_DATES))
    try:
        require("least_min", least_min, least=5, most=1440)
        require("within_stops", within_stops, above=0, most=5)
        for day in (min(dates), max(dates)):
            spans_of_date(day, UTC)
    except OutOfRange as refusal:
        raise Refused(refusal.path, refusal.given, refusal.because) from None


def _longest(
    at: FloatArray, lux: FloatArray, least_s: float, within_stops: float
) -> list[tuple[int, int]]:
    """The longest runs of samples, none sharing one, whose brightest is within so many stops of the
    dimmest; dark samples end a run.
    """
    ends = _reach(lux, within_stops)
    length = np.where(lux > 0, ends - np.arange(len(lux)), 0)
    taken = np.zeros(len(lux), dtype=bool)
    found: list[tuple[int, int]] = []
    for first in np.argsort(-length, kind="stable"):
        last = int(first + length[first])
        if length[first] * STEADY_STEP_S < least_s:
            break
        if not taken[first:last].any():
            taken[first:last] = True
            found.append((int(first), last))
    return found


def _reach(lux: FloatArray, within_stops: float) -> NDArray[np.intp]:
    """(n,) for each sample the end (not included) of the longest run from it that stays within so
    many stops.
    """
    values = np.where(lux > 0, np.log2(np.maximum(lux, 1e-9)), np.nan).tolist()
    ends = np.zeros(len(values), dtype=np.intp)
    highest: list[int] = []  # indices with falling values: the first is the run's brightest
    lowest: list[int] = []
    end = 0
    for first, value in enumerate(values):
        if end < first:
            end, highest, lowest = first, [], []
        while end < len(values) and values[end] == values[end]:
            new = values[end]
            top = max(new, values[highest[0]]) if highest else new
            bottom = min(new, values[lowest[0]]) if lowest else new
            if top - bottom > within_stops:
                break
            while highest and values[highest[-1]] <= new:
                highest.pop()
            while lowest and values[lowest[-1]] >= new:
                lowest.pop()
            highest.append(end)
            lowest.append(end)
            end += 1
        ends[first] = end if value == value else first
        if highest and highest[0] == first:
            highest.pop(0)
        if lowest and lowest[0] == first:
            lowest.pop(0)
    return ends


def _block(
    plane: Plane,
    day: date,
    at: FloatArray,
    lux: FloatArray,
    lit: NDArray[np.bool_],
    needed: float | None,
    first: int,
    last: int,
) -> SteadyBlock:
    inside = lux[first:last]
    start, end = float(at[first]) - STEADY_STEP_S / 2, float(at[last - 1]) + STEADY_STEP_S / 2
    least, most = float(inside.min()), float(inside.max())
    return SteadyBlock(
        day,
        local_time(start, plane.place.zone),
        local_time(end, plane.place.zone),
        round((end - start) / 60.0, 1),
        round(float(np.log2(most / least)), 3),
        round(least, 1),
        round(most, 1),
        bool(lit[first:last].any()),
        None if needed is None else least >= needed,
    )
