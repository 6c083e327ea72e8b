"""The whole assessment: the published keys, what is unknown and why, and no sheet that breaks it.

The keys are those of the published form of `room-assessment/1`; they are typed here, not read from
the code.
"""

from __future__ import annotations

import copy
import json
from datetime import date, datetime
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scout.assess.answers import as_json
from scout.assess.room import assess_room
from scout.errors import Refused, RefusedMany
from scout.records import read_sheet

ON = date(2026, 6, 21)
# The example of the room sheet's own description, version 1, retyped.
SHEET: dict[str, Any] = {
    "schema": "room-sheet/1",
    "location": {
        "name": "Weir House",
        "address": "1 Example Lane",
        "latitude_deg": 52.2,
        "longitude_deg": 0.12,
        "elevation_m": 15,
        "timezone": "Europe/London",
        "ground_reflectance": 0.2,
    },
    "room": {
        "name": "Long parlour",
        "setting": "interior",
        "storey": 0,
        "width_m": 5.0,
        "length_m": 6.5,
        "plan_m": None,
        "height_m": 2.7,
        "facing": {
            "wall": "A",
            "bearing_deg": 182,
            "north": "magnetic",
            "accuracy_deg": 5,
            "read_on": "2026-05-03",
        },
        "surfaces": {
            "A": {
                "colour": {"srgb": "#c9b79c"},
                "light_reflectance": 0.48,
                "finish": "matte",
                "material": "hard_surface",
            },
            "B": {"colour": {"srgb": "#c9b79c"}, "material": "hard_surface"},
            "C": {"colour": {"srgb": "#7d2f2a"}, "material": "plasterboard_wall"},
            "D": {"light_reflectance": 0.55, "material": "hard_surface"},
            "ceiling": {
                "colour": {"lab": [95.1, -0.4, 2.0], "illuminant": "D65"},
                "material": "plasterboard_ceiling",
            },
            "floor": {
                "colour": {
                    "spectrum": {
                        "first_nm": 380,
                        "step_nm": 50,
                        "values": [0.08, 0.09, 0.11, 0.14, 0.17, 0.19, 0.20, 0.21],
                    }
                },
                "material": "wood_floor",
            },
        },
        "windows": [
            {
                "id": "W1",
                "wall": "A",
                "offset_m": 1.5,
                "sill_m": 0.9,
                "width_m": 2.0,
                "height_m": 1.5,
                "transmittance": 0.7,
                "reveal_m": 0.12,
                "overhang_m": 0.0,
                "overhang_gap_m": 0.0,
                "covering": "none",
                "skyline": [
                    {"bearing_deg": 150, "elevation_deg": 12},
                    {"bearing_deg": 200, "elevation_deg": 25},
                ],
            }
        ],
        "doors": [{"id": "D1", "wall": "C", "offset_m": 0.4, "width_m": 0.83, "height_m": 2.0}],
        "circuits": [
            {"id": "K1", "volts": 230, "breaker_a": 16, "other_load_w": 150, "verified": False}
        ],
        "outlets": [
            {
                "id": "P1",
                "wall": "B",
                "offset_m": 0.6,
                "height_m": 0.3,
                "circuit": "K1",
                "sockets": 2,
            }
        ],
        "contents": [
            {"material": "curtain_velvet", "area_m2": 4.0},
            {"material": "person", "count": 3},
        ],
        "practicals": [
            {
                "id": "L1",
                "at_m": [2.5, 3.2, 2.4],
                "lumens": 800,
                "cct_k": 2700,
                "duv": 0.0,
                "can_switch_off": True,
            }
        ],
        "noise": [
            {
                "id": "N1",
                "taken_at": "2026-05-03T10:40:00+01:00",
                "laeq_db": 34.0,
                "lceq_db": None,
                "bands_db": {
                    "63": 45,
                    "125": 40,
                    "250": 34,
                    "500": 30,
                    "1000": 27,
                    "2000": 24,
                    "4000": 20,
                    "8000": 17,
                },
                "duration_s": 60,
                "method": "meter_class_2",
                "conditions": "fridge on, windows shut",
            }
        ],
    },
    "marks": {
        "subject": [2.5, 3.0, 1.2],
        "subject_normal": [0, -1, 0],
        "camera": [2.5, 0.8, 1.4],
        "path": [[1.0, 3.0, 1.5], [4.0, 3.0, 1.5]],
    },
    "kit": {
        "camera": {
            "sensor_width_mm": 24.9,
            "sensor_height_mm": 14.0,
            "focal_lengths_mm": [24, 35, 50, 85],
            "iso": 800,
            "f_number": 2.8,
            "shutter_s": 0.02,
            "latitude_stops": 5,
        },
        "lights": [
            {
                "id": "key",
                "watts": 300,
                "power_factor": 0.95,
                "cct_k": 5600,
                "duv": 0.0,
                "spectrum": "led",
                "lux_at_1m": 9000,
                "beam_deg": 55,
                "stand_min_m": 1.1,
                "stand_max_m": 2.6,
                "head_m": 0.35,
                "soft_width_m": 0.9,
                "at_m": None,
                "aim_m": None,
            }
        ],
        "mics": [
            {"id": "boom", "kind": "shotgun", "distance_m": 0.7},
            {"id": "clip", "kind": "omni_clip", "distance_m": 0.2},
            {"id": "camera_mic", "kind": "camera", "distance_m": 2.2},
        ],
        "cables": [{"length_m": 10, "conductor_mm2": 1.5}],
    },
    "extra": {},
}
TOP = {
    "schema",
    "date",
    "timezone",
    "events",
    "windows",
    "daylight",
    "bounce",
    "surround",
    "sound",
    "power",
    "fit",
    "findings",
    "cautions",
}
EVENTS = {
    "state",
    "dawn",
    "sunrise",
    "noon",
    "sunset",
    "dusk",
    "crossings",
    "low_sun",
    "day_length_min",
}
WINDOW = {"id", "facing_deg", "facing_true", "direct_sun", "direct_sun_min", "direct_sun_range"}
MARK = {"daylight_factor_pct", "sky_component_pct", "overcast_lux_noon", "clear_lux_noon", "series"}
POINT = {"at", "overcast_lux", "clear_lux", "in_direct_sun"}
BOUNCE = {
    "light",
    "surface",
    "bounced_lux",
    "xy",
    "cct_k",
    "duv",
    "duv_shift",
    "mired_shift",
    "delta_e",
    "delta_e_white",
    "delta_e_skin",
    "loss_stops",
    "risk",
    "remedy",
}
SURROUND = {
    "light",
    "side",
    "direct_lux",
    "bounced_lux",
    "bounced_share",
    "cct_k",
    "duv_shift",
    "mired_shift",
    "delta_e",
    "risk",
    "worst_surface",
}
SOUND = {
    "laeq_db",
    "nc",
    "nc_set_by_hz",
    "rt60_s",
    "rt60_mid_s",
    "rt60_range_s",
    "schroeder_hz",
    "placements",
}
MIC = {"mic", "speech_db", "snr_db", "critical_distance_m", "direct_to_reverberant_db", "verdict"}
POWER = {"feasible", "circuits", "assignment", "unplaced"}
FRAMING = {"name", "focal_length_mm", "distance_m", "fits"}
BLOCKS = ("events", "daylight", "sound", "power", "fit")


