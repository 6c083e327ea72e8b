"""The whole of what is kept as one file: every row and every original, checksummed, to be read back into an empty database."""

from __future__ import annotations

import base64
import hashlib
import json
import zipfile
from collections.abc import Callable, Iterator
from datetime import date, datetime
from pathlib import Path
from typing import Any, BinaryIO

from sqlalchemy import Date, Table, func, insert, select, text

from scout.errors import Damaged, Refused
from scout.store.files import write_atomically
from scout.store.models import Base
from scout.store.models.base import UtcDateTime
from scout.usecases.work import Work

FORMAT = "sillbook-archive/1"
BATCH = 500
Progress = Callable[[int, int], None]


def export_all(work: Work, out: Path, progress: Progress | None = None) -> int:
    """Write everything into one archive; returns how many originals it holds. Raises Damaged for an original that is not sound.

    Rows travel as JSON and originals as they are, so that an archive of one kind of database reads into the other.
    """
    digests = list(work.files.all())

    def write(file: BinaryIO) -> None:
        with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
            sums = {}
            for table in Base.metadata.sorted_tables:
                body = "".join(f"{line}\n" for line in _rows(work, table)).encode()
                archive.writestr(f"rows/{table.name}.jsonl", body)
                sums[f"rows/{table.name}.jsonl"] = hashlib.sha256(body).hexdigest()
            for done, digest in enumerate(digests):
                archive.write(work.files.require_sound(digest), f"originals/{digest}", zipfile.ZIP_STORED)
                if progress:
                    progress(done + 1, len(digests))
            for packet in sorted(work.packets_dir.glob("*.pdf")) if work.packets_dir.is_dir() else ():
                archive.write(packet, f"packets/{packet.name}", zipfile.ZIP_STORED)
                sums[f"packets/{packet.name}"] = hashlib.sha256(packet.read_bytes()).hexdigest()
            archive.writestr("manifest.json", json.dumps({"format": FORMAT, "sha256": sums, "originals": digests}, indent=1))

    write_atomically(out, write)
    return len(digests)


def _rows(work: Work, table: Table) -> Iterator[str]:
    for row in work.db.execute(select(table).order_by(*table.primary_key.columns)).mappings():
        yield json.dumps({key: _out(value) for key, value in row.items()}, ensure_ascii=False)


def _out(value: Any) -> Any:
    if isinstance(value, (datetime, date)):
        return value.isoformat()
    return base64.b64encode(value).decode() if isinstance(value, bytes) else value


def import_all(work: Work, source: Path, progress: Progress | None = None) -> int:
    """Read an archive into an empty database; returns how many originals came with it.

    Raises Refused when this is no archive or the database already holds something, Damaged when a checksum does not agree.
    """
    if not zipfile.is_zipfile(source):
        raise Refused("archive", source.name, "is not an archive written by `scout export --all`")
    if any(work.db.scalar(select(func.count()).select_from(table)) for table in Base.metadata.sorted_tables):
        raise Refused("archive", source.name, "can be read into an empty database only; name a new data folder with SILLBOOK_DATA")
    with zipfile.ZipFile(source) as archive:
        try:
            manifest = json.loads(archive.read("manifest.json"))
            if manifest["format"] != FORMAT:
                raise Refused("archive", manifest["format"], f"is not of the format {FORMAT}")
            bodies = {name: archive.read(name) for name in manifest["sha256"]}
        except (KeyError, ValueError, zipfile.BadZipFile) as error:
            raise Damaged(f"{source.name} is not whole: {error}") from None
        for name, digest in manifest["sha256"].items():
            if hashlib.sha256(bodies[name]).hexdigest() != digest:
                raise Damaged(f"{source.name}: {name} is not what was written")
        for done, digest in enumerate(manifest["originals"]):
            with archive.open(f"originals/{digest}") as file:
                stored = work.files.put(file, most_bytes=1 << 50)  # type: ignore[arg-type]  # a zip member reads as a stream does
            if stored.sha256 != digest:
                work.files.remove(stored.sha256)
                raise Damaged(f"{source.name}: original {digest[:12]} is not what was written")
            if progress:
                progress(done + 1, len(manifest["originals"]))
        for table in Base.metadata.sorted_tables:
            _insert(work, table, bodies.get(f"rows/{table.name}.jsonl", b""))
        for name, body in bodies.items():
            if name.startswith("packets/"):
                packet = work.packets_dir / Path(name).name
                write_atomically(packet, lambda out, body=body: (out.write(body), None)[1])  # type: ignore[misc]
    work.commit()
    return len(manifest["originals"])


def _insert(work: Work, table: Table, body: bytes) -> None:
    rows = [{key: _in(table, key, value) for key, value in json.loads(line).items()} for line in body.splitlines() if line]
    for start in range(0, len(rows), BATCH):
        work.db.execute(insert(table), rows[start : start + BATCH])
    if rows and work.db.get_bind().dialect.name == "postgresql":
        # rows came with their keys: the counter must go on after the greatest of them
        work.db.execute(text(f"select setval(pg_get_serial_sequence('\"{table.name}\"', 'id'), (select max(id) from \"{table.name}\"))"))  # noqa: S608


def _in(table: Table, key: str, value: Any) -> Any:
    if value is None or key not in table.columns:
        return value
    kind = table.columns[key].type
    if isinstance(kind, UtcDateTime):
        return datetime.fromisoformat(value)
    return date.fromisoformat(value) if isinstance(kind, Date) else value
