"""Answers about framings, where lights stand, what the lens sees, flicker and the walk."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from scout.assess.answers.base import Answer, Point, Risk
from scout.values import Figure, Said, Stops


@dataclass(frozen=True, kw_only=True)
class FramingAnswer(Answer):
    name: str
    focal_length_mm: float
    distance_m: float | None = None
    fits: bool | None = None
    face_distance_m: float | None = None  # from the lens; of a wide, `distance_m` is to the wall
    short_m: float | None = None  # of floor on that line, for tripod and operator
    why: Said | None = None
    camera_m: tuple[float, float] | None = None  # in plan, where the framing puts the lens
    sharp_from_m: float | None = None
    sharp_to_m: float | None = None  # None beside sharp_to_infinity: no far end
    sharp_to_infinity: bool | None = None
    background_m: float | None = None  # from the lens to what stands behind the subject
    operator_beside: str | None = (
        # where it does not fit: the side ("left", "right" of the camera) on which an operator has
        # floor
        None
    )
    # how the camera is held there: "tripod", "beside" (the operator), "hand_held", "clamp"; None where
    # nothing holds it
    behind: str | None = None
    through: str | None = None  # the door that the lens, outside the room, looks through


@dataclass(frozen=True, kw_only=True)
class PlanLight(Answer):
    light: str | None = None
    at_m: Point | None = None
    aim_m: Point | None = None
    fits: bool | None = None  # see fit.levels.place_level
    works: bool | None = None  # near its ideal with nothing but the frame against it
    why: Said | None = None
    lux: float | None = None
    across_deg: float | None = None  # from the camera, in plan; above 0 is picture right
    down_deg: float | None = None
    distance_m: float | None = None  # to the face
    dim_stops: float | None = None  # to bring it to what the plan wants of it
    short_stops: float | None = None  # how far it stays below that
    surface: str | None = None  # of a bounce: ceiling, or a wall's letter
    clear_from_mm: float | None = None  # the shortest lens of the kit that does not see it
    lead_m: float | None = (
        None  # the mains lead it needs at least from the nearest outlet; None when not known
    )


@dataclass(frozen=True, kw_only=True)
class ShadowAnswer(Answer):
    """A shadow that one light of the plan throws, on one surface: its outline as from a point of
    light, blurred by `penumbra_m`.
    """

    light: str
    part: Literal["key", "back"]
    of: Literal["head and shoulders", "boom"]
    surface: str  # a wall's letter, floor or ceiling
    polygon_m: tuple[Point, ...] = ()
    beyond_m: float | None = (
        None  # from the head (or the microphone) to there; None when its middle falls elsewhere
    )
    penumbra_m: float | None = (
        None  # width of the soft edge; None when the width of the source is not recorded
    )
    hard: bool | None = None  # a full shadow with a plain edge is left there
    in_frame_mm: tuple[float, ...] = ()  # the lenses that see it


@dataclass(frozen=True, kw_only=True)
class BoomAnswer(Answer):
    """The microphone on its pole: from which side, what it does to the picture."""

    mic: str
    mic_m: Point
    from_side: Literal["left", "right"] | None = None  # of the picture
    end_m: Point | None = None  # over its operator; None where nobody has floor to hold it
    in_frame_mm: tuple[float, ...] = ()
    on_face: tuple[str, ...] = ()  # the lights whose light on the face it cuts
    on_wall: tuple[str, ...] = ()  # the lights that throw its shadow on a wall in frame


@dataclass(frozen=True, kw_only=True)
class BackdropAnswer(Answer):
    """The light on what stands behind the subject, as one lens frames it."""

    focal_length_mm: float
    surface: str
    lux: float | None = (
        # mean of what is in frame, from key, fill and back as the plan dims them, and the others
        None
    )
    daylight_lux: float | None = None  # of an overcast noon, besides
    stops_from_face: float | None = None  # of the lamps' light, against the key's on the face
    stops_seen: float | None = (
        None  # of the brightness the camera sees, against a grey card of 18 % in the key's light
    )


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
    """One point of the walk. `lux` of key and fill as the plan sets them, `daylight_lux` of an
    overcast noon on the side the camera sees.
    """

    at_m: Point
    lux: float
    daylight_lux: float | None = None


@dataclass(frozen=True, kw_only=True)
class MotionAnswer(Answer):
    """The light along the subject's walk."""

    points: tuple[PathLight, ...] = ()
    stops: float | None = None  # from the darkest point to the brightest, lamps alone
    stops_with_daylight: float | None = None  # with an overcast noon's light at each point of it
    latitude_stops: float | None = None
    start: Said | None = None  # the most even line of it, and how the camera meets it


