"""Where a thing stands as a crew tapes it out: square off two walls that do not run alike.

wall D |--- 1.20 ---x        the nearest wall whose face the tape meets square, and the nearest
       |            | 0.85   of the others that stands at 30 degrees to it or more
       +------------+------ wall C
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.fit.floor.space import sees
from scout.calc.geometry import require, walls

# sine of the least angle between the two walls: flatter crossings place a mark badly (common
# practice)
APART = 0.5


@dataclass(frozen=True)
class Tape:
    """One tape: off which wall, how far, how far along that wall from its left end, and where it
    meets it in plan.
    """

    wall: str
    distance_m: float
    offset_m: float
    foot_m: tuple[float, float]


def tapes_m(plan_m: ArrayLike, place_m: ArrayLike) -> tuple[Tape, ...]:
    """The tapes that place a point: two, nearest first; one or none where no two walls can be met
    square and in sight.

    plan_m:   (corners, 2), clockwise; place_m: (2,) or more, in plan
    Raises:   OutOfRange, naming the argument
    Source:   a point is fixed by its distances from two lines that cross
    """
    plan, place = require("plan_m", plan_m), require("place_m", place_m)[:2]
    found: list[tuple[float, Tape, np.ndarray]] = []
    for wall in walls(plan):
        offset = float((place - wall.start_m) @ wall.along)
        distance = float((wall.start_m - place) @ wall.outward)
        if distance < 1e-6 or not -1e-9 <= offset <= wall.length_m + 1e-9:
            continue
        foot = wall.start_m + offset * wall.along
        inward = foot - min(1e-3, distance / 2.0) * wall.outward
        if bool(sees(plan, inward, place)):
            found.append(
                (
                    distance,
                    Tape(wall.letter, distance, offset, (float(foot[0]), float(foot[1]))),
                    wall.outward,
                )
            )
    found.sort(key=lambda row: row[0])
    if not found:
        return ()
    _, first, out = found[0]
    for _, tape, other in found[1:]:
        if abs(float(out[0] * other[1] - out[1] * other[0])) >= APART:
            return first, tape
    return (first,)
