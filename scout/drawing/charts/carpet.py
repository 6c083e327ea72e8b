"""A year as a carpet: hours from left to right on the ruler of the day, dates from January at the
top to December at the foot.

Each layer is a yes or no for every date and time of day, drawn as a hatch of its own direction, so
that layers over one another are
told apart on a photocopy; colour only repeats it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from scout.drawing.charts.parts import Sample, heading, legend
from scout.drawing.lettering import PRINT_TEXT_MM, Hand, TextWidth, helvetica_width, tidy
from scout.drawing.shapes import (
    Drawing,
    Group,
    Hatch,
    Ink,
    Line,
    Pen,
    Point,
    Polygon,
    Polyline,
    Shape,
    moved,
    rectangle,
)
from scout.values import Many, Name, Said, said
from scout.words import say
from scout.words.figures import Words, paragraph

BoolArray = NDArray[np.bool_]
# angle of the strokes, gap between them in sizes of the letters, weight, ink, and how the strokes
# are broken
STYLES: tuple[tuple[float, float, str, Ink, tuple[float, ...]], ...] = (
    (45.0, 0.42, "fine", "rust", ()),
    (135.0, 0.6, "fine", "ink", ()),
    (0.0, 0.7, "thin", "green", (0.9, 0.35)),
    (90.0, 0.7, "thin", "ink", (0.2, 0.4)),
    (20.0, 0.9, "fine", "rust", (0.5, 0.3)),
    (160.0, 0.9, "fine", "ink", (0.5, 0.3)),
)
STEP_MM = 0.25
# an edge may step this far from one date to the next: the clocks change by an hour, or by two
JUMP_H = 1.6


@dataclass(frozen=True)
class Layer:
    """One question asked of every time of the year. cells: (dates, times of day), True where the
    answer is yes.
    """

    words: Said | Name
    cells: BoolArray


@dataclass(frozen=True)
class Carpet:
    """The frame: one row a date, columns of equal length from local midnight to midnight; `night`:
    the sun is below the horizon.
    """

    dates: tuple[date, ...]
    night: BoolArray
    layers: tuple[Layer, ...]


def year_carpet(
    title: Words,
    carpet: Carpet,
    *,
    marked: Sequence[date] = (),
    notes: Sequence[Words] = (),
    width_mm: float = 168.0,
    height_mm: float = 120.0,
    text_mm: float = PRINT_TEXT_MM,
    text_width: TextWidth = helvetica_width,
) -> Drawing:
    """The carpet of a span of dates, a year as a rule.

    marked: dates to point at, such as the shoot's; height_mm: of the carpet alone
    """
    hand, u = Hand(text_mm, text_width), text_mm
    sheet = _Sheet(hand, carpet, 4.2 * u, width_mm - 3.2 * u, height_mm)
    dark = (
        *sheet.hatched(carpet.night, 60.0, 0.9 * u, hand.pen("hair")),
        *sheet.edges(carpet.night, hand.pen("hair")),
    )
    shapes: list[Shape] = [Group(dark, "night", str(said("drawing.night")))]
    for number, layer in enumerate(carpet.layers):
        angle, gap, weight, ink, dash = STYLES[number % len(STYLES)]
        cells = np.asarray(layer.cells, dtype=bool)
        strokes = (
            *sheet.hatched(cells, angle, gap * u, hand.pen(weight, ink, dash)),
            *sheet.edges(cells, hand.pen("medium", ink)),
        )
        shapes.append(Group(strokes, f"layer-{number + 1}", tidy(hand.say(layer.words))))
    shapes += sheet.frame(marked)
    below, foot = _legend(hand, width_mm, -height_mm - 2.0 * u, carpet, notes)
    heads, top = heading(hand, width_mm, hand.say(title), 2.6 * u)
    edge = 0.3 * u
    placed = tuple(moved(shape, 0.0, edge - foot) for shape in (*shapes, *below, *heads))
    return Drawing(
        width_mm,
        top - foot + 2 * edge,
        placed,
        tidy(hand.say(title)),
        paragraph(tidy(hand.say(title)), *_words(carpet), *notes),
    )


class _Sheet:
    """Dates and hours on the paper: the first date at y = 0, the last at -height."""

    def __init__(
        self, hand: Hand, carpet: Carpet, left: float, right: float, height_mm: float
    ) -> None:
        self.hand, self.carpet = hand, carpet
        self.left, self.right, self.height = left, right, height_mm
        self.rows, self.columns = len(carpet.night), len(carpet.night[0])

    def x(self, hours: float) -> float:
        return self.left + (self.right - self.left) * hours / 24.0

    def y(self, row: float) -> float:
        return -self.height * row / self.rows

    def hatched(self, cells: BoolArray, angle_deg: float, gap_mm: float, pen: Pen) -> list[Shape]:
        """Parallel strokes over the cells that are True, found by walking along each parallel."""
        if not cells.any():
            return []
        turn = math.radians(angle_deg)
        along, across = (math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))
        corners = [(x, y) for x in (self.left, self.right) for y in (0.0, -self.height)]
        u0, u1 = (pick(x * along[0] + y * along[1] for x, y in corners) for pick in (min, max))
        v0, v1 = (pick(x * across[0] + y * across[1] for x, y in corners) for pick in (min, max))
        steps = u0 + STEP_MM * np.arange(math.ceil((u1 - u0) / STEP_MM) + 1)
        strokes: list[Shape] = []
        for k in range(math.floor(v0 / gap_mm) + 1, math.ceil(v1 / gap_mm)):
            v = k * gap_mm
            x, y = along[0] * steps + across[0] * v, along[1] * steps + across[1] * v
            column = np.floor((x - self.left) / (self.right - self.left) * self.columns).astype(int)
            row = np.floor(-y / self.height * self.rows).astype(int)
            held = (column >= 0) & (column < self.columns) & (row >= 0) & (row < self.rows)
            on = np.zeros(len(steps) + 2, dtype=bool)
            on[1:-1][held] = cells[row[held], column[held]]
            turns = np.flatnonzero(on[1:] != on[:-1])
            for a, b in zip(turns[::2].tolist(), turns[1::2].tolist(), strict=True):
                start, end = steps[a] - STEP_MM / 2, steps[b - 1] + STEP_MM / 2
                ends = [
                    (along[0] * s + across[0] * v, along[1] * s + across[1] * v)
                    for s in (start, end)
                ]
                strokes.append(Line(self._held(ends[0]), self._held(ends[1]), pen))
        return strokes

    def _held(self, point: Point) -> Point:
        return min(max(point[0], self.left), self.right), min(max(point[1], -self.height), 0.0)

    def edges(self, cells: BoolArray, pen: Pen) -> list[Shape]:
        """Where yes begins and ends, joined from date to date."""
        open_lines: list[tuple[bool, list[tuple[float, float]]]] = []
        done: list[list[tuple[float, float]]] = []
        reach = JUMP_H * self.columns / 24.0
        for row in range(self.rows):
            line = cells[row]
            turns = np.flatnonzero(line[1:] != line[:-1]) + 1
            here = [(bool(line[k]), float(k)) for k in turns]
            kept: list[tuple[bool, list[tuple[float, float]]]] = []
            for begins, column in here:
                near = [
                    (abs(path[-1][0] - column), n)
                    for n, (kind, path) in enumerate(open_lines)
                    if kind == begins and abs(path[-1][0] - column) <= reach
                ]
                path = open_lines.pop(min(near)[1])[1] if near else []
                kept.append((begins, [*path, (column, row + 0.5)]))
            done += [path for _, path in open_lines]
            open_lines = kept
        done += [path for _, path in open_lines]
        lines: list[Shape] = []
        for path in done:
            points = tuple(
                (self.x(24.0 * column / self.columns), self.y(row))
                for column, row in _thinned(path)
            )
            if len(points) > 1:
                lines.append(Polyline(points, pen))
        return lines

    def frame(self, marked: Sequence[date]) -> list[Shape]:
        """Hours above, months on the left, marked dates on the right."""
        hand, u, dates = self.hand, self.hand.text_mm, self.carpet.dates
        shapes: list[Shape] = [
            Polygon(rectangle(self.left, -self.height, self.right, 0.0), hand.pen("thin"))
        ]
        for hour in range(25):
            long = hour % 3 == 0
            shapes.append(
                Line(
                    (self.x(hour), 0.0),
                    (self.x(hour), (0.7 if long else 0.35) * u),
                    hand.pen("fine" if long else "hair"),
                )
            )
            if long:
                shapes.append(
                    hand.write((self.x(hour), 0.95 * u), f"{hour:02d}", size=0.9, anchor="middle")
                )
                shapes.append(
                    Line(
                        (self.x(hour), 0.0),
                        (self.x(hour), -self.height),
                        hand.pen("hair", dash=(0.12, 0.5)),
                    )
                )
        starts = [k for k, day in enumerate(dates) if day.day == 1 or k == 0]
        last = 1e9
        for number, k in enumerate(starts):
            end = starts[number + 1] if number + 1 < len(starts) else len(dates)
            if k:
                shapes.append(
                    Line(
                        (self.left - 0.6 * u, self.y(k)), (self.right, self.y(k)), hand.pen("hair")
                    )
                )
            middle = self.y((k + end) / 2) - 0.3 * u
            if (end - k) / self.rows * self.height > 1.0 * u and last - middle > 1.1 * u:
                shapes.append(
                    hand.write(
                        (self.left - 0.6 * u, middle),
                        say(dates[k], "month"),
                        size=0.9,
                        anchor="end",
                    )
                )
                last = middle
        lowest = 1e9
        for day in sorted(set(marked)):
            if day in dates:
                at = self.y(dates.index(day) + 0.5)
                tip = self.right + 0.2 * u
                shapes.append(
                    Polygon(
                        ((tip, at), (tip + 0.8 * u, at + 0.4 * u), (tip + 0.8 * u, at - 0.4 * u)),
                        None,
                        "rust",
                    )
                )
                shapes.append(
                    Line((self.left, at), (self.right, at), hand.pen("fine", "rust", (0.3, 0.6)))
                )
                if lowest - at > 1.0 * u:
                    shapes.append(
                        hand.write((tip + 1.0 * u, at - 0.3 * u), f"{day.day}", size=0.9, bold=True)
                    )
                    lowest = at
        return shapes


def _thinned(path: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """A path without the points that lie in the middle of an upright run."""
    return [
        point
        for k, point in enumerate(path)
        if k in (0, len(path) - 1) or not path[k - 1][0] == point[0] == path[k + 1][0]
    ]


def _legend(
    hand: Hand, width_mm: float, top: float, carpet: Carpet, notes: Sequence[Words]
) -> tuple[list[Shape], float]:
    u = hand.text_mm

    def hatch(angle: float, gap: float, pen: Pen, edge: Pen) -> Sample:
        def sample(x: float, y: float) -> list[Shape]:
            box = rectangle(x, y - 0.6 * u, x + 2 * u, y + 0.6 * u)
            return [Hatch(box, angle, min(gap, 0.6) * u, pen), Polygon(box, edge)]

        return sample

    hair = hand.pen("hair")
    rows: list[tuple[Sample, Words]] = [(hatch(60.0, 0.9, hair, hair), said("drawing.night"))]
    for number, layer in enumerate(carpet.layers):
        angle, gap, weight, ink, dash = STYLES[number % len(STYLES)]
        sample = hatch(angle, gap, hand.pen(weight, ink, dash), hand.pen("medium", ink))
        rows.append((sample, layer.words if layer.cells.any() else _never(layer)))
    return legend(hand, width_mm, top, rows, notes)


def _never(layer: Layer) -> Said:
    return said("drawing.at_no_time", what=layer.words)


def month_spells(carpet: Carpet, cells: BoolArray) -> tuple[tuple[str, str], ...]:
    """For the 15th of each month (or the middle of its dates): the date, and its spells in words."""
    return tuple(
        (say(day, "short"), str(spells) if spells.items else str(said("drawing.none")))
        for day, spells in _by_month(carpet, cells)
    )


def _by_month(carpet: Carpet, cells: BoolArray) -> Iterator[tuple[date, Many]]:
    for month in range(1, 13):
        rows = [k for k, day in enumerate(carpet.dates) if day.month == month]
        if rows:
            row = min(rows, key=lambda k: abs(carpet.dates[k].day - 15))
            yield carpet.dates[row], _spells(cells[row])


def _spells(line: BoolArray) -> Many:
    padded = np.concatenate([[False], line, [False]])
    turns = np.flatnonzero(padded[1:] != padded[:-1])
    minutes = [round(1440 * int(k) / len(line)) for k in turns]
    ends = [Name(f"{one // 60:02d}:{one % 60:02d}") for one in minutes]
    return Many(
        tuple(
            said("spell", start=start, end=end)
            for start, end in zip(ends[::2], ends[1::2], strict=True)
        )
    )


def _words(carpet: Carpet) -> Iterator[Said]:
    for layer in carpet.layers:
        if not layer.cells.any():
            yield _never(layer)
            continue
        dates = tuple(
            said(
                "drawing.on_date",
                day=day,
                spells=spells if spells.items else said("drawing.none"),
            )
            for day, spells in _by_month(carpet, layer.cells)
        )
        yield said("drawing.layer", what=layer.words, dates=Many(dates, "list"))
