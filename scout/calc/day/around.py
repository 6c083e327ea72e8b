"""How long a crew takes to set a scene up and to strike it, by what stands there.

Source: rules of thumb (common practice) for two people who know their kit, said beside every plan.
Carrying in is apart from it, see `moves`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from scout.calc.geometry import require

Thing = Literal["camera", "light", "lead", "mic", "window"]
# minutes to set up and to strike one of each: a lead is laid and taped, a window covered
EACH_MIN: Mapping[Thing, tuple[float, float]] = {
    "camera": (10.0, 5.0),
    "light": (5.0, 3.0),
    "lead": (3.0, 2.0),
    "mic": (5.0, 3.0),
    "window": (5.0, 2.0),
}


def around_min(things: Mapping[Thing, int], step_min: int) -> tuple[int, int]:
    """Minutes to set up and to strike so many of each thing, each rounded up to the step.

    things: how many, 0 or more; step_min: 1 or more
    """
    require("step_min", step_min, least=1)
    sums = [0.0, 0.0]
    for thing, count in things.items():
        require("things", count, least=0)
        for k, each in enumerate(EACH_MIN[thing]):
            sums[k] += count * each
    set_up, strike = (int(-(-total // step_min)) * step_min for total in sums)
    return set_up, strike
