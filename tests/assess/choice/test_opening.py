"""Opening hours against the hours wanted. Expected answers follow from the clock by hand; the
places are invented beside each test.
"""

from __future__ import annotations

from datetime import date, time
from typing import Any

import pytest

from scout.assess.choice.opening import OpenAnswer, open_when, opening_words, spells_of
from scout.errors import RefusedMany
from scout.records import LocationRecord
from scout.records.kept import WhenNeed
from scout.records.opening import OpeningHours
from scout.values import Name, Spell, Word, said

SUNDAY, MONDAY, SATURDAY = (
    "2026-06-21",
    "2026-06-22",
    "2026-06-20",
)  # by hand: 1 January 2026 was a Thursday, 21 June is day 172, 171 = 24 weeks and 3 days on
OFFICE = {"week": [{"first": "mon", "last": "fri", "opens": "09:00", "closes": "18:00"}]}


def asked(
    opening: dict[str, Any] | None,
    *dates: str,
    begin: str | None = None,
    end: str | None = None,
    words: str | None = None,
) -> OpenAnswer:
    need = WhenNeed.read(
        {
            "topic": "when",
            "strength": "must",
            "dates": list(dates),
            "from_time": begin,
            "until_time": end,
        }
    )
    return open_when(
        need, LocationRecord.read({"name": "Mill", "hours": words, "opening_hours": opening})
    )


OPEN, OPENS, CLOSES, SHUT = (f"hours.why.{one}" for one in ("open", "opens", "closes", "closed"))


def codes(found: OpenAnswer) -> list[str]:
    return [one.code for one in found.why]


def spells(found: OpenAnswer) -> Any:
    return found.figure["spells"].items


@pytest.mark.parametrize(
    ("begin", "end", "level", "why"),
    [
        ("09:00", "18:00", "pass", [OPEN]),
        ("08:00", "18:00", "care", [OPENS]),  # by hand: 60 min early, which can be asked for
        ("07:59", "18:00", "fail", [OPENS]),
        ("10:00", "18:01", "care", [CLOSES]),
        ("10:00", "19:00", "care", [CLOSES]),
        ("10:00", "19:01", "fail", [CLOSES]),
        ("08:30", "18:30", "care", [OPENS, CLOSES]),
        ("20:00", "02:00", "fail", [CLOSES]),
        ("09:00", None, "pass", [OPEN]),
        ("18:00", None, "care", [CLOSES]),
        ("20:00", None, "fail", [CLOSES]),
        (None, "18:00", "pass", [OPEN]),
        (None, "09:00", "care", [OPENS]),
        (None, "06:00", "fail", [OPENS]),
        (None, None, "pass", ["hours.why.open_then"]),
    ],
)
def test_hours_of_a_weekday(begin: str | None, end: str | None, level: str, why: list[str]) -> None:
    found = asked(OFFICE, MONDAY, begin=begin, end=end)
    assert (found.level, codes(found)) == (level, why)
    assert found.figure["day"] == date(2026, 6, 22)
    assert spells(found) == (Spell(time(9), time(18)),)
    if OPENS in why:
        assert (found.why[0]["at"], str(found.why[0]["wanted"])[:5]) == (time(9), begin or end)
    if CLOSES in why:
        assert (found.why[-1]["at"], str(found.why[-1]["wanted"])[:5]) == (time(18), end or begin)


@pytest.mark.parametrize("hours", [{}, {"begin": "09:00"}, {"begin": "09:00", "end": "10:00"}])
def test_a_weekday_not_named_and_a_date_closed_are_closed(hours: dict[str, str]) -> None:
    for opening, day in ((OFFICE, SUNDAY), ({**OFFICE, "closed_on": [MONDAY]}, MONDAY)):
        found = asked(opening, day, **hours)
        assert (found.level, codes(found)) == ("fail", [SHUT])
        assert spells(found) == (said("hours.shut"),)


