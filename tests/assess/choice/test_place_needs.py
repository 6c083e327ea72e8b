"""Needs that a place meets, at their borders by hand."""

from __future__ import annotations

from typing import Any

import pytest

from scout.assess.choice.cells import Case, NeedCell
from scout.assess.choice.place_needs import ASKED, JUDGES, same_tag
from scout.values import Figure, Name, said
from tests.assess.choice.test_compare import candidate, scene


def judged(need: dict[str, Any], *also: dict[str, Any], **facts: Any) -> NeedCell:
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
    found = judged(LOOK, room={"tags": tags})
    assert (found.level, found.order) == (level, order)
    assert found.why is not None
    if missing:
        assert [same_tag(tag.text) for tag in found.why["tags"]] == [same_tag(m) for m in missing]
    else:
        assert found.why == said("need.looks_so")
    assert same_tag("  North   LIGHT ") == "north light"


def test_a_look_nobody_recorded_is_unknown() -> None:
    assert judged(LOOK).level == "unknown"


TRAVEL = {"topic": "travel", "from_latitude_deg": 52.0, "from_longitude_deg": 0.0}


@pytest.mark.parametrize(("km", "level"), [(111.3, "pass"), (111.2, "fail")])
def test_how_far_it_is(km: float, level: str) -> None:
    """Source: WGS 84: from 52 to 53 degrees north a degree of latitude is 111.27 km."""
    place = {"latitude_deg": 53.0, "longitude_deg": 0.0}
    found = judged({**TRAVEL, "km": km}, place=place)
    assert found.level == level
    assert isinstance(found.figure, Figure)
    assert (found.figure.value, found.figure.unit) == (pytest.approx(111.27, abs=0.01), "km")
    assert found.reading is not None
    assert found.reading.figure == pytest.approx(111.27, abs=0.01)


@pytest.mark.parametrize("missing", ["latitude_deg", "longitude_deg"])
def test_a_place_without_coordinates_lies_somewhere(missing: str) -> None:
    """By hand: up to four times the asked."""
    place = {"latitude_deg": 53.0, "longitude_deg": 0.0, missing: None}
    found = judged({**TRAVEL, "km": 20.0}, place=place)
    assert found.level == "unknown"
    assert found.reading is not None
    assert (found.reading.low, found.reading.high) == (0.0, 80.0)


@pytest.mark.parametrize(("days", "level"), [(9, "pass"), (10, "pass"), (11, "fail")])
def test_how_long_a_permit_takes(days: int, level: str) -> None:
    found = judged({"topic": "permit", "days": 10}, place={"permit_lead_days": days})
    assert (found.level, found.figure) == (level, said("need.days", n=days))
    assert found.why == said("need.within" if level == "pass" else "need.permit_long")
    assert found.reading is not None
    assert found.reading.figure == days
    assert judged({"topic": "permit", "days": 10}).level == "unknown"


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
    assert judged({"topic": "neighbours"}, *shoots, place=place).level == level


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
