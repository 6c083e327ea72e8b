"""Tapes on a plan: the distance of a stand or a mark square off a wall, so that a crew can lay it
out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scout.drawing.board import Board
from scout.drawing.plan.walls import View
from scout.drawing.shapes import Line, turned
from scout.values import Figure, Many, Name, Said, Word, said

ALONG = (0.5, 0.4, 0.6, 0.3, 0.7, 0.22, 0.78)


@dataclass(frozen=True)
class TapeLine:
    """From a place square to a wall."""

    place_m: tuple[float, float]
    foot_m: tuple[float, float]
    wall: str
    distance_m: float

    @property
    def words(self) -> Said:
        """`1.20 m off D`."""
        wall, length = Word("surface", self.wall), Figure(self.distance_m, "m")
        return said("drawing.off_wall", length=length, wall=wall)


def taped(tapes: Sequence[TapeLine]) -> Many:
    """`1.20 m off D and 0.85 m off C`."""
    return Many(tuple(tape.words for tape in tapes))


def draw_tapes(
    board: Board, view: View, name: Name | Said | Word, tapes: Sequence[TapeLine], reach_mm: float
) -> None:
    """Thin lines with a slash at the wall and their length; a length that finds no room is said
    beside the drawing.
    """
    hand, u = board.hand, board.hand.text_mm
    untold = []
    for tape in tapes:
        start, end = view.paper(*tape.place_m), view.paper(*tape.foot_m)
        length_mm = math.dist(start, end)
        if length_mm < 1e-6:
            continue
        way = ((end[0] - start[0]) / length_mm, (end[1] - start[1]) / length_mm)
        begin = min(reach_mm, length_mm)
        edge = (start[0] + way[0] * begin, start[1] + way[1] * begin)
        angle = math.degrees(math.atan2(way[1], way[0]))
        dx, dy = turned((0.4 * u, 0.0), angle + 45.0)
        board.group(
            (
                Line(edge, end, hand.pen("hair")),
                Line((end[0] - dx, end[1] - dy), (end[0] + dx, end[1] + dy), hand.pen("medium")),
            ),
            f"tape-{board.hand.say(name)}-{tape.wall}",
            said("drawing.of", of=name, what=tape.words),
            "tape",
        )
        reading = angle - 180.0 if angle > 90.0 + 1e-6 or angle <= -90.0 + 1e-6 else angle
        reading = reading + 360.0 if reading <= -180.0 else reading
        if reading > 90.0 + 1e-6:
            reading -= 180.0
        words = hand.length(tape.distance_m, unit=False)
        choices = [
            hand.centred(
                (edge[0] + (end[0] - edge[0]) * share, edge[1] + (end[1] - edge[1]) * share),
                words,
                size=0.9,
                angle_deg=reading,
                backed=True,
            )
            for share in ALONG
            if (length_mm - begin) * min(share, 1 - share) >= hand.width(words, 0.9) / 2
        ]
        if not board.place(choices, over=True):
            untold.append(tape)
        board.take((edge, end))
    if untold:
        board.note(said("drawing.of", of=name, what=taped(untold)))


def angle_of(start: Sequence[float], end: Sequence[float] | None) -> float | None:
    """The angle in plan from one place to another; None when they stand over one another or one is
    not known.
    """
    if end is None:
        return None
    dx, dy = end[0] - start[0], end[1] - start[1]
    return math.degrees(math.atan2(dy, dx)) if math.hypot(dx, dy) > 1e-6 else None
