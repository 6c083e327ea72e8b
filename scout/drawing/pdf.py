"""Drawings on a ReportLab canvas or as a flowable, from the same shapes as the screen's."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm

from scout.drawing.shapes import (
    Anchor,
    Arc,
    Circle,
    Drawing,
    Hatch,
    Ink,
    Line,
    Pen,
    Point,
    Polygon,
    Polyline,
    Text,
    walk,
)

# (canvas, x_pt, y_pt, text, size_pt, bold, anchor): sets one line on its baseline in the canvas's
# present colour
DrawText = Callable[[Any, float, float, str, float, bool, Anchor], None]
PRINT_INKS: dict[Ink, str] = {
    "ink": "#000000",
    "rust": "#9a3a14",
    "green": "#1f5a36",
    "ground": "#ffffff",
}


@dataclass(frozen=True)
class Fonts:
    """Names of two fonts that ReportLab knows."""

    regular: str = "Helvetica"
    bold: str = "Helvetica-Bold"


def draw(
    canvas: Any,
    drawing: Drawing,
    x_pt: float,
    y_pt: float,
    *,
    fonts: Fonts | None = None,
    draw_text: DrawText | None = None,
    inks: dict[Ink, str] | None = None,
    shrink: float = 1.0,
) -> None:
    """Draw with the lower left corner at (x_pt, y_pt). `draw_text` sets the letters where shaping
    or many scripts are needed.
    """
    canvas.saveState()
    canvas.translate(x_pt, y_pt)
    canvas.scale(shrink, shrink)
    canvas.setLineCap(0)
    canvas.setLineJoin(0)
    painter = _Painter(canvas, fonts or Fonts(), draw_text, inks or PRINT_INKS)
    for shape in walk(drawing.shapes):
        painter.shape(shape)
    canvas.restoreState()


class _Painter:
    def __init__(
        self, canvas: Any, fonts: Fonts, draw_text: DrawText | None, inks: dict[Ink, str]
    ) -> None:
        self.canvas, self.fonts, self.draw_text = canvas, fonts, draw_text
        self.colours = {ink: HexColor(colour) for ink, colour in inks.items()}

    def shape(self, shape: Any) -> None:
        if isinstance(shape, Line):
            self.lines(shape.pen, [(shape.start, shape.end)])
        elif isinstance(shape, Polyline):
            self.path(shape.points, shape.pen, None, closed=False)
        elif isinstance(shape, Polygon):
            self.path(shape.points, shape.pen, shape.fill, closed=True)
        elif isinstance(shape, Hatch):
            self.lines(shape.pen, list(shape.lines()))
        elif isinstance(shape, Circle):
            self.pen(shape.pen)
            self.fill(shape.fill)
            x, y = shape.centre
            self.canvas.circle(
                x * mm,
                y * mm,
                shape.radius_mm * mm,
                stroke=int(shape.pen is not None),
                fill=int(shape.fill is not None),
            )
        elif isinstance(shape, Arc):
            self.pen(shape.pen)
            (x, y), r = shape.centre, shape.radius_mm
            self.canvas.arc(
                (x - r) * mm,
                (y - r) * mm,
                (x + r) * mm,
                (y + r) * mm,
                shape.start_deg,
                shape.sweep_deg,
            )
        elif isinstance(shape, Text):
            self.text(shape)

    def pen(self, pen: Pen | None) -> None:
        if pen is not None:
            self.canvas.setStrokeColor(self.colours[pen.ink])
            self.canvas.setLineWidth(pen.weight_mm * mm)
            self.canvas.setDash([part * mm for part in pen.dash_mm])

    def fill(self, ink: Ink | None) -> None:
        if ink is not None:
            self.canvas.setFillColor(self.colours[ink])

    def lines(self, pen: Pen, pairs: list[tuple[Point, Point]]) -> None:
        if pairs:
            self.pen(pen)
            self.canvas.lines([(a[0] * mm, a[1] * mm, b[0] * mm, b[1] * mm) for a, b in pairs])

    def path(
        self, points: tuple[Point, ...], pen: Pen | None, fill: Ink | None, *, closed: bool
    ) -> None:
        self.pen(pen)
        self.fill(fill)
        path = self.canvas.beginPath()
        path.moveTo(points[0][0] * mm, points[0][1] * mm)
        for x, y in points[1:]:
            path.lineTo(x * mm, y * mm)
        if closed:
            path.close()
        self.canvas.drawPath(path, stroke=int(pen is not None), fill=int(fill is not None))

    def text(self, text: Text) -> None:
        if not text.text:
            return
        if text.backed:
            self.path(text.corners(0.12 * text.size_mm), None, "ground", closed=True)
        self.fill(text.ink)
        self.canvas.saveState()
        self.canvas.translate(text.at[0] * mm, text.at[1] * mm)
        if text.angle_deg:
            self.canvas.rotate(text.angle_deg)
        (self.draw_text or self._plain)(
            self.canvas, 0.0, 0.0, text.text, text.size_mm * mm, text.bold, text.anchor
        )
        self.canvas.restoreState()

    def _plain(
        self,
        canvas: Any,
        x_pt: float,
        y_pt: float,
        text: str,
        size_pt: float,
        bold: bool,
        anchor: Anchor,
    ) -> None:
        canvas.setFont(self.fonts.bold if bold else self.fonts.regular, size_pt)
        {
            "start": canvas.drawString,
            "middle": canvas.drawCentredString,
            "end": canvas.drawRightString,
        }[anchor](x_pt, y_pt, text)
