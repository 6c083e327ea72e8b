"""The floor under the plan's page, in whole centimetres with y downwards, as a browser draws:
walls, openings, ways out, metre grid.

It is a second, small renderer beside the draughtsman's sheet, with the same pictograms: things on
it move, and the page's script sets their names.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from scout.calc.fit.floor.space import exit_zone_m
from scout.calc.geometry import FloatArray, walls
from scout.drawing import pictograms, svg
from scout.drawing.lettering import Hand
from scout.records.plan import StagePlan
from scout.records.sheet import RoomRecord
from scout.values import Name, said

EDGE_CM = 60.0
DOOR_M = 0.9


@dataclass(frozen=True)
class Opening:
    """A window or door on its wall: the line it takes."""

    kind: str
    id: str
    line: tuple[float, float, float, float]


@dataclass(frozen=True)
class FloorBoard:
    """The unmoving part. A place (x, y) of the plan in metres is drawn at (left_cm + 100 x, top_cm
    - 100 y).
    """

    left_cm: float
    top_cm: float
    width_cm: float
    height_cm: float
    outline: str
    letters: tuple[tuple[str, float, float], ...]
    openings: tuple[Opening, ...]
    exits: tuple[str, ...]
    columns: tuple[float, ...]  # x of the metre grid
    rows: tuple[float, ...]

    def at(self, place_m: Sequence[float] | FloatArray) -> tuple[float, float]:
        """Where a place is drawn."""
        return round(self.left_cm + 100.0 * place_m[0], 1), round(
            self.top_cm - 100.0 * place_m[1], 1
        )

    def points(self, places_m: Iterable[Sequence[float] | FloatArray]) -> str:
        """The points of a polygon."""
        return " ".join("{:g},{:g}".format(*self.at(place)) for place in places_m)


def symbol(kind: str, size_cm: float = 20.0) -> svg.Svg:
    """One of the plan's own pictograms, looking along x, to be set and turned on the board."""
    hand, at = Hand(text_mm=size_cm), (0.0, 0.0)
    if kind == "subject":
        return svg.fragment(pictograms.person(hand, at, size_cm, 0.0))
    if kind == "camera":
        return svg.fragment(pictograms.camera(hand, at, size_cm, 0.0))
    if kind == "boom":
        return svg.fragment(pictograms.boom(hand, at, size_cm))
    return svg.fragment(pictograms.role_light(hand, at, size_cm, 0.0, kind))


def floor_board(room: RoomRecord) -> FloorBoard | None:
    """The floor of a room, or None when its plan is not measured."""
    if room.corners_m is None:
        return None
    plan = np.asarray(room.corners_m, dtype=np.float64)
    low, high = plan.min(axis=0), plan.max(axis=0)
    left, top = EDGE_CM - 100.0 * float(low[0]), EDGE_CM + 100.0 * float(high[1])
    empty = FloorBoard(
        left,
        top,
        100.0 * float(high[0] - low[0]) + 2 * EDGE_CM,
        100.0 * float(high[1] - low[1]) + 2 * EDGE_CM,
        "",
        (),
        (),
        (),
        (),
        (),
    )
    by_letter = {wall.letter: wall for wall in walls(plan)}
    middles = {
        letter: wall.start_m + wall.along * wall.length_m / 2 + wall.outward * 0.32
        for letter, wall in by_letter.items()
    }
    letters = tuple((letter, *empty.at(middle)) for letter, middle in middles.items())
    openings: list[Opening] = []
    exits: list[FloatArray] = []
    for kind, id_, letter, offset, width in [
        *(("window", w.id, w.wall, w.offset_m, w.width_m) for w in room.windows or ()),
        *(("door", d.id, d.wall, d.offset_m, d.width_m or DOOR_M) for d in room.doors or ()),
    ]:
        wall = by_letter.get(letter)
        if wall is None or offset is None or width is None:
            continue
        openings.append(
            Opening(
                kind, id_, (*empty.at(wall.point(offset)), *empty.at(wall.point(offset + width)))
            )
        )
        if kind == "door":
            exits.append(exit_zone_m(wall.start_m, wall.along, wall.outward, offset, width))
    columns = tuple(
        round(left + 100.0 * x, 1) for x in range(int(np.ceil(low[0])), int(np.floor(high[0])) + 1)
    )
    rows = tuple(
        round(top - 100.0 * y, 1) for y in range(int(np.ceil(low[1])), int(np.floor(high[1])) + 1)
    )
    return FloorBoard(
        left,
        top,
        empty.width_cm,
        empty.height_cm,
        empty.points(plan),
        letters,
        tuple(openings),
        tuple(empty.points(zone) for zone in exits),
        columns,
        rows,
    )


