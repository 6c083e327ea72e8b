"""A production's days: when each scene is shot, who is called when, what clashes; the plan that was
kept, else the best that can be found. Nothing is kept here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import Any, Literal, get_args

from scout.assess.answers import EventsAnswer
from scout.assess.choice.opening import spells_of
from scout.assess.day import needs as asked
from scout.assess.day.needs import SetupDay, instant, local, minute
from scout.assess.daylight.touch import SunTouches, sun_touches
from scout.assess.setup import Setup
from scout.calc.day.moves import WITHIN_MIN, carry_min, drive_min
from scout.calc.day.problem import (
    WEIGHTS,
    Lock,
    Option,
    Placed,
    Problem,
    Rules,
    Scene,
    Worth,
    closed,
    is_long,
    worth,
)
from scout.calc.day.solve import Answer, plan
from scout.calc.distance import distance_m
from scout.drawing.charts.day import DrawnRoom, DrawnScene, day_chart
from scout.drawing.shapes import Drawing
from scout.errors import Refused
from scout.pages import assessing, setups
from scout.pages.day_words import breach_said, clause_said, outside_said
from scout.pages.medium import Medium
from scout.pages.once import once
from scout.records import LocationRecord, ProductionRecord, SceneRecord
from scout.records.day import DayRecord, PlacedScene
from scout.store import models, translate
from scout.store.queries import jobs
from scout.store.queries import places as queries
from scout.usecases import days, lines
from scout.usecases.work import Work
from scout.values import Figure, Name, Said, said

Aim = Literal["balanced", "earliest", "fewest_moves", "best_light"]
AIMS: tuple[Aim, ...] = get_args(Aim)
UNKNOWN_WAY_MIN = 60  # between places that nobody has put on the map
_STATES = ("first_choice", "proposed", "reserve")
Spell = tuple[datetime, datetime]


@dataclass(frozen=True)
class DayRow:
    """One scene of the plan, every time by the clock on the place's wall."""

    on: date
    scene_id: int
    scene: str
    room_id: int
    room: str
    location_id: int
    location: str
    zone: str
    begin: datetime
    end: datetime
    set_up_from: datetime
    strike_until: datetime
    move_min: int  # from the room before, on the same date
    locked: bool
    remarks: tuple[Said, ...]  # what of its wishes it misses, and what it breaks


@dataclass(frozen=True)
class Call:
    """When somebody is wanted where on a date. typed: the hour on the crew list, which holds."""

    person: str
    role: str | None
    on: date
    at: datetime
    location: str
    why: Said
    warnings: tuple[Said, ...]
    typed: bool = False


@dataclass(frozen=True)
class DayRuler:
    """What stands on one date's ruler, in the zone of its first place."""

    on: date
    zone: str
    events: EventsAnswer
    dusk: datetime | None
    rows: tuple[DayRow, ...]
    meals: tuple[Spell, ...]
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
    gap: float | None  # None: placed by hand
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


@dataclass(frozen=True)
class _Choice:
    """Where one option of the problem comes from."""

    room: models.Room
    day: SetupDay
    events: EventsAnswer


@dataclass(frozen=True)
class Desk:
    """The problem with what its indices mean."""

    problem: Problem
    scenes: tuple[models.Scene, ...]
    choices: tuple[tuple[_Choice, ...], ...]
    dates: tuple[date, ...]
    left_out: tuple[Said, ...]
    assumed: tuple[Said, ...]


@once(96)
def _touches(setup: Setup) -> SunTouches:
    return sun_touches(setup.sheet, setup.on, setup.focal_length_mm, background=False)


