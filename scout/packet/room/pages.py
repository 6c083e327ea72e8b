"""Pages a room: what it is, the verdicts, its plan to scale; then light, sound, power and fit from
the modules beside this one.
"""

from __future__ import annotations

import math

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import Level, RoomAssessment
from scout.drawing.marks import WORDS
from scout.packet.blocks import Desk, Section
from scout.packet.content import PacketRoom
from scout.packet.packing import Part, packed
from scout.packet.photos import photo_flowables
from scout.packet.room.bounce import bounce
from scout.packet.room.daylight import picture_light
from scout.packet.room.fit import fit
from scout.packet.room.light import daylight, sun
from scout.packet.room.mending import mending
from scout.packet.room.sound import sound_advice
from scout.packet.room.works import power, sound
from scout.packet.setting.table import NOT_MEASURED, NOT_RECORDED, Cell, Column, Ledger
from scout.packet.setting.text import BODY, QUIET
from scout.packet.words import (
    area,
    compass,
    day,
    ends_shared,
    fact_name,
    joined,
    length,
    moment,
    plain,
    sizes,
)
from scout.records.sheet import RoomRecord


def room_title(room: PacketRoom) -> str:
    """What a room is called in the contents and on its page."""
    return room.room.name or "Room without a name"


def room_pages(
    desk: Desk,
    section: Section,
    room: PacketRoom,
    location_name: str,
    general: frozenset[str] = frozenset(),
) -> list[Flowable]:
    """Everything known and worked out of a room; `general` are the cautions that stand once on
    their own page.
    """
    found = room.assessment
    desk.open_room(room_title(room), location_name, _names(room))
    on = f" · worked out for {day(found.date)}" if found else ""
    made = desk.begin(section, f"Room at {location_name}{on}")
    made += desk.guarded("The facts of the room", lambda: [_facts(desk, room)])
    if found is None:
        made.append(desk.text("Nothing is worked out for this room yet.", QUIET))
    else:
        made += desk.guarded("The verdicts", lambda: _verdicts(desk, found))
        made += _hazards(desk, found, general)
    photos, warnings = photo_flowables(desk.setter, room.photos, desk.width)
    desk.warnings += warnings
    parts = [
        *_parts(desk, room),
        *(
            Part("drawings", [*desk.heading(drawing.title, 160.0), *desk.figure(drawing, "")])
            for drawing in room.drawings
        ),
        Part("notes", desk.notes(room.notes)),
        Part(
            "photos",
            [*desk.heading("Photos", photos[0].wrap(desk.width, desk.height)[1] + 34.0), *photos]
            if photos
            else [],
        ),
        Part("measured", _measured(desk, room)),
    ]
    return [*made, *packed(desk, made, parts), *desk.assumed()]


def _parts(desk: Desk, room: PacketRoom) -> list[Part]:
    """The plan, light, sound, power and fit, in the order they are read."""
    found = room.assessment
    figure = desk.figure(room.plan, "No plan is drawn: the room is not measured.")
    parts = [Part("plan", [*desk.heading("Plan", desk.tall(figure) + 30.0), *figure])]
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
                        "What mends the colour", lambda: mending(desk, found, room.bounce_plan)
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


def _names(room: PacketRoom) -> list[str]:
    """The names of windows, lights and other things that one sentence may list instead of saying
    itself again for each.
    """
    record, found = room.room, room.assessment
    openings = [*(one.id for one in record.windows or ()), *(one.id for one in record.doors or ())]
    wired = [
        *(one.id for one in record.circuits or ()),
        *(one.id for one in record.outlets or ()),
        *(one.id for one in record.practicals or ()),
        *(one.id for one in record.furniture or ()),
    ]
    return [*openings, *wired, *_lights(found)]


def _lights(found: RoomAssessment | None) -> list[str]:
    return (
        list(
            dict.fromkeys(
                [*(one.light for one in found.bounce), *(one.light for one in found.surround)]
            )
        )
        if found
        else []
    )


def _hazards(desk: Desk, found: RoomAssessment, general: frozenset[str]) -> list[Flowable]:
    own = [caution for caution in dict.fromkeys(found.cautions) if caution not in general]
    if not own and not found.cautions:
        return []
    made = (
        [
            *desk.heading("Cautions in this room", 40.0),
            *(desk.text(f"– {caution}", BODY) for caution in own),
        ]
        if own
        else []
    )
    return [
        *made,
        desk.text(
            "What holds for every room stands on the page of cautions at the end: read it before the first light goes up.",
            QUIET,
        ),
    ]


def _facts(desk: Desk, room: PacketRoom) -> Ledger:
    """One line of figures under the title."""
    record, units = room.room, desk.units
    storey = (
        None
        if record.storey is None
        else "ground floor"
        if record.storey == 0
        else f"storey {record.storey}"
    )
    outdoors = record.setting == "exterior"
    size = sizes((record.width_m, record.length_m), units) if record.plan_m is None else None
    size = " · ".join(part for part in (size, area(_floor_m2(record), units)) if part) or None
    columns = [
        Column("Setting", 0.6),
        Column("Usable ground" if outdoors else "Floor", 1.4),
        Column("Facing", 2.6),
    ]
    row: list[Cell | str | None] = [plain(record.setting), size, _facing(record, room.assessment)]
    if not outdoors:
        columns[1:1] = [Column("Storey", 0.7), Column("Ceiling", 0.6)]
        row[1:1] = [storey, length(record.height_m, units)]
    return Ledger(desk.setter, columns, [row], missing=NOT_MEASURED)


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
    doubt = f" ± {facing.accuracy_deg:g}°" if facing.accuracy_deg is not None else ""
    words = f"out through wall {facing.wall}: {facing.bearing_deg:.0f}°{doubt} from {facing.north or 'a north that was not recorded'} north"
    if facing.north is None:
        words = f"out through wall {facing.wall}: {facing.bearing_deg:.0f}°{doubt}, north not recorded as true or magnetic"
    turns = (
        [
            window.magnetic_correction_deg
            for window in found.windows
            if window.magnetic_correction_deg is not None
        ]
        if found
        else []
    )
    if facing.north == "magnetic" and turns:
        true_deg = (facing.bearing_deg + turns[0]) % 360
        words += (
            f"; corrected by {turns[0]:+.1f}° that is {true_deg:.0f}° true ({compass(true_deg)})"
        )
    return words


def _verdicts(desk: Desk, found: RoomAssessment) -> list[Flowable]:
    made: list[Flowable] = []
    if not found.verdicts:
        return [desk.text("No verdict could be given.", QUIET)]
    columns = [Column("Verdict", 0.6), Column("On", 0.55), Column("Because", 4.0)]
    alike: dict[tuple[Level, str], list[str]] = {}
    for verdict in found.verdicts:
        alike.setdefault((verdict.level, verdict.topic), []).append(verdict.because)
    rows = [
        (Cell(WORDS[level], bold=True, level=level), Cell(plain(topic) or ""), Cell(because))
        for (level, topic), sentences in alike.items()
        for because in ends_shared(joined(sentences, _lights(found)))
    ]
    return [*made, Ledger(desk.setter, columns, rows)]


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
        rows.setdefault((one.by, moment(one.at), one.how, one.accuracy), []).append(
            fact_name(one.path)
        )
    lines = [(*who, Cell(", ".join(dict.fromkeys(names)))) for who, names in rows.items()]
    return [
        *desk.heading("Who measured what"),
        Ledger(desk.setter, columns, lines, missing=NOT_RECORDED),
    ]
