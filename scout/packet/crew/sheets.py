"""One page a person over all scenes, in the order of the day: camera, light, sound. What is carried
is `carrying`, the producer's page `signing`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import time
from functools import partial
from itertools import islice

from reportlab.platypus import PageBreak
from reportlab.platypus.flowables import Flowable

from scout.assess.answers import Finding, FitAnswer
from scout.assess.answers.finding import Role
from scout.assess.day.hung import BOUNCES
from scout.assess.fit.frame.kinds import camera_held
from scout.assess.fit.levels import told_framing
from scout.packet.asked import (
    OFF,
    Task,
    of_topics,
    tasks,
)
from scout.packet.blocks import Desk, Section
from scout.packet.content import PacketContent, PacketDay, PacketSetup
from scout.packet.crew.clock import noise_bars, time_of
from scout.packet.crew.front import called, hours_and_names, phone_of
from scout.packet.crew.lamps import NONE, ON_LINE_M, lamps
from scout.packet.crew.parts import Abreast, headed, note_lines, opened
from scout.packet.crew.room import exposure, finding_row, microphones
from scout.packet.crew.running import hours_of, room_of, runs_through, setting_of, settings_of
from scout.packet.noisy import left_to_ask
from scout.packet.setting.clean import one_line
from scout.packet.setting.table import NOT_RECORDED, Cell, Column, Ledger
from scout.packet.setting.text import BODY, INK, QUIET, SMALL, TextStyle
from scout.records.sheet import Camera
from scout.values import Figure, Many, Name, Said, Value, Word, names, said
from scout.words import line
from scout.words.figures import Words, length

SMALLEST = replace(QUIET, colour=INK)  # acts, where a page would not hold them else
BOLD = TextStyle(size=9.0, leading=11.2, bold=True, space_after=0.0)
TOPICS: dict[Role, tuple[str, ...]] = {
    "camera": ("space",),
    "light": ("light", "sun", "colour", "power"),
    "sound": ("sound",),
    "carry": ("access",),
    "production": ("hours", "access"),
}
# what a table of the same page says already
IN_TABLES = (
    "sound.mic_clean",
    "sound.mic_guide_only",
    "sound.mic_usable",
    "space.framing_fits",
    "access.easy",
    "access.way_in_unknown",
)
MOST_FINE = 2  # lines of what is fine, where little is not
NOTE_LETTERS = 200  # of a note beside the key; whole it stands with its room
LINES_A_SETUP = 6  # on a person's sheet; what is worst comes first


def sheet_of(
    desk: Desk, content: PacketContent, role: Role, title: str, beside: Words = ""
) -> list[Flowable]:
    """The head of a person's page."""
    section = Section(f"sheet-{role}", title, 0)
    return opened(desk, section, runs_through(content, title), beside=beside)


def where_when(content: PacketContent, role: Role) -> Words:
    """`Sat 20 Jun, call 10:10: Tannery Row House, 9 Tannery Row`; a line a place with all its
    days, the calls those of one trade.
    """
    lines = []
    for days in by_place(content):
        place = days[0].place
        at = None if place.address is None else Name(one_line(place.address))
        where = said("packet.place_at", place=Name(place.name), address=at)
        called = Many(tuple(call_on(day, role) for day in days), "list")
        lines.append(str(said("packet.days_at", days=called, where=where)))
    return Name("\n".join(lines)) if lines else ""


def call_on(day: PacketDay, role: Role) -> Said:
    """`Sat 20 Jun, call 10:10`, the call of a trade's people, with names where they come at
    different hours; everybody's where the crew list names nobody of that trade.
    """
    hours = called(day, role) or called(day)
    told = hours_and_names(hours) if len(hours) > 1 else next(iter(hours), None)
    return said("packet.call_on", on=day.date, call=None if told is None else Name(told))


def first_call(day: PacketDay) -> time | None:
    """When the first of the crew arrives, by the clock on the place's wall."""
    first = min((call.at for call in day.calls), default=None)
    return None if first is None else first.time()


def by_place(content: PacketContent) -> list[list[PacketDay]]:
    """The days to come, those at one place together, in the order of the first of each."""
    held: dict[tuple[str, str | None], list[PacketDay]] = {}
    for day in content.coming:
        held.setdefault((day.place.name, day.place.address), []).append(day)
    return list(held.values())


def _when_where(setup: PacketSetup) -> Cell:
    """The scene, and below it its hours and room; leads to the room's page."""
    below = said("packet.when_where", on=setup.date, hours=hours_of(setup), room=room_of(setup))
    return Cell(Name(setup.scene.name), bold=True, more=below)


