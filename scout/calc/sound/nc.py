"""Noise criterion (NC) of a spectrum by the tangent method, and the band that sets it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np

from scout.calc.geometry import FloatArray, require
from scout.calc.published import rows
from scout.errors import OutOfRange
from scout.values import Figure, said

NC_BANDS_HZ: tuple[int, ...] = (63, 125, 250, 500, 1000, 2000, 4000, 8000)
LEAST_NC, MOST_NC = 15, 65  # the curves that are printed
TIE = 1e-9


@dataclass(frozen=True)
class NoiseCriterion:
    """`nc` is None under the lowest and over the highest curve that is printed."""

    nc: float | None
    set_by_hz: tuple[int, ...]  # the band, or the bands that tie; empty under the lowest curve


@cache
def _curves() -> tuple[FloatArray, FloatArray]:
    table = rows("nc_curves.csv")
    names = np.array([float(row["nc"]) for row in table])
    levels = np.array([[float(row[str(band)]) for band in NC_BANDS_HZ] for row in table])
    return names, levels


def noise_criterion(bands_db: Mapping[int, float]) -> NoiseCriterion:
    """The lowest NC curve that no band rises above, linear between the printed curves.
    bands_db: octave levels by nominal middle, 63 to 8000 Hz [dB]; all eight are needed, since
        the one left out may set it
    Returns:  NC (unrounded), and the band or bands that set it
    Raises:   OutOfRange for a band missing or a level that is not finite
    Source:   ANSI/ASA S12.2-1995, tangent method; good to 1 (the 2008 edition differs by up to
        1 dB in a few cells)
    """
    missing = [band for band in NC_BANDS_HZ if band not in bands_db]
    if missing:
        raise OutOfRange(
            "bands_db",
            None,
            said("refusal.octave_missing", band=Figure(missing[0], "Hz")),
        )
    spectrum = require("bands_db", [bands_db[band] for band in NC_BANDS_HZ])
    names, levels = _curves()
    over = [
        band
        for band, level, top in zip(NC_BANDS_HZ, spectrum, levels[-1], strict=True)
        if level > top
    ]
    if over:
        excess = {
            band: float(level - top)
            for band, level, top in zip(NC_BANDS_HZ, spectrum, levels[-1], strict=True)
        }
        worst = max(excess.values())
        return NoiseCriterion(None, tuple(band for band in over if excess[band] >= worst - TIE))
    if np.all(spectrum < levels[0]):
        return NoiseCriterion(None, ())
    touched = np.array([np.interp(level, levels[:, i], names) for i, level in enumerate(spectrum)])
    nc = float(np.max(touched))
    reached = (spectrum >= levels[0]) & (touched >= nc - TIE)
    return NoiseCriterion(
        nc, tuple(band for band, here in zip(NC_BANDS_HZ, reached, strict=True) if here)
    )


def whole_nc(nc: float) -> int:
    """NC as it is printed: the nearest whole number, halves up (33.75 is 34)."""
    return int(np.floor(require("nc", nc) + 0.5 + TIE))
