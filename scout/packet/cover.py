"""The first pages: what this is, what changed, who is on the crew, and what stands where."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import cast

from reportlab.platypus import CondPageBreak, Spacer
from reportlab.platypus.flowables import Flowable

from scout.packet.blocks import KICKER, TITLE, Desk, Rule, Section
from scout.packet.content import PacketChange, PacketContent
from scout.packet.setting.canvas import PacketCanvas
from scout.packet.setting.clean import one_line
from scout.packet.setting.table import Cell, Column, Ledger, facts
from scout.packet.setting.text import BODY, QUIET, TextStyle, Typesetter
from scout.values import said
from scout.words.figures import day

COVER_TITLE = TextStyle(size=27, leading=34, bold=True, space_after=6)


def cover(desk: Desk, content: PacketContent) -> list[Flowable]:
    """Production, revision, date, and what changed since the last."""
    production = content.production
    dates = "\n".join(day(on, long=True) or "" for on in production.shoot_dates or ()) or None
    since = content.changes_since
    made: list[Flowable] = [
        Spacer(1, min(110.0, desk.height * 0.12)),
        desk.text("Crew packet", KICKER),
        desk.text(production.title, COVER_TITLE),
        Rule(1.2, 10.0),
        facts(
            desk.setter,
            [
                ("Client", production.client),
                ("Shoot dates", dates),
                ("Packet", content.revision),
                ("Printed", content.generated_at),
                ("Prepared by", content.prepared_by),
            ],
            style=BODY,
        ),
        *desk.heading(said("packet.changed", since=since)),
    ]
    if content.changes is None:
        made.append(desk.text("First revision: there is nothing earlier to compare it with."))
    elif not content.changes:
        made.append(desk.text("Nothing since then."))
    else:
        made.append(_changed(desk, content.changes))
    made += desk.heading("Crew")
    if production.crew:
        columns = [
            Column("Name", 1.3),
            Column("Role", 1.2),
            Column("Phone", 1.1),
            Column("Call", 0.6),
        ]
        rows = [
            (member.name, member.role, member.phone, member.call_time) for member in production.crew
        ]
        made.append(Ledger(desk.setter, columns, rows, missing="not recorded"))
    else:
        made.append(desk.text("The crew list is not recorded.", QUIET))
    return made


def _changed(desk: Desk, changes: Sequence[PacketChange]) -> Flowable:
    """What changed, under the room, place or scene it belongs to."""
    grouped: dict[str, list[str]] = {}
    for change in changes:
        grouped.setdefault(change.of, []).append(str(change.what))
    columns = [Column("", 0.26), Column("", 0.74)]
    return Ledger(
        desk.setter,
        columns,
        [(Cell(of, bold=True), Cell("\n".join(those))) for of, those in grouped.items()],
        headless=True,
    )


def contents(desk: Desk, sections: Sequence[Section]) -> list[Flowable]:
    """What stands on which page."""
    whole = Contents(desk.setter, sections)
    turned = CondPageBreak(
        min(desk.tall([whole]) + 50.0, desk.height)
    )  # on the cover itself where it fits
    return [turned, desk.text("Contents", replace(TITLE, space_before=14.0)), Rule(), whole]


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
