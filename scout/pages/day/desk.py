"""The planner's problem for a production as it is kept, with what its indices mean."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, time
from typing import Literal, get_args

from scout.assess.answers import EventsAnswer
from scout.assess.day import needs as asked
from scout.assess.day.needs import SetupDay, local, minute
from scout.assess.daylight.sun.touch import SunTouches, sun_touches
from scout.assess.room import sun_of_day
from scout.assess.setup import Setup
from scout.calc.day.moves import WITHIN_MIN, drive_min
from scout.calc.day.problem import (
    WEIGHTS,
    Lock,
    Option,
    Placed,
    Problem,
    Rules,
    Scene,
    closed,
)
from scout.calc.distance import distance_m
from scout.calc.held import let_go
from scout.errors import Refused
from scout.pages import assessing
from scout.pages.day import planned, setups
from scout.pages.once import once
from scout.records import LocationRecord, ProductionRecord, SceneRecord
from scout.records.day import DayRecord, PlacedScene
from scout.store import models, translate
from scout.store.queries import jobs
from scout.store.queries import places as queries
from scout.usecases import lines
from scout.usecases.work import Work
from scout.values import Figure, Name, Said, said

Aim = Literal["balanced", "earliest", "fewest_moves", "best_light"]

AIMS: tuple[Aim, ...] = get_args(Aim)

UNKNOWN_WAY_MIN = 60  # between places that nobody has put on the map


@dataclass(frozen=True)
class Choice:
    """Where one option of the problem comes from."""

    room: models.Room
    day: SetupDay
    events: EventsAnswer


@dataclass(frozen=True)
class Desk:
    """The problem with what its indices mean."""

    problem: Problem
    scenes: tuple[models.Scene, ...]
    choices: tuple[tuple[Choice, ...], ...]
    dates: tuple[date, ...]
    left_out: tuple[Said, ...]
    assumed: tuple[Said, ...]


@once(96)
def _touches(setup: Setup) -> SunTouches:
    return sun_touches(setup.sheet, setup.on, setup.focal_length_mm, of=("subject", "lens"))


def desk_of(
    work: Work,
    production_id: int,
    record: DayRecord,
    stands: Sequence[PlacedScene],
    aim: Aim,
    *,
    plan_b: bool,
) -> Desk:
    limits = asked.limits_of(record)
    in_play = {room.id: room for room in jobs.rooms_in_play(work.db, production_id)}
    every = setups.setups_of(work, production_id)
    dates = tuple(sorted({day for line in every for day in line.dates}))
    rows = jobs.scenes(work.db, production_id)
    if not dates:
        raise Refused("shoot_dates", None, said("day.refused.no_dates"))
    times = {one.scene_id: one for one in record.scenes or ()}
    locked = {one.scene_id: one for one in stands if one.locked}
    rooms: dict[int, int] = {}
    scenes, rows_in, choices_in = list[Scene](), list[models.Scene](), list[tuple[Choice, ...]]()
    left_out, assumed = list[Said](), [*limits.assumed]
    for row in rows:
        scene: SceneRecord = translate.to_record(row)
        mine = planned.running(every, row.id)
        if not mine:
            left_out.append(said("day.no_room", scene=Name(row.name)))
            continue
        if mine[0].state != "first_choice":
            assumed.append(said("day.not_chosen", scene=Name(row.name)))
        time_of = times.get(row.id)
        choices, notes = list[Choice](), list[Said]()
        for line in mine:
            let_go()
            for on in line.dates:
                setup = assessing.judged_for(work, line.id, on, by_plan=False)
                room = in_play[line.room_id]
                if plan_b and setup.sheet.room.setting == "exterior":
                    cover = time_of.cover_room_id if time_of is not None else None
                    if cover is None:
                        notes.append(said("day.no_cover", scene=Name(row.name)))
                        continue
                    room = queries.room(work.db, cover)
                    setup = _cover_setup(work, room, setup, production_id)
                zone, events = sun_of_day(setup.sheet, on)
                light = assessing.light_as_set(setup) if asked.asks_for_light(scene) else None
                day = asked.setup_day(
                    setup, scene, zone, light, _touches(setup), limits, cloudy=plan_b
                )
                if day is None:
                    notes.append(said("day.no_zone", room=Name(lines.room_name(room))))
                    continue
                notes += day.notes
                choices.append(Choice(room, day, events))
        if not choices:
            left_out += list(dict.fromkeys(notes)) or [said("day.no_room", scene=Name(row.name))]
            continue
        assumed += notes
        carries = [setups.carried_in_min(choice.room) for choice in choices]
        takes = planned.lasting(mine, time_of, limits, max(carries))
        assumed += _taken(row, takes)
        options = list[Option]()
        for choice, carry in zip(choices, carries, strict=True):
            index = rooms.setdefault(choice.room.id, len(rooms))
            options.append(
                asked.option_of(
                    choice.day, index, dates.index(choice.day.setup.on), takes.length_min, carry
                )
            )
        one = Scene(
            str(row.id), takes.length_min, tuple(options), takes.set_up_min, takes.strike_min
        )
        if row.id in locked and (lock := _lock(locked[row.id], choices)) is not None:
            one = replace(one, lock=lock)
        scenes.append(one)
        rows_in.append(row)
        choices_in.append(tuple(choices))
    by_index = {index: key for key, index in rooms.items()}
    there = [queries.room(work.db, by_index[n]) for n in range(len(rooms))]
    zones = {
        options.day.setup.on: options.day.zone for of in reversed(choices_in) for options in of
    }
    starts = tuple(
        minute(local(day, limits.from_time, zones[day])) if day in zones else 0 for day in dates
    )
    rules = Rules(
        limits.crew_min, limits.rest_min, limits.meal_min, limits.meal_within_min, asked.STEP_MIN
    )
    production: ProductionRecord = translate.to_record(jobs.production(work.db, production_id))
    typed = [one.call_time for one in production.crew or () if one.call_time is not None]
    called = tuple(
        minute(local(day, time.fromisoformat(min(typed)), zones[day]))
        if typed and day in zones
        else None
        for day in dates
    )
    problem = Problem(tuple(scenes), _moves(there, assumed), starts, rules, WEIGHTS[aim], called)
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


def _taken(row: models.Scene, takes: planned.Lasting) -> list[Said]:
    """What of a scene's length nobody typed."""
    name, length = Name(row.name), Figure(takes.length_min - takes.meal_min, "min")
    found = list[Said]()
    if not takes.typed:
        found.append(
            said("day.taken.length_hours", scene=name, length=length)
            if takes.from_hours
            else said("day.taken.length", scene=name, length=length)
        )
    if takes.around is not None:
        found.append(takes.around)
    if takes.meal_min:
        found.append(said("day.taken.meal_inside", scene=name, meal=Figure(takes.meal_min, "min")))
    return found


def _lock(one: PlacedScene, choices: Sequence[Choice]) -> Lock | None:
    for o, choice in enumerate(choices):
        if (choice.room.id, choice.day.setup.on) == (one.room_id, one.on):
            return Lock(o, _minute_of(one, choice))
    return None


def _minute_of(one: PlacedScene, choice: Choice) -> int:
    return minute(local(one.on, time.fromisoformat(one.at), choice.day.zone))


def as_placed(desk: Desk, stands: Sequence[PlacedScene]) -> tuple[Placed, ...]:
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
    carries = [setups.carry_of(room) for room in rooms]
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
