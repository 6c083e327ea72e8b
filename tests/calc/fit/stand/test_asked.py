"""Places asked in another order, or of one lens after another, are answered as by all reasons."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from scout.calc.fit.floor.blocks import Block
from scout.calc.fit.floor.space import Space
from scout.calc.fit.lens.camera import View
from scout.calc.fit.stand.lights import Lamp, Stage
from scout.calc.fit.stand.standing import Asked, blocked, may_stand
from scout.calc.geometry import rectangle_m

LAMPS = (
    Lamp(1.1, 2.6, 0.35, 0.9),
    Lamp(0.8, 2.2, 0.2, foot_m=0.7),
    Lamp(0.8, 2.2, 0.2, foot_m=0.0),
)


def crowded(seed: int) -> tuple[Stage, Any]:
    """A room at random, oblong or with a corner out, with furniture, a door, a path and a stand;
    and places in it, some in walls.
    """
    rng = np.random.default_rng(seed)
    wide, long = rng.uniform((2.4, 3.4), (5.0, 7.0))
    plan = rectangle_m(wide, long)
    if seed % 2:
        plan = np.array(
            [
                (0.0, long),
                (0.7 * wide, long),
                (0.7 * wide, 0.5 * long),
                (wide, 0.5 * long),
                (wide, 0.0),
                (0.0, 0.0),
            ]
        )
    blocks = tuple(
        Block(f"F{i}", rectangle_m(*rng.uniform(0.3, 0.8, 2)) + rng.uniform(0, (wide, long)), high)
        for i, high in enumerate((0.45, 1.6, 2.0, None))
    )
    subject, camera = (0.35 * wide, 0.7 * long, 1.2), (0.4 * wide, 0.2 * long, 1.3)
    space = Space(plan, 2.5, (rectangle_m(0.9, 0.9) + np.array([0.1, 0.0]),), blocks)
    views = tuple(View(camera, subject, 24.9, 14.0, focal) for focal in (18.0, 35.0, 85.0))
    path = ((0.1, 0.5, 0.0), (wide - 0.5, 0.6, 0.0))
    stood = ((0.8 * wide, 0.3 * long, 0.3),)
    places = rng.uniform((-0.2, -0.2, 0.6), (wide + 0.2, long + 0.2, 2.6), (200, 3))
    return Stage(space, subject, camera, views, path, stood=stood), places


@pytest.mark.parametrize("by_shape", [False, True])
def test_a_light_may_stand_where_no_reason_holds(by_shape: bool) -> None:
    # property: the order of questions changes no answer; some places are free, or nothing was tried
    free = 0
    for seed in range(4):
        stage, places = crowded(seed)
        stage = replace(stage, by_shape=by_shape)
        for lamp in LAMPS:
            for view in (None, *stage.views):
                held = np.any(list(blocked(stage, lamp, places, view).values()), axis=0)
                assert np.array_equal(may_stand(stage, lamp, places, view), ~held)
                one = places[:3]
                each = [any(blocked(stage, lamp, at, view).values()) for at in one]
                assert each == list(held[:3])
                free += int(np.sum(~held))
    assert free > 50


@pytest.mark.parametrize("by_shape", [False, True])
def test_each_lens_sees_what_it_sees_when_asked_alone(by_shape: bool) -> None:
    # property: what holds whatever the lens is worked out once for all of them
    seen = []
    for seed in range(4):
        stage, places = crowded(seed)
        stage = replace(stage, by_shape=by_shape)
        for lamp in LAMPS:
            asked = Asked(stage, lamp, places)
            for lens, view in enumerate(stage.views):
                held = blocked(stage, lamp, places, view)
                alone = np.any(list(held.values()), axis=0) if by_shape else held["frame"]
                assert np.array_equal(asked.seen(lens), alone)
                seen.append(int(np.sum(alone)))
    assert 0 < min(seen) < 200  # some are seen and some are not, or nothing was tried
