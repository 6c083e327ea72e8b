"""An installation copied to another place while people work: to PostgreSQL, to a bucket, or back.
Files go first; at the end nobody saves for as long as the rows take, and is told so.
"""

from __future__ import annotations

import hashlib
import json
import secrets
import shutil
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import BinaryIO

from sqlalchemy import Table, delete, select, text

from scout.errors import Damaged, NotFound, Refused
from scout.settings import Settings
from scout.store import words as room_words
from scout.store.files import CHUNK, Place
from scout.store.models import Base, Move, Packet
from scout.usecases.archive import insert_rows, named_originals, one_moment, rows_of
from scout.usecases.revisions import file_of
from scout.usecases.work import Work, open_work, place_name, place_of, prepare
from scout.values import Name, said

# Unlike a backup a move takes along who is logged in, links, tokens and what waits to be printed.
LEFT_BEHIND = frozenset({"room_words", "move"})
TABLES = tuple(table for table in Base.metadata.sorted_tables if table.name not in LEFT_BEHIND)
MARK = "move"  # a file in a place that is being filled: whose copy it is
Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Moved:
    """What was copied and compared, and for how long nobody could save."""

    rows: int
    files: int
    closed_s: float


def move(source: Settings, target: Settings, progress: Progress | None = None) -> Moved:
    """Copy everything, compare it row for row and byte for byte, and let nobody save here any more.
    Cut short it goes on where it was when it is asked for again. Raises Refused for a destination
    that holds something else, Damaged for a file that is not what was stored, Unavailable.
    """
    prepare(source)
    rows, files = source.url != target.url, place_name(source) != place_name(target)
    if not rows and not files:
        raise Refused("move", None, said("move.same_place"))
    prepare(target)
    here, there = place_of(source), place_of(target)
    with open_work(source) as work:
        key = _begun(work)
    if rows:
        with open_work(target) as work:
            _claim_rows(work, key)
    if files:
        try:
            _claim_files(there, key)
        except Refused:
            if rows:
                _unclaim_rows(target)
            raise
    sure: set[str] = set()
    if files:
        _copy_files(source, here, there, sure, progress)
    began = time.monotonic()
    with open_work(source) as work:
        _close(work, key)
    try:
        if files:
            _copy_files(source, here, there, sure, None)
        count = _copy_rows(source, target) if rows else 0
        with open_work(source) as work:
            _set(work, key, "left", "" if rows else place_name(target))
    except BaseException:
        with open_work(source) as work:
            _set(work, key, "begun")
        raise
    closed_s = time.monotonic() - began
    if files:
        there.drop(MARK)
    if rows:
        _unclaim_rows(target)
    _copy_key(source, target)
    return Moved(count, len(sure), closed_s)


def _copy_key(source: Settings, target: Settings) -> None:
    """The key that signs sessions and seals codes goes along; one that an empty place made of its own
    has signed nothing.
    """
    key = source.data_dir / "session.key"
    if source.data_dir != target.data_dir and key.is_file():
        shutil.copy(key, target.data_dir / "session.key")


def stop(source: Settings) -> bool:
    """Let people save here again, whatever became of a move; whether there was one."""
    prepare(source)
    with open_work(source) as work:
        gone = work.db.execute(delete(Move)).rowcount  # type: ignore[attr-defined]
        work.db.commit()
    return bool(gone)


# -- marks: of the moved, and of the half done
# --------------------------------------------------------------------------------------------------
def _begun(work: Work) -> str:
    """The key of the move from here: the one that was cut short, or a new one. Raises Refused where
    everything has left, or is still arriving.
    """
    row = work.db.scalar(select(Move))
    if row is not None and row.state in ("begun", "closing"):
        key: str = row.key
        row.state = "begun"
        work.db.commit()
        return key
    if row is not None and not (row.state == "left" and row.place == place_name(work.settings)):
        raise Refused("move", None, said("move.not_from_here"))
    work.db.execute(delete(Move))
    made = Move(key=secrets.token_hex(16), state="begun", place="", at=work.now())
    work.db.add(made)
    work.db.commit()
    return str(made.key)


def _set(work: Work, key: str, state: str, place: str = "") -> None:
    row = work.db.get(Move, key)
    if row is not None:
        row.state, row.place, row.at = state, place, work.now()
    work.db.commit()


