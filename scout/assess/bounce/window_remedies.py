"""Daylight that a wall colours, as one more light that white may mend: both sides of the face worked
out again.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

import numpy as np

from scout.assess.answers import WindowLightAnswer
from scout.assess.bounce.case import TO_MEND, Case, Cloths
from scout.assess.bounce.covers import with_white
from scout.assess.bounce.room import LitRoom
from scout.assess.bounce.start import ROUGHLY
from scout.assess.bounce.windows import (
    Hour,
    WindowRoom,
    by_surfaces,
    came_to,
    hour_of,
    side_of,
    towards_windows,
    window_room,
)
from scout.assess.bounce.worst import worst_of
from scout.calc.bounce.reach import CLOSED, all_landing, faces_of_each
from scout.calc.bounce.shift import shifts
from scout.calc.daylight.window.beam import nearest_patch
from scout.calc.geometry import FloatArray
from scout.records.sheet import RoomSheet
from scout.values import Word

WINDOWS = "windows"


def window_cases(
    sheet: RoomSheet, on: date, rows: tuple[WindowLightAnswer, ...], lit: LitRoom
) -> Iterator[Case]:
    """The worst hour on the shadow side, where a surface is to blame."""
    worst = worst_of(row for row in rows if row.side == "shadow" and row.risk in TO_MEND)
    subject = sheet.marks.subject if sheet.marks is not None else None
    if worst is None or worst.worst_surface is None or subject is None:
        return
    room = window_room(sheet, lit, on)
    if not isinstance(room, WindowRoom):
        return
    hour = hour_of(room, worst.sky, worst.at)
    if not isinstance(hour, Hour):
        return
    toward = towards_windows(room, subject)
    patches = room.ready.room.patches
    sides = [side_of(room, subject, way) for way in (toward, -toward)]
    straight = [came_to(room, side, hour).straight for side in sides]

    def again(rooms: Sequence[Cloths], closed: float) -> list[tuple[FloatArray, FloatArray]]:
        """What comes to the lit side and to the shadow side; what comes straight stays."""
        white = (with_white(patches, room.reflectance, cloths) for cloths in rooms)
        looks = [side.face.view for side in sides]
        found = []
        for faces in faces_of_each(room.ready.room, white, looks, closed):
            lit_side, shadow = (
                direct + by_surfaces(hour, there.weight)
                for direct, there in zip(straight, faces, strict=True)
            )
            found.append((lit_side, shadow))
        return found

    ((direct, before),) = again([()], CLOSED)
    (shift,) = shifts(direct, before[None])
    landing = all_landing(room.ready.room, room.reflectance, hour.total, closed=ROUGHLY)
    by_area = sides[1].face.view.seen * landing.mean(axis=1) / np.maximum(patches.area_m2, 1e-12)
    # The two rooms may be cut differently: daylight minds glass and furniture that lamps do not.
    here = lit.room.patches
    weight = by_area[nearest_patch(patches.centre_m, patches.flat, here.centre_m, here.flat)]
    yield Case(
        WINDOWS,
        Word("side", "shadow"),
        worst,
        direct,
        before,
        shift,
        worst.worst_surface,
        np.asarray(weight * here.area_m2),
        again,
    )
