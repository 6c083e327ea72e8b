"""Recordings are kept byte for byte, measured, calibrated, made into readings; what is no recording
leaves nothing behind.
"""

from __future__ import annotations

import io
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from scout.errors import NotFound, Refused, RefusedMany, Stale
from scout.pages import assessing
from scout.records import LocationRecord, RoomRecord
from scout.records.sounds import NoiseWindowRecord, RecordingRecord
from scout.settings import Settings
from scout.store.models import Recording
from scout.usecases import (
    archive,
    checking,
    locations,
    noise_windows,
    recordings,
    rooms,
)
from scout.usecases import bin as bins
from scout.usecases.work import Who, Work, open_work, prepare
from scout.values import Figure, Name, Said, Word, plain_value, said
from tests.media.recordings.made import noise, plain_wav, sine
from tests.refusing import refused

RATE = 16000


@pytest.fixture
def room_id(work: Work) -> int:
    """An empty room."""
    place = locations.add_location(work, LocationRecord(name="Mill"))
    return rooms.add_room(
        work, place, RoomRecord.read({"name": "Loft", "width_m": 4, "length_m": 5, "height_m": 2.5})
    )


def add(work: Work, room_id: int, data: bytes, name: str = "room.wav", **record: object) -> int:
    key = recordings.add_recording(
        work, room_id, io.BytesIO(data), name, RecordingRecord.read(record)
    )
    recordings.measure_recording(work, key)
    return key


def test_kept_byte_for_byte_and_measured(work: Work, room_id: int) -> None:
    data = plain_wav(noise(RATE, 3, -60, 1, high_hz=6000), RATE)
    key = recordings.add_recording(
        work,
        room_id,
        io.BytesIO(data),
        "C:\\sounds\\loft.wav",
        RecordingRecord(conditions="fridge on"),
    )
    assert recordings.recording(work, key).state == "waiting"
    assert recordings.waiting(work) == [key]
    seen: list[tuple[int, int]] = []
    recordings.measure_recording(work, key, progress=lambda done, of: seen.append((done, of)))
    line = recordings.recording(work, key)
    held, name, mime = recordings.original(work, key)
    assert held.local().read_bytes() == data
    assert (name, mime, line.state) == ("loft.wav", "audio/wav", "done")
    assert seen[-1] == (3, 3)
    assert line.answer is not None
    assert line.answer["laeq_db"] is None
    # by hand: noise of -60 dBFS weighs a little less under A
    assert line.level_words.code == "recording.relative"
    assert [warning.code for warning in line.answer["warnings"]] == [
        "recording.short",
        "recording.relative_only",
    ]
    short = line.answer["warnings"][0]
    assert short["lasted"].value == pytest.approx(3.0)
    assert recordings.waiting(work) == []


def test_calibrated_by_a_tone_then_read(work: Work, room_id: int) -> None:
    # by hand: the calibrator's 94 dB lies at -20 dBFS, so 114 is added, and a sine of 1 kHz weighs
    # 0 dB
    tone = add(work, room_id, plain_wav(sine(RATE, 2, 1000, -20), RATE), "tone.wav", purpose="tone")
    key = add(work, room_id, plain_wav(sine(RATE, 3, 1000, -50), RATE), conditions="fridge off")
    recordings.calibrate_by_tone(work, key, recordings.recording(work, key).version, tone)
    line = recordings.recording(work, key)
    assert line.record.calibration_db == pytest.approx(114.0, abs=0.1)
    assert line.answer is not None
    assert line.answer["laeq_db"] == pytest.approx(64.0, abs=0.1)
    label = recordings.make_reading(work, key)
    reading = (rooms.room(work, room_id).kept.record.noise or ())[0]
    assert (reading.id, reading.method, reading.conditions) == (
        label,
        "phone_recording",
        "fridge off",
    )
    assert reading.laeq_db == pytest.approx(64.0, abs=0.1)


