"""Gauss's points of a line, each rule worked out once."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from scout.calc.geometry import FloatArray


@lru_cache(maxsize=64)
def gauss_legendre(count: int) -> tuple[FloatArray, FloatArray]:
    """Points on (-1, 1) and their weights, which add up to 2; neither can be written to.

    Source: Gauss-Legendre quadrature, as numpy works it out by the eigenvalues of a matrix, each
        time anew
    """
    points, weights = (
        np.asarray(one, dtype=np.float64) for one in np.polynomial.legendre.leggauss(count)
    )
    points.flags.writeable = weights.flags.writeable = False
    return points, weights
