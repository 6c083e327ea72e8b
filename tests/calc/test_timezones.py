"""Zones from coordinates: on land, off coasts, at poles, on borders, and for bad input."""

from __future__ import annotations

import numpy as np
import pytest
import tzfpy

from scout.calc.timezones import _ring, zone_at
from scout.errors import OutOfRange
from scout.values import Figure, said


@pytest.mark.parametrize(
    ("lat", "lon", "zone"),
    [
        # Source: the IANA time zone database's own zone for each of these towns.
        (52.2, 0.12, "Europe/London"),
        (-22.51, -43.18, "America/Sao_Paulo"),
        (1.87, -157.4, "Pacific/Kiritimati"),
        (-31.55, 159.08, "Australia/Lord_Howe"),
        (78.22, 15.65, "Arctic/Longyearbyen"),
        (40.71, -74.01, "America/New_York"),
        (-13.83, -171.76, "Pacific/Apia"),
    ],
)
def test_towns(lat: float, lon: float, zone: str) -> None:
    guess = zone_at(lat, lon)
    assert (guess.name, guess.confirm, guess.distance_km) == (zone, False, 0.0)


def test_trap_off_a_coast_the_look_up_names_a_nautical_zone() -> None:
    # Source: seen with tzfpy 2.1: 52.5 N 2.2 E lies 30 km off Norfolk and gives Etc/GMT; the crew's
    # clocks show Europe/London.
    assert tzfpy.get_tz(2.2, 52.5).startswith("Etc/")
    guess = zone_at(52.5, 2.2)
    assert guess.name == "Europe/London"
    assert guess.confirm
    assert guess.note is not None
    assert guess.note.code == "sun.off_coast"
    assert guess.note["null"] is None
    assert 0 < guess.distance_km <= 110


def test_far_out_at_sea_there_is_no_zone_to_offer() -> None:
    guess = zone_at(-30, -30)
    assert guess.name is None
    assert guess.confirm
    assert guess.note == said("sun.no_land", away=Figure(400, "km"), null=None)


def test_null_island_is_asked_about() -> None:
    guess = zone_at(0, 0)
    assert guess.confirm
    assert guess.note is not None
    assert guess.note["null"].code == "sun.phone_zero"


@pytest.mark.parametrize(("lat", "lon"), [(90, 0), (-90, 0), (89.99, 179), (-89.95, -45)])
def test_poles_ask(lat: float, lon: float) -> None:
    guess = zone_at(lat, lon)
    assert guess.confirm
    assert guess.note == said("sun.zone_pole")


def test_where_two_zones_are_in_use_both_are_told() -> None:
    # Source: Urumqi uses Beijing time by law and its own time by custom (IANA: Asia/Shanghai and
    # Asia/Urumqi).
    guess = zone_at(43.82, 87.6)
    assert {guess.name, *guess.others} == {"Asia/Shanghai", "Asia/Urumqi"}
    assert guess.confirm


@pytest.mark.parametrize("lon", [180.0, -180.0, 179.9])
def test_the_date_line_is_no_edge(lon: float) -> None:
    assert zone_at(-16.5, lon).name == "Pacific/Fiji"  # Source: Fiji lies on both sides of 180


@pytest.mark.parametrize(
    ("lat", "lon", "name"),
    [(95, 0, "latitude_deg"), (0, 200, "longitude_deg"), (float("nan"), 0, "latitude_deg")],
)
def test_trap_bad_input_is_refused_by_name(lat: float, lon: float, name: str) -> None:
    assert tzfpy.get_tz(lon, lat) == ""  # what the look-up itself would have said
    with pytest.raises(OutOfRange, match=name):
        zone_at(lat, lon)


@pytest.mark.parametrize("place", [(51.0, -4.0), (-16.5, 179.9), (89.5, 20.0), (-89.8, -170.0)])
@pytest.mark.parametrize("radius_km", [1, 70, 400])
def test_a_ring_lies_all_round_at_its_distance(
    place: tuple[float, float], radius_km: float
) -> None:
    """By hand: the haversine of the arc on a sphere of 6371 km; 32 points, the first due north."""
    points = np.radians(np.array(_ring(*place, radius_km)))
    phi, lam = np.radians(place)
    half = (
        np.sin((points[:, 0] - phi) / 2.0) ** 2
        + np.cos(phi) * np.cos(points[:, 0]) * np.sin((points[:, 1] - lam) / 2.0) ** 2
    )
    assert 2.0 * 6371.0 * np.arcsin(np.sqrt(half)) == pytest.approx(np.full(32, radius_km))
    assert np.all(np.abs(np.degrees(points[:, 1])) <= 180.0)
    if place[0] < 80.0:
        assert np.degrees(points[0]) == pytest.approx(
            (place[0] + radius_km / 6371.0 * 180.0 / np.pi, place[1])
        )
    # property: no two together, and they leave no gap
    assert len({tuple(point) for point in np.round(points, 9)}) == 32
