"""What every answer about bounced light starts from: the kit's lights, the subject's face, the
figures of a colour, and why there is nothing to work with.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from scout.assess.answers import BlockNote, Point, unmeasured
from scout.assess.bounce.lamp import Lamp
from scout.assess.bounce.room import OUTDOORS, LitRoom
from scout.assess.bounce.worst import Row
from scout.calc.bounce.reach import Face, View, face, view
from scout.calc.bounce.shift import Shift
from scout.calc.bounce.surface import SKINS
from scout.calc.geometry import FloatArray
from scout.records.sheet import Light, RoomSheet
from scout.values import Said, Word, said

REFERENCE_M = 2.0  # losses are against the same light this far off, square on
NO_LIGHTS = said("bounce.no_lights")
NO_SUBJECT = unmeasured("marks.subject")
NO_LOOK = unmeasured("marks.subject_normal", "marks.camera")
ON_A_SURFACE = said("bounce.subject_on_a_surface")
LEVEL_FACE = said("bounce.level_face")
NEAREST_SUBJECT_M = 0.05
SEES_ENOUGH = (
    0.98  # a face inside the room sees surfaces all round; at less it stands on or in a wall
)
ROUGHLY = 1e-2  # enough to tell which surface matters
LEAST_CULPRIT = 0.05  # CIEDE2000 of grey: a surface that explains less is no culprit
SHIFTED = (
    "xy",
    "cct_k",
    "duv",
    "duv_shift",
    "mired_shift",
    "delta_e",
    "delta_e_white",
    "delta_e_skin",
    "delta_e_dark_skin",
    "delta_e_skin_balanced",
    "risk",
)


def with_shift(row: Row, shift: Shift) -> Row:
    """A row with the figures of its colour, as many as it has."""
    figures: dict[str, Any] = {name: getattr(shift, name) for name in SHIFTED if hasattr(row, name)}
    if hasattr(row, "delta_e_skins"):
        figures["delta_e_skins"] = dict(zip(SKINS, shift.delta_e_skins, strict=True))
    # of no cast the colour is what rounding leaves of it
    tint = None if shift.risk == "none" else Word("tint", shift.tint)
    return replace(row, tint=tint, **figures)


def no_room(why: Said) -> BlockNote:
    """The note where there is no room to work with; outdoors nothing is unknown, there is none."""
    return BlockNote((why,)) if why == OUTDOORS else BlockNote(unknown=why)


def lights_of(sheet: RoomSheet) -> tuple[Light, ...]:
    """The lights of the kit."""
    return (sheet.kit.lights or ()) if sheet.kit is not None else ()


def facing(sheet: RoomSheet) -> tuple[FloatArray | None, tuple[Said, ...]]:
    """(3,) the way the subject's face looks, with what was assumed; None when nothing tells."""
    marks = sheet.marks
    if marks is None or marks.subject is None:
        return None, ()
    if marks.subject_normal is not None:
        way = np.array(marks.subject_normal, dtype=np.float64)
        return way / np.linalg.norm(way), ()
    if marks.camera is None:
        return None, ()
    way = np.array([marks.camera[0] - marks.subject[0], marks.camera[1] - marks.subject[1], 0.0])
    if (length := float(np.linalg.norm(way))) < NEAREST_SUBJECT_M:
        return None, ()
    return way / length, (LEVEL_FACE,)


def in_the_open(lit: LitRoom, subject: Point, looks: View) -> Said | None:
    """Why a face cannot be worked with where it stands, or None."""
    if (
        not 0 < subject[2] < lit.room.patches.height_m
        or abs(float(looks.seen.sum()) - 1.0) > 1.0 - SEES_ENOUGH
    ):
        return ON_A_SURFACE
    return None


def subject_look(sheet: RoomSheet, lit: LitRoom) -> View | Said:
    """What the subject's face sees of the room, or why there is none."""
    marks = sheet.marks
    if marks is None or marks.subject is None:
        return NO_SUBJECT
    way, _ = facing(sheet)
    if way is None:
        return NO_LOOK
    looks = view(lit.room, marks.subject, way)
    return in_the_open(lit, marks.subject, looks) or looks


def subject_faces(sheet: RoomSheet, lit: LitRoom) -> tuple[Face, ...] | Said:
    """The subject's face in each variant of the room, or why there is none."""
    looks = subject_look(sheet, lit)
    return (
        looks
        if isinstance(looks, Said)
        else tuple(face(lit.room, reflectance, looks) for reflectance in lit.reflectance)
    )


def loss_stops(lamp: Lamp, lux: float) -> float | None:
    return float(np.log2(lamp.unit_lux / REFERENCE_M**2 / lux)) if lux > 0 else None
