"""Which setups a scene asks of a room: one a date, or one without, and what several agree on."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from scout.records.kept import SceneRecord
from scout.records.setups import MOST_DATES, in_common, setups_asked

FIRST = date(2026, 6, 20)


def scene(*dates: date, begin: str | None = None, end: str | None = None) -> SceneRecord:
    needs = []
    if dates:
        when = {
            "topic": "when",
            "strength": "must",
            "dates": [day.isoformat() for day in dates],
        }
        needs.append(when | ({"from_time": begin, "until_time": end} if begin and end else {}))
    return SceneRecord.read({"name": "Vows", "needs": needs}, "scene")


def days(count: int) -> tuple[date, ...]:
    return tuple(FIRST + timedelta(days=number) for number in range(count))


@pytest.mark.parametrize("count", [1, 2, MOST_DATES])
def test_each_date_is_a_setup_of_its_own(count: int) -> None:
    found = setups_asked(scene(*days(count), begin="10:00", end="14:00"))
    assert [one.on for one in found] == list(days(count))
    assert {(one.from_time, one.until_time) for one in found} == {("10:00", "14:00")}


def test_more_dates_than_can_be_meant_are_none() -> None:
    (found,) = setups_asked(scene(*days(MOST_DATES + 1), begin="10:00", end="14:00"))
    assert found.on is None
    assert (found.from_time, found.until_time) == ("10:00", "14:00")


def test_a_scene_without_dates_has_one_setup() -> None:
    (found,) = setups_asked(scene())
    assert (found.on, found.from_time, found.until_time) == (None, None, None)


def test_what_setups_agree_on_stays_and_the_rest_is_open() -> None:
    agreed = in_common(setups_asked(scene(*days(2), begin="10:00", end="14:00")))
    assert agreed.on is None
    assert (agreed.from_time, agreed.until_time) == ("10:00", "14:00")
