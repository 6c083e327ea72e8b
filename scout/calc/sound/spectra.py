"""What a power spectrum says: weighted levels, octave and third-octave bands, and lines that hum."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.ndimage
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require
from scout.calc.sound.weighting import (
    OCTAVES_HZ,
    a_weighting_db,
    c_weighting_db,
    exact_octaves_hz,
)
from scout.errors import OutOfRange
from scout.values import said

# Nominal middles of third octaves (IEC 61260-1, table E.1), 25 Hz to 20 kHz: steps -16 to 13 about
# 1000 Hz.
THIRDS_HZ: tuple[float, ...] = (
    25,
    31.5,
    40,
    50,
    63,
    80,
    100,
    125,
    160,
    200,
    250,
    315,
    400,
    500,
    630,
    800,
    1000,
    1250,
    1600,
    2000,
    2500,
    3150,
    4000,
    5000,
    6300,
    8000,
    10000,
    12500,
    16000,
    20000,
)
HUM_LOW_HZ, HUM_HIGH_HZ = (
    22.0,
    420.0,
)  # mains and its harmonics, compressors, fans; a tone higher up whistles rather than hums
LONE_DB, FAMILY_DB = (
    10.0,
    6.0,
    # over the noise beside it: a tone alone; each of two or more harmonics of the mains (common
    # practice)
)
FAMILY_S, FAMILY_TIMES = (
    9.5,
    (1, 2, 3, 4),
)  # a shorter recording's noise wanders too far for the weaker rule
FLOOR_NEAR_HZ, FLOOR_FAR_HZ, LINE_HZ = (
    3.5,
    8.5,
    3.0,
)  # where the noise beside a tone is read, and how wide a slice of it the tone is held against
NARROW_DB = 10.0  # over the lines beside it: else a broad hill, not a line
LEAST_COLUMNS = 8
LASTS_S, LASTS_SHARE = (
    8.0,
    0.6,
    # without a break, or for that share of a short recording: a compressor may stop meanwhile (common
    # practice)
)
# under which a note, a word and a hum cannot be told apart: of 17 hums claimed on foreign recordings
# 14 were music or speech that lasted under 5 s
HUM_LEAST_S = 8.0
# A buzz: a dimmer or a bad ballast makes harmonics of the mains far up, and may leave the first ones
# out. So many that are no multiple of another grid's, on one fundamental to so much of itself.
BUZZ_LINES, BUZZ_HIGH_HZ, BUZZ_OFF = 3, 4000.0, 0.0025
WHINE_HIGH_HZ, MOST_TONES = 16000.0, 5  # supplies and screens whine up there
MAINS_HZ, MAINS_OFF_HZ = (
    (50.0, 60.0),
    0.6,
)  # grids keep within 0.5 Hz; a recorder's clock adds nothing that matters


def mean_square(hz: ArrayLike, power: ArrayLike, weighting: str) -> float:
    """Mean square of a spectrum with weighting A, C or Z; hz (lines,), power (lines,) mean square a
    line.
    """
    f, p = require("hz", hz, least=0), require("power", power, least=0)
    if weighting == "Z":
        return float(p.sum())
    curves = {"A": a_weighting_db, "C": c_weighting_db}
    if weighting not in curves:
        raise OutOfRange("weighting", weighting, said("refusal.no_weighting"))
    heard = (f > 0) & (p > 0)
    return float((p[heard] * 10.0 ** (curves[weighting](f[heard]) / 10.0)).sum())


def decibels(square: float) -> float | None:
    """10 log10; None of nothing, which has no level."""
    return 10.0 * float(np.log10(square)) if square > 0 else None


def _bands(
    hz: FloatArray, power: FloatArray, middles: FloatArray, half: float
) -> list[float | None]:
    spacing, top = float(hz[1] - hz[0]), float(hz[-1])
    total = np.concatenate([[0.0], np.cumsum(power)])
    edges = np.append(hz - spacing / 2.0, top + spacing / 2.0)
    found: list[float | None] = []
    for middle in middles:
        low, high = middle / half, middle * half
        found.append(
            None
            if high > top + spacing / 2
            else float(np.interp(high, edges, total) - np.interp(low, edges, total))
        )
    return found


def octaves(hz: ArrayLike, power: ArrayLike) -> dict[str, float | None]:
    """Mean square in each octave band, 31.5 Hz to 16 kHz; None for a band that reaches past what
    the recording can hold.
    hz, power: (lines,) evenly spaced from 0 [Hz]; mean square of each line
    Source:    IEC 61260-1, base ten: edges at 10^(+-0.15) of the exact middle; a line on an
        edge is shared
    """
    f, p = require("hz", hz, least=0), require("power", power, least=0)
    levels = _bands(f, p, exact_octaves_hz(), 10.0**0.15)
    return dict(zip((f"{band:g}" for band in OCTAVES_HZ), levels, strict=True))


def thirds(hz: ArrayLike, power: ArrayLike) -> dict[str, float | None]:
    """Mean square in each third-octave band, 25 Hz to 20 kHz; as octaves, edges at 10^(+-0.05)."""
    f, p = require("hz", hz, least=0), require("power", power, least=0)
    middles: FloatArray = np.asarray(1000.0 * 10.0 ** (0.1 * np.arange(-16, 14)), dtype=np.float64)
    return dict(
        zip((f"{band:g}" for band in THIRDS_HZ), _bands(f, p, middles, 10.0**0.05), strict=True)
    )


@dataclass(frozen=True)
class Line:
    """One steady tone: where it lies, its mean square, and how far it stands over 3 Hz of the noise
    beside it.
    """

    frequency_hz: float
    square: float
    above_floor_db: float


@dataclass(frozen=True)
class Hum:
    """The hum that rules: its lowest line, the others that belong to it, and whose frequency it is."""

    frequency_hz: float
    above_floor_db: float
    square: float  # of all its lines together
    lines: tuple[Line, ...]
    mains_hz: float | None  # 50 or 60 when it is the mains or a multiple of it


def line_at(hz: FloatArray, power: FloatArray, at: int, width: int) -> Line:
    """The tone whose peak lies at a line of the spectrum: all of its power, less the noise under
    it.

    Over the floor: tone and noise in 3 Hz over the noise alone, read as the median of what lies
        4 to 8 Hz to both sides (further off
    where a short recording smears the tone), so that other tones do not count.
    """
    spacing = float(hz[1] - hz[0])
    near = max(FLOOR_NEAR_HZ, (width + 1) * spacing)
    inner, outer = (
        int(np.ceil(near / spacing)),
        int((near + FLOOR_FAR_HZ - FLOOR_NEAR_HZ) / spacing),
    )
    others = np.concatenate(
        [power[max(1, at - outer) : max(1, at - inner + 1)], power[at + inner : at + outer + 1]]
    )
    typical = float(np.median(others)) if others.size else 0.0
    first, last = max(1, at - width), min(len(power), at + width + 1)
    square = max(0.0, float(power[first:last].sum()) - typical * (last - first))
    noise = typical / spacing * LINE_HZ
    above = (
        10.0 * float(np.log10((square + noise) / noise))
        if noise > 0
        else (120.0 if square > 0 else 0.0)
    )
    return Line(_between(hz, power, at), square, min(120.0, above))


def _between(hz: FloatArray, power: FloatArray, at: int) -> float:
    """The frequency between lines, from how a Hann window shares a tone over the two nearest (exact
    for one lone tone).
    """
    spacing = float(hz[1] - hz[0])
    side = 1 if at + 1 < len(power) and power[at + 1] >= power[at - 1] else -1
    if power[at] <= 0:
        return float(hz[at])
    ratio = float(np.sqrt(power[at + side] / power[at]))
    return float(
        hz[at] + side * spacing * float(np.clip((2.0 * ratio - 1.0) / (1.0 + ratio), 0.0, 0.5))
    )


def steady_lines(
    hz: ArrayLike,
    power: ArrayLike,
    *,
    duration_s: float,
    low_hz: float = HUM_LOW_HZ,
    high_hz: float = HUM_HIGH_HZ,
) -> tuple[Line, ...]:
    """Every tone between two frequencies that stands plainly over the noise beside it, lowest
    first.
    """
    f, p = require("hz", hz, least=0), require("power", power, least=0)
    spacing = float(f[1] - f[0])
    width = _width(spacing, duration_s)
    found = []
    first, last = (
        max(width + 1, int(low_hz / spacing)),
        min(len(p) - width - 2, int(high_hz / spacing) + 1),
    )
    near = max(6 * width, int(12.0 / spacing))
    highest = scipy.ndimage.maximum_filter1d(p, 2 * width + 1, mode="nearest")
    tops = first + np.flatnonzero((p >= highest)[first:last] & (p[first:last] > 0))
    for at in map(int, tops):
        # The higher of the two sides: a slope has one low side.
        sides = [
            float(np.median(part))
            for part in (p[max(1, at - near) : at - width], p[at + width + 1 : at + near + 1])
            if part.size
        ]
        if not sides or p[at] < 10.0 ** (NARROW_DB / 10.0) * max(sides):
            continue
        line = line_at(f, p, at, width)
        if line.above_floor_db >= LONE_DB:
            found.append(line)
    return tuple(found)


def _width(spacing_hz: float, duration_s: float) -> int:
    return max(
        3, int(np.ceil(2.5 / max(duration_s, 0.05) / spacing_hz))
    )  # a short recording smears a tone


def _family(
    hz: FloatArray, power: FloatArray, mains_hz: float, duration_s: float
) -> tuple[Line, ...]:
    """The first four harmonics of the mains that stand over the noise beside them, however weak
    beside the rest of the sound.
    """
    spacing = float(hz[1] - hz[0])
    found = []
    for times in FAMILY_TIMES:
        middle, off = times * mains_hz, MAINS_OFF_HZ * min(times, 3)
        first, last = int(np.ceil((middle - off) / spacing)), int((middle + off) / spacing)
        if last + 1 >= len(power) or last < first:
            continue
        at = first + int(np.argmax(power[first : last + 1]))
        line = line_at(hz, power, at, _width(spacing, duration_s))
        if (
            line.above_floor_db >= FAMILY_DB
            and power[at] >= power[at - 1]
            and power[at] >= power[at + 1]
        ):
            found.append(line)
    return tuple(found)


def hum(hz: ArrayLike, power: ArrayLike, *, duration_s: float) -> Hum | None:
    """The hum of a recording, or None where nothing hums.
    hz, power:  (lines,) a power spectrum of Hann frames, evenly spaced from 0
    duration_s: of the recording [s]; under 8 s nothing is claimed
    Returns:    the mains' hum where a line stands at 50 or 60 Hz or at twice that, or where a buzz of
        its harmonics does; else the strongest line with its multiples
    Limits:     tones between 22 and 420 Hz; of a buzz up to 4 kHz
    """
    if duration_s < HUM_LEAST_S:
        return None
    f, p = require("hz", hz, least=0), require("power", power, least=0)
    plain = steady_lines(f, p, duration_s=duration_s, high_hz=BUZZ_HIGH_HZ)
    lines = tuple(line for line in plain if line.frequency_hz <= HUM_HIGH_HZ)
    buzzes = {mains: _buzz(plain, mains) for mains in MAINS_HZ}
    weak = {
        mains: _family(f, p, mains, duration_s) if duration_s >= FAMILY_S else ()
        for mains in MAINS_HZ
    }
    best: tuple[float, Hum] | None = None
    for mains in (*MAINS_HZ, None):
        if mains is not None:
            own = tuple(line for line in lines if _multiple(line.frequency_hz, mains))
            others = max(len(weak[other]) for other in MAINS_HZ if other != mains)
            if len(weak[mains]) >= 2 > others:
                own = _together(own, weak[mains])
            if buzzes[mains]:
                own = _together(own, buzzes[mains])
            elif not any(round(line.frequency_hz / mains) <= 2 for line in own):
                # mains hum without its first two lines is some other tone that happens to fall on a
                # multiple
                continue
        elif lines:
            strongest = max(lines, key=lambda line: line.square)
            # the fundamental may be weaker than what stands on it
            lowest_hz = min(
                line.frequency_hz
                for line in lines
                if _multiple(strongest.frequency_hz, line.frequency_hz)
            )
            own = tuple(line for line in lines if _multiple(line.frequency_hz, lowest_hz))
        else:
            own = ()
        if not own:
            continue
        square = sum(line.square for line in own)
        lowest = own[0]
        found = Hum(
            lowest.frequency_hz, max(line.above_floor_db for line in own), square, own, mains
        )
        if best is None or square > best[0] * 1.0001:
            best = (square, found)
    return None if best is None else best[1]


def _buzz(lines: tuple[Line, ...], mains_hz: float) -> tuple[Line, ...]:
    """The harmonics of one grid among the lines, where enough of them are nobody else's and all lie
    on one fundamental.
    """
    (other,) = (grid for grid in MAINS_HZ if grid != mains_hz)

    def times(line: Line, grid: float) -> int:
        number = round(line.frequency_hz / grid)
        near = abs(line.frequency_hz - number * grid) <= BUZZ_OFF * max(line.frequency_hz, grid)
        return number if near else 0

    near = [line for line in lines if times(line, mains_hz)]
    alone = [line for line in near if not times(line, other)]
    if len(alone) < BUZZ_LINES:
        return ()
    grid = float(np.median([line.frequency_hz / times(line, mains_hz) for line in alone]))
    own = tuple(line for line in near if _on(line.frequency_hz, grid))
    counted = sum(line in alone for line in own)
    rivals = sum(bool(times(line, other)) and line not in near for line in lines)
    return own if counted >= BUZZ_LINES and counted > rivals else ()


def _on(frequency_hz: float, fundamental_hz: float) -> bool:
    """Whether a tone is a multiple of one whose frequency is known to a few hundredths."""
    number = round(frequency_hz / fundamental_hz)
    return number >= 1 and abs(frequency_hz - number * fundamental_hz) <= 0.15 + 0.02 * number


def whines(
    hz: ArrayLike, power: ArrayLike, *, duration_s: float, beside: Hum | None
) -> tuple[Line, ...]:
    """The plainest tones over the hum's range, up to 16 kHz: what supplies, screens and chargers do.
    hz, power, duration_s: as hum; under 8 s nothing is claimed
    beside:  the hum, whose harmonics are no tones of their own
    Returns: five at most, lowest first
    """
    if duration_s < HUM_LEAST_S:
        return ()
    lines = [
        line
        for line in steady_lines(
            hz, power, duration_s=duration_s, low_hz=HUM_HIGH_HZ, high_hz=WHINE_HIGH_HZ
        )
        if beside is None or not _harmonic(line.frequency_hz, beside)
    ]
    plainest = sorted(lines, key=lambda line: -line.above_floor_db)[:MOST_TONES]
    return tuple(sorted(plainest, key=lambda line: line.frequency_hz))


def _harmonic(frequency_hz: float, hummed: Hum) -> bool:
    if frequency_hz > BUZZ_HIGH_HZ:
        return False
    lowest = hummed.lines[0].frequency_hz
    number = 1 if hummed.mains_hz is None else max(1, round(lowest / hummed.mains_hz))
    return _on(frequency_hz, lowest / number)


def _together(plain: tuple[Line, ...], weak: tuple[Line, ...]) -> tuple[Line, ...]:
    added = [
        line
        for line in weak
        if all(abs(line.frequency_hz - other.frequency_hz) > 1.0 for other in plain)
    ]
    return tuple(sorted((*plain, *added), key=lambda line: line.frequency_hz))


def lasts_s(
    levels: ArrayLike, edges_hz: ArrayLike, step_s: float, frequency_hz: float, square: float
) -> float | None:
    """The longest time for which a tone is there without a break, so that a hum is told from notes
    and voices that come and go.
    levels:   (columns, rows) mean square of a spectrogram; edges_hz: (rows + 1,); step_s: from
        one column to the next
    square:   the tone's own, over the whole recording
    Returns:  [s], over columns whose row holds a third of it or more; None where the
        spectrogram does not reach
    """
    grid, edges = require("levels", levels, least=0), require("edges_hz", edges_hz, least=0)
    row = int(np.searchsorted(edges, frequency_hz, side="right")) - 1
    if grid.ndim != 2 or grid.shape[0] < LEAST_COLUMNS or not 0 <= row < grid.shape[1]:
        return None
    middle = 0.5 * (edges[row] + edges[row + 1])
    other = row + (1 if frequency_hz > middle else -1)  # a tone near an edge stands in two rows
    beside = grid[:, row] + (grid[:, other] if 0 <= other < grid.shape[1] else 0.0)
    steps = np.flatnonzero(
        np.diff(np.concatenate([[False], beside >= square / 3.0, [False]]).astype(np.int8))
    )
    return float(np.max(steps[1::2] - steps[::2], initial=0)) * step_s


def _multiple(frequency_hz: float, fundamental_hz: float) -> bool:
    times = round(frequency_hz / fundamental_hz)
    return times >= 1 and abs(frequency_hz - times * fundamental_hz) <= MAINS_OFF_HZ * max(
        1, min(times, 3)
    )
