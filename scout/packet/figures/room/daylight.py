"""The sun on the picture: when it touches subject, lens and background, windows against the face,
the sky from the mark, the year.
"""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import Level
from scout.assess.daylight.mark.contrast import ContrastAnswer, WindowContrast
from scout.assess.daylight.sun.outdoors import SunAsLight
from scout.assess.daylight.sun.touch import SunTouch, SunTouches
from scout.packet.blocks import NOT_KNOWN, Desk
from scout.packet.figures.beside import beside
from scout.packet.figures.content import PacketDaylight
from scout.packet.setting.table import Cell, Column, Ledger
from scout.values import Figure, said
from scout.words.figures import minutes, number, spell_list, spells, unknown


def picture_light(desk: Desk, held: PacketDaylight | None) -> list[Flowable]:
    """What the sun does to the picture on the shoot date, beside the daylight over the floor;
    nothing when nothing was worked out.
    """
    if held is None:
        return []
    made = [
        *_touches(desk, held.touches),
        *_as_light(desk, held.outdoors),
        *_contrast(desk, held.contrast),
    ]
    if held.floor is None:
        return [*desk.heading("The sun on the picture", 110.0), *made] if made else []
    (figure,) = desk.figure(held.floor, "")[:1]
    words = (
        "Daylight over the floor, and the sun on the picture" if made else "Daylight over the floor"
    )
    shown = beside(desk, figure, made)
    return [*desk.heading(words, desk.tall(shown[:1]) + 30.0), *shown]


def _touches(desk: Desk, touches: SunTouches | None) -> list[Flowable]:
    if touches is None:
        return []
    if touches.unknown is not None:
        return desk.sentences([unknown(touches.unknown)])
    rows = [
        _touch(words, one)
        for words, one in (
            ("Subject", touches.subject),
            ("Lens (flare)", touches.lens),
            ("Background in frame", touches.background),
        )
    ]
    columns = [
        Column("The sun, if the sky is clear, on", 1.2),
        Column("From, until", 2.4),
        Column("Together", 0.8),
    ]
    desk.assume(touches.assumed)
    return [
        Ledger(desk.setter, columns, rows, missing=NOT_KNOWN, space_after=4.0),
        *desk.sentences(touches.cautions),
    ]


def _touch(words: str, one: SunTouch) -> Sequence[Cell | str | None]:
    if one.unknown is not None:
        return Cell(words, bold=True), Cell(unknown(one.unknown)), Cell("")
    shown = spells(one.spells) or "at no time"
    if one.sun_in_frame:
        shown += f"\n{said('packet.sun_in_frame', spells=spell_list(one.sun_in_frame))}"
    return Cell(words, bold=True), Cell(shown), minutes(one.total_min) if one.spells else Cell("")


def _as_light(desk: Desk, found: SunAsLight | None) -> list[Flowable]:
    if found is None:
        return []
    if found.unknown is not None:
        return desk.sentences([said("packet.as_light_unknown", why=found.unknown)])
    kinds = (
        ("Key from the left", found.key_left),
        ("Key from the right", found.key_right),
        ("Flat, in the face", found.flat),
        ("Back light", found.back),
        ("Behind the skyline", found.shade),
    )
    rows = [(Cell(words, bold=True), Cell(spells(when) or "at no time")) for words, when in kinds]
    desk.assume(found.assumed)
    columns = [
        Column(said("packet.as_light", looks=Figure(found.looks_deg or 0.0, "deg")), 1.2),
        Column("From, until", 3.2),
    ]
    return [
        Ledger(desk.setter, columns, rows, space_after=4.0),
        *desk.sentences([found.behind_subject]),
    ]


def _contrast(desk: Desk, found: ContrastAnswer | None) -> list[Flowable]:
    if found is None or (found.unknown is None and not found.windows):
        return []
    if found.unknown is not None:
        return desk.sentences([said("packet.contrast_unknown", why=found.unknown)])
    columns = [
        Column("Window in frame", 0.8),
        Column("Overcast", 1.2, "end"),
        Column("Clear", 1.2, "end"),
        Column(said("packet.contrast", at=found.at), 3.0),
    ]
    desk.assume([*found.assumed, *(sentence for one in found.windows for sentence in one.assumed)])
    return [
        Ledger(
            desk.setter,
            columns,
            [_window(one) for one in found.windows],
            missing=NOT_KNOWN,
            space_after=4.0,
        )
    ]


def _window(one: WindowContrast) -> Sequence[Cell | str | None]:
    level: Level | None = None if one.exceeds is None else "problem" if one.exceeds else "good"
    return (
        Cell(one.window, bold=True),
        number(one.overcast_stops, 1, "stops"),
        number(one.clear_stops, 1, "stops"),
        Cell(
            one.said or unknown(one.unknown) or "what the camera holds is not recorded", level=level
        ),
    )
