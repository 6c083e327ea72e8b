"""The room sheet, version 1: the one JSON document in which a room travels with everything the
calculations need.

None means not measured. Only shapes and single values are judged here; how things fit together (a
window on its wall, a
mark in the room) is judged by `checks.py` once the whole is read.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from math import cos, radians, sin
from typing import Annotated, Any, Literal, Self
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import (
    AfterValidator,
    BeforeValidator,
    ConfigDict,
    Field,
    JsonValue,
    field_validator,
    model_validator,
)

from scout.records.base import (
    WALL,
    WHOLE,
    Above0,
    BearingDeg,
    Coordinate,
    Decibel,
    HeightM,
    Label,
    Least0,
    LengthM,
    Name,
    Number,
    Record,
    Share,
    Text,
    has_direction,
    kept_whole,
    listed,
    refuse,
)
from scout.records.base import (
    Place as Place,
)
from scout.records.base import (
    PlanPoint as PlanPoint,
)
from scout.records.kit import Cable as Cable
from scout.records.kit import Camera as Camera
from scout.records.kit import Kit as Kit
from scout.records.kit import Light as Light
from scout.records.kit import LightSpectrum as LightSpectrum
from scout.records.kit import Mic as Mic
from scout.records.kit import MicKind as MicKind
from scout.records.kit import SpeechEffort as SpeechEffort
from scout.values import Figure, names, said
from scout.values import Name as PlainName

Setting = Literal["interior", "exterior", "covered"]
Finish = Literal["matte", "satin", "gloss"]
North = Literal["true", "magnetic"]
Covering = Literal["none", "sheer", "blind", "blackout"]
# of a room whose furniture nobody measured: nothing stands in it, or about what usually does
Furnished = Literal["bare", "usual"]
NoiseMethod = Literal["estimate", "phone_app", "phone_recording", "meter_class_2", "meter_class_1"]
LightMethod = Literal["meter", "phone_app", "card_photo"]
ReadMark = Literal["subject", "camera"]
ReadPlane = Literal["level", "camera"]
Sky = Literal["overcast", "clear"]
Material = Literal[
    "hard_surface",
    "brick_rendered",
    "brick_painted",
    "concrete_rough",
    "concrete_floor",
    "tile_or_marble",
    "plasterboard_wall",
    "plasterboard_ceiling",
    "glass",
    "double_glazing",
    "wood_door",
    "wood_floor",
    "linoleum",
    "carpet_thin",
    "carpet_closed_foam",
    "carpet_open_foam",
    "drapes_cotton",
    "curtain_light",
    "curtain_velvet",
    "ceiling_tile",
    "rockwool",
    "seats_upholstered",
    "seats_wooden",
    "audience",
    "person",
]
BANDS_HZ = ("31.5", "63", "125", "250", "500", "1000", "2000", "4000", "8000", "16000")
# Published tests of phones' compasses: within 15 degrees indoors, 5 in the open (common practice)
DEFAULT_FACING_ACCURACY_DEG, FACING_ACCURACY_OUTDOORS_DEG = 15.0, 5.0
DEFAULT_GROUND_REFLECTANCE = 0.2


_DATE = r"^\d{4}-\d{2}-\d{2}$"
# for the JSON Schema: what _moment asks of the shape
_MOMENT = r"^[^Tt]+[Tt].*([Zz]|[+-]\d\d(:?\d\d(:?\d\d(\.\d+)?)?)?)$"


def _moment(text: str) -> str:
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        raise refuse(said("record.no_moment")) from None
    if when.utcoffset() is None or "T" not in text.upper():
        raise refuse(said("record.no_offset"))
    return text


def _local_date(text: Any) -> Any:
    if isinstance(text, str):
        try:
            if (
                (found := date.fromisoformat(text)).isoformat() == text
            ):  # a week's date, or one without dashes, is read by the library too
                return found
        except ValueError:
            pass
        raise refuse(said("record.no_date"))
    return text


def _zone(name: str) -> str:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise refuse(said("record.no_zone")) from None
    return name


# The text is kept as it came, so that a sheet read and written again is the same document.
Moment = Annotated[
    str,
    AfterValidator(_moment),
    Field(json_schema_extra={"format": "date-time", "pattern": _MOMENT}),
]
LocalDate = Annotated[
    date, BeforeValidator(_local_date), Field(json_schema_extra={"pattern": _DATE})
]
ZoneName = Annotated[str, AfterValidator(_zone)]


class SheetLocation(Record):
    """Where the room is, and how kit gets there."""

    name: Name | None = None
    address: Text | None = None
    latitude_deg: Annotated[Number, Field(ge=-90, le=90)] | None = None
    longitude_deg: Annotated[Number, Field(ge=-180, le=180)] | None = None
    elevation_m: Annotated[Number, Field(ge=-500, le=9000)] | None = None
    timezone: ZoneName | None = None
    ground_reflectance: Share | None = None
    # how kit gets in, where a room has no way in of its own
    door_width_m: LengthM | None = None
    steps: Annotated[int, Field(ge=0, le=10_000), WHOLE] | None = None
    has_lift: bool | None = None
    lift_width_m: LengthM | None = None
    lift_depth_m: LengthM | None = None
    parking_distance_m: Annotated[Number, Field(ge=0, le=100_000)] | None = None


class Facing(Record):
    """The bearing seen looking out squarely through one wall, and from which north it was read."""

    wall: Annotated[str, Field(pattern=WALL)]
    bearing_deg: BearingDeg
    north: North | None = None
    accuracy_deg: Annotated[Number, Field(ge=0, le=180)] | None = None
    read_on: LocalDate | None = None


class Spectrum(Record):
    """Reflectance by wavelength, evenly spaced."""

    first_nm: Annotated[Number, Field(ge=200, le=400)]
    step_nm: Annotated[Number, Field(gt=0, le=100)]
    values: Annotated[
        tuple[Share, ...], BeforeValidator(listed), Field(min_length=2, max_length=2000)
    ]

    @model_validator(mode="after")
    def _reaches(self) -> Self:
        last = self.first_nm + self.step_nm * (len(self.values) - 1)
        if last < 700:
            raise refuse(said("record.spectrum_short", last=Figure(last)))
        return self


def _colour_schema(schema: dict[str, Any]) -> None:
    """Exactly one of the three, the illuminant beside lab alone: what `_one_way` asks, said to
    those who read the JSON Schema only.
    """
    kinds = {"srgb": "string", "lab": "array", "spectrum": "object"}
    schema["oneOf"] = [
        {
            "required": [name] + (["illuminant"] if name == "lab" else []),
            "properties": {
                name: {"type": kind},
                "illuminant": {"type": "string" if name == "lab" else "null"},
                **{other: {"type": "null"} for other in kinds if other != name},
            },
        }
        for name, kind in kinds.items()
    ]


class Colour(Record):
    """A surface colour, in exactly one of three ways."""

    model_config = ConfigDict(json_schema_extra=_colour_schema)

    srgb: Annotated[str, Field(pattern=r"^#[0-9A-Fa-f]{6}$")] | None = None
    lab: (
        Annotated[
            tuple[
                Annotated[Number, Field(ge=0, le=100)],
                Annotated[Number, Field(ge=-160, le=160)],
                Annotated[Number, Field(ge=-160, le=160)],
            ],
            BeforeValidator(listed),
        ]
        | None
    ) = None
    illuminant: Literal["D50", "D65"] | None = None
    spectrum: Spectrum | None = None

    @field_validator("srgb", mode="before")
    @classmethod
    def _hex(cls, value: Any) -> Any:
        if isinstance(value, str) and (
            len(value) != 7
            or value[0] != "#"
            or any(c not in "0123456789abcdefABCDEF" for c in value[1:])
        ):
            raise refuse(said("record.no_srgb"))
        return value

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        given = [name for name in ("srgb", "lab", "spectrum") if getattr(self, name) is not None]
        if len(given) != 1:
            raise refuse(said("record.colour_ways", given=names(given, "list") if given else None))
        if (self.lab is None) != (self.illuminant is None):
            raise refuse(said("record.illuminant"))
        return self


class Surface(Record):
    """A wall, the ceiling or the floor as light and sound meet it."""

    colour: Colour | None = None
    light_reflectance: Share | None = None
    finish: Finish | None = None
    material: Material | None = None


class SkylinePoint(Record):
    """How high something outside stands against the sky, in one direction."""

    bearing_deg: BearingDeg
    elevation_deg: Annotated[Number, Field(ge=-90, le=90)]


Skyline = Annotated[tuple[SkylinePoint, ...], BeforeValidator(listed)]


class Window(Record):
    """An opening that lets daylight in, placed from the left end of its wall as seen from inside."""

    id: Label
    wall: Annotated[str, Field(pattern=WALL)]
    offset_m: Least0 | None = None
    sill_m: Least0 | None = None
    width_m: LengthM | None = None
    height_m: HeightM | None = None
    transmittance: Share | None = None
    reveal_m: Annotated[Number, Field(ge=0, le=5)] | None = None
    overhang_m: Annotated[Number, Field(ge=0, le=50)] | None = None
    overhang_gap_m: Annotated[Number, Field(ge=0, le=50)] | None = None
    reveal_reflectance: Share | None = None
    overhang_reflectance: Share | None = None
    covering: Covering | None = None
    skyline: Skyline | None = None
    material: Material | None = None


class Door(Record):
    """A door, as high as height_m from the floor. `keep_free`: an exit that no lead and no stand may
    be in the way of.
    """

    id: Label
    wall: Annotated[str, Field(pattern=WALL)]
    offset_m: Least0 | None = None
    width_m: LengthM | None = None
    height_m: HeightM | None = None
    material: Material | None = None
    keep_free: bool | None = None


class Circuit(Record):
    """What one breaker protects. `verified`: somebody tried it and knows, rather than supposes,
    what hangs on it.
    """

    id: Label
    volts: Annotated[Number, Field(gt=0, le=1000)] | None = None
    breaker_a: Annotated[Number, Field(gt=0, le=1000)] | None = None
    other_load_w: Least0 | None = None
    verified: bool | None = None


class Outlet(Record):
    """A place to plug in; `circuit` names the circuit it hangs on, if known."""

    id: Label
    wall: Annotated[str, Field(pattern=WALL)] | None = None
    offset_m: Least0 | None = None
    height_m: Least0 | None = None
    circuit: Label | None = None
    sockets: Annotated[int, Field(ge=1, le=50), WHOLE] | None = None


class Content(Record):
    """Something soft or hard that stands in the room: an area of it, or a count of persons."""

    material: Material
    area_m2: Above0 | None = None
    count: Annotated[int, Field(ge=0, le=10_000), WHOLE] | None = None


class Practical(Record):
    """A lamp that belongs to the room."""

    id: Label
    at_m: Place | None = None
    lumens: Least0 | None = None
    cct_k: Annotated[Number, Field(ge=1000, le=40_000)] | None = None
    duv: Annotated[Number, Field(ge=-0.1, le=0.1)] | None = None
    can_switch_off: bool | None = None


class Furniture(Record):
    """Something that stands on the floor, as a block: its middle, its footprint, how far it is
    turned clockwise seen from above.

    Unturned, its width lies along x and its depth along y. `clear_below_m`: one sees under it up to
    there, as under a table; left out, it is solid down to the floor. `mirrors`: its broader sides
    are glass or polished, as of a hung mirror, a television, a picture behind glass.
    """

    id: Label
    at_m: PlanPoint | None = None
    width_m: LengthM | None = None
    depth_m: LengthM | None = None
    turn_deg: Annotated[Number, Field(ge=-360, le=360)] | None = None
    height_m: HeightM | None = None
    clear_below_m: Least0 | None = None
    reflectance: Share | None = None
    colour: Colour | None = None
    movable: bool | None = None
    mirrors: bool | None = None

    @property
    def corners_m(self) -> tuple[tuple[float, float], ...] | None:
        """Its four corners in plan, clockwise; None when place or size is not measured. A turn
        nobody gave is none.
        """
        if self.at_m is None or self.width_m is None or self.depth_m is None:
            return None
        turn, (x, y) = radians(self.turn_deg or 0.0), self.at_m
        along, across = (cos(turn), -sin(turn)), (sin(turn), cos(turn))
        halves = ((-0.5, 0.5), (0.5, 0.5), (0.5, -0.5), (-0.5, -0.5))
        return tuple(
            (
                x + a * self.width_m * along[0] + b * self.depth_m * across[0],
                y + a * self.width_m * along[1] + b * self.depth_m * across[1],
            )
            for a, b in halves
        )


class NoiseReading(Record):
    """The room's own sound at one time."""

    id: Label
    taken_at: Moment | None = None
    laeq_db: Decibel | None = None
    lceq_db: Decibel | None = None
    bands_db: Mapping[str, Decibel | None] | None = None
    duration_s: Above0 | None = None
    method: NoiseMethod | None = None
    conditions: Text | None = None

    @field_validator("bands_db")
    @classmethod
    def _octaves(
        cls, bands: Mapping[str, float | None] | None
    ) -> Mapping[str, float | None] | None:
        for band in bands or {}:
            if band not in BANDS_HZ:
                bands_hz = names(BANDS_HZ, "list")
                raise refuse(said("record.no_band", band=PlainName(band), bands=bands_hz))
        return bands


