import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scout.calc.fit.lens.camera import (
    View,
    circle_of_confusion_mm,
    column_in_frame,
    depth_of_field,
    field_of_view_deg,
    framing_distance_m,
    in_frame,
    off_frame_deg,
)
from scout.errors import OutOfRange

# Sensor widths and the heights of their 16:9 part: by hand, width x 9 / 16.
SENSORS = {
    "full frame": (36.0, 24.0),
    "super 35": (24.89, 18.66),
    "micro four thirds": (17.3, 13.0),
    "one inch": (13.2, 8.8),
}


@pytest.mark.parametrize(
    ("sensor", "height_mm", "per_mm"),
    [
        ("full frame", 20.25, (0.0938, 0.0444, 0.0296)),
        ("super 35", 14.00, (0.1357, 0.0643, 0.0429)),
        ("micro four thirds", 9.73, (0.1952, 0.0925, 0.0617)),
        ("one inch", 7.43, (0.2559, 0.1212, 0.0808)),
    ],
)
def test_metres_per_millimetre_in_16_to_9(
    sensor: str, height_mm: float, per_mm: tuple[float, ...]
) -> None:
    # by hand: d = f F / s for frames of 1.9, 0.9 and 0.6 m, f = 1 mm.
    height = SENSORS[sensor][0] * 9 / 16
    assert height == pytest.approx(height_mm, abs=0.006)
    assert framing_distance_m([1.9, 0.9, 0.6], height, 1.0) == pytest.approx(per_mm, abs=0.00015)


@pytest.mark.parametrize(
    ("sensor", "per_mm"),
    [
        ("full frame", (0.0792, 0.0375, 0.0250)),
        ("super 35", (0.1018, 0.0482, 0.0322)),
        ("micro four thirds", (0.1462, 0.0692, 0.0462)),
        ("one inch", (0.2159, 0.1023, 0.0682)),
    ],
)
def test_metres_per_millimetre_on_the_whole_sensor(sensor: str, per_mm: tuple[float, ...]) -> None:
    # by hand: as above with the native height.
    assert framing_distance_m([1.9, 0.9, 0.6], SENSORS[sensor][1], 1.0) == pytest.approx(
        per_mm, abs=0.00006
    )


@pytest.mark.parametrize(
    ("sensor", "degrees"),
    [
        ("full frame", (73.7, 54.4, 39.6, 23.9)),
        ("super 35", (54.8, 39.1, 28.0, 16.7)),
        ("micro four thirds", (39.6, 27.8, 19.6, 11.6)),
        ("one inch", (30.8, 21.4, 15.0, 8.9)),
    ],
)
def test_horizontal_field_of_view(sensor: str, degrees: tuple[float, ...]) -> None:
    # by hand: 2 atan(w / 2f) at 24, 35, 50, 85 mm; full frame 24 mm: 2 atan(.75) = 73.74.
    assert field_of_view_deg(SENSORS[sensor][0], [24, 35, 50, 85]) == pytest.approx(
        degrees, abs=0.06
    )


@pytest.mark.parametrize(
    ("height_mm", "metres"),
    [
        (20.25, (3.28, 1.56, 1.04)),
        (14.0, (4.75, 2.25, 1.50)),
        (9.73, (6.83, 3.24, 2.16)),
        (7.425, (8.96, 4.24, 2.83)),
    ],
)
def test_distances_of_a_35_mm_lens(height_mm: float, metres: tuple[float, ...]) -> None:
    # by hand: 35 x F / s; a 35 mm lens on a Super 35 camera gives head and shoulders (0.6 m) at
    # 1.50 m.
    assert framing_distance_m([1.9, 0.9, 0.6], height_mm, 35.0) == pytest.approx(metres, abs=0.006)


@pytest.mark.parametrize(
    ("sensor", "confusion_mm"), list(zip(SENSORS, (0.0288, 0.0207, 0.0144, 0.0106), strict=True))
)
def test_circle_of_confusion(sensor: str, confusion_mm: float) -> None:
    # common practice: the diagonal over 1500; by hand: 43.27 / 1500 = .0288.
    assert circle_of_confusion_mm(*SENSORS[sensor]) == pytest.approx(confusion_mm, abs=0.00006)


@pytest.mark.parametrize(
    ("focal", "stop", "confusion", "at", "near", "far"),
    # by hand: H = f^2/(N c) + f, near s(H-f)/(H+s-2f), far s(H-f)/(H-s); 50 mm f/2.8 c .0288: H =
    # 31.05 m.
    [
        (50, 2.8, 0.0288, 2.5, 2.317, 2.715),
        (35, 2.8, 0.0207, 2.2, 1.996, 2.451),
        (85, 2.0, 0.0288, 2.5, 2.453, 2.549),
        (25, 4.0, 0.0144, 3.0, 2.354, 4.133),
        (24, 8.0, 0.0106, 2.2, 1.666, 3.237),
    ],
)
def test_depth_of_field(
    focal: float, stop: float, confusion: float, at: float, near: float, far: float
) -> None:
    sharp = depth_of_field(at, focal, stop, confusion)
    assert sharp.near_m == pytest.approx(near, abs=0.001)
    assert sharp.far_m == pytest.approx(far, abs=0.001)


