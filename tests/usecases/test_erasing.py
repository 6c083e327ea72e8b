"""Somebody leaves: a name, an address and a number planted in every text are found nowhere afterwards,
and what they recorded stays.

What may be asked for, and what must go: Regulation (EU) 2016/679, articles 15, 17 and 20, from memory.
"""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from collections.abc import Iterator
from typing import Any

import pytest
from reportlab.pdfgen.canvas import Canvas
from sqlalchemy import JSON, select, update

from scout.errors import NotAllowed, NotFound, Refused
from scout.media.pdf_pages import whole_text
from scout.packet.withdrawn import withdrawn
from scout.records import (
    LocationRecord,
    Named,
    NoteRecord,
    Person,
    ProductionRecord,
    RoomRecord,
    TokenRecord,
)
from scout.settings import Settings
from scout.store import models
from scout.store.files import draft
from scout.store.queries import named as queries
from scout.usecases import erasing, locations, notes, people, personal, productions, rooms, tokens
from scout.usecases.checking import check
from scout.usecases.revisions import file_of
from scout.usecases.work import Who, Work, open_work
from tests.web.conftest import quick_hashes

__all__ = ["quick_hashes"]  # argon2 with little work

NAME, EMAIL, PHONE = "Zoë Quillmark", "zq@quillmark.example", "+44 7700 900123"  # invented
ZOE = Named(name=NAME, email=EMAIL)
PASSWORD = "correct horse battery"  # invented
ENTRY = {"name": NAME, "role": "gaffer", "phone": PHONE}
TOLD = f"asked {NAME.upper()}, {EMAIL} or 07700.900123 {PHONE.replace(' ', '')}"


@pytest.fixture
def alone(embedded: Settings) -> Iterator[Work]:
    with open_work(embedded, Who(1, "Ada Example", "ada@example.org", "owner")) as work:
        yield work


def fill(work: Work) -> int:
    """Two owners, one of whom recorded a room and is on every list; then every text names her."""
    for name, email in (("Ada Example", "ada@example.org"), (NAME, EMAIL)):
        people.add_person(work, Person(name=name, email=email), PASSWORD, role="owner")
    ada, work.who = work.who, people.log_in(work, EMAIL, PASSWORD)
    assert work.who is not None
    people.begin_session(work, work.who.id, "Firefox")
    tokens.make_token(work, TokenRecord(name="a script"))
    people.may_try(work, EMAIL, "10.0.0.1", None)
    contact = {**ENTRY, "email": EMAIL, "note": "rings twice"}
    other = {"name": "Ines", "phone": "0163 222"}
    facts = {"name": "Mill", "hazards": TOLD, "contacts": [contact, other]}  # the trail's after
    place = locations.add_location(work, LocationRecord.read(facts))
    room = rooms.add_room(work, place, RoomRecord.read({"name": "Loft", "width_m": 4.25}))
    notes.add_note(work, "room", room, NoteRecord(text="mine", audience="private"))
    notes.add_note(work, "room", room, NoteRecord(text=TOLD))
    note = work.db.scalars(select(models.Note).order_by(models.Note.id.desc())).first()
    assert note is not None
    notes.save_note(work, note.id, note.version, NoteRecord(text="for all"))  # its before
    job = productions.add_production(work, ProductionRecord.read({"title": "F", "crew": [ENTRY]}))
    printed(work, job, NAME)
    printed(work, job, "Nobody at all")
    work.who = ada
    plant(work)
    return room


def printed(work: Work, job: int, told: str) -> None:
    """A print that says something."""
    held = io.BytesIO()
    canvas = Canvas(held)
    canvas.drawString(72, 700, told)
    canvas.save()
    sha256 = hashlib.sha256(held.getvalue()).hexdigest()
    row = models.Packet(
        production_id=job,
        revision=work.db.query(models.Packet).count() + 1,
        made_at=work.now(),
        paper="a4",
        pages=1,
        sha256=sha256,
        changes=[TOLD],
        held={"Production": {"crew": {NAME: ENTRY}}},
    )
    work.add(row, f"printed for {NAME}")
    part = draft(work.place.scratch, lambda file: (file.write(held.getvalue()), None)[1])
    work.place.take(part, file_of(row.id), sha256)
    work.commit()


