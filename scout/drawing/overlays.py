"""Arrows, boxes and words on a photo: black on a white edge, so that they are read on any picture."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from scout.drawing.lettering import Hand, broken, tidy
from scout.drawing.shapes import (
    CAP_HEIGHT,
    DESCENT,
    Box,
    Drawing,
    Pen,
    Point,
    Polygon,
    Polyline,
    Shape,
    Text,
    rectangle,
)
from scout.records.kept import Overlay
from scout.values import Name, Word, said

LINE, EDGE = 0.16, 0.42  # weights, in parts of the size of the letters
HEAD = 1.3  # length of an arrow's head, in the same parts
LEADING = 1.2
WORDS_WIDE = 0.45  # of the picture's width that words may take before they turn the line
LETTERS = 16  # but so many letters' sizes at least, where the picture is that wide


def overlay_drawing(
    overlays: Sequence[Overlay], width_mm: float, height_mm: float, hand: Hand
) -> Drawing:
    """What stands on a photo of this size, later ones above earlier ones."""
    shapes: list[Shape] = []
    taken: list[Box] = []
    for one in overlays:
        shapes += _figure(one, width_mm, height_mm, hand)
    for one in overlays:
        shapes += _letters(one, width_mm, height_mm, hand, taken)
    drawn = [
        said("drawing.overlay", kind=Word("overlay", one.kind), text=_text(one)) for one in overlays
    ]
    title = said("drawing.overlays", n=len(overlays))
    described = "; ".join(hand.say(one) for one in drawn)
    return Drawing(width_mm, height_mm, tuple(shapes), hand.say(title), described)


def cut_short(
    overlays: Sequence[Overlay], width_mm: float, height_mm: float, hand: Hand
) -> tuple[str, ...]:
    """The words that a picture of this size has no room for."""
    return tuple(
        one.text
        for one in overlays
        if one.text
        and "".join(_lines(one.text, width_mm, height_mm, hand)).replace(" ", "")
        != tidy(one.text).replace(" ", "")
    )


def _text(one: Overlay) -> Name | None:
    return None if one.text is None else Name(tidy(one.text))


def _ends(one: Overlay, wide: float, high: float) -> tuple[Point, Point]:
    """Both places on the paper; words have one."""
    first = (one.x * wide, (1.0 - one.y) * high)
    if one.to_x is None or one.to_y is None or one.kind == "words":
        return first, first
    return first, (one.to_x * wide, (1.0 - one.to_y) * high)


def _pens(hand: Hand) -> tuple[Pen, Pen]:
    return Pen(EDGE * hand.text_mm, "ground"), Pen(LINE * hand.text_mm, "ink")


def _figure(one: Overlay, wide: float, high: float, hand: Hand) -> Iterator[Shape]:
    first, last = _ends(one, wide, high)
    if one.kind == "box":
        corners = rectangle(*_box(first, last))
        for pen in _pens(hand):
            yield Polygon(corners, pen)
    elif one.kind == "arrow":
        long = math.dist(first, last)
        ahead = (last[0] - first[0]) / long, (last[1] - first[1]) / long
        head = min(HEAD * hand.text_mm, long)
        neck = last[0] - head * ahead[0], last[1] - head * ahead[1]
        side = -0.42 * head * ahead[1], 0.42 * head * ahead[0]
        wings = (neck[0] + side[0], neck[1] + side[1]), (neck[0] - side[0], neck[1] - side[1])
        edge, ink = _pens(hand)
        yield Polyline((first, neck), edge)
        yield Polygon((last, *wings), edge, "ground")
        yield Polyline((first, neck), ink)
        yield Polygon((last, *wings), None, "ink")


def _box(first: Point, last: Point) -> Box:
    xs, ys = sorted((first[0], last[0])), sorted((first[1], last[1]))
    return xs[0], ys[0], xs[1], ys[1]


def _lines(text: str, wide: float, high: float, hand: Hand) -> tuple[str, ...]:
    """The words in lines that stand within the picture."""
    pad = 0.3 * hand.text_mm
    most = min(wide - 2 * pad, max(WORDS_WIDE * wide, LETTERS * 0.5 * hand.text_mm))
    count = max(1, math.floor((high - 2 * pad) / (LEADING * hand.text_mm)))
    return broken(text, most, hand.text_mm, hand.text_width, count)


def _letters(
    one: Overlay, wide: float, high: float, hand: Hand, taken: list[Box]
) -> Iterator[Text]:
    """The words beside their arrow's tail, over their box or about their place: where nothing
    written stands yet, and never past the picture's edge.
    """
    if not one.text:
        return
    size, pad = hand.text_mm, 0.3 * hand.text_mm
    lines = _lines(one.text, wide, high, hand)
    long = max((hand.width(line) for line in lines), default=0.0)
    tall = (LEADING * (len(lines) - 1) + CAP_HEIGHT + DESCENT) * size
    first, last = _ends(one, wide, high)
    places = []
    for x, y in _middles(one, first, last, long / 2 + 2 * pad, tall / 2 + 2 * pad):
        x = min(max(x, long / 2 + pad), wide - long / 2 - pad)
        y = min(max(y, tall / 2 + pad), high - tall / 2 - pad)
        places.append((x, y))
    boxes = [
        (x - long / 2 - pad, y - tall / 2 - pad, x + long / 2 + pad, y + tall / 2 + pad)
        for x, y in places
    ]
    chosen = min(range(len(boxes)), key=lambda k: sum(_shared(boxes[k], other) for other in taken))
    taken.append(boxes[chosen])
    (x, y) = places[chosen]
    base = y + tall / 2 - CAP_HEIGHT * size
    for k, line in enumerate(lines):
        yield hand.write((x, base - k * LEADING * size), line, anchor="middle", backed=True)


def _middles(
    one: Overlay, first: Point, last: Point, half_wide: float, half_high: float
) -> Iterator[Point]:
    """Where the middle of the words may lie, best first."""
    (x, y) = first
    if one.kind == "box":
        left, bottom, right, top = _box(first, last)
        yield left + half_wide, top + half_high
        yield left + half_wide, bottom - half_high
        yield right + half_wide, (bottom + top) / 2
        yield left - half_wide, (bottom + top) / 2
    elif one.kind == "arrow":
        back = math.copysign(1.0, y - last[1]) if y != last[1] else 0.0
        across = math.copysign(1.0, x - last[0]) if x != last[0] else 0.0
        steep = abs(y - last[1]) > abs(x - last[0])
        yield (x, y + back * half_high) if steep else (x + across * half_wide, y)
        yield (x + across * half_wide, y) if steep else (x, y + back * half_high)
        yield x, y + half_high
        yield x, y - half_high
    else:
        yield first
        yield x, y + 2 * half_high
        yield x, y - 2 * half_high


def _shared(one: Box, other: Box) -> float:
    wide = min(one[2], other[2]) - max(one[0], other[0])
    high = min(one[3], other[3]) - max(one[1], other[1])
    return max(0.0, wide) * max(0.0, high)
