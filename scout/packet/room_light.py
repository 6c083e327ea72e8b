"""The light of a room: the sun of the shoot date through its windows, daylight at the marks, colour off its surfaces."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import BounceAnswer, EventsAnswer, Level, Risk, RoomAssessment, WindowSunAnswer
from scout.packet.blocks import Desk
from scout.packet.content import PacketRoom
from scout.packet.table import Cell, Column, Ledger, facts
from scout.packet.text import QUIET, SMALL
from scout.packet.words import clock, minutes, number, plain, spells, unknown

_RISKS: dict[Risk, Level] = {"none": "good", "low": "good", "medium": "care", "high": "problem"}
NOT_KNOWN = "unknown"


def sun(desk: Desk, room: PacketRoom, found: RoomAssessment) -> list[Flowable]:
    """The day's events, the ruler of the day, and when the sun stands in each window."""
    made = desk.heading("Sun", 150.0)
    zone = f"Local time, {found.timezone}." if found.timezone else "The time zone is not recorded."
    made.append(desk.text(zone, QUIET))
    made += desk.figure(room.timeline, "No timeline of the sun is drawn.")
    made += _events(desk, found.events)
    if found.windows:
        columns = [Column("Window", 0.7), Column("Faces (true)", 0.8), Column("Direct sun", 2.2), Column("Together", 0.8)]
        rows = [_window(window) for window in found.windows]
        made.append(Ledger(desk.setter, columns, rows))
    block = found.blocks.get("windows")
    assumed = [*(block.assumed if block else ()), *(sentence for window in found.windows for sentence in window.assumed)]
    made += desk.sentences([unknown(block.unknown if block else None)])
    return [*made, *desk.assumed([*found.events.assumed, *assumed])]


def _events(desk: Desk, events: EventsAnswer) -> list[Flowable]:
    if events.unknown and events.state is None:
        return [desk.text(unknown(events.unknown), SMALL)]
    if events.state == "polar_day":
        return [desk.text("The sun does not set on this date.", SMALL), *_low(desk, events)]
    if events.state == "polar_night":
        return [desk.text("The sun does not rise on this date.", SMALL), *_low(desk, events)]
    columns = [Column(name) for name in ("Dawn", "Sunrise", "Noon", "Sunset", "Dusk", "Day")]
    times = (events.dawn, events.sunrise, events.noon, events.sunset, events.dusk)
    row = [Cell(clock(at) or "none on this date") for at in times]
    row.append(Cell(minutes(events.day_length_min) or NOT_KNOWN, empty=events.day_length_min is None))
    return [Ledger(desk.setter, columns, [row], space_after=4.0), *_low(desk, events)]


def _low(desk: Desk, events: EventsAnswer) -> list[Flowable]:
    said = [f"Low sun (between 4° under and 6° over the horizon): {spells(events.low_sun)}."] if events.low_sun else []
    return desk.sentences([*said, *events.notes, unknown(events.unknown) if events.state else ""])


def _window(window: WindowSunAnswer) -> Sequence[Cell | str | None]:
    if window.unknown and not window.direct_sun:
        shown: Cell = Cell(unknown(window.unknown))
    elif not window.direct_sun:
        shown = Cell("none on this date")
    else:
        words = spells(window.direct_sun)
        ranges = [f"begins {spells([one.start])}, ends {spells([one.end])}" for one in window.direct_sun_range]
        shown = Cell(words + (f"\n{'; '.join(ranges)}, within the doubt of the facing" if ranges else ""))
    facing = number(window.facing_deg, 0, "°")
    if facing is not None and window.facing_true is False:
        facing += " magnetic"
    return (Cell(window.id, bold=True), facing.replace(" °", "°") if facing else None, shown, minutes(window.direct_sun_min))


