"""A light bounced off ceiling or wall: where it stands, where it points, and where it cannot."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.fit.floor.space import Space
from scout.calc.fit.plan.bounced import LEAST_THROW_M, ceiling_bounce, wall_bounce
from scout.calc.fit.plan.search import NoSpot, Spot
from scout.calc.fit.stand.lights import Lamp, Stage
from scout.calc.geometry import rectangle_m

LAMP = Lamp(1.1, 2.6, 0.3)
SUBJECT, CAMERA = (2.5, 4.0, 1.2), (2.5, 1.0, 1.4)


def stage(wide: float = 5.0, ceiling_m: float | None = 2.7) -> Stage:
    subject, camera = (wide / 2.0, 4.0, 1.2), (wide / 2.0, 1.0, 1.4)
    return Stage(Space(rectangle_m(wide, 6.5), ceiling_m), subject, camera, ())


@pytest.mark.parametrize("side", [1, -1])
def test_the_ceiling_is_lit_where_it_comes_down_at_45_degrees(side: int) -> None:
    """By hand: the ceiling is 1.5 m over the face, so the lit patch lies 1.5 m off it in plan."""
    found = ceiling_bounce(stage(), LAMP, side)
    assert found is not None
    assert found.surface == "ceiling"
    assert isinstance(found.spot, Spot)
    aim = np.array(found.aim_m)
    assert aim[2] == pytest.approx(2.7)
    off = aim[:2] - np.array(SUBJECT[:2])
    # to the right of somebody who looks from the camera is x beyond the subject
    assert np.sign(off[0]) == side
    assert np.hypot(*off) == pytest.approx(1.5, abs=0.5)
    assert found.spot.at_m[2] <= 2.7 - LEAST_THROW_M + 1e-6


@pytest.mark.parametrize(
    ("ceiling_m", "least_m", "bounces"),
    # by hand: 0.8 m of throw under the ceiling
    [
        (2.7, 1.9, True),
        (2.7, 1.91, False),
        (None, 1.1, False),
        (3.41, 2.6, True),
        (3.39, 2.6, False),
    ],
)
def test_a_ceiling_wants_its_throw(ceiling_m: float | None, least_m: float, bounces: bool) -> None:
    found = ceiling_bounce(stage(ceiling_m=ceiling_m), Lamp(least_m, 2.6, 0.05), 1)
    assert (found is not None) == bounces


@pytest.mark.parametrize(("side", "letter", "x"), [(1, "B", 5.0), (-1, "D", 0.0)])
def test_a_wall_is_lit_on_the_key_s_side(side: int, letter: str, x: float) -> None:
    """By hand: wall B is the right one, D the left; the patch lies on it, a third of the throw over
    the head, 0.3 m under the ceiling at most.
    """
    found = wall_bounce(stage(), LAMP, side)
    assert found is not None
    assert isinstance(found.spot, Spot)
    assert found.surface == letter
    assert found.aim_m[0] == pytest.approx(x, abs=1e-6)
    throw = float(np.hypot(*(np.array(found.aim_m[:2]) - np.array(found.spot.at_m[:2]))))
    assert throw >= LEAST_THROW_M - 0.1
    high = min(found.spot.at_m[2] + 0.3 * throw, 2.4)
    assert found.aim_m[2] == pytest.approx(high)
    # the light stands between subject and wall
    assert 2.5 < side * (found.spot.at_m[0] - 2.5) + 2.5 < 5.0


def test_under_open_sky_a_wall_is_lit_a_little_over_the_head() -> None:
    found = wall_bounce(stage(ceiling_m=None), LAMP, 1)
    assert found is not None
    assert isinstance(found.spot, Spot)
    assert found.aim_m[2] == pytest.approx(found.spot.at_m[2])


@pytest.mark.parametrize(("wide", "bounces"), [(3.0, False), (3.4, True)])
def test_a_wall_wants_its_throw(wide: float, bounces: bool) -> None:
    """By hand: 60 degrees round, half the width over sin 60 to the wall, less 0.8 m of throw, leaves
    the light half a metre and its foot's half of 0.5 m: (1.3 + 0.5) sin 60 x 2 = 3.12 m at least.
    """
    found = wall_bounce(stage(wide), Lamp(1.1, 2.6, 0.3), 1)
    assert (found is not None) == bounces


def test_a_stand_that_is_too_high_for_the_room_bounces_nowhere() -> None:
    assert wall_bounce(stage(ceiling_m=2.0), Lamp(1.9, 2.6, 0.3), 1) is None
    low = ceiling_bounce(stage(), LAMP, 1)
    assert low is not None
    assert not isinstance(low.spot, NoSpot)
