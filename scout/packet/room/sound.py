"""What to do about a room's sound: how near each microphone must come, what each remedy buys, what
was recorded, when it is quiet.
"""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from scout.assess.sound.advice import PlacementAdvice
from scout.packet.blocks import Desk
from scout.packet.content import PacketSound
from scout.packet.setting.table import Cell, Column, Ledger, Row
from scout.packet.words import length, listed, plain, unknown

NOT_KNOWN = "unknown"


def sound_advice(desk: Desk, held: PacketSound | None) -> list[Flowable]:
    """Microphones, remedies, recordings and quiet hours; nothing where nothing is known."""
    if held is None:
        return []
    made: list[Flowable] = []
    if held.advice.placements:
        columns = [
            Column("Microphone", 0.9),
            Column("Usable within", 0.9, "end"),
            Column("Ceremony from 5 m", 1.0),
            Column("The picture then", 3.2),
        ]
        made.append(
            Ledger(
                desk.setter,
                columns,
                [_placement(desk, one) for one in held.advice.placements],
                missing=NOT_KNOWN,
                space_after=4.0,
            )
        )
        made += desk.sentences(
            [
                f"{plain(one.mic)}: {one.comb}."
                for one in held.advice.placements
                if one.comb is not None
            ][:1]
        )
        made += desk.sentences(map(str, held.advice.steps))
    made += desk.sentences(map(str, held.hours.words))
    if held.hours.unknown is not None and (held.hours.readings or held.hours.windows):
        made += desk.sentences([f"The day's profile: {unknown(str(held.hours.unknown))}"])
    if held.recordings:
        columns = [
            Column("Recording, and what it shows", 1.6),
            Column("Level", 1.2),
            Column("Conditions", 2.8),
        ]
        rows = [
            Row(
                (Cell(one.name, bold=True), str(one.level), one.conditions),
                " ".join(f"{words}." for words in one.shows) or "What it shows is not worked out.",
            )
            for one in held.recordings
        ]
        made.append(Ledger(desk.setter, columns, rows))
    if held.advice.modes_words is not None:
        made += desk.sentences([str(held.advice.modes_words)])
    return [*desk.heading("What to do about the sound", 90.0), *made] if made else []


def _placement(desk: Desk, one: PlacementAdvice) -> Row:
    note = ""
    if one.must_come_m is None:
        picture, note = (
            (Cell(""), unknown(str(one.unknown))) if one.unknown is not None else (None, "")
        )
    elif one.framings:
        inside = list(
            dict.fromkeys(
                plain(place.framing) or place.framing for place in one.framings if place.in_frame
            )
        )
        outside = list(
            dict.fromkeys(
                name
                for place in one.framings
                if (name := plain(place.framing) or place.framing) not in inside
            )
        )
        said = [
            f"out of it for {listed(outside)}" if outside else "",
            f"IN THE PICTURE for {listed(inside)}" if inside else "",
        ]
        picture = Cell("; ".join(part for part in said if part))
    else:
        picture = Cell(
            "worn out of sight"
            if one.held == "worn"
            else "rides on the camera: the camera must come so near"
            if one.held == "camera"
            else "no framing fits the room, or none is known"
        )
    mic = Cell(plain(one.mic) or one.mic, bold=True)
    return Row(
        (
            mic,
            length(one.must_come_m, desk.units),
            plain(one.ceremony) or Cell("does not apply"),
            picture,
        ),
        note,
    )
