"""Bearings without a compass, against geodesy and by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from scout.calc.daylight.place.sighting import (
    directions_in_photo,
    line_doubt_deg,
    map_sight,
    shadow_north_deg,
    view_across_deg,
)
from scout.errors import OutOfRange
from tests.refusing import refused


@pytest.mark.parametrize(
    ("start", "end", "bearing", "metres"),
    [
        # Source: WGS 84: a degree of the meridian at 45 N is 111 131.75 m and of its parallel 78
        # 846.8 m (GRS 80 tables, from memory to the metre)
        ((44.5, 7.0), (44.9, 7.0), 0.0, 0.4 * 111_131.0),
        # by hand: along a parallel the bearing at the start falls short of 90 by half of what the
        # meridians close in, 0.01 sin 45 / 2 = 0.00354 degrees
        ((45.0, 7.0), (45.0, 7.01), 89.99647, 788.47),
        # property: the other way round is the opposite bearing, less what the meridians close in
        ((45.0, 7.01), (45.0, 7.0), 270.00353, 788.47),
        # by hand: on the equator 0.001 degrees east, 111.32 m, and as many metres north: 111.32 /
        # 110 574.3 = 0.00100674 degrees
        ((0.0, 179.9995), (0.001006740, -179.9995), 45.0, 157.43),
    ],
)
def test_lines_on_the_map(
    start: tuple[float, float], end: tuple[float, float], bearing: float, metres: float
) -> None:
    sight = map_sight(start, end)
    assert (sight.bearing_deg - bearing + 180) % 360 - 180 == pytest.approx(0.0, abs=0.001)
    assert sight.distance_m == pytest.approx(metres, rel=1e-4)


def test_doubt_of_a_line_on_the_map() -> None:
    # by hand: both ends 1 m off to opposite sides over 111.3 m: asin(2 / 111.3) = 1.03 degrees
    assert map_sight((0.0, 0.0), (0.0, 0.001), accuracy_m=1.0).doubt_deg == pytest.approx(
        1.03, abs=0.01
    )
    assert map_sight((0.0, 0.0), (0.0, 0.001), accuracy_m=100.0).doubt_deg == 90.0
    assert line_doubt_deg(2.0, 0.02) == pytest.approx(math.degrees(math.asin(0.02)))


@pytest.mark.parametrize(
    ("start", "end", "code"),
    [
        ((52.0, 0.0), (52.0, 0.0), "refusal.sun.points_apart"),
        ((52.0, 0.0), (53.0, 0.0), "refusal.sun.points_apart"),
        ((89.5, 0.0), (89.5, 0.1), "refusal.number.most"),
        ((math.nan, 0.0), (1.0, 1.0), "refusal.number.finite"),
    ],
)
def test_points_that_give_no_bearing(
    start: tuple[float, float], end: tuple[float, float], code: str
) -> None:
    with refused(code):
        map_sight(start, end)


@pytest.mark.parametrize(
    ("end", "azimuth", "north"),
    [
        # by hand: sun in the south, shadow straight up the plan: the plan's y axis points north
        ((0.0, 1.0), 180.0, 0.0),
        # by hand: sun in the south, shadow to the right of the plan: north is on the right, so y
        # points west
        ((1.0, 0.0), 180.0, 270.0),
        # by hand: sun at 225, its shadow runs at 45; on the plan it runs straight down: y points to
        # 225
        ((0.0, -1.0), 225.0, 225.0),
    ],
)
def test_north_from_a_shadow(end: tuple[float, float], azimuth: float, north: float) -> None:
    assert shadow_north_deg((0.0, 0.0), end, azimuth) == pytest.approx(north)


def test_a_shadow_of_no_length() -> None:
    with refused("refusal.sun.shadow_apart"):
        shadow_north_deg((1.0, 2.0), (1.0, 2.0), 90.0)


@pytest.mark.parametrize(
    ("width", "height", "mm", "across"),
    [
        # Source: a 3:2 frame is 36 mm wide: 2 atan(18 / f): 24 mm 73.74 degrees, 50 mm 39.60
        # degrees (common lens tables)
        (6000, 4000, 24.0, 73.74),
        (6000, 4000, 50.0, 39.60),
        # by hand: 4:3 by the diagonal: 43.267 x 0.8 = 34.61 mm wide; 2 atan(17.307 / 26) = 67.30
        # degrees
        (4032, 3024, 26.0, 67.30),
        # by hand: held upright: 43.267 x 0.6 = 25.96 mm wide; 2 atan(12.98 / 26) = 53.06 degrees
        (3024, 4032, 26.0, 53.06),
    ],
)
def test_field_of_view(width: int, height: int, mm: float, across: float) -> None:
    assert view_across_deg(width, height, mm) == pytest.approx(across, abs=0.01)


def test_points_of_a_photo() -> None:
    # by hand: 90 degrees across and twice as wide as high: the right edge lies 45 degrees to the
    # right, the top 26.57 degrees up (atan 0.5);
    # the upper right corner 45 to the right and atan(0.5 / sqrt 2) = 19.47 up
    found = directions_in_photo(
        [(0.5, 0.5), (1.0, 0.5), (0.0, 0.5), (0.5, 0.0), (1.0, 0.0)],
        aspect=2.0,
        across_deg=90.0,
        bearing_deg=350.0,
    )
    assert found == pytest.approx(
        np.array([(350.0, 0.0), (35.0, 0.0), (305.0, 0.0), (350.0, 26.565), (35.0, 19.471)]),
        abs=0.001,
    )
    # by hand: a lens tilted up by 10 degrees adds them in the middle column
    tilted = directions_in_photo(
        [(0.5, 0.0), (0.5, 0.5)], aspect=2.0, across_deg=90.0, bearing_deg=0.0, tilt_deg=10.0
    )
    assert tilted[:, 1] == pytest.approx([36.565, 10.0], abs=0.001)
    with pytest.raises(OutOfRange, match="across_deg"):
        directions_in_photo([(0.5, 0.5)], aspect=1.5, across_deg=180.0, bearing_deg=0.0)
    with pytest.raises(OutOfRange, match="points"):
        directions_in_photo([(1.5, 0.5)], aspect=1.5, across_deg=60.0, bearing_deg=0.0)
