"""Glass by angle against Fresnel's limits and against a ray tracer's glass."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.daylight.window.glass import (
    CLEAREST,
    CLEAREST_TWO,
    diffuse_reflectance,
    transmitted,
    transmitted_many,
)
from scout.errors import OutOfRange


@pytest.mark.parametrize("square_on", [0.05, 0.3, 0.7, 0.8, 0.9, 0.918, 0.95])
def test_square_on_is_what_was_given_and_edge_on_is_nothing(square_on: float) -> None:
    curve = transmitted(square_on, np.linspace(1.0, 0.0, 50))
    assert curve[0] == pytest.approx(square_on)
    assert curve[-1] == 0.0
    assert np.all(np.diff(curve) <= 1e-12)  # property: more slant, less light


@pytest.mark.parametrize("square_on", [0.0, 0.3, 0.8, 0.95, 1.0])
def test_the_curve_read_from_its_table_is_the_curve(square_on: float) -> None:
    cosine = np.random.default_rng(3).uniform(0, 1, (40, 50))
    assert transmitted_many(square_on, cosine) == pytest.approx(
        transmitted(square_on, cosine), abs=2e-6
    )


def test_clearest_pane_loses_its_two_faces() -> None:
    # by hand: r = (0.52 / 2.52)^2 = 0.04258; T = (1 - r) / (1 + r) = 0.9183.
    assert pytest.approx(0.9183, abs=1e-4) == CLEAREST


def test_slanted_pane_of_080_at_60_degrees() -> None:
    # by hand (Fresnel, n 1.52): cos t = sqrt(1 - 0.75 / 2.3104) = 0.8218; r_s = (0.7492 / 1.7492)^2
    # = 0.1834, r_p = (0.0618 / 1.5818)^2 =
    # 0.0015. From 0.80 square on one pass leaves a = 0.8715, at this slant 0.8715^(1 / 0.8218) =
    # 0.8459. Inner reflections summed:
    # T_s = 0.8166^2 x 0.8459 / (1 - 0.0336 x 0.7156) = 0.5780, T_p = 0.8434; the mean is 0.7107.
    assert transmitted(0.8, 0.5) == pytest.approx(0.7107, abs=2e-4)


def test_an_open_hole_loses_nothing_at_any_angle() -> None:
    assert transmitted(1.0, [1.0, 0.5, 0.01]).tolist() == [1.0, 1.0, 1.0]
    assert diffuse_reflectance(1.0) == 0.0
    assert transmitted(0.0, [1.0, 0.3]).tolist() == [0.0, 0.0]


def test_diffuse_reflectance_of_clear_glass() -> None:
    # Source: handbook value for one clear pane in diffuse light, 0.15 to 0.16 (common practice:
    # "about 15 %").
    assert diffuse_reflectance(0.918) == pytest.approx(0.155, abs=0.01)
    assert diffuse_reflectance(0.3) < diffuse_reflectance(
        0.9
    )  # property: what is absorbed does not come back from the far face


def test_two_clear_panes_by_the_pile_of_plates() -> None:
    # Source: Stokes 1862 for m plates that absorb nothing, T = (1 - r) / (1 + (2 m - 1) r). By hand
    # at 60 degrees, r as above: T_s = 0.8166 / 1.5502 =
    # 0.5268, T_p = 0.9985 / 1.0045 = 0.9940, mean 0.7604; square on, r = 0.04258: 0.95742 / 1.12774
    # = 0.8490.
    assert pytest.approx(0.8490, abs=1e-4) == CLEAREST_TWO
    assert transmitted(CLEAREST_TWO, [1.0, 0.5], panes=2) == pytest.approx(
        [0.8490, 0.7604], abs=3e-4
    )


def test_double_glazing_falls_off_faster_than_one_pane() -> None:
    # Source: handbook row for clear double glazing of 3 mm panes, 0.70 of the sun square on, 0.58
    # at 60 degrees, 0.60 of diffuse light (ASHRAE, from memory).
    node, share = np.polynomial.legendre.leggauss(40)
    cosine = (node + 1) / 2
    assert transmitted(0.7, 0.5, panes=2) == pytest.approx(0.58, abs=0.02)
    assert float(np.sum(share * cosine * transmitted(0.7, cosine, panes=2))) == pytest.approx(
        0.60, abs=0.015
    )
    slanted = np.linspace(0.0, 0.55, 50)
    assert np.all(transmitted(0.7, slanted, panes=2) <= transmitted(0.7, slanted))
    assert diffuse_reflectance(0.7, 2) > diffuse_reflectance(
        0.7
    )  # property: four faces throw back more than two


@pytest.mark.parametrize("square_on", [0.0, 0.3, 0.7, 0.849, 0.9, 1.0])
def test_two_panes_square_on_are_what_was_given_and_lose_no_light(square_on: float) -> None:
    curve = transmitted(square_on, np.linspace(1.0, 0.0, 50), panes=2)
    assert curve[0] == pytest.approx(square_on, abs=1e-9)
    assert np.all(np.diff(curve) <= 1e-12)  # property: more slant, less light


def test_three_panes_are_refused() -> None:
    with pytest.raises(OutOfRange, match="panes"):
        transmitted(0.7, 1.0, panes=3)


def test_bad_transmittance_is_refused() -> None:
    with pytest.raises(OutOfRange, match="transmittance"):
        transmitted(1.2, 1.0)
