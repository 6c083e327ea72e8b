"""What a page of a PDF draws: its strokes and fills as points of the page, read with pikepdf."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

import pikepdf

Point = tuple[float, float]
Matrix = tuple[float, float, float, float, float, float]


def _times(a: Matrix, b: Matrix) -> Matrix:
    """First a, then b (ISO 32000-1, 8.3.4)."""
    return (
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4],
        a[4] * b[1] + a[5] * b[3] + b[5],
    )


def _at(matrix: Matrix, x: float, y: float) -> Point:
    return (
        matrix[0] * x + matrix[2] * y + matrix[4],
        matrix[1] * x + matrix[3] * y + matrix[5],
    )


def segments(page: pikepdf.Page) -> Iterator[tuple[Point, Point]]:
    """Every straight stroke and edge of a fill, in points of the page."""
    now: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    held: list[Matrix] = []
    path: list[list[Point]] = []
    for one in pikepdf.parse_content_stream(page):
        if not isinstance(one, pikepdf.ContentStreamInstruction):
            continue
        operands, name = one.operands, str(one.operator)
        if name == "q":
            held.append(now)
        elif name == "Q":
            now = held.pop()
        elif name == "cm":
            now = _times(tuple(float(part) for part in operands), now)  # type: ignore[arg-type]
        elif name == "m":
            path.append([_at(now, float(operands[0]), float(operands[1]))])
        elif name == "l":
            path[-1].append(_at(now, float(operands[0]), float(operands[1])))
        elif name == "h" and path:
            path[-1].append(path[-1][0])
        elif name == "re":
            x, y, wide, high = (float(part) for part in operands)
            corners = ((x, y), (x + wide, y), (x + wide, y + high), (x, y + high), (x, y))
            path.append([_at(now, *corner) for corner in corners])
        elif name in ("S", "s", "f", "F", "f*", "B", "B*", "b", "b*", "n"):
            if name != "n":
                for line in path:
                    yield from itertools.pairwise(line)
            path = []


def lengths_along(page: pikepdf.Page, way: Point) -> list[float]:
    """How far in points the straight lines on one line reach that run along a direction: a wall from
    corner to corner, whatever opens in it.
    """
    size = math.hypot(*way)
    x, y = way[0] / size, way[1] / size
    on_line: dict[int, list[float]] = {}
    for a, b in segments(page):
        length = math.dist(a, b)
        if length > 1.0 and abs((b[0] - a[0]) * y - (b[1] - a[1]) * x) < 2e-3 * length:
            off = round((a[0] * y - a[1] * x) * 10.0)  # to a tenth of a point
            on_line.setdefault(off, []).extend(one[0] * x + one[1] * y for one in (a, b))
    return [max(ends) - min(ends) for ends in on_line.values()]
