"""A room as it is lived in: furniture and street in the daylight of a sheet."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import pytest

from scout.assess.answers import MarkDaylight
from scout.assess.daylight.mark.marks import marks
from scout.records import read_sheet

ON = date(2026, 6, 21)
PIECES: list[dict[str, Any]] = [
    {
        "id": "table",
        "at_m": [2.5, 4.0],
        "width_m": 1.6,
        "depth_m": 0.9,
        "height_m": 0.75,
        "clear_below_m": 0.7,
        "reflectance": 0.3,
    },
    {
        "id": "sofa",
        "at_m": [1.0, 2.2],
        "width_m": 0.9,
        "depth_m": 2.0,
        "height_m": 0.8,
        "reflectance": 0.3,
    },
    {
        "id": "bookcase",
        "at_m": [2.5, 2.9],
        "width_m": 1.6,
        "depth_m": 0.3,
        "height_m": 1.9,
        "reflectance": 0.3,
    },
]


def subject(**room: Any) -> MarkDaylight:
    """The light at the subject, 4 m from two windows to the south."""
    window = {"wall": "A", "sill_m": 0.8, "width_m": 1.6, "height_m": 1.5, "transmittance": 0.7}
    closed = {"reveal_m": 0, "overhang_m": 0, "covering": "none", "material": "glass"}
    sheet = {
        "schema": "room-sheet/1",
        "location": {"latitude_deg": 52.2, "longitude_deg": 0.12, "ground_reflectance": 0.2},
        "room": {
            "setting": "interior",
            "width_m": 5.0,
            "length_m": 6.0,
            "height_m": 2.7,
            "facing": {"wall": "A", "bearing_deg": 180, "north": "true", "accuracy_deg": 5},
            "surfaces": {
                **{wall: {"light_reflectance": 0.5} for wall in "ABCD"},
                "floor": {"light_reflectance": 0.2},
                "ceiling": {"light_reflectance": 0.7},
            },
            "skyline": [],
            "windows": [
                {**window, **closed, "id": "W1", "offset_m": 0.6},
                {**window, **closed, "id": "W2", "offset_m": 2.9},
            ],
            **room,
        },
        "marks": {"subject": [2.5, 2.0, 1.2], "camera": [2.5, 0.4, 1.3]},
    }
    return marks(read_sheet(json.dumps(sheet).encode()), ON).marks["subject"]


def codes(row: MarkDaylight) -> set[str]:
    return {what.code for what in row.assumed}


def open_facts(row: MarkDaylight) -> list[str]:
    """What is not recorded and widens the range."""
    return [fact.fact for fact in row.range_from if not fact.recorded]


def test_furniture_before_the_windows_takes_most_of_the_light() -> None:
    # property: a bookcase 1.9 m high between face and windows leaves little of the sky
    bare, full = subject(furniture=[]), subject(furniture=PIECES)
    for figure in ("daylight_factor_pct", "camera_factor_pct", "camera_clear_lux_noon"):
        assert getattr(full, figure) < 0.7 * getattr(bare, figure), figure
    assert open_facts(bare) == open_facts(full) == []  # all of it is measured
    assert "light.empty" not in codes(bare) | codes(full)


def test_what_nobody_recorded_is_said_and_what_is_half_recorded_left_out() -> None:
    assert "light.empty" in codes(subject())
    by_eye = subject(furniture=[*PIECES, {"id": "piano"}])
    assert "light.pieces_left_out" in codes(by_eye)
    assert by_eye.daylight_factor_pct == subject(furniture=PIECES).daylight_factor_pct


def test_a_piece_of_unknown_reflectance_gives_a_range() -> None:
    # property: dark wood to pale wood (common practice), the light grows with it
    dull = [{key: part for key, part in piece.items() if key != "reflectance"} for piece in PIECES]
    row = subject(furniture=dull)
    assert row.daylight_factor_range_pct is not None
    low, high = row.daylight_factor_range_pct
    assert row.daylight_factor_pct is not None
    assert low < row.daylight_factor_pct < high
    assert "light.pieces_taken" in codes(row)
    assert open_facts(row) == ["furniture.table.reflectance"]


def test_furnished_about_as_usual_reaches_from_furnished_to_bare() -> None:
    # property: the bare room is the bright end
    row, bare = subject(furnished="usual"), subject(furniture=[])
    assert row.daylight_factor_range_pct is not None
    low, high = row.daylight_factor_range_pct
    assert bare.daylight_factor_pct is not None
    assert high >= bare.daylight_factor_pct
    assert row.daylight_factor_pct is not None
    assert low < row.daylight_factor_pct < bare.daylight_factor_pct
    assert open_facts(row) == ["room.furnished"]
    assert "light.furnished_usual" in codes(row)
    assert subject(furnished="bare").daylight_factor_pct == bare.daylight_factor_pct


@pytest.mark.parametrize("storey", [0, 2])
def test_a_deep_street_dims_and_what_is_not_measured_of_it_gives_a_range(storey: int) -> None:
    # property: a skyline of 55 degrees in front leaves less than its street measured and pale does
    skyline = [{"bearing_deg": 180, "elevation_deg": 55}]
    open_sky = subject(furniture=[])
    deep = subject(furniture=[], skyline=skyline, storey=storey)
    street = {"width_m": 10, "building_height_m": 16, "facade_reflectance": 0.3}
    known = subject(furniture=[], skyline=skyline, storey=storey, street=street)
    assert open_facts(known) == []
    assert open_facts(deep) == ["room.street.facade_reflectance"]
    assert deep.daylight_factor_range_pct is not None
    assert known.daylight_factor_pct is not None
    assert open_sky.daylight_factor_pct is not None
    low, high = deep.daylight_factor_range_pct
    assert deep.daylight_factor_pct is not None
    assert low < known.daylight_factor_pct < high
    assert deep.daylight_factor_pct < 0.6 * open_sky.daylight_factor_pct
    assert "light.street" in codes(deep)
