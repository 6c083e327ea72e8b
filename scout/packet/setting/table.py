"""Tables of typed text: hairlines, a head that comes again on every page, rows that split between
lines, and notes across the whole width.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import Level
from scout.drawing.marks import mark
from scout.drawing.pdf import draw as draw_drawing
from scout.packet.setting.geo import dialled
from scout.packet.setting.lines import Line
from scout.packet.setting.text import (
    GREY,
    INK,
    PHONE,
    QUIET,
    SMALL,
    TextStyle,
    Typesetter,
    draw_lines,
)
from scout.values import said
from scout.words.figures import Words

HAIR = 0.35
MARK_MM = 2.9
SMALLEST = 8.0  # points
MARK_ROOM = 13.0  # points a mark takes before its text
NOT_MEASURED = "not measured"
NOT_RECORDED = "not recorded"


@dataclass(frozen=True)
class Cell:
    """What stands in one field. `empty` words it as an empty ruled box; `level` sets a verdict mark
    before the text.
    """

    text: Words = ""
    bold: bool = False
    level: Level | None = None
    empty: bool = False
    loud: bool = False  # in the ink for "look here"
    quiet: bool = False
    phone: bool = False  # large, and a tap dials it
    more: Words = ""  # below the text, small
    ticks: int = 0  # boxes to tick by hand, side by side
    to: str = ""  # the key of a section: its page is written below, and the cell leads there


@dataclass(frozen=True)
class Column:
    """A column: its head and its share of the width."""

    title: Words
    share: float = 1.0
    align: Literal["start", "end"] = "start"


@dataclass(frozen=True)
class Row:
    """A row with a line below its cells that runs across the whole table: what no column is wide
    enough for.
    """

    cells: Sequence[Cell | Words | None]
    note: Words = ""


@dataclass(frozen=True)
class _Laid:
    cell: Cell
    style: TextStyle
    lines: Sequence[Line]
    at_end: bool = False
    more: Sequence[Line] = ()
    first: bool = True  # the beginning of its text is here: a mark belongs beside it
    last: bool = True  # and so is its end: what stands below it follows

    @property
    def tall(self) -> float:
        below = (len(self.more) + bool(self.cell.to)) * QUIET.leading if self.last else 0.0
        return len(self.lines) * self.style.leading + below


@dataclass(frozen=True)
class _Row:
    """A row ready to draw; its note begins where the second column does."""

    cells: tuple[_Laid, ...]
    note: _Laid | None = None

    @property
    def cell_lines(self) -> int:
        return max((len(laid.lines) for laid in self.cells), default=0)

    @property
    def lines(self) -> int:
        return self.cell_lines + (len(self.note.lines) if self.note else 0)

    @property
    def leading(self) -> float:
        found: float = max(
            laid.style.leading for laid in (*self.cells, *((self.note,) if self.note else ()))
        )
        return found

    def torn(self, at: int) -> tuple[_Row, _Row]:
        """The first `at` lines and the rest: first those of the cells, then those of the note."""
        here = tuple(replace(laid, lines=laid.lines[:at], last=False) for laid in self.cells)
        rest = tuple(replace(laid, lines=laid.lines[at:], first=False) for laid in self.cells)
        if self.note is None:
            return _Row(here), _Row(rest)
        of_note = max(at - self.cell_lines, 0)
        first = replace(self.note, lines=self.note.lines[:of_note]) if of_note else None
        return _Row(here, first), _Row(
            rest, replace(self.note, lines=self.note.lines[of_note:], first=False)
        )


class Ledger(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """A table of text cells. None in a row is something not measured; a `Row` may carry a note
    across the table.

    Rows move whole to the next page while they are short; a row of more than `SPLITTABLE` lines
    splits where the page ends.
    """

    PAD = 2.0
    GUTTER = 12.0
    SPLITTABLE = 6
    noted = TextStyle(size=8.2, leading=10.2)  # of a note under a row
    HEAD_LINES = 12  # a head comes again on every page: what is longer is cut

    def __init__(
        self,
        setter: Typesetter,
        columns: Sequence[Column],
        rows: Sequence[Row | Sequence[Cell | Words | None]],
        *,
        style: TextStyle = SMALL,
        headless: bool = False,
        missing: str = NOT_MEASURED,
        space_after: float = 6.0,
        least: float = 0.0,
    ) -> None:
        """least: points that a row takes at the least, for what is written by hand"""
        super().__init__()
        self.setter, self.columns, self.rows, self.style = setter, columns, rows, style
        self.headless, self.missing, self.space_after = headless, missing, space_after
        self.least = least
        self._laid: list[_Row] | None = None
        self._head: _Row | None = None
        self._edges: list[tuple[float, float]] = []

    def getSpaceBefore(self) -> float:  # noqa: N802
        return 3.0

    def getSpaceAfter(self) -> float:  # noqa: N802
        return self.space_after

    # -- setting
    # ------------------------------------------------------------------------------------------------------
    def _set(self, width: float) -> tuple[_Row | None, list[_Row]]:
        if self._laid is None:
            room = width - self.GUTTER * (len(self.columns) - 1)
            shares = sum(column.share for column in self.columns)
            x = 0.0
            for column in self.columns:
                wide = room * column.share / shares
                self._edges.append((x, wide))
                x += wide + self.GUTTER
            if not self.headless:
                titles = [Cell(column.title) for column in self.columns]
                head = [
                    self._cell(cell, at, replace(QUIET, align=self.columns[at].align))
                    for at, cell in enumerate(titles)
                ]
                self._head = _Row(
                    tuple(replace(laid, lines=laid.lines[: self.HEAD_LINES]) for laid in head)
                )
            self._laid = [self._row(row) for row in self.rows]
        return self._head, self._laid

    def _row(self, given: Row | Sequence[Cell | Words | None]) -> _Row:
        row = given if isinstance(given, Row) else Row(given)
        cells = tuple(self._cell(cell, at) for at, cell in enumerate(row.cells))
        if not row.note:
            return _Row(cells)
        return _Row(
            cells,
            _Laid(
                Cell(row.note),
                self.noted,
                self.setter.lines(str(row.note), self.noted, self._note_place()[1]),
            ),
        )

    def _note_place(self) -> tuple[float, float]:
        """(left, breadth) of a note: from the second column to the right edge."""
        left = self._edges[1][0] if len(self._edges) > 1 else 0.0
        return left, self._edges[-1][0] + self._edges[-1][1] - left

    def _cell(self, given: Cell | Words | None, at: int, style: TextStyle | None = None) -> _Laid:
        cell = (
            Cell(self.missing, empty=True)
            if given is None
            else given
            if isinstance(given, Cell)
            else Cell(given)
        )
        used = style or replace(self.style, bold=cell.bold, align=self.columns[at].align)
        if cell.quiet:
            used = replace(QUIET, align=self.columns[at].align)
        if cell.phone:
            used = replace(PHONE, align=self.columns[at].align)
        if cell.empty:
            used = replace(used, colour=GREY, align="start")
        if cell.loud:
            used = replace(used, bold=True)
        room = (
            self._edges[at][1]
            - (MARK_ROOM if cell.level else 0.0)
            - (8.0 if cell.empty or cell.loud else 0.0)
        )
        text = str(cell.text)
        if cell.empty and text:  # the words of an empty box grow smaller before they break
            longest = max(self.setter.width(word, used) for word in text.split())
            used = replace(used, size=max(used.size * min(1.0, room / longest), SMALLEST))
        more = self.setter.lines(str(cell.more), QUIET, room) if cell.more else ()
        lines = self.setter.lines(text, used, room)
        return _Laid(cell, used, lines, self.columns[at].align == "end", more)

    def _height(self, row: _Row) -> float:
        noted = len(row.note.lines) * row.note.style.leading if row.note else 0.0
        tall = max((laid.tall for laid in row.cells), default=0.0) + noted + 2 * self.PAD
        return tall if row is self._head else max(tall, self.least)

    def heights(self, width: float) -> list[float]:
        """Points that each row takes at this width."""
        return [self._height(row) for row in self._set(width)[1]]

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        head, rows = self._set(width)
        self.width = width
        self.height = (self._height(head) if head else 0.0) + sum(self._height(row) for row in rows)
        return width, self.height

    def beginning(self, width: float) -> float:
        """Points that its head and its first row take, two lines of the row where it may be torn."""
        head, rows = self._set(width)
        above = self._height(head) if head else 0.0
        if not rows:
            return above
        torn = 2.0 * rows[0].leading + 2.0 * self.PAD
        return above + (torn if rows[0].lines > self.SPLITTABLE else self._height(rows[0]))

    def split(self, width: float, height: float) -> list[Flowable]:
        head, rows = self._set(width)
        left = height - (self._height(head) if head else 0.0)
        here: list[_Row] = []
        rest = list(rows)
        while rest:
            tall = self._height(rest[0])
            if tall <= left + 0.01:
                here.append(rest.pop(0))
                left -= tall
                continue
            fits = int((left - 2 * self.PAD + 0.01) / rest[0].leading)
            if 2 <= fits < rest[0].lines and rest[0].lines > self.SPLITTABLE:
                first, rest[0] = rest[0].torn(fits)
                here.append(first)
            break
        if not here:
            return []
        if len(rest) == 1 and rest[0].cells[0].first and len(here) > 3:
            rest.insert(0, here.pop())  # no row stands alone on the next page
        return [self._part(here, 0.0), self._part(rest, self.space_after)] if rest else [self]

    def cut(self, width: float, height: float) -> tuple[Ledger | None, Ledger]:
        """The rows that stand whole in the height at this width, and the others, to be laid at
        whatever width they get; at least two of each.
        """
        head, rows = self._set(width)
        left, fits = height - (self._height(head) if head else 0.0), 0
        for row in rows:
            left -= self._height(row)
            if left < 0:
                break
            fits += 1
        fits = min(fits, len(rows) - 2)
        if fits < 2:
            return None, self._with(self.rows)
        return self._with(self.rows[:fits]), self._with(self.rows[fits:])

    def _with(self, rows: Sequence[Row | Sequence[Cell | Words | None]]) -> Ledger:
        return Ledger(
            self.setter,
            self.columns,
            rows,
            style=self.style,
            headless=self.headless,
            missing=self.missing,
            space_after=self.space_after,
            least=self.least,
        )

    def _part(self, rows: list[_Row], space_after: float) -> Ledger:
        part = Ledger(
            self.setter,
            self.columns,
            (),
            style=self.style,
            headless=self.headless,
            missing=self.missing,
            space_after=space_after,
            least=self.least,
        )
        part._laid, part._head, part._edges = rows, self._head, self._edges
        return part

    # -- drawing
    # ------------------------------------------------------------------------------------------------------
    def draw(self) -> None:
        head, rows = self._set(self.width)
        canvas = self.canv
        canvas.saveState()
        canvas.setStrokeColorRGB(*INK)
        y = self.height
        if head:
            y = self._draw_row(head, y)
            canvas.setLineWidth(0.8)
            canvas.line(0, y, self.width, y)
        canvas.setLineWidth(HAIR)
        for row in rows:
            y = self._draw_row(row, y)
            canvas.line(0, y, self.width, y)
        canvas.restoreState()

    def _draw_row(self, row: _Row, top: float) -> float:
        height = self._height(row)
        written = getattr(self.canv, "written", None)
        if written is not None and row is not self._head:
            words = [part for laid in row.cells for part in (laid.cell.text, laid.cell.more)]
            written(" ".join(map(str, words)), top - height, top)
        for laid, (x, wide) in zip(row.cells, self._edges, strict=True):
            self._draw_cell(laid, x, top - self.PAD, wide)
        if row.note:
            x, wide = self._note_place()
            below = max((laid.tall for laid in row.cells), default=0.0)
            draw_lines(
                self.canv,
                self.setter.case,
                row.note.lines,
                x,
                top - self.PAD - below,
                wide,
                row.note.style,
            )
        return top - height

    def _draw_cell(self, laid: _Laid, x: float, top: float, wide: float) -> None:
        cell, style, canvas = laid.cell, laid.style, self.canv
        if cell.level and laid.first:
            draw_drawing(canvas, mark(cell.level, MARK_MM), x - 1.0, top - style.leading + 0.5)
        if cell.level:
            x, wide = x + MARK_ROOM, wide - MARK_ROOM
        if (cell.empty or cell.loud) and laid.lines:
            drop = len(laid.lines) * style.leading
            longest = max(line.width for line in laid.lines) * style.size / 1000.0
            box = min(max(longest + 8.0, 30.0), wide)
            x += wide - box if laid.at_end else 0.0
            wide = box
            canvas.saveState()
            canvas.setLineWidth(1.0 if cell.loud else HAIR)
            canvas.rect(x, top - drop, box, drop)
            canvas.restoreState()
            x, wide = x + 4.0, wide - 8.0
        draw_lines(canvas, self.setter.case, laid.lines, x, top, wide, style)
        y = top - len(laid.lines) * style.leading
        if cell.ticks and laid.first:
            canvas.saveState()
            canvas.setLineWidth(0.7)
            for k in range(cell.ticks):
                canvas.rect(x + 1.0 + 12.0 * k, top - style.leading + 2.0, 8.0, 8.0)
            canvas.restoreState()
        if laid.last and laid.more:
            draw_lines(canvas, self.setter.case, laid.more, x, y, wide, QUIET)
            y -= len(laid.more) * QUIET.leading
        if cell.phone and laid.lines:
            rect = (x, y, x + wide, top)
            canvas.linkURL(f"tel:{dialled(str(cell.text))}", rect, relative=1, thickness=0)
        if laid.last and cell.to and hasattr(canvas, "later"):
            self._lead_to(cell.to, x, y, wide, top)

    def _lead_to(self, key: str, x: float, y: float, wide: float, top: float) -> None:
        """The page of a section below a cell, and the way there from all of it."""
        left, bottom = self.canv.absolutePosition(0, 0)

        def write(canvas: Any) -> None:
            place = canvas.places.get(key)
            if place is None:
                return
            words = str(said("packet.to_page", page=place.page))
            lines = self.setter.lines(words, QUIET, wide)
            draw_lines(canvas, self.setter.case, lines, x, y, wide, QUIET)
            box = (left + x, bottom + y - QUIET.leading, left + x + wide, bottom + top)
            canvas.linkRect("", key, box, relative=0, thickness=0)

        self.canv.later(write)


def facts(
    setter: Typesetter,
    pairs: Sequence[tuple[str, Cell | Words | None]],
    *,
    missing: str = NOT_RECORDED,
    label_share: float = 0.26,
    **kept: Any,
) -> Ledger:
    """Names of facts and the facts themselves, as a form has them."""
    columns = [Column("", label_share), Column("", 1.0 - label_share)]
    return Ledger(
        setter,
        columns,
        [(Cell(name), fact) for name, fact in pairs],
        headless=True,
        missing=missing,
        **kept,
    )
