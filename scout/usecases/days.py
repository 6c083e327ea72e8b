"""Keeping a day plan and the facts it needs, and the private addresses of its calendar."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select

from scout.errors import NotFound, Refused, Stale
from scout.records.day import DayRecord, PlacedScene
from scout.store import models, translate
from scout.store.queries import common, jobs
from scout.usecases import keeping
from scout.usecases.shown import Kept
from scout.usecases.work import Work
from scout.values import Name, said


@dataclass(frozen=True)
class CalendarLine:
    """A private address as a list shows it: never the address itself."""

    id: int
    production_id: int
    person: str | None
    made_at: datetime
    made_by: str | None


def day_kept(work: Work, production_id: int) -> Kept[DayRecord] | None:
    """What is kept of a production's days; None where nothing is yet. Raises NotFound."""
    jobs.production(work.db, production_id)
    row = _row(work, production_id)
    return None if row is None else keeping.shown(row, translate.to_record(row))


def save_day(work: Work, production_id: int, version: int, record: DayRecord) -> None:
    """Keep the limits, the scenes' times and the plan, over the version it was opened at (0: there
    was none). Raises NotFound, Stale, and Refused for a scene of another production.
    """
    production = jobs.production(work.db, production_id)
    own = {scene.id for scene in jobs.scenes(work.db, production_id)}
    for n, time_of in enumerate(record.scenes or ()):
        if time_of.scene_id not in own:
            raise Refused(f"scenes[{n}].scene_id", time_of.scene_id, said("day.refused.scene"))
        if time_of.cover_room_id is not None:
            common.one(work.db, models.Room, time_of.cover_room_id)
    for n, placed in enumerate(record.placed or ()):
        if placed.scene_id not in own:
            raise Refused(f"placed[{n}].scene_id", placed.scene_id, said("day.refused.scene"))
    row = _row(work, production_id)
    words = f"day plan of {production.title} kept"
    if row is None:
        if version:
            raise Stale("day", "", record.model_dump(mode="json", exclude_none=True), {}, 0)
        row = models.Day(production_id=production_id)
        translate.fill(row, record)
        work.add(row, words)
    else:
        theirs = translate.plain_of(row, DayRecord)
        keeping.compare_version(row, version, record, theirs, "day")
        translate.fill(row, record)
        work.changed(row, words)
    work.commit()


def save_plan(
    work: Work, production_id: int, version: int, placed: tuple[PlacedScene, ...] | None
) -> None:
    """Keep a plan, or forget the one kept (None), with the facts as they stand."""
    kept = day_kept(work, production_id)
    record = kept.record if kept is not None else DayRecord()
    changed = record.model_copy(update={"placed": placed})
    save_day(work, production_id, version, DayRecord.read(changed.model_dump(mode="json"), "day"))


def calendars(work: Work, production_id: int) -> tuple[CalendarLine, ...]:
    """The private addresses of a production's calendar, newest first."""
    rows = work.db.scalars(
        select(models.Calendar)
        .where(models.Calendar.production_id == production_id)
        .order_by(models.Calendar.id.desc())
    )
    return tuple(
        CalendarLine(row.id, row.production_id, row.person, row.made_at, row.made_by)
        for row in rows
    )


def add_calendar(work: Work, production_id: int, person: str | None) -> str:
    """A new private address: returns its token, which is shown once and kept only as a hash. Raises
    NotFound, and Refused for somebody who is not on the crew list.
    """
    production = jobs.production(work.db, production_id)
    if person is not None and person not in {one["name"] for one in production.crew or ()}:
        raise Refused("person", person, said("day.refused.person"))
    token = secrets.token_urlsafe(32)
    row = models.Calendar(
        production_id=production_id,
        person=person,
        token_sha256=_hash(token),
        made_at=work.now(),
        made_by=work.name,
    )
    work.add(row, f"calendar address of {production.title} made")
    work.commit()
    return token


def revoke_calendar(work: Work, production_id: int, key: int) -> None:
    """End a private address. Raises NotFound."""
    row = common.by_key(work.db, models.Calendar, key)
    if row is None or row.production_id != production_id:
        raise NotFound("calendar", key)
    work.db.delete(row)
    work.commit()


def calendar_of(work: Work, token: str) -> CalendarLine:
    """Whose calendar a private address shows. Raises NotFound, also once it is revoked."""
    row = work.db.scalar(
        select(models.Calendar).where(models.Calendar.token_sha256 == _hash(token))
    )
    if row is None:
        raise NotFound("calendar", Name("…").text)
    return CalendarLine(row.id, row.production_id, row.person, row.made_at, row.made_by)


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def _row(work: Work, production_id: int) -> models.Day | None:
    return work.db.scalar(select(models.Day).where(models.Day.production_id == production_id))
