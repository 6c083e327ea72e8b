"""What a camera outside sees through a door of the room: whether it sees a place at all, and whether
the whole frame passes the opening.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.fit.floor.blocks import Block, hidden_by, zones_meet
from scout.calc.fit.floor.doorway import Doorway
from scout.calc.fit.floor.space import BoolArray, sees
from scout.calc.fit.lens.camera import FRAME_CORNERS, View
from scout.calc.geometry import FloatArray, inside

HALF_PERSON_M = 0.25  # a subject is seen with both shoulders (common practice)
FAR_M = 100.0
INDOORS_M = 0.005  # so near a wall's face a lens or a subject still counts as inside
Unseen = Literal["sight", "head", "hidden", "leaf"]


def doorway_to(
    doorways: Sequence[Doorway], plan_m: ArrayLike, lens_m: ArrayLike, aim_m: ArrayLike
) -> Doorway | None:
    """The door through which a lens outside the plan looks at a place inside it, in plan alone; None
    for a lens inside, and where walls are in the way.
    """
    lens, aim = (np.asarray(point, dtype=np.float64) for point in (lens_m, aim_m))
    if bool(inside(plan_m, lens, edge_m=INDOORS_M)) or not bool(
        inside(plan_m, aim, edge_m=INDOORS_M)
    ):
        return None
    flat = np.array([lens[0], lens[1], 0.0]), np.array([[aim[0], aim[1], 0.0]])
    for doorway in doorways:
        if doorway.is_open_to(lens) and bool(_in_opening(doorway, *flat)[0]):
            return doorway
    return None


def _in_opening(doorway: Doorway, lens: FloatArray, points: FloatArray) -> BoolArray:
    """(n,) whether the lines to points (n, 3) inside stay between the jambs, in plan."""
    across = doorway.crossings(lens, points - lens)[..., 0]
    between = np.all((across > 0.0) & (across < doorway.width_m), axis=0)
    inwards = doorway.out_m(points) < 1e-9
    seen = between & inwards
    if np.any(seen):
        ring = doorway.ring_m(lens)
        seen[seen] = sees(ring, points[seen, :2], lens[:2])
    return np.asarray(seen)


def unseen_through(
    doorway: Doorway, blocks: Sequence[Block], lens_m: ArrayLike, points_m: ArrayLike
) -> dict[Unseen, BoolArray]:
    """Why a lens outside that the door is open to does not see places in the room, each (n,): a
    wall or jamb, the door's head, furniture, or the leaf as it may hang.

    Raises: OutOfRange
    Limits: seen is what no way of hanging the leaf hides
    """
    lens = np.asarray(lens_m, dtype=np.float64)
    points = np.asarray(points_m, dtype=np.float64).reshape(-1, 3)
    up = doorway.crossings(lens, points - lens)[..., 1]

    def meets(several: Sequence[Block]) -> BoolArray:
        found = np.zeros(len(points), dtype=np.bool_)
        for block in several:
            found |= hidden_by(block, lens, points)
        return found

    return {
        "sight": ~_in_opening(doorway, lens, points),
        "head": ~np.all(up < doorway.head_m, axis=0),
        "hidden": meets(blocks),
        "leaf": meets(doorway.leaves()),
    }


def subject_unseen(
    doorway: Doorway, blocks: Sequence[Block], lens_m: ArrayLike, face_m: ArrayLike
) -> Unseen | None:
    """Why the face (3,), or a shoulder beside it, is not seen through a door; None when all is."""
    lens, face = (np.asarray(point, dtype=np.float64) for point in (lens_m, face_m))
    way = (face - lens)[:2]
    side = np.array([way[1], -way[0]]) / max(float(np.linalg.norm(way)), 1e-9)
    shift = np.array([*side, 0.0]) * HALF_PERSON_M
    reasons = unseen_through(doorway, blocks, lens, np.stack([face, face - shift, face + shift]))
    # A shoulder that a wall of the room hides is the subject's place, not the camera's.
    reasons["sight"] = reasons["sight"][:1] | ~_between_jambs(doorway, lens, [face - shift])
    reasons["sight"] |= ~_between_jambs(doorway, lens, [face + shift])
    return next((name for name, held in reasons.items() if np.any(held)), None)


def _between_jambs(doorway: Doorway, lens: FloatArray, points: list[FloatArray]) -> BoolArray:
    across = doorway.crossings(lens, np.stack(points) - lens)[..., 0]
    return np.asarray(np.all((across > 0.0) & (across < doorway.width_m), axis=0))


def frame_unseen(doorway: Doorway, view: View) -> Literal["jambs", "leaf"] | None:
    """What of a door is in the frame of a lens outside; None when the whole frame passes it.

    Source: the opening is convex, so the frame passes where its corners do; of the leaf, two
        convex outlines in plan that do not meet
    """
    lens = np.asarray(view.at_m, dtype=np.float64)
    across, high = view.tangents
    corners = np.array([(x * across, y * high, 1.0) for x, y in FRAME_CORNERS]) @ view.axes
    meets = doorway.crossings(lens, corners)
    held = (
        (meets[..., 0] > 0) & (meets[..., 0] < doorway.width_m) & (meets[..., 1] < doorway.head_m)
    )
    if not bool(np.all(held)):
        return "jambs"
    flat = corners[:, :2] / np.linalg.norm(corners[:, :2], axis=1, keepdims=True)
    turn = np.argsort(flat @ np.array([view.axes[0][0], view.axes[0][1]]))
    wedge = np.stack(
        [lens[:2], lens[:2] + FAR_M * flat[turn[0]], lens[:2] + FAR_M * flat[turn[-1]]]
    )
    return "leaf" if any(zones_meet(wedge, leaf.ring_m) for leaf in doorway.leaves()) else None


def view_sees(view: View, plan_m: ArrayLike, points_m: ArrayLike) -> BoolArray:
    """(...) whether no wall stands in plan between a lens and places (..., 2) in the room; of a lens
    outside, whether it sees them through its door.
    """
    if view.doorway is None:
        return sees(plan_m, points_m, view.at_m)
    lens = np.array([view.at_m[0], view.at_m[1], 0.0])
    flat = np.asarray(points_m, dtype=np.float64)[..., :2]
    points = np.concatenate([flat.reshape(-1, 2), np.zeros((flat[..., 0].size, 1))], axis=1)
    return _in_opening(view.doorway, lens, points).reshape(flat.shape[:-1])
