"""What is saved comes back, a stale save is refused with both texts, and the bin gives back what it
took.
"""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from scout.errors import NotFound, Stale
from scout.records import (
    CandidateRecord,
    LocationRecord,
    Marks,
    Measurement,
    NoteRecord,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
)
from scout.records.sheet import Circuit, Outlet, Surface, Window
from scout.store import models
from scout.store.queries.common import Spot
from scout.usecases import bin as bins
from scout.usecases import locations, notes, productions, rooms
from scout.usecases.work import Work
from tests.refusing import refuses

LOCATION = LocationRecord(name="Mill", latitude_deg=-33.87, longitude_deg=151.21, contacts=None)
ROOM = {
    "name": "Loft",
    "setting": "interior",
    "width_m": 4.0,
    "length_m": 5.0,
    "height_m": 2.5,
    "facing": {
        "wall": "A",
        "bearing_deg": 180,
        "north": "magnetic",
        "accuracy_deg": 5,
        "read_on": "2026-05-03",
    },
    "surfaces": {"A": {"light_reflectance": 0.5}},
    "windows": [
        {"id": "W1", "wall": "A", "offset_m": 0.5, "sill_m": 0.9, "width_m": 1.0, "height_m": 1.0}
    ],
    "circuits": [{"id": "K1", "volts": 230, "breaker_a": 16}],
    "outlets": [{"id": "P1", "wall": "B", "offset_m": 1, "circuit": "K1"}],
}


@pytest.fixture
def location_id(work: Work) -> int:
    return locations.add_location(work, LOCATION)


@pytest.fixture
def room_id(work: Work, location_id: int) -> int:
    return rooms.add_room(work, location_id, RoomRecord.read(ROOM))


def test_a_room_comes_back_as_it_was_given(work: Work, room_id: int) -> None:
    page = rooms.room(work, room_id)
    assert page.kept.record.model_dump(mode="json", exclude_none=True) == RoomRecord.read(
        ROOM
    ).model_dump(mode="json", exclude_none=True)
    assert page.kept.version == 1
    assert page.kept.changed_by == "Ada Example"
    assert (
        page.location.record.timezone == "Australia/Sydney"
    )  # looked up offline; source: IANA time zone database


def test_times_come_back_aware_from_either_database(work: Work, room_id: int) -> None:
    changed = rooms.room(work, room_id).kept.changed_at
    assert changed.tzinfo is not None
    assert abs((datetime.now(UTC) - changed).total_seconds()) < 60


def test_a_stale_save_is_refused_with_both_texts(work: Work, location_id: int) -> None:
    opened = locations.location(work, location_id).kept
    locations.save_location(
        work, location_id, opened.version, opened.record.model_copy(update={"hours": "9 to 5"})
    )
    with pytest.raises(Stale) as stale:
        locations.save_location(
            work, location_id, opened.version, opened.record.model_copy(update={"hours": "ask"})
        )
    assert stale.value.yours["hours"] == "ask"
    assert stale.value.theirs["hours"] == "9 to 5"
    locations.save_location(
        work, location_id, stale.value.version, opened.record.model_copy(update={"hours": "ask"})
    )
    assert locations.location(work, location_id).kept.record.hours == "ask"


def test_a_part_that_does_not_fit_is_refused_by_its_path(work: Work, room_id: int) -> None:
    with refuses("room.windows[1].offset_m sheet.overlap"):
        rooms.add_part(
            work,
            room_id,
            "windows",
            Window(id="W2", wall="A", offset_m=1.0, sill_m=1.0, width_m=1.0, height_m=1.0),
        )
    with refuses("room.windows[1].width_m sheet.wider"):
        rooms.add_part(
            work, room_id, "windows", Window(id="W2", wall="B", offset_m=0.0, width_m=5.5)
        )
    assert len(rooms.room(work, room_id).parts["windows"]) == 1


def test_an_old_fault_stands_in_nobody_s_way_but_a_new_one_does(work: Work, room_id: int) -> None:
    # property: a room may hold a fault from before a check was written; it is told by its place and
    # its code, so that another figure of the same fault is no new one
    row = work.db.get_one(models.Room, room_id)
    row.height_m = 0.5  # the window's sill is at 0.9
    work.db.commit()
    window = rooms.room(work, room_id).parts["windows"][0]
    higher = window.record.model_copy(update={"sill_m": 0.95})
    rooms.save_part(work, "windows", window.id, window.version, higher)
    wide = higher.model_copy(update={"offset_m": 3.5})
    with refuses("room.windows[0].offset_m sheet.reaches_past"):
        rooms.save_part(work, "windows", window.id, window.version + 1, wide)
    with refuses("room.windows[1].sill_m sheet.above_ceiling"):
        other = Window(id="W2", wall="B", offset_m=0.0, sill_m=1.0, width_m=1.0, height_m=1.0)
        rooms.add_part(work, room_id, "windows", other)


def test_a_smaller_room_must_still_hold_its_windows(work: Work, room_id: int) -> None:
    kept = rooms.room(work, room_id).kept
    # by hand: the window reaches to 1.5 m of a wall that is then 1.2 m long
    with refuses("room.windows[0].offset_m sheet.reaches_past"):
        rooms.save_room(
            work, room_id, kept.version, kept.record.model_copy(update={"width_m": 1.2})
        )
    rooms.save_room(work, room_id, kept.version, kept.record.model_copy(update={"width_m": 3.5}))
    assert rooms.room(work, room_id).kept.record.width_m == 3.5


