"""Letters at their symbols: every tag is set nearer to its own symbol than to any other, with a
leader where it has to stand off.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from scout.calc.geometry import inside
from scout.drawing.board import Board
from scout.drawing.shapes import (
    CAP_HEIGHT,
    DESCENT,
    Anchor,
    Box,
    Circle,
    Line,
    Point,
    Shape,
    Text,
    bounds,
    rectangle,
)
from scout.drawing.taken import BoolArray, FloatArray
from scout.words.figures import Words

WAYS = 24  # directions tried round a symbol
AT_ONCE = 32  # places, the cheapest first, whose paper is looked at together
RINGS = 0.4 * 1.45 ** np.arange(10)  # sizes of the letters from a symbol's edge
LED = 1.3  # from this far on, in sizes of the letters, a leader shows whose the tag is
NARROW = 40.0  # a phone's sheet is less than so many sizes of its letters wide
DOUBTFUL = 0.6  # nor is it left to doubt where another symbol stands nearly as near
ON_A_LINE = 8.0  # sizes of the letters: what standing on a lead or the edge of a cloth counts as
SIZE, PAD = 0.9, 0.12  # of the letters, in the hand's, and what stays free round them, in theirs
APART = 0.7  # of the letters: what parts them in a row from another thing's, where there is paper
NEARER = 0.8  # a tag's distance to its own symbol, of that to the nearest other
COSINES, SINES = (
    np.array([turn(2 * math.pi * k / WAYS) for k in range(WAYS)]) for turn in (math.cos, math.sin)
)
ANCHORS: tuple[Anchor, ...] = tuple(
    "start" if c > 0.3 else "end" if c < -0.3 else "middle" for c in COSINES
)
LEFT_OF = np.array([{"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] for anchor in ANCHORS])


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
        rivals = _Rivals([one for i, one in enumerate(symbols) if i != k])
        across = _across(board) if within_sheet else None
        best = None
        if not narrow or len(tag.lines) == 1:
            best = _best(board, tag, rivals, allowed, most_mm, across=across)
        if len(tag.lines) > 1 and (best is None or best.own > NEARER * best.other):
            # rather the first line where nobody doubts whose it is
            short = replace(tag, lines=tag.lines[:1])
            brief = _best(board, short, rivals, allowed, most_mm, across=across)
            if best is None or (brief and brief.own <= NEARER * brief.other):
                left.append(tag)
                best = brief
        elif best is None:
            left.append(tag)
        if best is None:
            continue
        shapes: list[Shape] = list(best.rows)
        if best.own > LED * board.hand.text_mm or best.own > DOUBTFUL * best.other:
            shapes = [*_leader(board, tag, best.box), *shapes]
        for text in best.rows:
            board.take(text.corners(PAD * text.size_mm))
            board.take(_row(text, APART * text.size_mm), hard=False)
        board.over_group(shapes, f"label-{tag.name}")
    return left


def _row(text: Text, apart_mm: float) -> tuple[Point, ...]:
    """The box round a level line of letters, so much longer on either side."""
    (left, low), _, (right, high), _ = text.corners()
    return rectangle(left - apart_mm, low, right + apart_mm, high)


def _across(board: Board) -> tuple[float, float] | None:
    """How far left and right of what is drawn its sheet still reaches; None: it is not known."""
    if board.width_mm is None:
        return None
    drawn = bounds([*board.shapes, *board.over])
    spare = max(board.width_mm - (drawn[2] - drawn[0]), 0.0)
    return drawn[0] - spare, drawn[2] + spare


@dataclass(frozen=True)
class _Set:
    """Where a tag may stand: its lines, the box round them, how far that is off its own symbol's
    edge, and off the nearest other's.
    """

    rows: tuple[Text, ...]
    box: Box
    own: float
    other: float


def _best(
    board: Board,
    tag: Tag,
    rivals: _Rivals,
    allowed: Sequence[Point] | None,
    most_mm: float | None,
    *,
    across: tuple[float, float] | None = None,
) -> _Set | None:
    """Where a tag stands best. Nearer to its own symbol than to any other where that can be had;
    else led to it by a line that crosses no other. Of places as good the first on the innermost ring.
    """
    u = board.hand.text_mm
    # said and measured once: where they stand changes neither
    lines = [
        board.hand.write(tag.at, line, size=SIZE, bold=i == 0, backed=True, most_mm=most_mm)
        for i, line in enumerate(tag.lines)
    ]
    tried = _Tried(tag, lines, u)
    own = _gap(tried.boxes, np.array([tag.at]))[:, 0] - tag.reach_mm
    other = rivals.off(tried.boxes)
    doubtful = own > NEARER * other
    # behind every place that needs no line to tell whose it is
    cost = tried.off_mm + np.where(doubtful, 40.0 * u, 0.0)
    cost += _beyond(tried.corners(0.0), allowed) * 4.0 * u
    possible = np.ones(len(cost), dtype=np.bool_)
    if across is not None:
        possible &= (tried.boxes[:, 0] >= across[0]) & (tried.boxes[:, 2] <= across[1])
    led = np.flatnonzero(possible & doubtful)
    start = _nearest(tried.boxes[led], np.array([tag.at]))[:, 0]
    possible[led] = (own[led] >= LED * u) & ~rivals.crossed(start, tag.at)
    order = np.flatnonzero(possible)
    order = order[np.argsort(cost[order], kind="stable")]
    # dearer than a place a little off, cheaper than a doubtful one
    k = _first_free(board, tried.corners(PAD)[order], cost[order], ON_A_LINE * u)
    if k is None:
        return None
    k = int(order[k])
    left, bottom, right, top = (float(edge) for edge in tried.boxes[k])
    return _Set(tried.rows(k), (left, bottom, right, top), float(own[k]), float(other[k]))


def _first_free(
    board: Board, outlines: FloatArray, cost: FloatArray, on_a_line: float
) -> int | None:
    """Which of some outlines (n, lines, 4, 2), the cheapest first, stands on free paper for least;
    what stands on something that is not hard costs so much more.
    """
    least, best = math.inf, None
    for first in range(0, len(cost), AT_ONCE):
        if cost[first] > least:
            break
        rows = outlines[first : first + AT_ONCE]
        met, hard = (
            held.reshape(rows.shape[:2]).any(axis=1)
            for held in board.taken.meets(rows.reshape(-1, 4, 2))
        )
        full = np.where(hard, np.inf, cost[first : first + AT_ONCE] + np.where(met, on_a_line, 0.0))
        k = int(np.argmin(full))
        if full[k] < least:
            least, best = float(full[k]), first + k
    return best


class _Rivals:
    """The other symbols, whose a tag must not be taken for."""

    def __init__(self, symbols: Sequence[tuple[Point, float]]) -> None:
        self.at = np.array([at for at, _ in symbols]).reshape(-1, 2)
        self.reach_mm = np.array([reach for _, reach in symbols])

    def off(self, boxes: FloatArray) -> FloatArray:
        """(n,) how far the nearest other symbol's edge is from some letters (n, 4)."""
        return np.asarray(np.min(_gap(boxes, self.at) - self.reach_mm, axis=-1, initial=np.inf))

    def crossed(self, start: FloatArray, end: Point) -> BoolArray:
        """(n,) whether a line from a start (n, 2) to an end meets one of them."""
        run = np.asarray(end) - start
        square = np.maximum(np.sum(run * run, axis=-1), 1e-12)
        away = self.at - start[:, None]
        share = np.clip(np.sum(away * run[:, None], axis=-1) / square[:, None], 0.0, 1.0)
        off = away - share[..., None] * run[:, None]
        return np.asarray(np.any(np.hypot(off[..., 0], off[..., 1]) < self.reach_mm, axis=-1))


