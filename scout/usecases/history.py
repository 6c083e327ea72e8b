"""Who changed what, when, from what to what.

A change is what somebody did at once: renaming a circuit is one, with the outlets that follow it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from scout.errors import NotFound
from scout.store import models
from scout.store.models import Change
from scout.store.queries import common
from scout.store.queries.common import Listing, Spot, is_key
from scout.usecases import keeping, lines
from scout.usecases.difference import value_of
from scout.usecases.roles import may
from scout.usecases.shown import Page
from scout.usecases.work import Work
from scout.values import Figure, Many, Name, Said, Value, Word, said

MOST_POINTS = 12
NUMBERS = int, float
_TABLES: tuple[type[Any], ...] = (
    models.Location,
    models.Room,
    models.Surface,
    models.Production,
    models.Scene,
    models.Candidate,
    models.Setup,
    models.Day,
    models.Photo,
    models.Recording,
    models.NoiseWindow,
    models.SavedSearch,
    models.Note,
    *models.PARTS.values(),
)
TABLES: Mapping[str, type[Any]] = {table.__name__.lower(): table for table in _TABLES}
PART_KINDS = {table.__name__.lower(): kind for kind, table in models.PARTS.items()}
_OF_PEOPLE = ("person", "token", "invitation")  # lines that only those read who say who may do what


@dataclass(frozen=True)
class FieldLine:
    """One fact: as it was, as it became. None: it was not recorded. `told`: whether whoever asks
    may read it.
    """

    where: Value
    was: Value | None
    now: Value | None
    told: bool = True

    @property
    def line(self) -> Said:
        """On one line."""
        if not self.told:
            return said("history.untold", where=self.where)
        if self.was is None:
            return said("change.recorded", where=self.where, value=self.now)
        if self.now is None:
            return said("change.part_gone", where=self.where, was=self.was)
        return said("change.became", where=self.where, was=self.was, value=self.now)


@dataclass(frozen=True)
class ThingLine:
    """What was done to one thing."""

    thing: Said
    deed: Word
    fields: tuple[FieldLine, ...]


@dataclass(frozen=True)
class ChangeLine:
    """One change. `about`: kind and key of the room, place or production it is of."""

    id: int
    at: datetime
    by: str | None
    words: Name | None  # of a line that keeps no values
    things: tuple[ThingLine, ...]
    about: tuple[str, int] | None
    about_name: str | None
    undoes: int | None
    undone_by: int | None


def changes(
    work: Work,
    *,
    by: str | None = None,
    about: tuple[str, int] | None = None,
    on: date | None = None,
    zone: str | None = None,
    spot: Spot,
) -> Page[ChangeLine]:
    """A page of changes, the newest first: of one person, of one room, place (its rooms with it) or
    production, of one day by the clock of a zone (None: UTC).
    """
    wanted = _theirs(work)
    if by is not None:
        wanted = wanted.where(Change.by == by)
    if about is not None:
        kind, key = about
        of = Change.about == f"{kind}.{key}"
        if kind == "location":
            inside = work.db.scalars(select(models.Room.id).where(models.Room.location_id == key))
            of = or_(of, Change.about.in_([f"room.{room}" for room in inside]))
        wanted = wanted.where(of)
    if on is not None:
        clock = UTC if zone is None else ZoneInfo(zone)
        # a day of 23 or 25 hours too: each midnight by the clock on the wall
        begin, end = (datetime.combine(one, time(), clock) for one in (on, on + timedelta(days=1)))
        wanted = wanted.where(Change.at >= begin, Change.at < end)
    listing = Listing(wanted, (Change.id,), newest=True)
    return keeping.page(work, listing, spot, lambda rows: lines_of(work, [row for (row,) in rows]))


def name_of(work: Work, about: tuple[str, int] | None) -> str | None:
    """What a room, place or production is called. Raises NotFound."""
    if about is None:
        return None
    kind, key = about
    row = common.one(work.db, TABLES[kind], key)
    return str(getattr(row, "title", None) or lines.room_name(row))


def people(work: Work) -> list[str]:
    """Whose changes may be asked for."""
    return sorted(set(work.db.scalars(select(models.Person.name))))


# -- reading
def _theirs(work: Work) -> Any:
    wanted = select(Change).where(Change.part_of.is_(None))
    if work.who is not None and not may(work.who.role, "read", "person"):
        wanted = wanted.where(Change.kind.not_in(_OF_PEOPLE))
    return wanted


def first_line(work: Work, key: int) -> Change:
    """The first line of a change that whoever asks may read. Raises NotFound."""
    row = work.db.scalar(_theirs(work).where(Change.id == key)) if is_key(key) else None
    if row is None:
        raise NotFound("change", key)
    found: Change = row
    return found


def parts_of(db: Session, firsts: Sequence[Change]) -> dict[int, list[Change]]:
    """All lines of some changes, by their first one's key."""
    found = {first.id: [first] for first in firsts}
    of = select(Change).where(Change.part_of.in_(list(found))).order_by(Change.id)
    for row in db.scalars(of):
        found[row.part_of or 0].append(row)
    return found


