"""How long a lead must be along the walls."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.calc.geometry import rectangle_m
from scout.calc.power.reach import Reach
from scout.calc.power.run import OnWall, Trodden, cable_run, sold_m
from scout.errors import OutOfRange

PLAN = rectangle_m(5, 6.5)
OUTLET = OnWall("P1", "B", 0.6)
ELL = [(0, 6), (3, 6), (3, 3), (6, 3), (6, 0), (0, 0)]


def test_to_the_light_on_the_same_side() -> None:
    # By hand: outlet (5, 5.9); foot (5, 2.134): 3.766 along, 1.634 out; + 0.3 + 2.425, x 1.1.
    run = cable_run(PLAN, OUTLET, 0.3, [3.366, 2.134, 2.425])
    assert (run.along_m, run.out_m) == pytest.approx((3.766, 1.634), abs=1e-9)
    assert run.whole_m == pytest.approx(8.94, abs=0.005)
    assert run.straight_m == pytest.approx(4.10, abs=0.006)
    assert run.doors == ()


def test_to_the_light_on_the_far_side() -> None:
    # By hand: nearest wall D; 0.6 + 5 + 4.366 along walls B, A and D, 1.634 out; straight across
    # 5.05.
    run = cable_run(PLAN, OUTLET, 0.3, [1.634, 2.134, 2.425])
    assert (run.along_m, run.out_m) == pytest.approx((9.966, 1.634), abs=1e-9)
    assert run.whole_m == pytest.approx(15.76, abs=0.005)
    assert run.straight_m == pytest.approx(5.05, abs=0.005)


@pytest.mark.parametrize(
    ("light", "crossed"),
    [
        # By hand: from B at y 5.9 the short way to D goes over wall A with D1, the other over wall
        # C with D2: one door either way, the shorter is taken.
        ([1.634, 2.134, 2.4], ("D1",)),
        ([3.366, 2.134, 2.4], ()),
        ([1.0, 5.5, 2.4], ("D1",)),
    ],
)
def test_doors_on_the_way_are_named(light: list[float], crossed: tuple[str, ...]) -> None:
    doors = (OnWall("D1", "A", 2.0, 0.9), OnWall("D2", "C", 0.4, 0.83))
    assert cable_run(PLAN, OUTLET, 0.3, light, doors).doors == crossed


@pytest.mark.parametrize(
    ("exits", "crossed", "whole_m"),
    [
        # By hand, the light of the far side: over wall A 9.966 m along, over wall C 23 - 9.966 =
        # 13.034 m; 1.634 out, 0.3 and 2.425 up, x 1.1: 15.76 and 19.13 m.
        ((), ("D1",), 15.76),
        (("D1",), ("D2", "D3"), 19.13),
        (("D2",), ("D1",), 15.76),
        (("D1", "D2"), ("D1",), 15.76),
    ],
)
def test_an_exit_is_gone_round_even_past_more_doors(
    exits: tuple[str, ...], crossed: tuple[str, ...], whole_m: float
) -> None:
    doors = [
        OnWall(name, wall, at, 0.9, name in exits)
        for name, wall, at in (("D1", "A", 2.0), ("D2", "C", 0.4), ("D3", "C", 2.4))
    ]
    run = cable_run(PLAN, OUTLET, 0.3, [1.634, 2.134, 2.425], doors)
    assert run.doors == crossed
    assert run.exits == tuple(name for name in crossed if name in exits)
    assert run.whole_m == pytest.approx(whole_m, abs=0.005)
    reach = Reach(PLAN, ((OUTLET, 0.3),), tuple(doors))
    assert reach.needed_m([1.634, 2.134, 2.425]) == pytest.approx(run.whole_m)


@pytest.mark.parametrize(
    ("need_m", "sold"), [(0.5, 5), (5.0, 5), (5.01, 10), (20.0, 20), (20.5, 25), (50.5, 51)]
)
def test_the_next_length_sold(need_m: float, sold: float) -> None:
    assert sold_m(need_m) == sold  # common practice: 5, 10, 20, 25, 50 m


def test_a_door_in_either_direction_is_the_same_door() -> None:
    # property: to the wall's right end or to its left end, a door between counts once and a door
    # beyond does not.
    door = (OnWall("D1", "B", 2.0, 1.0),)
    door_opposite = (*door, OnWall("D2", "D", 2.0, 1.0))  # so that no way round is free
    assert cable_run(PLAN, OnWall("P", "B", 1.0), 0, [4.9, 6.5 - 3.5, 0], door_opposite).doors == (
        "D1",
    )
    assert cable_run(PLAN, OnWall("P", "B", 3.5), 0, [4.9, 6.5 - 1.0, 0], door_opposite).doors == (
        "D1",
    )
    assert cable_run(PLAN, OnWall("P", "B", 1.0), 0, [4.9, 6.5 - 1.5, 0], door).doors == ()
    assert cable_run(PLAN, OnWall("P", "B", 3.5), 0, [4.9, 6.5 - 4.0, 0], door).doors == ()


def test_round_the_inner_corner_of_an_l() -> None:
    # By hand: outlet on wall B (3,6)-(3,3) 1 m from its left end, (3, 5); light (4, 2): nearest
    # wall C (3,3)-(6,3), foot (4, 3).
    run = cable_run(ELL, OnWall("P", "B", 1.0), 0.0, [4.0, 2.0, 0.0])
    assert (run.along_m, run.out_m) == pytest.approx((2.0 + 1.0, 1.0))
    assert run.whole_m == pytest.approx(4.4)


@given(
    st.floats(0.01, 4.99),
    st.floats(0.01, 6.49),
    st.floats(0, 2.7),
    st.sampled_from("ABCD"),
    st.floats(0, 5),
)
def test_a_run_is_never_shorter_than_the_straight_line(
    x: float, y: float, z: float, wall: str, offset: float
) -> None:
    run = cable_run(PLAN, OnWall("P", wall, offset), 0.3, [x, y, z], slack=0.0)
    assert run.whole_m >= np.hypot(run.straight_m, z - 0.3) - 1e-9  # property: triangle inequality
    assert run.along_m <= 11.5 + 1e-9  # property: the shorter way round is at most half of 23 m


def test_refusals() -> None:
    with pytest.raises(OutOfRange, match="light_m"):
        cable_run(PLAN, OUTLET, 0.3, [9, 2, 2])
    with pytest.raises(OutOfRange, match="wall"):
        cable_run(PLAN, OnWall("P", "Q", 0.6), 0.3, [3, 2, 2])
    with pytest.raises(OutOfRange, match="offset_m"):
        cable_run(PLAN, OnWall("P", "B", 9.0), 0.3, [3, 2, 2])
    with pytest.raises(OutOfRange, match="light_m"):
        cable_run(PLAN, OUTLET, 0.3, [3, 2, float("nan")])


def test_over_the_floor_where_nobody_walks() -> None:
    # by hand: from (5.0, 5.9) to (1.634, 2.134) it is 5.05 m; (5.05 + 0.3 + 2.425) x 1.1 = 8.55 m,
    # along the walls 15.76 m
    at = [1.634, 2.134, 2.425]
    over = cable_run(PLAN, OUTLET, 0.3, at, trodden=Trodden())
    assert over.across
    assert (over.whole_m, over.straight_m) == (
        pytest.approx(8.55, abs=0.01),
        pytest.approx(5.05, abs=0.005),
    )
    assert len(over.path_m) == 2
    # a walk, a table or the shot in its way keeps it to the walls
    walk = np.array([(2.0, 4.5), (4.5, 2.5)])
    table = np.array([(3.0, 4.5), (4.0, 4.5), (4.0, 3.5), (3.0, 3.5)])
    for kept in (Trodden((), (walk,)), Trodden((table,))):
        run = cable_run(PLAN, OUTLET, 0.3, at, trodden=kept)
        assert not run.across
        assert run == cable_run(PLAN, OUTLET, 0.3, at)
    # by hand: 8.94 m along the walls and 7.51 m over the floor: not worth leaving the walls for,
    # but for a door
    near = [3.366, 2.134, 2.425]
    assert not cable_run(PLAN, OUTLET, 0.3, near, trodden=Trodden()).across
    door = (OnWall("D1", "B", 2.0, 0.9), OnWall("D2", "D", 1.0, 0.9))
    assert cable_run(PLAN, OUTLET, 0.3, near, door, trodden=Trodden()).across


def test_no_lead_goes_through_a_wall() -> None:
    # by hand: in the L the straight line from (0.5, 6) to (5.5, 2.5) leaves the plan
    run = cable_run(ELL, OnWall("P", "A", 0.5), 0.0, [5.5, 2.5, 0.0], trodden=Trodden())
    assert not run.across
