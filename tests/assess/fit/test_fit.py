import copy
import json
import math
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scout.assess.answers import DaylightAnswer, MarkDaylight, as_json
from scout.assess.fit.fit import CAUTIONS, as_set, fit, placements
from scout.assess.fit.levels import key_strength, place_level
from scout.records import RoomSheet, read_sheet
from scout.values import Many, Name, Said

LIGHT: dict[str, Any] = {
    "id": "key",
    "watts": 300,
    "lux_at_1m": 9000,
    "beam_deg": 55,
    "stand_min_m": 1.1,
    "stand_max_m": 2.6,
    "head_m": 0.35,
    "soft_width_m": 0.9,
}
SHEET: dict[str, Any] = {
    "schema": "room-sheet/1",
    "room": {
        "setting": "interior",
        "width_m": 5.0,
        "length_m": 6.5,
        "height_m": 2.7,
        "windows": [
            {
                "id": "W1",
                "wall": "A",
                "offset_m": 1.5,
                "sill_m": 0.9,
                "width_m": 2.0,
                "height_m": 1.5,
            }
        ],
        "doors": [{"id": "D1", "wall": "C", "offset_m": 0.4, "width_m": 0.83, "height_m": 2.0}],
    },
    "marks": {"subject": [2.5, 3.0, 1.2], "camera": [2.5, 0.8, 1.4]},
    "kit": {
        "camera": {
            "sensor_width_mm": 24.9,
            "sensor_height_mm": 14.0,
            "focal_lengths_mm": [85],
            "iso": 800,
            "f_number": 2.8,
            "shutter_s": 0.02,
        },
        "lights": [LIGHT, {**LIGHT, "id": "fill"}, {**LIGHT, "id": "back", "soft_width_m": 0.0}],
    },
}


def codes(value: Any) -> list[str]:
    """The codes of a message and of those inside it, or of several messages."""
    if isinstance(value, Said):
        return [value.code, *codes([inside for _, inside in value.values])]
    if isinstance(value, (list, tuple, Many)):
        return [code for one in value for code in codes(one)]
    return []


def inside(value: Any, code: str) -> Said:
    """The message of a code in another."""
    if isinstance(value, Said) and value.code == code:
        return value
    parts = [one for _, one in value.values] if isinstance(value, Said) else list(value)
    return next(inside(one, code) for one in parts if code in codes(one))


def sheet(**changes: Any) -> RoomSheet:
    """The sheet above with keys replaced: `room__height_m=None` takes room.height_m away."""
    data = copy.deepcopy(SHEET)
    for path, value in changes.items():
        *way, last = path.split("__")
        here = data
        for part in way:
            here = here[part]
        if value is None:
            here.pop(last, None)
        else:
            here[last] = value
    return read_sheet(data)


def test_seated_interview_with_a_long_lens() -> None:
    # by hand: key 1.225 m off at 45 degrees, z 2.7 - .10 - .175 = 2.425: (3.366 or 1.634, 2.134);
    # 9000 / 3.0006 = 2999 lx, and
    # ISO 2720 wants 250 x 7.84 x 50 / 800 = 122.5 lx, so log2(2999 / 122.5) = 4.6 stops to spare.
    answer = fit(sheet())
    key = answer.plan["key"]
    assert key.at_m is not None
    assert min(abs(key.at_m[0] - 3.366), abs(key.at_m[0] - 1.634)) < 0.001
    assert key.at_m[1:] == pytest.approx((2.134, 2.425), abs=0.001)
    assert (key.fits, key.why, key.light) == (True, None, "key")
    assert key.lux == pytest.approx(2999, abs=2)
    assert answer.needed_lux == pytest.approx(122.5)
    assert key.dim_stops == pytest.approx(4.6, abs=0.05)
    # by hand: a fill of the same fixture, dimmed as told, gives a quarter of the key dimmed as told
    # to 122.5 lx.
    fill = answer.plan["fill"]
    assert fill.lux is not None
    assert fill.dim_stops is not None
    assert fill.lux * 2.0**-fill.dim_stops == pytest.approx(122.5 / 4, rel=0.005)
    assert fill.fits is True
    assert answer.unknown is None
    assert inside(answer.assumed, "fit.ratio_taken")["ratio"].value == 4
    assert "fit.face_looks" in codes(answer.assumed)
    # by hand: 250 x N^2 / (t S), the constant of a flat receptor by ISO 2720
    assert inside(answer.assumed, "fit.exposure")["constant"].value == 250


