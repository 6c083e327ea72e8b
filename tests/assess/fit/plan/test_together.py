"""What the fit says of furniture, leads, shadows, the boom, a board for a fill, and the closest and
widest frame.
"""

from __future__ import annotations

import math
from datetime import date
from typing import Any

import numpy as np
import pytest

from scout.assess.answers import as_json, unmeasured
from scout.assess.daylight.mark.marks import marks as marks_light
from scout.assess.fit.fit import fit
from scout.assess.fit.levels import key_strength, place_level
from scout.records import read_sheet
from scout.records.sheet import RoomSheet, SheetLocation
from scout.values import Name
from tests.assess.fit.test_fit import codes, inside

LIGHT = {
    "id": "key",
    "lux_at_1m": 9000,
    "beam_deg": 55,
    "stand_min_m": 1.1,
    "stand_max_m": 2.6,
    "head_m": 0.35,
    "soft_width_m": 0.9,
}
CAMERA = {
    "sensor_width_mm": 24.9,
    "sensor_height_mm": 14.0,
    "focal_lengths_mm": [24, 35, 50, 85],
    "iso": 800,
    "f_number": 2.8,
    "shutter_s": 0.02,
}


def sheet(
    room: dict[str, Any] | None = None,
    kit: dict[str, Any] | None = None,
    marks: dict[str, Any] | None = None,
) -> RoomSheet:
    """A parlour of 5.0 by 6.5 m with three lights; changes laid over it."""
    lights = [LIGHT, {**LIGHT, "id": "fill"}, {**LIGHT, "id": "back", "soft_width_m": 0.0}]
    return read_sheet(
        {
            "schema": "room-sheet/1",
            "room": {
                "setting": "interior",
                "width_m": 5.0,
                "length_m": 6.5,
                "height_m": 2.7,
                "windows": [],
                "doors": [],
                **(room or {}),
            },
            "marks": {"subject": [2.5, 3.0, 1.2], "camera": [2.5, 0.8, 1.4], **(marks or {})},
            "kit": {"camera": CAMERA, "lights": lights, **(kit or {})},
        }
    )


def test_no_stand_on_the_furniture_and_the_plan_says_why() -> None:
    # by hand: without it the key has the ideal place (3.366 or 1.634, 2.134); a shelf 2.2 m high on
    # each of them moves it
    alone = fit(sheet(kit={"camera": {**CAMERA, "focal_lengths_mm": [85]}}))
    assert alone.plan["key"].why is None
    shelves = [
        {"id": f"shelf {x}", "at_m": [x, 2.1], "width_m": 0.4, "depth_m": 0.4, "height_m": 2.2}
        for x in (1.6, 3.4)
    ]
    found = fit(sheet({"furniture": shelves}, {"camera": {**CAMERA, "focal_lengths_mm": [85]}}))
    key = found.plan["key"]
    assert key.at_m is not None
    assert "fit.furniture_there" in codes(key.why)
    for row in (*found.plan.values(), *found.others):
        if row.at_m is not None and row.light is not None:
            assert all(math.dist(row.at_m[:2], (x, 2.1)) > 0.5 for x in (1.6, 3.4))
    assert "fit.no_furniture" not in codes(found.assumed)
    assert "fit.no_furniture" in codes(alone.assumed)


def test_furniture_without_size_or_height_is_said() -> None:
    assumed = fit(
        sheet(
            {
                "furniture": [
                    {"id": "sofa"},
                    {"id": "chest", "at_m": [4.5, 6.0], "width_m": 0.6, "depth_m": 0.6},
                ]
            }
        )
    ).assumed
    assert inside(assumed, "fit.furniture_by_eye")["piece"] == Name("sofa")
    assert inside(assumed, "fit.furniture_height")["piece"] == Name("chest")


