"""The plan: what is drawn stands where it was measured, to the stated scale."""

from __future__ import annotations

import math
from typing import Any

import pytest

from scout.drawing.board import Board
from scout.drawing.lettering import Hand
from scout.drawing.plan.foot import scale_bar, signs_apart
from scout.drawing.plan.legend import LEGEND, SHORTER
from scout.drawing.plan.rim import North, SunBearing
from scout.drawing.plan.sheet import SCALES, room_plan
from scout.drawing.plan.walls import View, bearing_on_paper, draw_walls
from scout.drawing.shapes import (
    Arc,
    Drawing,
    Group,
    Line,
    Point,
    Polygon,
    Text,
    bounds,
    outline,
    walk,
)
from tests.drawing.rooms import EVERYTHING, MARKS, ODD_ROOMS, SUN, group, odd, parlour

PLAIN: dict[str, Any] = {"size_mm": (186.0, 250.0)}


def corner(drawing: Drawing) -> tuple[Point, float]:
    """Where the plan's (0, 0) stands on the paper, and the paper's mm for a metre, from the inner
    faces of wall D (0,0)-(0,L) of the parlour.
    """
    assert drawing.scale is not None
    wall = [shape for shape in group(drawing, "wall-D") if isinstance(shape, Polygon)]
    return wall[0].points[0], 1000.0 / drawing.scale


def test_window_lines_lie_on_its_wall_at_its_offset() -> None:
    # by hand: wall A runs from (0, 6.5) to (5, 6.5); an offset of 1.5 and a width of 2.0 put W1
    # from x = 1.5 to 3.5 at y = 6.5
    drawing = room_plan(parlour(), **PLAIN)
    (x0, y0), mm_per_m = corner(drawing)
    inner, outer = [s for s in group(drawing, "window-W1") if isinstance(s, Line)][:2]
    assert (inner.start[0] - x0) / mm_per_m == pytest.approx(1.5)
    assert (inner.end[0] - x0) / mm_per_m == pytest.approx(3.5)
    assert [(p[1] - y0) / mm_per_m for p in (inner.start, inner.end)] == pytest.approx([6.5, 6.5])
    assert outer.start[0] == pytest.approx(inner.start[0])
    assert outer.start[1] > inner.start[1]  # outside is up the page for wall A


def test_door_is_a_quarter_circle_as_wide_as_the_door_inside_the_room() -> None:
    # by hand: wall C runs from (5, 0) to (0, 0), so 0.4 from its left end is x = 4.6 and the door
    # reaches to 3.77
    drawing = room_plan(parlour(), **PLAIN)
    (x0, y0), mm_per_m = corner(drawing)
    arc = next(s for s in group(drawing, "door-D1") if isinstance(s, Arc))
    assert arc.radius_mm / mm_per_m == pytest.approx(0.83)
    assert arc.sweep_deg == 90.0
    assert ((arc.centre[0] - x0) / mm_per_m, (arc.centre[1] - y0) / mm_per_m) == pytest.approx(
        (4.6, 0.0)
    )
    ends = [
        (
            arc.centre[0] + arc.radius_mm * math.cos(math.radians(a)),
            arc.centre[1] + arc.radius_mm * math.sin(math.radians(a)),
        )
        for a in (arc.start_deg, arc.start_deg + 90.0)
    ]
    assert any(end == pytest.approx((x0 + 3.77 * mm_per_m, y0)) for end in ends)
    assert all(end[1] >= y0 - 1e-6 for end in ends)


def test_walls_have_gaps_only_where_openings_are() -> None:
    # property: the bands of a wall and its openings together make its whole length
    room = parlour(
        windows=[
            {"id": "W1", "wall": "A", "offset_m": 1.0, "width_m": 1.0},
            {"id": "W2", "wall": "A", "offset_m": 1.5, "width_m": 1.5},
        ]
    )
    drawing = room_plan(room, **PLAIN)
    _, mm_per_m = corner(drawing)
    bands = [s for s in group(drawing, "wall-A") if isinstance(s, Polygon)]
    assert sum(math.dist(*band.points[:2]) for band in bands) / mm_per_m == pytest.approx(5.0 - 2.0)


