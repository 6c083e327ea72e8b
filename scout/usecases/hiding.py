"""One filter for whoever may not read everything: rows lose what the table of paper does not let
them read as they are loaded, and rows that are not theirs are not found at all. So every page, file
and answer of the API is filtered, those that nobody has thought of yet too.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache
from typing import Any, get_args

from sqlalchemy import event, false
from sqlalchemy.orm import (
    ORMExecuteState,
    Session,
    UOWTransaction,
    object_session,
    with_loader_criteria,
)
from sqlalchemy.orm.attributes import set_committed_value

from scout.errors import NotAllowed
from scout.packet.names import EDITION_READERS
from scout.packet.privacy import Reader, cleared, may_read
from scout.records.base import Record
from scout.store import translate
from scout.store.models import Base, Change, GateCode, Note, Packet, Recording
from scout.values import said

READER = "reader"


def hide_from(session: Session, reader: Reader) -> None:
    """From here on the session shows no more than this reader may read."""
    session.info[READER] = reader


@event.listens_for(Base, "load", propagate=True)
def _loaded(row: Any, context: Any) -> None:
    _empty(row, context)


@event.listens_for(Base, "refresh", propagate=True)
def _refreshed(row: Any, context: Any, _names: object) -> None:
    _empty(row, context)


def _empty(row: Any, context: Any) -> None:
    # a row that is merged into a session comes from no question
    session = object_session(row) if context is None else context.session
    reader = None if session is None else session.info.get(READER)
    record = translate.RECORDS.get(type(row)) if reader is not None else None
    if reader is None or record is None:
        return
    for column in _hidden(record, reader):
        if row.__dict__.get(column) is not None:
            set_committed_value(row, column, None)
    for column in _partly_hidden(record, reader):
        value = row.__dict__.get(column)
        if value is not None:
            whole = record.model_validate({**_least(row, record), column: value})
            plain = cleared(whole, reader).model_dump(mode="json", exclude_none=True)
            set_committed_value(row, column, plain.get(column))


def _least(row: Any, record: type[Record]) -> dict[str, Any]:
    """What a record of a row cannot be without."""
    needed = (name for name, field in record.model_fields.items() if field.is_required())
    return {name: row.__dict__.get(name) for name in needed}


@cache
def _hidden(record: type[Record], reader: Reader) -> tuple[str, ...]:
    """The columns of a row that a reader may not see at all."""
    return tuple(name for name in record.model_fields if not may_read(record, name, reader))


@cache
def _partly_hidden(record: type[Record], reader: Reader) -> tuple[str, ...]:
    """The columns that hold records of which a reader may not see every field."""
    return tuple(
        name
        for name, field in record.model_fields.items()
        if name not in _hidden(record, reader)
        and any(_hidden(inner, reader) for inner in _records_in(field.annotation))
    )


def _records_in(annotation: Any) -> Iterator[type[Record]]:
    if isinstance(annotation, type) and issubclass(annotation, Record):
        yield annotation
        for field in annotation.model_fields.values():
            yield from _records_in(field.annotation)
    for inner in get_args(annotation):
        yield from _records_in(inner)


@event.listens_for(Session, "do_orm_execute")
def _only_theirs(state: ORMExecuteState) -> None:
    """A private note, a memo, or an edition for other eyes, is not found."""
    reader = state.session.info.get(READER)
    if reader is None or not state.is_select or state.is_column_load:
        return
    editions = tuple(name for name, of in EDITION_READERS.items() if of == reader)
    state.statement = state.statement.options(
        with_loader_criteria(Change, false()),  # it keeps what was, whoever it was for
        with_loader_criteria(GateCode, false()),
        with_loader_criteria(Note, Note.audience == reader),
        with_loader_criteria(Recording, Recording.purpose != "memo"),
        with_loader_criteria(Packet, Packet.edition.in_(editions)),
    )


@event.listens_for(Session, "before_flush")
def _keeps_what_it_cannot_see(
    session: Session, _context: UOWTransaction, _instances: object
) -> None:
    """What was emptied for a reader must never be written back as if it were empty."""
    reader = session.info.get(READER)
    if reader is None:
        return
    changed: Iterable[Any] = (row for row in session.dirty if session.is_modified(row))
    for row in (*changed, *session.deleted):
        record = translate.RECORDS.get(type(row))
        if record and (_hidden(record, reader) or _partly_hidden(record, reader)):
            raise NotAllowed(said("kept.not_all_seen"))
