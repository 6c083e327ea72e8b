"""What was moved is what there was, whatever happens meanwhile; and nobody's save is lost on the way."""

from __future__ import annotations

import shutil
import threading
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from scout.cli import move_command
from scout.errors import Damaged, Refused, Unavailable
from scout.records import LocationRecord
from scout.settings import Settings
from scout.store import engine as databases
from scout.store.files import Disk, Place
from scout.store.models import Location, Login, Move, PacketCode
from scout.usecases import checking, locations, moving, photos
from scout.usecases.work import Work, open_work, place_of, prepare
from tests.conftest import Buckets
from tests.usecases.test_archive import fill, picture


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory, sqlite_template: Path) -> Path:
    """A data folder with one of each kind of row, two originals and two packets."""
    made = Settings(tmp_path_factory.mktemp("filled"))
    shutil.copy(sqlite_template, made.data_dir / "sillbook.db")
    prepare(made)
    with open_work(made) as work:
        fill(work)
        # its key is no number of its own
        work.db.add(PacketCode(production_id=1, token="t" * 20))
        work.commit()
    databases.engine(made.url).dispose()
    return made.data_dir


@pytest.fixture
def source(filled: Path, tmp_path: Path) -> Iterator[Settings]:
    """A copy of it."""
    made = Settings(tmp_path / "source")
    shutil.copytree(filled, made.data_dir)
    yield made
    databases.engine(made.url).dispose()


def empty(folder: Path, template: Path) -> Settings:
    """An empty installation in a folder."""
    folder.mkdir()
    shutil.copy(template, folder / "sillbook.db")
    return Settings(folder)


@pytest.fixture
def target(tmp_path: Path, buckets: Buckets, sqlite_template: Path) -> Iterator[Settings]:
    """An empty place with a database of its own, and files in a bucket."""
    made = empty(tmp_path / "target", sqlite_template)
    yield replace(made, files=buckets.new())
    databases.engine(made.url).dispose()
    place_of.cache_clear()


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def either(request: pytest.FixtureRequest, buckets: Buckets, target: Settings) -> Settings:
    """The same, or with a database of PostgreSQL."""
    if request.param == "sqlite":
        return target
    on_postgres: Settings = request.getfixturevalue("on_postgres")
    return replace(on_postgres, files=buckets.new())


def kept(settings: Settings) -> dict[str, Any]:
    """Every row that moves, and every file, by name."""
    held: dict[str, Any] = {}
    with open_work(settings, reading=True) as work:
        for table in moving.TABLES:
            order = table.primary_key.columns
            rows = work.db.execute(select(table)).mappings()
            held[table.name] = sorted(
                (dict(row) for row in rows), key=lambda r: str([r[c.name] for c in order])
            )
        for under in ("originals", "packets"):
            for one in work.place.entries(under):
                with one.open() as file:
                    held[one.name] = file.read()
    return held


def save(settings: Settings, name: str = "Later") -> int:
    with open_work(settings) as work:
        return locations.add_location(work, LocationRecord(name=name))


def test_there_and_back_everything_is_what_it_was(
    source: Settings, either: Settings, tmp_path: Path, sqlite_template: Path
) -> None:
    target = either
    before = kept(source)
    assert before[Login.__tablename__]
    assert before[PacketCode.__tablename__]
    moved = moving.move(source, target)
    assert moved.files == 4
    assert moved.rows == sum(len(rows) for rows in before.values() if isinstance(rows, list))
    assert kept(target) == before
    with open_work(target, reading=True) as work:
        assert checking.check(work) == checking.CheckReport(2, 2, (), 0, 0)
        assert locations.find_locations(work, text="Mühle").total == 1  # the words are there too
    assert kept(source) == before  # may be read still
    with pytest.raises(Unavailable) as refused:
        save(source)
    assert refused.value.args[0].code == "kept.moved"
    assert save(target) == max(row["id"] for row in before["location"]) + 1

    home = empty(tmp_path / "home", sqlite_template)
    changed = kept(target)
    moving.move(target, home)
    assert kept(home) == changed
    assert save(home)
    with pytest.raises(Refused, match="has left"):
        moving.move(source, empty(tmp_path / "third", sqlite_template))
    assert moving.stop(source)
    assert save(source)
    assert not moving.stop(source)
    databases.engine(home.url).dispose()