def _close(work: Work, key: str) -> None:
    """Nobody saves from here on; whoever was at it has ended when this returns."""
    _set(work, key, "closing")
    if work.db.get_bind().dialect.name == "postgresql":
        # a save asks for the mark behind its last statement; those that asked before it was set
        # hold their tables until they end
        named = ", ".join(f'"{table.name}"' for table in TABLES)
        work.db.execute(text(f"lock table {named} in share mode"))
        work.db.commit()


def _claim_rows(work: Work, key: str) -> None:
    mark = work.db.scalar(select(Move))
    if mark is None and not any(
        work.db.execute(select(table).limit(1)).first() is not None for table in TABLES
    ):
        work.db.add(Move(key=key, state="arriving", place="", at=work.now()))
        work.db.commit()
    elif mark is None or mark.key != key:
        raise Refused("--database", None, said("move.database_not_empty"))


def _unclaim_rows(target: Settings) -> None:
    with open_work(target) as work:
        work.db.execute(delete(Move))
        work.db.commit()


def _claim_files(there: Place, key: str) -> None:
    try:
        with there.held(MARK).open() as file:
            claimed = file.read(100).decode("ascii", "replace")
    except NotFound:
        claimed = None
    if claimed is None and not any(
        True for under in ("originals", "packets") for _ in there.entries(under)
    ):
        sha256 = hashlib.sha256(key.encode()).hexdigest()
        there.write(MARK, sha256, lambda file: (file.write(key.encode()), None)[1])
    elif claimed != key:
        raise Refused("--files", None, said("move.files_not_empty"))


# -- what is copied
# --------------------------------------------------------------------------------------------------
def _names(work: Work) -> dict[str, str]:
    """The files that rows name, with their sums."""
    named = {work.files.name(sha256): sha256 for sha256 in sorted(named_originals(work))}
    prints = work.db.execute(select(Packet.id, Packet.sha256).order_by(Packet.id))
    return named | {file_of(key): sha256 for key, sha256 in prints}


def _copy_files(
    source: Settings, here: Place, there: Place, sure: set[str], progress: Progress | None
) -> None:
    """Bring over what is not there yet. Each is read back against its sum before it counts."""
    with open_work(source, reading=True) as work:
        named = _names(work)
    for done, (name, sha256) in enumerate(named.items()):
        if f"{name} {sha256}" in sure:
            continue
        if there.fault(name, sha256) is not None:
            _copy(here, there, name, sha256)
        sure.add(f"{name} {sha256}")
        if progress:
            progress(done + 1, len(named))


def _copy(here: Place, there: Place, name: str, sha256: str) -> None:
    def copy(file: BinaryIO) -> None:
        try:
            with here.held(name).open() as given:
                shutil.copyfileobj(given, file, CHUNK)
        except NotFound:
            fault = said("kept.missing")
            raise Damaged(said("move.file_fault", file=Name(name), fault=fault)) from None

    there.write(name, sha256, copy)
    if fault := there.fault(name, sha256):
        raise Damaged(said("move.file_fault", file=Name(name), fault=fault))


def _copy_rows(source: Settings, target: Settings) -> int:
    """All rows in one transaction, then both sides compared; returns how many there are."""
    with open_work(source, reading=True) as here:
        one_moment(here)
        with open_work(target) as there:
            connection = there.db.connection()
            for table in reversed(TABLES):  # of a copy that was found unlike
                connection.execute(delete(table))
            for table in TABLES:
                insert_rows(connection, table, map(json.loads, rows_of(here, table)))
            room_words.complete(there.db)
            there.db.commit()
        with open_work(target, reading=True) as there:
            count = 0
            for table in TABLES:
                kept, come = _sum(here, table), _sum(there, table)
                if kept != come:
                    raise Damaged(said("move.rows_differ", table=Name(table.name)))
                count += kept[0]
    return count


def _sum(work: Work, table: Table) -> tuple[int, int]:
    """How many rows, and the sum of their sums: the same whatever the order, which databases give
    to texts each in its own way.
    """
    count = total = 0
    for line in _lines(work, table):
        count += 1
        total += int.from_bytes(hashlib.sha256(line.encode()).digest(), "big")
    return count, total % (1 << 256)


def _lines(work: Work, table: Table) -> Iterator[str]:
    for line in rows_of(work, table):
        yield json.dumps(json.loads(line), sort_keys=True)
