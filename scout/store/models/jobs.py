"""Productions, their scenes and candidates, the packets printed for them, and the photos and notes
of the scout.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, String, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from scout.store.models.base import Base, Kept, Plain, UtcDateTime
from scout.store.models.places import Location, Room


class Production(Kept, Base):
    """One job for one client."""

    __tablename__ = "production"
    title: Mapped[str] = mapped_column(String(300), index=True)
    client: Mapped[str | None] = mapped_column(Text)
    shoot_dates: Mapped[list[Any] | None] = mapped_column(Plain)
    crew: Mapped[list[Any] | None] = mapped_column(Plain)
    kit: Mapped[dict[str, Any] | None] = mapped_column(Plain)
    scenes: Mapped[list[Scene]] = relationship(
        back_populates="production", order_by="Scene.id", passive_deletes=True
    )
    packets: Mapped[list[Packet]] = relationship(
        back_populates="production", order_by="Packet.revision", passive_deletes=True
    )


class Scene(Kept, Base):
    """What must be seen and heard, and what the room must give for it."""

    __tablename__ = "scene"
    production_id: Mapped[int] = mapped_column(
        ForeignKey("production.id", ondelete="CASCADE"), index=True
    )
    name: Mapped[str] = mapped_column(String(300))
    seen: Mapped[str | None] = mapped_column(Text)
    heard: Mapped[str | None] = mapped_column(Text)
    needs: Mapped[list[Any] | None] = mapped_column(Plain)
    production: Mapped[Production] = relationship(back_populates="scenes")
    candidates: Mapped[list[Candidate]] = relationship(
        back_populates="scene", order_by="Candidate.id", passive_deletes=True
    )


class Candidate(Kept, Base):
    """A room proposed for a scene."""

    __tablename__ = "candidate"
    __table_args__ = (UniqueConstraint("scene_id", "room_id"),)
    scene_id: Mapped[int] = mapped_column(ForeignKey("scene.id", ondelete="CASCADE"), index=True)
    room_id: Mapped[int] = mapped_column(ForeignKey("room.id", ondelete="CASCADE"), index=True)
    state: Mapped[str] = mapped_column(String(20))
    reason: Mapped[str | None] = mapped_column(Text)
    plan: Mapped[dict[str, Any] | None] = mapped_column(
        Plain
    )  # where subject, camera and lights stand for this scene
    scene: Mapped[Scene] = relationship(back_populates="candidates")
    room: Mapped[Room] = relationship()
    setups: Mapped[list[Setup]] = relationship(
        back_populates="candidate", order_by="Setup.id", passive_deletes=True
    )


class Setup(Kept, Base):
    """One stretch of shooting a scene in a room that is proposed for it."""

    __tablename__ = "setup"
    candidate_id: Mapped[int] = mapped_column(
        ForeignKey("candidate.id", ondelete="CASCADE"), index=True
    )
    on: Mapped[date | None]  # None: one of the scene's dates, not chosen yet
    from_time: Mapped[str | None] = mapped_column(String(5))
    until_time: Mapped[str | None] = mapped_column(String(5))
    set_up_min: Mapped[int | None]
    strike_min: Mapped[int | None]
    framing: Mapped[str | None] = mapped_column(String(20))
    focal_length_mm: Mapped[float | None]
    covers: Mapped[dict[str, Any] | None] = mapped_column(Plain)
    switched_off: Mapped[list[Any] | None] = mapped_column(Plain)
    note: Mapped[str | None] = mapped_column(Text)
    candidate: Mapped[Candidate] = relationship(back_populates="setups")


class Decision(Base):
    """What was decided for a scene: which room, by whom, when, why, and the facts as they stood."""

    __tablename__ = "decision"
    id: Mapped[int] = mapped_column(primary_key=True)
    scene_id: Mapped[int] = mapped_column(ForeignKey("scene.id", ondelete="CASCADE"), index=True)
    candidate_id: Mapped[int] = mapped_column(
        ForeignKey("candidate.id", ondelete="CASCADE"), index=True
    )
    at: Mapped[datetime] = mapped_column(UtcDateTime)
    by: Mapped[str | None] = mapped_column(String(300))
    why: Mapped[str | None] = mapped_column(Text)
    facts_sha256: Mapped[str] = mapped_column(String(64))
    held: Mapped[dict[str, Any]] = mapped_column(Plain)


class SavedSearch(Kept, Base):
    """A search of rooms that somebody wants again."""

    __tablename__ = "saved_search"
    name: Mapped[str] = mapped_column(String(300))
    asked: Mapped[dict[str, Any]] = mapped_column(Plain)


class Photo(Kept, Base):
    """What is said of a photo, and what its file says; the file lies under its SHA-256."""

    __tablename__ = "photo"
    __table_args__ = (
        CheckConstraint("(location_id is null) <> (room_id is null)", name="one_owner"),
    )
    location_id: Mapped[int | None] = mapped_column(
        ForeignKey("location.id", ondelete="CASCADE"), index=True
    )
    room_id: Mapped[int | None] = mapped_column(
        ForeignKey("room.id", ondelete="CASCADE"), index=True
    )
    sha256: Mapped[str] = mapped_column(String(64), index=True)
    bytes: Mapped[int]
    original_name: Mapped[str] = mapped_column(String(300))
    mime: Mapped[str] = mapped_column(String(60))
    width_px: Mapped[int]
    height_px: Mapped[int]
    facts: Mapped[dict[str, Any]] = mapped_column(
        Plain
    )  # what was read from the file, with its warnings
    caption: Mapped[str | None] = mapped_column(Text)
    in_packet: Mapped[bool]
    position: Mapped[int]
    latitude_deg: Mapped[float | None]
    longitude_deg: Mapped[float | None]
    bearing_deg: Mapped[float | None]
    taken_at: Mapped[str | None] = mapped_column(String(40))
    overlays: Mapped[list[Any] | None] = mapped_column(Plain)  # what people drew on it
    turned: Mapped[str] = mapped_column(String(10), default="no", index=True)  # the file never is
    location: Mapped[Location | None] = relationship()
    room: Mapped[Room | None] = relationship()


class Note(Kept, Base):
    """What somebody wrote about a place or a room."""

    __tablename__ = "note"
    __table_args__ = (
        CheckConstraint("(location_id is null) <> (room_id is null)", name="one_owner"),
    )
    location_id: Mapped[int | None] = mapped_column(
        ForeignKey("location.id", ondelete="CASCADE"), index=True
    )
    room_id: Mapped[int | None] = mapped_column(
        ForeignKey("room.id", ondelete="CASCADE"), index=True
    )
    text: Mapped[str] = mapped_column(Text)
    audience: Mapped[str] = mapped_column(String(10))
    location: Mapped[Location | None] = relationship()
    room: Mapped[Room | None] = relationship()


class Packet(Base):
    """One printed edition of a revision: its file, and what it held, so that the next can say what
    changed. Editions of one revision hold the same facts.
    """

    __tablename__ = "packet"
    __table_args__ = (
        UniqueConstraint("production_id", "revision", "edition", "on_date", "paper", "units"),
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    production_id: Mapped[int] = mapped_column(
        ForeignKey("production.id", ondelete="CASCADE"), index=True
    )
    revision: Mapped[int]
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    made_by: Mapped[str | None] = mapped_column(String(300))
    edition: Mapped[str] = mapped_column(String(20), default="whole")
    on_date: Mapped[str] = mapped_column(String(10), default="")  # of one day alone; empty: of all
    paper: Mapped[str] = mapped_column(String(10))
    units: Mapped[str] = mapped_column(String(10), default="metric")
    pages: Mapped[int]
    sha256: Mapped[str] = mapped_column(String(64))
    changes: Mapped[list[Any]] = mapped_column(Plain)
    held: Mapped[dict[str, Any]] = mapped_column(Plain)
    facts: Mapped[str] = mapped_column(String(64), default="")  # SHA-256 of what it rests on
    findings: Mapped[dict[str, Any]] = mapped_column(
        Plain, default=dict
    )  # lines of each setup, by finding
    lines: Mapped[list[Any]] = mapped_column(
        Plain, default=list
    )  # what each page says, by `line_key`
    page_hashes: Mapped[list[Any]] = mapped_column(Plain, default=list)  # of what each page shows
    swap: Mapped[dict[str, Any] | None] = mapped_column(
        Plain
    )  # against the last print of the edition: of which revision, pages to take out and to put in
    production: Mapped[Production] = relationship(back_populates="packets")


class PrintTemplate(Base):
    """The choices of a print under a name: which edition, of which day, on what paper, in which
    units.
    """

    __tablename__ = "print_template"
    __table_args__ = (UniqueConstraint("production_id", "name"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    production_id: Mapped[int] = mapped_column(ForeignKey("production.id", ondelete="CASCADE"))
    name: Mapped[str] = mapped_column(String(300))
    edition: Mapped[str] = mapped_column(String(20))
    on_date: Mapped[str] = mapped_column(String(10))  # of one day alone; empty: of all
    paper: Mapped[str] = mapped_column(String(10))
    units: Mapped[str] = mapped_column(String(10))


class PacketCode(Base):
    """The token in the code on the front of a production's packets: who has it is told whether a
    revision is the last, and nothing else.
    """

    __tablename__ = "packet_code"
    production_id: Mapped[int] = mapped_column(
        ForeignKey("production.id", ondelete="CASCADE"), primary_key=True
    )
    token: Mapped[str] = mapped_column(String(32), unique=True)


class Printing(Base):
    """A packet that somebody asked for, until it is printed and for a while after. Whoever does it
    says so every few seconds (`beat_at`); who falls silent is taken for dead, and it is done anew.
    """

    __tablename__ = "printing"
    key: Mapped[str] = mapped_column(String(32), primary_key=True)
    production_id: Mapped[int] = mapped_column(
        ForeignKey("production.id", ondelete="CASCADE"), index=True
    )
    wanted: Mapped[dict[str, Any]] = mapped_column(Plain)
    same: Mapped[str | None] = mapped_column(String(64), unique=True)  # None once it is over
    state: Mapped[str] = mapped_column(String(12), index=True)
    tries: Mapped[int]
    done: Mapped[int]
    of: Mapped[int]
    packet_id: Mapped[int | None] = mapped_column(ForeignKey("packet.id", ondelete="SET NULL"))
    because: Mapped[str | None] = mapped_column(Text)
    warnings: Mapped[list[Any]] = mapped_column(Plain)
    asked_at: Mapped[datetime] = mapped_column(UtcDateTime)
    asked_by: Mapped[str | None] = mapped_column(String(300))
    beat_at: Mapped[datetime] = mapped_column(UtcDateTime)


for _kind in (Production, Scene, Candidate, Setup, SavedSearch, Photo, Note):
    _kind.__mapper__.version_id_col = (
        _kind.__table__.c.version
    )  # of two saves at once, one is refused
