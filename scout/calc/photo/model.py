"""What was tapped on photos of a wall as a function of cameras and wall: the model that `wall.py` fits."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

from scout.calc.daylight.place.sighting import FILM_DIAGONAL_MM
from scout.calc.geometry import FloatArray
from scout.calc.photo.camera import LENS_SIGMA, Camera

SHEET_TILT, BUILT_TILT = math.radians(0.6), math.radians(0.3)  # hung by hand; built with a level
_CORNERS = np.array([(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)])
CAMERA = 10  # rotation (3), place (3), log of the focal length, middle (2), lens


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
class View:
    """One photo of the wall, and what was tapped on it.

    tap_px: standard deviation of a tap along each side of the picture [px]
    begins: what a refusal puts before the name of a thing
    """

    camera: Camera
    shapes: tuple[Shape, ...]
    tap_px: float
    begins: str = ""


def rotation_of(turn: FloatArray) -> FloatArray:
    """(..., 3, 3) of rotation vectors (..., 3)."""
    return np.asarray(Rotation.from_rotvec(turn).as_matrix())


class Model:
    """Everything tapped as a function of cameras and wall; batches of parameters at once."""

    def __init__(self, views: tuple[View, ...], shapes: tuple[Shape, ...]) -> None:
        self.views, self.shapes = views, shapes
        prior: list[tuple[int, float, float]] = []
        at, rows = CAMERA, 0
        where: dict[str, range] = {}  # the places on the wall that are one shape's
        for number, shape in enumerate(shapes):
            where[shape.name] = range(rows, rows + len(shape.points_px))
            rows += len(shape.points_px)
            if number == 0:  # the wall's own zero lies there
                prior += [(at, 0.0, 1e-3), (at + 1, 0.0, 1e-3)]
            if len(shape.points_px) == 4:
                for axis, side in enumerate(shape.sides_m or ()):
                    prior.append((at + 2 + axis, side, shape.sigma_m))
                prior.append((at + 4, 0.0, shape.tilt))
            elif len(shape.points_px) == 2 and shape.sides_m is not None:
                prior.append((at + 3, shape.sides_m[0], shape.sigma_m))
            at += shape.size
        self.seen = [np.concatenate([one.points_px for one in view.shapes]) for view in views]
        self.rows = [np.concatenate([where[one.name] for one in view.shapes]) for view in views]
        self.columns: list[Any] = []  # of each view's camera
        for view in views:
            own = np.arange(CAMERA) + (at if self.columns else 0)
            same = self.columns and math.isclose(view.camera.focal_px, views[0].camera.focal_px)
            if same:  # one lens: what it is off by in one photo it is off by in the other
                own = np.array([*own[:6], 6, own[6], own[7], 9])
            else:
                prior += [(own[6], 0.0, view.camera.focal_sigma), (own[9], 0.0, LENS_SIGMA)]
            prior += [(own[7 + axis], 0.0, view.camera.middle_sigma) for axis in (0, 1)]
            at = max(at, int(own.max()) + 1)
            self.columns.append(own)
        self.size = at
        self.index = np.array([one[0] for one in prior])
        self.value = np.array([one[1] for one in prior])
        self.sigma = np.array([one[2] for one in prior])

    def wall(self, p: FloatArray) -> FloatArray:
        """(..., n, 2) places on the wall of everything tapped."""
        found, at = [], CAMERA
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

    def picture(self, p: FloatArray, number: int, wall: FloatArray) -> FloatArray:
        """(..., n, 2) where a view's things are seen [px]."""
        camera, c = self.views[number].camera, p[..., self.columns[number]]
        rotation = rotation_of(c[..., :3])
        places = wall[..., self.rows[number], :]
        body = places @ np.swapaxes(rotation[..., :, :2], -1, -2) + c[..., None, 3:6]
        depth = np.maximum(body[..., 2:], 1e-3)
        focal = camera.focal_px * np.exp(np.clip(c[..., 6], -2, 2))[..., None, None]
        way = focal * body[..., :2] / depth
        half = camera.diagonal_px / 2
        square = np.sum(way**2, axis=-1, keepdims=True) / half**2
        way = way * (1.0 + c[..., 9][..., None, None] * square)
        return np.asarray(_middle(camera) + c[..., None, 7:9] * camera.diagonal_px + way)

    def misfits(self, p: FloatArray) -> FloatArray:
        """(..., m) everything that is off, each in its own standard deviation."""
        wall, off = self.wall(p), []
        for number, view in enumerate(self.views):
            seen = (self.picture(p, number, wall) - self.seen[number]) / view.tap_px
            off.append(seen.reshape(*p.shape[:-1], -1))
        return np.concatenate([*off, (p[..., self.index] - self.value) / self.sigma], axis=-1)

    def slopes(self, p: FloatArray) -> FloatArray:
        """(m, n) by central differences, all in one batch."""
        step = 1e-6 * np.eye(self.size)
        both = self.misfits(np.concatenate([p + step, p - step]))
        return np.asarray((both[: self.size] - both[self.size :]).T / 2e-6)

    def start(self, rotation: FloatArray) -> FloatArray:
        """Parameters to begin with: everything seen laid on a wall turned so, then scaled."""
        rays = _rays(self.views[0].camera, self.seen[0])
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
        at, spot = CAMERA, 0
        first = plane[0].copy()
        for shape in self.shapes:
            p[at : at + shape.size] = _laid(shape, plane[spot:] - first)
            spot += len(shape.points_px)
            at += shape.size
        p[:3] = Rotation.from_matrix(rotation).as_rotvec()
        p[3:6] = scale * rotation[:, 2] + rotation[:, :2] @ first
        return p

    def start_again(self, found: FloatArray, rotation: FloatArray) -> FloatArray:
        """Parameters to begin with where the first photo is solved and the second one turned so: it
        stands where it sees best what both show, and what it alone shows is laid on that wall.
        """
        p = np.zeros(self.size)
        p[: len(found)] = found
        view, own = self.views[1], self.columns[1]
        rays, rows = _rays(view.camera, self.seen[1]), self.rows[1]
        solved = rows < len(self.seen[0])
        ways = self.wall(p)[rows[solved]] @ rotation[:, :2].T
        # the place t that lies across no ray: ray x (way + t) = 0
        across = np.concatenate([np.cross(ray, np.eye(3)).T for ray in rays[solved]])
        right = np.concatenate(
            [np.cross(way, ray) for ray, way in zip(rays[solved], ways, strict=True)]
        )
        place = np.linalg.lstsq(across, right, rcond=None)[0]
        p[own[:3]], p[own[3:6]] = Rotation.from_matrix(rotation).as_rotvec(), place
        depth = float(rotation[:, 2] @ place) / np.maximum(rays @ rotation[:, 2], 0.05)
        plane = (rays * depth[:, None] - place) @ rotation[:, :2]
        at = CAMERA
        for shape in self.shapes:
            if at >= len(found):
                p[at : at + shape.size] = _laid(shape, plane[self._spot(shape.name) :])
            at += shape.size
        return p

    def _spot(self, name: str) -> int:
        """Where a shape's taps begin among those of the second view."""
        spot = 0
        for shape in self.views[1].shapes:
            if shape.name == name:
                return spot
            spot += len(shape.points_px)
        raise KeyError(name)

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

    def worst(self, fun: FloatArray) -> str:
        """Whose taps are farthest off."""
        named = [(view, shape) for view in self.views for shape in view.shapes]
        ends = np.cumsum([2 * len(shape.points_px) for _, shape in named])
        parts = np.split(fun[: ends[-1]], ends[:-1])
        view, shape = named[int(np.argmax([float(np.mean(part**2)) for part in parts]))]
        return f"{view.begins}{shape.name}"

    def angle_deg(self, p: FloatArray, number: int) -> float:
        """Between a view's way to what was tapped and the way straight at the wall."""
        ray = _rays(self.views[number].camera, np.mean(self.seen[number], axis=0)[None])[0]
        normal = rotation_of(p[self.columns[number][:3]])[:, 2]
        return math.degrees(
            math.acos(min(1.0, abs(float(normal @ ray)) / float(np.linalg.norm(ray))))
        )

    def angle_between(self, p: FloatArray, q: FloatArray) -> float:
        """Between two ways the wall may be turned, in whichever view they differ more [rad]."""
        turns = [
            float(rotation_of(p[own[:3]])[:, 2] @ rotation_of(q[own[:3]])[:, 2])
            for own in self.columns
        ]
        return math.acos(min(1.0, *turns))

    def equivalent_mm(self, p: FloatArray) -> float:
        """The focal length that fits, counted by the picture's diagonal."""
        camera = self.views[0].camera
        return float(camera.focal_px * math.exp(p[6]) / camera.diagonal_px * FILM_DIAGONAL_MM)


def _middle(camera: Camera) -> FloatArray:
    return np.array([camera.width_px, camera.height_px]) / 2


def _rays(camera: Camera, seen: FloatArray) -> FloatArray:
    """(n, 3) ways from the camera to what is seen, one deep."""
    return np.column_stack([(seen - _middle(camera)) / camera.focal_px, np.ones(len(seen))])


def _laid(shape: Shape, places: FloatArray) -> FloatArray:
    """A shape's parameters by its places on the wall, which come first."""
    mine = places[: len(shape.points_px)]
    p = np.zeros(shape.size)
    p[:2] = mine[0]
    if shape.size == 5:
        p[:2] = np.min(mine, axis=0)
        p[2:4] = shape.sides_m or np.ptp(mine, axis=0)
    elif shape.size == 4:
        way = mine[1] - mine[0]
        p[2:4] = math.atan2(way[1], way[0]), np.linalg.norm(way)
    return p
