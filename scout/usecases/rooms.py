"""Rooms and their parts: find, add, change, bin; every change is judged against the room as it then
is.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import Any

from scout.calc import geometry
from scout.errors import NotFound, Refused, RefusedMany
from scout.records import Marks, Measurement, RoomRecord, marks_refusals, room_refusals
from scout.records.base import Record
from scout.records.parts import OWN_ROOM_FIELDS, PARTS, PartKind
from scout.records.sheet import Circuit, Surface
from scout.store import models, translate
from scout.store.queries import common
from scout.store.queries import jobs as job_queries
from scout.store.queries import places as queries
from scout.store.queries.common import BEGINNING, Spot
from scout.usecases import keeping, lines
from scout.usecases.shown import Kept, Page, RoomLine, RoomPage
from scout.usecases.work import Work
from scout.values import Name, names, said


def find_rooms(
    work: Work,
    *,
    text: str = "",
    setting: str | None = None,
    location_id: int | None = None,
    spot: Spot = BEGINNING,
) -> Page[RoomLine]:
    """A page of rooms whose name or place holds the text."""
    listing = queries.rooms(text.strip(), setting, location_id)
    return keeping.page(work, listing, spot, partial(lines.room_lines, work))


def choices(work: Work, *, also: Iterable[int] = ()) -> list[tuple[int, str]]:
    """Rooms to choose from, with their places: the first by name, and those chosen already."""
    rows = queries.rooms("", None, None).rows()
    found = list(work.db.execute(rows.limit(keeping.MOST_CHOICES)))
    left = set(also) - {room.id for room, _ in found}
    found += work.db.execute(rows.where(models.Room.id.in_(left))) if left else ()
    return [(room.id, f"{lines.room_name(room)}, {place.name}") for room, place in found]


def room(work: Work, key: int) -> RoomPage:
    """A room with everything on its page. Raises NotFound."""
    row = queries.room(work.db, key)
    parts = {
        kind: tuple(
            keeping.shown(part, translate.to_record(part))
            for part in translate.alive(getattr(row, kind))
        )
        for kind in PARTS
    }
    return RoomPage(
        keeping.shown(row, translate.room_record(row)),
        keeping.shown(row.location, translate.to_record(row.location)),
        parts,
        {
            surface.name: keeping.shown(surface, translate.to_record(surface))
            for surface in translate.alive(row.surfaces)
        },
        Marks.model_validate(row.marks) if row.marks else None,
        tuple(translate.to_record(m) for m in row.measurements),
        tuple(lines.photo_line(photo) for photo in queries.photos(work.db, room_id=key)),
        tuple(lines.note_line(note) for note in queries.notes(work.db, room_id=key)),
        tuple(lines.candidate_line(c) for c in job_queries.candidates(work.db, room_id=key)),
    )


def add_room(work: Work, location_id: int, record: RoomRecord) -> int:
    """Record a room with whatever parts come with it; returns its key. Raises RefusedMany with
    paths from `room`.
    """
    row = put_room(work, queries.location(work.db, location_id), record)
    work.commit()
    return row.id


def put_room(work: Work, place: models.Location, record: RoomRecord) -> models.Room:
    """The row of a new room, its parts with it; nothing is committed. Raises RefusedMany with paths
    from `room`.
    """
    refuse_faults(record)
    row = models.Room(
        location=place,
        none_of=[kind for kind in PARTS if getattr(record, kind) == ()] or None,
    )
    translate.fill_room(row, record)
    work.add(row, f"room {lines.room_name(row)} added")
    _add_parts(work, row, record)
    return row


def _add_parts(work: Work, row: models.Room, record: RoomRecord) -> None:
    for name, surface in (record.surfaces or {}).items():
        if surface is not None:
            _put_surface(work, row, name, surface)
    for kind in PARTS:
        for part_record in getattr(record, kind) or ():
            _add_part(work, row, kind, part_record)


def _add_part(work: Work, row: models.Room, kind: str, record: Record) -> Any:
    part: Any = translate.new_part(kind, record)
    part.room_id = row.id
    label = getattr(record, "id", "")
    work.add(part, f"{PARTS[kind].one} {label} added to {lines.room_name(row)}")
    return part


def refuse_faults(record: RoomRecord, *, but_for: RoomRecord | None = None) -> None:
    """Raises RefusedMany with what is wrong in the room, leaving out what was wrong already in
    `but_for`: the same fault at the same place.

    A part that is changed may be refused under the path of another: of two that overlap, the
        later one is named.
    """
    known = {_fault(refusal) for refusal in room_refusals(but_for)} if but_for is not None else ()
    refusals = [refusal for refusal in room_refusals(record) if _fault(refusal) not in known]
    if refusals:
        raise RefusedMany(refusals)


def _fault(refusal: Refused) -> tuple[str, str]:
    return refusal.path, getattr(refusal.because, "code", "")


def save_room(work: Work, key: int, version: int, record: RoomRecord) -> None:
    """Save a room's own facts (name, setting, size, plan, height, facing, skyline) over the version
    they were opened at.

    Its parts are left alone, but must still fit. Raises NotFound, Stale, RefusedMany.
    """
    common.one(work.db, models.Room, key, to_save=True)
    row = queries.room(work.db, key)
    keeping.compare_version(row, version, record, translate.room_plain(row, parts=False), "room")
    parts = translate.room_record(row)
    whole = parts.model_copy(update={name: getattr(record, name) for name in OWN_ROOM_FIELDS})
    refuse_faults(whole)
    if row.marks:
        refuse_marks(whole, Marks.model_validate(row.marks))
    translate.fill_room(row, record)
    work.changed(row, f"room {lines.room_name(row)} changed")
    work.commit()


def put_changes(
    work: Work, row: models.Room, record: RoomRecord, marks: dict[str, Any] | None
) -> None:
    """Write what is different of a whole room, its parts with it; nothing is committed. Parts
    without labels are left as they are. Raises RefusedMany for faults that were not there before.
    """
    before = translate.room_record(row)
    refuse_faults(record, but_for=before)
    if marks != row.marks:
        refuse_marks(record, Marks.read(marks or {}, "marks"))
    none_of = [kind for kind in PARTS if getattr(record, kind) == ()] or None
    own = any(getattr(record, name) != getattr(before, name) for name in OWN_ROOM_FIELDS)
    if own or marks != row.marks or none_of != row.none_of:
        translate.fill_room(row, record)
        row.marks, row.none_of = marks, none_of
        work.changed(row, f"room {lines.room_name(row)} changed")
    old, new = before.surfaces or {}, record.surfaces or {}
    for name in {**old, **new}:
        if old.get(name) != new.get(name):
            _put_surface(work, row, name, new.get(name))
    for kind in PARTS:
        _put_parts(work, row, kind, getattr(record, kind) or ())


def _put_parts(work: Work, row: models.Room, kind: str, records: Iterable[Any]) -> None:
    if PARTS[kind].letter is None:
        return
    living = {part.label: part for part in translate.alive(getattr(row, kind))}
    wanted = {record.id: record for record in records}
    for label, part in living.items():
        if label not in wanted:
            part.binned_at, part.binned_by = work.now(), work.name
            work.changed(part, f"{PARTS[kind].one} {label} of {lines.room_name(row)} deleted")
    for label, record in wanted.items():
        if label not in living:
            _add_part(work, row, kind, record)
        elif translate.to_record(living[label]) != record:
            translate.fill(living[label], record)
            work.changed(
                living[label], f"{PARTS[kind].one} {label} of {lines.room_name(row)} changed"
            )


def bin_room(work: Work, key: int, version: int) -> None:
    """Move a room to the bin."""
    row = queries.room(work.db, key)
    keeping.bin_row(work, row, version, f"room {lines.room_name(row)} moved to the bin")


# -- parts
# ------------------------------------------------------------------------------------------------------------
def _kind(kind: str) -> PartKind:
    if kind not in PARTS:
        raise NotFound("kind of part", kind)
    return PARTS[kind]


def _part_row(work: Work, kind: str, key: int, *, to_save: bool = False) -> Any:
    row: Any = common.one(work.db, models.PARTS[_kind(kind).name], key, to_save=to_save)
    queries.room(work.db, row.room_id)  # its room must not lie in the bin
    return row


def part(work: Work, kind: str, key: int) -> tuple[int, Kept[Any]]:
    """A part with the key of its room. Raises NotFound."""
    row = _part_row(work, kind, key)
    return row.room_id, keeping.shown(row, translate.to_record(row))


def _refuse_misfit(row: models.Room, kind: str, record: Record, instead_of: Any | None) -> None:
    """Raises RefusedMany when the room would be at fault with the part as it is to be; outlets
    follow a circuit's new name.
    """
    before = translate.room_record(row)
    parts: list[Record] = list(getattr(before, kind) or ())
    living = translate.alive(getattr(row, kind))
    at = next((i for i, part_row in enumerate(living) if part_row is instead_of), len(parts))
    parts[at : at + 1] = [record]
    changed: dict[str, Any] = {kind: tuple(parts)}
    if isinstance(record, Circuit) and instead_of is not None and before.outlets is not None:
        changed["outlets"] = tuple(
            outlet.model_copy(update={"circuit": record.id})
            if outlet.circuit == instead_of.label
            else outlet
            for outlet in before.outlets
        )
    refuse_faults(before.model_copy(update=changed), but_for=before)


def add_part(work: Work, room_id: int, kind: str, record: Record) -> int:
    """Add a window, door, circuit, outlet, furnishing, practical, piece of furniture or noise
    reading; returns its key.

    Raises NotFound, or RefusedMany with paths such as `room.windows[1].sill_m` when it does not fit
    the room.
    """
    _kind(kind)
    row = queries.room(work.db, room_id)
    _refuse_misfit(row, kind, record, None)
    if kind in (row.none_of or ()):
        row.none_of = [other for other in row.none_of or () if other != kind] or None
    key: int = _add_part(work, row, kind, record).id
    work.commit()
    return key


def save_part(work: Work, kind: str, key: int, version: int, record: Record) -> None:
    """Save a part over the version it was opened at. A circuit's new name follows to its outlets."""
    part_row = _part_row(work, kind, key, to_save=True)
    keeping.compare_version(
        part_row,
        version,
        record,
        translate.plain_of(part_row, PARTS[kind].record),
        type(part_row).__name__.lower(),
    )
    row = queries.room(work.db, part_row.room_id)
    _refuse_misfit(row, kind, record, part_row)
    if isinstance(record, Circuit):
        for outlet in row.outlets:  # those in the bin too: they come back to their circuit
            if outlet.circuit == part_row.label:
                outlet.circuit = record.id
    translate.fill(part_row, record)
    work.changed(
        part_row,
        f"{PARTS[kind].one} {getattr(record, 'id', '')} of {lines.room_name(row)} changed",
    )
    work.commit()


