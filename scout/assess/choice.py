"""Candidate rooms side by side: a row a need, a cell a room, each with its figure and its reason; no score is ever summed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any, Literal, get_args
from zoneinfo import ZoneInfo

from scout.assess.answers import Risk, RoomAssessment
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
from scout.records.sheet import RoomRecord
from scout.units import Units, area_as_text, metres_as_text

CellLevel = Literal["pass", "care", "fail", "unknown"]
DEFAULT_CONTINUOUS_SHARE = 0.8  # common practice, as the room sheet states it
RISKS: tuple[str, ...] = get_args(Risk)
# Half-widths of a reading's doubt by method, in dB; common practice, none is a standard's figure for a whole measurement.
NOISE_DOUBT_DB = {"estimate": 6.0, "phone_app": 5.0, "phone_recording": 5.0, "meter_class_2": 1.5, "meter_class_1": 1.0}
FRAMING_WORDS = {"wide": "wide of the room", "full_figure": "full figure", "medium": "medium", "head_and_shoulders": "head and shoulders",
                 "two_people": "two people"}


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


@dataclass(frozen=True)
class _Case:
    facts: CandidateFacts
    scene: SceneRecord
    units: Units


def compare(scene: SceneRecord, on: date, candidates: Sequence[CandidateFacts], *, units: Units = "metric") -> Comparison:
    """The scene's needs against every candidate, each need judged on its own."""
    rows = tuple(
        NeedRow(
            need.topic, need_words(need, units), need.strength, need.weight if need.strength == "wish" else None,
            tuple(_JUDGES[need.topic](need, _Case(facts, scene, units)) for facts in candidates),
        )
        for need in scene.needs or ()
    )
    heads = tuple(_head(facts, [(row, row.cells[i]) for row in rows]) for i, facts in enumerate(candidates))
    return Comparison(scene.name, on, heads, rows)


def _head(facts: CandidateFacts, cells: Sequence[tuple[NeedRow, NeedCell]]) -> ComparedCandidate:
    musts = [cell for row, cell in cells if row.strength == "must"]
    wishes = [(row.weight or 0, cell) for row, cell in cells if row.strength == "wish"]
    failed, unknown = sum(c.level == "fail" for c in musts), sum(c.level == "unknown" for c in musts)
    met, total = sum(w for w, c in wishes if c.level == "pass"), sum(w for w, _ in wishes)
    parts = []
    if musts:
        kept = len(musts) - failed - unknown
        parts.append(f"{kept} of {len(musts)} musts met" + (f", {failed} failed" if failed else "") + (f", {unknown} unknown" if unknown else ""))
    if wishes:
        parts.append(f"wishes met: {met} of {total} by weight")
    return ComparedCandidate(
        facts.candidate_id, facts.room_id, facts.room_name, facts.location.name, facts.candidate.state, facts.candidate.reason, failed, unknown,
        met, total, "; ".join(parts) or "no needs are stated",
    )


def need_words(need: Need, units: Units = "metric") -> str:
    """A need in words."""
    if isinstance(need, WhenNeed):
        hours = f", {need.from_time or 'open'} to {need.until_time or 'close'}" if need.from_time or need.until_time else ""
        return ", ".join(f"{day.day} {day:%b %Y}" for day in need.dates) + hours
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
        return f"bounce colour cast {need.risk} at most" if need.risk != "none" else "no bounce colour cast"
    if isinstance(need, WattsNeed):
        return f"{need.watts:g} W for lights and chargers"
    if isinstance(need, AccessNeed):
        parts = [f"{need.steps} steps at most" if need.steps is not None else "",
                 f"carry {need.carry_m:g} m at most" if need.carry_m is not None else "",
                 f"doors {metres_as_text(need.door_width_m, units)} or wider" if need.door_width_m is not None else ""]
        return "access: " + ", ".join(part for part in parts if part)
    return f"fee {need.amount:g} {need.currency} or less"


def _unknown(because: str) -> NeedCell:
    return NeedCell("unknown", "not measured", because if because.startswith("because") else f"because {because}")


