"""The day plan of a production, and the private addresses of its calendar."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column, relationship

from scout.store.models.base import Base, Kept, Plain, UtcDateTime
from scout.store.models.jobs import Production


class Day(Kept, Base):
    """The crew's limits, the scenes' times and the plan kept, one a production."""

    __tablename__ = "day"
    production_id: Mapped[int] = mapped_column(
        ForeignKey("production.id", ondelete="CASCADE"), unique=True
    )
    from_time: Mapped[str | None] = mapped_column(String(5))
    until_time: Mapped[str | None] = mapped_column(String(5))
    crew_min: Mapped[int | None]
    rest_min: Mapped[int | None]
    meal_min: Mapped[int | None]
    meal_within_min: Mapped[int | None]
    scenes: Mapped[list[Any] | None] = mapped_column(Plain)
    placed: Mapped[list[Any] | None] = mapped_column(Plain)
    production: Mapped[Production] = relationship()


class Calendar(Base):
    """A private address under which a calendar can be read; only a hash of its token is kept."""

    __tablename__ = "calendar"
    id: Mapped[int] = mapped_column(primary_key=True)
    production_id: Mapped[int] = mapped_column(
        ForeignKey("production.id", ondelete="CASCADE"), index=True
    )
    person: Mapped[str | None] = mapped_column(String(300))  # None: of the whole crew
    token_sha256: Mapped[str] = mapped_column(String(64), unique=True)
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    made_by: Mapped[str | None] = mapped_column(String(300))


Day.__mapper__.version_id_col = Day.__table__.c.version
