"""Which light goes on which circuit: exact bin packing for the sizes a shoot has.

A load is given in volt-amperes, so that it is the same on a 120 V and on a 240 V circuit. Circuits are filled one after
another; a filling that leaves more room unused than the whole can spare is never tried, and a rest that failed once is
not tried again. So a search that ends is a proof.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations
from math import comb

import numpy as np

from scout.calc.geometry import require
from scout.errors import OutOfRange

TOLERANCE = 1e-9
BUDGET = 400_000  # steps before a search stops unproven: some seconds; the worked sizes need a few hundred
EXACT_LIGHTS = 40  # with more, no search is begun
LEFT_OUT_TRIES = 4_000


@dataclass(frozen=True)
class Bin:
    """A circuit as packing sees it."""

    limit_va: float
    already_va: float
    sockets: int

    def room_va(self, share: float) -> float:
        """What may be added when the circuit may be loaded to this share of its limit; never below 0."""
        return max(0.0, share * self.limit_va - self.already_va)


@dataclass(frozen=True)
class Packing:
    """`circuit_of[light]` is the circuit's number, or None for a light left out."""

    circuit_of: tuple[int | None, ...]
    greatest_share: float  # of the circuits that carry one of the lights; 0 when none does
    proven: bool  # False only when the search was cut off: then a better one may exist


class _OutOfBudget(Exception):
    """Ends a search that grows too long; the answer is then the best seen, and says that it is not proven."""


@dataclass
class _Search:
    """One question: do these sizes go into these rooms?"""

    sizes: tuple[float, ...]  # largest first, each once
    rooms: tuple[float, ...]  # smallest first
    sockets: tuple[int, ...]
    left: list[int] = field(default_factory=lambda: [BUDGET])
    failed: set[tuple[int, tuple[int, ...]]] = field(default_factory=set)

    @cached_property
    def rooms_from(self) -> list[float]:
        return [sum(self.rooms[i:]) for i in range(len(self.rooms) + 1)]

    @cached_property
    def sockets_from(self) -> list[int]:
        return [sum(self.sockets[i:]) for i in range(len(self.sockets) + 1)]

    def fill(self, at: int, counts: tuple[int, ...]) -> list[tuple[int, ...]] | None:
        """The counts of each size for circuit `at` and those after it, or None."""
        rest = sum(size * count for size, count in zip(self.sizes, counts, strict=True))
        if at == len(self.rooms):
            return [] if not any(counts) else None
        largest = next((size for size, count in zip(self.sizes, counts, strict=True) if count), 0.0)
        slack = TOLERANCE * max(1.0, self.rooms_from[at])
        if rest > self.rooms_from[at] + slack or sum(counts) > self.sockets_from[at] or largest > self.rooms[-1] * (1 + TOLERANCE):
            return None
        if (at, counts) in self.failed:
            return None
        least = rest - self.rooms_from[at + 1] - slack
        least_count = sum(counts) - self.sockets_from[at + 1]
        for taken in self.fillings(at, counts, least, least_count):
            after = self.fill(at + 1, tuple(count - take for count, take in zip(counts, taken, strict=True)))
            if after is not None:
                return [taken, *after]
        self.failed.add((at, counts))
        return None

    def fillings(self, at: int, counts: tuple[int, ...], least: float, least_count: int) -> Iterator[tuple[int, ...]]:
        """Every choice for one circuit that fits and leaves no more than the others can take, fullest starts first."""
        room, most = self.rooms[at] * (1 + TOLERANCE), self.sockets[at]
        tail = [0.0] * (len(counts) + 1)
        for i in range(len(counts) - 1, -1, -1):
            tail[i] = tail[i + 1] + self.sizes[i] * counts[i]

        def choose(i: int, held: float, number: int) -> Iterator[tuple[int, ...]]:
            self.left[0] -= 1
            if self.left[0] < 0:
                raise _OutOfBudget
            if held + tail[i] < least:
                return
            if i == len(counts):
                if number >= least_count:
                    yield ()
                return
            fits = min(counts[i], most - number)
            if self.sizes[i] > 0:
                fits = int(min(fits, (room - held) / self.sizes[i] + 1e-12))  # the quotient has no end for a load of next to nothing
            for take in range(fits, -1, -1):
                for others in choose(i + 1, held + take * self.sizes[i], number + take):
                    yield (take, *others)

        yield from choose(0, 0.0, 0)


