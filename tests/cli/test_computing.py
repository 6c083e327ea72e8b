"""`scout sun`, `scout assess`, `scout photo`, `scout schema`: answers without a database, and every
refusal by name.
"""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from PIL import Image

from scout.cli import COMMANDS
from tests.cli.runner import ROOT, Scout


# -- every command
# ----------------------------------------------------------------------------------------------------
def test_help_and_version(scout: Scout) -> None:
    assert scout("--version").out.startswith("scout, version ")
    told = scout("--help")
    assert told.code == 0
    assert all(name in told.out for name in COMMANDS)
    for name in COMMANDS:
        assert scout(name, "--help").code == 0
    assert not scout.data.exists()


def test_what_is_no_command_or_option(scout: Scout) -> None:
    for arguments in (
        ["sing"],
        ["sun", "--loud"],
        ["packet"],
        ["packet", "one"],
        ["packet", "1", "--paper", "papyrus"],
        ["bench", "nothing"],
        ["user"],
    ):
        done = scout(*arguments)
        assert (done.code, done.out) == (2, ""), arguments
        assert done.err
    assert not scout.data.exists()


# -- sun
# --------------------------------------------------------------------------------------------------------------
def test_sun_of_a_date(scout: Scout) -> None:
    told = scout("sun", "--lat", "52.2", "--lon", "0.12", "--date", "2026-06-21", "--json")
    assert (told.code, told.err) == (0, "")
    assert told.json.keys() >= {
        "state",
        "dawn",
        "sunrise",
        "noon",
        "sunset",
        "dusk",
        "crossings",
        "low_sun",
        "day_length_min",
        "assumed",
    }
    assert told.json["sunrise"].startswith(
        "2026-06-21T04:38"
    )  # almanac for Cambridge, British Summer Time (from memory)
    plain = scout("sun", "--lat", "52,2", "--lon", "0,12", "--date", "2026-06-21")
    assert plain.out.startswith("21 Jun 2026 (Europe/London)\n")
    assert "\n  Sunrise: 04:38\n" in plain.out
    assert "_" not in plain.out  # nobody reads a key of the code


def test_sun_for_people_where_it_does_not_set_and_where_it_stands(scout: Scout) -> None:
    place = ("sun", "--lat", "69.65", "--lon", "18.96", "--date", "2026-06-21")
    day = scout(*place).out
    # Source: any almanac: Tromso has the midnight sun from May to July.
    assert "\n  Sunrise" not in day
    assert "The sun does not set on this date" in day
    both = scout(*place, "--at", "2026-06-21T12:00:00+02:00").out
    assert "21 Jun 2026, 12:00 UTC+02:00: sun " in both
    assert both.count("note: the horizon is taken as level") == 1


def test_sun_at_a_time(scout: Scout) -> None:
    # Source: Reda and Andreas, Solar Position Algorithm, NREL/TP-560-34302, revised January 2008,
    # table A5.1
    told = scout(
        "sun",
        "--lat",
        "39.742476",
        "--lon",
        "-105.1786",
        "--elevation",
        "1830.14",
        "--at",
        "2003-10-17T12:30:30-07:00",
        "--json",
    ).json
    assert told["elevation_deg"] == pytest.approx(90 - 50.11162, abs=0.02)
    assert told["azimuth_deg"] == pytest.approx(194.34024, abs=0.02)
    both = scout(
        "sun",
        "--lat",
        "52.2",
        "--lon",
        "0.12",
        "--date",
        "2026-06-21",
        "--at",
        "2026-06-21T14:00:00+01:00",
        "--json",
    ).json
    assert {"sunrise", "elevation_deg"} <= both.keys()
    # property: the same figures as blocks, for those who read "`events` alone" as a key of that
    # name
    assert both["events"] == {key: both[key] for key in both["events"].keys() - {"assumed"}} | {
        "assumed": both["events"]["assumed"]
    }
    assert both["sun"] == {
        "elevation_deg": both["elevation_deg"],
        "azimuth_deg": both["azimuth_deg"],
        "assumed": both["sun"]["assumed"],
    }
    assert set(both["assumed"]) == {*both["events"]["assumed"], *both["sun"]["assumed"]}
    alone = scout("sun", "--lat", "52.2", "--lon", "0.12", "--date", "2026-06-21", "--json").json
    assert "sun" not in alone
    assert alone["events"]["sunrise"] == alone["sunrise"]


