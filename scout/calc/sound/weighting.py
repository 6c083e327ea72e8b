"""Frequency weightings A and C, at any frequency and for whole octave bands."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require

# Pole frequencies of the analogue design, IEC 61672-1, annex E.
F1_HZ, F2_HZ, F3_HZ, F4_HZ = 20.598997, 107.65265, 737.86223, 12194.217

OCTAVES_HZ: tuple[float, ...] = (
    31.5,
    63.0,
    125.0,
    250.0,
    500.0,
    1000.0,
    2000.0,
    4000.0,
    8000.0,
    16000.0,
)
# IEC 61672-1, table 2 (1/10 dB), at the octaves above: what a level from octave bands is made with.
A_OCTAVES_DB: tuple[float, ...] = (-39.4, -26.2, -16.1, -8.6, -3.2, 0.0, 1.2, 1.0, -1.1, -6.6)
C_OCTAVES_DB: tuple[float, ...] = (-3.0, -0.8, -0.2, 0.0, 0.0, 0.0, -0.2, -0.8, -3.0, -8.5)


def exact_octaves_hz() -> FloatArray:
    """(10,) the exact middle of each octave of OCTAVES_HZ, 1000 * 10^(0.3 n) (IEC 61260-1, base
    ten).
    """
    return np.asarray(1000.0 * 10.0 ** (0.3 * np.arange(-5, 5)))


def _a_response(f: FloatArray) -> FloatArray:
    below = (f**2 + F1_HZ**2) * np.sqrt((f**2 + F2_HZ**2) * (f**2 + F3_HZ**2)) * (f**2 + F4_HZ**2)
    return np.asarray(F4_HZ**2 * f**4 / below)


def _c_response(f: FloatArray) -> FloatArray:
    return np.asarray(F4_HZ**2 * f**2 / ((f**2 + F1_HZ**2) * (f**2 + F4_HZ**2)))


def a_weighting_db(frequency_hz: ArrayLike) -> FloatArray:
    """A weighting at each frequency.
    frequency_hz: (...,) [Hz], above 0
    Returns:      (...,) [dB], 0 at 1 kHz exactly
    Raises:       OutOfRange for a frequency of 0 or less, or not finite
    Source:       IEC 61672-1, annex E; its table is printed at the exact middles 1000*10^(0.1
        n), not at the nominal ones
    """
    f = require("frequency_hz", frequency_hz, above=0)
    return np.asarray(20.0 * np.log10(_a_response(f) / _a_response(np.array(1000.0))))


def c_weighting_db(frequency_hz: ArrayLike) -> FloatArray:
    """C weighting at each frequency.
    frequency_hz: (...,) [Hz], above 0
    Returns:      (...,) [dB], 0 at 1 kHz exactly
    Raises:       OutOfRange for a frequency of 0 or less, or not finite
    Source:       IEC 61672-1, annex E
    """
    f = require("frequency_hz", frequency_hz, above=0)
    return np.asarray(20.0 * np.log10(_c_response(f) / _c_response(np.array(1000.0))))
