"""The setups of a production, each with its scene, its room, its dates and how the choice stands."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, time
from typing import Any

from scout.assess.answers import Finding
from scout.assess.day.hung import hung_min
from scout.assess.day.needs import SET_UP_MIN, STEP_MIN, STRIKE_MIN
from scout.calc.day.around import Thing, around_min
from scout.calc.day.moves import carry_min
from scout.records import SetupRecord
from scout.store import models, translate
from scout.store.queries import jobs
from scout.usecases import lines
from scout.usecases.work import Work
from scout.values import Figure, Many, Said, said

ON_CAMERA = "camera"  # a microphone that stands with the camera


@dataclass(frozen=True)
class Around:
    """How long set-up and strike of a setup take where nobody typed it. things: what is set up;
    None: no kit is recorded.
    """

    set_up_min: int = SET_UP_MIN
    strike_min: int = STRIKE_MIN
    things: Many | None = None

    @property
    def taken(self) -> Said:
        """That this was taken, and for what."""
        set_up, strike = Figure(self.set_up_min, "min"), Figure(self.strike_min, "min")
        if self.things is None:
            return said("day.taken.around", set_up=set_up, strike=strike)
        return said("day.taken.around_kit", set_up=set_up, strike=strike, things=self.things)


@dataclass(frozen=True)
class SetupLine:
    """One setup. `dates`: its own, or those of its scene that it may still be shot on."""

    id: int
    version: int
    record: SetupRecord
    dates: tuple[date, ...]
    candidate_id: int
    state: str  # proposed, first_choice, reserve, ruled_out
    scene_id: int
    scene_name: str
    room_id: int
    room_name: str
    location_id: int
    location_name: str
    timezone: str | None
    carry_min: int  # of carrying in, before the first set-up of a day
    around: Around = Around()

    def hanging(self, findings: Iterable[Finding]) -> Figure | None:
        """How much longer than its set-up, which nobody typed, is planned what is hung takes; None
        where somebody did, or nothing is hung.
        """
        more = hung_min(findings)
        return Figure(more, "min") if more and self.record.set_up_min is None else None

    def hung(self, findings: Iterable[Finding]) -> Said | None:
        """The same in words, with what to type."""
        more = self.hanging(findings)
        if more is None:
            return None
        return said("day.hung", more=more, whole=self.around.set_up_min + round(more.value))

    @property
    def hours(self) -> tuple[time | None, time | None]:
        """From and until, by the clock on the place's wall."""
        begin, end = (
            time.fromisoformat(text) if text else None
            for text in (self.record.from_time, self.record.until_time)
        )
        return begin, end


def setups_of(work: Work, production_id: int) -> tuple[SetupLine, ...]:
    """Every setup of a production, by date and hour; those without a date come last. Raises
    NotFound.
    """
    jobs.production(work.db, production_id)
    return tuple(_line(row) for row in jobs.setups(work.db, production_id))


def setups_of_scene(work: Work, scene_id: int) -> tuple[SetupLine, ...]:
    """The same of one scene. Raises NotFound."""
    scene = jobs.scene(work.db, scene_id)
    return tuple(
        _line(row)
        for row in jobs.setups(work.db, scene.production_id)
        if row.candidate.scene_id == scene_id
    )


def _line(row: models.Setup) -> SetupLine:
    candidate, record = row.candidate, translate.to_record(row)
    place = candidate.room.location
    return SetupLine(
        row.id,
        row.version,
        record,
        (record.on,) if record.on else tuple(jobs.dates_of(candidate.scene)),
        candidate.id,
        candidate.state,
        candidate.scene_id,
        candidate.scene.name,
        candidate.room_id,
        lines.room_name(candidate.room),
        place.id,
        place.name,
        place.timezone,
        carried_in_min(candidate.room),
        _around(candidate.scene.production.kit, record),
    )


def _around(kit: Mapping[str, Any] | None, record: SetupRecord) -> Around:
    """By the camera, key, fill, back and what is pinned beyond them, a lead for each that runs on
    the mains, microphones off the camera, and windows that are covered otherwise.
    """
    lights = (kit or {}).get("lights")
    if lights is None:
        return Around()
    pinned = [light for light in lights if light.get("at_m") is not None]
    used = (pinned + [light for light in lights if light not in pinned])[: max(3, len(pinned))]
    mics = [mic for mic in (kit or {}).get("mics") or () if mic.get("kind") != ON_CAMERA]
    things: dict[Thing, int] = {
        "camera": 1,
        "light": len(used),
        "lead": sum(light.get("supply") != "battery" for light in used),
        "mic": len(mics),
        "window": len(record.covers or ()),
    }
    named = {
        "camera": said("day.thing.camera"),
        "light": said("day.thing.light", n=things["light"]),
        "lead": said("day.thing.lead", n=things["lead"]),
        "mic": said("day.thing.mic", n=things["mic"]),
        "window": said("day.thing.window", n=things["window"]),
    }
    told = tuple(named[thing] for thing, count in things.items() if count)
    return Around(*around_min(things, STEP_MIN), Many(told))


def carry_of(room: models.Room) -> int:
    """Minutes to carry the kit between the road and a room."""
    way_in, place = room.way_in or {}, room.location
    carry, steps = way_in.get("carry_m"), way_in.get("steps")
    carry = place.parking_distance_m if carry is None else carry
    return carry_min(carry or 0.0, (place.steps if steps is None else steps) or 0)


def carried_in_min(room: models.Room) -> int:
    """How long before the first set-up of a day its crew is called, in the planner's step [min]."""
    return -(-carry_of(room) // STEP_MIN) * STEP_MIN
