"""Everything worked out for one room on one date: the capabilities called in the order in which
they feed each other.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from scout.assess.answers import (
    BlockNote,
    DaylightAnswer,
    EventsAnswer,
    Finding,
    FitAnswer,
    Placement,
    RoomAssessment,
    WindowSunAnswer,
    unmeasured,
    with_kit_asked,
    without_rivals,
    worst_first,
)
from scout.assess.bounce import bounce, surround
from scout.assess.bounce import doubt as bounce_doubt
from scout.assess.bounce import findings as bounce_verdicts
from scout.assess.bounce import mixed as bounce_mixed
from scout.assess.bounce import remedies as bounce_remedies
from scout.assess.bounce import windows as bounce_windows
from scout.assess.choice import findings as choice_findings
from scout.assess.daylight import findings as daylight
from scout.assess.fit import findings as fit_findings
from scout.assess.fit import fit
from scout.assess.fit.light import exposure as fit_exposure
from scout.assess.fit.light.strength import once_shut
from scout.assess.fit.plan import ways as fit_ways
from scout.assess.power import findings as power_findings
from scout.assess.power import power
from scout.assess.setup import Setup
from scout.assess.sound import findings as sound_findings
from scout.assess.sound import sound
from scout.assess.sound.ring import MeasuredRing
from scout.assess.stage.views import scene_lens
from scout.calc import timezones
from scout.calc.daylight.place.local_date import FIRST_YEAR, LAST_YEAR
from scout.errors import Refused
from scout.records.sheet import Kit, RoomSheet
from scout.values import Figure, Name, Said, said

FAMILIES = (
    daylight.findings,
    bounce_verdicts.findings,
    sound_findings.findings,
    power_findings.findings,
    fit_findings.findings,
    choice_findings.findings,
)

CAUTION_BREAKER = said("caution.figures")


def assess_room(
    sheet: RoomSheet,
    on: date | None,
    *,
    at: datetime | None = None,
    in_full: bool = False,
    ring: MeasuredRing | None = None,
    **setup: Any,
) -> RoomAssessment:
    """The whole assessment of a room sheet; `setup` are the further fields of a Setup.

    on: the local date; None takes the date of `at` where the room stands
    Raises Refused when neither is given, when both do not agree, or for a time out of reach.
    """
    zone = _with_zone(sheet)[0].location
    on = _local_date(on, at, zone.timezone if zone is not None else None)
    return assess_setup(Setup(sheet, on, ring=ring, **setup), at=at, in_full=in_full)


def assess_setup(
    setup: Setup, *, at: datetime | None = None, in_full: bool = False
) -> RoomAssessment:
    """The whole assessment of a setup. A time zone that is not recorded is looked up from the
    coordinates, and said.

    at: an instant, for the sun's place and its patches
    in_full: also what takes longer: remedies of colour worked out again, the doubt of the
        surface colours, daylight in colour, mixed light
    """
    return at_hours(setup, of_day(hourless(setup)), at=at, in_full=in_full)


def hourless(setup: Setup) -> Setup:
    """The setup without its hours and what is heard in them: for all setups that differ in these
    alone, `of_day` is the same.
    """
    return replace(setup, from_time=None, until_time=None, place=None, noises=(), off=(), ring=None)


def light_of_day(sheet: RoomSheet, on: date) -> DaylightAnswer:
    """The daylight at a room's marks on a date."""
    return daylight.marks(_with_zone(sheet)[0], on)


def as_set(setup: Setup) -> tuple[RoomSheet, float | None]:
    """The sheet with the camera where the setup's acts put it, and how far its mark is from the
    subject's [m]: daylight falls on the face that this camera sees.
    """
    return fit.as_set(_with_zone(setup.sheet)[0], setup.framing, setup.focal_length_mm)


def sun_of_day(sheet: RoomSheet, on: date) -> tuple[str | None, EventsAnswer]:
    """The time zone of a room's place, looked up where none is recorded, and the sun's day there."""
    sheet, zone_words = _with_zone(sheet)
    events = daylight.events(sheet.location, on)
    zone = sheet.location.timezone if sheet.location is not None else None
    return zone, replace(events, assumed=(*events.assumed, *zone_words))


def of_day(
    setup: Setup, light_of: Callable[[RoomSheet, date], DaylightAnswer] = light_of_day
) -> RoomAssessment:
    """What of a setup is the same at any hours of its date; nothing is judged yet. `light_of`:
    `light_of_day`, or what has its answers already.
    """
    zone, events = sun_of_day(setup.sheet, setup.on)
    sheet, mark_m = as_set(setup)
    setup, on = replace(setup, sheet=sheet), setup.on
    light = light_of(sheet, on)
    plan: FitAnswer = fit.fit(
        sheet,
        light,
        framing=setup.framing,
        focal_length_mm=setup.focal_length_mm,
        mark_distance_m=mark_m,
    )
    placed: Mapping[str, Placement] = fit.placements(sheet, plan)
    windows = daylight.windows(sheet, on)
    bounced, around = bounce.bounce(sheet, placed), surround.surround(sheet, placed)
    return RoomAssessment(
        date=on,
        sheet=sheet,
        timezone=zone,
        events=events,
        windows=windows,
        daylight=light,
        bounce=bounced,
        surround=around,
        sound=sound.sound(setup),
        power=power.power(sheet, placed),
        fit=plan,
        findings=(),
        cautions=_cautions(sheet),
        placements=placed,
        ways=fit_ways.ways(sheet, plan, light, bounced),
        blocks={**bounce.notes(sheet), "windows": _windows_note(sheet, windows)},
    )


