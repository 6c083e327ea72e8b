"""What a plan drawn by hand comes to: each light's lux, angles and faults, the ratio, and what the
lenses see. Quick enough to follow a finger.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import cast

import numpy as np

from scout.assess.answers import Answer, Point
from scout.assess.daylight.mark.marks import needed_of
from scout.assess.fit.levels import DEFAULT_RATIO
from scout.assess.fit.reasons import against, framing_why, metres
from scout.assess.stage.floor import Ground, ground, stage_of
from scout.assess.stage.kit import foot_m, plan_lamp, roles
from scout.assess.stage.views import Ends, field_ends_m, judged_by
from scout.calc.fit.floor.blocks import hidden_by, in_the_way
from scout.calc.fit.floor.space import (
    TRIPOD_RADIUS_M,
    clear_depth_m,
    distance_to_zone_m,
    sees,
    stands_inside,
)
from scout.calc.fit.lens.backdrop import walls_in_frame
from scout.calc.fit.lens.camera import View, in_frame
from scout.calc.fit.lens.framing import camera_place
from scout.calc.fit.plan.planned import lux_at
from scout.calc.fit.plan.search import (
    RATIO_TOLERANCE_STOPS,
    Goal,
    back_goal,
    fill_goal,
    judge_spot,
    key_goal,
)
from scout.calc.fit.stand.lights import Stage
from scout.calc.fit.stand.standing import blocked
from scout.calc.geometry import FloatArray, inside, walls
from scout.errors import OutOfRange
from scout.records.doorways import camera_doorway
from scout.records.plan import StagePlan
from scout.records.sheet import Kit, Light, Marks, RoomSheet
from scout.values import Figure, Name, Said, names, said

NEAREST_M = 0.3  # a lens nearer than this to a face is a mistake of the hand (common practice)
BOOM_RADIUS_M = 0.05  # a microphone in its windshield (common practice)


@dataclass(frozen=True, kw_only=True)
class DrawnLight(Answer):
    """One light where the plan puts it. `against`: every reason why it should not stand there, the
    frame of the lens that counts among them.
    """

    light: str
    part: str  # key, fill, back or other
    at_m: Point
    lux: float | None = None  # at the face, undimmed
    across_deg: float | None = None
    down_deg: float | None = None
    distance_m: float | None = None
    in_frame_mm: tuple[float, ...] = ()  # the lenses that see its stand
    against: tuple[Said, ...] = ()


@dataclass(frozen=True)
class LensField:
    """What one lens sees at the subject, and where the left and the right edge of its field end."""

    focal_length_mm: float
    frame_width_m: float
    frame_height_m: float
    ends_m: Ends


@dataclass(frozen=True)
class WallStretch:
    """Part of a wall that a lens holds, in plan."""

    wall: str
    start_m: tuple[float, float]
    end_m: tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class PlanFigures(Answer):
    """Everything the page of the plan shows beside the drawing."""

    camera_distance_m: float | None = None  # to the subject, in plan
    behind_camera_m: float | None = None
    camera_against: tuple[Said, ...] = ()
    subject_against: tuple[Said, ...] = ()
    lights: tuple[DrawnLight, ...] = ()
    lenses: tuple[LensField, ...] = ()
    ratio: float | None = None  # key over fill, both undimmed
    wanted_ratio: float = DEFAULT_RATIO
    ratio_told: Said | None = None
    needed_lux: float | None = None
    lens_mm: float | None = None  # the lens the bands are of
    bands: tuple[WallStretch, ...] = ()
    boom_distance_m: float | None = None
    boom_in_frame_mm: tuple[float, ...] = ()
    key_stops_over: float | None = None  # of the key over what the camera needs, undimmed


def with_plan(sheet: RoomSheet, plan: StagePlan) -> RoomSheet:
    """The sheet with the plan's places in place of its own: marks moved, lights pinned, aimed at
    the subject unless the plan says otherwise.
    """
    marks = sheet.marks or Marks()
    marks = marks.model_copy(
        update={
            "subject": plan.subject or marks.subject,
            "camera": plan.camera or marks.camera,
            "path": marks.path if plan.path is None else plan.path or None,
            "subject_normal": plan.subject_normal or marks.subject_normal,
        }
    )
    kit = sheet.kit
    if kit is not None and kit.lights:
        placed = {light.id: light for light in plan.lights}
        lights = tuple(
            light
            if (put := placed.get(light.id)) is None
            else light.model_copy(update={"at_m": put.at_m, "aim_m": put.aim_m or marks.subject})
            for light in kit.lights
        )
        kit = kit.model_copy(update={"lights": lights})
    moved = {block.id: block for block in plan.furniture}
    room = sheet.room
    if moved and room.furniture:
        blocks = tuple(
            block
            if (to := moved.get(block.id)) is None
            else block.model_copy(update={"at_m": to.at_m, "turn_deg": to.turn_deg})
            for block in room.furniture
        )
        room = room.model_copy(update={"furniture": blocks})
    return sheet.model_copy(update={"marks": marks, "kit": kit, "room": room})


def plan_figures(
    sheet: RoomSheet, boom_m: Point | None = None, lens_mm: float | None = None
) -> PlanFigures:
    """The figures of a sheet whose lights are pinned (see with_plan); lights without a place are
    left out. Never raises for a valid sheet.

    boom_m: a microphone on its pole, judged by its distance and against the frame; lens_mm: the
        lens that counts: wider ones are told, and speak against no light; None: the widest
    """
    wanted = (
        sheet.kit.ratio if sheet.kit is not None and sheet.kit.ratio is not None else DEFAULT_RATIO
    )
    answer = PlanFigures(wanted_ratio=wanted, needed_lux=needed_of(sheet.kit)[0])
    floor = ground(sheet.room)
    faults = _marks_faults(sheet, floor)
    if faults is not None:
        return replace(
            answer,
            subject_against=faults[0],
            camera_against=faults[1],
            unknown=said("fit.marks_wrong"),
        )
    try:
        stage = stage_of(sheet, floor)
    except OutOfRange as error:
        return replace(answer, unknown=cast(Said, error.because))
    if not isinstance(stage, Stage):
        return replace(answer, unknown=stage)
    kit = sheet.kit or Kit()
    lights = tuple(kit.lights or ())
    part = roles(lights, stage.subject_m, stage.camera_m)
    named = {
        light.id: name
        for name, light in (("key", part.key), ("fill", part.fill), ("back", part.back))
        if light is not None
    }
    drawn = tuple(
        _light(stage, floor, light, named.get(light.id, "other"), kit, lens_mm)
        for light in lights
        if light.at_m is not None
    )
    camera, subject = np.asarray(stage.camera_m), np.asarray(stage.subject_m)
    distance = float(np.linalg.norm((camera - subject)[:2]))
    behind = (
        clear_depth_m(stage.space.plan_m, camera[:2], stage.towards_camera)
        if bool(inside(stage.space.plan_m, camera[:2]))
        else None
    )
    asked = (
        view
        for view in stage.views
        if lens_mm is not None and abs(view.focal_length_mm - lens_mm) < 1e-9
    )
    chosen = next(asked, next(iter(stage.views), None))
    if boom_m is not None:
        far = float(np.linalg.norm(np.asarray(boom_m) - subject))
        seen = tuple(
            view.focal_length_mm
            for view in stage.views
            if bool(in_frame(view, np.asarray(boom_m), BOOM_RADIUS_M))
        )
        answer = replace(answer, boom_distance_m=far, boom_in_frame_mm=seen)
    if chosen is not None:
        answer = replace(answer, lens_mm=chosen.focal_length_mm, bands=_bands(chosen, stage, floor))
    answer = replace(
        answer,
        camera_distance_m=distance,
        behind_camera_m=behind,
        camera_against=_camera_against(stage, floor),
        lights=drawn,
        lenses=_lenses(stage),
    )
    return _with_ratio(answer)


def _bands(view: View, stage: Stage, floor: Ground) -> tuple[WallStretch, ...]:
    """What of which wall a lens holds; nothing outdoors, or from a camera that stands on a wall."""
    if (
        not floor.walled
        or stage.space.ceiling_m is None
        or not (
            view.doorway is not None
            or bool(inside(stage.space.plan_m, np.asarray(view.at_m[:2]), edge_m=-1e-6))
        )
    ):
        return ()
    by_letter = {wall.letter: wall for wall in walls(stage.space.plan_m)}
    return tuple(
        WallStretch(
            part.wall,
            _plan_point(by_letter[part.wall].point(part.from_offset_m)),
            _plan_point(by_letter[part.wall].point(part.to_offset_m)),
        )
        for part in walls_in_frame(view, stage.space.plan_m, stage.space.ceiling_m)
    )


def _plan_point(point: FloatArray) -> tuple[float, float]:
    return float(point[0]), float(point[1])


def _marks_faults(
    sheet: RoomSheet, floor: Ground
) -> tuple[tuple[Said, ...], tuple[Said, ...]] | None:
    """What is wrong with the two marks themselves; None when nothing is, or when nothing can be
    told.
    """
    marks = sheet.marks
    if floor.space is None or marks is None or marks.subject is None or marks.camera is None:
        return None
    plan = floor.space.plan_m
    ceiling = floor.space.ceiling_m

    behind_door = camera_doorway(sheet.room, marks) is not None

    def of(place: Sequence[float], *, outside: bool = False) -> list[Said]:
        faults = []
        if not outside and not bool(inside(plan, np.asarray(place[:2]), edge_m=0.005)):
            faults.append(said("fit.mark_outside"))
        if ceiling is not None and place[2] >= ceiling:
            faults.append(said("fit.mark_ceiling"))
        return faults

    subject, camera = of(marks.subject), of(marks.camera, outside=behind_door)
    if (
        float(np.hypot(marks.subject[0] - marks.camera[0], marks.subject[1] - marks.camera[1]))
        < NEAREST_M
    ):
        camera.append(said("fit.on_subject"))
    return (tuple(subject), tuple(camera)) if subject or camera else None


def _camera_against(stage: Stage, floor: Ground) -> tuple[Said, ...]:
    camera, subject = np.asarray(stage.camera_m)[:2], np.asarray(stage.subject_m)[:2]
    if not bool(inside(stage.space.plan_m, camera, edge_m=0.005)):
        heights = (stage.camera_m[2], stage.subject_m[2])
        far, lens = float(np.linalg.norm(camera - subject)), next(iter(stage.views), None)
        place = camera_place(stage.space, subject, camera - subject, far, heights, lens)
        why = framing_why(place, far, floor.exits, [block.name for block in stage.space.blocks])
        return () if why is None else (why,)
    found = []
    if not bool(stands_inside(stage.space.plan_m, camera, TRIPOD_RADIUS_M)):
        found.append(said("fit.tripod_wall", across=metres(2 * TRIPOD_RADIUS_M)))
    if not bool(sees(stage.space.plan_m, camera, subject)):
        found.append(said("fit.wall_between"))
    camera_3d = np.asarray(stage.camera_m)
    found += [
        said("fit.on_furniture", piece=Name(block.name))
        for block in stage.space.blocks
        if bool(in_the_way(block, camera_3d, TRIPOD_RADIUS_M, 0.0, 0.0))
    ]
    found += [
        said("fit.hides_subject", piece=Name(block.name))
        for block in stage.space.blocks
        if bool(hidden_by(block, camera_3d, stage.subject_m))
    ]
    if any(
        float(distance_to_zone_m(zone, camera)) < TRIPOD_RADIUS_M for zone in stage.space.exits_m
    ):
        found.append(said("fit.tripod_exit", doors=names(sorted(set(floor.exits)))))
    return tuple(found)


def _light(
    stage: Stage, floor: Ground, light: Light, name: str, kit: Kit, lens_mm: float | None
) -> DrawnLight:
    foot = foot_m(kit)
    lamp, taken = plan_lamp(light, stage.subject_m, foot)
    at = light.at_m
    assert at is not None
    stood = tuple(
        (other.at_m[0], other.at_m[1], plan_lamp(other, stage.subject_m, foot)[0].lamp.radius_m)
        for other in kit.lights or ()
        if other.at_m is not None and other.id != light.id
    )
    here = replace(stage, stood=stood, by_shape=True)
    if float(np.hypot(at[0] - stage.subject_m[0], at[1] - stage.subject_m[1])) < 0.01:
        return DrawnLight(
            light=light.id,
            part=name,
            at_m=at,
            against=(said("fit.on_subject"),),
            unknown=said("fit.on_subject"),
        )
    goals = {
        "key": lambda: key_goal(here, lamp.lamp),
        "fill": lambda: fill_goal(here, 2.0),
        "back": lambda: back_goal(here, lamp.lamp),
    }
    counted = here if lens_mm is None else judged_by(here, (lens_mm,))
    spot, reasons = judge_spot(counted, lamp.lamp, goals.get(name, lambda: Goal(120.0, 60.0))(), at)
    seen = tuple(
        view.focal_length_mm
        for view in stage.views
        if bool(blocked(here, lamp.lamp, np.asarray(at), view)["frame"])
    )
    faults = [
        against(reason, here, lamp.lamp, floor.exits, walled=floor.walled) for reason in reasons
    ]
    lux = lux_at(spot, lamp)
    return DrawnLight(
        light=light.id,
        part=name,
        at_m=at,
        lux=lux,
        across_deg=spot.across_deg,
        down_deg=spot.down_deg,
        distance_m=spot.distance_m,
        in_frame_mm=seen,
        against=tuple(faults),
        assumed=taken,
        unknown=None if lux is not None else said("fit.light_lux", light=Name(light.id)),
    )


def _lenses(stage: Stage) -> tuple[LensField, ...]:
    away = np.asarray(stage.subject_m) - np.asarray(stage.camera_m)
    across = 2.0 * float(np.linalg.norm(away))
    return tuple(
        LensField(
            view.focal_length_mm,
            view.tangents[0] * across,
            view.tangents[1] * across,
            field_ends_m(stage, view),
        )
        for view in stage.views
    )


def _with_ratio(answer: PlanFigures) -> PlanFigures:
    by_part = {light.part: light for light in answer.lights}
    key, fill = by_part.get("key"), by_part.get("fill")
    over = None
    if key is not None and key.lux and answer.needed_lux is not None:
        over = float(np.log2(key.lux / answer.needed_lux))
    if key is None or fill is None or not key.lux or not fill.lux:
        return replace(
            answer,
            key_stops_over=over,
            ratio_told=said("fit.ratio_unknown"),
        )
    ratio = key.lux / fill.lux
    off = float(np.log2(ratio / answer.wanted_ratio))
    wanted, stops = Figure(answer.wanted_ratio, "ratio"), Figure(abs(off), "stops")
    if abs(off) <= RATIO_TOLERANCE_STOPS:
        told = said("fit.ratio_met", ratio=wanted)
    elif off < 0:
        told = said("fit.ratio_dim_fill", stops=stops, ratio=wanted)
    else:
        told = said("fit.ratio_dim_key", stops=stops, ratio=wanted)
    return replace(answer, ratio=ratio, ratio_told=told, key_stops_over=over)
