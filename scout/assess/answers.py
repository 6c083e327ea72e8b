"""The shapes of every answer: one frozen dataclass a block of the room assessment, and how they become JSON.

Each block carries `assumed` (plain sentences) and `unknown` (why a figure is missing, or None). Field names are the
published keys of `room-assessment/1`; a figure that could not be worked out is None and `unknown` says why.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import Enum
from typing import Any, Literal

Level = Literal["good", "care", "problem", "unknown"]
Risk = Literal["none", "low", "medium", "high"]
Point = tuple[float, float, float]
Interval = tuple[datetime, datetime]
LEVELS: tuple[Level, ...] = ("good", "care", "problem", "unknown")


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What every block carries beside its figures."""

    assumed: tuple[str, ...] = ()
    unknown: str | None = None  # "because ..."; None when every figure of the block is there


@dataclass(frozen=True)
class Verdict:
    """One judgement in words: `because` is a plain sentence with the figure in it."""

    topic: str
    level: Level
    because: str


@dataclass(frozen=True)
class Placement:
    """Where a light stands and points for the calculations that need it."""

    light: str
    at_m: Point
    aim_m: Point | None
    source: Literal["pinned", "planned", "assumed"]


# -- daylight ---------------------------------------------------------------------------------------------------------
@dataclass(frozen=True)
class Crossing:
    at: datetime
    event: Literal["dawn", "sunrise", "sunset", "dusk"]


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
    notes: tuple[str, ...] = ()  # "the sun grazes the horizon"


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


@dataclass(frozen=True)
class LuxPoint:
    at: datetime
    overcast_lux: float | None
    clear_lux: float | None
    in_direct_sun: bool | None
    camera_overcast_lux: float | None = None  # on the side the camera sees: an upright plane at the mark
    camera_clear_lux: float | None = None


@dataclass(frozen=True, kw_only=True)
class MarkDaylight(Answer):
    daylight_factor_pct: float | None = None
    sky_component_pct: float | None = None
    overcast_lux_noon: float | None = None
    clear_lux_noon: float | None = None
    series: tuple[LuxPoint, ...] = ()
    camera_normal: Point | None = None  # the way the side that the camera sees looks, in the plan
    camera_factor_pct: float | None = None  # light on that side, of the level light outdoors, overcast
    camera_overcast_lux_noon: float | None = None
    camera_clear_lux_noon: float | None = None
    overcast_stops_noon: float | None = None  # over (below 0: under) what the camera needs, level plane
    clear_stops_noon: float | None = None
    camera_overcast_stops_noon: float | None = None
    camera_clear_stops_noon: float | None = None
    camera_unknown: str | None = None  # why the figures towards the camera are missing


@dataclass(frozen=True, kw_only=True)
class DaylightAnswer(Answer):
    marks: Mapping[str, MarkDaylight] = field(default_factory=dict)
    needed_lux: float | None = None
    enough_from: datetime | None = None
    enough_until: datetime | None = None


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


# -- bounce -----------------------------------------------------------------------------------------------------------
@dataclass(frozen=True, kw_only=True)
class BounceAnswer(Answer):
    light: str
    surface: str
    bounced_lux: float | None = None
    xy: tuple[float, float] | None = None
    cct_k: float | None = None
    duv: float | None = None
    duv_shift: float | None = None
    mired_shift: float | None = None
    delta_e: float | None = None
    delta_e_white: float | None = None
    delta_e_skin: float | None = None
    loss_stops: float | None = None
    risk: Risk | None = None
    remedy: str | None = None
    delta_e_dark_skin: float | None = None
    delta_e_skin_balanced: float | None = None  # what stays when the camera is balanced to the bounce instead
    tint: str | None = None  # the way a white card goes: "green", "pink" ...
    aim_m: Point | None = None
    bounced_lux_range: tuple[float, float] | None = None  # with a surface not measured: all dark to all pale greys
    loss_stops_range: tuple[float, float] | None = None
    delta_e_skins: Mapping[str, float] | None = None  # four measured skins, by name
    risk_range: tuple[Risk, Risk] | None = None  # what the doubt of the surface colours allows: 5 to 95 % of the draws
    doubt: str | None = None  # "medium, might be low"


