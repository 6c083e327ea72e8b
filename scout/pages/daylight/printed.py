"""What the packet says of the daylight of a room."""

from __future__ import annotations

from datetime import date

from scout.assess.daylight.mark.contrast import window_contrast
from scout.assess.daylight.sun.outdoors import sun_as_light
from scout.assess.daylight.sun.sky import sky_of_room
from scout.assess.daylight.sun.touch import sun_touches
from scout.assess.daylight.sun.year import (
    year_carpet,
)
from scout.drawing.charts.pair import beside
from scout.drawing.charts.sunpath import sun_path
from scout.packet.figures.content import PacketDaylight
from scout.pages import assessing
from scout.pages.daylight.floor import FloorPicture, floor_of
from scout.pages.daylight.wanted import Sheet, way_of
from scout.pages.daylight.year import CARPET_MIN, draw_year
from scout.records import RoomSheet
from scout.store.queries import jobs
from scout.store.queries import places as queries
from scout.units import Units
from scout.usecases import lines
from scout.usecases.work import Work

DISC_MM = 84.0  # the sky beside the year, on paper
FLOOR_MM = (84.0, 74.0)  # the factors over the floor, on paper, with tables beside them


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
