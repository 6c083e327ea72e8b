"""A place's opening hours against the dates and hours a scene wants, by the clock on the place's
wall.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from scout.records.kept import LocationRecord, WhenNeed
from scout.records.opening import WEEK, OpeningHours

OpenLevel = Literal["pass", "care", "fail", "unknown"]
DAY_MIN = 24 * 60
ASKABLE_MIN = (
    60  # common practice: a caretaker can be asked for an hour before or after, hardly for more
)
MOST_WORDS = 120
DAY_NAMES = dict(zip(WEEK, ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"), strict=True))
_WORST = ("pass", "care", "unknown", "fail")
Spell = tuple[int, int]  # minutes from midnight of the date in question


@dataclass(frozen=True)
class OpenAnswer:
    """Whether a place is open when it is wanted, with the figure and the reason."""

    level: OpenLevel
    figure: str
    why: str


def open_when(need: WhenNeed, place: LocationRecord) -> OpenAnswer:
    """The need's dates and hours against the place's; the worst date decides and is the one shown."""
    words = " ".join((place.hours or "").split())
    shown = words if len(words) <= MOST_WORDS else f"{words[: MOST_WORDS - 1]}…"
    if place.opening_hours is None or not any(
        (place.opening_hours.week, place.opening_hours.dates, place.opening_hours.closed_on)
    ):
        if not words:
            return OpenAnswer(
                "unknown",
                "not recorded",
                "because the hours of the place are not recorded; ask the contact",
            )
        return OpenAnswer(
            "care",
            f"hours: {shown}",
            "the hours are recorded in words: read them against the dates, and confirm with the contact",
        )
    found = [_on_date(need, place.opening_hours, day) for day in need.dates]
    worst = max(found, key=lambda one: _WORST.index(one.level))
    alike = sum(one.level == worst.level for one in found)
    why = worst.why
    if len(found) > 1:
        why += f"; {'so on all' if alike == len(found) else f'so on {alike} of'} {len(found)} dates"
    return OpenAnswer(
        worst.level, worst.figure, f"{why}; the place adds: “{shown}”" if words else why
    )


def _on_date(need: WhenNeed, opening: OpeningHours, day: date) -> OpenAnswer:
    today = spells_of(opening, day)
    named = f"{day:%a} {day.day} {day:%b} {day.year}"
    if today is None:
        return OpenAnswer(
            "unknown",
            f"{named}: not recorded",
            "because the hours of that date are not recorded; ask the contact",
        )
    figure = f"{named}: {spells_words(today)}"
    wanted = _wanted(need)
    if wanted is None:
        return (
            OpenAnswer("pass", figure, "open on that date; the need names no hours")
            if today
            else OpenAnswer("fail", figure, "closed all day")
        )
    best = min(_around(opening, day), key=lambda spell: sum(_short(spell, wanted)), default=None)
    if best is not None and not any(_short(best, wanted)):
        return OpenAnswer("pass", figure, "open for all of the hours wanted")
    if not today or best is None:
        return OpenAnswer("fail", figure, "closed all day")
    if wanted[1] > DAY_MIN and spells_of(opening, _moved(day, 1)) is None:
        return OpenAnswer(
            "unknown",
            figure,
            "because the hours of the day after are not recorded, and the hours wanted reach into it",
        )
    late, early = _short(best, wanted)
    parts = [
        f"opens {_clock(best[0])}, you want {need.from_time or need.until_time}" if late else "",
        f"closes {_clock(best[1])}, you want {'from ' if need.until_time is None else ''}{need.until_time or need.from_time}"
        if early
        else "",
    ]
    words = " and ".join(part for part in parts if part)
    if max(late, early) <= ASKABLE_MIN:
        return OpenAnswer("care", figure, f"{words}: ask the contact")
    return OpenAnswer("fail", figure, words)


def _wanted(need: WhenNeed) -> Spell | None:
    """The hours wanted as minutes of the date; an end that is not after its beginning lies on the
    next day, one end alone is one minute.
    """
    begin, end = _minutes(need.from_time), _minutes(need.until_time)
    if begin is None:
        return None if end is None else (end - 1, end)
    if end is None:
        return begin, begin + 1
    return begin, end if end > begin else end + DAY_MIN


def _short(spell: Spell, wanted: Spell) -> tuple[int, int]:
    """Minutes that an opening comes too late and its closing too early."""
    return max(0, spell[0] - wanted[0]), max(0, wanted[1] - spell[1])


def spells_of(opening: OpeningHours, day: date | None) -> tuple[Spell, ...] | None:
    """When the place opens on a date, in minutes from its midnight, joined and in order; None: not
    recorded. Empty: closed.
    """
    if day is None:
        return None
    if day in (opening.closed_on or ()):
        return ()
    single = [_spell(hours.opens, hours.closes) for hours in opening.dates or () if hours.on == day]
    if single:
        return _joined(single)
    if not opening.week:
        return None
    return _joined(
        _spell(hours.opens, hours.closes) for hours in opening.week if day.weekday() in hours.days
    )


def _around(opening: OpeningHours, day: date) -> tuple[Spell, ...]:
    """The date's spells, with what runs over from the day before and goes on the day after."""
    found = []
    for shift in (-1, 0, 1):
        found += [
            (begin + shift * DAY_MIN, end + shift * DAY_MIN)
            for begin, end in spells_of(opening, _moved(day, shift)) or ()
        ]
    return _joined(found)


