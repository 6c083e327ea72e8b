"""What the rooms on record will do: the assessment of a room, its drawings, and the comparison of a
scene's candidates.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import Literal
from zoneinfo import ZoneInfo

from scout.assess import room as whole
from scout.assess.answers import DaylightAnswer, RoomAssessment
from scout.assess.choice.dates import telling
from scout.assess.daylight import findings as daylight
from scout.assess.daylight.place import where as daylight_place
from scout.assess.fit.levels import told_framing
from scout.assess.fit.plan.figures import with_plan
from scout.assess.setup import Setup
from scout.assess.sound.ring import Burst, MeasuredRing, measured_ring
from scout.calc.sound.decay import Decay
from scout.drawing.charts.lux import lux_chart
from scout.drawing.charts.timeline import TimelineRoom, day_timeline
from scout.drawing.lettering import SCREEN_WIDE_MM
from scout.drawing.plan.rim import SunBearing, north_of
from scout.drawing.plan.sheet import room_plan
from scout.drawing.plan.sheets import chosen_lens
from scout.drawing.plan.things import PatchHour
from scout.drawing.shapes import Drawing
from scout.packet.book import DRAWING_WIDTH_MM, PLAN_HEIGHT_MM, PLAN_MOST_MM
from scout.pages.day import planned
from scout.pages.medium import Medium
from scout.pages.once import once
from scout.records import LocationRecord, Marks, RoomSheet, SetupRecord
from scout.records.plan import StagePlan
from scout.records.setups import as_it_will_be, in_common, setups_asked
from scout.store import models, translate
from scout.store.queries import common, jobs, sounds
from scout.store.queries import places as queries
from scout.units import Units
from scout.usecases import lines, noise_windows
from scout.usecases.sheets import sheet_of
from scout.usecases.shown import CandidateLine
from scout.usecases.work import Work

SunKind = Literal["sunrise", "sunset"]
PATCH_HOURS = frozenset({9, 12, 15})
RIM_HOURS = (3, 6, 9, 12, 15, 18, 21)
PRINT_MM = (DRAWING_WIDTH_MM, PLAN_HEIGHT_MM)
READABLE_SCALE = 100.0  # a plan smaller than 1:100 is given more of the page
SCREEN_MM = (SCREEN_WIDE_MM, 160.0)


@dataclass(frozen=True)
class RoomDrawings:
    """The drawings of a room's page."""

    plan: Drawing
    timeline: Drawing
    lux: Drawing | None


def marks_of(row: models.Room) -> Marks | None:
    """The marks of a room, if any are set."""
    return Marks.model_validate(row.marks) if row.marks else None


def default_date(
    work: Work, room_id: int, production_id: int | None = None, scene_id: int | None = None
) -> date:
    """The day to look at: the first shoot date still to come of a production or scene the room is
    proposed for, else its last, else today there.
    """
    row = queries.room_alone(work.db, room_id)
    zone = ZoneInfo(row.location.timezone) if row.location.timezone else ZoneInfo("UTC")
    today = work.now().astimezone(zone).date()
    wanted = [
        day
        for candidate in jobs.candidates(work.db, room_id=room_id)
        if production_id in (None, candidate.scene.production_id)
        and scene_id in (None, candidate.scene_id)
        for day in planned.dates_of(work, candidate.scene, room_id)
    ]
    return jobs.first_coming(wanted, today)


def dates_open(candidate: models.Candidate, today: date) -> tuple[date, ...]:
    """The dates that tell most of those a proposal may still be used on: those of its setups, else
    its scene's; empty where nobody named one.
    """
    own = [row.on for row in translate.alive(candidate.setups) if row.on is not None]
    dates = own or jobs.dates_of(candidate.scene)
    return telling([day for day in dates if day >= today] or dates)


def production_of(work: Work, room_id: int) -> int | None:
    """The production whose kit a room is judged with: the newest it is proposed for."""
    found = [
        candidate.scene.production_id for candidate in jobs.candidates(work.db, room_id=room_id)
    ]
    return max(found) if found else None


def sheet(work: Work, room_id: int, production_id: int | None = None) -> RoomSheet:
    """The room's sheet with the kit of a production; None: of the newest it is proposed for.
    Raises NotFound.
    """
    row = queries.room(work.db, room_id)
    return sheet_of(
        work, row, production_of(work, room_id) if production_id is None else production_id
    )


def proposal(
    work: Work, room_id: int, production_id: int | None = None, scene_id: int | None = None
) -> models.Candidate | None:
    """The proposal that a room is judged for: the scene's, else the newest of the production, else
    the newest of all.
    """
    rows = {row.id: row for row in jobs.candidates(work.db, room_id=room_id)}
    line = chosen([lines.candidate_line(row) for row in rows.values()], production_id, scene_id)
    return None if line is None else rows[line.id]


