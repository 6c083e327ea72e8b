"""A light on its stand, and the stage it is set up on, with its bearings.

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

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.fit.floor.space import (
    CEILING_CLEARANCE_M,
    STAND_RADIUS_M,
    Space,
)
from scout.calc.fit.lens.camera import View
from scout.calc.geometry import FloatArray, inside, require
from scout.calc.power.reach import Reach
from scout.errors import OutOfRange
from scout.values import Figure, said


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
