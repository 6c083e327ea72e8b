"""Needs that a place meets, at their borders by hand."""

from __future__ import annotations

from typing import Any

import pytest

from scout.assess.choice.cells import Case, NeedCell
from scout.assess.choice.place_needs import ASKED, JUDGES, same_tag
from scout.values import Figure, Name, said, words
from tests.assess.choice.candidates import (
    NOT_RECORDED,
    candidate,
    check,
    codes,
    judged,
    scene,
    value_in,
)


def cell_of(need: dict[str, Any], *also: dict[str, Any], **facts: Any) -> NeedCell:
    asked = scene({"strength": "must", **need}, *also)
    assert asked.needs is not None
    return JUDGES[need["topic"]](asked.needs[0], Case(candidate(**facts), asked))


LOOK = {"topic": "look", "tags": ["Brick", "north  light"]}


@pytest.mark.parametrize(
    ("tags", "level", "order", "missing"),
    [
        (["brick", " North Light "], "pass", 0.0, ()),
        (["BRICK", "loft"], "care", -1, ("north light",)),
        (["loft"], "fail", -2, ("Brick", "north light")),
    ],
)
def test_how_it_looks(tags: list[str], level: str, order: float, missing: tuple[str, ...]) -> None:
    """By hand: case and blanks do not count; some of the tags missing is care, all is a failure."""
    found = cell_of(LOOK, room={"tags": tags})
    assert (found.level, found.order) == (level, order)
    assert found.why is not None
    if missing:
        assert [same_tag(tag.text) for tag in found.why["tags"]] == [same_tag(m) for m in missing]
    else:
        assert found.why == said("need.looks_so")
    assert same_tag("  North   LIGHT ") == "north light"


def test_a_look_nobody_recorded_is_unknown() -> None:
    assert cell_of(LOOK).level == "unknown"


TRAVEL = {"topic": "travel", "from_latitude_deg": 52.0, "from_longitude_deg": 0.0}


@pytest.mark.parametrize(("km", "level"), [(111.3, "pass"), (111.2, "fail")])
def test_how_far_it_is(km: float, level: str) -> None:
    """Source: WGS 84: from 52 to 53 degrees north a degree of latitude is 111.27 km."""
    place = {"latitude_deg": 53.0, "longitude_deg": 0.0}
    found = cell_of({**TRAVEL, "km": km}, place=place)
    assert found.level == level
    assert isinstance(found.figure, Figure)
    assert (found.figure.value, found.figure.unit) == (pytest.approx(111.27, abs=0.01), "km")
    assert found.reading is not None
    assert found.reading.figure == pytest.approx(111.27, abs=0.01)


@pytest.mark.parametrize("missing", ["latitude_deg", "longitude_deg"])
def test_a_place_without_coordinates_lies_somewhere(missing: str) -> None:
    """By hand: up to four times the asked."""
    place = {"latitude_deg": 53.0, "longitude_deg": 0.0, missing: None}
    found = cell_of({**TRAVEL, "km": 20.0}, place=place)
    assert found.level == "unknown"
    assert found.reading is not None
    assert (found.reading.low, found.reading.high) == (0.0, 80.0)


@pytest.mark.parametrize(("days", "level"), [(9, "pass"), (10, "pass"), (11, "fail")])
def test_how_long_a_permit_takes(days: int, level: str) -> None:
    found = cell_of({"topic": "permit", "days": 10}, place={"permit_lead_days": days})
    assert (found.level, found.figure) == (level, said("need.days", n=days))
    assert found.why == said("need.within" if level == "pass" else "need.permit_long")
    assert found.reading is not None
    assert found.reading.figure == days
    assert cell_of({"topic": "permit", "days": 10}).level == "unknown"


QUIET = {"quiet_from": "12:00", "quiet_until": "14:00"}
NIGHT = {"quiet_from": "22:00", "quiet_until": "07:00"}


def when(begin: str | None, end: str | None) -> dict[str, Any]:
    hours = {"from_time": begin, "until_time": end}
    return {"topic": "when", "strength": "must", "dates": ["2026-06-20"], **hours}


@pytest.mark.parametrize(
    ("place", "shoots", "level"),
    [
        (QUIET, [when("10:00", "12:00")], "pass"),
        (QUIET, [when("10:00", "12:01")], "fail"),
        (QUIET, [when("14:00", "16:00")], "pass"),
        (QUIET, [when("13:59", "16:00")], "fail"),
        (QUIET, [when("08:00", "10:00"), when("13:00", "13:30")], "fail"),
        # no hours: nobody can tell
        (QUIET, [], "care"),
        (QUIET, [when(None, None)], "care"),
        # over midnight, from either side
        (NIGHT, [when("07:00", "22:00")], "pass"),
        (NIGHT, [when("06:59", "09:00")], "fail"),
        (NIGHT, [when("20:00", "22:01")], "fail"),
        (NIGHT, [when("20:00", "02:00")], "fail"),
        (QUIET, [when("20:00", "12:01")], "fail"),
        # neighbours who want quiet at no time
        ({"quiet_from": "09:00", "quiet_until": "09:00"}, [when("08:00", "10:00")], "pass"),
        ({"quiet_from": "12:00"}, [when("08:00", "10:00")], "unknown"),
        ({"quiet_until": "12:00"}, [when("08:00", "10:00")], "unknown"),
    ],
)
def test_neighbours(place: dict[str, Any], shoots: list[dict[str, Any]], level: str) -> None:
    assert cell_of({"topic": "neighbours"}, *shoots, place=place).level == level


