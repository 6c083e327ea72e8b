"""Events in a recording's time history: what rises over the background and falls again (a door, a
plane).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import scipy.ndimage
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require

RISE_DB, FALL_DB = (
    10.0,
    5.0,
)  # over the background: where an event begins to count, and where it ends (common practice)
BACKGROUND_S = 120.0  # the background is what the quietest tenth of two minutes around shows
JOIN_S = 1.0
SHORTEST_HISTORY_S = 5.0
SHORT_S = 2.0
MOST_EVENTS = 500


@dataclass(frozen=True)
class SoundEvent:
    """One rise: when, how long over the background, its highest fast level and how far over the
    background that is.
    """

    start_s: float
    length_s: float
    lafmax_db: float  # on the scale of the history given
    above_background_db: float
    kind: Literal["short", "passing"]  # a door or a knock; a vehicle, a plane, a voice


def find_events(levels_db: ArrayLike, step_s: float) -> tuple[SoundEvent, ...]:
    """Events of a history of levels.
    levels_db: (n,) highest fast A-weighted level of each step [dB, any reference]
    step_s:    length of a step [s], above 0
    Returns:   events in their order, the 500 highest at most; none of a history under 5 s,
        which has no background to rise from
    """
    levels = np.atleast_1d(require("levels_db", levels_db))
    require("step_s", step_s, above=0)
    if levels.size * step_s < SHORTEST_HISTORY_S:
        return ()
    background = _background(levels, step_s)
    over = levels - background
    loud = over >= FALL_DB
    edges = np.flatnonzero(np.diff(np.concatenate([[False], loud, [False]]).astype(np.int8)))
    spans: list[tuple[int, int]] = []
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        if spans and (start - spans[-1][1]) * step_s <= JOIN_S:
            spans[-1] = (spans[-1][0], int(end))
        else:
            spans.append((int(start), int(end)))
    found = []
    for start, end in spans:
        rise = float(over[start:end].max())
        if rise < RISE_DB:
            continue
        length = (end - start) * step_s
        found.append(
            SoundEvent(
                start * step_s,
                length,
                float(levels[start:end].max()),
                rise,
                "short" if length < SHORT_S else "passing",
            )
        )
    if len(found) > MOST_EVENTS:
        least = sorted((event.lafmax_db for event in found), reverse=True)[MOST_EVENTS - 1]
        found = [event for event in found if event.lafmax_db >= least][:MOST_EVENTS]
    return tuple(found)


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
