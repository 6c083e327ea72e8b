"""What stands in the room, as the boxes that hide light and throw it: the pieces on record, or about
what usually stands in such a room.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import cycle, islice

import numpy as np

from scout.calc.fit.floor.blocks import zones_meet
from scout.calc.geometry import FloatArray, Wall, inside, plan_area_m2, wall_letters, walls
from scout.calc.radiosity import Box
from scout.records.pieces import PIECES, Piece
from scout.records.sheet import Furniture, RoomRecord
from scout.values import Figure, Said, names, said

# furniture in use, from dark wood and cloth to pale wood (common practice)
USUAL_PIECE, DARK_PIECE, PALE_PIECE = 0.30, 0.10, 0.60
# of a room "furnished about as usual": what stands along its walls, and how much of the floor it takes
# (common practice)
ALONG_WALLS = ("sofa", "bookcase", "sideboard", "armchair", "bookcase", "wardrobe")
USUAL_SHARE = 0.20
CLEAR_M = 0.7  # kept between a usual piece and a mark: somebody stands or sits there
STEP_M = 0.25
LEAST_M = 1e-3  # what is thinner hides nothing


def boxes_of(room: RoomRecord, assumed: list[Said]) -> tuple[tuple[Furniture, Box], ...]:
    """The pieces on record whose place and height are measured, each with its box; the others are
    named in `assumed`.
    """
    taken = {
        *wall_letters(len(room.corners_m or ())),
        "floor",
        "ceiling",
        *(window.id for window in room.windows or ()),
        *(door.id for door in room.doors or ()),
    }
    placed, left_out = [], []
    for piece in room.furniture or ():
        high = piece.height_m
        if high is not None and room.height_m is not None:
            high = min(high, room.height_m)
        low = piece.clear_below_m or 0.0
        if piece.at_m is None or piece.width_m is None or piece.depth_m is None or high is None:
            left_out.append(piece.id)
            continue
        if min(piece.width_m, piece.depth_m, high - low) < LEAST_M:
            continue
        name = piece.id
        while name in taken:  # a surface or an opening bears that name: only the solver sees this
            name += " "
        taken.add(name)
        x, y = piece.at_m
        turn = piece.turn_deg or 0.0
        placed.append(
            (piece, Box(name, float(x), float(y), piece.width_m, piece.depth_m, turn, low, high))
        )
    if left_out:
        assumed.append(said("light.pieces_left_out", pieces=names(left_out)))
    return tuple(placed)


def free_of(
    boxes: tuple[Box, ...], points_m: Iterable[Sequence[float]], assumed: list[Said]
) -> tuple[bool, ...]:
    """Whether each box holds none of the marks; one that does is named in `assumed`: somebody is
    there, so it is not.
    """
    points = np.array([tuple(point) for point in points_m], dtype=np.float64).reshape(-1, 3)
    free = tuple(not bool(np.any(box.holds(points))) for box in boxes)
    inside_of = [box.name for box, clear in zip(boxes, free, strict=True) if not clear]
    if inside_of:
        assumed.append(said("light.mark_in_piece", pieces=names(inside_of)))
    return free


def usual_boxes(room: RoomRecord, marks_m: Iterable[Sequence[float]]) -> tuple[Box, ...]:
    """About what usually stands in a room like this: pieces along its walls, low ones under the
    windows, none at a door or a mark, until they take USUAL_SHARE of the floor.
    """
    corners, ceiling = room.corners_m, room.height_m
    if corners is None or ceiling is None:
        return ()
    plan = np.array(corners, dtype=np.float64)
    marks = np.array([tuple(mark)[:2] for mark in marks_m], dtype=np.float64).reshape(-1, 2)
    wanted_m2 = USUAL_SHARE * plan_area_m2(plan)
    sides = [wall for wall in walls(plan) if wall.length_m > STEP_M]
    found: list[Box] = []
    misses = 0
    for number, name in enumerate(cycle(ALONG_WALLS)):
        if misses >= len(ALONG_WALLS) or sum(b.width_m * b.depth_m for b in found) >= wanted_m2:
            return tuple(found)
        piece = PIECES[name]
        turned = list(islice(cycle(sides), number % len(sides), number % len(sides) + len(sides)))
        box = next(
            (
                box
                for wall in turned
                for box in _along(wall, piece, f"usual {number + 1}")
                if piece.height_m <= ceiling and _fits(box, wall, plan, room, marks, found)
            ),
            None,
        )
        misses = misses + 1 if box is None else 0
        found += [] if box is None else [box]
    return tuple(found)


def usual_words(boxes: tuple[Box, ...], room: RoomRecord) -> Said:
    """What was taken to stand there."""
    share = sum(box.width_m * box.depth_m for box in boxes) / plan_area_m2(room.corners_m or ())
    return said(
        "light.furnished_usual",
        pieces=Figure(len(boxes), "count"),
        share=Figure(100 * share, "%"),
    )


def _along(wall: Wall, piece: Piece, name: str) -> Iterable[Box]:
    """The piece with its back to a wall, from the middle of it outwards."""
    turn = -float(np.degrees(np.arctan2(wall.along[1], wall.along[0])))
    room_m = wall.length_m - piece.width_m
    if room_m < 0:
        return
    steps = np.arange(0.0, room_m / 2 + 1e-9, STEP_M)
    for away in np.unique(np.concatenate([steps, -steps]))[
        np.argsort(np.abs(np.unique(np.concatenate([steps, -steps]))), kind="stable")
    ]:
        x, y = (
            wall.start_m
            + wall.along * (wall.length_m / 2 + float(away))
            - wall.outward * (piece.depth_m / 2 + 0.02)
        )
        yield Box(
            name,
            float(x),
            float(y),
            piece.width_m,
            piece.depth_m,
            turn,
            piece.clear_below_m or 0.0,
            piece.height_m,
        )


def _fits(
    box: Box,
    wall: Wall,
    plan: FloatArray,
    room: RoomRecord,
    marks: FloatArray,
    others: Sequence[Box],
) -> bool:
    ring = _ring(box)
    if not bool(np.all(inside(plan, ring))):
        return False
    near = np.hypot(*(marks - np.array([box.x_m, box.y_m])).T)
    if np.any(near < CLEAR_M + 0.5 * np.hypot(box.width_m, box.depth_m)):
        return False
    if any(zones_meet(ring, _ring(other)) for other in others):
        return False
    middle = float((np.array([box.x_m, box.y_m]) - wall.start_m) @ wall.along)
    ends = middle - box.width_m / 2, middle + box.width_m / 2
    for door in room.doors or ():
        if door.wall == wall.letter and door.offset_m is not None:
            wide = door.width_m or 1.0
            if ends[0] < door.offset_m + wide + 0.1 and ends[1] > door.offset_m - 0.1:
                return False
    for window in room.windows or ():
        if window.wall == wall.letter and None not in (window.offset_m, window.width_m):
            start, wide = window.offset_m or 0.0, window.width_m or 0.0
            if (
                ends[0] < start + wide
                and ends[1] > start
                and box.high_m > (window.sill_m or 0.0) + 0.1
            ):
                return False
    return True


def _ring(box: Box) -> FloatArray:
    halves = np.array([(-1.0, 1.0), (1.0, 1.0), (1.0, -1.0), (-1.0, -1.0)]) * box.half_m[:2]
    return np.asarray(box.middle_m[:2] + halves @ box.axes[:2, :2])
