"""A production's days as a calendar file (RFC 5545): the scenes, and the calls of all or of one
person.

UIDs stay the same as long as the production lives; SEQUENCE counts how often the plan was kept, so
that a calendar program replaces what it read before.
"""

from __future__ import annotations

import uuid
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from icalendar import (
    Calendar,
    Component,
    Event,
    Timezone,
    TimezoneDaylight,
    TimezoneStandard,
)

from scout.pages.day.calls import Call
from scout.pages.day.plan import DayPlan, DayRow, day_plan
from scout.store.queries import jobs
from scout.usecases.work import Work
from scout.values import Name, said

CALL_LASTS = timedelta(minutes=15)


def calendar_file(work: Work, production_id: int, person: str | None = None) -> bytes:
    """The calendar of a production, or of one of its crew. Raises NotFound, Refused as `day_plan`."""
    plan = day_plan(work, production_id)
    production = jobs.production(work.db, production_id)
    home = uuid.uuid5(uuid.NAMESPACE_OID, f"{production.created_at.isoformat()} {production_id}")
    stamp = plan.changed_at or production.changed_at
    calendar = Calendar()
    calendar.add("prodid", "-//Sillbook//Day plan//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add(
        "x-wr-calname",
        str(
            said(
                "day.calendar_name",
                title=Name(plan.title),
                person=Name(person) if person is not None else None,
            )
        ),
    )
    calls = [call for call in plan.calls if person in (None, call.person)]
    for row in plan.rows:
        calendar.add_component(_scene(row, home, plan, stamp))
    for call in calls:
        calendar.add_component(_call(call, home, plan, stamp))
    moments = [row.begin for row in plan.rows] + [call.at for call in calls]
    for zone in dict.fromkeys(row.zone for row in plan.rows):
        calendar.add_component(_zone(zone, min(moments).year - 1, max(moments).year + 1))
    return bytes(calendar.to_ical())


def _scene(row: DayRow, home: uuid.UUID, plan: DayPlan, stamp: datetime) -> Event:
    event = _event(f"scene {row.scene_id}", home, plan, stamp)
    event.add(
        "summary", str(said("day.calendar_scene", scene=Name(row.scene), room=Name(row.room)))
    )
    event.add("dtstart", row.begin)
    event.add("dtend", row.end)
    event.add("location", row.location)
    if row.acts:
        event.add("description", "\n".join(f"{one.when}: {one}" for one in row.acts))
    return event


def _call(call: Call, home: uuid.UUID, plan: DayPlan, stamp: datetime) -> Event:
    event = _event(f"call {call.person} {call.on.isoformat()}", home, plan, stamp)
    event.add("summary", str(said("day.calendar_call", who=Name(call.person))))
    event.add("dtstart", call.at)
    event.add("dtend", (call.at.astimezone(UTC) + CALL_LASTS).astimezone(call.at.tzinfo))
    event.add("location", call.location)
    event.add("description", "\n".join(map(str, (call.why, *call.warnings))))
    return event


def _event(what: str, home: uuid.UUID, plan: DayPlan, stamp: datetime) -> Event:
    event = Event()
    event.add("uid", f"{uuid.uuid5(home, what)}")
    event.add("dtstamp", stamp.astimezone(UTC))
    event.add("sequence", plan.version)
    # a plan that nobody kept may still change
    event.add("status", "CONFIRMED" if plan.kept else "TENTATIVE")
    return event


def _zone(name: str, first: int, last: int) -> Timezone:
    """A zone's changes of the clocks through some years, written out one by one: an onset is said
    by the clock as it stood before it (RFC 5545, 3.6.5), which generated rules are known to miss.
    """
    zone, made = ZoneInfo(name), Timezone()
    made.add("tzid", name)
    at, end = datetime(first, 1, 1, tzinfo=UTC), datetime(last + 1, 1, 1, tzinfo=UTC)
    made.add_component(_observance(at, at.astimezone(zone), at.astimezone(zone)))
    while at < end:
        later = at + timedelta(days=1)
        if at.astimezone(zone).utcoffset() != later.astimezone(zone).utcoffset():
            before, after = at, later
            while after - before > timedelta(minutes=1):
                middle = before + timedelta(minutes=int((after - before).total_seconds() // 120))
                same = middle.astimezone(zone).utcoffset() == at.astimezone(zone).utcoffset()
                before, after = (middle, after) if same else (before, middle)
            made.add_component(_observance(after, at.astimezone(zone), after.astimezone(zone)))
        at = later
    return made


def _observance(onset: datetime, was: datetime, becomes: datetime) -> Component:
    """From an onset on, the offset that the clocks had and the one they have."""
    part: Component = TimezoneDaylight() if becomes.dst() else TimezoneStandard()
    offset = was.utcoffset() or timedelta(0)
    part.add("dtstart", (onset + offset).replace(tzinfo=None))
    part.add("tzoffsetfrom", offset)
    part.add("tzoffsetto", becomes.utcoffset())
    part.add("tzname", becomes.tzname())
    return part
