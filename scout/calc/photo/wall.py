"""Sizes and places on a wall, off a photo in which sheets, a door or a tape of known size lie on it.

      1 ---- 2          the wall, as one faces it: x to the right, y down, in metres
      | sheet|    1 -------------- 2
      4 ---- 3    |    window      |         tape  a =========== b
                  4 -------------- 3

Four corners of a sheet alone fix a plane so badly that a window two metres off is wrong by half its
width. So one model is fitted to everything tapped: where the camera stands, its focal length, the
middle of the picture and one lens term (each with what is known of it beforehand), sheets of known
size and tolerance, windows of unknown size, all of them upright rectangles of one plane, nearly.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation
from scipy.special import stdtrit

from scout.calc.daylight.place.sighting import FILM_DIAGONAL_MM
from scout.calc.geometry import FloatArray, require
from scout.calc.photo.camera import LENS_SIGMA, Camera
from scout.errors import OutOfRange
from scout.values import Figure, said

SHEET_TILT, BUILT_TILT = math.radians(0.6), math.radians(0.3)  # hung by hand; built with a level
STEEPEST_DEG = 70.0
LEAST_SIDE_PX = 12.0
MOST_MISFIT = 3.0  # times the doubt of a tap: something is not what it was said to be
PRIOR_TAPS = 6.0  # how many measurements the stated doubt of a tap counts for beside those made
# whatever lies that much worse than the best is no answer (chi-square of one, 99 %)
RIVAL = 6.6


@dataclass(frozen=True)
class Shape:
    """Something tapped on the wall.

    name:      by which a refusal names it
    points_px: (4, 2) corners clockwise from the upper left; (2, 2) ends of a tape; (1, 2) a point
    sides_m:   width and height of four corners, or the length of a tape; None where it is asked
    sigma_m:   standard deviation of each side
    tilt:      standard deviation of its turn on the wall [rad]
    """

    name: str
    points_px: FloatArray
    sides_m: tuple[float, ...] | None = None
    sigma_m: float = 0.0
    tilt: float = BUILT_TILT

    @property
    def size(self) -> int:
        """How many parameters it has: x, y, width, height, tilt; x, y, turn, length; x, y."""
        return {4: 5, 2: 4, 1: 2}[len(self.points_px)]


@dataclass(frozen=True)
class Extent:
    """One length with its doubt (half width that holds nine in ten)."""

    m: float
    doubt_m: float


@dataclass(frozen=True)
class WallFit:
    """What everything tapped comes to. Lengths come with doubt, so ask for them together."""

    shapes: tuple[Shape, ...]
    values: FloatArray
    covariance: FloatArray
    reach: float  # how many standard deviations hold nine in ten
    rival: FloatArray | None  # another pose that explains the taps nearly as well
    misfit: float  # of the taps, as a multiple of what they were said to be good for
    angle_deg: float  # between the view and the way straight at the wall
    equivalent_mm: float

    def _at(self, name: str) -> int:
        start = _CAMERA
        for shape in self.shapes:
            if shape.name == name:
                return start
            start += shape.size
        raise KeyError(name)

    def _extent(self, pick: dict[int, float]) -> Extent:
        row = np.zeros(len(self.values))
        for index, share in pick.items():
            row[index] = share
        value = float(row @ self.values)
        doubt = self.reach * math.sqrt(max(0.0, float(row @ self.covariance @ row)))
        if self.rival is not None:
            doubt = max(doubt, abs(float(row @ self.rival) - value) + doubt / 2)
        return Extent(value, doubt)

    def size(self, name: str) -> tuple[Extent, Extent]:
        """Width and height of something with four corners."""
        at = self._at(name)
        return self._extent({at + 2: 1.0}), self._extent({at + 3: 1.0})

    def across(self, left: str, right: str) -> Extent:
        """From the left side of one to the left side of another (or to a point), to the right."""
        return self._extent({self._at(right): 1.0, self._at(left): -1.0})

    def above(self, low: str, high: str) -> Extent:
        """From a point up to the lower side of something (or to a point)."""
        at = self._at(high)
        tall = {at + 3: -1.0} if next(s for s in self.shapes if s.name == high).size == 5 else {}
        return self._extent({self._at(low) + 1: 1.0, at + 1: -1.0, **tall})


_CORNERS = np.array([(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)])
_CAMERA = 10  # rotation (3), place (3), log of the focal length, middle (2), lens


def fit_wall(camera: Camera, shapes: Sequence[Shape], *, tap_px: float) -> WallFit:
    """Fit camera and wall to what was tapped.

    camera:  as its file tells
    shapes:  everything tapped; at least one of known size
    tap_px:  standard deviation of a tap along each side of the picture [px]
    Returns: WallFit
    Raises:  OutOfRange, naming the shape: outside the picture, tapped in another order, edge-on,
        too small, or not of the size and on the plane it is said to be; `targets` where nothing
        known is there, or one sheet without a focal length
    Source:  pinhole camera with one radial term; least squares with prior knowledge as further
        measurements (Gauss-Markov); covariance by the Jacobian at the best fit
    Limits:  a flat wall; rectilinear lenses (no fisheye); what lies before the wall or in a reveal
        is measured as if it lay on it
    """
    require("tap_px", tap_px, above=0)
    known = [shape for shape in shapes if shape.sides_m is not None]
    boxes = [shape for shape in shapes if len(shape.points_px) == 4]
    if not known or not boxes:
        raise OutOfRange("targets", None, said("refusal.measure.no_target"))
    if not camera.known and len(known) < 2:
        raise OutOfRange("targets", None, said("refusal.measure.no_focal"))
    for shape in shapes:
        _check(camera, shape)
    model = _Model(camera, tuple(shapes), tap_px)
    first = max(boxes, key=lambda shape: abs(_area(shape.points_px)))
    starts = [model.start(pose) for pose in _poses(camera, first)]
    starts.sort(key=lambda start: float(np.sum(model.misfits(start) ** 2)))
    best = other = model.solve(starts[0])
    free = len(best.fun) - len(best.x)
    if len(boxes) == 1 or best.cost > 2.0 * free:
        best, other = sorted((best, model.solve(starts[-1])), key=lambda one: float(one.cost))
    chi2 = 2.0 * float(best.cost)
    angle = model.angle_deg(best.x)
    if not np.all(np.isfinite(best.x)) or angle > STEEPEST_DEG:
        raise OutOfRange(
            first.name, None, said("refusal.measure.edge_on", most=Figure(STEEPEST_DEG, "deg"))
        )
    worst = model.worst(best.fun)
    if chi2 / free > MOST_MISFIT**2:
        raise OutOfRange(worst.name, None, said("refusal.measure.misfit"))
    spread = (PRIOR_TAPS + chi2) / (PRIOR_TAPS + free)
    covariance = spread * np.linalg.inv(best.jac.T @ best.jac)
    near = 2.0 * float(other.cost - best.cost) < RIVAL * max(1.0, spread)
    apart = model.angle_between(best.x, other.x) > math.radians(1.0)
    return WallFit(
        tuple(shapes),
        best.x,
        covariance,
        float(stdtrit(PRIOR_TAPS + free, 0.95)),
        other.x if near and apart else None,
        math.sqrt(chi2 / free),
        angle,
        model.equivalent_mm(best.x),
    )


def _area(points: FloatArray) -> float:
    after = np.roll(points, -1, axis=0)
    return 0.5 * float(np.sum(points[:, 0] * after[:, 1] - after[:, 0] * points[:, 1]))


def _check(camera: Camera, shape: Shape) -> None:
    points = require(shape.name, shape.points_px)
    if points.shape not in {(4, 2), (2, 2), (1, 2)}:
        raise OutOfRange(shape.name, len(points), said("refusal.measure.points"))
    if np.any(points < 0) or np.any(points > [camera.width_px, camera.height_px]):
        raise OutOfRange(shape.name, None, said("refusal.measure.outside"))
    if len(points) == 1:
        return
    sides = np.roll(points, -1, axis=0) - points
    if np.min(np.hypot(*sides.T)) < LEAST_SIDE_PX:
        raise OutOfRange(shape.name, None, said("refusal.measure.small"))
    if len(points) == 4:
        following = np.roll(sides, -1, axis=0)
        turns = sides[:, 0] * following[:, 1] - sides[:, 1] * following[:, 0]
        across, down = (
            points[1] + points[2] - points[0] - points[3],
            points[2] + points[3] - points[0] - points[1],
        )
        if np.any(turns <= 0) or across[0] <= abs(across[1]) or down[1] <= abs(down[0]):
            raise OutOfRange(shape.name, None, said("refusal.measure.order"))
        flat = float(np.min(turns / np.hypot(*sides.T) / np.hypot(*following.T)))
        if flat < math.sin(math.radians(8.0)):
            raise OutOfRange(
                shape.name, None, said("refusal.measure.edge_on", most=Figure(STEEPEST_DEG, "deg"))
            )


def _rotation(turn: FloatArray) -> FloatArray:
    """(..., 3, 3) of rotation vectors (..., 3)."""
    return np.asarray(Rotation.from_rotvec(turn).as_matrix())


def _poses(camera: Camera, box: Shape) -> list[FloatArray]:
    """Ways the wall may be turned, from the corners of one rectangle whose sides need not be known:
    as its vanishing points say, and the same mirrored (weak perspective hardly tells them apart).
    """
    unit = np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
    rays = (box.points_px - [camera.width_px / 2, camera.height_px / 2]) / camera.focal_px
    rows, right = [], []
    for (u, v), (x, y) in zip(unit, rays, strict=True):
        rows += [[u, v, 1, 0, 0, 0, -x * u, -x * v], [0, 0, 0, u, v, 1, -y * u, -y * v]]
        right += [x, y]
    h = np.append(np.linalg.solve(np.array(rows), np.array(right)), 1.0).reshape(3, 3)
    along, down = h[:, 0] / np.linalg.norm(h[:, 0]), h[:, 1] / np.linalg.norm(h[:, 1])
    # the nearest pair at right angles
    middle, apart = along + down, along - down
    middle, apart = middle / np.linalg.norm(middle), apart / np.linalg.norm(apart)
    along, down = (middle + apart) / math.sqrt(2), (middle - apart) / math.sqrt(2)
    found = [np.column_stack([along, down, np.cross(along, down)])]
    sight = np.append(np.mean(rays, axis=0), 1.0)
    sight /= np.linalg.norm(sight)
    normal = found[0][:, 2]
    mirrored = 2 * (normal @ sight) * sight - normal
    axis = np.cross(normal, mirrored)
    sine = float(np.linalg.norm(axis))
    if sine > 1e-6:
        turn = axis / sine * math.atan2(sine, float(normal @ mirrored))
        found.append(_rotation(turn) @ found[0])
    return found


class _Model:
    """Everything tapped as a function of camera and wall; batches of parameters at once."""

    def __init__(self, camera: Camera, shapes: tuple[Shape, ...], tap_px: float) -> None:
        self.camera, self.shapes, self.tap_px = camera, shapes, tap_px
        self.seen = np.concatenate([shape.points_px for shape in shapes])
        self.middle = np.array([camera.width_px, camera.height_px]) / 2
        prior: list[tuple[int, float, float]] = [
            (6, 0.0, camera.focal_sigma),
            *((7 + axis, 0.0, camera.middle_sigma) for axis in (0, 1)),
            (9, 0.0, LENS_SIGMA),
        ]
        at = _CAMERA
        for number, shape in enumerate(shapes):
            if number == 0:  # the wall's own zero lies there
                prior += [(at, 0.0, 1e-3), (at + 1, 0.0, 1e-3)]
            if len(shape.points_px) == 4:
                for axis, side in enumerate(shape.sides_m or ()):
                    prior.append((at + 2 + axis, side, shape.sigma_m))
                prior.append((at + 4, 0.0, shape.tilt))
            elif len(shape.points_px) == 2 and shape.sides_m is not None:
                prior.append((at + 3, shape.sides_m[0], shape.sigma_m))
            at += shape.size
        self.size = at
        self.index = np.array([one[0] for one in prior])
        self.value = np.array([one[1] for one in prior])
        self.sigma = np.array([one[2] for one in prior])

    def wall(self, p: FloatArray) -> FloatArray:
        """(..., n, 2) places on the wall of everything tapped."""
        found, at = [], _CAMERA
        for shape in self.shapes:
            q = p[..., None, at : at + shape.size]
            at += shape.size
            if shape.size == 5:
                half, cos, sin = q[..., 2:4] / 2, np.cos(q[..., 4:]), np.sin(q[..., 4:])
                x, y = half[..., :1] * _CORNERS[:, :1], half[..., 1:] * _CORNERS[:, 1:]
                turned = np.concatenate([cos * x - sin * y, sin * x + cos * y], axis=-1)
                found.append(q[..., :2] + half + turned)
            elif shape.size == 4:
                way = np.concatenate([np.cos(q[..., 2:3]), np.sin(q[..., 2:3])], axis=-1)
                found += [q[..., :2], q[..., :2] + q[..., 3:4] * way]
            else:
                found.append(q)
        return np.concatenate(found, axis=-2)

    def picture(self, p: FloatArray) -> FloatArray:
        """(..., n, 2) where they are seen [px]."""
        wall = self.wall(p)
        rotation = _rotation(p[..., :3])
        body = wall @ np.swapaxes(rotation[..., :, :2], -1, -2) + p[..., None, 3:6]
        depth = np.maximum(body[..., 2:], 1e-3)
        focal = self.camera.focal_px * np.exp(np.clip(p[..., 6], -2, 2))[..., None, None]
        way = focal * body[..., :2] / depth
        half = self.camera.diagonal_px / 2
        square = np.sum(way**2, axis=-1, keepdims=True) / half**2
        way = way * (1.0 + p[..., 9][..., None, None] * square)
        return np.asarray(self.middle + p[..., None, 7:9] * self.camera.diagonal_px + way)

    def misfits(self, p: FloatArray) -> FloatArray:
        """(..., m) everything that is off, each in its own standard deviation."""
        seen = (self.picture(p) - self.seen) / self.tap_px
        flat = seen.reshape(*p.shape[:-1], -1)
        return np.concatenate([flat, (p[..., self.index] - self.value) / self.sigma], axis=-1)

    def slopes(self, p: FloatArray) -> FloatArray:
        """(m, n) by central differences, all in one batch."""
        step = 1e-6 * np.eye(self.size)
        both = self.misfits(np.concatenate([p + step, p - step]))
        return np.asarray((both[: self.size] - both[self.size :]).T / 2e-6)

    def start(self, rotation: FloatArray) -> FloatArray:
        """Parameters to begin with: everything seen laid on a wall turned so, then scaled."""
        camera = self.camera
        rays = np.column_stack(
            [(self.seen - self.middle) / camera.focal_px, np.ones(len(self.seen))]
        )
        depth = 1.0 / np.maximum(rays @ rotation[:, 2], 0.05)  # a wall at distance one
        plane = (rays * depth[:, None]) @ rotation[:, :2]
        logs, at = [], 0
        for shape in self.shapes:
            four = plane[at : at + len(shape.points_px)]
            at += len(shape.points_px)
            if shape.sides_m is not None:
                mine = [math.dist(four[1], four[0]), math.dist(four[-1], four[0])]
                logs += [
                    math.log(side / max(own, 1e-6))
                    for side, own in zip(shape.sides_m, mine, strict=False)
                ]
        scale = math.exp(float(np.mean(logs)))
        plane = plane * scale
        p = np.zeros(self.size)
        at, spot = _CAMERA, 0
        first = plane[0].copy()
        for shape in self.shapes:
            mine = plane[spot : spot + len(shape.points_px)] - first
            spot += len(shape.points_px)
            p[at : at + 2] = mine[0]
            if shape.size == 5:
                p[at : at + 2] = np.min(mine, axis=0)
                p[at + 2 : at + 4] = shape.sides_m or np.ptp(mine, axis=0)
            elif shape.size == 4:
                way = mine[1] - mine[0]
                p[at + 2 : at + 4] = math.atan2(way[1], way[0]), np.linalg.norm(way)
            at += shape.size
        p[:3] = Rotation.from_matrix(rotation).as_rotvec()
        p[3:6] = scale * rotation[:, 2] + rotation[:, :2] @ first
        return p

    def solve(self, start: FloatArray) -> Any:
        """The best fit from a beginning."""
        return least_squares(
            self.misfits,
            start,
            jac=self.slopes,
            method="lm",
            x_scale="jac",
            ftol=1e-7,
            xtol=1e-7,
            max_nfev=100,
        )

    def worst(self, fun: FloatArray) -> Shape:
        """Whose taps are farthest off."""
        ends = np.cumsum([2 * len(shape.points_px) for shape in self.shapes])
        parts = np.split(fun[: ends[-1]], ends[:-1])
        return self.shapes[int(np.argmax([float(np.mean(part**2)) for part in parts]))]

    def angle_deg(self, p: FloatArray) -> float:
        """Between the way to what was tapped and the way straight at the wall."""
        middle = np.mean(self.seen, axis=0)
        ray = np.append((middle - self.middle) / self.camera.focal_px, 1.0)
        return math.degrees(
            math.acos(
                min(1.0, abs(float(_rotation(p[:3])[:, 2] @ ray)) / float(np.linalg.norm(ray)))
            )
        )

    def angle_between(self, p: FloatArray, q: FloatArray) -> float:
        """Between two ways the wall may be turned [rad]."""
        return math.acos(min(1.0, float(_rotation(p[:3])[:, 2] @ _rotation(q[:3])[:, 2])))

    def equivalent_mm(self, p: FloatArray) -> float:
        """The focal length that fits, counted by the picture's diagonal."""
        return float(
            self.camera.focal_px * math.exp(p[6]) / self.camera.diagonal_px * FILM_DIAGONAL_MM
        )