def test_a_date_of_its_own_overrides_its_weekday() -> None:
    opening = {
        **OFFICE,
        "dates": [
            {"on": SUNDAY, "opens": "07:00", "closes": "22:00"},
            {"on": MONDAY, "opens": "12:00", "closes": "13:00"},
        ],
    }
    assert asked(opening, SUNDAY, begin="07:00", end="22:00").level == "pass"
    assert asked(opening, MONDAY, begin="09:00", end="18:00").level == "fail"


def test_what_is_not_recorded_is_unknown_and_never_closed() -> None:
    assert asked(None, MONDAY).level == "unknown"
    for opening in (
        {},
        {"closed_on": [SUNDAY]},
        {"dates": [{"on": SUNDAY, "opens": "07:00", "closes": "22:00"}]},
    ):
        found = asked(opening, MONDAY, begin="09:00")
        assert (found.level, codes(found)) == ("unknown", ["hours.why.not_recorded"])
    late = asked(
        {"dates": [{"on": MONDAY, "opens": "07:00", "closes": "00:00"}]},
        MONDAY,
        begin="22:00",
        end="02:00",
    )
    assert (late.level, codes(late)) == ("unknown", ["hours.why.day_after"])


def test_hours_in_words_alone_are_shown_to_be_read_and_stand_beside_the_others() -> None:
    nothing: dict[str, Any] = {}
    for empty in (None, nothing):
        assert asked(empty, MONDAY, words="Mon to Fri\n9 to 5").level == "care"
    found = asked(OFFICE, MONDAY, begin="09:00", words="The bell rings at noon.")
    assert found.level == "pass"
    assert found.why[-1] == said("hours.why.adds", hours=Name("The bell rings at noon."))


def test_past_midnight_and_round_the_week() -> None:
    bar = {"week": [{"first": "fri", "last": "sun", "opens": "18:00", "closes": "03:00"}]}
    assert asked(bar, SATURDAY, begin="20:00", end="02:30").level == "pass"
    assert (
        asked(bar, MONDAY, begin="01:00", end="02:00").level == "pass"
    )  # by hand: Sunday's hours run until Monday 03:00
    # Monday itself is not named
    assert codes(asked(bar, MONDAY, begin="01:00", end="04:30")) == [SHUT]
    always = {"week": [{"first": "mon", "last": "sun", "opens": "00:00", "closes": "00:00"}]}
    assert asked(always, SUNDAY, begin="20:00", end="19:00").level == "pass"
    assert spells(asked(always, SUNDAY)) == (said("hours.all_day"),)
    wrapped = OpeningHours.read(
        {"week": [{"first": "sat", "last": "mon", "opens": "10:00", "closes": "12:00"}]}
    )
    assert wrapped.week is not None
    assert wrapped.week[0].days == (5, 6, 0)


def test_a_midday_closing_is_seen_and_joined_hours_are_one() -> None:
    split = {
        "week": [
            {"first": "mon", "opens": "09:00", "closes": "12:00"},
            {"first": "mon", "opens": "14:00", "closes": "18:00"},
        ]
    }
    assert asked(split, MONDAY, begin="10:00", end="16:00").level == "fail"
    assert spells(asked(split, MONDAY)) == (Spell(time(9), time(12)), Spell(time(14), time(18)))
    joined = {
        "week": [
            {"first": "mon", "opens": "09:00", "closes": "12:00"},
            {"first": "mon", "opens": "12:00", "closes": "18:00"},
        ]
    }
    assert asked(joined, MONDAY, begin="10:00", end="16:00").level == "pass"


def test_the_worst_date_decides_and_is_named() -> None:
    found = asked(OFFICE, MONDAY, SUNDAY, "2026-06-23", begin="09:00", end="17:00")
    assert (found.level, found.figure["day"]) == ("fail", date(2026, 6, 21))
    assert found.why[-1] == said("hours.why.so_on", alike=1, dates=3)
    both = asked(OFFICE, MONDAY, "2026-06-23", begin="09:00")
    assert both.why[-1] == said("hours.why.so_on", alike=2, dates=2)
    assert codes(asked(OFFICE, MONDAY, begin="09:00")) == [OPEN]


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31"])
def test_the_ends_of_the_calendar(day: str) -> None:
    always = {"week": [{"first": "mon", "last": "sun", "opens": "00:00", "closes": "00:00"}]}
    assert asked(always, day, begin="09:00", end="17:00").level == "pass"