def test_calibrated_by_a_meter(work: Work, room_id: int) -> None:
    key = add(work, room_id, plain_wav(sine(RATE, 3, 1000, -70), RATE))
    recordings.calibrate_by_meter(work, key, recordings.recording(work, key).version, 38.0)
    line = recordings.recording(work, key)
    assert line.level_words["laeq"].value == pytest.approx(38.0)
    assert line.answer is not None
    assert [warning.code for warning in line.answer["warnings"]] == ["recording.short"]
    with pytest.raises(Stale):
        recordings.calibrate_by_meter(work, key, 1, 38.0)
    with refused("refusal.not_between", "meter_laeq_db"):
        recordings.calibrate_by_meter(work, key, line.version, 400.0)


def test_what_has_no_level_cannot_be_read(work: Work, room_id: int) -> None:
    silent = add(work, room_id, plain_wav(np.zeros(RATE), RATE))
    with refused("refusal.not_comparable", "meter_laeq_db"):
        recordings.calibrate_by_meter(
            work, silent, recordings.recording(work, silent).version, 40.0
        )
    with refused("refusal.no_recording_level"):
        recordings.make_reading(work, silent)
    tone = add(work, room_id, plain_wav(noise(RATE, 2, -30, 1, high_hz=6000), RATE), purpose="tone")
    failed = recordings.recording(work, tone)
    assert failed.state == "failed"
    assert isinstance(failed.because, Said)
    assert failed.because.code == "refusal.other_tone"
    assert failed.because["tone"].unit == "Hz"
    assert failed.level_words.code == "recording.failed"
    assert recordings.recording(work, silent).level_words.code == "recording.no_signal"
    with refused("refusal.no_tone"):
        recordings.calibrate_by_tone(work, silent, recordings.recording(work, silent).version, tone)


def test_messages_are_kept_and_read_again() -> None:
    kept = said("file.cut_off", why=said("file.index_lost"), promised=None, there=Figure(3.2, "s"))
    again = recordings.said_again(plain_value(kept))
    assert (again.code, again["there"], again["why"]) == (  # type: ignore[union-attr,index]
        "file.cut_off",
        Figure(3.2, "s"),
        Said("file.index_lost"),
    )
    counted = said("recording.dead", channel=2)
    assert recordings.said_again(plain_value(counted)) == counted
    kind = said("refusal.file_damaged", kind=Word("file_kind", "ogg"))
    assert recordings.said_again(plain_value(kind)) == kind
    assert recordings.said_again("a sentence of an older version") == Name(
        "a sentence of an older version"
    )


def test_a_burst_says_how_the_room_rings(work: Work, room_id: int) -> None:
    rng = np.random.default_rng(1)
    fall = rng.standard_normal(2 * RATE) * 10 ** (-3 * np.arange(2 * RATE) / RATE / 0.7)
    whole = 0.2 * np.concatenate([np.zeros(RATE), fall]) + 1e-5 * rng.standard_normal(3 * RATE)
    line = recordings.recording(work, add(work, room_id, plain_wav(whole, RATE), purpose="burst"))
    assert line.measured is not None
    assert [d["t30_s"] for d in line.measured["decays"]][2:] == pytest.approx(
        [0.7] * 4, rel=0.1
    )  # made to fall 60 dB in 0.7 s


def test_a_good_burst_is_judged_by_until_it_lies_in_the_bin(work: Work, room_id: int) -> None:
    rng = np.random.default_rng(1)
    fall = rng.standard_normal(2 * RATE) * 10 ** (-3 * np.arange(2 * RATE) / RATE / 0.7)
    whole = 0.2 * np.concatenate([np.zeros(RATE), fall]) + 1e-5 * rng.standard_normal(3 * RATE)
    key = add(work, room_id, plain_wav(whole, RATE), purpose="burst")
    found = assessing.assess_room(work, room_id, date(2026, 6, 21)).sound
    assert found.rt60_measured_mid_s == pytest.approx(0.7, rel=0.1)  # made to fall 60 dB in 0.7 s
    recordings.bin_recording(work, key, recordings.recording(work, key).version)
    assert assessing.assess_room(work, room_id, date(2026, 6, 21)).sound.rt60_measured_mid_s is None


