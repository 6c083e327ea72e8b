"""The whole of what is kept as one file: every row and every original, checksummed, to be read back
into an empty database.
"""

from __future__ import annotations

import hashlib
import io
import json
import warnings
import zipfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, datetime
from functools import partial
from itertools import islice
from pathlib import Path
from typing import IO, Any, BinaryIO, cast

from sqlalchemy import (
    JSON,
    Connection,
    Date,
    DateTime,
    MetaData,
    Table,
    event,
    func,
    insert,
    select,
    text,
)
from sqlalchemy.exc import SAWarning, SQLAlchemyError
from sqlalchemy.types import TypeEngine

from scout import places
from scout.errors import Damaged, NotFound, Refused
from scout.store import engine as databases
from scout.store import words as room_words
from scout.store.files import CHUNK, Disk, FileStore, Held, write_atomically
from scout.store.models import Base, Packet, Photo, Recording
from scout.store.models.base import Plain, UtcDateTime
from scout.usecases import gates, sealing
from scout.usecases.revisions import file_of
from scout.usecases.work import Work
from scout.values import Name, said

FORMAT = "sillbook-archive/1"
FILES = "files"  # of a folder of backups: originals and packets, named by their sums
BATCH = 500
Progress = Callable[[int, int], None]
# What a damaged or crafted archive makes the standard library raise (an unknown compression: a
# kind of RuntimeError).
BROKEN = (
    KeyError,
    TypeError,
    ValueError,
    OverflowError,
    EOFError,
    RuntimeError,
    zipfile.BadZipFile,
    zlib.error,
)

# who is logged in, who guessed wrongly, what phones sent and what waits to be printed belong to one
# installation; the words of rooms are worked out again
NOT_CARRIED = {
    "login",
    "token",
    "link",
    "move",
    "invitation",
    "wrong_try",
    "sent",
    "printing",
    "room_words",
    "alembic_version",
}
TABLES = tuple(table for table in Base.metadata.sorted_tables if table.name not in NOT_CARRIED)
# A bomb is refused unread. What people write takes a twentieth when packed, not a hundredth.
MOST_RATIO, LEAST_SWOLLEN, MOST_LINE = 200, 4_000_000, 64_000_000


def export_all(
    work: Work, out: Path, progress: Progress | None = None, beside: FileStore | None = None
) -> int:
    """Write everything into one archive; returns how many originals it holds. Raises Damaged for an
    original or packet that is not sound.

    Rows travel as JSON and originals as they are, so that an archive of one kind of database reads
    into the other. All rows
    are of one moment; the files are those that the rows name.

    beside: where the files go in place of the archive, each only once however often one is written
    """
    one_moment(work)
    tables = {
        table.name: "".join(f"{line}\n" for line in rows_of(work, table)).encode()
        for table in TABLES
    }
    # an archive is whole: what is sealed in it can be opened where it comes to
    sealed_with = (
        {"sealed_with": sealing.key_of(work.settings).hex()} if tables["gate_code"] else {}
    )
    originals = sorted(named_originals(work))
    packets = work.db.execute(select(Packet.id, Packet.sha256, Packet.revision)).all()

    def write(file: BinaryIO) -> None:
        with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
            sums = {}
            for name, body in tables.items():
                archive.writestr(f"rows/{name}.jsonl", body)
                sums[f"rows/{name}.jsonl"] = hashlib.sha256(body).hexdigest()
            for key, digest, revision in packets:
                name = file_of(key)
                if fault := work.place.fault(name, digest):
                    packet = Name(str(key))
                    raise Damaged(
                        said("kept.packet_fault", packet=packet, revision=revision, fault=fault)
                    )
                _put_file(archive, work.place.held(name, digest), name, digest, beside)
                sums[name] = digest
            for done, digest in enumerate(originals):
                original = work.files.require_sound(digest)
                _put_file(archive, original, f"originals/{digest}", digest, beside)
                if progress:
                    progress(done + 1, len(originals))
            manifest = {
                "format": FORMAT,
                "revision": databases.newest_revision(places.MIGRATIONS),
                "sha256": sums,
                "originals": originals,
                "beside": beside is not None,
                **sealed_with,
            }
            archive.writestr("manifest.json", json.dumps(manifest, indent=1))

    write_atomically(out, write)
    return len(originals)


def one_moment(work: Work) -> None:
    """Let all that is read in a unit of work that has read nothing yet be of one moment, which on
    SQLite it is anyway.
    """
    if work.db.get_bind().dialect.name == "postgresql" and not work.db.in_transaction():
        work.db.connection(execution_options={"isolation_level": "REPEATABLE READ"})


