"""A production's days as a calendar file (RFC 5545): the scenes, and the calls of all or of one
person.

UIDs stay the same as long as the production lives; SEQUENCE counts how often the plan was kept, so
that a calendar program replaces what it read before.
"""

from __future__ import annotations

import uuid
from datetime import UTC, datetime, timedelta

from icalendar import Calendar, Event, Timezone

from scout.pages.day import Call, DayPlan, DayRow, day_plan
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
    years = [row.begin for row in plan.rows] + [call.at for call in calls]
    for zone in dict.fromkeys(row.zone for row in plan.rows):
        first, last = min(years).date(), max(years).date()
        calendar.add_component(
            Timezone.from_tzid(
                zone,
                first_date=first.replace(month=1, day=1, year=first.year - 1),
                last_date=last.replace(month=1, day=1, year=last.year + 2),
            )
        )
    return bytes(calendar.to_ical())


def _scene(row: DayRow, home: uuid.UUID, plan: DayPlan, stamp: datetime) -> Event:
    event = _event(f"scene {row.scene_id}", home, plan, stamp)
    event.add(
        "summary", str(said("day.calendar_scene", scene=Name(row.scene), room=Name(row.room)))
    )
    event.add("dtstart", row.begin)
    event.add("dtend", row.end)
    event.add("location", row.location)
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
