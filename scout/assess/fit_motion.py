"""The light along the subject's walk: key and fill as the plan sets them, with the day's light or without."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from scout.assess.answers import DaylightAnswer, MotionAnswer, PathLight, PlanLight
from scout.calc.geometry import FloatArray
from scout.calc.light.motion import path_points_m, stops_along
from scout.calc.light.photometry import illuminance_lux
from scout.records.sheet import Light, RoomSheet

STEP_M = 0.25
SEEN_STOPS = 1.0  # a face that walks through more than this is seen to change (common practice)
LAMP_CLEAR_M = 0.3  # nearer to a lamp than this nobody walks, and a lamp is no point


def motion(sheet: RoomSheet, plan: dict[str, PlanLight], daylight: DaylightAnswer | None) -> MotionAnswer | None:
    """The walk of the sheet's marks in the light of key and fill; None when no walk is marked."""
    marks = sheet.marks
    lights = {light.id: light for light in (sheet.kit.lights or ())} if sheet.kit is not None else {}
    if marks is None or marks.path is None or len(marks.path) < 2:
        return None
    if not any(b != a for a, b in zip(marks.path, marks.path[1:], strict=False)):
        return MotionAnswer(unknown="because every mark of the walk is at one place")
    points = path_points_m(np.asarray(marks.path, dtype=np.float64), STEP_M)
    lux, notes, because = np.zeros(len(points)), ["light on a face that turns to each lamp; nobody and nothing stands between"], None
    lit = False
    for name in ("key", "fill"):
        row = plan.get(name)
        if row is None or row.light is None or row.light not in lights:
            continue
        if row.at_m is None or row.lux is None:
            because = f"because the lux of the {name} is not known"
            break
        here = _of_light(points, lights[row.light], row, notes)
        if here is None:
            return MotionAnswer(unknown=f"because the walk leads through the {name}'s stand", latitude_stops=_latitude(sheet))
        lit, lux = True, lux + here
    if because is None and not lit:
        because = "because no light of the kit has a place"
    if because is not None or not bool(np.all(lux > 0)):
        return MotionAnswer(unknown=because or "because part of the walk is behind the lamps: nothing of them falls there", latitude_stops=_latitude(sheet))
    mark = daylight.marks.get("subject") if daylight is not None else None
    day = mark.overcast_lux_noon if mark is not None else None
    stops = stops_along(lux)
    with_day = None if day is None else stops_along(lux, day)
    if day is not None:
        notes.append("the overcast noon's light at the subject's mark is taken as even along the walk: near a window there is more")
    darkest, brightest = points[int(np.argmin(lux))], points[int(np.argmax(lux))]
    rows = tuple(PathLight(_point(p), float(e)) for p, e in zip(points, lux, strict=True))
    return MotionAnswer(points=rows, stops=stops, stops_with_daylight=with_day, latitude_stops=_latitude(sheet), brightest_m=_point(brightest),
                        darkest_m=_point(darkest), told=_told(stops, with_day, _latitude(sheet), lux, darkest, brightest), assumed=tuple(notes))


def _of_light(points: FloatArray, light: Light, row: PlanLight, notes: list[str]) -> FloatArray | None:
    """Lux of one lamp at the points, dimmed as the plan says; None when the walk leads through it."""
    assert row.at_m is not None
    assert light.known_lux_at_1m is not None  # the plan has a lux for it
    if bool(np.any(np.linalg.norm(points - np.asarray(row.at_m), axis=-1) < LAMP_CLEAR_M)):
        return None
    aim = row.aim_m if light.beam_deg is not None else None
    if light.beam_deg is None:
        notes.append(f"the beam of {light.id} is not recorded: taken as even wherever the walk goes")
    dim = 2.0 ** -(row.dim_stops or 0.0)
    return np.asarray(illuminance_lux(points, row.at_m, light.known_lux_at_1m * dim, aim_m=aim, beam_deg=light.beam_deg))


def _latitude(sheet: RoomSheet) -> float | None:
    camera = sheet.kit.camera if sheet.kit is not None else None
    return camera.latitude_stops if camera is not None else None


def _told(stops: float, with_day: float | None, latitude: float | None, lux: FloatArray, darkest: FloatArray, brightest: FloatArray) -> str:
    told = (f"along the walk the lamps change by {stops:.1f} stops, from {float(lux.max()):.0f} lx at {_place(brightest)} "
            f"to {float(lux.min()):.0f} lx at {_place(darkest)}")
    if latitude is not None:
        told += f", of the camera's {latitude:g} stops"
    if with_day is not None and with_day < stops - 0.05:
        told += f"; {with_day:.1f} stops with an overcast noon besides"
    if stops <= SEEN_STOPS:
        return f"{told}: even enough"
    return f"{told}: move the lamps further off or raise them, flag the near end, or add a light at {_place(darkest)}"


def _place(point: Sequence[float] | FloatArray) -> str:
    return f"({point[0]:.1f}, {point[1]:.1f}) m"


def _point(point: FloatArray) -> tuple[float, float, float]:
    x, y, z = (float(value) for value in point)
    return x, y, z
