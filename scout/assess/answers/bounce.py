"""Answers about light that surfaces reflect, what mends it, and lights that mix."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from scout.assess.answers.base import Answer, Point, Risk
from scout.assess.answers.finding import Act
from scout.values import Said, Word


@dataclass(frozen=True, kw_only=True)
class Cast(Answer):
    """The colour of some light against what the camera is balanced to."""

    bounced_lux: float | None = None
    xy: tuple[float, float] | None = None
    cct_k: float | None = None
    duv: float | None = None
    duv_shift: float | None = None
    mired_shift: float | None = None
    delta_e: float | None = None
    delta_e_white: float | None = None
    delta_e_skin: float | None = None
    risk: Risk | None = None
    tint: Word | None = None  # the way a white card goes: "green", "pink" ...
    # what the doubt of the surface colours allows, 5 to 95 % of the draws; with a surface that is
    # not measured, from the least of its two ends upwards
    risk_range: tuple[Risk, Risk] | None = None
    doubt: Said | None = None  # "medium, might be low"
    delta_e_range: tuple[float, float] | None = None  # of delta_e, in the same draws


@dataclass(frozen=True, kw_only=True)
class _OfALamp(Cast):
    light: str
    loss_stops: float | None = None
    delta_e_dark_skin: float | None = None
    delta_e_skins: Mapping[str, float] | None = None  # four measured skins, by name
    # with a surface not measured: all dark to all pale greys
    bounced_lux_range: tuple[float, float] | None = None


@dataclass(frozen=True, kw_only=True)
class BounceAnswer(_OfALamp):
    surface: str
    remedy: Said | None = None  # the gels that come nearest to undoing it
    # what stays when the camera is balanced to the bounce instead
    delta_e_skin_balanced: float | None = None
    aim_m: Point | None = None
    loss_stops_range: tuple[float, float] | None = None
    # All the figures above are with the lamp flagged off the face, so that only the bounce counts.
    # Without a flag its beam's edge falls straight on the face: that much, and what comes of both.
    spill_lux: float | None = None
    spill_share: float | None = None
    unflagged_lux: float | None = None
    unflagged_loss_stops: float | None = None
    unflagged_delta_e: float | None = None
    unflagged_risk: Risk | None = None


@dataclass(frozen=True, kw_only=True)
class SurroundAnswer(_OfALamp):
    side: Literal["key", "shadow"]
    daylight: bool = False  # whether daylight is in the figures: these are of the lamp alone
    direct_lux: float | None = None
    bounced_share: float | None = None
    worst_surface: str | None = None
    contrast_stops: float | None = None  # how far the shadow side lies under the lit side
    contrast_stops_range: tuple[float, float] | None = None


@dataclass(frozen=True)
class Cover:
    """Where a cloth lies: on a wall from its left end as seen from inside and from the floor up; on
    floor and ceiling along the plan's x and y.
    """

    surface: str
    from_m: float
    to_m: float
    low_m: float
    high_m: float


@dataclass(frozen=True, kw_only=True)
class RemedyAnswer(Answer):
    """An act that mends the colour of one light, worked out again with it done. What does not help
    by more than its doubt is not among the rows.
    """

    light: str
    target: Said | Word  # "bounce off wall B", "lit side"
    action: Act
    surface: str | None = None
    cover: Cover | None = None  # what was worked out lies there and nowhere else
    delta_e_before: float  # of grey; of light skin where the camera is balanced anew
    delta_e_after: float
    risk_before: Risk
    risk_after: Risk
    stops_change: (
        float  # light gained (above 0) or lost at the face; on the shadow side, of its fill
    )


@dataclass(frozen=True, kw_only=True)
class MixedSide(Answer):
    """What lies on one side of the face when all the lights are on."""

    side: Word
    lux: float | None = None
    shares: Mapping[str, float] | None = None  # of the lux, by light, window or practical
    xy: tuple[float, float] | None = None
    cct_k: float | None = None
    duv: float | None = None


@dataclass(frozen=True, kw_only=True)
class MixedAnswer(Answer):
    """Key, window daylight and practicals together at the mark: the two sides of a face against
    each other.
    """

    sides: tuple[MixedSide, ...] = ()
    mired_between: float | None = None
    delta_e_between: float | None = (
        None  # CIEDE2000 of grey on one side against the other, camera balanced to the key side
    )
    risk: Risk | None = None
    acts: tuple[Act, ...] = ()  # what brings the two sides together, most effect first
    window_cct_k: float | None = None


@dataclass(frozen=True, kw_only=True)
class WindowLightAnswer(Cast):
    """Daylight through all the windows on one side of the subject at one hour under one sky,
    straight and off the surfaces. The shifts are against all that reaches the lit side, as a card
    held there shows it.
    """

    light: str = "windows"
    sky: Literal["overcast", "clear"]
    at: datetime
    side: Literal["key", "shadow"]  # turned level towards the windows, and away from them
    direct_lux: float | None = None  # straight through the panes, the sun included
    sun_lux: float | None = None  # of that, the sun's own beam
    bounced_share: float | None = None
    # of all the daylight that comes in; None when it is no white light
    entering_cct_k: float | None = None
    worst_surface: str | None = None
    contrast_stops: float | None = None  # on the shadow side: how far it lies under the lit side
