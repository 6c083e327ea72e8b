"""How long a lead must be: over the floor from the outlet to the light, round what it must not cross,
up to the outlet and to the fixture, and some slack.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from scout.calc import geometry
from scout.calc.geometry import FloatArray, require
from scout.calc.power.ways import CROSSED_M, Floor, Kind, Ring
from scout.errors import OutOfRange
from scout.values import names, said

SLACK = 0.10  # common practice
OFF_WALL_M = 0.5  # a lead so near a wall lies along it (our rule)
OPEN_M = 2.0  # more than so much of it away from the walls is taped (our rule)
STEP_M = 0.1  # along a lead, where it is asked how far off the walls it lies
# Sold lengths of leads (common practice): in metres, and in feet where feet are read.
LEADS_M = (5, 10, 20, 25, 50)
LEADS_FT = (15, 25, 50, 100)


def sold_m(need_m: float) -> float:
    """The next length of a lead that is sold [m]; beyond the longest, the next whole metre."""
    return float(next((sold for sold in LEADS_M if sold >= need_m - 1e-9), np.ceil(need_m)))


@dataclass(frozen=True)
class OnWall:
    """An outlet on its wall, so far from the wall's left end as seen from inside."""

    id: str
    wall: str
    offset_m: float


@dataclass(frozen=True)
class CableRun:
    """The lead from an outlet to a light."""

    floor_m: float  # on the floor
    whole_m: float  # with both heights and the slack: what the lead must be
    straight_m: float  # in plan, from outlet to light
    path_m: Ring  # in plan: outlet, corners gone round, light
    doors: tuple[str, ...] = ()  # whose floor it crosses, since no way leads round: tape or ramp it
    exits: tuple[str, ...] = ()  # of `doors`, those to keep free
    crosses: frozenset[Kind] = frozenset()  # what else it lies across
    open_floor: bool = False  # much of it lies away from the walls: taped


def cable_run(
    floor: Floor,
    outlet: OnWall,
    outlet_height_m: float,
    light_m: ArrayLike,
    *,
    slack: float = SLACK,
) -> CableRun:
    """The lead from an outlet to a light: the shortest way over the floor round exits, doors,
    furniture, the walk and the shot; where no way leads round, the one least across them.

    outlet:          where it sits; outlet_height_m above the floor [m], 0 or more
    light_m:         (3,) the fixture, in the plan, height above the floor 0 or more
    slack:           added for bends, share of the whole, 0 or more
    Returns:         lengths [m], and what is crossed
    Raises:          OutOfRange: a wall the plan has not, an offset past its end, a light outside
    Source:          common practice: leads are laid round what people use, and taped
    """
    require("outlet_height_m", outlet_height_m, least=0)
    require("slack", slack, least=0)
    light = require("light_m", light_m)
    require("light_m", light[2], least=0)
    if not bool(geometry.inside(floor.plan_m, light[:2], edge_m=0.01)):
        raise OutOfRange("light_m", tuple(float(v) for v in light), said("refusal.outside_plan"))
    plug_m = on_plan_m(floor.plan_m, outlet)
    way = floor.way(plug_m, light[:2])
    crossed = [
        zone for zone, inside in zip(floor.zones, way.inside_m, strict=True) if inside > CROSSED_M
    ]
    doors = [zone for zone in crossed if zone.kind in ("door", "exit")]
    return CableRun(
        way.length_m,
        (way.length_m + outlet_height_m + float(light[2])) * (1.0 + slack),
        float(np.hypot(*(light[:2] - plug_m))),
        way.path_m,
        tuple(zone.id for zone in doors),
        tuple(zone.id for zone in doors if zone.kind == "exit"),
        frozenset(zone.kind for zone in crossed if zone not in doors),
        _away_from_walls_m(floor, way.path_m) > OPEN_M,
    )


def on_plan_m(plan_m: ArrayLike, outlet: OnWall) -> FloatArray:
    """(2,) where an outlet is in plan. Raises OutOfRange for a wall the plan has not, or an offset
    past its end.
    """
    walls = geometry.walls(plan_m)
    for wall in walls:
        if wall.letter == outlet.wall:
            offset = require("offset_m", outlet.offset_m, least=0, most=wall.length_m + 0.01)
            return wall.point(min(float(offset), wall.length_m))[:2]
    raise no_such_wall(outlet.wall, [wall.letter for wall in walls])


def no_such_wall(letter: str, letters: Sequence[str]) -> OutOfRange:
    """What is raised for a wall that the plan has not."""
    return OutOfRange("wall", letter, said("refusal.one_of", choices=names(letters, "or")))


def _away_from_walls_m(floor: Floor, path_m: Ring) -> float:
    """How much of a way lies away from the walls [m]."""
    away = 0.0
    points = np.array(path_m)
    for start, end in pairwise(points):
        long = float(np.hypot(*(end - start)))
        count = max(1, round(long / STEP_M))
        along = start + (np.arange(count)[:, None] + 0.5) / count * (end - start)
        off = geometry.distance_to_walls_m(floor.plan_m, along)
        away += long * float(np.mean(off > OFF_WALL_M))
    return away
