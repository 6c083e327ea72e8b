"""Flicker, the walk, the floor beside the camera, and the other ways to light a face."""

from __future__ import annotations

import math
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scout.assess.answers import DaylightAnswer, FitAnswer, MarkDaylight, WayAnswer
from scout.assess.fit.fit import fit
from scout.assess.fit.light.flicker import flicker_rows
from scout.assess.fit.plan.ways import ways
from scout.assess.room import assess_room
from scout.records.sheet import RoomSheet, SheetLocation
from tests.assess.fit.test_fit import codes, inside, sheet

WALK = [[2.0, 3.0, 1.2], [3.0, 3.0, 1.2]]


# -- flicker
# ----------------------------------------------------------------------------------------------------------
def test_shutters_that_hold_whole_pulses_on_both_mains() -> None:
    # common practice: 1/50 (180 degrees at 25) is steady on 50 Hz, 1/60 and 1/120 on 60 Hz; by hand
    # n/100 and n/120 up to 1/24 s
    fifty, sixty = flicker_rows(sheet(kit__camera__shutter_s=0.02))
    assert fifty.safe_shutters_s == pytest.approx((1 / 100, 1 / 50, 3 / 100, 1 / 25))
    assert sixty.safe_shutters_s == pytest.approx((1 / 120, 1 / 60, 1 / 40, 1 / 30, 1 / 24))
    assert fifty.safe is True
    assert sixty.safe is False
    # by hand: |sin(2.4 pi) / 2.4 pi| = 0.1261, log2(1.1261 / 0.8739) = 0.366
    assert sixty.swing_stops == pytest.approx(0.366, abs=0.001)


@pytest.mark.parametrize(
    ("place", "mains", "basis"),
    [
        ({"timezone": "Asia/Seoul"}, [60.0], "country.zone"),
        ({"latitude_deg": 52.5, "longitude_deg": 13.4}, [50.0], "country.coordinates"),
        ({"latitude_deg": 35.7, "longitude_deg": 139.7}, [50.0], "country.coordinates"),
        ({"timezone": "Asia/Tokyo"}, [50.0, 60.0], "country.zone"),
        ({"timezone": "UTC"}, [50.0, 60.0], None),
    ],
)
def test_the_mains_are_those_of_the_country(
    place: dict[str, Any], mains: list[float], basis: str | None
) -> None:
    # from memory: South Korea has 60 Hz, Germany 50, Tokyo 50, Japan both
    rows = flicker_rows(sheet().model_copy(update={"location": SheetLocation(**place)}))
    assert [row.mains_hz for row in rows] == mains
    for row in rows:
        taken = {one.code: one for one in row.assumed}
        if basis is None:
            assert "fit.mains_both" in taken
        else:
            assert taken["fit.mains_there"]["basis"].code == basis


def test_a_shutter_nobody_recorded_and_one_too_short_to_judge() -> None:
    rows = flicker_rows(sheet(kit__camera__shutter_s=None))
    assert all(
        row.safe is None and codes(row.unknown) == ["fit.no_shutter"] and row.safe_shutters_s
        for row in rows
    )
    short = flicker_rows(sheet(kit__camera__shutter_s=1e-6))[0]
    assert short.safe is False
    assert short.swing_stops is None  # it may meet the lamp dark: no end in stops
    assert flicker_rows(sheet(kit=None)) == ()


# -- the walk
# ---------------------------------------------------------------------------------------------------------
def test_the_walk_past_one_lamp_is_inverse_square() -> None:
    # by hand: lamp pinned at (2.5, 4.5, 1.2) aimed at the mark with an even beam; the walk from 1.5
    # to 3.0 m off: log2((3/1.5)^2) = 2 stops
    lamp = {"id": "key", "lux_at_1m": 900, "at_m": [2.5, 4.5, 1.2], "aim_m": [2.5, 3.0, 1.2]}
    walked = sheet(kit__lights=[lamp], marks__path=[[2.5, 3.0, 1.2], [2.5, 1.5, 1.2]])
    found = fit(walked).motion
    assert found is not None
    assert found.stops is not None
    dim = fit(walked).plan["key"].dim_stops
    assert dim is not None
    assert found.points[0].lux == pytest.approx(900 / 2.25 / 2**dim, rel=1e-6)
    assert found.stops == pytest.approx(2.0, abs=1e-6)
    assert min(found.points, key=lambda point: point.lux).at_m == pytest.approx((2.5, 1.5, 1.2))


