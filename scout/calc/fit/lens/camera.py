"""A camera as geometry: its field of view, depth of field, and whether a thing is in its frame.

       up
       |  / axis (towards the aim)        v = point - camera;  z = v.axis, x = v.right, y = v.up
       | /                                seen if z > 0, |x| < z w/2f, |y| < z h/2f
camera +------ right                      a ball of radius R also when its edge alone reaches in
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scout.calc.fit.floor.doorway import Doorway
from scout.calc.geometry import FloatArray, require
from scout.errors import OutOfRange
from scout.values import said

FRAME_CORNERS = ((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0))
CIRCLE_OF_CONFUSION_SHARE = 1.0 / 1500.0  # of the sensor's diagonal (common practice)


def field_of_view_deg(side_mm: ArrayLike, focal_length_mm: ArrayLike) -> FloatArray:
    """Angle of view across a side of the sensor: 2 atan(w / 2f).

    side_mm: (...), width or height of the recorded part of the sensor [mm], above 0
    focal_length_mm: (...), above 0
    Returns:  (...), [deg]
    Raises:   OutOfRange, naming the argument
    Limits:   a lens without distortion, focused far
    """
    side = require("side_mm", side_mm, above=0)
    focal = require("focal_length_mm", focal_length_mm, above=0)
    return np.asarray(np.degrees(2.0 * np.arctan(side / (2.0 * focal))))


def framing_distance_m(
    size_m: ArrayLike, side_mm: ArrayLike, focal_length_mm: ArrayLike
) -> FloatArray:
    """How far a lens must be for its frame to be so large at the subject: d = f F / s.

    size_m:  (...), height or width of the frame at the subject [m], above 0
    side_mm: (...), that side of the recorded part of the sensor [mm], above 0
    focal_length_mm: (...), above 0
    Returns: (...), [m]
    Raises:  OutOfRange, naming the argument
    Source:  similar triangles; the exact thin lens adds one focal length, centimetres here
    """
    size = require("size_m", size_m, above=0)
    side = require("side_mm", side_mm, above=0)
    focal = require("focal_length_mm", focal_length_mm, above=0)
    return np.asarray(size * focal / side)


def circle_of_confusion_mm(sensor_width_mm: float, sensor_height_mm: float) -> float:
    """Largest blur still taken for sharp: the sensor's diagonal over 1500 (common practice). Raises
    OutOfRange.
    """
    require("sensor_width_mm", sensor_width_mm, above=0)
    require("sensor_height_mm", sensor_height_mm, above=0)
    return float(np.hypot(sensor_width_mm, sensor_height_mm) * CIRCLE_OF_CONFUSION_SHARE)


@dataclass(frozen=True)
class Sharpness:
    """From where to where things look sharp. `far_m` is None when sharpness has no far end."""

    near_m: float
    far_m: float | None
    hyperfocal_m: float


def depth_of_field(
    distance_m: float, focal_length_mm: float, f_number: float, confusion_mm: float
) -> Sharpness:
    """Near and far limits of sharpness.

    distance_m: focus distance [m], more than the focal length
    focal_length_mm, f_number, confusion_mm: above 0
    Returns:  limits [m]; no far limit from the hyperfocal distance on
    Raises:   OutOfRange, naming the argument
    Source:   H = f^2/(N c) + f; near s(H-f)/(H+s-2f); far s(H-f)/(H-s) (thin lens)
    """
    focal_m = float(require("focal_length_mm", focal_length_mm, above=0)) / 1000.0
    require("f_number", f_number, above=0)
    require("confusion_mm", confusion_mm, above=0)
    require("distance_m", distance_m, above=focal_m)
    hyperfocal_m = focal_m**2 / (f_number * confusion_mm / 1000.0) + focal_m
    near_m = distance_m * (hyperfocal_m - focal_m) / (hyperfocal_m + distance_m - 2.0 * focal_m)
    far_m = (
        distance_m * (hyperfocal_m - focal_m) / (hyperfocal_m - distance_m)
        if distance_m < hyperfocal_m
        else None
    )
    return Sharpness(float(near_m), None if far_m is None else float(far_m), float(hyperfocal_m))


@dataclass(frozen=True)
class View:
    """A camera that stands somewhere, points somewhere and has one lens on. All lengths in metres
    but the sensor's. `doorway`: the door that a camera outside the room looks through.
    """

    at_m: tuple[float, float, float]
    aim_m: tuple[float, float, float]
    sensor_width_mm: float
    sensor_height_mm: float
    focal_length_mm: float
    doorway: Doorway | None = None

    def __post_init__(self) -> None:
        at, aim = require("at_m", self.at_m), require("aim_m", self.aim_m)
        for name in ("sensor_width_mm", "sensor_height_mm", "focal_length_mm"):
            require(name, getattr(self, name), above=0)
        if float(np.linalg.norm(aim - at)) < 1e-6:
            raise OutOfRange("aim_m", self.aim_m, said("refusal.space.same_place"))

    @cached_property
    def axes(self) -> FloatArray:
        """(3, 3) rows: right, up, forward (unit vectors). A camera looking straight up or down
        keeps right along x.
        """
        forward = np.asarray(self.aim_m, dtype=np.float64) - np.asarray(self.at_m, dtype=np.float64)
        forward /= np.linalg.norm(forward)
        right = np.array([forward[1], -forward[0], 0.0])
        size = float(np.linalg.norm(right))
        right = right / size if size > 1e-9 else np.array([1.0, 0.0, 0.0])
        return np.stack([right, np.cross(right, forward), forward])

    @property
    def tangents(self) -> tuple[float, float]:
        """Half the frame's width and height at 1 m: w/2f, h/2f."""
        return self.sensor_width_mm / (2.0 * self.focal_length_mm), self.sensor_height_mm / (
            2.0 * self.focal_length_mm
        )


