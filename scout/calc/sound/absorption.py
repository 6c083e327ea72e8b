"""What surfaces, furnishings, people and the air itself take out of a sound, by octave band."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require
from scout.calc.published import rows
from scout.errors import OutOfRange
from scout.values import said, words

ABSORPTION_BANDS_HZ: tuple[int, ...] = (125, 250, 500, 1000, 2000, 4000)
# No column is printed for these: the nearest one stands in, and whoever uses it says "assumed".
STAND_INS_HZ: dict[int, int] = {63: 125, 8000: 4000}


@cache
def _table() -> dict[str, tuple[str, FloatArray]]:
    found = {}
    for row in rows("absorption.csv"):
        found[row["material"]] = (
            row["unit"],
            np.array([float(row[str(band)]) for band in ABSORPTION_BANDS_HZ]),
        )
    return found


def materials() -> tuple[str, ...]:
    """Every word of the table, in its order."""
    return tuple(_table())


def _row(material: str, bands_hz: tuple[int, ...]) -> tuple[str, FloatArray]:
    if material not in _table():
        raise OutOfRange(
            "material",
            material,
            said("refusal.no_material", materials=words("material", materials(), "or")),
        )
    columns = []
    for band in bands_hz:
        if (printed := STAND_INS_HZ.get(band, band)) not in ABSORPTION_BANDS_HZ:
            raise OutOfRange("bands_hz", band, said("refusal.no_octave"))
        columns.append(ABSORPTION_BANDS_HZ.index(printed))
    unit, values = _table()[material]
    return unit, values[columns]


def absorption(material: str, bands_hz: tuple[int, ...] = ABSORPTION_BANDS_HZ) -> FloatArray:
    """Absorption coefficient of a material.
    material: a word of `materials()` that is sold by the square metre (not `person`)
    bands_hz: octave middles; 63 takes the 125 Hz figure and 8000 the 4000 Hz one, which is an
        assumption to be stated
    Returns:  (bands,) [-], 0 to 1
    Raises:   OutOfRange for another word or band
    Source:   calc/tables/absorption.csv
    """
    unit, values = _row(material, bands_hz)
    if unit != "coefficient":
        raise OutOfRange("material", material, said("refusal.counted"))
    return values


def absorption_each_m2(
    material: str, bands_hz: tuple[int, ...] = ABSORPTION_BANDS_HZ
) -> FloatArray:
    """(bands,) absorption area of one of a thing that is counted (`person`) [m2]; see `absorption`
    for the rest.
    """
    unit, values = _row(material, bands_hz)
    if unit != "m2_each":
        raise OutOfRange("material", material, said("refusal.by_area"))
    return values


def is_counted(material: str) -> bool:
    """True for a thing of which each one absorbs so many square metres (`person`)."""
    return _row(material, ABSORPTION_BANDS_HZ)[0] == "m2_each"


def air_absorption_per_m(
    frequency_hz: ArrayLike,
    *,
    air_c: float = 20.0,
    humidity_pct: float = 50.0,
    pressure_pa: float = 101_325.0,
) -> FloatArray:
    """Energy taken out of a sound by each metre of air (the m of 4 m V).
    frequency_hz: (...,) [Hz], above 0
    air_c, humidity_pct, pressure_pa: the air; -20 to 50 degC, 10 to 100 %, up to 200 kPa (the
        standard's own limits)
    Returns:      (...,) [1/m]
    Raises:       OutOfRange naming the argument
    Source:       ISO 9613-1:1993, formulas 3 to 5 and B.2, B.3
    """
    f = require("frequency_hz", frequency_hz, above=0)
    require("air_c", air_c, least=-20, most=50)
    require("humidity_pct", humidity_pct, least=10, most=100)
    require("pressure_pa", pressure_pa, above=0, most=200_000)
    t = air_c + 273.15
    t_rel, p_rel = t / 293.15, pressure_pa / 101_325.0
    saturation = 10.0 ** (-6.8346 * (273.16 / t) ** 1.261 + 4.6151)
    h = humidity_pct * saturation / p_rel  # molar concentration of water vapour, per cent
    oxygen_hz = p_rel * (24.0 + 4.04e4 * h * (0.02 + h) / (0.391 + h))
    nitrogen_hz = (
        p_rel * t_rel**-0.5 * (9.0 + 280.0 * h * np.exp(-4.170 * (t_rel ** (-1.0 / 3.0) - 1.0)))
    )
    classical = 1.84e-11 / p_rel * t_rel**0.5
    oxygen = 0.01275 * np.exp(-2239.1 / t) / (oxygen_hz + f**2 / oxygen_hz)
    nitrogen = 0.1068 * np.exp(-3352.0 / t) / (nitrogen_hz + f**2 / nitrogen_hz)
    db_per_m = 8.686 * f**2 * (classical + t_rel**-2.5 * (oxygen + nitrogen))
    return np.asarray(db_per_m / (10.0 * np.log10(np.e)))
