"""Key, fill and back light in a real room: a search over every place a stand could have, nearest
the ideal first.

Ideal key: 45 degrees across and 45 down, as far off as the height allows. Ideal fill: on the other
side, at lens height, where its own light is the key's divided by the ratio. Ideal back: behind the
subject, high, out of frame. "Near" is within 15 degrees for the key, 20 degrees down and 60 across for
the back light, 35 degrees across and half a metre of height for the fill (common practice).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cached_property, partial
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scout.calc.fit.floor.space import BoolArray
from scout.calc.fit.lens.camera import View
from scout.calc.fit.plan.scatter import FURTHEST_M, NEAREST_M, free_by_shape
from scout.calc.fit.stand.lights import Lamp, Stage, highest_m
from scout.calc.fit.stand.standing import REASONS, Asked, blocked, may_stand
from scout.calc.geometry import FloatArray, require

STEP_M, STEP_DEG = 0.1, 3.0
ASKED_AT_ONCE = 50
RATIO_TOLERANCE_STOPS = 0.1


@dataclass(frozen=True)
class Goal:
    """What a light should do, and how far from it is still near enough."""

    across_deg: float  # 0 to 180, which side is the caller's choice
    across_most_off_deg: float
    down_deg: float | None = 45.0  # None: height_m is wanted instead
    down_most_off_deg: float = 15.0
    height_m: float | None = None
    height_most_off_m: float = 0.5
    distance_m: float | None = None  # slant, to the face
    across_furthest_off_deg: float = 180.0  # further off than this it is no such light at all
    nearer_per_stop_deg: float = 2.0  # cost of being a stop too strong, in degrees: dimming is easy
    further_per_stop_deg: float = 2.0


@dataclass(frozen=True)
class Spot:
    """A place found for a light. `fits`: near its goal and out of every lens's frame."""

    at_m: tuple[float, float, float]
    across_deg: float  # signed, above 0 is picture right
    down_deg: float
    distance_m: float  # slant
    off_across_deg: float
    off_down_deg: float
    fits: bool
    near: bool  # near its goal, in frame or not
    clear_from_mm: float | None  # the shortest lens that does not see it; None: none was given
    ideal_m: tuple[float, float, float]
    cost: float
    judge_ideal: Callable[[], tuple[str, ...]] = field(compare=False, repr=False)

    @cached_property
    def against_ideal(self) -> tuple[str, ...]:
        """What speaks against the ideal place, as REASONS: asked of the few spots that are told."""
        return self.judge_ideal()


def key_goal(stage: Stage, lamp: Lamp) -> Goal:
    """45 across, 45 down, from as high as the stand and the ceiling allow."""
    rise = highest_m(stage.space, lamp) - stage.subject_m[2]
    return Goal(
        45.0,
        15.0,
        distance_m=rise * np.sqrt(2.0) if rise > 0.3 else 1.5,
        across_furthest_off_deg=45.0,
    )


def fill_goal(stage: Stage, distance_m: float) -> Goal:
    """The other side at lens height, where the fixture gives its share; too near is dimmed, too far
    cannot be helped.
    """
    require("distance_m", distance_m, above=0)
    return Goal(
        45.0,
        35.0,
        None,
        height_m=stage.camera_m[2],
        distance_m=distance_m,
        across_furthest_off_deg=45.0,
        nearer_per_stop_deg=4.0,
        further_per_stop_deg=40.0,
    )


def back_goal(stage: Stage, lamp: Lamp) -> Goal:
    """Opposite the camera, 45 down."""
    rise = highest_m(stage.space, lamp) - stage.subject_m[2]
    return Goal(
        180.0,
        60.0,
        45.0,
        20.0,
        distance_m=rise * np.sqrt(2.0) if rise > 0.3 else 2.0,
        across_furthest_off_deg=90.0,
    )


def fill_distance_m(
    key_distance_m: float, ratio: float, fill_over_key_intensity: float = 1.0
) -> float:
    """How far a fill must be for key : fill, each alone, to be the ratio.

    key_distance_m: slant [m], above 0; ratio: 1 or more; fill_over_key_intensity: above 0
    Returns: slant [m]
    Raises:  OutOfRange
    Source:  inverse square: E = I / d^2 for both
    """
    require("key_distance_m", key_distance_m, above=0)
    require("ratio", ratio, least=1)
    require("fill_over_key_intensity", fill_over_key_intensity, above=0)
    return float(key_distance_m * np.sqrt(ratio * fill_over_key_intensity))