def test_every_key_of_the_published_form_is_there() -> None:
    shown = as_json(fit(sheet()))
    assert set(shown["plan"]) == {"key", "fill", "back", "bounce"}
    for row in shown["plan"].values():
        assert {"at_m", "fits", "why", "assumed"} <= set(row)
    for row in shown["framings"]:
        assert {"name", "focal_length_mm", "distance_m", "fits"} <= set(row)
    assert isinstance(shown["available_light_first"], str)
    assert {"works", "clear_from_mm"} <= set(shown["plan"]["key"])
    json.dumps(shown, allow_nan=False)


@pytest.mark.parametrize(
    ("name", "distance"),
    # by hand: 35 mm on 24.9 x 14.0: 35 x 1.9 / 14 = 4.75, x .9 / 14 = 2.25, x .6 / 14 = 1.5, two
    # people 35 x 1.5 / 24.9 = 2.108,
    # the room from side to side 35 x 5.0 / 24.9 = 7.028.
    [
        ("full_figure", 4.75),
        ("medium", 2.25),
        ("head_and_shoulders", 1.5),
        ("two_people", 2.108),
        ("wide", 7.028),
    ],
)
def test_distance_of_each_framing(name: str, distance: float) -> None:
    row = next(
        row for row in fit(sheet(kit__camera__focal_lengths_mm=[35])).framings if row.name == name
    )
    assert row.distance_m == pytest.approx(distance, abs=0.001)
    # by hand: 3.0 m from the subject to the wall, less 1.5 m for tripod and operator: only the 1.5
    # m framing has room.
    assert row.fits is (name == "head_and_shoulders")
    assert (row.why is None) is (name == "head_and_shoulders")


def test_a_near_face_is_told_to_be_drawn_out_of_shape() -> None:
    # common practice: under 1.2 m a face is distorted; by hand: 24 x .6 / 14 = 1.03 m.
    row = next(
        row
        for row in fit(sheet(kit__camera__focal_lengths_mm=[24])).framings
        if row.name == "head_and_shoulders"
    )
    assert row.fits is True
    assert inside(row.why, "fit.distorted")["distance"].value == pytest.approx(1.029, abs=0.001)


def test_depth_of_field_and_background_of_a_row() -> None:
    # by hand: c = hypot(24.9, 14) / 1500 = .01904 mm; H = 35^2 / (2.8 x .01904) + 35 = 23.01 m; at
    # 1.5 m near 1.410, far 1.602; 1.5 + 3.5 m behind.
    row = next(
        row
        for row in fit(sheet(kit__camera__focal_lengths_mm=[35])).framings
        if row.name == "head_and_shoulders"
    )
    assert (row.sharp_from_m, row.sharp_to_m) == (
        pytest.approx(1.410, abs=0.002),
        pytest.approx(1.602, abs=0.002),
    )
    assert row.background_m == pytest.approx(5.0)


def test_wide_lens_puts_the_ideal_stand_in_frame() -> None:
    # by hand: at 24 mm the stand of a key at (3.366, 2.134) is in frame, so it moves and says so.
    key = fit(sheet(kit__camera__focal_lengths_mm=[24, 85])).plan["key"]
    assert key.fits is True
    assert inside(inside(key.why, "fit.off_ideal")["against"], "fit.seen")["lens"].value == 24
    # by hand: the ideal place is 1.732 m away
    assert key.distance_m is not None
    assert key.distance_m > 1.9


def test_no_place_out_of_frame_with_the_wide_lens_is_not_called_fitting() -> None:
    back = fit(sheet(kit__camera__focal_lengths_mm=[24, 85])).plan["back"]
    assert back.fits is False
    assert back.at_m is not None
    assert back.clear_from_mm == 85
    assert inside(back.why, "fit.clear_from")["lens"].value == 85


