"""The foot of a plan's sheet: name and scale, scale bar, north arrow, legend of the symbols used,
and notes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from scout.drawing import pictograms
from scout.drawing.lettering import Hand, broken
from scout.drawing.plan.legend import LEGEND, SHORTER
from scout.drawing.shapes import (
    Drawing,
    Group,
    Line,
    Point,
    Polygon,
    Shape,
    bounds,
    moved,
    rectangle,
)
from scout.units import METRES_PER_FOOT
from scout.values import Name, Word, said
from scout.words.figures import Words

SIGNS = "signs"  # what the group of legend and notes is called
SAMPLE, STEP = 2.9, 1.95  # room for a sample, and from row to row, in sizes of the letters


@dataclass(frozen=True)
class Foot:
    """Shapes that hang below y = 0, and how far down they reach."""

    shapes: tuple[Shape, ...]
    height_mm: float


@dataclass(frozen=True)
class Needle:
    """Where north lies on the paper and from which north it was read; `words` is written under the
    arrow.
    """

    angle_deg: float | None
    true: bool
    words: Words


def foot(
    hand: Hand,
    width_mm: float,
    *,
    name: str,
    place: str,
    scale: float,
    stated: bool,
    needle: Needle,
    faces: bool,
    symbols: Sequence[str],
    notes: Sequence[str],
) -> Foot:
    """The foot of the sheet, `width_mm` wide, its top at y = 0."""
    u = hand.text_mm
    shapes: list[Shape] = [Line((0.0, 0.0), (width_mm, 0.0), hand.pen("thin"))]
    north_mm = 9.0 * u
    left_mm = width_mm - north_mm - u
    y = -1.8 * u
    shapes.append(hand.write((0.0, y), name, size=1.25, bold=True, most_mm=left_mm))
    if place:
        y -= 1.5 * u
        shapes.append(hand.write((0.0, y), place, size=0.9, most_mm=left_mm))
    y -= 2.0 * u
    ratio = f"1:{scale:g}"
    bar, bar_mm = scale_bar(
        hand,
        scale,
        min(left_mm * 0.62, left_mm - hand.width(ratio, 1.25, bold=True) - 2.4 * u)
        if stated
        else left_mm * 0.62,
    )
    shapes += [moved(shape, 0.0, y - 0.6 * u) for shape in bar]
    if stated:
        shapes.append(
            hand.write((bar_mm + 2.2 * u, y - 0.6 * u), ratio, size=1.25, bold=True)
        )  # never clipped: a plan without its scale misleads
    y -= 2.0 * u
    units = Word("units", hand.units)
    faced = [said("drawing.dimensions_faces", units=units), said("drawing.faces", units=units)]
    wordings = faced if faces else []
    wordings += [said("drawing.dimensions", units=units), said("drawing.units", units=units)]
    shapes.append(
        hand.write(
            (0.0, y),
            next((w for w in wordings if hand.width(w, 0.9) <= left_mm), wordings[-1]),
            size=0.9,
            most_mm=left_mm,
        )
    )
    shapes += _north(hand, needle, (width_mm - north_mm / 2, -3.3 * u), north_mm)
    y = min(y - 0.8 * u, -8.6 * u)
    signs: list[Shape] = []
    if symbols:
        signs.append(Line((0.0, y), (width_mm, y), hand.pen("hair")))
        drawn, y = _legend(hand, width_mm, symbols, y)
        signs += drawn
    if notes:
        signs.append(Line((0.0, y), (width_mm, y), hand.pen("hair")))
        y -= 0.4 * u
        for note in notes:
            for line in broken(note, width_mm, 0.9 * u, hand.text_width, 6):
                y -= 1.15 * u
                signs.append(hand.write((0.0, y), line, size=0.9))
        y -= 0.6 * u
    return Foot((*shapes, *((Group(tuple(signs), SIGNS),) if signs else ())), -y)


def signs_apart(sheet: Drawing) -> tuple[Drawing, Drawing | None]:
    """A sheet that ends with its scale, and its legend and notes by themselves, for a page that
    folds those; None: it has none, or they stand beside the plan.
    """
    signs = next((s for s in sheet.shapes if isinstance(s, Group) and s.id == SIGNS), None)
    if signs is None:
        return sheet, None
    rest = tuple(shape for shape in sheet.shapes if shape is not signs)
    low, top = bounds(rest)[1], bounds([signs])[3]
    if top > low + 0.1:
        return sheet, None
    edge = sheet.height_mm - bounds(rest)[3]
    above = replace(
        sheet,
        height_mm=sheet.height_mm - low + edge,
        shapes=tuple(moved(shape, 0.0, edge - low) for shape in rest),
    )
    title, foot_mm = str(said("drawing.signs")), bounds([signs])[1]
    return above, replace(
        sheet,
        height_mm=top - foot_mm + 2 * edge,
        shapes=(moved(signs, 0.0, edge - foot_mm),),
        title=title,
        description="",
        scale=None,
    )


def slim_foot(
    hand: Hand, width_mm: float, *, scale: float, needle: Needle, notes: Sequence[str]
) -> Foot:
    """Scale bar, scale and north alone, where the page says the rest."""
    u = hand.text_mm
    narrow = width_mm < 45 * u
    bar, bar_mm = scale_bar(hand, scale, width_mm * (0.6 if narrow else 0.42))
    y = -2.9 * u
    shapes: list[Shape] = [moved(shape, 0.0, y) for shape in bar]
    at_full = said("drawing.printed_at_full", scale=Name(f"1:{scale:g}"))
    beside = (0.0, y - 1.6 * u) if narrow else (bar_mm + 2.4 * u, y)
    shapes.append(hand.write(beside, at_full, size=0.95, bold=True))
    if needle.angle_deg is None:
        unknown = said("drawing.north_not_known")
        up = 0.0 if not narrow else 1.6 * u
        shapes.append(hand.write((width_mm, y - up), unknown, size=0.9, anchor="end"))
    else:
        at = (width_mm - 1.9 * u, -2.3 * u)
        shapes += pictograms.north_arrow(hand, at, 1.15 * u, needle.angle_deg, true=needle.true)
        if not narrow:
            words = (width_mm - 4.2 * u, y)
            shapes.append(hand.write(words, needle.words, size=0.9, anchor="end"))
    y -= (2.9 if narrow else 1.3) * u
    for note in notes:
        for line in broken(note, width_mm, 0.9 * u, hand.text_width, 6):
            y -= 1.15 * u
            shapes.append(hand.write((0.0, y), line, size=0.9))
    return Foot(tuple(shapes), -y)


def _north(hand: Hand, needle: Needle, at: Point, width_mm: float) -> list[Shape]:
    u = hand.text_mm
    shapes: list[Shape] = []
    if needle.angle_deg is None:
        shapes.append(
            Polygon(
                rectangle(at[0] - 3.6 * u, at[1] - 1.6 * u, at[0] + 3.6 * u, at[1] + 1.6 * u),
                hand.pen("fine"),
            )
        )
        shapes.append(hand.centred((at[0], at[1] + 0.6 * u), "north", size=0.9))
        unmeasured = said("value.unmeasured")
        shapes.append(hand.centred((at[0], at[1] - 0.6 * u), unmeasured, size=0.9))
    else:
        shapes += pictograms.north_arrow(hand, at, 1.7 * u, needle.angle_deg, true=needle.true)
    for i, line in enumerate(broken(hand.say(needle.words), width_mm, 0.9 * u, hand.text_width, 2)):
        shapes.append(
            hand.write((at[0], at[1] - (4.2 + 1.05 * i) * u), line, size=0.9, anchor="middle")
        )
    return shapes


def _legend(
    hand: Hand, width_mm: float, symbols: Sequence[str], top: float
) -> tuple[list[Shape], float]:
    """The symbols with their words, in as many columns as fit; the short words where they bring one
    more column.
    """
    u = hand.text_mm
    names = [symbol for symbol in LEGEND if symbol in symbols]
    full = [LEGEND[name][0] for name in names]
    short = [SHORTER.get(name, LEGEND[name][0]) for name in names]
    said, columns = max(
        ((words, _columns(hand, words, width_mm)) for words in (full, short)),
        key=lambda pair: len(pair[1]),
    )
    deep = math.ceil(len(said) / len(columns))
    slack = min(max((width_mm - sum(columns)) / len(columns), 0.0), 3.0 * u)
    shapes: list[Shape] = []
    for k, (name, words) in enumerate(zip(names, said, strict=True)):
        column, row = divmod(k, deep)
        x, y = sum(columns[:column]) + column * slack, top - 1.4 * u - row * STEP * u
        shapes += LEGEND[name][1](hand, (x + 1.2 * u, y))
        shapes.append(
            hand.write(
                (x + SAMPLE * u, y - 0.3 * u), words, size=0.9, most_mm=width_mm - x - SAMPLE * u
            )
        )
    return shapes, top - 1.4 * u - (deep - 1) * STEP * u - 1.3 * u


def _columns(hand: Hand, words: Sequence[str], width_mm: float) -> list[float]:
    """Breadths of the most columns in which the words, filled in downwards, stand side by side."""
    best = [width_mm]
    for count in range(2, len(words) + 1):
        deep = math.ceil(len(words) / count)
        wide = [
            SAMPLE * hand.text_mm
            + max(hand.width(one, 0.9) for one in words[at : at + deep])
            + 1.2 * hand.text_mm
            for at in range(0, len(words), deep)
        ]
        if sum(wide) - 1.2 * hand.text_mm <= width_mm and len(wide) > len(best):
            best = wide
    return best


def scale_bar(hand: Hand, scale: float, most_mm: float) -> tuple[tuple[Shape, ...], float]:
    """A bar of alternate blocks of a round length at the scale, its left end at the origin; returns
    its shapes and its length [mm].
    """
    u = hand.text_mm
    unit_m, unit = (1.0, "m") if hand.units == "metric" else (METRES_PER_FOOT, "ft")
    mm_per_unit = unit_m * 1000.0 / scale
    steps = [base * 10.0**power for power in range(-3, 6) for base in (1.0, 2.0, 5.0)]
    step = max((s for s in steps if 4 * s * mm_per_unit <= most_mm), default=steps[0])
    total = max((n for n in (4, 5, 6, 8, 10) if n * step * mm_per_unit <= most_mm), default=4)
    pen = hand.pen("fine")
    shapes: list[Shape] = []
    for k in range(total):
        block = rectangle(k * step * mm_per_unit, 0.0, (k + 1) * step * mm_per_unit, 0.5 * u)
        shapes.append(Polygon(block, pen, "ink" if k % 2 == 0 else "ground"))
    every = next(
        (
            n
            for n in (1, 2, 4, 5, total)
            if total % n == 0
            and n * step * mm_per_unit
            >= max(hand.width(f"{k * step:g} {unit}", 0.9) for k in range(total + 1)) + 0.4 * u
        ),
        total,
    )
    for k in range(0, total + 1, every):
        words = f"{k * step:g}" + (f" {unit}" if k == total else "")
        at = (k * step * mm_per_unit, 0.85 * u)
        label = hand.write(at, words, size=0.9, anchor="start" if k == 0 else "middle")
        shapes.append(label)
    return tuple(shapes), total * step * mm_per_unit