def plant(work: Work) -> None:
    """Put the words into every text long enough to hold them that is no name of its own."""
    for table in queries.tables():
        keys = list(table.primary_key.columns)
        for column in queries.texts_of(table):
            length = getattr(column.type, "length", None)
            if table.name == "person" or column.name in queries.SIGNED or column in keys:
                continue
            if isinstance(column.type, JSON) or (length is not None and length < 200):
                continue
            for row in work.db.execute(select(*keys)).all() if not column.unique else ():
                marked = f"{TOLD} {row[0]}"
                of = [key == value for key, value in zip(keys, row, strict=True)]
                work.db.execute(update(table).where(*of).values({column.name: marked}))
    work.db.expire_all()
    work.db.commit()


def every_text(work: Work) -> str:
    """All texts of all rows, records written as JSON."""
    told = []
    for table in queries.tables():
        for row in work.db.execute(select(table)).all():
            told += [
                json.dumps(value, ensure_ascii=False) if isinstance(value, dict | list) else value
                for value in row
                if isinstance(value, str | dict | list)
            ]
    return "\n".join(told)


def bare(entries: list[Any] | None) -> list[dict[str, Any]]:
    return [{key: value for key, value in one.items() if value} for one in entries or ()]


MARKS = ("quillmark", "zoë", "07700", "447700", "7700 900123", "7700900123", "rings twice", "mine")


def test_who_is_erased_is_found_nowhere(settings: Settings) -> None:
    with open_work(settings, Who(1, "Ada Example", "ada@example.org", "owner")) as work:
        room = fill(work)
        before = every_text(work).lower()
        assert all(mark in before for mark in MARKS if mark != "7700 900123"), "nothing was planted"
        there = erasing.found(work, ZOE)
        assert {"location", "production", "change", "note", "room"} <= set(there.rows)
        work.db.rollback()
        done = erasing.erase(work, ZOE, withdrawn)
        assert (done.private_notes, done.prints, done.wiped) == (1, 1, True)
    with open_work(settings, reading=True) as work:
        after = every_text(work).lower()
        assert [mark for mark in MARKS if mark in after] == []
        # what was recorded stays, and so does everybody else
        kept = work.db.get(models.Room, room)
        assert kept is not None
        assert (kept.width_m, kept.created_by) == (4.25, "somebody who left")
        place = work.db.scalars(select(models.Location)).one()
        assert bare(place.contacts) == [
            {"name": "somebody who left", "role": "gaffer"},
            {"name": "Ines", "phone": "0163 222"},
        ]
        first, second = work.db.scalars(select(models.Packet).order_by(models.Packet.id))
        taken, other = (
            whole_text(work.place.held(file_of(row.id)).local()) for row in (first, second)
        )
        assert "This print was taken back" in taken
        assert "Nobody at all" in other
        assert check(work).faults == ()
        assert people.log_in(work, EMAIL, PASSWORD) is None
    if settings.is_sqlite:  # nor in the bytes of what was deleted or written over
        body = b"".join(
            path.read_bytes() for path in settings.data_dir.glob("sillbook.db*")
        ).lower()
        assert b"quillmark" not in body
        assert b"900123" not in body


def test_nobody_else_is_touched_by_a_name_of_one_word(alone: Work) -> None:
    work = alone
    people.add_person(work, Person(name="Ada", email="ada@example.org"), PASSWORD)
    people.add_person(work, Person(name="Rose", email="rose@example.org"), PASSWORD, role="scout")
    facts: dict[str, Any] = {"name": "Rose Hall", "contacts": [{"name": "rose"}]}
    locations.add_location(work, LocationRecord.read(facts))
    rose = Named(name="Rose", email="rose@example.org")
    assert erasing.found(work, rose).unsure["location"] == 1
    erasing.erase(work, rose, withdrawn)
    row = work.db.scalars(select(models.Location)).one()
    assert row.name == "Rose Hall"
    assert bare(row.contacts) == [{"name": "somebody who left"}]


