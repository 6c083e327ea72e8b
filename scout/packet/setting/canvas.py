"""The pages as they are collected, and what can be written only when all are there: page x of y,
contents, bookmarks, notes on boxes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from reportlab.pdfgen.canvas import Canvas

from scout.packet.setting.shape import TypeCase


@dataclass(frozen=True)
class Place:
    """Where a section begins."""

    key: str
    title: str
    level: int
    page: int
    top: float


class PacketCanvas(Canvas):  # type: ignore[misc]  # ReportLab carries no types
    """Holds every page back until the last is set.

    case:   the fonts of this document
    finish: called for every page once all are there, with (canvas, page, pages)
    """

    _code: list[str]  # ReportLab's: the page's operators so far

    def __init__(
        self,
        *args: Any,
        case: TypeCase,
        finish: Callable[[PacketCanvas, int, int], None],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self._doc.delayedFonts.append(case)
        self._finish = finish
        self._held: list[dict[str, Any]] = []
        self._later: dict[int, list[tuple[int, Callable[[PacketCanvas], None]]]] = {}
        self.places: dict[str, Place] = {}

    def _make_preamble(self) -> None:
        # ReportLab's own names Helvetica, which is not embedded and which no text here uses
        self._preamble = "1 0 0 1 0 0 cm"

    def mark(self, key: str, title: str, level: int, height: float) -> None:
        """A section begins here, its top `height` above the present origin: a bookmark, an entry of
        the outline.
        """
        top = self.absolutePosition(0, height)[1]
        self.places[key] = Place(key, title, level, self.getPageNumber(), top)

    def later(self, write: Callable[[PacketCanvas], None]) -> None:
        """Write here, in the coordinates that hold here, when all pages are there; readers of the
        PDF then meet it here too.
        """
        self._later.setdefault(self.getPageNumber(), []).append((len(self._code), write))
        self._code.append("")

    def showPage(self) -> None:  # noqa: N802
        self._held.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        pages = len(self._held)
        deepest = -1
        for page, state in enumerate(self._held, start=1):
            self.__dict__.update(state)
            for place in self.places.values():
                if place.page == page:
                    self.bookmarkPage(place.key, fit="XYZ", left=0, top=place.top, zoom=0)
                    deepest = min(place.level, deepest + 1)  # an outline may not skip a level
                    self.addOutlineEntry(place.title, place.key, deepest, closed=deepest > 0)
            for at, write in self._later.get(page, ()):
                code, self._code = self._code, []
                write(self)
                code[at] = "\n".join(self._code)
                self._code = code
            self._finish(self, page, pages)
            super().showPage()
        self.showOutline()
        super().save()