@dataclass(frozen=True)
class FaceLight:
    """One light of the plan on the face as it is turned, dimmed to what the camera needs of it, or to
    the ratio over the daylight where that is more.
    """

    part: Literal["key", "fill", "back"]
    light: str
    own_lux: float  # on the plane square to it
    face_lux: float  # on the plane the face looks along; 0 where it comes from behind that
    lit_lux: (
        float  # on the plane of the face that is nearest to the key: what the key is exposed for
    )


@dataclass(frozen=True, kw_only=True)
class ExposureAnswer(Answer):
    """The light on the face, lamps and daylight together, and the exposure to start from.

    A range is from the least daylight of the setup's hours to the most, under either sky; the
        figure itself is for the middle of them under cloud.
    """

    lights: tuple[FaceLight, ...] = ()
    day_lux: float | None = None  # on the face; None where it is not known
    day_range_lux: tuple[float, float] | None = None
    lit_lux: float | None = None  # of lamps and day on the side the key lights
    lit_range_lux: tuple[float, float] | None = None
    key_over_fill_stops: float | None = None  # each light alone, square to it, as dimmed
    key_over_day_stops: float | None = None
    key_over_day_range_stops: tuple[float, float] | None = None
    lamps_add_stops: float | None = None  # to the daylight, on the side the key lights
    lamps_add_range_stops: tuple[float, float] | None = None
    iso: float | None = None
    f_number: float | None = None
    shutter_s: float | None = None  # steady on the place's mains where lamps may pulse
    mains_hz: tuple[float, ...] = ()  # both where the country is not known
    needed_lux: float | None = None  # what these settings and this ND want on the face
    nd_stops: float | None = None  # 0 where none is needed
    nd_range_stops: tuple[float, float] | None = None  # in the least and in the most light
    white_balance_k: float | None = None  # of the mix on the side the key lights
    white_balance_range_k: tuple[float, float] | None = None

    @property
    def nd(self) -> Stops | None:
        """The ND to have on the lens, from the least light of the hours to the most; None where none
        is needed, or it is not known.
        """
        if self.nd_stops is None or max((self.nd_stops, *(self.nd_range_stops or ()))) <= 0.0:
            return None
        return Figure(self.nd_stops, "stops", *(self.nd_range_stops or ()))


@dataclass(frozen=True, kw_only=True)
class WayAnswer(Answer):
    """One way to light the face other than a key on a stand, in the order in which they are tried."""

    way: Literal["none", "bounce", "outside", "clamp", "motivated"]
    possible: bool | None = None
    told: Said
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
    available_light_first: Said | None = None
    others: tuple[PlanLight, ...] = ()  # lights of the kit beyond the three
    views: tuple[ViewAnswer, ...] = ()
    needed_lux: float | None = None
    ratio: float | None = None  # key : fill, each light's own contribution
    shadow: Said | None = (
        None  # where the key's shadow of the head falls, and what was given up for it
    )
    shadows: tuple[ShadowAnswer, ...] = ()  # of key and back light, on every surface
    boom: BoomAnswer | None = None  # None without a microphone on a pole
    backdrop: tuple[BackdropAnswer, ...] = ()  # a row a lens
    mark_distance_m: float | None = None  # from the camera's mark to the subject's, straight
    camera_m: tuple[float, float, float] | None = None  # where the acts set it, else its mark
    judged_mm: tuple[float, ...] = ()  # the lenses that count: see fit.levels.lenses_that_count
    flicker: tuple[FlickerAnswer, ...] = ()
    motion: MotionAnswer | None = None  # None where no walk is marked
    exposure: ExposureAnswer | None = None  # None without a setup to be exposed for
