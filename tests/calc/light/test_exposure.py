import pytest

from scout.calc.light.exposure import (
    DOME_RECEPTOR_CONSTANT,
    exposure_value,
    lux_at_exposure_value,
    needed_lux,
    own_ratio,
    stops_between,
)
from scout.errors import OutOfRange


def test_needed_lux_of_a_common_setting() -> None:
    # Source: ISO 2720:1974, E = C N^2 / (t S); by hand: 250 x 7.84 x 50 / 800 = 122.5, with 330:
    # 161.7; EV = log2(7.84 x 50) = 8.61.
    assert float(needed_lux(2.8, 1 / 50, 800)) == pytest.approx(122.5, abs=0.05)
    assert float(needed_lux(2.8, 1 / 50, 800, DOME_RECEPTOR_CONSTANT)) == pytest.approx(
        161.7, abs=0.05
    )
    assert float(exposure_value(2.8, 1 / 50)) == pytest.approx(8.61, abs=0.005)
    # by hand: ISO 800 is three stops above ISO 100.
    assert float(lux_at_exposure_value(5.61)) == pytest.approx(122.5, abs=0.5)


@pytest.mark.parametrize(
    ("ev", "lux"),
    # Source: ISO 2720 with C = 250 at ISO 100, by hand: 2.5 x 2^EV.
    [(0, 2.5), (3, 20), (5, 80), (7, 320), (9, 1280), (10, 2560), (12, 10_240), (15, 81_920)],
)
def test_lux_at_an_exposure_value(ev: float, lux: float) -> None:
    assert float(lux_at_exposure_value(ev)) == pytest.approx(lux)
    assert float(lux_at_exposure_value(ev, constant=DOME_RECEPTOR_CONSTANT)) == pytest.approx(
        1.32 * lux
    )


def test_the_two_receptors_differ_by_two_fifths_of_a_stop() -> None:
    # by hand: log2(330 / 250) = 0.40.
    assert float(stops_between(330.0, 250.0)) == pytest.approx(0.40, abs=0.005)


def test_sunny_sixteen_is_sunlight() -> None:
    # common practice: f/16 at 1/ISO in full sun, which is 80 to 100 klx; by hand: 250 x 256 x 100 /
    # 100 = 64 000, 330: 84 480.
    assert float(needed_lux(16, 1 / 100, 100)) == pytest.approx(64_000)
    assert float(needed_lux(16, 1 / 100, 100, DOME_RECEPTOR_CONSTANT)) == pytest.approx(84_480)
    assert float(exposure_value(16, 1 / 100)) == pytest.approx(14.64, abs=0.005)


@pytest.mark.parametrize(
    ("ratio", "stops", "lit_stops"), [(2, 1.0, 0.0), (4, 2.0, 1.58), (8, 3.0, 2.81)]
)
def test_ratios_in_stops_by_both_conventions(ratio: float, stops: float, lit_stops: float) -> None:
    # by hand: log2 of 2, 4, 8; and (key + fill) : fill of 2, 4, 8 means key : fill of 1, 3, 7.
    assert float(stops_between(ratio, 1.0)) == pytest.approx(stops)
    assert float(own_ratio(ratio)) == ratio - 1
    assert float(stops_between(own_ratio(ratio), 1.0)) == pytest.approx(lit_stops, abs=0.005)


@pytest.mark.parametrize(
    "bad", [(0, 0.02, 800), (2.8, 0, 800), (2.8, 0.02, 0), (2.8, 0.02, float("nan"))]
)
def test_a_setting_of_nothing_is_refused(bad: tuple[float, float, float]) -> None:
    with pytest.raises(OutOfRange):
        needed_lux(*bad)


def test_refused_by_name() -> None:
    with pytest.raises(OutOfRange, match="constant"):
        needed_lux(2.8, 0.02, 800, 12.5)
    with pytest.raises(OutOfRange, match="lit_to_shadow"):
        own_ratio(0.5)
