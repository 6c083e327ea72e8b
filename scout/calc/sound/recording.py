"""A whole recording measured in one pass: levels re full scale, bands, history, hum, events,
faults.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np

from scout.calc.geometry import FloatArray, require
from scout.calc.sound.events import SoundEvent, find_events
from scout.calc.sound.spectra import (
    LASTS_S,
    LASTS_SHARE,
    Hum,
    Line,
    decibels,
    hum,
    lasts_s,
    mean_square,
    octaves,
    thirds,
    whines,
)
from scout.calc.sound.stream import Block, FastMeter, FaultMeter, Faults, SpectrumMeter, rails

MEAN_S = 10.0  # the mean value of this much is taken off before anything is measured
# root mean square under which nothing was recorded (a quarter of the last step of 24 bits)
SILENT = 3e-8
DEAD_DB = 40.0  # a channel this far under the loudest carries only its own noise (common practice)
HISTORY_POINTS = 1200
OFFSET_TELLS = (
    0.001  # share of full scale from which a mean value is worth a word (common practice)
)


@dataclass(frozen=True, kw_only=True)
class Measured:
    """All levels in dB re full scale, mean of the channels that live by energy; None: nothing to
    measure.
    """

    duration_s: float
    rate_hz: int
    channels: int
    dead: tuple[int, ...]  # channels from 0
    faults: Faults
    line_hz: FloatArray  # (lines,), and their mean squares: for calibration
    line_square: FloatArray
    laeq_dbfs: float | None = None
    lceq_dbfs: float | None = None
    lzeq_dbfs: float | None = None
    lafmax_dbfs: float | None = None
    la10_dbfs: float | None = None
    la50_dbfs: float | None = None
    la90_dbfs: float | None = None
    octaves_dbfs: Mapping[str, float | None] = field(default_factory=dict)
    thirds_dbfs: Mapping[str, float | None] = field(default_factory=dict)
    hum: Hum | None = None
    tones: tuple[Line, ...] = ()  # over the hum's range, up to 16 kHz
    events: tuple[SoundEvent, ...] = ()
    history_dbfs: tuple[float, ...] = ()  # highest fast level of each step
    history_step_s: float = 0.0
    # (columns, rows), twelfth octaves, and (rows + 1,) their edges
    spectrogram_dbfs: FloatArray = field(default_factory=lambda: np.zeros((0, 0)))
    spectrogram_hz: FloatArray = field(default_factory=lambda: np.zeros(0))


def measure(
    blocks: Iterable[Block],
    rate_hz: int,
    channels: int,
    *,
    coding: str = "float",
    bits: int | None = None,
    longest_s: float = 86400.0,
    progress: Callable[[float], None] | None = None,
) -> Measured:
    """Measure a stream of samples.
    blocks:    (frames, channels) each, float32, full scale 1
    coding:    integer (with its bits), float or lossy: how clipping shows
    longest_s: what comes later is not looked at
    progress:  called with the seconds measured so far
    Returns:   levels re full scale without the mean value
    Raises:    OutOfRange naming the argument
    Source:    IEC 61672-1 (weightings by the analogue design formulas, time weighting F), IEC
        61260-1 (bands)
    """
    require("rate_hz", rate_hz, least=1000)
    require("channels", channels, least=1)
    spectrum, fast = SpectrumMeter(rate_hz, channels), FastMeter(rate_hz, channels)
    faults = FaultMeter(rate_hz, channels, rails(coding, bits))
    frames = 0
    for block, mean in _without_mean(
        _cut(blocks, int(longest_s * rate_hz)), faults, rate_hz, channels
    ):
        level = block - mean
        spectrum.push(level)
        fast.push(level)
        frames += len(block)
        if progress is not None:
            progress(frames / rate_hz)
    spectrum.finish()
    fast.finish()
    return _summary(frames, rate_hz, channels, spectrum, fast, faults.faults())


def _cut(blocks: Iterable[Block], most: int) -> Iterator[Block]:
    left = most
    for block in blocks:
        if left <= 0:
            return
        yield block[:left]
        left -= len(block)


def _without_mean(
    blocks: Iterable[Block], faults: FaultMeter, rate_hz: int, channels: int
) -> Iterator[tuple[Block, Block]]:
    """Each block with the mean value to take off it: that of the first seconds, so that no step
    comes in later.
    """
    held: list[Block] = []
    count, mean = 0, None
    for block in blocks:
        good = faults.push(block)
        if mean is not None:
            yield good, mean
            continue
        held.append(good)
        count += len(good)
        if count >= MEAN_S * rate_hz:
            mean = _mean(held)
            for early in held:
                yield early, mean
            held = []
    if mean is None and count:
        mean = _mean(held)
        for early in held:
            yield early, mean


def _mean(held: list[Block]) -> Block:
    total = sum(block.sum(axis=0, dtype=np.float64) for block in held)
    return np.asarray(total / sum(len(block) for block in held), dtype=np.float32)


def _summary(
    frames: int,
    rate_hz: int,
    channels: int,
    spectrum: SpectrumMeter,
    fast: FastMeter,
    faults: Faults,
) -> Measured:
    loudest = float(faults.rms.max())
    live = [
        i
        for i in range(channels)
        if faults.rms[i] > max(SILENT, loudest * 10.0 ** (-DEAD_DB / 20.0))
    ]
    dead = tuple(i for i in range(channels) if i not in live)
    hz, power = spectrum.spectrum()
    duration = frames / rate_hz
    if not live:
        return Measured(
            duration_s=duration,
            rate_hz=rate_hz,
            channels=channels,
            dead=dead,
            faults=faults,
            line_hz=hz,
            line_square=np.zeros(len(hz)),
        )
    line = power[live].mean(axis=0)
    last, high = fast.history()
    level, top = _levels(last[:, live]), _levels(high[:, live])
    step = max(1, round(0.1 / fast.slot_s))
    tenths = _steps(top, step)
    points = max(1, -(-len(tenths) // HISTORY_POINTS))
    columns, edges, column_s = spectrum.spectrogram()
    picture = (
        columns[live].mean(axis=0)[: max(1, round(duration / column_s))]
        if column_s
        else np.zeros((0, 0))
    )
    hummed = hum(hz, line, duration_s=duration)
    picture_of = picture, edges, column_s
    la10, la50, la90 = (float(np.percentile(level, share)) for share in (90.0, 50.0, 10.0))
    return Measured(
        duration_s=duration,
        rate_hz=rate_hz,
        channels=channels,
        dead=dead,
        faults=faults,
        line_hz=hz,
        line_square=line,
        laeq_dbfs=decibels(mean_square(hz, line, "A")),
        lceq_dbfs=decibels(mean_square(hz, line, "C")),
        lzeq_dbfs=decibels(mean_square(hz, line, "Z")),
        lafmax_dbfs=float(top.max()),
        la10_dbfs=la10,
        la50_dbfs=la50,
        la90_dbfs=la90,
        octaves_dbfs=_in_db(octaves(hz, line)),
        thirds_dbfs=_in_db(thirds(hz, line)),
        hum=hummed if hummed is None or _stays(_strongest(hummed), *picture_of) else None,
        tones=tuple(
            tone
            for tone in whines(hz, line, duration_s=duration, beside=hummed)
            if _stays(tone, *picture_of)
        ),
        events=find_events(tenths, step * fast.slot_s),
        history_dbfs=tuple(float(value) for value in _steps(tenths, points)),
        history_step_s=points * step * fast.slot_s,
        spectrogram_dbfs=10.0 * np.log10(np.maximum(picture, 1e-20)),
        spectrogram_hz=edges,
    )


def _in_db(bands: Mapping[str, float | None]) -> dict[str, float | None]:
    return {band: None if square is None else decibels(square) for band, square in bands.items()}


def _strongest(found: Hum) -> Line:
    return max(found.lines, key=lambda line: line.square)


def _stays(line: Line, picture: FloatArray, edges_hz: FloatArray, step_s: float) -> bool:
    """Whether a tone is there all along, and does not come and go as a note or a voice does."""
    if not picture.size:
        return True
    run_s = lasts_s(picture, edges_hz, step_s, line.frequency_hz, line.square)
    return run_s is None or run_s >= min(LASTS_S, LASTS_SHARE * len(picture) * step_s)


def _levels(squares: FloatArray | Block) -> FloatArray:
    """(n,) levels of the mean of the channels; nothing at all stands at -200, far under any
    recorder's floor.
    """
    return np.asarray(10.0 * np.log10(np.maximum(squares.mean(axis=1, dtype=np.float64), 1e-20)))


def _steps(levels: FloatArray, step: int) -> FloatArray:
    count = -(-len(levels) // step)
    return np.asarray(
        np.pad(levels, (0, count * step - len(levels)), mode="edge")
        .reshape(count, step)
        .max(axis=1)
    )
