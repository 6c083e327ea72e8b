"""The borders of what the engines take: the last figure taken and the first refused, by name.

By hand: the limits are those of the functions' own descriptions (the air's are ISO 9613-1's).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest

from scout.calc.daylight.sighting import line_doubt_deg, map_sight, view_across_deg
from scout.calc.sound.absorption import air_absorption_per_m
from scout.calc.timezones import zone_at
from scout.errors import OutOfRange

AIR: dict[str, Any] = {"air_c": 20.0, "humidity_pct": 50.0, "pressure_pa": 101_325.0}


def of_air(**given: float) -> Callable[[], object]:
    return lambda: air_absorption_per_m([1000.0], **(AIR | given))


def seen(latitude: float, longitude: float) -> Callable[[], object]:
    back = longitude - 0.001 if longitude > 0 else longitude + 0.001
    return lambda: map_sight((latitude, longitude), (latitude, back))


@pytest.mark.parametrize(
    ("taken", "refused", "name"),
    [
        (of_air(air_c=-20), of_air(air_c=-20.01), "air_c"),
        (of_air(air_c=50), of_air(air_c=50.01), "air_c"),
        (of_air(humidity_pct=10), of_air(humidity_pct=9.99), "humidity_pct"),
        (of_air(humidity_pct=100), of_air(humidity_pct=100.01), "humidity_pct"),
        (of_air(pressure_pa=200_000), of_air(pressure_pa=200_001), "pressure_pa"),
        (of_air(pressure_pa=1), of_air(pressure_pa=0), "pressure_pa"),
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


@pytest.mark.parametrize(
    ("frequency_hz", "db_per_km"),
    # Source: ISO 9613-2:1996, table 2, 20 degrees and 70 %: attenuation in dB/km (from memory),
    # which holds for the exact middles of the octaves.
    [(125, 0.3), (250, 1.1), (500, 2.8), (1000, 5.0), (2000, 9.0), (4000, 22.9), (8000, 76.6)],
)
def test_air_takes_what_the_table_says(frequency_hz: float, db_per_km: float) -> None:
    middle_hz = 1000.0 * 10.0 ** (0.3 * round(math.log2(frequency_hz / 1000.0)))
    taken = air_absorption_per_m([middle_hz], **(AIR | {"humidity_pct": 70.0}))
    assert 4.343 * 1000 * float(taken[0]) == pytest.approx(db_per_km, abs=0.1)


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
