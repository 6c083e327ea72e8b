"""Which light plugs in where: all of them if that can be, no circuit fuller than it must be, then
the fewest metres of cable.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require
from scout.calc.power.packing import Bin, Packing, pack
from scout.calc.power.wiring import Points, shortest, transported
from scout.errors import OutOfRange
from scout.values import said

MOST_TIES = 8  # choices of lights to leave out, equally good so far, whose leads are compared


@dataclass(frozen=True)
class Supply:
    """A circuit: what it may carry for hours, and what is on it already, in volt-amperes."""

    limit_va: float
    already_va: float
    plug_va: float = float("inf")  # the most that one light may draw through one plug here


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
    least_share: float = 0.0  # no plan of these lights has a lower greatest share


def assign(
    load_va: ArrayLike,
    supplies: tuple[Supply, ...],
    outlets: tuple[PlugPoint, ...],
    cable_m: ArrayLike,
) -> Plan:
    """The best plugging plan, by three aims in turn.
    load_va:  (lights,) W / PF [VA], 0 or more
    supplies: circuits; limit above 0
    outlets:  on circuits by number, each with so many sockets
    cable_m:  (lights, outlets) length of the lead each would need [m], 0 or more
    Returns:  1 as many lights as can be (the smallest left out), 2 the lowest greatest share
        among circuits that carry a
              light, 3 the fewest metres; aims 1 and 2 to one part in a thousand million
    Raises:   OutOfRange naming the argument
    Source:   exhaustive packing for 1 and 2, an integer programme (HiGHS) for 3
    """
    loads = np.atleast_1d(require("load_va", load_va, least=0))
    if loads.size == 0:
        return Plan((), 0.0, 0.0, True)
    metres = (
        require("cable_m", cable_m, least=0).reshape(-1, len(outlets))
        if len(outlets)
        else np.zeros((loads.size, 0))
    )
    if metres.shape[0] != loads.size:
        raise OutOfRange("cable_m", metres.shape, said("refusal.rows", rows=loads.size))
    for outlet in outlets:
        require("outlets", outlet.circuit, least=0, below=len(supplies))
        require("sockets", outlet.sockets, least=0)
    sockets = [
        sum(outlet.sockets for outlet in outlets if outlet.circuit == c)
        for c in range(len(supplies))
    ]
    bins = tuple(
        Bin(one.limit_va, one.already_va, count, one.plug_va)
        for one, count in zip(supplies, sockets, strict=True)
    )
    packing = pack(loads.tolist(), bins)
    outlet_of: list[int | None] = [None] * loads.size
    proven = packing.proven
    if any(packing.kept):
        points = Points(
            tuple(outlet.circuit for outlet in outlets),
            tuple(outlet.sockets for outlet in outlets),
            metres,
        )
        plans = [
            shortest(loads, bins, points, packing.greatest_share, kept)
            for kept in packing.kept[:MOST_TIES]
        ]
        proven = proven and all(ended for _, ended in plans) and len(packing.kept) <= MOST_TIES
        laid_out = [plan for plan, _ in plans if plan is not None]
        outlet_of = (
            min(laid_out, key=lambda plan: _laid_m(metres, plan))
            if laid_out
            else _as_packed(points, packing)
        )
    held = [b.already_va for b in bins]
    for i, number in enumerate(outlet_of):
        if number is not None:
            held[outlets[number].circuit] += float(loads[i])
    used = {outlets[number].circuit for number in outlet_of if number is not None}
    greatest = max((held[c] / bins[c].limit_va for c in used), default=0.0)
    return Plan(tuple(outlet_of), greatest, _laid_m(metres, outlet_of), proven, packing.least_share)


def _laid_m(metres: FloatArray, outlet_of: Sequence[int | None]) -> float:
    return sum(float(metres[i, number]) for i, number in enumerate(outlet_of) if number is not None)


def _as_packed(points: Points, packing: Packing) -> list[int | None]:
    """The shortest leads when every light keeps the circuit that the packing gave it."""
    kept = [i for i, circuit in enumerate(packing.circuit_of) if circuit is not None]
    elsewhere = np.array(
        [[circuit != packing.circuit_of[i] for circuit in points.circuit] for i in kept]
    )
    found: list[int | None] = [None] * len(packing.circuit_of)
    for i, o in zip(
        kept, transported(points.metres[kept], points.sockets, elsewhere) or (), strict=True
    ):
        found[i] = o
    return found
