"""The packet's use case: revisions, what changed, what is private, and nobody waiting for it. The
pages are another's tests.
"""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Any

import pytest

from scout.errors import NotFound, Refused
from scout.packet.content import PacketContent
from scout.pages import assessing
from scout.pages.packet import compose
from scout.records import (
    CandidateRecord,
    LocationRecord,
    NoteRecord,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
)
from scout.settings import Settings
from scout.store.files import hash_of
from scout.usecases import checking, locations, notes, packets, productions, rooms
from scout.usecases.work import Who, Work, open_work

SECRET = "the caretaker drinks"


class Built:
    """Stands where the pages are set: keeps what it was given, and writes a file."""

    def __init__(self) -> None:
        self.contents: list[PacketContent] = []
        self.fails = False

    def __call__(self, content: PacketContent, out: Path, **_more: Any) -> Any:
        self.contents.append(content)
        out.parent.mkdir(parents=True, exist_ok=True)
        out.write_bytes(f"%PDF {content.revision}".encode())
        if self.fails:
            raise OSError(28, "No space left on device")

        class Result:
            pages = 3
            warnings = ("a picture could not be drawn",)

        return Result()


@pytest.fixture
def built(monkeypatch: pytest.MonkeyPatch) -> Built:
    stands_in = Built()
    monkeypatch.setattr(packets, "build_packet", stands_in)
    return stands_in


def fill(work: Work) -> tuple[int, int]:
    """A production with two rooms proposed, one ruled out; its key and the first room's."""
    place = locations.add_location(
        work, LocationRecord(name="Mill", latitude_deg=52.0, longitude_deg=0.1)
    )
    kept, out = (
        rooms.add_room(work, place, RoomRecord(name=name, width_m=4.0, length_m=5.0))
        for name in ("Loft", "Cellar")
    )
    for owner, key in (("room", kept), ("location", place)):
        notes.add_note(
            work, owner, key, NoteRecord(text=f"{SECRET} in the {owner}", audience="private")
        )
        notes.add_note(work, owner, key, NoteRecord(text=f"Ring twice at the {owner}"))
    production = productions.add_production(
        work, ProductionRecord.read({"title": "Short / film", "shoot_dates": ["2026-06-21"]})
    )
    scene = productions.add_scene(
        work,
        production,
        SceneRecord.read(
            {"name": "Talk", "needs": [{"topic": "height", "strength": "must", "height_m": 2.5}]}
        ),
    )
    productions.add_candidate(work, scene, kept, CandidateRecord())
    productions.add_candidate(work, scene, out, CandidateRecord(state="ruled_out", reason="damp"))
    return production, kept


def test_private_notes_never_reach_the_packet(work: Work, built: Built) -> None:
    production, room = fill(work)
    printed = packets.print_packet(work, production, compose)
    content = built.contents[0]
    assert SECRET not in repr(content)
    assert "Ring twice at the room" in repr(content)
    assert "Ring twice at the location" in repr(content)
    assert [r.room.name for place in content.locations for r in place.rooms] == [
        "Loft"
    ]  # what is ruled out stays out
    note = rooms.room(work, room).notes[1]
    notes.save_note(work, note.id, note.version, NoteRecord(text=note.text, audience="private"))
    again = packets.print_packet(work, production, compose)
    assert "Ring twice at the room" not in repr(built.contents[1].locations)
    assert again.changes == ("Loft, Mill: crew note taken out",)
    assert "Ring twice at the room" not in repr(built.contents[1])  # nor where it says what changed
    assert (printed.pages, printed.warnings) == (3, ("a picture could not be drawn",))


def test_revisions_are_numbered_and_say_what_changed(work: Work, built: Built) -> None:
    production, room = fill(work)
    first = packets.print_packet(work, production, compose)
    assert (first.revision, first.changes, built.contents[0].changes) == (
        1,
        (),
        None,
    )  # nothing to compare with
    second = packets.print_packet(work, production, compose)
    assert (second.revision, second.changes, built.contents[1].changes) == (2, (), ())
    kept = rooms.room(work, room).kept
    rooms.save_room(work, room, kept.version, kept.record.model_copy(update={"height_m": 2.4}))
    third = packets.print_packet(work, production, compose)
    assert third.changes == ("Loft, Mill: height: 2.40\u00a0m, not recorded before",)
    assert str(built.contents[2].changes_since).startswith("revision 2, ")
    path, name = packets.packet_file(work, third.id)
    assert (path.name, name) == (f"{third.id}.pdf", "short---film-r3.pdf")
    assert [line.revision for line in productions.production(work, production).packets] == [3, 2, 1]
    assert checking.check(work).faults == ()
    assert hash_of(path) == hash_of(work.packets_dir / path.name)
    for key in (third.id + 1, 10**30, -1):
        with pytest.raises(NotFound):
            packets.packet_file(work, key)
    with pytest.raises(NotFound):
        packets.print_packet(work, production + 1, compose)


def test_two_places_of_one_name_are_told_apart(work: Work, built: Built) -> None:
    production, _room = fill(work)
    scene = productions.production(work, production).scenes[0].id
    other = locations.add_location(work, LocationRecord(name="Mill"))
    productions.add_candidate(
        work, scene, rooms.add_room(work, other, RoomRecord(name="Loft")), CandidateRecord()
    )
    packets.print_packet(work, production, compose)
    opened = locations.location(work, other).kept
    locations.save_location(
        work, other, opened.version, opened.record.model_copy(update={"hours": "9 to 5"})
    )
    assert packets.print_packet(work, production, compose).changes == (
        "Mill (2): hours: “9 to 5”, not recorded before",
    )


def test_a_packet_that_fails_leaves_nothing(work: Work, built: Built) -> None:
    production, _room = fill(work)
    built.fails = True
    with pytest.raises(OSError, match="No space left"):
        packets.print_packet(work, production, compose)
    assert list(work.packets_dir.iterdir()) == []
    built.fails = False
    assert packets.print_packet(work, production, compose).revision == 1


def test_nobody_waits_while_a_packet_is_printed_and_no_revision_is_printed_twice(
    settings: Settings, built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_work(settings, Who(1, "Ada", "")) as work:
        production, room = fill(work)
    assess, setting = assessing.assessed, packets.build_packet
    steps: list[str] = []

    def meanwhile(step: str) -> None:
        def save() -> None:
            with open_work(settings) as other:
                notes.add_note(other, "room", room, NoteRecord(text=step))
            steps.append(step)

        thread = threading.Thread(target=save)
        thread.start()
        thread.join(5)
        assert not thread.is_alive(), f"somebody had to wait for the {step}"

    def assessed(*arguments: Any, **more: Any) -> Any:
        if "working out" not in steps:
            meanwhile("working out")
        return assess(*arguments, **more)

    def built_slowly(*arguments: Any, **more: Any) -> Any:
        if "setting" not in steps:
            meanwhile("setting")
            with open_work(settings) as other:
                packets.print_packet(other, production, compose)
        return setting(*arguments, **more)

    monkeypatch.setattr(assessing, "assessed", assessed)
    monkeypatch.setattr(packets, "build_packet", built_slowly)
    with (
        open_work(settings) as work,
        pytest.raises(Refused, match="printed by somebody else meanwhile"),
    ):
        packets.print_packet(work, production, compose)
    assert steps == ["working out", "setting"]
    with open_work(settings, reading=True) as work:
        assert [line.revision for line in productions.production(work, production).packets] == [1]
        assert [path.name for path in work.packets_dir.iterdir()] == ["1.pdf"]
