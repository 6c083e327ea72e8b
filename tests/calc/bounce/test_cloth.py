"""Where on a surface a cloth does most."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.bounce.cloth import Cloth, best_cloth
from scout.calc.geometry import FloatArray
from scout.calc.radiosity import enclosure
from scout.errors import OutOfRange

# 4 by 3 by 2.5 m; wall B at x = 4 runs from y = 3 down; a window in it from 1.0 to 2.0 m along
PLAN = ((0.0, 3.0), (4.0, 3.0), (4.0, 0.0), (0.0, 0.0))
BARE = enclosure(PLAN, 2.5, (), 0.5).patches
GLAZED = enclosure(PLAN, 2.5, (("W1", 1, 1.0, 1.0, 1.0, 1.0),), 0.5).patches


def test_it_lies_where_the_weight_is() -> None:
    # By hand: weight on wall B between 0.5 and 1.5 m along (y 2.5 to 1.5) and 1.0 to 2.0 m up: 1 m2
    y, z = BARE.centre_m[:, 1], BARE.centre_m[:, 2]
    under = BARE.of("B") & (y < 2.5) & (y > 1.5) & (z > 1.0) & (z < 2.0)
    heavy: FloatArray = np.where(under, 1.0, 0.0)
    cloth = best_cloth(BARE, "B", heavy + 1e-6, 1.0)
    assert cloth is not None
    assert cloth.along_m == pytest.approx((0.5, 1.5))
    assert cloth.across_m == pytest.approx((1.0, 2.0))
    assert cloth.area_m2 == pytest.approx(1.0)
    assert np.array_equal(cloth.over(BARE), under)


def test_it_lies_on_the_same_place_of_a_room_cut_otherwise() -> None:
    # property: finer patches add up to the same area; the window and what is beside it are not it
    cloth = Cloth("B", (0.0, 1.0), (0.5, 2.5), 2.0)
    for patches in (BARE, GLAZED, enclosure(PLAN, 2.5, (), 0.25).patches):
        assert patches.area_m2[cloth.over(patches)].sum() == pytest.approx(2.0)


def test_it_keeps_off_windows_and_off_what_is_in_frame() -> None:
    # property: it hangs beside the window though the weight lies all round it
    weight = np.ones(len(GLAZED.area_m2))
    part = best_cloth(GLAZED, "B", weight, 3.0)
    assert part is not None
    start, end = part.along_m
    low, high = part.across_m
    assert end <= 1.0 + 1e-6 or start >= 2.0 - 1e-6 or high <= 1.0 + 1e-6 or low >= 2.0 - 1e-6
    # By hand: with all that lies beyond the window kept free only the first metre is left
    beyond = GLAZED.centre_m[:, 1] < 2.0
    before = best_cloth(GLAZED, "B", weight, 100.0, kept_off=beyond)
    assert before is not None
    assert before.along_m == pytest.approx((0.0, 1.0))
    assert before.area_m2 == pytest.approx(2.5)
    assert best_cloth(GLAZED, "B", weight, 100.0, kept_off=weight > 0) is None


def test_a_floor_is_covered_by_x_and_y() -> None:
    x, y = BARE.centre_m[:, 0], BARE.centre_m[:, 1]
    under = BARE.of("floor") & (x > 2.0) & (x < 3.0) & (y < 1.0)
    heavy: FloatArray = np.where(under, 1.0, 0.0)
    cloth = best_cloth(BARE, "floor", heavy + 1e-6, 1.0)
    assert cloth is not None
    assert cloth.along_m == pytest.approx((2.0, 3.0))
    assert cloth.across_m == pytest.approx((0.0, 1.0))


def test_a_sheet_is_no_wider_and_no_longer_than_it_is() -> None:
    # By hand: of an evenly weighted floor of 4 by 3 m a sheet of 2 by 3 m covers 6 m2, either way round
    even = np.ones(len(BARE.area_m2))
    sheet = best_cloth(BARE, "floor", even, 100.0, sides_m=(2.0, 3.0))
    assert sheet is not None
    sides = sorted(end - start for start, end in (sheet.along_m, sheet.across_m))
    assert sides == pytest.approx([2.0, 3.0])
    assert sheet.area_m2 == pytest.approx(6.0)
    assert best_cloth(BARE, "floor", even, 100.0, sides_m=(0.1, 3.0)) is None


def test_what_cannot_be_is_refused_or_none() -> None:
    weight = np.ones(len(BARE.area_m2))
    assert best_cloth(BARE, "B", weight, 0.01) is None  # less than any patch
    for name, bad in (("most_m2", {"most_m2": 0.0}), ("weight", {"weight": -weight})):
        with pytest.raises(OutOfRange, match=name):
            best_cloth(BARE, "B", **({"weight": weight, "most_m2": 1.0} | bad))  # type: ignore[arg-type]
