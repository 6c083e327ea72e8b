"""Our own small pictograms: what a mark, a light, an outlet looks like from above, wherever it
stands and however it is turned.

Each is drawn about a point, its size given as half its breadth; `angle_deg` is the way it looks,
anticlockwise from the x axis.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from scout.drawing.lettering import Hand
from scout.drawing.shapes import Circle, Line, Point, Polygon, Polyline, Shape, turned


def _frame(at: Point, size_mm: float, angle_deg: float) -> Callable[[float, float], Point]:
    def spot(x: float, y: float) -> Point:
        return turned((at[0] + x * size_mm, at[1] + y * size_mm), angle_deg, at)

    return spot


def person(hand: Hand, at: Point, size_mm: float, angle_deg: float | None) -> tuple[Shape, ...]:
    """A head and shoulders from above; with a nose when it is known which way the face looks."""
    p = _frame(at, size_mm, angle_deg or 0.0)
    shoulders = tuple(
        p(0.42 * math.cos(t), math.sin(t)) for t in (k * math.pi / 16 for k in range(32))
    )
    shapes: list[Shape] = [
        Polygon(shoulders, hand.pen("thin"), "ground"),
        Circle(p(0.05, 0), 0.42 * size_mm, hand.pen("thin"), "ink"),
    ]
    if angle_deg is not None:
        shapes.append(
            Polygon((p(0.44, 0.22), p(0.95, 0.0), p(0.44, -0.22)), hand.pen("thin"), "ink")
        )
    return tuple(shapes)


def camera(hand: Hand, at: Point, size_mm: float, angle_deg: float | None) -> tuple[Shape, ...]:
    """A body and a lens that widens the way it looks."""
    p = _frame(at, size_mm, angle_deg or 0.0)
    return (
        Polygon(
            (p(0.2, 0.18), p(0.95, 0.55), p(0.95, -0.55), p(0.2, -0.18)), hand.pen("thin"), "ground"
        ),
        Polygon(
            (p(-0.95, 0.5), p(0.25, 0.5), p(0.25, -0.5), p(-0.95, -0.5)), hand.pen("thin"), "ink"
        ),
    )


def camera_mark(hand: Hand, at: Point, size_mm: float) -> tuple[Shape, ...]:
    """The camera's mark where the camera stands elsewhere: a small open square."""
    p = _frame(at, size_mm, 0.0)
    ring = (p(-0.6, 0.6), p(0.6, 0.6), p(0.6, -0.6), p(-0.6, -0.6))
    return (Polygon(ring, hand.pen("thin"), "ground"),)


def light(
    hand: Hand, at: Point, size_mm: float, angle_deg: float | None, *, planned: bool = False
) -> tuple[Shape, ...]:
    """A lamp head open the way it shines, with two edges of its beam; broken line where it is
    planned or assumed, not pinned.
    """
    p = _frame(at, size_mm, angle_deg or 0.0)
    pen = hand.pen("thin", dash=(0.32, 0.22) if planned else ())
    shapes: list[Shape] = [Circle(at, 0.22 * size_mm, hand.pen("thin"), "ink")]
    if angle_deg is None:
        return (Circle(at, 0.85 * size_mm, pen, "ground"), *shapes)
    bowl = [
        p(0.85 * math.cos(t), 0.85 * math.sin(t))
        for t in (math.radians(60 + k * 15) for k in range(17))
    ]
    shapes.insert(0, Polygon(tuple(bowl), pen, "ground"))
    shapes += [
        Line(p(0.55, 0.74), p(1.35, 1.2), hand.pen("fine")),
        Line(p(0.55, -0.74), p(1.35, -1.2), hand.pen("fine")),
    ]
    shapes.append(Line(p(0.6, 0.0), p(1.45, 0.0), hand.pen("fine")))
    return tuple(shapes)


def block_shapes(hand: Hand, points: Sequence[Point]) -> tuple[Shape, ...]:
    """A piece of furniture from above: its outline, crossed from corner to corner, all in a
    hairline.
    """
    pen = hand.pen("hair")
    a, b, c, d = points
    return (Polygon((a, b, c, d), hand.pen("fine"), "ground"), Line(a, c, pen), Line(b, d, pen))


