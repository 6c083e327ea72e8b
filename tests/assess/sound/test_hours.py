"""Noises that come back against dates and hours: what falls in, what stays quiet, which readings
speak for those hours, and whether that is quiet enough.
"""

from __future__ import annotations

from datetime import date, time
from typing import Any

import pytest

from scout.assess.sound.hours import (
    Shoot,
    noises_then,
    quiet_hours,
    readings_for,
    steadiness,
)
from scout.assess.sound.noise import QuietThen, quiet_enough, quiet_then
from scout.records.kept import WhenNeed
from scout.records.sheet import RoomRecord
from scout.records.sounds import NoiseWindowRecord
from scout.values import Figure, Name, Spell, Word

MONDAY, TUESDAY, SATURDAY, SUNDAY = "2026-06-22", "2026-06-23", "2026-06-20", "2026-06-21"
ZONE = "Europe/London"
SCHOOL = {
    "what": "playground",
    "days": ["mon", "tue", "wed", "thu", "fri"],
    "from_time": "10:30",
    "until_time": "11:00",
    "steady": False,
}
LORRY = {"what": "delivery", "days": ["mon"], "from_time": "10:45", "until_time": "11:15"}


def when(*dates: str, **hours: str) -> WhenNeed:
    return WhenNeed.read({"topic": "when", "strength": "must", "dates": list(dates), **hours})


def shoot(*dates: str, **hours: str) -> Shoot:
    return Shoot.of_need(when(*dates, **hours))


def windows(*rows: dict[str, Any]) -> tuple[NoiseWindowRecord, ...]:
    return tuple(NoiseWindowRecord.read(row) for row in rows)


def reading(name: str, laeq_db: float, at: str | None = None, **more: Any) -> dict[str, Any]:
    taken = {} if at is None else {"taken_at": f"{at}+01:00"}
    return {"id": name, "laeq_db": laeq_db, "method": "meter_class_2", **taken, **more}


def a_room(*readings: dict[str, Any]) -> RoomRecord:
    return RoomRecord.read({"noise": list(readings)})


def minutes_of(spell: Spell | None) -> int:
    if spell is None:
        return 0
    start, end = (60 * one.hour + one.minute for one in (spell.start, spell.end))
    return (end - start) % 1440


# -- noises that come back
def test_what_falls_in_and_what_stays_quiet() -> None:
    # by hand: 09:00 to 12:00 is 180 minutes; 10:30 to 11:15 is noisy (the two overlap): 135 left,
    # the longest 09:00 to 10:30, 90
    found = noises_then(
        shoot(MONDAY, TUESDAY, SUNDAY, from_time="09:00", until_time="12:00"),
        windows(SCHOOL, LORRY),
    )
    assert found is not None
    assert (found.level, found.why["struck"], found.why["dates"]) == ("care", 2, 3)
    assert found.quiet_min == 135
    assert found.longest == Spell(time(9), time(10, 30))
    assert [(window.what, minutes) for window, minutes in found.noises] == [
        ("playground", 30),
        ("delivery", 30),
    ]
    assert found.why.code == "noise.comes"
    assert (found.why["struck"], found.why["dates"]) == (2, 3)
    assert (found.why["quiet"], found.why["of"]) == (Figure(135, "min"), Figure(180, "min"))
    school, lorry = found.why["noises"]
    assert (school["noise"], school["way"]) == (
        Name("playground"),
        Word("noise_way", "intermittent"),
    )
    assert (lorry["spell"], lorry["way"]) == (Spell(time(10, 45), time(11, 15)), None)


@pytest.mark.parametrize(
    ("asked", "rows"),
    [
        (shoot(SUNDAY, from_time="09:00", until_time="12:00"), (SCHOOL,)),  # no school
        (shoot(MONDAY, from_time="11:00", until_time="12:00"), (SCHOOL,)),  # it ends as they begin
        (shoot(MONDAY, from_time="09:00", until_time="10:30"), (SCHOOL,)),  # it begins as they end
        (shoot(MONDAY, from_time="09:00", until_time="12:00"), ()),
        (shoot(TUESDAY, from_time="09:00", until_time="12:00"), (LORRY,)),
    ],
)
def test_nothing_falls_in(asked: Shoot, rows: tuple[dict[str, Any], ...]) -> None:
    assert noises_then(asked, windows(*rows)) is None


@pytest.mark.parametrize(
    ("begin", "end", "level", "quiet", "longest"),
    [
        ("10:25", "11:05", "problem", 10, 5),  # by hand: 5 and 5 are left, less than a take
        ("10:15", "11:00", "care", 15, 15),  # a take of 15 minutes just fits
        ("10:16", "11:00", "problem", 14, 14),
        ("10:50", "11:05", "problem", 5, 5),
        ("10:30", "11:00", "problem", 0, 0),
    ],
)
def test_a_quiet_stretch_must_hold_a_take(
    begin: str, end: str, level: str, quiet: int, longest: int
) -> None:
    found = noises_then(shoot(MONDAY, from_time=begin, until_time=end), windows(SCHOOL))
    assert found is not None
    assert (found.level, found.quiet_min, minutes_of(found.longest)) == (level, quiet, longest)
    assert (found.longest is None) == (quiet == 0)


