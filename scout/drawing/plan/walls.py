"""The walls of a plan on paper: thick bands outside the measured faces, broken by windows and
doors.

outer  ______|=====|________      a window: two thin lines, on the inner face and on the outer
inner  ______|=====|________      a door: the leaf open at a right angle and a quarter arc
         offset  width            offset from the wall's left end as seen from inside
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from scout.calc.geometry import Wall, signed_area_m2, walls
from scout.drawing.board import Board
from scout.drawing.lettering import Hand
from scout.drawing.shapes import Arc, Box, Circle, Line, Point, Polygon, Shape
from scout.records.checks import FRAME_SLACK_M, head_m, overlap_m
from scout.records.piece_checks import SLACK_M
from scout.records.sheet import Door, Outlet, RoomRecord, Window
from scout.values import Name, Said, Value, Word, said, words

OVER_DASH = (0.35, 0.25)
MITRE_MOST = 3.0  # of the wall's thickness; sharper corners are cut off square


@dataclass(frozen=True)
class View:
    """How plan metres become paper millimetres, and the walls in both."""

    corners_m: tuple[Point, ...]
    scale: float
    hand: Hand
    part_m: Box | None = None  # what of a large room is drawn; None: all of it

    @property
    def mm_per_m(self) -> float:
        return 1000.0 / self.scale

    @cached_property
    def thickness_mm(self) -> float:
        """Of a wall on paper: not to scale, for it is not measured; thinner where the room itself
        is a sliver.
        """
        shortest = min(wall.length_m for wall in self.walls) * self.mm_per_m
        return min(0.6, max(0.2, 0.4 * shortest / self.hand.text_mm)) * self.hand.text_mm

    @cached_property
    def walls(self) -> tuple[Wall, ...]:
        return walls(self.corners_m)

    def paper(self, x_m: float, y_m: float) -> Point:
        """Where a point of the plan stands on the paper."""
        return float(x_m) * self.mm_per_m, float(y_m) * self.mm_per_m

    def on_wall(self, wall: Wall, offset_m: float, out_mm: float = 0.0) -> Point:
        """A point on the inner face of a wall, moved out_mm of paper outwards."""
        x, y = self.paper(*(wall.start_m + wall.along * offset_m))
        return x + float(wall.outward[0]) * out_mm, y + float(wall.outward[1]) * out_mm

    def stretch_m(self, wall: Wall) -> tuple[float, float] | None:
        """From where to where along a wall it is in the part that is drawn; None where it is not."""
        if self.part_m is None:
            return 0.0, wall.length_m
        enter, leave = 0.0, wall.length_m
        for axis in (0, 1):
            start, rate = float(wall.start_m[axis]), float(wall.along[axis])
            low, high = self.part_m[axis] - start, self.part_m[axis + 2] - start
            if abs(rate) < 1e-9:
                if not low - 1e-9 <= 0.0 <= high + 1e-9:
                    return None
                continue
            first, last = sorted((low / rate, high / rate))
            enter, leave = max(enter, first), min(leave, last)
        return (enter, leave) if leave - enter > 1e-6 else None

    @cached_property
    def outline(self) -> tuple[Point, ...]:
        """The inner faces on paper."""
        return tuple(self.paper(x, y) for x, y in self.corners_m)


def draw_walls(board: Board, view: View, room: RoomRecord) -> None:
    """Walls with their openings; the ground's outline for an exterior, which has no walls."""
    outline = view.outline
    for a, b in zip(outline, outline[1:] + outline[:1], strict=True):
        board.take((a, b))
    if room.setting == "exterior":
        board.group(
            (Polygon(outline, board.hand.pen("medium", dash=(1.4, 0.6))),),
            "ground",
            said("drawing.ground"),
            "ground",
        )
        return
    board.add(symbol="wall")
    for wall in view.walls:
        board.take(
            (
                view.on_wall(wall, 0.0),
                view.on_wall(wall, wall.length_m),
                view.on_wall(wall, wall.length_m, view.thickness_mm),
                view.on_wall(wall, 0.0, view.thickness_mm),
            )
        )
    ends = _outer_ends(view)
    for i, wall in enumerate(view.walls):
        placed = placed_openings(room, wall)
        shapes: list[Shape] = [*_bands(view, wall, ends[i], [(a, b) for _, a, b in placed])]
        after = ends[(i + 1) % len(ends)]
        if after[0] != ends[i][1]:  # a corner cut off square
            shapes.append(
                Polygon((view.on_wall(wall, wall.length_m), ends[i][1], after[0]), None, "ink")
            )
        board.group(shapes, f"wall-{wall.letter}", Word("surface", wall.letter))
        for opening, start, end in placed:
            if isinstance(opening, Window):
                upper = lies_over(room, opening) is not None
                board.group(
                    window_shapes(view, wall, start, end, upper=upper),
                    f"window-{opening.id}",
                    said("drawing.window", opening=called(room, opening)),
                    "window_over" if upper else "window",
                )
            else:
                board.group(
                    _door_shapes(view, wall, start, end),
                    f"door-{opening.id}",
                    said("drawing.door", opening=Name(opening.id)),
                    "door",
                )
                middle = view.on_wall(wall, (start + end) / 2, -(end - start) / 2 * view.mm_per_m)
                board.take_round(middle, (end - start) / 2 * view.mm_per_m * 0.6)


