"""Wall letters of plans with notches: each at its own wall, or led to it; and windows that lie over
other openings.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scout.calc.geometry import WALLS_MOST, wall_letters, wall_number
from scout.drawing.plan.sheet import room_plan
from scout.drawing.shapes import Circle, Drawing, Line, Point, Polygon, Text, walk
from scout.errors import OutOfRange
from scout.records import room_refusals
from scout.records.sheet import RoomRecord
from tests.drawing.rooms import group

SIZES: dict[bool, dict[str, Any]] = {
    False: {"size_mm": (170.0, 200.0), "text_mm": 2.6},
    True: {"size_mm": (112.0, 150.0), "text_mm": 3.4, "stated_scale": False},
}


@st.composite
def notched(draw: Any) -> RoomRecord:
    """A rectangle with chimney breasts into the room and niches out of it, as real rooms have them."""
    width, length = draw(st.floats(2.5, 9.0)), draw(st.floats(2.5, 9.0))
    plan: list[list[float]] = []
    for side, long in enumerate((width, length, width, length)):
        marks = [0.0]
        for _ in range(draw(st.integers(0, 2))):
            start = marks[-1] + draw(st.floats(0.05, 1.0))
            end = start + draw(st.floats(0.05, 1.4))
            if end > long - 0.45:
                break
            deep = draw(st.sampled_from([-0.4, -0.12, -0.03, 0.03, 0.12, 0.4]))
            plan += [turned(side, width, length, at) for at in notch(start, end, deep)]
            marks.append(end)
        plan.append(turned(side, width, length, (long, 0.0)))
    return RoomRecord.read({"name": "Notched", "plan_m": plan})


def notch(start: float, end: float, deep: float) -> tuple[Point, ...]:
    return (start, 0.0), (start, deep), (end, deep), (end, 0.0)


def turned(side: int, width: float, length: float, at: Point) -> list[float]:
    """A place along a side and so far into the room, on the plan; the sides go round clockwise."""
    along, deep = at
    return [
        [along, length - deep],
        [width - deep, length - along],
        [width - along, deep],
        [deep, along],
    ][side]


def faces(drawing: Drawing, room: RoomRecord) -> dict[str, tuple[Point, Point]]:
    """The measured faces of the walls on the paper, placed by the far wall's."""
    assert room.corners_m is not None
    assert drawing.scale is not None
    mm_per_m = 1000.0 / drawing.scale
    (x0, y0), (x, y) = first_face(drawing), room.corners_m[0]
    on_paper = [(x0 + (a - x) * mm_per_m, y0 + (b - y) * mm_per_m) for a, b in room.corners_m]
    names = wall_letters(len(on_paper))
    ends = zip(on_paper, on_paper[1:] + on_paper[:1], strict=True)
    return dict(zip(names, ends, strict=True))


def first_face(drawing: Drawing) -> Point:
    """Where the left end of wall A stands on the paper."""
    return next(s for s in group(drawing, "wall-A") if isinstance(s, Polygon)).points[0]


def to_stretch(a: Point, b: Point, at: Point) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    share = ((at[0] - a[0]) * dx + (at[1] - a[1]) * dy) / max(dx * dx + dy * dy, 1e-12)
    share = min(max(share, 0.0), 1.0)
    return math.dist((a[0] + share * dx, a[1] + share * dy), at)


