"""What can be done about daylight that a wall colours: white over it, worked out again on both sides
of the face.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np

from scout.assess.answers import Change, RemedyAnswer, WindowLightAnswer
from scout.assess.bounce.bounce import ROUGHLY
from scout.assess.bounce.covers import WHITE, cloths, cover_of, white
from scout.assess.bounce.remedies import TO_MEND
from scout.assess.bounce.room import LitRoom, lit_room
from scout.assess.bounce.windows import (
    Hour,
    Side,
    WindowRoom,
    came_to,
    hour_of,
    side_of,
    towards_windows,
    window_room,
)
from scout.assess.bounce.worst import helps, worst_of
from scout.calc.bounce.reach import all_landing, lux_of
from scout.calc.bounce.shift import Shift, shifts
from scout.calc.bounce.spectra import NM
from scout.calc.geometry import FloatArray
from scout.records.sheet import RoomSheet
from scout.values import Many, Word, said

WINDOWS = "windows"


def window_remedies(
    sheet: RoomSheet, on: date, rows: tuple[WindowLightAnswer, ...]
) -> tuple[RemedyAnswer, ...]:
    """White over the surface that the worst hour blames on the shadow side, the least that brings
    it down to low, or the whole; none where it does not help.
    """
    worst = worst_of(row for row in rows if row.side == "shadow" and row.risk in TO_MEND)
    subject = sheet.marks.subject if sheet.marks is not None else None
    lit = lit_room(sheet)
    if worst is None or worst.worst_surface is None or subject is None:
        return ()
    if not isinstance(lit, LitRoom):
        return ()
    room = window_room(sheet, lit, on)
    if not isinstance(room, WindowRoom):
        return ()
    hour = hour_of(room, worst.sky, worst.at)
    if not isinstance(hour, Hour):
        return ()
    toward = towards_windows(room, subject)

    def cheeks(there: WindowRoom) -> tuple[Shift, float, Side]:
        """The shadow side against a card at the lit one, its lux, and what it sees."""
        sides = [side_of(there, subject, way) for way in (toward, -toward)]
        lit_side, shadow = (came_to(there, side, hour).total for side in sides)
        (shift,) = shifts(lit_side, shadow[None])
        return shift, float(lux_of(shadow, np.ones(len(NM)))), sides[1]

    now, lux, shadow = cheeks(room)
    patches = room.ready.room.patches
    landing = all_landing(room.ready.room, room.reflectance, hour.total, closed=ROUGHLY)
    weight: FloatArray = shadow.face.view.seen * landing.mean(axis=1)
    low, high = worst.delta_e_range or (0.0, 0.0)
    for cloth in cloths(patches, worst.worst_surface, weight):
        covered = room.reflectance.copy()
        covered[cloth.covered] = WHITE
        then, lux_then, _ = cheeks(replace(room, reflectance=covered))
        if not cloth.largest and then.risk in TO_MEND:
            continue
        if not helps(now.delta_e, then.delta_e, (high - low) / 2, now.risk, then.risk):
            return ()
        deed = white(cloth, Many((said("bounce.of_daylight"),)))
        return (
            RemedyAnswer(
                light=WINDOWS,
                target=Word("side", "shadow"),
                surface=cloth.surface,
                cover=cover_of(cloth),
                action=replace(deed, buys=Change("delta_e", "delta_e", now.delta_e, then.delta_e)),
                delta_e_before=now.delta_e,
                delta_e_after=then.delta_e,
                risk_before=now.risk,
                risk_after=then.risk,
                stops_change=float(np.log2(lux_then / lux)),
            ),
        )
    return ()