@once(64)
def _planned(problem: Problem) -> Answer:
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
    desk = _desk(work, production_id, record, stands or (), aim, plan_b=plan_b)
    as_placed = _as_placed(desk, stands or ())
    by_hand = bool(stands) and not anew and not plan_b
    answer = Answer(placed=as_placed) if by_hand else _planned(desk.problem)
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
    return DayPlan(
        production_id,
        production.title,
        kept.version if kept is not None else 0,
        record,
        by_hand and typed is None,
        plan_b,
        aim,
        rows,
        _calls(work, production, rows),
        _rulers(desk, answer.placed, rows, found),
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


def _desk(
    work: Work,
    production_id: int,
    record: DayRecord,
    stands: Sequence[PlacedScene],
    aim: Aim,
    *,
    plan_b: bool,
) -> Desk:
    limits = asked.limits_of(record)
    every = setups.setups_of(work, production_id)
    dates = tuple(sorted({day for line in every for day in line.dates}))
    rows = jobs.scenes(work.db, production_id)
    if not dates:
        raise Refused("shoot_dates", None, said("day.refused.no_dates"))
    times = {one.scene_id: one for one in record.scenes or ()}
    locked = {one.scene_id: one for one in stands if one.locked}
    rooms: dict[int, int] = {}
    scenes, rows_in, choices_in = list[Scene](), list[models.Scene](), list[tuple[_Choice, ...]]()
    left_out, assumed = list[Said](), [*limits.assumed]
    for row in rows:
        scene: SceneRecord = translate.to_record(row)
        mine = [line for line in every if line.scene_id == row.id]
        state = next((s for s in _STATES if any(line.state == s for line in mine)), None)
        mine = [line for line in mine if line.state == state]
        if not mine:
            left_out.append(said("day.no_room", scene=Name(row.name)))
            continue
        if state != "first_choice":
            assumed.append(said("day.not_chosen", scene=Name(row.name)))
        time_of = times.get(row.id)
        length = time_of.length_min if time_of is not None else None
        choices, notes = list[_Choice](), list[Said]()
        for line in mine:
            for on in line.dates:
                setup = setups.judged_for(work, line.id, on)
                room = queries.room(work.db, line.room_id)
                if plan_b and setup.sheet.room.setting == "exterior":
                    cover = time_of.cover_room_id if time_of is not None else None
                    if cover is None:
                        notes.append(said("day.no_cover", scene=Name(row.name)))
                        continue
                    room = queries.room(work.db, cover)
                    setup = _cover_setup(work, room, setup, production_id)
                found = assessing.assessed(setup)
                day = asked.setup_day(setup, scene, found, _touches(setup), limits, cloudy=plan_b)
                if day is None:
                    notes.append(said("day.no_zone", room=Name(lines.room_name(room))))
                    continue
                notes += day.notes
                choices.append(_Choice(room, day, found.events))
        if not choices:
            left_out += list(dict.fromkeys(notes)) or [said("day.no_room", scene=Name(row.name))]
            continue
        assumed += notes
        length = _length(row, length, choices, assumed)
        set_up, strike = _around(mine, assumed)
        options = list[Option]()
        for choice in choices:
            index = rooms.setdefault(choice.room.id, len(rooms))
            options.append(
                asked.option_of(choice.day, index, dates.index(choice.day.setup.on), length)
            )
        one = Scene(str(row.id), length, tuple(options), set_up, strike)
        if row.id in locked and (lock := _lock(locked[row.id], choices)) is not None:
            one = replace(one, lock=lock)
        scenes.append(one)
        rows_in.append(row)
        choices_in.append(tuple(choices))
    # a scene that holds more than may be worked without a meal lasts a meal longer
    rules = Rules(
        limits.crew_min, limits.rest_min, limits.meal_min, limits.meal_within_min, asked.STEP_MIN
    )
    for k, one in enumerate(scenes):
        if is_long(one, rules) and limits.meal_min:
            meals = (one.length_min - 1) // limits.meal_within_min or 1
            scenes[k] = replace(one, length_min=one.length_min + meals * limits.meal_min)
            assumed.append(
                said(
                    "day.taken.meal_inside",
                    scene=Name(rows_in[k].name),
                    meal=Figure(meals * limits.meal_min, "min"),
                )
            )
    by_index = {index: key for key, index in rooms.items()}
    there = [queries.room(work.db, by_index[n]) for n in range(len(rooms))]
    zone = {options.day.setup.on: options.day.zone for of in reversed(choices_in) for options in of}
    starts = tuple(
        minute(local(day, limits.from_time, zone[day])) if day in zone else 0 for day in dates
    )
    problem = Problem(tuple(scenes), _moves(there, assumed), starts, rules, WEIGHTS[aim])
    unlike = tuple(dict.fromkeys(assumed))
    return Desk(
        problem, tuple(rows_in), tuple(choices_in), dates, tuple(dict.fromkeys(left_out)), unlike
    )


def _cover_setup(work: Work, room: models.Room, outdoors: Setup, production_id: int) -> Setup:
    setup = assessing.setup_for(
        work, room, outdoors.on, None, assessing.sheet(work, room.id, production_id)
    )
    return replace(
        setup,
        from_time=outdoors.from_time,
        until_time=outdoors.until_time,
        framing=outdoors.framing,
    )


def _length(
    row: models.Scene, typed: int | None, choices: Sequence[_Choice], assumed: list[Said]
) -> int:
    if typed is not None:
        return typed
    hours = [choice.day.setup.hours for choice in choices if choice.day.setup.hours is not None]
    length = min(minute(end) - minute(begin) for begin, end in hours) if hours else asked.LENGTH_MIN
    assumed.append(
        said("day.taken.length_hours", scene=Name(row.name), length=Figure(length, "min"))
        if hours
        else said("day.taken.length", scene=Name(row.name), length=Figure(length, "min"))
    )
    return length


def _around(mine: Sequence[setups.SetupLine], assumed: list[Said]) -> tuple[int, int]:
    """Set-up and strike of a scene: the longest that any of its setups says."""
    found = []
    for field, usual in (("set_up_min", asked.SET_UP_MIN), ("strike_min", asked.STRIKE_MIN)):
        typed = [value for line in mine if (value := getattr(line.record, field)) is not None]
        found.append(max(typed, default=usual))
        if not typed:
            assumed.append(
                said(
                    "day.taken.around",
                    set_up=Figure(asked.SET_UP_MIN, "min"),
                    strike=Figure(asked.STRIKE_MIN, "min"),
                )
            )
    return found[0], found[1]


def _lock(one: PlacedScene, choices: Sequence[_Choice]) -> Lock | None:
    for o, choice in enumerate(choices):
        if (choice.room.id, choice.day.setup.on) == (one.room_id, one.on):
            return Lock(o, _minute_of(one, choice))
    return None


def _minute_of(one: PlacedScene, choice: _Choice) -> int:
    return minute(local(one.on, time.fromisoformat(one.at), choice.day.zone))


def _as_placed(desk: Desk, stands: Sequence[PlacedScene]) -> tuple[Placed, ...]:
    """A plan somebody made, as far as its scenes, rooms and dates are still there."""
    found = []
    for one in stands:
        for k, scene in enumerate(desk.scenes):
            if scene.id != one.scene_id:
                continue
            for o, choice in enumerate(desk.choices[k]):
                if (choice.room.id, choice.day.setup.on) == (one.room_id, one.on):
                    found.append(Placed(k, o, _minute_of(one, choice)))
                    break
    return tuple(sorted(found, key=lambda one: (one.start, one.scene)))


def _moves(rooms: Sequence[models.Room], assumed: list[Said]) -> tuple[tuple[int, ...], ...]:
    """Minutes from room to room, each way rounded up to the planner's step."""
    records: list[LocationRecord] = [translate.to_record(room.location) for room in rooms]
    carries = [_carry(room, record) for room, record in zip(rooms, records, strict=True)]
    ways = [[0] * len(rooms) for _ in rooms]
    for a, one in enumerate(rooms):
        for b, other in enumerate(rooms):
            if one.id == other.id:
                continue
            if one.location_id == other.location_id:
                way = WITHIN_MIN
            else:
                way = carries[a] + _road(records[a], records[b], assumed) + carries[b]
            ways[a][b] = -(-way // asked.STEP_MIN) * asked.STEP_MIN
    if len({room.location_id for room in rooms}) > 1:
        assumed.append(said("day.taken.moves"))
    return closed(ways)


def _carry(room: models.Room, place: LocationRecord) -> int:
    way_in: dict[str, Any] = room.way_in or {}
    carry = way_in.get("carry_m")
    carry = place.parking_distance_m if carry is None else carry
    steps = way_in.get("steps")
    steps = place.steps if steps is None else steps
    return carry_min(carry or 0.0, steps or 0)


def _road(one: LocationRecord, other: LocationRecord, assumed: list[Said]) -> int:
    ends = (one.latitude_deg, one.longitude_deg, other.latitude_deg, other.longitude_deg)
    if None in ends:
        missing = one if None in ends[:2] else other
        assumed.append(
            said(
                "day.taken.way",
                place=Name(missing.name),
                way=Figure(UNKNOWN_WAY_MIN, "min"),
            )
        )
        return UNKNOWN_WAY_MIN
    return drive_min(distance_m(*[end for end in ends if end is not None]))


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
                choice.day.setup.on,
                row.id,
                row.name,
                choice.room.id,
                lines.room_name(choice.room),
                choice.room.location_id,
                choice.room.location.name,
                zone,
                instant(one.start, zone),
                instant(one.start + scene.length_min, zone),
                instant(begin, zone),
                instant(end, zone),
                move,
                scene.lock is not None,
                tuple(remarks),
            )
        )
        before = one
    return tuple(rows)


