"""Daylight of rooms on record over time and over the floor: what a page or a command of its own asks for, and no assessment waits for."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from scout.assess.answers import Point
from scout.assess.daylight_contrast import ContrastAnswer
from scout.assess.daylight_contrast import window_contrast as contrast_of_sheet
from scout.assess.daylight_grid import WORK_PLANE_M, DaylightGrid
from scout.assess.daylight_grid import daylight_grid as grid_of_sheet
from scout.assess.daylight_outdoors import ReflectorAim, SunAsLight
from scout.assess.daylight_outdoors import reflector as reflector_of_sheet
from scout.assess.daylight_outdoors import sun_as_light as sun_of_sheet
from scout.assess.daylight_planes import Way
from scout.assess.daylight_touch import SunTouches
from scout.assess.daylight_touch import sun_touches as touches_of_sheet
from scout.assess.daylight_year import Sky, SteadyAnswer, YearCarpet
from scout.assess.daylight_year import steady_blocks as steady_of_sheet
from scout.assess.daylight_year import year_carpet as carpet_of_sheet
from scout.records import RoomSheet
from scout.store.queries import jobs
from scout.usecases import assessing
from scout.usecases.work import Work


def year_carpet(work: Work, room_id: int, year: int, *, mark: str = "subject", way: Way = "camera", step_min: int = 15,
                production_id: int | None = None) -> YearCarpet:
    """Day by time of day of a year: direct sun on a mark, and enough light for the camera. Raises NotFound, Refused."""
    return carpet_of_sheet(_sheet(work, room_id, production_id), year, mark=mark, way=way, step_min=step_min)


def daylight_grid(work: Work, room_id: int, step_m: float = 0.5, *, height_m: float = WORK_PLANE_M) -> DaylightGrid:
    """The daylight factor over the plan of a room. Raises NotFound, Refused."""
    return grid_of_sheet(_sheet(work, room_id, None), step_m, height_m=height_m)


def sun_touches(work: Work, room_id: int, on: date, *, production_id: int | None = None) -> SunTouches:
    """When direct sun touches the subject, the lens (flare) or the background in frame. Raises NotFound."""
    return touches_of_sheet(_sheet(work, room_id, production_id), on)


def window_contrast(work: Work, room_id: int, on: date, *, at: datetime | None = None, production_id: int | None = None) -> ContrastAnswer:
    """How many stops each window in frame is above the face, and whether the camera holds both. Raises NotFound."""
    return contrast_of_sheet(_sheet(work, room_id, production_id), on, at=at)


def sun_as_light(work: Work, room_id: int, on: date, *, production_id: int | None = None) -> SunAsLight:
    """Outdoors: when the sun is key, flat, back light, in the lens, or hidden. Raises NotFound."""
    return sun_of_sheet(_sheet(work, room_id, production_id), on)


def reflector(work: Work, room_id: int, at: datetime, *, stand_m: Point | None = None, drift_m: float = 0.3) -> ReflectorAim:
    """Outdoors: where a reflector stands and points, and how soon it must be aimed again. Raises NotFound, Refused."""
    return reflector_of_sheet(_sheet(work, room_id, None), at, stand_m=stand_m, drift_m=drift_m)


def steady_blocks(work: Work, room_id: int, dates: Sequence[date], *, least_min: float = 60.0, within_stops: float = 0.5, sky: Sky = "clear",
                  mark: str = "subject", production_id: int | None = None) -> SteadyAnswer:
    """The longest blocks of steady light over some dates. Raises NotFound, Refused."""
    return steady_of_sheet(_sheet(work, room_id, production_id), dates, least_min=least_min, within_stops=within_stops, sky=sky, mark=mark)


def scene_steady_blocks(work: Work, room_id: int, scene_id: int, *, least_min: float = 60.0, within_stops: float = 0.5, sky: Sky = "clear",
                        mark: str = "subject") -> SteadyAnswer:
    """The longest blocks of steady light on a scene's own dates, else its production's shoot dates.

    Raises NotFound, and Refused when neither has a date.
    """
    scene = jobs.scene(work.db, scene_id)
    sheet = _sheet(work, room_id, scene.production_id)
    return steady_of_sheet(sheet, assessing.dates_of(scene), least_min=least_min, within_stops=within_stops, sky=sky, mark=mark)


def _sheet(work: Work, room_id: int, production_id: int | None) -> RoomSheet:
    return assessing.sheet(work, room_id, production_id if production_id is not None else assessing.production_of(work, room_id))
