"""The database keeps its promises on every connection, says what is wrong with itself, and two
writers wait for each other.
"""

from __future__ import annotations

import sqlite3
import threading
from datetime import UTC, datetime
from pathlib import Path
from threading import Thread

import pytest
from sqlalchemy import func, select, text
from sqlalchemy.exc import IntegrityError, OperationalError
from sqlalchemy.orm import Session

from scout import places
from scout.errors import Damaged, Refused, Unavailable
from scout.settings import Settings
from scout.store import engine as databases
from scout.store import models
from scout.usecases.work import open_work


def test_every_connection_is_set_up(embedded: Settings) -> None:
    # Source: sqlite.org/pragma.html: foreign_keys is off and busy_timeout 0 until set, for each
    # connection; synchronous 2 is FULL
    made = databases.engine(embedded.url)
    held = [made.connect() for _ in range(3)]  # three at once, so that none is a pooled one again
    try:
        for connection in held:

            def pragma(name: str, on: object = connection) -> object:
                return on.exec_driver_sql(f"PRAGMA {name}").scalar()  # type: ignore[attr-defined]

            assert (
                pragma("foreign_keys"),
                pragma("busy_timeout"),
                pragma("journal_mode"),
                pragma("synchronous"),
            ) == (1, 15_000, "wal", 2)
            # the next one could not begin while this one holds the writer's place
            connection.rollback()
    finally:
        for connection in held:
            connection.close()


def test_a_row_that_points_nowhere_is_refused(embedded: Settings) -> None:
    with open_work(embedded) as work, pytest.raises(IntegrityError, match="FOREIGN KEY"):
        work.add(models.Room(location_id=999), "a room of nowhere")


def test_lower_folds_letters_of_every_script(embedded: Settings) -> None:
    # Source: sqlite.org/lang_corefunc.html: the built-in lower() works for ASCII characters only
    # (PostgreSQL goes by its own locale)
    with databases.engine(embedded.url).connect() as connection:
        assert connection.execute(text("select lower('ÉCOLE ΩMEGA Ж')")).scalar() == "école ωmega ж"
        assert connection.execute(text("select lower(null)")).scalar() is None


@pytest.mark.parametrize(
    ("mounts", "share"),
    [
        ("/dev/sda1 / ext4 rw 0 0\n", False),
        ("/dev/sda1 / ext4 rw 0 0\nserver:/export {folder} nfs4 rw 0 0\n", True),
        ("//server/files {folder} cifs rw 0 0\n", True),
        (
            "server:/export / nfs rw 0 0\n/dev/sda1 {folder} ext4 rw 0 0\n",
            False,
        ),  # the nearer mount counts
        (
            "/dev/sda1 {folder} ext4 rw 0 0\nserver:/export {folder} nfs rw 0 0\n",
            True,
        ),  # of two on one folder, the later
        ("server:/export {folder}x nfs rw 0 0\n", False),  # another folder whose name begins alike
        ("nonsense\n\n", False),
    ],
)
def test_a_network_share_is_known_by_its_mount(tmp_path: Path, mounts: str, share: bool) -> None:
    folder = tmp_path / "my data"
    folder.mkdir()
    file = tmp_path / "mounts"
    file.write_text(
        mounts.format(folder=str(folder).replace(" ", "\\040")), encoding="utf-8"
    )  # proc(5): spaces are written \040
    assert databases.on_network_share(folder / "sillbook.db", file) is share


def test_where_the_system_says_nothing_no_share_is_supposed(tmp_path: Path) -> None:
    assert databases.on_network_share(tmp_path / "sillbook.db", tmp_path / "nowhere") is False


