"""To pack and carry: what is missing, everything that goes out and comes back, and the way in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial

from reportlab.platypus.flowables import Flowable

from scout.assess.choice.opening import opened, spells_said
from scout.assess.choice.way_in import way_in
from scout.packet.asked import (
    by_day,
    cables_lent,
    kit_of,
    missing,
    stands_lacking,
    stands_needed,
    used_up,
)
from scout.packet.blocks import Desk
from scout.packet.content import PacketContent, PacketDay, PacketSetup
from scout.packet.crew.front import phone_of
from scout.packet.crew.lamps import NONE, purposes
from scout.packet.crew.parts import GAP, Abreast, headed
from scout.packet.crew.running import door_of, room_of, said_rounded
from scout.packet.crew.sheets import (
    BOLD,
    by_place,
    call_on,
    filled,
    first_call,
    found_by,
    sheet_of,
    to_do,
)
from scout.packet.names import trades_of
from scout.packet.setting.clean import one_line
from scout.packet.setting.table import Cell, Column, Ledger
from scout.packet.setting.text import QUIET, SMALL
from scout.values import Figure, Many, Name, Said, Word, said
from scout.words.figures import Words, room_name
from scout.words.language import lists

MOST_DAYS, DAY_SHARE = 3, 0.6  # days with boxes of their own beside each thing, and their width
NO_BREAK = "\u00a0"  # between the figures of a number to dial
PARTS = ("key", "fill", "back", "other")  # what lights are for, in this order
TIGHT = replace(QUIET, space_after=0.0)


def carry_sheet(desk: Desk, content: PacketContent) -> list[Flowable]:
    """What is missing first, everything to pack with boxes for out and back, then each place from the
    van to the room.
    """
    made = sheet_of(desk, content, "carry", "To pack and carry")
    hands = [one for one in content.production.crew or () if "carry" in trades_of(one.role)]
    if hands:
        rows_of = [(Cell(one.name, bold=True), one.role, phone_of(one.phone)) for one in hands]
        columns = [Column("", 1.3), Column("", 1.3), Column("", 1.1)]
        made.append(Ledger(desk.setter, columns, rows_of, headless=True))
    absent = [
        (
            Cell("", ticks=1),
            Cell(said_rounded(one.what), bold=True, level="problem"),
            Cell(Many(one.rooms, "list"), quiet=True),
        )
        for one in missing(content)
    ]
    columns = [Column("", 0.2), Column("", 3.4), Column("", 1.8)]
    lent = cables_lent(content.setups)
    if sum(lent.values()) > 1:
        cables = [said("packet.cables", n=count, length=Name(long)) for long, count in lent.items()]
        words = said("packet.cables_in_all", cables=Many(tuple(cables), "list"))
        absent.append((Cell("", ticks=1), Cell(words, bold=True), Cell("")))
    lacking = stands_lacking(content)
    if lacking:
        words = said("packet.stands_more", n=lacking)
        absent.append((Cell("", ticks=1), Cell(words, bold=True, level="problem"), Cell("")))
    if absent:
        table = Ledger(desk.setter, columns, absent, headless=True)
        made += headed(desk, "Missing: buy, hire or borrow", [table])
    rows, days = list(packed(content)), _days(content)
    half = _halfway(_ticked(desk, rows, days).heights((desk.width - GAP) / 2.0))
    listed: list[Flowable] = (
        [
            Abreast(
                [[_ticked(desk, those, days)] for those in (rows[:half], rows[half:])], [1.0, 1.0]
            )
        ]
        if rows
        else []
    )
    if days and rows:
        listed.insert(0, desk.text(said("packet.two_boxes"), QUIET))
    note = kit_of(content).notes
    listed += [desk.text(Name(note), QUIET)] if note else []
    made += headed(desk, "To pack", listed)
    made += to_do(desk, content, "carry")
    told = partial(_places, desk, content)
    return filled(desk, content, "carry", made, "From the van to the room", least=1, told=told)


def _days(content: PacketContent) -> tuple[date, ...]:
    """The days that a box each is drawn for; none where there is one, or more than a line holds."""
    days = tuple(sorted({day.date for day in content.coming}))
    return days if 1 < len(days) <= MOST_DAYS else ()


def _halfway(heights: Sequence[float]) -> int:
    """Where a list is cut into two columns of about one height."""
    return min(
        range(len(heights) + 1), key=lambda k: max(sum(heights[:k]), sum(heights[k:])), default=0
    )


def _places(desk: Desk, content: PacketContent, most: int) -> list[Flowable]:
    """A block a place: days, calls, address and whom to ring; what warns of its way in in so many
    lines, the way to each room, unloading, parking, hazards.
    """
    made: list[Flowable] = []
    for days in by_place(content):
        day, setups = days[0], [setup for one in days for setup in one.setups]
        told: dict[str, Cell] = {}
        for setup in setups:
            for cell in found_by(setup, "carry", most):
                told.setdefault(str(cell.text), cell)
        rows = [(cell,) for cell in told.values()]
        facts = [
            *_ways(setups),
            said("packet.unload_at", where=_typed(day.place.load_in)),
            said("packet.park_at", where=_typed(day.place.parking), words=_may_stand(days)),
            said("packet.no_hazards")
            if day.place.hazards is None
            else said("packet.hazards", what=_typed(day.place.hazards)),
        ]
        right: list[Flowable] = [desk.text(one, SMALL) for one in facts]
        if rows:
            right.insert(
                0, Ledger(desk.setter, [Column("", 1.0)], rows, headless=True, space_after=2.0)
            )
        who, number = door_of(day.place) or ("", "")
        ring = f"{who} {number.replace(' ', NO_BREAK)}".strip() or None
        where = [*(call_on(one, "carry") for one in days), day.place.address, ring]
        left = [desk.text(Name(day.place.name), BOLD)]
        left += [desk.text(Name(one_line(str(one))), TIGHT) for one in where if one is not None]
        made.append(Abreast([left, right], [1.4, 4.0]))
    return made


def _typed(text: str | None) -> Name | Said:
    return said("change.not_recorded") if text is None else Name(one_line(text))


def _ways(setups: Sequence[PacketSetup]) -> list[Said]:
    """Steps, lift, narrowest door and carry to each room; rooms that share a way in one line."""
    alike: dict[Many, dict[Name | Said, None]] = {}
    for setup in setups:
        told = way_in(setup.sheet.room, setup.place).told
        alike.setdefault(told, {})[room_of(setup)] = None
    return [
        said("packet.way", rooms=Many(tuple(rooms), "list"), facts=facts)
        for facts, rooms in alike.items()
    ]


def parking(day: PacketDay) -> Cell | None:
    """Where cars stand, with when they may."""
    may = may_stand(day)
    if day.place.parking is None:
        return None if may is None else Cell(may)
    return Cell(Name(day.place.parking), more=may or "")


def may_stand(day: PacketDay) -> Said | None:
    """When parking is free on a day, and that the call or the strike lies outside of it; where its
    hours are in words alone, that nobody has held them against the first arrival.
    """
    free = opened(day.place.parking_hours, day.date)
    if free is None:
        if day.place.parking is None:
            return None
        return said("packet.parking_words", first=first_call(day))
    if not free:
        return said("packet.parking_shut")
    warned = {one.code: dict(one.values) for call in reversed(day.calls) for one in call.warnings}
    return said(
        "packet.parking_free",
        spells=spells_said(free),
        called=warned.get("day.call.no_parking", {}).get("called"),
        ends=warned.get("day.call.parking_ends", {}).get("ends"),
    )


def _may_stand(days: Sequence[PacketDay]) -> Many | Said | None:
    """The same of all days at a place, each named where they differ."""
    told = {day.date: may_stand(day) for day in days}
    if len(set(told.values())) == 1:
        return told[days[0].date]
    each = (
        said("packet.parking_on", on=on, told=one) for on, one in told.items() if one is not None
    )
    return Many(tuple(each), "list")


def _ticked(desk: Desk, rows: Sequence[Packed], days: Sequence[date]) -> Ledger:
    """Boxes for out and back: of each day on which a thing goes along, or once."""
    if not days:
        columns = [Column("", 3.6), Column("Out", 0.5), Column("Back", 0.5)]
        once = [
            (Cell(row.what, more=row.more), Cell("", ticks=1), Cell("", ticks=1)) for row in rows
        ]
        return Ledger(desk.setter, columns, once, style=SMALL)
    columns = [Column("", 4.6 - DAY_SHARE * len(days))]
    columns += [Column(said("packet.brief", on=day), DAY_SHARE) for day in days]
    cells = [
        (
            Cell(row.what, more=row.more),
            *(Cell("", ticks=2) if row.goes(day) else Cell(NONE, quiet=True) for day in days),
        )
        for row in rows
    ]
    return Ledger(desk.setter, columns, cells, style=SMALL)


@dataclass(frozen=True)
class Packed:
    """A thing to pack, what is said of it, and the days on which it goes along; None: on all."""

    what: Words
    more: Words = ""
    days: frozenset[date] | None = None

    def goes(self, day: date) -> bool:
        """Whether it goes along on a day."""
        return self.days is None or day in self.days


def _placed(content: PacketContent, light: str) -> frozenset[date] | None:
    """The days on which plans place a light; None where one has no plan, or none places it."""
    if not all(setup.found.placements for setup in content.setups):
        return None
    days = {setup.date for setup in content.setups if light in setup.found.placements}
    return frozenset(days) or None


def _for(content: PacketContent, light: str) -> Words:
    """What a light is for, by the setups that it stands in: nothing where its name says it, a spare
    where none has a use for it.
    """
    if not all(setup.found.placements for setup in content.setups):
        return ""
    roles = {purposes(setup).get(light, "spare") for setup in content.setups} - {light}
    used = sorted(roles - {"spare"}, key=PARTS.index)
    return Many(tuple(Word("part", role) for role in used or roles), "list") if roles else ""


def packed(content: PacketContent) -> Iterator[Packed]:
    """Everything to pack: the kit as it is listed, and what the acts use up."""
    kit = kit_of(content)
    if kit.camera is not None:
        lenses = kit.camera.focal_lengths_mm
        focal = Many(tuple(map(Figure, lenses or ())), "list")
        yield Packed(
            said("packet.camera_body"), said("packet.lenses", lenses=focal) if lenses else ""
        )
    for camera in kit.other_cameras or ():
        yield Packed(said("packet.camera", name=Name(camera.id)))
    charged = any(lists("to_pack_as.batteries", one.id) for one in kit.chargers or ())
    yield Packed(said("packet.cards" if charged else "packet.batteries_cards"))
    for light in kit.lights or ():
        by = said("packet.by_battery") if light.supply == "battery" else None
        yield Packed(
            said("packet.light", name=Name(light.id), by=by),
            _for(content, light.id),
            _placed(content, light.id),
        )
    for modifier in kit.modifiers or ():
        yield Packed(Name(modifier.id))
    for stand in kit.stands or ():
        stands = said("packet.count_of", n=stand.count or 1, what=Name(stand.id))
        yield Packed(stands, said("packet.with_sandbags"))
    needed = 0 if kit.stands else stands_needed(content.setups)
    if needed:
        yield Packed(said("packet.stands", n=needed), said("packet.with_sandbags"))
    lengths: dict[float, int] = {}
    for cable in kit.cables or ():
        lengths[cable.length_m] = lengths.get(cable.length_m, 0) + 1
    for metres, count in sorted(lengths.items(), reverse=True):
        yield Packed(said("packet.cables", n=count, length=Figure(metres, "m")))
    trips = frozenset(one.date for one in content.setups if _trips(one))
    if trips:
        yield Packed(said("packet.ramps"), "", trips)
    for mic in kit.mics or ():
        kind = Word("mic", mic.kind)
        own = f"{kind} ".casefold().startswith(f"{mic.id} ".casefold())  # called what it is
        yield Packed(kind if own else said("packet.mic_kit", name=Name(mic.id), kind=kind))
    for charger in kit.chargers or ():
        yield Packed(Name(charger.id))
    for reflector in kit.reflectors or ():
        yield Packed(Name(reflector.id))
    for used in used_up(content.setups):
        words = said(
            "packet.used",
            thing=Word("to_pack", used.thing),
            grades=Many(used.grades, "list") if used.grades else None,
            figure=used.figure,
        )
        rooms = Many(tuple(dict.fromkeys(room_name(one.room) for one in used.setups)), "list")
        where: Words = rooms if _days(content) else by_day(content, used.setups)
        yield Packed(words, where, frozenset(one.date for one in used.setups))
    yield Packed(said("packet.first_aid"))


def _trips(setup: PacketSetup) -> bool:
    return any(one.doors or one.crosses for one in setup.found.power.assignment)
