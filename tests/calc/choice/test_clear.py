"""Clear depth past furniture: plans small enough to be measured by hand."""

from __future__ import annotations

import pytest

from scout.calc.choice.clear import clear_depth_m

ROOM = [(0.0, 6.0), (4.0, 6.0), (4.0, 0.0), (0.0, 0.0)]


def block(x0: float, y0: float, x1: float, y1: float) -> list[tuple[float, float]]:
    return [(x0, y1), (x1, y1), (x1, y0), (x0, y0)]


@pytest.mark.parametrize(
    ("blocks", "depth"),
    [
        ([], 6.0),
        # by hand: a lane of 1.2 m stays beside it
        ([block(0, 2, 2.5, 3)], 6.0),
        # by hand: 1 m beside it is too narrow; 3.9 across or 4 across remain: across is 4 m
        ([block(0, 2, 3, 3)], 4.0),
        # by hand: a wall of cupboards leaves 4.5 of the 6 m
        ([block(0, 0, 4, 1.5)], 4.5),
    ],
)
def test_lanes(blocks: list[list[tuple[float, float]]], depth: float) -> None:
    assert clear_depth_m(ROOM, blocks) == pytest.approx(depth, abs=0.2)


def test_a_turned_room_is_as_deep() -> None:
    # property: turning the plan changes nothing
    turned = [(0.6 * x - 0.8 * y, 0.8 * x + 0.6 * y) for x, y in ROOM]
    assert clear_depth_m(turned, []) == pytest.approx(6.0, abs=0.2)


def test_a_corridor_narrower_than_a_lane_is_as_deep_as_it_is_wide() -> None:
    assert clear_depth_m([(0, 8), (1, 8), (1, 0), (0, 0)], []) == pytest.approx(1.0)
    assert clear_depth_m([(0, 1), (1, 1), (1, 0), (0, 0)], []) == 0.0
