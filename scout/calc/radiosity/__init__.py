"""Light between the surfaces of a room: the one radiosity solver, over any polygonal prism, by
patches.
"""

from scout.calc.radiosity.boxes import Box, unhidden
from scout.calc.radiosity.factors import (
    at_point,
    at_point_of,
    at_points,
    form_factors,
    points_factors,
    within_patches,
    within_patches_of,
)
from scout.calc.radiosity.lamp import (
    direct_at,
    direct_from_lamp,
    flux_lm,
    lobe_exponent,
    spread_from_lamp,
    spreads_from_lamp,
)
from scout.calc.radiosity.patches import Opening, Patches, cut
from scout.calc.radiosity.rooms import Enclosure, enclosure
from scout.calc.radiosity.transport import (
    CLOSED,
    CLOSED_SINGLE,
    carried,
    importance,
    importances,
    solve,
    symmetric_factors,
)
from scout.calc.radiosity.visibility import INWARD_M, is_convex, sees

__all__ = [
    "CLOSED",
    "CLOSED_SINGLE",
    "INWARD_M",
    "Box",
    "Enclosure",
    "Opening",
    "Patches",
    "at_point",
    "at_point_of",
    "at_points",
    "carried",
    "cut",
    "direct_at",
    "direct_from_lamp",
    "enclosure",
    "flux_lm",
    "form_factors",
    "importance",
    "importances",
    "is_convex",
    "lobe_exponent",
    "points_factors",
    "sees",
    "solve",
    "spread_from_lamp",
    "spreads_from_lamp",
    "symmetric_factors",
    "unhidden",
    "within_patches",
    "within_patches_of",
]
