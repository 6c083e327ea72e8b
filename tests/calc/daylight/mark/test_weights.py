"""The outdoors as weights: open ground, by hand."""

from __future__ import annotations

import pytest

from scout.calc.daylight.mark.weights import open_ground


def test_open_ground_sees_the_whole_sky() -> None:
    # property: on open ground the daylight factor is 100 %; by hand: above 30 degrees all round a
    # CIE overcast sky gives
    # 1 - (sin^2 30 / 6 + 2 sin^3 30 / 9) / (7 / 18) = 0.8214 of its light.
    assert open_ground(None).overcast(0.2) == pytest.approx(1.0, abs=1e-6)
    assert open_ground(((0.0, 30.0),)).overcast_sky == pytest.approx(
        1 - (0.25 / 6 + 2 * 0.125 / 9) / (7 / 18), abs=1e-4
    )
