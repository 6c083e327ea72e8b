"""What a measured recording says: levels where it is calibrated, levels re full scale where not,
and what to beware of.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from scout.assess.sound.hours import steadiness
from scout.assess.sound.noise import TELLS_S
from scout.calc.geometry import require
from scout.calc.sound.events import EventKind
from scout.calc.sound.recording import OFFSET_TELLS, Measured
from scout.calc.sound.spectra import HUM_HIGH_HZ, HUM_LEAST_S
from scout.values import Figure, Many, Said, Word, said

# share of samples at full scale from which the mean level, too, is only "at least" (common
# practice)
CLIPPED_SPOILS = 0.001
SHORT_S = 30.0  # a shorter stretch hardly shows what a room does (common practice)
ZEROS_SPOIL = 0.05
LEAST_SHARE_SAID = 0.001  # a smaller share of clipped samples is said as this
RELATIVE_ONLY = said("recording.relative_only")


@dataclass(frozen=True)
class HumAnswer:
    """`frequency_hz` is the lowest line; `above_floor_db` how far the plainest line stands over 3
    Hz of the noise beside it.
    """

    frequency_hz: float
    above_floor_db: float


@dataclass(frozen=True)
class ToneAnswer:
    """A steady tone over the hum's range."""

    frequency_hz: float
    above_floor_db: float


@dataclass(frozen=True)
class EventAnswer:
    """One rise over the background, and what its run tells of it."""

    start_s: float
    length_s: float
    lafmax_dbfs: float
    lafmax_db: float | None
    above_background_db: float
    kind: EventKind


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
    laeq_range_db: tuple[float, float] | None  # of a recording under 3 s alone
    laeq_dbfs: float | None
    laeq_range_dbfs: tuple[float, float] | None
    lceq_dbfs: float | None
    lafmax_dbfs: float | None
    la10_dbfs: float | None
    la50_dbfs: float | None
    la90_dbfs: float | None
    bands_dbfs: Mapping[str, float | None] | None
    hum: HumAnswer | None
    tones: tuple[ToneAnswer, ...]
    clipped_share: float
    dead_channels: tuple[str, ...]
    duration_s: float
    events: tuple[EventAnswer, ...]
    warnings: tuple[Said, ...]


