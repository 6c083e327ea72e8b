"""How long a box rings by how much its surfaces scatter."""

from __future__ import annotations

from typing import Any

import numpy as np
import pyroomacoustics
import pytest

from scout.calc.geometry import FloatArray
from scout.calc.sound.reverberation import eyring_s
from scout.calc.sound.scatter import ringing_s
from scout.errors import OutOfRange

HALL, HALL_SOFT = (20.0, 12.0, 6.0), (0.02, 0.02, 0.45)
FLAT, FLAT_SOFT = (5.0, 4.0, 2.5), (0.03, 0.30, 0.2)  # a curtain, a carpet


def axes(size_m: tuple[float, float, float], soft: tuple[float, ...]) -> tuple[FloatArray, ...]:
    x, y, z = size_m
    return np.array([2 * y * z, 2 * x * z, 2 * x * y]), np.array(soft)[:, None]


def ours(size_m: tuple[float, float, float], soft: tuple[float, ...], scatter: float) -> float:
    areas, rows = axes(size_m, soft)
    return float(ringing_s(float(np.prod(size_m)), areas, rows, scatter)[0])


def traced_s(size_m: tuple[float, float, float], walls: Any, seed: int) -> float:
    """T30 of one response; its rays and its response each draw from numbers of their own."""
    room = pyroomacoustics.ShoeBox(
        size_m, fs=8000, materials=walls, max_order=0, ray_tracing=True, air_absorption=False
    )
    room.set_ray_tracing(n_rays=30000, receiver_radius=0.5, energy_thres=1e-9, time_thres=6.0)
    room.add_source([0.3 * size_m[0], 0.35 * size_m[1], 1.4])
    room.add_microphone([0.68 * size_m[0], 0.6 * size_m[1], 1.5])
    np.random.seed(seed)
    pyroomacoustics.random.seed(seed)
    pyroomacoustics.libroom.set_rng_seed(seed)
    room.compute_rir()
    return float(pyroomacoustics.experimental.measure_rt60(room.rir[0][0], fs=8000, decay_db=30))


@pytest.mark.parametrize(
    ("size_m", "soft", "scatter"),
    [
        (HALL, HALL_SOFT, 0.1),
        (HALL, HALL_SOFT, 0.2),
        (FLAT, FLAT_SOFT, 0.1),
        (FLAT, FLAT_SOFT, 0.4),
    ],
)
def test_against_traced_rays(
    size_m: tuple[float, float, float], soft: tuple[float, ...], scatter: float
) -> None:
    # Source: pyroomacoustics, rays with scattering, its own T30 of its own response; one response
    # differs from the next by up to a fifth, so the mean of four
    pyroomacoustics.constants.set("c", 343.2)
    names = (("east", "west"), ("north", "south"), ("ceiling", "floor"))
    walls = {
        name: pyroomacoustics.Material(absorption, scatter)
        for pair, absorption in zip(names, soft, strict=True)
        for name in pair
    }
    theirs = float(np.mean([traced_s(size_m, walls, seed) for seed in (1, 2, 3, 5)]))
    assert 0.8 * theirs < ours(size_m, soft, scatter) < 1.35 * theirs
    if scatter == 0.1:  # what one soft pair does: the diffuse figure is half of it or less
        areas, rows = axes(size_m, soft)
        assert theirs > 1.5 * float(eyring_s(float(np.prod(size_m)), areas, rows)[0])


def test_much_scattering_of_an_even_room_is_eyring() -> None:
    # property: a field that scatters fully and is absorbed evenly is Eyring's, to the 2 % by which
    # directions differ in how often they hit
    areas, rows = axes(FLAT, (0.1, 0.1, 0.1))
    eyring = float(eyring_s(50.0, areas, rows)[0])
    assert ours(FLAT, (0.1, 0.1, 0.1), 1.0) == pytest.approx(eyring, rel=0.02)


def test_less_scattering_never_shortens_a_room_with_one_soft_pair() -> None:
    # property
    times = [ours(HALL, HALL_SOFT, scatter) for scatter in (0.05, 0.1, 0.2, 0.4, 0.8)]
    assert times == sorted(times, reverse=True)


def test_people_and_air_take_from_every_direction() -> None:
    # By hand: bare walls alone ring for very long; A = 50 m2 of people in 100 m3: 0.161 * 100 / 50
    cube = (4.0, 5.0, 5.0)
    areas, rows = axes(cube, (1e-6, 1e-6, 1e-6))
    found = ringing_s(100.0, areas, rows, 0.5, extra_m2=np.array([50.0]))
    assert float(found[0]) == pytest.approx(0.322, abs=0.002)


def test_refusals() -> None:
    areas, rows = axes(FLAT, FLAT_SOFT)
    for bad in (0.0, 1.1):
        with pytest.raises(OutOfRange, match="scatter"):
            ringing_s(50.0, areas, rows, bad)
    with pytest.raises(OutOfRange, match="absorption"):
        ringing_s(50.0, areas[:2], rows[:2], 0.1)
    with pytest.raises(OutOfRange, match="absorption"):
        ringing_s(50.0, areas, np.zeros((3, 1)), 0.1)  # nothing absorbs: it never falls silent
