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
# what a small crew hangs, lays on a floor or stretches under a ceiling: a sheet of 2 by 3 m, or two
# side by side (common practice); nobody covers a room
SHEETS_M = ((2.0, 3.0), (3.0, 4.0))
MOST_M2 = 12.0


def cloths(patches: Patches, surface: str, weight: FloatArray) -> Iterator[Cloth]:
    """Cloths to try on a surface, the small ones first: sheets, of which none hangs over a window or
    a door; and the whole of a wall that is no larger than two of them.
    """
    mine = patches.of(surface)
    size = float(patches.area_m2[mine].sum())
    held = np.where(mine, np.maximum(weight, 1e-12), 0.0)
    tried = [
        best_cloth(patches, surface, held, sides[0] * sides[1], sides_m=sides) for sides in SHEETS_M
    ]
    if surface not in ("floor", "ceiling") and size <= MOST_M2:
        tried.append(best_cloth(patches, surface, held, size, over=True))
    there = [cloth for cloth in tried if cloth is not None]
    for cloth in there:
        yield replace(cloth, largest=cloth is there[-1])


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
