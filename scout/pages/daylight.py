"""Daylight of a room as its page and the packet show it: the day, the sky, the year, the floor; and
what is set from a map, a shadow or a photo.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from scout.assess.answers import RoomAssessment
from scout.assess.daylight import findings as daylight
from scout.assess.daylight import place as daylight_place
from scout.assess.daylight.contrast import ContrastAnswer, window_contrast
from scout.assess.daylight.facing import (
    CompassReading,
    FacingFound,
    compass,
    facing_from_floor_photo,
    facing_from_map,
    facing_from_shadow,
    skyline_from_photo,
)
from scout.assess.daylight.grid import WORK_PLANE_M, daylight_grid
from scout.assess.daylight.outdoors import ReflectorAim, SunAsLight, reflector, sun_as_light
from scout.assess.daylight.planes import Way
from scout.assess.daylight.sky import SkyOfRoom, sky_of_room
from scout.assess.daylight.touch import SunTouches, sun_touches
from scout.assess.daylight.year import SteadyAnswer, YearCarpet, steady_blocks, year_carpet
from scout.drawing.charts import carpet as carpets
from scout.drawing.charts.factor_grid import FactorGrid, factor_plan
from scout.drawing.charts.lux import lux_chart
from scout.drawing.charts.pair import beside
from scout.drawing.charts.sunpath import sun_path
from scout.drawing.lettering import PRINT_TEXT_MM, SCREEN_TEXT_MM, TextWidth, helvetica_width
from scout.drawing.plan.rim import North, SunBearing
from scout.drawing.plan.sheet import room_plan
from scout.drawing.plan.things import PatchHour
from scout.drawing.shapes import Drawing
from scout.errors import Refused
from scout.packet.content import PacketDaylight
from scout.packet.setting.text import letter_width
from scout.pages import assessing
from scout.records import Measurement, RoomRecord, RoomSheet
from scout.records.sheet import Facing, SkylinePoint
from scout.records.sighted import FloorPhoto, MapLine, ShadowLine, SkylineTrace
from scout.store.queries import jobs
from scout.store.queries import places as queries
from scout.units import Units
from scout.usecases import lines, locations, photos, rooms
from scout.usecases.shown import PhotoLine
from scout.usecases.work import Work

MOST_HOURS = 6
PRINT_MM, SCREEN_MM = (168.0, 150.0), (130.0, 160.0)
GRID = 28  # cells along the longer side of the floor
LEAST_STEP_M = 0.15
MOST_STEADY_DAYS = 92
CARPET_MIN = 10
MOST_LAYERS = 6
DISC_MM = 84.0  # the sky beside the year, on paper
FLOOR_MM = (84.0, 74.0)  # the factors over the floor, on paper, with tables beside them


@dataclass(frozen=True)
class Sheet:
    """How a drawing is wanted: for the screen or for paper."""

    units: Units = "metric"
    for_print: bool = False

    @property
    def size_mm(self) -> tuple[float, float]:
        return PRINT_MM if self.for_print else SCREEN_MM

    @property
    def text_mm(self) -> float:
        return PRINT_TEXT_MM if self.for_print else SCREEN_TEXT_MM

    @property
    def text_width(self) -> TextWidth:
        return letter_width() if self.for_print else helvetica_width


@dataclass(frozen=True)
class DaylightDay:
    """A day of a room: everything worked out, its drawings, the facing as read and as used."""

    sheet: RoomSheet
    assessment: RoomAssessment
    compass: CompassReading | None
    sky: SkyOfRoom
    touches: SunTouches
    contrast: ContrastAnswer
    outdoors: SunAsLight | None  # None indoors
    plan: Drawing
    sky_disc: Drawing
    lux: Drawing


def day(
    work: Work,
    room_id: int,
    on: date,
    hours: Sequence[datetime],
    *,
    mark: str = "subject",
    production_id: int | None = None,
    wanted: Sheet | None = None,
) -> DaylightDay:
    """The daylight of a room on a local date, sun patches at the given instants. Raises NotFound,
    Refused.
    """
    wanted = wanted or Sheet()
    if len(hours) > MOST_HOURS:
        raise Refused(
            "hours",
            f"{len(hours)} times",
            f"are more than can be told apart on one plan; give {MOST_HOURS} at most",
        )
    row = queries.room(work.db, room_id)
    made = assessing.sheet(
        work,
        room_id,
        production_id if production_id is not None else assessing.production_of(work, room_id),
    )
    found = assessing.assess_room(work, room_id, on, production_id=production_id)
    name, width = lines.room_name(row), wanted.size_mm[0]
    sky = sky_of_room(made, on, mark)
    chart = lux_chart(
        on,
        name,
        found.timezone,
        found.events,
        found.daylight,
        mark=mark,
        windows=found.windows,
        width_mm=width,
        text_mm=wanted.text_mm,
        text_width=wanted.text_width,
    )
    touches = sun_touches(made, on)
    disc = sun_path(
        name,
        sky,
        reaching=touches.subject.spells if mark == "subject" else (),
        width_mm=min(width, 130.0),
        text_mm=wanted.text_mm,
        text_width=wanted.text_width,
    )
    outdoors = sun_as_light(made, on) if made.room.setting == "exterior" else None
    return DaylightDay(
        made,
        found,
        compass(made, on),
        sky,
        touches,
        window_contrast(made, on),
        outdoors,
        patch_plan(made, found, hours, wanted),
        disc,
        chart,
    )


def patch_plan(
    sheet: RoomSheet, found: RoomAssessment, hours: Sequence[datetime], wanted: Sheet
) -> Drawing:
    """The plan of a room with the sun on its rim and on its floor and walls at the given instants."""
    north = north_of(sheet, found.date)
    bearings, patches = [], []
    for hour in sorted(hours):
        sun, fallen = daylight.sun_at(sheet, hour)
        if sun.elevation_deg is not None and sun.azimuth_deg is not None and sun.elevation_deg > 0:
            bearings.append(SunBearing(f"{hour:%H:%M}", sun.azimuth_deg))
        if any(row.patches for row in fallen):
            patches.append(PatchHour(f"{hour:%H:%M}", fallen))
    for moment, kind in ((found.events.sunrise, "sunrise"), (found.events.sunset, "sunset")):
        azimuth = daylight.sun_at(sheet, moment)[0].azimuth_deg if moment is not None else None
        if moment is not None and azimuth is not None:
            bearings.append(
                SunBearing(f"{moment:%H:%M}", azimuth, "sunrise" if kind == "sunrise" else "sunset")
            )
    return room_plan(
        sheet.room,
        location=sheet.location,
        marks=sheet.marks,
        north=north,
        sun=bearings if north is not None else (),
        patches=patches,
        size_mm=wanted.size_mm,
        units=wanted.units,
        text_mm=wanted.text_mm,
        text_width=wanted.text_width,
        stated_scale=wanted.for_print,
    )


def north_of(sheet: RoomSheet, on: date) -> North | None:
    """North as the room's facing gives it, turned to true where it was read from a compass."""
    facing, facings = sheet.room.facing, daylight_place.facings_of(sheet, on)
    if facing is None or facing.wall not in facings.true_deg:
        return None
    return North(
        facing.wall,
        facings.true_deg[facing.wall],
        facing.north in ("true", "magnetic"),
        facings.doubt_deg,
    )