def test_without_hours_the_noises_are_named_alone() -> None:
    found = noises_then(shoot(MONDAY), windows(SCHOOL))
    assert found is not None
    assert (found.level, found.quiet_min, found.longest) == ("care", None, None)
    assert found.why["quiet"] is None
    assert found.why["struck"] is None  # every date is struck: nothing to count


def test_of_several_dates_the_worst_is_told_and_midnight_is_crossed() -> None:
    # by hand: of 10:25 to 11:05 on Tuesday 10 stay quiet, on Monday (lorry to 11:15) 5
    worst = noises_then(
        shoot(TUESDAY, MONDAY, from_time="10:25", until_time="11:05"), windows(SCHOOL, LORRY)
    )
    assert worst is not None
    assert worst.quiet_min == 5
    # by hand: Sunday 22:00 to Monday 02:00 is 240 minutes; Monday's bins at 01:00 to 01:30 take 30
    night = noises_then(
        shoot(SUNDAY, from_time="22:00", until_time="02:00"),
        windows({"what": "bins", "days": ["mon"], "from_time": "01:00", "until_time": "01:30"}),
    )
    assert night is not None
    assert (night.quiet_min, minutes_of(night.longest)) == (210, 180)
    assert night.longest == Spell(time(22), time(1))


# -- which readings speak for the hours
def test_readings_of_the_hours_before_all_others() -> None:
    room = a_room(
        reading("N1", 46, "2026-06-15T08:30:00"),
        reading("N2", 31, "2026-06-15T14:10:00"),
        reading("N3", 35),
        reading("N4", 50, "2026-06-15T14:30:00", method="estimate"),
    )
    asked = (
        ({"from_time": "13:00", "until_time": "17:00"}, ["N2"], True),
        ({"from_time": "14:10", "until_time": "17:00"}, ["N2"], True),  # at the first minute
        ({"from_time": "14:11", "until_time": "17:00"}, ["N1", "N2", "N3", "N4"], False),
        ({"from_time": "12:00", "until_time": "14:10"}, ["N2"], True),  # at the last
        ({"from_time": "23:00", "until_time": "09:00"}, ["N1"], True),  # through midnight
        ({}, ["N1", "N2", "N3", "N4"], None),
    )
    for hours, names, at_hours in asked:
        counted = readings_for([shoot(MONDAY, **hours)], room, (), ZONE)
        assert [one.id for one in counted.readings] == names, hours
        assert counted.at_hours is at_hours, hours
    # property: what was heard at these hours and not read hides no reading of other hours
    heard = {"id": "N5", "taken_at": "2026-06-15T14:10:00+01:00", "conditions": "fridge on"}
    both = a_room(reading("N1", 46, "2026-06-15T08:30:00"), heard)
    counted = readings_for([shoot(MONDAY, from_time="13:00", until_time="17:00")], both, (), ZONE)
    assert ([one.id for one in counted.readings], counted.at_hours) == (["N1", "N5"], False)


def test_a_reading_of_a_noise_counts_only_where_it_comes_back() -> None:
    # A Saturday's shoot: what the school does on a Friday raises nothing.
    friday = reading("N2", 41, "2026-06-19T10:40:00", conditions="playground")
    room = a_room(reading("N1", 33, "2026-06-19T10:20:00"), friday)
    for day, hours, names in (
        (SATURDAY, {"from_time": "10:00", "until_time": "14:00"}, ["N1"]),
        (SATURDAY, {}, ["N1"]),
        (MONDAY, {"from_time": "10:00", "until_time": "14:00"}, ["N1", "N2"]),
        (MONDAY, {}, ["N1", "N2"]),
        (MONDAY, {"from_time": "10:00", "until_time": "10:30"}, ["N1"]),
    ):
        counted = readings_for([shoot(day, **hours)], room, windows(SCHOOL), ZONE)
        assert [one.id for one in counted.readings] == names, (day, hours)
    assert readings_for([shoot(SATURDAY)], a_room(friday), windows(SCHOOL), ZONE).readings == ()
    # the same hour on a Sunday was no reading of the school
    sunday = a_room(reading("N2", 41, "2026-06-21T10:40:00"))
    assert readings_for([shoot(SATURDAY)], sunday, windows(SCHOOL), ZONE).readings


