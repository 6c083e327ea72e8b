"""Readings and noises by the clock: which readings speak for the hours of a shoot, which noises come
back then and what they leave quiet, and the day as a whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Literal, get_args
from zoneinfo import ZoneInfo

from scout.assess.setup import Setup
from scout.records.kept import WhenNeed
from scout.records.sheet import NoiseReading, RoomRecord
from scout.records.sounds import Day, NoiseWindowRecord
from scout.values import Figure, Many, Name, Said, Spell, Word, said

DAY_NAMES: tuple[Day, ...] = get_args(Day)
DAY_MIN = 24 * 60
STEADY_DB, INTERMITTENT_DB = 5.0, 10.0  # La10 - La90 (common practice)
# a quiet stretch shorter than this hardly holds a set-up and a take (common practice)
SHORT_TAKE_MIN = 15
Span = tuple[int, int]  # minutes after the date's midnight


@dataclass(frozen=True)
class Shoot:
    """Dates and hours that are judged for; an end at or before the start lies on the next day, and
    an hour that is not given is the day's own.
    """

    dates: tuple[date, ...]
    from_time: time | None = None
    until_time: time | None = None

    @classmethod
    def of_setup(cls, setup: Setup) -> Shoot:
        """The date and the hours of a setup."""
        return cls((setup.on,), setup.from_time, setup.until_time)

    @classmethod
    def of_need(cls, need: WhenNeed) -> Shoot:
        """The dates and hours that a scene asks for."""
        first, last = (
            time.fromisoformat(clock) if clock else None
            for clock in (need.from_time, need.until_time)
        )
        return cls(tuple(need.dates), first, last)

    @property
    def timed(self) -> bool:
        """Whether any hour is given."""
        return self.from_time is not None or self.until_time is not None

    @property
    def span(self) -> Span:
        """Its hours in minutes after midnight."""
        begin = _minute(self.from_time) if self.from_time is not None else 0
        end = _minute(self.until_time) if self.until_time is not None else DAY_MIN
        return begin, end + DAY_MIN if end <= begin else end

    def has(self, moment: datetime) -> bool:
        """Whether a time of day lies in its hours, on whatever date."""
        begin, end = self.span
        minute = _minute(moment.time())
        return begin <= minute <= end or begin <= minute + DAY_MIN <= end


@dataclass(frozen=True)
class NoisesThen:
    """What comes back within the hours of a shoot, on the worst of its dates."""

    level: Literal["care", "problem"]  # problem: no quiet stretch is left
    noises: tuple[tuple[NoiseWindowRecord, int], ...]  # each with its minutes in those hours
    quiet_min: int | None  # None: the shoot names no hours
    longest: Spell | None
    why: Said


def noises_then(shoot: Shoot, windows: Iterable[NoiseWindowRecord]) -> NoisesThen | None:
    """Which recurring noises fall into a shoot's hours and how much they leave quiet; None where
    none does.

    Without hours they are named alone, for what is left of a whole day says nothing.
    """
    kept = tuple(windows)
    struck = [noisy for day in shoot.dates if (noisy := _noisy(shoot, kept, day))]
    if not struck:
        return None
    noises = {window: _length(span) for noisy in struck for window, span in noisy}
    begin, end = shoot.span
    quiet = min((_quiet(begin, end, [span for _, span in noisy]) for noisy in struck), key=_minutes)
    left, longest = _minutes(quiet), max(quiet, key=_length, default=None)
    most = _length(longest) if longest else 0
    spell = Spell(_clock(longest[0]), _clock(longest[1])) if longest else None
    timed = shoot.timed
    every = len(struck) == len(shoot.dates)
    why = said(
        "noise.comes",
        noises=Many(tuple(window_said(window) for window in noises)),
        struck=None if every else len(struck),
        dates=None if every else len(shoot.dates),
        quiet=Figure(left, "min") if timed else None,
        of=Figure(end - begin, "min") if timed else None,
        longest=spell if timed else None,
    )
    short = timed and most < min(SHORT_TAKE_MIN, end - begin)
    return NoisesThen(
        "problem" if short else "care",
        tuple(noises.items()),
        left if timed else None,
        spell if timed else None,
        why,
    )


def window_said(window: NoiseWindowRecord) -> Said:
    """A noise that comes back, with its hours and how it comes."""
    return said(
        "noise.window",
        noise=Name(window.what),
        spell=window_spell(window),
        way=None
        if window.steady is None
        else Word("noise_way", "steady" if window.steady else "intermittent"),
    )


def window_spell(window: NoiseWindowRecord) -> Spell:
    """When a recurring noise comes."""
    return Spell(time.fromisoformat(window.from_time), time.fromisoformat(window.until_time))


@dataclass(frozen=True)
class Counted:
    """The readings that speak for some hours. `at_hours`: they were taken at that time of day; None
    where no hours are asked for.
    """

    readings: tuple[NoiseReading, ...]
    at_hours: bool | None


def readings_for(
    shoots: Sequence[Shoot],
    room: RoomRecord,
    windows: Sequence[NoiseWindowRecord],
    zone: str | None,
) -> Counted:
    """The readings that count for the hours of a shoot: those taken at that time of day, else all.

    A reading taken while a recurring noise was there is a reading of that noise: it counts only
    where that noise comes back at those dates and hours. What was heard then without a level takes
    no other reading's place.
    """
    there = {
        window
        for shoot in shoots
        for day in shoot.dates
        for window, _ in _noisy(shoot, tuple(windows), day)
    }
    readings = []
    for reading in room.noise or ():
        of_noise = noises_of(reading, windows, zone)
        if not shoots or not of_noise or there.intersection(of_noise):
            readings.append((reading, _local(reading, zone)))
    timed = [shoot for shoot in shoots if shoot.timed]
    then = tuple(
        reading
        for reading, at in readings
        if at is not None
        and reading.method != "estimate"
        and (reading.laeq_db is not None or reading.bands_db)
        and any(shoot.has(at) for shoot in timed)
    )
    every = tuple(reading for reading, _ in readings)
    return Counted(then or every, bool(then) if timed else None)


def noises_of(
    reading: NoiseReading, windows: Iterable[NoiseWindowRecord], zone: str | None
) -> list[NoiseWindowRecord]:
    """The recurring noises that were there when a reading was taken."""
    at = _local(reading, zone)
    return [] if at is None else [window for window in windows if _sounds(window, at)]


@dataclass(frozen=True)
class HourReading:
    """One reading at its local time of day."""

    reading: Name
    at: datetime
    laeq_db: float
    conditions: Name | None


@dataclass(frozen=True)
class QuietHours:
    """What is known of the day: readings in the order of the clock, noises of that date, and when
    to shoot.
    """

    readings: tuple[HourReading, ...]
    windows: tuple[NoiseWindowRecord, ...]
    words: tuple[Said, ...]
    unknown: Said | None


def hour_readings(room: RoomRecord, zone: str | None) -> list[HourReading]:
    """The readings that say when they were taken, by the clock; estimates are none."""
    found = [
        HourReading(
            Name(reading.id),
            at,
            reading.laeq_db,
            Name(reading.conditions) if reading.conditions else None,
        )
        for reading in room.noise or ()
        if reading.laeq_db is not None
        and reading.method != "estimate"
        and (at := _local(reading, zone)) is not None
    ]
    return sorted(found, key=lambda hour: hour.at.time())


def quiet_hours(
    room: RoomRecord, windows: Iterable[NoiseWindowRecord], on: date, zone: str | None
) -> QuietHours:
    """The day's profile for one date; readings of other days stand at their hour."""
    readings = hour_readings(room, zone)
    today = tuple(window for window in windows if _comes(window, on))
    words = [said("noise.keep_out", noise=window_said(window)) for window in today]
    hours = {hour.at.hour for hour in readings}
    if len(hours) >= 2:
        ends = {
            name: said(
                "noise.at",
                laeq=Figure(hour.laeq_db, "dBA"),
                at=hour.at.time(),
                conditions=hour.conditions,
            )
            for name, hour in (
                ("quiet", min(readings, key=lambda hour: hour.laeq_db)),
                ("loud", max(readings, key=lambda hour: hour.laeq_db)),
            )
        }
        words.insert(0, said("noise.profile", **ends))
        return QuietHours(tuple(readings), today, tuple(words), None)
    unknown = said("noise.one_hour", at=readings[0].at.time() if readings else None)
    return QuietHours(tuple(readings), today, tuple(words), unknown)


