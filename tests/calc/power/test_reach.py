"""Leads to many places at once: the same as run by run."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.geometry import inside, rectangle_m
from scout.calc.power.reach import Reach
from scout.calc.power.run import SLACK, OnWall, cable_run
from scout.calc.power.ways import COSTS, Floor, Zone, ring, strip
from scout.errors import OutOfRange

ELL = ((0.0, 6.2), (3.4, 6.2), (3.4, 3.6), (6.0, 3.6), (6.0, 0.0), (0.0, 0.0))
ZONES = (
    Zone("furniture", ((1.0, 2.0), (2.0, 2.0), (2.0, 1.0), (1.0, 1.0))),
    Zone("walk", strip((2.5, 0.5), (2.5, 2.5), 0.45)),
    Zone("exit", ((-0.05, 5.0), (0.9, 5.0), (0.9, 4.1), (-0.05, 4.1)), "D1"),
    Zone("door", ((4.0, -0.05), (4.9, -0.05), (4.9, 0.9), (4.0, 0.9)), "D2"),
)


def test_the_worked_run() -> None:
    # by hand, as in test_run.py: (5.05 + 0.3 + 2.425) x 1.1 = 8.55 m
    reach = Reach(Floor(ring(rectangle_m(5.0, 6.5)), ()), ((OnWall("P1", "B", 0.6), 0.3),))
    assert reach.needed_m([1.634, 2.134, 2.425]) == pytest.approx(8.55, abs=0.01)


@pytest.mark.parametrize("plan", [ring(rectangle_m(5.0, 6.5)), ELL])
@pytest.mark.parametrize("zones", [(), ZONES])
def test_the_same_as_one_run_after_the_other(
    plan: tuple[tuple[float, float], ...], zones: tuple[Zone, ...]
) -> None:
    # property: the run of the outlet from which a lead crosses least, of those the shortest
    random = np.random.default_rng(5)
    outlets = ((OnWall("P1", "A", 0.4), 0.3), (OnWall("P2", "C", 1.1), 1.0))
    floor = Floor(plan, zones)
    places = np.column_stack(
        [random.uniform(0, 6, 60), random.uniform(0, 6.2, 60), random.uniform(0.2, 2.6, 60)]
    )
    places = places[inside(plan, places[:, :2])]
    found = Reach(floor, outlets).needed_m(places)
    for place, needed in zip(places, found, strict=True):
        told = []
        for plug, high in outlets:
            run = cable_run(floor, plug, high, place)
            inside_m = floor.way(run.path_m[0], place).inside_m
            across = sum(COSTS[z.kind] * m for z, m in zip(zones, inside_m, strict=True))
            told.append((run.whole_m + across * (1.0 + SLACK), run.whole_m))
        assert needed == pytest.approx(min(told)[1])
    # in whatever shape they are asked for
    assert Reach(floor, outlets).needed_m(places[:6].reshape(2, 3, 3)).shape == (2, 3)


def test_no_outlet_and_no_such_wall_are_refused() -> None:
    with pytest.raises(OutOfRange, match="outlets"):
        Reach(Floor(ELL, ()), ())
    with pytest.raises(OutOfRange, match="wall"):
        Reach(Floor(ELL, ()), ((OnWall("P1", "Q", 0.4), 0.3),)).needed_m([1.0, 1.0, 1.0])
