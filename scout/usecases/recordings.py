"""Recordings of a room: the file kept byte for byte, measured beside the requests, calibrated, and
made into readings.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from copy import deepcopy
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import Any, BinaryIO

import numpy as np
from sqlalchemy import select

from scout.assess.answers import as_json
from scout.assess.sound.recording import CLIPPED_SPOILS, RELATIVE_ONLY, recording_answer
from scout.calc.sound.calibration import tone_offset_db
from scout.calc.sound.spectra import HUM_LEAST_S
from scout.errors import NotFound, Refused
from scout.media.recordings.recordings import open_recording
from scout.records.sheet import BANDS_HZ, NoiseReading
from scout.records.sounds import RecordingRecord
from scout.store import models, translate
from scout.store.files import Held
from scout.store.queries import common, sounds
from scout.usecases import keeping, rooms
from scout.usecases.listening import Heard, listen, listen_burst
from scout.usecases.notes import owner_of
from scout.usecases.roles import reads_as
from scout.usecases.shown import Kept
from scout.usecases.work import Work
from scout.values import Figure, Name, Said, Value, Word, plain_value, said

SPECTROGRAM_COLUMNS = 240
CALIBRATOR_DB = 94.0
LABEL_MOST = 1000
FAINTEST_DB = -50.0


@dataclass(frozen=True)
class RecordingLine:
    """A recording as it is shown. `answer` holds the keys of `scout recording`, calibrated as the
    recording is.
    """

    id: int
    version: int
    room_id: int
    original_name: str
    mime: str
    bytes: int
    record: RecordingRecord
    state: str
    because: Said | Name | None
    answer: Mapping[str, Any] | None
    measured: Mapping[str, Any] | None

    @property
    def level_words(self) -> Said:
        """Its level, re full scale where it is not calibrated, or why there is none."""
        if self.record.purpose == "memo":
            return said("recording.memo")
        if self.state == "failed":
            return said("recording.failed")
        if self.state != "done" or self.answer is None:
            return said("recording.waiting")
        level = self.answer["laeq_db"]
        if level is not None:
            return said("recording.level", laeq=Figure(level, "dBA"))
        level = self.answer["laeq_dbfs"]
        if level is None:
            return said("recording.no_signal")
        if self.answer["clipped_share"] > CLIPPED_SPOILS:
            return said("recording.relative_clipped", level=Figure(round(level)))
        return said("recording.relative", level=Figure(round(level)))


def add_recording(
    work: Work, room_id: int, stream: BinaryIO, name: str, record: RecordingRecord | None = None
) -> int:
    """Keep a recording of a room, to be measured unless it is a memo. Raises NotFound, or Refused for
    what has no sound we read or is too large, or a memo of somebody who may not listen to those.

    The original is on disk before the row that names it; a refused file leaves nothing behind.
    """
    owner_of(work, "room", room_id)
    record = record or RecordingRecord()
    if record.purpose == "memo" and work.who is not None and reads_as(work.who.role) is not None:
        raise Refused("purpose", record.purpose, said("kept.memo_for_team"))
    # copying takes as long as the file is large: nobody else's save should wait for it
    work.db.rollback()
    safe = _file_name(name)
    stored = work.files.put(stream, most_bytes=work.settings.max_recording_bytes, name=safe)
    try:
        with open_recording(stored.path, name=safe) as opened:
            mime = opened.mime
        owner_of(work, "room", room_id)  # it may have been deleted meanwhile
    except (Refused, NotFound):
        _forget_unused(work, stored.sha256)
        raise
    row = models.Recording(
        room_id=room_id,
        sha256=stored.sha256,
        bytes=stored.bytes,
        original_name=safe,
        mime=mime,
        state=_begun(record),
        because=None,
        measured=None,
    )
    translate.fill(row, record)
    work.add(row, f"recording {safe} added")
    work.commit()
    return row.id


def _begun(record: RecordingRecord) -> str:
    return "done" if record.purpose == "memo" else "waiting"


def _file_name(name: str) -> str:
    base = PurePosixPath(name.replace("\\", "/")).name
    tidy = "".join(ch for ch in base if ch.isprintable() and not "\ud800" <= ch <= "\udfff").strip()
    return tidy[-200:] or "recording"


def _forget_unused(work: Work, sha256: str) -> None:
    named = (models.Photo.sha256, models.Recording.sha256)
    if all(
        work.db.scalar(select(column).where(column == sha256).limit(1)) is None for column in named
    ):
        work.files.remove(sha256)


def measure_recording(
    work: Work, key: int, progress: Callable[[int, int], None] | None = None
) -> None:
    """Measure a kept recording and keep what was found; what cannot be measured is kept as failed,
    with the reason.
    """
    row = common.one(work.db, models.Recording, key)
    if row.state == "done" and row.purpose == "memo":
        return
    tell = None if progress is None else (lambda at, of: progress(int(at), int(of)))
    try:
        heard = listen(work.files.get(row.sha256), name=row.original_name, progress=tell)
        found = measured_plain(heard)
        if row.purpose == "burst":
            found["decays"] = as_json(
                listen_burst(work.files.get(row.sha256), name=row.original_name)
            )
        if row.purpose == "tone":
            found["tone_dbfs"] = CALIBRATOR_DB - tone_offset_db(heard.measured, CALIBRATOR_DB)
    except Refused as refusal:
        because = refusal.because
        row.state = "failed"
        row.because = (
            json.dumps(plain_value(because)) if isinstance(because, Said) else str(because)
        )
    else:
        row.state, row.because, row.measured = "done", None, found
    work.changed(row, f"recording {row.original_name} measured")
    work.commit()


def measured_plain(heard: Heard) -> dict[str, Any]:
    """What is kept of a measurement: levels re full scale with their warnings, history, third
    octaves, and a small spectrogram.
    """
    found = heard.measured
    measured = recording_answer(found, heard.warnings, None, bits=heard.bits)
    answer = as_json(measured) | {"warnings": [plain_value(one) for one in measured.warnings]}
    picture, hz = found.spectrogram_dbfs, found.spectrogram_hz
    if picture.size:
        joined = max(1, -(-picture.shape[0] // SPECTROGRAM_COLUMNS))
        count = -(-picture.shape[0] // joined)
        powers = np.pad(
            10.0 ** (picture / 10.0), ((0, count * joined - picture.shape[0]), (0, 0)), mode="edge"
        )
        picture = 10.0 * np.log10(np.maximum(powers.reshape(count, joined, -1).mean(axis=1), 1e-20))
    return {
        "answer": answer,
        "thirds_dbfs": as_json(found.thirds_dbfs),
        "rate_hz": found.rate_hz,
        "channels": found.channels,
        "bits": heard.bits,
        "history_dbfs": [round(level, 1) for level in found.history_dbfs],
        "history_step_s": found.history_step_s,
        "spectrogram_dbfs": np.round(picture).astype(int).tolist() if picture.size else [],
        "spectrogram_hz": [round(float(f), 1) for f in hz],
        "clipped": bool(found.faults.clipped),
        "hum_known": heard.rate_told
        and found.duration_s >= HUM_LEAST_S
        and not (found.faults.clipped and found.faults.clipped_share > CLIPPED_SPOILS),
        "hum_lines": []
        if found.hum is None
        else [
            [round(line.frequency_hz, 2), round(line.above_floor_db, 1)] for line in found.hum.lines
        ],
        "mains_hz": None if found.hum is None else found.hum.mains_hz,
    }


def calibrated(measured: Mapping[str, Any], calibration_db: float | None) -> dict[str, Any]:
    """The kept answer with its levels in dB SPL, where there is a calibration and clipping has not
    spoilt them.
    """
    answer: dict[str, Any] = deepcopy(measured["answer"])
    answer["warnings"] = [said_again(kept) for kept in answer["warnings"]]
    if calibration_db is None:
        return answer
    spoilt = measured["clipped"] and answer["clipped_share"] > CLIPPED_SPOILS
    for name in ("laeq", "lceq", "lafmax", "la10", "la50", "la90"):
        level = answer[f"{name}_dbfs"]
        lost = spoilt or (name == "lafmax" and measured["clipped"])
        answer[f"{name}_db"] = None if level is None or lost else level + calibration_db
    swing = answer.get("laeq_range_dbfs")
    if swing is not None and not spoilt:
        answer["laeq_range_db"] = [level + calibration_db for level in swing]
    for event in answer["events"]:
        event["lafmax_db"] = None if measured["clipped"] else event["lafmax_dbfs"] + calibration_db
    answer["warnings"] = [one for one in answer["warnings"] if one != RELATIVE_ONLY]
    if spoilt:
        least = Figure(answer["laeq_dbfs"] + calibration_db, "dBA")
        answer["warnings"].append(said("recording.at_least", least=least))
    return answer


def said_again(kept: Any) -> Said | Name:
    """A message as `plain_value` kept it; a sentence that an older version kept is its own text."""
    if not isinstance(kept, dict):
        return Name(str(kept))
    inside = {name: _value_again(value) for name, value in kept.get("figures", {}).items()}
    return Said(kept["value"], tuple(inside.items()))


def _value_again(kept: Mapping[str, Any]) -> Value:
    value, unit = kept["value"], kept["unit"]
    if unit == "code":
        return said_again(kept)
    if isinstance(value, str):
        return Word(unit, value)
    return value if unit == "count" else Figure(value, unit)


def line(row: models.Recording) -> RecordingLine:
    """A recording as it is shown."""
    record: RecordingRecord = translate.to_record(row)
    answer = None if row.measured is None else calibrated(row.measured, row.calibration_db)
    return RecordingLine(
        row.id,
        row.version,
        row.room_id,
        row.original_name,
        row.mime,
        row.bytes,
        record,
        row.state,
        _because(row.because),
        answer,
        row.measured,
    )


def _because(kept: str | None) -> Said | Name | None:
    if kept is None or not kept.startswith("{"):
        return None if kept is None else Name(kept)
    return said_again(json.loads(kept))


def recordings(work: Work, room_id: int, *, memos: bool = False) -> tuple[RecordingLine, ...]:
    """A room's recordings, or its memos, oldest first. Raises NotFound."""
    owner_of(work, "room", room_id)
    return tuple(line(row) for row in sounds.recordings(work.db, room_id, memos=memos))


