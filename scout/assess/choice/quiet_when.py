"""A scene's dates and hours against the noises that come back there, and the readings taken at that
time of day.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from scout.assess.sound.hours import DAY_NAMES, HourReading, hour_readings
from scout.records.kept import NoiseNeed, WhenNeed
from scout.records.sheet import RoomRecord
from scout.records.sounds import NoiseWindowRecord

DAY_MIN = 24 * 60
SHORT_TAKE_MIN = (
    15  # a quiet stretch shorter than this hardly holds a set-up and a take (common practice)
)
Level = Literal["pass", "care", "fail", "unknown"]
Span = tuple[int, int]  # minutes after the date's midnight


@dataclass(frozen=True)
class NoisesThen:
    """What comes back within the hours of a scene: `level` care, or fail where no quiet stretch is
    left; words for the cell.
    """

    level: Literal["care", "fail"]
    words: str


def noises_then(need: WhenNeed, windows: Iterable[NoiseWindowRecord]) -> NoisesThen | None:
    """Which recurring noises fall into a scene's hours and how many quiet minutes they leave; None
    where none does.

    Of several dates the worst is told. Without hours the noises of those dates are named alone, for
    what is left of a whole day says nothing.
    """
    kept = tuple(windows)
    days = [(day, _noisy(need, kept, day)) for day in need.dates]
    struck = [(day, noisy) for day, noisy in days if noisy]
    if not struck:
        return None
    named = {
        (window.what, window.from_time, window.until_time): window
        for _, noisy in struck
        for window, _ in noisy
    }
    listed = "; ".join(_named(window) for window in named.values())
    on = "" if len(struck) == len(days) else f" on {len(struck)} of {len(days)} dates"
    if not (need.from_time and need.until_time):
        return NoisesThen(
            "care", f"comes back{on}: {listed}; give the hours of the scene to see what stays quiet"
        )
    begin, end = hours_of(need)
    worst = min(
        (_quiet(begin, end, [span for _, span in noisy]) for _, noisy in struck), key=_minutes
    )
    quiet, longest = _minutes(worst), max((b - a for a, b in worst), default=0)
    words = (
        f"comes back within the hours{on}: {listed}; {quiet} of {end - begin} minutes stay quiet"
    )
    if quiet:
        at = next((a, b) for a, b in worst if b - a == longest)
        words += f", the longest stretch {longest} min from {_clock(at[0])} to {_clock(at[1])}"
    return NoisesThen("fail" if longest < min(SHORT_TAKE_MIN, end - begin) else "care", words)


def noise_at_the_hours(
    need: NoiseNeed,
    whens: Sequence[WhenNeed],
    room: RoomRecord,
    windows: Sequence[NoiseWindowRecord],
    zone: str | None,
    counted: str | None,
    judged: tuple[Level, str],
) -> tuple[Level, str]:
    """A judgement of the loudest reading, set right for the scene's hours: by what was read then,
    and by what comes back then.

    A room that was too loud at another hour only is worth a second look (care), not more: one
    reading is no promise. A noise that
    comes back within the hours takes a pass down to care, and one that leaves no quiet stretch
    fails.
    """
    level, why = judged
    there = read_then(whens, hour_readings(room, zone))
    loudest = max(there, key=lambda reading: reading.laeq_db, default=None)
    if loudest is not None and loudest.reading != counted:
        told = f"at the hours of the scene {loudest.laeq_db:.1f} dBA was read ({loudest.reading}, {loudest.at:%H:%M})"
        if level == "fail" and loudest.laeq_db <= need.laeq_db:
            level, why = (
                "care",
                f"{told}, {need.laeq_db - loudest.laeq_db:.1f} dB under; at other hours {why}",
            )
        else:
            why = f"{why}; {told}"
    elif loudest is None and whens and any(when.from_time and when.until_time for when in whens):
        why = f"{why}; nothing was read at the hours of the scene"
    for noises in (found for when in whens if (found := noises_then(when, windows)) is not None):
        level = "fail" if "fail" in (level, noises.level) else "care" if level == "pass" else level
        why = f"{why}; {noises.words}"
    return level, why


def read_then(
    needs: Sequence[WhenNeed], readings: Iterable[HourReading]
) -> tuple[HourReading, ...]:
    """The readings taken at the scene's time of day, on whatever date; none where the scene names
    no hours.
    """
    found = []
    for reading in readings:
        minute = reading.at.hour * 60 + reading.at.minute
        for need in needs:
            if not (need.from_time and need.until_time):
                continue
            begin, end = hours_of(need)
            if begin <= minute <= end or begin <= minute + DAY_MIN <= end:
                found.append(reading)
                break
    return tuple(found)


def hours_of(need: WhenNeed) -> Span:
    """A scene's hours; an end that is not after its beginning lies on the next day, and what is not
    given is the day's own.
    """
    begin = _minute(need.from_time) if need.from_time else 0
    end = _minute(need.until_time) if need.until_time else DAY_MIN
    return begin, end + DAY_MIN if end <= begin else end


def _noisy(
    need: WhenNeed, windows: tuple[NoiseWindowRecord, ...], day: date
) -> list[tuple[NoiseWindowRecord, Span]]:
    begin, end = hours_of(need)
    found = []
    for later in (0, 1):  # a scene through midnight meets the next day's noises too
        name = DAY_NAMES[(day + timedelta(days=later)).weekday()]
        for window in windows:
            if window.days is not None and name not in window.days:
                continue
            first, last = (
                _minute(clock) + later * DAY_MIN for clock in (window.from_time, window.until_time)
            )
            if first < end and last > begin:
                found.append((window, (max(first, begin), min(last, end))))
    return found


def _quiet(begin: int, end: int, noisy: list[Span]) -> list[Span]:
    found, at = [], begin
    for first, last in sorted(noisy):
        if first > at:
            found.append((at, first))
        at = max(at, last)
    if at < end:
        found.append((at, end))
    return found


def _minutes(spans: list[Span]) -> int:
    return sum(last - first for first, last in spans)


def _named(window: NoiseWindowRecord) -> str:
    kind = (
        ""
        if window.steady is None
        else ", steady"
        if window.steady
        else ", comes and goes: wait for the gaps"
    )
    return f"{window.what} ({window.from_time} to {window.until_time}{kind})"


def _minute(clock: str) -> int:
    hour, minute = clock.split(":")[:2]
    return int(hour) * 60 + int(minute)


def _clock(minute: int) -> str:
    return f"{minute // 60 % 24:02d}:{minute % 60:02d}"
