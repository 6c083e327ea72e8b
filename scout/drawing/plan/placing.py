"""The plan to set up by: from a sheet and its answers to what is drawn, and floor for the bags."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from scout.assess.answers import RoomAssessment
from scout.assess.fit.frame.kinds import camera_held
from scout.calc.geometry import inside, walls
from scout.drawing.plan.light import LightSheet
from scout.drawing.plan.place import BAGS_M, PlaceSheet, WhiteLaid
from scout.drawing.plan.power import PowerSheet
from scout.drawing.plan.sheets import light_sheet, power_sheet, shot_sheet
from scout.drawing.plan.shot import LensField, ShotSheet
from scout.drawing.plan.things import PatchHour
from scout.records.sheet import RoomRecord

Place = tuple[float, float, float]


def place_sheet(
    found: RoomAssessment,
    mark_m: Place | None,
    lens_mm: float | None,
    boom_m: Place | None = None,
    patches: Sequence[PatchHour] = (),
    white: Sequence[WhiteLaid] = (),
) -> PlaceSheet:
    """Everything to set up by, on one plan; `mark_m` as `shot_sheet` has it."""
    sheet, placed = found.sheet, found.placements
    shot = shot_sheet(sheet, found.fit, lens_mm, mark_m=mark_m, held=camera_held(found.findings))
    light = light_sheet(sheet, found.fit, placed, (), boom_m)
    cables = power_sheet(sheet, found.power, found.fit, placed)
    return PlaceSheet(
        sheet.room,
        light,
        cables,
        shot,
        tuple(patches),
        _bags_m(sheet.room, light, cables, shot),
        tuple(white),
    )


def _bags_m(
    room: RoomRecord, light: LightSheet, power: PowerSheet, shot: ShotSheet
) -> tuple[float, float] | None:
    """Floor for the bags: the corner out of frame that is farthest from doors, stands, camera and
    subject; None where every corner is in frame or close to one of them.
    """
    plan = room.corners_m
    if plan is None:
        return None
    corners = np.asarray(plan, dtype=np.float64)
    middle = corners.mean(axis=0)
    taken = [one.at_m[:2] for one in light.lights]
    taken += [place[:2] for place in (shot.camera, shot.subject, *shot.path) if place is not None]
    taken += [point for lead in power.leads for point in lead.points_m]
    by_letter = {wall.letter: wall for wall in walls(plan)}
    for door in room.doors or ():
        wall = by_letter.get(door.wall)
        if wall is not None and door.offset_m is not None:
            at = wall.start_m + wall.along * (door.offset_m + (door.width_m or 0.9) / 2)
            taken.append((float(at[0]), float(at[1])))
    lens = next((one for one in shot.lenses if one.focal_length_mm == shot.chosen_mm), None)
    best: tuple[float, tuple[float, float]] | None = None
    for corner in corners:
        way = middle - corner
        reach = float(np.linalg.norm(way))
        if reach < 2 * BAGS_M[0]:
            continue
        place = corner + np.sign(way) * (BAGS_M[0] / 2 + 0.1, BAGS_M[1] / 2 + 0.1)
        at_m = (float(place[0]), float(place[1]))
        if not bool(inside(corners, place)) or _in_frame(shot, lens, at_m):
            continue
        if any(
            block.corners_m is not None and bool(inside(np.asarray(block.corners_m), place))
            for block in room.furniture or ()
        ):
            continue
        clear = min((math.dist(at_m, other) for other in taken), default=reach)
        if clear > BAGS_M[0] and (best is None or clear > best[0]):
            best = (clear, at_m)
    return None if best is None else best[1]


def _in_frame(shot: ShotSheet, lens: LensField | None, at_m: tuple[float, float]) -> bool:
    """Whether a place on the floor lies between the edges of a lens."""
    if lens is None or shot.camera is None:
        return False
    x, y = at_m[0] - shot.camera[0], at_m[1] - shot.camera[1]
    (lx, ly), (rx, ry) = ((end[0] - shot.camera[0], end[1] - shot.camera[1]) for end in lens.ends_m)
    return bool(lx * y - ly * x <= 0.0 <= rx * y - ry * x)