def frame_planes(view: View, margin_share: float = 0.0) -> tuple[FloatArray, FloatArray]:
    """The frame's edges as planes: a point p is inside when every normals @ (p - camera) is 0 or
    more.

    margin_share: how much wider and higher than the frame, as a share of it, 0 or more
    Returns: (4, 3) unit normals pointing into the frame (left, right, bottom, top), more where it
        looks through a door, and (3,) the forward axis
    Raises:  OutOfRange
    """
    normals, forward = _edges(view, margin_share)
    if view.doorway is not None:
        normals = np.concatenate([normals, view.doorway.planes(np.asarray(view.at_m))])
    return normals, forward


def _edges(view: View, margin_share: float = 0.0) -> tuple[FloatArray, FloatArray]:
    wider = 1.0 + float(require("margin_share", margin_share, least=0))
    right, up, forward = view.axes
    across, high = view.tangents[0] * wider, view.tangents[1] * wider
    normals = np.stack(
        [
            right + across * forward,
            -right + across * forward,
            up + high * forward,
            -up + high * forward,
        ]
    )
    return normals / np.linalg.norm(normals, axis=1, keepdims=True), forward


def in_frame(
    view: View, points_m: ArrayLike, radius_m: ArrayLike = 0.0, margin_share: float = 0.0
) -> NDArray[np.bool_]:
    """Whether any part of a ball at each point may be in the frame.

    points_m: (..., 3); radius_m: scalar or (...), 0 or more; margin_share: widens the frame
    Returns:  (...), true also where walls or people would hide it
    Raises:   OutOfRange, naming the argument
    Source:   distance of the centre to each plane of the frame's pyramid against R
    Limits:   errs on the side of "in frame" at the pyramid's edges, where a ball touches two
        planes but not the edge
    """
    offset = require("points_m", points_m) - np.asarray(view.at_m)
    radius = require("radius_m", radius_m, least=0)
    normals, forward = frame_planes(view, margin_share)
    inwards = offset @ normals.T
    # A point exactly on an edge is out; a ball whose surface touches it is out too.
    return np.asarray(np.all(inwards > -radius[..., None], axis=-1) & (offset @ forward > -radius))


def off_frame_deg(view: View, ways: ArrayLike) -> FloatArray:
    """How far a direction lies outside the frame: the angle to the nearest point of its edge.

    ways:    (..., 3), unit vectors in the plan
    Returns: (...), [deg]; 0 in the frame
    Raises:  OutOfRange, naming the argument
    Source:  the largest dot product with the four sides, each a great circle's arc
    """
    across, high = view.tangents
    corners = np.array([(x, y, 1.0) for x, y in FRAME_CORNERS]) * (across, high, 1.0)
    corners = corners / np.linalg.norm(corners, axis=1, keepdims=True) @ view.axes
    way = require("ways", ways)
    normals, _ = _edges(view)
    nearest = np.max(way @ corners.T, axis=-1)
    for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        normal = np.cross(start, end)
        normal /= np.linalg.norm(normal)
        foot = way - (way @ normal)[..., None] * normal
        between = (foot @ np.cross(normal, start) >= 0) & (foot @ np.cross(end, normal) >= 0)
        nearest = np.where(between, np.maximum(nearest, np.linalg.norm(foot, axis=-1)), nearest)
    inside = np.all(way @ normals.T > 0, axis=-1)
    return np.asarray(np.where(inside, 0.0, np.degrees(np.arccos(np.clip(nearest, -1.0, 1.0)))))


def column_in_frame(
    view: View, foot_m: ArrayLike, top_m: ArrayLike, radius_m: float, margin_share: float = 0.0
) -> NDArray[np.bool_]:
    """Whether any part of an upright round column, from the floor to its top, may be in the frame:
    a stand with its head.

    foot_m: (..., 2) in plan; top_m: scalar or (...), height of the centre of the head [m], 0 or
        more
    radius_m: of the column and of the ball that caps it [m], 0 or more; margin_share: widens
        the frame
    Returns:  (...)
    Raises:   OutOfRange, naming the argument
    Source:   each plane of the pyramid cuts the column's axis at one height; what is left
        between them is seen
    Limits:   as in_frame; the whole stand counts as wide as its foot or its head, whichever is
        wider
    """
    foot = require("foot_m", foot_m)
    top = np.broadcast_to(require("top_m", top_m, least=0), foot.shape[:-1])
    require("radius_m", radius_m, least=0)
    normals, forward = frame_planes(view, margin_share)
    planes = np.concatenate([normals, forward[None, :]])
    camera = np.asarray(view.at_m, dtype=np.float64)
    at_floor = (
        (foot - camera[:2]) @ planes[:, :2].T - camera[2] * planes[:, 2] + radius_m
    )  # (..., planes), above 0 is inside
    rise = planes[:, 2]  # change of each per metre of height
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = -at_floor / rise
    level = np.abs(rise) < 1e-12
    lowest = np.max(np.where(~level & (rise > 0), crossing, 0.0), axis=-1)
    highest = np.min(np.where(~level & (rise < 0), crossing, top[..., None]), axis=-1)
    possible = np.all(~level | (at_floor > 0), axis=-1)
    return np.asarray(possible & (np.maximum(lowest, 0.0) < np.minimum(highest, top) + 1e-12))
