"""Getting in and opening hours of a setup: codes, levels, figures, and their borders."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time, timedelta
from typing import Any

import pytest

from scout.assess import answers as a
from scout.assess.choice.findings import findings, permit_to_ask
from scout.assess.choice.way_in import way_in
from scout.assess.setup import Setup
from scout.records import LocationRecord, RoomRecord
from scout.records.checks import read_sheet
from scout.values import Figure, Many, Name, said, words
from tests.assess.choice.candidates import assessed

MONDAY = date(2026, 6, 22)  # by hand: see test_opening.py
OFFICE = {"week": [{"first": "mon", "last": "fri", "opens": "09:00", "closes": "18:00"}]}
EASY = {"steps": 3, "parking_distance_m": 50, "door_width_m": 0.8}


def found(
    place: dict[str, Any] | None,
    room: dict[str, Any] | None = None,
    begin: time | None = None,
    end: time | None = None,
    power: a.PowerAnswer | None = None,
) -> dict[str, Any]:
    """What it comes to, by code."""
    kept = None if place is None else LocationRecord.read({"name": "Mill", **place})
    sheet = read_sheet({"schema": "room-sheet/1", "room": room or {}})
    assessment = replace(assessed(), power=power or a.PowerAnswer())
    made = findings(Setup(sheet, MONDAY, begin, end, place=kept), assessment)
    assert len({one.code for one in made}) == len(made)
    return {one.code: one for one in made}


@pytest.mark.parametrize(
    ("place", "code", "figure"),
    [
        # common practice: 3 steps, 50 m and a door of 0.8 m are nothing to speak of
        ({}, "access.easy", None),
        ({"steps": 4}, "access.steps_or_lift", Figure(4, "count")),
        ({"steps": 4, "has_lift": False}, "access.steps", Figure(4, "count")),
        ({"steps": 4, "has_lift": True}, "access.lift", Figure(4, "count")),
        (
            {"steps": 4, "has_lift": True, "lift_width_m": 1.1, "lift_depth_m": 1.4},
            "access.easy",
            None,
        ),
        ({"parking_distance_m": 50.1}, "access.carry", Figure(50.1, "m")),
        ({"parking_distance_m": 50.1, "steps": 3}, "access.carry", Figure(50.1, "m")),
        ({"door_width_m": 0.79}, "access.narrow_door", Figure(0.79, "m")),
    ],
)
def test_the_way_in(place: dict[str, Any], code: str, figure: Figure | None) -> None:
    here = found({**EASY, **place, "opening_hours": OFFICE})
    assert set(here) == {code, "hours.open"}
    assert here[code].level == ("good" if code == "access.easy" else "care")
    if figure is not None:
        assert figure in here[code].figures().values()
    if code == "access.lift":
        assert [one.code for one in here[code].acts] == ["measure"]


def test_a_cart_goes_as_far_as_the_door_that_stops_it() -> None:
    far = {**EASY, "parking_distance_m": 140.0, "opening_hours": OFFICE}
    assert found(far)["access.carry"].figures()["carry"] == Figure(140.0, "m")
    assert found(far)["access.carry"].figures()["door"] is None
    narrow = found({**far, "door_width_m": 0.78})
    assert narrow["access.carry"].figures()["door"] == Figure(0.78, "m")
    assert "location.door_width_m" in narrow["access.carry"].rests_on
    assert "access.narrow_door" not in narrow  # one line says both


def test_no_cart_goes_up_a_stair() -> None:
    far = {**EASY, "parking_distance_m": 60.0, "opening_hours": OFFICE}
    up = found({**far, "steps": 42, "has_lift": False})
    assert "access.carry" not in up
    told = up["access.carry_steps"].figures()
    assert (told["carry"], told["steps"]) == (Figure(60.0, "m"), Figure(42, "count"))
    # by hand: three steps a cart is lifted over; a lift takes it up
    assert "access.carry" in found({**far, "steps": 3})
    assert "access.carry" in found({**far, "steps": 42, "has_lift": True})


def test_what_nobody_recorded_of_the_way_in_is_to_be_measured() -> None:
    here = found({"steps": 1})
    finding = here["access.way_in_unknown"]
    assert finding.level == "unknown"
    paths = ("location.door_width_m", "location.parking_distance_m")
    assert finding.rests_on == paths
    assert finding.acts[0]["facts"] == words("fact", paths)
    outdoors = found({"steps": 1}, {"setting": "exterior"})["access.way_in_unknown"]
    assert outdoors.rests_on == ("location.parking_distance_m",)


def test_the_rooms_own_way_in_goes_before_the_places() -> None:
    room = {"way_in": {"steps": 19, "lift": False}}
    steps = found({**EASY, "has_lift": True}, room)["access.steps"]
    assert steps.steps == Figure(19, "count")
    assert steps.rests_on == ("room.way_in.steps", "room.way_in.lift")
    way = way_in(RoomRecord.read(room), LocationRecord.read({"name": "Mill", **EASY}))
    assert (way.steps, way.lift, way.carry_m, way.door_width_m) == (19, False, 50, 0.8)
    alone = found(None, room)
    assert set(alone) == {"access.steps", "access.way_in_unknown"}


def test_a_sheet_alone_answers_as_the_page_does() -> None:
    place = {"name": "Mill", "steps": 48, "has_lift": False, "parking_distance_m": 60.0}
    for room in ({}, {"way_in": {"lift": True}}):
        sheet = read_sheet({"schema": "room-sheet/1", "location": place, "room": room})
        alone = findings(Setup(sheet, MONDAY), replace(assessed(), power=a.PowerAnswer()))
        page = found(place, room)
        del page["hours.unknown"]  # opening hours do not travel in a sheet
        assert {one.code: one for one in alone} == page
        assert ("access.steps" in page) == (not room)


def test_without_a_place_or_a_way_in_nothing_is_said() -> None:
    assert found(None) == {}


def test_exits_that_no_cable_crosses_are_said_to_be_free() -> None:
    room = {"doors": [{"id": "D1", "wall": "A", "keep_free": True}, {"id": "D2", "wall": "B"}]}
    free = found(None, room)["access.exit_kept_free"]
    assert (free.level, free.about) == ("good", (Name("D1"),))
    crossed = a.PowerAnswer(assignment=(a.AssignmentAnswer(light="key", exits=("D1",)),))
    assert "access.exit_kept_free" not in found(None, room, power=crossed)
    assert found(None, {"doors": [{"id": "D2", "wall": "B", "keep_free": False}]}) == {}


@pytest.mark.parametrize(
    ("begin", "end", "code", "level"),
    [
        (None, None, "hours.open", "good"),
        (time(9), time(18), "hours.open", "good"),
        (time(8), time(18), "hours.ask", "care"),  # by hand: an hour, which can be asked for
        (time(7, 59), time(18), "hours.closed", "problem"),
        (time(20), time(2), "hours.closed", "problem"),
    ],
)
def test_opening_hours(begin: time | None, end: time | None, code: str, level: str) -> None:
    here = found({**EASY, "opening_hours": OFFICE}, None, begin, end)
    finding = here[code]
    assert set(here) == {"access.easy", code}
    assert finding.level == level
    assert [one.code for one in finding.acts] == (["ask.hours"] if level == "care" else [])


def test_opening_hours_in_words_or_not_at_all() -> None:
    typed = found({**EASY, "hours": "ask Ines"})["hours.ask"]
    assert (typed.level, typed.because) == ("care", Many((Name("ask Ines"),), "list"))
    unknown = found(EASY)["hours.unknown"]
    assert (unknown.level, unknown.rests_on) == ("unknown", ("location.opening_hours",))
    assert unknown.acts[0]["place"] == Name("Mill")
    assert unknown.acts[0].buys is None


@pytest.mark.parametrize(
    ("place", "left", "code", "by"),
    [
        # by hand: ten days before Saturday 20 June is the 10th; with nine left it is today
        ({"permit_lead_days": 10}, 11, "hours.permit", date(2026, 6, 10)),
        ({"permit_lead_days": 10}, 10, "hours.permit", date(2026, 6, 10)),
        ({"permit_lead_days": 10}, 9, "hours.permit_late", date(2026, 6, 11)),
        ({"permit_lead_days": 10}, 0, "hours.permit_late", date(2026, 6, 20)),
        ({"permit_lead_days": 10, "permit_granted": False}, 9, "hours.permit_late", None),
        ({"permit_lead_days": 10, "permit_granted": True}, 9, None, None),
        ({"permit_lead_days": 10}, -1, None, None),
        ({"permit_lead_days": 0}, 0, None, None),
        ({}, 0, None, None),
    ],
)
def test_a_permit_is_asked_for_in_time(
    place: dict[str, Any], left: int, code: str | None, by: date | None
) -> None:
    on = date(2026, 6, 20)
    told = permit_to_ask(
        LocationRecord.read({"name": "Mill", **place}), on, on - timedelta(days=left)
    )
    assert (None if told is None else told.code) == code
    if told is not None and by is not None:
        assert str(told.acts[0]) == f"Ask by {said('hours.date', on=by)} for the permit of Mill"
        assert told.level == ("problem" if left < 10 else "care")
