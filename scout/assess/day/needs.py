"""A setup on a date as the planner takes it: spells of the crew, the house, quiet, light and sun."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from scout.assess.answers import DaylightAnswer
from scout.assess.choice.opening import opened, typed_hours
from scout.assess.daylight.judged import judged_light
from scout.assess.daylight.sun.touch import SunTouches
from scout.assess.setup import Setup
from scout.assess.sound.hours import quiet_hours, window_spell
from scout.calc.day.problem import Need, Option, Span
from scout.records.day import DayRecord
from scout.records.kept import DaylightNeed, LocationRecord, NoiseNeed, SceneRecord
from scout.records.opening import OpeningHours
from scout.values import Figure, Name, Said, said

# common practice, where nobody says otherwise; local agreements and rules decide
FROM_TIME, UNTIL_TIME = time(7), time(22)
CREW_MIN, REST_MIN, MEAL_MIN, MEAL_WITHIN_MIN = 600, 600, 60, 360
LENGTH_MIN, SET_UP_MIN, STRIKE_MIN = 60, 30, 20
STEP_MIN = 5


@dataclass(frozen=True)
class Limits:
    """The crew's day, and which of its figures nobody typed."""

    from_time: time
    until_time: time
    crew_min: int
    rest_min: int
    meal_min: int
    meal_within_min: int
    assumed: tuple[Said, ...]


def limits_of(record: DayRecord) -> Limits:
    """What is kept of the crew's limits, the rest as is common."""
    begin, end = (
        time.fromisoformat(text) if text else None for text in (record.from_time, record.until_time)
    )
    assumed = list[Said]()
    if begin is None or end is None:
        assumed.append(said("day.taken.hours", first=begin or FROM_TIME, last=end or UNTIL_TIME))
    minutes = {
        "crew_min": CREW_MIN,
        "rest_min": REST_MIN,
        "meal_min": MEAL_MIN,
        "meal_within_min": MEAL_WITHIN_MIN,
    }
    typed = {key: getattr(record, key) for key in minutes}
    if None in typed.values():
        assumed.append(
            said(
                "day.taken.limits",
                crew=Figure(_or(typed["crew_min"], CREW_MIN) / 60, "h"),
                rest=Figure(_or(typed["rest_min"], REST_MIN) / 60, "h"),
                meal=Figure(_or(typed["meal_within_min"], MEAL_WITHIN_MIN) / 60, "h"),
            )
        )
    whole = {key: _or(typed[key], usual) for key, usual in minutes.items()}
    return Limits(begin or FROM_TIME, end or UNTIL_TIME, assumed=tuple(assumed), **whole)


def _or(typed: int | None, usual: int) -> int:
    return usual if typed is None else typed


