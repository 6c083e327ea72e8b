"""When direct sun touches what matters to a picture: the subject, the camera's lens (flare), or the
background in frame.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal, get_args

import numpy as np
from numpy.typing import NDArray

from scout.assess.answers import Interval, unmeasured
from scout.assess.daylight.mark.marks import no_mark, north_turn, unturned
from scout.assess.daylight.place.events import day_of
from scout.assess.daylight.place.where import Place, facings_of, place_of
from scout.assess.daylight.room.furniture import boxes_of, free_of
from scout.assess.daylight.room.windows import (
    PLACED,
    lets_sun_in,
    shading_pane,
    skyline_of,
    unmeasured_of,
)
from scout.assess.stage.floor import lenses, lenses_unknown
from scout.calc.daylight.outside.skyline import skyline_deg
from scout.calc.daylight.place.local_date import local_time
from scout.calc.daylight.sun.events import DayEvents
from scout.calc.daylight.sun.position import SUNRISE_DEG, SunPosition, sun_position, towards
from scout.calc.daylight.sun.roots import refine_crossings
from scout.calc.daylight.window.beam import beam_hits, reaches
from scout.calc.daylight.window.pane import Pane, wings_of
from scout.calc.fit.lens.camera import View, in_frame, off_frame_deg
from scout.calc.geometry import FloatArray, wall_letters
from scout.calc.radiosity import INWARD_M, Box, is_convex, sees, unhidden
from scout.records.doorways import camera_doorway
from scout.records.sheet import RoomSheet
from scout.values import Said, said

STEP_S = 60.0
FLARE_DEG = 30.0  # from the frame's edge: farther out a hood keeps the sun off (common practice)
RAYS = 12  # across and up each pane, for what the sun lights in frame
Lit = Callable[[SunPosition[FloatArray]], NDArray[np.bool_]]


@dataclass(frozen=True)
class SunTouch:
    """Spells of direct sun on one thing. what: "subject", "lens" (flare) or "background";
    focal_length_mm: of the frame, for the background.
    """

    what: str
    spells: tuple[Interval, ...] = ()
    total_min: float | None = None
    sun_in_frame: tuple[
        Interval, ...
    ] = ()  # of "lens": the sun itself stands in the frame of the shortest lens
    focal_length_mm: float | None = None
    unknown: Said | None = None


@dataclass(frozen=True)
class SunTouches:
    """What the sun touches on a date. `cautions` holds the eye and sensor caution when it shines
    into the lens.
    """

    on: date
    subject: SunTouch
    lens: SunTouch
    background: SunTouch
    assumed: tuple[Said, ...] = ()
    cautions: tuple[Said, ...] = ()
    unknown: Said | None = None


Struck = Literal["subject", "lens", "background"]
STRUCK: tuple[Struck, ...] = get_args(Struck)


@dataclass(frozen=True)
class _Opening:
    pane: Pane
    facing_deg: float
    skyline: list[tuple[float, float]] | None


def sun_touches(
    sheet: RoomSheet,
    on: date,
    focal_length_mm: float | None = None,
    *,
    of: Collection[Struck] = STRUCK,
) -> SunTouches:
    """Spells on a local date in which direct sun touches the subject, the lens from the front, or
    what is in frame behind the subject. What is not asked for (`of`) has no spells.

    The camera stands at its mark and looks at the subject; the frame is that of a focal length,
    else of the shortest lens.
    Ends are good to the second for
    the subject and the lens, to a minute for the background.
    """

    def lost(because: Said) -> SunTouches:
        subject, lens, background = (
            SunTouch(what, unknown=because) for what in ("subject", "lens", "background")
        )
        return SunTouches(on, subject, lens, background, unknown=because)

    place, facings = place_of(sheet.location), facings_of(sheet, on)
    if place.unknown is not None:
        return lost(place.unknown)
    day = day_of(place, on)
    if isinstance(day, Said):
        return lost(day)
    turn = north_turn(sheet, facings)
    if turn is None:
        return lost(unturned(sheet, facings))
    assumed = [*facings.assumed]
    marks = sheet.marks
    outdoors = sheet.room.setting == "exterior"
    openings = [] if outdoors else _openings(sheet, facings.true_deg, assumed)
    if isinstance(openings, Said):
        return lost(openings)
    boxes = _boxes(sheet, assumed)
    of_room = skyline_of(None, sheet.room.skyline, assumed) if outdoors else None
    held = _Day(place, day)

    def reached(point: tuple[float, float, float]) -> Lit:
        def lit(sun: SunPosition[FloatArray]) -> NDArray[np.bool_]:
            return (
                _shines_outdoors(sun, of_room)
                if outdoors
                else _reached(sheet, openings, point, sun, boxes)
            )

        return lit

    subject = camera = None
    if marks is not None:
        subject, camera = marks.subject, marks.camera
    no_subject = SunTouch("subject", unknown=no_mark("subject"))
    on_subject = no_subject
    if subject is not None:
        asked = "subject" in of
        on_subject = held.touch("subject", reached(subject)) if asked else SunTouch("subject")
    in_lens, behind = SunTouch("lens"), SunTouch("background")
    if subject is None or camera is None:
        because = no_mark("subject" if subject is None else "camera")
        in_lens, behind = (replace(touch, unknown=because) for touch in (in_lens, behind))
    elif not outdoors and camera_doorway(sheet.room, marks) is not None:
        because = said("light.camera_outside")
        in_lens, behind = (replace(touch, unknown=because) for touch in (in_lens, behind))
    else:
        view = _view(sheet, camera, subject, focal_length_mm)
        if "lens" in of:
            in_lens = _lens(held, sheet, view, reached(camera), turn)
        if "background" in of:
            behind = _background(held, sheet, view, camera, openings, boxes, outdoors=outdoors)
    if not outdoors and any(
        window.covering in ("sheer", "blind") for window in sheet.room.windows or ()
    ):
        assumed.append(said("sun.no_direct"))
    cautions = (said("sun.lens_caution"),) if in_lens.spells else ()
    return SunTouches(
        on, on_subject, in_lens, behind, tuple(dict.fromkeys((*assumed, *place.assumed))), cautions
    )


class _Day:
    """One local date, and when something is so on it."""

    def __init__(self, place: Place, day: DayEvents) -> None:
        self.place, self.day = place, day

    def sun(self, at_s: FloatArray) -> SunPosition[FloatArray]:
        place = self.place
        return sun_position(at_s, **place.where)

    def spells(self, lit: Lit, *, fine: bool = True) -> tuple[Interval, ...]:
        """The spells of the date in which the sun lights something: sampled each minute, their ends
        found by halving.
        """

        def margin(at_s: FloatArray) -> FloatArray:
            sun = self.sun(at_s.ravel())
            up = sun.geometric_elevation_deg > SUNRISE_DEG
            held = np.zeros(up.shape, dtype=bool)
            if np.any(up):
                held[up] = lit(
                    SunPosition(
                        sun.elevation_deg[up],
                        sun.geometric_elevation_deg[up],
                        sun.azimuth_deg[up],
                        sun.zenith_deg[up],
                    )
                )
            return np.where(held, 1.0, -1.0).reshape(at_s.shape)

        found: list[Interval] = []
        for start, end in self.day.spans:
            at = np.append(np.arange(start, end, STEP_S), end)
            holds = margin(at) > 0
            index = np.flatnonzero(holds[1:] != holds[:-1])
            cuts = (
                refine_crossings(margin, at[index], at[index + 1], within_s=0.1)
                if fine
                else (at[index] + at[index + 1]) / 2
            )
            edges = [*([start] if holds[0] else []), *cuts.tolist(), *([end] if holds[-1] else [])]
            found += [
                (local_time(a, self.place.zone), local_time(b, self.place.zone))
                for a, b in zip(edges[::2], edges[1::2], strict=True)
            ]
        return tuple(found)

    def touch(
        self, what: str, lit: Lit, *, fine: bool = True, focal_length_mm: float | None = None
    ) -> SunTouch:
        spells = self.spells(lit, fine=fine)
        return SunTouch(what, spells, _minutes(spells), focal_length_mm=focal_length_mm)


def _minutes(spells: tuple[Interval, ...]) -> float:
    return round(sum(end.timestamp() - start.timestamp() for start, end in spells) / 60.0, 2)


def _openings(
    sheet: RoomSheet, true_deg: Mapping[str, float], assumed: list[Said]
) -> list[_Opening] | Said:
    room = sheet.room
    if room.setting == "covered":
        return said("sun.open_sides")
    if room.corners_m is None or room.height_m is None:
        return unmeasured("room.plan_m" if room.corners_m is None else "room.height_m")
    if room.windows is None:
        return unmeasured("room.windows")
    found = []
    for window in room.windows:
        if not lets_sun_in(window):
            continue
        if (missing := unmeasured_of(window, *PLACED)) is not None:
            return missing
        pane = shading_pane(window, room, assumed)
        if isinstance(pane, Said):
            return pane
        found.append(
            _Opening(
                pane,
                true_deg[wall_letters(len(room.corners_m))[pane.wall]],
                skyline_of(window.skyline, room.skyline, assumed, window.id),
            )
        )
    return found


def _boxes(sheet: RoomSheet, assumed: list[Said]) -> tuple[Box, ...]:
    """What stands in the room, but for what a mark lies within."""
    marks = sheet.marks
    at = [] if marks is None else [mark for mark in (marks.subject, marks.camera) if mark]
    boxes = tuple(box for _, box in boxes_of(sheet.room, assumed))
    free = free_of(boxes, at, assumed)
    return tuple(box for box, clear in zip(boxes, free, strict=True) if clear)


def _shines_outdoors(
    sun: SunPosition[FloatArray], skyline: list[tuple[float, float]] | None
) -> NDArray[np.bool_]:
    if skyline is None:
        return np.ones(sun.elevation_deg.shape, dtype=bool)
    return np.asarray(sun.elevation_deg > skyline_deg(skyline, sun.azimuth_deg))


def _reached(
    sheet: RoomSheet,
    openings: list[_Opening],
    point: tuple[float, float, float],
    sun: SunPosition[FloatArray],
    boxes: tuple[Box, ...],
) -> NDArray[np.bool_]:
    room = sheet.room
    assert room.corners_m is not None
    assert room.height_m is not None
    lit = np.zeros(sun.elevation_deg.shape, dtype=bool)
    for opening in openings:
        g = (sun.azimuth_deg - opening.facing_deg + 180.0) % 360.0 - 180.0
        wings = wings_of(room.corners_m, opening.pane.wall, room.height_m)
        lit |= reaches(
            room.corners_m, opening.pane, point, g, sun.elevation_deg, wings or None, boxes
        ) & _shines_outdoors(sun, opening.skyline)
    return lit


def _lens(
    day: _Day,
    sheet: RoomSheet,
    view: View | None,
    reached: Lit,
    turn: float,
) -> SunTouch:
    if view is None:
        return SunTouch("lens", unknown=lenses_unknown(sheet))

    def within(away_deg: float) -> tuple[Interval, ...]:
        def lit(sun: SunPosition[FloatArray]) -> NDArray[np.bool_]:
            ways = towards(sun.elevation_deg, sun.azimuth_deg - turn)
            return reached(sun) & (off_frame_deg(view, ways) <= away_deg)

        return day.spells(lit)

    spells = within(FLARE_DEG)
    framed = within(0.0) if spells else ()
    return SunTouch("lens", spells, _minutes(spells), framed, view.focal_length_mm)


def _view(
    sheet: RoomSheet,
    camera: tuple[float, float, float],
    subject: tuple[float, float, float],
    focal_length_mm: float | None,
) -> View | None:
    if lenses_unknown(sheet) is not None:
        return None
    assert sheet.kit is not None
    assert sheet.kit.camera is not None
    width, height = sheet.kit.camera.sensor_width_mm, sheet.kit.camera.sensor_height_mm
    assert width is not None
    assert height is not None
    return View(camera, subject, width, height, focal_length_mm or lenses(sheet)[0])


def _background(
    day: _Day,
    sheet: RoomSheet,
    view: View | None,
    camera: tuple[float, float, float],
    openings: list[_Opening],
    boxes: tuple[Box, ...],
    *,
    outdoors: bool,
) -> SunTouch:
    if view is None:
        return SunTouch("background", unknown=lenses_unknown(sheet))
    if outdoors:
        return SunTouch("background", unknown=said("sun.no_backdrop"))
    room = sheet.room
    assert room.corners_m is not None
    assert room.height_m is not None
    plan = np.array(room.corners_m)
    eye = np.array(camera, dtype=np.float64)

    def lit(sun: SunPosition[FloatArray]) -> NDArray[np.bool_]:
        seen = np.zeros(sun.elevation_deg.shape, dtype=bool)
        for opening in openings:
            g = (sun.azimuth_deg - opening.facing_deg + 180.0) % 360.0 - 180.0
            front = np.flatnonzero(
                (np.cos(np.radians(g)) > 0) & _shines_outdoors(sun, opening.skyline)
            )
            if not len(front):
                continue
            hits = beam_hits(
                plan,
                room.height_m or 0.0,
                opening.pane,
                g[front],
                sun.elevation_deg[front],
                per_side=RAYS,
                wings=wings_of(plan, opening.pane.wall, room.height_m or 0.0) or None,
                boxes=boxes,
            )
            shown = (hits.area_m2 > 0) & in_frame(view, hits.point_m)
            if (boxes or not is_convex(plan)) and np.any(shown):
                to_eye = eye - hits.point_m
                away = np.linalg.norm(to_eye, axis=-1, keepdims=True)
                off = hits.point_m + INWARD_M * 100 * to_eye / away
                shown &= sees(plan, eye, off) & unhidden(boxes, eye, off)
            seen[front] |= shown.any(axis=1)
        return seen

    return day.touch("background", lit, fine=False, focal_length_mm=view.focal_length_mm)
