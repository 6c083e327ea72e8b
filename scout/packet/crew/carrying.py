"""To pack and carry: what is missing, everything that goes out and comes back, and the way in."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from reportlab.platypus.flowables import Flowable

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
from scout.packet.crew.lamps import NONE
from scout.packet.crew.parts import Abreast, headed
from scout.packet.crew.running import said_rounded
from scout.packet.crew.sheets import filled, sheet_of, to_do
from scout.packet.noisy import says
from scout.packet.setting.table import NOT_RECORDED, Cell, Column, Ledger
from scout.packet.setting.text import BODY, QUIET, SMALL
from scout.values import Figure, Many, Name, Word, said
from scout.words.figures import Words, room_name

LETTERS_A_LINE = 44  # of what stands under a thing, in one of two columns
MOST_DAYS, DAY_SHARE = 3, 0.6  # days with boxes of their own beside each thing, and their width
LETTERS_BESIDE = 30  # of what stands under a thing beside those


def carry_sheet(desk: Desk, content: PacketContent) -> list[Flowable]:
    """What is missing first, then everything to pack with boxes for out and back, and the way in."""
    made = sheet_of(desk, content, "carry", "To pack and carry")
    absent = [
        (
            Cell(said_rounded(one.what), bold=True, level="problem"),
            Cell(Many(one.rooms, "list"), quiet=True),
            Cell("", ticks=1),
        )
        for one in missing(content)
    ]
    columns = [Column("", 3.4), Column("", 1.8), Column("Got", 0.4)]
    lent = cables_lent(content.setups)
    if sum(lent.values()) > 1:
        cables = [said("packet.cables", n=count, length=Name(long)) for long, count in lent.items()]
        words = said("packet.cables_in_all", cables=Many(tuple(cables), "list"))
        absent.append((Cell(words, bold=True), Cell(""), Cell("", ticks=1)))
    lacking = stands_lacking(content)
    if lacking:
        words = said("packet.stands_more", n=lacking)
        absent.append((Cell(words, bold=True, level="problem"), Cell(""), Cell("", ticks=1)))
    if absent:
        made += headed(desk, "Missing: buy, hire or borrow", [Ledger(desk.setter, columns, absent)])
    rows, days = list(packed(content)), _days(content)
    half = _halfway(rows, LETTERS_BESIDE if days else LETTERS_A_LINE)
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
    after = headed(desk, "Unloading and parking", _unloading(desk, content))
    brief = [desk.text(said("packet.unloading_there"), BODY)]
    return filled(desk, content, "carry", made, "Way in", after, 2, brief)


def _days(content: PacketContent) -> tuple[date, ...]:
    """The days that a box each is drawn for; none where there is one, or more than a line holds."""
    days = tuple(sorted({day.date for day in content.coming}))
    return days if 1 < len(days) <= MOST_DAYS else ()


def _halfway(rows: Sequence[Packed], letters: int) -> int:
    """Where a list is cut into two columns of about one height."""
    deep = [1.0 + math.ceil(len(str(row.more)) / letters) for row in rows]
    return min(range(len(rows) + 1), key=lambda k: abs(sum(deep[:k]) - sum(deep[k:])), default=0)


def _unloading(desk: Desk, content: PacketContent) -> list[Flowable]:
    """A row a place: where the van unloads and where it stands."""
    days: dict[str, PacketDay] = {}
    for day in content.coming:
        days.setdefault(day.place.name, day)
    rows = [
        (Cell(Name(name), bold=True), day.place.load_in, parking(day)) for name, day in days.items()
    ]
    columns = [Column("", 1.2), Column("Unloading", 2.6), Column("Parking", 2.6)]
    return [Ledger(desk.setter, columns, rows, missing=NOT_RECORDED)] if rows else []


def parking(day: PacketDay) -> Cell | None:
    """Where cars stand; where its hours are in words alone, that nobody has held them against the
    call.
    """
    place = day.place
    if place.parking is None:
        return None
    first = min((call.at for call in day.calls), default=None)
    words = said("packet.parking_words", call=None if first is None else first.time())
    return Cell(Name(place.parking), more="" if place.parking_hours is not None else words)


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
    charged = any(says("to_pack_as.batteries", one.id) for one in kit.chargers or ())
    yield Packed(said("packet.cards" if charged else "packet.batteries_cards"))
    for light in kit.lights or ():
        by = said("packet.by_battery") if light.supply == "battery" else None
        yield Packed(
            said("packet.light", name=Name(light.id), by=by), "", _placed(content, light.id)
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
