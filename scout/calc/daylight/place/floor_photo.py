"""The way a shadow runs on a floor, off a photo in which a rectangle of known sides lies along a
wall.

    the photo                        the floor, from above
       1 ____ 2                        wall  ==1=======2==      1, 2: the corners by the wall, left
       and right as one faces it
       /      \\    . near                      |       |        3, 4: the corners towards the room
      4--------3  /                             4-------3
                 . far                 near . ---> far          the shadow of an upright edge, away
                 from the sun

Four corners fix how the plane of the floor lies in the picture (a homography), wherever the camera
stood and however it was held.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require
from scout.errors import OutOfRange
from scout.values import said

SMALLEST_SHARE = 1e-4  # of the picture's area: a rectangle that fills less of it tells nothing


@dataclass(frozen=True)
class FloorShadow:
    """A shadow on the floor. turn_deg: from the way out through the wall to the way the shadow
    runs, clockwise from above.
    """

    turn_deg: float
    doubt_deg: float  # from the doubt of every point clicked
    length_m: float


def shadow_on_floor(
    corners: ArrayLike,
    shadow: ArrayLike,
    *,
    along_m: float,
    deep_m: float,
    aspect: float,
    accuracy: float,
) -> FloorShadow:
    """The way and length of a shadow on the floor, from points of a photo.

    corners:  (4, 2) of the rectangle, from the left and from the top as shares of the picture,
        in the order drawn above
    shadow:   (2, 2) two points of the shadow's edge, the one nearer to what throws it first
    along_m, deep_m: sides of the rectangle, along the wall and towards the room [m]
    aspect:   width over height of the picture
    accuracy: how far any point may lie from where it was clicked, as a share of the picture's width
    Returns:  FloorShadow; the doubts of the single points are taken as independent and added in
        squares
    Raises:   OutOfRange, naming the argument
    Source:   the plane homography of four points (eight linear equations), differentiated
        numerically for the doubt
    Limits:   a lens that draws straight lines straight; a level floor; an uncropped picture is
        not needed
    """
    four = require("corners", corners).reshape(-1, 2)
    two = require("shadow", shadow).reshape(-1, 2)
    if four.shape != (4, 2) or two.shape != (2, 2):
        raise OutOfRange("corners", len(four) + len(two), said("refusal.sun.four_corners"))
    require("along_m", along_m, above=0)
    require("deep_m", deep_m, above=0)
    require("aspect", aspect, above=0)
    require("accuracy", accuracy, least=0, most=0.2)
    _check(four)
    floor = np.array([(0.0, 0.0), (along_m, 0.0), (along_m, deep_m), (0.0, deep_m)])

    def run(points: FloatArray) -> FloatArray:
        near, far = _on_floor(points[:4], floor, points[4:])
        return np.asarray(far - near)

    points = np.concatenate([four, two])
    way = run(points)
    length = float(np.hypot(*way))
    if length < 1e-6:
        raise OutOfRange("shadow", None, said("refusal.sun.two_points"))
    turns = []
    for k in range(6):
        for axis, step in enumerate((accuracy, accuracy * aspect)):
            if step > 0:
                moved = [points.copy(), points.copy()]
                moved[0][k, axis] += step
                moved[1][k, axis] -= step
                turns.append(_widest(way, [_tried(run, one) for one in moved]))
    doubt = float(np.sqrt(np.sum(np.square(turns)))) if turns else 0.0
    # along the wall is to the right, deep is into the room: the way out is straight against it
    return FloorShadow(float(np.degrees(np.arctan2(way[0], -way[1]))), min(doubt, 180.0), length)


def _check(four: FloatArray) -> None:
    """A rectangle seen from above goes round as it was asked for, and bulges nowhere."""
    after = np.roll(four, -1, axis=0)
    edge, following = after - four, np.roll(after - four, -1, axis=0)
    cross = edge[:, 0] * following[:, 1] - edge[:, 1] * following[:, 0]
    area = 0.5 * float(np.sum(four[:, 0] * after[:, 1] - after[:, 0] * four[:, 1]))
    if abs(area) < SMALLEST_SHARE or not (np.all(cross > 0) or np.all(cross < 0)):
        raise OutOfRange("corners", None, said("refusal.sun.one_rectangle"))
    if area < 0:
        raise OutOfRange(
            "corners",
            None,
            said("refusal.sun.wrong_way_round"),
        )


def _on_floor(four: FloatArray, floor: FloatArray, points: FloatArray) -> FloatArray:
    """(n, 2) floor places of picture points. Raises OutOfRange for a point at or above the floor's
    horizon.
    """
    rows, right = [], []
    for (x, y), (u, v) in zip(four, floor, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    try:
        h = np.append(np.linalg.solve(np.array(rows), np.array(right)), 1.0).reshape(3, 3)
    except np.linalg.LinAlgError:
        raise OutOfRange("corners", None, said("refusal.sun.one_rectangle")) from None
    seen = np.column_stack([np.concatenate([four, points]), np.ones(len(four) + len(points))]) @ h.T
    if not (np.all(seen[:, 2] > 1e-9) or np.all(seen[:, 2] < -1e-9)):
        raise OutOfRange(
            "shadow",
            None,
            said("refusal.sun.on_floor"),
        )
    return np.asarray(seen[len(four) :, :2] / seen[len(four) :, 2:])


def _tried(run: object, points: FloatArray) -> FloatArray | None:
    assert callable(run)
    try:
        return np.asarray(run(points))
    except OutOfRange:
        return None


def _widest(way: FloatArray, others: list[FloatArray | None]) -> float:
    """The most any of these ways is turned from the first [deg]; one that cannot be is as doubtful
    as can be.
    """
    turned = [
        180.0
        if other is None
        else abs(float(np.degrees(np.arctan2(way[0] * other[1] - way[1] * other[0], way @ other))))
        for other in others
    ]
    return max(turned)
