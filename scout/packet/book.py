"""A PDF from a story of flowables: pages with head and foot, an outline, page labels, and the same
bytes for the same story.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from reportlab import rl_config
from reportlab.lib.pagesizes import A4, letter
from reportlab.lib.units import mm
from reportlab.platypus import BaseDocTemplate, Frame, PageTemplate
from reportlab.platypus.flowables import Flowable

from scout.packet.blocks import Desk, printable
from scout.packet.names import Paper
from scout.packet.setting.canvas import PacketCanvas
from scout.packet.setting.clean import one_line
from scout.packet.setting.fonts import Key
from scout.packet.setting.geo import dialled
from scout.packet.setting.shape import TypeCase, han_order
from scout.packet.setting.text import INK, PHONE, QUIET, TextStyle, Typesetter, paint
from scout.packet.swap import Swap
from scout.values import said
from scout.words import current

PAPERS: dict[Paper, tuple[float, float]] = {"a4": A4, "letter": letter}
SIDE, HEAD, FOOT = 15 * mm, 14 * mm, 19 * mm
# What a drawing may take on either paper, for whoever makes the drawings of a packet: beside it
# other things stand on the page when it is no higher than PLAN_HEIGHT_MM, and PLAN_MOST_MM is all
# that Letter has under a heading.
DRAWING_WIDTH_MM = 170.0
PLAN_HEIGHT_MM = 150.0
PLAN_MOST_MM = 205.0

Progress = Callable[[int, int], None]  # (sections done, sections in all)
Story = Callable[[Desk], list[Flowable]]


@dataclass(frozen=True)
class PacketResult:
    """What was written. `warnings` are plain sentences that also stand in the packet where
    something is missing; `lines` are what each page says, by `line_key`.
    """

    pages: int
    bytes: int
    warnings: tuple[str, ...]
    lines: tuple[tuple[str, ...], ...] = ()
    page_hashes: tuple[str, ...] = ()
    swap: Swap | None = None  # against the last print of the edition


@dataclass(frozen=True, kw_only=True)
class Book:
    """What is the same on every page of an edition."""

    title: str
    subject: str
    author: str
    short: str  # at the left of the foot where no day is meant
    revision: str
    paper: Paper = "a4"
    ring: tuple[str, str] | None = None  # whom the crew rings: as what, and the number
    names: Sequence[str] = ()  # that decide in which shape ideographs are drawn
    known: frozenset[str] | None = None  # lines that the last print of the edition had
    known_pages: Sequence[str] = ()  # hashes of its pages


def printed(book: Book, story: Story) -> tuple[bytes, PacketResult]:
    """The pages as bytes."""
    size = PAPERS[book.paper]
    case = TypeCase(_han(book.names))
    setter = Typesetter(case)
    wide, high = size[0] - 2 * SIDE, size[1] - HEAD - FOOT
    frame = Frame(SIDE, FOOT, wide, high, 0, 0, 0, 0, id="column")
    desk = Desk(setter, wide, high)
    running = _Running(setter, book, size)
    held = io.BytesIO()
    document = BaseDocTemplate(
        held,
        pagesize=size,
        title=printable(book.title),
        author=printable(book.author),
        subject=printable(book.subject),
        creator="Sillbook",
        keywords="crew packet",
        lang=current().language,
        invariant=1,  # no date of printing, no random name: the same story is the same bytes
    )
    document.addPageTemplates(PageTemplate(id="page", frames=[frame], pagesize=size))
    made: list[PacketCanvas] = []

    def paged(*args: Any, **kwargs: Any) -> PacketCanvas:
        made.append(
            PacketCanvas(
                *args,
                case=case,
                finish=running.finish,
                known=book.known,
                known_pages=book.known_pages,
                every_page=repr((book.short, book.ring)),
                **kwargs,
            )
        )
        made[-1].setViewerPreference("DisplayDocTitle", "true")
        return made[-1]

    document.build(desk.settled(story(desk)), canvasmaker=paged)
    body = held.getvalue()
    lines = made[-1].printed_lines
    return body, PacketResult(
        running.pages,
        len(body),
        tuple(dict.fromkeys([*desk.warnings, *running.boxes])),
        tuple(tuple(lines.get(page, ())) for page in range(1, running.pages + 1)),
        tuple(made[-1].page_hashes),
        made[-1].swap,
    )


def _han(names: Sequence[str]) -> tuple[Key, ...]:
    """In which shape ideographs are drawn where nothing beside them tells."""
    return han_order("\n".join(names))


class _Running:
    """Head and foot of every page, written when the number of pages is known."""

    def __init__(self, setter: Typesetter, book: Book, size: tuple[float, float]) -> None:
        self.setter, self.book, self.size = setter, book, size
        self.pages = 0
        self.boxes: list[str] = []

    def finish(self, canvas: PacketCanvas, page: int, pages: int) -> None:
        self.pages = pages
        width, height = self.size
        left, right = SIDE, width - SIDE
        run = canvas.runs(page)
        half = (right - left) / 2 - 10
        top = height - HEAD
        self._line(canvas, left, top + 8, right, 0.8)
        self._write(canvas, left, top + 12, run.left or self.book.short, QUIET, half)
        self._write(canvas, right, top + 12, run.right, replace(QUIET, align="end"), half)
        self._foot(canvas, page, pages)
        for low, high in canvas.bars.get(page, ()):
            canvas.saveState()
            canvas.setStrokeColorRGB(*INK)
            canvas.setLineWidth(2.0)
            canvas.line(right + 9, low + 1, right + 9, high - 1)
            canvas.restoreState()
        note = self.setter.case.boxes_note(page)
        if note:
            self.boxes.append(note)
            y = FOOT - 9
            for line in self.setter.lines(note, QUIET, right - left)[:1]:
                paint(canvas, self.setter.case, line, left, y, QUIET)

    def _foot(self, canvas: PacketCanvas, page: int, pages: int) -> None:
        """Day and place, whom to call, the number for emergencies, revision and page."""
        run, book = canvas.runs(page), self.book
        left, right, y = SIDE, self.size[0] - SIDE, FOOT - 28
        self._line(canvas, left, FOOT - 14, right, 0.8)
        end = str(said("packet.page", page=page, pages=pages))
        x = left
        callers: list[tuple[str, str]] = []
        if run.door is not None:
            callers.append((str(said("packet.at_door")), run.door[1]))
        if book.ring is not None:
            callers.append(book.ring)
        if run.emergency is not None:
            callers.append((str(said("packet.emergency")), run.emergency))
        for label, number in callers:
            self._write(canvas, x, y, label, QUIET)
            x += self.setter.width(label, QUIET) + 4
            self._write(canvas, x, y, number, PHONE)
            wide = self.setter.width(number, PHONE)
            box = (x, y - 3, x + wide, y + 10)
            canvas.linkURL(f"tel:{dialled(number)}", box, relative=0, thickness=0)
            x += wide + 12
        self._write(canvas, right, y, f"{book.revision}, {end}", replace(QUIET, align="end"))
        self._write(canvas, left, y - 13, run.place or book.short, QUIET, right - left)

    def _write(
        self,
        canvas: PacketCanvas,
        x: float,
        y: float,
        text: str,
        style: TextStyle,
        most: float | None = None,
    ) -> None:
        if text:
            self.setter.draw(canvas, x, y, one_line(text), style, most)

    @staticmethod
    def _line(canvas: PacketCanvas, left: float, y: float, right: float, weight: float) -> None:
        canvas.saveState()
        canvas.setStrokeColorRGB(*INK)
        canvas.setLineWidth(weight)
        canvas.line(left, y, right, y)
        canvas.restoreState()


rl_config.useA85 = 0  # streams as bytes, not as letters: a quarter smaller
