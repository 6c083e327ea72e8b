"""Each rule of what fits together, on both sides of its border.

Expected: as decided (a tape may overrun by half a centimetre, a frame by five, a piece by five), the
rest by hand: the parlour is 5.0 by 6.5 m and 2.7 m high.
"""

from __future__ import annotations

from typing import Any

import pytest

from scout.errors import Refused
from scout.records.checks import head_m, overlap_m, sheet_refusals
from scout.records.sheet import Door, RoomSheet, Window
from tests.rooms import plain_sheet


def refused(**changes: Any) -> dict[str, Refused]:
    """What is refused of the parlour, changed by path; without its furniture unless that is asked."""
    changes.setdefault("room__furniture", [])
    sheet = RoomSheet.read(plain_sheet(**changes))
    return {refusal.path: refusal for refusal in sheet_refusals(sheet)}


W1: dict[str, Any] = {"id": "W1", "wall": "A", "offset_m": 1.5, "width_m": 2.0}
W2: dict[str, Any] = {"id": "W2", "wall": "A", "width_m": 0.5}
DOOR: dict[str, Any] = {"id": "D2", "wall": "A", "width_m": 0.9}
LIGHT: dict[str, Any] = {"id": "key"}
OUTDOORS: dict[str, Any] = {"room__setting": "exterior", "room__windows": [], "room__doors": []}


def of_windows(*windows: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"room__windows": list(windows), **more}


def piece(**facts: Any) -> dict[str, Any]:
    return {"id": "box", "at_m": [2.0, 4.0], "width_m": 1.0, "depth_m": 0.6, **facts}


def of_pieces(*pieces: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"room__furniture": list(pieces), "marks": None, **more}


HUNDRED = [[float(k), 1.0 + 0.001 * (k % 2)] for k in range(99)] + [[98.0, -9.0]]


