"""The sun at a mark: by hand, beside the polygons it lights, and through what scatters it."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.daylight.mark.room_light import room_light
from scout.calc.daylight.mark.sun_in_room import sun_beam, sun_scattered
from scout.calc.daylight.window.glazing import Glazing
from scout.calc.daylight.window.pane import Pane
from scout.calc.daylight.window.sun_patches import sun_through
from scout.calc.radiosity import at_point, enclosure, solve

BOX = ((0.0, 5.0), (4.0, 5.0), (4.0, 0.0), (0.0, 0.0))
GREY = (0.5, 0.5, 0.5, 0.5, 0.2, 0.8)
HOLE = Glazing("W", Pane(0, 1.0, 0.9, 2.0, 1.5), 1.0)
SUNNY = Glazing("W", HOLE.pane, 1.0, facing_deg=180.0)


def lux_of_sun(
    glass: Glazing,
    mark: tuple[float, float, float],
    azimuth: float,
    elevation: float,
    reflectance: tuple[float, ...] | None = GREY,
) -> tuple[float, float, bool]:
    light = room_light(BOX, 3.0, (glass,), (mark,), reflectance)
    stands = np.array([azimuth]), np.array([elevation]), np.array([80_000.0])
    straight, lit = sun_beam(light, light.marks[0], *stands)
    glowing, later = sun_scattered(light, light.marks[0], *stands)
    return float(straight[0] + glowing[0]), float(later[0]), bool(lit[0])


def test_a_mark_in_the_beam_gets_the_sun_less_the_slant() -> None:
    # by hand: sun square on, 30 high; a mark 2 m in at z 0.4 is reached from z 0.4 + 2 tan 30 =
    # 1.555, in the pane: 80000 sin 30.
    straight, _, lit = lux_of_sun(SUNNY, (2.0, 3.0, 0.4), 180.0, 30.0)
    assert lit
    assert straight == pytest.approx(40_000)
    assert (
        lux_of_sun(SUNNY, (2.0, 3.0, 1.6), 180.0, 30.0)[2] is False
    )  # by hand: from z 2.755, above the head at 2.4


@pytest.mark.parametrize(("azimuth", "elevation"), [(180.0, 30.0), (215.0, 40.0), (150.0, 15.0)])
def test_reflected_sun_is_that_of_the_lit_polygons(azimuth: float, elevation: float) -> None:
    # property: the backward solution equals a forward one in which the exact lit polygons are the
    # lamps.
    mark = (1.0, 1.5, 1.2)
    later = lux_of_sun(SUNNY, mark, azimuth, elevation)[1]
    room = enclosure(BOX, 3.0, (("W", 0, 1.0, 0.9, 2.0, 1.5),), 0.5)
    patches = room.patches
    rho = np.array([*GREY, 0.0])[patches.surface]
    sun = sun_through(
        BOX, 3.0, HOLE.pane, facing_deg=180.0, azimuth_deg=azimuth, elevation_deg=elevation
    )
    emitted = np.zeros(len(rho))
    to_sun = np.array(
        [np.sin(np.radians(azimuth - 180)), np.cos(np.radians(azimuth - 180))]
    ) * np.cos(np.radians(elevation))
    normals = {
        "floor": np.sin(np.radians(elevation)),
        "B": -to_sun[0],
        "C": to_sun[1],
        "D": to_sun[0],
    }
    rng = np.random.default_rng(1)
    for patch in sun.patches:
        for corner in range(1, len(patch.polygon_m) - 1):
            a, b, c = patch.polygon_m[0], patch.polygon_m[corner], patch.polygon_m[corner + 1]
            area = 0.5 * np.linalg.norm(np.cross(b - a, c - a))
            s, t = rng.uniform(0, 1, (2, 4000))
            s, t = np.where(s + t > 1, 1 - s, s), np.where(s + t > 1, 1 - t, t)
            points = a + s[:, None] * (b - a) + t[:, None] * (c - a)
            own = np.flatnonzero(patches.of(patch.surface))
            nearest = own[
                np.argmin(np.linalg.norm(points[:, None] - patches.centre_m[own], axis=-1), axis=1)
            ]
            lumens = 80_000 * abs(normals[patch.surface]) * area / 4000
            np.add.at(emitted, nearest, lumens / patches.area_m2[nearest])
    forward = at_point(patches, mark, (0, 0, 1)) @ solve(room.factors, rho, rho * emitted)
    assert later == pytest.approx(float(forward), rel=0.04)


def test_no_facing_or_behind_the_skyline_no_sun() -> None:
    assert lux_of_sun(HOLE, (2.0, 3.0, 0.4), 180.0, 30.0) == (0.0, 0.0, False)
    hidden = Glazing("W", HOLE.pane, 1.0, skyline=((180.0, 45.0),), facing_deg=180.0)
    assert lux_of_sun(hidden, (2.0, 3.0, 0.4), 180.0, 30.0) == (0.0, 0.0, False)


def test_a_sheer_spreads_the_sun_over_the_room() -> None:
    # property: behind a sheer no mark is in the beam, and a mark out of the beam gets more than it
    # got through the bare glass.
    sheer = Glazing("W", HOLE.pane, 1.0, passes=0.5, spreads=True, facing_deg=180.0)
    straight, later, lit = lux_of_sun(sheer, (2.0, 3.0, 0.4), 180.0, 30.0)
    assert not lit
    assert 0 < straight < 40_000
    assert later > 0
    # by hand: the pane glows with M = 0.5 x 80000 x cos 30 lux leaving it; the mark cannot get more
    # than that.
    assert straight < 0.5 * 80_000 * np.cos(np.radians(30))


def test_without_reflectances_the_straight_part_is_left() -> None:
    assert lux_of_sun(SUNNY, (2.0, 3.0, 0.4), 180.0, 30.0, None)[:2] == (pytest.approx(40_000), 0.0)
