"""What a light draws, and what a circuit may carry for hours."""

from __future__ import annotations

from scout.calc.geometry import require

# NEC 210.19(A), 210.20(A): a load of three hours or more, x 1.25, must not exceed the breaker;
# elsewhere common practice
CONTINUOUS_SHARE = 0.8
# Power factor when none is given (common practice): a filament is 1; an electronic supply without
# correction about 0.6, with it 0.9.
# Which of the two a fixture has is not known, so the worse is taken.
POWER_FACTOR_FILAMENT, POWER_FACTOR_ELECTRONIC = 1.0, 0.6


def limit_a(breaker_a: float, continuous_share: float = CONTINUOUS_SHARE) -> float:
    """What a breaker may carry for hours [A]: its size times the share allowed (above 0, at most
    1).
    """
    require("breaker_a", breaker_a, above=0)
    require("continuous_share", continuous_share, above=0, most=1)
    return breaker_a * continuous_share
