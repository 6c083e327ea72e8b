"""A wall as the camera faces it, square on and to scale: windows and doors, the frame edges of each
lens, and the subject before it.

+--------------------------------+ ceiling        seen from inside, the wall's left end on the left;
|   +--W1--+   .----35----.      |                a frame cut off by the wall's own edge is open
there
|   |      |   |    o     |  +D1-|
+---+------+---'----|-----'--+---+ floor
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from scout.drawing.board import Board
from scout.drawing.lettering import Hand, broken
from scout.drawing.pictograms import lettered_circle
from scout.drawing.plan.foot import scale_bar
from scout.drawing.shapes import (
    Circle,
    Drawing,
    Hatch,
    Line,
    Point,
    Polygon,
    Shape,
    bounds,
    moved,
    rectangle,
)
from scout.values import Figure, Name, Said, Word, said
from scout.words.figures import sentence

SCALES = (20.0, 25.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0, 10000.0)
DASHES: tuple[tuple[float, ...], ...] = ((1.2, 0.4), (0.5, 0.3), (1.2, 0.3, 0.25, 0.3), (0.2, 0.25))
EDGE_M = 1e-4


@dataclass(frozen=True)
class WallOpening:
    """A window or a door on the wall; heights from the floor."""

    id: str
    kind: Literal["window", "door"]
    left_m: float
    right_m: float
    bottom_m: float
    top_m: float

    @property
    def words(self) -> Said:
        """`window W1`."""
        if self.kind == "window":
            return said("drawing.window", opening=Name(self.id))
        return said("drawing.door", opening=Name(self.id))


@dataclass(frozen=True)
class LensFrame:
    """What one lens holds of the wall: polygons of (along the wall, height)."""

    focal_length_mm: float
    parts_m: tuple[tuple[tuple[float, float], ...], ...]


@dataclass(frozen=True)
class Elevation:
    """All that is drawn of one wall."""

    wall: str
    length_m: float
    height_m: float
    openings: tuple[WallOpening, ...]
    frames: tuple[LensFrame, ...]
    chosen_mm: float | None = None
    head_m: tuple[float, float, float] | None = (
        None  # the subject's head against the wall: along, height, half its breadth there
    )
    light_shadows_m: tuple[tuple[str, tuple[tuple[float, float], ...]], ...] = ()


def elevation(
    wall: Elevation, hand: Hand, width_mm: float, height_mm: float, *, stated: bool = True
) -> Drawing:
    """The strip, at the largest round scale that fits; `stated`: say it, for paper."""
    u = hand.text_mm
    fits = (
        s
        for s in SCALES
        if wall.length_m * 1000 / s <= width_mm - 8 * u
        and wall.height_m * 1000 / s <= height_mm - 5.5 * u
    )
    scale = next(fits, SCALES[-1])
    k = 1000.0 / scale
    board = Board(hand)
    face = rectangle(0.0, 0.0, wall.length_m * k, wall.height_m * k)
    board.add(Polygon(face, hand.pen("bold"), "ground"))
    for name, outline in wall.light_shadows_m:
        points = tuple((x * k, z * k) for x, z in outline)
        board.group(
            (Hatch(points, 90.0, 0.5 * u, hand.pen("hair")), Polygon(points, hand.pen("hair"))),
            f"shadow-{name}",
            said("drawing.shadow", of=Word("thrower", "subject"), light=Name(name)),
        )
        board.note(said("drawing.hatched_shadow", light=Name(name)))
    for opening in wall.openings:
        box = rectangle(
            opening.left_m * k, opening.bottom_m * k, opening.right_m * k, opening.top_m * k
        )
        shapes: list[Shape] = [Polygon(box, hand.pen("thin"), "ground")]
        if opening.kind == "window":
            inset = min(0.35 * u, (box[2][0] - box[0][0]) / 4, (box[2][1] - box[0][1]) / 4)
            shapes.append(
                Polygon(
                    rectangle(
                        box[0][0] + inset, box[0][1] + inset, box[2][0] - inset, box[2][1] - inset
                    ),
                    hand.pen("hair"),
                )
            )
        board.group(shapes, f"{opening.kind}-{opening.id}", opening.words)
        middle = ((box[0][0] + box[2][0]) / 2, (box[0][1] + box[2][1]) / 2)
        board.place(
            [
                hand.centred(
                    (middle[0], middle[1] + dy * u), opening.id, size=0.9, bold=True, backed=True
                )
                for dy in (0.0, 1.4, -1.4, 2.8)
            ],
            over=True,
        )
    if wall.head_m is not None:
        _person(board, wall, k)
    for i, frame in enumerate(wall.frames):
        _frame(board, wall, frame, k, DASHES[i % len(DASHES)])
    board.shapes += board.over
    return _sheet(board, wall, scale, width_mm, stated=stated)


def _person(board: Board, wall: Elevation, k: float) -> None:
    """Head and shoulders where the lens sees them before the wall, cut to the wall."""
    assert wall.head_m is not None
    along, height, half = wall.head_m
    if not (half < along < wall.length_m - half and half < height < wall.height_m - half):
        return
    pen = board.hand.pen("thin")
    thread = Line(
        (along * k, (height - half) * k), (along * k, 0.0), board.hand.pen("hair", dash=(0.3, 0.3))
    )
    board.group(
        (Circle((along * k, height * k), half * k, pen), thread),
        "subject",
        said("drawing.head"),
    )
    board.take_round((along * k, height * k), half * k)


def _frame(
    board: Board, wall: Elevation, frame: LensFrame, k: float, dash: tuple[float, ...]
) -> None:
    hand, lens = board.hand, Figure(frame.focal_length_mm)
    chosen = frame.focal_length_mm == wall.chosen_mm
    pen = hand.pen("medium", "green") if chosen else hand.pen("fine", "green", dash)
    shapes: list[Shape] = []
    choices = []
    for part in frame.parts_m:
        points = [(x * k, z * k) for x, z in part]
        for a, b in zip(points, [*points[1:], points[0]], strict=True):
            if not _on_edge(a, b, wall, k):
                shapes.append(Line(a, b, pen))
                angle = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
                for share in (0.5, 0.25, 0.75, 0.1, 0.9):
                    spot: Point = (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)
                    text = hand.centred(
                        spot,
                        lens,
                        size=0.9,
                        bold=chosen,
                        ink="green",
                        backed=True,
                    )
                    choices.append((abs(math.sin(math.radians(angle))) > 0.5, -spot[1], text))
    board.group(
        shapes,
        f"frame-{frame.focal_length_mm:g}",
        said("drawing.frame", lens=lens),
    )
    if not frame.parts_m:
        board.note(said("drawing.holds_nothing", lens=lens))
    elif not shapes:
        board.note(said("drawing.holds_all", lens=lens))
    elif not board.place(
        [text for _, _, text in sorted(choices, key=lambda row: row[:2])], over=True
    ):
        board.note(said("drawing.lens_unnamed", lens=lens))


def _on_edge(a: Point, b: Point, wall: Elevation, k: float) -> bool:
    """Whether a side of the frame is the wall's own edge: there the frame goes on past the wall."""
    near = EDGE_M * k + 1e-6
    return any(
        abs(a[axis] - at) < near and abs(b[axis] - at) < near
        for axis, ats in ((0, (0.0, wall.length_m * k)), (1, (0.0, wall.height_m * k)))
        for at in ats
    )


