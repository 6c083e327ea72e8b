"""A marker in every text that is kept: which of them stand in the bytes of which edition.

Who may read what is common practice among crews: fees and what is noted of a contact are the
producer's, whoever lends a place sees neither the crew nor its talk.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from datetime import date
from typing import Any

import pikepdf
import pytest
from pydantic import BaseModel
from pypdf import PdfReader
from sqlalchemy import String, select
from sqlalchemy.orm import DeclarativeBase

from scout.packet.names import EDITION_READERS, EDITIONS, EditionName
from scout.pages.packet.printing import PRINTER
from scout.records import (
    CandidateRecord,
    GateRecord,
    LocationRecord,
    NoteRecord,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
)
from scout.records.kept import Contact, CrewMember, Overlay
from scout.records.sounds import NoiseWindowRecord
from scout.settings import Settings
from scout.store import models
from scout.usecases import (
    gates,
    locations,
    noise_windows,
    notes,
    packets,
    photos,
    productions,
    revisions,
    rooms,
)
from scout.usecases.work import Who, Work, open_work
from tests.packet.invented import jpeg

EVERYBODY, CREW = {"crew", "production", "owner"}, {"crew", "production"}
PRODUCER: set[str] = {"production"}
NOBODY: set[str] = set()
# Every column that holds a text somebody types, with its readers.
COLUMNS: dict[str, set[str]] = {
    "calendar.person": NOBODY,
    "printing.asked_by": NOBODY,
    "printing.because": NOBODY,
    "candidate.reason": CREW,
    "change.by": NOBODY,
    "change.words": NOBODY,
    "decision.by": NOBODY,
    "decision.why": NOBODY,
    "gate_code.label": NOBODY,
    "location.address": EVERYBODY,
    "location.emergency_care": EVERYBODY,
    "location.fee_note": PRODUCER,
    "location.hazards": EVERYBODY,
    "location.holding": EVERYBODY,
    "location.hours": EVERYBODY,
    "location.house_rules": EVERYBODY,
    "location.load_in": EVERYBODY,
    "location.name": EVERYBODY,
    "location.parking": EVERYBODY,
    "location.permits": EVERYBODY,
    "location.restrooms": EVERYBODY,
    "invitation.email": NOBODY,
    "invitation.name": NOBODY,
    "link.name": NOBODY,
    "login.agent": NOBODY,
    "measurement.accuracy": CREW,
    "measurement.by": CREW,
    "measurement.how": CREW,
    "measurement.path": CREW,
    "noise_reading.conditions": EVERYBODY,  # what the owner is asked to switch off
    "noise_window.what": CREW,
    "note.text": CREW,
    "passkey.name": NOBODY,
    "person.email": NOBODY,
    "token.name": NOBODY,
    "person.name": CREW,  # who prepared a packet, who wrote a note
    "photo.caption": CREW,
    "photo.original_name": CREW,
    "print_template.name": NOBODY,
    "production.client": CREW,
    "production.title": EVERYBODY,
    "recording.because": CREW,
    "recording.calibration_by": CREW,
    "recording.conditions": CREW,
    "recording.original_name": CREW,
    "room.name": EVERYBODY,
    "saved_search.name": NOBODY,
    "scene.heard": CREW,
    "scene.name": EVERYBODY,
    "scene.seen": CREW,
    "setup.note": NOBODY,
}
# Texts inside records that are kept as one piece.
INSIDE: dict[str, set[str]] = {
    "Contact.name": EVERYBODY,
    "Contact.role": EVERYBODY,
    "Contact.phone": EVERYBODY,
    "Contact.email": NOBODY,
    "Contact.note": PRODUCER,
    "Overlay.text": CREW,
    "CrewMember.name": CREW,
    "CrewMember.role": CREW,
    "CrewMember.phone": CREW,
}
# Written by the program, or one of a few words.
NOT_TYPED = {
    "sealed",
    "credential",
    "credential_sha256",
    "public_key",
    "sha256",
    "password_hash",
    "mime",
    "timezone",
    "material",
    "there",
    "made_by",
    "token_sha256",
    "passphrase_hash",
}
BY_WHOM = {"created_by", "changed_by", "binned_by"}
GATE = "Zq4711gate"  # what opens a door, kept sealed: on no paper
SHORTEST = 41  # letters: shorter columns hold codes, labels and times


def typed_columns() -> Iterator[str]:
    bases: list[type[DeclarativeBase]] = [models.Location.__bases__[-1]]
    for mapper in bases[0].registry.mappers:
        for column in mapper.local_table.columns:  # type: ignore[attr-defined]
            kind = column.type
            if not isinstance(kind, String) or column.name in BY_WHOM | NOT_TYPED:
                continue
            if column.table.name == "room_words":  # made of the others, for searching
                continue
            hashed = kind.length == 64
            long_enough = kind.length is None or (kind.length >= SHORTEST and not hashed)
            if long_enough and not column.foreign_keys:
                yield f"{column.table.name}.{column.name}"


def typed_fields(*kinds: type[BaseModel]) -> Iterator[str]:
    for kind in kinds:
        for name, field in kind.model_fields.items():
            if "str" in repr(field.annotation) and "time" not in name:
                yield f"{kind.__name__}.{name}"


def test_every_text_that_is_kept_has_its_readers_named() -> None:
    # property: a new text fails here until somebody says who may read it on paper
    assert set(typed_columns()) == set(COLUMNS)
    assert set(typed_fields(Contact, CrewMember, Overlay)) == set(INSIDE)


LEFT_ALONE = {"measurement.path"}  # names a fact
SEEN_ON_PAPER = {
    "location.hazards",
    "location.house_rules",
    "room.name",
    "scene.seen",
    "note.text",
    "photo.caption",
    "noise_reading.conditions",
    "Contact.phone",
    "CrewMember.phone",
    "Overlay.text",
}


class Markers:
    """Gives out markers, each with the readers it is for."""

    def __init__(self) -> None:
        self.readers: dict[str, set[str]] = {}
        self.of: dict[str, str] = {}

    def new(self, of: str, readers: set[str]) -> str:
        marker = f"Zq{len(self.of):04d}"
        self.readers[marker], self.of[marker] = readers, of
        return marker

    def put_everywhere(self, work: Work) -> None:
        """Every text of every row becomes a marker of its own."""
        for mapper in models.Location.registry.mappers:
            table = mapper.local_table.name  # type: ignore[attr-defined]
            columns = [key.split(".")[1] for key in COLUMNS if key.startswith(f"{table}.")]
            for row in work.db.scalars(select(mapper.class_)):
                for column in columns:
                    key = f"{table}.{column}"
                    if key not in LEFT_ALONE:
                        readers = NOBODY if hidden(row) else COLUMNS[key]
                        setattr(row, column, self.new(key, readers))
                for held, kind in (("contacts", "Contact"), ("crew", "CrewMember")):
                    if hasattr(row, held):
                        setattr(row, held, [self.inside(kind, hidden(row))])
                if isinstance(row, models.Photo):
                    place = {"kind": "words", "x": 0.5, "y": 0.5}
                    row.overlays = [{**place, **self.inside("Overlay", hidden(row))}]
        work.db.commit()

    def inside(self, kind: str, hide: bool) -> dict[str, str]:
        keys = [key for key in INSIDE if key.startswith(f"{kind}.")]
        made = {key.split(".")[1]: self.new(key, NOBODY if hide else INSIDE[key]) for key in keys}
        if "email" in made:  # as an address is written
            made["email"] += "@example.org"
        return made


def hidden(row: Any) -> bool:
    """Whether a row is of nobody's packet: binned, private, taken out, or of a room ruled out."""
    if isinstance(row, models.Room):
        return bool(row.storey == 9)
    if isinstance(row, models.Location):
        return bool(row.steps == 9)
    return (
        getattr(row, "binned_at", None) is not None
        or getattr(row, "audience", "crew") == "private"
        or not getattr(row, "in_packet", True)
        or getattr(row, "state", "") == "ruled_out"
        or any(
            hidden(owner)
            for owner in (getattr(row, "room", None), getattr(row, "location", None))
            if owner is not None
        )
    )


