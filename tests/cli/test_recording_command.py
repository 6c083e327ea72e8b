"""`scout recording`: its keys, its exit codes, its words."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from scout.cli.recording_command import command
from scout.errors import Refused
from tests.media.recordings.made import noise, plain_wav, sine

# The published keys, in their order.
KEYS = [
    "laeq_db",
    "lceq_db",
    "lafmax_db",
    "la10_db",
    "la50_db",
    "la90_db",
    "laeq_range_db",
    "laeq_dbfs",
    "laeq_range_dbfs",
    "lceq_dbfs",
    "lafmax_dbfs",
    "la10_dbfs",
    "la50_dbfs",
    "la90_dbfs",
    "bands_dbfs",
    "hum",
    "tones",
    "clipped_share",
    "dead_channels",
    "duration_s",
    "events",
    "warnings",
]


@pytest.fixture
def room(tmp_path: Path) -> Path:
    path = tmp_path / "room.wav"
    path.write_bytes(plain_wav(sine(48000, 9, 50, -60) + noise(48000, 9, -70, 5)))
    return path


def test_the_published_keys_and_no_others(room: Path) -> None:
    found = json.loads(
        CliRunner()
        .invoke(command, [str(room), "--json"], standalone_mode=False, catch_exceptions=False)
        .stdout
    )
    assert list(found) == KEYS
    assert [found[key] for key in KEYS[:7]] == [None] * 7  # no calibration, no level
    assert set(found["hum"]) == {"frequency_hz", "above_floor_db"}
    assert found["hum"]["frequency_hz"] == pytest.approx(50.0, abs=0.2)
    assert list(found["bands_dbfs"]) == [
        "31.5",
        "63",
        "125",
        "250",
        "500",
        "1000",
        "2000",
        "4000",
        "8000",
        "16000",
    ]


def test_a_calibration_is_added(room: Path) -> None:
    found = json.loads(
        CliRunner()
        .invoke(
            command,
            [str(room), "--calibration-db", "114", "--json"],
            standalone_mode=False,
            catch_exceptions=False,
        )
        .stdout
    )
    for key in KEYS[:6]:
        assert found[key] == pytest.approx(found[f"{key}fs"] + 114.0, abs=1e-4)


def test_words_for_people(room: Path) -> None:
    text = (
        CliRunner()
        .invoke(command, [str(room)], standalone_mode=False, catch_exceptions=False)
        .stdout
    )
    assert "Length 9.0\u00a0s\n" in text
    assert re.search(r"^LAeq −\d+\.\d dBFS, relative only$", text, re.M)
    assert "Find the hum at 50.0\u00a0Hz" in text
    assert "note: Levels are relative only" in text
    louder = (
        CliRunner()
        .invoke(
            command,
            [str(room), "--calibration-db", "114"],
            standalone_mode=False,
            catch_exceptions=False,
        )
        .stdout
    )
    assert re.search(r"^LA90 \d+\.\d\u00a0dB$", louder, re.M)
    assert "relative only" not in louder


@pytest.mark.parametrize("calibration", ["nan", "inf", "900"])
def test_a_calibration_that_is_none_is_refused(room: Path, calibration: str) -> None:
    with pytest.raises(Refused, match="calibration_db"):
        CliRunner().invoke(
            command,
            [str(room), "--calibration-db", calibration],
            standalone_mode=False,
            catch_exceptions=False,
        )


def test_no_such_file(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="is not a file"):
        CliRunner().invoke(
            command, [str(tmp_path / "none.wav")], standalone_mode=False, catch_exceptions=False
        )
