"""Candidate rooms side by side: a row a need, a cell a room, each with its figure and its reason;
no score is ever summed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, tzinfo
from typing import Any, Literal, get_args
from zoneinfo import ZoneInfo

from scout.assess.answers import FramingAnswer, Risk, RoomAssessment
from scout.assess.choice.opening import open_when
from scout.assess.choice.quiet_when import noise_at_the_hours, noises_then
from scout.assess.daylight.judged import judged_light
from scout.calc.choice.floor import rectangle_fits
from scout.calc.geometry import plan_area_m2
from scout.records.kept import (
    AccessNeed,
    BudgetNeed,
    CandidateRecord,
    ColourNeed,
    DaylightNeed,
    FloorNeed,
    FramingNeed,
    HeightNeed,
    LocationRecord,
    Need,
    NoiseNeed,
    SceneRecord,
    WattsNeed,
    WhenNeed,
)
from scout.records.sheet import Circuit, RoomRecord
from scout.records.sounds import NoiseWindowRecord
from scout.units import Units, area_as_text, metres_as_text

CellLevel = Literal["pass", "care", "fail", "unknown"]
DEFAULT_CONTINUOUS_SHARE = 0.8  # common practice, as the room sheet states it
RISKS: tuple[str, ...] = get_args(Risk)
UNKNOWN_METHOD_DOUBT_DB = (
    6.0  # as an estimate's: what is not said of a reading is not taken to be better
)
METER_DOUBT_DB = 2.0  # a reading good to this or better is believed when it lies under the limit
MOST_DATES = 6  # said one by one; more are counted
FRAMING_WORDS = {
    "wide": "wide of the room",
    "full_figure": "full figure",
    "medium": "medium",
    "head_and_shoulders": "head and shoulders",
    "two_people": "two people",
}


@dataclass(frozen=True)
class NeedCell:
    """How one room meets one need."""

    level: CellLevel
    figure: str
    why: str


@dataclass(frozen=True)
class NeedRow:
    """One need across all candidates, in their order."""

    topic: str
    need: str
    strength: Literal["must", "wish"]
    weight: int | None  # of a wish against the other wishes; a must has none
    cells: tuple[NeedCell, ...]


@dataclass(frozen=True)
class ComparedCandidate:
    """A candidate at the head of its column, with plain counts instead of a score."""

    candidate_id: int
    room_id: int
    room_name: str
    location_name: str
    state: str
    reason: str | None
    musts_failed: int
    musts_unknown: int
    wishes_met_weight: int
    wishes_weight: int
    summary: str


@dataclass(frozen=True)
class Comparison:
    """The comparison of one scene."""

    scene: str
    on: date
    candidates: tuple[ComparedCandidate, ...]
    rows: tuple[NeedRow, ...]


@dataclass(frozen=True)
class CandidateFacts:
    """Everything known of one candidate when it is compared."""

    candidate_id: int
    room_id: int
    room_name: str
    candidate: CandidateRecord
    location: LocationRecord
    room: RoomRecord
    assessment: RoomAssessment
    continuous_share: float | None = (
        None  # of the kit the room was assessed with; None: the usual one
    )
    noises: tuple[NoiseWindowRecord, ...] = ()  # that come back at the place


@dataclass(frozen=True)
class _Case:
    facts: CandidateFacts
    scene: SceneRecord
    units: Units


def compare(
    scene: SceneRecord, on: date, candidates: Sequence[CandidateFacts], *, units: Units = "metric"
) -> Comparison:
    """The scene's needs against every candidate, each need judged on its own."""
    rows = tuple(
        NeedRow(
            need.topic,
            need_words(need, units),
            need.strength,
            need.weight if need.strength == "wish" else None,
            tuple(_JUDGES[need.topic](need, _Case(facts, scene, units)) for facts in candidates),
        )
        for need in scene.needs or ()
    )
    heads = tuple(
        _head(facts, [(row, row.cells[i]) for row in rows]) for i, facts in enumerate(candidates)
    )
    return Comparison(scene.name, on, heads, rows)


