"""What the crew's pages are built from: two columns, a framed box, lines for a pencil, photos."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import replace
from typing import cast

from reportlab.lib.utils import ImageReader
from reportlab.platypus import CondPageBreak, PageBreak
from reportlab.platypus.flowables import Flowable

from scout.drawing.pdf import draw as draw_drawing
from scout.packet.blocks import Desk, Rule, Section, letters_for
from scout.packet.content import CrewNote, PacketPhoto
from scout.packet.photos import Framed, framed_all
from scout.packet.setting.canvas import PacketCanvas, Running
from scout.packet.setting.clean import one_line
from scout.packet.setting.text import BODY, INK, QUIET, TextStyle, draw_lines
from scout.values import Name, Said, said
from scout.words.figures import Words

GAP = 16.0  # points between two columns
TALLEST = 600.0  # points that stay together: less than the column of Letter
LINE = 19.0  # points between lines for a pencil: 6.7 mm (common practice: 6 to 8)
ABOVE_LINES = 4.0  # points
PHOTO_GAP = 10.0
NOTES_STYLE = TextStyle(size=9.5, leading=12.4, space_after=2)
TITLE = TextStyle(size=19, leading=23, bold=True, space_after=0)


class Runs(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """Says, without taking room, what stands round the page from here on."""

    def __init__(self, running: Running) -> None:
        super().__init__()
        self.running = running

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        return width, 0.0

    def draw(self) -> None:
        if isinstance(self.canv, PacketCanvas):
            self.canv.run(self.running)


def opened(
    desk: Desk,
    section: Section,
    running: Running,
    below: Words = "",
    *,
    beside: Words = "",
    room: float | None = None,
) -> list[Flowable]:
    """A page's title with what stands below it, or beside it; with `room`, on the page before where
    so much is free.
    """
    from scout.packet.blocks import Begin

    turn = PageBreak() if room is None else CondPageBreak(min(room, desk.height))
    title: Flowable = desk.text(section.title, TITLE)
    if beside:
        wide = desk.setter.width(section.title, TITLE) + 1.0
        left = max(desk.width - GAP - wide, 1.0)
        title = Abreast([[title], [desk.text(beside, QUIET)]], [wide, left])
    made: list[Flowable] = [turn, Runs(running), Begin(desk.setter, section), title]
    if below:
        made.append(desk.text(below, QUIET))
    return [*made, Rule(0.8, 3.0)]


class Abreast(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """Columns side by side from the same height, each a stack of flowables. What is higher than a
    page stands one under the other instead.
    """

    def __init__(self, columns: Sequence[Sequence[Flowable]], shares: Sequence[float]) -> None:
        super().__init__()
        self.columns, self.shares = columns, shares

    def getSpaceAfter(self) -> float:  # noqa: N802
        return 4.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        room = width - GAP * (len(self.columns) - 1)
        whole = sum(self.shares)
        self.laid: list[tuple[Flowable, float, float]] = []
        x, deepest = 0.0, 0.0
        for column, share in zip(self.columns, self.shares, strict=True):
            wide, down = room * share / whole, 0.0
            for k, one in enumerate(_standing(column)):
                down += one.getSpaceBefore() if k else 0.0
                down += one.wrap(wide, height)[1]
                self.laid.append((one, x, down))
                down += one.getSpaceAfter()
            deepest = max(deepest, down)
            x += wide + GAP
        self.width, self.height = width, deepest
        return width, deepest

    def split(self, width: float, height: float) -> list[Flowable]:
        self.wrap(width, height)
        if self.height <= TALLEST:
            return []
        return begun([one for column in self.columns for one in _standing(column)], width, height)

    def draw(self) -> None:
        for one, x, down in self.laid:
            one.drawOn(self.canv, x, self.height - down)


def begun(made: Sequence[Flowable], width: float, height: float) -> list[Flowable]:
    """A stack on its own feet, its first part cut to the height that is left; nothing where not
    even that fits.
    """
    first, *rest = made
    if first.wrap(width, height)[1] <= height:
        return [first, *rest]
    pieces: list[Flowable] = first.split(width, height)
    return [*pieces, *rest] if len(pieces) > 1 else []


def _standing(column: Sequence[Flowable]) -> list[Flowable]:
    return [one for one in column if not isinstance(one, (CondPageBreak, PageBreak))]


class Boxed(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """A stack in a frame."""

    PAD = 6.0

    def __init__(self, inner: Sequence[Flowable], weight: float = 0.7) -> None:
        super().__init__()
        self.inner, self.weight = _standing(inner), weight

    def getSpaceBefore(self) -> float:  # noqa: N802
        return 4.0

    def getSpaceAfter(self) -> float:  # noqa: N802
        return 5.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        down = self.PAD
        self.laid: list[tuple[Flowable, float]] = []
        for one in self.inner:
            down += one.wrap(width - 2 * self.PAD, height)[1]
            self.laid.append((one, down))
            down += one.getSpaceAfter()
        self.width, self.height = width, down + self.PAD
        return width, self.height

    def split(self, width: float, height: float) -> list[Flowable]:
        self.wrap(width, height)
        if self.height <= TALLEST:
            return []
        return begun(self.inner, width, height)  # without its frame

    def draw(self) -> None:
        self.canv.saveState()
        self.canv.setStrokeColorRGB(*INK)
        self.canv.setLineWidth(self.weight)
        self.canv.rect(0, 0, self.width, self.height)
        self.canv.restoreState()
        for one, down in self.laid:
            one.drawOn(self.canv, self.PAD, self.height - down)


class Ruled(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """Lines for a pencil under a small heading: so many, or as many as the page has left."""

    def __init__(self, desk: Desk, heading: Words, lines: int | None = None) -> None:
        super().__init__()
        self.desk, self.heading, self.lines = desk, heading, lines
        self.above = ABOVE_LINES if lines is None else 0.0
        self._ZEROSIZE = lines is None  # a page that is full is left full, not followed by another

    def getSpaceBefore(self) -> float:  # noqa: N802
        return ABOVE_LINES - self.above

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width = width
        fits = int((height - self.above - QUIET.leading - 2.0) / LINE)
        self.count = fits if self.lines is None else self.lines
        tall = self.above + self.count * LINE + QUIET.leading
        self.height = tall if self.count > 0 else 0.0
        return width, self.height

    def draw(self) -> None:
        if self.count <= 0:
            return
        canvas, top = self.canv, self.height - self.above
        text = self.desk.setter.lines(str(self.heading), QUIET, self.width)
        draw_lines(canvas, self.desk.setter.case, text, 0.0, top, self.width, QUIET)
        canvas.saveState()
        canvas.setStrokeColorRGB(0.55, 0.55, 0.57)
        canvas.setLineWidth(0.35)
        for k in range(1, self.count + 1):
            y = top - QUIET.leading - k * LINE
            canvas.line(0, y, self.width, y)
        canvas.restoreState()


class _Jpeg(ImageReader):  # type: ignore[misc]  # ReportLab carries no types
    """A picture told from others by its own bytes, which go into the file as they are. ReportLab would
    decode each to name it and hold what it decoded until Python looks for cycles: 60 MB of a packet.
    """

    _dataA = None  # noqa: N815  # ReportLab's name; a JPEG is nowhere transparent

    def getRGBData(self) -> bytes:  # noqa: N802 - ReportLab's name
        """What names it."""
        return bytes(self.fp.getvalue())


class Pictures(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """Photos side by side, each in a frame of one size with its caption; one that cannot be read is
    an empty frame with the reason.
    """

    def __init__(self, desk: Desk, pictures: Sequence[Framed], height: float, abreast: int) -> None:
        super().__init__()
        self.desk, self.pictures, self.tall, self.abreast = desk, pictures, height, abreast

    def getSpaceAfter(self) -> float:  # noqa: N802
        return 4.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.cell = cell(width, self.abreast)
        self.said = [
            self.desk.setter.lines(one.below, QUIET, self.cell)[:2] for one in self.pictures
        ]
        deep = max((len(lines) for lines in self.said), default=0) * QUIET.leading
        self.width, self.height = width, self.tall + deep + 3.0
        return width, self.height

    def draw(self) -> None:
        canvas, case = self.canv, self.desk.setter.case
        for k, (one, lines) in enumerate(zip(self.pictures, self.said, strict=True)):
            x, y = k * (self.cell + PHOTO_GAP), self.height - self.tall
            canvas.saveState()
            canvas.setStrokeColorRGB(*INK)
            canvas.setLineWidth(0.35)
            if one.jpeg is None:
                canvas.rect(x, y, self.cell, self.tall)
                text = self.desk.setter.lines(one.why, BODY, self.cell - 16)[:6]
                draw_lines(canvas, case, text, x + 8, y + self.tall - 8, self.cell - 16, BODY)
            else:
                wide, high = one.fitted(self.cell, self.tall)
                left = x
                reader = _Jpeg(io.BytesIO(one.jpeg))
                canvas.drawImage(reader, left, y + self.tall - high, wide, high)
                canvas.rect(left, y + self.tall - high, wide, high)
                if one.overlays:
                    drawn, letter = one.drawn(wide, high), letters_for(self.desk.setter)
                    draw_drawing(canvas, drawn, left, y + self.tall - high, draw_text=letter)
            canvas.restoreState()
            draw_lines(canvas, case, lines, x, y - 2.0, self.cell, QUIET)


def cell(width: float, abreast: int) -> float:
    """How wide one of so many pictures abreast is."""
    return (width - PHOTO_GAP * (abreast - 1)) / abreast


def pictures(
    desk: Desk,
    photos: Sequence[PacketPhoto],
    wide: float,
    height: float,
    *,
    abreast: int | None = None,
) -> list[Flowable]:
    """Photos in rows of so many abreast, else in one row of all; nothing where there are none."""
    if not photos:
        return []
    abreast = abreast or len(photos)
    ready = framed_all(photos, cell(wide, abreast), height)
    for one in ready:
        if one.jpeg is None:
            desk.warn(one.why)
    return [
        Pictures(desk, ready[begin : begin + abreast], height, abreast)
        for begin in range(0, len(ready), abreast)
    ]


def photo_of(of: Name | Said, photo: PacketPhoto) -> PacketPhoto:
    """A photo whose caption begins with its place or room."""
    caption = Name(photo.caption) if photo.caption else None
    return replace(photo, caption=str(said("packet.photo_of", of=of, caption=caption)))


def crew_notes(desk: Desk, notes: Sequence[CrewNote]) -> list[Flowable]:
    """The crew's notes in a frame, as they were written, each with its author and time."""
    if not notes:
        return []
    made: list[Flowable] = []
    for note in notes:
        made.append(desk.text(note.text, NOTES_STYLE))
        who = ", ".join(
            filter(None, map(one_line, (note.author or "", str(note.written_at or ""))))
        )
        if who:
            made.append(desk.text(who, QUIET))
    return [Boxed(made)]


def spaced(desk: Desk, words: Words) -> Flowable:
    """A heading that keeps a little of what follows on its page."""
    return cast(Flowable, desk.heading(words, 60.0)[1])


def headed(desk: Desk, words: Words, made: Sequence[Flowable]) -> list[Flowable]:
    """A heading over something; nothing over nothing."""
    return [*desk.heading(words, 60.0), *made] if made else []


def note_lines(desk: Desk, above: Sequence[Flowable] = ()) -> list[Flowable]:
    """What is left of the page, ruled for notes; nothing where what stands above leaves no line."""
    standing = [one for one in above if not isinstance(one, PageBreak)]
    left = desk.height - desk.tall(standing)
    if above and 0.0 <= left < LINE + QUIET.leading + ABOVE_LINES:
        return []
    return [Ruled(desk, said("packet.notes"))]
