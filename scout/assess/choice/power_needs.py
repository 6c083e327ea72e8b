"""Needs of power: watts to spare and sockets, counted over the room and then held against the plan of
where each light plugs in, which alone makes a count good.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import replace
from typing import Any

from scout.assess.answers import Finding, unmeasured
from scout.assess.choice.cells import (
    CELL_LEVELS,
    WORSE,
    Case,
    CellLevel,
    NeedCell,
    Reading,
    listed,
    unknown,
)
from scout.records.kept import SocketsNeed, WattsNeed
from scout.records.sheet import Circuit
from scout.values import Figure, Said, names, said

# what rooms are, where nobody measured (common practice)
ROOM_W, ROOM_SOCKETS = (1000.0, 7000.0), (0.0, 12.0)
NO_KIT = ("kit.lights",)  # all that a plan waits for where no kit is listed
OF_SOCKETS = frozenset({"power.sockets_short", "power.sockets_uncounted", "power.no_mains"})


def _as_planned(cell: NeedCell, case: Case, codes: Collection[str] | None = None) -> NeedCell:
    """A cell of what was counted, no better than what the room's own plan finds (of these codes; None:
    all). Without a plan nothing counted is good: unknown where a kit waits to be plugged in, else care.
    """
    found, kit = case.facts.assessment, case.facts.kit
    plan = [one for one in found.findings if one.topic == "power"]
    if found.power.missing == NO_KIT or not (plan or found.power.feasible):
        if cell.level != "pass":
            return cell
        if kit is None or not (kit.lights or kit.chargers):
            return replace(cell, level="care", why=said("need.count_alone"))
        return NeedCell("unknown", cell.figure, said("need.not_planned"))
    if codes is not None:
        plan = [one for one in plan if one.code in codes]
    level: CellLevel = max(map(_level, plan), key=WORSE.index, default="pass")
    if WORSE.index(level) <= WORSE.index(cell.level):
        return cell
    why = listed(*(one.said() for one in plan if _level(one) == level))
    # a count that holds says nothing of a plan that fails or is not known
    return NeedCell(level, cell.figure, why, cell.reading if level == "care" else None)


def _level(finding: Finding) -> CellLevel:
    """The level of a cell that rests on a finding: a problem that an act mends is care, for no room is
    out for want of a cable; never better than what the finding says.
    """
    return "care" if finding.level == "problem" and finding.acts else CELL_LEVELS[finding.level]


def _watts(need: WattsNeed, case: Case) -> NeedCell:
    return _as_planned(_watts_counted(need, case), case)


def _watts_counted(need: WattsNeed, case: Case) -> NeedCell:
    """The watts that the room's circuits have to spare together: a bound, for no plan has more."""
    room = case.facts.room
    circuits = room.circuits
    if not circuits:
        return unknown(unmeasured("room.circuits"), Reading.between(*ROOM_W))
    share = case.facts.continuous_share
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


def _sockets(need: SocketsNeed, case: Case) -> NeedCell:
    return _as_planned(_sockets_counted(need, case), case, OF_SOCKETS)


def _sockets_counted(need: SocketsNeed, case: Case) -> NeedCell:
    outlets = case.facts.room.outlets
    if outlets is None:
        return unknown(unmeasured("room.outlets"), Reading.between(*ROOM_SOCKETS))
    count = sum(outlet.sockets or 1 for outlet in outlets)
    uncounted = [outlet.id for outlet in outlets if outlet.sockets is None]
    figure = said("need.socket_count", count=count)
    if count >= need.sockets:
        return NeedCell("pass", figure, said("need.within"), Reading.about(count))
    if uncounted:
        why = unmeasured(*(f"outlets.{outlet}.sockets" for outlet in uncounted))
        most = count + 3.0 * len(uncounted)
        return NeedCell("unknown", figure, why, Reading.between(count, most))
    why = said("need.sockets_short", short=need.sockets - count)
    return NeedCell("fail", figure, why, Reading.about(count))


JUDGES: dict[str, Callable[[Any, Case], NeedCell]] = {
    "watts": _watts,
    "sockets": _sockets,
}
ASKED: dict[str, Callable[[Any], Said]] = {
    "watts": lambda need: said("asked.watts", watts=Figure(need.watts, "W")),
    "sockets": lambda need: said("asked.sockets", n=need.sockets),
}