def test_daylight_evens_the_walk_out() -> None:
    day = DaylightAnswer(marks={"subject": MarkDaylight(overcast_lux_noon=500.0)})
    found = fit(
        sheet(room__setting="exterior", room__windows=None, room__doors=None, marks__path=WALK), day
    ).motion
    assert found is not None
    assert found.stops is not None
    assert found.stops_with_daylight is not None
    assert (
        0 <= found.stops_with_daylight <= found.stops
    )  # property: an even light on top only brings stops together


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"kit__lights": [{"id": "key"}], "marks__path": WALK}, "fit.walk_lux"),
        ({"marks__path": [[2.5, 3.0, 1.2], [2.5, 3.0, 1.2]]}, "fit.walk_still"),
        (
            {
                "kit__lights": [
                    {
                        "id": "key",
                        "lux_at_1m": 900,
                        "at_m": [2.5, 4.5, 1.2],
                        "aim_m": [2.5, 3.0, 1.2],
                    }
                ],
                "marks__path": [[2.5, 3, 1.2], [2.5, 5, 1.2]],
            },
            "fit.walk_stand",
        ),
    ],
)
def test_a_walk_that_cannot_be_judged_says_why(changes: dict[str, Any], code: str) -> None:
    found = fit(sheet(**changes)).motion
    assert found is not None
    assert codes(found.unknown) == [code]


def test_no_walk_no_word() -> None:
    assert fit(sheet()).motion is None


# -- beside the camera
# ------------------------------------------------------------------------------------------------
def test_the_operator_may_stand_beside_a_camera_near_the_wall() -> None:
    # by hand: medium with 85 mm is .9 x 85 / 14 = 5.464 m; the subject at y 6.3 puts the lens at y
    # .836: .5 for the tripod, not 1.5
    answer = fit(sheet(marks__subject=[2.5, 6.3, 1.2], marks__camera=[2.5, 0.8, 1.4]))
    row = next(row for row in answer.framings if row.name == "medium")
    assert row.fits is False
    assert (
        row.operator_beside == "left"
    )  # by hand: on its right (x 3.0 to 4.0) is the way out of D1 (x 3.735 to 4.635, y to 0.9)
    assert inside(row.why, "fit.short_behind")["side"].key == "left"
    without = fit(
        sheet(marks__subject=[2.5, 6.3, 1.2], marks__camera=[2.5, 0.8, 1.4], room__doors=[])
    )
    assert next(row for row in without.framings if row.name == "medium").operator_beside == "right"


def test_in_a_corridor_nobody_stands_beside_the_camera() -> None:
    # by hand: 1.2 m wide leaves .1 m on either side of a tripod of 1.0 m
    answer = fit(
        sheet(
            room__width_m=1.2,
            room__windows=[],
            room__doors=[],
            marks__subject=[0.6, 6.3, 1.2],
            marks__camera=[0.6, 0.8, 1.4],
        )
    )
    row = next(row for row in answer.framings if row.name == "medium")
    assert row.fits is False
    assert row.operator_beside is None
    assert row.why is not None
    assert inside(row.why, "fit.short_behind")["side"] is None


def test_a_camera_that_fits_needs_nobody_beside_it() -> None:
    answer = fit(sheet(marks__subject=[2.5, 6.0, 1.2]))
    assert all(row.operator_beside is None for row in answer.framings if row.fits)


# -- the other ways
# ---------------------------------------------------------------------------------------------------
def by_way(found: tuple[WayAnswer, ...]) -> dict[str, WayAnswer]:
    return {row.way: row for row in found}


