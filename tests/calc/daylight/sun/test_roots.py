"""Crossings, peaks and spells of functions whose answers are known.

Expected: `by hand:` throughout, from sines and parabolas.
"""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.daylight.sun.roots import refine_crossings, refine_peaks, spells, turning_points


def test_crossings_of_a_sine_within_a_hundredth() -> None:
    hour = 3600.0
    low, high = np.array([0.3, 1.4]) * hour, np.array([0.9, 2.2]) * hour
    found = refine_crossings(lambda t: np.sin(np.pi * (t / hour - 0.5)), low, high)
    assert found == pytest.approx([0.5 * hour, 1.5 * hour], abs=0.01)
    # property: one that falls is found as well as one that rises
    falling = refine_crossings(lambda t: -np.sin(np.pi * (t / hour - 0.5)), low, high)
    assert falling == pytest.approx(found, abs=0.01)
    assert len(refine_crossings(lambda t: t, np.array([]), np.array([]))) == 0


def test_of_several_crossings_the_first_is_found() -> None:
    # by hand: sin(pi t) is 0 at 1, 2 and 3 between 0.5 and 3.5
    found = refine_crossings(lambda t: np.sin(np.pi * t), np.array([0.5]), np.array([3.5]))
    assert found == pytest.approx([1.0], abs=0.01)


def test_a_crossing_at_an_end_of_its_bracket() -> None:
    found = refine_crossings(lambda t: t - 10.0, np.array([0.0]), np.array([10.0]), within_s=1e-4)
    assert found == pytest.approx([10.0], abs=1e-3)


@pytest.mark.parametrize("top", [0.0, 3.2, 50.0, 99.0, 100.0])
def test_the_top_of_a_parabola(top: float) -> None:
    found = refine_peaks(
        lambda t: -((t - top) ** 2), np.array([0.0]), np.array([100.0]), within_s=0.01
    )
    assert found == pytest.approx([top], abs=0.01)


def test_tops_and_bottoms_between_samples() -> None:
    at = np.arange(0.0, 10.0, 0.7)
    found = turning_points(np.sin, at, np.sin(at), within_s=1e-3)
    # by hand: pi/2 and 5 pi/2 are tops, 3 pi/2 a bottom
    assert sorted(found) == pytest.approx([np.pi / 2, 3 * np.pi / 2, 5 * np.pi / 2], abs=1e-3)
    # property: a flat stretch turns once, not at each of its samples
    assert len(turning_points(lambda t: t * 0, np.arange(3.0), np.array([0.0, 1.0, 1.0]))) == 0
    assert len(turning_points(lambda t: t * 0, np.arange(4.0), np.array([0.0, 1.0, 1.0, 0.0]))) == 1


def test_spells_join_their_neighbours() -> None:
    cuts = np.array([5.0, 0.0, 1.0, 3.0, 3.0, 8.0])  # in any order, some given twice
    assert spells(cuts, lambda t: t < 4.5) == [(0.0, 5.0)]
    assert spells(cuts, lambda t: (t < 1) | (t > 4.5)) == [(0.0, 1.0), (5.0, 8.0)]
    assert spells(cuts, lambda t: t > 9) == []
    assert spells(np.array([1.0]), lambda t: t > 0) == []
    assert spells(np.array([1.0, 2.0]), lambda t: t > 0) == [(1.0, 2.0)]
