"""The foot of a plan's sheet: name and scale, scale bar, north arrow, legend of the symbols used,
and notes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from scout.drawing import pictograms
from scout.drawing.lettering import Hand, broken
from scout.drawing.plan.walls import door_sample, wall_sample, window_sample
from scout.drawing.shapes import (
    Circle,
    Hatch,
    Ink,
    Line,
    Pen,
    Point,
    Polygon,
    Shape,
    moved,
    rectangle,
)
from scout.units import METRES_PER_FOOT
from scout.values import Name, Word, said
from scout.words.figures import Words

Sample = Callable[[Hand, Point], Sequence[Shape]]


def _patch(hand: Hand, at: Point, height: float) -> Sequence[Shape]:
    u = hand.text_mm
    box = rectangle(at[0] - u, at[1] - height * u, at[0] + u, at[1] + height * u)
    return Polygon(box, hand.pen("fine", "rust")), Hatch(
        box, 45.0 if height > 0.4 else 90.0, 0.4 * u, hand.pen("fine", "rust")
    )


def _rim(hand: Hand, at: Point) -> Sequence[Shape]:
    u, (x, y) = hand.text_mm, at
    ticks = [
        Line((x + k * 0.4 * u, y - 0.28 * u), (x + k * 0.4 * u, y + 0.28 * u), hand.pen("hair"))
        for k in (-2, -1, 0, 1, 2)
    ]
    return (
        Line((x - u, y - 0.28 * u), (x + u, y - 0.28 * u), hand.pen("hair")),
        Line((x - u, y + 0.28 * u), (x + u, y + 0.28 * u), hand.pen("thin")),
        *ticks,
    )


def _stroke(hand: Hand, at: Point, pen: Pen) -> Line:
    return Line((at[0] - hand.text_mm, at[1]), (at[0] + hand.text_mm, at[1]), pen)


def _beam(hand: Hand, at: Point) -> Sequence[Shape]:
    u, (x, y) = hand.text_mm, at
    return tuple(
        Line((x - u, y), (x + u, y + side * 0.55 * u), hand.pen("fine")) for side in (-1, 1)
    )


def _tape(hand: Hand, at: Point) -> Sequence[Shape]:
    u, (x, y) = hand.text_mm, at
    return _stroke(hand, at, hand.pen("hair")), Line(
        (x + 0.72 * u, y - 0.28 * u), (x + 1.28 * u, y + 0.28 * u), hand.pen("medium")
    )


def _floor(hand: Hand, at: Point) -> Sequence[Shape]:
    u, (x, y) = hand.text_mm, at
    return (
        Polygon(
            rectangle(x - u, y - 0.6 * u, x + u, y + 0.6 * u), hand.pen("fine", dash=(0.5, 0.35))
        ),
    )


def _shade(hand: Hand, at: Point, angle_deg: float, height: float, gap: float) -> Sequence[Shape]:
    u = hand.text_mm
    box = rectangle(at[0] - u, at[1] - height * u, at[0] + u, at[1] + height * u)
    return Hatch(box, angle_deg, gap * u, hand.pen("fine")), Polygon(box, hand.pen("fine"))


def _role(role: str, size: float) -> Sample:
    return lambda h, p: pictograms.role_light(h, p, size * h.text_mm, 0.0, role)


def _stroked(weight: str, ink: Ink = "ink", dash: tuple[float, ...] = ()) -> Sample:
    return lambda h, p: (_stroke(h, p, h.pen(weight, ink, dash=dash)),)


LEGEND: dict[str, tuple[str, Sample]] = {
    "wall": ("wall, inner face measured", lambda h, p: wall_sample(h, p, 2 * h.text_mm)),
    "ground": (
        "edge of the usable ground",
        lambda h, p: (
            Line(
                (p[0] - h.text_mm, p[1]), (p[0] + h.text_mm, p[1]), h.pen("medium", dash=(0.7, 0.3))
            ),
        ),
    ),
    "window": ("window", lambda h, p: window_sample(h, p, 2.2 * h.text_mm)),
    "door": ("door (swing not recorded)", lambda h, p: door_sample(h, p, 1.9 * h.text_mm)),
    "letter": ("wall letter", lambda h, p: pictograms.lettered_circle(h, p, "A")),
    "letter_ground": ("letter of an edge", lambda h, p: pictograms.lettered_circle(h, p, "A")),
    "furniture": (
        "piece of furniture",
        lambda h, p: pictograms.block_shapes(
            h,
            rectangle(
                p[0] - h.text_mm, p[1] - 0.55 * h.text_mm, p[0] + h.text_mm, p[1] + 0.55 * h.text_mm
            ),
        ),
    ),
    "outlet": (
        "outlet · its circuit",
        lambda h, p: pictograms.outlet(h, (p[0] - 0.4 * h.text_mm, p[1]), 0.95 * h.text_mm, 0.0),
    ),
    "practical": (
        "practical (room's own lamp)",
        lambda h, p: pictograms.practical(h, p, 0.95 * h.text_mm),
    ),
    "light": (
        "light, where it is pinned",
        lambda h, p: pictograms.light(h, (p[0] - 0.3 * h.text_mm, p[1]), 0.7 * h.text_mm, 0.0),
    ),
    "light_planned": (
        "light, planned or assumed",
        lambda h, p: pictograms.light(
            h, (p[0] - 0.3 * h.text_mm, p[1]), 0.7 * h.text_mm, 0.0, planned=True
        ),
    ),
    "camera": ("camera, lens ahead", lambda h, p: pictograms.camera(h, p, 0.95 * h.text_mm, 0.0)),
    "subject": (
        "subject, and the way they face",
        lambda h, p: pictograms.person(h, p, 0.85 * h.text_mm, 0.0),
    ),
    "path": (
        "the subject's walk",
        lambda h, p: pictograms.path(h, ((p[0] - h.text_mm, p[1]), (p[0] + h.text_mm, p[1]))),
    ),
    "role_key": ("key light", _role("key", 0.85)),
    "role_fill": ("fill light", _role("fill", 0.8)),
    "role_back": ("back light", _role("back", 0.85)),
    "role_other": ("light beyond key, fill, back", _role("other", 0.85)),
    "role_bounce": ("white board on a stand", _role("bounce", 0.8)),
    "aim": (
        "the way a light points",
        lambda h, p: (
            _stroke(h, p, h.pen("hair", dash=(0.9, 0.35))),
            pictograms.head_of_arrow(h, p, 0.0),
        ),
    ),
    "beam": ("edges of its beam", _beam),
    "tape": ("tape, square off the wall", _tape),
    "shadow_floor": ("shadow on the floor", lambda h, p: _shade(h, p, 0.0, 0.55, 0.5)),
    "shadow_wall": ("shadow on a wall", lambda h, p: _shade(h, p, 90.0, 0.35, 0.28)),
    "boom": (
        "microphone on its boom",
        lambda h, p: pictograms.boom(
            h, p, 0.8 * h.text_mm, (p[0] - 1.1 * h.text_mm, p[1] - 0.4 * h.text_mm)
        ),
    ),
    "lead_0": ("mains cable", _stroked("medium", "rust")),
    "lead_1": (
        "cable, next circuit",
        _stroked("medium", "rust", dash=(0.9, 0.3)),
    ),
    "lead_2": (
        "cable, third circuit",
        _stroked("medium", "rust", dash=(0.25, 0.25)),
    ),
    "lead_3": (
        "cable, fourth circuit",
        _stroked("medium", "rust", dash=(1.2, 0.3, 0.25, 0.3)),
    ),
    "trip": ("trip: tape or ramp it", lambda h, p: pictograms.trip(h, p, 0.85 * h.text_mm)),
    "field_chosen": (
        "field of the chosen lens",
        _stroked("thin", "green"),
    ),
    "field": (
        "field of another lens",
        _stroked("fine", "green", dash=(1.2, 0.4)),
    ),
    "field_name": (
        "its focal length in mm",
        lambda h, p: (h.centred(p, "35", size=0.9, ink="green"),),
    ),
    "band": ("wall in frame, chosen lens", lambda h, p: _shade(h, p, 45.0, 0.37, 0.3)),
    "operator": ("floor of camera and operator", _floor),
    "focus": ("lens to eyes, straight", _stroked("fine")),
    "walk_mark": ("mark of the walk, in order", lambda h, p: pictograms.numbered(h, p, "1")),
    "sun_floor": ("sun on the floor, hour in it", lambda h, p: _patch(h, p, 0.55)),
    "sun_wall": ("sun on a wall", lambda h, p: _patch(h, p, 0.3)),
    "sun_hour": (
        "the sun's bearing at the hour",
        lambda h, p: (Circle(p, 0.42 * h.text_mm, h.pen("fine", "rust"), "rust"),),
    ),
    "sun_edge": ("sunrise, sunset", lambda h, p: pictograms.sun(h, p, 0.75 * h.text_mm, half=90.0)),
    "rim": ("bearings, a stroke every 10°", _rim),
}


# The same in fewer words, where a second column fits no other way.
SHORTER = {
    "wall": "wall, inner face",
    "door": "door, swing unknown",
    "letter_ground": "edge letter",
    "furniture": "furniture",
    "practical": "room's own lamp",
    "light": "light, pinned",
    "light_planned": "light, planned",
    "subject": "subject, facing",
    "role_other": "another light",
    "role_bounce": "white board",
    "aim": "aimed this way",
    "beam": "beam's edges",
    "tape": "tape, square off",
    "shadow_floor": "floor shadow",
    "shadow_wall": "wall shadow",
    "boom": "microphone, boom",
    "trip": "trip: tape it",
    "field_chosen": "chosen lens",
    "field": "another lens",
    "field_name": "focal length, mm",
    "band": "wall in frame",
    "operator": "camera and operator",
    "focus": "lens to eyes",
    "walk_mark": "mark of the walk",
    "sun_floor": "sun, hour in it",
    "sun_hour": "sun at the hour",
    "rim": "bearings by 10°",
}
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
    if symbols:
        shapes.append(Line((0.0, y), (width_mm, y), hand.pen("hair")))
        drawn, y = _legend(hand, width_mm, symbols, y)
        shapes += drawn
    if notes:
        shapes.append(Line((0.0, y), (width_mm, y), hand.pen("hair")))
        y -= 0.4 * u
        for note in notes:
            for line in broken(note, width_mm, 0.9 * u, hand.text_width, 6):
                y -= 1.15 * u
                shapes.append(hand.write((0.0, y), line, size=0.9))
        y -= 0.6 * u
    return Foot(tuple(shapes), -y)


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
            and n * step * mm_per_unit >= hand.width(f"{total * step:g}", 0.9) + 0.8 * u
        ),
        total,
    )
    for k in range(0, total + 1, every):
        words = f"{k * step:g}" + (f" {unit}" if k == total else "")
        at = (k * step * mm_per_unit, 0.85 * u)
        label = hand.write(at, words, size=0.9, anchor="start" if k == 0 else "middle")
        shapes.append(label)
    return tuple(shapes), total * step * mm_per_unit
