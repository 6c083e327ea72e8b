"""Which framings a lens gives in a room: how far it must be, and whether camera and operator have
that much floor.

        back wall |--- background ---( subject )--- distance ---[ lens ]--- tripod and operator ---|
        wall behind the camera

Frame sizes are common practice, for standing adults; two people are taken side by side.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.fit.floor.blocks import hidden_by, in_the_way, zones_meet
from scout.calc.fit.floor.doorway import Doorway
from scout.calc.fit.floor.space import (
    OPERATOR_DEPTH_M,
    OPERATOR_WIDTH_M,
    TRIPOD_RADIUS_M,
    BoolArray,
    Space,
    ahead_zone_m,
    clear_depth_m,
    distance_to_zone_m,
    sees,
    stands_inside,
    zone_inside,
)
from scout.calc.fit.lens.camera import View, framing_distance_m
from scout.calc.fit.lens.through import INDOORS_M, doorway_to, frame_unseen, subject_unseen
from scout.calc.geometry import FloatArray, distance_to_walls_m, inside, require
from scout.errors import OutOfRange
from scout.values import said

FACE_DISTORTION_M = 1.2  # a face nearer than this is drawn out of shape (common practice)
EYES_M = 1.5  # of lens and face where neither mark is set (common practice)
BEHIND_LENS_M = TRIPOD_RADIUS_M + OPERATOR_DEPTH_M
# Without a tripod (common practice): a person with the camera before the eye; a body on a clamp whose
# arm reaches so far from the wall.
HELD_DEPTH_M, HELD_WIDTH_M = 0.5, 0.6
CLAMP_DEPTH_M, CLAMP_WIDTH_M, CLAMP_ARM_M = 0.25, 0.2, 0.6
Behind = Literal["tripod", "beside", "hand_held", "clamp"]
Reason = Literal["room", "sight", "exit", "narrow", "furniture", "hidden", "head", "jambs", "leaf"]


@dataclass(frozen=True)
class Framing:
    """A named frame: its size at the subject, across or upright."""

    name: str
    side: Literal["height", "width"]
    size_m: float


FRAMINGS = (
    Framing("full_figure", "height", 1.9),
    Framing("medium", "height", 0.9),
    Framing("head_and_shoulders", "height", 0.6),
    Framing("two_people", "width", 1.5),
)
WIDE = "wide"
FRAMING_NAMES = (WIDE, *(framing.name for framing in FRAMINGS))


@dataclass(frozen=True)
class CameraPlace:
    """Whether the camera can stand where a framing needs it."""

    camera_m: tuple[float, float]
    fits: bool
    available_m: float  # from the subject (or back wall) to the wall behind the camera
    short_m: float  # how much floor is missing on that line, 0 when none
    reason: Reason | None
    background_m: float  # from the lens to what is behind the subject, on its axis
    beside: Literal["left", "right"] | None = (
        None  # where the operator has floor next to the tripod, as seen along the lens
    )
    behind: Behind | None = (
        None  # how the camera is held there, the first of them that has its floor
    )
    through: str | None = None  # the door that a camera outside the room looks through


def distance_for(
    framing: Framing, focal_length_mm: float, sensor_width_mm: float, sensor_height_mm: float
) -> float:
    """Distance from subject to lens for a framing [m]. Raises OutOfRange for a lens or sensor of 0
    mm or less.
    """
    side_mm = sensor_height_mm if framing.side == "height" else sensor_width_mm
    return float(framing_distance_m(framing.size_m, side_mm, focal_length_mm))


def camera_place(
    space: Space,
    from_m: ArrayLike,
    direction: ArrayLike,
    distance_m: float,
    heights_m: tuple[float, float] | None = None,
    view: View | None = None,
) -> CameraPlace:
    """As `camera_places`, of one distance. Raises OutOfRange, naming the argument."""
    return camera_places(space, from_m, direction, (distance_m,), heights_m, (view,))[0]


def camera_places(
    space: Space,
    from_m: ArrayLike,
    direction: ArrayLike,
    distances_m: Sequence[float],
    heights_m: tuple[float, float] | None = None,
    views: Sequence[View | None] | None = None,
) -> tuple[CameraPlace, ...]:
    """Whether a camera, its tripod and its operator fit so far from a point, on a line.

    from_m:      (2,), the subject, inside the plan
    direction:   (2,), from there towards the camera, any length above 0
    distances_m: [m], above 0, each asked for by itself
    heights_m:   of the lens and of what it looks at, to judge what furniture hides; None: not judged
    views:       of each distance the lens at its sensor, wherever it stands, to judge whether its
        whole frame passes a door; None: not judged
    Returns:     of each distance the camera's place and what is missing
    Raises:      OutOfRange, naming the argument
    Source:      tripod a circle of 1.0 m, operator 1.0 x 1.0 m behind it (common practice)
    Limits:      `fits` is for a tripod; what else holds a camera there is `behind`; outside, behind
        a door, nothing is known of the floor, and it is taken as free and level
    """
    start, way = require("from_m", from_m)[:2], _unit(direction)
    distances = require("distance_m", distances_m, above=0)
    line = _Line(
        space,
        start,
        way,
        clear_depth_m(space.plan_m, start, way),
        clear_depth_m(space.plan_m, start, -way),
        heights_m,
    )
    cameras = start + way * distances[:, None]
    beyond = distances > line.ahead_m
    if space.doorways and beyond.any():
        beyond &= ~inside(space.plan_m, cameras, edge_m=INDOORS_M)
    else:
        beyond[:] = False
    found: dict[int, CameraPlace] = {}
    for k in map(int, np.flatnonzero(beyond)):
        doorway = doorway_to(space.doorways, space.plan_m, cameras[k], start)
        if doorway is not None:
            view = None if views is None else views[k]
            found[k] = line.outside(doorway, cameras[k], float(distances[k]), view)
    within = [k for k in range(len(cameras)) if k not in found]
    found |= zip(within, line.indoors(cameras[within], distances[within]), strict=True)
    return tuple(found[k] for k in range(len(cameras)))


@dataclass(frozen=True)
class _Line:
    """The line from a subject on which cameras are set: how far it reaches before and behind."""

    space: Space
    start: FloatArray
    way: FloatArray
    ahead_m: float
    behind_m: float
    heights_m: tuple[float, float] | None

    def indoors(self, cameras: FloatArray, distances: FloatArray) -> Iterator[CameraPlace]:
        """Cameras (n, 2) that look through no door, so far from the subject (n,)."""
        space, start = self.space, self.start
        in_sight = sees(space.plan_m, cameras, start)
        blocks_exit, taken, hidden = np.zeros((3, len(cameras)), dtype=np.bool_)
        for zone in space.exits_m:
            blocks_exit |= distance_to_zone_m(zone, cameras) < TRIPOD_RADIUS_M
        on_floor = np.column_stack([cameras, np.zeros(len(cameras))])
        for block in space.blocks:
            taken |= in_the_way(block, on_floor, TRIPOD_RADIUS_M, 0.0, 0.0)
        if self.heights_m is not None:
            lens_m, aim_m = self.heights_m
            lenses = np.column_stack([cameras, np.full(len(cameras), lens_m)])
            for block in space.blocks:
                hidden |= hidden_by(block, lenses, np.array([*start, aim_m]))
        free = in_sight & stands_inside(space.plan_m, cameras, TRIPOD_RADIUS_M)
        free &= ~blocks_exit & ~taken
        floors = ahead_zone_m(
            cameras, self.way, -TRIPOD_RADIUS_M, BEHIND_LENS_M, OPERATOR_WIDTH_M / 2.0
        )
        narrow, taken = ~zone_inside(space.plan_m, floors), taken | _furnished(space, floors)
        short = np.maximum(distances + BEHIND_LENS_M - self.ahead_m, 0.0)
        short[short <= 1e-6] = 0.0
        reasons: tuple[tuple[Reason, BoolArray], ...] = (
            ("room", short > 0),
            ("sight", ~in_sight),
            ("narrow", narrow),
            ("exit", blocks_exit),
            ("furniture", taken),
            ("hidden", hidden),
        )
        besides: list[Literal["left", "right"] | None] = [None] * len(cameras)
        for at, side in zip(
            np.flatnonzero(free), _beside(space, cameras[free], self.way), strict=True
        ):
            besides[at] = side
        for k, (camera, beside) in enumerate(zip(cameras, besides, strict=True)):
            reason = next((name for name, held in reasons if held[k]), None)
            seen = in_sight[k] and not hidden[k]
            behind: Behind | None = (
                "tripod" if reason is None else "beside" if beside and seen else None
            )
            if behind is None and seen:
                behind = _by_hand(space, camera, self.way)
            yield CameraPlace(
                (float(camera[0]), float(camera[1])),
                reason is None,
                self.ahead_m,
                float(short[k]),
                reason,
                float(distances[k]) + self.behind_m,
                beside,
                behind,
            )

    def outside(
        self, doorway: Doorway, camera_m: FloatArray, distance_m: float, view: View | None
    ) -> CameraPlace:
        """A camera behind a door: what it sees of subject and frame, and what holds it there."""
        space = self.space
        lens_high, face_high = self.heights_m or (EYES_M, EYES_M)
        lens, face = np.array([*camera_m, lens_high]), np.array([*self.start, face_high])
        off_walls_m = float(distance_to_walls_m(space.plan_m, camera_m)) - doorway.depth_m
        in_opening = float(doorway.out_m(camera_m)) <= doorway.depth_m
        behind: Behind = (
            "tripod" if off_walls_m >= TRIPOD_RADIUS_M and not in_opening else "hand_held"
        )
        reason: Reason | None = subject_unseen(doorway, space.blocks, lens, face)
        held: Behind | None = behind if reason is None and not doorway.keep_free else None
        if doorway.keep_free:
            reason = "exit"
        elif reason is None and view is not None:
            looking = replace(view, at_m=_place(lens), aim_m=_place(face), doorway=doorway)
            reason = frame_unseen(doorway, looking)
        if reason is None and behind != "tripod":
            reason = "narrow"
        far_m = float(np.linalg.norm(camera_m - self.start)) + BEHIND_LENS_M
        return CameraPlace(
            (float(camera_m[0]), float(camera_m[1])),
            reason is None,
            far_m,
            0.0,
            reason,
            distance_m + self.behind_m,
            None,
            held,
            doorway.name,
        )


def _place(point: FloatArray) -> tuple[float, float, float]:
    return float(point[0]), float(point[1]), float(point[2])


def _by_hand(space: Space, camera_m: FloatArray, way: FloatArray) -> Behind | None:
    """How a camera is held where no tripod stands: in somebody's hands, else on a wall's clamp."""

    def has(depth_m: float, width_m: float) -> bool:
        floor = ahead_zone_m(camera_m, way, 0.0, depth_m, width_m / 2.0)
        return bool(zone_inside(space.plan_m, floor))

    stood_on = ahead_zone_m(camera_m, way, 0.0, HELD_DEPTH_M, HELD_WIDTH_M / 2.0)
    if has(HELD_DEPTH_M, HELD_WIDTH_M) and not bool(_furnished(space, stood_on[None])[0]):
        return "hand_held"
    near_wall = (
        space.ceiling_m is not None
        and has(CLAMP_DEPTH_M, CLAMP_WIDTH_M)
        and clear_depth_m(space.plan_m, camera_m, way) <= CLAMP_DEPTH_M + CLAMP_ARM_M
    )
    return "clamp" if near_wall else None


def hides(space: Space, lens_m: ArrayLike, aim_m: ArrayLike) -> bool:
    """Whether a piece of furniture stands in the straight line from the lens (3,) to what it looks
    at (3,). Raises OutOfRange.
    """
    return any(
        bool(hidden_by(block, np.asarray(lens_m, dtype=np.float64), aim_m))
        for block in space.blocks
    )


def _beside(
    space: Space, cameras_m: FloatArray, way: FloatArray
) -> list[Literal["left", "right"] | None]:
    """Of each tripod (n, 2) the side on which its operator has a square metre that is no way out,
    tried from picture right.
    """
    right = np.array([-way[1], way[0]])  # the camera looks against `way`
    found: list[Literal["left", "right"] | None] = [None] * len(cameras_m)
    sides: tuple[tuple[Literal["left", "right"], float], ...] = (("right", 1.0), ("left", -1.0))
    for name, sign in sides:
        rows = np.flatnonzero([one is None for one in found])
        floors = ahead_zone_m(
            cameras_m[rows],
            right * sign,
            TRIPOD_RADIUS_M,
            TRIPOD_RADIUS_M + OPERATOR_DEPTH_M,
            OPERATOR_WIDTH_M / 2.0,
        )
        free = zone_inside(space.plan_m, floors) & ~_furnished(space, floors)
        for zone in space.exits_m:
            free &= distance_to_zone_m(zone, floors.mean(axis=-2)) >= OPERATOR_WIDTH_M / 2.0
        for k in rows[free]:
            found[k] = name
    return found


def _furnished(space: Space, zones_m: FloatArray) -> BoolArray:
    """(n,) whether furniture stands on zones (n, 4, 2) of the floor."""
    found = np.zeros(len(zones_m), dtype=np.bool_)
    low, high = zones_m.min(axis=-2), zones_m.max(axis=-2)
    for block in space.blocks:
        ring = np.asarray(block.ring_m)
        near = np.all((low <= ring.max(axis=0)) & (ring.min(axis=0) <= high), axis=-1)
        for k in np.flatnonzero(near & ~found):
            found[k] = zones_meet(zones_m[k], ring)
    return found


def wide_distance_m(
    space: Space, direction: ArrayLike, sensor_width_mm: float, focal_length_mm: float
) -> float:
    """How far from the back wall a lens must be for its frame to hold the room from side to side
    there.

    direction: (2,), from the back of the room towards the camera
    Returns:  [m]
    Raises:   OutOfRange, naming the argument
    Source:   similar triangles with the plan's extent across the line of sight
    Limits:   a back wall square to the camera; the sides nearer the camera are cut off
    """
    way = _unit(direction)
    across = space.plan_m @ np.array([way[1], -way[0]])
    return float(
        framing_distance_m(float(across.max() - across.min()), sensor_width_mm, focal_length_mm)
    )


def best_direction(space: Space, from_m: ArrayLike) -> FloatArray:
    """(2,) the direction from a point in which a camera with its operator can go furthest; every 5
    degrees is tried. Raises OutOfRange.
    """
    angles = np.radians(np.arange(0, 360, 5))
    ways = np.stack([np.sin(angles), np.cos(angles)], axis=-1)
    depths = [clear_depth_m(space.plan_m, from_m, way, OPERATOR_WIDTH_M / 2.0) for way in ways]
    return np.asarray(ways[int(np.argmax(depths))])


def _unit(direction: ArrayLike) -> FloatArray:
    way = require("direction", direction)[:2]
    size = float(np.linalg.norm(way))
    if size < 1e-6:
        raise OutOfRange("direction", tuple(float(v) for v in way), said("refusal.space.no_length"))
    return np.asarray(way / size)
