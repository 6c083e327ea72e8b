"""What a light draws, and what a circuit may carry for hours."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require

# NEC 210.19(A), 210.20(A): a load of three hours or more, x 1.25, must not exceed the breaker;
# elsewhere common practice
CONTINUOUS_SHARE = 0.8
LOW_MAINS = (
    1.1  # a supply of constant power draws more on low mains: EN 50160 allows 10 % (from memory)
)
# Power factor when none is given (common practice): a filament is 1; an electronic supply without
# correction about 0.6, with it 0.9.
# Which of the two a fixture has is not known, so the worse is taken.
POWER_FACTOR_FILAMENT, POWER_FACTOR_ELECTRONIC = 1.0, 0.6


def current_a(watts: ArrayLike, volts: ArrayLike, power_factor: ArrayLike = 1.0) -> FloatArray:
    """Current of a load.
    watts, volts: broadcast together [W], 0 or more; [V], above 0
    power_factor: above 0, at most 1 [-]
    Returns:      W / (V PF) [A]
    Raises:       OutOfRange naming the argument
    Limits:       at the voltage given; a constant-power supply draws up to 1.1 times more on
        low mains
    """
    power = require("watts", watts, least=0)
    voltage = require("volts", volts, above=0)
    factor = require("power_factor", power_factor, above=0, most=1)
    return np.asarray(power / (voltage * factor))


def limit_a(breaker_a: float, continuous_share: float = CONTINUOUS_SHARE) -> float:
    """What a breaker may carry for hours [A]: its size times the share allowed (above 0, at most
    1).
    """
    require("breaker_a", breaker_a, above=0)
    require("continuous_share", continuous_share, above=0, most=1)
    return breaker_a * continuous_share
