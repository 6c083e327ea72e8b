"""The moon against published figures, and astral's first guesses where astral is wrong."""

from __future__ import annotations

import itertools
from datetime import UTC, date, datetime

import numpy as np
import pytest

from scout.calc.daylight.place.local_date import spans_of_date
from scout.calc.daylight.sun.almanac import MoonDay, _lit_share, _moon, moon_day, sun_guesses
from scout.errors import OutOfRange


def seconds(*at: int) -> float:
    return datetime(*at, tzinfo=UTC).timestamp()  # type: ignore[arg-type,misc]


def of_day(on: date, latitude_deg: float, longitude_deg: float = 0.0) -> MoonDay:
    return moon_day(spans_of_date(on, UTC), latitude_deg=latitude_deg, longitude_deg=longitude_deg)


def test_where_the_moon_stands() -> None:
    # Source: Meeus, Astronomical Algorithms, 2nd edition, example 47.a: 1992 April 12, 0h dynamical
    # time (58.7 s ahead), apparent right ascension 134.688470, declination 13.768368, 368,409.7 km.
    x, y, z = _moon(seconds(1992, 4, 12) - 58.7)
    away = np.sqrt(x**2 + y**2 + z**2)
    assert np.degrees(np.arctan2(y, x)) == pytest.approx(134.688470, abs=0.03)
    assert np.degrees(np.arcsin(z / away)) == pytest.approx(13.768368, abs=0.03)
    assert away * 6378.14 == pytest.approx(368_409.7, rel=2e-4)


def test_how_much_of_the_disc_is_lit() -> None:
    # Source: Meeus, example 48.a, at the same instant: 0.6786.
    assert _lit_share(seconds(1992, 4, 12) - 58.7) == pytest.approx(0.6786, abs=0.002)


@pytest.mark.parametrize(
    ("at", "share"),
    [
        # Source: almanacs, from memory: new moon at the eclipses of the sun of 2024-04-08 and
        # 2026-08-12, full moon at those of the moon of 2024-09-18 and 2026-03-03, quarters of
        # September 2024.
        ((2024, 4, 8, 18, 21), 0.0),
        ((2026, 8, 12, 17, 37), 0.0),
        ((2024, 9, 18, 2, 34), 1.0),
        ((2026, 3, 3, 11, 38), 1.0),
        ((2024, 9, 11, 6, 6), 0.5),
        ((2024, 9, 24, 18, 50), 0.5),
    ],
)
def test_phases(at: tuple[int, ...], share: float) -> None:
    assert _lit_share(seconds(*at)) == pytest.approx(share, abs=0.01)


def test_the_lit_share_is_of_the_middle_of_the_date() -> None:
    day = of_day(date(2024, 9, 11), 52.0)
    assert day.lit_share == _lit_share(seconds(2024, 9, 11, 12))


def test_grazing_moon_of_the_far_north() -> None:
    # Source: nautical almanac figures quoted in public (skyfielders/python-skyfield, issue 339):
    # latitude 72 N, Greenwich: rise 05:13, set 07:02 on 16 February 2020, none on the 17th.
    day = of_day(date(2020, 2, 16), 72.0)
    assert day.rise == pytest.approx(seconds(2020, 2, 16, 5, 13), abs=120)
    assert day.set == pytest.approx(seconds(2020, 2, 16, 7, 2), abs=120)
    none = of_day(date(2020, 2, 17), 72.0)
    assert (none.rise, none.set) == (None, None)


@pytest.mark.parametrize(
    ("on", "rise", "set_"),
    [
        # from memory: London, as printed for observers at Greenwich
        (date(2022, 11, 30), (13, 17), None),
        (date(2022, 1, 1), (6, 55), None),
        (date(2022, 2, 1), (8, 24), (16, 57)),
        (date(2021, 10, 28), None, (14, 11)),
    ],
)
def test_london(on: date, rise: tuple[int, int] | None, set_: tuple[int, int] | None) -> None:
    day = of_day(on, 51.4733)
    for want, got in ((rise, day.rise), (set_, day.set)):
        if want is not None:
            assert got == pytest.approx(seconds(on.year, on.month, on.day, *want), abs=120)


def test_a_month_has_dates_without_a_rise_and_no_date_fails() -> None:
    # property: the moon rises 50 minutes later each day, so one date in a month or so holds no rise
    days = [of_day(date(2026, 6, day), 52.2) for day in range(1, 31)]
    assert sum(day.rise is None for day in days) == 1
    rises = [day.rise for day in days if day.rise is not None]
    assert all(23.5 < (b - a) / 3600 < 26.5 for a, b in itertools.pairwise(rises))
    for latitude in (-90.0, 0.0, 90.0):
        assert 0 <= of_day(date(2026, 6, 1), latitude).lit_share <= 1
    with pytest.raises(OutOfRange):
        of_day(date(2026, 6, 1), 91.0)
    with pytest.raises(OutOfRange):
        of_day(date(2026, 6, 1), 0.0, 181.0)


def test_guesses_lie_near_and_none_is_no_error() -> None:
    # Source: bisection on SPA, Cambridge 2026-06-21: sunrise 03:38:09, sunset 20:24:31 UTC.
    guesses = sun_guesses(date(2026, 6, 21), (-0.833,), latitude_deg=52.2, longitude_deg=0.12)
    assert len(guesses) == 6
    for at in ((3, 38, 9), (20, 24, 31)):
        assert np.min(np.abs(guesses - seconds(2026, 6, 21, *at))) < 90
    assert not len(sun_guesses(date(2026, 6, 21), (-6,), latitude_deg=78.0, longitude_deg=15.0))