@pytest.mark.parametrize(
    ("changes", "because"),
    [
        ({"marks__subject": None}, "marks.subject"),
        ({"marks": None}, "marks.subject"),
        ({"marks__camera": None}, "marks.camera"),
        ({"room__height_m": None}, "room.height_m"),
        (
            {"room__width_m": None, "room__doors": None, "room__windows": None},
            "room.plan_m",
        ),
        ({"kit__lights": None}, "fit.no_lights"),
    ],
)
def test_what_is_missing_is_named_and_nothing_invented(
    changes: dict[str, Any], because: str
) -> None:
    answer = fit(sheet(**changes))
    for name in ("key", "fill", "back", "bounce"):
        row = answer.plan[name]
        assert row.at_m is None
        assert row.fits is None
        assert missing(row.unknown) == because
        assert place_level(row, name) == "unknown"
    assert because in {missing(answer.unknown), *codes(answer.unknown)}
    assert placements(sheet(**changes), answer) == {}


def missing(value: Any) -> str:
    """The fact of the sheet that is not measured, else the code of what is missing."""
    return value["facts"].items[0].key if value.code == "unmeasured" else value.code


def test_no_kit_no_sensor_no_lens() -> None:
    assert "fit.no_camera" in codes(fit(sheet(kit=None)).unknown)
    assert "fit.no_kit" in codes(fit(sheet(kit=None)).unknown)
    bare = fit(sheet(kit__camera__sensor_height_mm=None))
    assert bare.framings
    assert all(
        row.distance_m is None and row.fits is None and codes(row.unknown) == ["fit.no_sensor"]
        for row in bare.framings
    )
    # what is in frame cannot be told, so no light is said to fit; its place is still given.
    assert bare.plan["key"].at_m is not None
    assert bare.plan["key"].fits is None
    assert codes(bare.plan["key"].unknown) == ["fit.frame_unknown"]
    assert bare.plan["key"].works is True
    assert fit(sheet(kit__camera__focal_lengths_mm=None)).framings == ()


def test_height_missing_leaves_the_framings() -> None:
    rows = fit(sheet(room__height_m=None)).framings
    assert any(row.fits is not None for row in rows)


def test_no_photometry_places_the_light_and_leaves_lux_unknown() -> None:
    lights = [{**LIGHT, "lux_at_1m": None}, {**LIGHT, "id": "fill"}]
    answer = fit(sheet(kit__lights=lights))
    assert answer.plan["key"].at_m is not None
    assert answer.plan["key"].lux is None
    assert answer.plan["fill"].dim_stops is None
    strength = key_strength(answer.plan["key"], answer.needed_lux, None)
    assert strength is not None
    assert strength.level == "unknown"


def test_a_stand_nobody_measured_is_assumed_aloud() -> None:
    lights = [{"id": "key", "lux_at_1m": 9000}]
    answer = fit(sheet(kit__lights=lights))
    assert answer.plan["key"].at_m is not None
    stand = inside(answer.assumed, "fit.stand_taken")
    assert (stand["light"], stand["low"].value, stand["high"].value) == (Name("key"), 1.1, 2.6)
    assert inside(answer.assumed, "fit.head_taken")["head"].value == 0.35


def test_one_light_is_the_key_and_a_board_fills() -> None:
    answer = fit(sheet(kit__lights=[{**LIGHT, "id": "lamp"}]))
    assert answer.plan["key"].light == "lamp"
    fill = answer.plan["fill"]
    assert fill.light is None
    assert inside(fill.why, "fit.board")["surface"].key in "ABCD"
    assert codes(answer.plan["back"].unknown) == ["fit.none_left"]


def test_parts_are_given_by_name_then_by_strength_and_softness() -> None:
    lights = [
        {**LIGHT, "id": "hard", "lux_at_1m": 2000, "soft_width_m": 0.1},
        {**LIGHT, "id": "soft", "lux_at_1m": 1500, "soft_width_m": 1.0},
        {**LIGHT, "id": "strong", "lux_at_1m": 9000},
        {**LIGHT, "id": "small", "lux_at_1m": 300},
    ]
    answer = fit(sheet(kit__lights=lights))
    assert [answer.plan[name].light for name in ("key", "fill", "back")] == [
        "strong",
        "soft",
        "hard",
    ]
    assert [row.light for row in answer.others] == ["small"]
    taken = inside(answer.assumed, "fit.parts_taken")["parts"]
    assert [(one["light"].text, one["part"].key) for one in taken] == [
        ("strong", "key"),
        ("soft", "fill"),
        ("hard", "back"),
    ]
    named = fit(
        sheet(
            kit__lights=[
                {**LIGHT, "id": "Rim light", "lux_at_1m": 20_000},
                {**LIGHT, "id": "KEY 1"},
                {**LIGHT, "id": "monkey", "lux_at_1m": 99},
            ]
        )
    )
    assert [named.plan[name].light for name in ("key", "fill", "back")] == [
        "KEY 1",
        "monkey",
        "Rim light",
    ]