def test_a_table_where_the_tripod_would_be_is_named() -> None:
    # by hand: medium with 50 mm is 0.9 x 50 / 14 = 3.21 m from the subject, at y 1.79: its operator
    # stands from 1.29 to 0.29, where the table (0.4 to 1.2) is
    table = {"id": "table", "at_m": [2.5, 0.8], "width_m": 1.2, "depth_m": 0.8, "height_m": 0.75}
    row = next(
        row
        for row in fit(
            sheet(
                {"furniture": [table]},
                marks={"subject": [2.5, 5.0, 1.2], "camera": [2.5, 2.0, 1.4]},
            )
        ).framings
        if row.name == "medium" and row.focal_length_mm == 50
    )
    assert row.fits is False
    assert inside(row.why, "fit.on_furniture")["piece"] == Name("table")


OUTLET = {"id": "P1", "wall": "B", "offset_m": 0.6, "height_m": 0.3, "circuit": "K1"}
WIRED = {"circuits": [{"id": "K1", "volts": 230, "breaker_a": 16}], "outlets": [OUTLET]}


def test_lights_stand_where_leads_reach() -> None:
    # by hand: the outlet in wall B is 0.6 m from its left end, at (5.0, 5.9); a key at (3.366, 2.134)
    # is reached down wall B, one at (1.634, 2.134) round by wall C or A, and that is further
    long = fit(sheet(WIRED, {"cables": [{"length_m": 30}] * 3})).plan
    assert long["key"].lead_m is not None
    short = fit(
        sheet(
            WIRED,
            {
                "cables": [{"length_m": 10.5}, {"length_m": 10}, {"length_m": 10}],
                "camera": {**CAMERA, "focal_lengths_mm": [85]},
            },
        )
    ).plan
    key = short["key"]
    assert key.at_m is not None
    assert key.lead_m is not None
    assert key.at_m[0] > 2.5  # by hand: the other side needs 15.76 m
    assert key.lead_m <= 10.5 + 1e-6
    # one that no lead reaches is placed all the same, does not fit, and says how much is missing
    for row in short.values():
        beyond = row.lead_m is not None and row.lead_m > 10.5 + 1e-6
        assert beyond == ("fit.cable_short" in codes(row.why))
        assert not (beyond and row.fits)
    bare = fit(sheet(WIRED, {"cables": [{"length_m": 1.0}]}))
    assert bare.plan["key"].fits is False
    short = inside(bare.plan["key"].why, "fit.cable_short")
    assert short["longest"].value == 1.0
    assert short["need"].value == bare.plan["key"].lead_m
    assert codes(inside(fit(sheet()).assumed, "fit.cables_unknown")["because"]) == [
        "fit.no_outlets"
    ]


def test_the_shadows_are_drawn_and_told() -> None:
    # property: every corner lies on the surface it names; frames are lenses of the kit; the JSON
    # holds them
    found = fit(sheet(marks={"subject": [2.5, 5.7, 1.2], "camera": [2.5, 2.0, 1.4]}))
    assert {row.part for row in found.shadows} >= {"key"}
    for row in found.shadows:
        points = np.array(row.polygon_m)
        assert len(points) >= 3
        off = {
            "A": points[:, 1] - 6.5,
            "B": points[:, 0] - 5.0,
            "C": points[:, 1],
            "D": points[:, 0],
            "floor": points[:, 2],
            "ceiling": points[:, 2] - 2.7,
        }
        assert np.allclose(off[row.surface], 0.0, atol=1e-6)
        assert set(row.in_frame_mm) <= {24.0, 35.0, 50.0, 85.0}
    assert inside(found.shadow, "fit.shadow")["surface"].key in [
        row.surface for row in found.shadows if row.part == "key"
    ]
    assert "shadows" in as_json(found)


