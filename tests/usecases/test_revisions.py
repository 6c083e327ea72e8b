"""What a print that is kept rests on: nothing that a page may show can change without its name
changing, and to look for it loads nothing that prints.
"""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import JSON, Boolean, Date, DateTime, Float, Integer, event, insert, select, update
from sqlalchemy.exc import IntegrityError

from scout.errors import NotFound
from scout.packet.book import PacketResult
from scout.packet.swap import Swap, swap_of
from scout.pages.packet.printing import PRINTER
from scout.records import (
    CandidateRecord,
    LocationRecord,
    NoteRecord,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
)
from scout.store import models
from scout.store.models.base import UtcDateTime
from scout.usecases import locations, notes, packets, productions, revisions, rooms
from scout.usecases.revisions import APART, Standing, Wanted, facts_of, kept_print, program
from scout.usecases.work import Work
from tests.packet.test_markers import fill

TABLES = models.Base.metadata.tables


@pytest.fixture
def production(work: Work) -> int:
    """A production with a row in every table that a packet may rest on."""
    key = fill(work)
    candidate = work.db.scalars(select(models.Candidate)).first()
    assert candidate is not None
    owners = {
        "production_id": key,
        "scene_id": candidate.scene_id,
        "candidate_id": candidate.id,
        "room_id": candidate.room_id,
        "location_id": candidate.room.location_id,
    }
    for table in models.Base.metadata.sorted_tables:
        if table.name in APART or work.db.execute(select(table)).first() is not None:
            continue
        needed = [
            one
            for one in table.columns
            if not one.nullable and (one.foreign_keys or not one.primary_key)
        ]
        made = {one.name: owners.get(one.name, other(one, None)) for one in needed}
        work.db.execute(insert(table).values(made))
    work.db.commit()
    return key


@contextmanager
def tables_read(work: Work) -> Iterator[set[str]]:
    """The tables that the database is asked for meanwhile."""
    found: set[str] = set()

    def asked(*arguments: Any) -> None:
        found.update(re.findall(r'(?:FROM|JOIN)\s+"?(\w+)', arguments[2], re.I))

    engine = work.db.get_bind()
    event.listen(engine, "before_cursor_execute", asked)
    try:
        yield found
    finally:
        event.remove(engine, "before_cursor_execute", asked)


def test_property_every_table_that_printing_reads_is_in_the_key(work: Work) -> None:
    production = fill(work)
    work.commit()  # the words of its rooms are written now, and not with the first print
    with tables_read(work) as read:
        for edition in ("whole", "production", "owner", "form", "figures"):
            packets.print_packet(
                work,
                production,
                PRINTER,
                Wanted(edition, date(2026, 6, 21) if edition == "owner" else None),
            )
    with tables_read(work) as named:
        facts_of(work, production)
    # of those apart it reads its own earlier prints and whether the data is being moved, and writes
    # the log
    assert read & set(TABLES) - {"packet", "change", "move"} <= named
    assert set(TABLES) - named == APART


def other(column: Any, value: Any) -> Any:
    """A value that the column does not hold."""
    if isinstance(column.type, Boolean):
        return not value
    if isinstance(column.type, JSON):
        return [] if value else None if value == [] else {"a": 1}
    if isinstance(column.type, (Integer, Float)):
        return (value or 0) + 1
    if isinstance(column.type, Date):
        return date(2031, 1, 1)
    if isinstance(column.type, (DateTime, UtcDateTime)):
        return datetime(2031, 1, 1, tzinfo=UTC)
    longest = getattr(column.type, "length", None)  # which PostgreSQL holds to
    text = f"{value or ''}x"
    return (
        text
        if longest is None or len(text) <= longest
        else f"{'y' if value[:1] == 'x' else 'x'}{value[1:]}"
    )


def test_property_every_fact_is_in_the_key(work: Work, production: int) -> None:
    missing, tried = [], 0
    for name in sorted(set(TABLES) - APART):
        table = TABLES[name]
        (key,) = table.primary_key
        row = work.db.execute(select(table).limit(1)).mappings().first()
        assert row is not None, f"no {name} to try"
        for column in table.columns:
            signed = column.name in revisions.SIGNED - revisions.SAID.get(name, frozenset())
            if signed or column.primary_key or column.foreign_keys:
                continue
            before = facts_of(work, production)
            with work.db.begin_nested() as point:
                try:
                    changed = {column.name: other(column, row[column.name])}
                    work.db.execute(update(table).values(changed).where(key == row[key.name]))
                except IntegrityError:  # a border of the table: the other way
                    point.rollback()
                    continue
                tried += 1
                work.db.expire_all()
                if facts_of(work, production) == before:
                    missing.append(f"{name}.{column.name}")
                point.rollback()
    assert missing == []
    assert tried > 150


def test_what_no_page_shows_is_no_change(work: Work, production: int) -> None:
    scene = productions.production(work, production).scenes[0]
    row = work.db.scalars(select(models.Candidate)).first()
    assert row is not None
    before = facts_of(work, production)
    notes.add_note(work, "room", row.room_id, NoteRecord(text="drinks", audience="private"))
    place = row.room.location_id
    rooms.add_room(work, place, RoomRecord(name="Not proposed"))
    opened = productions.scene(work, scene.id).kept
    productions.save_scene(work, scene.id, opened.version, opened.record)
    assert facts_of(work, production) == before
    notes.add_note(work, "room", row.room_id, NoteRecord(text="ring twice"))
    assert facts_of(work, production) != before
    with pytest.raises(NotFound):
        kept_print(work, production + 99, Wanted())


