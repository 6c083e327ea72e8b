"""Questions about locations and rooms."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import (
    ColumnElement,
    String,
    and_,
    cast,
    false,
    func,
    inspect,
    literal,
    literal_column,
    or_,
    select,
    union_all,
)
from sqlalchemy.orm import Session, joinedload, selectinload

from scout.errors import NotFound
from scout.records.parts import PARTS
from scout.store.models import Location, Note, Photo, Room
from scout.store.queries.common import Listing, is_key, like, one

NAMED = func.lower(func.coalesce(Room.name, literal_column("''")))  # as an index has it
PLACE_NAMED = func.lower(Location.name)
ROOM_PARTS = tuple(getattr(Room, name) for name in ("surfaces", *PARTS, "measurements"))


def location(db: Session, key: int) -> Location:
    """A location. Raises NotFound."""
    return one(db, Location, key)


def room_alone(db: Session, key: int) -> Room:
    """A room whose parts nobody is going to ask for. Raises NotFound, also where its location is
    binned.
    """
    found = one(db, Room, key, options=(joinedload(Room.location),))
    if found.location.binned_at is not None:
        raise NotFound("location", found.location_id)
    return found


def room(db: Session, key: int) -> Room:
    """A room with its parts loaded, whose location is not binned either. Raises NotFound."""
    found = room_alone(db, key)
    _load_parts(db, [found])
    return found


def rooms_whole(db: Session, keys: Sequence[int]) -> list[Room]:
    """Rooms with their locations and parts, all read at once. Whoever goes through them again and
    again holds the list meanwhile: a session forgets what nobody holds, and reads it anew.
    """
    wanted = select(Room).where(Room.id.in_(keys)).options(joinedload(Room.location))
    found = list(db.scalars(wanted))
    _load_parts(db, found)
    return found


def _load_parts(db: Session, rows: Sequence[Room]) -> None:
    """Load the parts of rooms for which this unit of work has not asked yet."""
    parts = {part.key for part in ROOM_PARTS}
    new = [row.id for row in rows if inspect(row).unloaded & parts]
    if new:
        loaded = (selectinload(part) for part in ROOM_PARTS)
        db.scalars(select(Room).where(Room.id.in_(new)).options(*loaded)).all()


def locations(text: str) -> Listing:
    """Living locations whose name or address holds the text, by name."""
    query = select(Location).where(Location.binned_at.is_(None))
    if text:
        pattern = like(text)
        query = query.where(
            or_(
                _called(PLACE_NAMED, pattern),
                Location.address.ilike(pattern, escape="\\"),
            )
        )
    return Listing(query, (PLACE_NAMED, Location.id))


def _called(named: ColumnElement[str], pattern: str) -> ColumnElement[bool]:
    """Whether a name in small letters holds the text of a pattern: said of the expression that an
    index holds, so that no name is put into small letters again.
    """
    return named.like(func.lower(pattern), escape="\\")


def every_location(db: Session) -> list[Location]:
    """All living locations, oldest first."""
    return list(
        db.scalars(select(Location).where(Location.binned_at.is_(None)).order_by(Location.id))
    )


def every_room(db: Session) -> list[Room]:
    """All living rooms of living locations with their parts and locations, oldest first."""
    wanted = (
        select(Room)
        .join(Location)
        .where(Room.binned_at.is_(None), Location.binned_at.is_(None))
        .options(
            selectinload(Room.location),
            *(selectinload(part) for part in ROOM_PARTS),
        )
    )
    return list(db.scalars(wanted.order_by(Room.id)))


def every_photo(db: Session) -> list[Photo]:
    """All living photos of living places and rooms, oldest first."""
    places = select(Location.id).where(Location.binned_at.is_(None))
    rooms = select(Room.id).where(Room.binned_at.is_(None), Room.location_id.in_(places))
    owned = or_(Photo.location_id.in_(places), Photo.room_id.in_(rooms))
    wanted = select(Photo).where(Photo.binned_at.is_(None), owned)
    return list(db.scalars(wanted.order_by(Photo.id)))


def named(db: Session, name: str) -> list[Location]:
    """Living locations of exactly this name, oldest first."""
    return list(
        db.scalars(
            select(Location)
            .where(Location.name == name, Location.binned_at.is_(None))
            .order_by(Location.id)
        )
    )


def rooms(text: str, setting: str | None, location_id: int | None) -> Listing:
    """Living rooms of living locations with their locations, by the names of both."""
    binned = select(Location.id).where(Location.binned_at.is_not(None))
    wanted: list[ColumnElement[bool]] = [Room.binned_at.is_(None), Room.location_id.not_in(binned)]
    if text:
        pattern = like(text)
        there = select(Location.id).where(
            Location.binned_at.is_(None), _called(PLACE_NAMED, pattern)
        )
        named = select(Room.id).where(Room.binned_at.is_(None), _called(NAMED, pattern))
        in_them = select(Room.id).where(Room.location_id.in_(there))
        wanted.append(Room.id.in_(named.union(in_them)))
    if setting:
        wanted.append(Room.setting == setting)
    if location_id is not None:
        wanted.append(Room.location_id == location_id if is_key(location_id) else false())
    bare = select(Room, Location).join(Location, Location.id == Room.location_id)
    order = (PLACE_NAMED, Location.id, NAMED, Room.id)
    counted = select(Room.id).where(*wanted)
    return Listing(bare.where(*wanted), order, counted=counted, bare=bare)


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


def photos_found(text: str) -> Listing:
    """Living photos of living owners with their place and their room, where their caption, file,
    room, its tags or its place holds the text.
    """
    query = (
        select(Photo, Location, Room)
        .outerjoin(Room, Room.id == Photo.room_id)
        .join(Location, Location.id == func.coalesce(Photo.location_id, Room.location_id))
        .where(Photo.binned_at.is_(None), Location.binned_at.is_(None), Room.binned_at.is_(None))
    )
    if text:
        pattern = like(text)
        where = (Photo.caption, Photo.original_name, Room.name, Location.name)
        tags = cast(Room.tags, String)
        query = query.where(or_(*(one.ilike(pattern, escape="\\") for one in (*where, tags))))
    order = (PLACE_NAMED, Location.id, NAMED, Photo.position, Photo.id)
    return Listing(query, order)


def first_photos(
    db: Session, *, room_ids: Sequence[int] = (), location_ids: Sequence[int] = ()
) -> dict[int, int]:
    """The key of the first photo of each of some rooms, or of each of some locations (one of its
    own before one of its rooms), by the owner's key.
    """
    kept, sort = Photo.binned_at.is_(None), (Photo.position, Photo.id)
    of_rooms = select(Room.location_id, Photo.id, literal(1), *sort).join(
        Room, and_(Room.id == Photo.room_id, Room.binned_at.is_(None))
    )
    every = [
        select(Photo.room_id, Photo.id, literal(0), *sort).where(kept, Photo.room_id.in_(room_ids)),
        select(Photo.location_id, Photo.id, literal(0), *sort).where(
            kept, Photo.location_id.in_(location_ids)
        ),
        of_rooms.where(kept, Room.location_id.in_(location_ids)),
    ]
    rows = db.execute(union_all(*(every[:1] if room_ids else every[1:]))).all()
    found: dict[int, int] = {}
    for key, photo_id, *_ in sorted(rows, key=lambda row: row[2:]):
        found.setdefault(int(key or 0), photo_id)
    return found


def turned_photos(db: Session) -> dict[int, str]:
    """How the photos are turned that are, by key."""
    rows = db.execute(
        select(Photo.id, Photo.turned).where(Photo.turned.in_(("right", "over", "left")))
    )
    return {key: turned for key, turned in rows}  # noqa: C416 - rows are no pairs to mypy


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
