"""The plan of a room for one scene: where everything stands, what that comes to, and keeping it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from scout.assess.fit import fit
from scout.assess.fit.plan_figures import PlanFigures, plan_figures, with_plan
from scout.calc.geometry import distance_to_walls_m, inside
from scout.errors import NotFound, Refused, RefusedMany, Stale
from scout.pages import assessing
from scout.records import Marks, RoomRecord, RoomSheet, marks_refusals
from scout.records.plan import PlannedBlock, PlannedLight, StagePlan
from scout.store import models, translate
from scout.store.queries import jobs
from scout.store.queries import places as queries
from scout.usecases import lines
from scout.usecases.sheets import sheet_of
from scout.usecases.work import Work

Point = tuple[float, float, float]
MARKS = (
    "subject",
    "camera",
)  # a light of the kit that is called so cannot be told from the mark, and is not moved here
OUTSIDE_MOST_M = (
    15.0  # a light may throw in from outside, through a window or a door; further off it is a slip
)


@dataclass(frozen=True)
class PlanScene:
    """A scene the room is proposed for: its candidate's key and version, and whether it keeps a
    plan of its own.
    """

    candidate_id: int
    version: int
    scene_id: int
    scene_name: str
    production_id: int
    kept: bool


@dataclass(frozen=True)
class PlanDesk:
    """Everything the page of the plan needs. `plan` names every place; `sheet` is the room with the
    plan in it.
    """

    room_id: int
    room_name: str
    sheet: RoomSheet
    scene: PlanScene | None
    scenes: tuple[PlanScene, ...]
    plan: StagePlan
    missing: tuple[str, ...]  # lights of the kit that have no place yet
    lenses: tuple[float, ...]
    figures: PlanFigures

    @property
    def places(self) -> Mapping[str, Point]:
        """Subject, camera and lights by name, in the order in which they are listed."""
        named = {
            "subject": self.plan.subject,
            "camera": self.plan.camera,
            **{light.id: light.at_m for light in self.plan.lights},
        }
        return {name: place for name, place in named.items() if place is not None}


def desk(
    work: Work, room_id: int, candidate_id: int | None = None, typed: StagePlan | None = None
) -> PlanDesk:
    """The plan of a room for a proposal (None: the newest): the kept one, or the marks and the
    worked-out places, and what was typed over them.

    Raises NotFound; Refused for a name that is no light of the kit and no furniture of the room.
    """
    row = queries.room(work.db, room_id)
    scenes = tuple(
        _scene(candidate) for candidate in reversed(jobs.candidates(work.db, room_id=room_id))
    )
    scene = next((one for one in scenes if candidate_id in (None, one.candidate_id)), None)
    if candidate_id is not None and scene is None:
        raise NotFound("candidate", candidate_id)
    sheet = sheet_of(
        work,
        row,
        scene.production_id if scene is not None else assessing.production_of(work, room_id),
    )
    lights = (
        [light.id for light in (sheet.kit.lights or ()) if light.id not in MARKS]
        if sheet.kit is not None
        else []
    )
    for refusal in _strangers(sheet, typed):
        raise refusal
    whole = (
        typed is not None and typed.subject is not None and typed.camera is not None
    )  # a plan sent whole is taken as it is
    plan = _in_order(
        _over(StagePlan() if whole else _start(sheet, _kept(work, scene)), typed), sheet
    )
    moved = with_plan(sheet, plan)
    placed = {light.id for light in plan.lights}
    camera = sheet.kit.camera if sheet.kit is not None else None
    lenses = tuple(sorted(set(camera.focal_lengths_mm or ()))) if camera is not None else ()
    return PlanDesk(
        row.id,
        lines.room_name(row),
        moved,
        scene,
        scenes,
        plan,
        tuple(name for name in lights if name not in placed),
        lenses,
        plan_figures(moved, plan.boom, plan.lens_mm),
    )


def save_plan(work: Work, candidate_id: int, version: int, plan: StagePlan) -> None:
    """Keep a plan with its proposal. Raises NotFound, Stale, and RefusedMany naming every place
    outside the room.
    """
    row = _candidate(work, candidate_id)
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
    row = _candidate(work, candidate_id)
    if row.version != version:
        raise Stale("plan", row.id, {}, row.plan or {}, row.version)
    words = f"plan of {lines.room_name(row.room)} for {row.scene.name} dropped"
    row.plan = None
    work.changed(row, words)
    work.commit()


def kept_plan(work: Work, scene: PlanScene | None) -> StagePlan | None:
    """The plan kept for a scene, if any."""
    return _kept(work, scene)


def plan_of(places: Mapping[str, Point]) -> StagePlan:
    """A plan of places by name: subject, camera, and lights by their id."""
    lights = tuple(
        PlannedLight(id=name, at_m=place)
        for name, place in places.items()
        if name not in ("subject", "camera")
    )
    return StagePlan(subject=places.get("subject"), camera=places.get("camera"), lights=lights)


def plan_refusals(room: RoomRecord, plan: StagePlan) -> Iterator[Refused]:
    """What cannot stand where the plan puts it, by name. A light may stand outside, to throw in
    through a window.
    """
    for refusal in marks_refusals(
        room, Marks(subject=plan.subject, camera=plan.camera, path=plan.path or None), "plan"
    ):
        yield Refused(refusal.path.removeprefix("plan."), refusal.given, refusal.because)
    corners, ceiling = room.corners_m, room.height_m if room.setting == "interior" else None

    def off_m(place: tuple[float, ...]) -> float:
        if corners is None or bool(inside(corners, np.asarray(place[:2]), edge_m=0.01)):
            return 0.0
        return float(distance_to_walls_m(corners, np.asarray(place[:2])))

    for light in plan.lights:
        if light.at_m[2] < 0:
            yield Refused(light.id, list(light.at_m), "is below the floor; heights are 0 or more")
        elif off_m(light.at_m) > OUTSIDE_MOST_M:
            yield Refused(
                light.id,
                list(light.at_m),
                f"is more than {OUTSIDE_MOST_M:g} m outside the room's plan",
            )
        elif ceiling is not None and off_m(light.at_m) == 0.0 and light.at_m[2] > ceiling + 0.01:
            yield Refused(
                light.id, list(light.at_m), f"is above the ceiling (height_m {ceiling:g})"
            )
        if light.aim_m is not None and light.aim_m == light.at_m:
            yield Refused(
                light.id, list(light.at_m), "is aimed at its own place; aim it somewhere else"
            )
    if plan.boom is not None:
        if off_m(plan.boom) > 0.0:
            yield Refused("boom", list(plan.boom), "is outside the room's plan")
        elif plan.boom[2] < 0 or (ceiling is not None and plan.boom[2] > ceiling):
            yield Refused("boom", list(plan.boom), "is not between floor and ceiling")
    for block in plan.furniture:
        if off_m(block.at_m) > 0.0:
            yield Refused(block.id, list(block.at_m), "is outside the room's plan")


def _strangers(sheet: RoomSheet, typed: StagePlan | None) -> Iterator[Refused]:
    lights = {light.id for light in (sheet.kit.lights or ())} if sheet.kit is not None else set()
    blocks = {block.id for block in sheet.room.furniture or ()}
    for light in typed.lights if typed is not None else ():
        if light.id not in lights:
            yield Refused(light.id, list(light.at_m), "is neither a mark nor a light of the kit")
    for block in typed.furniture if typed is not None else ():
        if block.id not in blocks:
            yield Refused(block.id, list(block.at_m), "is no furniture of this room")


def _candidate(work: Work, key: int) -> models.Candidate:
    row = work.db.get(models.Candidate, key)
    if row is None or row.binned_at is not None:
        raise NotFound("candidate", key)
    return row


def _scene(candidate: models.Candidate) -> PlanScene:
    return PlanScene(
        candidate.id,
        candidate.version,
        candidate.scene_id,
        candidate.scene.name,
        candidate.scene.production_id,
        candidate.plan is not None,
    )


def _kept(work: Work, scene: PlanScene | None) -> StagePlan | None:
    plan = _candidate(work, scene.candidate_id).plan if scene is not None else None
    return StagePlan.read(plan, "plan") if plan else None


def _start(sheet: RoomSheet, kept: StagePlan | None) -> StagePlan:
    """The kept plan; for what it does not name the marks and the worked-out places. A light that
    has no place by that has none.
    """
    based = with_plan(sheet, kept) if kept is not None else sheet
    marks = based.marks or Marks()
    lights = tuple(
        PlannedLight(
            id=name, at_m=one.at_m, aim_m=None if one.aim_m == marks.subject else one.aim_m
        )
        for name, one in fit.placements(based, fit.fit(based)).items()
    )
    blocks = tuple(
        PlannedBlock(id=block.id, at_m=block.at_m, turn_deg=block.turn_deg)
        for block in based.room.furniture or ()
        if block.at_m is not None
    )
    return StagePlan(
        subject=marks.subject,
        camera=marks.camera,
        lights=lights,
        subject_normal=marks.subject_normal,
        path=marks.path,
        furniture=blocks,
        boom=kept.boom if kept is not None else None,
        lens_mm=kept.lens_mm if kept is not None else None,
    )


def _over(base: StagePlan, typed: StagePlan | None) -> StagePlan:
    """What was typed over what the plan starts from."""
    if typed is None:
        return base
    lights = {light.id: light for light in base.lights} | {
        light.id: light for light in typed.lights
    }
    blocks = {block.id: block for block in base.furniture} | {
        block.id: block for block in typed.furniture
    }
    given = {
        key: value
        for key in ("subject", "camera", "subject_normal", "path", "boom", "lens_mm")
        if (value := getattr(typed, key)) is not None
    }
    return base.model_copy(
        update={**given, "lights": tuple(lights.values()), "furniture": tuple(blocks.values())}
    )


def _in_order(plan: StagePlan, sheet: RoomSheet) -> StagePlan:
    """Lights in the order of the kit; what the kit and the room no longer have is gone."""
    lights = {light.id: light for light in plan.lights}
    blocks = {block.id: block for block in plan.furniture}
    kit = (
        [light.id for light in (sheet.kit.lights or ()) if light.id not in MARKS]
        if sheet.kit is not None
        else []
    )
    known = [block.id for block in sheet.room.furniture or ()]
    return plan.model_copy(
        update={
            "lights": tuple(lights[name] for name in kit if name in lights),
            "furniture": tuple(blocks[name] for name in known if name in blocks),
        }
    )


@dataclass(frozen=True)
class SmallPlan:
    """A room at a glance, as a scene stages it: by name where things stand; lights only where a
    plan is kept.
    """

    room: RoomRecord
    kept: bool
    places: Mapping[str, Point]


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
