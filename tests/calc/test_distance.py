"""Distances over the ellipsoid against published values."""

from __future__ import annotations

import pytest

from scout.calc.distance import distance_m
from scout.errors import OutOfRange


@pytest.mark.parametrize(
    ("one", "other", "metres"),
    [
        # Source: GeographicLib, documentation of the Python package: Wellington to Salamanca
        ((-41.32, 174.81), (40.96, -5.50), 19959679.267),
        # Source: GeographicLib's test set GeodTest.dat, first line (from memory)
        ((36.530042355041, 0.0), (-48.164270779097768864, 5.762344694676510456), 9398502.0434687),
        # by hand: a quarter of WGS 84's meridian is 10 001 965.729 m
        ((0.0, 0.0), (90.0, 0.0), 10001965.729),
        ((52.0, 1.0), (52.0, 1.0), 0.0),
    ],
)
def test_published_distances(
    one: tuple[float, float], other: tuple[float, float], metres: float
) -> None:
    assert distance_m(*one, *other) == pytest.approx(metres, abs=0.001)
    assert distance_m(*other, *one) == pytest.approx(metres, abs=0.001)


def test_a_latitude_beyond_the_pole_is_refused() -> None:
    with pytest.raises(OutOfRange):
        distance_m(91.0, 0.0, 0.0, 0.0)
