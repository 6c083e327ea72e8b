"""Guards tried through the server that people run, which changes requests before a page sees them."""

from __future__ import annotations

import io
import logging
import os
import re
import shutil
import sqlite3
import stat
import time
import wave
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy.exc import OperationalError

from scout.errors import NotAllowed
from scout.records import LocationRecord, NoteRecord, Person, RoomRecord
from scout.settings import Settings
from scout.store import engine as databases
from scout.store.files import Arriving
from scout.usecases import locations, notes, people, recordings, rooms
from scout.usecases.checking import check, mend
from scout.usecases.work import Who, open_work, prepare
from scout.web.app import create_app
from tests.web.real_server import Visitor, served

PASSWORD = "a long enough one"
FIRST = {"name": "Ada", "email": "ada@example.org", "password": PASSWORD, "again": PASSWORD}


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    return Settings(data_dir=tmp_path / "data", secret_key="s" * 40)


def token(visitor: Visitor, path: str, **headers: str) -> str:
    found = re.search(
        r'name="csrf_token" value="([^"]+)"', visitor.ask("GET", path, **headers).text
    )
    return found[1] if found else ""


@pytest.mark.parametrize(
    "header",
    ["X_Forwarded_For", "X_Forwarded_Host", "X_Forwarded_Proto", "Forwarded", "X_Real_Ip", "Via"],
)
def test_a_visitor_passed_on_by_a_proxy_is_not_the_first_person(
    settings: Settings, header: str
) -> None:
    passed_on = {header: "for=203.0.113.9" if header == "Forwarded" else "203.0.113.9"}
    with served(settings) as visitor:
        sign = token(visitor, "/login")
        assert visitor.ask("GET", "/first-user", **passed_on).status == 403
        answer = visitor.ask("POST", "/first-user", {**FIRST, "csrf_token": sign}, **passed_on)
        assert answer.status in (400, 403)
    with open_work(settings, reading=True) as work:
        assert not people.any_person(work)


def test_on_the_machine_itself_the_first_person_is_entered(settings: Settings) -> None:
    with served(settings) as visitor:
        sign = token(visitor, "/first-user")
        answer = visitor.ask("POST", "/first-user", {**FIRST, "csrf_token": sign})
        assert answer.status == 302
        assert visitor.ask("GET", "/").status == 200


def test_a_trusted_proxy_says_who_asks(settings: Settings) -> None:
    with served(replace(settings, trusted_proxy="127.0.0.1")) as visitor:
        said = {"X_Forwarded_For": "203.0.113.9", "X_Forwarded_Host": "scout.example"}
        assert visitor.ask("GET", "/first-user", **said).status == 403
        assert visitor.ask("GET", "/first-user").status == 200


@pytest.mark.parametrize("host", ["x" * 5000, "a b", "<script>", "h" * 261])
def test_a_host_no_machine_can_have_is_refused_in_words(settings: Settings, host: str) -> None:
    with served(settings) as visitor:
        answer = visitor.ask("GET", "/login", Host=host)
        assert answer.status == 400
        assert "Traceback" not in answer.text


def test_pages_are_not_kept_by_the_browser(settings: Settings) -> None:
    with served(settings) as visitor:
        answer = visitor.ask("GET", "/first-user")
        assert answer.headers["Cache-Control"] == "no-store"


def test_what_is_made_is_for_its_owner_alone(settings: Settings) -> None:
    before = os.umask(0o022)
    try:
        prepare(settings)
        with open_work(settings) as work:
            people.add_person(work, Person(name="Ada", email="ada@example.org"), PASSWORD)
            log = [path for path in settings.data_dir.iterdir() if path.name.startswith("sillbook")]
            assert log
            for path in log:
                assert stat.S_IMODE(path.stat().st_mode) == 0o600, path.name
        for folder in (settings.data_dir, *filter(Path.is_dir, settings.data_dir.iterdir())):
            assert stat.S_IMODE(folder.stat().st_mode) == 0o700, folder
    finally:
        os.umask(before)


def test_the_database_file_alone_is_a_whole_copy(settings: Settings, tmp_path: Path) -> None:
    prepare(settings)
    with open_work(settings) as work:
        people.add_person(work, Person(name="Ada", email="ada@example.org"), PASSWORD)
    databases.settle(databases.engine(settings.url))
    copy = tmp_path / "copy.db"
    shutil.copyfile(settings.data_dir / "sillbook.db", copy)
    with sqlite3.connect(copy) as connection:
        assert connection.execute("select count(*) from person").fetchone() == (1,)
    connection.close()


