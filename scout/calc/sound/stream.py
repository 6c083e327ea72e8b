"""Measuring a recording as it streams past: power spectrum, A-weighted time history, spectrogram,
and what is wrong with it.

        samples --+--> Hann frames of 1.4 s, 3/4 overlap --> power spectrum (levels, bands, hum),
        spectrogram
                  +--> A weighting by FFT --> square --> fast time weighting (125 ms) --> history,
                  percentiles, events
                  +--> rails, runs of nothing, mean value

Memory is that of a few blocks, whatever the length; levels are in dB re full scale: 20 log10(rms),
a full-scale sine is -3.01.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import scipy.fft
from numpy.typing import NDArray

from scout.calc.geometry import FloatArray, require
from scout.calc.sound.weighting import a_weighting_db
from scout.errors import OutOfRange
from scout.values import said

Block = NDArray[np.float32]  # (frames, channels), full scale 1
FRAME_S = (
    1.365  # 65536 samples at 48 kHz: lines 0.73 Hz apart, so that third octaves hold from 25 Hz
)
LOWEST_HZ = 7.0  # what lies below is the mean value's smear and no sound that counts
FADE_S = (
    0.02  # both ends of the file are faded over this, or the cut itself would sound in the treble
)
FAST_S = 0.125  # time weighting F, IEC 61672-1
SLOT_S = 0.01
MOST_SLOTS = 2**21  # 5.8 h at 10 ms; beyond it slots are joined in pairs
MOST_COLUMNS = 1024
SPECTROGRAM_LOW_HZ, STEPS_AN_OCTAVE = 25.0, 12
MOST_SAMPLE = 1e6  # 120 dB over full scale: no microphone's, but a damaged float's
MARGIN_S = 0.2  # by when the answer of the A weighting to a click has died away


def _finite(block: Block) -> tuple[Block, int]:
    bad = ~(np.abs(block) <= MOST_SAMPLE)  # also what is no number
    count = int(np.count_nonzero(bad))
    return (np.where(bad, np.float32(0.0), block), count) if count else (block, 0)


class SpectrumMeter:
    """Mean power spectrum of each channel, exactly as much power as the samples have (Parseval),
    and a spectrogram.
    """

    def __init__(self, rate_hz: int, channels: int) -> None:
        import scipy.signal  # 24 MB: who only reads what was measured waits for none of it

        require("rate_hz", rate_hz, least=1)
        self.rate_hz, self.channels = rate_hz, channels
        self.frame = max(256, 2 ** round(np.log2(rate_hz * FRAME_S)))
        self.hop = self.frame // 4
        window = scipy.signal.get_window("hann", self.frame)
        self._window = (window / np.sqrt(1.5)).astype(
            np.float32
        )  # squares of four windows a hop apart add up to 1
        self._power: FloatArray = np.zeros((channels, self.frame // 2 + 1))
        self._fade = max(1, int(rate_hz * FADE_S))
        self._held: Block = np.zeros((0, channels), np.float32)
        self._begun = False
        self._buffer: Block = np.zeros((self.frame - self.hop, channels), np.float32)
        lines_hz = np.arange(self.frame // 2 + 1) * rate_hz / self.frame
        top = min(20000.0, rate_hz / 2.0)
        steps = (
            int(np.floor(STEPS_AN_OCTAVE * np.log2(top / SPECTROGRAM_LOW_HZ)))
            if top > 2 * SPECTROGRAM_LOW_HZ
            else 0
        )
        self.rows_hz: FloatArray = SPECTROGRAM_LOW_HZ * 2.0 ** (
            np.arange(steps + 1) / STEPS_AN_OCTAVE
        )
        self._cuts = np.unique(np.searchsorted(lines_hz, self.rows_hz))
        self._columns: list[NDArray[np.float32]] = []
        self._joined, self._waiting, self._waiting_n = (
            1,
            np.zeros((channels, max(0, len(self._cuts) - 1))),
            0,
        )
        self._skip = 2  # frames whose middle lies before the first sample
        self._weight = 0.0

    def push(self, block: Block) -> None:
        """Take the next samples, without their mean value."""
        held = np.concatenate([self._held, block])
        if not self._begun:
            if len(held) < 10 * self._fade:
                self._held = held
                return
            held[: self._fade] *= self._ramp(self._fade)[:, None]
            self._weight -= self._lost(self._fade)
            self._begun = True
        self._held = held[-self._fade :].copy()
        self._take(held[: -self._fade])

    def _ramp(self, count: int) -> NDArray[np.float32]:
        return (np.sin(np.pi / 2 * (np.arange(count) + 0.5) / count) ** 2).astype(np.float32)

    def _lost(self, count: int) -> float:
        return count - float(np.sum(self._ramp(count).astype(float) ** 2))

    def _take(self, samples: Block) -> None:
        self._weight += len(samples)
        self._run(np.concatenate([self._buffer, samples]))

    def _run(self, buffer: Block) -> None:
        count = (len(buffer) - self.frame) // self.hop + 1
        for i in range(max(0, count)):
            part = buffer[i * self.hop : i * self.hop + self.frame].T * self._window
            lines = scipy.fft.rfft(part, axis=1)
            power = lines.real**2 + lines.imag**2
            self._power += power
            self._column(power)
        self._buffer = buffer[max(0, count) * self.hop :]

    def _column(self, power: NDArray[np.float32]) -> None:
        if self._skip > 0:
            self._skip -= 1
            return
        if len(self._cuts) < 2:
            return
        self._waiting += np.add.reduceat(power, self._cuts, axis=1)[:, :-1]
        self._waiting_n += 1
        if self._waiting_n < self._joined:
            return
        self._columns.append((self._waiting / self._waiting_n).astype(np.float32))
        self._waiting, self._waiting_n = np.zeros_like(self._waiting), 0
        if len(self._columns) == MOST_COLUMNS:
            self._columns = [
                (self._columns[i] + self._columns[i + 1]) / np.float32(2)
                for i in range(0, MOST_COLUMNS, 2)
            ]
            self._joined *= 2

    def finish(self) -> None:
        """No more samples come."""
        held = self._held
        count = self._fade if self._begun else len(held) // 10
        if not self._begun and count:
            held[:count] *= self._ramp(count)[:, None]
            self._weight -= self._lost(count)
        if count:
            held[-count:] *= self._ramp(count)[::-1][:, None]
            self._weight -= self._lost(count)
        self._take(held)
        self._run(np.concatenate([self._buffer, np.zeros((self.frame, self.channels), np.float32)]))

    def spectrum(self) -> tuple[FloatArray, FloatArray]:
        """(lines,) frequency [Hz] and (channels, lines) mean square of each line, full scale 1;
        nothing below 7 Hz.
        """
        power = 2.0 * self._power / self.frame / max(self._weight, 1.0)
        hz = np.arange(power.shape[1]) * self.rate_hz / self.frame
        power[:, hz < LOWEST_HZ] = 0.0
        power[:, -1] /= 2.0
        return hz, power

    def spectrogram(self) -> tuple[FloatArray, FloatArray, float]:
        """(columns, rows) mean square by 1/12 octave and channel (channels first), (rows + 1,)
        edges [Hz], seconds a column.
        """
        if not self._columns or len(self._cuts) < 2:
            return np.zeros((self.channels, 0, 0)), np.zeros(0), 0.0
        edges = self._cuts * self.rate_hz / self.frame
        stack = np.stack(self._columns, axis=1).astype(np.float64) * 2.0 * self._scale()
        return stack, edges, self._joined * self.hop / self.rate_hz

    def _scale(self) -> float:
        return 4.0 / float(
            self.frame**2
        )  # one frame's windows hold a quarter of four overlapping ones; its mean square


class FastMeter:
    """A-weighted mean square with time weighting F of each channel: its value and its maximum in
    every slot of 10 ms.
    """

    def __init__(self, rate_hz: int, channels: int) -> None:
        self.rate_hz, self.channels = rate_hz, channels
        self.margin = int(rate_hz * MARGIN_S)
        self._size = scipy.fft.next_fast_len(
            max(int(rate_hz * FRAME_S), 4 * self.margin + 16), real=True
        )
        hz = np.fft.rfftfreq(self._size, 1.0 / rate_hz)
        gain = np.zeros(len(hz))
        gain[1:] = 10.0 ** (a_weighting_db(hz[1:]) / 20.0)
        self._gain = gain.astype(np.float32)[:, None]
        self._buffer: Block = np.zeros((self.margin, channels), np.float32)
        self._tick = max(
            1, round(rate_hz / 1000.0)
        )  # samples whose squares are averaged before the time weighting
        self.slot_ticks = max(1, round(SLOT_S * rate_hz / self._tick))
        self._left: FloatArray = np.zeros((0, channels))
        self._ticks: FloatArray = np.zeros((0, channels))
        self._state: FloatArray | None = None
        self._max: list[NDArray[np.float32]] = []
        self._last: list[NDArray[np.float32]] = []
        self._slots, self._joined = 0, 1

    @property
    def slot_s(self) -> float:
        """Length of a slot now [s]."""
        return self._joined * self.slot_ticks * self._tick / self.rate_hz

    def push(self, block: Block) -> None:
        """Take the next samples, without their mean value."""
        buffer = np.concatenate([self._buffer, block])
        step = self._size - 2 * self.margin
        at = 0
        while len(buffer) - at >= self._size:
            self._weighted(buffer[at : at + self._size], step)
            at += step
        self._buffer = buffer[at:]

    def _weighted(self, part: Block, step: int) -> None:
        lines = scipy.fft.rfft(part, axis=0) * self._gain
        weighted = scipy.fft.irfft(lines, n=self._size, axis=0)[self.margin : self.margin + step]
        self._squares(np.concatenate([self._left, weighted.astype(np.float64) ** 2]))

    def _squares(self, squares: FloatArray) -> None:
        count = len(squares) // self._tick
        means = squares[: count * self._tick].reshape(count, self._tick, self.channels).mean(axis=1)
        self._left = squares[count * self._tick :]
        if not count:
            return
        import scipy.signal

        keep = float(np.exp(-self._tick / self.rate_hz / FAST_S))
        if (
            self._state is None
        ):  # begun as if the first 125 ms had gone on before: no swelling up from nothing
            first = means[: max(1, int(FAST_S * self.rate_hz / self._tick))].mean(axis=0)
            self._state = keep * first[None, :]
        fast, self._state = scipy.signal.lfilter(
            [1.0 - keep], [1.0, -keep], means, axis=0, zi=self._state
        )
        ticks = np.concatenate([self._ticks, fast])
        unit = self.slot_ticks * self._joined
        whole = len(ticks) // unit
        if whole:
            slots = ticks[: whole * unit].reshape(whole, unit, self.channels)
            self._max.append(slots.max(axis=1).astype(np.float32))
            self._last.append(slots[:, -1].astype(np.float32))
            self._slots += whole
        self._ticks = ticks[whole * unit :]
        if self._slots >= MOST_SLOTS:
            self._join()

    def _join(self) -> None:
        high, last = np.concatenate(self._max), np.concatenate(self._last)
        count = len(high) // 2 * 2
        self._max = [np.maximum(high[:count:2], high[1:count:2])]
        self._last = [np.ascontiguousarray(last[1:count:2])]
        self._slots, self._joined = count // 2, self._joined * 2

    def finish(self) -> None:
        """No more samples come: run out what is held."""
        rest = len(self._buffer) - self.margin
        if rest > 0:
            padded = np.zeros((self._size, self.channels), np.float32)
            padded[: len(self._buffer)] = self._buffer
            step = self._size - 2 * self.margin
            if rest <= step:
                self._weighted(padded, rest)
            else:
                self._weighted(padded, step)
                again = np.zeros_like(padded)
                again[: len(self._buffer) - step] = self._buffer[step:]
                self._weighted(again, rest - step)
        if (
            not self._slots and not len(self._ticks) and len(self._left)
        ):  # shorter than a millisecond
            self._ticks = self._left.mean(axis=0)[None, :]
        if not self._slots and len(self._ticks):
            self._max, self._last = (
                [self._ticks.max(axis=0)[None].astype(np.float32)],
                [self._ticks[-1:].astype(np.float32)],
            )
            self._slots = 1

    def history(self) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
        """(slots, channels) mean square at the end of each slot, and its maximum in it."""
        if not self._slots:
            return np.zeros((0, self.channels), np.float32), np.zeros(
                (0, self.channels), np.float32
            )
        self._last, self._max = [np.concatenate(self._last)], [np.concatenate(self._max)]
        return self._last[0], self._max[0]


@dataclass(frozen=True)
class Faults:
    """What is wrong with the samples themselves. Shares are of all samples of the channel that has
    most.
    """

    mean: FloatArray  # (channels,)
    rms: FloatArray  # (channels,) about the mean
    peak: float
    clipped_share: float
    clipped: bool  # runs at full scale, not the touch of one peak
    dropouts: int
    dropout_s: float
    bad_samples: int


class FaultMeter:
    """Rails, runs of nothing, mean value, peak."""

    def __init__(
        self, rate_hz: int, channels: int, rail: Callable[[Block], NDArray[np.bool_]]
    ) -> None:
        self.rate_hz, self.channels, self._rail = rate_hz, channels, rail
        self._count, self._sum, self._squares = 0, np.zeros(channels), np.zeros(channels)
        self._peak = 0.0
        self._at_rail, self._in_runs = np.zeros(channels, np.int64), 0
        self._least_run = max(2, int(0.005 * rate_hz))
        self._run, self._heard = 0, False
        self._dropouts, self._dropout_n = 0, 0
        self.bad_samples = 0

    def push(self, block: Block) -> Block:
        """Look at the next samples; gives them back with what is no number made nothing."""
        block, bad = _finite(block)
        self.bad_samples += bad
        if not len(block):
            return block
        self._count += len(block)
        self._sum += block.sum(axis=0, dtype=np.float64)
        for channel in range(self.channels):
            column = block[:, channel].astype(np.float64)
            self._squares[channel] += float(column @ column)
        self._peak = max(self._peak, float(np.abs(block).max()))
        rails = self._rail(block)
        if rails.any():
            self._at_rail += np.count_nonzero(rails, axis=0)
            if len(rails) > 2:
                self._in_runs += int(np.count_nonzero(rails[2:] & rails[1:-1] & rails[:-2]))
        self._runs_of_nothing(np.asarray(~block.any(axis=1)))
        return block

    def _runs_of_nothing(self, nothing: NDArray[np.bool_]) -> None:
        if not nothing.any():
            self._end_run()
            self._heard = True
            return
        edges = np.flatnonzero(np.diff(nothing.astype(np.int8)))
        starts = np.concatenate([[0], edges + 1])
        lengths = np.diff(np.concatenate([starts, [len(nothing)]]))
        for start, length in zip(starts[nothing[starts]], lengths[nothing[starts]], strict=True):
            if start > 0:
                self._end_run()
                self._heard = True
            self._run += int(length)
        if not nothing[-1]:
            self._end_run()
            self._heard = True

    def _end_run(self) -> None:
        if (
            self._run >= self._least_run and self._heard
        ):  # nothing before the first sound is a late start, not a dropout
            self._dropouts += 1
            self._dropout_n += self._run
        self._run = 0

    def faults(self) -> Faults:
        """What was found."""
        count = max(1, self._count)
        mean = self._sum / count
        rms = np.sqrt(np.maximum(0.0, self._squares / count - mean**2))
        return Faults(
            mean,
            rms,
            self._peak,
            float(np.max(self._at_rail) / count),
            self._in_runs > 0,
            self._dropouts,
            self._dropout_n / self.rate_hz,
            self.bad_samples,
        )


def rails(coding: str, bits: int | None) -> Callable[[Block], NDArray[np.bool_]]:
    """How full scale shows: the last step of an integer, 1 of a coded sound, flat tops of a float
    (which may pass 1 unharmed).
    """
    if coding == "integer":
        if bits is None:
            raise OutOfRange("bits", None, said("refusal.bits"))
        top = np.float32(1.0 - 2.0 ** (1 - min(bits, 24)))
        return lambda block: (block >= top) | (block <= -top)
    if coding == "lossy":
        return lambda block: np.abs(block) >= np.float32(0.999)

    def flat(block: Block) -> NDArray[np.bool_]:
        same = np.zeros(block.shape, bool)
        if len(block) > 2 and float(np.abs(block).max()) > 0.5:
            level = (
                (block[2:] == block[1:-1])
                & (block[1:-1] == block[:-2])
                & (np.abs(block[1:-1]) > 0.5)
            )
            same[2:] |= level
            same[1:-1] |= level
            same[:-2] |= level
        return same

    return flat
