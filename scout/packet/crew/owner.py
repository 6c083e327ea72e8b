"""For whoever lends the place: when we come, what we do in which room, what we ask for and leave as
it was. No phone of the crew, no fee, nothing of any other place.
"""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import Act
from scout.assess.choice.opening import opening_words
from scout.packet.asked import acts
from scout.packet.blocks import Desk, Section
from scout.packet.content import PacketContent, PacketDay
from scout.packet.crew.parts import Ruled, headed, note_lines, opened
from scout.packet.crew.running import around, hours_of, room_of, runs_on
from scout.packet.setting.table import NOT_RECORDED, Cell, Column, Ledger
from scout.packet.setting.text import BODY
from scout.values import Figure, Many, Name, Said, said
from scout.words.figures import Words

# what the owner of a place is asked for or should know before we do it
THEIRS = (
    "free.circuit",
    "have.conditions",
    "practical.off",
    "switch.off",
    "close.covering",
    "cover.windows",
    "cover.pieces",
    "hang.blankets",
    "hang.white",
    "stretch.white",
    "lay.white",
    "gel.windows",
    "measure.circuits",
)


def owner_pages(desk: Desk, content: PacketContent) -> list[Flowable]:
    """A page a day."""
    made: list[Flowable] = []
    for day in content.days:
        made += _day(desk, content, day)
    return made


def _day(desk: Desk, content: PacketContent, day: PacketDay) -> list[Flowable]:
    section = Section(day.key, str(said("packet.long_day", on=day.date)), 0)
    below = said(
        "packet.for_owner", title=Name(content.production.title), place=Name(day.place.name)
    )
    made = opened(desk, section, runs_on(day, right="For the owner"), below)
    columns = [Column("Hours", 1.2), Column("Room", 1.3), Column("What we record", 1.8)]
    columns.append(Column("Power we draw", 1.2))
    rows = [
        (
            Cell(hours_of(setup), bold=True, more=around(setup)),
            Cell(room_of(setup)),
            Cell(Name(setup.scene.name)),
            _amperes([one.lights_a for one in setup.found.power.circuits]),
        )
        for setup in day.setups
    ]
    made.append(Ledger(desk.setter, columns, rows, missing="not known yet"))
    asked: dict[str, list[Said | Name]] = {}
    for setup, act in acts(day.setups):
        if act.code in THEIRS:
            asked.setdefault(str(_to_owner(act)), []).append(room_of(setup))
    table = [
        (Cell(what, bold=True), Cell(Many(tuple(dict.fromkeys(rooms)), "list"), quiet=True))
        for what, rooms in asked.items()
    ]
    made += headed(
        desk,
        "What we ask for and will do",
        [Ledger(desk.setter, [Column("", 3.4), Column("", 1.2)], table, headless=True)]
        if table
        else [],
    )
    exits = [
        (Cell(said("packet.exit", door=Name(door.id), room=room_of(setup)), bold=True),)
        for setup in day.setups
        for door in setup.sheet.room.doors or ()
        if door.keep_free
    ]
    if exits:
        table_of_exits = Ledger(desk.setter, [Column("", 1.0)], exits, headless=True)
        made += headed(desk, "Exits that we keep free", [table_of_exits])
    held = day.place.opening_hours
    opening = Many(opening_words(held), "list") if held is not None else day.place.hours
    facts: list[Sequence[Cell | Words | None]] = [
        (Cell("Open", quiet=True), opening),
        (Cell("House rules", quiet=True), day.place.house_rules),
        (Cell("Hazards you told us of", quiet=True), day.place.hazards),
        (Cell("Nearest care", quiet=True), day.place.emergency_care),
    ]
    columns = [Column("", 0.3), Column("", 1.0)]
    told = Ledger(desk.setter, columns, facts, headless=True, missing=NOT_RECORDED)
    made += headed(desk, "As we noted it; please correct us", [told])
    made.append(desk.text(said("packet.owner_back"), BODY))
    made.append(Ruled(desk, said("packet.owner_moved"), 4))
    return [*made, *note_lines(desk)]


def _to_owner(act: Act) -> Act | Said:
    """An act as its owner is asked for it: ours are told by the reading, theirs by what we want."""
    if act.code != "have.conditions":
        return act
    return said("packet.owner_quiet", conditions=act["conditions"], level=act["level"])


def _amperes(held: list[float | None]) -> Words | None:
    known = [one for one in held if one is not None]
    return Figure(sum(known), "A") if known and len(known) == len(held) else None
