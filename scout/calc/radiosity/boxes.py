"""Upright boxes in a room, turned about the vertical: what they hide, and the faces light falls on.

  top             a box stands on the floor (low_m 0, no underside) or is open below, as a
+------+ high_m   table is; its own frame runs along its width, its depth and up, and in it
|      |          the box is the cube from -1 to 1, so that one test serves every turn
+------+ low_m
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from scout.calc.geometry import FloatArray, require

# a line that only touches a box is not hidden: what leaves a face INWARD_M off it is clear of it
TOUCH_M = 1e-6
FACES = 6  # -along, +along, -across, +across, under, top


@dataclass(frozen=True)
class Box:
    """One box: its middle on the plan, its size, how far it is turned clockwise seen from above."""

    name: str
    x_m: float
    y_m: float
    width_m: float
    depth_m: float
    turn_deg: float
    low_m: float
    high_m: float

    def __post_init__(self) -> None:
        for part in ("x_m", "y_m", "turn_deg"):
            require(f"boxes.{self.name}.{part}", getattr(self, part))
        for part in ("width_m", "depth_m"):
            require(f"boxes.{self.name}.{part}", getattr(self, part), above=2 * TOUCH_M)
        require(f"boxes.{self.name}.low_m", self.low_m, least=0)
        require(f"boxes.{self.name}.high_m", self.high_m, above=self.low_m + 2 * TOUCH_M)

    @cached_property
    def middle_m(self) -> FloatArray:
        """(3,)"""
        return np.array([self.x_m, self.y_m, 0.5 * (self.low_m + self.high_m)])

    @cached_property
    def half_m(self) -> FloatArray:
        """(3,) half its sizes, along, across and up."""
        return 0.5 * np.array([self.width_m, self.depth_m, self.high_m - self.low_m])

    @cached_property
    def axes(self) -> FloatArray:
        """(3, 3) its unit directions, a row each, right-handed."""
        c, s = np.cos(np.radians(self.turn_deg)), np.sin(np.radians(self.turn_deg))
        return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])

    def framed(self, points_m: FloatArray, touch_m: float = TOUCH_M) -> FloatArray:
        """(..., 3) points in the box's own frame: within it where all three lie between -1 and 1."""
        return np.asarray((points_m - self.middle_m) @ self.axes.T / (self.half_m - touch_m))

    def holds(self, points_m: FloatArray, touch_m: float = TOUCH_M) -> NDArray[np.bool_]:
        """(...) whether points lie within it."""
        return np.asarray(np.all(np.abs(self.framed(points_m, touch_m)) < 1.0, axis=-1))

    def hides(self, from_m: FloatArray, to_m: FloatArray) -> NDArray[np.bool_]:
        """(...) whether it cuts the straight lines between points; they broadcast."""
        return self.hides_framed(self.framed(from_m), self.framed(to_m))

    def hides_framed(self, a: FloatArray, b: FloatArray) -> NDArray[np.bool_]:
        """As `hides`, of points in its own frame.

        Source: separating axes of a segment and a cube (Gottschalk, Lin and Manocha 1996): the
            three sides first, which most lines fail, then the crosses with the line
        """
        near: NDArray[np.bool_] | bool = True
        for axis in range(3):
            p, q = a[..., axis], b[..., axis]
            near = near & ((p < 1.0) | (q < 1.0)) & ((p > -1.0) | (q > -1.0))
        near = np.asarray(near)
        if not np.any(near):
            return near
        shape = (*near.shape, 3)
        found = near.copy()
        found[near] = _crosses(np.broadcast_to(a, shape)[near], np.broadcast_to(b, shape)[near])
        return found

    def faces(self, patch_m: float) -> tuple[FloatArray, FloatArray, NDArray[np.intp]]:
        """(q, 4, 3) corners of the cells of its faces, right-handed about their normals, (q, 3)
        normals and (q,) the face of each.
        """
        corners, normals, face_of = [], [], []
        for face in range(FACES):
            axis, sign = face // 2, 2.0 * (face % 2) - 1.0
            if face == 4 and self.low_m <= 2 * TOUCH_M:
                continue
            first, second = ((axis + 1) % 3, (axis + 2) % 3)[:: 1 if sign > 0 else -1]
            us, vs = (
                np.linspace(
                    -1.0, 1.0, max(1, int(np.ceil(2 * self.half_m[k] / patch_m - 1e-9))) + 1
                )
                for k in (first, second)
            )
            u, v = (part.ravel() for part in np.meshgrid(us[:-1], vs[:-1]))
            u1, v1 = (part.ravel() for part in np.meshgrid(us[1:], vs[1:]))
            cells = np.full((len(u), 4, 3), sign)
            cells[..., first] = np.stack([u, u1, u1, u], axis=1)
            cells[..., second] = np.stack([v, v, v1, v1], axis=1)
            corners.append(self.middle_m + (cells * self.half_m) @ self.axes)
            normals.append(np.tile(sign * self.axes[axis], (len(u), 1)))
            face_of.append(np.full(len(u), face))
        return np.concatenate(corners), np.concatenate(normals), np.concatenate(face_of)

    def entered(
        self, start: FloatArray, way: FloatArray
    ) -> tuple[FloatArray, FloatArray, NDArray[np.intp]]:
        """Where rays (..., 3) from outside come in and go out, in lengths of `way` (infinite where
        they miss it), and (...) by which face they come in.
        """
        p = self.framed(start)
        d = (way @ self.axes.T) / (self.half_m - TOUCH_M)
        d = np.where(np.abs(d) < 1e-15, 1e-15, d)
        near, far = (-np.sign(d) - p) / d, (np.sign(d) - p) / d
        enter, leave = near.max(axis=-1), far.min(axis=-1)
        axis = near.argmax(axis=-1)
        side = np.take_along_axis(d, axis[..., None], axis=-1)[..., 0] < 0
        met = (leave > enter) & (leave > 0)
        return (
            np.where(met, enter, np.inf),
            np.where(met, leave, np.inf),
            np.asarray(2 * axis + side, dtype=np.intp),
        )

    def hidden_heights(
        self, at_m: FloatArray, point: NDArray[np.intp], level: FloatArray, far_m: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """The elevations it hides from points, along level directions.

        at_m:   (k, 3);  point: (q,) which of them each direction is of;  level: (q, 2), unit
        far_m:  (q,), what lies farther is not asked
        Returns: (q,) tangents of the lowest and the highest elevation hidden: all between are;
            the highest under the lowest where it hides nothing
        """
        framed = self.framed(at_m)
        enter, leave = np.full(len(point), 1e-12), far_m
        for axis in range(2):
            x, y = self.axes[axis, :2] / (self.half_m[axis] - TOUCH_M)
            way = level[:, 0] * x + level[:, 1] * y
            each = 1.0 / np.where(np.abs(way) < 1e-15, 1e-15, way)
            middle, half = -framed[point, axis] * each, np.abs(each)
            enter, leave = np.maximum(enter, middle - half), np.minimum(leave, middle + half)
        lowest, highest = np.full(len(point), np.inf), np.full(len(point), -np.inf)
        met = np.flatnonzero(leave > enter)  # few directions meet it
        enter, leave, up = enter[met], leave[met], at_m[point[met], 2]
        low = (self.low_m + TOUCH_M - up) if self.low_m > 0 else np.full(len(met), -np.inf)
        high = self.high_m - TOUCH_M - up
        lowest[met] = low / np.where(low < 0, enter, leave)
        highest[met] = high / np.where(high > 0, enter, leave)
        return lowest, highest


def unhidden(boxes: Sequence[Box], from_m: FloatArray, to_m: FloatArray) -> NDArray[np.bool_]:
    """(...) whether no box cuts the straight line between two points, (..., 3) each; they
    broadcast. Touching a box counts as seen.
    """
    start, end = np.asarray(from_m, dtype=np.float64), np.asarray(to_m, dtype=np.float64)
    seen = np.ones(np.broadcast_shapes(start.shape[:-1], end.shape[:-1]), dtype=bool)
    for box in boxes:
        seen &= ~box.hides(start, end)
    return seen


def _crosses(a: FloatArray, b: FloatArray) -> NDArray[np.bool_]:
    """(q,) whether segments (q, 3) that overlap the cube side by side cross it."""
    m, h = (a + b).T, (b - a).T  # twice the middle and twice the half
    size = np.abs(h)
    met = np.ones(len(a), dtype=bool)
    for i, j in ((0, 1), (1, 2), (2, 0)):
        met &= np.abs(m[i] * h[j] - m[j] * h[i]) < 2.0 * (size[i] + size[j])
    return met