def bin_part(work: Work, kind: str, key: int, version: int) -> None:
    """Move a part to the bin. Raises Refused for a circuit that outlets hang on."""
    part_row = _part_row(work, kind, key)
    row = queries.room(work.db, part_row.room_id)
    if kind == "circuits":
        hanging = [
            outlet.label
            for outlet in translate.alive(row.outlets)
            if outlet.circuit == part_row.label
        ]
        if hanging:
            raise Refused(
                "circuit", part_row.label, said("kept.circuit_in_use", outlets=names(hanging))
            )
    label = getattr(part_row, "label", "")
    keeping.bin_row(
        work,
        part_row,
        version,
        f"{PARTS[kind].one} {label} of {lines.room_name(row)} moved to the bin",
    )


# -- surfaces, marks, who measured
# ------------------------------------------------------------------------------------
def save_surface(work: Work, room_id: int, name: str, version: int | None, record: Surface) -> None:
    """Record what a wall, the ceiling or the floor is like. version None: it was not recorded when
    the form was opened.
    """
    row = queries.room(work.db, room_id)
    corners = translate.room_record(row, parts=False).corners_m
    letters = geometry.wall_letters(len(corners)) if corners else geometry.WALL_LETTERS
    if name not in {*letters, "ceiling", "floor"}:
        raise Refused("surface", name, said("sheet.no_surface", last=Name(letters[-1])))
    surface = _surface_row(row, name)
    if surface is not None and surface.binned_at is None:
        keeping.compare_version(
            surface, version or 0, record, translate.plain_of(surface, Surface), "surface"
        )
    _put_surface(work, row, name, record)
    work.commit()