# -- the year, the floor, steady light
# ---------------------------------------------------------------------------------
@dataclass(frozen=True)
class YearPicture:
    """A year at a mark: its figures, and its carpets drawn (None when nothing could be worked out,
    or there is no window).
    """

    figures: YearCarpet
    drawing: Drawing | None
    windows: Drawing | None = None


def year(
    work: Work,
    room_id: int,
    of: int,
    *,
    mark: str = "subject",
    marked: Sequence[date] = (),
    production_id: int | None = None,
    wanted: Sheet | None = None,
) -> YearPicture:
    """The carpet of a year: direct sun on the mark, enough light under an overcast and a clear sky.
    Raises NotFound, Refused.
    """
    wanted = wanted or Sheet()
    row = queries.room(work.db, room_id)
    made = assessing.sheet(
        work,
        room_id,
        production_id if production_id is not None else assessing.production_of(work, room_id),
    )
    found = year_carpet(made, of, mark=mark, way=way_of(mark), step_min=CARPET_MIN)
    name = lines.room_name(row)
    return YearPicture(
        found, draw_year(name, found, marked, wanted), draw_windows(name, found, marked, wanted)
    )


def draw_windows(
    name: str, found: YearCarpet, marked: Sequence[date], wanted: Sheet
) -> Drawing | None:
    """Direct sun in every window over the year; windows with the same sun share a hatch."""
    if found.up is None or not found.sun_in:
        return None
    alike: dict[bytes, list[str]] = {}
    for window, cells in found.sun_in.items():
        alike.setdefault(np.packbits(cells).tobytes(), []).append(window)
    groups = list(alike.values())
    layers = tuple(
        carpets.Layer(f"sun in {', '.join(names)}", found.sun_in[names[0]])
        for names in groups[:MOST_LAYERS]
    )
    rest = [window for names in groups[MOST_LAYERS:] for window in names]
    notes = ["On any of the clear glass, were the sky clear."] + (
        [f"Not drawn, for want of room: {', '.join(rest)}."] if rest else []
    )
    return carpets.year_carpet(
        f"{name}: sun in the windows, {found.year}",
        carpets.Carpet(found.dates, ~found.up, layers),
        marked=[at for at in marked if at.year == found.year],
        notes=notes,
        width_mm=wanted.size_mm[0],
        height_mm=110.0,
        text_mm=wanted.text_mm,
        text_width=wanted.text_width,
    )


