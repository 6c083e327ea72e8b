"""Which light plugs in where: all of them if that can be, no exit crossed that need not be, no
circuit fuller than half if it need not be, then the fewest metres of cable.
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
# a circuit up to half of what it may carry for hours is as good as an emptier one (common practice)
EASY_SHARE = 0.5


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
    *,
    exits: ArrayLike = 0.0,
    easy_share: float = EASY_SHARE,
) -> Plan:
    """The best plugging plan, by four aims in turn.
    load_va:  (lights,) W / PF [VA], 0 or more
    supplies: circuits; limit above 0
    outlets:  on circuits by number, each with so many sockets
    cable_m:  (lights, outlets) length of the lead each would need [m], 0 or more
    exits:    (lights, outlets) exits that lead would cross, which are to be kept free
    easy_share: greatest shares up to here count as equally low, 0 to 1
    Returns:  1 as many lights as can be (the smallest left out), 2 the fewest exits crossed,
        3 the lowest greatest share among circuits that carry a light, 4 the fewest metres; aims 1
        and 3 to one part in a thousand million
    Raises:   OutOfRange naming the argument
    Source:   exhaustive packing for 1 and 3, an integer programme (HiGHS) for 2 and 4
    Limits:   2 is tried at the share of 3 first, then at full circuits, not in between
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
    require("easy_share", easy_share, least=0, most=1)
    crossed = np.broadcast_to(require("exits", exits, least=0), metres.shape)
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
        # One exit counts for more than all the leads that there can be.
        points = Points(
            tuple(outlet.circuit for outlet in outlets),
            tuple(outlet.sockets for outlet in outlets),
            metres + crossed * (1.0 + loads.size * float(metres.max())),
        )
        share = max(packing.greatest_share, easy_share)
        outlet_of, ended = _laid_out(loads, bins, points, packing, share)
        if share < 1.0 and _laid_m(crossed, outlet_of) > 0:
            filled, filled_ended = _laid_out(loads, bins, points, packing, 1.0)
            if _laid_m(crossed, filled) < _laid_m(crossed, outlet_of):
                outlet_of, ended = filled, filled_ended
        proven = proven and ended
    held = [b.already_va for b in bins]
    for i, number in enumerate(outlet_of):
        if number is not None:
            held[outlets[number].circuit] += float(loads[i])
    used = {outlets[number].circuit for number in outlet_of if number is not None}
    greatest = max((held[c] / bins[c].limit_va for c in used), default=0.0)
    return Plan(tuple(outlet_of), greatest, _laid_m(metres, outlet_of), proven, packing.least_share)


def _laid_out(
    loads: FloatArray, bins: tuple[Bin, ...], points: Points, packing: Packing, share: float
) -> tuple[list[int | None], bool]:
    """The shortest leads at a share, of all equally good choices of lights; and whether proven."""
    plans = [shortest(loads, bins, points, share, kept) for kept in packing.kept[:MOST_TIES]]
    laid_out = [plan for plan, _ in plans if plan is not None]
    proven = all(ended for _, ended in plans) and len(packing.kept) <= MOST_TIES
    if not laid_out:
        return _as_packed(points, packing), proven
    return min(laid_out, key=lambda plan: _laid_m(points.metres, plan)), proven


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
