"""Findings of power: what the circuits, sockets and cables come to, and at which level."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
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
from scout.assess.power import kinds
from scout.assess.power.acts import (
    FULLEST,
    SOCKETS,
    WITHOUT_LEAD,
    Case,
    Gauge,
    amperes,
    freed,
    off_exits,
    on_batteries,
    percent,
    thicker,
    ways_in,
)
from scout.assess.power.leads import give_leads
from scout.assess.setup import Setup
from scout.calc.power.drop import BRANCH_PCT, WHOLE_PCT
from scout.calc.power.packing import TOLERANCE
from scout.calc.power.run import LEADS_M, sold_m
from scout.records.kit import Cable
from scout.records.sheet import RoomSheet
from scout.values import Figure, Many, Name, Said, names, words

FULL_SHARE = 0.9  # of the limit: from here on a circuit is called nearly full
MOST_ON_A_PLATE = 2  # sockets (common practice)
LEAST_A = 0.1  # less is not read off a plate


def findings(setup: Setup, found: RoomAssessment) -> tuple[Finding, ...]:
    """What the circuits, sockets and cables come to for a setup."""
    return findings_of(setup.sheet, found.power, found.placements)


def findings_of(
    sheet: RoomSheet, answer: PowerAnswer, placements: Mapping[str, Placement]
) -> tuple[Finding, ...]:
    """What a power answer comes to; acts are worked out again on the sheet changed by them."""
    case = Case(sheet, answer, placements)
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


def _left_out(case: Case) -> Iterator[Finding]:
    if case.answer.no_outlet:
        exterior = case.sheet.room.setting == "exterior"
        if case.answer.feasible is False or exterior:
            lights = [row.light for row in case.answer.unplaced]
            yield kinds.NoMains(
                level="problem" if case.answer.feasible is False else "care",
                about=names(lights).items,
                rests_on=("room.outlets",),
                acts=tuple(on_batteries(case, lights, SOCKETS)),
            )
        return
    by_why: dict[str, list[Unplaced]] = {}
    for row in case.answer.unplaced:
        by_why.setdefault(row.why, []).append(row)
    for row in by_why.get("plug", ()):
        yield kinds.PlugTooSmall(
            level="problem",
            about=(Name(row.light),),
            draws=amperes(row.draws_a or 0.0),
            carries=amperes(row.plug_a or 0.0),
            plug=Name(row.plug or ""),
            **ways_in(case, [row]),
        )
    if rows := by_why.get("current", []):
        least = max(rows, key=lambda row: row.short_a or 0.0)
        yield kinds.LeftOut(
            level="problem",
            about=names(row.light for row in rows).items,
            rests_on=(f"circuits.{least.circuit}.breaker_a",),
            short=amperes(least.short_a or 0.0),
            circuit=Name(least.circuit or ""),
            **ways_in(case, rows),
        )
    rows = by_why.get("sockets", [])
    uncounted = _uncounted(case) if rows else ()
    if uncounted:
        facts = words("fact", uncounted)
        yield kinds.SocketsUncounted(
            level="unknown",
            about=names(row.light for row in rows).items,
            rests_on=uncounted,
            facts=facts,
            acts=(act("measure", facts=facts),),
        )
    elif rows:
        dark = {light.id for light in case.kit.lights or ()} & {row.light for row in rows}
        yield kinds.SocketsShort(
            level="problem" if dark else "care",
            about=names(row.light for row in rows).items,
            rests_on=("room.outlets",),
            **ways_in(case, rows),
        )


def _uncounted(case: Case) -> tuple[str, ...]:
    """The outlets whose sockets nobody counted, where as many as a plate has at most would do."""
    outlets = case.sheet.room.outlets or ()
    more = tuple(
        outlet.model_copy(update={"sockets": outlet.sockets or MOST_ON_A_PLATE})
        for outlet in outlets
    )
    if any(row.why == "sockets" for row in case.rewired(outlets=more).unplaced):
        return ()
    return tuple(f"outlets.{outlet.id}.sockets" for outlet in outlets if outlet.sockets is None)


def _overloaded(case: Case) -> Iterator[Finding]:
    for row in case.answer.circuits:
        if row.other_a is None or row.limit_a is None:
            continue
        over_a = row.other_a - row.limit_a
        if over_a > row.limit_a * TOLERANCE:

            def load(answer: PowerAnswer, circuit: str = row.id) -> float:
                return next(one.other_a or 0.0 for one in answer.circuits if one.id == circuit)

            yield kinds.Overloaded(
                level="problem",
                about=(Name(row.id),),
                rests_on=(f"circuits.{row.id}.other_load_w",),
                load=amperes(row.other_a),
                limit=amperes(row.limit_a),
                acts=tuple(freed(case, row.id, over_a, Gauge("load", "A", load, LEAST_A))),
            )


def _leads(case: Case) -> Iterator[Finding]:
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
        crossing = any(row.exits for row in lacking)  # there a longer one may not lie either
        if sold > LEADS_M[-1]:  # no such lead is sold
            acts = tuple(on_batteries(case, lights, WITHOUT_LEAD))
        elif not crossing and all(leads[light].lack is None for light in lights):
            had_m = min(row.spare_m or 0.0 for row in lacking)
            buys = Change("lead_m", "m", had_m, sold)
            # said as the next length sold, in metres or in feet
            need = Figure(max(needed[light] for light in lights), "m")
            acts = (act("bring.lead", lights=names(lights), lead=need, buys=buys),)
        if short := [row for row in lacking if row.lead_lack == "short"]:
            yield kinds.LeadTooShort(
                level="problem",
                **_lacking(short, acts),
                longest=Figure(max(row.spare_m or 0.0 for row in short), "m"),
            )
        if taken := [row for row in lacking if row.lead_lack == "taken"]:
            yield kinds.LeadTaken(level="care", **_lacking(taken, acts))
    yield from _lengths_unknown(case)


def _lacking(rows: Sequence[AssignmentAnswer], acts: tuple[Act, ...]) -> dict[str, Any]:
    return {
        "about": names(row.light for row in rows).items,
        "rests_on": ("kit.cables",),
        "need": Figure(max(row.cable_m or 0.0 for row in rows), "m"),
        "acts": acts,
    }


def _lengths_unknown(case: Case) -> Iterator[Finding]:
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
        yield kinds.LengthUnknown(
            level="unknown",
            about=names(lights).items,
            rests_on=tuple(word.key for word in facts or ()),
            because=because,
            acts=acts,
        )


def _crossings(case: Case) -> Iterator[Finding]:
    rows = case.answer.assignment
    if crossing := [row for row in rows if row.exits]:
        lights = [row.light for row in crossing]
        exits = list(dict.fromkeys(door for row in crossing for door in row.exits))
        yield kinds.CrossesExit(
            level="problem",
            about=names(lights).items,
            rests_on=tuple(f"doors.{door}.keep_free" for door in exits),
            exits=names(exits),
            acts=off_exits(case, lights),
        )
    if tripping := [row for row in rows if row.crosses]:
        yield kinds.TripHazard(
            level="care",
            about=names(row.light for row in tripping).items,
            crosses=Many(tuple(dict.fromkeys(one for row in tripping for one in row.crosses))),
        )


def _drops(case: Case) -> Iterator[Finding]:
    for row in case.answer.assignment:
        if row.volt_drop_pct is None or row.volt_drop_pct <= BRANCH_PCT or row.lead is None:
            continue
        yield kinds.VoltageDrop(
            level="problem" if row.volt_drop_pct > WHOLE_PCT else "care",
            about=(Name(row.light),),
            rests_on=("kit.cables",),
            drop=Figure(row.volt_drop_pct, "%"),
            lead=row.lead,
            acts=tuple(thicker(case, row.light, row.cable_m or 0.0, row.conductor_mm2 or 0.0)),
        )


def _plugs(case: Case) -> Iterator[Finding]:
    for plug in case.answer.plugs:
        light, draws = Name(plug.light), amperes(plug.draws_a)
        carries = Figure(plug.most_a, "A", plug.least_a, plug.most_a)
        if plug.why == "hours":
            yield kinds.PlugHot(level="care", about=(light,), draws=draws, carries=carries)
        else:
            yield kinds.PlugKind(
                level="care",
                about=(light,),
                draws=draws,
                carries=carries,
                larger=Name(plug.larger) if plug.larger is not None else None,
            )


def _full(case: Case) -> Iterator[Finding]:
    for row in case.answer.circuits:
        if row.share is None or row.load_a is None or row.limit_a is None or not row.lights_a:
            continue
        if row.share <= FULL_SHARE or row.share > 1 + TOLERANCE:
            continue
        hanging = [one for one in case.answer.assignment if one.circuit == row.id]
        largest = max(hanging, key=lambda one: one.load_a or 0.0)
        yield kinds.NearlyFull(
            level="care",
            about=(Name(row.id),),
            rests_on=(f"circuits.{row.id}.other_load_w",),
            load=amperes(row.load_a),
            limit=amperes(row.limit_a),
            share=percent(row.share),
            acts=tuple(on_batteries(case, [largest.light], FULLEST)),
        )


def _untraced(case: Case) -> Iterator[Finding]:
    answer = case.answer
    if not answer.guessed:
        return
    circuits = names(answer.guessed)
    together, limit = answer.together_a, answer.together_limit_a
    yield kinds.Untraced(
        level="care",
        about=circuits.items,
        rests_on=tuple(f"circuits.{circuit}.verified" for circuit in answer.guessed),
        together=None if together is None else amperes(together),
        limit=None if limit is None else amperes(limit),
        acts=(act("measure.circuits", circuits=circuits),),
    )


def _unproven(case: Case) -> Iterator[Finding]:
    answer = case.answer
    if answer.proven:
        return
    shares = [row.share for row in answer.circuits if row.share is not None and row.lights_a]
    least = answer.least_share
    yield kinds.Unproven(
        level="care" if answer.feasible is False else "good",
        share=percent(max(shares)) if shares and least is not None else None,
        least=percent(least) if shares and least is not None else None,
    )


def _unknown(case: Case) -> Iterator[Finding]:
    missing = case.answer.missing
    outdoors = case.answer.no_outlet and case.sheet.room.setting == "exterior"
    if case.answer.feasible is None and missing and not outdoors:
        facts = words("fact", missing)
        yield kinds.PowerUnknown(
            level="unknown", rests_on=missing, facts=facts, acts=(act("measure", facts=facts),)
        )


def _good(case: Case) -> Iterator[Finding]:
    answer = case.answer
    if not answer.assignment:
        if answer.on_battery:
            yield kinds.OffTheMains(level="good", about=names(answer.on_battery).items)
        return
    used = [row for row in answer.circuits if row.lights_a and row.share is not None]
    judged = used or [row for row in answer.circuits if row.share is not None]
    fullest = max(judged, key=lambda row: row.share or 0.0)
    chargers = sum(row.kind == "charger" for row in answer.assignment)
    yield kinds.EverythingPlugsIn(
        level="good",
        lights=Figure(len(answer.assignment) - chargers, "count"),
        chargers=Figure(chargers, "count") if chargers else None,
        circuit=Name(fullest.id),
        load=amperes(fullest.load_a or 0.0),
        limit=amperes(fullest.limit_a or 0.0),
        share=percent(fullest.share or 0.0),
    )
