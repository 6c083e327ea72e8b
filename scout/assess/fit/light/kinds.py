"""The findings of light at the face: key and fill, the exposure to start from, flicker, and the walk."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar

from scout.assess.answers import Finding
from scout.assess.answers.finding import Topic
from scout.assess.fit.kinds import SpaceFinding
from scout.values import Kelvin, Lux, Many, Percent, Ratio, Said, Shutter, Speed, Stop, Stops

EXPOSURE = ("kit.camera.f_number", "kit.camera.shutter_s", "kit.camera.iso")


@dataclass(frozen=True, kw_only=True)
class LightFinding(Finding):
    """One of how strong the lights are."""

    topic: ClassVar[Topic] = "light"
    rests_on: tuple[str, ...] = ("kit.lights", *EXPOSURE)


@dataclass(frozen=True, kw_only=True)
class KeyStrong(LightFinding):
    """The key, with the least of the day, brings what the camera needs, and outshines the day.

    Why:    it can be dimmed and shaped.
    Level:  good.
    Source: inverse square; ISO 2720 for the need.
    """

    code = "light.key_strong"
    levels = ("good",)
    lux: Lux
    needed: Lux
    setting: Said | None = None  # the kit's own exposure, for which that much is needed
    over: Stops | None
    day: Lux | None


@dataclass(frozen=True, kw_only=True)
class KeyWeak(LightFinding):
    """The key, with the least of the day, brings less than the camera needs.

    Why:    the face is dark, or noisy.
    Level:  care to a stop, problem beyond it.
    Source: as light.key_strong; a stop is got back by ISO (common practice).
    """

    code = "light.key_weak"
    levels = ("problem", "care")
    lux: Lux
    needed: Lux
    setting: Said | None = None  # the kit's own exposure, for which that much is needed
    short: Stops
    day: Lux | None


@dataclass(frozen=True, kw_only=True)
class KeyLost(LightFinding):
    """The daylight on the face is stronger than the key.

    Why:    the key shapes nothing; the sun is the key.
    Level:  care.
    Source: the clear or overcast sky of the scene's hours on the side that the camera sees.
    """

    code = "light.key_lost_in_daylight"
    levels = ("care",)
    lux: Lux
    under: Stops
    day: Lux
    at: datetime | None


@dataclass(frozen=True, kw_only=True)
class DimLow(LightFinding):
    """Lights of the plan that would have to be dimmed lower than dimmers hold.

    Why:    below a tenth many dimmers step, flicker or go out, and the plan's level is not had.
    Level:  care: scrim, diffusion or distance does it.
    Source: the exposure to start from; a tenth of full is common practice, for what a kit's lights
            dim to is not recorded.
    """

    code = "light.dim_low"
    levels = ("care",)
    lights: Many
    least: Percent


@dataclass(frozen=True, kw_only=True)
class KeyTurnedAway(LightFinding):
    """The key is pinned and aimed so that nothing of it reaches the face.

    Why:    it does no work there.
    Level:  problem.
    Source: the beam's cosine power, calc.light.photometry.
    """

    code = "light.key_turned_away"
    levels = ("problem",)


@dataclass(frozen=True, kw_only=True)
class KeyUnknown(LightFinding):
    """The key is not outshone, but whether it is enough cannot be told.

    Why:    what the camera needs, or the beam, is not recorded.
    Level:  unknown.
    Source: none.
    """

    code = "light.key_unknown"
    levels = ("unknown",)
    because: Said


@dataclass(frozen=True, kw_only=True)
class StrengthUnknown(LightFinding):
    """Lights of the kit whose strength nobody recorded.

    Why:    neither exposure nor ratio can be told.
    Level:  unknown.
    Source: none.
    """

    code = "light.strength_unknown"
    levels = ("unknown",)


@dataclass(frozen=True, kw_only=True)
class FillWeak(LightFinding):
    """The fill stays under the ratio that is wanted, the key dimmed as far as the camera allows.

    Why:    the shadow side goes darker than meant.
    Level:  care.
    Source: inverse square; a tenth of a stop is let pass.
    """

    code = "light.fill_weak"
    levels = ("care",)
    short: Stops
    ratio: Ratio


@dataclass(frozen=True, kw_only=True)
class StartingExposure(LightFinding):
    """The setting to start from for the light that falls on the lit side of the face.

    Why:    the camera is set before the meter is out, and ND, stop and balance are packed for.
    Level:  good; care where the ND is beyond a usual one, or the ISO over the kit's by more than a
            stop.
    Source: ISO 2720; a shutter of whole pulses of the mains; the mix's own colour temperature.
    """

    code = "light.exposure"
    levels = ("good", "care")
    iso: Speed
    f_number: Stop
    shutter: Shutter
    nd: Stops | None
    white_balance: Kelvin | None
    lux: Lux
    day: Lux | None
    fill: Stops | None
    over_day: Stops | None


@dataclass(frozen=True, kw_only=True)
class Flicker(SpaceFinding):
    """Lamps of the room that stay on under a shutter that may beat with them.

    Why:    the picture pulses, and it shows at home.
    Level:  care.
    Source: lamps pulse at twice the mains (common practice); n whole pulses hold the same light.
    """

    code = "space.flicker"
    levels = ("care",)
    rests_on: tuple[str, ...] = ("room.practicals", "kit.camera.shutter_s")
    shutter: Shutter
    mains: Many
    swing: Stops | None
    safe: Many


@dataclass(frozen=True, kw_only=True)
class Walk(SpaceFinding):
    """By how much the light along the walk changes.

    Why:    beyond a stop a face is seen to change, and then the exposure holds at one end only.
    Level:  good to a stop; care; problem beyond half of what the camera holds.
    Source: a stop, half the latitude (common practice).
    """

    code = "space.walk"
    levels = ("problem", "care", "good")
    change: Stops
    most: Lux
    brightest: Said
    least: Lux
    darkest: Said
    add: Lux | None
    latitude: Stops | None
