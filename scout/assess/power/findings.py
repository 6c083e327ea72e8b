"""Findings of power: circuits, sockets and cables, and what would mend them, worked out again."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from scout.assess.answers import (
    Act,
    AssignmentAnswer,
    Change,
    Finding,
    Placement,
    PowerAnswer,
    RoomAssessment,
    Unplaced,
    act,
)
from scout.assess.answers.finding import MOST_ACTS
from scout.assess.power.leads import give_leads
from scout.assess.power.power import power
from scout.assess.setup import Setup
from scout.calc.power.drop import BRANCH_PCT, WHOLE_PCT
from scout.calc.power.packing import TOLERANCE
from scout.calc.power.run import sold_m
from scout.records.kit import Cable, Kit
from scout.records.sheet import RoomSheet
from scout.values import (
    Amperes,
    Count,
    Figure,
    Length,
    Many,
    Name,
    Percent,
    Said,
    Unit,
    names,
    words,
)

FULL_SHARE = 0.9  # of the limit: from here on a circuit is called nearly full
LEAST_A = 0.1  # less is not read off a plate
DRY_STEP_PCT = 0.1  # a volt drop that falls by less has not been mended
THICKER_MM2 = (1.5, 2.5, 4.0, 6.0)  # sections that leads are sold in (common practice)


@dataclass(frozen=True, kw_only=True)
class PowerFinding(Finding):
    """What all findings of power have in common."""

    topic = "power"


@dataclass(frozen=True, kw_only=True)
class EverythingPlugsIn(PowerFinding):
    """Every light and charger has a socket, a circuit with current to spare and a lead that reaches.

    Why:    the kit that is listed can be powered as it is, which nothing less may be called.
    Level:  good.
    Source: the plan of assess.power.power; 80 % of the breaker by NEC 210.20(A).
    """

    code = "power.all_plug_in"
    levels = ("good",)
    lights: Count
    chargers: Count | None
    circuit: Name
    load: Amperes
    limit: Amperes
    share: Percent


@dataclass(frozen=True, kw_only=True)
class OffTheMains(PowerFinding):
    """No light of the kit needs the mains.

    Why:    sockets and circuits are then nobody's worry.
    Level:  good.
    Source: what the kit says of each light's supply.
    """

    code = "power.off_mains"
    levels = ("good",)
    lights: Many


@dataclass(frozen=True, kw_only=True)
class NearlyFull(PowerFinding):
    """A circuit carries nine tenths or more of what it may.

    Why:    one kettle on it and the lights go out.
    Level:  care.
    Source: common practice for the nine tenths.
    """

    code = "power.nearly_full"
    levels = ("care",)
    circuit: Name
    load: Amperes
    limit: Amperes
    share: Percent


@dataclass(frozen=True, kw_only=True)
class Overloaded(PowerFinding):
    """What hangs on a circuit already is more than it may carry for hours.

    Why:    it trips before any light of ours is switched on.
    Level:  problem.
    Source: NEC 210.20(A); elsewhere common practice.
    """

    code = "power.overload"
    levels = ("problem",)
    circuit: Name
    load: Amperes
    limit: Amperes


@dataclass(frozen=True, kw_only=True)
class SocketsShort(PowerFinding):
    """More lights than sockets.

    Why:    a multiway lead bought on the day is how extension leads get chained.
    Level:  problem.
    Source: the plan of assess.power.power.
    """

    code = "power.sockets_short"
    levels = ("problem",)
    lights: Many


@dataclass(frozen=True, kw_only=True)
class LeftOut(PowerFinding):
    """Lights for which no circuit has the current.

    Why:    the breaker trips in the middle of a take.
    Level:  problem.
    Source: exhaustive packing in calc.power.
    """

    code = "power.left_out"
    levels = ("problem",)
    lights: Many
    short: Amperes
    circuit: Name


@dataclass(frozen=True, kw_only=True)
class PlugTooSmall(PowerFinding):
    """A light that draws more than one plug of the country carries.

    Why:    the plug melts while the breaker stays on.
    Level:  problem.
    Source: calc/tables/plugs.csv.
    """

    code = "power.plug_small"
    levels = ("problem",)
    light: Name
    draws: Amperes
    carries: Amperes
    plug: Name


@dataclass(frozen=True, kw_only=True)
class PlugKind(PowerFinding):
    """A light that some everyday plugs there do not carry.

    Why:    which socket is on the wall decides, and it is seen by looking.
    Level:  care.
    Source: calc/tables/plugs.csv.
    """

    code = "power.plug_kind"
    levels = ("care",)
    light: Name
    draws: Amperes
    carries: Amperes
    larger: Name | None


@dataclass(frozen=True, kw_only=True)
class PlugHot(PowerFinding):
    """A light that for hours draws more than is planned for its plug.

    Why:    plugs warm up before breakers notice.
    Level:  care.
    Source: common practice: 80 % for hours.
    """

    code = "power.plug_hot"
    levels = ("care",)
    light: Name
    draws: Amperes
    carries: Amperes


@dataclass(frozen=True, kw_only=True)
class LeadTooShort(PowerFinding):
    """Lights that stand further from their socket, round the walls, than any lead of the kit reaches.

    Why:    it is found out at load-in, and a hired lead comes tomorrow.
    Level:  problem.
    Source: the way of the lead by calc.power.run; common practice for slack.
    """

    code = "power.lead_short"
    levels = ("problem",)
    lights: Many
    need: Length
    longest: Length


@dataclass(frozen=True, kw_only=True)
class LeadTaken(PowerFinding):
    """Lights whose lead is in the kit, but given to another light.

    Why:    every light was promised the same lead.
    Level:  care.
    Source: longest runs get their lead first, by assess.power.leads.
    """

    code = "power.lead_taken"
    levels = ("care",)
    lights: Many
    need: Length


@dataclass(frozen=True, kw_only=True)
class LengthUnknown(PowerFinding):
    """Lights whose way to a socket, or the kit's leads, nobody has recorded.

    Why:    whether a lead reaches cannot be promised.
    Level:  unknown.
    Source: assess.power.leads.
    """

    code = "power.length_unknown"
    levels = ("unknown",)
    lights: Many
    because: Said


@dataclass(frozen=True, kw_only=True)
class CrossesExit(PowerFinding):
    """A lead that crosses an exit to keep free, whichever way round the room it goes.

    Why:    exits stay free; the local code decides, and the fire officer after it.
    Level:  problem.
    Source: calc.power.run goes round exits wherever it can.
    """

    code = "power.lead_crosses_exit"
    levels = ("problem",)
    lights: Many
    exits: Many


@dataclass(frozen=True, kw_only=True)
class TripHazard(PowerFinding):
    """Leads across a door, the subject's walk or the line from camera to subject.

    Why:    somebody falls, or pulls a stand over.
    Level:  care.
    Source: common practice: tape, or a ramp.
    """

    code = "power.trip"
    levels = ("care",)
    lights: Many
    crosses: Many


@dataclass(frozen=True, kw_only=True)
class VoltageDrop(PowerFinding):
    """A lead that loses more of the volts than is usual guidance.

    Why:    lamps go yellow, and supplies cut out.
    Level:  care above 3 %, problem above 5 %.
    Source: NEC 210.19 informational note; IEC 60364-5-52 annex G.
    """

    code = "power.voltage_drop"
    levels = ("problem", "care")
    light: Name
    drop: Percent
    lead: Said


@dataclass(frozen=True, kw_only=True)
class Untraced(PowerFinding):
    """Circuits in use of which nobody has tried what hangs on them.

    Why:    two that are really one carry both loads on one breaker.
    Level:  care.
    Source: what the sheet says; the sum is worked out.
    """

    code = "power.untraced"
    levels = ("care",)
    circuits: Many
    together: Amperes | None
    limit: Amperes | None


@dataclass(frozen=True, kw_only=True)
class Unproven(PowerFinding):
    """The search for the best plan was cut short.

    Why:    a plan with fewer lights left out, or with its circuits less full, may exist.
    Level:  care where something is left out, else good: the plan is safe as it is.
    Source: calc.power.packing's bound.
    """

    code = "power.circuit_unproven"
    levels = ("care", "good")
    share: Percent | None
    least: Percent | None


@dataclass(frozen=True, kw_only=True)
class NoMains(PowerFinding):
    """Lights that need the mains where there is no socket.

    Why:    batteries and chargers are packed the day before.
    Level:  problem where there is none; care outdoors where none is recorded.
    Source: what the sheet says of outlets.
    """

    code = "power.no_mains"
    levels = ("problem", "care")
    lights: Many


@dataclass(frozen=True, kw_only=True)
class PowerUnknown(PowerFinding):
    """Facts without which it cannot be said whether the circuits carry the lights.

    Why:    a promise without them is a guess.
    Level:  unknown.
    Source: assess.power.supply names them.
    """

    code = "power.unknown"
    levels = ("unknown",)
    facts: Many


def findings(setup: Setup, found: RoomAssessment) -> tuple[Finding, ...]:
    """What the circuits, sockets and cables come to for a setup."""
    return findings_of(setup.sheet, found.power, found.placements)


def findings_of(
    sheet: RoomSheet, answer: PowerAnswer, placements: Mapping[str, Placement]
) -> tuple[Finding, ...]:
    """What a power answer comes to; acts are worked out again on the sheet changed by them."""
    case = _Case(sheet, answer, placements)
    made: list[Finding] = [
        *_left_out(case),
        *_overloaded(case),
        *_leads(case),
        *_crossings(case),
        *_drops(case),
        *_plugs(case),
        *_full(case),
        *_untraced(case),
        *_unproven(case),
        *_unknown(case),
    ]
    troubled = any(finding.level != "good" for finding in made)
    if not troubled and answer.feasible:
        made += _good(case)
    return tuple(made)


@dataclass(frozen=True)
class _Case:
    sheet: RoomSheet
    answer: PowerAnswer
    placements: Mapping[str, Placement]

    @property
    def kit(self) -> Kit:
        return self.sheet.kit or Kit()

    def again(self, **kit: Any) -> PowerAnswer:
        """The answer with another kit."""
        changed = self.kit.model_copy(update=kit)
        return power(self.sheet.model_copy(update={"kit": changed}), self.placements)

    def rewired(self, **room: Any) -> PowerAnswer:
        """The answer with other circuits or outlets."""
        changed = self.sheet.room.model_copy(update=room)
        return power(self.sheet.model_copy(update={"room": changed}), self.placements)

    def mains_lights(self, wanted: Iterable[str]) -> list[str]:
        """Of some loads, the lights: chargers have no batteries to run on."""
        own = {light.id for light in self.kit.lights or ()}
        return [name for name in wanted if name in own]


def _amperes(value: float) -> Figure:
    return Figure(value, "A")


def _share(value: float) -> Figure:
    return Figure(100.0 * value, "%")


# -- acts
@dataclass(frozen=True)
class _Gauge:
    """A figure that acts are to bring down; by `least` or less it has not moved."""

    figure: str
    unit: Unit
    measured: Callable[[PowerAnswer], float]
    least: float = 0.0

    def bought(self, case: _Case, changed: PowerAnswer) -> Change | None:
        """What a change buys; None where the figure does not fall."""
        before, after = self.measured(case.answer), self.measured(changed)
        moved = before - after > self.least
        return Change(self.figure, self.unit, before, after) if moved else None


SOCKETS = _Gauge("without_socket", "count", lambda answer: float(len(answer.unplaced)))
EXITS = _Gauge(
    "exits_crossed", "count", lambda answer: float(sum(len(row.exits) for row in answer.assignment))
)
FULLEST = _Gauge(
    "share",
    "%",
    lambda answer: 100.0 * max((row.share or 0.0 for row in answer.circuits), default=0.0),
    1.0,
)


def _on_batteries(case: _Case, wanted: Iterable[str], gauge: _Gauge) -> list[Act]:
    """The act of running some loads on batteries, where it helps."""
    lights = case.mains_lights(wanted)
    if not lights:
        return []
    kit_lights = [
        light.model_copy(update={"supply": "battery"}) if light.id in lights else light
        for light in case.kit.lights or ()
    ]
    buys = gauge.bought(case, case.again(lights=tuple(kit_lights)))
    return [] if buys is None else [act("bring.battery", lights=names(lights), buys=buys)]


def _smaller(case: _Case, row: Unplaced) -> list[Act]:
    """The act of taking a smaller light, where it lets everything in."""
    if row.instead is None or row.fits_va is None:
        return []
    lights = [
        light.model_copy(update={"watts": row.fits_va, "power_factor": 1.0})
        if light.id == row.instead
        else light
        for light in case.kit.lights or ()
    ]
    buys = SOCKETS.bought(case, case.again(lights=tuple(lights)))
    if buys is None:
        return []
    most = Figure(row.fits_va, "VA")
    return [act("swap.light", light=Name(row.instead), most=most, buys=buys)]


def _freed(case: _Case, circuit: str, amperes: float, gauge: _Gauge) -> list[Act]:
    """The act of switching off what else hangs on a circuit, where there is so much on it."""
    rows = case.sheet.room.circuits or ()
    own = next((row for row in rows if row.id == circuit), None)
    if own is None or own.volts is None or not own.other_load_w:
        return []
    watts = amperes * own.volts
    if watts > own.other_load_w * (1 + TOLERANCE):
        return []
    circuits = tuple(
        row.model_copy(update={"other_load_w": max(0.0, own.other_load_w - watts)})
        if row is own
        else row
        for row in rows
    )
    buys = gauge.bought(case, case.rewired(circuits=circuits))
    if buys is None:
        return []
    return [act("free.circuit", circuit=Name(circuit), watts=Figure(watts, "W"), buys=buys)]


# -- findings
def _left_out(case: _Case) -> Iterator[Finding]:
    if case.answer.no_outlet:
        exterior = case.sheet.room.setting == "exterior"
        if case.answer.feasible is False or exterior:
            lights = [row.light for row in case.answer.unplaced]
            yield NoMains(
                level="problem" if case.answer.feasible is False else "care",
                about=names(lights).items,
                rests_on=("room.outlets",),
                lights=names(lights),
                acts=tuple(_on_batteries(case, lights, SOCKETS)),
            )
        return
    by_why: dict[str, list[Unplaced]] = {}
    for row in case.answer.unplaced:
        by_why.setdefault(row.why, []).append(row)
    for row in by_why.get("plug", ()):
        yield PlugTooSmall(
            level="problem",
            about=(Name(row.light),),
            light=Name(row.light),
            draws=_amperes(row.draws_a or 0.0),
            carries=_amperes(row.plug_a or 0.0),
            plug=Name(row.plug or ""),
            acts=_ways_in(case, [row]),
        )
    if rows := by_why.get("current", []):
        least = max(rows, key=lambda row: row.short_a or 0.0)
        yield LeftOut(
            level="problem",
            about=names(row.light for row in rows).items,
            rests_on=(f"circuits.{least.circuit}.breaker_a",),
            lights=names(row.light for row in rows),
            short=_amperes(least.short_a or 0.0),
            circuit=Name(least.circuit or ""),
            acts=_ways_in(case, rows),
        )
    if rows := by_why.get("sockets", []):
        yield SocketsShort(
            level="problem",
            about=names(row.light for row in rows).items,
            rests_on=("room.outlets",),
            lights=names(row.light for row in rows),
            acts=_ways_in(case, rows),
        )


def _ways_in(case: _Case, rows: Sequence[Unplaced]) -> tuple[Act, ...]:
    """What would let lights in that were left out, what touches least first."""
    acts: list[Act] = []
    if len(rows) == 1:
        (row,) = rows
        acts += _smaller(case, row)
        if row.circuit is not None and row.short_a is not None and row.why == "current":
            acts += _freed(case, row.circuit, row.short_a, SOCKETS)
    acts += _on_batteries(case, [row.light for row in rows], SOCKETS)
    spare = rows[0].spare_circuit
    if spare is not None:
        acts += _split(case, spare, len(rows))
    return tuple(acts[:MOST_ACTS])


def _split(case: _Case, circuit: str, more: int) -> list[Act]:
    """The act of a fused splitter on a circuit that has current to spare and no socket."""
    outlets = case.sheet.room.outlets or ()
    on_it = next((outlet for outlet in outlets if outlet.circuit == circuit), None)
    split = tuple(
        outlet.model_copy(update={"sockets": (outlet.sockets or 1) + more})
        if outlet is on_it
        else outlet
        for outlet in outlets
    )
    buys = SOCKETS.bought(case, case.rewired(outlets=split))
    return [] if buys is None else [act("bring.splitter", circuit=Name(circuit), buys=buys)]


def _overloaded(case: _Case) -> Iterator[Finding]:
    for row in case.answer.circuits:
        if row.other_a is None or row.limit_a is None:
            continue
        over_a = row.other_a - row.limit_a
        if over_a > row.limit_a * TOLERANCE:

            def load(answer: PowerAnswer, circuit: str = row.id) -> float:
                return next(one.other_a or 0.0 for one in answer.circuits if one.id == circuit)

            yield Overloaded(
                level="problem",
                about=(Name(row.id),),
                rests_on=(f"circuits.{row.id}.other_load_w",),
                circuit=Name(row.id),
                load=_amperes(row.other_a),
                limit=_amperes(row.limit_a),
                acts=tuple(_freed(case, row.id, over_a, _Gauge("load", "A", load, LEAST_A))),
            )


def _leads(case: _Case) -> Iterator[Finding]:
    """Leads that do not reach: a finding, and one act, for all lights that want one length sold."""
    cables = case.kit.cables
    rows = case.answer.assignment
    needed = {row.light: row.cable_m for row in rows if row.cable_m is not None}
    by_length: dict[float, list[AssignmentAnswer]] = {}
    for row in rows:
        if row.lead_lack is not None:
            by_length.setdefault(sold_m(needed[row.light]), []).append(row)
    thickest = max((cable.conductor_mm2 or 0.0 for cable in cables or ()), default=0.0)
    for sold, lacking in by_length.items():
        lights = [row.light for row in lacking]
        more = Cable(length_m=sold, conductor_mm2=thickest or None)
        leads = give_leads((*(cables or ()), *(more for _ in lights)), needed)
        acts: tuple[Act, ...] = ()
        if all(leads[light].lack is None for light in lights):
            had_m = min(row.spare_m or 0.0 for row in lacking)
            buys = Change("lead_m", "m", had_m, sold)
            # said as the next length sold, in metres or in feet
            need = Figure(max(needed[light] for light in lights), "m")
            acts = (act("bring.lead", lights=names(lights), lead=need, buys=buys),)
        if short := [row for row in lacking if row.lead_lack == "short"]:
            yield LeadTooShort(
                level="problem",
                **_lacking(short, acts),
                longest=Figure(max(row.spare_m or 0.0 for row in short), "m"),
            )
        if taken := [row for row in lacking if row.lead_lack == "taken"]:
            yield LeadTaken(level="care", **_lacking(taken, acts))
    yield from _lengths_unknown(case)


def _lacking(rows: Sequence[AssignmentAnswer], acts: tuple[Act, ...]) -> dict[str, Any]:
    return {
        "about": names(row.light for row in rows).items,
        "rests_on": ("kit.cables",),
        "lights": names(row.light for row in rows),
        "need": Figure(max(row.cable_m or 0.0 for row in rows), "m"),
        "acts": acts,
    }


def _lengths_unknown(case: _Case) -> Iterator[Finding]:
    by_reason: dict[Said, list[str]] = {}
    for row in case.answer.assignment:
        no_cables = case.kit.cables is None and row.cable_m is not None
        if row.kind == "light" and (row.cable_m is None or no_cables) and row.unknown is not None:
            by_reason.setdefault(row.unknown["gaps"].items[0], []).append(row.light)
    for because, lights in by_reason.items():
        facts: Any = dict(because.values).get("facts")
        acts: tuple[Act, ...] = () if facts is None else (act("measure", facts=facts),)
        if because.code == "power.no_cables_listed":
            acts = (act("measure.cables"),)
        yield LengthUnknown(
            level="unknown",
            about=names(lights).items,
            rests_on=tuple(word.key for word in facts or ()),
            lights=names(lights),
            because=because,
            acts=acts,
        )


def _crossings(case: _Case) -> Iterator[Finding]:
    rows = case.answer.assignment
    if crossing := [row for row in rows if row.exits]:
        lights = [row.light for row in crossing]
        exits = list(dict.fromkeys(door for row in crossing for door in row.exits))
        yield CrossesExit(
            level="problem",
            about=names(lights).items,
            rests_on=tuple(f"doors.{door}.keep_free" for door in exits),
            lights=names(lights),
            exits=names(exits),
            acts=tuple(_on_batteries(case, lights, EXITS)),
        )
    if tripping := [row for row in rows if row.crosses]:
        yield TripHazard(
            level="care",
            about=names(row.light for row in tripping).items,
            lights=names(row.light for row in tripping),
            crosses=Many(tuple(dict.fromkeys(one for row in tripping for one in row.crosses))),
        )


def _drops(case: _Case) -> Iterator[Finding]:
    for row in case.answer.assignment:
        if row.volt_drop_pct is None or row.volt_drop_pct <= BRANCH_PCT or row.lead is None:
            continue
        yield VoltageDrop(
            level="problem" if row.volt_drop_pct > WHOLE_PCT else "care",
            about=(Name(row.light),),
            rests_on=("kit.cables",),
            light=Name(row.light),
            drop=Figure(row.volt_drop_pct, "%"),
            lead=row.lead,
            acts=tuple(_thicker(case, row.light, row.cable_m or 0.0, row.conductor_mm2 or 0.0)),
        )


def _thicker(case: _Case, light: str, need_m: float, section_mm2: float) -> list[Act]:
    """The act of bringing a thicker lead, just long enough: the thinnest that keeps to the
    guidance, else the thickest.
    """

    def drop(answer: PowerAnswer) -> float:
        rows = (row for row in answer.assignment if row.light == light)
        return next(rows).volt_drop_pct or 0.0

    gauge = _Gauge("drop", "%", drop, DRY_STEP_PCT)
    best: Act | None = None
    length_m = sold_m(need_m)
    for section in THICKER_MM2:
        if section < section_mm2 * (1 - TOLERANCE):
            continue
        alone = tuple(
            Cable(length_m=length_m, conductor_mm2=section) for _ in case.answer.assignment
        )
        longer = tuple(cable for cable in case.kit.cables or () if cable.length_m > length_m)
        buys = gauge.bought(case, case.again(cables=(*alone, *longer)))
        if buys is not None:
            best = act(
                "bring.cable",
                light=Name(light),
                lead=Figure(length_m, "m"),
                section=Figure(section),
                buys=buys,
            )
            if buys.after <= BRANCH_PCT:
                break
    return [] if best is None else [best]


def _plugs(case: _Case) -> Iterator[Finding]:
    for plug in case.answer.plugs:
        light, draws = Name(plug.light), _amperes(plug.draws_a)
        carries = Figure(plug.most_a, "A", plug.least_a, plug.most_a)
        if plug.why == "hours":
            yield PlugHot(level="care", about=(light,), light=light, draws=draws, carries=carries)
        else:
            yield PlugKind(
                level="care",
                about=(light,),
                light=light,
                draws=draws,
                carries=carries,
                larger=Name(plug.larger) if plug.larger is not None else None,
            )


def _full(case: _Case) -> Iterator[Finding]:
    for row in case.answer.circuits:
        if row.share is None or row.load_a is None or row.limit_a is None or not row.lights_a:
            continue
        if row.share <= FULL_SHARE or row.share > 1 + TOLERANCE:
            continue
        hanging = [one for one in case.answer.assignment if one.circuit == row.id]
        largest = max(hanging, key=lambda one: one.load_a or 0.0)
        yield NearlyFull(
            level="care",
            about=(Name(row.id),),
            rests_on=(f"circuits.{row.id}.other_load_w",),
            circuit=Name(row.id),
            load=_amperes(row.load_a),
            limit=_amperes(row.limit_a),
            share=_share(row.share),
            acts=tuple(_on_batteries(case, [largest.light], FULLEST)),
        )


def _untraced(case: _Case) -> Iterator[Finding]:
    answer = case.answer
    if not answer.guessed:
        return
    circuits = names(answer.guessed)
    together, limit = answer.together_a, answer.together_limit_a
    yield Untraced(
        level="care",
        about=circuits.items,
        rests_on=tuple(f"circuits.{circuit}.verified" for circuit in answer.guessed),
        circuits=circuits,
        together=None if together is None else _amperes(together),
        limit=None if limit is None else _amperes(limit),
        acts=(act("measure.circuits", circuits=circuits),),
    )


def _unproven(case: _Case) -> Iterator[Finding]:
    answer = case.answer
    if answer.proven:
        return
    shares = [row.share for row in answer.circuits if row.share is not None and row.lights_a]
    least = answer.least_share
    yield Unproven(
        level="care" if answer.feasible is False else "good",
        share=_share(max(shares)) if shares and least is not None else None,
        least=_share(least) if shares and least is not None else None,
    )


def _unknown(case: _Case) -> Iterator[Finding]:
    missing = case.answer.missing
    outdoors = case.answer.no_outlet and case.sheet.room.setting == "exterior"
    if case.answer.feasible is None and missing and not outdoors:
        facts = words("fact", missing)
        yield PowerUnknown(
            level="unknown", rests_on=missing, facts=facts, acts=(act("measure", facts=facts),)
        )


def _good(case: _Case) -> Iterator[Finding]:
    answer = case.answer
    if not answer.assignment:
        if answer.on_battery:
            yield OffTheMains(level="good", lights=names(answer.on_battery))
        return
    used = [row for row in answer.circuits if row.lights_a and row.share is not None]
    judged = used or [row for row in answer.circuits if row.share is not None]
    fullest = max(judged, key=lambda row: row.share or 0.0)
    chargers = sum(row.kind == "charger" for row in answer.assignment)
    yield EverythingPlugsIn(
        level="good",
        lights=Figure(len(answer.assignment) - chargers, "count"),
        chargers=Figure(chargers, "count") if chargers else None,
        circuit=Name(fullest.id),
        load=_amperes(fullest.load_a or 0.0),
        limit=_amperes(fullest.limit_a or 0.0),
        share=_share(fullest.share or 0.0),
    )
