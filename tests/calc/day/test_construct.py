"""The first plan: what it says a scene adds is what the plan comes to with it."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest

from scout.calc.day.construct import _MISSING, _added, _filled, _price, _ways, first_plan
from scout.calc.day.problem import (
    WEIGHTS,
    Breach,
    Lock,
    Need,
    Option,
    Placed,
    Problem,
    Rules,
    Scene,
    closed,
    worth,
)
from tests.calc.day.test_plan import drawn

WAYS = closed(((0, 30, 70), (20, 0, 45), (60, 55, 0)))


def without_meals(seed: int, weights: str = "balanced") -> Problem:
    """A drawn problem whose meals, which are not looked at here, can break nothing."""
    given = drawn(seed, 6, days=2, hours=500)
    return replace(
        given, move_min=WAYS, rules=replace(given.rules, meal_min=0), weights=WEIGHTS[weights]
    )


@pytest.mark.parametrize("weights", WEIGHTS)
def test_what_a_start_adds_is_what_the_plan_comes_to_with_it(weights: str) -> None:
    # property: cost added = cost with the scene less cost without it, and a start is barred just
    # where something would be broken
    tried = barred = 0
    for seed in range(12):
        problem = without_meals(seed, weights)
        chance = random.Random(seed)
        ways = [_ways(problem, k) for k in range(len(problem.scenes))]
        order = list(range(len(problem.scenes)))
        chance.shuffle(order)
        plan = _filled(problem, ways, {}, order[: seed % 5])
        before = worth(problem, plan.values())
        for k in set(order) - set(plan):
            for way in ways[k]:
                added = _added(problem, plan, k, way)
                assert added.shape == way.starts.shape
                for start, cost in zip(way.starts.tolist(), added.tolist(), strict=True):
                    after = worth(problem, [*plan.values(), Placed(k, way.option, start)])
                    assert (cost >= _MISSING) == bool(after.breaches), (seed, k, start)
                    if cost < _MISSING:
                        assert cost == after.cost - before.cost, (seed, k, start)
                        tried += 1
                    else:
                        barred += 1
    assert tried > 500
    assert barred > 200


def test_a_scene_goes_where_it_costs_least_and_earliest_of_those() -> None:
    # property: no other start or option is cheaper; of those as cheap none is earlier
    for seed in range(8):
        problem = without_meals(seed)
        ways = [_ways(problem, k) for k in range(len(problem.scenes))]
        plan = _filled(problem, ways, {}, [0, 1, 2])
        chosen = _filled(problem, ways, plan, [3])
        if 3 not in chosen:
            continue
        put = chosen[3]
        cost = {
            (way.option, int(start)): int(price)
            for way in ways[3]
            for start, price in zip(way.starts, _added(problem, plan, 3, way), strict=True)
        }
        mine = cost[put.option, put.start]
        assert mine == min(cost.values())
        assert put.start == min(start for (_, start), one in cost.items() if one == mine)


def test_ways_hold_the_starts_that_keep_what_is_required() -> None:
    """By hand: an hour from 8:00 on the half-hour, quiet till 10:30: 480 to 570; light from 9:00 costs
    10 x 3 for each minute before.
    """
    quiet = Need("quiet", ((480, 630),))
    light = Need("light", ((540, 700),), required=False, per_min=3)
    scene = Scene("s", 60, (Option(1, 0, (quiet, light), 480, 720),))
    problem = Problem((scene,), WAYS, (480,), Rules(step_min=30))
    (way,) = _ways(problem, 0)
    assert (way.option, way.room, way.day) == (0, 1, 0)
    assert way.starts.tolist() == [480, 510, 540, 570]
    assert way.cost.tolist() == [1_800, 900, 0, 0]
    locked = replace(scene, options=scene.options * 2, lock=Lock(1, 510))
    first, second = _ways(replace(problem, scenes=(locked,)), 0)
    assert (first.starts.tolist(), second.starts.tolist()) == ([], [510])
    assert second.cost.tolist() == [900]


def test_the_price_of_what_is_missing_and_broken() -> None:
    """By hand: ten million a scene left out, ten thousand a minute broken, and the plan's own cost."""
    scenes = tuple(Scene(k, 60, (Option(0, 0, (), 480, 900),)) for k in "ab")
    problem = Problem(scenes, ((0,),), (480,))
    assert _price(problem, {}) == 20_000_000
    one = {0: Placed(0, 0, 600)}
    assert _price(problem, one) == 10_000_000 + 4 * 60 + 180
    both = {**one, 1: Placed(1, 0, 640)}
    assert worth(problem, both.values()).breaches == (Breach("order", 20, 0, 1, 0),)
    assert _price(problem, both) == 20 * 10_000 + 4 * 100 + 220


def test_the_first_plan_keeps_everything_or_is_none() -> None:
    """By hand: three hours of scenes fit into three hours, and not into one minute less."""
    hours = Need("hours", ((480, 660),))
    scenes = tuple(Scene(k, 60, (Option(0, 0, (hours,), 480, 900),)) for k in "abc")
    problem = Problem(scenes, ((0,),), (480,), Rules(step_min=1))
    found = first_plan(problem, 40)
    assert found is not None
    assert [one.start for one in found] == [480, 540, 600]
    assert sorted(one.scene for one in found) == [0, 1, 2]
    less = replace(hours, within=((480, 659),))
    tight = tuple(replace(one, options=(replace(one.options[0], needs=(less,)),)) for one in scenes)
    assert first_plan(replace(problem, scenes=tight), 40) is None
    nowhere = replace(scenes[0], options=(replace(scenes[0].options[0], earliest=901),))
    assert first_plan(replace(problem, scenes=(nowhere, *scenes[1:])), 40) is None


def test_rounds_make_a_plan_no_dearer() -> None:
    # property: what is kept is never dearer than what was there, and some rounds do make it cheaper
    cheaper = 0
    for seed in range(10):
        problem = drawn(seed, 6)
        costs = [
            worth(problem, plan).cost if (plan := first_plan(problem, rounds)) else 10**9
            for rounds in (0, 10, 120)
        ]
        assert costs == sorted(costs, reverse=True)
        cheaper += costs[2] < costs[0]
    assert cheaper >= 2


def test_a_plan_comes_in_the_order_of_its_starts() -> None:
    found = [first_plan(drawn(seed, 5), 60) for seed in range(6)]
    plans = [plan for plan in found if plan is not None]
    assert plans
    for plan in plans:
        starts = np.array([one.start for one in plan])
        assert np.all(np.diff(starts) >= 0)
