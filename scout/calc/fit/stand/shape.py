"""A stand by its shape: three legs, a pole and a head, each against floor and frame by itself.

  | head: a ball, and before it a soft source's disc that faces the subject
  |
  | pole
 /|\\  collar, where the legs leave the pole
/ | \\ legs, 120 degrees apart, which may be turned so that they fit
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scout.calc.fit.floor.space import BoolArray, Space
from scout.calc.fit.lens.camera import View, frame_planes, in_frame
from scout.calc.geometry import (
    FloatArray,
    beside,
    cut_by,
    distance_to_walls_m,
    in_plan_m,
    inside,
    is_convex,
)

COLLAR_M, COLLAR_SHARE = 0.7, 0.7  # at most, and of the head's height (common practice)
TURNS_DEG = np.arange(0.0, 120.0, 10.0)
_THIRDS_DEG = np.array([0.0, 120.0, 240.0])
_ALONG_LEG = np.array([0.25, 0.5, 0.75, 1.0])
_RIM_DEG = np.arange(0.0, 360.0, 22.5)
_ROUND = 1.0 / np.cos(np.radians(11.25))  # the rim's polygon lies round the disc, not within it


def _off_lines_m(point_m: FloatArray, start_m: FloatArray, end_m: FloatArray) -> FloatArray:
    """(...) how far a point (2,) lies off lines from (..., 2) to (..., 2)."""
    run_x, run_y = (end_m[..., axis] - start_m[..., axis] for axis in (0, 1))
    off_x, off_y = (point_m[axis] - start_m[..., axis] for axis in (0, 1))
    square = np.maximum(run_x * run_x + run_y * run_y, 1e-12)
    along = np.clip((off_x * run_x + off_y * run_y) / square, 0.0, 1.0)
    off_x, off_y = off_x - along * run_x, off_y - along * run_y
    return np.asarray(np.sqrt(off_x * off_x + off_y * off_y))


@dataclass(frozen=True)
class Stand:
    """Stands at places (n, 3), the middle of the head, all of one kind."""

    at_m: FloatArray
    subject_m: FloatArray
    foot_radius_m: float
    head_radius_m: float
    soft_radius_m: float

    def of(self, rows: NDArray[Any]) -> Stand:
        """Some of the stands."""
        return replace(self, at_m=self.at_m[rows])

    @cached_property
    def tips_m(self) -> FloatArray:
        """(n, turns, 3, 2) where the legs meet the floor, for every turn."""
        turn = np.radians(TURNS_DEG[:, None] + _THIRDS_DEG)
        spread = self.foot_radius_m * np.stack([np.cos(turn), np.sin(turn)], axis=-1)
        return np.asarray(self.at_m[:, None, None, :2] + spread)

    @cached_property
    def legs_m(self) -> FloatArray:
        """(n, turns, 3, k, 2) points along the legs in plan, from the pole outwards, the tip last."""
        pole = self.at_m[:, None, None, None, :2]
        return np.asarray(pole + (self.tips_m[..., None, :] - pole) * _ALONG_LEG[:, None])

    @cached_property
    def rim_m(self) -> FloatArray:
        """(n, k, 3) the edge of the soft source's disc; the head's middle alone without one."""
        if self.soft_radius_m <= 0.0:
            return np.asarray(self.at_m[:, None, :])
        axis = self.subject_m - self.at_m
        axis = axis / np.maximum(np.linalg.norm(axis, axis=1, keepdims=True), 1e-9)
        level = np.column_stack([axis[:, 1], -axis[:, 0], np.zeros(len(axis))])
        size = np.linalg.norm(level, axis=1, keepdims=True)
        level = np.where(size > 1e-9, level / np.maximum(size, 1e-9), [1.0, 0.0, 0.0])
        rise = np.cross(level, axis)
        turn = np.radians(_RIM_DEG)[:, None]
        edge = np.cos(turn) * level[:, None, :] + np.sin(turn) * rise[:, None, :]
        return np.asarray(self.at_m[:, None, :] + _ROUND * self.soft_radius_m * edge)

    def legs_off(self, point_m: FloatArray, radius_m: float) -> BoolArray:
        """(n, turns) whether no leg comes nearer to a point (2,) than a radius."""
        far = _off_lines_m(point_m, self.at_m[:, None, None, :2], self.tips_m)
        return np.asarray(np.all(far >= radius_m - 1e-9, axis=-1))

    def head_off(self, point_m: FloatArray, radius_m: float) -> BoolArray:
        """(n,) whether pole and head stay as far off a point (2,) in plan as a radius."""
        middle = in_plan_m(self.at_m[:, :2] - point_m) - self.head_radius_m
        corners = self.rim_m[..., :2]
        rim = np.min(_off_lines_m(point_m, corners, np.roll(corners, -1, axis=1)), axis=-1)
        return np.asarray(np.minimum(middle, rim) >= radius_m - 1e-9)

    def legs_in(self, ring_m: FloatArray) -> BoolArray:
        """(n, turns) whether some leg stands in an outline (k, 2)."""
        near = beside(ring_m, self.at_m, self.foot_radius_m)
        held = np.zeros((len(self.at_m), len(TURNS_DEG)), dtype=np.bool_)
        if np.any(near):
            pole, tips = self.at_m[near, None, None, :2], self.tips_m[near]
            over = inside(ring_m, tips, edge_m=-1.0) | cut_by(ring_m, pole, tips)
            held[near] = np.any(over, axis=-1)
        return held

    def head_in(self, ring_m: FloatArray) -> BoolArray:
        """(n,) whether pole or head hangs over an outline (k, 2)."""
        held = beside(ring_m, self.at_m, max(_ROUND * self.soft_radius_m, self.head_radius_m))
        if np.any(held):
            middle, rim = self.at_m[held, :2], self.rim_m[held, :, :2]
            over = inside(ring_m, middle, edge_m=-1.0)
            over |= distance_to_walls_m(ring_m, middle) < self.head_radius_m - 1e-9
            # a corner of the outline may reach in between two of the rim's
            reached = inside(ring_m, rim, edge_m=-1.0) | cut_by(
                ring_m, rim, np.roll(rim, -1, axis=1)
            )
            held[held] = over | np.any(reached, axis=-1)
        return held

    def legs_on(self, space: Space) -> BoolArray:
        """(n, turns) whether all legs stand on the floor of a room."""
        on = np.all(inside(space.plan_m, self.tips_m), axis=-1)
        if not is_convex(space.plan_m) and np.any(on):
            at, turns = np.nonzero(on)
            pole, tips = self.at_m[at, None, :2], self.tips_m[at, turns]
            on[at, turns] = ~np.any(cut_by(space.plan_m, pole, tips), axis=-1)
        return np.asarray(on)

    def head_on(self, space: Space) -> BoolArray:
        """(n,) whether the head is within the walls."""
        flat, plan = self.at_m[:, :2], space.plan_m
        free = inside(plan, flat, edge_m=-1.0)
        free &= distance_to_walls_m(plan, flat) >= self.head_radius_m - 1e-9
        free[free] = np.all(inside(plan, self.rim_m[free][..., :2]), axis=-1)
        if not is_convex(plan) and np.any(free):  # a wall's corner may reach in between two
            rim = self.rim_m[free][..., :2]
            free[free] = ~np.any(cut_by(plan, rim, np.roll(rim, -1, axis=1)), axis=-1)
        return np.asarray(free)

    def legs_seen(self, view: View) -> BoolArray:
        """(n, turns) whether a leg reaches into the frame."""
        collar = np.minimum(COLLAR_M, COLLAR_SHARE * self.at_m[:, 2])
        top = np.concatenate([self.at_m[:, :2], collar[:, None]], axis=1)[:, None, None, :]
        tips = self.tips_m
        feet = np.concatenate([tips, np.zeros((*tips.shape[:-1], 1))], axis=-1)
        return np.asarray(np.any(line_in_frame(view, np.broadcast_to(top, feet.shape), feet), -1))

    def head_seen(self, view: View) -> BoolArray:
        """(n,) whether pole or head reaches into the frame."""
        floor = self.at_m * np.array([1.0, 1.0, 0.0])
        seen = line_in_frame(view, floor, self.at_m) | in_frame(view, self.at_m, self.head_radius_m)
        if self.soft_radius_m > 0.0:
            rim = self.rim_m
            edge = line_in_frame(view, rim, np.roll(rim, -1, axis=1))
            seen = seen | np.any(edge, axis=-1)
        return np.asarray(seen)


def line_in_frame(view: View, from_m: FloatArray, to_m: FloatArray) -> BoolArray:
    """(...) whether any part of straight lines (..., 3) is in the frame.

    Source: each plane of the frame's pyramid cuts the line once (Cyrus and Beck)
    """
    normals, forward = frame_planes(view)
    planes = np.concatenate([normals, forward[None, :]])
    camera = np.asarray(view.at_m, dtype=np.float64)
    from_camera, to_camera = np.asarray(from_m) - camera, np.asarray(to_m) - camera
    shape = np.broadcast_shapes(from_camera.shape, to_camera.shape)[:-1]
    enter, leave, out = np.zeros(shape), np.ones(shape), np.zeros(shape, dtype=np.bool_)
    for plane in planes:  # one after the other: along a short last axis numpy is slow
        start, end = from_camera @ plane, to_camera @ plane
        with np.errstate(divide="ignore", invalid="ignore"):
            cross = start / (start - end)
        enter = np.maximum(enter, np.where((start < 0) & (end > 0), cross, 0.0))
        leave = np.minimum(leave, np.where((start > 0) & (end < 0), cross, 1.0))
        out |= (start <= 0) & (end <= 0)
    return np.asarray(~out & (enter < leave))