def test_ways_come_in_the_order_in_which_they_are_tried() -> None:
    assert [row.way for row in assess_room(sheet(), date(2026, 6, 21)).ways] == [
        "none",
        "bounce",
        "outside",
        "clamp",
        "motivated",
    ]


def test_enough_daylight_needs_no_light() -> None:
    plan = fit(sheet())
    assert plan.needed_lux is not None  # by hand: 250 x 2.8^2 x 50 / 800 = 122.5 lx
    for lux, enough in ((123.0, True), (122.0, False)):
        day = DaylightAnswer(marks={"subject": MarkDaylight(overcast_lux_noon=lux)})
        assert ways(sheet(), plan, day, ())[0].possible is enough
    assert ways(sheet(), plan, None, ())[0].unknown is not None


def test_a_light_through_a_window_at_ground_level_only() -> None:
    # by hand: W1 in wall B, 2.0 to 3.0 m from its left end (y 4.5 to 3.5); the subject at (2.5,
    # 3.0, 1.2) faces a camera at y 0.8.
    # Middle of the opening at (5, 4.0, .9 + 1.5 - .2): across = angle of (2.5, 1.0) from (0, -1) =
    # 111.8: behind, so no face light.
    window = {
        "id": "W1",
        "wall": "B",
        "offset_m": 2.0,
        "sill_m": 0.9,
        "width_m": 1.0,
        "height_m": 1.5,
    }
    behind = sheet(room__windows=[window], room__doors=[], room__storey=0)
    assert by_way(ways(behind, fit(behind), None, ()))["outside"].possible is False
    # moved towards the camera: y 2.0 to 1.0, middle (5, 1.5): across = angle of (2.5, -1.5) from
    # (0, -1) = 59.04
    window["offset_m"] = 4.5
    ground = sheet(room__windows=[window], room__doors=[], room__storey=0)
    found = by_way(ways(ground, fit(ground), None, ()))["outside"]
    assert found.possible is True
    assert found.off_across_deg == pytest.approx(59.036 - 45.0, abs=0.01)
    # by hand: ray (2.5, -1.5, 1.0), 3.0822 m, and 1.5 m further: 4.5822 m; 9000 x 0.8 / 4.5822^2 =
    # 342.9 lx
    assert found.lux == pytest.approx(342.9, abs=0.1)
    above = sheet(room__windows=[window], room__doors=[], room__storey=2)
    high = by_way(ways(above, fit(above), None, ()))["outside"]
    assert high.possible is False
    assert "fit.upstairs" in codes(high.told)
    unsaid = sheet(room__windows=[window], room__doors=[])
    unknown = by_way(ways(unsaid, fit(unsaid), None, ()))["outside"].unknown
    assert unknown["facts"].items[0].key == "room.storey"


def test_a_clamped_light_goes_under_the_ceiling_at_45_degrees() -> None:
    # by hand: 2.7 - .10 - .075 = 2.525 m, 1.325 m over the face, so 1.325 m off in plan and 1.8738
    # m away
    found = by_way(ways(sheet(), fit(sheet()), None, ()))["clamp"]
    assert found.possible is True
    assert found.at_m is not None
    assert found.at_m[2] == pytest.approx(2.525)
    assert math.dist(found.at_m, (2.5, 3.0, 1.2)) == pytest.approx(1.8738, abs=0.001)
    low = sheet(
        room__height_m=1.35, room__windows=[], room__doors=[], marks__camera=[2.5, 0.8, 1.2]
    )  # by hand: 1.175, under the face
    assert by_way(ways(low, fit(low), None, ()))["clamp"].possible is False


def clamped(given: RoomSheet) -> WayAnswer:
    return by_way(ways(given, fit(given), None, ()))["clamp"]


