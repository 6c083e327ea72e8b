"""A blank scout form for a pen: the facts of a place and a room in the order of a walk through it,
with a grid to draw the plan on.
"""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus.flowables import Flowable

from scout.packet.blocks import Desk, Section
from scout.packet.content import PacketContent
from scout.packet.crew.last import Grid
from scout.packet.crew.parts import LINE, Abreast, Ruled, opened
from scout.packet.crew.running import runs_through
from scout.packet.setting.table import Cell, Column, Ledger
from scout.values import said

PLACE = (
    "Place, address",
    "Who was there, when",
    "Contact, phone",
    "Owner's agreement",
    "Open from, until",
    "Fee",
    "Parking, unloading",
    "Carry from the van",
    "Steps, lift",
    "Narrowest door",
    "Longest thing that turns in",
    "Toilets, holding",
    "Phone signal",
    "Nearest care",
    "Hazards, exits",
    "House rules",
)
ROOM = (
    "Room, floor",
    "Width, length",
    "Ceiling",
    "Wall A looks to (compass)",
    "Walls: colour, material",
    "Floor, ceiling: colour",
    "Practicals that switch off",
    "Sockets: wall, from its left",
    "Breakers: where, key, A",
    "Noise, one minute, dBA",
    "Clap: dry, live, flutter",
    "What can be switched off",
)
OPENINGS = ("Window or door", "Wall", "From its left", "Width", "Sill", "Height", "Covering")
MOST_OPENINGS = 9


def form_pages(desk: Desk, content: PacketContent) -> list[Flowable]:
    """Two pages: the facts, and the plan."""
    running = runs_through(content, "Scout form")
    made = opened(desk, Section("form", "Scout form", 0), running, said("packet.form"))
    half = [_blanks(desk, PLACE), _blanks(desk, ROOM)]
    made.append(Abreast([[half[0]], [half[1]]], [1.0, 1.0]))
    columns = [Column(name, 1.4 if k == 0 else 1.0) for k, name in enumerate(OPENINGS)]
    blank = [[Cell()] * len(OPENINGS) for _ in range(MOST_OPENINGS)]
    made.append(Ledger(desk.setter, columns, blank, least=LINE))
    made.append(Ruled(desk, said("packet.notes")))
    made += opened(desk, Section("form-plan", "Plan", 0), running, said("packet.form_plan"))
    return [*made, Grid(desk)]


def _blanks(desk: Desk, facts: Sequence[str]) -> Ledger:
    """A fact a row, with room to write."""
    rows = [(Cell(name, quiet=True), Cell()) for name in facts]
    return Ledger(desk.setter, [Column("", 1.3), Column("", 1.5)], rows, headless=True, least=LINE)
