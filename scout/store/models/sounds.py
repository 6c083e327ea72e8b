"""Recordings of a room, and the hours in which a place is known to be noisy."""

from __future__ import annotations

from typing import Any

from sqlalchemy import ForeignKey, String, Text
from sqlalchemy.orm import Mapped, mapped_column, relationship

from scout.store.models.base import Base, Kept, Plain
from scout.store.models.places import Location, Room


class Recording(Kept, Base):
    """What is said of a recording, and what was measured from it; the file lies under its SHA-256."""

    __tablename__ = "recording"
    room_id: Mapped[int] = mapped_column(ForeignKey("room.id", ondelete="CASCADE"), index=True)
    sha256: Mapped[str] = mapped_column(String(64), index=True)
    bytes: Mapped[int]
    original_name: Mapped[str] = mapped_column(String(300))
    mime: Mapped[str] = mapped_column(String(60))
    purpose: Mapped[str] = mapped_column(String(20))  # room, tone, burst, memo
    conditions: Mapped[str | None] = mapped_column(Text)
    taken_at: Mapped[str | None] = mapped_column(String(40))
    calibration_db: Mapped[float | None]  # None: not calibrated, levels are relative only
    calibration_by: Mapped[str | None] = mapped_column(Text)
    state: Mapped[str] = mapped_column(String(20))  # waiting, done, failed; a memo is done
    because: Mapped[str | None] = mapped_column(Text)
    measured: Mapped[dict[str, Any] | None] = mapped_column(Plain)
    room: Mapped[Room] = relationship()


class NoiseWindow(Kept, Base):
    """A noise that comes back: bells, a school's yard, deliveries, a flight path."""

    __tablename__ = "noise_window"
    location_id: Mapped[int] = mapped_column(
        ForeignKey("location.id", ondelete="CASCADE"), index=True
    )
    what: Mapped[str] = mapped_column(Text)
    days: Mapped[list[Any] | None] = mapped_column(Plain)  # mon to sun; None: every day
    from_time: Mapped[str] = mapped_column(String(5))
    until_time: Mapped[str] = mapped_column(String(5))
    steady: Mapped[bool | None]
    can_switch_off: Mapped[bool | None]
    location: Mapped[Location] = relationship()


for _kind in (Recording, NoiseWindow):
    _kind.__mapper__.version_id_col = (
        _kind.__table__.c.version
    )  # of two saves at once, one is refused
