"""Drawings as accessible SVG: a title and a text alternative, inks as CSS variables, and nothing
that runs.

No script, no style attribute and no style element, so that it stands under a strict content
security policy. On a page the inks
follow the page's variables (`--ink`, `--rust`, `--green`, `--ground`), by day and by night;
`standalone` writes plain colours.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from scout.drawing.lettering import is_measured
from scout.drawing.shapes import (
    Arc,
    Circle,
    Drawing,
    Group,
    Hatch,
    Ink,
    Line,
    Pen,
    Point,
    Polygon,
    Polyline,
    Shape,
    Text,
)

INKS: dict[Ink, str] = {
    "ink": "#1c1b19",
    "rust": "#9a3a14",
    "green": "#1f5a36",
    "ground": "#fbf9f4",
}
FONTS = "Helvetica Neue, Helvetica, Arial, Liberation Sans, DejaVu Sans Condensed, Noto Sans, sans-serif"
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


class Svg(str):
    """SVG text that templates may set as it stands: everything in it is escaped already."""

    __slots__ = ()

    def __html__(self) -> str:
        return str(self)


def render(drawing: Drawing, *, id_prefix: str = "", standalone: bool = False) -> Svg:
    """The drawing as one svg element. Two drawings on one page need different id_prefix, for their
    ids must differ.
    """
    return Svg(
        _Writer(drawing, re.sub(r"[^A-Za-z0-9_-]", "-", id_prefix) or "drawing", standalone).svg()
    )


def fragment(shapes: Sequence[Shape]) -> Svg:
    """Bare shapes about the origin, y turned down as a browser draws, to be set inside another svg."""
    writer = _Writer(Drawing(1.0, 1.0, tuple(shapes), "", ""), "fragment", standalone=False)
    return Svg(
        f'<g transform="translate(0 -1)">{"".join(writer.shape(shape) for shape in shapes)}</g>'
    )


def escaped(text: str) -> str:
    """Text for XML and HTML, between tags or in a double-quoted attribute."""
    text = _NOT_XML.sub("\ufffd", text)
    return (
        text.replace("&", "&amp;")
        .replace("<", "&lt;")
        .replace(">", "&gt;")
        .replace('"', "&quot;")
        .replace("'", "&#39;")
    )


def _n(value: float) -> str:
    shown = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if shown in {"-0", ""} else shown


class _Writer:
    def __init__(self, drawing: Drawing, prefix: str, standalone: bool) -> None:
        self.drawing, self.prefix, self.standalone = drawing, prefix, standalone
        self.ids: set[str] = {f"{prefix}-title", f"{prefix}-desc"}

    def svg(self) -> str:
        d, p = self.drawing, self.prefix
        w, h = _n(d.width_mm), _n(d.height_mm)
        body = "".join(self.shape(shape) for shape in d.shapes)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" role="img" aria-labelledby="{p}-title" aria-describedby="{p}-desc" '
            f'viewBox="0 0 {w} {h}" width="{w}mm" height="{h}mm" font-family="{FONTS}" fill="none" stroke-linecap="butt" stroke-linejoin="miter">'
            f'<title id="{p}-title">{escaped(d.title)}</title><desc id="{p}-desc">{escaped(d.description)}</desc>{body}</svg>'
        )

    def ink(self, ink: Ink) -> str:
        return INKS[ink] if self.standalone else f"var(--{ink},{INKS[ink]})"

    def at(self, point: Point) -> str:
        return f"{_n(point[0])} {_n(self.drawing.height_mm - point[1])}"

    def pen(self, pen: Pen | None) -> str:
        if pen is None:
            return ""
        dash = (
            f' stroke-dasharray="{" ".join(_n(part) for part in pen.dash_mm)}"'
            if pen.dash_mm
            else ""
        )
        return f' stroke="{self.ink(pen.ink)}" stroke-width="{_n(pen.weight_mm)}"{dash}'

    def fill(self, fill: Ink | None) -> str:
        return "" if fill is None else f' fill="{self.ink(fill)}"'

    def path(self, data: str, pen: Pen | None, fill: Ink | None = None) -> str:
        return f'<path d="{data}"{self.fill(fill)}{self.pen(pen)}/>'

    def shape(self, shape: Shape) -> str:
        if isinstance(shape, Line):
            return self.path(f"M{self.at(shape.start)}L{self.at(shape.end)}", shape.pen)
        if isinstance(shape, Polyline):
            return self.path("M" + "L".join(self.at(p) for p in shape.points), shape.pen)
        if isinstance(shape, Polygon):
            return self.path(
                "M" + "L".join(self.at(p) for p in shape.points) + "Z", shape.pen, shape.fill
            )
        if isinstance(shape, Hatch):
            return self.path(
                "".join(f"M{self.at(a)}L{self.at(b)}" for a, b in shape.lines()), shape.pen
            )
        if isinstance(shape, Circle):
            x, y = self.at(shape.centre).split(" ")
            return f'<circle cx="{x}" cy="{y}" r="{_n(shape.radius_mm)}"{self.fill(shape.fill)}{self.pen(shape.pen)}/>'
        if isinstance(shape, Arc):
            return self.arc(shape)
        if isinstance(shape, Text):
            return self.text(shape)
        return self.group(shape)

    def arc(self, arc: Arc) -> str:
        def on(angle_deg: float) -> Point:
            return (
                arc.centre[0] + arc.radius_mm * math.cos(math.radians(angle_deg)),
                arc.centre[1] + arc.radius_mm * math.sin(math.radians(angle_deg)),
            )

        large, way = (
            int(abs(arc.sweep_deg) > 180),
            int(arc.sweep_deg < 0),
        )  # y is turned over: anticlockwise here is sweep 0 there
        r = _n(arc.radius_mm)
        return self.path(
            f"M{self.at(on(arc.start_deg))}A{r} {r} 0 {large} {way} {self.at(on(arc.start_deg + arc.sweep_deg))}",
            arc.pen,
        )

    def text(self, text: Text) -> str:
        if not text.text:
            return ""
        x, y = self.at(text.at).split(" ")
        back = ""
        if text.backed:
            back = self.path(
                "M" + "L".join(self.at(p) for p in text.corners(0.12 * text.size_mm)) + "Z",
                None,
                "ground",
            )
        anchor = "" if text.anchor == "start" else f' text-anchor="{text.anchor}"'
        bold = ' font-weight="700"' if text.bold else ""
        turn = f' transform="rotate({_n(-text.angle_deg)} {x} {y})"' if text.angle_deg else ""
        # A reader's own font may run wider than the one the drawing was measured with: the letters
        # are fitted, so that none is cut off.
        fitted = (
            f' textLength="{_n(text.width_mm)}" lengthAdjust="spacingAndGlyphs"'
            if len(text.text) > 1 and is_measured(text.text)
            else ""
        )
        attributes = f"{self.fill(text.ink)}{anchor}{bold}{turn}{fitted}"
        return f'{back}<text x="{x}" y="{y}" font-size="{_n(text.size_mm)}"{attributes}>{escaped(text.text)}</text>'

    def group(self, group: Group) -> str:
        name = ""
        if group.id:
            wanted = f"{self.prefix}-{re.sub(r'[^A-Za-z0-9_-]', '-', group.id)}"
            unique, count = wanted, 2
            while unique in self.ids:
                unique, count = f"{wanted}-{count}", count + 1
            self.ids.add(unique)
            name = f' id="{unique}"'
        title = f"<title>{escaped(group.title)}</title>" if group.title else ""
        return f"<g{name}>{title}{''.join(self.shape(shape) for shape in group.shapes)}</g>"
