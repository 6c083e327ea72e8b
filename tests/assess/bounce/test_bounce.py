"""The bounce and surround blocks from a room sheet: worked rooms, what is not measured, and places
that cannot be.
"""

from __future__ import annotations

import json
from typing import Any

import pytest

from scout.assess.answers import BounceAnswer, Placement, SurroundAnswer, as_json
from scout.assess.bounce.bounce import bounce, notes, surround, verdicts
from scout.records import read_sheet
from scout.records.sheet import RoomSheet
from tests.calc.bounce.charts import GREEN, RED, values

LED: dict[str, Any] = {
    "id": "key",
    "cct_k": 5600,
    "duv": 0.0,
    "spectrum": "led",
    "lux_at_1m": 9000,
    "beam_deg": 55,
}
FLOOR_CEILING = {"floor": {"light_reflectance": 0.20}, "ceiling": {"light_reflectance": 0.85}}
L_PLAN = [[0, 5], [3, 5], [3, 3], [6, 3], [6, 0], [0, 0]]


def spectrum(chart: str) -> dict[str, Any]:
    return {"colour": {"spectrum": {"first_nm": 380, "step_nm": 10, "values": values(chart)}}}


def flat(level: float) -> dict[str, Any]:
    return {"light_reflectance": level}


def sheet(
    surfaces: dict[str, Any],
    dims: tuple[float, float, float] = (4, 3, 2.5),
    marks: dict[str, Any] | None = None,
    lights: list[dict[str, Any]] | None = None,
    **room: Any,
) -> RoomSheet:
    plan = {} if "plan_m" in room else {"width_m": dims[0], "length_m": dims[1]}
    return read_sheet(
        {
            "schema": "room-sheet/1",
            "room": {
                "setting": "interior",
                **plan,
                "height_m": dims[2],
                "surfaces": surfaces,
                **room,
            },
            "marks": marks
            if marks is not None
            else {"subject": [3.2, 1.5, 1.2], "subject_normal": [-1, 0, 0]},
            "kit": {"lights": lights if lights is not None else [LED]},
        }
    )


def at(
    place: tuple[float, float, float],
    aim: tuple[float, float, float] | None = None,
    light: str = "key",
) -> dict[str, Placement]:
    return {light: Placement(light, place, aim, "pinned")}


def off(rows: tuple[BounceAnswer, ...], surface: str) -> BounceAnswer:
    (row,) = [row for row in rows if row.surface == surface]
    return row


def side(rows: tuple[SurroundAnswer, ...], name: str) -> SurroundAnswer:
    (row,) = [row for row in rows if row.side == name]
    return row


RED_ROOM = {**dict.fromkeys("ABCD", spectrum(RED)), **FLOOR_CEILING}
GREY_ROOM = {
    **{wall: flat(level) for wall, level in zip("ABCD", (0.3, 0.6, 0.8, 0.5), strict=True)},
    **FLOOR_CEILING,
}
GREEN_WALL = {**dict.fromkeys("ABC", flat(0.70)), "D": spectrum(GREEN), **FLOOR_CEILING}


# Source of the worked rooms: radiosity by 0.25 m patches for each wavelength, computed
# independently of this program.
# Tolerances: lux 4 %, stops .07, xy .002, mired 1.5 or 4 %, Duv .0006, dE .5. Wall D is at x = 0.
def test_red_room_off_the_ceiling() -> None:
    row = off(bounce(sheet(RED_ROOM), at((2, 1.5, 1.5))), "ceiling")
    assert row.bounced_lux == pytest.approx(328, rel=0.04)
    assert row.loss_stops == pytest.approx(2.78, abs=0.07)
    assert row.xy == pytest.approx((0.3437, 0.3387), abs=0.002)
    assert row.mired_shift == pytest.approx(21.0, abs=1.5)
    assert row.duv_shift == pytest.approx(-0.0064, abs=0.0006)
    assert (
        row.delta_e_white,
        row.delta_e,
        row.delta_e_skin,
        row.delta_e_dark_skin,
    ) == pytest.approx((8.8, 5.5, 4.8, 3.7), abs=0.5)
    assert row.risk == "high"
    assert row.aim_m == (2, 1.5, 2.5)
    assert row.unknown is None
    assert row.remedy is not None
    assert "-21 mired (bluer)" in row.remedy
    assert "eighth plus green" in row.remedy


