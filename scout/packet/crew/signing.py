"""The producer's page: everything still open, acts of production, releases and permits to get
signed.
"""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus.flowables import Flowable

from scout.packet.blocks import Desk
from scout.packet.content import PacketContent
from scout.packet.crew.front import open_points
from scout.packet.crew.parts import headed, note_lines
from scout.packet.crew.sheets import sheet_of, to_do
from scout.packet.setting.table import NOT_RECORDED, Cell, Column, Ledger
from scout.values import Name, Word, names, said
from scout.words.figures import Words


def production_sheet(desk: Desk, content: PacketContent) -> list[Flowable]:
    """Everything still open, acts of production, releases and permits to get signed."""
    made = sheet_of(desk, content, "production", "Production")
    everything = content.edition == "production"  # elsewhere each page has its own
    no_act, unmended = str(said("page.no_act")), dict[str, None]()
    rows = []
    for level, what, of, who in open_points(content, besides="production"):
        if not everything and str(what).endswith(no_act):
            unmended.update(dict.fromkeys(str(of).split("; ")))
        elif everything or who == Word("role", "production"):
            rows.append(
                (Cell(what, level=level, more=of), Cell(who, quiet=True), Cell("", ticks=1))
            )
    if unmended:  # each red line with its reason stands with its room
        rooms = names(list(unmended))
        told = Cell(no_act, level="problem", more=rooms)
        rows.insert(0, (told, Cell(Word("role", "production"), quiet=True), Cell("", ticks=1)))
    columns = [Column("", 5.4), Column("", 0.9), Column("", 0.3)]
    if rows:
        made += headed(desk, "Still open", [Ledger(desk.setter, columns, rows, headless=True)])
    made += to_do(desk, content, "production")
    made += headed(desk, "Signed", [_signatures(desk, content)])
    return [*made, *note_lines(desk)]


def _signatures(desk: Desk, content: PacketContent) -> Ledger:
    """A row a paper that must be signed, with its state and boxes to fill in."""
    columns = [
        Column("Paper", 2.6),
        Column("For", 2.0),
        Column("State", 2.4),
        Column("Signed", 0.6),
    ]
    rows: list[Sequence[Cell | Words | None]] = []
    for day in {day.place.name: day for day in content.coming}.values():
        place = day.place
        state = said("packet.permit_granted") if place.permit_granted else place.permits
        rows.append((said("packet.agreement"), Name(place.name), Cell(""), Cell("", ticks=1)))
        rows.append((said("packet.permit"), Name(place.name), state, Cell("", ticks=1)))
    for scene in dict.fromkeys(setup.scene.name for setup in content.setups):
        rows.append((said("packet.release"), Name(scene), Cell(""), Cell("", ticks=1)))
    rows.append((said("packet.insurance"), Cell(""), Cell(""), Cell("", ticks=1)))
    return Ledger(desk.setter, columns, rows, missing=NOT_RECORDED)
