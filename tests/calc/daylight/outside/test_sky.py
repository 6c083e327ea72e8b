"""Outdoor light by the sun's height and how it is spread: the printed table, and what must hold of
any sky.
"""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from numpy.typing import NDArray

from scout.calc.daylight.outside.sky import (
    CLEAR,
    OVERCAST,
    clear_spread,
    direct_normal_lux,
    extraterrestrial_lux,
    overcast_spread,
    sky_lux,
)
from scout.calc.daylight.window.overcast import VERTICAL_OVERCAST

# Source: IES Recommended Practice for the Calculation of Daylight Availability, J. IES 13(4) 1984,
# computed with Ext = 127.5 klx; klx.
# h; clear direct normal, sky, total; partly cloudy direct normal, sky, total; overcast sky.
TABLE = [
    (5, 11.46, 5.38, 6.37, 0.01, 4.22, 4.22, 2.13),
    (10, 38.05, 7.26, 13.87, 1.27, 8.11, 8.34, 3.95),
    (15, 56.64, 8.69, 23.35, 5.80, 11.95, 13.45, 5.74),
    (20, 69.00, 9.86, 33.46, 12.29, 15.69, 19.90, 7.48),
    (30, 83.77, 11.76, 53.65, 25.74, 22.80, 35.67, 10.80),
    (45, 94.74, 13.83, 80.82, 41.13, 32.12, 61.20, 15.15),
    (60, 100.05, 15.22, 101.87, 50.62, 39.27, 83.11, 18.49),
    (90, 103.35, 16.30, 119.65, 57.29, 45.30, 102.59, 21.30),
]


PARTLY = (0.80, 0.3, 45.0, 1.0)  # c, A, B, C of the same practice for a partly cloudy sky


@pytest.mark.parametrize("row", TABLE)
def test_availability_table(row: tuple[float, ...]) -> None:
    h, *want = row
    sine = np.sin(np.radians(h))
    got = []
    for kind in (CLEAR, PARTLY):
        direct, sky = direct_normal_lux(h, extinction=kind[0]) / 1000, sky_lux(h, kind) / 1000
        got += [float(direct), float(sky), float(direct * sine + sky)]
    assert [*got, float(sky_lux(h, OVERCAST)) / 1000] == pytest.approx(want, abs=0.006)


def test_no_light_from_a_sun_that_is_not_up() -> None:
    # property: the formulas do not reach below the horizon; there is no direct sun and no figure
    # for the sky.
    assert direct_normal_lux([-5.0, 0.0]).tolist() == [0.0, 0.0]
    assert sky_lux([-5.0, 0.0], CLEAR).tolist() == [0.0, 0.0]


@pytest.mark.parametrize(("day", "want"), [(2, 131.84), (93, 127.52), (172, 123.26), (355, 131.74)])
def test_sunlight_outside_the_air_by_day_of_year(day: int, want: float) -> None:
    # Source: the same practice, 127.5 (1 + 0.034 cos(2 pi (J - 2) / 365)) klx.
    assert extraterrestrial_lux(
        date.fromordinal(date(2026, 1, 1).toordinal() + day - 1)
    ) / 1000 == pytest.approx(want, abs=0.01)


def hemisphere() -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    gamma, azimuth = np.meshgrid(np.arange(0.25, 90, 0.5), np.arange(0.5, 360, 1.0))
    return gamma, azimuth, np.cos(np.radians(gamma)) * np.radians(0.5) * np.radians(1.0)


def test_overcast_sky_is_one_lux_and_three_to_one() -> None:
    # Source: Moon and Spencer: zenith three times the horizon; by hand: E = 7 pi Lz / 9, a vertical
    # plane gets 39.62 % of it.
    gamma, azimuth, solid = hemisphere()
    spread = overcast_spread(gamma)
    assert np.sum(spread * np.sin(np.radians(gamma)) * solid) == pytest.approx(1.0, abs=1e-4)
    assert overcast_spread(90.0) / overcast_spread(0.0) == pytest.approx(3.0)
    facing = np.maximum(np.cos(np.radians(azimuth)), 0) * np.cos(np.radians(gamma))
    assert np.sum(spread * facing * solid) == pytest.approx(0.3962, abs=2e-4)
    assert pytest.approx(0.3962, abs=5e-5) == VERTICAL_OVERCAST


@pytest.mark.parametrize("sun", [5.0, 30.0, 60.0, 88.0])
def test_clear_sky_is_one_lux_brightest_by_the_sun_and_even_about_it(sun: float) -> None:
    # property: the spread is per lux; the sky is brightest round the sun and the same on both sides
    # of its meridian.
    gamma, azimuth, solid = hemisphere()
    spread = clear_spread(gamma, azimuth, sun, 140.0)
    assert np.sum(spread * np.sin(np.radians(gamma)) * solid) == pytest.approx(1.0, abs=0.002)
    near = np.unravel_index(np.argmax(spread), spread.shape)
    assert abs(gamma[near] - sun) < 8
    assert clear_spread(30, 100, sun, 140) == pytest.approx(clear_spread(30, 180, sun, 140))


def test_clear_sky_opposite_the_sun_is_several_times_darker() -> None:
    # Source: ISO 15469 type 12 by hand: sun 40 high; beside it (chi 10 degrees) f = 1 + 10
    # (e^(-0.5236) - e^(-4.712)) + 0.45 cos^2 = 7.27,
    # square to it (chi 90) f = 1; at one height (50 and 50) the gradation is the same, so the ratio
    # is that of f.
    spread = clear_spread([50.0, 50.0], [0.0, 180.0], 40.0, 0.0)
    assert spread[0] / spread[1] == pytest.approx(7.27, abs=0.02)