def test_the_key_moves_to_keep_its_shadow_out_of_shot() -> None:
    # by hand: a hard key alone would take 45 degrees across and as much down as it gets; near the
    # wall its shadow then stands in a 50 mm frame
    tight = {
        "camera": {**CAMERA, "focal_lengths_mm": [50]},
        "lights": [{**LIGHT, "soft_width_m": 0.0}],
    }
    found = fit(sheet(kit=tight, marks={"subject": [2.5, 5.6, 1.2], "camera": [2.5, 2.2, 1.4]}))
    heads = [
        row
        for row in found.shadows
        if row.of == "head and shoulders"
        and row.part == "key"
        and row.hard
        and len(row.surface) == 1
    ]
    moved = "fit.key_moved" in codes(found.shadow)
    assert moved or not any(row.in_frame_mm for row in heads)


def test_the_boom_is_judged_when_there_is_one() -> None:
    assert fit(sheet()).boom is None
    assert (
        fit(
            sheet(
                kit={
                    "mics": [
                        {"id": "boom", "kind": "shotgun"},
                        {"id": "clip", "kind": "omni_clip", "distance_m": 0.2},
                    ]
                }
            )
        ).boom
        is None
    )
    found = fit(sheet(kit={"mics": [{"id": "boom", "kind": "shotgun", "distance_m": 0.4}]})).boom
    assert found is not None
    # by hand: 0.4 m at 60 degrees: 0.2 towards the camera, 0.346 up
    assert found.mic_m == pytest.approx((2.5, 2.8, 1.546), abs=0.001)
    cardioid = {"id": "boom", "kind": "cardioid", "distance_m": 0.4}
    assert fit(sheet(kit={"mics": [cardioid]})).boom == found  # a cardioid hangs on a pole too
    # by hand: 2.0 m from the lens its axis is at 1.218 m, 0.33 m under the microphone; half the
    # frame there is 0.58 m at 24 mm, 0.40 at 35, 0.28 at 50
    assert found.in_frame_mm == (24.0, 35.0)


def test_a_board_for_a_fill_gives_figures() -> None:
    # by hand: E = rho E_board cos A cos / (pi d^2), the board turned half way between key and face
    found = fit(sheet(kit={"lights": [LIGHT]}))
    board, key = found.plan["fill"], found.plan["key"]
    assert board.light is None
    assert board.unknown is None
    assert board.at_m is not None
    assert board.lux is not None
    assert key.at_m is not None
    to_key, to_face = np.subtract(key.at_m, board.at_m), np.subtract((2.5, 3.0, 1.2), board.at_m)
    between = math.acos(
        float(to_key @ to_face) / float(np.linalg.norm(to_key) * np.linalg.norm(to_face))
    )
    by_hand = (
        0.85
        * 9000
        / float(to_key @ to_key)
        * math.cos(between / 2) ** 2
        / (math.pi * float(to_face @ to_face))
    )
    assert board.lux == pytest.approx(by_hand, rel=1e-6)
    assert codes(board.assumed) == ["fit.board_taken"]
    dark = fit(sheet(kit={"lights": [{**LIGHT, "lux_at_1m": None}]})).plan["fill"]
    assert (dark.lux, codes(dark.unknown)) == (None, ["fit.meter_board"])


def test_a_ceiling_under_the_stand_leaves_the_key_no_place() -> None:
    # by hand: 1.35 - 0.10 - 0.175 = 1.075 m for the middle of the head, and the stand's least is 1.1
    marks = {"subject": [2.5, 3.0, 1.0], "camera": [2.5, 0.8, 1.0]}
    key = fit(sheet({"height_m": 1.35}, marks=marks)).plan["key"]
    assert place_level(key, "key") == "problem"
    height = inside(key.why, "fit.no_height")
    assert (height["head"].value, height["least"].value) == (pytest.approx(1.075), 1.1)


def test_a_key_of_no_recorded_strength_is_unknown() -> None:
    found = fit(sheet(kit={"lights": [{"id": "key"}]}))
    strength = key_strength(found.plan["key"], found.needed_lux, None)
    assert strength is not None
    assert strength.level == "unknown"


