"""What was changed, field by field, kept beside the lines of the log in the same transaction.

Whatever a Session flushes of rows that people edit is seen here, logged by somebody or not, so that
no save can forget to say what it did.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from sqlalchemy import event, inspect
from sqlalchemy.orm import Session, SessionTransaction, UOWTransaction, object_session

from scout.store.models import (
    Candidate,
    Change,
    Decision,
    Kept,
    Location,
    Note,
    Photo,
    Production,
    Recording,
    Room,
    Scene,
    Setup,
)

SEEN, LINES, UNDOES = "rows as they were", "lines of the log", "what this takes back"
_SIGNED = frozenset(Kept.__annotations__) - {"binned_at"}
# what a program read from a file, and no person says
_READ: dict[type[Any], frozenset[str]] = {
    Photo: frozenset(["sha256", "bytes", "mime", "width_px", "height_px", "facts"]),
    Recording: frozenset(["sha256", "bytes", "mime", "state", "because", "measured"]),
}


@dataclass
class Seen:
    """A row that is being changed: its fields as they were, and as they are to be."""

    row: Any
    added: bool
    before: dict[str, Any] = field(default_factory=dict)
    after: dict[str, Any] = field(default_factory=dict)

    @property
    def fields(self) -> dict[str, Any]:
        """Of each field that differs: before, after."""
        return {
            name: [self.before[name], value]
            for name, value in self.after.items()
            if value != self.before[name]
        }


def fields_of(kind: Any) -> tuple[str, ...]:
    """The columns of a row that somebody may change."""
    left_out = _SIGNED | _READ.get(kind, frozenset())
    return tuple(one.key for one in inspect(kind).column_attrs if one.key not in left_out)


def plain(value: Any) -> Any:
    """A value as it is kept in the log."""
    return value.isoformat() if isinstance(value, date | datetime) else value


def log(db: Session, line: Change, row: Any) -> None:
    """A line of the log about a row, written with the commit."""
    db.info.setdefault(LINES, []).append((line, row))


@event.listens_for(Session, "before_flush")
def _see(session: Session, _context: UOWTransaction, _instances: object) -> None:
    seen: dict[int, Seen] = session.info.setdefault(SEEN, {})
    for added, rows in ((True, session.new), (False, session.dirty)):
        for row in rows:
            if isinstance(row, Kept):
                one = seen.setdefault(id(row), Seen(row, added))
                _take(one, inspect(row))


def _take(seen: Seen, state: Any) -> None:
    for name in fields_of(type(seen.row)):
        history = state.attrs[name].history
        if history.added and (seen.added or history.deleted):
            seen.before.setdefault(name, plain(history.deleted[0]) if history.deleted else None)
            seen.after[name] = plain(history.added[0])


@event.listens_for(Session, "after_soft_rollback")
def _forget(session: Session, _previous: SessionTransaction) -> None:
    for name in (SEEN, LINES, UNDOES):
        session.info.pop(name, None)


def complete(db: Session, at: datetime, by: str | None) -> int | None:
    """Write the lines of this transaction with what they changed, and a line of its own for each
    row that changed without one: an outlet that follows its circuit's new name. Returns the key of
    the change; None where nothing changed.
    """
    db.flush()
    seen: dict[int, Seen] = db.info.pop(SEEN, {})
    lines: list[tuple[Change, Any]] = db.info.pop(LINES, [])
    undoes: int | None = db.info.pop(UNDOES, None)
    said = {id(row) for _, row in lines}
    for key, one in seen.items():
        if key not in said and one.fields:
            lines.append((line_of(one.row, at, by, ""), one.row))
    for line, row in lines:
        found = seen.pop(id(row), None)  # of two lines about one row the first has it
        if found is not None and found.fields:
            line.fields, line.added = _with_audience(found), found.added
        line.about = about(row)
    if not lines:
        return None
    first = lines[0][0]
    first.undoes = undoes
    db.add(first)
    db.flush()
    for line, _ in lines[1:]:
        line.part_of = first.id
        db.add(line)
    return first.id


def _with_audience(seen: Seen) -> dict[str, Any]:
    """A note's line says whom it was for then, so that nobody reads later what was private."""
    if isinstance(seen.row, Note) and "audience" not in seen.fields:
        return {**seen.fields, "audience": [seen.row.audience, seen.row.audience]}
    return seen.fields


def line_of(row: Any, at: datetime, by: str | None, words: str) -> Change:
    """A line of the log about a row."""
    return Change(at=at, by=by, kind=type(row).__name__.lower(), record_id=row.id, words=words)


def about(row: Any) -> str | None:
    """The room, place or production that a row is of."""
    if isinstance(row, Setup):
        row = row.candidate
    if isinstance(row, Candidate | Decision):  # a choice is of the production, not of the room
        session = object_session(row)
        row = session.get(Scene, row.scene_id) if session is not None else None
    for kind in (Room, Location, Production):
        if isinstance(row, kind):
            return f"{kind.__name__.lower()}.{row.id}"
    for name in ("room", "location", "production"):
        key = getattr(row, f"{name}_id", None)
        if key is not None:
            return f"{name}.{key}"
    return None