def test_every_light_of_the_kit_gets_a_placement() -> None:
    lights = [{**LIGHT, "id": name} for name in ("key", "fill", "back", "extra")]
    given = sheet(
        kit__lights=lights,
        room__width_m=9.0,
        room__length_m=9.0,
        marks={"subject": [4.5, 5.0, 1.2], "camera": [4.5, 2.0, 1.4]},
    )
    found = placements(given, fit(given))
    assert set(found) == {"key", "fill", "back", "extra"}
    assert {name: found[name].source for name in found} == {
        "key": "planned",
        "fill": "planned",
        "back": "planned",
        "extra": "assumed",
    }
    assert found["key"].aim_m == (4.5, 5.0, 1.2)


def test_pinned_lights_stay_also_when_nothing_can_be_planned() -> None:
    pin = [1.2, 1.6, 2.2]
    lights = [{**LIGHT, "at_m": pin, "aim_m": [2.5, 3.0, 1.2]}, {**LIGHT, "id": "fill"}]
    given = sheet(kit__lights=lights)
    answer = fit(given)
    assert answer.plan["key"].at_m == tuple(pin)
    assert placements(given, answer)["key"].source == "pinned"
    # by hand: the key is pinned picture left, so the fill goes right.
    assert answer.plan["fill"].across_deg is not None
    assert answer.plan["fill"].across_deg > 0
    unmarked = sheet(kit__lights=lights, marks=None)
    assert set(placements(unmarked, fit(unmarked))) == {"key"}
    assert placements(unmarked, fit(unmarked))["key"].aim_m == (2.5, 3.0, 1.2)


def test_a_light_pinned_badly_is_told_so() -> None:
    # by hand: (2.5, 2.0) stands on the line from camera to subject; (4.2, 0.5) in front of door D1
    # (x 3.735 to 4.635).
    in_shot = fit(sheet(kit__lights=[{**LIGHT, "at_m": [2.5, 2.0, 2.0]}])).plan["key"]
    assert in_shot.fits is False
    assert "fit.seen" in codes(in_shot.why)
    assert in_shot.clear_from_mm is None
    in_door = fit(sheet(kit__lights=[{**LIGHT, "at_m": [4.2, 0.5, 2.0]}])).plan["key"]
    assert in_door.fits is False
    assert inside(in_door.why, "fit.exit")["doors"].items == (Name("D1"),)
    assert in_door.works is False
    outside = fit(sheet(kit__lights=[{**LIGHT, "at_m": [2.5, 9.0, 2.0]}])).plan["key"]
    assert outside.fits is None
    assert codes(outside.unknown) == ["fit.pinned_outside"]


def test_a_light_turned_away_gives_less_and_says_how_sure() -> None:
    # by hand: at (2.5, 1.4, 1.2), 1.6 m before the face, aimed 27.5 degrees off (1.6 tan 27.5 =
    # .833 aside): at the beam's edge, half of
    # 9000 / 2.56 = 3516.
    lights = [{**LIGHT, "at_m": [2.5, 1.4, 1.2], "aim_m": [3.333, 3.0, 1.2]}]
    answer = fit(sheet(kit__lights=lights))
    assert answer.plan["key"].lux == pytest.approx(3516 / 2, rel=0.005)
    assert inside(answer.assumed, "fit.off_axis")["angle"].value == pytest.approx(27.5, abs=0.01)


def test_low_ceiling_refuses_a_tall_stand() -> None:
    answer = fit(
        sheet(
            room__height_m=2.05,
            room__windows=None,
            room__doors=None,
            kit__lights=[{**LIGHT, "stand_min_m": 1.9}],
        )
    )
    key = answer.plan["key"]
    assert key.fits is False
    assert key.at_m is None
    # by hand: 2.05 - .10 - .175 = 1.775 m, below 1.9 m.
    assert inside(key.why, "fit.no_height")["head"].value == pytest.approx(1.775)
    assert place_level(key, "key") == "problem"
    assert place_level(key, "fill") == "care"  # the same of any other light


