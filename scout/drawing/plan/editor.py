"""The floor under the plan's page, in whole centimetres with y downwards, as a browser draws:
walls, openings, ways out, metre grid.

It is a second, small renderer beside the draughtsman's sheet, with the same pictograms: things on
it move, and the page's script sets their names.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from scout.calc.fit.space import exit_zone_m
from scout.calc.geometry import FloatArray, walls
from scout.drawing import pictograms, svg
from scout.drawing.lettering import Hand
from scout.records.sheet import RoomRecord

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
