"""Rows in which somebody may be named, in whichever table they stand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any

from sqlalchemy import JSON, Column, ColumnElement, String, Table, Text, cast, or_, select
from sqlalchemy.orm import Session

from scout.store.models import Base

# columns that hold the name of whoever did something, and nothing else
SIGNED = frozenset({"created_by", "changed_by", "binned_by", "made_by", "asked_by", "by", "person"})
HASH_LENGTH = 64
DUMB = frozenset({"sealed", "credential", "public_key"})  # columns that tell nothing as they lie


def tables() -> list[Table]:
    """Every table."""
    return list(Base.metadata.sorted_tables)


@cache
def texts_of(table: Table) -> tuple[Column[Any], ...]:
    """The columns of a table in which a name may stand: text and records, no hashes or keys."""
    return tuple(
        column
        for column in table.columns
        if isinstance(column.type, JSON)
        or (
            isinstance(column.type, String)
            and column.type.length != HASH_LENGTH
            and not column.name.endswith("_hash")
            and column.name not in DUMB
        )
    )


def signed_of(table: Table) -> tuple[Column[Any], ...]:
    """The columns of a table that say who did something."""
    return tuple(column for column in texts_of(table) if column.name in SIGNED)


def signed_rows(db: Session, table: Table, name: str) -> Iterator[Mapping[str, Any]]:
    """The rows that somebody signed: keys and signed columns."""
    signed = signed_of(table)
    if signed:
        wanted = select(*table.primary_key.columns, *signed)
        wanted = wanted.where(or_(*(column == name for column in signed)))
        yield from map(dict, db.execute(wanted.order_by(*table.primary_key.columns)).mappings())


def likely_rows(
    db: Session, table: Table, needles: Sequence[str] | None
) -> list[Mapping[str, Any]]:
    """The rows of a table in whose texts one of some strings stands, however it is cased: letters
    and digits of English alone, so that neither database nor JSON writes them otherwise. None: all.
    """
    columns = texts_of(table)
    if not columns:
        return []
    wanted = select(*table.primary_key.columns, *columns)
    if needles is not None:
        postgres = db.get_bind().dialect.name == "postgresql"
        plain = [cast(one, Text) if isinstance(one.type, JSON) else one for one in columns]
        wanted = wanted.where(
            or_(*(_holds(one, part, postgres) for one in plain for part in needles))
        )
    return [dict(row) for row in db.execute(wanted).mappings()]


def _holds(column: Any, needle: str, postgres: bool) -> ColumnElement[bool]:
    # SQLite's like knows no case in English letters; `ilike` there calls Python for every row
    found: ColumnElement[bool] = column.icontains(needle) if postgres else column.contains(needle)
    return found
