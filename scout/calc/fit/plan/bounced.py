"""The alternative to a light on the face: the key turned onto the ceiling or a wall.

ceiling ----x------          the lit patch x stands for the light; the fixture stays out of the eyes
and needs
           / \\              little height, at the price of stops and of the surface's colour
     light o  S
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from scout.calc.fit.floor.space import clear_depth_m, distance_to_line_m
from scout.calc.fit.plan.search import Goal, NoSpot, Spot, find_spot
from scout.calc.fit.stand.lights import Lamp, Stage, highest_m
from scout.calc.geometry import FloatArray, walls

BOUNCE_HEIGHT_M = 1.6  # low enough to throw a wide patch, high enough to be out of eyes
WALL_GAP_M = 0.3  # the patch stays off the walls, whose colour it would take on
LEAST_THROW_M = (
    0.8  # nearer to the surface than this the bounced patch is a hot spot (common practice)
)


@dataclass(frozen=True)
class BouncePlan:
    """A light turned away from the face onto a surface: where it stands, and the spot of the
    surface it points at.
    """

    surface: str  # ceiling, or a wall's letter
    aim_m: tuple[float, float, float]
    spot: Spot | NoSpot


def ceiling_bounce(stage: Stage, lamp: Lamp, side: int) -> BouncePlan | None:
    """A bounce off the ceiling that comes down on the face at 45 degrees from the key's side.

    side:    +1 or -1, tried first
    Returns: None under open sky, or when the stand's least height is within 0.8 m of the ceiling
    Raises:  OutOfRange
    Source:  the lit patch overhead stands for the light: 45 degrees down from it to the face
    Limits:  the ceiling level and clear; how much arrives, and in what colour, is for the
        bounce engine
    """
    ceiling_m = stage.space.ceiling_m
    if (
        ceiling_m is None
        or min(ceiling_m - LEAST_THROW_M, highest_m(stage.space, lamp)) < lamp.stand_min_m
    ):
        return None
    highest = min(ceiling_m - LEAST_THROW_M, highest_m(stage.space, lamp))
    rise = ceiling_m - stage.subject_m[2]
    goal = Goal(
        45.0,
        45.0,
        None,
        height_m=min(highest, BOUNCE_HEIGHT_M),
        height_most_off_m=2.0,
        distance_m=rise,
        nearer_per_stop_deg=8.0,
        further_per_stop_deg=8.0,
    )
    spot = find_spot(stage, replace(lamp, stand_max_m=highest), goal, (side, -side))
    if isinstance(spot, NoSpot):
        return BouncePlan("ceiling", _overhead(stage, side * 45.0, rise), spot)
    to_wall = clear_depth_m(
        stage.space.plan_m, np.asarray(stage.subject_m)[:2], stage.on_bearing(spot.across_deg)
    )
    return BouncePlan(
        "ceiling",
        _overhead(stage, spot.across_deg, min(rise, max(to_wall - WALL_GAP_M, 0.0))),
        spot,
    )


def _overhead(stage: Stage, across_deg: float, away_m: float) -> tuple[float, float, float]:
    x, y = np.asarray(stage.subject_m)[:2] + stage.on_bearing(across_deg) * away_m
    return float(x), float(y), float(stage.space.ceiling_m or 0.0)


def wall_bounce(stage: Stage, lamp: Lamp, side: int) -> BouncePlan | None:
    """A bounce off the wall on the key's side: the light stands between subject and wall and points
    at the wall.

    side:    +1 or -1, tried first
    Returns: None when no stand can stand so with 0.8 m to the wall
    Raises:  OutOfRange
    Source:  the lit patch on the wall stands for the light, as high over the face as wall and
        stand allow
    Limits:  the wall bare where it is lit (a window there reflects nothing); interiors only
    """
    for turn in (side, -side):
        towards = stage.on_bearing(turn * 60.0)
        to_wall = clear_depth_m(stage.space.plan_m, np.asarray(stage.subject_m)[:2], towards)
        reach = to_wall - LEAST_THROW_M
        if reach < lamp.radius_m + 0.5 or highest_m(stage.space, lamp) < lamp.stand_min_m:
            continue
        goal = Goal(
            60.0,
            30.0,
            None,
            height_m=stage.subject_m[2] + 0.3,
            height_most_off_m=1.0,
            distance_m=reach,
            nearer_per_stop_deg=8.0,
            further_per_stop_deg=30.0,
        )
        spot = find_spot(stage, lamp, goal, (turn,))
        if isinstance(spot, NoSpot):
            continue
        at, u = np.asarray(spot.at_m), stage.on_bearing(spot.across_deg)
        ahead = clear_depth_m(stage.space.plan_m, at[:2], u)
        if ahead < LEAST_THROW_M - 0.1:
            continue
        hit = at[:2] + u * ahead
        top = stage.space.ceiling_m if stage.space.ceiling_m is not None else at[2] + 0.3
        height = min(at[2] + ahead * 0.3, top - 0.3) if top > at[2] + 0.3 else at[2]
        return BouncePlan(_wall_at(stage, hit), (float(hit[0]), float(hit[1]), float(height)), spot)
    return None


def _wall_at(stage: Stage, point_m: FloatArray) -> str:
    """The letter of the wall nearest to a point on the plan's edge."""
    return min(
        walls(stage.space.plan_m),
        key=lambda wall: float(distance_to_line_m(np.stack([wall.start_m, wall.end_m]), point_m)),
    ).letter
