"""Candidate rooms side by side: a row a need, a cell a room, each with its figure and its reason;
no score is ever summed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time
from typing import Any, Literal

from scout.assess.answers import (
    Level,
    RoomAssessment,
    unmeasured,
)
from scout.assess.bounce.worst import worst_cast
from scout.assess.choice.opening import open_when
from scout.assess.choice.way_in import way_in
from scout.assess.daylight.judged import JudgedLight, judged_light
from scout.assess.fit.levels import framing_level
from scout.assess.setup import Setup
from scout.assess.sound.hours import Shoot, noises_then
from scout.assess.sound.noise import quiet_then
from scout.calc.bounce.shift import RISKS
from scout.calc.choice.floor import rectangle_fits
from scout.calc.geometry import plan_area_m2
from scout.calc.power.current import CONTINUOUS_SHARE
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
from scout.records.sheet import Circuit, RoomRecord, RoomSheet
from scout.records.sounds import NoiseWindowRecord
from scout.values import Figure, Many, Name, Said, Spell, Value, Word, names, said

CellLevel = Literal["pass", "care", "fail", "unknown", "outside"]
CELL_LEVELS: Mapping[Level, CellLevel] = {
    "good": "pass",
    "care": "care",
    "problem": "fail",
    "unknown": "unknown",
    "outside": "outside",
}
_WORSE: tuple[CellLevel, ...] = ("outside", "pass", "care", "unknown", "fail")
MOST_DATES = 6  # said one by one; more are counted


@dataclass(frozen=True)
class NeedCell:
    """How one room meets one need; `outside`: the need does not apply there."""

    level: CellLevel
    figure: Value | None
    why: Said


@dataclass(frozen=True)
class NeedRow:
    """One need across all candidates, in their order."""

    topic: str
    need: Said
    strength: Literal["must", "wish"]
    weight: int | None  # of what is preferred against the rest of it; the required has none
    cells: tuple[NeedCell, ...]


@dataclass(frozen=True)
class ComparedCandidate:
    """A candidate at the head of its column, with plain counts instead of a score. What does not
    apply is not counted.
    """

    candidate_id: int
    room_id: int
    room_name: str
    location_name: str
    state: str
    reason: str | None
    summary: Said


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

    @property
    def whens(self) -> list[WhenNeed]:
        """The dates and hours that the scene asks for."""
        return [need for need in self.scene.needs or () if isinstance(need, WhenNeed)]


def compare(scene: SceneRecord, on: date, candidates: Sequence[CandidateFacts]) -> Comparison:
    """The scene's needs against every candidate, each need judged on its own."""
    rows = tuple(
        NeedRow(
            need.topic,
            need_words(need),
            need.strength,
            need.weight if need.strength == "wish" else None,
            tuple(_JUDGES[need.topic](need, _Case(facts, scene)) for facts in candidates),
        )
        for need in scene.needs or ()
    )
    heads = tuple(
        _head(facts, [(row, row.cells[i]) for row in rows]) for i, facts in enumerate(candidates)
    )
    return Comparison(scene.name, on, heads, rows)


def _head(facts: CandidateFacts, cells: Sequence[tuple[NeedRow, NeedCell]]) -> ComparedCandidate:
    applying = [(row, cell) for row, cell in cells if cell.level != "outside"]
    required = [cell.level for row, cell in applying if row.strength == "must"]
    preferred = [(row.weight or 0, cell) for row, cell in applying if row.strength == "wish"]
    parts = []
    if required:
        parts.append(
            said(
                "need.required_met",
                met=required.count("pass"),
                of=len(required),
                care=required.count("care") or None,
                failed=required.count("fail") or None,
                unknown=required.count("unknown") or None,
            )
        )
    if preferred:
        met = sum(weight for weight, cell in preferred if cell.level == "pass")
        total = sum(weight for weight, _ in preferred)
        parts.append(said("need.preferred_met", met=met, of=total))
    return ComparedCandidate(
        facts.candidate_id,
        facts.room_id,
        facts.room_name,
        facts.location.name,
        facts.candidate.state,
        facts.candidate.reason,
        _list(*parts) if parts else said("need.none"),
    )


