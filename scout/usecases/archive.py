"""The whole of what is kept as one file: every row and every original, checksummed, to be read back
into an empty database.
"""

from __future__ import annotations

import hashlib
import json
import zipfile
import zlib
from collections.abc import Callable, Iterator
from datetime import date, datetime
from pathlib import Path
from typing import Any, BinaryIO

from sqlalchemy import Date, Table, func, insert, select, text
from sqlalchemy.exc import SQLAlchemyError

from scout import places
from scout.errors import Damaged, Refused
from scout.store import engine as databases
from scout.store.files import write_atomically, write_bytes
from scout.store.models import Base, Packet, Photo, Recording
from scout.store.models.base import UtcDateTime
from scout.usecases.work import Work

FORMAT = "sillbook-archive/1"
BATCH = 500
Progress = Callable[[int, int], None]
# What a damaged or crafted archive makes the standard library raise.
BROKEN = (
    KeyError,
    TypeError,
    ValueError,
    EOFError,
    RuntimeError,
    NotImplementedError,
    zipfile.BadZipFile,
    zlib.error,
)

# who is logged in, and who guessed wrongly, belong to one installation
TABLES = tuple(
    table for table in Base.metadata.sorted_tables if table.name not in {"login", "wrong_try"}
)


def export_all(work: Work, out: Path, progress: Progress | None = None) -> int:
    """Write everything into one archive; returns how many originals it holds. Raises Damaged for an
    original or packet that is not sound.

    Rows travel as JSON and originals as they are, so that an archive of one kind of database reads
    into the other. All rows
    are of one moment; the files are those that the rows name.
    """
    if work.db.get_bind().dialect.name == "postgresql" and not work.db.in_transaction():
        work.db.connection(
            execution_options={"isolation_level": "REPEATABLE READ"}
        )  # SQLite's readers see one moment as it is
    tables = {
        table.name: "".join(f"{line}\n" for line in _rows(work, table)).encode() for table in TABLES
    }
    originals = sorted(_named_originals(work))
    packets = {
        f"packets/{key}.pdf": digest
        for key, digest in work.db.execute(select(Packet.id, Packet.sha256))
    }

    def write(file: BinaryIO) -> None:
        with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
            sums = {}
            for name, body in tables.items():
                archive.writestr(f"rows/{name}.jsonl", body)
                sums[f"rows/{name}.jsonl"] = hashlib.sha256(body).hexdigest()
            for name, digest in packets.items():
                body = _packet(work, Path(name).name, digest)
                archive.writestr(name, body, zipfile.ZIP_STORED)
                sums[name] = digest
            for done, digest in enumerate(originals):
                archive.write(
                    work.files.require_sound(digest), f"originals/{digest}", zipfile.ZIP_STORED
                )
                if progress:
                    progress(done + 1, len(originals))
            revision = databases.newest_revision(places.MIGRATIONS)
            archive.writestr(
                "manifest.json",
                json.dumps(
                    {
                        "format": FORMAT,
                        "revision": revision,
                        "sha256": sums,
                        "originals": originals,
                    },
                    indent=1,
                ),
            )

    write_atomically(out, write)
    return len(originals)


def _named_originals(work: Work) -> set[str]:
    return {
        digest
        for column in (Photo.sha256, Recording.sha256)
        for digest in work.db.scalars(select(column))
    }


def _packet(work: Work, name: str, digest: str) -> bytes:
    path = work.packets_dir / name
    body = path.read_bytes() if path.is_file() else b""
    if hashlib.sha256(body).hexdigest() != digest:
        raise Damaged(
            f"packet {name} is missing or is not what was printed; `scout check` says what else is wrong"
        )
    return body


def _rows(work: Work, table: Table) -> Iterator[str]:
    for row in work.db.execute(select(table).order_by(*table.primary_key.columns)).mappings():
        yield json.dumps({key: _out(value) for key, value in row.items()}, ensure_ascii=False)


def _out(value: Any) -> Any:
    return value.isoformat() if isinstance(value, (datetime, date)) else value


