"""The setups of a production, each with its scene, its room, how the choice stands, and what it is
judged for.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from scout.assess.answers import RoomAssessment
from scout.assess.setup import Setup
from scout.pages import assessing
from scout.records import SetupRecord
from scout.store import models, translate
from scout.store.queries import common, jobs
from scout.store.queries import places as queries
from scout.usecases import lines
from scout.usecases.sheets import sheet_of
from scout.usecases.work import Work


@dataclass(frozen=True)
class SetupLine:
    """One setup. `dates`: its own, or those of its scene that it may still be shot on."""

    id: int
    version: int
    record: SetupRecord
    dates: tuple[date, ...]
    candidate_id: int
    state: str  # proposed, first_choice, reserve, ruled_out
    scene_id: int
    scene_name: str
    room_id: int
    room_name: str
    location_id: int
    location_name: str
    timezone: str | None


def setups_of(work: Work, production_id: int) -> tuple[SetupLine, ...]:
    """Every setup of a production, by date and hour; those without a date come last. Raises
    NotFound.
    """
    jobs.production(work.db, production_id)
    return tuple(_line(row) for row in jobs.setups(work.db, production_id))


def setups_of_scene(work: Work, scene_id: int) -> tuple[SetupLine, ...]:
    """The same of one scene. Raises NotFound."""
    scene = jobs.scene(work.db, scene_id)
    return tuple(
        _line(row)
        for row in jobs.setups(work.db, scene.production_id)
        if row.candidate.scene_id == scene_id
    )


def _line(row: models.Setup) -> SetupLine:
    candidate, record = row.candidate, translate.to_record(row)
    place = candidate.room.location
    return SetupLine(
        row.id,
        row.version,
        record,
        (record.on,) if record.on else tuple(assessing.dates_of(candidate.scene)),
        candidate.id,
        candidate.state,
        candidate.scene_id,
        candidate.scene.name,
        candidate.room_id,
        lines.room_name(candidate.room),
        place.id,
        place.name,
        place.timezone,
    )


def judged_for(work: Work, setup_id: int, on: date | None = None) -> Setup:
    """What a setup is judged for, with its hours, framing, lens, kit, kept plan, coverings and
    what is switched off. Raises NotFound.

    on: for a setup without a date; None: the first of its scene's still to come, else today
    """
    row = common.one(work.db, models.Setup, setup_id)
    candidate = row.candidate
    record: SetupRecord = translate.to_record(row)
    day = record.on or on
    if day is None:
        today = work.now().date()
        day = assessing.first_coming(assessing.dates_of(candidate.scene), today)
    room = queries.room(work.db, candidate.room_id)
    sheet = sheet_of(work, room, candidate.scene.production_id)
    return assessing.setup_for(work, room, day, candidate, sheet, record)


def assessment(work: Work, setup_id: int, on: date | None = None) -> RoomAssessment:
    """The assessment of a setup, see `judged_for`; worked out once as long as nothing changes."""
    return assessing.assessed(judged_for(work, setup_id, on))