def _put_file(
    archive: zipfile.ZipFile, held: Held, name: str, digest: str, beside: FileStore | None
) -> None:
    if beside is None:
        archive.write(held.local(), name, zipfile.ZIP_STORED)
    elif beside.check(digest) is not None:
        with held.open() as file:
            beside.put(file, most_bytes=1 << 50)


def proved(source: Path) -> int:
    """Read a whole archive against its sums, with no database; returns how many originals it holds.
    Raises Refused when this is no archive, Damaged when it is not what was written.
    """
    with _reading(source) as held:
        for table in TABLES:
            if f"rows/{table.name}.jsonl" in held.sums:
                for _ in held.rows(table.name):
                    pass
        nowhere = cast(BinaryIO, _Nowhere())
        for member, digest in held.sums.items():
            if member.startswith("packets/"):
                held.copy(member, digest, nowhere)
        for digest in held.manifest["originals"]:
            held.sums[f"originals/{digest}"] = digest  # an original is named by its sum
            held.copy(f"originals/{digest}", digest, nowhere)
        return len(held.manifest["originals"])


class _Nowhere(io.RawIOBase):
    """A file that forgets what is written."""

    def write(self, data: object) -> int:
        return 0


@contextmanager
def _reading(source: Path) -> Iterator[_Held]:
    """An archive to read; what a damaged one makes the standard library raise comes as Damaged."""
    if not zipfile.is_zipfile(source):
        raise Refused("archive", source.name, said("kept.no_archive"))
    try:
        with zipfile.ZipFile(source) as archive:
            yield _Held(archive, source)
    except (*BROKEN, SQLAlchemyError) as error:
        why = str(error).partition("\n")[0] or type(error).__name__
        raise Damaged(said("kept.archive_broken", file=Name(source.name), why=Name(why))) from error


def named_originals(work: Work) -> set[str]:
    """The originals that a row names, those in the bin too."""
    return {
        digest
        for column in (Photo.sha256, Recording.sha256)
        for digest in work.db.scalars(select(column))
    }


def rows_of(work: Work, table: Table) -> Iterator[str]:
    """The rows of a table as lines of JSON, in the order of their keys."""
    rows = select(table).order_by(*table.primary_key.columns)
    for row in work.db.execute(rows.execution_options(yield_per=BATCH)).mappings():
        yield json.dumps({key: _out(value) for key, value in row.items()}, ensure_ascii=False)


def _out(value: Any) -> Any:
    return value.isoformat() if isinstance(value, (datetime, date)) else value


def import_all(work: Work, source: Path, progress: Progress | None = None) -> int:
    """Read an archive into an empty database; returns how many originals came with it. Everything
    comes in, or nothing. One written at an older revision comes into tables of that revision, which
    are then brought up to date.

    Raises Refused when this is no archive, one of a version not known here, or the database already
    holds something; Damaged when it is not what was written.
    """
    if any(work.db.scalar(select(func.count()).select_from(table)) for table in TABLES):
        raise Refused("archive", source.name, said("kept.not_empty"))
    added: list[str] = []
    packets: list[str] = []
    try:
        with _reading(source) as held:
            _put_rows(work, held)
            originals = named_originals(work)
            for digest in originals - set(held.manifest["originals"]):
                raise Damaged(
                    said("kept.original_not_in_it", file=held.file, original=Name(digest[:12]))
                )
            _put_originals(work, held, sorted(originals), added, progress)
            for key, digest in work.db.execute(select(Packet.id, Packet.sha256)):
                packets.append(file_of(key))
                work.place.write(packets[-1], digest, partial(held.copy, packets[-1], digest))
            room_words.complete(work.db)
            gates.reseal(work, bytes.fromhex(held.manifest.get("sealed_with", "")))
            work.commit()
    except BaseException:
        work.db.rollback()
        for digest in added:
            work.files.remove(digest)
        for name in packets:
            work.place.drop(name)
        raise
    return len(originals)


