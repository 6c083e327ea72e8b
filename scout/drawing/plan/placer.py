"""Letters at their symbols: every tag is set nearer to its own symbol than to any other, with a
leader where it has to stand off.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from scout.drawing.board import Board, in_polygon
from scout.drawing.shapes import Anchor, Box, Circle, Line, Point, Shape, Text, bounds, box_of
from scout.words.figures import Words

WAYS = 24  # directions tried round a symbol
FARTHEST = 16.0  # sizes of the letters from a symbol's edge
LED = 1.3  # from this far on, in sizes of the letters, a leader shows whose the tag is
NARROW = 40.0  # a phone's sheet is less than so many sizes of its letters wide
DOUBTFUL = 0.6  # nor is it left to doubt where another symbol stands nearly as near
ON_A_LINE = 8.0  # sizes of the letters: what standing on a lead or the edge of a cloth counts as
NEARER = 0.8  # a tag's distance to its own symbol, of that to the nearest other


@dataclass(frozen=True)
class Tag:
    """The letters of one symbol: the first line bold."""

    name: str
    at: Point
    reach_mm: float
    lines: tuple[Words, ...]


def place_tags(
    board: Board,
    tags: Sequence[Tag],
    others: Sequence[tuple[Point, float]] = (),
    allowed: Sequence[Point] | None = None,
    most_mm: float | None = None,
    *,
    within_sheet: bool = False,
) -> list[Tag]:
    """Set every tag; returns those that are not set in full and are to be told below. Where there
    is no room for all its lines near its symbol a tag is set by its first; so is every one on a narrow sheet, where
    the plan wants the room.

    tags:    in the order in which they are set; others: symbols without letters
    allowed: within this outline by preference; most_mm: no line is longer
    within_sheet: no line makes the drawing wider than its sheet, which would be drawn smaller
        for it
    """
    symbols = [(tag.at, tag.reach_mm) for tag in tags] + list(others)
    narrow = board.width_mm is not None and board.width_mm < NARROW * board.hand.text_mm
    left: list[Tag] = []
    for k, tag in enumerate(tags):
        if not board.shows(tag.at):
            continue
        rivals = [one for i, one in enumerate(symbols) if i != k]
        across = _across(board) if within_sheet else None
        short = replace(tag, lines=tag.lines[:1])
        best = None
        if not narrow or len(tag.lines) == 1:
            best = _best(board, tag, rivals, allowed, most_mm, across=across)
        if len(tag.lines) > 1 and (best is None or best[2] > NEARER * _other(best[1], rivals)):
            # rather the first line where nobody doubts whose it is
            brief = _best(board, short, rivals, allowed, most_mm, across=across)
            if best is None or (brief and brief[2] <= NEARER * _other(brief[1], rivals)):
                left.append(tag)
                best = brief
        elif best is None:
            left.append(tag)
        if best is None:
            continue
        rows, box, own = best
        shapes: list[Shape] = list(rows)
        other = _other(box, rivals)
        if own > LED * board.hand.text_mm or own > DOUBTFUL * other:
            shapes = [*_leader(board, tag, box), *shapes]
        for text in rows:
            board.take(text.corners(0.12 * text.size_mm))
        board.over_group(shapes, f"label-{tag.name}")
    return left


def _across(board: Board) -> tuple[float, float] | None:
    """How far left and right of what is drawn its sheet still reaches; None: it is not known."""
    if board.width_mm is None:
        return None
    drawn = bounds([*board.shapes, *board.over])
    spare = max(board.width_mm - (drawn[2] - drawn[0]), 0.0)
    return drawn[0] - spare, drawn[2] + spare


def _best(
    board: Board,
    tag: Tag,
    rivals: Sequence[tuple[Point, float]],
    allowed: Sequence[Point] | None,
    most_mm: float | None,
    *,
    across: tuple[float, float] | None = None,
) -> tuple[tuple[Text, ...], Box, float] | None:
    """Where a tag stands best: its lines, their box, and how far off its symbol. Nearer to its own
    symbol than to any other where that can be had; else led to it by a line that crosses no other.
    """
    best: tuple[float, tuple[Text, ...], Box, float] | None = None
    u = board.hand.text_mm
    for rows, far in _choices(board, tag, most_mm):
        if best is not None and far >= best[0]:
            break  # the others stand further off still
        box = box_of([corner for text in rows for corner in text.corners()])
        if across is not None and (box[0] < across[0] or box[2] > across[1]):
            continue
        cost = far + _beyond(rows, allowed) * 4.0 * u
        if best is not None and cost >= best[0]:
            continue
        own = _gap(box, tag.at) - tag.reach_mm
        nearest = _other(box, rivals)
        if own > NEARER * nearest:
            cost += 40.0 * u  # behind every place that needs no line to tell whose it is
        if best is not None and cost >= best[0]:
            continue
        outlines = [text.corners(0.12 * text.size_mm) for text in rows]
        if not all(board.free(outline) for outline in outlines):
            cost += ON_A_LINE * u  # dearer than a place a little off, cheaper than a doubtful one
            if best is not None and cost >= best[0]:
                continue
            if not all(board.free(outline, of_hard=True) for outline in outlines):
                continue
        start = _nearest(box, tag.at)
        if own > NEARER * nearest and (
            own < LED * u or any(_off_line(start, tag.at, at) < reach for at, reach in rivals)
        ):
            continue
        best = (cost, rows, box, own)
    return None if best is None else best[1:]


def _other(box: Box, rivals: Sequence[tuple[Point, float]]) -> float:
    """How far the nearest other symbol's edge is from some letters."""
    return min((_gap(box, at) - reach for at, reach in rivals), default=math.inf)


