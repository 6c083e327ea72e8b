"""How long a room rings: Sabine, Eyring and axis by axis (Arau-Puchades), for any room with upright
walls.

T = 24 ln 10 * V / (c * A)          the fall of 60 dB while the sound crosses the room again and
again
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scout.calc import geometry
from scout.calc.geometry import FloatArray, require
from scout.errors import OutOfRange
from scout.values import Figure, said

SABINE_BELOW = 0.2  # mean absorption; above it Sabine's time is too long (common practice)
SIXTY_DB = 24.0 * float(np.log(10.0))  # 55.26
SQUARE_DEG = 10.0  # walls within this of square to each other still make two pairs


def speed_of_sound_m_s(air_c: float = 20.0) -> float:
    """Speed of sound in air, 343.2 m/s at 20 degC: 331.3 sqrt(1 + T/273.15), an ideal gas. Above
    absolute zero only.
    """
    require("air_c", air_c, above=-273.15)
    return float(331.3 * np.sqrt(1.0 + air_c / 273.15))


def _checked(
    volume_m3: float, area_m2: ArrayLike, absorption: ArrayLike, extra_m2: ArrayLike
) -> tuple[FloatArray, FloatArray]:
    require("volume_m3", volume_m3, above=0)
    areas = require("area_m2", area_m2, least=0)
    coefficients = require("absorption", absorption, least=0, most=1)
    if areas.ndim != 1 or coefficients.ndim != 2 or len(areas) != len(coefficients):
        raise OutOfRange("absorption", None, said("refusal.shapes"))
    require("area_m2", np.sum(areas), above=0)
    absorbing = areas @ coefficients + require("extra_m2", extra_m2, least=0)
    require("absorption", absorbing, above=0)  # a room in which nothing absorbs never falls silent
    return areas, absorbing


def absorption_area_m2(
    area_m2: ArrayLike, absorption: ArrayLike, extra_m2: ArrayLike = 0.0
) -> FloatArray:
    """(bands,) equivalent absorption area A of surfaces (surfaces,) with coefficients (surfaces,
    bands), and of things beside [m2].
    """
    return _checked(1.0, area_m2, absorption, extra_m2)[1]


def sabine_s(
    volume_m3: float,
    area_m2: ArrayLike,
    absorption: ArrayLike,
    *,
    extra_m2: ArrayLike = 0.0,
    air_per_m: ArrayLike = 0.0,
    air_c: float = 20.0,
) -> FloatArray:
    """Reverberation time of a room, octave band by octave band, by Sabine's formula.
    volume_m3:  the air in the room [m3], above 0
    area_m2:    (surfaces,), each surface [m2], 0 or more
    absorption: (surfaces, bands), absorption coefficient [-], 0 to 1
    extra_m2:   (bands,) or scalar, absorption area of people and things that hide no surface [m2]
    air_per_m:  (bands,) or scalar, energy absorption of the air [1/m] (air_absorption_per_m); 0
        leaves the air out
    Returns:    (bands,), time for a fall of 60 dB [s]
    Raises:     OutOfRange, naming the argument; also when nothing absorbs in some band
    Source:     ISO 354:2003, 8.1.2, with 24 ln 10 for 55.3, and + 4 m V for the air
    Limits:     a diffuse field and a mean absorption under 0.2 (common practice); else see eyring_s
    """
    _, absorbing = _checked(volume_m3, area_m2, absorption, extra_m2)
    air = 4.0 * require("air_per_m", air_per_m, least=0) * volume_m3
    return np.asarray(SIXTY_DB * volume_m3 / (speed_of_sound_m_s(air_c) * (absorbing + air)))


def eyring_s(
    volume_m3: float,
    area_m2: ArrayLike,
    absorption: ArrayLike,
    *,
    extra_m2: ArrayLike = 0.0,
    air_per_m: ArrayLike = 0.0,
    air_c: float = 20.0,
) -> FloatArray:
    """Reverberation time by Eyring's formula, which falls to nothing as a room becomes all
    absorbing.

    Arguments and return as sabine_s. T = 24 ln 10 V / (c (-S ln(1 - A/S) + 4 m V)).
    Raises:     as sabine_s, and when the absorption area reaches the area of all surfaces (no
        such room)
    Source:     C. F. Eyring, J. Acoust. Soc. Am. 1 (1930) 217
    Limits:     a diffuse field: absorption spread over the surfaces; else see arau_puchades_s
    """
    areas, absorbing = _checked(volume_m3, area_m2, absorption, extra_m2)
    total = float(np.sum(areas))
    if np.any(absorbing >= total):
        raise OutOfRange(
            "absorption",
            float(np.max(absorbing)),
            said("refusal.all_absorbing", surfaces=Figure(total, "m2")),
        )
    air = 4.0 * require("air_per_m", air_per_m, least=0) * volume_m3
    return np.asarray(
        SIXTY_DB
        * volume_m3
        / (speed_of_sound_m_s(air_c) * (-total * np.log1p(-absorbing / total) + air))
    )


def arau_puchades_s(
    volume_m3: float,
    area_m2: ArrayLike,
    absorption: ArrayLike,
    axis: ArrayLike,
    *,
    extra_m2: ArrayLike = 0.0,
    air_per_m: ArrayLike = 0.0,
    air_c: float = 20.0,
) -> FloatArray:
    """Reverberation time when one pair of surfaces is soft and the others bare: the hopeful field
    broken up by axes.
    axis:     (surfaces,) which axis each surface closes off, any whole numbers; the rest as
        sabine_s. People and things
              beside (extra_m2) stand in the way of every axis and are shared out by area
    Returns:  (bands,) [s]; the pessimistic end when sound does not scatter from one axis to another
    Raises:   OutOfRange, naming the argument; an axis on which nothing absorbs rings for ever
        and is refused
    Source:   H. Arau-Puchades, Acustica 65 (1988) 163: product over axes of T_axis^(S_axis/S),
        T_axis by Eyring
    """
    areas, absorbing = _checked(volume_m3, area_m2, absorption, extra_m2)
    coefficients = np.asarray(absorption, dtype=np.float64)
    group = np.asarray(axis)
    if group.shape != areas.shape:
        raise OutOfRange("axis", None, said("refusal.shapes"))
    total = float(np.sum(areas))
    beside = np.broadcast_to(np.asarray(extra_m2, dtype=np.float64) / total, absorbing.shape)
    air = (
        4.0 * require("air_per_m", air_per_m, least=0) * volume_m3
    )  # the air stands in the way of every axis
    log_time = np.zeros_like(absorbing)
    for one in np.unique(group):
        here = group == one
        share = float(np.sum(areas[here])) / total
        if share == 0.0:
            continue
        mean = areas[here] @ coefficients[here] / (share * total) + beside
        if np.any(mean >= 1.0):
            raise OutOfRange(
                "absorption",
                float(np.max(mean)),
                said("refusal.all_absorbing", surfaces=None),
            )
        require("absorption", mean, above=0)
        log_time = log_time + share * np.log(
            SIXTY_DB * volume_m3 / (speed_of_sound_m_s(air_c) * (-total * np.log1p(-mean) + air))
        )
    return np.asarray(np.exp(log_time))


@dataclass(frozen=True)
class Reverberation:
    """Times by band and, for each band, the formula that gave it."""

    time_s: FloatArray  # (bands,)
    sabine: NDArray[np.bool_]  # (bands,) True: Sabine, False: Eyring
    mean_absorption: FloatArray  # (bands,)


def reverberation_s(
    volume_m3: float,
    area_m2: ArrayLike,
    absorption: ArrayLike,
    *,
    extra_m2: ArrayLike = 0.0,
    air_per_m: ArrayLike = 0.0,
) -> Reverberation:
    """Sabine's time in the bands whose mean absorption is below 0.2, Eyring's in the others.
    Arguments as sabine_s.
    """
    areas, absorbing = _checked(volume_m3, area_m2, absorption, extra_m2)
    mean = absorbing / float(np.sum(areas))
    low = mean < SABINE_BELOW
    time = sabine_s(volume_m3, area_m2, absorption, extra_m2=extra_m2, air_per_m=air_per_m)
    if not np.all(low):
        time = np.where(
            low,
            time,
            eyring_s(volume_m3, area_m2, absorption, extra_m2=extra_m2, air_per_m=air_per_m),
        )
    return Reverberation(time, low, mean)


def schroeder_hz(reverberation_mid_s: float, volume_m3: float) -> float:
    """Frequency below which single modes rule and reverberation statistics do not hold: 2000
    sqrt(T/V) (Schroeder 1962) [Hz].
    """
    require("reverberation_mid_s", reverberation_mid_s, above=0)
    require("volume_m3", volume_m3, above=0)
    return float(2000.0 * np.sqrt(reverberation_mid_s / volume_m3))


def pairs_of_walls(plan_m: ArrayLike) -> tuple[int, ...] | None:
    """For each wall 0 or 1, the pair it belongs to, when every wall lies along one of two
    directions square to each other; else None.

    A rectangle and an L-shaped room have pairs; a room with a slanting wall has none. 10 degrees
    off square are let pass.
    """
    walls = geometry.walls(plan_m)
    along = np.degrees([np.arctan2(wall.along[1], wall.along[0]) for wall in walls])
    longest = int(np.argmax([wall.length_m for wall in walls]))
    turned = (along - along[longest]) % 180.0
    if np.any(np.abs((turned + 45.0) % 90.0 - 45.0) > SQUARE_DEG):
        return None
    return tuple(round(float(angle) / 90.0) % 2 for angle in turned)