def to_do(
    desk: Desk, content: PacketContent, role: Role, style: TextStyle = SMALL
) -> list[Flowable]:
    """A person's acts in the order of when they are due, each once, with a box to tick; when stands
    beside the first of those that are due together.
    """
    due = [one for one in tasks(content.setups, role) if not _listed(one, role)]
    if not due:
        return []
    rows = [
        _task(one, again=before is not None and before.act.when == one.act.when)
        for before, one in zip([None, *due], due, strict=False)
    ]
    columns = [Column("", 0.25), Column("", 4.9), Column("", 1.0), Column("", 1.75)]
    return headed(desk, "To do", [Ledger(desk.setter, columns, rows, headless=True, style=style)])


def _listed(one: Task, role: Role) -> bool:
    """Whether another table of the page has it: what is missing, what is switched off."""
    bring, off = one.act.code.startswith("bring."), one.act.code in OFF
    return (role == "carry" and bring) or (role == "sound" and off)


def _task(one: Task, *, again: bool) -> tuple[Cell, Cell, Cell, Cell]:
    return (
        Cell("", ticks=1),
        Cell(one.act, bold=True),
        Cell("" if again else one.act.when, quiet=True),
        Cell(settings_of(one.setups), quiet=True),
    )


def found_by(setup: PacketSetup, role: Role, most: int) -> list[Cell]:
    """What one person is to know of a setup, worst first."""
    rows = [
        one
        for one in of_topics(setup, TOPICS[role])
        if one.code not in (*IN_TABLES, *BOUNCES) and all(act.who != role for act in one.acts)
    ]
    fine = [one for one in rows if one.level == "good"]
    shown = [one for one in rows if one.level != "good"][:most]
    shown += fine[: max(0, min(MOST_FINE, most) - len(shown))]
    return [_row(one) for one in shown]


def _row(finding: Finding) -> Cell:
    cell, _ = finding_row(finding)
    return Cell(cell.text, level=cell.level)


def _by_setup(desk: Desk, content: PacketContent, role: Role, most: int) -> list[Flowable]:
    """A row of columns a setup: which, and what is to be known there."""
    made: list[Flowable] = []
    for setup in content.setups:
        rows = [(cell,) for cell in found_by(setup, role, most)]
        if not rows:
            continue
        where: Words = Name(setup.scene.name)
        below: Words = room_of(setup)  # the scene stands above it
        if role == "light":  # who lights for it goes by rooms
            where, below = setting_of(setup), ""
        left = [desk.text(where, BOLD), *([desk.text(below, QUIET)] if below else [])]
        table = Ledger(desk.setter, [Column("", 1.0)], rows, headless=True, space_after=0.0)
        made.append(Abreast([left, [table]], [1.2, 3.2]))
    return made


def _exposed(setup: PacketSetup) -> tuple[Value, ...]:
    """What the camera begins with, for whoever lights for it: exposure, white balance."""
    kit = (setup.sheet.kit.camera if setup.sheet.kit else None) or Camera()
    cells = [fact for _, fact in exposure(setup, kit)]
    words = (one.text if isinstance(one, Cell) else one for one in (cells[0], cells[2]))
    return tuple(Name(str(one)) for one in words if one is not None)


def filled(
    desk: Desk,
    content: PacketContent,
    role: Role,
    made: list[Flowable],
    title: Words,
    after: Sequence[Flowable] = (),
    least: int = 0,
    brief: Sequence[Flowable] | None = None,
    told: Callable[[int], list[Flowable]] | None = None,
    small: list[Flowable] | None = None,
) -> list[Flowable]:
    """A person's page with what is to be known of each setup (`told`, of so many lines) between the
    rest: as many lines as leave all of it on one page, `least` at least, then with `brief` in place
    of what comes after, then with `small` in place of `made`; what has no room stands with its room
    all the same.
    """
    told = told or partial(_by_setup, desk, content, role)
    lines = range(LINES_A_SETUP, least - 1, -1)
    page: list[Flowable] = []
    tails = (after, brief) if brief is not None else (after,)
    tries = [(made, tail, most) for tail in tails for most in lines]
    if small is not None:
        tries.append((small, tails[-1], least))
    for head, tail, most in tries:
        page = [*head, *headed(desk, title, told(most)), *tail]
        standing = (one for one in page if not isinstance(one, PageBreak))
        if desk.tall(standing) <= desk.height:
            break
    return [*page, *note_lines(desk, page)]


def camera_sheet(desk: Desk, content: PacketContent) -> list[Flowable]:
    """Lens, distance, height, exposure, what stands in frame, over all scenes."""
    made = sheet_of(desk, content, "camera", "Camera", where_when(content, "camera"))
    columns = [Column("Scene", 1.7), Column("Lens", 1.0), Column("From the face", 0.9)]
    columns += [Column("Height", 0.8), Column("Set to", 1.7), Column("Windows in frame", 1.0)]
    rows = [(_when_where(setup), *_camera(setup)) for setup in content.setups]
    if rows:
        made.append(Ledger(desk.setter, columns, rows, missing=NOT_RECORDED))
    made += to_do(desk, content, "camera")
    return filled(desk, content, "camera", made, "Space and frame")