@pytest.mark.parametrize(
    ("right", "wrong", "path"),
    [
        # walls, 5.0 and 6.5 m long
        (
            of_windows(W1 | {"offset_m": 0.0, "width_m": 5.004}),
            of_windows(W1 | {"offset_m": 0.0, "width_m": 5.006}),
            "room.windows[0].width_m",
        ),
        (
            of_windows(W1 | {"offset_m": None, "width_m": 5.004}),
            of_windows(W1 | {"offset_m": None, "width_m": 5.006}),
            "room.windows[0].width_m",
        ),
        (
            of_windows(W1 | {"offset_m": 3.004}),
            of_windows(W1 | {"offset_m": 3.006}),
            "room.windows[0].offset_m",
        ),
        (
            of_windows(W1 | {"offset_m": 5.004, "width_m": None}),
            of_windows(W1 | {"offset_m": 5.006, "width_m": None}),
            "room.windows[0].offset_m",
        ),
        (
            {"room__outlets__0__offset_m": 6.504},
            {"room__outlets__0__offset_m": 6.506},
            "room.outlets[0].offset_m",
        ),
        # the ceiling
        (
            of_windows(W1 | {"sill_m": 2.6999, "height_m": None}),
            of_windows(W1 | {"sill_m": 2.7, "height_m": None}),
            "room.windows[0].sill_m",
        ),
        (
            of_windows(W1 | {"sill_m": 0.9, "height_m": 1.804}),
            of_windows(W1 | {"sill_m": 0.9, "height_m": 1.806}),
            "room.windows[0].height_m",
        ),
        (
            of_windows(W1 | {"sill_m": None, "height_m": 2.704}),
            of_windows(W1 | {"sill_m": None, "height_m": 2.706}),
            "room.windows[0].height_m",
        ),
        (
            {"room__doors__0__height_m": 2.704},
            {"room__doors__0__height_m": 2.706},
            "room.doors[0].height_m",
        ),
        (
            {"room__outlets__0__height_m": 2.7},
            {"room__outlets__0__height_m": 2.701},
            "room.outlets[0].height_m",
        ),
        # a window by a window to half a centimetre, by a door to five
        (
            of_windows(W1, W2 | {"offset_m": 3.496}),
            of_windows(W1, W2 | {"offset_m": 3.494}),
            "room.windows[1].offset_m",
        ),
        (
            of_windows(W1, W2 | {"offset_m": 1.004}),
            of_windows(W1, W2 | {"offset_m": 1.006}),
            "room.windows[1].offset_m",
        ),
        (
            of_windows(W1, room__doors=[DOOR | {"offset_m": 3.451}]),
            of_windows(W1, room__doors=[DOOR | {"offset_m": 3.449}]),
            "room.doors[0].offset_m",
        ),
        (
            of_windows(
                W1 | {"sill_m": 1.951, "height_m": 0.5},
                room__doors=[DOOR | {"offset_m": 2.0, "height_m": 2.0}],
            ),
            of_windows(
                W1 | {"sill_m": 1.949, "height_m": 0.5},
                room__doors=[DOOR | {"offset_m": 2.0, "height_m": 2.0}],
            ),
            "room.doors[0].offset_m",
        ),
        # places
        (
            {"room__practicals__0__at_m": [2.5, 3.2, 0.0]},
            {"room__practicals__0__at_m": [2.5, 3.2, -0.001]},
            "room.practicals[0].at_m[2]",
        ),
        (
            {"room__practicals__0__at_m": [2.5, 3.2, 2.704]},
            {"room__practicals__0__at_m": [2.5, 3.2, 2.706]},
            "room.practicals[0].at_m[2]",
        ),
        (
            {"room__practicals__0__at_m": [5.004, 3.2, 2.0]},
            {"room__practicals__0__at_m": [5.006, 3.2, 2.0]},
            "room.practicals[0].at_m",
        ),
        (
            {"marks__path": [[1.0, 3.0, 1.5], [4.0, -0.004, 1.5]]},
            {"marks__path": [[1.0, 3.0, 1.5], [4.0, -0.006, 1.5]]},
            "marks.path[1]",
        ),
        (
            {"marks__camera": [2.5, 2.985, 1.4]},
            {"marks__camera": [2.5, 2.995, 1.4]},
            "marks.camera",
        ),
        (
            {"marks__camera": [2.515, 3.0, 1.4]},
            {"marks__camera": [2.505, 3.0, 1.4]},
            "marks.camera",
        ),
        # the plan
        ({"room__width_m": 0.01, "room__outlets": []}, {"room__width_m": 0.009}, "room.width_m"),
        ({"room__length_m": 6.5}, {"room__length_m": 0.009}, "room.length_m"),
        (
            {
                "room__plan_m": [[0.0, 6.5], [5.0, 6.5], [5.0, 0.0], [0.0, 0.0]],
                "room__width_m": 5.049,
            },
            {
                "room__plan_m": [[0.0, 6.5], [5.0, 6.5], [5.0, 0.0], [0.0, 0.0]],
                "room__width_m": 5.051,
            },
            "room.width_m",
        ),
        (
            {
                "room__plan_m": [[0.0, 6.5], [5.0, 6.5], [5.0, 0.0], [0.0, 0.0]],
                "room__length_m": 6.451,
            },
            {
                "room__plan_m": [[0.0, 6.5], [5.0, 6.5], [5.0, 0.0], [0.0, 0.0]],
                "room__length_m": 6.449,
            },
            "room.length_m",
        ),
        # lights, stands, chargers
        (
            {"kit__lights": [LIGHT | {"stand_min_m": 1.1, "stand_max_m": 1.1}]},
            {"kit__lights": [LIGHT | {"stand_min_m": 1.101, "stand_max_m": 1.1}]},
            "kit.lights[0].stand_min_m",
        ),
        (
            {"kit__lights": [LIGHT | {"reading_lux": 90, "reading_at_m": 2}]},
            {"kit__lights": [LIGHT | {"reading_lux": 90}]},
            "kit.lights[0].reading_at_m",
        ),
        (
            {"kit__lights": [LIGHT]},
            {"kit__lights": [LIGHT | {"reading_at_m": 2}]},
            "kit.lights[0].reading_lux",
        ),
        (
            {"kit__lights": [LIGHT | {"at_m": [1, 1, 2], "aim_m": [1, 1, 1.99]}]},
            {"kit__lights": [LIGHT | {"at_m": [1, 1, 2], "aim_m": [1, 1, 2]}]},
            "kit.lights[0].aim_m",
        ),
        (
            {"kit__lights": [LIGHT | {"at_m": [1, 1, 0]}]},
            {"kit__lights": [LIGHT | {"at_m": [1, 1, -0.001]}]},
            "kit.lights[0].at_m[2]",
        ),
        (
            {"kit__lights": [LIGHT | {"at_m": [1, 1, 2.704]}]},
            {"kit__lights": [LIGHT | {"at_m": [1, 1, 2.706]}]},
            "kit.lights[0].at_m[2]",
        ),
        (
            {"kit__stands": [{"id": "S", "lowest_m": 1.5, "highest_m": 1.5}]},
            {"kit__stands": [{"id": "S", "lowest_m": 1.51, "highest_m": 1.5}]},
            "kit.stands[0].lowest_m",
        ),
        (
            {"kit__chargers": [{"id": "keys"}]},
            {"kit__chargers": [{"id": "other"}, {"id": "key"}]},
            "kit.chargers[1].id",
        ),
        # furniture
        (
            of_pieces(piece(height_m=2.704)),
            of_pieces(piece(height_m=2.706)),
            "room.furniture[0].height_m",
        ),
        (
            of_pieces(piece(at_m=[4.549, 4.0])),
            of_pieces(piece(at_m=[4.551, 4.0])),
            "room.furniture[0].at_m",
        ),
        (
            of_pieces(piece(at_m=[2.0, 6.249])),
            of_pieces(piece(at_m=[2.0, 6.251])),
            "room.furniture[0].at_m",
        ),
        (
            of_pieces(piece(height_m=0.75, clear_below_m=0.749)),
            of_pieces(piece(height_m=0.75, clear_below_m=0.75)),
            "room.furniture[0].clear_below_m",
        ),
        (
            of_pieces(piece(clear_below_m=0.5, height_m=0.75), piece(id="low", height_m=0.504)),
            of_pieces(piece(clear_below_m=0.5, height_m=0.75), piece(id="low", height_m=0.506)),
            "room.furniture[1].at_m",
        ),
        # side by side, each drawn in by 2.5 cm on either side
        (
            of_pieces(piece(), piece(id="next", at_m=[2.951, 4.0])),
            of_pieces(piece(), piece(id="next", at_m=[2.949, 4.0])),
            "room.furniture[1].at_m",
        ),
        (
            of_pieces(piece(), piece(id="rug", height_m=0.05)),
            of_pieces(piece(), piece(id="rug", height_m=0.051)),
            "room.furniture[1].at_m",
        ),
        (
            of_pieces(piece(id="rug", height_m=0.05), piece()),
            of_pieces(piece(id="rug", height_m=0.051), piece()),
            "room.furniture[1].at_m",
        ),
        # door D1 in wall C at y = 0: its opening reaches 0.10 m in, the piece is 0.30 m to its drawn
        # back less 0.025
        (
            of_pieces(piece(at_m=[4.2, 0.377])),
            of_pieces(piece(at_m=[4.2, 0.373])),
            "room.furniture[0].at_m",
        ),
        (
            of_pieces(piece(at_m=[4.2, 0.35], clear_below_m=2.0, height_m=2.3)),
            of_pieces(piece(at_m=[4.2, 0.35], clear_below_m=1.99, height_m=2.3)),
            "room.furniture[0].at_m",
        ),
        # D1 spans x from 3.77 to 4.60; the piece's drawn side is 0.475 from its middle
        (
            of_pieces(piece(at_m=[3.293, 0.35])),
            of_pieces(piece(at_m=[3.297, 0.35])),
            "room.furniture[0].at_m",
        ),
        (
            {
                "room__furniture": [piece(at_m=[2.5, 3.0], height_m=1.2)],
                "marks__subject": [2.5, 3.0, 1.2],
            },
            {
                "room__furniture": [piece(at_m=[2.5, 3.0], height_m=1.2)],
                "marks__subject": [2.5, 3.0, 1.199],
            },
            "marks.subject",
        ),
        (
            {
                "room__furniture": [piece(at_m=[2.5, 3.0], height_m=1.9, clear_below_m=1.2)],
                "marks__subject": [2.5, 3.0, 1.2],
            },
            {
                "room__furniture": [piece(at_m=[2.5, 3.0], height_m=1.9, clear_below_m=1.2)],
                "marks__subject": [2.5, 3.0, 1.201],
            },
            "marks.subject",
        ),
    ],
)
def test_both_sides_of_each_border(right: dict[str, Any], wrong: dict[str, Any], path: str) -> None:
    assert path not in refused(**right)
    assert path in refused(**wrong)