def way_of(mark: str) -> Way:
    """The plane on which light over time is counted: what the camera sees of the subject; at the
    camera's own mark a level one.
    """
    return "camera" if mark == "subject" else "level"


def draw_year(
    name: str,
    found: YearCarpet,
    marked: Sequence[date],
    wanted: Sheet,
    size_mm: tuple[float, float] | None = None,
) -> Drawing | None:
    """A year's figures as a carpet of the given breadth and height."""
    if found.up is None:
        return None
    asked = (
        (f"the sun reaches the {found.mark}, if the sky is clear", found.sun_on_mark),
        ("enough light even under an overcast sky", found.enough_overcast),
        ("enough light under a clear sky", found.enough_clear),
    )
    layers = tuple(carpets.Layer(words, cells) for words, cells in asked if cells is not None)
    plane = (
        "on the side of the subject that the camera sees"
        if way_of(found.mark) == "camera"
        else "on a level plane"
    )
    needed = "What the camera needs is not known."
    if found.needed_lux is not None:
        needed = f"Enough is the {found.needed_lux:.0f} lux that the camera needs, {plane}."
    width, height = size_mm or (wanted.size_mm[0], 110.0)
    return carpets.year_carpet(
        f"{name}: the {found.mark}'s year {found.year}",
        carpets.Carpet(found.dates, ~found.up, layers),
        marked=[at for at in marked if at.year == found.year],
        notes=[needed, "Skies are means: an instant may be half or double."],
        width_mm=width,
        height_mm=height,
        text_mm=wanted.text_mm,
        text_width=wanted.text_width,
    )


