"""A demonstration that is begun after its own days has days to come, on the same weekdays."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import pytest

from scout import places
from scout.usecases.demo import to_come

SCENARIO = json.loads((places.DEMO_DATA / "scenario.json").read_text(encoding="utf-8"))
LAST = max(date.fromisoformat(day) for day in SCENARIO["production"]["shoot_dates"])


def days_of(scenario: dict[str, Any]) -> list[date]:
    """Each day of the production and of its scenes' needs."""
    needs = [need for one in scenario["scenes"] for need in one["scene"]["needs"]]
    listed = [scenario["production"]["shoot_dates"], *(need.get("dates", ()) for need in needs)]
    return [date.fromisoformat(day) for days in listed for day in days]


def test_days_that_are_not_all_past_stay_as_they_are_written() -> None:
    assert to_come(SCENARIO, LAST) == SCENARIO


@pytest.mark.parametrize("later_days", [1, 200, 364, 365, 5000])
def test_past_days_come_again_within_a_year_on_their_weekdays(later_days: int) -> None:
    today = date.fromordinal(LAST.toordinal() + later_days)
    moved, written = days_of(to_come(SCENARIO, today)), days_of(SCENARIO)
    pairs = list(zip(moved, written, strict=True))
    assert len(pairs) > 5  # the production's three, and each scene's own
    assert {new.weekday() - old.weekday() for new, old in pairs} == {0}  # property: weekdays stay
    assert len({new - old for new, old in pairs}) == 1  # property: all move by as much
    last = max(new for new, _old in pairs)
    assert 0 <= (last - today).days < 364  # property: the next time, and not the one after
