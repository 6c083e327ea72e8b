"""The kit as a list to pack and to count by: boxes to tick, figures beside each thing."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus.flowables import Flowable

from scout.packet.blocks import Desk, Section
from scout.packet.setting.table import Cell, Column, Ledger
from scout.packet.setting.text import BODY, QUIET
from scout.packet.words import length, number, plain, sizes
from scout.records.kit import Camera, Kit, Light

BOX = "[   ]"  # to tick; no font of the packet has a ballot box


def kit_pages(desk: Desk, section: Section, kit: Kit) -> list[Flowable]:
    """Everything that was recorded of the kit."""
    made = desk.begin(section, "To pack and to count by")
    if kit.name:
        made.append(desk.text(kit.name, BODY))
    cameras = [
        ("Camera", kit.camera),
        *((f"Camera {one.id}", one) for one in kit.other_cameras or ()),
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
            Ledger(desk.setter, columns, [_light(desk, one) for one in kit.lights]),
        ]
    units = desk.units
    made += _listed(
        desk,
        "Modifiers",
        [
            (
                one.id,
                _joined(
                    f"takes {one.loss_stops:g} stops" if one.loss_stops is not None else None,
                    _with(length(one.width_m, units), "{} wide"),
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
                    _span(length(one.lowest_m, units), length(one.highest_m, units)),
                    _with(length(one.foot_m, units), "foot {}"),
                ),
            )
            for one in kit.stands or ()
        ],
    )
    made += _listed(
        desk,
        "Reflectors and flags",
        [
            (one.id, _joined(one.face, sizes((one.width_m, one.height_m), units)))
            for one in kit.reflectors or ()
        ],
    )
    made += _listed(
        desk,
        "Microphones",
        [
            (
                one.id,
                _joined(plain(one.kind), _with(length(one.distance_m, units), "{} from the mouth")),
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
        "Mains leads",
        [
            (
                f"{count} × {length(metres, units)}",
                f"{section_mm2:g} mm²" if section_mm2 else "conductor not recorded",
            )
            for (metres, section_mm2), count in sorted(leads.items(), key=lambda one: one[0][0])
        ],
    )
    if kit.notes:
        made += [*desk.heading("Notes"), desk.text(kit.notes, BODY)]
    return made if len(made) > 5 else [*made, desk.text("Nothing of the kit is recorded.", QUIET)]


def _listed(desk: Desk, heading: str, things: Sequence[tuple[str, str | None]]) -> list[Flowable]:
    if not things:
        return []
    rows = [(Cell(BOX), Cell(name, bold=True), told or None) for name, told in things]
    return [
        *desk.heading(heading),
        Ledger(desk.setter, [Column("", 0.1), Column("What", 1.0), Column("Figures", 2.0)], rows),
    ]


def _light(desk: Desk, one: Light) -> Sequence[Cell | str | None]:
    lux = one.known_lux_at_1m
    basis = (
        ""
        if lux is None or one.lux_at_1m is not None
        else "\nfrom a reading"
        if one.reading_lux is not None
        else "\nfrom lumens, ± 0.5 stop"
    )
    shown = number(lux, 0, "lx")
    return (
        Cell(BOX),
        Cell(one.id, bold=True),
        one.supply or "mains (assumed)",
        number(one.watts, 0, "W"),
        number(one.power_factor, 2),
        f"{shown}{basis}" if shown else None,
        number(one.beam_deg, 0, "°"),
        number(one.cct_k, 0, "K"),
        _span(length(one.stand_min_m, desk.units), length(one.stand_max_m, desk.units)),
    )


def _camera(one: Camera) -> str | None:
    sensor = (
        f"sensor {one.sensor_width_mm:g} × {one.sensor_height_mm:g} mm"
        if one.sensor_width_mm and one.sensor_height_mm
        else None
    )
    lenses = (
        f"lenses {', '.join(f'{f:g}' for f in one.focal_lengths_mm)} mm"
        if one.focal_lengths_mm
        else None
    )
    return _joined(
        sensor,
        lenses,
        _with(number(one.iso), "ISO {}"),
        f"latitude {one.latitude_stops:g} stops" if one.latitude_stops is not None else None,
    )


def _joined(*parts: str | None) -> str | None:
    return ", ".join(part for part in parts if part) or None


def _with(figure: str | None, words: str) -> str | None:
    return None if figure is None else words.format(figure)


def _span(low: str | None, high: str | None) -> str | None:
    return None if low is None and high is None else f"{low or '?'} to {high or '?'}"
