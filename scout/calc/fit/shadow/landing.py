"""Where the shadow of a head falls, and how soft its edge is.

light o--- a ---( head )--- b ---| wall        penumbra = source width x b / a
                                               full shadow ends at b = head width x a / (source -
                                               head width)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.fit.floor.space import Space
from scout.calc.geometry import FloatArray, require, walls
from scout.errors import OutOfRange
from scout.values import said

SHADOW_FREE_M = 1.5  # a subject this far off the wall loses its hard shadow (common practice)


@dataclass(frozen=True)
class Landing:
    """Where a line from a light past a point ends: a wall's letter, floor, ceiling, or None under
    open sky.
    """

    surface: str | None
    at_m: tuple[float, float, float] | None
    beyond_m: float | None  # from the point to there


def shadow_landing(
    space: Space, light_m: ArrayLike, edge_m: ArrayLike, *, has_walls: bool = True
) -> Landing:
    """Where the light's shadow of a point falls first: a wall, the floor or the ceiling.

    light_m, edge_m: (3,), the light and what throws the shadow (the top of a head), not the
        same point [m]
    Returns:  the surface, the place on it, and how far beyond the edge it is
    Raises:   OutOfRange, naming the argument
    Source:   the straight line through both, cut by each plane of the room
    """
    light, edge = require("light_m", light_m), require("edge_m", edge_m)
    way = edge - light
    reach = float(np.linalg.norm(way))
    if reach < 1e-6:
        raise OutOfRange("edge_m", tuple(edge), said("refusal.space.same_place"))
    hits: list[tuple[float, str]] = []
    if way[2] < -1e-12:
        hits.append((-light[2] / way[2], "floor"))
    if space.ceiling_m is not None and way[2] > 1e-12:
        hits.append(((space.ceiling_m - light[2]) / way[2], "ceiling"))
    if has_walls:
        for wall in walls(space.plan_m):
            rate = float(way[:2] @ wall.outward)
            if abs(rate) < 1e-12:
                continue
            t = float((wall.start_m - light[:2]) @ wall.outward) / rate
            along = float((light[:2] + t * way[:2] - wall.start_m) @ wall.along)
            if -1e-9 <= along <= wall.length_m + 1e-9:
                hits.append((t, wall.letter))
    beyond = [(t, name) for t, name in hits if t > 1.0 + 1e-9]
    if not beyond:
        return Landing(None, None, None)
    t, name = min(beyond)
    x, y, z = light + t * way
    return Landing(name, (float(x), float(y), float(z)), float((t - 1.0) * reach))


def penumbra_m(
    source_m: ArrayLike, light_to_edge_m: ArrayLike, edge_to_wall_m: ArrayLike
) -> FloatArray:
    """Width of the soft edge of a shadow: source width times b / a.

    source_m: (...), 0 or more; light_to_edge_m: (...), above 0; edge_to_wall_m: (...), 0 or more
    Returns:  (...), [m]
    Raises:   OutOfRange, naming the argument
    """
    source = require("source_m", source_m, least=0)
    a = require("light_to_edge_m", light_to_edge_m, above=0)
    return np.asarray(source * require("edge_to_wall_m", edge_to_wall_m, least=0) / a)
