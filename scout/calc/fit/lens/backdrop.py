"""What of which wall stands in the frame: each wall cut by the frame, less what nearer walls hide."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.fit.lens.camera import View, frame_planes
from scout.calc.fit.lens.through import view_sees
from scout.calc.geometry import FloatArray, Wall, require, walls
from scout.errors import OutOfRange
from scout.values import said


@dataclass(frozen=True)
class WallInFrame:
    """The part of a wall the frame holds: the smallest box on the wall around it, and its share of
    the frame's area.
    """

    wall: str
    from_offset_m: float
    to_offset_m: float
    from_height_m: float
    to_height_m: float
    frame_share: float


def walls_in_frame(view: View, plan_m: ArrayLike, height_m: float) -> tuple[WallInFrame, ...]:
    """Every wall of which something is in frame, largest share first.

    plan_m:   (corners, 2), clockwise; height_m: of the walls [m], above 0
    Returns:  offsets from each wall's left end as seen from inside, heights above the floor
    Raises:   OutOfRange, naming the argument
    Source:   polygon clipping (Sutherland and Hodgman) against the frame's edges; hiding is
        judged in plan, walls being upright
    Limits:   furniture and people hide nothing here; a hidden part's edge is placed to 2 cm
    """
    plan = require("plan_m", plan_m)
    require("height_m", height_m, above=0)
    found = []
    for wall in walls(plan):
        shapes = wall_parts_in_frame(view, plan, wall, height_m)
        if shapes:
            corners = np.concatenate(shapes)
            along = (corners[:, :2] - wall.start_m) @ wall.along
            share = sum(_frame_share(view, shape) for shape in shapes)
            found.append(
                WallInFrame(
                    wall.letter,
                    float(max(along.min(), 0.0)),
                    float(min(along.max(), wall.length_m)),
                    float(max(corners[:, 2].min(), 0.0)),
                    float(min(corners[:, 2].max(), height_m)),
                    float(share),
                )
            )
    return tuple(sorted(found, key=lambda part: -part.frame_share))


def wall_parts_in_frame(
    view: View, plan_m: ArrayLike, wall: Wall, height_m: float
) -> list[FloatArray]:
    """Polygons (k, 3) of what the frame holds of one wall, a polygon for each stretch that nothing
    hides; see walls_in_frame. Raises OutOfRange.
    """
    plan = require("plan_m", plan_m)
    return [
        shape
        for start, end in _seen_spans(view, plan, wall)
        if len(shape := _in_frame(view, wall, start, end, height_m)) >= 3
    ]


def rectangle_in_frame(
    view: View,
    wall: Wall,
    from_offset_m: float,
    to_offset_m: float,
    from_height_m: float,
    to_height_m: float,
) -> bool:
    """Whether any part of an upright rectangle on a wall (a window) is inside the frame, nothing
    hiding it. Raises OutOfRange.
    """
    require("to_offset_m", to_offset_m, above=from_offset_m)
    require("to_height_m", to_height_m, above=from_height_m)
    return len(_in_frame(view, wall, from_offset_m, to_offset_m, to_height_m, from_height_m)) >= 3


def _seen_spans(view: View, plan: FloatArray, wall: Wall) -> list[tuple[float, float]]:
    """The stretches of a wall that nothing hides from the camera, in plan, to 2 cm."""
    camera = np.asarray(view.at_m[:2], dtype=np.float64)
    if float((camera - wall.start_m) @ wall.outward) >= -1e-9:
        return []  # the camera is behind it or in its line
    count = min(max(int(np.ceil(wall.length_m / 0.02)), 8), 5000)
    middles = (np.arange(count) + 0.5) / count * wall.length_m
    points = wall.start_m + middles[:, None] * wall.along - 1e-4 * wall.outward
    seen = view_sees(view, plan, points)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], seen, [False]]).astype(int)))
    return [
        (start / count * wall.length_m, end / count * wall.length_m)
        for start, end in edges.reshape(-1, 2)
    ]


def _in_frame(
    view: View, wall: Wall, start_m: float, end_m: float, top_m: float, bottom_m: float = 0.0
) -> FloatArray:
    """(k, 3) what the frame leaves of a rectangle on a wall; fewer than 3 points is nothing."""
    polygon = np.stack(
        [
            wall.point(start_m, bottom_m),
            wall.point(end_m, bottom_m),
            wall.point(end_m, top_m),
            wall.point(start_m, top_m),
        ]
    )
    normals, forward = frame_planes(view)
    camera = np.asarray(view.at_m, dtype=np.float64)
    for normal in (*normals, forward):
        polygon = _cut(polygon, (polygon - camera) @ normal - 1e-9)
        if len(polygon) < 3:
            return np.empty((0, 3))
    return polygon


def _cut(polygon: FloatArray, side: FloatArray) -> FloatArray:
    """The part of a convex polygon where `side` is above 0."""
    kept: list[FloatArray] = []
    for i in range(len(polygon)):
        j = (i + 1) % len(polygon)
        if side[i] > 0:
            kept.append(polygon[i])
        if (side[i] > 0) != (side[j] > 0):
            kept.append(polygon[i] + (polygon[j] - polygon[i]) * (side[i] / (side[i] - side[j])))
    return np.array(kept) if kept else np.empty((0, 3))


def _frame_share(view: View, polygon: FloatArray) -> float:
    right, up, forward = view.axes
    offset = polygon - np.asarray(view.at_m)
    depth = offset @ forward
    if np.any(depth <= 0):
        raise OutOfRange("view", view.at_m, said("refusal.space.along_wall"))
    x, y = offset @ right / depth, offset @ up / depth
    area = 0.5 * abs(float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)))
    return area / (4.0 * view.tangents[0] * view.tangents[1])
