"""The plan of a room for one scene as its page shows it: where everything stands, and what that
comes to.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from scout.assess.answers import Act, act
from scout.assess.fit import fit
from scout.assess.fit.plan.figures import PlanFigures, plan_figures, with_plan
from scout.errors import NotFound, Refused
from scout.pages import assessing
from scout.records import Marks, RoomSheet
from scout.records.plan import PlannedBlock, PlannedLight, StagePlan
from scout.records.sheet import Place
from scout.store import models
from scout.store.queries import common, jobs
from scout.store.queries import places as queries
from scout.usecases import lines
from scout.usecases.sheets import sheet_of
from scout.usecases.work import Work
from scout.values import said

# a light of the kit that is called so cannot be told from the mark, and is not moved here
MARKS = ("subject", "camera")


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
    def lit(self) -> bool:
        """Whether the kit lists a light that could be placed."""
        return self.sheet.kit is not None and bool(self.sheet.kit.lights)

    @property
    def asks(self) -> Act:
        """What is done first where no light can be placed."""
        if self.scene is None:
            return act("propose.room")
        return act("list.kit")

    @property
    def places(self) -> Mapping[str, Place]:
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
    sheet = sheet_of(work, row, scene.production_id if scene is not None else None)
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
    plan = _in_order(_over(StagePlan() if whole else _start(work, sheet, scene), typed), sheet)
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


def _strangers(sheet: RoomSheet, typed: StagePlan | None) -> Iterator[Refused]:
    lights = {light.id for light in (sheet.kit.lights or ())} if sheet.kit is not None else set()
    blocks = {block.id for block in sheet.room.furniture or ()}
    for light in typed.lights if typed is not None else ():
        if light.id not in lights:
            yield Refused(light.id, list(light.at_m), said("refused.plan.no_light"))
    for block in typed.furniture if typed is not None else ():
        if block.id not in blocks:
            yield Refused(block.id, list(block.at_m), said("refused.plan.no_furniture"))


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
    plan = common.one(work.db, models.Candidate, scene.candidate_id).plan if scene else None
    return StagePlan.read(plan, "plan") if plan else None


def _start(work: Work, sheet: RoomSheet, scene: PlanScene | None) -> StagePlan:
    """The kept plan; for what it does not name the marks, the places and the lens that are worked
    out for the scene, as its packet prints them. A light that has no place by that has none.
    """
    kept = _kept(work, scene)
    based, lens = with_plan(sheet, kept) if kept is not None else sheet, None
    marks = based.marks or Marks()
    camera = marks.camera
    if scene is None:
        placed = fit.placements(based, fit.fit(based))
    else:
        candidate = common.one(work.db, models.Candidate, scene.candidate_id)
        room = queries.room(work.db, candidate.room_id)
        day = assessing.default_date(work, room.id, scene.production_id, scene.scene_id)
        setup = assessing.setup_for(work, room, day, candidate, sheet)
        found = assessing.assessed(setup)
        placed, lens = found.placements, assessing.lens_of(setup, found)
        if kept is None or kept.camera is None:
            camera = found.fit.camera_m or camera
    lights = tuple(
        PlannedLight(
            id=name, at_m=one.at_m, aim_m=None if one.aim_m == marks.subject else one.aim_m
        )
        for name, one in placed.items()
    )
    blocks = tuple(
        PlannedBlock(id=block.id, at_m=block.at_m, turn_deg=block.turn_deg)
        for block in based.room.furniture or ()
        if block.at_m is not None
    )
    return StagePlan(
        subject=marks.subject,
        camera=camera,
        lights=lights,
        subject_normal=marks.subject_normal,
        path=marks.path,
        furniture=blocks,
        boom=kept.boom if kept is not None else None,
        lens_mm=kept.lens_mm if kept is not None and kept.lens_mm is not None else lens,
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
