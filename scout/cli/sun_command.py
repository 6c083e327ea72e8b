"""`scout sun`: the sun's day at a place, and where it stands at a time."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import click

from scout.assess.answers import EventsAnswer, SunAnswer
from scout.assess.answers import as_json as plain
from scout.assess.daylight import findings as daylight
from scout.calc import timezones
from scout.cli.common import JSON_OPTION, print_json, read_date, read_moment
from scout.errors import Refused
from scout.records import SheetLocation
from scout.units import parse_degrees, parse_number
from scout.values import Figure, Many, Name, Said, Word, said
from scout.words.figures import spell_list


@click.command(
    help="Sunrise, sunset and low sun of a date at a place; with --at, where the sun stands."
)
@click.option("--lat", "latitude", required=True, help="Latitude in degrees, north positive.")
@click.option("--lon", "longitude", required=True, help="Longitude in degrees, east positive.")
@click.option("--date", "on", default=None, help="Local date, YYYY-MM-DD.")
@click.option("--at", "at", default=None, help="Instant, ISO 8601 with offset.")
@click.option(
    "--zone",
    "zone",
    default=None,
    help="Time zone name; looked up from the coordinates if left out.",
)
@click.option(
    "--elevation",
    "elevation",
    default=None,
    help="Metres above the sea; sea level, said so, if left out.",
)
@JSON_OPTION
def command(
    latitude: str,
    longitude: str,
    on: str | None,
    at: str | None,
    zone: str | None,
    elevation: str | None,
    as_json: bool,
) -> None:
    """Sun. The keys of the day and of the sun stand at the top of the JSON, and again as blocks of
    their own, `events` and `sun`.
    """
    place: dict[str, Any] = {
        "latitude_deg": parse_degrees(latitude, name="--lat"),
        "longitude_deg": parse_degrees(longitude, name="--lon"),
        "elevation_m": None if elevation is None else parse_number(elevation, name="--elevation"),
        "timezone": zone,
    }
    for key, name in (("latitude_deg", "--lat"), ("longitude_deg", "--lon")):
        most = 90 if key == "latitude_deg" else 180
        if not -most <= float(place[key] or 0) <= most:
            raise Refused(name, place[key], said("command.within", most=Figure(most)))
    notes: list[Said] = []
    if zone is None:
        guess = timezones.zone_at(
            float(place["latitude_deg"] or 0), float(place["longitude_deg"] or 0)
        )
        place["timezone"] = guess.name
        notes += [guess.note] if guess.note else []
    location = SheetLocation.read(place, "location")
    if on is None and at is None:
        raise Refused("--date", None, said("command.date_or_time"))
    day = None if on is None else daylight.events(location, read_date(on, any_year=True))
    moment = None if at is None else read_moment(at)
    sun = None if moment is None else daylight.sun_position_at(location, moment)
    blocks: dict[str, dict[str, Any]] = {
        name: plain(block) for name, block in (("events", day), ("sun", sun)) if block is not None
    }
    answer: dict[str, Any] = {}
    for block in blocks.values():
        answer |= {
            **block,
            "assumed": [*dict.fromkeys([*answer.get("assumed", []), *block.get("assumed", [])])],
        }
    if notes:
        answer["notes"] = [*answer.get("notes", []), *map(str, notes)]
    answer["timezone"] = location.timezone
    if as_json:
        print_json(answer | blocks)
        return
    about: list[Said] = []
    if day is not None:
        clocks = Name(location.timezone) if location.timezone else None
        click.echo(said("look.sun_of", on=read_date(on or "", any_year=True), zone=clocks))
        for line in _day(day):
            click.echo(f"  {line:cap}")
        about += day.assumed
    if sun is not None and moment is not None:
        click.echo(f"{_position(sun, moment):cap}")
        about += sun.assumed
    for note in dict.fromkeys((*notes, *about)):
        click.echo(said("look.note", note=note))


def _day(answer: EventsAnswer) -> list[Said]:
    if answer.unknown is not None:
        return [said("value.why", why=answer.unknown)]
    times: dict[str, list[datetime]] = {"dawn": [], "sunrise": [], "noon": []}
    for crossing in answer.crossings:
        times.setdefault(crossing.event, []).append(crossing.at)
    times["noon"] += [answer.noon] if answer.noon is not None else []
    lines = [
        said("look.event", event=Word("event", event), at=Many(tuple(at), "list"))
        for event, at in times.items()
        if at
    ]
    if answer.low_sun:
        lines.append(said("look.low_sun", spells=spell_list(answer.low_sun)))
    if answer.blue_hours:
        lines.append(said("look.blue_hours", spells=spell_list(answer.blue_hours)))
    if answer.day_length_min is not None:
        lines.append(said("look.day_length", length=Figure(answer.day_length_min, "min")))
    if (moon := answer.moon) is not None:
        lit = Figure(moon.lit_pct, "%")
        lines.append(said("look.moon", rises=moon.rise, sets=moon.set, lit=lit))
    return [*lines, *answer.notes]


def _position(answer: SunAnswer, at: datetime) -> Said:
    if answer.elevation_deg is None or answer.azimuth_deg is None:
        return said("value.why", why=answer.unknown)
    height, bearing = Figure(answer.elevation_deg, "deg"), Figure(answer.azimuth_deg, "deg")
    return said("look.sun_at", at=at, height=height, bearing=bearing)