def test_on_a_share_there_is_no_write_ahead_log(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(databases, "on_network_share", lambda path: True)
    url = f"sqlite:///{tmp_path / 'shared.db'}"
    with databases.engine(url).connect() as connection:
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "delete"
    databases.engine(url).dispose()


def test_a_sound_database_has_no_faults(settings: Settings) -> None:
    with databases.engine(settings.url).connect() as connection:
        assert [str(fault) for fault in databases.integrity_faults(connection)] == []


def test_a_row_whose_parent_is_gone_is_found(embedded: Settings) -> None:
    with sqlite3.connect(
        embedded.data_dir / "sillbook.db"
    ) as raw:  # foreign keys are off here, as on any connection not ours
        raw.execute("insert into measurement (room_id, path) values (42, 'width_m')")
    raw.close()
    with databases.engine(embedded.url).connect() as connection:
        assert [str(fault) for fault in databases.integrity_faults(connection)] == [
            "table measurement, row 1 points at a missing room"
        ]


@pytest.mark.parametrize(
    "content", [b"this is a letter, not a database\n" * 200, b"SQLite format 3\0" + b"\xff" * 5000]
)
def test_a_file_that_is_no_database_is_said_to_be_damaged(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "sillbook.db").write_bytes(content)
    settings = Settings(data_dir=tmp_path)
    with pytest.raises((Damaged, Unavailable), match="database"):
        databases.migrate(settings.url, places.MIGRATIONS)
    with pytest.raises((Damaged, Unavailable), match="database"):
        databases.is_current(settings.url, places.MIGRATIONS)
    with pytest.raises((Damaged, Unavailable), match="database"), open_work(settings) as work:
        work.db.execute(text("select 1"))
    databases.engine(settings.url).dispose()


def test_a_database_of_a_newer_version_is_left_alone(embedded: Settings) -> None:
    with sqlite3.connect(embedded.data_dir / "sillbook.db") as raw:
        raw.execute("update alembic_version set version_num = '9999'")
    raw.close()
    with pytest.raises(Damaged, match="another version"):
        databases.migrate(embedded.url, places.MIGRATIONS)
    assert databases.is_current(embedded.url, places.MIGRATIONS) is False


@pytest.mark.parametrize(
    "url",
    [
        "nonsense",
        "sqlite+nosuchdriver:///x.db",
        "oracle+nothing://x",
        "postgresql+psycopg://host:port/x",
    ],
)
def test_what_is_no_address_is_refused_by_the_setting(url: str) -> None:
    with pytest.raises(Refused, match="SILLBOOK_DATABASE_URL"):
        databases.engine(url)


def test_a_server_that_is_not_there_is_said_without_the_password(tmp_path: Path) -> None:
    url = f"postgresql+psycopg://ada:secret@/nothing?host={tmp_path}"
    with pytest.raises(Unavailable, match="does not answer") as unavailable:
        databases.migrate(url, places.MIGRATIONS)
    assert "secret" not in str(unavailable.value)
    databases.engine(url).dispose()


def test_two_writers_who_read_first_do_not_fail_with_locked(settings: Settings) -> None:
    # A transaction that reads and then writes fails at once on SQLite, whatever its waiting time,
    # unless it begins as a writer.
    start, failures = threading.Barrier(4), []

    def write(number: int) -> None:
        try:
            start.wait()
            for i in range(8):
                with open_work(settings) as work:
                    work.db.scalar(select(func.count()).select_from(models.Change))
                    work.db.add(
                        models.Change(
                            at=datetime.now(UTC),
                            by=None,
                            kind="test",
                            record_id=number,
                            words=str(i),
                        )
                    )
                    work.commit()
        except Exception as error:  # noqa: BLE001  # whatever it was, the test must tell it
            failures.append(error)

    threads = [threading.Thread(target=write, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    with Session(databases.engine(settings.url)) as session:
        assert session.scalar(select(func.count()).select_from(models.Change)) == 32


def test_a_reader_does_not_wait_for_a_writer(embedded: Settings) -> None:
    with open_work(embedded) as writer:
        writer.db.execute(text("select 1"))  # has taken the writer's place
        with open_work(embedded, reading=True) as reader:
            assert reader.db.scalar(select(func.count()).select_from(models.Location)) == 0


def test_a_stamp_is_another_one_after_every_commit_of_anybody(settings: Settings) -> None:
    def commit() -> None:
        with open_work(settings) as work:
            work.add(models.Location(name="Mill"), "location added")
            work.commit()

    seen = [databases.stamp(settings.url)]
    with open_work(settings, reading=True) as reading:
        assert reading.db.scalar(select(func.count()).select_from(models.Location)) == 0
        # property: who only reads changes nothing. PostgreSQL numbers what is written to any of its
        # databases, and another test may write to its own
        if databases.engine(settings.url).dialect.name == "postgresql":
            assert reading.db.scalar(text("select txid_current_if_assigned()")) is None
        else:
            assert databases.stamp(settings.url) == seen[0]
    for _time in range(3):
        commit()
        seen.append(databases.stamp(settings.url))
    other = Thread(target=commit)
    other.start()
    other.join()
    seen.append(databases.stamp(settings.url))
    databases.engine(settings.url).dispose()
    commit()
    seen.append(databases.stamp(settings.url))
    # property: none comes back, not even after the connections were given up
    assert len(set(seen)) == 6


def test_a_connection_that_broke_costs_no_answer(
    embedded: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_session: Session) -> None:
        raise OperationalError("rollback", {}, OSError("server closed the connection"))

    with open_work(embedded) as work:
        work.db.scalars(select(models.Room)).all()
        monkeypatch.setattr(Session, "close", broken)
