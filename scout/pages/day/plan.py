"""A production's days: when each scene is shot, who is called when, what clashes; the plan that was
kept, else the best that can be found. Nothing is kept here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from scout.assess.answers import Act, EventsAnswer
from scout.assess.day.needs import instant, minute
from scout.assess.setup import Setup
from scout.assess.sound.findings import switching
from scout.calc.day.problem import (
    Answer,
    Placed,
    Problem,
    Rules,
    Worth,
    worth,
)
from scout.drawing.charts.day import DrawnRoom, DrawnScene, day_chart
from scout.drawing.shapes import Drawing
from scout.pages.day.breaches import breach_said, clause_said, outside_said
from scout.pages.day.calls import Call, calls_of, together
from scout.pages.day.desk import Aim, Desk, as_placed, desk_of
from scout.pages.day.planned import Shot
from scout.pages.day.setups import carried_in_min
from scout.pages.medium import Medium
from scout.pages.once import once
from scout.records import ProductionRecord
from scout.records.day import DayRecord, PlacedScene
from scout.store import translate
from scout.store.queries import jobs
from scout.usecases import days, lines
from scout.usecases.work import Work
from scout.values import Figure, Name, Said, said

Spell = tuple[datetime, datetime]


@dataclass(frozen=True)
class DayRow(Shot):
    """One scene of a plan that is being worked on."""

    move_min: int  # from the room before, on the same date
    locked: bool
    remarks: tuple[Said, ...]  # what of its wishes it misses, and what it breaks
    acts: tuple[Act, ...]  # what has to be off then, by whom and by when


@dataclass(frozen=True)
class DayRuler:
    """What stands on one date's ruler, in the zone of its first place."""

    on: date
    zone: str
    events: EventsAnswer
    dusk: datetime | None
    rows: tuple[DayRow, ...]
    meals: tuple[Spell, ...]
    no_meal: Said | None  # why none falls in
    rooms: tuple[RoomRuler, ...]


@dataclass(frozen=True)
class RoomRuler:
    """What holds for one room on a date: open None: not recorded."""

    room_id: int
    room: str
    open: tuple[Spell, ...] | None
    noises: tuple[tuple[str, Spell], ...]
    face: tuple[Spell, ...]
    lens: tuple[Spell, ...]


@dataclass(frozen=True)
class DayPlan:
    """The whole plan. rows are in the order of time; `clashes` are open breaches of it, or what
    makes any plan impossible; `gives` what could give way.
    """

    production_id: int
    title: str
    version: int
    record: DayRecord
    kept: bool
    plan_b: bool
    aim: Aim
    rows: tuple[DayRow, ...]
    calls: tuple[Call, ...]
    days: tuple[DayRuler, ...]
    clashes: tuple[Said, ...]
    gives: tuple[Said, ...]
    left_out: tuple[Said, ...]  # scenes that cannot be planned yet, and why
    assumed: tuple[Said, ...]
    gap: float | None  # None: kept or placed by hand
    worth: Worth
    changed_at: datetime | None = None

    @property
    def optimal(self) -> bool:
        """Whether no plan can be better."""
        return self.gap == 0.0

    def shared(self, on: date) -> tuple[Said, ...]:
        """Warnings that everybody called on a date has, which are said once."""
        today = [call.warnings for call in self.calls if call.on == on]
        return tuple(one for one in today[0] if all(one in of for of in today)) if today else ()

    def called(self, on: date) -> tuple[tuple[Call, ...], ...]:
        """Who is called on a date, by the hour, people with the same call as one."""
        return together([call for call in self.calls if call.on == on])

    @property
    def placed(self) -> tuple[PlacedScene, ...]:
        """The plan as it can be kept."""
        return tuple(
            PlacedScene(
                scene_id=row.scene_id,
                room_id=row.room_id,
                on=row.on,
                at=f"{row.begin:%H:%M}",
                locked=row.locked,
            )
            for row in self.rows
        )


@once(96)
def _switching(setup: Setup) -> tuple[Act, ...]:
    return switching(setup)


def _at(setup: Setup, begin: datetime, end: datetime) -> Setup:
    """The setup with the hours that a plan gives it; as it is where those are round the clock."""
    if end - begin >= timedelta(days=1):
        return setup
    return replace(setup, from_time=begin.time(), until_time=end.time())


