"""How light at a mark moves with its inputs, held against working it out again."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.daylight.mark.clear_day import RoomSpot, clear_lux
from scout.calc.daylight.mark.doubt import by_reflectance, falling_on_patches, turned_lux, turns_deg
from scout.calc.daylight.mark.patch_views import patch_views
from scout.calc.daylight.mark.room_light import room_light
from scout.calc.daylight.outside.sky import clear_spread, clear_through
from scout.calc.daylight.window.glazing import Glazing
from scout.calc.daylight.window.pane import Pane

PLAN = ((0.0, 4.0), (3.0, 4.0), (3.0, 0.0), (0.0, 0.0))
LEVELS = (0.5, 0.45, 0.6, 0.5, 0.2, 0.75)
AT = ((1.5, 1.8, 1.2),)
TOWARDS = ((0.3, -1.0, 0.0),)
GLASS = (Glazing("W1", Pane(0, 0.6, 0.9, 1.8, 1.3, 0.1, 0.0, 0.0), 0.7, facing_deg=180.0),)


def test_by_reflectance_is_what_solving_again_gives() -> None:
    # property: a derivative, held against the difference of two whole solutions 1 % apart
    (mark,) = room_light(PLAN, 2.6, GLASS, AT, LEVELS, normals=TOWARDS).marks
    lumens, surface = falling_on_patches(PLAN, 2.6, GLASS, LEVELS, (), 0.4, 0.2)
    moved = by_reflectance(mark, lumens, surface, 6)
    assert mark.reflected is not None
    before = mark.reflected.overcast(0.2)
    for k in range(6):
        levels = tuple(level * (1.01 if i == k else 1.0) for i, level in enumerate(LEVELS))
        (paler,) = room_light(PLAN, 2.6, GLASS, AT, levels, normals=TOWARDS).marks
        assert paler.reflected is not None
        again = (paler.reflected.overcast(0.2) - before) / np.log(1.01)
        assert moved[k] == pytest.approx(again, rel=0.02, abs=1e-3 * before)


def test_what_falls_on_patches_is_what_a_dense_solution_gives() -> None:
    # Source: radiosity by elimination, e = s + F rho e: shares nothing with the rounds but F
    lumens, _ = falling_on_patches(PLAN, 2.6, GLASS, LEVELS, (), 0.4, 0.2)
    ready = patch_views(PLAN, 2.6, GLASS)
    rho, factors = ready.reflectances(LEVELS, 0.4), ready.room.factors
    straight = ready.lit_by_overcast(0.2)
    lux = np.linalg.solve(np.eye(len(rho)) - factors * rho, straight)
    assert lumens == pytest.approx(lux * ready.room.patches.area_m2, rel=1e-5)


def test_a_turned_room_is_what_working_it_out_again_gives() -> None:
    # property: the outermost turns against the same room with another facing, at every instant
    azimuth = np.linspace(90.0, 270.0, 25)
    height = 8.0 + 50.0 * np.sin(np.radians(azimuth - 90.0))
    at = np.arange(25, dtype=np.float64) * 900.0
    outdoors = {"outside_lux": 127_500.0, "ground_reflectance": 0.2}

    def light(facing_deg: float) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
        glass = (Glazing("W1", GLASS[0].pane, 0.7, facing_deg=facing_deg),)
        room = room_light(PLAN, 2.6, glass, AT, LEVELS, normals=TOWARDS)
        spot = RoomSpot(room, room.marks[0], facing_deg)
        return clear_lux(spot, azimuth, height, **outdoors).lux  # type: ignore[arg-type]

    room = room_light(PLAN, 2.6, GLASS, AT, LEVELS, normals=TOWARDS)
    spot = RoomSpot(room, room.marks[0], 180.0)
    parts = clear_lux(spot, azimuth, height, outside_lux=127_500.0, ground_reflectance=0.2)
    turned = turned_lux(
        spot,
        parts,
        at,
        azimuth,
        height,
        turns_deg(15.0),
        outside_lux=127_500.0,
        ground_reflectance=0.2,
    )
    for row, facing in ((turned[0], 165.0), (turned[-1], 195.0), (turned[1], 172.5)):
        ratio = row / light(facing)
        assert np.percentile(np.abs(np.log(ratio)), 90) < 0.06


def test_the_clear_sky_summed_by_weights_is_the_sum_of_its_directions() -> None:
    # property: the same sum in another order
    random = np.random.default_rng(3)
    height, bearing = random.uniform(-5, 90, 60), random.uniform(0, 360, 60)
    weight = random.uniform(0, 1, 60)
    sun_height, sun_bearing = random.uniform(1, 85, 9), random.uniform(0, 360, 9)
    plain = clear_spread(height, bearing, sun_height[:, None], sun_bearing[:, None]) @ weight
    assert clear_through(height, bearing, weight, sun_height, sun_bearing) == pytest.approx(plain)
