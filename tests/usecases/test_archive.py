"""Everything out of one kind of database and into the other; nothing that is damaged or half comes
in.
"""

from __future__ import annotations

import io
import json
import shutil
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from sqlalchemy import select

from scout.errors import Damaged, NotFound, Refused
from scout.records import (
    CandidateRecord,
    LocationRecord,
    Measurement,
    NoteRecord,
    Person,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
)
from scout.settings import Settings
from scout.store import engine as databases
from scout.store import models
from scout.store.files import hash_of
from scout.store.models import Base
from scout.usecases import (
    archive,
    locations,
    notes,
    people,
    photos,
    productions,
    rooms,
)
from scout.usecases.work import Who, Work, open_work

ROOM = RoomRecord.read(
    {
        "name": "Dachboden 🎬",
        "width_m": 4.1,
        "length_m": 5,
        "height_m": 2.5,
        "facing": {"wall": "A", "bearing_deg": 0.1, "read_on": "2026-05-03"},
        "windows": [
            {
                "id": "W1",
                "wall": "A",
                "offset_m": 0.5,
                "width_m": 1.0,
                "skyline": [{"bearing_deg": 1, "elevation_deg": 2.5}],
            }
        ],
        "way_in": {"carry_m": 40, "door_width_m": 0.8},
        "doors": [{"id": "D1", "wall": "B", "keep_free": True}],
        "practicals": [{"id": "L1", "at_m": [1, 1, 2], "can_switch_off": True}],
        "furniture": [{"id": "F1", "at_m": [1, 1], "movable": False}],
        "noise": [{"id": "N1", "bands_db": {"63": 45}, "conditions": "a\nb\u2028c"}],
    }
)


def picture(colour: str = "red") -> io.BytesIO:
    held = io.BytesIO()
    Image.new("RGB", (40, 30), colour).save(held, "JPEG")
    return io.BytesIO(held.getvalue())


def fill(work: Work) -> None:
    """One of each kind of row, some of it in the bin, and two originals."""
    work.who = Who(
        people.add_person(work, Person(email="ada@example.org", name="Ada"), "correct horse"),
        "Ada",
        "ada@example.org",
    )
    place = locations.add_location(
        work, LocationRecord(name="Mühle", latitude_deg=48.1, longitude_deg=11.6, fee_amount=0.1)
    )
    room = rooms.add_room(work, place, ROOM)
    rooms.add_measurement(work, room, Measurement(path="width_m", by="Ada", how="tape"))
    notes.add_note(
        work, "room", room, NoteRecord(text="“Fenster klemmt” – ja\r\n", audience="private")
    )
    photos.add_photo(work, "room", room, picture(), "a.jpg")
    gone = photos.add_photo(work, "location", place, picture("blue"), "b.jpg")
    photos.bin_photo(work, gone.id, 1)
    production = productions.add_production(
        work,
        ProductionRecord.read(
            {"title": "Kurzfilm", "shoot_dates": ["2026-06-21"], "kit": {"ratio": 4}}
        ),
    )
    scene = productions.add_scene(
        work,
        production,
        SceneRecord.read(
            {"name": "1", "needs": [{"topic": "noise", "strength": "must", "laeq_db": 30}]}
        ),
    )
    productions.add_candidate(work, scene, room, CandidateRecord(state="reserve", reason="laut"))


def rows(work: Work) -> dict[str, list[dict[str, Any]]]:
    """Every row of every table, as values."""
    return {
        table.name: [
            dict(row)
            for row in work.db.execute(
                select(table).order_by(*table.primary_key.columns)
            ).mappings()
        ]
        for table in Base.metadata.sorted_tables
    }


@pytest.fixture
def other(tmp_path: Path, sqlite_template: Path) -> Iterator[Settings]:
    """Another empty installation, of the embedded kind."""
    made = Settings(data_dir=tmp_path / "other")
    made.data_dir.mkdir()
    shutil.copy(sqlite_template, made.data_dir / "sillbook.db")
    yield made
    databases.engine(made.url).dispose()


@pytest.fixture
def kept(other: Settings, tmp_path: Path) -> Path:
    """An archive of everything, written from the embedded database."""
    with open_work(other) as work:
        fill(work)
    with open_work(other, reading=True) as work:
        assert archive.export_all(work, tmp_path / "all.zip") == 2
    return tmp_path / "all.zip"


def test_from_sqlite_into_either_and_back_again_nothing_is_lost(
    kept: Path, other: Settings, settings: Settings, tmp_path: Path
) -> None:
    told: list[tuple[int, int]] = []
    with open_work(settings) as work:
        assert archive.import_all(work, kept, lambda done, total: told.append((done, total))) == 2
    assert told == [(1, 2), (2, 2)]
    with open_work(other, reading=True) as before, open_work(settings, reading=True) as after:
        assert rows(before) == rows(after)
        filled = {
            "person",
            "change",
            "location",
            "room",
            "window",
            "practical",
            "furniture",
            "noise_reading",
            "measurement",
            "note",
            "photo",
            "production",
            "scene",
        }
        assert all(rows(after)[name] for name in filled)
        assert list(before.files.all()) == list(after.files.all())
        assert all(hash_of(after.files.get(digest)) == digest for digest in after.files.all())
        archive.export_all(after, tmp_path / "again.zip")
    assert members(kept) == members(
        tmp_path / "again.zip"
    )  # property: written again, it is the same archive
    with open_work(settings) as work:  # the next key is free, on PostgreSQL too
        assert locations.add_location(work, LocationRecord(name="Next")) == 2
        assert rooms.room(work, 1).kept.record.doors == ()  # none at all stays none at all


