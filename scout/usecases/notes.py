"""Notes of the scout: for the crew, or private."""

from __future__ import annotations

from scout.errors import NotAllowed, NotFound, Refused
from scout.records import NoteRecord
from scout.store import models, translate
from scout.store.queries import common
from scout.store.queries import places as queries
from scout.usecases import keeping, lines
from scout.usecases.roles import reads_as
from scout.usecases.shown import Kept
from scout.usecases.work import Work
from scout.values import said


def owner_of(work: Work, owner: str, owner_id: int) -> models.Location | models.Room:
    """The location or room that a note or photo belongs to. Raises NotFound."""
    if owner == "location":
        return queries.location(work.db, owner_id)
    if owner == "room":
        return queries.room_alone(work.db, owner_id)
    raise NotFound("kind of owner", owner)


def owned_by(
    work: Work, row: models.Note | models.Photo
) -> tuple[str, models.Location | models.Room]:
    """The kind of owner, and the owner, of a note or photo. Raises NotFound."""
    owner, key = ("room", row.room_id) if row.room_id is not None else ("location", row.location_id)
    assert key is not None  # the table's own rule: one owner
    return owner, owner_of(work, owner, key)


def add_note(work: Work, owner: str, owner_id: int, record: NoteRecord) -> int:
    """Write a note about a location or a room; returns its key. Raises Refused for a private one of
    somebody who may not read those.
    """
    held = owner_of(work, owner, owner_id)
    if record.audience != "crew" and work.who is not None and reads_as(work.who.role) is not None:
        raise Refused("audience", record.audience, said("kept.note_for_crew"))
    row = models.Note(**{f"{owner}_id": owner_id})
    translate.fill(row, record)
    work.add(row, f"note added to {lines.room_name(held)}")
    work.commit()
    return row.id


def note(work: Work, key: int) -> tuple[str, int, Kept[NoteRecord]]:
    """A note with the kind and key of what it is about."""
    row = common.one(work.db, models.Note, key)
    owner, held = owned_by(work, row)
    return owner, held.id, keeping.shown(row, translate.to_record(row))


def save_note(work: Work, key: int, version: int, record: NoteRecord) -> None:
    """Save a note over the version it was opened at."""
    note(work, key)
    _only_by_its_author(work, key)
    keeping.save(work, models.Note, key, version, record, "note changed")


def _only_by_its_author(work: Work, key: int) -> None:
    """A private note is nobody else's to rewrite or to hand to the crew under its author's name.
    Raises NotAllowed.
    """
    row = common.one(work.db, models.Note, key)
    if row.audience == "private" and row.created_by not in (None, work.name):
        raise NotAllowed(said("kept.private_note"))


def bin_note(work: Work, key: int, version: int) -> None:
    """Move a note to the bin."""
    _only_by_its_author(work, key)
    keeping.bin_row(work, common.one(work.db, models.Note, key), version, "note moved to the bin")
