"""Candidate rooms side by side: a row a need, a cell a room, each with its figure and its reason;
no score is ever summed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, time
from typing import Any, Literal

from scout.assess.answers import (
    unmeasured,
)
from scout.assess.bounce.worst import worst_cast
from scout.assess.choice import place_needs, room_needs
from scout.assess.choice.cells import (
    CELL_LEVELS,
    WORSE,
    CandidateFacts,
    Case,
    CellLevel,
    NeedCell,
    Reading,
    listed,
    metres,
    money,
    unknown,
)
from scout.assess.choice.dates import OnDate, cells_over_dates, on_dates
from scout.assess.choice.opening import open_when
from scout.assess.choice.way_in import way_in
from scout.assess.daylight.judged import JudgedLight, judged_light
from scout.assess.fit.levels import framing_level, mark_words
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
    ColourNeed,
    DaylightNeed,
    FloorNeed,
    FramingNeed,
    HeightNeed,
    Need,
    NoiseNeed,
    SceneRecord,
    WattsNeed,
    WhenNeed,
)
from scout.records.sheet import Circuit, RoomSheet
from scout.values import Figure, Many, Name, Said, Spell, Word, names, said

# what rooms are, where nobody measured (common practice)
ROOM_HEIGHT_M, ROOM_DBA, ROOM_W = (2.1, 4.0), (25.0, 60.0), (1000.0, 7000.0)
TAPE_M = 0.02
MOST_DATES = 6  # said one by one; more are counted


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
    on: date
    dates: tuple[OnDate, ...] = ()  # from worst to best, where none is chosen yet
    on_dates: Said | None = None


@dataclass(frozen=True)
class Comparison:
    """The comparison of one scene."""

    scene: str
    on: date
    candidates: tuple[ComparedCandidate, ...]
    rows: tuple[NeedRow, ...]


def compare(scene: SceneRecord, on: date, candidates: Sequence[CandidateFacts]) -> Comparison:
    """The scene's needs against every candidate, each need judged on its own."""
    judged = [cells_over_dates(scene, facts, _JUDGES) for facts in candidates]
    rows = tuple(
        NeedRow(
            need.topic,
            need_words(need),
            need.strength,
            need.weight if need.strength == "wish" else None,
            tuple(cells[at] for cells, _ in judged),
        )
        for at, need in enumerate(scene.needs or ())
    )
    heads = tuple(
        _head(facts, list(zip(rows, cells, strict=True)), dates)
        for facts, (cells, dates) in zip(candidates, judged, strict=True)
    )
    return Comparison(scene.name, on, heads, rows)


def cells_of(scene: SceneRecord, facts: CandidateFacts) -> tuple[NeedCell, ...]:
    """How one room meets each of a scene's needs."""
    case = Case(facts, scene)
    return tuple(_JUDGES[need.topic](need, case) for need in scene.needs or ())


def _head(
    facts: CandidateFacts, cells: Sequence[tuple[NeedRow, NeedCell]], dates: tuple[OnDate, ...]
) -> ComparedCandidate:
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
        listed(*parts) if parts else said("need.none"),
        facts.assessment.date,
        dates,
        on_dates(dates),
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
    if need.step_free:
        parts.append(said("asked.step_free"))
    return said("asked.access", parts=Many(tuple(parts), "list"))


_ASKED: dict[str, Callable[[Any], Said]] = {
    **room_needs.ASKED,
    **place_needs.ASKED,
    "when": _when_asked,
    "floor": lambda need: said(
        "asked.floor", width=metres(need.width_m), length=metres(need.length_m)
    ),
    "height": lambda need: said("asked.height", height=metres(need.height_m)),
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
    "budget": lambda need: said("asked.budget", fee=money(need.amount, need.currency)),
}


def _when(need: WhenNeed, case: Case) -> NeedCell:
    answer = open_when(need, case.facts.location)
    noises = noises_then(Shoot.of_need(need), case.facts.noises)
    if noises is None:
        return NeedCell(answer.level, answer.figure, listed(*answer.why))
    level: CellLevel = "care" if answer.level == "pass" else answer.level
    return NeedCell(level, answer.figure, listed(*answer.why, noises.why))


def _floor(need: FloorNeed, case: Case) -> NeedCell:
    corners = case.facts.room.corners_m
    if corners is None:
        return unknown(unmeasured("room.plan_m"))
    area_m2 = plan_area_m2(corners)
    figure = Figure(area_m2, "m2")
    if rectangle_fits(corners, need.width_m, need.length_m):
        return NeedCell("pass", figure, said("need.floor_fits"), order=area_m2)
    return NeedCell("fail", figure, said("need.floor_short"), order=area_m2)


