"""Shutters that do not beat with lamps on the mains, and how bad one that does would be."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require
from scout.errors import OutOfRange
from scout.values import said

FULL_TURN_DEG = 360.0


@dataclass(frozen=True)
class SafeShutter:
    """A shutter open for a whole number of the lamp's pulses."""

    pulses: int
    shutter_s: float
    angle_deg: float


def shutter_angle_deg(shutter_s: ArrayLike, fps: ArrayLike) -> FloatArray:
    """Shutter angle of an exposure time: 360 fps t.

    shutter_s: (...), [s], above 0; fps: (...), frames a second, above 0
    Returns:  (...), [deg]; above 360 means longer than the frame
    Raises:   OutOfRange, naming the argument
    """
    return np.asarray(
        FULL_TURN_DEG * require("fps", fps, above=0) * require("shutter_s", shutter_s, above=0)
    )


def safe_shutters(mains_hz: float, fps: float) -> tuple[SafeShutter, ...]:
    """Every shutter within one frame that is open for whole pulses of a lamp on the mains, shortest
    first.

    mains_hz: 50 or 60 (any frequency above 0 is taken: a generator may be off)
    fps:      frames a second, above 0
    Returns:  the shutters; none when the frame is shorter than one pulse
    Raises:   OutOfRange, naming the argument
    Source:   lamps pulse at twice the mains frequency (common practice); n pulses always hold
        the same light
    Limits:   lamps that pulse with the mains; a dimmed LED may pulse at a rate of its own: test
        on camera
    """
    require("mains_hz", mains_hz, above=0)
    require("fps", fps, above=0)
    pulse_hz = 2.0 * mains_hz
    # 60/25 style quotients come out a hair under a whole number: a millionth of a pulse is no
    # flicker.
    most = int(np.floor(pulse_hz / fps + 1e-6))
    if most > 100_000:
        raise OutOfRange("fps", fps, said("refusal.space.all_shutters"))
    return tuple(
        SafeShutter(n, n / pulse_hz, FULL_TURN_DEG * fps * n / pulse_hz) for n in range(1, most + 1)
    )


def flicker_share(shutter_s: ArrayLike, mains_hz: ArrayLike) -> FloatArray:
    """How far the exposure of one frame swings either side of its mean under a lamp that pulses
    fully.

    shutter_s: (...), [s], above 0; mains_hz: (...), above 0
    Returns:  (...), 0 (steady) to 1
    Raises:   OutOfRange, naming the argument
    Source:   |sin(pi f t) / (pi f t)| with f twice the mains: the mean of a sine over the shutter
    Limits:   full sine pulsing, the worst common case; ballasts with a smoothing stage pulse less
    """
    open_s = require("shutter_s", shutter_s, above=0)
    pulse_hz = 2.0 * require("mains_hz", mains_hz, above=0)
    return np.asarray(np.abs(np.sinc(pulse_hz * open_s)))


def flicker_stops(share: ArrayLike) -> FloatArray:
    """The swing as stops from the darkest frame to the brightest.

    share: (...), 0 to below 1
    Returns: (...), log2((1 + r) / (1 - r)) [stops]
    Raises: OutOfRange, naming the argument
    """
    ripple = require("share", share, least=0, below=1)
    return np.asarray(np.log2((1.0 + ripple) / (1.0 - ripple)))
