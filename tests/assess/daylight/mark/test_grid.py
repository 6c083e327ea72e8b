"""The grid of daylight factors: the path tracer's table, the marks' own answer, and what a plan
asks of it.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from scout.assess.daylight import findings as daylight
from scout.assess.daylight.mark.grid import daylight_grid
from scout.calc.daylight.mark.factor_grid import daylight_factors
from scout.calc.daylight.window.glazing import Glazing
from scout.calc.daylight.window.pane import Pane
from scout.errors import OutOfRange, Refused
from tests.assess.daylight.test_daylight import JUNE, codes, sheet, why

BOX = ((0.0, 5.0), (4.0, 5.0), (4.0, 0.0), (0.0, 0.0))
GREY = (0.5, 0.5, 0.5, 0.5, 0.2, 0.8)
L_PLAN = [[0.0, 6.0], [3.0, 6.0], [3.0, 2.5], [7.0, 2.5], [7.0, 0.0], [0.0, 0.0]]


def test_the_validation_room_by_its_path_tracer() -> None:
    # Source: a path tracer without truncation, 36 million paths: 12.836, 2.805, 1.408 %, sky
    # component by closed form 11.363, 1.4632, 0.3738 %.
    points = np.array([(2.0, 4.0, 1.2), (2.0, 2.5, 1.2), (2.0, 1.0, 1.2)])
    hole = Glazing("W", Pane(0, 1.0, 0.9, 2.0, 1.5), 1.0)
    straight, whole = daylight_factors(BOX, 3.0, (hole,), points, GREY, ground_reflectance=0.2)
    assert whole is not None
    assert 100 * whole == pytest.approx([12.836, 2.805, 1.408], rel=0.01)
    assert 100 * straight == pytest.approx(
        [11.363, 1.4632, 0.3738], rel=0.001
    )  # from 1.2 m up the hole shows sky alone, and some ground
    # Source: the same tracer's mean over the whole plane at 0.85 m: 6.14 %.
    x, y = np.meshgrid((np.arange(16) + 0.5) / 4, (np.arange(20) + 0.5) / 4)
    plane = np.column_stack([x.ravel(), y.ravel(), np.full(x.size, 0.85)])
    _, over_plane = daylight_factors(BOX, 3.0, (hole,), plane, GREY, ground_reflectance=0.2)
    assert over_plane is not None
    assert 100 * over_plane.mean() == pytest.approx(6.14, rel=0.02)


@pytest.mark.parametrize(
    "change",
    [
        {},
        {
            "room__plan_m": L_PLAN,
            "room__width_m": None,
            "room__length_m": None,
            "room__surfaces": {
                name: {"light_reflectance": 0.5}
                for name in ("A", "B", "C", "D", "E", "F", "floor", "ceiling")
            },
            "room__windows__0__offset_m": 0.5,
        },
    ],
    ids=["box", "L"],
)
def test_the_grid_is_the_marks_answer_at_each_cell(change: dict[str, Any]) -> None:
    # property: the marks are solved backwards from the mark, the grid forwards from the windows.
    grid = daylight_grid(sheet(**change), 1.0, height_m=1.1)
    assert grid.factor_pct is not None
    assert grid.sky_pct is not None
    for row, column in ((0, 0), (2, 1), (len(grid.y_m) - 1, 1)):
        assert grid.inside[row, column]
        here = [float(grid.x_m[column]), float(grid.y_m[row]), 1.1]
        mark = daylight.marks(sheet(**{**change, "marks": {"subject": here}}), JUNE).marks[
            "subject"
        ]
        assert grid.factor_pct[row, column] == pytest.approx(mark.daylight_factor_pct, rel=0.01)


def test_an_l_shaped_plan_leaves_its_notch_out() -> None:
    surfaces = {
        name: {"light_reflectance": 0.5}
        for name in ("A", "B", "C", "D", "E", "F", "floor", "ceiling")
    }
    grid = daylight_grid(
        sheet(
            room__plan_m=L_PLAN,
            room__width_m=None,
            room__length_m=None,
            room__surfaces=surfaces,
            room__windows__0__offset_m=0.5,
        ),
        0.5,
    )
    # by hand: 7 x 6 less the notch 4 x 3.5 is 28 m2, 112 cells of 0.25 m2.
    assert grid.inside.sum() == 112
    assert grid.factor_pct is not None
    assert np.all(grid.factor_pct[~grid.inside] == 0)
    assert np.all(grid.factor_pct[grid.inside] > 0)
    assert grid.least_pct == pytest.approx(float(grid.factor_pct[grid.inside].min()), abs=0.001)


def test_no_facing_is_needed_and_a_missing_reflectance_leaves_the_sky() -> None:
    assert daylight_grid(sheet(room__facing=None)).factor_pct is not None
    part = daylight_grid(sheet(room__surfaces__floor=None))
    usual = daylight_grid(sheet(room__surfaces__floor={"light_reflectance": 0.2}))
    assert part.mean_pct == usual.mean_pct
    assert part.unknown is None
    assert "light.reflectance_taken" in codes(part.assumed)


@pytest.mark.parametrize(
    ("change", "because"),
    [
        ({"room__height_m": None}, ("unmeasured", "room.height_m")),
        ({"room__windows": None}, ("unmeasured.many", "room.windows")),
        ({"room__setting": "covered"}, ("light.covered",)),
        ({"room__setting": "exterior"}, ("light.open_sky",)),
        ({"room__windows__0__sill_m": None}, ("unmeasured", "windows.W1.sill_m")),
    ],
)
def test_what_is_missing_is_said(change: dict[str, Any], because: tuple[str, ...]) -> None:
    grid = daylight_grid(sheet(**change))
    assert grid.factor_pct is None
    assert why(grid.unknown) == because


def test_a_room_without_windows_is_dark() -> None:
    grid = daylight_grid(sheet(room__windows=[]))
    assert grid.mean_pct == 0.0


@pytest.mark.parametrize(
    "bad",
    [
        {"step_m": 0.0},
        {"step_m": float("nan")},
        {"step_m": 0.06},
        {"height_m": 3.5},
        {"height_m": -1.0},
    ],
)
def test_steps_and_heights_out_of_reach_are_refused(bad: dict[str, float]) -> None:
    with pytest.raises(Refused):
        daylight_grid(sheet(), **bad)


def test_a_point_outside_the_room_is_refused() -> None:
    with pytest.raises(OutOfRange):
        daylight_factors(BOX, 3.0, (), np.array([(9.0, 1.0, 1.0)]), GREY, ground_reflectance=0.2)
