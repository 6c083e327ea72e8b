"""One engine a database, with SQLite set up so that it keeps its promises, and the migrations run
from code.
"""

from __future__ import annotations

import atexit
import os
import re
import sqlite3
from collections.abc import Iterable
from contextlib import suppress
from functools import lru_cache
from itertools import count
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any
from weakref import WeakKeyDictionary, WeakSet

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import make_url
from sqlalchemy.exc import (
    ArgumentError,
    DatabaseError,
    DataError,
    DBAPIError,
    IntegrityError,
    InterfaceError,
    NoSuchModuleError,
    NotSupportedError,
    OperationalError,
    ProgrammingError,
)
from sqlalchemy.pool import ConnectionPoolEntry

from scout.errors import Damaged, Full, Refused, Unavailable
from scout.store.writers import in_line, take_turn
from scout.values import Name, Said, said

if TYPE_CHECKING:  # half a second to load, and most commands find the tables as they should be
    from alembic.config import Config

BUSY_TIMEOUT_MS = 15_000
CHECKPOINT_PAGES = 250  # a megabyte of work at most stands in the log alone
READS = "sillbook_reads"
MIGRATING = 0x5111B00C  # one process at a time moves the tables of a database
FULL, READ_ONLY = said("kept.disk_full"), said("kept.read_only")
# Write-ahead logging needs memory shared between processes, which network file systems do not give:
# it corrupts there.
NETWORK_FILE_SYSTEMS = {
    "nfs",
    "nfs4",
    "cifs",
    "smb3",
    "smbfs",
    "9p",
    "fuse.sshfs",
    "afs",
    "ceph",
    "glusterfs",
    "fuse.glusterfs",
    "vboxsf",
    "fuse.vmhgfs-fuse",
}


@lru_cache(maxsize=128)  # of as many workspaces
def engine(url: str) -> Engine:
    """The engine of one database address; made once a process. Raises Refused for what is no
    address, Unavailable when its folder cannot be made.
    """
    try:
        parsed = make_url(url)
        parsed.get_dialect()
    except (ArgumentError, NoSuchModuleError, ValueError):
        raise Refused("SILLBOOK_DATABASE_URL", None, said("setting.no_database")) from None
    if parsed.get_backend_name() != "sqlite":
        return create_engine(url, pool_pre_ping=True, hide_parameters=True)
    if parsed.database:
        try:
            _make_private(Path(parsed.database))
        except OSError as error:
            raise Unavailable(said("kept.no_folder", why=Name(str(error)))) from None
    # what people typed stands in the parameters, and has no place in a log
    made = create_engine(
        url, connect_args={"timeout": BUSY_TIMEOUT_MS / 1000}, hide_parameters=True
    )
    line = in_line(made)
    mode = "DELETE" if parsed.database and on_network_share(Path(parsed.database)) else "WAL"

    @event.listens_for(made, "connect")
    def _connect(connection: sqlite3.Connection, _entry: ConnectionPoolEntry) -> None:
        connection.isolation_level = (
            None  # the driver must not open transactions of its own: BEGIN below decides their kind
        )
        cursor = connection.cursor()
        cursor.execute("PRAGMA foreign_keys=ON")  # off until switched on, for each connection
        cursor.execute(f"PRAGMA busy_timeout={BUSY_TIMEOUT_MS}")
        cursor.execute(f"PRAGMA journal_mode={mode}")
        cursor.execute("PRAGMA synchronous=FULL")
        cursor.execute(f"PRAGMA wal_autocheckpoint={CHECKPOINT_PAGES}")
        cursor.close()
        # SQLite's own lower() knows the letters of English alone: a search for "école" must find
        # "École", as on PostgreSQL
        connection.create_function("lower", 1, _lower, deterministic=True)

    @event.listens_for(made, "begin")
    def _begin(connection: Connection) -> None:
        # A transaction that reads first and writes later fails at once with "locked", whatever the
        # waiting time;
        # one that may write takes its place in the queue at the start.
        reads = connection.get_execution_options().get(READS, False)
        if not reads:
            take_turn(line, connection.info, BUSY_TIMEOUT_MS / 1000)
        connection.exec_driver_sql("BEGIN" if reads else "BEGIN IMMEDIATE")

    _OPEN.add(made)
    return made


_OPEN: WeakSet[Engine] = WeakSet()


@atexit.register
def _settle_all() -> None:
    for one in list(_OPEN):
        settle(one)


