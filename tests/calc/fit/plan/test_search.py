import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from scout.calc.fit.floor.space import Space, exit_zone_m
from scout.calc.fit.lens.camera import View, in_frame
from scout.calc.fit.plan.bounced import ceiling_bounce, wall_bounce
from scout.calc.fit.plan.planned import Placed, PlanLamp
from scout.calc.fit.plan.search import (
    Goal,
    NoSpot,
    Spot,
    back_goal,
    fill_distance_m,
    find_spot,
    key_goal,
)
from scout.calc.fit.plan.three_point import three_point
from scout.calc.fit.stand.lights import Lamp, Stage, highest_m
from scout.calc.fit.stand.standing import blocked
from scout.calc.geometry import distance_to_walls_m, inside, rectangle_m, walls
from scout.errors import OutOfRange
from tests.stand_shape import Scene, free, parts, seen

LAMP = Lamp(1.1, 2.6, 0.35)
SOFT = Lamp(1.1, 2.6, 0.35, 0.9)
SUBJECT, CAMERA = (2.5, 3.0, 1.2), (2.5, 0.8, 1.4)
ELL = np.array([(0.0, 6.0), (3.0, 6.0), (3.0, 3.0), (6.0, 3.0), (6.0, 0.0), (0.0, 0.0)])


def stage(focal: float | None = 85.0, ceiling_m: float | None = 2.7, face_m: float = 1.2) -> Stage:
    subject = (2.5, 3.0, face_m)
    views = () if focal is None else (View(CAMERA, subject, 24.9, 14.0, focal),)
    return Stage(Space(rectangle_m(5.0, 6.5), ceiling_m), subject, CAMERA, views)


@pytest.mark.parametrize(
    ("ceiling", "face", "high", "plan", "slant"),
    # by hand: h = min(2.6, ceiling - .10 - .175); at 45 degrees the plan distance is h - face, the
    # slant sqrt 2 of it.
    [
        (2.7, 1.2, 2.425, 1.225, 1.732),
        (2.7, 1.6, 2.425, 0.825, 1.167),
        (2.4, 1.6, 2.125, 0.525, 0.742),
        (2.3, 1.65, 2.025, 0.375, 0.530),
    ],
)
def test_how_high_and_how_far_a_key_can_be(
    ceiling: float, face: float, high: float, plan: float, slant: float
) -> None:
    here = stage(None, ceiling, face)
    assert highest_m(here.space, LAMP) == pytest.approx(high)
    rise = highest_m(here.space, LAMP) - face
    assert rise == pytest.approx(plan)
    assert key_goal(here, LAMP).distance_m == pytest.approx(slant, abs=0.001)


def test_the_key_of_a_seated_subject_stands_where_geometry_puts_it() -> None:
    # by hand: 1.225 m at 45 degrees right of the line to the camera: (2.5 + .866, 3.0 - .866), z
    # 2.425; left: (1.634, 2.134).
    for side, x in ((1, 3.366), (-1, 1.634)):
        spot = find_spot(stage(85.0), SOFT, key_goal(stage(85.0), SOFT), (side,))
        assert isinstance(spot, Spot)
        assert spot.at_m == pytest.approx((x, 2.134, 2.425), abs=0.001)
        assert (spot.fits, spot.against_ideal) == (True, ())


def test_a_light_that_falls_at_another_angle_than_45_stands_by_its_tangent() -> None:
    # by hand: 2.0 m off at 30 degrees is 1.732 m in plan and 1.0 m up: z 2.2 over a face of 1.2 m;
    # at 60 degrees 1.0 m in plan and 1.732 up, cut to the 2.425 m that stand and ceiling allow
    here = stage(None)
    spot = find_spot(here, LAMP, Goal(90.0, 10.0, 30.0, 10.0, distance_m=2.0), (1,))
    assert isinstance(spot, Spot)
    assert spot.at_m == pytest.approx((2.5 + 1.732, 3.0, 2.2), abs=0.001)
    assert (spot.down_deg, spot.off_down_deg) == (
        pytest.approx(30.0, abs=0.01),
        pytest.approx(0.0, abs=0.01),
    )
    steep = find_spot(here, LAMP, Goal(90.0, 10.0, 60.0, 20.0, distance_m=2.0), (1,))
    assert isinstance(steep, Spot)
    assert steep.at_m[2] == pytest.approx(2.425)
    assert steep.ideal_m[2] == pytest.approx(2.425)
    assert "ceiling" in steep.against_ideal


