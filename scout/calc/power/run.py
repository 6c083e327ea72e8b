"""How long a lead must be: along the walls from the outlet, then straight out to the light; or
straight over the floor, taped, where nobody walks there and the walls are a long way round.

outlet o----------+ foot of the perpendicular on the wall nearest to the light
                  |
                  * light            plus outlet height down, fixture height up, and 10 % slack
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scout.calc import geometry
from scout.calc.geometry import FloatArray, require
from scout.errors import OutOfRange
from scout.values import names, said

SLACK = 0.10  # common practice
ACROSS_SAVES_M = 3.0  # the walls are kept to unless they cost so much more (common practice)
# Sold lengths of leads (common practice): in metres, and in feet where feet are read.
LEADS_M = (5, 10, 20, 25, 50)
LEADS_FT = (15, 25, 50, 100)


def sold_m(need_m: float) -> float:
    """The next length of a lead that is sold [m]; beyond the longest, the next whole metre."""
    return float(next((sold for sold in LEADS_M if sold >= need_m - 1e-9), np.ceil(need_m)))


@dataclass(frozen=True)
class OnWall:
    """A stretch of a wall, from its left end as seen from inside: a door, or (of no width) an
    outlet.
    """

    id: str
    wall: str
    offset_m: float
    width_m: float = 0.0
    keep_free: bool = False  # an exit: crossed by no lead that can go another way


@dataclass(frozen=True, eq=False)
class Trodden:
    """Where people walk or things stand, so that no lead goes straight over the floor there, in
    plan. floors: polygons (k, 2), doors' floor and furniture; lines: the walk, lens to subject (k, 2).
    """

    floors: tuple[FloatArray, ...] = ()
    lines: tuple[FloatArray, ...] = ()

    @cached_property
    def _edges(self) -> tuple[FloatArray, FloatArray]:
        """(k, 2) twice: where every edge of them starts and ends."""
        starts = [*self.floors, *(line[:-1] for line in self.lines)]
        ends = [*map(geometry.onward, self.floors), *(line[1:] for line in self.lines)]
        return (
            np.concatenate([np.empty((0, 2)), *starts]),
            np.concatenate([np.empty((0, 2)), *ends]),
        )

    def free(self, plan_m: FloatArray, plug_m: FloatArray, at_m: FloatArray) -> NDArray[np.bool_]:
        """(...) whether the straight line from an outlet (2,) to places (..., 2) in the room crosses
        neither these nor a wall.
        """
        at = np.asarray(at_m, dtype=np.float64)[..., :2]
        plan = np.asarray(plan_m, dtype=np.float64)
        start, end = self._edges
        free = ~geometry.cuts(start, end, at, plug_m)
        if not geometry.is_convex(plan):
            free &= ~geometry.cut_by(plan, at, plug_m)
            between = plug_m + np.linspace(0.1, 0.9, 9)[:, None] * (at - plug_m)[..., None, :]
            free &= np.all(geometry.inside(plan, between, edge_m=0.01), axis=-1)
        return np.asarray(free)


@dataclass(frozen=True)
class CableRun:
    """The lead from an outlet to a light."""

    along_m: float  # along the walls
    out_m: float  # from the wall straight out, or the whole way over the floor
    whole_m: float  # with both heights and the slack: what the lead must be
    straight_m: float  # in plan, across the floor: what it is not
    doors: tuple[
        str, ...
    ]  # crossed on the way because both ways round cross one: tape or ramp the lead there
    shorter_m: float | None = (
        None  # the whole lead by the other way round, which is shorter but crosses doors
    )
    shorter_doors: tuple[str, ...] = ()
    path_m: tuple[
        tuple[float, float], ...
    ] = ()  # in plan: outlet, corners passed, foot on the wall, light
    exits: tuple[str, ...] = ()  # of `doors`, those to keep free
    across: bool = False  # straight over the floor, taped


@dataclass(frozen=True)
class _Way:
    """One way round the walls."""

    along_m: float
    clockwise: bool
    doors: tuple[str, ...]
    exits: tuple[str, ...]


def cable_run(
    plan_m: ArrayLike,
    outlet: OnWall,
    outlet_height_m: float,
    light_m: ArrayLike,
    doors: Sequence[OnWall] = (),
    *,
    slack: float = SLACK,
    trodden: Trodden | None = None,
) -> CableRun:
    """The lead from an outlet to a light: the way round the walls that crosses fewest exits, then
    fewest doors, and of two alike the shorter; straight over the floor where nobody walks and that
    way crosses a door or takes 3 m more.
    plan_m:          (corners, 2), clockwise
    outlet:          where it sits; outlet_height_m above the floor [m], 0 or more
    light_m:         (3,) the fixture, in the plan, height above the floor 0 or more
    doors:           to go round, or to be named where that cannot be
    slack:           added for bends, share of the whole, 0 or more
    trodden:         where people walk; None: not known, and no lead goes over the floor
    Returns:         lengths [m], the doors crossed, and what the shorter way would cross
    Raises:          OutOfRange: a wall the plan has not, an offset past its end, a light outside
    Source:          common practice: leads lie along walls, round doors; taped down where not
    """
    walls = geometry.walls(plan_m)
    require("outlet_height_m", outlet_height_m, least=0)
    require("slack", slack, least=0)
    light = require("light_m", light_m)
    require("light_m", light[2], least=0)
    if not bool(geometry.inside(plan_m, light[:2], edge_m=0.01)):
        raise OutOfRange("light_m", tuple(float(v) for v in light), said("refusal.outside_plan"))
    starts = np.concatenate([[0.0], np.cumsum([wall.length_m for wall in walls])])
    around = float(starts[-1])
    begins, plug_m = _round_m(walls, starts, outlet)
    wall, offset, out = _foot(walls, light[:2])
    foot = float(starts[wall]) + offset
    rightward = (foot - begins) % around
    leftward = around - rightward if rightward > 0 else 0.0
    ways = []
    for along, clockwise, first in ((rightward, True, begins), (leftward, False, foot)):
        passed = [door for door in doors if _passes(walls, starts, door, first, along, around)]
        exits = tuple(door.id for door in passed if door.keep_free)
        ways.append(_Way(along, clockwise, tuple(door.id for door in passed), exits))
    best, other = sorted(
        ways, key=lambda way: (len(way.exits), len(way.doors), way.along_m, not way.clockwise)
    )
    up_m = out + outlet_height_m + float(light[2])
    straight_m = float(np.hypot(*(light[:2] - plug_m)))
    across_m = (straight_m + outlet_height_m + float(light[2])) * (1.0 + slack)
    if (
        trodden is not None
        and goes_across((best.along_m + up_m) * (1.0 + slack) - across_m, len(best.doors))
        and bool(trodden.free(np.asarray(plan_m, dtype=np.float64), plug_m, light[:2]))
    ):
        plug, foot_m = ((float(x), float(y)) for x, y in (plug_m, light[:2]))
        way = (plug, foot_m)
        return CableRun(0.0, straight_m, across_m, straight_m, (), path_m=way, across=True)
    shorter = other if other.along_m < best.along_m - 1e-9 else None
    past = sorted(
        ((float(s) - begins) % around if best.clockwise else (begins - float(s)) % around, i)
        for i, s in enumerate(starts[:-1])
    )
    corners = [walls[i].start_m for far, i in past if 1e-9 < far < best.along_m - 1e-9]
    path = tuple(
        (float(x), float(y))
        for x, y in (plug_m, *corners, walls[wall].point(offset)[:2], light[:2])
    )
    return CableRun(
        best.along_m,
        out,
        (best.along_m + up_m) * (1.0 + slack),
        straight_m,
        best.doors,
        (shorter.along_m + up_m) * (1.0 + slack) if shorter is not None else None,
        shorter.doors if shorter is not None else (),
        path,
        best.exits,
    )


def goes_across(saved_m: ArrayLike, doors: ArrayLike) -> NDArray[np.bool_]:
    """Whether a free way over the floor is taken that is so much shorter than the one along the
    walls, which crosses so many doors.
    """
    saved = np.asarray(saved_m)
    return np.asarray((saved > 0.0) & ((np.asarray(doors) > 0) | (saved >= ACROSS_SAVES_M)))


def cable_path_m(
    plan_m: ArrayLike,
    outlet: OnWall,
    light_m: ArrayLike,
    doors: Sequence[OnWall] = (),
    trodden: Trodden | None = None,
) -> FloatArray:
    """(points, 2) the way of the lead that cable_run measures: from the outlet along the walls,
    then straight out to the light, or straight over the floor.

    Raises: OutOfRange as cable_run
    """
    return np.array(cable_run(plan_m, outlet, 0.0, light_m, doors, trodden=trodden).path_m)


def _round_m(
    walls: tuple[geometry.Wall, ...], starts: FloatArray, thing: OnWall
) -> tuple[float, FloatArray]:
    for i, wall in enumerate(walls):
        if wall.letter == thing.wall:
            offset = float(require("offset_m", thing.offset_m, least=0, most=wall.length_m + 0.01))
            return float(starts[i]) + min(offset, wall.length_m), wall.point(offset)[:2]
    raise no_such_wall(thing.wall, [wall.letter for wall in walls])


def no_such_wall(letter: str, letters: Sequence[str]) -> OutOfRange:
    """What is raised for a wall that the plan has not."""
    return OutOfRange("wall", letter, said("refusal.one_of", choices=names(letters, "or")))


def _foot(walls: tuple[geometry.Wall, ...], point: FloatArray) -> tuple[int, float, float]:
    """The wall nearest to a point, how far along it, and how far off it; of walls equally near, the
    first.
    """
    best = (0, 0.0, np.inf)
    for i, wall in enumerate(walls):
        along = float(np.clip((point - wall.start_m) @ wall.along, 0.0, wall.length_m))
        off = float(np.hypot(*(point - wall.start_m - along * wall.along)))
        if off < best[2] - 1e-9:
            best = (i, along, off)
    return best


def _passes(
    walls: tuple[geometry.Wall, ...],
    starts: FloatArray,
    door: OnWall,
    first: float,
    along: float,
    around: float,
) -> bool:
    left, _ = _round_m(walls, starts, door)
    to_door = (left - first) % around
    # Either the run reaches the door's left edge, or it starts within the door.
    return along > 1e-9 and (
        to_door < along - 1e-9 or (first - left) % around < door.width_m - 1e-9
    )
