import numpy as np
import pytest

from scout.calc.fit.floor.space import (
    Space,
    clear_depth_m,
    distance_to_line_m,
    distance_to_zone_m,
    exit_zone_m,
    sees,
    stands_inside,
    zone_inside,
)
from scout.calc.fit.lens.framing import (
    FRAMINGS,
    best_direction,
    camera_place,
    distance_for,
    wide_distance_m,
)
from scout.calc.geometry import rectangle_m, walls
from scout.errors import OutOfRange

ROOM = rectangle_m(5.0, 6.5)
# An L: 6 x 6 with the quarter x > 3, y > 3 cut out, clockwise from its far left corner.
ELL = np.array([(0.0, 6.0), (3.0, 6.0), (3.0, 3.0), (6.0, 3.0), (6.0, 0.0), (0.0, 0.0)])


def test_clear_depth_in_a_rectangle_and_past_a_corner() -> None:
    # by hand: from (2.5, 3.0) the wall at y = 0 is 3.0 m off and the one at y = 6.5 3.5 m.
    assert clear_depth_m(ROOM, [2.5, 3.0], [0, -1]) == pytest.approx(3.0)
    assert clear_depth_m(ROOM, [2.5, 3.0], [0, 1]) == pytest.approx(3.5)
    # by hand: in the L, from (5, 1) upwards the inner wall at y = 3 stops it; from (1, 1) the far
    # wall at 6.
    assert clear_depth_m(ELL, [5.0, 1.0], [0, 1]) == pytest.approx(2.0)
    assert clear_depth_m(ELL, [1.0, 1.0], [0, 1]) == pytest.approx(5.0)
    # by hand: a strip of 0.5 m either side of x = 2.8 meets the inner corner at y = 3.
    assert clear_depth_m(ELL, [2.8, 1.0], [0, 1], 0.5) == pytest.approx(2.0)
    assert clear_depth_m(ELL, [2.8, 1.0], [0, 1], 0.1) == pytest.approx(5.0)


def test_clear_depth_from_outside_is_refused() -> None:
    with pytest.raises(OutOfRange, match="at_m"):
        clear_depth_m(ROOM, [9.0, 3.0], [0, 1])


def test_walls_hide_round_the_corner_of_an_l() -> None:
    # by hand: the line from (5, 1) to (1, 5) runs along x + y = 6 through the inner corner (3, 3):
    # it touches, nothing hides it;
    # from (5, 2) to (2, 5) it runs along x + y = 7, beyond the corner.
    assert bool(sees(ELL, [5.0, 1.0], [1.0, 5.0]))
    assert not bool(sees(ELL, [5.0, 2.0], [2.0, 5.0]))
    assert bool(sees(ELL, [5.0, 0.5], [0.5, 5.0]))
    assert bool(np.all(sees(ROOM, [[0.1, 0.1], [4.9, 6.4]], [2.5, 3.0])))


def test_circles_and_rectangles_inside() -> None:
    # by hand: a circle of 0.5 m touches the wall from 0.5 m away.
    assert stands_inside(ROOM, [[0.5, 3.0], [0.49, 3.0], [-1.0, 3.0]], 0.5).tolist() == [
        True,
        False,
        False,
    ]
    square = np.array([(2.5, 2.5), (3.5, 2.5), (3.5, 3.5), (2.5, 3.5)])
    # by hand: the square over the inner corner of the L sticks out by a quarter.
    assert not zone_inside(ELL, square)
    assert zone_inside(ROOM, square)
    assert zone_inside(ELL, square - 0.5)  # touches the corner with its own
    # by hand: all four corners are in the U, but the square spans its notch.
    notched = np.array(
        [
            (0.0, 4.0),
            (1.0, 4.0),
            (1.0, 1.0),
            (2.0, 1.0),
            (2.0, 4.0),
            (3.0, 4.0),
            (3.0, 0.0),
            (0.0, 0.0),
        ]
    )
    assert not zone_inside(notched, np.array([(0.5, 2.0), (2.5, 2.0), (2.5, 3.0), (0.5, 3.0)]))


def test_exit_zone_lies_in_the_room_before_its_door() -> None:
    # Source: ADA Standards 2010, 403.5.1, 36 in (915 mm) clear width (from memory); by hand: wall C
    # runs from (5, 0) to (0, 0), a door of
    # 0.83 m at 0.4 m from its left end lies from x = 4.6 to 3.77, its middle at 4.185; 0.9 m wide
    # and deep: 3.735 to 4.635.
    wall = walls(ROOM)[2]
    zone = exit_zone_m(wall.start_m, wall.along, wall.outward, 0.4, 0.83)
    assert (
        zone[:, 0].min(),
        zone[:, 0].max(),
        zone[:, 1].min(),
        zone[:, 1].max(),
    ) == pytest.approx((3.735, 4.635, 0.0, 0.9))
    # by hand: a point 0.5 m past its near edge, one inside it.
    assert distance_to_zone_m(zone, [[4.185, 1.4], [4.185, 0.5]]) == pytest.approx([0.5, 0.0])


