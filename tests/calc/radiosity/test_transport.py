"""Light in closed rooms: the integrating sphere, conservation, and the lamp."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.geometry import rectangle_m
from scout.calc.radiosity import (
    Enclosure,
    at_point,
    direct_at,
    direct_from_lamp,
    enclosure,
    flux_lm,
    importance,
    lobe_exponent,
    solve,
)
from scout.errors import OutOfRange

L_PLAN = ((0.0, 5.0), (3.0, 5.0), (3.0, 3.0), (6.0, 3.0), (6.0, 0.0), (0.0, 0.0))


def room(x: float = 4.0, y: float = 3.0, z: float = 2.5) -> Enclosure:
    return enclosure(tuple(map(tuple, rectangle_m(x, y))), z, (), 0.5)


@pytest.mark.parametrize(
    "plan", [tuple(map(tuple, rectangle_m(4, 3))), L_PLAN], ids=["rectangle", "L"]
)
@pytest.mark.parametrize("rho", [0.5, 0.8])
def test_uniform_room_is_an_integrating_sphere(
    plan: tuple[tuple[float, float], ...], rho: float
) -> None:
    # Source: integrating sphere, any shape: flux reflected in all = flux rho / (1 - rho); landing
    # in all = flux / (1 - rho)
    here = enclosure(plan, 2.5, (), 0.5)
    lux = direct_from_lamp(here.patches, (1.2, 1.5, 1.5), (0.0, 1.5, 1.5), 9000, 55)
    exitance = solve(here.factors, np.full(len(lux), rho), rho * lux)
    flux = flux_lm(9000, 55)
    assert exitance @ here.patches.area_m2 == pytest.approx(flux * rho / (1 - rho), rel=1e-9)
    assert (lux + here.factors @ exitance) @ here.patches.area_m2 == pytest.approx(
        flux / (1 - rho), rel=1e-9
    )


def test_energy_is_conserved_with_unlike_surfaces() -> None:
    # property: what the lamp gives is what the surfaces take in, all bounces counted
    here = room()
    rho = np.linspace(0.05, 0.9, len(here.patches.names))[here.patches.surface]
    lux = direct_from_lamp(here.patches, (2, 1.5, 1.5), (2, 1.5, 2.5), 9000, 55)
    landing = lux + here.factors @ solve(here.factors, rho, rho * lux)
    assert np.sum(landing * (1 - rho) * here.patches.area_m2) == pytest.approx(
        flux_lm(9000, 55), rel=1e-9
    )


def test_importance_agrees_with_the_forward_solution() -> None:
    # property: reading = seen @ solve(M) = importance @ M, band by band
    here = room(5, 6.5, 2.7)
    rng = np.random.default_rng(3)
    rho = rng.uniform(0.0, 0.95, (len(here.patches.names), 4))[here.patches.surface]
    rho[:5] = 0.0  # a black patch still sends what it was lit to send
    sent = rng.uniform(0.0, 100.0, rho.shape)
    seen = at_point(here.patches, (2.5, 4, 1.2), (0, -1, 0))
    forward = seen @ solve(here.factors, rho, sent)
    backward = np.sum(importance(here.factors, here.patches.area_m2, rho, seen) * sent, axis=0)
    assert backward == pytest.approx(forward, rel=1e-6)


def test_brighter_surfaces_never_darken_the_room() -> None:
    # property: raising one reflectance lowers no reading
    here = room()
    lux = direct_from_lamp(here.patches, (2, 1.5, 1.5), (2, 1.5, 2.5), 9000, 55)
    seen = at_point(here.patches, (3.2, 1.5, 1.2), (-1, 0, 0))
    base = np.full(len(here.patches.names), 0.4)
    before = seen @ solve(
        here.factors, base[here.patches.surface], base[here.patches.surface] * lux
    )
    for k in range(len(base)):
        more = base.copy()
        more[k] = 0.6
        assert (
            seen @ solve(here.factors, more[here.patches.surface], more[here.patches.surface] * lux)
            > before
        )


def test_lamp() -> None:
    # Source: cosine-power lobe (Moreno and Sun 2008): 55 degrees is m = 5.781; 9000 cd on the axis
    # is 8339 lm
    assert lobe_exponent(55) == pytest.approx(5.781, abs=0.001)
    assert flux_lm(9000, 55) == pytest.approx(8339, abs=1)
    # by hand: inverse square, 9000 / 2^2; half the intensity at half the beam angle
    assert direct_at((0, 0, 0), (0, 0, 1), 9000, 55, (0, 0, 2), (0, 0, -1)) == pytest.approx(2250)
    edge = np.tan(np.radians(27.5)) * 2
    away = np.hypot(edge, 2)
    assert direct_at(
        (0, 0, 0), (0, 0, 1), 9000, 55, (edge, 0, 2), np.array([-edge, 0, -2]) / away
    ) == pytest.approx(4500 / away**2)
    assert direct_at((0, 0, 0), (0, 0, 1), 9000, 55, (0, 0, 2), (0, 0, 1)) == 0  # the plane's back
    assert direct_at((0, 0, 0), (0, 0, 1), 9000, 55, (0, 0, -2), (0, 0, 1)) == 0  # the lamp's back


@pytest.mark.parametrize(
    "at", [(2, 1.5, 1.5), (0.01, 1.5, 1.5), (2.0, 1.5, 2.499), (0.25, 0.25, 0.25)]
)
def test_all_of_the_lamp_lands_in_the_room(at: tuple[float, float, float]) -> None:
    # property: conservation, also for a lamp that touches a wall
    here = room()
    for aim in ((at[0], at[1], 2.5 if at[2] < 2.4 else 0.0), (4.0, at[1], at[2])):
        lux = direct_from_lamp(here.patches, at, aim, 9000, 55)
        assert lux @ here.patches.area_m2 == pytest.approx(flux_lm(9000, 55), rel=1e-9)


@pytest.mark.parametrize(
    "plan", [tuple(map(tuple, rectangle_m(4, 3))), L_PLAN], ids=["rectangle", "L"]
)
@pytest.mark.parametrize("beam_deg", [1, 4, 12])
def test_a_spot_smaller_than_a_patch_lands_where_it_points(
    plan: tuple[tuple[float, float], ...], beam_deg: float
) -> None:
    # property: all of the light lands, and around the aim. by hand: 12 degrees over 2 m is a spot
    # of 0.2 m
    here = enclosure(plan, 2.5, (), 0.5)
    for aim in ((1.37, 0.0, 1.13), (0.0, 1.61, 0.83), (1.9, 1.3, 0.0)):
        lux = direct_from_lamp(here.patches, (1.37, 1.61, 1.9), aim, 9000, beam_deg)
        light = lux * here.patches.area_m2
        assert light.sum() == pytest.approx(flux_lm(9000, beam_deg), rel=1e-6)
        assert light @ here.patches.centre_m / light.sum() == pytest.approx(aim, abs=0.3)


def test_a_wall_hides_the_lamp() -> None:
    here = enclosure(L_PLAN, 2.5, (), 0.5)
    lux = direct_from_lamp(here.patches, (1.0, 4.5, 1.2), (3.0, 4.5, 1.2), 9000, 120)
    # by hand: the line from (1, 4.5) past the corner (3, 3) meets x = 6 at y = 0.75
    hidden = here.patches.of("D") & (here.patches.centre_m[:, 1] > 2.5)
    assert np.all(lux[hidden] == 0)
    assert lux[here.patches.of("B")].max() > 0


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"beam_deg": 0}, "beam_deg"),
        ({"beam_deg": 180}, "beam_deg"),
        ({"lux_at_1m": -1}, "lux_at_1m"),
        ({"aim_m": (0, 0, 0)}, "aim_m"),
        ({"at_m": (0, 0, float("nan"))}, "at_m"),
    ],
)
def test_lamps_that_cannot_be_are_refused(change: dict[str, object], path: str) -> None:
    given: dict[str, object] = {
        "at_m": (0, 0, 0),
        "aim_m": (0, 0, 1),
        "lux_at_1m": 9000.0,
        "beam_deg": 55.0,
    } | change
    with pytest.raises(OutOfRange) as refusal:
        direct_at(
            given["at_m"],
            given["aim_m"],
            given["lux_at_1m"],
            given["beam_deg"],
            (0, 0, 2),
            (0, 0, -1),
        )  # type: ignore[arg-type]
    assert refusal.value.path == path


def test_reflectance_of_one_and_nan_are_refused() -> None:
    here = room()
    count = len(here.factors)
    for rho in (1.0, -0.1, float("nan")):
        with pytest.raises(OutOfRange, match="reflectance"):
            solve(here.factors, np.full(count, rho), np.ones(count))
    with pytest.raises(OutOfRange, match="emitted"):
        solve(here.factors, np.full(count, 0.5), np.ones(3))