def test_property_of_all_hours_a_spell_passes_what_lies_inside_it_and_nothing_else() -> None:
    """property: pass exactly when the place is open in every minute wanted, counted minute by
    minute.
    """
    opening = OpeningHours.read(
        {
            "week": [
                {"first": "mon", "opens": "06:00", "closes": "11:00"},
                {"first": "mon", "opens": "13:00", "closes": "01:00"},
            ]
        }
    )
    open_min = {
        minute
        for begin, end in spells_of(opening, date(2026, 6, 22)) or ()
        for minute in range(begin, end)
    }
    times = [f"{h:02d}:{m:02d}" for h in range(0, 24, 3) for m in (0, 59)]
    for begin in times:
        for end in times:
            a, b = (int(t[:2]) * 60 + int(t[3:]) for t in (begin, end))
            wanted = set(range(a, b if b > a else b + 1440))
            level = open_when(
                WhenNeed.read(
                    {
                        "topic": "when",
                        "strength": "must",
                        "dates": [MONDAY],
                        "from_time": begin,
                        "until_time": end,
                    }
                ),
                LocationRecord.read({"name": "Mill", "opening_hours": opening.plain()}),
            ).level
            assert (level == "pass") == (wanted <= open_min), (begin, end)


def test_opening_hours_as_lines() -> None:
    opening = OpeningHours.read(
        {
            "week": [
                {"first": "mon", "last": "fri", "opens": "09:00", "closes": "18:00"},
                {"first": "sat", "opens": "10:00", "closes": "00:00"},
            ],
            "dates": [{"on": SUNDAY, "opens": "07:00", "closes": "02:00"}],
            "closed_on": ["2026-12-26", "2026-12-25"],
        }
    )
    lines = opening_words(opening)
    assert [line.code for line in lines] == [
        "hours.weekdays",
        "hours.weekdays",
        "hours.others_shut",
        "hours.on",
        "hours.shut_on",
    ]
    assert (lines[0]["first"], lines[0]["last"]) == (Word("weekday", "mon"), Word("weekday", "fri"))
    assert lines[1]["last"] is None
    assert lines[3]["spells"].items == (Spell(time(7), time(2)),)
    assert lines[4]["days"].items == (date(2026, 12, 25), date(2026, 12, 26))


@pytest.mark.parametrize(
    ("given", "path", "words"),
    [
        (
            {"week": [{"first": "mon", "opens": "25:00", "closes": "18:00"}]},
            "opening_hours.week[0].opens",
            "time of day",
        ),
        (
            {"week": [{"first": "mon", "opens": "٠٩:٠٠", "closes": "18:00"}]},
            "opening_hours.week[0].opens",
            "time of day",
        ),
        (
            {"week": [{"first": "someday", "opens": "09:00", "closes": "18:00"}]},
            "opening_hours.week[0].first",
            "is not one of",
        ),
        (
            {"week": [{"opens": "09:00", "closes": "18:00"}]},
            "opening_hours.week[0].first",
            "is needed",
        ),
        (
            {"dates": [{"on": SUNDAY, "opens": "07:00", "closes": "22:00"}], "closed_on": [SUNDAY]},
            "opening_hours",
            "open and as closed",
        ),
    ],
)
def test_hours_that_cannot_be_are_refused_by_name(
    given: dict[str, Any], path: str, words: str
) -> None:
    with pytest.raises(RefusedMany) as refused:
        LocationRecord.read({"name": "Mill", "opening_hours": given})
    assert [one.path for one in refused.value.refusals] == [path]
    assert words in str(refused.value.refusals[0].because)
