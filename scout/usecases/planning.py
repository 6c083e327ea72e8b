"""Keeping the plan of a room for one scene."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from scout.calc.geometry import distance_to_walls_m, inside
from scout.errors import Refused, RefusedMany, Stale
from scout.records import Marks, RoomRecord, marks_refusals
from scout.records.plan import StagePlan
from scout.store import models, translate
from scout.store.queries import common
from scout.usecases import lines
from scout.usecases.work import Work
from scout.values import Figure, said

Point = tuple[float, float, float]
# a light may throw in from outside, through a window or a door; further off it is a slip
OUTSIDE_MOST_M = 15.0


def save_plan(work: Work, candidate_id: int, version: int, plan: StagePlan) -> None:
    """Keep a plan with its proposal. Raises NotFound, Stale, and RefusedMany naming every place
    outside the room.
    """
    row = common.one(work.db, models.Candidate, candidate_id)
    refusals = tuple(plan_refusals(translate.room_record(row.room), plan))
    if refusals:
        raise RefusedMany(refusals)
    if row.version != version:
        raise Stale(
            "plan",
            row.id,
            plan.model_dump(mode="json", exclude_none=True),
            row.plan or {},
            row.version,
        )
    # read first: reading on between would count two versions
    words = f"plan of {lines.room_name(row.room)} for {row.scene.name} drawn"
    row.plan = plan.model_dump(mode="json", exclude_none=True)
    work.changed(row, words)
    work.commit()


def drop_plan(work: Work, candidate_id: int, version: int) -> None:
    """Forget a plan drawn for a scene: the room's marks and the worked-out places hold again.
    Raises NotFound, Stale.
    """
    row = common.one(work.db, models.Candidate, candidate_id)
    if row.version != version:
        raise Stale("plan", row.id, {}, row.plan or {}, row.version)
    words = f"plan of {lines.room_name(row.room)} for {row.scene.name} dropped"
    row.plan = None
    work.changed(row, words)
    work.commit()


def plan_refusals(room: RoomRecord, plan: StagePlan) -> Iterator[Refused]:
    """What cannot stand where the plan puts it, by name. A light may stand outside, to throw in
    through a window.
    """
    bare = room.model_copy(update={"furniture": None})  # a plan may move it
    for refusal in marks_refusals(
        bare, Marks(subject=plan.subject, camera=plan.camera, path=plan.path or None), "plan"
    ):
        yield Refused(refusal.path.removeprefix("plan."), refusal.given, refusal.because)
    corners, ceiling = room.corners_m, room.height_m if room.setting == "interior" else None

    def off_m(place: tuple[float, ...]) -> float:
        if corners is None or bool(inside(corners, np.asarray(place[:2]), edge_m=0.01)):
            return 0.0
        return float(distance_to_walls_m(corners, np.asarray(place[:2])))

    for light in plan.lights:
        if light.at_m[2] < 0:
            yield Refused(light.id, list(light.at_m), said("refused.plan.under_floor"))
        elif off_m(light.at_m) > OUTSIDE_MOST_M:
            yield Refused(
                light.id,
                list(light.at_m),
                said("refused.plan.far_outside", most=Figure(OUTSIDE_MOST_M, "m")),
            )
        elif ceiling is not None and off_m(light.at_m) == 0.0 and light.at_m[2] > ceiling + 0.01:
            yield Refused(
                light.id,
                list(light.at_m),
                said("refused.plan.above_ceiling", height=Figure(ceiling, "m")),
            )
        if light.aim_m is not None and light.aim_m == light.at_m:
            yield Refused(light.id, list(light.at_m), said("refused.plan.own_aim"))
    if plan.boom is not None:
        if off_m(plan.boom) > 0.0:
            yield Refused("boom", list(plan.boom), said("refused.plan.outside"))
        elif plan.boom[2] < 0 or (ceiling is not None and plan.boom[2] > ceiling):
            yield Refused("boom", list(plan.boom), said("refused.plan.boom"))
    for block in plan.furniture:
        if off_m(block.at_m) > 0.0:
            yield Refused(block.id, list(block.at_m), said("refused.plan.outside"))
