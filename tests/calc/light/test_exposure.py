import pytest

from scout.calc.light.exposure import (
    f_number_for,
    mixed_cct_k,
    needed_lux,
    third_stop_f,
    third_stop_iso,
)
from scout.errors import OutOfRange


def test_needed_lux_of_a_common_setting() -> None:
    # Source: ISO 2720:1974, E = C N^2 / (t S); by hand: 250 x 7.84 x 50 / 800 = 122.5, with 330:
    # 161.7.
    assert float(needed_lux(2.8, 1 / 50, 800)) == pytest.approx(122.5, abs=0.05)
    assert float(needed_lux(2.8, 1 / 50, 800, 330)) == pytest.approx(161.7, abs=0.05)


def test_sunny_sixteen_is_sunlight() -> None:
    # common practice: f/16 at 1/ISO in full sun, which is 80 to 100 klx; by hand: 250 x 256 x 100 /
    # 100 = 64 000, 330: 84 480.
    assert float(needed_lux(16, 1 / 100, 100)) == pytest.approx(64_000)
    assert float(needed_lux(16, 1 / 100, 100, 330)) == pytest.approx(84_480)


@pytest.mark.parametrize(
    "bad", [(0, 0.02, 800), (2.8, 0, 800), (2.8, 0.02, 0), (2.8, 0.02, float("nan"))]
)
def test_a_setting_of_nothing_is_refused(bad: tuple[float, float, float]) -> None:
    with pytest.raises(OutOfRange):
        needed_lux(*bad)


def test_refused_by_name() -> None:
    with pytest.raises(OutOfRange, match="constant"):
        needed_lux(2.8, 0.02, 800, 12.5)


@pytest.mark.parametrize(
    ("exposure", "lux"),
    # Source: the table of illuminance by exposure value at ISO 100 with C = 250 that meters' makers
    # print (Ray, Camera Features, in Applied Photographic Optics): EV 0 is 2.5 lx, each EV doubles it.
    [
        (-1, 1.25),
        (0, 2.5),
        (5, 80),
        (8, 640),
        (10, 2560),
        (12, 10_240),
        (15, 81_920),
        (16, 163_840),
    ],
)
def test_the_light_of_an_exposure_value(exposure: int, lux: float) -> None:
    assert float(needed_lux(1.0, 2.0**-exposure, 100)) == pytest.approx(lux)


@pytest.mark.parametrize(
    ("light", "stop"),
    # Source: the exposure guide printed with film for 1/ISO s: f/16 in full sun, f/11 in hazy, f/8
    # under a bright overcast, f/5.6 heavy overcast; with the lux of those skies from memory (C = 330)
    [(84_480, 16), (42_240, 11), (21_120, 8), (10_560, 5.6)],
)
def test_the_sunny_sixteen_table(light: float, stop: float) -> None:
    assert float(f_number_for(light, 1 / 100, 100, 330)) == pytest.approx(stop, rel=0.03)


def test_third_stops_as_they_are_marked() -> None:
    assert [third_stop_f(one) for one in (1.0, 1.41, 2.6, 2.83, 3.8, 5.66, 40.0)] == [
        *(1.0, 1.4, 2.5, 2.8, 3.5, 5.6, 32.0)
    ]
    assert third_stop_f(2.75) == 2.8  # within the rounding of the mark
    assert [third_stop_iso(one) for one in (100, 101, 110, 200, 570, 640.1, 2400, 3200)] == [
        *(100, 100, 125, 200, 640, 640, 2500, 3200)
    ]


def test_the_temperature_of_a_mix() -> None:
    # property: one light alone, and two alike, are what they are
    assert mixed_cct_k([3200.0], [0.0], [100.0]) == pytest.approx(3200, rel=0.002)
    assert mixed_cct_k([5600.0, 5600.0], [0.0, 0.0], [1.0, 9.0]) == pytest.approx(5600, rel=0.002)
    # property: between the two, warmer the more of the warm one, and nothing changes with the level
    mix = [mixed_cct_k([3200.0, 6500.0], [0.0, 0.0], [share, 1.0 - share]) for share in (0.2, 0.8)]
    assert 3200 < mix[1] < mix[0] < 6500
    assert mixed_cct_k([3200.0, 6500.0], [0.0, 0.0], [40.0, 160.0]) == pytest.approx(mix[0])
    # by hand: 2856 K (xy .44758 .40745) and 6504 K (.31271 .32902) of equal lux have X, Y, Z of
    # 2.0489, 2, 1.4447, xy .37296 .36406; McCamy's n = (x - .3320) / (.1858 - y) = -.2298 gives
    # 449 n^3 + 3525 n^2 + ... = 4133 K; his formula is good to some 10 K there
    assert mixed_cct_k([2856.0, 6504.0], [0.0, 0.0032], [1.0, 1.0]) == pytest.approx(4133, abs=30)
