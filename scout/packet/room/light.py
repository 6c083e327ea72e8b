"""The light of a room: the sun of the shoot date through its windows, and daylight at the marks."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import (
    DaylightAnswer,
    EventsAnswer,
    MarkDaylight,
    RoomAssessment,
    WindowSunAnswer,
)
from scout.assess.daylight.judged import judged_light
from scout.packet.blocks import Desk
from scout.packet.content import PacketRoom
from scout.packet.setting.table import Cell, Column, Ledger
from scout.packet.setting.text import SMALL
from scout.packet.words import clock, listed, minutes, number, plain, span, spells, unknown

NOT_KNOWN = "unknown"
_NUMBERED = re.compile(r"(.*\D) (\d+)")


def sun(desk: Desk, found: RoomAssessment) -> list[Flowable]:
    """The day's events, and when the sun stands in each window; windows with the same sun share a
    row.
    """
    made = desk.heading("Sun")
    zone = f"Local time, {found.timezone}." if found.timezone else "The time zone is not recorded."
    made += _events(desk, found.events, zone)
    if found.windows:
        columns = [
            Column("Window", 0.7),
            Column("Faces (true)", 0.6),
            Column("Direct sun", 1.5),
            Column("Within the doubt of the facing", 2.2),
            Column("Together", 0.7),
        ]
        alike: dict[tuple[str | None, str, str, str | None], list[str]] = {}
        for window in found.windows:
            alike.setdefault(_window(window), []).append(window.id)
        rows = [
            (Cell(listed(ids), bold=True), faces, Cell(shown), Cell(doubt), together)
            for (faces, shown, doubt, together), ids in alike.items()
        ]
        made.append(Ledger(desk.setter, columns, rows, space_after=4.0))
    block = found.blocks.get("windows")
    made += desk.sentences([unknown(block.unknown if block else None)])
    desk.assume(
        [
            *found.events.assumed,
            *(block.assumed if block else ()),
            *(sentence for window in found.windows for sentence in window.assumed),
        ]
    )
    return made


def _events(desk: Desk, events: EventsAnswer, zone: str) -> list[Flowable]:
    said = (
        [f"Low sun (between 4° under and 6° over the horizon): {spells(events.low_sun)}."]
        if events.low_sun
        else []
    )
    more = desk.sentences([" ".join([zone, *said]), *events.notes, unknown(events.unknown)])
    if events.state == "polar_day":
        return [desk.text("The sun does not set on this date.", SMALL), *more]
    if events.state == "polar_night":
        return [desk.text("The sun does not rise on this date.", SMALL), *more]
    if events.state is None:
        return more
    columns = [Column(name) for name in ("Dawn", "Sunrise", "Noon", "Sunset", "Dusk", "Day")]
    times = (events.dawn, events.sunrise, events.noon, events.sunset, events.dusk)
    row = [Cell(clock(at) or "none on this date") for at in times]
    row.append(
        Cell(minutes(events.day_length_min) or NOT_KNOWN, empty=events.day_length_min is None)
    )
    return [Ledger(desk.setter, columns, [row], space_after=4.0), *more]


def _window(window: WindowSunAnswer) -> tuple[str | None, str, str, str | None]:
    why = unknown(window.unknown) if not window.direct_sun else ""
    shown = why or spells(window.direct_sun) or "none on this date"
    ranges = []
    for one in window.direct_sun_range:
        ends = [
            f"{word} {spells([pair])}"
            for word, pair in (("begins", one.start), ("ends", one.end))
            if clock(pair[0]) != clock(pair[1])
        ]
        ranges.append(", ".join(ends) or "the same to the minute")
    facing = number(window.facing_deg, 0, "°")
    if facing is not None and window.facing_true is False:
        facing += " magnetic"
    return (
        facing and facing.replace(" °", "°"),
        shown,
        "; ".join(ranges),
        minutes(window.direct_sun_min),
    )


def daylight(desk: Desk, room: PacketRoom, found: RoomAssessment) -> list[Flowable]:
    """Daylight at the marks, overcast and clear, against what the camera needs."""
    light = found.daylight
    made = desk.heading("Daylight at the marks", 110.0)
    if light.marks:
        columns = [
            Column("Mark"),
            Column("Daylight factor", 1, "end"),
            Column("Overcast noon", 1, "end"),
            Column("Clear noon", 1, "end"),
            Column("To the camera: overcast, clear", 1.2, "end"),
            Column("Why not", 1.6),
        ]
        if not any(mark.unknown for mark in light.marks.values()):
            columns[-1] = Column("", 0.2)
        rows = [_marks(names, marks) for names, marks in _together(light.marks)]
        made.append(Ledger(desk.setter, columns, rows, missing=NOT_KNOWN, space_after=4.0))
    made += desk.sentences([_enough(light), unknown(light.unknown)])
    if room.daylight is not None:
        if room.daylight.floor is None and room.daylight.floor_unknown is not None:
            made += desk.sentences(
                [f"Daylight over the floor: {unknown(room.daylight.floor_unknown)}"]
            )
        desk.assume(room.daylight.floor_assumed)
    desk.assume(
        [*light.assumed, *(sentence for mark in light.marks.values() for sentence in mark.assumed)]
    )
    return made


def _enough(light: DaylightAnswer) -> str:
    if light.needed_lux is None:
        return "What the subject needs is not known: no camera is recorded."
    words = f"Needed at the subject: {light.needed_lux:.0f} lux; "
    lit = judged_light(light)
    if lit is not None and lit.enough_from and lit.enough_until:
        return f"{words}an overcast sky brings it {clock(lit.enough_from)}–{clock(lit.enough_until)}, {lit.where}."
    if lit is None or lit.overcast_lux_noon is None:
        return words + "when an overcast sky brings it is unknown."
    return f"{words}an overcast sky brings it at no time, {lit.where}."


def _together(marks: Mapping[str, MarkDaylight]) -> Iterator[tuple[list[str], list[MarkDaylight]]]:
    """The marks in their order; points of a walk (`path 1`, `path 2` ...) that share one reason, or
    none, are one row.
    """
    rows: dict[tuple[str, str | None], tuple[list[str], list[MarkDaylight]]] = {}
    for name, mark in marks.items():
        numbered = _NUMBERED.fullmatch(plain(name) or "")
        names, held = rows.setdefault(
            (numbered.group(1) if numbered else name, mark.unknown), ([], [])
        )
        names.append(numbered.group(2) if numbered else "")
        held.append(mark)
    for (stem, _), (names, held) in rows.items():
        yield [plain(stem) or "", *(name for name in names if name)], held


def _marks(names: Sequence[str], marks: Sequence[MarkDaylight]) -> Sequence[Cell | str | None]:
    stem, *points = names
    ends = (
        points
        if len(points) < 3
        else [f"{points[0]} to {points[-1]}"]
        if _unbroken(points)
        else points
    )
    return (
        Cell(f"{stem} {listed(ends)}".strip(), bold=True),
        span([mark.daylight_factor_pct for mark in marks], 2, "%"),
        span([mark.overcast_lux_noon for mark in marks], 0, "lux"),
        span([mark.clear_lux_noon for mark in marks], 0, "lux"),
        _to_camera(marks),
        Cell(unknown(marks[0].unknown)),
    )


def _to_camera(marks: Sequence[MarkDaylight]) -> Cell | str | None:
    """Light on the side the camera sees; the camera's own mark has no such side."""
    if all(mark.camera_overcast_lux_noon is None for mark in marks):
        return None if any(mark.camera_unknown for mark in marks) else Cell("")
    both = [
        span([getattr(mark, name) for mark in marks], 0, "lux")
        for name in ("camera_overcast_lux_noon", "camera_clear_lux_noon")
    ]
    return Cell("\n".join(part or NOT_KNOWN for part in both))


def _unbroken(points: Sequence[str]) -> bool:
    return [int(point) for point in points] == list(
        range(int(points[0]), int(points[0]) + len(points))
    )
