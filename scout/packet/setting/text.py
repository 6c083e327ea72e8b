"""Any text a person may type, set on paper: a flowable that wraps, splits over pages, and paints
glyphs.

Nothing is parsed as markup: `<b>` prints as the three characters it is.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from reportlab.platypus.flowables import Flowable

from scout.packet.setting.lines import Line, Setter
from scout.packet.setting.shape import TypeCase
from scout.words.figures import Words

Colour = tuple[float, float, float]
INK: Colour = (0.09, 0.09, 0.10)
RUST: Colour = (
    0.60,
    0.22,
    0.08,
)  # 7.6:1 on white (WCAG 2.1 contrast, by hand from the relative luminance 0.088)
GREY: Colour = (0.36, 0.36, 0.38)  # 6.8:1 on white


@dataclass(frozen=True)
class TextStyle:
    """How a text stands: size and distance of lines in points."""

    size: float = 9.5
    leading: float = 12.4
    bold: bool = False
    colour: Colour = INK
    align: Literal["start", "end", "centre"] = "start"
    space_before: float = 0.0
    space_after: float = 3.0


BODY = TextStyle()
SMALL = TextStyle(size=9.0, leading=11.2, space_after=1.5)  # tables
QUIET = TextStyle(size=8.2, leading=10.2, space_after=1.5, colour=GREY)
PHONE = TextStyle(size=11.0, leading=13.4, bold=True)


class Typesetter:
    """The fonts of one document with a setter for each weight; makes texts."""

    def __init__(self, case: TypeCase) -> None:
        self.case = case
        self._setters = {bold: Setter(case, bold) for bold in (False, True)}

    def lines(self, text: str, style: TextStyle, width_pt: float) -> list[Line]:
        """Text as lines no wider than `width_pt` (a single cluster wider than that stands alone)."""
        return self._setters[style.bold].lines(text, max(width_pt, 1.0) * 1000.0 / style.size)

    def width(self, text: str, style: TextStyle) -> float:
        """Width in points of the widest paragraph, unbroken."""
        return (
            max(
                (line.width for line in self._setters[style.bold].lines(text, float("inf"))),
                default=0.0,
            )
            * style.size
            / 1000.0
        )

    def text(self, text: Words, style: TextStyle = BODY, **flow: Any) -> Text:
        """A flowable of the text; `flow` goes to Text (keep_with_next)."""
        return Text(self, str(text), style, **flow)

    def draw(
        self,
        canvas: Any,
        x: float,
        y: float,
        text: str,
        style: TextStyle,
        width_pt: float | None = None,
    ) -> None:
        """One line with its baseline at y: from x, ending at x, or about x, as the style aligns;
        cut with an ellipsis at `width_pt`.
        """
        setter = self._setters[style.bold]
        shown = text
        if width_pt is not None and self.width(text, style) > width_pt:
            low, high = 0, len(text)
            while low < high:  # the longest beginning that fits
                middle = (low + high + 1) // 2
                low, high = (
                    (middle, high)
                    if self.width(text[:middle].rstrip() + "…", style) <= width_pt
                    else (low, middle - 1)
                )
            shown = text[:low].rstrip() + "…"
        for line in setter.lines(shown, float("inf"))[:1]:
            wide = line.width * style.size / 1000.0
            left = (
                x if style.align == "start" else x - wide if style.align == "end" else x - wide / 2
            )
            paint(canvas, self.case, line, left, y, style)


_measures = threading.local()  # shaped words are not shared between threads
WORDS_MOST = 20_000


def letter_width() -> Callable[[str, float], float]:
    """The measure of the packet's letters, (text, size) -> width in the unit of the size, for
    drawings made for a packet.
    """
    measure: Callable[[str, float], float] | None = getattr(_measures, "plain", None)
    if measure is None:
        measure = _measures.plain = _new_measure()
    return measure


def _new_measure() -> Callable[[str, float], float]:
    setter = Typesetter(TypeCase())
    plain = TextStyle(size=1000.0)
    known: dict[
        str, float
    ] = {}  # a plan is tried at several scales, and every room's plan has much the same words

    def measure(text: str, size: float) -> float:
        nonlocal setter
        found = known.get(text)
        if found is None:
            if len(known) >= WORDS_MOST:  # a server that runs for months forgets them now and then
                known.clear()
                setter = Typesetter(TypeCase())
            found = known[text] = setter.width(text, plain) / 1000.0
        return found * size

    return measure


def paint(canvas: Any, case: TypeCase, line: Line, x: float, y: float, style: TextStyle) -> None:
    """Write one line into the page, its left end at x and its baseline at y."""
    if line.missing:
        case.missing_on.setdefault(canvas.getPageNumber(), set()).update(line.missing)
    if not line.parts:
        return
    code = ["BT {:.3f} {:.3f} {:.3f} rg 1 0 0 1 {:.3f} {:.3f} Tm".format(*style.colour, x, y)]
    frames = []
    unit = style.size / 1000.0
    shown: tuple[str, float] | None = None
    rise = 0.0
    for part in line.parts:
        wanted = (part.font.name, style.size * part.scale)
        if wanted != shown:
            code.append(f"/{part.font.name} {wanted[1]:.3f} Tf")
            shown = wanted
        if part.rise != rise:
            code.append(f"{part.rise * unit:.3f} Ts")
            rise = part.rise
        if part.framed:
            edge = 60 * unit  # of the box, inside the width it takes
            frames.append(
                f"{x + edge:.2f} {y - 160 * unit:.2f} {part.width * unit - 2 * edge:.2f} {860 * unit:.2f} re S"
            )
        code.append(f"[{part.body}] TJ")
        x += part.width * unit
    code.append("0 Ts ET" if rise else "ET")
    if frames:
        code.append(
            "q 0.4 w {:.3f} {:.3f} {:.3f} RG ".format(*style.colour) + " ".join(frames) + " Q"
        )
    canvas._code.append(" ".join(code))


class Text(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """Typed text as a block of lines; splits between lines, and leaves no single line behind where
    it can.
    """

    def __init__(
        self,
        setter: Typesetter,
        text: str,
        style: TextStyle = BODY,
        *,
        keep_with_next: bool = False,
        lines: Sequence[Line] | None = None,
    ) -> None:
        super().__init__()
        self.setter, self.text, self.style = setter, text, style
        self.keepWithNext = int(keep_with_next)
        self._laid = lines
        self._laid_width: float | None = None
        self._ready = lines is not None

    def lines(self, width: float) -> Sequence[Line]:
        """The lines at this width; broken once for each width."""
        if not self._ready and self._laid_width != width:
            self._laid, self._laid_width = self.setter.lines(self.text, self.style, width), width
        return self._laid or ()

    def getSpaceBefore(self) -> float:  # noqa: N802
        return self.style.space_before

    def getSpaceAfter(self) -> float:  # noqa: N802
        return self.style.space_after

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width = width
        self.height = len(self.lines(width)) * self.style.leading
        return width, self.height

    def beginning(self, width: float) -> float:
        """Points that its first lines take: no line stands alone at the foot of a page."""
        return min(len(self.lines(width)), 2) * self.style.leading

    def split(self, width: float, height: float) -> list[Flowable]:
        lines = self.lines(width)
        fits = int((height + 0.01) / self.style.leading)
        if fits >= len(lines):
            return [self]
        if len(lines) - fits == 1 and fits > 2:
            fits -= 1
        if fits < 2:  # no line stands alone at the foot of a page
            return []
        style = replace(self.style, space_after=0.0)
        first = Text(self.setter, self.text, style, lines=lines[:fits])
        style = replace(self.style, space_before=0.0)
        rest = Text(
            self.setter,
            self.text,
            style,
            lines=lines[fits:],
            keep_with_next=bool(self.keepWithNext),
        )
        return [first, rest]

    def draw(self) -> None:
        written = getattr(self.canv, "written", None)
        if written is not None and self.text:
            written(self.text, 0.0, self.height)
        draw_lines(
            self.canv,
            self.setter.case,
            self.lines(self.width),
            0.0,
            self.height,
            self.width,
            self.style,
        )


def draw_lines(
    canvas: Any,
    case: TypeCase,
    lines: Sequence[Line],
    x: float,
    top: float,
    width: float,
    style: TextStyle,
) -> None:
    """Lines from `top` downwards in a column; right to left paragraphs start at its right edge."""
    # The baseline lies so that ascender and descender sit evenly in the line (Noto Sans: 0.714
    # capital height, 0.24 descender).
    y = top - (style.leading + 0.47 * style.size) / 2 - 0.05 * style.size
    for line in lines:
        room = width - line.width * style.size / 1000.0
        at_end = (style.align == "end") != line.rtl if style.align != "centre" else False
        left = room / 2 if style.align == "centre" else room if at_end else 0.0
        paint(canvas, case, line, x + left, y, style)
        y -= style.leading
