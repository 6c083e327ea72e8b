import pytest

from scout.calc.light.exposure import needed_lux
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
