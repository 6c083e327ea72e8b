"""A room ready for light: its patches and their form factors, worked out once for each shape of
room.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scout.calc.geometry import FloatArray
from scout.calc.held import MB, held
from scout.calc.radiosity.boxes import Box
from scout.calc.radiosity.factors import form_factors
from scout.calc.radiosity.patches import Opening, Patches, cut
from scout.calc.radiosity.transport import symmetric_factors


@dataclass(frozen=True, eq=False)
class Enclosure:
    """Patches (p) and their form factors (p, p), plain and symmetric. Shared between callers:
    nobody writes into the arrays.
    """

    patches: Patches
    factors: FloatArray
    symmetric: NDArray[
        np.float32
    ]  # single precision is enough for light closed to 1e-5, at half the time


@held(16, 32 * MB, kept_bytes=32 * MB)
def enclosure(
    plan_m: tuple[tuple[float, float], ...],
    height_m: float,
    openings: tuple[Opening, ...] = (),
    patch_m: float = 0.5,
    boxes: tuple[Box, ...] = (),
) -> Enclosure:
    """The enclosure of a room; the same numbers give the same object back. Arguments and Raises as
    for `cut`.
    """
    patches = cut(plan_m, height_m, openings, patch_m, boxes)
    factors = form_factors(patches)
    symmetric = symmetric_factors(factors, patches.area_m2).astype(np.float32)
    for array in (patches.corners_m, patches.normal, patches.surface, factors, symmetric):
        array.flags.writeable = False
    return Enclosure(patches, factors, symmetric)
