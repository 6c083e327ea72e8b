"""Daylight at a mark through the day, as a band between an overcast and a clear sky on the same 24-hour ruler.

Light is drawn on a logarithmic scale, as stops are: every factor of ten is the same height. Below the foot of the scale nothing is drawn.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date
from itertools import pairwise

from scout.assess.answers import DaylightAnswer, EventsAnswer, LuxPoint, MarkDaylight, WindowSunAnswer
from scout.drawing.lettering import PRINT_TEXT_MM, Hand, TextWidth, broken, clip, helvetica_width, tidy
from scout.drawing.ruler import Ruler, bar, clock, day_of, spans_as_words, unix_s, whisker
from scout.drawing.shapes import Drawing, Group, Hatch, Line, Point, Polygon, Polyline, Shape, moved, rectangle

FLOOR_LUX = 1.0
TALL = 15.0  # height of the chart, in sizes of the letters


def lux_chart(on: date, name: str, zone: str | None, events: EventsAnswer, daylight: DaylightAnswer, *, mark: str | None = None,
              windows: Sequence[WindowSunAnswer] = (), width_mm: float = 180.0, text_mm: float = PRINT_TEXT_MM,
              text_width: TextWidth = helvetica_width) -> Drawing:
    """Daylight in a room at one mark on one date, with the light the scene needs as a line across.

    name: the room's name; mark: a key of daylight.marks, left out the subject's, or else the first
    windows: whose spells of direct sun stand under the chart, a row each
    """
    hand, u = Hand(text_mm, text_width), text_mm
    mark = mark if mark is not None else "subject" if "subject" in daylight.marks else next(iter(daylight.marks), "subject")
    answer = daylight.marks.get(mark)
    title = f"Daylight at the {tidy(mark)} mark, {clip(name, 60.0, 1.6)}, on {on:%A} {on.day} {on:%B %Y}"
    day = day_of(on, zone) if zone is not None else None
    series = sorted((p for p in answer.series if p.overcast_lux is not None or p.clear_lux is not None), key=lambda p: unix_s(p.at)) if answer else []
    if answer is None or not series or day is None or not day.spans:
        because = _because(answer, daylight, skipped=day is not None and not day.spans)
        lines = broken(f"not measured: {because}", width_mm - 1.6 * u, 0.9 * u, text_width)
        height = (1.0 + 1.5 * max(len(lines), 1)) * u
        box = rectangle(0.1 * u, 0.1 * u, width_mm - 0.1 * u, height - 0.1 * u)
        words = [hand.write((0.8 * u, height - (1.55 + 1.5 * k) * u), line, size=0.9) for k, line in enumerate(lines)]
        return Drawing(width_mm, height, (Polygon(box, hand.pen("fine")), *words), title, f"{title}: not known, because {because}.")
    ruler = Ruler(day, min(5.2 * u, 0.18 * width_mm), width_mm - 1.2 * u)
    most = max(value for p in series for value in (p.overcast_lux, p.clear_lux) if value is not None)
    decades = max(2, math.ceil(math.log10(max(most, daylight.needed_lux or 0.0, 10.0) / FLOOR_LUX) - 1e-9))
    top, foot = -2.4 * u, -2.4 * u - TALL * u

    def y(lux: float) -> float:
        return foot + (top - foot) * math.log10(max(lux, FLOOR_LUX) / FLOOR_LUX) / decades

    shapes: list[Shape] = [Group((*ruler.night(hand, events, foot, top), *ruler.grid(hand, foot, top)), "sky")]
    for power in range(decades + 1):
        level = FLOOR_LUX * 10**power
        shapes.append(Line((ruler.left_mm, y(level)), (ruler.right_mm, y(level)), hand.pen("hair")))
        shapes.append(hand.write((ruler.left_mm - 0.5 * u, y(level) - 0.3 * u), f"{level:,.0f}".replace(",", "\u00a0"), size=0.85, anchor="end"))
    shapes.append(hand.write((0.0, top + 1.0 * u), "lux", size=0.85))
    title_at = (0.0, top + 3.4 * u)
    shapes.append(hand.write(title_at, title, size=1.0, bold=True, most_mm=width_mm))
    shapes += ruler.ticks(hand, top)
    shapes += _band(hand, ruler, series, y)
    shapes += _direct(hand, ruler, series, foot)
    if daylight.needed_lux is not None and daylight.needed_lux >= FLOOR_LUX:
        level = y(daylight.needed_lux)
        shapes.append(Line((ruler.left_mm, level), (ruler.right_mm, level), hand.pen("medium", "rust", (0.9, 0.4))))
        shapes.append(hand.write((ruler.right_mm - 0.4 * u, level + 0.35 * u), f"needed {daylight.needed_lux:,.0f} lux".replace(",", "\u00a0"), size=0.85,
                                 anchor="end", ink="rust", bold=True, backed=True))
    under, low = _rows(hand, ruler, daylight, windows, foot - 1.0 * u, enough=mark == "subject")
    shapes += under
    gap = 0.9 if low >= foot - 1.1 * u else 1.6
    below, bottom = _legend(hand, width_mm, low - gap * u, direct=any(p.in_direct_sun for p in series), sun=any(w.direct_sun for w in windows))
    shapes += below
    edge = 0.3 * u
    placed = tuple(moved(shape, 0.0, -bottom + edge) for shape in shapes)
    return Drawing(width_mm, top + 4.6 * u - bottom + 2 * edge, placed, title, f"{title}. {_words(answer, daylight, series, windows)}")


def _because(answer: MarkDaylight | None, daylight: DaylightAnswer, *, skipped: bool) -> str:
    if skipped:
        return "the clocks of the zone skipped this date"
    given = (answer.unknown if answer is not None else None) or daylight.unknown or "because no daylight was worked out for this mark"
    return given.removeprefix("because ").rstrip(".")


def _runs(series: Sequence[LuxPoint], ruler: Ruler) -> list[list[LuxPoint]]:
    """The series in pieces without a gap: where a figure is missing nothing is bridged."""
    steps = sorted(unix_s(b.at) - unix_s(a.at) for a, b in pairwise(series))
    usual = steps[len(steps) // 2] if steps else 0.0
    runs: list[list[LuxPoint]] = []
    bright = [max(point.overcast_lux or 0.0, point.clear_lux or 0.0) > FLOOR_LUX for point in series]
    for k, point in enumerate(series):
        if point.overcast_lux is None or point.clear_lux is None or not ruler.within(point.at):
            continue
        if not any(bright[max(0, k - 1) : k + 2]):  # below the foot of the scale, and so are its neighbours
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
        low: list[Point] = [(ruler.x(p.at), y(p.overcast_lux)) for p in run if p.overcast_lux is not None]
        high: list[Point] = [(ruler.x(p.at), y(p.clear_lux)) for p in run if p.clear_lux is not None]
        if len(run) > 1:
            around = (*low, *reversed(high))
            shapes += [Polygon(around, None, "ground"), Hatch(around, 45.0, 0.45 * hand.text_mm, hand.pen("hair")),
                       Polyline(tuple(low), hand.pen("medium")), Polyline(tuple(high), hand.pen("fine"))]
    return [Group(tuple(shapes), "daylight", "Daylight between an overcast and a clear sky")]


def _direct(hand: Hand, ruler: Ruler, series: Sequence[LuxPoint], foot: float) -> list[Shape]:
    """A strip under the chart while the sun itself reaches the mark."""
    u = hand.text_mm
    shapes: list[Shape] = []
    for a, b in pairwise(series):
        if a.in_direct_sun and b.in_direct_sun:
            box = rectangle(ruler.x(a.at), foot - 0.75 * u, ruler.x(b.at), foot - 0.2 * u)
            shapes.append(Polygon(box, None, "rust"))
    return [Group(tuple(shapes), "direct-sun", "The sun reaches the mark")] if shapes else []


def _rows(hand: Hand, ruler: Ruler, daylight: DaylightAnswer, windows: Sequence[WindowSunAnswer], top: float, *, enough: bool) -> tuple[list[Shape], float]:
    """Under the chart: from when to when there is enough, and when the sun stands in each window."""
    u = hand.text_mm
    shapes: list[Shape] = []
    y = top
    start, end = daylight.enough_from, daylight.enough_until
    if enough and start is not None and end is not None:
        y -= 1.5 * u
        left, right = ruler.x(start), ruler.x(end)
        shapes.append(hand.write((ruler.left_mm - 0.5 * u, y + 0.1 * u), "enough", size=0.85, anchor="end", most_mm=ruler.left_mm - 0.5 * u))
        ends = [Line((x, y - 0.25 * u), (x, y + 1.0 * u), hand.pen("thin", "green")) for x in (left, right)]
        words = hand.centred(((left + right) / 2, y + 0.38 * u), f"{clock(start)} to {clock(end)}", size=0.8, ink="green", backed=True)
        half = words.width_mm / 2 + 0.4 * u
        if right - left > 2 * half:
            middle = (left + right) / 2
            spans = [Line((a, y + 0.38 * u), (b, y + 0.38 * u), hand.pen("medium", "green")) for a, b in ((left, middle - half), (middle + half, right))]
        else:  # too short for its words, which stand beside it
            spans = [Line((left, y + 0.38 * u), (right, y + 0.38 * u), hand.pen("medium", "green"))]
            room = right + 2 * half < ruler.right_mm
            words = hand.centred((right + half if room else left - half, y + 0.38 * u), words.text, size=0.8, ink="green", backed=True)
        shapes.append(Group((*ends, *spans, words), "enough", f"Enough light under an overcast sky from {clock(start)} to {clock(end)}"))
    for window in windows:
        y -= 1.7 * u
        shapes.append(hand.write((ruler.left_mm - 0.5 * u, y + 0.15 * u), window.id, size=0.85, anchor="end", most_mm=ruler.left_mm - 0.5 * u))
        shapes.append(Line((ruler.left_mm, y), (ruler.right_mm, y), hand.pen("hair")))
        if window.unknown is not None and not window.direct_sun:
            words = hand.write((ruler.left_mm + 0.4 * u, y + 0.25 * u), f"not known: {window.unknown.removeprefix('because ')}", size=0.75,
                               most_mm=ruler.right_mm - ruler.left_mm - 0.8 * u)
            shapes.append(words)
            continue
        spells: list[Shape] = []
        for begins, ends_at in window.direct_sun:
            spells += bar(hand, ruler.x(begins), ruler.x(ends_at), y, y + 0.9 * u)
        for reach in window.direct_sun_range:
            spells += whisker(hand, ruler.x(reach.start[0]), ruler.x(reach.start[1]), y + 0.45 * u)
            spells += whisker(hand, ruler.x(reach.end[0]), ruler.x(reach.end[1]), y + 0.45 * u)
        if spells:
            shapes.append(Group(tuple(spells), f"window-{window.id}", f"Direct sun through {tidy(window.id)}: {spans_as_words(window.direct_sun)}"))
    return shapes, y


def _legend(hand: Hand, width_mm: float, y: float, *, direct: bool, sun: bool = False) -> tuple[list[Shape], float]:
    u = hand.text_mm
    shapes: list[Shape] = []
    x = 0.0
    rows = [("overcast", "overcast sky"), ("clear", "clear sky"), *([("direct", "the sun reaches the mark")] if direct else []),
            *([("sun", "direct sun in a window, with its range")] if sun else [])]
    for kind, words in rows:
        width = 2.7 * u + hand.width(words, 0.8)
        if x > 0 and x + width > width_mm:
            x, y = 0.0, y - 1.6 * u
        if kind == "sun":
            shapes += [*bar(hand, x, x + 2 * u, y - 0.45 * u, y + 0.45 * u), *whisker(hand, x + 0.1 * u, x + 0.8 * u, y)]
        elif kind == "direct":
            shapes.append(Polygon(rectangle(x, y - 0.28 * u, x + 2 * u, y + 0.28 * u), None, "rust"))
        else:
            shapes.append(Line((x, y), (x + 2 * u, y), hand.pen("medium" if kind == "overcast" else "fine")))
        shapes.append(hand.write((x + 2.5 * u, y - 0.28 * u), words, size=0.8))
        x += width + 1.6 * u
    return shapes, y - 0.9 * u


def _words(answer: MarkDaylight, daylight: DaylightAnswer, series: Sequence[LuxPoint], windows: Sequence[WindowSunAnswer] = ()) -> str:
    parts = []
    if answer.overcast_lux_noon is not None and answer.clear_lux_noon is not None:
        parts.append(f"At noon {answer.overcast_lux_noon:.0f} lux under an overcast sky and {answer.clear_lux_noon:.0f} lux under a clear one.")
    lit = [p for p in series if p.overcast_lux is not None]
    if lit:
        best = max(lit, key=lambda p: p.overcast_lux or 0.0)
        parts.append(f"The overcast sky gives most at {clock(best.at)}: {best.overcast_lux:.0f} lux.")
    if daylight.needed_lux is not None:
        enough = "" if daylight.enough_from is None or daylight.enough_until is None else (
            f", reached from {clock(daylight.enough_from)} to {clock(daylight.enough_until)}")
        parts.append(f"The scene needs {daylight.needed_lux:.0f} lux{enough}.")
    if any(p.in_direct_sun for p in series):
        sunny = [p.at for p in series if p.in_direct_sun]
        parts.append(f"The sun itself reaches the mark between {clock(sunny[0])} and {clock(sunny[-1])}.")
    for window in windows:
        if window.direct_sun:
            parts.append(f"Direct sun through {tidy(window.id)} from {spans_as_words(window.direct_sun)}.")
        elif window.unknown is not None:
            parts.append(f"Direct sun through {tidy(window.id)} is not known: {window.unknown.removeprefix('because ')}.")
    return " ".join(parts)