def steady(
    work: Work,
    room_id: int,
    first: date,
    last: date,
    *,
    least_min: float,
    within_stops: float,
    clear: bool,
    mark: str = "subject",
    production_id: int | None = None,
) -> SteadyAnswer:
    """The best blocks of steady light from the first to the last date. Raises NotFound, or Refused
    naming `until`, `minutes` or `stops`.
    """
    if not 0 <= (last - first).days < MOST_STEADY_DAYS:
        raise Refused(
            "until",
            last.isoformat(),
            f"must be the same day or one of the {MOST_STEADY_DAYS - 1} after it",
        )
    made = assessing.sheet(
        work,
        room_id,
        production_id if production_id is not None else assessing.production_of(work, room_id),
    )
    dates = [first + timedelta(days=k) for k in range((last - first).days + 1)]
    try:
        return steady_blocks(
            made,
            dates,
            least_min=least_min,
            within_stops=within_stops,
            sky="clear" if clear else "overcast",
            mark=mark,
            way=way_of(mark),
        )
    except Refused as refusal:
        raise Refused(
            {"least_min": "minutes", "within_stops": "stops"}.get(refusal.path, "from"),
            refusal.given,
            refusal.because,
        ) from None


def aim_reflector(
    work: Work,
    room_id: int,
    at: datetime,
    *,
    distance_m: float,
    drift_m: float,
    production_id: int | None = None,
) -> ReflectorAim:
    """Where a reflector stands and points at an instant outdoors, and how soon it must be aimed
    again. Raises NotFound, Refused.
    """
    made = assessing.sheet(
        work,
        room_id,
        production_id if production_id is not None else assessing.production_of(work, room_id),
    )
    return reflector(made, at, distance_m=distance_m, drift_m=drift_m)


@dataclass(frozen=True)
class FloorPicture:
    """Daylight factors over the floor: the drawing, or why there is none; what was assumed."""

    drawing: Drawing | None
    assumed: tuple[str, ...] = ()
    unknown: str | None = None


def floor(work: Work, room_id: int, on: date, *, wanted: Sheet | None = None) -> FloorPicture:
    """Daylight factors on a grid at the height of a table. Raises NotFound."""
    return floor_of(assessing.sheet(work, room_id), on, wanted or Sheet())


def floor_of(
    sheet: RoomSheet, on: date, wanted: Sheet, size_mm: tuple[float, float] | None = None
) -> FloorPicture:
    """Daylight factors of a room sheet on a grid at the height of a table; size_mm: of the drawing,
    left out the sheet's.
    """
    corners = sheet.room.corners_m
    longest = (
        max(
            (
                max(point[axis] for point in corners) - min(point[axis] for point in corners)
                for axis in (0, 1)
            ),
            default=0.0,
        )
        if corners
        else 0.0
    )
    height = (
        min(WORK_PLANE_M, 0.5 * sheet.room.height_m)
        if sheet.room.height_m is not None
        else WORK_PLANE_M
    )
    found = daylight_grid(
        sheet, min(max(longest / GRID, LEAST_STEP_M), 10.0), height_m=height, on=on
    )
    pct = found.sky_pct if found.factor_pct is None else found.factor_pct
    if pct is None:
        return FloorPicture(None, found.assumed, found.unknown)
    grid = FactorGrid(
        found.x_m,
        found.y_m,
        pct,
        found.inside,
        found.height_m,
        reflected=found.factor_pct is not None,
    )
    drawn = factor_plan(
        sheet.room,
        grid,
        marks=sheet.marks,
        north=north_of(sheet, on),
        size_mm=size_mm or wanted.size_mm,
        units=wanted.units,
        text_mm=wanted.text_mm,
        text_width=wanted.text_width,
        explained=size_mm is None,
    )
    return FloorPicture(drawn, found.assumed, found.unknown)


