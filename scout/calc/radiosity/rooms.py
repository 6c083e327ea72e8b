"""A room ready for light: its patches and their form factors, worked out once for each shape of room."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from scout.calc.geometry import FloatArray
from scout.calc.radiosity.factors import form_factors
from scout.calc.radiosity.patches import Opening, Patches, cut


@dataclass(frozen=True)
class Enclosure:
    """Patches (p) and their form factors (p, p). Shared between callers: nobody writes into the arrays."""

    patches: Patches
    factors: FloatArray


@lru_cache(maxsize=16)
def enclosure(
    plan_m: tuple[tuple[float, float], ...], height_m: float, openings: tuple[Opening, ...] = (), patch_m: float = 0.5
) -> Enclosure:
    """The enclosure of a room; the same numbers give the same object back. Arguments and Raises as for `cut`."""
    patches = cut(plan_m, height_m, openings, patch_m)
    factors = form_factors(patches)
    for array in (patches.corners_m, patches.normal, patches.surface, factors):
        array.flags.writeable = False
    return Enclosure(patches, factors)