def _when(need: WhenNeed, case: _Case) -> NeedCell:
    hours = case.facts.location.hours
    if not hours:
        return NeedCell("unknown", "not recorded", "because the hours of the place are not recorded; ask the contact")
    return NeedCell("care", "hours: " + " ".join(hours.split())[:120], "the hours are recorded in words: read them against the dates, and confirm with the contact")


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
    fitting = [row for row in known if row.fits]
    if fitting:
        best = fitting[-1]  # the longest lens that still fits flatters a face most
        lenses = ", ".join(f"{row.focal_length_mm:g} mm" for row in fitting)
        distance = metres_as_text(best.distance_m, case.units) if best.distance_m is not None else ""
        return NeedCell("pass", lenses, f"the longest lens that fits stands {distance} away")
    if known:
        return NeedCell("fail", f"needs {metres_as_text(min(r.distance_m or 0 for r in known), case.units)}", known[0].why or "no lens of the kit fits in this room")
    return _unknown((rows[0].unknown if rows else None) or case.facts.assessment.fit.unknown or "the framing could not be worked out")


def _noise(need: NoiseNeed, case: _Case) -> NeedCell:
    sound = case.facts.assessment.sound
    if sound.laeq_db is None:
        return _unknown(sound.unknown or "the noise of the room is not measured")
    over = sound.laeq_db - need.laeq_db
    readings = [r for r in case.facts.room.noise or () if r.laeq_db is not None and abs(r.laeq_db - sound.laeq_db) < 0.05] or list(case.facts.room.noise or ())
    method = readings[0].method if readings else None
    conditions = f", {readings[0].conditions}" if readings and readings[0].conditions else ""
    doubt = NOISE_DOUBT_DB.get(method or "estimate", 6.0)
    figure = f"{sound.laeq_db:.0f} dBA"
    how = f"read by {(method or 'a method not recorded').replace('_', ' ')}, give or take {doubt:g} dB{conditions}"
    if over <= -doubt:
        return NeedCell("pass", figure, f"{-over:.0f} dB under; {how}")
    if over <= 0:
        return NeedCell("care" if doubt > 2 else "pass", figure, f"{-over:.0f} dB under, within the reading's doubt; {how}")
    return NeedCell("care" if over <= doubt else "fail", figure, f"{over:.0f} dB over; {how}")


def _daylight(need: DaylightNeed, case: _Case) -> NeedCell:
    if need.want == "shut_out":
        return _shut_out(case)
    light = case.facts.assessment.daylight
    mark = light.marks.get("subject")
    if mark is None or light.needed_lux is None or not mark.series or mark.overcast_lux_noon is None:
        return _unknown((mark.unknown if mark else None) or light.unknown or "the daylight at the mark could not be worked out")
    figure = f"{mark.overcast_lux_noon:.0f} lx overcast at noon, {light.needed_lux:.0f} needed"
    if light.enough_from is None or light.enough_until is None:
        brightest = max((p.clear_lux or 0.0) for p in mark.series)
        if brightest >= light.needed_lux:
            return NeedCell("care", figure, f"enough under a clear sky only ({brightest:.0f} lx at best)")
        return NeedCell("fail", figure, "never enough on this date without added light")
    span = f"{light.enough_from:%H:%M} to {light.enough_until:%H:%M}"
    wanted = _hours_wanted(case)
    if wanted and not _covers(wanted, (light.enough_from, light.enough_until), case.facts.assessment.timezone):
        return NeedCell("care", figure, f"enough from {span} under an overcast sky, not for all of {wanted[0]:%H:%M} to {wanted[1]:%H:%M}")
    return NeedCell("pass", figure, f"enough from {span} even under an overcast sky")


def _hours_wanted(case: _Case) -> tuple[time, time] | None:
    for need in case.scene.needs or ():
        if isinstance(need, WhenNeed) and need.from_time and need.until_time:
            return time.fromisoformat(need.from_time), time.fromisoformat(need.until_time)
    return None


def _covers(wanted: tuple[time, time], span: tuple[datetime, datetime], zone: str | None) -> bool:
    local = [moment.astimezone(ZoneInfo(zone)) if zone else moment for moment in span]
    return local[0].time() <= wanted[0] and wanted[1] <= local[1].time()


def _shut_out(case: _Case) -> NeedCell:
    room = case.facts.room
    if room.setting == "exterior":
        return NeedCell("fail", "open sky", "daylight cannot be shut out outdoors")
    if room.windows is None:
        return _unknown("the windows of the room are not recorded")
    bare = [w.id for w in room.windows if w.covering in ("none", "sheer")]
    unknown = [w.id for w in room.windows if w.covering is None]
    blinds = [w.id for w in room.windows if w.covering == "blind"]
    figure = f"{len(room.windows)} window{'s' if len(room.windows) != 1 else ''}"
    if bare:
        return NeedCell("fail", figure, f"{', '.join(bare)}: nothing there to keep the light out; bring blackout")
    if unknown:
        return _unknown(f"the covering of {', '.join(unknown)} is not recorded")
    if blinds:
        return NeedCell("care", figure, f"{', '.join(blinds)}: a blind leaks at its edges; bring tape and cloth")
    return NeedCell("pass", figure, "every window has blackout" if room.windows else "there is no window")


