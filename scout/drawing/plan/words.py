"""The plan in words: the text alternative that says the same facts as the drawing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from scout.assess.answers import Placement
from scout.calc.geometry import facing_deg, walls
from scout.drawing.lettering import clip, tidy
from scout.drawing.plan.rim import SunBearing
from scout.drawing.plan.things import PatchHour
from scout.drawing.plan.walls import unplaced
from scout.records.sheet import Door, Marks, RoomRecord, SheetLocation, Window
from scout.units import Units, metres_as_text

if TYPE_CHECKING:
    from scout.drawing.plan.sheet import North

NAME_MOST = (
    60.0  # widths of an average letter or so; a name in the words is clipped as on the drawing
)


def _name(text: str) -> str:
    return clip(text, NAME_MOST, 1.6)


def plan_title(room: RoomRecord, location: SheetLocation | None) -> str:
    """What the drawing is, in one line."""
    where = f", {_name(location.name)}" if location is not None and location.name else ""
    return f"Plan of {_name(room.name) if room.name else 'a room without a name'}{where}"


def plan_description(
    room: RoomRecord,
    location: SheetLocation | None,
    marks: Marks | None,
    placements: Sequence[Placement],
    north: North | None,
    sun: Sequence[SunBearing],
    patches: Sequence[PatchHour],
    units: Units,
) -> str:
    """Every fact that the plan shows, as sentences."""

    def length(value_m: float) -> str:
        return metres_as_text(value_m, units)

    words = [f"{plan_title(room, location)}."]
    corners = room.corners_m
    if corners is None:
        words.append("Its width and length are not measured, so nothing is drawn to scale.")
    elif room.plan_m is None and room.width_m is not None and room.length_m is not None:
        words.append(f"A rectangle {length(room.width_m)} by {length(room.length_m)}.")
    elif room.setting == "exterior":
        words.append(f"Usable ground outdoors with {len(corners)} edges.")
    else:
        words.append(f"A plan of {len(corners)} walls.")
    if room.setting != "exterior":
        words.append(
            f"Height {length(room.height_m)}."
            if room.height_m is not None
            else "Height not measured."
        )
    words += _walls(room, north, length)
    words += _things(room, marks, placements, length)
    if corners is not None:
        words += unplaced(room)
    if north is None:
        words.append("North is not measured.")
    elif not north.true:
        words.append(
            f"Wall {north.wall} faces {north.bearing_deg:.0f} degrees, not corrected to true north."
        )
    if sun and north is not None and north.true:
        stands = (
            f"{s.kind + ' ' if s.kind != 'hour' else ''}{tidy(s.label)} at {s.azimuth_deg:.0f} degrees"
            for s in sun
        )
        words.append(f"The sun stands: {'; '.join(stands)}.")
    for hour in patches:
        lit = sorted({patch.surface for window in hour.windows for patch in window.patches})
        surfaces = ", ".join(
            "the floor" if s == "floor" else f"wall {s}" if len(s) == 1 else f"the {s}" for s in lit
        )
        words.append(
            f"At {tidy(hour.label)} the sun falls on {surfaces}."
            if lit
            else f"At {tidy(hour.label)} no sun comes in."
        )
    return " ".join(words)


def _walls(room: RoomRecord, north: North | None, length: Callable[[float], str]) -> list[str]:
    corners = room.corners_m
    found = walls(corners) if corners is not None else ()
    facing: dict[str, float] = {}
    if north is not None and north.true and found and 0 <= ord(north.wall) - ord("A") < len(found):
        facing = {
            wall.letter: float(deg)
            for wall, deg in zip(
                found,
                facing_deg(corners, ord(north.wall) - ord("A"), north.bearing_deg),  # type: ignore[arg-type]
                strict=True,
            )
        }
    kind = "Edge" if room.setting == "exterior" else "Wall"
    words = []
    openings: list[tuple[str, Window | Door]] = [
        *(("window", w) for w in room.windows or ()),
        *(("door", d) for d in room.doors or ()),
    ]
    letters = [wall.letter for wall in found] or sorted({opening.wall for _, opening in openings})
    lengths = {wall.letter: wall.length_m for wall in found}
    for letter in letters:
        parts = [f"{kind} {letter}"]
        if letter in lengths:
            parts.append(f"is {length(lengths[letter])} long")
        if letter in facing:
            parts.append(f"and faces {facing[letter] % 360:.0f} degrees (true)")
        holds = []
        for name, opening in openings:
            if opening.wall == letter:
                wide = (
                    f", {length(opening.width_m)} wide"
                    if opening.width_m is not None
                    else ", width not measured"
                )
                at = (
                    f", {length(opening.offset_m)} from its left end"
                    if opening.offset_m is not None
                    else ", place not measured"
                )
                holds.append(f"{name} {tidy(opening.id)}{wide}{at}")
        if holds:
            parts.append(
                "with " + " and ".join(holds) if len(holds) == 1 else "with " + "; ".join(holds)
            )
        words.append(" ".join(parts) + ".")
    return words


def _things(
    room: RoomRecord,
    marks: Marks | None,
    placements: Sequence[Placement],
    length: Callable[[float], str],
) -> list[str]:
    words = []
    for outlet in room.outlets or ():
        if outlet.wall is not None and outlet.offset_m is not None:
            circuit = f"circuit {tidy(outlet.circuit)}" if outlet.circuit else "circuit not known"
            words.append(
                f"Outlet {tidy(outlet.id)} ({circuit}) on wall {outlet.wall}, {length(outlet.offset_m)} from its left end."
            )

    def at(place: Sequence[float]) -> str:
        return f"{length(place[0])} across and {length(place[1])} up the plan"

    for block in room.furniture or ():
        if block.at_m is not None and block.width_m is not None and block.depth_m is not None:
            high = (
                f"{length(block.height_m)} high"
                if block.height_m is not None
                else "height not measured"
            )
            words.append(
                f"{tidy(block.id)}, {length(block.width_m)} by {length(block.depth_m)}, {high}, stands at {at(block.at_m)}."
            )
    words += [
        f"Practical {tidy(lamp.id)} at {at(lamp.at_m)}."
        for lamp in room.practicals or ()
        if lamp.at_m is not None
    ]
    if marks is not None:
        if marks.subject is not None:
            words.append(f"The subject stands at {at(marks.subject)}.")
        if marks.camera is not None:
            words.append(f"The camera stands at {at(marks.camera)}.")
        if marks.path:
            words.append(f"The subject walks from {at(marks.path[0])} to {at(marks.path[-1])}.")
    words += [
        f"Light {tidy(placement.light)} ({placement.source}) stands at {at(placement.at_m)}."
        for placement in placements
    ]
    return words
