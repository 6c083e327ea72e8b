"""Which light goes on which circuit: all of them if that can be, and no circuit fuller than it must
be. Exact, and says when it is not.

A load is given in volt-amperes, so that it is the same on a 120 V and on a 240 V circuit. A bound
says how full the fullest
circuit must be at least, a plan made by hand how full it need be at most. Where they do not meet,
every filling between them is
tried (`patterns.py`), the narrowest stretch first: the first stretch in which a plan is found holds
the best one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import comb

import numpy as np

from scout.calc.geometry import require
from scout.calc.power.bounds import by_hand, greatest_share, least_share
from scout.calc.power.patterns import (
    TOLERANCE,
    Bin,
    Budget,
    Found,
    Kinds,
    Patterns,
    TooWide,
    kinds_of,
    patterns_below,
    search,
)

__all__ = ["TOLERANCE", "Bin", "Packing", "Rise", "least_overload_va", "pack"]

# fillings tried before a search stops unproven: a second or two, which eight circuits of eight
# kinds may need
BUDGET = 200_000_000
MADE_FOR_LIGHTS = (
    20  # with more the search is given a sixth of that: it seldom ends, and somebody waits
)
LEFT_OUT_TRIES = 4_000
TRIES_BUDGET, TRY_COST = (
    12_000_000,
    60_000,
)  # fillings tried to find the smallest lights to leave out; what beginning a try counts as
EASY_SHARE = 0.97  # below it a plan made by hand is tried before the search
WINDOWS = (
    0.002,
    0.004,
    0.007,
    0.012,
    0.02,
    0.035,
    0.06,
    0.1,
    0.2,
    0.5,
    1e9,
)  # how far above the bound a stretch reaches, as a part of it


@dataclass(frozen=True)
class Packing:
    """`circuit_of[light]` is the circuit's number, or None for a light left out."""

    circuit_of: tuple[int | None, ...]
    greatest_share: float  # of the circuits that carry one of the lights; 0 when none does
    proven: bool  # False only when the search was cut off: then a better one may exist
    least_share: float = (
        0.0  # no plan of these lights can be lower; the greatest share itself when it is proven
    )
    kept: tuple[
        tuple[int, ...], ...
    ] = ()  # every choice of lights to plug in that is as good: they differ in the sizes left out


