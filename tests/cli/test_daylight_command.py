"""`scout daylight`: every line and key for a room and for a place outdoors, and refusals by name."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from scout.values import Figure
from tests.assess.daylight.test_daylight import SHEET
from tests.cli.runner import Scout


@pytest.fixture
def sheet(tmp_path: Path) -> str:
    return written(tmp_path, SHEET)


def written(folder: Path, plain: dict[str, Any]) -> str:
    path = folder / "sheet.json"
    path.write_text(json.dumps(plain))
    return str(path)


def test_words_for_a_room(scout: Scout, sheet: str) -> None:
    done = scout("daylight", sheet, "--date", "2026-06-21", "--grid", "1", "--year")
    assert done.code == 0, done.err
    for words in (
        "Direct sun on the subject: ",
        "Direct sun on the lens: unknown: ",
        "Daylight factor 0.85\u00a0m above the floor: ",
        "2026, the sun reaches the subject, if the sky is clear: ",
    ):
        assert words in done.out
    assert not scout.data.exists()


def test_words_in_the_units_of_the_installation(
    scout: Scout, sheet: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SILLBOOK_UNITS", "feet")
    done = scout("daylight", sheet, "--date", "2026-06-21", "--grid", "1")
    # by hand: 0.85 m is 33.5 inches
    assert "Daylight factor 2' 9 1/2\" above the floor: " in done.out
    assert str(Figure(0.85, "m")) == "0.85\u00a0m"  # and not beyond the command
    monkeypatch.setenv("SILLBOOK_UNITS", "cubits")
    scout.refuses("daylight", sheet, "--date", "2026-06-21", says="SILLBOOK_UNITS: cubits")


def test_json_for_a_room(scout: Scout, tmp_path: Path) -> None:
    plain = {**SHEET, "marks": {"subject": [2.0, 2.5, 1.2], "camera": [2.0, 0.6, 1.2]}}
    done = scout(
        "daylight",
        written(tmp_path, plain),
        "--date",
        "2026-06-21",
        "--until",
        "2026-06-23",
        "--minutes",
        "30",
        "--grid",
        "1",
        "--year",
        "--json",
    )
    assert done.code == 0, done.err
    answer = done.json
    assert set(answer) == {
        "date",
        "sun_touches",
        "contrast",
        "sun_as_light",
        "reflector",
        "steady",
        "grid",
        "year",
    }
    assert answer["steady"]["blocks"]
    assert len(answer["grid"]["factor_pct"]) == 5
    assert len(answer["year"]["sun_on_mark"]) == 365
    assert answer["sun_as_light"] is None


def test_words_outdoors(scout: Scout, tmp_path: Path) -> None:
    room = {
        "setting": "exterior",
        "width_m": 4.0,
        "length_m": 5.0,
        "facing": {"wall": "A", "bearing_deg": 180, "north": "true"},
        "skyline": [],
    }
    plain = {
        **SHEET,
        "room": room,
        "marks": {"subject": [2.0, 2.5, 1.2], "camera": [2.0, 4.6, 1.2]},
    }
    done = scout("daylight", written(tmp_path, plain), "--date", "2026-06-21")
    assert done.code == 0, done.err
    assert "The sun is key from the left: " in done.out
    assert "Steady light on 21 Jun 2026" in done.out


@pytest.mark.parametrize(
    ("arguments", "named"),
    [
        (["--date", "midsummer"], "--date"),
        (["--date", "2026-06-21", "--until", "2026-06-01"], "--until"),
        (["--date", "2026-06-21", "--until", "2029-06-01"], "--until"),
        (["--date", "2026-06-21", "--minutes", "1"], "--minutes: 1"),
        (["--date", "2026-06-21", "--stops", "0"], "--stops: 0"),
        (["--date", "2026-06-21", "--minutes", "1_000"], "--minutes: 1_000"),
        (["--date", "2026-06-21", "--stops", "nan"], "--stops: nan"),
        (["--date", "2026-06-21", "--grid", "0"], "--grid: 0"),
        (["--date", "2026-06-21", "--grid", "inf"], "--grid: inf"),
        (["--date", "0900-06-21"], "--date: 0900-06-21"),
        ([], "--date"),
    ],
)
def test_what_cannot_be_asked_is_refused_by_name(
    scout: Scout, sheet: str, arguments: list[str], named: str
) -> None:
    done = scout("daylight", sheet, *arguments)
    assert (done.code, done.out) == (2, "")
    assert named in done.err


def test_the_reflector_of_a_place_outdoors(scout: Scout, tmp_path: Path) -> None:
    room = {
        key: value for key, value in SHEET["room"].items() if key not in ("windows", "height_m")
    }
    marks = {"subject": [2.0, 2.5, 1.2], "camera": [2.0, 0.6, 1.2]}
    yard = written(tmp_path, {**SHEET, "room": {**room, "setting": "exterior"}, "marks": marks})
    asked = ("daylight", yard, "--date", "2026-06-21", "--reflector", "13:00")
    aim = json.loads(scout(*asked, "--json").out)["reflector"]
    assert aim["stand_m"] is not None
    assert aim["at"].startswith("2026-06-21T13:00")
    done = scout(*asked)
    assert "A reflector 4.0" in done.out
    assert "never into eyes" in done.out
    night = scout("daylight", yard, "--date", "2026-06-21", "--reflector", "01:00")
    assert "A reflector: the sun is not up" in night.out
    scout.refuses(
        "daylight", yard, "--date", "2026-06-21", "--reflector", "noon", says="--reflector"
    )
