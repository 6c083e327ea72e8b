"""Opening hours as they are recorded: what a clock is, which days a stretch of the week holds."""

from __future__ import annotations

from typing import Any

import pytest

from scout.errors import Refused, RefusedMany
from scout.records.opening import OpeningHours, WeekHours


def week(first: str, last: str | None = None, **hours: Any) -> dict[str, Any]:
    return {"first": first, "last": last, "opens": "09:00", "closes": "17:00", **hours}


@pytest.mark.parametrize(
    ("first", "last", "days"),
    [  # by hand: 0 is Monday
        ("mon", "fri", (0, 1, 2, 3, 4)),
        ("sun", None, (6,)),
        ("wed", "wed", (2,)),
        ("sat", "mon", (5, 6, 0)),
        ("tue", "mon", (1, 2, 3, 4, 5, 6, 0)),
    ],
)
def test_days_go_round_the_end_of_the_week(
    first: str, last: str | None, days: tuple[int, ...]
) -> None:
    assert WeekHours.read(week(first, last), "week").days == days


@pytest.mark.parametrize("text", ["00:00", "09:30", "23:59"])
def test_a_clock(text: str) -> None:
    assert WeekHours.read(week("mon", opens=text), "week").opens == text


@pytest.mark.parametrize(
    "text",
    ["24:00", "23:60", "9:00", "09:0", "0900", "09-00", "", "009:00", "09:000", "-1:00", "٠٩:٠٠"],
)
def test_what_is_no_clock_is_refused_by_name(text: str) -> None:
    with pytest.raises((Refused, RefusedMany), match="opens"):
        WeekHours.read(week("mon", opens=text), "week")


def test_a_date_is_open_or_closed_not_both() -> None:
    day = {"on": "2026-12-24", "opens": "09:00", "closes": "12:00"}
    kept = OpeningHours.read({"dates": [day], "closed_on": ["2026-12-25"]}, "hours")
    assert kept.dates is not None
    assert kept.week is None
    with pytest.raises((Refused, RefusedMany), match="24 Dec 2026"):
        OpeningHours.read({"dates": [day], "closed_on": ["2026-12-25", "2026-12-24"]}, "hours")
