"""How long a room rings by its recorded bursts, and whether they are good enough to judge by: a
poor one changes nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from scout.calc.sound.decay import Decay

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
    because: str | None
    words: tuple[str, ...]

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
    the mean is taken over the bursts
    that are good in both mid bands.
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
        why = "; ".join(f"{name}: {_fault(bands)}" for name, bands in read)
        return MeasuredRing((), None, f"because no recorded burst is good enough ({why})", ())
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
    words = [
        f"The reverberation is measured, from {_count(len(good))} ({', '.join(name for name, _ in good)}): {mid:.2f} s at 500 Hz and 1 kHz, "
        f"give or take {100 * MEASURED_SHARE:.0f} %, as the room stood and with whoever was in it."
    ]
    if left:
        words.append(
            f"{_count(left).capitalize()} more {'is' if left == 1 else 'are'} not used: the fall could not be read well at 500 Hz and 1 kHz."
        )
    if max(mids) - min(mids) > DISAGREE_SHARE * mid:
        words.append(
            f"The bursts disagree, {min(mids):.2f} to {max(mids):.2f} s: burst again where the subject will be."
        )
    return MeasuredRing(tuple(times), mid, None, tuple(words))


def _fault(bands: dict[int, Decay]) -> str:
    for hz in MID_HZ:
        if hz not in bands:
            return f"nothing could be read at {hz} Hz"
        if not bands[hz].good:
            return f"at {hz} Hz {bands[hz].flags[0] if bands[hz].flags else 'no straight fall could be read'}"
    return "not read"


def _count(bursts: int) -> str:
    return "one burst" if bursts == 1 else f"{bursts} bursts"
