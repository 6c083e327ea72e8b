"""What every drawing is made of: shapes in millimetres of paper, x to the right and y up, with
roles in place of colours.

A renderer knows these shapes and nothing of rooms; a drawing knows rooms and nothing of SVG or PDF.
Weights of line follow the
series of ISO 128 (0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1 mm).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from scout.errors import OutOfRange

Ink = Literal["ink", "rust", "green", "ground"]
Anchor = Literal["start", "middle", "end"]
Point = tuple[float, float]
Box = tuple[float, float, float, float]  # left, bottom, right, top
CAP_HEIGHT = 0.72  # of the size of the letters, as in the common sans faces
DESCENT = 0.22


@dataclass(frozen=True)
class Pen:
    """How a line is drawn: its weight carries the meaning, its ink only repeats it."""

    weight_mm: float = 0.18
    ink: Ink = "ink"
    dash_mm: tuple[float, ...] = ()


@dataclass(frozen=True)
class Line:
    start: Point
    end: Point
    pen: Pen


@dataclass(frozen=True)
class Polyline:
    points: tuple[Point, ...]
    pen: Pen


@dataclass(frozen=True)
class Polygon:
    points: tuple[Point, ...]
    pen: Pen | None = None
    fill: Ink | None = None


@dataclass(frozen=True)
class Arc:
    """Part of a circle from start_deg (anticlockwise from the x axis), through sweep_deg
    (anticlockwise when positive, under 360).
    """

    centre: Point
    radius_mm: float
    start_deg: float
    sweep_deg: float
    pen: Pen


@dataclass(frozen=True)
class Circle:
    centre: Point
    radius_mm: float
    pen: Pen | None = None
    fill: Ink | None = None


@dataclass(frozen=True)
class Text:
    """One line of letters. `at` is on the baseline; `width_mm` is its measured width; `backed`
    clears the ground behind it.
    """

    at: Point
    text: str
    size_mm: float
    width_mm: float
    anchor: Anchor = "start"
    ink: Ink = "ink"
    bold: bool = False
    angle_deg: float = 0.0
    backed: bool = False

    def corners(self, pad_mm: float = 0.0) -> tuple[Point, Point, Point, Point]:
        """The box round the letters, turned with them, going round from its lower left."""
        left = {"start": 0.0, "middle": -self.width_mm / 2, "end": -self.width_mm}[
            self.anchor
        ] - pad_mm
        right = left + self.width_mm + 2 * pad_mm
        low, high = -DESCENT * self.size_mm - pad_mm, CAP_HEIGHT * self.size_mm + pad_mm
        c, s = math.cos(math.radians(self.angle_deg)), math.sin(math.radians(self.angle_deg))

        def turned(x: float, y: float) -> Point:
            return (self.at[0] + c * x - s * y, self.at[1] + s * x + c * y)

        return turned(left, low), turned(right, low), turned(right, high), turned(left, high)


@dataclass(frozen=True)
class Hatch:
    """Parallel lines across a polygon; drawn as lines, so that paper, screen and photocopier show
    the same.
    """

    points: tuple[Point, ...]
    angle_deg: float
    gap_mm: float
    pen: Pen

    def lines(self) -> tuple[tuple[Point, Point], ...]:
        """The pieces of the parallels that lie within the polygon (even-odd rule)."""
        c, s = math.cos(math.radians(self.angle_deg)), math.sin(math.radians(self.angle_deg))
        turned = [(c * x + s * y, -s * x + c * y) for x, y in self.points]
        low, high = min(v for _, v in turned), max(v for _, v in turned)
        gap = max(
            self.gap_mm, (high - low) / 2000
        )  # a hatch is never more than 2000 lines, however large its polygon
        found: list[tuple[Point, Point]] = []
        for k in range(math.floor(low / gap) + 1, math.ceil(high / gap)):
            v = k * gap
            cuts = sorted(
                u1 + (v - v1) * (u2 - u1) / (v2 - v1)
                for (u1, v1), (u2, v2) in zip(turned, turned[1:] + turned[:1], strict=True)
                if (v1 > v) != (v2 > v)
            )
            for a, b in zip(cuts[::2], cuts[1::2], strict=False):
                if b - a > 1e-6:
                    found.append(((c * a - s * v, s * a + c * v), (c * b - s * v, s * b + c * v)))
        return tuple(found)


@dataclass(frozen=True)
class Group:
    """Shapes that belong together; `title` says in words what they show."""

    shapes: tuple[Shape, ...]
    id: str | None = None
    title: str | None = None


Shape = Line | Polyline | Polygon | Arc | Circle | Text | Hatch | Group


@dataclass(frozen=True)
class Drawing:
    """A finished drawing. `title` names it; `description` says the same facts in words; `scale` is
    n of 1:n when it is drawn to one.
    """

    width_mm: float
    height_mm: float
    shapes: tuple[Shape, ...]
    title: str
    description: str
    scale: float | None = None

    def __post_init__(self) -> None:
        for number in (self.width_mm, self.height_mm):
            if not (math.isfinite(number) and number > 0):
                raise OutOfRange("drawing", number, "mm is no size of paper")
        for shape in walk(self.shapes):
            if not all(math.isfinite(number) for number in _numbers(shape)):
                raise OutOfRange(
                    "drawing", type(shape).__name__, "holds a number that is not finite"
                )


def walk(shapes: Iterable[Shape]) -> Iterator[Shape]:
    """Every shape that is drawn, in order, groups opened."""
    for shape in shapes:
        if isinstance(shape, Group):
            yield from walk(shape.shapes)
        else:
            yield shape


def _numbers(shape: Shape) -> tuple[float, ...]:
    if isinstance(shape, (Circle, Arc)):
        extra = (shape.start_deg, shape.sweep_deg) if isinstance(shape, Arc) else ()
        return (*shape.centre, shape.radius_mm, *extra)
    if isinstance(shape, Text):
        return (*shape.at, shape.size_mm, shape.width_mm, shape.angle_deg)
    return tuple(number for point in outline(shape) for number in point)


def outline(shape: Shape) -> tuple[Point, ...]:
    """Points whose bounding box is the shape's."""
    if isinstance(shape, Line):
        return shape.start, shape.end
    if isinstance(shape, (Polyline, Polygon, Hatch)):
        return shape.points
    if isinstance(shape, Circle):
        (x, y), r = shape.centre, shape.radius_mm
        return (x - r, y - r), (x + r, y + r)
    if isinstance(shape, Arc):
        first, last = sorted((shape.start_deg, shape.start_deg + shape.sweep_deg))
        quarters = [90.0 * k for k in range(math.ceil(first / 90.0), math.floor(last / 90.0) + 1)]
        (x, y), r = shape.centre, shape.radius_mm
        return tuple(
            (x + r * math.cos(math.radians(a)), y + r * math.sin(math.radians(a)))
            for a in (first, *quarters, last)
        )
    if isinstance(shape, Text):
        return shape.corners()
    return tuple(point for inner in shape.shapes for point in outline(inner))


