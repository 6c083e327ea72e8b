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
        # Source: Karney, test set for geodesics, GeodTest.dat (GeographicLib, computed with high
        # precision; each line as two projects quote it): far, near, next door
        ((36.530042355041, 0.0), (-48.164270779097768864, 5.762344694676510456), 9398502.0434687),
        ((31.371144087006, 0.0), (28.909631785856762, 17.071526465331372), 1665550.2846815),
        ((62.912967770911, 0.0), (-23.186512533703375483, 68.567247430960081525), 11254667.2007643),
        ((2.881248229541, 0.0), (53.997072295385487038, 44.520619105667619923), 6958264.1576889),
        ((19.707097385334, 0.0), (19.707739582810257, 0.00026025642810105), 76.1478894),
        # Source: Karney, the test cases of GeographicLib's own geodesic tests (geodtest)
        ((35.60777, -139.44815), (-11.17491, -69.95921), 8935244.5604818305),
        ((55.52454, 106.05087), (77.03196, 197.18234), 4105086.1713924406),
        ((-21.97856, 142.59065), (41.84138, 98.56635), 8394328.894657671),
        ((-66.99028, 112.2363), (-12.70631, 285.90344), 11150344.2312080241),
        ((-17.42761, 173.34268), (-15.84784, 5.93557), 16076603.1631180673),
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
