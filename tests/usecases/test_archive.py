"""Everything out of one kind of database and into the other; nothing that is damaged or half comes
in.
"""

from __future__ import annotations

import io
import json
import shutil
import tracemalloc
import zipfile
from collections.abc import Iterator
from hashlib import sha256
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from sqlalchemy import func, inspect, select

from scout import places
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
from scout.store.files import hash_of, write_bytes
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
        "outlets": [],
        "practicals": [{"id": "L1", "at_m": [1, 1, 2], "can_switch_off": True}],
        "furniture": [{"id": "F1", "at_m": [1, 1], "movable": False}],
        "noise": [{"id": "N1", "bands_db": {"63": 45}, "conditions": "a\nb\u2028c"}],
    }
)


PRINTED = (b"%PDF one", b"%PDF two\n" * 2000)


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
        "owner",
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
    people.begin_session(work, 1)
    for revision, body in enumerate(PRINTED, 1):
        write_bytes(work.settings.data_dir / "packets" / f"{revision}.pdf", body)
        work.db.add(
            models.Packet(
                production_id=production,
                revision=revision,
                made_at=work.now(),
                paper="a4",
                pages=revision,
                sha256=sha256(body).hexdigest(),
                changes=[],
                held={},
            )
        )
    work.commit()


def rows(work: Work) -> dict[str, list[dict[str, Any]]]:
    """Every row of every table that an archive carries, as values."""
    return {
        table.name: [
            dict(row)
            for row in work.db.execute(
                select(table).order_by(*table.primary_key.columns)
            ).mappings()
        ]
        for table in Base.metadata.sorted_tables
        if table.name not in archive.NOT_CARRIED
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
            "packet",
        }
        assert all(rows(after)[name] for name in filled)
        assert before.db.scalar(select(func.count(models.Login.id))) == 1
        assert after.db.scalar(select(func.count(models.Login.id))) == 0  # everybody logs in anew
        assert printed(after) == dict(zip(("1.pdf", "2.pdf"), PRINTED, strict=True))
        assert list(before.files.all()) == list(after.files.all())
        assert all(hash_of(after.files.get(digest)) == digest for digest in after.files.all())
        archive.export_all(after, tmp_path / "again.zip")
    assert members(kept) == members(
        tmp_path / "again.zip"
    )  # property: written again, it is the same archive
    with open_work(settings) as work:  # the next key is free, on PostgreSQL too
        assert locations.add_location(work, LocationRecord(name="Next")) == 2
        assert rooms.room(work, 1).kept.record == ROOM
        assert ROOM.outlets == ()  # none at all stays none at all


def members(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as held:
        return {name: held.read(name) for name in held.namelist()}


def printed(work: Work) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in (work.settings.data_dir / "packets").glob("*")}


def summed(path: Path, change: dict[str, bytes], **manifest: Any) -> Path:
    """The archive with members changed, and a manifest that vouches for them."""
    found = {**json.loads(members(path)["manifest.json"]), **manifest}
    for name, body in change.items():
        found["sha256"][name] = sha256(body).hexdigest()
    return rewritten(path, {**change, "manifest.json": json.dumps(found).encode()})


def aged(path: Path, revision: str) -> Path:
    """The archive as it would have been written at an older revision: without the tables and columns
    that came later.
    """
    url = f"sqlite:///{path.with_name('aged.db')}"
    databases.migrate(url, places.MIGRATIONS, revision)
    found = inspect(databases.engine(url))
    manifest = json.loads(members(path)["manifest.json"])
    change: dict[str, bytes | None] = {}
    sums = manifest["sha256"]
    for name in [name for name in sums if name.startswith("rows/")]:
        table = name.removeprefix("rows/").removesuffix(".jsonl")
        if not found.has_table(table):
            change[name] = None
            del sums[name]
            continue
        columns = {column["name"] for column in found.get_columns(table)}
        rows = [json.loads(line) for line in members(path)[name].splitlines()]
        body = "".join(
            json.dumps({key: row[key] for key in row if key in columns}) + "\n" for row in rows
        ).encode()
        change[name], sums[name] = body, sha256(body).hexdigest()
    databases.engine(url).dispose()
    change["manifest.json"] = json.dumps({**manifest, "revision": revision}).encode()
    return rewritten(path, change)


def rewritten(path: Path, change: dict[str, bytes | None]) -> Path:
    """The archive with members changed, or left out where None."""
    held = members(path)
    out = path.with_name(f"changed-{path.stem}.zip")
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
            assert printed(work) == {}, change


