"""Places scattered for a stand by its shape: where they may lie, and that they reach the ends."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scout.calc.fit.floor.space import Space
from scout.calc.fit.lens.camera import View
from scout.calc.fit.plan.scatter import (
    ANYWHERE,
    ASKED_AT_ONCE,
    ENOUGH,
    NEAR_GOAL,
    _halton,
    _scattered,
    free_by_shape,
)
from scout.calc.fit.plan.search import Goal
from scout.calc.fit.stand.lights import Lamp, Stage
from scout.calc.fit.stand.standing import may_stand
from scout.calc.geometry import rectangle_m

LAMP = Lamp(1.1, 2.3, 0.35)
SUBJECT, CAMERA = (4.0, 5.0, 1.2), (4.0, 1.0, 1.4)
KEY = Goal(45.0, 15.0, 45.0, 20.0, distance_m=1.7, across_furthest_off_deg=45.0)
FILL = Goal(45.0, 35.0, None, height_m=1.4, height_most_off_m=0.2, across_furthest_off_deg=45.0)


def stage(wide: float = 8.0, long: float = 9.0, views: tuple[View, ...] = ()) -> Stage:
    return Stage(Space(rectangle_m(wide, long), 2.7), SUBJECT, CAMERA, views, by_shape=True)


def angles(places: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Across (to the right of somebody who looks at the subject from the camera) and down in degrees,
    metres off in plan; u runs from the subject to the camera, straight down in y.
    """
    off = places - np.array(SUBJECT)
    away = np.hypot(off[:, 0], off[:, 1])
    return (
        np.degrees(np.arctan2(off[:, 0], -off[:, 1])),
        np.degrees(np.arctan2(off[:, 2], away)),
        away,
    )


@pytest.mark.parametrize("side", [1, -1])
def test_near_its_goal_round_and_down(side: int) -> None:
    """By hand: 30 to 60 degrees round, 25 to 65 down, from 1.1 to 2.3 m, at least half a metre off.
    The ends are reached: they are sown densest.
    """
    places = _scattered(stage(), LAMP, KEY, side, near=True)
    across, down, away = angles(places)
    across *= side
    assert across.min() == pytest.approx(30.0, abs=0.05)
    assert across.max() == pytest.approx(60.0, abs=0.05)
    assert np.median(across) == pytest.approx(45.0, abs=0.6)
    assert down.min() == pytest.approx(25.0, abs=0.1)
    # by hand: 1.1 m over half a metre is 65.6 degrees: no place of those is too near
    assert down.max() == pytest.approx(65.0, abs=0.3)
    assert places[:, 2].max() == pytest.approx(2.3, abs=1e-3)
    assert away.min() >= 0.5
    assert len(places) <= NEAR_GOAL


@pytest.mark.parametrize("side", [1, -1])
def test_near_a_height(side: int) -> None:
    """By hand: 10 to 80 degrees, 1.2 to 1.6 m high, from half a metre to the farthest corner: from
    (4, 5) to (0, 0) it is 6.403 m.
    """
    places = _scattered(stage(), LAMP, FILL, side, near=True)
    across, _, away = angles(places)
    across *= side
    assert (across.min(), across.max()) == pytest.approx((10.0, 80.0), abs=0.1)
    assert (places[:, 2].min(), places[:, 2].max()) == pytest.approx((1.2, 1.6), abs=1e-3)
    assert (away.min(), away.max()) == pytest.approx((0.5, 6.403), abs=2e-3)
    assert len(places) == NEAR_GOAL


@pytest.mark.parametrize(
    ("height_m", "low", "high"),
    # by hand: 0.2 m round it, cut to what the stand can do
    [(1.15, 1.1, 1.35), (2.25, 2.05, 2.3), (0.5, 1.1, 1.1), (4.0, 2.3, 2.3)],
)
def test_a_height_is_cut_to_what_the_stand_can_do(height_m: float, low: float, high: float) -> None:
    places = _scattered(stage(), LAMP, replace(FILL, height_m=height_m), 1, near=True)
    assert (places[:, 2].min(), places[:, 2].max()) == pytest.approx((low, high), abs=1e-3)


@pytest.mark.parametrize("goal", [KEY, FILL])
def test_anywhere_is_wider(goal: Goal) -> None:
    """By hand: 0 to 90 degrees round, at every height, up to the farthest corner."""
    places = _scattered(stage(), LAMP, goal, 1, near=False)
    across, _, away = angles(places)
    assert len(places) == ANYWHERE
    assert (across.min(), across.max()) == pytest.approx((0.0, 90.0), abs=0.2)
    assert (places[:, 2].min(), places[:, 2].max()) == pytest.approx((1.1, 2.3), abs=2e-3)
    assert (away.min(), away.max()) == pytest.approx((0.5, 6.403), abs=5e-3)


