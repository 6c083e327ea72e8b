"""What may be searched of each room, kept beside it in one text: its names, tags, address, the crew's
notes and the captions of its photos.

Whatever is saved through a Session marks the rooms whose text it changes; `bring_up_to_date` writes
them anew within the same transaction, so that a search never lags behind. `complete` writes what is
missing: after a migration, or an archive read in.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import and_, delete, event, insert, inspect, or_, select
from sqlalchemy.orm import Session, UOWTransaction

from scout.store.models import Location, Note, Photo, Room, RoomWords

ROOMS, PLACES = "rooms whose words change", "places whose words change"
AT_ONCE = 500
# what of a note or a photo is in a text, or says whether and where it is
TELLS = ("text", "audience", "caption", "overlays", "room_id", "location_id", "binned_at")


@event.listens_for(Session, "before_flush")
def mark(session: Session, _context: UOWTransaction, _instances: object) -> None:
    """Remember whose words what is about to be written changes; where a photo or a note moves, both
    rooms.
    """
    touched = (row for row in session.dirty if session.is_modified(row))
    for row in (*session.new, *touched, *session.deleted):
        if isinstance(row, Room):
            session.info.setdefault(ROOMS, []).append(row)
        elif isinstance(row, Location):
            session.info.setdefault(PLACES, set()).add(row)
        elif isinstance(row, Note | Photo):
            if not _tells(session, row):
                continue
            state: Any = inspect(row)
            for name, there in (("room_id", ROOMS), ("location_id", PLACES)):
                history = state.attrs[name].history
                keys = {key for key in history.sum() if key is not None}
                session.info.setdefault(f"{there} by key", set()).update(keys)


def _tells(session: Session, row: Note | Photo) -> bool:
    """Whether what happens to a row changes a text; of the hundredth photo of a room, which says
    nothing yet, the words of the others would be read again else.
    """
    if row in session.deleted:
        return True
    if row in session.new:
        return isinstance(row, Note) or bool(row.caption or row.overlays)
    state: Any = inspect(row)
    return any(state.attrs[name].history.has_changes() for name in TELLS if name in state.attrs)


def bring_up_to_date(db: Session) -> None:
    """Write the words of the rooms that this transaction changes."""
    db.flush()
    rooms = {row.id for row in db.info.pop(ROOMS, ()) if row.id is not None}
    rooms |= db.info.pop(f"{ROOMS} by key", set())
    places = {row.id for row in db.info.pop(PLACES, ()) if row.id is not None}
    places |= db.info.pop(f"{PLACES} by key", set())
    if places:
        rooms |= set(db.scalars(select(Room.id).where(Room.location_id.in_(places))))
    if rooms:
        _write(db, sorted(rooms))


def missing(db: Session) -> list[int]:
    """The rooms whose words are not written yet."""
    return list(
        db.scalars(
            select(Room.id).where(Room.id.not_in(select(RoomWords.room_id))).order_by(Room.id)
        )
    )


def complete(db: Session) -> None:
    """Write the words of every room that has none yet."""
    _write(db, missing(db))


def _write(db: Session, keys: Sequence[int]) -> None:
    for begin in range(0, len(keys), AT_ONCE):
        some = keys[begin : begin + AT_ONCE]
        if db.get_bind().dialect.name == "postgresql":
            # two saves at once: the later reads what the earlier wrote, and does not add it again;
            # SQLite lets in one at a time
            held = select(Room.id).where(Room.id.in_(some)).order_by(Room.id)
            db.execute(held.with_for_update(key_share=True))
        words = _words(db, some)
        db.execute(delete(RoomWords).where(RoomWords.room_id.in_(some)))
        if words:
            db.execute(
                insert(RoomWords), [{"room_id": key, "words": text} for key, text in words.items()]
            )


def _words(db: Session, keys: Sequence[int]) -> dict[int, str]:
    """The text of each of some rooms that are still there."""
    rows = db.execute(
        select(Room.id, Room.location_id, Room.name, Room.tags, Location.name, Location.address)
        .join(Location, Location.id == Room.location_id)
        .where(Room.id.in_(keys))
    ).all()
    texts: dict[int, list[str | None]] = {}
    at: dict[int, list[int]] = {}
    for key, place, name, tags, place_name, address in rows:
        texts[key] = [name, *map(str, tags or ()), place_name, address]
        at.setdefault(place, []).append(key)
    crew = and_(Note.audience == "crew", Note.binned_at.is_(None))
    seen = Photo.binned_at.is_(None)
    for kind, text, living in ((Note, Note.text, crew), (Photo, Photo.caption, seen)):
        own = select(kind.room_id, text).where(living, kind.room_id.in_(keys))
        theirs = select(kind.location_id, text).where(living, kind.location_id.in_(at))
        for key, words in db.execute(own):
            texts[key or 0].append(words)
        for place, words in db.execute(theirs):
            for key in at[place or 0]:
                texts[key].append(words)
    drawn = select(Photo.room_id, Photo.location_id, Photo.overlays).where(
        seen, Photo.overlays.is_not(None), or_(Photo.room_id.in_(keys), Photo.location_id.in_(at))
    )
    for room, place, overlays in db.execute(drawn):
        for key in [room] if room is not None else at[place]:
            texts[key] += [one.get("text") for one in overlays]
    return {key: "\n".join(part for part in parts if part) for key, parts in texts.items()}