@once(64)
def _planned(problem: Problem) -> Answer:
    from scout.calc.day.solve import plan  # 50 MB that a kept plan does without

    return plan(problem)


def day_plan(
    work: Work,
    production_id: int,
    *,
    aim: Aim = "balanced",
    plan_b: bool = False,
    typed: Sequence[PlacedScene] | None = None,
    anew: bool = False,
) -> DayPlan:
    """The days of a production. Raises NotFound; Refused where it has no dates at all.

    aim: what the plan is best at
    plan_b: under cloud and rain: no direct sun, less light, what is outdoors in its cover set
    typed: a plan as somebody has it before them; None: the one kept, else the best
    anew: the best plan, whatever is kept; locked scenes stay
    """
    kept = days.day_kept(work, production_id)
    record = kept.record if kept is not None else DayRecord()
    stands = record.placed if typed is None else tuple(typed)
    desk = desk_of(work, production_id, record, stands or (), aim, plan_b=plan_b)
    by_stand = as_placed(desk, stands or ())
    by_hand = bool(stands) and not anew and not plan_b
    answer = Answer(placed=by_stand) if by_hand else _planned(desk.problem)
    found = worth(desk.problem, answer.placed)
    rows = _rows(desk, answer.placed, found)
    row = jobs.production(work.db, production_id)
    production: ProductionRecord = translate.to_record(row)
    if answer.placed:
        clashes = tuple(
            breach_said(breach, desk.problem, _names(desk), desk.dates) for breach in found.breaches
        )
    else:
        clashes = tuple(clause_said(clause, _names(desk), desk.dates) for clause in answer.clash)
        if not answer.sure and desk.scenes:
            clashes = (said("day.not_found"), *clashes)
    placed_scenes = {one.scene for one in answer.placed}
    missing = tuple(
        said("day.not_in_plan", scene=Name(scene.name))
        for k, scene in enumerate(desk.scenes)
        if by_hand and k not in placed_scenes
    )
    calls = calls_of(work, production, rows)
    return DayPlan(
        production_id,
        production.title,
        kept.version if kept is not None else 0,
        record,
        by_hand and typed is None,
        plan_b,
        aim,
        rows,
        calls,
        _rulers(desk, answer.placed, rows, calls, found),
        clashes,
        tuple(_gives(desk, answer)),
        (*desk.left_out, *missing),
        (*desk.assumed, *_gone_by(work, desk)),
        None if by_hand else answer.gap,
        found,
        kept.changed_at if kept is not None else None,
    )


def _names(desk: Desk) -> tuple[Name, ...]:
    return tuple(Name(scene.name) for scene in desk.scenes)


def worse(before: DayPlan, after: DayPlan) -> tuple[Said, ...]:
    """What a moved scene turns worse, in words; what it breaks comes first."""
    found = [line for line in after.clashes if line not in before.clashes]
    was = {row.scene_id: row.remarks for row in before.rows}
    for row in after.rows:
        found += [line for line in row.remarks if line not in was.get(row.scene_id, ())]
    if after.worth.move_min > before.worth.move_min:
        more = after.worth.move_min - before.worth.move_min
        found.append(said("day.worse.moves", more=Figure(more, "min")))
    lengths = [sum(b - a for a, b in one.worth.spans) for one in (before, after)]
    if lengths[1] > lengths[0]:
        found.append(said("day.worse.longer", more=Figure(lengths[1] - lengths[0], "min")))
    return tuple(dict.fromkeys(found))


def _rows(desk: Desk, placed: Sequence[Placed], found: Worth) -> tuple[DayRow, ...]:
    rows = list[DayRow]()
    before: Placed | None = None
    for one in placed:
        scene, choice = desk.problem.scenes[one.scene], desk.choices[one.scene][one.option]
        option, zone = scene.options[one.option], choice.day.zone
        move = 0
        if before is not None:
            then = desk.problem.scenes[before.scene].options[before.option]
            if then.day == option.day:
                move = desk.problem.move_min[then.room][option.room]
        begin, end = scene.block(one.start)
        begin_at, end_at = instant(one.start, zone), instant(one.start + scene.length_min, zone)
        row = desk.scenes[one.scene]
        remarks = [
            outside_said(kind, minutes) for k, kind, minutes in found.outside if k == one.scene
        ]
        remarks += [
            breach_said(breach, desk.problem, _names(desk), desk.dates)
            for breach in found.breaches
            if breach.scene == one.scene
        ]
        rows.append(
            DayRow(
                row.id,
                row.name,
                choice.room.id,
                lines.room_name(choice.room),
                choice.room.location_id,
                choice.room.location.name,
                zone,
                choice.day.setup.on,
                begin_at,
                end_at,
                instant(begin, zone),
                instant(end, zone),
                move,
                scene.lock is not None,
                tuple(remarks),
                _switching(_at(choice.day.setup, begin_at, end_at)),
            )
        )
        before = one
    return tuple(rows)


