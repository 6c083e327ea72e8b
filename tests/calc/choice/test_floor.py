"""A rectangle of clear floor in a plan. Expected answers by hand from the drawings, or by a
property.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scout.calc.choice.floor import rectangle_fits
from scout.calc.geometry import rectangle_m
from scout.errors import OutOfRange

# by hand: an L of 6 x 5 m with the upper right 3 x 2 m cut away; its largest rectangles are 6 x 3
# and 3 x 5
ELL = np.array([(0, 5), (3, 5), (3, 3), (6, 3), (6, 0), (0, 0)], dtype=float)


@pytest.mark.parametrize(
    ("w", "d", "fits"),
    [
        (6, 3, True),
        (3, 6, True),
        (3, 5, True),
        (5, 3, True),
        (6, 3.01, False),
        (3.01, 5, False),
        (4, 4, False),
        (6.1, 1, False),
        (2, 2, True),
    ],
)
def test_by_hand_in_an_l_shaped_room(w: float, d: float, fits: bool) -> None:
    assert rectangle_fits(ELL, w, d) is fits


def test_by_hand_a_turned_room_fits_the_same_floor() -> None:
    turn = np.radians(30)
    spin = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    assert rectangle_fits(ELL @ spin.T, 6, 3)
    assert not rectangle_fits(ELL @ spin.T, 4, 4)


@settings(max_examples=60, deadline=None)
@given(*(st.floats(0.5, 12) for _ in range(4)))
def test_property_in_a_rectangle_it_fits_when_both_sides_do(
    a: float, b: float, w: float, d: float
) -> None:
    fits = (w <= a and d <= b) or (d <= a and w <= b)
    near = any(abs(x - y) < 1e-5 for x in (w, d) for y in (a, b))
    assert near or rectangle_fits(rectangle_m(a, b), w, d) is fits


def test_by_hand_a_triangle_holds_half_its_legs() -> None:
    triangle = np.array(
        [(0, 4), (4, 0), (0, 0)], dtype=float
    )  # the largest upright square has half the legs' length
    assert rectangle_fits(triangle, 2, 2)
    assert not rectangle_fits(triangle, 2.1, 2.1)


def test_a_side_of_nothing_is_refused_by_name() -> None:
    with pytest.raises(OutOfRange, match="width_m"):
        rectangle_fits(ELL, 0, 1)
