"""A room sheet in and out again is the same sheet; what does not fit comes in not at all."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from sqlalchemy import func, select

from scout.errors import NotFound, Refused, RefusedMany
from scout.records import LocationRecord, ProductionRecord, RoomSheet, read_sheet
from scout.records.sheet import Window
from scout.store import models
from scout.usecases import locations, productions, rooms, sheets
from scout.usecases.work import Work
from tests.rooms import WHOLE_PARTS, WHOLE_ROOM, WHOLE_SURFACE, plain_sheet

SHEET: dict[str, Any] = {
    **plain_sheet(kit=None),
    "room": {
        **WHOLE_ROOM,
        "surfaces": {"A": WHOLE_SURFACE, "floor": {}},
        **{name: [part] for name, part in WHOLE_PARTS.items()},
        "doors": [],
    },
    "extra": {
        "measurements": [
            {
                "path": "width_m",
                "by": "Ada",
                "at": "2026-05-03T10:00:00+01:00",
                "how": "laser",
                "accuracy": "1 cm",
            }
        ],
        "ours": {"colour of the cat": "ginger", "n": [1, None, 2.5]},
    },
}


def tidy(value: Any) -> Any:
    """A document without its nulls, which mean the same as keys left out."""
    if isinstance(value, dict):
        return {key: tidy(part) for key, part in value.items() if part is not None}
    return [tidy(part) for part in value] if isinstance(value, list) else value


def comes_back(work: Work, sheet: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = sheets.export_sheet(
        work, sheets.import_sheet(work, read_sheet(sheet))
    ).plain()
    return found


def test_a_sheet_comes_back_as_it_went_in(work: Work) -> None:
    found = comes_back(work, SHEET)
    assert tidy({**found, "extra": {}}) == tidy({**SHEET, "extra": {}})
    assert found["extra"] == SHEET["extra"]  # passed through, nulls and all
    assert read_sheet(found) == read_sheet(sheets.export_sheet(work, 1).plain())


@pytest.mark.parametrize(
    "room",
    [
        {"name": "Cellar"},
        {
            "name": "Studio",
            "windows": [],
            "doors": [],
            "circuits": [],
            "outlets": [],
            "noise": [],
            "contents": [],
            "practicals": [],
            "furniture": [],
        },
        {
            "name": "L",
            "plan_m": [[0.0, 5.0], [3.0, 5.0], [3.0, 3.0], [6.0, 3.0], [6.0, 0.0], [0.0, 0.0]],
            "facing": {"wall": "F", "bearing_deg": 359.9},
        },
        {"name": "Ход 🎬 \u2028 \u202e x", "setting": "exterior"},
    ],
)
def test_other_rooms_come_back_too(work: Work, room: dict[str, Any]) -> None:
    assert tidy(comes_back(work, {"schema": "room-sheet/1", "room": room}))["room"] == room


def test_a_production_s_kit_goes_out_with_the_sheet_and_stays_out_of_the_room(work: Work) -> None:
    kit = {"lights": [{"id": "key", "watts": 300.0}]}
    production = productions.add_production(
        work, ProductionRecord.read({"title": "Short", "kit": kit})
    )
    key = sheets.import_sheet(work, read_sheet({**SHEET, "kit": {"ratio": 8}}))
    assert sheets.export_sheet(work, key).plain().get("kit") is None
    assert tidy(sheets.export_sheet(work, key, production).plain()["kit"]) == kit


def test_the_same_place_is_found_again_unless_something_contradicts(work: Work) -> None:
    first = sheets.import_sheet(work, read_sheet(SHEET))
    again = copy.deepcopy(SHEET)
    del again["location"]["address"]
    second = sheets.import_sheet(work, read_sheet(again))
    again["location"]["elevation_m"] = 700.0
    third = sheets.import_sheet(work, read_sheet(again))
    places = [rooms.room(work, key).location.id for key in (first, second, third)]
    assert places[0] == places[1] != places[2]
    nameless = [
        sheets.import_sheet(work, read_sheet({"schema": "room-sheet/1", "room": {}}))
        for _ in range(2)
    ]
    assert (
        len({rooms.room(work, key).location.id for key in nameless}) == 2
    )  # nothing says that they are one place


def test_at_a_place_that_is_named(work: Work) -> None:
    place = locations.add_location(work, LocationRecord(name="Mill"))
    key = sheets.import_sheet(work, read_sheet(SHEET), place)
    assert rooms.room(work, key).location.record.name == "Mill"
    with pytest.raises(NotFound):
        sheets.import_sheet(work, read_sheet(SHEET), place + 1)


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"extra": {"measurements": "tape"}}, "extra.measurements"),
        ({"extra": {"measurements": [{"path": ""}]}}, "extra.measurements[0].path"),
        (
            {"room": {"height_m": 2.0, "windows": [{"id": "W1", "wall": "A", "sill_m": 4.2}]}},
            "room.windows[0].sill_m",
        ),
        ({"marks": {"subject": [99.0, 0.0, 0.0]}}, "marks.subject"),
    ],
)
def test_what_does_not_fit_comes_in_not_at_all(
    work: Work, change: dict[str, Any], path: str
) -> None:
    sheet = RoomSheet.model_validate({**SHEET, **change})  # read, but not yet judged whole
    with pytest.raises(RefusedMany) as refusal:
        sheets.import_sheet(work, sheet)
    assert path in [r.path for r in refusal.value.refusals]
    work.db.rollback()
    assert [
        work.db.scalar(select(func.count()).select_from(table))
        for table in (models.Location, models.Room, models.Measurement)
    ] == [0, 0, 0]


def test_none_at_all_is_not_nobody_looked(work: Work) -> None:
    key = sheets.import_sheet(
        work, read_sheet({"schema": "room-sheet/1", "room": {"width_m": 3.0, "length_m": 4.0}})
    )
    assert rooms.room(work, key).kept.record.windows is None
    rooms.say_none(work, key, "windows", True)
    assert rooms.room(work, key).kept.record.windows == ()
    added = rooms.add_part(work, key, "windows", Window(id="W1", wall="A"))
    with pytest.raises(Refused, match="windows"):
        rooms.say_none(work, key, "windows", True)
    rooms.bin_part(work, "windows", added, 1)
    assert (
        rooms.room(work, key).kept.record.windows is None
    )  # somebody saw one there: that there is none must be said anew
    rooms.say_none(work, key, "doors", True)
    rooms.say_none(work, key, "doors", False)
    assert rooms.room(work, key).kept.record.doors is None


PLACE_WAY = {"steps": 48, "has_lift": False, "door_width_m": 0.78, "parking_distance_m": 140.0}


def test_the_way_in_travels_with_the_sheet_and_stays_the_places(work: Work) -> None:
    mill = {"name": "Mill", **PLACE_WAY, "lift_width_m": 1.1}
    place = locations.add_location(work, LocationRecord.read(mill))
    plain = {"schema": "room-sheet/1", "location": {"name": "Mill"}, "room": {"name": "Loft"}}
    out = sheets.export_sheet(work, sheets.import_sheet(work, read_sheet(plain), place)).plain()
    assert out["location"] == mill
    # the place has the facts: they are not the room's own, whichever way it comes in again
    measured_again = {**out, "location": {**mill, "steps": 20}}
    for key in (
        sheets.import_sheet(work, read_sheet(out), place),
        sheets.import_sheet(work, read_sheet(measured_again)),
    ):
        room = rooms.room(work, key)
        assert (room.location.id, room.kept.record.way_in) == (place, None)


def test_a_way_in_that_the_place_does_not_know_is_kept_as_the_rooms_own(work: Work) -> None:
    place = locations.add_location(work, LocationRecord.read({"name": "Mill", "steps": 3}))
    for named, kept in (
        ("Mill", {"carry_m": 20.0, "lift": False, "door_width_m": 0.78}),
        ("Weir", {"carry_m": 20.0}),  # another place's way in is none of the Mill's
    ):
        plain = {
            "schema": "room-sheet/1",
            "location": {"name": named, **PLACE_WAY},
            "room": {"name": "Loft", "way_in": {"carry_m": 20.0}},
        }
        key = sheets.import_sheet(work, read_sheet(plain), place)
        way = rooms.room(work, key).kept.record.way_in
        assert way is not None
        assert way.model_dump(exclude_none=True) == kept
