"""A date of the day plan on the 24-hour ruler: each room with its opening hours, its noises, the
sun that troubles it, and its scenes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from scout.assess.answers import EventsAnswer
from scout.drawing.charts.parts import Sample, legend
from scout.drawing.charts.ruler import Ruler, day_of
from scout.drawing.lettering import PRINT_TEXT_MM, Hand, TextWidth, helvetica_width, tidy
from scout.drawing.shapes import Drawing, Group, Hatch, Line, Polygon, Shape, moved, rectangle
from scout.values import Name, Said, Spell, said
from scout.words.figures import Words, paragraph
from scout.words.figures import day as date_words

Times = tuple[datetime, datetime]


@dataclass(frozen=True)
class DrawnScene:
    """A scene of a room; key tells it from the others on the page."""

    key: str
    name: str
    set_up_from: datetime
    begin: datetime
    end: datetime
    strike_until: datetime


@dataclass(frozen=True)
class DrawnRoom:
    """A room on the date. open: None: not recorded."""

    name: str
    open: tuple[Times, ...] | None
    noises: tuple[Times, ...]
    sun: tuple[Times, ...]
    scenes: tuple[DrawnScene, ...]


def day_chart(
    on: date,
    zone: str,
    events: EventsAnswer,
    rooms: Sequence[DrawnRoom],
    meals: Sequence[Times] = (),
    *,
    width_mm: float = 180.0,
    text_mm: float = PRINT_TEXT_MM,
    text_width: TextWidth = helvetica_width,
) -> Drawing:
    """The date's rooms one under the other, by the clock of its first place; as high as they need."""
    hand, u = Hand(text_mm, text_width), text_mm
    shapes, words = list[Shape](), list[Words]()
    day = day_of(on, zone)
    ruler = Ruler(day, 0.6 * u, width_mm - 0.8 * u)
    heading = hand.write((0.0, -1.2 * u), date_words(on, long=True) or "", bold=True)
    clock = hand.write((width_mm, -1.2 * u), said("legend.clock"), size=0.9, anchor="end")
    shapes += [heading, clock]
    top = y = -4.0 * u
    shapes += ruler.ticks(hand, y)
    rows = list[Shape]()
    kinds = dict[str, None]()
    for room in rooms:
        y -= 1.8 * u
        rows.append(
            hand.write(
                (0.0, y), Name(tidy(room.name)), size=0.9, bold=True, backed=True, most_mm=width_mm
            )
        )
        y -= 0.7 * u
        rows += _room(hand, ruler, room, y, kinds, width_mm)
        words += [
            said(
                "day.drawing_row",
                scene=Name(scene.name),
                spell=Spell(scene.begin, scene.end),
                room=Name(room.name),
            )
            for scene in room.scenes
        ]
        y -= 6.0 * u
    for begin, end in meals:
        kinds.setdefault("meal")
        rows += _meal(hand, ruler.x(begin), ruler.x(end), y + 0.4 * u)
    y -= 1.0 * u
    back: list[Shape] = [*ruler.night(hand, events, y, top), *ruler.grid(hand, y, top)]
    if any(isinstance(shape, Hatch) for shape in back):
        kinds.setdefault("night")
    shapes += [*back, *rows]
    samples = {kind: _SAMPLES[kind] for kind in _SAMPLES if kind in kinds}
    drawn = [(_sample(hand, paint), words_of) for paint, words_of in samples.values()]
    legends, y = legend(hand, width_mm, y - 1.2 * u, drawn)
    shapes += legends
    height = -y + 0.6 * u
    title = str(said("day.drawing", on=on))
    placed = tuple(moved(shape, 0.0, height - 0.3 * u) for shape in shapes)
    return Drawing(width_mm, height, placed, title, paragraph(title, *words))


