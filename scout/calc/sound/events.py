"""Events in a recording's time history: what rises over the background and falls again, and what
begins and stays. They are told apart by how their level runs, and no further.

short     _|_        passing  __/^^\\__      comes and goes  _|^v^v^|__
begins    ___|^^^^^  (a step to a level that stays)           other: none of these
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import scipy.ndimage
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require

EventKind = Literal["short", "passing", "begins", "comes_and_goes", "other"]
RISE_DB, FALL_DB = (
    10.0,
    5.0,
)  # over the background: where an event begins to count, and where it ends (common practice)
BACKGROUND_S = 120.0  # the background is what the quietest tenth of two minutes around shows
JOIN_S = 1.0
SHORTEST_HISTORY_S = 5.0
SHORT_S = 2.0
MOST_EVENTS = 500
# What begins and stays: a step by so much within two seconds, to a level that keeps within so much
# for so long (common practice; a compressor runs minutes, a car goes by in ten seconds)
STEP_DB, STEADY_DB, STAYS_S, BEFORE_S = 3.0, 2.0, 8, 4
AROUND_S = 10  # that much is looked at on both sides of a step
# What comes and goes: so many peaks, each so far over the dips beside it, no further apart than this
PEAKS, DIP_DB, APART_S = 4, 5.0, 5.0
# What passes: takes so long to come and to go, in one hump
SLOPE_S = 1.0


@dataclass(frozen=True)
class SoundEvent:
    """One rise: when, how long over the background, its highest fast level and how far over the
    background that is.
    """

    start_s: float
    length_s: float
    lafmax_db: float  # on the scale of the history given
    above_background_db: float
    kind: EventKind


def find_events(levels_db: ArrayLike, step_s: float) -> tuple[SoundEvent, ...]:
    """Events of a history of levels.
    levels_db: (n,) highest fast A-weighted level of each step [dB, any reference]
    step_s:    length of a step [s], above 0
    Returns:   events in their order, the 500 highest at most; none of a history under 5 s,
        which has no background to rise from. What begins and stays may rise by 3 dB, all else by 10
    """
    levels = np.atleast_1d(require("levels_db", levels_db))
    require("step_s", step_s, above=0)
    if levels.size * step_s < SHORTEST_HISTORY_S:
        return ()
    stays = _steps_up(levels, step_s)
    over = levels - _background(levels, step_s)
    rises = [
        span
        for span in _spans(over, step_s)
        if not any(start < span[1] and span[0] < end for start, end, _ in stays)
    ]
    alone = [(end - start) * step_s < SHORT_S for start, end in rises]
    found = [
        SoundEvent(
            start * step_s,
            (end - start) * step_s,
            float(levels[start:end].max()),
            float(over[start:end].max()),
            "comes_and_goes"
            if short and _one_of_many(rises, i, step_s)
            else _kind(over, start, end, step_s),
        )
        for i, ((start, end), short) in enumerate(zip(rises, alone, strict=True))
    ]
    found += [
        SoundEvent(
            start * step_s,
            (end - start) * step_s,
            float(levels[start:end].max()),
            rise,
            "begins",
        )
        for start, end, rise in stays
    ]
    highest = sorted(found, key=lambda event: -event.lafmax_db)[:MOST_EVENTS]
    return tuple(sorted(highest, key=lambda event: event.start_s))


def _spans(over: FloatArray, step_s: float) -> list[tuple[int, int]]:
    """What rises far enough over the background, from where it begins to count to where it ends."""
    loud = over >= FALL_DB
    edges = np.flatnonzero(np.diff(np.concatenate([[False], loud, [False]]).astype(np.int8)))
    spans: list[tuple[int, int]] = []
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        if spans and (start - spans[-1][1]) * step_s <= JOIN_S:
            spans[-1] = (spans[-1][0], int(end))
        else:
            spans.append((int(start), int(end)))
    return [span for span in spans if float(over[slice(*span)].max()) >= RISE_DB]


def _one_of_many(rises: list[tuple[int, int]], index: int, step_s: float) -> bool:
    """Whether a short rise is one of several that follow each other: a bird's calls, a hammer."""
    first = last = index
    while first > 0 and (rises[first][0] - rises[first - 1][1]) * step_s <= APART_S:
        first -= 1
    while last + 1 < len(rises) and (rises[last + 1][0] - rises[last][1]) * step_s <= APART_S:
        last += 1
    return last - first + 1 >= PEAKS