def _calls(work: Work, production: ProductionRecord, rows: Sequence[DayRow]) -> tuple[Call, ...]:
    """Who is wanted when on each date: in time to carry the kit in before the first set-up."""
    calls = list[Call]()
    wrapped: datetime | None = None
    for on in sorted({row.on for row in rows}):
        today = [row for row in rows if row.on == on]
        first, last = today[0], today[-1]
        room = queries.room(work.db, first.room_id)
        place: LocationRecord = translate.to_record(room.location)
        carry = -(-_carry(room, place) // asked.STEP_MIN) * asked.STEP_MIN
        planned = first.set_up_from - timedelta(minutes=carry)
        for member in production.crew or ():
            at, warnings = planned, list[Said]()
            if member.call_time is not None:
                typed = local(
                    on,
                    time.fromisoformat(member.call_time),
                    first.zone,
                )
                if typed != planned:
                    at = typed
                    warnings.append(said("day.call.typed", at=typed.time(), plan=planned.time()))
            warnings += _call_warnings(place, at, first, wrapped)
            calls.append(
                Call(
                    member.name,
                    member.role,
                    on,
                    at,
                    first.location,
                    said(
                        "day.call.why",
                        scene=Name(first.scene),
                        at=first.set_up_from.time(),
                        carry=Figure(carry, "min") if carry else None,
                    ),
                    tuple(warnings),
                    at != planned,
                )
            )
        wrapped = last.strike_until
    return tuple(calls)


def _call_warnings(
    place: LocationRecord, at: datetime, first: DayRow, wrapped: datetime | None
) -> list[Said]:
    found = list[Said]()
    if place.opening_hours is not None:
        begin = _opens(place, first)
        if begin is not None and at < begin:
            found.append(said("day.call.closed", place=Name(place.name), at=begin.time()))
    elif place.hours:
        found.append(said("day.call.hours", hours=Name(" ".join(place.hours.split()))))
    if place.parking:
        found.append(said("day.call.parking", parking=Name(" ".join(place.parking.split()))))
    if at > first.set_up_from:
        found.append(said("day.call.late", at=first.set_up_from.time()))
    if wrapped is not None:
        rest = (minute(at) - minute(wrapped)) / 60.0
        if rest < asked.REST_MIN / 60.0:
            found.append(said("day.call.rest", rest=Figure(max(0.0, rest), "h")))
    return found


def _opens(place: LocationRecord, first: DayRow) -> datetime | None:
    spells = spells_of(place.opening_hours, first.on) if place.opening_hours else None
    if not spells:
        return None
    opens = spells[0][0]
    return local(first.on, time(opens // 60 % 24, opens % 60), first.zone)


def _rulers(
    desk: Desk, placed: Sequence[Placed], rows: Sequence[DayRow], found: Worth
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
        begin, end = minute(today[0].set_up_from), minute(today[-1].strike_until)
        meals = spells([meal for meal in found.meals if begin <= meal[0] <= end])
        rulers.append(DayRuler(on, zone, first.events, first.events.dusk, today, meals, rooms))
    return tuple(rulers)


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
        return said("day.by_hand")
    return said("day.best") if plan.optimal else said("day.gap", gap=Figure(100 * plan.gap, "%"))
