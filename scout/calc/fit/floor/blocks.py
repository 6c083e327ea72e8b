"""Furniture as the plan meets it: upright blocks on the floor that no stand stands on and that hide
what lies behind and below their top.

lamp o                      hidden when, where the line crosses the block in plan,
      \\ ____               it runs lower than the block's top
       \\|    |
        |\\   |  o face     a block of unknown height: no stand on it, what it hides is not judged
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scout.calc.geometry import (
    SMALL_M,
    FloatArray,
    beside,
    distance_to_walls_m,
    inside,
    onward,
    require,
)
from scout.errors import OutOfRange
from scout.values import said

BoolArray = NDArray[np.bool_]


@dataclass(frozen=True)
class Block:
    """One piece of furniture. `ring_m`: (4, 2) its corners, clockwise; `height_m` None: not
    measured.
    """

    name: str
    ring_m: FloatArray
    height_m: float | None = None
    clear_below_m: float = 0.0  # one sees under it up to there

    def __post_init__(self) -> None:
        ring = require("ring_m", self.ring_m)
        if ring.ndim != 2 or ring.shape[0] < 3 or ring.shape[1] != 2:
            raise OutOfRange("ring_m", ring.shape, said("refusal.space.corners"))
        if self.height_m is not None:
            require("height_m", self.height_m, above=0)


def in_the_way(
    block: Block, at_m: ArrayLike, foot_m: float, head_radius_m: float, head_half_m: float
) -> BoolArray:
    """Whether a stand meets the block: its foot on the floor, or its head hanging lower than the
    block's top.

    at_m:     (..., 3), middle of the head [m]
    foot_m:   radius of the foot on the floor; head_radius_m, head_half_m: half the head's width
        and height [m], 0 or more
    Returns:  (...); over a block of unknown height no head hangs
    Raises:   OutOfRange
    """
    at = require("at_m", at_m)
    held = beside(block.ring_m, at, max(foot_m, head_radius_m))
    if not held.any():
        return held
    at = at[held]
    near = distance_to_walls_m(block.ring_m, at[..., :2])
    near[inside(block.ring_m, at[..., :2], edge_m=-1.0) | (near <= SMALL_M)] = 0.0
    low = (
        np.ones(near.shape, dtype=np.bool_)
        if block.height_m is None
        else at[..., 2] - head_half_m < block.height_m - 1e-9
    )
    held[held] = (near < foot_m - 1e-9) | (low & (near < head_radius_m - 1e-9))
    return held


def hidden_by(block: Block, from_m: ArrayLike, to_m: ArrayLike) -> BoolArray:
    """Whether the block cuts the straight lines between points, (..., 3) each; they broadcast.

    Returns: (...), never for a block of unknown height
    Raises:  OutOfRange
    Source:  the line's stretch over the convex outline (Cyrus and Beck); its lowest point there
        against the top
    """
    start, end = require("from_m", from_m), require("to_m", to_m)
    shape = np.broadcast_shapes(start.shape, end.shape)
    if block.height_m is None:
        return np.zeros(shape[:-1], dtype=np.bool_)
    lowest = min(start[..., 2].min(initial=np.inf), end[..., 2].min(initial=np.inf))
    if lowest >= block.height_m:  # every line runs over the top
        return np.zeros(shape[:-1], dtype=np.bool_)
    ring = np.asarray(block.ring_m, dtype=np.float64)
    start, end = np.broadcast_to(start, shape), np.broadcast_to(end, shape)
    # Most lines pass over the block or wholly on one side of it, which is cheap to see.
    found = np.asarray(
        (np.minimum(start[..., 2], end[..., 2]) < block.height_m)
        & (np.maximum(start[..., 2], end[..., 2]) > block.clear_below_m)
    )
    for axis in (0, 1):
        a, b = start[..., axis], end[..., axis]
        found &= np.minimum(a, b) <= ring[:, axis].max()
        found &= np.maximum(a, b) >= ring[:, axis].min()
    if not found.any():
        return found
    start, end = start[found], end[found]
    turn = (
        1.0
        if float(np.sum(ring[:, 0] * onward(ring[:, 1]) - onward(ring[:, 0]) * ring[:, 1])) > 0
        else -1.0
    )
    edge = onward(ring) - ring
    inward = turn * np.stack([-edge[:, 1], edge[:, 0]], axis=-1)
    way = end - start
    enter, leave = np.zeros(way.shape[:-1]), np.ones(way.shape[:-1])
    outside = np.zeros(way.shape[:-1], dtype=np.bool_)
    for corner, normal in zip(ring, inward, strict=True):
        at_start = (start[..., :2] - corner) @ normal  # 0 or more is inside this edge
        rate = way[..., :2] @ normal
        with np.errstate(divide="ignore", invalid="ignore"):
            cross = -at_start / rate
        enter = np.where(rate > 1e-12, np.maximum(enter, cross), enter)
        leave = np.where(rate < -1e-12, np.minimum(leave, cross), leave)
        outside |= (np.abs(rate) <= 1e-12) & (at_start <= 1e-9)  # along an edge nothing is hidden
    comes, goes = start[..., 2] + enter * way[..., 2], start[..., 2] + leave * way[..., 2]
    meets = (np.minimum(comes, goes) < block.height_m - 1e-9) & (
        np.maximum(comes, goes) > block.clear_below_m - 1e-9
    )
    found[found] = ~outside & (leave - enter > 1e-9) & meets
    return found


def zones_meet(one_m: ArrayLike, other_m: ArrayLike) -> bool:
    """Whether two convex outlines (n, 2) overlap by more than a hair (separating axes). Raises
    OutOfRange.
    """
    one, other = require("one_m", one_m), require("other_m", other_m)
    run = np.concatenate([onward(one) - one, onward(other) - other])
    length = np.hypot(run[:, 0], run[:, 1])
    run = run[length >= 1e-12] / length[length >= 1e-12, None]
    normals = np.stack([run[:, 1], -run[:, 0]])
    first, second = one @ normals, other @ normals
    apart = first.max(axis=0) <= second.min(axis=0) + 1e-6
    apart |= second.max(axis=0) <= first.min(axis=0) + 1e-6
    return not apart.any()