def test_a_database_somebody_else_holds_is_said_and_typed_text_stays(
    settings: Settings, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(databases, "BUSY_TIMEOUT_MS", 300)
    databases.engine.cache_clear()
    with served(settings) as visitor:
        sign = token(visitor, "/first-user")
        visitor.ask("POST", "/first-user", {**FIRST, "csrf_token": sign})
        sign = token(visitor, "/locations/new")
        held = sqlite3.connect(settings.data_dir / "sillbook.db", isolation_level=None)
        held.execute("BEGIN IMMEDIATE")
        try:
            with caplog.at_level(logging.DEBUG):
                form = {"name": "Mill", "notes": "", "address": "MARKER lane 4", "csrf_token": sign}
                answer = visitor.ask("POST", "/locations/new", form)
        finally:
            held.execute("ROLLBACK")
            held.close()
        assert answer.status == 503
        assert "MARKER lane 4" in answer.text
        assert "our fault" not in answer.text
        assert "MARKER" not in caplog.text
    databases.engine.cache_clear()


def test_a_database_that_went_away_is_said_to_whoever_is_logged_in(
    settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    def away(*_: object) -> None:
        raise OperationalError("select", {}, sqlite3.OperationalError("gone"))

    with served(settings) as visitor:
        sign = token(visitor, "/first-user")
        visitor.ask("POST", "/first-user", {**FIRST, "csrf_token": sign})
        sign = token(visitor, "/locations/new")
        monkeypatch.setattr(people, "person_of_session", away)
        assert visitor.ask("GET", "/rooms").status == 503
        answer = visitor.ask("POST", "/locations/new", {"name": "Mill 4", "csrf_token": sign})
        assert (answer.status, "Mill 4" in answer.text) == (503, True)
        assert "our fault" not in answer.text
        monkeypatch.undo()
        assert visitor.ask("GET", "/rooms").status == 200, "the session is what it was"


def test_a_statement_that_fails_keeps_what_was_typed_out_of_the_log(settings: Settings) -> None:
    prepare(settings)
    with open_work(settings) as work, pytest.raises(Exception) as failed:  # noqa: PT011
        work.db.connection().exec_driver_sql("select * from nowhere where a = ?", ("MARKER",))
    assert "MARKER" not in str(failed.value)


def test_a_large_recording_on_its_way_keeps_nobody_waiting(
    settings: Settings,
) -> None:
    """While the bytes of one upload move, somebody else saves."""
    prepare(settings)
    with open_work(settings) as work:
        work.who = Who(
            people.add_person(work, Person(name="Ada", email="a@b.org"), PASSWORD),
            "Ada",
            "a@b.org",
            "owner",
        )
        room_id = rooms.add_room(
            work, locations.add_location(work, LocationRecord(name="Mill")), RoomRecord(name="Hall")
        )
    saved: list[float] = []

    class Slow(io.BytesIO):
        def read(self, size: int | None = -1, /) -> bytes:
            if not saved:
                begun = time.monotonic()
                with open_work(settings) as other:
                    notes.add_note(other, "room", room_id, NoteRecord(text="x", audience="crew"))
                saved.append(time.monotonic() - begun)
            return super().read(size)

    with open_work(settings) as work:
        recordings.add_recording(work, room_id, Slow(tone()), "hum.wav")
    assert saved
    assert saved[0] < databases.BUSY_TIMEOUT_MS / 1000 / 3


def tone() -> bytes:
    """A second of silence but for one step, as WAV."""
    held = io.BytesIO()
    with wave.open(held, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(8000)
        file.writeframes(b"\x00\x10" * 8000)
    return held.getvalue()


def test_a_private_note_is_its_author_s_alone(settings: Settings) -> None:
    prepare(settings)
    with open_work(settings) as work:
        place = locations.add_location(work, LocationRecord(name="Mill"))
        work.who = Who(1, "Ann", "ann@example.org", "owner")
        key = notes.add_note(work, "location", place, NoteRecord(text="code", audience="private"))
        open_to_all = notes.add_note(work, "location", place, NoteRecord(text="x", audience="crew"))
        work.who = Who(2, "Bob", "bob@example.org", "owner")
        with pytest.raises(NotAllowed):
            notes.save_note(work, key, 1, NoteRecord(text="code", audience="crew"))
        with pytest.raises(NotAllowed):
            notes.bin_note(work, key, 1)
        notes.save_note(work, open_to_all, 1, NoteRecord(text="y", audience="crew"))
        work.who = Who(1, "Ann", "ann@example.org", "owner")
        notes.save_note(work, key, 1, NoteRecord(text="code 2", audience="private"))


def test_what_was_cut_off_is_mended(settings: Settings) -> None:
    prepare(settings)
    originals = settings.data_dir / "originals"
    originals.mkdir(exist_ok=True)
    old, fresh = originals / ".part-old", originals / ".part-fresh"
    cached = settings.cache_dir / "photos" / ".part-old"
    cached.parent.mkdir(parents=True)
    for path in (old, fresh, cached):
        path.write_bytes(b"x")
    for path in (old, cached):
        os.utime(path, (0, 0))
    with open_work(settings, reading=True) as work:
        assert len(check(work).left_over) == 3
        assert mend(work, check(work).left_over) == 2
    assert fresh.exists(), "an upload under way is not taken away"
    assert not old.exists()
    assert not cached.exists()


def test_what_a_killed_server_left_of_an_upload_goes_as_it_starts_again(settings: Settings) -> None:
    prepare(settings)
    arriving = [Arriving(settings.data_dir / "originals") for _ in range(2)]
    for one in arriving:  # nobody closes it: so it is after a kill
        one.write(b"half a photo")
        one.flush()
    old, fresh = (one.part for one in arriving)
    hour_s = 3600
    os.utime(old, (0, time.time() - 1.1 * hour_s))
    os.utime(fresh, (0, time.time() - 0.9 * hour_s))
    create_app(settings)
    assert not old.exists()
    assert fresh.exists(), "it may be another process's, which is still at work"
    for one in arriving:
        one.close()
