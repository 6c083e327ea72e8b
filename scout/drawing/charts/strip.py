"""The clock of one day on a strip: a row a kind of thing, bars from when until when, marks for
moments.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from scout.drawing.lettering import Hand
from scout.drawing.shapes import (
    Drawing,
    Hatch,
    Line,
    Polygon,
    Shape,
    rectangle,
)
from scout.values import said
from scout.words.figures import Words

Row = tuple[Words, Sequence[tuple[Words, float, float]]]
LEAST_HOURS = 10.0
ROW = 1.75  # height of a row, in sizes of the letters


def day_strip(hand: Hand, width_mm: float, rows: Sequence[Row]) -> Drawing:
    """The strip, from an hour before the first thing that people do to an hour after the last."""
    u = hand.text_mm
    people = [bar for _, bars in rows[:2] for bar in bars]
    first = math.floor(min((bar[1] for bar in people), default=8.0)) - 1.0
    last = math.ceil(max((bar[2] for bar in people), default=18.0)) + 1.0
    last = max(last, first + LEAST_HOURS) + 1.0
    left = max((hand.width(name, 0.9) for name, _ in rows), default=10.0) + 1.2 * u
    per_hour = (width_mm - left - 1.5 * u) / (last - first)

    def x_of(hour: float) -> float:
        return left + (min(max(hour, first), last) - first) * per_hour

    height = (len(rows) * ROW + 1.9) * u
    shapes: list[Shape] = []
    top = height - 1.5 * u
    every = 1 if per_hour > hand.width("00", 0.9) + 0.6 * u else 2
    for hour in range(int(first), int(last) + 1):
        x = x_of(hour)
        shapes.append(Line((x, 0.2 * u), (x, top), hand.pen("hair")))
        if (hour - int(first)) % every == 0:
            label = f"{hour % 24:02d}"
            shapes.append(hand.write((x, top + 0.4 * u), label, size=0.9, anchor="middle"))
    spoken = []
    for k, (name, bars) in enumerate(rows):
        low = top - (k + 1) * ROW * u
        shapes.append(Line((0.0, low), (width_mm, low), hand.pen("hair")))
        shapes.append(hand.write((0.0, low + 0.5 * u), name, size=0.9))
        for n, (words, start, end) in enumerate(bars):
            if end < first or start > last:
                continue
            following = bars[n + 1][1] if n + 1 < len(bars) else last
            until = max(x_of(following), x_of(end)) if n + 1 < len(bars) else width_mm
            since = x_of(bars[n - 1][2]) if n else left
            shapes += _bar(hand, words, (x_of(start), x_of(end)), low, (since, until))
        spoken.append(f"{hand.say(name)}: {len(bars)}")
    title = hand.say(said("drawing.day_strip"))
    return Drawing(width_mm, height, tuple(shapes), title, "; ".join(spoken))


def _bar(
    hand: Hand, words: Words, span: tuple[float, float], low: float, room: tuple[float, float]
) -> list[Shape]:
    """A bar with its name in it, or beside it where it is short; a moment is a stroke. `room`: from
    where and as far as its name may run.
    """
    since, until = room
    u, (start, end) = hand.text_mm, span
    if end - start < 0.4 * u:
        shapes: list[Shape] = [Line((start, low), (start, low + ROW * u), hand.pen("bold"))]
        at, bold = start + 0.4 * u, True
    else:
        box = rectangle(start, low + 0.22 * u, end, low + (ROW - 0.22) * u)
        if hand.say(words) and hand.width(words, 0.9, bold=True) <= end - start - 0.8 * u:
            name = hand.write((start + 0.4 * u, low + 0.55 * u), words, size=0.9, bold=True)
            return [Polygon(box, hand.pen("medium"), "ground"), name]
        hatch = Hatch(box, 45.0, 0.35 * u, hand.pen("fine"))
        shapes, at, bold = [hatch, Polygon(box, hand.pen("fine"))], end + 0.3 * u, False
    most = until - at - 0.4 * u
    wide = hand.width(words, 0.9, bold=bold)
    if hand.say(words) and wide > most and wide <= start - since - 0.8 * u:
        before = (start - 0.4 * u, low + 0.5 * u)
        name = hand.write(before, words, size=0.9, bold=bold, anchor="end", backed=True)
        shapes.append(name)
    elif hand.say(words) and most > 2 * u:
        beside = (at, low + 0.5 * u)
        shapes.append(hand.write(beside, words, size=0.9, bold=bold, most_mm=most, backed=True))
    return shapes