class _Held:
    """An archive's members, read as a stream, each against the sum that its manifest gives. Raises
    Refused for one not known here, Damaged for one that unpacks to far more than it takes.
    """

    def __init__(self, archive: zipfile.ZipFile, source: Path) -> None:
        name = source.name
        self.archive, self.file = archive, Name(name)
        for info in archive.infolist():
            if info.file_size > max(LEAST_SWOLLEN, info.compress_size * MOST_RATIO):
                raise Damaged(
                    said("kept.member_swollen", file=self.file, member=Name(info.filename))
                )
        with archive.open("manifest.json") as file:
            self.manifest: dict[str, Any] = json.loads(file.read(MOST_LINE))
        if self.manifest["format"] != FORMAT:
            raise Refused(
                "archive", self.manifest["format"], said("kept.other_format", format=Name(FORMAT))
            )
        self.revision, self.sums = self.manifest["revision"], self.manifest["sha256"]
        self.beside = (
            FileStore(Disk(source.parent / FILES)) if self.manifest.get("beside") else None
        )
        known = databases.revisions(places.MIGRATIONS)
        if self.revision not in known:
            written, newest = Name(str(self.revision)), Name(known[0])
            raise Refused(
                "archive", name, said("kept.other_revision", written=written, known=newest)
            )

    def rows(self, table: str) -> Iterator[dict[str, Any]]:
        """The rows of a table."""
        member, digest = f"rows/{table}.jsonl", hashlib.sha256()
        with self.archive.open(member) as file:
            while line := file.readline(MOST_LINE):
                digest.update(line)
                row = json.loads(line)
                if not isinstance(row, dict):
                    raise self.unsound(member)
                yield row
        if digest.hexdigest() != self.sums[member]:
            raise self.unsound(member)

    def open(self, member: str, sha256: str) -> IO[bytes]:
        """A file that the archive carries, or that lies beside it."""
        if self.beside is None:
            return self.archive.open(member)
        try:
            return self.beside.held(sha256).open()
        except NotFound:
            raise self.unsound(member) from None

    def copy(self, member: str, sha256: str, out: BinaryIO) -> None:
        """Write a member out, which must hold what its row and the manifest say."""
        digest = hashlib.sha256()
        with self.open(member, sha256) as file:
            while chunk := file.read(CHUNK):
                digest.update(chunk)
                out.write(chunk)
        if not digest.hexdigest() == sha256 == self.sums[member]:
            raise self.unsound(member)

    def unsound(self, member: str) -> Damaged:
        """What is said of a member that does not hold what was written."""
        return Damaged(said("kept.member_unsound", file=self.file, member=Name(member)))


def _put_rows(work: Work, held: _Held) -> None:
    """All rows, by way of the tables in which they were written."""
    connection = work.db.connection()
    older = held.revision != databases.newest_revision(places.MIGRATIONS)
    if older:
        databases.move(connection, places.MIGRATIONS, held.revision, down=True)
    tables = MetaData()
    event.listen(tables, "column_reflect", _as_ours)
    with warnings.catch_warnings():  # an index over an expression is nothing that a row needs
        warnings.simplefilter("ignore", SAWarning)
        tables.reflect(connection, only=lambda name, _: not name.startswith("room_words"))
    for table in tables.sorted_tables:
        if table.name not in NOT_CARRIED:
            insert_rows(connection, table, held.rows(table.name))
    if older:
        databases.move(connection, places.MIGRATIONS)


def _as_ours(_inspector: Any, _table: Table, column: dict[str, Any]) -> None:
    """Give a column read from the database the types that our own columns have."""
    if isinstance(column["type"], DateTime):
        column["type"] = UtcDateTime()
    elif isinstance(column["type"], JSON):
        column["type"] = Plain


def _put_originals(
    work: Work,
    held: _Held,
    digests: list[str],
    added: list[str],
    progress: Progress | None,
) -> None:
    for done, digest in enumerate(digests):
        there = work.files.check(digest) is None
        with held.open(f"originals/{digest}", digest) as file:
            stored = work.files.put(file, most_bytes=1 << 50)  # type: ignore[arg-type]  # a zip member reads as a stream does
        if not there:
            added.append(stored.sha256)
        if stored.sha256 != digest:
            raise held.unsound(f"originals/{digest}")
        if progress:
            progress(done + 1, len(digests))


def insert_rows(connection: Connection, table: Table, rows: Iterator[dict[str, Any]]) -> None:
    """Put rows in with the keys they had."""
    there = False
    while batch := list(islice(rows, BATCH)):
        there = True
        connection.execute(
            insert(table),
            [
                {key: _in(table.columns[key].type, value) for key, value in row.items()}
                for row in batch
            ],
        )
    if there:
        count_on(connection, table)


def count_on(connection: Connection, table: Table) -> None:
    """Rows came with their keys: the counter goes on after the greatest of them."""
    if "id" in table.columns and connection.dialect.name == "postgresql":
        connection.execute(
            text(
                f"select setval(pg_get_serial_sequence('\"{table.name}\"', 'id'), "  # noqa: S608
                f'(select max(id) from "{table.name}"))'
            )
        )


def _in(kind: TypeEngine[Any], value: Any) -> Any:
    """A value of an archive as its column takes it. Raises ValueError for one of another type, which
    SQLite would keep as it is.
    """
    if value is None or isinstance(kind, JSON):
        return value
    if isinstance(kind, UtcDateTime):
        return datetime.fromisoformat(value)
    if isinstance(kind, Date):
        return date.fromisoformat(value)
    wanted = kind.python_type
    if type(value) is not wanted and (wanted is not float or type(value) is not int):
        raise ValueError(f"{value!r:.80} is no {wanted.__name__}")
    return value