def need_words(need: Need) -> Said:
    """A need as it is said."""
    return _ASKED[need.topic](need)


def _when_asked(need: WhenNeed) -> Said:
    begin, end = (
        time.fromisoformat(clock) if clock else None for clock in (need.from_time, need.until_time)
    )
    both = Spell(begin, end) if begin is not None and end is not None else None
    return said(
        "asked.when",
        dates=Many(tuple(need.dates[:MOST_DATES]), "list"),
        more=len(need.dates) - MOST_DATES if len(need.dates) > MOST_DATES else None,
        spell=both,
        begin=begin if both is None else None,
        end=end if both is None else None,
    )


def _access_asked(need: AccessNeed) -> Said:
    parts = []
    if need.steps is not None:
        parts.append(
            said("asked.steps", steps=need.steps) if need.steps else said("asked.no_steps")
        )
    if need.carry_m is not None:
        parts.append(said("asked.carry", carry=Figure(need.carry_m, "m")))
    if need.door_width_m is not None:
        parts.append(said("asked.door", width=Figure(need.door_width_m, "m")))
    return said("asked.access", parts=Many(tuple(parts), "list"))


def _m(value: float) -> Figure:
    return Figure(value, "m")


_ASKED: dict[str, Callable[[Any], Said]] = {
    "when": _when_asked,
    "floor": lambda need: said("asked.floor", width=_m(need.width_m), length=_m(need.length_m)),
    "height": lambda need: said("asked.height", height=_m(need.height_m)),
    "framing": lambda need: said("asked.framing", framing=Word("framing", need.framing)),
    "noise": lambda need: said("asked.noise", laeq=Figure(need.laeq_db, "dBA")),
    "daylight": lambda need: (
        said("asked.daylight") if need.want == "wanted" else said("asked.dark")
    ),
    "colour": lambda need: (
        said("asked.no_cast")
        if need.risk == "none"
        else said("asked.colour", risk=Word("risk", need.risk))
    ),
    "watts": lambda need: said("asked.watts", watts=Figure(need.watts, "W")),
    "access": _access_asked,
    "budget": lambda need: said("asked.budget", fee=_money(need.amount, need.currency)),
}


def _money(amount: float, currency: str | None) -> Said:
    value = int(amount) if float(amount).is_integer() else Figure(amount)
    return said("need.money", amount=value, currency=Name(currency) if currency else None)


def _list(*parts: Value | None) -> Said:
    given = tuple(part for part in parts if part is not None)
    return said("need.list", parts=Many(given, "list"))


def _unknown(because: Any) -> NeedCell:
    """A cell of what nobody measured; the reason is another family's."""
    return NeedCell("unknown", said("need.not_measured"), because)


def _when(need: WhenNeed, case: _Case) -> NeedCell:
    answer = open_when(need, case.facts.location)
    noises = noises_then(Shoot.of_need(need), case.facts.noises)
    if noises is None:
        return NeedCell(answer.level, answer.figure, _list(*answer.why))
    level: CellLevel = "care" if answer.level == "pass" else answer.level
    return NeedCell(level, answer.figure, _list(*answer.why, noises.why))


def _floor(need: FloorNeed, case: _Case) -> NeedCell:
    corners = case.facts.room.corners_m
    if corners is None:
        return _unknown(unmeasured("room.plan_m"))
    figure = Figure(plan_area_m2(corners), "m2")
    if rectangle_fits(corners, need.width_m, need.length_m):
        return NeedCell("pass", figure, said("need.floor_fits"))
    return NeedCell("fail", figure, said("need.floor_short"))


