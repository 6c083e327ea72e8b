"""The packet's use case: revisions, what changed, what is private, and nobody waiting for it. The
pages are another's tests.
"""

from __future__ import annotations

import os
import re
import threading
from datetime import date
from typing import Any

import pytest
from bidi import get_display
from sqlalchemy import event

from scout.errors import NotFound, Refused
from scout.packet.book import PacketResult
from scout.packet.content import PacketContent
from scout.packet.crew.day import plan_b
from scout.packet.setting import bidi
from scout.pages import assessing
from scout.pages.day.setups import setups_of, setups_of_scene
from scout.pages.packet import printing
from scout.pages.packet.crew import compose
from scout.records import (
    CandidateRecord,
    LocationRecord,
    NoteRecord,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
)
from scout.records.sheet import NoiseReading
from scout.settings import Settings
from scout.usecases import (
    checking,
    locations,
    notes,
    packets,
    productions,
    revisions,
    rooms,
    setups,
)
from scout.usecases.work import Who, Work, open_work
from tests.packet.printed import set_texts

SECRET = "the caretaker drinks"


class Built:
    """Stands where the pages are set: keeps what it was given, and makes a few bytes."""

    def __init__(self) -> None:
        self.contents: list[PacketContent] = []
        self.fails = False
        self.printer = packets.Printer(printing.findings, self.make)

    def make(
        self,
        work: Work,
        production: int,
        wanted: revisions.Wanted,
        heading: packets.Heading,
        _: Any,
    ) -> tuple[bytes, PacketResult]:
        content = compose(work, production, wanted.edition, wanted.on, heading)
        self.contents.append(content)
        body = f"%PDF {content.revision} {wanted}".encode()
        return body, PacketResult(3, len(body), ("a picture could not be drawn",), (("a",),))


@pytest.fixture
def built() -> Built:
    return Built()


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
    printed = packets.print_packet(work, production, built.printer)
    content = built.contents[0]
    assert SECRET not in repr(content)
    assert "Ring twice at the room" in repr(content)
    assert "Ring twice at the location" in repr(content)
    # what is ruled out stays out
    assert [setup.room for setup in content.setups] == ["Loft"]
    note = rooms.room(work, room).notes[1]
    notes.save_note(work, note.id, note.version, NoteRecord(text=note.text, audience="private"))
    again = packets.print_packet(work, production, built.printer)
    assert again.changes == ("Loft, Mill: crew note taken out",)
    assert "Ring twice at the room" not in repr(built.contents[1])  # nor where it says what changed
    assert (printed.pages, printed.warnings) == (3, ("a picture could not be drawn",))


def test_a_print_reads_a_rooms_parts_twice(work: Work, built: Built) -> None:
    # by hand: once for the name of the facts, once to work the rooms out, whoever asks for them
    production, _ = fill(work)
    read: list[str] = []

    def asked(*arguments: Any) -> None:
        read.extend(re.findall(r'FROM\s+"?(\w+)', arguments[2], re.IGNORECASE))

    engine = work.db.get_bind()
    event.listen(engine, "before_cursor_execute", asked)
    try:
        packets.print_packet(work, production, built.printer)
    finally:
        event.remove(engine, "before_cursor_execute", asked)
    assert [read.count(table) for table in ("surface", "window", "measurement")] == [2, 2, 2]


def test_the_same_facts_are_the_same_revision_and_the_same_bytes(work: Work, built: Built) -> None:
    production, room = fill(work)
    first = packets.print_packet(work, production, built.printer)
    assert (first.revision, first.changes, built.contents[0].changes) == (1, (), None)
    path, _ = revisions.packet_file(work, first.id)
    body = path.read_bytes()
    again = packets.print_packet(work, production, built.printer)
    assert (again.id, again.revision, again.again) == (first.id, 1, True)
    assert path.read_bytes() == body
    assert len(built.contents) == 1  # nothing was set anew
    day = revisions.Wanted("day", date(2026, 6, 21))
    other = packets.print_packet(work, production, built.printer, day)
    assert (other.id != first.id, other.revision, other.edition) == (True, 1, "day")
    path.write_bytes(b"spoilt")
    mended = packets.print_packet(work, production, built.printer)
    assert (mended.id, path.read_bytes()) == (first.id, body)
    wanted = revisions.Wanted("day", date(2026, 7, 1))
    with pytest.raises(Refused, match="nothing is planned then"):
        packets.print_packet(work, production, printing.PRINTER, wanted)
    kept = rooms.room(work, room).kept
    rooms.save_room(work, room, kept.version, kept.record.model_copy(update={"height_m": 2.4}))
    third = packets.print_packet(work, production, built.printer)
    assert third.revision == 2
    assert "Loft, Mill: height: 2.40\u00a0m, not recorded before" in third.changes
    assert str(built.contents[-1].changes_since).startswith("revision 1, ")
    path, name = revisions.packet_file(work, third.id)
    assert (path.name, name) == (f"{third.id}.pdf", "short---film-r2.pdf")
    assert revisions.packet_file(work, other.id)[1] == "short---film-day-2026-06-21-r1.pdf"
    shown = productions.production(work, production).packets
    assert [line.revision for line in shown] == [2, 1, 1]
    assert checking.check(work).faults == ()
    for key in (third.id + 1, 10**30, -1):
        with pytest.raises(NotFound):
            revisions.packet_file(work, key)
    with pytest.raises(NotFound):
        packets.print_packet(work, production + 1, built.printer)