def recording(work: Work, key: int) -> RecordingLine:
    """One recording. Raises NotFound."""
    return line(_living(work, key))


def _living(work: Work, key: int) -> models.Recording:
    row = common.one(work.db, models.Recording, key)
    owner_of(work, "room", row.room_id)
    return row


def recording_kept(work: Work, key: int) -> Kept[RecordingRecord]:
    """What people say of a recording, with its version."""
    row = _living(work, key)
    return keeping.shown(row, translate.to_record(row))


def save_recording(work: Work, key: int, version: int, record: RecordingRecord) -> None:
    """Save what is said of a recording; another purpose has it measured again."""
    _living(work, key)
    row = common.one(work.db, models.Recording, key, to_save=True)
    was = translate.plain_of(row, RecordingRecord)
    keeping.compare_version(row, version, record, was, "recording")
    if row.purpose != record.purpose:
        row.state, row.measured, row.because = _begun(record), None, None
    translate.fill(row, record)
    work.changed(row, "recording changed")
    work.commit()


def calibrate_by_meter(work: Work, key: int, version: int, laeq_db: float) -> None:
    """Calibrate a recording from a meter that read LAeq beside the device meanwhile. Raises Refused
    where there is no level to compare.
    """
    if not 0 <= laeq_db <= 140:
        raise Refused("meter_laeq_db", laeq_db, _not_between(0, 140))
    row = _living(work, key)
    answer = row.measured["answer"] if row.measured else None
    if answer is None or answer["laeq_dbfs"] is None or (row.measured or {}).get("clipped"):
        raise Refused("meter_laeq_db", laeq_db, said("refusal.not_comparable"))
    _calibrate(
        work,
        row,
        version,
        laeq_db - answer["laeq_dbfs"],
        str(said("recording.by_meter", laeq=Figure(laeq_db, "dBA"))),
    )