def _height(need: HeightNeed, case: Case) -> NeedCell:
    room = case.facts.room
    if room.setting == "exterior":
        return NeedCell("pass", said("need.open_sky"), said("need.no_ceiling"))
    if room.height_m is None:
        return unknown(unmeasured("room.height_m"), Reading.between(*ROOM_HEIGHT_M))
    gap, reading = room.height_m - need.height_m, Reading.about(room.height_m, TAPE_M)
    if gap >= 0:
        why = said("need.to_spare", gap=metres(gap))
        return NeedCell("pass", metres(room.height_m), why, reading)
    return NeedCell("fail", metres(room.height_m), said("need.too_low", gap=metres(-gap)), reading)


def _framing(need: FramingNeed, case: Case) -> NeedCell:
    fit = case.facts.assessment.fit
    framed = framing_level(fit, need.framing)
    row = framed.row
    if row is None or framed.level == "unknown":
        because = (row.unknown if row else None) or fit.unknown or said("need.no_framing")
        return unknown(because)
    lens = Figure(row.focal_length_mm, "mm")
    if framed.level == "problem":
        away = None if row.distance_m is None else metres(row.distance_m)
        figure = said("need.needs_room", distance=away) if away else said("need.no_lens")
        why = said("need.no_lens_fits") if row.why is None else row.why
        return NeedCell("fail", figure, said("need.at_lens", lens=lens, why=why))
    alike = sorted(one.focal_length_mm for one in (row, *framed.others))
    lenses = Many(tuple(Figure(focal, "mm") for focal in alike), "list")
    if framed.level == "care" and row.why is not None:
        return NeedCell("care", lenses, row.why)
    away = None if row.face_distance_m is None else metres(row.face_distance_m)
    why = said("need.best_lens", lens=lens, away=away, mark=mark_words(fit, row))
    return NeedCell(CELL_LEVELS[framed.level], lenses, why)


def _noise(need: NoiseNeed, case: Case) -> NeedCell:
    facts = case.facts
    answer = quiet_then(need.laeq_db, case.whens, facts.room, facts.noises, facts.location.timezone)
    why = listed(*answer.why)
    no_quiet = any(noises.level == "problem" for noises in answer.noises)
    if answer.laeq is None:
        return unknown(why, None if no_quiet else Reading.between(*ROOM_DBA))
    low, high = answer.laeq.low or answer.laeq.value, answer.laeq.high or answer.laeq.value
    reading = None if no_quiet else Reading(answer.laeq.value, low, high)
    return NeedCell(CELL_LEVELS[answer.level], answer.laeq, why, reading)