@pytest.mark.parametrize("kind", ["circuits", "outlets", "practicals", "furniture", "noise"])
def test_a_name_twice_in_a_list_is_refused_once(kind: str) -> None:
    rows = [{"id": "X"}, {"id": "Y"}, {"id": "X"}]
    found = refused(**{f"room__{kind}": rows})
    assert [path for path in found if path.startswith(f"room.{kind}[")][-1] == f"room.{kind}[2].id"
    assert f"room.{kind}[1].id" not in found


@pytest.mark.parametrize("kind", ["stands", "reflectors", "mics", "modifiers", "chargers"])
def test_a_name_twice_in_a_kit_is_refused(kind: str) -> None:
    row = {"id": "X", **({"kind": "shotgun"} if kind == "mics" else {})}
    found = refused(**{f"kit__{kind}": [row, row]})
    assert f"kit.{kind}[1].id" in found


@pytest.mark.parametrize("setting", ["exterior", "covered"])
def test_only_a_room_indoors_keeps_places_under_its_ceiling(setting: str) -> None:
    high = {
        "room__setting": setting,
        "room__practicals__0__at_m": [2.5, 3.2, 9.0],
        "kit__lights": [LIGHT | {"at_m": [1, 1, 9.0]}],
    }
    found = refused(**high)
    assert "room.practicals[0].at_m[2]" not in found
    assert "kit.lights[0].at_m[2]" not in found


