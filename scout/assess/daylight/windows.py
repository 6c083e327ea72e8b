"""Direct sun through each window of a room: when on a date, and where it falls at an instant."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime

from scout.assess.answers import (
    IntervalRange,
    PatchPolygon,
    SunAnswer,
    SunPatchAnswer,
    WindowSunAnswer,
)
from scout.assess.daylight.events import day_of, sun_answer
from scout.assess.daylight.place import Place, WallFacings, facings_of, place_of
from scout.calc.daylight.direct_sun import DirectSun, direct_sun
from scout.calc.daylight.local_date import local_time
from scout.calc.daylight.pane import Pane, Wings
from scout.calc.daylight.skyline import skyline_deg
from scout.calc.daylight.sun import SUNRISE_DEG, sun_position, unix_seconds
from scout.calc.daylight.sun_patches import sun_through
from scout.calc.geometry import wall_letters, walls
from scout.records.sheet import RoomRecord, RoomSheet, SkylinePoint, Window

NO_WALLS = "because an exterior has no walls for a window to be in"
COVERED = {
    "sheer": "a sheer hangs in it: the sun comes through softened, in these hours",
    "blind": "a blind covers it: these are the hours of the bare glass",
    "blackout": "it is blacked out: these are the hours of the bare glass",
}


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
    if facing is None:
        because = (
            facings.unknown
            or f"because the plan is not measured, so which way wall {window.wall} faces does not follow"
        )
        return WindowSunAnswer(id=window.id, assumed=facings.assumed, unknown=because)
    shown = round(facing % 360.0, 2) % 360.0
    correction = None if facings.correction_deg is None else round(facings.correction_deg, 2)
    assumed = [*facings.assumed]

    def unknown(because: str) -> WindowSunAnswer:
        return WindowSunAnswer(
            id=window.id,
            assumed=tuple(assumed),
            unknown=because,
            facing_deg=shown,
            facing_true=True,
            magnetic_correction_deg=correction,
        )

    if place.unknown is not None:
        return unknown(place.unknown)
    pane = shading_pane(window, room, assumed)
    if isinstance(pane, str):
        return unknown(pane)
    day = day_of(place, on)
    if isinstance(day, str):
        return unknown(day)
    skyline = skyline_of(window.skyline, room.skyline, assumed, window.id)
    wings = _wings(room, window, assumed)
    sun = direct_sun(
        pane,
        facing,
        day.spans,
        latitude_deg=place.latitude_deg,
        longitude_deg=place.longitude_deg,
        elevation_m=place.elevation_m,
        doubt_deg=facings.doubt_deg,
        skyline=skyline,
        wings=wings,
    )

    def clock(at: float) -> datetime:
        return local_time(at, place.zone)

    assumed += [*place.assumed, *_doubts(sun, facings.doubt_deg, clock)]
    if window.covering in COVERED:
        assumed.append(COVERED[window.covering])
    return WindowSunAnswer(
        id=window.id,
        assumed=tuple(assumed),
        facing_deg=shown,
        facing_true=True,
        magnetic_correction_deg=correction,
        direct_sun=tuple((clock(start), clock(end)) for start, end in sun.spells),
        direct_sun_min=round(sun.total_s / 60.0, 2),
        direct_sun_range=tuple(
            IntervalRange(
                (clock(r.start[0]), clock(r.start[1])), (clock(r.end[0]), clock(r.end[1]))
            )
            for r in sun.ranges
        ),
    )


def _doubts(sun: DirectSun, doubt_deg: float, clock: Callable[[float], datetime]) -> list[str]:
    def shown(at: float) -> str:
        return f"{clock(at):%H:%M}"

    said = (
        [f"the range is for the bearing {doubt_deg:.1f} degrees either way"]
        if doubt_deg > 0
        else []
    )
    for spell, reach in zip(sun.spells, sun.ranges, strict=True):
        if reach.may_fail:
            said.append(
                f"within the bearing's doubt the spell of {shown(spell[0])} may not come at all"
            )
    said += [
        f"within the bearing's doubt direct sun may also come between {shown(start)} and {shown(end)}"
        for start, end in sun.elsewhere
    ]
    return said


def shading_pane(window: Window, room: RoomRecord, assumed: list[str]) -> Pane | str:
    """The window as far as its own shading needs it, or why that cannot be told."""
    reveal, overhang = (
        _or_zero(window.reveal_m, "reveal", window.id, assumed),
        _or_zero(window.overhang_m, "overhang", window.id, assumed),
    )
    gap = window.overhang_gap_m
    if overhang > 0 and gap is None:
        gap = 0.0
        assumed.append(
            f"the gap between the head of {window.id} and its overhang is not measured: none is taken"
        )
    width, height = window.width_m, window.height_m
    needed = [("width", width, reveal > 0), ("height", height, reveal > 0 or overhang > 0)]
    missing = [name for name, value, wanted in needed if value is None and wanted]
    if missing:
        return f"because {' and '.join(missing)} of {window.id} {'are' if len(missing) > 1 else 'is'} not measured, and its reveal or overhang shades it"
    letters = wall_letters(len(room.corners_m)) if room.corners_m else ()
    number = letters.index(window.wall) if window.wall in letters else 0
    # With neither reveal nor overhang the size of the glass does not move the hours: any size does.
    offset, sill, width, height = (
        window.offset_m or 0.0,
        window.sill_m or 0.0,
        width or 1.0,
        height or 1.0,
    )
    if (
        room.corners_m and window.wall in letters
    ):  # a tape may overrun a wall by millimetres, which the checks let pass
        width = min(width, walls(room.corners_m)[number].length_m - offset)
    if room.height_m is not None:
        height = min(height, room.height_m - sill)
    if width <= 0 or height <= 0:
        return f"because {window.id} lies at the very edge of wall {window.wall}"
    return Pane(number, offset, sill, width, height, reveal, overhang, gap or 0.0)


def _or_zero(value: float | None, name: str, window: str, assumed: list[str]) -> float:
    if value is None:
        assumed.append(
            f"the {name} of {window} is not measured: none is taken, so the sun may come later and go sooner than said"
        )
        return 0.0
    return value


def skyline_of(
    own: Sequence[SkylinePoint] | None,
    of_room: Sequence[SkylinePoint] | None,
    assumed: list[str],
    where: str,
) -> list[tuple[float, float]] | None:
    """(bearing, elevation) pairs, or None for a level open horizon; an unmeasured one is taken as
    open, and said.
    """
    points = own if own is not None else of_room
    if points is None:
        assumed.append(f"the skyline of {where} is not measured: an open level horizon is taken")
        return None
    if len(points) == 1:
        assumed.append(
            f"the skyline of {where} has one point: {points[0].elevation_deg:g} degrees is taken all round"
        )
    return [(point.bearing_deg, point.elevation_deg) for point in points] or None


def _wings(room: RoomRecord, window: Window, assumed: list[str]) -> Wings | None:
    corners = room.corners_m
    if corners is None:
        return None
    number = wall_letters(len(corners)).index(window.wall)
    wings = Wings(corners, number, room.height_m or 0.0)
    if not wings:
        return None
    if room.height_m is None or None in (
        window.offset_m,
        window.width_m,
        window.sill_m,
        window.height_m,
    ):
        assumed.append(
            f"the room's own walls stand before {window.id}; height and place are not all measured, so their shade is left out"
        )
        return None
    assumed.append(
        f"the room's own walls stand before {window.id}; they are taken to end at the room's height, {room.height_m:g} m"
    )
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
            or f"because {'the plan' if corners is None else 'the height'} of the room is not measured"
        )
        return SunPatchAnswer(window=window.id, unknown=because)
    missing = [
        name
        for name in ("offset", "sill", "width", "height")
        if getattr(window, f"{name}_m") is None
    ]
    if missing:
        return SunPatchAnswer(
            window=window.id,
            unknown=f"because {' and '.join(missing)} of {window.id} {'are' if len(missing) > 1 else 'is'} not measured",
        )
    assumed = [*facings.assumed]
    pane = shading_pane(window, room, assumed)
    if isinstance(pane, str):
        return SunPatchAnswer(window=window.id, unknown=pane, assumed=tuple(assumed))
    skyline = skyline_of(window.skyline, room.skyline, assumed, window.id)
    sun = sun_position(
        at,
        latitude_deg=place.latitude_deg,
        longitude_deg=place.longitude_deg,
        elevation_m=place.elevation_m,
    )
    lit = sun_through(
        corners,
        room.height_m,
        pane,
        facing_deg=facing,
        azimuth_deg=sun.azimuth_deg,
        elevation_deg=sun.elevation_deg,
    )
    hidden = sun.geometric_elevation_deg <= SUNRISE_DEG
    if hidden:
        assumed.append("the sun is below the horizon")
    elif skyline is not None and sun.elevation_deg <= float(skyline_deg(skyline, sun.azimuth_deg)):
        hidden = True
        assumed.append("the skyline hides the sun")
    if window.covering in ("sheer", "blind", "blackout"):
        assumed.append(
            f"{window.id} is covered ({window.covering}): the patches are those of the bare glass"
        )
    if hidden:
        return SunPatchAnswer(
            window=window.id,
            assumed=tuple(assumed),
            incidence_deg=round(lit.incidence_deg, 4),
            lit_share=0.0,
        )
    patches = tuple(
        PatchPolygon(
            patch.surface,
            tuple(
                (round(float(x), 4), round(float(y), 4), round(float(z), 4))
                for x, y, z in patch.polygon_m
            ),
            round(patch.area_m2, 4),
        )
        for patch in lit.patches
    )
    return SunPatchAnswer(
        window=window.id,
        assumed=tuple(assumed),
        incidence_deg=round(lit.incidence_deg, 4),
        lit_share=round(lit.lit_share, 5),
        patches=patches,
    )
