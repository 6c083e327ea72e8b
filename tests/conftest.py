"""What tests share: an empty, migrated database of each kind in a folder of its own."""

from __future__ import annotations

import os
import shutil
import threading
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from http.server import ThreadingHTTPServer
from pathlib import Path
from typing import Any

import hypothesis
import localbucket
import pytest
from sqlalchemy import create_engine, make_url, text
from xdist.scheduler import LoadFileScheduling

from scout import places, words
from scout.settings import Settings
from scout.store import engine as databases
from scout.usecases.work import Who, Work, open_work

POSTGRES = os.environ.get("SILLBOOK_TEST_POSTGRES_URL")
assert words.MESSAGES  # what a test reads as a text is said by them
ALL = bool(os.environ.get("SILLBOOK_TEST_ALL"))
if ALL:  # the same examples at every run: what fails once fails again
    hypothesis.settings.load_profile("ci")


# the demonstration's packet (its fixture), and its rooms worked out (`tests.demo_rooms.assessed`)
SHARED = {
    "tests/packet/test_": "packet",
    "tests/assess/answers/test_short": "rooms",
    "tests/assess/test_real_rooms": "rooms",
    "tests/assess/choice/test_says": "rooms",
    "tests/words/test_lines": "rooms",
}


def missing(what: str) -> None:
    """Skip, saying what is missing; where everything must run, fail."""
    if ALL:
        pytest.fail(f"{what}, and SILLBOOK_TEST_ALL asks that nothing be skipped")
    pytest.skip(what)


class ByFile(LoadFileScheduling):
    """A file runs in one process, and so do files that share what takes a minute to make."""

    def _split_scope(self, nodeid: str) -> str:
        file: str = super()._split_scope(nodeid)
        return next((shared for begins, shared in SHARED.items() if file.startswith(begins)), file)


def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> ByFile | None:
    """Ours, where tests run by file."""
    return ByFile(config, log) if config.getvalue("dist") == "loadfile" else None


@pytest.fixture(autouse=True)
def _metric_reader() -> None:
    """Each test begins with the reader that nobody named: a page asked for in feet leaves its own."""
    words.set_reader(words.Reader())


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A migrated, empty SQLite database to copy."""
    path = tmp_path_factory.mktemp("template") / "sillbook.db"
    url = f"sqlite:///{path}"
    databases.migrate(url, places.MIGRATIONS)
    databases.engine(url).dispose()
    return path


def _postgres(statement: str) -> None:
    assert POSTGRES is not None
    admin = create_engine(POSTGRES, isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        connection.execute(text(statement))
    admin.dispose()


@pytest.fixture(scope="session")
def postgres_template() -> Iterator[str]:
    """A migrated, empty PostgreSQL database to copy."""
    if POSTGRES is None:
        missing("no PostgreSQL server is named by SILLBOOK_TEST_POSTGRES_URL")
    assert POSTGRES is not None
    name = f"sillbook_template_{uuid.uuid4().hex[:12]}"
    _postgres(f"create database {name}")
    url = make_url(POSTGRES).set(database=name).render_as_string(hide_password=False)
    databases.migrate(url, places.MIGRATIONS)
    databases.engine(url).dispose()
    yield name
    _postgres(f"drop database {name}")


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def database_kind(request: pytest.FixtureRequest) -> str:
    """The kind of database, both in turn."""
    kind: str = request.param
    return kind


@pytest.fixture
def settings(
    database_kind: str, tmp_path: Path, request: pytest.FixtureRequest
) -> Iterator[Settings]:
    """Settings with an empty, migrated database of each kind."""
    if database_kind == "sqlite":
        yield from _sqlite(tmp_path, request.getfixturevalue("sqlite_template"))
        return
    yield from _on_postgres(tmp_path / "data", request.getfixturevalue("postgres_template"))


def _on_postgres(folder: Path, template: str) -> Iterator[Settings]:
    assert POSTGRES is not None
    name = f"sillbook_{uuid.uuid4().hex[:12]}"
    _postgres(f"create database {name} template {template}")
    url = make_url(POSTGRES).set(database=name).render_as_string(hide_password=False)
    yield Settings(data_dir=folder, database_url=url)
    databases.engine(url).dispose()
    _postgres(f"drop database {name} with (force)")


@pytest.fixture
def on_postgres(tmp_path: Path, postgres_template: str) -> Iterator[Settings]:
    """Settings with an empty, migrated database of PostgreSQL in a data folder of its own."""
    yield from _on_postgres(tmp_path / "on_postgres", postgres_template)


@pytest.fixture
def embedded(tmp_path: Path, sqlite_template: Path) -> Iterator[Settings]:
    """Settings with an empty, migrated database of the embedded kind alone."""
    yield from _sqlite(tmp_path, sqlite_template)


def _sqlite(tmp_path: Path, template: Path) -> Iterator[Settings]:
    made = Settings(data_dir=tmp_path / "data")
    made.data_dir.mkdir()
    shutil.copy(template, made.data_dir / "sillbook.db")
    yield made
    databases.engine(made.url).dispose()


@dataclass(frozen=True)
class Buckets:
    """A store of files that speaks S3, on this machine: its address, and the folder it keeps buckets in."""

    endpoint: str
    folder: Path

    def new(self) -> str:
        """The address of an empty bucket, as the setting takes it."""
        name = f"b{uuid.uuid4().hex[:12]}"
        (self.folder / name).mkdir()
        return f"s3://{name}/kept?endpoint={self.endpoint}"


@pytest.fixture(scope="session")
def buckets(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Buckets]:
    """The store, in a thread of this process; it asks nobody for a key, but one must be sent."""

    class Here(localbucket.S3Handler):
        data_root = tmp_path_factory.mktemp("buckets").resolve()

    server = ThreadingHTTPServer(("127.0.0.1", 0), Here)
    thread = threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True)
    thread.start()
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("AWS_ACCESS_KEY_ID", "nobody")
        patch.setenv("AWS_SECRET_ACCESS_KEY", "SECRETKEY")
        yield Buckets(f"http://127.0.0.1:{server.server_address[1]}", Here.data_root)
    server.shutdown()
    server.server_close()


@pytest.fixture
def work(settings: Settings) -> Iterator[Work]:
    """A unit of work by Ada, who may log in."""
    with open_work(settings, Who(1, "Ada Example", "ada@example.org", "owner")) as opened:
        yield opened
