"""Words sought on both databases: by their beginnings, in any script, never in private notes."""

from __future__ import annotations

import pytest
from sqlalchemy import select

from scout.records import LocationRecord, NoteRecord, RoomRecord
from scout.store.models import Room
from scout.store.queries.finding import has_words
from scout.usecases import locations, notes, rooms
from scout.usecases.work import Work


@pytest.mark.parametrize(
    ("sought", "found"),
    [
        ("parlour", {1}),
        ("long nor", {1}),
        ("brick", {1, 2}),
        ("dome", {1}),
        ("owes", set()),
        ("図書", {2}),
        ("図書 brick", {2}),
        ("図書 parlour", set()),
        ("' & | ! :* (", set()),
        ("nothing", set()),
    ],
)
def test_rooms_by_words(work: Work, sought: str, found: set[int]) -> None:
    mill = locations.add_location(work, LocationRecord(name="Mill", address="Norwich"))
    rooms.add_room(work, mill, RoomRecord(name="Long parlour", tags=("brick",)))
    far = locations.add_location(work, LocationRecord(name="旧図書館"))
    rooms.add_room(work, far, RoomRecord(name="Hall", tags=("brick",)))
    notes.add_note(work, "room", 1, NoteRecord(text="echo under the dome"))
    notes.add_note(work, "room", 2, NoteRecord(text="owner owes us", audience="private"))
    assert set(work.db.scalars(select(Room.id).where(has_words(work.db, sought)))) == found