def test_exterior_has_no_ceiling_and_no_walls() -> None:
    answer = fit(
        sheet(room__setting="exterior", room__height_m=None, room__windows=None, room__doors=None)
    )
    key = answer.plan["key"]
    # by hand: the stand's 2.6 m is the height, 1.4 m over the face, so 1.4 m off in plan.
    assert key.at_m is not None
    assert key.at_m[2] == pytest.approx(2.6)
    assert math.hypot(key.at_m[0] - 2.5, key.at_m[1] - 3.0) == pytest.approx(1.4, abs=0.01)
    assert codes(answer.plan["bounce"].unknown) == ["fit.bounce_open"]
    assert answer.views == ()
    assert not {"fit.wall", "fit.wall_to_subject", "fit.wall_between"} & set(
        codes([row.why for row in (*answer.plan.values(), *answer.framings)])
    )


def test_weak_fill_and_weak_key_are_counted_in_stops() -> None:
    # by hand: a fill of 10 lx at 1 m cannot come nearer than 1.0 m: at most 10 lx against 2999 / 4;
    # its ratio falls short by stops, but the
    # key has stops to spare, so it is dimmed; with a key that has none to spare the fill does not
    # fit.
    weak = [LIGHT, {**LIGHT, "id": "fill", "lux_at_1m": 10}]
    dimmed = fit(sheet(kit__lights=[LIGHT, {**LIGHT, "id": "fill", "lux_at_1m": 400}])).plan["fill"]
    assert "fit.dim_key" in codes(dimmed.why)
    assert dimmed.fits is True
    short = fit(sheet(kit__lights=weak)).plan["fill"]
    assert short.fits is False
    assert short.short_stops is not None
    # by hand: the key dimmed to 122.5 lx wants 30.6 of the fill; from 1.02 m (1.0 m in plan and 0.2
    # up) it gives 9.6: log2(30.6 / 9.6) = 1.67
    assert short.short_stops == pytest.approx(1.67, abs=0.02)
    dim = fit(sheet(kit__lights=[{**LIGHT, "lux_at_1m": 20}]))
    assert dim.plan["key"].short_stops is not None
    # by hand: 20 / 3.0006 = 6.67 lx against 122.5: log2 = 4.2 stops short.
    assert dim.plan["key"].short_stops == pytest.approx(4.2, abs=0.01)
    strength = key_strength(dim.plan["key"], dim.needed_lux, None)
    assert strength is not None
    assert (strength.level, strength.what) == ("problem", "weak")
    assert strength.stops == pytest.approx(-4.2, abs=0.01)


def test_available_light_is_offered_first() -> None:
    assert codes(fit(sheet()).available_light_first) == ["fit.day_unknown"]
    bright = DaylightAnswer(
        marks={
            "subject": MarkDaylight(
                overcast_lux_noon=410.0,
                clear_lux_noon=900.0,
                enough_from=datetime(2026, 6, 21, 9, 10, tzinfo=UTC),
                enough_until=datetime(2026, 6, 21, 17, 0, tzinfo=UTC),
            )
        },
        needed_lux=250.0,
    )
    first = fit(sheet(), bright).available_light_first
    assert inside(first, "fit.day")["overcast"].value == 410
    assert inside(first, "fit.day")["needed"].value == 250
    assert inside(first, "fit.day")["spell"].start.hour == 9
    assert "fit.level_plane" in codes(first)
    # property: where the side that the camera sees is known, it goes by that, however bright the
    # level plane
    mark = MarkDaylight(
        overcast_lux_noon=410.0,
        clear_lux_noon=900.0,
        camera_overcast_lux_noon=60.0,
        camera_clear_lux_noon=120.0,
    )
    turned = fit(sheet(), replace(bright, marks={"subject": mark})).available_light_first
    day = inside(turned, "fit.day")
    assert (day["overcast"].value, day["clear"].value) == (60, 120)
    assert "fit.camera_side" in codes(turned)
    assert day["spell"] is None


def test_key_comes_from_the_side_the_face_is_turned_to() -> None:
    # common practice: the key lights the side of the face that is turned away from the camera, from
    # where the subject looks.
    for x, side in ((1.0, 1), (-1.0, -1)):
        key = fit(
            sheet(
                marks={
                    "subject": [2.5, 3.0, 1.2],
                    "subject_normal": [x, -1, 0],
                    "camera": [2.5, 0.8, 1.4],
                }
            )
        ).plan["key"]
        assert key.across_deg is not None
        assert key.across_deg * side > 0


