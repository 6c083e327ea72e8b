"""From a room sheet to the stage the fit is worked out on: floor, ceiling, exits, marks, lenses; or
why there is none.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from scout.assess.answers import unmeasured
from scout.calc.fit.floor.blocks import Block
from scout.calc.fit.floor.space import PATH_HALF_WIDTH_M, SUBJECT_RADIUS_M, Space, exit_zone_m
from scout.calc.fit.lens.camera import View
from scout.calc.fit.lens.framing import BEHIND_LENS_M
from scout.calc.fit.lens.through import doorway_to
from scout.calc.fit.stand.lights import Stage
from scout.calc.geometry import FloatArray, inside, walls
from scout.calc.power.reach import Reach
from scout.calc.power.run import OnWall
from scout.calc.power.ways import Floor, Zone, floor_of, ring, strip
from scout.records.doorways import doorways_of
from scout.records.sheet import Marks, RoomRecord, RoomSheet
from scout.values import Figure, Name, Said, said

DOOR_WIDTH_M = 0.9  # assumed of a door nobody measured (common practice), and said so
THROUGH_WALL_M = 0.05  # how far into its wall the floor before a door is taken
PERSON_M = 0.3  # half a seated person with elbows (common practice)
FLUSH_M = 0.06  # so near a wall no lead is laid behind a piece: a tape's slack, a skirting board
HUNG_M = 0.9  # what is open up to there hangs on a wall, or is a bar: leads run under it
LEAST_SHOT_M = 0.01  # nearer than that camera and subject have one mark
Point = tuple[float, float, float]


@dataclass(frozen=True)
class Ground:
    """The floor of a room sheet with what was assumed of it. `space` None: `unknown` says why."""

    space: Space | None
    walled: bool
    exits: tuple[str, ...]
    assumed: tuple[Said, ...]
    unknown: Said | None  # why there is no floor
    ceiling_unknown: Said | None  # why nothing that stands under the ceiling can be planned
    heights_m: tuple[float, float] | None = (
        None  # of the lens and of the face, where both marks are set
    )


def ground(room: RoomRecord) -> Ground:
    """The floor, the ceiling and the ways out that stay free."""
    assumed: list[Said] = []
    if room.setting is None:
        assumed.append(said("fit.setting_taken"))
    walled = room.setting in (None, "interior")
    if room.corners_m is None:
        return Ground(None, walled, (), tuple(assumed), unmeasured("room.plan_m"), None)
    plan = np.asarray(room.corners_m, dtype=np.float64)
    zones: list[FloatArray] = []
    exits: list[str] = []
    by_letter = {wall.letter: wall for wall in walls(plan)}
    for door in room.doors or ():
        wall = by_letter.get(door.wall)
        if wall is None or door.offset_m is None:
            assumed.append(said("fit.door_by_eye", door=Name(door.id)))
            continue
        width = door.width_m if door.width_m is not None else DOOR_WIDTH_M
        if door.width_m is None:
            taken = Figure(DOOR_WIDTH_M, "m")
            assumed.append(said("fit.door_width_taken", door=Name(door.id), width=taken))
        zones.append(exit_zone_m(wall.start_m, wall.along, wall.outward, door.offset_m, width))
        exits.append(door.id)
    blocks = _blocks(room, assumed)
    ceiling = None if room.setting == "exterior" else room.height_m
    unknown = (
        unmeasured("room.height_m")
        if room.setting != "exterior" and room.height_m is None
        else None
    )
    return Ground(
        Space(plan, ceiling, tuple(zones), blocks, doorways_of(room)),
        walled,
        tuple(exits),
        tuple(assumed),
        None,
        unknown,
    )


def _blocks(room: RoomRecord, assumed: list[Said]) -> tuple[Block, ...]:
    """The furniture as blocks, and what is to be said of it."""
    if room.furniture is None:
        assumed.append(said("fit.no_furniture"))
    blocks = []
    for piece in room.furniture or ():
        if piece.corners_m is None:
            assumed.append(said("fit.furniture_by_eye", piece=Name(piece.id)))
            continue
        if piece.height_m is None:
            assumed.append(said("fit.furniture_height", piece=Name(piece.id)))
        blocks.append(
            Block(
                piece.id,
                np.asarray(piece.corners_m, dtype=np.float64),
                piece.height_m,
                piece.clear_below_m or 0.0,
            )
        )
    return tuple(blocks)


def reach_of(
    sheet: RoomSheet, floor: Ground
) -> tuple[Reach | None, tuple[float, ...] | None, Said | None]:
    """Where mains leads come from, the kit's leads longest first, and why how far they reach is not
    known.
    """
    cables = sheet.kit.cables if sheet.kit is not None else None
    leads = (
        None
        if cables is None
        else tuple(sorted((cable.length_m for cable in cables), reverse=True))
    )
    if floor.space is None or not floor.walled:
        return None, leads, said("fit.cables_open")
    if not sheet.room.outlets:
        return None, leads, said("fit.no_outlets")
    lengths = {wall.letter: wall.length_m for wall in walls(floor.space.plan_m)}
    placed = tuple(
        (
            OnWall(outlet.id, outlet.wall, min(outlet.offset_m, lengths[outlet.wall])),
            outlet.height_m,
        )
        for outlet in sheet.room.outlets
        if outlet.wall is not None
        and outlet.wall in lengths
        and outlet.offset_m is not None
        and outlet.height_m is not None
    )
    if not placed:
        return None, leads, said("fit.outlets_unplaced")
    if not leads:
        return None, leads, said("fit.no_cables")
    way = lead_floor(sheet.room, sheet.marks, floor)
    assert way is not None
    return Reach(way, placed), leads, None


def lead_floor(room: RoomRecord, marks: Marks | None, floor: Ground | None = None) -> Floor | None:
    """The floor as leads cross it: round doors, furniture, the walk, and the camera's line from behind
    the subject to behind the lens; None without a plan. `floor`: the room's ground, where it is there.
    """
    space = (floor or ground(room)).space
    if space is None:
        return None
    return floor_of(
        ring(space.plan_m),
        (
            *_before_doors(room),
            *(
                _round_piece(block, space.plan_m)
                for block in space.blocks
                if block.clear_below_m < HUNG_M
            ),
            *_used_floor(marks),
        ),
    )


def _round_piece(block: Block, plan_m: FloatArray) -> Zone:
    """A piece with the wall that it stands flush with, so that no lead is laid behind it."""
    corners, slots = np.array(block.ring_m), []
    for wall in walls(plan_m):
        along = (block.ring_m - wall.start_m) @ wall.along
        off = -((block.ring_m - wall.start_m) @ wall.outward)
        flush = (off <= FLUSH_M) & (along > -FLUSH_M) & (along < wall.length_m + FLUSH_M)
        if np.count_nonzero(flush) < 2:
            continue
        corners[flush] += (np.maximum(off[flush], 0.0) + THROUGH_WALL_M)[:, None] * wall.outward
        ends = np.array([along[flush].min(), along[flush].max()])
        slots.append(ring(wall.start_m + ends[:, None] * wall.along))
    return Zone("furniture", ring(corners), slots_m=tuple(slots))


def _before_doors(room: RoomRecord) -> Iterator[Zone]:
    """The floor before every door whose place is measured, through its wall."""
    by_letter = {wall.letter: wall for wall in walls(room.corners_m or ())}
    for door in room.doors or ():
        wall = by_letter.get(door.wall)
        if wall is None or door.offset_m is None:
            continue
        width = door.width_m or DOOR_WIDTH_M
        zone = exit_zone_m(wall.start_m, wall.along, wall.outward, door.offset_m, width)
        # a lead along the wall crosses it too
        zone[:2] += wall.outward * THROUGH_WALL_M
        yield Zone("exit" if door.keep_free else "door", ring(zone), door.id)


def _used_floor(marks: Marks | None) -> Iterator[Zone]:
    """Where the subject walks and the camera looks."""
    if marks is None:
        return
    for start, end in pairwise(marks.path or ()):
        yield Zone("walk", strip(start, end, PATH_HALF_WIDTH_M))
    if marks.subject is None or marks.camera is None:
        return
    subject, camera = np.asarray(marks.subject[:2]), np.asarray(marks.camera[:2])
    apart = float(np.linalg.norm(camera - subject))
    if apart >= LEAST_SHOT_M:
        behind = camera + (camera - subject) / apart * (BEHIND_LENS_M - SUBJECT_RADIUS_M)
        yield Zone("shot", strip(subject, behind, SUBJECT_RADIUS_M, SUBJECT_RADIUS_M))


def with_camera(sheet: RoomSheet, camera_m: Point | None) -> RoomSheet:
    """The sheet with its camera elsewhere than on its mark."""
    marks = sheet.marks
    if camera_m is None or marks is None or marks.camera in (None, camera_m):
        return sheet
    return sheet.model_copy(update={"marks": marks.model_copy(update={"camera": camera_m})})


def mark_on(space: Space, mark: Point) -> Point:
    """A mark as the calculations take it: one that a tape put a few millimetres into the wall is
    set on the wall's line.
    """
    here = np.asarray(mark[:2])
    if bool(inside(space.plan_m, here)):
        return mark
    a, b = space.plan_m, np.roll(space.plan_m, -1, axis=0)
    share = np.clip(np.sum((here - a) * (b - a), axis=1) / np.sum((b - a) ** 2, axis=1), 0.0, 1.0)
    on_walls = a + share[:, None] * (b - a)
    x, y = on_walls[int(np.argmin(np.linalg.norm(on_walls - here, axis=1)))]
    return float(x), float(y), mark[2]


def lenses(sheet: RoomSheet) -> tuple[float, ...]:
    """The kit's focal lengths, each once, widest first."""
    camera = sheet.kit.camera if sheet.kit is not None else None
    return tuple(sorted(set(camera.focal_lengths_mm or ()))) if camera is not None else ()


