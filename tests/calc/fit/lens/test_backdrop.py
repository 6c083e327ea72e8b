import numpy as np
import pytest

from scout.calc.fit.lens.backdrop import rectangle_in_frame, walls_in_frame
from scout.calc.fit.lens.camera import View
from scout.calc.geometry import rectangle_m, walls

ROOM = rectangle_m(5.0, 6.5)


def test_a_level_camera_square_to_the_wall() -> None:
    # by hand: from y = 0.5 the wall at 6.5 is 6 m off; 50 mm on 24.9 x 14 sees 6 x 24.9 / 50 =
    # 2.988 m by 1.68 m, centred at x 2.5, z 1.4.
    seen = walls_in_frame(View((2.5, 0.5, 1.4), (2.5, 3.0, 1.4), 24.9, 14.0, 50), ROOM, 2.7)
    assert [part.wall for part in seen] == ["A"]
    part = seen[0]
    assert (part.from_offset_m, part.to_offset_m) == pytest.approx(
        (2.5 - 1.494, 2.5 + 1.494), abs=0.001
    )
    assert (part.from_height_m, part.to_height_m) == pytest.approx((0.56, 2.24), abs=0.001)
    assert part.frame_share == pytest.approx(1.0, abs=1e-6)


def test_a_wide_lens_takes_in_the_side_walls_alike() -> None:
    # property: a camera on the middle line sees as much of the left wall as of the right.
    seen = {
        part.wall: part
        for part in walls_in_frame(
            View((2.5, 0.5, 1.4), (2.5, 3.0, 1.4), 24.9, 14.0, 18), ROOM, 2.7
        )
    }
    assert set(seen) == {"A", "B", "D"}
    assert seen["B"].frame_share == pytest.approx(seen["D"].frame_share)
    # by hand: half the frame is 24.9 / 36 = .692 m a metre; the side walls, 2.5 m off, enter at
    # 3.614 m: 2.386 m of each up to the corner.
    assert seen["B"].to_offset_m - seen["B"].from_offset_m == pytest.approx(2.386, abs=0.03)


def test_the_inner_corner_of_an_l_hides_the_far_arm() -> None:
    # by hand: from (5, .5) the line past the inner corner (3, 3) falls 1.25 in y for each x and
    # meets wall A (y = 6) at x = .6:
    # of its 3 m the first .6 are seen, and wall F (x = 0) up to its end.
    ell = np.array([(0.0, 6.0), (3.0, 6.0), (3.0, 3.0), (6.0, 3.0), (6.0, 0.0), (0.0, 0.0)])
    seen = {
        part.wall: part
        for part in walls_in_frame(
            View((5.0, 0.5, 1.4), (0.0, 4.5, 1.4), 36.0, 20.25, 24), ell, 2.7
        )
    }
    assert seen["A"].to_offset_m == pytest.approx(0.6, abs=0.02)
    assert seen["F"].to_offset_m == pytest.approx(6.0)
    # by hand: wall C (y = 3) is in frame, wall B (x = 3, facing the other way) is not.
    assert set(seen) == {"A", "C", "F"}


def test_window_in_frame_or_not() -> None:
    wall = walls(ROOM)[0]
    view = View((2.5, 0.5, 1.4), (2.5, 3.0, 1.4), 24.9, 14.0, 50)
    assert rectangle_in_frame(view, wall, 1.5, 3.5, 0.9, 2.4)
    assert not rectangle_in_frame(
        view, wall, 0.1, 0.9, 0.9, 2.4
    )  # by hand: the frame starts at 1.006 m
    assert not rectangle_in_frame(
        view, wall, 1.5, 3.5, 2.3, 2.6
    )  # by hand: the frame ends at 2.24 m
