"""Shadows as outlines: where they fall, who sees them, and the boom's."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scout.calc.fit.floor.space import Space, distance_to_line_m, distance_to_zone_m
from scout.calc.fit.lens.camera import View, in_frame
from scout.calc.fit.plan.besides import HARD_IN_SHOT, besides, head_in_shot
from scout.calc.fit.shadow.boom import Boom, boom_from, cuts_face, lenses_that_see, shadow_seen
from scout.calc.fit.shadow.cast import casts, core_reaches, landing_points, lens_sees, upright_m
from scout.calc.fit.stand.lights import Lamp, Stage
from scout.calc.geometry import FloatArray, rectangle_m

ROOM = Space(rectangle_m(5.0, 4.0), 2.7)


def test_the_top_of_a_head_lands_where_the_line_through_it_does() -> None:
    # by hand: from the light (3.5, 2.0, 2.425) to the top of the head (2.5, 3.0, 1.75) it is
    # (-1, 1, -0.675), and as far again reaches the wall y = 4: (1.5, 4, 1.075)
    light, top = np.array([3.5, 2.0, 2.425]), np.array([2.5, 3.0, 1.75])
    shape = top + np.array([(0.0, 0.0, 0.0), (0.1, 0.0, -0.2), (-0.1, 0.0, -0.2)])
    found = {cast.surface: cast for cast in casts(ROOM, light, shape)}
    assert set(found) == {"A"}
    assert float(np.min(np.linalg.norm(found["A"].polygon_m - [1.5, 4.0, 1.075], axis=1))) < 1e-6
    places, beyond, falls = landing_points(ROOM, light[None, :], top[None, None, :])
    assert places[0, 0] == pytest.approx([1.5, 4.0, 1.075])
    assert falls.tolist() == [[True]]
    # by hand: the light is 1.567 m from the head, and the head as far from the wall
    assert beyond[0, 0] == pytest.approx(1.567, abs=0.001)


def test_a_seated_head_far_from_the_wall_shadows_the_floor_alone() -> None:
    # by hand: from the light (3.366, 2.134, 2.425) to a seated head of 1.35 m the line falls 1.075
    # m, so it is on the floor after 2.425 / 1.075 = 2.256 of that, at y 2.134 + 2.256 x .866 = 4.09
    # and short of the wall y = 6.5
    deep = Space(rectangle_m(5.0, 6.5), 2.7)
    light = np.array([3.366, 2.134, 2.425])
    found = casts(deep, light, upright_m(light, [2.5, 3.0, 1.2]))
    assert [cast.surface for cast in found] == ["floor"]
    assert np.all(found[0].polygon_m[:, 2] == 0)
    _, _, falls = landing_points(deep, light[None, :], np.array([[[2.5, 3.0, 1.35]]]))
    assert falls.tolist() == [[False]]


def test_a_shadow_over_two_walls_is_cut_at_the_corner_and_at_the_ceiling() -> None:
    # property: every corner of every outline lies on its surface and in the room; from below, a
    # head's shadow climbs to the ceiling.
    light = np.array([1.0, 2.0, 0.3])
    found = casts(ROOM, light, upright_m(light, [4.2, 3.4, 1.6]))
    assert {cast.surface for cast in found} >= {"A", "B"}
    for cast in found:
        x, y, z = cast.polygon_m.T
        assert np.all(
            (x > -1e-6)
            & (x < 5 + 1e-6)
            & (y > -1e-6)
            & (y < 4 + 1e-6)
            & (z > -1e-6)
            & (z < 2.7 + 1e-6)
        )
        edge = {"A": y - 4.0, "B": x - 5.0, "ceiling": z - 2.7, "floor": z}[cast.surface]
        assert np.allclose(edge, 0.0, atol=1e-6)


def test_on_a_floor_that_is_not_convex_nothing_lies_outside() -> None:
    ell = Space(
        np.array([(0.0, 6.0), (3.0, 6.0), (3.0, 3.0), (6.0, 3.0), (6.0, 0.0), (0.0, 0.0)]), 3.0
    )
    light = np.array([1.0, 1.0, 2.6])
    found = {
        cast.surface: cast.polygon_m
        for cast in casts(ell, light, upright_m(light, [2.4, 2.4, 1.2]))
    }
    floor = found["floor"]
    assert not np.any((floor[:, 0] > 3 + 1e-6) & (floor[:, 1] > 3 + 1e-6))
    assert (
        casts(
            Space(rectangle_m(4, 4), None),
            light,
            upright_m(light, [2.4, 2.4, 1.2]),
            has_walls=False,
        )[0].surface
        == "floor"
    )


def test_the_lens_sees_a_wall_it_points_at_and_no_other() -> None:
    view = View((2.5, 0.5, 1.4), (2.5, 3.0, 1.4), 24.9, 14.0, 35.0)
    # by hand: 35 mm on 24.9 mm sees 0.356 to a side per metre: at the wall 3.5 m off from x 1.25 to
    # 3.75, and 0.7 m up and down
    on_wall = np.array([(2.0, 4.0, 1.2), (2.4, 4.0, 1.2), (2.2, 4.0, 1.6)])
    assert lens_sees(ROOM, view, on_wall)
    assert not lens_sees(ROOM, view, on_wall + np.array([2.0, 0.0, 0.0]))
    assert lens_sees(ROOM, view, on_wall + np.array([1.7, 0.0, 0.0]))  # its left corner at 3.70
    assert not lens_sees(ROOM, view, on_wall * [1.0, 0.0, 1.0])  # behind the camera


def test_a_core_ends_where_similar_triangles_say() -> None:
    # by hand, similar triangles: .9 m source, head .18 m wide, a = 1.567 m: the full shadow ends
    # at .18 x 1.567 / .72 = 0.39 m
    assert core_reaches(0.18, 0.9, 1.567, np.array([0.38, 0.40])).tolist() == [True, False]
    # common practice: from 1.5 m off the wall no hard edge, whatever the source
    assert core_reaches(0.18, 0.0, 1.0, np.array([1.4, 1.6])).tolist() == [True, False]


def stage(space: Space, focal: float = 24.0) -> Stage:
    camera, subject = (2.5, 0.6, 1.4), (2.5, 3.4, 1.2)
    return Stage(space, subject, camera, (View(camera, subject, 24.9, 14.0, focal),))


def test_a_place_that_throws_the_head_into_shot_costs_more() -> None:
    # by hand: 0.6 m before wall A, seen with 24 mm: a hard key from camera height throws the head
    # straight onto the wall in frame; from high at the
    # side, 2.5 m up and 1.2 m off, its line falls 1.15 m over 1.4 m: at the wall, 0.85 m on, it is
    # near 0.5 m up, out of a frame that ends at 0.5 m
    here = stage(ROOM)
    low, high = np.array([2.5, 1.0, 1.5]), np.array([3.7, 2.7, 2.6])
    hard, seen = head_in_shot(here, Lamp(1.0, 2.6, 0.3), np.stack([low, high]))
    assert hard[0] == 1.0
    assert seen[0] == 1.0
    cost = besides(here, Lamp(1.0, 2.6, 0.3), None)(np.stack([low, high]))
    assert cost[0] == pytest.approx(HARD_IN_SHOT)
    assert cost[1] < cost[0] or hard[1] == 1.0
    # property: without walls, or with a lens that sees next to nothing, nothing is paid
    assert besides(here, Lamp(1.0, 2.6, 0.3), None, has_walls=False)(np.stack([low]))[0] == 0.0


def test_the_boom_cuts_the_light_that_comes_through_it() -> None:
    here = stage(ROOM, 85.0)
    boom = boom_from(here, 0.7, 1)
    # by hand: 60 degrees up: 0.35 m towards the camera and 0.606 m up, so at (2.5, 3.05, 1.806)
    assert boom.mic_m == pytest.approx((2.5, 3.05, 1.806), abs=0.001)
    assert boom.end_m[0] == pytest.approx(
        4.5
    )  # picture right is +x for a camera that looks up the page
    behind_mic = np.array(here.subject_m) + 3.0 * (np.array(boom.mic_m) - np.array(here.subject_m))
    assert cuts_face(
        boom, np.array([behind_mic, [1.0, 2.0, 2.4], [2.5, 0.7, 1.2]]), here.subject_m
    ).tolist() == [True, False, False]
    # property: from the other side the pole mirrors
    other = boom_from(here, 0.7, -1)
    assert other.mic_m == pytest.approx(boom.mic_m)
    assert other.end_m[0] == pytest.approx(0.5)
    assert (
        lenses_that_see(here, boom) == ()
    )  # by hand: 85 mm, 2.8 m off: half a frame of 0.23 m at the face, and it hangs 0.6 m up
    assert lenses_that_see(stage(ROOM, 10.0), boom) == (10.0,)


def test_whoever_holds_the_boom_has_floor() -> None:
    # property: in the room, off the camera, out of the frame; by hand: a room 3 m wide leaves 1.25 m
    # to a person of 0.5 m beside the subject, so the pole is short or slants
    narrow = stage(Space(np.add(rectangle_m(3.0, 6.5), (1.0, 0.0)), 2.7), 50.0)
    for side in (1, -1):
        boom = boom_from(narrow, 0.7, side)
        assert boom.held
        assert 1.25 <= boom.end_m[0] <= 3.75
        assert (boom.end_m[0] - 2.5) * side > 0
        body = [[*boom.end_m[:2], high] for high in np.arange(0.3, 1.8, 0.1)]
        assert not np.any(in_frame(narrow.views[0], np.array(body), 0.25))
    closet = stage(Space(np.add(rectangle_m(1.2, 6.5), (1.9, 0.0)), 2.7), 16.0)
    assert not boom_from(closet, 0.7, 1).held  # by hand: 0.6 m to each wall, all of it in frame


def test_whoever_holds_the_boom_leaves_doors_to_swing_and_heads_alone() -> None:
    # by hand: the best pole from picture right ends at (4.5, 3.05)
    here = stage(ROOM, 85.0)
    swing = np.array([[5.0, 2.6], [5.0, 3.5], [4.1, 3.5], [4.1, 2.6]])

    def before(*zones: FloatArray) -> Boom:
        return boom_from(replace(here, space=replace(here.space, exits_m=zones)), 0.7, 1)

    boom = before(swing)
    assert boom.clear
    assert distance_to_zone_m(swing, boom.end_m[:2]) >= 0.25
    boom = boom_from(here.with_stand((3.6, 3.05, 1.2), 0.3), 0.7, 1)
    assert boom.clear
    assert distance_to_line_m((boom.mic_m, boom.end_m), (3.6, 3.05)) >= 0.3
    # property: a door that leaves no other floor is told, and a boom is held all the same
    boom = before(rectangle_m(5.0, 4.0))
    assert (boom.held, boom.clear) == (True, False)
    assert boom.end_m == before().end_m


def test_a_soft_source_loses_the_booms_shadow() -> None:
    # by hand: the microphone is 0.06 m thick; from 1 m off a source of 0.9 m leaves it a core of
    # 0.06 / 0.84 = 7 cm, from a point it goes on
    here = stage(ROOM, 12.0)
    boom = boom_from(here, 0.7, 1)
    light = np.array([[2.5, 1.5, 2.0]])
    assert shadow_seen(here, boom, light, 0.0)[0] == 1.0
    assert shadow_seen(here, boom, light, 0.9)[0] == 0.0
    assert (
        shadow_seen(here, boom, light, 0.0, has_walls=False)[0] == 0.0
        or here.space.ceiling_m is not None
    )