def assessed(sheet: dict[str, Any], on: date | None = ON, at: str | None = None) -> dict[str, Any]:
    """The assessment as a reader of the JSON meets it."""
    answer = assess_room(
        read_sheet(json.dumps(sheet)), on, at=datetime.fromisoformat(at) if at else None
    )
    found: dict[str, Any] = json.loads(json.dumps(as_json(answer), allow_nan=False))
    return found


@pytest.fixture(scope="module")
def whole() -> dict[str, Any]:
    return assessed(SHEET)


def blocks_of(answer: dict[str, Any]) -> list[dict[str, Any]]:
    """Every block and every row that is a block."""
    rows = [answer[name] for name in BLOCKS]
    rows += [
        *answer["windows"],
        *answer["bounce"],
        *answer["surround"],
        *answer["daylight"]["marks"].values(),
        *answer["sound"]["placements"],
    ]
    return [
        *rows,
        *answer["power"]["circuits"],
        *answer["power"]["assignment"],
        *answer["fit"]["framings"],
        *answer["fit"]["plan"].values(),
    ]


def test_every_fixed_key_is_there(whole: dict[str, Any]) -> None:
    assert whole.keys() >= TOP
    assert (whole["schema"], whole["date"], whole["timezone"]) == (
        "room-assessment/1",
        "2026-06-21",
        "Europe/London",
    )
    assert whole["events"].keys() >= EVENTS
    assert set(whole["events"]["crossings"][0]) == {"at", "event"}
    assert [set(row) >= WINDOW for row in whole["windows"]] == [True]
    assert set(whole["windows"][0]["direct_sun_range"][0]) == {"start", "end"}
    assert whole["daylight"].keys() >= {"marks", "needed_lux", "enough_from", "enough_until"}
    assert whole["daylight"]["marks"]["subject"].keys() >= MARK
    assert set(whole["daylight"]["marks"]["subject"]["series"][0]) >= POINT
    assert all(row.keys() >= BOUNCE for row in whole["bounce"])
    assert {row["surface"] for row in whole["bounce"]} == {"A", "B", "C", "D", "ceiling", "floor"}
    assert all(row.keys() >= SURROUND for row in whole["surround"])
    assert [row["side"] for row in whole["surround"]] == ["key", "shadow"]
    assert whole["sound"].keys() >= SOUND
    assert [row["mic"] for row in whole["sound"]["placements"] if row.keys() >= MIC] == [
        "boom",
        "clip",
        "camera_mic",
    ]
    assert whole["power"].keys() >= POWER
    assert set(whole["power"]["circuits"][0]) >= {"id", "limit_a", "load_a", "share"}
    assert set(whole["power"]["assignment"][0]) >= {
        "light",
        "outlet",
        "circuit",
        "cable_m",
        "volt_drop_pct",
    }
    assert whole["fit"].keys() >= {"framings", "plan", "available_light_first"}
    assert all(row.keys() >= FRAMING for row in whole["fit"]["framings"])
    assert set(whole["fit"]["plan"]) == {"key", "fill", "back", "bounce"}
    assert all(
        row.keys() >= {"code", "topic", "level", "line", "acts"} for row in whole["findings"]
    )
    assert all(isinstance(caution, str) for caution in whole["cautions"])


