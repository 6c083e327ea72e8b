"""When a scene is shot by the plan of the days that is kept. It rules wherever hours are shown or
judged; where it says nothing of a scene, the hours of the scene's setups stand.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from scout.assess.day import needs as asked
from scout.assess.day.needs import Limits, instant, local, minute
from scout.assess.setup import spell_of
from scout.calc.day.problem import Option, Rules, Scene, is_long
from scout.pages.day.setups import SetupLine, setups_of
from scout.records.day import DayRecord, PlacedScene, SceneTime
from scout.store import models
from scout.store.queries import jobs
from scout.usecases import days
from scout.usecases.work import Work
from scout.values import Said

_STATES = ("first_choice", "proposed", "reserve")


@dataclass(frozen=True)
class Shot:
    """One scene of the kept plan, every time by the clock on the place's wall."""

    scene_id: int
    scene: str
    room_id: int
    room: str
    location_id: int
    location: str
    zone: str
    on: date
    begin: datetime
    end: datetime
    set_up_from: datetime
    strike_until: datetime


@dataclass(frozen=True)
class Lasting:
    """How long a scene takes, and which of it nobody typed.

    meal_min: of it, meals that are taken within it
    from_hours: its length is that of the hours it wants
    """

    length_min: int
    set_up_min: int
    strike_min: int
    meal_min: int
    typed: bool
    from_hours: bool
    around: Said | None  # what was taken for set-up and strike; None: both are typed


def running(lines: Iterable[SetupLine], scene_id: int) -> tuple[SetupLine, ...]:
    """The setups of a scene that are planned: of its first choice, else of what is proposed, else
    of the backup.
    """
    mine = [line for line in lines if line.scene_id == scene_id]
    state = next((one for one in _STATES if any(line.state == one for line in mine)), None)
    return tuple(line for line in mine if line.state == state)


def lasting(
    mine: Sequence[SetupLine],
    time_of: SceneTime | None,
    limits: Limits,
    carry_min: int | None = None,
) -> Lasting:
    """How long a scene takes: as typed, else as long as the shortest of its setups' hours, else an
    hour; one that holds more than may be worked without a meal lasts a meal longer.

    carry_min: the longest carrying in before it; None: that of its setups' rooms
    """
    if carry_min is None:
        carry_min = max((line.carry_min for line in mine), default=0)
    typed = time_of.length_min if time_of is not None else None
    hours = [
        minute(spell[1]) - minute(spell[0])
        for line in mine
        for on in line.dates
        if (spell := spell_of(on, *line.hours, line.timezone)) is not None
    ]
    length = typed if typed is not None else min(hours, default=asked.LENGTH_MIN)
    around, taken = list[int](), list[Said]()
    for field in ("set_up_min", "strike_min"):
        said_min = [value for line in mine if (value := getattr(line.record, field)) is not None]
        usual = [getattr(line.around, field) for line in mine]
        around.append(max(said_min or usual, default=0))
        if not said_min:
            taken += [
                line.around.taken for line in mine if getattr(line.around, field) == around[-1]
            ]
    carried = Option(0, 0, (), 0, 0, carry_min)
    scene, meals = Scene("", max(length, 1), (carried,), around[0], around[1]), 0
    if limits.meal_min and is_long(scene, Rules(meal_within_min=limits.meal_within_min)):
        meals = ((length - 1) // limits.meal_within_min or 1) * limits.meal_min
    return Lasting(
        length + meals,
        around[0],
        around[1],
        meals,
        typed is not None,
        bool(hours),
        taken[0] if taken else None,
    )


def shots(work: Work, production_id: int) -> tuple[Shot, ...]:
    """The kept plan as far as its scenes, rooms and dates still stand, in the order of time; none
    where no plan is kept. Raises NotFound.
    """
    kept = days.day_kept(work, production_id)
    if kept is None or not kept.record.placed:
        return ()
    limits, every = asked.limits_of(kept.record), setups_of(work, production_id)
    found = [_shot(one, every, kept.record, limits) for one in kept.record.placed]
    return tuple(sorted((one for one in found if one is not None), key=lambda one: one.begin))


def _shot(
    placed: PlacedScene, every: Sequence[SetupLine], record: DayRecord, limits: Limits
) -> Shot | None:
    mine = running(every, placed.scene_id)
    for line in mine:
        if line.room_id != placed.room_id or placed.on not in line.dates or line.timezone is None:
            continue
        times = {one.scene_id: one for one in record.scenes or ()}
        takes = lasting(mine, times.get(placed.scene_id), limits)
        begin = minute(local(placed.on, time.fromisoformat(placed.at), line.timezone))
        end = begin + takes.length_min
        return Shot(
            line.scene_id,
            line.scene_name,
            line.room_id,
            line.room_name,
            line.location_id,
            line.location_name,
            line.timezone,
            placed.on,
            *(
                instant(at, line.timezone)
                for at in (begin, end, begin - takes.set_up_min, end + takes.strike_min)
            ),
        )
    return None


def shot_of(work: Work, production_id: int, scene_id: int, room_id: int) -> Shot | None:
    """What the kept plan says of a scene in a room; None where it says nothing. Raises NotFound."""
    return next(
        (
            one
            for one in shots(work, production_id)
            if (one.scene_id, one.room_id) == (scene_id, room_id)
        ),
        None,
    )


def dates_of(work: Work, scene: models.Scene, room_id: int) -> list[date]:
    """When a room is wanted for a scene: on the date of the kept plan, else on any of the scene's
    dates.
    """
    shot = shot_of(work, scene.production_id, scene.id, room_id)
    return jobs.dates_of(scene) if shot is None else [shot.on]


def hours_of(shot: Shot) -> tuple[time, time] | None:
    """A scene's hours as a setup takes them; None for one that lasts round the clock."""
    if shot.end - shot.begin >= timedelta(days=1):
        return None
    return shot.begin.time(), shot.end.time()
