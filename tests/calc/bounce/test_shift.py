"""Classes of risk, tints, gels, and the worked rooms."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scout.calc.bounce.light import light_spectrum
from scout.calc.bounce.reach import all_landing, face, lux_of, spot, view
from scout.calc.bounce.shift import (
    CTB_MIRED,
    CTO_MIRED,
    DUV_STEPS,
    GREY_STEPS,
    MIRED_STEPS,
    RISKS,
    Gels,
    Shift,
    green_filter,
    nearest_gels,
    risk_of,
    shifts,
)
from scout.calc.bounce.spectra import daylight, planck, scaled, xyz
from scout.calc.bounce.surface import of_srgb
from scout.calc.bounce.whiteness import cct_duv, uv_1960, uv_at
from scout.calc.geometry import FloatArray, rectangle_m
from scout.calc.radiosity import Enclosure, enclosure
from tests.calc.bounce.charts import GREEN, RED, measured


@pytest.mark.parametrize(
    ("delta_e", "duv", "mired", "risk"),
    # Source: our published scale: CIEDE2000 of grey 1, 2.5, 5; Duv .001, .003, .006; mired 5, 12,
    # 25; the worst of the three
    [
        (0.5, 0.0005, 3, "none"),
        (1.5, 0.0, 0, "low"),
        (0.5, -0.002, 0, "low"),
        (0.5, 0.0, -8, "low"),
        (3.0, 0.0, 0, "medium"),
        (0.2, 0.004, 0, "medium"),
        (0.2, 0.0, 20, "medium"),
        (5.1, 0, 0, "high"),
        (0, -0.0065, 0, "high"),
        (0, 0, -26, "high"),
        (0.9, 0.0005, None, "none"),
    ],
)
def test_classes(delta_e: float, duv: float, mired: float | None, risk: str) -> None:
    assert risk_of(delta_e, duv, mired) == risk


# Source: our published scale, as above: a figure on a border belongs to the lower class, except that
# 1, 0.001 and 5 are low already
BORDERS = (("none", "low", True), ("low", "medium", False), ("medium", "high", False))


@pytest.mark.parametrize(
    ("figure", "steps"),
    [(0, (1.0, 2.5, 5.0)), (1, (0.001, 0.003, 0.006)), (2, (5.0, 12.0, 25.0))],
)
def test_borders_of_the_classes(figure: int, steps: tuple[float, ...]) -> None:
    assert (GREY_STEPS, DUV_STEPS, MIRED_STEPS)[figure] == steps

    def risk(value: float) -> str:
        given = [0.0, 0.0, 0.0]
        given[figure] = value
        return risk_of(*given)

    for border, (under, over, belongs_over) in zip(steps, BORDERS, strict=True):
        for sign in (1, -1) if figure else (1,):
            assert risk(sign * border * 0.999) == under
            assert risk(sign * border) == (over if belongs_over else under)
            assert risk(sign * border * 1.001) == over


def of_hue(hue_deg: float) -> Shift:
    (found,) = shifts(scaled(planck(3200)), scaled(planck(3200))[None])
    return replace(found, hue_deg=hue_deg)


@pytest.mark.parametrize(
    ("border", "under", "over"),
    # Source: CIELAB hue angles of everyday colour words, from memory
    [
        (20, "pink", "red"),
        (45, "red", "orange"),
        (75, "orange", "yellow"),
        (110, "yellow", "green"),
        (165, "green", "blue_green"),
        (225, "blue_green", "blue"),
        (295, "blue", "violet"),
        (330, "violet", "pink"),
        (360, "pink", "pink"),
    ],
)
def test_borders_of_the_tints(border: float, under: str, over: str) -> None:
    assert of_hue(border - 0.1).tint == under
    assert of_hue(border).tint == over
    assert of_hue(border - 360).tint == over  # property: an angle is the same a turn away


def test_a_light_that_is_not_white_is_high() -> None:
    calm = of_hue(0.0)
    assert calm.risk == "none"
    assert replace(calm, cct_k=None, mired_shift=None).risk == RISKS[-1] == "high"


@pytest.mark.parametrize(
    ("duv", "white", "grey"),
    # Source: computed with CIE 15:2018, Bradford and CIEDE2000, at 5600 K
    [(0.001, 1.6, 0.93), (0.003, 4.5, 2.7), (0.006, 8.3, 5.1), (0.010, 12.3, 7.9)],
)
def test_sensitivity_to_green(duv: float, white: float, grey: float) -> None:
    key = light_spectrum("led", 5600)
    (found,) = shifts(key.spectrum, light_spectrum("led", 5600, key.duv + duv).spectrum[None])
    assert (found.delta_e_white, found.delta_e) == pytest.approx((white, grey), abs=0.12)
    assert found.duv_shift == pytest.approx(duv, abs=1e-5)
    assert found.mired_shift == pytest.approx(0, abs=0.01)


def test_no_shift_is_no_difference() -> None:
    # property: a light against itself, at any level
    key = scaled(planck(3200))
    (found,) = shifts(key, 7.0 * key[None])
    assert (
        found.delta_e,
        found.delta_e_white,
        found.delta_e_skin,
        found.duv_shift,
        found.mired_shift,
    ) == pytest.approx((0,) * 5, abs=1e-9)
    assert found.risk == "none"
    assert nearest_gels(key, key) is None


@pytest.mark.parametrize(
    ("plus", "light", "duvs", "mireds"),
    # Source: an ideal dye filter, density CC/100, band 495-585 nm with soft edges, computed with
    # CIE 15:2018; trade names eighth,
    # quarter, half, full about CC 3.5, 7.5, 15, 30 (common practice, from memory)
    [
        (False, "D5600", (-0.0046, -0.0099, -0.020, -0.040), None),
        (True, "D5600", (0.0045, 0.0097, 0.019, 0.037), None),
        (False, "P3200", (-0.0033, -0.0070, -0.0135, -0.025), (11, 25, 52, 113)),
        (True, "P3200", (0.0034, 0.0073, 0.0148, 0.030), None),
    ],
)
def test_green_gels(
    plus: bool, light: str, duvs: tuple[float, ...], mireds: tuple[float, ...] | None
) -> None:
    source = {"D5600": daylight(5600), "P3200": scaled(planck(3200))}[light]
    found = shifts(
        source, np.stack([source * green_filter(cc, plus=plus) for cc in (3.5, 7.5, 15, 30)])
    )
    assert [one.duv_shift for one in found] == pytest.approx(duvs, abs=0.0006)
    if mireds is not None:
        assert [one.mired_shift for one in found] == pytest.approx(mireds, abs=1.0)


def test_stops_a_gel_takes() -> None:
    # Source: as above: minus green at 5600 K takes .08, .16, .32, .61 stop
    source = daylight(5600)
    lost = [
        float(np.log2(1.0 / xyz(source * green_filter(cc, plus=False))[1]))
        for cc in (3.5, 7.5, 15, 30)
    ]
    assert lost == pytest.approx([0.08, 0.16, 0.32, 0.61], abs=0.01)


def test_the_gel_that_fits_is_found() -> None:
    # property: a light tinted by a half plus green wants a half minus green, and the other way
    # round
    source = daylight(5600)
    green = nearest_gels(source, source * green_filter(15, plus=True))
    assert green is not None
    assert green.names[0] == "minus_green_1_2"
    assert abs(green.duv_left) < 0.002
    magenta = nearest_gels(source, source * green_filter(7.5, plus=False))
    assert magenta is not None
    assert magenta.names[0] == "plus_green_1_4"
    assert (
        nearest_gels(source, source * green_filter(1.5, plus=False)) is None
    )  # under .0023 nothing is needed


# Every grade that is sold, and what it does, in mired (common practice, from memory): the
# strengths of three or four makers, rounded to 5; "makers differ" holds for all
SOLD = {
    "ctb_1_8": (-20, -10),
    "ctb_1_4": (-40, -30),
    "ctb_1_2": (-80, -65),
    "ctb_full": (-140, -125),
    "cto_1_8": (20, 30),
    "cto_1_4": (40, 65),
    "cto_1_2": (80, 110),
    "cto_full": (155, 170),
}


@pytest.mark.parametrize("name", SOLD)
def test_each_grade_undoes_what_it_is_sold_for(name: str) -> None:
    # by hand: a light turned by the middle of a grade the other way wants that grade
    assert dict(zip(SOLD, (*CTB_MIRED, *CTO_MIRED), strict=True))[name] == SOLD[name]
    low, high = SOLD[name]
    key = planck(4000)
    turned = planck(1e6 / (250.0 - (low + high) / 2.0))
    gels = nearest_gels(key, turned)
    assert gels is not None
    assert gels.names == (name,)
    assert gels.mired == SOLD[name]
    # property: between its ends lies what makers differ by, about what was to be undone (a gel is
    # worked out before the lamp: on a light that is turned by 100 mired it errs by some 10)
    ends = [one.mired_shift or 0.0 for one in shifts(key, gels.through(turned))]
    assert ends[1] - ends[0] == pytest.approx(high - low, rel=0.15)
    assert abs(sum(ends) / 2.0) < 0.1 * abs(low + high) / 2.0 + 1.0
    for spectrum in gels.through(turned):
        assert np.all(spectrum <= turned * (1 + 1e-9))  # a gel only takes away


@pytest.mark.parametrize(
    ("mired", "wanted"), [(7.9, False), (8.1, True), (-7.9, False), (-8.1, True)]
)
def test_less_than_half_of_the_smallest_gel_needs_none(mired: float, wanted: bool) -> None:
    gels = nearest_gels(planck(4000), planck(1e6 / (250.0 + mired)))
    assert (gels is not None) is wanted
    if gels is not None:
        assert gels.names == ("ctb_1_8" if mired > 0 else "cto_1_8",)


@pytest.mark.parametrize(("duv", "wanted"), [(0.00225, False), (0.00235, True)])
def test_less_than_half_of_the_smallest_green_needs_none(duv: float, wanted: bool) -> None:
    # Source: half of what 1/8 minus green takes at 5600 K, .0046, computed as above
    key = light_spectrum("led", 5600)
    for sign, kind in ((1, "minus_green_1_8"), (-1, "plus_green_1_8")):
        tinted = light_spectrum("led", 5600, key.duv + sign * duv).spectrum
        gels = nearest_gels(key.spectrum, tinted)
        assert (gels is not None) is wanted
        assert gels is None or gels.names[0] == kind


def test_no_blue_gel_turns_a_lamp_bluer_than_white() -> None:
    # by hand: 1e6 / 9000 = 111 mired; full blue would leave 111 - 140 < 40, half 31, quarter 71
    gels = nearest_gels(planck(9000), planck(1e6 / (111 + 130)))
    assert gels is not None
    assert gels.names == ("ctb_1_4",)


def test_a_light_that_is_not_white_has_no_gel() -> None:
    key = light_spectrum("led", 5600).spectrum
    assert nearest_gels(key, key * measured(RED)) is None


def test_balancing_to_the_bounce() -> None:
    # Source: camera balanced to the bounce: grey returns to 0, skin keeps .6 (cream, tungsten), 5.5
    # (green, D5600), 8.2 (red, LED)
    for wall, light, left in (
        (of_srgb("#e8d9b0").spectrum, scaled(planck(3200)), 0.6),
        (measured(GREEN), daylight(5600), 5.5),
        (measured(RED), light_spectrum("led", 5600).spectrum, 8.2),
    ):
        (found,) = shifts(light, (light * wall)[None])
        assert found.delta_e_skin_balanced == pytest.approx(left, abs=0.12)


def test_green_is_undone_before_blue() -> None:
    # property: both gels together leave less than either, and less than nothing at all
    key = light_spectrum("led", 5600).spectrum
    beige = key * of_srgb("#c9b79c").spectrum
    (found,) = shifts(key, beige[None])
    gels = nearest_gels(key, beige, found)
    assert gels is not None
    assert [name.rsplit("_", 2)[0] for name in gels.names] == ["minus_green", "ctb"]
    left = max(one.delta_e for one in shifts(key, gels.through(beige)))
    alone = replace(gels, mired=(0.0, 0.0))
    (green,) = {round(one.delta_e, 9) for one in shifts(key, alone.through(beige))}
    assert left < green < found.delta_e
    assert isinstance(gels, Gels)
    assert gels.lamp_mired == pytest.approx(1e6 / float(cct_duv(uv_1960(xyz(key)))[0]))


def room(dims: tuple[float, float, float], walls: list[FloatArray]) -> tuple[Enclosure, FloatArray]:
    here = enclosure(tuple(map(tuple, rectangle_m(dims[0], dims[1]))), dims[2], (), 0.5)
    flat = np.ones(71)
    return here, np.stack([*walls, 0.20 * flat, 0.85 * flat])[here.patches.surface]


RED_ROOM = ((4, 3, 2.5), [measured(RED)] * 4)
CREAM_ROOM = ((5, 6.5, 2.7), [of_srgb("#e8d9b0").spectrum] * 4)
GREEN_WALL = ((4, 3, 2.5), [np.full(71, 0.7)] * 3 + [measured(GREEN)])  # wall D is at x = 0
# Source: radiosity by 0.25 m patches for each wavelength, lamp of 9000 lux at 1 m and 55 degrees,
# floor .20, ceiling .85, computed
# independently of this program; tolerances lux 4 %, stops .07, xy .002, mired 1.5 or 4 %, Duv
# .0006, dE .5
WORKED = {
    "1": (
        RED_ROOM,
        ("led", 5600),
        (2, 1.5, 1.5),
        (2, 1.5, 2.5),
        (3.2, 1.5, 1.2),
        (-1, 0, 0),
        0,
        328,
        2.78,
        (0.3437, 0.3387),
        5011,
        21.0,
        -0.0064,
        (8.8, 5.5, 4.8, 3.7),
        "high",
    ),
    "2": (
        RED_ROOM,
        ("led", 5600),
        (1.2, 1.5, 1.5),
        (0, 1.5, 1.5),
        (3.2, 1.5, 1.2),
        (-1, 0, 0),
        0,
        40.5,
        5.80,
        (0.5450, 0.3244),
        None,
        None,
        -0.0246,
        (31.9, 26.5, 26.2, 21.8),
        "high",
    ),
    "3": (
        RED_ROOM,
        ("led", 5600),
        (1.2, 1.5, 1.2),
        (3.2, 1.5, 1.2),
        (3.2, 1.5, 1.2),
        (-1, 0, 0),
        2250,
        33.7,
        -0.02,
        (0.3317, 0.3396),
        5534,
        2.1,
        -0.0007,
        (1.2, 0.7, 0.6, 0.5),
        None,
    ),
    "3a": (
        RED_ROOM,
        ("led", 5600),
        (1.2, 1.5, 1.2),
        (3.2, 1.5, 1.2),
        (3.2, 1.5, 1.2),
        (-1, 0, 0),
        0,
        33.7,
        6.06,
        (0.4273, 0.3312),
        2491,
        222.9,
        -0.0305,
        (25, 21, 19, 15),
        "high",
    ),
    "4": (
        CREAM_ROOM,
        ("tungsten", 3200),
        (2.5, 2, 1.7),
        (2.5, 2, 2.7),
        (2.5, 4, 1.2),
        (0, -1, 0),
        0,
        247,
        3.18,
        (0.4350, 0.4054),
        3043,
        16.3,
        0.0008,
        (6.7, 4.0, 2.8, 1.9),
        "medium",
    ),
    "5": (
        GREEN_WALL,
        ("daylight", 5600),
        (2.5, 1.5, 1.2),
        (0.5, 1.5, 1.2),
        (0.5, 1.5, 1.2),
        (1, 0, 0),
        2250,
        91.6,
        -0.06,
        (0.3300, 0.3471),
        5607,
        -0.2,
        0.0009,
        (1.5, 0.8, 0.6, 0.4),
        "none",
    ),
    "5a": (
        GREEN_WALL,
        ("daylight", 5600),
        (2.5, 1.5, 1.2),
        (0.5, 1.5, 1.2),
        (0.5, 1.5, 1.2),
        (-1, 0, 0),
        0,
        291,
        2.95,
        (0.3156, 0.4959),
        None,
        None,
        0.0642,
        (29, 24, 35, 27),
        "high",
    ),
}


@pytest.mark.parametrize("name", WORKED)
def test_worked_rooms(name: str) -> None:
    (
        (dims, walls),
        light,
        at,
        aim,
        subject,
        normal,
        direct,
        lux,
        loss,
        xy,
        kelvin,
        mired,
        duv_shift,
        differences,
        risk,
    ) = WORKED[name]
    here, reflectance = room(dims, walls)
    source = light_spectrum(*light).spectrum
    arriving = face(here, reflectance, view(here, subject, normal)).arriving(
        spot(here, at, aim, 9000, 55)
    )
    bounced = float(lux_of(source, arriving))
    assert bounced == pytest.approx(lux, rel=0.04)
    assert np.log2(2250 / (bounced + direct)) == pytest.approx(loss, abs=0.07)
    (found,) = shifts(source, (source * (arriving + direct))[None])
    assert found.xy == pytest.approx(xy, abs=0.002)
    assert found.duv_shift == pytest.approx(duv_shift, abs=0.0006)
    if kelvin is None:
        assert found.cct_k is None
        assert found.mired_shift is None
    else:
        assert found.cct_k == pytest.approx(kelvin, rel=0.01)
        assert found.mired_shift == pytest.approx(mired, abs=max(1.5, 0.04 * abs(mired or 0)))
    assert (
        found.delta_e_white,
        found.delta_e,
        found.delta_e_skin,
        found.delta_e_dark_skin,
    ) == pytest.approx(differences, abs=0.55)
    if risk is not None:
        assert found.risk == risk


def test_first_bounce_alone_keeps_its_colour_off_a_white_ceiling() -> None:
    # Source: worked room 1 as above with the first bounce only: 296 lux, no shift: the pink of the
    # red room comes with the later bounces
    (dims, walls), light, at, aim, subject, normal, *_ = WORKED["1"]
    here, reflectance = room(dims, walls)
    laid = spot(here, at, aim, 9000, 55)
    arriving = view(here, subject, normal).arriving(
        reflectance, laid, np.repeat(laid.mean_lux[:, None], 71, axis=1)
    )
    source = light_spectrum(*light).spectrum
    assert float(lux_of(source, arriving)) == pytest.approx(296, rel=0.04)
    (found,) = shifts(source, (source * arriving)[None])
    assert found.mired_shift == pytest.approx(0.1, abs=1.5)
    assert found.duv_shift == pytest.approx(0.0, abs=0.0006)
    assert (found.delta_e_white, found.delta_e, found.delta_e_skin) == pytest.approx(
        (0.1, 0, 0), abs=0.5
    )
    assert found.risk == "none"


def test_neutral_rooms_shift_nothing() -> None:
    # property: grey surfaces change the level and nothing else, for any light
    here, reflectance = room((4, 3, 2.5), [np.full(71, level) for level in (0.3, 0.6, 0.8, 0.5)])
    look = face(here, reflectance, view(here, (3.2, 1.5, 1.2), (-1, 0.2, 0.1)))
    arriving = look.arriving(spot(here, (2, 1.5, 1.5), (2, 1.5, 2.5), 9000, 55))
    for source in (
        daylight(5600),
        scaled(planck(2700)),
        light_spectrum("fluorescent", 4000).spectrum,
    ):
        (found,) = shifts(source, (source * arriving)[None])
        assert (found.delta_e_white, found.duv_shift, found.mired_shift) == pytest.approx(
            (0, 0, 0), abs=1e-6
        )
    # property: lux goes with lumens
    twice = look.arriving(spot(here, (2, 1.5, 1.5), (2, 1.5, 2.5), 18000, 55))
    assert twice == pytest.approx(2 * arriving)


def test_the_slope_by_surface_is_the_slope() -> None:
    # property: raising one surface's reflectance by a hair changes the reading as `through` says
    here, reflectance = room((4, 3, 2.5), [np.full(71, level) for level in (0.3, 0.6, 0.8, 0.5)])
    lamp = spot(here, (2, 1.5, 1.5), (2.5, 1.5, 2.5), 9000, 55)
    seen = view(here, (3.2, 1.5, 1.2), (-1, 0, 0))
    look = face(here, reflectance, seen)
    landing = all_landing(here, reflectance, lamp.mean_lux)
    # property: forwards from the lamp and backwards from the face is the same light
    assert seen.arriving(reflectance, lamp, landing) == pytest.approx(look.arriving(lamp), rel=1e-6)
    for name in ("A", "D", "ceiling"):
        more = reflectance.copy()
        more[here.patches.of(name)] += 1e-5
        slope = (face(here, more, seen).arriving(lamp) - look.arriving(lamp)) / 1e-5
        assert look.through(name, landing) == pytest.approx(
            slope, rel=0.06
        )  # the spot's detail within a patch is left out


def test_uv_at_is_square_to_the_locus() -> None:
    # by hand: 5600 K, Duv +.01 lies above and slightly towards smaller u
    on, above = uv_at(5600, 0.0), uv_at(5600, 0.01)
    assert np.hypot(*(above - on)) == pytest.approx(0.01, rel=1e-3)
    assert above[1] > on[1]