def test_no_further_round_than_behind_and_no_further_off_than_twelve_metres() -> None:
    back = Goal(180.0, 60.0, 45.0, 20.0, across_furthest_off_deg=90.0)
    across, _, _ = angles(_scattered(stage(), LAMP, back, 1, near=True))
    assert (across.min(), across.max()) == pytest.approx((120.0, 180.0), abs=0.1)
    hall = Stage(Space(rectangle_m(40.0, 40.0), 2.7), SUBJECT, CAMERA, (), by_shape=True)
    _, _, away = angles(_scattered(hall, LAMP, FILL, 1, near=True))
    assert away.max() == pytest.approx(12.0, abs=5e-3)


def test_what_is_free_is_near_and_comes_side_by_side() -> None:
    """By hand: of each side a lot of 500 is enough where forty of it are free."""
    here = stage()
    found = free_by_shape(here, LAMP, KEY, (1, -1))
    across, down, _ = angles(found)
    assert np.all(np.abs(np.abs(across) - 45.0) <= 15.0 + 1e-9)
    assert np.all(np.abs(down - 45.0) <= 20.0 + 1e-9)
    turns = np.flatnonzero(np.diff(np.sign(across)))
    assert len(turns) == 1
    assert across[0] > 0
    assert ENOUGH <= turns[0] + 1 <= ENOUGH + ASKED_AT_ONCE
    assert np.all(may_stand(here, LAMP, found, None))
    alone = free_by_shape(here, LAMP, KEY, (-1,))
    assert np.all(angles(alone)[0] < 0)


def test_where_nothing_near_is_free_it_is_anywhere() -> None:
    """By hand: under a stand of 2.2 m at least and a face of 1.2 m a light within 2 m of the plan is
    steeper than 26 degrees; a goal of 15 +- 2 degrees down is met nowhere in a room 4 m wide.
    """
    narrow = Stage(
        Space(rectangle_m(4.0, 4.0), 2.7), (2.0, 2.5, 1.2), (2.0, 0.6, 1.4), (), by_shape=True
    )
    goal = Goal(45.0, 15.0, 10.0, 2.0, across_furthest_off_deg=45.0)
    high = Lamp(2.2, 2.3, 0.2)
    found = free_by_shape(narrow, high, goal, (1,))
    assert len(found)
    off = found - np.array([2.0, 2.5, 1.2])
    down = np.degrees(np.arctan2(off[:, 2], np.hypot(off[:, 0], off[:, 1])))
    assert np.all(np.abs(down - 10.0) > 2.0)


def test_no_place_at_all_is_an_empty_list() -> None:
    closet = Stage(
        Space(rectangle_m(1.0, 1.2), 2.7), (0.5, 0.8, 1.2), (0.5, 0.2, 1.4), (), by_shape=True
    )
    assert free_by_shape(closet, LAMP, KEY, (1, -1)).shape == (0, 3)


def test_the_longest_lens_decides_what_is_in_frame() -> None:
    # property: places seen by the widest lens are taken where the longest does not see them
    views = tuple(View(CAMERA, SUBJECT, 24.9, 14.0, focal) for focal in (16.0, 85.0))
    back = Goal(180.0, 60.0, 45.0, 20.0, across_furthest_off_deg=90.0)
    found = free_by_shape(stage(views=views), LAMP, back, (1, -1))
    assert np.all(may_stand(stage(views=views), LAMP, found, views[1]))
    assert not np.all(may_stand(stage(views=views), LAMP, found, views[0]))


def test_the_sequence_is_scipys() -> None:
    """scipy.stats.qmc.Halton, scrambled from the same seed: its package need not be loaded."""
    from scipy.stats import qmc

    assert np.array_equal(_halton(ANYWHERE), qmc.Halton(3, rng=1).random(ANYWHERE))


@pytest.mark.parametrize(("base", "axis"), [(2, 0), (3, 1), (5, 2)])
def test_the_sequence_is_even(base: int, axis: int) -> None:
    """Halton 1960: of the first b^k numbers each of b^k equal parts holds one."""
    parts = base**4
    held = np.floor(_halton(ANYWHERE)[:parts, axis] * parts + 1e-9).astype(int)
    assert sorted(held) == list(range(parts))
