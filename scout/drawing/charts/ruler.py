"""The one ruler of a day: local time from left to right, every hour of that date where its instants
lie, on 23- and 25-hour days too.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

from scout.assess.answers import EventsAnswer
from scout.calc.daylight.place.local_date import spans_of_date
from scout.drawing.lettering import Hand
from scout.drawing.shapes import Hatch, Line, Polygon, Shape, rectangle

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
HOUR_S = 3600.0
Sky = Literal["night", "twilight", "day"]


@dataclass(frozen=True)
class Day:
    """A local date as its instants: spans [s since 1970-01-01T00:00Z] in which the clocks show it;
    none when the zone skipped it.
    """

    on: date
    zone: ZoneInfo
    spans: tuple[tuple[float, float], ...]

    @property
    def length_s(self) -> float:
        return sum(end - start for start, end in self.spans)

    def hours(self) -> tuple[tuple[float, int], ...]:
        """(instant, hour) of every full local hour: 24 as a rule, an hour left out or told twice
        where the clocks change.
        """
        found: list[tuple[float, int]] = []
        for start, end in self.spans:
            at = start
            while at < end - 0.5:
                local = self.local(at)
                past = local.minute * 60 + local.second
                if past == 0:
                    found.append((at, local.hour))
                    at += HOUR_S
                    if (
                        self.local(at).minute or self.local(at).second
                    ):  # the clocks changed by part of an hour, or within it
                        at = self._next_full(at - HOUR_S + 60)
                else:
                    at = self._next_full(at)
        return tuple(found)

    def _next_full(self, at: float) -> float:
        """The next instant on which the clocks show a full hour (clocks change on full minutes or,
        long ago, seconds).
        """
        for _ in range(200):
            local = self.local(at)
            past = local.minute * 60 + local.second
            if past == 0:
                return at
            at += min(60.0 - local.second, HOUR_S - past)
        return at

    def local(self, unix_s: float) -> datetime:
        return (_EPOCH + timedelta(seconds=unix_s)).astimezone(self.zone)


def day_of(on: date, zone: str) -> Day:
    """The day of a zone. Raises OutOfRange outside the years 1000 to 3000."""
    info = ZoneInfo(zone)
    return Day(on, info, spans_of_date(on, info))


def unix_s(at: datetime) -> float:
    """An instant in seconds; two times of one zone must never be subtracted as they stand."""
    return (at.astimezone(UTC) - _EPOCH).total_seconds()


@dataclass(frozen=True)
class Ruler:
    """A day laid out on the paper from left_mm to right_mm."""

    day: Day
    left_mm: float
    right_mm: float

    def x(self, at: float | datetime) -> float:
        """Where an instant stands, held to the ends of the day."""
        seconds = unix_s(at) if isinstance(at, datetime) else at
        passed = 0.0
        for start, end in self.day.spans:
            passed += min(max(seconds - start, 0.0), end - start)
        return self.left_mm + (self.right_mm - self.left_mm) * passed / max(self.day.length_s, 1.0)

    def within(self, at: datetime) -> bool:
        """Whether an instant belongs to the date (its very end included)."""
        seconds = unix_s(at)
        return any(start <= seconds <= end for start, end in self.day.spans)

    def ticks(self, hand: Hand, y: float, *, labels: bool = True) -> list[Shape]:
        """The ruler itself: a line with a tick at every hour, longer and lettered at every third
        (or sixth), all letters above it.
        """
        u = hand.text_mm
        shapes: list[Shape] = [Line((self.left_mm, y), (self.right_mm, y), hand.pen("thin"))]
        hour_mm = (self.right_mm - self.left_mm) * HOUR_S / max(self.day.length_s, 1.0)
        every = next(
            n for n in (1, 2, 3, 6, 12) if n == 12 or n * hour_mm >= hand.width("00", 0.9) + 0.9 * u
        )
        marks = [*self.day.hours(), *((end, 24) for _, end in self.day.spans[-1:])]
        last_x = -1e9
        for at, hour in marks:
            x = self.x(at)
            long = hour % every == 0
            shapes.append(
                Line(
                    (x, y),
                    (x, y + (0.75 if long else 0.4) * u),
                    hand.pen("fine" if long else "hair"),
                )
            )
            if labels and long and x - last_x > hand.width("00", 0.9) + 0.3 * u:
                shapes.append(
                    hand.write((x, y + 1.0 * u), f"{hour:02d}", size=0.9, anchor="middle")
                )
                last_x = x
        return shapes

    def grid(self, hand: Hand, low: float, high: float) -> list[Shape]:
        """Hairlines through the rows at every third hour."""
        pen = hand.pen("hair", dash=(0.12, 0.5))
        return [
            Line((self.x(at), low), (self.x(at), high), pen)
            for at, hour in self.day.hours()
            if hour % 3 == 0 and hour
        ]

    def night(self, hand: Hand, events: EventsAnswer, low: float, high: float) -> list[Shape]:
        """Night under a light hatch, civil twilight under half as much."""
        shapes: list[Shape] = []
        for sky, start, end in skies(self.day, events):
            a, b = self.x(start), self.x(end)
            if sky != "day" and b - a > 1e-6:
                gap = (0.9 if sky == "night" else 1.8) * hand.text_mm
                shapes.append(Hatch(rectangle(a, low, b, high), 60.0, gap, hand.pen("hair")))
        return shapes


def skies(day: Day, events: EventsAnswer) -> tuple[tuple[Sky, float, float], ...]:
    """Night (centre of the sun below -6 degrees), civil twilight and day, one after another through
    the date; empty when not known.
    """
    if events.state is None or not day.spans:
        return ()
    before: dict[str, Sky] = {
        "dawn": "night",
        "sunrise": "twilight",
        "sunset": "day",
        "dusk": "twilight",
    }
    after: dict[str, Sky] = {
        "dawn": "twilight",
        "sunrise": "day",
        "sunset": "twilight",
        "dusk": "night",
    }
    crossings = sorted(events.crossings, key=lambda crossing: unix_s(crossing.at))
    sky: Sky = (
        before[crossings[0].event]
        if crossings
        else ("day" if events.state == "polar_day" else "night")
    )
    found: list[tuple[Sky, float, float]] = []
    at = day.spans[0][0]
    for crossing in crossings:
        then = unix_s(crossing.at)
        found.append((sky, at, then))
        at, sky = then, after[crossing.event]
    found.append((sky, at, day.spans[-1][1]))
    return tuple(found)


def bar(hand: Hand, left: float, right: float, low: float, high: float) -> list[Shape]:
    """A spell of sun: outlined and hatched in rust, so that a photocopy still shows it."""
    box = rectangle(left, low, right, high)
    pen = hand.pen("thin", "rust")
    return [
        Polygon(box, None, "ground"),
        Hatch(box, 45.0, 0.3 * hand.text_mm, hand.pen("fine", "rust")),
        Polygon(box, pen),
    ]


def whisker(hand: Hand, start: float, end: float, middle: float) -> list[Shape]:
    """The doubt of an edge: a thin line from earliest to latest, capped."""
    if end - start < 1e-6:
        return []
    cap, pen = 0.32 * hand.text_mm, hand.pen("thin", "rust")
    return [
        Line((start, middle), (end, middle), pen),
        *(Line((x, middle - cap), (x, middle + cap), pen) for x in (start, end)),
    ]