def _head(facts: CandidateFacts, cells: Sequence[tuple[NeedRow, NeedCell]]) -> ComparedCandidate:
    musts = [cell for row, cell in cells if row.strength == "must"]
    wishes = [(row.weight or 0, cell) for row, cell in cells if row.strength == "wish"]
    failed, unknown = (
        sum(c.level == "fail" for c in musts),
        sum(c.level == "unknown" for c in musts),
    )
    met, total = sum(w for w, c in wishes if c.level == "pass"), sum(w for w, _ in wishes)
    parts = []
    if musts:
        passed, care = sum(c.level == "pass" for c in musts), sum(c.level == "care" for c in musts)
        rest = ((care, "with care"), (failed, "failed"), (unknown, "unknown"))
        parts.append(
            f"{passed} of {len(musts)} musts met"
            + "".join(f", {count} {words}" for count, words in rest if count)
        )
    if wishes:
        parts.append(f"wishes met: {met} of {total} by weight")
    return ComparedCandidate(
        facts.candidate_id,
        facts.room_id,
        facts.room_name,
        facts.location.name,
        facts.candidate.state,
        facts.candidate.reason,
        failed,
        unknown,
        met,
        total,
        "; ".join(parts) or "no needs are stated",
    )


def need_words(need: Need, units: Units = "metric") -> str:
    """A need in words."""
    if isinstance(need, WhenNeed):
        return _when_words(need)
    if isinstance(need, FloorNeed):
        return f"clear floor {metres_as_text(need.width_m, units)} by {metres_as_text(need.length_m, units)}"
    if isinstance(need, HeightNeed):
        return f"ceiling {metres_as_text(need.height_m, units)} or more"
    if isinstance(need, FramingNeed):
        return f"framing: {FRAMING_WORDS[need.framing]}"
    if isinstance(need, NoiseNeed):
        return f"room noise {need.laeq_db:g} dBA or less"
    if isinstance(need, DaylightNeed):
        return "daylight wanted at the mark" if need.want == "wanted" else "daylight shut out"
    if isinstance(need, ColourNeed):
        return (
            f"bounce colour cast {need.risk} at most"
            if need.risk != "none"
            else "no bounce colour cast"
        )
    if isinstance(need, WattsNeed):
        return f"{_plain(need.watts)} W for lights and chargers"
    if isinstance(need, AccessNeed):
        parts = [
            ""
            if need.steps is None
            else f"{_steps(need.steps)} at most"
            if need.steps
            else "no steps",
            f"carry {metres_as_text(need.carry_m, units, decimals=0)} at most"
            if need.carry_m is not None
            else "",
            f"doors {metres_as_text(need.door_width_m, units)} or wider"
            if need.door_width_m is not None
            else "",
        ]
        return "access: " + ", ".join(part for part in parts if part)
    return f"fee {_plain(need.amount)} {need.currency} or less"


def _when_words(need: WhenNeed) -> str:
    dates = ", ".join(f"{day.day} {day:%b} {day.year}" for day in need.dates[:MOST_DATES])
    if len(need.dates) > MOST_DATES:
        dates += f" and {len(need.dates) - MOST_DATES} more dates"
    if need.from_time and need.until_time:
        return f"{dates}, {need.from_time} to {need.until_time}"
    return dates + (
        f", from {need.from_time}"
        if need.from_time
        else f", until {need.until_time}"
        if need.until_time
        else ""
    )


