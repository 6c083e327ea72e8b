"""Where the sun stands among the stars: its geocentric apparent direction and the turn of the
Earth, for arrays of instants.

Everything here is the same for all places on Earth; `position.py` looks at it from one of them. The
series change little
within a day, so for many instants they are summed once a day and interpolated (third order, error
under 0.00001 degrees).
"""

from __future__ import annotations

import csv
import functools
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from scout.calc.geometry import FloatArray, require

TABLES = Path(__file__).parent.parent.parent / "tables"
DAY_S = 86400.0
UNIX_J2000_DAYS = 10957.5  # from 1970-01-01T00 to J2000.0 (JD 2451545.0)
FIRST_UNIX_S, LAST_UNIX_S = (
    -30_610_224_000.0 - 3 * DAY_S,
    32_535_216_000.0 + 3 * DAY_S,
)  # 1000 to 3000, as any zone counts them
_CHUNK = 4096
FEW_DAYS = 8

# Polynomials of Espenak and Meeus, Five Millennium Canon of Solar Eclipses, NASA/TP-2006-214141
# (2006), section 2.7:
# delta-T [s] = sum of c[k] (y - origin)^k up to and without `until`; the last two rows are written
# out in delta_t_s.
_DELTA_T: tuple[tuple[float, float, tuple[float, ...]], ...] = (
    (
        1600,
        1000,
        (
            1574.2,
            -5.5601,
            71.23472e-4,
            0.319781e-6,
            -0.8503463e-8,
            -0.005050998e-10,
            0.0083572073e-12,
        ),
    ),
    (1700, 1600, (120, -0.9808, -0.01532, 1 / 7129)),
    (1800, 1700, (8.83, 0.1603, -0.0059285, 0.00013336, -1 / 1174000)),
    (
        1860,
        1800,
        (
            13.72,
            -0.332447,
            0.0068612,
            0.0041116,
            -0.00037436,
            0.0000121272,
            -0.0000001699,
            0.000000000875,
        ),
    ),
    (1900, 1860, (7.62, 0.5737, -0.251754, 0.01680668, -0.0004473624, 1 / 233174)),
    (1920, 1900, (-2.79, 1.494119, -0.0598939, 0.0061966, -0.000197)),
    (1941, 1920, (21.20, 0.84493, -0.076100, 0.0020936)),
    (1961, 1950, (29.07, 0.407, -1 / 233, 1 / 2547)),
    (1986, 1975, (45.45, 1.067, -1 / 260, -1 / 718)),
    (2005, 2000, (63.86, 0.3345, -0.060374, 0.0017275, 0.000651814, 0.00002373599)),
    (2050, 2000, (62.92, 0.32217, 0.005589)),
)


@dataclass(frozen=True)
class SunInSky:
    """Geocentric apparent sun: unit vector in the true equator and equinox of date, distance, and
    Greenwich sidereal time.
    """

    vector: FloatArray  # (n, 3)
    distance_au: FloatArray  # (n,)
    sidereal_rad: FloatArray  # (n,) apparent


def delta_t_s(unix_s: FloatArray) -> FloatArray:
    """(n,) terrestrial time less universal time [s], for the years 1000 to 3000 (Espenak and Meeus
    2006).
    """
    year = 1970.0 + unix_s / 31_556_952.0
    century = (year - 1820.0) / 100.0
    value = -20.0 + 32.0 * century**2 - np.where(year < 2150.0, 0.5628 * (2150.0 - year), 0.0)
    since = -np.inf
    for until, origin, terms in _DELTA_T:
        here = (year >= since) & (year < until)
        if np.any(here):
            value = np.where(
                here,
                np.polynomial.polynomial.polyval(np.where(here, year - origin, 0.0), terms),
                value,
            )
        since = until
    return value


@functools.cache
def _earth_terms() -> dict[str, tuple[FloatArray, ...]]:
    found: dict[str, dict[int, list[list[float]]]] = {}
    for row in _rows("spa_earth_terms.csv"):
        found.setdefault(row["series"], {}).setdefault(int(row["power"]), []).append(
            [float(row[k]) for k in "ABC"]
        )
    return {
        name: tuple(np.array(powers[p]) for p in sorted(powers)) for name, powers in found.items()
    }


@functools.cache
def _nutation_terms() -> tuple[FloatArray, FloatArray]:
    rows = list(_rows("spa_nutation_terms.csv"))
    multiples = np.array([[float(row[f"Y{k}"]) for k in range(5)] for row in rows])
    return multiples, np.array([[float(row[k]) for k in "abcd"] for row in rows])


