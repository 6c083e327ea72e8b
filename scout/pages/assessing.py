"""What the rooms on record will do: the assessment of a room, its drawings, and the comparison of a
scene's candidates.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import lru_cache
from zoneinfo import ZoneInfo

from scout.assess import room as whole
from scout.assess.answers import RoomAssessment
from scout.assess.daylight import findings as daylight
from scout.assess.daylight import place as daylight_place
from scout.assess.setup import Setup
from scout.assess.sound.ring import Burst, MeasuredRing, measured_ring
from scout.calc.sound.decay import Decay
from scout.drawing.charts.lux import lux_chart
from scout.drawing.charts.timeline import TimelineRoom, day_timeline
from scout.drawing.lettering import PRINT_TEXT_MM, SCREEN_TEXT_MM, TextWidth, helvetica_width
from scout.drawing.plan.rim import North, SunBearing
from scout.drawing.plan.sheet import room_plan
from scout.drawing.plan.things import PatchHour
from scout.drawing.shapes import Drawing
from scout.packet.build import DRAWING_WIDTH_MM, PLAN_HEIGHT_MM, PLAN_MOST_MM
from scout.packet.setting.text import letter_width
from scout.records import Marks, RoomSheet
from scout.store import models
from scout.store.queries import jobs, sounds
from scout.store.queries import places as queries
from scout.units import Units
from scout.usecases import lines
from scout.usecases.sheets import sheet_of
from scout.usecases.work import Work

PATCH_HOURS = frozenset({9, 12, 15})
RIM_HOURS = (3, 6, 9, 12, 15, 18, 21)
PRINT_MM = (DRAWING_WIDTH_MM, PLAN_HEIGHT_MM)
READABLE_SCALE = 100.0  # a plan smaller than 1:100 is given more of the page
SCREEN_MM = (112.0, 160.0)  # at 390 px of a phone the letters come out at 12 px


@dataclass(frozen=True)
class RoomDrawings:
    """The drawings of a room's page."""

    plan: Drawing
    timeline: Drawing
    lux: Drawing | None


def marks_of(row: models.Room) -> Marks | None:
    """The marks of a room, if any are set."""
    return Marks.model_validate(row.marks) if row.marks else None


def default_date(work: Work, room_id: int, production_id: int | None = None) -> date:
    """The day to look at: the first shoot date still to come of a production the room is proposed
    for, else its last, else today there.
    """
    row = queries.room_alone(work.db, room_id)
    zone = ZoneInfo(row.location.timezone) if row.location.timezone else ZoneInfo("UTC")
    today = work.now().astimezone(zone).date()
    wanted: list[date] = []
    for candidate in jobs.candidates(work.db, room_id=room_id):
        if production_id is not None and candidate.scene.production_id != production_id:
            continue
        wanted += dates_of(candidate.scene)
    return first_coming(wanted, today)


def dates_of(scene: models.Scene) -> list[date]:
    """The dates a scene names itself, else its production's shoot dates."""
    own = [
        date.fromisoformat(day)
        for need in scene.needs or ()
        if need["topic"] == "when"
        for day in need["dates"]
    ]
    return own or [date.fromisoformat(day) for day in scene.production.shoot_dates or ()]


def first_coming(dates: Sequence[date], today: date) -> date:
    """The first of some dates that is still to come, else the last of them, else today."""
    coming = sorted(day for day in dates if day >= today)
    return coming[0] if coming else max(dates, default=today)


def production_of(work: Work, room_id: int) -> int | None:
    """The production whose kit a room is judged with: the newest it is proposed for."""
    found = [
        candidate.scene.production_id for candidate in jobs.candidates(work.db, room_id=room_id)
    ]
    return max(found) if found else None


def sheet(work: Work, room_id: int, production_id: int | None = None) -> RoomSheet:
    """The room's sheet with a production's kit."""
    return sheet_of(work, queries.room(work.db, room_id), production_id)


def assess_room(
    work: Work,
    room_id: int,
    on: date,
    *,
    at: datetime | None = None,
    production_id: int | None = None,
    in_full: bool = False,
) -> RoomAssessment:
    """Everything worked out for a room on a date, with the kit of a production (None: the newest it
    is proposed for). Raises NotFound.

    in_full: also what takes longer: remedies of colour worked out again, the doubt of the
        surface colours, mixed light
    """
    row = queries.room(work.db, room_id)
    production_id = production_id if production_id is not None else production_of(work, room_id)
    return assessed_sheet(
        sheet_of(work, row, production_id), on, at=at, in_full=in_full, ring=ring_of(work, room_id)
    )


def assessed_sheet(
    sheet_: RoomSheet,
    on: date,
    *,
    at: datetime | None = None,
    in_full: bool = False,
    ring: MeasuredRing | None = None,
) -> RoomAssessment:
    """The same of a sheet at hand, such as one with a plan drawn by hand in place of its marks;
    ring: how its room rings, as measured.
    """
    return assessed(json.dumps(sheet_.plain(), sort_keys=True), on, at, in_full, ring)


def ring_of(work: Work, room_id: int) -> MeasuredRing | None:
    """How the room rings by the bursts recorded in it; None where none is measured."""
    return measured_ring(
        [
            Burst(
                row.original_name,
                tuple(
                    Decay(**{**band, "flags": tuple(band["flags"])})
                    for band in row.measured["decays"]
                ),
            )
            for row in sounds.recordings(work.db, room_id)
            if row.purpose == "burst" and row.measured and row.measured.get("decays")
        ]
    )