def fill(work: Work) -> int:
    """A production with a room that is chosen and one that is ruled out, and one of everything."""
    scene = SceneRecord.read(
        {
            "name": "s",
            "needs": [{"topic": "budget", "strength": "must", "amount": 4, "currency": "GBP"}],
        }
    )
    production = productions.add_production(
        work,
        ProductionRecord.read(
            {
                "title": "p",
                "shoot_dates": ["2026-06-21"],
                "kit": {"lights": [{"id": "key", "watts": 60}]},
            }
        ),
    )
    scene_id = productions.add_scene(work, production, scene)
    for k, state in enumerate(("first_choice", "ruled_out")):
        facts = {"name": "l", "latitude_deg": 52.0, "longitude_deg": 0.1, "fee_amount": 77.25}
        place = locations.add_location(
            work, LocationRecord.read({**facts, "fee_currency": "GBP", "steps": 9 * k})
        )
        room = rooms.add_room(
            work,
            place,
            RoomRecord.read(
                {
                    "name": "r",
                    "storey": 9 * k,
                    "width_m": 4,
                    "length_m": 5,
                    "height_m": 2.6,
                    "noise": [
                        {"id": "N1", "laeq_db": 41.0, "conditions": "c", "method": "meter_class_1"}
                    ],
                }
            ),
        )
        gates.add(work, place, GateRecord(label="g", code=GATE, note=GATE))
        productions.add_candidate(
            work,
            scene_id,
            room,
            CandidateRecord(state=state, reason="x"),  # type: ignore[arg-type]
        )
        noise_windows.add_noise_window(
            work,
            place,
            NoiseWindowRecord.read({"what": "w", "from_time": "10:00", "until_time": "11:00"}),
        )
        for owner, key in (("room", room), ("location", place)):
            for n in range(3):
                notes.add_note(
                    work, owner, key, NoteRecord(text="n", audience="private" if n == 1 else "crew")
                )
                photos.add_photo(
                    work, owner, key, io.BytesIO(jpeg(colour=f"#{40 + 40 * n:02x}6d4b")), f"{n}.jpg"
                )
    for kind in (models.Note, models.Photo):
        for n, row in enumerate(work.db.scalars(select(kind).order_by(kind.id))):
            if n % 3 == 2:
                row.binned_at = work.now()
            if n % 3 == 1 and isinstance(row, models.Photo):
                row.in_packet = False
    work.db.commit()
    return production


