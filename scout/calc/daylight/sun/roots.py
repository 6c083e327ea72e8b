"""Where a smooth quantity of time turns and where it crosses zero, for whole batches of brackets at
once.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from scout.calc.geometry import FloatArray

# Rows are brackets, columns instants inside each: (k, n) seconds in, (k, n) values out, row i
# always of bracket i.
Rows = Callable[[FloatArray], FloatArray]
_POINTS = 17


def refine_crossings(
    f: Rows, low_s: FloatArray, high_s: FloatArray, *, within_s: float = 0.01
) -> FloatArray:
    """(k,) where f changes sign between low_s and high_s, each bracket cut in sixteen until it is
    shorter than within_s.
    """
    low, high = np.array(low_s, dtype=np.float64), np.array(high_s, dtype=np.float64)
    if not len(low):
        return low
    share = np.linspace(0.0, 1.0, _POINTS)
    rows = np.arange(len(low))
    starts_positive: NDArray[np.bool_] | None = None
    while np.max(high - low) > within_s:
        at = low[:, None] + (high - low)[:, None] * share
        positive = f(at) > 0
        if starts_positive is None:
            starts_positive = positive[:, 0]
        changed = positive != starts_positive[:, None]
        changed[:, -1] = True
        last = np.argmax(changed, axis=1)
        low, high = at[rows, np.maximum(last - 1, 0)], at[rows, np.maximum(last, 1)]
    return 0.5 * (low + high)


def refine_peaks(
    f: Rows, low_s: FloatArray, high_s: FloatArray, *, within_s: float = 0.5
) -> FloatArray:
    """(k,) where f is greatest between low_s and high_s, f rising to one peak and falling from it
    in each bracket.
    """
    low, high = np.array(low_s, dtype=np.float64), np.array(high_s, dtype=np.float64)
    if not len(low):
        return low
    share = np.linspace(0.0, 1.0, _POINTS)
    rows = np.arange(len(low))
    while np.max(high - low) > within_s:
        at = low[:, None] + (high - low)[:, None] * share
        best = np.argmax(f(at), axis=1)
        low, high = at[rows, np.maximum(best - 1, 0)], at[rows, np.minimum(best + 1, _POINTS - 1)]
    return 0.5 * (low + high)


def turning_points(
    f: Rows, at_s: FloatArray, values: FloatArray, *, within_s: float = 0.5
) -> FloatArray:
    """(k,) instants where a sampled f turns: the tops and bottoms between its samples."""
    middle = np.arange(1, len(at_s) - 1)
    tops = middle[(values[1:-1] >= values[:-2]) & (values[1:-1] > values[2:])]
    bottoms = middle[(values[1:-1] <= values[:-2]) & (values[1:-1] < values[2:])]
    sign = np.concatenate([np.ones(len(tops)), -np.ones(len(bottoms))])[:, None]
    index = np.concatenate([tops, bottoms])
    return refine_peaks(lambda t: sign * f(t), at_s[index - 1], at_s[index + 1], within_s=within_s)


def spells(
    cuts_s: FloatArray, is_so: Callable[[FloatArray], NDArray[np.bool_]]
) -> list[tuple[float, float]]:
    """The spells between sorted cuts in which is_so holds at the middle, neighbours joined."""
    cuts = np.unique(cuts_s)
    if len(cuts) < 2:
        return []
    holds = is_so(0.5 * (cuts[:-1] + cuts[1:]))
    found: list[tuple[float, float]] = []
    for start, end, so in zip(cuts[:-1], cuts[1:], holds, strict=True):
        if so and found and found[-1][1] == start:
            found[-1] = (found[-1][0], float(end))
        elif so:
            found.append((float(start), float(end)))
    return found