def test_red_room_off_the_red_wall() -> None:
    row = off(bounce(sheet(RED_ROOM), at((1.2, 1.5, 1.5))), "D")
    assert row.bounced_lux == pytest.approx(40.5, rel=0.04)
    assert row.loss_stops == pytest.approx(5.80, abs=0.07)
    assert row.xy == pytest.approx((0.5450, 0.3244), abs=0.002)
    assert row.cct_k is None
    assert row.mired_shift is None
    assert row.duv_shift == pytest.approx(-0.0246, abs=0.0006)
    assert (
        row.delta_e_white,
        row.delta_e,
        row.delta_e_skin,
        row.delta_e_dark_skin,
    ) == pytest.approx((31.9, 26.5, 26.2, 21.8), abs=0.5)
    assert row.risk == "high"
    assert row.tint == "red"


def test_red_room_with_the_key_on_the_subject() -> None:
    key = side(surround(sheet(RED_ROOM), at((1.2, 1.5, 1.2))), "key")
    assert key.direct_lux == pytest.approx(2250, rel=1e-6)  # by hand: 9000 / 2^2
    assert key.bounced_lux == pytest.approx(33.7, rel=0.04)
    assert key.bounced_share == pytest.approx(0.0147, abs=0.0006)
    assert key.loss_stops == pytest.approx(-0.02, abs=0.07)
    assert key.cct_k == pytest.approx(5534, abs=25)
    assert key.mired_shift == pytest.approx(2.1, abs=1.5)
    assert key.duv_shift == pytest.approx(-0.0007, abs=0.0006)
    assert (key.delta_e_white, key.delta_e, key.delta_e_skin) == pytest.approx(
        (1.2, 0.7, 0.6), abs=0.5
    )
    assert key.risk == "none"


def test_cream_room_in_tungsten() -> None:
    cream = {**{wall: {"colour": {"srgb": "#e8d9b0"}} for wall in "ABCD"}, **FLOOR_CEILING}
    lamp = {**LED, "cct_k": 3200, "spectrum": "tungsten"}
    given = sheet(
        cream, (5, 6.5, 2.7), {"subject": [2.5, 4, 1.2], "camera": [2.5, 0.8, 1.4]}, [lamp]
    )
    row = off(bounce(given, at((2.5, 2, 1.7))), "ceiling")
    assert row.bounced_lux == pytest.approx(247, rel=0.04)
    assert row.loss_stops == pytest.approx(3.18, abs=0.07)
    assert row.cct_k == pytest.approx(3043, abs=15)
    assert row.mired_shift == pytest.approx(16.3, abs=1.5)
    assert row.duv_shift == pytest.approx(0.0008, abs=0.0006)
    assert (row.delta_e_white, row.delta_e, row.delta_e_skin) == pytest.approx(
        (6.7, 4.0, 2.8), abs=0.5
    )
    assert row.risk == "medium"
    assert "the subject faces the camera, level" in notes(given)["bounce"].assumed


