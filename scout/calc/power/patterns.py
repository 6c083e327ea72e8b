"""What one circuit may hold, as patterns of load sizes, and the search that fills the circuits
pattern by pattern.

Loads of one size are one kind with a count. A pattern says how many of each kind a circuit of one
kind holds. What is left to
place (loads by kind, circuits by kind) is one whole number with a field for every kind and a guard
bit above each field:

        left    0 011 | 0 001 | 0 1000      two fields of loads, one of circuits; guard bits 0
        pattern 0 001 | 0 000 | 0 0001      fits when (left + guards) - pattern leaves every guard
        bit standing

so that thousands of fillings are tried at once with plain integer arithmetic. The next circuit
always takes the largest load
that is left, so that no set of fillings is met in two orders. A filling is only worth a look when
it wastes no more room than
all circuits together can spare: close to the best share that leaves few, which is why an exact
    answer comes quickly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scout.calc.geometry import FloatArray

IntArray = NDArray[np.int64]
TOLERANCE = 1e-9
MOST_BITS = 62
MOST_PATTERNS = 60_000  # of all circuits; beyond that the search is too wide to be worth beginning
CHUNK = 400_000


class TooWide(Exception):
    """The search grew past its budget; what it would have proven is not known."""


@dataclass
class Budget:
    """Fillings that may still be tried."""

    left: int

    def take(self, count: int) -> None:
        """Raises TooWide when it is used up."""
        self.left -= count
        if self.left < 0:
            raise TooWide


@dataclass(frozen=True)
class Bin:
    """A circuit as packing sees it."""

    limit_va: float
    already_va: float
    sockets: int
    plug_va: float = float("inf")  # the most that one plug may draw here

    def room_va(self, share: float) -> float:
        """What may be added when the circuit may be loaded to this share of its limit; never below
        0.
        """
        return max(0.0, share * self.limit_va - self.already_va)

    def share(self, added_va: float) -> float:
        """How full it is with so much added."""
        return (self.already_va + added_va) / self.limit_va


@dataclass(frozen=True)
class Kinds:
    """Loads and circuits by kind, with the field of each in the number of what is left."""

    sizes: tuple[float, ...]  # ascending: the largest has the highest field
    counts: tuple[int, ...]
    bins: tuple[Bin, ...]  # each kind once
    bin_counts: tuple[int, ...]
    size_at: tuple[int, ...]  # lowest bit of each field
    bin_at: tuple[int, ...]
    guards: int
    whole: int  # everything still to place

    def field(self, size: int) -> int:
        """The bits of one kind of load."""
        return ((1 << self.counts[size].bit_length()) - 1) << self.size_at[size]


def kinds_of(loads: Sequence[float], bins: Sequence[Bin]) -> Kinds | None:
    """Loads and circuits gathered by kind, or None when they need more than one machine word."""
    sizes = tuple(sorted(set(loads)))
    kinds = tuple(dict.fromkeys(bins))
    counts = tuple(sum(load == size for load in loads) for size in sizes)
    bin_counts = tuple(sum(one == kind for one in bins) for kind in kinds)
    at, guards, whole = 0, 0, 0
    places = []
    for count in (*bin_counts, *counts):
        width = count.bit_length()
        places.append(at)
        whole |= count << at
        guards |= 1 << (at + width)
        at += width + 1
    if at > MOST_BITS:
        return None
    return Kinds(
        sizes,
        counts,
        kinds,
        bin_counts,
        tuple(places[len(kinds) :]),
        tuple(places[: len(kinds)]),
        guards,
        whole,
    )


@dataclass(frozen=True)
class Patterns:
    """Fillings of one circuit each: `key` as the number above, what they hold, and the value that
    is to be kept low.
    """

    key: IntArray
    held_va: FloatArray
    number: IntArray
    bin_kind: IntArray
    value: FloatArray

    def __len__(self) -> int:
        return len(self.key)

    def taken(self, index: NDArray[np.bool_] | IntArray) -> Patterns:
        """Some of them."""
        return Patterns(
            self.key[index],
            self.held_va[index],
            self.number[index],
            self.bin_kind[index],
            self.value[index],
        )


def fillings(
    kinds: Kinds, kind: int, most_va: float, least_va: float, sockets: int, budget: Budget
) -> tuple[IntArray, FloatArray, IntArray]:
    """Every choice of loads for one circuit of a kind that holds between so much and so much: keys,
    volt-amperes, numbers.
    """
    key, held, number = np.zeros(1, np.int64), np.zeros(1), np.zeros(1, np.int64)
    most, least = most_va * (1 + TOLERANCE) + TOLERANCE, least_va * (1 - TOLERANCE) - TOLERANCE
    tail = np.concatenate(
        [[0.0], np.cumsum([s * c for s, c in zip(kinds.sizes, kinds.counts, strict=True)])]
    )
    plug = kinds.bins[kind].plug_va * (1 + TOLERANCE)
    for t in range(len(kinds.sizes) - 1, -1, -1):
        size = kinds.sizes[t]
        if size <= plug:
            takes = np.arange(kinds.counts[t] + 1)
            key = (key[:, None] + (takes << kinds.size_at[t])[None, :]).ravel()
            held = (held[:, None] + (takes * size)[None, :]).ravel()
            number = (number[:, None] + takes[None, :]).ravel()
            budget.take(len(key) // 8)
        good = (held <= most) & (number <= sockets) & (held + tail[t] >= least)
        key, held, number = key[good], held[good], number[good]
    some = number > 0
    return key[some] + (1 << kinds.bin_at[kind]), held[some], number[some]


def patterns_below(
    kinds: Kinds, share: float, budget: Budget, *, most: int = MOST_PATTERNS
) -> Patterns:
    """The fillings that keep their circuit at or below a share, and waste no more room than there
    is to spare at that share. Raises TooWide.
    """
    rooms = [one.room_va(share) for one in kinds.bins]
    spare = sum(r * c for r, c in zip(rooms, kinds.bin_counts, strict=True)) - sum(
        s * c for s, c in zip(kinds.sizes, kinds.counts, strict=True)
    )
    found = []
    for kind, one in enumerate(kinds.bins):
        if one.sockets > 0 and one.limit_va * share >= one.already_va:
            key, held, number = fillings(
                kinds, kind, rooms[kind], rooms[kind] - spare, one.sockets, budget
            )
            found.append(
                Patterns(
                    key,
                    held,
                    number,
                    np.full(len(key), kind),
                    (one.already_va + held) / one.limit_va,
                )
            )
    every = joined(found)
    if len(every) > most:
        raise TooWide
    return every


def joined(parts: Sequence[Patterns]) -> Patterns:
    """Several lists of patterns as one."""
    if not parts:
        return Patterns(
            np.zeros(0, np.int64),
            np.zeros(0),
            np.zeros(0, np.int64),
            np.zeros(0, np.int64),
            np.zeros(0),
        )
    return Patterns(
        *(
            np.concatenate([getattr(part, name) for part in parts])
            for name in ("key", "held_va", "number", "bin_kind", "value")
        )
    )


@dataclass
class _Front:
    """What is left in each case still open, with the room, the sockets and the loads that go with
    it.
    """

    key: IntArray
    va: FloatArray
    room: FloatArray
    number: IntArray
    sockets: IntArray
    value: FloatArray

    def taken(self, index: NDArray[np.bool_] | IntArray) -> _Front:
        return _Front(
            self.key[index],
            self.va[index],
            self.room[index],
            self.number[index],
            self.sockets[index],
            self.value[index],
        )

    def distinct(self) -> _Front:
        """Each case once, at its least value."""
        if len(self.key) < 2:
            return self
        order = np.lexsort((self.value, self.key))
        first = np.concatenate([[True], self.key[order][1:] != self.key[order][:-1]])
        return self.taken(order[first])


def _together(a: _Front, b: _Front) -> _Front:
    return _Front(
        *(
            np.concatenate([getattr(a, name), getattr(b, name)])
            for name in ("key", "va", "room", "number", "sockets", "value")
        )
    )


@dataclass(frozen=True)
class Found:
    """A search that came to its end: the least value (None when nothing fits) and, by number, the
    patterns that reach it.
    """

    value: float | None
    chosen: tuple[int, ...]
    in_some_way: (
        IntArray  # every pattern that is part of some complete filling; empty unless asked for
    )


def search(
    kinds: Kinds,
    patterns: Patterns,
    room_va: Sequence[float],
    sockets: Sequence[int],
    budget: Budget,
    *,
    every_way: bool = False,
) -> Found:
    """The complete filling whose greatest pattern value is least.

    room_va, sockets: of each kind of circuit at the most the patterns use; what is left of them
        bounds what can still be placed
    Raises TooWide.
    """
    counts = np.array(kinds.bin_counts)
    front = _Front(
        np.array([kinds.whole], np.int64),
        np.array([sum(s * c for s, c in zip(kinds.sizes, kinds.counts, strict=True))]),
        np.array([float(np.dot(room_va, counts))]),
        np.array([sum(kinds.counts)]),
        np.array([int(np.dot(sockets, counts))]),
        np.zeros(1),
    )
    slack = TOLERANCE * max(1.0, float(front.va[0]))
    edges: list[
        tuple[IntArray, IntArray, IntArray, FloatArray]
    ] = []  # left before, pattern, left after, value after
    room_of, sockets_of = np.asarray(room_va, dtype=np.float64), np.asarray(sockets, dtype=np.int64)
    for t in range(len(kinds.sizes) - 1, -1, -1):
        field, above = kinds.field(t), sum(kinds.field(u) for u in range(t + 1, len(kinds.sizes)))
        leading = np.flatnonzero(((patterns.key & field) != 0) & ((patterns.key & above) == 0))
        waiting = (front.key & field) != 0
        done, active = front.taken(~waiting), front.taken(waiting)
        while len(active.key):
            grown = _grown(
                active, patterns, leading, kinds.guards, room_of, sockets_of, slack, budget, edges
            )
            waiting = (grown.key & field) != 0
            done, active = (
                _together(done, grown.taken(~waiting)).distinct(),
                grown.taken(waiting).distinct(),
            )
        front = done
        if not len(front.key):
            return Found(None, (), np.zeros(0, np.int64))
    best = int(np.argmin(front.value))
    value, at = float(front.value[best]), int(front.key[best])
    chosen: list[int] = []
    worth = value
    for before, pattern, after, values in reversed(edges):
        hits = np.flatnonzero((after == at) & (values == worth))
        if len(hits):
            chosen.append(int(pattern[hits[0]]))
            at = int(before[hits[0]])
            # The value of the case before is what its own best way in was; looked up where that
            # case was reached.
            worth = _value_of(edges, at)
    return Found(
        value, tuple(chosen), _in_some_way(edges, front.key) if every_way else np.zeros(0, np.int64)
    )


def _value_of(edges: list[tuple[IntArray, IntArray, IntArray, FloatArray]], at: int) -> float:
    reached = [values[after == at] for _, _, after, values in edges]
    return min((float(np.min(some)) for some in reached if len(some)), default=0.0)


def _in_some_way(
    edges: list[tuple[IntArray, IntArray, IntArray, FloatArray]], ends: IntArray
) -> IntArray:
    good, used = ends, []
    for before, pattern, after, _ in reversed(edges):
        hit = np.isin(after, good)
        used.append(pattern[hit])
        good = np.union1d(good, before[hit])
    return np.unique(np.concatenate(used)) if used else np.zeros(0, np.int64)


def _grown(
    active: _Front,
    patterns: Patterns,
    leading: IntArray,
    guards: int,
    room_of: FloatArray,
    sockets_of: IntArray,
    slack: float,
    budget: Budget,
    edges: list[tuple[IntArray, IntArray, IntArray, FloatArray]],
) -> _Front:
    """Every open case with every pattern that fits it and leaves the rest enough room."""
    parts = [active.taken(np.zeros(0, np.int64))]
    some = patterns.taken(leading)
    rooms, sockets = room_of[some.bin_kind], sockets_of[some.bin_kind]
    step = max(1, CHUNK // max(1, len(leading)))
    for start in range(0, len(active.key), step):
        part = active.taken(np.arange(start, min(start + step, len(active.key))))
        budget.take(len(part.key) * len(leading))
        left = (part.key | guards)[:, None] - some.key[None, :]
        # room - va after >= 0, written as one comparison of a row against a column
        fits = ((left & guards) == guards) & (
            (part.room - part.va + slack)[:, None] >= (rooms - some.held_va)[None, :]
        )
        fits &= (part.sockets - part.number)[:, None] >= (sockets - some.number)[None, :]
        row, column = np.nonzero(fits)
        key = left[row, column] ^ guards
        value = np.maximum(part.value[row], some.value[column])
        edges.append((part.key[row], leading[column], key, value))
        parts.append(
            _Front(
                key,
                part.va[row] - some.held_va[column],
                part.room[row] - rooms[column],
                part.number[row] - some.number[column],
                part.sockets[row] - sockets[column],
                value,
            )
        )
    grown = parts[0]
    for part in parts[1:]:
        grown = _together(grown, part)
    return grown
