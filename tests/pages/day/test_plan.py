"""The day plan of what is kept, and its calendar read back by another library."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
import vobject
from icalendar import Calendar

from scout.assess.answers import act
from scout.errors import NotFound, Refused
from scout.pages.day.calendar import calendar_file
from scout.pages.day.desk import AIMS
from scout.pages.day.plan import DayPlan, day_plan, worse
from scout.pages.day.setups import setups_of
from scout.records import ProductionRecord
from scout.records.day import DayRecord, PlacedScene
from scout.store import models
from scout.usecases import days, noise_windows, productions, setups
from scout.usecases.work import Work
from scout.values import Figure, Said, Word
from tests.days import film, house, scene
from tests.packet.invented import judged

LONDON = ZoneInfo("Europe/London")


def codes(plan: DayPlan) -> list[str]:
    return [line.code for line in plan.clashes]


def test_scenes_keep_hours_opening_and_quiet(work: Work) -> None:
    job, keys = film(work)
    plan = day_plan(work, job)
    assert (codes(plan), plan.left_out, plan.kept) == ([], (), False)
    for day in plan.days:  # property: a day shows its meals, or why none falls in
        assert bool(day.meals) is (day.no_meal is None)
    assert plan.optimal
    rows = {row.scene_id: row for row in plan.rows}
    talk = rows[keys[0]]
    # by hand: open from 09:00, 30 min of set-up, 90 of shooting and no noise from 12:00 to 12:30:
    # it begins between 09:30 and 10:30, by the clock after the change (UTC + 0)
    assert talk.zone == "Europe/London"
    assert "09:30" <= f"{talk.begin:%H:%M}" <= "10:30"
    assert talk.begin.utcoffset() == timedelta(0)
    for row in plan.rows:
        opens, closes = (
            datetime(row.on.year, row.on.month, row.on.day, hour, tzinfo=ZoneInfo(row.zone))
            for hour in (9, 18)
        )
        assert opens <= row.set_up_from < row.begin < row.end < row.strike_until <= closes
    # property: nobody is in two places, and the way between is kept
    first, second = (row for row in plan.rows if row.on == date(2026, 10, 25))
    assert first.strike_until + timedelta(minutes=second.move_min) <= second.set_up_from
    # by hand: 0.1 degrees of latitude are 11.1 km; 1.3 times that at 40 km/h and 10 min: 32 min,
    # to the next five 35
    assert second.move_min == 35


def test_two_zones_have_their_own_clocks(work: Work) -> None:
    job, keys = film(work)
    far = next(row for row in day_plan(work, job).rows if row.scene_id == keys[2])
    # Auckland is at UTC + 13 from the last Sunday of September (tz database)
    assert far.begin.utcoffset() == timedelta(hours=13)
    assert "10:00" <= f"{far.begin:%H:%M}" <= "11:00"
    assert far.on == date(2026, 10, 28)


def test_calls_follow_from_the_plan(work: Work) -> None:
    job, _ = film(work)
    plan = day_plan(work, job)
    for call in plan.calls:
        first = next(row for row in plan.rows if row.on == call.on)
        assert (call.at, call.warnings, call.typed) == (first.set_up_from, (), False)
    assert len({(call.person, call.on) for call in plan.calls}) == 4


@pytest.mark.parametrize(("call_time", "first"), [(None, "09:10"), ("08:00", "08:00")])
def test_a_meal_counts_from_the_first_call(work: Work, call_time: str | None, first: str) -> None:
    """Common practice: a meal within six hours of the call. By hand: 171 m and 4 trips, 7 ways at
    1 m/s, are 19.95 minutes of carrying, 20 before the set-up at 09:30.
    """
    place = house(work, "Lock", parking_distance_m=171)
    crew = [{"name": "Ida"}, {"name": "Rua", "call_time": call_time}]
    job = productions.add_production(work, ProductionRecord.read({"title": "F", "crew": crew}))
    scenes = [
        scene(work, job, place, name, "2026-06-20", hours)
        for name, hours in (("One", ("10:00", "12:00")), ("Two", ("15:00", "16:00")))
    ]
    stands = tuple(
        PlacedScene(scene_id=key, room_id=place, on="2026-06-20", at=at)
        for key, at in zip(scenes, ("10:00", "15:00"), strict=True)
    )
    plan = day_plan(work, job, typed=stands)
    (day,) = plan.days
    assert f"{min(call.at for call in plan.calls):%H:%M}" == first
    ((begin, end),) = day.meals
    # by hand: One is struck at 12:20, Two set up from 14:30; nobody waits idle for the meal
    assert (f"{begin:%H:%M}", f"{end:%H:%M}") == ("12:20", "13:20")
    assert codes(plan) == []
    # where Two is set up from 12:20 nothing is free before 15:20; six hours end at 15:10, 14:00
    late = (stands[0], stands[1].model_copy(update={"at": "12:50"}))
    days.save_day(
        work,
        job,
        0,
        DayRecord.read({"scenes": [{"scene_id": scenes[1], "length_min": 130}]}),
    )
    (broken,) = [one for one in day_plan(work, job, typed=late).clashes if "meal" in one.code]
    # strike is over at 15:20
    assert broken["by"].value == (10 if call_time is None else 80)


def test_a_typed_call_holds_and_is_doubted(work: Work) -> None:
    job, _ = film(work, call_time="07:30")
    calls = [call for call in day_plan(work, job).calls if call.person == "Rua"]
    assert [f"{call.at:%H:%M}" for call in calls] == ["07:30", "07:30"]
    for call in calls:
        assert [one.code for one in call.warnings] == ["day.call.typed", "day.call.closed"]


def test_a_short_night_is_warned_of(work: Work) -> None:
    mill = house(work, "Mill", opening_hours=None)
    job = productions.add_production(
        work, ProductionRecord.read({"title": "F", "crew": [{"name": "Ida"}]})
    )
    late = scene(work, job, mill, "Late", "2026-06-20", ("20:00", "21:00"))
    early = scene(work, job, mill, "Early", "2026-06-21", ("05:00", "06:00"))
    stands = (
        PlacedScene(scene_id=late, room_id=mill, on="2026-06-20", at="20:00"),
        PlacedScene(scene_id=early, room_id=mill, on="2026-06-21", at="05:00"),
    )
    plan = day_plan(work, job, typed=stands)
    # by hand: 21:20 to 04:30 are 7 h 10 min, 2 h 50 min short of 10; and before 07:00 by 2.5 h
    rest = next(line for line in plan.clashes if line.code == "day.broken.rest")
    assert rest["by"].value == 170
    call = plan.calls[-1]
    assert [one.code for one in call.warnings] == ["day.not_recorded.open", "day.call.rest"]
    assert call.warnings[1]["rest"].value == pytest.approx(7 + 1 / 6)


def test_calls_know_when_the_vans_may_stand(work: Work) -> None:
    def warned(parking: dict[str, object] | None) -> list[str]:
        place = house(work, "Lock", parking="two bays by the chapel", parking_hours=parking)
        job = productions.add_production(
            work, ProductionRecord.read({"title": "F", "crew": [{"name": "Ida"}]})
        )
        key = scene(work, job, place, "Talk", "2026-06-20", ("10:00", "11:00"))
        stands = (PlacedScene(scene_id=key, room_id=place, on="2026-06-20", at="10:00"),)
        (call,) = day_plan(work, job, typed=stands).calls
        # by hand: half an hour of set-up, nothing to carry; strike ends at 11:20
        assert f"{call.at:%H:%M}" == "09:30"
        return [one.code for one in call.warnings]

    def free(opens: str, closes: str, day: str = "sat") -> dict[str, object]:
        return {"week": [{"first": day, "opens": opens, "closes": closes}]}

    assert warned(None) == ["day.call.parking"]  # in words alone
    assert warned(free("09:30", "11:20")) == []
    assert warned(free("09:31", "18:00")) == ["day.call.no_parking"]
    assert warned(free("08:00", "11:19")) == ["day.call.parking_ends"]
    assert warned(free("08:00", "18:00", "sun")) == ["day.call.no_parking"]  # 20 June: Saturday
    assert warned(free("20:00", "12:00", "fri")) == []  # over the night


def test_hours_in_words_are_said_alike_by_plan_and_calls(work: Work) -> None:
    place = house(work, "Lock", opening_hours=None, hours="09:00 to 18:00, not Sundays")
    job = productions.add_production(
        work, ProductionRecord.read({"title": "F", "crew": [{"name": "Ida"}]})
    )
    scene(work, job, place, "Talk", "2026-06-20", ("10:00", "11:00"))
    plan = day_plan(work, job)
    (said_of,) = [one for one in plan.assumed if one.code.endswith(".open")]
    assert said_of.code == "day.in_words.open"
    assert said_of in plan.calls[0].warnings


def test_what_must_be_off_stands_by_its_scene(work: Work) -> None:
    place = house(work, "Mill")  # "school out" comes from 12:00 to 12:30
    (noise,) = noise_windows.noise_windows(work, 1)
    record = noise.record.model_copy(update={"can_switch_off": True})
    noise_windows.bin_noise_window(work, noise.id, noise.version)
    noise_windows.add_noise_window(work, 1, record)
    job = productions.add_production(work, ProductionRecord(title="F"))
    key = scene(work, job, place, "Talk", "2026-06-20", ("09:30", "14:00"))

    def acts(at: str) -> list[tuple[str, str, datetime | None]]:
        stands = (PlacedScene(scene_id=key, room_id=place, on="2026-06-20", at=at),)
        (row,) = day_plan(work, job, typed=stands).rows
        return [(one.code, one.who, one.when.at) for one in row.acts]

    facts = {"scenes": [{"scene_id": key, "length_min": 60}]}
    days.save_day(work, job, 0, DayRecord.read(facts))
    assert acts("10:00") == []  # over before it comes
    begins = datetime(2026, 6, 20, 11, 45, tzinfo=LONDON)
    assert acts("11:45") == [("switch.off", "sound", begins)]


def test_a_kept_plan_stands_and_a_locked_scene_never_moves(work: Work) -> None:
    job, keys = film(work)
    plan = day_plan(work, job)
    moved = tuple(
        one.model_copy(update={"at": "10:10", "locked": True}) if one.scene_id == keys[0] else one
        for one in plan.placed
    )
    days.save_plan(work, job, plan.version, moved)
    kept = day_plan(work, job)
    assert kept.kept
    assert kept.placed == tuple(sorted(moved, key=lambda one: (one.on, one.at)))
    for aim in AIMS:
        anew = day_plan(work, job, aim=aim, anew=True)
        talk = next(row for row in anew.rows if row.scene_id == keys[0])
        assert (f"{talk.begin:%H:%M}", talk.locked) == ("10:10", True)


def test_what_a_moved_scene_turns_worse(work: Work) -> None:
    job, keys = film(work)
    before = day_plan(work, job)
    typed = tuple(
        one.model_copy(update={"at": "11:00"}) if one.scene_id == keys[0] else one
        for one in before.placed
    )
    after = day_plan(work, job, typed=typed)
    # by hand: 11:00 to 12:30 runs into the noise from 12:00 by 30 min
    noisy = next(
        line
        for line in worse(before, after)
        if line.code == "day.broken.scene" and line["kind"].key == "quiet"
    )
    assert noisy["by"].value == 30
    assert worse(before, before) == ()


def test_no_dates_hours_that_clash_and_a_scene_too_long(work: Work) -> None:
    job = productions.add_production(work, ProductionRecord(title="Undated"))
    with pytest.raises(Refused) as refused:
        day_plan(work, job)
    assert (refused.value.path, refused.value.because.code) == (
        "shoot_dates",
        "day.refused.no_dates",
    )
    barn = house(work, "Barn")
    whole = scene(work, job, barn, "Whole", "2026-06-20", ("06:00", "20:00"))
    days.save_day(
        work, job, 0, DayRecord.read({"scenes": [{"scene_id": whole, "length_min": 700}]})
    )
    # by hand: 700 minutes and more do not go into the 540 that the house is open
    plan = day_plan(work, job)
    assert plan.rows == ()
    assert {(line.code, line["kind"].key) for line in plan.clashes} >= {("day.clash.scene", "open")}
    assert plan.gives


def test_a_date_gone_by_is_said(work: Work) -> None:
    job, _ = film(work)
    work.now = lambda: datetime(2027, 1, 1, tzinfo=UTC)
    gone = [line["on"] for line in day_plan(work, job).assumed if line.code == "day.gone_by"]
    assert gone == [date(2026, 10, 25), date(2026, 10, 28)]


def test_rain_sends_what_is_outdoors_to_its_cover_set(work: Work) -> None:
    mill, yard = house(work, "Mill"), house(work, "Yard")
    work.db.get_one(models.Room, yard).setting = "exterior"
    work.commit()
    job = productions.add_production(work, ProductionRecord(title="Film"))
    key = scene(work, job, yard, "Outdoors", "2026-06-20", ("10:00", "12:00"))
    lost = day_plan(work, job, plan_b=True)
    assert [line.code for line in lost.left_out] == ["day.no_cover"]
    facts = {"scenes": [{"scene_id": key, "length_min": 60, "cover_room_id": mill}]}
    days.save_day(work, job, 0, DayRecord.read(facts))
    assert [row.room_id for row in day_plan(work, job, plan_b=True).rows] == [mill]
    assert [row.room_id for row in day_plan(work, job).rows] == [yard]


def test_the_calendar_is_read_back(work: Work) -> None:
    # by vobject, which shares nothing with the library that wrote it
    job, _ = film(work)
    plan = day_plan(work, job)
    read = vobject.readOne(calendar_file(work, job).decode())
    events = read.contents["vevent"]
    starts = sorted(event.dtstart.value.astimezone(UTC) for event in events)
    assert starts == sorted(
        at.astimezone(UTC) for at in [row.begin for row in plan.rows] + [c.at for c in plan.calls]
    )
    zones = {zone.tzid.value for zone in read.contents["vtimezone"]}
    assert zones == {"Europe/London", "Pacific/Auckland"}
    assert {event.status.value for event in events} == {"TENTATIVE"}
    assert len({event.uid.value for event in events}) == len(events)


def test_its_zones_are_right_by_their_own_rules(work: Work) -> None:
    # RFC 5545, 3.6.5: the observances of VTIMEZONE, here read literally and not by name. London
    # goes back at 01:00 UTC on 25 October 2026 (tz database).
    job, _ = film(work)
    calendar = Calendar.from_ical(calendar_file(work, job))
    zone = next(part for part in calendar.walk("VTIMEZONE") if part["TZID"] == "Europe/London")
    onsets = []
    for part in zone.subcomponents:
        dates = part.get("RDATE")
        listed = dates if isinstance(dates, list) else [dates] if dates is not None else []
        every = [part["DTSTART"].dt] + [one.dt for many in listed for one in many.dts]
        onsets += [(f"{at:%Y-%m-%d %H:%M}", part["TZOFFSETTO"].td) for at in every]
    assert ("2026-10-25 02:00", timedelta(0)) in onsets
    assert ("2026-03-29 01:00", timedelta(hours=1)) in onsets


def test_an_update_keeps_uids_and_counts_up(work: Work) -> None:
    job, _ = film(work)

    def read() -> dict[str, tuple[int, str]]:
        return {
            str(event["UID"]): (int(event["SEQUENCE"]), str(event["STATUS"]))
            for event in Calendar.from_ical(calendar_file(work, job)).walk("VEVENT")
        }

    before = read()
    plan = day_plan(work, job)
    days.save_plan(work, job, plan.version, plan.placed)
    after = read()
    assert set(after) == set(before)
    for uid, (sequence, status) in after.items():
        assert sequence > before[uid][0]
        assert status == "CONFIRMED"
    mine = Calendar.from_ical(calendar_file(work, job, "Ida")).walk("VEVENT")
    called = [str(event["SUMMARY"]) for event in mine if "Call" in str(event["SUMMARY"])]
    assert called == ["Call: Ida", "Call: Ida"]


def test_a_private_address_can_be_revoked_and_is_kept_as_a_hash(work: Work) -> None:
    job, _ = film(work)
    token = days.add_calendar(work, job, "Ida")
    assert days.calendar_of(work, token).person == "Ida"
    kept = work.db.query(models.Calendar).one()
    assert token not in repr(vars(kept))
    assert re.fullmatch("[0-9a-f]{64}", kept.token_sha256)
    days.revoke_calendar(work, job, kept.id)
    with pytest.raises(NotFound):
        days.calendar_of(work, token)
    with pytest.raises(Refused) as refused:
        days.add_calendar(work, job, "Nobody")
    assert refused.value.path == "person"


def test_set_up_takes_as_long_as_what_is_set_up(work: Work) -> None:
    mill = house(work, "Lock")
    lights = [
        {"id": "key", "watts": 300},
        {"id": "fill", "watts": 100},
        {"id": "tube", "watts": 20, "supply": "battery"},
        {"id": "spare panel", "watts": 50},
    ]
    mics = [{"id": "boom", "kind": "shotgun"}, {"id": "top", "kind": "camera"}]

    def around(kit: dict[str, object] | None, **typed: object) -> tuple[float, float, Said | None]:
        job = productions.add_production(work, ProductionRecord.read({"title": "F", "kit": kit}))
        key = scene(work, job, mill, "Talk", "2026-06-20", ("12:00", "13:00"))
        (line,) = setups_of(work, job)
        if typed:
            record = line.record.model_copy(update=typed)
            setups.save_setup(work, line.id, line.version, record)
        stands = (PlacedScene(scene_id=key, room_id=mill, on="2026-06-20", at="12:00"),)
        plan = day_plan(work, job, typed=stands)
        (row,) = plan.rows
        minutes = [
            (late - early).total_seconds() / 60
            for early, late in ((row.set_up_from, row.begin), (row.end, row.strike_until))
        ]
        told = [one for one in plan.assumed if one.code.startswith("day.taken.around")]
        return minutes[0], minutes[1], next(iter(told), None)

    # nobody says what there is to set up: half an hour and twenty minutes, as ever
    assert around(None)[:2] == (30, 20)
    # by hand, by the rule of `calc.day.around`: key, fill and tube are three lights, two of them on
    # a lead, and the boom: 10 + 15 + 6 + 5 = 36, 40; 5 + 9 + 4 + 3 = 21, 25
    *minutes, taken = around({"lights": lights, "mics": mics})
    assert minutes == [40, 25]
    assert taken is not None
    assert [one.code for one in taken["things"]] == [
        "day.thing.camera",
        "day.thing.light",
        "day.thing.lead",
        "day.thing.mic",
    ]
    # by hand: a window to be covered takes 5 and 2 more: 41 and 23
    assert around({"lights": lights, "mics": mics}, covers={"W1": "blackout"})[:2] == (45, 25)
    # what is typed is what holds
    assert around({"lights": lights}, set_up_min=75, strike_min=10) == (75, 10, None)


def test_what_is_hung_comes_on_top_unless_somebody_typed_how_long(work: Work) -> None:
    job = productions.add_production(work, ProductionRecord.read({"title": "F"}))
    scene(work, job, house(work, "Lock"), "Talk", "2026-06-20")
    (line,) = setups_of(work, job)
    cloth = act("lay.white", surface=Word("surface", "floor"), area=Figure(4.0, "m2"))
    found = (judged("care", "colour", "red", cloth),)
    # by hand: 5 minutes beside the half hour that is taken
    told = line.hung(found)
    assert told is not None
    assert (told["more"].value, told["whole"]) == (5, 35)
    assert line.hung(()) is None
    typed = replace(line, record=line.record.model_copy(update={"set_up_min": 30}))
    assert typed.hung(found) is None
