"""Codes of doors, gates and alarms."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from scout.store.models.base import Base, UtcDateTime


class GateCode(Base):
    """A code of a place: what it opens in words, and the code with its note, sealed
    (`usecases/sealing.py`). It is no `Kept` row: neither bin nor changes may hold what it was.
    """

    __tablename__ = "gate_code"
    id: Mapped[int] = mapped_column(primary_key=True)
    location_id: Mapped[int] = mapped_column(
        ForeignKey("location.id", ondelete="CASCADE"), index=True
    )
    label: Mapped[str] = mapped_column(String(300))
    sealed: Mapped[str] = mapped_column(Text)
    version: Mapped[int]
    changed_at: Mapped[datetime] = mapped_column(UtcDateTime)
    changed_by: Mapped[str | None] = mapped_column(String(300))


GateCode.__mapper__.version_id_col = GateCode.__table__.c.version