class LightReading(Record):
    """Daylight read at a mark at one time, level or on the side that the camera sees. `counts`: the
    figures go by it; left out, they do. `doubt_stops`: left out, by how it was read.
    """

    id: Label
    mark: ReadMark | None = None
    plane: ReadPlane | None = None
    sky: Sky | None = None
    taken_at: Moment | None = None
    lux: Above0 | None = None
    doubt_stops: Annotated[Number, Field(ge=0, le=5)] | None = None
    how: LightMethod | None = None
    counts: bool | None = None


class WayIn(Record):
    """How kit gets to this one room, where that differs from its place: steps, narrowest door, carry."""

    steps: Annotated[int, Field(ge=0, le=10_000), WHOLE] | None = None
    lift: bool | None = None
    door_width_m: LengthM | None = None
    carry_m: Annotated[Number, Field(ge=0, le=100_000)] | None = None


class Street(Record):
    """What stands before the windows: how wide the open ground is, how high the room's own building
    rises above it, and how light the facades are that the skyline stands for.
    """

    width_m: LengthM | None = None
    building_height_m: HeightM | None = None
    facade_reflectance: Share | None = None


Tags = Annotated[tuple[Label, ...], BeforeValidator(listed), Field(max_length=100)]


class RoomRecord(Record):
    """One room, or one usable piece of ground outdoors. `tags`: how it looks, in single words."""

    name: Name | None = None
    tags: Tags | None = None
    setting: Setting | None = None
    storey: Annotated[int, Field(ge=-20, le=200), WHOLE] | None = None
    width_m: LengthM | None = None
    length_m: LengthM | None = None
    plan_m: Annotated[tuple[PlanPoint, ...], BeforeValidator(listed)] | None = None
    height_m: HeightM | None = None
    facing: Facing | None = None
    skyline: Skyline | None = None
    street: Street | None = None
    furnished: Furnished | None = None
    way_in: WayIn | None = None
    surfaces: Mapping[str, Surface | None] | None = None
    windows: Annotated[tuple[Window, ...], BeforeValidator(listed)] | None = None
    doors: Annotated[tuple[Door, ...], BeforeValidator(listed)] | None = None
    circuits: Annotated[tuple[Circuit, ...], BeforeValidator(listed)] | None = None
    outlets: Annotated[tuple[Outlet, ...], BeforeValidator(listed)] | None = None
    contents: Annotated[tuple[Content, ...], BeforeValidator(listed)] | None = None
    practicals: Annotated[tuple[Practical, ...], BeforeValidator(listed)] | None = None
    furniture: Annotated[tuple[Furniture, ...], BeforeValidator(listed)] | None = None
    noise: Annotated[tuple[NoiseReading, ...], BeforeValidator(listed)] | None = None
    readings: Annotated[tuple[LightReading, ...], BeforeValidator(listed)] | None = None

    @property
    def facing_accuracy_deg(self) -> float:
        """How good the facing is: as recorded, else a phone's compass where the room is."""
        if self.facing is not None and self.facing.accuracy_deg is not None:
            return self.facing.accuracy_deg
        if self.setting == "exterior":
            return FACING_ACCURACY_OUTDOORS_DEG
        return DEFAULT_FACING_ACCURACY_DEG

    @property
    def corners_m(self) -> tuple[tuple[float, float], ...] | None:
        """The plan's corners clockwise from the left end of wall A, or None when the plan is not
        measured.
        """
        if self.plan_m is not None:
            return self.plan_m
        if self.width_m is not None and self.length_m is not None:
            w, d = self.width_m, self.length_m
            return ((0.0, d), (w, d), (w, 0.0), (0.0, 0.0))
        return None


class Marks(Record):
    """Where people and the camera stand: plan metres and height above the floor.

    others: further people in the picture, at the height of their faces; the subject is judged
    """

    subject: Place | None = None
    subject_normal: (
        Annotated[
            tuple[Coordinate, Coordinate, Coordinate],
            BeforeValidator(listed),
            AfterValidator(has_direction),
        ]
        | None
    ) = None
    camera: Place | None = None
    path: Annotated[tuple[Place, ...], BeforeValidator(listed)] | None = None
    others: Annotated[tuple[Place, ...], BeforeValidator(listed)] | None = None


class RoomSheet(Record):
    """The whole document."""

    schema_: Literal["room-sheet/1"] = Field(alias="schema")
    location: SheetLocation | None = None
    room: RoomRecord
    marks: Marks | None = None
    kit: Kit | None = None
    extra: Annotated[Mapping[str, JsonValue], BeforeValidator(kept_whole)] | None = None

    def plain(self) -> dict[str, Any]:
        """The sheet as plain JSON values; reading then writing gives the same document, key order
        aside.
        """
        return self.model_dump(mode="json", exclude_unset=True, by_alias=True)
