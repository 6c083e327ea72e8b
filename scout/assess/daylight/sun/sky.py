"""The sky over a room as somebody at a mark sees it: the sun's way on a date, each window as a
patch of sky, and the skyline.

out of the window           a patch of sky: the outline of the clear opening, point by point, in
  ___________               bearing and elevation from the mark; what the room's own walls hide
 |   | sky   |              is left out, and reveal and overhang cut the opening as they cut the
 |mark ------+---> bearing  sun's light
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from scout.assess.answers import unmeasured
from scout.assess.daylight.mark.marks import no_mark
from scout.assess.daylight.place.events import day_of
from scout.assess.daylight.place.where import Place, WallFacings, facings_of, place_of
from scout.assess.daylight.room.windows import PLACED, shading_pane, skyline_of, unmeasured_of
from scout.calc.daylight.place.local_date import local_time
from scout.calc.daylight.sun.position import sun_position
from scout.calc.daylight.window.pane import Pane
from scout.calc.geometry import FloatArray, Wall, inside, wall_letters, walls
from scout.records.doorways import camera_doorway
from scout.records.sheet import RoomRecord, RoomSheet, Window
from scout.values import Said, Word, said

Direction = tuple[float, float]  # bearing clockwise from true north, elevation [deg]
TRACK_S = 300.0
ALONG = 25  # points along a window's edge
NEARER_M = 1e-6
SOLSTICES = ((6, 21), (12, 21))
EQUINOX = (3, 20)


@dataclass(frozen=True)
class SunWay:
    """The sun's way across the sky on one date; `hours` are the full local hours on it."""

    on: date
    points: tuple[Direction, ...]
    at_s: tuple[float, ...] = ()  # when the sun stands at each point [s since 1970-01-01T00:00Z]
    hours: tuple[tuple[str, Direction], ...] = ()


@dataclass(frozen=True)
class SkyPatch:
    """A visible part of a window: the lower and the upper edge of what is seen through it, left to
    right; its sides are upright.
    """

    low: tuple[Direction, ...]
    high: tuple[Direction, ...]


@dataclass(frozen=True)
class WindowOnSky:
    """A window as seen from the mark, and its breadth and height as angles. Bearings of a patch run
    on past 360 rather than jump.
    """

    id: str
    patches: tuple[SkyPatch, ...] = ()
    across_deg: float | None = None
    from_elevation_deg: float | None = None
    to_elevation_deg: float | None = None
    skyline: tuple[Direction, ...] | None = (
        None  # before this window, in order of bearing; None: an open horizon is taken
    )
    unknown: Said | None = None


@dataclass(frozen=True)
class SkyOfRoom:
    """Everything a sun-path diagram shows. `up_deg`: the true bearing of the plan's y axis, so that
    it lies as the plan does.
    """

    on: date
    mark: str
    way: SunWay | None = None
    others: tuple[SunWay, ...] = ()
    windows: tuple[WindowOnSky, ...] = ()
    walls: tuple[tuple[str, float], ...] = ()  # letter and true bearing of its outward normal
    skyline: tuple[Direction, ...] | None = None  # of the room itself, all round
    up_deg: float | None = None
    assumed: tuple[Said, ...] = ()
    unknown: Said | None = None


def sky_of_room(sheet: RoomSheet, on: date, mark: str = "subject") -> SkyOfRoom:
    """The sky as seen from a mark (`subject` or `camera`) on a local date; `unknown` when bearings
    or place are not known.
    """
    place, facings = place_of(sheet.location), facings_of(sheet, on)
    if place.unknown is not None:
        return SkyOfRoom(on, mark, unknown=place.unknown)
    day = day_of(place, on)
    if isinstance(day, Said):
        return SkyOfRoom(on, mark, unknown=day)
    outdoors = sheet.room.setting == "exterior"
    if mark == "camera" and camera_doorway(sheet.room, sheet.marks) is not None:
        return SkyOfRoom(on, mark, unknown=said("light.camera_outside"))
    if facings.unknown is not None and not outdoors:
        return SkyOfRoom(on, mark, unknown=facings.unknown)
    assumed = [*place.assumed, *facings.assumed]
    others = tuple(
        _way(place, date(on.year, *month_day), hours=False) for month_day in (*SOLSTICES, EQUINOX)
    )
    up, lettered = _orientation(sheet.room, facings)
    of_room = None if sheet.room.skyline is None else skyline_of(None, sheet.room.skyline, assumed)
    eye = (
        None
        if sheet.marks is None
        else sheet.marks.camera
        if mark == "camera"
        else sheet.marks.subject
    )
    seen = (
        ()
        if outdoors
        else tuple(
            _window(window, sheet.room, facings, eye, mark, assumed)
            for window in sheet.room.windows or ()
        )
    )
    return SkyOfRoom(
        on,
        mark,
        _way(place, on, hours=True),
        others,
        seen,
        lettered,
        None if of_room is None else tuple(sorted(of_room)),
        up,
        tuple(dict.fromkeys(assumed)),
    )


