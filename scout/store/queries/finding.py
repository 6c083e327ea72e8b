"""Rooms by the words that stand on them: names, addresses, tags, crew notes and captions of photos.

Private notes are never searched. Words are found by their beginnings, in SQLite by FTS5, in
PostgreSQL by its full text; scripts that write no spaces are searched letter by letter.
"""

from __future__ import annotations

import re

from sqlalchemy import Select, String, and_, cast, func, literal, select, text, union_all
from sqlalchemy.orm import Session

from scout.store.models import Location, Note, Photo, Room
from scout.store.queries.common import like

# Thai, Lao, Burmese, Khmer, kana, Han: written without spaces between words
NO_SPACES = re.compile(
    "[\u0e00-\u0eff\u1000-\u109f\u1780-\u17ff\u3040-\u30ff\u3400-\u9fff\uf900-\ufaff]"
)
MOST_WORDS = 20


def _texts() -> Select[tuple[int, str]]:
    """All that may be searched of each living room, in one text."""
    living = and_(Room.binned_at.is_(None), Location.binned_at.is_(None))
    rooms = Room.location_id == Location.id
    crew = and_(Note.audience == "crew", Note.binned_at.is_(None))
    parts = [
        select(Room.id.label("room_id"), func.coalesce(Room.name, "").label("words"))
        .join(Location, rooms)
        .where(living),
        select(Room.id, func.coalesce(cast(Room.tags, String), "")).join(Location, rooms),
        select(Room.id, Location.name + " " + func.coalesce(Location.address, "")).join(
            Location, rooms
        ),
        select(Room.id, Note.text).join(Note, Note.room_id == Room.id).where(crew),
        select(Room.id, Note.text).join(Note, Note.location_id == Room.location_id).where(crew),
        select(Room.id, func.coalesce(Photo.caption, ""))
        .join(Photo, Photo.room_id == Room.id)
        .where(Photo.binned_at.is_(None)),
        select(Room.id, func.coalesce(Photo.caption, ""))
        .join(Photo, Photo.location_id == Room.location_id)
        .where(Photo.binned_at.is_(None)),
    ]
    every = union_all(*parts).subquery()
    return select(every.c.room_id, every.c.words)


def rooms_with(db: Session, sought: str) -> set[int]:
    """The rooms on which every word sought stands, or begins. Raises Refused for a text too long."""
    like(sought)  # refuses what is too long to be sought
    words = re.findall(r"\w+", sought)[:MOST_WORDS]
    if not words:
        return set()
    postgres = db.get_bind().dialect.name == "postgresql"
    each = _texts().subquery()
    joined = (
        func.string_agg(each.c.words, literal(" "))
        if postgres
        else func.group_concat(each.c.words, " ")
    )
    whole = select(each.c.room_id, joined.label("words")).group_by(each.c.room_id).subquery()
    spaced = [word for word in words if not NO_SPACES.search(word)]
    unspaced = [word for word in words if NO_SPACES.search(word)]
    found: set[int] | None = None
    if unspaced:
        query = select(whole.c.room_id)
        for word in unspaced:
            query = query.where(whole.c.words.ilike(like(word), escape="\\"))
        found = set(db.scalars(query))
    if spaced:
        matching = _postgres(db, whole, spaced) if postgres else _sqlite(db, whole, spaced)
        found = matching if found is None else found & matching
    return found or set()


def _postgres(db: Session, whole: object, words: list[str]) -> set[int]:
    query = " & ".join(f"'{word}':*" for word in words)
    columns = whole.c  # type: ignore[attr-defined]
    there = func.to_tsvector("simple", columns.words).op("@@")(func.to_tsquery("simple", query))
    return set(db.scalars(select(columns.room_id).where(there)))


def _sqlite(db: Session, whole: object, words: list[str]) -> set[int]:
    """An index made for this one search: it is never behind what is kept."""
    columns = whole.c  # type: ignore[attr-defined]
    connection = db.connection()
    connection.execute(
        text(
            "create virtual table temp.sought using fts5("
            "words, room_id unindexed, tokenize = 'unicode61 remove_diacritics 2')"
        )
    )
    try:
        rows = [
            {"words": words_, "room_id": room_id}
            for room_id, words_ in db.execute(select(columns.room_id, columns.words))
        ]
        if rows:
            connection.execute(
                text("insert into temp.sought (words, room_id) values (:words, :room_id)"), rows
            )
        query = " ".join(f'"{word}"*' for word in words)
        found = connection.execute(
            text("select room_id from temp.sought where sought match :query"), {"query": query}
        )
        return {int(row[0]) for row in found}
    finally:
        connection.execute(text("drop table temp.sought"))
