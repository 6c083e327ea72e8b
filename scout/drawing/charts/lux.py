"""Daylight at a mark through the day, as a band between an overcast and a clear sky on the same
24-hour ruler.

Light is drawn on a logarithmic scale, as stops are: every factor of ten is the same height.
    Below the foot of the scale nothing is drawn.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from itertools import pairwise
from typing import Literal

from scout.assess.answers import (
    DaylightAnswer,
    EventsAnswer,
    LuxPoint,
    MarkDaylight,
    WindowSunAnswer,
)
from scout.drawing.charts.parts import legend, not_known
from scout.drawing.charts.ruler import Ruler, bar, day_of, unix_s, whisker
from scout.drawing.lettering import (
    PRINT_TEXT_MM,
    Hand,
    TextWidth,
    clip,
    helvetica_width,
    tidy,
)
from scout.drawing.shapes import (
    Drawing,
    Group,
    Hatch,
    Line,
    Point,
    Polygon,
    Polyline,
    Shape,
    moved,
    rectangle,
)
from scout.values import Figure, Many, Name, Said, Spell, Word, said
from scout.words.figures import mark_name, number, paragraph, spell_list

FLOOR_LUX = 1.0
TALL, TALL_OF_TWO = 13.0, 8.5  # height of the chart, or of each of two, in sizes of the letters
MEANS = said("drawing.means")


@dataclass(frozen=True)
class _Plane:
    """One plane of a mark through the day: overcast and clear lux where known, and from when to
    when an overcast sky is enough.
    """

    name: Literal["level", "camera"]
    series: tuple[LuxPoint, ...]  # its lux stand in overcast_lux and clear_lux
    enough: tuple[datetime, datetime] | None
    noon: tuple[float | None, float | None]

    @property
    def words(self) -> Word:
        """`on a level plane`."""
        return Word("plane", self.name)


def lux_chart(
    on: date,
    name: str,
    zone: str | None,
    events: EventsAnswer,
    daylight: DaylightAnswer,
    *,
    mark: str | None = None,
    windows: Sequence[WindowSunAnswer] = (),
    width_mm: float = 180.0,
    text_mm: float = PRINT_TEXT_MM,
    text_width: TextWidth = helvetica_width,
) -> Drawing:
    """Daylight in a room at one mark on one date, with the light the scene needs as a line across.

    The level plane and, where it is known, the side that the camera sees stand one under the other
    on one ruler and one scale.
    name: the room's name; mark: a key of daylight.marks, left out the subject's, or else the first
    windows: whose spells of direct sun stand under the chart, a row each
    """
    hand, u = Hand(text_mm, text_width), text_mm
    mark = (
        mark
        if mark is not None
        else "subject"
        if "subject" in daylight.marks
        else next(iter(daylight.marks), "subject")
    )
    answer = daylight.marks.get(mark)
    room = Name(clip(name, 60.0, 1.6))
    title = str(said("drawing.daylight", mark=mark_name(mark), room=room, on=on))
    heading = title
    if hand.width(title, 1.0, bold=True) > width_mm:  # on a page that is the room's own
        heading = str(said("drawing.daylight", mark=mark_name(mark), room=None, on=on))
    day = day_of(on, zone) if zone is not None else None
    planes = _planes(answer, daylight, subject=mark == "subject") if answer is not None else []
    if answer is None or not planes or day is None or not day.spans:
        why = _why(answer, daylight, zone if day is not None and not day.spans else None)
        return not_known(hand, width_mm, title, why)
    ruler = Ruler(day, min(5.2 * u, 0.18 * width_mm), width_mm - 1.2 * u)
    most = max(
        value
        for plane in planes
        for p in plane.series
        for value in (p.overcast_lux, p.clear_lux)
        if value is not None
    )
    decades = max(
        2, math.ceil(math.log10(max(most, daylight.needed_lux or 0.0, 10.0) / FLOOR_LUX) - 1e-9)
    )
    top = -2.4 * u
    shapes: list[Shape] = [
        hand.write((0.0, top + 3.4 * u), heading, size=1.0, bold=True, most_mm=width_mm)
    ]
    shapes += ruler.ticks(hand, top)
    y = top
    for k, plane in enumerate(planes):
        drawn, y = _panel(
            hand,
            ruler,
            plane,
            events,
            daylight.needed_lux,
            decades,
            y if k == 0 else y - 1.4 * u,
            alone=len(planes) == 1,
        )
        shapes += drawn
    lit = planes[0].series
    strip = _direct(hand, ruler, lit, y - 0.2 * u)
    shapes += strip
    under, low = _rows(hand, ruler, windows, y - (1.0 if strip else 0.2) * u)
    shapes += under
    below, bottom = _legend(
        hand, width_mm, low - 1.6 * u, direct=bool(strip), sun=any(w.direct_sun for w in windows)
    )
    shapes += below
    edge = 0.3 * u
    placed = tuple(moved(shape, 0.0, -bottom + edge) for shape in shapes)
    return Drawing(
        width_mm,
        top + 4.6 * u - bottom + 2 * edge,
        placed,
        title,
        paragraph(title, *_words(answer, daylight, planes, windows)),
    )


def _planes(answer: MarkDaylight, daylight: DaylightAnswer, *, subject: bool) -> list[_Plane]:
    """The planes of a mark of which any light is known. What is enough at the subject stands in the
    whole answer too.
    """
    points = sorted(answer.series, key=lambda p: unix_s(p.at))
    start, end = answer.enough_from, answer.enough_until
    if subject and (start is None or end is None):
        start, end = daylight.enough_from, daylight.enough_until
    level = _Plane(
        "level",
        tuple(points),
        _both(start, end),
        (answer.overcast_lux_noon, answer.clear_lux_noon),
    )
    turned = tuple(
        replace(p, overcast_lux=p.camera_overcast_lux, clear_lux=p.camera_clear_lux) for p in points
    )
    side = _Plane(
        "camera",
        turned,
        _both(answer.camera_enough_from, answer.camera_enough_until),
        (answer.camera_overcast_lux_noon, answer.camera_clear_lux_noon),
    )
    known = [
        (
            plane,
            tuple(p for p in plane.series if p.overcast_lux is not None or p.clear_lux is not None),
        )
        for plane in (level, side)
    ]
    return [replace(plane, series=kept) for plane, kept in known if kept]


def _both(start: datetime | None, end: datetime | None) -> tuple[datetime, datetime] | None:
    return None if start is None or end is None else (start, end)


def _panel(
    hand: Hand,
    ruler: Ruler,
    plane: _Plane,
    events: EventsAnswer,
    needed_lux: float | None,
    decades: int,
    top: float,
    *,
    alone: bool,
) -> tuple[list[Shape], float]:
    """One plane's band between its skies, from `top` down, with what is enough under it; and where
    it ends.
    """
    u = hand.text_mm
    foot = top - (TALL if alone else TALL_OF_TWO) * u

    def y(lux: float) -> float:
        return foot + (top - foot) * math.log10(max(lux, FLOOR_LUX) / FLOOR_LUX) / decades

    shapes: list[Shape] = [
        Group((*ruler.night(hand, events, foot, top), *ruler.grid(hand, foot, top)), "sky")
    ]
    every = 1 if (top - foot) / decades >= 1.3 * u else 2
    for power in range(decades + 1):
        level = FLOOR_LUX * 10**power
        shapes.append(Line((ruler.left_mm, y(level)), (ruler.right_mm, y(level)), hand.pen("hair")))
        if power % every == 0:
            shapes.append(
                hand.write(
                    (ruler.left_mm - 0.5 * u, y(level) - 0.3 * u),
                    number(level) or "",
                    size=0.9,
                    anchor="end",
                )
            )
    shapes.append(hand.write((0.0, top + 0.9 * u), said("drawing.lux"), size=0.9))
    shapes += _band(hand, ruler, plane.series, y)
    shapes.append(
        hand.write(
            (ruler.left_mm + 0.5 * u, top - 1.1 * u),
            f"{plane.words:cap}",
            size=0.9,
            bold=True,
            backed=True,
            most_mm=ruler.right_mm - ruler.left_mm - u,
        )
    )
    if needed_lux is not None and needed_lux >= FLOOR_LUX:
        level = y(needed_lux)
        shapes.append(
            Line(
                (ruler.left_mm, level),
                (ruler.right_mm, level),
                hand.pen("medium", "rust", (0.9, 0.4)),
            )
        )
        # where the line runs near the top its words go under it, away from the name of the plane
        drop = 0.35 if top - level > 2.2 * u else -1.05
        shapes.append(
            hand.write(
                (ruler.right_mm - 0.4 * u, level + drop * u),
                said("drawing.needed", lux=Figure(needed_lux, "lux")),
                size=0.9,
                anchor="end",
                ink="rust",
                bold=True,
                backed=True,
            )
        )
    if plane.enough is None:
        return shapes, foot
    return [*shapes, _enough(hand, ruler, plane.enough, foot - 1.5 * u)], foot - 1.8 * u


def _why(answer: MarkDaylight | None, daylight: DaylightAnswer, skipped: str | None) -> Said:
    """Why there is no chart; `skipped`: the zone whose clocks skipped the date."""
    if skipped is not None:
        return said("drawing.date_skipped", zone=Name(skipped))
    own = answer.unknown if answer is not None else None
    return own or daylight.unknown or said("drawing.no_daylight")


def _runs(series: Sequence[LuxPoint], ruler: Ruler) -> list[list[LuxPoint]]:
    """The series in pieces without a gap: where a figure is missing nothing is bridged."""
    steps = sorted(unix_s(b.at) - unix_s(a.at) for a, b in pairwise(series))
    usual = steps[len(steps) // 2] if steps else 0.0
    runs: list[list[LuxPoint]] = []
    bright = [
        max(point.overcast_lux or 0.0, point.clear_lux or 0.0) > FLOOR_LUX for point in series
    ]
    for k, point in enumerate(series):
        if point.overcast_lux is None or point.clear_lux is None or not ruler.within(point.at):
            continue
        if not any(
            bright[max(0, k - 1) : k + 2]
        ):  # below the foot of the scale, and so are its neighbours
            continue
        if runs and unix_s(point.at) - unix_s(runs[-1][-1].at) <= 1.5 * usual:
            runs[-1].append(point)
        else:
            runs.append([point])
    return runs


def _band(hand: Hand, ruler: Ruler, series: Sequence[LuxPoint], y: object) -> list[Shape]:
    assert callable(y)
    shapes: list[Shape] = []
    for run in _runs(series, ruler):
        low: list[Point] = [
            (ruler.x(p.at), y(p.overcast_lux)) for p in run if p.overcast_lux is not None
        ]
        high: list[Point] = [
            (ruler.x(p.at), y(p.clear_lux)) for p in run if p.clear_lux is not None
        ]
        if len(run) > 1:
            around = (*low, *reversed(high))
            shapes += [
                Polygon(around, None, "ground"),
                Hatch(around, 45.0, 0.45 * hand.text_mm, hand.pen("hair")),
                Polyline(tuple(low), hand.pen("medium")),
                Polyline(tuple(high), hand.pen("fine")),
            ]
    return [Group(tuple(shapes), "daylight", str(said("drawing.between_skies")))]


def _direct(hand: Hand, ruler: Ruler, series: Sequence[LuxPoint], top: float) -> list[Shape]:
    """A strip under the chart while the sun itself reaches the mark."""
    u = hand.text_mm
    shapes: list[Shape] = []
    for a, b in pairwise(series):
        if a.in_direct_sun and b.in_direct_sun:
            box = rectangle(ruler.x(a.at), top - 0.55 * u, ruler.x(b.at), top)
            shapes.append(Polygon(box, None, "rust"))
    return [Group(tuple(shapes), "direct-sun", str(said("drawing.sun_reaches")))] if shapes else []


def _enough(hand: Hand, ruler: Ruler, span: tuple[datetime, datetime], y: float) -> Group:
    """From when to when an overcast sky is enough, its clock times on the line or beside it."""
    u, (start, end) = hand.text_mm, span
    left, right = ruler.x(start), ruler.x(end)
    name = hand.write(
        (ruler.left_mm - 0.5 * u, y + 0.1 * u),
        said("drawing.enough"),
        size=0.9,
        anchor="end",
        most_mm=ruler.left_mm - 0.5 * u,
    )
    ends = [
        Line((x, y - 0.25 * u), (x, y + 1.0 * u), hand.pen("thin", "green")) for x in (left, right)
    ]
    words = hand.centred(
        ((left + right) / 2, y + 0.38 * u),
        Spell(start, end),
        size=0.9,
        ink="green",
        backed=True,
    )
    half = words.width_mm / 2 + 0.4 * u
    if right - left > 2 * half:
        middle = (left + right) / 2
        spans = [
            Line((a, y + 0.38 * u), (b, y + 0.38 * u), hand.pen("medium", "green"))
            for a, b in ((left, middle - half), (middle + half, right))
        ]
    else:  # too short for its words, which stand beside it
        spans = [Line((left, y + 0.38 * u), (right, y + 0.38 * u), hand.pen("medium", "green"))]
        room = right + 2 * half < ruler.right_mm
        words = hand.centred(
            (right + half if room else left - half, y + 0.38 * u),
            words.text,
            size=0.9,
            ink="green",
            backed=True,
        )
    return Group(
        (name, *ends, *spans, words),
        "enough",
        str(said("drawing.enough_overcast", spell=Spell(start, end))),
    )


def _rows(
    hand: Hand, ruler: Ruler, windows: Sequence[WindowSunAnswer], top: float
) -> tuple[list[Shape], float]:
    """Under the chart: when the sun stands in each window."""
    u = hand.text_mm
    shapes: list[Shape] = []
    y = top
    for window in windows:
        y -= 1.7 * u
        shapes.append(
            hand.write(
                (ruler.left_mm - 0.5 * u, y + 0.15 * u),
                window.id,
                size=0.9,
                anchor="end",
                most_mm=ruler.left_mm - 0.5 * u,
            )
        )
        shapes.append(Line((ruler.left_mm, y), (ruler.right_mm, y), hand.pen("hair")))
        if window.unknown is not None and not window.direct_sun:
            words = hand.write(
                (ruler.left_mm + 0.4 * u, y + 0.25 * u),
                said("value.why", why=window.unknown),
                size=0.9,
                most_mm=ruler.right_mm - ruler.left_mm - 0.8 * u,
            )
            shapes.append(words)
            continue
        spells: list[Shape] = []
        for begins, ends_at in window.direct_sun:
            spells += bar(hand, ruler.x(begins), ruler.x(ends_at), y, y + 0.9 * u)
        for reach in window.direct_sun_range:
            spells += whisker(hand, ruler.x(reach.start[0]), ruler.x(reach.start[1]), y + 0.45 * u)
            spells += whisker(hand, ruler.x(reach.end[0]), ruler.x(reach.end[1]), y + 0.45 * u)
        if spells:
            shapes.append(
                Group(
                    tuple(spells),
                    f"window-{window.id}",
                    str(_direct_sun(window)),
                )
            )
    return shapes, y


def _legend(
    hand: Hand, width_mm: float, y: float, *, direct: bool, sun: bool = False
) -> tuple[list[Shape], float]:
    u = hand.text_mm

    def overcast(x: float, y: float) -> list[Shape]:
        return [Line((x, y), (x + 2 * u, y), hand.pen("medium"))]

    def clear(x: float, y: float) -> list[Shape]:
        return [Line((x, y), (x + 2 * u, y), hand.pen("fine"))]

    def at_mark(x: float, y: float) -> list[Shape]:
        return [Polygon(rectangle(x, y - 0.28 * u, x + 2 * u, y + 0.28 * u), None, "rust")]

    def in_window(x: float, y: float) -> list[Shape]:
        spell = bar(hand, x, x + 2 * u, y - 0.45 * u, y + 0.45 * u)
        return [*spell, *whisker(hand, x + 0.1 * u, x + 0.8 * u, y)]

    rows = [(overcast, said("legend.overcast")), (clear, said("legend.clear"))]
    rows += [(at_mark, said("legend.lit"))] if direct else []
    rows += [(in_window, said("legend.sun_range"))] if sun else []
    return legend(hand, width_mm, y, rows, [MEANS])


def _words(
    answer: MarkDaylight,
    daylight: DaylightAnswer,
    planes: Sequence[_Plane],
    windows: Sequence[WindowSunAnswer] = (),
) -> list[Said]:
    made = []
    series = planes[0].series
    for plane in planes:
        overcast, clear = plane.noon
        if overcast is not None and clear is not None:
            under, free = Figure(overcast, "lux"), Figure(clear, "lux")
            made.append(said("drawing.at_noon", plane=plane.words, overcast=under, clear=free))
        lit = [(p.overcast_lux, p.at) for p in plane.series if p.overcast_lux is not None]
        if lit:
            most, at = max(lit, key=lambda row: row[0])
            most_lux = Figure(most, "lux")
            made.append(said("drawing.most_light", plane=plane.words, at=at, lux=most_lux))
    if answer.camera_unknown is not None:
        made.append(said("drawing.camera_unknown", why=answer.camera_unknown))
    if daylight.needed_lux is not None:
        reached = tuple(
            said("drawing.reached", spell=Spell(*plane.enough), plane=plane.words)
            for plane in planes
            if plane.enough is not None
        )
        made.append(
            said(
                "drawing.scene_needs",
                lux=Figure(daylight.needed_lux, "lux"),
                reached=Many(reached) if reached else None,
            )
        )
    made.append(MEANS)
    sunny = [p.at for p in series if p.in_direct_sun]
    if sunny:
        made.append(said("drawing.sun_between", spell=Spell(sunny[0], sunny[-1])))
    for window in windows:
        if window.direct_sun:
            made.append(_direct_sun(window))
        elif window.unknown is not None:
            name, why = Name(tidy(window.id)), window.unknown
            made.append(said("drawing.window_unknown", window=name, why=why))
    return made


def _direct_sun(window: WindowSunAnswer) -> Said:
    name, spells = Name(tidy(window.id)), spell_list(window.direct_sun)
    return said("drawing.direct_sun", window=name, spells=spells)