def test_green_wall_behind_the_subject() -> None:
    given = sheet(
        GREEN_WALL,
        marks={"subject": [0.5, 1.5, 1.2], "subject_normal": [1, 0, 0]},
        lights=[{**LED, "spectrum": "daylight", "duv": None}],
    )
    rows = surround(given, at((2.5, 1.5, 1.2)))
    key, shadow = side(rows, "key"), side(rows, "shadow")
    assert key.direct_lux == pytest.approx(2250, rel=1e-6)
    assert key.bounced_lux == pytest.approx(91.6, rel=0.04)
    assert key.bounced_share == pytest.approx(0.0391, abs=0.0016)
    assert key.mired_shift == pytest.approx(-0.2, abs=1.5)
    assert key.duv_shift == pytest.approx(0.0009, abs=0.0006)
    assert key.delta_e == pytest.approx(0.8, abs=0.5)
    assert key.risk == "none"
    assert shadow.direct_lux == 0
    assert shadow.bounced_lux == pytest.approx(291, rel=0.04)
    assert shadow.bounced_share == 1
    assert shadow.loss_stops == pytest.approx(2.95, abs=0.07)
    assert shadow.contrast_stops == pytest.approx(
        2.95 + 0.06, abs=0.1
    )  # by hand: log2((2250 + 91.6) / 291)
    assert shadow.xy == pytest.approx((0.3156, 0.4959), abs=0.002)
    assert shadow.cct_k is None
    assert shadow.mired_shift is None
    assert shadow.duv_shift == pytest.approx(0.0642, abs=0.0006)
    assert (
        shadow.delta_e_white,
        shadow.delta_e,
        shadow.delta_e_skin,
        shadow.delta_e_dark_skin,
    ) == pytest.approx((29, 24, 35, 27), abs=0.55)
    assert shadow.risk == "high"
    assert shadow.worst_surface == "D"
    assert shadow.tint == "green"
    verdict = next(one for one in verdicts((), rows) if one.topic == "surround")
    assert verdict.level == "problem"
    assert "fills green off wall D" in verdict.because


def test_neutral_room_shifts_nothing() -> None:
    # property: grey surfaces leave any light its colour
    for kind, kelvin in (
        ("led", 5600),
        ("tungsten", 2900),
        ("fluorescent", 4000),
        ("daylight", 6500),
    ):
        given = sheet(GREY_ROOM, lights=[{**LED, "spectrum": kind, "cct_k": kelvin, "duv": None}])
        rows, sides = bounce(given, at((2, 1.5, 1.5))), surround(given, at((1.2, 1.0, 1.6)))
        assert len(rows) == 6
        for row in (*rows, *sides):
            assert (row.delta_e, row.duv_shift, row.mired_shift) == pytest.approx(
                (0, 0, 0), abs=1e-6
            )
            assert row.risk == "none"
        assert all(row.remedy == "none needed" for row in rows)
        assert all(row.worst_surface is None for row in sides)
        assert all(one.level == "good" for one in verdicts(rows, sides) if one.topic == "surround")


def test_lux_go_with_the_lamp_and_the_lux_reading_is_not_needed_for_colour() -> None:
    # property: half the light, half the lux, the same stops and colour
    whole = off(bounce(sheet(RED_ROOM), at((2, 1.5, 1.5))), "ceiling")
    half = off(
        bounce(sheet(RED_ROOM, lights=[{**LED, "lux_at_1m": 4500}]), at((2, 1.5, 1.5))), "ceiling"
    )
    none = off(
        bounce(sheet(RED_ROOM, lights=[{**LED, "lux_at_1m": None}]), at((2, 1.5, 1.5))), "ceiling"
    )
    assert whole.bounced_lux is not None
    assert half.bounced_lux == pytest.approx(whole.bounced_lux / 2)
    assert none.bounced_lux is None
    assert none.unknown is not None
    assert "lux at 1 m of key is not measured" in none.unknown
    for row in (half, none):
        assert (row.loss_stops, row.delta_e, row.risk) == (
            pytest.approx(whole.loss_stops),
            pytest.approx(whole.delta_e),
            whole.risk,
        )