@dataclass(frozen=True)
class NoSpot:
    """No place at all: the ceiling is below the stand's least, no floor is free, none on the side
    where such a light works, or
    every such place is in frame with every lens.
    """

    reason: Literal["ceiling", "floor", "side", "frame"]


def find_spot(
    stage: Stage, lamp: Lamp, goal: Goal, sides: tuple[int, ...] = (1, -1)
) -> Spot | NoSpot:
    """The best place for one light.

    sides:   +1 picture right, -1 picture left
    Returns: the place nearest the goal for the widest lens that lets one be near it; failing
        that, for the widest lens that lets
             one be anywhere; failing that, why there is none
    Raises:  OutOfRange
    Source:  every 3 degrees and 10 cm round the subject, then finer round the best
    Limits:  the floor is empty but for what the stage names; nobody hangs lights from the ceiling
    """
    places = free_places(stage, lamp, goal, sides)
    return places if isinstance(places, NoSpot) else find_among(stage, lamp, goal, places, sides)


def free_places(
    stage: Stage, lamp: Lamp, goal: Goal, sides: tuple[int, ...] = (1, -1)
) -> Asked | NoSpot:
    """Every place tried on which the light may stand, in frame or not, at the height that
    serves the goal best. Raises OutOfRange.
    """
    if highest_m(stage.space, lamp) < lamp.stand_min_m - 1e-9:
        return NoSpot("ceiling")
    if stage.by_shape:
        found = free_by_shape(stage, lamp, goal, sides)
        return (
            Asked(stage, lamp, found) if len(found) else NoSpot("frame" if stage.views else "floor")
        )
    places = _places(stage, lamp, goal, sides)
    off = np.abs(np.abs(stage.across_deg(places)) - goal.across_deg)
    such = off <= goal.across_furthest_off_deg + 1e-9  # elsewhere it is no such light at all
    free = places[such][may_stand(stage, lamp, places[such], None)]
    if len(free):
        return Asked(stage, lamp, free)
    return NoSpot("side" if bool(np.any(may_stand(stage, lamp, places[~such], None))) else "floor")


def find_among(
    stage: Stage, lamp: Lamp, goal: Goal, asked: Asked, sides: tuple[int, ...] = (1, -1)
) -> Spot | NoSpot:
    """As find_spot, among free places that were looked up before something more stood on the stage.
    Raises OutOfRange.
    """
    found = pool_among(stage, lamp, goal, asked, sides)
    if isinstance(found, NoSpot):
        return found
    return spot_at(
        stage,
        lamp,
        goal,
        _finer(stage, lamp, goal, found.places_m[0], found.view),
        found.lens,
        sides,
    )


@dataclass(frozen=True)
class Pool:
    """Places equally allowed, dearest last: `cost` (n,) in squared degrees, `lens` the widest that
    sees none of them, `view` its frame.
    """

    places_m: FloatArray
    cost: FloatArray
    lens: int
    view: View | None
    near: bool


def pool_among(
    stage: Stage,
    lamp: Lamp,
    goal: Goal,
    asked: Asked,
    sides: tuple[int, ...] = (1, -1),
    keep: int = 1,
    cell_m: float = 0.3,
) -> Pool | NoSpot:
    """The best places of all, one of each cell of the floor, for the widest lens that lets a light
    be near its goal, else be anywhere.

    keep:    how many at most; cell_m: breadth of a cell [m]
    Raises:  OutOfRange
    """
    # Sides in the order given, so that the first of them wins a draw.
    across = np.sign(stage.across_deg(asked.at_m))
    rows = np.concatenate([np.flatnonzero(across == side) for side in sides])
    # Off what has come to stand since as columns, and so their legs are too.
    for x, y, taken in stage.stood:
        off = np.hypot(asked.at_m[rows, 0] - x, asked.at_m[rows, 1] - y)
        rows = rows[off >= lamp.radius_m + taken]
    places = asked.at_m[rows]
    if not len(places):
        return NoSpot("floor")
    cost, near = judged(stage, goal, places)
    for wanted, is_near in ((near, True), (np.ones_like(near), False)):
        lens = _widest_lens(asked, rows[wanted])
        if lens is None:
            continue
        view = stage.views[lens] if stage.views else None
        allowed = np.flatnonzero(wanted)
        if view is not None:
            allowed = allowed[~asked.seen(lens)[rows[allowed]]]
        order = allowed[np.argsort(np.round(cost[allowed], 6), kind="stable")]
        if keep > 1:
            _, first = np.unique(np.floor(places[order, :2] / cell_m), axis=0, return_index=True)
            order = order[np.sort(first)]
        order = order[:keep]
        return Pool(places[order], cost[order], lens, view, is_near)
    return NoSpot("frame")