def pack(load_va: Sequence[float], bins: Sequence[Bin]) -> Packing:
    """Every light on a circuit if that can be: then the lowest greatest share. Else as few left out
    as can be, the smallest ones.
    load_va: of each light [VA], 0 or more
    bins:    circuits: limit above 0, what is on them already, sockets, what one plug may draw
    Returns: circuits by light, greatest share, and whether the search came to its end; if not,
        the share no plan can go below
    Raises:  OutOfRange naming the argument
    Source:  exhaustive search; see the head of this module and of patterns.py
    Limits:  made for some 20 lights on 8 circuits; beyond that `proven` may be False
    """
    loads, circuits = (
        tuple(float(load) for load in require("load_va", load_va, least=0)) if len(load_va) else (),
        tuple(bins),
    )
    require("limit_va", [b.limit_va for b in circuits], above=0)
    require("already_va", [b.already_va for b in circuits], least=0)
    require("sockets", [b.sockets for b in circuits], least=0)
    budget = Budget(BUDGET if len(loads) <= MADE_FOR_LIGHTS else BUDGET // 6)
    able = [i for i, load in enumerate(loads) if _alone(load, circuits)]
    kept, sure, ties = able, True, [able]
    found = lowest(tuple(loads[i] for i in able), circuits, budget)
    if found is None:
        choices, sure = _kept(tuple(loads[i] for i in able), circuits, budget)
        tried = [
            (some, [able[i] for i in choice])
            for choice in choices
            if (some := lowest(tuple(loads[able[i]] for i in choice), circuits, budget)) is not None
        ]
        found, kept = min(
            tried, key=lambda one: one[0].share, default=(Lowest([], 0.0, 0.0, False), [])
        )
        ties = [
            choice for some, choice in tried if some.share <= found.share * (1 + TOLERANCE)
        ] or [[]]
    where: list[int | None] = [None] * len(loads)
    for i, b in zip(kept, found.where, strict=True):
        where[i] = b
    return Packing(
        tuple(where),
        found.share,
        sure and found.proven,
        found.bound,
        tuple(tuple(choice) for choice in ties),
    )


def _alone(load: float, bins: tuple[Bin, ...]) -> bool:
    return any(
        b.sockets > 0 and load <= b.plug_va * (1 + TOLERANCE) and b.share(load) <= 1 + TOLERANCE
        for b in bins
    )


@dataclass(frozen=True)
class Lowest:
    """The plan whose greatest share is lowest, and the share no plan can go below."""

    where: list[int]
    share: float
    bound: float
    proven: bool


def lowest(loads: tuple[float, ...], bins: tuple[Bin, ...], budget: Budget) -> Lowest | None:
    """The plan with the lowest greatest share; None when it is proven that not all fit, or when no
    plan was found in the budget.
    """
    if not loads:
        return Lowest([], 0.0, 0.0, True)
    bound = least_share(loads, bins)
    if bound > 1 + TOLERANCE:
        return None
    best = by_hand(loads, bins)
    share = greatest_share(loads, bins, best) if best is not None else 1.0
    if best is not None and share <= bound * (1 + TOLERANCE) + TOLERANCE:
        return Lowest(best, share, bound, True)
    kinds = kinds_of(loads, bins)
    if kinds is None:
        return None if best is None else Lowest(best, share, bound, False)
    low = bound
    for window in WINDOWS:
        cap = min(share, 1.0, low + window * max(bound, 1e-3))
        try:
            patterns = patterns_below(kinds, cap, budget)
            found = search(
                kinds, patterns, [b.room_va(cap) for b in kinds.bins], usable(kinds, cap), budget
            )
        except TooWide:
            return None if best is None else Lowest(best, share, bound, False)
        if found.value is not None:
            where = spread(loads, bins, kinds, patterns, found)
            lowest_share = greatest_share(loads, bins, where)
            return Lowest(where, lowest_share, lowest_share, True)
        bound = max(bound, cap)
        if cap >= min(share, 1.0):
            break
    # Nothing at or below the share of the plan made by hand but that plan itself, by rounding
    # alone.
    return None if best is None else Lowest(best, share, share, True)


def usable(kinds: Kinds, share: float) -> list[int]:
    """Sockets by kind of circuit; none on a circuit that is over the share before any light."""
    return [
        b.sockets if b.already_va <= share * b.limit_va * (1 + TOLERANCE) else 0 for b in kinds.bins
    ]


def spread(
    loads: tuple[float, ...], bins: tuple[Bin, ...], kinds: Kinds, patterns: Patterns, found: Found
) -> list[int]:
    """Circuits by light from the patterns chosen: lights of one size, and circuits of one kind, are
    taken in their order.
    """
    waiting = {size: [i for i, load in enumerate(loads) if load == size] for size in kinds.sizes}
    free = {kind: [b for b, one in enumerate(bins) if one == kind] for kind in kinds.bins}
    where = [0] * len(loads)
    for pattern in found.chosen:
        key = int(patterns.key[pattern])
        circuit = free[kinds.bins[int(patterns.bin_kind[pattern])]].pop(0)
        for t, size in enumerate(kinds.sizes):
            for _ in range((key & kinds.field(t)) >> kinds.size_at[t]):
                where[waiting[size].pop(0)] = circuit
    return where


def _fits(loads: tuple[float, ...], bins: tuple[Bin, ...], budget: Budget) -> bool:
    """Whether all the loads fit at all. Raises TooWide."""
    if not loads:
        return True
    bound = least_share(loads, bins)
    if bound > 1 + TOLERANCE:
        return False
    if bound < EASY_SHARE and by_hand(loads, bins) is not None:
        return True
    kinds = kinds_of(loads, bins)
    if kinds is not None:
        try:
            patterns = patterns_below(kinds, 1.0, budget)
            return (
                search(
                    kinds,
                    patterns,
                    [b.room_va(1.0) for b in kinds.bins],
                    usable(kinds, 1.0),
                    budget,
                ).value
                is not None
            )
        except TooWide:
            if budget.left < 0:
                raise
    if by_hand(loads, bins) is not None:
        return True
    raise TooWide


def _kept(
    load_va: tuple[float, ...], bins: tuple[Bin, ...], budget: Budget
) -> tuple[list[list[int]], bool]:
    """The lights to keep: as many as can be, and of those the most volt-amperes; every choice that
    is equally good, and whether that is proven.

    If leaving out the k largest does not do, leaving out any k does not: every other rest has
        larger lights in it.
    """
    largest_first, sure = sorted(range(len(load_va)), key=lambda i: -load_va[i]), True
    for k in range(1, len(load_va)):
        kept = sorted(largest_first[k:])
        try:
            if bins and _fits(tuple(load_va[i] for i in kept), bins, budget):
                choices, proven = _smallest_left_out(load_va, bins, k, kept, budget)
                return choices, sure and proven
        except TooWide:
            sure, budget.left = (
                False,
                BUDGET // 60,
            )  # perhaps fewer would have done; go on to a number that surely does
    return [[]], sure


def _smallest_left_out(
    load_va: tuple[float, ...], bins: tuple[Bin, ...], k: int, known: list[int], budget: Budget
) -> tuple[list[list[int]], bool]:
    everything = range(len(load_va))
    if comb(len(load_va), k) > 50 * LEFT_OUT_TRIES:
        return [known], False
    needed = sum(load_va) - sum(b.room_va(1.0) for b in bins if b.sockets)
    tries = sorted(combinations(everything, k), key=lambda out: sum(load_va[i] for i in out))
    seen: set[tuple[float, ...]] = set()
    found: list[list[int]] = []
    least = np.inf
    allowed = Budget(TRIES_BUDGET)
    for at, out in enumerate(tries):
        loads_out = tuple(sorted(load_va[i] for i in out))
        together = sum(loads_out)
        if together > least * (1.0 + TOLERANCE):
            break
        if together < needed - 1e-6 or loads_out in seen:
            continue
        seen.add(loads_out)
        kept = [i for i in everything if i not in out]
        try:
            allowed.take(TRY_COST)
            if _fits(tuple(load_va[i] for i in kept), bins, allowed):
                found.append(kept)
                least = min(least, together)
        except TooWide:
            return found or [_near(load_va, bins, tries[at:], known)], False
    return found or [known], True


def _near(
    load_va: tuple[float, ...],
    bins: tuple[Bin, ...],
    tries: Sequence[tuple[int, ...]],
    known: list[int],
) -> list[int]:
    """A choice of lights to keep that leaves little out, found by halving: a plan made by hand is
    enough. Not proven to be the best.
    """
    low, high, best = 0, len(tries), known
    while low < high:
        middle = (low + high) // 2
        kept = [i for i in range(len(load_va)) if i not in tries[middle]]
        if by_hand(tuple(load_va[i] for i in kept), bins) is not None:
            best, high = kept, middle
        else:
            low = middle + 1
    return best


# -- what would have to give
# ------------------------------------------------------------------------------------------
@dataclass(frozen=True)
class Rise:
    """The least that one circuit would have to carry above its limit so that all the lights fit,
    and the plan that goes with it.
    """

    more_va: float
    circuit: int
    circuit_of: tuple[int, ...]


def least_overload_va(load_va: Sequence[float], bins: Sequence[Bin], most_va: float) -> Rise | None:
    """How much more one circuit would have to carry so that all the lights fit, and which; None
    when no rise of one circuit up to
    `most_va` would do (too few sockets, or two circuits too small), or when the search was cut off.

    The same rise, taken off any light that this plan puts on that circuit, lets all of them fit as
    well.
    """
    loads, circuits = tuple(float(load) for load in load_va), tuple(bins)
    budget, best = Budget(BUDGET // 6), None
    tried: set[Bin] = set()
    for raised, one in enumerate(circuits):
        if one in tried or one.sockets == 0:
            continue
        tried.add(one)
        try:
            rise = _rise(
                loads, circuits, raised, best.more_va if best is not None else most_va, budget
            )
        except TooWide:
            return None
        best = rise or best
    return best


def _rise(
    loads: tuple[float, ...], bins: tuple[Bin, ...], raised: int, most_va: float, budget: Budget
) -> Rise | None:
    """The least rise of one circuit, when it is below `most_va`."""
    spare = sum(b.room_va(1.0) for b in bins)
    over = (
        bins[raised].already_va - bins[raised].limit_va
    )  # above 0: the circuit is over its limit before any light
    bottom = max(0.0, sum(loads) - spare) + max(0.0, over)
    for part in (0.02, 0.1, 0.35, 1.0):
        more = max(bottom + part * (most_va - bottom), 1e-6)
        if most_va < bottom:
            return None
        higher = replace(bins[raised], limit_va=bins[raised].limit_va + more)
        while higher in bins:  # told apart from its like by a limit of its own
            higher = replace(higher, limit_va=higher.limit_va * (1 + TOLERANCE))
        trial = (*bins[:raised], higher, *bins[raised + 1 :])
        kinds = kinds_of(loads, trial)
        if kinds is None:
            raise TooWide
        patterns = patterns_below(kinds, 1.0, budget)
        mine = patterns.bin_kind == kinds.bins.index(higher)
        value = np.where(
            mine,
            np.maximum(0.0, bins[raised].already_va + patterns.held_va - bins[raised].limit_va),
            0.0,
        )
        patterns = replace(patterns, value=value)
        found = search(
            kinds, patterns, [b.room_va(1.0) for b in kinds.bins], usable(kinds, 1.0), budget
        )
        if found.value is not None:
            return (
                Rise(found.value, raised, tuple(spread(loads, trial, kinds, patterns, found)))
                if found.value < most_va
                else None
            )
    return None
