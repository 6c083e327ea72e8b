"""The five signs of a level, told apart by shape so that they survive a photocopier, and the same on
screen and paper.
"""

from __future__ import annotations

from scout.assess.answers import Level
from scout.drawing.shapes import Drawing, Line, Pen, Point, Polygon, Shape, rectangle
from scout.values import Said, Word, said
from scout.words.figures import sentence

SIGNS: dict[Level, Said] = {
    "good": said("drawing.sign_good"),
    "care": said("drawing.sign_care"),
    "problem": said("drawing.sign_problem"),
    "unknown": said("drawing.sign_unknown"),
    "outside": said("drawing.sign_outside"),
}


def mark_shapes(level: Level, at: Point = (0.0, 0.0), size_mm: float = 3.2) -> tuple[Shape, ...]:
    """The mark's shapes, the lower left corner of its square at `at`; outlines lie within the
    square.
    """
    weight = size_mm / 11
    x, y = at[0] + weight / 2, at[1] + weight / 2
    far_x, far_y = at[0] + size_mm - weight / 2, at[1] + size_mm - weight / 2
    square = rectangle(x, y, far_x, far_y)
    if level == "good":
        return (Polygon(square, Pen(weight, "green"), "green"),)
    if level == "care":
        pen = Pen(weight, "ink")
        return Polygon(square, pen, "ground"), Polygon(
            (square[0], square[1], square[2]), pen, "ink"
        )
    if level == "problem":
        over = (
            size_mm * 0.14
        )  # the stroke goes past the corners, so that a blurred copy still shows it
        pen = Pen(weight * 1.3, "rust")
        return Polygon(square, pen, "ground"), Line(
            (at[0] - over, at[1] - over), (at[0] + size_mm + over, at[1] + size_mm + over), pen
        )
    if level == "outside":
        middle = at[1] + size_mm / 2
        return (Line((x, middle), (far_x, middle), Pen(weight, "ink")),)
    return (Polygon(square, Pen(weight, "ink", (weight, weight * 1.25)), "ground"),)


def mark(level: Level, size_mm: float = 3.2) -> Drawing:
    """The mark as a drawing of its own; its word is written beside it by whoever sets it."""
    edge = size_mm * 0.2
    return Drawing(
        size_mm + 2 * edge,
        size_mm + 2 * edge,
        mark_shapes(level, (edge, edge), size_mm),
        str(Word("level", level)),
        sentence(SIGNS[level]),
    )