def test_outdoors_no_opening_and_no_piece_is_too_high() -> None:
    tall = of_pieces(piece(height_m=9.0), **of_windows(W1 | {"sill_m": 8.0, "height_m": 9.0}))
    assert set(refused(**tall)) >= {
        "room.windows[0].sill_m",
        "room.furniture[0].height_m",
    }
    assert not refused(**tall, room__setting="exterior")


def test_a_wall_or_surface_must_be_one_of_the_plan() -> None:
    five = [[0.0, 6.5], [5.0, 6.5], [5.0, 0.0], [2.0, -1.0], [0.0, 0.0]]
    changes: dict[str, Any] = {
        "room__surfaces": {"E": {"material": "glass"}, "F": {"material": "glass"}},
        "room__width_m": None,
        "room__length_m": None,
        "room__plan_m": five,
    }
    found = refused(**changes)
    assert "room.surfaces.E" not in found
    assert repr(found["room.surfaces.F"].because) == "sheet.no_surface(last=E)"
    # no plan, no count of walls: any letter may be right
    del changes["room__plan_m"]
    assert "room.surfaces.F" not in refused(**changes)


@pytest.mark.parametrize(
    ("plan", "path", "why"),
    [
        (HUNDRED, None, None),
        ([*HUNDRED, [0.0, -9.0]], "room.plan_m", "sheet.corners(least=3, most=100)"),
        ([[0, 1], [1, 1], [1, 0]], None, None),
        ([[0, 1], [1, 1], [1, 1], [1, 0]], "room.plan_m[2]", "sheet.corner_again()"),
        ([[0, 1], [1, 1], [1, 0], [0, 1]], "room.plan_m[0]", "sheet.corner_again()"),
        ([[0, 0.1], [0.1, 0.1], [0.1, 0], [0, 0]], None, None),
        ([[0, 0.1], [0.09, 0.1], [0.09, 0], [0, 0]], "room.plan_m", "sheet.no_area(least=0.01 m2)"),
        ([[0, 0], [1, 0], [1, 1]], "room.plan_m", "sheet.anticlockwise()"),
    ],
)
def test_a_plan_is_taken_or_says_its_fault(
    plan: list[list[float]], path: str | None, why: str | None
) -> None:
    """By hand: 0.1 by 0.1 m is the least area, 100 corners the most."""
    sheet = RoomSheet.read({"schema": "room-sheet/1", "room": {"plan_m": plan}})
    found = {refusal.path: repr(refusal.because) for refusal in sheet_refusals(sheet)}
    assert found == ({} if path is None else {path: why})


def test_a_socket_without_any_circuit_says_that_there_is_none() -> None:
    found = refused(room__circuits=[])
    assert repr(found["room.outlets[0].circuit"].because) == "sheet.no_circuits()"


def test_by_how_much_openings_overlap() -> None:
    """By hand: 1.5 to 3.5 and 3.0 to 3.9 share 0.5 m; 0.9 to 2.4 and the floor to 2.0 share 1.1 m."""
    window = Window(id="W", wall="A", offset_m=1.5, width_m=2.0, sill_m=0.9, height_m=1.5)
    door = Door(id="D", wall="A", offset_m=3.0, width_m=0.9, height_m=2.0)
    assert overlap_m(window, door) == pytest.approx((0.5, 1.1))
    assert overlap_m(door, window) == pytest.approx((0.5, 1.1))
    assert head_m(window) == pytest.approx(2.4)
    assert head_m(door) == 2.0
    assert head_m(door.model_copy(update={"height_m": None})) == float("inf")
    for change in ({"wall": "B"}, {"offset_m": None}, {"width_m": None}):
        assert overlap_m(window.model_copy(update=change), door) == (0.0, 0.0)
        assert overlap_m(door, window.model_copy(update=change)) == (0.0, 0.0)


def test_a_piece_whose_middle_lies_outside_says_only_that() -> None:
    found = refused(**of_pieces(piece(at_m=[5.006, 4.0])))
    assert repr(found["room.furniture[0].at_m"].because) == "sheet.middle_outside()"
    inside = refused(**of_pieces(piece(at_m=[5.004, 4.0])))
    assert repr(inside["room.furniture[0].at_m"].because).startswith("sheet.edge_outside(")


def test_a_piece_of_unknown_height_stands_on_its_foot_alone() -> None:
    """By hand: its foot reaches 5 cm; a shelf that begins at 4 cm is met, one at 5 cm is not."""
    for clear, hit in ((0.04, True), (0.05, False)):
        found = refused(**of_pieces(piece(), piece(id="shelf", clear_below_m=clear, height_m=1.0)))
        assert ("room.furniture[1].at_m" in found) == hit
