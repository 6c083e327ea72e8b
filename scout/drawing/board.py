"""A board on which a drawing grows: the shapes so far, the places taken, the symbols used, and what
must be said beside it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from scout.drawing.lettering import Hand
from scout.drawing.shapes import Anchor, Box, Group, Point, Shape, Text, rectangle
from scout.drawing.taken import BoolArray, Corners, Taken
from scout.words.figures import Words, sentence


class Board:
    """Collects shapes; letters are set only where nothing else stands."""

    def __init__(self, hand: Hand, width_mm: float | None = None) -> None:
        self.hand = hand
        self.width_mm = width_mm  # of the sheet it goes on, where that is known
        self.shapes: list[Shape] = []
        self.over: list[Shape] = []  # drawn last, above the rest
        self.used: dict[str, None] = {}  # symbols to explain, in order of first use
        self.notes: list[str] = []
        self.dropped: list[str] = []  # names for which there was no room
        self.window: Box | None = None  # what of the paper is drawn on; None: all of it
        self.taken = Taken()

    def add(self, *shapes: Shape, symbol: str | None = None) -> None:
        """Add shapes; `symbol` is explained in the legend."""
        self.shapes.extend(shapes)
        if symbol:
            self.used.setdefault(symbol)

    def group(
        self,
        shapes: Iterable[Shape],
        name: str,
        title: Words | None = None,
        symbol: str | None = None,
    ) -> None:
        """Add shapes as one named group."""
        said = None if title is None else self.hand.say(title, "cap")
        self.add(Group(tuple(shapes), name, said), symbol=symbol)

    def over_group(self, shapes: Iterable[Shape], name: str) -> None:
        """Shapes drawn last, above the rest, as one named group."""
        self.over.append(Group(tuple(shapes), name, None))

    def note(self, words: Words) -> None:
        """Say something beside the drawing, once."""
        said = sentence(words, self.hand.reader)
        if said not in self.notes:
            self.notes.append(said)

    def take(self, corners: Corners, *, hard: bool = True) -> None:
        """Keep letters out of a convex outline: a box, or a line from point to point. Not hard: a line
        that can still be followed where letters stand upon it.
        """
        self.taken.add(corners, hard=hard)

    def keep_to(self, window: Box, far_mm: float) -> None:
        """Set no letters outside a window."""
        self.window = window
        left, bottom, right, top = window
        for box in (
            (-far_mm, -far_mm, left, far_mm),
            (right, -far_mm, far_mm, far_mm),
            (left, -far_mm, right, bottom),
            (left, top, right, far_mm),
        ):
            if box[2] - box[0] > 1e-6 and box[3] - box[1] > 1e-6:
                self.take(rectangle(*box))

    def shows(self, at: Point) -> bool:
        """Whether a place is in the window."""
        if self.window is None:
            return True
        left, bottom, right, top = self.window
        return left <= at[0] <= right and bottom <= at[1] <= top

    def last_shown(self, start: Point, end: Point) -> Point:
        """Where a line from a place in the window leaves it, or its end."""
        if self.window is None:
            return end
        share = 1.0
        for axis in (0, 1):
            run = end[axis] - start[axis]
            if abs(run) > 1e-9:
                edge = self.window[axis + 2] if run > 0 else self.window[axis]
                share = min(share, max((edge - start[axis]) / run, 0.0))
        return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share

    def take_round(self, centre: Point, radius_mm: float) -> None:
        """Keep letters out of the square round a circle."""
        x, y = centre
        self.take(
            (
                (x - radius_mm, y - radius_mm),
                (x + radius_mm, y - radius_mm),
                (x + radius_mm, y + radius_mm),
                (x - radius_mm, y + radius_mm),
            )
        )

    def free(self, outlines: ArrayLike) -> BoolArray:
        """(n,) whether boxes (n, 4, 2), level or turned, or lines (n, 2, 2) meet nothing that is
        taken.
        """
        return ~self.taken.meets(outlines)[0]

    def place(
        self, choices: Iterable[Text], *, pad: float = 0.12, over: bool = False
    ) -> Text | None:
        """Set the first of the lines of letters that stands free; None when none does."""
        tried = [text for text in choices if text.text]
        if not tried:
            return None
        outlines = [text.corners(pad * text.size_mm) for text in tried]
        free = np.flatnonzero(self.free(outlines))
        if not len(free):
            return None
        first = int(free[0])
        text = tried[first]
        self.take(outlines[first])
        (self.over if over else self.shapes).append(text)
        return text

    def label(
        self,
        at: Point,
        reach_mm: float,
        words: Words,
        *,
        size: float = 0.9,
        allowed: Sequence[Point] | None = None,
        most_mm: float | None = None,
    ) -> Text | None:
        """Letters beside a symbol of the given reach, within `allowed` by preference; None when
        there is no room.
        """
        hand, half = self.hand, 0.36 * self.hand.text_mm * size
        x, y = at
        # said and measured once: where they stand changes neither
        text = hand.write(at, words, size=size, backed=True, most_mm=most_mm)
        choices: list[Text] = []
        for far in (reach_mm + 0.4 * hand.text_mm, reach_mm + 1.5 * hand.text_mm):
            slant = far * math.sqrt(0.5)
            spots: tuple[tuple[Point, Anchor], ...] = (
                ((x + far, y - half), "start"),
                ((x, y - far - 2 * half), "middle"),
                ((x - far, y - half), "end"),
                ((x, y + far), "middle"),
                ((x + slant, y + slant), "start"),
                ((x + slant, y - slant - 2 * half), "start"),
                ((x - slant, y + slant), "end"),
                ((x - slant, y - slant - 2 * half), "end"),
            )
            choices += [replace(text, at=spot, anchor=anchor) for spot, anchor in spots]
        within = [
            choice
            for choice in choices
            if allowed is None or all(in_polygon(allowed, corner) for corner in choice.corners())
        ]
        return self.place(
            [*within, *(choice for choice in choices if choice not in within)], over=True
        )


def in_polygon(polygon: Sequence[Point], point: Point) -> bool:
    """Whether a point on the paper lies in a polygon (even-odd rule)."""
    x, y = point
    odd = False
    for (x1, y1), (x2, y2) in zip(polygon, [*polygon[1:], polygon[0]], strict=True):
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) * (x2 - x1) / (y2 - y1):
            odd = not odd
    return odd
