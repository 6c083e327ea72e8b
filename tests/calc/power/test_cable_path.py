"""The drawn way of a lead is the measured one."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scout.calc.geometry import inside, rectangle_m
from scout.calc.power.run import OnWall, cable_path_m, cable_run

ELL = np.array([(0.0, 6.0), (3.0, 6.0), (3.0, 4.0), (8.0, 4.0), (8.0, 0.0), (0.0, 0.0)])


def test_round_one_corner_by_hand() -> None:
    # by hand: outlet on wall B (x 5) 1 m from its left end, y 5.5; light nearest wall A (y 6.5) at
    # x 4: up the wall to the corner, along A, out
    path = cable_path_m(rectangle_m(5.0, 6.5), OnWall("P1", "B", 1.0), (3.0, 6.0, 2.0))
    assert path == pytest.approx(np.array([(5.0, 5.5), (5.0, 6.5), (3.0, 6.5), (3.0, 6.0)]))


@settings(max_examples=80, deadline=None)
@given(st.sampled_from("ABCDEF"), st.floats(0.0, 1.0), st.floats(0.05, 7.95), st.floats(0.05, 5.95))
def test_property_the_path_is_as_long_as_the_run_and_stays_in_the_room(
    wall: str, share: float, x: float, y: float
) -> None:
    if not bool(inside(ELL, (x, y))):
        return
    lengths = dict(
        zip("ABCDEF", np.linalg.norm(np.roll(ELL, -1, axis=0) - ELL, axis=1), strict=True)
    )
    outlet = OnWall("P1", wall, share * float(lengths[wall]))
    doors = (OnWall("D1", "A", 1.0, 0.9), OnWall("D2", "D", 2.0, 0.9))
    run, path = (
        cable_run(ELL, outlet, 0.3, (x, y, 2.0), doors),
        cable_path_m(ELL, outlet, (x, y, 2.0), doors),
    )
    assert float(np.sum(np.linalg.norm(np.diff(path, axis=0), axis=1))) == pytest.approx(
        run.along_m + run.out_m, abs=1e-6
    )
    assert bool(np.all(inside(ELL, path, edge_m=1e-6)))
    # property: no way round that crosses fewer doors is left out, and of two alike the shorter is
    # taken
    if run.shorter_m is not None:
        assert len(run.shorter_doors) > len(run.doors)
        assert run.shorter_m < run.whole_m


def test_round_the_door_and_not_past_it() -> None:
    # by hand: 5 x 6.5 m, 23 m round. Outlet on A at x 1, light near A at x 4, door between: 3 m
    # past it, or 20 m the other way round.
    plan, door = rectangle_m(5.0, 6.5), OnWall("D1", "A", 2.0, 0.9)
    run = cable_run(plan, OnWall("P1", "A", 1.0), 0.0, (4.0, 6.3, 0.0), [door], slack=0.0)
    assert (run.along_m, run.doors, run.shorter_doors, run.shorter_m) == (
        pytest.approx(20.0),
        (),
        ("D1",),
        pytest.approx(3.2),
    )
    assert np.array(run.path_m) == pytest.approx(
        np.array([(1, 6.5), (0, 6.5), (0, 0), (5, 0), (5, 6.5), (4, 6.5), (4, 6.3)])
    )
