"""The shortest way of a lead over the floor of a room, round what it must not cross: straight pieces
from corner to corner of what stands in its way (a visibility graph).

   o outlet
    `.   +-----------+
      `. | furniture |
        `*           |     * a corner that is gone round
         +`.---------+
            `* light
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scout.calc import geometry
from scout.calc.geometry import FloatArray

Kind = Literal["exit", "door", "furniture", "walk", "shot"]
# What a metre across costs in metres gone round: an exit is crossed only where nothing else leads
# out, then a door or a piece of furniture, then where somebody walks or the camera looks (our rule).
COSTS: Mapping[Kind, float] = {
    "exit": 1e5,
    "door": 1e3,
    "furniture": 1e3,
    "walk": 1e2,
    "shot": 1e2,
}
TOUCH_M = 1e-3  # a lead may lie along what it goes round, as near as this
CROSSED_M = 0.02  # less than so much of it inside is a corner cut in rounding
INDOORS = np.linspace(0.1, 0.9, 9)[:, None]  # where along a piece it is asked whether it is indoors
Ring = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Zone:
    """A convex piece of floor that leads go round. `id`: of the door. `slots_m`: from where to where
    it stands flush with a wall, behind which no lead is laid: one from a socket there leaves at
    either end.
    """

    kind: Kind
    ring_m: Ring
    id: str = ""
    slots_m: tuple[Ring, ...] = ()


def ring(corners_m: ArrayLike) -> Ring:
    """Corners (k, 2) as a zone takes them."""
    return tuple((float(x), float(y)) for x, y in np.asarray(corners_m, dtype=np.float64))


def strip(from_m: ArrayLike, to_m: ArrayLike, half_m: float, beyond_m: float = 0.0) -> Ring:
    """The floor within half_m of a straight line, and so much beyond either end; a line of no length
    lies along x.
    """
    start, end = (np.asarray(point, dtype=np.float64)[:2] for point in (from_m, to_m))
    long = float(np.hypot(*(end - start)))
    along = (end - start) / long if long > 1e-9 else np.array([1.0, 0.0])
    off = np.array([-along[1], along[0]]) * half_m
    start, end = start - along * beyond_m, end + along * beyond_m
    return ring([start - off, start + off, end + off, end - off])


@dataclass(frozen=True)
class Way:
    """A lead on the floor: where it turns, from outlet to light, and how much of each zone it lies
    in [m].
    """

    path_m: Ring
    inside_m: tuple[float, ...]

    @property
    def length_m(self) -> float:
        points = np.array(self.path_m)
        return float(np.sum(np.linalg.norm(np.diff(points, axis=0), axis=1)))


@dataclass(frozen=True, eq=False)
class Sources:
    """Where leads may come from, and what the way from the best of them to every corner costs."""

    at_m: FloatArray  # (s, 2) the sources, where their leads come out
    entry: FloatArray  # (s + v,) what it costs to stand there: sources first, then corners
    length: FloatArray  # (s + v,) how long it is, with the sources' own
    source: NDArray[np.intp]  # (s + v,) from which source
    first: NDArray[np.intp]  # (s + v,) the corner that is gone to first; -1: it is the source


@dataclass(frozen=True)
class Floor:
    """The floor of a room with what leads go round; see `floor_of`, which keeps them."""

    plan_m: Ring
    zones: tuple[Zone, ...]

    @cached_property
    def _plan(self) -> FloatArray:
        return np.array(self.plan_m)

    @cached_property
    def _convex(self) -> bool:
        return geometry.is_convex(self._plan)

    @cached_property
    def _planes(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """(z, e, 2), (z, e) outward normals of the zones' edges and where they lie, padded with the
        last; (z,) what a metre inside costs.
        """
        most = max((len(zone.ring_m) for zone in self.zones), default=3)
        normals = np.empty((len(self.zones), most, 2))
        offsets = np.empty((len(self.zones), most))
        for at, zone in enumerate(self.zones):
            corners = np.array(zone.ring_m)
            if geometry.signed_area_m2(corners) < 0.0:
                corners = corners[::-1]
            along = geometry.onward(corners) - corners
            along /= np.maximum(np.linalg.norm(along, axis=1), 1e-12)[:, None]
            out = np.stack([along[:, 1], -along[:, 0]], axis=1)
            number = np.minimum(np.arange(most), len(corners) - 1)
            normals[at] = out[number]
            offsets[at] = np.sum(out * corners, axis=1)[number]
        return normals, offsets, np.array([COSTS[zone.kind] for zone in self.zones])

    def inside_m(self, from_m: FloatArray, to_m: FloatArray) -> FloatArray:
        """(n, z) how much of straight pieces, from and to (n, 2), lies inside each zone [m]: of a
        convex zone what is within all of its edges. What lies along an edge is not inside, so that a lead
        may lie behind a piece, and between two that touch.
        """
        normals, offsets, _ = self._planes
        if not len(self.zones):
            return np.zeros((len(from_m), 0))
        # edges first and lines last: along a short last axis numpy is slow
        flat, off = normals.swapaxes(0, 1).reshape(-1, 2), offsets.T.reshape(-1, 1) - TOUCH_M
        at_start, at_end = flat @ from_m.T - off, flat @ to_m.T - off
        run = at_start - at_end
        with np.errstate(divide="ignore", invalid="ignore"):
            cut = at_start / run
        shape = (offsets.shape[1], len(self.zones), len(from_m))
        enters = np.where(run > 0.0, cut, np.where((run == 0.0) & (at_start > 0.0), 2.0, 0.0))
        leaves = np.where(run < 0.0, cut, 1.0)
        begin = np.maximum(enters.reshape(shape).max(axis=0), 0.0)
        end = np.minimum(leaves.reshape(shape).min(axis=0), 1.0)
        whole = geometry.in_plan_m(to_m - from_m)
        return np.asarray((np.maximum(end - begin, 0.0) * whole).T)

    def _cost(self, from_m: FloatArray, to_m: FloatArray) -> FloatArray:
        """(n,) what straight pieces cost [m]; infinite where they leave the room."""
        cost = geometry.in_plan_m(to_m - from_m) + self.inside_m(from_m, to_m) @ self._planes[2]
        if self._convex or not len(from_m):
            return np.asarray(cost)
        out = geometry.cut_by(self._plan, from_m, to_m)
        at = np.flatnonzero(~out)
        between = from_m[at, None] + INDOORS * (to_m[at] - from_m[at])[:, None, :]
        out[at] = ~np.all(geometry.inside(self._plan, between, edge_m=0.01), axis=-1)
        return np.where(out, np.inf, cost)

    @cached_property
    def _corners(self) -> FloatArray:
        """(v, 2) where a lead may turn: corners of zones in the room, and of walls that jut in."""
        plan = self._plan
        run = plan - np.roll(plan, 1, axis=0)
        after = geometry.onward(run)
        turns = run[:, 0] * after[:, 1] - run[:, 1] * after[:, 0]
        jutting = plan[turns > 1e-9] if geometry.signed_area_m2(plan) < 0 else plan[turns < -1e-9]
        of_zones = np.array([corner for zone in self.zones for corner in zone.ring_m])
        if len(of_zones):
            of_zones = of_zones[geometry.inside(plan, of_zones, edge_m=0.01)]
        return np.unique(np.concatenate([jutting, of_zones.reshape(-1, 2)]), axis=0)

    @cached_property
    def _between(self) -> tuple[FloatArray, FloatArray, NDArray[np.intp]]:
        """(v, v) the least cost from corner to corner, its length, and the corner before the last:
        Floyd and Warshall's way through all of them.
        """
        corners = self._corners
        count = len(corners)
        one, other = np.triu_indices(count, 1)
        cost = np.full((count, count), np.inf)
        cost[one, other] = cost[other, one] = self._cost(corners[one], corners[other])
        np.fill_diagonal(cost, 0.0)
        length = np.linalg.norm(corners[:, None] - corners, axis=-1)
        before = np.broadcast_to(np.arange(count)[:, None], (count, count)).copy()
        for by in range(count):
            through = cost[:, by, None] + cost[by]
            better = through < cost - 1e-9
            cost = np.where(better, through, cost)
            length = np.where(better, length[:, by, None] + length[by], length)
            before = np.where(better, before[by], before)
        return cost, length, before

    def sources(self, at_m: ArrayLike, own_m: Sequence[float]) -> Sources:
        """Leads that may come from any of several places (s, 2), each with so much lead of its own
        [m] before it lies on the floor.
        """
        outs = [
            (place, own + float(np.linalg.norm(place - socket)))
            for socket, own in zip(np.asarray(at_m, dtype=np.float64), own_m, strict=True)
            for place in self._comes_out(socket)
        ]
        at, own = np.array([place for place, _ in outs]), np.array([own for _, own in outs])
        corners = self._corners
        many, count = len(at), len(corners)
        direct = self._cost(np.repeat(at, count, axis=0), np.tile(corners, (many, 1)))
        direct = direct.reshape(many, count)
        apart = np.linalg.norm(at[:, None] - corners, axis=-1)
        cost, length, _ = self._between
        whole = own[:, None, None] + direct[:, :, None] + cost  # source, first corner, corner
        flat = whole.reshape(many * count, count)
        best = np.argmin(flat, axis=0) if many * count else np.zeros(count, dtype=np.intp)
        which, first = np.divmod(best, max(count, 1))
        here = np.arange(count)
        return Sources(
            at,
            np.concatenate([own, flat[best, here] if count else np.empty(0)]),
            np.concatenate([own, own[which] + apart[which, first] + length[first, here]]),
            np.concatenate([np.arange(many), which]),
            np.concatenate([np.full(many, -1), first]),
        )

    def _comes_out(self, socket: FloatArray) -> list[FloatArray]:
        """Where the lead of a socket comes out: there, or from behind a piece at its ends, as far as
        those are in the room.
        """
        for zone in self.zones:
            for slot in zone.slots_m:
                start, end = np.array(slot)
                run = end - start
                along = float((socket - start) @ run / (run @ run))
                if 0.0 < along < 1.0 and np.linalg.norm(start + along * run - socket) < CROSSED_M:
                    ends = [one for one in (start, end) if geometry.inside(self._plan, one)]
                    return ends or [socket]
        return [socket]

    def last_turn(
        self, given: Sources, to_m: FloatArray, enough_m: FloatArray | None = None
    ) -> tuple[NDArray[np.intp], FloatArray]:
        """(n,) from which of the sources and corners the best way reaches places (n, 2), and what it
        costs. What lies nearest is asked first, and no more than can still be better.

        enough_m: (n,) a way that costs no more is as good as the best; None: the best is wanted
        """
        stops = np.concatenate([given.at_m, self._corners])
        least = given.entry + geometry.in_plan_m(to_m[:, None] - stops)
        best, chosen = np.full(len(to_m), np.inf), np.zeros(len(to_m), dtype=np.intp)
        rows = np.arange(len(to_m))
        for _ in range(len(stops)):
            nearest = np.argmin(least[rows], axis=1)
            left = least[rows, nearest] < best[rows] - 1e-9
            if enough_m is not None:
                left &= best[rows] > enough_m[rows]
            rows, nearest = rows[left], nearest[left]
            if not len(rows):
                break
            cost = given.entry[nearest] + self._cost(stops[nearest], to_m[rows])
            better = cost < best[rows] - 1e-9
            best[rows[better]], chosen[rows[better]] = cost[better], nearest[better]
            least[rows, nearest] = np.inf
        return chosen, best

    def lengths_m(self, given: Sources, to_m: FloatArray) -> FloatArray:
        """(n,) how long the best way from the sources to places (n, 2) is, with the sources' own."""
        return self._lengths_m(given, to_m, self.last_turn(given, to_m)[0])

    def within(self, given: Sources, to_m: FloatArray, most_m: FloatArray) -> NDArray[np.bool_]:
        """(n,) whether `lengths_m` of places (n, 2) is no more than most_m (n,): the best way is no
        longer than it costs, nor than any other costs.
        """
        last, cost = self.last_turn(given, to_m, most_m - TOUCH_M)
        long = self._lengths_m(given, to_m, last)
        return np.asarray((cost <= most_m - TOUCH_M) | (long <= most_m))

    def _lengths_m(self, given: Sources, to_m: FloatArray, last: NDArray[np.intp]) -> FloatArray:
        stops = np.concatenate([given.at_m, self._corners])
        return np.asarray(given.length[last] + geometry.in_plan_m(to_m - stops[last]))

    def way(self, from_m: ArrayLike, to_m: ArrayLike) -> Way:
        """The best way from one place to another, (2,) each."""
        start, end = (np.asarray(point, dtype=np.float64)[:2] for point in (from_m, to_m))
        given = self.sources(start[None], (0.0,))
        last, outs = int(self.last_turn(given, end[None])[0][0]), len(given.at_m)
        back, out, corner = [end], given.at_m[given.source[last]], last - outs
        if corner >= 0:
            before, first = self._between[2], int(given.first[last])
            while True:
                back.append(self._corners[corner])
                if corner == first:
                    break
                corner = int(before[first, corner])
        points = np.array([out, *back[::-1]])
        inside = self.inside_m(points[:-1], points[1:]).sum(axis=0)
        whole = points if np.array_equal(out, start) else np.array([start, *points])
        return Way(ring(whole), tuple(float(one) for one in inside))


@lru_cache(maxsize=64)
def floor_of(plan_m: Ring, zones: tuple[Zone, ...]) -> Floor:
    """The floor of a room; kept, since its corners are gone through once for many leads."""
    return Floor(plan_m, zones)
