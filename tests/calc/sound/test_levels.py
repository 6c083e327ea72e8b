"""Weightings and the arithmetic of levels against IEC 61672-1 and worked examples."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.calc.sound.levels import (
    a_level_db,
    c_level_db,
    sum_db,
)
from scout.calc.sound.weighting import (
    A_OCTAVES_DB,
    C_OCTAVES_DB,
    OCTAVES_HZ,
    a_weighting_db,
    c_weighting_db,
    exact_octaves_hz,
)
from scout.errors import OutOfRange
from tests.refusing import refused

QUIET = dict(
    zip((63, 125, 250, 500, 1000, 2000, 4000, 8000), (45, 40, 34, 30, 27, 24, 20, 17), strict=True)
)
RUMBLE = dict(
    zip((63, 125, 250, 500, 1000, 2000, 4000, 8000), (58, 50, 44, 38, 33, 28, 22, 18), strict=True)
)
# Source: IEC 61672-1, table 2.
PRINTED_A = (-39.4, -26.2, -16.1, -8.6, -3.2, 0.0, 1.2, 1.0, -1.1, -6.6)
PRINTED_C = (-3.0, -0.8, -0.2, 0.0, 0.0, 0.0, -0.2, -0.8, -3.0, -8.5)


def test_weightings_meet_the_printed_table_at_the_exact_frequencies() -> None:
    # Source: IEC 61672-1, table 2, printed to 0.1 dB, holding at 1000*10^(0.1 n).
    assert A_OCTAVES_DB == PRINTED_A
    assert C_OCTAVES_DB == PRINTED_C
    assert a_weighting_db(exact_octaves_hz()) == pytest.approx(np.array(PRINTED_A), abs=0.0501)
    assert c_weighting_db(exact_octaves_hz()) == pytest.approx(np.array(PRINTED_C), abs=0.0501)
    assert exact_octaves_hz()[[1, 2, 8]] == pytest.approx(
        np.array([63.096, 125.89, 7943.3]), abs=0.05
    )  # IEC 61260-1, base ten


def test_nominal_frequencies_are_not_the_exact_ones() -> None:
    # By hand: the annex E formula fed 16000 and 125 Hz instead of 15849 and 125.89 Hz gives -6.71
    # and -16.19 dB.
    assert a_weighting_db([16000.0, 125.0]) == pytest.approx(np.array([-6.71, -16.19]), abs=0.01)


def test_weightings_at_1_khz_are_nothing() -> None:
    # Source: IEC 61672-1: by definition 0 dB at 1 kHz.
    assert float(a_weighting_db(1000.0)) == pytest.approx(0.0, abs=1e-9)
    assert float(c_weighting_db(1000.0)) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("bad", [0.0, -20.0, float("nan"), float("inf")])
def test_weighting_refuses_what_is_no_frequency(bad: float) -> None:
    with pytest.raises(OutOfRange, match="frequency_hz"):
        a_weighting_db(bad)


def test_sums_add_powers() -> None:
    # By hand: 10 log10(2) = 3.01; 10^5 + 10^4.4 + 10^4 = 135119 -> 51.31.
    assert sum_db([60, 60]) == pytest.approx(63.01, abs=0.005)
    assert sum_db([50, 44, 40]) == pytest.approx(51.31, abs=0.005)
    assert sum_db([33.0]) == pytest.approx(33.0)
    assert sum_db([5000.0, 5000.0]) == pytest.approx(
        5003.01, abs=0.005
    )  # property: no power overflows


def test_levels_from_octaves() -> None:
    # By hand: table 2 of IEC 61672-1 added band by band, then summed.
    assert a_level_db(QUIET) == pytest.approx(33.31, abs=0.005)
    assert c_level_db(QUIET) == pytest.approx(46.04, abs=0.005)
    assert a_level_db(RUMBLE) == pytest.approx(41.31, abs=0.005)
    assert c_level_db(RUMBLE) == pytest.approx(58.16, abs=0.005)


def test_pink_octaves() -> None:
    # By hand: eight equal octaves 63 to 8000 Hz: each 10 log10 8 = 9.03 below the total, A-weighted
    # 2.04 below it.
    each = dict.fromkeys(OCTAVES_HZ[1:9], 60.0 - 9.031)
    assert a_level_db(each) == pytest.approx(60.0 - 2.04, abs=0.01)


def test_octaves_refuse_strangers() -> None:
    with refused("refusal.no_octave", "bands_db"):
        a_level_db({100: 40.0})
    with refused("refusal.no_level"):
        a_level_db({})
    with pytest.raises(OutOfRange, match="finite"):
        a_level_db({1000: float("nan")})


@given(st.lists(st.floats(-20, 140), min_size=1, max_size=20), st.floats(-30, 30))
def test_sum_lies_above_the_loudest_and_moves_with_gain(levels: list[float], gain: float) -> None:
    # property: a sum is at least its loudest part, at most 10 log10 n above it, and a gain changes
    # it by just that gain.
    total = sum_db(levels)
    assert max(levels) - 1e-9 <= total <= max(levels) + 10 * np.log10(len(levels)) + 1e-9
    assert sum_db([level + gain for level in levels]) == pytest.approx(total + gain, abs=1e-9)
