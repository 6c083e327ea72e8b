"""Rows and records: nothing that a record can hold is lost in a row.

Expected answers: `property:` a record written and read again is the same record.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from scout.records import LocationRecord, RoomRecord
from scout.records.parts import OWN_ROOM_FIELDS, PARTS
from scout.records.sheet import Facing, Surface
from scout.store import models, translate
from scout.usecases import locations, rooms
from scout.usecases.work import Work

WHOLE_ROOM: dict[str, Any] = {  # every field of the room itself, none at its default
    "name": "Long parlour",
    "setting": "covered",
    "storey": -1,
    "width_m": 5.0,
    "length_m": 6.5,
    "plan_m": [[0.0, 6.5], [5.0, 6.5], [5.0, 0.0], [0.0, 0.0]],
    "height_m": 2.7,
    "facing": {
        "wall": "B",
        "bearing_deg": 182.0,
        "north": "magnetic",
        "accuracy_deg": 4.0,
        "read_on": "2026-05-03",
    },
    "skyline": [{"bearing_deg": 150.0, "elevation_deg": 12.0}],
}
WHOLE_PARTS: dict[str, dict[str, Any]] = {
    "windows": {
        "id": "W1",
        "wall": "A",
        "offset_m": 0.0,
        "sill_m": 0.9,
        "width_m": 2.0,
        "height_m": 1.5,
        "transmittance": 0.7,
        "reveal_m": 0.12,
        "overhang_m": 0.4,
        "overhang_gap_m": 0.2,
        "covering": "blind",
        "skyline": [{"bearing_deg": 90.0, "elevation_deg": -2.0}],
        "material": "glass",
    },
    "doors": {
        "id": "D1",
        "wall": "C",
        "offset_m": 0.4,
        "width_m": 0.83,
        "height_m": 2.0,
        "material": "wood_door",
    },
    "circuits": {
        "id": "K1",
        "volts": 230.0,
        "breaker_a": 16.0,
        "other_load_w": 0.0,
        "verified": False,
    },
    "outlets": {
        "id": "P1",
        "wall": "B",
        "offset_m": 0.6,
        "height_m": 0.3,
        "circuit": "K1",
        "sockets": 2,
    },
    "contents": {"material": "person", "area_m2": 1.5, "count": 0},
    "practicals": {
        "id": "L1",
        "at_m": [2.5, 3.2, 2.4],
        "lumens": 800.0,
        "cct_k": 2700.0,
        "duv": -0.004,
        "can_switch_off": False,
    },
    "furniture": {
        "id": "table",
        "at_m": [2.5, 3.0],
        "width_m": 1.6,
        "depth_m": 0.8,
        "turn_deg": 10.0,
        "height_m": 0.75,
        "movable": True,
    },
    "noise": {
        "id": "N1",
        "taken_at": "2026-05-03T10:40:00+01:00",
        "laeq_db": 34.0,
        "lceq_db": 50.0,
        "bands_db": {"63": 45.0, "8000": None},
        "duration_s": 60.0,
        "method": "phone_app",
        "conditions": "window open",
    },
}
WHOLE_SURFACE: dict[str, Any] = {
    "colour": {"srgb": "#c9b79c"},
    "light_reflectance": 0.48,
    "finish": "matte",
    "material": "hard_surface",
}


def test_the_examples_give_every_field_there_is() -> None:
    assert set(WHOLE_ROOM) == set(OWN_ROOM_FIELDS)
    assert set(WHOLE_ROOM["facing"]) == set(Facing.model_fields)
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