def _kind(over: FloatArray, start: int, end: int, step_s: float) -> EventKind:
    """What the run of the level tells of a rise, and no more."""
    if (end - start) * step_s < SHORT_S:
        return "short"
    run = over[start:end]
    peaks = _peaks(run)
    if len(peaks) >= PEAKS and (peaks[-1] - peaks[0]) * step_s <= APART_S * (len(peaks) - 1):
        return "comes_and_goes"
    smooth = scipy.ndimage.uniform_filter1d(run, max(1, round(SLOPE_S / step_s)), mode="nearest")
    top = int(np.argmax(smooth))
    whole = start > 0 and end < over.size
    slow = min(top, smooth.size - 1 - top) * step_s >= SLOPE_S
    back = np.maximum.accumulate(smooth) - smooth  # how far it has sunk on its way up
    ahead = np.maximum.accumulate(smooth[::-1])[::-1] - smooth  # and risen on its way down
    one_hump = max(float(back[:top].max(initial=0.0)), float(ahead[top:].max(initial=0.0))) < DIP_DB
    return "passing" if whole and slow and one_hump else "other"


def _peaks(run: FloatArray) -> list[int]:
    """Where the level stands DIP_DB over the dips on both sides."""
    found: list[int] = []
    low, best, rising = float(run[0]) - DIP_DB, 0, True
    for at, level in enumerate(run):
        if rising:
            if level > run[best]:
                best = at
            elif run[best] - level >= DIP_DB:
                found.append(best)
                low, rising = float(level), False
        else:
            low = min(low, float(level))
            if level - low >= DIP_DB:
                best, rising = at, True
    return [*found, best] if rising else found


def _steps_up(levels: FloatArray, step_s: float) -> list[tuple[int, int, float]]:
    """Where the level steps up and stays: first and last step, and by how much.

    Judged by the medians of single seconds, on which a knock leaves no trace: steady before, steady
    after, and no more than two seconds between.
    """
    second = max(1, round(1.0 / step_s))
    count = levels.size // second
    middles = np.median(levels[: count * second].reshape(count, second), axis=1)
    found: list[tuple[int, int, float]] = []
    at = BEFORE_S
    while at <= count - STAYS_S:
        before, after = middles[max(0, at - AROUND_S) : at], middles[at + 1 : at + 1 + AROUND_S]
        was, then = float(np.median(before)), float(np.median(after))
        if (
            then - was < STEP_DB
            or len(after) < STAYS_S - 1
            or max(np.ptp(before), np.ptp(after)) > STEADY_DB
        ):
            at += 1
            continue
        gone = np.flatnonzero(middles[at + 1 :] < (was + then) / 2.0)
        end = at + 1 + int(gone[0]) if gone.size else count
        first = at * second + int(
            np.argmax(levels[at * second : (at + 2) * second] >= (was + then) / 2.0)
        )
        last = levels.size if end == count else end * second
        found.append((first, last, float(levels[first:last].max()) - was))
        at = end + BEFORE_S
    return found


def _background(levels: FloatArray, step_s: float) -> FloatArray:
    """(n,) the level that nine tenths of the time around exceed, a value a second spread over its
    steps.
    """
    second = max(1, round(1.0 / step_s))
    count = -(-levels.size // second)
    padded = np.pad(levels, (0, count * second - levels.size), mode="edge").reshape(count, second)
    lows = np.percentile(padded, 10.0, axis=1)
    wide = min(int(BACKGROUND_S), 2 * count - 1) | 1
    smooth = (
        scipy.ndimage.percentile_filter(lows, 10.0, size=wide, mode="nearest")
        if count > 1
        else lows
    )
    return np.repeat(smooth, second)[: levels.size]
