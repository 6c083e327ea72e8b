"""The bin: what was deleted lies here and can be had back."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from scout.errors import NotFound, RefusedMany
from scout.store import models, translate
from scout.store.queries import common
from scout.store.queries import jobs as queries
from scout.usecases import lines, rooms
from scout.usecases.shown import BinLine
from scout.usecases.work import Work


def part_name(row: Any) -> str:
    """What a part of a room is called: its label, or the material of a furnishing."""
    return str(getattr(row, "label", None) or getattr(row, "material", ""))


KINDS: dict[str, tuple[type[Any], Callable[[Any], str]]] = {
    "location": (models.Location, lambda row: row.name),
    "room": (models.Room, lambda row: f"{lines.room_name(row)}, {row.location.name}"),
    "production": (models.Production, lambda row: row.title),
    "scene": (models.Scene, lambda row: f"{row.name}, {row.production.title}"),
    "candidate": (
        models.Candidate,
        lambda row: f"{lines.room_name(row.room)} for {row.scene.name}",
    ),
    "setup": (
        models.Setup,
        lambda row: f"setup {row.on or ''} of {row.candidate.scene.name}",
    ),
    "photo": (models.Photo, lambda row: row.caption or row.original_name),
    "recording": (models.Recording, lambda row: row.original_name),
    "noise_window": (models.NoiseWindow, lambda row: row.what[:60]),
    "saved_search": (models.SavedSearch, lambda row: row.name),
    "note": (models.Note, lambda row: row.text[:60]),
    **{kind: (table, part_name) for kind, table in models.PARTS.items()},
}


def binned(work: Work) -> tuple[BinLine, ...]:
    """Everything in the bin, newest first."""
    found = [
        BinLine(kind, row.id, name(row), row.binned_at, row.binned_by)
        for kind, (table, name) in KINDS.items()
        for row in queries.binned(work.db, table)
    ]
    return tuple(sorted(found, key=lambda line: line.binned_at, reverse=True))


def restore(work: Work, kind: str, key: int) -> None:
    """Take something out of the bin. Raises NotFound, or RefusedMany when it no longer fits where
    it was.
    """
    if kind not in KINDS:
        raise NotFound("kind", kind)
    table, name = KINDS[kind]
    row = common.one(work.db, table, key, binned=True)
    row.binned_at = row.binned_by = None
    if kind in models.PARTS:
        _refuse_misfit(work, kind, row)
    work.changed(row, f"{name(row)} taken out of the bin")
    work.commit()


def _refuse_misfit(work: Work, kind: str, row: Any) -> None:
    """A window may have been put where the binned one was; then the old one cannot simply come
    back.
    """
    with work.db.no_autoflush:
        room = common.one(work.db, models.Room, row.room_id)
        others = [part for part in translate.alive(getattr(room, kind)) if part is not row]
        parts = tuple(translate.to_record(part) for part in (*others, row))
        before = translate.room_record(room).model_copy(update={kind: parts[:-1]})
    try:
        rooms.refuse_faults(before.model_copy(update={kind: parts}), but_for=before)
    except RefusedMany:
        work.db.rollback()
        raise