def _moved(day: date, days: int) -> date | None:
    try:
        return day + timedelta(days=days)
    except OverflowError:  # the first or the last day there is
        return None


def _spell(opens: str, closes: str) -> Spell:
    begin, end = _minutes(opens) or 0, _minutes(closes) or 0
    return begin, end if end > begin else end + DAY_MIN


def _joined(spells: Iterable[Spell]) -> tuple[Spell, ...]:
    found: list[Spell] = []
    for begin, end in sorted(spells):
        if found and begin <= found[-1][1]:
            found[-1] = (found[-1][0], max(end, found[-1][1]))
        else:
            found.append((begin, end))
    return tuple(found)


def _minutes(clock: str | None) -> int | None:
    return None if clock is None else int(clock[:2]) * 60 + int(clock[3:])


def _clock(minute: int) -> str:
    if minute == DAY_MIN:
        return "24:00"
    days, rest = divmod(minute, DAY_MIN)
    return f"{rest // 60:02d}:{rest % 60:02d}" + (
        " the day before" if days < 0 else " the next day" if days else ""
    )


def spells_words(spells: Sequence[Spell]) -> str:
    """Opening spells in words: 09:00 to 12:00, 14:00 to 18:00."""
    return (
        ", ".join(
            "all day" if (begin, end) == (0, DAY_MIN) else f"{_clock(begin)} to {_clock(end)}"
            for begin, end in spells
        )
        or "closed"
    )


def opening_words(opening: OpeningHours) -> tuple[str, ...]:
    """Opening hours as lines to read: the week, single dates, dates closed."""
    lines = []
    for hours in opening.week or ():
        days = DAY_NAMES[hours.first] + (
            f" to {DAY_NAMES[hours.last]}" if hours.last and hours.last != hours.first else ""
        )
        lines.append(f"{days} {spells_words([_spell(hours.opens, hours.closes)])}")
    if opening.week and len({day for hours in opening.week for day in hours.days}) < len(WEEK):
        lines.append("other days closed")
    single = sorted(opening.dates or (), key=lambda one: (one.on, one.opens))
    lines += [
        f"{_date(hours.on)} {spells_words([_spell(hours.opens, hours.closes)])}" for hours in single
    ]
    if opening.closed_on:
        lines.append(f"closed on {', '.join(_date(day) for day in sorted(opening.closed_on))}")
    return tuple(lines)


def _date(day: date) -> str:
    return f"{day.day} {day:%b} {day.year}"
