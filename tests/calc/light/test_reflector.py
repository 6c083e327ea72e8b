import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.calc.light.reflector import (
    direction,
    matt_board_lux,
    mirror_aim,
    patch_blur_m,
)
from scout.errors import OutOfRange


def test_mirror_due_north() -> None:
    # by hand: s = (sin 200 cos 40, cos 200 cos 40, sin 40) = (-.2620, -.7198, .6428), v = (0,
    # .9950, .0995); n = unit(s + v).
    aim = mirror_aim(200, 40, [0, 0, 1.2], [0, 3, 1.5])
    assert aim.normal == pytest.approx([-0.3142, 0.3300, 0.8902], abs=5e-5)
    assert (aim.azimuth_deg, aim.tilt_deg, aim.incidence_deg) == pytest.approx(
        (316.4, 62.9, 65.4), abs=0.05
    )


def test_mirror_off_to_the_side() -> None:
    # by hand: as above with v = unit(-2, 4, .6).
    aim = mirror_aim(200, 40, [2, -2, 1.0], [0, 2, 1.6])
    assert aim.normal == pytest.approx([-0.6643, 0.1570, 0.7308], abs=5e-5)
    assert (aim.azimuth_deg, aim.tilt_deg) == pytest.approx((283.3, 46.9), abs=0.06)


@given(st.floats(0, 360), st.floats(1, 89), st.floats(-5, 5), st.floats(1, 9), st.floats(0, 3))
def test_a_ray_reflected_at_the_normal_goes_to_the_subject(
    azimuth: float, elevation: float, x: float, y: float, z: float
) -> None:
    # property: law of reflection, the incoming ray -s mirrored at n is v.
    aim = mirror_aim(azimuth, elevation, [0, 0, 1.0], [x, y, z])
    sun = direction(azimuth, elevation)
    towards = np.array([x, y, z - 1.0]) / np.linalg.norm([x, y, z - 1.0])
    assert -sun + 2 * (sun @ aim.normal) * aim.normal == pytest.approx(towards, abs=1e-6)


def test_beam_turns_by_the_suns_own_angle_and_not_twice() -> None:
    # property: a still mirror is a fixed reflection, which keeps angles between directions.
    normal = mirror_aim(180, 40, [0, 0, 1.0], [0, 4, 1.5]).normal
    before, after = (
        -s + 2 * (s @ normal) * normal for s in (direction(180, 40), direction(181, 40))
    )
    suns_turn = np.arccos(direction(180, 40) @ direction(181, 40))
    assert float(np.arccos(np.clip(before @ after, -1, 1))) == pytest.approx(
        float(suns_turn), rel=1e-6
    )


def test_edge_of_the_patch_is_blurred_by_the_suns_disc() -> None:
    # by hand: .533 degrees is .0093 rad: 3.7 cm at 4 m.
    assert float(patch_blur_m(4.0)) == pytest.approx(0.037, abs=0.0005)


def test_hard_mirror_and_matt_board() -> None:
    # by hand: .85 x 90 000 = 76 500; .85 x 90 000 x cos 30 x cos 30 / (pi 9) = 2029; log2(76 500 /
    # 2029) = 5.2 stops.
    soft = float(matt_board_lux(90_000, 0.85, 1.0, 30, 30, 3.0))
    assert soft == pytest.approx(2029, abs=1)
    assert float(np.log2(76_500 / soft)) == pytest.approx(5.2, abs=0.05)


@pytest.mark.parametrize(
    "call",
    [
        lambda: mirror_aim(200, 0, [0, 0, 1], [0, 3, 1]),  # the sun is down
        lambda: mirror_aim(200, 40, [0, 0, 1], [0, 0, 1]),
        lambda: mirror_aim(180, 45, [0, 0, 1], [0, 1, 0]),  # straight away from the sun
        lambda: matt_board_lux(1000, 0.8, 1, 95, 0, 2),
    ],
)
def test_what_no_mirror_can_do_is_refused(call) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange):
        call()
