"""What air and surfaces take out of a sound."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.sound.absorption import (
    absorption,
    absorption_each_m2,
    air_absorption_per_m,
    is_counted,
    materials,
)
from scout.errors import OutOfRange

OCTAVES = np.array([1000.0 * 10.0 ** (0.3 * n) for n in range(-4, 4)])


@pytest.mark.parametrize(
    ("air_c", "humidity", "db_per_km"),
    # Source: ISO 9613-2:1996, table 2, from 63 Hz to 8 kHz, reckoned at the exact middles
    [
        (10, 70, (0.1, 0.4, 1.0, 1.9, 3.7, 9.7, 32.8, 117)),
        (20, 70, (0.1, 0.3, 1.1, 2.8, 5.0, 9.0, 22.9, 76.6)),
        (30, 70, (0.1, 0.3, 1.0, 3.1, 7.4, 12.7, 23.1, 59.3)),
        (15, 20, (0.3, 0.6, 1.2, 2.7, 8.2, 28.2, 88.8, 202)),
        (15, 50, (0.1, 0.5, 1.2, 2.2, 4.2, 10.8, 36.2, 129)),
        (15, 80, (0.1, 0.3, 1.1, 2.4, 4.1, 8.3, 23.7, 82.8)),
    ],
)
def test_air_against_the_standard(
    air_c: float, humidity: float, db_per_km: tuple[float, ...]
) -> None:
    taken = air_absorption_per_m(OCTAVES, air_c=air_c, humidity_pct=humidity)
    # energy by the metre into decibels by the kilometre
    assert taken.shape == (8,)
    for found, printed in zip(taken * 10_000.0 * np.log10(np.e), db_per_km, strict=True):
        assert found == pytest.approx(printed, abs=0.055 if printed < 100 else 0.51)


def test_thin_air_takes_more_out_of_a_high_sound_and_as_much_where_gas_relaxes() -> None:
    """By hand: what is left far above both relaxations is the classical part, which goes by one over
    the pressure: at half of it a sound of 10 MHz loses twice as much.
    """
    low, high = (
        air_absorption_per_m(1e7, pressure_pa=pressure) for pressure in (101_325.0, 50_662.5)
    )
    assert high / low == pytest.approx(2.0, rel=1e-3)


@pytest.mark.parametrize(
    ("name", "inside", "outside"),
    [
        ("air_c", -20.0, -20.1),
        ("air_c", 50.0, 50.1),
        ("humidity_pct", 10.0, 9.9),
        ("humidity_pct", 100.0, 100.1),
        ("pressure_pa", 200_000.0, 200_001.0),
        ("pressure_pa", 1.0, 0.0),
    ],
)
def test_the_standard_s_own_limits(name: str, inside: float, outside: float) -> None:
    assert air_absorption_per_m(1000.0, **{name: inside}) > 0
    with pytest.raises(OutOfRange) as refusal:
        air_absorption_per_m(1000.0, **{name: outside})
    assert refusal.value.path == name


def test_a_frequency_is_above_nothing() -> None:
    with pytest.raises(OutOfRange) as refusal:
        air_absorption_per_m([1000.0, 0.0])
    assert refusal.value.path.startswith("frequency_hz")


def test_materials_are_by_area_or_counted() -> None:
    # property: each word is one or the other; a person is counted
    counted = {word for word in materials() if is_counted(word)}
    assert counted == {"person"}
    for word in materials():
        if word in counted:
            assert absorption_each_m2(word).shape == (6,)
            with pytest.raises(OutOfRange):
                absorption(word)
        else:
            found = absorption(word)
            assert np.all((found >= 0) & (found <= 1))
            with pytest.raises(OutOfRange):
                absorption_each_m2(word)


def test_bands_that_are_not_printed_take_their_neighbour_s_figure() -> None:
    printed = absorption("carpet_thin")
    assert absorption("carpet_thin", (63, 125, 8000, 4000, 1000)).tolist() == [
        *(printed[0], printed[0], printed[5], printed[5], printed[3])
    ]
    for band in (31, 16000, 440):
        with pytest.raises(OutOfRange) as refusal:
            absorption("carpet_thin", (band,))
        assert refusal.value.path == "bands_hz"
    with pytest.raises(OutOfRange) as refusal:
        absorption("felt")
    assert refusal.value.path == "material"