def import_all(work: Work, source: Path, progress: Progress | None = None) -> int:
    """Read an archive into an empty database; returns how many originals came with it. Everything
    comes in, or nothing.

    Raises Refused when this is no archive, one of another version, or the database already holds
    something; Damaged when it is not what was written.
    """
    if not zipfile.is_zipfile(source):
        raise Refused("archive", source.name, "is not an archive written by `scout export --all`")
    if any(work.db.scalar(select(func.count()).select_from(table)) for table in TABLES):
        raise Refused(
            "archive",
            source.name,
            "can be read into an empty database only; name a new data folder with SILLBOOK_DATA",
        )
    added: list[str] = []
    try:
        with zipfile.ZipFile(source) as archive:
            manifest, bodies = _read(archive, source.name)
            _put_originals(work, archive, manifest["originals"], added, progress)
            for table in TABLES:
                _insert(work, table, bodies[f"rows/{table.name}.jsonl"])
        _require_whole(work, source.name)
        for name, body in bodies.items():
            if name.startswith("packets/"):
                write_bytes(work.packets_dir / Path(name).name, body)
        work.commit()
    except BaseException as error:
        work.db.rollback()
        for digest in added:
            work.files.remove(digest)
        if isinstance(error, (*BROKEN, SQLAlchemyError)):
            raise Damaged(
                f"{source.name} is not whole: {str(error).splitlines()[0] if str(error) else type(error).__name__}"
            ) from error
        raise
    return len(manifest["originals"])


def _read(archive: zipfile.ZipFile, name: str) -> tuple[dict[str, Any], dict[str, bytes]]:
    """The manifest, and every member it vouches for but the originals."""
    manifest: dict[str, Any] = json.loads(archive.read("manifest.json"))
    newest = databases.newest_revision(places.MIGRATIONS)
    if manifest["format"] != FORMAT:
        raise Refused("archive", manifest["format"], f"is not of the format {FORMAT}")
    if manifest["revision"] != newest:
        raise Refused(
            "archive",
            name,
            f"was written at revision {manifest['revision']} of the tables, and this program is at {newest}; "
            "read it with the version that wrote it, and bring that data folder up to date",
        )
    bodies = {member: archive.read(member) for member in manifest["sha256"]}
    for member, digest in manifest["sha256"].items():
        if hashlib.sha256(bodies[member]).hexdigest() != digest:
            raise Damaged(f"{name}: {member} is not what was written")
    return manifest, bodies


def _put_originals(
    work: Work,
    archive: zipfile.ZipFile,
    digests: list[str],
    added: list[str],
    progress: Progress | None,
) -> None:
    for done, digest in enumerate(digests):
        held = work.files.check(digest) is None
        with archive.open(f"originals/{digest}") as file:
            stored = work.files.put(file, most_bytes=1 << 50)  # type: ignore[arg-type]  # a zip member reads as a stream does
        if not held:
            added.append(stored.sha256)
        if stored.sha256 != digest:
            raise Damaged(f"original {digest[:12]} is not what was written")
        if progress:
            progress(done + 1, len(digests))


def _require_whole(work: Work, name: str) -> None:
    """Every original that a row names must have come with the archive."""
    for digest in _named_originals(work):
        if not work.files.path(digest).is_file():
            raise Damaged(f"{name}: original {digest[:12]} is not in it")


def _insert(work: Work, table: Table, body: bytes) -> None:
    rows = [
        {key: _in(table, key, value) for key, value in json.loads(line).items()}
        for line in body.splitlines()
        if line
    ]
    for start in range(0, len(rows), BATCH):
        work.db.execute(insert(table), rows[start : start + BATCH])
    if rows and work.db.get_bind().dialect.name == "postgresql":
        # rows came with their keys: the counter must go on after the greatest of them
        work.db.execute(
            text(
                f"select setval(pg_get_serial_sequence('\"{table.name}\"', 'id'), "  # noqa: S608
                f'(select max(id) from "{table.name}"))'
            )
        )


def _in(table: Table, key: str, value: Any) -> Any:
    if value is None or key not in table.columns:
        return value
    kind = table.columns[key].type
    if isinstance(kind, UtcDateTime):
        return datetime.fromisoformat(value)
    return date.fromisoformat(value) if isinstance(kind, Date) else value
