"""Weights from pairs against a published worked example."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.choice.weights import pair_weights
from scout.errors import OutOfRange, Refused

# Source: the published worked example of choosing a leader by the analytic hierarchy process:
# experience, education, charisma, age; priorities .547, .127, .270, .056
LEADER = np.array([[1, 4, 3, 7], [1 / 4, 1, 1 / 3, 3], [1 / 3, 3, 1, 5], [1 / 7, 1 / 3, 1 / 5, 1]])
PRIORITIES = [0.547, 0.127, 0.270, 0.056]


def test_all_pairs_come_to_the_geometric_means() -> None:
    pairs = [(i, j, LEADER[i, j]) for i in range(4) for j in range(i + 1, 4)]
    means = np.prod(LEADER, axis=1) ** 0.25
    weights, misses = pair_weights(4, pairs)
    assert weights == pytest.approx(means / means.sum())  # Source: Crawford and Williams 1985
    assert weights == pytest.approx(PRIORITIES, abs=0.001)  # as printed there
    assert misses > 1.0


def test_a_few_choices_that_agree_are_met() -> None:
    # by hand: twice, then three times as much: 6 : 3 : 1
    weights, misses = pair_weights(3, [(0, 1, 2.0), (1, 2, 3.0)])
    assert weights == pytest.approx([0.6, 0.3, 0.1])
    assert misses == pytest.approx(1.0)


def test_choices_that_leave_a_need_apart_are_refused() -> None:
    with pytest.raises(Refused) as refused:
        pair_weights(4, [(0, 1, 2.0), (2, 3, 2.0)])
    assert refused.value.because.code == "refusal.pairs_apart"  # type: ignore[union-attr]
    with pytest.raises(OutOfRange):
        pair_weights(2, [(0, 1, 0.0)])
