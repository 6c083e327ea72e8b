"""How long a box-shaped room rings when its surfaces scatter little: sound that runs along the soft
pair of surfaces never meets it, until something turns it.

       soft
   ------------      the sound that runs level rings on between the bare walls;
  |  <------>  |     a hit scatters the share s of it into all directions,
   ------------      and so little by little to the soft pair
       soft
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require
from scout.calc.quadrature import gauss_legendre
from scout.calc.sound.reverberation import speed_of_sound_m_s
from scout.errors import OutOfRange
from scout.values import said

DIRECTIONS = 8  # a side of the quadrature over an eighth of the sphere
FIT_DB = (-5.0, -35.0)  # T30, ISO 3382-1
AXES = 3


def _directions() -> tuple[FloatArray, FloatArray]:
    """(directions, 3) cosines to the three axes in one eighth of the sphere, and their weights."""
    node, weight = gauss_legendre(DIRECTIONS)
    up, turn = np.meshgrid((node + 1.0) / 2.0, (node + 1.0) * np.pi / 4.0, indexing="ij")
    level = np.sqrt(1.0 - up**2)
    cosines = np.stack([level * np.cos(turn), level * np.sin(turn), up], axis=-1)
    return cosines.reshape(-1, AXES), np.outer(weight, weight).ravel() / 4.0


def ringing_s(
    volume_m3: float,
    area_m2: ArrayLike,
    absorption: ArrayLike,
    scatter: float,
    *,
    extra_m2: ArrayLike = 0.0,
    air_per_m: ArrayLike = 0.0,
) -> FloatArray:
    """Reverberation time of a room whose surfaces stand square to three axes, by how much they
    scatter.
    volume_m3:  [m3], above 0
    area_m2:    (3,) the surfaces that close off each axis, both together [m2], above 0
    absorption: (3, bands) their mean absorption, 0 to below 1
    scatter:    share of what is thrown back that goes into all directions, above 0, to 1
    extra_m2, air_per_m: as reverberation.sabine_s
    Returns:    (bands,) T30 [s]
    Raises:     OutOfRange naming the argument
    Source:     balance of the energy in each direction u: it meets axis i |u_i| c / L_i times a
        second, L_i = 2 V / S_i, loses -ln(1-a) there and gives the share s of the rest to a
        Lambert distribution (H. Kuttruff, Room Acoustics, the decay of non-diffuse fields);
        the sum of exponentials is exact, and T30 is read off it
    Limits:     absorption spread evenly over both surfaces of an axis; from a fifth under to a third
        over traced rays
    """
    require("volume_m3", volume_m3, above=0)
    areas = require("area_m2", area_m2, above=0)
    rows = require("absorption", absorption, least=0, below=1)
    if areas.shape != (AXES,) or rows.ndim != 2 or rows.shape[0] != AXES:
        raise OutOfRange("absorption", None, said("refusal.shapes"))
    require("scatter", scatter, above=0, most=1)
    speed = speed_of_sound_m_s()
    cosines, weight = _directions()
    hits = cosines * speed * areas / (2.0 * volume_m3)  # (directions, axes) a second
    root = np.sqrt(weight)
    spread = scatter * (1.0 - rows)  # (axes, bands)
    # what takes from every direction alike: people, air
    even = speed * (
        require("extra_m2", extra_m2, least=0) / (4.0 * volume_m3)
        + require("air_per_m", air_per_m, least=0)
    )
    require("absorption", rows.sum(axis=0) + even, above=0)  # else it never falls silent
    lost = hits @ (spread - np.log1p(-rows)) + even  # (directions, bands)
    into = (root[:, None] * hits) / np.sqrt(weight @ hits)  # (directions, axes)
    balance = -np.einsum("da,ab,ea->bde", into, spread, into)
    each = np.arange(len(weight))
    balance[:, each, each] += lost.T
    rates, parts = np.linalg.eigh(balance)  # (bands, directions) and their shapes
    held = np.einsum("d,bde->be", root, parts) ** 2 / rates  # what of the fall each rate holds
    return np.array([_t30_s(rate, part) for rate, part in zip(rates, held, strict=True)])


def _t30_s(rates: FloatArray, held: FloatArray) -> float:
    """T30 of a backward-integrated fall that is a sum of exponentials."""
    at = np.linspace(0.0, -FIT_DB[1] / 10.0 * np.log(10.0) / rates.min(), 500)
    fall = np.exp(-np.outer(at, rates)) @ held
    level = 10.0 * np.log10(fall / fall[0])
    counted = (level <= FIT_DB[0]) & (level >= FIT_DB[1])
    return float(-60.0 / np.polyfit(at[counted], level[counted], 1)[0])
