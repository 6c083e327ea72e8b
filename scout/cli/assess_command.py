"""`scout assess`: everything a room sheet allows, with no database."""

from __future__ import annotations

from typing import get_args

import click

from scout.assess.answers import RoomAssessment
from scout.assess.answers import as_json as plain
from scout.assess.room import assess_room
from scout.cli.common import JSON_OPTION, print_json, read_bytes, read_clock, read_date, read_moment
from scout.errors import Refused
from scout.records import RoomSheet, read_sheet
from scout.records.kept import FramingName
from scout.units import Units
from scout.values import Name, Word, said
from scout.words import Reader, current, or_line, reading
from scout.words.figures import room_name

FRAMINGS = get_args(FramingName)


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
@click.option("--from", "from_", default=None, help="When the scene begins there, HH:MM.")
@click.option("--until", default=None, help="When the scene ends there, HH:MM.")
@click.option("--framing", type=click.Choice(FRAMINGS), default=None, help="The scene's framing.")
@click.option("--lens", type=float, default=None, help="The scene's focal length in mm.")
@click.option(
    "--units",
    type=click.Choice(["metric", "feet"]),
    default=None,
    help="How lengths are said; as SILLBOOK_UNITS says if left out.",
)
@click.option("--full", is_flag=True, help="Print every caution, not only how many there are.")
@JSON_OPTION
def command(
    sheet: str,
    on: str | None,
    at: str | None,
    from_: str | None,
    until: str | None,
    framing: str | None,
    lens: float | None,
    units: Units | None,
    full: bool,
    as_json: bool,
) -> None:
    """Assess."""
    read = read_sheet(read_bytes(sheet, "SHEET"))
    moment = read_moment(at) if at is not None else None
    if on is None and moment is None:
        raise Refused("--date", None, said("command.date_or_time"))
    begins = read_clock(from_, "--from") if from_ is not None else None
    ends = read_clock(until, "--until") if until is not None else None
    if begins is not None and begins == ends:
        raise Refused("--until", until, said("command.no_hours"))
    answer = assess_room(
        read,
        read_date(on) if on is not None else None,
        at=moment,
        in_full=True,
        from_time=begins,
        until_time=ends,
        framing=framing,
        focal_length_mm=lens,
    )
    with reading(Reader(units) if units else current()):
        if as_json:
            print_json(plain(answer))
        else:
            if begins is not None and ends is not None and ends < begins:
                click.echo(said("command.next_day", begins=begins, ends=ends), err=True)
            _print(read, answer, full=full)


def _print(sheet: RoomSheet, answer: RoomAssessment, *, full: bool) -> None:
    place = sheet.location.name if sheet.location else None
    click.echo(
        said(
            "command.assessed",
            room=room_name(sheet.room.name),
            place=Name(place) if place else None,
            on=answer.date,
            zone=Name(answer.timezone) if answer.timezone else None,
        )
    )
    told = set[str]()  # what mends several findings is asked for once, below the first
    for finding in answer.findings:
        click.echo(
            f"  {Word('topic', finding.topic):cap}: {Word('level', finding.level)}: {finding}"
        )
        for act in finding.acts:
            line = f"    {Word('role', act.who)}, {act.when}: {act}"
            if line not in told:
                click.echo(line)
            told.add(line)
        for act in finding.instead:
            click.echo(f"    {or_line(act)}")
    if not full and answer.cautions:
        click.echo(f"  {said('look.cautions', n=len(answer.cautions), option=Name('--full'))}")
        return
    for caution in answer.cautions:
        click.echo(f"  {said('look.caution', caution=caution)}")