def lenses_unknown(sheet: RoomSheet) -> Said | None:
    """Why what is in frame cannot be told, or None."""
    camera = sheet.kit.camera if sheet.kit is not None else None
    if camera is None:
        return said("fit.no_camera")
    if not camera.focal_lengths_mm:
        return said("fit.no_lens")
    if camera.sensor_width_mm is None or camera.sensor_height_mm is None:
        return said("fit.no_sensor")
    return None


def stage_of(sheet: RoomSheet, floor: Ground) -> Stage | Said:
    """The stage of the three-point plan, or why there is none."""
    if floor.space is None:
        return floor.unknown or unmeasured("room.plan_m")
    marks = sheet.marks
    if marks is None or marks.subject is None:
        return unmeasured("marks.subject")
    if marks.camera is None:
        return unmeasured("marks.camera")
    if floor.ceiling_unknown is not None:
        return floor.ceiling_unknown
    subject = mark_on(floor.space, marks.subject)
    doorway = doorway_to(floor.space.doorways, floor.space.plan_m, marks.camera[:2], subject[:2])
    camera = marks.camera if doorway is not None else mark_on(floor.space, marks.camera)
    if floor.space.ceiling_m is not None and subject[2] >= floor.space.ceiling_m:
        return said("fit.subject_over_ceiling")
    views: tuple[View, ...] = ()
    if lenses_unknown(sheet) is None:
        assert sheet.kit is not None
        assert sheet.kit.camera is not None
        width, height = sheet.kit.camera.sensor_width_mm, sheet.kit.camera.sensor_height_mm
        assert width is not None
        assert height is not None
        views = tuple(
            View(camera, subject, width, height, focal, doorway) for focal in lenses(sheet)
        )
    stage = Stage(
        floor.space, subject, camera, views, tuple(marks.path or ()), reach_of(sheet, floor)[0]
    )
    for other in marks.others or ():
        stage = stage.with_stand(other, PERSON_M)
    return stage