def _off_line(a: Point, b: Point, at: Point) -> float:
    """From a point to a stretch between two others."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    t = 0.0 if square < 1e-12 else ((at[0] - a[0]) * dx + (at[1] - a[1]) * dy) / square
    t = min(max(t, 0.0), 1.0)
    return math.dist((a[0] + t * dx, a[1] + t * dy), at)


def _choices(
    board: Board, tag: Tag, most_mm: float | None
) -> Iterator[tuple[tuple[Text, ...], float]]:
    """The tag on rings round its symbol, the nearest first, with how far off it stands."""
    hand = board.hand
    u, size = hand.text_mm, 0.9
    step, half = 1.18 * u * size, 0.36 * u * size
    tall = step * (len(tag.lines) - 1)
    # said and measured once: where they stand changes neither
    lines = [
        hand.write(tag.at, line, size=size, bold=i == 0, backed=True, most_mm=most_mm)
        for i, line in enumerate(tag.lines)
    ]
    off = 0.4
    while off <= FARTHEST:
        far = tag.reach_mm + off * u
        for k in range(WAYS):
            angle = 2 * math.pi * k / WAYS
            c, s = math.cos(angle), math.sin(angle)
            anchor: Anchor = "start" if c > 0.3 else "end" if c < -0.3 else "middle"
            x = tag.at[0] + c * far
            # the block's middle lies as far up as its half height takes it clear of the ring
            y = tag.at[1] + s * (far + half + tall / 2)
            top = y + tall / 2 - half
            rows = tuple(
                replace(line, at=(x, top - i * step), anchor=anchor) for i, line in enumerate(lines)
            )
            yield rows, off * u
        off *= 1.45


def _beyond(rows: Sequence[Text], allowed: Sequence[Point] | None) -> float:
    """The share of the letters' corners that lies outside."""
    if allowed is None:
        return 0.0
    corners = [corner for text in rows for corner in text.corners()]
    return sum(not in_polygon(allowed, corner) for corner in corners) / len(corners)


def _gap(box: Box, at: Point) -> float:
    """From a point to the nearest of a box."""
    x, y = _nearest(box, at)
    return math.dist((x, y), at)


def _nearest(box: Box, at: Point) -> Point:
    return min(max(at[0], box[0]), box[2]), min(max(at[1], box[1]), box[3])


def _leader(board: Board, tag: Tag, box: Box) -> tuple[Shape, ...]:
    """A hairline from the letters to the symbol's edge, with a dot there."""
    hand = board.hand
    x, y = _nearest(box, tag.at)
    far = math.dist((x, y), tag.at)
    share = tag.reach_mm / far
    edge = (tag.at[0] + (x - tag.at[0]) * share, tag.at[1] + (y - tag.at[1]) * share)
    board.take((edge, (x, y)))
    return (
        Line((x, y), edge, hand.pen("fine")),
        Circle(edge, 0.16 * hand.text_mm, None, "ink"),
    )
