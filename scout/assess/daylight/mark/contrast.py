"""A window in frame against the face: how many stops it is brighter, and whether the camera's
latitude holds both.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cache

import numpy as np

from scout.assess.answers import Answer
from scout.assess.daylight.mark.planes import Plane, plane_at
from scout.assess.daylight.place.events import day_of
from scout.assess.daylight.room.reckoned import Reckoned, reckoned
from scout.assess.stage.floor import ground, stage_of
from scout.assess.stage.views import fit_views
from scout.calc.bounce.spectra import d65, on_grid, reflected_share
from scout.calc.daylight.mark.clear_day import RoomSpot, clear_lux
from scout.calc.daylight.mark.room_light import room_light
from scout.calc.daylight.outside.sky import (
    OVERCAST,
    direct_normal_lux,
    extraterrestrial_lux,
    sky_lux,
)
from scout.calc.daylight.place.local_date import local_time
from scout.calc.daylight.sun.position import sun_position, unix_seconds
from scout.calc.geometry import walls
from scout.records.doorways import camera_doorway
from scout.records.sheet import RoomSheet
from scout.values import Figure, Name, Said, said


@dataclass(frozen=True, kw_only=True)
class WindowContrast(Answer):
    """One window against the face at one instant. Stops are above the face; `exceeds`: beyond the
    camera's latitude under either sky.
    """

    window: str
    focal_lengths_mm: tuple[float, ...] = ()  # the lenses that have it in frame
    overcast_stops: float | None = None
    clear_stops: float | None = None
    window_overcast_cd_m2: float | None = None
    window_clear_cd_m2: float | None = None
    face_overcast_cd_m2: float | None = None
    face_clear_cd_m2: float | None = None
    latitude_stops: float | None = None
    exceeds: bool | None = None
    said: Said | None = None


@dataclass(frozen=True, kw_only=True)
class ContrastAnswer(Answer):
    """Every window in frame of any lens of the kit, at one instant."""

    at: datetime | None = None
    windows: tuple[WindowContrast, ...] = ()


@cache
def light_skin() -> float:
    """The share of daylight that light skin sends back: the published test patch of that name."""
    return float(reflected_share(d65(), on_grid("test_reflectances.csv", "light_skin")))


def window_contrast(sheet: RoomSheet, on: date, *, at: datetime | None = None) -> ContrastAnswer:
    """The contrast of each window in frame against the face, at an instant or, when none is given,
    at the date's solar noon.
    """
    if sheet.room.setting == "exterior":
        return ContrastAnswer(unknown=said("light.no_window"))
    floor = ground(sheet.room)
    stage = stage_of(sheet, floor)
    if isinstance(stage, Said):
        return ContrastAnswer(unknown=stage)
    if camera_doorway(sheet.room, sheet.marks) is not None:
        return ContrastAnswer(unknown=said("light.camera_outside"))
    if not stage.views:
        return ContrastAnswer(unknown=said("light.no_frame"))
    face = plane_at(sheet, on)
    if isinstance(face, Said):
        return ContrastAnswer(unknown=face)
    ready = reckoned(sheet, face.facings)
    if isinstance(ready, Said):
        return ContrastAnswer(unknown=ready)
    moment = unix_seconds(at) if at is not None else _noon(face, on)
    if isinstance(moment, Said):
        return ContrastAnswer(unknown=moment)
    when = local_time(moment, face.place.zone)
    sun = sun_position(np.array([moment]), **face.place.where)
    if float(sun.elevation_deg[0]) <= 0:
        return ContrastAnswer(
            at=when,
            unknown=said("light.sun_not_up"),
        )
    outdoors = _Outdoors(when.date(), float(sun.azimuth_deg[0]), float(sun.elevation_deg[0]))
    in_frame: dict[str, list[float]] = {}
    for view in fit_views(sheet, stage, floor):
        for window in view.windows:
            in_frame.setdefault(window, []).append(view.focal_length_mm)
    camera = sheet.kit.camera if sheet.kit is not None else None
    latitude = camera.latitude_stops if camera is not None else None
    rows = tuple(
        _row(window, tuple(lenses), sheet, ready, face, outdoors, latitude)
        for window, lenses in in_frame.items()
    )
    return ContrastAnswer(
        at=when,
        windows=rows,
        assumed=tuple(dict.fromkeys((said("light.skin"), said("light.latitude"), *face.assumed))),
    )


@dataclass(frozen=True)
class _Outdoors:
    on: date
    azimuth_deg: float
    elevation_deg: float


def _noon(face: Plane, on: date) -> float | Said:
    day = day_of(face.place, on)
    if isinstance(day, Said):
        return day
    return said("sun.no_noon") if day.noon is None else day.noon


def _lux(plane: Plane, outdoors: _Outdoors) -> tuple[float, float]:
    """Overcast and clear lux on a plane of which everything is known."""
    azimuth, height = np.array([outdoors.azimuth_deg]), np.array([outdoors.elevation_deg])
    clear = clear_lux(
        plane.spot,
        azimuth,
        height,
        outside_lux=extraterrestrial_lux(outdoors.on),
        ground_reflectance=plane.ground,
    )
    return plane.factor * float(sky_lux(height, OVERCAST)[0]), float(clear.lux[0])


def _row(
    window: str,
    lenses: tuple[float, ...],
    sheet: RoomSheet,
    ready: Reckoned,
    face: Plane,
    outdoors: _Outdoors,
    latitude: float | None,
) -> WindowContrast:
    row = WindowContrast(window=window, focal_lengths_mm=lenses, latitude_stops=latitude)
    glass = next((pane for pane in ready.glazing if pane.id == window), None)
    if glass is None:
        return replace(row, unknown=said("light.black_window", window=Name(window)))
    assert sheet.marks is not None
    assert sheet.marks.camera is not None
    eye = (float(sheet.marks.camera[0]), float(sheet.marks.camera[1]), float(sheet.marks.camera[2]))
    middle = _middle(
        ready,
        glass.pane.wall,
        glass.pane.offset_m + glass.pane.width_m / 2,
        glass.pane.sill_m + glass.pane.height_m / 2,
    )
    way = (middle[0] - eye[0], middle[1] - eye[1], middle[2] - eye[2])
    boxes = ready.around((eye,)).boxes
    seen = room_light(
        ready.plan_m, ready.height_m, (glass,), (eye,), None, normals=(way,), boxes=boxes
    )
    mark = seen.marks[0]
    whole = float(mark.direct.spreading[0])
    if whole <= 1e-9:
        return replace(row, unknown=said("light.not_seen", window=Name(window)))
    azimuth, height = np.array([outdoors.azimuth_deg]), np.array([outdoors.elevation_deg])
    overcast = mark.direct.overcast(face.ground) * float(sky_lux(height, OVERCAST)[0]) / whole
    spot = RoomSpot(seen, mark, face.turn_deg)
    found = clear_lux(
        spot,
        azimuth,
        height,
        outside_lux=extraterrestrial_lux(outdoors.on),
        ground_reflectance=face.ground,
    )
    beam, _ = spot.beam(azimuth, height, np.array([0.0]) + _direct(outdoors))
    clear = (float(found.lux[0]) - float(beam[0])) / whole
    faces = [light_skin() * lux / np.pi for lux in _lux(face, outdoors)]
    stops = [
        round(float(np.log2(bright / dim)), 2) if bright > 0 and dim > 0 else None
        for bright, dim in zip((overcast, clear), faces, strict=True)
    ]
    exceeds = (
        None
        if latitude is None or None in stops
        else bool(max(part for part in stops if part is not None) > latitude)
    )
    return replace(
        row,
        overcast_stops=stops[0],
        clear_stops=stops[1],
        window_overcast_cd_m2=round(overcast, 1),
        window_clear_cd_m2=round(clear, 1),
        face_overcast_cd_m2=round(float(faces[0]), 2),
        face_clear_cd_m2=round(float(faces[1]), 2),
        exceeds=exceeds,
        said=_said(window, stops, latitude),
        unknown=said("light.no_latitude") if latitude is None else None,
    )


def _direct(outdoors: _Outdoors) -> float:
    return float(direct_normal_lux(outdoors.elevation_deg, extraterrestrial_lux(outdoors.on)))


def _middle(
    ready: Reckoned, wall: int, offset_m: float, height_m: float
) -> tuple[float, float, float]:
    x, y, z = walls(ready.plan_m)[wall].point(offset_m, height_m)
    return float(x), float(y), float(z)


def _said(window: str, stops: list[float | None], latitude: float | None) -> Said | None:
    known = [value for value in stops if value is not None]
    if not known:
        return None
    low, high = min(known), max(known)
    comes = said("light.both_held")
    if latitude is not None and low > latitude:
        comes = said("light.burns", times=Figure(2 ** (high - latitude), "count"))
    elif latitude is not None and high > latitude:
        comes = said("light.may_burn")
    return said(
        "light.window",
        window=Name(window),
        over=Figure(high, "stops", low, high),
        latitude=None if latitude is None else Figure(latitude, "stops"),
        comes=comes,
    )
