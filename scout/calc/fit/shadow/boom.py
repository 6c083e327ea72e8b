"""A microphone on a pole over the picture: where it hangs, whose light it cuts on the face, whose
shadow of it a lens sees.

pole --------o mic        the mic hangs so far from the mouth, 60 degrees up towards the camera; the
pole comes in level from one
             |  d         side, square to the camera's axis where its operator has floor there, else
             slantwise or short (common practice: over the frame, from the side away from the key)
           ( face )
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.fit.floor.space import (
    PATH_HALF_WIDTH_M,
    SUBJECT_RADIUS_M,
    TRIPOD_RADIUS_M,
    BoolArray,
    distance_to_line_m,
    sees,
    stands_inside,
    within_m,
)
from scout.calc.fit.lens.camera import in_frame
from scout.calc.fit.shadow.cast import core_reaches, landing_points, share_of_lenses
from scout.calc.fit.stand.lights import Stage
from scout.calc.geometry import FloatArray, require

MIC_UP_DEG = 60.0
POLE_M = 2.0
POLE_RISE_M = 0.2
THICK_M = 0.06  # a microphone in its windshield
FACE_RADIUS_M = 0.12
# Poles that are tried, the best first: how far from the microphone its operator stands and at what
# angle from the camera. Half a metre less is as bad as 30 degrees off square (common practice).
POLES = sorted(
    (
        (reach_m, across_deg)
        for reach_m in (POLE_M, 1.5, 1.0)
        for across_deg in (90.0, 75.0, 105.0, 60.0, 120.0, 45.0, 135.0, 30.0)
    ),
    key=lambda pole: abs(pole[1] - 90.0) / 30.0 + (POLE_M - pole[0]) / 0.5,
)
OPERATOR_RADIUS_M, OPERATOR_M = 0.25, 1.8  # a person on their feet (common practice)


@dataclass(frozen=True)
class Boom:
    """Where microphone and far end of the pole are. `side`: +1 when the pole comes from picture
    right. `held`: whether its operator has floor under that end; `clear`: whether that is off the
    floor before every door, and the pole is over nobody's head and no stand.
    """

    side: int
    mic_m: tuple[float, float, float]
    end_m: tuple[float, float, float]
    held: bool = True
    clear: bool = True


def boom_from(stage: Stage, distance_m: float, side: int) -> Boom:
    """The boom over a subject.

    distance_m: mouth to microphone [m], above 0; side: +1 picture right, -1 picture left
    Returns:    its two ends, held down under the ceiling where that is lower: of the poles whose
        operator has floor the best, a clear one before any other; where none has floor, the
        best of all, not held
    Raises:     OutOfRange
    """
    require("distance_m", distance_m, above=0)
    face = np.asarray(stage.subject_m, dtype=np.float64)
    up = np.radians(MIC_UP_DEG)
    top = np.inf if stage.space.ceiling_m is None else stage.space.ceiling_m - THICK_M
    mic = np.array(
        [
            *(face[:2] + stage.towards_camera * distance_m * np.cos(up)),
            min(face[2] + distance_m * np.sin(up), top),
        ]
    )
    reaches_m, across_deg = np.array(POLES).T
    ends = mic[:2] + stage.on_bearing(side * across_deg) * reaches_m[:, None]
    held = _has_floor(stage, mic, ends)
    clear = held & _is_clear(stage, mic, ends)
    best = int(np.argmax(held.astype(np.int8) + clear))
    x, y = ends[best]
    return Boom(
        side,
        (float(mic[0]), float(mic[1]), float(mic[2])),
        (float(x), float(y), float(min(mic[2] + POLE_RISE_M, top))),
        bool(held[best]),
        bool(clear[best]),
    )


def _is_clear(stage: Stage, mic: FloatArray, ends: FloatArray) -> BoolArray:
    """(n,) whether an operator at each place (n, 2) leaves every door free to swing and touches no
    stand, and the pole from there passes over none and over nobody else's head.
    """
    free = np.ones(len(ends), dtype=np.bool_)
    for zone in stage.space.exits_m:
        free &= ~within_m(zone, ends, OPERATOR_RADIUS_M)
    if stage.stood:
        heads = np.asarray(stage.stood)
        off = [distance_to_line_m((mic[:2], end), heads[:, :2]) for end in ends]
        free &= np.all(np.asarray(off) >= heads[:, 2], axis=1)
        near = np.hypot(*(ends[:, None] - heads[:, :2]).T).T
        free &= np.all(near >= heads[:, 2] + OPERATOR_RADIUS_M, axis=1)
    return free


def _has_floor(stage: Stage, mic: FloatArray, ends: FloatArray) -> BoolArray:
    """(n,) whether somebody can stand at each of the places (n, 2): in the room and in sight of the
    microphone, off furniture, camera, subject, walk and stands, out of every frame.
    """
    space, radius = stage.space, OPERATOR_RADIUS_M
    free = stands_inside(space.plan_m, ends, radius) & sees(space.plan_m, ends, mic[:2])
    for block in space.blocks:
        if block.clear_below_m < OPERATOR_M:
            free &= ~within_m(block.ring_m, ends, radius)
    taken = (
        (*stage.camera_m[:2], TRIPOD_RADIUS_M + radius),
        (*stage.subject_m[:2], SUBJECT_RADIUS_M),
        *stage.stood,
    )
    for x, y, off in taken:
        free &= np.hypot(ends[:, 0] - x, ends[:, 1] - y) >= off
    if stage.path_m:
        free &= distance_to_line_m(stage.path_m, ends) >= PATH_HALF_WIDTH_M
    heights = np.arange(radius, OPERATOR_M, radius)
    body = np.stack([np.column_stack([ends, np.full(len(ends), high)]) for high in heights], axis=1)
    for view in stage.views:
        free &= ~np.any(in_frame(view, body, radius), axis=1)
    return np.asarray(free)


def cuts_face(boom: Boom, lights_m: ArrayLike, face_m: ArrayLike) -> BoolArray:
    """(l,) whether microphone or pole stands between each light (l, 3) and the face, so that its
    shadow falls there. Raises OutOfRange.
    """
    lights, face = require("lights_m", lights_m), require("face_m", face_m)
    mic, end = np.asarray(boom.mic_m), np.asarray(boom.end_m)
    pole = mic + np.linspace(0.0, 1.0, 41)[:, None] * (
        end - mic
    )  # 5 cm apart, less than it and the face are wide
    way = face - lights
    share = (
        np.sum((pole - lights[:, None, :]) * way[:, None, :], axis=-1)
        / np.maximum(np.sum(way * way, axis=-1), 1e-12)[:, None]
    )
    off = np.linalg.norm(pole - (lights[:, None, :] + share[..., None] * way[:, None, :]), axis=-1)
    # The bundle from a point to a face of 0.24 m narrows towards the light.
    return np.asarray(
        np.any(
            (share > 0.0) & (share < 1.0) & (off < THICK_M / 2.0 + FACE_RADIUS_M * share), axis=-1
        )
    )


def shadow_seen(
    stage: Stage, boom: Boom, lights_m: ArrayLike, source_m: float, *, has_walls: bool = True
) -> FloatArray:
    """(l,) the share of the lenses that see a hard shadow of the boom on a wall or the ceiling.
    Raises OutOfRange.
    """
    lights = require("lights_m", lights_m)
    mic, end = np.asarray(boom.mic_m), np.asarray(boom.end_m)
    points = np.broadcast_to(
        mic + np.linspace(0.0, 1.0, 9)[:, None] * (end - mic), (len(lights), 9, 3)
    )
    places, beyond, falls = landing_points(stage.space, lights, points, has_walls=has_walls)
    near = np.linalg.norm(points - lights[:, None, :], axis=-1)
    return share_of_lenses(
        stage.space, stage.views, places, falls & core_reaches(THICK_M, source_m, near, beyond)
    )


def lenses_that_see(stage: Stage, boom: Boom) -> tuple[float, ...]:
    """The lenses in whose frame the microphone itself hangs [mm]."""
    return tuple(
        view.focal_length_mm
        for view in stage.views
        if bool(in_frame(view, np.asarray(boom.mic_m), THICK_M / 2.0))
    )
