"""A wall's letter at its own wall: nearer to it than to any other, or led to it by a line.

 ____|####|____     the faces of a chimney breast lie closer than a letter is wide: the letters
     |####|         stand off, each with a hairline that ends at its own face
(C)--|    |--(E)
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from scout.calc.geometry import Wall
from scout.drawing.board import Board, in_polygon
from scout.drawing.plan.walls import View
from scout.drawing.shapes import Circle, Line, Point, Shape, rectangle
from scout.drawing.taken import BoolArray

RADIUS = 0.85  # of the circle round a letter, in sizes of the letters
NEARER = 0.8  # a letter's distance to its own wall, of that to the nearest other
FARTHEST = 16.0  # from the wall, in sizes of the letters
WAYS = 16  # directions tried round a place on the wall
TRIED = 300  # places of those, the best first
AT_ONCE = 30  # of those, whose paper is looked at together
SHARES = (0.5, 0.35, 0.65, 0.2, 0.8)  # of the wall's length


@dataclass(frozen=True)
class Lettered:
    """Where a letter stands; `led_to`: where the line ends that leads to its wall."""

    at: Point
    led_to: Point | None = None

    def leader(self, board: Board) -> tuple[Shape, ...]:
        """The line to the wall with its dot; nothing where none is needed."""
        if self.led_to is None:
            return ()
        u, far = board.hand.text_mm, math.dist(self.at, self.led_to)
        share = RADIUS * u / far
        (x, y), (to_x, to_y) = self.at, self.led_to
        edge = (x + (to_x - x) * share, y + (to_y - y) * share)
        board.take((edge, self.led_to))
        return (
            Line(edge, self.led_to, board.hand.pen("hair")),
            Circle(self.led_to, 0.16 * u, None, "ink"),
        )


def place_letter(board: Board, view: View, wall: Wall, distance: float) -> Lettered:
    """A free place for a wall's letter: outside by preference, further out when others stand there.

    distance: off the wall's inner face, in millimetres of the paper
    """
    u = board.hand.text_mm
    for out in (distance, distance - 0.7 * u, -1.5 * u):
        spots = [view.on_wall(wall, _along(view, wall, share), out) for share in SHARES]
        for k in np.flatnonzero(_free(board, spots)):
            if stands_at(view, wall, spots[k]):
                return Lettered(spots[k])
    crossing: Lettered | None = None
    tried = sorted(_led(view, wall, distance, u))[:TRIED]
    for first in range(0, TRIED, AT_ONCE):
        some = tried[first : first + AT_ONCE]
        free = _free(board, [at for _, at, _, _ in some])
        some = [
            one
            for one, stands in zip(some, free, strict=True)
            if stands and not (one[3] and in_polygon(view.outline, one[1]))
        ]
        if not some:
            continue
        through = [0.1 * u + (view.thickness_mm if outside else 0.0) for *_, outside in some]
        ways = [
            (_off(led_to, at, by), at) for (_, at, led_to, _), by in zip(some, through, strict=True)
        ]
        clear = np.flatnonzero(board.free(ways))
        if len(clear):
            _, at, led_to, _ = some[clear[0]]
            return Lettered(at, led_to)
        crossing = crossing or Lettered(some[0][1], some[0][2])
    if crossing is not None:
        return crossing
    middle = _along(view, wall, 0.5)
    return Lettered(view.on_wall(wall, middle, distance + 2 * u), view.on_wall(wall, middle))


def stands_at(view: View, wall: Wall, spot: Point) -> bool:
    """Whether a letter at a place is seen to be this wall's, and no other's."""
    own = _gap(view, wall, spot)
    return all(own <= NEARER * _gap(view, other, spot) for other in view.walls if other is not wall)


def _led(
    view: View, wall: Wall, distance: float, u: float
) -> Iterator[tuple[float, Point, Point, bool]]:
    """Places round the wall: what each costs, where its line would end, and on which side it lies."""
    square = math.degrees(math.atan2(wall.outward[1], wall.outward[0]))
    for share in SHARES:
        inner = view.on_wall(wall, _along(view, wall, share))
        outer = view.on_wall(wall, _along(view, wall, share), view.thickness_mm)
        # near its ends a wall's outer face is its neighbours' as well
        ends = {True: outer if stands_at(view, wall, outer) else inner, False: inner}
        for k in range(WAYS):
            turn = 360.0 * k / WAYS
            lies = math.cos(math.radians(turn))
            if abs(lies) < 0.25:  # along the wall it would be taken for a part of it
                continue
            end, way = ends[lies > 0], math.radians(square + turn)
            # outside, square off the wall's middle and near is what one looks for
            dear = 2.0 - abs(lies) + abs(share - 0.5)
            far = distance
            while far <= FARTHEST * u:
                at = (end[0] + math.cos(way) * far, end[1] + math.sin(way) * far)
                yield far * dear + (0.0 if lies > 0 else 3.0 * u), at, end, lies > 0
                far *= 1.25


def _along(view: View, wall: Wall, share: float) -> float:
    """A place along what of a wall is drawn."""
    start, end = view.stretch_m(wall) or (0.0, wall.length_m)
    return start + (end - start) * share


def _free(board: Board, spots: Sequence[Point]) -> BoolArray:
    """(n,) whether letters have room at places."""
    r = RADIUS * board.hand.text_mm
    return board.free(
        np.reshape([rectangle(x - r, y - r, x + r, y + r) for x, y in spots], (-1, 4, 2))
    )


def _off(start: Point, end: Point, by_mm: float) -> Point:
    """A point so far from a start towards an end."""
    share = by_mm / max(math.dist(start, end), by_mm)
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share


def _gap(view: View, wall: Wall, spot: Point) -> float:
    """From a point on the paper to a wall's measured face."""
    (x, y), (from_x, from_y) = spot, view.on_wall(wall, 0.0)
    dx, dy = x - from_x, y - from_y
    along = dx * float(wall.along[0]) + dy * float(wall.along[1])
    out = dx * float(wall.outward[0]) + dy * float(wall.outward[1])
    past = max(-along, along - wall.length_m * view.mm_per_m, 0.0)
    return math.hypot(past, out)