def test_fill_distance_for_a_ratio() -> None:
    # by hand: 1.732 sqrt 4 = 3.465 (from 1.7324), 1.7324 sqrt 2 = 2.450; a fill half as strong
    # comes nearer by sqrt 2.
    assert fill_distance_m(1.7324, 4) == pytest.approx(3.465, abs=0.001)
    assert fill_distance_m(1.7324, 2) == pytest.approx(2.450, abs=0.001)
    assert fill_distance_m(1.7324, 4, 0.5) == pytest.approx(2.450, abs=0.001)


def test_ideal_key_in_frame_is_moved_until_no_lens_sees_it() -> None:
    # by hand (camera test): the stand at (3.366, 2.134) is in frame at 24 mm, so the place found
    # must be another, and out of frame.
    here = stage(24.0)
    spot = find_spot(here, SOFT, key_goal(here, SOFT))
    assert isinstance(spot, Spot)
    assert "frame" in spot.against_ideal
    assert spot.fits
    for z in np.linspace(0, spot.at_m[2], 30):
        assert not in_frame(here.views[0], [*spot.at_m[:2], z], SOFT.radius_m)


def test_standing_under_a_low_ceiling_says_what_is_lost() -> None:
    # by hand: face 1.65 under 2.3 m: 14.0 degrees at 1.5 m; even at the 1.0 m the subject's circle
    # leaves, atan(.375 / 1.0) = 20.6 degrees.
    here = stage(85.0, 2.3, 1.65)
    spot = find_spot(here, LAMP, key_goal(here, LAMP))
    assert isinstance(spot, Spot)
    assert not spot.fits
    assert spot.down_deg == pytest.approx(20.6, abs=0.1)
    assert spot.off_down_deg == pytest.approx(-24.4, abs=0.1)
    assert "subject" in spot.against_ideal


def test_ceiling_under_the_stands_least_leaves_no_place() -> None:
    # by hand: 1.3 m of ceiling leaves 1.3 - .10 - .175 = 1.025 m, the stand starts at 1.1 m.
    here = Stage(Space(rectangle_m(5.0, 6.5), 1.3), (2.5, 3.0, 0.9), CAMERA, ())
    assert find_spot(here, LAMP, key_goal(here, LAMP)) == NoSpot("ceiling")


def test_a_cupboard_leaves_no_floor() -> None:
    # by hand: in 1.2 x 1.2 m a stand's circle and a person's circle, 0.5 m each, are never apart.
    here = Stage(Space(rectangle_m(1.2, 1.2), 2.7), (0.6, 0.9, 1.2), (0.6, 0.2, 1.4), ())
    assert find_spot(here, LAMP, key_goal(here, LAMP)) == NoSpot("floor")


def test_subject_outside_the_room_is_refused_by_name() -> None:
    with pytest.raises(OutOfRange, match="subject_m"):
        Stage(Space(rectangle_m(5.0, 6.5), 2.7), (7.0, 3.0, 1.2), CAMERA, ())
    with pytest.raises(OutOfRange, match="subject_m"):
        Stage(Space(ELL, 2.7), (5.0, 5.0, 1.2), (1.0, 1.0, 1.4), ())
    with pytest.raises(OutOfRange, match="camera_m"):
        Stage(Space(rectangle_m(5.0, 6.5), 2.7), SUBJECT, (2.5, 3.0, 2.0), ())
    with pytest.raises(OutOfRange, match="stand_max_m"):
        Lamp(2.0, 1.0, 0.3)


def test_the_whole_plan_of_the_parlour() -> None:
    # by hand: with the 85 mm alone the key is the ideal one, 9000 / 3.0006 = 2999 lx; the fill is
    # to give 2999 / 4 = 750 lx.
    lamp = PlanLamp(SOFT, 9000.0)
    plan = three_point(stage(85.0), lamp, lamp, lamp, 4.0)
    assert plan.key.lux == pytest.approx(2999, abs=2)
    assert plan.fill is not None
    assert plan.back is not None
    assert plan.fill.wanted_lux == pytest.approx(2999 / 4, abs=1)
    for placed in (plan.key, plan.fill, plan.back):
        assert isinstance(placed.spot, Spot)
        assert placed.spot.fits
    # property: key and fill on opposite sides, fill at lens height, back behind the subject and
    # above the face.
    assert isinstance(plan.key.spot, Spot)
    assert isinstance(plan.fill.spot, Spot)
    assert isinstance(plan.back.spot, Spot)
    assert np.sign(plan.key.spot.across_deg) == -np.sign(plan.fill.spot.across_deg)
    assert plan.fill.spot.at_m[2] == pytest.approx(CAMERA[2])
    assert abs(plan.back.spot.across_deg) >= 120
    assert plan.back.spot.at_m[2] > SUBJECT[2]