def role_light(
    hand: Hand, at: Point, size_mm: float, angle_deg: float | None, role: str
) -> tuple[Shape, ...]:
    """A light by what it does, told apart by shape: key a full bowl, fill a bowl behind a cloth,
    back a bowl half full, another an open one, a board a bar.
    """
    p = _frame(at, size_mm, angle_deg or 0.0)
    pen = hand.pen("thin")
    if role == "bounce":
        return (
            Polygon((p(-0.1, -1.0), p(0.12, -1.0), p(0.12, 1.0), p(-0.1, 1.0)), pen, "ground"),
            Line(p(-0.1, 0.0), p(-0.75, 0.45), pen),
            Line(p(-0.1, 0.0), p(-0.75, -0.45), pen),
        )
    if angle_deg is None:
        return Circle(at, 0.85 * size_mm, pen, "ink" if role == "key" else "ground"), Circle(
            at, 0.22 * size_mm, pen, "ground" if role == "key" else "ink"
        )
    bowl = tuple(
        p(0.85 * math.cos(t), 0.85 * math.sin(t))
        for t in (math.radians(60 + k * 15) for k in range(17))
    )
    shapes: list[Shape] = [Polygon(bowl, pen, "ink" if role == "key" else "ground")]
    if role == "back":
        shapes.append(Polygon((p(0.42, 0.0), *bowl[8:]), pen, "ink"))
    if role == "fill":
        shapes.append(
            Polygon((p(0.42, 0.74), p(0.95, 1.05), p(0.95, -1.05), p(0.42, -0.74)), pen, "ground")
        )
        shapes.append(Line(p(0.95, 1.05), p(0.95, -1.05), hand.pen("medium")))
    if role in ("fill", "other"):
        shapes.append(Circle(at, 0.2 * size_mm, pen, "ink"))
    return tuple(shapes)


def boom(hand: Hand, at: Point, size_mm: float, end: Point | None = None) -> tuple[Shape, ...]:
    """A microphone from above, with its pole as far as the hand that holds it."""
    mic = (
        Circle(at, 0.45 * size_mm, hand.pen("thin"), "ground"),
        Circle(at, 0.16 * size_mm, None, "ink"),
    )
    return mic if end is None else (Line(at, end, hand.pen("thin", dash=(1.6, 0.25))), *mic)


def trip(hand: Hand, at: Point, size_mm: float) -> tuple[Shape, ...]:
    """A warning triangle: somebody may trip here."""
    p = _frame(at, size_mm, 90.0)
    return (
        Polygon((p(0.95, 0.0), p(-0.55, 0.9), p(-0.55, -0.9)), hand.pen("thin"), "ground"),
        Line(p(0.45, 0.0), p(-0.1, 0.0), hand.pen("medium")),
        Circle(p(-0.34, 0.0), 0.1 * size_mm, None, "ink"),
    )


def head_of_arrow(hand: Hand, tip: Point, angle_deg: float, size: float = 0.6) -> Shape:
    """A filled arrowhead that ends at its tip."""
    p = _frame(tip, hand.text_mm * size, angle_deg)
    return Polygon((p(0, 0), p(-1, 0.36), p(-1, -0.36)), None, "ink")


def numbered(hand: Hand, at: Point, number: str) -> tuple[Shape, ...]:
    """A mark of a walk with its number."""
    return Polygon(
        tuple(
            _frame(at, 0.75 * hand.text_mm, 0.0)(x, y)
            for x, y in ((1, 0), (0, 1), (-1, 0), (0, -1))
        ),
        hand.pen("thin"),
        "ground",
    ), hand.centred(at, number, size=0.9, bold=True)


