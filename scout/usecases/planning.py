"""The plan of a room for one scene: where subject, camera and lights stand, what that comes to, and keeping it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from scout.assess import fit
from scout.assess.plan_figures import PlanFigures, plan_figures, with_plan
from scout.errors import NotFound, Refused, RefusedMany, Stale
from scout.records import Marks, RoomSheet, marks_refusals
from scout.records.plan import PlannedLight, StagePlan
from scout.store import models, translate
from scout.store.queries import jobs
from scout.store.queries import places as queries
from scout.usecases import assessing, lines
from scout.usecases.sheets import sheet_of
from scout.usecases.work import Work

Point = tuple[float, float, float]
MOST_M = 1000.0


@dataclass(frozen=True)
class PlanScene:
    """A scene the room is proposed for: its candidate's key and version, and whether it keeps a plan of its own."""

    candidate_id: int
    version: int
    scene_id: int
    scene_name: str
    production_id: int
    kept: bool


@dataclass(frozen=True)
class PlanDesk:
    """Everything the page of the plan needs. `places`: by name (subject, camera, light's id), in the order in which they are listed."""

    room_id: int
    room_name: str
    sheet: RoomSheet
    scene: PlanScene | None
    scenes: tuple[PlanScene, ...]
    places: Mapping[str, Point]
    missing: tuple[str, ...]  # lights of the kit that have no place yet
    figures: PlanFigures


def desk(work: Work, room_id: int, candidate_id: int | None = None, moved: Mapping[str, Point] | None = None) -> PlanDesk:
    """The plan of a room for a proposal (None: the newest), with the kept places, or the marks and the worked-out ones, and `moved` over them.

    Raises NotFound; Refused for a name in `moved` that is no mark and no light of the kit.
    """
    row = queries.room(work.db, room_id)
    scenes = tuple(_scene(candidate) for candidate in reversed(jobs.candidates(work.db, room_id=room_id)))
    scene = next((one for one in scenes if candidate_id in (None, one.candidate_id)), None)
    if candidate_id is not None and scene is None:
        raise NotFound("candidate", candidate_id)
    sheet = sheet_of(work, row, scene.production_id if scene is not None else assessing.production_of(work, room_id))
    kept = _kept(work, scene)
    places = {} if moved is not None and {"subject", "camera"} <= set(moved) else _start(sheet, kept)  # a plan sent whole is taken as it is
    lights = [light.id for light in (sheet.kit.lights or ())] if sheet.kit is not None else []
    for name, place in (moved or {}).items():
        if name not in ("subject", "camera") and name not in lights:
            raise Refused(name, list(place), "is neither a mark nor a light of the kit")
        places[name] = place
    order = [name for name in ("subject", "camera", *lights) if name in places]
    ordered = {name: places[name] for name in order}
    return PlanDesk(room_id, lines.room_name(row), sheet, scene, scenes, ordered, tuple(name for name in lights if name not in places),
                    plan_figures(with_plan(sheet, _plan_of(ordered))))


def save_plan(work: Work, candidate_id: int, version: int, moved: Mapping[str, Point]) -> None:
    """Keep a plan with its proposal. Raises NotFound, Stale, Refused and RefusedMany (a place outside the room)."""
    row = _candidate(work, candidate_id)
    plan = StagePlan.read(_plan_of(moved).model_dump(mode="json"), "plan")
    room = translate.room_record(row.room)
    refusals = tuple(marks_refusals(room, Marks(subject=plan.subject, camera=plan.camera), "plan"))
    if refusals:
        raise RefusedMany(refusals)
    if row.version != version:
        raise Stale("plan", row.id, plan.model_dump(mode="json", exclude_none=True), row.plan or {}, row.version)
    words = f"plan of {lines.room_name(row.room)} for {row.scene.name} drawn"  # read first: reading on between would count two versions
    row.plan = plan.model_dump(mode="json", exclude_none=True)
    work.changed(row, words)
    work.commit()


def drop_plan(work: Work, candidate_id: int, version: int) -> None:
    """Forget a plan drawn for a scene: the room's marks and the worked-out places hold again. Raises NotFound, Stale."""
    row = _candidate(work, candidate_id)
    if row.version != version:
        raise Stale("plan", row.id, {}, row.plan or {}, row.version)
    words = f"plan of {lines.room_name(row.room)} for {row.scene.name} dropped"
    row.plan = None
    work.changed(row, words)
    work.commit()


def _candidate(work: Work, key: int) -> models.Candidate:
    row = work.db.get(models.Candidate, key)
    if row is None or row.binned_at is not None:
        raise NotFound("candidate", key)
    return row


def _scene(candidate: models.Candidate) -> PlanScene:
    return PlanScene(candidate.id, candidate.version, candidate.scene_id, candidate.scene.name, candidate.scene.production_id, candidate.plan is not None)


def _kept(work: Work, scene: PlanScene | None) -> StagePlan | None:
    plan = _candidate(work, scene.candidate_id).plan if scene is not None else None
    return StagePlan.read(plan, "plan") if plan else None


def _start(sheet: RoomSheet, kept: StagePlan | None) -> dict[str, Point]:
    """The kept places; for what is not kept the marks and the worked-out plan. A light that has no place by that has none."""
    based = with_plan(sheet, kept) if kept is not None else sheet
    marks, found = based.marks or Marks(), {}
    for name, place in (("subject", marks.subject), ("camera", marks.camera)):
        if place is not None:
            found[name] = place
    found |= {name: placement.at_m for name, placement in fit.placements(based, fit.fit(based)).items()}
    return found


def _plan_of(places: Mapping[str, Point]) -> StagePlan:
    lights = tuple(PlannedLight(id=name, at_m=place) for name, place in places.items() if name not in ("subject", "camera"))
    return StagePlan(subject=places.get("subject"), camera=places.get("camera"), lights=lights)
