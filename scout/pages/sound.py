"""A room's sound, all of it: verdicts, advice, recordings, when it is quiet, and its drawings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from scout.assess.answers import RoomAssessment, SoundAnswer, Verdict
from scout.assess.sound.advice import SoundAdvice, advise
from scout.assess.sound.hours import QuietHours, quiet_hours, steadiness
from scout.assess.sound.sound import verdicts
from scout.drawing.charts.sound import history_chart, spectrum_chart
from scout.drawing.lettering import SCREEN_TEXT_MM
from scout.drawing.shapes import Drawing
from scout.media.recordings.recordings import BROWSERS_PLAY
from scout.media.recordings.spectrogram import spectrogram_png
from scout.media.recordings.transcode import write_wav
from scout.packet.content import PacketRecording, PacketSound
from scout.pages import assessing
from scout.records.sounds import NoiseWindowRecord
from scout.store import models
from scout.store.files import write_atomically
from scout.store.queries import places as queries
from scout.usecases import noise_windows, recordings
from scout.usecases.recordings import RecordingLine
from scout.usecases.sheets import sheet_of
from scout.usecases.shown import Kept
from scout.usecases.work import Work

SCREEN_MM = 130.0
PLAYED_AS_WAV = "audio/wav"


@dataclass(frozen=True)
class SoundPage:
    """What the sound page of a room shows."""

    answer: SoundAnswer
    verdicts: tuple[Verdict, ...]
    advice: SoundAdvice
    hours: QuietHours
    windows: tuple[Kept[NoiseWindowRecord], ...]
    recordings: tuple[RecordingLine, ...]


def sound_page(
    work: Work, room_id: int, on: date, *, production_id: int | None = None
) -> SoundPage:
    """Everything said of a room's sound on one date, with the kit of a production. Raises NotFound."""
    row = queries.room(work.db, room_id)
    found = assessing.assess_room(work, room_id, on, production_id=production_id)
    sheet = sheet_of(
        work,
        row,
        production_id if production_id is not None else assessing.production_of(work, room_id),
    )
    windows = noise_windows.noise_windows(work, row.location_id)
    hours = quiet_hours(sheet.room, [window.record for window in windows], on, found.timezone)
    return SoundPage(
        found.sound,
        verdicts(found.sound),
        advise(sheet, found.sound, found.fit, assessing.ring_of(work, room_id)),
        hours,
        windows,
        recordings.recordings(work, room_id),
    )


def for_packet(
    work: Work, row: models.Room, on: date, found: RoomAssessment, production_id: int | None
) -> PacketSound:
    """What the packet says of a room's sound beside its readings."""
    sheet = sheet_of(work, row, production_id)
    windows = [window.record for window in noise_windows.noise_windows(work, row.location_id)]
    hours = quiet_hours(sheet.room, windows, on, found.timezone)
    heard = tuple(
        _printed(line)
        for line in recordings.recordings(work, row.id)
        if line.record.purpose != "tone"
    )
    return PacketSound(
        advice=advise(sheet, found.sound, found.fit, assessing.ring_of(work, row.id)),
        hours=hours,
        recordings=heard,
    )


def _printed(line: RecordingLine) -> PacketRecording:
    if line.record.purpose == "burst" and line.measured is not None:
        read = [
            f"{d['band_hz']} Hz {(d['t30_s'] or d['t20_s']):.2f} s"
            for d in line.measured["decays"]
            if d["t30_s"] or d["t20_s"]
        ]
        return PacketRecording(
            name=line.original_name,
            level="a burst",
            conditions=line.record.conditions,
            shows=f"the room rings: {', '.join(read)}"
            if read
            else "how the room rings could not be read from it",
        )
    return PacketRecording(
        name=line.original_name,
        level=line.level_words,
        conditions=line.record.conditions,
        shows=" ".join(words_of(line)) or None,
    )


