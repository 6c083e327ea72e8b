"""First guesses of the sun's instants, and the moon, by astral; what is said of the sun is what our
own solver makes of the guesses.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, timedelta
from functools import lru_cache

import numpy as np
from astral import Observer, SunDirection
from astral.moon import moon_position
from astral.sun import sun_declination, sun_rt_ascension, time_at_elevation
from scipy.interpolate import CubicSpline

from scout.calc.daylight.sun.roots import refine_crossings
from scout.calc.geometry import FloatArray, require

J2000_S = 946_728_000.0  # 2000-01-01T12:00Z
DAY_S = 86_400.0
NODE_S = 10_800.0  # between them a cubic is good to a millisecond of rising
AU_EARTH_RADII = 23_455.0
MOON_RADIUS = 0.2725  # of the Earth's
HORIZON_DEG = 34.0 / 60.0  # refraction at the horizon, as almanacs take it


def sun_guesses(
    on: date, levels_deg: Iterable[float], *, latitude_deg: float, longitude_deg: float
) -> FloatArray:
    """Instants [s since 1970] near which astral has the sun at some elevations, from the day before
    to the day after; none where it says that the sun does not get there.

    Limits: astral shifts some events by a day near the date line, answers with errors in polar
            light, and takes no latitude beyond 89.8: a guess is to be checked, and a missing one
            proves nothing
    """
    observer = Observer(latitude_deg, longitude_deg)
    guesses = []
    for day in (on - timedelta(days=1), on, on + timedelta(days=1)):
        for level in levels_deg:
            for way in (SunDirection.RISING, SunDirection.SETTING):
                try:
                    at = time_at_elevation(
                        observer, level, day, way, tzinfo=UTC, with_refraction=False
                    )
                except (ValueError, OverflowError):
                    continue
                guesses.append(at.timestamp())
    return np.array(sorted(guesses))


@dataclass(frozen=True)
class MoonDay:
    """The moon over one local date [s since 1970]."""

    rise: float | None
    set: float | None
    lit_share: float  # of its disc, at the middle of the date


@lru_cache(maxsize=64)  # the rooms of a place ask for the same
def moon_day(
    spans: tuple[tuple[float, float], ...], *, latitude_deg: float, longitude_deg: float
) -> MoonDay:
    """When the moon's upper rim rises and sets within a local date, and how much of it is lit.

    spans:   the date as instants, one at least
    Returns: MoonDay; the first rise and set of the date, None where it holds none
    Source:  places by astral (Van Flandern and Pulkkinen 1979); the rim on a level sea horizon with
             34' of refraction, parallax of the place; the lit share after Meeus, Astronomical
             Algorithms, chapter 48
    Limits:  two minutes at middle latitudes, 1 % of the disc
    """
    require("latitude_deg", latitude_deg, least=-90, most=90)
    require("longitude_deg", longitude_deg, least=-180, most=180)
    first, last = spans[0][0], spans[-1][1]
    nodes = np.arange(first - NODE_S, last + 2 * NODE_S, NODE_S)
    path = CubicSpline(nodes, np.array([_moon(at) for at in nodes.tolist()]))
    phi = np.radians(latitude_deg)

    def over_horizon(at_s: FloatArray) -> FloatArray:
        x, y, z = np.moveaxis(path(at_s), -1, 0)
        distance = np.sqrt(x**2 + y**2 + z**2)
        turned = np.radians(longitude_deg + _sidereal_deg(at_s)) - np.arctan2(y, x)
        sine = (z * np.sin(phi) + np.hypot(x, y) * np.cos(phi) * np.cos(turned)) / distance
        height = np.degrees(np.arcsin(np.clip(sine, -1.0, 1.0)))
        parallax = np.degrees(np.arcsin(1.0 / distance))
        lowered = parallax * np.sqrt(np.maximum(1.0 - sine**2, 0.0))
        return np.asarray(height - lowered + MOON_RADIUS * parallax + HORIZON_DEG)

    at = np.arange(first, last + 600.0, 600.0)
    above = over_horizon(at) > 0
    index = np.flatnonzero(above[1:] != above[:-1])
    crossings = refine_crossings(over_horizon, at[index], at[index + 1], within_s=1.0)

    def of_date(*, rising: bool) -> float | None:
        return next(
            (
                float(t)
                for t, up in zip(crossings, above[index + 1], strict=True)
                if up == rising and any(start <= t < end for start, end in spans)
            ),
            None,
        )

    return MoonDay(of_date(rising=True), of_date(rising=False), _lit_share((first + last) / 2))


def _moon(at_s: float) -> tuple[float, float, float]:
    """Where the moon stands, equatorial of date [Earth radii]."""
    place = moon_position((at_s - J2000_S) / DAY_S)
    a, d, r = place.right_ascension, place.declination, place.distance
    return r * np.cos(d) * np.cos(a), r * np.cos(d) * np.sin(a), r * np.sin(d)


def _sidereal_deg(at_s: FloatArray) -> FloatArray:
    """Greenwich mean sidereal time (IAU 1982, without its slow terms)."""
    return 280.46061837 + 360.98564736629 * (at_s - J2000_S) / DAY_S


def _lit_share(at_s: float) -> float:
    century = (at_s - J2000_S) / DAY_S / 36_525.0
    a, d = np.radians(sun_rt_ascension(century)), np.radians(sun_declination(century))
    moon = np.array(_moon(at_s))
    away = float(np.linalg.norm(moon))
    sun = np.array([np.cos(d) * np.cos(a), np.cos(d) * np.sin(a), np.sin(d)])
    cosine = float(np.clip(moon @ sun / away, -1.0, 1.0))
    sine = np.sqrt(1.0 - cosine**2)
    phase = np.arctan2(AU_EARTH_RADII * sine, away - AU_EARTH_RADII * cosine)
    return float((1.0 + np.cos(phase)) / 2.0)
