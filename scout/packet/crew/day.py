"""The day sheet: one date at one place, from the road to the wrap."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import product

from reportlab.platypus import PageBreak
from reportlab.platypus.flowables import Flowable

from scout.assess.choice.opening import opening_words
from scout.assess.choice.way_in import way_in
from scout.calc.distance import distance_m
from scout.drawing.charts.strip import day_strip
from scout.drawing.lettering import PLAN_PRINT_TEXT_MM, Hand
from scout.packet.blocks import Desk, Drawn, Section
from scout.packet.content import PacketBackup, PacketContent, PacketDay, PacketSetup
from scout.packet.crew.carrying import parking
from scout.packet.crew.clock import strip_rows
from scout.packet.crew.front import called, phone_of
from scout.packet.crew.parts import (
    Abreast,
    Boxed,
    Ruled,
    crew_notes,
    headed,
    note_lines,
    opened,
    photo_of,
)
from scout.packet.crew.parts import pictures as in_a_row
from scout.packet.crew.room import finding_row
from scout.packet.crew.running import around, door_of, hours_of, no_calls, room_of, runs_on
from scout.packet.setting.geo import QrCode, geo_uri
from scout.packet.setting.table import NOT_RECORDED, Cell, Column, Ledger
from scout.packet.setting.text import BODY, letter_width
from scout.records.kept import LocationRecord
from scout.values import Figure, Many, Name, Said, names, said
from scout.words.figures import Words, distance, length, number, yes_no

QR_POINTS = 62.0
STRIP_MM = 180.0
PHOTO_POINTS = 104.0
PHOTO_SHARE = 0.5
PHOTOS = 1


def day_sheet(desk: Desk, content: PacketContent, day: PacketDay) -> list[Flowable]:
    """Everything of one date and place, the clock first."""
    section = Section(day.key, str(said("packet.long_day", on=day.date)), 0)
    place = day.place
    below = said(
        "packet.place_at",
        place=Name(place.name),
        address=None if place.address is None else Name(place.address),
    )
    top = opened(desk, section, runs_on(day, right="Day sheet"), below)
    strip = desk.guarded("The clock of the day", lambda: _strip(desk, content, day))
    made: list[Flowable] = []
    proposed = any(setup.proposed for setup in day.setups)
    pauses = _pauses(day)
    if proposed:
        pauses = said("packet.day_proposed", pauses=pauses)
    if pauses is not None:
        made.append(desk.text(pauses, BODY))
    made.append(_scenes(desk, day))
    after: list[Flowable] = [_emergency(desk, day), _weather(desk, day)]
    # rather a small photo than a second page, rather none, and rather the hours in words alone
    for clock, smaller in product((strip, []), (1.0, 0.7, 0.45, 0.3, 0.0)):
        middle = _middle(desk, content, day, smaller)
        page = [*top, *clock, *made, *middle, *after]
        if desk.tall(one for one in page if not isinstance(one, PageBreak)) <= desk.height:
            break
    else:
        page = [*top, *strip, *made, *middle, *after]
    if not smaller:
        named = Name(day.place.name)
        desk.moved += (photo_of(named, one) for one in day.photos[:PHOTOS])
    return [*page, *note_lines(desk, page)]


def _middle(desk: Desk, content: PacketContent, day: PacketDay, smaller: float) -> list[Flowable]:
    """How one gets there and what the house asks, with its photo so much smaller; without a photo
    the notes stand beside the address and the house takes the whole breadth.
    """
    notes = crew_notes(desk, day.notes)
    people = _people(desk, content, day) + ([] if smaller else notes)
    made: list[Flowable] = [Abreast([_reach(desk, day), people], [1.25, 1.0])]
    made += headed(desk, "Way in", _way_in(desk, day))
    left = headed(desk, "House", _house(desk, day))
    if not smaller:
        return [*made, *left]
    wide, high = desk.width * PHOTO_SHARE / 1.8, PHOTO_POINTS * smaller
    right = in_a_row(desk, day.photos[:PHOTOS], wide, high) + notes
    return [*made, Abreast([left, right], [1.0, PHOTO_SHARE])] if right else [*made, *left]


def _strip(desk: Desk, content: PacketContent, day: PacketDay) -> list[Flowable]:
    hand = Hand(PLAN_PRINT_TEXT_MM, letter_width(), content.units)
    return [Drawn(desk.setter, day_strip(hand, STRIP_MM, strip_rows(day)), desk.height)]


def _scenes(desk: Desk, day: PacketDay) -> Ledger:
    columns = [Column("Hours", 1.4), Column("Scene", 1.5), Column("Room", 1.2)]
    columns.append(Column("What must be seen", 2.3))
    rows = [
        (
            Cell(hours_of(setup), bold=True, more=around(setup)),
            Cell(Name(setup.scene.name), bold=True, more=_hanging(setup)),
            Cell(room_of(setup), to=setup.key),
            setup.scene.seen,
        )
        for setup in day.setups
    ]
    return Ledger(desk.setter, columns, rows, missing=NOT_RECORDED)


def _hanging(setup: PacketSetup) -> Words:
    """How much sooner a set-up begins if what is hung is to be up by then."""
    return said("packet.hanging", sooner=setup.hanging) if setup.hanging is not None else ""


def _pauses(day: PacketDay) -> Said | None:
    """Meals and dusk, in a sentence; None where neither is known."""
    meals = Many(day.meals, "list") if day.meals else None
    if meals is None and day.dusk is None:
        return None
    return said("packet.pauses", meals=meals, dusk=day.dusk)


def _reach(desk: Desk, day: PacketDay) -> list[Flowable]:
    """The address with its code for a phone, and how to park and unload."""
    place = day.place
    made: list[Flowable] = []
    rows: list[tuple[Words, Cell | Words | None]] = [("Address", place.address)]
    table = Ledger(
        desk.setter,
        [Column("", 0.3), Column("", 0.7)],
        [(Cell(name, quiet=True), fact) for name, fact in [*rows, *_unloading(day)]],
        headless=True,
        missing=NOT_RECORDED,
    )
    if place.latitude_deg is None or place.longitude_deg is None:
        return [*made, table]
    uri = geo_uri(place.latitude_deg, place.longitude_deg)
    return [*made, Abreast([[table], [QrCode(uri, QR_POINTS)]], [3.4, 1.0])]


def _unloading(day: PacketDay) -> list[tuple[Words, Cell | Words | None]]:
    return [
        ("Parking", parking(day)),
        ("Unloading", day.place.load_in),
    ]


def _people(desk: Desk, content: PacketContent, day: PacketDay) -> list[Flowable]:
    """Whom to ring at the door, and who is called when."""
    rows: list[Sequence[Cell | Words | None]] = [
        (
            Cell(one.name, bold=True, more=_note(one.role, one.note)),
            phone_of(one.phone),
        )
        for one in day.place.contacts or ()
    ]
    if not rows:
        rows = [(Cell("Door", quiet=True), None)]
    rows += [(Cell(names(who)), Cell(at, bold=True)) for at, who in called(day).items()]
    if not day.calls:
        rows.append((Cell("Calls", quiet=True), no_calls(content, day)))
    columns = [Column("", 1.1), Column("", 1.0)]
    return [Ledger(desk.setter, columns, rows, headless=True, missing=NOT_RECORDED)]


def _note(role: str | None, note: str | None) -> str:
    return ", ".join(filter(None, (role, note)))


def _way_in(desk: Desk, day: PacketDay) -> list[Flowable]:
    """Steps, lift, narrowest door and carry of each room; of rooms that share a way in one row."""
    columns = [Column("Room", 1.8), Column("Steps", 0.6), Column("Lift", 0.9)]
    columns += [Column("Narrowest door", 1.1), Column("Carry from the van", 1.2)]
    alike: dict[tuple[Words | None, ...], dict[Name | Said, None]] = {}
    for setup in day.setups:
        way = way_in(setup.sheet.room, day.place)
        facts = (
            number(way.steps),
            yes_no(way.lift),
            length(way.door_width_m),
            distance(way.carry_m),
        )
        alike.setdefault(facts, {})[room_of(setup)] = None
    rows = [(Cell(Many(tuple(rooms), "list"), bold=True), *facts) for facts, rooms in alike.items()]
    return [Ledger(desk.setter, columns, rows, missing=NOT_RECORDED)]


def _house(desk: Desk, day: PacketDay) -> list[Flowable]:
    place = day.place
    held = place.opening_hours
    opening = Many(opening_words(held), "list") if held is not None else None
    facts: list[tuple[Words, Cell | Words | None]] = [
        ("Open", opening or place.hours),
        ("Permit", _permit(day)),
        ("House rules", place.house_rules),
        ("Toilets", place.restrooms),
        ("Holding", place.holding),
        (
            "Phone signal",
            None if place.phone_signal is None else Name(place.phone_signal),
        ),
        ("Breakers", _breakers(day.setups)),
    ]
    if place.fee_amount is not None:
        amount = said(
            "packet.fee",
            amount=Figure(place.fee_amount),
            currency=Name(place.fee_currency or ""),
            note=None if place.fee_note is None else Name(place.fee_note),
        )
        facts.append(("Fee", amount))
    columns = [Column("", 0.3), Column("", 1.0)]
    rows = [(Cell(name, quiet=True), fact) for name, fact in facts]
    return [Ledger(desk.setter, columns, rows, headless=True, missing=NOT_RECORDED)]


def _permit(day: PacketDay) -> Cell | Words | None:
    """That the permit is still to be asked for, or that it is granted, above what is typed of it."""
    typed = day.place.permits
    if day.permit is not None:
        asked = finding_row(day.permit)[0]
        return replace(asked, more="\n".join(str(one) for one in (asked.more, typed) if one))
    if day.place.permit_granted:
        return Cell(said("packet.permit_granted"), more="" if typed is None else Name(typed))
    return typed


def _breakers(setups: Sequence[PacketSetup]) -> Said | None:
    """What the circuits of the day's rooms may carry, and which nobody traced."""
    parts = []
    by_room = {one.room: one for one in setups}
    for setup in by_room.values():
        room = room_of(setup) if len(by_room) > 1 else None  # two houses' K1 are two breakers
        for one in setup.sheet.room.circuits or ():
            amperes = None if one.breaker_a is None else Figure(one.breaker_a, "A")
            traced = None if one.verified else said("packet.untraced")
            parts.append(
                said(
                    "packet.breaker",
                    circuit=Name(one.id),
                    amperes=amperes,
                    room=room,
                    untraced=traced,
                )
            )
    if not parts:
        return None
    return said("packet.breakers", circuits=Many(tuple(dict.fromkeys(parts)), "list"))


