"""White over part of a surface: where it does most, and the act that hangs it there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from scout.assess.answers import Act, Cover, act
from scout.assess.bounce.room import of_surface
from scout.calc.bounce.cloth import Cloth, best_cloth
from scout.calc.geometry import FloatArray
from scout.calc.radiosity import Patches
from scout.values import Figure, Many

WHITE = 0.85  # a clean white sheet or board (common practice)
COVER_SHARES = (0.25, 0.5, 1.0)


def cloths(patches: Patches, surface: str, weight: FloatArray) -> Iterator[Cloth]:
    """Cloths to try on a surface, the small ones first; none but the whole hangs over an opening."""
    mine = patches.of(surface)
    size = float(patches.area_m2[mine].sum())
    for share in COVER_SHARES:
        whole = share == 1.0
        held = np.where(mine, np.maximum(weight, 1e-12), 0.0)
        cloth = best_cloth(patches, surface, held, share * size, over=whole)
        if cloth is not None:
            yield replace(cloth, whole=whole)


def cover_of(cloth: Cloth) -> Cover:
    """Where a cloth lies."""
    return Cover(cloth.surface, *cloth.along_m, *cloth.across_m)


def white(cloth: Cloth, lights: Many) -> Act:
    """To hang it on a wall, stretch it under a ceiling or lay it on a floor."""
    surface, area = of_surface(cloth.surface), Figure(cloth.area_m2, "m2")
    (start, end), (low, high) = cloth.along_m, cloth.across_m
    if cloth.surface not in ("floor", "ceiling"):
        return act(
            "hang.white",
            surface=surface,
            area=area,
            along=Figure((start + end) / 2, "m", start, end),
            height=Figure((low + high) / 2, "m", low, high),
            lights=lights,
        )
    width, depth = Figure(end - start, "m"), Figure(high - low, "m")
    if cloth.surface == "floor":
        return act("lay.white", surface=surface, area=area, width=width, depth=depth, lights=lights)
    return act("stretch.white", surface=surface, area=area, width=width, depth=depth, lights=lights)
