"""Key, fill and back chosen together: the dozens of best places of each, and of all their
combinations the one that gives up least.

What one light alone gives up is its distance from its ideal in squared degrees (search.py).
Together they also pay for stands on one
another's floor, for a head before another's beam, for leads that do not reach, and for whatever the
caller adds for each place (a shadow in
shot, a boom's shadow). How far the fill should be is set by the key's best place alone: past that
the ratio is met by dimming, which costs
less than a key out of its place.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.fit.plan.search import STEP_DEG, STEP_M, Goal, Pool, judged, local_places
from scout.calc.fit.stand.lights import Lamp, Stage
from scout.calc.fit.stand.standing import may_stand
from scout.calc.geometry import FloatArray, require

# What a fault is worth, in squared degrees off the ideal (our own judgement): a shadow in shot less
# than two heads in one another's way.
OVERLAP = 90.0**2
IN_BEAM = 45.0**2
NO_LEAD = 30.0**2
THIN_HEAD_M = 0.15
KEEP = 30

Besides = Callable[[FloatArray], FloatArray]


@dataclass(frozen=True)
class Player:
    """One light as the choice sees it. `fixed_m`: it stands there."""

    lamp: Lamp
    goal: Goal
    besides: Besides | None = None
    fixed_m: tuple[float, float, float] | None = None


@dataclass(frozen=True)
class Trio:
    """Key, fill, back (None: the kit has none) and what binds them. `leads_m`: the kit's leads,
    longest first; None: not recorded.
    """

    key: Player | None
    fill: Player | None
    back: Player | None
    leads_m: tuple[float, ...] | None = None

    @property
    def players(self) -> tuple[Player | None, Player | None, Player | None]:
        """In the order of the axes of a total."""
        return self.key, self.fill, self.back


def in_beam(
    head_m: ArrayLike, head_radius_m: float, lamp_m: ArrayLike, face_m: ArrayLike
) -> FloatArray:
    """(h, l) whether each head (h, 3), a ball, stands in the straight line from each lamp (l, 3) to
    a face (3,). Raises OutOfRange.
    """
    heads, lamps, face = (
        require("head_m", head_m),
        require("lamp_m", lamp_m),
        require("face_m", face_m),
    )
    require("head_radius_m", head_radius_m, least=0)
    way = face - lamps
    squared = np.maximum(np.sum(way * way, axis=-1), 1e-12)
    away = heads[:, None, :] - lamps[None, :, :]
    share = np.sum(away * way, axis=-1) / squared
    off = np.linalg.norm(away - np.clip(share, 0.0, 1.0)[..., None] * way, axis=-1)
    return np.asarray((off < head_radius_m) & (share > 0.0) & (share < 1.0))


def total(stage: Stage, trio: Trio, places_m: Sequence[FloatArray]) -> FloatArray:
    """(k, f, b) what every combination of places gives up, in squared degrees.

    places_m: three arrays (n, 3); for a light the kit has not, any one place
    Raises:   OutOfRange
    """
    return _between(stage, trio, places_m) + _besides(stage, trio, places_m)


def _between(stage: Stage, trio: Trio, places_m: Sequence[FloatArray]) -> FloatArray:
    """(k, f, b) of it what each light is off its goal, and in the others' way: cheap to ask."""
    out = np.zeros(tuple(len(places) for places in places_m))
    for axis, (player, places) in enumerate(zip(trio.players, places_m, strict=True)):
        if player is not None:
            out = out + _along(judged(stage, player.goal, places)[0], axis)
    for one, other in ((0, 1), (0, 2), (1, 2)):
        a, b = trio.players[one], trio.players[other]
        if a is not None and b is not None:
            pair = _pair(stage, a, b, places_m[one], places_m[other])
            out = out + np.expand_dims(pair, axis=({0, 1, 2} - {one, other}).pop())
    return out


def _besides(stage: Stage, trio: Trio, places_m: Sequence[FloatArray]) -> FloatArray:
    """(k, f, b) the rest of it, never less than nothing: what the caller adds, and leads."""
    out = np.zeros(tuple(len(places) for places in places_m))
    for axis, (player, places) in enumerate(zip(trio.players, places_m, strict=True)):
        if player is not None and player.besides is not None:
            out = out + _along(player.besides(places), axis)
    return out + _leads(stage, trio, places_m)


def choose(stage: Stage, trio: Trio, pools: Sequence[Pool | None]) -> list[FloatArray]:
    """The places that give up least: the best of all combinations, then each light moved by less
    than a step while the others stand.

    pools: of key, fill, back; None for a light that the kit has not, or that has no place
    Raises: OutOfRange
    """
    return refined(stage, trio, pools, best_of(stage, trio, pools)[0])


