"""How different a patch looks: CIELAB, Bradford adaptation, CIEDE2000."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray

D65_WHITE: FloatArray = np.array(
    [0.95047, 1.0, 1.08883]
)  # 2 degrees, as ICC.1 and IEC 61966-2-1 round it
D50_WHITE: FloatArray = np.array([0.96422, 1.0, 0.82521])
BRADFORD: FloatArray = np.array(
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
)  # Lam 1985
_BACK = np.linalg.inv(BRADFORD)
_EDGE, _SLOPE = 216.0 / 24389.0, 24389.0 / 27.0


def bradford(from_white: ArrayLike, to_white: ArrayLike) -> FloatArray:
    """(..., 3, 3) matrices M so that M @ xyz carries a colour from one white, (..., 3), to another
    (Lam 1985; ICC.1, chromatic adaptation).
    """
    before, after = (
        np.asarray(white, dtype=np.float64) @ BRADFORD.T for white in (from_white, to_white)
    )
    return np.asarray(_BACK @ ((after / before)[..., None] * BRADFORD))


def lab(xyz: ArrayLike, white: ArrayLike = D65_WHITE) -> FloatArray:
    """(..., 3) CIELAB of tristimulus values against a white of Y = 1 (CIE 15:2018; ISO/CIE
    11664-4).
    """
    ratio = np.asarray(xyz, dtype=np.float64) / np.asarray(white, dtype=np.float64)
    f = np.where(ratio > _EDGE, np.cbrt(ratio), (_SLOPE * ratio + 16.0) / 116.0)
    return np.stack(
        [
            116.0 * f[..., 1] - 16.0,
            500.0 * (f[..., 0] - f[..., 1]),
            200.0 * (f[..., 1] - f[..., 2]),
        ],
        axis=-1,
    )


def xyz_of_lab(colour: ArrayLike, white: ArrayLike = D65_WHITE) -> FloatArray:
    """(..., 3) tristimulus values of CIELAB colours against a white of Y = 1."""
    level, a, b = np.moveaxis(np.asarray(colour, dtype=np.float64), -1, 0)
    fy = (level + 16.0) / 116.0
    f = np.stack([fy + a / 500.0, fy, fy - b / 200.0], axis=-1)
    return np.asarray(
        np.where(f**3 > _EDGE, f**3, (116.0 * f - 16.0) / _SLOPE)
        * np.asarray(white, dtype=np.float64)
    )


def ciede2000(one: ArrayLike, other: ArrayLike) -> FloatArray:
    """(...) CIEDE2000 colour difference of CIELAB colours (..., 3), kL = kC = kH = 1.

    Source: ISO/CIE 11664-6; Sharma, Wu and Dalal, Color Research and Application 30(1) 2005,
        whose care over the mean hue
            (equation 14) is kept
    """
    l1, a1, b1 = np.moveaxis(np.asarray(one, dtype=np.float64), -1, 0)
    l2, a2, b2 = np.moveaxis(np.asarray(other, dtype=np.float64), -1, 0)
    c_mean7 = ((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2.0) ** 7
    g = 0.5 * (1.0 - np.sqrt(c_mean7 / (c_mean7 + 25.0**7)))
    a1, a2 = (1.0 + g) * a1, (1.0 + g) * a2
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)
    h1, h2 = np.degrees(np.arctan2(b1, a1)) % 360.0, np.degrees(np.arctan2(b2, a2)) % 360.0
    grey = c1 * c2 == 0.0
    turn = h2 - h1
    turn = np.where(
        grey, 0.0, np.where(turn > 180.0, turn - 360.0, np.where(turn < -180.0, turn + 360.0, turn))
    )
    total = h1 + h2
    apart = np.abs(h1 - h2) > 180.0
    hue = np.where(
        grey,
        total,
        np.where(
            ~apart, total / 2.0, np.where(total < 360.0, total / 2.0 + 180.0, total / 2.0 - 180.0)
        ),
    )
    d_l, d_c, d_h = l2 - l1, c2 - c1, 2.0 * np.sqrt(c1 * c2) * np.sin(np.radians(turn / 2.0))
    level, chroma = (l1 + l2) / 2.0, (c1 + c2) / 2.0
    t = (
        1.0
        - 0.17 * np.cos(np.radians(hue - 30.0))
        + 0.24 * np.cos(np.radians(2.0 * hue))
        + 0.32 * np.cos(np.radians(3.0 * hue + 6.0))
        - 0.20 * np.cos(np.radians(4.0 * hue - 63.0))
    )
    s_l = 1.0 + 0.015 * (level - 50.0) ** 2 / np.sqrt(20.0 + (level - 50.0) ** 2)
    s_c, s_h = 1.0 + 0.045 * chroma, 1.0 + 0.015 * chroma * t
    chroma7 = chroma**7
    r_t = (
        -2.0
        * np.sqrt(chroma7 / (chroma7 + 25.0**7))
        * np.sin(np.radians(60.0 * np.exp(-(((hue - 275.0) / 25.0) ** 2))))
    )
    l_part, c_part, h_part = d_l / s_l, d_c / s_c, d_h / s_h
    return np.asarray(
        np.sqrt(np.maximum(l_part**2 + c_part**2 + h_part**2 + r_t * c_part * h_part, 0.0))
    )