def for_packet(
    work: Work,
    room_id: int,
    on: date,
    production_id: int,
    units: Units,
    made: RoomSheet | None = None,
) -> PacketDaylight:
    """What the packet says of the sun on the picture, with the sky from the mark and the year side
    by side. Raises NotFound.

    made: the sheet to go by, with a plan drawn by hand in it; else the room's own
    """
    row = queries.room(work.db, room_id)
    made, wanted = (
        made or assessing.sheet(work, room_id, production_id),
        Sheet(units, for_print=True),
    )
    name, touches, outdoors = (
        lines.room_name(row),
        sun_touches(made, on),
        made.room.setting == "exterior",
    )
    sky = sky_of_room(made, on)
    disc = (
        None
        if sky.unknown
        else sun_path(
            name,
            sky,
            reaching=touches.subject.spells,
            width_mm=DISC_MM,
            text_mm=wanted.text_mm,
            text_width=wanted.text_width,
        )
    )
    figures = year_carpet(made, on.year, way=way_of("subject"), step_min=CARPET_MIN)
    shown = draw_year(
        name,
        figures,
        sorted({on, *_shoot_dates(work, room_id, production_id)}),
        wanted,
        (wanted.size_mm[0] - DISC_MM - 4.0, 62.0),
    )
    drawing = beside(disc, shown) if disc is not None and shown is not None else disc or shown
    floor = floor_of(made, on, wanted, FLOOR_MM) if _lets_light_in(made) else FloorPicture(None)
    return PacketDaylight(
        touches=touches,
        contrast=None if outdoors else window_contrast(made, on),
        outdoors=sun_as_light(made, on) if outdoors else None,
        drawing=drawing,
        floor=floor.drawing,
        floor_assumed=floor.assumed,
        floor_unknown=floor.unknown,
    )


def _lets_light_in(sheet: RoomSheet) -> bool:
    """Whether a plan of daylight factors has anything to show: walls, and a window that is not
    blacked out.
    """
    return (
        sheet.room.setting == "interior"
        and sheet.room.corners_m is not None
        and any(one.covering != "blackout" for one in sheet.room.windows or ())
    )


def _shoot_dates(work: Work, room_id: int, production_id: int) -> list[date]:
    found = [
        candidate.scene
        for candidate in jobs.candidates(work.db, room_id=room_id)
        if candidate.scene.production_id == production_id
    ]
    return [day for scene in found for day in assessing.dates_of(scene)]


# -- what is set
# ------------------------------------------------------------------------------------------------------
def set_facing(
    work: Work, room_id: int, version: int, facing: Facing, how: str | None = None
) -> None:
    """Save a room's facing over the version it was opened at, and how it was found. Raises
    NotFound, Stale, RefusedMany.
    """
    record = rooms.room(work, room_id).kept.record
    rooms.save_room(work, room_id, version, record.model_copy(update={"facing": facing}))
    doubt = None if facing.accuracy_deg is None else f"{facing.accuracy_deg:g} degrees"
    _measured(work, room_id, "facing", how, doubt)


def set_skyline(
    work: Work,
    room_id: int,
    version: int,
    skyline: Sequence[SkylinePoint] | None,
    *,
    window_id: int | None = None,
    how: str | None = None,
) -> None:
    """Save the skyline of a room, or of one of its windows, over the version it was opened at.
    Raises NotFound, Stale, RefusedMany.
    """
    points = tuple(skyline) if skyline else None
    if window_id is None:
        record: RoomRecord = rooms.room(work, room_id).kept.record
        rooms.save_room(work, room_id, version, record.model_copy(update={"skyline": points}))
        _measured(work, room_id, "skyline", how, None)
        return
    _, kept = rooms.part(work, "windows", window_id)
    rooms.save_part(
        work, "windows", window_id, version, kept.record.model_copy(update={"skyline": points})
    )
    _measured(work, room_id, f"windows.{kept.record.id}.skyline", how, None)


def _measured(work: Work, room_id: int, path: str, how: str | None, accuracy: str | None) -> None:
    now = work.now().astimezone(_zone(work, room_id)).replace(microsecond=0)
    rooms.add_measurement(
        work,
        room_id,
        Measurement(path=path, by=work.name, at=now.isoformat(), how=how, accuracy=accuracy),
    )


def _zone(work: Work, room_id: int) -> ZoneInfo:
    return ZoneInfo(queries.room(work.db, room_id).location.timezone or "UTC")


