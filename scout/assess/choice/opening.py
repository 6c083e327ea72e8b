"""A place's opening hours against the dates and hours a scene wants, by the clock on the place's
wall.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta
from typing import Literal

from scout.records.kept import LocationRecord, WhenNeed
from scout.records.opening import WEEK, OpeningHours
from scout.values import Many, Name, Said, Spell, Word, said

OpenLevel = Literal["pass", "care", "fail", "unknown"]
DAY_MIN = 24 * 60
ASKABLE_MIN = (
    60  # common practice: a caretaker can be asked for an hour before or after, hardly for more
)
MOST_WORDS = 120
_WORST = ("pass", "care", "unknown", "fail")
Minutes = tuple[int, int]  # from midnight of the date in question


@dataclass(frozen=True)
class OpenAnswer:
    """Whether a place is open when it is wanted, with the figure and the reasons."""

    level: OpenLevel
    figure: Said
    why: tuple[Said, ...]


def open_when(need: WhenNeed, place: LocationRecord) -> OpenAnswer:
    """The need's dates and hours against the place's; the worst date decides and is the one shown."""
    typed = typed_hours(place)
    if not has_hours(place):
        if typed is None:
            return OpenAnswer(
                "unknown", said("need.not_recorded"), (said("hours.why.not_recorded"),)
            )
        return OpenAnswer("care", said("hours.typed", hours=typed), (said("hours.why.read_them"),))
    opening = place.opening_hours or OpeningHours()
    begin, end = (
        time.fromisoformat(clock) if clock else None for clock in (need.from_time, need.until_time)
    )
    answers = [open_on(opening, day, begin, end) for day in need.dates]
    worst = max(answers, key=lambda answer: _WORST.index(answer.level))
    why = worst.why
    if worst.level == "care":
        why += (said("hours.why.ask"),)
    if len(answers) > 1:
        alike = sum(answer.level == worst.level for answer in answers)
        why += (said("hours.why.so_on", alike=alike, dates=len(answers)),)
    if typed is not None:
        why += (said("hours.why.adds", hours=typed),)
    return OpenAnswer(worst.level, worst.figure, why)


def has_hours(place: LocationRecord) -> bool:
    """Whether any opening hours are recorded that can be reckoned with."""
    return _recorded(place.opening_hours)


def _recorded(hours: OpeningHours | None) -> bool:
    return hours is not None and any((hours.week, hours.dates, hours.closed_on))


def opened(hours: OpeningHours | None, day: date | None) -> tuple[Minutes, ...] | None:
    """When a place, or its parking, is open on a date, see `spells_of`; None: not recorded as
    times.
    """
    return spells_of(hours, day) if hours is not None and _recorded(hours) else None


def typed_hours(place: LocationRecord) -> Name | None:
    """What somebody wrote of the hours, in one line and not without end."""
    words = " ".join((place.hours or "").split())
    if not words:
        return None
    return Name(words if len(words) <= MOST_WORDS else f"{words[: MOST_WORDS - 1]}…")


def open_on(
    opening: OpeningHours, day: date, from_time: time | None, until_time: time | None
) -> OpenAnswer:
    """Whether a place is open on a date between two times of day, either of them left open."""
    today = spells_of(opening, day)
    figure = said("hours.on", day=day, spells=None if today is None else spells_said(today))
    if today is None:
        return OpenAnswer("unknown", figure, (said("hours.why.not_recorded"),))
    wanted = _wanted(from_time, until_time)
    if wanted is None:
        return (
            OpenAnswer("pass", figure, (said("hours.why.open_then"),))
            if today
            else OpenAnswer("fail", figure, (said("hours.why.closed"),))
        )
    best = min(_around(opening, day), key=lambda spell: sum(_short(spell, wanted)), default=None)
    if best is not None and not any(_short(best, wanted)):
        return OpenAnswer("pass", figure, (said("hours.why.open"),))
    if not today or best is None:
        return OpenAnswer("fail", figure, (said("hours.why.closed"),))
    if wanted[1] > DAY_MIN and spells_of(opening, _moved(day, 1)) is None:
        return OpenAnswer("unknown", figure, (said("hours.why.day_after"),))
    late, early = _short(best, wanted)
    why = []
    if late:
        why.append(said("hours.why.opens", at=_clock(best[0]), wanted=from_time or until_time))
    if early:
        why.append(said("hours.why.closes", at=_clock(best[1]), wanted=until_time or from_time))
    return OpenAnswer("care" if max(late, early) <= ASKABLE_MIN else "fail", figure, tuple(why))


def _wanted(from_time: time | None, until_time: time | None) -> Minutes | None:
    """The hours wanted as minutes of the date; an end that is not after its beginning lies on the
    next day, one end alone is one minute.
    """
    begin, end = (
        None if clock is None else clock.hour * 60 + clock.minute
        for clock in (from_time, until_time)
    )
    if begin is None:
        return None if end is None else (end - 1, end)
    if end is None:
        return begin, begin + 1
    return begin, end if end > begin else end + DAY_MIN


def _short(spell: Minutes, wanted: Minutes) -> tuple[int, int]:
    """Minutes that an opening comes too late and its closing too early."""
    return max(0, spell[0] - wanted[0]), max(0, wanted[1] - spell[1])


def spells_of(opening: OpeningHours, day: date | None) -> tuple[Minutes, ...] | None:
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


def _around(opening: OpeningHours, day: date) -> tuple[Minutes, ...]:
    """The date's spells, with what runs over from the day before and goes on the day after."""
    spells = []
    for shift in (-1, 0, 1):
        spells += [
            (begin + shift * DAY_MIN, end + shift * DAY_MIN)
            for begin, end in spells_of(opening, _moved(day, shift)) or ()
        ]
    return _joined(spells)


