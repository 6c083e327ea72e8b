"""The words kept of rooms are those that stand on them, whatever is done."""

from __future__ import annotations

import random
from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy import delete, select

from scout.records import LocationRecord, NoteRecord, RoomRecord
from scout.settings import Settings
from scout.store import models, words
from scout.store.models import RoomWords
from scout.store.queries.finding import has_words
from scout.usecases import locations, notes, rooms
from scout.usecases.work import Work, open_work
from tests.store.test_lists import photo


def kept(work: Work) -> dict[int, list[str]]:
    """The words of each room, as a set of lines: their order is nothing that is searched."""
    return {
        row.room_id: sorted(row.words.split("\n")) for row in work.db.scalars(select(RoomWords))
    }


def found(work: Work, sought: str) -> set[int]:
    """The rooms on which the words stand."""
    return set(work.db.scalars(select(models.Room.id).where(has_words(work.db, sought))))


@pytest.mark.parametrize("seed", range(6))
def test_words_keep_step_with_whatever_is_saved(work: Work, seed: int) -> None:
    # property: what is written as things change is what would be written from nothing
    chance = random.Random(seed)
    places = [locations.add_location(work, LocationRecord(name=f"Mill {k}")) for k in range(2)]
    for k in range(5):
        rooms.add_room(work, places[k % 2], RoomRecord(name=f"Loft {k}", tags=("brick", "\u65e7")))
    for step in range(12):
        room = work.db.get_one(models.Room, chance.randint(1, 5))
        place = work.db.get_one(models.Location, chance.choice(places))
        deed = chance.randrange(8)
        if deed == 0:
            rooms.save_room(work, room.id, room.version, RoomRecord(name=f"Barn {step}"))
        elif deed == 1:
            record = LocationRecord(name=f"Farm {step}", address=f"{step} Lane")
            locations.save_location(work, place.id, place.version, record)
        elif deed == 2:
            notes.add_note(work, "room", room.id, NoteRecord(text=f"echo {step}"))
        elif deed == 3:
            notes.add_note(work, "location", place.id, NoteRecord(text=f"dogs {step}"))
        elif deed == 4:
            photo(work, caption=f"door {step}", location_id=place.id)
        elif deed == 5:
            photo(work, caption=f"stair {step}" if step % 2 else None, room_id=room.id)
        elif deed == 6 and (note := work.db.scalars(select(models.Note)).first()) is not None:
            private = NoteRecord(text=note.text, audience="private")
            notes.save_note(work, note.id, note.version, private)
        elif deed == 7 and (seen := work.db.scalars(select(models.Photo)).first()) is not None:
            seen.room_id, seen.location_id = room.id, None
            seen.caption = f"shelf {step}" if step % 2 else seen.caption
            work.changed(seen, "photo moved")
            work.commit()
        before = kept(work)
        work.db.execute(delete(RoomWords))
        words.complete(work.db)
        assert kept(work) == before, deed
        work.commit()


def test_what_goes_is_found_no_more(work: Work) -> None:
    place = locations.add_location(work, LocationRecord(name="Mill"))
    rooms.add_room(work, place, RoomRecord(name="Loft"))
    key = notes.add_note(work, "room", 1, NoteRecord(text="pigeons"))
    assert found(work, "pigeons") == {1}
    notes.bin_note(work, key, 1)
    assert found(work, "pigeons") == set()
    rooms.save_room(work, 1, 1, RoomRecord(name="Attic"))
    assert (found(work, "loft"), found(work, "att mill")) == (set(), {1})


def test_words_missing_are_written_when_the_program_starts(work: Work) -> None:
    place = locations.add_location(work, LocationRecord(name="Mill"))
    for k in range(3):
        rooms.add_room(work, place, RoomRecord(name=f"Loft {k}"))
    work.db.execute(delete(RoomWords).where(RoomWords.room_id != 2))
    work.commit()
    assert words.missing(work.db) == [1, 3]
    words.complete(work.db)
    work.commit()
    assert (words.missing(work.db), found(work, "loft")) == ([], {1, 2, 3})


@pytest.mark.postgres
def test_two_saves_of_one_room_at_once_are_both_found(on_postgres: Settings) -> None:
    with open_work(on_postgres) as work:
        place = locations.add_location(work, LocationRecord(name="Weir House"))
        room = rooms.add_room(work, place, RoomRecord(name="Parlour", setting="interior"))

    def save(text: str) -> None:
        with open_work(on_postgres) as other:
            notes.add_note(other, "room", room, NoteRecord(text=text))

    with open_work(on_postgres) as work, ThreadPoolExecutor() as pool:
        note = models.Note(room_id=room, text="owl", audience="crew", version=1)
        note.created_at = note.changed_at = work.now()
        work.db.add(note)
        words.bring_up_to_date(work.db)
        later = pool.submit(save, "heron")
        with pytest.raises(TimeoutError):
            later.result(0.5)
        work.db.commit()
        later.result(20)
    with open_work(on_postgres, reading=True) as work:
        assert found(work, "owl") == found(work, "heron") == {room}
