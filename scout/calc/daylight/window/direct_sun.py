"""When direct sun comes through a window: spells to the second, and how a doubt in the bearing
moves their ends.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scout.calc.daylight.outside.skyline import skyline_deg
from scout.calc.daylight.sun.position import SUNRISE_DEG, sun_position
from scout.calc.daylight.sun.roots import refine_crossings, refine_peaks
from scout.calc.daylight.window.pane import Pane, Wings, lit_margin, lit_rectangle, turned_deg
from scout.calc.geometry import FloatArray, require

Span = tuple[float, float]
STEP_S = 60.0
DOUBT_STEPS = 5  # bearings tried between the reading and each end of its doubt


@dataclass(frozen=True)
class SpellRange:
    """Earliest and latest start and end of one spell, over the doubt of the bearing; may_fail: at
    some bearing it never comes.
    """

    start: Span
    end: Span
    may_fail: bool


@dataclass(frozen=True)
class DirectSun:
    """Spells of direct sun through one window [s since 1970-01-01T00:00Z]."""

    spells: tuple[Span, ...]
    ranges: tuple[SpellRange, ...]  # one for each spell
    elsewhere: tuple[
        Span, ...
    ]  # widest reach of spells that come only at another bearing within the doubt

    @property
    def total_s(self) -> float:
        return sum(end - start for start, end in self.spells)


def direct_sun(
    pane: Pane,
    facing_deg: float,
    spans: tuple[Span, ...],
    *,
    latitude_deg: float,
    longitude_deg: float,
    elevation_m: float = 0.0,
    doubt_deg: float = 0.0,
    skyline: ArrayLike | None = None,
    wings: Wings | None = None,
) -> DirectSun:
    """Spells in which the sun's centre lights any part of the clear glass seen from inside.

    pane, facing_deg: the glass, and the true bearing of its outward normal [deg]
    spans:            the date, as spans_of_date gives it
    doubt_deg:        of the bearing, 0 to 180 [deg]
    skyline:          (n, 2) true bearing and elevation [deg], or None for a level horizon
    wings:            the room's own walls in front of the window, or None
    Returns:          DirectSun; each end is a root of the lit condition, good to 0.02 s of the
        sun taken as a point
    Raises:           OutOfRange, naming the argument
    Source:           almanac horizon (-0.8333 degrees geometric) and the geometry of
        pane.lit_rectangle
    Limits:           the sun's centre; its edge comes up to 0.27 / cos h degrees of bearing
        sooner and later
    """
    require("facing_deg", facing_deg)
    require("doubt_deg", doubt_deg, least=0, most=180)
    if not spans:
        return DirectSun((), (), ())
    steps = np.arange(-DOUBT_STEPS, DOUBT_STEPS + 1) / DOUBT_STEPS if doubt_deg > 0 else np.zeros(1)
    facings = facing_deg + steps * doubt_deg

    def margin(at_s: FloatArray, facing: FloatArray) -> FloatArray:
        sun = sun_position(
            at_s, latitude_deg=latitude_deg, longitude_deg=longitude_deg, elevation_m=elevation_m
        )
        g = turned_deg(sun.azimuth_deg, facing)
        above = sun.geometric_elevation_deg - SUNRISE_DEG
        if skyline is not None:
            above = np.minimum(above, sun.elevation_deg - skyline_deg(skyline, sun.azimuth_deg))
        least = np.minimum(lit_margin(pane, g, sun.elevation_deg), above)
        if wings:
            open_to = np.broadcast_to(least > 0, least.shape)
            g_open, h_open = g[open_to], np.broadcast_to(sun.elevation_deg, g.shape)[open_to]
            dark = ~wings.lit(lit_rectangle(pane, g_open, h_open), g_open, h_open)
            least[open_to] = np.where(dark, -1e-9, least[open_to])
        return least

    at = np.arange(spans[0][0], spans[-1][1] + STEP_S, STEP_S)
    values = margin(at[None, :], facings[:, None])
    row, low, high = _brackets(margin, at, values, facings)
    roots = refine_crossings(lambda t: margin(t, facings[row][:, None]), low, high)
    per_facing = [
        _spells(values[k, 0] > 0, np.sort(roots[row == k]), at[-1], spans)
        for k in range(len(facings))
    ]
    middle = len(facings) // 2
    return _ranged(per_facing, middle)


def _brackets(
    margin: Callable[[FloatArray, FloatArray], FloatArray],
    at: FloatArray,
    values: FloatArray,
    facings: FloatArray,
) -> tuple[NDArray[np.intp], FloatArray, FloatArray]:
    """Facing, start and end of every step in which the margin changes sign, and of both halves of a
    step it dips through.
    """
    positive = values > 0
    row, index = np.nonzero(positive[:, 1:] != positive[:, :-1])
    low, high = at[index], at[index + 1]
    before, here, after = values[:, :-2], values[:, 1:-1], values[:, 2:]
    tops = (here >= before) & (here > after) & (here <= 0)
    bottoms = (here <= before) & (here < after) & (here > 0)
    t_row, t_index = np.nonzero(tops | bottoms)
    if not len(t_row):
        return row, low, high
    sign = np.where(tops[t_row, t_index], 1.0, -1.0)[:, None]

    def peaked(t: FloatArray) -> FloatArray:
        return np.asarray(sign * margin(t, facings[t_row][:, None]))

    start, end = at[t_index], at[t_index + 2]
    peak = refine_peaks(peaked, start, end)
    through = (peaked(peak[:, None]) > 0)[:, 0] if len(peak) else np.zeros(0, dtype=bool)
    return (
        np.concatenate([row, t_row[through], t_row[through]]),
        np.concatenate([low, start[through], peak[through]]),
        np.concatenate([high, peak[through], end[through]]),
    )


def _spells(
    lit_at_first: bool, roots: FloatArray, last: float, spans: tuple[Span, ...]
) -> list[Span]:
    edges = [*([spans[0][0]] if lit_at_first else []), *roots.tolist()]
    if len(edges) % 2:
        edges.append(last)
    found = []
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        for first, beyond in spans:
            begins, ends = max(start, first), min(end, beyond)
            if begins < ends:
                found.append((begins, ends))
    return found


def _ranged(per_facing: list[list[Span]], middle: int) -> DirectSun:
    """Follow each spell of the reading outward bearing by bearing, by overlap; what is never
    reached stands elsewhere.
    """
    taken: set[tuple[int, int]] = set()
    ranges = []
    for number, spell in enumerate(per_facing[middle]):
        taken.add((middle, number))
        reached, may_fail = [spell], False
        for step in (-1, 1):
            now = spell
            k = middle + step
            while 0 <= k < len(per_facing):
                overlaps = [
                    (min(s[1], now[1]) - max(s[0], now[0]), i) for i, s in enumerate(per_facing[k])
                ]
                best = max(overlaps, default=(-1.0, -1))
                if best[0] <= 0:
                    may_fail = True
                    break
                now = per_facing[k][best[1]]
                taken.add((k, best[1]))
                reached.append(now)
                k += step
        starts, ends = [s[0] for s in reached], [s[1] for s in reached]
        ranges.append(SpellRange((min(starts), max(starts)), (min(ends), max(ends)), may_fail))
    others = sorted(
        spell
        for k, spells in enumerate(per_facing)
        for i, spell in enumerate(spells)
        if (k, i) not in taken
    )
    elsewhere: list[Span] = []
    for start, end in others:
        if elsewhere and start <= elsewhere[-1][1]:
            elsewhere[-1] = (elsewhere[-1][0], max(end, elsewhere[-1][1]))
        else:
            elsewhere.append((start, end))
    return DirectSun(tuple(per_facing[middle]), tuple(ranges), tuple(elsewhere))
