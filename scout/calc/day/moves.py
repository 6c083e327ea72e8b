"""How long a crew takes from one room to another with its kit.

Source: rules of thumb (common practice), which are said beside every plan: kit walks at a metre a
second, a step takes a second, four trips move it, a road is a third longer than the straight way
and driven at 40 km/h with ten minutes for loading doors and parking.
"""

from __future__ import annotations

import math

from scout.calc.geometry import require

TRIPS, WALK_M_S, STEP_S = 4, 1.0, 1.0
ROAD_SHARE, ROAD_KM_H, PARK_MIN = 1.3, 40.0, 10.0
WITHIN_MIN = 10  # from one room of a house to another: cases closed, carried, opened


def carry_min(carry_m: float, steps: int) -> int:
    """Minutes to carry a crew's kit between the road and a room, there and back on every trip.

    carry_m: the way [m]; steps: up or down
    Returns: whole minutes, rounded up
    """
    require("carry_m", carry_m, least=0)
    require("steps", steps, least=0)
    one_way_s = carry_m / WALK_M_S + steps * STEP_S
    return math.ceil((2 * TRIPS - 1) * one_way_s / 60.0)


def drive_min(straight_m: float) -> int:
    """Minutes by road between two places so far apart in a straight line [m], whole, rounded up."""
    require("straight_m", straight_m, least=0)
    return math.ceil(PARK_MIN + straight_m / 1000.0 * ROAD_SHARE / ROAD_KM_H * 60.0)