def test_pinned_lights_stay_and_are_judged() -> None:
    # by hand: (2.5, 4.0) is on the camera's axis behind the subject: in frame; 1.0 m from it, so
    # just clear of the subject's circle.
    pinned = PlanLamp(LAMP, 5000.0, (2.5, 4.0, 2.2))
    plan = three_point(stage(50.0), PlanLamp(LAMP, 9000.0), None, pinned, 4.0)
    assert plan.back is not None
    assert isinstance(plan.back.spot, Spot)
    assert plan.back.spot.at_m == (2.5, 4.0, 2.2)
    assert plan.back.reasons == ("frame",)
    assert not plan.back.spot.fits
    assert plan.back.lux == pytest.approx(5000 / 2.0)  # by hand: 1^2 + 1^2


def test_bounce_off_the_ceiling_comes_down_at_45() -> None:
    # by hand: ceiling 1.5 m over the face: the patch 1.5 m off in plan is 45 degrees up.
    here = stage(85.0)
    bounce = ceiling_bounce(here, SOFT, 1)
    assert bounce is not None
    assert isinstance(bounce.spot, Spot)
    assert bounce.aim_m[2] == 2.7
    assert math.hypot(bounce.aim_m[0] - 2.5, bounce.aim_m[1] - 3.0) == pytest.approx(1.5, abs=0.05)
    assert bounce.spot.at_m[2] <= 2.7 - 0.8 + 1e-9
    # property: no ceiling, no bounce off it.
    assert ceiling_bounce(stage(85.0, None), SOFT, 1) is None


def test_bounce_off_a_wall_points_at_that_wall() -> None:
    here = stage(85.0)
    bounce = wall_bounce(here, LAMP, 1)
    assert bounce is not None
    wall = next(wall for wall in walls(here.space.plan_m) if wall.letter == bounce.surface)
    # property: the aim lies on the wall it names, under the ceiling.
    assert abs(float((np.array(bounce.aim_m[:2]) - wall.start_m) @ wall.outward)) < 1e-6
    assert 0 < bounce.aim_m[2] < 2.7


# -- against brute force and properties
# -------------------------------------------------------------------------------
def brute_force_cost(here: Stage, lamp: Lamp, goal: Goal, side: int) -> float | None:
    """The least cost over a square grid of places, worked out afresh from the definition of the
    key's goal.
    """
    best: float | None = None
    low, high = here.space.plan_m.min(axis=0), here.space.plan_m.max(axis=0)
    top = highest_m(here.space, lamp)
    for x in np.arange(low[0], high[0], 0.1):
        for y in np.arange(low[1], high[1], 0.1):
            away = math.hypot(x - here.subject_m[0], y - here.subject_m[1])
            z = min(max(here.subject_m[2] + away, lamp.stand_min_m), top)
            point = np.array([x, y, z])
            across = float(here.across_deg(point))
            if across * side <= 0 or any(
                bool(reason) for reason in blocked(here, lamp, point, here.views[0]).values()
            ):
                continue
            down = math.degrees(math.atan2(z - here.subject_m[2], away))
            slant = math.dist(point, here.subject_m)
            assert goal.distance_m is not None
            cost = (
                (abs(across) - 45) ** 2
                + (down - 45) ** 2
                + (2.0 * 2.0 * math.log2(slant / goal.distance_m)) ** 2
            )
            best = cost if best is None else min(best, cost)
    return best


@pytest.mark.parametrize(
    ("plan", "subject", "camera"),
    [
        (rectangle_m(3.6, 4.2), (1.8, 2.6, 1.3), (1.8, 0.7, 1.4)),
        (ELL, (2.0, 3.2, 1.25), (2.4, 1.0, 1.4)),
        (rectangle_m(3.0, 3.4), (1.2, 2.2, 1.6), (1.6, 0.6, 1.5)),
    ],
)
def test_no_place_of_a_grid_beats_the_one_found(
    plan: np.ndarray, subject: tuple[float, float, float], camera: tuple[float, float, float]
) -> None:
    # property: an honest search is not beaten by trying every 10 cm, but for the grain of its own
    # steps (3 degrees, 10 cm).
    here = Stage(Space(plan, 2.5), subject, camera, (View(camera, subject, 24.9, 14.0, 50),))
    goal = key_goal(here, LAMP)
    for side in (1, -1):
        best = brute_force_cost(here, LAMP, goal, side)
        found = find_spot(here, LAMP, goal, (side,))
        if best is None:
            assert isinstance(found, NoSpot)
        else:
            assert isinstance(found, Spot)
            if found.near:
                assert found.cost <= best + 2.0 * math.sqrt(best) + 1.0