def test_cut_short_it_goes_on_and_takes_what_came_meanwhile(
    source: Settings, target: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    taken: list[str] = []
    there = place_of(target)
    take = type(there).take

    def once(self: Place, part: Path, name: str, sha256: str) -> Path:
        if len([one for one in taken if one != moving.MARK]) == 2:
            raise Unavailable("the line went dead")
        taken.append(name)
        return take(self, part, name, sha256)

    with monkeypatch.context() as patch:
        patch.setattr(type(there), "take", once)
        with pytest.raises(Unavailable, match="went dead"):
            moving.move(source, target)
    with pytest.raises(Unavailable, match="copied to another place"):
        save(target)  # half a copy is nobody's to write in
    with open_work(source) as work:
        place = work.db.scalar(select(Location.id))
        photos.add_photo(work, "location", place or 0, picture("green"), "c.jpg")
    again: list[str] = []

    def noted(self: Place, part: Path, name: str, sha256: str) -> Path:
        again.append(name)
        return take(self, part, name, sha256)

    monkeypatch.setattr(type(there), "take", noted)
    before = kept(source)
    assert moving.move(source, target).files == 5
    assert kept(target) == before
    assert len(again) == 3
    assert not set(again) & set(taken)


def test_while_it_ends_a_save_is_refused_and_a_move_that_died_there_goes_on(
    source: Settings, target: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Killed(BaseException):
        pass

    def killed(*_given: object) -> int:
        with pytest.raises(Unavailable) as refused:
            save(source)
        assert refused.value.args[0].code == "kept.moving"
        raise Killed

    set_mark = moving._set

    def but_begun(work: Work, key: str, state: str, place: str = "") -> None:
        if state != "begun":  # who is killed mends nothing
            set_mark(work, key, state, place)

    with monkeypatch.context() as patch:
        patch.setattr(moving, "_copy_rows", killed)
        patch.setattr(moving, "_set", but_begun)
        with pytest.raises(Killed):
            moving.move(source, target)
    with pytest.raises(Unavailable):
        save(source)
    assert moving.move(source, target).files == 4
    assert kept(target) == kept(source)


def test_rows_that_are_not_the_same_are_found_and_people_go_on(
    source: Settings, target: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    insert = moving.insert_rows

    def one_less(connection: Any, table: Any, rows: Iterator[Any]) -> None:
        insert(connection, table, iter(list(rows)[table.name == "note" :]))

    with monkeypatch.context() as patch:
        patch.setattr(moving, "insert_rows", one_less)
        with pytest.raises(Damaged, match="rows of note are not the same"):
            moving.move(source, target)
    assert save(source)
    moving.move(source, target)
    assert kept(target) == kept(source)


def test_a_file_that_is_not_what_was_stored_stops_it(source: Settings, target: Settings) -> None:
    place = place_of(source)
    assert isinstance(place, Disk)
    (source.data_dir / "packets" / "1.pdf").write_bytes(b"rot")
    with pytest.raises(Damaged, match=r"packets/1\.pdf"):
        moving.move(source, target)
    assert save(source)


def test_a_place_that_holds_something_is_refused(
    source: Settings, target: Settings, tmp_path: Path
) -> None:
    prepare(target)
    save(target)
    with pytest.raises(Refused, match="--database"):
        moving.move(source, target)
    files = replace(source, files=target.files)
    place_of(files).write("originals/ab/x", "0" * 64, lambda file: (file.write(b"x"), None)[1])
    with pytest.raises(Refused, match="--files"):
        moving.move(source, files)
    with pytest.raises(Refused, match="everything is already"):
        moving.move(source, source)
    assert save(source)


def test_files_alone_leave_and_the_same_rows_are_saved_with_them(
    source: Settings, buckets: Buckets, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SILLBOOK_DATA", str(source.data_dir))
    files = buckets.new()
    assert move_command.command.main(["--files", files, "--json"], standalone_mode=False) == 0
    with pytest.raises(Unavailable):
        save(source)  # a process that still writes to the folder
    there = replace(source, files=files)
    assert save(there)
    with open_work(there, reading=True) as work:
        assert checking.check(work).faults == ()
    with pytest.raises(Refused, match="--database"):
        move_command.command.main([], standalone_mode=False)


@pytest.mark.postgres
def test_closing_waits_for_a_save_that_did_not_see_the_mark(on_postgres: Settings) -> None:
    prepare(on_postgres)
    with open_work(on_postgres) as work:
        key = moving._begun(work)
    checked, order = threading.Event(), []
    refuse = Work._refuse_while_moved

    def slowly(self: Work) -> None:
        refuse(self)
        checked.set()
        time.sleep(0.4)
        order.append("saved")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Work, "_refuse_while_moved", slowly)
        saving = threading.Thread(target=save, args=(on_postgres, "Just in time"))
        saving.start()
        assert checked.wait(10)
        with open_work(on_postgres) as work:
            moving._close(work, key)
        order.append("closed")
        saving.join()
    assert order == ["saved", "closed"]
    with open_work(on_postgres, reading=True) as work:
        assert work.db.scalar(select(Location.name)) == "Just in time"
        assert work.db.scalar(select(Move.state)) == "closing"
    with pytest.raises(Unavailable):
        save(on_postgres)
