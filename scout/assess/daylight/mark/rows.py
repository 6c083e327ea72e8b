"""The figures of a mark from its light through the day: at noon, in steps, enough from and until."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

import numpy as np

from scout.assess.answers import LuxPoint, MarkDaylight
from scout.assess.daylight.mark.day import Day, Point, Range, Side, Sides
from scout.calc.daylight.outside.sky import OVERCAST, sky_lux
from scout.calc.geometry import FloatArray
from scout.values import Said

FINE_S = 60.0
NIGHT_DEG = -6.0
Skies = tuple[tuple[FloatArray, FloatArray, FloatArray], ...]


def level_row(
    sides: Sides, day: Day | None, assumed: tuple[Said, ...], because: Said | None
) -> MarkDaylight:
    """The figures of a level plane."""
    side = sides.usual
    points: tuple[LuxPoint, ...] = ()
    overcast, clear = _overcast(sides, day), _clear(sides, day)
    if day is not None:
        points = tuple(
            LuxPoint(
                at,
                overcast.usual[k],
                clear.usual[k],
                None if side.lit is None else bool(side.lit[k]),
                overcast_range_lux=overcast.ranges[k],
                clear_range_lux=clear.ranges[k],
            )
            for k, at in enumerate(day.clocks)
        )
    return MarkDaylight(
        assumed=assumed,
        unknown=because,
        daylight_factor_pct=round(100.0 * side.factor, 4),
        daylight_factor_range_pct=sides.factor_range_pct,
        sky_component_pct=round(100.0 * side.sky, 4),
        overcast_lux_noon=overcast.noon,
        overcast_range_lux_noon=overcast.noon_range,
        clear_lux_noon=clear.noon,
        clear_range_lux_noon=clear.noon_range,
        series=points,
        range_from=sides.facts,
        range_because=sides.because,
    )


def towards_camera(row: MarkDaylight, normal: Point, sides: Sides, day: Day | None) -> MarkDaylight:
    """The row with the light on the side the camera sees beside the light on the level plane."""
    overcast, clear = _overcast(sides, day), _clear(sides, day)
    series = tuple(
        replace(
            level,
            camera_overcast_lux=overcast.usual[k],
            camera_clear_lux=clear.usual[k],
            camera_overcast_range_lux=overcast.ranges[k],
            camera_clear_range_lux=clear.ranges[k],
        )
        for k, level in enumerate(row.series)
    )
    x, y, z = (round(part, 6) for part in normal)
    return replace(
        row,
        series=series,
        camera_normal=(x, y, z),
        camera_factor_pct=round(100.0 * sides.usual.factor, 4),
        camera_factor_range_pct=sides.factor_range_pct,
        camera_overcast_lux_noon=overcast.noon,
        camera_overcast_range_lux_noon=overcast.noon_range,
        camera_clear_lux_noon=clear.noon,
        camera_clear_range_lux_noon=clear.noon_range,
        range_from=sides.facts,
        range_because=sides.because,
    )


@dataclass(frozen=True)
class _Through:
    """Lux at the steps of a day and at noon, each with its range."""

    usual: list[float | None]
    ranges: list[Range | None]
    noon: float | None
    noon_range: Range | None


def _overcast(sides: Sides, day: Day | None) -> _Through:
    half = 0.0 if sides.doubt is None else sides.doubt.overcast
    return _at_steps(sides, day, lambda side: side.overcast, np.array(half), np.array(half))


def _clear(sides: Sides, day: Day | None) -> _Through:
    nothing = np.array(0.0)
    down, up = sides.clear_doubt or (nothing, nothing)
    return _at_steps(sides, day, lambda side: side.clear, down, up)


def _at_steps(
    sides: Sides,
    day: Day | None,
    what: Callable[[Side], FloatArray | None],
    down: FloatArray,
    up: FloatArray,
) -> _Through:
    if day is None:
        return _Through([], [], None, None)
    height = day.at_steps.elevation_deg
    usual = _shown(what(sides.usual), height)
    ends: list[Range | None] = [None] * len(usual)
    if sides.doubt is not None:
        low, high = (what(side) for side in sides.ends)
        lows = _shown(None if low is None else low * np.exp(-down), height)
        highs = _shown(None if high is None else high * np.exp(up), height)
        ends = [
            None if a is None or b is None else (a, b) for a, b in zip(lows, highs, strict=True)
        ]
    if day.events.noon is None:
        return _Through(usual, ends, None, None)
    return _Through(usual, ends, usual[-1], ends[-1])


def _shown(lux: FloatArray | None, height: FloatArray) -> list[float | None]:
    """Lux to a tenth; none in twilight, where the formulas do not reach, and 0 by night."""
    if lux is None:
        return [None] * len(height)
    return [
        None if NIGHT_DEG <= high <= 0.0 else round(value, 1) if high > 0 else 0.0
        for value, high in zip(lux.tolist(), height.tolist(), strict=True)
    ]


def overcast_day(day: Day) -> Skies:
    """For each span of the date, minute by minute: instants, the sun's height, and what an overcast
    sky sends onto open ground.
    """
    found = []
    for start, end in day.events.spans:
        at = np.append(np.arange(start, end, FINE_S), end)
        height = day.sun(at).elevation_deg
        found.append((at, height, sky_lux(height, OVERCAST)))
    return tuple(found)


def with_enough(
    row: MarkDaylight, skies: Skies, day: Day | None, needed: float | None
) -> MarkDaylight:
    changes: dict[str, Any] = {}
    for plane, factor, ends in (
        ("", row.daylight_factor_pct, row.daylight_factor_range_pct),
        ("camera_", row.camera_factor_pct, row.camera_factor_range_pct),
    ):
        start, until = _enough(factor, skies, day, needed)
        changes[f"{plane}enough_from"], changes[f"{plane}enough_until"] = start, until
        if ends is None or day is None or needed is None:
            continue
        dim, bright = (_enough(end, skies, day, needed) for end in ends)
        changes[f"{plane}enough_from_range"] = (bright[0], dim[0])
        changes[f"{plane}enough_until_range"] = (dim[1], bright[1])
    return replace(row, **changes)


def _enough(
    factor_pct: float | None, skies: Skies, day: Day | None, needed: float | None
) -> tuple[datetime | None, datetime | None]:
    """First and last instant of the date at which an overcast sky brings what is needed; None where
    it never does, or that is not known.
    """
    if factor_pct is None or day is None or needed is None:
        return None, None
    enough: list[float] = []
    for at, height, open_lux in skies:
        over = factor_pct / 100.0 * open_lux - needed
        bright = over >= 0
        enough += at[bright].tolist()
        index = np.flatnonzero((bright[1:] != bright[:-1]) & (height[1:] > 0) & (height[:-1] > 0))
        enough += (
            at[index] + (at[index + 1] - at[index]) * over[index] / (over[index] - over[index + 1])
        ).tolist()
    return (day.clock(min(enough)), day.clock(max(enough))) if enough else (None, None)
