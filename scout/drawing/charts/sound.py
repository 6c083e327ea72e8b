"""Sound drawn: a recording's levels through its time with its events, and a spectrum in third
octaves or octaves.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from scout.drawing.charts.parts import not_known
from scout.drawing.lettering import PRINT_TEXT_MM, Hand, TextWidth, helvetica_width, tidy
from scout.drawing.shapes import Drawing, Line, Point, Polygon, Polyline, Shape, rectangle
from scout.values import Figure, Many, Name, Word, said

TALL = 12.0  # height of a chart, in sizes of the letters
STEP_DB = 10.0
BARS_MOST = 400
MOST_EVENTS = 12  # written over the chart


def history_chart(
    levels_db: Sequence[float],
    step_s: float,
    *,
    unit: str,
    name: str,
    events: Sequence[tuple[float, float, Word]] = (),
    la90_db: float | None = None,
    width_mm: float = 180.0,
    text_mm: float = PRINT_TEXT_MM,
    text_width: TextWidth = helvetica_width,
) -> Drawing:
    """Fast A-weighted levels through a recording.

    levels_db, step_s: highest level of each step; events: start [s], length [s], kind;
        la90_db: the background, a dashed line
    """
    hand, u = Hand(text_mm, text_width), text_mm
    title = str(said("chart.history", name=Name(tidy(name))))
    levels = list(levels_db)
    if not levels:
        return not_known(hand, width_mm, title, said("chart.nothing"))
    joined = max(1, -(-len(levels) // BARS_MOST))
    levels, step = (
        [max(levels[i : i + joined]) for i in range(0, len(levels), joined)],
        step_s * joined,
    )
    heard = [level for level in levels if level > -180.0] or levels
    low, high = _bounds(min(heard), max(heard))
    left, right, foot, top = 4.2 * u, width_mm - 1.0 * u, 2.6 * u, 2.6 * u + TALL * u
    length = len(levels) * step

    def place(seconds: float, level: float) -> Point:
        return left + (right - left) * seconds / length, foot + (top - foot) * (
            min(max(level, low), high) - low
        ) / (high - low)

    shapes: list[Shape] = _scale(hand, left, right, foot, top, low, high, unit)
    for start, lasted, kind in events[:MOST_EVENTS]:
        a, b = place(start, low)[0], place(min(length, start + lasted), low)[0]
        shapes.append(Polygon(rectangle(a, foot, max(b, a + 0.3 * u), top), None, "ground"))
        shapes.append(
            hand.write((a, top + 0.3 * u), str(kind), size=0.95, most_mm=max(0.0, right - a))
        )
    shapes.append(
        Polyline(
            tuple(place((i + 0.5) * step, level) for i, level in enumerate(levels))
            if len(levels) > 1
            else (place(0, levels[0]), place(length, levels[0])),
            hand.pen("medium"),
        )
    )
    if la90_db is not None:
        (x0, y0), (x1, _) = place(0.0, la90_db), place(length, la90_db)
        shapes.append(Line((x0, y0), (x1, y0), hand.pen("thin", "ink", (0.9, 0.5))))
        shapes.append(
            hand.write(
                (right - 0.2 * u, y0 - 0.9 * u),
                str(said("chart.background", level=Figure(la90_db))),
                size=0.95,
                anchor="end",
                backed=True,
            )
        )
    for k in range(5):
        seconds = length * k / 4
        anchor = ("start", "middle", "middle", "middle", "end")[k]
        shapes.append(
            hand.write(
                (place(seconds, low)[0], foot - 1.2 * u),
                _clock(seconds, length),
                size=0.95,
                anchor=anchor,  # type: ignore[arg-type]
            )
        )
    shapes.append(hand.write((0.0, top + 2.0 * u), title, size=1.0, bold=True, most_mm=width_mm))
    words = said(
        "chart.history_words",
        name=Name(tidy(name)),
        length=Figure(length, "s"),
        low=Figure(round(min(heard))),
        high=Figure(round(max(heard))),
        unit=Name(unit),
        events=Many(
            tuple(
                said("chart.event", kind=kind, at=Figure(at, "s"), lasted=Figure(lasted, "s"))
                for at, lasted, kind in events[:MOST_EVENTS]
            ),
            "list",
        )
        or None,
    )
    return Drawing(width_mm, top + 3.6 * u, tuple(shapes), title, str(words))


def spectrum_chart(
    bands_db: Mapping[str, float | None],
    *,
    unit: str,
    name: str,
    marked_hz: Sequence[float] = (),
    width_mm: float = 180.0,
    text_mm: float = PRINT_TEXT_MM,
    text_width: TextWidth = helvetica_width,
) -> Drawing:
    """Band levels as bars, by nominal middle; marked_hz: tones to point at, such as a hum."""
    hand, u = Hand(text_mm, text_width), text_mm
    title = str(said("chart.spectrum", name=Name(tidy(name))))
    known = {
        band: level for band, level in bands_db.items() if level is not None and level > -180.0
    }
    if not known:
        return not_known(hand, width_mm, title, said("chart.nothing"))
    low, high = _bounds(min(known.values()), max(known.values()))
    left, right, foot, top = 4.2 * u, width_mm - 1.0 * u, 2.6 * u, 2.6 * u + TALL * u
    wide = (right - left) / len(known)
    shapes: list[Shape] = _scale(hand, left, right, foot, top, low, high, unit)
    every = max(1, -(-len(known) * 4 // 40))
    for i, (band, level) in enumerate(known.items()):
        a, y = left + i * wide, foot + (top - foot) * (level - low) / (high - low)
        shapes.append(
            Polygon(rectangle(a + 0.1 * wide, foot, a + 0.9 * wide, y), hand.pen("fine"), "ground")
        )
        if i % every == 0:
            shapes.append(
                hand.write((a + wide / 2, foot - 1.2 * u), _band(band), size=0.95, anchor="middle")
            )
    edges = [float(band) for band in known]
    for tone in marked_hz:
        near = min(range(len(edges)), key=lambda i: abs(edges[i] / tone - 1.0))
        shapes.append(
            hand.write(
                (left + (near + 0.5) * wide, top + 0.3 * u),
                str(Figure(tone, "Hz")),
                size=0.95,
                anchor="middle",
                bold=True,
                backed=True,
            )
        )
    shapes.append(hand.write((0.0, top + 2.0 * u), title, size=1.0, bold=True, most_mm=width_mm))
    bands = tuple(
        said("chart.band", band=Figure(float(band), "Hz"), level=Figure(round(level)))
        for band, level in known.items()
    )
    words = said(
        "chart.spectrum_words", name=Name(tidy(name)), unit=Name(unit), bands=Many(bands, "list")
    )
    return Drawing(width_mm, top + 3.6 * u, tuple(shapes), title, str(words))


def _bounds(least: float, most: float) -> tuple[float, float]:
    high = STEP_DB * (int(most // STEP_DB) + 1)
    low = max(STEP_DB * int(least // STEP_DB), high - 80.0)
    return (low, high) if high - low >= 20.0 else (high - 20.0, high)


def _scale(
    hand: Hand,
    left: float,
    right: float,
    foot: float,
    top: float,
    low: float,
    high: float,
    unit: str,
) -> list[Shape]:
    u = hand.text_mm
    shapes: list[Shape] = [hand.write((0.0, top + 0.3 * u), unit, size=0.95)]
    for k in range(round((high - low) / STEP_DB) + 1):
        y = foot + (top - foot) * k * STEP_DB / (high - low)
        shapes.append(Line((left, y), (right, y), hand.pen("hair")))
        shapes.append(
            hand.write(
                (left - 0.4 * u, y - 0.3 * u),
                f"{low + k * STEP_DB:.0f}",
                size=0.95,
                anchor="end",
            )
        )
    return shapes


def _band(band: str) -> str:
    hz = float(band)
    return f"{hz / 1000:g}k" if hz >= 1000 else f"{hz:g}"


def _clock(seconds: float, length: float) -> str:
    if length < 120:
        return f"{seconds:.0f} s" if length >= 8 else f"{seconds:.1f} s"
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02d}:{rest:02d}" if hours else f"{minutes}:{rest:02d}"