def _height(need: HeightNeed, case: _Case) -> NeedCell:
    room = case.facts.room
    if room.setting == "exterior":
        return NeedCell("pass", said("need.open_sky"), said("need.no_ceiling"))
    if room.height_m is None:
        return _unknown(unmeasured("room.height_m"))
    gap = room.height_m - need.height_m
    if gap >= 0:
        return NeedCell("pass", _m(room.height_m), said("need.to_spare", gap=_m(gap)))
    return NeedCell("fail", _m(room.height_m), said("need.too_low", gap=_m(-gap)))


def _framing(need: FramingNeed, case: _Case) -> NeedCell:
    fit = case.facts.assessment.fit
    framed = framing_level(fit, need.framing)
    row = framed.row
    if row is None or framed.level == "unknown":
        because = (row.unknown if row else None) or fit.unknown or said("need.no_framing")
        return _unknown(because)
    lens = Figure(row.focal_length_mm, "mm")
    if framed.level == "problem":
        away = None if row.distance_m is None else _m(row.distance_m)
        figure = said("need.needs_room", distance=away) if away else said("need.no_lens")
        why = said("need.no_lens_fits") if row.why is None else row.why
        return NeedCell("fail", figure, said("need.at_lens", lens=lens, why=why))
    alike = sorted(one.focal_length_mm for one in (row, *framed.others))
    lenses = Many(tuple(Figure(focal, "mm") for focal in alike), "list")
    if framed.level == "care" and row.why is not None:
        return NeedCell("care", lenses, row.why)
    away = None if row.face_distance_m is None else _m(row.face_distance_m)
    return NeedCell(CELL_LEVELS[framed.level], lenses, said("need.best_lens", lens=lens, away=away))


def _noise(need: NoiseNeed, case: _Case) -> NeedCell:
    facts = case.facts
    answer = quiet_then(need.laeq_db, case.whens, facts.room, facts.noises, facts.location.timezone)
    why = _list(*answer.why)
    if answer.laeq is None:
        return _unknown(why)
    return NeedCell(CELL_LEVELS[answer.level], answer.laeq, why)


def _daylight(need: DaylightNeed, case: _Case) -> NeedCell:
    if need.want == "shut_out":
        return _shut_out(case)
    light = case.facts.assessment.daylight
    judged = [lit for setup in _setups(case) if (lit := judged_light(light, setup)) is not None]
    mark = light.marks.get("subject")
    if not judged or all(lit.kind == "unknown" for lit in judged):
        return _unknown((mark.unknown if mark else None) or light.unknown or said("need.no_light"))
    # no daylight at all within the hours is no daylight; for a setup alone it is night, and care
    levels = [("fail" if lit.kind == "dark" else CELL_LEVELS[lit.level], lit) for lit in judged]
    level, lit = max(levels, key=lambda pair: _WORSE.index(pair[0]))
    figure = None
    if lit.overcast_lux_noon is not None and lit.needed_lux is not None:
        figure = said(
            "need.lux",
            lux=Figure(lit.overcast_lux_noon, "lux"),
            needed=Figure(lit.needed_lux, "lux"),
        )
    return NeedCell(level, figure, _light_why(lit))


def _light_why(lit: JudgedLight) -> Said:
    spell = Spell(lit.enough[0][0], lit.enough[-1][1]) if lit.enough else None
    if lit.kind == "enough" and lit.level == "good":
        return said("need.light_enough", spell=spell, where=lit.where)
    if lit.kind == "enough":
        return said("need.light_part", spell=spell, where=lit.where)
    if lit.kind == "too_bright":
        return said("need.light_bright", over=lit.overcast, where=lit.where)
    if lit.kind == "clear_only":
        return said("need.light_clear", where=lit.where)
    if lit.kind == "dark":
        return said("need.light_dark")
    return said("need.light_short", where=lit.where)


