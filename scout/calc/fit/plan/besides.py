"""What else a place of the key or the back light costs besides its angles: its shadow of the
subject in shot, and what a boom does to it.
"""

from __future__ import annotations

import numpy as np

from scout.calc.fit.plan.joint import Besides
from scout.calc.fit.shadow.boom import boom_from, cuts_face, shadow_seen
from scout.calc.fit.shadow.cast import (
    HEAD_WIDTH_M,
    PROBES,
    core_reaches,
    landing_points,
    share_of_lenses,
    upright_m,
)
from scout.calc.fit.stand.lights import Lamp, Stage
from scout.calc.geometry import FloatArray

# In squared degrees (our own judgement): to lose a hard shadow of the head from every lens is worth
# 15 degrees off the ideal.
HARD_IN_SHOT, SOFT_IN_SHOT = 15.0**2, 5.0**2
BOOM_ON_FACE, BOOM_IN_SHOT = 20.0**2, 12.0**2


def head_in_shot(
    stage: Stage, lamp: Lamp, lights_m: FloatArray, *, has_walls: bool = True
) -> tuple[FloatArray, FloatArray]:
    """(l,) twice: the share of the lenses that see a hard shadow, and any shadow, of head or
    shoulders on a wall or the ceiling.
    """
    points = upright_m(lights_m, stage.subject_m, PROBES)
    places, beyond, falls = landing_points(stage.space, lights_m, points, has_walls=has_walls)
    near = np.linalg.norm(points - lights_m[:, None, :], axis=-1)
    hard = core_reaches(HEAD_WIDTH_M, lamp.soft_width_m, near, beyond)
    return share_of_lenses(stage.space, stage.views, places, falls & hard), share_of_lenses(
        stage.space, stage.views, places, falls
    )


def besides(
    stage: Stage, lamp: Lamp, boom_distance_m: float | None, *, has_walls: bool = True
) -> Besides:
    """The cost of places (l, 3) for one light. boom_distance_m: mouth to the microphone on its
    pole; None: there is none.
    """
    booms = (
        ()
        if boom_distance_m is None
        else tuple(
            boom for side in (1, -1) if (boom := boom_from(stage, boom_distance_m, side)).held
        )
    )

    def cost(lights_m: FloatArray) -> FloatArray:
        hard, seen = head_in_shot(stage, lamp, lights_m, has_walls=has_walls)
        out = HARD_IN_SHOT * hard + SOFT_IN_SHOT * (seen - hard)
        if booms:  # the pole comes from the side that does less
            each = [
                BOOM_ON_FACE * cuts_face(boom, lights_m, stage.subject_m)
                + BOOM_IN_SHOT
                * shadow_seen(stage, boom, lights_m, lamp.soft_width_m, has_walls=has_walls)
                for boom in booms
            ]
            out = out + np.min(np.stack(each), axis=0)
        return np.asarray(out)

    return cost
