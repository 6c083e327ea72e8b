"""Questions about productions, scenes, candidates, packets, and what lies in the bin."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from sqlalchemy import and_, or_, select
from sqlalchemy.orm import Session

from scout.store.models import (
    Candidate,
    Day,
    Kept,
    Location,
    Packet,
    Photo,
    Production,
    Room,
    Scene,
    Setup,
)
from scout.store.queries.common import Listing, like, one
from scout.store.queries.places import rooms_whole


def production(db: Session, key: int) -> Production:
    """A production. Raises NotFound."""
    return one(db, Production, key)


def scene(db: Session, key: int) -> Scene:
    """A scene whose production is not binned either. Raises NotFound."""
    found = one(db, Scene, key)
    one(db, Production, found.production_id)
    return found


def every_production(db: Session) -> list[Production]:
    """All living productions, oldest first."""
    return list(
        db.scalars(select(Production).where(Production.binned_at.is_(None)).order_by(Production.id))
    )


def productions(text: str) -> Listing:
    """Living productions whose title or client holds the text, newest first."""
    query = select(Production).where(Production.binned_at.is_(None))
    if text:
        pattern = like(text)
        query = query.where(
            or_(
                Production.title.ilike(pattern, escape="\\"),
                Production.client.ilike(pattern, escape="\\"),
            )
        )
    return Listing(query, (Production.__table__.c.id,), newest=True)


def scenes(db: Session, production_id: int) -> list[Scene]:
    """Living scenes of a production."""
    return list(
        db.scalars(
            select(Scene)
            .where(Scene.production_id == production_id, Scene.binned_at.is_(None))
            .order_by(Scene.id)
        )
    )


def every_scene(db: Session) -> list[Scene]:
    """Living scenes of all living productions, newest first."""
    return list(
        db.scalars(
            select(Scene)
            .join(
                Production,
                and_(Production.id == Scene.production_id, Production.binned_at.is_(None)),
            )
            .where(Scene.binned_at.is_(None))
            .order_by(Scene.id.desc())
        )
    )


def candidates(
    db: Session, *, scene_id: int | None = None, room_id: int | None = None
) -> list[Candidate]:
    """Living candidates of a scene or of a room, their room, place, scene and production living
    too.
    """
    query = (
        select(Candidate)
        .join(Room, and_(Room.id == Candidate.room_id, Room.binned_at.is_(None)))
        .join(Location, and_(Location.id == Room.location_id, Location.binned_at.is_(None)))
        .join(Scene, and_(Scene.id == Candidate.scene_id, Scene.binned_at.is_(None)))
        .join(
            Production, and_(Production.id == Scene.production_id, Production.binned_at.is_(None))
        )
        .where(Candidate.binned_at.is_(None))
    )
    if scene_id is not None:
        query = query.where(Candidate.scene_id == scene_id)
    if room_id is not None:
        query = query.where(Candidate.room_id == room_id)
    return list(db.scalars(query.order_by(Candidate.id)))


def rooms_in_play(db: Session, production_id: int) -> list[Room]:
    """The rooms proposed for any scene of the production and not ruled out with their parts, each
    once, by place and name.
    """
    keys = {
        candidate.room_id
        for scene in scenes(db, production_id)
        for candidate in candidates(db, scene_id=scene.id)
        if candidate.state != "ruled_out"
    }
    return sorted(
        rooms_whole(db, sorted(keys)),
        key=lambda room: (
            room.location.name.casefold(),
            room.location_id,
            (room.name or "").casefold(),
            room.id,
        ),
    )


def setups(db: Session, production_id: int) -> list[Setup]:
    """Living setups of a production whose proposal, room, place and scene live too, by date and
    hour.
    """
    rows = db.scalars(
        select(Setup)
        .join(Candidate, and_(Candidate.id == Setup.candidate_id, Candidate.binned_at.is_(None)))
        .join(Scene, and_(Scene.id == Candidate.scene_id, Scene.binned_at.is_(None)))
        .join(Room, and_(Room.id == Candidate.room_id, Room.binned_at.is_(None)))
        .join(Location, and_(Location.id == Room.location_id, Location.binned_at.is_(None)))
        .where(Scene.production_id == production_id, Setup.binned_at.is_(None))
        .order_by(Setup.id)
    )
    return sorted(rows, key=lambda row: (row.on or date.max, row.from_time or "", row.id))


def coming_setups(db: Session, today: date) -> list[Setup]:
    """Living setups of first choices on the first date from today on for which there are any."""
    query = (
        select(Setup)
        .join(Candidate, and_(Candidate.id == Setup.candidate_id, Candidate.binned_at.is_(None)))
        .join(Scene, and_(Scene.id == Candidate.scene_id, Scene.binned_at.is_(None)))
        .join(
            Production,
            and_(Production.id == Scene.production_id, Production.binned_at.is_(None)),
        )
        .join(Room, and_(Room.id == Candidate.room_id, Room.binned_at.is_(None)))
        .where(Setup.binned_at.is_(None), Candidate.state == "first_choice", Setup.on >= today)
        .order_by(Setup.on, Setup.from_time, Setup.id)
        .limit(40)
    )
    rows = list(db.scalars(query))
    return [row for row in rows if row.on == rows[0].on]


def kept_days(db: Session) -> list[Day]:
    """What is kept of the days of productions that live."""
    return list(
        db.scalars(
            select(Day)
            .join(
                Production,
                and_(Production.id == Day.production_id, Production.binned_at.is_(None)),
            )
            .order_by(Day.production_id)
        )
    )


def candidate_of(db: Session, scene_id: int, room_id: int) -> Candidate | None:
    """The candidate of a scene and a room, also one in the bin."""
    return db.scalar(
        select(Candidate).where(Candidate.scene_id == scene_id, Candidate.room_id == room_id)
    )


def dates_of(scene: Scene) -> list[date]:
    """The dates a scene names itself, else its production's shoot dates."""
    own = [
        date.fromisoformat(day)
        for need in scene.needs or ()
        if need["topic"] == "when"
        for day in need["dates"]
    ]
    return own or [date.fromisoformat(day) for day in scene.production.shoot_dates or ()]


def first_coming(dates: Sequence[date], today: date) -> date:
    """The first of some dates that is still to come, else the last of them, else today."""
    coming = sorted(day for day in dates if day >= today)
    return coming[0] if coming else max(dates, default=today)


def last_packet(
    db: Session, production_id: int, *, before: int | None = None, **alike: str
) -> Packet | None:
    """The newest print of a production's packet; `before`: of a revision before that one, `alike`:
    of that edition, date, paper and units.
    """
    query = select(Packet).where(Packet.production_id == production_id)
    if before is not None:
        query = query.where(Packet.revision < before)
    for column, value in alike.items():
        query = query.where(getattr(Packet, column) == value)
    return db.scalar(query.order_by(Packet.revision.desc(), Packet.id.desc()).limit(1))


def newest_packet(db: Session, production_id: int) -> Packet | None:
    """The print of a production that was made last, of whichever revision."""
    query = select(Packet).where(Packet.production_id == production_id)
    return db.scalar(query.order_by(Packet.id.desc()).limit(1))


def binned(db: Session, kind: type[Kept]) -> list[Any]:
    """What of one kind lies in the bin, newest first."""
    return list(
        db.scalars(select(kind).where(kind.binned_at.is_not(None)).order_by(kind.binned_at.desc()))
    )


def all_photos(db: Session) -> list[Photo]:
    """Every photo, those in the bin too."""
    return list(db.scalars(select(Photo).order_by(Photo.id)))
