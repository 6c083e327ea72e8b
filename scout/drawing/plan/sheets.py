"""The three working plans of one room and scene, light, power and shot, and the wall behind: from a
sheet and its answers to what is drawn.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from typing import Literal

import numpy as np

from scout.assess.answers import FitAnswer, Placement, PlanLight, PowerAnswer, ViewAnswer
from scout.assess.stage.floor import ground, stage_of
from scout.assess.stage.views import field_ends_m
from scout.calc.fit.floor.doorway import Doorway
from scout.calc.fit.floor.space import (
    OPERATOR_DEPTH_M,
    OPERATOR_WIDTH_M,
    TRIPOD_RADIUS_M,
    ahead_zone_m,
    clear_depth_m,
)
from scout.calc.fit.floor.tape import tapes_m
from scout.calc.fit.lens.backdrop import wall_parts_in_frame
from scout.calc.fit.lens.camera import View
from scout.calc.fit.lens.through import doorway_to
from scout.calc.fit.stand.lights import Stage
from scout.calc.geometry import FloatArray, inside, walls
from scout.drawing.plan.elevation import Elevation, LensFrame, WallOpening
from scout.drawing.plan.light import BoomMark, LightMark, LightSheet, Throw
from scout.drawing.plan.power import CircuitLoad, LeadLine, PowerSheet
from scout.drawing.plan.shot import LensField, ShotSheet, WallBand
from scout.drawing.plan.tape import TapeLine, angle_of
from scout.records.sheet import Marks, RoomRecord, RoomSheet
from scout.values import Figure, Name, Said, said
from scout.words.figures import Words

Place = tuple[float, float, float]
HEAD_HALF_M = 0.12  # half the breadth of a head with its hair, as drawn (common practice)


def tape_lines(room: RoomRecord, place: Sequence[float]) -> tuple[TapeLine, ...]:
    """The tapes of a place on the floor; none where it stands outside the plan."""
    plan = room.corners_m
    if plan is None or not bool(inside(plan, np.asarray(place[:2], dtype=np.float64))):
        return ()
    at = (float(place[0]), float(place[1]))
    return tuple(
        TapeLine(at, tape.foot_m, tape.wall, tape.distance_m) for tape in tapes_m(plan, at)
    )


def facing_deg(marks: Marks | None) -> float | None:
    """The way the subject faces in plan: as told, else towards the camera."""
    if marks is None or marks.subject is None:
        return None
    if marks.subject_normal is not None:
        x, y, _ = marks.subject_normal
        return math.degrees(math.atan2(y, x)) if math.hypot(x, y) > 1e-6 else None
    return angle_of(marks.subject, marks.camera)


def roles_of(answer: FitAnswer) -> dict[str, str]:
    """What each light does, by its id."""
    found = {
        row.light: name
        for name in ("key", "fill", "back")
        if (row := answer.plan.get(name)) is not None and row.light is not None
    }
    return {**{row.light: "other" for row in answer.others if row.light is not None}, **found}


def light_sheet(
    sheet: RoomSheet,
    answer: FitAnswer,
    placed: Mapping[str, Placement],
    remarks: tuple[Words, ...] = (),
    boom_m: Place | None = None,
) -> LightSheet:
    """Every light that has a place, and the board that stands in for a second one."""
    marks, roles = sheet.marks or Marks(), roles_of(answer)
    beams = (
        {light.id: light.beam_deg for light in (sheet.kit.lights or ())}
        if sheet.kit is not None
        else {}
    )
    lights = [
        LightMark(
            one.light,
            roles.get(one.light, "other"),
            one.at_m,
            one.aim_m,
            beams.get(one.light),
            tape_lines(sheet.room, one.at_m),
        )
        for one in placed.values()
    ]
    board: PlanLight | None = answer.plan.get("fill")
    if board is not None and board.light is None and board.at_m is not None:
        lights.append(
            LightMark(
                "",
                "bounce",
                board.at_m,
                board.aim_m,
                None,
                tape_lines(sheet.room, board.at_m),
            )
        )
    return LightSheet(
        tuple(lights),
        marks.subject,
        facing_deg(marks),
        marks.camera,
        throws(sheet.room, answer),
        boom_of(answer, boom_m),
        remarks,
    )


def throws(room: RoomRecord, answer: FitAnswer) -> tuple[Throw, ...]:
    """The shadows that the answer tells of, on the floor by their outline and on a wall by the
    stretch they take.
    """
    by_letter = (
        {wall.letter: wall for wall in walls(room.corners_m)} if room.corners_m is not None else {}
    )
    found = []
    for row in answer.shadows:
        if len(row.polygon_m) < 3 or (row.of == "boom" and not row.in_frame_mm):
            continue  # a pole's shadow that no lens sees only crowds the drawing
        what: Literal["subject", "boom"] = "boom" if row.of == "boom" else "subject"
        if row.surface == "floor":
            found.append(
                Throw(
                    row.light,
                    what,
                    tuple((x, y) for x, y, _ in row.polygon_m),
                    in_frame=bool(row.in_frame_mm),
                )
            )
        elif row.surface in by_letter:
            wall = by_letter[row.surface]
            along = [
                float((x - wall.start_m[0]) * wall.along[0] + (y - wall.start_m[1]) * wall.along[1])
                for x, y, _ in row.polygon_m
            ]
            found.append(
                Throw(
                    row.light,
                    what,
                    (),
                    row.surface,
                    (min(along), max(along)),
                    max(z for _, _, z in row.polygon_m),
                    bool(row.in_frame_mm),
                )
            )
    return tuple(found)


def boom_of(answer: FitAnswer, by_hand_m: Place | None) -> BoomMark | None:
    """The microphone on its pole: where it was put by hand, else where the answer hangs it."""
    if by_hand_m is not None:
        return BoomMark(by_hand_m)
    return None if answer.boom is None else BoomMark(answer.boom.mic_m, answer.boom.end_m)


def power_sheet(
    sheet: RoomSheet,
    answer: PowerAnswer,
    fit: FitAnswer,
    placed: Mapping[str, Placement],
    remarks: tuple[Words, ...] = (),
) -> PowerSheet:
    """Leads with their way over the floor, circuits with their share."""
    outlets, roles = {outlet.id for outlet in sheet.room.outlets or ()}, roles_of(fit)
    walk = tuple((x, y) for x, y, _ in (sheet.marks.path or ())) if sheet.marks is not None else ()
    leads = []
    for row in answer.assignment:
        if row.outlet not in outlets or row.light not in placed or row.cable_words is None:
            continue
        leads.append(
            LeadLine(
                row.light,
                row.outlet,
                row.circuit,
                row.path_m,
                row.cable_words,
                row.load_a,
                row.volt_drop_pct,
                row.doors,
                crossings(row.path_m, walk),
                row.across,
            )
        )
    lights = tuple(
        (one.light, roles.get(one.light, "other"), one.at_m, angle_of(one.at_m, one.aim_m))
        for one in placed.values()
    )
    circuits = tuple(
        CircuitLoad(one.id, one.load_a, one.limit_a, one.share, one.lights_a)
        for one in answer.circuits
    )
    told = [
        said("drawing.no_plug", light=Name(one.light))
        for one in answer.unplaced
        if one.light not in answer.on_battery
    ]
    return PowerSheet(sheet.room, tuple(leads), circuits, lights, walk, (*told, *remarks))


def crossings(
    way: Sequence[tuple[float, float]], walk: Sequence[tuple[float, float]]
) -> tuple[tuple[float, float], ...]:
    """Where one broken line crosses another."""
    found: list[tuple[float, float]] = []
    for p, q in itertools.pairwise(way):
        for a, b in itertools.pairwise(walk):
            d1, d2 = (q[0] - p[0], q[1] - p[1]), (b[0] - a[0], b[1] - a[1])
            cross = d1[0] * d2[1] - d1[1] * d2[0]
            if abs(cross) < 1e-12:
                continue
            t = ((a[0] - p[0]) * d2[1] - (a[1] - p[1]) * d2[0]) / cross
            s = ((a[0] - p[0]) * d1[1] - (a[1] - p[1]) * d1[0]) / cross
            if 0.0 <= t <= 1.0 and 0.0 <= s <= 1.0:
                found.append((p[0] + t * d1[0], p[1] + t * d1[1]))
    return tuple(dict.fromkeys(found))


def chosen_lens(
    answer: FitAnswer, lenses: Sequence[float], asked_mm: float | None = None
) -> float | None:
    """The lens the shot plan is drawn for: the one asked for, else the widest that sees no stand of
    the plan, else the longest.
    """
    if not lenses:
        return None
    if asked_mm is not None and any(math.isclose(asked_mm, one) for one in lenses):
        return next(one for one in lenses if math.isclose(asked_mm, one))
    stood = [
        row
        for row in (*answer.plan.values(), *answer.others)
        if row.light is not None and row.at_m is not None
    ]
    least = max(
        (row.clear_from_mm if row.clear_from_mm is not None else 0.0 for row in stood), default=0.0
    )
    return min((one for one in lenses if one >= least - 1e-9), default=max(lenses))


def shot_sheet(
    sheet: RoomSheet,
    answer: FitAnswer,
    asked_mm: float | None = None,
    remarks: tuple[Words, ...] = (),
    mark_m: Place | None = None,
    held: Said | None = None,
) -> ShotSheet:
    """Camera, lenses and walls in frame; the camera where the sheet has it.

    mark_m: where its mark is, which is drawn too where the acts set the camera elsewhere
    held: how, where tripod and operator have no floor: none is drawn for them then
    """
    marks = sheet.marks or Marks()
    floor = ground(sheet.room)
    stage = stage_of(sheet, floor)
    views = stage.views if isinstance(stage, Stage) else ()
    chosen = chosen_lens(answer, [view.focal_length_mm for view in views], asked_mm)
    seen: ViewAnswer | None = next(
        (one for one in answer.views if one.focal_length_mm == chosen), None
    )
    fields: tuple[LensField, ...] = ()
    operator: tuple[tuple[float, float], ...] = ()
    frame = None
    if isinstance(stage, Stage):
        camera = np.asarray(stage.camera_m)[:2]
        doorway = doorway_to(stage.space.doorways, stage.space.plan_m, camera, stage.subject_m)
        if doorway is not None:
            fields = tuple(_field_through(stage, view, camera, doorway) for view in views)
            zone = ahead_zone_m(
                camera,
                stage.towards_camera,
                0.0,
                TRIPOD_RADIUS_M + OPERATOR_DEPTH_M,
                OPERATOR_WIDTH_M / 2,
            )
            operator = tuple((float(x), float(y)) for x, y in zone)
            remarks = (*remarks, _behind_door(doorway, camera))
        elif bool(inside(stage.space.plan_m, camera)):
            fields = tuple(
                LensField(view.focal_length_mm, field_ends_m(stage, view)) for view in views
            )
            behind = clear_depth_m(stage.space.plan_m, camera, stage.towards_camera)
            needed = TRIPOD_RADIUS_M + OPERATOR_DEPTH_M
            zone = ahead_zone_m(
                camera,
                stage.towards_camera,
                0.0,
                min(needed, behind),
                OPERATOR_WIDTH_M / 2,
            )
            if held is None:
                operator = tuple((float(x), float(y)) for x, y in zone)
            if held is None and behind < needed:
                short = said("drawing.no_operator_floor", needed=Figure(needed, "m"))
                remarks = (*remarks, short)
        view = next((one for one in views if one.focal_length_mm == chosen), None)
        if view is not None:
            far = float(np.linalg.norm(np.subtract(stage.subject_m, stage.camera_m)))
            frame = (2.0 * view.tangents[0] * far, 2.0 * view.tangents[1] * far)
    bands = (
        tuple(WallBand(part.wall, part.from_offset_m, part.to_offset_m) for part in seen.walls)
        if seen is not None
        else ()
    )
    return ShotSheet(
        sheet.room,
        marks.camera,
        marks.subject,
        facing_deg(marks),
        fields,
        chosen,
        bands,
        seen.windows if seen is not None else (),
        operator,
        tuple(marks.path or ()),
        tape_lines(sheet.room, marks.camera) if marks.camera is not None else (),
        tape_lines(sheet.room, marks.subject) if marks.subject is not None else (),
        frame,
        remarks,
        tuple((one, tape_lines(sheet.room, one)) for one in marks.others or ()),
        None if mark_m == marks.camera else mark_m,
        held,
    )


def _field_through(stage: Stage, view: View, camera: FloatArray, doorway: Doorway) -> LensField:
    """A lens outside: its edges, or the jambs where they cut it, up to the walls of the room."""
    ahead = -stage.towards_camera
    right = np.array([ahead[1], -ahead[0]])
    cuts = [
        (doorway.at(across, face) - camera)
        for across in (0.0, doorway.width_m)
        for face in doorway.faces_m(camera)
    ]
    sides = [float(cut @ right) / max(float(cut @ ahead), 1e-9) for cut in cuts]
    half = len(sides) // 2  # seen from outside the left jamb is on the right
    low, high = max(sides[half:]), min(sides[:half])
    ends = []
    for tangent in (max(-view.tangents[0], low), min(view.tangents[0], high)):
        way = ahead + tangent * right
        way = way / np.linalg.norm(way)
        into = -float(way @ doorway.axes[2])
        enters = float(doorway.out_m(camera)) / max(into, 1e-9) + 1e-6
        start = camera + way * enters
        x, y = start + way * clear_depth_m(stage.space.plan_m, start, way)
        ends.append((float(x), float(y)))
    return LensField(view.focal_length_mm, (ends[0], ends[1]))


def _behind_door(doorway: Doorway, camera: FloatArray) -> Said:
    """Where a camera outside stands, as a crew lays it out: off the wall's inner face and along it."""
    return said(
        "drawing.camera_outside",
        door=Name(doorway.name),
        beyond=Figure(float(doorway.out_m(camera)), "m"),
        jamb=Figure(float(doorway.across_m(camera)), "m"),
    )


