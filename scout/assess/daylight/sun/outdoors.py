"""Outdoors: the sun as key, as back light or in the lens for a subject that looks one way, shade,
and a reflector that brings the sun back.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime, tzinfo

import numpy as np
from numpy.typing import NDArray

from scout.assess.answers import Interval, Point
from scout.assess.daylight.mark.marks import to_true
from scout.assess.daylight.mark.planes import plane_at
from scout.assess.daylight.place.events import day_of
from scout.assess.daylight.place.where import place_of, reason
from scout.assess.daylight.room.windows import skyline_of
from scout.assess.daylight.sun.touch import sun_touches
from scout.calc.daylight.outside.skyline import skyline_deg
from scout.calc.daylight.place.local_date import local_time
from scout.calc.daylight.sun.position import (
    SUNRISE_DEG,
    SunPosition,
    sun_position,
    towards,
    unix_seconds,
)
from scout.calc.geometry import FloatArray, require
from scout.calc.light.reflector import mirror_aim, patch_blur_m
from scout.errors import OutOfRange, Refused
from scout.records.sheet import RoomSheet
from scout.values import Figure, Said, said

STEP_S = 60.0
KEY_ASIDE_DEG = (30.0, 60.0)
KEY_HIGH_DEG = (30.0, 60.0)  # "near 45": common practice, 15 degrees either way
BACK_DEG = (
    120.0  # further round than this from where the face looks, the sun lights hair and shoulders
)
BACK_HIGH_DEG = 60.0  # from higher it falls on the crown and the eyes go dark (common practice)
FRONT_DEG = 30.0
CHEST_M = 0.35  # a hard beam is aimed so far under the eyes, never into them (common practice)


@dataclass(frozen=True)
class SunAsLight:
    """What the sun is to a subject's face over a date. `looks_deg`: the true bearing the face looks
    to.
    """

    on: date
    looks_deg: float | None = None
    key_left: tuple[
        Interval, ...
    ] = ()  # the sun to the left of a person who looks the subject's way
    key_right: tuple[Interval, ...] = ()
    flat: tuple[Interval, ...] = ()
    back: tuple[Interval, ...] = ()
    in_lens: tuple[Interval, ...] = ()  # it shines into the front of the lens
    in_frame: tuple[Interval, ...] = ()
    shade: tuple[Interval, ...] = ()  # the sun is up and the skyline hides it
    behind_subject: Said | None = None  # the sky in the background
    assumed: tuple[Said, ...] = ()
    cautions: tuple[Said, ...] = ()
    unknown: Said | None = None


@dataclass(frozen=True)
class ReflectorAim:
    """A flat reflector that sends the sun to the subject. Bearings are true; the tilt is of its
    normal above the level.
    """

    at: datetime
    stand_m: Point | None = None  # its middle, in the plan
    distance_m: float | None = None
    azimuth_deg: float | None = None
    tilt_deg: float | None = None
    incidence_deg: float | None = None
    sun_azimuth_deg: float | None = None
    sun_elevation_deg: float | None = None
    drift_m: float | None = None  # the drift that is borne
    reaim_min: float | None = None  # until the patch has walked so far, from this very time on
    soft_edge_m: float | None = None
    assumed: tuple[Said, ...] = ()
    cautions: tuple[Said, ...] = ()
    unknown: Said | None = None


def sun_as_light(sheet: RoomSheet, on: date) -> SunAsLight:
    """Spells of a local date in which the sun outdoors is key, flat, back light, in the lens, or
    hidden by the skyline; to the minute.

    The face looks the way of `subject_normal`, else towards the camera.
    """
    if sheet.room.setting != "exterior":
        return SunAsLight(on, unknown=said("sun.outdoors_only"))
    face = plane_at(sheet, on)
    if isinstance(face, Said):
        return SunAsLight(on, unknown=face)
    day = day_of(face.place, on)
    if isinstance(day, Said):
        return SunAsLight(on, unknown=day)
    east, north, _ = to_true(face.normal, face.turn_deg)
    if float(np.hypot(east, north)) < 1e-6:
        return SunAsLight(
            on,
            unknown=said("sun.no_side"),
        )
    looks = float(np.degrees(np.arctan2(east, north)) % 360.0)
    assumed = [said("sun.kinds"), said("sun.sky_behind"), *face.assumed]
    points = skyline_of(None, sheet.room.skyline, assumed)
    rows: dict[str, list[Interval]] = {
        name: [] for name in ("key_left", "key_right", "flat", "back", "shade")
    }
    for start, end in day.spans:
        at = np.arange(start + STEP_S / 2, end, STEP_S)
        sun = sun_position(at, **face.place.where)
        for name, so in _kinds(sun, looks, points).items():
            rows[name] += _runs(at, so, face.place.zone)
    touches = sun_touches(sheet, on)
    return SunAsLight(
        on,
        round(looks, 2) % 360.0,
        key_left=tuple(rows["key_left"]),
        key_right=tuple(rows["key_right"]),
        flat=tuple(rows["flat"]),
        back=tuple(rows["back"]),
        in_lens=touches.lens.spells,
        in_frame=touches.lens.sun_in_frame,
        shade=tuple(rows["shade"]),
        behind_subject=_behind(looks),
        assumed=tuple(dict.fromkeys(assumed)),
        cautions=touches.cautions,
    )


def _kinds(
    sun: SunPosition[FloatArray], looks: float, skyline: list[tuple[float, float]] | None
) -> dict[str, NDArray[np.bool_]]:
    up = sun.geometric_elevation_deg > SUNRISE_DEG
    stands = np.zeros(up.shape) if skyline is None else skyline_deg(skyline, sun.azimuth_deg)
    hidden = (
        up & (stands > 0) & (sun.elevation_deg <= stands)
    )  # on a level horizon the sun rises before its centre does
    shines = up & ~hidden
    aside = (
        sun.azimuth_deg - looks + 180.0
    ) % 360.0 - 180.0  # above 0: to the right of a person who looks that way
    high = (sun.elevation_deg >= KEY_HIGH_DEG[0]) & (sun.elevation_deg <= KEY_HIGH_DEG[1])
    keyed = (
        shines & high & (np.abs(aside) >= KEY_ASIDE_DEG[0]) & (np.abs(aside) <= KEY_ASIDE_DEG[1])
    )
    return {
        "key_left": keyed & (aside < 0),
        "key_right": keyed & (aside > 0),
        "flat": shines & (np.abs(aside) < FRONT_DEG),
        "back": shines & (np.abs(aside) > BACK_DEG) & (sun.elevation_deg <= BACK_HIGH_DEG),
        "shade": hidden,
    }


def _runs(at: FloatArray, so: NDArray[np.bool_], zone: tzinfo) -> list[Interval]:
    edges = np.flatnonzero(np.diff(np.concatenate([[False], so, [False]]).astype(int)))
    return [
        (
            local_time(float(at[a]) - STEP_S / 2, zone),
            local_time(float(at[b - 1]) + STEP_S / 2, zone),
        )
        for a, b in edges.reshape(-1, 2).tolist()
    ]


def _behind(looks: float) -> Said:
    return said("sun.behind_subject", bearing=Figure((looks + 180.0) % 360.0, "deg"))


def reflector(
    sheet: RoomSheet,
    at: datetime,
    *,
    stand_m: Point | None = None,
    drift_m: float = 0.3,
    distance_m: float = 4.0,
) -> ReflectorAim:
    """Where a flat reflector stands and points at an instant so that the sun falls on the subject's
    chest, and how soon it must be aimed again.

    stand_m:  of its middle in the plan [m]; None: distance_m from the subject, 45 degrees from
        where the face looks, on the side away
              from the sun, at the height of the mark or 1 m, whichever is higher
    drift_m:  how far the patch may walk, above 0 to 20 [m]
    Raises Refused, naming what is out of reach.
    """
    try:
        require("drift_m", drift_m, above=0, most=20)
        require("distance_m", distance_m, least=0.5, most=200)
        moment = unix_seconds(at)
        if stand_m is not None:
            require("stand_m", stand_m)
    except OutOfRange as refusal:
        raise Refused(refusal.path, refusal.given, refusal.because) from None
    place = place_of(sheet.location)
    face = (
        plane_at(sheet, at.astimezone(place.zone).date())
        if place.unknown is None
        else place.unknown
    )
    if isinstance(face, Said):
        return ReflectorAim(at, unknown=face)
    if sheet.room.setting != "exterior":
        return ReflectorAim(
            at,
            unknown=said("sun.outdoors_only"),
        )
    when = local_time(moment, place.zone)
    assumed = list(face.assumed)
    points = skyline_of(None, sheet.room.skyline, assumed)

    def sun_at(unix_s: float) -> SunPosition[FloatArray]:
        return sun_position(np.array([unix_s]), **place.where)

    sun = sun_at(moment)
    azimuth, height = float(sun.azimuth_deg[0]), float(sun.elevation_deg[0])
    shown = ReflectorAim(
        when,
        sun_azimuth_deg=round(azimuth, 2),
        sun_elevation_deg=round(height, 2),
        assumed=tuple(dict.fromkeys(assumed)),
    )
    if height <= 0:
        return replace(shown, unknown=said("sun.not_up"))
    if points is not None and height <= float(skyline_deg(points, azimuth)):
        return replace(shown, unknown=said("sun.behind_skyline"))
    subject = np.array(to_true(face.at_m, face.turn_deg))
    if stand_m is None:
        assumed.append(said("sun.reflector_stands", away=Figure(distance_m, "m")))
        where = _stand(face.normal, face.turn_deg, subject, azimuth, distance_m)
    else:
        where = np.array(to_true(stand_m, face.turn_deg))
    assumed.append(said("sun.reflector_chest", under=Figure(CHEST_M, "m")))
    eyes, subject = subject, np.array([*subject[:2], max(float(subject[2]) - CHEST_M, 0.0)])
    try:
        mirror_aim(azimuth, height, where, eyes)  # one that stands on the subject is refused
        aim = mirror_aim(azimuth, height, where, subject)
    except OutOfRange as refusal:
        return replace(shown, unknown=said("sun.no_mirror", why=reason(refusal)))
    away = float(np.linalg.norm(subject - where))
    back = to_true((float(where[0]), float(where[1]), float(where[2])), -face.turn_deg)
    minutes = _reaim_min(sun_at, moment, aim.normal, away, drift_m)
    if minutes is None:
        assumed.append(said("sun.reflector_stays"))
    return ReflectorAim(
        when,
        (round(back[0], 3), round(back[1], 3), round(back[2], 3)),
        round(away, 3),
        round(aim.azimuth_deg, 2),
        round(aim.tilt_deg, 2),
        round(aim.incidence_deg, 2),
        round(azimuth, 2),
        round(height, 2),
        drift_m,
        minutes,
        round(float(patch_blur_m(away)), 3),
        tuple(dict.fromkeys(assumed)),
        (said("sun.reflector_caution"),),
    )


def _stand(
    normal: Point, turn_deg: float, subject: FloatArray, azimuth_deg: float, distance_m: float
) -> FloatArray:
    east, north, _ = to_true(normal, turn_deg)
    looks = (
        np.degrees(np.arctan2(east, north)) if np.hypot(east, north) > 1e-6 else azimuth_deg + 135.0
    )
    aside = (azimuth_deg - looks + 180.0) % 360.0 - 180.0
    way = np.radians(looks + (-45.0 if aside > 0 else 45.0))
    height = max(float(subject[2]), 1.0)
    level = float(np.sqrt(max(distance_m**2 - (height - float(subject[2])) ** 2, 0.01)))
    return np.array([subject[0] + level * np.sin(way), subject[1] + level * np.cos(way), height])


def _reaim_min(
    sun_at: Callable[[float], SunPosition[FloatArray]],
    moment: float,
    normal: FloatArray,
    away_m: float,
    drift_m: float,
) -> float | None:
    """Minutes until the beam of a mirror left alone has walked drift_m across itself at the
    subject; None when the sun sets first.
    """

    def beam(unix_s: float) -> tuple[FloatArray, float]:
        sun = sun_at(unix_s)
        s = towards(sun.elevation_deg[0], sun.azimuth_deg[0])
        return 2.0 * float(s @ normal) * normal - s, float(sun.elevation_deg[0])

    first, _ = beam(moment)

    def walked(unix_s: float) -> float:
        now, _ = beam(unix_s)
        turned = float(np.arctan2(np.linalg.norm(np.cross(first, now)), float(first @ now)))
        return away_m * float(np.tan(turned)) if turned < np.pi / 2 else np.inf

    step = 30.0
    for k in range(1, 24 * 120):
        later = moment + k * step
        if beam(later)[1] <= 0:
            return None
        if walked(later) >= drift_m:
            low, high = later - step, later
            while high - low > 0.1:
                middle = (low + high) / 2.0
                low, high = (middle, high) if walked(middle) < drift_m else (low, middle)
            return round((high - moment) / 60.0, 2)
    return None