def _emergency(desk: Desk, day: PacketDay) -> Boxed:
    place = day.place
    exits = [
        said("packet.exit", door=Name(door.id), room=room_of(setup))
        for setup in day.setups
        for door in setup.sheet.room.doors or ()
        if door.keep_free
    ]
    numbers = Cell(" / ".join(day.emergency), phone=True) if day.emergency else None
    rows: list[Sequence[Cell | Words | None]] = [
        (Cell("Emergency", quiet=True), numbers),
        (Cell("Nearest care", quiet=True), place.emergency_care or Cell(CARE_MISSING, loud=True)),
        (
            Cell("Keep free", quiet=True),
            Many(tuple(dict.fromkeys(exits)), "list") if exits else Cell(EXITS_MISSING),
        ),
        (Cell("Hazards", quiet=True), place.hazards or Cell(HAZARDS_MISSING, loud=True)),
    ]
    columns = [Column("", 0.15), Column("", 0.85)]
    return Boxed([Ledger(desk.setter, columns, rows, headless=True, space_after=0.0)], 1.2)


CARE_MISSING = "Not recorded. Find out, and tell the crew, before anybody works here."
HAZARDS_MISSING = "Not recorded. Nobody has written that there are none."
EXITS_MISSING = "No exit is marked. Walk every way out before the first light goes up."


