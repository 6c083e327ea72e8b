"""The pages as they are collected, and what can be written only when all are there: page x of y,
contents, bookmarks, notes on boxes.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.pdfgen.canvas import Canvas

from scout.packet.setting.shape import TypeCase
from scout.packet.swap import Swap, swap_of


@dataclass(frozen=True)
class Place:
    """Where a section begins."""

    key: str
    title: str
    level: int
    page: int
    top: float


@dataclass(frozen=True)
class Running:
    """What stands round a page: its head, and at its foot the day and place, whom to call at the
    door, and the number for emergencies.
    """

    left: str = ""
    right: str = ""
    place: str = ""
    door: tuple[str, str] | None = None  # name and phone
    emergency: str | None = None


@dataclass(frozen=True)
class _Later:
    """What is written at a place of a page's code when all pages are there."""

    at: int
    write: Callable[[PacketCanvas], None]
    of_swap: bool


def line_key(text: str) -> str:
    """A short name of a line, that tells it from any other."""
    return hashlib.sha256(" ".join(text.split()).encode("utf-8", "replace")).hexdigest()[:10]


class PacketCanvas(Canvas):  # type: ignore[misc]  # ReportLab carries no types
    """Holds every page back until the last is set.

    case:   the fonts of this document
    finish: called for every page once all are there, with (canvas, page, pages)
    known: lines that the last print had; known_pages: hashes of its pages
    every_page: what `finish` writes on each page beside its number and revision
    """

    _annotationCount: int  # noqa: N815 - ReportLab's
    _code: list[str]  # ReportLab's: the page's operators so far

    def __init__(
        self,
        *args: Any,
        case: TypeCase,
        finish: Callable[[PacketCanvas, int, int], None],
        known: frozenset[str] | None = None,
        known_pages: Sequence[str] = (),
        every_page: str = "",
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self._doc.delayedFonts.append(case)
        self._finish, self._case = finish, case
        self._held: list[dict[str, Any]] = []
        self._later: dict[int, list[_Later]] = {}
        self._known_pages, self._every_page = known_pages, every_page
        self.page_hashes: list[str] = []  # of what each page shows, once all are there
        self.swap: Swap | None = None  # None: this edition was not printed before
        self.places: dict[str, Place] = {}
        self.running: dict[int, Running] = {}  # from each page on
        self.printed_lines: dict[int, list[str]] = {}  # of each page, by `line_key`
        self.bars: dict[int, list[tuple[float, float]]] = {}  # beside what is new
        self._known = known

    def _make_preamble(self) -> None:
        # ReportLab's own names Helvetica, which is not embedded and which no text here uses
        self._preamble = "1 0 0 1 0 0 cm"

    def mark(self, key: str, title: str, level: int, height: float) -> None:
        """A section begins here, its top `height` above the present origin: a bookmark, an entry of
        the outline.
        """
        top = self.absolutePosition(0, height)[1]
        self.places[key] = Place(key, title, level, self.getPageNumber(), top)

    def run(self, running: Running) -> None:
        """From this page on, this stands round it; the first on a page counts."""
        self.running.setdefault(self.getPageNumber(), running)

    def runs(self, page: int) -> Running:
        """What stands round a page."""
        begun = [one for one in self.running if one <= page]
        return self.running[max(begun)] if begun else Running()

    def written(self, text: str, bottom: float, top: float) -> None:
        """Note that a line is printed here; one that the last print did not have gets a bar."""
        page, key = self.getPageNumber(), line_key(text)
        self.printed_lines.setdefault(page, []).append(key)
        if self._known is not None and key not in self._known:
            low, high = (self.absolutePosition(0, at)[1] for at in (bottom, top))
            self.bars.setdefault(page, []).append((low, high))

    def later(self, write: Callable[[PacketCanvas], None], *, of_swap: bool = False) -> None:
        """Write here, in the coordinates that hold here, when all pages are there; readers of the
        PDF then meet it here too.

        of_swap: what it writes rests on which pages changed, and so does not count as one
        """
        made = _Later(len(self._code), write, of_swap)
        self._later.setdefault(self.getPageNumber(), []).append(made)
        self._code.append("")

    def showPage(self) -> None:  # noqa: N802
        self._held.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        pages = len(self._held)
        deepest = -1
        links = self._annotationCount  # ReportLab's, names each link: never the same twice
        for page, state in enumerate(self._held, start=1):
            self.__dict__.update(state)
            self._annotationCount = links
            self._write_later(page, of_swap=False)
            self.page_hashes.append(self._shown(page))
            links = self._annotationCount
            self._held[page - 1] = dict(self.__dict__)
        if self._known_pages:
            self.swap = swap_of(self._known_pages, self.page_hashes)
        swap = self.swap
        for page, state in enumerate(self._held, start=1):
            self.__dict__.update(state)
            self._annotationCount = links
            for place in self.places.values():
                if place.page == page:
                    self.bookmarkPage(place.key, fit="XYZ", left=0, top=place.top, zoom=0)
                    deepest = min(place.level, deepest + 1)  # an outline may not skip a level
                    self.addOutlineEntry(place.title, place.key, deepest, closed=deepest > 0)
            self.swap = swap
            self._write_later(page, of_swap=True)
            self._finish(self, page, pages)
            links = self._annotationCount
            super().showPage()
        self.showOutline()
        super().save()

    def _write_later(self, page: int, *, of_swap: bool) -> None:
        for one in self._later.get(page, ()):
            if one.of_swap is of_swap:
                code, self._code = self._code, []
                one.write(self)
                code[one.at] = "\n".join(self._code)
                self._code = code

    def _shown(self, page: int) -> str:
        """A hash of what a page shows, apart from its number and revision: its letters by what they
        stand for, since a document numbers its glyphs as they come.
        """
        plain = self._case.named("\n".join(self._code))
        whole = f"{plain}\n{self.runs(page)!r}{self._every_page}"
        return hashlib.sha256(whole.encode("utf-8", "replace")).hexdigest()[:20]
