"""Which light plugs in where, how full each circuit becomes, how long the leads are, and what to do
when it does not fit.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from scout.assess.answers import (
    AssignmentAnswer,
    CircuitAnswer,
    Level,
    Placement,
    PowerAnswer,
    Unplaced,
    Verdict,
)
from scout.assess.power.change import left_out, named
from scout.assess.power.leads import (
    Lead,
    drop_pct,
    give_leads,
    run_of,
    trip_hazards,
    unplaced_doors,
)
from scout.assess.power.supply import Load, Source, Supplies, listed, supplies
from scout.calc.power.assign import PlugPoint, Supply, assign
from scout.calc.power.drop import BRANCH_PCT, WHOLE_PCT
from scout.calc.power.packing import TOLERANCE
from scout.calc.power.plugs import plug_range_a, plugs_at, plugs_of
from scout.calc.power.run import CableRun
from scout.records.sheet import Marks, RoomSheet

CAUTIONS: tuple[str, ...] = (
    "Tie-ins, distribution boxes and generators are work for a licensed electrician. Do not open panels and do not tie in. "
    "Local code and the site's own rules decide; ask whoever answers for the building.",
    "Never defeat the protective earth, and never put a larger fuse or breaker in the place of a smaller one.",
    "Wind reels off completely: a wound reel under load overheats. Do not plug one extension lead into another.",
    "Near water and outdoors use only outlets with residual-current protection (RCD, GFCI). Leakage of many supplies adds up and may trip it.",
    "Switch fixtures on one at a time: the surge of a large lamp or supply can be ten times its running current.",
    "Lay leads flat along the walls; tape or ramp them at doors and where people walk; keep exits and escape ways clear.",
)
NO_PLACE = "because charger {} may stand anywhere"
MOST_TOLD = 3  # lights left out whose reasons a verdict gives one by one
FULL_SHARE = 0.9  # of the limit: from here on the plan is called tight


@dataclass(frozen=True)
class _Plugged:
    """The plan found: outlet by light, and the lights for which there is none."""

    outlet_of: dict[str, int]
    left_out: tuple[Load, ...]
    proven: bool
    least_share: float | None = (
        # no plan of all the lights on the circuits that can be judged has a lower greatest share
        None
    )
    greatest_share: float | None = None


def power(sheet: RoomSheet, placements: Mapping[str, Placement]) -> PowerAnswer:
    """The power block of the assessment. A light without a placement has no cable length, but its
    current counts.
    """
    found = supplies(sheet.room, sheet.kit, sheet.location)
    lights = sheet.kit.lights if sheet.kit is not None else None
    if not found.loads:
        known = lights is not None or bool(sheet.kit is not None and sheet.kit.chargers)
        nothing = None if known else "because the kit's lights are not recorded"
        rows = tuple(_circuit_row(source, 0.0, 0) for source in found.sources if source.recorded)
        return PowerAnswer(
            feasible=True if known else None,
            circuits=rows,
            assumed=found.assumed,
            unknown=nothing,
            on_battery=found.on_battery,
        )
    if not found.outlets:
        why = (
            "because no outlet of the room is recorded"
            if not sheet.room.outlets
            else "because the outlets could not be read"
        )
        rows = tuple(_circuit_row(source, 0.0, 0) for source in found.sources)
        return PowerAnswer(
            circuits=rows,
            assumed=found.assumed,
            unknown=why,
            unplaced=tuple(Unplaced(load.id, None, why) for load in found.loads),
        )
    runs = {
        (load.id, o): run_of(sheet.room, socketed.outlet, load.id, placements.get(load.id))
        if load.is_light
        else NO_PLACE.format(load.id)
        for load in found.loads
        for o, socketed in enumerate(found.outlets)
    }
    plan = _plug(found, runs)
    return _answer(sheet, found, runs, plan)


# -- the plan
# ---------------------------------------------------------------------------------------------------------
def _plug(found: Supplies, runs: Mapping[tuple[str, int], CableRun | str]) -> _Plugged:
    """The circuits whose load can be judged come first; only what they cannot take goes on the
    others, and then nothing is promised.

    When even that leaves a light out, all circuits are planned together, each doubtful one at the
    most it could be. What
    is left out then cannot be plugged in whatever the missing facts turn out to be.
    """
    known = [load for load in found.loads if load.va is not None]
    judged = {i for i, source in enumerate(found.sources) if source.unknown is None}
    doubtful = set(range(len(found.sources))) - judged
    sure = _best(found, known, judged, runs)
    if not sure.left_out or not doubtful:
        return sure
    rest = _best(found, list(sure.left_out), doubtful, runs)
    if not rest.left_out:
        return _Plugged(sure.outlet_of | rest.outlet_of, (), sure.proven and rest.proven)
    return _best(found, known, judged | doubtful, runs)


def _best(
    found: Supplies,
    known: list[Load],
    allowed: set[int],
    runs: Mapping[tuple[str, int], CableRun | str],
) -> _Plugged:
    outlets = [o for o, socketed in enumerate(found.outlets) if socketed.source in allowed]
    numbers = sorted({found.outlets[o].source for o in outlets})
    if not known or not outlets:
        return _Plugged({}, tuple(known), True)
    circuits = tuple(
        Supply(found.sources[n].limit_va, found.sources[n].other_w or 0.0, found.sources[n].plug_va)
        for n in numbers
    )
    points = tuple(
        PlugPoint(numbers.index(found.outlets[o].source), found.outlets[o].sockets) for o in outlets
    )
    plan = assign(
        [load.va or 0.0 for load in known], circuits, points, _metres(known, outlets, runs)
    )
    where = {
        load.id: outlets[o] for load, o in zip(known, plan.outlet_of, strict=True) if o is not None
    }
    missing = tuple(load for load, o in zip(known, plan.outlet_of, strict=True) if o is None)
    return _Plugged(where, missing, plan.proven, plan.least_share, plan.greatest_share)


def _unproven_words(plan: _Plugged) -> str:
    """How good a plan is that was not proven the best."""
    if plan.least_share is None or plan.greatest_share is None or plan.left_out:
        return "The search for the best plan was cut short by the number of lights; a better one may exist."
    if plan.greatest_share <= plan.least_share * (1 + TOLERANCE) + TOLERANCE:
        return "No plan loads the fullest circuit less; that its leads are the shortest is not proven, because the search was cut short."
    return (
        f"The search for the best plan was cut short by the number of lights: the fullest circuit carries {plan.greatest_share:.2%} of its limit, "
        f"and no plan can bring that below {plan.least_share:.2%}."
    )


def _metres(
    known: list[Load], outlets: list[int], runs: Mapping[tuple[str, int], CableRun | str]
) -> np.ndarray:
    """Lead lengths for the plan; where one is not known it counts as the light's longest, so that a
    known one is preferred.
    """
    rows = []
    for load in known:
        row = [
            run.whole_m if isinstance(run := runs[load.id, o], CableRun) else None for o in outlets
        ]
        longest = max((metres for metres in row if metres is not None), default=0.0)
        rows.append([longest if metres is None else metres for metres in row])
    return np.array(rows, dtype=np.float64)


# -- the answer
# -------------------------------------------------------------------------------------------------------
def _answer(
    sheet: RoomSheet,
    found: Supplies,
    runs: Mapping[tuple[str, int], CableRun | str],
    plan: _Plugged,
) -> PowerAnswer:
    added = [0.0] * len(found.sources)
    counts = [0] * len(found.sources)
    va = {load.id: load.va for load in found.loads}
    for light, o in plan.outlet_of.items():
        added[found.outlets[o].source] += va[light] or 0.0
        counts[found.outlets[o].source] += 1
    wanted = {
        light: run.whole_m
        for light, o in plan.outlet_of.items()
        if isinstance(run := runs[light, o], CableRun)
    }
    leads = give_leads(sheet.kit.cables if sheet.kit is not None else None, wanted)
    rows = tuple(
        _assignment_row(load, found, plan, runs, leads, sheet.marks)
        for load in found.loads
        if load.id in plan.outlet_of
    )
    circuits = tuple(
        _circuit_row(source, added[i], counts[i]) for i, source in enumerate(found.sources)
    )
    unplaced, change = left_out(found, plan.outlet_of, plan.left_out, proven=plan.proven)
    unjudged = [load for load in found.loads if load.va is None]
    unplaced += tuple(Unplaced(load.id, None, load.unknown or "") for load in unjudged)
    overfull = [
        circuit.id
        for circuit in circuits
        if circuit.share is not None and circuit.share > 1.0 + TOLERANCE
    ]
    gaps = [load.unknown for load in unjudged if load.unknown is not None]
    relied_on = [
        source.unknown
        for i, source in enumerate(found.sources)
        if source.unknown is not None and counts[i]
    ]
    gaps += relied_on
    feasible: bool | None
    if plan.left_out:
        feasible = False
    elif gaps:
        feasible = None
    else:
        feasible = True
    assumed = [
        *found.assumed,
        *_if_one_circuit(found, circuits),
        *_lead_words(sheet, leads, rows),
        *_plug_words(rows, found, plan),
        *_if_usual_volts(found, added, counts),
    ]
    if not plan.proven:
        assumed.append(_unproven_words(plan))
    if overfull:
        assumed.append(
            f"What hangs on {', '.join(overfull)} already is over its limit before any light is plugged in."
        )
    return PowerAnswer(
        feasible=feasible,
        circuits=circuits,
        assignment=rows,
        on_battery=found.on_battery,
        countries=found.country.codes,
        unplaced=unplaced,
        least_change=change,
        proven=plan.proven,
        assumed=tuple(dict.fromkeys(assumed)),
        unknown="; ".join(dict.fromkeys(gaps)) or None,
    )


def _circuit_row(source: Source, added_va: float, lights: int) -> CircuitAnswer:
    if source.volts is None:
        why = source.unknown or f"because the volts of circuit {source.id} are not recorded"
        watts = f"; its lights take {added_va:.0f} VA" if lights else ""
        return CircuitAnswer(
            id=source.id, limit_a=source.limit_a, verified=source.verified, unknown=f"{why}{watts}"
        )
    lights_a = added_va / source.volts
    other_a = source.other_w / source.volts if source.other_w is not None else None
    load = lights_a + other_a if other_a is not None else None
    share = load / source.limit_a if load is not None and source.limit_a is not None else None
    unknown = source.unknown
    if unknown is not None and lights:
        unknown += f"; its lights alone draw {lights_a:.1f} A" + (
            f" of {source.limit_a:.1f} A" if source.limit_a is not None else ""
        )
    return CircuitAnswer(
        id=source.id,
        limit_a=source.limit_a,
        load_a=load,
        share=share,
        lights_a=lights_a,
        other_a=other_a,
        verified=source.verified,
        unknown=unknown,
    )


def _assignment_row(
    load: Load,
    found: Supplies,
    plan: _Plugged,
    runs: Mapping[tuple[str, int], CableRun | str],
    leads: Mapping[str, Lead | str],
    marks: Marks | None,
) -> AssignmentAnswer:
    light, o = load.id, plan.outlet_of[load.id]
    socketed = found.outlets[o]
    source, run = found.sources[socketed.source], runs[light, o]
    amperes = load.va / source.volts if load.va is not None and source.volts is not None else None
    gaps = []
    if isinstance(run, str):
        gaps.append(f"{run} (length of its lead, and volt drop)")
    lead = leads.get(light)
    if isinstance(lead, str):
        gaps.append(f"{lead} (volt drop)")
    if amperes is None:
        gaps.append(f"{source.unknown} (its current, and volt drop)")
    drop = (
        drop_pct(lead, amperes, source.volts)
        if isinstance(lead, Lead) and amperes is not None and source.volts is not None
        else None
    )
    return AssignmentAnswer(
        light=light,
        kind="light" if load.is_light else "charger",
        outlet=socketed.outlet.id,
        circuit=source.id if source.recorded else None,
        cable_m=run.whole_m if isinstance(run, CableRun) else None,
        straight_m=run.straight_m if isinstance(run, CableRun) else None,
        doors=run.doors if isinstance(run, CableRun) else (),
        crosses=trip_hazards(run, marks) if isinstance(run, CableRun) else (),
        shorter_m=run.shorter_m if isinstance(run, CableRun) else None,
        shorter_doors=run.shorter_doors if isinstance(run, CableRun) else (),
        volt_drop_pct=drop,
        load_a=amperes,
        lead=lead.words if isinstance(lead, Lead) else None,
        assumed=lead.assumed if isinstance(lead, Lead) else (),
        unknown="; ".join(gaps) or None,
    )


def _lead_words(
    sheet: RoomSheet, leads: Mapping[str, Lead | str], rows: Sequence[AssignmentAnswer]
) -> list[str]:
    words = []
    if leads:
        words.append(
            "Leads run along the walls, round doors where that can be, then straight out to the light; "
            "both heights and 10 % slack are in (common practice)."
        )
    used = [lead for lead in leads.values() if isinstance(lead, Lead)]
    if used:
        tables = " and ".join(sorted({lead.conductor.source for lead in used}))
        words.append(f"Volt drop is for the whole lead, wound off, of warm copper ({tables}).")
    words += [
        f"The lead to {row.light} goes the longer way round ({row.cable_m:.1f} m) to keep clear of {listed(row.shorter_doors)}; "
        f"the other way would take {row.shorter_m:.1f} m, taped or ramped at the door."
        for row in rows
        if row.cable_m is not None and row.shorter_m is not None
    ]
    if leads and (doors := unplaced_doors(sheet.room)):
        words.append(
            f"The place of {', '.join(doors)} on the wall is not measured; whether a lead passes there is not known."
        )
    return words


def _if_one_circuit(found: Supplies, circuits: tuple[CircuitAnswer, ...]) -> list[str]:
    """What it would mean if circuits told apart by guess were one."""
    guessed = [
        row
        for row, source in zip(circuits, found.sources, strict=True)
        if not source.verified
        and row.lights_a
        and row.limit_a is not None
        and source.volts == found.sources[0].volts
    ]
    if len(guessed) < 2:
        return []
    load = sum((row.lights_a or 0.0) + (row.other_a or 0.0) for row in guessed)
    limit = min(row.limit_a for row in guessed if row.limit_a is not None)
    return [
        f"If {' and '.join(row.id for row in guessed)} were one circuit it would carry {load:.1f} A "
        + (
            f"of {limit:.1f} A: too much."
            if load > limit * (1 + TOLERANCE)
            else f"of {limit:.1f} A, which still fits."
        )
    ]


def _plug_words(rows: tuple[AssignmentAnswer, ...], found: Supplies, plan: _Plugged) -> list[str]:
    """Lights that ask much of their plug; where the country is not known, those that some country's
    everyday plug would not carry.
    """
    words = []
    for row in rows:
        source = found.sources[found.outlets[plan.outlet_of[row.light]].source]
        amperes, volts = row.load_a, source.volts
        if amperes is None or volts is None:
            continue
        name = f"{'Light' if row.kind == 'light' else 'Charger'} {row.light}"
        if source.plug_a is not None:
            known = [plug for code in found.country.codes for plug in plugs_at(code, volts)]
            small = min(known, key=lambda plug: plug.plug_a)
            if amperes > small.plug_a * (1 + TOLERANCE):
                words.append(
                    f"{name} draws {amperes:.1f} A, more than {small.name} carries ({small.plug_a:g} A): it needs {source.plug}; look for one."
                )
            elif amperes > found.share * source.plug_a * (1 + TOLERANCE):
                words.append(
                    f"{name} draws {amperes:.1f} A through a plug of {source.plug_a:g} A; for hours {found.share * source.plug_a:.1f} A is what "
                    "common practice plans to: feel the plug, and give it rests."
                )
        elif (usual := plug_range_a(volts)) is not None and amperes > usual[1]:
            words.append(
                f"{name} draws {amperes:.1f} A, more than any everyday plug at {volts:g} V carries ({usual[1]:g} A): "
                "it needs an outlet made for it."
            )
        elif usual is not None and amperes > usual[0] + TOLERANCE:
            words.append(
                f"{name} draws {amperes:.1f} A; everyday plugs at {volts:g} V carry {usual[0]:g} to {usual[1]:g} A by country: read the plug."
            )
    return words


def _if_usual_volts(found: Supplies, added: list[float], counts: list[int]) -> list[str]:
    """What the lights on a circuit of unknown volts would draw at the country's usual ones:
    offered, not taken.
    """
    usual = sorted({plug.nominal_v for code in found.country.codes for plug in plugs_of(code)})
    words = []
    for source, va, count in zip(found.sources, added, counts, strict=True):
        if source.volts is None and count and usual:
            drawn = ", ".join(f"{va / volts:.1f} A at {volts:g} V" for volts in usual)
            limit = f" of {source.limit_a:.1f} A" if source.limit_a is not None else ""
            words.append(
                f"If {named(source)} has the usual volts, what is plugged in there draws {drawn}{limit}."
            )
    return words


# -- verdicts
# ---------------------------------------------------------------------------------------------------------
def verdicts(answer: PowerAnswer) -> tuple[Verdict, ...]:
    """What the answer comes to, in sentences with their figures: whether all fits, and the leads
    that trouble.
    """
    found = [_fit_verdict(answer)]
    if (dropping := _drop_verdict(answer)) is not None:
        found.append(dropping)
    crossing = [(row.light, row.crosses) for row in answer.assignment if row.crosses]
    if crossing:
        told = "; ".join(f"the lead to {light} crosses {listed(what)}" for light, what in crossing)
        found.append(
            Verdict(
                "power",
                "care",
                f"Somebody may trip: {told}. Tape or ramp it there, keep doors working and ways out clear.",
            )
        )
    return tuple(found)


def _fit_verdict(answer: PowerAnswer) -> Verdict:
    judged = [row for row in answer.circuits if row.share is not None]
    if answer.feasible is None:
        return Verdict(
            "power",
            "unknown",
            f"Whether the circuits carry the lights is unknown, {answer.unknown or 'because too little is recorded'}.",
        )
    if answer.feasible is False:
        left = [row for row in answer.unplaced if row.because]
        told = _left_words(left) or "a circuit is over its limit before any light is plugged in"
        return Verdict(
            "power",
            "problem",
            f"Not every light can be plugged in: {told}."
            + (f" {answer.least_change}" if answer.least_change else ""),
        )
    if not answer.assignment:
        battery = f": {len(answer.on_battery)} run on batteries" if answer.on_battery else ""
        return Verdict("power", "good", f"No light of the kit needs the mains{battery}.")
    used = [row for row in judged if row.lights_a]
    fullest = max(used or judged, key=lambda row: row.share or 0.0)
    figure = f"fullest is {fullest.id} with {fullest.load_a:.1f} of {fullest.limit_a:.1f} A ({(fullest.share or 0.0):.0%})"
    tight = (fullest.share or 0.0) > FULL_SHARE
    unsure = [row.id for row in used if not row.verified]
    level: Level = "care" if tight or unsure else "good"
    chargers = sum(row.kind == "charger" for row in answer.assignment)
    lights = len(answer.assignment) - chargers
    words = (
        f"All {lights} lights plug in"
        if lights > 1
        else "The light plugs in"
        if lights
        else "The chargers plug in"
    )
    if lights and chargers:
        words += f", with {chargers} charger{'s' if chargers > 1 else ''}"
    doubt = f"; {', '.join(unsure)} not verified: try the breaker on site" if unsure else ""
    return Verdict("power", level, f"{words}; {figure}{', tight' if tight else ''}{doubt}.")


def _left_words(left: list[Unplaced]) -> str:
    if len(left) > MOST_TOLD:  # the table says of each why
        return f"{len(left)} are left out: {listed([row.light for row in left])}"
    return "; ".join(f"{row.light} is left out, {row.because}" for row in left)


def _drop_verdict(answer: PowerAnswer) -> Verdict | None:
    worst = max(
        (row for row in answer.assignment if row.volt_drop_pct is not None),
        key=lambda row: row.volt_drop_pct or 0.0,
        default=None,
    )
    if worst is None or worst.volt_drop_pct is None or worst.volt_drop_pct <= BRANCH_PCT:
        return None
    level: Level = "problem" if worst.volt_drop_pct > WHOLE_PCT else "care"
    return Verdict(
        "power",
        level,
        f"The lead to {worst.light} loses {worst.volt_drop_pct:.1f} % of the volts ({worst.lead}); "
        f"{BRANCH_PCT:g} % is the usual guidance: take a thicker or a shorter one.",
    )
