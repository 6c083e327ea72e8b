"""A chosen room on two facing pages: on the left what to decide and do, on the right the one plan
to set up by; and a room in reserve on half a page.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from reportlab.platypus import PageBreak
from reportlab.platypus.flowables import Flowable

from scout.assess.answers import Finding
from scout.assess.choice.way_in import way_in
from scout.packet.asked import OFF, beside_plan, decisive, fewer, tasks, undrawn, untold
from scout.packet.blocks import Desk, Drawn, Section
from scout.packet.content import PacketContent, PacketDay, PacketReserve, PacketSetup
from scout.packet.crew.lamps import called, lamps
from scout.packet.crew.parts import (
    Abreast,
    crew_notes,
    headed,
    note_lines,
    opened,
)
from scout.packet.crew.parts import pictures as in_a_row
from scout.packet.crew.running import hours_of, room_of, runs_on, runs_through, said_rounded
from scout.packet.noisy import left_to_ask
from scout.packet.setting.table import NOT_RECORDED, Cell, Column, Ledger
from scout.packet.setting.text import BODY, QUIET
from scout.records.sheet import Camera
from scout.values import Figure, Many, Name, Said, Unit, Word, names, said
from scout.words import line
from scout.words.figures import Words, room_name, storey

PHOTOS = 2
PHOTO_POINTS = 186.0
RESERVE_LINES = 3
NONE = "–"
MOST_TO_MEASURE = 6
NEAR_STOPS = 0.25  # nearer nobody opens up or dims: half a stop is the step (common practice)


def decide_page(
    desk: Desk, content: PacketContent, day: PacketDay, setup: PacketSetup
) -> list[Flowable]:
    """Photos and crew notes, the lines with their acts, where to start, what must be seen and heard."""
    section = Section(setup.key, str(room_of(setup)), 1)
    when = str(said("packet.day_hours", on=setup.date, hours=hours_of(setup)))
    made = opened(desk, section, runs_on(day, when, setup.scene.name), _where(setup))
    notes = crew_notes(desk, setup.notes)
    seen = [
        (Cell("Seen", quiet=True), setup.scene.seen),
        (Cell("Heard", quiet=True), setup.scene.heard),
        (Cell("Microphones", quiet=True), Many(microphones(setup), "list")),
        (Cell("Switch off", quiet=True), _off(setup)),
    ]
    columns = [Column("", 0.27), Column("", 0.73)]
    left = headed(desk, "Start from", _start(desk, setup))
    right = headed(
        desk,
        "Must be seen, must be heard",
        [Ledger(desk.setter, columns, seen, headless=True, missing=NOT_RECORDED)],
    )
    right += headed(desk, "Still to measure", _to_measure(desk, setup))
    foot: list[Flowable] = [Abreast([left, right], [1.0, 1.2])]
    # rather small photos than a second page, rather fewer lines with their act below than that
    for most, smaller in ((7, 1.0), (7, 0.8), (7, 0.6), (7, 0.45), (6, 0.45), (5, 0.4), (4, 0.35)):
        told = fewer(decisive(setup.found.findings), most)
        below = [*notes, *headed(desk, "What to do", [_lines(desk, told)])]
        below += headed(desk, "Also to do", _also(desk, setup, told))
        below += foot
        shots = in_a_row(desk, setup.photos[:PHOTOS], desk.width, PHOTO_POINTS * smaller)
        standing = (one for one in (*made, *shots, *below) if not isinstance(one, PageBreak))
        if desk.tall(standing) <= desk.height:
            break
    page = [*made, *shots, *below]
    return [*page, *note_lines(desk, page)]


def _also(desk: Desk, setup: PacketSetup, told: Sequence[Finding]) -> list[Flowable]:
    """The acts of those who work on the set that stand beside none of the lines above, by who does
    them when.
    """
    acts: dict[Words, list[str]] = {}
    for act in untold(setup, told):
        who = said("packet.who_when", who=Word("role", act.who), when=Name(str(act.when)))
        acts.setdefault(who, []).append(str(act))
    rows = [(Cell("\n".join(those)), Cell(who, quiet=True)) for who, those in acts.items()]
    columns = [Column("", 5.4), Column("", 1.0)]
    return [Ledger(desk.setter, columns, rows, headless=True)] if rows else []


def microphones(setup: PacketSetup) -> tuple[Said, ...]:
    """Each microphone of the kit: what it will do, and how far from the mouth."""
    return tuple(
        said(
            "packet.mic",
            mic=Name(one.mic),
            verdict=Word("speech", one.verdict),
            far=None if one.distance_m is None else Figure(one.distance_m, "m"),
        )
        for one in setup.found.sound.placements
        if one.verdict is not None
    )


def _off(setup: PacketSetup) -> Cell:
    """What is switched off for the sound, and how things stood when the noise was read."""
    told = [str(one.act) for one in tasks([setup], "sound") if one.act.code in OFF]
    ask = left_to_ask(setup, " . ".join(told))
    told += [] if ask is None else [str(ask)]
    conditions = setup.found.sound.conditions
    return Cell(
        "\n".join(told) if told else said("packet.no_source"),
        bold=bool(told),
        more="" if conditions is None else said("packet.as_was", conditions=conditions),
    )


def _where(setup: PacketSetup) -> Said:
    way = way_in(setup.sheet.room, setup.place)
    floor = storey(setup.sheet.room.storey)
    return said(
        "packet.room_where",
        place=Name(setup.place.name),
        floor=None if floor is None else Name(floor),
        steps=None if way.steps is None else said("packet.steps", n=way.steps),
        state=Word("state", setup.state),
        reason=None if setup.reason is None else Name(setup.reason),
    )


def _lines(desk: Desk, findings: Sequence[Finding], who: float = 1.0) -> Ledger:
    """A finding a row: its sign and line, the act that does most below it, and who does it when."""
    columns = [Column("", 5.4), Column("", who)]
    rows = [finding_row(one) for one in findings]
    return Ledger(desk.setter, columns, rows, headless=True)


def finding_row(finding: Finding) -> tuple[Cell, Cell]:
    """The line with what to do below it; who, and when."""
    act = next(iter(finding.acts), None)
    if act is None:
        bold = finding.level in ("problem", "care")
        return Cell(line(finding), level=finding.level, bold=bold), Cell("")
    who = said("packet.who_when", who=Word("role", act.who), when=Name(str(act.when)))
    return Cell(line(finding), bold=True, level=finding.level, more=act), Cell(who, quiet=True)


def _start(desk: Desk, setup: PacketSetup) -> list[Flowable]:
    """Exposure to start from: what the camera is set to, steady under the mains of the place."""
    camera = (setup.sheet.kit.camera if setup.sheet.kit else None) or Camera()
    columns = [Column("", 0.42), Column("", 0.58)]
    rows: list[Sequence[Cell | Words | None]] = [
        (Cell(name, quiet=True), fact) for name, fact in exposure(setup, camera)
    ]
    return [Ledger(desk.setter, columns, rows, headless=True, missing=NOT_RECORDED)]


def exposure(setup: PacketSetup, camera: Camera) -> list[tuple[Words, Cell | Words | None]]:
    """What a camera is set to for a setup, each with its name: as worked out, else as the kit has
    it.
    """
    found = setup.found.fit.exposure
    iso = found.iso if found and found.iso else camera.iso
    stop = found.f_number if found and found.f_number else camera.f_number
    shutter = found.shutter_s if found and found.shutter_s else camera.shutter_s
    triple = (
        said(
            "packet.exposure",
            iso=Figure(iso),
            stop=Figure(stop),
            shutter=said("packet.shutter", one_in=Figure(round(1 / shutter))),
        )
        if iso and stop and shutter
        else None
    )
    nd = found.nd if found else None
    nd_words: Words | None = None if nd is None else Name(said_rounded(said("packet.nd", stops=nd)))
    if nd is None and found is not None and found.nd_stops is not None:
        nd_words = said("packet.no_nd")
    needed = (found and found.needed_lux) or setup.found.fit.needed_lux
    mains = found.mains_hz if found else ()
    steady = said("packet.steady", mains=Many(tuple(Figure(hz, "Hz") for hz in mains)))
    rows: list[tuple[Words, Cell | Words | None]] = [
        ("ISO, stop, shutter", Cell(triple, more=steady if mains else "") if triple else None),
        ("ND", None if nd_words is None else Cell(nd_words, more=hours_of(setup))),
        ("White balance", _ranged(found.white_balance_k if found else None, "K")),
        ("Meter at the face", _metered(needed, found.lit_lux if found else None)),
    ]
    return rows


def _metered(needed_lux: float | None, lit_lux: float | None) -> Cell | Words | None:
    """What a meter at the face reads where these settings are right (not the kit's own), and how far
    the planned light is from it.
    """
    lit = None if lit_lux is None else Figure(lit_lux, "lux")
    if not needed_lux:
        return None if lit is None else Name(said_rounded(said("packet.lit", lit=lit)))
    more: Words = ""
    if lit is not None and lit_lux:
        over = math.log2(lit_lux / needed_lux)
        stops = Figure(abs(over), "stops")
        told = said("packet.lit", lit=lit)
        if over <= -NEAR_STOPS:
            told = said("packet.lit_under", lit=lit, stops=stops)
        elif over >= NEAR_STOPS:
            told = said("packet.lit_over", lit=lit, stops=stops)
        more = Name(said_rounded(told))
    return Cell(
        Name(said_rounded(said("packet.metered", lux=Figure(needed_lux, "lux")))), more=more
    )


def _ranged(value: float | None, unit: Unit) -> Words | None:
    return None if value is None else Name(said_rounded(Figure(value, unit)))


def _to_measure(desk: Desk, setup: PacketSetup) -> list[Flowable]:
    rows = [
        (Cell(line(one), level="unknown"), Cell("", ticks=1))
        for one in setup.found.findings
        if one.level == "unknown"
    ][:MOST_TO_MEASURE]
    if not rows:
        return []
    return [Ledger(desk.setter, [Column("", 9.0), Column("", 0.6)], rows, headless=True)]


def place_page(
    desk: Desk, content: PacketContent, day: PacketDay, setup: PacketSetup
) -> list[Flowable]:
    """One plan as large as the page carries, and what stands where in a table below it."""
    title = str(said("packet.where_things_stand", room=room_of(setup)))
    section = Section(f"{setup.key}-plan", title, 2)
    when = str(said("packet.day_hours", on=setup.date, hours=hours_of(setup)))
    made = opened(desk, section, runs_on(day, when, setup.scene.name))
    if setup.plan is None:
        made.append(desk.text("No plan is drawn: the room is not measured.", QUIET))
    else:
        made += desk.figure(setup.plan, "")
    table = stands(desk, setup)
    made += [table] if table is not None else []
    made += [desk.text(words, QUIET if k == 0 else BODY) for k, words in below_plan(setup)]
    return [*made, *note_lines(desk, made)]


def below_plan(setup: PacketSetup) -> list[tuple[int, Said]]:
    """What stands in words under the table of lights: circuits, what the light does beside, what is
    not drawn, what hangs in the windows; each with its place in that order.
    """
    beside = tuple(Name(str(one.act)) for one in beside_plan(setup))
    after = tuple(Name(str(act)) for act in undrawn(setup))
    rows = (
        _circuits(setup),
        said("packet.beside_plan", acts=Many(beside, "list")) if beside else None,
        said("packet.undrawn", acts=Many(after, "list")) if after else None,
        _covered(setup),
    )
    return [(k, words) for k, words in enumerate(rows) if words is not None]


def _covered(setup: PacketSetup) -> Said | None:
    """What hangs in the windows of a measured room, and is taken drawn in every figure."""
    if setup.sheet.room.corners_m is None:
        return None
    hung = {
        window.id: window.covering
        for window in setup.sheet.room.windows or ()
        if window.covering not in (None, "none")
    }
    rows = [
        said("packet.hangs_in", covering=Word("covering", kind), windows=names(each))
        for kind in dict.fromkeys(hung.values())
        if (each := [name for name, one in hung.items() if one == kind]) and kind is not None
    ]
    return said("packet.kept_drawn", rows=Many(tuple(rows), "list")) if rows else None


def _circuits(setup: PacketSetup) -> Said | None:
    """What each circuit of the room may carry, and what is planned on it."""
    rows = [
        said(
            "packet.circuit",
            circuit=Name(one.id),
            limit=None if one.limit_a is None else Figure(one.limit_a, "A"),
            load=None if one.load_a is None else Figure(one.load_a, "A"),
            untraced=None if one.verified else said("packet.untraced"),
        )
        for one in setup.found.power.circuits
        if one.load_a is not None or one.limit_a is not None
    ]
    return said("packet.circuits", circuits=Many(tuple(rows), "list")) if rows else None


def stands(desk: Desk, setup: PacketSetup) -> Flowable | None:
    """A row a light: what it does, its height and tilt, how far to dim it, its socket and its cable."""
    rows = [
        (
            called(one),
            one.height,
            one.tilt,
            Cell(one.socket, bold=one.blind),
            Cell(one.cable, bold=one.lacking),
            Cell(one.dim, bold=one.low),
        )
        for one in lamps(setup)
    ]
    if not rows:
        return None
    columns = [Column("Light", 1.0), Column("Height", 0.65), Column("Tilt", 0.7)]
    columns += [Column("Socket", 1.0), Column("Cable", 2.9), Column("Dim to", 0.55)]
    return Ledger(desk.setter, columns, rows)


def reserves_head(content: PacketContent) -> str:
    """What stands over the rooms that are not chosen."""
    if len(content.backups) == len(content.reserves):
        return "Backups"
    return "Backups, rooms proposed" if content.backups else "Rooms proposed"


def reserve_half(desk: Desk, content: PacketContent, one: PacketReserve) -> list[Flowable]:
    """Why it is in reserve, a small plan, three lines."""
    section = Section(
        f"reserve-{one.scene}-{one.sheet.room.name}", str(room_name(one.sheet.room.name)), 1
    )
    below = said(
        "packet.reserve_for",
        state=Word("state", one.state),
        scene=Name(one.scene),
        place=Name(one.place.name),
        reason=None if one.reason is None else Name(one.reason),
    )
    room = desk.height / 3 - 8.0
    made = opened(desk, section, runs_through(content, reserves_head(content)), below, room=room)
    left: list[Flowable] = []
    if one.plan is not None:
        left.append(Drawn(desk.setter, one.plan, desk.height))
    else:
        left.append(desk.text(said("packet.bare_room"), BODY))
    right: list[Flowable] = [_lines(desk, decisive(one.found.findings, RESERVE_LINES), 1.5)]
    made.append(Abreast([left, right], [1.0, 1.2]))
    return made