def test_a_wall_not_measured_is_never_assumed() -> None:
    surfaces = {**GREY_ROOM, "B": {"material": "hard_surface"}}
    given = sheet(surfaces)
    rows, sides = bounce(given, at((2, 1.5, 1.5))), surround(given, at((1.2, 1.5, 1.2)))
    for row in rows:
        assert row.unknown == "because the colour of wall B is not measured"
        assert (row.bounced_lux, row.delta_e, row.risk, row.remedy) == (None, None, None, None)
    assert off(rows, "B").bounced_lux_range is None
    low, high = off(rows, "ceiling").bounced_lux_range or (0, 0)
    # property: between the same room with a dark and with a pale grey wall
    dark, pale = (
        off(
            bounce(sheet({**GREY_ROOM, "B": flat(level)}), at((2, 1.5, 1.5))), "ceiling"
        ).bounced_lux
        for level in (0.10, 0.80)
    )
    assert (low, high) == pytest.approx((dark, pale))
    assert low < high
    assert off(rows, "ceiling").loss_stops_range is not None
    key, shadow = side(sides, "key"), side(sides, "shadow")
    assert key.direct_lux == pytest.approx(2250)
    assert key.bounced_lux is None
    assert key.bounced_lux_range is not None
    assert shadow.contrast_stops_range is not None
    assert shadow.contrast_stops_range[0] < shadow.contrast_stops_range[1]
    assert {one.level for one in verdicts(rows, sides)} == {"unknown"}
    assert any("dark" in words for words in notes(given)["bounce"].assumed)
    bare = read_sheet({**given.plain(), "room": {**given.plain()["room"], "surfaces": None}})
    why = side(surround(bare, at((1.2, 1.5, 1.2))), "key").unknown
    assert (
        why
        == "because the colours of wall A, wall B, wall C, wall D, the floor and the ceiling are not measured"
    )


def test_a_colour_that_cannot_be_is_unknown_by_name() -> None:
    surfaces = {**GREY_ROOM, "B": {"colour": {"lab": [90, 0, -100], "illuminant": "D65"}}}
    row = off(bounce(sheet(surfaces), at((2, 1.5, 1.5))), "B")
    assert row.unknown is not None
    assert row.unknown.startswith("because the colour of wall B cannot be used")
    assert row.risk is None


def test_level_and_finish_are_said() -> None:
    surfaces = {
        **GREY_ROOM,
        "B": {"colour": {"srgb": "#c9b79c"}, "light_reflectance": 0.2, "finish": "gloss"},
    }
    row = off(bounce(sheet(surfaces), at((2, 1.5, 1.5))), "B")
    assert any("30 %" in words for words in row.assumed)
    assert any("gloss" in words for words in row.assumed)
    assert any(
        "neutral grey" in words
        for words in off(bounce(sheet(surfaces), at((2, 1.5, 1.5))), "A").assumed
    )


def test_openings_are_glass_and_doors_and_say_so() -> None:
    windows = [
        {
            "id": "W1",
            "wall": "B",
            "offset_m": 0.5,
            "sill_m": 0.5,
            "width_m": 2.0,
            "height_m": 1.8,
            "covering": "none",
        },
        {
            "id": "W2",
            "wall": "A",
            "offset_m": 0.5,
            "sill_m": 0.5,
            "width_m": 1.0,
            "height_m": 1.0,
            "covering": "blind",
        },
        {"id": "W3", "wall": "A", "width_m": 1.0},
    ]
    doors = [{"id": "D1", "wall": "C", "offset_m": 0.4, "width_m": 0.83, "height_m": 2.0}]
    plain = {**dict.fromkeys("ABCD", flat(0.7)), **FLOOR_CEILING}
    given = sheet(plain, windows=windows, doors=doors)
    said = " ".join(notes(given)["bounce"].assumed)
    assert "glass of W1" in said
    assert "blind of W2" in said
    assert "W3 is not fully measured" in said
    assert "colour of D1" in said
    # property: a window takes light from the bounce off its wall
    shut, open_ = (
        off(bounce(one, at((2, 1.5, 1.5))), "B").bounced_lux or 0 for one in (sheet(plain), given)
    )
    assert open_ < 0.7 * shut


