"""A room cut into flat four-sided patches: walls round their openings, floor and ceiling whatever
the shape of the plan.

Walls are cut along the edges of their openings, so that a patch is wholly wall or wholly opening.
Floor and ceiling are
cut into strips parallel to the longest wall at every corner of the plan (a trapezoid
decomposition), then into columns:

      +-----------+            strips end at the corners of the plan; in a plan of right angles
      every
      |   |   |   |            patch is a rectangle, elsewhere the end patches are trapezoids or, at
      a
      +---+---+---+-----+      point, triangles (two corners fall together)
      |   |   |   |  |  |
      +---+---+---+--+--+
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scout.calc.geometry import FloatArray, crossing_walls, inside, require, signed_area_m2, walls
from scout.calc.quadrature import gauss_legendre
from scout.calc.radiosity.boxes import FACES, Box, unhidden
from scout.calc.radiosity.outlines import IntArray, Outlines, outlines
from scout.calc.radiosity.visibility import INWARD_M, is_convex, sees
from scout.errors import OutOfRange
from scout.values import Figure, Many, Name, said

Opening = tuple[
    str, int, float, float, float, float
]  # id, wall (0 is A), offset_m, sill_m, width_m, height_m
SNAP_M = 1e-6  # edges nearer than this are one edge
# an opening may overrun its wall, the ceiling or its neighbour by this: a tape is read to the
# centimetre
SLACK_M = 0.0051
COVER_POINTS = 8  # a side: how finely it is asked what of a patch a box stands against
MOST_LOOKED = 64  # places from which it is kept what is seen of a room: a megabyte
MOST_PATCHES = 6000  # form factors of more would take gigabytes


@dataclass(frozen=True)
class Patches:
    """The patches of one room. Corners go round anticlockwise for a person inside who faces the
    patch.

    corners_m: (p, 4, 3); two corners of a patch may fall together (a triangle)
    normal:    (p, 3), unit, into the room
    surface:   (p,), index into `names`
    names:     walls "A", "B" ..., then "floor", "ceiling", then the ids of the openings, then
        of the boxes, in the order given
    flat:      (p,), the flat it lies in: wall number, then floor, ceiling, then FACES of each box;
        openings lie in their wall
    boxes:     what stands in the room. What of a patch a box stands against counts for nothing
    """

    corners_m: FloatArray
    normal: FloatArray
    surface: IntArray
    names: tuple[str, ...]
    plan_m: FloatArray
    height_m: float
    flat: IntArray
    boxes: tuple[Box, ...] = ()

    @cached_property
    def open(self) -> bool:
        """Whether nothing in the room can hide anything: no corner turns back, nothing stands in it."""
        return is_convex(self.plan_m) and not self.boxes

    def sees(self, from_m: ArrayLike, to_m: ArrayLike) -> NDArray[np.bool_]:
        """(...) whether no wall and no box cuts the straight lines between points (..., 3), which
        broadcast; what touches is seen.
        """
        start, end = np.asarray(from_m, dtype=np.float64), np.asarray(to_m, dtype=np.float64)
        seen = unhidden(self.boxes, start, end)
        return seen if is_convex(self.plan_m) else seen & sees(self.plan_m, start, end)

    @cached_property
    def _looked(self) -> dict[tuple[bytes, int], NDArray[np.bool_]]:
        return {}

    def seen_from(self, at_m: FloatArray, per_side: int) -> NDArray[np.bool_]:
        """(p, k) which points of `drawn_in` are seen from one place (3,). Kept for some places: face,
        camera and lamps of a room are asked about again and again. Not to be written into.
        """
        asked = at_m.tobytes(), per_side
        if asked not in self._looked:
            if len(self._looked) >= MOST_LOOKED:
                self._looked.clear()
            self._looked[asked] = self.sees(at_m, self.drawn_in(per_side)[0])
        return self._looked[asked]

    def drawn_in(self, per_side: int, *, gauss: bool = False) -> tuple[FloatArray, FloatArray]:
        """As `points`, INWARD_M in front of the patches, so that what they lie on does not hide
        them.
        """
        points, share = self.points(per_side, gauss=gauss)
        return points + INWARD_M * self.normal[:, None], share

    @cached_property
    def _halves(self) -> tuple[FloatArray, FloatArray]:
        a, b, c, d = np.moveaxis(self.corners_m, 1, 0)
        return 0.5 * np.linalg.norm(np.cross(b - a, c - a), axis=-1), 0.5 * np.linalg.norm(
            np.cross(c - a, d - a), axis=-1
        )

    @cached_property
    def area_m2(self) -> FloatArray:
        """(p,) area of each patch, without what a box stands against."""
        return self.whole_m2 * self.left

    @cached_property
    def whole_m2(self) -> FloatArray:
        """(p,) area of each patch, whatever stands against it."""
        return np.asarray(self._halves[0] + self._halves[1])

    @cached_property
    def left(self) -> FloatArray:
        """(p,) the share of each patch that no box stands against."""
        if not self.boxes:
            return np.ones(len(self.corners_m))
        points, share = self.whole_points(COVER_POINTS, gauss=False)
        return np.asarray(np.sum(share * ~self._covered(points), axis=1))

    def _covered(self, points: FloatArray) -> NDArray[np.bool_]:
        """(p, k) which points of the patches lie within a box or, of a box's own faces, out of the
        room.
        """
        at = points + INWARD_M * self.normal[:, None]
        covered = np.zeros(at.shape[:-1], dtype=bool)
        for box in self.boxes:
            covered |= box.holds(at)
        of_boxes = self.flat >= len(self.plan_m) + 2
        own = at[of_boxes]
        covered[of_boxes] |= ~inside(self.plan_m, own[..., :2]) | (own[..., 2] > self.height_m)
        return covered

    @cached_property
    def centre_m(self) -> FloatArray:
        """(p, 3) centroid of each patch."""
        a, b, c, d = np.moveaxis(self.corners_m, 1, 0)
        one, two = (half[:, None] for half in self._halves)
        return np.asarray((one * (a + b + c) + two * (a + c + d)) / (3.0 * (one + two)))

    @cached_property
    def outlines(self) -> Outlines:
        """The patches by the corners and edges they share."""
        return outlines(self.corners_m)

    def of(self, name: str) -> NDArray[np.bool_]:
        """(p,) which patches belong to a surface. Raises OutOfRange for a name that is not there."""
        if name not in self.names:
            raise OutOfRange(
                "surface",
                name,
                said("refusal.colour.one_of", options=Many(tuple(map(Name, self.names)), "or")),
            )
        return np.asarray(self.surface == self.names.index(name))

    def by_surface(self, per_patch: ArrayLike) -> FloatArray:
        """(surfaces, ...) sums over the patches of each surface of values (p, ...)."""
        values = np.asarray(per_patch, dtype=np.float64)
        sums = np.zeros((len(self.names), *values.shape[1:]))
        np.add.at(sums, self.surface, values)
        return sums

    @cached_property
    def _spread(self) -> dict[tuple[int, bool], tuple[FloatArray, FloatArray]]:
        return {}

    def points(self, per_side: int, *, gauss: bool = False) -> tuple[FloatArray, FloatArray]:
        """(p, k, 3) points spread over each patch and (p, k) their shares of its area, k = per_side
        squared; not to be written into.
        """
        if (per_side, gauss) not in self._spread:
            points, share = self.whole_points(per_side, gauss=gauss)
            if self.boxes:
                left = share * ~self._covered(points)
                whole = left.sum(axis=1, keepdims=True)
                share = np.where(whole > 0, left / np.where(whole > 0, whole, 1.0), share)
            self._spread[per_side, gauss] = points, share
        return self._spread[per_side, gauss]

    def whole_points(self, per_side: int, *, gauss: bool) -> tuple[FloatArray, FloatArray]:
        """As `points`, whatever stands against the patches."""
        if gauss:
            node, share = gauss_legendre(per_side)
            node, share = (node + 1.0) / 2.0, share / 2.0
        else:
            node, share = (np.arange(per_side) + 0.5) / per_side, np.full(per_side, 1.0 / per_side)
        u, v = (axis.ravel() for axis in np.meshgrid(node, node))
        weight = np.outer(share, share).ravel()
        a, b, c, d = (self.corners_m[:, None, i] for i in range(4))
        u3, v3 = u[:, None], v[:, None]
        at = (1 - u3) * (1 - v3) * a + u3 * (1 - v3) * b + u3 * v3 * c + (1 - u3) * v3 * d
        stretch = np.linalg.norm(
            np.cross((b - a) * (1 - v3) + (c - d) * v3, (d - a) * (1 - u3) + (c - b) * u3), axis=-1
        )
        weight = weight * stretch
        return at, weight / weight.sum(axis=1, keepdims=True)


def cut(
    plan_m: ArrayLike,
    height_m: float,
    openings: Iterable[Opening] = (),
    patch_m: float = 0.5,
    boxes: tuple[Box, ...] = (),
) -> Patches:
    """Cut a room into patches no wider or higher than patch_m.

    plan_m:   (n, 2) corners, clockwise seen from above, simple, convex or not [m]
    height_m: floor to ceiling, above 0 [m]
    openings: (id, wall number from 0, offset from the wall's left end, sill, width, height)
        [m]; patches of their own
    patch_m:  longest side of a patch, 0.05 or more [m]
    boxes:    what stands in the room: their faces are patches, the undersides of those open below too
    Raises:   OutOfRange for a plan that crosses itself or goes anticlockwise, an opening that
        leaves its wall or overlaps
              another, and a cut finer than the solver can hold
    """
    plan = require("plan_m", plan_m)
    if plan.ndim != 2 or plan.shape[1] != 2:
        raise OutOfRange("plan_m", plan.shape, said("refusal.patches.plan_corners"))
    require("height_m", height_m, above=0)
    require("patch_m", patch_m, least=0.05)
    plan_walls = walls(plan)
    if (crossed := crossing_walls(plan)) is not None:
        raise OutOfRange("plan_m", crossed, said("refusal.patches.plan_crosses"))
    if signed_area_m2(plan) >= 0:
        raise OutOfRange("plan_m", None, said("refusal.patches.plan_clockwise"))
    given = tuple(openings)
    names = (
        *(wall.letter for wall in plan_walls),
        "floor",
        "ceiling",
        *(opening[0] for opening in given),
        *(box.name for box in boxes),
    )
    if len(set(names)) < len(names):
        raise OutOfRange("openings", names, said("refusal.patches.same_name"))
    expected = 2.0 * abs(signed_area_m2(plan)) + height_m * sum(
        wall.length_m for wall in plan_walls
    )
    if expected / patch_m**2 > MOST_PATCHES:
        raise OutOfRange(
            "patch_m",
            patch_m,
            said("refusal.patches.most", most=MOST_PATCHES),
        )

    quads: list[FloatArray] = []
    normals: list[FloatArray] = []
    index: list[IntArray] = []
    flats: list[IntArray] = []
    for number, wall in enumerate(plan_walls):
        here = [
            (len(plan_walls) + 2 + k, opening)
            for k, opening in enumerate(given)
            if opening[1] == number
        ]
        flat, owner = _wall_cells(number, wall.length_m, float(height_m), here, patch_m)
        corners = np.empty((*flat.shape[:2], 3))
        corners[..., :2] = wall.start_m + flat[..., :1] * wall.along
        corners[..., 2] = flat[..., 1]
        quads.append(corners)
        normals.append(np.tile(np.append(-wall.outward, 0.0), (len(flat), 1)))
        index.append(owner)
        flats.append(np.full(len(flat), number))
    for opening in given:
        if not 0 <= opening[1] < len(plan_walls):
            raise OutOfRange(
                f"openings.{opening[0]}.wall",
                opening[1],
                said("refusal.patches.no_wall", last=len(plan_walls) - 1),
            )
    tiles = _floor_cells(plan, patch_m)
    for level, name, order in (
        (0.0, "floor", slice(None)),
        (float(height_m), "ceiling", slice(None, None, -1)),
    ):
        corners = np.concatenate([tiles, np.full((*tiles.shape[:2], 1), level)], axis=-1)[:, order]
        quads.append(corners)
        normals.append(np.tile([0.0, 0.0, 1.0 if name == "floor" else -1.0], (len(tiles), 1)))
        index.append(np.full(len(tiles), names.index(name)))
        flats.append(index[-1])
    for k, box in enumerate(boxes):
        cells, ways, face = box.faces(patch_m)
        quads.append(cells)
        normals.append(ways)
        index.append(np.full(len(cells), len(names) - len(boxes) + k))
        flats.append(len(plan_walls) + 2 + FACES * k + face)
    corners, normal, surface, lies = (
        np.concatenate(quads),
        np.concatenate(normals),
        np.concatenate(index).astype(np.intp),
        np.concatenate(flats).astype(np.intp),
    )
    whole = Patches(corners, normal, surface, names, plan, float(height_m), lies, boxes)
    if not boxes:
        return whole
    bare = whole.area_m2 > SNAP_M**2
    return Patches(
        corners[bare], normal[bare], surface[bare], names, plan, float(height_m), lies[bare], boxes
    )


def _wall_cells(
    wall: int, length_m: float, height_m: float, openings: list[tuple[int, Opening]], patch_m: float
) -> tuple[FloatArray, IntArray]:
    """Corners (q, 4, 2) of the cells of a wall, along it and up, anticlockwise as seen from inside,
    and (q,) whose they are.
    """
    boxes: list[tuple[int, float, float, float, float]] = []
    for number, (name, _, offset, sill, width, high) in openings:
        for part, value in (("offset_m", offset), ("sill_m", sill)):
            require(f"openings.{name}.{part}", value, least=0)
        for part, value in (("width_m", width), ("height_m", high)):
            require(f"openings.{name}.{part}", value, above=SNAP_M)
        if offset + width > length_m + SLACK_M:
            raise OutOfRange(
                f"openings.{name}.width_m",
                width,
                said("refusal.patches.past_wall", length=Figure(length_m, "m")),
            )
        if sill + high > height_m + SLACK_M:
            raise OutOfRange(
                f"openings.{name}.height_m",
                high,
                said("refusal.patches.above_ceiling", ceiling=Figure(height_m, "m")),
            )
        box = (number, offset, sill, min(offset + width, length_m), min(sill + high, height_m))
        for other in boxes:
            if (
                min(box[3], other[3]) - max(box[1], other[1]) > SLACK_M
                and min(box[4], other[4]) - max(box[2], other[2]) > SLACK_M
            ):
                raise OutOfRange(
                    f"openings.{name}.offset_m", offset, said("refusal.patches.overlap")
                )
        boxes.append(box)
    us = _breaks(
        [0.0, length_m, *(box[1] for box in boxes), *(box[3] for box in boxes)], length_m, patch_m
    )
    vs = _breaks(
        [0.0, height_m, *(box[2] for box in boxes), *(box[4] for box in boxes)], height_m, patch_m
    )
    left, low = (axis.ravel() for axis in np.meshgrid(us[:-1], vs[:-1]))
    right, high_edge = (axis.ravel() for axis in np.meshgrid(us[1:], vs[1:]))
    owner = np.full(len(left), wall)
    for number, u0, v0, u1, v1 in boxes:
        mid_u, mid_v = (left + right) / 2.0, (low + high_edge) / 2.0
        owner[(mid_u > u0) & (mid_u < u1) & (mid_v > v0) & (mid_v < v1)] = number
    corners = np.stack(
        [
            np.stack(pair, axis=-1)
            for pair in ((left, low), (right, low), (right, high_edge), (left, high_edge))
        ],
        axis=1,
    )
    return corners, owner


def _breaks(edges: list[float], end: float, patch_m: float) -> FloatArray:
    """Ordered cuts from 0 to end through all the edges, none further apart than patch_m."""
    kept = [0.0]
    for edge in sorted(edges):
        if edge - kept[-1] > SNAP_M and end - edge > SNAP_M:
            kept.append(edge)
    kept.append(end)
    parts = [np.linspace(a, b, _count(b - a, patch_m) + 1)[:-1] for a, b in pairwise(kept)]
    return np.append(np.concatenate(parts), end)


def _count(length_m: float, patch_m: float) -> int:
    return max(1, int(np.ceil(length_m / patch_m - 1e-9)))


def _floor_cells(plan: FloatArray, patch_m: float) -> FloatArray:
    """(q, 4, 2) corners of the tiles of the plan, anticlockwise seen from above."""
    sides = np.roll(plan, -1, axis=0) - plan
    along = sides[np.argmax(np.hypot(*sides.T))]
    along = along / np.hypot(*along)
    turn = np.array(
        [[along[0], along[1]], [-along[1], along[0]]]
    )  # plan -> frame whose x runs along the longest wall
    corner = plan @ turn.T
    following = np.roll(corner, -1, axis=0)
    levels = [float(corner[:, 1].min())]
    for y in np.sort(corner[:, 1]):
        if y - levels[-1] > SNAP_M:
            levels.append(float(y))
    tiles: list[list[tuple[float, float]]] = []
    for base, top in pairwise(levels):
        middle = (base + top) / 2.0
        rows = np.linspace(base, top, _count(top - base, patch_m) + 1)
        crossing = (corner[:, 1] > middle) != (following[:, 1] > middle)
        a, b = corner[crossing], following[crossing]
        slope = (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1])
        order = np.argsort(a[:, 0] + slope * (middle - a[:, 1]))
        a, slope = a[order], slope[order]
        for y0, y1 in pairwise(rows):
            x0, x1 = a[:, 0] + slope * (y0 - a[:, 1]), a[:, 0] + slope * (y1 - a[:, 1])
            for left in range(0, len(a), 2):
                widest = max(x0[left + 1] - x0[left], x1[left + 1] - x1[left])
                columns = np.linspace(0.0, 1.0, _count(widest, patch_m) + 1)
                low, high = (
                    x0[left] + columns * (x0[left + 1] - x0[left]),
                    x1[left] + columns * (x1[left + 1] - x1[left]),
                )
                tiles += [
                    [(low[k], y0), (low[k + 1], y0), (high[k + 1], y1), (high[k], y1)]
                    for k in range(len(columns) - 1)
                ]
    return np.asarray(np.array(tiles) @ turn)
