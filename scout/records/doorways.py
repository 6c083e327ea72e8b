"""The doors of a room that a camera outside may look through: those that are measured."""

from __future__ import annotations

import numpy as np

from scout.calc import geometry
from scout.calc.fit.floor.doorway import Doorway
from scout.calc.fit.lens.through import doorway_to
from scout.records.sheet import Marks, RoomRecord

HEAD_M = 2.0  # of a door whose height nobody measured (common practice)


def doorways_of(room: RoomRecord) -> tuple[Doorway, ...]:
    """The doors whose place and width are measured. A window is none of them, however low: whether
    it opens, and onto what, nobody records; one that opens down to the floor is a door.
    """
    if room.corners_m is None or room.setting == "exterior":
        return ()
    plan = np.asarray(room.corners_m, dtype=np.float64)
    letters = [wall.letter for wall in geometry.walls(plan)]
    return tuple(
        Doorway(
            door.id,
            plan,
            letters.index(door.wall),
            door.offset_m,
            door.width_m,
            HEAD_M if door.height_m is None else door.height_m,
            bool(door.keep_free),
        )
        for door in room.doors or ()
        if door.wall in letters and door.offset_m is not None and door.width_m is not None
    )


def camera_doorway(room: RoomRecord, marks: Marks | None) -> Doorway | None:
    """The door that a camera marked outside the plan looks at the subject through; None for one in
    the room.
    """
    if marks is None or marks.camera is None or marks.subject is None or room.corners_m is None:
        return None
    plan = np.asarray(room.corners_m, dtype=np.float64)
    if bool(geometry.inside(plan, np.asarray(marks.camera[:2]), edge_m=geometry.SMALL_M)):
        return None
    return doorway_to(doorways_of(room), plan, marks.camera[:2], marks.subject[:2])
