"""Does it fit: which framings the room allows, and where key, fill and back light can stand without
being seen.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np

from scout.assess.answers import DaylightAnswer, FitAnswer, Placement, PlanLight
from scout.assess.daylight.mark.marks import needed_of
from scout.assess.fit.frame.backdrop import backdrop
from scout.assess.fit.frame.framings import framing_rows
from scout.assess.fit.levels import DEFAULT_RATIO, lenses_that_count, set_off_mark
from scout.assess.fit.light.flicker import flicker_rows
from scout.assess.fit.light.motion import motion
from scout.assess.fit.plan.rows import plan_rows
from scout.assess.fit.reasons import available_light, both, metres
from scout.assess.stage.floor import (
    Ground,
    ground,
    lenses,
    lenses_unknown,
    stage_of,
    with_camera,
)
from scout.assess.stage.kit import foot_m, roles
from scout.assess.stage.views import fit_views, judged_by
from scout.calc.fit.floor.space import (
    CEILING_CLEARANCE_M,
    EXIT_DEPTH_M,
    SUBJECT_RADIUS_M,
    TRIPOD_RADIUS_M,
)
from scout.calc.fit.stand.lights import Stage
from scout.calc.light.exposure import FLAT_RECEPTOR_CONSTANT
from scout.records.sheet import RoomSheet
from scout.values import Figure, Said, said

CAUTIONS = (
    said("caution.stands"),
    said("caution.on_furniture"),
    said("caution.exits", free=metres(EXIT_DEPTH_M)),
    said("caution.heat"),
    said("caution.sprinklers"),
    said("caution.mirrors", drift=metres(0.02), away=metres(4.0)),
    said("caution.ladders"),
    said("caution.flashes"),
)


def fit(
    sheet: RoomSheet,
    daylight: DaylightAnswer | None = None,
    *,
    framing: str | None = None,
    focal_length_mm: float | None = None,
    mark_distance_m: float | None = None,
) -> FitAnswer:
    """Framings, three-point plan and what is to be said of available light for one room sheet.

    framing, focal_length_mm: the scene's, whose lens alone the lights are kept out of the frame of
    mark_distance_m: from the camera's mark to the subject's, of a sheet whose camera is `as_set`
    Returns: a row a framing and lens; plan with key, fill, back and bounce; what lacks says
        why. Never raises for a valid sheet.
    """
    sheet = _with_lens(sheet, focal_length_mm)
    floor, framed, framing_notes, framing_unknown = _framed(sheet)
    marks, kit = sheet.marks, sheet.kit
    stage = stage_of(sheet, floor)
    needed, _ = needed_of(kit)
    ratio = DEFAULT_RATIO if kit is None or kit.ratio is None else kit.ratio
    assumed: list[Said] = [*floor.assumed, *framing_notes]
    answer = replace(
        framed,
        camera_m=None if marks is None else marks.camera,
        mark_distance_m=framed.mark_distance_m if mark_distance_m is None else mark_distance_m,
        available_light_first=available_light(daylight, needed),
        needed_lux=needed,
        ratio=ratio,
        flicker=flicker_rows(sheet),
    )
    answer = replace(answer, judged_mm=lenses_that_count(answer, framing, focal_length_mm))
    lights = tuple(kit.lights or ()) if kit is not None else ()
    plan_unknown = None if isinstance(stage, Stage) else stage
    if plan_unknown is None and not lights:
        plan_unknown = said("fit.no_kit") if kit is None else said("fit.no_lights")
    if not isinstance(stage, Stage) or plan_unknown is not None:
        parts = ("key", "fill", "back", "bounce")
        return replace(
            answer,
            views=fit_views(sheet, stage, floor) if isinstance(stage, Stage) else (),
            plan={name: PlanLight(unknown=plan_unknown) for name in parts},
            assumed=tuple(assumed),
            unknown=both(*dict.fromkeys((framing_unknown, plan_unknown))),
        )
    part = roles(lights, stage.subject_m, stage.camera_m)
    assert part.key is not None  # a kit with lights always has a key
    seen = judged_by(stage, answer.judged_mm)
    planned = plan_rows(sheet, seen, floor, part, part.key, ratio, needed, answer.judged_mm)
    plan = planned.plan
    assumed += [*_notes(sheet, ratio, needed), *part.notes, *planned.notes]
    return replace(
        answer,
        views=fit_views(sheet, stage, floor),
        plan=plan,
        others=planned.others,
        motion=motion(sheet, plan, daylight),
        backdrop=backdrop(sheet, stage, floor, plan, daylight),
        shadow=planned.shadow,
        shadows=planned.shadows,
        boom=planned.boom,
        assumed=tuple(dict.fromkeys(assumed)),
        unknown=both(*dict.fromkeys((framing_unknown, lenses_unknown(sheet)))),
    )


def as_set(
    sheet: RoomSheet, framing: str | None = None, focal_length_mm: float | None = None
) -> tuple[RoomSheet, float | None]:
    """The sheet with its camera where a setup's acts put it, on its mark, or on the line from there
    to the subject as far off as the framing is had with its lens; and how far off the mark is.
    """
    marks = sheet.marks
    if marks is None or marks.camera is None or marks.subject is None:
        return sheet, None
    at_m, mark_m = _set_at(_Written(sheet.model_dump_json(), sheet), framing, focal_length_mm)
    return sheet if at_m is None else with_camera(sheet, (*at_m, marks.camera[2])), mark_m


@dataclass(frozen=True)
class _Written:
    """A sheet told apart from others by what is written in it."""

    text: str
    sheet: RoomSheet = field(compare=False)


@lru_cache(maxsize=64)  # the days, the light and the plan of one set-up ask for the same
def _set_at(
    written: _Written, framing: str | None, focal_length_mm: float | None
) -> tuple[tuple[float, float] | None, float | None]:
    """Where the camera is set in plan, None on its mark; and how far off that is."""
    _, framed, _, _ = _framed(_with_lens(written.sheet, focal_length_mm))
    row = set_off_mark(framed, framing, focal_length_mm)
    return None if row is None else row.camera_m, framed.mark_distance_m


def _framed(sheet: RoomSheet) -> tuple[Ground, FitAnswer, tuple[Said, ...], Said | None]:
    """The floor with the heights of the marks, the framings, what was assumed, what is missing."""
    marks, floor, apart = sheet.marks, ground(sheet.room), None
    if marks is not None and marks.camera is not None and marks.subject is not None:
        floor = replace(floor, heights_m=(marks.camera[2], marks.subject[2]))
        apart = float(np.linalg.norm(np.subtract(marks.camera, marks.subject)))
    rows, notes, unknown = framing_rows(sheet, floor)
    return floor, FitAnswer(framings=rows, mark_distance_m=apart), notes, unknown


def _with_lens(sheet: RoomSheet, focal_length_mm: float | None) -> RoomSheet:
    """The sheet with the scene's lens among the camera's, if the kit does not list it."""
    camera = sheet.kit.camera if sheet.kit is not None else None
    if focal_length_mm is None or camera is None or focal_length_mm in lenses(sheet):
        return sheet
    assert sheet.kit is not None
    camera = camera.model_copy(update={"focal_lengths_mm": (*lenses(sheet), focal_length_mm)})
    return sheet.model_copy(update={"kit": sheet.kit.model_copy(update={"camera": camera})})


def placements(sheet: RoomSheet, answer: FitAnswer) -> Mapping[str, Placement]:
    """Where every light of the kit stands and points: pinned by the sheet, planned as key, fill or
    back, or assumed for those beyond.

    A light with no place is left out. A light pinned with no aim points at the subject when its
    mark is set.
    """
    subject = sheet.marks.subject if sheet.marks is not None else None
    found: dict[str, Placement] = {}
    for light in (sheet.kit.lights or ()) if sheet.kit is not None else ():
        if light.at_m is not None:
            found[light.id] = Placement(light.id, light.at_m, light.aim_m or subject, "pinned")
    for name in ("key", "fill", "back"):
        row = answer.plan.get(name)
        if (
            row is not None
            and row.light is not None
            and row.at_m is not None
            and row.light not in found
        ):
            found[row.light] = Placement(row.light, row.at_m, row.aim_m, "planned")
    for row in answer.others:
        if row.light is not None and row.at_m is not None and row.light not in found:
            found[row.light] = Placement(row.light, row.at_m, row.aim_m, "assumed")
    return found


def _notes(sheet: RoomSheet, ratio: float, needed: float | None) -> list[Said]:
    """What was taken of the marks, the ratio, the exposure and the sizes."""
    marks, kit = sheet.marks, sheet.kit
    assert kit is not None
    wanted = Figure(ratio, "ratio")
    notes = [
        said("fit.camera_aims"),
        said("fit.ratio_taken", ratio=wanted)
        if kit.ratio is None
        else said("fit.ratio_given", ratio=wanted),
        said(
            "fit.sizes_of_stands",
            foot=metres(foot_m(kit)),
            circle=metres(2 * TRIPOD_RADIUS_M),
            free=metres(SUBJECT_RADIUS_M),
            under=metres(CEILING_CLEARANCE_M),
        ),
    ]
    if marks is None or marks.subject_normal is None:
        notes.append(said("fit.face_looks"))
    if needed is not None:
        constant = Figure(float(kit.exposure_constant or FLAT_RECEPTOR_CONSTANT))
        notes.append(said("fit.exposure", constant=constant))
    return notes
