"""Rows of the bench: the promised keys, a ratio that is what it says, and a goal that is met when
it is met.
"""

from __future__ import annotations

import dataclasses
import json
import time
from pathlib import Path

import pytest
from click.testing import CliRunner

from scout.bench import capture, measure, whole
from scout.bench.measure import Row, at_least, at_most
from scout.cli import bench_command
from scout.settings import Settings
from tests.web.real_server import served

KEYS = {"name", "value", "unit", "floor", "ratio", "goal", "met"}


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """A clock that only moves when something is run."""
    now = [0.0]
    monkeypatch.setattr(time, "perf_counter", lambda: now[0])
    return now


def test_by_hand_a_time_in_floors(clock: list[float]) -> None:
    # by hand: 30 ms against 20 ms is 1.5 floors: at most 2 is met, at most 1.4 is not
    def run() -> None:
        clock[0] += 0.030

    def floor() -> None:
        clock[0] += 0.020

    row = at_most("a task", run, "a floor", floor, 2.0)
    assert dataclasses.asdict(row) == {
        "name": "a task",
        "value": 30.0,
        "unit": "ms",
        "floor": "a floor",
        "ratio": 1.5,
        "goal": "at most 2",
        "met": True,
    }
    assert at_most("a task", run, "a floor", floor, 1.4).met is False
    # by hand: the floor takes 20/30 of the time, so the task is 0.67 times as fast as its floor
    assert (
        at_least("a task", run, "a floor", floor, 1.0).ratio,
        at_least("a task", run, "a floor", floor, 1.0).met,
    ) == (0.67, False)
    assert at_least("a floor", floor, "a task", run, 1.5).met is True


def test_by_hand_the_median_of_the_pairs_and_a_warm_up_that_does_not_count(
    clock: list[float],
) -> None:
    times = iter(
        [9.0, 0.010, 0.040, 0.020]
    )  # by hand: the first is the warm-up; the median of 10, 40 and 20 ms is 20

    def run() -> None:
        clock[0] += next(times)

    def floor() -> None:
        clock[0] += 0.010

    row = at_most("a task", run, "a floor", floor, 3.0, times=3)
    assert (row.value, row.ratio) == (20.0, 2.0)


def test_what_fails_is_not_a_figure() -> None:
    def fails() -> None:
        raise ValueError("it broke")

    with pytest.raises(ValueError, match="it broke"):
        measure.in_turn(fails, lambda: None)


def run(*arguments: str) -> tuple[int, str]:
    """The command: its exit code and what it printed."""
    done = CliRunner().invoke(
        bench_command.command, list(arguments), standalone_mode=False, catch_exceptions=False
    )
    return done.return_value, done.output


def test_the_command_prints_rows_and_says_whether_the_goals_are_met(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    kept = Row("one", 1.0, "ms", "a floor", 1.5, "at most 2", True)
    missed = Row("two", 9.0, "ms", "a floor", 2.5, "at most 2", False)
    monkeypatch.setattr(bench_command, "SUITES", {"whole": "scout.bench.whole"})
    monkeypatch.setattr(whole, "rows", lambda: iter([kept]))
    code, out = run("whole", "--json")
    assert (code, [set(row) for row in json.loads(out)]) == (0, [KEYS])
    assert run("whole") == (0, "one: 1 ms, 1.5 x a floor (goal: at most 2): met\n")
    monkeypatch.setattr(whole, "rows", lambda: iter([kept, missed]))
    code, out = run("--json")
    assert (code, [row["met"] for row in json.loads(out)]) == (1, [True, False])
    assert "not met" in run()[1]


def test_the_first_figures_are_start_up_and_one_assessment(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(
        whole,
        "at_most",
        lambda name, *_more, **_kept: Row(name, 1.0, "ms", "", 1.0, "at most 1", True),
    )
    names = [row.name for row in (whole.start_up(), whole.assessment())]
    assert json.dumps(names) == '["start-up: scout --version", "one room assessed, warm"]'
    assert whole.demo_sheet().room.corners_m is not None


def test_two_phones_send_at_once_as_fifty_do(embedded: Settings, tmp_path: Path) -> None:
    capture.furnish(embedded)
    with served(embedded) as visitor:
        row = capture.many_phones(visitor.port, tmp_path, 2, 20_000, 1)
    assert row.name == "2 phones at once, 0.02 MB each, 95 of 100, 0 refused"
    assert row.value > 0
    assert row.met is (row.ratio <= 2)
    assert len({capture.photo(number, 20_000) for number in range(3)}) == 3
