"""How far apart two places are on the earth."""

from __future__ import annotations

from geographiclib.geodesic import Geodesic

from scout.calc.geometry import require


def distance_m(
    latitude_deg: float, longitude_deg: float, to_latitude_deg: float, to_longitude_deg: float
) -> float:
    """The shortest way over the ellipsoid WGS 84 [m]; roads are longer.

    Source: Karney, Algorithms for geodesics, J. Geodesy 87 (2013), by his own library
    """
    require("latitude_deg", latitude_deg, least=-90, most=90)
    require("to_latitude_deg", to_latitude_deg, least=-90, most=90)
    found = Geodesic.WGS84.Inverse(latitude_deg, longitude_deg, to_latitude_deg, to_longitude_deg)
    return float(found["s12"])
