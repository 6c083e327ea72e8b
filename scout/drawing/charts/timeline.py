"""The sun through a day on the 24-hour ruler: the sky, and direct sun in each window of one room or
of several, one under the other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from scout.assess.answers import Crossing, EventsAnswer, WindowSunAnswer
from scout.drawing.charts.ruler import (
    Day,
    Ruler,
    bar,
    day_of,
    skies,
    whisker,
)
from scout.drawing.lettering import PRINT_TEXT_MM, Hand, TextWidth, broken, helvetica_width, tidy
from scout.drawing.shapes import Drawing, Group, Hatch, Line, Polygon, Shape, moved, rectangle
from scout.values import Figure, Many, Name, Said, Spell, Value, Word, said
from scout.words.figures import (
    Words,
    clock,
    paragraph,
    room_name,
    spell_list,
)
from scout.words.figures import day as date_words

LABEL_WIDTHS = 7.2  # of the left column, in sizes of the letters


@dataclass(frozen=True)
class TimelineRoom:
    """One room on the ruler: its name, its own sky and zone, and the sun in its windows."""

    name: str
    zone: str | None
    events: EventsAnswer
    windows: tuple[WindowSunAnswer, ...] = ()


@dataclass
class _Sheet:
    """The rows so far, growing downwards from y = 0."""

    hand: Hand
    width_mm: float
    y: float = 0.0
    shapes: list[Shape] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)
    kinds: dict[str, None] = field(default_factory=dict)


def day_timeline(
    on: date,
    rooms: Sequence[TimelineRoom],
    *,
    width_mm: float = 180.0,
    text_mm: float = PRINT_TEXT_MM,
    text_width: TextWidth = helvetica_width,
    title: Words | None = None,
) -> Drawing:
    """Sun in the windows of the rooms on one date, each in its own local time; as high as its rows
    need.
    """
    hand = Hand(text_mm, text_width)
    sheet = _Sheet(hand, width_mm)
    _heading(sheet, on)
    before: tuple[tuple[float, int], ...] | None = None
    for k, room in enumerate(rooms):
        day = day_of(on, room.zone) if room.zone is not None else None
        layout = _layout(day)
        _room(sheet, room, day, k, with_ruler=layout != before or day is None)
        before = layout
    if not rooms:
        sheet.words.append(said("drawing.no_room"))
    _legend(sheet)
    only = room_name(tidy(rooms[0].name)) if len(rooms) == 1 else None
    heading = str(title or said("drawing.sun_in_windows", on=on, room=only))
    u, edge = text_mm, 0.3 * text_mm
    height = -sheet.y + 2 * edge
    shapes = tuple(moved(shape, 0.0, height - edge) for shape in sheet.shapes)
    return Drawing(width_mm, max(height, 2 * u), shapes, heading, paragraph(heading, *sheet.words))


def _layout(day: Day | None) -> tuple[tuple[float, int], ...] | None:
    """What makes two rulers look the same: the hours at their distance from the day's start."""
    if day is None or not day.spans:
        return None
    return tuple((at - day.spans[0][0], hour) for at, hour in day.hours())


def _heading(sheet: _Sheet, on: date) -> None:
    hand, u = sheet.hand, sheet.hand.text_mm
    sheet.y -= 1.2 * u
    sheet.shapes.append(
        hand.write(
            (0.0, sheet.y),
            date_words(on, long=True) or "",
            size=1.0,
            bold=True,
            most_mm=sheet.width_mm * 0.62,
        )
    )
    sheet.shapes.append(hand.write((sheet.width_mm, sheet.y), "local time", size=0.9, anchor="end"))
    sheet.y -= 0.6 * u


def _left(sheet: _Sheet) -> float:
    return min(LABEL_WIDTHS * sheet.hand.text_mm, 0.24 * sheet.width_mm)


