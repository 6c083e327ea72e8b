"""What to do about a room's sound: how near each microphone must come, what each remedy buys, what
was recorded, when it is quiet.
"""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from scout.assess.sound.advice import CEREMONY_M, PlacementAdvice
from scout.packet.blocks import NOT_KNOWN, Desk
from scout.packet.figures.content import PacketSound
from scout.packet.setting.table import Cell, Column, Ledger, Row
from scout.values import Figure, Name, Word, said, words
from scout.words.figures import Words, length, paragraph, unknown


def sound_advice(desk: Desk, held: PacketSound | None) -> list[Flowable]:
    """Microphones, remedies, recordings and quiet hours; nothing where nothing is known."""
    if held is None:
        return []
    made: list[Flowable] = []
    if held.advice.placements:
        columns = [
            Column("Microphone", 0.9),
            Column("Usable within", 0.9, "end"),
            Column(said("packet.ceremony", far=Figure(CEREMONY_M, "m")), 1.0),
            Column("The picture then", 3.2),
        ]
        made.append(
            Ledger(
                desk.setter,
                columns,
                [_placement(one) for one in held.advice.placements],
                missing=NOT_KNOWN,
                space_after=4.0,
            )
        )
        made += desk.sentences(
            [
                said("packet.of_mic", mic=Name(one.mic), what=one.comb)
                for one in held.advice.placements
                if one.comb is not None
            ][:1]
        )
        made += desk.sentences(held.advice.steps)
    made += desk.sentences(held.hours.words)
    if held.hours.unknown is not None and (held.hours.readings or held.hours.windows):
        made += desk.sentences([said("packet.hours_unknown", why=held.hours.unknown)])
    if held.recordings:
        columns = [
            Column("Recording, and what it shows", 1.6),
            Column("Level", 1.2),
            Column("Conditions", 2.8),
        ]
        rows = [
            Row(
                (Cell(one.name, bold=True), one.level, one.conditions),
                paragraph(*one.shows) or "What it shows is not worked out.",
            )
            for one in held.recordings
        ]
        made.append(Ledger(desk.setter, columns, rows))
    if held.advice.modes_words is not None:
        made += desk.sentences([held.advice.modes_words])
    return [*desk.heading("What to do about the sound", 90.0), *made] if made else []


def _placement(one: PlacementAdvice) -> Row:
    note = ""
    picture: Cell | Words | None
    if one.must_come_m is None:
        picture, note = (Cell(""), unknown(one.unknown)) if one.unknown is not None else (None, "")
    elif one.framings:
        inside = dict.fromkeys(place.framing for place in one.framings if place.in_frame)
        outside = dict.fromkeys(
            place.framing for place in one.framings if place.framing not in inside
        )
        places = [
            said("packet.out_of_frame", framings=words("framing", outside)) if outside else None,
            said("packet.in_frame", framings=words("framing", inside)) if inside else None,
        ]
        picture = Cell("; ".join(map(str, filter(None, places))))
    else:
        picture = Cell(
            "worn out of sight"
            if one.held == "worn"
            else "rides on the camera: the camera must come so near"
            if one.held == "camera"
            else "no framing fits the room, or none is known"
        )
    return Row(
        (
            Cell(one.mic, bold=True),
            length(one.must_come_m),
            Word("speech", one.ceremony) if one.ceremony else Cell("does not apply"),
            picture,
        ),
        note,
    )
