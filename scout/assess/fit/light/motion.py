"""The light along the subject's walk: key and fill as the plan sets them, with the day's light or
without.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from scout.assess.answers import DaylightAnswer, MotionAnswer, PathLight, PlanLight
from scout.assess.fit.day import overcast_lux
from scout.assess.fit.reasons import metres, plane
from scout.assess.stage.kit import between_deg, lights_by_id
from scout.calc.geometry import FloatArray
from scout.calc.light.motion import path_points_m, stops_along
from scout.calc.light.photometry import illuminance_lux
from scout.records.sheet import Light, RoomSheet
from scout.values import Figure, Name, Said, Word, said

STEP_M = 0.25
SEEN_STOPS = 1.0  # a face that walks through more than this is seen to change (common practice)
ALONG_DEG, ACROSS_DEG = 30.0, 60.0  # of a walk to the lens
LAMP_CLEAR_M = 0.3  # nearer to a lamp than this nobody walks, and a lamp is no point


def motion(
    sheet: RoomSheet, plan: dict[str, PlanLight], daylight: DaylightAnswer | None
) -> MotionAnswer | None:
    """The walk of the sheet's marks in the light of key and fill; None when no walk is marked."""
    marks = sheet.marks
    lights = lights_by_id(sheet)
    if marks is None or marks.path is None or len(marks.path) < 2:
        return None
    if not any(b != a for a, b in zip(marks.path, marks.path[1:], strict=False)):
        return MotionAnswer(unknown=said("fit.walk_still"))
    points = path_points_m(np.asarray(marks.path, dtype=np.float64), STEP_M)
    lux, notes, because = (
        np.zeros(len(points)),
        [said("fit.walk_face")],
        None,
    )
    lit = False
    for name in ("key", "fill"):
        row = plan.get(name)
        if row is None or row.light is None or row.light not in lights:
            continue
        if row.at_m is None or row.lux is None:
            because = said("fit.walk_lux", part=Word("part", name))
            break
        here = _of_light(points, lights[row.light], row, notes)
        if here is None:
            return MotionAnswer(
                unknown=said("fit.walk_stand", light=Name(row.light)),
                latitude_stops=_latitude(sheet),
            )
        lit, lux = True, lux + here
    if because is None and not lit:
        because = said("fit.no_light_placed")
    if because is not None or not bool(np.all(lux > 0)):
        return MotionAnswer(
            unknown=because or said("fit.walk_behind"),
            latitude_stops=_latitude(sheet),
        )
    day = _daylight(sheet, daylight, points, notes)
    stops = stops_along(lux)
    whole = None if day is None else lux + day
    with_day = None if whole is None else stops_along(whole)
    shown = lux if whole is None else whole
    rows = tuple(
        PathLight(_point(p), float(e), None if day is None else float(day[k]))
        for k, (p, e) in enumerate(zip(points, lux, strict=True))
    )
    return MotionAnswer(
        points=rows,
        stops=stops,
        stops_with_daylight=with_day,
        latitude_stops=_latitude(sheet),
        start=_start(sheet, points, shown),
        assumed=tuple(notes),
    )


def _daylight(
    sheet: RoomSheet, daylight: DaylightAnswer | None, points: FloatArray, notes: list[Said]
) -> FloatArray | None:
    """The overcast noon's light along the walk, on the side that the camera sees; None when it is
    not known, which is said.
    """
    if daylight is None:
        return None
    camera = sheet.marks.camera if sheet.marks is not None else None
    ways = np.tile([0.0, 0.0, 1.0], (len(points), 1))
    if camera is not None:
        across = np.asarray(camera)[:2] - points[:, :2]
        size = np.linalg.norm(across, axis=1)
        ways = np.where(
            (size > 1e-6)[:, None],
            np.column_stack([across / np.maximum(size, 1e-6)[:, None], np.zeros(len(points))]),
            ways,
        )
    day = overcast_lux(sheet, daylight, points, ways)
    if not isinstance(day, np.ndarray):
        notes.append(said("fit.walk_no_day"))
        return None
    notes.append(said("fit.walk_day", where=plane(camera is not None)))
    return day


def _of_light(
    points: FloatArray, light: Light, row: PlanLight, notes: list[Said]
) -> FloatArray | None:
    """Lux of one lamp at the points, dimmed as the plan says; None when the walk leads through it."""
    assert row.at_m is not None
    assert light.known_lux_at_1m is not None  # the plan has a lux for it
    if bool(np.any(np.linalg.norm(points - np.asarray(row.at_m), axis=-1) < LAMP_CLEAR_M)):
        return None
    aim = row.aim_m if light.beam_deg is not None else None
    if light.beam_deg is None:
        notes.append(said("fit.beam_even", light=Name(light.id)))
    dim = 2.0 ** -(row.dim_stops or 0.0)
    return np.asarray(
        illuminance_lux(
            points, row.at_m, light.known_lux_at_1m * dim, aim_m=aim, beam_deg=light.beam_deg
        )
    )


def _latitude(sheet: RoomSheet) -> float | None:
    camera = sheet.kit.camera if sheet.kit is not None else None
    return camera.latitude_stops if camera is not None else None


def _start(sheet: RoomSheet, points: FloatArray, shown: FloatArray) -> Said | None:
    """The longest stretch within a stop, to start or hold the shot on, and the side from which the
    camera sees it squarely.
    """
    stops = np.log2(shown)
    best = (0, 0)
    for i in range(len(points)):
        low = high = stops[i]
        for j in range(i, len(points)):
            low, high = min(low, stops[j]), max(high, stops[j])
            if high - low > SEEN_STOPS:
                break
            if j - i > best[1] - best[0]:
                best = (i, j)
    i, j = best
    if i == j:
        return None
    length = float(np.sum(np.linalg.norm(np.diff(points[i : j + 1], axis=0), axis=1)))
    within = float(np.ptp(stops[i : j + 1]))
    camera = sheet.marks.camera if sheet.marks is not None else None
    angle, way = None, None
    if camera is not None:
        along, middle = points[j, :2] - points[i, :2], (points[i, :2] + points[j, :2]) / 2.0
        view = np.asarray(camera)[:2] - middle
        if along.any() and view.any():
            turned = between_deg(along, view)
            angle = min(turned, 180.0 - turned)
            way = (
                said("fit.along_lens")
                if angle < ALONG_DEG
                else said("fit.slantwise")
                if angle <= ACROSS_DEG
                else said("fit.across_lens")
            )
    return said(
        "fit.walk_start",
        from_place=place(points[i]),
        to_place=place(points[j]),
        length=metres(length),
        stops=Figure(within, "stops"),
        angle=None if angle is None else Figure(angle, "deg"),
        way=way,
    )


def place(point: Sequence[float] | FloatArray) -> Said:
    """A place on the floor by its coordinates."""
    return said("fit.at", x=metres(float(point[0])), y=metres(float(point[1])))


def _point(point: FloatArray) -> tuple[float, float, float]:
    x, y, z = (float(value) for value in point)
    return x, y, z
