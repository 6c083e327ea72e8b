"""`scout daylight`: what an assessment does not wait for: faces against windows, what the sun
touches, steady light, the floor, the year.
"""

from __future__ import annotations

from datetime import date, timedelta

import click

from scout.assess.answers import Interval
from scout.assess.answers import as_json as plain
from scout.assess.daylight.contrast import ContrastAnswer, window_contrast
from scout.assess.daylight.grid import DaylightGrid, daylight_grid
from scout.assess.daylight.outdoors import SunAsLight, sun_as_light
from scout.assess.daylight.touch import SunTouches, sun_touches
from scout.assess.daylight.year import SteadyAnswer, YearCarpet, steady_blocks, year_carpet
from scout.cli.common import JSON_OPTION, print_json, read_bytes, read_date
from scout.errors import Refused
from scout.records import read_sheet
from scout.units import parse_number
from scout.values import said


@click.command(
    help="Look closer at the daylight of a room sheet (- for standard input). No database is touched."
)
@click.argument("sheet")
@click.option("--date", "on", required=True, help="Local date, YYYY-MM-DD.")
@click.option(
    "--until",
    default=None,
    help="Last date of the range searched for steady light; --date alone if left out.",
)
@click.option(
    "--minutes",
    default="60",
    show_default=True,
    help="A block of steady light lasts so long at least.",
)
@click.option(
    "--stops",
    default="0.5",
    show_default=True,
    help="Steady: brightest over dimmest instant within so many stops.",
)
@click.option(
    "--grid",
    "grid",
    default=None,
    help="Add daylight factors over the plan, cells so wide in metres.",
)
@click.option(
    "--year",
    is_flag=True,
    help="Add the year's carpet: direct sun and enough light, day by time of day.",
)
@JSON_OPTION
def command(
    sheet: str,
    on: str,
    until: str | None,
    minutes: str,
    stops: str,
    grid: str | None,
    year: bool,
    as_json: bool,
) -> None:
    """Look closer."""
    try:
        _look(
            sheet,
            on,
            until,
            parse_number(minutes, name="--minutes"),
            parse_number(stops, name="--stops"),
            None if grid is None else parse_number(grid, name="--grid"),
            year=year,
            as_json=as_json,
        )
    except Refused as refusal:
        raise Refused(
            OPTIONS.get(refusal.path, refusal.path), refusal.given, refusal.because
        ) from None


MOST_DAYS = 400
OPTIONS = {
    "least_min": "--minutes",
    "within_stops": "--stops",
    "step_m": "--grid",
    "date": "--date",
    "year": "--date",
}


def _look(
    sheet: str,
    on: str,
    until: str | None,
    minutes: float,
    stops: float,
    step_m: float | None,
    *,
    year: bool,
    as_json: bool,
) -> None:
    read = read_sheet(read_bytes(sheet, "SHEET"))
    first = read_date(on)
    last = read_date(until, "--until") if until is not None else first
    if last < first:
        raise Refused("--until", until, said("command.before_date", on=first))
    if (last - first).days > MOST_DAYS:
        raise Refused("--until", until, said("command.too_many_days", most=MOST_DAYS))
    dates = [first + timedelta(days=k) for k in range((last - first).days + 1)]
    outdoors = read.room.setting == "exterior"
    touched, steady = (
        sun_touches(read, first),
        steady_blocks(read, dates, least_min=minutes, within_stops=stops),
    )
    contrast = None if outdoors else window_contrast(read, first)
    light = sun_as_light(read, first) if outdoors else None
    floor = None if step_m is None else daylight_grid(read, step_m, on=first)
    carpet = year_carpet(read, first.year) if year else None
    if as_json:
        print_json(
            plain(
                {
                    "date": first,
                    "sun_touches": touched,
                    "contrast": contrast,
                    "sun_as_light": light,
                    "steady": steady,
                    "grid": floor,
                    "year": carpet,
                }
            )
        )
        return
    click.echo(f"{read.room.name or 'Unnamed room'}, {first}")
    for line in (
        *_touched(touched),
        *_contrast(contrast),
        *_outdoors(light),
        *_steady(steady, first, last),
        *_grid(floor),
        *_year(carpet),
    ):
        click.echo(f"  {line}")


def _touched(answer: SunTouches) -> list[str]:
    lines = []
    for name, row in (
        ("the subject", answer.subject),
        ("the lens", answer.lens),
        ("the background in frame", answer.background),
    ):
        lines.append(
            f"direct sun on {name}: "
            + (f"unknown, {row.unknown}" if row.unknown else _spells(row.spells))
        )
    return [*lines, *(f"caution: {words}" for words in answer.cautions)]


def _contrast(answer: ContrastAnswer | None) -> list[str]:
    if answer is None:
        return []
    if answer.unknown is not None:
        return [f"windows against the face: unknown, {answer.unknown}"]
    return [
        str(row.said or "") or f"{row.window}: unknown, {row.unknown}" for row in answer.windows
    ] or ["no window is in frame"]


def _outdoors(answer: SunAsLight | None) -> list[str]:
    if answer is None:
        return []
    if answer.unknown is not None:
        return [f"the sun as light: unknown, {answer.unknown}"]
    rows = (
        ("key from the left", answer.key_left),
        ("key from the right", answer.key_right),
        ("flat", answer.flat),
        ("back light", answer.back),
        ("hidden by the skyline", answer.shade),
    )
    return [f"the sun is {name}: {_spells(spells)}" for name, spells in rows]


def _steady(answer: SteadyAnswer, first: date, last: date) -> list[str]:
    if answer.unknown is not None and not answer.blocks:
        return [f"steady light: unknown, {answer.unknown}"]
    lines = []
    for block in answer.blocks:
        enough = "" if block.enough is None else ", enough" if block.enough else ", not enough"
        told = f"{block.change_stops:.2f} stops, {block.least_lux:.0f} to {block.most_lux:.0f} lux{enough}"
        lines.append(
            f"steady light on {block.on}: {block.start:%H:%M} to {block.end:%H:%M}, {told}"
        )
    return lines or [
        f"no {answer.least_min:g} minutes within {answer.within_stops:g} stops from {first} to {last}"
    ]


def _grid(answer: DaylightGrid | None) -> list[str]:
    if answer is None:
        return []
    if answer.mean_pct is None:
        return [f"daylight factor: unknown, {answer.unknown}"]
    return [
        f"daylight factor {answer.height_m:g} m above the floor: {answer.least_pct:.2f} to {answer.most_pct:.2f} %, mean {answer.mean_pct:.2f}"
    ]


def _year(answer: YearCarpet | None) -> list[str]:
    if answer is None:
        return []
    if answer.sun_on_mark is None:
        return [f"the year: unknown, {answer.unknown}"]
    lines = [
        f"{answer.year}: {answer.hours(answer.sun_on_mark):.0f} hours in which direct sun reaches the subject, were the sky clear"
    ]
    for name, cells in (("an overcast", answer.enough_overcast), ("a clear", answer.enough_clear)):
        told = f"unknown, {answer.unknown}" if cells is None else f"{answer.hours(cells):.0f} hours"
        lines.append(f"{answer.year}: enough light under {name} sky: {told}")
    return lines


def _spells(spells: tuple[Interval, ...]) -> str:
    return ", ".join(f"{start:%H:%M} to {end:%H:%M}" for start, end in spells) or "none"
