"""Absorption and reverberation in rooms whose answers are known."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.calc.geometry import FloatArray, rectangle_m
from scout.calc.sound.absorption import (
    ABSORPTION_BANDS_HZ,
    absorption,
    absorption_each_m2,
    air_absorption_per_m,
    is_counted,
    materials,
)
from scout.calc.sound.reverberation import (
    absorption_area_m2,
    arau_puchades_s,
    eyring_s,
    pairs_of_walls,
    reverberation_s,
    sabine_s,
    schroeder_hz,
    speed_of_sound_m_s,
)
from scout.errors import OutOfRange
from tests.refusing import refused

# Source: M. Vorlaender, Auralization (Springer 2008), annex; `person` EN 12354-6, from memory.
PRINTED = {
    "hard_surface": (0.02, 0.02, 0.03, 0.03, 0.04, 0.05),
    "brick_rendered": (0.01, 0.02, 0.02, 0.03, 0.03, 0.04),
    "brick_painted": (0.01, 0.01, 0.02, 0.02, 0.02, 0.02),
    "concrete_rough": (0.02, 0.03, 0.03, 0.03, 0.04, 0.07),
    "concrete_floor": (0.01, 0.03, 0.05, 0.02, 0.02, 0.02),
    "tile_or_marble": (0.01, 0.01, 0.01, 0.02, 0.02, 0.02),
    "plasterboard_wall": (0.15, 0.10, 0.06, 0.04, 0.04, 0.05),
    "plasterboard_ceiling": (0.20, 0.15, 0.10, 0.08, 0.04, 0.02),
    "glass": (0.10, 0.05, 0.04, 0.03, 0.03, 0.03),
    "double_glazing": (0.10, 0.07, 0.05, 0.03, 0.02, 0.02),
    "wood_door": (0.14, 0.10, 0.06, 0.08, 0.10, 0.10),
    "wood_floor": (0.18, 0.12, 0.10, 0.09, 0.08, 0.07),
    "linoleum": (0.02, 0.03, 0.03, 0.03, 0.03, 0.02),
    "carpet_thin": (0.02, 0.04, 0.08, 0.20, 0.35, 0.40),
    "carpet_closed_foam": (0.03, 0.09, 0.25, 0.31, 0.33, 0.44),
    "carpet_open_foam": (0.03, 0.09, 0.20, 0.54, 0.70, 0.72),
    "drapes_cotton": (0.30, 0.45, 0.65, 0.56, 0.59, 0.71),
    "curtain_light": (0.05, 0.06, 0.39, 0.63, 0.70, 0.73),
    "curtain_velvet": (0.05, 0.12, 0.35, 0.45, 0.38, 0.36),
    "ceiling_tile": (0.49, 0.53, 0.53, 0.75, 0.92, 0.99),
    "rockwool": (0.22, 0.60, 0.92, 0.90, 0.88, 0.88),
    "seats_upholstered": (0.70, 0.76, 0.81, 0.84, 0.84, 0.81),
    "seats_wooden": (0.05, 0.08, 0.10, 0.12, 0.12, 0.12),
    "audience": (0.16, 0.24, 0.56, 0.69, 0.81, 0.78),
}
BANDS = [ABSORPTION_BANDS_HZ.index(band) for band in (500, 1000, 4000)]


def room(
    width: float, length: float, height: float, parts: dict[str, list[tuple[float, str]]]
) -> tuple[float, FloatArray, FloatArray, list[int]]:
    """Volume, areas, coefficients (all six bands) and axes of a rectangular room; a wall's bare
    rest is its first material.
    """
    whole = {
        "A": width * height,
        "C": width * height,
        "B": length * height,
        "D": length * height,
        "ceiling": width * length,
        "floor": width * length,
    }
    axis = {"A": 0, "C": 0, "B": 1, "D": 1, "ceiling": 2, "floor": 2}
    areas, rows, axes = [], [], []
    for name, pieces in parts.items():
        bare = whole[name] - sum(area for area, _ in pieces[1:])
        for area, material in [(bare, pieces[0][1]), *pieces[1:]]:
            areas.append(area)
            rows.append(absorption(material))
            axes.append(axis[name])
    return width * length * height, np.array(areas), np.array(rows), axes


HARD = [(0.0, "hard_surface")]
R1 = room(
    5,
    4,
    2.5,
    {
        "A": [*HARD, (3.0, "glass")],
        "B": HARD,
        "C": [*HARD, (1.6, "wood_door")],
        "D": HARD,
        "ceiling": HARD,
        "floor": [(0, "wood_floor")],
    },
)
R2 = room(
    5,
    4,
    2.5,
    {
        "A": [*HARD, (7.0, "drapes_cotton")],
        "B": HARD,
        "C": [*HARD, (1.6, "wood_door")],
        "D": HARD,
        "ceiling": [(0, "plasterboard_ceiling")],
        "floor": [(0, "carpet_closed_foam")],
    },
)
BOARD = [(0.0, "plasterboard_wall")]
R3 = room(
    8,
    6,
    2.8,
    {
        "A": [*BOARD, (9.0, "double_glazing")],
        "B": BOARD,
        "C": BOARD,
        "D": BOARD,
        "ceiling": [(0, "ceiling_tile")],
        "floor": [(0, "carpet_thin")],
    },
)
BRICK = [(0.0, "brick_painted")]
R4 = room(
    12,
    9,
    4,
    {
        "A": [(0, "drapes_cotton")],
        "B": BRICK,
        "C": BRICK,
        "D": BRICK,
        "ceiling": [(0, "concrete_rough")],
        "floor": [(0, "concrete_floor")],
    },
)


def test_the_vocabulary_and_its_figures() -> None:
    assert materials() == (*PRINTED, "person")
    for material, row in PRINTED.items():
        assert absorption(material) == pytest.approx(np.array(row)), material
        assert not is_counted(material)
    assert is_counted("person")
    assert absorption_each_m2("person") == pytest.approx(
        np.array([0.05, 0.10, 0.20, 0.35, 0.50, 0.65])
    )


def test_63_and_8000_take_their_neighbours() -> None:
    # common practice: no column is printed there; the nearest printed one stands in.
    assert absorption("wood_floor", (63, 125, 4000, 8000)) == pytest.approx(
        np.array([0.18, 0.18, 0.07, 0.07])
    )
    with refused("refusal.no_octave", "bands_hz"):
        absorption("wood_floor", (100,))
    with refused("refusal.no_material", "material"):
        absorption("velvet")
    with refused("refusal.counted"):
        absorption("person")
    with refused("refusal.by_area"):
        absorption_each_m2("glass")


@pytest.mark.parametrize(
    ("case", "area", "sabine", "eyring"),
    [
        # Source: pyroomacoustics 0.10.1 (rt60_sabine, rt60_eyring) with the same coefficients; 500,
        # 1000 and 4000 Hz, no air.
        (R1, (4.03, 3.83, 4.67), (2.00, 2.10, 1.72), (1.95, 2.05, 1.68)),
        (R2, (12.74, 12.94, 16.15), (0.63, 0.62, 0.50), (0.58, 0.57, 0.45)),
        (R3, (33.89, 48.65, 70.37), (0.64, 0.45, 0.31), (0.57, 0.38, 0.24)),
        (R4, (42.24, 34.68, 46.20), (1.65, 2.01, 1.51), (1.55, 1.91, 1.41)),
    ],
)
def test_four_rooms(
    case: tuple[float, FloatArray, FloatArray, list[int]],
    area: tuple[float, ...],
    sabine: tuple[float, ...],
    eyring: tuple[float, ...],
) -> None:
    volume, areas, rows, _ = case
    assert absorption_area_m2(areas, rows)[BANDS] == pytest.approx(np.array(area), abs=0.006)
    assert sabine_s(volume, areas, rows)[BANDS] == pytest.approx(np.array(sabine), abs=0.0055)
    assert eyring_s(volume, areas, rows)[BANDS] == pytest.approx(np.array(eyring), abs=0.0055)


@pytest.mark.parametrize(
    ("case", "rays"),
    [
        # Source: pyroomacoustics 0.10.1 ray tracing, scattering 0.7, 20 000 rays, mean of 3 runs,
        # T30. Promise: 15 %.
        (R1, (1.88, 2.00, 1.67)),
        (R2, (0.56, 0.55, 0.42)),
        (R3, (0.51, 0.35, 0.27)),
        (R4, (1.58, 2.00, 1.39)),
    ],
)
def test_eyring_against_rays(
    case: tuple[float, FloatArray, FloatArray, list[int]], rays: tuple[float, ...]
) -> None:
    volume, areas, rows, _ = case
    assert eyring_s(volume, areas, rows)[BANDS] == pytest.approx(np.array(rays), rel=0.15)


@pytest.mark.parametrize(
    ("case", "printed"),
    [
        # By hand: Arau-Puchades, product of the axis times by Eyring, Acustica 65 (1988) 163; the
        # same rooms.
        (R3, (0.76, 0.68, 0.44)),
        (R4, (2.85, 3.89, 2.59)),
    ],
)
def test_axis_by_axis(
    case: tuple[float, FloatArray, FloatArray, list[int]], printed: tuple[float, ...]
) -> None:
    volume, areas, rows, axes = case
    assert arau_puchades_s(volume, areas, rows, axes)[BANDS] == pytest.approx(
        np.array(printed), abs=0.0055
    )


def test_axis_by_axis_is_eyring_when_all_axes_are_alike() -> None:
    # property: with one coefficient everywhere every axis has the same time, which is Eyring's.
    volume, areas, _, axes = R1
    even = np.full((len(areas), 1), 0.3)
    assert arau_puchades_s(volume, areas, even, axes) == pytest.approx(
        eyring_s(volume, areas, even)
    )


def test_which_formula_is_said() -> None:
    # By hand: R3 mean absorption 33.89/174.4 = 0.194 at 500 Hz (Sabine), 48.65/174.4 = 0.279 at 1
    # kHz (Eyring).
    volume, areas, rows, _ = R3
    found = reverberation_s(volume, areas, rows)
    assert found.sabine[BANDS].tolist() == [True, False, False]
    assert found.time_s[BANDS] == pytest.approx(np.array([0.64, 0.38, 0.24]), abs=0.0055)
    assert found.mean_absorption[BANDS[1]] == pytest.approx(0.279, abs=0.001)


def test_schroeder_frequency() -> None:
    # By hand: 2000 sqrt(T/V); R2 0.573 s in 50 m3, R1 1.95 s in 50 m3, R4 1.55 s in 432 m3.
    assert schroeder_hz(0.573, 50) == pytest.approx(214, abs=0.5)
    assert schroeder_hz(1.95, 50) == pytest.approx(395, abs=0.5)
    assert schroeder_hz(1.55, 432) == pytest.approx(120, abs=0.5)


def test_air_absorption() -> None:
    # Source: ISO 9613-1 at 20 degC, 50 % humidity, energy per metre.
    assert air_absorption_per_m([1000.0, 2000.0, 4000.0, 8000.0]) == pytest.approx(
        np.array([0.0011, 0.0023, 0.0068, 0.024]), rel=0.05
    )
    # Source: ISO 9613-1:1993, table 1, 20 degC, 50 %: 4.66, 9.89 and 29.7 dB/km at 1, 2 and 4 kHz
    # (from memory).
    assert air_absorption_per_m([1000.0, 2000.0, 4000.0]) * 4342.9 == pytest.approx(
        np.array([4.66, 9.89, 29.7]), rel=0.02
    )


def test_air_shortens_the_ringing() -> None:
    # By hand: R1 at 4 kHz: A 4.67 + 4*0.0068*50 = 6.03 m2 -> 0.161*50/6.03 = 1.335 s.
    volume, areas, rows, _ = R1
    assert sabine_s(volume, areas, rows[:, 5:], air_per_m=0.0068)[0] == pytest.approx(
        1.335, abs=0.005
    )


def test_speed_of_sound() -> None:
    assert speed_of_sound_m_s(20.0) == pytest.approx(343.2, abs=0.05)  # handbook figure


def test_a_room_that_never_falls_silent_is_refused() -> None:
    with pytest.raises(OutOfRange, match="absorption"):
        sabine_s(50, [85.0], [[0.0]])
    with refused("refusal.all_absorbing", "absorption"):
        eyring_s(50, [85.0], [[0.5]], extra_m2=60.0)
    with pytest.raises(OutOfRange, match="volume_m3"):
        sabine_s(0, [85.0], [[0.1]])
    with pytest.raises(OutOfRange, match="1 or less"):
        sabine_s(50, [85.0], [[1.2]])
    with pytest.raises(OutOfRange, match="finite"):
        sabine_s(50, [85.0], [[float("nan")]])
    with refused("refusal.shapes", "absorption"):
        sabine_s(50, [85.0, 3.0], [[0.1]])
    with pytest.raises(OutOfRange, match="axis"):
        arau_puchades_s(50, [85.0], [[0.1]], [0, 1])
    with pytest.raises(OutOfRange, match="absorption"):
        arau_puchades_s(50, [40.0, 45.0], [[0.1], [0.0]], [0, 1])


def test_pairs_of_walls() -> None:
    assert pairs_of_walls(rectangle_m(5, 6.5)) in {(0, 1, 0, 1), (1, 0, 1, 0)}
    ell = [(0, 6), (3, 6), (3, 3), (6, 3), (6, 0), (0, 0)]
    pairs = pairs_of_walls(ell)
    assert pairs is not None
    assert len({pairs[0], pairs[2], pairs[4]}) == 1
    assert len({pairs[1], pairs[3], pairs[5]}) == 1
    assert pairs[0] != pairs[1]
    assert pairs_of_walls([(0, 4), (5, 4), (7, 0), (0, 0)]) is None
    turned = np.array(ell) @ np.array(
        [[0.8, 0.6], [-0.6, 0.8]]
    )  # property: turning the plan changes nothing
    assert pairs_of_walls(turned) is not None


@given(st.floats(0.01, 0.95), st.floats(10, 2000))
def test_eyring_is_never_above_sabine(coefficient: float, volume: float) -> None:
    # property: -ln(1-a) > a, and the two agree as a goes to nothing.
    area = 6.0 * volume ** (2 / 3)
    sabine, eyring = (
        sabine_s(volume, [area], [[coefficient]])[0],
        eyring_s(volume, [area], [[coefficient]])[0],
    )
    assert eyring <= sabine
    assert eyring / sabine >= 1 - coefficient