def lines_of(work: Work, firsts: Sequence[Change]) -> tuple[ChangeLine, ...]:
    """Changes as a list shows them, by their first lines."""
    parts = parts_of(work.db, firsts)
    rows = _rows(work.db, [part for lines in parts.values() for part in lines])
    abouts = _abouts(work.db, [first.about for first in firsts])
    undone: dict[int | None, int] = {}
    for taken, by in work.db.execute(
        select(Change.undoes, Change.id).where(Change.undoes.in_(list(parts))).order_by(Change.id)
    ):
        undone[taken] = by
    made = []
    for first in firsts:
        things = tuple(
            ThingLine(
                thing_of(row, part.kind),
                deed_of(part, part.fields),
                tuple(field_lines(part.fields, told(work, part, row))),
            )
            for part in parts[first.id]
            if part.fields is not None
            for row in (rows.get((part.kind, part.record_id)),)
        )
        about, name = abouts.get(first.about, (None, None))
        words = None if things else Name(first.words)
        made.append(
            ChangeLine(
                first.id,
                first.at,
                first.by,
                words,
                things,
                about,
                name,
                first.undoes,
                undone.get(first.id),
            )
        )
    return tuple(made)


def _rows(db: Session, lines: Sequence[Change]) -> dict[tuple[str, int], Any]:
    """The rows that lines are about, those in the bin too."""
    keys: dict[str, set[int]] = {}
    for line in lines:
        if line.kind in TABLES and line.fields is not None:
            keys.setdefault(line.kind, set()).add(line.record_id)
    return {
        (kind, row.id): row
        for kind, some in keys.items()
        for row in db.scalars(select(TABLES[kind]).where(TABLES[kind].id.in_(some)))
    }


def _abouts(
    db: Session, abouts: Sequence[str | None]
) -> dict[str | None, tuple[tuple[str, int], str]]:
    """What changes are of: kind, key and name of each that is still there."""
    found: dict[str | None, tuple[tuple[str, int], str]] = {}
    named = {"room": models.Room.name, "location": models.Location.name}
    for kind in ("room", "location", "production"):
        table = TABLES[kind]
        keys = {int(one.partition(".")[2]) for one in abouts if one and one.startswith(f"{kind}.")}
        name = named.get(kind, models.Production.title)
        if keys:
            wanted = select(table.id, name).where(table.id.in_(keys), table.binned_at.is_(None))
            for key, text in db.execute(wanted):
                found[f"{kind}.{key}"] = (kind, key), text or str(Word("room", "nameless"))
    return found


