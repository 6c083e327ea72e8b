"""What a bounced or mixed light does to a picture balanced for the direct light: figures, class of
risk, and the gels that undo it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from scout.calc.bounce.difference import D65_WHITE, bradford, ciede2000, lab
from scout.calc.bounce.spectra import NM, planck, scaled, xyz
from scout.calc.bounce.surface import judging_patches
from scout.calc.bounce.whiteness import MOST_WHITE_K, cct_duv, is_white, uv_1960, xy
from scout.calc.geometry import FloatArray

Risk = Literal["none", "low", "medium", "high"]
RISKS: tuple[Risk, ...] = ("none", "low", "medium", "high")
# Where the classes begin: CIEDE2000 of the grey patch, |Duv shift|, |mired shift|. One step of CIE
# TN 001:2014 (from MacAdam
# 1942) and 5 mired, the just noticeable step (Judd 1933), both land on a grey difference of 1, so
# the columns start
# together; 0.006 is the Duv tolerance of ANSI C78.377 for lamps sold as white (all three from
# memory).
GREY_STEPS, DUV_STEPS, MIRED_STEPS = (1.0, 2.5, 5.0), (0.001, 0.003, 0.006), (5.0, 12.0, 25.0)
LEAST_GREEN_DUV = 0.0023  # half of the smallest trade gel: nothing to correct below
GRADES = ("1_8", "1_4", "1_2", "full")
GREEN_CC = (3.5, 7.5, 15.0, 30.0)  # their CC densities in minus and plus green (common practice)
# What the blue and orange grades do, in mired, from the weakest to the strongest that is sold under
# the grade: makers differ by a fifth and more (common practice, from memory, rounded to 5).
CTB_MIRED = ((-20.0, -10.0), (-40.0, -30.0), (-80.0, -65.0), (-140.0, -125.0))
CTO_MIRED = ((20.0, 30.0), (40.0, 65.0), (80.0, 110.0), (155.0, 170.0))
LEAST_MIRED = 8.0  # half of the smallest gel
TINTS = (
    (20.0, "pink"),
    (45.0, "red"),
    (75.0, "orange"),
    (110.0, "yellow"),
    (165.0, "green"),
    (225.0, "blue_green"),
    (295.0, "blue"),
    (330.0, "violet"),
    (360.0, "pink"),
)  # CIELAB hue angles of everyday colour words, from memory
POINTLESS_STOPS = 5.0  # beyond this loss no gel makes the bounce worth its lamp


@dataclass(frozen=True)
class Shift:
    """One light against the direct one. `cct_k` and `mired_shift` are None when it is no longer a
    white light.
    """

    xy: tuple[float, float]
    cct_k: float | None
    duv: float
    duv_shift: float
    mired_shift: float | None
    delta_e: float  # grey patch, CIEDE2000, balanced to the direct light
    delta_e_white: float
    delta_e_skin: float
    delta_e_dark_skin: float
    delta_e_skin_balanced: (
        float  # what stays on light skin when the camera is balanced to this light instead
    )
    delta_e_skins: tuple[float, ...]  # by SKINS, in their order
    # CIELAB hue of a white card under it, balanced to the direct light; of no meaning when
    # delta_e_white is near 0
    hue_deg: float

    @property
    def tint(self) -> str:
        """The way a white card goes: a key of TINTS."""
        return next(word for end, word in TINTS if self.hue_deg % 360.0 < end)

    @property
    def risk(self) -> Risk:
        """The worst of the three classes; a light that is not white is high."""
        if self.cct_k is None:
            return "high"
        return risk_of(self.delta_e, self.duv_shift, self.mired_shift)


def risk_of(delta_e: float, duv_shift: float, mired_shift: float | None) -> Risk:
    """none, low, medium or high by the worst of grey difference, Duv shift and mired shift; a null
    mired does not count.

    A figure on a border belongs to the lower class, except where `none` ends: 1.0, 0.001 and 5 are
    already low.
    """
    worst = 0
    for value, steps in (
        (delta_e, GREY_STEPS),
        (abs(duv_shift), DUV_STEPS),
        (abs(mired_shift or 0.0), MIRED_STEPS),
    ):
        worst = max(worst, int(value >= steps[0]) + int(value > steps[1]) + int(value > steps[2]))
    return RISKS[worst]


def shifts(direct: FloatArray, others: FloatArray) -> tuple[Shift, ...]:
    """How each light differs from the direct one, both brought to the same level.

    direct:  (71,), spectrum of the light the camera is balanced to;  others: (n, 71), any scale
    Source:  Bradford from the direct light's white to D65, the same for both, then CIELAB and
        CIEDE2000 on white, grey (0.18),
             light and dark skin; CCT and Duv by Ohno 2014
    Raises:  OutOfRange for a spectrum that gives no light
    """
    key, rest = scaled(direct), scaled(np.atleast_2d(others))
    before, to_d65, white = _judged(key.tobytes())
    whites = xyz(rest)
    after = lab(xyz(rest[:, None] * judging_patches()) @ to_d65.T)  # (n, patches, 3)
    differences = ciede2000(before, after)
    cct, duv = cct_duv(uv_1960(np.vstack([white, whites])))
    key_cct, key_duv = float(cct[0]), float(duv[0])
    cct, duv, places = cct[1:], duv[1:], xy(whites)
    skin = xyz(rest * judging_patches()[2])
    balanced = ciede2000(
        before[2],
        lab(np.stack([bradford(whites[k], D65_WHITE) @ skin[k] for k in range(len(rest))])),
    )
    key_named = is_white(key_cct, key_duv)
    out = []
    for k in range(len(rest)):
        named = is_white(float(cct[k]), float(duv[k]))
        out.append(
            Shift(
                xy=(float(places[k, 0]), float(places[k, 1])),
                cct_k=float(cct[k]) if named else None,
                duv=float(duv[k]),
                duv_shift=float(duv[k]) - key_duv,
                mired_shift=1e6 / float(cct[k]) - 1e6 / key_cct if named and key_named else None,
                delta_e=float(differences[k, 1]),
                delta_e_white=float(differences[k, 0]),
                delta_e_skin=float(differences[k, 2]),
                delta_e_dark_skin=float(differences[k, 3]),
                delta_e_skin_balanced=float(balanced[k]),
                delta_e_skins=tuple(float(value) for value in differences[k, 2:]),
                hue_deg=float(np.degrees(np.arctan2(after[k, 0, 2], after[k, 0, 1]))),
            )
        )
    return tuple(out)


def appearances(direct: FloatArray, lights: FloatArray) -> FloatArray:
    """(n, patches, 3) CIELAB (D65) of the judging patches under lights (n, 71) of one level, the
    camera balanced to the direct light (71,).
    """
    _, to_d65, _ = _judged(scaled(direct).tobytes())
    return lab(xyz(scaled(np.atleast_2d(lights))[:, None] * judging_patches()) @ to_d65.T)


@lru_cache(maxsize=32)
def _judged(key: bytes) -> tuple[FloatArray, FloatArray, FloatArray]:
    """The patches under the direct light in CIELAB, the matrix to D65, its white: the same for
    every bounce of a lamp.
    """
    light = np.frombuffer(key)
    white = xyz(light)
    to_d65 = bradford(white, D65_WHITE)
    return lab(xyz(light * judging_patches()) @ to_d65.T), to_d65, white


@lru_cache(maxsize=16)
def green_filter(density_cc: float, *, plus: bool) -> FloatArray:
    """(71,) transmittance of an ideal minus green (or plus green) dye of a CC density.

    Density CC/100 inside 495 to 585 nm with soft edges for minus green, outside it for plus green.
    """
    inside = 1.0 / (1.0 + np.exp(-(NM - 495.0) / 8.0)) / (1.0 + np.exp((NM - 585.0) / 8.0))
    return np.asarray(10.0 ** (-density_cc / 100.0 * (1.0 - inside if plus else inside)))


@dataclass(frozen=True)
class Gels:
    """The trade gels that come nearest to undoing a shift. names: by grade, "ctb_1_4",
    "minus_green_1_8", the green one first; mired: what the blue or orange one does, from one maker
    to another, (0, 0) without one.
    """

    names: tuple[str, ...]
    green: FloatArray  # (71,) transmittance of the green one, 1 without one
    mired: tuple[float, float]
    lamp_mired: float  # of the light that they stand before
    duv_left: float  # behind the green one

    def through(self, spectrum: FloatArray) -> FloatArray:
        """(2, 71) the lamp's bounced spectrum with them on it, at both ends of what is sold."""
        out = []
        for mired in self.mired:
            gel = planck(1e6 / (self.lamp_mired + mired)) / planck(1e6 / self.lamp_mired)
            out.append(spectrum * self.green * gel / np.max(gel))  # a gel only takes away
        return np.stack(out)


