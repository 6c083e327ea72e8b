"""What a room gives to work with: its quiet and its power."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import AssignmentAnswer, Level, MicAnswer, PowerAnswer, SoundAnswer
from scout.packet.blocks import NOT_KNOWN, Desk
from scout.packet.figures.content import PacketRoom
from scout.packet.setting.table import NOT_RECORDED, Cell, Column, Ledger, Row
from scout.packet.setting.text import BODY, QUIET
from scout.records.sheet import NoiseReading
from scout.values import Figure, Many, Name, Said, Word, names, said
from scout.words.figures import (
    Words,
    length,
    number,
    percent,
    unknown,
    when,
    word,
    yes_no,
)

_MICS: dict[str, Level] = {
    "clean": "good",
    "usable": "care",
    "repair": "problem",
    "unusable": "problem",
}
POWER_CAUTION = (
    "Counted from labels and nameplates; a licensed electrician decides what a circuit may carry."
)


def sound(desk: Desk, room: PacketRoom) -> list[Flowable]:
    """The readings of the room's own noise, and what a microphone makes of them."""
    made = desk.heading("Sound")
    if room.room.noise:
        columns = [
            Column("Reading", 0.6),
            Column("Taken", 2.0),
            Column("LAeq", 0.9, "end"),
            Column("LCeq", 0.9, "end"),
            Column("For", 0.6, "end"),
            Column("With", 1.0),
            Column("Conditions", 1.7),
        ]
        made.append(
            Ledger(desk.setter, columns, [_reading(reading) for reading in room.room.noise])
        )
    else:
        made.append(
            desk.text(
                "The room's own noise is not measured: listen for a minute with everything that will run switched on.",
                QUIET,
            )
        )
    answer = room.assessment.sound if room.assessment else None
    return made + (_sound(desk, room, answer) if answer else [])


def _reading(reading: NoiseReading) -> Sequence[Cell | Words | None]:
    return (
        Cell(reading.id, bold=True),
        when(reading.taken_at),
        number(reading.laeq_db, 1, "dBA"),
        number(reading.lceq_db, 1, "dB"),
        number(reading.duration_s, 0, "s"),
        word("method", reading.method),
        reading.conditions,
    )


def _sound(desk: Desk, room: PacketRoom, answer: SoundAnswer) -> list[Flowable]:
    columns = [
        Column("Noise", 0.7),
        Column("Noise criterion", 1.3),
        Column("Reverb", 1.2),
        Column("by octave, seconds", 3.0),
    ]
    octaves = "  ".join(
        f"{band} Hz: {number(value, 2)}"
        for band, value in (answer.rt60_measured_s or answer.rt60_s or {}).items()
    )
    row = (number(answer.laeq_db, 1, "dBA"), _criterion(answer), _reverb(answer), octaves or None)
    made: list[Flowable] = [Ledger(desk.setter, columns, [row], missing=NOT_KNOWN, space_after=4.0)]
    if answer.placements:
        far = {mic.id: mic.distance_m for mic in (room.kit.mics if room.kit else None) or ()}
        columns = [
            Column("Microphone", 1.0),
            Column("From the mouth", 1.0, "end"),
            Column("Speech", 0.8, "end"),
            Column("Over noise", 0.8, "end"),
            Column("Critical distance", 1.0, "end"),
            Column("Good for", 1.4),
        ]
        rows = [_mic(mic, far.get(mic.mic)) for mic in answer.placements]
        made.append(Ledger(desk.setter, columns, rows, missing=NOT_KNOWN))
    made += desk.sentences([unknown(answer.unknown)])
    desk.assume(
        [*answer.assumed, *(sentence for mic in answer.placements for sentence in mic.assumed)]
    )
    return made


def _criterion(answer: SoundAnswer) -> Said | None:
    if answer.nc is None:
        return None
    set_by = answer.nc_set_by_hz
    by = None if set_by is None else Figure(set_by, "Hz")
    return said("packet.criterion", nc=Figure(answer.nc, "NC"), by=by)


def _reverb(answer: SoundAnswer) -> Words | None:
    """Time in the middle of the voice, with what the other way of knowing it says."""
    computed, measured = answer.rt60_mid_s, answer.rt60_measured_mid_s
    worked_out = None if computed is None else Figure(computed, "s")
    if answer.rt60_judged_by == "measured" and measured is not None:
        heard = Figure(measured, "s")
        return said("packet.reverb_measured", measured=heard, computed=worked_out)
    if worked_out is None:
        return None
    low, high = answer.rt60_range_s or (None, None)
    ends = None if low is None or high is None else Figure(low, "s", low, high)
    return said("packet.reverb", computed=worked_out, ends=ends)


