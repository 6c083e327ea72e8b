"""A room as each scene stages it: the plan kept for the scene or the worked-out one, its figures,
and its light, power and shot plans.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from scout.assess.answers import RoomAssessment
from scout.assess.daylight.place.where import facings_of
from scout.assess.fit.frame.kinds import camera_held
from scout.assess.setup import Setup
from scout.drawing import svg
from scout.drawing.lettering import Hand
from scout.drawing.plan.elevation import elevation
from scout.drawing.plan.rim import north_of
from scout.drawing.plan.sheet import Working, room_plan
from scout.drawing.plan.sheets import background, chosen_lens, light_sheet, power_sheet, shot_sheet
from scout.drawing.shapes import Drawing
from scout.drawing.svg import Svg
from scout.packet.book import DRAWING_WIDTH_MM
from scout.pages import assessing
from scout.pages.medium import Medium
from scout.pages.once import content_key
from scout.records import Marks, RoomSheet
from scout.records.plan import StagePlan
from scout.store import models
from scout.store.queries import common, jobs
from scout.store.queries import places as queries
from scout.units import Units
from scout.usecases.sheets import sheet_of
from scout.usecases.work import Work
from scout.values import Name, said

SHEET_MM = (DRAWING_WIDTH_MM, 125.0)
POWER_MM = (
    DRAWING_WIDTH_MM,
    100.0,
)  # little to tape out on it: it shares its page with the light plan
WALL_MM = (DRAWING_WIDTH_MM, 60.0)


@dataclass(frozen=True)
class Staging:
    """One way a room is used: for which scenes, whether drawn by hand, and what that comes to."""

    scenes: tuple[str, ...]
    candidate_id: int | None
    kept: bool
    setup: Setup
    found: RoomAssessment
    lens_mm: float | None = None
    boom_m: tuple[float, float, float] | None = None

    @property
    def sheet(self) -> RoomSheet:
        """The room with the plan in it, its camera where the acts set it."""
        return self.found.sheet


@dataclass(frozen=True)
class StagingDrawings:
    """The working plans; None where nothing of one can be placed."""

    light: Drawing | None = None
    power: Drawing | None = None
    shot: Drawing | None = None
    wall: Drawing | None = None


def stagings(work: Work, room_id: int, production_id: int | None, on: date) -> tuple[Staging, ...]:
    """Every kept plan of the production's scenes for this room, then the worked-out one for the
    scenes that keep none; scenes that ask for the same share it. Raises NotFound.

    The first is the one the room's own figures are told for: a first choice's kept plan before a
    reserve's.
    """
    row = queries.room(work.db, room_id)
    sheet = sheet_of(work, row, production_id)
    rows = [
        one
        for one in jobs.candidates(work.db, room_id=room_id)
        if one.state != "ruled_out" and one.scene.production_id == production_id
    ]
    rows.sort(key=lambda one: one.state != "first_choice")
    found = [_staging(work, row, sheet, one, on) for one in rows if one.plan]
    alike: dict[str, Staging] = {}
    for one in rows:
        if not one.plan:
            made = _staging(work, row, sheet, one, on)
            key = content_key(made.setup)
            before = alike.get(key)
            alike[key] = (
                made if before is None else replace(before, scenes=before.scenes + made.scenes)
            )
    found += alike.values()
    return tuple(found) or (_staging(work, row, sheet, None, on),)


def staging(work: Work, room_id: int, candidate_id: int | None, on: date) -> Staging:
    """One proposal's staging, or the room's own where there is none. Raises NotFound."""
    row = queries.room(work.db, room_id)
    candidate = common.one(work.db, models.Candidate, candidate_id) if candidate_id else None
    production_id = candidate.scene.production_id if candidate is not None else None
    return _staging(work, row, sheet_of(work, row, production_id), candidate, on)


def _staging(
    work: Work,
    row: models.Room,
    sheet: RoomSheet,
    candidate: models.Candidate | None,
    on: date,
) -> Staging:
    setup = assessing.setup_for(work, row, on, candidate, sheet)
    found = assessing.assessed(setup)
    scenes = (candidate.scene.name,) if candidate is not None else ()
    if candidate is None or not candidate.plan:
        return Staging(scenes, None, False, setup, found)
    plan = StagePlan.read(candidate.plan, "plan")
    return Staging(scenes, candidate.id, True, setup, found, plan.lens_mm, plan.boom)


def drawings(
    staging: Staging, units: Units = "metric", *, for_print: bool = True
) -> StagingDrawings:
    """The three plans, to scale and with their legends, and the wall behind; on a screen at any
    scale, on paper at a stated one.
    """
    sheet, found = staging.sheet, staging.found
    if sheet.room.corners_m is None:
        return StagingDrawings()
    letters = Medium(units, for_print).letters
    how = remarks(staging)

    north = north_of(sheet.room, facings_of(sheet, found.date))

    def drawn(
        working: Working,
        most_mm: tuple[float, float] = SHEET_MM,
        readable: float = assessing.READABLE_SCALE,
    ) -> Drawing:
        def at(size_mm: tuple[float, float]) -> Drawing:
            return room_plan(
                sheet.room,
                location=sheet.location,
                north=north,
                size_mm=size_mm,
                units=units,
                **letters,
                stated_scale=for_print,
                working=working,
            )

        return assessing.tidy_plan(at, most_mm, readable) if for_print else at(assessing.SCREEN_MM)

    marks = staging.setup.sheet.marks or Marks()
    standing = marks.subject is not None or marks.camera is not None
    placed = found.placements
    lenses = sorted({view.focal_length_mm for view in found.fit.views})
    wall = background(sheet, found.fit, chosen_lens(found.fit, lenses, staging.lens_mm))
    size = WALL_MM if for_print else (assessing.SCREEN_MM[0], 90.0)
    return StagingDrawings(
        light=drawn(light_sheet(sheet, found.fit, placed, how, staging.boom_m)) if placed else None,
        power=drawn(power_sheet(sheet, found.power, found.fit, placed), POWER_MM, 200.0)
        if placed and sheet.room.outlets
        else None,
        shot=drawn(
            shot_sheet(
                sheet,
                found.fit,
                staging.lens_mm,
                mark_m=marks.camera,
                held=camera_held(found.findings),
            )
        )
        if standing
        else None,
        wall=elevation(wall, Hand(**letters, units=units), *size, stated=for_print)
        if wall is not None
        else None,
    )


def shown(staging: Staging, units: Units) -> tuple[tuple[str, Svg], ...]:
    """The plans of a staging for a page, each with its name."""
    drawn = drawings(staging, units, for_print=False)
    named = (
        ("Light plan", drawn.light),
        ("Power plan", drawn.power),
        ("Shot plan", drawn.shot),
        ("The wall behind", drawn.wall),
    )
    return tuple((name, svg.render(one, id_prefix=name)) for name, one in named if one is not None)


def remarks(staging: Staging) -> tuple[str, ...]:
    """How the places came about, as it stands on the light plan."""
    if staging.kept:
        scene = Name(staging.scenes[0]) if staging.scenes else None
        return (str(said("setup.by_hand", scene=scene)),)
    return (str(said("setup.worked_out")),)
