"""A setup's date as the planner takes it: limits, spells and what is taken for granted, by hand."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from types import SimpleNamespace
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from scout.assess.day.needs import (
    SetupDay,
    _joined,
    _without,
    hours_not_known,
    instant,
    limits_of,
    local,
    minute,
    open_spans,
    option_of,
    setup_day,
)
from scout.assess.daylight.sun.touch import SunTouch, SunTouches
from scout.assess.setup import Setup
from scout.calc.day.problem import Need, Problem, Scene
from scout.calc.day.solve import plan
from scout.records import LocationRecord, SceneRecord
from scout.records.day import DayRecord
from scout.records.opening import OpeningHours
from scout.records.sounds import NoiseWindowRecord
from scout.values import Figure, Name, said
from tests.rooms import sheet

ON = date(2026, 6, 20)  # a Saturday; London is an hour before UTC
DAY = minute(datetime(2026, 6, 19, 23, tzinfo=UTC))
OPEN = {"week": [{"first": "mon", "last": "sun", "opens": "09:00", "closes": "18:00"}]}
NIGHTS = {"week": [{"first": "fri", "last": "sat", "opens": "20:00", "closes": "02:00"}]}


def test_what_nobody_typed_is_as_is_common() -> None:
    found = limits_of(DayRecord())
    assert (found.from_time, found.until_time) == (time(7), time(22))
    assert (found.crew_min, found.rest_min, found.meal_min, found.meal_within_min) == (
        600,
        600,
        60,
        360,
    )
    hours, rest = found.assumed
    assert hours == said("day.taken.hours", first=time(7), last=time(22))
    assert rest == said(
        "day.taken.limits", crew=Figure(10.0, "h"), rest=Figure(10.0, "h"), meal=Figure(6.0, "h")
    )


def test_what_was_typed_holds_and_nothing_is_said() -> None:
    typed = DayRecord.read(
        {
            "from_time": "08:00",
            "until_time": "19:30",
            "crew_min": 480,
            "rest_min": 0,
            "meal_min": 0,
            "meal_within_min": 300,
        }
    )
    found = limits_of(typed)
    assert (found.from_time, found.until_time) == (time(8), time(19, 30))
    assert (found.crew_min, found.rest_min, found.meal_min, found.meal_within_min) == (
        480,
        0,
        0,
        300,
    )
    assert found.assumed == ()
    half = limits_of(DayRecord.read({"from_time": "08:00", "crew_min": 480}))
    assert half.until_time == time(22)
    assert half.assumed[0] == said("day.taken.hours", first=time(8), last=time(22))
    assert half.assumed[1]["crew"] == Figure(8.0, "h")


def test_minutes_count_on_over_a_change_of_clocks() -> None:
    """By hand: 1970-01-02 is 1440; on 29 March 2026 London skips from 1:00 to 2:00."""
    assert minute(datetime(1970, 1, 2, tzinfo=UTC)) == 1440
    assert minute(datetime(1970, 1, 2, 0, 0, 59, tzinfo=UTC)) == 1440
    zone = "Europe/London"
    assert instant(DAY, zone) == datetime(2026, 6, 20, tzinfo=ZoneInfo(zone))
    skipped = local(date(2026, 3, 29), time(1, 30), zone)
    assert (skipped.hour, skipped.minute) == (2, 30)
    night = [minute(local(date(2026, 3, day), time(0), zone)) for day in (29, 30)]
    assert night[1] - night[0] == 23 * 60


@pytest.mark.parametrize(
    ("spans", "joined"),
    [
        ([], ()),
        ([(3, 5), (1, 2)], ((1, 2), (3, 5))),
        ([(1, 3), (3, 5)], ((1, 5),)),
        ([(1, 9), (3, 5)], ((1, 9),)),
        ([(1, 3), (2, 5), (7, 8)], ((1, 5), (7, 8))),
    ],
)
def test_spells_are_joined(
    spans: list[tuple[int, int]], joined: tuple[tuple[int, int], ...]
) -> None:
    assert _joined(spans) == joined


@pytest.mark.parametrize(
    ("bad", "left"),
    # a day from 0 to 1440, and the nights around it
    [
        ([], ((-1440, 2880),)),
        ([(600, 660)], ((-1440, 600), (660, 2880))),
        ([(600, 660), (660, 700), (-1440, -1400)], ((-1400, 600), (700, 2880))),
    ],
)
def test_a_date_without_some_spells(
    bad: list[tuple[int, int]], left: tuple[tuple[int, int], ...]
) -> None:
    assert _without((0, 1440), bad) == left


@pytest.mark.parametrize(
    ("hours", "spans"),
    [
        # 9:00 to 18:00 of the day before, of the day and of the day after
        (OPEN, [(540 + 1440 * k, 1080 + 1440 * k) for k in (-1, 0, 1)]),
        # Friday's and Saturday's nights run into the next day; Sunday has none
        (NIGHTS, [(1200 - 1440, 1560 - 1440), (1200, 1560)]),
    ],
)
def test_when_a_place_is_open(hours: dict[str, Any], spans: list[tuple[int, int]]) -> None:
    record = OpeningHours.read(hours)
    expected = tuple((DAY + begin, DAY + end) for begin, end in spans)
    assert open_spans(record, ON, "Europe/London") == expected
    assert open_spans(None, ON, "Europe/London") is None


def test_hours_in_words_are_said_as_words() -> None:
    typed = LocationRecord.read({"name": "Mill", "hours": "ask  the porter"})
    assert hours_not_known(typed) == said(
        "day.in_words.open", place=Name("Mill"), hours=Name("ask the porter")
    )
    none = hours_not_known(LocationRecord.read({"name": "Mill"}))
    assert none == said("day.not_recorded.open", place=Name("Mill"))


def touches(*spells: tuple[int, int], lens: tuple[tuple[int, int], ...] = ()) -> SunTouches:
    zone = ZoneInfo("Europe/London")

    def touch(what: str, some: tuple[tuple[int, int], ...]) -> SunTouch:
        return SunTouch(
            what,
            tuple(
                (datetime(2026, 6, 20, a, tzinfo=zone), datetime(2026, 6, 20, b, tzinfo=zone))
                for a, b in some
            ),
        )

    return SunTouches(ON, touch("subject", spells), touch("lens", lens), touch("background", ()))


def day_of(
    sun: SunTouches | None = None,
    *needs: dict[str, Any],
    cloudy: bool = False,
    zone: str | None = "Europe/London",
    **setup: Any,
) -> SetupDay:
    room = sheet(room__noise=[])
    if zone is None:
        room = sheet(room__noise=[], location=None)
    light: Any = SimpleNamespace(marks={})
    scene = SceneRecord.read({"name": "Talk", "needs": list(needs)})
    asked = Setup(room, ON, **setup)
    limits = limits_of(DayRecord())
    made = setup_day(asked, scene, zone, light, sun or touches(), limits, cloudy=cloudy)
    assert made is not None
    return made


def test_the_crew_s_day_is_asked_of_every_setup() -> None:
    """By hand: 7:00 to 22:00."""
    found = day_of()
    assert found.needs == (Need("crew", ((DAY + 420, DAY + 1320),), whole=True),)
    assert (found.open, found.noises, found.face, found.lens, found.light) == (
        None,
        (),
        (),
        (),
        None,
    )
    assert (found.notes, found.zone) == ((), "Europe/London")


def test_without_a_zone_no_clock_can_be_read() -> None:
    room = sheet(room__noise=[], location=None)
    scene = SceneRecord.read({"name": "Talk", "needs": []})
    limits = limits_of(DayRecord())
    assert setup_day(Setup(room, ON), scene, None, None, touches(), limits, cloudy=False) is None


def test_hours_opening_and_quiet_are_needs() -> None:
    """By hand: school from 12:00 to 12:30; quiet is what is left of the date and the nights."""
    place = LocationRecord.read({"name": "Mill", "opening_hours": OPEN})
    school = NoiseWindowRecord(what="school out", from_time="12:00", until_time="12:30")
    found = day_of(from_time=time(10), until_time=time(14), place=place, noises=(school,))
    crew, hours, opening, quiet = found.needs
    assert (crew.kind, crew.whole, crew.required) == ("crew", True, True)
    assert hours == Need("hours", ((DAY + 600, DAY + 840),))
    assert (opening.kind, opening.whole) == ("open", True)
    assert opening.within == found.open
    assert quiet == Need(
        "quiet",
        ((DAY - 1440, DAY + 720), (DAY + 750, DAY + 2880)),
        required=False,
        per_min=2,
    )
    assert found.noises == (("school out", (DAY + 720, DAY + 750)),)
    for strength, required in (("must", True), ("wish", False)):
        need = {"topic": "noise", "strength": strength, "laeq_db": 35}
        if strength == "wish":
            need["weight"] = 1
        again = day_of(None, need, noises=(school,))
        assert again.needs[-1].required == required


def test_kit_is_carried_in_while_the_house_is_open() -> None:
    # by hand: open from 09:00 to 18:00, ten minutes of carrying: no set-up before 09:10, if it can be
    found = day_of(place=LocationRecord.read({"name": "Mill", "opening_hours": OPEN}))
    assert found.open is not None
    carried = tuple((begin + 10, end) for begin, end in found.open)
    wish = Need("open", carried, required=False, whole=True, per_min=2)
    assert option_of(found, 0, 0, 60, 10).needs == (*found.needs, wish)
    assert option_of(found, 0, 0, 60).needs == found.needs
    option = option_of(found, 0, 0, 60, 10)
    one = Scene("talk", 60, (option,), set_up_min=30)
    answer = plan(Problem((one,), ((0,),), days=(DAY + 420,)))
    assert answer.placed is not None
    assert answer.placed[0].start == DAY + 580  # 09:10 and half an hour of set-up


def test_a_place_whose_hours_nobody_recorded_is_said() -> None:
    found = day_of(place=LocationRecord.read({"name": "Mill"}))
    assert found.notes == (said("day.not_recorded.open", place=Name("Mill")),)
    assert [need.kind for need in found.needs] == ["crew"]


def test_sun_on_the_face_and_into_the_lens_is_kept_off() -> None:
    """By hand: 9:00 to 11:00 on the face, twice as dear as 15:00 to 16:00 into the lens."""
    sun = touches((9, 11), lens=((15, 16),))
    found = day_of(sun)
    assert found.face == ((DAY + 540, DAY + 660),)
    assert found.lens == ((DAY + 900, DAY + 960),)
    face, lens = found.needs[1:]
    assert (face.kind, face.required, face.per_min) == ("face", False, 2)
    assert face.within == ((DAY - 1440, DAY + 540), (DAY + 660, DAY + 2880))
    assert (lens.kind, lens.required, lens.per_min) == ("lens", False, 1)
    assert lens.within == ((DAY - 1440, DAY + 900), (DAY + 960, DAY + 2880))
    # under cloud there is no direct sun
    cloudy = day_of(sun, cloudy=True)
    assert (cloudy.face, cloudy.lens, len(cloudy.needs)) == ((), (), 1)


def test_light_that_nobody_knows_is_said() -> None:
    wanted = {"topic": "daylight", "strength": "must", "want": "wanted"}
    found = day_of(None, wanted)
    assert found.notes == (said("day.not_known.light", scene=Name("Talk")),)
    assert found.light is None
    shut = day_of(None, {**wanted, "want": "shut_out"})
    assert (shut.notes, shut.light) == ((), None)


@pytest.mark.parametrize(("length", "latest"), [(45, 1395), (1440, 0), (2000, 0)])
def test_a_setup_can_begin_on_its_date(length: int, latest: int) -> None:
    """By hand: its shooting lies on the date; one that is longer begins with it."""
    found = option_of(day_of(), 3, 2, length)
    assert (found.room, found.day) == (3, 2)
    assert (found.earliest, found.latest) == (DAY, DAY + latest)
    assert found.needs == day_of().needs