def daylight(desk: Desk, found: RoomAssessment) -> list[Flowable]:
    """Daylight at the marks, overcast and clear, against what the camera needs."""
    light = found.daylight
    made = desk.heading("Daylight at the marks")
    if light.marks:
        columns = [
            Column("Mark"), Column("Daylight factor", 1, "end"), Column("Overcast noon", 1, "end"),
            Column("Clear noon", 1, "end"), Column("Why not", 1.6),
        ]  # fmt: skip
        rows: list[Sequence[Cell | str | None]] = [
            (
                Cell(plain(name) or "", bold=True),
                number(mark.daylight_factor_pct, 2, "%"),
                number(mark.overcast_lux_noon, 0, "lux"),
                number(mark.clear_lux_noon, 0, "lux"),
                Cell(unknown(mark.unknown)),
            )
            for name, mark in light.marks.items()
        ]
        made.append(Ledger(desk.setter, columns, rows, missing=NOT_KNOWN, space_after=4.0))
    enough = None if light.unknown else "at no time"
    if light.enough_from and light.enough_until:
        enough = f"{clock(light.enough_from)}–{clock(light.enough_until)}"
    pairs: list[tuple[str, Cell | str | None]] = [("Needed at the subject", number(light.needed_lux, 0, "lux"))]
    if light.needed_lux is not None:
        pairs.append(("Enough daylight, overcast", enough))
    made.append(facts(desk.setter, pairs, missing=NOT_KNOWN, space_after=4.0))
    made += desk.sentences([unknown(light.unknown)])
    return [*made, *desk.assumed([*light.assumed, *(sentence for mark in light.marks.values() for sentence in mark.assumed)])]


def bounce(desk: Desk, found: RoomAssessment) -> list[Flowable]:
    """What each surface does to each light that is bounced off it, and what surrounds the subject."""
    made = desk.heading("Bounce")
    block = found.blocks.get("bounce")
    if found.bounce:
        columns = [
            Column("Light", 0.7), Column("Surface", 0.8), Column("Cast", 1.0), Column("ΔE grey", 0.8, "end"), Column("Warmer by", 0.8, "end"),
            Column("Loss", 0.7, "end"), Column("Do", 2.0),
        ]  # fmt: skip
        made.append(Ledger(desk.setter, columns, [_bounced(one) for one in found.bounce], missing=NOT_KNOWN))
    else:
        made.append(desk.text("No light was bounced off a surface.", QUIET))
    if found.surround:
        columns = [
            Column("Light"), Column("Side of the face", 1.1), Column("Bounced share", 1, "end"), Column("ΔE grey", 0.7, "end"),
            Column("Cast"), Column("Worst surface"),
        ]  # fmt: skip
        rows: list[Sequence[Cell | str | None]] = [
            (
                Cell(one.light, bold=True),
                Cell(one.side),
                number(None if one.bounced_share is None else one.bounced_share * 100, 1, "%"),
                number(one.delta_e, 1),
                _risk(one.risk, one.unknown),
                one.worst_surface,
            )
            for one in found.surround
        ]
        made.append(Ledger(desk.setter, columns, rows, missing=NOT_KNOWN))
    around = found.blocks.get("surround")
    made += desk.sentences([unknown(block.unknown if block else None), unknown(around.unknown if around else None)])
    said = [sentence for part in (block, around) if part for sentence in part.assumed]
    said += [sentence for one in (*found.bounce, *found.surround) for sentence in one.assumed]
    return [*made, *desk.assumed(said)]


def _risk(risk: Risk | None, why: str | None) -> Cell:
    return Cell(unknown(why) or NOT_KNOWN, level="unknown") if risk is None else Cell(risk, bold=True, level=_RISKS[risk])


def _bounced(one: BounceAnswer) -> Sequence[Cell | str | None]:
    mired = None if one.mired_shift is None else f"{one.mired_shift:+.0f} mired"
    if one.mired_shift is None and one.delta_e is not None:
        mired = "no white light"  # the colour is too far from white to have a temperature
    return (
        Cell(one.light, bold=True),
        Cell(one.surface),
        _risk(one.risk, one.unknown),
        number(one.delta_e, 1),
        mired,
        number(one.loss_stops, 1, "stops"),
        Cell(one.remedy or ""),
    )
