"""Which outlet for each light so that the leads are shortest and no circuit passes a share already
settled.

Three ways, the cheapest first: every light at its nearest socket, when that happens to keep the
    share; the fillings that are
part of some plan at that share, with an integer programme that picks one for each circuit (few
fillings are left when the share
is tight, and the rest is a transport problem); else the plain integer programme, which is easy when
the share is loose.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, linear_sum_assignment, linprog, milp
from scipy.sparse import coo_array, csr_array

from scout.calc.geometry import FloatArray
from scout.calc.power.packing import usable
from scout.calc.power.patterns import (
    TOLERANCE,
    Bin,
    Budget,
    Kinds,
    Patterns,
    TooWide,
    kinds_of,
    patterns_below,
    search,
)

SOLVER_S = 2.0  # then the best plan so far is taken, and said not to be proven
BUDGET = 8_000_000
MOST_PICKED = 3_000  # fillings by circuit that the integer programme is given
MOST_PATTERNS = 4_000


@dataclass(frozen=True)
class Points:
    """The outlets: circuit and sockets of each, and the lead each light would need to it."""

    circuit: tuple[int, ...]
    sockets: tuple[int, ...]
    metres: FloatArray  # (lights, outlets)


def shortest(
    loads: FloatArray, bins: Sequence[Bin], points: Points, share: float, kept: Sequence[int]
) -> tuple[list[int | None] | None, bool]:
    """The outlet of each load, fewest metres in all, no circuit above the share; and whether that
    is proven. None: no plan was found in time.

    kept: which loads are plugged in; of loads of one size any may stand for the other, so only
        how many of each size counts
    """
    if len(kept) == len(loads):
        nearest = transported(points.metres, points.sockets, _barred(loads, bins, points))
        if nearest is not None and within(loads, bins, points, nearest, share):
            return list(nearest), True
    sizes = [float(loads[i]) for i in kept]
    kinds = kinds_of(sizes, bins)
    if kinds is not None:
        try:
            budget = Budget(BUDGET)
            patterns = patterns_below(kinds, share, budget, most=MOST_PATTERNS)
            found = search(
                kinds,
                patterns,
                [b.room_va(share) for b in kinds.bins],
                usable(kinds, share),
                budget,
                every_way=True,
            )
            some = patterns.taken(found.in_some_way)
            if 0 < sum(bins.count(kinds.bins[int(kind)]) for kind in some.bin_kind) <= MOST_PICKED:
                way = _parted if max(kinds.counts) == 1 and len(kept) == len(loads) else _picked
                return way(loads, bins, points, kinds, some)
        except TooWide:
            pass
    return _plain(loads, bins, points, share, {size: sizes.count(size) for size in sizes})


def transported(metres: FloatArray, sockets: Sequence[int], barred: np.ndarray) -> list[int] | None:
    """The fewest metres with one socket a light and nothing else to mind; None when some light has
    no socket it may use.
    """
    each = [number for number, count in enumerate(sockets) for _ in range(min(count, len(metres)))]
    cost = np.where(barred[:, each], np.inf, metres[:, each])
    try:
        rows, columns = linear_sum_assignment(cost)
    except ValueError:
        return None
    return (
        [each[int(column)] for _, column in sorted(zip(rows, columns, strict=True))]
        if len(rows) == len(metres)
        else None
    )


def _barred(loads: FloatArray, bins: Sequence[Bin], points: Points) -> np.ndarray:
    plug = np.array([bins[c].plug_va for c in points.circuit])
    return np.asarray(loads[:, None] > plug[None, :] * (1 + TOLERANCE))


def within(
    loads: FloatArray,
    bins: Sequence[Bin],
    points: Points,
    chosen: Sequence[int | None],
    share: float,
) -> bool:
    """Whether every circuit in use stays at or below the share, to one part in a thousand million."""
    held = [b.already_va for b in bins]
    for load, o in zip(loads, chosen, strict=True):
        if o is not None:
            held[points.circuit[o]] += float(load)
    used = {points.circuit[o] for o in chosen if o is not None}
    return all(held[b] <= share * bins[b].limit_va * (1 + TOLERANCE) + TOLERANCE for b in used)


def _parted(
    loads: FloatArray, bins: Sequence[Bin], points: Points, kinds: Kinds, some: Patterns
) -> tuple[list[int | None] | None, bool]:
    """As `_picked`, when all lights differ: then a filling on a circuit has one price, and every
    light lies in just one of the fillings taken.
    """
    light_of = [int(np.flatnonzero(loads == size)[0]) for size in kinds.sizes]
    holds = np.array(
        [[(int(key) & kinds.field(t)) != 0 for t in range(len(kinds.sizes))] for key in some.key]
    )
    outlets = [
        [o for o, circuit in enumerate(points.circuit) if circuit == b] for b in range(len(bins))
    ]
    lights = [[light_of[t] for t in np.flatnonzero(row)] for row in holds]
    pairs, prices = [], []
    for b, one in enumerate(bins):
        if not outlets[b]:
            continue
        near = np.array(outlets[b])[np.argmin(points.metres[:, outlets[b]], axis=1)]
        for p in np.flatnonzero(np.array([kinds.bins[int(kind)] == one for kind in some.bin_kind])):
            each = _within_circuit(points, outlets[b], lights[p], near)
            if each is not None:
                pairs.append((int(p), b, each))
                prices.append(
                    sum(float(points.metres[i, o]) for i, o in zip(lights[p], each, strict=True))
                )
    once = holds[[p for p, _, _ in pairs]].T.astype(float)
    one_each = np.array([[at == b for _, at, _ in pairs] for b in range(len(bins))], dtype=float)
    taken, proven = _cheapest_parting(np.array(prices), once, one_each)
    if taken is None:
        return None, False
    chosen: list[int | None] = [None] * len(loads)
    for k in taken:
        for i, o in zip(lights[pairs[k][0]], pairs[k][2], strict=True):
            chosen[i] = o
    return chosen, proven


def _cheapest_parting(
    prices: FloatArray, once: FloatArray, one_each: FloatArray
) -> tuple[list[int] | None, bool]:
    """The fillings of least price in which every light lies once and every circuit takes one at
    most; and whether that is proven.

    Without whole numbers first: that gives a bound, and for every filling how far above it any
        plan with that filling must be.
    Fillings farther above than a guessed gap are left out; a plan within the gap is then the best
    of all, else the gap is widened.
    """
    loose = linprog(
        prices,
        A_eq=once,
        b_eq=np.ones(len(once)),
        A_ub=one_each,
        b_ub=np.ones(len(one_each)),
        bounds=(0, None),
        method="highs-ds",
    )
    if loose.x is None or loose.fun is None:
        return None, False
    bound = float(loose.fun)
    above = prices - once.T @ loose.eqlin.marginals - one_each.T @ loose.ineqlin.marginals
    for gap in (0.01 * bound, 0.05 * bound, np.inf):
        near = np.flatnonzero(above <= gap + TOLERANCE)
        solved = milp(
            prices[near],
            integrality=np.ones(len(near), dtype=np.int64),
            bounds=Bounds(0, 1),
            constraints=[
                LinearConstraint(csr_array(once[:, near]), 1, 1),
                LinearConstraint(csr_array(one_each[:, near]), -np.inf, 1),
            ],
            options={"mip_rel_gap": 0.0, "time_limit": SOLVER_S, "presolve": False},
        )
        if solved.x is not None and (solved.fun <= bound + gap or gap == np.inf):
            return [int(k) for k in near[np.flatnonzero(solved.x > 0.5)]], solved.status == 0
        if solved.status == 1:  # out of time
            return None, False
    return None, False


def _within_circuit(
    points: Points, outlets: Sequence[int], lights: Sequence[int], near: np.ndarray
) -> list[int] | None:
    """The outlets of one circuit for its lights, each the nearest unless the sockets run out."""
    wanted = [int(near[i]) for i in lights]
    if all(wanted.count(o) <= points.sockets[o] for o in set(wanted)):
        return wanted
    sockets = [points.sockets[o] for o in outlets]
    found = transported(
        points.metres[np.ix_(list(lights), list(outlets))],
        sockets,
        np.zeros((len(lights), len(outlets)), dtype=bool),
    )
    return None if found is None else [outlets[o] for o in found]


def _picked(
    loads: FloatArray, bins: Sequence[Bin], points: Points, kinds: Kinds, some: Patterns
) -> tuple[list[int | None] | None, bool]:
    """One filling at most for each circuit, and the lights of each size sent to the circuits that
    hold that size.
    """
    n, m = points.metres.shape
    kind_of = [
        kinds.sizes.index(float(load)) if float(load) in kinds.sizes else None for load in loads
    ]
    pairs = [
        (p, b)
        for p in range(len(some))
        for b in range(len(bins))
        if bins[b] == kinds.bins[int(some.bin_kind[p])]
    ]
    sizes, lights = len(kinds.sizes), n * m
    rows: list[int] = []
    columns: list[int] = []
    values: list[float] = []
    low: list[float] = []
    high: list[float] = []

    def line(entries: Sequence[tuple[int, float]], least: float, most: float) -> None:
        rows.extend([len(low)] * len(entries))
        columns.extend(column for column, _ in entries)
        values.extend(value for _, value in entries)
        low.append(least)
        high.append(most)

    for i in range(n):
        line([(i * m + o, 1.0) for o in range(m)], 0, 1 if kind_of[i] is not None else 0)
    for o in range(m):
        line([(i * m + o, 1.0) for i in range(n)], -np.inf, points.sockets[o])
    taken = np.array(
        [
            [(int(some.key[p]) & kinds.field(t)) >> kinds.size_at[t] for t in range(sizes)]
            for p in range(len(some))
        ]
    )
    for t in range(sizes):
        line(
            [(i * m + o, 1.0) for i in range(n) if kind_of[i] == t for o in range(m)],
            kinds.counts[t],
            kinds.counts[t],
        )
    for b in range(len(bins)):
        mine = [(lights + k, p) for k, (p, at) in enumerate(pairs) if at == b]
        line([(column, 1.0) for column, _ in mine], -np.inf, 1)
        outlets = [o for o in range(m) if points.circuit[o] == b]
        for t in range(sizes):
            sent = [(i * m + o, 1.0) for i in range(n) if kind_of[i] == t for o in outlets]
            line(
                [*sent, *((column, -float(taken[p, t])) for column, p in mine if taken[p, t])], 0, 0
            )
    solved = milp(
        np.concatenate([points.metres.ravel(), np.zeros(len(pairs))]),
        integrality=np.concatenate([np.zeros(lights), np.ones(len(pairs))]),
        bounds=Bounds(0, 1),
        constraints=[
            LinearConstraint(
                csr_array(
                    coo_array((values, (rows, columns)), shape=(len(low), lights + len(pairs)))
                ),
                low,
                high,
            )
        ],
        options={"mip_rel_gap": 0.0, "time_limit": SOLVER_S},
    )
    if solved.x is None:
        return None, False
    # With the fillings fixed the rest is a transport problem; it is solved again in whole lights,
    # in case the solver split one between two alike.
    counts = np.zeros((len(bins), sizes), dtype=np.int64)
    for k, (p, b) in enumerate(pairs):
        if solved.x[lights + k] > 0.5:
            counts[b] += taken[p]
    return _sent(points, kind_of, counts), solved.status == 0


def _sent(
    points: Points, kind_of: Sequence[int | None], counts: np.ndarray
) -> list[int | None] | None:
    """Fewest metres when each circuit takes so many lights of each size: a transport problem, whose
    corners are whole.
    """
    n, m = points.metres.shape
    lines, low, high = [], [], []
    for i in range(n):
        lines.append(((np.arange(n)[:, None] == i) & np.ones((1, m), dtype=bool)).ravel())
        low.append(0.0)
        high.append(1.0 if kind_of[i] is not None else 0.0)
    for o in range(m):
        lines.append((np.ones((n, 1), dtype=bool) & (np.arange(m)[None, :] == o)).ravel())
        low.append(-np.inf)
        high.append(float(points.sockets[o]))
    kinds, circuits = (
        np.array([-1 if kind is None else kind for kind in kind_of]),
        np.array(points.circuit),
    )
    for b, t in np.ndindex(*counts.shape):
        lines.append(((kinds == t)[:, None] & (circuits == b)[None, :]).ravel())
        low.append(float(counts[b, t]))
        high.append(float(counts[b, t]))
    solved = milp(
        points.metres.ravel(),
        integrality=np.ones(n * m),
        bounds=Bounds(0, 1),
        constraints=[LinearConstraint(csr_array(np.array(lines, dtype=np.float64)), low, high)],
        options={"mip_rel_gap": 0.0, "time_limit": SOLVER_S},
    )
    return None if solved.x is None else _chosen(solved.x.reshape(n, m))


def _chosen(plugged: FloatArray) -> list[int | None]:
    return [int(np.argmax(row)) if np.max(row) > 0.5 else None for row in plugged]


def _plain(
    loads: FloatArray,
    bins: Sequence[Bin],
    points: Points,
    share: float,
    counts: Mapping[float, int],
) -> tuple[list[int | None] | None, bool]:
    """An integer programme: which circuit for each light in whole numbers, which of its outlets as a
    flow, which is whole by itself. No plan when none is found in time, or when it used the solver's
    own tolerance to pass the share.
    """
    n, m = points.metres.shape
    which, sizes, many = np.array(points.circuit), sorted(set(loads.tolist())), len(bins)
    on_circuit = (which[None, :] == np.arange(many)[:, None]).astype(float)
    scale = np.array([b.limit_va for b in bins])
    plug = np.array([b.plug_va for b in bins])
    room = np.array(
        [
            b.room_va(share) if b.already_va <= share * b.limit_va * (1 + TOLERANCE) else -1.0
            for b in bins
        ]
    )
    barred = (loads[:, None] > plug * (1 + TOLERANCE)) | (room < 0)
    counted = [counts.get(size, 0) for size in sizes]

    def of_circuits(rows: NDArray[np.floating[Any]]) -> csr_array:
        """Over the columns of the lights on circuits, which come after those of the outlets."""
        return csr_array(np.hstack([np.zeros((len(rows), n * m)), rows]))

    solved = milp(
        np.concatenate([points.metres.ravel(), np.zeros(n * many)]),
        integrality=np.concatenate([np.zeros(n * m), np.ones(n * many)]),
        bounds=Bounds(0, np.concatenate([np.ones(n * m), np.where(barred, 0.0, 1.0).ravel()])),
        constraints=[
            LinearConstraint(of_circuits(np.kron(np.eye(n), np.ones((1, many)))), 0, 1),
            LinearConstraint(
                of_circuits(
                    np.array([np.repeat(loads == size, many) for size in sizes], dtype=float)
                ),
                counted,
                counted,
            ),
            LinearConstraint(
                of_circuits(np.hstack([np.diag(load / scale) for load in loads])),
                -np.inf,
                np.maximum(room, 0.0) * (1 + TOLERANCE) / scale,
            ),
            LinearConstraint(
                csr_array(np.hstack([np.kron(np.eye(n), on_circuit), -np.eye(n * many)])), 0, 0
            ),
            LinearConstraint(
                csr_array(
                    np.hstack([np.kron(np.ones((1, n)), np.eye(m)), np.zeros((m, n * many))])
                ),
                -np.inf,
                points.sockets,
            ),
        ],
        options={"mip_rel_gap": 0.0, "time_limit": SOLVER_S, "presolve": False},
    )
    if solved.x is None:
        return None, False
    chosen: list[int | None] = [None] * n
    circuit_of = _chosen(np.asarray(solved.x)[n * m :].reshape(n, many))
    for b in range(many):
        # in whole lights again, in case the solver split one between two outlets alike
        lights = [i for i, circuit in enumerate(circuit_of) if circuit == b]
        outlets = [o for o in range(m) if which[o] == b]
        if not lights:
            continue
        near = np.array(outlets)[np.argmin(points.metres[:, outlets], axis=1)]
        each = _within_circuit(points, outlets, lights, near)
        if each is None:
            return None, False
        for i, o in zip(lights, each, strict=True):
            chosen[i] = o
    # The solver's own tolerance is a millionth; a plan that used it to pass the share is not taken.
    return (
        (chosen, solved.status == 0)
        if within(loads, bins, points, chosen, share)
        else (None, False)
    )