@lru_cache(maxsize=96)
def assessed(
    sheet_text: str, on: date, at: datetime | None, in_full: bool, ring: MeasuredRing | None
) -> RoomAssessment:
    """The assessment of a sheet, worked out once as long as not a letter of it changes: a page, its
    drawings and a comparison ask for the same.

    Give every argument, in order: the cache takes a call with a name in it, or one left out,
        for another.
    """
    if in_full:
        return whole.deepened(
            Setup(RoomSheet.model_validate_json(sheet_text), on, ring=ring),
            assessed(sheet_text, on, at, False, ring),
            at=at,
        )
    return whole.assess_room(RoomSheet.model_validate_json(sheet_text), on, at=at, ring=ring)


def drawings(
    work: Work,
    room_id: int,
    assessment: RoomAssessment,
    *,
    units: Units = "metric",
    for_print: bool = False,
    sheet_: RoomSheet | None = None,
) -> RoomDrawings:
    """The plan with the sun of the day, the day's timeline, and the lux at the mark where it could
    be worked out; `sheet_`: to go by, else the room's own.
    """
    row = queries.room(work.db, room_id)
    text_mm = PRINT_TEXT_MM if for_print else SCREEN_TEXT_MM
    width_mm = PRINT_MM[0] if for_print else SCREEN_MM[0]
    text_width = letter_width() if for_print else helvetica_width
    name = lines.room_name(row)
    timeline = day_timeline(
        assessment.date,
        [TimelineRoom(name, assessment.timezone, assessment.events, assessment.windows)],
        width_mm=width_mm,
        text_mm=text_mm,
        text_width=text_width,
    )
    return RoomDrawings(
        _plan(
            made := sheet_ or sheet_of(work, row),
            made.marks,
            assessment,
            units,
            text_width,
            for_print=for_print,
        ),
        timeline,
        _lux(name, assessment, width_mm, text_mm, text_width),
    )


def _lux(
    name: str, assessment: RoomAssessment, width_mm: float, text_mm: float, text_width: TextWidth
) -> Drawing | None:
    if not any(mark.series for mark in assessment.daylight.marks.values()):
        return None
    return lux_chart(
        assessment.date,
        name,
        assessment.timezone,
        assessment.events,
        assessment.daylight,
        width_mm=width_mm,
        text_mm=text_mm,
        text_width=text_width,
    )


def north_of(sheet_: RoomSheet, on: date) -> North | None:
    """North as a plan shows it: corrected where the reading names its north and the place is known."""
    facing, facings = sheet_.room.facing, daylight_place.facings_of(sheet_, on)
    if facing is None or facing.wall not in facings.true_deg:
        return None
    return North(
        facing.wall,
        facings.true_deg[facing.wall],
        facing.north in ("true", "magnetic"),
        facings.doubt_deg,
    )


def _plan(
    sheet_: RoomSheet,
    marks: Marks | None,
    assessment: RoomAssessment,
    units: Units,
    text_width: TextWidth,
    *,
    for_print: bool,
) -> Drawing:
    north = north_of(sheet_, assessment.date)
    bearings, patches = [], []
    if north is not None and assessment.timezone is not None:
        for hour in _hours(assessment.date, assessment.timezone):
            sun, fallen = daylight.sun_at(sheet_, hour)
            if (
                sun.elevation_deg is not None
                and sun.azimuth_deg is not None
                and sun.elevation_deg > 0
            ):
                bearings.append(SunBearing(f"{hour:%H:%M}", sun.azimuth_deg))
            if hour.hour in PATCH_HOURS and any(row.patches for row in fallen):
                patches.append(PatchHour(f"{hour:%H:%M}", fallen))
        for kind, moment in (
            ("sunrise", assessment.events.sunrise),
            ("sunset", assessment.events.sunset),
        ):
            azimuth = daylight.sun_at(sheet_, moment)[0].azimuth_deg if moment is not None else None
            if moment is not None and azimuth is not None:
                bearings.append(
                    SunBearing(
                        f"{moment:%H:%M}", azimuth, "sunrise" if kind == "sunrise" else "sunset"
                    )
                )

    def drawn(size_mm: tuple[float, float]) -> Drawing:
        return room_plan(
            sheet_.room,
            location=sheet_.location,
            marks=marks,
            placements=tuple(assessment.placements.values()),
            north=north,
            sun=bearings,
            patches=patches,
            size_mm=size_mm,
            units=units,
            text_mm=PRINT_TEXT_MM if for_print else SCREEN_TEXT_MM,
            text_width=text_width,
            stated_scale=for_print,
        )

    return tidy_plan(drawn) if for_print else drawn(SCREEN_MM)


def tidy_plan(
    drawn: Callable[[tuple[float, float]], Drawing],
    size_mm: tuple[float, float] = PRINT_MM,
    readable: float = READABLE_SCALE,
) -> Drawing:
    """The plan for paper: at the scale it has on part of a page, on more of the page where that is
    under 1:100, and no higher than that takes.
    """
    plan = drawn(size_mm)
    if plan.scale is not None and plan.scale > readable:
        plan = drawn((DRAWING_WIDTH_MM, PLAN_MOST_MM))
    while plan.scale is not None:
        lower = drawn((DRAWING_WIDTH_MM, plan.height_mm - 1.0))
        if lower.scale != plan.scale or lower.height_mm >= plan.height_mm:
            break
        plan = lower
    return plan


def _hours(on: date, zone: str) -> list[datetime]:
    """Every second hour of the local day, as instants; an hour the clocks skip is left out."""
    local = ZoneInfo(zone)
    made = [datetime(on.year, on.month, on.day, hour, tzinfo=local) for hour in RIM_HOURS]
    return [
        moment
        for moment in made
        if moment.astimezone(UTC).astimezone(local).replace(tzinfo=None)
        == moment.replace(tzinfo=None)
    ]