def _setups(case: _Case) -> Iterator[Setup | None]:
    """A setup for each of the scene's hours; the whole date where it names none."""
    found = case.facts.assessment
    timed = [need for need in case.whens if need.from_time or need.until_time]
    sheet = RoomSheet.model_validate(
        {"schema": "room-sheet/1", "room": {}, "location": {"timezone": found.timezone}}
    )
    for need in timed:
        begin, end = (
            time.fromisoformat(clock) if clock else None
            for clock in (need.from_time, need.until_time)
        )
        yield Setup(sheet, found.date, begin, end)
    if not timed:
        yield None


def _shut_out(case: _Case) -> NeedCell:
    room = case.facts.room
    if room.setting == "exterior":
        return NeedCell("fail", said("need.open_sky"), said("need.not_outdoors"))
    if room.setting == "covered":
        return NeedCell("fail", said("need.open_sides"), said("need.from_the_side"))
    if room.windows is None:
        return _unknown(unmeasured("room.windows"))
    bare = [w.id for w in room.windows if w.covering in ("none", "sheer")]
    unknown = [w.id for w in room.windows if w.covering is None]
    blinds = [w.id for w in room.windows if w.covering == "blind"]
    figure = said("need.windows", count=len(room.windows))
    if bare:
        return NeedCell("fail", figure, said("need.bare", windows=names(bare)))
    if unknown:
        return _unknown(unmeasured(*(f"windows.{window}.covering" for window in unknown)))
    if blinds:
        return NeedCell("care", figure, said("need.blinds", windows=names(blinds)))
    return NeedCell(
        "pass", figure, said("need.blackout") if room.windows else said("need.no_window")
    )


def _colour(need: ColourNeed, case: _Case) -> NeedCell:
    found = case.facts.assessment
    if case.facts.room.setting == "exterior":
        return NeedCell("outside", None, said("need.no_walls"))
    worst = worst_cast(found)
    if worst is None or worst.risk is None or worst.delta_e is None:
        first: Any = next(iter(found.surround), None)
        note = found.blocks.get("surround")
        return _unknown(
            (first.unknown if first else None)
            or (note.unknown if note else None)
            or said("need.no_colour")
        )
    over = RISKS.index(worst.risk) - RISKS.index(need.risk)
    # one step is within the doubt of a colour read by eye or card; high is beyond it
    near = over == 1 and worst.risk != "high"
    why = said(
        "need.worst_cast",
        light=Name(worst.light),
        side=Word("side", worst.side),
        surface=Word("surface", worst.worst_surface) if worst.worst_surface else None,
        risk=Word("risk", worst.risk),
    )
    level: CellLevel = "pass" if over <= 0 else "care" if near else "fail"
    return NeedCell(level, Figure(worst.delta_e, "delta_e"), why)


def _watts(need: WattsNeed, case: _Case) -> NeedCell:
    room = case.facts.room
    circuits = room.circuits
    if not circuits:
        return _unknown(unmeasured("room.circuits"))
    share = case.facts.continuous_share or CONTINUOUS_SHARE
    reached = None if room.outlets is None else {outlet.circuit for outlet in room.outlets}
    # nothing in the room is known to hang on them
    bare = [c for c in circuits if reached is not None and c.id not in reached]
    usable = [c for c in circuits if c not in bare]
    unread = [c for c in usable if c.volts is None or c.breaker_a is None]
    # something may hang there already; nobody said what
    carrying = [c for c in usable if c.other_load_w is None and c not in unread]
    sure, most = (
        sum(_spare_w(c, share) for c in usable if c.other_load_w is not None or counted)
        for counted in (False, True)
    )
    if sure >= need.watts:
        figure = said("need.watts_spare", watts=Figure(sure, "W"))
        shaky = [c.id for c in usable if not c.verified]
        if shaky:
            return NeedCell("care", figure, said("need.not_traced", circuits=names(shaky)))
        return NeedCell("pass", figure, said("need.all_circuits", share=_percent(share)))
    doubts: list[str] = []
    if most >= need.watts:
        doubts += [f"circuits.{c.id}.other_load_w" for c in carrying]
    for c in unread:
        doubts += [
            f"circuits.{c.id}.{fact}" for fact in ("volts", "breaker_a") if getattr(c, fact) is None
        ]
    no_outlet = most + sum(_spare_w(c, share) for c in bare) >= need.watts and bool(bare)
    if doubts or no_outlet:
        known = (
            said("need.not_measured")
            if not most
            else said("need.watts_spare", watts=Figure(most, "W", sure, most))
            if carrying
            else said("need.watts_least", watts=Figure(sure, "W"))
        )
        why = _list(
            unmeasured(*doubts) if doubts else None,
            said("need.no_outlet_on", circuits=names(c.id for c in bare)) if no_outlet else None,
        )
        return NeedCell("unknown", known, why)
    figure = (
        said("need.watts_most", watts=Figure(most, "W"))
        if carrying
        else said("need.watts_spare", watts=Figure(most, "W"))
    )
    return NeedCell("fail", figure, said("need.watts_short", short=Figure(need.watts - most, "W")))


