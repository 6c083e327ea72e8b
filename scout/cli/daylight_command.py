"""`scout daylight`: what an assessment does not wait for: faces against windows, what the sun
touches, steady light, the floor, the year.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, date, datetime, time, timedelta

import click

from scout.assess.answers import Interval
from scout.assess.answers import as_json as plain
from scout.assess.daylight.mark.contrast import ContrastAnswer, window_contrast
from scout.assess.daylight.mark.grid import DaylightGrid, daylight_grid
from scout.assess.daylight.place.where import place_of
from scout.assess.daylight.sun.outdoors import ReflectorAim, SunAsLight, reflector, sun_as_light
from scout.assess.daylight.sun.touch import SunTouches, sun_touches
from scout.assess.daylight.sun.year import SteadyAnswer, YearCarpet, steady_blocks, year_carpet
from scout.cli.common import JSON_OPTION, by_option, print_json, read_bytes, read_clock, read_date
from scout.errors import Refused
from scout.records import read_sheet
from scout.records.sheet import RoomSheet
from scout.units import parse_number
from scout.values import Figure, Name, Said, Spell, Value, Word, said
from scout.words.figures import room_name, spell_list


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
@click.option(
    "--reflector",
    "reflector_at",
    default=None,
    help="Outdoors: where a reflector stands and points at this time, HH:MM by the place's clocks.",
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
    reflector_at: str | None,
    as_json: bool,
) -> None:
    """Look closer."""
    with by_option(OPTIONS):
        _look(
            sheet,
            on,
            until,
            parse_number(minutes, name="--minutes"),
            parse_number(stops, name="--stops"),
            None if grid is None else parse_number(grid, name="--grid"),
            year=year,
            at=None if reflector_at is None else read_clock(reflector_at, "--reflector"),
            as_json=as_json,
        )


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
    at: time | None,
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
    aim = None if at is None else _aim(read, first, at)
    if as_json:
        print_json(
            plain(
                {
                    "date": first,
                    "sun_touches": touched,
                    "contrast": contrast,
                    "sun_as_light": light,
                    "reflector": aim,
                    "steady": steady,
                    "grid": floor,
                    "year": carpet,
                }
            )
        )
        return
    click.echo(
        said("command.assessed", room=room_name(read.room.name), place=None, on=first, zone=None)
    )
    for line in (
        *_touched(touched),
        *_contrast(contrast),
        *_outdoors(light),
        *_reflector(aim),
        *_steady(steady, first, last),
        *_grid(floor),
        *_year(carpet),
    ):
        click.echo(f"  {line:cap}")


def _touched(answer: SunTouches) -> list[Said]:
    lines = [
        said("look.touched", thing=Word("touched", row.what), when=_when(row.spells, row.unknown))
        for row in (answer.subject, answer.lens, answer.background)
    ]
    return [*lines, *answer.cautions]


def _when(spells: Iterable[Interval], unknown: Said | None) -> Value:
    if unknown is not None:
        return said("value.why", why=unknown)
    return spell_list(spells) or Word("value", "none")


def _contrast(answer: ContrastAnswer | None) -> list[Said]:
    if answer is None:
        return []
    if answer.unknown is not None:
        return [said("look.contrast_unknown", why=answer.unknown)]
    return [
        row.said or said("drawing.window_unknown", window=Name(row.window), why=row.unknown)
        for row in answer.windows
    ] or [said("drawing.no_window_in_frame")]


def _outdoors(answer: SunAsLight | None) -> list[Said]:
    if answer is None:
        return []
    return [
        said(
            "look.sun_is",
            way=Word("sun_as", way),
            when=_when(getattr(answer, way), answer.unknown),
        )
        for way in ("key_left", "key_right", "flat", "back", "shade")
    ]


def _aim(sheet: RoomSheet, on: date, at: time) -> ReflectorAim:
    """The reflector at a time by the place's clocks; without a place no time is known either."""
    return reflector(sheet, datetime.combine(on, at, tzinfo=place_of(sheet.location).zone or UTC))


def _reflector(aim: ReflectorAim | None) -> list[Said]:
    if aim is None:
        return []
    if aim.unknown is not None or aim.distance_m is None:
        return [said("look.reflector_unknown", why=aim.unknown or said("value.missing"))]
    return [
        said(
            "look.reflector",
            away=Figure(aim.distance_m, "m"),
            bearing=Figure(aim.azimuth_deg or 0.0, "deg"),
            tilt=Figure(aim.tilt_deg or 0.0, "deg"),
            again=None if aim.reaim_min is None else Figure(aim.reaim_min, "min"),
        ),
        *aim.cautions,
    ]


def _steady(answer: SteadyAnswer, first: date, last: date) -> list[Said]:
    if answer.unknown is not None and not answer.blocks:
        return [said("look.steady_unknown", why=answer.unknown)]
    least, within = Figure(answer.least_min, "min"), Figure(answer.within_stops, "stops")
    return [
        said(
            "look.steady",
            on=block.on,
            spell=Spell(block.start, block.end),
            change=Figure(block.change_stops, "stops"),
            lux=Figure(block.least_lux, "lux", block.least_lux, block.most_lux),
            enough=None
            if block.enough is None
            else Word("claim", "enough" if block.enough else "not_enough"),
        )
        for block in answer.blocks
    ] or [said("look.never_steady", least=least, within=within, first=first, last=last)]


def _grid(answer: DaylightGrid | None) -> list[Said]:
    if answer is None:
        return []
    if answer.mean_pct is None:
        return [said("look.factor_unknown", why=answer.unknown)]
    mean = answer.mean_pct
    return [
        said(
            "look.factor",
            height=Figure(answer.height_m, "m"),
            span=Figure(mean, "%", answer.least_pct, answer.most_pct),
            mean=Figure(mean, "%"),
        )
    ]


def _year(answer: YearCarpet | None) -> list[Said]:
    if answer is None:
        return []
    rows = (
        (said("year.sun_on_mark", mark=Word("mark", "subject")), answer.sun_on_mark),
        (said("year.enough_overcast"), answer.enough_overcast),
        (said("year.enough_clear"), answer.enough_clear),
    )
    year = Name(str(answer.year))
    return [
        said(
            "look.year",
            year=year,
            what=what,
            hours=said("value.why", why=answer.unknown)
            if cells is None
            else Figure(answer.hours(cells), "h"),
        )
        for what, cells in rows
    ]
