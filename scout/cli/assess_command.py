"""`scout assess`: everything a room sheet allows, with no database."""

from __future__ import annotations

import click

from scout.assess.answers import RoomAssessment
from scout.assess.answers import as_json as plain
from scout.assess.room import assess_room
from scout.cli.common import JSON_OPTION, print_json, read_bytes, read_date, read_moment
from scout.errors import Refused
from scout.records import RoomSheet, read_sheet


@click.command(
    help="Work out daylight, bounce, sound, power and fit from a room sheet (- for standard input). No database is touched."
)
@click.argument("sheet")
@click.option(
    "--date", "on", default=None, help="Local date, YYYY-MM-DD; the date of --at if left out."
)
@click.option(
    "--at",
    "at",
    default=None,
    help="Instant, ISO 8601 with offset: adds the sun's place and its patches.",
)
@JSON_OPTION
def command(sheet: str, on: str | None, at: str | None, as_json: bool) -> None:
    """Assess."""
    read = read_sheet(read_bytes(sheet, "SHEET"))
    moment = read_moment(at) if at is not None else None
    if on is None and moment is None:
        raise Refused("--date", None, "give a date with --date or a time with --at")
    answer = assess_room(read, read_date(on) if on is not None else None, at=moment, in_full=True)
    if as_json:
        print_json(plain(answer))
    else:
        _print(read, answer)


def _print(sheet: RoomSheet, answer: RoomAssessment) -> None:
    place = sheet.location.name if sheet.location and sheet.location.name else "location not named"
    click.echo(
        f"{sheet.room.name or 'Unnamed room'}, {place}, {answer.date} ({answer.timezone or 'time zone not known'})"
    )
    for verdict in answer.verdicts:
        click.echo(f"  {verdict.topic}: {verdict.level}: {verdict.because}")
    for caution in answer.cautions:
        click.echo(f"  caution: {caution}")
