"""Which light plugs in where, how full each circuit becomes, how long the leads are, and what to do
when it does not fit.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from scout.assess.answers import (
    AssignmentAnswer,
    CircuitAnswer,
    Placement,
    PlugAnswer,
    PowerAnswer,
    Unplaced,
    unmeasured,
)
from scout.assess.power.change import left_out
from scout.assess.power.leads import (
    Lead,
    drop_pct,
    give_leads,
    run_of,
    trip_hazards,
    unplaced_doors,
)
from scout.assess.power.supply import Load, Source, Supplies, supplies
from scout.assess.stage.floor import lead_floor
from scout.calc.power.assign import PlugPoint, Supply, assign
from scout.calc.power.packing import TOLERANCE
from scout.calc.power.plugs import plug_range_a, plugs_at, plugs_of
from scout.calc.power.run import CableRun
from scout.records.sheet import RoomSheet
from scout.values import Figure, Many, Name, Said, said

CAUTIONS: tuple[Said, ...] = (
    said("power.caution.electrician"),
    said("power.caution.earth"),
    said("power.caution.reels"),
    said("power.caution.water"),
    said("power.caution.surge"),
    said("power.caution.exits"),
)
DOOR_M = 10.0  # a crew lays so much more lead rather than tape one across a door (common practice)
Runs = Mapping[tuple[str, int], CableRun | Said]


@dataclass(frozen=True)
class _Plugged:
    """The plan: outlet by light, and the lights for which there is none."""

    outlet_of: dict[str, int]
    left_out: tuple[Load, ...]
    proven: bool
    least_share: float | None = (
        # no plan of all the lights on the circuits that can be judged has a lower greatest share
        None
    )


def power(sheet: RoomSheet, placements: Mapping[str, Placement]) -> PowerAnswer:
    """The power block of the assessment. A light without a placement has no cable length, but its
    current counts.
    """
    given = supplies(sheet.room, sheet.kit, sheet.location)
    kit = sheet.kit
    if not given.loads:
        known = kit is not None and (kit.lights is not None or bool(kit.chargers))
        missing = () if known else ("kit.lights",)
        return PowerAnswer(
            feasible=True if known else None,
            circuits=tuple(_circuit_row(one, 0.0) for one in given.sources if one.recorded),
            assumed=given.assumed,
            missing=missing,
            unknown=unmeasured(*missing) if missing else None,
            on_battery=given.on_battery,
        )
    if not given.outlets:
        none = sheet.room.outlets is not None
        because = said("power.no_outlets") if none else unmeasured("room.outlets")
        return PowerAnswer(
            feasible=False if none else None,
            circuits=tuple(_circuit_row(one, 0.0) for one in given.sources),
            assumed=given.assumed,
            missing=() if none else ("room.outlets",),
            no_outlet=True,
            unknown=because,
            on_battery=given.on_battery,
            unplaced=tuple(
                Unplaced(load.id, None, because, "sockets" if none else "unknown")
                for load in given.loads
            ),
        )
    floor = lead_floor(sheet.room, sheet.marks)
    runs = {
        (load.id, o): run_of(floor, socketed.outlet, placements.get(load.id))
        if load.is_light
        else said("power.charger_anywhere")
        for load in given.loads
        for o, socketed in enumerate(given.outlets)
    }
    return _answer(sheet, given, runs, _plug(given, runs))


# -- the plan
# ---------------------------------------------------------------------------------------------------------
def _plug(given: Supplies, runs: Runs) -> _Plugged:
    """Lights before chargers, which can do their work elsewhere or at night: where not all can be
    plugged in, chargers wait, the hungriest first, as long as that lets a light in.
    """
    known = [load for load in given.loads if load.va is not None]
    waiting: list[Load] = []
    plan = best = _plugged(given, known, runs)
    while (dark := _lights_out(plan)) and (
        there := [one for one in known if not one.is_light and one.id in plan.outlet_of]
    ):
        waiting.append(max(there, key=lambda one: one.va or 0.0))
        known.remove(waiting[-1])
        plan = _plugged(given, known, runs)
        if _lights_out(plan) < min(dark, _lights_out(best)):
            best = replace(plan, left_out=(*plan.left_out, *waiting))
    return best


def _lights_out(plan: _Plugged) -> int:
    return sum(load.is_light for load in plan.left_out)


def _plugged(given: Supplies, known: list[Load], runs: Runs) -> _Plugged:
    """The circuits whose load can be judged come first; only what they cannot take goes on the
    others, and then nothing is promised.

    When even that leaves a light out, all circuits are planned together, each doubtful one at the
    most it could be. What
    is left out then cannot be plugged in whatever the missing facts turn out to be.
    """
    judged = {i for i, source in enumerate(given.sources) if source.unknown is None}
    doubtful = set(range(len(given.sources))) - judged
    sure = _best(given, known, judged, runs)
    if not sure.left_out or not doubtful:
        return sure
    rest = _best(given, list(sure.left_out), doubtful, runs)
    if not rest.left_out:
        return _Plugged(sure.outlet_of | rest.outlet_of, (), sure.proven and rest.proven)
    return _best(given, known, judged | doubtful, runs)


def _best(
    given: Supplies,
    known: list[Load],
    allowed: set[int],
    runs: Runs,
) -> _Plugged:
    outlets = [o for o, socketed in enumerate(given.outlets) if socketed.source in allowed]
    numbers = sorted({given.outlets[o].source for o in outlets})
    if not known or not outlets:
        return _Plugged({}, tuple(known), True)
    circuits = tuple(
        Supply(given.sources[n].limit_va, given.sources[n].other_w or 0.0, given.sources[n].plug_va)
        for n in numbers
    )
    points = tuple(
        PlugPoint(numbers.index(given.outlets[o].source), given.outlets[o].sockets) for o in outlets
    )
    plan = assign(
        [load.va or 0.0 for load in known],
        circuits,
        points,
        _of_runs(known, outlets, runs, lambda run: run.whole_m + DOOR_M * len(run.doors)),
        exits=_of_runs(known, outlets, runs, lambda run: float(len(run.exits))),
    )
    where = {
        load.id: outlets[o] for load, o in zip(known, plan.outlet_of, strict=True) if o is not None
    }
    missing = tuple(load for load, o in zip(known, plan.outlet_of, strict=True) if o is None)
    return _Plugged(where, missing, plan.proven, plan.least_share)


def _of_runs(
    known: list[Load], outlets: list[int], runs: Runs, figure: Callable[[CableRun], float]
) -> np.ndarray:
    """A figure of every run for the plan; where one is not known it counts as the light's greatest,
    so that a known one is preferred.
    """
    rows = []
    for load in known:
        row = [
            figure(run) if isinstance(run := runs[load.id, o], CableRun) else None for o in outlets
        ]
        greatest = max((value for value in row if value is not None), default=0.0)
        rows.append([greatest if value is None else value for value in row])
    return np.array(rows, dtype=np.float64)


# -- the answer
# -------------------------------------------------------------------------------------------------------
def _answer(sheet: RoomSheet, given: Supplies, runs: Runs, plan: _Plugged) -> PowerAnswer:
    added = [0.0] * len(given.sources)
    va = {load.id: load.va or 0.0 for load in given.loads}
    for light, o in plan.outlet_of.items():
        added[given.outlets[o].source] += va[light]
    used = {given.outlets[o].source for o in plan.outlet_of.values()}
    cables = sheet.kit.cables if sheet.kit is not None else None
    wanted = {
        light: run.whole_m
        for light, o in plan.outlet_of.items()
        if isinstance(run := runs[light, o], CableRun)
    }
    leads = {} if cables is None else give_leads(cables, wanted)
    rows = tuple(
        _assignment_row(load, given, plan, runs, leads, sheet)
        for load in given.loads
        if load.id in plan.outlet_of
    )
    circuits = tuple(_circuit_row(source, added[i]) for i, source in enumerate(given.sources))
    unjudged = [load for load in given.loads if load.va is None]
    unplaced = left_out(given, plan.outlet_of, plan.left_out) if plan.left_out else ()
    unplaced += tuple(Unplaced(load.id, None, unmeasured(load.path)) for load in unjudged)
    missing = [load.path for load in unjudged]
    for i in sorted(used):
        missing += given.sources[i].missing
    guessed = [
        (source, row)
        for i, (source, row) in enumerate(zip(given.sources, circuits, strict=True))
        if i in used and source.recorded and not source.verified
    ]
    alike = [
        row
        for source, row in guessed
        if row.limit_a is not None
        and row.lights_a is not None
        and source.volts == guessed[0][0].volts
    ]
    joined = len(alike) > 1 and len(alike) == len(guessed)
    return PowerAnswer(
        feasible=False if plan.left_out else None if missing else True,
        circuits=circuits,
        assignment=rows,
        on_battery=given.on_battery,
        countries=given.country.codes,
        unplaced=unplaced,
        proven=plan.proven,
        least_share=None if plan.proven or plan.left_out else plan.least_share,
        missing=tuple(missing),
        plugs=_plugs(rows, given, plan),
        guessed=tuple(source.id for source, _ in guessed),
        together_a=sum((row.lights_a or 0.0) + (row.other_a or 0.0) for row in alike)
        if joined
        else None,
        together_limit_a=min(row.limit_a or 0.0 for row in alike) if joined else None,
        assumed=(
            *given.assumed,
            *_about_leads(sheet, leads, rows),
            *_if_usual_volts(given, added),
        ),
        unknown=unmeasured(*missing) if missing else None,
    )


def _circuit_row(source: Source, added_va: float) -> CircuitAnswer:
    if source.volts is None:
        return CircuitAnswer(
            id=source.id, limit_a=source.limit_a, verified=source.verified, unknown=source.unknown
        )
    lights_a = added_va / source.volts
    other_a = source.other_w / source.volts if source.other_w is not None else None
    load = lights_a + other_a if other_a is not None else None
    return CircuitAnswer(
        id=source.id,
        limit_a=source.limit_a,
        load_a=load,
        share=load / source.limit_a if load is not None and source.limit_a is not None else None,
        lights_a=lights_a,
        other_a=other_a,
        verified=source.verified,
        unknown=source.unknown,
    )


def _assignment_row(
    load: Load,
    given: Supplies,
    plan: _Plugged,
    runs: Runs,
    leads: Mapping[str, Lead],
    sheet: RoomSheet,
) -> AssignmentAnswer:
    light, o = load.id, plan.outlet_of[load.id]
    socketed = given.outlets[o]
    source, run, lead = given.sources[socketed.source], runs[light, o], leads.get(light)
    amperes = load.va / source.volts if load.va is not None and source.volts is not None else None
    row = AssignmentAnswer(
        light=light,
        kind="light" if load.is_light else "charger",
        outlet=socketed.outlet.id,
        circuit=source.id if source.recorded else None,
        load_a=amperes,
    )
    gaps: list[Said] = []
    if amperes is None and source.unknown is not None:
        gaps.append(source.unknown)
    if isinstance(run, Said):
        return replace(row, unknown=_joined([run, *gaps]))
    drop = None
    if lead is None:
        gaps.append(said("power.no_cables_listed"))
    elif isinstance(lead.conductor, Said):
        gaps.append(lead.conductor)
    elif amperes is not None and source.volts is not None:
        drop = drop_pct(lead, amperes, source.volts)
    return replace(
        row,
        cable_m=run.whole_m,
        lead_m=lead.length_m if lead is not None and lead.lack is None else None,
        straight_m=run.straight_m,
        across=run.open_floor,
        path_m=run.path_m,
        doors=run.doors,
        exits=run.exits,
        crosses=trip_hazards(run),
        volt_drop_pct=drop,
        lead=said(
            "power.lead",
            length=Figure(lead.length_m, "m"),
            conductor=lead.conductor.name,
        )
        if lead is not None and not isinstance(lead.conductor, Said)
        else None,
        lead_lack=lead.lack if lead is not None else None,
        spare_m=lead.spare_m if lead is not None else None,
        conductor_mm2=lead.conductor_mm2 if lead is not None else None,
        unknown=_joined(gaps),
    )


def _joined(gaps: Sequence[Said]) -> Said | None:
    return said("power.gaps", gaps=Many(tuple(gaps), "list")) if gaps else None


def _about_leads(
    sheet: RoomSheet, leads: Mapping[str, Lead], rows: Sequence[AssignmentAnswer]
) -> list[Said]:
    if not any(row.cable_m is not None for row in rows):
        return []
    assumed = [said("power.leads_run")]
    tables = {
        lead.conductor.source for lead in leads.values() if not isinstance(lead.conductor, Said)
    }
    if tables:
        assumed.append(said("power.drop_is", tables=Many(tuple(sorted(tables, key=repr)))))
    if doors := unplaced_doors(sheet.room):
        assumed.append(said("power.doors_unplaced", because=unmeasured(*doors)))
    return assumed


def _plugs(
    rows: Sequence[AssignmentAnswer], given: Supplies, plan: _Plugged
) -> tuple[PlugAnswer, ...]:
    """Lights that ask much of their plug; where the country is not known, those that some country's
    everyday plug would not carry.
    """
    asking = []
    for row in rows:
        source = given.sources[given.outlets[plan.outlet_of[row.light]].source]
        amperes, volts = row.load_a, source.volts
        if amperes is None or volts is None:
            continue
        if source.plug_a is not None:
            carried = [
                plug.plug_a for code in given.country.codes for plug in plugs_at(code, volts)
            ]
            least, most = min(carried), source.plug_a
            if amperes > least * (1 + TOLERANCE):
                asking.append(PlugAnswer(row.light, amperes, least, most, "kind", source.plug))
            elif amperes > given.share * most * (1 + TOLERANCE):
                asking.append(PlugAnswer(row.light, amperes, most, most, "hours"))
        elif (usual := plug_range_a(volts)) is not None and amperes > usual[0] + TOLERANCE:
            asking.append(PlugAnswer(row.light, amperes, *usual, "kind"))
    return tuple(asking)


def _if_usual_volts(given: Supplies, added: Sequence[float]) -> list[Said]:
    """What the lights on a circuit of unknown volts would draw at the country's usual ones:
    offered, not taken.
    """
    usual = sorted({plug.nominal_v for code in given.country.codes for plug in plugs_of(code)})
    return [
        said(
            "power.at_usual_volts",
            circuit=Name(source.id) if source.recorded else None,
            drawn=Many(tuple(Figure(va / volts, "A") for volts in usual), "or"),
            volts=Many(tuple(Figure(volts, "V") for volts in usual), "or"),
        )
        for source, va in zip(given.sources, added, strict=True)
        if source.volts is None and va and usual
    ]