def test_an_l_shaped_room_hides_walls_from_the_light() -> None:
    surfaces = {**dict.fromkeys("ABCDEF", flat(0.6)), **FLOOR_CEILING}
    given = sheet(
        surfaces, plan_m=L_PLAN, marks={"subject": [1.5, 1.5, 1.2], "subject_normal": [0, 1, 0]}
    )
    rows = bounce(given, at((1.0, 4.5, 1.8)))
    assert [row.surface for row in rows] == ["A", "B", "C", "D", "E", "F", "floor", "ceiling"]
    assert off(rows, "C").unknown == "because wall C faces away from where key stands"
    assert off(rows, "D").unknown == "because wall D cannot be seen from where key stands"
    assert off(rows, "B").bounced_lux is not None
    hidden = side(
        surround(
            sheet(surfaces, plan_m=L_PLAN, marks={"subject": [5.5, 2.5, 1.2]}), at((1.0, 4.5, 1.8))
        ),
        "key",
    )
    assert hidden.direct_lux == 0
    assert any("wall stands between" in words for words in hidden.assumed)
    assert hidden.bounced_share == 1
    # property: greys stay grey round corners too
    assert all(row.delta_e == pytest.approx(0, abs=1e-6) for row in rows if row.risk is not None)


@pytest.mark.parametrize(
    ("change", "place", "words"),
    [
        ({"marks": {}}, (2, 1.5, 1.5), "subject's mark is not set"),
        ({"marks": {"subject": [3.2, 1.5, 1.2]}}, (2, 1.5, 1.5), "camera's mark"),
        (
            {"marks": {"subject": [4.0, 1.5, 1.2], "subject_normal": [1, 0, 0]}},
            (2, 1.5, 1.5),
            "lies on a wall",
        ),
        ({}, (9.0, 1.5, 1.5), "outside the room"),
        ({}, (2, 1.5, 2.6), "outside the room"),
        (
            {"lights": [{**LED, "cct_k": None}]},
            (2, 1.5, 1.5),
            "colour temperature of key is not measured",
        ),
        (
            {"lights": [{**LED, "cct_k": None, "beam_deg": None}]},
            (2, 1.5, 1.5),
            "colour temperature and the beam angle of key are not measured",
        ),
        ({"lights": [{**LED, "cct_k": 3200, "spectrum": "daylight"}]}, (2, 1.5, 1.5), "4000 K"),
        ({"lights": [{**LED, "beam_deg": 179}]}, (2, 1.5, 1.5), "beam_deg"),
        ({"setting": "exterior"}, (2, 1.5, 1.5), "exterior has no walls"),
        ({"height_m": None}, (2, 1.5, 1.5), "height is not measured"),
        ({"width_m": None}, (2, 1.5, 1.5), "plan of the room"),
    ],
)
def test_what_cannot_be_worked_out_says_why(
    change: dict[str, Any], place: tuple[float, float, float], words: str
) -> None:
    given = sheet(GREY_ROOM, **change)
    rows = bounce(given, at(place))
    assert rows
    for row in rows:
        assert row.unknown is not None
        assert row.unknown.startswith("because ")
        assert words in row.unknown
        assert (row.bounced_lux, row.risk) == (None, None)
    assert {one.level for one in verdicts(rows, ()) if one.topic == "bounce"} == {"unknown"}
    json.dumps(as_json([rows, surround(given, at(place)), notes(given)]))


def test_no_place_no_lights_and_odd_places() -> None:
    given = sheet(GREY_ROOM)
    assert "no place in this room" in (off(bounce(given, {}), "A").unknown or "")
    empty = sheet(GREY_ROOM, lights=[])
    assert bounce(empty, {}) == ()
    assert surround(empty, {}) == ()
    assert notes(empty)["bounce"].unknown == "because no light of the kit is recorded"
    on_subject = surround(given, at((3.2, 1.5, 1.2)))
    assert all("stands on the subject" in (row.unknown or "") for row in on_subject)
    against = bounce(given, at((0.02, 1.5, 1.5)))
    assert "too near" in (off(against, "D").unknown or "")
    assert off(against, "B").bounced_lux is not None
    away = side(surround(given, at((1.2, 1.5, 1.2), (0.0, 1.5, 1.2))), "key")
    assert away.direct_lux == 0
    assert any("points away" in words for words in away.assumed)