def test_every_block_carries_what_is_assumed(whole: dict[str, Any]) -> None:
    assert [block for block in blocks_of(whole) if not isinstance(block.get("assumed"), list)] == []
    assert set(whole["blocks"]) == {
        "windows",
        "bounce",
        "surround",
    }  # blocks that are lists of rows carry theirs here
    assert all(isinstance(note["assumed"], list) for note in whole["blocks"].values())
    assert all(
        block["unknown"].startswith("because") for block in blocks_of(whole) if "unknown" in block
    )


def test_the_example_s_facing_and_day(whole: dict[str, Any]) -> None:
    # Source: World Magnetic Model 2025 at 52.2 N 0.12 E in May 2026 is about 1.2 degrees east (by
    # its published chart): 182 + 1.2
    assert whole["windows"][0]["facing_deg"] == pytest.approx(183.2, abs=0.2)
    # Source: almanac times for Cambridge on 21 June (from memory): sunrise 04:38, sunset 21:24
    # British Summer Time
    assert whole["events"]["sunrise"].startswith("2026-06-21T04:38")
    assert whole["events"]["sunset"].startswith("2026-06-21T21:24")
    # by hand: 16 A x 0.8 = 12.8 A; 150 W / 230 V + 300 W / (230 V x 0.95) = 0.652 + 1.373 = 2.025 A
    assert whole["power"]["circuits"][0]["limit_a"] == pytest.approx(12.8)
    assert whole["power"]["circuits"][0]["load_a"] == pytest.approx(2.025, abs=0.002)


def test_with_a_time_the_sun_and_its_patches(whole: dict[str, Any]) -> None:
    assert (whole["sun"], whole["sun_patches"]) == (None, None)
    found = assessed(SHEET, None, at="2026-06-21T14:00:00+01:00")
    assert found["date"] == "2026-06-21"
    assert found["sun"].keys() >= {"elevation_deg", "azimuth_deg"}
    assert [
        set(row) >= {"window", "incidence_deg", "lit_share", "patches"}
        for row in found["sun_patches"]
    ] == [True]
    patch = found["sun_patches"][0]["patches"][0]
    assert set(patch) >= {"surface", "polygon_m", "area_m2"}
    assert all(len(corner) == 3 for corner in patch["polygon_m"])