def test_beyond_the_hyperfocal_distance_all_is_sharp() -> None:
    # property: focused at H everything from about H/2 to infinity is sharp; there is no far end,
    # not a huge number.
    hyperfocal = depth_of_field(2.0, 24, 8.0, 0.0106).hyperfocal_m
    sharp = depth_of_field(hyperfocal, 24, 8.0, 0.0106)
    assert sharp.far_m is None
    assert sharp.near_m == pytest.approx(hyperfocal / 2, rel=0.01)


@pytest.mark.parametrize("bad", [0.0, -35.0, math.nan, math.inf])
def test_a_lens_of_0_mm_is_refused(bad: float) -> None:
    with pytest.raises(OutOfRange, match="focal_length_mm"):
        field_of_view_deg(24.9, bad)
    with pytest.raises(OutOfRange, match="focal_length_mm"):
        framing_distance_m(0.6, 14.0, bad)
    with pytest.raises(OutOfRange, match="focal_length_mm"):
        View((0, 0, 1), (0, 1, 1), 24.9, 14.0, bad)
    with pytest.raises(OutOfRange, match="focal_length_mm"):
        depth_of_field(2.0, bad, 2.8, 0.02)


def test_camera_aimed_at_itself_and_focus_inside_the_lens_are_refused() -> None:
    with pytest.raises(OutOfRange, match="aim_m"):
        View((0, 0, 1), (0, 0, 1), 24.9, 14.0, 35)
    with pytest.raises(OutOfRange, match="distance_m"):
        depth_of_field(0.04, 50, 2.8, 0.02)


def room_camera(focal: float) -> View:
    return View((2.5, 0.8, 1.4), (2.5, 3.0, 1.2), 24.9, 14.0, focal)


@pytest.mark.parametrize(
    ("point", "focal", "seen"),
    # by hand: z = v.a, x = v.r, y = v.up with a = unit(0, 2.2, -.2); seen if |x| - R < z w/2f and
    # |y| - R < z h/2f, R = .45.
    # Head (3.366, 2.134, 2.425) at 24 mm: y 1.142 - .45 = .69 > .36: out. Its stand at 1.2 m: x
    # .866 - .45 = .42 < .70: in.
    [
        ((3.366, 2.134, 2.425), 24, False),
        ((3.366, 2.134, 2.425), 35, False),
        ((3.366, 2.134, 1.2), 24, True),
        ((3.9, 4.4, 2.0), 24, True),
        ((3.9, 4.4, 2.0), 50, False),
    ],
)
def test_lights_and_stands_in_frame(
    point: tuple[float, float, float], focal: float, seen: bool
) -> None:
    assert bool(in_frame(room_camera(focal), point, 0.45)) is seen


def test_nothing_behind_the_camera_is_in_frame() -> None:
    # by hand: a metre behind, with half a metre of radius, cannot reach past the lens.
    assert not in_frame(room_camera(24), [2.5, -0.2, 1.4], 0.5)
    assert in_frame(room_camera(24), [2.5, 1.0, 1.4], 0.0)


def test_picture_right_is_right_and_up_is_up() -> None:
    # by hand: a camera that looks along +y has +x on its right.
    right, up, forward = View((0, 0, 1.5), (0, 3, 1.5), 24.9, 14.0, 35).axes
    assert (right, up, forward) == (
        pytest.approx([1, 0, 0]),
        pytest.approx([0, 0, 1]),
        pytest.approx([0, 1, 0]),
    )
    straight_down = View((0, 0, 3), (0, 0, 0), 24.9, 14.0, 35).axes
    # property: axes stay square to each other, also for a camera looking straight down.
    assert straight_down @ straight_down.T == pytest.approx(np.eye(3), abs=1e-12)


@settings(max_examples=200, deadline=None)
@given(
    st.floats(-3, 3),
    st.floats(0.1, 6),
    st.floats(0.0, 3),
    st.floats(0.01, 0.8),
    st.sampled_from([16.0, 24.0, 50.0, 85.0]),
)
def test_a_column_is_seen_when_any_ball_of_it_is(
    x: float, y: float, top: float, radius: float, focal: float
) -> None:
    # property: the column is the union of its balls. A sampled ball in frame means the column is; a
    # column in frame means that of the balls sampled, one grown by half their distance is.
    view = View((0, 0, 1.4), (0.3, 3, 1.1), 24.9, 14.0, focal)
    heights = np.linspace(0, top, 41)
    balls = in_frame(view, np.stack([np.full(41, x), np.full(41, y), heights], axis=-1), radius)
    column = bool(column_in_frame(view, np.array([x, y]), top, radius))
    centres = np.stack([np.full(41, x), np.full(41, y), heights], axis=-1)
    grown = in_frame(view, centres, radius + top / 80.0 + 1e-9)
    assert column or not balls.any()
    assert grown.any() or not column