def _plain(value: float) -> str:
    """A number without an exponent and without idle noughts: 1200000, 450.5."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _steps(count: int) -> str:
    return f"{count} step{'' if count == 1 else 's'}"


def _unknown(because: str) -> NeedCell:
    return NeedCell(
        "unknown",
        "not measured",
        because if because.startswith("because") else f"because {because}",
    )


def _when(need: WhenNeed, case: _Case) -> NeedCell:
    found = open_when(need, case.facts.location)
    noises = noises_then(need, case.facts.noises)
    if noises is None:
        return NeedCell(found.level, found.figure, found.why)
    return NeedCell(
        "care" if found.level == "pass" else found.level,
        found.figure,
        f"{found.why}; {noises.words}",
    )


def _floor(need: FloorNeed, case: _Case) -> NeedCell:
    corners = case.facts.room.corners_m
    if corners is None:
        return _unknown("the plan of the room is not measured")
    figure = area_as_text(plan_area_m2(corners), case.units)
    if rectangle_fits(corners, need.width_m, need.length_m):
        return NeedCell("pass", figure, "the rectangle fits the plan; furniture is not counted")
    return NeedCell("fail", figure, "no rectangle of that size fits the plan along its walls")


def _height(need: HeightNeed, case: _Case) -> NeedCell:
    room = case.facts.room
    if room.setting == "exterior":
        return NeedCell("pass", "open sky", "there is no ceiling outdoors")
    if room.height_m is None:
        return _unknown("the height of the room is not measured")
    figure = metres_as_text(room.height_m, case.units)
    gap = room.height_m - need.height_m
    if gap >= 0:
        return NeedCell("pass", figure, f"{metres_as_text(gap, case.units)} to spare")
    return NeedCell("fail", figure, f"{metres_as_text(-gap, case.units)} too low")


def _framing(need: FramingNeed, case: _Case) -> NeedCell:
    rows = [row for row in case.facts.assessment.fit.framings if row.name == need.framing]
    known = [row for row in rows if row.fits is not None]
    fitting = sorted((row for row in known if row.fits), key=lambda row: row.focal_length_mm)
    if fitting:
        best = fitting[-1]  # the longest lens that still fits flatters a face most
        lenses = ", ".join(f"{row.focal_length_mm:g} mm" for row in fitting)
        away = (
            f" stands {metres_as_text(best.distance_m, case.units)} away"
            if best.distance_m is not None
            else ""
        )
        words = (
            f"the longest lens that fits, {best.focal_length_mm:g} mm,{away}"
            if away
            else f"the longest lens that fits is {best.focal_length_mm:g} mm"
        )
        warned = [row for row in fitting if row.why]  # it fits, but at a price
        if len(warned) == len(fitting):
            return NeedCell("care", lenses, best.why or words)
        return NeedCell("pass", lenses, words)
    if known:
        nearest = min(known, key=_distance)  # of what does not fit, the one that needs least room
        figure = (
            f"needs {metres_as_text(nearest.distance_m, case.units)}"
            if nearest.distance_m is not None
            else "no lens fits"
        )
        return NeedCell(
            "fail",
            figure,
            f"{nearest.focal_length_mm:g} mm: {nearest.why}"
            if nearest.why
            else "no lens of the kit fits in this room",
        )
    return _unknown(
        (rows[0].unknown if rows else None)
        or case.facts.assessment.fit.unknown
        or "the framing could not be worked out"
    )


def _distance(row: FramingAnswer) -> float:
    return float("inf") if row.distance_m is None else row.distance_m


def _noise(need: NoiseNeed, case: _Case) -> NeedCell:
    sound = case.facts.assessment.sound
    if sound.laeq_db is None:
        return _unknown(
            sound.unknown_by.get("noise")
            or sound.unknown
            or "the noise of the room is not measured"
        )
    over = round(sound.laeq_db, 1) - need.laeq_db
    doubt = UNKNOWN_METHOD_DOUBT_DB if sound.laeq_doubt_db is None else sound.laeq_doubt_db
    methods = [
        reading.method for reading in case.facts.room.noise or () if reading.id == sound.reading
    ]
    how = f"{'read by ' if methods != ['estimate'] else 'an '}{((methods[0] if methods else None) or 'a method not recorded').replace('_', ' ')}"
    how += f", give or take {doubt:g} dB" + (f", {sound.conditions}" if sound.conditions else "")
    figure = f"{sound.laeq_db:.1f} dBA"
    if over <= -doubt:
        cell = NeedCell("pass", figure, f"{abs(over):.1f} dB under; {how}")
    elif over <= 0:
        cell = NeedCell(
            "care" if doubt > METER_DOUBT_DB else "pass",
            figure,
            f"{abs(over):.1f} dB under, within the reading's doubt; {how}",
        )
    else:
        cell = NeedCell("care" if over <= doubt else "fail", figure, f"{over:.1f} dB over; {how}")
    whens = [one for one in case.scene.needs or () if isinstance(one, WhenNeed)]
    level, why = noise_at_the_hours(
        need,
        whens,
        case.facts.room,
        case.facts.noises,
        case.facts.location.timezone,
        sound.reading,
        (cell.level, cell.why),
    )
    return NeedCell(level, figure, why)


def _daylight(need: DaylightNeed, case: _Case) -> NeedCell:
    if need.want == "shut_out":
        return _shut_out(case)
    light = case.facts.assessment.daylight
    mark = light.marks.get("subject")
    if (
        mark is None
        or light.needed_lux is None
        or not mark.series
        or mark.overcast_lux_noon is None
    ):
        return _unknown(
            (mark.unknown if mark else None)
            or light.unknown
            or "the daylight at the mark could not be worked out"
        )
    lit = judged_light(light)
    if lit is None or lit.overcast_lux_noon is None:
        return _unknown("because the daylight at the mark could not be worked out")
    figure = f"{lit.overcast_lux_noon:.0f} lx{' to the camera' if lit.side else ''} overcast at noon, {light.needed_lux:.0f} needed"
    if lit.enough_from is None or lit.enough_until is None:
        brightest = 0.0 if lit.most is None else light.needed_lux * 2**lit.most.value
        if lit.enough_clear:
            return NeedCell(
                "care",
                figure,
                f"enough under a clear sky only ({brightest:.0f} lx at best), {lit.where}",
            )
        return NeedCell(
            "fail", figure, f"never enough on this date without added light, {lit.where}"
        )
    zone: tzinfo | None = (
        ZoneInfo(case.facts.assessment.timezone)
        if case.facts.assessment.timezone
        else lit.enough_from.tzinfo
    )
    enough = lit.enough_from.astimezone(zone), lit.enough_until.astimezone(zone)
    span = f"{enough[0]:%H:%M} to {enough[1]:%H:%M}"
    for from_time, until_time in _hours_wanted(case):
        begin, end = _on_the_day(case.facts.assessment.date, from_time, until_time, zone)
        if (begin is not None and begin < enough[0]) or (end is not None and end > enough[1]):
            hours = " ".join(
                words
                for words in (
                    f"from {from_time}" if from_time else "",
                    f"until {until_time}" if until_time else "",
                )
                if words
            )
            return NeedCell(
                "care",
                figure,
                f"enough from {span} under an overcast sky, {lit.where}, not for all of the hours wanted ({hours})",
            )
    return NeedCell("pass", figure, f"enough from {span} even under an overcast sky, {lit.where}")


def _hours_wanted(case: _Case) -> list[tuple[str | None, str | None]]:
    """The hours that the scene's dates name, from and until, either of them left open."""
    return [
        (need.from_time, need.until_time)
        for need in case.scene.needs or ()
        if isinstance(need, WhenNeed) and (need.from_time or need.until_time)
    ]