class _Tried:
    """A tag on rings round its symbol, the innermost first: (places,) how far off its edge, and
    (places, lines, 2) where each line's letters begin on their baseline.
    """

    def __init__(self, tag: Tag, lines: Sequence[Text], u: float) -> None:
        self.lines = lines
        step, half = 1.18 * u * SIZE, 0.36 * u * SIZE
        tall = step * (len(lines) - 1)
        self.off_mm = np.repeat(RINGS * u, WAYS)
        far = tag.reach_mm + self.off_mm
        x = tag.at[0] + np.tile(COSINES, len(RINGS)) * far
        # the block's middle lies as far up as its half height takes it clear of the ring
        y = tag.at[1] + np.tile(SINES, len(RINGS)) * (far + half + tall / 2) + tall / 2 - half
        self.x = x
        self.y = y[:, None] - step * np.arange(len(lines))
        self.size = np.array([line.size_mm for line in lines])
        self.width = np.array([line.width_mm for line in lines])
        self.left = x[:, None] - np.tile(LEFT_OF, len(RINGS))[:, None] * self.width
        self.boxes = np.column_stack(  # (places, 4) round all lines
            [
                self.left.min(axis=1),
                (self.y - DESCENT * self.size).min(axis=1),
                (self.left + self.width).max(axis=1),
                (self.y + CAP_HEIGHT * self.size).max(axis=1),
            ]
        )

    def corners(self, pad: float) -> FloatArray:
        """(places, lines, 4, 2) the boxes round the letters, as `Text.corners`; pad in their size."""
        found = np.empty((*self.left.shape, 4, 2))
        found[..., (0, 3), 0] = (self.left - pad * self.size)[..., None]
        found[..., (1, 2), 0] = (self.left + self.width + pad * self.size)[..., None]
        found[..., (0, 1), 1] = (self.y - (DESCENT + pad) * self.size)[..., None]
        found[..., (2, 3), 1] = (self.y + (CAP_HEIGHT + pad) * self.size)[..., None]
        return found

    def rows(self, k: int) -> tuple[Text, ...]:
        """The lines as they stand in one place."""
        return tuple(
            replace(line, at=(float(self.x[k]), float(y)), anchor=ANCHORS[k % WAYS])
            for line, y in zip(self.lines, self.y[k], strict=True)
        )