@pytest.mark.parametrize(
    ("x", "z", "plain", "widened"),
    # by hand: 24 mm on 24.9 x 14.0 sees 24.9 / 48 = 0.5188 to a side and 14 / 48 = 0.2917 up per
    # metre; a twentieth wider it is 0.5447 and 0.3062
    [
        (0.51, 0.0, True, True),
        (0.53, 0.0, False, True),
        (0.55, 0.0, False, False),
        (-0.53, 0.0, False, True),
        (0.0, 0.29, True, True),
        (0.0, 0.30, False, True),
        (0.0, -0.30, False, True),
        (0.0, 0.31, False, False),
    ],
)
def test_a_margin_widens_the_frame(x: float, z: float, plain: bool, widened: bool) -> None:
    view = View((0, 0, 1.4), (0, 3, 1.4), 24.9, 14.0, 24)
    point = [x, 1.0, 1.4 + z]
    assert bool(in_frame(view, point)) is plain
    assert bool(in_frame(view, point, 0.0, 0.05)) is widened
    if not z:  # a thin column from the floor past the frame is seen where its side is
        foot = np.array(point[:2])
        assert bool(column_in_frame(view, foot, 2.0, 0.0)) is plain
        assert bool(column_in_frame(view, foot, 2.0, 0.0, 0.05)) is widened


def test_a_column_that_ends_under_the_frame_is_not_seen() -> None:
    # by hand: 1 m off the frame reaches 0.2917 m down from 1.4 m, to 1.108
    view = View((0, 0, 1.4), (0, 3, 1.4), 24.9, 14.0, 24)
    assert not column_in_frame(view, np.array([0.0, 1.0]), 1.10, 0.0)
    assert column_in_frame(view, np.array([0.0, 1.0]), 1.12, 0.0)
    # a ball on its top reaches higher
    assert column_in_frame(view, np.array([0.0, 1.0]), 1.10, 0.02)


@settings(max_examples=100, deadline=None)
@given(st.floats(-3, 3), st.floats(0.1, 6), st.floats(0, 3))
def test_what_a_lens_does_not_see_no_longer_lens_sees(x: float, y: float, z: float) -> None:
    # property: the frames of one camera lie inside each other, shortest lens outermost.
    seen = [
        bool(in_frame(View((0, 0, 1.4), (0, 3, 1.2), 24.9, 14.0, f), [x, y, z], 0.3))
        for f in (16, 24, 35, 50, 85, 135)
    ]
    assert seen == sorted(seen, reverse=True)


def test_how_far_a_direction_lies_outside_the_frame() -> None:
    # by hand: looking along y with half-tangents 0.5 and 0.25: edges at 26.565 and 14.036 degrees
    view = View((1.0, 2.0, 1.5), (1.0, 5.0, 1.5), 36.0, 18.0, 36.0)
    right, up = np.radians(26.565051), np.radians(14.036243)
    turned = np.radians([0.0, 10.0, 26.5, 26.565051 + 5.0])
    level = np.stack([np.sin(turned), np.cos(turned), 0.0 * turned], axis=1)
    assert off_frame_deg(view, level) == pytest.approx([0, 0, 0, 5])
    tilted = np.array([0.0, np.cos(up + 0.5), np.sin(up + 0.5)])
    assert off_frame_deg(view, tilted) == pytest.approx(np.degrees(0.5))
    # by hand: straight up the nearest point is the middle of the upper edge, straight right that of
    # the right one; past a corner it is the corner, (0.5, 1, 0.25) / 1.1456
    assert off_frame_deg(view, [0.0, 0.0, 1.0]) == pytest.approx(90 - np.degrees(up))
    assert off_frame_deg(view, [1.0, 0.0, 0.0]) == pytest.approx(90 - np.degrees(right))
    past = np.array([2.0, 1.0, 1.0]) / np.sqrt(6.0)
    corner = np.array([0.5, 1.0, 0.25]) / np.sqrt(1.3125)
    assert off_frame_deg(view, past) == pytest.approx(np.degrees(np.arccos(past @ corner)))
    # straight behind the nearest points are the corners, 29.206 degrees off the axis
    assert off_frame_deg(view, [0.0, -1.0, 0.0]) == pytest.approx(180 - 29.205932)
    with pytest.raises(OutOfRange):
        off_frame_deg(view, [np.nan, 0.0, 1.0])
