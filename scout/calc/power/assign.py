"""Which light plugs in where: all of them if that can be, no circuit fuller than it must be, then the fewest metres of cable."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import Bounds, LinearConstraint, linear_sum_assignment, milp
from scipy.sparse import csr_array

from scout.calc.geometry import FloatArray, require
from scout.calc.power.packing import EXACT_LIGHTS, TOLERANCE, Bin, Packing, pack
from scout.errors import OutOfRange

SHARE_SLACK = 1e-7  # the share is found to one part in ten million
SOLVER_S = 2.0  # then the best plan so far is taken, and said not to be proven


@dataclass(frozen=True)
class Supply:
    """A circuit: what it may carry for hours, and what is on it already, in volt-amperes."""

    limit_va: float
    already_va: float


@dataclass(frozen=True)
class PlugPoint:
    """An outlet: its circuit by number, and how many lights can plug in."""

    circuit: int
    sockets: int


@dataclass(frozen=True)
class Plan:
    """`outlet_of[light]` is the outlet's number, or None for a light left out."""

    outlet_of: tuple[int | None, ...]
    greatest_share: float
    cable_m: float  # of the lights plugged in
    proven: bool  # False when a search was cut off and a better plan may exist


def assign(load_va: ArrayLike, supplies: tuple[Supply, ...], outlets: tuple[PlugPoint, ...], cable_m: ArrayLike) -> Plan:
    """The best plugging plan, by three aims in turn.
    load_va:  (lights,) W / PF [VA], 0 or more
    supplies: circuits; limit above 0
    outlets:  on circuits by number, each with so many sockets
    cable_m:  (lights, outlets) length of the lead each would need [m], 0 or more
    Returns:  1 as many lights as can be (the smallest left out), 2 the lowest greatest share among circuits that carry a
              light, 3 the fewest metres
    Raises:   OutOfRange naming the argument
    Source:   exhaustive packing for 1 and 2, an integer programme (HiGHS) for 3
    """
    loads = np.atleast_1d(require("load_va", load_va, least=0))
    if loads.size == 0:
        return Plan((), 0.0, 0.0, True)
    metres = require("cable_m", cable_m, least=0).reshape(-1, len(outlets)) if len(outlets) else np.zeros((loads.size, 0))
    if metres.shape[0] != loads.size:
        raise OutOfRange("cable_m", metres.shape, f"needs a row for each of {loads.size} lights and a column for each outlet")
    for outlet in outlets:
        if not 0 <= outlet.circuit < len(supplies):
            raise OutOfRange("outlets", outlet.circuit, "is no circuit's number")
        require("sockets", outlet.sockets, least=0)
    sockets = [sum(outlet.sockets for outlet in outlets if outlet.circuit == c) for c in range(len(supplies))]
    bins = tuple(Bin(supply.limit_va, supply.already_va, count) for supply, count in zip(supplies, sockets, strict=True))
    packing = pack(tuple(float(load) for load in loads), bins)
    outlet_of: list[int | None] = [None] * loads.size
    proven = packing.proven
    if any(circuit is not None for circuit in packing.circuit_of):
        if not np.any(np.ptp(metres, axis=1)) and None not in packing.circuit_of:
            shortest, ended = None, True  # every outlet is as far as the other: nothing to choose
        elif loads.size <= EXACT_LIGHTS:
            shortest, ended = _fewest_metres(loads, metres, outlets, bins, packing)
        else:
            shortest, ended = None, False
        proven = proven and ended
        outlet_of = _within(metres, outlets, packing.circuit_of) if shortest is None else shortest
    held = {c: bins[c].already_va for c in range(len(bins))}
    for i, number in enumerate(outlet_of):
        if number is not None:
            held[outlets[number].circuit] += float(loads[i])
    used = {outlets[number].circuit for number in outlet_of if number is not None}
    laid = sum(float(metres[i, number]) for i, number in enumerate(outlet_of) if number is not None)
    return Plan(tuple(outlet_of), max((held[c] / bins[c].limit_va for c in used), default=0.0), laid, proven)


def _fewest_metres(loads: FloatArray, metres: FloatArray, outlets: tuple[PlugPoint, ...], bins: tuple[Bin, ...],
                   packing: Packing) -> tuple[list[int | None] | None, bool]:
    """An outlet for as many lights, and as many volt-amperes, as the packing places, no circuit above its share, fewest metres.

    And whether that is proven. No plan when the solver found none in its time, or used its own tolerance to pass the limit.
    """
    n, m = metres.shape
    kept = np.array([circuit is not None for circuit in packing.circuit_of])
    which = np.array([outlet.circuit for outlet in outlets])
    most = min(1.0, packing.greatest_share + SHARE_SLACK)
    on_circuit = (which[None, :] == np.arange(len(bins))[:, None]).astype(float)
    room = np.array([b.room_va(most) * (1.0 + TOLERANCE) for b in bins])
    scale = np.array([b.limit_va for b in bins])
    heaviest = max(float(np.max(loads)), 1.0)
    solved = milp(
        metres.ravel(),
        integrality=np.ones(n * m),
        bounds=Bounds(0, 1),
        constraints=[
            LinearConstraint(csr_array(np.kron(np.eye(n), np.ones((1, m)))), kept.all(), 1),
            LinearConstraint(csr_array(np.ones((1, n * m))), kept.sum(), kept.sum()),
            LinearConstraint(csr_array(np.repeat(loads, m)[None, :] / heaviest), loads[kept].sum() / heaviest * (1.0 - TOLERANCE), np.inf),
            LinearConstraint(csr_array(np.kron(np.ones((1, n)), np.eye(m))), -np.inf, [outlet.sockets for outlet in outlets]),
            LinearConstraint(csr_array(np.concatenate([on_circuit * load for load in loads], axis=1) / scale[:, None]), -np.inf, room / scale),
        ],
        options={"mip_rel_gap": 0.0, "time_limit": SOLVER_S},
    )
    if solved.x is None:
        return None, False
    plugged = np.asarray(solved.x).reshape(n, m)
    chosen = [int(np.argmax(row)) if np.max(row) > 0.5 else None for row in plugged]
    held = np.array([b.already_va for b in bins])
    for load, o in zip(loads, chosen, strict=True):
        if o is not None:
            held[which[o]] += load
    busy = np.isin(np.arange(len(bins)), [which[o] for o in chosen if o is not None])
    # The solver's own tolerance is a millionth; a plan that used it to pass the limit is not taken.
    if np.any((held / scale)[busy] > min(1.0, most + SHARE_SLACK) * (1.0 + TOLERANCE)):
        return None, False
    return chosen, solved.status == 0


def _within(metres: FloatArray, outlets: tuple[PlugPoint, ...], circuit_of: tuple[int | None, ...]) -> list[int | None]:
    """The fewest metres when every light keeps its circuit: one socket a light, an assignment problem."""
    kept = [i for i, circuit in enumerate(circuit_of) if circuit is not None]
    sockets = [number for number, outlet in enumerate(outlets) for _ in range(outlet.sockets)]
    cost = metres[np.ix_(kept, sockets)]
    elsewhere = np.array([[outlets[number].circuit != circuit_of[i] for number in sockets] for i in kept])
    cost[elsewhere] = float(np.sum(metres)) + 1.0
    rows, columns = linear_sum_assignment(cost)
    found: list[int | None] = [None] * len(circuit_of)
    for row, column in zip(rows, columns, strict=True):
        found[kept[int(row)]] = sockets[int(column)]
    return found