def calibrate_by_tone(
    work: Work, key: int, version: int, tone_key: int, level_db: float = CALIBRATOR_DB
) -> None:
    """Calibrate a recording from one of a calibrator's tone, made with the same device and the same
    settings.
    """
    tone = _living(work, tone_key)
    if tone.purpose != "tone" or not tone.measured or tone.measured.get("tone_dbfs") is None:
        raise Refused("tone", tone.original_name, said("refusal.no_tone"))
    if not 60 <= level_db <= 140:
        raise Refused("level_db", level_db, _not_between(60, 140))
    _calibrate(
        work,
        _living(work, key),
        version,
        level_db - tone.measured["tone_dbfs"],
        str(said("recording.by_tone", level=Figure(level_db, "dB"), name=Name(tone.original_name))),
    )


def _not_between(least: float, most: float) -> Said:
    return said("refusal.not_between", least=Figure(least, "dB"), most=Figure(most, "dB"))


def _calibrate(work: Work, row: models.Recording, version: int, offset_db: float, how: str) -> None:
    record: RecordingRecord = translate.to_record(row)
    save_recording(
        work,
        row.id,
        version,
        record.model_copy(update={"calibration_db": offset_db, "calibration_by": how}),
    )


def make_reading(work: Work, key: int) -> str:
    """Write a calibrated recording among the room's noise readings, where every verdict sees it;
    returns the reading's label.
    """
    row = _living(work, key)
    shown = line(row)
    if shown.answer is None or shown.answer["laeq_db"] is None or row.calibration_db is None:
        raise Refused("recording", row.original_name, said("refusal.no_recording_level"))
    if row.purpose != "room":
        raise Refused("recording", row.original_name, said("refusal.not_empty_room"))
    taken = {reading.id for reading in rooms.room(work, row.room_id).kept.record.noise or ()}
    label = next(f"N{n}" for n in range(1, LABEL_MOST) if f"N{n}" not in taken)
    bands = {
        band: round(level + row.calibration_db, 1)
        for band, level in (shown.answer["bands_dbfs"] or {}).items()
    }
    rooms.add_part(
        work,
        row.room_id,
        "noise",
        NoiseReading(
            id=label,
            taken_at=row.taken_at,
            laeq_db=round(shown.answer["laeq_db"], 1),
            lceq_db=round(shown.answer["lceq_db"], 1),
            bands_db=_known(bands),
            duration_s=round(shown.answer["duration_s"], 1),
            method="phone_recording",
            conditions=row.conditions,
        ),
    )
    return label


