"""What charts have in common: a heading, a legend, notes, and the box that says why there is none."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from scout.drawing.lettering import Hand, broken
from scout.drawing.shapes import Drawing, Polygon, Shape, rectangle
from scout.values import Said, said
from scout.words.figures import Words, paragraph, sentence

Sample = Callable[
    [float, float], Iterable[Shape]
]  # left end and middle of its place, 2 letters wide


def heading(hand: Hand, width_mm: float, title: str, foot: float) -> tuple[list[Shape], float]:
    """The title in as many lines as it needs, from `foot` up; and its top."""
    u = hand.text_mm
    lines = broken(title, width_mm, 1.08 * u, hand.text_width)
    top = foot + 1.45 * u * len(lines)
    return [
        hand.write((0.0, top - 1.45 * u * (k + 1)), line, bold=True, most_mm=width_mm)
        for k, line in enumerate(lines)
    ], top


def legend(
    hand: Hand,
    width_mm: float,
    top: float,
    rows: Iterable[tuple[Sample, Words]],
    notes: Sequence[Words] = (),
) -> tuple[list[Shape], float]:
    """Samples with their words in as many rows as they need, notes under them; and the foot."""
    u, x, y = hand.text_mm, 0.0, top
    shapes: list[Shape] = []
    for sample, words in rows:
        width = 2.8 * u + hand.width(words, 0.9)
        if x > 0 and x + width > width_mm:
            x, y = 0.0, y - 1.6 * u
        shapes += sample(x, y)
        for k, line in enumerate(
            broken(hand.say(words), width_mm - x - 2.6 * u, 0.9 * u, hand.text_width, 2)
        ):
            y -= 1.1 * u * min(k, 1)
            shapes.append(hand.write((x + 2.6 * u, y - 0.28 * u), line, size=0.9))
        x += width + 1.5 * u
    for note in notes:
        for line in broken(sentence(note), width_mm, 0.9 * u, hand.text_width):
            y -= 1.5 * u
            shapes.append(hand.write((0.0, y - 0.28 * u), line, size=0.9))
    return shapes, y - 0.9 * u


def not_known(hand: Hand, width_mm: float, title: str, why: Said) -> Drawing:
    """A ruled box with the reason instead of a chart."""
    u = hand.text_mm
    unknown = said("value.why", why=why)
    lines = broken(str(unknown), width_mm - 1.6 * u, 0.9 * u, hand.text_width)
    height = (1.5 * len(lines) + 1.2) * u
    box = rectangle(0.1 * u, 0.1 * u, width_mm - 0.1 * u, height - 0.1 * u)
    words = [
        hand.write((0.8 * u, height - (1.5 * k + 1.6) * u), line, size=0.9)
        for k, line in enumerate(lines)
    ]
    return Drawing(
        width_mm,
        height,
        (Polygon(box, hand.pen("fine")), *words),
        title,
        paragraph(title, unknown),
    )