def _packed(loads: tuple[float, ...], bins: tuple[Bin, ...], share: float, left: list[int]) -> list[int] | None:
    """A circuit for every load, none above `share`, or None when there is none."""
    if not loads:
        return []
    order = sorted(range(len(bins)), key=lambda b: (bins[b].room_va(share), bins[b].sockets))
    sizes = tuple(sorted(set(loads), reverse=True))
    search = _Search(sizes, tuple(bins[b].room_va(share) for b in order), tuple(bins[b].sockets for b in order), left)
    filled = search.fill(0, tuple(loads.count(size) for size in sizes))
    if filled is None:
        return None
    waiting = {size: [i for i, load in enumerate(loads) if load == size] for size in sizes}
    found = [0] * len(loads)
    for b, taken in zip(order, filled, strict=True):
        for size, take in zip(sizes, taken, strict=True):
            for _ in range(take):
                found[waiting[size].pop(0)] = b
    return found


def _greatest(loads: tuple[float, ...], bins: tuple[Bin, ...], where: list[int]) -> float:
    held = [b.already_va for b in bins]
    for load, b in zip(loads, where, strict=True):
        held[b] += load
    return max((held[b] / bins[b].limit_va for b in set(where)), default=0.0)


def _lowest(loads: tuple[float, ...], bins: tuple[Bin, ...], left: list[int]) -> tuple[list[int] | None, bool]:
    """The packing whose greatest share is lowest, and whether that is proven."""
    try:
        best = _packed(loads, bins, 1.0, left)
    except _OutOfBudget:
        return None, False
    if best is None or not loads:
        return best, True
    top, bottom = _greatest(loads, bins, best), 0.0
    try:
        while top - bottom > 1e-3:
            middle = (top + bottom) / 2.0
            better = _packed(loads, bins, middle, left)
            if better is None:
                bottom = middle
            else:
                best, top = better, min(top, _greatest(loads, bins, better))
        while (better := _packed(loads, bins, top - 1e-7, left)) is not None:
            found = _greatest(loads, bins, better)
            if found >= top:
                break
            best, top = better, found
    except _OutOfBudget:
        return best, False
    return best, True


def pack(load_va: tuple[float, ...], bins: tuple[Bin, ...]) -> Packing:
    """Every light on a circuit if that can be: then the lowest greatest share. Else as few left out as can be, the smallest ones.
    load_va: of each light [VA], 0 or more
    bins:    circuits: limit above 0, what is on them already, sockets
    Returns: circuits by light, greatest share (to one part in ten million), and whether the search came to its end
    Raises:  OutOfRange naming the argument
    Source:  exhaustive search; see the head of this module
    Limits:  made for some 20 lights on 8 circuits; beyond that `proven` may be False
    """
    require("load_va", load_va, least=0)
    require("limit_va", [b.limit_va for b in bins], above=0)
    require("already_va", [b.already_va for b in bins], least=0)
    if any(b.sockets < 0 for b in bins):
        raise OutOfRange("sockets", min(b.sockets for b in bins), "must be 0 or more")
    if not bins:
        return Packing((None,) * len(load_va), 0.0, True)
    if len(load_va) > EXACT_LIGHTS:
        return _by_hand(load_va, bins)
    left = [BUDGET]
    best, proven = _lowest(load_va, bins, left)
    if best is None and not proven:
        return _by_hand(load_va, bins)
    if best is not None:
        return Packing(tuple(best), _greatest(load_va, bins, best), proven)
    choices, sure = _kept(load_va, bins, left)
    if not choices:
        return _by_hand(load_va, bins)
    kept: list[int] = []
    best = []
    for n, choice in enumerate(choices):
        loads = tuple(load_va[i] for i in choice)
        found, lowest = _lowest(loads, bins, [BUDGET])
        if found is None:  # cut off before it found the packing known to exist
            return _by_hand(load_va, bins)
        sure = sure and lowest
        if n == 0 or _greatest(loads, bins, found) < _greatest(tuple(load_va[i] for i in kept), bins, best):
            kept, best = choice, found
    where: list[int | None] = [None] * len(load_va)
    for i, b in zip(kept, best, strict=True):
        where[i] = b
    return Packing(tuple(where), _greatest(tuple(load_va[i] for i in kept), bins, best), sure)


