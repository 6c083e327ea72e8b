"""What the sun does on a local date: rises, sets, twilights, noon, low sun; right where it never
rises and where it never sets.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, tzinfo
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scout.calc.daylight.place.local_date import spans_of_date
from scout.calc.daylight.sun.almanac import sun_guesses
from scout.calc.daylight.sun.position import SUNRISE_DEG, horizontal_vector
from scout.calc.daylight.sun.roots import Rows, refine_crossings, spells, turning_points
from scout.calc.geometry import FloatArray, require

CIVIL_DEG = -6.0
LOW_SUN_DEG = (-4.0, 6.0)  # common practice; no standard defines the "golden hour"
BLUE_DEG = (-6.0, -4.0)  # common practice as well
STEP_S = 900.0
GUESS_S = 90.0  # astral is that good away from the poles; where it is not, the steps find it
GRAZING_DEG_PER_H = 2.0
GRAZING_DEG = 0.1

Event = Literal["dawn", "sunrise", "sunset", "dusk"]
State = Literal["normal", "polar_day", "polar_night"]
Span = tuple[float, float]
NAMED: tuple[tuple[float, Event, Event], ...] = (
    (CIVIL_DEG, "dawn", "dusk"),
    (SUNRISE_DEG, "sunrise", "sunset"),
)


@dataclass(frozen=True)
class DayEvents:
    """The sun's day as instants [s since 1970-01-01T00:00Z]; what does not happen on the date is
    None or an empty tuple.
    """

    spans: tuple[Span, ...]  # the local date itself; none when the zone skipped it
    state: State | None  # None when the date does not exist
    crossings: tuple[tuple[float, Event], ...]  # all, in order
    noon: float | None  # upper transit of the meridian
    low_sun: tuple[Span, ...]
    blue_hours: tuple[Span, ...]
    day_length_s: float
    highest_deg: float | None  # geometric elevation of the centre
    lowest_deg: float | None
    grazes: bool

    def first(self, event: Event) -> float | None:
        """The first of its kind on the date, or None."""
        return next((at for at, kind in self.crossings if kind == event), None)


@lru_cache(maxsize=256)
def day_events(
    on: date, zone: tzinfo, *, latitude_deg: float, longitude_deg: float, elevation_m: float = 0.0
) -> DayEvents:
    """Everything the sun does between local midnight and local midnight, as instants.

    on, zone:   a date as the clocks of the zone show it, years 1000 to 3000
    elevation_m: moves the parallax alone; the horizon is the sea's, level
    Returns:    DayEvents, held for the same place and date
    Raises:     OutOfRange, naming the argument
    Source:     sunrise and sunset at -0.8333 degrees geometric, civil twilight at -6 (almanac
        convention); first guesses by astral, own root finding
                on sampled elevation, tops and bottoms included, so that two crossings in one step
                are both found
    Limits:     a real horizon and real air move sunrise by a minute or two, near the poles by many
    """
    require("latitude_deg", latitude_deg, least=-90, most=90)
    require("longitude_deg", longitude_deg, least=-180, most=180)
    spans = spans_of_date(on, zone)
    if not spans:
        return DayEvents((), None, (), None, (), (), 0.0, None, None, grazes=False)

    def elevation(at_s: FloatArray) -> FloatArray:
        up, west, north = horizontal_vector(at_s.ravel(), latitude_deg, longitude_deg, elevation_m)
        return np.degrees(np.arctan2(up, np.hypot(west, north))).reshape(at_s.shape)

    at = np.arange(spans[0][0] - 2 * STEP_S, spans[-1][1] + 3 * STEP_S, STEP_S)
    turns = turning_points(elevation, at, elevation(at))
    levels = {SUNRISE_DEG, *LOW_SUN_DEG, *BLUE_DEG}
    guesses = sun_guesses(on, levels, latitude_deg=latitude_deg, longitude_deg=longitude_deg)
    near = np.concatenate([guesses - GUESS_S, guesses + GUESS_S])
    near = near[(near > at[0]) & (near < at[-1])]
    at = np.unique(np.concatenate([at, turns, near]))
    height = elevation(at)
    found: list[tuple[float, Event]] = []
    for level, rise, fall in NAMED:
        times, rising = _crossings(elevation, at, height, level)
        found += [
            (float(t), rise if up else fall)
            for t, up in zip(times, rising, strict=True)
            if _in(float(t), spans)
        ]
    found.sort()
    edges = np.array(spans).ravel()

    def between(low: float, high: float) -> list[Span]:
        """The spells of the date in which the sun stands between two elevations."""
        cuts = [edges, *(_crossings(elevation, at, height, level)[0] for level in (low, high))]

        def so(t: FloatArray) -> NDArray[np.bool_]:
            h = elevation(t)
            return np.asarray((h > low) & (h < high)) & _within(t, spans)

        return spells(_clipped(cuts, spans), so)

    up_spells = between(SUNRISE_DEG, 90.1)
    inside = _within(at, spans)
    extremes = np.concatenate([height[inside], elevation(edges)])
    rises = [t for t, kind in found if kind in ("sunrise", "sunset")]
    state: State = "normal" if rises else ("polar_day" if up_spells else "polar_night")
    return DayEvents(
        spans,
        state,
        tuple(found),
        _noon(at, spans, latitude_deg, longitude_deg),
        tuple(between(*LOW_SUN_DEG)),
        tuple(between(*BLUE_DEG)),
        sum(end - start for start, end in up_spells),
        float(np.max(extremes)),
        float(np.min(extremes)),
        _grazes(elevation, np.array(rises), turns[_within(turns, spans)]),
    )


def _crossings(
    f: Rows, at: FloatArray, height: FloatArray, level: float
) -> tuple[FloatArray, NDArray[np.bool_]]:
    above = height > level
    index = np.flatnonzero(above[1:] != above[:-1])
    return refine_crossings(lambda t: f(t) - level, at[index], at[index + 1]), above[index + 1]


def _noon(
    at: FloatArray, spans: tuple[Span, ...], latitude_deg: float, longitude_deg: float
) -> float | None:
    def hour_angle(at_s: FloatArray) -> FloatArray:
        up, west, north = horizontal_vector(at_s.ravel(), latitude_deg, longitude_deg)
        phi = np.radians(latitude_deg)
        return np.asarray(np.arctan2(west, up * np.cos(phi) - north * np.sin(phi))).reshape(
            at_s.shape
        )

    angle = hour_angle(at)
    index = np.flatnonzero((angle[:-1] <= 0) & (angle[1:] > 0) & (angle[1:] - angle[:-1] < np.pi))
    transits = refine_crossings(hour_angle, at[index], at[index + 1])
    return next((float(t) for t in transits if _in(float(t), spans)), None)


def _grazes(f: Rows, crossings: FloatArray, turns: FloatArray) -> bool:
    """Whether refraction decides: the sun crosses the horizon slower than 2 degrees an hour or
    turns within 0.1 degrees of it.
    """
    rate = np.abs(f(crossings + 30.0) - f(crossings - 30.0)) * 60.0
    near = np.abs(f(turns) - SUNRISE_DEG)
    return bool(np.any(rate < GRAZING_DEG_PER_H) or np.any(near < GRAZING_DEG))


def _in(at: float, spans: tuple[Span, ...]) -> bool:
    return any(start <= at < end for start, end in spans)


def _within(at: FloatArray, spans: tuple[Span, ...]) -> NDArray[np.bool_]:
    return np.asarray(np.any([(at >= start) & (at < end) for start, end in spans], axis=0))


def _clipped(cuts: list[FloatArray], spans: tuple[Span, ...]) -> FloatArray:
    joined = np.concatenate(cuts)
    return joined[(joined >= spans[0][0]) & (joined <= spans[-1][1])]
