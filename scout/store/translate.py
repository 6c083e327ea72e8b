"""Rows to records and back: columns and fields carry the same names, but for a part's `id`, which
its row calls `label`.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any, TypeVar

from scout.records.base import Record
from scout.records.day import DayRecord
from scout.records.kept import (
    CandidateRecord,
    LocationRecord,
    Measurement,
    NoteRecord,
    PhotoRecord,
    ProductionRecord,
    SceneRecord,
)
from scout.records.parts import OWN_ROOM_FIELDS, PARTS
from scout.records.setups import SetupRecord
from scout.records.sheet import RoomRecord, Surface
from scout.records.sounds import NoiseWindowRecord, RecordingRecord
from scout.store import models

R = TypeVar("R", bound=Record)

RECORDS: dict[type[Any], type[Record]] = {
    models.Location: LocationRecord,
    models.Production: ProductionRecord,
    models.Scene: SceneRecord,
    models.Candidate: CandidateRecord,
    models.Setup: SetupRecord,
    models.Day: DayRecord,
    models.Note: NoteRecord,
    models.Photo: PhotoRecord,
    models.Surface: Surface,
    models.Measurement: Measurement,
    models.Recording: RecordingRecord,
    models.NoiseWindow: NoiseWindowRecord,
    **{models.PARTS[name]: kind.record for name, kind in PARTS.items()},
}
_FACING = {
    "wall": "facing_wall",
    "bearing_deg": "facing_bearing_deg",
    "north": "facing_north",
    "accuracy_deg": "facing_accuracy_deg",
    "read_on": "facing_read_on",
}


def _column(row_type: type[Any], field: str) -> str:
    return "label" if field == "id" and hasattr(row_type, "label") else field


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, date) else value


def plain_of(row: Any, record_type: type[Record]) -> dict[str, Any]:
    """What a row holds, as plain JSON values under the record's keys; empty columns (not measured)
    left out.
    """
    pairs = ((field, getattr(row, _column(type(row), field))) for field in record_type.model_fields)
    return {field: _plain(value) for field, value in pairs if value is not None}


def to_record(row: Any) -> Any:
    """The record of any row but a room's."""
    record_type = RECORDS[type(row)]
    return record_type.model_validate(plain_of(row, record_type))


def fill(row: Any, record: Record) -> None:
    """Write every field of the record into the row; a field not given empties its column."""
    plain = record.model_dump(mode="json")
    for field in type(record).model_fields:
        value = getattr(record, field)  # a date column takes dates, JSON takes what JSON knows
        setattr(
            row,
            _column(type(row), field),
            value if isinstance(value, date) else plain.get(field),
        )


def alive(rows: Iterable[Any]) -> list[Any]:
    """The rows that do not lie in the bin."""
    return [row for row in rows if row.binned_at is None]


def room_plain(row: models.Room, *, parts: bool = True) -> dict[str, Any]:
    """A room's row as the plain JSON of its record, with its living parts or without."""
    plain: dict[str, Any] = {
        field: getattr(row, field)
        for field in OWN_ROOM_FIELDS
        if field != "facing" and getattr(row, field) is not None
    }
    facing = {
        key: _plain(getattr(row, column))
        for key, column in _FACING.items()
        if getattr(row, column) is not None
    }
    if facing:
        plain["facing"] = facing
    if not parts:
        return plain
    surfaces = {s.name: plain_of(s, Surface) for s in alive(row.surfaces)}
    if surfaces:
        plain["surfaces"] = surfaces
    for name, kind in PARTS.items():
        rows = alive(getattr(row, name))
        if rows or name in (
            row.none_of or ()
        ):  # none at all, and nobody having looked, are two things
            plain[name] = [plain_of(part, kind.record) for part in rows]
    return plain


def room_record(row: models.Room, *, parts: bool = True) -> RoomRecord:
    """The record of a room, with its living parts or its own facts alone."""
    return RoomRecord.model_validate(room_plain(row, parts=parts))


def fill_room(row: models.Room, record: RoomRecord) -> None:
    """Write a room's own facts (not its parts) into its row."""
    plain = record.model_dump(mode="json", include=set(OWN_ROOM_FIELDS), exclude_none=True)
    for field in OWN_ROOM_FIELDS:
        if field != "facing":
            setattr(row, field, plain.get(field))
    for key, column in _FACING.items():
        setattr(row, column, getattr(record.facing, key) if record.facing is not None else None)


def new_part(kind: str, record: Record) -> Any:
    """A row of a part of a room."""
    row = models.PARTS[kind]()
    fill(row, record)
    return row


def new_surface(name: str, record: Surface) -> models.Surface:
    """A row of a surface."""
    row = models.Surface(name=name)
    fill(row, record)
    return row