def _orientation(
    room: RoomRecord, facings: WallFacings
) -> tuple[float | None, tuple[tuple[str, float], ...]]:
    if room.corners_m is None or not facings.true_deg or len(facings.true_deg) < 3:
        return None, tuple(facings.true_deg.items())
    first = walls(room.corners_m)[0]
    clockwise = float(
        np.degrees(np.arctan2(first.outward[0], first.outward[1]))
    )  # of wall A's normal from the plan's y axis
    return (facings.true_deg[first.letter] - clockwise) % 360.0, tuple(facings.true_deg.items())


def _way(place: Place, on: date, *, hours: bool) -> SunWay:
    day = day_of(place, on)
    if isinstance(day, Said):
        return SunWay(on, ())
    spans = day.spans
    at = (
        np.concatenate([np.append(np.arange(start, end, TRACK_S), end) for start, end in spans])
        if spans
        else np.zeros(0)
    )
    sun = sun_position(at, **place.where)
    points = tuple(zip(sun.azimuth_deg.tolist(), sun.elevation_deg.tolist(), strict=True))
    if not hours:
        return SunWay(on, points, tuple(at.tolist()))
    full = [
        float(t)
        for t in at
        if (moment := local_time(float(t), place.zone)).minute == 0 and moment.second == 0
    ]
    full = full[:-1] if full and spans and full[-1] == spans[-1][1] else full
    there = sun_position(np.array(full), **place.where)
    named = tuple(
        (f"{local_time(t, place.zone):%H}", (float(a), float(h)))
        for t, a, h in zip(full, there.azimuth_deg, there.elevation_deg, strict=True)
    )
    return SunWay(on, points, tuple(at.tolist()), named)


def _window(
    window: Window,
    room: RoomRecord,
    facings: WallFacings,
    eye: tuple[float, float, float] | None,
    mark: str,
    assumed: list[Said],
) -> WindowOnSky:
    if eye is None:
        return WindowOnSky(window.id, unknown=no_mark(mark))
    facing = facings.true_deg.get(window.wall)
    if room.corners_m is None or facing is None:
        return WindowOnSky(window.id, unknown=unmeasured("room.plan_m"))
    if (missing := unmeasured_of(window, *PLACED)) is not None:
        return WindowOnSky(window.id, unknown=missing)
    pane = shading_pane(window, room, assumed)
    if isinstance(pane, Said):
        return WindowOnSky(window.id, unknown=pane)
    wall = walls(room.corners_m)[wall_letters(len(room.corners_m)).index(window.wall)]
    along, out = (
        float((np.array(eye[:2]) - wall.start_m) @ wall.along),
        float((wall.start_m - np.array(eye[:2])) @ wall.outward),
    )
    at_mark = Word("fact", f"marks.{mark}")
    opening = clear_opening(pane, along, out, eye[2])
    if opening is None:
        return WindowOnSky(window.id, unknown=said("sun.not_seen", mark=at_mark))
    pieces = _seen(opening, wall, room.corners_m, eye)
    if not pieces:
        return WindowOnSky(window.id, unknown=said("sun.walls_hide", mark=at_mark))
    _, _, z0, z1 = opening
    patches = tuple(_patch((u0, u1, z0, z1), along, out, eye[2], facing) for u0, u1 in pieces)
    elevations = [h for patch in patches for _, h in (*patch.low, *patch.high)]
    across = sum(
        float(np.degrees(np.arctan2(u1 - along, out) - np.arctan2(u0 - along, out)))
        for u0, u1 in pieces
    )
    own = skyline_of(window.skyline, room.skyline, assumed, window.id)
    return WindowOnSky(
        window.id,
        patches,
        across,
        min(elevations),
        max(elevations),
        None if own is None else tuple(sorted(own)),
    )