def nearest_gels(
    direct: FloatArray,
    bounced: FloatArray,
    start: Shift | None = None,
    *,
    lamp: FloatArray | None = None,
) -> Gels | None:
    """The gels on the lamp that undo a shift, or None when none is needed or none can. lamp: (71,)
    its own light, where that is not `direct`.

    direct, bounced: (71,) spectra;  start: their shift, where it is known already. The green is
        undone first, on the bounced spectrum itself; blue or orange by what is then left.
    """
    if start is None:
        (start,) = shifts(direct, bounced[None])
    if start.cct_k is None or start.mired_shift is None:
        return None
    left, duv_left, green = start.mired_shift, start.duv_shift, np.ones(len(NM))
    names: list[str] = []
    if abs(start.duv_shift) >= LEAST_GREEN_DUV:
        plus = start.duv_shift < 0
        tries = [green_filter(density, plus=plus) for density in GREEN_CC]
        after = shifts(direct, np.stack([bounced * gel for gel in tries]))
        k = int(np.argmin([abs(one.duv_shift) for one in after]))
        names.append(f"{'plus' if plus else 'minus'}_green_{GRADES[k]}")
        green, duv_left = tries[k], after[k].duv_shift
        still = after[k].mired_shift
        left = left if still is None else still
    mired = (0.0, 0.0)
    lamp_mired = 1e6 / float(cct_duv(uv_1960(xyz(direct if lamp is None else lamp)))[0])
    if abs(left) >= LEAST_MIRED:
        # none that turns the lamp bluer than anybody calls white
        ranges = [
            ends
            for ends in (CTB_MIRED if left > 0 else CTO_MIRED)
            if lamp_mired + min(ends) > 1e6 / MOST_WHITE_K
        ]
    else:
        ranges = []
    if ranges:
        k = int(np.argmin([abs(sum(ends) / 2.0 + left) for ends in ranges]))
        names.append(f"{'ctb' if left > 0 else 'cto'}_{GRADES[k]}")
        mired = ranges[k]
    return Gels(tuple(names), green, mired, lamp_mired, duv_left) if names else None
