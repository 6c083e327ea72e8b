"""How a figure and its floor are taken: in turn, several times, the median of the pairwise ratios
kept.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Row:
    """One figure. `ratio` is value over floor, or floor over value where `goal` starts with "at
    least".
    """

    name: str
    value: float
    unit: str
    floor: str
    ratio: float
    goal: str
    met: bool


def seconds(run: Callable[[], object]) -> float:
    """Wall time of one run."""
    started = time.perf_counter()
    run()
    return time.perf_counter() - started


def in_turn(
    run: Callable[[], object], floor: Callable[[], object], *, times: int = 5
) -> tuple[float, float]:
    """Median seconds of `run`, and the median of its ratio to `floor`, each pair timed one after
    the other after a warm-up.
    """
    run()
    floor()
    pairs = [(seconds(run), seconds(floor)) for _ in range(times)]
    return statistics.median(a for a, _ in pairs), statistics.median(a / b for a, b in pairs)


def at_most(
    name: str,
    run: Callable[[], object],
    floor_name: str,
    floor: Callable[[], object],
    most: float,
    *,
    times: int = 5,
) -> Row:
    """A row whose goal is a time of at most so many floors."""
    value, ratio = in_turn(run, floor, times=times)
    return Row(
        name,
        round(value * 1000, 2),
        "ms",
        floor_name,
        round(ratio, 3),
        f"at most {most:g}",
        ratio <= most,
    )


def within(name: str, run: Callable[[], object], most_s: float, *, times: int = 5) -> Row:
    """A row held against a stretch of time itself, where people wait for it: the median of several
    runs after a warm-up. What is measured has one thread, so it is the processor's time: whoever else
    is at work on the machine is no part of it.
    """
    run()
    return held(name, statistics.median(_spent_s(run) for _ in range(times)), most_s)


def _spent_s(run: Callable[[], object]) -> float:
    started = time.process_time()
    run()
    return time.process_time() - started


def held(name: str, value_s: float, most_s: float) -> Row:
    """The row of a time that was measured against the longest that it may be."""
    return Row(
        name,
        round(value_s * 1000, 2),
        "ms",
        f"{most_s * 1000:g} milliseconds",
        round(value_s / most_s, 3),
        "at most 1",
        value_s <= most_s,
    )


def at_least(
    name: str,
    run: Callable[[], object],
    floor_name: str,
    floor: Callable[[], object],
    least: float,
    *,
    times: int = 3,
) -> Row:
    """A row whose goal is to be at least so many times faster than its floor."""
    value, ratio = in_turn(run, floor, times=times)
    faster = 1 / ratio
    return Row(
        name,
        round(value * 1000, 2),
        "ms",
        floor_name,
        round(faster, 2),
        f"at least {least:g}",
        faster >= least,
    )
