"""The day's events of a location, as its clocks show them, and the sun at one instant."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

from scout.assess.answers import Crossing, EventsAnswer, MoonAnswer, SunAnswer
from scout.assess.daylight.place.where import Place, place_of, reason
from scout.calc.daylight.place.local_date import local_time
from scout.calc.daylight.sun.almanac import moon_day
from scout.calc.daylight.sun.events import DayEvents, day_events
from scout.calc.daylight.sun.position import sun_position
from scout.errors import OutOfRange
from scout.records.sheet import SheetLocation
from scout.values import Figure, Name, Said, Word, said

RULES_KNOWN_UNTIL = (
    2037  # the last year that time zone tables write out; from then on they repeat a rule
)


def events(location: SheetLocation | None, on: date) -> EventsAnswer:
    """Sunrise, sunset, twilight, noon and low sun of a local date; every figure None and `unknown`
    said when they cannot be had.
    """
    place = place_of(location)
    if place.unknown is not None:
        return EventsAnswer(unknown=place.unknown)
    found = day_of(place, on)
    if isinstance(found, Said):
        return EventsAnswer(unknown=found, assumed=place.assumed)

    def shown(at: float | None) -> datetime | None:
        return None if at is None else local_time(at, place.zone, found.spans)

    moon = moon_day(found.spans, latitude_deg=place.latitude_deg, longitude_deg=place.longitude_deg)
    notes = []
    if found.grazes:
        notes.append(said("sun.grazes"))
    hours = sum(end - start for start, end in found.spans) / 3600.0
    if abs(hours - 24.0) > 1e-6:
        notes.append(said("sun.clocks_change", hours=Figure(hours)))
    for event in ("sunrise", "sunset"):
        times = [at for at, kind in found.crossings if kind == event]
        if len(times) > 1:
            notes.append(said("sun.repeated", n=len(times), events=Word("events", event)))
    rises, sets = found.first("sunrise"), found.first("sunset")
    if rises is not None and sets is not None and sets < rises:
        notes.append(said("sun.sets_first"))
    if found.state == "polar_day":
        notes.append(said("sun.never_sets"))
    elif found.state == "polar_night" and found.highest_deg is not None:
        notes.append(said("sun.never_rises", highest=Figure(found.highest_deg, "deg")))
    return EventsAnswer(
        assumed=(
            said("sun.convention"),
            said("sun.moon"),
            *place.assumed,
            *_of_clocks(place, found),
        ),
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
        blue_hours=tuple(
            (local_time(start, place.zone), local_time(end, place.zone))
            for start, end in found.blue_hours
        ),
        moon=MoonAnswer(shown(moon.rise), shown(moon.set), round(100.0 * moon.lit_share, 1)),
        day_length_min=round(found.day_length_s / 60.0, 2),
        notes=tuple(notes),
    )


def _of_clocks(place: Place, found: DayEvents) -> tuple[Said, ...]:
    """What is taken of the clocks so long ago, or so far ahead, that no rule of theirs is certain."""
    noon = local_time(found.spans[0][0] + 43_200.0, place.zone)
    if noon.tzname() == "LMT":
        return (said("sun.local_mean_time", zone=Name(str(place.zone))),)
    if noon.year > RULES_KNOWN_UNTIL and isinstance(place.zone, ZoneInfo):
        return (said("sun.clock_rules"),)
    return ()


def day_of(place: Place, on: date) -> DayEvents | Said:
    """The sun's day at a place, or why there is none."""
    try:
        found = day_events(on, place.zone, **place.where)
    except OutOfRange as refusal:
        return said("light.refused", why=reason(refusal))
    if not found.spans:
        return said("sun.no_such_date", on=on, zone=Name(str(place.zone)))
    return found


def sun_answer(location: SheetLocation | None, at: datetime) -> SunAnswer:
    """Where the sun stands at an instant, refraction included."""
    place = place_of(location)
    if place.unknown is not None:
        return SunAnswer(unknown=place.unknown)
    sun = sun_position(at, **place.where)
    assumed = tuple(one for one in place.assumed if one.code != "sun.zone_by_longitude")
    return SunAnswer(
        elevation_deg=round(sun.elevation_deg, 4),
        azimuth_deg=round(sun.azimuth_deg, 4),
        assumed=(said("sun.air"), *assumed),
    )