def test_rows_that_nobody_wrote_are_refused_in_words(kept: Path, embedded: Settings) -> None:
    room = json.loads(members(kept)["rows/room.jsonl"])
    whys = []
    for row in (None, [1], "text", {**room, "version": "zz"}, {**room, "version": True},
                {**room, "id": 10**30}, {**room, "name": 7}, {**room, "none_such": 1},
                {**room, "created_at": "yesterday"}, {**room, "location_id": 99}):  # fmt: skip
        bad = summed(kept, {"rows/room.jsonl": json.dumps(row).encode() + b"\n"})
        with open_work(embedded) as work, pytest.raises(Damaged) as refused:
            archive.import_all(work, bad)
        whys.append(refused.value.args[0].code)
        with open_work(embedded, reading=True) as work:
            assert not any(rows(work).values()), row
    assert whys == ["kept.member_unsound"] * 3 + ["kept.archive_broken"] * 7
    for manifest in ({"sha256": []}, {"sha256": None}, {"originals": 3}, {"originals": None}):
        with open_work(embedded) as work, pytest.raises(Damaged):
            archive.import_all(work, summed(kept, {}, **manifest))


def test_a_packet_that_is_altered_or_absent_is_noticed(kept: Path, embedded: Settings) -> None:
    sums = json.loads(members(kept)["manifest.json"])["sha256"]
    bad = [
        rewritten(kept, {"packets/2.pdf": PRINTED[1] + b" "}).read_bytes(),  # altered
        rewritten(kept, {"packets/2.pdf": None}).read_bytes(),
        summed(kept, {"packets/2.pdf": b"%PDF other"}).read_bytes(),  # its row says otherwise
        summed(
            kept, {}, sha256={**sums, "packets/2.pdf": sums["packets/2.pdf"][::-1]}
        ).read_bytes(),  # the sum turned round
    ]
    for body in bad:
        kept.with_name("bad.zip").write_bytes(body)
        with open_work(embedded) as work, pytest.raises(Damaged, match=r"packets/2\.pdf"):
            archive.import_all(work, kept.with_name("bad.zip"))
        with open_work(embedded, reading=True) as work:
            assert not any(rows(work).values())
            assert list(work.files.all()) == []
            assert printed(work) == {}
    stray = summed(kept, {"packets/999.pdf": b"%PDF", "packets/../../evil.pdf": b"%PDF"})
    with open_work(embedded) as work:
        archive.import_all(work, stray)
        assert set(printed(work)) == {"1.pdf", "2.pdf"}  # no row names another
    assert not list(embedded.data_dir.parent.rglob("evil.pdf"))


def test_what_unpacks_to_far_more_than_it_takes_is_not_unpacked(
    kept: Path, embedded: Settings
) -> None:
    bomb = rewritten(kept, {"rows/note.jsonl": None})
    with zipfile.ZipFile(bomb, "a", zipfile.ZIP_DEFLATED) as held:
        held.writestr("rows/note.jsonl", bytes(30_000_000))
    assert bomb.stat().st_size < 100_000
    tracemalloc.start()
    with open_work(embedded) as work, pytest.raises(Damaged) as refused:
        archive.import_all(work, bomb)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert refused.value.args[0].code == "kept.member_swollen"
    assert peak < 10_000_000


# what tables of then did not know: setups are made anew, and a line of the log had words alone
NEWER = {
    "setup": {"created_at", "changed_at"},
    "change": {"about", "added", "fields", "part_of", "undoes"},
}


@pytest.mark.parametrize("revision", ["0002", "0004", "0006", "0007"])
def test_an_archive_of_older_tables_is_brought_up_to_date(
    kept: Path, other: Settings, settings: Settings, tmp_path: Path, revision: str
) -> None:
    with open_work(settings) as work:
        assert archive.import_all(work, aged(kept, revision)) == 2
    assert databases.is_current(settings.url, places.MIGRATIONS)
    with open_work(other, reading=True) as before, open_work(settings, reading=True) as after:
        was, now = rows(before), rows(after)
        assert printed(after) == printed(before)
        assert rooms.room(after, 1).kept.record.windows == ROOM.windows
    for table, there in was.items():
        lost = [
            {key for key in old if new[key] != old[key]}
            for old, new in zip(there, now[table], strict=table != "furniture")
        ]
        unknown_then = NEWER.get(table, set())
        assert set().union(*lost) <= {"way_in", "keep_free", "plan", "none_of"} | unknown_then, (
            table
        )
    if revision == "0007":
        # property: the log-ins of 0008 are no part of an archive; the setups of 0009 are made anew
        for table, names in NEWER.items():
            for row, name in product((*now[table], *was[table]), names):
                del row[name]
        assert now == was
    else:
        assert (now["room"][0]["way_in"], now["door"][0]["keep_free"]) == (None, None)
    databases.migrate_down(settings.url, places.MIGRATIONS, "base")  # the way back is open
    databases.migrate(settings.url, places.MIGRATIONS)


def test_an_old_archive_that_is_broken_leaves_new_tables(kept: Path, embedded: Settings) -> None:
    bad = rewritten(aged(kept, "0006"), {"packets/1.pdf": None})
    with open_work(embedded) as work, pytest.raises(Damaged):
        archive.import_all(work, bad)
    assert databases.is_current(embedded.url, places.MIGRATIONS)
    with open_work(embedded) as work:
        assert not any(rows(work).values())
        assert archive.import_all(work, kept) == 2


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