def _colour(need: ColourNeed, case: _Case) -> NeedCell:
    rows = [row for row in case.facts.assessment.surround if row.risk is not None]
    if not rows:
        note = case.facts.assessment.blocks.get("surround")
        first: Any = next(iter(case.facts.assessment.surround), None)
        return _unknown((first.unknown if first else None) or (note.unknown if note else None) or "the bounce colour could not be worked out")
    worst = max(rows, key=lambda row: RISKS.index(row.risk or "none"))
    over = RISKS.index(worst.risk or "none") - RISKS.index(need.risk)
    where = f"{worst.light} on the {worst.side} side" + (f", mostly from {_surface(worst.worst_surface)}" if worst.worst_surface else "")
    detail = f"worst: {where}" + (f", colour difference {worst.delta_e:.1f}" if worst.delta_e is not None else "")
    return NeedCell("pass" if over <= 0 else "care" if over == 1 else "fail", f"{worst.risk} risk", detail)


def _surface(name: str) -> str:
    return f"wall {name}" if len(name) == 1 else f"the {name}"


def _watts(need: WattsNeed, case: _Case) -> NeedCell:
    circuits = case.facts.room.circuits
    if not circuits:
        return _unknown("the circuits of the room are not recorded")
    unknown = [c.id for c in circuits if c.volts is None or c.breaker_a is None]
    spare = sum(max(0.0, c.volts * c.breaker_a * DEFAULT_CONTINUOUS_SHARE - (c.other_load_w or 0.0)) for c in circuits if c.volts and c.breaker_a)
    figure = f"{spare:.0f} W to spare at 80 %"
    if spare >= need.watts:
        shaky = [c.id for c in circuits if not c.verified] + [c.id for c in circuits if c.other_load_w is None and c.verified]
        if shaky:
            return NeedCell("care", figure, f"{', '.join(dict.fromkeys(shaky))}: not verified, or its other load not recorded; try it on site")
        return NeedCell("pass", figure, "over all circuits together; the power plan says which light goes where")
    if unknown:
        return _unknown(f"the volts or the breaker of {', '.join(unknown)} are not recorded")
    return NeedCell("fail", figure, f"{need.watts - spare:.0f} W short; bring battery lights or a licensed person's feed")


def _access(need: AccessNeed, case: _Case) -> NeedCell:
    place, units = case.facts.location, case.units
    figures, faults, missing = [], [], []
    carry = place.parking_distance_m
    for limit, found, words, figure, too in (
        (need.steps, place.steps, "the number of steps", f"{place.steps} steps", "too many steps"),
        (need.carry_m, carry, "the distance from parking", f"carry {metres_as_text(carry or 0.0, units, decimals=0)}", "too far to carry"),
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
        lift = " (a lift is recorded: check its size)" if place.has_lift and "too many steps" in faults else ""
        level: CellLevel = "care" if lift and faults == ["too many steps"] else "fail"
        return NeedCell(level, shown, " and ".join(faults) + lift)
    if missing:
        return NeedCell("unknown", shown, f"because {' and '.join(missing)} {'is' if len(missing) == 1 else 'are'} not recorded")
    return NeedCell("pass", shown, "within what the scene allows")


def _budget(need: BudgetNeed, case: _Case) -> NeedCell:
    place = case.facts.location
    if place.fee_amount is None:
        return NeedCell("unknown", "not recorded", "because the fee is not recorded; ask the contact")
    if place.fee_amount == 0:
        return NeedCell("pass", "no fee", place.fee_note or "recorded as free of charge")
    if place.fee_currency is None:
        return NeedCell("unknown", f"{place.fee_amount:g}", "because the currency of the fee is not recorded")
    figure = f"{place.fee_amount:g} {place.fee_currency}"
    if place.fee_currency != need.currency:
        return NeedCell("unknown", figure, f"because the fee is in {place.fee_currency} and the budget in {need.currency}; no rate is guessed")
    over = place.fee_amount - need.amount
    return NeedCell("pass" if over <= 0 else "fail", figure, place.fee_note or ("within the budget" if over <= 0 else f"{over:g} {need.currency} over"))


_JUDGES: dict[str, Callable[[Any, _Case], NeedCell]] = {
    "when": _when, "floor": _floor, "height": _height, "framing": _framing, "noise": _noise, "daylight": _daylight, "colour": _colour,
    "watts": _watts, "access": _access, "budget": _budget,
}
