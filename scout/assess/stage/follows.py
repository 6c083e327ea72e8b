"""Whether the camera still has its place where the subject is moved, with the picture kept."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from scout.assess.stage.floor import LEAST_SHOT_M, ground, mark_on
from scout.calc.fit.lens.framing import CameraPlace, camera_place
from scout.records.sheet import RoomSheet

HOLDS = ("tripod", "beside", "hand_held", "clamp", None)  # from the best to none at all
SAME_M = 1e-3  # of the floor that a line lacks


def camera_follows(sheet: RoomSheet) -> Callable[[tuple[float, float]], bool]:
    """Asks of a move of the subject over the floor [m] whether the camera can go with it, as far
    from the face on the same line, and stand no worse than it does; always, where the marks or the
    floor do not tell.

    sheet: with its camera where the scene has it, see `as_set`
    """
    marks, space = sheet.marks, ground(sheet.room).space
    if marks is None or marks.camera is None or marks.subject is None or space is None:
        return lambda by_m: True
    subject = np.asarray(mark_on(space, marks.subject)[:2])
    way = np.asarray(marks.camera[:2]) - subject
    apart_m = float(np.linalg.norm(way))
    if apart_m < LEAST_SHOT_M:
        return lambda by_m: True
    heights_m = marks.camera[2], marks.subject[2]

    def worth(by_m: tuple[float, float]) -> tuple[int, float]:
        place = camera_place(space, subject + np.asarray(by_m), way, apart_m, heights_m)
        return _rank(place), place.short_m if place.behind is None else 0.0

    now, lacking_m = worth((0.0, 0.0))
    return lambda by_m: worth(by_m) <= (now, lacking_m + SAME_M)


def _rank(place: CameraPlace) -> int:
    return HOLDS.index("tripod" if place.fits else place.behind)
