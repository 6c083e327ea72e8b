"""When it is quiet: readings by the hour of the day, and the noises that are known to come back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from scout.records.sheet import RoomRecord
from scout.records.sounds import NoiseWindowRecord

DAY_NAMES = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
STEADY_DB, INTERMITTENT_DB = 5.0, 10.0  # La10 - La90 (common practice)


@dataclass(frozen=True)
class HourReading:
    """One reading at its local time of day."""

    reading: str
    at: datetime
    laeq_db: float
    conditions: str | None


@dataclass(frozen=True)
class QuietHours:
    """What is known of the day: readings in the order of the clock, noises of that date, and in
    words when to shoot.
    """

    readings: tuple[HourReading, ...]
    windows: tuple[NoiseWindowRecord, ...]
    words: tuple[str, ...]
    unknown: str | None


def hour_readings(room: RoomRecord, zone: str | None) -> list[HourReading]:
    """The readings that say when they were taken, by the clock; estimates are none."""
    found = []
    for reading in room.noise or ():
        if reading.laeq_db is None or reading.taken_at is None or reading.method == "estimate":
            continue
        at = datetime.fromisoformat(str(reading.taken_at))
        found.append(
            HourReading(
                reading.id,
                at.astimezone(ZoneInfo(zone)) if zone else at,
                reading.laeq_db,
                reading.conditions,
            )
        )
    return sorted(found, key=lambda hour: hour.at.time())


def quiet_hours(
    room: RoomRecord, windows: Iterable[NoiseWindowRecord], on: date, zone: str | None
) -> QuietHours:
    """The day's profile for one date; readings of other days stand at their hour. Their number is
    said, for few readings are no profile.
    """
    found = hour_readings(room, zone)
    today = tuple(
        window
        for window in windows
        if window.days is None or DAY_NAMES[on.weekday()] in window.days
    )
    words = []
    hours = {hour.at.hour for hour in found}
    if len(hours) >= 2:
        low, high = (
            min(found, key=lambda hour: hour.laeq_db),
            max(found, key=lambda hour: hour.laeq_db),
        )
        words.append(
            f"Quietest read: {low.laeq_db:.0f} dBA at {low.at:%H:%M}{_with(low)}; loudest: {high.laeq_db:.0f} dBA at {high.at:%H:%M}{_with(high)}."
        )
    for window in today:
        kind = (
            "" if window.steady is None else " (steady)" if window.steady else " (comes and goes)"
        )
        words.append(
            f"{window.what} from {window.from_time} to {window.until_time}{kind}: keep speech out of it."
        )
    unknown = None
    if len(hours) < 2:
        there = (
            "no reading says its hour"
            if not found
            else f"all readings are of one hour ({found[0].at:%H}:00)"
        )
        unknown = f"because {there}; read again at the hours of the shoot"
    return QuietHours(tuple(found), today, tuple(words), unknown)


def _with(hour: HourReading) -> str:
    return f" ({hour.conditions})" if hour.conditions else ""


def steadiness(la10_db: float, la90_db: float) -> str:
    """`steady`, `varying` or `intermittent`, by how far the loud tenth stands over the quiet tenth
    (common practice).
    """
    spread = la10_db - la90_db
    return (
        "steady"
        if spread <= STEADY_DB
        else "intermittent"
        if spread > INTERMITTENT_DB
        else "varying"
    )