@settings(max_examples=15, deadline=None)
# a leg that cuts a corner of the door's floor between its ends
@example(
    width=3.0,
    length=3.0,
    notch=0.0,
    ceiling=None,
    sx=0.5,
    sy=0.5,
    cx=0.5,
    cy=0.25,
    face=1.0,
    focal=18.0,
    door=0.0,
    soft=0.0,
    ratio=2.0,
)
# a soft source whose edge all but touches a wall
@example(
    width=3.0,
    length=3.0,
    notch=0.0,
    ceiling=None,
    sx=0.5,
    sy=0.75,
    cx=0.5,
    cy=0.25,
    face=1.0,
    focal=18.0,
    door=0.0,
    soft=1.5,
    ratio=2.0,
)
# a wall's corner that reaches into a soft source's disc between two points of its edge
@example(
    width=3.0,
    length=3.0,
    notch=0.5,
    ceiling=None,
    sx=0.25,
    sy=0.25,
    cx=0.5,
    cy=0.25,
    face=1.0,
    focal=18.0,
    door=0.0,
    soft=0.9,
    ratio=2.0,
)
@given(
    width=st.floats(2.2, 9.0),
    length=st.floats(2.2, 9.0),
    notch=st.floats(0.0, 0.6),
    ceiling=st.one_of(st.none(), st.floats(2.0, 4.0)),
    sx=st.floats(0.1, 0.9),
    sy=st.floats(0.1, 0.9),
    cx=st.floats(0.1, 0.9),
    cy=st.floats(0.1, 0.9),
    face=st.floats(1.0, 1.8),
    focal=st.sampled_from([18.0, 24.0, 35.0, 50.0, 85.0]),
    door=st.floats(0.0, 0.7),
    soft=st.sampled_from([0.0, 0.9, 1.5]),
    ratio=st.sampled_from([2.0, 4.0, 8.0]),
)
def test_no_stand_in_frame_in_a_wall_or_in_an_exit_when_it_fits(
    width: float,
    length: float,
    notch: float,
    ceiling: float | None,
    sx: float,
    sy: float,
    cx: float,
    cy: float,
    face: float,
    focal: float,
    door: float,
    soft: float,
    ratio: float,
) -> None:
    # property: what is said to fit stands on the floor, under the ceiling, out of frame, off the
    # exit, clear of people and of other stands,
    # near its angle; and the fill's own light, dimmed as told, is the key's over the ratio.
    plan = rectangle_m(width, length)
    if notch > 0.05:
        inner_x, inner_y = width * (1 - notch), length * (1 - notch)
        plan = np.array(
            [
                (0, length),
                (inner_x, length),
                (inner_x, inner_y),
                (width, inner_y),
                (width, 0),
                (0, 0),
            ]
        )
    subject, camera = (sx * width, sy * length, face), (cx * width, cy * length, 1.4)
    assume(
        bool(inside(plan, np.array([subject[:2], camera[:2]])).all())
        and math.dist(subject[:2], camera[:2]) > 0.6
    )
    wall = walls(plan)[-1]
    zone = exit_zone_m(wall.start_m, wall.along, wall.outward, door * (wall.length_m - 0.8), 0.8)
    view = View(camera, subject, 24.9, 14.0, focal)
    here = Stage(Space(plan, ceiling, (zone,)), subject, camera, (view,))
    lamp = PlanLamp(Lamp(1.1, 2.6, 0.35, soft), 6000.0)
    found = three_point(here, lamp, lamp, lamp, ratio)
    stands: list[Spot] = []
    for placed in (found.key, found.fill, found.back):
        assert placed is not None
        if isinstance(placed.spot, NoSpot):
            continue
        spot = placed.spot
        stands.append(spot)
        at = np.array(spot.at_m)
        assert bool(inside(plan, at[:2]))
        if ceiling is not None:
            assert at[2] + 0.35 / 2 + 0.10 <= ceiling + 1e-9
        assert 1.1 - 1e-9 <= at[2] <= 2.6 + 1e-9
        if found.by_shape:  # with its legs in one turn or another
            turns = np.radians(np.arange(0.0, 120.0, 2.0))
            scene = Scene(plan, ceiling or 9.0, (zone,), subject, camera, (24.9, 14.0, focal))
            many = np.repeat(at[None, :], len(turns), axis=0)
            floor = free(replace(scene, frame=None), many, turns, 0.34, soft)
            assert bool(floor.any())
            _, pole, head = parts(many[:1], turns[:1], np.array(subject), 0.34, soft)
            assert not bool(seen(scene, np.concatenate([pole, head], axis=1)).any())
            continue
        assert float(distance_to_walls_m(plan, at[:2])) >= 0.5 - 1e-6
        # the exit's floor, sampled
        across, deep = (
            np.linspace(zone[:, axis].min(), zone[:, axis].max(), 15) for axis in (0, 1)
        )
        grid = np.stack(np.meshgrid(across, deep), axis=-1).reshape(-1, 2)
        assert float(np.min(np.linalg.norm(grid - at[:2], axis=1))) >= 0.5 - 1e-6
        assert math.dist(at[:2], subject[:2]) >= 1.0 - 1e-6
        assert math.dist(at[:2], camera[:2]) >= 1.0 - 1e-6
        # its stand from foot to head, sampled: out of the frame of the one lens, whether its angles
        # are near or not
        column = np.stack(
            [np.full(25, at[0]), np.full(25, at[1]), np.linspace(0, at[2], 25)], axis=-1
        )
        assert not bool(in_frame(view, column, lamp.lamp.radius_m).any())
    for i, one in enumerate(stands if not found.by_shape else ()):
        for other in stands[:i]:
            assert math.dist(one.at_m[:2], other.at_m[:2]) >= 2 * lamp.lamp.radius_m - 1e-6
    if isinstance(found.key.spot, Spot) and found.key.spot.fits:
        assert abs(abs(found.key.spot.across_deg) - 45) <= 15 + 1e-6
        assert abs(found.key.spot.down_deg - 45) <= 15 + 1e-6
    _check_ratio(found.key, found.fill, ratio)


