"""Daylight of a room as its page and the packet show it: the day, the sky, the year, the floor."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from scout.assess.answers import RoomAssessment
from scout.assess.daylight.mark.contrast import ContrastAnswer, window_contrast
from scout.assess.daylight.mark.grid import WORK_PLANE_M, daylight_grid
from scout.assess.daylight.mark.planes import Way
from scout.assess.daylight.place.facing import (
    CompassReading,
    compass,
)
from scout.assess.daylight.place.where import facings_of
from scout.assess.daylight.sun.outdoors import ReflectorAim, SunAsLight, reflector, sun_as_light
from scout.assess.daylight.sun.sky import SkyOfRoom, sky_of_room
from scout.assess.daylight.sun.touch import SunTouches, sun_touches
from scout.assess.daylight.sun.year import (
    MOST_DATES,
    SteadyAnswer,
    YearCarpet,
    steady_blocks,
    year_carpet,
)
from scout.assess.stage.floor import with_camera
from scout.drawing.charts import carpet as carpets
from scout.drawing.charts.factor_grid import FactorGrid, factor_plan
from scout.drawing.charts.lux import lux_chart
from scout.drawing.charts.pair import beside
from scout.drawing.charts.sunpath import sun_path
from scout.drawing.lettering import SCREEN_WIDE_MM
from scout.drawing.plan.rim import north_of
from scout.drawing.plan.sheet import room_plan
from scout.drawing.shapes import Drawing
from scout.errors import Refused
from scout.packet.figures.content import PacketDaylight
from scout.pages import assessing
from scout.pages.medium import Medium
from scout.records import RoomSheet
from scout.store.queries import jobs
from scout.store.queries import places as queries
from scout.units import Units
from scout.usecases import lines
from scout.usecases.work import Work
from scout.values import Figure, Name, Said, Word, names, said

MOST_HOURS = 6
PRINT_MM, SCREEN_MM = (168.0, 150.0), (SCREEN_WIDE_MM, 160.0)
GRID = 28  # cells along the longer side of the floor
LEAST_STEP_M = 0.15
MOST_STEADY_DAYS = 92
CARPET_MIN = 10
MOST_LAYERS = 6
DISC_MM = 84.0  # the sky beside the year, on paper
FLOOR_MM = (84.0, 74.0)  # the factors over the floor, on paper, with tables beside them


class Sheet(Medium):
    """How a drawing of the daylight is wanted."""

    @property
    def size_mm(self) -> tuple[float, float]:
        """The room there is for it."""
        return PRINT_MM if self.for_print else SCREEN_MM


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
    scene_id: int | None = None,
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
            said("refused.hours", most=MOST_HOURS),
        )
    row = queries.room(work.db, room_id)
    setup = assessing.setup_of(work, room_id, on, production_id=production_id, scene_id=scene_id)
    found = assessing.assessed(setup)
    made = with_camera(setup.sheet, found.fit.camera_m)
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
        **wanted.letters,
    )
    touches = sun_touches(made, on)
    disc = sun_path(
        name,
        sky,
        reaching=touches.subject.spells if mark == "subject" else (),
        width_mm=min(width, 130.0),
        **wanted.letters,
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
    north = north_of(sheet.room, facings_of(sheet, found.date))
    bearings, patches = assessing.sun_on_plan(sheet, found, sorted(hours))
    return room_plan(
        sheet.room,
        location=sheet.location,
        marks=sheet.marks,
        north=north,
        sun=bearings if north is not None else (),
        patches=patches,
        size_mm=wanted.size_mm,
        units=wanted.units,
        **wanted.letters,
        stated_scale=wanted.for_print,
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
    made = assessing.sheet(work, room_id, production_id)
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
    by_cells: dict[bytes, list[str]] = {}
    for window, cells in found.sun_in.items():
        by_cells.setdefault(np.packbits(cells).tobytes(), []).append(window)
    groups = list(by_cells.values())
    layers = tuple(
        carpets.Layer(said("year.sun_in", windows=names(alike, "list")), found.sun_in[alike[0]])
        for alike in groups[:MOST_LAYERS]
    )
    rest = [window for alike in groups[MOST_LAYERS:] for window in alike]
    notes = [str(said("year.clear_glass"))]
    if rest:
        notes.append(str(said("year.not_drawn", windows=names(rest, "list"))))
    return carpets.year_carpet(
        str(said("year.windows_title", room=Name(name), year=Name(str(found.year)))),
        carpets.Carpet(found.dates, ~found.up, layers),
        marked=[at for at in marked if at.year == found.year],
        notes=notes,
        width_mm=wanted.size_mm[0],
        height_mm=110.0,
        **wanted.letters,
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
        (said("year.sun_on_mark", mark=Word("mark", found.mark)), found.sun_on_mark),
        (said("year.enough_overcast"), found.enough_overcast),
        (said("year.enough_clear"), found.enough_clear),
    )
    layers = tuple(carpets.Layer(words, cells) for words, cells in asked if cells is not None)
    needed = said("year.needed_unknown")
    if found.needed_lux is not None:
        camera = way_of(found.mark) == "camera"
        plane = Word("plane", "camera" if camera else "level")
        needed = said("year.needed", light=Figure(found.needed_lux, "lux"), plane=plane)
    width, height = size_mm or (wanted.size_mm[0], 110.0)
    return carpets.year_carpet(
        str(
            said(
                "year.title",
                room=Name(name),
                mark=Word("mark", found.mark),
                year=Name(str(found.year)),
            )
        ),
        carpets.Carpet(found.dates, ~found.up, layers),
        marked=[at for at in marked if at.year == found.year],
        notes=[str(needed), str(said("year.means"))],
        width_mm=width,
        height_mm=height,
        **wanted.letters,
    )


@dataclass(frozen=True)
class SteadyWanted:
    """What steady light is: how long at least, within how many stops, under which sky, at which
    mark.
    """

    least_min: float
    within_stops: float
    clear: bool
    mark: str = "subject"


def steady(
    work: Work,
    room_id: int,
    first: date,
    last: date,
    wanted: SteadyWanted,
    production_id: int | None = None,
) -> SteadyAnswer:
    """The best blocks of steady light from the first to the last date. Raises NotFound, or Refused
    naming `until`, `minutes` or `stops`.
    """
    if not 0 <= (last - first).days < MOST_STEADY_DAYS:
        raise Refused(
            "until",
            last.isoformat(),
            said("refused.until", most=MOST_STEADY_DAYS - 1),
        )
    dates = [first + timedelta(days=k) for k in range((last - first).days + 1)]
    return _steady(assessing.sheet(work, room_id, production_id), dates, wanted, "from")


def scene_steady(work: Work, room_id: int, scene_id: int, wanted: SteadyWanted) -> SteadyAnswer:
    """The same on a scene's own dates, else its production's shoot dates, with that production's
    kit.

    Raises NotFound, and Refused naming `scene`, `minutes` or `stops`.
    """
    scene = jobs.scene(work.db, scene_id)
    dates = jobs.dates_of(scene)
    if not dates:
        raise Refused("scene", scene.name, said("refused.no_dates"))
    if len(set(dates)) > MOST_DATES:
        raise Refused("scene", scene.name, said("refused.too_many_dates", most=MOST_DATES))
    sheet = assessing.sheet(work, room_id, scene.production_id)
    return _steady(sheet, dates, wanted, "scene")


def _steady(
    sheet: RoomSheet, dates: Sequence[date], wanted: SteadyWanted, otherwise: str
) -> SteadyAnswer:
    try:
        return steady_blocks(
            sheet,
            dates,
            least_min=wanted.least_min,
            within_stops=wanted.within_stops,
            sky="clear" if wanted.clear else "overcast",
            mark=wanted.mark,
            way=way_of(wanted.mark),
        )
    except Refused as refusal:
        path = {"least_min": "minutes", "within_stops": "stops"}.get(refusal.path, otherwise)
        raise Refused(path, refusal.given, refusal.because) from None


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
    made = assessing.sheet(work, room_id, production_id)
    return reflector(made, at, distance_m=distance_m, drift_m=drift_m)


@dataclass(frozen=True)
class FloorPicture:
    """Daylight factors over the floor: the drawing, or why there is none; what was assumed."""

    drawing: Drawing | None
    assumed: tuple[Said, ...] = ()
    unknown: Said | None = None


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
        north=north_of(sheet.room, facings_of(sheet, on)),
        size_mm=size_mm or wanted.size_mm,
        units=wanted.units,
        **wanted.letters,
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
            **wanted.letters,
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
    return [day for scene in found for day in jobs.dates_of(scene)]


def compass_now(work: Work, room_id: int) -> CompassReading | None:
    """The facing as read and as used, magnetic corrected for the day it was read, else for today.
    Raises NotFound.
    """
    zone = ZoneInfo(queries.room(work.db, room_id).location.timezone or "UTC")
    return compass(assessing.sheet(work, room_id), work.now().astimezone(zone).date())


def month_words(found: YearCarpet) -> tuple[tuple[Said, tuple[tuple[str, str], ...]], ...]:
    """The carpet's answers as tables: for each question, the middle of each month and its spells."""
    asked = [
        (said("year.month.sun", mark=Word("mark", found.mark)), found.sun_on_mark),
        (said("year.month.overcast"), found.enough_overcast),
        (said("year.month.clear"), found.enough_clear),
        *(
            (said("year.month.sun_in", window=Name(window)), cells)
            for window, cells in found.sun_in.items()
        ),
    ]
    dark = np.zeros((len(found.dates), 1), dtype=bool) if found.up is None else ~found.up
    frame = carpets.Carpet(found.dates, dark, ())
    return tuple(
        (words, carpets.month_spells(frame, cells)) for words, cells in asked if cells is not None
    )
