"""A day of the daylight of a room, its compass, and a reflector outdoors."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from scout.assess.answers import RoomAssessment
from scout.assess.daylight.mark.contrast import ContrastAnswer, window_contrast
from scout.assess.daylight.place.facing import (
    CompassReading,
    compass,
)
from scout.assess.daylight.place.where import facings_of
from scout.assess.daylight.sun.outdoors import ReflectorAim, SunAsLight, reflector, sun_as_light
from scout.assess.daylight.sun.sky import SkyOfRoom, sky_of_room
from scout.assess.daylight.sun.touch import SunTouches, sun_touches
from scout.drawing.charts.lux import lux_chart
from scout.drawing.charts.sunpath import sun_path
from scout.drawing.plan.rim import north_of
from scout.drawing.plan.sheet import room_plan
from scout.drawing.shapes import Drawing
from scout.errors import Refused
from scout.pages import assessing
from scout.pages.daylight.wanted import Sheet
from scout.store.queries import places as queries
from scout.usecases import lines
from scout.usecases.work import Work
from scout.values import said

MOST_HOURS = 6


@dataclass(frozen=True)
class DaylightDay:
    """A day of a room: everything worked out, its drawings, the facing as read and as used."""

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
    made = found.sheet
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
        found,
        compass(made, on),
        sky,
        touches,
        window_contrast(made, on),
        outdoors,
        patch_plan(found, hours, wanted),
        disc,
        chart,
    )


def patch_plan(found: RoomAssessment, hours: Sequence[datetime], wanted: Sheet) -> Drawing:
    """The plan of a room with the sun on its rim and on its floor and walls at the given instants."""
    sheet = found.sheet
    north = north_of(sheet.room, facings_of(sheet, found.date))
    bearings, patches = assessing.sun_on_plan(found, sorted(hours))
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


def compass_now(work: Work, room_id: int) -> CompassReading | None:
    """The facing as read and as used, magnetic corrected for the day it was read, else for today.
    Raises NotFound.
    """
    zone = ZoneInfo(queries.room(work.db, room_id).location.timezone or "UTC")
    return compass(assessing.sheet(work, room_id), work.now().astimezone(zone).date())