def _moved(day: date, days: int) -> date | None:
    try:
        return day + timedelta(days=days)
    except OverflowError:  # the first or the last day there is
        return None


def _spell(opens: str, closes: str) -> Minutes:
    begin, end = (int(clock[:2]) * 60 + int(clock[3:]) for clock in (opens, closes))
    return begin, end if end > begin else end + DAY_MIN


def _joined(spells: Iterable[Minutes]) -> tuple[Minutes, ...]:
    joined: list[Minutes] = []
    for begin, end in sorted(spells):
        if joined and begin <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((begin, end))
    return tuple(joined)


def _clock(minute: int) -> time:
    return time(minute // 60 % 24, minute % 60)


def spells_said(spells: Sequence[Minutes]) -> Many:
    """Opening spells: 09:00 to 12:00, 14:00 to 18:00; or that it is closed, or open all day."""
    return Many(
        tuple(
            said("hours.all_day")
            if (begin, end) == (0, DAY_MIN)
            else Spell(_clock(begin), _clock(end))
            for begin, end in spells
        )
        or (said("hours.shut"),),
        "list",
    )


def opening_words(opening: OpeningHours) -> tuple[Said, ...]:
    """Opening hours as lines to read: the week, single dates, dates closed."""
    lines = [
        said(
            "hours.weekdays",
            first=Word("weekday", hours.first),
            last=Word("weekday", hours.last) if hours.last and hours.last != hours.first else None,
            spells=spells_said([_spell(hours.opens, hours.closes)]),
        )
        for hours in opening.week or ()
    ]
    if opening.week and len({day for hours in opening.week for day in hours.days}) < len(WEEK):
        lines.append(said("hours.others_shut"))
    lines += [
        said("hours.on", day=hours.on, spells=spells_said([_spell(hours.opens, hours.closes)]))
        for hours in sorted(opening.dates or (), key=lambda hours: (hours.on, hours.opens))
    ]
    if opening.closed_on:
        lines.append(said("hours.shut_on", days=Many(tuple(sorted(opening.closed_on)), "list")))
    return tuple(lines)
