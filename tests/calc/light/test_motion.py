import numpy as np
import pytest

from scout.calc.light.motion import path_points_m, stops_along
from scout.calc.light.photometry import illuminance_lux
from scout.errors import OutOfRange

PATH = [[1.0, 3.0, 1.5], [4.0, 3.0, 1.5]]
KEY = [3.366, 2.134, 2.425]


def test_light_along_a_path_past_the_key() -> None:
    # by hand, inverse square: first point 2.366^2 + .866^2 + .925^2 = 7.204, 9000 / 7.204 = 1249,
    # and so on; log2(5543 / 1249) = 2.15.
    points = path_points_m(PATH)
    assert points[:, 0] == pytest.approx([1, 1.5, 2, 2.5, 3, 3.5, 4])
    lux = illuminance_lux(points, KEY, 9000.0)
    assert lux == pytest.approx([1249, 1769, 2593, 3821, 5174, 5543, 4483], abs=1)
    assert stops_along(lux) == pytest.approx(2.15, abs=0.005)
    # by hand: the same with 400 lx everywhere: log2(5943 / 1649) = 1.85.
    assert stops_along(lux, 400.0) == pytest.approx(1.85, abs=0.005)


def test_a_face_that_keeps_to_the_camera_loses_more() -> None:
    # by hand, with the cosine to a face that looks along -y: first point 1249 x .866 / 2.684 = 403;
    # at 3.5 m 5543 x .866 / 1.274 = 3768.
    lux = illuminance_lux(path_points_m(PATH), KEY, 9000.0, normal=[0, -1, 0])
    assert (float(lux.min()), float(lux.max())) == pytest.approx((403, 3768), abs=1)
    assert stops_along(lux) == pytest.approx(3.22, abs=0.01)


def test_moving_the_key_back_evens_the_path() -> None:
    # by hand: with the key at y = -0.5 the nearest point is 3.62 m off and the furthest 4.33: 2
    # log2(4.33 / 3.62) = .51.
    lux = illuminance_lux(path_points_m(PATH), [3.366, -0.5, 2.425], 9000.0)
    assert stops_along(lux) == pytest.approx(0.51, abs=0.01)


def test_points_keep_the_corners_and_the_step() -> None:
    # property: every corner is among the points and no step is longer than asked.
    path = [[0, 0, 1.0], [1.3, 0, 1.0], [1.3, 0.9, 1.0]]
    points = path_points_m(path, 0.4)
    for corner in path:
        assert np.min(np.linalg.norm(points - corner, axis=1)) < 1e-12
    assert np.max(np.linalg.norm(np.diff(points, axis=0), axis=1)) <= 0.4 + 1e-9


def test_refusals() -> None:
    with pytest.raises(OutOfRange):
        path_points_m([[0, 0, 1.0]])
    with pytest.raises(OutOfRange):
        path_points_m(PATH, 0.0)
    with pytest.raises(OutOfRange):
        stops_along(np.array([0.0, 10.0]))