def steadiness(la10_db: float, la90_db: float) -> Word:
    """Steady, varying or intermittent, by how far the loud tenth stands over the quiet tenth
    (common practice).
    """
    spread = la10_db - la90_db
    return Word(
        "noise_way",
        "steady"
        if spread <= STEADY_DB
        else "intermittent"
        if spread > INTERMITTENT_DB
        else "varying",
    )


def _local(reading: NoiseReading, zone: str | None) -> datetime | None:
    if reading.taken_at is None:
        return None
    at = datetime.fromisoformat(str(reading.taken_at))
    return at.astimezone(ZoneInfo(zone)) if zone else at


def _comes(window: NoiseWindowRecord, on: date) -> bool:
    return window.days is None or DAY_NAMES[on.weekday()] in window.days


def _sounds(window: NoiseWindowRecord, at: datetime) -> bool:
    first, last = _window_span(window)
    return _comes(window, at.date()) and first <= _minute(at.time()) <= last


def _noisy(
    shoot: Shoot, windows: tuple[NoiseWindowRecord, ...], day: date
) -> list[tuple[NoiseWindowRecord, Span]]:
    begin, end = shoot.span
    found = []
    for later in (0, 1):  # a shoot through midnight meets the next day's noises too
        for window in windows:
            if not _comes(window, day + timedelta(days=later)):
                continue
            first, last = (minute + later * DAY_MIN for minute in _window_span(window))
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


def _length(span: Span) -> int:
    return span[1] - span[0]


def _minutes(spans: list[Span]) -> int:
    return sum(map(_length, spans))


def _window_span(window: NoiseWindowRecord) -> Span:
    spell = window_spell(window)
    assert isinstance(spell.start, time)
    assert isinstance(spell.end, time)
    return _minute(spell.start), _minute(spell.end)


def _minute(clock: time) -> int:
    return clock.hour * 60 + clock.minute


def _clock(minute: int) -> time:
    return time(minute // 60 % 24, minute % 60)
