"""What a bounced or mixed light does to a picture balanced for the direct light: figures, class of
risk, and the gels that undo it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from scout.calc.bounce.difference import D65_WHITE, bradford, ciede2000, lab
from scout.calc.bounce.spectra import NM, observer, planck, scaled, xyz
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
    rest = scaled(np.atleast_2d(others))
    key = _judged(scaled(direct).tobytes())
    values = _patches_under(rest)
    whites, skin = values[:, 0], values[:, 2]
    after = lab(values @ key.to_d65.T)  # (n, patches, 3)
    differences = ciede2000(key.patches, after).tolist()
    own_white = lab(np.einsum("nij,nj->ni", bradford(whites, D65_WHITE), skin))
    balanced = ciede2000(key.patches[2], own_white).tolist()
    hues = np.degrees(np.arctan2(after[:, 0, 2], after[:, 0, 1])).tolist()
    out = []
    for place, (cct, duv, mired), patches, own, hue in zip(
        xy(whites).tolist(), key.whiteness(whites), differences, balanced, hues, strict=True
    ):
        out.append(
            Shift(
                xy=(place[0], place[1]),
                cct_k=cct,
                duv=duv,
                duv_shift=duv - key.duv,
                mired_shift=mired,
                delta_e=patches[1],
                delta_e_white=patches[0],
                delta_e_skin=patches[2],
                delta_e_dark_skin=patches[3],
                delta_e_skin_balanced=own,
                delta_e_skins=tuple(patches[2:]),
                hue_deg=hue,
            )
        )
    return tuple(out)


def casts(direct: FloatArray, others: FloatArray) -> tuple[list[Risk], list[float]]:
    """The class and the grey difference of each light, (n, 71), as `shifts` has them, and no more:
    what hundreds of draws are asked for.
    """
    key = _judged(scaled(direct).tobytes())
    whites = xyz(scaled(others))
    greys = ciede2000(key.patches[1], lab(key.grey * whites @ key.to_d65.T)).tolist()
    return [
        risk_of(grey, duv - key.duv, mired) if cct is not None else "high"
        for grey, (cct, duv, mired) in zip(greys, key.whiteness(whites), strict=True)
    ], greys


def appearances(direct: FloatArray, lights: FloatArray) -> FloatArray:
    """(n, patches, 3) CIELAB (D65) of the judging patches under lights (n, 71) of one level, the
    camera balanced to the direct light (71,).
    """
    key = _judged(scaled(direct).tobytes())
    return lab(_patches_under(scaled(np.atleast_2d(lights))) @ key.to_d65.T)


def _patches_under(lights: FloatArray) -> FloatArray:
    """(n, patches, 3) tristimulus values of the judging patches under lights (n, 71)."""
    return np.asarray((lights @ _patches_seen()).reshape(len(lights), -1, 3))


@lru_cache(maxsize=1)
def _patches_seen() -> FloatArray:
    """(71, patches 3) what the observer makes of each wavelength off each patch."""
    return np.ascontiguousarray(
        np.moveaxis(judging_patches()[:, :, None] * observer(), 1, 0).reshape(len(NM), -1)
    )


@dataclass(frozen=True)
class _Key:
    """The direct light: the same for every bounce of a lamp. patches: (patches, 3) CIELAB."""

    patches: FloatArray
    grey: float  # what the grey patch sends back of any light
    to_d65: FloatArray  # (3, 3)
    cct_k: float
    duv: float

    def whiteness(self, whites: FloatArray) -> list[tuple[float | None, float, float | None]]:
        """CCT, Duv and mired shift of each white, (n, 3); no CCT and no shift where it is none."""
        named = is_white(self.cct_k, self.duv)
        return [
            (cct, duv, 1e6 / cct - 1e6 / self.cct_k if named else None)
            if is_white(cct, duv)
            else (None, duv, None)
            for cct, duv in zip(*(part.tolist() for part in cct_duv(uv_1960(whites))), strict=True)
        ]


@lru_cache(maxsize=32)
def _judged(key: bytes) -> _Key:
    light = np.frombuffer(key)
    white = xyz(light)
    to_d65 = bradford(white, D65_WHITE)
    cct, duv = (float(part) for part in cct_duv(uv_1960(white)))
    return _Key(
        lab(_patches_under(light[None])[0] @ to_d65.T),
        float(judging_patches()[1, 0]),
        to_d65,
        cct,
        duv,
    )


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
