"""The plan as a polygon: walls, facings, north, inside. Expected values by hand from the drawings,
or by a property.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scout.calc.geometry import (
    FloatArray,
    crossing_walls,
    distance_to_walls_m,
    facing_deg,
    inside,
    north_in_plan,
    plan_area_m2,
    rectangle_m,
    require,
    signed_area_m2,
    wall_letters,
    walls,
)
from scout.errors import OutOfRange
from scout.values import Figure, Said

#  (0,5) A (3,5)
#    +-------+
#    |       | B
#  F |       +--C--+ (6,3)
#    |             | D
#    +------E------+ (6,0)
ELL = np.array([(0, 5), (3, 5), (3, 3), (6, 3), (6, 0), (0, 0)], dtype=float)


def turned(plan: FloatArray, degrees: float) -> FloatArray:
    """The plan turned anticlockwise about its origin."""
    t = np.radians(degrees)
    return plan @ np.array([[np.cos(t), -np.sin(t)], [np.sin(t), np.cos(t)]]).T


def apart_deg(a: FloatArray, b: FloatArray) -> FloatArray:
    """How far two bearings lie apart, 0 to 180."""
    return np.abs((np.asarray(a) - b + 180.0) % 360.0 - 180.0)


# -- walls
# ------------------------------------------------------------------------------------------------------------
def test_by_hand_the_walls_of_a_rectangle() -> None:
    # by hand: W = 4, L = 6; A runs (0,6)->(4,6) and looks up the page, B (4,6)->(4,0) right, C
    # down, D left
    a, b, c, d = walls(rectangle_m(4, 6))
    assert "".join(wall.letter for wall in (a, b, c, d)) == "ABCD"
    assert [wall.length_m for wall in (a, b, c, d)] == [4, 6, 4, 6]
    assert [tuple(wall.outward) for wall in (a, b, c, d)] == [(0, 1), (1, 0), (0, -1), (-1, 0)]
    assert tuple(a.point(1.5, 0.9)) == (1.5, 6.0, 0.9)
    assert tuple(b.point(1.5, 0.9)) == (
        4.0,
        4.5,
        0.9,
    )  # seen from inside, left of the right-hand wall is up the page
    assert tuple(c.point(0.4)) == (3.6, 0.0, 0.0)
    assert tuple(d.point(1.0)) == (0.0, 1.0, 0.0)


def test_by_hand_the_walls_of_an_l() -> None:
    found = walls(ELL)
    assert [wall.letter for wall in found] == list("ABCDEF")
    assert [wall.length_m for wall in found] == [3, 2, 3, 3, 6, 5]
    assert [tuple(wall.outward) for wall in found] == [
        (0, 1),
        (1, 0),
        (0, 1),
        (1, 0),
        (0, -1),
        (-1, 0),
    ]
    assert plan_area_m2(ELL) == 6 * 3 + 3 * 2


def test_a_plan_has_three_to_a_hundred_walls() -> None:
    assert wall_letters(26)[-1] == "Z"
    for count in (0, 2, 101):
        with pytest.raises(OutOfRange) as refused:
            wall_letters(count)
        assert isinstance(refused.value.because, Said)
        assert refused.value.because.code == "refusal.space.corner_count"


@pytest.mark.parametrize(
    "plan",
    [[(0, 0), (0, 1)], [(0, 1), (1, 1), (1, 1), (0, 0)], [(0, 1), (1, float("nan")), (1, 0)]],
)
def test_what_is_no_plan_is_refused_by_name(plan: list[tuple[float, float]]) -> None:
    with pytest.raises(OutOfRange, match="plan_m"):
        walls(plan)


# -- facing
# -----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("wall", "bearing", "expected"),
    [
        # by hand: going round clockwise by one wall of a rectangle turns the look 90 degrees
        # clockwise
        (0, 182.0, (182, 272, 2, 92)),
        (1, 0.0, (270, 0, 90, 180)),
        (2, 10.0, (190, 280, 10, 100)),
        (3, 359.0, (89, 179, 269, 359)),
        (0, 360.0, (0, 90, 180, 270)),
    ],
)
def test_by_hand_the_facings_of_a_rectangle(
    wall: int, bearing: float, expected: tuple[float, ...]
) -> None:
    assert facing_deg(rectangle_m(5, 6.5), wall, bearing) == pytest.approx(expected)


def test_by_hand_the_facings_of_an_l() -> None:
    # by hand: A and C look up the page, B and D right, E down, F left; with B towards 30 degrees up
    # the page is 300
    assert facing_deg(ELL, 1, 30.0) == pytest.approx((300, 30, 300, 30, 120, 210))


def test_by_hand_a_room_drawn_askew_faces_the_same_way() -> None:
    # the drawing may lie at any angle on the page: only the angles between walls count
    for angle in (17.0, 90.0, 211.0):
        assert facing_deg(turned(ELL, angle), 1, 30.0) == pytest.approx(
            (300, 30, 300, 30, 120, 210)
        )


def test_by_hand_an_equilateral_triangle() -> None:
    triangle = np.array(
        [(0, 0), (1, np.sqrt(3)), (2, 0)]
    )  # clockwise; each corner turns the look by 120 degrees
    assert facing_deg(triangle, 0, 100.0) == pytest.approx((100, 220, 340))


def test_by_hand_north_in_the_plan() -> None:
    room = rectangle_m(4, 6)
    assert north_in_plan(room, 0, 0.0) == pytest.approx(
        (0, 1)
    )  # A looks north: north is up the page
    assert north_in_plan(room, 0, 180.0) == pytest.approx((0, -1))  # A looks south
    assert north_in_plan(room, 0, 90.0) == pytest.approx(
        (-1, 0)
    )  # A, up the page, is east: north is to the left
    assert north_in_plan(room, 1, 90.0) == pytest.approx((0, 1))  # B, right, is east: north is up
    assert north_in_plan(room, 3, 0.0) == pytest.approx((-1, 0))  # D, left, is north


@settings(max_examples=60, deadline=None)
@given(st.floats(0, 360), st.integers(0, 5), st.floats(0, 360))
def test_property_north_and_facings_agree(bearing: float, wall: int, turn: float) -> None:
    plan = turned(ELL, turn)
    north, facings = north_in_plan(plan, wall, bearing), facing_deg(plan, wall, bearing)
    assert np.all((facings >= 0) & (facings < 360))
    assert np.hypot(*north) == pytest.approx(1)
    for other, facing in zip(walls(plan), facings, strict=True):
        # property: the outward normal is north turned clockwise by the facing
        t = -np.radians(facing)
        by_north = (
            np.cos(t) * north[0] - np.sin(t) * north[1],
            np.sin(t) * north[0] + np.cos(t) * north[1],
        )
        assert other.outward == pytest.approx(by_north, abs=1e-9)


@given(st.floats(0, 360), st.integers(0, 5))
def test_property_any_wall_of_known_bearing_gives_the_same_facings(
    bearing: float, wall: int
) -> None:
    facings = facing_deg(ELL, 0, bearing)
    assert np.all(apart_deg(facing_deg(ELL, wall, float(facings[wall])), facings) < 1e-9)


def test_a_bearing_that_is_no_number_is_refused() -> None:
    with pytest.raises(OutOfRange, match="known_bearing_deg"):
        facing_deg(ELL, 0, float("nan"))


# -- simple or not
# ----------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("plan", "crossing"),
    [
        (rectangle_m(4, 6), None),
        (ELL, None),
        ([(0, 0), (1, 2), (2, 0)], None),
        (
            [(0, 1), (1, 0), (1, 1), (0, 0)],
            (0, 2),
        ),  # by hand: a bow tie, its first and third sides cross
        (
            [(0, 2), (2, 2), (2, 0), (1, 2), (0, 0)],
            (0, 2),
        ),  # by hand: the corner (1,2) touches the first side
        ([(0, 0), (2, 0), (1, 0)], (0, 1)),  # by hand: folded back along one line
        (
            [(0, 1), (3, 1), (3, 0), (2, 0), (2, 1), (1, 1), (1, 0), (0, 0)],
            (0, 3),
        ),  # by hand: (2,1) lies on the first side
    ],
)
def test_by_hand_which_walls_meet(
    plan: list[tuple[float, float]], crossing: tuple[int, int] | None
) -> None:
    assert crossing_walls(plan) == crossing


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(0.3, 3.0), min_size=3, max_size=12), st.floats(0, 360))
def test_property_a_star_seen_whole_from_its_middle_never_crosses(
    radii: list[float], turn: float
) -> None:
    angles = -np.radians(turn + np.arange(len(radii)) * (360 / len(radii)))  # clockwise
    star = np.column_stack([np.cos(angles), np.sin(angles)]) * np.array(radii)[:, None]
    assert crossing_walls(star) is None
    assert signed_area_m2(star) < 0
    assert signed_area_m2(star[::-1]) == pytest.approx(-signed_area_m2(star))
    assert plan_area_m2(star + 7.0) == pytest.approx(
        plan_area_m2(star)
    )  # property: moving changes no area
    if len(radii) > 3:
        assert bool(inside(star, np.zeros(2)))


# -- inside
# -----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("x", "y", "within"),
    [
        (1, 4, True),
        (4, 4, False),
        (5, 1, True),
        (3, 4, True),
        (6, 3, True),
        (3.001, 3.001, False),
        (-0.1, 1, False),
        (7, 7, False),
    ],
)
def test_by_hand_inside_an_l(x: float, y: float, within: bool) -> None:
    assert bool(inside(ELL, (x, y))) is within


def test_inside_takes_many_points_with_or_without_heights() -> None:
    points = np.array([[[1, 4, 9], [4, 4, 0]], [[5, 1, 0], [9, 9, 9]]], dtype=float)
    assert inside(ELL, points).tolist() == [[True, False], [True, False]]


def test_by_hand_distances_to_walls() -> None:
    # by hand: (1,4) is 1 m from A and F; (4,2) 1 m from C; (7,0) 1 m beyond D's foot
    assert distance_to_walls_m(ELL, [(1, 4), (4, 2), (7, 0)]) == pytest.approx((1, 1, 1))


@settings(max_examples=80, deadline=None)
@given(st.floats(-1, 7), st.floats(-1, 6), st.floats(0, 360))
def test_property_turning_plan_and_point_together_changes_nothing(
    x: float, y: float, turn: float
) -> None:
    point = np.array([x, y])
    if float(distance_to_walls_m(ELL, point)) > 1e-6:
        assert bool(inside(turned(ELL, turn), turned(point, turn))) is bool(inside(ELL, point))


# -- refusals
# ---------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("value", "bounds", "code"),
    [
        (float("nan"), {}, "finite"),
        (float("inf"), {}, "finite"),
        ([1.0, 0.0], {"above": 0}, "above"),
        (-1, {"least": 0}, "least"),
        (2, {"most": 1}, "most"),
        (1, {"below": 1}, "below"),
    ],
)
def test_require_names_the_argument_and_what_would_do(
    value: float, bounds: dict[str, float], code: str
) -> None:
    with pytest.raises(OutOfRange) as refused:
        require("depth_m", value, **bounds)
    assert refused.value.path == "depth_m"
    because = refused.value.because
    assert isinstance(because, Said)
    assert because.code == f"refusal.number.{code}"
    if bounds:
        (limit,) = bounds.values()
        assert because["limit"] == Figure(float(limit), "m" if limit else "")  # 0 has no unit


def test_a_limit_that_is_no_length_has_no_unit() -> None:
    with pytest.raises(OutOfRange) as refused:
        require("fps", 0.5, least=1)
    assert isinstance(refused.value.because, Said)
    assert refused.value.because["limit"] == Figure(1.0)


@pytest.mark.parametrize(
    ("value", "bounds"),
    [(0.5, {"above": 0}), (0, {"least": 0}), (1, {"most": 1}), (0.999, {"below": 1})],
)
def test_what_lies_on_or_in_its_bounds_is_taken(value: float, bounds: dict[str, float]) -> None:
    assert require("depth_m", value, **bounds) == value
    assert require("depth_m", [value, value], **bounds).tolist() == [value, value]


@given(st.lists(st.tuples(st.floats(-1, 9), st.floats(-1, 7)), min_size=1, max_size=40))
def test_inside_agrees_with_the_winding_angle_and_distance_with_a_dense_walk(
    points: list[tuple[float, float]],
) -> None:
    """property: seen from inside the corners turn once round, from outside not at all; no point of
    a wall is nearer than the distance.
    """
    for corners in (
        [(0, 6), (3, 6), (3, 4), (8, 4), (8, 0), (0, 0)],
        [(0, 5), (6, 6.5), (8, 2), (5, 2.5), (4, 0)],
    ):
        plan, spots = np.array(corners, dtype=float), np.array(points)
        away = distance_to_walls_m(plan, spots)
        shares = np.linspace(0.0, 1.0, 2001)[:, None, None]
        walk = (plan + shares * (np.roll(plan, -1, axis=0) - plan)).reshape(-1, 2)
        nearest = np.min(np.linalg.norm(spots[:, None, :] - walk, axis=-1), axis=1)
        assert np.all(away <= nearest + 1e-9)
        assert np.all(nearest <= away + 0.005)  # the walk's steps are at most 4.2 mm
        ray = plan - spots[:, None, :]
        turn = np.angle(
            np.exp(1j * (np.angle(np.roll(ray, -1, axis=1) @ (1, 1j)) - np.angle(ray @ (1, 1j))))
        ).sum(axis=1)
        sure = away > 1e-6  # on the very line the two may differ in the last digit
        assert np.array_equal(inside(plan, spots)[sure], np.abs(turn[sure]) > np.pi)
        assert bool(inside(plan, spots[0])) == bool(inside(plan, spots)[0])
