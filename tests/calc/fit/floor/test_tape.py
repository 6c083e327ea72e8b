"""Tapes: two walls place a point, whatever the plan."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scout.calc.fit.floor.tape import tapes_m
from scout.calc.geometry import inside, walls

RECTANGLE = ((0.0, 6.5), (5.0, 6.5), (5.0, 0.0), (0.0, 0.0))
ELL = ((0.0, 4.0), (2.0, 4.0), (2.0, 6.0), (7.0, 6.0), (7.0, 0.0), (0.0, 0.0))


def test_a_rectangle_by_hand() -> None:
    # by hand: (1.2, 0.85) is 0.85 off wall C (y = 0) and 1.2 off wall D (x = 0); wall D runs up
    # from (0, 0), wall C leftwards from (5, 0)
    near, far = tapes_m(RECTANGLE, (1.2, 0.85, 2.0))
    assert (near.wall, near.distance_m, near.offset_m) == (
        "C",
        pytest.approx(0.85),
        pytest.approx(3.8),
    )
    assert (far.wall, far.distance_m, far.offset_m) == (
        "D",
        pytest.approx(1.2),
        pytest.approx(0.85),
    )


def test_no_tape_runs_through_a_wall() -> None:
    # by hand: from (1, 3.9) in the L's low arm wall A (y = 4) is 0.1 off and wall F (x = 0) 1.0;
    # from (3, 5) wall A's line is not met square
    assert [tape.wall for tape in tapes_m(ELL, (1.0, 3.9))] == ["A", "F"]
    assert [tape.wall for tape in tapes_m(ELL, (3.0, 5.0))] in (["B", "C"], ["C", "B"])


@settings(max_examples=80, deadline=None, derandomize=True)
@given(st.integers(3, 9), st.data())
def test_the_place_is_found_again_from_its_tapes(count: int, data: st.DataObject) -> None:
    plan = [
        (3 * r * math.cos(-2 * math.pi * k / count), 3 * r * math.sin(-2 * math.pi * k / count))
        for k, r in enumerate(
            data.draw(st.lists(st.floats(0.4, 1.0), min_size=count, max_size=count))
        )
    ]
    place = np.array([data.draw(st.floats(-1.0, 1.0)), data.draw(st.floats(-1.0, 1.0))])
    if not bool(inside(plan, place, edge_m=-0.01)):
        return
    found = tapes_m(plan, place)
    by_letter = {wall.letter: wall for wall in walls(plan)}
    for tape in found:
        # property: the foot lies on its wall, square under the place, at the distance told
        assert math.dist(tape.foot_m, place) == pytest.approx(tape.distance_m)
        assert by_letter[tape.wall].point(tape.offset_m)[:2] == pytest.approx(np.array(tape.foot_m))
    if len(found) == 2:
        # property: two lines, each moved inwards by its distance, cross at the place
        a, b = (by_letter[tape.wall] for tape in found)
        rows = np.stack([a.outward, b.outward])
        sides = [
            float(a.start_m @ a.outward) - found[0].distance_m,
            float(b.start_m @ b.outward) - found[1].distance_m,
        ]
        assert np.linalg.solve(rows, sides) == pytest.approx(place, abs=1e-6)
