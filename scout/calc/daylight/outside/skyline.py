"""What stands against the sky outside: elevation by bearing, straight between the points given,
round through north.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require
from scout.errors import OutOfRange
from scout.values import said


def skyline_deg(skyline: ArrayLike, bearing_deg: ArrayLike) -> FloatArray:
    """Elevation of the skyline in each direction.

    skyline:     (n, 2), bearing clockwise from true north and elevation [deg], in any order;
        one point stands all round;
                 two points of one bearing are an upright edge
    bearing_deg: (...)
    Returns:     (...), elevation [deg], interpolated linearly in bearing, wrapping through north
    Raises:      OutOfRange for no point at all or an elevation beyond 90
    """
    points = require("skyline", skyline)
    if points.ndim != 2 or points.shape[1] != 2 or not len(points):
        raise OutOfRange("skyline", points.shape, said("refusal.sun.skyline_pairs"))
    require("skyline.elevation_deg", points[:, 1], least=-90, most=90)
    bearings = points[:, 0] % 360.0
    order = np.argsort(bearings, kind="stable")
    bearings, heights = bearings[order], points[order, 1]
    bearings = np.concatenate([[bearings[-1] - 360.0], bearings, [bearings[0] + 360.0]])
    heights = np.concatenate([[heights[-1]], heights, [heights[0]]])
    return np.asarray(
        np.interp(np.asarray(bearing_deg, dtype=np.float64) % 360.0, bearings, heights)
    )
