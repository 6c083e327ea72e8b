"""The setups of a production, each with its scene, its room, its dates and how the choice stands."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, time

from scout.assess.day.needs import STEP_MIN
from scout.calc.day.moves import carry_min
from scout.records import SetupRecord
from scout.store import models, translate
from scout.store.queries import jobs
from scout.usecases import lines
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
    carry_min: int  # of carrying in, before the first set-up of a day

    @property
    def hours(self) -> tuple[time | None, time | None]:
        """From and until, by the clock on the place's wall."""
        begin, end = (
            time.fromisoformat(text) if text else None
            for text in (self.record.from_time, self.record.until_time)
        )
        return begin, end


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
        (record.on,) if record.on else tuple(jobs.dates_of(candidate.scene)),
        candidate.id,
        candidate.state,
        candidate.scene_id,
        candidate.scene.name,
        candidate.room_id,
        lines.room_name(candidate.room),
        place.id,
        place.name,
        place.timezone,
        carried_in_min(candidate.room),
    )


def carry_of(room: models.Room) -> int:
    """Minutes to carry the kit between the road and a room."""
    way_in, place = room.way_in or {}, room.location
    carry, steps = way_in.get("carry_m"), way_in.get("steps")
    carry = place.parking_distance_m if carry is None else carry
    return carry_min(carry or 0.0, (place.steps if steps is None else steps) or 0)


def carried_in_min(room: models.Room) -> int:
    """How long before the first set-up of a day its crew is called, in the planner's step [min]."""
    return -(-carry_of(room) // STEP_MIN) * STEP_MIN