def _on_the_day(
    on: date, from_time: str | None, until_time: str | None, zone: tzinfo | None
) -> tuple[datetime | None, datetime | None]:
    """Those hours as instants of one date; an end that is not after its beginning lies on the next
    day.
    """
    begin = datetime.combine(on, time.fromisoformat(from_time), tzinfo=zone) if from_time else None
    end = datetime.combine(on, time.fromisoformat(until_time), tzinfo=zone) if until_time else None
    if from_time and until_time and end is not None and until_time <= from_time:
        end += timedelta(days=1)
    return begin, end


def _shut_out(case: _Case) -> NeedCell:
    room = case.facts.room
    if room.setting == "exterior":
        return NeedCell("fail", "open sky", "daylight cannot be shut out outdoors")
    if room.setting == "covered":
        return NeedCell("fail", "open sides", "a roof without walls lets daylight in from the side")
    if room.windows is None:
        return _unknown("the windows of the room are not recorded")
    bare = [w.id for w in room.windows if w.covering in ("none", "sheer")]
    unknown = [w.id for w in room.windows if w.covering is None]
    blinds = [w.id for w in room.windows if w.covering == "blind"]
    figure = f"{len(room.windows)} window{'s' if len(room.windows) != 1 else ''}"
    if bare:
        return NeedCell(
            "fail",
            figure,
            f"{', '.join(bare)}: nothing there to keep the light out; bring blackout",
        )
    if unknown:
        return _unknown(f"the covering of {', '.join(unknown)} is not recorded")
    if blinds:
        return NeedCell(
            "care", figure, f"{', '.join(blinds)}: a blind leaks at its edges; bring tape and cloth"
        )
    return NeedCell(
        "pass", figure, "every window has blackout" if room.windows else "there is no window"
    )


