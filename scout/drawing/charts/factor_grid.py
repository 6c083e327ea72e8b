"""Daylight factor over a room: figures at points of a grid on the plan, and lines of equal daylight
factor through them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from scout.calc.geometry import FloatArray, north_in_plan, wall_number
from scout.drawing import pictograms
from scout.drawing.board import Board
from scout.drawing.charts.parts import not_known
from scout.drawing.lettering import PRINT_TEXT_MM, Hand, TextWidth, helvetica_width, tidy
from scout.drawing.plan.dimensions import draw_dimensions
from scout.drawing.plan.foot import Needle, foot
from scout.drawing.plan.rim import North
from scout.drawing.plan.walls import View, draw_walls
from scout.drawing.shapes import (
    Box,
    Drawing,
    Point,
    Polyline,
    bounds,
    box_of,
    moved,
)
from scout.records.sheet import Marks, RoomRecord
from scout.units import Units
from scout.values import Figure, Name, Said, said
from scout.words.figures import room_name, sentence

LEVELS_PCT = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
TRIES = 6
DASHES: tuple[tuple[float, ...], ...] = ((), (0.9, 0.35))


@dataclass(frozen=True)
class FactorGrid:
    """Daylight factors on a level grid. x_m: (columns,), y_m: (rows,), pct and known: (rows,
    columns); pct counts where known is True.
    """

    x_m: FloatArray
    y_m: FloatArray
    pct: FloatArray
    known: NDArray[np.bool_]
    height_m: float
    reflected: bool = True  # False: the light by way of the surfaces is not in the figures


def factor_plan(
    room: RoomRecord,
    grid: FactorGrid,
    *,
    marks: Marks | None = None,
    north: North | None = None,
    size_mm: tuple[float, float] = (168.0, 150.0),
    units: Units = "metric",
    text_mm: float = PRINT_TEXT_MM,
    text_width: TextWidth = helvetica_width,
    explained: bool = True,
) -> Drawing:
    """The plan of a room with its daylight factors; the scale is whatever fills the sheet, so the
    scale bar alone is true.

    explained: with a legend of its symbols; without where the room's own plan stands near by
    """
    hand = Hand(text_mm, text_width, units)
    name = room_name(tidy(room.name or ""))
    title = hand.say(said("drawing.factors", room=name, height=Figure(grid.height_m, "m")))
    corners = room.corners_m
    if corners is None or not grid.known.any():
        return not_known(hand, size_mm[0], title, said("drawing.factors_unknown"))
    words = " ".join([sentence(title), *(sentence(one, hand.reader) for one in _words(grid))])
    plan = tuple((float(x), float(y)) for x, y in corners)
    left, bottom, right, top = box_of(plan)
    u = text_mm
    across, upward = size_mm[0] - 11 * u, size_mm[1] - 11 * u
    scale = 1000.0 * max((right - left) / across, (top - bottom) / upward)
    board, box = _drawn(hand, View(plan, scale, hand), room, marks, grid)
    for _ in range(TRIES):
        over = max((box[2] - box[0]) / size_mm[0], (box[3] - box[1]) / size_mm[1])
        if over <= 1.0:
            break
        scale *= 1.01 * over
        board, box = _drawn(hand, View(plan, scale, hand), room, marks, grid)
    board.note(said("drawing.factors_mean"))
    if not grid.reflected:
        board.note(said("drawing.sky_alone"))
    below = foot(
        hand,
        size_mm[0],
        name=hand.say(name),
        place=title,
        scale=scale,
        stated=False,
        needle=_needle(plan, north),
        faces=room.setting != "exterior",
        symbols=[
            symbol
            for symbol in board.used
            if explained and symbol in ("wall", "window", "door", "camera", "subject", "letter")
        ],
        notes=board.notes,
    )
    edge = 0.3 * u
    lift = below.height_mm + u
    dx, dy = (size_mm[0] - (box[2] - box[0])) / 2 - box[0], lift - box[1] + edge
    placed = [moved(shape, dx, dy) for shape in (*board.shapes, *board.over)] + [
        moved(shape, 0.0, below.height_mm + edge) for shape in below.shapes
    ]
    return Drawing(size_mm[0], lift + box[3] - box[1] + 2 * edge, tuple(placed), title, words)


def _drawn(
    hand: Hand, view: View, room: RoomRecord, marks: Marks | None, grid: FactorGrid
) -> tuple[Board, Box]:
    board = Board(hand)
    draw_walls(board, view, room)
    draw_dimensions(board, view, room)
    board.notes.clear()  # dimensions that found no room stand on the room's own plan
    _symbols(board, view, marks)
    _lines(board, view, grid)
    _figures(board, view, grid)
    return board, bounds([*board.shapes, *board.over])


def _needle(plan: Sequence[Point], north: North | None) -> Needle:
    if north is None or not wall_number(north.wall) < len(plan):
        return Needle(None, False, "")
    x, y = north_in_plan(plan, wall_number(north.wall), north.bearing_deg)
    return Needle(
        math.degrees(math.atan2(float(y), float(x))),
        north.true,
        replace(north, accuracy_deg=None).words,
    )


def _symbols(board: Board, view: View, marks: Marks | None) -> None:
    size = 0.8 * board.hand.text_mm
    places = (("subject", marks.subject), ("camera", marks.camera)) if marks is not None else ()
    for symbol, place in places:
        if place is not None:
            at = view.paper(place[0], place[1])
            made = (
                pictograms.person(board.hand, at, size, None)
                if symbol == "subject"
                else pictograms.camera(board.hand, at, size, None)
            )
            board.group(made, symbol, symbol.capitalize(), symbol)
            board.take_round(at, size)


def level_lines(grid: FactorGrid, level: float) -> tuple[tuple[Point, ...], ...]:
    """Where the factor equals a level, as lines of plan metres (marching squares, straight between
    grid points).

    Source: the sixteen cases of a cell's corners, the two saddles decided by the mean of the four
    """
    pieces: list[tuple[Point, Point]] = []
    for row in range(len(grid.y_m) - 1):
        for column in range(len(grid.x_m) - 1):
            if not grid.known[row : row + 2, column : column + 2].all():
                continue
            pieces += _cell(grid, level, row, column)
    return _joined(pieces)


def _cell(grid: FactorGrid, level: float, row: int, column: int) -> list[tuple[Point, Point]]:
    around = ((row, column), (row, column + 1), (row + 1, column + 1), (row + 1, column))
    value = [float(grid.pct[r, c]) - level for r, c in around]
    place = [(float(grid.x_m[c]), float(grid.y_m[r])) for r, c in around]
    cuts: list[Point] = []
    for k in range(4):
        a, b = value[k], value[(k + 1) % 4]
        if (a > 0) != (b > 0):
            share = a / (a - b)
            (x0, y0), (x1, y1) = place[k], place[(k + 1) % 4]
            cuts.append((x0 + share * (x1 - x0), y0 + share * (y1 - y0)))
    if len(cuts) == 2:
        return [(cuts[0], cuts[1])]
    if len(cuts) == 4:
        same = (sum(value) > 0) == (
            value[0] > 0
        )  # the middle goes with the first corner: cut off the second and the fourth
        return (
            [(cuts[0], cuts[1]), (cuts[2], cuts[3])]
            if same
            else [(cuts[3], cuts[0]), (cuts[1], cuts[2])]
        )
    return []


def _joined(pieces: Sequence[tuple[Point, Point]]) -> tuple[tuple[Point, ...], ...]:
    def key(point: Point) -> tuple[int, int]:
        return round(point[0] * 1e6), round(point[1] * 1e6)

    left = list(pieces)
    at: dict[tuple[int, int], list[int]] = {}
    for k, piece in enumerate(left):
        for end in piece:
            at.setdefault(key(end), []).append(k)
    used = [False] * len(left)
    lines: list[tuple[Point, ...]] = []
    for k, piece in enumerate(left):
        if used[k]:
            continue
        used[k] = True
        line = [*piece]
        for grow_head in (False, True):
            while True:
                tip = line[0] if grow_head else line[-1]
                following = next((n for n in at[key(tip)] if not used[n]), None)
                if following is None:
                    break
                used[following] = True
                a, b = left[following]
                far = b if key(a) == key(tip) else a
                line.insert(0, far) if grow_head else line.append(far)
        lines.append(tuple(line))
    return tuple(lines)


def _lines(board: Board, view: View, grid: FactorGrid) -> None:
    hand, u = board.hand, board.hand.text_mm
    for number, level in enumerate(LEVELS_PCT):
        for line in level_lines(grid, level):
            points = tuple(view.paper(x, y) for x, y in line)
            pen = hand.pen(
                "medium" if level in (1.0, 2.0, 5.0) else "thin", "ink", DASHES[number % 2]
            )
            board.group((Polyline(points, pen),), f"df-{level:g}", _level("drawing.factor", level))
            long = sum(math.dist(a, b) for a, b in pairwise(points))
            if long > 4 * u:
                spots = [
                    points[len(points) // 2],
                    points[len(points) // 4],
                    points[3 * len(points) // 4],
                    points[0],
                    points[-1],
                ]
                board.place(
                    [
                        hand.centred(
                            spot, _level("drawing.percent", level), size=0.9, bold=True, backed=True
                        )
                        for spot in spots
                    ],
                    over=True,
                )


def _figures(board: Board, view: View, grid: FactorGrid) -> None:
    hand, u = board.hand, board.hand.text_mm
    most_mm = 3.6 * u
    skip_x = max(1, math.ceil(most_mm / max(_step_mm(grid.x_m, view), 1e-6)))
    skip_y = max(1, math.ceil(1.9 * u / max(_step_mm(grid.y_m, view), 1e-6)))
    for row in range(skip_y // 2, len(grid.y_m), skip_y):
        for column in range(skip_x // 2, len(grid.x_m), skip_x):
            if grid.known[row, column]:
                spot = view.paper(float(grid.x_m[column]), float(grid.y_m[row]))
                board.place(
                    [
                        hand.centred(
                            spot, factor_text(float(grid.pct[row, column])), size=0.9, backed=True
                        )
                    ],
                    pad=0.05,
                    over=True,
                )


def _step_mm(places_m: FloatArray, view: View) -> float:
    return float(np.min(np.diff(places_m))) * view.mm_per_m if len(places_m) > 1 else math.inf


def factor_text(pct: float) -> str:
    """A daylight factor to two figures: 0.07, 0.45, 2.3, 12."""
    return f"{pct:.2f}" if pct < 0.995 else f"{pct:.1f}" if pct < 9.95 else f"{pct:.0f}"


def _level(code: str, pct: float) -> Said:
    return Said(code, (("n", Figure(pct)),))


def _words(grid: FactorGrid) -> list[Said]:
    inside = np.where(grid.known, grid.pct, -np.inf)
    row, column = np.unravel_index(int(np.argmax(inside)), inside.shape)
    values = grid.pct[grid.known]
    most, least, half, mean = (
        Name(factor_text(float(one)))
        for one in (values.max(), values.min(), np.median(values), values.mean())
    )
    across, up = Figure(float(grid.x_m[column]), "m"), Figure(float(grid.y_m[row]), "m")
    place = said("drawing.place", across=across, up=up)
    return [
        said("drawing.factor_most", most=most, place=place, least=least, half=half, mean=mean),
        said("drawing.factor_share", share=Figure(100.0 * float(np.mean(values >= 2)), "%")),
    ]