# -- what is moved on the floor
FACE_CM = 55.0  # from the subject to the handle that turns them


@dataclass(frozen=True)
class Mover:
    """Something that is moved on the board: the prefix of its fields, what it is called, its
    pictogram, where it is drawn and how it is turned.
    """

    prefix: str
    name: str
    kind: str
    x: float | None
    y: float | None
    turn: float = 0.0
    metres: tuple[float, ...] = ()
    width_cm: float = 0.0
    depth_cm: float = 0.0


def facing_deg(plan: StagePlan) -> float | None:
    """The way the subject faces, clockwise from straight up the drawing; None: towards the camera."""
    if plan.subject_normal is None:
        return None
    return math.degrees(math.atan2(plan.subject_normal[0], plan.subject_normal[1])) % 360.0


def places_of(plan: StagePlan) -> dict[str, list[float]]:
    """Every place of a plan in metres by the prefix of its fields, for the page's script, which
    reads no lengths itself.
    """
    named = {
        "at-subject": plan.subject,
        "at-camera": plan.camera,
        **{f"at-{light.id}": light.at_m for light in plan.lights},
        **{f"aim-{light.id}": light.aim_m for light in plan.lights},
        **{f"path-{k + 1}": place for k, place in enumerate(plan.path or ())},
        "boom": plan.boom,
        **{f"block-{one.id}": (*one.at_m, one.turn_deg or 0.0) for one in plan.furniture},
    }
    return {prefix: list(place) for prefix, place in named.items() if place is not None}


def turns_of(plan: StagePlan) -> dict[str, float]:
    """How the symbols are turned on the board, clockwise from looking right [deg]."""

    def towards(start: tuple[float, ...], end: tuple[float, ...] | None) -> float:
        if end is None:
            return 0.0
        return round(-math.degrees(math.atan2(end[1] - start[1], end[0] - start[0])), 1)

    turns = {
        f"at-{light.id}": towards(light.at_m, light.aim_m or plan.subject) for light in plan.lights
    }
    facing = facing_deg(plan)
    if plan.subject is not None:
        turns["at-subject"] = (
            facing - 90.0 if facing is not None else towards(plan.subject, plan.camera)
        )
    if plan.camera is not None:
        turns["at-camera"] = towards(plan.camera, plan.subject)
    return turns


def movers_of(
    plan: StagePlan,
    room: RoomRecord,
    board: FloorBoard,
    roles: Mapping[str, str],
    lights: Iterable[str],
    marks: int,
) -> tuple[Mover, ...]:
    """Everything that can be moved, furniture first so that it lies under the rest; what has no
    place yet waits, hidden.

    roles: the part that each light plays, by its name; lights: all, placed or not; marks: of the
        walk
    """
    places, turns = places_of(plan), turns_of(plan)
    movers = [
        Mover(
            prefix,
            block.id,
            "block",
            *board.at(places[prefix]),
            block.turn_deg or 0.0,
            tuple(places[prefix]),
            100.0 * block.width_m,
            100.0 * block.depth_m,
        )
        for block in room.furniture or ()
        if (prefix := f"block-{block.id}") in places
        and block.width_m is not None
        and block.depth_m is not None
    ]

    def put(prefix: str, name: str, kind: str) -> None:
        x, y = board.at(places[prefix]) if prefix in places else (None, None)
        metres = tuple(places.get(prefix, ()))
        movers.append(Mover(prefix, name, kind, x, y, turns.get(prefix, 0.0), metres))

    for k in range(1, marks + 1):
        put(f"path-{k}", str(k), "walk")
    for light in plan.lights:
        put(f"aim-{light.id}", str(said("plan.aim", light=Name(light.id))), "aim")
    put("at-camera", "camera", "camera")
    put("at-subject", "subject", "subject")
    if plan.subject is not None:
        x, y = board.at(plan.subject)
        turned = turns["at-subject"]
        across, down = math.cos(math.radians(turned)), math.sin(math.radians(turned))
        hand = (round(x + FACE_CM * across, 1), round(y + FACE_CM * down, 1))
        movers.append(Mover("facing", "facing", "facing", *hand, turned))
    for name in lights:
        put(f"at-{name}", name, roles.get(name, "other"))
    put("boom", "boom", "boom")
    return tuple(movers)