def _check_ratio(key: Placed, fill: Placed | None, ratio: float) -> None:
    if (
        fill is None
        or key.lux is None
        or fill.lux is None
        or fill.dim_stops is None
        or fill.short_stops is None
    ):
        return
    reached = key.lux / (fill.lux * 2.0**-fill.dim_stops)
    assert abs(math.log2(reached / ratio) - fill.short_stops) <= 0.1


def test_a_longer_kit_of_lenses_only_widens_the_choice() -> None:
    # property: adding longer lenses to the widest changes nothing that fits with it.
    one = find_spot(stage(24.0), SOFT, key_goal(stage(24.0), SOFT), (1,))
    many = stage(24.0)
    many = Stage(
        many.space,
        many.subject_m,
        many.camera_m,
        tuple(View(CAMERA, SUBJECT, 24.9, 14.0, f) for f in (24, 35, 50, 85)),
    )
    assert find_spot(many, SOFT, key_goal(many, SOFT), (1,)) == one
    back = find_spot(many, SOFT, back_goal(many, SOFT))
    assert isinstance(back, Spot)
    # by hand: at 24 mm nothing within 60 degrees of straight behind is out of frame in 5 m of
    # width, at 35 mm it is.
    assert (back.fits, back.near, back.clear_from_mm) == (False, True, 35)


def test_a_back_light_is_never_put_before_the_subject() -> None:
    # property: in the narrow arm of an L with a wide lens there is no place behind; one before the
    # subject would be no back light.
    camera, subject = (1.5, 1.2, 1.4), (1.5, 4.0, 1.2)
    here = Stage(
        Space(ELL, 2.7),
        subject,
        camera,
        tuple(View(camera, subject, 24.9, 14.0, f) for f in (24, 35, 50, 85)),
    )
    found = find_spot(here, SOFT, back_goal(here, SOFT))
    assert isinstance(found, NoSpot) or abs(found.across_deg) >= 90.0


def test_no_free_side_is_told_apart_from_no_floor() -> None:
    # by hand: a subject 0.3 m before the back wall of a room 2 m wide: behind it (0.3 m) no stand
    # fits, before it one does.
    here = Stage(Space(rectangle_m(2.0, 6.0), 2.7), (1.0, 5.7, 1.2), (1.0, 1.0, 1.4), ())
    assert find_spot(here, LAMP, back_goal(here, LAMP)) == NoSpot("side")