def placed_openings(room: RoomRecord, wall: Wall) -> tuple[tuple[Window | Door, float, float], ...]:
    """The openings of a wall whose place and breadth are measured, left to right, as (opening,
    start, end) cut to the wall.
    """
    found: list[tuple[Window | Door, float, float]] = []
    rows: Sequence[Window | Door] = [*(room.windows or ()), *(room.doors or ())]
    for opening in rows:
        if (
            opening.wall == wall.letter
            and opening.offset_m is not None
            and opening.width_m is not None
        ):
            start, end = (
                min(opening.offset_m, wall.length_m),
                min(opening.offset_m + opening.width_m, wall.length_m),
            )
            if end > start:
                found.append((opening, start, end))
    return tuple(sorted(found, key=lambda row: (row[1], row[2])))


def lies_over(room: RoomRecord, opening: Window | Door) -> Window | Door | None:
    """The opening right below a window, in the same stretch of its wall; None where there is none."""
    if not isinstance(opening, Window) or opening.sill_m is None:
        return None
    rows: Sequence[Window | Door] = [*(room.windows or ()), *(room.doors or ())]
    below = [
        other
        for other in rows
        if other is not opening
        and overlap_m(opening, other)[0] > SLACK_M
        and head_m(other) <= opening.sill_m + FRAME_SLACK_M
    ]
    return max(below, key=head_m, default=None)


def called(room: RoomRecord, opening: Window | Door) -> Name | Said:
    """An opening's name, with that of the one it lies over."""
    lower = lies_over(room, opening)
    if lower is None:
        return Name(opening.id)
    return said("drawing.over", upper=Name(opening.id), lower=Name(lower.id))


def unplaced(room: RoomRecord) -> list[Said]:
    """What is recorded but cannot be drawn, and why."""
    made: list[Said] = []
    rows: Sequence[tuple[str, Window | Door | Outlet]] = [
        *(("drawing.window", w) for w in room.windows or ()),
        *(("drawing.door", d) for d in room.doors or ()),
        *(("drawing.socket", o) for o in room.outlets or ()),
    ]
    for code, thing in rows:
        missing = [
            key
            for key, value in (
                ("wall", thing.wall),
                ("offset_m", thing.offset_m),
                ("width_m", 1.0 if isinstance(thing, Outlet) else thing.width_m),
            )
            if value is None
        ]
        on = Word("surface", thing.wall) if thing.wall else None
        made += _not_drawn(Said(code, (("opening", Name(thing.id)),)), missing, on)
    for lamp in room.practicals or ():
        missing = ["at_m"] if lamp.at_m is None else []
        made += _not_drawn(said("drawing.practical", lamp=Name(lamp.id)), missing)
    for block in room.furniture or ():
        facts = ("at_m", "width_m", "depth_m")
        made += _not_drawn(Name(block.id), [key for key in facts if getattr(block, key) is None])
    return made


def _not_drawn(what: Value, missing: Sequence[str], on: Word | None = None) -> list[Said]:
    if not missing:
        return []
    return [said("drawing.not_drawn", what=what, wall=on, facts=words("fact", missing))]


def _outer_ends(view: View) -> list[tuple[Point, Point]]:
    """Where each wall's outer face begins and ends: the mitre with its neighbours, or cut square
    when that runs too far.
    """
    t = view.thickness_mm
    found = view.walls
    turn = (
        -1.0 if signed_area_m2(view.corners_m) > 0 else 1.0
    )  # a plan given the wrong way round still gets its walls outside
    corners: list[Point | None] = []
    for before, after in zip((found[-1], *found[:-1]), found, strict=True):
        bisector = before.outward + after.outward
        square = float(bisector @ bisector)
        reach = 2 * t / math.sqrt(square) if square > 1e-9 else math.inf  # t / cos(half the turn)
        if reach > MITRE_MOST * t:
            corners.append(None)
        else:
            x, y = view.paper(*after.start_m)
            shift = turn * bisector * (2 * t / square)
            corners.append((x + float(shift[0]), y + float(shift[1])))
    ends: list[tuple[Point, Point]] = []
    for i, wall in enumerate(found):
        start, end = corners[i], corners[(i + 1) % len(corners)]
        ends.append(
            (start or view.on_wall(wall, 0.0, t), end or view.on_wall(wall, wall.length_m, t))
        )
    return ends