def _known(bands: Mapping[str, float]) -> dict[str, float] | None:
    """The octaves that a reading may have; one far under any room's or microphone's floor (a made
    signal) counts as not read.
    """
    return {
        band: level for band, level in bands.items() if band in BANDS_HZ and level >= FAINTEST_DB
    } or None


def bin_recording(work: Work, key: int, version: int) -> None:
    """Move a recording to the bin; its original stays on disk."""
    row = _living(work, key)
    keeping.bin_row(work, row, version, f"recording {row.original_name} moved to the bin")


def original(work: Work, key: int) -> tuple[Held, str, str]:
    """The original file, its name and its kind."""
    row = _living(work, key)
    return work.files.held(row.sha256), row.original_name, row.mime


def waiting(work: Work) -> list[int]:
    """Recordings that are still to be measured, such as after the server was stopped."""
    return sounds.waiting(work.db)


def recording_faults(work: Work) -> list[Said]:
    """Recordings (those in the bin too) whose original is missing or is not what was stored."""
    checked = ((row, work.files.check(row.sha256)) for row in sounds.all_recordings(work.db))
    return [
        said(
            "recording.fault",
            recording=Name(str(row.id)),
            name=Name(row.original_name),
            fault=fault,
        )
        for row, fault in checked
        if fault is not None
    ]