def test_a_program_of_other_words_or_libraries_is_another(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def named() -> str:
        program.cache_clear()
        return program(tmp_path)

    for path in ("calc/sun.py", "web/pages.py"):
        (tmp_path / path).parent.mkdir()
        (tmp_path / path).write_text("a = 1\n")
    seen = [named()]
    (tmp_path / "web/pages.py").write_text("a = 2\n")
    assert named() == seen[0], "no page of the packet is the web's"
    (tmp_path / "calc/sun.py").write_text("a = 2\n")
    seen.append(named())
    (tmp_path / "calc/table.csv").write_text("1\n")
    seen.append(named())
    monkeypatch.setattr(revisions, "_libraries", lambda: ["click"])
    seen.append(named())
    monkeypatch.setattr("importlib.metadata.version", lambda _name: "999")
    seen.append(named())
    program.cache_clear()
    assert len(set(seen)) == len(seen)


def test_the_dates_that_undated_scenes_are_judged_for_are_facts(work: Work) -> None:
    # by hand: the 21st is the first date to come up to itself; after it the 28th is
    production = productions.add_production(
        work,
        ProductionRecord.read({"title": "T", "shoot_dates": ["2026-06-21", "2026-06-28"]}),
    )
    scene = productions.add_scene(work, production, SceneRecord.read({"name": "S"}))
    place = locations.add_location(work, LocationRecord(name="Mill"))
    room = rooms.add_room(work, place, RoomRecord(name="R"))
    productions.add_candidate(work, scene, room, CandidateRecord())

    def on(day: int) -> str:
        work.now = lambda: datetime(2026, 6, day, 12, tzinfo=UTC)
        return facts_of(work, production)

    assert on(20) == on(21) != on(22) == on(28)
    setup = work.db.scalars(select(models.Setup)).one()
    setup.on = date(2026, 6, 28)
    work.db.commit()
    assert on(21) == on(22), "a date that somebody chose is not another for being nearer"


@pytest.fixture
def printer() -> packets.Printer:
    """Sets no page: what each shows is the production's title and a page that never changes."""

    def make(work: Work, key: int, *_: Any) -> tuple[bytes, PacketResult]:
        title = productions.production(work, key).kept.record.title
        heading: packets.Heading = _[1]
        swap = swap_of(heading.known_pages, (title, "same")) if heading.known_pages else None
        body = f"%PDF {title} {heading.address}".encode()
        return body, PacketResult(2, len(body), (), (), (title, "same"), swap)

    return packets.Printer(lambda *_: {}, make)


def rename(work: Work, production: int, title: str) -> None:
    row = productions.production(work, production).kept
    record = row.record.model_copy(update={"title": title})
    productions.save_production(work, production, row.version, record)


def test_a_print_says_which_pages_of_the_last_to_swap_and_paper_whether_it_is_the_last(
    work: Work, printer: packets.Printer
) -> None:
    work.settings = replace(work.settings, public_url="https://scout.example.org")
    production = productions.add_production(work, ProductionRecord(title="A"))
    first = packets.print_packet(work, production, printer)
    assert first.swap is None
    assert packets.print_packet(work, production, printer).again
    token = revisions.code_of(work, production)
    body = revisions.packet_file(work, first.id)[0].read_text()
    which = "whole__a4_metric"
    assert body.endswith(f"https://scout.example.org/r/{token}/1/{which}")
    assert revisions.standing(work, token, 1, which) == Standing(1, 1, Swap((), ()))
    letter = packets.print_packet(work, production, printer, Wanted(paper="letter"))
    rename(work, production, "B")
    second = packets.print_packet(work, production, printer)
    assert second.swap == {"since": 1, "take_out": (1,), "put_in": (1,)}
    work.db.expire_all()
    assert packets.print_packet(work, production, printer).swap == {
        "since": 1,
        "take_out": [1],
        "put_in": [1],
    }
    assert revisions.standing(work, token, 1, which) == Standing(1, 2, Swap((1,), (1,)))
    assert revisions.standing(work, token, 2, which) == Standing(2, 2, Swap((), ()))
    assert letter.revision == 1
    assert revisions.standing(work, token, 1, "whole__letter_metric") == Standing(1, 2, None)
    for wrong in ((token[:-1], 1, which), (token, 3, which), (token, 1, "whole"), ("", 1, which)):
        with pytest.raises(NotFound):
            revisions.standing(work, *wrong)
    # another code: the paper's leads nowhere, and the next print carries the new one
    assert revisions.code_of(work, production, anew=True) != token
    with pytest.raises(NotFound):
        revisions.standing(work, token, 2, which)
    assert packets.print_packet(work, production, printer).revision == 3


def test_looking_for_what_is_kept_loads_nothing_that_prints() -> None:
    code = (
        "import sys, scout.cli.packet_command, scout.usecases.revisions\n"
        "print(sorted({name.partition('.')[0] for name in sys.modules}))"
    )
    loaded = subprocess.run(
        [sys.executable, "-c", code], check=True, capture_output=True, text=True
    ).stdout
    for name in ("scipy", "ortools", "av", "reportlab", "PIL", "uharfbuzz", "alembic"):
        assert f"'{name}'" not in loaded, name
    assert "'sqlalchemy'" in loaded