def test_walls_and_windows_in_frame() -> None:
    # by hand: 85 mm from 2.2 m plus 3.5 m sees 5.7 x 24.9 / 85 = 1.67 m of wall A about its middle,
    # where W1 is.
    view = fit(sheet()).views[0]
    assert [part.wall for part in view.walls] == ["A"]
    assert view.walls[0].to_offset_m - view.walls[0].from_offset_m == pytest.approx(1.67, abs=0.05)
    assert view.windows == ("W1",)


def test_mark_on_the_wall_line_by_a_taped_half_centimetre() -> None:
    # property: the records take a mark 5 mm beyond the wall, so the fit must answer and not fail.
    answer = fit(sheet(marks={"subject": [2.5, 6.504, 1.2], "camera": [2.5, 0.8, 1.4]}))
    assert answer.framings
    assert answer.plan["key"].why is not None or answer.plan["key"].fits


def test_cautions_name_stands_exits_heat_glare_and_ladders() -> None:
    # common practice: what a gaffer says before the first stand goes up
    wanted = {
        "on_furniture",
        "stands",
        "exits",
        "heat",
        "sprinklers",
        "mirrors",
        "ladders",
        "flashes",
    }
    assert {one.code for one in CAUTIONS} == {f"caution.{name}" for name in wanted}


@settings(max_examples=25, deadline=None)
@given(
    width=st.floats(0.5, 30),
    length=st.floats(0.5, 30),
    height=st.one_of(st.none(), st.floats(1.0, 9)),
    sx=st.floats(0, 1),
    sy=st.floats(0, 1),
    cx=st.floats(0, 1),
    cy=st.floats(0, 1),
    face=st.floats(0, 1),
    setting=st.sampled_from(["interior", "exterior", "covered"]),
    focal=st.lists(st.floats(1, 1200), max_size=4),
    count=st.integers(0, 5),
)
def test_any_valid_sheet_gets_an_answer(
    width: float,
    length: float,
    height: float | None,
    sx: float,
    sy: float,
    cx: float,
    cy: float,
    face: float,
    setting: str,
    focal: list[float],
    count: int,
) -> None:
    # property: whatever the records accept is answered in finite numbers, with a place or a reason
    # for each light.
    if math.hypot((sx - cx) * width, (sy - cy) * length) < 0.05:
        return
    top = height if height is not None and setting != "exterior" else 2.0
    marks = {
        "subject": [sx * width, sy * length, face * top],
        "camera": [cx * width, cy * length, min(1.4, top)],
    }
    names = ["key", "fill", "back", "a", "b"][:count]
    given = sheet(
        room={"setting": setting, "width_m": width, "length_m": length, "height_m": height},
        marks=marks,
        kit__camera__focal_lengths_mm=focal,
        kit__lights=[{**LIGHT, "id": name} for name in names],
    )
    answer = fit(given)
    json.dumps(as_json(answer), allow_nan=False)
    for row in answer.plan.values():
        assert row.at_m is not None or row.why or row.unknown
        if row.fits:
            assert row.at_m is not None
    assert all(placement.at_m for placement in placements(given, answer).values())


def test_the_camera_is_set_anew_for_every_other_sheet_framing_and_lens() -> None:
    # by hand: 0.6 m on a sensor 14 mm high is 0.6 x 24 / 14 = 1.03 m away at 24 mm, straight; the lens
    # is 0.2 m over the face, so along the floor it is a little less (Pythagoras)
    def away(framing: str, focal_mm: float, **changes: Any) -> float:
        moved, _ = as_set(sheet(**changes), framing, focal_mm)
        assert moved.marks is not None
        assert moved.marks.camera is not None
        return 3.0 - moved.marks.camera[1]

    for _ in range(2):  # asked again the answer is kept
        near = away("head_and_shoulders", 24.0)
        assert near == pytest.approx(math.sqrt((0.6 * 24 / 14) ** 2 - 0.2**2), rel=0.03)
        assert away("head_and_shoulders", 35.0) == pytest.approx(near * 35 / 24, rel=0.03)
        assert away("medium", 24.0) == pytest.approx(near * 1.5, rel=0.03)
        wide = away("head_and_shoulders", 24.0, kit__camera__sensor_height_mm=18.0)
        assert wide == pytest.approx(near * 14 / 18, rel=0.03)