def judge_spot(
    stage: Stage, lamp: Lamp, goal: Goal, at_m: tuple[float, float, float]
) -> tuple[Spot, tuple[str, ...]]:
    """A place somebody has chosen: how near its goal it is, and every reason against it with the
    widest lens.

    Returns: the spot, which does not fit when any reason holds, and the reasons in the order of
        REASONS
    Raises:  OutOfRange
    """
    at = require("at_m", at_m)
    against = blocked(stage, lamp, at, stage.views[0] if stage.views else None)
    reasons = tuple(name for name in REASONS if bool(against[name]))
    lens = _widest_lens(Asked(stage, lamp, at[None, :]), np.array([0]))
    spot = spot_at(stage, lamp, goal, at, 0 if lens is None else lens, (1, -1))
    return replace(
        spot,
        fits=spot.fits and not reasons,
        clear_from_mm=None if lens is None else spot.clear_from_mm,
    ), reasons


def _widest_lens(asked: Asked, rows: NDArray[np.intp]) -> int | None:
    """The first lens that sees not all of these places; 0 when no lens is known, None when there is
    none.
    """
    if not len(rows):
        return None
    lenses = len(asked.stage.views)
    if not lenses:
        return 0
    low, high = 0, lenses
    while low < high:  # what a lens does not see, no longer lens sees: one camera, one axis
        middle = (low + high) // 2
        if bool(np.all(asked.seen(middle)[rows])):
            low = middle + 1
        else:
            high = middle
    return low if low < lenses else None


def _height_m(stage: Stage, lamp: Lamp, goal: Goal, away_m: FloatArray) -> FloatArray:
    """The height that serves the goal best so far away in plan."""
    level = goal.down_deg is None
    wanted = (
        goal.height_m
        if level
        else stage.subject_m[2] + away_m * np.tan(np.radians(goal.down_deg or 0.0))
    )
    return np.asarray(
        np.clip(
            np.broadcast_to(np.asarray(wanted, dtype=np.float64), away_m.shape),
            lamp.stand_min_m,
            highest_m(stage.space, lamp),
        )
    )


def _at(
    stage: Stage, lamp: Lamp, goal: Goal, across_deg: FloatArray, away_m: FloatArray
) -> FloatArray:
    plan = np.asarray(stage.subject_m)[:2] + stage.on_bearing(across_deg) * away_m[..., None]
    return np.concatenate([plan, _height_m(stage, lamp, goal, away_m)[..., None]], axis=-1)


def _ideal_away_m(stage: Stage, lamp: Lamp, goal: Goal) -> float:
    """Distance in plan of the ideal place."""
    slant = goal.distance_m if goal.distance_m is not None else 1.5
    if goal.down_deg is not None:
        return float(slant * np.cos(np.radians(goal.down_deg)))
    assert goal.height_m is not None
    height = float(np.clip(goal.height_m, lamp.stand_min_m, highest_m(stage.space, lamp)))
    return float(np.sqrt(max(slant**2 - (height - stage.subject_m[2]) ** 2, 0.01)))


def _places(stage: Stage, lamp: Lamp, goal: Goal, sides: tuple[int, ...]) -> FloatArray:
    reach = float(
        np.max(np.linalg.norm(stage.space.plan_m - np.asarray(stage.subject_m)[:2], axis=-1))
    )
    ideal = _ideal_away_m(stage, lamp, goal)
    away = np.concatenate([np.arange(NEAREST_M, min(reach, FURTHEST_M) + STEP_M, STEP_M), [ideal]])
    turn = np.concatenate([np.arange(STEP_DEG, 180.0, STEP_DEG), [goal.across_deg]])
    across = np.concatenate([side * turn for side in sides])
    grid_across, grid_away = np.meshgrid(across, away, indexing="ij")
    return _at(stage, lamp, goal, grid_across.ravel(), grid_away.ravel())


