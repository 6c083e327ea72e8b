"""Whether a camera, its tripod and its operator fit, at each border by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from scout.calc.fit.floor.blocks import Block
from scout.calc.fit.floor.doorway import Doorway
from scout.calc.fit.floor.space import Space
from scout.calc.fit.lens.camera import View
from scout.calc.fit.lens.framing import (
    FRAMINGS,
    best_direction,
    camera_place,
    camera_places,
    distance_for,
    hides,
    wide_distance_m,
)
from scout.calc.geometry import rectangle_m
from scout.errors import OutOfRange

ROOM = Space(rectangle_m(5.0, 8.0), 2.7)
SUBJECT, BACK = (2.5, 7.0), (0.0, -1.0)


@pytest.mark.parametrize(
    ("away", "fits", "short"),
    # by hand: 7 m to the wall, 1.5 m of them behind the lens
    [(5.5, True, 0.0), (5.51, False, 0.01), (6.5, False, 1.0)],
)
def test_the_room_ends_behind_the_operator(away: float, fits: bool, short: float) -> None:
    found = camera_place(ROOM, SUBJECT, BACK, away)
    assert found.camera_m == pytest.approx((2.5, 7.0 - away))
    assert (found.fits, found.short_m) == (fits, pytest.approx(short, abs=1e-6))
    assert found.available_m == pytest.approx(7.0)
    # by hand: a metre behind the subject besides
    assert found.background_m == pytest.approx(away + 1.0)
    assert found.reason == (None if fits else "room")
    assert (found.behind == "tripod") == fits


@pytest.mark.parametrize(
    ("x", "reason"),
    # by hand: half of a metre of tripod and of operator
    [(0.5, None), (0.49, "narrow"), (4.5, None), (4.51, "narrow")],
)
def test_an_operator_is_a_metre_wide(x: float, reason: str | None) -> None:
    assert camera_place(ROOM, (x, 7.0), BACK, 3.0).reason == reason


def test_a_way_out_stays_free() -> None:
    """By hand: an exit's floor from y 0 to 1; the tripod's rim is 0.5 m from its middle."""
    exit_m = np.array([(2.0, 1.0), (3.0, 1.0), (3.0, 0.0), (2.0, 0.0)])
    space = replace(ROOM, exits_m=(exit_m,))
    assert camera_place(space, SUBJECT, BACK, 5.49).reason is None
    assert camera_place(space, SUBJECT, BACK, 5.51).reason in ("room", "exit")
    deep = np.array([(2.0, 2.0), (3.0, 2.0), (3.0, 0.0), (2.0, 0.0)])
    assert camera_place(replace(ROOM, exits_m=(deep,)), SUBJECT, BACK, 4.51).reason == "exit"
    assert camera_place(replace(ROOM, exits_m=(deep,)), SUBJECT, BACK, 4.49).reason is None


@pytest.mark.parametrize(
    ("x", "reason"), [(3.41, None), (3.39, "furniture"), (1.59, None), (1.61, "furniture")]
)
def test_furniture_stands_in_nobody_s_floor(x: float, reason: str | None) -> None:
    """By hand: a box of 0.8 by 0.8 m beside the tripod's half metre: 0.9 m from the lens."""
    box = Block("box", rectangle_m(0.8, 0.8) + np.array([x - 0.4, 3.6]), 1.0)
    space = replace(ROOM, blocks=(box,))
    assert camera_place(space, SUBJECT, BACK, 3.0).reason == reason


@pytest.mark.parametrize(("high", "hidden"), [(1.19, False), (1.21, True)])
def test_furniture_hides_what_lies_behind_it(high: float, hidden: bool) -> None:
    """By hand: the line from 1.4 to 1.0 m passes its middle at 1.2 m."""
    box = Block("box", rectangle_m(0.02, 0.02) + np.array([2.49, 5.49]), high)
    space = replace(ROOM, blocks=(box,))
    assert hides(space, (2.5, 4.0, 1.4), (2.5, 7.0, 1.0)) == hidden
    assert camera_place(space, SUBJECT, BACK, 3.0, (1.4, 1.0)).reason == (
        "hidden" if hidden else None
    )
    assert camera_place(space, SUBJECT, BACK, 3.0).reason is None


def test_a_corner_between_takes_the_sight() -> None:
    ell = np.array([(0.0, 6.0), (3.0, 6.0), (3.0, 3.0), (6.0, 3.0), (6.0, 0.0), (0.0, 0.0)])
    found = camera_place(Space(ell, 2.7), (2.5, 5.5), (1.0, -1.0), 4.0)
    assert found.camera_m == pytest.approx((2.5 + math.sqrt(8.0), 5.5 - math.sqrt(8.0)))
    assert found.reason in ("room", "sight")
    assert not found.fits
    assert found.behind is None