def _room(
    hand: Hand, ruler: Ruler, room: DrawnRoom, top: float, kinds: dict[str, None], width_mm: float
) -> list[Shape]:
    u, low = hand.text_mm, top - 4.6 * hand.text_mm
    shapes = list[Shape]()

    def boxes(spells: Sequence[Times], kind: str, under: float, over: float) -> None:
        for begin, end in spells:
            left, right = ruler.x(begin), ruler.x(end)
            if right - left > 0.01:
                kinds.setdefault(kind)
                shapes.extend(_painted(hand, kind, left, under, right, over))

    boxes(room.open or (), "open", low, top)
    boxes(room.noises, "noise", low, low + 0.9 * u)
    boxes(room.sun, "sun", top - 0.9 * u, top)
    for scene in room.scenes:
        kinds.setdefault("set_up")
        left, right = ruler.x(scene.set_up_from), ruler.x(scene.strike_until)
        begin, end = ruler.x(scene.begin), ruler.x(scene.end)
        under, over = low + 1.2 * u, top - 1.2 * u
        outer = rectangle(left, under, right, over)
        text = hand.write((0.0, 0.0), Name(tidy(scene.name)), size=0.9, most_mm=0.6 * width_mm)
        wide = text.width_mm
        # beside its box where it is too long to stand in it
        x = begin + 0.3 * u if wide < end - begin - 0.5 * u else right + 0.4 * u
        if x + wide > width_mm:
            x = left - 0.4 * u - wide
        shapes.append(
            Group(
                (
                    Polygon(outer, None, "ground"),
                    Hatch(outer, 45.0, 0.5 * u, hand.pen("hair")),
                    Polygon(outer, hand.pen("hair")),
                    Polygon(rectangle(begin, under, end, over), hand.pen("thick"), "ground"),
                    hand.write((x, (under + over) / 2 - 0.3 * u), text.text, size=0.9, backed=True),
                ),
                f"scene-{scene.key}",
                f"{scene.name}: {Spell(scene.begin, scene.end)}",
            )
        )
    return shapes


def _painted(
    hand: Hand, kind: str, left: float, under: float, right: float, over: float
) -> list[Shape]:
    box, u = rectangle(left, under, right, over), hand.text_mm
    if kind == "open":
        return [Polygon(box, hand.pen("thin", dash=(0.5, 0.3)))]
    if kind == "noise":
        pen = hand.pen("fine")
        return [
            Polygon(box, None, "ground"),
            Hatch(box, 0.0, 0.3 * u, pen),
            Hatch(box, 90.0, 0.3 * u, pen),
        ]
    if kind == "sun":
        pen = hand.pen("fine", "rust")
        return [Polygon(box, None, "ground"), Hatch(box, 45.0, 0.3 * u, pen), Polygon(box, pen)]
    if kind == "set_up":
        return [Hatch(box, 45.0, 0.5 * u, hand.pen("hair")), Polygon(box, hand.pen("hair"))]
    if kind == "night":
        return [Polygon(box, hand.pen("hair")), Hatch(box, 60.0, 0.6 * u, hand.pen("hair"))]
    return _meal(hand, left, right, (under + over) / 2)


def _meal(hand: Hand, left: float, right: float, y: float) -> list[Shape]:
    pen, tick = hand.pen("thick"), 0.4 * hand.text_mm
    return [
        Line((left, y), (right, y), pen),
        *(Line((x, y - tick), (x, y + tick), pen) for x in (left, right)),
    ]


def _sample(hand: Hand, kind: str) -> Sample:
    u = hand.text_mm

    def sample(x: float, y: float) -> list[Shape]:
        return _painted(hand, kind, x, y - 0.4 * u, x + 2 * u, y + 0.4 * u)

    return sample


_SAMPLES: dict[str, tuple[str, Said]] = {
    "set_up": ("set_up", said("day.drawing_set_up")),
    "open": ("open", said("day.drawing_open")),
    "noise": ("noise", said("day.drawing_noise")),
    "sun": ("sun", said("day.drawing_sun")),
    "meal": ("meal", said("day.drawing_meal")),
    "night": ("night", said("legend.night")),
}
