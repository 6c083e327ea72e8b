"""What a bounced or mixed light does to a picture balanced for the direct light: figures, class of
risk, remedies.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from scout.calc.bounce.difference import D65_WHITE, bradford, ciede2000, lab
from scout.calc.bounce.spectra import NM, scaled, xyz
from scout.calc.bounce.surface import judging_patches
from scout.calc.bounce.whiteness import cct_duv, is_white, uv_1960, xy
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
GREEN_AMOUNTS = (
    ("eighth", 3.5),
    ("quarter", 7.5),
    ("half", 15.0),
    ("full", 30.0),
)  # CC densities, common practice, from memory
# Trade gels by amount, in mired (common practice, from memory): bluer and warmer.
BLUE = (("eighth", -18.0), ("quarter", -35.0), ("half", -78.0), ("full", -137.0))
ORANGE = (("eighth", 26.0), ("quarter", 64.0), ("half", 109.0), ("full", 159.0))
LEAST_MIRED = 9.0  # half of the smallest gel
TINTS = (
    (20.0, "pink"),
    (45.0, "red"),
    (75.0, "orange"),
    (110.0, "yellow"),
    (165.0, "green"),
    (225.0, "blue-green"),
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
        """The way a white card goes, in a word."""
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
class Green:
    """The trade gel that brings a bounced light's Duv nearest to the direct light's."""

    amount: str  # eighth, quarter, half, full
    kind: Literal["plus green", "minus green"]
    duv_left: float
    mired_shift: float | None  # with the gel on, what the warm or blue correction then has to undo
    loss_stops: float


def green_correction(
    direct: FloatArray, bounced: FloatArray, start: Shift | None = None
) -> Green | None:
    """The gel on the lamp that undoes a green or magenta shift, or None when nothing needs it.

    direct, bounced: (71,) spectra;  start: their shift, where it is known already. The gel is
        applied to the bounced
    spectrum itself and its effect recomputed.
    """
    if start is None:
        (start,) = shifts(direct, bounced[None])
    if abs(start.duv_shift) < LEAST_GREEN_DUV:
        return None
    plus = start.duv_shift < 0
    tries = [green_filter(density, plus=plus) for _, density in GREEN_AMOUNTS]
    after = shifts(direct, np.stack([bounced * gel for gel in tries]))
    k = int(np.argmin([abs(one.duv_shift) for one in after]))
    loss = float(np.log2(xyz(scaled(bounced))[1] / xyz(scaled(bounced) * tries[k])[1]))
    return Green(
        GREEN_AMOUNTS[k][0],
        "plus green" if plus else "minus green",
        after[k].duv_shift,
        after[k].mired_shift,
        loss,
    )


def remedy(
    direct: FloatArray,
    bounced: FloatArray,
    shift: Shift,
    loss_stops: float,
    surface: str,
    *,
    only_light: bool = True,
) -> str:
    """One plain sentence, with figures: what mends this bounce, or why nothing does."""
    if shift.risk == "none":
        return "none needed"
    lost = f"the bounce costs {loss_stops:.1f} stops"
    if shift.cct_k is None or shift.mired_shift is None:
        pointless = f"; {lost}, so a gel would be pointless" if loss_stops > POINTLESS_STOPS else ""
        return f"no gel makes this a white light: use another surface, or cover {surface} with white{pointless}"
    if loss_stops > POINTLESS_STOPS:
        return f"{lost}: correcting the light is pointless; bounce off another surface, or cover {surface} with white"
    green = green_correction(direct, bounced, shift)
    parts = []
    if abs(shift.mired_shift) >= MIRED_STEPS[0]:
        parts.append(
            f"{-shift.mired_shift:+.0f} mired ({'bluer' if shift.mired_shift > 0 else 'warmer'})"
        )
    if green is not None:
        parts.append(f"{green.amount} {green.kind}")
    if not parts:
        return "none needed: ordinary grading hides it"
    gel = mired_gel(
        green.mired_shift
        if green is not None and green.mired_shift is not None
        else shift.mired_shift
    )
    words = f"{' and '.join(parts)} on the light"
    if gel is not None:
        words += f" (nearest gel: {gel[0]})"
    if only_light:
        words += f"; or balance the camera to it, where it is the only light (skin stays {shift.delta_e_skin_balanced:.1f} off)"
    return words


def mired_gel(shift_mired: float) -> tuple[str, float] | None:
    """The trade gel nearest to undoing a shift, `quarter blue (-35 mired)`, and its mired; None for
    less than half of the smallest.
    """
    if abs(shift_mired) < LEAST_MIRED:
        return None
    amount, mired = min(
        BLUE if shift_mired > 0 else ORANGE, key=lambda gel: abs(gel[1] + shift_mired)
    )
    return f"{amount} {'blue' if mired < 0 else 'orange'} ({mired:+.0f} mired)", mired