def members(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as held:
        return {name: held.read(name) for name in held.namelist()}


def rewritten(path: Path, change: dict[str, bytes | None]) -> Path:
    """The archive with members changed, or left out where None."""
    held = members(path)
    out = path.with_name("changed.zip")
    with zipfile.ZipFile(out, "w") as made:
        for name, body in {**held, **change}.items():
            if body is not None:
                made.writestr(name, body)
    return out


def test_an_archive_that_is_not_what_was_written_comes_in_not_at_all(
    kept: Path, embedded: Settings
) -> None:
    held = members(kept)
    original = next(name for name in held if name.startswith("originals/"))
    manifest = json.loads(held["manifest.json"])
    fewer = json.dumps({**manifest, "originals": manifest["originals"][:1]}).encode()
    no_rooms = json.dumps(
        {
            **manifest,
            "sha256": {k: v for k, v in manifest["sha256"].items() if k != "rows/room.jsonl"},
        }
    ).encode()
    damages: list[dict[str, bytes | None]] = [
        {original: b"other bytes"},
        {original: None},
        {"rows/room.jsonl": held["rows/room.jsonl"] + b"\n"},
        {"rows/note.jsonl": None},
        {"manifest.json": b"{"},
        {"manifest.json": b"[]"},
        {"manifest.json": None},
        {"manifest.json": fewer},
        {"manifest.json": no_rooms},
    ]
    for change in damages:
        with open_work(embedded) as work, pytest.raises(Damaged):
            archive.import_all(work, rewritten(kept, change))
        with open_work(embedded, reading=True) as work:
            assert not any(rows(work).values()), change
            assert list(work.files.all()) == [], change


def test_bits_that_flipped_on_the_way_are_found(kept: Path, embedded: Settings) -> None:
    data = bytearray(kept.read_bytes())
    with zipfile.ZipFile(kept) as held:
        at = [
            info.header_offset + 120
            for info in held.infolist()
            if info.filename.startswith("originals/")
        ]
    for place in at:
        data[place] ^= 0x55
    bad = kept.with_name("bits.zip")
    bad.write_bytes(data)
    with open_work(embedded) as work, pytest.raises(Damaged):
        archive.import_all(work, bad)
    with open_work(embedded, reading=True) as work:
        assert not any(rows(work).values())
        assert list(work.files.all()) == []


def test_what_is_no_archive_is_refused(kept: Path, embedded: Settings, tmp_path: Path) -> None:
    (tmp_path / "letter.zip").write_bytes(b"PK\3\4 and then nothing")
    (tmp_path / "cut.zip").write_bytes(kept.read_bytes()[:-200])
    other_form = rewritten(
        kept,
        {
            "manifest.json": json.dumps(
                {"format": "other/1", "revision": None, "sha256": {}, "originals": []}
            ).encode()
        },
    )
    with open_work(embedded) as work:
        for name in ("letter.zip", "cut.zip"):
            with pytest.raises(Refused, match="is not an archive"):
                archive.import_all(work, tmp_path / name)
        with pytest.raises(Refused, match="other/1"):
            archive.import_all(work, other_form)


def test_an_archive_of_other_tables_is_refused(kept: Path, embedded: Settings) -> None:
    manifest = {**json.loads(members(kept)["manifest.json"]), "revision": "9999"}
    with open_work(embedded) as work, pytest.raises(Refused, match="revision 9999"):
        archive.import_all(work, rewritten(kept, {"manifest.json": json.dumps(manifest).encode()}))


def test_into_a_database_that_holds_something_it_is_refused(kept: Path, other: Settings) -> None:
    with open_work(other, reading=True) as work:
        before = rows(work)
    with open_work(other) as work, pytest.raises(Refused, match="empty database only"):
        archive.import_all(work, kept)
    with open_work(other, reading=True) as work:
        assert rows(work) == before
        assert len(list(work.files.all())) == 2


def test_an_original_that_is_not_sound_stops_the_export_and_leaves_no_archive(
    other: Settings, kept: Path, tmp_path: Path
) -> None:
    with open_work(other) as work:
        row = work.db.scalars(select(models.Photo)).first()
        assert row is not None
        work.files.get(row.sha256).write_bytes(b"rot")
        with pytest.raises(Damaged, match=row.sha256[:12]):
            archive.export_all(work, tmp_path / "out" / "bad.zip")
    assert list((tmp_path / "out").iterdir()) == []


def test_an_original_without_a_row_stays_behind(
    other: Settings, kept: Path, tmp_path: Path
) -> None:
    with open_work(other) as work:
        work.files.put(io.BytesIO(b"nobody's"), most_bytes=100)
        assert archive.export_all(work, tmp_path / "named.zip") == 2
    with pytest.raises(NotFound), open_work(other) as work:
        work.files.get("0" * 64)
