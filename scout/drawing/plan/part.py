"""A part of a large room, at a scale at which its letters have room, with the whole room small beside
it.

 ______________________
|      .........       |    the key plan: the whole room, the part hatched
|      :///////:       |
|______:///////:_______|
"""

from __future__ import annotations

from collections.abc import Sequence

from scout.drawing.board import Board
from scout.drawing.lettering import Hand
from scout.drawing.plan.walls import View
from scout.drawing.shapes import (
    Arc,
    Box,
    Circle,
    Group,
    Hatch,
    Line,
    Point,
    Polygon,
    Polyline,
    Shape,
    Text,
    bounds,
    box_of,
    outline,
    rectangle,
)
from scout.values import Figure, said

# In metres of the room: a letter that is higher crowds what it names; round what is needed; the
# least part; a wall so near is shown too.
LETTER_MOST_M, MARGIN_M, LEAST_M, NEAR_M = 0.4, 1.2, 5.0, 1.5
MOST_SHARE = 0.7  # of the whole plan: a part that is hardly less is no help
KEY_WIDE, KEY_TALL = 16.0, 9.0  # of the key plan, in sizes of the letters
CUT_DASH = (1.6, 0.4, 0.3, 0.4)
FAR_MM = 1e5


def part_of(plan_m: Sequence[Point], needed_m: Sequence[Point]) -> Box | None:
    """The part of a plan round what is needed, in metres; None where nothing is or where it is as
    good as the whole.
    """
    if not needed_m:
        return None
    whole, near = box_of(plan_m), box_of(needed_m)
    sides: list[tuple[float, float]] = []
    for axis in (0, 1):
        low, high = near[axis] - MARGIN_M, near[axis + 2] + MARGIN_M
        short = max(LEAST_M - (high - low), 0.0) / 2
        low, high = low - short, high + short
        first, last = whole[axis], whole[axis + 2]
        sides.append(
            (first if low < first + NEAR_M else low, last if high > last - NEAR_M else high)
        )
    (left, right), (bottom, top) = sides
    area = (whole[2] - whole[0]) * (whole[3] - whole[1])
    if (right - left) * (top - bottom) > MOST_SHARE * area:
        return None
    return left, bottom, right, top


def window_of(view: View) -> Box | None:
    """The part on paper, without end where it goes up to the walls: their letters stand outside."""
    if view.part_m is None:
        return None
    whole, part = box_of(view.corners_m), view.part_m
    low, high = view.paper(*part[:2]), view.paper(*part[2:])
    return (
        low[0] if part[0] > whole[0] else -FAR_MM,
        low[1] if part[1] > whole[1] else -FAR_MM,
        high[0] if part[2] < whole[2] else FAR_MM,
        high[1] if part[3] < whole[3] else FAR_MM,
    )


def cut_lines(board: Board, view: View, window: Box) -> list[Shape]:
    """The edges along which the room goes on, drawn as a cut is."""
    pen = board.hand.pen("thin", dash=CUT_DASH)
    ring = view.outline
    found: list[Shape] = []
    for axis in (0, 1):
        for at in (window[axis], window[axis + 2]):
            if abs(at) >= FAR_MM:
                continue
            cuts = sorted(
                a[1 - axis] + (at - a[axis]) * (b[1 - axis] - a[1 - axis]) / (b[axis] - a[axis])
                for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)
                if (a[axis] > at) != (b[axis] > at)
            )
            for start, end in zip(cuts[::2], cuts[1::2], strict=False):
                ends = (start, at), (end, at)
                pieces = [(y, x) if axis == 0 else (x, y) for x, y in ends]
                found.append(Line(pieces[0], pieces[1], pen))
    return found


def within(shapes: Sequence[Shape], window: Box) -> list[Shape]:
    """What of the shapes lies in a window: lines and fields cut at its edge, letters whole or not
    at all.
    """
    found: list[Shape] = []
    for shape in shapes:
        found += _cut(shape, window)
    return found