def judged(stage: Stage, goal: Goal, at_m: FloatArray) -> tuple[FloatArray, BoolArray]:
    """Cost in squared degrees, and whether each place (..., 3) is near the goal."""
    off_across = np.abs(stage.across_deg(at_m)) - goal.across_deg
    cost, near = off_across**2, np.abs(off_across) <= goal.across_most_off_deg + 1e-9
    if goal.down_deg is not None:
        off_down = stage.down_deg(at_m) - goal.down_deg
        cost, near = cost + off_down**2, near & (np.abs(off_down) <= goal.down_most_off_deg + 1e-9)
    else:
        off_height = at_m[..., 2] - (goal.height_m or 0.0)
        cost, near = (
            cost + (20.0 * off_height) ** 2,
            near & (np.abs(off_height) <= goal.height_most_off_m + 1e-9),
        )
    if goal.distance_m is not None:
        slant = np.linalg.norm(at_m - np.asarray(stage.subject_m), axis=-1)
        stops_far = 2.0 * np.log2(slant / goal.distance_m)
        cost = (
            cost
            + np.where(
                stops_far > 0,
                goal.further_per_stop_deg * stops_far,
                goal.nearer_per_stop_deg * stops_far,
            )
            ** 2
        )
    return np.asarray(cost), np.asarray(near)


def local_places(
    stage: Stage, lamp: Lamp, goal: Goal, at_m: FloatArray, step_deg: float, step_m: float
) -> FloatArray:
    """(n, 3) a place itself, then those round it within a step, at a tenth of the step and the
    height that serves the goal best.
    """
    across, away = (
        float(stage.across_deg(at_m)),
        float(np.hypot(*(at_m[:2] - np.asarray(stage.subject_m)[:2]))),
    )
    # legs in every turn are dear to ask, and where they matter a light has little way to go
    share = np.linspace(-1.0, 1.0, 7 if stage.by_shape else 21)
    grid_across, grid_away = np.meshgrid(
        across + share * step_deg, np.maximum(away + share * step_m, 0.3), indexing="ij"
    )
    return np.concatenate(
        [at_m[None, :], _at(stage, lamp, goal, grid_across.ravel(), grid_away.ravel())]
    )


def _finer(stage: Stage, lamp: Lamp, goal: Goal, at_m: FloatArray, view: View | None) -> FloatArray:
    """The best free place within one step of a free place, at a tenth of the step."""
    across = float(stage.across_deg(at_m))
    places = local_places(stage, lamp, goal, at_m, STEP_DEG, STEP_M)
    cost, near = judged(stage, goal, places)
    better = (cost < cost[0]) & (near | ~near[0])
    better &= np.sign(stage.across_deg(places)) == np.sign(across)
    order = np.flatnonzero(better)
    order = order[np.argsort(cost[order], kind="stable")]
    # The cheapest that is free wins, so that the rest need not be asked.
    for rows in np.array_split(order, 1 + len(order) // ASKED_AT_ONCE):
        free = rows[may_stand(stage, lamp, places[rows], view)]
        if len(free):
            return np.asarray(places[free[0]])
    return np.asarray(places[0])  # where it came from was checked before


def spot_at(
    stage: Stage, lamp: Lamp, goal: Goal, at_m: FloatArray, lens: int, sides: tuple[int, ...]
) -> Spot:
    """A place as found, with what speaks against the ideal one; `lens`: the widest that does not
    see it.
    """
    cost, near = judged(stage, goal, at_m[None, :])
    across, down = float(stage.across_deg(at_m)), float(stage.down_deg(at_m))
    side = (1 if across >= 0 else -1) if len(sides) > 1 else sides[0]
    ideal = _at(
        stage,
        lamp,
        goal,
        np.array([side * goal.across_deg]),
        np.array([_ideal_away_m(stage, lamp, goal)]),
    )[0]
    ideal_down = float(stage.down_deg(ideal))
    wanted_down = goal.down_deg if goal.down_deg is not None else ideal_down
    return Spot(
        at_m=_point(at_m),
        across_deg=across,
        down_deg=down,
        distance_m=float(np.linalg.norm(at_m - np.asarray(stage.subject_m))),
        off_across_deg=abs(across) - goal.across_deg,
        off_down_deg=down - wanted_down,
        fits=bool(near[0]) and lens == 0,
        near=bool(near[0]),
        clear_from_mm=stage.views[lens].focal_length_mm if stage.views else None,
        ideal_m=_point(ideal),
        cost=float(cost[0]),
        judge_ideal=partial(_against_ideal, stage, lamp, goal, ideal),
    )


def _against_ideal(stage: Stage, lamp: Lamp, goal: Goal, ideal: FloatArray) -> tuple[str, ...]:
    held = blocked(stage, lamp, ideal, stage.views[0] if stage.views else None)
    # the stand or the ceiling stops short of the ideal
    too_low = goal.down_deg is not None and float(stage.down_deg(ideal)) < goal.down_deg - 0.05
    return tuple(name for name in REASONS if bool(held[name]) or (name == "ceiling" and too_low))


def _point(at_m: FloatArray) -> tuple[float, float, float]:
    x, y, z = (float(v) for v in at_m)
    return x, y, z
