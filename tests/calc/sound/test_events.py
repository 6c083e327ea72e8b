"""What rises over the background of a history of levels, and falls again."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.geometry import FloatArray
from scout.calc.sound.events import (
    MOST_EVENTS,
    _kind,
    _one_of_many,
    _peaks,
    _spans,
    _steps_up,
    find_events,
)
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


# -- what the run of a level tells; half-second steps unless said, levels over the background
def run(*parts: tuple[float, float]) -> np.ndarray:
    """Straight lines from level to level, each so many seconds long, from nothing over the background."""
    level, made = 0.0, [np.zeros(1)]
    for seconds, to in parts:
        made.append(np.linspace(level, to, round(seconds / 0.5) + 1)[1:])
        level = to
    return np.concatenate(made)


@pytest.mark.parametrize(
    ("levels", "peaks"),
    [
        # by hand: a peak stands five decibels over the dips on both sides
        ([6, 12, 6, 12, 6], [1, 3]),
        ([6, 12, 7.1, 12, 6], [1]),
        ([6, 12, 7.0, 12, 6], [1, 3]),
        ([6, 12, 12, 12], [1]),
        ([12, 6, 6, 11], [0, 3]),
        ([12, 6, 6, 10.9], [0]),
        ([6, 6, 6], [0]),
    ],
)
def test_peaks(levels: list[float], peaks: list[int]) -> None:
    assert _peaks(np.array(levels, dtype=float)) == peaks


@pytest.mark.parametrize(
    ("over", "start", "end", "kind"),
    [
        # by hand: under two seconds it is short, whatever it does
        (run((2, 0), (0.5, 12), (1.0, 12), (0.5, 0), (2, 0)), 5, 8, "short"),
        # up for three seconds, down for three
        (run((2, 0), (3, 20), (3, 0), (2, 0)), 5, 16, "passing"),
        # the same from the first step on, or to the last: nobody saw it come or go
        (run((3, 20), (3, 0), (2, 0)), 0, 11, "other"),
        (run((2, 0), (3, 20), (3, 5)), 5, 17, "other"),
        # up at once and slowly away
        (run((2, 0), (0.5, 20), (6, 0), (2, 0)), 5, 17, "other"),
        # four peaks within five seconds of each other, then three
        (run((2, 0), *[(1, 15), (1, 6)] * 4, (2, 0)), 5, 22, "comes_and_goes"),
        (run((2, 0), *[(2, 20), (2, 6)] * 3, (2, 0)), 5, 30, "other"),
        # four peaks, six seconds apart
        (run((2, 0), *[(3, 15), (3, 6)] * 4, (2, 0)), 5, 53, "other"),
    ],
)
def test_what_a_run_tells(over: np.ndarray, start: int, end: int, kind: str) -> None:
    assert _kind(over, start, end, 0.5) == kind


@pytest.mark.parametrize(
    ("gaps_s", "index", "many"),
    # by hand: four rises of half a second, five seconds apart at the most
    [
        ((5.0, 5.0, 5.0), 0, True),
        ((5.0, 5.0, 5.0), 3, True),
        ((5.0, 5.5, 5.0), 1, False),
        ((5.0, 5.0), 1, False),
    ],
)
def test_one_of_several_that_follow_each_other(
    gaps_s: tuple[float, ...], index: int, many: bool
) -> None:
    rises, at = [(0, 1)], 1
    for gap in gaps_s:
        at += round(gap / 0.5)
        rises.append((at, at + 1))
        at += 1
    assert _one_of_many(rises, index, 0.5) == many


def spans_of(*levels: float) -> list[tuple[int, int]]:
    return _spans(np.array(levels), 0.5)


def test_spans_begin_and_end_at_five_and_count_from_ten() -> None:
    """By hand: steps of half a second; two rises a second apart are one."""
    assert spans_of(0, 5, 10, 5, 4.9) == [(1, 4)]
    assert spans_of(0, 5, 9.9, 5, 0) == []
    assert spans_of(12, 0, 0, 12) == [(0, 4)]
    assert spans_of(12, 0, 0, 0, 12) == [(0, 1), (4, 5)]


@pytest.mark.parametrize(
    ("before", "step_db", "after_s", "found"),
    [
        # by hand: three decibels, for eight seconds, of which one may pass while it steps
        (30.0, 3.0, 20, True),
        (30.0, 2.9, 20, False),
        (30.0, 6.0, 7, True),
        (30.0, 6.0, 6, False),
    ],
)
def test_what_begins_and_stays(before: float, step_db: float, after_s: int, found: bool) -> None:
    levels = np.concatenate([np.full(20, before), np.full(2 * after_s, before + step_db)])
    steps = _steps_up(levels, 0.5)
    assert steps == ([(20, 20 + 2 * after_s, pytest.approx(step_db))] if found else [])


def test_what_begins_ends_where_it_falls_half_way() -> None:
    """By hand: six decibels more from 10 s for 15 s, in tenths of a second; a knock within leaves no
    trace on medians of seconds, but is the highest level.
    """
    levels = np.concatenate([np.full(100, 30.0), np.full(150, 36.0), np.full(100, 30.0)])
    levels[163] = 50.0
    assert _steps_up(levels, 0.1) == [(100, 250, pytest.approx(20.0))]
    # seconds that differ by more than two decibels are no steady level before it
    odd = np.arange(350) // 10 % 2 * (np.arange(350) < 100)
    assert _steps_up(levels + 2.1 * odd, 0.1) == []
    assert len(_steps_up(levels + 1.9 * odd, 0.1)) == 1