PLACE = {"latitude_deg": 52.2, "longitude_deg": 0.12, "timezone": "Europe/London"}
GREY = {name: {"light_reflectance": 0.5} for name in ("A", "B", "C", "D", "ceiling", "floor")}
WINDOW = {
    "id": "W1",
    "wall": "D",
    "offset_m": 2.5,
    "sill_m": 0.9,
    "width_m": 1.6,
    "height_m": 1.4,
    "transmittance": 0.7,
    "covering": "none",
}
NORTH = {"wall": "A", "bearing_deg": 0, "north": "true"}


def test_daylight_along_the_walk_is_that_of_its_points() -> None:
    # property: at the corners of the walk it is what the daylight itself says of those marks, on
    # the side that the camera sees
    plain = sheet(
        {"windows": [WINDOW], "surfaces": GREY, "facing": NORTH},
        marks={"path": [[0.8, 3.0, 1.5], [4.4, 3.0, 1.5]]},
    )
    walked = plain.model_copy(update={"location": SheetLocation.read(PLACE)})
    day = marks_light(walked, date(2026, 6, 21))
    found = fit(walked, day).motion
    assert found is not None
    for name, point in (("path 1", found.points[0]), ("path 2", found.points[-1])):
        assert point.daylight_lux == pytest.approx(
            day.marks[name].camera_overcast_lux_noon, rel=0.002
        )
    assert found.stops_with_daylight is not None
    # property: the figures told are those of the points
    both = [point.lux + (point.daylight_lux or 0.0) for point in found.points]
    assert found.stops_with_daylight == pytest.approx(math.log2(max(both) / min(both)))
    # by hand: from wall to wall, before a camera that looks square on it
    assert found.start is not None
    assert found.start["angle"].value > 60
    assert codes(found.start["way"]) == ["fit.across_lens"]


def test_the_background_is_lit_by_inverse_square() -> None:
    # by hand: an even lamp at (2.5, 2.5, 1.4) and a wall 4.0 m behind it: 1600 / 16 = 100 lx square
    # on; a lens of 800 mm sees that spot alone.
    # It is 0.54 m from the face, so undimmed 1600 / 0.29 = 5517 lx there; dimmed to 122.5 the wall
    # has 100 x 122.5 / 5517 = 2.22 lx: 5.8 stops under.
    lamp = {
        "id": "key",
        "lux_at_1m": 1600,
        "at_m": [2.5, 2.5, 1.4],
        "aim_m": [2.5, 3.0, 1.2],
        "soft_width_m": 0,
    }
    kit = {"lights": [lamp], "camera": {**CAMERA, "focal_lengths_mm": [800]}}
    found = fit(
        sheet(
            {"surfaces": GREY},
            {**kit, "lights": [{**lamp, "aim_m": [2.5, 3.0, 1.2]}]},
            {"camera": [2.5, 0.8, 1.2]},
        )
    )
    assert found.plan["key"].lux == pytest.approx(1600 / (0.5**2 + 0.2**2))
    row = found.backdrop[0]
    assert row.surface == "A"
    assert row.lux is not None
    cosine = 4.0 / math.hypot(4.0, 0.2)
    assert row.lux == pytest.approx(1600 / (16 + 0.04) * cosine * 122.5 / (1600 / 0.29), rel=0.01)
    assert row.stops_from_face == pytest.approx(-5.8, abs=0.05)
    # by hand: half of the light against 18 %: log2(0.5 / 0.18) = 1.47 stops brighter than the lux
    # alone says
    assert row.stops_seen is not None
    assert row.stops_from_face is not None
    assert row.stops_seen - row.stops_from_face == pytest.approx(math.log2(0.5 / 0.18), abs=1e-6)
    bare = fit(sheet(None, kit)).backdrop[0]
    assert bare.stops_seen is None
    assert bare.lux is not None
    assert bare.unknown == unmeasured("surfaces.A.light_reflectance")
    assert (
        fit(
            sheet({"setting": "exterior", "height_m": None, "windows": None, "doors": None}, kit)
        ).backdrop
        == ()
    )