def at_hours(
    setup: Setup, day: RoomAssessment, *, at: datetime | None = None, in_full: bool = False
) -> RoomAssessment:
    """The whole assessment of a setup from what `of_day` found for it."""
    sheet, setup = day.sheet, replace(setup, sheet=day.sheet)
    sun, patches = daylight.sun_at(sheet, at) if at is not None else (None, None)
    found = replace(
        day,
        fit=replace(day.fit, exposure=fit_exposure.exposure(setup, day.fit, day.daylight)),
        sound=sound.sound(setup),
        sun=sun,
        sun_patches=patches,
    )
    if in_full:
        return deepened(setup, found, at=at)
    return replace(found, findings=judged(setup, found))


def judged(setup: Setup, found: RoomAssessment) -> tuple[Finding, ...]:
    """What every family finds for the setup, worst first; of acts that exclude each other one."""
    every = worst_first(finding for family in FAMILIES for finding in family(setup, found))
    every = once_shut(setup, found, every)
    return without_rivals(
        with_kit_asked(every, has_kit=setup.sheet.kit is not None, in_scene=setup.in_scene)
    )


def deepened(setup: Setup, found: RoomAssessment, *, at: datetime | None = None) -> RoomAssessment:
    """The assessment of this setup with what takes longer: remedies of colour worked out again, the
    doubt of the surface colours, mixed light.
    """
    sheet, setup = found.sheet, replace(setup, sheet=found.sheet)
    bounced, around = bounce_doubt.doubted(sheet, found.placements, found.bounce, found.surround)
    daylit, note = bounce_windows.window_surround(
        sheet, found.date, found.daylight, at, setup.within
    )
    overcast, clear = bounce_mixed.mixed_light(
        sheet,
        found.placements,
        found.daylight,
        at,
        skies=("overcast", "clear"),
        on=found.date,
        within=setup.within,
    )
    blocks = {**found.blocks, "window_surround": note}
    for name, rows in (("bounce", bounced), ("surround", around)):
        if any(row.doubt for row in rows):
            blocks[name] = replace(
                blocks[name], assumed=(*blocks[name].assumed, bounce_doubt.ASSUMED)
            )
    found = replace(
        found,
        bounce=bounced,
        surround=around,
        remedies=bounce_remedies.remedies(
            sheet,
            found.placements,
            bounced,
            around,
            daylit=daylit,
            on=found.date,
            lens=scene_lens(sheet, found.fit.judged_mm),
        ),
        mixed=overcast,
        mixed_clear=clear if clear.window_cct_k is not None else None,
        window_surround=daylit,
        blocks=blocks,
    )
    return replace(found, findings=judged(setup, found))


def with_kit(sheet: RoomSheet, kit: Kit | None) -> RoomSheet:
    """The sheet with another kit."""
    return sheet.model_copy(update={"kit": kit})


def _with_zone(sheet: RoomSheet) -> tuple[RoomSheet, tuple[Said, ...]]:
    """The sheet with the time zone of its coordinates where it names none, and what is to be said
    of that.
    """
    place = sheet.location
    if (
        place is None
        or place.timezone is not None
        or place.latitude_deg is None
        or place.longitude_deg is None
    ):
        return sheet, ()
    guess = timezones.zone_at(place.latitude_deg, place.longitude_deg)
    if guess.name is None:
        return sheet, (guess.note,) if guess.note else ()
    named = place.model_copy(update={"timezone": guess.name})
    taken = said("room.zone_taken", zone=Name(guess.name), note=guess.note)
    return sheet.model_copy(update={"location": named}), (taken,)


def _local_date(on: date | None, at: datetime | None, zone: str | None) -> date:
    if at is None:
        if on is None:
            raise Refused("date", None, said("refusal.date_or_time"))
        return on
    if not FIRST_YEAR <= at.year <= LAST_YEAR:
        first, last = Figure(FIRST_YEAR), Figure(LAST_YEAR)
        raise Refused("at", at.isoformat(), said("refusal.years", first=first, last=last))
    there = (at.astimezone(ZoneInfo(zone)) if zone else at).date()
    if on is not None and on != there:
        raise Refused("at", at.isoformat(), said("refusal.other_date", there=there, on=on))
    return there


def _cautions(sheet: RoomSheet) -> tuple[Said, ...]:
    """The usual cautions that this room and this kit call for."""
    lights = sheet.kit is not None and bool(sheet.kit.lights)
    found: list[Any] = [CAUTION_BREAKER]
    if lights or sheet.room.circuits or sheet.room.outlets:
        found += power.CAUTIONS
    found += fit.CAUTIONS
    if sheet.room.setting == "exterior" or sheet.room.windows:
        found += daylight.CAUTIONS
    return tuple(dict.fromkeys(found))


def _windows_note(sheet: RoomSheet, windows: tuple[WindowSunAnswer, ...]) -> BlockNote:
    """Why there are no windows, where there are none."""
    missing = sheet.room.windows is None and sheet.room.setting != "exterior" and not windows
    return BlockNote(unknown=unmeasured("room.windows") if missing else None)