# -- quiet enough
@pytest.mark.parametrize(
    ("read", "limit", "doubt", "level"),
    [
        (33.5, 35, 1.5, "good"),  # under it by the doubt
        (34.9, 35, 1.5, "good"),  # a meter is believed under the limit
        (35.0, 35, 2.0, "good"),
        (35.0, 35, 2.1, "care"),
        (35.1, 35, 1.5, "care"),
        (36.5, 35, 1.5, "care"),
        (36.6, 35, 1.5, "problem"),
        (30.0, 35, 5.0, "good"),
        (30.1, 35, 5.0, "care"),
        (40.0, 35, 5.0, "care"),
        (40.1, 35, 5.0, "problem"),
        (29.0, 35, None, "good"),  # a method not recorded: 6 dB
        (29.1, 35, None, "care"),
        (41.1, 35, None, "problem"),
    ],
)
def test_quiet_enough_at_every_border(
    read: float, limit: float, doubt: float | None, level: str
) -> None:
    assert quiet_enough(read, limit, doubt) == level


def needed(room: RoomRecord, *rows: dict[str, Any], most: float = 35, **hours: str) -> QuietThen:
    return quiet_then(most, [when(MONDAY, **hours)], room, windows(*rows), ZONE)


def codes(found: QuietThen) -> list[str]:
    return [why.code for why in found.why]


def test_a_need_goes_by_what_was_read_at_its_hours() -> None:
    room = a_room(
        reading("N1", 46, "2026-06-15T08:30:00"), reading("N2", 31, "2026-06-15T14:10:00")
    )
    # by hand: 46 is 11 over 35; at 14:10 31 was read, 4 under; in the evening nothing was read
    morning = needed(room, from_time="08:00", until_time="10:00")
    assert (morning.level, codes(morning)) == ("problem", ["noise.over"])
    afternoon = needed(room, from_time="13:00", until_time="17:00")
    assert (afternoon.level, codes(afternoon)) == ("good", ["noise.under"])
    assert afternoon.laeq == Figure(31, "dBA", 29.5, 32.5)
    assert (afternoon.why[0]["by"], afternoon.why[0]["method"]) == (
        Figure(4, "dB"),
        Word("method", "meter_class_2"),
    )
    evening = needed(room, from_time="18:00", until_time="20:00")
    assert (evening.level, codes(evening)) == ("care", ["noise.over", "noise.other_hours"])
    assert needed(room).level == "problem"  # no hours: the crew must be able to work in it


def test_a_noise_that_comes_back_takes_good_down() -> None:
    quiet = a_room(reading("N1", 28))
    assert needed(quiet, from_time="09:00", until_time="12:00").level == "good"
    struck = needed(quiet, SCHOOL, from_time="09:00", until_time="12:00")
    assert (struck.level, codes(struck)[-1]) == ("care", "noise.comes")
    assert needed(quiet, SCHOOL, from_time="10:30", until_time="11:00").level == "problem"
    loud = a_room(reading("N1", 48))
    assert needed(loud, SCHOOL).level == "problem"


def test_nothing_read_is_unknown_unless_no_quiet_is_left() -> None:
    nothing = needed(a_room(), SCHOOL, from_time="09:00", until_time="12:00")
    assert (nothing.level, nothing.laeq, codes(nothing)[0]) == ("unknown", None, "noise.none")
    assert needed(a_room(), SCHOOL, from_time="10:30", until_time="11:00").level == "problem"


# -- the day
def test_the_day_needs_two_hours_to_have_a_profile() -> None:
    one = a_room(reading("N1", 40, "2026-06-15T08:30:00"), reading("N2", 31))
    found = quiet_hours(one, windows(SCHOOL), date(2026, 6, 22), ZONE)
    assert found.unknown is not None
    assert (found.unknown.code, found.unknown["at"]) == ("noise.one_hour", time(8, 30))
    assert [words.code for words in found.words] == ["noise.keep_out"]
    assert quiet_hours(one, windows(SCHOOL), date(2026, 6, 20), ZONE).windows == ()
    two = a_room(
        reading("N2", 31, "2026-06-15T14:10:00", conditions="fridge off"),
        reading("N1", 40, "2026-06-15T08:30:00"),
    )
    day = quiet_hours(two, (), date(2026, 6, 22), ZONE)
    assert day.unknown is None
    assert [hour.reading for hour in day.readings] == [Name("N1"), Name("N2")]
    assert day.words[0].code == "noise.profile"
    assert (day.words[0]["quiet"]["at"], day.words[0]["quiet"]["conditions"]) == (
        time(14, 10),
        Name("fridge off"),
    )
    assert day.words[0]["loud"]["laeq"] == Figure(40, "dBA")


@pytest.mark.parametrize(
    ("la10", "way"),
    [(45.0, "steady"), (45.1, "varying"), (50.0, "varying"), (50.1, "intermittent")],
)
def test_steadiness(la10: float, way: str) -> None:
    assert steadiness(la10, 40.0) == Word("noise_way", way)  # common practice: 5 and 10 dB
