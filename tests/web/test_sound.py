"""The sound page: recordings sent, measured beside the requests, listened to, calibrated, counted;
noises that come back.
"""

from __future__ import annotations

import io
import re
import time
from dataclasses import replace
from html import unescape
from pathlib import Path

import numpy as np
import pytest
from werkzeug.test import TestResponse

from scout.settings import Settings
from scout.web.app import create_app
from tests.media.recordings.made import coded, noise, plain_wav, sine
from tests.web.conftest import PARLOUR, WEIR, Browser, logged_in

RATE = 16000
TONE = plain_wav(sine(RATE, 2, 1000, -20), RATE)
ROOM = plain_wav(noise(RATE, 9, -60, 1, high_hz=6000) + sine(RATE, 9, 50, -58), RATE)


@pytest.fixture
def room(ada: Browser) -> str:
    """The path of an empty room's page."""
    return ada.done(f"{ada.done('/locations/new', WEIR)}/rooms/new", PARLOUR)


def send(
    ada: Browser, room: str, data: bytes, name: str = "empty room.wav", **said: str
) -> TestResponse:
    return ada.post(
        f"{room}/recordings",
        {"recordings": (io.BytesIO(data), name), **said},
        content_type="multipart/form-data",
    )


def measured(ada: Browser, answer: TestResponse) -> str:
    """Wait until it is measured; the path of the recording."""
    assert answer.status_code == 303, answer.text
    path = answer.headers["Location"]
    for _ in range(1200):
        if ada.get(f"{path}/progress.json").json["over"]:
            return path
        time.sleep(0.05)
    raise AssertionError("not measured in a minute")


def version(page: str) -> str:
    found = re.search(r'name="version" value="(\d+)"', page)
    assert found is not None
    return found[1]


def test_an_empty_room_says_what_is_missing(ada: Browser, room: str) -> None:
    page = ada.get(f"{room}/sound")
    assert page.status_code == 200
    assert "No recordings yet" in page.text
    assert "Noise is unknown" in page.text
    assert "No source of noise is recorded" in page.text
    assert f"{room}/sound" in ada.get(room).text


def test_a_recording_is_measured_and_listened_to(ada: Browser, room: str) -> None:
    path = measured(ada, send(ada, room, ROOM, conditions="fridge on"))
    page = ada.get(path).text
    assert "relative only" in page
    assert "Find the hum at 50" in page
    assert page.count("<svg") >= 2
    assert "fridge on" in ada.get(f"{room}/sound").text
    assert ada.get(f"{path}/original").data == ROOM
    played = ada.get(f"{path}/play", headers={"Range": "bytes=0-99"})
    assert (played.status_code, played.mimetype, len(played.data)) == (206, "audio/wav", 100)
    assert ada.get(f"{path}/spectrogram.png").data[:8] == b"\x89PNG\r\n\x1a\n"


def test_calibrated_by_a_meter_and_counted(ada: Browser, room: str) -> None:
    path = measured(ada, send(ada, room, ROOM))
    refused = ada.post(
        f"{path}/calibrate", {"version": version(ada.get(path).text), "meter_laeq_db": "loud"}
    )
    assert refused.status_code == 422
    ada.done(f"{path}/calibrate", {"version": version(ada.get(path).text), "meter_laeq_db": "41.5"})
    assert "42 dBA" in ada.get(path).text or "41 dBA" in ada.get(path).text
    assert ada.done(f"{path}/reading") == f"{room}/sound"
    assert "N1" in ada.get(room).text
    assert "Noise is unknown" not in ada.get(f"{room}/sound").text


def test_calibrated_by_a_recorded_tone(ada: Browser, room: str) -> None:
    tone = measured(ada, send(ada, room, TONE, "tone.wav", purpose="tone"))
    path = measured(ada, send(ada, room, ROOM))
    ada.done(
        f"{path}/calibrate",
        {"version": version(ada.get(path).text), "tone": tone.rpartition("/")[2], "level_db": "94"},
    )
    assert "a calibrator of 94 dB, recorded as tone.wav" in ada.get(path).text.replace(
        "\u00a0", " "
    )