def texts_of(body: bytes) -> str:
    """Everything a PDF says: its pages' text, and each of its objects with its stream opened."""
    parts = [page.extract_text() for page in PdfReader(io.BytesIO(body)).pages]
    parts.append(body.decode("latin-1"))
    with pikepdf.open(io.BytesIO(body)) as pdf:
        assert pdf.check_pdf_syntax() == []
        for one in pdf.objects:
            parts.append(repr(one))
            if isinstance(one, pikepdf.Stream):
                stream = one.read_raw_bytes() if "DCT" in repr(one) else one.read_bytes()
                parts += [stream.decode("latin-1"), stream.decode("utf-16-be", "ignore")]
            elif isinstance(one, pikepdf.Dictionary):
                parts += [str(value) for value in one.values() if isinstance(value, pikepdf.String)]
    return "\n".join(parts)


@pytest.fixture
def marked(embedded: Settings) -> Iterator[tuple[Work, int, Markers]]:
    with open_work(embedded, Who(1, "Ada", "ada@example.org", "owner")) as work:
        yield work, fill(work), Markers()


def told(work: Work, production: int, edition: EditionName) -> str:
    wanted = revisions.Wanted(edition, date(2026, 6, 21) if edition == "day" else None)
    printed = packets.print_packet(work, production, PRINTER, wanted)
    return texts_of(revisions.packet_file(work, printed.id)[0].read_bytes())


def test_no_edition_says_what_its_reader_may_not_know(marked: tuple[Work, int, Markers]) -> None:
    work, production, markers = marked
    markers.put_everywhere(work)
    first = {edition: told(work, production, edition) for edition in EDITIONS}
    check(first, markers)
    for key in SEEN_ON_PAPER:  # the search finds what is there
        assert any(m in first["whole"] for m, of in markers.of.items() if of == key), key
    assert any(
        m in first["production"] for m, of in markers.of.items() if of == "location.fee_note"
    )
    assert "77.25" in first["production"]
    for edition in EDITIONS:
        if edition != "production":
            assert "77.25" not in first[edition], edition
    # what was for the crew and now is private, or binned, or taken out: nor as what it was
    for note in work.db.scalars(select(models.Note)):
        note.audience = "private"
    for photo in work.db.scalars(select(models.Photo)):
        photo.in_packet = False
    gone = {m for m, of in markers.of.items() if of.split(".")[0] in ("note", "photo")}
    for marker in gone:
        markers.readers[marker] = NOBODY
    work.db.commit()
    markers.put_everywhere(work)  # everything else changed too: the list of changes is full
    again = {edition: told(work, production, edition) for edition in EDITIONS}
    check(again, markers)
    assert "What changed since" in again["whole"]


def check(said: dict[EditionName, str], markers: Markers) -> None:
    for edition, text in said.items():
        reader = EDITION_READERS[edition]
        leaked = {
            markers.of[marker]
            for marker, readers in markers.readers.items()
            if reader not in readers and marker in text
        }
        assert leaked == set(), edition
        assert GATE not in text, edition
