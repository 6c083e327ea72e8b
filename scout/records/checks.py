"""How the parts of a room sheet fit together: openings on their walls, marks inside the room, names
that mean something.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Protocol

import numpy as np

from scout.calc import geometry
from scout.errors import Refused, RefusedMany
from scout.records.base import parse_json
from scout.records.doorways import camera_doorway
from scout.records.piece_checks import (
    SLACK_M,
    above_ceiling,
    in_piece_refusals,
    metres,
    overlap_refusals,
    piece_refusals,
    place_given,
)
from scout.records.sheet import Door, Kit, Light, Marks, RoomRecord, RoomSheet, Window
from scout.values import Figure, Name, Said, Word, names, said

SIDE_LEAST_M = 0.01  # a cupboard is a room too; less is a slip of the unit
AREA_LEAST_M2 = 0.01
# A door and a window are measured to their frames by one and to their openings by another: so much of
# an overlap is asked about, and not refused.
FRAME_SLACK_M = 0.05


class _Labelled(Protocol):
    @property
    def id(self) -> str: ...


def read_sheet(data: Any, path: str = "") -> RoomSheet:
    """The sheet in `data` (JSON text, bytes, or plain values), judged whole. Raises RefusedMany
    with every refusal, each with its path.
    """
    if isinstance(data, (str, bytes)):
        try:
            data = parse_json(data, "room sheet")
        except Refused as refusal:
            raise RefusedMany([refusal]) from None
    if not isinstance(data, dict):
        raise RefusedMany([Refused("room sheet", None, said("sheet.no_object"))])
    sheet = RoomSheet.read(data, path)
    refusals = tuple(sheet_refusals(sheet))
    if refusals:
        raise RefusedMany(refusals)
    return sheet


def sheet_refusals(sheet: RoomSheet) -> Iterator[Refused]:
    """Everything in the sheet that cannot be so, in document order."""
    yield from room_refusals(sheet.room, "room")
    if sheet.marks is not None:
        yield from marks_refusals(sheet.room, sheet.marks, "marks")
    if sheet.kit is not None:
        yield from kit_refusals(sheet.kit, "kit", sheet.room)


def room_refusals(room: RoomRecord, path: str = "room") -> Iterator[Refused]:
    """What cannot be so within one room."""
    plan_refused = list(_plan_refusals(room, path))
    yield from plan_refused
    corners = None if plan_refused else room.corners_m
    walls = {wall.letter: wall for wall in geometry.walls(corners)} if corners is not None else None
    count = None if walls is None else len(walls)
    if room.facing is not None:
        yield from _wall_refusal(room.facing.wall, f"{path}.facing.wall", count)
    for name in room.surfaces or {}:
        if name not in {"ceiling", "floor"} and (
            name not in geometry.WALL_LETTERS[: count or geometry.WALLS_MOST]
        ):
            yield Refused(
                f"{path}.surfaces.{name}",
                None,
                said("sheet.no_surface", last=_last_wall(count)),
            )
    yield from _openings_refusals(room, path, walls, count)
    for kind in ("circuits", "outlets", "practicals", "furniture", "noise", "readings"):
        yield from _twice(getattr(room, kind) or (), f"{path}.{kind}")
    circuits = {circuit.id for circuit in room.circuits or ()}
    for i, outlet in enumerate(room.outlets or ()):
        here = f"{path}.outlets[{i}]"
        if outlet.circuit is not None and outlet.circuit not in circuits:
            yield Refused(
                f"{here}.circuit",
                outlet.circuit,
                said("sheet.no_circuit", circuits=names(sorted(circuits)))
                if circuits
                else said("sheet.no_circuits"),
            )
        if outlet.wall is not None:
            yield from _wall_refusal(outlet.wall, f"{here}.wall", count)
            if (
                walls
                and outlet.wall in walls
                and outlet.offset_m is not None
                and outlet.offset_m > walls[outlet.wall].length_m + SLACK_M
            ):
                yield Refused(
                    f"{here}.offset_m",
                    metres(outlet.offset_m),
                    _wall_said("sheet.past_end", walls[outlet.wall]),
                )
        if (
            outlet.height_m is not None
            and room.height_m is not None
            and outlet.height_m > room.height_m
        ):
            yield above_ceiling(f"{here}.height_m", outlet.height_m, room.height_m)
    for i, practical in enumerate(room.practicals or ()):
        if practical.at_m is not None:
            yield from _place_refusals(
                practical.at_m, f"{path}.practicals[{i}].at_m", room, corners
            )
    for i, block in enumerate(room.furniture or ()):
        yield from piece_refusals(block, f"{path}.furniture[{i}]", room, corners)
        yield from overlap_refusals(i, f"{path}.furniture[{i}]", room, walls)


def _plan_refusals(room: RoomRecord, path: str) -> Iterator[Refused]:
    if room.plan_m is None:
        for key in ("width_m", "length_m"):
            side = getattr(room, key)
            if side is not None and side < SIDE_LEAST_M:
                least = said("sheet.side_least", least=metres(SIDE_LEAST_M))
                yield Refused(f"{path}.{key}", metres(side), least)
        return
    here, plan = f"{path}.plan_m", np.asarray(room.plan_m, dtype=np.float64).reshape(-1, 2)
    if not 3 <= len(plan) <= geometry.WALLS_MOST:
        yield Refused(here, len(plan), said("sheet.corners", least=3, most=geometry.WALLS_MOST))
        return
    lengths = np.hypot(*(np.roll(plan, -1, axis=0) - plan).T)
    if np.any(lengths <= 1e-6):
        at = int(np.argmin(lengths))
        corner, again = f"{here}[{(at + 1) % len(plan)}]", said("sheet.corner_again")
        yield Refused(corner, place_given(float(part) for part in plan[at]), again)
        return
    crossing = geometry.crossing_walls(plan)
    if crossing is not None:
        a, b = (geometry.wall_letters(len(plan))[i] for i in crossing)
        flat = (
            np.linalg.matrix_rank(plan[1:] - plan[0], tol=1e-9) < 2
        )  # a bow tie has no net area either, yet it is not flat
        walls = said("sheet.crosses", one=Word("surface", a), other=Word("surface", b))
        yield Refused(here, None, said("sheet.flat") if flat else walls)
        return
    if geometry.plan_area_m2(plan) < AREA_LEAST_M2:
        yield Refused(here, None, said("sheet.no_area", least=Figure(AREA_LEAST_M2, "m2")))
        return
    if geometry.signed_area_m2(plan) > 0:
        yield Refused(here, None, said("sheet.anticlockwise"))
        return
    if room.width_m is not None or room.length_m is not None:
        spans = plan.max(axis=0) - plan.min(axis=0)
        for key, given, span in (
            ("width_m", room.width_m, spans[0]),
            ("length_m", room.length_m, spans[1]),
        ):
            if given is not None and abs(given - span) > 0.05:
                spans_m = said("sheet.plan_spans", span=metres(float(span)))
                yield Refused(f"{path}.{key}", metres(given), spans_m)


def _last_wall(count: int | None) -> Name | None:
    return Name(geometry.wall_letters(count)[-1]) if count else None


def _wall_said(code: str, wall: geometry.Wall) -> Said:
    return Said(code, (("wall", Word("surface", wall.letter)), ("length", metres(wall.length_m))))


def _wall_refusal(letter: str, path: str, count: int | None) -> Iterator[Refused]:
    if count is not None and letter not in geometry.wall_letters(count):
        yield Refused(path, letter, said("sheet.no_wall", last=_last_wall(count)))


def _openings_refusals(
    room: RoomRecord, path: str, walls: dict[str, geometry.Wall] | None, count: int | None
) -> Iterator[Refused]:
    openings: list[tuple[str, Window | Door]] = []
    for kind in ("windows", "doors"):
        rows: Sequence[Window | Door] = getattr(room, kind) or ()
        openings += [(f"{path}.{kind}[{i}]", opening) for i, opening in enumerate(rows)]
    seen: dict[str, str] = {}
    for here, opening in openings:
        if opening.id in seen:
            yield Refused(
                f"{here}.id",
                opening.id,
                said("sheet.id_taken", other=Word("fact", seen[opening.id])),
            )
        seen.setdefault(opening.id, here)
        yield from _wall_refusal(opening.wall, f"{here}.wall", count)
        wall = walls.get(opening.wall) if walls else None
        if wall is not None:
            yield from _on_wall(opening, here, wall)
        yield from _under_ceiling(opening, here, room)
    on_wall: dict[str, list[tuple[str, Window | Door]]] = {}
    for here, one in openings:
        earlier = on_wall.setdefault(one.wall, [])
        hit = next(
            ((before, other) for before, other in earlier if _overlap(one, other)), None
        )  # a list pasted twice is told once a window
        if hit is not None:
            yield Refused(
                f"{here}.offset_m",
                metres(one.offset_m or 0.0),
                said(
                    "sheet.overlap",
                    one=Name(one.id),
                    other=Name(hit[1].id),
                    wall=Word("surface", one.wall),
                ),
            )
        earlier.append((here, one))


def _on_wall(opening: Window | Door, here: str, wall: geometry.Wall) -> Iterator[Refused]:
    width, offset = opening.width_m, opening.offset_m
    if width is not None and width > wall.length_m + SLACK_M:
        yield Refused(f"{here}.width_m", metres(width), _wall_said("sheet.wider", wall))
    elif offset is not None and offset + (width or 0.0) > wall.length_m + SLACK_M:
        reach = metres(offset + (width or 0.0))
        past = said(
            "sheet.reaches_past",
            reach=reach,
            wall=Word("surface", wall.letter),
            length=metres(wall.length_m),
        )
        yield Refused(f"{here}.offset_m", metres(offset), past)


def _under_ceiling(opening: Window | Door, here: str, room: RoomRecord) -> Iterator[Refused]:
    if room.height_m is None or room.setting == "exterior":
        return
    sill = opening.sill_m if isinstance(opening, Window) else 0.0
    if sill is not None and isinstance(opening, Window) and sill >= room.height_m:
        yield above_ceiling(f"{here}.sill_m", sill, room.height_m)
    elif (
        opening.height_m is not None and (sill or 0.0) + opening.height_m > room.height_m + SLACK_M
    ):
        top = (sill or 0.0) + opening.height_m
        head = said("sheet.head_above", head=metres(top), ceiling=metres(room.height_m))
        yield Refused(f"{here}.height_m", metres(opening.height_m), head)


def _overlap(one: Window | Door, other: Window | Door) -> bool:
    slack = SLACK_M if type(one) is type(other) else FRAME_SLACK_M
    return min(overlap_m(one, other)) > slack


def overlap_m(one: Window | Door, other: Window | Door) -> tuple[float, float]:
    """By how much two openings overlap along their wall and upwards; 0 where that is not known."""
    if (
        one.wall != other.wall
        or one.offset_m is None
        or other.offset_m is None
        or one.width_m is None
        or other.width_m is None
    ):
        return 0.0, 0.0
    across = min(one.offset_m + one.width_m, other.offset_m + other.width_m) - max(
        one.offset_m, other.offset_m
    )
    return across, min(head_m(one), head_m(other)) - max(_sill(one), _sill(other))


def _sill(opening: Window | Door) -> float:
    return (opening.sill_m or 0.0) if isinstance(opening, Window) else 0.0


def head_m(opening: Window | Door) -> float:
    """How high an opening ends over the floor; without end where that is not known."""
    return _sill(opening) + opening.height_m if opening.height_m is not None else float("inf")


def _twice(rows: Sequence[_Labelled], path: str) -> Iterator[Refused]:
    seen: set[str] = set()
    for i, row in enumerate(rows):
        if row.id in seen:
            yield Refused(f"{path}[{i}].id", row.id, said("sheet.id_twice"))
        seen.add(row.id)


def _place_refusals(
    place: tuple[float, float, float], path: str, room: RoomRecord, corners: Any, what: str = ""
) -> Iterator[Refused]:
    if place[2] < 0:
        yield Refused(f"{path}[2]", metres(place[2]), said("sheet.below_floor"))
    if (
        room.height_m is not None
        and room.setting == "interior"
        and place[2] > room.height_m + SLACK_M
    ):
        yield above_ceiling(f"{path}[2]", place[2], room.height_m)
    if corners is not None and not bool(
        geometry.inside(corners, np.array(place[:2]), edge_m=SLACK_M)
    ):
        because = said("sheet.camera_outside") if what == "camera" else said("sheet.outside")
        yield Refused(path, place_given(place), because)


def marks_refusals(room: RoomRecord, marks: Marks, path: str = "marks") -> Iterator[Refused]:
    """Marks must stand in the room (when its plan is measured)."""
    corners = None if list(_plan_refusals(room, "room")) else room.corners_m
    for key in ("subject", "camera"):
        place = getattr(marks, key)
        if place is not None:
            behind_door = (
                key == "camera" and corners is not None and camera_doorway(room, marks) is not None
            )
            outside = None if behind_door else corners
            yield from _place_refusals(place, f"{path}.{key}", room, outside, key)
            yield from in_piece_refusals(place, f"{path}.{key}", room)
    for key in ("path", "others"):
        for i, place in enumerate(getattr(marks, key) or ()):
            yield from _place_refusals(place, f"{path}.{key}[{i}]", room, corners)
            yield from in_piece_refusals(place, f"{path}.{key}[{i}]", room)
    if (
        marks.subject is not None
        and marks.camera is not None
        and np.allclose(marks.subject[:2], marks.camera[:2], atol=0.01)
    ):
        yield Refused(
            f"{path}.camera",
            place_given(marks.camera),
            said("sheet.camera_on_subject"),
        )


def kit_refusals(kit: Kit, path: str = "kit", room: RoomRecord | None = None) -> Iterator[Refused]:
    """What cannot be so within a kit, and of its lights within the room."""
    for kind in (
        "other_cameras",
        "lights",
        "modifiers",
        "stands",
        "reflectors",
        "mics",
        "chargers",
    ):
        yield from _twice(getattr(kit, kind) or (), f"{path}.{kind}")
    lights = {light.id for light in kit.lights or ()}
    for i, charger in enumerate(kit.chargers or ()):
        if charger.id in lights:
            yield Refused(
                f"{path}.chargers[{i}].id",
                charger.id,
                said("sheet.charger_light"),
            )
    for i, stand in enumerate(kit.stands or ()):
        here = f"{path}.stands[{i}].lowest_m"
        yield from _upside_down(here, stand.lowest_m, stand.highest_m)
    for i, light in enumerate(kit.lights or ()):
        yield from _light_refusals(light, f"{path}.lights[{i}]", room)


def _upside_down(path: str, lowest_m: float | None, highest_m: float | None) -> Iterator[Refused]:
    if lowest_m is not None and highest_m is not None and lowest_m > highest_m:
        above = said("sheet.above_highest", highest=metres(highest_m))
        yield Refused(path, metres(lowest_m), above)


def _light_refusals(light: Light, here: str, room: RoomRecord | None) -> Iterator[Refused]:
    yield from _upside_down(f"{here}.stand_min_m", light.stand_min_m, light.stand_max_m)
    if light.reading_lux is not None and light.reading_at_m is None:
        yield Refused(f"{here}.reading_at_m", None, said("sheet.reading_at"))
    if light.reading_at_m is not None and light.reading_lux is None:
        yield Refused(f"{here}.reading_lux", None, said("sheet.reading_lux"))
    if light.at_m is None:
        return
    if light.aim_m is not None and np.allclose(light.at_m, light.aim_m, atol=1e-6):
        yield Refused(
            f"{here}.aim_m",
            place_given(light.aim_m),
            said("sheet.aim_at_itself"),
        )
    if light.at_m[2] < 0:
        yield Refused(f"{here}.at_m[2]", metres(light.at_m[2]), said("sheet.below_floor"))
    if (
        room is not None
        and room.height_m is not None
        and room.setting == "interior"
        and light.at_m[2] > room.height_m + SLACK_M
    ):
        yield above_ceiling(f"{here}.at_m[2]", light.at_m[2], room.height_m)