def _daylight(need: DaylightNeed, case: Case) -> NeedCell:
    if need.want == "shut_out":
        return _shut_out(case)
    light = case.facts.assessment.daylight
    judged = [lit for setup in _setups(case) if (lit := judged_light(light, setup)) is not None]
    mark = light.marks.get("subject")
    if not judged or all(lit.kind == "unknown" for lit in judged):
        hangs_on = next((lit for lit in judged if lit.overcast is not None and lit.hangs_on), None)
        if hangs_on is not None and hangs_on.overcast is not None:
            ends = (hangs_on.overcast.low, hangs_on.overcast.high)
            least, most = (Figure(end or 0.0, "stops") for end in ends)
            between = said("light.depends", least=least, most=most)
            return NeedCell("unknown", between, unmeasured(hangs_on.hangs_on or ""))
        return unknown((mark.unknown if mark else None) or light.unknown or said("need.no_light"))
    # no daylight at all within the hours is no daylight; for a setup alone it is night, and care
    levels = [("fail" if lit.kind == "dark" else CELL_LEVELS[lit.level], lit) for lit in judged]
    level, lit = max(levels, key=lambda pair: WORSE.index(pair[0]))
    figure = None
    if lit.overcast_lux_noon is not None and lit.needed_lux is not None:
        figure = said(
            "need.lux_noon",
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


def _setups(case: Case) -> Iterator[Setup | None]:
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


def _shut_out(case: Case) -> NeedCell:
    room = case.facts.room
    if room.setting == "exterior":
        return NeedCell("fail", said("need.open_sky"), said("need.not_outdoors"))
    if room.setting == "covered":
        return NeedCell("fail", said("need.open_sides"), said("need.from_the_side"))
    if room.windows is None:
        return unknown(unmeasured("room.windows"))
    bare = [w.id for w in room.windows if w.covering in ("none", "sheer")]
    unseen = [w.id for w in room.windows if w.covering is None]
    blinds = [w.id for w in room.windows if w.covering == "blind"]
    figure = said("need.windows", count=len(room.windows))
    if bare:
        return NeedCell("fail", figure, said("need.bare", windows=names(bare)))
    if unseen:
        return unknown(unmeasured(*(f"windows.{window}.covering" for window in unseen)))
    if blinds:
        return NeedCell("care", figure, said("need.blinds", windows=names(blinds)))
    return NeedCell(
        "pass", figure, said("need.blackout") if room.windows else said("need.no_window")
    )


def _colour(need: ColourNeed, case: Case) -> NeedCell:
    found = case.facts.assessment
    if case.facts.room.setting == "exterior":
        return NeedCell("outside", None, said("need.no_walls"))
    worst = worst_cast(found)
    if worst is None or worst.risk is None or worst.delta_e is None:
        first: Any = next(iter(found.surround), None)
        note = found.blocks.get("surround")
        return unknown(
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
    return NeedCell(level, Figure(worst.delta_e, "delta_e"), why, order=-worst.delta_e)


def _watts(need: WattsNeed, case: Case) -> NeedCell:
    room = case.facts.room
    circuits = room.circuits
    if not circuits:
        return unknown(unmeasured("room.circuits"), Reading.between(*ROOM_W))
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
            why = said("need.not_traced", circuits=names(shaky))
            return NeedCell("care", figure, why, Reading.about(sure))
        why = said("need.all_circuits", share=_percent(share))
        return NeedCell("pass", figure, why, Reading.about(sure))
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
        why = listed(
            unmeasured(*doubts) if doubts else None,
            said("need.no_outlet_on", circuits=names(c.id for c in bare)) if no_outlet else None,
        )
        return NeedCell("unknown", known, why, Reading.between(sure, max(most, need.watts * 1.5)))
    figure = (
        said("need.watts_most", watts=Figure(most, "W"))
        if carrying
        else said("need.watts_spare", watts=Figure(most, "W"))
    )
    why = said("need.watts_short", short=Figure(need.watts - most, "W"))
    return NeedCell("fail", figure, why, Reading.about(most))


def _percent(share: float) -> Figure:
    return Figure(100.0 * share, "%")


def _spare_w(circuit: Circuit, share: float) -> float:
    """What a circuit has left with what is known to hang on it; 0 when its volts or its breaker are
    not recorded.
    """
    if circuit.volts is None or circuit.breaker_a is None:
        return 0.0
    return max(0.0, circuit.volts * circuit.breaker_a * share - (circuit.other_load_w or 0.0))


def _access(need: AccessNeed, case: Case) -> NeedCell:
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
    if need.step_free:
        if way.steps is None:
            missing.append(way.path("steps"))
        elif way.steps > 0:
            if need.steps is None:
                figures.append(said("need.steps", steps=way.steps))
            if way.lift is None:
                missing.append(way.path("lift"))
            else:
                faults.append(said("need.steps_lift") if way.lift else said("need.not_step_free"))
        elif need.steps is None:
            figures.append(said("need.step_free"))
    if need.carry_m is not None:
        if way.carry_m is None:
            missing.append(way.path("carry_m"))
        else:
            figures.append(said("need.carry", carry=metres(way.carry_m)))
            if way.carry_m > need.carry_m:
                faults.append(said("need.carry_far"))
    if need.door_width_m is not None and not outdoors:
        if way.door_width_m is None:
            missing.append(way.path("door_width_m"))
        else:
            figures.append(said("need.door", width=metres(way.door_width_m)))
            if way.door_width_m < need.door_width_m:
                faults.append(said("need.door_narrow"))
    shown = Many(tuple(figures), "list") if figures else said("need.not_recorded")
    if faults:
        lift_only = {fault.code for fault in faults} == {"need.steps_lift"}
        return NeedCell("care" if lift_only else "fail", shown, listed(*faults))
    if missing:
        return NeedCell("unknown", shown, unmeasured(*missing))
    if not figures:
        return NeedCell("outside", None, said("need.no_doors"))
    return NeedCell("pass", shown, said("need.within"))


def _budget(need: BudgetNeed, case: Case) -> NeedCell:
    place = case.facts.location
    note = Name(place.fee_note) if place.fee_note else None
    if place.fee_amount is None:
        asked = Reading.between(0.0, 2.0 * max(need.amount, 50.0))
        return NeedCell("unknown", said("need.not_recorded"), said("need.no_fee_known"), asked)
    reading = Reading.about(place.fee_amount)
    if place.fee_amount == 0:
        return NeedCell("pass", said("need.no_fee"), listed(note or said("need.free")), reading)
    figure = money(place.fee_amount, place.fee_currency)
    if place.fee_currency is None:
        return NeedCell("unknown", figure, said("need.no_currency"))
    if place.fee_currency != need.currency:
        other = said(
            "need.other_currency", fee=Name(place.fee_currency), budget=Name(need.currency)
        )
        return NeedCell("unknown", figure, other)
    over = place.fee_amount - need.amount
    if over <= 0:
        return NeedCell("pass", figure, listed(said("need.in_budget"), note), reading)
    dear = said("need.over_budget", over=money(over, need.currency))
    return NeedCell("fail", figure, listed(dear, note), reading)


_JUDGES: dict[str, Callable[[Any, Case], NeedCell]] = {
    **room_needs.JUDGES,
    **place_needs.JUDGES,
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
