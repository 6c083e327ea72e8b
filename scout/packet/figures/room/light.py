"""The light of a room: the sun of the shoot date through its windows, and daylight at the marks."""

from __future__ import annotations

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
from scout.packet.blocks import NOT_KNOWN, Desk
from scout.packet.figures.content import PacketRoom
from scout.packet.setting.table import Cell, Column, Ledger
from scout.packet.setting.text import SMALL
from scout.values import Figure, Many, Name, Said, Spell, Word, names, said
from scout.words.figures import (
    Words,
    clock,
    minutes,
    span,
    spell_list,
    spells,
    unknown,
)


def sun(desk: Desk, found: RoomAssessment) -> list[Flowable]:
    """The day's events, and when the sun stands in each window; windows with the same sun share a
    row.
    """
    made = desk.heading("Sun")
    zone = (
        said("packet.local_time", zone=Name(found.timezone))
        if found.timezone
        else said("packet.no_zone")
    )
    made += _events(desk, found.events, zone)
    if found.windows:
        columns = [
            Column("Window", 0.7),
            Column("Faces (true)", 0.6),
            Column("Direct sun", 1.5),
            Column("Within the compass error", 2.2),
            Column("Together", 0.7),
        ]
        alike: dict[tuple[Words | None, str, str, str | None], list[str]] = {}
        for window in found.windows:
            alike.setdefault(_window(window), []).append(window.id)
        rows = [
            (Cell(names(ids), bold=True), faces, Cell(shown), Cell(doubt), together)
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


def _events(desk: Desk, events: EventsAnswer, zone: Said) -> list[Flowable]:
    low = spell_list(events.low_sun)
    low_sun = said("packet.low_sun", spells=low) if low.items else None
    more = desk.sentences([zone, low_sun, *events.notes, unknown(events.unknown)])
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


def _window(window: WindowSunAnswer) -> tuple[Words | None, str, str, str | None]:
    why = unknown(window.unknown) if not window.direct_sun else ""
    shown = why or spells(window.direct_sun) or "none on this date"
    ranges = []
    for one in window.direct_sun_range:
        ends = [
            str(message)
            for message, pair in (
                (said("packet.sun_begins", spell=Spell(*one.start)), one.start),
                (said("packet.sun_ends", spell=Spell(*one.end)), one.end),
            )
            if clock(pair[0]) != clock(pair[1])
        ]
        ranges.append(", ".join(ends) or "the same to the minute")
    facing: Words | None = None
    if window.facing_deg is not None:
        facing = Figure(window.facing_deg, "deg")
        if window.facing_true is False:
            facing = said("packet.magnetic", bearing=facing)
    return (
        facing,
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
        rows = [_marks(*row) for row in _together(light.marks)]
        made.append(Ledger(desk.setter, columns, rows, missing=NOT_KNOWN, space_after=4.0))
    subject = light.marks.get("subject")
    width = None if subject is None else subject.range_because
    made += desk.sentences([_enough(light), width, unknown(light.unknown)])
    if room.daylight is not None:
        if room.daylight.floor is None and room.daylight.floor_unknown is not None:
            why = room.daylight.floor_unknown
            made += desk.sentences([said("packet.floor_unknown", why=why)])
        desk.assume(room.daylight.floor_assumed)
    desk.assume(
        [*light.assumed, *(sentence for mark in light.marks.values() for sentence in mark.assumed)]
    )
    return made


def _enough(light: DaylightAnswer) -> Said:
    if light.needed_lux is None:
        return said("packet.need_unknown")
    needed = Figure(light.needed_lux, "lux")
    lit = judged_light(light)
    if lit is not None and lit.enough_from and lit.enough_until:
        spell = Spell(lit.enough_from, lit.enough_until)
        return said("packet.enough", lux=needed, spell=spell, where=lit.where)
    if lit is None or lit.overcast_lux_noon is None:
        return said("packet.enough_unknown", lux=needed)
    return said("packet.never_enough", lux=needed, where=lit.where)


def _together(
    marks: Mapping[str, MarkDaylight],
) -> Iterator[tuple[str, list[int], list[MarkDaylight]]]:
    """The marks in their order; points of a walk that share one reason, or none, are one row."""
    rows: dict[tuple[str, Words | None], tuple[list[int], list[MarkDaylight]]] = {}
    for name, mark in marks.items():
        stem, _, number_ = name.rpartition(" ")
        walked = bool(stem) and number_.isdecimal()
        numbers, held = rows.setdefault((stem if walked else name, mark.unknown), ([], []))
        if walked:
            numbers.append(int(number_))
        held.append(mark)
    for (stem, _), (numbers, held) in rows.items():
        yield stem, numbers, held


def _marks(
    stem: str, points: Sequence[int], marks: Sequence[MarkDaylight]
) -> Sequence[Cell | str | None]:
    name = Word("mark", stem)
    unbroken = len(points) > 2 and [*points] == list(range(points[0], points[0] + len(points)))
    called = (
        said("packet.marks_range", mark=name, first=points[0], last=points[-1])
        if unbroken
        else said("packet.marks_listed", mark=name, points=Many(tuple(points)) if points else None)
    )
    return (
        Cell(called, bold=True),
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