def practical(hand: Hand, at: Point, size_mm: float) -> tuple[Shape, ...]:
    """A lamp of the room: a circle, quartered, as a lampshade from above."""
    p = _frame(at, 0.8 * size_mm, 45.0)
    return (
        Circle(at, 0.8 * size_mm, hand.pen("thin"), "ground"),
        Line(p(-1, 0), p(1, 0), hand.pen("fine")),
        Line(p(0, -1), p(0, 1), hand.pen("fine")),
        Circle(at, 0.28 * size_mm, hand.pen("fine"), "ground"),
    )


def outlet(hand: Hand, at: Point, size_mm: float, angle_deg: float) -> tuple[Shape, ...]:
    """A half round against the wall with two pins towards the room; `angle_deg` looks into the
    room.
    """
    p = _frame(at, size_mm, angle_deg)
    rim = tuple(
        p(0.72 * math.cos(t), 0.72 * math.sin(t))
        for t in (math.radians(-90 + k * 15) for k in range(13))
    )
    return (
        Polygon(rim, hand.pen("thin"), "ground"),
        Line(p(0.68, 0.25), p(1.15, 0.25), hand.pen("medium")),
        Line(p(0.68, -0.25), p(1.15, -0.25), hand.pen("medium")),
    )


def sun(hand: Hand, at: Point, size_mm: float, *, half: float | None = None) -> tuple[Shape, ...]:
    """A small sun; `half` draws the part above a horizon whose upward side is at that angle
    (sunrise, sunset).
    """
    if half is None:
        rays = tuple(
            Line(
                turned((at[0] + 0.75 * size_mm, at[1]), k * 45.0, at),
                turned((at[0] + size_mm, at[1]), k * 45.0, at),
                hand.pen("fine", "rust"),
            )
            for k in range(8)
        )
        return (Circle(at, 0.5 * size_mm, hand.pen("fine", "rust"), "rust"), *rays)
    p = _frame(at, size_mm, half - 90.0)
    dome = tuple(
        p(0.6 * math.cos(t), 0.6 * math.sin(t)) for t in (math.radians(k * 15) for k in range(13))
    )
    return Polygon(dome, hand.pen("fine", "rust"), "rust"), Line(
        p(-1, 0), p(1, 0), hand.pen("fine", "rust")
    )


def north_arrow(
    hand: Hand, at: Point, size_mm: float, angle_deg: float, *, true: bool
) -> tuple[Shape, ...]:
    """A needle, its north half filled for true north and open for magnetic; `angle_deg` is where
    north lies on the paper.
    """
    p = _frame(at, size_mm, angle_deg)
    fine = hand.pen("fine")
    return (
        Circle(at, 0.62 * size_mm, hand.pen("hair")),
        Polygon((p(1, 0), p(-0.55, 0.32), p(-0.3, 0)), fine, "ink" if true else "ground"),
        Polygon((p(1, 0), p(-0.55, -0.32), p(-0.3, 0)), fine, "ground"),
        hand.centred(p(1.38, 0), "N", size=1.0, bold=True),
    )


def path(hand: Hand, points: tuple[Point, ...]) -> tuple[Shape, ...]:
    """A walk: a broken line with a head at its end."""
    shapes: list[Shape] = []
    if len(points) > 1:
        shapes.append(Polyline(points, hand.pen("medium", dash=(0.7, 0.35))))
        (x1, y1), (x2, y2) = points[-2:]
        if math.hypot(x2 - x1, y2 - y1) > 1e-6:
            p = _frame((x2, y2), hand.text_mm * 0.7, math.degrees(math.atan2(y2 - y1, x2 - x1)))
            shapes.append(Polygon((p(0, 0), p(-1, 0.4), p(-1, -0.4)), None, "ink"))
    shapes.append(Circle(points[0], hand.text_mm * 0.22, hand.pen("thin"), "ground"))
    return tuple(shapes)


def lettered_circle(hand: Hand, at: Point, letter: str) -> tuple[Shape, ...]:
    """A wall's letter in its circle."""
    return Circle(at, 0.85 * hand.text_mm, hand.pen("thin"), "ground"), hand.centred(
        at, letter, size=0.95, bold=True
    )
