"""How full the fullest circuit must be at the least, and a plan an electrician would make by hand,
improved by moving and swapping.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from scout.calc.power.patterns import TOLERANCE, Bin

STEPS = 200  # moves and swaps tried on a plan made by hand


def greatest_share(loads: Sequence[float], bins: Sequence[Bin], where: Sequence[int]) -> float:
    """The share of the fullest circuit that carries a light; 0 when none does."""
    held = [b.already_va for b in bins]
    for load, b in zip(loads, where, strict=True):
        held[b] += load
    return max((held[b] / bins[b].limit_va for b in set(where)), default=0.0)


def least_share(loads: Sequence[float], bins: Sequence[Bin]) -> float:
    """A share below which no plan of all the loads can be; infinite when there is surely none (too
    few sockets).

    The greatest of two bounds: all the volt-amperes spread like water, and, for every j, the j
        largest loads counted into
    the circuits as if each were as small as the smallest of them that is still to place.
    """
    largest = np.sort(np.asarray(loads, dtype=np.float64))[::-1]
    open_bins = [b for b in bins if b.sockets > 0]
    if len(largest) > sum(b.sockets for b in open_bins):
        return float("inf")
    if not len(largest):
        return 0.0
    limit = np.array([b.limit_va for b in open_bins])
    already = np.array([b.already_va for b in open_bins])
    low, high = 0.0, 2.0
    total = float(largest.sum())
    counting = [largest[: j + 1][::-1].cumsum() for j in range(len(largest))]
    plugs = np.array([b.plug_va for b in open_bins]) * (1 + TOLERANCE)
    carried = [
        np.where(plugs >= largest[j], [b.sockets for b in open_bins], 0)
        for j in range(len(largest))
    ]

    def possible(share: float) -> bool:
        room = np.maximum(0.0, share * limit - already) * (1 + TOLERANCE)
        usable = already <= share * limit * (1 + TOLERANCE)
        if total > float(room.sum()):
            return False
        for j, sums in enumerate(counting):
            fit = np.minimum(np.searchsorted(sums, room, side="right"), carried[j])
            if int((fit * usable).sum()) < j + 1:
                return False
        return True

    if not possible(high):
        return high
    if possible(1.0):
        high = 1.0
    else:
        low = 1.0
    while high - low > 1e-12:
        middle = (low + high) / 2
        low, high = (low, middle) if possible(middle) else (middle, high)
    return high


def by_hand(loads: Sequence[float], bins: Sequence[Bin]) -> list[int] | None:
    """A plan of all the loads with no circuit above its limit, as good as moving and swapping makes
    it; None when that finds none.
    """
    best: tuple[float, list[int]] | None = None
    for measure in (_by_share, _by_room):
        where = _placed(loads, bins, measure)
        if where is None:
            continue
        _improved(loads, bins, where)
        share = greatest_share(loads, bins, where)
        if share <= 1 + TOLERANCE and (best is None or share < best[0]):
            best = share, where
    return None if best is None else best[1]


def _by_share(held: float, load: float, one: Bin) -> float:
    return (held + load) / one.limit_va


def _by_room(held: float, load: float, one: Bin) -> float:
    return (
        one.limit_va - held - load
        if held + load <= one.limit_va * (1 + TOLERANCE)
        else 1e12 + held + load - one.limit_va
    )


def _placed(loads: Sequence[float], bins: Sequence[Bin], measure: object) -> list[int] | None:
    """Largest first, each where the measure is least; a circuit may come out too full, to be mended
    by moving.
    """
    held, sockets = [b.already_va for b in bins], [b.sockets for b in bins]
    where = [0] * len(loads)
    for i in sorted(range(len(loads)), key=lambda i: -loads[i]):
        free = [
            b
            for b in range(len(bins))
            if sockets[b] > 0 and loads[i] <= bins[b].plug_va * (1 + TOLERANCE)
        ]
        if not free:
            return None
        at = min(free, key=lambda b: (measure(held[b], loads[i], bins[b]), b))  # type: ignore[operator]
        where[i] = at
        held[at] += loads[i]
        sockets[at] -= 1
    return where


def _improved(loads: Sequence[float], bins: Sequence[Bin], where: list[int]) -> None:
    """Moves a light off the fullest circuit, or swaps two, as long as the fuller of the two
    circuits becomes less full.
    """
    size = np.asarray(loads, dtype=np.float64)
    limit, already = np.array([b.limit_va for b in bins]), np.array([b.already_va for b in bins])
    plug = np.array([b.plug_va for b in bins]) * (1 + TOLERANCE)
    sockets = np.array([b.sockets for b in bins])
    at = np.array(where)
    held = already + np.bincount(at, size, len(bins))
    for _ in range(STEPS):
        used = np.bincount(at, minlength=len(bins))
        share = np.where(used > 0, held / limit, -1.0)
        full = int(np.argmax(share))
        mine = np.flatnonzero(at == full)
        moved = np.maximum(
            (held[None, :] + size[mine, None]) / limit,
            (held[full] - size[mine, None]) / limit[full],
        )
        moved[:, full] = np.inf
        moved[:, used >= sockets] = np.inf
        moved[size[mine, None] > plug[None, :]] = np.inf
        change = size[mine, None] - size[None, :]
        swapped = np.maximum(
            (held[full] - change) / limit[full], (held[at][None, :] + change) / limit[at][None, :]
        )
        swapped[:, mine] = np.inf
        swapped[(size[None, :] > plug[full]) | (size[mine, None] > plug[at][None, :])] = np.inf
        best_move, best_swap = float(moved.min(initial=np.inf)), float(swapped.min(initial=np.inf))
        if min(best_move, best_swap) >= share[full] * (1 - 1e-12):
            break
        if best_move <= best_swap:
            i, b = divmod(int(np.argmin(moved)), len(bins))
            held[full] -= size[mine[i]]
            held[b] += size[mine[i]]
            at[mine[i]] = b
        else:
            i, j = divmod(int(np.argmin(swapped)), len(size))
            held[full] -= change[i, j]
            held[at[j]] += change[i, j]
            at[mine[i]], at[j] = at[j], full
    where[:] = [int(b) for b in at]