def _surface_row(row: models.Room, name: str) -> models.Surface | None:
    return next((surface for surface in row.surfaces if surface.name == name), None)


def _put_surface(work: Work, row: models.Room, name: str, record: Surface | None) -> None:
    """Record a surface, change it, or with None move it to the bin."""
    surface = _surface_row(row, name)
    if surface is None:
        surface = translate.new_surface(name, record or Surface())
        surface.room_id = row.id
        work.add(surface, f"surface {name} of {lines.room_name(row)} recorded")
        return
    if record is None:
        surface.binned_at, surface.binned_by = work.now(), work.name
        work.changed(surface, f"surface {name} of {lines.room_name(row)} deleted")
        return
    translate.fill(surface, record)
    surface.binned_at = surface.binned_by = None
    work.changed(surface, f"surface {name} of {lines.room_name(row)} changed")


def say_none(work: Work, room_id: int, kind: str, none: bool) -> None:
    """Record that a room has none of a kind of part (no windows, no circuits), or take that back.
    Raises NotFound, Refused.
    """
    _kind(kind)
    row = queries.room(work.db, room_id)
    if none and translate.alive(getattr(row, kind)):
        raise Refused(kind, None, said("kept.parts_recorded", one=PARTS[kind].one))
    others = [other for other in row.none_of or () if other != kind]
    row.none_of = sorted([*others, kind] if none else others) or None
    work.changed(row, f"{lines.room_name(row)}: {'no' if none else 'perhaps a'} {PARTS[kind].one}")
    work.commit()


def refuse_marks(record: RoomRecord, marks: Marks) -> None:
    """Raises RefusedMany for marks that do not stand in the room."""
    refusals = tuple(marks_refusals(record, marks))
    if refusals:
        raise RefusedMany(refusals)


def save_marks(work: Work, room_id: int, version: int, marks: Marks) -> None:
    """Where the subject, the camera and a path stand. The version is the room's own."""
    common.one(work.db, models.Room, room_id, to_save=True)
    row = queries.room(work.db, room_id)
    keeping.compare_version(row, version, marks, dict(row.marks or {}), "room")
    refuse_marks(translate.room_record(row), marks)
    row.marks = marks.model_dump(mode="json", exclude_none=True) or None
    work.changed(row, f"marks of {lines.room_name(row)} changed")
    work.commit()


def add_measurement(work: Work, room_id: int, measurement: Measurement) -> None:
    """Keep who measured a fact, when, how and how well; earlier measurements of the same fact stay
    in the list.
    """
    row = queries.room(work.db, room_id)
    made = models.Measurement(room_id=room_id)
    translate.fill(made, measurement)
    work.add(made, f"{measurement.path} of {lines.room_name(row)} measured")
    work.commit()