_LOOKOUTS: WeakKeyDictionary[Engine, tuple[int, sqlite3.Connection]] = WeakKeyDictionary()
_LOOKING = Lock()
_NUMBERS = count()


def stamp(url: str) -> str:
    """A text that is another one after every commit to the database, whoever made it. What is read
    after it was asked for holds as long as it is the same.
    """
    of = engine(url)
    if (
        of.dialect.name != "sqlite"
    ):  # whoever commits leaves the list of the running, or raises its end
        with of.connect() as connection:
            return str(connection.scalar(text("select txid_current_snapshot()::text")))
    with _LOOKING:
        if of not in _LOOKOUTS:
            # a connection that never writes: to it every commit is somebody else's, and counted
            looking = sqlite3.connect(str(of.url.database), check_same_thread=False)
            number = next(_NUMBERS)
            _LOOKOUTS[of] = number, looking
            event.listen(of, "engine_disposed", _look_no_more, once=True)
        number, looking = _LOOKOUTS[of]
        return f"{number} {looking.execute('PRAGMA data_version').fetchone()[0]}"


def _look_no_more(of: Engine) -> None:
    with _LOOKING:
        _number, looking = _LOOKOUTS.pop(of)
        looking.close()


def settle(of: Engine) -> None:
    """Bring what stands in the write-ahead log into the database's own file, so that a copy of that
    file alone is whole. Somebody else at work is no fault: they will do it.
    """
    if not of.url.database or not Path(of.url.database).is_file():
        return
    with suppress(DatabaseError), of.connect() as connection:
        connection.connection.driver_connection.execute(  # type: ignore[union-attr]
            "PRAGMA wal_checkpoint(TRUNCATE)"
        )
    of.dispose()


def wipe(url: str, tables: Iterable[str]) -> bool:
    """Write the database's files anew without what was deleted from them or written over; False where
    somebody else is at work all the while.
    """
    of = engine(url)
    try:
        with of.connect() as connection:
            if of.dialect.name != "sqlite":
                alone = connection.execution_options(isolation_level="AUTOCOMMIT")
                alone.execute(text(f"vacuum {', '.join(tables)}"))
                return True
            raw: Any = connection.connection.driver_connection
            raw.execute("insert into room_words_fts (room_words_fts) values ('optimize')")
            raw.execute("VACUUM")
            raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    except (DatabaseError, sqlite3.Error):
        return False
    return True


def _make_private(path: Path) -> None:
    """Make the database's folder and file for its owner alone; its log takes the file's rights."""
    if not path.parent.is_dir():
        path.parent.mkdir(parents=True, mode=0o700)
    if not path.exists():
        os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))


def _lower(value: str | bytes | float | None) -> str | bytes | float | None:
    return value.lower() if isinstance(value, str) else value


def on_network_share(path: Path, mounts: Path = Path("/proc/mounts")) -> bool:
    """Whether the folder of `path` lies on a network file system, as far as the operating system
    says.
    """
    try:
        lines = mounts.read_text(encoding="utf-8", errors="replace").splitlines()
    except OSError:
        return False
    folder = path.resolve().parent
    best, kind = -1, ""
    for line in lines:
        fields = line.split()
        if len(fields) < 3:
            continue
        point = Path(
            re.sub(r"\\([0-7]{3})", lambda octal: chr(int(octal[1], 8)), fields[1])
        )  # spaces and tabs are written in octal there
        if (folder == point or point in folder.parents) and len(
            str(point)
        ) >= best:  # of two mounts on one folder the later one counts
            best, kind = len(str(point)), fields[2]
    return kind in NETWORK_FILE_SYSTEMS


def _config(migrations: Path, url: str) -> Config:
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(migrations).replace("%", "%%"))
    config.attributes["url"] = url
    return config


def migrate(url: str, migrations: Path, revision: str = "head") -> None:
    """Bring the database up to a revision. Raises Unavailable when it does not answer, Damaged when
    it is no database of ours.
    """
    if revision == "head" and at_newest(url, migrations):
        return
    from alembic.util.exc import CommandError

    try:
        # one transaction for all steps, begun before the revision is read: of several that start at
        # once on an old database, one moves it and the others find it moved
        with engine(url).begin() as connection:
            if connection.dialect.name == "postgresql":  # SQLite's writers wait as it is
                connection.execute(text("select pg_advisory_xact_lock(:key)"), {"key": MIGRATING})
            move(connection, migrations, revision)
    except CommandError as error:
        raise Damaged(said("kept.newer_database", why=Name(str(error)))) from error
    except DatabaseError as error:
        raise failure(error) or error from error