def local_hours(on: date, zone: str, hours: Sequence[int]) -> tuple[datetime, ...]:
    """Full hours of a local date as instants; an hour the clocks skip is left out."""
    local = ZoneInfo(zone)
    made = [datetime(on.year, on.month, on.day, hour, tzinfo=local) for hour in hours]
    return tuple(
        moment
        for moment in made
        if moment.astimezone(UTC).astimezone(local).replace(tzinfo=None)
        == moment.replace(tzinfo=None)
    )


# -- what is found
# ----------------------------------------------------------------------------------------------------
def compass_now(work: Work, room_id: int) -> CompassReading | None:
    """The facing as read and as used, magnetic corrected for the day it was read, else for today.
    Raises NotFound.
    """
    return compass(
        assessing.sheet(work, room_id), work.now().astimezone(_zone(work, room_id)).date()
    )


def find_by_map(work: Work, room_id: int, line: MapLine) -> FacingFound:
    """The facing from two points of a map. Raises NotFound, Refused."""
    return facing_from_map(rooms.room(work, room_id).kept.record, line)


def find_by_shadow(work: Work, room_id: int, line: ShadowLine) -> FacingFound:
    """The facing from a shadow on the floor. Raises NotFound, Refused."""
    return facing_from_shadow(assessing.sheet(work, room_id), line)


def find_by_photo(work: Work, room_id: int, line: FloorPhoto) -> FacingFound:
    """The facing from a shadow beside a rectangle of known sides on a photo of the floor. Raises
    NotFound, Refused.
    """
    photo = photos.photo(work, line.photo_id).line
    return facing_from_floor_photo(
        assessing.sheet(work, room_id), line, photo.width_px, photo.height_px
    )


@dataclass(frozen=True)
class SkylineFound:
    """A skyline as traced, with what was kept of the one before; what was assumed."""

    skyline: tuple[SkylinePoint, ...]
    how: str
    across_deg: float
    kept_points: int
    assumed: tuple[str, ...]


def find_skyline(
    work: Work, trace: SkylineTrace, before: Sequence[SkylinePoint] | None
) -> SkylineFound:
    """The skyline traced on a photo; points recorded before that lie outside the picture's part of
    the horizon stay. Raises NotFound, Refused.
    """
    photo = photos.photo(work, trace.photo_id).line
    traced, across, assumed = skyline_from_photo(trace, photo.width_px, photo.height_px)
    start = (trace.bearing_deg - across / 2) % 360.0
    reach = [(bearing - start) % 360.0 for bearing, _ in traced]
    outside = [
        point
        for point in before or ()
        if not min(reach) - 0.05 <= (point.bearing_deg - start) % 360.0 <= max(reach) + 0.05
    ]
    joined = sorted(
        [
            *((bearing, elevation) for bearing, elevation in traced),
            *((point.bearing_deg, point.elevation_deg) for point in outside),
        ]
    )
    skyline = tuple(
        SkylinePoint(bearing_deg=bearing, elevation_deg=elevation) for bearing, elevation in joined
    )
    how = f"traced on photo {photo.original_name}, {across:.0f} degrees across, looking {trace.bearing_deg:g}"
    return SkylineFound(skyline, how, across, len(outside), assumed)


def location_photos(work: Work, location_id: int) -> tuple[PhotoLine, ...]:
    """The photos of a location."""
    return locations.location(work, location_id).photos


def month_words(found: YearCarpet) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    """The carpet's answers as tables: for each question, the middle of each month and its spells."""
    asked = [
        (f"Sun on the {found.mark}", found.sun_on_mark),
        ("Enough, overcast", found.enough_overcast),
        ("Enough, clear", found.enough_clear),
        *((f"Sun in {window}", cells) for window, cells in found.sun_in.items()),
    ]
    dark = np.zeros((len(found.dates), 1), dtype=bool) if found.up is None else ~found.up
    frame = carpets.Carpet(found.dates, dark, ())
    return tuple(
        (words, carpets.month_spells(frame, cells)) for words, cells in asked if cells is not None
    )
