"""The drawn photos of the demonstration: small, whole, captioned, and as various as a scout's own."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from scout.media.photos.photos import read_photo

DEMO = Path(__file__).resolve().parents[3] / "demo_data"
FILES = sorted((DEMO / "photos").iterdir())


def test_all_are_small_whole_and_captioned() -> None:
    captions = json.loads((DEMO / "captions.json").read_text(encoding="utf-8"))
    assert {file.name for file in FILES} == set(captions)
    assert 20 <= len(FILES) <= 28
    assert sum(file.stat().st_size for file in FILES) < 2_500_000
    for file in FILES:
        found = read_photo(file)
        assert found.complete
        assert found.size_bytes < 120_000
        assert max(found.width_px, found.height_px) in {1600, 960}


def test_every_room_of_the_scenario_has_at_least_two_photos() -> None:
    scenario = json.loads((DEMO / "scenario.json").read_text(encoding="utf-8"))
    for place in scenario["locations"]:
        for room in place["rooms"]:
            assert (
                sum(
                    file.name.startswith(f"{prefix}_")
                    for prefix in room["photos"]
                    for file in FILES
                )
                >= 2
            )


def test_places_and_bearings_are_those_of_the_scenario() -> None:
    # The camera looks squarely out of wall A, which the sheet says faces 196 degrees magnetic; the
    # declination there in 2026 is
    # +1.5 degrees (WMM-2025, NOAA and British Geological Survey).
    parlour = read_photo(DEMO / "photos" / "tannery_front_parlour_1.jpg")
    assert (parlour.bearing_magnetic_deg, parlour.bearing_deg) == (
        196.0,
        pytest.approx(197.5, abs=0.2),
    )
    assert (parlour.latitude_deg, parlour.longitude_deg) == (
        pytest.approx(52.63, abs=0.001),
        pytest.approx(1.30, abs=0.002),
    )
    loft = read_photo(DEMO / "photos" / "kowhai_studio_loft_1.heic")
    assert (loft.format, loft.taken_at) == ("HEIC", "2026-10-03T10:48:00+13:00")
    assert loft.latitude_deg == pytest.approx(-41.30, abs=0.002)


def test_some_record_nothing_as_in_life() -> None:
    found = [read_photo(file) for file in FILES]
    assert any(one.taken_at is None for one in found)
    assert any(one.latitude_deg is None for one in found)
    assert any(one.taken_at and one.taken_at_utc is None for one in found)
    assert any(one.orientation == 6 for one in found)
