"""How long a lead must be, over the floor and up to the fixture."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.calc.geometry import rectangle_m
from scout.calc.power.run import OnWall, cable_run, sold_m
from scout.calc.power.ways import Floor, Zone, ring, strip
from scout.errors import OutOfRange

PLAN = ring(rectangle_m(5, 6.5))
BARE = Floor(PLAN, ())
OUTLET = OnWall("P1", "B", 0.6)  # at (5, 5.9)
FAR = (1.634, 2.134, 2.425)


def test_straight_where_nothing_is_in_the_way() -> None:
    # by hand: from (5, 5.9) to (1.634, 2.134) it is 5.05 m; (5.05 + 0.3 + 2.425) x 1.1 = 8.55 m
    run = cable_run(BARE, OUTLET, 0.3, FAR)
    assert run.path_m == ((5.0, 5.9), FAR[:2])
    assert run.whole_m == pytest.approx(8.55, abs=0.005)
    assert (run.floor_m, run.straight_m) == (pytest.approx(5.05, abs=0.005), run.floor_m)
    assert (run.doors, run.exits, run.crosses, run.open_floor) == ((), (), frozenset(), True)


def test_round_what_stands_walks_or_looks() -> None:
    # by hand: past (4, 3.5), the corner that the straight line cuts: 2.60 + 2.73 = 5.33 m
    table = Zone("furniture", ((2.0, 4.5), (4.0, 4.5), (4.0, 3.5), (2.0, 3.5)))
    run = cable_run(Floor(PLAN, (table,)), OUTLET, 0.3, FAR)
    assert run.path_m == ((5.0, 5.9), (4.0, 3.5), FAR[:2])
    assert run.floor_m == pytest.approx(5.33, abs=0.005)
    # the same of the walk and the shot, 0.9 and 1.0 m wide, up to whose ends it goes
    for kind, half in (("walk", 0.45), ("shot", 0.5)):
        zone = Zone(kind, strip((2.0, 4.5), (4.0, 2.5), half))  # type: ignore[arg-type]
        run = cable_run(Floor(PLAN, (zone,)), OUTLET, 0.3, FAR)
        assert run.crosses == frozenset()
        assert 5.05 < run.floor_m < 6.5


def test_what_bars_the_way_from_wall_to_wall_is_crossed_and_told() -> None:
    walk = Zone("walk", strip((0.0, 4.0), (5.0, 4.0), 0.45, 0.1))
    run = cable_run(Floor(PLAN, (walk,)), OUTLET, 0.3, FAR)
    assert (run.doors, run.crosses) == ((), {"walk"})
    door = Zone("door", ((-0.1, 3.5), (5.1, 3.5), (5.1, 4.5), (-0.1, 4.5)), "D1")
    run = cable_run(Floor(PLAN, (door,)), OUTLET, 0.3, FAR)
    assert (run.doors, run.exits, run.crosses) == (("D1",), (), frozenset())
    run = cable_run(Floor(PLAN, (Zone("exit", door.ring_m, "D1"),)), OUTLET, 0.3, FAR)
    assert (run.doors, run.exits) == (("D1",), ("D1",))


def test_a_door_is_crossed_before_an_exit_is() -> None:
    # by hand: to the left of an exit's floor that reaches two thirds across there is a door's
    exit_ = Zone("exit", ((1.5, 3.5), (5.1, 3.5), (5.1, 4.5), (1.5, 4.5)), "D1")
    door = Zone("door", ((-0.1, 3.4), (1.6, 3.4), (1.6, 4.6), (-0.1, 4.6)), "D2")
    run = cable_run(Floor(PLAN, (exit_, door)), OUTLET, 0.3, (4.0, 2.0, 2.4))
    assert (run.doors, run.exits) == (("D2",), ())


def test_a_lead_along_the_walls_is_not_called_open() -> None:
    # by hand: 0.3 m off wall B all the way; 4 m of open floor otherwise
    assert not cable_run(BARE, OUTLET, 0.3, (4.8, 1.0, 2.0)).open_floor
    # from 0.5 m off the wall on, 2.3 of 3.0 m; from nearer 1.7 of 2.4
    assert cable_run(BARE, OUTLET, 0.3, (2.8, 3.9, 2.0)).open_floor
    assert not cable_run(BARE, OUTLET, 0.3, (3.2, 4.3, 2.0)).open_floor


@pytest.mark.parametrize(
    ("need_m", "sold"), [(0.5, 5), (5.0, 5), (5.01, 10), (20.0, 20), (20.5, 25), (50.5, 51)]
)
def test_the_next_length_sold(need_m: float, sold: float) -> None:
    assert sold_m(need_m) == sold  # common practice: 5, 10, 20, 25, 50 m


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
    table = Zone("furniture", ((2.0, 4.5), (4.0, 4.5), (4.0, 3.5), (2.0, 3.5)))
    run = cable_run(Floor(PLAN, (table,)), OnWall("P", wall, offset), 0.3, [x, y, z], slack=0.0)
    assert run.whole_m >= np.hypot(run.straight_m, z - 0.3) - 1e-9  # property: triangle inequality
    assert run.floor_m <= run.straight_m + 3.0 + 1e-9  # property: half round a table is 3 m at most


def test_refusals() -> None:
    with pytest.raises(OutOfRange, match="light_m"):
        cable_run(BARE, OUTLET, 0.3, [9, 2, 2])
    with pytest.raises(OutOfRange, match="wall"):
        cable_run(BARE, OnWall("P", "Q", 0.6), 0.3, [3, 2, 2])
    with pytest.raises(OutOfRange, match="offset_m"):
        cable_run(BARE, OnWall("P", "B", 9.0), 0.3, [3, 2, 2])
    with pytest.raises(OutOfRange, match="light_m"):
        cable_run(BARE, OUTLET, 0.3, [3, 2, float("nan")])