def test_somebody_without_an_account_is_erased_by_name_and_number(alone: Work) -> None:
    work = alone
    shared = {"name": "Office", "phone": "0163 222 333"}
    facts = {"name": "Mill", "contacts": [{**shared, "name": "Ines Oak"}, shared]}
    facts["hazards"] = "ask ines  oak"
    locations.add_location(work, LocationRecord.read(facts))
    erasing.erase(work, Named(name="Ines Oak"), withdrawn)
    row = work.db.scalars(select(models.Location)).one()
    # a number that somebody else has too is theirs
    assert bare(row.contacts) == [{"name": "somebody who left"}, shared]
    assert row.hazards == "ask somebody who left"


def test_who_may_log_in_is_not_erased_by_name_alone(alone: Work) -> None:
    work = alone
    people.add_person(work, Person(name=NAME, email=EMAIL), PASSWORD)
    with pytest.raises(Refused) as refused:
        erasing.erase(work, Named(name=NAME.upper()), withdrawn)
    assert refused.value.path == "name"


def test_the_last_owner_stays(alone: Work) -> None:
    work = alone
    people.add_person(work, Person(name=NAME, email=EMAIL), PASSWORD)
    with pytest.raises(Refused):
        erasing.erase(work, ZOE, withdrawn)
    assert people.log_in(work, EMAIL, PASSWORD) is not None


def test_only_an_owner_erases_others_and_everybody_themselves(embedded: Settings) -> None:
    settings = embedded
    with open_work(settings) as work:
        people.add_person(work, Person(name="Ada", email="ada@example.org"), PASSWORD)
        key = people.add_person(work, Person(name=NAME, email=EMAIL), PASSWORD, role="crew")
        place = locations.add_location(work, LocationRecord.read({"name": "Mill"}))
    with open_work(settings, Who(key, NAME, EMAIL, "crew")) as work:
        notes.add_note(work, "location", place, NoteRecord(text="dry"))
        with pytest.raises(NotAllowed):
            erasing.erase(work, Named(name="Ada", email="ada@example.org"), withdrawn)
        work.db.rollback()
        erasing.erase(work, ZOE, withdrawn, own=True)
    with open_work(settings, reading=True) as work:
        assert "quillmark" not in every_text(work).lower()
        assert [one.name for one in people.everybody(work)] == ["Ada"]
        assert work.db.scalars(select(models.Note.text)).all() == ["dry"]
        with pytest.raises(NotFound):
            people.called(work, EMAIL)


def test_a_person_takes_along_what_is_kept_of_them(embedded: Settings) -> None:
    settings = embedded
    with open_work(settings, Who(1, "Ada Example", "ada@example.org", "owner")) as work:
        fill(work)
        key = work.db.scalar(select(models.Person.id).where(models.Person.email == EMAIL)) or 0
        secrets = [
            *work.db.scalars(select(models.Person.password_hash)),
            *work.db.scalars(select(models.Login.token_sha256)),
            *work.db.scalars(select(models.Token.token_sha256)),
        ]
    for role in ("owner", "crew"):
        with open_work(settings, Who(key, NAME, EMAIL, role), reading=True) as work:
            spool = io.BytesIO()
            personal.write_file(work, ZOE, spool)
        with zipfile.ZipFile(spool) as archive:
            text = archive.read("person.json").decode()
            assert archive.namelist() == ["README.txt", "person.json"]
        told = json.loads(text)
        assert told["account"]["email"] == EMAIL
        assert len(told["sessions"]) == len(told["tokens"]) == 1
        assert len(told["notes"]) == 2
        assert {one["kind"] for one in told["changes"]} >= {
            "location",
            "room",
            "note",
            "production",
        }
        assert told["signed"]["room"] == [{"id": 1, "as": ["created_by", "changed_by"]}]
        lists = {one["list"]: one["entry"] for one in told["contacts_and_crew"]}
        assert lists["crew"]["phone"] == PHONE
        # what is noted of a contact is the producer's: the table of paper
        assert ("note" in lists["contacts"]) is (role == "owner")
        assert [one for one in secrets if one in text] == []