def test_walls_stand_outside_the_measured_faces() -> None:
    hand = Hand()
    view = View(((0.0, 6.5), (5.0, 6.5), (5.0, 0.0), (0.0, 0.0)), 50.0, hand)
    board = Board(hand)
    draw_walls(board, view, parlour(windows=[], doors=[]))
    points = [p for s in walk(board.shapes) for p in outline(s)]
    assert not any(
        0.01 < x < 99.99 and 0.01 < y < 129.99 for x, y in points
    )  # by hand: 5 by 6.5 m at 1:50 is 100 by 130 mm
    assert bounds(board.shapes) == pytest.approx(
        (-view.thickness_mm, -view.thickness_mm, 100 + view.thickness_mm, 130 + view.thickness_mm)
    )


@pytest.mark.parametrize("name", ODD_ROOMS)
@pytest.mark.parametrize("screen", [False, True])
def test_every_room_is_drawn_within_its_paper(name: str, screen: bool) -> None:
    size = (120.0, 150.0) if screen else (180.0, 220.0)
    drawing = room_plan(
        odd(name),
        size_mm=size,
        text_mm=3.4 if screen else 2.6,
        stated_scale=not screen,
        marks=None,
        sun=SUN,
    )
    left, bottom, right, top = bounds(drawing.shapes)
    assert left >= -0.6
    assert bottom >= -0.6
    assert right <= drawing.width_mm + 0.6
    assert top <= drawing.height_mm + 0.6
    assert drawing.width_mm == size[0]
    if not screen:
        assert drawing.height_mm <= size[1] + 0.1
    assert drawing.title
    assert len(drawing.description) > 20


@pytest.mark.parametrize(
    ("size_mm", "scale"), [((186.0, 250.0), 50.0), ((160.0, 190.0), 100.0), ((420.0, 594.0), 20.0)]
)
def test_scale_is_the_largest_of_the_series_that_fits(
    size_mm: tuple[float, float], scale: float
) -> None:
    # by hand: 5 by 6.5 m is 100 by 130 mm at 1:50 and 250 by 325 mm at 1:20; dimensions, rim and
    # foot take some 90 mm more
    assert scale in SCALES
    assert room_plan(parlour(), **EVERYTHING, size_mm=size_mm).scale == scale


@pytest.mark.parametrize("height_mm", [140.0, 190.0, 230.0])
@pytest.mark.parametrize("legend", [True, False])
def test_a_scale_that_is_passed_over_is_too_high(height_mm: float, legend: bool) -> None:
    """property: at every larger scale the whole sheet, on paper as high as one likes, is higher than
    this paper or no sheet of its breadth, also where the walls alone said so."""
    found = room_plan(parlour(), **EVERYTHING, size_mm=(240.0, height_mm), legend=legend)
    assert found.scale is not None
    assert found.height_mm <= height_mm + 0.01
    passed = [scale for scale in SCALES if scale < found.scale]
    assert passed
    for scale in passed:
        whole = room_plan(
            parlour(), **EVERYTHING, size_mm=(240.0, 1e4), scales=(scale,), legend=legend
        )
        assert whole.scale != scale or whole.height_mm > height_mm


@pytest.mark.parametrize("units", ["metric", "feet"])
@pytest.mark.parametrize("scale", [20.0, 50.0, 100.0, 200.0, 500.0, 37.3])
def test_scale_bar_is_as_long_as_it_says(units: Any, scale: float) -> None:
    # by hand: n metres at 1:s are 1000 n / s mm; a foot is 0.3048 m exactly
    shapes, length_mm = scale_bar(Hand(units=units), scale, 90.0)
    last = [s for s in shapes if isinstance(s, Text)][-1].text
    number, unit = last.split(" ")
    metre = 1.0 if units == "metric" else 0.3048
    assert unit == ("m" if units == "metric" else "ft")
    assert length_mm == pytest.approx(float(number) * metre * 1000.0 / scale)
    assert max(p[0] for s in shapes if isinstance(s, Polygon) for p in s.points) == pytest.approx(
        length_mm
    )
    assert length_mm <= 90.0


