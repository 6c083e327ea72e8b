"""Ranking against published worked examples, and what must hold whatever the figures."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from scout.calc.choice import ranking as r


def needs(**changed: object) -> r.Needs:
    """Two preferred needs from 0 to 1, more being better."""
    plain = {
        "sense": [1.0, 1.0],
        "limit": [0.5, 0.5],
        "worst": [0.0, 0.0],
        "best": [1.0, 1.0],
        "bend": [0.0, 0.0],
        "required": [False, False],
        "weight": [1.0, 1.0],
        **changed,
    }
    return r.Needs(
        **{
            key: np.array(value, bool if key == "required" else float)
            for key, value in plain.items()
        }  # type: ignore[arg-type]
    )


def facts(figure: list[list[float]], **changed: object) -> r.Facts:
    given = np.array(figure, float)
    plain = {
        "low": given,
        "high": given,
        "spread": np.zeros(given.shape, int),
        "fact": np.full(given.shape, -1),
        "applies": np.ones(given.shape, bool),
        **changed,
    }
    return r.Facts(given, **{key: np.array(value) for key, value in plain.items()})  # type: ignore[arg-type]


# Source: the published worked example of choosing a leader by the analytic hierarchy process
# (priorities of experience, education, charisma and age, and of Tom, Dick and Harry in each),
# printed results Dick .493, Tom .358, Harry .149.
WEIGHTS = [0.547, 0.127, 0.270, 0.056]
LEADERS = [
    [0.217, 0.188, 0.743, 0.265],
    [0.717, 0.081, 0.194, 0.672],
    [0.066, 0.731, 0.063, 0.063],
]


def leaders() -> tuple[r.Needs, r.Facts]:
    four = dict.fromkeys(("sense", "best"), [1.0] * 4) | dict.fromkeys(
        ("limit", "worst", "bend"), [0.0] * 4
    )
    return needs(**four, required=[False] * 4, weight=WEIGHTS), facts(LEADERS)


def test_a_published_weighted_choice() -> None:
    asked, known = leaders()
    missed, total = r.score(asked, known.applies, known.figure)
    assert total == pytest.approx([0.358, 0.493, 0.149], abs=0.001)
    assert list(r.order(missed, total)) == [1, 0, 2]


def test_the_smallest_change_of_a_weight_is_one_that_ties() -> None:
    asked, known = leaders()
    found = r.weight_change(asked, known, most=1.0)
    assert found is not None
    # by hand: Dick leads Tom by .547 x .5 - .127 x .107 - .27 x .549 + .056 x .407 = .1345;
    # a point of experience is worth .5 of that, one of charisma .549: .1345 / .549 = .245 more
    assert (found.need, found.room) == (2, 0)
    assert found.weight == pytest.approx(0.270 + 0.245, abs=0.001)
    # property: there both come to the same, and a step further the other is ahead
    for step, ahead in ((0.0, None), (0.001, True)):
        weight = np.array(WEIGHTS)
        weight[2] = found.weight + step
        _, total = r.score(asked, known.applies, known.figure, weight)
        if ahead is None:
            assert total[0] == pytest.approx(total[1], abs=1e-9)
        else:
            assert total[0] > total[1]
    assert r.weight_change(asked, facts([[1.0] * 4, [0.0] * 4]), most=100.0) is None


def test_the_value_of_knowing_by_enumeration() -> None:
    # Source: the published example of the expected value of perfect information with stocks, a
    # mixed fund and a deposit in a market that rises (.5), stays (.3) or falls (.2):
    # 680, 590 and 500 are expected, 1030 with perfect information, which is worth 350
    payoff = [[1500.0, 300.0, -800.0], [900.0, 600.0, -200.0], [500.0, 500.0, 500.0]]
    assert r.worth_of_knowing([0.5, 0.3, 0.2], payoff) == pytest.approx(350.0)
    # by hand: nothing is gained where one choice is best in every state
    assert r.worth_of_knowing([0.5, 0.5], [[2.0, 3.0], [1.0, 2.0]]) == pytest.approx(0.0)


def test_what_is_required_goes_before_anything_preferred() -> None:
    asked = needs(required=[True, False])
    known = facts([[0.4, 1.0], [0.5, 0.0], [np.nan, 1.0]])
    missed, total = r.score(asked, known.applies, known.figure)
    assert list(missed) == [1, 0, 1]  # what nobody knows is not met
    assert list(r.order(missed, total)) == [1, 0, 2]
    none = needs(weight=[0.0, 0.0])
    assert list(r.score(none, known.applies, known.figure)[1]) == [0.0, 0.0, 0.0]


def test_a_need_that_does_not_apply_counts_neither_way() -> None:
    known = facts([[1.0, 0.0], [1.0, 0.0]], applies=[[True, True], [True, False]])
    _, total = r.score(needs(), known.applies, known.figure)
    assert list(total) == [0.5, 1.0]


@pytest.mark.parametrize(
    ("bend", "half"),
    [
        (0.0, 0.5),
        # by hand: (1 - e^-1) / (1 - e^-2) = 0.7311, and its mirror
        (2.0, 0.7311),
        (-2.0, 0.2689),
    ],
)
def test_curves_bend(bend: float, half: float) -> None:
    asked = needs(bend=[bend, bend])
    figures = np.array([[-1.0, 0.0], [0.5, 1.0], [np.nan, 2.0]])
    assert r.worth(asked, figures).ravel() == pytest.approx([0, 0, half, 1, 0, 1], abs=1e-4)
    falling = needs(sense=[-1, -1], worst=[50, 50], best=[35, 35], bend=[bend, bend])
    assert r.worth(falling, np.array([[42.5, 35.0]]))[0] == pytest.approx([half, 1.0], abs=1e-4)


def test_draws_agree_with_counting_by_hand() -> None:
    # by hand: the first is 0.5 for sure; the second lies anywhere from 0 to 1: half the time ahead
    asked = needs(weight=[1.0, 0.0])
    known = facts(
        [[0.5, 0.0], [0.4, 0.0]],
        low=[[0.5, 0.0], [0.0, 0.0]],
        high=[[0.5, 0.0], [1.0, 0.0]],
        spread=[[r.SURE, r.SURE], [r.BETWEEN, r.SURE]],
        fact=[[-1, -1], [0, -1]],
    )
    found = r.draw(asked, known, 0, 1000)
    assert found.first_share == pytest.approx([0.5, 0.5], abs=0.002)
    assert found.ahead[1] == pytest.approx(0.5, abs=0.002)
    (row,) = r.changes(asked, known)
    assert (row.share, row.room, row.need, row.instead) == (pytest.approx(0.5, abs=0.02), 1, 0, 1)
    assert row.figure == pytest.approx(0.5, abs=0.03)
    # by hand: it gains 0.25 on average where it is ahead, which is half the time
    assert row.gain == pytest.approx(0.125, abs=0.005)
    same = r.draw(asked, facts([[0.5, 0.0], [0.5, 0.0]]), 0, 10)
    assert list(same.first_share) == [0.5, 0.5]  # shared among equals


def test_normal_quantiles() -> None:
    # Source: standard normal tables: 1.2816 at 0.9, 1.6449 at 0.95, 1.9600 at 0.975
    found = r.normal_quantile(np.array([0.5, 0.9, 0.95, 0.975, 0.025]))
    assert found == pytest.approx([0.0, 1.2816, 1.6449, 1.9600, -1.9600], abs=5e-4)


def test_rooms_of_one_fact_move_together() -> None:
    # property: a fee shared by two rooms of a place never puts one before the other
    asked = needs(weight=[1.0, 0.0])
    known = facts(
        [[np.nan, 0.0], [np.nan, 0.0]],
        low=[[0.0, 0.0]] * 2,
        high=[[1.0, 0.0]] * 2,
        spread=[[r.BETWEEN, 0]] * 2,
        fact=[[0, -1]] * 2,
    )
    drawn = r.drawn(known, np.random.default_rng(1).random((50, 1)))
    assert (drawn[:, 0] == drawn[:, 1]).all()
    assert [row.share for row in r.changes(asked, known)] == [0.0]


def shown(level: list[list[float]], figure: list[list[float]], alike: list[list[int]]) -> r.Shown:
    return r.Shown(np.array(level), np.array(figure), np.array(alike))


@pytest.mark.parametrize(
    ("level", "figure", "alike", "beats"),
    [
        # by hand: the second is no better than the first in either, and worse in one
        (
            [[2, 2]] * 4,
            [[9, 6], [9, 5], [2, 9], [9, 6]],
            [[0, 0], [0, 1], [1, 2], [0, 0]],
            [(0, 1), (3, 1)],
        ),
        # what differs without an order denies it, what shows the same does not
        ([[2, 2], [2, 1]], [[np.nan, 1]] * 2, [[0, 0], [1, 1]], []),
        ([[2, 2], [2, 1]], [[np.nan, 1]] * 2, [[0, 0], [0, 1]], [(0, 1)]),
        # what is not known denies it
        ([[2, 2], [1, np.nan]], [[np.nan] * 2] * 2, [[0, 0], [1, 1]], []),
        # a higher sign will do without a figure, not with the worse one
        ([[2, 2], [1, 2]], [[np.nan, 1]] * 2, [[0, 0], [1, 0]], [(0, 1)]),
        ([[1], [0]], [[-39], [-38]], [[0], [1]], []),
    ],
)
def test_a_room_that_shows_no_worse_in_anything(
    level: list[list[float]],
    figure: list[list[float]],
    alike: list[list[int]],
    beats: list[tuple[int, int]],
) -> None:
    found = r.beats(shown(level, figure, alike))
    pairs = [(int(one), int(other)) for one, other in zip(*np.nonzero(found), strict=True)]
    assert pairs == beats


def test_of_equals_the_one_that_none_beats_goes_first() -> None:
    nothing, total = np.zeros(3, int), np.array([0.5, 0.5, 0.4])
    assert list(r.order(nothing, total)) == [0, 1, 2]
    assert list(r.order(nothing, total, np.array([1, 0, 0]))) == [1, 0, 2]


def test_no_room_that_can_come_first_is_left_out() -> None:
    # property: whatever random facts, a room outside the contenders is never first in any draw
    chance = np.random.default_rng(3)
    for _ in range(20):
        figure = chance.random((12, 2))
        known = facts(
            figure.tolist(),
            low=figure - 0.2,
            high=figure + 0.2,
            spread=chance.integers(0, 3, (12, 2)),
            fact=np.arange(24).reshape(12, 2),
        )
        asked = needs(required=[True, False])
        able = set(r.contenders(asked, known, 12))
        shares = r.draw(asked, known, 0, 200).first_share
        assert {int(room) for room in np.flatnonzero(shares)} <= able


def test_changes_by_brute_force() -> None:
    # property: knowing one fact is putting it where it lies and ranking again
    chance = np.random.default_rng(5)
    figure = chance.random((4, 2))
    known = facts(
        figure.tolist(),
        low=figure - 0.3,
        high=figure + 0.3,
        spread=np.full((4, 2), r.BETWEEN),
        fact=np.arange(8).reshape(4, 2),
    )
    asked = needs(weight=[2.0, 3.0])
    first = r.order(*r.score(asked, known.applies, figure))[0]
    steps = 16
    found = {row.fact: row.share for row in r.changes(asked, known, steps)}
    for room, need in itertools.product(range(4), range(2)):
        other = 0
        for step in range(steps):
            moved = figure.copy()
            moved[room, need] += -0.3 + 0.6 * (step + 0.5) / steps
            other += r.order(*r.score(asked, known.applies, moved))[0] != first
        assert found[room * 2 + need] == pytest.approx(other / steps)