def bounds(shapes: Iterable[Shape]) -> Box:
    """The smallest upright box round the shapes; a box of nothing at the origin when there are
    none.
    """
    points = [point for shape in shapes for point in outline(shape)]
    return box_of(points) if points else (0.0, 0.0, 0.0, 0.0)


def box_of(points: Sequence[Point]) -> Box:
    """The smallest upright box round the points."""
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def moved(shape: Shape, dx: float, dy: float) -> Shape:
    """The same shape, shifted on the paper."""

    def at(point: Point) -> Point:
        return point[0] + dx, point[1] + dy

    if isinstance(shape, Line):
        return replace(shape, start=at(shape.start), end=at(shape.end))
    if isinstance(shape, (Polyline, Polygon, Hatch)):
        return replace(shape, points=tuple(at(p) for p in shape.points))
    if isinstance(shape, (Circle, Arc)):
        return replace(shape, centre=at(shape.centre))
    if isinstance(shape, Text):
        return replace(shape, at=at(shape.at))
    return replace(shape, shapes=tuple(moved(inner, dx, dy) for inner in shape.shapes))


def rectangle(
    left: float, bottom: float, right: float, top: float
) -> tuple[Point, Point, Point, Point]:
    """The corners of an upright box."""
    return (left, bottom), (right, bottom), (right, top), (left, top)


def turned(point: Point, angle_deg: float, about: Point = (0.0, 0.0)) -> Point:
    """A point turned anticlockwise about another."""
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    x, y = point[0] - about[0], point[1] - about[1]
    return about[0] + c * x - s * y, about[1] + s * x + c * y