def test_sun_says_when_the_height_is_not_given(scout: Scout) -> None:
    place = ("sun", "--lat", "52.2", "--lon", "0.12", "--date", "2026-06-21", "--json")
    assert "sea level is taken" in " ".join(scout(*place).json["assumed"])
    assert "sea level is taken" not in " ".join(scout(*place, "--elevation", "0").json["assumed"])


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--lat", "nan", "--lon", "0", "--date", "2026-06-21"], "--lat: nan is not a number"),
        (["--lat", "1_0", "--lon", "0", "--date", "2026-06-21"], "--lat: 1_0"),
        (
            ["--lat", "90.1", "--lon", "0", "--date", "2026-06-21"],
            "--lat: 90.1 must be from -90 to 90",
        ),
        (["--lat", "0", "--lon", "inf", "--date", "2026-06-21"], "--lon: inf"),
        (["--lat", "0", "--lon", "181", "--date", "2026-06-21"], "--lon: 181"),
        (["--lat", "0", "--lon", "0", "--date", "2026-02-30"], "give YYYY-MM-DD"),
        (["--lat", "0", "--lon", "0", "--date", "21.6.2026"], "give YYYY-MM-DD"),
        (["--lat", "0", "--lon", "0", "--date", "2026-W25-7"], "give YYYY-MM-DD"),
        (["--lat", "0", "--lon", "0", "--at", "2026-06-21T12:00:00"], "has no offset"),
        (["--lat", "0", "--lon", "0", "--at", "noon"], "ISO 8601"),
        (["--lat", "0", "--lon", "0", "--at", "0001-01-01T00:00:00+14:00"], "outside the years"),
        (["--lat", "0", "--lon", "0", "--at", "9999-12-31T23:59:59-14:00"], "outside the years"),
        (["--lat", "0", "--lon", "0"], "--date"),
        (["--lon", "0", "--date", "2026-06-21"], "--lat"),
        (
            ["--lat", "0", "--lon", "0", "--date", "2026-06-21", "--zone", "Mars/Olympus"],
            "time zone",
        ),
        (
            ["--lat", "0", "--lon", "0", "--date", "2026-06-21", "--zone", "../../etc/passwd"],
            "time zone",
        ),
        (
            ["--lat", "0", "--lon", "0", "--date", "2026-06-21", "--elevation", "99999"],
            "elevation_m",
        ),
    ],
)
def test_sun_refuses_by_name(scout: Scout, arguments: list[str], says: str) -> None:
    scout.refuses("sun", *arguments, "--json", says=says)


def test_hours_that_turn_round_and_dates_out_of_reach_are_said_by_their_options(
    scout: Scout, sheet_file: str
) -> None:
    asked = ["assess", sheet_file, "--date", "2026-06-21", "--from"]
    same = "--until: 10:00 is when the scene begins; give a later time"
    scout.refuses(*asked, "10:00", "--until", "10:00", says=same)
    done = scout(*asked, "22:00", "--until", "02:00")
    assert (done.code, done.err.strip()) == (
        0,
        "--until 02:00 is before --from 22:00: it is taken for the next day",
    )
    assert "next day" not in scout(*asked, "10:00", "--until", "12:00").err
    # by hand: the sun is worked out from the year 1000 to 3000; a day of the past is a day
    for on in ("0001-01-01", "0999-12-31", "3001-01-01", "9999-12-31"):
        for command in (["assess", sheet_file], ["choose", "1"], ["packet", "1"]):
            scout.refuses(*command, "--date", on, says=f"--date: {on} is outside the years")
    scout.refuses("packet", "1", "--date", "2026-6-1", says="--date: 2026-6-1 is not a date")


@pytest.mark.parametrize(
    ("latitude", "longitude", "on", "state"),
    [
        ("90", "0", "2026-06-21", "polar_day"),
        ("-90", "0", "2026-06-21", "polar_night"),
        ("-48.9", "-123.4", "2026-06-21", "normal"),
        ("0", "180", "2026-06-21", "normal"),
        ("0", "-180", "2026-06-21", "normal"),
        ("0", "0", "2026-06-21", "normal"),
        ("52", "0", "1850-06-21", "normal"),
        ("52", "0", "3000-06-21", "normal"),
    ],
)
def test_sun_at_the_ends_of_the_earth_and_of_time(
    scout: Scout, latitude: str, longitude: str, on: str, state: str
) -> None:
    told = scout("sun", "--lat", latitude, "--lon", longitude, "--date", on, "--json")
    assert (told.code, told.json["state"]) == (0, state)