def test_where_nobody_stands_behind_somebody_stands_beside() -> None:
    """By hand: 0.6 m behind the lens: no operator there, but a square metre to the right of it; where
    the right is closed, to the left.
    """
    found = camera_place(ROOM, SUBJECT, BACK, 6.4)
    assert (found.reason, found.beside, found.behind) == ("room", "right", "beside")
    # the camera looks up the plan, so that right is x beyond it
    narrow = camera_place(ROOM, (3.9, 7.0), BACK, 6.4)
    assert narrow.beside == "left"


@pytest.mark.parametrize(
    ("name", "side", "size_m"), [(one.name, one.side, one.size_m) for one in FRAMINGS]
)
def test_how_far_a_framing_is(name: str, side: str, size_m: float) -> None:
    """By hand: what is framed over the sensor's side, times the focal length."""
    framing = next(one for one in FRAMINGS if one.name == name)
    sensor = 14.0 if side == "height" else 24.9
    assert distance_for(framing, 35.0, 24.9, 14.0) == pytest.approx(size_m * 35.0 / sensor)
    for bad in ((0.0, 24.9, 14.0), (35.0, 0.0, 0.0)):
        with pytest.raises(OutOfRange):
            distance_for(framing, *bad)


def test_how_far_a_lens_holds_the_room_from_side_to_side() -> None:
    """By hand: 5 m over 24.9 mm times 35 mm is 7.03 m; along the other side 8 m: 11.24 m."""
    assert wide_distance_m(ROOM, BACK, 24.9, 35.0) == pytest.approx(5.0 / 24.9 * 35.0)
    assert wide_distance_m(ROOM, (3.0, 0.0), 24.9, 35.0) == pytest.approx(8.0 / 24.9 * 35.0)


def test_the_best_direction_is_the_longest() -> None:
    """By hand: from near one short side towards the other; square metres of an operator keep it off
    the corners.
    """
    way = best_direction(ROOM, (2.5, 7.0))
    assert np.linalg.norm(way) == pytest.approx(1.0)
    assert way @ np.array(BACK) > math.cos(math.radians(21.0))
    way = best_direction(ROOM, (2.5, 1.0))
    assert way @ np.array(BACK) < -math.cos(math.radians(21.0))


@pytest.mark.parametrize("name", ["from_m", "direction", "distance_m"])
def test_what_is_given_is_looked_at(name: str) -> None:
    asked = {"from_m": SUBJECT, "direction": BACK, "distance_m": 3.0}
    bad = {"from_m": (math.nan, 1.0), "direction": (0.0, 0.0), "distance_m": 0.0}[name]
    with pytest.raises(OutOfRange) as refusal:
        camera_place(ROOM, **{**asked, name: bad})  # type: ignore[arg-type]
    assert refusal.value.path.startswith(name)


def test_property_many_distances_at_once_are_each_as_alone() -> None:
    random = np.random.default_rng(11)
    ell = np.array([(0, 8), (6, 8), (6, 3), (3, 3), (3, 0), (0, 0)], dtype=np.float64)
    reasons = set()
    for _ in range(12):
        plan = ell if random.random() < 0.5 else rectangle_m(6.0, 8.0)
        blocks = tuple(
            Block(f"piece {k}", rectangle_m(*random.uniform(0.4, 1.5, 2)) + at, 1.5)
            for k, at in enumerate(random.uniform(0.2, 4.0, (3, 2)))
        )
        door = rectangle_m(0.9, 0.9) + random.uniform(0.0, 4.0, 2)
        opening = Doorway("D1", plan, int(random.integers(4)), 1.0, 1.0, 2.1)
        space = Space(plan, 2.6, (door,), blocks, (opening,))
        way, far = random.uniform(-1.0, 1.0, 2), random.uniform(0.3, 9.0, 8)
        views = [View((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), 36.0, 24.0, mm) for mm in far * 20.0]
        found = camera_places(space, (1.5, 6.0), way, far, (1.5, 1.2), views)
        for place, away, view in zip(found, far, views, strict=True):
            assert place == camera_place(space, (1.5, 6.0), way, float(away), (1.5, 1.2), view)
            reasons.add(place.reason)
    assert {None, "room", "narrow", "furniture", "leaf"} <= reasons
