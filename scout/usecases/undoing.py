"""One change taken back as a new one: judged by the values that stand there now, by who may do it, and
by the rules for what is typed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Date, inspect, select

from scout.errors import NotAllowed, Refused
from scout.records import Marks
from scout.records.sheet import RoomRecord
from scout.store import models, trail, translate
from scout.store.models import Change
from scout.usecases import rooms
from scout.usecases.history import (
    PART_KINDS,
    TABLES,
    ChangeLine,
    ThingLine,
    deed_of,
    field_lines,
    first_line,
    lines_of,
    parts_of,
    thing_of,
    told,
)
from scout.usecases.roles import Deed, Kind, may
from scout.usecases.work import Work
from scout.values import Name, Said, Word, said

# of these the table of roles has a kind by another name; parts of a room are the room
_KINDS: Mapping[str, Kind] = {
    **dict.fromkeys((*PART_KINDS, "surface"), "room"),
    "noisereading": "noise",
    "noisewindow": "noise",
    "candidate": "choice",
    "setup": "scene",
    "savedsearch": "search",
}
_OWNERS: Mapping[str, type[Any]] = {
    "room_id": models.Room,
    "location_id": models.Location,
    "candidate_id": models.Candidate,
    "scene_id": models.Scene,
    "production_id": models.Production,
}


@dataclass(frozen=True)
class Preview:
    """A change, and what taking it back would do; `refused` says why it cannot be."""

    line: ChangeLine
    back: tuple[ThingLine, ...]
    refused: Said | str | None


def preview(work: Work, key: int) -> Preview:
    """A change whole, and what taking it back would put there. Raises NotFound."""
    first = first_line(work, key)
    line = lines_of(work, [first])[0]
    try:
        back = tuple(
            ThingLine(
                thing_of(row, part.kind),
                deed_of(part, news),
                tuple(field_lines(news, told(work, part, row))),
            )
            for part, row, news in _taken_back(work, first)
        )
    except (Refused, NotAllowed) as refusal:
        because = refusal.because if isinstance(refusal, Refused) else refusal.args[0]
        return Preview(line, (), because)
    return Preview(line, back, None)


def undo(work: Work, key: int) -> int:
    """Take one change back, as a new change; returns that one's key. Raises NotFound, NotAllowed,
    and Refused where something was changed again since, is gone, or would not fit any more.
    """
    first = first_line(work, key)
    steps = list(_taken_back(work, first, to_save=True))
    befores = {room.id: translate.room_record(room) for room in _rooms(work, steps)}
    for part, row, news in steps:
        for name, (_, wanted) in news.items():
            setattr(row, name, _raw(work, row, name, wanted))
        if "binned_at" in news:
            row.binned_by = work.name if row.binned_at is not None else None
        work.changed(row, f"taken back: {part.words or part.kind}")
    _refuse_misfits(work, steps, befores)
    work.db.info[trail.UNDOES] = first.id
    work.commit()
    made = work.db.scalar(
        select(Change.id).where(Change.undoes == first.id).order_by(Change.id.desc()).limit(1)
    )
    assert made is not None  # it was just written
    return made


Steps = list[tuple[Change, Any, dict[str, tuple[Any, Any]]]]


def _taken_back(
    work: Work, first: Change, *, to_save: bool = False
) -> Iterator[tuple[Change, Any, dict[str, tuple[Any, Any]]]]:
    """Each row of a change, and of each of its fields what stands there and what is to. Raises
    Refused, NotAllowed.
    """
    parts = [part for part in parts_of(work.db, [first])[first.id] if part.fields is not None]
    if not parts:
        raise Refused("change", None, said("history.no_values"))
    for part in reversed(parts):
        row = work.db.get(
            TABLES[part.kind], part.record_id, with_for_update=True if to_save else None
        )
        if row is None:
            raise Refused("change", None, said("history.gone"))
        _refuse_strangers(work, part, row)
        _refuse_orphans(work, row)
        news = _news(work, part, row)
        if news:
            yield part, row, news


def _refuse_strangers(work: Work, part: Change, row: Any) -> None:
    """Whoever may not do it may not take it back either."""
    kind = _KINDS.get(part.kind, part.kind)
    gone = part.added or "binned_at" in (part.fields or {})
    deed: Deed = "delete" if gone else "change"
    if work.who is not None and not may(work.who.role, deed, kind):  # type: ignore[arg-type]
        raise NotAllowed(said("kept.not_your_role", role=Word("person_role", work.who.role)))
    if not told(work, part, row) or (
        part.kind == "note"
        and row.audience == "private"
        and row.created_by not in (None, work.name)
    ):
        raise NotAllowed(said("kept.private_note"))


def _refuse_orphans(work: Work, row: Any) -> None:
    for column, table in _OWNERS.items():
        key = getattr(row, column, None)
        owner = work.db.get(table, key) if key is not None else None
        if owner is not None and owner.binned_at is not None:
            kind = table.__name__.lower()
            raise Refused("change", None, said("history.owner_gone", owner=thing_of(owner, kind)))


def _news(work: Work, part: Change, row: Any) -> dict[str, tuple[Any, Any]]:
    fields: Mapping[str, Any] = part.fields or {}
    thing = thing_of(row, part.kind)
    if part.added:
        if row.binned_at is not None:
            raise Refused("change", None, said("history.deleted_since", thing=thing))
        _refuse_later(work, part, row, None)
        return {"binned_at": (None, work.now().isoformat())}
    if "binned_at" not in fields and row.binned_at is not None:
        raise Refused("change", None, said("history.deleted_since", thing=thing))
    news = {}
    for name, (was, now) in fields.items():
        here = trail.plain(getattr(row, name))
        if name == "binned_at":
            if here is not None and now is None:
                raise Refused("change", None, said("history.deleted_since", thing=thing))
            if here is None and now is not None:
                raise Refused("change", None, said("history.back_since", thing=thing))
        elif here != now:
            _refuse_later(work, part, row, name)
        if was != now:
            news[name] = (here, was)
    return news


def _refuse_later(work: Work, part: Change, row: Any, name: str | None) -> None:
    """Raises Refused where something (a field; None: any) was changed again, naming who did it."""
    later = [
        line
        for line in work.db.scalars(
            select(Change)
            .where(
                Change.kind == part.kind,
                Change.record_id == part.record_id,
                Change.id > part.id,
            )
            .order_by(Change.id.desc())
        )
        if line.fields is not None
    ]
    if name is not None:
        last = next((line for line in later if name in (line.fields or {})), None)
    else:  # where it stands among others, and that it was away, is no change of it
        placed = {"binned_at", "position"}
        last = next((line for line in later if set(line.fields or ()) - placed), None)
        if last is None:
            return
    what = Word("fact", name) if name else thing_of(row, part.kind)
    by = Name(last.by) if last is not None and last.by else None
    raise Refused("change", None, said("history.changed_since", what=what, by=by))


def _raw(work: Work, row: Any, name: str, wanted: Any) -> Any:
    """A value of the log as its column takes it."""
    if name == "binned_at":
        return None if wanted is None else work.now()
    column = inspect(type(row)).columns[name]
    if wanted is not None and isinstance(column.type, Date):
        return date.fromisoformat(wanted)
    return wanted


def _rooms(work: Work, steps: Steps) -> list[models.Room]:
    """The rooms whose sheet is changed."""
    keys = {
        row.id if part.kind == "room" else row.room_id
        for part, row, _ in steps
        if part.kind in ("room", "surface") or part.kind in PART_KINDS
    }
    return [room for key in sorted(keys) if (room := work.db.get(models.Room, key)) is not None]


def _refuse_misfits(work: Work, steps: Steps, befores: Mapping[int, RoomRecord]) -> None:
    """What is put back must fit what stands there now, as if somebody had typed it."""
    for room in _rooms(work, steps):
        whole = RoomRecord.read(translate.room_plain(room), "room")
        rooms.refuse_faults(whole, but_for=befores[room.id])
        if room.marks and any(row is room for _, row, _ in steps):
            rooms.refuse_marks(whole, Marks.model_validate(room.marks))
    for part, row, _ in steps:
        record = translate.RECORDS.get(type(row))
        if record is not None:
            record.read(translate.plain_of(row, record), part.kind)
        if isinstance(row, models.Candidate) and row.state == "first_choice":
            _refuse_two_firsts(work, row)


def _refuse_two_firsts(work: Work, row: models.Candidate) -> None:
    table = models.Candidate
    other = work.db.scalar(
        select(table).where(
            table.scene_id == row.scene_id,
            table.id != row.id,
            table.state == "first_choice",
            table.binned_at.is_(None),
        )
    )
    if other is not None and row.binned_at is None:
        raise Refused(
            "change", None, said("history.other_first", thing=thing_of(other, "candidate"))
        )