def _rows(name: str) -> list[dict[str, str]]:
    with (TABLES / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def _series(terms: tuple[FloatArray, ...], jme: FloatArray) -> FloatArray:
    total = np.zeros_like(jme)
    for power, table in enumerate(terms):
        total += (np.cos(table[:, 1] + jme[:, None] * table[:, 2]) @ table[:, 0]) * jme**power
    return total / 1e8


def heliocentric_earth(jme: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Heliocentric longitude [rad, 0 to 2 pi), latitude [rad] and radius [au] of the Earth at jme
    Julian ephemeris millennia.
    """
    terms = _earth_terms()
    return (
        _series(terms["L"], jme) % (2 * np.pi),
        _series(terms["B"], jme),
        _series(terms["R"], jme),
    )


def _nutation_rad(jce: FloatArray) -> tuple[FloatArray, FloatArray]:
    arguments = np.stack(
        [
            297.85036 + 445267.111480 * jce - 0.0019142 * jce**2 + jce**3 / 189474,
            357.52772 + 35999.050340 * jce - 0.0001603 * jce**2 - jce**3 / 300000,
            134.96298 + 477198.867398 * jce + 0.0086972 * jce**2 + jce**3 / 56250,
            93.27191 + 483202.017538 * jce - 0.0036825 * jce**2 + jce**3 / 327270,
            125.04452 - 1934.136261 * jce + 0.0020708 * jce**2 + jce**3 / 450000,
        ],
        axis=-1,
    )
    multiples, amplitudes = _nutation_terms()
    angle = np.radians(arguments) @ multiples.T
    psi = np.sum((amplitudes[:, 0] + amplitudes[:, 1] * jce[:, None]) * np.sin(angle), axis=-1)
    eps = np.sum((amplitudes[:, 2] + amplitudes[:, 3] * jce[:, None]) * np.cos(angle), axis=-1)
    return np.radians(psi / 36_000_000.0), np.radians(eps / 36_000_000.0)


def _slow_parts(unix_s: FloatArray, tt_less_ut_s: FloatArray | None = None) -> FloatArray:
    """(n, 5): apparent direction x, y, z; distance [au]; equation of the equinoxes [rad]. All
    change little within a day.
    """
    lag = delta_t_s(unix_s) if tt_less_ut_s is None else tt_less_ut_s
    jce = ((unix_s + lag) / DAY_S - UNIX_J2000_DAYS) / 36525.0
    longitude, latitude, radius = heliocentric_earth(jce / 10.0)
    psi, eps_change = _nutation_rad(jce)
    u = jce / 100.0
    mean_eps = np.polynomial.polynomial.polyval(
        u, (84381.448, -4680.93, -1.55, 1999.25, -51.38, -249.67, -39.05, 7.12, 27.87, 5.79, 2.45)
    )
    eps = np.radians(mean_eps / 3600.0) + eps_change
    apparent = longitude + np.pi + psi - np.radians(20.4898 / 3600.0) / radius
    beta = -latitude
    x = np.cos(beta) * np.cos(apparent)
    y = np.cos(beta) * np.sin(apparent) * np.cos(eps) - np.sin(beta) * np.sin(eps)
    z = np.cos(beta) * np.sin(apparent) * np.sin(eps) + np.sin(beta) * np.cos(eps)
    return np.stack([x, y, z, radius, psi * np.cos(eps)], axis=-1)


def _chunked(unix_s: FloatArray) -> FloatArray:
    parts = [_slow_parts(unix_s[i : i + _CHUNK]) for i in range(0, max(len(unix_s), 1), _CHUNK)]
    return np.concatenate(parts)


def sun_in_sky(unix_s: FloatArray) -> SunInSky:
    """The sun's geocentric apparent direction at each instant.

    unix_s:  (n,) instants [s since 1970-01-01T00:00Z], years 1000 to 3000
    Returns: SunInSky
    Raises:  OutOfRange outside those years
    Source:  Reda and Andreas, NREL/TP-560-34302 (2003, rev. 2008), 3.1 to 3.9, in vectors; UT1
        is taken as UTC (under 0.9 s)
    Limits:  delta-T after today is an extrapolation; an hour of error in it moves the sun by
        0.04 degrees
    """
    require("at", unix_s, least=FIRST_UNIX_S, below=LAST_UNIX_S)
    day = unix_s / DAY_S
    first = float(np.floor(np.min(day))) if len(day) else 0.0
    nodes = int(np.floor(np.max(day)) - first) + 4 if len(day) else 0
    slow = _interpolated(day, first, nodes) if nodes < len(day) else _chunked(unix_s)
    vector = slow[:, :3]
    days_j2000 = day - UNIX_J2000_DAYS
    jc = days_j2000 / 36525.0
    whole = np.floor(days_j2000)
    # whole turns are dropped before multiplying, which keeps the last digits of far instants
    mean_deg = (
        280.46061837
        + 360.0 * (days_j2000 - whole)
        + 0.98564736629 * days_j2000
        + 0.000387933 * jc**2
        - jc**3 / 38710000.0
    )
    return SunInSky(vector, slow[:, 3], np.radians(mean_deg % 360.0) + slow[:, 4])


def _days(first: float, nodes: int) -> FloatArray:
    return _chunked((first - 1.0 + np.arange(nodes, dtype=np.float64)) * DAY_S)


@functools.lru_cache(maxsize=128)
def _few_days(first: float, nodes: int) -> FloatArray:
    """The nodes of one date: root finding asks for them again and again."""
    found = _days(first, nodes)
    found.flags.writeable = False
    return found


def _interpolated(day: FloatArray, first: float, nodes: int) -> FloatArray:
    """Third-order Lagrange interpolation between daily nodes; fourth differences are under 4e-9
    rad, mostly the Moon's.
    """
    at_nodes = _few_days(first, nodes) if nodes <= FEW_DAYS else _days(first, nodes)
    index = np.floor(day - first).astype(np.intp)
    f = day - first - index
    before, here, after, beyond = at_nodes[:-3], at_nodes[1:-2], at_nodes[2:-1], at_nodes[3:]
    c1 = -before / 3.0 - here / 2.0 + after - beyond / 6.0
    c2 = before / 2.0 - here + after / 2.0
    c3 = -before / 6.0 + here / 2.0 - after / 2.0 + beyond / 6.0
    f = f[:, None]
    return np.asarray(here[index] + f * (c1[index] + f * (c2[index] + f * c3[index])))