def _room(
    sheet: _Sheet, room: TimelineRoom, day: Day | None, number: int, *, with_ruler: bool
) -> None:
    hand, u = sheet.hand, sheet.hand.text_mm
    name = room_name(tidy(room.name))
    sheet.y -= 1.6 * u
    sheet.shapes.append(
        hand.write((0.0, sheet.y), name, size=1.0, bold=True, most_mm=sheet.width_mm)
    )
    clipped = Name(hand.write((0.0, 0.0), name, most_mm=60 * u).text)
    sheet.words.append(said("drawing.room", room=clipped))
    sheet.y -= 0.6 * u
    if day is None or not day.spans:
        why = (
            said("drawing.no_zone")
            if day is None
            else said("drawing.date_skipped", zone=Name(room.zone or ""))
        )
        _empty_row(sheet, 0.0, said("value.why", why=why))
        sheet.words.append(said("drawing.nothing", why=why))
        return
    ruler = Ruler(day, _left(sheet), sheet.width_mm - 1.2 * u)
    if with_ruler:
        sheet.y -= 2.0 * u
        sheet.shapes += ruler.ticks(hand, sheet.y)
        if abs(day.length_s - 86400) > 1:
            words = said("drawing.hours", n=Figure(day.length_s / 3600.0))
            sheet.shapes.append(
                hand.write(
                    (0.0, sheet.y + 0.2 * u), words, size=0.9, most_mm=_left(sheet) - 0.5 * u
                )
            )
            sheet.words.append(said("drawing.clocks_change", hours=words))
    top = sheet.y
    rows = len(room.windows)
    sky_mm, row_mm = 2.1 * u, 3.0 * u
    low = top - sky_mm - rows * row_mm - (1.3 * u)
    back: list[Shape] = [*ruler.night(hand, room.events, low, top), *ruler.grid(hand, low, top)]
    if any(isinstance(shape, Hatch) for shape in back):
        sheet.kinds.setdefault("night")
    sky = paragraph(*_sky_words(room.events))
    sheet.shapes.append(Group(tuple(back), f"sky-{number}", sky))
    _sky(sheet, ruler, room.events, top, sky_mm)
    sheet.y = top - sky_mm - 1.3 * u
    for window in room.windows:
        _window(sheet, ruler, window, number, row_mm)
    sheet.shapes.append(Line((0.0, sheet.y), (sheet.width_mm - 1.2 * u, sheet.y), hand.pen("hair")))
    sheet.y -= 0.3 * u


def _empty_row(sheet: _Sheet, left: float, words: Words) -> None:
    hand, u = sheet.hand, sheet.hand.text_mm
    right = sheet.width_mm - 1.2 * u
    sheet.shapes.append(
        Polygon(rectangle(left, sheet.y - 2.2 * u, right, sheet.y), hand.pen("hair"))
    )
    sheet.shapes.append(
        hand.write(
            (left + 0.6 * u, sheet.y - 1.4 * u), words, size=0.9, most_mm=right - left - 1.2 * u
        )
    )
    sheet.y -= 2.8 * u


def _sky_words(events: EventsAnswer) -> list[Said]:
    if events.state is None:
        why = None if events.unknown is None else events.unknown
        return [said("drawing.sky_unknown", why=why)]
    if events.state == "polar_day":
        return [said("drawing.polar_day")]
    crossings = Many(tuple(map(_crossing, events.crossings)), "list")
    seen = [said("drawing.crossings", crossings=crossings)] if events.crossings else []
    return [said("drawing.polar_night"), *seen] if events.state == "polar_night" else seen


def _crossing(crossing: Crossing) -> Said:
    return said("drawing.crossing", event=Word("event", crossing.event), at=crossing.at)