def _backup(here: LocationRecord, one: PacketBackup) -> Said:
    """A room to go to; where that is another place, how far and whom to ring."""
    there = one.place
    room, place = Name(one.room), Name(there.name)
    if there.name == here.name:
        return said("packet.backup", room=room, place=place)
    ends = here.latitude_deg, here.longitude_deg, there.latitude_deg, there.longitude_deg
    known = [one for one in ends if one is not None]
    door = door_of(there)
    return said(
        "packet.backup_away",
        room=room,
        place=place,
        address=None if there.address is None else Name(there.address),
        away=Figure(distance_m(*known), "m") if len(known) == len(ends) else None,
        who=None if door is None else Name(" ".join(door)),
    )


def _weather(desk: Desk, day: PacketDay) -> Boxed:
    """What we do if it rains: the backup rooms, and a line to fill in."""
    plan = desk.text(plan_b(day), BODY)
    return Boxed([plan, Ruled(desk, said("packet.weather"), 1)], 0.35)


def plan_b(day: PacketDay) -> Said:
    """The rooms to go to on a day."""
    backups = [_backup(day.place, one) for one in day.backups]
    if not backups:
        return said("packet.no_plan_b")
    return said("packet.plan_b", rooms=Many(tuple(dict.fromkeys(backups)), "list"))
