"""The table of a clear day against the same light worked out instant by instant."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.daylight.mark.clear_day import (
    ClearTable,
    OpenSpot,
    RoomSpot,
    Spot,
    clear_lux,
    clear_luxes,
)
from scout.calc.daylight.mark.room_light import room_light
from scout.calc.daylight.mark.weights import open_ground
from scout.calc.daylight.window.glazing import Glazing
from scout.calc.daylight.window.pane import Pane

BOX = ((0.0, 5.0), (4.0, 5.0), (4.0, 0.0), (0.0, 0.0))
GREY = (0.5, 0.5, 0.5, 0.5, 0.2, 0.8)


def room_spot(way: tuple[float, float, float], *, spreads: bool = False) -> Spot:
    panes = (
        Glazing(
            "W1",
            Pane(0, 1.0, 0.9, 2.0, 1.5, reveal_m=0.1),
            0.8,
            0.5 if spreads else 1.0,
            spreads,
            facing_deg=170.0,
        ),
        Glazing("W2", Pane(1, 1.0, 0.5, 1.2, 1.9), 0.7, facing_deg=260.0),
    )
    light = room_light(BOX, 3.0, panes, ((2.0, 2.5, 1.2),), GREY, normals=(way,))
    return RoomSpot(light, light.marks[0], 170.0)


def open_spot(way: tuple[float, float, float]) -> Spot:
    skyline = ((90.0, 10.0), (180.0, 25.0), (270.0, 5.0))
    return OpenSpot(way, skyline, (open_ground(skyline, way),))


@pytest.mark.parametrize(
    "spot",
    [
        room_spot((0, 0, 1)),
        room_spot((0, 1, 0)),
        room_spot((0.6, -0.8, 0), spreads=True),
        open_spot((0.6, 0.8, 0.0)),
    ],
    ids=["level", "to the window", "sheer", "outdoors"],
)
def test_the_table_reads_what_each_instant_gives(spot: Spot) -> None:
    # property: the table only interpolates; the beam is asked of every instant, so whether the mark
    # is lit is the same everywhere.
    rng = np.random.default_rng(7)
    azimuth, elevation = rng.uniform(0, 360, 300), rng.uniform(0.2, 80, 300)
    exact = clear_lux(spot, azimuth, elevation, outside_lux=127_500.0, ground_reflectance=0.2)
    read = ClearTable(spot, azimuth, elevation, ground_reflectance=0.2).lux(
        azimuth, elevation, 127_500.0
    )
    assert np.array_equal(exact.lit, read.lit)
    off = np.abs(np.log2(read.lux / exact.lux))
    assert np.median(off) < 0.02  # stops
    assert np.percentile(off, 98) < 0.15


def test_planes_looked_at_together_get_what_each_gets_alone() -> None:
    # property: planes of one place that look several ways, and the same room with other walls, have
    # directions in common; another place and a plane outdoors have not
    at = ((2.0, 2.5, 1.2), (2.0, 2.5, 1.2), (1.0, 1.5, 1.2))
    ways = ((0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (0.6, -0.8, 0.0))
    panes = (Glazing("W1", Pane(0, 1.0, 0.9, 2.0, 1.5, reveal_m=0.1), 0.8, facing_deg=170.0),)
    spots: list[Spot] = [open_spot((0.6, 0.8, 0.0))]
    for rho in (GREY, (0.2, 0.2, 0.2, 0.2, 0.1, 0.3)):
        light = room_light(BOX, 3.0, panes, at, rho, normals=ways)
        spots += [RoomSpot(light, mark, 170.0) for mark in light.marks]
    azimuth, height = np.linspace(90.0, 250.0, 9), np.linspace(5.0, 60.0, 9)
    outdoors = {"outside_lux": 127_500.0, "ground_reflectance": 0.2}
    together = clear_luxes(spots, azimuth, height, **outdoors)  # type: ignore[arg-type]
    for spot, found in zip(spots, together, strict=True):
        alone = clear_lux(spot, azimuth, height, **outdoors)  # type: ignore[arg-type]
        assert found.lux == pytest.approx(alone.lux, rel=1e-12)
        assert found.by_surfaces == pytest.approx(alone.by_surfaces, rel=1e-12)
        assert np.array_equal(found.lit, alone.lit)


def test_light_outdoors_is_the_sum_of_its_published_parts() -> None:
    # Source: IES availability at 30 degrees, clear: direct 83.77 klx square on, sky 11.76 klx;
    # level total 53.65 klx.
    level = OpenSpot((0.0, 0.0, 1.0), None, (open_ground(None),))
    lux = clear_lux(
        level, np.array([200.0]), np.array([30.0]), outside_lux=127_500.0, ground_reflectance=0.2
    ).lux
    assert lux[0] == pytest.approx(53_650, rel=0.001)
    # by hand: an upright plane square below the sun gets cos 30 of the beam and half the light of
    # the ground: q E / 2.
    upright = OpenSpot((0.0, 1.0, 0.0), None, (open_ground(None, (0.0, 1.0, 0.0)),))
    both = [
        clear_lux(
            upright, np.array([s]), np.array([30.0]), outside_lux=127_500.0, ground_reflectance=q
        ).lux[0]
        for s, q in ((0.0, 0.2), (0.0, 0.0))
    ]
    assert both[0] - both[1] == pytest.approx(0.5 * 0.2 * 53_650, rel=0.001)
    assert both[1] > 83_770 * np.cos(np.radians(30))
