"""A recording's file opened and measured, with how far it is told on the way."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from scout.calc.sound.decay import Decay, decays
from scout.calc.sound.recording import Measured, measure
from scout.calc.sound.stream import MOST_SAMPLE
from scout.errors import Refused
from scout.media.recordings.recordings import LONGEST_S, open_recording
from scout.values import Figure, Said, said

BURST_MOST_S = 60.0


@dataclass(frozen=True)
class Heard:
    """What came out of a file."""

    measured: Measured
    warnings: tuple[Said, ...]  # of reading the file
    mime: str
    bits: int | None
    rate_told: bool = True  # else the rate is taken, and no frequency can be relied on


def listen(
    path: Path, *, name: str | None = None, progress: Callable[[float, float], None] | None = None
) -> Heard:
    """Measure a recording. Raises Refused for what has no sound that can be read.

    progress: called with the seconds measured and the seconds there are thought to be
    """
    with open_recording(path, name=name) as recording:
        of = recording.said_s or 0.0
        tell = None if progress is None else (lambda at: progress(at, max(at, of)))
        found = measure(
            recording.blocks,
            recording.rate_hz,
            recording.channels,
            coding=recording.coding,
            bits=recording.bits,
            longest_s=LONGEST_S,
            progress=tell,
        )
        if not recording.rate_told:
            found = replace(found, hum=None, tones=())
        cut = (
            (said("file.longest", most=Figure(LONGEST_S / 3600, "h")),)
            if found.duration_s >= LONGEST_S
            else ()
        )
        return Heard(
            found, (*recording.warnings, *cut), recording.mime, recording.bits, recording.rate_told
        )


def listen_burst(path: Path, *, name: str | None = None) -> tuple[Decay, ...]:
    """How a room rings, from a recorded burst; the first minute of the file's loudest channel.
    Raises Refused.
    """
    with open_recording(path, name=name) as recording:
        if not recording.rate_told:
            raise Refused("file", name or path.name, said("refusal.burst_rate_lost"))
        most, parts = int(BURST_MOST_S * recording.rate_hz), []
        for block in recording.blocks:
            parts.append(block)
            most -= len(block)
            if most <= 0:
                break
        if not parts:
            raise Refused("file", name or path.name, said("refusal.no_signal"))
        with np.errstate(invalid="ignore"):  # a signalling not-a-number of a damaged float
            samples = np.concatenate(parts).astype(np.float64)
        samples[~(np.abs(samples) <= MOST_SAMPLE)] = 0.0
        return decays(samples[:, int(np.argmax((samples**2).sum(axis=0)))], recording.rate_hz)