def test_plan_b_of_a_day_is_the_same_in_every_edition(work: Work, built: Built) -> None:
    """by hand: the loft stands in for the talk and is itself shot in the day after; the attic
    stands in on both days; a proposed cellar stands in for nobody.
    """
    place = locations.add_location(
        work, LocationRecord(name="Mill", latitude_deg=52.0, longitude_deg=0.1)
    )
    hall, loft, attic, cellar = (
        rooms.add_room(work, place, RoomRecord(name=name, width_m=4.0, length_m=5.0))
        for name in ("Hall", "Loft", "Attic", "Cellar")
    )
    production = productions.add_production(
        work, ProductionRecord.read({"title": "Film", "shoot_dates": ["2026-06-21", "2026-06-22"]})
    )
    first, reserve = CandidateRecord(state="first_choice"), CandidateRecord(state="reserve")
    for name, on, kept in (
        ("Talk", date(2026, 6, 21), ((hall, first), (loft, reserve), (attic, reserve))),
        ("Walk", date(2026, 6, 22), ((loft, first), (attic, reserve), (cellar, CandidateRecord()))),
    ):
        scene = productions.add_scene(work, production, SceneRecord(name=name))
        for room, how in kept:
            productions.add_candidate(work, scene, room, how)
        for line in setups_of_scene(work, scene):
            setups.save_setup(
                work, line.id, line.version, line.record.model_copy(update={"on": on})
            )
    told: dict[date, set[str]] = {}
    for wanted in (
        revisions.Wanted(),
        revisions.Wanted("camera"),
        revisions.Wanted("day", date(2026, 6, 21)),
        revisions.Wanted("day", date(2026, 6, 22)),
    ):
        packets.print_packet(work, production, built.printer, wanted)
        for day in built.contents[-1].days:
            told.setdefault(day.date, set()).add(str(plan_b(day)))
    assert told == {
        date(2026, 6, 21): {"Plan B: Loft, Mill, Attic, Mill"},
        date(2026, 6, 22): {"Plan B: Attic, Mill"},
    }


def test_an_edition_says_what_changed_since_it_was_printed_itself(work: Work, built: Built) -> None:
    """by hand: the camera at revisions 1 and 3, the whole packet at 2; the sound first at 3."""
    production, room = fill(work)
    camera = revisions.Wanted("camera")

    def saved(height: float) -> None:
        kept = rooms.room(work, room).kept
        record = kept.record.model_copy(update={"height_m": height})
        rooms.save_room(work, room, kept.version, record)

    def told(wanted: revisions.Wanted) -> tuple[int, str, int | None, list[str]]:
        made = packets.print_packet(work, production, built.printer, wanted)
        content = built.contents[-1]
        heights = [one for one in made.changes if "height:" in one]
        return made.revision, str(content.changes_since), content.swap_since, heights

    packets.print_packet(work, production, built.printer, camera)
    saved(2.4)
    packets.print_packet(work, production, built.printer)
    saved(2.6)
    revision, since, _, heights = told(camera)
    assert (revision, since.partition(",")[0]) == (3, "revision 1")
    assert heights == ["Loft, Mill: height: 2.60\u00a0m, not recorded before"]
    revision, since, swap, heights = told(revisions.Wanted("sound"))
    assert (revision, since.partition(",")[0], swap) == (3, "revision 2", None)
    assert heights == ["Loft, Mill: height: 2.40\u00a0m became 2.60\u00a0m"]


