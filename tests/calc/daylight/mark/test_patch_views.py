"""What patches see of the sky, sorted into boxes: nothing may be lost, and skies keep their light."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.daylight.mark.patch_views import gathered, patch_views
from scout.calc.daylight.outside.sky import clear_spread
from scout.calc.daylight.window.glazing import Glazing, plan_bearing_deg
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
    # the boxes are 5 degrees wide.
    ready = patch_views(plan, 2.7, glazing, (), (TABLE, BOOKCASE))
    sent = np.random.default_rng(3).uniform(0.0, 1.0, len(ready.share))
    spread = (sent[:, None] * ready.share).ravel()
    sun = 35.0, 160.0
    whole, clear = 0.0, 0.0
    for view, points, one, glass in zip(
        ready.views, ready.points, ready.sorted_views, glazing, strict=True
    ):
        found = gathered(one, sent, np.array(plan), glass)
        each = view.sky * spread[points, None, None]
        turn = plan_bearing_deg(np.array(plan), glass.pane.wall)
        way = np.broadcast_to(view.turned_deg[..., None] + turn, each.shape)
        assert float(found.sky.sum()) == pytest.approx(float(each.sum()), rel=1e-12)
        assert found.ground == pytest.approx(float(view.ground @ spread[points]), rel=1e-12)
        whole += found.overcast(0.2)
        straight = float(np.sum(each * clear_spread(view.elevation_deg, way, *sun)))
        boxed = float(found.sky @ clear_spread(found.elevation_deg, found.bearing_deg, *sun))
        assert boxed == pytest.approx(straight, rel=0.01)
        clear += straight
    assert clear > 0
    assert whole == pytest.approx(float(sent @ ready.lit_by_overcast(0.2)), rel=0.003)
