"""Who is wanted when on each date: it follows from the first set-up of the plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any, Protocol

from scout.assess.day import needs as asked
from scout.assess.day.needs import hours_not_known, instant, local, minute, open_spans
from scout.pages.day import planned
from scout.pages.day.setups import carried_in_min
from scout.records import LocationRecord, ProductionRecord
from scout.store import translate
from scout.store.queries import jobs
from scout.store.queries import places as queries
from scout.usecases.work import Work
from scout.values import Figure, Name, Said, said


class Timed(Protocol):
    """A scene with its place and its times."""

    @property
    def on(self) -> date: ...
    @property
    def scene(self) -> str: ...
    @property
    def room_id(self) -> int: ...
    @property
    def location(self) -> str: ...
    @property
    def zone(self) -> str: ...
    @property
    def set_up_from(self) -> datetime: ...
    @property
    def strike_until(self) -> datetime: ...


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
    phone: str | None = None


def calls_of(work: Work, production: ProductionRecord, rows: Sequence[Timed]) -> tuple[Call, ...]:
    """Who is wanted when on each date: in time to carry the kit in before the first set-up."""
    calls = list[Call]()
    wrapped: datetime | None = None
    for on in sorted({row.on for row in rows}):
        today = [row for row in rows if row.on == on]
        first, last = today[0], today[-1]
        room = queries.room(work.db, first.room_id)
        place: LocationRecord = translate.to_record(room.location)
        carry = carried_in_min(room)
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
            warnings += _warnings(place, at, today, wrapped)
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
                    member.phone,
                )
            )
        wrapped = last.strike_until
    return tuple(calls)


def together(calls: Sequence[Call]) -> tuple[tuple[Call, ...], ...]:
    """Calls by the hour, those with the same hour, place, reason and warnings as one."""
    alike: dict[tuple[Any, ...], list[Call]] = {}
    for call in sorted(calls, key=lambda call: (call.at, call.location)):
        alike.setdefault((call.at, call.location, call.why, call.warnings), []).append(call)
    return tuple(map(tuple, alike.values()))


@dataclass(frozen=True)
class Called:
    """Who is called on one date by the kept plan: by hour and place, and what to look to."""

    hours: tuple[tuple[datetime, str, tuple[Call, ...]], ...]
    warnings: tuple[Said, ...]


def called_on(work: Work, production_id: int, on: date) -> Called:
    """The calls of a date; none where no plan is kept. Raises NotFound."""
    production: ProductionRecord = translate.to_record(jobs.production(work.db, production_id))
    rows = planned.shots(work, production_id)
    calls = [call for call in calls_of(work, production, rows) if call.on == on]
    hours: dict[tuple[datetime, str], list[Call]] = {}
    for call in sorted(calls, key=lambda call: call.at):
        hours.setdefault((call.at, call.location), []).append(call)
    return Called(
        tuple((at, place, tuple(who)) for (at, place), who in hours.items()),
        tuple(dict.fromkeys(warning for call in calls for warning in call.warnings)),
    )


def _warnings(
    place: LocationRecord, at: datetime, today: Sequence[Timed], wrapped: datetime | None
) -> list[Said]:
    first, found = today[0], list[Said]()
    opened = open_spans(place.opening_hours, first.on, first.zone)
    if opened is None:
        found.append(hours_not_known(place))
    elif not any(begin <= minute(at) < end for begin, end in opened):
        later = [begin for begin, _ in opened if begin > minute(at)]
        opens = instant(later[0], first.zone).time() if later else None
        found.append(said("day.call.closed", place=Name(place.name), at=opens))
    found += _parking(place, at, today)
    if at > first.set_up_from:
        found.append(said("day.call.late", at=first.set_up_from.time()))
    if wrapped is not None:
        rest = (minute(at) - minute(wrapped)) / 60.0
        if rest < asked.REST_MIN / 60.0:
            found.append(said("day.call.rest", rest=Figure(max(0.0, rest), "h")))
    return found


def _parking(place: LocationRecord, at: datetime, today: Sequence[Timed]) -> list[Said]:
    """Whether the vans may stand from the call to the last strike at the place."""
    words = Name(" ".join(place.parking.split())) if place.parking else None
    first = today[0]
    free = open_spans(place.parking_hours, first.on, first.zone)
    if free is None:
        return [said("day.call.parking", parking=words)] if words is not None else []
    now, name = minute(at), Name(place.name)
    stands = next((span for span in free if span[0] <= now < span[1]), None)
    if stands is None:
        later = [begin for begin, _ in free if begin > now]
        then = instant(later[0], first.zone).time() if later else None
        return [said("day.call.no_parking", called=at.time(), place=name, at=then, parking=words)]
    leaves = max(minute(row.strike_until) for row in today if row.location == first.location)
    if stands[1] < leaves:
        until = instant(stands[1], first.zone).time()
        return [
            said(
                "day.call.parking_ends",
                ends=instant(leaves, first.zone).time(),
                place=name,
                at=until,
                parking=words,
            )
        ]
    return []
