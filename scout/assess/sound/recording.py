"""What a measured recording says: levels where it is calibrated, levels re full scale where not,
and what to beware of.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from scout.calc.geometry import require
from scout.calc.sound.recording import OFFSET_TELLS, Measured

# share of samples at full scale from which the mean level, too, is only "at least" (common
# practice)
CLIPPED_SPOILS = 0.001
SHORT_S = 30.0  # a shorter stretch hardly shows what a room does (common practice)
ZEROS_SPOIL = 0.05
RELATIVE_ONLY = (
    "Levels are relative only (dB re full scale): no calibration is given. Record a calibrator on the same device, or read a meter beside it, "
    "to have levels in dB."
)


@dataclass(frozen=True)
class HumAnswer:
    """`frequency_hz` is the lowest line; `above_floor_db` how far the plainest line stands over 3
    Hz of the noise beside it.
    """

    frequency_hz: float
    above_floor_db: float


@dataclass(frozen=True)
class EventAnswer:
    """One rise over the background."""

    start_s: float
    length_s: float
    lafmax_dbfs: float
    lafmax_db: float | None
    above_background_db: float
    kind: str  # short (a door, a knock) or passing (a vehicle, a plane)


@dataclass(frozen=True)
class RecordingAnswer:
    """What `scout recording` prints. Levels are the mean of the channels that live, the mean value
    (0 Hz) left out.
    """

    laeq_db: float | None
    lceq_db: float | None
    lafmax_db: float | None
    la10_db: float | None
    la50_db: float | None
    la90_db: float | None
    laeq_dbfs: float | None
    lceq_dbfs: float | None
    lafmax_dbfs: float | None
    la10_dbfs: float | None
    la50_dbfs: float | None
    la90_dbfs: float | None
    bands_dbfs: Mapping[str, float | None] | None
    hum: HumAnswer | None
    clipped_share: float
    dead_channels: tuple[str, ...]
    duration_s: float
    events: tuple[EventAnswer, ...]
    warnings: tuple[str, ...]


def recording_answer(
    found: Measured,
    file_warnings: tuple[str, ...],
    calibration_db: float | None,
    *,
    bits: int | None = None,
) -> RecordingAnswer:
    """The answer for one recording.

    file_warnings: what reading the file brought up; calibration_db: what to add to dBFS to get
        dB SPL, None when not known;
    bits: of an integer sample, for the recorder's own floor. Raises OutOfRange for a
        calibration that is no number.
    """
    if calibration_db is not None:
        require("calibration_db", calibration_db, least=-50, most=250)
    spoilt = found.faults.clipped and found.faults.clipped_share > CLIPPED_SPOILS
    touched = found.faults.clipped

    def spl(level: float | None, *, lost: bool = spoilt) -> float | None:
        return None if level is None or calibration_db is None or lost else level + calibration_db

    dead = tuple(channel_name(i, found.channels) for i in found.dead)
    bands = {band: level for band, level in found.octaves_dbfs.items() if level is not None} or None
    # what is cut off at full scale makes lines of its own, which no one could tell from a hum
    hum = (
        None
        if found.hum is None or spoilt
        else HumAnswer(found.hum.frequency_hz, found.hum.above_floor_db)
    )
    events = tuple(
        EventAnswer(
            event.start_s,
            event.length_s,
            event.lafmax_db,
            spl(event.lafmax_db, lost=touched),
            event.above_background_db,
            event.kind,
        )
        for event in found.events
    )
    return RecordingAnswer(
        spl(found.laeq_dbfs),
        spl(found.lceq_dbfs),
        spl(found.lafmax_dbfs, lost=touched),
        spl(found.la10_dbfs),
        spl(found.la50_dbfs),
        spl(found.la90_dbfs),
        found.laeq_dbfs,
        found.lceq_dbfs,
        found.lafmax_dbfs,
        found.la10_dbfs,
        found.la50_dbfs,
        found.la90_dbfs,
        bands,
        hum,
        found.faults.clipped_share,
        dead,
        found.duration_s,
        events,
        (*file_warnings, *_warnings(found, dead, calibration_db, spoilt, bits)),
    )


def channel_name(index: int, channels: int) -> str:
    """`left`, `right`, `mono`, or `channel 3`."""
    if channels == 1:
        return "mono"
    return ("left", "right")[index] if channels == 2 else f"channel {index + 1}"


def _warnings(
    found: Measured,
    dead: tuple[str, ...],
    calibration_db: float | None,
    spoilt: bool,
    bits: int | None,
) -> list[str]:
    faults = found.faults
    words: list[str] = []
    if faults.bad_samples:
        words.append(f"{faults.bad_samples} samples are no numbers (damaged) and count as nothing.")
    if found.duration_s == 0:
        return [*words, "The file holds no samples: nothing was recorded, so there is no level."]
    if found.laeq_dbfs is None:
        return [
            *words,
            "No signal was recorded (digital silence), so there is no level; check the microphone and its permission.",
        ]
    if faults.clipped:
        share = (
            f"{100 * faults.clipped_share:.1f} %"
            if faults.clipped_share >= 0.0005
            else "under 0.1 %"
        )
        least = (
            ""
            if calibration_db is None
            else f": at least {found.laeq_dbfs + calibration_db:.1f} dB(A)"
        )
        words.append(
            f"The recording is clipped: {share} of its samples stand at full scale"
            + (
                f", so the level is not known{least}."
                if spoilt
                else "; the highest levels are only lower bounds."
            )
        )
        if spoilt:
            words.append(
                "Whether the room hums is not known either: clipping makes tones of its own."
            )
    if dead:
        one = len(dead) == 1
        words.append(
            f"The {' and '.join(dead)} channel{'' if one else 's'} {'is' if one else 'are'} silent; levels are those of the channels that live."
        )
    offset = max(abs(float(value)) for value in faults.mean)
    if offset >= OFFSET_TELLS:
        words.append(
            f"The signal has an offset of {100 * offset:.1f} % of full scale (direct current); it is not counted as sound."
        )
    if faults.dropouts:
        times = "once" if faults.dropouts == 1 else f"{faults.dropouts} times"
        words.append(
            f"The sound drops out {times}, {faults.dropout_s:.2f} s in all"
            + (
                "; the levels read too low."
                if faults.dropout_s > ZEROS_SPOIL * found.duration_s
                else "."
            )
        )
    if bits is not None and found.lzeq_dbfs is not None and found.lzeq_dbfs < -6.02 * bits + 6.0:
        words.append(
            "The signal is near the recorder's own floor: the room is at most this loud. Turn the recording level up."
        )
    if found.duration_s < SHORT_S:
        words.append(
            f"Only {found.duration_s:.1f} s were recorded; a minute shows what a room does."
        )
    if calibration_db is None:
        words.append(RELATIVE_ONLY)
    return words
