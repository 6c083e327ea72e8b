"""What people sight instead of reading a compass: a line on a map, the shadow of a window's edge, a
skyline traced on a photo.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from scout.records.base import WALL, WHOLE, BearingDeg, Least0, Number, Record, Text
from scout.records.sheet import Facing, Moment, PlanPoint, Skyline

MapRun = Literal["out_through", "along"]
OnWall = Literal[
    "a4_upright", "a4_lying", "letter_upright", "letter_lying", "door", "tape", "rectangle"
]
Latitude = Annotated[Number, Field(ge=-90, le=90)]
Longitude = Annotated[Number, Field(ge=-180, le=180)]
WallLetter = Annotated[str, Field(pattern=WALL)]


def _listed(value: object) -> object:
    return (
        tuple(tuple(part) if isinstance(part, list) else part for part in value)
        if isinstance(value, list)
        else value
    )


class MapLine(Record):
    """Two points of a map, and how the line from the first to the second runs to a wall."""

    wall: WallLetter
    runs: MapRun
    from_latitude_deg: Latitude
    from_longitude_deg: Longitude
    to_latitude_deg: Latitude
    to_longitude_deg: Longitude
    accuracy_m: Least0 | None = None


class ShadowLine(Record):
    """The line along the floor on which the shadow of an upright window edge lay at a time, its end
    nearer to the window first.
    """

    at: Moment
    near: PlanPoint
    far: PlanPoint
    accuracy_m: Least0 | None = None
    clock_s: Annotated[Number, Field(ge=0, le=7200)] | None = None  # how far the clock may be out


Shares = Annotated[tuple[tuple[Number, Number], ...], BeforeValidator(_listed)]
Side = Annotated[Number, Field(gt=0, le=100)]


class FloorPhoto(Record):
    """A shadow and a rectangle of known sides on a photo of the floor: four corners, the first two
    by the wall, then two points of the shadow.
    """

    photo_id: Annotated[int, Field(ge=1), WHOLE]
    at: Moment
    clock_s: Annotated[Number, Field(ge=0, le=7200)] | None = None
    wall: WallLetter
    along_m: Side
    deep_m: Side
    points: Annotated[Shares, Field(min_length=6, max_length=6)]


Corners = Annotated[Shares, Field(min_length=1, max_length=4)]
OnePoint = Annotated[Shares, Field(min_length=1, max_length=1)]


class WallPhoto(Record):
    """What was tapped on a photo of a wall, as shares of the picture: something of known size,
    perhaps another, what is asked for, a point of the wall's left end and one of the floor's edge.
    `again`: a second photo of the wall, and which of the same things were tapped on it.
    """

    photo_id: Annotated[int, Field(ge=1), WHOLE]
    first: OnWall
    first_at: Corners
    second: OnWall | None = None
    second_at: Corners | None = None
    door_width_m: Side | None = None
    door_height_m: Side | None = None
    tape_m: Side | None = None
    thing_at: Corners
    left_at: OnePoint | None = None
    floor_at: OnePoint | None = None
    again_id: Annotated[int, Field(ge=1), WHOLE] | None = None
    again_first_at: Corners | None = None
    again_second_at: Corners | None = None
    again_thing_at: Corners | None = None
    again_left_at: OnePoint | None = None
    again_floor_at: OnePoint | None = None


class SkylineTrace(Record):
    """Points clicked along the skyline of a photo, and how the photo looks out. points: from left
    and top, as shares of the picture.
    """

    photo_id: Annotated[int, Field(ge=1), WHOLE]
    bearing_deg: BearingDeg
    across_deg: Annotated[Number, Field(gt=1, lt=170)] | None = None
    equivalent_mm: Annotated[Number, Field(gt=2, le=3000)] | None = None
    tilt_deg: Annotated[Number, Field(ge=-80, le=80)] | None = None
    points: Annotated[
        tuple[tuple[Number, Number], ...],
        BeforeValidator(_listed),
        Field(min_length=2, max_length=500),
    ]


class FacingSet(Record):
    """A facing to keep, and how it was found."""

    facing: Facing
    how: Text | None = None


class SkylineSet(Record):
    """A skyline to keep, or none, and how it was found."""

    skyline: Skyline | None = None
    how: Text | None = None
