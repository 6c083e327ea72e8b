"""Furnished rooms, light to dark, in the sun and out of it, and two streets, against Radiance."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from scout.calc.daylight.mark.clear_day import RoomSpot, clear_lux
from scout.calc.daylight.mark.factor_grid import daylight_factors
from scout.calc.daylight.mark.room_light import SUNS_HELD, RoomLight, room_light
from scout.calc.daylight.outside.sky import SOLAR_LUX
from scout.calc.daylight.window.beam import beam_hits, nearest_patch
from scout.calc.geometry import FloatArray
from tests.calc.daylight.mark.furnished import EXPECTED, SCENES, UP, Plane
from tests.calc.daylight.mark.radiance import TracedRoom

# Source: Radiance as pyradiance 1.3.1 ships it, on the scenes that radiance.py writes; furnished.py
# says how it is run. Its draws are random: a new run differs by about 0.5 %.
TRACED: dict[str, list[float]] = json.loads(EXPECTED.read_text())


def _light(room: TracedRoom, planes: list[Plane]) -> RoomLight:
    return room_light(
        room.plan_m,
        room.height_m,
        room.glazing,
        tuple(at for at, _ in planes),
        room.reflectance,
        normals=tuple(way for _, way in planes),
        boxes=room.boxes,
        box_reflectance=room.box_reflectance,
    )


def ours(room: TracedRoom, planes: list[Plane]) -> FloatArray:
    """Light on the planes, as TracedRoom.light gives it."""
    light = _light(room, planes)
    found = []
    for mark in light.marks:
        assert mark.reflected is not None
        if room.sun is None:
            found.append(mark.direct.overcast(room.ground) + mark.reflected.overcast(room.ground))
        else:
            azimuth, height = (np.array([part]) for part in room.sun)
            lux = clear_lux(
                RoomSpot(light, mark, 0.0),
                azimuth,
                height,
                outside_lux=SOLAR_LUX,
                ground_reflectance=room.ground,
            ).lux
            found.append(float(lux[0]))
    return np.array(found)


@pytest.mark.parametrize("name", list(SCENES))
def test_furnished_rooms_and_streets_against_radiance(name: str) -> None:
    room, planes = SCENES[name]
    # our promise is 10 % in furnished rooms and streets, 5 % behind reveals and under balconies
    within = 0.05 if room.glazing[0].framed else 0.06
    assert ours(room, planes) == pytest.approx(TRACED[name], rel=within)


def test_the_grid_of_a_furnished_room_agrees_with_its_marks() -> None:
    room, planes = SCENES["middling, overcast"]
    level = [number for number, (_, way) in enumerate(planes) if way == UP]
    _, grid = daylight_factors(
        room.plan_m,
        room.height_m,
        room.glazing,
        np.array([planes[number][0] for number in level]),
        room.reflectance,
        ground_reflectance=room.ground,
        boxes=room.boxes,
        box_reflectance=room.box_reflectance,
    )
    traced = [TRACED["middling, overcast"][number] for number in level]
    assert grid == pytest.approx(traced, rel=0.10)


def test_a_block_of_hardly_any_height_changes_nothing() -> None:
    # property: a sheet of paper on the floor, of the floor's own reflectance
    room, planes = SCENES["middling, in the sun"]
    bare = replace(room, boxes=(), box_reflectance=())
    paper = replace(room.boxes[0], low_m=0.0, high_m=1e-4)
    flat = replace(room, boxes=(paper,), box_reflectance=(room.reflectance[-2],))
    high = [plane for plane in planes if plane[0][2] > 0.1]
    assert ours(flat, high) == pytest.approx(ours(bare, high), rel=0.01)


def test_a_block_before_a_window_dims_and_a_black_one_more() -> None:
    # property: what stands between the windows and a face takes light from it
    room, planes = SCENES["middling, overcast"]
    bare = ours(replace(room, boxes=(), box_reflectance=()), planes[:1])
    wall = replace(room.boxes[0], y_m=5.0, width_m=4.0, turn_deg=0.0, low_m=0.0, high_m=1.8)
    grey, black = (
        ours(replace(room, boxes=(wall,), box_reflectance=(level,)), planes[:1])
        for level in (0.5, 0.02)
    )
    assert black < grey < 0.8 * bare


def test_turning_or_mirroring_a_furnished_room_changes_nothing() -> None:
    # property: only what is sampled may differ, and little
    room, planes = SCENES["dark, overcast"]
    quarter = replace(
        room,
        plan_m=tuple((y, -x) for x, y in room.plan_m),
        boxes=tuple(
            replace(box, x_m=box.y_m, y_m=-box.x_m, turn_deg=box.turn_deg + 90.0)
            for box in room.boxes
        ),
    )
    turned: list[Plane] = [
        ((y, -x, z), (way_y, -way_x, way_z)) for (x, y, z), (way_x, way_y, way_z) in planes
    ]
    assert ours(quarter, turned) == pytest.approx(ours(room, planes), rel=0.01)
    mirrored = replace(
        room,
        plan_m=tuple(
            (5.0 - x, y) for x, y in (room.plan_m[1], *room.plan_m[:1], *room.plan_m[:1:-1])
        ),
        glazing=tuple(
            replace(
                glass,
                pane=replace(glass.pane, offset_m=5.0 - glass.pane.offset_m - glass.pane.width_m),
            )
            for glass in room.glazing
        ),
        boxes=tuple(replace(box, x_m=5.0 - box.x_m, turn_deg=-box.turn_deg) for box in room.boxes),
    )
    seen: list[Plane] = [
        ((5.0 - x, y, z), (-way_x, way_y, way_z)) for (x, y, z), (way_x, way_y, way_z) in planes
    ]
    assert ours(mirrored, seen) == pytest.approx(ours(room, planes), rel=0.02)


def test_rays_are_of_the_sun_that_is_asked_for() -> None:
    # property: as followed anew, for one sun after another and more of them than are held
    room, planes = SCENES["middling, in the sun"]
    light = _light(room, planes)
    assert light.patch_centre_m is not None
    assert light.patch_flat is not None
    for turn in (*np.linspace(-60.0, 60.0, SUNS_HELD + 3), -60.0):
        g, h = np.array([turn, turn / 2]), np.array([30.0, 20.0])
        for number, glass in enumerate(light.glazing):
            area_m2, to = light.landed(number, g, h)
            hits = beam_hits(light.plan_m, light.height_m, glass.pane, g, h, boxes=light.boxes)
            where = nearest_patch(
                light.patch_centre_m, light.patch_flat, hits.point_m, hits.surface
            )
            assert np.array_equal(area_m2, hits.area_m2)
            assert np.array_equal(to, where)