def _colour(need: ColourNeed, case: _Case) -> NeedCell:
    rows = [row for row in case.facts.assessment.surround if row.risk is not None]
    if not rows:
        note = case.facts.assessment.blocks.get("surround")
        first: Any = next(iter(case.facts.assessment.surround), None)
        return _unknown(
            (first.unknown if first else None)
            or (note.unknown if note else None)
            or "the bounce colour could not be worked out"
        )
    worst = max(rows, key=lambda row: RISKS.index(row.risk or "none"))
    over = RISKS.index(worst.risk or "none") - RISKS.index(need.risk)
    near = (
        over == 1 and worst.risk != "high"
    )  # one step is within the doubt of a colour read by eye or card; high is beyond it
    where = f"{worst.light} on the {worst.side} side" + (
        f", mostly from {_surface(worst.worst_surface)}" if worst.worst_surface else ""
    )
    detail = f"worst: {where}" + (
        f", colour difference {worst.delta_e:.1f}" if worst.delta_e is not None else ""
    )
    return NeedCell(
        "pass" if over <= 0 else "care" if near else "fail", f"{worst.risk} risk", detail
    )


def _surface(name: str) -> str:
    return f"wall {name}" if len(name) == 1 else f"the {name}"


def _watts(need: WattsNeed, case: _Case) -> NeedCell:
    room = case.facts.room
    circuits = room.circuits
    if not circuits:
        return _unknown("the circuits of the room are not recorded")
    share = case.facts.continuous_share or DEFAULT_CONTINUOUS_SHARE
    reached = None if room.outlets is None else {outlet.circuit for outlet in room.outlets}
    bare = [
        c for c in circuits if reached is not None and c.id not in reached
    ]  # nothing in the room is known to hang on them
    usable = [c for c in circuits if c not in bare]
    unread = [c.id for c in usable if c.volts is None or c.breaker_a is None]
    carrying = [
        c.id for c in usable if c.other_load_w is None and c.id not in unread
    ]  # something may hang there already; nobody said what
    sure, most = (
        sum(_spare_w(c, share) for c in usable if c.other_load_w is not None or counted)
        for counted in (False, True)
    )
    if sure >= need.watts:
        figure = f"{sure:.0f} W to spare at {share:.0%} of the breakers"
        shaky = [c.id for c in usable if not c.verified]
        if shaky:
            return NeedCell("care", figure, f"{', '.join(shaky)}: not verified; try it on site")
        return NeedCell(
            "pass", figure, "over all circuits together; the power plan says which light goes where"
        )
    doubts = []
    if most >= need.watts and carrying:
        doubts.append(f"what else hangs on {', '.join(carrying)} is not recorded")
    if unread:
        doubts.append(f"the volts or the breaker of {', '.join(unread)} are not recorded")
    if bare and most + sum(_spare_w(c, share) for c in bare) >= need.watts:
        doubts.append(f"no outlet is recorded on {', '.join(c.id for c in bare)}")
    if doubts:
        known = (
            f"between {sure:.0f} and {most:.0f} W to spare"
            if carrying
            else f"{sure:.0f} W to spare at least"
        )
        return NeedCell(
            "unknown", known if most else "not measured", f"because {' and '.join(doubts)}"
        )
    figure = (
        f"{most:.0f} W to spare {'at most, ' if carrying else ''}at {share:.0%} of the breakers"
    )
    return NeedCell(
        "fail",
        figure,
        f"{need.watts - most:.0f} W short; bring battery lights or a licensed person's feed",
    )


