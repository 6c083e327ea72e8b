"""Pages a room: what it is, its plan to scale, the verdicts; then light, sound, power and fit from the modules beside this one."""

from __future__ import annotations

import math

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import RoomAssessment
from scout.drawing.marks import WORDS
from scout.packet.blocks import Desk, Section
from scout.packet.content import PacketRoom
from scout.packet.photos import photo_flowables
from scout.packet.room_light import bounce, daylight, sun
from scout.packet.room_works import fit, power, sound
from scout.packet.table import NOT_MEASURED, NOT_RECORDED, Cell, Column, Ledger, facts
from scout.packet.text import BODY, QUIET
from scout.packet.words import area, compass, day, fact_name, length, moment, plain, sizes
from scout.records.sheet import RoomRecord
from scout.units import Units


def room_title(room: PacketRoom) -> str:
    """What a room is called in the contents and on its page."""
    return room.room.name or "Room without a name"


def room_pages(desk: Desk, section: Section, room: PacketRoom, location_name: str) -> list[Flowable]:
    """Everything known and worked out of a room."""
    found = room.assessment
    on = f" · worked out for {day(found.date)}" if found else ""
    made = desk.begin(section, f"Room at {location_name}{on}")
    made += desk.guarded("The facts of the room", lambda: [facts(desk.setter, _facts(room, desk.units), missing=NOT_MEASURED)])
    made += desk.heading("Plan", 200.0)
    made += desk.figure(room.plan, "No plan is drawn: the room is not measured.")
    if found is None:
        made.append(desk.text("Nothing is worked out for this room yet.", QUIET))
    else:
        made += desk.guarded("The verdicts", lambda: _verdicts(desk, found))
        made += desk.guarded("The sun", lambda: sun(desk, room, found))
        made += desk.guarded("The daylight", lambda: daylight(desk, found))
    made += desk.guarded("The sound", lambda: sound(desk, room))
    if found is not None:
        made += desk.guarded("The bounce", lambda: bounce(desk, found))
    made += desk.guarded("The power", lambda: power(desk, room))
    made += desk.guarded("The fit", lambda: fit(desk, room))
    for drawing in room.drawings:
        made += desk.heading(drawing.title, 160.0)
        made += desk.figure(drawing, "")
    if found is not None and found.cautions:
        made += desk.heading("Cautions in this room")
        made += [desk.text(f"– {caution}", BODY) for caution in found.cautions]
    photos, warnings = photo_flowables(desk.setter, room.photos, desk.width)
    desk.warnings += warnings
    made += [*desk.heading("Photos", photos[0].wrap(desk.width, desk.height)[1] + 34.0), *photos] if photos else []
    made += desk.notes(room.notes)
    made += _measured(desk, room)
    return made


def _facts(room: PacketRoom, units: Units) -> list[tuple[str, Cell | str | None]]:
    record = room.room
    storey = None if record.storey is None else "ground floor" if record.storey == 0 else f"storey {record.storey}"
    outdoors = record.setting == "exterior"
    size = sizes((record.width_m, record.length_m), units) if record.plan_m is None else None
    floor = _floor_m2(record)
    size = " · ".join(part for part in (size, area(floor, units)) if part) or None
    return [
        ("Setting", plain(record.setting)),
        ("Storey", storey) if not outdoors else ("Storey", "outdoors"),
        ("Usable ground" if outdoors else "Floor", size),
        ("Ceiling height", "outdoors" if outdoors else length(record.height_m, units)),
        ("Facing", _facing(record, room.assessment)),
    ]


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
    turns = [window.magnetic_correction_deg for window in found.windows if window.magnetic_correction_deg is not None] if found else []
    if facing.north == "magnetic" and turns:
        true_deg = (facing.bearing_deg + turns[0]) % 360
        words += f"; corrected by {turns[0]:+.1f}° that is {true_deg:.0f}° true ({compass(true_deg)})"
    return words


def _verdicts(desk: Desk, found: RoomAssessment) -> list[Flowable]:
    made = desk.heading("Verdicts")
    if not found.verdicts:
        return [*made, desk.text("None could be given.", QUIET)]
    columns = [Column("Verdict", 0.55), Column("On", 0.6), Column("Because", 3.4)]
    rows = [
        (Cell(WORDS[verdict.level], bold=True, level=verdict.level), Cell(plain(verdict.topic) or ""), Cell(verdict.because))
        for verdict in found.verdicts
    ]
    return [*made, Ledger(desk.setter, columns, rows)]


def _measured(desk: Desk, room: PacketRoom) -> list[Flowable]:
    if not room.measurements:
        return []
    columns = [Column("Fact", 1.5), Column("By"), Column("When", 1.2), Column("How"), Column("Accuracy")]
    rows = [(fact_name(one.path), one.by, moment(one.at), one.how, one.accuracy) for one in room.measurements]
    return [*desk.heading("Who measured what"), Ledger(desk.setter, columns, rows, missing=NOT_RECORDED)]