@dataclass(frozen=True, kw_only=True)
class SurroundAnswer(Answer):
    light: str
    side: Literal["key", "shadow"]
    direct_lux: float | None = None
    bounced_lux: float | None = None
    bounced_share: float | None = None
    cct_k: float | None = None
    duv_shift: float | None = None
    mired_shift: float | None = None
    delta_e: float | None = None
    risk: Risk | None = None
    worst_surface: str | None = None
    xy: tuple[float, float] | None = None
    duv: float | None = None
    delta_e_white: float | None = None
    delta_e_skin: float | None = None
    delta_e_dark_skin: float | None = None
    tint: str | None = None
    loss_stops: float | None = None
    contrast_stops: float | None = None  # how far the shadow side lies under the lit side
    remedy: str | None = None
    bounced_lux_range: tuple[float, float] | None = None
    contrast_stops_range: tuple[float, float] | None = None
    delta_e_skins: Mapping[str, float] | None = None
    risk_range: tuple[Risk, Risk] | None = None
    doubt: str | None = None


@dataclass(frozen=True, kw_only=True)
class RemedyAnswer(Answer):
    """One thing that could be done about the colour of the room, worked out again with it done."""

    light: str
    target: str  # what it mends: "bounce off A", "lit side", "shadow side"
    action: str  # one plain sentence
    surface: str | None = None
    delta_e_before: float | None = None
    delta_e_after: float | None = None
    risk_before: Risk | None = None
    risk_after: Risk | None = None
    stops_change: float | None = None  # light gained (above 0) or lost at the face; on the shadow side, of its fill
    amount: float | None = None  # metres moved, square metres covered, or mired
    unit: str | None = None


@dataclass(frozen=True, kw_only=True)
class MixedSide(Answer):
    """What lies on one side of the face when all the lights are on."""

    side: str
    lux: float | None = None
    shares: Mapping[str, float] | None = None  # of the lux, by light, window or practical
    xy: tuple[float, float] | None = None
    cct_k: float | None = None
    duv: float | None = None


@dataclass(frozen=True, kw_only=True)
class MixedAnswer(Answer):
    """Key, window daylight and practicals together at the mark: the two sides of a face against each other."""

    sides: tuple[MixedSide, ...] = ()
    mired_between: float | None = None
    delta_e_between: float | None = None  # CIEDE2000 of grey on one side against the other, camera balanced to the key side
    risk: Risk | None = None
    advice: str | None = None
    window_cct_k: float | None = None


# -- sound ------------------------------------------------------------------------------------------------------------
@dataclass(frozen=True, kw_only=True)
class MicAnswer(Answer):
    mic: str
    speech_db: float | None = None
    snr_db: float | None = None
    critical_distance_m: float | None = None
    direct_to_reverberant_db: float | None = None
    verdict: Literal["clean", "usable", "repair", "unusable"] | None = None
    noise_db: float | None = None  # A-weighted, as this microphone hears it, its own noise included
    room_word: Literal["dry", "good", "roomy", "distant"] | None = None
    kind: str | None = None
    distance_m: float | None = None


@dataclass(frozen=True, kw_only=True)
class SoundAnswer(Answer):
    laeq_db: float | None = None
    nc: float | None = None
    nc_set_by_hz: int | None = None
    rt60_s: Mapping[str, float] | None = None
    rt60_mid_s: float | None = None
    rt60_range_s: tuple[float, float] | None = None
    schroeder_hz: float | None = None
    placements: tuple[MicAnswer, ...] = ()
    nc_text: str | None = None  # "NC-25", "< NC-15", "above NC-65"
    nc_tie_hz: tuple[int, ...] = ()  # every band that sets the NC
    reading: str | None = None  # id of the noise reading the figures are taken from
    conditions: str | None = None
    laeq_doubt_db: float | None = None
    lceq_db: float | None = None
    rt60_formula: Mapping[str, str] | None = None  # by octave: Sabine or Eyring
    rt60_range_because: str | None = None
    flutter: str | None = None  # a sentence, when two bare walls throw the sound to and fro
    open_air: bool = False
    unknown_by: Mapping[str, str] = field(default_factory=dict)  # "noise", "nc", "room", "placements": why each is missing


