"""Rooms by the words that stand on them: names, addresses, tags, crew notes and captions of photos.

Private notes are never searched. Words are found by their beginnings, in SQLite by FTS5, in
PostgreSQL by its full text; scripts that write no spaces are searched letter by letter.
"""

from __future__ import annotations

import re

from sqlalchemy import ColumnElement, and_, column, false, func, literal_column, select, table
from sqlalchemy.orm import Session

from scout.store.models import Room, RoomWords
from scout.store.queries.common import like

# Thai, Lao, Burmese, Khmer, kana, Han: written without spaces between words
NO_SPACES = re.compile(
    "[\u0e00-\u0eff\u1000-\u109f\u1780-\u17ff\u3040-\u30ff\u3400-\u9fff\uf900-\ufaff]"
)
MOST_WORDS = 20
FTS = table("room_words_fts", column("rowid"))


def has_words(db: Session, sought: str) -> ColumnElement[bool]:
    """Whether every word sought stands on a room, or begins there. Raises Refused for a text too
    long.
    """
    like(sought)  # refuses what is too long to be sought
    words = re.findall(r"\w+", sought)[:MOST_WORDS]
    if not words:
        return false()
    spaced = [word for word in words if not NO_SPACES.search(word)]
    found = select(RoomWords.room_id)
    for word in words:
        if word not in spaced:
            found = found.where(RoomWords.words.ilike(like(word), escape="\\"))
    if not spaced:
        return Room.id.in_(found)
    if db.get_bind().dialect.name == "postgresql":
        query = func.to_tsquery("simple", " & ".join(f"'{word}':*" for word in spaced))
        # the words of the index, letter by letter: with a bound parameter it would not be used
        written = func.to_tsvector(literal_column("'simple'"), RoomWords.words)
        return Room.id.in_(found.where(written.op("@@")(query)))
    matching = select(FTS.c.rowid).where(
        literal_column("room_words_fts").op("match")(" ".join(f'"{word}"*' for word in spaced))
    )
    if len(spaced) == len(words):
        return Room.id.in_(matching)
    return and_(Room.id.in_(found), Room.id.in_(matching))