def camera_away(fit: FitAnswer, subject_m: Sequence[float] | None) -> Cell | Words | None:
    """How far the camera of the plan is from the face, straight; and how far its mark is, where it
    is set elsewhere.
    """
    mark, camera = fit.mark_distance_m, fit.camera_m
    if camera is None or subject_m is None:
        return length(mark)
    away = math.dist(camera, subject_m)
    if mark is None or abs(mark - away) < ON_LINE_M:
        return length(away)
    return Cell(length(away) or "", more=said("packet.its_mark", away=Figure(mark, "m")))


def _camera(setup: PacketSetup) -> Iterator[Cell | Words | None]:
    fit, marks = setup.found.fit, setup.sheet.marks
    lens = setup.lens_mm
    told = told_framing(fit, setup.framing, lens)
    row = None if told is None or told.level == "problem" else told.row
    name = None if row is None else Word("framing", row.name)
    yield None if lens is None else Cell(said("packet.lens", mm=Figure(lens)), more=name or "")
    yield camera_away(fit, marks.subject if marks is not None else None)
    camera = marks.camera if marks is not None else None
    held = camera_held(setup.found.findings)
    yield None if camera is None else Cell(length(camera[2]) or "", more=held or "")
    kit = (setup.sheet.kit.camera if setup.sheet.kit else None) or Camera()
    cells = (cell for _, cell in exposure(setup, kit))
    text, *below = (cell.text if isinstance(cell, Cell) else cell for cell in islice(cells, 3))
    beside = "\n".join(str(one) for one in below if one)  # ND, white balance
    yield None if text is None else Cell(text, more=beside)
    seen = next((view for view in fit.views if view.focal_length_mm == lens), None)
    if seen is None:
        yield None
    else:
        yield names(seen.windows) if seen.windows else Cell(said("packet.none"))


def light_sheet(desk: Desk, content: PacketContent) -> list[Flowable]:
    """Acts by hour, where each light stands, then what light, sun, colour and power do in each room.
    How full a circuit is stands with its room's plan.
    """
    first = sheet_of(desk, content, "light", "Light", where_when(content, "light"))
    lights = headed(desk, "Each light", _placed(desk, content))
    made = [*first, *to_do(desk, content, "light"), *lights]
    small = [*first, *to_do(desk, content, "light", SMALLEST), *lights]
    bounced = _bounced(desk, content)
    after = headed(desk, "Before a lamp is bounced", bounced)
    # where a line more would be a page more, the heading says what the line would
    brief = headed(desk, "Do not bounce but these", bounced[:1]) if len(bounced) > 1 else None
    title = "Light, sun, colour, power"
    return filled(desk, content, "light", made, title, after, brief=brief, small=small)


def _placed(desk: Desk, content: PacketContent) -> list[Flowable]:
    """A row a room with its exposure, a line a light; below it what to find out of a socket."""
    rows, blind = [], []
    every = [lamp for setup in content.setups for lamp in lamps(setup)]
    gelled = any(one.gels != NONE for one in every)
    for setup in content.setups:
        here = lamps(setup)
        columns: list[list[Words]] = [
            [said("packet.light_side", light=Name(one.name), side=one.side) for one in here],
            [one.stand for one in here],
            [one.height for one in here],
            [one.dim for one in here],
            [one.gels for one in here],
            [one.plug for one in here],
            [one.lead for one in here],
        ]
        if not gelled:
            del columns[4]
        lines = [Cell("\n".join(map(str, one)) or NONE) for one in columns]
        exposed = Many(_exposed(setup), "list")
        rows.append((Cell(setting_of(setup), bold=True, more=exposed), *lines))
        blind += [
            said("packet.in_room", what=Name(str(one.socket)), room=setting_of(setup))
            for one in here
            if one.blind
        ]
    if not rows:
        return []
    off = "Off walls" if content.units == "feet" else "Off walls, m"  # feet carry their mark
    shares = [("Room", 1.2), ("Light", 1.2), (off, 1.6), ("Height", 0.65), ("Dim", 0.45)]
    shares += [("Gel", 0.9)] if gelled else []
    shares += [("Socket", 0.8), ("Cable", 0.7)]
    heads = [Column(name, share) for name, share in shares]
    made: list[Flowable] = [Ledger(desk.setter, heads, rows, style=SMALL)]
    return [*made, *(desk.text(one, BODY) for one in blind)]


