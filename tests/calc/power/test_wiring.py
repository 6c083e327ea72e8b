"""Which outlet for each light: the shortest leads of all there are, and nothing over its share."""

from __future__ import annotations

import itertools
import random

import numpy as np
import pytest

from scout.calc.power.patterns import Bin
from scout.calc.power.wiring import (
    Points,
    _barred,
    _chosen,
    _plain,
    _within_circuit,
    shortest,
    transported,
    within,
)

BINS = (Bin(1000.0, 200.0, 3), Bin(600.0, 0.0, 2, 500.0))
POINTS = Points((0, 0, 1), (1, 2, 2), np.array([[1.0, 4.0, 9.0], [2.0, 3.0, 5.0], [6.0, 8.0, 7.0]]))


def test_fewest_metres_with_one_socket_a_light() -> None:
    """By hand: 1 + 3 + 7 = 11; 1 + 5 + 8 = 14 and the others are more; without the third outlet for
    the third light 1 + 3 + 8 = 12.
    """
    free = np.zeros((3, 3), dtype=bool)
    assert transported(POINTS.metres, POINTS.sockets, free) == [0, 1, 2]
    barred = free.copy()
    barred[2, 2] = True
    assert transported(POINTS.metres, POINTS.sockets, barred) == [0, 1, 1]
    barred[2] = True
    assert transported(POINTS.metres, POINTS.sockets, barred) is None
    assert transported(POINTS.metres, (1, 1, 0), free) is None
    assert transported(POINTS.metres, (1, 1, 1), free) == [0, 1, 2]
    # more sockets than lights are no use
    assert transported(POINTS.metres, (9, 0, 0), free) == [0, 0, 0]


def test_a_plug_bars_what_draws_more() -> None:
    """By hand: 500 VA through a plug of the second circuit."""
    found = _barred(np.array([500.0, 500.1]), BINS, POINTS)
    assert found.tolist() == [[False, False, False], [False, False, True]]


@pytest.mark.parametrize(
    ("chosen", "share", "keeps"),
    [
        # by hand: 200 + 400 + 200 on 1000
        ([0, 1, None], 0.8, True),
        ([0, 1, None], 0.799, False),
        # what nobody plugs in there does not count
        ([2, None, None], 0.7, True),
        ([2, None, None], 0.66, False),
        ([None, None, None], 0.0, True),
    ],
)
def test_a_share_is_kept(chosen: list[int | None], share: float, keeps: bool) -> None:
    assert within(np.array([400.0, 200.0, 300.0]), BINS, POINTS, chosen, share) == keeps


def test_within_a_circuit_each_goes_to_its_nearest_unless_sockets_run_out() -> None:
    """By hand: both nearest to the first outlet, which has one socket: 1 + 3 beats 2 + 4."""
    near = np.argmin(POINTS.metres, axis=1)
    assert _within_circuit(POINTS, [0, 1], [0], near) == [0]
    assert _within_circuit(POINTS, [0, 1], [0, 1], near) == [0, 1]
    assert _within_circuit(POINTS, [0, 1], [1, 0], near) == [1, 0]
    alone = Points((0, 0), (1, 0), POINTS.metres[:, :2])
    assert _within_circuit(alone, [0, 1], [0, 1], near) is None


def test_what_is_plugged_is_where_the_solver_says() -> None:
    rows = np.array([[0.0, 1.0], [0.5, 0.4], [0.51, 0.2]])
    assert _chosen(rows) == [1, None, 0]


def best_metres(loads: list[float], bins: list[Bin], points: Points, share: float) -> float | None:
    """The fewest metres of all ways to plug every light in."""
    best: float | None = None
    for chosen in itertools.product(range(len(points.circuit)), repeat=len(loads)):
        if any(chosen.count(o) > points.sockets[o] for o in set(chosen)):
            continue
        held = [one.already_va for one in bins]
        for load, o in zip(loads, chosen, strict=True):
            held[points.circuit[o]] += load
        used = {points.circuit[o] for o in chosen}
        if any(held[b] > share * bins[b].limit_va + 1e-6 for b in used):
            continue
        if any(
            load > bins[points.circuit[o]].plug_va for load, o in zip(loads, chosen, strict=True)
        ):
            continue
        metres = sum(float(points.metres[i, o]) for i, o in enumerate(chosen))
        best = metres if best is None else min(best, metres)
    return best


@pytest.mark.parametrize("alike", [False, True])
def test_no_way_is_shorter(alike: bool) -> None:
    # property: against every way there is, of lights that are alike and of lights that differ
    found_some = 0
    for seed in range(16):
        chance = random.Random(seed)
        sizes = [200.0, 300.0] if alike else [200.0, 310.0, 420.0, 530.0]
        loads = [chance.choice(sizes) if alike else sizes[k] for k in range(4)]
        bins = [
            Bin(100.0 * chance.randint(9, 16), 100.0 * chance.randint(0, 3), 9) for _ in range(2)
        ]
        metres = np.array([[chance.uniform(1.0, 20.0) for _ in range(4)] for _ in loads])
        points = Points((0, 0, 1, 1), tuple(chance.randint(1, 2) for _ in range(4)), metres)
        share = chance.choice([0.7, 0.85, 1.0])
        best = best_metres(loads, bins, points, share)
        if best is None:
            continue
        found_some += 1
        for chosen, proven in (
            shortest(np.array(loads), bins, points, share, range(len(loads))),
            _plain(np.array(loads), bins, points, share, {s: loads.count(s) for s in loads}),
        ):
            assert chosen is not None
            assert proven
            assert within(np.array(loads), bins, points, chosen, share)
            assert None not in chosen
            assert all(chosen.count(o) <= points.sockets[o] for o in range(4))
            whole = sum(float(metres[i, o]) for i, o in enumerate(chosen) if o is not None)
            assert whole == pytest.approx(best), seed
    assert found_some >= 7


def test_of_lights_of_one_size_any_may_stay_out() -> None:
    """By hand: one of two of 400 on a circuit with 500 left: the nearer one, at 2 m."""
    points = Points((0,), (2,), np.array([[7.0], [2.0]]))
    chosen, proven = shortest(np.array([400.0, 400.0]), [Bin(500.0, 0.0, 2)], points, 1.0, [0])
    assert (chosen, proven) == ([None, 0], True)


def test_where_no_plan_is_none_is_given() -> None:
    points = Points((0,), (1,), np.array([[7.0], [2.0]]))
    chosen, proven = shortest(np.array([400.0, 300.0]), [Bin(1000.0, 0.0, 1)], points, 1.0, [0, 1])
    assert (chosen, proven) == (None, False)