def _kept(load_va: tuple[float, ...], bins: tuple[Bin, ...], left: list[int]) -> tuple[list[list[int]], bool]:
    """The lights to keep: as many as can be, and of those the most volt-amperes; every choice that is equally good.

    If leaving out the k largest does not do, leaving out any k does not: every other rest has larger lights in it.
    """
    largest_first = sorted(range(len(load_va)), key=lambda i: -load_va[i])
    for k in range(1, len(load_va)):
        left[0] = BUDGET
        kept = sorted(largest_first[k:])
        try:
            if bins and _packed(tuple(load_va[i] for i in kept), bins, 1.0, left) is not None:
                return _smallest_left_out(load_va, bins, k, kept)
        except _OutOfBudget:
            return [], False
    return [[]], True


def _smallest_left_out(load_va: tuple[float, ...], bins: tuple[Bin, ...], k: int, known: list[int]) -> tuple[list[list[int]], bool]:
    everything = range(len(load_va))
    if comb(len(load_va), k) > 50 * LEFT_OUT_TRIES:
        return [known], False
    needed = sum(load_va) - sum(b.room_va(1.0) for b in bins)
    tries = sorted((out for out in combinations(everything, k)), key=lambda out: sum(load_va[i] for i in out))
    seen: set[tuple[float, ...]] = set()
    found: list[list[int]] = []
    least = np.inf
    for out in tries:
        loads_out = tuple(sorted(load_va[i] for i in out))
        together = sum(loads_out)
        if together > least * (1.0 + TOLERANCE):
            break
        if together < needed - 1e-6 or loads_out in seen:
            continue
        seen.add(loads_out)
        if len(seen) > LEFT_OUT_TRIES:
            return found or [known], False
        kept = [i for i in everything if i not in out]
        try:
            if _packed(tuple(load_va[i] for i in kept), bins, 1.0, [BUDGET]) is not None:
                found.append(kept)
                least = min(least, together)
        except _OutOfBudget:
            return found or [known], False
    return found or [known], True


def _by_hand(load_va: tuple[float, ...], bins: tuple[Bin, ...]) -> Packing:
    """As an electrician would by hand: each light where the share stays lowest, largest first or else smallest first. Not proven."""
    plans = []
    for sign in (-1.0, 1.0):
        held, sockets = [b.already_va for b in bins], [b.sockets for b in bins]
        where: list[int | None] = [None] * len(load_va)
        for i in sorted(range(len(load_va)), key=lambda i: sign * load_va[i]):
            shares = [((held[b] + load_va[i]) / bins[b].limit_va, b) for b in range(len(bins)) if sockets[b] > 0]
            share, b = min(shares, default=(np.inf, 0))
            if share <= 1.0 + TOLERANCE:
                held[b] += load_va[i]
                sockets[b] -= 1
                where[i] = b
        used = {b for b in where if b is not None}
        plans.append((where.count(None), max((held[b] / bins[b].limit_va for b in used), default=0.0), where))
    _, share, where = min(plans, key=lambda plan: plan[:2])
    return Packing(tuple(where), share, False)


def least_overload_va(load_va: tuple[float, ...], bins: tuple[Bin, ...], outside: int) -> tuple[float, int] | None:
    """How much more one circuit would have to carry so that all the lights fit [VA], and which; None when no such rise would do (too few sockets),
    or when the search was cut off.

    outside: the light that was left out. Bisection over the same exact search, to a hundred-millionth of the light.
    Only one circuit is raised, each in turn; the least of them is the answer.
    """
    if not bins or len(load_va) > EXACT_LIGHTS or sum(b.sockets for b in bins) < len(load_va):
        return None
    least, which, left = np.inf, 0, [BUDGET]
    for raised in range(len(bins)):
        low, high = 0.0, min(least, load_va[outside] + 1e-6)
        if not _fits(load_va, bins, raised, high, left):
            continue  # a rise dearer than the least so far, or sockets in the way
        while high - low > 1e-8 * max(1.0, load_va[outside]):
            middle = (low + high) / 2.0
            low, high = (low, middle) if _fits(load_va, bins, raised, middle, left) else (middle, high)
        if high < least:
            least, which = high, raised
    return (float(least), which) if np.isfinite(least) and left[0] >= 0 else None


def _fits(load_va: tuple[float, ...], bins: tuple[Bin, ...], raised: int, more_va: float, left: list[int]) -> bool:
    trial = tuple(Bin(b.limit_va + (more_va if i == raised else 0.0), b.already_va, b.sockets) for i, b in enumerate(bins))
    try:
        return _packed(load_va, trial, 1.0, left) is not None
    except _OutOfBudget:
        return False