def test_a_clamped_light_goes_to_a_shelf_or_a_door_that_is_there() -> None:
    shelf = {"id": "shelf", "at_m": [3.3, 2.2], "width_m": 0.4, "depth_m": 0.4, "height_m": 1.9}
    # by hand: its corner (3.1, 2.4) is .849 m off in plan and 1.9 + .15 - 1.2 = .85 m up: 45 and 45
    found = clamped(sheet(room__furniture=[shelf]))
    assert codes(found.told["on"]) == ["fit.on_piece"]
    assert found.at_m == pytest.approx((3.1, 2.4, 2.05))
    # by hand: over D9, .15 inside wall B and 2.15 high: at (4.85, 2.2) 47 round and atan(.95 / 1.167)
    # = 39 up from the face at (4, 3, 1.2)
    door = {"id": "D9", "wall": "B", "offset_m": 4.3, "width_m": 0.8, "height_m": 2.0}
    marks = {"marks__subject": [4.0, 3.0, 1.2], "marks__camera": [4.0, 0.8, 1.4]}
    found = clamped(sheet(room__doors=[door], **marks))
    assert codes(found.told["on"]) == ["fit.on_door", "fit.door"]
    assert found.at_m is not None
    assert (found.at_m[0], found.at_m[2]) == pytest.approx((4.85, 2.15))
    # what is not measured holds nothing, and what is far off its angles less than a pole
    unknown = clamped(sheet(room__doors=[{**door, "height_m": None}], **marks))
    assert codes(unknown.told["on"]) == ["fit.on_pole"]
    far = {**shelf, "at_m": [4.5, 1.0]}
    assert codes(clamped(sheet(room__furniture=[far])).told["on"]) == ["fit.on_pole"]


def test_a_clamped_light_is_looked_for_at_every_height() -> None:
    # by hand: in a shaft of 6 m a light under the ceiling at 5.825 m and no steeper than 65 degrees is
    # 2.16 m off in plan or more, and this one has 1.5 m: lower down there is a place
    shaft = sheet(
        room__width_m=1.5,
        room__length_m=1.5,
        room__height_m=6.0,
        room__windows=[],
        room__doors=[],
        room__outlets=[],
        marks__subject=[0.75, 0.9, 1.2],
        marks__camera=[0.75, 0.3, 1.2],
    )
    found = clamped(shaft)
    assert found.possible is True
    assert found.at_m is not None
    assert found.at_m[2] < 4.0


def test_a_window_behind_motivates_an_edge_not_a_face() -> None:
    assert by_way(ways(sheet(), fit(sheet()), None, ()))["motivated"].possible is False
    lamp = sheet(
        room__practicals=[{"id": "L1", "at_m": [4.0, 1.5, 1.5]}]
    )  # by hand: (1.5, -1.5) from the subject: 45 degrees
    found = by_way(ways(lamp, fit(lamp), None, ()))["motivated"]
    assert found.possible is True
    assert found.off_across_deg == pytest.approx(0.0, abs=1e-6)
    assert codes(found.told["source"]) == ["fit.lamp"]
    assert (found.told["round"].value, found.told["side"].key) == (pytest.approx(45.0), "right")


def test_without_marks_only_the_day_is_offered() -> None:
    bare = sheet(marks=None)
    assert [row.way for row in ways(bare, fit(bare), None, ())] == ["none"]
    assert ways(bare, FitAnswer(), None, ())[0].way == "none"


@settings(max_examples=25, deadline=None)
@given(
    st.floats(2.2, 9),
    st.floats(2.5, 9),
    st.floats(2.0, 4.5),
    st.floats(0.15, 0.85),
    st.floats(0.35, 0.85),
)
def test_property_a_clamped_light_is_in_the_room_and_out_of_frame(
    width: float, length: float, height: float, x: float, y: float
) -> None:
    room = sheet(
        room__width_m=width,
        room__length_m=length,
        room__height_m=height,
        room__windows=[],
        room__doors=[],
        marks__subject=[x * width, y * length, 1.2],
        marks__camera=[width / 2, 0.3, 1.4],
    )
    found = by_way(ways(room, fit(room), None, ())).get("clamp")
    assert found is not None
    if found.possible:
        assert found.at_m is not None
        px, py, pz = found.at_m
        assert 0 < px < width
        assert 0 < py < length
        assert pz <= height - 0.1
