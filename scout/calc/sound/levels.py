"""Arithmetic of levels: sums, and A and C from octaves."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import require
from scout.calc.sound.weighting import A_OCTAVES_DB, C_OCTAVES_DB, OCTAVES_HZ
from scout.errors import OutOfRange
from scout.values import said


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
