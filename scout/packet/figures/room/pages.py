"""Pages a room: what it is, the findings, its plan to scale; then light, sound, power and fit from
the modules beside this one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import Finding, RoomAssessment
from scout.packet.blocks import Desk, Section
from scout.packet.figures.content import PacketRoom
from scout.packet.figures.packing import Part, packed
from scout.packet.figures.room.bounce import bounce
from scout.packet.figures.room.daylight import picture_light
from scout.packet.figures.room.fit import fit
from scout.packet.figures.room.light import daylight, sun
from scout.packet.figures.room.mending import mending
from scout.packet.figures.room.sound import sound_advice
from scout.packet.figures.room.works import power, sound
from scout.packet.setting.table import NOT_MEASURED, NOT_RECORDED, Cell, Column, Ledger
from scout.packet.setting.text import QUIET
from scout.records.sheet import Door, RoomRecord
from scout.values import Figure, Name, Word, said
from scout.words import line
from scout.words.figures import (
    Words,
    area,
    compass,
    distance,
    fact,
    length,
    number,
    room_name,
    sizes,
    storey,
    when,
    word,
    yes_no,
)


def room_title(room: PacketRoom) -> str:
    """What a room is called in the contents and on its page."""
    return room.room.name or str(room_name(None))


def room_pages(
    desk: Desk,
    section: Section,
    room: PacketRoom,
    location_name: str,
) -> list[Flowable]:
    """Everything known and worked out of a room."""
    found = room.assessment
    desk.open_room(room_title(room), location_name)
    on = found.date if found else None
    made = desk.begin(section, said("packet.room", place=Name(location_name), on=on))
    made += desk.guarded(
        "The facts of the room", lambda: [_facts(desk, room), *_way_in(desk, room)]
    )
    if found is None:
        made.append(desk.text("Nothing is worked out for this room yet.", QUIET))
    else:
        made += desk.guarded("The findings", lambda: _findings(desk, found))
    parts = [
        *_parts(desk, room),
        *(
            Part("drawings", [*desk.heading(drawing.title, 160.0), *desk.figure(drawing, "")])
            for drawing in room.drawings
        ),
        Part("measured", _measured(desk, room)),
    ]
    return [*made, *packed(desk, made, parts), *desk.assumed()]


def _parts(desk: Desk, room: PacketRoom) -> list[Part]:
    """The plan, light, sound, power and fit, in the order they are read."""
    found = room.assessment
    figure = desk.figure(room.plan, "No plan is drawn: the room is not measured.")
    parts = [
        Part("plan", [*desk.heading("Plan", desk.tall(figure) + 30.0), *figure]),
        Part("doors", _doors(desk, room.room.doors or ())),
    ]
    if found is not None:
        picture = desk.about(
            "Sun on the picture",
            lambda: desk.guarded(
                "The sun on the picture", lambda: picture_light(desk, room.daylight)
            ),
        )
        parts += [
            Part(
                "sun", desk.about("Sun", lambda: desk.guarded("The sun", lambda: sun(desk, found)))
            ),
            Part("sun", desk.figure(room.timeline, "") if room.timeline is not None else []),
            Part(
                "daylight",
                desk.about(
                    "Daylight",
                    lambda: desk.guarded("The daylight", lambda: daylight(desk, room, found)),
                ),
            ),
            Part("daylight", desk.figure(room.lux, "") if room.lux is not None else []),
            Part("picture", picture),
            Part(
                "picture",
                desk.figure(room.daylight.drawing, "")
                if room.daylight is not None and room.daylight.drawing is not None
                else [],
            ),
            Part(
                "bounce",
                desk.about(
                    "Bounce", lambda: desk.guarded("The bounce", lambda: bounce(desk, found))
                ),
            ),
            Part(
                "bounce",
                desk.about(
                    "Bounce",
                    lambda: desk.guarded(
                        "Fixes of the colour", lambda: mending(desk, found, room.bounce_plan)
                    ),
                ),
            ),
        ]
    return [
        *parts,
        Part(
            "sound",
            desk.about("Sound", lambda: desk.guarded("The sound", lambda: sound(desk, room))),
        ),
        Part(
            "sound",
            desk.about(
                "Sound",
                lambda: desk.guarded(
                    "What to do about the sound", lambda: sound_advice(desk, room.sound)
                ),
            ),
        ),
        Part(
            "power",
            desk.about("Power", lambda: desk.guarded("The power", lambda: power(desk, room))),
        ),
        *fit(desk, room),
    ]


def _facts(desk: Desk, room: PacketRoom) -> Ledger:
    """One line of figures under the title."""
    record = room.room
    outdoors = record.setting == "exterior"
    size = sizes((record.width_m, record.length_m)) if record.plan_m is None else None
    size = " · ".join(part for part in (size, area(_floor_m2(record))) if part) or None
    columns = [
        Column("Setting", 0.6),
        Column("Usable ground" if outdoors else "Floor", 1.4),
        Column("Facing", 2.6),
    ]
    setting = word("setting", record.setting)
    row: list[Cell | Words | None] = [setting, size, _facing(record, room.assessment)]
    if not outdoors:
        columns[1:1] = [Column("Floor of the house", 0.9), Column("Ceiling", 0.6)]
        row[1:1] = [storey(record.storey), length(record.height_m)]
    return Ledger(desk.setter, columns, [row], missing=NOT_MEASURED)


def _way_in(desk: Desk, room: PacketRoom) -> list[Flowable]:
    """The room's own way in, where it has one beside its place's."""
    own = room.room.way_in
    if own is None:
        return []
    heads = ("Steps to this room", "Lift", "Narrowest door", "Carry")
    row = (number(own.steps), yes_no(own.lift), length(own.door_width_m), distance(own.carry_m))
    return [Ledger(desk.setter, [*map(Column, heads)], [row], missing=NOT_RECORDED)]


def _doors(desk: Desk, doors: Sequence[Door]) -> list[Flowable]:
    """Where each door stands, and which are exits that nothing may stand or lie in front of."""
    if not doors:
        return []
    columns = [
        Column("Door", 0.7),
        Column("Wall", 0.6),
        *(Column(head, 1, "end") for head in ("From its left end", "Width", "Height")),
        Column("Exit to keep free", 1.2),
    ]
    rows = [
        (
            Cell(one.id, bold=True),
            one.wall,
            length(one.offset_m),
            length(one.width_m),
            length(one.height_m),
            Cell(yes_no(one.keep_free) or NOT_RECORDED, loud=bool(one.keep_free)),
        )
        for one in doors
    ]
    return [*desk.heading("Doors"), Ledger(desk.setter, columns, rows)]


def _floor_m2(record: RoomRecord) -> float | None:
    corners = record.corners_m
    if corners is None:
        return None
    pairs = zip(corners, corners[1:] + corners[:1], strict=True)
    return abs(math.fsum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairs)) / 2


def _facing(record: RoomRecord, found: RoomAssessment | None) -> str | None:
    facing = record.facing
    if facing is None:
        return None
    doubt = None if facing.accuracy_deg is None else Figure(facing.accuracy_deg, "deg")
    bearing, north = Figure(facing.bearing_deg, "deg"), facing.north
    through = Word("surface", facing.wall)
    if north is None:
        return str(said("packet.facing_no_north", wall=through, bearing=bearing, doubt=doubt))
    windows = found.windows if found else ()
    turns = [
        window.magnetic_correction_deg
        for window in windows
        if window.magnetic_correction_deg is not None
    ]
    true_deg = (facing.bearing_deg + turns[0]) % 360 if north == "magnetic" and turns else None
    return str(
        said(
            "packet.facing",
            wall=through,
            bearing=bearing,
            doubt=doubt,
            north=Word("north", north),
            turned=None if true_deg is None else Figure(turns[0], "deg"),
            true=None if true_deg is None else Figure(true_deg, "deg"),
            wind=None if true_deg is None else Name(compass(true_deg)),
        )
    )


def _findings(desk: Desk, found: RoomAssessment) -> list[Flowable]:
    """A row a finding, worst first: its sign, its topic, its line, and what to do with who and when."""
    columns = [Column("Sign", 0.75), Column("On", 0.7), Column("What, and what to do", 3.85)]
    rows = [_finding(one) for one in found.findings if one.level != "outside"]
    if not rows:
        return [desk.text("Nothing could be judged.", QUIET)]
    return [Ledger(desk.setter, columns, rows)]


def _finding(finding: Finding) -> tuple[Cell, Cell, Cell]:
    acts = [f"{act} ({Word('role', act.who)}, {act.when})" for act in finding.acts]
    return (
        Cell(Word("level", finding.level), bold=True, level=finding.level),
        Cell(Word("topic", finding.topic)),
        Cell("\n".join([line(finding), *acts])),
    )


def _measured(desk: Desk, room: PacketRoom) -> list[Flowable]:
    if not room.measurements:
        return []
    columns = [
        Column("By"),
        Column("When", 1.7),
        Column("How", 0.9),
        Column("Accuracy", 0.8),
        Column("Facts", 3.0),
    ]
    rows: dict[tuple[str | None, str | None, str | None, str | None], list[str]] = {}
    for one in room.measurements:
        rows.setdefault((one.by, when(one.at), one.how, one.accuracy), []).append(fact(one.path))
    lines = [(*who, Cell(", ".join(dict.fromkeys(names)))) for who, names in rows.items()]
    return [
        *desk.heading("Who measured what"),
        Ledger(desk.setter, columns, lines, missing=NOT_RECORDED),
    ]
