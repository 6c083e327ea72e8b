"""What a pane, or two with air between, lets through at each angle, from the transmittance square
on.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require
from scout.calc.quadrature import gauss_legendre
from scout.errors import OutOfRange
from scout.values import said

GLASS_INDEX = 1.52
_R0 = ((GLASS_INDEX - 1.0) / (GLASS_INDEX + 1.0)) ** 2
STEPS = 4096  # of its curve
CLEAREST = (1.0 - _R0) ** 2 / (1.0 - _R0**2)  # 0.918: one uncoated pane that absorbs nothing
CLEAREST_TWO = CLEAREST**2 / (1.0 - (1.0 - CLEAREST) ** 2)  # 0.849: two of them


def transmitted(normal_transmittance: float, cosine: ArrayLike, panes: int = 1) -> FloatArray:
    """Share of the light that a glazing lets through at an angle.

    normal_transmittance: square on, 0 to 1, of the whole glazing; 1 is an open hole, which
        loses nothing at any angle
    cosine:               (...), of the angle of incidence, 0 to 1
    panes:                1, or 2 alike with air between
    Returns:              (...), 0 to 1
    Source:               Fresnel's equations for plane panes of index 1.52, all inner
        reflections summed (in a pane, and between two),
                          both polarisations; the absorption, the same in either pane, is what
                          brings the glazing to its
                          transmittance square on
    Limits:               uncoated glass: coatings change the curve by a few hundredths; above
        0.918 for one pane and 0.849 for two
                          (clearer than uncoated glass can be) the clear curve is scaled
    """
    return _transmitted_reflected(normal_transmittance, cosine, panes)[0]


def transmitted_many(normal_transmittance: float, cosine: FloatArray, panes: int = 1) -> FloatArray:
    """As transmitted, read from its curve: for sums over many directions; within 2e-6 of it."""
    if normal_transmittance == 1.0:
        return np.ones_like(cosine)
    curve, slope = _curve(normal_transmittance, panes)
    along = np.clip(cosine, 0.0, 1.0) * STEPS
    step = along.astype(np.int32)
    along -= step
    along *= slope.take(step)
    along += curve.take(step)
    return along


@lru_cache(maxsize=64)
def _curve(normal_transmittance: float, panes: int) -> tuple[FloatArray, FloatArray]:
    """At each of the steps from edge on to square on, and what it grows by to the next."""
    curve = transmitted(normal_transmittance, np.linspace(0.0, 1.0, STEPS + 1), panes)
    return curve, np.append(np.diff(curve), 0.0)


@lru_cache(maxsize=64)
def diffuse_reflectance(normal_transmittance: float, panes: int = 1) -> float:
    """Share of diffuse light that the glazing throws back into the room; 0 for an open hole."""
    node, share = gauss_legendre(24)
    cosine = (node + 1.0) / 2.0
    return float(
        np.sum(share * cosine * _transmitted_reflected(normal_transmittance, cosine, panes)[1])
    )


def _transmitted_reflected(
    normal_transmittance: float, cosine: ArrayLike, panes: int = 1
) -> tuple[FloatArray, FloatArray]:
    require("transmittance", normal_transmittance, least=0, most=1)
    if panes not in (1, 2):
        raise OutOfRange("panes", panes, said("refusal.sun.panes"))
    cos_i = np.clip(np.asarray(cosine, dtype=np.float64), 0.0, 1.0)
    if normal_transmittance == 1.0:
        return np.ones_like(cos_i), np.zeros_like(cos_i)
    held = min(normal_transmittance, CLEAREST if panes == 1 else CLEAREST_TWO)
    straight = _survives(held) if panes == 1 else _survives_in_each(held)
    through, back = np.zeros_like(cos_i), np.zeros_like(cos_i)
    for sideways in (True, False):
        t, r = _pane(straight, cos_i, sideways=sideways)
        if panes == 2:  # light thrown to and fro between the panes is summed too
            inner = 1.0 - r**2
            safe = np.where(inner > 0, inner, 1.0)
            t, r = (
                np.where(inner > 0, t**2 / safe, 0.0),
                np.where(inner > 0, r + t**2 * r / safe, 1.0),
            )
        through += 0.5 * t
        back += 0.5 * r
    return through * (normal_transmittance / held if held > 0 else 1.0), back


def _pane(straight: float, cos_i: FloatArray, *, sideways: bool) -> tuple[FloatArray, FloatArray]:
    """What one pane lets through and throws back, in one polarisation; straight: the share that
    survives one pass square on.
    """
    cos_t = np.sqrt(1.0 - (1.0 - cos_i**2) / GLASS_INDEX**2)
    passed = np.asarray(straight) ** (1.0 / cos_t)
    one, two = (1.0, GLASS_INDEX) if sideways else (GLASS_INDEX, 1.0)
    r = ((one * cos_i - two * cos_t) / (one * cos_i + two * cos_t)) ** 2
    inner = 1.0 - (r * passed) ** 2
    # edge on r is 1 and nothing passes; a pane that absorbs nothing would divide nothing by nothing
    # there
    safe = np.where(inner > 0, inner, 1.0)
    return np.where(inner > 0, (1.0 - r) ** 2 * passed / safe, 0.0), np.where(
        inner > 0, r + r * (1.0 - r) ** 2 * passed**2 / safe, 1.0
    )


def _survives(held: float) -> float:
    """The share that survives one pass of a pane of this transmittance: T = (1 - r)^2 a / (1 - r^2
    a^2), solved for a.
    """
    half = (1.0 - _R0) ** 2
    return (
        float((np.sqrt(half**2 + 4.0 * held**2 * _R0**2) - half) / (2.0 * held * _R0**2))
        if held > 0
        else 0.0
    )


def _survives_in_each(held: float) -> float:
    """The same for each of two panes that together pass so much; by halving, for it grows with the
    share.
    """
    square_on = np.ones(1)
    low, high = 0.0, 1.0
    while high - low > 1e-12:
        middle = (low + high) / 2.0
        t, r = _pane(middle, square_on, sideways=True)
        low, high = (middle, high) if float(t[0] ** 2 / (1.0 - r[0] ** 2)) < held else (low, middle)
    return high