def _bands(
    view: View, wall: Wall, ends: tuple[Point, Point], gaps: list[tuple[float, float]]
) -> list[Shape]:
    """The filled pieces of a wall between its openings."""
    shapes: list[Shape] = []
    at = 0.0
    for start, end in [*_joined(gaps), (wall.length_m, wall.length_m)]:
        if start > at + 1e-9:
            outer_left = ends[0] if at == 0.0 else view.on_wall(wall, at, view.thickness_mm)
            outer_right = (
                ends[1] if start == wall.length_m else view.on_wall(wall, start, view.thickness_mm)
            )
            shapes.append(
                Polygon(
                    (view.on_wall(wall, at), view.on_wall(wall, start), outer_right, outer_left),
                    None,
                    "ink",
                )
            )
            if start == wall.length_m:  # no pale seam along the mitre
                shapes.append(Line(view.on_wall(wall, start), outer_right, view.hand.pen("fine")))
        at = max(at, end)
    return shapes


def _joined(gaps: list[tuple[float, float]]) -> list[tuple[float, float]]:
    joined: list[tuple[float, float]] = []
    for start, end in sorted(gaps):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return joined


def window_shapes(
    view: View, wall: Wall, start_m: float, end_m: float, *, upper: bool = False
) -> tuple[Shape, ...]:
    """Two thin lines along the wall, on its inner and outer faces, closed by the jambs; of an upper
    window dashed, as is what lies over a plan's cut, with a third between them.
    """
    t = view.thickness_mm
    pen = view.hand.pen("fine", dash=OVER_DASH if upper else ())
    between: tuple[Shape, ...] = ()
    if upper:
        middle = [view.on_wall(wall, at, t / 2) for at in (start_m, end_m)]
        between = (Line(middle[0], middle[1], pen),)
    inner = view.on_wall(wall, start_m), view.on_wall(wall, end_m)
    outer = view.on_wall(wall, start_m, t), view.on_wall(wall, end_m, t)
    return (
        Line(inner[0], inner[1], pen),
        Line(outer[0], outer[1], pen),
        Line(inner[0], outer[0], pen),
        Line(inner[1], outer[1], pen),
        *between,
    )


def _door_shapes(view: View, wall: Wall, start_m: float, end_m: float) -> tuple[Shape, ...]:
    """Leaf and quarter arc, hung at the left and opening inwards: the swing is a convention, not a
    record.
    """
    breadth = (end_m - start_m) * view.mm_per_m
    hinge = view.on_wall(wall, start_m)
    along = math.degrees(math.atan2(wall.along[1], wall.along[0]))
    pen, t = view.hand.pen("fine"), view.thickness_mm
    return (
        Line(hinge, view.on_wall(wall, start_m, -breadth), view.hand.pen("medium")),
        Arc(hinge, breadth, along - 90.0, 90.0, pen),
        Line(view.on_wall(wall, start_m), view.on_wall(wall, start_m, t), pen),
        Line(view.on_wall(wall, end_m), view.on_wall(wall, end_m, t), pen),
    )


def wall_sample(hand: Hand, at: Point, length_mm: float) -> tuple[Shape, ...]:
    """A short piece of wall for the legend."""
    x, y = at
    half, t = length_mm / 2, 0.3 * hand.text_mm
    return (
        Polygon(
            ((x - half, y - t), (x + half, y - t), (x + half, y + t), (x - half, y + t)),
            None,
            "ink",
        ),
    )


def window_sample(
    hand: Hand, at: Point, length_mm: float, *, upper: bool = False
) -> tuple[Shape, ...]:
    """A short piece of wall with a window for the legend."""
    x, y = at
    half, t = length_mm / 2, 0.3 * hand.text_mm
    pen = hand.pen("fine", dash=OVER_DASH if upper else ())
    spans = (x - half, x - 0.6 * half), (x + 0.6 * half, x + half)
    ends: list[Shape] = [
        Polygon(((a, y - t), (b, y - t), (b, y + t), (a, y + t)), None, "ink") for a, b in spans
    ]
    lines = (-t, 0.0, t) if upper else (-t, t)
    return (
        *ends,
        *(Line((x - 0.6 * half, y + up), (x + 0.6 * half, y + up), pen) for up in lines),
    )


def door_sample(hand: Hand, at: Point, length_mm: float) -> tuple[Shape, ...]:
    """A door for the legend."""
    x, y = at[0] - length_mm * 0.3, at[1] - length_mm * 0.25
    r = length_mm * 0.55
    return (
        Line((x, y), (x, y + r), hand.pen("medium")),
        Arc((x, y), r, 0.0, 90.0, hand.pen("fine")),
        Circle((x, y), 0.05 * r, None, "ink"),
    )


def bearing_on_paper(north: Point, bearing_deg: float) -> Point:
    """The unit vector on the paper that points to a bearing, given the one that points north;
    bearings run clockwise.
    """
    turn = np.radians(bearing_deg)
    c, s = float(np.cos(turn)), float(np.sin(turn))
    return c * north[0] + s * north[1], -s * north[0] + c * north[1]
