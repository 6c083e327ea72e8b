"""The first page of the edition of figures: what stands on which page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import cast

from reportlab.platypus.flowables import Flowable

from scout.packet.blocks import KICKER, TITLE, Desk, Rule, Section
from scout.packet.figures.content import FiguresContent
from scout.packet.setting.canvas import PacketCanvas
from scout.packet.setting.clean import one_line
from scout.packet.setting.text import BODY, Typesetter


def contents(desk: Desk, content: FiguresContent, sections: Sequence[Section]) -> list[Flowable]:
    """What the edition is, and what stands on which page."""
    return [
        desk.text("Figures: everything worked out of every room", KICKER),
        desk.text(content.production.title, TITLE),
        Rule(),
        Contents(desk.setter, sections),
    ]


class Contents(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """A line a section; its page number is written when all pages are there, and the line leads to
    it.
    """

    LEADING = 15.0

    def __init__(self, setter: Typesetter, sections: Sequence[Section]) -> None:
        super().__init__()
        self.setter, self.sections = setter, sections

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width, self.height = width, len(self.sections) * self.LEADING
        return self.width, self.height

    def split(self, width: float, height: float) -> list[Flowable]:
        fits = int((height + 0.01) / self.LEADING)
        if fits < 1:
            return []
        return [
            Contents(self.setter, self.sections[:fits]),
            Contents(self.setter, self.sections[fits:]),
        ]

    def draw(self) -> None:
        canvas = cast(PacketCanvas, self.canv)
        left, bottom = canvas.absolutePosition(0, 0)
        for at, section in enumerate(self.sections):
            y = self.height - (at + 1) * self.LEADING + 4.0
            indent = 14.0 * section.level
            style = replace(BODY, bold=section.level == 0)
            room = self.width - indent - 40.0
            shown = one_line(section.title)
            self.setter.draw(canvas, indent, y, shown, style, room)
            reached = indent + min(self.setter.width(shown, style), room) + 6.0
            canvas.saveState()
            canvas.setLineWidth(0.35)
            canvas.setDash(0.4, 2.6)
            canvas.line(reached, y, self.width - 26.0, y)
            canvas.restoreState()
            canvas.later(self._number(section.key, y, left, bottom))

    def _number(
        self, key: str, y: float, left: float, bottom: float
    ) -> Callable[[PacketCanvas], None]:
        def write(canvas: PacketCanvas) -> None:
            place = canvas.places.get(key)
            if place is None:
                return
            self.setter.draw(canvas, self.width, y, str(place.page), replace(BODY, align="end"))
            canvas.linkRect(
                "",
                key,
                (left, bottom + y - 3.0, left + self.width, bottom + y + 10.0),
                relative=0,
                thickness=0,
            )

        return write