def test_what_is_no_recording_is_said(ada: Browser, room: str) -> None:
    answer = send(ada, room, b"a shopping list", "list.wav")
    assert answer.status_code == 422
    assert "is no recording that can be read" in answer.text
    assert send(ada, room, b"", "empty.wav").status_code == 422
    silent = measured(ada, send(ada, room, plain_wav(np.zeros(RATE), RATE), "silent.wav"))
    assert "No signal was recorded" in ada.get(silent).text
    cut = ROOM[: len(ROOM) // 2]
    assert "cut off" in ada.get(measured(ada, send(ada, room, cut, "cut.wav"))).text


def test_recordings_have_a_limit_of_their_own(embedded: Settings, ada: Browser, room: str) -> None:
    # the usual limit is larger than ten minutes of 16-bit stereo at 48 kHz, by hand 48000 * 4 * 600
    # = 115.2 MB
    assert Settings(embedded.data_dir).max_recording_bytes > 115_200_000
    tight = logged_in(
        create_app(replace(embedded, max_upload_bytes=20_000, max_recording_bytes=1_000_000))
    )
    assert "1 MB a file at most" in tight.get(f"{room}/sound").text
    assert measured(tight, send(tight, room, ROOM)), "larger than a photo may be, and kept"
    large = send(
        tight, room, plain_wav(np.zeros(40 * RATE), RATE), "long.wav", conditions="fridge on"
    )
    assert large.status_code == 422
    assert "limit of 1 MB" in large.text
    back = re.search(r'href="([^"]+conditions=[^"]+)"', large.text)
    assert back is not None
    assert 'value="fridge on"' in tight.get(unescape(back[1]).partition("#")[0]).text, (
        "what was typed is not lost"
    )
    far = send(tight, room, b"\0" * 18_000_000, "film.mp4")
    assert far.status_code == 413
    assert "1 MB" in far.text
    told = tight.post(
        f"{room}/recordings",
        {"recordings": (io.BytesIO(b"no sound"), "list.wav")},
        content_type="multipart/form-data",
        headers={"Accept": "application/json"},
    )
    assert told.json is not None
    assert "is no recording" in told.json["files"][0]["refused"]


def test_what_a_browser_does_not_play_is_played_as_wav(
    ada: Browser, room: str, tmp_path: Path
) -> None:
    data = coded(
        tmp_path / "room.caf", sine(48000, 1, 440, -20), 48000, box="caf", codec="pcm_s16le"
    ).read_bytes()
    path = measured(ada, send(ada, room, data, "room.caf"))
    played = ada.get(f"{path}/play")
    assert played.mimetype == "audio/wav"
    assert played.data[:4] == b"RIFF"
    assert len(played.data) == 44 + 2 * 48000
    assert ada.get(f"{path}/original").data == data


def test_a_recording_is_changed_binned_and_had_back(ada: Browser, room: str) -> None:
    path = measured(ada, send(ada, room, ROOM))
    assert (
        ada.post(
            path,
            {
                "version": version(ada.get(path).text),
                "purpose": "room",
                "conditions": "school hour",
            },
        ).status_code
        == 303
    )
    assert "school hour" in ada.get(path).text
    ada.done(f"{path}/bin", {"version": version(ada.get(path).text)})
    assert ada.get(path).status_code == 404
    assert "empty room.wav" in ada.get("/bin").text
    ada.post(f"/bin/recording/{path.rpartition('/')[2]}/restore")
    assert ada.get(path).status_code == 200


def test_noises_that_come_back(ada: Browser, room: str) -> None:
    assert ada.get(f"{room}/noises/new").status_code == 200
    wrong = ada.post(
        f"{room}/noises/new", {"what": "bells", "from_time": "12", "until_time": "12:10"}
    )
    assert wrong.status_code == 422
    assert "give HH:MM" in wrong.text
    ada.done(
        f"{room}/noises/new",
        {
            "what": "school yard",
            "from_time": "10:30",
            "until_time": "10:50",
            "days": "Mon, Tuesday",
        },
    )
    page = ada.get(f"{room}/sound?on=2026-06-22").text
    assert "Keep speech out of school yard, 10:30 to 10:50" in page
    assert "Monday and Tuesday" in page


def test_strangers_hear_nothing(stranger: Browser, ada: Browser, room: str) -> None:
    path = measured(ada, send(ada, room, ROOM))
    for of in (
        f"{room}/sound",
        path,
        f"{path}/play",
        f"{path}/original",
        f"{path}/spectrogram.png",
    ):
        assert stranger.get(of).status_code == 302


def test_a_memo_is_played_where_the_room_is_recorded_and_judged_nowhere(
    ada: Browser, room: str
) -> None:
    answer = send(ada, room, TONE, "memo.wav", purpose="memo")
    path = answer.headers["Location"]
    assert ada.get(f"{path}/progress.json").json["state"] == "done"
    assert f'src="{path}/play"' in ada.get(f"{room}/recorded").text
    assert path not in ada.get(f"{room}/sound").text
    assert "Spoken for the team" in ada.get(path).text
    assert ada.get(f"{path}/play").data == TONE