def _rulers(
    desk: Desk,
    placed: Sequence[Placed],
    rows: Sequence[DayRow],
    calls: Sequence[Call],
    found: Worth,
) -> tuple[DayRuler, ...]:
    rulers = list[DayRuler]()
    for on in sorted({row.on for row in rows}):
        today = tuple(row for row in rows if row.on == on)
        zone = today[0].zone
        chosen = {
            choice.room.id: choice
            for one in placed
            if (choice := desk.choices[one.scene][one.option]).day.setup.on == on
        }

        def spells(spans: Iterable[tuple[int, int]], zone: str = zone) -> tuple[Spell, ...]:
            return tuple((instant(a, zone), instant(b, zone)) for a, b in spans)

        rooms = tuple(
            RoomRuler(
                key,
                lines.room_name(choice.room),
                None if choice.day.open is None else spells(choice.day.open),
                tuple((what, spells([span])[0]) for what, span in choice.day.noises),
                spells(choice.day.face),
                spells(choice.day.lens),
            )
            for key, choice in chosen.items()
        )
        first = next(iter(chosen.values()))
        end = minute(today[-1].strike_until)
        room = chosen[today[0].room_id].room
        wanted = [minute(call.at) for call in calls if call.on == on]
        begin = min([minute(today[0].set_up_from) - carried_in_min(room), *wanted])
        meals = spells([meal for meal in found.meals if begin <= meal[0] <= end])
        why = None if meals else _no_meal(end - begin, desk.problem.rules)
        rulers.append(DayRuler(on, zone, first.events, first.events.dusk, today, meals, why, rooms))
    return tuple(rulers)


def _no_meal(length_min: int, rules: Rules) -> Said:
    """Why no meal falls into a day of that length, from the first call to the last strike."""
    within, length = Figure(rules.meal_within_min, "min"), Figure(length_min, "min")
    if not rules.meal_min:
        return said("day.meal_nought")
    if length_min <= rules.meal_within_min:
        return said("day.meal_short", length=length, within=within)
    return said("day.meal_nowhere", length=length, within=within)


def _gives(desk: Desk, answer: Answer) -> Iterable[Said]:
    """What could give way, each with what that comes to."""
    names = _names(desk)
    for one in answer.relaxations:
        if not one.breaches:
            continue
        parts = tuple(
            breach_said(breach, desk.problem, names, desk.dates) for breach in one.breaches
        )
        yield parts[0] if len(parts) == 1 else said("day.gives_both", first=parts[0], then=parts[1])


def _gone_by(work: Work, desk: Desk) -> list[Said]:
    today = work.now().date()
    return [said("day.gone_by", on=day) for day in desk.dates if day < today]


def drawing(day: DayRuler, medium: Medium, width_mm: float) -> Drawing:
    """One date on its ruler."""
    rooms = tuple(
        DrawnRoom(
            room.room,
            room.open,
            tuple(spell for _, spell in room.noises),
            (*room.face, *room.lens),
            tuple(
                DrawnScene(
                    str(row.scene_id),
                    row.scene,
                    row.set_up_from,
                    row.begin,
                    row.end,
                    row.strike_until,
                )
                for row in day.rows
                if row.room_id == room.room_id
            ),
        )
        for room in day.rooms
    )
    return day_chart(
        day.on, day.zone, day.events, rooms, day.meals, width_mm=width_mm, **medium.letters
    )


def gap_said(plan: DayPlan) -> Said | None:
    """How good the plan is proved to be."""
    if not plan.rows:
        return None
    if plan.gap is None:
        return said("day.as_kept") if plan.kept else said("day.by_hand")
    return said("day.best") if plan.optimal else said("day.gap", gap=Figure(100 * plan.gap, "%"))
