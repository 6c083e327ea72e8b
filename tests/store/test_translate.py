"""Rows and records: nothing that a record can hold is lost in a row.

Expected answers: `property:` a record written and read again is the same record.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from scout.records import LocationRecord, RoomRecord
from scout.records.parts import OWN_ROOM_FIELDS, PARTS
from scout.records.sheet import Facing, Street, Surface, WayIn
from scout.store import models, translate
from scout.usecases import locations, rooms
from scout.usecases.work import Work
from tests.rooms import WHOLE_PARTS, WHOLE_ROOM, WHOLE_SURFACE


def test_the_examples_give_every_field_there_is() -> None:
    assert set(WHOLE_ROOM) == set(OWN_ROOM_FIELDS)
    assert set(WHOLE_ROOM["facing"]) == set(Facing.model_fields)
    assert set(WHOLE_ROOM["way_in"]) == set(WayIn.model_fields)
    assert set(WHOLE_ROOM["street"]) == set(Street.model_fields)
    assert set(WHOLE_SURFACE) == set(Surface.model_fields)
    for name, kind in PARTS.items():
        assert set(WHOLE_PARTS[name]) == set(kind.record.model_fields), name


@pytest.mark.parametrize("row_type", translate.RECORDS, ids=lambda row_type: str(row_type.__name__))
def test_every_field_of_a_record_has_a_column(row_type: type[Any]) -> None:
    columns = set(row_type.__mapper__.columns.keys())
    for field in translate.RECORDS[row_type].model_fields:
        named = "label" if field == "id" and "label" in columns else field
        assert named in columns, f"{row_type.__name__} keeps no {field}"


def test_a_whole_room_comes_back_from_the_database_as_it_was(work: Work) -> None:
    place = locations.add_location(work, LocationRecord(name="Weir House"))
    given = RoomRecord.read(
        {
            **WHOLE_ROOM,
            "surfaces": {"A": WHOLE_SURFACE},
            **{name: [part] for name, part in WHOLE_PARTS.items()},
        }
    )
    key = rooms.add_room(work, place, given)
    work.db.expire_all()
    page = rooms.room(work, key)
    assert page.kept.record == given
    for name in PARTS:
        assert [part.record for part in page.parts[name]] == list(getattr(given, name))


def test_saving_what_was_opened_changes_nothing(work: Work) -> None:
    place = locations.add_location(work, LocationRecord(name="Weir House"))
    given = RoomRecord.read({**WHOLE_ROOM, **{name: [part] for name, part in WHOLE_PARTS.items()}})
    key = rooms.add_room(work, place, given)
    opened = rooms.room(work, key)
    rooms.save_room(work, key, opened.kept.version, opened.kept.record)
    for name in PARTS:
        (part,) = opened.parts[name]
        rooms.save_part(work, name, part.id, part.version, part.record)
    work.db.expire_all()
    assert rooms.room(work, key).kept.record == given


def test_a_fact_taken_out_empties_its_column() -> None:
    row = translate.new_part("windows", PARTS["windows"].record.read(WHOLE_PARTS["windows"]))
    translate.fill(row, PARTS["windows"].record.read({"id": "W2", "wall": "B"}))
    assert (row.label, row.wall) == ("W2", "B")
    emptied = set(WHOLE_PARTS["windows"]) - {"id", "wall"}
    assert {field: getattr(row, field) for field in emptied} == dict.fromkeys(emptied)
    room = models.Room()
    translate.fill_room(room, RoomRecord.read(WHOLE_ROOM))
    assert (room.facing_wall, room.facing_read_on) == ("B", date(2026, 5, 3))
    translate.fill_room(room, RoomRecord(name="Long parlour"))
    assert translate.room_plain(room, parts=False) == {"name": "Long parlour"}


def test_none_there_and_nobody_having_looked_are_two_things() -> None:
    room = models.Room(none_of=["windows"])
    assert translate.room_plain(room) == {"windows": []}
    assert translate.room_record(room).windows == ()
    assert translate.room_record(room).doors is None


def test_what_lies_in_the_bin_is_left_out() -> None:
    alive = translate.new_part("doors", PARTS["doors"].record.read({"id": "D1", "wall": "A"}))
    binned = translate.new_part("doors", PARTS["doors"].record.read({"id": "D2", "wall": "A"}))
    binned.binned_at = date(2026, 5, 3)
    room = models.Room(doors=[alive, binned])
    gone, there = translate.new_surface("A", Surface()), translate.new_surface("B", Surface())
    gone.binned_at = date(2026, 5, 3)
    room.surfaces = [gone, there]
    assert translate.room_plain(room) == {
        "surfaces": {"B": {}},
        "doors": [{"id": "D1", "wall": "A"}],
    }