def _sky(sheet: _Sheet, ruler: Ruler, events: EventsAnswer, top: float, tall: float) -> None:
    """The sun's own row: when it is up, low sun, and the times of its rising and setting under it."""
    hand, u = sheet.hand, sheet.hand.text_mm
    middle = top - tall / 2
    sheet.shapes.append(
        hand.write(
            (0.0, middle - 0.3 * u),
            said("drawing.sun_up"),
            size=0.9,
            most_mm=_left(sheet) - 0.5 * u,
        )
    )
    sheet.words += _sky_words(events)
    if events.state is None:
        why = events.unknown or said("drawing.no_place")
        _written(sheet, ruler, middle, said("value.why", why=why), boxed=True)
        return
    for start, end in events.low_sun:
        a, b = ruler.x(start), ruler.x(end)
        if b - a > 1e-6:
            box = rectangle(a, middle - 0.42 * u, b, middle + 0.42 * u)
            band = (
                Polygon(box, None, "ground"),
                Hatch(box, 0.0, 0.2 * u, hand.pen("hair", "rust")),
            )
            low = str(said("drawing.low_sun", spells=spell_list([(start, end)])))
            sheet.shapes.append(Group(band, "low-sun", low))
            sheet.kinds.setdefault("low")
    if events.low_sun:
        sheet.words.append(said("drawing.low_sun", spells=spell_list(events.low_sun)))
    for left, right in _up(ruler, events):
        sheet.shapes.append(Line((left, middle), (right, middle), hand.pen("bold")))
    last = -1e9
    baseline = top - tall - 0.75 * u
    for crossing in events.crossings:
        if crossing.event in ("sunrise", "sunset"):
            x = ruler.x(crossing.at)
            sheet.shapes.append(
                Line((x, middle - 0.6 * u), (x, middle + 0.6 * u), hand.pen("medium"))
            )
            words: Words = _crossing(crossing)
            half = hand.width(words, 0.9) / 2
            if x - half < ruler.left_mm or x + half > ruler.right_mm or x - half < last + 0.5 * u:
                words = clock(crossing.at) or ""
                half = hand.width(words, 0.9) / 2
            centre = min(max(x, ruler.left_mm + half), ruler.right_mm - half)
            if centre - half >= last + 0.4 * u:
                sheet.shapes.append(
                    hand.write((centre, baseline), words, size=0.9, anchor="middle", backed=True)
                )
                last = centre + half
    if events.state != "normal":
        polar_day = events.state == "polar_day"
        words = said("drawing.never_sets") if polar_day else said("drawing.never_rises")
        sheet.shapes.append(
            hand.write(
                ((ruler.left_mm + ruler.right_mm) / 2, baseline),
                words,
                size=0.9,
                anchor="middle",
                backed=True,
            )
        )


def _up(ruler: Ruler, events: EventsAnswer) -> list[tuple[float, float]]:
    joined: list[tuple[float, float]] = []
    for sky, start, end in skies(ruler.day, events):
        if sky == "day":
            joined.append((ruler.x(start), ruler.x(end)))
    return joined


def _window(sheet: _Sheet, ruler: Ruler, window: WindowSunAnswer, number: int, tall: float) -> None:
    hand, u = sheet.hand, sheet.hand.text_mm
    top = sheet.y
    sheet.shapes.append(Line((0.0, top), (ruler.right_mm, top), hand.pen("hair")))
    middle = top - 0.5 * tall + 0.35 * u
    bearing = None if window.facing_deg is None else Figure(window.facing_deg % 360.0, "deg")
    faces: Value | None = bearing
    if bearing is not None and not window.facing_true:
        faces = said("drawing.not_true", bearing=bearing)
    name = Name(tidy(window.id))
    left_mm = _left(sheet) - 0.5 * u
    faces_mm = hand.width(str(faces), 0.9) + 0.4 * u if faces else 0.0
    label = hand.write(
        (0.0, middle - 0.3 * u), name, size=0.95, bold=True, most_mm=left_mm - faces_mm
    )
    sheet.shapes.append(label)
    if faces:
        sheet.shapes.append(
            hand.write((label.width_mm + 0.4 * u, middle - 0.3 * u), str(faces), size=0.9)
        )
    missing = window.facing_deg is None or window.unknown is not None
    if missing and not window.direct_sun:
        why = window.unknown or said("drawing.facing_unknown")
        _written(sheet, ruler, middle, said("value.why", why=why), boxed=True)
        sheet.words.append(said("drawing.window_unknown", window=name, why=why))
    elif not window.direct_sun:
        _written(sheet, ruler, middle, said("drawing.no_direct_sun"), boxed=False)
        sheet.words.append(said("drawing.window_dark", window=name, faces=faces))
    else:
        _bars(sheet, ruler, window, number, middle, top - tall)
        total = window.direct_sun_min
        moved_by = tuple(
            said("drawing.sun_range", start=Spell(*one.start), end=Spell(*one.end))
            for one in window.direct_sun_range
        )
        sheet.words.append(
            said(
                "drawing.window_sun",
                window=name,
                faces=faces,
                spells=spell_list(window.direct_sun),
                total=None if total is None else Figure(total, "min"),
                ranges=Many(moved_by, "list") if moved_by else None,
            )
        )
    sheet.y = top - tall


