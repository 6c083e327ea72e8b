"""What all rows share: one naming of constraints, times in UTC, a version, a bin, and who did it
when.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import JSON, DateTime, MetaData, String
from sqlalchemy.engine import Dialect
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column
from sqlalchemy.types import TypeDecorator

CONVENTION = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}


class UtcDateTime(TypeDecorator[datetime]):
    """An instant: stored in UTC, given back aware. SQLite forgets offsets, so they are settled
    before the value gets there.
    """

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """UTC, or a refusal of a time that does not say its offset."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a time without offset cannot be stored")
        return value.astimezone(UTC)

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:
        """Aware, in UTC, from either database."""
        if value is None:
            return None
        found: datetime = value
        return found.replace(tzinfo=UTC) if found.tzinfo is None else found.astimezone(UTC)


Plain = JSON(none_as_null=True)


class Base(DeclarativeBase):
    """Base of all rows; constraint names follow one convention on every database."""

    metadata = MetaData(naming_convention=CONVENTION)


class Kept:
    """A row people edit: its version guards against a save over somebody else's, and deleting only
    marks it as binned.
    """

    id: Mapped[int] = mapped_column(primary_key=True)
    version: Mapped[int] = mapped_column(nullable=False)
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    created_by: Mapped[str | None] = mapped_column(String(300))
    changed_at: Mapped[datetime] = mapped_column(UtcDateTime)
    changed_by: Mapped[str | None] = mapped_column(String(300))
    binned_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    binned_by: Mapped[str | None] = mapped_column(String(300))