def _mic(mic: MicAnswer, distance_m: float | None) -> Row:
    verdict = (
        Cell(Word("speech", mic.verdict), bold=True, level=_MICS[mic.verdict])
        if mic.verdict
        else Cell(NOT_KNOWN, level="unknown")
    )
    cells = (
        Cell(mic.mic, bold=True),
        length(distance_m),
        number(mic.speech_db, 1, "dB"),
        number(mic.snr_db, 1, "dB"),
        length(mic.critical_distance_m),
        verdict,
    )
    return Row(cells, "" if mic.verdict else unknown(mic.unknown))


def power(desk: Desk, room: PacketRoom) -> list[Flowable]:
    """Outlets, circuits with what they may carry, and which light goes where."""
    record, answer = room.room, room.assessment.power if room.assessment else None
    made = desk.heading("Power")
    if record.outlets:
        columns = [
            Column("Outlet", 0.7),
            Column("Wall", 0.6),
            Column("From its left end", 1.1, "end"),
            Column("Height", 0.8, "end"),
            Column("Circuit", 0.8),
            Column("Sockets", 0.7, "end"),
        ]
        outlets = [
            (
                Cell(one.id, bold=True),
                one.wall,
                length(one.offset_m),
                length(one.height_m),
                one.circuit,
                number(one.sockets),
            )
            for one in record.outlets
        ]
        made.append(Ledger(desk.setter, columns, outlets, missing=NOT_RECORDED))
    else:
        made.append(desk.text("No outlet is recorded.", QUIET))
    if record.circuits:
        found = {one.id: one for one in answer.circuits} if answer else {}
        columns = [
            Column("Circuit", 0.8),
            Column("Volts", 0.6, "end"),
            Column("Breaker", 0.7, "end"),
            Column("Other load", 0.8, "end"),
            Column("May carry for hours", 1.1, "end"),
            Column("Planned", 0.7, "end"),
            Column("Share", 0.6, "end"),
            Column("Traced", 0.7),
        ]
        rows: list[Sequence[Cell | str | None]] = []
        for one in record.circuits:
            load = found.get(one.id)
            rows.append(
                (
                    Cell(one.id, bold=True),
                    number(one.volts, 0, "V"),
                    number(one.breaker_a, 0, "A"),
                    number(one.other_load_w, 0, "W"),
                    number(load.limit_a, 1, "A") if load else None,
                    number(load.load_a, 2, "A") if load else None,
                    percent(load.share) if load else None,
                    yes_no(one.verified),
                )
            )
        made.append(Ledger(desk.setter, columns, rows, missing=NOT_RECORDED))
    else:
        made.append(desk.text("No circuit is recorded.", QUIET))
    return [*made, desk.text(POWER_CAUTION, QUIET)]


def _plugged(one: AssignmentAnswer) -> Words:
    return one.light if one.kind == "light" else said("packet.charger", name=Name(one.light))


def _crosses(one: AssignmentAnswer) -> Words:
    if one.crosses:
        return Many(one.crosses)
    return "nothing" if one.cable_m is not None else NOT_KNOWN


def planned(desk: Desk, answer: PowerAnswer) -> list[Flowable]:
    """Which light plugs in where, beside the power plan of the same staging."""
    made: list[Flowable] = []
    if answer.feasible is not None:
        words = (
            "All that needs the mains finds a circuit."
            if answer.feasible
            else "Not all that needs the mains finds a circuit."
        )
        made.append(desk.text(words, BODY))
    if answer.assignment:
        columns = [
            Column("Light", 1.2),
            Column("Outlet"),
            Column("Circuit"),
            Column("Cable", 1.6),
            Column("Volt drop", 1, "end"),
            Column("It crosses", 1.4),
        ]
        rows = [
            Row(
                (
                    Cell(_plugged(one), bold=True),
                    one.outlet,
                    one.circuit,
                    one.cable_words,
                    number(one.volt_drop_pct, 1, "%"),
                    Cell(_crosses(one)),
                ),
                unknown(one.unknown),
            )
            for one in answer.assignment
        ]
        made.append(Ledger(desk.setter, columns, rows, missing=NOT_KNOWN))
    if answer.on_battery:
        made.append(desk.text(said("packet.on_batteries", lights=names(answer.on_battery)), BODY))
    unplaced: dict[tuple[float | None, Said], list[str]] = {}
    for one in answer.unplaced:
        unplaced.setdefault((one.short_a, one.because), []).append(one.light)
    for (short_a, because), lights in unplaced.items():
        short = None if short_a is None else Figure(short_a, "A")
        why = said("packet.no_place", lights=names(lights), short=short, why=because)
        made += desk.sentences([why], BODY)
    made += desk.sentences(
        [
            unknown(answer.unknown),
            *(
                said("packet.circuit_unknown", circuit=Name(one.id), why=one.unknown)
                for one in answer.circuits
                if one.unknown and one.unknown != answer.unknown
            ),
        ]
    )
    parts = (answer, *answer.circuits, *answer.assignment)
    desk.assume(sentence for part in parts for sentence in part.assumed)
    return made
