"""What a flat upright mirror (a window after dark, a gloss wall) shows a lens: the image of a thing
stands as far behind the mirror's plane as the thing stands before it.

camera o       * lamp
        \\     /
   -----x+---+------ mirror      x: where the straight line from the lens to the image meets the
          \\ |                       mirror; there the thing is seen
            * image
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.fit.floor.blocks import hidden_by
from scout.calc.fit.floor.space import BoolArray, Space, sees
from scout.calc.fit.lens.camera import View, in_frame
from scout.calc.fit.lens.through import view_sees
from scout.calc.fit.shadow.cast import CHEST_DOWN_M, OUTLINE
from scout.calc.geometry import FloatArray, Wall, inside, require

LEAST_M = 1e-6  # a thing on the mirror itself has no image
OFF_MIRROR_M = 1e-3  # a place on a wall is looked at from in front of it
LEGS_M = 0.40  # breadth of a person under the chest (common practice)


@dataclass(frozen=True)
class Mirror:
    """A part of a wall that mirrors: along it from its left end as seen from inside, and up from the
    floor [m].
    """

    wall: Wall
    left_m: float
    right_m: float
    low_m: float
    high_m: float

    def holds(self, points_m: FloatArray) -> BoolArray:
        """(n,) whether points on its plane lie on it."""
        along = (points_m[:, :2] - self.wall.start_m) @ self.wall.along
        high = points_m[:, 2]
        return np.asarray(
            (along > self.left_m)
            & (along < self.right_m)
            & (high > self.low_m)
            & (high < self.high_m)
        )


def met_m(mirror: Mirror, lens_m: ArrayLike, things_m: ArrayLike) -> FloatArray:
    """(n, 3) where on the mirror's plane a lens (3,) sees each thing (n, 3); not a number where lens
    or thing is not before it.

    Raises: OutOfRange
    Source: the law of reflection, by the image: of the way to it the lens's own depth is the share
            that lies before the plane
    """
    lens, things = require("lens_m", lens_m), require("things_m", things_m).reshape(-1, 3)
    out = np.append(mirror.wall.outward, 0.0)
    start = np.append(mirror.wall.start_m, 0.0)
    own, theirs = float((start - lens) @ out), (start - things) @ out
    seen = (theirs > LEAST_M) & (own > LEAST_M)
    image = things + 2.0 * theirs[:, None] * out
    share = own / np.where(seen, own + theirs, 1.0)
    return np.where(seen[:, None], lens + (image - lens) * share[:, None], np.nan)


def shown(
    view: View, space: Space, mirror: Mirror, face_m: ArrayLike, things_m: ArrayLike
) -> BoolArray:
    """(n,) whether the mirror shows a lens each thing (n, 3), in its frame: neither walls nor
    furniture stand on the way there or back, and the person at the face (3,) is not before it.

    Raises: OutOfRange
    Limits: things are points in the room; a person hides the way to the mirror, not the way back
    """
    lens, things = np.asarray(view.at_m), require("things_m", things_m).reshape(-1, 3)
    places = met_m(mirror, lens, things)
    found = mirror.holds(places)
    rows = np.flatnonzero(found)
    if not len(rows):
        return found
    place = places[rows] - OFF_MIRROR_M * np.append(mirror.wall.outward, 0.0)
    held = in_frame(view, place) & view_sees(view, space.plan_m, place[:, :2])
    held &= ~_behind_person(lens, require("face_m", face_m), place)
    for row, point in enumerate(place):
        thing = things[rows[row]]
        held[row] &= bool(sees(space.plan_m, thing[:2], point[:2]))
    for block in space.blocks:
        held &= ~hidden_by(block, lens, place) & ~hidden_by(block, things[rows], place)
    found[rows] = held
    return found


def _behind_person(lens: FloatArray, face: FloatArray, points: FloatArray) -> BoolArray:
    """(n,) whether head, shoulders or the body under them stand before points (n, 3)."""
    way = (face - lens)[:2]
    away = float(np.linalg.norm(way))
    if away < LEAST_M:
        return np.zeros(len(points), dtype=np.bool_)
    way = way / away
    depth = (points - lens)[:, :2] @ way
    beyond = depth > away
    crossed = lens + (points - lens) * (away / np.where(beyond, depth, away))[:, None]
    across = (crossed - face)[:, :2] @ np.array([way[1], -way[0]])
    up = crossed[:, 2] - face[2]
    body = (up <= -CHEST_DOWN_M) & (np.abs(across) < LEGS_M / 2.0)
    return np.asarray(beyond & (body | inside(OUTLINE, np.column_stack([across, up]))))
