"""The candidates of a scene side by side, and each at a glance."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from scout.assess.choice import compare as choice
from scout.pages import assessing
from scout.records import Marks, ProductionRecord, RoomRecord
from scout.records.plan import StagePlan
from scout.records.sheet import Place
from scout.store import translate
from scout.store.queries import jobs
from scout.store.queries import places as queries
from scout.usecases import lines
from scout.usecases.sheets import sheet_of
from scout.usecases.work import Work


def compare(work: Work, scene_id: int, *, on: date | None = None) -> choice.Comparison:
    """The scene's candidates side by side, all judged on one date, each as the scene uses it.
    Raises NotFound.

    on: None takes the first date still to come that the scene or its production names, else the
        last of them, else today
    """
    row = jobs.scene(work.db, scene_id)
    on = on or assessing.first_coming(assessing.dates_of(row), work.now().date())
    production: ProductionRecord = translate.to_record(row.production)
    kit = production.kit
    facts = []
    for candidate in jobs.candidates(work.db, scene_id=scene_id):
        room = queries.room(work.db, candidate.room_id)
        sheet = sheet_of(work, room, row.production_id)
        setup = assessing.setup_for(work, room, on, candidate, sheet)
        facts.append(
            choice.CandidateFacts(
                candidate.id,
                room.id,
                lines.room_name(room),
                translate.to_record(candidate),
                translate.to_record(room.location),
                translate.room_record(room),
                assessing.assessed(setup),
                kit.continuous_share if kit else None,
                setup.noises,
            )
        )
    return choice.compare(translate.to_record(row), on, facts)


@dataclass(frozen=True)
class SmallPlan:
    """A room at a glance, as a scene stages it: by name where things stand; lights only where a
    plan is kept.
    """

    room: RoomRecord
    kept: bool
    places: Mapping[str, Place]


def small_plans(work: Work, scene_id: int) -> dict[int, SmallPlan]:
    """A small plan of every candidate whose room is measured, by the candidate's key."""
    found = {}
    for row in jobs.candidates(work.db, scene_id=scene_id):
        room = translate.room_record(row.room)
        if room.corners_m is None:
            continue
        kept = StagePlan.read(row.plan, "plan") if row.plan else StagePlan()
        marks = assessing.marks_of(row.room) or Marks()
        named = {
            "subject": kept.subject or marks.subject,
            "camera": kept.camera or marks.camera,
            **{light.id: light.at_m for light in kept.lights},
        }
        found[row.id] = SmallPlan(
            room,
            row.plan is not None,
            {name: place for name, place in named.items() if place is not None},
        )
    return found
