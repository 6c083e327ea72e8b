"""A room's sound, all of it: verdicts, advice, recordings, when it is quiet, and its drawings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from scout.assess.answers import Act, Finding, RoomAssessment, SoundAnswer, worst_first
from scout.assess.setup import Setup
from scout.assess.sound.advice import SoundAdvice, advise
from scout.assess.sound.findings import SWITCHING, findings
from scout.assess.sound.hours import QuietHours, quiet_hours, window_said
from scout.assess.sound.recording import recording_words
from scout.assess.sound.sound import sound
from scout.drawing.charts.sound import history_chart, spectrum_chart
from scout.drawing.lettering import SCREEN_TEXT_MM, SCREEN_WIDE_MM
from scout.drawing.shapes import Drawing
from scout.media.recordings.recordings import BROWSERS_PLAY
from scout.media.recordings.spectrogram import spectrogram_png
from scout.media.recordings.transcode import write_wav
from scout.packet.figures.content import PacketRecording, PacketSound
from scout.pages import assessing
from scout.records.sounds import NoiseWindowRecord
from scout.store import models
from scout.store.files import Held, write_atomically
from scout.store.queries import places as queries
from scout.usecases import noise_windows, recordings
from scout.usecases.recordings import RecordingLine
from scout.usecases.sheets import sheet_of
from scout.usecases.shown import Kept
from scout.usecases.work import Work
from scout.values import Figure, Many, Said, Word, said, words

PLAYED_AS_WAV = "audio/wav"


@dataclass(frozen=True)
class SoundPage:
    """What the sound page of a room shows."""

    answer: SoundAnswer
    findings: tuple[Finding, ...]
    advice: SoundAdvice
    hours: QuietHours
    windows: tuple[ShownWindow, ...]
    recordings: tuple[RecordingLine, ...]
    off: tuple[Act, ...]  # what is to be switched off, each once


@dataclass(frozen=True)
class ShownWindow:
    """A noise that comes back, with its days."""

    kept: Kept[NoiseWindowRecord]
    noise: Said
    days: Many | None  # None: every day


def sound_page(
    work: Work, room_id: int, on: date, *, production_id: int | None = None
) -> SoundPage:
    """Everything said of a room's sound on one date, with the kit of a production. Raises NotFound."""
    row = queries.room(work.db, room_id)
    found = assessing.assess_room(work, room_id, on, production_id=production_id)
    if production_id is None:
        production_id = assessing.production_of(work, room_id)
    setup = _setup(work, row, on, production_id)
    heard = sound(setup)
    kept = noise_windows.noise_windows(work, row.location_id)
    judged = worst_first(findings(setup, replace(found, sound=heard)))
    return SoundPage(
        heard,
        judged,
        advise(setup, heard, found.fit),
        quiet_hours(setup.sheet.room, setup.noises, on, found.timezone),
        tuple(
            ShownWindow(
                window,
                window_said(window.record),
                words("weekday", window.record.days) if window.record.days else None,
            )
            for window in kept
        ),
        recordings.recordings(work, room_id),
        tuple(dict.fromkeys(act for one in judged for act in one.acts if act.code in SWITCHING)),
    )


def _setup(work: Work, row: models.Room, on: date, production_id: int | None) -> Setup:
    windows = noise_windows.noise_windows(work, row.location_id)
    return Setup(
        sheet_of(work, row, production_id),
        on,
        noises=tuple(window.record for window in windows),
        ring=assessing.ring_of(work, row.id),
    )


def for_packet(
    work: Work, row: models.Room, on: date, found: RoomAssessment, production_id: int | None
) -> PacketSound:
    """What the packet says of a room's sound beside its readings."""
    setup = _setup(work, row, on, production_id)
    heard = tuple(
        _printed(line)
        for line in recordings.recordings(work, row.id)
        if line.record.purpose != "tone"
    )
    return PacketSound(
        advice=advise(setup, found.sound, found.fit),
        hours=quiet_hours(setup.sheet.room, setup.noises, on, found.timezone),
        recordings=heard,
    )


def _printed(line: RecordingLine) -> PacketRecording:
    burst = line.record.purpose == "burst" and line.measured is not None
    return PacketRecording(
        name=line.original_name,
        level=said("recording.burst") if burst else line.level_words,
        conditions=line.record.conditions,
        shows=(bands_of(line),) if burst else words_of(line),
    )


def bands_of(line: RecordingLine) -> Said:
    """The reverb that a burst shows, band by band."""
    bands = tuple(
        said("recording.band", band=Figure(fall["band_hz"], "Hz"), time=Figure(time, "s"))
        for fall in (line.measured or {}).get("decays", ())
        if (time := fall["t30_s"] or fall["t20_s"])
    )
    return (
        said("recording.bands", bands=Many(bands, "list")) if bands else said("recording.no_bands")
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
        (event["start_s"], event["length_s"], Word("sound_event", event["kind"]))
        for event in line.answer["events"]
    ]
    history = history_chart(
        [level + offset for level in line.measured["history_dbfs"]],
        line.measured["history_step_s"],
        unit=unit,
        name=line.original_name,
        events=events,
        la90_db=line.answer["la90_dbfs"] + offset,
        width_mm=SCREEN_WIDE_MM,
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
        name=line.original_name,
        marked_hz=tones,
        width_mm=SCREEN_WIDE_MM,
        text_mm=SCREEN_TEXT_MM,
    )
    return {"history": history, "spectrum": spectrum}


def spectrogram(work: Work, key: int) -> bytes:
    """A recording's spectrogram as PNG. Raises NotFound."""
    line = recordings.recording(work, key)
    return spectrogram_png(line.measured["spectrogram_dbfs"] if line.measured else [])


def playable(work: Work, key: int) -> tuple[Held | Path, str]:
    """A file that a browser plays, and its kind: the original where it does, else its first ten
    minutes as WAV, made once.
    """
    held, name, mime = recordings.original(work, key)
    if mime in BROWSERS_PLAY:
        return held, mime
    path = held.local()
    copy = work.settings.cache_dir / "recordings" / f"{path.name}.wav"
    if not copy.is_file():
        write_atomically(copy, lambda file: write_wav(path, file, name=name))
    return copy, PLAYED_AS_WAV


def words_of(line: RecordingLine) -> tuple[Said, ...]:
    """A measured recording in sentences: steadiness, hum, events."""
    answer = line.answer
    if answer is None or answer["laeq_dbfs"] is None or line.measured is None:
        return ()
    if line.record.purpose == "tone":
        return (said("recording.tone", level=Figure(line.measured["tone_dbfs"])),)
    if line.record.purpose == "burst":
        return ()  # what matters of a burst is how it falls, which has a table of its own
    return recording_words(answer, line.measured)
