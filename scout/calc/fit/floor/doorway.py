"""A door as an opening that a camera outside looks through: its prism in the wall, and its leaf.

          camera o  outside
                / \\
   ____ outer L|   |outer R ____
   ____ inner L|___|inner R ____   depth_m: how thick the wall is
              /     \\
             inside          seen: within the opening on both faces, and under its head
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from scout.calc.fit.floor.blocks import Block
from scout.calc.fit.floor.space import distance_to_line_m
from scout.calc.geometry import FloatArray, cuts, distance_to_walls_m, inside, onward, walls

# Common practice, each on the side that hides more: a wall between two rooms with its lining, a
# leaf with its handle, and how far beside the opening a stand is still taken for seen.
WALL_M, LEAF_M, BESIDE_M = 0.25, 0.05, 0.1
NEAR_M = 0.05  # round a lens there is nothing to be hit


@dataclass(frozen=True, eq=False)
class Doorway:
    """A door in a wall of a plan. `index`: of the wall. `offset_m`: from the wall's left end as seen
    from inside.
    """

    name: str
    plan_m: FloatArray
    index: int
    offset_m: float
    width_m: float
    head_m: float
    keep_free: bool = False
    depth_m: float = WALL_M

    @cached_property
    def axes(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """(2,) the left jamb on the inner face, the way to the right one, the way out."""
        wall = walls(self.plan_m)[self.index]
        return wall.start_m + wall.along * self.offset_m, wall.along, wall.outward

    def at(self, across_m: float, out_m: float) -> FloatArray:
        """(2,) a place in plan, so far right of the left jamb and so far out of the inner face."""
        left, along, outward = self.axes
        return np.asarray(left + along * across_m + outward * out_m)

    def out_m(self, points_m: FloatArray) -> FloatArray:
        """(...) how far out of the inner face points (..., 2 or 3) are; below 0 inside."""
        left, _, outward = self.axes
        return np.asarray((np.asarray(points_m)[..., :2] - left) @ outward)

    def across_m(self, points_m: FloatArray) -> FloatArray:
        """(...) how far right of the left jamb points (..., 2 or 3) are."""
        left, along, _ = self.axes
        return np.asarray((np.asarray(points_m)[..., :2] - left) @ along)

    def faces_m(self, lens_m: FloatArray) -> tuple[float, ...]:
        """The faces of the wall between a lens outside and the room, by how far out they are."""
        return (0.0, self.depth_m) if float(self.out_m(lens_m)) > self.depth_m else (0.0,)

    def crossings(self, lens_m: FloatArray, ways: FloatArray) -> FloatArray:
        """(faces, n, 2) where lines from a lens (3,) outside along (n, 3) meet each face: across
        from the left jamb, and up. Infinite for lines that lead away.
        """
        _, along, outward = self.axes
        into = -(ways[:, :2] @ outward)
        ahead = into > 1e-9
        found = []
        for face in self.faces_m(lens_m):
            t = (float(self.out_m(lens_m)) - face) / np.where(ahead, into, 1.0)
            across = float(self.across_m(lens_m)) + t * (ways[:, :2] @ along)
            up = lens_m[2] + t * ways[:, 2]
            found.append(np.where(ahead[:, None], np.stack([across, up], axis=-1), np.inf))
        return np.stack(found)

    def leaves(self) -> tuple[Block, ...]:
        """The leaf open at a right angle, for each way that it may hang: from either jamb, into the
        room and out of it. How it hangs nobody records.
        """
        found = []
        for left in (0.0, self.width_m - LEAF_M):
            for near, far in ((0.0, -self.width_m), (self.depth_m, self.depth_m + self.width_m)):
                ring = [
                    self.at(left, near),
                    self.at(left + LEAF_M, near),
                    self.at(left + LEAF_M, far),
                    self.at(left, far),
                ]
                found.append(Block(self.name, np.array(ring), self.head_m))
        return tuple(found)

    def planes(self, lens_m: FloatArray) -> FloatArray:
        """(k, 3) normals of planes through a lens outside that leave what the opening shows of the
        room, BESIDE_M more on every side.
        """
        _, along, _ = self.axes
        found = []
        for face in self.faces_m(lens_m):
            if abs(float(self.out_m(lens_m)) - face) < 1e-6:
                continue
            left = self.at(-BESIDE_M, face) - lens_m[:2]
            right = self.at(self.width_m + BESIDE_M, face) - lens_m[:2]
            for jamb, other in ((left, right), (right, left)):
                across = np.array([-jamb[1], jamb[0]])
                found.append([*(across if across @ other > 0 else -across), 0.0])
            edge = np.array([*left, self.head_m + BESIDE_M - lens_m[2]])
            under = np.cross(np.array([*along, 0.0]), edge)
            found.append(list(under if under[2] < 0 else -under))
        planes = np.array(found).reshape(-1, 3)
        return np.asarray(planes / np.linalg.norm(planes, axis=1, keepdims=True))

    def ring_m(self, lens_m: FloatArray) -> FloatArray:
        """(k, 2) the plan with the opening and what lies between it and a lens outside: what can be
        seen from there in plan.
        """
        left, right = (
            [self.at(across, out) for out in (0.0, self.depth_m)] for across in (0.0, self.width_m)
        )
        ring = [*self.plan_m[: self.index + 1], *left]
        out = float(self.out_m(lens_m))
        if out > self.depth_m:
            x = float(self.across_m(lens_m))
            ring += [self.at(x - NEAR_M, out + NEAR_M), self.at(x + NEAR_M, out + NEAR_M)]
        ring += [*right[::-1], *self.plan_m[self.index + 1 :]]
        corners = np.array(ring)
        return np.asarray(corners[np.linalg.norm(onward(corners) - corners, axis=1) > 1e-9])

    def is_open_to(self, lens_m: FloatArray) -> bool:
        """Whether a lens stands in the opening, or outside with no other wall of the room, each as
        thick as this one, between it and any part of the opening.
        """
        out, across = float(self.out_m(lens_m)), float(self.across_m(lens_m))
        if out <= 1e-6:
            return False
        if out <= self.depth_m:
            return 0.0 < across < self.width_m
        if float(distance_to_walls_m(self.plan_m, lens_m)) < self.depth_m or bool(
            inside(self.plan_m, lens_m)
        ):
            return False
        between = np.array(
            [self.at(0.0, self.depth_m), self.at(self.width_m, self.depth_m), lens_m[:2]]
        )
        # the other walls, one after the other from this one's right end to its left
        others = np.roll(self.plan_m, -1 - self.index, axis=0)
        near = min(
            float(np.min(distance_to_walls_m(between, others))),
            float(np.min(distance_to_line_m(others, between))),
        )
        if near < self.depth_m - 1e-6 or bool(np.any(inside(between, others))):
            return False
        # what only touches is near
        starts, ends = others[:-1], others[1:]
        return not bool(np.any(cuts(between, onward(between), starts, ends)))
