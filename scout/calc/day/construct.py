"""A first plan by hand's own way: put in the tightest scene first, where it costs least; then take
some out and put them in again, and keep what is better. The solver starts from it.

Source: ruin and recreate, after Schrimpf and others, "Record breaking optimization results using
the ruin and recreate principle", 2000.
"""

from __future__ import annotations

import random
from dataclasses import dataclass

import numpy as np

from scout.calc.day.problem import IntArray, Placed, Problem, outside_min, starts_of, worth

SEED, MOST_OUT = 5, 5
_MISSING, _BROKEN_MIN = 10**7, 10**4


@dataclass(frozen=True)
class _Way:
    """One option of a scene with the starts that keep what is required, and what each costs."""

    option: int
    room: int
    day: int
    starts: IntArray
    cost: IntArray


def first_plan(problem: Problem, rounds: int) -> tuple[Placed, ...] | None:
    """A plan that keeps everything required, after some rounds; None where none was found."""
    ways = [_ways(problem, k) for k in range(len(problem.scenes))]
    if not all(any(len(way.starts) for way in of) for of in ways):
        return None
    chance = random.Random(SEED)  # noqa: S311  # the same plan every time
    room = [sum(len(way.starts) for way in of) for of in ways]
    order = sorted(range(len(ways)), key=lambda k: (problem.scenes[k].lock is None, room[k]))
    best = _filled(problem, ways, {}, order)
    price = _price(problem, best)
    for _ in range(rounds):
        # scenes beside one another, or any
        out = chance.sample(order, min(len(order), chance.randint(1, MOST_OUT)))
        missing = [k for k in order if k not in best]
        again = [*missing, *(k for k in out if k not in missing)]
        chance.shuffle(again)
        left = {k: one for k, one in best.items() if k not in out}
        tried = _filled(problem, ways, left, again)
        if (cost := _price(problem, tried)) <= price:
            best, price = tried, cost
    if price >= _BROKEN_MIN and (len(best) < len(ways) or worth(problem, best.values()).breaches):
        return None
    return tuple(sorted(best.values(), key=lambda one: (one.start, one.scene)))


def _ways(problem: Problem, k: int) -> list[_Way]:
    scene, found = problem.scenes[k], []
    for o, option in enumerate(scene.options):
        starts = starts_of(problem, scene, option)
        cost = np.zeros(len(starts), dtype=np.int64)
        fits = np.ones(len(starts), dtype=bool)
        for need in option.needs:
            outside = outside_min(scene, need, starts)
            if need.required:
                fits &= outside == 0
            else:
                cost += problem.weights.outside * need.per_min * outside
        if scene.lock is not None:
            fits &= (starts == scene.lock.start) & (scene.lock.option == o)
        found.append(_Way(o, option.room, option.day, starts[fits], cost[fits]))
    return found


def _price(problem: Problem, plan: dict[int, Placed]) -> int:
    found = worth(problem, plan.values())
    missing = len(problem.scenes) - len(plan)
    broken = sum(breach.minutes for breach in found.breaches)
    return found.cost + _MISSING * missing + _BROKEN_MIN * broken


def _filled(
    problem: Problem, ways: list[list[_Way]], plan: dict[int, Placed], order: list[int]
) -> dict[int, Placed]:
    """The plan with some scenes put in, each where it costs least; one that fits nowhere is left out."""
    filled = dict(plan)
    for k in order:
        choices = [
            (int(cost[at]), way, int(way.starts[at]))
            for way in ways[k]
            if len(way.starts) and (cost := _added(problem, filled, k, way)) is not None
            for at in [int(np.argmin(cost))]
            if cost[at] < _MISSING
        ]
        if choices:
            _, way, start = min(choices, key=lambda one: (one[0], one[2]))
            filled[k] = Placed(k, way.option, start)
    return filled


def _added(problem: Problem, plan: dict[int, Placed], k: int, way: _Way) -> IntArray:
    """What each start adds to the cost; `_MISSING` where the scene does not fit."""
    scene, weights, moves = problem.scenes[k], problem.weights, np.array(problem.move_min)
    begin, end = way.starts - scene.set_up_min, way.starts + scene.length_min + scene.strike_min
    cost, fits = way.cost.copy(), np.ones(len(begin), dtype=bool)
    blocks = list[tuple[int, int, int]]()
    for one in plan.values():
        other = problem.scenes[one.scene]
        option, (first, last) = other.options[one.option], other.block(one.start)
        if option.day == way.day:
            blocks.append((first, last, option.room))
            fits &= (end + moves[way.room, option.room] <= first) | (
                last + moves[option.room, way.room] <= begin
            )
        else:
            rest = problem.rules.rest_min
            fits &= last + rest <= begin if option.day < way.day else end + rest <= first
    if blocks:
        blocks.sort()
        firsts, rooms = np.array([b[0] for b in blocks]), np.array([b[2] for b in blocks])
        low, high = blocks[0][0], max(b[1] for b in blocks)
        span = np.maximum(end, high) - np.minimum(begin, low)
        fits &= span <= problem.rules.crew_min
        cost += weights.span * (span - (high - low)) + weights.wrap * np.maximum(end - high, 0)
        after = np.searchsorted(firsts, begin)
        before = np.maximum(after - 1, 0)
        follows, precedes = after < len(blocks), after > 0
        after = np.minimum(after, len(blocks) - 1)
        for there, minutes, has in (
            (rooms[before], moves[rooms[before], way.room], precedes),
            (rooms[after], moves[way.room, rooms[after]], follows),
        ):
            price = weights.move * minutes + weights.change * (there != way.room)
            cost += np.where(has, price, 0)
        between = weights.move * moves[rooms[before], rooms[after]] + weights.change * (
            rooms[before] != rooms[after]
        )
        cost -= np.where(precedes & follows, between, 0)
    else:
        span = end - begin
        fits &= span <= problem.rules.crew_min
        cost += weights.span * span + weights.wrap * np.maximum(end - problem.days[way.day], 0)
    return np.where(fits, cost, _MISSING)
