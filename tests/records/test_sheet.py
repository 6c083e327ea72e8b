"""The room sheet as published: what it carries comes back, what cannot be is refused by its path.

Expected answers: the published document (its example stands below, our own), `by hand` for
    geometry, `property:` for round trips.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scout.errors import RefusedMany
from scout.records import RoomRecord, read_sheet, room_refusals
from scout.records.kit import Light
from scout.records.questions import room_questions
from scout.records.schema import room_sheet_schema
from scout.values import Figure, Said
from tests.rooms import PARLOUR

SHEET = PARLOUR


def changed(change: Callable[[dict[str, Any]], object]) -> dict[str, Any]:
    sheet = copy.deepcopy(SHEET)
    change(sheet)
    return sheet


def refusals(sheet: Any) -> dict[str, str]:
    """Why each path is refused, as code and values."""
    with pytest.raises(RefusedMany) as refused:
        read_sheet(sheet)
    return {refusal.path: repr(refusal.because) for refusal in refused.value.refusals}


def test_property_reading_then_writing_gives_the_same_document() -> None:
    assert read_sheet(json.dumps(SHEET)).plain() == SHEET


@pytest.mark.parametrize(
    "moment",
    [
        "2026-05-03T10:40:00Z",
        "2026-05-03T10:40:00+00:00",
        "2026-05-03T10:40+01:00",
        "2026-05-03T10:40:00.500-03:30",
    ],
)
def test_property_a_time_keeps_the_text_it_came_in(moment: str) -> None:
    sheet = changed(lambda s: s["room"]["noise"][0].update(taken_at=moment))
    assert read_sheet(sheet).plain() == sheet


@pytest.mark.parametrize(
    ("change", "path", "why"),
    [
        (
            lambda s: s["room"]["windows"][0].update(sill_m=4.2),
            "room.windows[0].sill_m",
            "sheet.above_ceiling(ceiling=2.7 m)",
        ),
        (
            lambda s: s["room"]["windows"][0].update(height_m=1.9),
            "room.windows[0].height_m",
            "sheet.head_above(head=2.8 m, ceiling=2.7 m)",
        ),  # by hand: 0.9 + 1.9
        (
            lambda s: s["room"]["windows"][0].update(width_m=5.5),
            "room.windows[0].width_m",
            "sheet.wider(wall=surface:A, length=5 m)",
        ),
        (
            lambda s: s["room"]["windows"][0].update(offset_m=3.5),
            "room.windows[0].offset_m",
            "sheet.reaches_past(reach=5.5 m, wall=surface:A, length=5 m)",
        ),  # by hand: 3.5 + 2.0
        (
            lambda s: s["room"]["windows"][0].update(wall="F"),
            "room.windows[0].wall",
            "sheet.no_wall(last=D)",
        ),
        (
            lambda s: s["room"]["windows"].append({**s["room"]["windows"][0], "id": "W2"}),
            "room.windows[1].offset_m",
            "sheet.overlap(one=W2, other=W1, wall=surface:A)",
        ),
        (
            lambda s: s["room"]["windows"].append({"id": "W1", "wall": "B"}),
            "room.windows[1].id",
            "sheet.id_taken(other=fact:room.windows[0])",
        ),
        (
            lambda s: s["room"]["doors"].append(
                {"id": "D2", "wall": "A", "offset_m": 2.0, "width_m": 1.0, "height_m": 2.0}
            ),
            "room.doors[1].offset_m",
            "sheet.overlap(one=D2, other=W1, wall=surface:A)",
        ),
        (lambda s: s["room"].update(height_m=-2.7), "room.height_m", "record.above(bound=0)"),
        (lambda s: s["room"].update(height_m="2.7"), "room.height_m", "record.no_number()"),
        (lambda s: s["room"].update(height_m=True), "room.height_m", "record.no_number()"),
        (lambda s: s["room"].update(colour=1), "room.colour", "record.no_key()"),
        (
            lambda s: s["room"]["facing"].update(wall="E"),
            "room.facing.wall",
            "sheet.no_wall(last=D)",
        ),
        (
            lambda s: s["room"]["facing"].update(bearing_deg=361),
            "room.facing.bearing_deg",
            "record.most(bound=360)",
        ),
        (
            lambda s: s["room"]["surfaces"].update(E={"material": "glass"}),
            "room.surfaces.E",
            "sheet.no_surface(last=D)",
        ),
        (
            lambda s: s["room"]["surfaces"]["A"].update(material="felt"),
            "room.surfaces.A.material",
            "record.not_one_of(",
        ),
        (
            lambda s: s["room"]["surfaces"]["A"].update(colour={"srgb": "#12"}),
            "room.surfaces.A.colour.srgb",
            "record.no_srgb()",
        ),
        (
            lambda s: s["room"]["surfaces"]["A"].update(colour={}),
            "room.surfaces.A.colour",
            "record.colour_ways(given=None)",
        ),
        (
            lambda s: s["room"]["surfaces"]["ceiling"]["colour"].pop("illuminant"),
            "room.surfaces.ceiling.colour",
            "record.illuminant()",
        ),
        (
            lambda s: s["room"]["surfaces"]["floor"]["colour"]["spectrum"].update(step_nm=10),
            "room.surfaces.floor.colour.spectrum",
            "record.spectrum_short(last=450)",
        ),
        (
            lambda s: s["room"]["surfaces"]["A"].update(light_reflectance=1.2),
            "room.surfaces.A.light_reflectance",
            "record.most(bound=1)",
        ),
        (
            lambda s: s["room"]["outlets"][0].update(circuit="K9"),
            "room.outlets[0].circuit",
            "sheet.no_circuit(circuits=[K1])",
        ),
        (
            lambda s: s["room"]["outlets"][0].update(offset_m=7),
            "room.outlets[0].offset_m",
            "sheet.past_end(wall=surface:B, length=6.5 m)",
        ),
        (
            lambda s: s["room"]["circuits"].append({"id": "K1"}),
            "room.circuits[1].id",
            "sheet.id_twice()",
        ),
        (
            lambda s: s["room"]["noise"][0].update(taken_at="2026-05-03T10:40:00"),
            "room.noise[0].taken_at",
            "record.no_offset()",
        ),
        (
            lambda s: s["room"]["noise"][0].update(bands_db={"440": 3}),
            "room.noise[0].bands_db",
            "record.no_band(band=440, bands=[31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000, 16000])",
        ),
        (
            lambda s: s["room"]["noise"][0].update(method="ear"),
            "room.noise[0].method",
            "record.not_one_of(",
        ),
        (
            lambda s: s["room"]["practicals"][0].update(at_m=[2.5, 3.2, 3.0]),
            "room.practicals[0].at_m[2]",
            "sheet.above_ceiling(ceiling=2.7 m)",
        ),
        # by hand: the middle 4.0 and half of 2.2 make 5.1, past the wall at 5.0; turned a quarter,
        # half the width lies along y: 6.0 + 0.8 = 6.8
        (
            lambda s: s["room"]["furniture"][0].update(width_m=2.2),
            "room.furniture[0].at_m",
            "sheet.edge_outside(x=5.1 m, y=4.4 m)",
        ),
        (
            lambda s: s["room"]["furniture"][0].update(at_m=[4.0, 6.0], turn_deg=90),
            "room.furniture[0].at_m",
            "sheet.edge_outside(x=4.4 m, y=6.8 m)",
        ),
        (
            lambda s: s["room"]["furniture"][0].update(at_m=[5.6, 4.0]),
            "room.furniture[0].at_m",
            "sheet.middle_outside()",
        ),
        (
            lambda s: s["room"]["furniture"][0].update(at_m=[4.0, 4.0, 0.0]),
            "room.furniture[0].at_m",
            "record.too_many(bound=2)",
        ),
        (
            lambda s: s["room"]["furniture"][0].update(depth_m=0),
            "room.furniture[0].depth_m",
            "record.above(bound=0)",
        ),
        (
            lambda s: s["room"]["furniture"][0].update(height_m=2.8),
            "room.furniture[0].height_m",
            "sheet.above_ceiling(ceiling=2.7 m)",
        ),
        (
            lambda s: s["room"]["furniture"][0].update(reflectance=1.2),
            "room.furniture[0].reflectance",
            "record.most(bound=1)",
        ),
        (
            lambda s: s["room"]["furniture"][0].update(clear_below_m=0.75),
            "room.furniture[0].clear_below_m",
            "sheet.open_to_top(height=0.75 m)",
        ),
        (
            lambda s: s["room"]["furniture"].append(
                {"id": "chair", "at_m": [4.0, 3.5], "width_m": 0.5, "depth_m": 0.5}
            ),
            "room.furniture[1].at_m",
            "sheet.in_other(other=table)",
        ),
        (
            lambda s: s["room"]["furniture"][0].update(at_m=[4.2, 0.42]),
            "room.furniture[0].at_m",
            "sheet.in_door(door=D1)",
        ),
        (
            lambda s: s["marks"].update(subject=[4.0, 4.0, 0.6]),
            "marks.subject",
            "sheet.in_piece(piece=table)",
        ),
        (
            lambda s: s["room"]["furniture"].append({"id": "table"}),
            "room.furniture[1].id",
            "sheet.id_twice()",
        ),
        (
            lambda s: s["room"]["furniture"][0].update(shape="round"),
            "room.furniture[0].shape",
            "record.no_key()",
        ),
        (
            lambda s: s["marks"].update(subject=[9, 9, 1.2]),
            "marks.subject",
            "sheet.outside()",
        ),
        (
            lambda s: s["marks"].update(subject_normal=[0, 0, 0]),
            "marks.subject_normal",
            "record.no_direction()",
        ),
        (
            lambda s: s["marks"].update(camera=[2.5, 3.0, 1.4]),
            "marks.camera",
            "sheet.camera_on_subject()",
        ),
        (
            lambda s: s["kit"]["camera"].update(focal_lengths_mm=[0]),
            "kit.camera.focal_lengths_mm[0]",
            "record.above(bound=0)",
        ),
        (
            lambda s: s["kit"]["lights"][0].update(cct_k=0),
            "kit.lights[0].cct_k",
            "record.least(bound=1000)",
        ),
        (
            lambda s: s["kit"]["lights"][0].update(stand_min_m=3),
            "kit.lights[0].stand_min_m",
            "sheet.above_highest(highest=2.6 m)",
        ),
        (
            lambda s: s["kit"].update(exposure_constant=300),
            "kit.exposure_constant",
            "record.not_one_of(choices=250 or 330)",
        ),
        (
            lambda s: s["location"].update(latitude_deg=95),
            "location.latitude_deg",
            "record.most(bound=90)",
        ),
        (
            lambda s: s["location"].update(timezone="Mars/Base"),
            "location.timezone",
            "record.no_zone()",
        ),
        (
            lambda s: s["location"].update(timezone="../../etc/passwd"),
            "location.timezone",
            "record.no_zone()",
        ),
        (
            lambda s: s.update(schema="room-sheet/2"),
            "schema",
            "record.not_one_of(choices='room-sheet/1')",
        ),
        (lambda s: s.pop("room"), "room", "record.missing()"),
        (
            lambda s: s["location"].update(name="a\u0000b"),
            "location.name",
            "record.character(sign=U+0000)",
        ),
    ],
)
def test_what_cannot_be_is_refused_by_its_path(
    change: Callable[[dict[str, Any]], object], path: str, why: str
) -> None:
    found = refusals(changed(change))
    assert path in found, found
    assert found[path].startswith(why)


@pytest.mark.parametrize(
    ("plan", "words"),
    [
        ([[0, 0], [5, 0], [5, 6.5], [0, 6.5]], "sheet.anticlockwise()"),
        ([[0, 6.5], [5, 0], [5, 6.5], [0, 0]], "sheet.crosses(one=surface:A, other=surface:C)"),
        ([[0, 0], [1, 1], [2, 2], [3, 3]], "sheet.flat()"),
        ([[0, 6.5], [5, 6.5], [5, 6.5], [5, 0]], "sheet.corner_again()"),
        ([[0, 0], [1, 0]], "sheet.corners(least=3, most=100)"),
        (
            [[0, 4], [4, 4], [4, 0], [4, 6], [0, 0]],
            "sheet.crosses(one=surface:A, other=surface:C)",
        ),  # folds back on itself
    ],
)
def test_a_plan_that_is_none_says_which_fault_it_has(plan: list[list[float]], words: str) -> None:
    sheet = {"schema": "room-sheet/1", "room": {"plan_m": plan}}
    assert list(refusals(sheet).values()) == [words]


def test_all_refusals_come_at_once() -> None:
    sheet = changed(
        lambda s: (
            s["room"]["windows"][0].update(wall="F"),
            s["marks"].update(subject=[9, 9, 1]),
            s["room"]["outlets"][0].update(circuit="K9"),
        )
    )
    assert {"room.windows[0].wall", "marks.subject", "room.outlets[0].circuit"} <= set(
        refusals(sheet)
    )


@pytest.mark.parametrize(
    ("offset_m", "asked"),
    # by hand: W1 runs from 1.5 to 3.5 m of wall A; frames are up to 5 cm apart (common practice)
    [(3.5, ()), (3.495, ()), (3.49, ("D2", "W1")), (3.45, ("D2", "W1")), (3.44, None)],
)
def test_a_door_just_over_a_window_is_asked_about(
    offset_m: float, asked: tuple[str, ...] | None
) -> None:
    door = {"id": "D2", "wall": "A", "offset_m": offset_m, "width_m": 0.9, "height_m": 2.0}
    data = changed(lambda s: s["room"]["doors"].append(door))
    if asked is None:
        with pytest.raises(RefusedMany) as refused:
            read_sheet(data)
        assert [one.path for one in refused.value.refusals] == ["room.doors[1].offset_m"]
        return
    found = [one.names for one in room_questions(read_sheet(data).room)]
    assert found == ([asked] if asked else [])


@pytest.mark.parametrize(
    ("offset_m", "height_m", "asked"),
    # by hand: D1 of wall C is open from 0.4 to 1.23 m, 2.0 m high
    [(0.4, 0.3, 0), (0.41, 0.3, 1), (1.22, 0.3, 1), (1.23, 0.3, 0), (0.8, 2.1, 0), (0.8, None, 1)],
)
def test_a_socket_in_a_doors_opening_is_asked_about(
    offset_m: float, height_m: float | None, asked: int
) -> None:
    def put(sheet: Any) -> None:
        outlet = {"id": "P9", "wall": "C", "offset_m": offset_m, "height_m": height_m}
        sheet["room"]["outlets"].append({key: v for key, v in outlet.items() if v is not None})

    assert len(room_questions(read_sheet(changed(put)).room)) == asked


@pytest.mark.parametrize(
    ("wall", "offset_m", "height_m", "asked"),
    [
        # common practice: plates side by side or one above the other are 70 mm apart or more
        ("B", 0.6, 0.3, 1),
        ("B", 0.669, 0.3, 1),
        ("B", 0.671, 0.3, 0),
        ("B", 0.6, 0.371, 0),
        ("B", 0.6, 0.369, 1),
        ("B", 0.6, None, 1),
        ("D", 0.6, 0.3, 0),
    ],
)
def test_two_outlets_at_one_spot_are_asked_about(
    wall: str, offset_m: float, height_m: float | None, asked: int
) -> None:
    def put(sheet: Any) -> None:
        first = {"id": "P8", "wall": "B", "offset_m": 0.6, "height_m": 0.3}
        other = {"id": "P9", "wall": wall, "offset_m": offset_m, "height_m": height_m}
        sheet["room"]["outlets"] = [first, {k: v for k, v in other.items() if v is not None}]

    found = room_questions(read_sheet(changed(put)).room)
    assert [one.names for one in found] == [("P8", "P9")] * asked


def test_two_openings_one_above_the_other_do_not_overlap() -> None:
    above = {
        "id": "W2",
        "wall": "A",
        "offset_m": 1.5,
        "sill_m": 2.4,
        "width_m": 2.0,
        "height_m": 0.3,
    }  # by hand: W1 ends at 0.9 + 1.5 = 2.4
    assert (
        read_sheet(changed(lambda s: s["room"]["windows"].append(above))).room.windows is not None
    )


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (b"", "record.not_json(why=Expecting value, line=1, column=1)"),
        (b"\xff\xfe", "record.not_utf8(at=0)"),
        (b"[1]", "sheet.no_object()"),
        (b'{"schema": "room-sheet/1", "room": {"height_m": NaN}}', "record.no_json_number()"),
        (b'{"schema": "room-sheet/1", "room": {"height_m": 1e999}}', "record.too_large()"),
        (b'{"a": 1, "a": 2}', "record.key_twice()"),
        (b"[" * 100_000, "record.nested_json()"),
        (b'{"schema": "room-sheet/1", "room": {"height_m": -Infinity}}', "record.no_json_number()"),
        (
            b'{"room": ' + b"9" * 5000 + b"}",
            "record.no_such_number(",
        ),
        (b"PK\x03\x04", "record.not_json(why=Expecting value, line=1, column=1)"),
    ],
)
def test_what_is_no_sheet_at_all(text: bytes, words: str) -> None:
    (why,) = refusals(text).values()
    assert why.startswith(words)


def test_not_measured_stays_not_measured() -> None:
    sheet = read_sheet({"schema": "room-sheet/1", "room": {"name": "Attic"}})
    assert sheet.room.height_m is None
    assert sheet.room.windows is None
    assert sheet.room.corners_m is None


json_values = st.recursive(
    st.none()
    | st.booleans()
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=20),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=10), inner, max_size=4)
    ),
    max_leaves=12,
)


@settings(max_examples=150, deadline=None)
@given(json_values, st.sampled_from(["room", "location", "marks", "kit", "extra"]))
def test_property_anything_is_read_or_refused_by_name(value: Any, key: str) -> None:
    sheet = {**copy.deepcopy(SHEET), key: value}
    try:
        assert read_sheet(sheet).plain() == sheet
    except RefusedMany as refused:
        assert all(refusal.path for refusal in refused.refusals)


def test_the_published_schema_is_one_and_judges_as_we_do() -> None:
    schema = room_sheet_schema()
    jsonschema.Draft202012Validator.check_schema(
        schema
    )  # source: JSON Schema draft 2020-12, by the reference library
    validator = jsonschema.Draft202012Validator(schema)
    assert validator.is_valid(SHEET)
    for wrong in (
        changed(lambda s: s.update(schema="x")),
        changed(lambda s: s["room"].update(colour=1)),
        changed(lambda s: s["room"].update(height_m=-1)),
    ):
        assert not validator.is_valid(wrong)


@pytest.mark.parametrize(
    ("turn_deg", "first"),
    [
        (None, (3.2, 4.4)),  # by hand: 4.0 - 1.6 / 2 and 4.0 + 0.8 / 2, the far left corner
        (90, (4.4, 4.8)),  # by hand: a quarter clockwise takes (-0.8, 0.4) to (0.4, 0.8)
        (-90, (3.6, 3.2)),  # by hand: anticlockwise to (-0.4, -0.8)
    ],
)
def test_a_block_turns_clockwise_about_its_middle(
    turn_deg: float | None, first: tuple[float, float]
) -> None:
    block = read_sheet(
        changed(lambda s: s["room"]["furniture"][0].update(turn_deg=turn_deg))
    ).room.furniture[0]  # type: ignore[index]
    assert block.corners_m is not None
    assert block.corners_m[0] == pytest.approx(first)


def test_a_block_may_not_bridge_a_recess() -> None:
    # by hand: a U-shaped room, its two legs 2 m wide with 1 m of outdoors between; a bench across
    # the gap has every corner indoors
    plan = [[0, 4], [2, 4], [2, 1], [3, 1], [3, 4], [5, 4], [5, 0], [0, 0]]
    bench = {"id": "bench", "at_m": [1.5, 3.0], "width_m": 2.0, "depth_m": 0.4}
    across = {**bench, "at_m": [1.9, 3.0], "width_m": 3.0}
    with pytest.raises(RefusedMany) as refused:
        read_sheet({"schema": "room-sheet/1", "room": {"plan_m": plan, "furniture": [across]}})
    because = refused.value.refusals[0].because
    assert because.code == "sheet.edge_outside"
    assert 2.05 <= because["x"].value < 2.2
    read_sheet(
        {
            "schema": "room-sheet/1",
            "room": {"plan_m": plan, "furniture": [{**bench, "at_m": [1.0, 3.0]}, {"id": "F2"}]},
        }
    )


def test_a_kit_with_everything_comes_back() -> None:
    more = {
        "name": "Two-light interview kit",
        "other_cameras": [{"id": "B", "iso": 1600, "focal_lengths_mm": [50]}],
        "modifiers": [{"id": "diffuser", "loss_stops": 1.5, "width_m": 1.2}],
        "stands": [{"id": "light stand", "count": 3, "lowest_m": 1.1, "highest_m": 2.6}],
        "reflectors": [{"id": "board", "face": "white", "width_m": 1, "height_m": 1}],
        "chargers": [{"id": "batteries", "watts": 100, "power_factor": 0.6}],
        "notes": "rain covers",
    }
    sheet = changed(lambda s: s["kit"].update(more))
    sheet["kit"]["lights"][0].update(
        {"supply": "battery", "lumens": 5000, "beam_deg": 55, "reading_lux": 400, "reading_at_m": 3}
    )
    assert read_sheet(sheet).plain() == sheet
    jsonschema.validate(sheet, room_sheet_schema())


@pytest.mark.parametrize(
    ("change", "path"),
    [
        (lambda s: s["kit"].update(chargers=[{"id": "key"}]), "kit.chargers[0].id"),
        (lambda s: s["kit"].update(chargers=[{"id": "a"}, {"id": "a"}]), "kit.chargers[1].id"),
        (lambda s: s["kit"].update(chargers=[{"id": "a", "watts": -1}]), "kit.chargers[0].watts"),
        (lambda s: s["kit"]["lights"][0].update(supply="solar"), "kit.lights[0].supply"),
        (lambda s: s["kit"]["lights"][0].update(reading_lux=100), "kit.lights[0].reading_at_m"),
        (lambda s: s["kit"]["lights"][0].update(reading_at_m=3), "kit.lights[0].reading_lux"),
        (
            lambda s: s["kit"].update(stands=[{"id": "a", "lowest_m": 3, "highest_m": 2}]),
            "kit.stands[0].lowest_m",
        ),
        (
            lambda s: s["kit"].update(other_cameras=[{"id": "b", "iso": 0}]),
            "kit.other_cameras[0].iso",
        ),
        (
            lambda s: s["kit"].update(reflectors=[{"id": "b", "face": "blue"}]),
            "kit.reflectors[0].face",
        ),
    ],
)
def test_what_cannot_be_in_a_kit(change: Callable[[dict[str, Any]], object], path: str) -> None:
    assert path in refusals(changed(change))


def test_a_lights_strength_three_ways() -> None:
    def light(**keys: Any) -> Light:
        return Light.model_validate({"id": "a", **keys})

    # Inverse square, by hand: 400 lx at 3 m is 3600 at 1 m.
    assert light(reading_lux=400, reading_at_m=3).known_lux_at_1m == pytest.approx(3600)
    # Source: the two usual beam models give 7043 and 5396 cd for 5000 lm in 55 degrees; the answer
    # lies between, and its doubt is said.
    bright = light(lumens=5000, beam_deg=55)
    assert 5396 < (bright.known_lux_at_1m or 0) < 7043
    (basis,) = bright.photometry_words
    assert (basis.code, basis["doubt"]) == ("record.lux_from_lumens", Figure(0.5, "stops"))
    assert light(lumens=5000).known_lux_at_1m is None
    assert repr(light(lumens=5000).photometry_words) == "(record.no_beam(light=a),)"
    # by hand: five widths of a light 0.6 m wide are 3 m; nearer, inverse square is some per cent out
    for width, near in ((0.6, None), (0.61, Said("record.read_near"))):
        (basis,) = light(reading_lux=400, reading_at_m=3, soft_width_m=width).photometry_words
        assert (basis.code, basis["near"]) == ("record.lux_from_reading", near)
        assert (basis["lux"], basis["at"]) == (Figure(3600, "lux"), Figure(3, "m"))
    assert light(lux_at_1m=900, lumens=5000, beam_deg=55).known_lux_at_1m == 900
    assert light().known_lux_at_1m is None
    assert light().photometry_words == ()


def nested(levels: int) -> Any:
    value: Any = 1
    for _ in range(levels):
        value = {"a": [value]}
    return value


def test_what_is_only_passed_through_can_be_kept() -> None:
    assert read_sheet(changed(lambda s: s.update(extra=nested(20)))).plain()["extra"] == nested(20)
    for levels in (40, 300):
        assert refusals(changed(lambda s, n=levels: s.update(extra=nested(n)))) == {
            "extra": "record.nested(levels=64)"
        }
    half = changed(lambda s: s.update(extra={"a": [{"b": "\ud800"}]}))
    assert refusals(half) == {"extra": "record.character(sign=U+D800)"}


def test_half_a_character_is_called_that() -> None:
    half = changed(lambda s: s["room"].update(name="\ud800"))
    assert refusals(half) == {"room.name": "record.half_character()"}


def test_a_list_pasted_many_times_is_told_once_an_opening_and_not_without_end() -> None:
    window = SHEET["room"]["windows"][0]
    many = changed(
        lambda s: s["room"].update(windows=[{**window, "id": f"W{i}"} for i in range(500)])
    )
    told = refusals(many)
    assert told["room.windows[2].offset_m"] == "sheet.overlap(one=W2, other=W0, wall=surface:A)"
    assert len(told) == 201
    assert told["more"] == "refusal.more(count=299)"
    # by hand: 499 overlap one before them, 200 are listed


@pytest.mark.parametrize("length", [1e-300, 0.005])
def test_a_side_of_no_length_is_refused_by_its_key(length: float) -> None:
    told = refusals(
        changed(
            lambda s: s["room"].update(
                length_m=length, windows=[], doors=[], outlets=[], practicals=[], furniture=[]
            )
        )
    )
    assert told == {"room.length_m": "sheet.side_least(least=0.01 m)"}


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        (("windows", 0, "wall"), "a", "record.no_wall()"),
        (
            ("facing", "read_on"),
            "2026-W18-7",
            "record.no_date()",
        ),  # ISO 8601 too, but it would come back as another text
    ],
)
def test_a_refusal_says_what_would_do(path: tuple[str | int, ...], value: str, words: str) -> None:
    def change(sheet: dict[str, Any]) -> None:
        held = sheet["room"]
        for key in path[:-1]:
            held = held[key]
        held[path[-1]] = value

    assert list(refusals(changed(change)).values()) == [words]


@pytest.mark.parametrize(
    "colour",
    [
        {},
        {"srgb": "#c9b79c", "lab": [50, 0, 0], "illuminant": "D65"},
        {"lab": [50, 0, 0]},
        {"srgb": "#c9b79c", "illuminant": "D65"},
        {"srgb": None},
    ],
)
def test_the_schema_too_wants_exactly_one_colour(colour: dict[str, Any]) -> None:
    validator = jsonschema.Draft202012Validator(room_sheet_schema())
    wrong = changed(lambda s: s["room"]["surfaces"]["A"].update(colour=colour))
    assert not validator.is_valid(wrong)
    assert "room.surfaces.A.colour" in refusals(wrong)
    right = changed(
        lambda s: s["room"]["surfaces"]["A"].update(
            colour={"srgb": "#c9b79c", "lab": None, "illuminant": None}
        )
    )
    assert validator.is_valid(right)
    read_sheet(right)


@pytest.mark.parametrize(
    ("text", "right"),
    [
        ("2026-05-03T10:40:00+01:00", True),
        ("2026-05-03T10:40Z", True),
        ("2026-05-03T10:40:00", False),
        ("2026-05-03", False),
        ("noon", False),
    ],
)
def test_the_schema_too_wants_a_time_with_its_offset(text: str, right: bool) -> None:
    sheet = changed(lambda s: s["room"]["noise"][0].update(taken_at=text))
    assert jsonschema.Draft202012Validator(room_sheet_schema()).is_valid(sheet) is right
    if right:
        read_sheet(sheet)
    else:
        assert "room.noise[0].taken_at" in refusals(sheet)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("kit.lights[0].lux_at_1m", 1e308),
        ("kit.camera.f_number", 1e-300),
        ("kit.camera.shutter_s", 1e-300),
        ("room.practicals[0].lumens", 1e13),
        ("marks.subject_normal[0]", 1e300),
    ],
)
def test_a_number_beyond_all_sense_is_refused_by_its_path(path: str, value: float) -> None:
    # property: the square of what is accepted is still a number, and so is one divided by it
    sheet = copy.deepcopy(SHEET)
    held: Any = sheet
    *before, last = path.replace("[", ".").replace("]", "").split(".")
    for key in before:
        held = held[int(key) if key.isdigit() else key]
    held[int(last) if last.isdigit() else last] = value
    assert path in refusals(sheet)


def test_a_chair_under_a_table_and_a_mark_above_a_sofa_are_no_overlap() -> None:
    # property: what stands in the other only as seen from above is in nobody's way
    def under(sheet: dict[str, Any]) -> None:
        sheet["room"]["furniture"][0]["clear_below_m"] = 0.7
        stool = {"id": "stool", "at_m": [4.0, 3.7], "width_m": 0.4, "depth_m": 0.4}
        sheet["room"]["furniture"].append({**stool, "height_m": 0.45})
        sheet["marks"]["subject"] = [4.0, 4.0, 1.2]

    assert read_sheet(changed(under)).room.furniture is not None


@pytest.mark.parametrize(("high", "refused"), [(0.05, False), (0.06, True)])
def test_a_rug_lies_under_what_stands_on_it(high: float, refused: bool) -> None:
    # common practice: a rug or a mat is no higher than 5 cm; a table top on it, a sofa, a door over it
    rug = {"id": "rug", "at_m": [4.2, 0.5], "width_m": 1.0, "depth_m": 0.8, "height_m": high}
    sofa = {"id": "sofa", "at_m": [4.0, 1.0], "width_m": 0.8, "depth_m": 0.6, "height_m": 0.8}
    room = RoomRecord.read({**SHEET["room"], "furniture": [rug, sofa]})
    assert bool(list(room_refusals(room))) == refused