def _sheet(
    board: Board, wall: Elevation, scale: float, width_mm: float, *, stated: bool
) -> Drawing:
    hand, u = board.hand, board.hand.text_mm
    k = 1000.0 / scale
    top = wall.height_m * k
    shapes = list(board.shapes)
    shapes += lettered_circle(hand, (-1.6 * u, top / 2), wall.wall)
    title = hand.say(said("drawing.wall_behind", wall=Word("surface", wall.wall)), "cap")
    shown = [f.focal_length_mm for f in wall.frames if f.focal_length_mm == wall.chosen_mm]
    lines = said("drawing.frame_lines", lens=Figure(shown[0]) if shown else None)
    foot = " ".join([hand.say(lines), *board.notes])
    bar, bar_mm = scale_bar(hand, scale, min(35.0, width_mm / 3))
    size = 0.9
    shapes.append(
        hand.write(
            (-2.5 * u, top + 1.0 * u),
            title,
            size=1.0,
            bold=True,
            most_mm=width_mm - bar_mm - 14 * u,
        )
    )
    left = width_mm - 4.5 * u - bar_mm - 6 * u
    shapes += [moved(shape, left, top + 0.8 * u) for shape in bar]
    if stated:
        shapes.append(
            hand.write(
                (left + bar_mm + 1.6 * u, top + 0.9 * u), f"1:{scale:g}", size=1.0, bold=True
            )
        )
    y = -0.6 * u
    for line in broken(foot, width_mm - u, size * u, hand.text_width, 4):
        y -= 1.2 * u
        shapes.append(hand.write((-2.5 * u, y), line, size=size))
    box = bounds(shapes)
    placed = tuple(moved(shape, -box[0] + 0.2 * u, -box[1] + 0.2 * u) for shape in shapes)
    return Drawing(
        max(width_mm, box[2] - box[0] + 0.4 * u),
        box[3] - box[1] + 0.4 * u,
        placed,
        title,
        f"{title}. {_words(wall, hand)}",
        scale,
    )


def _words(wall: Elevation, hand: Hand) -> str:
    made = [
        said(
            "drawing.opening_high",
            opening=o.words,
            left=Figure(o.left_m, "m"),
            right=Figure(o.right_m, "m"),
            bottom=Figure(o.bottom_m, "m"),
            top=Figure(o.top_m, "m"),
        )
        for o in wall.openings
    ]
    for frame in wall.frames:
        along = [x for part in frame.parts_m for x, _ in part]
        if along:
            lens, low, high = Figure(frame.focal_length_mm), min(along), max(along)
            made.append(
                said("drawing.holds", lens=lens, low=Figure(low, "m"), high=Figure(high, "m"))
            )
    return " ".join(sentence(one, hand.reader) for one in made)
