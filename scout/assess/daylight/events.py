"""The day's events of a location, as its clocks show them, and the sun at one instant."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

from scout.assess.answers import Crossing, EventsAnswer, SunAnswer
from scout.assess.daylight.place import Place, place_of
from scout.calc.daylight.events import DayEvents, day_events
from scout.calc.daylight.local_date import local_time
from scout.calc.daylight.sun import sun_position
from scout.errors import OutOfRange
from scout.records.sheet import SheetLocation

CONVENTION = (
    "a level sea horizon: sunrise and sunset at -0.833 degrees, civil twilight at -6, low sun between -4 and +6 (common practice); "
    "hills, height and the weather move them"
)
RULES_KNOWN_UNTIL = (
    2037  # the last year that time zone tables write out; from then on they repeat a rule
)
GRAZES = "the sun grazes the horizon: the air's refraction decides, and times near it may be out by many minutes"


def events(location: SheetLocation | None, on: date) -> EventsAnswer:
    """Sunrise, sunset, twilight, noon and low sun of a local date; every figure None and `unknown`
    said when they cannot be had.
    """
    place = place_of(location)
    if place.unknown is not None:
        return EventsAnswer(unknown=place.unknown)
    found = day_of(place, on)
    if isinstance(found, str):
        return EventsAnswer(unknown=found, assumed=place.assumed)

    def shown(at: float | None) -> datetime | None:
        return None if at is None else local_time(at, place.zone, found.spans)

    notes = []
    if found.grazes:
        notes.append(GRAZES)
    hours = sum(end - start for start, end in found.spans) / 3600.0
    if abs(hours - 24.0) > 1e-6:
        notes.append(f"the clocks change: this date has {hours:g} hours")
    for event in ("sunrise", "sunset"):
        times = [at for at, kind in found.crossings if kind == event]
        if len(times) > 1:
            notes.append(f"this date holds {len(times)} {event}s")
    rises, sets = found.first("sunrise"), found.first("sunset")
    if rises is not None and sets is not None and sets < rises:
        notes.append(
            "the sun sets before it rises on this date: the first sunset belongs to the day before"
        )
    if found.state == "polar_day":
        notes.append("the sun does not set on this date")
    elif found.state == "polar_night":
        notes.append(
            f"the sun does not rise on this date; it reaches {found.highest_deg:.1f} degrees"
        )
    return EventsAnswer(
        assumed=(CONVENTION, *place.assumed, *_of_clocks(place, found)),
        state=found.state,
        dawn=shown(found.first("dawn")),
        sunrise=shown(rises),
        noon=shown(found.noon),
        sunset=shown(sets),
        dusk=shown(found.first("dusk")),
        crossings=tuple(
            Crossing(local_time(at, place.zone, found.spans), kind) for at, kind in found.crossings
        ),
        low_sun=tuple(
            (local_time(start, place.zone), local_time(end, place.zone))
            for start, end in found.low_sun
        ),
        day_length_min=round(found.day_length_s / 60.0, 2),
        notes=tuple(notes),
    )


def _of_clocks(place: Place, found: DayEvents) -> tuple[str, ...]:
    """What is taken of the clocks so long ago, or so far ahead, that no rule of theirs is certain."""
    noon = local_time(found.spans[0][0] + 43_200.0, place.zone)
    if noon.tzname() == "LMT":
        return (f"standard time had not yet come to {place.zone}: times are on local mean time",)
    if noon.year > RULES_KNOWN_UNTIL and isinstance(place.zone, ZoneInfo):
        return ("the clocks are taken to change then as they do by today's rules",)
    return ()


def day_of(place: Place, on: date) -> DayEvents | str:
    """The sun's day at a place, or the sentence that says why there is none."""
    try:
        found = day_events(
            on,
            place.zone,
            latitude_deg=place.latitude_deg,
            longitude_deg=place.longitude_deg,
            elevation_m=place.elevation_m,
        )
    except OutOfRange as refusal:
        return f"because the {refusal.path} {refusal.given} {refusal.because}"
    if not found.spans:
        return (
            f"because {on.isoformat()} does not exist in {place.zone}: the clocks there skipped it"
        )
    return found


def sun_answer(location: SheetLocation | None, at: datetime) -> SunAnswer:
    """Where the sun stands at an instant, refraction included."""
    place = place_of(location)
    if place.unknown is not None:
        return SunAnswer(unknown=place.unknown)
    sun = sun_position(
        at,
        latitude_deg=place.latitude_deg,
        longitude_deg=place.longitude_deg,
        elevation_m=place.elevation_m,
    )
    assumed = tuple(sentence for sentence in place.assumed if "time zone" not in sentence)
    return SunAnswer(
        elevation_deg=round(sun.elevation_deg, 4),
        azimuth_deg=round(sun.azimuth_deg, 4),
        assumed=("refraction for 1013 hPa and 12 degrees C", *assumed),
    )
