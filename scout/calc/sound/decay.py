"""Reverberation time from a recorded burst (a balloon, a clap, a slate): backward integration, T20
and T30, with flags of quality.

level |\\             Schroeder's curve: the energy that is still to come, from the noise floor
backwards
      | \\_  -5       T20: line through -5 .. -25, T30: through -5 .. -35, both stretched to 60 dB
      |   \\___ noise
      +---------> time
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require
from scout.errors import OutOfRange
from scout.values import said

DECAY_BANDS_HZ: tuple[int, ...] = (125, 250, 500, 1000, 2000, 4000)
NEEDED_T20_DB, NEEDED_T30_DB = (
    35.0,
    45.0,
)  # peak over noise: 15 dB below the end of the range read (ISO 3382-2, 5.3.3)
# non-linearity from which a straight line does not describe the fall (ISO 3382-2, annex B: 5 per
# mille ordinary)
BENT_SHARE = 0.005
# from here the fall is far from a straight line (ISO 3382-2, annex B, from memory): no longer
# judged by
SPOILT_SHARE = 0.010
# T30 and T20 further apart than this: not straight (ISO 3382-2, annex B: over 10 % is suspicious)
CURVED_SHARE = 0.10
FILTER_RINGS = (
    16.0  # bandwidth times T below which the filter's own ringing is read (ISO 3382-2, 7.3)
)


# too faint to be read; far enough over the noise for T20 alone; not a straight line; T30 and T20
# apart; so short that the filter's own ringing may be read
Flag = Literal["faint", "t20_alone", "bent", "curved", "filter"]


@dataclass(frozen=True)
class Decay:
    """What one octave band shows. `t20_s`, `t30_s` None: not readable, and `flags` say why."""

    band_hz: int
    t20_s: float | None
    t30_s: float | None
    peak_over_noise_db: float
    flags: tuple[Flag, ...]
    good: bool = False  # a straight fall far enough over the noise: fit to judge a room by

    @property
    def time_s(self) -> float | None:
        """T30 where it can be read, else T20."""
        return self.t30_s if self.t30_s is not None else self.t20_s


def decays(samples: ArrayLike, rate_hz: int) -> tuple[Decay, ...]:
    """Reverberation of a room from one burst, by octave band 125 Hz to 4 kHz.
    samples: (n,) the recording, one channel, the burst and what follows until silence, a second
        of quiet after it
    rate_hz: [Hz], at least 2000
    Returns: a Decay for each band the rate can hold
    Raises:  OutOfRange for a recording that is too short or without a burst in it
    Source:  M. R. Schroeder, J. Acoust. Soc. Am. 37 (1965) 409; ISO 3382-2:2008 (evaluation
        ranges, flags from memory)
    Limits:  a clap is weak below 250 Hz and never quite the same: an estimate by ISO 3382-2's
        survey grade
    """
    x = require("samples", samples)
    require("rate_hz", rate_hz, least=2000)
    if x.ndim != 1 or len(x) < rate_hz // 4:
        raise OutOfRange(
            "samples",
            None,
            said("refusal.burst_short"),
        )
    x = x - x.mean()
    if not np.any(x):
        raise OutOfRange("samples", None, said("refusal.no_signal"))
    return tuple(
        _band(x, rate_hz, band) for band in DECAY_BANDS_HZ if band * 10.0**0.15 < 0.49 * rate_hz
    )


def _band(x: FloatArray, rate_hz: int, band_hz: int) -> Decay:
    import scipy.signal  # 24 MB: who only reads what was measured waits for none of it

    middle = 1000.0 * 10.0 ** (0.3 * round(np.log2(band_hz / 1000.0)))
    edges = (middle / 10.0**0.15, middle * 10.0**0.15)
    sections = scipy.signal.butter(3, edges, btype="bandpass", fs=rate_hz, output="sos")
    # Backwards in time the filter rings before the burst and not into the fall (ISO 3382-2, 7.3:
    # permits BT down to 4).
    squares = scipy.signal.sosfilt(sections, x[::-1])[::-1] ** 2
    step = max(1, rate_hz // 1000)
    count = len(squares) // step
    energy = squares[: count * step].reshape(count, step).mean(axis=1)
    step_s = step / rate_hz
    smooth_n = max(1, int(0.01 / step_s))
    smooth = np.convolve(energy, np.ones(smooth_n) / smooth_n, mode="same")
    start = int(np.argmax(smooth))
    noise = (
        float(np.mean(np.sort(energy[max(start, int(0.9 * count)) :])[:-1]))
        if count - start > 20
        else float(energy.min())
    )
    before = energy[: max(0, start - int(0.1 / step_s))]
    if before.size > 50:
        noise = max(
            noise, float(np.median(before)) / 0.7
        )  # a median of squares lies under their mean
    peak = float(smooth[start])
    over = 10.0 * float(np.log10(peak / noise)) if noise > 0 else 120.0
    curve = _integrated(energy[start:], smooth[start:], noise, step_s)
    t20, bent20 = _line(curve, step_s, -5.0, -25.0) if over >= NEEDED_T20_DB else (None, 0.0)
    t30, bent30 = _line(curve, step_s, -5.0, -35.0) if over >= NEEDED_T30_DB else (None, 0.0)
    flags: list[Flag] = []
    if over < NEEDED_T20_DB:
        flags.append("faint")
    elif over < NEEDED_T30_DB:
        flags.append("t20_alone")
    bent = bent30 if t30 is not None else bent20
    if (t20 or t30) and bent > BENT_SHARE:
        flags.append("bent")
    curved = bool(t20 and t30 and abs(t30 / t20 - 1.0) > CURVED_SHARE)
    if curved:
        flags.append("curved")
    shortest = t30 or t20
    ringing = bool(shortest and (edges[1] - edges[0]) * shortest < FILTER_RINGS / 4.0)
    if ringing:
        flags.append("filter")
    return Decay(
        band_hz,
        t20,
        t30,
        over,
        tuple(flags),
        good=bool(shortest) and bent <= SPOILT_SHARE and not (curved or ringing),
    )


def _integrated(energy: FloatArray, smooth: FloatArray, noise: float, step_s: float) -> FloatArray:
    """Schroeder's curve [dB], cut where the fall meets the noise and mended for what is cut off (an
    exponential goes on).
    """
    meets = np.flatnonzero(smooth <= 2.0 * noise) if noise > 0 else np.array([], int)
    cut = int(meets[0]) if meets.size else len(energy)
    cut = max(cut, 2)
    part = np.maximum(energy[:cut] - noise, 0.0)
    rest = 0.0
    late = max(2, cut // 3)
    levels = 10.0 * np.log10(np.maximum(smooth[cut - late : cut], 1e-30))
    slope = float(np.polyfit(np.arange(late) * step_s, levels, 1)[0]) if late > 2 else 0.0
    if slope < 0:
        rest = max(0.0, float(smooth[cut - 1]) - noise) * 10.0 / (np.log(10.0) * -slope) / step_s
    total = np.cumsum(part[::-1])[::-1] + rest
    if total[0] <= 0:
        return np.zeros(cut)  # nothing stands over the noise: no level is reached and no time read
    return np.asarray(10.0 * np.log10(np.maximum(total / total[0], 1e-12)))


def _line(
    curve: FloatArray, step_s: float, top_db: float, low_db: float
) -> tuple[float | None, float]:
    """Time for 60 dB by the straight line between two levels, and the share that is not straight (1
    - r squared).
    """
    inside = np.flatnonzero((curve <= top_db) & (curve >= low_db))
    if inside.size < 5 or curve.min() > low_db:
        return None, 0.0
    t = inside * step_s
    slope, at = np.polyfit(t, curve[inside], 1)
    if slope >= 0:
        return None, 0.0
    off = curve[inside] - (slope * t + at)
    spread = float(np.sum((curve[inside] - curve[inside].mean()) ** 2))
    return float(-60.0 / slope), float(np.sum(off**2) / spread) if spread > 0 else 0.0
