"""Spectra on one grid, 380 to 730 nm by 5 nm, and what the standard observer makes of them."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require
from scout.errors import OutOfRange
from scout.values import said

TABLES = Path(__file__).parent.parent / "tables"
FIRST_NM, LAST_NM, STEP_NM = 380, 730, 5
NM: FloatArray = np.arange(FIRST_NM, LAST_NM + STEP_NM, STEP_NM, dtype=np.float64)
C2_M_K = (
    1.438776877e-2  # second radiation constant from the SI of 2019; the CIE still writes 1.4388e-2
)
MOST_K = 25000.0
WIDEST_CUBIC_NM = 20.0


@lru_cache(maxsize=8)
def table(name: str) -> dict[str, FloatArray]:
    """A published table of calc/tables by column name; the arrays are shared and cannot be written."""
    lines = [
        line
        for line in (TABLES / name).read_text(encoding="utf-8").splitlines()
        if line and not line.startswith("#")
    ]
    values = np.array([[float(cell) for cell in line.split(",")] for line in lines[1:]])
    values.flags.writeable = False
    return {column: values[:, k] for k, column in enumerate(lines[0].split(","))}


def on_grid(name: str, column: str) -> FloatArray:
    """(71,) one column of a published table at the wavelengths of the grid, all of which it holds."""
    columns = table(name)
    return columns[column][np.isin(columns["nm"], NM)]


@lru_cache(maxsize=1)
def observer() -> FloatArray:
    """(71, 3) colour-matching functions of the CIE 1931 observer (2 degrees)."""
    out = np.stack([on_grid("cie_1931_observer.csv", axis) for axis in "xyz"], axis=-1)
    out.flags.writeable = False
    return out


@lru_cache(maxsize=1)
def d65() -> FloatArray:
    """(71,) CIE standard illuminant D65, scaled to Y = 1."""
    out = scaled(on_grid("cie_daylight.csv", "D65"))
    out.flags.writeable = False
    return out


def xyz(spectrum: ArrayLike) -> FloatArray:
    """(..., 3) tristimulus values of spectra (..., 71): plain sums over the grid (CIE 15:2018, with
    k = 1).
    """
    return np.asarray(np.asarray(spectrum, dtype=np.float64) @ observer())


def scaled(spectrum: ArrayLike) -> FloatArray:
    """(..., 71) the spectra scaled to Y = 1. Raises OutOfRange for one that gives no light."""
    power = require("spectrum", spectrum, least=0)
    y = power @ observer()[:, 1]
    if np.any(y <= 0):
        raise OutOfRange("spectrum", None, said("refusal.colour.no_light"))
    return np.asarray(power / np.asarray(y)[..., None])


def reflected_share(light: ArrayLike, reflectance: ArrayLike) -> FloatArray:
    """(...) the luminous reflectance of a surface for this light: sum S R ybar / sum S ybar."""
    power, y = np.asarray(light, dtype=np.float64), observer()[:, 1]
    return np.asarray((power * np.asarray(reflectance, dtype=np.float64)) @ y / (power @ y))


def planck(kelvin: ArrayLike, nm: ArrayLike = NM) -> FloatArray:
    """(..., n) relative power of a full radiator, each scaled to 1 at 560 nm.

    kelvin:  (...), 500 or more [K];  nm: (n,) [nm]
    Source:  Planck's law, S ~ wavelength^-5 / (exp(c2 / (wavelength T)) - 1); CIE 15:2018
    """
    t = require("kelvin", kelvin, least=500)[..., None]
    metres = np.asarray(nm, dtype=np.float64) * 1e-9
    return np.asarray(
        (560e-9 / metres) ** 5 * np.expm1(C2_M_K / (560e-9 * t)) / np.expm1(C2_M_K / (metres * t))
    )


def daylight(kelvin: float) -> FloatArray:
    """(71,) a phase of daylight by its correlated colour temperature, scaled to Y = 1.

    kelvin:  4000 to 25000 [K], on today's scale (D65 is 6504 K)
    Source:  CIE 15:2018, the D series: chromaticity from the temperature, S0 + M1 S1 + M2 S2
        with M1 and M2 rounded to three
             places; as distributed tables of S0, S1, S2
    """
    require("kelvin", kelvin, least=4000, most=MOST_K)
    # The polynomials are for the temperature as the CIE numbers it now; D65 sits at 6500 * 1.4388 /
    # 1.438 = 6504 K.
    if kelvin <= 7000:
        x = -4.6070e9 / kelvin**3 + 2.9678e6 / kelvin**2 + 0.09911e3 / kelvin + 0.244063
    else:
        x = -2.0064e9 / kelvin**3 + 1.9018e6 / kelvin**2 + 0.24748e3 / kelvin + 0.237040
    y = -3.000 * x * x + 2.870 * x - 0.275
    over = 0.0241 + 0.2562 * x - 0.7341 * y
    m1 = round((-1.3515 - 1.7703 * x + 5.9114 * y) / over, 3)
    m2 = round((0.0300 - 31.4424 * x + 30.0717 * y) / over, 3)
    s0, s1, s2 = (on_grid("cie_daylight.csv", name) for name in ("S0", "S1", "S2"))
    return scaled(np.maximum(s0 + m1 * s1 + m2 * s2, 0.0))


def resampled(first_nm: float, step_nm: float, values: ArrayLike) -> FloatArray:
    """(71,) an evenly spaced spectrum of shares brought to the grid; beyond its ends the end value
    holds.

    first_nm, step_nm: above 0 [nm];  values: (n,), 0 to 1
    Raises: OutOfRange unless there are two values or more and they reach from 400 to 700 nm at
        least
    Source: CIE 15:2018 allows a third-order polynomial through the four nearest values for
        steps up to 20 nm (from memory),
            which keeps a narrow peak; wider steps are joined by straight lines, which cannot swing
            out
    """
    given = require("spectrum.values", values, least=0, most=1)
    require("spectrum.first_nm", first_nm, above=0)
    require("spectrum.step_nm", step_nm, above=0)
    if given.ndim != 1 or len(given) < 2:
        raise OutOfRange(
            "spectrum.values", len(np.atleast_1d(given)), said("refusal.colour.two_values")
        )
    nm = first_nm + step_nm * np.arange(len(given))
    if nm[0] > 400 or nm[-1] < 700:
        raise OutOfRange("spectrum", f"{nm[0]:g}-{nm[-1]:g}", said("refusal.colour.spectrum_reach"))
    held = np.clip(NM, nm[0], nm[-1])
    if step_nm > WIDEST_CUBIC_NM or step_nm < STEP_NM or len(given) < 4:
        return np.interp(held, nm, given)
    place = (held - nm[0]) / step_nm
    first = np.clip(np.floor(place).astype(np.intp) - 1, 0, len(given) - 4)
    t = place - first
    out = np.zeros(len(NM))
    for k in range(4):  # Lagrange's form over four neighbours
        rest = [j for j in range(4) if j != k]
        out += given[first + k] * np.prod([(t - j) / (k - j) for j in rest], axis=0)
    return np.clip(out, 0.0, 1.0)