def _percent(share: float) -> Figure:
    return Figure(100.0 * share, "%")


def _spare_w(circuit: Circuit, share: float) -> float:
    """What a circuit has left with what is known to hang on it; 0 when its volts or its breaker are
    not recorded.
    """
    if circuit.volts is None or circuit.breaker_a is None:
        return 0.0
    return max(0.0, circuit.volts * circuit.breaker_a * share - (circuit.other_load_w or 0.0))


def _access(need: AccessNeed, case: _Case) -> NeedCell:
    way = way_in(case.facts.room, case.facts.location)
    outdoors = case.facts.room.setting == "exterior"
    figures: list[Said] = []
    faults: list[Said] = []
    missing: list[str] = []
    if need.steps is not None:
        if way.steps is None:
            missing.append(way.path("steps"))
        else:
            figures.append(said("need.steps", steps=way.steps))
            if way.steps > need.steps:
                faults.append(said("need.steps_lift") if way.lift else said("need.steps_many"))
    if need.carry_m is not None:
        if way.carry_m is None:
            missing.append(way.path("carry_m"))
        else:
            figures.append(said("need.carry", carry=_m(way.carry_m)))
            if way.carry_m > need.carry_m:
                faults.append(said("need.carry_far"))
    if need.door_width_m is not None and not outdoors:
        if way.door_width_m is None:
            missing.append(way.path("door_width_m"))
        else:
            figures.append(said("need.door", width=_m(way.door_width_m)))
            if way.door_width_m < need.door_width_m:
                faults.append(said("need.door_narrow"))
    shown = Many(tuple(figures), "list") if figures else said("need.not_recorded")
    if faults:
        lift_only = [fault.code for fault in faults] == ["need.steps_lift"]
        return NeedCell("care" if lift_only else "fail", shown, _list(*faults))
    if missing:
        return NeedCell("unknown", shown, unmeasured(*missing))
    if not figures:
        return NeedCell("outside", None, said("need.no_doors"))
    return NeedCell("pass", shown, said("need.within"))


def _budget(need: BudgetNeed, case: _Case) -> NeedCell:
    place = case.facts.location
    note = Name(place.fee_note) if place.fee_note else None
    if place.fee_amount is None:
        return NeedCell("unknown", said("need.not_recorded"), said("need.no_fee_known"))
    if place.fee_amount == 0:
        return NeedCell("pass", said("need.no_fee"), _list(note or said("need.free")))
    figure = _money(place.fee_amount, place.fee_currency)
    if place.fee_currency is None:
        return NeedCell("unknown", figure, said("need.no_currency"))
    if place.fee_currency != need.currency:
        other = said(
            "need.other_currency", fee=Name(place.fee_currency), budget=Name(need.currency)
        )
        return NeedCell("unknown", figure, other)
    over = place.fee_amount - need.amount
    if over <= 0:
        return NeedCell("pass", figure, _list(said("need.in_budget"), note))
    dear = said("need.over_budget", over=_money(over, need.currency))
    return NeedCell("fail", figure, _list(dear, note))


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
