"""A demonstration that is begun after its own days has days to come, on the same weekdays."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import pytest

from scout import places
from scout.usecases.demo import to_come

SCENARIO = json.loads((places.DEMO_DATA / "scenario.json").read_text(encoding="utf-8"))
DAYS = [date.fromisoformat(day) for day in SCENARIO["production"]["shoot_dates"]]


def days_of(scenario: dict[str, Any]) -> list[date]:
    """Each day of the production and of its scenes' needs."""
    needs = [need for one in scenario["scenes"] for need in one["scene"]["needs"]]
    listed = [scenario["production"]["shoot_dates"], *(need.get("dates", ()) for need in needs)]
    return [date.fromisoformat(day) for days in listed for day in days]


def test_days_to_come_stay_as_they_are_written() -> None:
    assert to_come(SCENARIO, min(DAYS)) == SCENARIO


@pytest.mark.parametrize("later_days", [1, 100, 163, 200, 364, 365, 5000])
def test_each_past_day_comes_again_within_a_year_on_its_weekday(later_days: int) -> None:
    today = date.fromordinal(min(DAYS).toordinal() + later_days)
    shown = to_come(SCENARIO, today)
    days = shown["production"]["shoot_dates"]
    assert days == sorted(days)
    moved, written = days_of(shown), days_of(SCENARIO)
    assert len(moved) == len(written) > 5  # the production's three, and each scene's own
    assert {day.weekday() for day in moved} == {day.weekday() for day in written}
    for day in moved:  # property: the next time, and not the one after
        assert day >= today
        assert day in written or (day - today).days < 364
    # property: what was shot on one day still is
    assert len(set(moved)) == len(set(written)) == len(days)