def best_of(
    stage: Stage, trio: Trio, pools: Sequence[Pool | None]
) -> tuple[list[FloatArray], float]:
    """The best of all combinations of the pools' places, and what it gives up. Raises OutOfRange."""
    nowhere = np.asarray(stage.subject_m, dtype=np.float64)[None, :] + 1.0
    places = [nowhere if pool is None else pool.places_m for pool in pools]
    cost = total(stage, trio, places)
    best = np.unravel_index(int(np.argmin(np.round(cost, 6))), cost.shape)
    return [places[axis][index] for axis, index in enumerate(best)], float(cost[best])


def refined(
    stage: Stage, trio: Trio, pools: Sequence[Pool | None], start: Sequence[FloatArray]
) -> list[FloatArray]:
    """Key, fill and back in turn moved by less than a step while the others stand, where that gives
    up less. Raises OutOfRange.
    """
    chosen = list(start)
    for axis in (0, 1, 2):
        player, pool = trio.players[axis], pools[axis]
        if player is None or pool is None or player.fixed_m is not None:
            continue
        near = local_places(stage, player.lamp, player.goal, chosen[axis], STEP_DEG, STEP_M)
        is_near = judged(stage, player.goal, near)[1]
        such = np.sign(stage.across_deg(near)) == np.sign(stage.across_deg(chosen[axis]))
        such &= is_near | ~is_near[0]

        def around(places: FloatArray, axis: int = axis) -> list[FloatArray]:
            return [places if i == axis else place[None, :] for i, place in enumerate(chosen)]

        # What is cheap to ask first: where that alone is more, the rest is not asked.
        cost = _between(stage, trio, around(near)).ravel()
        start_cost = cost[0] + float(_besides(stage, trio, around(near[:1])).ravel()[0])
        able = np.flatnonzero(such & (cost <= start_cost))
        able = able[may_stand(stage, player.lamp, near[able], pool.view)]
        able = np.union1d([0], able)  # where it came from was checked before
        cost = cost[able] + _besides(stage, trio, around(near[able])).ravel()
        chosen[axis] = near[able[int(np.argmin(np.round(cost, 6)))]]
    return chosen


def _along(values: FloatArray, axis: int) -> FloatArray:
    return np.asarray(np.expand_dims(values, axis=tuple(i for i in range(3) if i != axis)))


def overlapping(trio: Trio, places_m: Sequence[FloatArray]) -> bool:
    """Whether two of the lights stand on one another's floor."""
    stands = [
        (place, player.lamp.radius_m)
        for place, player in zip(places_m, trio.players, strict=True)
        if player is not None
    ]
    return any(
        float(np.hypot(*(p[:2] - q[:2]))) < a + b - 1e-9
        for i, (p, a) in enumerate(stands)
        for q, b in stands[:i]
    )


def head_radius_m(lamp: Lamp) -> float:
    """What of a light hides another: its head as a ball; the pole is thin."""
    return max(lamp.head_m / 2.0, lamp.soft_width_m / 2.0, THIN_HEAD_M)


def _pair(
    stage: Stage, one: Player, other: Player, ones_m: FloatArray, others_m: FloatArray
) -> FloatArray:
    apart = np.linalg.norm(ones_m[:, None, :2] - others_m[None, :, :2], axis=-1)
    cost = np.where(apart < one.lamp.radius_m + other.lamp.radius_m, OVERLAP, 0.0)
    cost = cost + IN_BEAM * in_beam(ones_m, head_radius_m(one.lamp), others_m, stage.subject_m)
    return np.asarray(
        cost + IN_BEAM * in_beam(others_m, head_radius_m(other.lamp), ones_m, stage.subject_m).T
    )


def _leads(stage: Stage, trio: Trio, places_m: Sequence[FloatArray]) -> FloatArray | float:
    """What a trio costs whose leads, longest to furthest, do not all reach. Fewer leads than lights
    bind only each light by itself.
    """
    if stage.reach is None or trio.leads_m is None:
        return 0.0
    needs = [
        _along(stage.reach.needed_m(places), axis)
        for axis, (player, places) in enumerate(zip(trio.players, places_m, strict=True))
        if player is not None and player.lamp.lead_m is not None
    ]
    if not needs or len(trio.leads_m) < len(needs):
        return 0.0
    leads = sorted(trio.leads_m, reverse=True)
    ordered = np.sort(np.stack(np.broadcast_arrays(*needs)), axis=0)[::-1]
    short = np.zeros(ordered.shape[1:], dtype=np.bool_)
    for need, lead in zip(ordered, leads, strict=False):
        short |= need > lead + 1e-9
    return np.where(short, NO_LEAD, 0.0)
