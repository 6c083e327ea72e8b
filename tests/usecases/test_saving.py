"""Two people at one record: nobody's words are lost, and nobody is told that the database is
locked.
"""

from __future__ import annotations

import threading
from collections.abc import Callable

import pytest

from scout.errors import NotFound, Refused, Stale
from scout.records import LocationRecord, NoteRecord, ProductionRecord, RoomRecord
from scout.records.sheet import Circuit, Window
from scout.settings import Settings
from scout.store.queries.common import Spot
from scout.usecases import locations, notes, productions, rooms
from scout.usecases.work import Who, Work, open_work
from tests.refusing import refuses


def at_once(run: Callable[[int], object], count: int = 2) -> list[BaseException | None]:
    """Run it so many times at the same moment; what each ended with."""
    start = threading.Barrier(count)
    ends: list[BaseException | None] = [None] * count

    def one(number: int) -> None:
        start.wait()
        try:
            run(number)
        except BaseException as error:  # noqa: BLE001  # whatever it was, the test must tell it
            ends[number] = error

    threads = [threading.Thread(target=one, args=(number,)) for number in range(count)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return ends


def test_of_two_saves_at_once_one_is_kept_and_the_other_has_both_texts(settings: Settings) -> None:
    with open_work(settings) as work:
        key = locations.add_location(work, LocationRecord(name="Mill"))
    both_read = threading.Barrier(2)

    def save(number: int) -> None:
        with open_work(settings, reading=True) as work:
            opened = locations.location(work, key).kept
        both_read.wait()
        with open_work(settings, Who(number, f"P{number}", "", "owner")) as work:
            locations.save_location(
                work, key, opened.version, LocationRecord(name="Mill", hours=f"hours of {number}")
            )

    ends = at_once(save)
    refused = [end for end in ends if end is not None]
    assert [type(end) for end in refused] == [Stale], ends
    loser = ends.index(refused[0])
    stale = refused[0]
    assert isinstance(stale, Stale)
    assert (stale.yours["hours"], stale.theirs["hours"]) == (
        f"hours of {loser}",
        f"hours of {1 - loser}",
    )
    with open_work(settings) as work:
        locations.save_location(
            work, key, stale.version, LocationRecord(name="Mill", hours=stale.yours["hours"])
        )
        assert locations.location(work, key).kept.record.hours == f"hours of {loser}"


def test_many_writers_at_once_are_all_served(settings: Settings) -> None:
    with open_work(settings) as work:
        place = locations.add_location(work, LocationRecord(name="Mill"))

    def write(number: int) -> None:
        for i in range(4):
            with open_work(settings) as work:
                notes.add_note(work, "location", place, NoteRecord(text=f"{number}.{i}"))

    assert at_once(write, 4) == [None] * 4
    with open_work(settings, reading=True) as work:
        assert len(locations.location(work, place).notes) == 16


@pytest.fixture
def room_id(work: Work) -> int:
    place = locations.add_location(work, LocationRecord(name="Mill"))
    return rooms.add_room(
        work,
        place,
        RoomRecord.read(
            {
                "width_m": 5,
                "length_m": 5,
                "height_m": 2.5,
                "outlets": [{"id": "P1", "circuit": "K1"}],
                "circuits": [{"id": "K1"}, {"id": "K2"}],
                "windows": [
                    {
                        "id": "W1",
                        "wall": "A",
                        "offset_m": 0,
                        "width_m": 1,
                        "sill_m": 1,
                        "height_m": 1,
                    },
                    {
                        "id": "W2",
                        "wall": "A",
                        "offset_m": 2,
                        "width_m": 1,
                        "sill_m": 1,
                        "height_m": 1,
                    },
                ],
            }
        ),
    )


def test_the_first_window_may_not_be_moved_onto_the_second(work: Work, room_id: int) -> None:
    first = rooms.room(work, room_id).parts["windows"][0]
    moved = Window(id="W1", wall="A", offset_m=1.5, width_m=1.0, sill_m=1.0, height_m=1.0)
    with refuses("room.windows[1].offset_m sheet.overlap"):
        rooms.save_part(work, "windows", first.id, first.version, moved)
    with refuses("room.windows[1].id sheet.id_taken"):
        rooms.save_part(
            work,
            "windows",
            first.id,
            first.version,
            moved.model_copy(update={"id": "W2", "offset_m": 0.0}),
        )
    assert rooms.room(work, room_id).parts["windows"][0] == first


def test_a_refused_change_of_a_circuit_changes_no_outlet(work: Work, room_id: int) -> None:
    first = rooms.room(work, room_id).parts["circuits"][0]
    with refuses("room.circuits[1].id sheet.id_twice"):
        rooms.save_part(work, "circuits", first.id, first.version, Circuit(id="K2"))
    work.commit()  # whatever else this work does
    assert rooms.room(work, room_id).parts["outlets"][0].record.circuit == "K1"
    with pytest.raises(Stale) as stale:
        rooms.save_part(work, "circuits", first.id, first.version + 1, Circuit(id="K9"))
    assert stale.value.theirs == {"id": "K1"}


def test_every_kind_of_record_refuses_a_stale_save_and_a_stale_deletion(
    work: Work, room_id: int
) -> None:
    note = notes.add_note(work, "room", room_id, NoteRecord(text="one"))
    notes.save_note(work, note, 1, NoteRecord(text="two"))
    production = productions.add_production(work, ProductionRecord(title="Short"))
    productions.save_production(work, production, 1, ProductionRecord(title="Short film"))
    stale: list[Callable[[], object]] = [
        lambda: notes.save_note(work, note, 1, NoteRecord(text="three")),
        lambda: notes.bin_note(work, note, 1),
        lambda: productions.save_production(work, production, 1, ProductionRecord(title="x")),
        lambda: productions.bin_production(work, production, 1),
        lambda: rooms.save_room(work, room_id, 7, RoomRecord()),
        lambda: rooms.bin_room(work, room_id, 7),
    ]
    for save in stale:
        with pytest.raises(Stale):
            save()


def test_what_cannot_be_there_is_not_there(work: Work, room_id: int) -> None:
    # property: a key of any size is a plain "not there", to either database
    for key in (0, -1, 2**31, 10**30):
        for find in (
            lambda k: rooms.room(work, k),
            lambda k: locations.location(work, k),
            lambda k: notes.note(work, k),
            lambda k: rooms.part(work, "doors", k),
        ):
            with pytest.raises(NotFound):
                find(key)
        assert rooms.find_rooms(work, location_id=key).total == 0
    for key in (10**30, -(10**30)):
        assert rooms.find_rooms(work, spot=Spot(after=key)).earlier is None
        assert rooms.find_rooms(work, spot=Spot(before=key)).earlier is None


def test_a_search_for_anything_is_answered(work: Work) -> None:
    locations.add_location(work, LocationRecord(name="Mühle 50% \\ _x_ 🎬"))
    for text in (
        "MÜHLE" if work.settings.is_sqlite else "Mühle",
        "50%",
        "\\",
        "_x_",
        "🎬",
        "\0Mühle",
        "Müh\ud800le",
    ):
        assert locations.find_locations(work, text=text).total == 1, text
    for text in ("%%", "__", "';drop table location;--", "m.hle"):
        assert locations.find_locations(work, text=text).total == 0, text
    with pytest.raises(Refused, match="text"):
        locations.find_locations(work, text="x" * 100_000)