def test_a_setups_note_is_in_no_list_of_changes(work: Work, built: Built) -> None:
    production, _room = fill(work)
    packets.print_packet(work, production, built.printer)
    line = setups_of(work, production)[0]
    record = line.record.model_copy(update={"note": SECRET, "from_time": "10:00"})
    setups.save_setup(work, line.id, line.version, record)
    changes = packets.print_packet(work, production, built.printer).changes
    assert any("from time: “10:00”" in one for one in changes), changes
    assert SECRET not in repr(built.contents) + repr(changes)


def test_what_follows_from_a_change_is_said(work: Work, built: Built) -> None:
    production, room = fill(work)
    packets.print_packet(work, production, built.printer)
    noise = {"id": "N1", "laeq_db": 60.0, "duration_s": 60, "method": "meter_class_1"}
    rooms.add_part(work, room, "noise", NoiseReading.read(noise))
    changes = packets.print_packet(work, production, built.printer).changes
    assert "Loft, Mill: noise readings added" in changes
    # the act's consequence: 60 dBA is no room to record in (common practice: 30 to 40 dBA)
    assert any(change.startswith("Talk, Loft: now: ") and "60" in change for change in changes)


def test_two_places_of_one_name_are_told_apart(work: Work, built: Built) -> None:
    production, _room = fill(work)
    scene = productions.production(work, production).scenes[0].id
    other = locations.add_location(work, LocationRecord(name="Mill"))
    productions.add_candidate(
        work, scene, rooms.add_room(work, other, RoomRecord(name="Loft")), CandidateRecord()
    )
    packets.print_packet(work, production, built.printer)
    opened = locations.location(work, other).kept
    locations.save_location(
        work, other, opened.version, opened.record.model_copy(update={"hours": "9 to 5"})
    )
    assert packets.print_packet(work, production, built.printer).changes == (
        "Mill (2): hours: “9 to 5”, not recorded before",
    )


def test_a_packet_that_fails_leaves_nothing(
    work: Work, built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    production, _room = fill(work)

    def full(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(os, "fsync", full)
        with pytest.raises(OSError, match="No space left"):
            packets.print_packet(work, production, built.printer)
    assert list((work.settings.data_dir / "packets").glob("*")) == []
    assert packets.print_packet(work, production, built.printer).revision == 1


def test_nobody_waits_while_a_packet_is_printed(
    settings: Settings, built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_work(settings, Who(1, "Ada", "", "owner")) as work:
        production, room = fill(work)
    assess, setting = assessing.assessed, built.make
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

    def built_slowly(*arguments: Any) -> Any:
        if "setting" not in steps:
            meanwhile("setting")
        return setting(*arguments)

    monkeypatch.setattr(assessing, "assessed", assessed)
    printer = packets.Printer(printing.findings, built_slowly)
    with open_work(settings) as work:
        printed = packets.print_packet(work, production, printer)
    assert steps == ["working out", "setting"]
    assert printed.revision == 1


def test_names_and_numbers_of_any_script_keep_their_order_in_what_changed(
    work: Work, built: Built
) -> None:
    """property: read back from paper, a room stands before its place whatever either is written in,
    and a number's groups as one dials them.
    """
    place = locations.add_location(work, LocationRecord(name="Alfama"))
    room = rooms.add_room(work, place, RoomRecord(name="חדר האורחים"))
    production = productions.add_production(work, ProductionRecord(title="Film"))
    scene = productions.add_scene(work, production, SceneRecord(name="مقابلة"))
    productions.add_candidate(work, scene, room, CandidateRecord())
    packets.print_packet(work, production, built.printer)
    opened = rooms.room(work, room).kept
    rooms.save_room(work, room, opened.version, opened.record.model_copy(update={"width_m": 4.0}))
    there = locations.location(work, place).kept
    number = "+972 3 555 0101"
    call = there.record.model_copy(update={"hours": f"להתקשר {number}"})
    locations.save_location(work, place, there.version, call)
    changes = packets.print_packet(work, production, built.printer).changes
    width, hours = (next(c for c in changes if what in c) for what in ("width", "hours"))
    for line, words in ((width, ("חדר האורחים", "Alfama", "width")), (hours, ("Alfama", number))):
        # what a reader sees from left to right, by python-bidi, in a sentence of ours
        seen = get_display(bidi.numbers_isolated(line), base_dir="L")
        places = [seen.index(word[::-1] if "א" <= word[0] <= "ת" else word) for word in words]
        assert places == sorted(places), seen
        read = " ".join(set_texts(line).pages[0].extract_text().split())
        assert [word in read for word in words] == [True] * len(words), read
