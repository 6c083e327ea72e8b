"""The sun's place in the sky against the NREL algorithm, its worked example and two independent
codes.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import numpy as np
import pytest
from numpy.typing import NDArray
from pvlib import spa

from scout.calc.daylight.sun.ephemeris import delta_t_s, heliocentric_earth
from scout.calc.daylight.sun.position import refraction_deg, sun_position, towards
from scout.errors import OutOfRange

# Source: pvlib 0.16.1 nrel_numpy (SPA of Reda and Andreas, NREL/TP-560-34302), sea level, 101325
# Pa, 12 C; azimuth clockwise from north.
TABLE = [
    ("London, summer noon", 51.5, -0.12, "2026-06-21T12:02", 61.9457, 61.9367, 179.8549),
    (
        "London, 1 s before clocks go on",
        51.5,
        -0.12,
        "2026-03-29T00:59:59",
        -33.9662,
        -33.9662,
        16.5119,
    ),
    ("London, same day", 51.5, -0.12, "2026-03-29T17:30", 8.3708, 8.2643, 265.3381),
    ("New York, clocks back", 40.71, -74.01, "2026-11-01T20:00", 17.8548, 17.8035, 231.2262),
    ("Tromso, midnight sun", 69.65, 18.96, "2026-06-20T22:46", 3.3081, 3.0850, 0.0329),
    (
        "Longyearbyen, polar-night noon",
        78.22,
        15.65,
        "2026-12-21T10:55",
        -11.6592,
        -11.6592,
        179.8965,
    ),
    ("Quito, near zenith", -0.18, -78.47, "2026-03-20T17:21", 89.7687, 89.7686, 15.7185),
    ("Singapore, near zenith", 1.35, 103.82, "2026-09-23T05:00", 88.4080, 88.4076, 206.1335),
    ("Sydney, winter morning", -33.87, 151.21, "2026-06-20T23:30", 22.9293, 22.8899, 36.5424),
    ("Cape Town, summer evening", -33.92, 18.42, "2026-12-21T16:00", 21.6782, 21.6363, 255.5889),
    ("Kiritimati, UTC+14", 1.87, -157.4, "2026-03-19T20:00", 50.6500, 50.6362, 92.7691),
    ("Fiji, near 180", -17.8, 178.0, "2026-12-31T20:00", 31.3855, 31.3580, 106.6121),
    ("Apia", -13.83, -171.76, "2026-06-21T04:30", 7.6377, 7.5221, 296.4685),
    ("1 km from the South Pole", -89.99, 0.0, "2026-12-21T06:00", 23.4722, 23.4338, 89.4895),
]


def apart_deg(h1: object, s1: object, h2: object, s2: object) -> NDArray[np.float64]:
    """Angle on the sky between two directions; raw azimuths mean nothing near the zenith."""
    chord = np.linalg.norm(towards(h1, s1) - towards(h2, s2), axis=-1)  # type: ignore[arg-type]
    return np.degrees(2 * np.arcsin(chord / 2))


def test_nrel_worked_example() -> None:
    # Source: Reda and Andreas, Solar Position Algorithm, NREL/TP-560-34302, revised January 2008,
    # table A5.1.
    at = datetime(2003, 10, 17, 12, 30, 30, tzinfo=timezone(timedelta(hours=-7)))
    sun = sun_position(
        at,
        latitude_deg=39.742476,
        longitude_deg=-105.1786,
        elevation_m=1830.14,
        pressure_hpa=820,
        air_c=11,
    )
    assert sun.zenith_deg == pytest.approx(50.11162, abs=0.001)
    assert sun.azimuth_deg == pytest.approx(194.34024, abs=0.001)
    assert sun.geometric_elevation_deg == pytest.approx(39.872046, abs=0.001)
    assert isinstance(sun.elevation_deg, float)


def test_nrel_worked_example_intermediate_values() -> None:
    # Source: the same, table A5.1: L, B, R at Julian day 2452930.312847 with delta-T 67 s.
    jme = ((2452930.312847 + 67 / 86400) - 2451545.0) / 365250.0
    longitude, latitude, radius = heliocentric_earth(np.array([jme]))
    assert np.degrees(longitude[0]) == pytest.approx(24.0182616917, abs=1e-5)
    assert np.degrees(latitude[0]) == pytest.approx(-0.0001011219, abs=1e-8)
    assert radius[0] == pytest.approx(0.9965422974, abs=1e-9)


@pytest.mark.parametrize(("name", "lat", "lon", "utc", "apparent", "geometric", "azimuth"), TABLE)
def test_table_of_places(
    name: str, lat: float, lon: float, utc: str, apparent: float, geometric: float, azimuth: float
) -> None:
    sun = sun_position(
        datetime.fromisoformat(utc).replace(tzinfo=UTC), latitude_deg=lat, longitude_deg=lon
    )
    assert sun.elevation_deg == pytest.approx(apparent, abs=0.01), name
    assert sun.geometric_elevation_deg == pytest.approx(geometric, abs=0.01), name
    assert apart_deg(sun.geometric_elevation_deg, sun.azimuth_deg, geometric, azimuth) < 0.01, name


def test_against_spa_at_a_thousand_places_and_instants() -> None:
    # Source: pvlib's SPA, with delta-T by Espenak and Meeus as in ours; 1950 to 2050, every
    # latitude.
    rng = np.random.default_rng(20260621)
    at = rng.uniform(-631_152_000, 2_524_608_000, 1000)
    lat, lon = np.degrees(np.arcsin(rng.uniform(-1, 1, 1000))), rng.uniform(-180, 180, 1000)
    high = rng.uniform(0, 4000, 1000)
    want = spa.solar_position_numpy(at, lat, lon, high, 1013.25, 12.0, delta_t_s(at), 0.5667, 1)
    for t, la, lo, el, apparent, geometric, azimuth in zip(
        at, lat, lon, high, want[2], want[3], want[4], strict=True
    ):
        sun = sun_position([t], latitude_deg=la, longitude_deg=lo, elevation_m=el)
        assert sun.geometric_elevation_deg[0] == pytest.approx(geometric, abs=0.001)
        assert sun.elevation_deg[0] == pytest.approx(apparent, abs=0.001)
        assert (
            apart_deg(sun.geometric_elevation_deg[0], sun.azimuth_deg[0], geometric, azimuth)
            < 0.001
        )


@pytest.mark.parametrize(
    ("year", "lag"),
    [
        # Source: Espenak and Meeus, Five Millennium Canon of Solar Eclipses (2006), its table of
        # delta-T.
        (1600, 120),
        (1700, 9),
        (1800, 14),
        (1900, -3),
        (1950, 29),
        (2000, 64),
    ],
)
def test_delta_t_of_past_centuries(year: int, lag: float) -> None:
    at = datetime(year, 1, 1, tzinfo=UTC).timestamp()
    assert delta_t_s(np.array([at]))[0] == pytest.approx(lag, abs=1.0)


def test_many_instants_are_the_same_as_one_by_one() -> None:
    # property: a long array goes by daily interpolation, a short one sums the series; both must
    # agree.
    at = np.arange(0.0, 40 * 86400.0, 1800.0) + 1.77e9
    many = sun_position(at, latitude_deg=52.2, longitude_deg=0.12)
    for i in range(0, len(at), 97):
        one = sun_position([at[i]], latitude_deg=52.2, longitude_deg=0.12)
        assert many.geometric_elevation_deg[i] == pytest.approx(
            one.geometric_elevation_deg[0], abs=1e-5
        )
        assert many.azimuth_deg[i] == pytest.approx(one.azimuth_deg[0], abs=1e-4)


def test_shape_follows_the_instants() -> None:
    # property: leading axes are kept.
    sun = sun_position(np.full((3, 4), 1.75e9), latitude_deg=0, longitude_deg=0)
    assert sun.azimuth_deg.shape == (3, 4)
    assert sun_position([], latitude_deg=0, longitude_deg=0).azimuth_deg.shape == (0,)


def test_at_the_poles_the_sun_goes_round_level() -> None:
    # property: at a pole elevation is the declination, the same all day but for its slow drift (0.4
    # degrees a day at most).
    at = datetime(2026, 6, 21, tzinfo=UTC).timestamp() + np.arange(0, 86400, 3600.0)
    north = sun_position(at, latitude_deg=90, longitude_deg=0)
    assert np.ptp(north.geometric_elevation_deg) < 0.01
    assert north.geometric_elevation_deg[0] == pytest.approx(
        23.435, abs=0.01
    )  # obliquity of the ecliptic in 2026, IAU: 23.436
    assert np.all(np.abs(np.diff(np.unwrap(np.radians(north.azimuth_deg)))) < np.radians(15.1))
    south = sun_position(at, latitude_deg=-90, longitude_deg=0)
    assert south.geometric_elevation_deg[0] == pytest.approx(-23.436, abs=0.01)


def test_refraction_stands_at_34_minutes_on_the_horizon_and_stops_below() -> None:
    # Source: the almanac convention, 34' for what is seen on the horizon (SPA's 0.5667); at 45
    # degrees near 1'.
    assert refraction_deg(np.array([-34 / 60]))[0] == pytest.approx(34 / 60, abs=0.01)
    assert refraction_deg(np.array([45.0]))[0] == pytest.approx(1 / 60, abs=0.002)
    assert refraction_deg(np.array([-0.84, -30.0])).tolist() == [0.0, 0.0]


@pytest.mark.parametrize(
    ("name", "change"),
    [
        ("latitude_deg", {"latitude_deg": 95.0}),
        ("longitude_deg", {"longitude_deg": 200.0}),
        ("latitude_deg", {"latitude_deg": float("nan")}),
        ("elevation_m", {"elevation_m": 1e9}),
        ("pressure_hpa", {"pressure_hpa": -1.0}),
    ],
)
def test_bad_input_is_refused_by_name(name: str, change: dict[str, float]) -> None:
    with pytest.raises(OutOfRange) as refusal:
        sun_position([0.0], **{"latitude_deg": 0.0, "longitude_deg": 0.0, **change})
    assert refusal.value.path == name


def test_a_time_without_offset_and_a_far_time_are_refused() -> None:
    with pytest.raises(OutOfRange, match="offset"):
        sun_position(datetime(2026, 6, 21, 12), latitude_deg=0, longitude_deg=0)  # noqa: DTZ001
    for far in (-4e10, 4e10, float("nan")):
        with pytest.raises(OutOfRange):
            sun_position([far], latitude_deg=0, longitude_deg=0)