@pytest.mark.parametrize(
    ("bearing_deg", "north"),
    [(0.0, (0.0, 1.0)), (90.0, (-1.0, 0.0)), (180.0, (0.0, -1.0)), (270.0, (1.0, 0.0))],
)
def test_north_arrow_points_to_north(bearing_deg: float, north: Point) -> None:
    # by hand: wall A is up the page; when it faces east (90), north is to the left of one who looks
    # out of it, so left on the paper
    drawing = room_plan(parlour(), north=North("A", bearing_deg, True), **PLAIN)
    letter = next(
        s for s in walk(drawing.shapes) if isinstance(s, Text) and s.text == "N" and s.bold
    )
    needle = [
        s
        for s in walk(drawing.shapes)
        if isinstance(s, Polygon) and len(s.points) == 3 and s.points[0] != s.points[1]
    ]
    tip = min((s.points[0] for s in needle), key=lambda p: math.dist(p, letter.at))
    tail = min((s.points[2] for s in needle), key=lambda p: math.dist(p, letter.at))
    way = ((tip[0] - tail[0]) / math.dist(tip, tail), (tip[1] - tail[1]) / math.dist(tip, tail))
    assert way == pytest.approx(north, abs=1e-6)


def test_bearings_turn_clockwise_on_paper() -> None:
    # by hand: north up, east right, south down, west left
    for bearing, way in ((0, (0, 1)), (90, (1, 0)), (180, (0, -1)), (270, (-1, 0))):
        assert bearing_on_paper((0.0, 1.0), bearing) == pytest.approx(way, abs=1e-12)


def test_sun_on_the_rim_stands_at_its_bearing_from_the_middle_of_the_plan() -> None:
    # by hand: wall A up the page faces 183; the sun at 183 is straight up, at 273 straight right of
    # the plan's middle
    sun = [SunBearing("12:00", 183.0), SunBearing("18:00", 273.0)]
    drawing = room_plan(parlour(), north=North("A", 183.0, True), sun=sun, **PLAIN)
    (x0, y0), mm_per_m = corner(drawing)
    centre = (x0 + 2.5 * mm_per_m, y0 + 3.25 * mm_per_m)
    noon, evening = (bounds(group(drawing, f"sun-{label}")) for label in ("12:00", "18:00"))
    assert (noon[0] + noon[2]) / 2 == pytest.approx(centre[0])
    assert noon[1] > centre[1] + 3.25 * mm_per_m
    assert (evening[1] + evening[3]) / 2 == pytest.approx(centre[1])
    assert evening[0] > centre[0] + 2.5 * mm_per_m


def test_without_true_north_no_sun_is_shown() -> None:
    for facing in (
        None,
        {"wall": "A", "bearing_deg": 183, "north": "magnetic"},
        {"wall": "A", "bearing_deg": 183},
    ):
        drawing = room_plan(parlour(facing=facing), sun=SUN, **PLAIN)
        names = {s.id for s in drawing.shapes if isinstance(s, Group)}
        assert not any(name and name.startswith("sun") for name in names)
        said = " ".join(s.text for s in walk(drawing.shapes) if isinstance(s, Text))
        assert "The sun is not shown on the rim: true north is not known." in said
        assert "true north," not in said
        assert "04:43" not in drawing.description


def test_north_not_measured_is_a_ruled_box_with_words() -> None:
    drawing = room_plan(parlour(facing=None), **PLAIN)
    said = [s.text for s in walk(drawing.shapes) if isinstance(s, Text)]
    assert "north" in said
    assert "not measured" in said
    assert "N" not in said
    assert "North is not measured." in drawing.description


