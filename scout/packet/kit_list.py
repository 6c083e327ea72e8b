"""The kit as a list to pack and to count by: first what the rooms ask for and the kit has not got,
then what it holds, with boxes to tick and figures beside each thing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import Act, merged
from scout.packet.blocks import Desk, Section
from scout.packet.content import PacketContent
from scout.packet.setting.table import NOT_RECORDED, Cell, Column, Ledger
from scout.packet.setting.text import BODY, QUIET
from scout.records.kit import LUMENS_DOUBT_STOPS, Camera, Kit, Light
from scout.values import Figure, Many, Name, Said, Unit, names, said
from scout.words import current, say
from scout.words.figures import Words, act_message, length, number, room_name, sizes, word

BOX = "[   ]"  # to tick; no font of the packet has a ballot box


def asked_for(content: PacketContent) -> list[tuple[Said, list[str]]]:
    """What the findings of the rooms printed ask to be brought, each thing once, with the rooms.

    What serves several lights is one thing; acts alike but for a figure stay apart.
    """
    rooms: dict[Said, list[str]] = {}
    for room, act in _acts(content):
        if act.code.startswith("bring.") or act.who == "carry":
            for_rooms = rooms.setdefault(act_message(act), [])
            if room not in for_rooms:
                for_rooms.append(room)
    by_rooms: dict[tuple[str, ...], list[Said]] = {}
    for message, for_rooms in rooms.items():
        by_rooms.setdefault(tuple(for_rooms), []).append(message)
    return [(message, list(those)) for those, held in by_rooms.items() for message in merged(held)]


def _acts(content: PacketContent) -> Iterator[tuple[str, Act]]:
    for location in content.locations:
        for room in location.rooms:
            staged = [staging.assessment for staging in room.stagings]
            for found in (room.assessment, *staged):
                for finding in found.findings if found is not None else ():
                    for act in finding.acts:
                        yield str(room_name(room.room.name)), act


def kit_pages(desk: Desk, section: Section, content: PacketContent) -> list[Flowable]:
    """What is missing, and everything that was recorded of the kit."""
    kit = content.production.kit or Kit()
    made = desk.begin(section, "To pack and to count by")
    missing: dict[str, dict[str, None]] = {}  # by what is read: figures that round alike are one
    for message, for_rooms in asked_for(content):
        missing.setdefault(say_line(message), {}).update(dict.fromkeys(for_rooms))
    things = [(what, names(for_rooms)) for what, for_rooms in missing.items()]
    made += _listed(desk, "Missing: bring it", things, ("What", "For"), loud=True)
    before = len(made)
    if kit.name:
        made.append(desk.text(kit.name, BODY))
    cameras: list[tuple[Words, Camera | None]] = [
        ("Camera", kit.camera),
        *((said("packet.camera", name=Name(one.id)), one) for one in kit.other_cameras or ()),
    ]
    made += _listed(
        desk, "Cameras", [(name, _camera(one)) for name, one in cameras if one is not None]
    )
    if kit.lights:
        columns = [
            Column("", 0.25),
            Column("Light", 1.1),
            Column("Runs on", 1.0),
            Column("Power", 0.7, "end"),
            Column("Power factor", 0.7, "end"),
            Column("At 1 m", 0.9, "end"),
            Column("Beam", 0.6, "end"),
            Column("Colour", 0.9, "end"),
            Column("Stand", 1.2),
        ]
        made += [
            *desk.heading("Lights"),
            Ledger(
                desk.setter,
                columns,
                [_light(desk, one) for one in kit.lights],
                missing=NOT_RECORDED,
            ),
        ]
    made += _listed(
        desk,
        "Modifiers",
        [
            (
                one.id,
                _joined(
                    _figure("packet.takes", one.loss_stops, "stops"),
                    _figure("packet.wide", one.width_m, "m"),
                ),
            )
            for one in kit.modifiers or ()
        ],
    )
    made += _listed(
        desk,
        "Stands",
        [
            (
                f"{one.count} × {one.id}" if one.count else one.id,
                _joined(
                    _span(one.lowest_m, one.highest_m), _figure("packet.foot", one.foot_m, "m")
                ),
            )
            for one in kit.stands or ()
        ],
    )
    made += _listed(
        desk,
        "Reflectors and flags",
        [
            (one.id, _joined(word("face", one.face), sizes((one.width_m, one.height_m))))
            for one in kit.reflectors or ()
        ],
    )
    made += _listed(
        desk,
        "Microphones",
        [
            (
                one.id,
                _joined(word("mic", one.kind), _figure("packet.from_mouth", one.distance_m, "m")),
            )
            for one in kit.mics or ()
        ],
    )
    made += _listed(
        desk,
        "Chargers and what else is plugged in",
        [(one.id, number(one.watts, 0, "W") or "watts not recorded") for one in kit.chargers or ()],
    )
    leads: dict[tuple[float, float | None], int] = {}
    for cable in kit.cables or ():
        leads[cable.length_m, cable.conductor_mm2] = (
            leads.get((cable.length_m, cable.conductor_mm2), 0) + 1
        )
    made += _listed(
        desk,
        "Mains cables",
        [
            (
                f"{count} × {length(metres)}",
                number(section_mm2, 1, "mm2") if section_mm2 else "conductor not recorded",
            )
            for (metres, section_mm2), count in sorted(leads.items(), key=lambda one: one[0][0])
        ],
    )
    if kit.notes:
        made += [*desk.heading("Notes"), desk.text(kit.notes, BODY)]
    return (
        made if len(made) > before else [*made, desk.text("Nothing of the kit is recorded.", QUIET)]
    )


def say_line(message: Said) -> str:
    """A message as a line, figures rounded to what can be acted on."""
    return say(message, "", replace(current(), rounded=True))


def _listed(
    desk: Desk,
    heading: str,
    things: Sequence[tuple[Words, Words | None]],
    heads: tuple[str, str] = ("What", "Figures"),
    *,
    loud: bool = False,
) -> list[Flowable]:
    if not things:
        return []
    rows = [(Cell(BOX), Cell(name, bold=True, loud=loud), beside) for name, beside in things]
    columns = [Column("", 0.1), *map(Column, heads, (1.0, 2.0) if not loud else (2.0, 1.0))]
    return [*desk.heading(heading), Ledger(desk.setter, columns, rows)]


def _light(desk: Desk, one: Light) -> Sequence[Cell | str | None]:
    lux = one.known_lux_at_1m
    basis = (
        ""
        if lux is None or one.lux_at_1m is not None
        else "\nfrom a reading"
        if one.reading_lux is not None
        else f"\n{said('packet.from_lumens', doubt=Figure(LUMENS_DOUBT_STOPS, 'stops'))}"
    )
    shown = number(lux, 0, "lux")
    return (
        Cell(BOX),
        Cell(one.id, bold=True),
        word("supply", one.supply) or "mains (assumed)",
        number(one.watts, 0, "W"),
        number(one.power_factor, 2),
        f"{shown}{basis}" if shown else None,
        number(one.beam_deg, 0, "deg"),
        number(one.cct_k, 0, "K"),
        _span(one.stand_min_m, one.stand_max_m),
    )


def _camera(one: Camera) -> str | None:
    width, height = one.sensor_width_mm, one.sensor_height_mm
    lenses = Many(tuple(Figure(f) for f in one.focal_lengths_mm or ()), "list")
    return _joined(
        said("packet.sensor", width=Figure(width), height=Figure(height, "mm"))
        if width and height
        else None,
        said("packet.lenses", lenses=lenses) if lenses.items else None,
        number(one.iso, 0, "iso"),
        _figure("packet.latitude", one.latitude_stops, "stops"),
    )


def _joined(*parts: Words | None) -> str | None:
    return ", ".join(str(part) for part in parts if part) or None


def _figure(code: str, value: float | None, unit: Unit) -> Said | None:
    return None if value is None else Said(code, (("n", Figure(value, unit)),))


def _span(low_m: float | None, high_m: float | None) -> str | None:
    if low_m is None and high_m is None:
        return None
    low, high = (Figure(end, "m") if end is not None else Name("?") for end in (low_m, high_m))
    return str(said("packet.span", low=low, high=high))
