"""What every page of the packet is built from: headings, figures, sections that mark where they
begin.
"""

from __future__ import annotations

import io
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, cast

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import CondPageBreak, PageBreak
from reportlab.platypus.flowables import Flowable

from scout.drawing.pdf import draw as draw_drawing
from scout.drawing.shapes import Drawing
from scout.packet.content import PacketPhoto
from scout.packet.figures.assumptions import (
    Pending,
    RoomHeld,
    own_table,
    shared_messages,
    shared_table,
)
from scout.packet.setting.canvas import PacketCanvas
from scout.packet.setting.clean import one_line
from scout.packet.setting.table import Ledger
from scout.packet.setting.text import (
    BODY,
    GREY,
    INK,
    QUIET,
    RUST,
    SMALL,
    Text,
    TextStyle,
    Typesetter,
)
from scout.values import Figure, Name, Said, said
from scout.words.figures import Words, sentence

TITLE = TextStyle(size=19, leading=23, bold=True, space_after=1)
KICKER = TextStyle(size=8.2, leading=11, colour=GREY, space_after=0)
HEADING = TextStyle(size=11.5, leading=14, bold=True, space_before=7, space_after=1)
WARNING = TextStyle(size=9.5, leading=13, bold=True, colour=RUST, space_after=4)

NOT_KNOWN = "unknown"


@dataclass(frozen=True)
class Section:
    """One entry of the contents."""

    key: str
    title: str
    level: int


@dataclass
class Desk:
    """What the makers of pages share: the typesetter, the width of the column in points, and the
    sentences about what went wrong.
    """

    setter: Typesetter
    width: float
    height: float
    warnings: list[str] = field(default_factory=list)
    rooms: list[RoomHeld] = field(default_factory=list)  # what the figures of each room assume
    topic: str = ""  # what the figures now being set are about
    moved: list[PacketPhoto] = field(default_factory=list)  # that found no room on their page

    def text(self, text: Words, style: TextStyle = BODY) -> Text:
        return self.setter.text(text, style)

    def heading(self, words: Words, room: float = 70.0) -> list[Flowable]:
        """A heading with at least `room` points of what follows on the same page."""
        return [CondPageBreak(room), self.setter.text(words, HEADING)]

    def begin(self, section: Section, kicker: Words, room: float | None = None) -> list[Flowable]:
        """The section's title on a new page; with `room`, only where fewer than so many points are
        left.
        """
        turn = PageBreak() if room is None else CondPageBreak(min(room, self.height))
        return [
            turn,
            Begin(self.setter, section),
            self.text(kicker, KICKER if room is None else replace(KICKER, space_before=12)),
            self.text(section.title, TITLE),
            Rule(),
        ]

    def sentences(self, texts: Iterable[Words | None], style: TextStyle = SMALL) -> list[Flowable]:
        """Each as a sentence of its own; nothing for None or an empty text."""
        return [self.text(sentence(text), style) for text in texts if text]

    def open_room(self, title: str, place: str) -> None:
        """From here on assumptions are this room's."""
        self.rooms.append(RoomHeld(title, place))

    def about(self, topic: str, make: Callable[[], list[Flowable]]) -> list[Flowable]:
        """A part of a room's pages; what its figures assume is held under its topic."""
        self.topic = topic
        return make()

    def assume(self, messages: Iterable[Said]) -> None:
        """Hold what figures assume: it is said once, at the end of the room's pages or of the
        packet.
        """
        if self.rooms:
            self.rooms[-1].add(self.topic, messages)

    def assumed(self) -> list[Flowable]:
        """Where the present room's own assumptions will stand."""
        return [Pending(self.rooms[-1])] if self.rooms else []

    def settled(self, story: Iterable[Flowable]) -> list[Flowable]:
        """The story with every place kept for assumptions filled, now that all rooms are read."""
        shared = shared_messages(self.rooms)
        made: list[Flowable] = []
        for one in story:
            if not isinstance(one, Pending):
                made.append(one)
            elif one.room is not None:
                table = own_table(self.setter, one.room, shared)
                made += (
                    [*self.heading("What these figures assume", 50.0), table]
                    if table is not None
                    else []
                )
            else:
                table = shared_table(self.setter, self.rooms, shared)
                made.append(
                    table
                    if table is not None
                    else self.text("Each room's own pages say what its figures assume.", QUIET)
                )
        return self._kept_with_next(made)

    def _kept_with_next(self, story: list[Flowable]) -> list[Flowable]:
        """The story with as much kept under each heading as the least of what follows takes: no
        heading is the last line of a page.
        """
        for at, turn in reversed(list(enumerate(story))):
            if not isinstance(turn, CondPageBreak) or not _heads(story[at + 1 : at + 2]):
                continue
            needed = asked = 0.0
            for one in story[at + 1 :]:
                if isinstance(one, PageBreak):
                    break
                if isinstance(one, CondPageBreak):  # of a heading under the heading
                    asked = needed + one.height
                else:
                    needed += self.tall([one]) if _heads([one]) else self._least(one)
                    if not _heads([one]) and one.wrap(self.width, self.height)[1] > 0.0:
                        break
            turn.height = max(turn.height, min(max(needed, asked), self.height))
        return story

    def _least(self, one: Flowable) -> float:
        """Points that the beginning of something takes, where its rest may stand on the next page."""
        whole = self.tall([one]) - float(one.getSpaceAfter())  # which the page's end swallows
        if isinstance(one, (Text, Ledger)):
            return min(whole, one.getSpaceBefore() + one.beginning(self.width))
        return whole if whole <= self.height else 0.0

    def tall(self, made: Iterable[Flowable]) -> float:
        """Points of height these take one under the other, the space between them included."""
        standing = [one for one in made if not isinstance(one, CondPageBreak)]
        return math.fsum(
            one.wrap(self.width, self.height)[1] + one.getSpaceBefore() + one.getSpaceAfter()
            for one in standing
        )

    def flow(self, made: Iterable[Flowable], left: float) -> tuple[float, float]:
        """About how many points are free under these when they begin with `left`, and the most that
        stays empty where they turn a page.

        Texts and tables run on over the page's end, figures turn it.
        """
        hole = 0.0
        for one in made:
            needed = (
                one.height
                if isinstance(one, CondPageBreak)
                else 0.0
                if isinstance(one, (Text, Ledger))
                else self.tall([one])
            )
            if isinstance(one, PageBreak) or (needed > left + 0.01 and left < self.height):
                hole, left = max(hole, left), self.height
            if not isinstance(one, (CondPageBreak, PageBreak)):
                left -= self.tall([one])
                left = left if left >= 0 else left % self.height
        return left, hole

    def figure(self, drawing: Drawing | None, missing: str) -> list[Flowable]:
        """A drawing, or the sentence that says why there is none."""
        if drawing is None:
            return [self.text(missing, QUIET)]
        wrong = drawing_fault(drawing)
        if wrong:
            words = self.warn(
                said("packet.no_drawing", drawing=_short(drawing.title, 120), why=Name(wrong))
            )
            return [self.text(words, BODY), self.text(drawing.description, SMALL)]
        return [Drawn(self.setter, drawing, self.height)]

    def warn(self, words: Words) -> str:
        """Keep what went wrong for the result as well; returns it said."""
        self.warnings.append(str(words))
        return self.warnings[-1]

    def guarded(self, what: Words, make: Callable[[], list[Flowable]]) -> list[Flowable]:
        """Part of a page; when it cannot be made, the page says so in its place and the rest is
        printed.
        """
        try:
            return make()
        except Exception as error:  # noqa: BLE001 - one bad item never costs the crew its packet; it is said here and in the result
            reason = one_line(str(error))[:160] or type(error).__name__
            words = self.warn(said("packet.not_printed", what=Name(str(what)), why=Name(reason)))
            return [self.text(words, WARNING)]


