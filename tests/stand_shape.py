"""The shape of a light stand, sampled: three legs, a pole, a head and a soft source's disc; and a random
search for a place for it that shares nothing with the program's own.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

FOOT_M, COLLAR_M, CLEAR_M, OPERATOR_M = 0.5, 0.7, 0.5, (1.5, 0.5)
THICK_M = 0.015  # of poles and legs (common practice)


@dataclass(frozen=True)
class Scene:
    """What a stand must respect. `frame`: width and height of the sensor and focal length, in mm."""

    plan_m: Any
    ceiling_m: float
    exits_m: tuple[Any, ...]
    subject_m: Any
    camera_m: Any
    frame: tuple[float, float, float] | None

    @property
    def toward(self) -> Any:
        way = np.subtract(self.camera_m, self.subject_m)[:2]
        return way / np.linalg.norm(way)


def within(ring_m: Any, points_m: Any) -> Any:
    """(...) whether points lie in an outline, by the edges that a ray to the right crosses."""
    x, y = points_m[..., 0], points_m[..., 1]
    found = np.zeros(x.shape, dtype=bool)
    for (x0, y0), (x1, y1) in zip(ring_m, np.roll(ring_m, -1, axis=0), strict=True):
        spans = (y0 > y) != (y1 > y)
        slope = (x1 - x0) / (y1 - y0) if y1 != y0 else 0.0
        found ^= spans & (x < slope * (y - y0) + x0)
    return found


def parts(
    at_m: Any, turn: Any, subject_m: Any, head_m: float, soft_m: float
) -> tuple[Any, Any, Any]:
    """Points of legs, pole and head (n, k, 3) of stands at (n, 3), their legs turned (n,)."""
    pole, z = at_m[:, :2], at_m[:, 2]
    bearings = turn[:, None] + np.radians([0.0, 120.0, 240.0])
    way = np.stack([np.cos(bearings), np.sin(bearings)], axis=-1)
    share = np.linspace(0.0, 1.0, 21)
    flat = pole[:, None, None] + FOOT_M * way[:, :, None] * share[:, None]
    high = np.minimum(COLLAR_M, 0.7 * z)[:, None, None] * (1.0 - share)
    high = np.broadcast_to(high, flat.shape[:-1])
    legs = np.concatenate([flat, high[..., None]], axis=-1).reshape(len(at_m), -1, 3)
    poles = at_m[:, None] * [1.0, 1.0, 0.0] + np.linspace(0, 1, 40)[:, None] * (
        at_m[:, None] * [0.0, 0.0, 1.0]
    )
    axis = subject_m - at_m
    axis = axis / np.linalg.norm(axis, axis=1, keepdims=True)
    right = np.cross(axis, [0.0, 0.0, 1.0])
    right = right / np.linalg.norm(right, axis=1, keepdims=True)
    up, round_ = np.cross(right, axis), np.linspace(0, 2 * np.pi, 24, endpoint=False)
    edge = np.cos(round_)[:, None] * right[:, None] + np.sin(round_)[:, None] * up[:, None]
    ball = [
        (np.cos(a) * np.cos(e), np.sin(a) * np.cos(e), np.sin(e))
        for a in round_[::2]
        for e in (-1.57, -1.0, -0.5, 0.0, 0.5, 1.0, 1.57)
    ]
    head = [at_m[:, None] + soft_m / 2.0 * edge, at_m[:, None] + head_m / 2.0 * np.array(ball)]
    return legs, poles, np.concatenate(head, axis=1)


def free(scene: Scene, at_m: Any, turn: Any, head_m: float, soft_m: float) -> Any:
    """(n,) whether stands have their floor and stay out of the frame."""
    subject, camera = np.asarray(scene.subject_m), np.asarray(scene.camera_m)
    legs, poles, head = parts(at_m, turn, subject, head_m, soft_m)
    flat = np.concatenate([legs, head], axis=1)[..., :2]
    u = scene.toward
    along, side = (flat - camera[:2]) @ u, (flat - camera[:2]) @ np.array([u[1], -u[0]])
    deep, half = OPERATOR_M
    found = within(scene.plan_m, flat).all(axis=-1)
    found &= (np.linalg.norm(flat - subject[:2], axis=-1) >= CLEAR_M - 1e-6).all(axis=-1)
    found &= (np.linalg.norm(flat - camera[:2], axis=-1) >= CLEAR_M - 1e-6).all(axis=-1)
    found &= ~((along > 1e-6) & (along < deep) & (abs(side) < half - 1e-6)).any(axis=-1)
    for zone in scene.exits_m:
        middle = np.mean(zone, axis=0)
        found &= ~within(middle + (zone - middle) * (1.0 - 1e-6), flat).any(axis=-1)
    return found & ~seen(scene, np.concatenate([legs, poles, head], axis=1), THICK_M).any(axis=-1)


def seen(scene: Scene, points_m: Any, thick_m: float = 0.0) -> Any:
    """(...) whether points are in the frame."""
    if scene.frame is None:
        return np.zeros(points_m.shape[:-1], dtype=bool)
    camera, (width, height, focal) = np.asarray(scene.camera_m), scene.frame
    ahead = np.subtract(scene.subject_m, camera)
    ahead = ahead / np.linalg.norm(ahead)
    right = np.array([ahead[1], -ahead[0], 0.0]) / np.hypot(ahead[0], ahead[1])
    up = np.cross(right, ahead)
    off = points_m - camera
    deep = off @ ahead
    across = abs(off @ right) < deep * width / 2.0 / focal + thick_m
    return (deep > 0) & across & (abs(off @ up) < deep * height / 2.0 / focal + thick_m)


def keys_found(scene: Scene, lamp: tuple[float, float, float, float], tries: int, seed: int) -> Any:
    """(n, 3) places for a key within 15 degrees of 45 round and 45 above, of so many tried.

    lamp: lowest and highest middle of the head, its height, the width of its soft source
    """
    least, most, head_m, soft_m = lamp
    rng, subject = np.random.default_rng(seed), np.asarray(scene.subject_m)
    top = min(most, scene.ceiling_m - 0.10 - head_m / 2.0)
    if top < least:
        return np.empty((0, 3))
    round_ = np.radians(rng.uniform(30.0, 60.0, tries)) * rng.choice([-1.0, 1.0], tries)
    z, down = rng.uniform(least, top, tries), np.radians(rng.uniform(30.0, 60.0, tries))
    away, u = (z - subject[2]) / np.tan(down), scene.toward
    way = np.stack(
        [
            np.cos(round_) * u[0] - np.sin(round_) * u[1],
            np.sin(round_) * u[0] + np.cos(round_) * u[1],
        ],
        axis=-1,
    )
    at = np.column_stack([subject[:2] + way * away[:, None], z])[away > 0.4]
    at = at[within(scene.plan_m, at)]
    line = np.linspace(0.0, 1.0, 15)[:, None]
    sight = at[:, None, :2] + (subject[:2] - at[:, None, :2]) * line
    at = at[within(scene.plan_m, sight).all(axis=-1)]
    turn = rng.uniform(0.0, 2.0 * np.pi / 3.0, len(at))
    return at[free(scene, at, turn, head_m, soft_m)]
