"""Places for a light scattered evenly at every height, for a stand asked by its shape: where legs and
head fit by centimetres a grid misses.
"""

from __future__ import annotations

from functools import lru_cache
from math import ceil, log2
from typing import TYPE_CHECKING

import numpy as np

from scout.calc.fit.stand.lights import Lamp, Stage, highest_m
from scout.calc.fit.stand.standing import may_stand
from scout.calc.geometry import FloatArray, inside

if TYPE_CHECKING:
    from scout.calc.fit.plan.search import Goal

NEAREST_M, FURTHEST_M = 0.5, 12.0
# Places scattered for a stand by its shape, for each side; how many are asked at once, and how many
# free ones are enough to choose from.
NEAR_GOAL, ANYWHERE = 12_000, 3000
ASKED_AT_ONCE, ENOUGH = 500, 40


def free_by_shape(stage: Stage, lamp: Lamp, goal: Goal, sides: tuple[int, ...]) -> FloatArray:
    """(n, 3) places free for legs, pole and head and out of the frame of the longest lens: a few dozen
    near the goal on each side, where there are none wherever such a light does anything. Raises
    OutOfRange.
    """
    view = stage.views[-1] if stage.views else None
    for near in (True, False):
        found: list[FloatArray] = []
        for side in sides:
            places, enough = _scattered(stage, lamp, goal, side, near=near), 0
            places = places[inside(stage.space.plan_m, places, edge_m=-1.0)]
            for start in range(0, len(places), ASKED_AT_ONCE):
                some = places[start : start + ASKED_AT_ONCE]
                found.append(some[may_stand(stage, lamp, some, view)])
                enough += len(found[-1])
                if enough >= ENOUGH:
                    break
        if any(len(some) for some in found):
            return np.concatenate(found)
    return np.empty((0, 3))


@lru_cache(maxsize=2)
def _halton(count: int) -> FloatArray:
    """(n, 3) shares from 0 to 1, spread more evenly than chance would; the same ones each time. Not
    to be written into.

    Source: Halton 1960, bases 2, 3, 5, each digit shuffled as by Owen 2017 ("A randomized Halton
        algorithm in R"). As `scipy.stats.qmc.Halton(3, rng=1)`, which takes 24 MB of its package.
    """
    random, found = np.random.default_rng(1).spawn(1)[0], np.zeros((count, 3))
    for axis, base in enumerate((2, 3, 5)):
        digits = ceil(54 / log2(base)) - 1  # what a double can still tell apart
        shuffled = np.repeat(np.arange(base)[None], digits, axis=0)
        for row in shuffled:
            random.shuffle(row)
        left, worth = np.arange(count), 1.0 / base
        for row in shuffled:
            found[:, axis] += row[left % base] * worth
            worth /= base
            left //= base
    found.flags.writeable = False
    return found


def _scattered(stage: Stage, lamp: Lamp, goal: Goal, side: int, *, near: bool) -> FloatArray:
    """(n, 3) places at every height, evenly scattered where the goal is met, or wherever such a light
    does anything: where legs and head fit by centimetres a grid misses.
    """
    least, most = lamp.stand_min_m, highest_m(stage.space, lamp)
    subject = np.asarray(stage.subject_m)
    reach = min(
        float(np.max(np.linalg.norm(stage.space.plan_m - subject[:2], axis=-1))), FURTHEST_M
    )
    off_deg = goal.across_most_off_deg if near else goal.across_furthest_off_deg
    share = _halton(NEAR_GOAL if near else ANYWHERE)
    # Denser towards the ends: the last place left is as high, as flat or as far round as it may be.
    share = (1.0 - np.cos(np.pi * share)) / 2.0
    low, high = max(goal.across_deg - off_deg, 0.0), min(goal.across_deg + off_deg, 180.0)
    across = low + share[:, 0] * (high - low)
    if near and goal.down_deg is None and goal.height_m is not None:
        least = min(max(goal.height_m - goal.height_most_off_m, least), most)
        most = max(min(goal.height_m + goal.height_most_off_m, most), least)
    height = least + share[:, 1] * (most - least)
    away = NEAREST_M + share[:, 2] * max(reach - NEAREST_M, 0.0)
    if near and goal.down_deg is not None:
        steep = goal.down_deg + (2.0 * share[:, 2] - 1.0) * goal.down_most_off_deg
        away = (height - subject[2]) / np.tan(np.radians(steep))
    here = (away >= NEAREST_M) & (away <= FURTHEST_M)
    plan = subject[:2] + stage.on_bearing(side * across[here]) * away[here, None]
    return np.concatenate([plan, height[here, None]], axis=1)
