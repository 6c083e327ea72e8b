"""To pack and carry: what is missing, everything that goes out and comes back, and the way in."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

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
from scout.packet.content import PacketContent, PacketDay
from scout.packet.crew.parts import Abreast, headed
from scout.packet.crew.running import said_rounded
from scout.packet.crew.sheets import filled, sheet_of, to_do
from scout.packet.noisy import says
from scout.packet.setting.table import NOT_RECORDED, Cell, Column, Ledger
from scout.packet.setting.text import BODY, QUIET, SMALL
from scout.values import Figure, Many, Name, Word, said
from scout.words.figures import Words

LETTERS_A_LINE = 44  # of what stands under a thing, in one of two columns


def carry_sheet(desk: Desk, content: PacketContent) -> list[Flowable]:
    """What is missing first, then everything to pack with boxes for out and back, and the way in."""
    made = sheet_of(desk, content, "carry", "To pack and carry")
    absent = [
        (
            Cell(said_rounded(one.what), bold=True, level="problem"),
            Cell(Many(one.rooms, "list"), quiet=True),
            Cell("", tick=True),
        )
        for one in missing(content)
    ]
    columns = [Column("", 3.4), Column("", 1.8), Column("Got", 0.4)]
    lent = cables_lent(content.setups)
    if sum(lent.values()) > 1:
        cables = [said("packet.cables", n=count, length=Name(long)) for long, count in lent.items()]
        words = said("packet.cables_in_all", cables=Many(tuple(cables), "list"))
        absent.append((Cell(words, bold=True), Cell(""), Cell("", tick=True)))
    lacking = stands_lacking(content)
    if lacking:
        words = said("packet.stands_more", n=lacking)
        absent.append((Cell(words, bold=True, level="problem"), Cell(""), Cell("", tick=True)))
    if absent:
        made += headed(desk, "Missing: buy, hire or borrow", [Ledger(desk.setter, columns, absent)])
    rows = list(packed(content))
    half = _halfway(rows)
    listed: list[Flowable] = (
        [Abreast([[_ticked(desk, rows[:half])], [_ticked(desk, rows[half:])]], [1.0, 1.0])]
        if rows
        else []
    )
    note = kit_of(content).notes
    listed += [desk.text(Name(note), QUIET)] if note else []
    made += headed(desk, "To pack", listed)
    made += to_do(desk, content, "carry")
    after = headed(desk, "Unloading and parking", _unloading(desk, content))
    brief = [desk.text(said("packet.unloading_there"), BODY)]
    return filled(desk, content, "carry", made, "Way in", after, 2, brief)


def _halfway(rows: Sequence[tuple[Words, Words]]) -> int:
    """Where a list is cut into two columns of about one height."""
    deep = [1.0 + math.ceil(len(str(more)) / LETTERS_A_LINE) for _, more in rows]
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


def _ticked(desk: Desk, rows: Sequence[tuple[Words, Words]]) -> Ledger:
    columns = [Column("", 3.6), Column("Out", 0.5), Column("Back", 0.5)]
    cells = [
        (Cell(what, more=more), Cell("", tick=True), Cell("", tick=True)) for what, more in rows
    ]
    return Ledger(desk.setter, columns, cells, style=SMALL)


def packed(content: PacketContent) -> Iterator[tuple[Words, Words]]:
    """Everything to pack: the kit as it is listed, and what the acts use up."""
    kit = kit_of(content)
    if kit.camera is not None:
        lenses = kit.camera.focal_lengths_mm
        yield (
            said("packet.camera_body"),
            ""
            if not lenses
            else said("packet.lenses", lenses=Many(tuple(map(Figure, lenses)), "list")),
        )
    for camera in kit.other_cameras or ():
        yield said("packet.camera", name=Name(camera.id)), ""
    charged = any(says("to_pack_as.batteries", one.id) for one in kit.chargers or ())
    yield said("packet.cards" if charged else "packet.batteries_cards"), ""
    for light in kit.lights or ():
        by = said("packet.by_battery") if light.supply == "battery" else None
        yield said("packet.light", name=Name(light.id), by=by), ""
    for modifier in kit.modifiers or ():
        yield Name(modifier.id), ""
    for stand in kit.stands or ():
        stands = said("packet.count_of", n=stand.count or 1, what=Name(stand.id))
        yield stands, said("packet.with_sandbags")
    needed = 0 if kit.stands else stands_needed(content.setups)
    if needed:
        yield said("packet.stands", n=needed), said("packet.with_sandbags")
    lengths: dict[float, int] = {}
    for cable in kit.cables or ():
        lengths[cable.length_m] = lengths.get(cable.length_m, 0) + 1
    for metres, count in sorted(lengths.items(), reverse=True):
        yield said("packet.cables", n=count, length=Figure(metres, "m")), ""
    if _trips(content):
        yield said("packet.ramps"), ""
    for mic in kit.mics or ():
        kind = Word("mic", mic.kind)
        own = f"{kind} ".casefold().startswith(f"{mic.id} ".casefold())  # called what it is
        yield (kind, "") if own else (said("packet.mic_kit", name=Name(mic.id), kind=kind), "")
    for charger in kit.chargers or ():
        yield Name(charger.id), ""
    for reflector in kit.reflectors or ():
        yield Name(reflector.id), ""
    for used in used_up(content.setups):
        words = said(
            "packet.used",
            thing=Word("to_pack", used.thing),
            grades=Many(used.grades, "list") if used.grades else None,
            figure=used.figure,
        )
        yield words, by_day(content, used.setups)
    yield said("packet.first_aid"), ""


def _trips(content: PacketContent) -> bool:
    return any(
        one.doors or one.crosses for setup in content.setups for one in setup.found.power.assignment
    )