def test_distance_to_an_open_path_does_not_close_it() -> None:
    # by hand: a path that turns a corner is not a triangle: its third side is no line.
    path = [[0, 0, 1.5], [4, 0, 1.5], [4, 4, 1.5]]
    assert float(distance_to_line_m(path, [1.0, 2.0])) == pytest.approx(2.0)


def test_35_mm_super_35_camera_in_the_parlour() -> None:
    # by hand: head and shoulders at 35 x .6 / 14 = 1.5 m; 3.0 m to the wall leave 1.5 m for tripod
    # (0.5) and operator (1.0): just fits.
    space = Space(ROOM, 2.7)
    head = next(framing for framing in FRAMINGS if framing.name == "head_and_shoulders")
    distance = distance_for(head, 35.0, 24.9, 14.0)
    assert distance == pytest.approx(1.5)
    place = camera_place(space, [2.5, 3.0], [0, -2.2], distance)
    assert place.fits
    assert place.camera_m == pytest.approx((2.5, 1.5))
    assert place.background_m == pytest.approx(5.0)  # by hand: 1.5 + 3.5
    # by hand: 2.25 m for the medium frame leave 0.75 m, 0.75 m short; the tripod alone still
    # stands.
    medium = camera_place(space, [2.5, 3.0], [0, -1], 2.25)
    assert (medium.fits, medium.reason, medium.beside) == (False, "room", "right")
    assert medium.short_m == pytest.approx(0.75)


@pytest.mark.parametrize(
    ("behind_m", "held"),
    # by hand: tripod and operator take 1.5 m behind the lens; the tripod alone 0.5 m; a person with
    # the camera 0.5 m; a body on a clamp 0.25 m (common practice)
    [
        (1.5, "tripod"),
        (1.49, "beside"),
        (0.5, "beside"),
        (0.49, "clamp"),
        (0.25, "clamp"),
        (0.24, None),
    ],
)
def test_what_holds_the_camera_where_the_floor_ends(behind_m: float, held: str | None) -> None:
    place = camera_place(Space(ROOM, 2.7), [2.5, 4.0], [0, -1], 4.0 - behind_m)
    assert place.behind == held


def test_hand_held_where_no_tripod_stands() -> None:
    # by hand: in a corridor of 0.9 m a person of 0.6 m has room, a tripod of 1.0 m has not
    corridor = Space(rectangle_m(0.9, 8.0), 2.7)
    assert camera_place(corridor, [0.45, 6.0], [0, -1], 2.0).behind == "hand_held"
    # in 0.5 m nobody has, and a clamp wants a wall within its arm: 0.25 + 0.6 m behind the lens
    slit = Space(rectangle_m(0.5, 8.0), 2.7)
    assert camera_place(slit, [0.25, 6.0], [0, -1], 5.2).behind == "clamp"
    assert camera_place(slit, [0.25, 6.0], [0, -1], 5.1).behind is None
    # and there are no walls out in the open
    assert camera_place(Space(rectangle_m(0.5, 8.0), None), [0.25, 6], [0, -1], 5.2).behind is None


def test_camera_does_not_stand_before_a_door_or_in_a_niche() -> None:
    door = np.array([(2.0, 0.9), (3.0, 0.9), (3.0, 2.0), (2.0, 2.0)])
    assert camera_place(Space(ROOM, 2.7, (door,)), [2.5, 3.5], [0, -1], 1.6).reason == "exit"
    # by hand: in a corridor 0.9 m wide the operator's 1.0 m has no room.
    corridor = rectangle_m(0.9, 8.0)
    assert camera_place(Space(corridor, 2.4), [0.45, 4.0], [0, -1], 1.5).reason == "narrow"


def test_wide_takes_the_room_from_side_to_side() -> None:
    # by hand: 5.0 m across, 24 x 5.0 / 24.9 = 4.82 m from the back wall.
    assert wide_distance_m(Space(ROOM, 2.7), [0, -1], 24.9, 24.0) == pytest.approx(4.819, abs=0.001)
    # by hand: seen from the side it is 6.5 m across.
    assert wide_distance_m(Space(ROOM, 2.7), [1, 0], 24.9, 24.0) == pytest.approx(6.265, abs=0.001)


def test_best_direction_is_down_the_length_of_the_room() -> None:
    # property: from the far end of a long narrow room the most floor lies towards the other end.
    assert best_direction(Space(rectangle_m(2.0, 9.0), 2.4), [1.0, 8.0]) == pytest.approx(
        [0, -1], abs=0.1
    )


def test_a_direction_of_no_length_is_refused() -> None:
    with pytest.raises(OutOfRange, match="direction"):
        camera_place(Space(ROOM, 2.7), [2.5, 3.0], [0, 0], 1.5)
