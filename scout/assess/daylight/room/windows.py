"""Direct sun through each window of a room: when on a date, and where it falls at an instant."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, datetime

from scout.assess.answers import (
    IntervalRange,
    PatchPolygon,
    SunAnswer,
    SunPatchAnswer,
    WindowSunAnswer,
    unmeasured,
)
from scout.assess.daylight.place.events import day_of, sun_answer
from scout.assess.daylight.place.where import Place, WallFacings, facings_of, place_of
from scout.assess.daylight.room.furniture import boxes_of
from scout.calc.daylight.outside.skyline import skyline_deg
from scout.calc.daylight.place.local_date import local_time
from scout.calc.daylight.sun.position import SUNRISE_DEG, sun_position, unix_seconds
from scout.calc.daylight.window.direct_sun import DirectSun, direct_sun
from scout.calc.daylight.window.pane import Pane, Wings, wings_of
from scout.calc.daylight.window.sun_patches import sun_through
from scout.calc.geometry import wall_letters, walls
from scout.records.sheet import (
    FACING_ACCURACY_OUTDOORS_DEG,
    RoomRecord,
    RoomSheet,
    SkylinePoint,
    Window,
)
from scout.values import Figure, Name, Said, Spell, Word, said

NO_WALLS = said("sun.no_walls")
LEAST_WON_S = 60.0  # a first sun known better than this asks for no check of the bearing
SHUT = ("blind", "blackout")  # coverings, reckoned as drawn, that let no direct sun through


def lets_sun_in(window: Window) -> bool:
    """Whether direct sun comes through as patches: a sheer scatters it, the others stop it."""
    return window.covering in (None, "none")


def windows(sheet: RoomSheet, on: date) -> tuple[WindowSunAnswer, ...]:
    """A row a window: its facing, the spells of direct sun on the local date and how the bearing's
    doubt moves them.
    """
    rows = sheet.room.windows or ()
    if sheet.room.setting == "exterior":
        return tuple(WindowSunAnswer(id=window.id, unknown=NO_WALLS) for window in rows)
    place, facings = place_of(sheet.location), facings_of(sheet, on)
    return tuple(_window(window, sheet.room, place, facings, on) for window in rows)


def _window(
    window: Window, room: RoomRecord, place: Place, facings: WallFacings, on: date
) -> WindowSunAnswer:
    facing = facings.true_deg.get(window.wall)
    shown = None if facing is None else round(facing % 360.0, 2) % 360.0
    correction = None if facings.correction_deg is None else round(facings.correction_deg, 2)
    assumed = [*facings.assumed]

    def unknown(because: Said | None) -> WindowSunAnswer:
        return WindowSunAnswer(
            id=window.id,
            assumed=tuple(assumed),
            unknown=because,
            facing_deg=shown,
            facing_true=None if shown is None else True,
            magnetic_correction_deg=correction,
        )

    if window.covering in SHUT:
        assumed.append(_shut(window))
        return replace(unknown(None), direct_sun_min=0.0)
    if facing is None:
        return unknown(facings.unknown or unmeasured("room.plan_m"))
    if place.unknown is not None:
        return unknown(place.unknown)
    pane = shading_pane(window, room, assumed)
    if isinstance(pane, Said):
        return unknown(pane)
    day = day_of(place, on)
    if isinstance(day, Said):
        return unknown(day)
    skyline = skyline_of(window.skyline, room.skyline, assumed, window.id)
    wings = _wings(room, window, assumed)

    def through(doubt_deg: float) -> DirectSun:
        return direct_sun(
            pane,
            facing,
            day.spans,
            **place.where,
            doubt_deg=doubt_deg,
            skyline=skyline,
            wings=wings,
        )

    sun = through(facings.doubt_deg)
    better = facings.doubt_deg > FACING_ACCURACY_OUTDOORS_DEG and bool(sun.ranges)
    checked = through(FACING_ACCURACY_OUTDOORS_DEG) if better else None

    def clock(at: float) -> datetime:
        return local_time(at, place.zone)

    assumed += [*place.assumed, *_doubts(sun, facings.doubt_deg, clock)]
    assumed += _worth_checking(window.id, sun, checked, clock)
    if window.covering == "sheer":
        assumed.append(said("sun.softened", window=Name(window.id)))
    return WindowSunAnswer(
        id=window.id,
        assumed=tuple(assumed),
        facing_deg=shown,
        facing_true=True,
        magnetic_correction_deg=correction,
        direct_sun=tuple((clock(start), clock(end)) for start, end in sun.spells),
        direct_sun_min=round(sun.total_s / 60.0, 2),
        direct_sun_range=_ranges(sun, clock),
        direct_sun_range_checked=None if checked is None else _ranges(checked, clock),
    )


def _worth_checking(
    window_id: str,
    sun: DirectSun,
    checked: DirectSun | None,
    clock: Callable[[float], datetime],
) -> list[Said]:
    """What a checked bearing would tell of when the sun comes in first and leaves last; nothing of
    an instant that it does not move, as that of a sunrise.
    """
    if checked is None:
        return []
    edges = (
        ("sun.check_worth", sun.ranges[0].start, checked.ranges[0].start),
        ("sun.check_worth_last", sun.ranges[-1].end, checked.ranges[-1].end),
    )
    code, edge, then = max(edges, key=lambda row: row[1][1] - row[1][0])
    if edge[1] - edge[0] < LEAST_WON_S:
        return []
    return [
        said(
            code,
            window=Name(window_id),
            earliest=clock(edge[0]),
            latest=clock(edge[1]),
            then_earliest=clock(then[0]),
            then_latest=clock(then[1]),
        )
    ]


def _ranges(sun: DirectSun, clock: Callable[[float], datetime]) -> tuple[IntervalRange, ...]:
    return tuple(
        IntervalRange((clock(r.start[0]), clock(r.start[1])), (clock(r.end[0]), clock(r.end[1])))
        for r in sun.ranges
    )


def _doubts(sun: DirectSun, doubt_deg: float, clock: Callable[[float], datetime]) -> list[Said]:
    doubts = [said("sun.bearing_range", doubt=Figure(doubt_deg, "deg"))] if doubt_deg > 0 else []
    doubts += [
        said("sun.may_fail", at=clock(start))
        for (start, _), reach in zip(sun.spells, sun.ranges, strict=True)
        if reach.may_fail
    ]
    return doubts + [
        said("sun.may_come", spell=Spell(clock(start), clock(end))) for start, end in sun.elsewhere
    ]


def _shut(window: Window) -> Said:
    return said(
        "sun.shut_out", window=Name(window.id), covering=Word("covering", window.covering or "")
    )


def unmeasured_of(window: Window, *facts: str) -> Said | None:
    """What of a window is not measured, of the facts named; None when all of it is."""
    missing = [f"windows.{window.id}.{fact}" for fact in facts if getattr(window, fact) is None]
    return unmeasured(*missing) if missing else None


PLACED = ("offset_m", "sill_m", "width_m", "height_m")


def shading_pane(window: Window, room: RoomRecord, assumed: list[Said]) -> Pane | Said:
    """The window as far as its own shading needs it, or why that cannot be told."""
    reveal, overhang = (
        _or_zero(window, "reveal_m", assumed),
        _or_zero(window, "overhang_m", assumed),
    )
    gap = _or_zero(window, "overhang_gap_m", assumed) if overhang > 0 else 0.0
    needed = (["width_m"] if reveal > 0 else []) + (
        ["height_m"] if reveal > 0 or overhang > 0 else []
    )
    if (missing := unmeasured_of(window, *needed)) is not None:
        return missing
    letters = wall_letters(len(room.corners_m)) if room.corners_m else ()
    number = letters.index(window.wall) if window.wall in letters else 0
    # With neither reveal nor overhang the size of the glass does not move the hours: any size does.
    offset, sill, width, height = (
        window.offset_m or 0.0,
        window.sill_m or 0.0,
        window.width_m or 1.0,
        window.height_m or 1.0,
    )
    if (
        room.corners_m and window.wall in letters
    ):  # a tape may overrun a wall by millimetres, which the checks let pass
        width = min(width, walls(room.corners_m)[number].length_m - offset)
    if room.height_m is not None:
        height = min(height, room.height_m - sill)
    if width <= 0 or height <= 0:
        return said("sun.at_wall_end", window=Name(window.id), wall=Word("surface", window.wall))
    return Pane(number, offset, sill, width, height, reveal, overhang, gap)


def _or_zero(window: Window, fact: str, assumed: list[Said]) -> float:
    value: float | None = getattr(window, fact)
    if value is None:
        assumed.append(said("sun.none_taken", fact=Word("fact", f"windows.{window.id}.{fact}")))
        return 0.0
    return value


def skyline_of(
    own: Sequence[SkylinePoint] | None,
    of_room: Sequence[SkylinePoint] | None,
    assumed: list[Said],
    window: str | None = None,
) -> list[tuple[float, float]] | None:
    """(bearing, elevation) pairs, or None for a level open horizon; an unmeasured one is taken as
    open, and said.
    """
    points = own if own is not None else of_room
    before = None if window is None else Name(window)
    if points is None:
        assumed.append(said("sun.open_skyline", window=before))
        return None
    if len(points) == 1:
        height = Figure(points[0].elevation_deg, "deg")
        assumed.append(said("sun.one_point", window=before, height=height))
    return [(point.bearing_deg, point.elevation_deg) for point in points] or None


def _wings(room: RoomRecord, window: Window, assumed: list[Said]) -> Wings | None:
    corners = room.corners_m
    if corners is None:
        return None
    number = wall_letters(len(corners)).index(window.wall)
    wings = wings_of(corners, number, room.height_m or 0.0)
    if not wings:
        return None
    if room.height_m is None or unmeasured_of(window, *PLACED) is not None:
        assumed.append(said("sun.wings_left_out", window=Name(window.id)))
        return None
    assumed.append(said("sun.wings", window=Name(window.id), height=Figure(room.height_m, "m")))
    return wings


def sun_at(sheet: RoomSheet, at: datetime) -> tuple[SunAnswer, tuple[SunPatchAnswer, ...]]:
    """The sun at an instant, and for each window its incidence, the share of the glass it lights,
    and where it falls in the room.
    """
    unix_seconds(at)  # refuses a time without an offset, which no place could put right
    sun = sun_answer(sheet.location, at)
    rows = sheet.room.windows or ()
    if sheet.room.setting == "exterior":
        return sun, tuple(SunPatchAnswer(window=window.id, unknown=NO_WALLS) for window in rows)
    place = place_of(sheet.location)
    facings = facings_of(sheet, at.astimezone(place.zone).date())
    return sun, tuple(_patches(window, sheet.room, place, facings, at) for window in rows)


def _patches(
    window: Window, room: RoomRecord, place: Place, facings: WallFacings, at: datetime
) -> SunPatchAnswer:
    facing = facings.true_deg.get(window.wall)
    corners = room.corners_m
    if place.unknown is not None or facing is None or corners is None or room.height_m is None:
        because = (
            place.unknown
            or facings.unknown
            or unmeasured("room.plan_m" if corners is None else "room.height_m")
        )
        return SunPatchAnswer(window=window.id, unknown=because)
    if (missing := unmeasured_of(window, *PLACED)) is not None:
        return SunPatchAnswer(window=window.id, unknown=missing)
    assumed = [*facings.assumed]
    pane = shading_pane(window, room, assumed)
    if isinstance(pane, Said):
        return SunPatchAnswer(window=window.id, unknown=pane, assumed=tuple(assumed))
    skyline = skyline_of(window.skyline, room.skyline, assumed, window.id)
    sun = sun_position(at, **place.where)
    lit = sun_through(
        corners,
        room.height_m,
        pane,
        facing_deg=facing,
        azimuth_deg=sun.azimuth_deg,
        elevation_deg=sun.elevation_deg,
        boxes=tuple(box for _, box in boxes_of(room, assumed)),
    )
    hidden = sun.geometric_elevation_deg <= SUNRISE_DEG
    if hidden:
        assumed.append(said("sun.below"))
    elif skyline is not None and sun.elevation_deg <= float(skyline_deg(skyline, sun.azimuth_deg)):
        hidden = True
        assumed.append(said("sun.behind_skyline"))
    if window.covering == "sheer":
        assumed.append(said("sun.softened", window=Name(window.id)))
    elif window.covering in SHUT:
        assumed.append(_shut(window))
    if hidden:
        return SunPatchAnswer(
            window=window.id,
            assumed=tuple(assumed),
            incidence_deg=round(lit.incidence_deg, 4),
            lit_share=0.0,
        )
    patches = tuple(
        PatchPolygon(
            patch.surface.strip(),
            tuple(
                (round(float(x), 4), round(float(y), 4), round(float(z), 4))
                for x, y, z in patch.polygon_m
            ),
            round(patch.area_m2, 4),
        )
        for patch in lit.patches
        if lets_sun_in(window)
    )
    return SunPatchAnswer(
        window=window.id,
        assumed=tuple(assumed),
        incidence_deg=round(lit.incidence_deg, 4),
        lit_share=round(lit.lit_share, 5),
        patches=patches,
    )