def test_sun_so_long_ago_or_so_far_ahead_that_no_clock_is_certain_says_so(scout: Scout) -> None:
    # Source: France went over to the time of the meridian of Paris in 1891 (time zone database);
    # before, every town kept its own.
    ago = scout("sun", "--lat", "43.3", "--lon", "5.4", "--date", "1850-06-21", "--json").json
    assert "local mean time" in " ".join(ago["assumed"])
    ahead = scout(
        "sun",
        "--lat",
        "43.3",
        "--lon",
        "5.4",
        "--at",
        "3000-06-21T12:00:00Z",
        "--date",
        "3000-06-21",
        "--json",
    ).json
    assert "by today's rules" in " ".join(ahead["assumed"])
    assert ahead["elevation_deg"] == pytest.approx(
        70, abs=1
    )  # by hand: 90 - 43.3 + 23.3 (the tilt shrinks by 0.013 degrees a century)


def test_sun_beyond_the_calendar_is_unknown_not_an_error(scout: Scout) -> None:
    for on in ("0001-01-01", "9999-12-31"):
        told = scout("sun", "--lat", "52", "--lon", "0", "--date", on, "--json")
        assert told.code == 0
        assert told.json["unknown"].startswith("because")


# -- assess
# -----------------------------------------------------------------------------------------------------------
def test_assess(scout: Scout, sheet_file: str) -> None:
    told = scout("assess", sheet_file, "--date", "2026-06-21", "--json")
    assert (told.code, told.err) == (0, "")
    assert told.json["schema"] == "room-assessment/1"
    assert told.json["windows"][0]["facing_deg"] == 180.0
    assert "sun" in scout("assess", sheet_file, "--at", "2026-06-21T14:00:00+01:00", "--json").json
    plain = scout("assess", sheet_file, "--date", "2026-06-21")
    assert plain.out.startswith("Loft, Mill, 21 Jun 2026 (Europe/London)\n")
    assert "  Sun: care: " in plain.out
    assert "caution" not in plain.out.rsplit("\n", 2)[0]  # folded to how many there are
    assert "see them with --full" in plain.out
    full = scout("assess", sheet_file, "--date", "2026-06-21", "--full").out
    assert full.count("caution:") == len(told.json["cautions"])
    assert not scout.data.exists()  # no database is touched


def test_assess_asks_once_for_what_mends_several_findings(scout: Scout, tmp_path: Path) -> None:
    path = tmp_path / "bare.json"
    shape = {"setting": "interior", "width_m": 4, "length_m": 5, "height_m": 2.5}
    path.write_text(json.dumps({"schema": "room-sheet/1", "room": {"name": "Loft", **shape}}))
    told = scout("assess", str(path), "--date", "2026-06-21").out
    assert told.count("Propose it for a scene") == 1


def test_assess_from_standard_input_with_a_byte_order_mark(
    scout: Scout, sheet: dict[str, Any]
) -> None:
    told = scout.alone(
        "assess",
        "-",
        "--date",
        "2026-06-21",
        "--json",
        given=b"\xef\xbb\xbf" + json.dumps(sheet).encode(),
    )
    assert (told.code, told.err) == (0, "")
    assert told.json["date"] == "2026-06-21"


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "it is not JSON"),
        (b"{", "it is not JSON"),
        (b"[]", "not a JSON object"),
        (b"\xff\xfe{}", "not UTF-8"),
        (b"{}" + b" " * 100, "schema"),
        (b'{"schema": "room-sheet/1", "room": {"height_m": NaN}}', "NaN is not a JSON number"),
        (b'{"schema": "room-sheet/1", "room": {"height_m": 1e999}}', "too large a number"),
        (b'{"schema": "room-sheet/1", "room": {"height_m": -2}}', "room.height_m: -2"),
        (b'{"schema": "room-sheet/1", "room": {"hight_m": 2}}', "room.hight_m"),
        (
            b'{"schema": "room-sheet/1", "room": {"width_m": 3, "length_m": 3, "windows": [{"id": "W1", "wall": "A", "width_m": 4}]}}',
            "wider than wall A",
        ),
        (b'{"schema": "room-sheet/1", "room": {"name": "a", "name": "b"}}', "name is given twice"),
        (b"[" * 100_000, "nested too deeply"),
        (b'{"schema": "room-sheet/1", "room": {"storey": ' + b"9" * 5000 + b"}}", "number"),
        (b"PK\x03\x04" + b"\0" * 50, "JSON"),
    ],
)
def test_assess_refuses_what_is_no_sheet(
    scout: Scout, tmp_path: Path, content: bytes, says: str
) -> None:
    path = tmp_path / "sheet.json"
    path.write_bytes(content)
    scout.refuses("assess", str(path), "--date", "2026-06-21", "--json", says=says)