def chosen(
    candidates: Iterable[CandidateLine], production_id: int | None, scene_id: int | None
) -> CandidateLine | None:
    """The same among the candidates of a room; one that is ruled out only where there is no other."""
    fitting = [
        line
        for line in candidates
        if production_id in (None, line.production_id) and scene_id in (None, line.scene_id)
    ]
    return max(fitting, key=lambda line: (line.state != "ruled_out", line.id), default=None)


def setup_of(
    work: Work,
    room_id: int,
    on: date,
    *,
    production_id: int | None = None,
    scene_id: int | None = None,
) -> Setup:
    """What a room is judged for: the scene it is proposed for with its hours, framing and kept
    plan, or the room alone. Raises NotFound.
    """
    row = queries.room(work.db, room_id)
    candidate = proposal(work, room_id, production_id, scene_id)
    if production_id is None and candidate is not None:
        production_id = candidate.scene.production_id
    return setup_for(work, row, on, candidate, sheet_of(work, row, production_id))


def judged_for(work: Work, setup_id: int, on: date | None = None, *, by_plan: bool = True) -> Setup:
    """What a setup is judged for, with its hours, framing, lens, kit, kept plan, coverings and
    what is switched off. Raises NotFound.

    on: for a setup without a date; None: that of the kept plan, else the first of its scene's
        still to come, else today
    by_plan: with the hours that the kept plan of the days gives it
    """
    row = common.one(work.db, models.Setup, setup_id)
    candidate = row.candidate
    record: SetupRecord = translate.to_record(row)
    day = record.on or on
    if day is None:
        dates = planned.dates_of(work, candidate.scene, candidate.room_id)
        day = jobs.first_coming(dates, work.now().date())
    room = queries.room(work.db, candidate.room_id)
    sheet = sheet_of(work, room, candidate.scene.production_id)
    return setup_for(work, room, day, candidate, sheet, record, by_plan=by_plan)


def setup_for(
    work: Work,
    row: models.Room,
    on: date,
    candidate: models.Candidate | None,
    sheet_: RoomSheet,
    kept: SetupRecord | None = None,
    *,
    by_plan: bool = True,
) -> Setup:
    """The setup of a room's row and one proposal of it, by a sheet with the production's kit.

    kept: which of the proposal's setups; None: what those of the date agree on
    by_plan: with the hours that the kept plan of the days gives it; without it those that it may
        be shot in, as rooms are compared
    """
    kept = kept or (setup_kept(candidate, on) if candidate is not None else SetupRecord())
    plan = StagePlan.read(candidate.plan, "plan") if candidate and candidate.plan else None
    from_time, until_time = (
        time.fromisoformat(text) if text else None for text in (kept.from_time, kept.until_time)
    )
    if by_plan and candidate is not None:
        shot = planned.shot_of(work, candidate.scene.production_id, candidate.scene_id, row.id)
        if shot is not None and shot.on == on:
            from_time, until_time = planned.hours_of(shot) or (None, None)
    off = set(kept.switched_off or ())
    noises = [window.record for window in noise_windows.noise_windows(work, row.location_id)]
    lamps, readings = sheet_.room.practicals or (), sheet_.room.noise or ()
    sheet_ = as_it_will_be(sheet_, kept)
    place: LocationRecord = translate.to_record(row.location)
    return Setup(
        sheet_ if plan is None else with_plan(sheet_, plan),
        on,
        from_time=from_time,
        until_time=until_time,
        framing=kept.framing,
        focal_length_mm=kept.focal_length_mm or (plan.lens_mm if plan is not None else None),
        place=place,
        noises=tuple(noise for noise in noises if noise.what not in off),
        off=(
            *(lamp for lamp in lamps if lamp.id in off),
            *(reading for reading in readings if reading.id in off),
            *(noise for noise in noises if noise.what in off),
        ),
        ring=ring_of(work, row.id),
        in_scene=candidate is not None,
    )


def setup_kept(candidate: models.Candidate, on: date) -> SetupRecord:
    """What the setups of a proposal agree on: those of the date, else those without one, else all;
    what its scene asks for, where all were deleted.
    """
    records: list[SetupRecord] = [
        translate.to_record(row) for row in translate.alive(candidate.setups)
    ] or list(setups_asked(translate.to_record(candidate.scene)))
    for day in (on, None):
        of_day = [record for record in records if record.on == day]
        if of_day:
            return in_common(of_day)
    return in_common(records)


def assess_room(
    work: Work,
    room_id: int,
    on: date,
    *,
    at: datetime | None = None,
    production_id: int | None = None,
    scene_id: int | None = None,
    in_full: bool = False,
) -> RoomAssessment:
    """Everything worked out for a room on a date as a scene uses it, see `setup_of`. Raises
    NotFound.

    in_full: also what takes longer: remedies of colour worked out again, the doubt of the
        surface colours, mixed light
    """
    setup = setup_of(work, room_id, on, production_id=production_id, scene_id=scene_id)
    return assessed(setup, at, in_full)


