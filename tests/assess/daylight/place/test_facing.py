"""Facing without a compass and a skyline from a photo, against rooms whose facing is known."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime
from typing import Any

import pytest

from scout.assess.daylight.place.facing import (
    compass,
    facing_from_map,
    facing_from_shadow,
    skyline_from_photo,
)
from scout.errors import Refused
from scout.records.sheet import RoomRecord, RoomSheet
from scout.records.sighted import MapLine, ShadowLine, SkylineTrace

LONDON = {"latitude_deg": 51.5, "longitude_deg": -0.12, "timezone": "Europe/London"}


def sheet(location: dict[str, Any] | None = None, **room: Any) -> RoomSheet:
    facts = {
        "name": "Parlour",
        "setting": "interior",
        "width_m": 5.0,
        "length_m": 6.5,
        "height_m": 2.7,
        **room,
    }
    return RoomSheet.read(
        {
            "schema": "room-sheet/1",
            "location": LONDON if location is None else location,
            "room": facts,
        }
    )


def shadow(**changes: Any) -> ShadowLine:
    return ShadowLine.read(
        {"at": "2026-03-29T18:30:00+01:00", "near": [2.0, 6.0], "far": [3.0, 5.0], **changes}
    )


# -- shadow
# -----------------------------------------------------------------------------------------------------------
def test_facing_from_a_shadow() -> None:
    # Source: pvlib nrel_numpy, London 2026-03-29 17:30 UTC: azimuth 265.3381. by hand: the shadow
    # runs to 85.3381; on the plan it runs from (2, 6) to (3, 5),
    # 135 degrees clockwise of the plan's y axis, so y points to 85.3381 - 135 = 310.3381, and wall
    # A of a rectangle looks along y
    found = facing_from_shadow(sheet(), shadow())
    assert found.wall == "A"
    assert found.bearing_deg == pytest.approx(310.34, abs=0.02)
    # by hand: 2 cm at either end of 1.414 m is asin(0.04 / 1.414) = 1.62 degrees, and 1 min of the
    # sun about 0.2: together 1.64
    assert found.accuracy_deg == pytest.approx(1.7, abs=0.051)


def test_a_longer_line_and_a_better_clock_tell_more() -> None:
    # property: less doubt about line and clock, less about the bearing
    rough, fine = (
        facing_from_shadow(sheet(), shadow(clock_s=600)),
        facing_from_shadow(sheet(), shadow(accuracy_m=0.005, clock_s=5)),
    )
    assert fine.accuracy_deg < rough.accuracy_deg
    assert fine.bearing_deg == rough.bearing_deg


@pytest.mark.parametrize(
    ("changes", "line", "field"),
    [
        ({}, {"at": "2026-03-29T23:30:00+01:00"}, "at"),  # night
        ({}, {"far": [2.0, 6.0]}, "far"),
        ({"width_m": None}, {}, "near"),
        ({"location": {"timezone": "Europe/London"}}, {}, "at"),
    ],
)
def test_shadows_that_tell_nothing(
    changes: dict[str, Any], line: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as refusal:
        facing_from_shadow(sheet(**changes), shadow(**line))
    assert refusal.value.path == field


# -- map
# --------------------------------------------------------------------------------------------------------------
def points(**changes: Any) -> MapLine:
    return MapLine.read(
        {
            "wall": "B",
            "runs": "along",
            "from_latitude_deg": 0.0,
            "from_longitude_deg": 0.0,
            "to_latitude_deg": 0.0,
            "to_longitude_deg": 0.001,
            **changes,
        }
    )


def test_facing_from_the_map() -> None:
    room = RoomRecord.read({"width_m": 5.0, "length_m": 6.5})
    # by hand: a wall that runs east, left to right as seen from inside, looks out to the north
    assert facing_from_map(room, points()).bearing_deg == pytest.approx(0.0, abs=0.01)
    assert facing_from_map(room, points(runs="out_through")).bearing_deg == pytest.approx(
        90.0, abs=0.01
    )
    # by hand: 2 m either side over 111.3 m: asin(4 / 111.3) = 2.06, told as 2.1
    assert facing_from_map(room, points()).accuracy_deg == pytest.approx(2.1)
    assert facing_from_map(room, points(accuracy_m=0.0)).accuracy_deg == 0.0


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"wall": "F"}, "wall"),
        ({"to_longitude_deg": 0.0}, "to_latitude_deg"),
        ({"from_latitude_deg": 89.9}, "from_latitude_deg"),
    ],
)
def test_map_lines_that_tell_nothing(changes: dict[str, Any], field: str) -> None:
    with pytest.raises(Refused) as refusal:
        facing_from_map(RoomRecord.read({"width_m": 5.0, "length_m": 6.5}), points(**changes))
    assert refusal.value.path == field


# -- compass
# ----------------------------------------------------------------------------------------------------------
def test_magnetic_and_true_side_by_side() -> None:
    # from memory: the declination in London in 2026 is about one degree east, by maps of the World
    # Magnetic Model 2025
    read = compass(
        sheet(
            facing={"wall": "A", "bearing_deg": 359.5, "north": "magnetic", "read_on": "2026-06-21"}
        ),
        date(2026, 12, 1),
    )
    assert read is not None
    assert read.correction_deg == pytest.approx(1.1, abs=0.3)
    assert read.true_deg == pytest.approx((359.5 + (read.correction_deg or 0.0)) % 360.0)
    assert read.model == "WMM-2025"
    assert read.caution.code == "sun.compass"


def test_a_true_bearing_needs_no_correction() -> None:
    read = compass(
        sheet(facing={"wall": "A", "bearing_deg": 90, "north": "true", "accuracy_deg": 1}),
        date(2026, 12, 1),
    )
    assert read is not None
    assert (read.true_deg, read.correction_deg, read.doubt_deg) == (90.0, None, 1.0)
    assert compass(sheet(), date(2026, 12, 1)) is None


def test_a_magnetic_bearing_nobody_can_turn() -> None:
    for given, on in (({"timezone": "Europe/London"}, "2026-06-21"), (LONDON, "1955-06-21")):
        read = compass(
            sheet(
                given, facing={"wall": "A", "bearing_deg": 90, "north": "magnetic", "read_on": on}
            ),
            date(2026, 12, 1),
        )
        assert read is not None
        assert read.true_deg is None
        assert read.unknown is not None


# -- skyline from a photo
# ---------------------------------------------------------------------------------------------
def test_a_skyline_traced_on_a_photo() -> None:
    # by hand: 24 mm on 3:2 is 73.74 degrees across; the right edge lies 36.87 to the right of 350,
    # the left as far to the left; a quarter of the height over
    # the middle of a picture 2 units wide is 0.5 / 1.5 x tan 36.87 = 0.25 up: atan 0.25 = 14.04
    # degrees
    trace = SkylineTrace.read(
        {
            "photo_id": 1,
            "bearing_deg": 350,
            "equivalent_mm": 24,
            "points": [[1.0, 0.5], [0.5, 0.25], [0.0, 0.5]],
        }
    )
    skyline, across, assumed = skyline_from_photo(trace, 6000, 4000)
    assert across == pytest.approx(73.74, abs=0.01)
    assert skyline == ((26.9, 0.0), (313.1, 0.0), (350.0, 14.0))
    assert [one.code for one in assumed] == ["sun.whole_picture", "sun.level_lens"]


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"equivalent_mm": None}, "across_deg"),
        ({"across_deg": 60}, "across_deg"),
        ({"points": [[0.5, 0.5], [1.5, 0.5]]}, "points"),
    ],
)
def test_traces_that_cannot_be_used(changes: dict[str, Any], field: str) -> None:
    plain = {
        "photo_id": 1,
        "bearing_deg": 350,
        "equivalent_mm": 24,
        "points": [[0.5, 0.5], [0.6, 0.4]],
        **changes,
    }
    with pytest.raises(Refused) as refusal:
        skyline_from_photo(
            SkylineTrace.read({k: v for k, v in plain.items() if v is not None}), 6000, 4000
        )
    assert refusal.value.path == field


def test_every_figure_is_finite() -> None:
    # property: whatever the hour of a day with sun, the facing is a bearing
    for hour in range(6, 19):
        at = datetime(2026, 6, 21, hour, tzinfo=UTC).isoformat()
        found = facing_from_shadow(sheet(), shadow(at=at))
        assert 0.0 <= found.bearing_deg < 360.0
        assert math.isfinite(found.accuracy_deg)