@pytest.mark.parametrize("data", [b"", b"just a text, renamed", b"RIFF\0\0\0\0WAVE"])
def test_what_is_no_recording_leaves_nothing_behind(work: Work, room_id: int, data: bytes) -> None:
    with pytest.raises(Refused):
        recordings.add_recording(work, room_id, io.BytesIO(data), "notes.wav")
    assert list(work.files.all()) == []
    assert recordings.recordings(work, room_id) == ()


def test_bin_check_and_archive(work: Work, room_id: int, tmp_path: Path) -> None:
    key = add(work, room_id, plain_wav(noise(RATE, 1, -60, 1, high_hz=6000), RATE))
    recordings.bin_recording(work, key, recordings.recording(work, key).version)
    with pytest.raises(NotFound):
        recordings.recording(work, key)
    assert recordings.recordings(work, room_id) == ()
    bins.restore(work, "recording", key)
    assert len(recordings.recordings(work, room_id)) == 1
    assert checking.check(work).faults == ()
    assert checking.check(work).unused_originals == 0
    assert archive.export_all(work, tmp_path / "all.zip") == 1
    row = work.db.get(Recording, key)
    assert row is not None
    work.files.get(row.sha256).unlink()
    assert [fault.code for fault in checking.check(work).faults if isinstance(fault, Said)] == [
        "recording.fault"
    ]


def test_an_archive_brings_recordings_back(work: Work, room_id: int, tmp_path: Path) -> None:
    data = plain_wav(noise(RATE, 1, -60, 1, high_hz=6000), RATE)
    key = add(work, room_id, data)
    archive.export_all(work, tmp_path / "all.zip")
    other = Settings(data_dir=tmp_path / "other")
    prepare(other)
    with open_work(other) as there:
        archive.import_all(there, tmp_path / "all.zip")
        assert recordings.original(there, key)[0].local().read_bytes() == data


def test_recurring_noises(work: Work, room_id: int) -> None:
    place = rooms.room(work, room_id).location.id
    noise_windows.add_noise_window(
        work,
        place,
        NoiseWindowRecord(
            what="school yard", days=("mon", "fri"), from_time="10:30", until_time="10:50"
        ),
    )
    kept = noise_windows.noise_windows(work, place)
    assert [(w.record.what, w.record.days) for w in kept] == [("school yard", ("mon", "fri"))]
    noise_windows.bin_noise_window(work, kept[0].id, kept[0].version)
    assert noise_windows.noise_windows(work, place) == ()
    bins.restore(work, "noise_window", kept[0].id)
    assert len(noise_windows.noise_windows(work, place)) == 1
    with pytest.raises(RefusedMany, match="ends before it begins"):
        NoiseWindowRecord.read({"what": "bells", "from_time": "12:00", "until_time": "11:00"})


def test_a_memo_is_kept_for_the_team_and_nothing_is_measured_of_it(
    settings: Settings, work: Work, room_id: int
) -> None:
    data = plain_wav(sine(RATE, 1, 440, -20), RATE)
    key = add(work, room_id, data, "memo.wav", purpose="memo")
    line = recordings.recording(work, key)
    assert (line.state, line.measured, line.level_words.code) == ("done", None, "recording.memo")
    assert recordings.waiting(work) == []
    # property: whoever judges, compares or prints a room's sound asks for its recordings alone
    assert recordings.recordings(work, room_id) == ()
    assert [one.id for one in recordings.recordings(work, room_id, memos=True)] == [key]
    work.db.rollback()
    crew = Who(2, "Cas", "cas@example.org", "crew")
    with open_work(settings, crew) as theirs:
        with pytest.raises(NotFound):
            recordings.original(theirs, key)
        assert recordings.recordings(theirs, room_id, memos=True) == ()
        with pytest.raises(Refused) as refusal:
            add(theirs, room_id, data, purpose="memo")
        assert refusal.value.path == "purpose"
    # what was sent as the wrong thing is measured when it is said to be another
    recordings.save_recording(work, key, line.version, RecordingRecord(purpose="room"))
    assert recordings.waiting(work) == [key]