def thing_of(row: Any, kind: str) -> Said:
    """What a thing is called now; of a note nothing but that it is one."""
    if kind in PART_KINDS and kind != "content" and row is not None:
        return Said(f"kind.{PART_KINDS[kind]}", (("label", Name(row.label)),))
    word = Word("kind", f"{PART_KINDS[kind]}.one") if kind in PART_KINDS else Word("thing", kind)
    if kind == "surface" and row is not None:
        return said("history.thing", kind=Word("surface", row.name), name=None)
    names = ("title", "name", "caption", "original_name", "what")
    name = next((found for one in names if (found := getattr(row, one, None))), None)
    if kind == "candidate" and row is not None:
        name = row.room.name
    return said("history.thing", kind=word, name=Name(name) if name else None)


def deed_of(line: Change, fields: Mapping[str, Any] | None) -> Word:
    """What was done: added, changed, deleted, put back."""
    if line.added and fields is line.fields:
        return Word("did", "added")
    was, now = (fields or {}).get("binned_at", (None, None))
    if was is None and now is None:
        return Word("did", "changed")
    return Word("did", "deleted" if was is None else "put_back")


def told(work: Work, line: Change, row: Any) -> bool:
    """Whether whoever asks may read what a line changed: a private note is its author's alone, and
    what it said while it was private too.
    """
    if line.kind != "note":
        return True
    private = "private" in (line.fields or {}).get("audience", ["private"])
    return not private or (row is not None and row.created_by in (None, work.name))


def field_lines(fields: Mapping[str, Any] | None, told: bool) -> Iterator[FieldLine]:
    """The facts that a line changed; without their values where they are not told."""
    for name, (was, now) in (fields or {}).items():
        if name == "binned_at" or name.endswith("_id"):
            continue
        for where, before, after in _leaves(Word("fact", name), name, was, now):
            if not told and name != "audience":
                yield FieldLine(where, None, None, told=False)
            else:
                yield FieldLine(where, before, after)


def _leaves(
    where: Value, key: str, was: Any, now: Any
) -> Iterator[tuple[Value, Value | None, Value | None]]:
    """The values that differ, each with what it is called."""
    listed = isinstance(was, list) or isinstance(now, list)
    was, now = _keyed(was), _keyed(now)
    if isinstance(was, Mapping) or isinstance(now, Mapping):
        was, now = (one if isinstance(one, Mapping) else {} for one in (was, now))
        for inner in [*now, *(one for one in was if one not in now)]:
            # W1 and 125 are labels; a field of a record is written small
            is_field = not listed and inner.isidentifier() and inner.islower()
            part: Value = Word("fact", inner) if is_field else Name(inner)
            within = said("change.within", outer=where, inner=part)
            yield from _leaves(within, inner, was.get(inner), now.get(inner))
    elif was != now:
        yield where, _shown(was, key), _shown(now, key)


def _keyed(value: Any) -> Any:
    """A list of things by their names, or by their numbers where they have none."""
    if not isinstance(value, list) or not value:
        return value
    if not all(isinstance(one, Mapping) for one in value):
        return value
    for name in ("name", "id", "topic", "scene_id"):
        keys = [one.get(name) for one in value]
        if None not in keys and len(set(map(str, keys))) == len(keys):
            return {
                str(key): {k: v for k, v in one.items() if k != name}
                for key, one in zip(keys, value, strict=True)
            }
    return {str(n): one for n, one in enumerate(value, start=1)}


def _shown(value: Any, key: str) -> Value | None:
    if not isinstance(value, list):
        return value_of(value, key)
    if len(value) > MOST_POINTS:
        return said("history.entries", n=len(value))
    return Many(tuple(_entry(one, key) for one in value), "list") if value else None


def _entry(value: Any, key: str) -> Value:
    if isinstance(value, list) and all(isinstance(one, NUMBERS) for one in value):
        return said("history.point", parts=Many(tuple(Figure(one, "m") for one in value), "list"))
    if isinstance(value, NUMBERS) and not isinstance(value, bool):
        return value_of(value, key) or Figure(value)
    return Name(str(value))
