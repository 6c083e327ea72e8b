"""A wall's colour from a photo with a card."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.bounce.card import Picked, area_code, picked
from scout.calc.bounce.difference import ciede2000, lab
from scout.calc.bounce.surface import SRGB_TO_XYZ, linear_of_code
from scout.calc.geometry import FloatArray
from scout.errors import OutOfRange
from scout.values import Figure, Said, Word


def area(*code: float) -> FloatArray:
    return np.full((32, 32, 3), code, dtype=np.float64)


# Source: IEC 61966-2-1 decoding, code to linear light, and reflectance = 0.90 wall / card worked
# out by hand from it
@pytest.mark.parametrize(
    ("wall", "card", "linear", "colour", "level"),
    [
        ((180, 120, 110), (235, 228, 210), (0.4944, 0.2179, 0.2177), (59.59, 22.45, 9.09), 0.277),
        ((96, 110, 140), (235, 228, 210), (0.1267, 0.1809, 0.3662), (49.83, 5.01, -26.33), 0.183),
        ((140, 30, 28), (230, 232, 235), (0.2983, 0.0145, 0.0126), (32.85, 47.37, 31.95), 0.075),
    ],
)
def test_wall_beside_a_white_card(
    wall: tuple[float, ...],
    card: tuple[float, ...],
    linear: tuple[float, ...],
    colour: tuple[float, ...],
    level: float,
) -> None:
    found = picked([area(*wall)], [area(*card)], 0.90)
    assert found.linear == pytest.approx(linear, abs=2e-4)
    assert lab(SRGB_TO_XYZ @ found.linear) == pytest.approx(colour, abs=0.1)
    assert found.light_reflectance == pytest.approx(level, abs=0.001)
    assert found.spread == pytest.approx(0.0, abs=1e-9)


def test_grey_card_gives_the_same_as_white() -> None:
    # property: the card's reflectance divides out; 0.18 / 0.90 of the linear light of (230, 230,
    # 230) is code 110 (IEC 61966-2-1)
    white = picked([area(120, 90, 80)], [area(230, 230, 230)], 0.90)
    level = float(linear_of_code(230)) * 0.2
    code = 255 * (1.055 * level ** (1 / 2.4) - 0.055)
    assert picked([area(120, 90, 80)], [area(code, code, code)], 0.18).linear == pytest.approx(
        white.linear, rel=1e-6
    )


@pytest.mark.parametrize(
    ("walls", "cards", "path", "code"),
    [
        ([], [(230, 230, 230)], "wall", "no_pick"),
        ([(100, 100, 100)], [(250, 230, 230)], "card", "card_clipped"),
        ([(250, 250, 250)], [(200, 200, 200)], "wall", "over_white"),
        ([(200, 100, 100), (100, 100, 200)], [(230, 230, 230)], "wall", "picks_apart"),
        ([(100, 100, 100)], [(0, 200, 200)], "card", "card_dark"),
    ],
)
def test_refused(
    walls: list[tuple[float, ...]], cards: list[tuple[float, ...]], path: str, code: str
) -> None:
    with pytest.raises(OutOfRange) as refusal:
        picked([area(*wall) for wall in walls], [area(*card) for card in cards], 0.90)
    assert (refusal.value.path, refused(refusal.value)) == (path, code)


def refused(refusal: OutOfRange) -> str:
    """The last part of the code of a refusal."""
    assert isinstance(refusal.because, Said)
    return refusal.because.code.removeprefix("refusal.colour.")


def told(found: Picked) -> list[str]:
    return [note.code.removeprefix("card.") for note in found.said]


@pytest.mark.parametrize(
    ("walls", "cards", "notes"),
    [
        ([(100, 100, 100)], [(245, 230, 230)], ["nearly_clipped", "curve_in"]),
        ([(100, 100, 100)], [(244, 230, 230)], ["curve_in"]),
        ([(31, 31, 31)], [(230, 230, 230)], ["wall_dark", "curve_in"]),
        ([(32, 32, 32)], [(230, 230, 230)], ["curve_in"]),
        ([(100, 100, 100)], [(230, 230, 230), (230, 200, 150)], ["mixed_light", "curve_in"]),
        ([(100, 100, 100)], [], ["none"]),
    ],
)
def test_warned(
    walls: list[tuple[float, ...]], cards: list[tuple[float, ...]], notes: list[str]
) -> None:
    found = picked([area(*wall) for wall in walls] * 2, [area(*card) for card in cards], 0.90)
    assert sorted(told(found)) == sorted(notes)


def test_a_shadow_on_the_card_is_no_other_light() -> None:
    # property: less of the same light keeps its colour
    dim = 255 * (1.055 * (float(linear_of_code(230)) * 0.8) ** (1 / 2.4) - 0.055)
    cards = [area(230, 230, 230), area(dim, dim, dim)]
    assert "mixed_light" not in told(picked([area(90, 90, 90)], cards, 0.90))


def test_an_edge_is_said_and_no_number_is_refused() -> None:
    edge = area(100, 100, 100)
    edge[:, 16:] = 160
    (uneven,) = [
        note
        for note in picked([edge] * 2, [area(230, 230, 230)], 0.90).said
        if note.code == "card.uneven"
    ]
    # by hand: half at 100, half at 160 vary by 30
    assert (uneven["what"], uneven["varies"]) == (Word("pick", "wall"), Figure(30.0))
    with pytest.raises(OutOfRange, match="area"):
        area_code(np.full((4, 4, 3), np.nan))


def tone(linear: tuple[float, float, float], contrast: float) -> FloatArray:
    """The codes a camera of such a contrast gives for linear light."""
    bent = np.array(linear) ** contrast
    return np.round(
        255 * np.where(bent <= 0.0031308, 12.92 * bent, 1.055 * bent ** (1 / 2.4) - 0.055), 3
    )


@pytest.mark.parametrize("contrast", [0.85, 1.0, 1.15, 1.3])
def test_two_cards_take_the_tone_curve_out(contrast: float) -> None:
    # by hand: a camera that gives L^k for light L (exponents of real cameras, common practice);
    # with white and grey k comes back and the wall with it
    wall = (0.30, 0.20, 0.15)
    found = picked(
        [area(*tone(wall, contrast))] * 2,
        [area(*tone((0.9 * 0.9,) * 3, contrast))],
        0.90,
        [area(*tone((0.9 * 0.18,) * 3, contrast))],
    )
    assert found.linear == pytest.approx(np.array(wall) / 0.9, rel=0.02)
    (out,) = [note for note in found.said if note.code == "card.curve_out"]
    assert out["contrast"].value == pytest.approx(contrast, abs=0.005)
    if (
        contrast == 1.3
        # Source: with one card alone the same camera is CIEDE2000 9.2 off (worked out by hand with IEC
        # 61966-2-1 and Sharma 2005)
    ):
        alone = picked([area(*tone(wall, contrast))] * 2, [area(*tone((0.9,) * 3, contrast))], 0.90)
        true = lab(SRGB_TO_XYZ @ np.array(wall))
        assert float(ciede2000(lab(SRGB_TO_XYZ @ alone.linear), true)) == pytest.approx(
            9.2, abs=0.3
        )
        assert "curve_in" in told(alone)


def test_cards_that_do_not_fit_each_other_are_refused() -> None:
    wall, grey, white = area(100, 100, 100), area(110, 110, 110), area(230, 230, 230)
    for cards, held, greys, code in (
        ([grey], 0.90, [white], "cards_disagree"),
        ([], None, [grey], "grey_needs_white"),
        ([grey], 0.18, [grey], "grey_needs_white"),
    ):
        with pytest.raises(OutOfRange) as refusal:
            picked([wall], cards, held, greys)
        assert (refusal.value.path, refused(refusal.value)) == ("grey", code)


def test_one_place_is_said_to_be_one() -> None:
    for picks in (1, 2):
        found = picked([area(100, 100, 100)] * picks, [area(230, 230, 230)], 0.90)
        assert ("one_place" in told(found)) is (picks == 1)
