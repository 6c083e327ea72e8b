"""Chromaticity, colour temperature, Duv and mixing against published lights."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from scout.calc.bounce.light import light_spectrum
from scout.calc.bounce.spectra import (
    NM,
    d65,
    daylight,
    observer,
    on_grid,
    planck,
    scaled,
    table,
    xyz,
)
from scout.calc.bounce.whiteness import (
    cct_duv,
    is_white,
    mired,
    mixed,
    uv_1960,
    uv_at,
    xy,
)
from scout.errors import OutOfRange
from scout.values import Name

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # it warns that it has no plotting library
    import colour


# Source: CIE 15:2018 illuminants summed over 380-730 nm by 5 nm with the 1931 observer,
# cross-checked with colour-science 0.4.7.
LIGHTS = {
    "A": (
        planck(2855.542),
        0.44752,
        0.40747,
        2856.6,
        0.0000,
    ),  # 2848 K on the scale of 1931: 2848 * 1.4388 / 1.4350
    "D65": (d65(), 0.31270, 0.32903, 6504.0, 0.0032),
    "D5600": (daylight(5600), 0.33014, 0.34545, 5600, 0.0033),
    "E": (np.ones(len(NM)), 0.33331, 0.33329, 5456, -0.0044),
    "LED-B3": (on_grid("cie_led.csv", "B3"), 0.37561, 0.37229, 4102, -0.0007),
    "LED-B4": (on_grid("cie_led.csv", "B4"), 0.34218, 0.35016, 5109, 0.0005),
    "LED-B5": (on_grid("cie_led.csv", "B5"), 0.31181, 0.32364, 6597, 0.0009),
}


@pytest.mark.parametrize("name", LIGHTS)
def test_known_lights(name: str) -> None:
    spectrum, x, y, kelvin, duv = LIGHTS[name]
    values = xyz(spectrum)
    cct, away = cct_duv(uv_1960(values))
    assert xy(values) == pytest.approx([x, y], abs=0.00006)
    assert cct == pytest.approx(kelvin, abs=3 if kelvin < 4000 else 6)
    assert away == pytest.approx(duv, abs=0.0001)


@pytest.mark.parametrize(("kelvin", "x", "y"), [(3200, 0.42336, 0.39895), (5600, 0.33020, 0.33908)])
def test_full_radiators_at_1_nm(kelvin: float, x: float, y: float) -> None:
    # Source: Planck's law with the 1 nm observer, 360-830 nm, cross-checked with colour-science
    # 0.4.7
    columns = table("cie_1931_observer.csv")
    values = planck(kelvin, columns["nm"]) @ np.stack([columns[axis] for axis in "xyz"], axis=-1)
    cct, duv = cct_duv(uv_1960(values))
    assert xy(values) == pytest.approx([x, y], abs=0.00001)
    assert cct == pytest.approx(kelvin, abs=0.5)
    assert duv == pytest.approx(0, abs=0.00001)


@pytest.mark.parametrize("kelvin", [1700, 2000, 2700, 3200, 4100, 5600, 6500, 9000, 15000, 24000])
@pytest.mark.parametrize("duv", [-0.03, -0.005, 0.0, 0.005, 0.03])
def test_cct_and_duv_against_the_library(kelvin: float, duv: float) -> None:
    # Source: colour-science, CCT_to_uv_Ohno2013 (Ohno 2014), taken the other way round
    uv = colour.temperature.CCT_to_uv_Ohno2013([kelvin, duv])
    cct, away = cct_duv(uv)
    assert cct == pytest.approx(kelvin, rel=4e-5)
    assert away == pytest.approx(duv, abs=5e-6)
    assert uv_at(kelvin, duv) == pytest.approx(uv, abs=4e-5)


def test_shapes_and_conversions() -> None:
    many = np.stack([uv_at(3200, 0.01), uv_at(5600, -0.01)]).reshape(2, 1, 2)
    cct, duv = cct_duv(many)
    assert cct.shape == duv.shape == (2, 1)
    assert cct[:, 0] == pytest.approx([3200, 5600], abs=1)


def test_mired() -> None:
    # by hand: 1e6 / 5600 - 1e6 / 3200 = 178.57 - 312.50
    assert mired(5600) - mired(3200) == pytest.approx(-133.9, abs=0.05)
    assert mired(4300) - mired(5600) == pytest.approx(54.0, abs=0.05)
    assert mired(5600) - mired(6500) == pytest.approx(24.7, abs=0.05)
    with pytest.raises(OutOfRange):
        mired(0)


def test_what_is_no_white_light() -> None:
    # Source: CIE 15 limits a correlated temperature to 0.05 in (u, v) (from memory); the bounds in
    # kelvin are ours
    assert is_white(5889, 0.0500)
    assert not is_white(5889, 0.0701)
    assert not is_white(1456, -0.0248)
    assert not is_white(25001, 0.0)


# Source: tristimulus values added by share of lux (Grassmann), 5 nm; cross-checked with
# colour-science 0.4.7
MIXES = [
    ("P3200", "P5600", 0.75, 0.3971, 0.3821, 3617, -0.0020),
    ("P3200", "P5600", 0.50, 0.3730, 0.3666, 4139, -0.0026),
    ("P3200", "P5600", 0.25, 0.3508, 0.3523, 4790, -0.0019),
    ("P3200", "D5600", 0.50, 0.3734, 0.3703, 4153, -0.0009),
    ("P3200", "LED5600", 0.50, 0.3730, 0.3670, 4140, -0.0024),
    ("P2700", "D65", 0.50, 0.3781, 0.3653, 3977, -0.0048),
    ("P2700", "D65", 0.25, 0.3437, 0.3462, 5036, -0.0022),
]


@pytest.mark.parametrize(("one", "other", "share", "x", "y", "kelvin", "duv"), MIXES)
def test_mixed_light(
    one: str, other: str, share: float, x: float, y: float, kelvin: float, duv: float
) -> None:
    lights = {
        "P3200": planck(3200),
        "P5600": planck(5600),
        "P2700": planck(2700),
        "D5600": daylight(5600),
        "D65": d65(),
        "LED5600": light_spectrum("led", 5600).spectrum,
    }
    mix = mixed(xyz(scaled(np.stack([lights[one], lights[other]]))), [share, 1 - share])
    cct, away = cct_duv(uv_1960(mix))
    assert xy(mix) == pytest.approx([x, y], abs=0.00006)
    assert cct == pytest.approx(kelvin, abs=5)
    assert away == pytest.approx(duv, abs=0.0002)


@pytest.mark.parametrize(
    ("kind", "kelvin", "duv"),
    [
        ("led", 3200, -0.0016),
        ("led", 4000, -0.0010),
        ("led", 4500, -0.0005),
        ("led", 5600, 0.0003),
        ("tungsten", 3200, 0.0),
        ("daylight", 5600, 0.0033),
        ("daylight", 6504, 0.0032),
    ],
)
def test_lights_by_kind(kind: str, kelvin: float, duv: float) -> None:
    # Source: CIE 15:2018 LED-B mixed by luminance for the temperature; Planck; D series
    light = light_spectrum(kind, kelvin)
    assert light.cct_k == pytest.approx(kelvin, abs=2)
    assert light.duv == pytest.approx(duv, abs=0.0001)
    assert light.xyz[1] == pytest.approx(1.0)
    assert light.assumed == ()


def test_led_mix_share() -> None:
    # Source: 5600 K lies between LED-B4 and LED-B5 with 0.3761 of the light from B5
    light = light_spectrum("led", 5600).spectrum
    low, high = (scaled(on_grid("cie_led.csv", name)) for name in ("B4", "B5"))
    assert light == pytest.approx((1 - 0.3761) * low + 0.3761 * high, abs=1e-4)


def test_what_is_steered_is_said() -> None:
    # property: the light lands on what was stated, and the answer says how
    for kind, kelvin, duv in (
        ("led", 5600, 0.006),
        ("led", 7000, None),
        ("led", 2500, -0.003),
        ("fluorescent", 4300, 0.004),
        ("tungsten", 3200, 0.02),
    ):
        light = light_spectrum(kind, kelvin, duv)
        assert light.cct_k == pytest.approx(kelvin, rel=0.001)
        assert duv is None or light.duv == pytest.approx(duv, abs=1e-5)
        steered = light.assumed[-1]
        assert steered.code == "bounce.steered"
        assert steered["cct"].value == pytest.approx(kelvin, rel=0.001)
    far = light_spectrum("led", 7000).assumed[0]
    assert (far.code, far["nearest"], far["asked"].value) == (
        "bounce.nearest_led",
        Name("LED-B5"),
        7000,
    )
    tube = light_spectrum("fluorescent", 4000).assumed[0]
    assert (tube.code, tube["nearest"]) == ("bounce.fluorescent", Name("FL11"))
    natural = light_spectrum(
        "daylight", 5600, 0.0
    )  # a sheet that says 0 of a daylight lamp means "no tint"
    assert natural.duv == pytest.approx(0.0033, abs=0.0001)
    (taken,) = natural.assumed
    assert (taken.code, taken["given"].value) == ("bounce.natural_duv", 0.0)
    assert taken["natural"].value == pytest.approx(0.0033, abs=0.0001)


@pytest.mark.parametrize(
    ("kind", "kelvin"),
    [
        ("daylight", 3200),
        ("tungsten", 0),
        ("led", 1500),
        ("led", 40_000),
        ("laser", 5600),
        ("led", float("nan")),
    ],
)
def test_lights_that_cannot_be_are_refused(kind: str, kelvin: float) -> None:
    with pytest.raises(OutOfRange):
        light_spectrum(kind, kelvin)


def test_tables_are_the_published_ones() -> None:
    # Source: the same tables as colour-science distributes them
    assert observer() == pytest.approx(
        colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
        .copy()
        .align(colour.SpectralShape(380, 730, 5))
        .values
    )
    grid = colour.SpectralShape(380, 730, 5)
    for name in ("FL1", "FL4", "FL11", "LED-B1", "LED-B5", "D65"):
        file = (
            "cie_daylight.csv"
            if name == "D65"
            else "cie_led.csv"
            if name.startswith("LED")
            else "cie_fluorescent.csv"
        )
        mine = on_grid(file, name.removeprefix("LED-"))
        assert mine == pytest.approx(colour.SDS_ILLUMINANTS[name].copy().align(grid).values), name
    for kelvin in (4500, 5600, 9000):
        theirs = (
            colour.sd_CIE_illuminant_D_series(colour.temperature.CCT_to_xy_CIE_D(kelvin))
            .align(grid)
            .values
        )
        assert daylight(kelvin) == pytest.approx(
            scaled(theirs), rel=0.003
        )  # M1 and M2 are rounded to three places by the CIE
