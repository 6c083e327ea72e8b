"""What mirrors in the frame: bare windows once the sun is down, walls of a gloss finish, and pieces of
glass.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np

from scout.assess.answers import Change, Finding, Placement, RoomAssessment, act
from scout.assess.daylight.place.where import place_of
from scout.assess.fit.frame.kinds import Mirrored
from scout.assess.fit.kinds import FLOOR
from scout.assess.setup import Setup
from scout.assess.stage.floor import ground, stage_of
from scout.assess.stage.kit import lights_by_id
from scout.calc.daylight.sun.position import SUNRISE_DEG, sun_position
from scout.calc.fit.floor.space import BoolArray
from scout.calc.fit.lens.camera import View
from scout.calc.fit.shadow.mirrored import Mirror, met_m, shown
from scout.calc.fit.stand.lights import Stage
from scout.calc.geometry import FloatArray, Wall, walls
from scout.records.sheet import Furniture, RoomRecord, Window
from scout.values import Many, Name, Said, Value, Word, names, said

STEP = timedelta(minutes=5)  # how finely the hours are asked for the dark
HEAD_M = 0.3  # of a light where none is recorded (common practice)
CAMERA_M = 0.15  # half of a camera with its lens and matte box (common practice)
# of a lamp's head or a camera: its middle and six ends of it
ENDS = np.array(
    [(0, 0, 0), (1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1), (0, 0, -1)], dtype=float
)
SQUARE_M = 0.01  # a tape tells no nearer which side of a piece is the broader
BARE = (None, "none")  # what hangs in a window before its glass shows no room


def mirrored(setup: Setup, found: RoomAssessment) -> Iterator[Finding]:
    """What windows, gloss walls and pieces show the scene's widest lens: lamps, and in glass the
    camera.
    """
    judged, room = found.fit.judged_mm, setup.sheet.room
    floor = ground(room)
    stage = stage_of(setup.sheet, floor)
    if not isinstance(stage, Stage) or not stage.views or not judged or room.corners_m is None:
        return
    if not floor.walled:
        return
    view = replace(stage.views[0], focal_length_mm=min(judged))
    by_letter = {wall.letter: wall for wall in walls(room.corners_m)}
    lamps = _lamps(setup, found)
    things = {name: ends for name, (_, ends) in lamps.items()}
    yield from _in_windows(setup, stage, view, by_letter, things)
    yield from _in_pieces(setup, stage, view, things)
    for letter, wall in by_letter.items():
        surface = (room.surfaces or {}).get(letter)
        if surface is None or surface.finish != "gloss" or room.height_m is None:
            continue
        glossy = Mirror(wall, 0.0, wall.length_m, 0.0, room.height_m)
        seen = [
            name
            for name, (placed, ends) in lamps.items()
            if np.any(
                shown(view, stage.space, glossy, stage.subject_m, ends)
                & _falls_there(glossy, view, placed, ends)
                & ~_in_opening(room, glossy, met_m(glossy, view.at_m, ends))
            )
        ]
        if seen:
            gain = Change("mirrored", "", float(len(seen)), 0.0)
            flag = act("flag.gloss", lights=names(seen), surface=Word("surface", letter), buys=gain)
            yield Mirrored(
                level="care",
                about=(Word("surface", letter),),
                shows=names(seen),
                rests_on=(*FLOOR, f"surfaces.{letter}.finish"),
                acts=(flag,),
            )


def dark_from(setup: Setup) -> datetime | None:
    """The first instant of the scene's hours at which the sun is down; None where it is up all the
    time, and where place or hours are not known.
    """
    place = place_of(setup.sheet.location)
    if setup.hours is None or place.unknown is not None:
        return None
    begin, end = setup.hours
    moments = [begin + STEP * k for k in range(int((end - begin) / STEP) + 1)]
    if moments[-1] < end:
        moments.append(end)
    at = np.array([moment.timestamp() for moment in moments])
    down = sun_position(at, **place.where).geometric_elevation_deg < SUNRISE_DEG
    return moments[int(np.argmax(down))] if bool(np.any(down)) else None


def _in_windows(
    setup: Setup,
    stage: Stage,
    view: View,
    by_letter: dict[str, Wall],
    things: Mapping[str, FloatArray],
) -> Iterator[Finding]:
    """Once it is dark: all windows together, for one pair of hands covers them."""
    dark = dark_from(setup)
    if dark is None:
        return
    glass: list[str] = []
    shows: dict[Value | Said, None] = {}
    for window in setup.sheet.room.windows or ():
        mirror = _glass(window, by_letter)
        if mirror is None or window.covering not in BARE:
            continue
        if seen := _seen(stage, view, (mirror,), things):
            glass.append(window.id)
            shows.update(dict.fromkeys(seen))
    if glass:
        gain = Change("mirrored", "", float(len(shows)), 0.0)
        yield Mirrored(
            level="care",
            about=tuple(map(Name, glass)),
            shows=Many(tuple(shows)),
            dark=dark,
            rests_on=(*FLOOR, *(f"windows.{name}.covering" for name in glass)),
            acts=(act("cover.windows", windows=names(glass), buys=gain),),
        )


def _in_pieces(
    setup: Setup, stage: Stage, view: View, things: Mapping[str, FloatArray]
) -> Iterator[Finding]:
    """At any hour, all pieces together: whoever sees to one looks through the lens for all."""
    glass: list[str] = []
    shows: dict[Value | Said, None] = {}
    for piece in setup.sheet.room.furniture or ():
        if piece.mirrors and (seen := _seen(stage, view, _faces(piece), things)):
            glass.append(piece.id)
            shows.update(dict.fromkeys(seen))
    if glass:
        gain = Change("mirrored", "", float(len(shows)), 0.0)
        yield Mirrored(
            level="care",
            about=tuple(map(Name, glass)),
            shows=Many(tuple(shows)),
            rests_on=(*FLOOR, *(f"furniture.{name}.mirrors" for name in glass)),
            acts=(act("cover.pieces", pieces=names(glass), buys=gain),),
        )


def _seen(
    stage: Stage, view: View, mirrors: Sequence[Mirror], things: Mapping[str, FloatArray]
) -> list[Value | Said]:
    """What any of some mirrors shows: lamps by their names, then the camera."""

    def shows(ends: FloatArray) -> bool:
        return any(
            bool(np.any(shown(view, stage.space, mirror, stage.subject_m, ends)))
            for mirror in mirrors
        )

    seen: list[Value | Said] = [Name(name) for name, ends in things.items() if shows(ends)]
    if shows(np.asarray(view.at_m) + CAMERA_M * ENDS):
        seen.append(said("fit.camera_and_crew"))
    return seen


def _faces(piece: Furniture) -> tuple[Mirror, ...]:
    """The broader sides of a piece as mirrors, of a square one all four; none of a piece whose place
    or height is not measured.
    """
    if piece.corners_m is None or piece.height_m is None:
        return ()
    ring = np.asarray(piece.corners_m, dtype=np.float64)
    sides = []
    # the corners run clockwise, so that a wall from each to the one before has the piece behind it
    for start, end in zip(np.roll(ring, -1, axis=0), ring, strict=True):
        length = float(np.linalg.norm(end - start))
        along = (end - start) / length
        outward = np.array([-along[1], along[0]])
        sides.append(Wall("", start, end, length, along, outward))
    broad = max(side.length_m for side in sides) - SQUARE_M
    low, high = piece.clear_below_m or 0.0, piece.height_m
    return tuple(Mirror(one, 0.0, one.length_m, low, high) for one in sides if one.length_m > broad)


def _lamps(setup: Setup, found: RoomAssessment) -> dict[str, tuple[Placement, FloatArray]]:
    """The lights that stand, each with the ends of its head (n, 3)."""
    given = lights_by_id(setup.sheet)
    lamps = {}
    for name, placed in found.placements.items():
        light = given.get(name)
        sizes = (light.head_m, light.soft_width_m) if light is not None else (None, None)
        half = max(sizes[0] or HEAD_M, sizes[1] or 0.0) / 2.0
        lamps[name] = placed, np.asarray(placed.at_m) + half * ENDS
    return lamps


def _glass(window: Window, by_letter: dict[str, Wall]) -> Mirror | None:
    wall = by_letter.get(window.wall)
    if (
        wall is None
        or window.offset_m is None
        or window.width_m is None
        or window.sill_m is None
        or window.height_m is None
    ):
        return None
    right, top = window.offset_m + window.width_m, window.sill_m + window.height_m
    return Mirror(wall, window.offset_m, right, window.sill_m, top)


def _falls_there(mirror: Mirror, view: View, placed: Placement, ends: FloatArray) -> BoolArray:
    """(n,) whether a lamp's front looks towards where it would be seen; gloss shows its light alone."""
    if placed.aim_m is None:
        return np.ones(len(ends), dtype=np.bool_)
    way = np.subtract(placed.aim_m, placed.at_m)
    return np.asarray((met_m(mirror, view.at_m, ends) - ends) @ way > 0.0)


def _in_opening(room: RoomRecord, mirror: Mirror, places: FloatArray) -> BoolArray:
    """(n,) whether places on a wall lie in a window or a door of it, which are not painted."""
    found = np.zeros(len(places), dtype=np.bool_)
    for window in room.windows or ():
        glass = _glass(window, {mirror.wall.letter: mirror.wall})
        if glass is not None:
            found |= glass.holds(places)
    for door in room.doors or ():
        if (
            door.wall == mirror.wall.letter
            and door.offset_m is not None
            and door.width_m is not None
            and door.height_m is not None
        ):
            right = door.offset_m + door.width_m
            leaf = Mirror(mirror.wall, door.offset_m, right, 0.0, door.height_m)
            found |= leaf.holds(places)
    return found