def _written(sheet: _Sheet, ruler: Ruler, middle: float, words: Words, *, boxed: bool) -> None:
    hand, u = sheet.hand, sheet.hand.text_mm
    if boxed:
        sheet.shapes.append(
            Polygon(
                rectangle(ruler.left_mm, middle - 0.9 * u, ruler.right_mm, middle + 0.9 * u),
                hand.pen("hair"),
                "ground",
            )
        )
    sheet.shapes.append(
        hand.write(
            (ruler.left_mm + 0.6 * u, middle - 0.3 * u),
            words,
            size=0.9,
            backed=not boxed,
            most_mm=ruler.right_mm - ruler.left_mm - u,
        )
    )


def _bars(
    sheet: _Sheet, ruler: Ruler, window: WindowSunAnswer, number: int, middle: float, low: float
) -> None:
    hand, u = sheet.hand, sheet.hand.text_mm
    shapes: list[Shape] = []
    for doubt in window.direct_sun_range:
        for edge in (doubt.start, doubt.end):
            shapes += whisker(hand, ruler.x(edge[0]), ruler.x(edge[1]), middle)
            sheet.kinds.setdefault("doubt")
    sheet.kinds.setdefault("sun")
    spans = [(ruler.x(start), ruler.x(end)) for start, end in window.direct_sun]
    for (a, b), (start, end) in zip(spans, window.direct_sun, strict=True):
        spell = tuple(bar(hand, a, max(b, a + 0.1 * u), middle - 0.5 * u, middle + 0.5 * u))
        shapes.append(Group(spell, f"sun-{number}-{window.id}", str(Spell(start, end))))
    # the whiskers lie over the bars, so that an edge that may come later is seen within its bar
    shapes = [shape for shape in shapes if isinstance(shape, Group)] + [
        shape for shape in shapes if not isinstance(shape, Group)
    ]
    baseline = low + 0.45 * u
    last = ruler.left_mm - u
    for (a, b), (start, end) in zip(spans, window.direct_sun, strict=True):
        words = str(Spell(start, end))
        half = hand.width(words, 0.9) / 2
        centre = min(max((a + b) / 2, ruler.left_mm + half), ruler.right_mm - half)
        if centre - half > last + 0.3 * u:
            shapes.append(
                hand.write((centre, baseline), words, size=0.9, anchor="middle", backed=True)
            )
            last = centre + half
    sheet.shapes.append(
        Group(
            tuple(shapes),
            f"window-{number}-{window.id}",
            f"{said('drawing.window', opening=Name(tidy(window.id))):cap}",
        )
    )


def _legend(sheet: _Sheet) -> None:
    """What the hatches mean, on the same drawing."""
    hand, u = sheet.hand, sheet.hand.text_mm
    rows: dict[str, str] = {
        "sun": "direct sun in the window",
        "doubt": "from earliest to latest, by the compass error",
        "low": "low sun, −4° to 6°",
        "night": "night (dense) and civil twilight (open)",
    }
    x = 0.0
    sheet.y -= 1.6 * u
    for kind, words in rows.items():
        if kind not in sheet.kinds:
            continue
        width = 2.8 * u + hand.width(words, 0.9)
        if x > 0 and x + width > sheet.width_mm:
            x, sheet.y = 0.0, sheet.y - 1.6 * u
        y = sheet.y
        box = rectangle(x, y - 0.4 * u, x + 2 * u, y + 0.4 * u)
        if kind == "sun":
            sheet.shapes += bar(hand, x, x + 2 * u, y - 0.4 * u, y + 0.4 * u)
        elif kind == "doubt":
            sheet.shapes += whisker(hand, x, x + 2 * u, y)
        elif kind == "low":
            sheet.shapes.append(Hatch(box, 0.0, 0.2 * u, hand.pen("hair", "rust")))
        else:
            half = x + u
            sheet.shapes += [
                Polygon(box, hand.pen("hair")),
                Hatch(
                    rectangle(x, y - 0.4 * u, half, y + 0.4 * u), 60.0, 0.45 * u, hand.pen("hair")
                ),
                Hatch(
                    rectangle(half, y - 0.4 * u, x + 2 * u, y + 0.4 * u),
                    60.0,
                    0.9 * u,
                    hand.pen("hair"),
                ),
            ]
        for i, line in enumerate(
            broken(words, sheet.width_mm - x - 2.6 * u, 0.9 * u, hand.text_width, 2)
        ):
            sheet.shapes.append(
                hand.write((x + 2.6 * u, y - 0.28 * u - i * 1.1 * u), line, size=0.9)
            )
        x += width + 1.6 * u
    sheet.y -= 0.9 * u
