"""Answers about the sun and the daylight."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from scout.assess.answers.base import Answer, Interval, Point
from scout.values import Said

Range = tuple[float, float]
InstantRange = tuple[datetime | None, datetime | None]


@dataclass(frozen=True)
class Crossing:
    at: datetime
    event: Literal["dawn", "sunrise", "sunset", "dusk"]


@dataclass(frozen=True)
class MoonAnswer:
    """The moon on a local date, for nights outdoors."""

    rise: datetime | None
    set: datetime | None
    lit_pct: float  # of its disc, at the middle of the date


@dataclass(frozen=True, kw_only=True)
class EventsAnswer(Answer):
    state: Literal["normal", "polar_day", "polar_night"] | None = None
    dawn: datetime | None = None
    sunrise: datetime | None = None
    noon: datetime | None = None
    sunset: datetime | None = None
    dusk: datetime | None = None
    crossings: tuple[Crossing, ...] = ()
    low_sun: tuple[Interval, ...] = ()
    day_length_min: float | None = None
    blue_hours: tuple[Interval, ...] = ()  # the sun from 4 to 6 degrees under the horizon
    moon: MoonAnswer | None = None
    notes: tuple[Said, ...] = ()  # "the sun grazes the horizon"


@dataclass(frozen=True)
class IntervalRange:
    """Earliest and latest start and end of one spell of direct sun, from the doubt of the facing."""

    start: Interval
    end: Interval


@dataclass(frozen=True, kw_only=True)
class WindowSunAnswer(Answer):
    id: str
    facing_deg: float | None = None
    facing_true: bool | None = None
    magnetic_correction_deg: float | None = None
    direct_sun: tuple[Interval, ...] = ()
    direct_sun_min: float | None = None
    direct_sun_range: tuple[IntervalRange, ...] = ()
    # what checking the bearing against a shadow or a map would leave of it; None: it is as good
    direct_sun_range_checked: tuple[IntervalRange, ...] | None = None


@dataclass(frozen=True)
class RangeFact:
    """A fact that a plane's figures rest on: the half width it gives them, as a share, and the
    half width of all that would be left were it measured as well as can be. `clear_`: under a clear
    sky, at the middle of the day's instants.
    """

    fact: str
    overcast_pct: float
    overcast_left_pct: float | None = None
    clear_pct: float | None = None
    clear_left_pct: float | None = None
    recorded: bool = True


@dataclass(frozen=True)
class LuxPoint:
    at: datetime
    overcast_lux: float | None
    clear_lux: float | None
    in_direct_sun: bool | None
    camera_overcast_lux: float | None = (
        None  # on the side the camera sees: an upright plane at the mark
    )
    camera_clear_lux: float | None = None
    # the doubt of what is recorded, beyond both ends of what is not
    overcast_range_lux: Range | None = None
    clear_range_lux: Range | None = None
    camera_overcast_range_lux: Range | None = None
    camera_clear_range_lux: Range | None = None


@dataclass(frozen=True, kw_only=True)
class MarkDaylight(Answer):
    daylight_factor_pct: float | None = None
    daylight_factor_range_pct: Range | None = None
    sky_component_pct: float | None = None
    overcast_lux_noon: float | None = None
    overcast_range_lux_noon: Range | None = None
    clear_lux_noon: float | None = None
    clear_range_lux_noon: Range | None = None
    series: tuple[LuxPoint, ...] = ()
    camera_normal: Point | None = None  # the way the side that the camera sees looks, in the plan
    camera_factor_pct: float | None = (
        None  # light on that side, of the level light outdoors, overcast
    )
    camera_factor_range_pct: Range | None = None
    camera_overcast_lux_noon: float | None = None
    camera_overcast_range_lux_noon: Range | None = None
    camera_clear_lux_noon: float | None = None
    camera_clear_range_lux_noon: Range | None = None
    camera_unknown: Said | None = None  # why the figures towards the camera are missing
    enough_from: datetime | None = (
        None  # an overcast sky brings what the camera needs, on the level plane
    )
    enough_until: datetime | None = None
    # at the bright and at the dark end; None at an end where it is never enough
    enough_from_range: InstantRange | None = None
    enough_until_range: InstantRange | None = None
    camera_enough_from: datetime | None = None  # and on the side that the camera sees
    camera_enough_until: datetime | None = None
    camera_enough_from_range: InstantRange | None = None
    camera_enough_until_range: InstantRange | None = None
    # where the ranges come from, the widest first: on the camera's side where it is known, else on
    # the level plane
    range_from: tuple[RangeFact, ...] = ()
    range_because: Said | None = None


@dataclass(frozen=True, kw_only=True)
class ReadAnswer(Answer):
    """Light that was read at a mark, beside what is predicted for that sky and minute; believed_pct:
    how far the figures go by it, of all the way.
    """

    id: str
    mark: str | None = None
    plane: str | None = None
    sky: str | None = None
    at: datetime | None = None
    lux: float | None = None
    range_lux: Range | None = None
    predicted_lux: float | None = None
    predicted_range_lux: Range | None = None
    off_stops: float | None = None  # read over predicted
    believed_pct: float | None = None


@dataclass(frozen=True, kw_only=True)
class DaylightAnswer(Answer):
    marks: Mapping[str, MarkDaylight] = field(default_factory=dict)
    needed_lux: float | None = None
    enough_from: datetime | None = None
    enough_until: datetime | None = None
    enough_from_range: InstantRange | None = None
    enough_until_range: InstantRange | None = None
    readings: tuple[ReadAnswer, ...] = ()


@dataclass(frozen=True, kw_only=True)
class SunAnswer(Answer):
    elevation_deg: float | None = None  # refraction included
    azimuth_deg: float | None = None


@dataclass(frozen=True)
class PatchPolygon:
    surface: str
    polygon_m: tuple[Point, ...]
    area_m2: float


@dataclass(frozen=True, kw_only=True)
class SunPatchAnswer(Answer):
    window: str
    incidence_deg: float | None = None
    lit_share: float | None = None
    patches: tuple[PatchPolygon, ...] = ()
