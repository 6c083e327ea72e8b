"""Weightings A and C against the standard's printed table."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.sound.weighting import (
    A_OCTAVES_DB,
    C_OCTAVES_DB,
    OCTAVES_HZ,
    a_weighting_db,
    c_weighting_db,
    exact_octaves_hz,
)
from scout.errors import OutOfRange

# Source: IEC 61672-1:2013, table 3: number of the third octave from 1 kHz, A and C in dB
TABLE = [
    (-20, -70.4, -14.3),
    (-15, -39.4, -3.0),
    (-13, -30.2, -1.3),
    (-12, -26.2, -0.8),
    (-9, -16.1, -0.2),
    (-6, -8.6, 0.0),
    (-3, -3.2, 0.0),
    (0, 0.0, 0.0),
    (3, 1.2, -0.2),
    (6, 1.0, -0.8),
    (9, -1.1, -3.0),
    (12, -6.6, -8.5),
    (13, -9.3, -11.2),
]


@pytest.mark.parametrize(("number", "a_db", "c_db"), TABLE)
def test_against_the_table(number: int, a_db: float, c_db: float) -> None:
    hz = 1000.0 * 10.0 ** (number / 10.0)
    assert a_weighting_db(hz) == pytest.approx(a_db, abs=0.051)
    assert c_weighting_db(hz) == pytest.approx(c_db, abs=0.051)


def test_octaves_are_every_third_of_them() -> None:
    table = {number: (a, c) for number, a, c in TABLE}
    wanted = [table[number] for number in range(-15, 13, 3)]
    assert list(zip(A_OCTAVES_DB, C_OCTAVES_DB, strict=True)) == wanted
    # by hand: 1000 * 10^0.3 = 1995.26, and nominal middles lie within two hundredths of the exact
    assert exact_octaves_hz()[[5, 6]] == pytest.approx([1000.0, 1995.262])
    assert exact_octaves_hz() == pytest.approx(np.array(OCTAVES_HZ), rel=0.02)


@pytest.mark.parametrize("weighting", [a_weighting_db, c_weighting_db])
def test_a_frequency_is_above_nothing(weighting: object) -> None:
    with pytest.raises(OutOfRange):
        weighting([0.0])  # type: ignore[operator]