def background(sheet: RoomSheet, answer: FitAnswer, chosen_mm: float | None) -> Elevation | None:
    """The wall that fills most of the chosen frame, with what every lens holds of it; None where no
    wall is in frame or its height is not measured.
    """
    floor = ground(sheet.room)
    stage = stage_of(sheet, floor)
    seen = next((one for one in answer.views if one.focal_length_mm == chosen_mm), None)
    if (
        not isinstance(stage, Stage)
        or seen is None
        or not seen.walls
        or stage.space.ceiling_m is None
    ):
        return None
    letter, height = max(seen.walls, key=lambda part: part.frame_share).wall, stage.space.ceiling_m
    wall = next(one for one in walls(stage.space.plan_m) if one.letter == letter)

    def flat(points: FloatArray) -> tuple[tuple[float, float], ...]:
        return tuple((float((p[:2] - wall.start_m) @ wall.along), float(p[2])) for p in points)

    openings = [
        WallOpening(
            w.id, "window", w.offset_m, w.offset_m + w.width_m, w.sill_m, w.sill_m + w.height_m
        )
        for w in sheet.room.windows or ()
        if w.wall == letter
        and None not in (w.offset_m, w.width_m, w.sill_m, w.height_m)
        and w.offset_m is not None
        and w.width_m is not None
        and w.sill_m is not None
        and w.height_m is not None
    ]
    openings += [
        WallOpening(
            d.id, "door", d.offset_m, d.offset_m + d.width_m, 0.0, min(d.height_m or 2.0, height)
        )
        for d in sheet.room.doors or ()
        if d.wall == letter and d.offset_m is not None and d.width_m is not None
    ]
    frames = tuple(
        LensFrame(
            view.focal_length_mm,
            tuple(
                flat(part) for part in wall_parts_in_frame(view, stage.space.plan_m, wall, height)
            ),
        )
        for view in stage.views
    )
    shadows = tuple(
        (row.light, flat(np.array(row.polygon_m)))
        for row in answer.shadows
        if row.surface == letter and row.of == "head and shoulders" and len(row.polygon_m) >= 3
    )
    return Elevation(
        letter,
        wall.length_m,
        height,
        tuple(openings),
        frames,
        chosen_mm,
        _head(stage, wall.start_m, wall.along, wall.outward),
        shadows,
    )


def _head(
    stage: Stage, start: FloatArray, along: FloatArray, outward: FloatArray
) -> tuple[float, float, float] | None:
    """The subject's head as the lens sees it against a wall: the line of sight drawn on to the
    wall's plane.
    """
    camera, subject = np.asarray(stage.camera_m), np.asarray(stage.subject_m)
    way = subject - camera
    rate = float(way[:2] @ outward)
    if rate < 1e-9:
        return None
    t = float((start - camera[:2]) @ outward) / rate
    if t < 1.0:
        return None
    hit = camera + t * way
    return float((hit[:2] - start) @ along), float(hit[2]), HEAD_HALF_M * t
