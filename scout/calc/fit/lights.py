"""Where one light may stand: every reason against a place, for many places at once.

u: subject to camera, in plan              across: angle in plan from u to the light, 0 at the
    camera, 180 behind
            camera                         down:   how steeply its light falls on the face
    key side  | u   fill side
          o   |   o                        h = min(stand's most, ceiling - clearance - half the
          head)
            45|45                          at 45 degrees down the light stands h - face away in plan
              S
              o  back
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.fit.blocks import hidden_by, in_the_way
from scout.calc.fit.camera import View, column_in_frame
from scout.calc.fit.framing import BEHIND_LENS_M
from scout.calc.fit.space import (
    CEILING_CLEARANCE_M,
    OPERATOR_WIDTH_M,
    PATH_HALF_WIDTH_M,
    STAND_RADIUS_M,
    SUBJECT_RADIUS_M,
    TRIPOD_RADIUS_M,
    BoolArray,
    Space,
    ahead_zone_m,
    distance_to_line_m,
    distance_to_zone_m,
    sees,
    stands_inside,
)
from scout.calc.fit.stand import TURNS_DEG, Stand
from scout.calc.geometry import FloatArray, inside, require
from scout.calc.power.reach import Reach
from scout.errors import OutOfRange
from scout.values import Figure, said

FRAME_MARGIN_SHARE = 0.05  # a stand stays this much of the frame outside its edges
# What a stand turned to fit may be free of though a column as wide is not.
OF_PARTS = ("wall", "furniture", "subject", "camera", "frame", "exit", "path", "light")
TURNS = len(TURNS_DEG)
POLE_RADIUS_M = 0.05  # of pole and leg braces (common practice)
CHUNK = 500  # places asked at a time: their legs in every turn fill the memory
# In the order in which they are told to a person.
REASONS = (
    "ceiling",
    "wall",
    "furniture",
    "sight",
    "hidden",
    "subject",
    "camera",
    "frame",
    "exit",
    "path",
    "light",
    "lead",
)


@dataclass(frozen=True)
class Lamp:
    """A light on its stand: how low and high the middle of its head can be, the head's height, a
    soft source's width.

    `lead_m`: the longest mains lead there is for it; None: it runs on a battery, or leads are not
    recorded. `foot_m`: across the tips of its legs.
    """

    stand_min_m: float
    stand_max_m: float
    head_m: float
    soft_width_m: float = 0.0
    lead_m: float | None = None
    foot_m: float = 2.0 * STAND_RADIUS_M

    def __post_init__(self) -> None:
        for name in ("stand_min_m", "head_m", "soft_width_m", "foot_m"):
            require(name, getattr(self, name), least=0)
        require("stand_max_m", self.stand_max_m, least=self.stand_min_m)

    @property
    def radius_m(self) -> float:
        """Floor it takes: its foot or its head, whichever is wider."""
        return max(self.foot_m / 2.0, self.soft_width_m / 2.0, self.head_m / 2.0)


@dataclass(frozen=True)
class Stage:
    """Everything a light must respect. `views`: widest first. `stood`: (n, 3) x, y and radius of
    what stands already. `by_shape`: stands are legs, pole and head, which takes longer to ask;
    else columns as wide as the widest of them, kept a little off the frame.
    """

    space: Space
    subject_m: tuple[float, float, float]
    camera_m: tuple[float, float, float]
    views: tuple[View, ...]
    path_m: tuple[tuple[float, float, float], ...] = ()
    reach: Reach | None = (
        None  # None: where mains leads can come from is not known, and limits nothing
    )
    stood: tuple[tuple[float, float, float], ...] = field(default=())
    by_shape: bool = False

    def __post_init__(self) -> None:
        subject, camera = require("subject_m", self.subject_m), require("camera_m", self.camera_m)
        if not bool(inside(self.space.plan_m, subject[:2], edge_m=0.005)):
            raise OutOfRange("subject_m", self.subject_m, said("refusal.space.outside_plan"))
        if self.space.ceiling_m is not None and subject[2] >= self.space.ceiling_m:
            raise OutOfRange(
                "subject_m",
                self.subject_m,
                said("refusal.space.over_ceiling", ceiling=Figure(self.space.ceiling_m, "m")),
            )
        if float(np.linalg.norm((camera - subject)[:2])) < 0.01:
            raise OutOfRange(
                "camera_m",
                self.camera_m,
                said("refusal.space.same_place"),
            )

    def with_stand(self, at_m: ArrayLike, radius_m: float) -> Stage:
        """The same stage with one more thing standing on it."""
        x, y = (float(v) for v in np.asarray(at_m, dtype=np.float64)[:2])
        return replace(self, stood=(*self.stood, (x, y, radius_m)))

    @cached_property
    def towards_camera(self) -> FloatArray:
        """(2,) unit vector in plan."""
        way = (
            np.asarray(self.camera_m, dtype=np.float64)[:2]
            - np.asarray(self.subject_m, dtype=np.float64)[:2]
        )
        return np.asarray(way / np.linalg.norm(way))

    def on_bearing(self, across_deg: ArrayLike) -> FloatArray:
        """(..., 2) unit vectors from the subject, turned from the camera; above 0 is the camera's
        right-hand side of the picture.
        """
        turn = np.radians(np.asarray(across_deg, dtype=np.float64))
        u = self.towards_camera
        # Right of a camera that looks along -u is -u turned clockwise, which is u turned
        # anticlockwise.
        return np.stack(
            [np.cos(turn) * u[0] - np.sin(turn) * u[1], np.sin(turn) * u[0] + np.cos(turn) * u[1]],
            axis=-1,
        )

    def across_deg(self, points_m: ArrayLike) -> FloatArray:
        """(...) signed angle in plan from the camera to points (..., 2 or 3), -180 to 180; above 0
        is picture right.
        """
        way = (
            np.asarray(points_m, dtype=np.float64)[..., :2]
            - np.asarray(self.subject_m, dtype=np.float64)[:2]
        )
        u = self.towards_camera
        return np.asarray(np.degrees(np.arctan2(u[0] * way[..., 1] - u[1] * way[..., 0], way @ u)))

    def down_deg(self, points_m: ArrayLike) -> FloatArray:
        """(...) how steeply light from points (..., 3) falls on the subject; below 0 comes from
        under.
        """
        way = np.asarray(points_m, dtype=np.float64) - np.asarray(self.subject_m, dtype=np.float64)
        return np.asarray(np.degrees(np.arctan2(way[..., 2], np.hypot(way[..., 0], way[..., 1]))))


def highest_m(space: Space, lamp: Lamp) -> float:
    """How high the middle of the head can be: the stand's most, or under the ceiling with
    clearance. May be below the stand's least.
    """
    if space.ceiling_m is None:
        return lamp.stand_max_m
    return min(lamp.stand_max_m, space.ceiling_m - CEILING_CLEARANCE_M - lamp.head_m / 2.0)


def blocked(
    stage: Stage, lamp: Lamp, at_m: ArrayLike, view: View | None
) -> Mapping[str, BoolArray]:
    """Every reason against places for a light, by name (see REASONS).

    at_m:    (..., 3), middle of the head
    view:    the frame it must stay out of; None: no frame is judged
    Returns: name to (...), true where that reason holds; of a stand by its shape, the reasons of its
        legs hold for the turn in which fewest do
    Raises:  OutOfRange
    """
    at = require("at_m", at_m)
    found = _as_column(stage, lamp, at, view)
    if not stage.by_shape:
        return found
    flat = {name: np.atleast_1d(held).ravel() for name, held in found.items()}
    # What a column is free of its parts are free of too; what its parts cannot mend is not asked.
    asked = np.logical_or.reduce([flat[name] for name in OF_PARTS]) & ~np.logical_or.reduce(
        [flat[name] for name in flat if name not in OF_PARTS]
    )
    places = at.reshape(-1, 3)
    for rows in np.array_split(np.flatnonzero(asked), 1 + int(np.sum(asked)) // CHUNK):
        if len(rows):
            for name, held in _by_parts(stage, lamp, places[rows], view).items():
                flat[name][rows] = held
    return {name: held.reshape(at.shape[:-1]) for name, held in flat.items()}


def _as_column(stage: Stage, lamp: Lamp, at: FloatArray, view: View | None) -> dict[str, BoolArray]:
    plan = at[..., :2]
    subject, camera = np.asarray(stage.subject_m), np.asarray(stage.camera_m)
    radius = lamp.radius_m
    none = np.zeros(plan.shape[:-1], dtype=np.bool_)
    operator = _operator(stage)
    # The whole stand keeps clear of the person's circle; only its pole and head need to be seen
    # past.
    reasons = {
        "furniture": none,
        "hidden": none,
        "ceiling": (at[..., 2] > highest_m(stage.space, lamp) + 1e-9)
        | (at[..., 2] < lamp.stand_min_m - 1e-9),
        "wall": ~stands_inside(stage.space.plan_m, plan, radius),
        "sight": ~sees(stage.space.plan_m, plan, subject[:2]),
        "subject": np.linalg.norm(plan - subject[:2], axis=-1) < radius + SUBJECT_RADIUS_M - 1e-9,
        "camera": (np.linalg.norm(plan - camera[:2], axis=-1) < radius + TRIPOD_RADIUS_M)
        | (distance_to_zone_m(operator, plan) < radius),
        "frame": none
        if view is None
        else column_in_frame(view, plan, np.maximum(at[..., 2], 0.0), radius, FRAME_MARGIN_SHARE),
        "exit": none,
        "path": none
        if len(stage.path_m) < 2
        else distance_to_line_m(np.asarray(stage.path_m), plan) < radius + PATH_HALF_WIDTH_M,
        "light": none,
        "lead": none
        if stage.reach is None or lamp.lead_m is None
        else stage.reach.needed_m(at) > lamp.lead_m + 1e-9,
    }
    for block in stage.space.blocks:
        reasons["furniture"] = reasons["furniture"] | in_the_way(
            block, at, lamp.foot_m / 2.0, radius, lamp.head_m / 2.0
        )
        reasons["hidden"] = reasons["hidden"] | hidden_by(block, at, subject)
    for zone in stage.space.exits_m:
        reasons["exit"] = reasons["exit"] | (distance_to_zone_m(zone, plan) < radius)
    for x, y, taken in stage.stood:
        reasons["light"] = reasons["light"] | (
            np.hypot(plan[..., 0] - x, plan[..., 1] - y) < radius + taken
        )
    return reasons


def _by_parts(stage: Stage, lamp: Lamp, at: FloatArray, view: View | None) -> dict[str, BoolArray]:
    """The reasons OF_PARTS against places (n, 3), legs, pole and head each by itself."""
    subject, camera = np.asarray(stage.subject_m), np.asarray(stage.camera_m)[:2]
    head, legs = _of_heads(stage, lamp, at, view), {}
    # Where the head cannot be nobody asks for the legs, which are dearer.
    free = ~np.logical_or.reduce(list(head.values()))
    stand, nowhere = _stand(lamp, at[free], subject), np.asarray(False)
    legs["wall"] = ~stand.legs_on(stage.space)
    legs["subject"] = ~stand.legs_off(subject[:2], SUBJECT_RADIUS_M)
    legs["camera"] = ~stand.legs_off(camera, TRIPOD_RADIUS_M) | stand.legs_in(_operator(stage))
    legs["furniture"] = _any_of([stand.legs_in(block.ring_m) for block in stage.space.blocks])
    legs["exit"] = _any_of([stand.legs_in(zone) for zone in stage.space.exits_m])
    legs["path"] = (
        nowhere
        if len(stage.path_m) < 2
        else np.any(
            distance_to_line_m(np.asarray(stage.path_m), stand.legs_m) < PATH_HALF_WIDTH_M,
            axis=(-1, -2),
        )
    )
    legs["light"] = _any_of(
        [~stand.legs_off(np.array([x, y]), taken) for x, y, taken in stage.stood]
    )
    legs["frame"] = nowhere if view is None else stand.legs_seen(view)
    held = np.stack([np.broadcast_to(legs[name], (len(stand.at_m), TURNS)) for name in OF_PARTS])
    best = np.argmin(np.sum(held, axis=0), axis=-1)
    for row, name in enumerate(OF_PARTS):
        head[name] = head[name].copy()
        head[name][free] = held[row, np.arange(len(best)), best]
    return head


def _of_heads(stage: Stage, lamp: Lamp, at: FloatArray, view: View | None) -> dict[str, BoolArray]:
    """What speaks against pole and head alone."""
    subject = np.asarray(stage.subject_m)
    stand, none = _stand(lamp, at, subject), np.zeros(len(at), dtype=np.bool_)
    camera = np.asarray(stage.camera_m)[:2]
    held = {
        "wall": ~stand.head_on(stage.space),
        "subject": ~stand.head_off(subject[:2], SUBJECT_RADIUS_M),
        "camera": ~stand.head_off(camera, TRIPOD_RADIUS_M) | stand.head_in(_operator(stage)),
        "furniture": none,
        "exit": none,
        "path": none
        if len(stage.path_m) < 2
        else distance_to_line_m(np.asarray(stage.path_m), at) < PATH_HALF_WIDTH_M,
        "light": none,
        "frame": none if view is None else stand.head_seen(view),
    }
    wide = max(lamp.head_m, lamp.soft_width_m) / 2.0
    for block in stage.space.blocks:
        held["furniture"] = held["furniture"] | in_the_way(
            block, at, POLE_RADIUS_M, wide, lamp.head_m / 2.0
        )
    for zone in stage.space.exits_m:
        held["exit"] = held["exit"] | stand.head_in(zone)
    for x, y, taken in stage.stood:
        held["light"] = held["light"] | ~stand.head_off(np.array([x, y]), taken)
    return held


def _stand(lamp: Lamp, at: FloatArray, subject: FloatArray) -> Stand:
    return Stand(at, subject, lamp.foot_m / 2.0, lamp.head_m / 2.0, lamp.soft_width_m / 2.0)


def _operator(stage: Stage) -> FloatArray:
    """(4, 2) the floor behind the lens."""
    return ahead_zone_m(
        np.asarray(stage.camera_m)[:2],
        stage.towards_camera,
        0.0,
        BEHIND_LENS_M,
        OPERATOR_WIDTH_M / 2.0,
    )


def _any_of(held: list[BoolArray]) -> BoolArray:
    return np.asarray(np.logical_or.reduce(held)) if held else np.asarray(False)
