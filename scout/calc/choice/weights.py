"""Weights from choices between two needs at a time."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from scout.calc.geometry import FloatArray, require
from scout.errors import Refused
from scout.values import said

Pair = tuple[int, int, float]  # the first counts so many times as much as the second


def pair_weights(count: int, pairs: Sequence[Pair]) -> tuple[FloatArray, float]:
    """Weights of a few choices: those whose ratios come nearest to what was chosen.

    count:   how many needs
    pairs:   which two, and how many times as much the first counts, above 0
    Returns: (needs,) weights that sum to 1; the greatest factor by which a choice misses them
    Raises:  Refused when the choices leave a need apart from the rest
    Source:  least squares of the logarithms; of a full set of choices these are the geometric
             means of the rows (Crawford and Williams, J. Math. Psychology 29, 1985)
    """
    design = np.zeros((len(pairs) + 1, count))
    wanted = np.zeros(len(pairs) + 1)
    for row, (one, other, ratio) in enumerate(pairs):
        require("ratio", ratio, above=0)
        design[row, one], design[row, other] = 1.0, -1.0
        wanted[row] = np.log(ratio)
    design[-1] = 1.0
    if np.linalg.matrix_rank(design) < count:
        raise Refused("pairs", len(pairs), said("refusal.pairs_apart"))
    logs = np.linalg.lstsq(design, wanted, rcond=None)[0]
    misses = np.abs(design[:-1] @ logs - wanted[:-1])
    weights = np.exp(logs)
    return weights / weights.sum(), float(np.exp(misses.max(initial=0.0)))