def _bounced(desk: Desk, content: PacketContent) -> list[Flowable]:
    """A row a wall or ceiling that a lamp may be turned at, and what the light mends if it is; below
    them that nothing else is worth it.
    """
    rows, poor = [], False
    for setup in content.setups:
        for one in of_topics(setup, ("colour",)):
            poor = poor or one.code == BOUNCES[1]
            if one.code == BOUNCES[0]:
                mends = [
                    str(said("packet.act_when", act=Name(str(act)), when=Name(str(act.when))))
                    for act in one.acts
                    if act.who == "light"
                ]
                cell = Cell(line(one), level=one.level, more="\n".join(mends))
                rows.append((cell, Cell(setting_of(setup), quiet=True)))
    columns = [Column("", 5.4), Column("", 1.4)]
    made: list[Flowable] = (
        [Ledger(desk.setter, columns, rows, headless=True, style=SMALL)] if rows else []
    )
    return [*made, desk.text(said("packet.bounce_nothing"), QUIET)] if poor else made


def sound_sheet(desk: Desk, content: PacketContent) -> list[Flowable]:
    """Noise in the scene's hours, what to switch off and who has the key, microphones, room tone."""
    made = sheet_of(desk, content, "sound", "Sound", where_when(content, "sound"))
    columns = [Column("Scene", 1.8), Column("Noise", 0.9), Column("As read with", 1.3)]
    columns += [Column("Microphones", 3.0), Column("Tone", 0.5)]
    rows = []
    for setup in content.setups:
        sound = setup.found.sound
        mics = microphones(setup)
        rows.append(
            (
                _when_where(setup),
                None if sound.laeq_db is None else Figure(sound.laeq_db, "dBA"),
                sound.conditions,
                Cell("\n".join(map(str, mics))) if mics else None,
                Cell("", ticks=1),
            )
        )
    if rows:
        made.append(Ledger(desk.setter, columns, rows, missing="not measured"))
    made += to_do(desk, content, "sound")
    after = headed(desk, "Noises that come back", _noises(desk, content))
    after.append(desk.text(said("packet.room_tone"), BODY))
    after += headed(desk, "Switch off, and who lets us", _switched_off(desk, content))
    after += headed(desk, "Noted where no noise was read", _noted(desk, content))
    return filled(desk, content, "sound", made, "To hear and to know", after)


def _switched_off(desk: Desk, content: PacketContent) -> list[Flowable]:
    """A row a place: what its rooms ask to be off, whom to ring for the key, and a box for when all
    is on again.
    """
    columns = [Column("Place", 1.1), Column("Off while we record", 3.4)]
    columns += [Column("Ask for the key", 1.1), Column("", 1.3), Column("On again", 0.7)]
    rows = []
    for place in {day.place.name: day.place for day in content.coming}.values():
        here = [setup for setup in content.setups if setup.place.name == place.name]
        asked = [one for one in tasks(here, "sound") if one.act.code in OFF]
        off = [
            said(
                "packet.off_when",
                act=Name(str(one.act)),
                when=Name(str(one.act.when)),
                rooms=settings_of(one.setups),
            )
            for one in asked
        ]
        for setup in here:
            ask = left_to_ask(setup, " . ".join(map(str, off)))
            if ask is not None:
                off.append(said("packet.line_in", line=Name(str(ask)), room=setting_of(setup)))
        contact = next(iter(place.contacts or ()), None)
        rows.append(
            (
                Cell(Name(place.name)),
                Cell("\n".join(map(str, off)) if off else said("packet.no_source"), bold=bool(off)),
                None if contact is None else Cell(contact.name),
                "" if contact is None else phone_of(contact.phone),
                Cell("", ticks=1),
            )
        )
    return [Ledger(desk.setter, columns, rows, missing=NOT_RECORDED)] if rows else []


def _noted(desk: Desk, content: PacketContent) -> list[Flowable]:
    """What the crew wrote of rooms whose noise nobody read: it is all there is."""
    rows = []
    for setup in {(one.place.name, one.room): one for one in content.setups}.values():
        if setup.found.sound.laeq_db is None:
            for note in setup.notes:
                text = one_line(note.text)
                words = text if len(text) <= NOTE_LETTERS else f"{text[: NOTE_LETTERS - 1]}…"
                rows.append((Cell(room_of(setup), quiet=True), Cell(Name(words))))
    columns = [Column("", 1.1), Column("", 5.4)]
    return [Ledger(desk.setter, columns, rows, headless=True)] if rows else []


def _noises(desk: Desk, content: PacketContent) -> list[Flowable]:
    rows = []
    for day in content.coming:
        for what, start, end in noise_bars(day):
            name = said("packet.day_at", on=day.date, place=Name(day.place.name))
            spell = said("packet.from_until", start=time_of(start), end=time_of(end))
            rows.append((Cell(name), Cell(what), Cell(spell)))
    columns = [Column("", 2.0), Column("", 2.4), Column("", 1.0)]
    return [Ledger(desk.setter, columns, rows, headless=True)] if rows else []
