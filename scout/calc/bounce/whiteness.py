"""How white a light is: chromaticity, correlated colour temperature and distance from the full
radiator.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.bounce.spectra import planck, table
from scout.calc.geometry import FloatArray, require

FARTHEST_DUV = (
    0.05  # CIE 15 limits a correlated temperature to this distance in (u, v) (from memory)
)
LEAST_WHITE_K, MOST_WHITE_K = (
    1667.0,
    25000.0,
)  # our choice: redder and bluer than these nobody calls white
_STEPS = np.linspace(
    np.log(2.0), np.log(1500.0), 1201
)  # even in the logarithm of mired: 0.55 % a step
_MIRED = np.exp(_STEPS)


def xy(xyz: ArrayLike) -> FloatArray:
    """(..., 2) CIE 1931 chromaticity."""
    value = np.asarray(xyz, dtype=np.float64)
    return np.asarray(value[..., :2] / value.sum(axis=-1, keepdims=True))


def uv_1960(xyz: ArrayLike) -> FloatArray:
    """(..., 2) CIE 1960 uniform chromaticity: u = 4X / (X + 15Y + 3Z), v = 6Y / (X + 15Y + 3Z)."""
    x, y, z = np.moveaxis(np.asarray(xyz, dtype=np.float64), -1, 0)
    under = x + 15.0 * y + 3.0 * z
    return np.stack([4.0 * x / under, 6.0 * y / under], axis=-1)


@lru_cache(maxsize=1)
def _locus() -> FloatArray:
    """(n, 2) the full radiator in (u, v), from 1 nm steps, 360 to 830 nm."""
    columns = table("cie_1931_observer.csv")
    functions = np.stack([columns[axis] for axis in "xyz"], axis=-1)
    return uv_1960(planck(1e6 / _MIRED, columns["nm"]) @ functions)


def cct_duv(uv: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Nearest temperature of a full radiator and the signed distance from it, in CIE 1960 (u, v).

    uv:      (..., 2)
    Returns: (...) temperature [K] and (...) Duv [-], above the locus (green) positive, below
        (magenta) negative
    Source:  Ohno, Practical use and calculation of CCT and Duv, LEUKOS 10(1) 2014: nearest
        point of a table of the locus,
             made finer by a parabola through its neighbours; here by 0.55 %, so that the parabola
             errs by less than 0.1 K
    Limits:  the temperature means little where is_white says no; at the table's ends (667 K,
        500 000 K) it is the end's
    """
    point = require("uv", uv)
    flat = point.reshape(-1, 2)
    locus = _locus()
    away = flat @ (-2.0 * locus.T)  # squared, less the point's own square, the same all along
    away += np.sum(locus**2, axis=1)
    k = np.clip(np.argmin(away, axis=1), 1, len(locus) - 2)
    before, here, after = (np.sum((flat - locus[k + one]) ** 2, axis=1) for one in (-1, 0, 1))
    bend = before - 2.0 * here + after
    shift = np.clip(
        np.where(bend > 0, 0.5 * (before - after) / np.where(bend > 0, bend, 1.0), 0.0), -1.0, 1.0
    )
    mired = np.exp(_STEPS[k] + shift * (_STEPS[1] - _STEPS[0]))
    share = shift[:, None]
    foot = (
        locus[k]
        + share * (locus[k + 1] - locus[k - 1]) / 2.0
        + share**2 * (locus[k + 1] - 2.0 * locus[k] + locus[k - 1]) / 2.0
    )
    off = flat - foot
    along = (
        locus[k + 1] - locus[k - 1]
    )  # towards warmer: u grows; green lies to its left, where v grows
    side = np.sign(along[:, 0] * off[:, 1] - along[:, 1] * off[:, 0])
    duv = side * np.hypot(off[:, 0], off[:, 1])
    return (1e6 / mired).reshape(point.shape[:-1]), duv.reshape(point.shape[:-1])


def is_white(cct_k: float, duv: float) -> bool:
    """Whether a temperature may be quoted at all: |Duv| to 0.05 and 1667 to 25000 K."""
    return abs(duv) <= FARTHEST_DUV and LEAST_WHITE_K <= cct_k <= MOST_WHITE_K


def mired(kelvin: float) -> float:
    """Reciprocal megakelvin; a shift of mired, bounced less direct, is warmer when positive."""
    return 1e6 / float(require("kelvin", kelvin, above=0))


def planckian_uv(kelvin: float) -> FloatArray:
    """(2,) the full radiator's place in (u, v)."""
    return np.array([np.interp(np.log(1e6 / kelvin), _STEPS, _locus()[:, axis]) for axis in (0, 1)])


def uv_at(cct_k: float, duv: float) -> FloatArray:
    """(2,) the place in (u, v) of a light given by its temperature and Duv: square off the locus."""
    here = mired(cct_k)
    foot, warm = (
        planckian_uv(1e6 / here),
        planckian_uv(1e6 / (here + 0.5)) - planckian_uv(1e6 / (here - 0.5)),
    )
    warm = warm / np.hypot(*warm)
    return np.asarray(foot + duv * np.array([-warm[1], warm[0]]))


def mixed(xyz: ArrayLike, shares: ArrayLike) -> FloatArray:
    """(3,) the sum of lights (n, 3), each at Y = 1, by their shares (n,) of the lux. Kelvin and
    mired are never averaged.

    Source: additivity of tristimulus values (Grassmann; CIE 15:2018)
    """
    part = require("shares", shares, least=0)
    require("shares", part.sum(), above=0)
    return np.asarray((part / part.sum()) @ np.asarray(xyz, dtype=np.float64))
