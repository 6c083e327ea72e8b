"""A row for each framing and lens: the distance it needs, whether camera and operator have that
floor, what is sharp.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from scout.assess.answers import FramingAnswer, unmeasured
from scout.assess.fit.levels import FACE_FRAMINGS
from scout.assess.fit.reasons import framing_why, metres
from scout.assess.stage.floor import Ground, lenses, lenses_unknown, mark_on
from scout.calc.fit.camera import circle_of_confusion_mm, depth_of_field
from scout.calc.fit.framing import (
    BEHIND_LENS_M,
    FACE_DISTORTION_M,
    FRAMING_NAMES,
    FRAMINGS,
    WIDE,
    CameraPlace,
    best_direction,
    camera_place,
    distance_for,
    wide_distance_m,
)
from scout.calc.fit.space import OPERATOR_WIDTH_M, Space, clear_depth_m
from scout.calc.geometry import FloatArray
from scout.records.sheet import Camera, RoomSheet
from scout.values import Said, said

SIZES = {framing.name: metres(framing.size_m) for framing in FRAMINGS}
SIZES_NOTE = said(
    "fit.sizes_of_frames",
    full=SIZES["full_figure"],
    medium=SIZES["medium"],
    close=SIZES["head_and_shoulders"],
    two=SIZES["two_people"],
)
PLACE_NOTE = said(
    "fit.floor_of_camera", behind=metres(BEHIND_LENS_M), across=metres(OPERATOR_WIDTH_M)
)


def framing_rows(
    sheet: RoomSheet, floor: Ground
) -> tuple[tuple[FramingAnswer, ...], tuple[Said, ...], Said | None]:
    """The rows, what was assumed for them, and why some figure is missing (None when none is)."""
    because = lenses_unknown(sheet)
    focal_lengths = lenses(sheet)
    if because is not None or sheet.kit is None or sheet.kit.camera is None:
        rows = tuple(
            FramingAnswer(name=name, focal_length_mm=focal, unknown=because)
            for name in FRAMING_NAMES
            for focal in focal_lengths
        )
        return rows, (), because
    subject = sheet.marks.subject if sheet.marks is not None else None
    camera_mark = sheet.marks.camera if sheet.marks is not None else None
    notes = [SIZES_NOTE, PLACE_NOTE]
    start: FloatArray | None = None
    way: FloatArray | None = None
    place_unknown = floor.unknown
    if floor.space is not None:
        if subject is None:
            place_unknown = unmeasured("marks.subject")
        else:
            start = np.asarray(mark_on(floor.space, subject)[:2])
            if camera_mark is None:
                way = best_direction(floor.space, start)
                notes.append(said("fit.most_floor"))
            else:
                way = np.asarray(mark_on(floor.space, camera_mark)[:2]) - start
    rows_found = [
        _row(name, focal, sheet.kit.camera, floor, start, way, place_unknown)
        for name in FRAMING_NAMES
        for focal in focal_lengths
    ]
    if sheet.kit.camera.f_number is None:
        notes.append(said("fit.no_depth_of_field"))
    return tuple(rows_found), tuple(notes), place_unknown


def _row(
    name: str,
    focal: float,
    camera: Camera,
    floor: Ground,
    start: FloatArray | None,
    way: FloatArray | None,
    unknown: Said | None,
) -> FramingAnswer:
    row = FramingAnswer(name=name, focal_length_mm=focal)
    assert camera.sensor_width_mm is not None
    assert camera.sensor_height_mm is not None
    if name == WIDE:
        if floor.space is None or start is None or way is None:
            return replace(row, unknown=unknown)
        return _wide(row, camera.sensor_width_mm, floor, floor.space, start, way)
    framing = next(framing for framing in FRAMINGS if framing.name == name)
    distance = distance_for(framing, focal, camera.sensor_width_mm, camera.sensor_height_mm)
    row = replace(row, distance_m=distance, face_distance_m=distance)
    if camera.f_number is not None and distance > focal / 1000.0:
        sharp = depth_of_field(
            distance,
            focal,
            camera.f_number,
            circle_of_confusion_mm(camera.sensor_width_mm, camera.sensor_height_mm),
        )
        row = replace(
            row,
            sharp_from_m=sharp.near_m,
            sharp_to_m=sharp.far_m,
            sharp_to_infinity=sharp.far_m is None,
        )
    if floor.space is None or start is None or way is None:
        return replace(row, unknown=unknown)
    place = camera_place(floor.space, start, way, distance, floor.heights_m)
    why = framing_why(place, distance, floor.exits, _names(floor))
    if why is None and name in FACE_FRAMINGS and distance < FACE_DISTORTION_M:
        least = metres(FACE_DISTORTION_M)
        why = said("fit.distorted", distance=metres(distance), least=least)
    return _placed(row, place, why, place.background_m if floor.walled else None)


def _placed(
    row: FramingAnswer, place: CameraPlace, why: Said | None, background_m: float | None
) -> FramingAnswer:
    assert row.distance_m is not None
    return replace(
        row,
        fits=place.fits,
        short_m=place.short_m,
        why=why,
        camera_m=place.camera_m if row.distance_m <= place.available_m else None,
        background_m=background_m,
        operator_beside=None if place.fits or place.reason == "hidden" else place.beside,
        behind=place.behind,
    )


def _names(floor: Ground) -> tuple[str, ...]:
    return tuple(block.name for block in floor.space.blocks) if floor.space is not None else ()


def _wide(
    row: FramingAnswer,
    sensor_width_mm: float,
    floor: Ground,
    space: Space,
    start: FloatArray,
    way: FloatArray,
) -> FramingAnswer:
    unit = way / np.linalg.norm(way)
    distance = wide_distance_m(space, unit, sensor_width_mm, row.focal_length_mm)
    back = clear_depth_m(space.plan_m, start, -unit)
    wall = start - unit * max(back - 1e-6, 0.0)
    place = camera_place(space, wall, unit, distance)
    why = framing_why(place, distance, floor.exits, _names(floor))
    row = replace(row, distance_m=distance, face_distance_m=distance - back)
    return _placed(row, place, why, distance if floor.walled else None)