def test_the_date_of_a_time_is_the_room_s_own() -> None:
    place = {
        **SHEET["location"],
        "latitude_deg": -36.85,
        "longitude_deg": 174.76,
        "timezone": "Pacific/Auckland",
    }
    assert (
        assessed({**SHEET, "location": place}, None, at="2026-06-20T20:00:00+00:00")["date"]
        == "2026-06-21"
    )  # by hand: UTC+12
    with pytest.raises(Refused, match="21 Jun 2026 where the room stands, not on 20 Jun 2026"):
        assessed({**SHEET, "location": place}, date(2026, 6, 20), at="2026-06-20T20:00:00+00:00")
    with pytest.raises(Refused, match="give a date, or a time"):
        assessed(SHEET, None)
    for year in ("0001", "9999"):
        with pytest.raises(Refused, match="outside the years"):
            assessed(SHEET, None, at=f"{year}-01-01T00:00:00+14:00")


# -- what is missing
# --------------------------------------------------------------------------------------------------
def without(*path: str) -> dict[str, Any]:
    """The example with one fact not measured."""
    sheet = copy.deepcopy(SHEET)
    at = sheet
    for key in path[:-1]:
        at = at[key]
    at[path[-1]] = None
    return sheet


@pytest.mark.parametrize(
    "room",
    [
        {},
        {"name": "Cellar"},
        {"name": "Yard", "setting": "exterior"},
        {"width_m": 4, "length_m": 5},
        {"windows": []},
    ],
)
def test_a_room_of_which_little_is_known(room: dict[str, Any]) -> None:
    found = assessed({"schema": "room-sheet/1", "room": room})
    assert found.keys() >= TOP
    for name in BLOCKS:
        assert found[name]["unknown"].startswith("because"), name
    assert {one["level"] for one in found["findings"]} <= {"unknown", "good", "outside"}
    sun = [one["code"] for one in found["findings"] if one["topic"] == "sun"]
    assert sun == (["sun.none"] if room == {"windows": []} else ["sun.unknown"])
    if "windows" not in room and room.get("setting") != "exterior":
        assert found["blocks"]["windows"]["unknown"] == "because windows are not measured"
    assert found["cautions"]


@pytest.mark.parametrize(
    ("path", "where", "words"),
    [
        (("location",), ("events",), "latitude"),
        (("room", "facing"), ("windows", 0), "facing"),
        (("room", "height_m"), ("bounce", 0), "height"),
        (("kit",), ("fit",), "camera"),
        (("kit",), ("power",), "lights"),
        (("marks",), ("daylight",), "mark"),
        (("room", "noise"), ("sound",), "noise"),
    ],
)
def test_what_is_missing_is_named_where_it_is_missed(
    path: tuple[str, ...], where: tuple[str | int, ...], words: str
) -> None:
    found = assessed(without(*path))
    if where == ("bounce", 0) and not found["bounce"]:
        assert words in found["blocks"]["bounce"]["unknown"]
        return
    block: Any = found
    for step in where:
        block = block[step]
    assert block["unknown"].startswith("because")
    assert words in block["unknown"]


def test_nothing_not_measured_becomes_a_nought() -> None:
    found = assessed(without("room", "noise"))["sound"]
    assert (found["laeq_db"], found["nc"]) == (None, None)
    assert found["rt60_mid_s"] is not None  # what can be had without a reading is had
    assert all(row["snr_db"] is None for row in found["placements"])


def test_a_time_zone_not_recorded_is_looked_up_and_said() -> None:
    found = assessed(without("location", "timezone"))
    assert found["timezone"] == "Europe/London"  # IANA time zone database, by the coordinates
    assert any(
        "Europe/London is taken, from the coordinates" in words
        for words in found["events"]["assumed"]
    )
    at_sea = assessed(
        {**SHEET, "location": {"latitude_deg": -48.9, "longitude_deg": -123.4}}
    )  # by hand: the South Pacific, far from land
    assert at_sea["timezone"] is None
    assert any("no land within" in words for words in at_sea["events"]["assumed"])


# -- other rooms
# ------------------------------------------------------------------------------------------------------
def test_an_l_shaped_room() -> None:
    room = {
        **SHEET["room"],
        "width_m": None,
        "length_m": None,
        "plan_m": [[0, 6.5], [3, 6.5], [3, 4], [5, 4], [5, 0], [0, 0]],
        "doors": [],
        "windows": [{**SHEET["room"]["windows"][0], "offset_m": 0.5}],
        "outlets": [{**SHEET["room"]["outlets"][0], "wall": "D"}],
    }
    found = assessed(
        {
            **SHEET,
            "room": {
                **room,
                "surfaces": {
                    **SHEET["room"]["surfaces"],
                    "E": {"light_reflectance": 0.5, "material": "hard_surface"},
                    "F": {"light_reflectance": 0.5, "material": "hard_surface"},
                },
            },
        }
    )
    assert {row["surface"] for row in found["bounce"]} == {*"ABCDEF", "ceiling", "floor"}
    assert found["daylight"]["marks"]["subject"]["daylight_factor_pct"] > 0
    assert found["power"]["feasible"] is True


