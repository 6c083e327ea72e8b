"""What a pane lets through at each angle, from its transmittance square on."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require

GLASS_INDEX = 1.52
_R0 = ((GLASS_INDEX - 1.0) / (GLASS_INDEX + 1.0)) ** 2
_COSINES = np.linspace(0.0, 1.0, 4097)
CLEAREST = (1.0 - _R0) ** 2 / (1.0 - _R0**2)  # 0.918: one uncoated pane that absorbs nothing


def transmitted(normal_transmittance: float, cosine: ArrayLike) -> FloatArray:
    """Share of the light that a pane lets through at an angle.

    normal_transmittance: square on, 0 to 1; 1 is an open hole, which loses nothing at any angle
    cosine:               (...), of the angle of incidence, 0 to 1
    Returns:              (...), 0 to 1
    Source:               Fresnel's equations for one plane pane of index 1.52, all inner reflections summed, both polarisations;
                          the absorption is what brings the pane to its transmittance square on
    Limits:               coated and double panes fall off a little faster; above 0.918 (clearer than one uncoated pane) the
                          clear pane's curve is scaled
    """
    return _transmitted_reflected(normal_transmittance, cosine)[0]


def transmitted_many(normal_transmittance: float, cosine: FloatArray) -> FloatArray:
    """As transmitted, read from its curve: for sums over many directions; within 2e-6 of it."""
    if normal_transmittance == 1.0:
        return np.ones_like(cosine)
    return np.asarray(np.interp(cosine, _COSINES, _curve(normal_transmittance)))


@lru_cache(maxsize=64)
def _curve(normal_transmittance: float) -> FloatArray:
    return transmitted(normal_transmittance, _COSINES)


def diffuse_reflectance(normal_transmittance: float) -> float:
    """Share of diffuse light that the pane throws back into the room; 0 for an open hole."""
    node, share = np.polynomial.legendre.leggauss(24)
    cosine = (node + 1.0) / 2.0
    return float(np.sum(share * cosine * _transmitted_reflected(normal_transmittance, cosine)[1]))


def _transmitted_reflected(normal_transmittance: float, cosine: ArrayLike) -> tuple[FloatArray, FloatArray]:
    require("transmittance", normal_transmittance, least=0, most=1)
    cos_i = np.clip(np.asarray(cosine, dtype=np.float64), 0.0, 1.0)
    if normal_transmittance == 1.0:
        return np.ones_like(cos_i), np.zeros_like(cos_i)
    held = min(normal_transmittance, CLEAREST)
    # T0 = (1 - r)^2 a / (1 - r^2 a^2), solved for a, the share that survives one pass square on
    half = (1.0 - _R0) ** 2
    straight = (np.sqrt(half**2 + 4.0 * held**2 * _R0**2) - half) / (2.0 * held * _R0**2) if held > 0 else 0.0
    cos_t = np.sqrt(1.0 - (1.0 - cos_i**2) / GLASS_INDEX**2)
    passed = np.asarray(straight) ** (1.0 / cos_t)
    through, back = np.zeros_like(cos_i), np.zeros_like(cos_i)
    for one, two in ((1.0, GLASS_INDEX), (GLASS_INDEX, 1.0)):
        r = ((one * cos_i - two * cos_t) / (one * cos_i + two * cos_t)) ** 2
        inner = 1.0 - (r * passed) ** 2
        # edge on r is 1 and nothing passes; a pane that absorbs nothing would divide nothing by nothing there
        safe = np.where(inner > 0, inner, 1.0)
        through += 0.5 * np.where(inner > 0, (1.0 - r) ** 2 * passed / safe, 0.0)
        back += 0.5 * np.where(inner > 0, r + r * (1.0 - r) ** 2 * passed**2 / safe, 1.0)
    return through * (normal_transmittance / held if held > 0 else 1.0), back