def at_newest(url: str, migrations: Path) -> bool:
    """Whether the database says that it stands at the newest file of the migrations."""
    return _stands_at(url) == _newest_file(migrations)


def _stands_at(url: str) -> str | None:
    """The revision that the database says it is at; None where it says none."""
    try:
        with engine(url).execution_options(**{READS: True}).connect() as connection:
            rows = connection.exec_driver_sql("SELECT version_num FROM alembic_version").all()
    except DatabaseError:  # empty, or not ours: whoever moves the tables says which
        return None
    return str(rows[0][0]) if len(rows) == 1 else None


def _newest_file(migrations: Path) -> str:
    """The newest revision by the names of the files, which begin with it."""
    return max(path.name[:4] for path in (migrations / "versions").glob("[0-9]*.py"))


def migrate_down(url: str, migrations: Path, revision: str) -> None:
    """Take the database down to a revision (`base`: empty)."""
    with engine(url).begin() as connection:
        move(connection, migrations, revision, down=True)


def move(
    connection: Connection, migrations: Path, revision: str = "head", *, down: bool = False
) -> None:
    """Take the tables up or down to a revision, within the connection's own transaction."""
    from alembic import command

    config = _config(migrations, "")
    config.attributes["connection"] = connection
    (command.downgrade if down else command.upgrade)(config, revision)


def is_current(url: str, migrations: Path) -> bool:
    """Whether the database stands at the newest revision."""
    from alembic.runtime.migration import MigrationContext

    try:
        with engine(url).execution_options(**{READS: True}).connect() as connection:
            return MigrationContext.configure(connection).get_current_revision() == newest_revision(
                migrations
            )
    except DatabaseError as error:
        raise failure(error) or error from error


def newest_revision(migrations: Path) -> str | None:
    """The revision at which this program's tables stand."""
    return revisions(migrations)[0]


def revisions(migrations: Path) -> list[str]:
    """Every revision that this program knows, newest first."""
    from alembic.script import ScriptDirectory

    scripts = ScriptDirectory.from_config(_config(migrations, ""))
    return [script.revision for script in scripts.walk_revisions()]


def failure(error: DBAPIError) -> Damaged | Unavailable | None:
    """What a database's own complaint means to a person: it does not answer, or what it holds
    cannot be read; None for a statement it refuses.
    """
    if isinstance(error, OperationalError) or error.connection_invalidated:
        code = getattr(error.orig, "sqlite_errorcode", 0) & 0xFF  # the low byte is the kind
        if code == sqlite3.SQLITE_FULL:
            return Full(FULL)
        if code == sqlite3.SQLITE_READONLY:
            return Unavailable(READ_ONLY)
        return Unavailable(said("kept.no_answer", why=Name(str(error.orig))))
    if isinstance(
        error, (IntegrityError, InterfaceError, DataError, ProgrammingError, NotSupportedError)
    ):
        return None
    return Damaged(said("kept.unreadable", why=Name(str(error.orig))))


def identity(url: str) -> str:
    """Which database an address leads to, whatever name of its server or file it uses: a cluster's own
    number and the database's in it (PostgreSQL 9.6 and later), or a file's on its disk. Raises
    Unavailable.
    """
    try:
        with engine(url).connect() as connection:
            if connection.dialect.name == "sqlite":
                held = Path(engine(url).url.database or "").stat()
                return f"file {held.st_dev} {held.st_ino}"
            asked = (
                "select system_identifier, oid from pg_control_system(), pg_database"
                " where datname = current_database()"
            )
            return "server {} {}".format(*connection.execute(text(asked)).one())
    except DBAPIError as error:
        raise failure(error) or error from error


def integrity_faults(connection: Connection) -> list[Said | Name]:
    """What the database itself finds wrong with what it stores; empty when sound."""
    if connection.dialect.name != "sqlite":
        connection.execute(text("select 1"))
        return []
    faults: list[Said | Name] = [
        Name(str(row[0]))
        for row in connection.exec_driver_sql("PRAGMA integrity_check")
        if row[0] != "ok"
    ]
    orphans: list[Any] = list(connection.exec_driver_sql("PRAGMA foreign_key_check"))
    return faults + [
        said("kept.orphan", table=Name(row[0]), row=row[1], of=Name(row[2])) for row in orphans
    ]