def clear_opening(
    pane: Pane, along_m: float, out_m: float, height_m: float
) -> tuple[float, float, float, float] | None:
    """(u0, u1, z0, z1) of the pane through which an eye sees past reveal and overhang, or None.

    along_m, height_m: the eye's foot on the wall from its left end, and its height [m]; out_m:
        from the eye to the wall, above 0
    Source: similar triangles: an edge that stands r beyond the pane is seen through the pane at
        foot + (edge - foot) d / (d + r)
    """
    if out_m <= NEARER_M:
        return None
    near = out_m / (out_m + pane.reveal_m)
    u0, u1 = pane.offset_m, pane.offset_m + pane.width_m
    z0, z1 = pane.sill_m, pane.head_m
    u0, u1 = max(u0, along_m + (u0 - along_m) * near), min(u1, along_m + (u1 - along_m) * near)
    low, high = (
        max(z0, height_m + (z0 - height_m) * near),
        min(z1, height_m + (z1 - height_m) * near),
    )
    if pane.overhang_m > 0:
        under = pane.head_m + pane.overhang_gap_m
        lip = height_m + (under - height_m) * out_m / (out_m + pane.reveal_m + pane.overhang_m)
        high = min(high, lip) if under >= height_m else high
    return (u0, u1, low, high) if u1 - u0 > NEARER_M and high - low > NEARER_M else None


def _seen(
    opening: tuple[float, float, float, float],
    wall: Wall,
    corners_m: Sequence[tuple[float, float]],
    eye: tuple[float, float, float],
) -> list[tuple[float, float]]:
    """The runs of the opening, from u to u, that the room's own walls leave in sight."""
    u0, u1 = opening[0], opening[1]
    if len(corners_m) <= 4 and bool(inside(corners_m, np.array([eye[:2]]))[0]):
        others = [other for other in walls(corners_m) if other.letter != wall.letter]
        if all(
            (p - other.start_m) @ other.outward <= NEARER_M
            for other in others
            for p in (wall.start_m, wall.end_m)
        ):
            return [(u0, u1)]  # convex: nothing stands between
    edges = np.linspace(u0, u1, 201)
    middle = (edges[1:] + edges[:-1]) / 2
    clear = np.ones(len(middle), dtype=bool)
    start = np.array(eye[:2])
    for k, u in enumerate(middle):
        target = wall.start_m + wall.along * float(u) - wall.outward * NEARER_M
        clear[k] = not any(
            _crosses(start, target, other)
            for other in walls(corners_m)
            if other.letter != wall.letter
        )
    runs: list[tuple[float, float]] = []
    for k in np.flatnonzero(clear).tolist():
        if runs and runs[-1][1] == edges[k]:
            runs[-1] = (runs[-1][0], float(edges[k + 1]))
        else:
            runs.append((float(edges[k]), float(edges[k + 1])))
    return runs


def _crosses(a: FloatArray, b: FloatArray, other: Wall) -> bool:
    c, d = other.start_m, other.end_m

    def side(p: FloatArray, q: FloatArray, r: FloatArray) -> float:
        return float((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]))

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def _patch(
    opening: tuple[float, float, float, float],
    along: float,
    out: float,
    height: float,
    facing: float,
) -> SkyPatch:
    u0, u1, z0, z1 = opening
    u = np.linspace(u0, u1, ALONG)
    bearing = (facing + np.degrees(np.arctan2(u - along, out))).tolist()
    low, high = (
        np.degrees(np.arctan2(z - height, np.hypot(u - along, out))).tolist() for z in (z0, z1)
    )
    return SkyPatch(tuple(zip(bearing, low, strict=True)), tuple(zip(bearing, high, strict=True)))
