"""`scout sun`: the sun's day at a place, and where it stands at a time."""

from __future__ import annotations

from typing import Any

import click

from scout.assess.answers import as_json as plain
from scout.assess.daylight import findings as daylight
from scout.calc import timezones
from scout.cli.common import JSON_OPTION, print_json, read_date, read_moment
from scout.errors import Refused
from scout.records import SheetLocation
from scout.units import parse_number


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
        "latitude_deg": parse_number(latitude, name="--lat"),
        "longitude_deg": parse_number(longitude, name="--lon"),
        "elevation_m": None if elevation is None else parse_number(elevation, name="--elevation"),
        "timezone": zone,
    }
    for key, name in (("latitude_deg", "--lat"), ("longitude_deg", "--lon")):
        most = 90 if key == "latitude_deg" else 180
        if not -most <= float(place[key] or 0) <= most:
            raise Refused(name, place[key], f"must be from -{most} to {most}")
    notes = []
    if zone is None:
        guess = timezones.zone_at(
            float(place["latitude_deg"] or 0), float(place["longitude_deg"] or 0)
        )
        place["timezone"] = guess.name
        notes += [str(guess.note)] if guess.note else []
    location = SheetLocation.read(place, "location")
    if on is None and at is None:
        raise Refused("--date", None, "give a date with --date, a time with --at, or both")
    blocks: dict[str, dict[str, Any]] = {}
    if on is not None:
        blocks["events"] = plain(daylight.events(location, read_date(on)))
    if at is not None:
        blocks["sun"] = plain(daylight.sun_position_at(location, read_moment(at)))
    answer: dict[str, Any] = {}
    for block in blocks.values():
        answer |= {
            **block,
            "assumed": [*dict.fromkeys([*answer.get("assumed", []), *block.get("assumed", [])])],
        }
    if notes:
        answer["notes"] = [*answer.get("notes", []), *notes]
    answer["timezone"] = location.timezone
    if as_json:
        print_json(answer | blocks)
        return
    for key, value in answer.items():
        if value not in (None, [], ()):
            click.echo(f"{key.replace('_', ' ')}: {value}")