def _beyond(corners: FloatArray, allowed: Sequence[Point] | None) -> FloatArray:
    """(n,) the share of the letters' corners (n, lines, 4, 2) that lies outside."""
    if allowed is None:
        return np.zeros(len(corners))
    points = corners.reshape(len(corners), -1, 2)
    return np.asarray(np.mean(~inside(allowed, points, edge_m=-1.0), axis=-1))


def _gap(boxes: FloatArray, at: FloatArray) -> FloatArray:
    """(n, p) from each box (n, 4) to points (p, 2)."""
    off = _nearest(boxes, at) - at
    return np.asarray(np.hypot(off[..., 0], off[..., 1]))


def _nearest(boxes: FloatArray, at: FloatArray) -> FloatArray:
    """(n, p, 2) of each box (n, 4) the place nearest to points (p, 2)."""
    return np.minimum(np.maximum(at, boxes[:, None, :2]), boxes[:, None, 2:])


def _leader(board: Board, tag: Tag, box: Box) -> tuple[Shape, ...]:
    """A hairline from the letters to the symbol's edge, with a dot there."""
    hand = board.hand
    x, y = (float(one) for one in _nearest(np.array([box]), np.array([tag.at]))[0, 0])
    far = math.dist((x, y), tag.at)
    share = tag.reach_mm / far
    edge = (tag.at[0] + (x - tag.at[0]) * share, tag.at[1] + (y - tag.at[1]) * share)
    board.take((edge, (x, y)))
    return (
        Line((x, y), edge, hand.pen("fine")),
        Circle(edge, 0.16 * hand.text_mm, None, "ink"),
    )
