"""What rises over the background of a history of levels, and falls again."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.geometry import FloatArray
from scout.calc.sound.events import MOST_EVENTS, find_events
from scout.errors import OutOfRange

STEP = 0.1


def history(*rises: tuple[float, float, float], seconds: float = 60.0) -> FloatArray:
    """A background of 30 dB with rises (from, until, over it)."""
    levels = np.full(round(seconds / STEP), 30.0)
    for start, end, over in rises:
        levels[round(start / STEP) : round(end / STEP)] += over
    return levels


def test_one_knock() -> None:
    (event,) = find_events(history((20, 21, 25)), STEP)
    assert (event.start_s, event.length_s) == pytest.approx((20.0, 1.0))
    assert (event.lafmax_db, event.above_background_db) == pytest.approx((55.0, 25.0))
    assert event.kind == "short"


@pytest.mark.parametrize(
    ("over_db", "events"),
    [(9.9, 0), (10.0, 1)],  # common practice: ten over the background
)
def test_a_rise_counts_from_ten_over(over_db: float, events: int) -> None:
    assert len(find_events(history((20, 21, over_db)), STEP)) == events


@pytest.mark.parametrize(("skirt_db", "length_s"), [(4.9, 1.0), (5.0, 3.0)])
def test_it_lasts_as_long_as_it_is_five_over(skirt_db: float, length_s: float) -> None:
    rises = history((19, 20, skirt_db), (20, 21, 20), (21, 22, skirt_db))
    (event,) = find_events(rises, STEP)
    assert event.length_s == pytest.approx(length_s)


@pytest.mark.parametrize(("gap_s", "events"), [(0.5, 1), (1.0, 1), (1.2, 2)])
def test_two_rises_within_a_second_are_one(gap_s: float, events: int) -> None:
    found = find_events(history((20, 21, 20), (21 + gap_s, 22 + gap_s, 15)), STEP)
    assert len(found) == events
    assert found[0].above_background_db == pytest.approx(20)
    if events == 1:
        assert found[0].length_s == pytest.approx(2 + gap_s)


def test_a_history_too_short_has_no_background() -> None:
    assert find_events(history((2, 3, 30), seconds=4.9), STEP) == ()
    assert len(find_events(history((2, 3, 30), seconds=5.0), STEP)) == 1


def test_a_background_that_changes_is_no_event() -> None:
    # property: the quietest tenth of the two minutes around follows a fan that is switched on
    levels = history(seconds=1200.0)
    levels[levels.size // 2 :] += 20.0
    steps = [event for event in find_events(levels, STEP) if event.start_s > 700]
    assert steps == []


def test_at_most_the_five_hundred_highest() -> None:
    knocks = [(10.0 * k + 5, 10.0 * k + 6, 15.0 + (k % 2) * 10) for k in range(MOST_EVENTS + 40)]
    found = find_events(history(*knocks, seconds=10.0 * len(knocks) + 10), STEP)
    assert len(found) == MOST_EVENTS == 500
    assert sum(event.above_background_db > 20 for event in found) == len(knocks) // 2
    assert [event.start_s for event in found] == sorted(event.start_s for event in found)


def test_what_is_refused() -> None:
    with pytest.raises(OutOfRange, match="step_s"):
        find_events(history(), 0.0)
    with pytest.raises(OutOfRange, match="levels_db"):
        find_events([float("nan")] * 100, 0.1)
