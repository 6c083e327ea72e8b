"""Noise criterion by the tangent method."""

from __future__ import annotations

import pytest

from scout.calc.sound.levels import a_level_db
from scout.calc.sound.nc import (
    NC_BANDS_HZ,
    noise_criterion,
    whole_nc,
)
from scout.errors import OutOfRange
from tests.refusing import refused

# Source: ANSI/ASA S12.2-1995, the printed curves; last column by hand: A level of the curve (IEC
# 61672-1, table 2, summed).
CURVES = {
    15: ((47, 36, 29, 22, 17, 14, 12, 11), 27.1),
    20: ((51, 40, 33, 26, 22, 19, 17, 16), 31.4),
    25: ((54, 44, 37, 31, 27, 24, 22, 21), 35.6),
    30: ((57, 48, 41, 35, 31, 29, 28, 27), 39.8),
    35: ((60, 52, 45, 40, 36, 34, 33, 32), 44.2),
    40: ((64, 56, 50, 45, 41, 39, 38, 37), 49.0),
    45: ((67, 60, 54, 49, 46, 44, 43, 42), 53.4),
    50: ((71, 64, 58, 54, 51, 49, 48, 47), 58.1),
    55: ((74, 67, 62, 58, 56, 54, 53, 52), 62.6),
    60: ((77, 71, 67, 63, 61, 59, 58, 57), 67.5),
    65: ((80, 75, 71, 68, 66, 64, 63, 62), 72.3),
}


def spectrum(*levels: float) -> dict[int, float]:
    return dict(zip(NC_BANDS_HZ, levels, strict=True))


@pytest.mark.parametrize("nc", CURVES)
def test_the_printed_curves(nc: int) -> None:
    levels, a_level = CURVES[nc]
    assert a_level_db(spectrum(*levels)) == pytest.approx(a_level, abs=0.051)
    found = noise_criterion(spectrum(*levels))
    assert found.nc == pytest.approx(nc)
    assert found.set_by_hz == NC_BANDS_HZ  # property: the curve itself touches in every band


@pytest.mark.parametrize(
    ("levels", "nc", "set_by"),
    [
        # By hand: the tangent on the printed curves, in each band between its two neighbours.
        ((45, 40, 34, 30, 27, 24, 20, 17), 25.0, (1000, 2000)),
        ((62, 55, 47, 42, 40, 36, 30, 24), 39.0, (1000,)),
        ((58, 50, 44, 38, 33, 28, 22, 18), 33.75, (250,)),
        ((40, 48, 38, 30, 26, 22, 18, 15), 30.0, (125,)),
        # Source: a textbook classroom; its printed answer is NC-46.
        ((61, 56, 54, 50, 44, 43, 39, 34), 46.0, (500,)),
    ],
)
def test_worked_spectra(levels: tuple[float, ...], nc: float, set_by: tuple[int, ...]) -> None:
    found = noise_criterion(spectrum(*levels))
    assert found.nc == pytest.approx(nc, abs=0.005)
    assert found.set_by_hz == set_by


def test_halves_round_up() -> None:
    assert whole_nc(33.75) == 34  # by hand
    assert whole_nc(24.5) == 25


def test_under_and_over_all_curves() -> None:
    under = noise_criterion(spectrum(46, 35, 28, 21, 16, 13, 11, 10))
    assert (under.nc, under.set_by_hz) == (None, ())
    just = noise_criterion(spectrum(40, 30, 29, 20, 10, 10, 10, 10))  # 250 Hz on the lowest curve
    assert (just.nc, just.set_by_hz) == (pytest.approx(15.0), (250,))
    over = noise_criterion(spectrum(80, 75, 71, 70, 66, 64, 63, 62))
    assert (over.nc, over.set_by_hz) == (None, (500,))


def test_a_missing_band_is_refused_not_guessed() -> None:
    bands = spectrum(45, 40, 34, 30, 27, 24, 20, 17)
    del bands[63]
    with refused("refusal.octave_missing", "bands_db"):
        noise_criterion(bands)
    with pytest.raises(OutOfRange, match="finite"):
        noise_criterion(bands | {63: float("nan")})