# -- power ------------------------------------------------------------------------------------------------------------
@dataclass(frozen=True, kw_only=True)
class CircuitAnswer(Answer):
    id: str
    limit_a: float | None = None
    load_a: float | None = None
    share: float | None = None
    lights_a: float | None = None  # the crew's lights alone
    other_a: float | None = None  # what hangs on it already
    verified: bool | None = None


@dataclass(frozen=True, kw_only=True)
class AssignmentAnswer(Answer):
    light: str
    outlet: str | None = None
    circuit: str | None = None
    cable_m: float | None = None
    volt_drop_pct: float | None = None
    load_a: float | None = None
    straight_m: float | None = None  # across the floor in plan: what the lead does not do
    doors: tuple[str, ...] = ()  # crossed by the lead
    lead: str | None = None  # which lead of the kit the volt drop is worked out for


@dataclass(frozen=True)
class Unplaced:
    light: str
    short_a: float | None
    because: str


@dataclass(frozen=True, kw_only=True)
class PowerAnswer(Answer):
    feasible: bool | None = None
    circuits: tuple[CircuitAnswer, ...] = ()
    assignment: tuple[AssignmentAnswer, ...] = ()
    unplaced: tuple[Unplaced, ...] = ()
    least_change: str | None = None  # the least that would let every light be plugged in
    proven: bool = True  # False when the search for the best plan was cut off


# -- fit --------------------------------------------------------------------------------------------------------------
@dataclass(frozen=True, kw_only=True)
class FramingAnswer(Answer):
    name: str
    focal_length_mm: float
    distance_m: float | None = None
    fits: bool | None = None
    why: str | None = None
    camera_m: tuple[float, float] | None = None  # in plan, where the framing puts the lens
    sharp_from_m: float | None = None
    sharp_to_m: float | None = None  # None beside sharp_to_infinity: no far end
    sharp_to_infinity: bool | None = None
    background_m: float | None = None  # from the lens to what stands behind the subject
    operator_beside: str | None = None  # where it does not fit: the side ("left", "right" of the camera) on which an operator has floor


@dataclass(frozen=True, kw_only=True)
class PlanLight(Answer):
    light: str | None = None
    at_m: Point | None = None
    aim_m: Point | None = None
    fits: bool | None = None
    why: str | None = None
    lux: float | None = None
    across_deg: float | None = None  # from the camera, in plan; above 0 is picture right
    down_deg: float | None = None
    distance_m: float | None = None  # to the face
    dim_stops: float | None = None  # to bring it to what the plan wants of it
    short_stops: float | None = None  # how far it stays below that
    surface: str | None = None  # of a bounce: ceiling, or a wall's letter
    clear_from_mm: float | None = None  # the shortest lens of the kit that does not see it


@dataclass(frozen=True)
class WallView:
    """The part of a wall in frame, from its left end as seen from inside and from the floor."""

    wall: str
    from_offset_m: float
    to_offset_m: float
    from_height_m: float
    to_height_m: float
    frame_share: float


@dataclass(frozen=True)
class ViewAnswer:
    """What one lens sees from the camera's mark."""

    focal_length_mm: float
    across_deg: float
    walls: tuple[WallView, ...]
    windows: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class FlickerAnswer(Answer):
    """Lamps on one mains frequency against the camera's shutter."""

    mains_hz: float
    safe_shutters_s: tuple[float, ...] = ()  # open for whole pulses, shortest first, up to 1/24 s
    shutter_s: float | None = None
    safe: bool | None = None
    swing_stops: float | None = None  # darkest to brightest frame under a lamp that pulses fully


@dataclass(frozen=True)
class PathLight:
    """One point of the walk. `lux` of key and fill as the plan sets them."""

    at_m: Point
    lux: float