class Begin(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """Marks, without taking room, where a section begins."""

    def __init__(self, setter: Typesetter, section: Section) -> None:
        super().__init__()
        self.setter, self.section = setter, section

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        return width, 0.0

    def draw(self) -> None:
        cast(PacketCanvas, self.canv).mark(
            self.section.key, printable(self.section.title), self.section.level, 0.0
        )


class Rule(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """A hairline across the column."""

    def __init__(self, weight: float = 0.8, space_after: float = 6.0) -> None:
        super().__init__()
        self.weight, self.space_after = weight, space_after

    def getSpaceAfter(self) -> float:  # noqa: N802
        return self.space_after

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width = width
        return width, 2.0

    def draw(self) -> None:
        self.canv.saveState()
        self.canv.setStrokeColorRGB(*INK)
        self.canv.setLineWidth(self.weight)
        self.canv.line(0, 1.0, self.width, 1.0)
        self.canv.restoreState()


class Drawn(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """A drawing at its own size; one too large for the page is shrunk, and then says that its
    stated scale no longer holds.
    """

    NOTE = 11.0

    def __init__(self, setter: Typesetter, drawing: Drawing, page_height: float) -> None:
        super().__init__()
        self.setter, self.drawing, self.page_height = setter, drawing, page_height

    def getSpaceAfter(self) -> float:  # noqa: N802
        return 8.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        full_width, full_height = self.drawing.width_mm * mm, self.drawing.height_mm * mm
        self.shrink = min(
            1.0, width / full_width, (self.page_height - self.NOTE - 2.0) / full_height
        )
        self.note = self.NOTE if self.shrink < 0.9999 and self.drawing.scale else 0.0
        self.width, self.height = full_width * self.shrink, full_height * self.shrink + self.note
        return self.width, self.height

    def draw(self) -> None:
        if self.note:
            words = said("drawing.reduced", share=Figure(self.shrink * 100.0, "%"))
            self.setter.draw(self.canv, 0.0, 2.0, str(words), QUIET)
        draw_drawing(
            self.canv,
            self.drawing,
            0.0,
            self.note,
            draw_text=letters_for(self.setter),
            shrink=self.shrink,
        )


def _heads(made: Sequence[Flowable]) -> bool:
    return any(isinstance(one, Text) and one.style is HEADING for one in made)


def letters_for(setter: Typesetter) -> Any:
    """The hand that letters a drawing in the packet's fonts, in the colour the drawing has set."""
    aligns = {"start": "start", "middle": "centre", "end": "end"}

    def letter(
        canvas: Any, x: float, y: float, text: str, size: float, bold: bool, anchor: str
    ) -> None:
        colour = canvas._fillColorObj
        style = TextStyle(
            size=size,
            leading=size,
            bold=bold,
            align=aligns[anchor],  # type: ignore[arg-type]
            colour=(colour.red, colour.green, colour.blue),
        )
        setter.draw(canvas, x, y, text, style)

    return letter


def drawing_fault(drawing: Drawing) -> str:
    """Why a drawing cannot be drawn, tried on a page that is thrown away; empty when it can."""
    try:
        draw_drawing(Canvas(io.BytesIO()), drawing, 0.0, 0.0, draw_text=lambda *_: None)
    except Exception as error:  # noqa: BLE001 - a drawing that fails must not stop the page it stands on
        return one_line(str(error))[:160] or type(error).__name__
    return ""


def _short(text: str, most: int) -> Name:
    return Name(one_line(text)[:most])


def printable(text: str) -> str:
    """One line that may go into a PDF's outline or its metadata: half characters become the
    replacement sign.
    """
    return one_line(text).encode("utf-8", "replace").decode("utf-8")
