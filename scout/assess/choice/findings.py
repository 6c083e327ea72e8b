"""Findings of getting in and of opening hours."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from scout.assess.answers import Act, Finding, RoomAssessment, act
from scout.assess.choice.opening import OpenAnswer, has_hours, open_on, typed_hours
from scout.assess.choice.way_in import Way, has_way_in, way_in
from scout.assess.setup import Setup
from scout.records.kept import LocationRecord
from scout.records.opening import OpeningHours
from scout.records.sheet import SheetLocation
from scout.values import Count, Figure, Length, Many, Name, Said, names, said, words

# common practice: what two people carry without a word, and the width of a wheeled case
FEW_STEPS = 3
FAR_CARRY_M = 50.0
NARROW_DOOR_M = 0.80


@dataclass(frozen=True, kw_only=True)
class AccessFinding(Finding):
    """What all findings of getting in have in common."""

    topic = "access"


@dataclass(frozen=True, kw_only=True)
class WayInEasy(AccessFinding):
    """A short way in, without steps to speak of, through doors that cases pass.

    Why:    load-in takes what the schedule says.
    Level:  good.
    Source: common practice for each of the three.
    """

    code = "access.easy"
    levels = ("good",)
    steps: Count
    carry: Length
    door: Length | None


@dataclass(frozen=True, kw_only=True)
class Steps(AccessFinding):
    """Steps and no lift.

    Why:    everything goes up by hand, and comes down when everybody is tired.
    Level:  care.
    Source: the room's own way in, else the place's.
    """

    code = "access.steps"
    levels = ("care",)
    steps: Count


@dataclass(frozen=True, kw_only=True)
class StepsOrLift(AccessFinding):
    """Steps, and nobody recorded whether there is a lift.

    Why:    one call to the caretaker tells whether everything goes up by hand.
    Level:  care.
    Source: the room's own way in, else the place's.
    """

    code = "access.steps_or_lift"
    levels = ("care",)
    steps: Count


@dataclass(frozen=True, kw_only=True)
class LiftToCheck(AccessFinding):
    """Steps and a lift whose size nobody measured.

    Why:    stands and cases that do not go in go up the stairs.
    Level:  care.
    Source: the room's own way in, else the place's.
    """

    code = "access.lift"
    levels = ("care",)
    steps: Count


@dataclass(frozen=True, kw_only=True)
class LongCarry(AccessFinding):
    """A long way from where a van can stop, with the door that ends the cart's.

    Why:    a cart, or one more pair of hands, is booked before the day; it goes no further than the
            first door that is too narrow for it.
    Level:  care.
    Source: common practice: 50 m.
    """

    code = "access.carry"
    levels = ("care",)
    carry: Length
    door: Length | None  # too narrow for a cart; None: none that is known


@dataclass(frozen=True, kw_only=True)
class CarryBySteps(AccessFinding):
    """A long way from where a van can stop, with a stair in it: nothing on wheels does it.

    Why:    a cart that is booked stays in the van, and two hands are missing.
    Level:  care.
    Source: common practice: 50 m; more than three steps without a lift.
    """

    code = "access.carry_steps"
    levels = ("care",)
    carry: Length
    steps: Count


@dataclass(frozen=True, kw_only=True)
class NarrowDoor(AccessFinding):
    """A door that wheeled cases and a dolly do not pass, where the way is short.

    Why:    cases are unpacked outside, in the rain.
    Level:  care.
    Source: common practice: 0.8 m.
    """

    code = "access.narrow_door"
    levels = ("care",)
    door: Length


@dataclass(frozen=True, kw_only=True)
class WayInUnknown(AccessFinding):
    """Facts of the way in that nobody recorded.

    Why:    nineteen steps are found out with a case in each hand.
    Level:  unknown.
    Source: the room's own way in, else the place's.
    """

    code = "access.way_in_unknown"
    levels = ("unknown",)
    facts: Many


@dataclass(frozen=True, kw_only=True)
class ExitsFree(AccessFinding):
    """Exits of the room that no cable crosses, as planned.

    Why:    local code decides what must stay free, and somebody comes to look.
    Level:  good.
    Source: the doors marked so; the ways of the leads.
    """

    code = "access.exit_kept_free"
    levels = ("good",)


@dataclass(frozen=True, kw_only=True)
class HoursFinding(Finding):
    """What all findings of opening hours have in common."""

    topic = "hours"


@dataclass(frozen=True, kw_only=True)
class Open(HoursFinding):
    """The place is open for all of the hours of the setup.

    Why:    nobody has to be asked.
    Level:  good.
    Source: the place's opening hours.
    """

    code = "hours.open"
    levels = ("good",)
    hours: Said


@dataclass(frozen=True, kw_only=True)
class Closed(HoursFinding):
    """The place is closed that day, or for more of the hours than can be asked for.

    Why:    the door is locked.
    Level:  problem.
    Source: the place's opening hours; an hour can be asked for (common practice).
    """

    code = "hours.closed"
    levels = ("problem",)
    hours: Said
    because: Many


@dataclass(frozen=True, kw_only=True)
class AskForHours(HoursFinding):
    """The place opens a little late, closes a little early, or its hours are in words.

    Why:    a caretaker who is asked the week before says yes.
    Level:  care.
    Source: the place's opening hours; an hour can be asked for (common practice).
    """

    code = "hours.ask"
    levels = ("care",)
    because: Many


@dataclass(frozen=True, kw_only=True)
class HoursUnknown(HoursFinding):
    """The hours of the place on that date are not recorded.

    Why:    a Sunday is not a Monday.
    Level:  unknown.
    Source: the place's opening hours.
    """

    code = "hours.unknown"
    levels = ("unknown",)


@dataclass(frozen=True, kw_only=True)
class PermitToAsk(HoursFinding):
    """A permit that nobody has marked as granted, and that can still be asked for in time.

    Why:    whoever gives permits takes the days they always take.
    Level:  care.
    Source: the place's permit lead time; the days as the calendar counts them.
    """

    code = "hours.permit"
    levels = ("care",)
    days: Count  # that it takes
    on: Said


@dataclass(frozen=True, kw_only=True)
class PermitLate(HoursFinding):
    """A permit that takes longer than is left until the shoot, and is not marked as granted.

    Why:    without it the shoot is stopped in the street.
    Level:  problem.
    Source: the place's permit lead time; the days as the calendar counts them.
    """

    code = "hours.permit_late"
    levels = ("problem",)
    days: Count  # that it takes
    left: Count
    on: Said


def permit_to_ask(place: LocationRecord, on: date, today: date) -> Finding | None:
    """What a place's permit asks of a day of shooting; None where none is needed, it is granted, its
    lead time is not recorded, or the day has gone by.
    """
    takes, left = place.permit_lead_days, (on - today).days
    if not takes or place.permit_granted or left < 0:
        return None
    days, by = Figure(takes, "count"), max(on - timedelta(days=takes), today)
    day = said("hours.date", on=on)
    rests_on = ("location.permit_lead_days", "location.permit_granted")
    acts = (act("ask.permit", place=Name(place.name), by=said("hours.date", on=by)),)
    if takes <= left:
        return PermitToAsk(level="care", rests_on=rests_on, acts=acts, days=days, on=day)
    late = Figure(left, "count")
    return PermitLate(level="problem", rests_on=rests_on, acts=acts, days=days, left=late, on=day)


def findings(setup: Setup, found: RoomAssessment) -> tuple[Finding, ...]:
    """How kit gets in, and whether the place is open, for a setup."""
    made: list[Finding] = []
    room, place = setup.sheet.room, setup.place or setup.sheet.location
    if setup.place is not None or has_way_in(room, place):
        made += _access(way_in(room, place), place, room.setting == "exterior")
    exits = [door.id for door in setup.sheet.room.doors or () if door.keep_free]
    if exits and not any(row.exits for row in found.power.assignment):
        made.append(
            ExitsFree(
                level="good",
                about=names(exits).items,
                rests_on=tuple(f"doors.{door}.keep_free" for door in exits),
            )
        )
    if setup.place is not None:
        made.append(_hours(setup, setup.place))
    return tuple(made)


def _access(way: Way, place: SheetLocation | None, outdoors: bool) -> Iterator[Finding]:
    asked = ("steps", "carry_m") if outdoors else ("steps", "door_width_m", "carry_m")
    troubled = stairs = False
    if way.steps is not None and way.steps > FEW_STEPS:
        sized = place is not None and None not in (place.lift_width_m, place.lift_depth_m)
        steps, rests_on = Figure(way.steps, "count"), (way.path("steps"), way.path("lift"))
        if not way.lift:
            troubled = stairs = True
            kind = StepsOrLift if way.lift is None else Steps
            yield kind(level="care", rests_on=rests_on, steps=steps)
        elif not sized:
            troubled = True
            facts = words("fact", ("location.lift_width_m", "location.lift_depth_m"))
            yield LiftToCheck(
                level="care", rests_on=rests_on, steps=steps, acts=(act("measure", facts=facts),)
            )
    narrow = not outdoors and way.door_width_m is not None and way.door_width_m < NARROW_DOOR_M
    door = Figure(way.door_width_m, "m") if narrow and way.door_width_m is not None else None
    if way.carry_m is not None and way.carry_m > FAR_CARRY_M:
        troubled = True
        rests_on = way.path("carry_m"), *((way.path("door_width_m"),) if door is not None else ())
        carry = Figure(way.carry_m, "m")
        if stairs and way.steps is not None:
            up = (*rests_on, way.path("steps"))
            steps = Figure(way.steps, "count")
            yield CarryBySteps(level="care", rests_on=up, carry=carry, steps=steps)
        else:
            yield LongCarry(level="care", rests_on=rests_on, carry=carry, door=door)
    elif door is not None:
        troubled = True
        yield NarrowDoor(level="care", rests_on=(way.path("door_width_m"),), door=door)
    missing = tuple(way.path(fact) for fact in asked if getattr(way, fact) is None)
    if missing:
        facts = words("fact", missing)
        yield WayInUnknown(
            level="unknown", rests_on=missing, facts=facts, acts=(act("measure", facts=facts),)
        )
    elif not troubled:
        yield WayInEasy(
            level="good",
            rests_on=tuple(way.path(fact) for fact in asked),
            steps=Figure(way.steps or 0, "count"),
            carry=Figure(way.carry_m or 0.0, "m"),
            door=None if outdoors else Figure(way.door_width_m or 0.0, "m"),
        )


def _hours(setup: Setup, place: LocationRecord) -> Finding:
    ask = (act("ask.hours", place=Name(place.name)),)
    rests_on = ("location.opening_hours",)
    if has_hours(place):
        answer = open_on(
            place.opening_hours or OpeningHours(), setup.on, setup.from_time, setup.until_time
        )
    elif (typed := typed_hours(place)) is not None:
        typed_words = Many((typed,), "list")
        return AskForHours(level="care", rests_on=rests_on, because=typed_words, acts=ask)
    else:
        return HoursUnknown(level="unknown", rests_on=rests_on, acts=ask)
    return _judged(answer, rests_on, ask)


def _judged(answer: OpenAnswer, rests_on: tuple[str, ...], ask: tuple[Act, ...]) -> Finding:
    because = Many(answer.why, "list")
    if answer.level == "pass":
        return Open(level="good", rests_on=rests_on, hours=answer.figure)
    if answer.level == "care":
        return AskForHours(level="care", rests_on=rests_on, because=because, acts=ask)
    if answer.level == "fail":
        return Closed(level="problem", rests_on=rests_on, hours=answer.figure, because=because)
    return HoursUnknown(level="unknown", rests_on=rests_on, acts=ask)
