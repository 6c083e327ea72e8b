"""Where on a surface a cloth does most: the upright or level rectangle under which most weight lies.

high  |  . . . . .        weight by patch, on the grid of the patches' edges; sums over a rectangle
      |  .[# #]. .        from one table of sums, so that every rectangle is tried
low   |  .[# #]. .
      +------------
       from   to
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scout.calc.geometry import FloatArray, require, walls
from scout.calc.radiosity import Patches

ON_PLANE_M = 1e-6


@dataclass(frozen=True, eq=False)
class Cloth:
    """A rectangle on a surface: on a wall from its left end as seen from inside and from the floor
    up; on floor and ceiling along the plan's x and y.
    """

    surface: str
    along_m: tuple[float, float]
    across_m: tuple[float, float]
    area_m2: float

    def over(self, patches: Patches) -> NDArray[np.bool_]:
        """(p,) the patches whose middle it lies on."""
        along, across = _on(patches, self.surface, patches.centre_m).T
        under = (along > self.along_m[0]) & (along < self.along_m[1])
        under &= (across > self.across_m[0]) & (across < self.across_m[1])
        return np.asarray(under & patches.of(self.surface))


def best_cloth(
    patches: Patches,
    surface: str,
    weight: FloatArray,
    most_m2: float,
    *,
    sides_m: tuple[float, float] = (np.inf, np.inf),
    kept_off: NDArray[np.bool_] | None = None,
) -> Cloth | None:
    """The rectangle of at most so many square metres that covers most weight, off windows and doors.
    weight:  (p,) how much each patch matters, 0 or more
    most_m2: [m2], above 0
    sides_m: the most its shorter and its longer side may be [m]
    kept_off: (p,) further patches that it may not lie on; None: none
    Returns: None where no patch can be covered
    Raises:  OutOfRange naming the argument
    Limits:  a patch belongs to it when its middle does
    """
    require("weight", weight, least=0)
    require("most_m2", most_m2, above=0)
    mine = patches.of(surface)
    corners, middles = (
        _on(patches, surface, patches.corners_m),
        _on(patches, surface, patches.centre_m),
    )
    lines = [_lines(corners[mine, :, axis]) for axis in (0, 1)]
    shape = tuple(len(line) - 1 for line in lines)
    if min(shape) < 1:
        return None
    cells = [
        np.clip(np.searchsorted(line, middles[:, axis]) - 1, 0, size - 1)
        for axis, (line, size) in enumerate(zip(lines, shape, strict=True))
    ]

    def summed(values: FloatArray, which: NDArray[np.bool_]) -> FloatArray:
        grid = np.zeros((shape[0] + 1, shape[1] + 1))
        np.add.at(grid, (cells[0][which] + 1, cells[1][which] + 1), values[which])
        return np.asarray(grid.cumsum(axis=0).cumsum(axis=1))

    barred = _openings_on(patches, surface)
    if kept_off is not None:
        barred |= mine & kept_off
    tables = np.stack(
        [
            summed(weight, mine),
            summed(patches.area_m2, mine),
            summed(np.ones(len(weight)), barred),
        ]
    )
    high_m = lines[1][None, :] - lines[1][:, None]
    short_m, long_m = (side + ON_PLANE_M for side in sides_m)
    best: tuple[float, float, tuple[int, int, int, int]] | None = None
    for left in range(shape[0]):
        for right in range(left + 1, shape[0] + 1):
            wide = lines[0][right] - lines[0][left]
            if wide > long_m:
                break
            strip = tables[:, right] - tables[:, left]
            held, area, blocked = strip[:, None, :] - strip[:, :, None]
            fits = (area > 0) & (area <= most_m2 + 1e-9) & (blocked < 0.5)
            fits &= high_m <= (long_m if wide <= short_m else short_m)
            if not fits.any():
                continue
            score = np.where(fits, held, -1.0)
            low, high = map(int, np.unravel_index(int(np.argmax(score)), score.shape))
            found = (float(score[low, high]), -float(area[low, high]))
            if best is None or found > best[:2]:
                best = (*found, (left, right, low, high))
    if best is None:
        return None
    left, right, low, high = best[2]
    return Cloth(
        surface,
        (float(lines[0][left]), float(lines[0][right])),
        (float(lines[1][low]), float(lines[1][high])),
        -best[1],
    )


def _on(patches: Patches, surface: str, points: FloatArray) -> FloatArray:
    """(..., 2) points by the surface's own two axes."""
    if surface in ("floor", "ceiling"):
        return np.asarray(points[..., :2])
    wall = next(wall for wall in walls(patches.plan_m) if wall.letter == surface)
    along = (points[..., :2] - wall.start_m) @ wall.along
    return np.stack([along, points[..., 2]], axis=-1)


def _lines(values: FloatArray) -> FloatArray:
    return np.unique(np.round(values, 6))


def _openings_on(patches: Patches, surface: str) -> NDArray[np.bool_]:
    """(p,) the patches of windows and doors in a wall."""
    if surface in ("floor", "ceiling"):
        return np.zeros(len(patches.area_m2), dtype=np.bool_)
    wall = next(wall for wall in walls(patches.plan_m) if wall.letter == surface)
    off = np.abs((patches.centre_m[:, :2] - wall.start_m) @ wall.outward)
    along = (patches.centre_m[:, :2] - wall.start_m) @ wall.along
    there = (off < ON_PLANE_M) & (along > 0) & (along < wall.length_m)
    return np.asarray(there & (patches.surface >= len(patches.plan_m) + 2))