def _cut(shape: Shape, window: Box) -> list[Shape]:
    if isinstance(shape, Group):
        inner = within(shape.shapes, window)
        return [Group(tuple(inner), shape.id, shape.title)] if inner else []
    points = outline(shape)
    if not points or all(_holds(window, point) for point in points):
        return [shape]
    if isinstance(shape, Line):
        return [*cut_line(shape, window)]
    if isinstance(shape, Polyline):
        pieces = zip(shape.points, shape.points[1:], strict=False)
        return [line for a, b in pieces for line in cut_line(Line(a, b, shape.pen), window)]
    if isinstance(shape, (Polygon, Hatch)):
        cut = _polygon(shape.points, window)
        if isinstance(shape, Hatch):
            return [Hatch(cut, shape.angle_deg, shape.gap_mm, shape.pen)] if len(cut) > 2 else []
        filled: list[Shape] = (
            [Polygon(cut, None, shape.fill)] if shape.fill and len(cut) > 2 else []
        )
        if shape.pen is None:
            return filled
        return [*filled, *_cut(Polyline((*shape.points, shape.points[0]), shape.pen), window)]
    if isinstance(shape, (Arc, Circle)):
        return [shape] if _holds(window, shape.centre) else []
    assert isinstance(shape, Text)
    return []


def _holds(window: Box, point: Point) -> bool:
    x, y = point
    return window[0] <= x <= window[2] and window[1] <= y <= window[3]


def cut_line(line: Line, window: Box) -> list[Line]:
    """The stretch of a line in a window (Liang and Barsky)."""
    (x1, y1), (x2, y2) = line.start, line.end
    enter, leave = 0.0, 1.0
    for start, run, low, high in (
        (x1, x2 - x1, window[0], window[2]),
        (y1, y2 - y1, window[1], window[3]),
    ):
        if abs(run) < 1e-12:
            if not low <= start <= high:
                return []
            continue
        first, last = sorted(((low - start) / run, (high - start) / run))
        enter, leave = max(enter, first), min(leave, last)
    if leave - enter < 1e-9:
        return []
    ends = [(x1 + (x2 - x1) * t, y1 + (y2 - y1) * t) for t in (enter, leave)]
    return [Line(ends[0], ends[1], line.pen)]


def _polygon(points: Sequence[Point], window: Box) -> tuple[Point, ...]:
    """A polygon cut to a window (Sutherland and Hodgman)."""
    kept = list(points)
    for axis, limit, sign in (
        (0, window[0], 1),
        (1, window[1], 1),
        (0, window[2], -1),
        (1, window[3], -1),
    ):
        ring, kept = kept, []
        for a, b in zip(ring, [*ring[1:], *ring[:1]], strict=True):
            in_a, in_b = sign * (a[axis] - limit), sign * (b[axis] - limit)
            if in_a >= 0:
                kept.append(a)
            if (in_a >= 0) != (in_b >= 0):
                t = in_a / (in_a - in_b)
                kept.append((a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t))
    return tuple(kept)


def key_plan(hand: Hand, view: View, width_mm: float) -> tuple[list[Shape], float]:
    """The whole room small, the part hatched, and what it is in words: below y = 0, and how far down
    it reaches.
    """
    assert view.part_m is not None
    u = hand.text_mm
    left, bottom, right, top = box_of(view.corners_m)
    size = min(KEY_WIDE * u / (right - left), KEY_TALL * u / (top - bottom))

    def at(point: Point) -> Point:
        return (point[0] - left) * size + 0.3 * u, (point[1] - top) * size - 0.8 * u

    part = view.part_m
    box = rectangle(
        max(part[0], left), max(part[1], bottom), min(part[2], right), min(part[3], top)
    )
    held = tuple(at(point) for point in box)
    shapes: list[Shape] = [
        Polygon(tuple(at(point) for point in view.corners_m), hand.pen("medium")),
        Hatch(held, 45.0, 0.5 * u, hand.pen("fine")),
        Polygon(held, hand.pen("fine", dash=CUT_DASH)),
    ]
    drawn = bounds(shapes)
    words = said("drawing.key_whole")
    span = said("drawing.key_span", wide=Figure(right - left, "m"), deep=Figure(top - bottom, "m"))
    x, y = drawn[2] + 1.2 * u, (drawn[1] + drawn[3]) / 2 + 0.3 * u
    if x + hand.width(words, 0.9, bold=True) > width_mm:  # no room beside it: below
        x, y = 0.0, drawn[1] - 1.3 * u
    most_mm = width_mm - x
    shapes.append(hand.write((x, y), words, size=0.9, bold=True, most_mm=most_mm))
    shapes.append(hand.write((x, y - 1.2 * u), span, size=0.9, most_mm=most_mm))
    return shapes, 1.2 * u - bounds(shapes)[1]
