"""Questions about locations and rooms."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Select, and_, false, func, inspect, or_, select
from sqlalchemy.orm import Session, selectinload

from scout.records.parts import PARTS
from scout.store.models import Location, Note, Photo, Room, Window
from scout.store.queries.common import is_key, like, one

ROOM_PARTS = tuple(getattr(Room, name) for name in ("surfaces", *PARTS, "measurements"))


def location(db: Session, key: int) -> Location:
    """A location. Raises NotFound."""
    return one(db, Location, key)


def room_alone(db: Session, key: int) -> Room:
    """A room whose parts nobody is going to ask for. Raises NotFound, also where its location is
    binned.
    """
    found = one(db, Room, key)
    one(db, Location, found.location_id)
    return found


def room(db: Session, key: int) -> Room:
    """A room with its parts loaded, whose location is not binned either. Raises NotFound."""
    found = room_alone(db, key)
    if not inspect(found).unloaded.intersection(part.key for part in ROOM_PARTS):
        return found  # asked for a second time by the same unit of work
    return db.scalars(
        select(Room).where(Room.id == key).options(*(selectinload(part) for part in ROOM_PARTS))
    ).one()


def locations(text: str) -> Select[*tuple[Any, ...]]:
    """Living locations, with the number of their rooms, whose name or address holds the text."""
    rooms = (
        select(Room.location_id, func.count().label("rooms"))
        .where(Room.binned_at.is_(None))
        .group_by(Room.location_id)
        .subquery()
    )
    query = (
        select(Location, func.coalesce(rooms.c.rooms, 0))
        .outerjoin(rooms, rooms.c.location_id == Location.id)
        .where(Location.binned_at.is_(None))
    )
    if text:
        pattern = like(text)
        query = query.where(
            or_(
                Location.name.ilike(pattern, escape="\\"),
                Location.address.ilike(pattern, escape="\\"),
            )
        )
    return query.order_by(func.lower(Location.name), Location.id)


def named(db: Session, name: str) -> list[Location]:
    """Living locations of exactly this name, oldest first."""
    return list(
        db.scalars(
            select(Location)
            .where(Location.name == name, Location.binned_at.is_(None))
            .order_by(Location.id)
        )
    )


def rooms(text: str, setting: str | None, location_id: int | None) -> Select[*tuple[Any, ...]]:
    """Living rooms of living locations, with the number of their windows."""
    windows = (
        select(Window.room_id, func.count().label("windows"))
        .where(Window.binned_at.is_(None))
        .group_by(Window.room_id)
        .subquery()
    )
    query = (
        select(Room, Location, func.coalesce(windows.c.windows, 0))
        .join(Location, and_(Location.id == Room.location_id, Location.binned_at.is_(None)))
        .outerjoin(windows, windows.c.room_id == Room.id)
        .where(Room.binned_at.is_(None))
    )
    if text:
        pattern = like(text)
        query = query.where(
            or_(Room.name.ilike(pattern, escape="\\"), Location.name.ilike(pattern, escape="\\"))
        )
    if setting:
        query = query.where(Room.setting == setting)
    if location_id is not None:
        query = query.where(Room.location_id == location_id if is_key(location_id) else false())
    return query.order_by(func.lower(Location.name), func.lower(Room.name), Room.id)


def photos(
    db: Session, *, location_id: int | None = None, room_id: int | None = None
) -> list[Photo]:
    """Living photos of one owner, in their order."""
    owner = Photo.room_id == room_id if room_id is not None else Photo.location_id == location_id
    return list(
        db.scalars(
            select(Photo).where(owner, Photo.binned_at.is_(None)).order_by(Photo.position, Photo.id)
        )
    )


def first_photos(
    db: Session, *, room_ids: Sequence[int] = (), location_ids: Sequence[int] = ()
) -> dict[int, int]:
    """The key of the first photo of each of some rooms, or of each of some locations (one of its
    own before one of its rooms), by the owner's key.
    """
    owner = Photo.room_id if room_ids else func.coalesce(Photo.location_id, Room.location_id)
    rows = db.execute(
        select(owner, Photo.id)
        .outerjoin(Room, Room.id == Photo.room_id)
        .where(
            owner.in_(list(room_ids or location_ids)),
            Photo.binned_at.is_(None),
            Room.binned_at.is_(None),
        )
        .order_by(Photo.room_id.is_not(None), Photo.position, Photo.id)
    )
    found: dict[int, int] = {}
    for key, photo_id in rows:
        if key is not None:
            found.setdefault(key, photo_id)
    return found


def notes(
    db: Session,
    *,
    location_id: int | None = None,
    room_id: int | None = None,
    crew_only: bool = False,
) -> list[Note]:
    """Living notes of one owner, oldest first; crew notes alone where private ones must not go."""
    owner = Note.room_id == room_id if room_id is not None else Note.location_id == location_id
    query = select(Note).where(owner, Note.binned_at.is_(None))
    if crew_only:
        query = query.where(Note.audience == "crew")
    return list(db.scalars(query.order_by(Note.created_at, Note.id)))
