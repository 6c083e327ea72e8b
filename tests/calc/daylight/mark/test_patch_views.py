"""What patches see of the sky, sorted into boxes: nothing may be lost, and skies keep their light."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.daylight.mark.patch_views import gathered, patch_views
from scout.calc.daylight.outside.sky import clear_spread
from scout.calc.daylight.window.glazing import Glazing, plan_bearing_deg, view_through
from scout.calc.daylight.window.pane import wings_of
from scout.calc.geometry import FloatArray
from tests.calc.daylight.mark.furnished import BOOKCASE, PLAN, TABLE, TURNED, TWO

SIDE = Glazing("W3", TWO[0].pane, 0.7, skyline=((0.0, 12.0), (90.0, 30.0)), facing_deg=130.0)


@pytest.mark.parametrize(
    ("plan", "glazing"),
    [(PLAN, TWO), (TURNED, (TWO[0],)), (TURNED, (SIDE,))],
)
def test_a_sorted_view_is_what_every_patch_sees(
    plan: tuple[tuple[float, float], ...], glazing: tuple[Glazing, ...]
) -> None:
    # property: summed patch by patch over every direction, with weights drawn at random, the sky
    # comes to the same in all; under an overcast sky within 0.3 %, under a clear one within 1 %:
    # the boxes are 5 degrees wide. Each patch alone has its own ground, its overcast sky exactly and
    # its clear sky, by the middles of its boxes, within 2 % of what most of them get.
    boxes = (TABLE, BOOKCASE)
    ready = patch_views(plan, 2.7, glazing, (), boxes)
    patches = ready.room.patches
    points, share = patches.drawn_in(2, gauss=True)
    at, inwards = points.reshape(-1, 3), np.repeat(patches.normal, points.shape[1], axis=0)
    sent = np.random.default_rng(3).uniform(0.0, 1.0, len(share))
    whole, clear = 0.0, 0.0
    for one, glass in zip(ready.views, glazing, strict=True):
        wing = wings_of(plan, glass.pane.wall, 2.7)
        panels = 3 if wing or glass.skyline is not None else 1
        view = view_through(np.array(plan), glass, wing, at, inwards, 8, 4, panels, boxes)
        found = gathered(one, sent, np.array(plan), glass)

        def mean(per_point: FloatArray) -> FloatArray:
            return np.asarray(np.sum(per_point.reshape(share.shape) * share, axis=1))

        sky, ground = mean(view.sky.sum(axis=(1, 2))), mean(view.ground)
        assert float(found.sky.sum()) == pytest.approx(float(sky @ sent), rel=1e-12)
        assert found.ground == pytest.approx(float(ground @ sent), rel=1e-12)
        assert one.ground == pytest.approx(ground, rel=1e-12, abs=1e-15)
        assert one.overcast() == pytest.approx(mean(view.overcast()), rel=1e-12, abs=1e-15)
        whole += found.overcast(0.2)
        facing = plan_bearing_deg(np.array(plan), glass.pane.wall)
        each = mean(view.clear(facing, 35.0, 160.0))
        assert one.clear(facing, 35.0, 160.0) == pytest.approx(each, abs=0.02 * each.max())
        spread = clear_spread(found.elevation_deg, found.bearing_deg, 35.0, 160.0)
        assert float(found.sky @ spread) == pytest.approx(float(each @ sent), rel=0.01)
        clear += float(each @ sent)
    assert clear > 0
    assert whole == pytest.approx(float(sent @ ready.lit_by_overcast(0.2)), rel=0.003)