@dataclass(frozen=True, kw_only=True)
class MotionAnswer(Answer):
    """The light along the subject's walk."""

    points: tuple[PathLight, ...] = ()
    stops: float | None = None  # from the darkest point to the brightest, lamps alone
    stops_with_daylight: float | None = None  # with the overcast noon's light at the mark taken as even along it
    latitude_stops: float | None = None
    brightest_m: Point | None = None
    darkest_m: Point | None = None
    told: str | None = None


@dataclass(frozen=True, kw_only=True)
class WayAnswer(Answer):
    """One way to light the face other than a key on a stand, in the order in which they are tried."""

    way: Literal["none", "bounce", "outside", "clamp", "motivated"]
    possible: bool | None = None
    told: str
    light: str | None = None
    at_m: Point | None = None
    lux: float | None = None
    lost_stops: float | None = None  # below the key on its stand; under 0 it is stronger
    off_across_deg: float | None = None  # from 45 degrees across
    off_down_deg: float | None = None
    risk: Risk | None = None  # of a bounce: to the colour of skin


@dataclass(frozen=True, kw_only=True)
class FitAnswer(Answer):
    framings: tuple[FramingAnswer, ...] = ()
    plan: Mapping[str, PlanLight] = field(default_factory=dict)  # key, fill, back, bounce
    available_light_first: str | None = None
    others: tuple[PlanLight, ...] = ()  # lights of the kit beyond the three
    views: tuple[ViewAnswer, ...] = ()
    needed_lux: float | None = None
    ratio: float | None = None  # key : fill, each light's own contribution
    shadow: str | None = None  # where the key's shadow of the head falls
    flicker: tuple[FlickerAnswer, ...] = ()
    motion: MotionAnswer | None = None  # None where no walk is marked


# -- the whole --------------------------------------------------------------------------------------------------------
@dataclass(frozen=True)
class BlockNote:
    """`assumed` and `unknown` of a block that is a list of rows (windows, bounce, surround)."""

    assumed: tuple[str, ...] = ()
    unknown: str | None = None


@dataclass(frozen=True, kw_only=True)
class RoomAssessment:
    """Everything worked out for one room on one date (`room-assessment/1`)."""

    date: date
    timezone: str | None
    events: EventsAnswer
    windows: tuple[WindowSunAnswer, ...]
    daylight: DaylightAnswer
    bounce: tuple[BounceAnswer, ...]
    surround: tuple[SurroundAnswer, ...]
    sound: SoundAnswer
    power: PowerAnswer
    fit: FitAnswer
    verdicts: tuple[Verdict, ...]
    cautions: tuple[str, ...]
    blocks: Mapping[str, BlockNote]
    placements: Mapping[str, Placement]
    sun: SunAnswer | None = None
    sun_patches: tuple[SunPatchAnswer, ...] | None = None
    ways: tuple[WayAnswer, ...] = ()  # to light the face, the available light first
    schema: str = "room-assessment/1"
    remedies: tuple[RemedyAnswer, ...] | None = None  # None: not asked for; they take longer than all the rest
    mixed: MixedAnswer | None = None


def as_json(value: Any) -> Any:
    """An answer as plain JSON values: dataclasses become objects, times ISO 8601 with offset, `unknown` left out when None.

    Raises ValueError for a number that is not finite: no NaN leaves this program.
    """
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        pairs = ((f.name, getattr(value, f.name)) for f in dataclasses.fields(value))
        return {name: as_json(part) for name, part in pairs if not (name == "unknown" and part is None)}
    if isinstance(value, Enum):
        return as_json(value.value)
    if isinstance(value, bool) or value is None or isinstance(value, str):
        return value
    if isinstance(value, datetime):
        return value.isoformat(timespec="seconds")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {str(key): as_json(part) for key, part in value.items()}
    if isinstance(value, (list, tuple)):
        return [as_json(part) for part in value]
    if hasattr(value, "tolist"):  # a numpy scalar or array
        return as_json(value.tolist())
    if isinstance(value, int):
        return value
    if isinstance(value, float):
        if not math.isfinite(value):
            raise ValueError("an answer holds a number that is not finite")
        return float(f"{value:.7g}")  # no answer here is better than that, and a reader should not think so
    raise TypeError(f"cannot write {type(value).__name__} as JSON")
