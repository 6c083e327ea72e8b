"""What is sighted in a room and set: the facing by a compass, a map, a shadow or a photo, and what
stands against the sky.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from scout.assess.daylight.place.facing import (
    FacingFound,
    facing_from_floor_photo,
    facing_from_map,
    facing_from_shadow,
    skyline_from_photo,
)
from scout.records import Measurement, RoomRecord
from scout.records.sheet import Facing, SkylinePoint
from scout.records.sighted import FloorPhoto, MapLine, ShadowLine, SkylineTrace
from scout.store.queries import places as queries
from scout.usecases import photos, rooms, sheets
from scout.usecases.work import Work
from scout.values import Figure, Name, Said, said


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


def find_by_map(work: Work, room_id: int, line: MapLine) -> FacingFound:
    """The facing from two points of a map. Raises NotFound, Refused."""
    return facing_from_map(rooms.room(work, room_id).kept.record, line)


def find_by_shadow(work: Work, room_id: int, line: ShadowLine) -> FacingFound:
    """The facing from a shadow on the floor. Raises NotFound, Refused."""
    return facing_from_shadow(sheets.export_sheet(work, room_id), line)


def find_by_photo(work: Work, room_id: int, line: FloorPhoto) -> FacingFound:
    """The facing from a shadow beside a rectangle of known sides on a photo of the floor. Raises
    NotFound, Refused.
    """
    photo = photos.photo(work, line.photo_id).line
    return facing_from_floor_photo(
        sheets.export_sheet(work, room_id), line, photo.width_px, photo.height_px
    )


@dataclass(frozen=True)
class SkylineFound:
    """A skyline as traced, with what was kept of the one before; what was assumed."""

    skyline: tuple[SkylinePoint, ...]
    how: str
    across_deg: float
    kept_points: int
    assumed: tuple[Said, ...]


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
    how = str(
        said(
            "sighting.traced",
            photo=Name(photo.original_name),
            across=Figure(across, "deg"),
            bearing=Figure(trace.bearing_deg, "deg"),
        )
    )
    return SkylineFound(skyline, how, across, len(outside), assumed)
