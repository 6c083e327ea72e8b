"""What hard surfaces do to a voice: comb filter from one near surface, flutter between two, room
modes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import lambertw

from scout.calc.geometry import FloatArray, require
from scout.calc.sound.reverberation import SIXTY_DB, speed_of_sound_m_s
from scout.errors import OutOfRange
from scout.values import said

HARMLESS_DB = (
    -10.0
)  # a reflection this far under the direct sound colours nothing (common practice)
FLUTTER_RATIO, FLUTTER_LEAST_M = (
    1.3,
    2.5,
)  # warn when flutter outlasts the room by this, walls that far apart or further (cp)


@dataclass(frozen=True)
class Comb:
    """One reflection off a flat hard surface. Notches repeat at odd multiples of the first."""

    first_notch_hz: float
    reflection_db: float  # re direct
    colours: bool  # False when the reflection is 10 dB or more below the direct sound


def comb(distance_m: float, source_m: float, mic_m: float, *, air_c: float = 20.0) -> Comb:
    """Comb filter from one hard surface: table, floor or wall.
    distance_m:      talker to microphone along the surface [m], above 0
    source_m, mic_m: how far each stands off the surface [m], above 0 (on it, there is no second
        path)
    Returns:         first notch c/(2 delta), delta the difference of the paths; level of the
        reflection re direct
    Raises:          OutOfRange naming the argument
    Source:          image source; spherical spreading, the surface reflecting everything (the
        worst case)
    """
    for name, value in (("distance_m", distance_m), ("source_m", source_m), ("mic_m", mic_m)):
        require(name, value, above=0)
    direct = float(np.hypot(distance_m, source_m - mic_m))
    reflected = float(np.hypot(distance_m, source_m + mic_m))
    delta, c = reflected - direct, speed_of_sound_m_s(air_c)
    require("mic_m", delta, above=0)  # so near the surface that the two paths cannot be told apart
    level = 20.0 * float(np.log10(direct / reflected))
    return Comb(c / (2.0 * delta), level, level > HARMLESS_DB)


@dataclass(frozen=True)
class Flutter:
    """Sound thrown to and fro between two parallel walls."""

    repeats_hz: float
    decay_s: float  # time for 60 dB, from the first return


def flutter(
    apart_m: float, absorption_one: float, absorption_other: float, *, air_c: float = 20.0
) -> Flutter:
    """Flutter echo between two parallel walls: it loses what they absorb, and spreads as it goes.
    apart_m:    [m], above 0
    absorption_one, absorption_other: coefficients, 0 to below 1, not both 0
    Returns:    repeats c/(2L), and the time in which the returns fall 60 dB under the first, which
        has gone 2L
    Raises:     OutOfRange naming the argument
    Source:     image sources: the return of path ct has the energy
        ((1-a1)(1-a2))^(ct/2L) / (ct)^2; solved for the time by Lambert's W
    Limits:     walls that throw back as mirrors; whatever scatters on them shortens it
    """
    require("apart_m", apart_m, above=0)
    for name, value in (("absorption_one", absorption_one), ("absorption_other", absorption_other)):
        require(name, value, least=0, below=1)
    lost = -float(np.log1p(-absorption_one) + np.log1p(-absorption_other))
    require("absorption_one", lost, above=0)
    trip_s = 2.0 * apart_m / speed_of_sound_m_s(air_c)
    # by hand, n round trips: lost (n - 1) + 2 ln n = 6 ln 10, so n = (2 / lost) W(z) with
    # z = lost / 2 exp((6 ln 10 + lost) / 2)
    half = lost / 2.0
    trips = float(lambertw(half * np.exp(SIXTY_DB / 8.0 + half)).real) / half
    return Flutter(1.0 / trip_s, trips * trip_s)


def flutter_warns(echo: Flutter, apart_m: float, reverberation_s: float) -> bool:
    """True when a clap test on site is called for: flutter outlasts 1.3 times the room, walls 2.5 m
    or more apart (common practice).
    """
    require("reverberation_s", reverberation_s, above=0)
    return bool(echo.decay_s > FLUTTER_RATIO * reverberation_s and apart_m >= FLUTTER_LEAST_M)


@dataclass(frozen=True)
class Mode:
    """One standing wave of a rectangular room and how many half waves lie along each side."""

    frequency_hz: float
    order: tuple[int, int, int]


def modes(size_m: ArrayLike, highest_hz: float, *, air_c: float = 20.0) -> tuple[Mode, ...]:
    """The modes of a rectangular room up to a frequency, lowest first.
    size_m:     (3,) length, width, height [m], above 0
    highest_hz: [Hz], above 0
    Raises:     OutOfRange naming the argument
    Source:     Rayleigh: f = (c/2) sqrt((nx/Lx)^2 + (ny/Ly)^2 + (nz/Lz)^2), rigid walls
    """
    size: FloatArray = require("size_m", size_m, above=0)
    if size.shape != (3,):
        raise OutOfRange("size_m", None, said("refusal.shapes"))
    require("highest_hz", highest_hz, above=0, most=2000)
    half = speed_of_sound_m_s(air_c) / 2.0
    most = np.floor(highest_hz / half * size + 1e-9).astype(int)
    found = []
    for order in np.ndindex(*(most + 1)):
        frequency = half * float(np.sqrt(np.sum((np.array(order) / size) ** 2)))
        if any(order) and frequency <= highest_hz + 1e-9:
            found.append(Mode(frequency, (order[0], order[1], order[2])))
    return tuple(sorted(found, key=lambda mode: (round(mode.frequency_hz, 6), mode.order)))
