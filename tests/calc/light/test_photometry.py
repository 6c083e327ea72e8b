import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.calc.light.photometry import (
    beam_exponent,
    beam_share,
    illuminance_lux,
    intensity_cosine_power_cd,
    intensity_uniform_cone_cd,
)
from scout.errors import OutOfRange


@pytest.mark.parametrize(
    ("lumens", "beam_deg", "cone_cd", "power_cd"),
    # by hand: flux / (2 pi (1 - cos(b/2))) and flux (m + 1) / (2 pi) with m = ln .5 / ln cos(b/2);
    # 5000 lm, 55 deg: cos 27.5 = .88701, 5000 / (2 pi .11299) = 7043; m = 5.7810, 5000 x 6.7810 / 2
    # pi = 5396.
    [(5000, 55, 7043, 5396), (10_000, 110, 3732, 3576), (2000, 20, 20_952, 14_731)],
)
def test_intensity_from_lumens_by_two_models(
    lumens: float, beam_deg: float, cone_cd: float, power_cd: float
) -> None:
    assert float(intensity_uniform_cone_cd(lumens, beam_deg)) == pytest.approx(cone_cd, abs=1)
    assert float(intensity_cosine_power_cd(lumens, beam_deg)) == pytest.approx(power_cd, abs=1)


def test_the_two_models_differ_by_half_a_stop_at_most() -> None:
    # property: the doubt we state for lumens covers the lamps in use, from spots of 20 degrees to
    # panels of 120.
    beams = np.linspace(20, 120, 51)
    stops = np.log2(
        intensity_uniform_cone_cd(1000.0, beams) / intensity_cosine_power_cd(1000.0, beams)
    )
    assert float(np.max(np.abs(stops))) <= 0.52


def test_cone_of_all_directions_spreads_over_the_whole_sphere() -> None:
    # by hand: 360 degrees is a solid angle of 4 pi.
    assert float(intensity_uniform_cone_cd(4 * math.pi, 360.0)) == pytest.approx(1.0)


def test_cosine_power_at_120_degrees_is_a_flat_matt_emitter() -> None:
    # by hand: cos 60 = 1/2, so m = 1 and I = flux / pi (Lambert).
    assert float(intensity_cosine_power_cd(math.pi, 120.0)) == pytest.approx(1.0)


@given(beam=st.floats(5, 170))
def test_light_at_the_edge_of_the_beam_is_half(beam: float) -> None:
    # property: the beam angle is the full angle to half intensity.
    assert float(beam_share(beam / 2, beam)) == pytest.approx(0.5, rel=1e-9)
    assert float(beam_share(0.0, beam)) == 1.0
    assert float(beam_share(90.0, beam)) == 0.0
    assert float(beam_share(135.0, beam)) == 0.0


def test_inverse_square_on_the_key_of_a_seated_subject() -> None:
    # by hand: (3.366, 2.134, 2.425) to (2.5, 3.0, 1.2): .866^2 + .866^2 + 1.225^2 = 3.0006; 9000 /
    # 3.0006 = 2999.
    lux = illuminance_lux([2.5, 3.0, 1.2], [3.366, 2.134, 2.425], 9000.0)
    assert float(lux) == pytest.approx(2999, abs=1)


def test_plane_that_looks_away_gets_nothing_and_one_at_60_degrees_half() -> None:
    # by hand: cos 60 = 1/2; behind the plane 0.
    lamp = [0.0, 0.0, 2.0]
    normals = np.array([[0, 0, 1.0], [math.sin(math.pi / 3), 0, 0.5], [0, 0, -1.0]])
    lux = illuminance_lux(np.zeros((3, 3)), lamp, 400.0, normal=normals)
    assert lux == pytest.approx([100.0, 50.0, 0.0])


def test_aimed_beam_falls_to_half_at_its_edge() -> None:
    # by hand: lamp 1 m over the floor aimed straight down, beam 90: the floor point 1 m aside is 45
    # degrees off, sqrt 2 away:
    # 100 cd x 1/2 / 2 = 25 lx facing the lamp.
    lux = illuminance_lux(
        [1.0, 0.0, 0.0], [0.0, 0.0, 1.0], 100.0, aim_m=[0.0, 0.0, 0.0], beam_deg=90.0
    )
    assert float(lux) == pytest.approx(25.0)


@pytest.mark.parametrize(
    "call",
    [
        lambda: intensity_uniform_cone_cd(100.0, 0.0),
        lambda: intensity_cosine_power_cd(100.0, 180.0),
        lambda: beam_share(200.0, 60.0),
        lambda: illuminance_lux([0, 0, 1.0], [0, 0, 1.0], 100.0),
        lambda: illuminance_lux([0, 0, 1.0], [0, 0, 2.0], 100.0, aim_m=[0, 0, 2.0], beam_deg=40.0),
        lambda: illuminance_lux([0, 0, 1.0], [0, 0, 2.0], 100.0, normal=[0, 0, 0]),
    ],
)
def test_what_has_no_meaning_is_refused(call) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange):
        call()


def test_a_beam_as_thin_as_a_hair_still_has_an_exponent() -> None:
    # by hand: for a small half angle x, log cos x = -x^2 / 2, so m = 2 ln 2 / x^2; x = 0.5e-6
    # degrees = 8.727e-9 rad: 1.82e16
    assert float(beam_exponent(1e-6)) == pytest.approx(2 * np.log(2) / 8.7266e-9**2, rel=1e-3)
    assert float(beam_share(0.0, 1e-6)) == 1.0
    assert float(beam_share(1.0, 1e-6)) == 0.0
