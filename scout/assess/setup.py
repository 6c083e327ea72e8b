"""A setup: a scene in a room on a date between two hours, with a kit and a kept plan. It is what is
assessed; a room alone is a setup without hours.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from scout.assess.sound.ring import MeasuredRing
from scout.calc.countries import CountryGuess, country_of
from scout.errors import Refused
from scout.records.kept import LocationRecord
from scout.records.sheet import NoiseReading, Practical, RoomSheet, SheetLocation
from scout.records.sounds import NoiseWindowRecord
from scout.values import said


def country_of_place(location: SheetLocation | None) -> CountryGuess:
    """The country whose plugs and mains a place has."""
    if location is None:
        return CountryGuess((), said("country.unknown"))
    return country_of(location.latitude_deg, location.longitude_deg, location.timezone)


def spell_of(
    on: date, from_time: time | None, until_time: time | None, timezone: str | None
) -> tuple[datetime, datetime] | None:
    """Hours of a date as instants; an end at or before the start is on the next day. None: all day,
    or no zone to read a clock by.
    """
    if timezone is None or (from_time is None and until_time is None):
        return None
    zone = ZoneInfo(timezone)
    start = datetime.combine(on, from_time or time(0), tzinfo=zone)
    end_day = on
    if until_time is None or until_time <= (from_time or time(0)):
        end_day += timedelta(days=1)
    return start, datetime.combine(end_day, until_time or time(0), tzinfo=zone)


@dataclass(frozen=True)
class Setup:
    """What the engines judge for. The kit and the lights' kept places stand in the sheet.

    from_time, until_time: the scene's hours by the clock on the place's wall; None: all day
    framing, focal_length_mm: the scene's; None: all that the kit can do
    place: what is kept of the location beside the sheet (opening hours, way in)
    noises: that come back at the place
    off: what is in the room or comes back, and will be switched off: no longer in sheet and noises
    in_scene: whether the room is proposed for a scene, whose production may list a kit
    ring: what recorded bursts say of the room's reverberation
    """

    sheet: RoomSheet
    on: date
    from_time: time | None = None
    until_time: time | None = None
    framing: str | None = None
    focal_length_mm: float | None = None
    place: LocationRecord | None = None
    noises: tuple[NoiseWindowRecord, ...] = ()
    off: tuple[Practical | NoiseReading | NoiseWindowRecord, ...] = ()
    ring: MeasuredRing | None = None
    in_scene: bool = False

    def __post_init__(self) -> None:
        if (
            self.from_time is not None
            and self.until_time is not None
            and self.until_time == self.from_time
        ):
            raise Refused("until", self.until_time.isoformat(), said("refusal.begins"))

    @property
    def timezone(self) -> str | None:
        """The zone of the place, where it is recorded."""
        return self.sheet.location.timezone if self.sheet.location is not None else None

    @property
    def hours(self) -> tuple[datetime, datetime] | None:
        """The scene's hours as instants, see `spell_of`."""
        return spell_of(self.on, self.from_time, self.until_time, self.timezone)

    def within(self, moment: datetime) -> bool:
        """Whether an instant lies in the scene's hours; always, where it has none."""
        return self.hours is None or self.hours[0] <= moment <= self.hours[1]

    def cut(
        self, spells: tuple[tuple[datetime, datetime], ...]
    ) -> tuple[tuple[datetime, datetime], ...]:
        """What of some spells of time falls into the scene's hours."""
        if self.hours is None:
            return spells
        begin, end = self.hours
        return tuple(
            (max(start, begin), min(stop, end))
            for start, stop in spells
            if start < end and stop > begin
        )
