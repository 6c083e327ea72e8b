"""A subject who walks: points along the path and how many stops the light changes on it."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require
from scout.errors import OutOfRange
from scout.values import said


def path_points_m(path_m: ArrayLike, step_m: float = 0.5) -> FloatArray:
    """Points along a path, its corners among them, no further apart than a step.

    path_m:  (corners, 3), [m], two or more
    step_m:  [m], above 0
    Returns: (points, 3)
    Raises:  OutOfRange, naming the argument
    """
    corners = require("path_m", path_m)
    require("step_m", step_m, above=0)
    if corners.ndim != 2 or corners.shape[0] < 2 or corners.shape[1] != 3:
        raise OutOfRange("path_m", corners.shape, said("refusal.space.path"))
    pieces = [corners[:1]]
    for start, end in pairwise(corners):
        # A whole number of steps that float division leaves a hair over must not gain a step.
        count = max(1, int(np.ceil(float(np.linalg.norm(end - start)) / step_m - 1e-9)))
        pieces.append(start + (end - start) * (np.arange(1, count + 1) / count)[:, None])
    return np.concatenate(pieces)


def stops_along(lux: ArrayLike, ambient_lux: float = 0.0) -> float:
    """Stops from the darkest point of a path to its brightest, with an even ambient added.

    lux:         (points,), from the lamps [lx], 0 or more
    ambient_lux: even along the path [lx], 0 or more
    Returns:     [stops], 0 or more
    Raises:      OutOfRange, naming the argument; also when some point gets no light at all
    Source:      log2(Emax / Emin)
    """
    total = require("lux", lux, least=0) + require("ambient_lux", ambient_lux, least=0)
    require("lux", total, above=0)
    return float(np.log2(np.max(total) / np.min(total)))
