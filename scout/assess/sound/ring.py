"""The reverberation of a room by its recorded bursts, and whether they are good enough to judge by:
a poor one changes nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scout.calc.sound.decay import Decay
from scout.values import Figure, Many, Name, Said, Word, names, said

MID_HZ = (500, 1000)
MEASURED_SHARE = 0.10  # doubt of a few bursts in one place, ISO 3382-2's survey grade (from memory)
DISAGREE_SHARE = 0.20  # bursts of one room further apart than this are said (common practice)


@dataclass(frozen=True)
class Burst:
    """One recorded burst of a room, band by band."""

    name: str
    bands: tuple[Decay, ...]


@dataclass(frozen=True)
class MeasuredRing:
    """What the bursts say. `mid_s` None: none is good at 500 Hz and at 1 kHz, and `because` says
    why not.
    """

    time_s: tuple[tuple[int, float], ...]  # octave [Hz] and mean of the good bursts there
    mid_s: float | None
    because: Said | None
    words: tuple[Said, ...]

    @property
    def range_s(self) -> tuple[float, float] | None:
        """Mid with its doubt."""
        return (
            None
            if self.mid_s is None
            else ((1.0 - MEASURED_SHARE) * self.mid_s, (1.0 + MEASURED_SHARE) * self.mid_s)
        )


def measured_ring(bursts: Sequence[Burst]) -> MeasuredRing | None:
    """The reverberation measured in a room; None where no burst was recorded.

    Counted is a band of a burst whose fall is straight and far enough over the noise (Decay.good);
    the mean is taken over the bursts that are good in both mid bands.
    """
    if not bursts:
        return None
    read = [(burst.name, {band.band_hz: band for band in burst.bands}) for burst in bursts]
    good = [
        (name, bands)
        for name, bands in read
        if all(band in bands and bands[band].good for band in MID_HZ)
    ]
    if not good:
        faults = Many(tuple(_fault(name, bands) for name, bands in read))
        return MeasuredRing((), None, said("burst.none_good", faults=faults), ())
    times: list[tuple[int, float]] = []
    for hz in sorted({hz for _, bands in good for hz in bands}):
        values = [
            time
            for _, bands in good
            if hz in bands and bands[hz].good and (time := bands[hz].time_s) is not None
        ]
        if values:
            times.append((hz, sum(values) / len(values)))
    mids = [sum(bands[hz].time_s or 0.0 for hz in MID_HZ) / len(MID_HZ) for _, bands in good]
    mid = sum(mids) / len(mids)
    left = len(bursts) - len(good)
    notes = [
        said(
            "burst.measured",
            bursts=names(name for name, _ in good),
            mid=Figure(mid, "s"),
            doubt=Figure(100 * MEASURED_SHARE, "%"),
        )
    ]
    if left:
        notes.append(said("burst.left_out", count=left))
    if max(mids) - min(mids) > DISAGREE_SHARE * mid:
        notes.append(said("burst.disagree", mid=Figure(mid, "s", min(mids), max(mids))))
    return MeasuredRing(tuple(times), mid, None, tuple(notes))


def _fault(name: str, bands: Mapping[int, Decay]) -> Said:
    hz = next(hz for hz in MID_HZ if hz not in bands or not bands[hz].good)
    flags = bands[hz].flags if hz in bands else ()
    return said(
        "burst.fault",
        burst=Name(name),
        band=Figure(hz, "Hz"),
        fault=flag_word(flags[0] if flags else "unread"),
    )


def flag_word(flag: str) -> Word | Name:
    """What is odd about a fall; one kept by an older version is its own text."""
    return Name(flag) if " " in flag else Word("decay", flag)