def recording_answer(
    found: Measured,
    file_warnings: tuple[Said, ...],
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
    swing = laeq_swing(found)
    names = ("laeq", "lceq", "lafmax", "la10", "la50", "la90")
    relative = {f"{name}_dbfs": getattr(found, f"{name}_dbfs") for name in names}
    return RecordingAnswer(
        **{
            f"{name}_db": spl(
                relative[f"{name}_dbfs"], lost=touched if name == "lafmax" else spoilt
            )
            for name in names
        },
        **relative,
        laeq_range_db=None
        if swing is None or calibration_db is None or spoilt
        else (swing[0] + calibration_db, swing[1] + calibration_db),
        laeq_range_dbfs=swing,
        bands_dbfs=bands,
        hum=hum,
        tones=()
        if spoilt
        else tuple(ToneAnswer(line.frequency_hz, line.above_floor_db) for line in found.tones),
        clipped_share=found.faults.clipped_share,
        dead_channels=dead,
        duration_s=found.duration_s,
        events=events,
        warnings=(*file_warnings, *_warnings(found, calibration_db, spoilt, bits)),
    )


def laeq_swing(found: Measured) -> tuple[float, float] | None:
    """Between which levels the mean of a longer recording might have lain: what a recording under
    3 s itself swings over. None of a longer one.
    """
    if found.duration_s >= TELLS_S:
        return None
    levels = (found.laeq_dbfs, found.la90_dbfs, found.la10_dbfs)
    told = [level for level in levels if level is not None]
    return (min(told), max(told)) if told else None


def channel_name(index: int, channels: int) -> str:
    """`left`, `right`, `mono`, or `channel 3`: a key of the answer."""
    if channels == 1:
        return "mono"
    return ("left", "right")[index] if channels == 2 else f"channel {index + 1}"


def _warnings(
    found: Measured, calibration_db: float | None, spoilt: bool, bits: int | None
) -> list[Said]:
    faults = found.faults
    warnings = []
    if faults.bad_samples:
        warnings.append(said("recording.bad_samples", count=faults.bad_samples))
    if found.laeq_dbfs is None:
        return [*warnings, said("recording.silent")]
    if faults.clipped:
        share = Figure(100 * max(faults.clipped_share, LEAST_SHARE_SAID), "%")
        least = None if calibration_db is None else Figure(found.laeq_dbfs + calibration_db, "dBA")
        warnings.append(
            said("recording.spoilt", share=share, least=least)
            if spoilt
            else said("recording.clipped", share=share)
        )
    warnings += [said("recording.dead", channel=i + 1) for i in found.dead]
    offset = max(abs(float(value)) for value in faults.mean)
    if offset >= OFFSET_TELLS:
        warnings.append(said("recording.offset", share=Figure(100 * offset, "%")))
    if faults.dropouts:
        count, lost = faults.dropouts, Figure(faults.dropout_s, "s")
        warnings.append(
            said("recording.drops_low", count=count, lost=lost)
            if faults.dropout_s > ZEROS_SPOIL * found.duration_s
            else said("recording.drops", count=count, lost=lost)
        )
    if bits is not None and found.lzeq_dbfs is not None and found.lzeq_dbfs < -6.02 * bits + 6.0:
        warnings.append(said("recording.floor"))
    if found.duration_s < SHORT_S:
        warnings.append(said("recording.short", lasted=Figure(found.duration_s, "s")))
    if calibration_db is None:
        warnings.append(RELATIVE_ONLY)
    return warnings


def levels_said(answer: Mapping[str, Any], *, calibrated: bool) -> dict[str, Said | Word]:
    """Its levels by their names: in dB where it is calibrated, else re full scale."""
    said_levels: dict[str, Said | Word] = {}
    for name in ("LAeq", "LCeq", "LAFmax", "LA10", "LA50", "LA90"):
        level = answer[f"{name.lower()}_{'db' if calibrated else 'dbfs'}"]
        swing = answer.get(f"{name.lower()}_range_{'db' if calibrated else 'dbfs'}") or ()
        if level is None:
            said_levels[name] = Word("value", "missing")
        elif calibrated:
            said_levels[name] = said("recording.in_db", level=Figure(level, "dB", *swing))
        else:
            said_levels[name] = said("recording.in_dbfs", level=Figure(level, "", *swing))
    return said_levels


def recording_words(answer: Mapping[str, Any], measured: Mapping[str, Any]) -> tuple[Said, ...]:
    """A measured recording in sentences: steadiness, hum, events. Both as they are kept."""
    la10, la90 = answer["la10_dbfs"], answer["la90_dbfs"]
    notes = [
        said("recording.steadiness", way=steadiness(la10, la90), spread=Figure(la10 - la90, "dB"))
    ]
    notes += _hum_words(answer, measured)
    tones = answer.get("tones", ())  # what an older version measured has none
    if tones:
        plainest = max(tones, key=lambda tone: tone["above_floor_db"])
        notes.append(
            said(
                "recording.whine",
                tones=Many(tuple(Figure(tone["frequency_hz"], "Hz") for tone in tones)),
                above=Figure(plainest["above_floor_db"], "dB"),
            )
        )
    if events := answer["events"]:
        loud = max(events, key=lambda event: event["above_background_db"])
        notes.append(
            said(
                "recording.events",
                count=len(events),
                above=Figure(loud["above_background_db"], "dB"),
                at=Figure(loud["start_s"], "s"),
                lasted=Figure(loud["length_s"], "s"),
                kind=Word("sound_event_is", loud["kind"]),
            )
        )
        starts = [event for event in events if event["kind"] == "begins" and event is not loud]
        notes += [said("recording.begins", at=Figure(event["start_s"], "s")) for event in starts]
    return tuple(notes)


def _hum_words(answer: Mapping[str, Any], measured: Mapping[str, Any]) -> list[Said]:
    hum = answer["hum"]
    if hum is None:
        if answer["duration_s"] < HUM_LEAST_S:
            return [said("recording.hum_short", least=Figure(HUM_LEAST_S, "s"))]
        return [said("recording.no_hum")] if measured.get("hum_known", True) else []
    mains = measured["mains_hz"]
    lowest, above = Figure(hum["frequency_hz"], "Hz"), Figure(hum["above_floor_db"], "dB")
    if mains and any(hz > HUM_HIGH_HZ for hz, _ in measured.get("hum_lines", ())):
        return [said("recording.buzz", mains=Figure(mains, "Hz"), lowest=lowest, above=above)]
    source = (
        said("recording.hum_mains", mains=Figure(mains, "Hz"))
        if mains
        else said("recording.hum_other")
    )
    return [said("recording.hum", hum=lowest, above=above, source=source)]