def charts(line: RecordingLine) -> Mapping[str, Drawing]:
    """The drawings of one measured recording: `history` and `spectrum`; none while it is not
    measured.
    """
    if line.measured is None or line.answer is None or line.answer["laeq_dbfs"] is None:
        return {}
    add = line.record.calibration_db
    unit, offset = ("dBA", add) if add is not None else ("dBFS(A)", 0.0)
    events = [
        (event["start_s"], event["length_s"], event["kind"]) for event in line.answer["events"]
    ]
    history = history_chart(
        [level + offset for level in line.measured["history_dbfs"]],
        line.measured["history_step_s"],
        unit=unit,
        name=line.original_name,
        events=events,
        la90_db=line.answer["la90_dbfs"] + offset,
        width_mm=SCREEN_MM,
        text_mm=SCREEN_TEXT_MM,
    )
    thirds = {
        band: None if level is None else level + offset
        for band, level in line.measured["thirds_dbfs"].items()
    }
    tones = [hz for hz, _ in line.measured["hum_lines"]][:3]
    spectrum = spectrum_chart(
        thirds,
        unit="dB" if add is not None else "dBFS",
        name=f"third octaves, {line.original_name}",
        marked_hz=tones,
        width_mm=SCREEN_MM,
        text_mm=SCREEN_TEXT_MM,
    )
    return {"history": history, "spectrum": spectrum}


def spectrogram(work: Work, key: int) -> bytes:
    """A recording's spectrogram as PNG. Raises NotFound."""
    line = recordings.recording(work, key)
    return spectrogram_png(line.measured["spectrogram_dbfs"] if line.measured else [])


def playable(work: Work, key: int) -> tuple[Path, str]:
    """A file that a browser plays, and its kind: the original where it does, else its first ten
    minutes as WAV, made once.
    """
    path, name, mime = recordings.original(work, key)
    if mime in BROWSERS_PLAY:
        return path, mime
    copy = work.settings.cache_dir / "recordings" / f"{path.name}.wav"
    if not copy.is_file():
        write_atomically(copy, lambda file: write_wav(path, file, name=name))
    return copy, PLAYED_AS_WAV


def words_of(line: RecordingLine) -> tuple[str, ...]:
    """A measured recording in sentences: steadiness, hum, events."""
    answer: Mapping[str, Any] | None = line.answer
    if answer is None or answer["laeq_dbfs"] is None or line.measured is None:
        return ()
    if line.record.purpose == "tone":
        return (
            f"The calibrator's tone lies at {line.measured['tone_dbfs']:.1f} dBFS: other recordings of this device can be calibrated by it.",
        )
    if line.record.purpose == "burst":
        return ()  # what matters of a burst is how it falls, which has a table of its own
    spread = answer["la10_dbfs"] - answer["la90_dbfs"]
    words = [
        f"The sound is {steadiness(answer['la10_dbfs'], answer['la90_dbfs'])}: the loud tenth stands {spread:.0f} dB over the quiet tenth."
    ]
    if answer["hum"] is not None:
        mains = line.measured["mains_hz"]
        source = (
            f"the mains ({mains:.0f} Hz) or a multiple: a transformer, a ballast, a fridge or a cable"
            if mains
            else "no multiple of the mains: a compressor, a pump or a fan"
        )
        words.append(
            f"It hums at {answer['hum']['frequency_hz']:.1f} Hz, {answer['hum']['above_floor_db']:.0f} dB over the noise beside it: {source}. "
            "Find it and switch it off; a notch filter takes the lines out of a voice afterwards, not the rest."
        )
    elif line.measured.get("hum_known", True):
        words.append("Nothing hums between 22 and 420 Hz.")
    events = answer["events"]
    if events:
        loud = max(events, key=lambda event: event["above_background_db"])
        words.append(
            f"{len(events)} event{'s' if len(events) > 1 else ''} rise{'' if len(events) > 1 else 's'} over the background, the strongest "
            f"{loud['above_background_db']:.0f} dB at {loud['start_s']:.0f} s for {loud['length_s']:.1f} s."
        )
    return tuple(words)