def lens_of(setup: Setup, found: RoomAssessment) -> float | None:
    """The lens a plan is drawn for: the setup's own, else the one its framing is told with, from
    whose distance the camera is drawn.
    """
    lenses = sorted({view.focal_length_mm for view in found.fit.views})
    asked = setup.focal_length_mm
    told = told_framing(found.fit, setup.framing, asked)
    if asked is None and told is not None and told.row is not None:
        asked = told.row.focal_length_mm
    return chosen_lens(found.fit, lenses, asked)


@once(96)
def assessed(setup: Setup, at: datetime | None = None, in_full: bool = False) -> RoomAssessment:
    """The assessment of a setup."""
    return whole.at_hours(setup, _of_day(whole.hourless(setup)), at=at, in_full=in_full)


@once(32)
def _of_day(setup: Setup) -> RoomAssessment:
    """What a planned hour, a typed one and the whole day ask for alike."""
    return whole.of_day(setup, _light_of_day)


@once(96)
def light_as_set(setup: Setup) -> DaylightAnswer:
    """What the plan of the days asks for alone, and a setup's assessment with all else."""
    return _light_of_day(whole.as_set(setup)[0], setup.on)


_light_of_day = once(96)(whole.light_of_day)


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


def drawings(
    work: Work,
    room_id: int,
    assessment: RoomAssessment,
    *,
    units: Units = "metric",
    for_print: bool = False,
) -> RoomDrawings:
    """The plan with the sun of the day, the day's timeline, and the lux at the mark where it could
    be worked out.
    """
    row = queries.room(work.db, room_id)
    medium = Medium(units, for_print)
    set_as = {"width_mm": PRINT_MM[0] if for_print else SCREEN_MM[0], **medium.letters}
    name = lines.room_name(row)
    timeline = day_timeline(
        assessment.date,
        [TimelineRoom(name, assessment.timezone, assessment.events, assessment.windows)],
        **set_as,
    )
    lux = None
    if any(mark.series for mark in assessment.daylight.marks.values()):
        lux = lux_chart(
            assessment.date,
            name,
            assessment.timezone,
            assessment.events,
            assessment.daylight,
            **set_as,
        )
    return RoomDrawings(_plan(assessment, medium), timeline, lux)


def _plan(assessment: RoomAssessment, medium: Medium) -> Drawing:
    sheet_ = assessment.sheet
    north = north_of(sheet_.room, daylight_place.facings_of(sheet_, assessment.date))
    bearings: Sequence[SunBearing] = ()
    patches: Sequence[PatchHour] = ()
    if north is not None and assessment.timezone is not None:
        hours = local_hours(assessment.date, assessment.timezone, RIM_HOURS)
        bearings, patches = sun_on_plan(assessment, hours, PATCH_HOURS)

    def drawn(size_mm: tuple[float, float]) -> Drawing:
        return room_plan(
            sheet_.room,
            location=sheet_.location,
            marks=sheet_.marks,
            placements=tuple(assessment.placements.values()),
            north=north,
            sun=bearings,
            patches=patches,
            size_mm=size_mm,
            units=medium.units,
            stated_scale=medium.for_print,
            **medium.letters,
        )

    return tidy_plan(drawn) if medium.for_print else drawn(SCREEN_MM)


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


def sun_on_plan(
    found: RoomAssessment,
    hours: Sequence[datetime],
    patch_hours: Container[int] | None = None,
) -> tuple[Sequence[SunBearing], Sequence[PatchHour]]:
    """The sun for the rim of a plan at some instants, at its rise and set, and what of it falls
    into the room.

    patch_hours: of the instants, those whose patches are drawn; None: all
    """
    bearings, patches = [], []
    for hour in hours:
        sun, fallen = daylight.sun_at(found.sheet, hour)
        if sun.elevation_deg is not None and sun.azimuth_deg is not None and sun.elevation_deg > 0:
            bearings.append(SunBearing(f"{hour:%H:%M}", sun.azimuth_deg))
        if (patch_hours is None or hour.hour in patch_hours) and any(row.patches for row in fallen):
            patches.append(PatchHour(f"{hour:%H:%M}", fallen))
    ends: tuple[tuple[datetime | None, SunKind], ...] = (
        (found.events.sunrise, "sunrise"),
        (found.events.sunset, "sunset"),
    )
    for moment, kind in ends:
        azimuth = (
            daylight.sun_at(found.sheet, moment)[0].azimuth_deg if moment is not None else None
        )
        if moment is not None and azimuth is not None:
            bearings.append(SunBearing(f"{moment:%H:%M}", azimuth, kind))
    return bearings, patches


def local_hours(on: date, zone: str, hours: Sequence[int]) -> tuple[datetime, ...]:
    """Full hours of a local date as instants; an hour the clocks skip is left out."""
    local = ZoneInfo(zone)
    made = [datetime(on.year, on.month, on.day, hour, tzinfo=local) for hour in hours]
    return tuple(
        moment
        for moment in made
        if moment.astimezone(UTC).astimezone(local).replace(tzinfo=None)
        == moment.replace(tzinfo=None)
    )