def test_an_exterior() -> None:
    yard = {
        "name": "Yard",
        "setting": "exterior",
        "plan_m": [[0, 8], [10, 8], [10, 0], [0, 0]],
        "skyline": [{"bearing_deg": 90, "elevation_deg": 20}],
        "facing": {"wall": "A", "bearing_deg": 0, "north": "true", "accuracy_deg": 2},
        "noise": SHEET["room"]["noise"],
    }
    found = assessed({**SHEET, "room": yard})
    assert found["windows"] == []
    assert "unknown" not in found["blocks"]["windows"]
    assert found["sound"]["rt60_s"] is None
    assert found["sound"]["laeq_db"] == 34.0
    assert found["bounce"] == [] or all(
        row["surface"] not in {"ceiling", "A"} for row in found["bounce"]
    )
    assert (
        found["daylight"]["marks"]["subject"]["overcast_lux_noon"] > 10_000
    )  # common practice: overcast daylight outdoors in June is tens of kilolux


@pytest.mark.parametrize(
    ("latitude", "on", "state"),
    [
        (90, ON, "polar_day"),
        (-90, ON, "polar_night"),
        (78.2, ON, "polar_day"),
        (78.2, date(2026, 12, 21), "polar_night"),
    ],
)
def test_polar_places(latitude: float, on: date, state: str) -> None:
    place = {
        "latitude_deg": latitude,
        "longitude_deg": 15.6,
        "timezone": "Arctic/Longyearbyen" if latitude > 0 else "Antarctica/McMurdo",
    }
    found = assessed({**SHEET, "location": place}, on)
    assert found["events"]["state"] == state
    assert found["events"]["sunrise"] is None
    if state == "polar_night":
        assert [row["direct_sun"] for row in found["windows"]] == [[]]


@pytest.mark.parametrize(
    "on",
    [
        date(1850, 1, 1),
        date(3000, 12, 31),
        date(1, 1, 1),
        date(9999, 12, 31),
        date(2026, 3, 29),
        date(2026, 10, 25),
    ],
)
def test_any_date_of_the_calendar(on: date) -> None:
    found = assessed(SHEET, on)
    assert found["date"] == on.isoformat()
    if on.year in {1, 9999}:
        assert "outside the years" in found["events"]["unknown"]
        assert all("unknown" in row for row in found["windows"])


# -- random sheets
# ----------------------------------------------------------------------------------------------------
def maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | strategy


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False) | st.sampled_from([low, high])


def listed(kind: st.SearchStrategy[Any], most: int = 2) -> st.SearchStrategy[Any]:
    """A list of things with ids of their own, or none recorded."""
    return maybe(st.lists(kind, max_size=most, unique_by=lambda thing: thing["id"]))


# Mostly rooms that can be, so that most sheets are answered; some openings run past their wall,
# some marks stand outside.
OPENING = {
    "offset_m": maybe(numbers(0, 2)),
    "width_m": maybe(numbers(0.01, 1.9)),
    "height_m": maybe(numbers(0.01, 1.4)),
}


def window_in(wall: str) -> st.SearchStrategy[dict[str, Any]]:
    """A window in one wall, most of whose facts may be missing."""
    return st.fixed_dictionaries(
        {
            "id": st.just(f"W{wall}"),
            "wall": st.just(wall),
            **OPENING,
            "sill_m": maybe(numbers(0, 1)),
            "transmittance": maybe(numbers(0, 1)),
            "reveal_m": maybe(numbers(0, 1)),
            "covering": maybe(st.sampled_from(["none", "sheer", "blind", "blackout"])),
        }
    )


