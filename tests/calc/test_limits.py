"""The borders of what the engines take: the last figure taken and the first refused, by name.

By hand: the limits are those of the functions' own descriptions.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any

import numpy as np
import pytest

from scout.calc.bounce.light import light_spectrum
from scout.calc.bounce.spectra import daylight, planck
from scout.calc.bounce.surface import linear_of_code
from scout.calc.bounce.window_light import sun_cct_k
from scout.calc.choice.ranking import worth_of_knowing
from scout.calc.daylight.outside.sky import CLEAR, direct_normal_lux, sky_lux
from scout.calc.daylight.place.sighting import (
    directions_in_photo,
    line_doubt_deg,
    map_sight,
    view_across_deg,
)
from scout.calc.daylight.sun.almanac import moon_day
from scout.calc.daylight.sun.events import day_events
from scout.calc.daylight.sun.position import sun_position
from scout.calc.distance import distance_m
from scout.calc.light.exposure import needed_lux
from scout.calc.light.flicker import flicker_stops
from scout.calc.light.photometry import beam_exponent, beam_share, intensity_uniform_cone_cd
from scout.calc.light.reflector import matt_board_lux, mirror_aim
from scout.calc.magnetic import declination
from scout.calc.power.current import limit_a
from scout.calc.power.drop import metric_conductor
from scout.calc.sound.boundaries import modes
from scout.calc.sound.reverberation import speed_of_sound_m_s
from scout.calc.timezones import zone_at
from scout.errors import OutOfRange


def seen(latitude: float, longitude: float) -> Callable[[], object]:
    back = longitude - 0.001 if longitude > 0 else longitude + 0.001
    return lambda: map_sight((latitude, longitude), (latitude, back))


@pytest.mark.parametrize(
    ("taken", "refused", "name"),
    [
        (seen(52, 180), seen(52, 180.01), "from_deg.longitude_deg"),
        (seen(52, -180), seen(52, -180.01), "from_deg.longitude_deg"),
        (seen(89, 5), seen(89.01, 5), "from_deg.latitude_deg"),
        (seen(-89, 5), seen(-89.01, 5), "from_deg.latitude_deg"),
        (lambda: zone_at(90, 0), lambda: zone_at(90.01, 0), "latitude_deg"),
        (lambda: zone_at(-90, 0), lambda: zone_at(-90.01, 0), "latitude_deg"),
        (lambda: zone_at(52, 180), lambda: zone_at(52, 180.01), "longitude_deg"),
        (lambda: zone_at(52, -180), lambda: zone_at(52, -180.01), "longitude_deg"),
        (lambda: line_doubt_deg(1.0, 0.0), lambda: line_doubt_deg(1.0, -0.01), "accuracy_m"),
        (
            lambda: view_across_deg(4000, 3000, 24),
            lambda: view_across_deg(4000, 3000, 0),
            "equivalent_mm",
        ),
    ],
)
def test_the_last_taken_and_the_first_refused(
    taken: Callable[[], object], refused: Callable[[], object], name: str
) -> None:
    taken()
    with pytest.raises(OutOfRange) as refusal:
        refused()
    assert refusal.value.path == name


SUN: dict[str, Any] = {"at": 1.7e9, "latitude_deg": 52.0, "longitude_deg": 0.0}
DAY: dict[str, Any] = {
    "on": date(2026, 6, 21),
    "zone": UTC,
    "latitude_deg": 52.0,
    "longitude_deg": 0.0,
}
MOON: dict[str, Any] = {"spans": ((1.7e9, 1.7e9 + 86_400),), "latitude_deg": 52, "longitude_deg": 0}
NORTH: dict[str, Any] = {"latitude_deg": 52, "longitude_deg": 0, "on": date(2026, 6, 21)}
PHOTO: dict[str, Any] = {
    "points": [(0.5, 0.5)],
    "aspect": 1.5,
    "across_deg": 60,
    "bearing_deg": 10,
}
BOARD: dict[str, Any] = {
    "sun_lux": 9e4,
    "reflectance": 0.8,
    "area_m2": 1.0,
    "incidence_deg": 20,
    "leaving_deg": 30,
    "distance_m": 3,
}
EXPOSED: dict[str, Any] = {"f_number": 2.8, "shutter_s": 0.02, "iso": 800}
MIRROR: dict[str, Any] = {
    "sun_azimuth_deg": 120,
    "sun_elevation_deg": 40,
    "mirror_m": (1.0, 1.0, 1.0),
    "subject_m": (3.0, 2.0, 1.5),
}
# years 1000 to 3000: by hand from the proleptic Gregorian calendar
FIRST_S, LAST_S = (datetime(year, 1, 1, tzinfo=UTC).timestamp() for year in (1000, 3000))


@pytest.mark.parametrize(
    ("asked", "given", "name", "inside", "outside"),
    [
        *(
            (sun_position, SUN, name, inside, outside)
            for name, inside, outside in (
                ("latitude_deg", 90, 90.1),
                ("latitude_deg", -90, -90.1),
                ("longitude_deg", 180, 180.1),
                ("longitude_deg", -180, -180.1),
                ("elevation_m", -500, -501),
                ("elevation_m", 20_000, 20_001),
                ("pressure_hpa", 0, -0.1),
                ("pressure_hpa", 1200, 1200.1),
                ("air_c", -100, -100.1),
                ("air_c", 70, 70.1),
                ("at", np.array([LAST_S - 1.0]), np.array([LAST_S + 86_400.0 * 400])),
                ("at", np.array([FIRST_S + 86_400.0 * 10]), np.array([FIRST_S - 86_400.0 * 400])),
            )
        ),
        (day_events, DAY, "latitude_deg", 90, 90.1),
        (day_events, DAY, "latitude_deg", -90, -90.1),
        (day_events, DAY, "longitude_deg", 180, 180.1),
        (day_events, DAY, "longitude_deg", -180, -180.1),
        (moon_day, MOON, "latitude_deg", 90, 90.1),
        (moon_day, MOON, "latitude_deg", -90, -90.1),
        (moon_day, MOON, "longitude_deg", 180, 180.1),
        (moon_day, MOON, "longitude_deg", -180, -180.1),
        (declination, NORTH, "latitude_deg", 90, 90.1),
        (declination, NORTH, "latitude_deg", -90, -90.1),
        (declination, NORTH, "longitude_deg", 180, 180.1),
        (declination, NORTH, "longitude_deg", -180, -180.1),
        (declination, NORTH, "elevation_m", -1000, -1001),
        (declination, NORTH, "elevation_m", 20_000, 20_001),
        (directions_in_photo, PHOTO, "points", [(0.0, 1.0)], [(0.0, 1.001)]),
        (directions_in_photo, PHOTO, "points", [(1.0, 0.0)], [(-0.001, 0.5)]),
        (directions_in_photo, PHOTO, "across_deg", 1.001, 1.0),
        (directions_in_photo, PHOTO, "across_deg", 169.9, 170.0),
        (directions_in_photo, PHOTO, "tilt_deg", 80, 80.1),
        (directions_in_photo, PHOTO, "tilt_deg", -80, -80.1),
        (directions_in_photo, PHOTO, "aspect", 0.001, 0.0),
        (matt_board_lux, BOARD, "reflectance", 1, 1.01),
        (matt_board_lux, BOARD, "reflectance", 0, -0.01),
        (matt_board_lux, BOARD, "incidence_deg", 90, 90.1),
        (matt_board_lux, BOARD, "incidence_deg", 0, -0.1),
        (matt_board_lux, BOARD, "leaving_deg", 90, 90.1),
        (matt_board_lux, BOARD, "leaving_deg", 0, -0.1),
        (matt_board_lux, BOARD, "distance_m", 0.1, 0.0),
        (mirror_aim, MIRROR, "sun_elevation_deg", 90, 90.1),
        (mirror_aim, MIRROR, "sun_elevation_deg", 0.1, 0.0),
        (intensity_uniform_cone_cd, {"lumens": 900}, "beam_deg", 360, 360.1),
        (intensity_uniform_cone_cd, {"lumens": 900}, "beam_deg", 0.1, 0.0),
        (beam_exponent, {}, "beam_deg", 179.9, 180.0),
        (beam_exponent, {}, "beam_deg", 0.1, 0.0),
        (beam_share, {"beam_deg": 60}, "off_axis_deg", 180, 180.1),
        (beam_share, {"beam_deg": 60}, "off_axis_deg", 0, -0.1),
        (needed_lux, EXPOSED, "constant", 240, 239.9),
        (needed_lux, EXPOSED, "constant", 540, 540.1),
        (needed_lux, EXPOSED, "iso", 1, 0),
        (flicker_stops, {}, "share", 0.99, 1.0),
        (flicker_stops, {}, "share", 0.0, -0.01),
        (limit_a, {"breaker_a": 16}, "continuous_share", 1, 1.01),
        (limit_a, {"breaker_a": 16}, "continuous_share", 0.01, 0),
        (metric_conductor, {"conductor_mm2": 1.5}, "copper_c", -40, -40.1),
        (metric_conductor, {"conductor_mm2": 1.5}, "copper_c", 120, 120.1),
        (planck, {}, "kelvin", 500, 499),
        (daylight, {}, "kelvin", 4000, 3999),
        (daylight, {}, "kelvin", 25_000, 25_001),
        (sun_cct_k, {}, "elevation_deg", 90, 90.1),
        (sun_cct_k, {}, "elevation_deg", -90, -90.1),
        (linear_of_code, {}, "code", [0, 255, 9], [0, 256, 9]),
        (linear_of_code, {}, "code", [0, 0, 0], [-1, 0, 0]),
        (light_spectrum, {"kind": "tungsten"}, "cct_k", 1000.0, 999.0),
        (light_spectrum, {"kind": "tungsten"}, "cct_k", 25_000.0, 25_001.0),
        (light_spectrum, {"kind": "led"}, "cct_k", 1700.0, 1699.0),
        (light_spectrum, {"kind": "daylight"}, "cct_k", 4000.0, 3999.0),
        (light_spectrum, {"kind": "led", "cct_k": 4000.0}, "duv", 0.05, 0.0501),
        (light_spectrum, {"kind": "led", "cct_k": 4000.0}, "duv", -0.05, -0.0501),
        (direct_normal_lux, {}, "sun_elevation_deg", 90, 90.1),
        (direct_normal_lux, {}, "sun_elevation_deg", -90, -90.1),
        (sky_lux, {"terms": CLEAR}, "sun_elevation_deg", 90, 90.1),
        (sky_lux, {"terms": CLEAR}, "sun_elevation_deg", -90, -90.1),
        (speed_of_sound_m_s, {}, "air_c", -273.1, -273.15),
        (modes, {"size_m": (4, 3, 2.5)}, "highest_hz", 50.0, 0.0),
        (modes, {"size_m": (1, 1, 1)}, "highest_hz", 2000.0, 2000.1),
        (worth_of_knowing, {"payoff": [[1.0]]}, "probability", [1.0], [1.01]),
        (worth_of_knowing, {"payoff": [[1.0]]}, "probability", [0.0], [-0.01]),
        *(
            (distance_m, dict.fromkeys(("longitude_deg", "to_longitude_deg"), 0.0) | other, *rest)
            for other, *rest in (
                ({"to_latitude_deg": 1.0}, "latitude_deg", 90.0, 90.1),
                ({"to_latitude_deg": 1.0}, "latitude_deg", -90.0, -90.1),
                ({"latitude_deg": 1.0}, "to_latitude_deg", 90.0, 90.1),
                ({"latitude_deg": 1.0}, "to_latitude_deg", -90.0, -90.1),
            )
        ),
    ],
)
def test_a_figure_is_taken_up_to_its_border(
    asked: Callable[..., object], given: dict[str, Any], name: str, inside: Any, outside: Any
) -> None:
    asked(**{**given, name: inside})
    with pytest.raises(OutOfRange) as refusal:
        asked(**{**given, name: outside})
    assert refusal.value.path.startswith(name)


@pytest.mark.parametrize(("latitude", "longitude"), [(52.2, 0.12), (40.71, -74.01)])
def test_one_zone_on_land_asks_nothing(latitude: float, longitude: float) -> None:
    guess = zone_at(latitude, longitude)
    assert guess.note is None
    assert guess.others == ()


def test_where_two_zones_claim_the_land_both_are_named() -> None:
    # Source: the IANA database has Asia/Shanghai and Asia/Urumqi both for Xinjiang.
    guess = zone_at(43.8, 87.6)
    assert {guess.name, *guess.others} == {"Asia/Shanghai", "Asia/Urumqi"}
    assert guess.confirm
    assert guess.note is not None
    assert guess.note.code == "sun.zones"