@settings(max_examples=30, deadline=None, derandomize=True)
@given(notched(), st.booleans())
def test_a_letter_is_at_its_own_wall_or_led_to_it(room: RoomRecord, screen: bool) -> None:
    # property: who looks for the wall nearest a letter, or follows its line, comes to its own wall
    assert not list(room_refusals(room))
    drawing = room_plan(room, **SIZES[screen])
    walls = faces(drawing, room)
    circles: list[tuple[Point, float]] = []
    for letter in walls:
        shapes = group(drawing, f"letter-{letter}")
        ring = next(s for s in shapes if isinstance(s, Circle) and s.fill == "ground")
        circles.append((ring.centre, ring.radius_mm))
        ends = [s.centre for s in shapes if isinstance(s, Circle) and s.fill == "ink"]
        at = ends[0] if ends else ring.centre
        if ends:
            line = next(s for s in shapes if isinstance(s, Line))
            assert math.dist(line.end, at) < 1e-6
        gaps = {other: to_stretch(*ends, at) for other, ends in walls.items()}
        assert gaps[letter] < 0.9 * min(far for other, far in gaps.items() if other != letter)
    for i, (one, r) in enumerate(circles):
        assert all(math.dist(one, other) > 1.9 * r for other, _ in circles[:i])


def test_walls_after_z_are_called_aa_ab_and_so_on() -> None:
    # common practice: what is counted in letters goes on with two of them, as a sheet's columns do
    assert wall_letters(28)[25:] == ("Z", "AA", "AB")
    assert len(set(wall_letters(WALLS_MOST))) == WALLS_MOST
    assert [wall_number(letter) for letter in ("A", "Z", "AA", "BA")] == [0, 25, 26, 52]
    assert wall_number("a") == WALLS_MOST
    with pytest.raises(OutOfRange, match="100"):
        wall_letters(WALLS_MOST + 1)


def round_room(walls: int, **more: Any) -> RoomRecord:
    turns = [-2 * math.pi * k / walls for k in range(walls)]
    plan = [[6 * math.cos(turn), 6 * math.sin(turn)] for turn in turns]
    return RoomRecord.read({"name": "Rotunda", "plan_m": plan, **more})


def test_a_window_in_wall_ab_is_drawn_and_said_there() -> None:
    window = {"id": "W1", "wall": "AB", "offset_m": 0.3, "width_m": 0.5}
    facing = {"wall": "AC", "bearing_deg": 90, "north": "true"}
    room = round_room(36, windows=[window], facing=facing)
    assert not list(room_refusals(room))
    drawing = room_plan(room, size_mm=(170.0, 200.0))
    text = next(s for s in group(drawing, "letter-AB") if isinstance(s, Text))
    assert text.text == "AB"
    said = drawing.description.replace("\xa0", " ")
    # by hand: 2 x 6 sin(5 degrees); each wall looks 10 degrees further round than the one before
    assert "Wall AB: 1.05 m long, faces 80° (true), with window W1" in said
    beyond = {**window, "wall": "AK"}
    (refused,) = room_refusals(round_room(36, windows=[beyond]))
    assert (refused.path, refused.because.code) == ("room.windows[0].wall", "sheet.no_wall")
    assert "A to AJ" in str(refused)


def test_a_window_over_another_is_shown_and_said_so() -> None:
    low = {"wall": "A", "offset_m": 1.0, "width_m": 1.2, "sill_m": 0.8, "height_m": 1.2}
    high = {"wall": "A", "offset_m": 1.1, "width_m": 1.0, "sill_m": 2.4, "height_m": 0.6}
    beside = {"wall": "A", "offset_m": 3.0, "width_m": 1.0, "sill_m": 2.4, "height_m": 0.6}
    rows = [{"id": "W1", **low}, {"id": "W2", **high}, {"id": "W3", **beside}]
    room = RoomRecord.read({"width_m": 5.0, "length_m": 4.0, "height_m": 3.2, "windows": rows})
    drawing = room_plan(room, size_mm=(170.0, 200.0))
    dashed = {
        name: any(isinstance(s, Line) and s.pen.dash_mm for s in group(drawing, f"window-{name}"))
        for name in ("W1", "W2", "W3")
    }
    assert dashed == {"W1": False, "W2": True, "W3": False}
    written = {s.text for s in walk(drawing.shapes) if isinstance(s, Text)}
    assert "W2 over W1" in written
    assert any("window over another" in text for text in written)
    said = drawing.description.replace("\xa0", " ")
    assert "window W2, 1.00 m wide, 1.10 m from its left end, over W1" in said