def minute(at: datetime) -> int:
    """An instant as the planner counts: whole minutes that no change of the clocks disturbs."""
    return int(at.timestamp() // 60)


def instant(at: int, zone: str) -> datetime:
    """The planner's minute by a place's clock."""
    return datetime.fromtimestamp(at * 60, UTC).astimezone(ZoneInfo(zone))


def local(on: date, at: time, zone: str) -> datetime:
    """A time of day by a place's clock; an hour the clocks skip is the one after it."""
    there = datetime.combine(on, at, tzinfo=ZoneInfo(zone))
    return there.astimezone(UTC).astimezone(ZoneInfo(zone))


@dataclass(frozen=True)
class SetupDay:
    """One setup on one date: what the planner asks of it and what its ruler shows."""

    setup: Setup
    zone: str
    needs: tuple[Need, ...]
    open: tuple[Span, ...] | None  # None: not recorded
    noises: tuple[tuple[str, Span], ...]
    face: tuple[Span, ...]
    lens: tuple[Span, ...]
    light: tuple[Span, ...] | None  # None: not wanted, or not known
    notes: tuple[Said, ...]


def asks_for_light(scene: SceneRecord) -> str | None:
    """How strongly a scene wants daylight; None: it does not."""
    wanted = [need for need in scene.needs or () if isinstance(need, DaylightNeed)]
    return wanted[0].strength if wanted and wanted[0].want == "wanted" else None


def setup_day(
    setup: Setup,
    scene: SceneRecord,
    zone: str | None,
    light_of_day: DaylightAnswer | None,
    touches: SunTouches,
    limits: Limits,
    *,
    cloudy: bool,
) -> SetupDay | None:
    """What a setup asks of its date; None where no time zone is recorded for its place.

    zone:         of the place, looked up where none is recorded
    light_of_day: at the room's marks; None where the scene does not ask for it (`asks_for_light`)
    cloudy:       under an overcast sky: no direct sun, and light only where cloud brings enough
    """
    on = setup.on
    if zone is None:
        return None
    name, notes = Name(scene.name), list[Said]()
    crew = _span(local(on, limits.from_time, zone), local(on, limits.until_time, zone))
    day = _span(local(on, time(0), zone), local(on + timedelta(days=1), time(0), zone))
    needs = [Need("crew", (crew,), whole=True)]
    if setup.hours is not None:
        needs.append(Need("hours", (_span(*setup.hours),)))
    place = setup.place
    spans = open_spans(place.opening_hours, on, zone) if place is not None else None
    if spans is not None:
        needs.append(Need("open", spans, whole=True))
    elif place is not None:
        notes.append(hours_not_known(place))
    noises = _noises(setup, zone)
    if noises:
        required = any(
            isinstance(need, NoiseNeed) and need.strength == "must" for need in scene.needs or ()
        )
        quiet = _without(day, [span for _, span in noises])
        needs.append(Need("quiet", quiet, required=required, per_min=2))
    light = None
    if (strength := asks_for_light(scene)) is not None and light_of_day is not None:
        judged = judged_light(light_of_day)
        if judged is None or judged.kind == "unknown":
            notes.append(said("day.not_known.light", scene=name))
        else:
            clear = () if cloudy else judged.enough_clear
            light = _joined([_span(*spell) for spell in (*judged.enough, *clear)])
            required = strength == "must" and bool(light)
            needs.append(Need("light", light, required=required, per_min=2))
            if not light:
                notes.append(said("day.dark", scene=name, on=on))
    face, lens = (
        () if cloudy else tuple(_span(*spell) for spell in touch.spells)
        for touch in (touches.subject, touches.lens)
    )
    if face:
        needs.append(Need("face", _without(day, face), required=False, per_min=2))
    if lens:
        needs.append(Need("lens", _without(day, lens), required=False, per_min=1))
    return SetupDay(setup, zone, tuple(needs), spans, noises, face, lens, light, tuple(notes))


def option_of(day: SetupDay, room: int, index: int, length_min: int, carry_min: int = 0) -> Option:
    """The setup as a choice of the planner: every start whose scene lies on its date; better with its
    kit carried in while the house is open.
    """
    on, needs = day.setup.on, day.needs
    if carry_min and day.open is not None:
        carried = tuple(
            (begin + carry_min, end) for begin, end in day.open if end - begin > carry_min
        )
        needs += (Need("open", carried, required=False, whole=True, per_min=2),)
    first = minute(local(on, time(0), day.zone))
    last = minute(local(on + timedelta(days=1), time(0), day.zone)) - length_min
    return Option(room, index, needs, first, max(first, last), carry_min)


def _span(begin: datetime, end: datetime) -> Span:
    return minute(begin), minute(end)


def open_spans(hours: OpeningHours | None, on: date, zone: str) -> tuple[Span, ...] | None:
    """When a place, or its parking, is open on a date, with what runs over from the day before and
    into the day after; None: not recorded as times.
    """
    if opened(hours, on) is None:
        return None
    spans = list[Span]()
    for shift in (-1, 0, 1):
        day = on + timedelta(days=shift)
        for begin, end in opened(hours, day) or ():
            ends = [
                local(day + timedelta(days=at // 1440), time(at // 60 % 24, at % 60), zone)
                for at in (begin, end)
            ]
            spans.append(_span(*ends))
    return _joined(spans)


def hours_not_known(place: LocationRecord) -> Said:
    """Why a place's hours are not planned by: somebody wrote them in words, or nobody did."""
    typed = typed_hours(place)
    if typed is None:
        return said("day.not_recorded.open", place=Name(place.name))
    return said("day.in_words.open", place=Name(place.name), hours=typed)


def _noises(setup: Setup, zone: str) -> tuple[tuple[str, Span], ...]:
    found = []
    for window in quiet_hours(setup.sheet.room, setup.noises, setup.on, zone).windows:
        spell = window_spell(window)
        assert isinstance(spell.start, time)
        assert isinstance(spell.end, time)
        begin, end = (local(setup.on, at, zone) for at in (spell.start, spell.end))
        found.append((window.what, _span(begin, end)))
    return tuple(found)


def _joined(spans: Iterable[Span]) -> tuple[Span, ...]:
    joined = list[Span]()
    for begin, end in sorted(spans):
        if joined and begin <= joined[-1][1]:
            joined[-1] = joined[-1][0], max(end, joined[-1][1])
        else:
            joined.append((begin, end))
    return tuple(joined)


def _without(day: Span, bad: Sequence[Span]) -> tuple[Span, ...]:
    """What is left of a date, and all of the nights around it, without some spells."""
    left, at = list[Span](), day[0] - 1440
    for begin, end in _joined(bad):
        if begin > at:
            left.append((at, begin))
        at = max(at, end)
    return (*left, (at, day[1] + 1440))