def test_a_light_of_no_kind_is_said_to_be_taken_as_led() -> None:
    row = off(
        bounce(sheet(RED_ROOM, lights=[{**LED, "spectrum": None, "duv": None}]), at((2, 1.5, 1.5))),
        "ceiling",
    )
    assert any("taken as a white LED" in words for words in row.assumed)
    assert any("Duv of key is not measured" in words for words in row.assumed)
    assert row.risk == "high"


def test_verdict_names_the_wall_to_avoid_and_the_surface_to_use() -> None:
    surfaces = {
        **dict.fromkeys("ACD", flat(0.5)),
        "B": spectrum(GREEN),
        "ceiling": flat(0.85),
        "floor": flat(0.2),
    }
    given = sheet(surfaces, (6, 6, 3), {"subject": [3, 2, 1.2], "subject_normal": [0, 1, 0]})
    rows = bounce(given, at((3, 3.5, 1.6)))
    (verdict,) = verdicts(rows, ())
    green = off(rows, "B")
    assert (
        f"bouncing key off wall B costs {green.loss_stops:.1f} stops and turns skin visibly green"
        in verdict.because
    )
    assert "use the ceiling" in verdict.because
    assert verdict.level == "care"
    red = verdicts(bounce(sheet(RED_ROOM), at((2, 1.5, 1.5))), ())[0]
    assert red.level == "problem"
    assert "ceiling" in red.because
    assert "-21 mired" in red.because


def test_answers_become_json_with_the_published_keys() -> None:
    given = sheet(RED_ROOM)
    plain = json.loads(json.dumps(as_json(bounce(given, at((2, 1.5, 1.5)))[0])))
    assert {
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
        "assumed",
    } <= plain.keys()
    plain = json.loads(json.dumps(as_json(surround(given, at((1.2, 1.5, 1.2)))[0])))
    assert {
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
        "assumed",
    } <= plain.keys()


def test_a_covered_place_is_worked_out_with_its_open_sides() -> None:
    # property: an open side sends nothing back, as a black wall does not; the walls and the ceiling
    # on record do
    porch = {name: surface for name, surface in RED_ROOM.items() if name not in "AC"}
    given = sheet(porch, setting="covered")
    black = sheet({**porch, "A": flat(0.0), "C": flat(0.0)})
    row, same = (
        off(bounce(given, at((2, 1.5, 1.5))), "ceiling"),
        off(bounce(black, at((2, 1.5, 1.5))), "ceiling"),
    )
    assert row.bounced_lux == pytest.approx(same.bounced_lux, rel=1e-6)
    assert row.delta_e == pytest.approx(same.delta_e, rel=1e-6)
    assert any(
        "wall A, wall C bear no surface on record and are taken as open sides" in words
        for words in notes(given)["bounce"].assumed
    )
    assert (
        off(bounce(given, at((2, 1.5, 1.5))), "A").unknown
        == "because wall A is an open side: there is nothing to bounce off"
    )
    shut = sheet(RED_ROOM, setting="covered")
    assert off(bounce(shut, at((2, 1.5, 1.5))), "ceiling").bounced_lux == pytest.approx(
        328, rel=0.04
    )
    assert any("closed all round" in words for words in notes(shut)["bounce"].assumed)
    bare = sheet({"A": flat(0.5)}, setting="covered")
    assert "the floor and the ceiling are not measured" in (
        off(bounce(bare, at((2, 1.5, 1.5))), "A").unknown or ""
    )