FACINGS = st.fixed_dictionaries(
    {
        "wall": st.sampled_from("ABCD"),
        "bearing_deg": numbers(0, 360),
        "accuracy_deg": maybe(numbers(0, 180)),
        "north": maybe(st.sampled_from(["true", "magnetic"])),
    }
)
SURFACES = st.fixed_dictionaries(
    {
        "light_reflectance": maybe(numbers(0, 1)),
        "material": maybe(st.sampled_from(["hard_surface", "curtain_velvet", "glass"])),
    }
)
OUTLETS = st.fixed_dictionaries(
    {
        "id": st.sampled_from(["P1", "P2"]),
        "wall": maybe(st.sampled_from("AB")),
        "offset_m": maybe(numbers(0, 4)),
        "sockets": maybe(st.integers(1, 3)),
    }
)
ROOMS = st.fixed_dictionaries(
    {
        "setting": maybe(st.sampled_from(["interior", "exterior", "covered"])),
        "width_m": maybe(numbers(3.9, 60)),
        "length_m": maybe(numbers(3.5, 60)),
        "height_m": maybe(numbers(2.3, 30)),
        "facing": maybe(FACINGS),
        "windows": listed(st.sampled_from("AB").flatmap(window_in)),
        "surfaces": maybe(
            st.dictionaries(st.sampled_from(["A", "B", "ceiling", "floor"]), SURFACES)
        ),
        "circuits": maybe(st.just([{"id": "K1", "volts": 120, "breaker_a": 15}])),
        "outlets": listed(OUTLETS),
        "noise": maybe(
            st.just([{"id": "N1", "bands_db": {"63": 50, "1000": 20}, "method": "estimate"}])
        ),
    }
)
SPOTS = st.tuples(numbers(0, 3.9), numbers(0, 3.6), numbers(0, 2.3)).map(list)
CAMERAS = st.fixed_dictionaries(
    {
        "sensor_width_mm": maybe(numbers(1, 60)),
        "sensor_height_mm": maybe(numbers(1, 40)),
        "focal_lengths_mm": maybe(st.lists(numbers(4, 800), max_size=2)),
        "iso": maybe(numbers(50, 100_000)),
        "f_number": maybe(numbers(0.7, 32)),
        "shutter_s": maybe(numbers(0.0001, 1)),
        "latitude_stops": maybe(numbers(0, 15)),
    }
)
LIGHTS = st.fixed_dictionaries(
    {
        "id": st.sampled_from(["key", "fill"]),
        "watts": maybe(numbers(0, 20_000)),
        "lux_at_1m": maybe(numbers(0.001, 1e6)),
        "beam_deg": maybe(numbers(1, 179)),
        "cct_k": maybe(numbers(1000, 40_000)),
        "duv": maybe(numbers(-0.1, 0.1)),
        "at_m": maybe(SPOTS),
        "aim_m": maybe(SPOTS),
        "spectrum": maybe(st.sampled_from(["daylight", "tungsten", "led", "fluorescent"])),
        "stand_min_m": maybe(numbers(0, 3)),
        "stand_max_m": maybe(numbers(3, 6)),
    }
)
KITS = st.fixed_dictionaries(
    {
        "camera": maybe(CAMERAS),
        "lights": listed(LIGHTS),
        "cables": maybe(st.just([{"length_m": 0.01}])),
        "mics": maybe(
            st.just(
                [
                    {"id": "boom", "kind": "shotgun"},
                    {"id": "clip", "kind": "omni_clip", "distance_m": 0.001},
                ]
            )
        ),
    }
)
SHEETS = st.fixed_dictionaries(
    {
        "schema": st.just("room-sheet/1"),
        "room": ROOMS,
        "kit": maybe(KITS),
        "location": maybe(
            st.fixed_dictionaries(
                {
                    "latitude_deg": maybe(numbers(-90, 90)),
                    "longitude_deg": maybe(numbers(-180, 180)),
                    "ground_reflectance": maybe(numbers(0, 1)),
                }
            )
        ),
        "marks": maybe(
            st.fixed_dictionaries(
                {
                    "subject": maybe(SPOTS),
                    "camera": maybe(SPOTS),
                    "path": maybe(st.lists(SPOTS, max_size=1)),
                }
            )
        ),
    }
)


@settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(SHEETS, st.dates(), st.booleans())
def test_property_any_sheet_is_answered_or_refused_by_name(
    sheet: dict[str, Any], on: date, with_time: bool
) -> None:
    at = f"{on.isoformat()}T12:00:00+00:00" if with_time else None
    try:
        found = assessed(sheet, None if with_time else on, at)
    except (Refused, RefusedMany):
        return
    assert found.keys() >= TOP
    assert all(isinstance(block["assumed"], list) for block in blocks_of(found))