def test_what_is_asked() -> None:
    needs = scene(
        {"strength": "must", **LOOK},
        {"strength": "must", **TRAVEL, "km": 20.0},
        {"strength": "must", "topic": "permit", "days": 3},
        {"strength": "must", "topic": "neighbours"},
    ).needs
    assert needs is not None
    look, travel, permit, neighbours = (ASKED[need.topic](need) for need in needs)
    assert [tag.text for tag in look["tags"]] == list(needs[0].tags)  # type: ignore[union-attr]
    assert all(isinstance(tag, Name) for tag in look["tags"])
    assert travel == said("asked.travel", away=Figure(20.0, "km"))
    assert permit == said("asked.permit", n=3)
    assert neighbours == said("asked.neighbours")


def test_hours_in_words_are_shown_to_be_read() -> None:
    need = {"topic": "when", "dates": ["2026-06-21"], "from_time": "09:00", "until_time": "17:00"}
    cell = judged(need, candidate(place={"hours": "Mon to Fri\n8 to 6"}))
    check(cell, "care", "hours.typed", "hours.why.read_them")
    assert cell.figure == said("hours.typed", hours=Name("Mon to Fri 8 to 6"))
    check(judged(need), "unknown", NOT_RECORDED, "hours.why.not_recorded")
    long = value_in(judged(need, candidate(place={"hours": "x" * 500})).figure, "hours")
    assert len(long.text) == 120
    assert long.text.endswith("…")


GOOD_WAY = {"steps": 3, "parking_distance_m": 50, "door_width_m": 0.8}
ACCESS = {"topic": "access", "steps": 3, "carry_m": 50, "door_width_m": 0.8}


@pytest.mark.parametrize(
    ("place", "level", "faults"),
    [
        # by hand: what is asked for to the step, the metre and the centimetre passes
        ({}, "pass", ["need.within"]),
        ({"steps": 4}, "fail", ["need.list", "need.steps_many"]),
        ({"steps": 4, "has_lift": False}, "fail", ["need.list", "need.steps_many"]),
        ({"steps": 4, "has_lift": True}, "care", ["need.list", "need.steps_lift"]),
        ({"parking_distance_m": 50.1}, "fail", ["need.list", "need.carry_far"]),
        ({"door_width_m": 0.79}, "fail", ["need.list", "need.door_narrow"]),
        (
            {"steps": 4, "has_lift": True, "door_width_m": 0.79},
            "fail",
            ["need.list", "need.steps_lift", "need.door_narrow"],
        ),
    ],
)
def test_access(place: dict[str, Any], level: str, faults: list[str]) -> None:
    cell = judged(ACCESS, candidate(place={**GOOD_WAY, **place}))
    assert (cell.level, codes(cell.why)) == (level, faults)
    assert codes(cell.figure) == ["need.steps", "need.carry", "need.door"]


def test_a_fault_of_the_way_in_is_a_fault_whatever_else_is_missing() -> None:
    assert judged(ACCESS, candidate(place={"steps": 1, "parking_distance_m": 80})).level == "fail"
    cell = judged(ACCESS, candidate(place={"steps": 1}))
    check(cell, "unknown", "need.steps", "unmeasured.many")
    assert cell.why["facts"] == words(
        "fact", ["location.parking_distance_m", "location.door_width_m"]
    )
    assert codes(judged(ACCESS).figure) == [NOT_RECORDED]


@pytest.mark.parametrize(
    ("way", "level", "steps"),
    [
        # the place says 1 step; what the room says of itself goes before it
        (None, "pass", 1),
        ({"steps": 19}, "fail", 19),
        ({"steps": 19, "lift": True}, "care", 19),
        ({"steps": 0, "carry_m": 20}, "pass", 0),
        ({"lift": False}, "pass", 1),
    ],
)
def test_the_rooms_own_way_in_goes_before_the_places(
    way: dict[str, Any] | None, level: str, steps: int
) -> None:
    place = {"steps": 1, "parking_distance_m": 30, "door_width_m": 0.9}
    cell = judged(ACCESS, candidate(room={"way_in": way}, place=place))
    assert cell.level == level
    assert value_in(cell.figure, "steps") == steps


def test_the_width_of_a_door_is_not_asked_for_outdoors() -> None:
    garden = candidate(room={"setting": "exterior"}, place={"steps": 0, "parking_distance_m": 10})
    assert judged(ACCESS, garden).level == "pass"
    check(
        judged({"topic": "access", "door_width_m": 0.8}, garden), "outside", None, "need.no_doors"
    )


def test_budget() -> None:
    need = {"topic": "budget", "amount": 1_200_000, "currency": "JPY"}
    fee = {"fee_amount": 1_200_000, "fee_currency": "JPY"}
    cell = judged(need, candidate(place=fee))
    check(
        cell, "pass", said("need.money", amount=1_200_000, currency=Name("JPY")), "need.in_budget"
    )
    over = candidate(place={**fee, "fee_amount": 1_200_000.5, "fee_note": "plus 2 m of cable"})
    cell = judged(need, over)
    check(cell, "fail", "need.money", "need.over_budget")
    assert value_in(cell.why, "amount") == Figure(0.5)
    assert Name("plus 2 m of cable") in cell.why["parts"].items
    free = judged(need, candidate(place={"fee_amount": 0}))
    check(free, "pass", "need.no_fee", "need.free")
    check(
        judged(need, candidate(place={**fee, "fee_currency": "GBP"})),
        "unknown",
        "need.money",
        "need.other_currency",
    )
    check(
        judged(need, candidate(place={"fee_amount": 10})),
        "unknown",
        "need.money",
        "need.no_currency",
    )
    check(judged(need), "unknown", NOT_RECORDED, "need.no_fee_known")