def test_a_room_of_no_size_says_so_and_what_to_measure() -> None:
    drawing = room_plan(odd("no plan"))
    said = [s.text for s in walk(drawing.shapes) if isinstance(s, Text)]
    assert "not measured" in said
    assert "Measure the length along the floor, wall to wall" in said
    assert drawing.scale is None
    assert "not measured" in drawing.description


def test_what_cannot_be_placed_is_named_not_guessed() -> None:
    drawing = room_plan(odd("no openings' places"), **PLAIN)
    said = " ".join(s.text for s in walk(drawing.shapes) if isinstance(s, Text))
    assert "Window W1 on wall A is not drawn: offset and width not measured." in said
    assert "Door D1 on wall B is not drawn: width not measured." in said
    assert not any(
        isinstance(s, Group) and s.id in ("window-W1", "door-D1") for s in drawing.shapes
    )


def test_dimensions_of_a_rectangle_are_given_once_and_every_wall_is_lettered() -> None:
    drawing = room_plan(parlour(), **PLAIN)
    said = [s.text for s in walk(drawing.shapes) if isinstance(s, Text)]
    assert said.count("5.00 m") == 1
    assert said.count("6.50 m") == 1
    assert {"A", "B", "C", "D", "W1 2.00", "D1 0.83", "3.77", "0.40"} <= set(said)


def test_dimensions_in_feet() -> None:
    # by hand: 5 m = 196.85 in = 16' 5" to the nearest half inch (197 in); 2 m = 78.74 in = 6' 6
    # 1/2" (78.5, being nearer than 79)
    said = [
        s.text
        for s in walk(room_plan(parlour(), units="feet", **PLAIN).shapes)
        if isinstance(s, Text)
    ]
    assert "16' 5\"" in said
    assert "W1 6' 6 1/2\"" in said or "W1 6' 7\"" in said


@pytest.mark.parametrize("name", [name for name in ODD_ROOMS if name not in ("nothing", "no plan")])
def test_letters_do_not_run_over_one_another(name: str) -> None:
    drawing = room_plan(
        odd(name), size_mm=(180.0, 220.0), north=North("A", 10.0, True), sun=SUN, marks=None
    )
    texts = [s for s in walk(drawing.shapes) if isinstance(s, Text) and s.text]
    boxes = [bounds([text]) for text in texts if text.angle_deg in (0.0, 90.0)]
    for i, a in enumerate(boxes):
        for b in boxes[:i]:
            deep = min(min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1]))
            assert deep < 0.75, "two pieces of lettering overlap by more than a hair"


def _explained(drawing: Drawing) -> set[str]:
    """What the legend explains, in its full words even where it says the shorter ones."""
    said = {shape.text for shape in walk(drawing.shapes) if isinstance(shape, Text)}
    return {
        words for symbol, (words, _) in LEGEND.items() if {words, SHORTER.get(symbol, words)} & said
    }


def test_everything_used_is_explained_and_nothing_else() -> None:
    full = _explained(room_plan(parlour(), **EVERYTHING, **PLAIN))
    assert {
        "window",
        "door (swing not recorded)",
        "outlet · its circuit",
        "practical (room's own lamp)",
        "piece of furniture",
        "light, where it is pinned",
        "light, planned or assumed",
        "camera, lens ahead",
        "subject, and the way they face",
        "the subject's walk",
        "sun on the floor, hour in it",
        "sun on a wall",
        "the sun's bearing at the hour",
        "sunrise, sunset",
    } <= full
    bare = _explained(
        room_plan(parlour(windows=[], doors=[], outlets=[], practicals=[], furniture=[]), **PLAIN)
    )
    assert not bare & {
        "piece of furniture",
        "window",
        "door (swing not recorded)",
        "outlet · its circuit",
        "practical (room's own lamp)",
        "the subject's walk",
        "sunrise, sunset",
    }


