"""Light from photos of a card, against the worked example of the standard and against photos that a
renderer made with known settings.
"""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.geometry import FloatArray
from scout.calc.light.card import Shot, card_light
from scout.calc.light.exposure import card_lux
from scout.errors import OutOfRange

GREY, WHITE = 0.18, 0.90


def rendered(
    lux: float, reflectance: float, n: float, t: float, iso: float, seed: int
) -> FloatArray:
    """A card as a camera of these settings renders it: ISO 2720 luminance to mid grey at code 118
    (ISO 12232), sRGB's curve (IEC 61966-2-1), a slope of 1.08 of the camera's own, noise, whole
    codes.
    """
    luminance = lux * reflectance / np.pi
    mid = 12.5 * n**2 / (t * iso)
    linear = 0.1812 * (luminance / mid) ** 1.08
    code = 255 * (1.055 * min(linear, 1.0) ** (1 / 2.4) - 0.055)
    noise = np.random.default_rng(seed).normal(0.0, 3.0, (32, 32, 3))
    return np.clip(np.round(code + noise), 0, 255)


def shot(
    lux: float, n: float, t: float, iso: float, reflectance: float = GREY, seed: int = 1
) -> Shot:
    return Shot(n, t, iso, rendered(lux, reflectance, n, t, iso, seed))


def test_the_worked_example_of_the_standard() -> None:
    # by hand, ISO 2720:1974: L = 12.5 x 8^2 x 125 / 100 = 1000 cd/m2 is rendered as mid grey; on a
    # matte card of 18 % that is pi x 1000 / 0.18 = 17,453 lux
    assert card_lux(8.0, 1 / 125, 100, 0.18, GREY) == pytest.approx(17_453, rel=1e-4)
    # by hand: a stop wider, twice the time, twice the speed: half the light each
    assert card_lux(8.0, 1 / 125, 200, 0.18, GREY) == pytest.approx(17_453 / 2, rel=1e-4)
    assert card_lux(5.657, 1 / 125, 100, 0.18, GREY) == pytest.approx(17_453 / 2, rel=1e-3)
    # a white card that came out as pale as the grey one stands in a fifth of its light
    assert card_lux(8.0, 1 / 125, 100, 0.18, WHITE) == pytest.approx(17_453 / 5, rel=1e-4)


@pytest.mark.parametrize("lux", [40.0, 300.0, 2500.0])
@pytest.mark.parametrize("over", [-0.4, 0.0, 0.6])
def test_photos_of_known_settings_within_what_is_stated(lux: float, over: float) -> None:
    # Source: rendered above; exposed so many stops off what the grey card would need
    t = 12.5 * 2.8**2 / (400 * lux * GREY / np.pi) * 2.0**over
    two = [shot(lux, 2.8, t, 400), shot(lux, 2.8, t / 1.2, 400, seed=2)]
    got = card_light(two, GREY, plain_tones=True)
    assert got.doubt_stops == 0.5
    assert got.said == ()
    assert abs(np.log2(got.lux / lux)) < got.doubt_stops


@pytest.mark.parametrize(
    ("shots", "plain", "code"),
    [
        ((shot(300.0, 2.8, 0.02, 200),), True, "card.one_shot"),
        ((shot(300.0, 2.8, 0.02, 200), shot(300.0, 2.8, 0.02, 200)), False, "card.tones_mapped"),
        ((shot(300.0, 2.8, 0.02, 800), shot(300.0, 2.8, 0.02, 800)), True, "card.off_middle"),
        ((shot(300.0, 2.8, 0.02, 200), shot(420.0, 2.8, 0.02, 200)), True, "card.shots_apart"),
    ],
)
def test_what_keeps_a_reading_at_a_whole_stop(
    shots: tuple[Shot, ...], plain: bool, code: str
) -> None:
    got = card_light(shots, GREY, plain_tones=plain)
    assert got.doubt_stops == 1.0
    assert [note.code for note in got.said] == [code]


@pytest.mark.parametrize(
    ("shots", "path", "code"),
    [
        ((shot(9000.0, 2.8, 0.02, 400),), "card", "refusal.colour.card_clipped"),
        ((shot(5.0, 2.8, 0.02, 100),), "card", "refusal.colour.card_dark"),
        (
            (shot(300.0, 2.8, 0.02, 200), shot(700.0, 2.8, 0.02, 200)),
            "twin",
            "refusal.card.shots_apart",
        ),
    ],
)
def test_refused_by_name(shots: tuple[Shot, ...], path: str, code: str) -> None:
    with pytest.raises(OutOfRange) as refused:
        card_light(shots, GREY, plain_tones=True)
    assert (refused.value.path, refused.value.because.code) == (path, code)


def test_the_edge_of_a_card_is_refused() -> None:
    area = rendered(300.0, GREY, 2.8, 0.02, 200, 1)
    area[:, 16:] = 40.0
    with pytest.raises(OutOfRange) as refused:
        card_light((Shot(2.8, 0.02, 200, area),), GREY, plain_tones=True)
    assert refused.value.because.code == "refusal.card.uneven"
