"""Colour differences, and the spectrum of a surface from what was recorded of its colour."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from scout.calc.bounce.difference import D50_WHITE, D65_WHITE, bradford, ciede2000, lab, xyz_of_lab
from scout.calc.bounce.light import light_spectrum
from scout.calc.bounce.reconstruct import reflectance_of_xyz
from scout.calc.bounce.shift import shifts
from scout.calc.bounce.spectra import (
    NM,
    d65,
    daylight,
    on_grid,
    planck,
    reflected_share,
    resampled,
    scaled,
    xyz,
)
from scout.calc.bounce.surface import (
    SRGB_TO_XYZ,
    Reflectance,
    linear_of_code,
    of_lab,
    of_level,
    of_spectrum,
    of_srgb,
)
from scout.calc.bounce.whiteness import uv_1960
from scout.errors import OutOfRange
from scout.values import Said
from tests.calc.bounce.charts import BLUE_SKY, GREEN, LIGHT_SKIN, RED, measured


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    # Source: Sharma, Wu and Dalal, Color Research and Application 30(1) 2005, table 1
    [
        ((50, 2.6772, -79.7751), (50, 0, -82.7485), 2.0425),
        ((50, 0, 0), (50, -1, 2), 2.3669),
        ((50, 2.4900, -0.0010), (50, -2.4900, 0.0009), 7.1792),
        ((50, 2.4900, -0.0010), (50, -2.4900, 0.0011), 7.2195),
        ((50, 2.5, 0), (73, 25, -18), 27.1492),
        ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
    ],
)
def test_ciede2000(one: tuple[float, ...], other: tuple[float, ...], expected: float) -> None:
    assert ciede2000(one, other) == pytest.approx(expected, abs=0.00006)
    assert ciede2000(other, one) == pytest.approx(expected, abs=0.00006)  # property: symmetric
    assert ciede2000(one, one) == 0


def test_lab() -> None:
    # by hand: L* = 116 Y^(1/3) - 16
    assert lab(D65_WHITE * 0.18)[0] == pytest.approx(49.50, abs=0.005)
    assert lab(D65_WHITE * 0.50)[0] == pytest.approx(76.07, abs=0.005)
    # property: there and back, also below the straight part's end
    for colour in ((50.0, 20.0, -30.0), (3.0, 1.0, 1.0)):
        assert lab(xyz_of_lab(colour)) == pytest.approx(colour)
    # property: a white becomes the other white
    assert bradford(D50_WHITE, D65_WHITE) @ D50_WHITE == pytest.approx(D65_WHITE)


def test_srgb_to_linear() -> None:
    # Source: IEC 61966-2-1, evaluated
    codes = [10, 11, 64, 118, 119, 128, 188, 200, 235, 243]
    linear = [
        0.003035,
        0.003347,
        0.051269,
        0.181164,
        0.184475,
        0.215861,
        0.502886,
        0.577580,
        0.830770,
        0.896269,
    ]
    assert linear_of_code(codes) == pytest.approx(linear, abs=1e-6)


def test_beige_wall() -> None:
    # Source: Burns 2020 (LHTSS), checked with colour-science 0.4.7; spectrum every 20 nm from 380
    wall = of_srgb("#c9b79c")
    assert xyz(d65() * wall.spectrum) == pytest.approx([0.4702, 0.4868, 0.3837], abs=0.0001)
    assert lab(SRGB_TO_XYZ @ linear_of_code([0xC9, 0xB7, 0x9C])) == pytest.approx(
        [75.25, 2.12, 16.07], abs=0.02
    )
    assert wall.level == pytest.approx(0.487, abs=0.0005)
    assert wall.spectrum[::4] == pytest.approx(
        [
            0.332,
            0.332,
            0.333,
            0.337,
            0.350,
            0.374,
            0.404,
            0.438,
            0.471,
            0.501,
            0.525,
            0.543,
            0.553,
            0.557,
            0.559,
            0.559,
            0.559,
            0.559,
        ],
        abs=0.003,
    )
    assert wall.assumed == ()


def test_every_screen_colour_has_a_smooth_real_spectrum() -> None:
    # property: the colour comes back, and the spectrum is a surface's
    for red, green, blue in itertools.product((0, 70, 160, 255), repeat=3):
        linear = linear_of_code([red, green, blue])
        held = np.clip(linear, 0.002, 0.95)
        spectrum = reflectance_of_xyz(SRGB_TO_XYZ @ held)
        assert ciede2000(lab(xyz(d65() * spectrum)), lab(SRGB_TO_XYZ @ held)) < 0.001
        assert spectrum.min() > 0
        assert spectrum.max() < 1
        wall = of_srgb(f"#{red:02x}{green:02x}{blue:02x}")
        assert wall.spectrum == pytest.approx(np.minimum(spectrum, 0.98))
        assert bool(wall.assumed) == (not np.allclose(held, linear) or spectrum.max() > 0.98)


# Source: spectra reconstructed by Burns' method under lights computed from CIE 15:2018; checked
# with colour-science 0.4.7
BOUNCES = [
    ("#f5f1e6", "P3200", 0.886, 0.4315, 0.4044, 3096, 0.0009, 10.6, 0.0009, (5.3, 3.2, 2.2)),
    ("#f5f1e6", "LED5600", 0.884, 0.3395, 0.3512, 5219, 0.0021, 13.0, 0.0018, (5.8, 3.5, 2.5)),
    ("#c9b79c", "P3200", 0.502, 0.4563, 0.4128, 2767, 0.0011, 49.0, 0.0011, (14.5, 9.5, 6.7)),
    ("#c9b79c", "D5600", 0.489, 0.3683, 0.3764, 4342, 0.0036, 51.7, 0.0003, (14.2, 9.3, 6.6)),
    ("#e8d9b0", "LED5600", 0.709, 0.3689, 0.3863, 4382, 0.0080, 49.6, 0.0077, (16.8, 11.4, 8.6)),
    (RED, "LED5600", 0.111, 0.5333, 0.3283, None, -0.0248, None, -0.0251, (31, 26, 25)),
    (GREEN, "D5600", 0.234, 0.3154, 0.5044, None, 0.0701, None, 0.0668, (30, 24, 36)),
    (BLUE_SKY, "P3200", 0.178, 0.3513, 0.3646, 4825, 0.0040, -105.1, 0.0040, (21, 15, 19)),
]


@pytest.mark.parametrize(
    ("wall", "light", "rho", "x", "y", "kelvin", "duv", "mireds", "duv_shift", "differences"),
    BOUNCES,
)
def test_one_bounce(
    wall: str,
    light: str,
    rho: float,
    x: float,
    y: float,
    kelvin: float | None,
    duv: float,
    mireds: float | None,
    duv_shift: float,
    differences: tuple[float, float, float],
) -> None:
    spectrum = of_srgb(wall).spectrum if wall.startswith("#") else measured(wall)
    source = {
        "P3200": scaled(planck(3200)),
        "LED5600": light_spectrum("led", 5600).spectrum,
        "D5600": daylight(5600),
    }[light]
    assert reflected_share(source, spectrum) == pytest.approx(rho, abs=0.001)
    (found,) = shifts(source, (source * spectrum)[None])
    assert found.xy == pytest.approx((x, y), abs=0.0003)
    assert found.duv == pytest.approx(duv, abs=0.0002)
    assert found.duv_shift == pytest.approx(duv_shift, abs=0.0002)
    if kelvin is None or mireds is None:
        assert found.cct_k is None
        assert found.mired_shift is None
        assert found.risk == "high"
    else:
        assert found.cct_k == pytest.approx(kelvin, abs=8)
        assert found.mired_shift == pytest.approx(mireds, abs=0.5)
    rounding = 0.06 if differences[0] % 1 else 0.6
    assert (found.delta_e_white, found.delta_e, found.delta_e_skin) == pytest.approx(
        differences, abs=rounding
    )


def test_measured_chart_under_other_lights() -> None:
    # Source: 24 measured patches (Ohta 1997, through colour-science): mean CIE 1976 error of the
    # reconstruction .0033 under
    # tungsten 3200 K and .0022 under LED 5600 K, greatest .0107 and .0120
    import warnings

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    chart = [
        sd.copy().align(colour.SpectralShape(380, 730, 5)).values
        for sd in colour.SDS_COLOURCHECKERS["ColorChecker N Ohta"].values()
    ]
    rebuilt = np.stack([reflectance_of_xyz(xyz(d65() * patch)) for patch in chart])
    for light, mean, most in (
        (scaled(planck(3200)), 0.0033, 0.0107),
        (light_spectrum("led", 5600).spectrum, 0.0022, 0.0120),
    ):
        moved = uv_1960(xyz(light * np.stack(chart))) - uv_1960(xyz(light * rebuilt))
        away = np.hypot(*(moved * [1.0, 1.5]).T)  # CIE 1976: u' = u, v' = 1.5 v
        assert away.mean() == pytest.approx(mean, abs=0.0002)
        assert away.max() == pytest.approx(most, abs=0.0003)
    skin = on_grid("test_reflectances.csv", "light_skin")
    assert skin == pytest.approx(
        chart[list(colour.SDS_COLOURCHECKERS["ColorChecker N Ohta"]).index("light skin")]
    )
    assert skin == pytest.approx(measured(LIGHT_SKIN), abs=0.006)


def test_grey_from_a_reader_is_grey_under_any_illuminant() -> None:
    # property: a = b = 0 is a flat spectrum, for both whites
    for illuminant in ("D50", "D65"):
        grey = of_lab((70.0, 0.0, 0.0), illuminant)
        assert np.ptp(grey.spectrum) < 0.002
        assert grey.level == pytest.approx(
            ((70 + 16) / 116) ** 3, abs=0.001
        )  # by hand: L* inverted


def codes(wall: Reflectance) -> list[str]:
    return [note.code for note in wall.assumed]


def refused(refusal: OutOfRange) -> str:
    """The last part of the code of a refusal."""
    assert isinstance(refusal.because, Said)
    return refusal.because.code.removeprefix("refusal.colour.")


def test_level_beside_a_colour() -> None:
    wall = of_srgb("#c9b79c", 0.48)
    assert wall.level == pytest.approx(0.48, abs=1e-6)  # hue from the code, level from the reading
    assert wall.assumed == ()
    far = of_srgb("#c9b79c", 0.20)
    assert far.level == pytest.approx(0.20, abs=1e-6)
    (apart,) = far.assumed
    assert apart.code == "bounce.colour_level"
    assert apart["own"].value == pytest.approx(100 * of_srgb("#c9b79c").level, abs=0.5)
    assert apart["recorded"].value == pytest.approx(20)
    # by hand: more than 30 % of the larger apart is told; 0.70 of the colour's own is not yet
    own = of_srgb("#c9b79c").level
    assert of_srgb("#c9b79c", 0.705 * own).assumed == ()
    assert of_srgb("#c9b79c", 0.695 * own).assumed != ()


def test_level_alone_is_a_grey_and_says_so() -> None:
    grey = of_level(0.55)
    assert np.all(grey.spectrum == 0.55)
    assert codes(grey) == ["bounce.taken_as_grey"]
    assert of_level(1.0).level == 0.98
    assert codes(of_level(1.0)) == ["bounce.taken_as_grey", "bounce.held"]
    assert of_level(1.0).assumed[1]["most"].value == 98
    assert codes(of_level(0.98)) == ["bounce.taken_as_grey"]


def test_spectrum_as_measured() -> None:
    wall = of_spectrum(380, 50, [0.08, 0.09, 0.11, 0.14, 0.17, 0.19, 0.20, 0.21])
    assert wall.spectrum[NM == 480][0] == pytest.approx(0.11)
    assert wall.spectrum[NM == 405][0] == pytest.approx(
        0.085
    )  # by hand: half way from .08 at 380 to .09 at 430
    assert wall.assumed == ()
    fine = of_spectrum(400, 10, np.linspace(0.1, 0.4, 31) ** 3)
    assert fine.spectrum[NM == 505][0] == pytest.approx(
        (0.1 + 0.3 * 105 / 300) ** 3, abs=1e-12
    )  # property: exact for a cubic
    short = of_spectrum(400, 100, [0.1, 0.2, 0.3, 0.4])
    assert short.spectrum[0] == 0.1
    assert short.spectrum[-1] == 0.4
    assert codes(short) == ["bounce.spectrum_ends"]
    assert (short.assumed[0]["first"].value, short.assumed[0]["last"].value) == (400, 700)
    assert codes(of_spectrum(380, 10, np.full(40, 0.5), 0.2)) == ["bounce.spectrum_level"]
    for first, count in ((410, 40), (390, 30)):
        with pytest.raises(OutOfRange) as refusal:
            resampled(first, 10, np.full(count, 0.5))
        assert refused(refusal.value) == "spectrum_reach"
    with pytest.raises(OutOfRange) as refusal:
        resampled(380, 10, [0.5])
    assert refused(refusal.value) == "two_values"
    with pytest.raises(OutOfRange, match=r"spectrum\.values"):
        resampled(380, 10, [0.5, float("nan"), 0.5])


@pytest.mark.parametrize("code", ["#12", "c9b79", "#gggggg", "", "rgb(1,2,3)", "#c9b79c00"])
def test_what_is_no_colour_is_refused(code: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        of_srgb(code)
    assert (refusal.value.path, refused(refusal.value)) == ("colour.srgb", "colour_code")


def test_colours_no_surface_can_have_are_refused() -> None:
    # by hand: L* 90 with b* -100 lies far outside the solid of object colours (MacAdam limits)
    for impossible in ((90.0, 0.0, -100.0), (95.0, -90.0, 90.0), (10.0, 128.0, 0.0)):
        with pytest.raises(OutOfRange) as refusal:
            of_lab(impossible, "D65")
        assert refused(refusal.value) == "no_surface_colour"
    for lab_, illuminant, code in (
        ((0.0, 0.0, 0.0), "D65", "colour_lab"),
        ((100.1, 0.0, 0.0), "D65", "colour_lab"),
        ((50.0, 0.0, 0.0), "A", "illuminant"),
    ):
        with pytest.raises(OutOfRange) as refusal:
            of_lab(lab_, illuminant)
        assert refused(refusal.value) == code
    with pytest.raises(OutOfRange) as refusal:
        of_srgb("#ff0000", 0.9)  # no red paint reflects 90 %
    assert refused(refusal.value) == "no_surface_colour"