def test_the_words_say_what_the_drawing_shows() -> None:
    words = room_plan(parlour(), **EVERYTHING, **PLAIN).description.replace("\u00a0", " ")
    for fact in (
        "Plan of Long parlour",
        "5.00 m by 6.50 m",
        "Height 2.70 m",
        "Wall A: 5.00 m long, faces 183° (true), with window W1",
        "window W1, 2.00 m wide, 1.50 m from its left end",
        "Wall B: 6.50 m long, faces 273° (true)",
        "P1 · K1",
        "circuit?",
        "Practical L1",
        "Subject stands at",
        "Camera stands at",
        "Light key (planned)",
        "sunrise 04:43 at 48°",
        "At 11:00 the sun falls on wall B and the floor.",
    ):
        assert fact in words, fact


def test_an_exterior_has_an_outline_and_no_walls() -> None:
    drawing = room_plan(odd("yard"), sun=SUN, **PLAIN)
    names = {s.id for s in drawing.shapes if isinstance(s, Group)}
    assert "ground" in names
    assert not any(name and name.startswith("wall-") for name in names)
    ground = next(s for s in group(drawing, "ground") if isinstance(s, Polygon))
    assert ground.pen is not None
    assert ground.pen.dash_mm
    assert "Usable ground outdoors with 5 edges" in drawing.description
    assert "Height" not in drawing.description


def test_the_subject_looks_towards_the_camera_unless_told() -> None:
    # by hand: the camera stands below the subject on the plan, so the nose points down
    drawing = room_plan(parlour(), marks=MARKS, **PLAIN)
    nose = [s for s in group(drawing, "subject") if isinstance(s, Polygon)][-1]
    tip, base = nose.points[1], nose.points[0]
    assert tip[1] < base[1]


def test_the_same_room_gives_the_same_drawing() -> None:
    assert room_plan(parlour(), **EVERYTHING) == room_plan(parlour(), **EVERYTHING)


def test_a_block_says_its_height_in_the_units_of_the_plan() -> None:
    block = {"id": "table", "at_m": [4.0, 5.0], "width_m": 1.2, "depth_m": 0.7, "height_m": 0.75}
    for units, high in (
        ("metric", "table, 0.75 m high"),
        ("feet", "table, 2' 5"),
    ):  # by hand: 0.75 m / 0.0254 = 29.5 inches = 2' 5.5"
        drawing = room_plan(parlour(furniture=[block]), **{**PLAIN, "units": units})
        (title,) = [
            shape.title
            for shape in drawing.shapes
            if isinstance(shape, Group) and shape.id == "furniture-table"
        ]
        assert (title or "").replace("\u00a0", " ").startswith(high)


def test_a_page_may_fold_what_explains_the_plan() -> None:
    whole = room_plan(parlour(), marks=MARKS, sun=SUN, stated_scale=False, size_mm=(112.0, 160.0))
    plan, signs = signs_apart(whole)
    assert signs is not None
    words = {shape.text for shape in walk(whole.shapes) if isinstance(shape, Text)}
    above = {shape.text for shape in walk(plan.shapes) if isinstance(shape, Text)}
    below = {shape.text for shape in walk(signs.shapes) if isinstance(shape, Text)}
    assert above | below == words
    assert LEGEND["window"][0] in below
    assert LEGEND["window"][0] not in above
    for sheet in (plan, signs):
        x0, y0, x1, y1 = bounds(sheet.shapes)
        assert x0 >= -1e-6
        assert y0 >= -1e-6
        assert x1 <= sheet.width_mm + 1e-6
        assert y1 <= sheet.height_mm + 1e-6
    assert plan.height_mm + signs.height_mm == pytest.approx(whole.height_mm, abs=5.0)
    bare = room_plan(parlour(), legend=False)
    assert signs_apart(bare) == (bare, None)
