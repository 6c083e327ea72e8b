"""Sizes and places on a wall, off a photo in which sheets, a door or a tape of known size lie on it.

      1 ---- 2          the wall, as one faces it: x to the right, y down, in metres
      | sheet|    1 -------------- 2
      4 ---- 3    |    window      |         tape  a =========== b
                  4 -------------- 3

Four corners of a sheet alone fix a plane so badly that a window two metres off is wrong by half its
width. So one model is fitted to everything tapped: where the camera stands, its focal length, the
middle of the picture and one lens term (each with what is known of it beforehand), sheets of known
size and tolerance, windows of unknown size, all of them upright rectangles of one plane, nearly.

A second photo of the same wall is one more camera that stands elsewhere before the same things: both
are fitted at once, and what one way of looking leaves open the other one tells.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.special import stdtrit

from scout.calc.geometry import FloatArray, require
from scout.calc.photo.camera import Camera
from scout.calc.photo.model import CAMERA, Model, Shape, View, rotation_of
from scout.errors import OutOfRange
from scout.values import Figure, said

STEEPEST_DEG = 70.0
LEAST_SIDE_PX = 12.0
MOST_MISFIT = 3.0  # times the doubt of a tap: something is not what it was said to be
PRIOR_TAPS = 6.0  # how many measurements the stated doubt of a tap counts for beside those made
# whatever lies that much worse than the best is no answer (chi-square of one, 99 %)
RIVAL = 6.6
SAME = math.radians(1.0)  # walls turned alike
_STEEPEST = Figure(STEEPEST_DEG, "deg")


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
        start = CAMERA
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


def fit_wall(
    camera: Camera, shapes: Sequence[Shape], *, tap_px: float, again: View | None = None
) -> WallFit:
    """Fit camera and wall to what was tapped.

    camera:  as its file tells
    shapes:  everything tapped; at least one of known size
    tap_px:  standard deviation of a tap along each side of the picture [px]
    again:   a second photo of the wall: things of the same name are the same, one with four corners
        at least; what else it shows comes to the wall through those
    Returns: WallFit, its angle and focal length those of the first photo
    Raises:  OutOfRange, naming the shape: outside the picture, tapped in another order, edge-on,
        too small, or not of the size and on the plane it is said to be; `targets` where nothing
        known is there, or one sheet without a focal length, or nothing that both photos show
    Source:  pinhole camera with one radial term; least squares with prior knowledge as further
        measurements (Gauss-Markov); covariance by the Jacobian at the best fit
    Limits:  a flat wall; rectilinear lenses (no fisheye); what lies before the wall or in a reveal
        is measured as if it lay on it
    """
    view = View(camera, tuple(shapes), tap_px)
    known = [shape for shape in shapes if shape.sides_m is not None]
    boxes = _boxes(view)
    if not known or not boxes:
        raise OutOfRange("targets", None, said("refusal.measure.no_target"))
    if not camera.known and len(known) < 2:
        raise OutOfRange("targets", None, said("refusal.measure.no_focal"))
    _check_view(view)
    model = Model((view,), view.shapes)
    starts = [model.start(pose) for pose in _poses(camera, boxes[0])]
    starts.sort(key=lambda start: float(np.sum(model.misfits(start) ** 2)))
    best = other = model.solve(starts[0])
    free = len(best.fun) - len(best.x)
    if len(boxes) == 1 or best.cost > 2.0 * free or again is not None:
        best, other = sorted((best, model.solve(starts[-1])), key=lambda one: float(one.cost))
    if again is not None:
        apart = model.angle_between(best.x, other.x) > SAME
        model, best, other = _both(view, again, (best.x, other.x) if apart else (best.x,))
        free = len(best.fun) - len(best.x)
    chi2 = 2.0 * float(best.cost)
    angles = [model.angle_deg(best.x, number) for number in range(len(model.views))]
    if not np.all(np.isfinite(best.x)) or max(angles) > STEEPEST_DEG:
        steep = model.views[int(np.argmax(angles))]
        name = f"{steep.begins}{_boxes(steep)[0].name}"
        raise OutOfRange(name, None, said("refusal.measure.edge_on", most=_STEEPEST))
    if chi2 / free > MOST_MISFIT**2:
        raise OutOfRange(model.worst(best.fun), None, said("refusal.measure.misfit"))
    spread = (PRIOR_TAPS + chi2) / (PRIOR_TAPS + free)
    covariance = spread * np.linalg.inv(best.jac.T @ best.jac)
    near = 2.0 * float(other.cost - best.cost) < RIVAL * max(1.0, spread)
    apart = model.angle_between(best.x, other.x) > SAME
    return WallFit(
        model.shapes,
        best.x,
        covariance,
        float(stdtrit(PRIOR_TAPS + free, 0.95)),
        other.x if near and apart else None,
        math.sqrt(chi2 / free),
        angles[0],
        model.equivalent_mm(best.x),
    )


def _both(first: View, again: View, found: Sequence[FloatArray]) -> tuple[Model, Any, Any]:
    """The model of both photos with its best fit and the next best, from what the first one by itself
    comes to. Raises OutOfRange.
    """
    _check_view(again)
    names = {shape.name for shape in first.shapes}
    shared = [box for box in _boxes(again) if box.name in names]
    if not shared:
        raise OutOfRange(f"{again.begins}targets", None, said("refusal.measure.not_both"))
    more = tuple(shape for shape in again.shapes if shape.name not in names)
    model = Model((first, again), (*first.shapes, *more))
    starts = [
        model.start_again(one, pose) for one in found for pose in _poses(again.camera, shared[0])
    ]
    best, *others = sorted(map(model.solve, starts), key=lambda one: float(one.cost))
    # the nearest that is another answer: most beginnings lead to the same
    apart = (one for one in others if model.angle_between(best.x, one.x) > SAME)
    return model, best, next(apart, best)


def _boxes(view: View) -> list[Shape]:
    """What has four corners, the largest in the picture first."""
    boxes = [shape for shape in view.shapes if len(shape.points_px) == 4]
    return sorted(boxes, key=lambda shape: -abs(_area(shape.points_px)))


def _check_view(view: View) -> None:
    require("tap_px", view.tap_px, above=0)
    for shape in view.shapes:
        try:
            _check(view.camera, shape)
        except OutOfRange as refusal:
            name = f"{view.begins}{shape.name}"
            raise OutOfRange(name, refusal.given, refusal.because) from refusal


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
            raise OutOfRange(shape.name, None, said("refusal.measure.edge_on", most=_STEEPEST))


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
        found.append(rotation_of(turn) @ found[0])
    return found