def test_a_part_goes_to_the_bin_and_comes_back(work: Work, room_id: int) -> None:
    window = rooms.room(work, room_id).parts["windows"][0]
    rooms.bin_part(work, "windows", window.id, window.version)
    assert rooms.room(work, room_id).parts["windows"] == ()
    with pytest.raises(NotFound):
        rooms.part(work, "windows", window.id)
    assert [(line.kind, line.name) for line in bins.binned(work)] == [("windows", "W1")]
    bins.restore(work, "windows", window.id)
    assert [w.record.id for w in rooms.room(work, room_id).parts["windows"]] == ["W1"]


def test_what_no_longer_fits_stays_in_the_bin_and_says_why(work: Work, room_id: int) -> None:
    window = rooms.room(work, room_id).parts["windows"][0]
    rooms.bin_part(work, "windows", window.id, window.version)
    rooms.add_part(
        work,
        room_id,
        "windows",
        Window(id="W9", wall="A", offset_m=0.6, sill_m=0.9, width_m=1.0, height_m=1.0),
    )
    with refuses("room.windows[1].offset_m sheet.overlap"):
        bins.restore(work, "windows", window.id)
    assert len(bins.binned(work)) == 1


def test_a_binned_location_hides_its_rooms_until_it_is_back(
    work: Work, location_id: int, room_id: int
) -> None:
    locations.bin_location(work, location_id, 1)
    with pytest.raises(NotFound):
        rooms.room(work, room_id)
    assert rooms.find_rooms(work).total == 0
    bins.restore(work, "location", location_id)
    assert rooms.find_rooms(work).total == 1


def test_a_circuit_with_outlets_is_not_binned_and_its_new_name_follows(
    work: Work, room_id: int
) -> None:
    circuit = rooms.room(work, room_id).parts["circuits"][0]
    with refuses("circuit kept.circuit_in_use"):
        rooms.bin_part(work, "circuits", circuit.id, circuit.version)
    rooms.save_part(
        work,
        "circuits",
        circuit.id,
        circuit.version,
        Circuit(id="Kitchen ring", volts=230, breaker_a=32),
    )
    outlet: Outlet = rooms.room(work, room_id).parts["outlets"][0].record
    assert outlet.circuit == "Kitchen ring"


def test_marks_must_stand_in_the_room(work: Work, room_id: int) -> None:
    with refuses("marks.subject sheet.outside"):
        rooms.save_marks(work, room_id, 1, Marks(subject=(9.0, 1.0, 1.2)))
    rooms.save_marks(work, room_id, 1, Marks(subject=(2.0, 3.0, 1.2), camera=(2.0, 1.0, 1.4)))
    marks = rooms.room(work, room_id).marks
    assert marks is not None
    assert marks.subject == (2.0, 3.0, 1.2)


def test_a_surface_is_recorded_changed_and_guarded(work: Work, room_id: int) -> None:
    rooms.save_surface(work, room_id, "ceiling", None, Surface(light_reflectance=0.8))
    rooms.save_surface(work, room_id, "ceiling", 1, Surface(light_reflectance=0.7))
    with pytest.raises(Stale):
        rooms.save_surface(work, room_id, "ceiling", 1, Surface(light_reflectance=0.6))
    with refuses("surface sheet.no_surface"):
        rooms.save_surface(work, room_id, "E", None, Surface(light_reflectance=0.6))


def test_who_measured_is_kept(work: Work, room_id: int) -> None:
    said = Measurement(
        path="windows.W1.sill_m",
        by="Ada",
        at="2026-05-03T10:00:00+01:00",
        how="tape",
        accuracy="1 cm",
    )
    rooms.add_measurement(work, room_id, said)
    assert rooms.room(work, room_id).measurements == (said,)


def test_half_a_position_is_refused(work: Work) -> None:
    with refuses("longitude_deg kept.other_coordinate"):
        locations.add_location(work, LocationRecord(name="Half", latitude_deg=1.0))


def test_notes_of_any_length_and_script(work: Work, room_id: int) -> None:
    text = "Fenster klemmt. 🎬 " * 11_000  # 209,000 characters
    key = notes.add_note(work, "room", room_id, NoteRecord(text=text, audience="private"))
    assert notes.note(work, key)[2].record.text == text


def test_a_candidate_binned_and_proposed_again_is_one_candidate(work: Work, room_id: int) -> None:
    production = productions.add_production(work, ProductionRecord(title="Short"))
    scene = productions.add_scene(work, production, SceneRecord(name="Talk"))
    first = productions.add_candidate(work, scene, room_id, CandidateRecord())
    productions.save_candidate(work, first, 1, CandidateRecord(state="ruled_out", reason="lorries"))
    productions.bin_candidate(work, first, 2)
    assert productions.scene(work, scene).candidates == ()
    assert (
        productions.add_candidate(work, scene, room_id, CandidateRecord(state="reserve")) == first
    )
    assert [c.state for c in productions.scene(work, scene).candidates] == ["reserve"]


def test_lists_are_found_filtered_and_paged(work: Work) -> None:
    for i in range(25):
        locations.add_location(work, LocationRecord(name=f"Barn {i:02d} 100%"))
    first = locations.find_locations(work)
    assert (len(first.items), first.total, first.earlier) == (20, 25, None)
    assert [line.name for line in locations.find_locations(work, text="barn 07").items] == [
        "Barn 07 100%"
    ]
    assert (
        locations.find_locations(work, text="100_").total == 0
    )  # the underscore is a letter here, not a wild card
    later = locations.find_locations(work, spot=Spot(after=first.later))
    assert (len(later.items), later.total, later.later) == (5, 25, None)
    back = locations.find_locations(work, spot=Spot(before=later.earlier))
    assert back == first
    # a row that is gone: the beginning
    assert locations.find_locations(work, spot=Spot(after=99)) == first
