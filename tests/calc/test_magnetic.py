"""Declination against NOAA's published points, and dates and places where the model has nothing to
say.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from scout.calc.magnetic import declination
from scout.errors import OutOfRange


def on(year: float) -> date:
    start = date(int(year), 1, 1)
    return start + timedelta(days=round((year % 1) * (date(int(year) + 1, 1, 1) - start).days))


@pytest.mark.parametrize(
    ("lat", "lon", "year", "want"),
    [
        # Source: NOAA's WMM2025 test values (to 0.01), read second-hand from a public test suite.
        (80, 0, 2025.0, 1.28),
        (0, 120, 2025.0, -0.16),
        (-80, 240 - 360, 2025.0, 68.78),
        (80, 0, 2027.5, 2.59),
        (0, 120, 2027.5, -0.24),
        # Source: NOAA's declination calculator, second-hand: London 1.1628 and Reykjavik -11.1335
        # in July 2026.
        (51.5074, -0.1278, 2026.5041, 1.1628),
        (64.1466, -21.9426, 2026.5041, -11.1335),
        # Source: pygeomag 1.1.0 alone.
        (34.05, -118.24, 2026.5, 11.3596),
        (35.68, 139.69, 2026.5, -7.9261),
        (52.2, 0.12, 2026.334, 1.1668),
    ],
)
def test_published_points(lat: float, lon: float, year: float, want: float) -> None:
    got = declination(lat, lon, on(year))
    assert got.degrees == pytest.approx(want, abs=0.01)
    assert {note.code for note in got.notes} <= {"sun.weak_field"}
    assert got.model == "WMM-2025"


def test_a_compass_reading_at_cambridge() -> None:
    # Source: 182 magnetic at Cambridge in May 2026 is 183.17 true (WMM-2025).
    got = declination(52.2, 0.12, date(2026, 5, 3))
    assert got.degrees is not None
    assert 182 + got.degrees == pytest.approx(183.17, abs=0.01)


def test_photo_in_brazil() -> None:
    # Source: WMM-2025, declination -23.37 at 22.51 S 41.755 W on 2026-05-03.
    assert declination(-22.51, -41.755, date(2026, 5, 3)).degrees == pytest.approx(-23.37, abs=0.01)


def test_an_older_reading_takes_its_own_model() -> None:
    got = declination(80, 0, date(2019, 6, 1))  # property: 2015 to 2020 is the life of that model
    assert got.model == "WMM-2015"
    assert got.years_outside == 0
    london = declination(51.5, -0.13, date(2019, 6, 1)).degrees
    assert london == pytest.approx(
        -0.1, abs=0.3
    )  # from memory: London's declination passed zero at the end of 2019


@pytest.mark.parametrize(
    ("day", "outside"), [(date(2031, 6, 1), 1.4), (date(2005, 1, 1), 5.0), (date(2039, 12, 1), 9.9)]
)
def test_outside_the_models_the_loss_is_said(day: date, outside: float) -> None:
    got = declination(52.2, 0.12, day)
    assert got.degrees is not None
    assert got.years_outside == pytest.approx(outside, abs=0.1)
    assert "sun.model_old" in {note.code for note in got.notes}
    within = declination(52.2, 0.12, date(2026, 1, 1)).doubt_deg
    assert got.doubt_deg is not None
    assert within is not None
    assert got.doubt_deg > within


@pytest.mark.parametrize(
    "day", [date(1850, 1, 1), date(3000, 1, 1), date(1, 1, 1), date(9999, 12, 31)]
)
def test_far_dates_are_unknown_with_the_reason(day: date) -> None:
    got = declination(52.2, 0.12, day)
    assert got.degrees is None
    assert got.because is not None
    assert got.because.code == "sun.model_out"


@pytest.mark.parametrize(
    ("lat", "lon"), [(90, 0), (-90, 0), (86.0, 140.0), (-64.0, 136.0), (0, 180), (0, -180)]
)
def test_poles_never_crash(lat: float, lon: float) -> None:
    got = declination(lat, lon, date(2026, 6, 21))
    assert (got.degrees is None) == (got.because is not None)


def test_beside_a_magnetic_pole_a_compass_is_of_no_use() -> None:
    # Source: NOAA, the north magnetic pole of 2025 lies near 85.8 N 139.3 E; a horizontal field
    # under 2000 nT is its blackout zone.
    got = declination(85.8, 139.3, date(2026, 1, 1))
    assert got.degrees is None
    assert got.because is not None
    assert got.because.code == "sun.compass_useless"


def test_bad_coordinates_are_refused_by_name() -> None:
    with pytest.raises(OutOfRange, match="latitude_deg"):
        declination(95, 0, date(2026, 1, 1))
    with pytest.raises(OutOfRange, match="longitude_deg"):
        declination(0, float("nan"), date(2026, 1, 1))
