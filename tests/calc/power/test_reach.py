"""Leads to many places at once: the same as run by run."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.geometry import inside, rectangle_m
from scout.calc.power.reach import Reach
from scout.calc.power.run import OnWall, Trodden, cable_run
from scout.errors import OutOfRange

ELL = np.array([(0.0, 6.2), (3.4, 6.2), (3.4, 3.6), (6.0, 3.6), (6.0, 0.0), (0.0, 0.0)])

TRODDEN = Trodden(
    (np.array([(1.0, 2.0), (2.0, 2.0), (2.0, 1.0), (1.0, 1.0)]),),
    (np.array([(2.5, 0.5), (2.5, 2.5), (3.0, 3.0)]),),
)


def test_the_worked_runs() -> None:
    # By hand, as in test_run.py: (3.766 + 1.634 + 0.3 + 2.425) x 1.1 = 8.94 m, and (9.966 + 1.634 +
    # 0.3 + 2.425) x 1.1 = 15.76 m
    reach = Reach(rectangle_m(5.0, 6.5), ((OnWall("P1", "B", 0.6), 0.3),))
    found = reach.needed_m([[3.366, 2.134, 2.425], [1.634, 2.134, 2.425]])
    assert found == pytest.approx([8.94, 15.76], abs=0.01)


@pytest.mark.parametrize("plan", [rectangle_m(5.0, 6.5), ELL])
def test_the_same_as_one_run_after_the_other(plan: np.ndarray) -> None:
    # property: the nearest outlet's run
    random = np.random.default_rng(5)
    outlets = ((OnWall("P1", "A", 0.4), 0.3), (OnWall("P2", "C", 1.1), 1.0))
    places = np.column_stack(
        [random.uniform(0, 6, 60), random.uniform(0, 6.2, 60), random.uniform(0.2, 2.6, 60)]
    )
    places = places[inside(plan, places[:, :2])]
    for doors in (
        (),
        (OnWall("D1", "B", 0.5, 0.9),),
        (OnWall("D1", "B", 0.5, 0.9), OnWall("D2", "D", 0.3, 0.8), OnWall("D3", "A", 0.2, 0.8)),
        (OnWall("D1", "B", 0.5, 0.9, True), OnWall("D2", "D", 0.3, 0.8), OnWall("D3", "A", 0.2)),
    ):
        for trodden in (None, TRODDEN):
            each = [
                min(
                    cable_run(plan, plug, height, place, doors, trodden=trodden).whole_m
                    for plug, height in outlets
                )
                for place in places
            ]
            found = Reach(plan, outlets, doors, trodden).needed_m(places)
            assert found == pytest.approx(each)


def test_no_outlet_and_no_such_wall_are_refused() -> None:
    with pytest.raises(OutOfRange, match="outlets"):
        Reach(ELL, ())
    with pytest.raises(OutOfRange, match="wall"):
        Reach(ELL, ((OnWall("P1", "Q", 0.4), 0.3),)).needed_m([1.0, 1.0, 1.0])
