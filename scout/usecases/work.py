"""All a use case needs of the world: database, files, clock, settings, and who asks."""

from __future__ import annotations

import errno
import hashlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import lru_cache
from typing import Any

from sqlalchemy import event, select
from sqlalchemy.exc import DBAPIError, IntegrityError
from sqlalchemy.orm import Session
from sqlalchemy.orm.exc import StaleDataError

from scout import places
from scout.errors import Full, ScoutError, SentBefore, Stale, Unavailable
from scout.packet.privacy import Reader
from scout.records.people import Role
from scout.settings import Settings
from scout.store import engine as databases
from scout.store import trail
from scout.store import words as room_words
from scout.store.bucket import Bucket
from scout.store.files import ORIGINALS, PACKETS, Disk, FileStore, Place
from scout.store.models import Kept, Move, Sent
from scout.usecases import hiding
from scout.usecases.roles import reads_as
from scout.values import said


@dataclass(frozen=True)
class Who:
    """The person at work."""

    id: int
    name: str
    email: str
    role: Role


def utc_now() -> datetime:
    """The clock of the rim."""
    return datetime.now(UTC)


@dataclass
class Work:
    """One unit of work: it commits once, last, and leaves nothing half done."""

    db: Session
    place: Place
    settings: Settings
    who: Who | None = None
    now: Callable[[], datetime] = field(default=utc_now)
    once: str | None = None  # the name under which a phone sent what is about to be kept
    there: str | None = None  # where that leads, if it is known before it is kept
    change_id: int | None = None  # the change that was last kept

    @property
    def name(self) -> str | None:
        """Whose name stands beside what is changed."""
        return self.who.name if self.who else None

    def add(self, row: Any, words: str) -> None:
        """Put a new row in, signed and dated, with a line in the log."""
        now = self.now()
        if isinstance(row, Kept):
            row.created_at = row.changed_at = now
            row.created_by = row.changed_by = self.name
        self.db.add(row)
        self.db.flush()
        self.log(row, words)

    def changed(self, row: Kept, words: str) -> None:
        """Sign and date a change of a row, with a line in the log."""
        row.changed_at, row.changed_by = self.now(), self.name
        self.log(row, words)

    def log(self, row: Any, words: str) -> None:
        """A line in the log."""
        trail.log(self.db, trail.line_of(row, self.now(), self.name, words), row)

    def commit(self) -> None:
        """Make it so. Raises Stale when another save came in at the same instant, SentBefore when
        the same was sent twice at once.
        """
        once, self.once = self.once, None
        if once is not None:  # with what it adds, or not at all
            self.db.add(Sent(once=once, at=self.now(), there=self.there))
        try:
            room_words.bring_up_to_date(self.db)
            self.change_id = trail.complete(self.db, self.now(), self.name)
            self._refuse_while_moved()
            self.db.commit()
        except IntegrityError:
            self.db.rollback()
            if once is not None and (before := self.db.get(Sent, once)) is not None:
                raise SentBefore(before.there) from None
            raise
        except StaleDataError:
            self.db.rollback()
            raise Stale("record", "", {}, {}, 0) from None

    def _refuse_while_moved(self) -> None:
        """Raise Unavailable where everything is on its way elsewhere, or has left. Asked behind the last
        statement of a save, so that whoever sets the mark can wait for those that did not see it.
        """
        moved = self.db.execute(select(Move.state, Move.place).where(Move.state != "begun")).first()
        if moved is not None and moved != ("left", place_name(self.settings)):
            self.db.rollback()
            gone = moved.state == "left"
            raise Unavailable(said("kept.moved") if gone else said("kept.moving"))

    def read_first(self) -> None:
        """Begin as a reader: what follows, up to the next commit or rollback, takes no writer's
        place in the queue and must not write.
        """
        if not self.db.in_transaction():
            self.db.connection(execution_options={databases.READS: True})

    @property
    def files(self) -> FileStore:
        """The originals."""
        return FileStore(self.place, ORIGINALS)


def place_name(settings: Settings) -> str:
    """What tells one place of files from another, without its address."""
    return hashlib.sha256((settings.files or str(settings.data_dir)).encode()).hexdigest()


@lru_cache(maxsize=128)  # of as many workspaces
def place_of(settings: Settings) -> Place:
    """Where an installation keeps originals and packets. Raises Unavailable."""
    if settings.files is None:
        return Disk(settings.data_dir, settings.data_dir / ORIGINALS)
    return Bucket(settings.files, settings.cache_dir / "files")


@contextmanager
def _closing_quietly(session: Session) -> Iterator[Session]:
    """The session for as long as the block lasts. One whose connection broke meanwhile has nothing left
    to give back: what was committed is kept, and the rest its database has forgotten.
    """
    try:
        yield session
    finally:
        with suppress(DBAPIError):
            session.close()


@contextmanager
def open_work(
    settings: Settings,
    who: Who | None = None,
    *,
    reading: bool = False,
    reader: Reader | None = None,
) -> Iterator[Work]:
    """One unit of work on the settings' database; `reading` takes no writer's place in the queue.
    `reader`: whoever asks sees what this reader of paper may, as somebody at work sees what their
    role may.
    Raises Unavailable, Damaged.
    """
    engine = databases.engine(settings.url).execution_options(**{databases.READS: reading})
    with _closing_quietly(Session(engine, expire_on_commit=False)) as session:
        reader = reader or (reads_as(who.role) if who is not None else None)
        if reader is not None:
            hiding.hide_from(session, reader)
        held: list[Any] = []
        if reading:  # a session forgets what nobody holds, and a page asks for the same rows again
            event.listen(session, "loaded_as_persistent", lambda _session, row: held.append(row))
        try:
            yield Work(session, place_of(settings), settings, who)
        except DBAPIError as error:
            session.rollback()
            meant = databases.failure(error)
            if (
                meant is None
                # a statement of ours that the database refuses is our fault, and is to be seen as such
            ):
                raise
            raise meant from error
        except BaseException:
            session.rollback()
            raise


def foreseen(error: BaseException) -> ScoutError | None:
    """What trouble with the disk or the database means to a person; None for what nobody foresaw."""
    if isinstance(error, DBAPIError):
        return databases.failure(error)
    if isinstance(error, OSError) and error.errno in (errno.ENOSPC, errno.EDQUOT):
        return Full(databases.FULL)
    if isinstance(error, OSError) and error.errno in (errno.EROFS, errno.EACCES, errno.EPERM):
        return Unavailable(databases.READ_ONLY)
    return None


def prepare(settings: Settings) -> None:
    """Make the data folder and bring the database up to date."""
    settings.data_dir.mkdir(parents=True, exist_ok=True, mode=0o700)
    with suppress(OSError):  # somebody else's folder, which we may use all the same
        settings.data_dir.chmod(0o700)
    for folder in (
        settings.data_dir / ORIGINALS,
        settings.data_dir / PACKETS,
        settings.cache_dir,
    ):
        folder.mkdir(exist_ok=True, mode=0o700)
    databases.migrate(settings.url, places.MIGRATIONS)
    with open_work(settings, reading=True) as work:
        missing = room_words.missing(work.db)
    if missing:
        with open_work(settings) as work:
            room_words.complete(work.db)
            work.commit()
