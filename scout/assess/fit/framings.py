"""A row for each framing and lens: the distance it needs, whether camera and operator have that
floor, what is sharp.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from scout.assess.answers import FramingAnswer
from scout.assess.fit.words import framing_why
from scout.assess.stage.floor import Ground, lenses, lenses_unknown, mark_on
from scout.calc.fit.camera import circle_of_confusion_mm, depth_of_field
from scout.calc.fit.framing import (
    BEHIND_LENS_M,
    FACE_DISTORTION_M,
    FRAMING_NAMES,
    FRAMINGS,
    WIDE,
    best_direction,
    camera_place,
    distance_for,
    wide_distance_m,
)
from scout.calc.fit.space import Space, clear_depth_m
from scout.calc.geometry import FloatArray
from scout.records.sheet import Camera, RoomSheet

NEAREST_TENTHS = 4  # nothing is framed from nearer than 0.4 m
FACE_FRAMINGS = ("medium", "head_and_shoulders", "two_people")
SIZES_NOTE = (
    "frame sizes: full figure 1.9 m, medium 0.9 m, head and shoulders 0.6 m high, two people side by side 1.5 m wide, "
    "wide takes the room from side to side at its back wall, its distance measured from that wall (common practice)"
)
PLACE_NOTE = "behind the lens, tripod and operator take 1.5 m, 1.0 m across (common practice)"


def framing_rows(
    sheet: RoomSheet, floor: Ground
) -> tuple[tuple[FramingAnswer, ...], tuple[str, ...], str | None]:
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
            place_unknown = "because the subject's mark is not set"
        else:
            start = np.asarray(mark_on(floor.space, subject)[:2])
            if camera_mark is None:
                way = best_direction(floor.space, start)
                notes.append(
                    "the camera's mark is not set: framings are tried in the direction with the most floor"
                )
            else:
                way = np.asarray(mark_on(floor.space, camera_mark)[:2]) - start
    rows_found = [
        _row(name, focal, sheet.kit.camera, floor, start, way, place_unknown)
        for name in FRAMING_NAMES
        for focal in focal_lengths
    ]
    if sheet.kit.camera.f_number is None:
        notes.append("the f-number is not recorded: depth of field is not worked out")
    return tuple(rows_found), tuple(notes), place_unknown


def _row(
    name: str,
    focal: float,
    camera: Camera,
    floor: Ground,
    start: FloatArray | None,
    way: FloatArray | None,
    unknown: str | None,
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
    row = replace(row, distance_m=distance)
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
    behind = place.background_m - distance
    why = framing_why(
        place, distance, behind, floor.exits, walled=floor.walled, moves=True, blocks=_names(floor)
    )
    if why is None and name in FACE_FRAMINGS and distance < FACE_DISTORTION_M:
        why = f"fits, but from {distance:.2f} m a face is drawn out of shape (under {FACE_DISTORTION_M:g} m): take a longer lens if one fits"
    camera_m = place.camera_m if distance <= place.available_m else None
    return replace(
        row,
        fits=place.fits,
        why=why,
        camera_m=camera_m,
        background_m=place.background_m if floor.walled else None,
        operator_beside=None if place.fits else place.beside,
    )


def _names(floor: Ground) -> tuple[str, ...]:
    return tuple(block.name for block in floor.space.blocks) if floor.space is not None else ()


def tightest_and_widest(sheet: RoomSheet, floor: Ground) -> str | None:
    """The closest and the widest frame that this room and these lenses allow, in words with
    figures; None when it cannot be told.
    """
    marks, kit = sheet.marks, sheet.kit
    if (
        floor.space is None
        or marks is None
        or marks.subject is None
        or kit is None
        or kit.camera is None
        or lenses_unknown(sheet) is not None
    ):
        return None
    assert kit.camera.sensor_width_mm is not None
    assert kit.camera.sensor_height_mm is not None
    width, height = kit.camera.sensor_width_mm, kit.camera.sensor_height_mm
    start = np.asarray(mark_on(floor.space, marks.subject)[:2])
    way = (
        best_direction(floor.space, start)
        if marks.camera is None
        else np.asarray(mark_on(floor.space, marks.camera)[:2]) - start
    )
    line = "on the line with the most floor" if marks.camera is None else "on the camera's line"
    space, heights = floor.space, floor.heights_m
    last = int(
        np.floor(
            10.0 * (clear_depth_m(space.plan_m, start, way / np.linalg.norm(way)) - BEHIND_LENS_M)
            + 1e-9
        )
    )

    def first(tenths: range) -> float | None:
        return next(
            (d / 10.0 for d in tenths if camera_place(space, start, way, d / 10.0, heights).fits),
            None,
        )

    far = first(range(last, NEAREST_TENTHS - 1, -1))
    if far is None:
        return f"{line} tripod and operator (1.5 m behind the lens) have no floor at any distance: hand-held, or from beside the camera, only"
    short, long = lenses(sheet)[0], lenses(sheet)[-1]
    near = first(range(round(10.0 * FACE_DISTORTION_M), last + 1)) or far
    told = (
        f"tightest {line}: {_frame(near, long, width, height)} with {long:g} mm from {near:.1f} m"
        f"; widest: {_frame(far, short, width, height)} with {short:g} mm from {far:.1f} m"
    )
    if near < FACE_DISTORTION_M - 1e-9:
        told += f"; nearer than {FACE_DISTORTION_M:g} m, which is all there is, a face is drawn out of shape"
    else:
        told += f"; nearer than {FACE_DISTORTION_M:g} m a face is drawn out of shape"
    return told


def _frame(distance_m: float, focal_mm: float, width_mm: float, height_mm: float) -> str:
    """A frame at the subject by its sides, and the framing it comes nearest to holding."""
    wide, high = distance_m * width_mm / focal_mm, distance_m * height_mm / focal_mm
    holds = [
        framing
        for framing in FRAMINGS
        if (high if framing.side == "height" else wide) >= framing.size_m - 1e-9
    ]
    largest = max(
        (framing for framing in holds if framing.side == "height"),
        key=lambda framing: framing.size_m,
        default=None,
    )
    if high >= 2.5:
        name = "a full figure with room round it"
    elif largest is not None:
        name = largest.name.replace("_", " ")
    else:
        name = "a part of a face" if high < 0.25 else "a close face"
    return f"{wide:.2f} by {high:.2f} m, {name},"


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
    why = framing_why(
        place, distance, 0.0, floor.exits, walled=floor.walled, moves=False, blocks=_names(floor)
    )
    camera_m = place.camera_m if distance <= place.available_m else None
    return replace(
        row,
        distance_m=distance,
        fits=place.fits,
        why=why,
        camera_m=camera_m,
        background_m=distance if floor.walled else None,
        operator_beside=None if place.fits else place.beside,
    )
