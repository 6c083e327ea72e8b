"""A wall does not hide what stands on it, however the plan lies on the paper."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scout.calc.daylight.mark.room_light import room_light
from scout.calc.daylight.window.glazing import Glazing
from scout.calc.daylight.window.pane import Pane
from scout.calc.radiosity import INWARD_M, Box, enclosure, sees
from scout.calc.radiosity.patches import MOST_LOOKED

Point = tuple[float, float]
WIDTH, LENGTH = 3.83, 3.43  # invented; a shape in which rounding was seen to hide a wall
RECTANGLE: tuple[Point, ...] = ((0, LENGTH), (WIDTH, LENGTH), (WIDTH, 0), (0, 0))


def notched(notch_m: float) -> tuple[Point, ...]:
    """The rectangle with a square taken out of a corner far from the window."""
    n = notch_m
    return ((0, LENGTH), (WIDTH, LENGTH), (WIDTH, n), (WIDTH - n, n), (WIDTH - n, 0), (0, 0))


def turned(points: tuple[Point, ...], by: float, away: Point = (0.0, 0.0)) -> tuple[Point, ...]:
    c, s = np.cos(by), np.sin(by)
    return tuple((x * c - y * s + away[0], x * s + y * c + away[1]) for x, y in points)


def mirrored(points: tuple[Point, ...]) -> tuple[Point, ...]:
    """Left for right; given backwards, so that it is clockwise again, from the first wall on."""
    other = [(-x, y) for x, y in points]
    return (other[1], other[0], *reversed(other[2:]))


def factor_pct(plan: tuple[Point, ...], mark: Point, offset_m: float = 1.0) -> float:
    pane = Pane(0, offset_m, 0.9, 1.5, 1.3, 0.1)
    glazing = (Glazing("W", pane, 0.7, facing_deg=180.0),)
    colours = (0.5,) * len(plan) + (0.2, 0.8)
    [found] = room_light(plan, 2.6, glazing, ((*mark, 1.2),), colours).marks
    assert found.reflected is not None
    return 100 * (found.direct.overcast(0.2) + found.reflected.overcast(0.2))


def test_a_notch_of_a_millimetre_changes_nothing() -> None:
    # property: 1 mm of a corner out of 3.8 m is no part of the light, whichever way the plan lies
    whole = factor_pct(RECTANGLE, (1.9, 1.5))
    for by in (0.0, 0.3, 1.234, 2.2):
        [mark] = turned(((1.9, 1.5),), by)
        assert factor_pct(turned(notched(0.001), by), mark) == pytest.approx(whole, rel=0.01)


def test_a_notch_of_two_centimetres_takes_next_to_nothing() -> None:
    # by hand: 4 cm2 of 13 m2 of floor, in the corner furthest from the light
    whole = factor_pct(RECTANGLE, (1.9, 1.5))
    for by in (0.0, 0.3, 1.234):
        [mark] = turned(((1.9, 1.5),), by)
        assert factor_pct(turned(notched(0.02), by), mark) == pytest.approx(whole, rel=0.01)


@settings(max_examples=12, deadline=None)
@given(st.floats(0, 6.28), st.floats(-50, 50), st.floats(-50, 50))
def test_turning_and_moving_a_concave_plan_changes_nothing(by: float, x: float, y: float) -> None:
    # property: light knows no paper
    plan: tuple[Point, ...] = ((0, 5), (4.1, 5), (4.1, 2.3), (2.2, 2.3), (2.2, 0), (0, 0))
    [mark] = turned(((1.1, 1.4),), by, (x, y))
    there = factor_pct(turned(plan, by, (x, y)), mark)
    assert there == pytest.approx(factor_pct(plan, (1.1, 1.4)), rel=1e-4)


def test_mirroring_a_concave_plan_changes_nothing() -> None:
    plan: tuple[Point, ...] = ((0, 5), (4.1, 5), (4.1, 2.3), (2.2, 2.3), (2.2, 0), (0, 0))
    here = factor_pct(plan, (1.1, 1.4), 0.7)
    [(x, y)] = ((-1.1, 1.4),)
    # the window keeps its place on the wall: 4.1 m less its width less its distance from the left
    assert factor_pct(mirrored(plan), (x, y), 4.1 - 1.5 - 0.7) == pytest.approx(here, rel=1e-3)


@pytest.mark.parametrize("by", [0.0, 0.3, 1.0, 2.5, 4.0])
def test_points_on_walls_see_what_is_before_them_and_not_what_is_behind(by: float) -> None:
    plan = np.array(turned(((0, 5), (4, 5), (4, 2), (2, 2), (2, 0), (0, 0)), by, (30.0, -20.0)))

    def at(*points: Point) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
        return np.array(turned(points, by, (30.0, -20.0)))

    # by hand: on wall A, B, E, F of an L; each sees (1, 3); from (4, 3.5) the wall at x = 2 and the
    # one at y = 2 hide (1.9, 0.1)
    on_walls = at((1.7, 5), (4, 3.5), (2, 1), (0, 0.7))
    assert sees(plan, on_walls, at((1, 3))).all()
    assert not sees(plan, at((4, 3.5)), at((1.9, 0.1))).any()
    # through one's own wall and in again: from the wall y = 2 to the one at x = 2
    assert not sees(plan, at((3.5, 2)), at((2 - INWARD_M, 0.5))).any()


def test_what_is_seen_from_a_place_is_of_that_place() -> None:
    # property: as asked line by line, also when more places were asked about than are kept
    box = Box("table", 1.5, 1.5, 1.0, 0.8, 20.0, 0.0, 0.8)
    patches = enclosure(RECTANGLE, 2.6, (), 0.8, (box,)).patches
    places = np.random.default_rng(1).uniform(0.1, 2.4, (MOST_LOOKED + 3, 3))
    for at in (*places, places[0]):
        for per_side in (2, 3):
            points = patches.drawn_in(per_side)[0]
            assert np.array_equal(patches.seen_from(at, per_side), patches.sees(at, points))