def _spare_w(circuit: Circuit, share: float) -> float:
    """What a circuit has left with what is known to hang on it; 0 when its volts or its breaker are
    not recorded.
    """
    if circuit.volts is None or circuit.breaker_a is None:
        return 0.0
    return max(0.0, circuit.volts * circuit.breaker_a * share - (circuit.other_load_w or 0.0))


def _access(need: AccessNeed, case: _Case) -> NeedCell:
    place, units = case.facts.location, case.units
    figures, faults, missing = [], [], []
    carry = place.parking_distance_m
    for limit, found, words, figure, too in (
        (
            need.steps,
            place.steps,
            "the number of steps",
            _steps(place.steps or 0),
            "too many steps",
        ),
        (
            need.carry_m,
            carry,
            "the distance from parking",
            f"carry {metres_as_text(carry or 0.0, units, decimals=0)}",
            "too far to carry",
        ),
    ):
        if limit is None:
            continue
        if found is None:
            missing.append(words)
            continue
        figures.append(figure)
        if found > limit:
            faults.append(too)
    if need.door_width_m is not None:
        if place.door_width_m is None:
            missing.append("the width of the narrowest door")
        else:
            figures.append(f"door {metres_as_text(place.door_width_m, units)}")
            if place.door_width_m < need.door_width_m:
                faults.append("door too narrow")
    shown = ", ".join(figures) or "not recorded"
    if faults:
        lift = (
            " (a lift is recorded: check its size)"
            if place.has_lift and "too many steps" in faults
            else ""
        )
        level: CellLevel = "care" if lift and faults == ["too many steps"] else "fail"
        return NeedCell(level, shown, " and ".join(faults) + lift)
    if missing:
        return NeedCell(
            "unknown",
            shown,
            f"because {' and '.join(missing)} {'is' if len(missing) == 1 else 'are'} not recorded",
        )
    return NeedCell("pass", shown, "within what the scene allows")


def _budget(need: BudgetNeed, case: _Case) -> NeedCell:
    place = case.facts.location
    if place.fee_amount is None:
        return NeedCell(
            "unknown", "not recorded", "because the fee is not recorded; ask the contact"
        )
    if place.fee_amount == 0:
        return NeedCell("pass", "no fee", place.fee_note or "recorded as free of charge")
    if place.fee_currency is None:
        return NeedCell(
            "unknown", _plain(place.fee_amount), "because the currency of the fee is not recorded"
        )
    figure = f"{_plain(place.fee_amount)} {place.fee_currency}"
    if place.fee_currency != need.currency:
        return NeedCell(
            "unknown",
            figure,
            f"because the fee is in {place.fee_currency} and the budget in {need.currency}; no rate is guessed",
        )
    over = place.fee_amount - need.amount
    return NeedCell(
        "pass" if over <= 0 else "fail",
        figure,
        "; ".join(
            words
            for words in (
                "within the budget" if over <= 0 else f"{_plain(over)} {need.currency} over",
                place.fee_note,
            )
            if words
        ),
    )


_JUDGES: dict[str, Callable[[Any, _Case], NeedCell]] = {
    "when": _when,
    "floor": _floor,
    "height": _height,
    "framing": _framing,
    "noise": _noise,
    "daylight": _daylight,
    "colour": _colour,
    "watts": _watts,
    "access": _access,
    "budget": _budget,
}