def test_assess_refuses_every_fault_at_once(scout: Scout, tmp_path: Path) -> None:
    path = tmp_path / "sheet.json"
    path.write_text(
        '{"schema": "room-sheet/1", "room": {"height_m": -2, "setting": "cave", "width_m": 0}}',
        encoding="utf-8",
    )
    told = scout("assess", str(path), "--date", "2026-06-21")
    assert [line.split(":")[0] for line in told.err.splitlines()] == [
        "room.setting",
        "room.width_m",
        "room.height_m",
    ]


def test_assess_of_files_that_cannot_be_read(scout: Scout, tmp_path: Path, sheet_file: str) -> None:
    scout.refuses(
        "assess", str(tmp_path / "nowhere.json"), "--date", "2026-06-21", says="cannot be read"
    )
    scout.refuses("assess", str(tmp_path), "--date", "2026-06-21", says="cannot be read")
    scout.refuses(
        "assess", str(tmp_path / ("n" * 300)), "--date", "2026-06-21", says="cannot be read"
    )
    scout.refuses("assess", sheet_file, says="--date")
    scout.refuses(
        "assess",
        sheet_file,
        "--date",
        "2026-06-20",
        "--at",
        "2026-06-21T12:00:00+01:00",
        says="not on 20 Jun 2026",
    )


# -- photo and schema
# -------------------------------------------------------------------------------------------------
def test_photo(scout: Scout, tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6  # turned by a quarter
    held = io.BytesIO()
    Image.new("RGB", (40, 30), "red").save(held, "JPEG", exif=exif)
    path = tmp_path / "a.jpg"
    path.write_bytes(held.getvalue())
    told = scout("photo", str(path), "--json")
    assert (told.code, told.err) == (0, "")
    assert told.json.keys() >= {
        "width_px",
        "height_px",
        "taken_at",
        "latitude_deg",
        "longitude_deg",
        "bearing_deg",
        "warnings",
    }
    assert (told.json["width_px"], told.json["height_px"], told.json["taken_at"]) == (30, 40, None)
    plain = scout("photo", str(path)).out
    assert plain.startswith("a.jpg: JPEG, 30 x 40 pixels, ")
    assert "\n  Taken: not recorded\n" in plain
    assert "_" not in plain


@pytest.mark.parametrize(
    "content", [b"", b"letter", b"\xff\xd8\xff\xe0", b"GIF89a", b"\x89PNG\r\n\x1a\n" + b"\0" * 40]
)
def test_photo_refuses_what_is_no_picture(scout: Scout, tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(content)
    scout.refuses("photo", str(path), "--json", says="a.jpg")


def test_photo_of_nothing(scout: Scout, tmp_path: Path) -> None:
    scout.refuses("photo", str(tmp_path / "nowhere.jpg"), says="is not a file")
    scout.refuses("photo", str(tmp_path), says="is not a file")
    done = scout("photo", str(tmp_path / ("n" * 300 + ".jpg")))
    assert done.code in {1, 2}
    assert done.err


def test_schema(scout: Scout, sheet: dict[str, Any]) -> None:
    told = scout("schema").json
    assert told["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    jsonschema.Draft202012Validator.check_schema(told)
    jsonschema.Draft202012Validator(told).validate(sheet)


# -- the process
# ------------------------------------------------------------------------------------------------------
def test_a_reader_that_leaves_is_no_traceback(scout: Scout) -> None:
    told = subprocess.run(
        f"{sys.executable} -m scout schema | head -c 10; exit ${{PIPESTATUS[0]}}",
        shell=True,
        executable="/bin/bash",
        capture_output=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert b"Traceback" not in told.stderr
    assert told.returncode in {0, 1}


def test_letters_the_terminal_cannot_show(
    scout: Scout, tmp_path: Path, sheet: dict[str, Any]
) -> None:
    path = tmp_path / "sheet.json"
    path.write_text(json.dumps({**sheet, "room": {"name": "Dachböden 🎬"}}), encoding="utf-8")
    western = {"PYTHONIOENCODING": "iso8859-1"}
    told = scout.alone("assess", str(path), "--date", "2026-06-21", **western)
    assert (told.code, told.err) == (0, "")
    assert told.out.startswith(
        "Dachb\ufffdden \\U0001f3ac"
    )  # one letter in its own encoding, the other spelled out
    assert (
        scout.alone("assess", str(path), "--date", "2026-06-21", "--json", **western).json["date"]
        == "2026-06-21"
    )
