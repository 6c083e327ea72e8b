"""A row for each framing and lens: the distance it needs, whether camera and operator have that
floor, what is sharp.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from scout.assess.answers import FramingAnswer, unmeasured
from scout.assess.fit.levels import FACE_FRAMINGS
from scout.assess.fit.reasons import framing_why, metres
from scout.assess.stage.floor import Ground, ground, lenses, lenses_unknown, mark_on
from scout.calc.fit.floor.doorway import WALL_M
from scout.calc.fit.floor.space import OPERATOR_WIDTH_M, Space, clear_depth_m
from scout.calc.fit.lens.camera import View, circle_of_confusion_mm, depth_of_field
from scout.calc.fit.lens.framing import (
    BEHIND_LENS_M,
    FACE_DISTORTION_M,
    FRAMING_NAMES,
    FRAMINGS,
    WIDE,
    CameraPlace,
    best_direction,
    camera_place,
    camera_places,
    distance_for,
    wide_distance_m,
)
from scout.calc.fit.lens.through import doorway_to
from scout.calc.geometry import SMALL_M, FloatArray
from scout.records.sheet import Camera, Marks, RoomSheet
from scout.values import Said, said

SHARES = (0.5, 0.35, 0.65, 0.2, 0.8)  # of a door's width, tried for the line of sight
LEAST_FLOOR_M = 0.1  # no lens stands in the subject
FACE_TO_LENS = 0.5  # the cosine of the angle up to which a lens sees a face's front
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
                way = np.asarray(camera_mark[:2]) - start
                if (
                    doorway_to(floor.space.doorways, floor.space.plan_m, camera_mark[:2], start)
                    is None
                ):
                    way = np.asarray(mark_on(floor.space, camera_mark)[:2]) - start
    asked = [(name, focal) for name in FRAMING_NAMES for focal in focal_lengths]
    lenses_at = [_lens(sheet.kit.camera, focal) for _, focal in asked]
    rows_found = _placed_rows(
        [
            _row(name, lens, sheet.kit.camera)
            for (name, _), lens in zip(asked, lenses_at, strict=True)
        ],
        lenses_at,
        floor,
        start,
        way,
        place_unknown,
    )
    if any(row.through is not None for row in rows_found):
        notes.append(said("fit.doorway_taken", wall=metres(WALL_M)))
    if sheet.kit.camera.f_number is None:
        notes.append(said("fit.no_depth_of_field"))
    return rows_found, tuple(notes), place_unknown


def _lens(camera: Camera, focal: float) -> View:
    """A lens at its sensor, wherever it stands."""
    assert camera.sensor_width_mm is not None
    assert camera.sensor_height_mm is not None
    return View(
        (0.0, 0.0, 0.0), (1.0, 0.0, 0.0), camera.sensor_width_mm, camera.sensor_height_mm, focal
    )


def _row(name: str, lens: View, camera: Camera) -> FramingAnswer:
    """What of a row the room does not change."""
    focal = lens.focal_length_mm
    row = FramingAnswer(name=name, focal_length_mm=focal)
    if name == WIDE:
        return row
    framing = next(framing for framing in FRAMINGS if framing.name == name)
    distance = distance_for(framing, focal, lens.sensor_width_mm, lens.sensor_height_mm)
    row = replace(row, distance_m=distance, face_distance_m=distance)
    if camera.f_number is None or distance <= focal / 1000.0:
        return row
    sharp = depth_of_field(
        distance,
        focal,
        camera.f_number,
        circle_of_confusion_mm(lens.sensor_width_mm, lens.sensor_height_mm),
    )
    return replace(
        row,
        sharp_from_m=sharp.near_m,
        sharp_to_m=sharp.far_m,
        sharp_to_infinity=sharp.far_m is None,
    )


def _placed_rows(
    rows: Sequence[FramingAnswer],
    lenses_at: Sequence[View],
    floor: Ground,
    start: FloatArray | None,
    way: FloatArray | None,
    unknown: Said | None,
) -> tuple[FramingAnswer, ...]:
    """The rows with where the camera then stands, those along one line asked for together."""
    if floor.space is None or start is None or way is None:
        return tuple(replace(row, unknown=unknown) for row in rows)
    wide = [k for k, row in enumerate(rows) if row.name == WIDE]
    asked = [(rows[k], lenses_at[k]) for k in wide]
    found = dict(zip(wide, _wide(asked, floor, floor.space, start, way), strict=True))
    faces = [k for k in range(len(rows)) if k not in found]
    alongs = [floor_m(rows[k].distance_m or 0.0, floor.heights_m) for k in faces]
    places = camera_places(
        floor.space, start, way, alongs, floor.heights_m, [lenses_at[k] for k in faces]
    )
    for k, along, place in zip(faces, alongs, places, strict=True):
        row = rows[k]
        assert row.distance_m is not None
        distance = row.distance_m
        why = framing_why(place, distance, floor.exits, _names(floor))
        if why is None and row.name in FACE_FRAMINGS and distance < FACE_DISTORTION_M:
            least = metres(FACE_DISTORTION_M)
            why = said("fit.distorted", distance=metres(distance), least=least)
        behind = place.background_m - along + distance  # what is behind the face is as far from it
        found[k] = _placed(row, place, along, why, behind if floor.walled else None)
    return tuple(found[k] for k in range(len(rows)))


def floor_m(straight_m: float, heights_m: tuple[float, float] | None) -> float:
    """How far apart along the floor lens and face stand that are so far from each other, straight;
    their heights not known, as far. By Pythagoras; a lens over the head stays off it.
    """
    rise = 0.0 if heights_m is None else heights_m[0] - heights_m[1]
    return math.sqrt(max(straight_m**2 - rise**2, LEAST_FLOOR_M**2))


def through_door(sheet: RoomSheet, row: FramingAnswer) -> tuple[str, tuple[float, float]] | None:
    """A door from behind which a framing has its whole frame, and where its lens then is; None where
    there is none that a face looks towards.
    """
    marks, camera = sheet.marks, sheet.kit.camera if sheet.kit is not None else None
    space = ground(sheet.room).space
    if (
        row.name == WIDE
        or row.distance_m is None
        or space is None
        or marks is None
        or marks.subject is None
        or marks.camera is None
        or camera is None
        or camera.sensor_width_mm is None
        or camera.sensor_height_mm is None
    ):
        return None
    start, heights = (
        np.asarray(mark_on(space, marks.subject)[:2]),
        (
            marks.camera[2],
            marks.subject[2],
        ),
    )
    lens = View(
        (0.0, 0.0, 0.0),
        (1.0, 0.0, 0.0),
        camera.sensor_width_mm,
        camera.sensor_height_mm,
        row.focal_length_mm,
    )
    for doorway in space.doorways:
        for share in SHARES:
            way = doorway.at(share * doorway.width_m, doorway.depth_m / 2.0) - start
            far = float(np.linalg.norm(way))
            along = floor_m(row.distance_m, heights)
            if not SMALL_M < far < along or not _faces(marks, way / far):
                continue
            place = camera_place(space, start, way, along, heights, lens)
            if place.fits and place.through is not None:
                return place.through, place.camera_m
    return None


def _faces(marks: Marks, way: FloatArray) -> bool:
    """Whether a face whose direction is recorded looks that way; any other turns to the lens."""
    if marks.subject_normal is None:
        return True
    normal = np.asarray(marks.subject_normal[:2])
    return float(normal @ way) >= FACE_TO_LENS * float(np.linalg.norm(normal))


def _placed(
    row: FramingAnswer,
    place: CameraPlace,
    along_m: float,
    why: Said | None,
    background_m: float | None,
) -> FramingAnswer:
    return replace(
        row,
        fits=place.fits,
        short_m=place.short_m,
        why=why,
        camera_m=place.camera_m if along_m <= place.available_m else None,
        background_m=background_m,
        operator_beside=None if place.fits or place.reason == "hidden" else place.beside,
        behind=place.behind,
        through=place.through,
    )


def _names(floor: Ground) -> tuple[str, ...]:
    return tuple(block.name for block in floor.space.blocks) if floor.space is not None else ()


def _wide(
    asked: Sequence[tuple[FramingAnswer, View]],
    floor: Ground,
    space: Space,
    start: FloatArray,
    way: FloatArray,
) -> Iterator[FramingAnswer]:
    """The rows of the widest frame, which is measured from the wall behind the subject."""
    unit = way / np.linalg.norm(way)
    distances = [
        wide_distance_m(space, unit, lens.sensor_width_mm, lens.focal_length_mm)
        for _, lens in asked
    ]
    back = clear_depth_m(space.plan_m, start, -unit)
    wall = start - unit * max(back - 1e-6, 0.0)
    high = floor.heights_m and (floor.heights_m[0], floor.heights_m[0])
    # what furniture hides of a back wall is nobody's loss; behind a door the heights count
    places = camera_places(space, wall, unit, distances, None, [lens for _, lens in asked])
    for (row, lens), distance, place in zip(asked, distances, places, strict=True):
        if place.through is not None:
            place = camera_place(space, wall, unit, distance, high, lens)
        why = framing_why(place, distance, floor.exits, _names(floor))
        rise = 0.0 if floor.heights_m is None else floor.heights_m[0] - floor.heights_m[1]
        away = math.copysign(math.hypot(distance - back, rise), distance - back)
        row = replace(row, distance_m=distance, face_distance_m=away)
        yield _placed(row, place, distance, why, distance if floor.walled else None)
