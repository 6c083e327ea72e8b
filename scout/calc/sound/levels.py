"""Arithmetic of levels: sums, energy means, levels exceeded, correction for background, A and C
from octaves.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require
from scout.calc.sound.weighting import A_OCTAVES_DB, C_OCTAVES_DB, OCTAVES_HZ
from scout.errors import OutOfRange
from scout.values import said

LEAST_DIFFERENCE_DB = (
    3.0  # ISO 1996-2 and ISO 3744 practice, from memory: nearer than this, only an upper bound
)


def sum_db(levels_db: ArrayLike) -> float:
    """Level of several sounds together, by adding their powers.
    levels_db: (n,), n at least 1 [dB]
    Returns:   [dB]
    Raises:    OutOfRange for no level at all, or one that is not finite
    Source:    10 log10 of the sum of 10^(L/10); sounds that do not keep step with each other
    """
    levels = np.atleast_1d(require("levels_db", levels_db))
    if levels.size == 0:
        raise OutOfRange("levels_db", None, said("refusal.no_level"))
    top = float(np.max(levels))  # taken out so that no power overflows
    return top + float(10.0 * np.log10(np.sum(10.0 ** ((levels - top) / 10.0))))


def leq_db(levels_db: ArrayLike, durations_s: ArrayLike) -> float:
    """Energy mean of levels that lasted different times (Leq); the arithmetic mean would be wrong.
    levels_db:   (n,) [dB]
    durations_s: (n,) how long each lasted [s], 0 or more, not all 0
    Returns:     [dB]
    Raises:      OutOfRange naming the argument
    Source:      ISO 1996-1, equivalent continuous sound pressure level
    """
    levels = np.atleast_1d(require("levels_db", levels_db))
    durations = np.atleast_1d(require("durations_s", durations_s, least=0))
    if levels.shape != durations.shape:
        raise OutOfRange(
            "durations_s",
            durations.size,
            said("refusal.shapes"),
        )
    require("durations_s", np.sum(durations), above=0)
    lasted = durations > 0
    return sum_db(levels[lasted] + 10.0 * np.log10(durations[lasted] / np.sum(durations)))


def exceeded_db(levels_db: ArrayLike, share_pct: float) -> float:
    """Level exceeded for so many per cent of the time (L10, L50, L90), from short levels of equal
    length.
    levels_db: (n,) short levels, 125 ms or 1 s each [dB]
    share_pct: 0 to 100; 90 gives L90, the background
    Returns:   [dB], linear between neighbouring readings
    Raises:    OutOfRange naming the argument
    """
    levels = np.atleast_1d(require("levels_db", levels_db))
    require("share_pct", share_pct, least=0, most=100)
    if levels.size == 0:
        raise OutOfRange("levels_db", None, said("refusal.no_level"))
    return float(np.percentile(levels, 100.0 - share_pct))


@dataclass(frozen=True)
class Corrected:
    """A source without its background: a level, or only what it cannot exceed."""

    level_db: float | None
    at_most_db: float


def without_background_db(both_db: float, background_db: float) -> Corrected:
    """Level of a source alone, from a reading with it on and one with it off.
    both_db, background_db: [dB]
    Returns:    level_db, or None when the two lie less than 3 dB apart: then only at_most_db
        may be said
    Raises:     OutOfRange for a level that is not finite
    Source:     ISO 1996-2 and ISO 3744 practice (from memory)
    """
    require("both_db", both_db)
    require("background_db", background_db)
    difference = both_db - background_db
    if difference < LEAST_DIFFERENCE_DB - 1e-9:
        # At 3 dB apart the source alone is 3.0 dB under the reading: a smaller difference can only
        # mean a quieter source.
        return Corrected(
            None, both_db + float(10.0 * np.log10(1.0 - 10.0 ** (-LEAST_DIFFERENCE_DB / 10.0)))
        )
    alone = both_db + float(10.0 * np.log10(1.0 - 10.0 ** (-difference / 10.0)))
    return Corrected(alone, alone)


def _weighted_db(bands_db: Mapping[float, float], weights_db: tuple[float, ...]) -> float:
    weights = dict(zip(OCTAVES_HZ, weights_db, strict=True))
    strangers = [band for band in bands_db if band not in weights]
    if strangers:
        raise OutOfRange(
            "bands_db",
            strangers[0],
            said("refusal.no_octave"),
        )
    return sum_db(
        np.array([level + weights[band] for band, level in bands_db.items()], dtype=np.float64)
    )


def a_level_db(bands_db: Mapping[float, float]) -> float:
    """A-weighted level of the octave bands given (nominal middle [Hz] to level [dB]).

    Raises OutOfRange for no band, a band that is none of the octaves 31.5 to 16000, or a level that
    is not finite.
    Source: IEC 61672-1, table 2, added band by band. Limits: right to some tenths; inside a
        band the level is taken as even.
    """
    return _weighted_db(bands_db, A_OCTAVES_DB)


def c_level_db(bands_db: Mapping[float, float]) -> float:
    """C-weighted level of the octave bands given (nominal middle [Hz] to level [dB]); see
    a_level_db.
    """
    return _weighted_db(bands_db, C_OCTAVES_DB)


def level_of_pressure_db(pressure_pa: ArrayLike) -> FloatArray:
    """(...,) sound pressure level of a root-mean-square pressure [Pa], above 0; reference 20 uPa
    (ISO 80000-8).
    """
    return np.asarray(20.0 * np.log10(require("pressure_pa", pressure_pa, above=0) / 20e-6))
