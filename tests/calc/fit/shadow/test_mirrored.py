"""Images in flat mirrors: by hand, by the law of reflection, and each border on both sides."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scout.calc.fit.floor.blocks import Block
from scout.calc.fit.floor.space import Space
from scout.calc.fit.lens.camera import View
from scout.calc.fit.shadow.mirrored import Mirror, met_m, shown
from scout.calc.geometry import rectangle_m, walls

PLAN = rectangle_m(4.0, 5.0)
ROOM = Space(PLAN, 2.6)
WALL = walls(PLAN)[0]  # A: from (0, 5) to (4, 5), looking out along y
GLASS = Mirror(WALL, 0.5, 3.5, 0.8, 2.2)
LENS, LAMP = (2.0, 1.0, 1.4), (1.0, 2.0, 2.0)
FACE = (3.4, 3.0, 1.2)  # beside the way to the mirror
VIEW = View(LENS, (2.0, 5.0, 1.5), 24.9, 14.0, 18.0)
# by hand: 4 m and 3 m before the plane, so 4 of 7 of the way to the image at (1, 8, 2)
MEETS = (2.0 - 4.0 / 7.0, 5.0, 1.4 + 0.6 * 4.0 / 7.0)


def sees_lamp(
    mirror: Mirror = GLASS,
    view: View = VIEW,
    space: Space = ROOM,
    face: tuple[float, float, float] = FACE,
    thing: tuple[float, float, float] = LAMP,
) -> bool:
    return bool(shown(view, space, mirror, face, thing)[0])


def test_where_a_lamp_is_seen_by_hand() -> None:
    assert met_m(GLASS, LENS, LAMP)[0] == pytest.approx(MEETS)
    assert sees_lamp()
    # a lens sees itself at the foot of the perpendicular
    assert met_m(GLASS, LENS, LENS)[0] == pytest.approx((2.0, 5.0, 1.4))


def test_the_angle_in_is_the_angle_out() -> None:
    # property: the law of reflection, on every wall and for things all over a room
    rng = np.random.default_rng(5)
    for wall in walls(PLAN):
        mirror = Mirror(wall, 0.0, wall.length_m, 0.0, 2.6)
        lens = rng.uniform((0.1, 0.1, 0.1), (3.9, 4.9, 2.5))
        things = rng.uniform((0.1, 0.1, 0.1), (3.9, 4.9, 2.5), (50, 3))
        places = met_m(mirror, lens, things)
        out = np.append(wall.outward, 0.0)
        come, go = lens - places, things - places
        come, go = (way / np.linalg.norm(way, axis=1, keepdims=True) for way in (come, go))
        assert np.allclose(come @ out, go @ out)
        assert np.allclose(come - (come @ out)[:, None] * out, -(go - (go @ out)[:, None] * out))
        assert mirror.holds(places).all()  # a whole wall of a convex room shows all of it


@pytest.mark.parametrize("edge", ["left_m", "right_m", "low_m", "high_m"])
def test_the_edges_of_the_mirror(edge: str) -> None:
    # property: a millimetre decides; wall A runs along x from 0
    at = MEETS[0] if edge in ("left_m", "right_m") else MEETS[2]
    inwards = -1.0 if edge in ("left_m", "low_m") else 1.0
    assert sees_lamp(replace(GLASS, **{edge: at + 0.001 * inwards}))
    assert not sees_lamp(replace(GLASS, **{edge: at - 0.001 * inwards}))


def test_the_edge_of_the_frame() -> None:
    # by hand: level lens along y; the lamp's image is 4/7 m to the left 4 m ahead, so that the half
    # width of the frame over its focal length must be over 1/7: 24.9 / 2 x 7 = 87.15 mm
    for focal, seen in ((86.9, True), (87.4, False)):
        view = View(LENS, (2.0, 5.0, 1.4), 24.9, 24.9, focal)
        assert sees_lamp(view=view) is seen


def test_what_stands_between_hides_on_the_way_there_and_back() -> None:
    def piece(x: float, y: float, high: float) -> Space:
        ring = rectangle_m(0.2, 0.2) + np.array([x - 0.1, y - 0.1])
        return Space(PLAN, 2.6, blocks=(Block("shelf", ring, high),))

    # by hand: at y 4 the way there is 3/4 done, x 2 - 3/7, z 1.4 + .9/3.5 = 1.657; the way back is 1/3
    # done, x MEETS - .1429, z 1.743 + .0857 = 1.829
    there, back = 2.0 - 3.0 / 7.0, MEETS[0] - (MEETS[0] - 1.0) / 3.0
    for x, z in ((there, 1.657), (back, 1.829)):
        assert sees_lamp(space=piece(x, 4.0, z - 0.06))
        assert not sees_lamp(space=piece(x, 4.0, z + 0.06))
    assert sees_lamp(space=piece(3.0, 4.0, 2.5))


def test_the_person_hides_what_is_behind_them() -> None:
    # by hand: half way to the mirror the line stands at x 2 - 2/7, z 1.4 + .6 x 2/7 = 1.571: a face
    # there hides it, a shoulder (0.22 m wide, 0.25 m under the face) does when the face is above
    x, z = 2.0 - 2.0 / 7.0, 1.571
    assert not sees_lamp(face=(x, 3.0, z))
    assert not sees_lamp(face=(x + 0.18, 3.0, z + 0.26))
    assert sees_lamp(face=(x + 0.26, 3.0, z + 0.26))
    assert sees_lamp(face=(x, 3.0, z - 0.17))  # the top of the head is 0.15 m over the face
    assert not sees_lamp(face=(x, 3.0, z + 1.0))  # the body
    assert sees_lamp(face=(x, 5.2, z))  # nobody stands behind a wall, nor hides what is before them


def test_walls_hide_and_what_is_behind_the_mirror_has_no_image() -> None:
    # an L whose inner corner at (2, 3) stands between lens and mirror. By hand: from (x, 0.5) to the
    # image of (3.9, 3.2) at (3.9, 6.8) the line passes y 3 at x + (3.9 - x) x 2.5/6.3: 1.91 for 0.6,
    # 2.07 for 0.87
    plan = np.array([(0.0, 5.0), (4.0, 5.0), (4.0, 3.0), (2.0, 3.0), (2.0, 0.0), (0.0, 0.0)])
    mirror = Mirror(walls(plan)[0], 0.0, 4.0, 0.0, 2.6)
    for x, seen in ((0.60, True), (0.87, False)):
        view = View((x, 0.5, 1.4), (1.5, 5.0, 1.4), 24.9, 14.0, 12.0)
        found = sees_lamp(mirror, view, Space(plan, 2.6), (0.2, 3.0, 1.2), (3.9, 3.2, 1.8))
        assert found is seen
    # by hand: and the other way round, lens and lamp changed, the corner stands on the way back
    view = View((3.9, 3.2, 1.8), (2.9, 5.0, 1.6), 24.9, 14.0, 12.0)
    for x, seen in ((0.60, True), (0.87, False)):
        found = sees_lamp(mirror, view, Space(plan, 2.6), (0.2, 3.0, 1.2), (x, 0.5, 1.4))
        assert found is seen
    # a pillar of the wall: what stands behind the mirror's own plane is not before it
    assert not sees_lamp(thing=(1.0, 5.5, 2.0))
    assert np.isnan(met_m(GLASS, (1.0, 5.5, 2.0), LAMP)).all()
