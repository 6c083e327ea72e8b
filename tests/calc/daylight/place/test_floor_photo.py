"""The way of a shadow off a photo of the floor, against pinhole pictures of known floors."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from scout.calc.daylight.place.floor_photo import shadow_on_floor
from tests.refusing import refused

A4 = [(0.0, 0.0), (0.297, 0.0), (0.297, 0.21), (0.0, 0.21)]  # along the wall, into the room
Array = NDArray[np.float64]


def pictured(
    floor: list[tuple[float, float]],
    *,
    eye: tuple[float, float, float],
    aim: tuple[float, float],
    across_deg: float = 65.0,
    aspect: float = 0.75,
    roll_deg: float = 0.0,
) -> Array:
    """Floor points as shares of a picture: a pinhole at `eye`, its axis through a floor point. x
    along the wall, y into the room, z DOWN to be right-handed.
    """
    place = np.array([eye[0], eye[1], -eye[2]])
    ahead = np.array([*aim, 0.0]) - place
    ahead /= np.linalg.norm(ahead)
    down = np.array([0.0, 0.0, 1.0])
    right = np.cross(down, ahead)
    right /= np.linalg.norm(right)
    below = np.cross(ahead, right)
    c, s = math.cos(math.radians(roll_deg)), math.sin(math.radians(roll_deg))
    right, below = c * right + s * below, c * below - s * right
    half = math.tan(math.radians(across_deg / 2))
    rays = np.column_stack([np.array(floor), np.zeros(len(floor))]) - place
    depth = rays @ ahead
    return np.column_stack(
        [0.5 + (rays @ right) / depth / half / 2, 0.5 + (rays @ below) / depth / half * aspect / 2]
    )


EYES = [
    ((0.2, 1.5, 1.6), (0.3, 0.4), 0.0),
    ((-0.8, 1.0, 1.2), (0.3, 0.3), 15.0),
    ((1.4, 0.9, 2.0), (0.2, 0.3), -40.0),
    ((0.1, -0.6, 1.5), (0.2, 0.4), 180.0),
]


@pytest.mark.parametrize(("eye", "aim", "roll_deg"), EYES)
@pytest.mark.parametrize("turn_deg", [-170.0, -60.0, 0.0, 45.0, 135.0, 180.0])
def test_the_way_is_read_wherever_the_camera_stood(
    eye: tuple[float, float, float], aim: tuple[float, float], roll_deg: float, turn_deg: float
) -> None:
    # by hand: 0 is out through the wall, which is against "into the room"; clockwise from above,
    # facing the wall, is to the right, along it
    turn = math.radians(turn_deg)
    near = (0.25, 0.45)
    far = (near[0] + 0.4 * math.sin(turn), near[1] - 0.4 * math.cos(turn))
    points = pictured([*A4, near, far], eye=eye, aim=aim, roll_deg=roll_deg)
    found = shadow_on_floor(
        points[:4], points[4:], along_m=0.297, deep_m=0.21, aspect=0.75, accuracy=0.002
    )
    assert (found.turn_deg - turn_deg + 180) % 360 - 180 == pytest.approx(0, abs=1e-6)
    assert found.length_m == pytest.approx(0.4)
    assert 0 < found.doubt_deg < 30


def test_the_doubt_covers_what_shaky_fingers_do() -> None:
    # property: fingers off by a normal error of the accuracy scatter the answer by about the doubt,
    # neither far more nor far less
    points = pictured(
        [(0, 0), (0.6, 0), (0.6, 0.6), (0, 0.6), (0.3, 0.5), (0.9, 1.1)],
        eye=(0.4, 2.2, 1.6),
        aim=(0.4, 0.6),
    )
    told = shadow_on_floor(
        points[:4], points[4:], along_m=0.6, deep_m=0.6, aspect=0.75, accuracy=0.003
    )
    random = np.random.default_rng(2)
    seen = []
    for _ in range(400):
        shaken = points + random.normal(0, 0.003, points.shape) * (1.0, 0.75)
        seen.append(
            shadow_on_floor(
                shaken[:4], shaken[4:], along_m=0.6, deep_m=0.6, aspect=0.75, accuracy=0.0
            ).turn_deg
            - told.turn_deg
        )
    assert 0.7 * told.doubt_deg < float(np.std(seen)) < 1.3 * told.doubt_deg


def test_only_the_shape_of_the_rectangle_turns_the_way() -> None:
    points = pictured([*A4, (0.2, 0.5), (0.5, 0.9)], eye=EYES[0][0], aim=EYES[0][1])
    one, ten = (
        shadow_on_floor(
            points[:4], points[4:], along_m=0.297 * k, deep_m=0.21 * k, aspect=0.75, accuracy=0.002
        )
        for k in (1, 10)
    )
    assert one.turn_deg == pytest.approx(ten.turn_deg)
    assert ten.length_m == pytest.approx(10 * one.length_m)


def test_points_that_make_no_sense_are_refused_in_words() -> None:
    points = pictured([*A4, (0.2, 0.5), (0.5, 0.9)], eye=EYES[0][0], aim=EYES[0][1])

    def wrong(code: str, order: list[int], shadow: Array | None = None) -> None:
        with refused(f"refusal.sun.{code}"):
            shadow_on_floor(
                points[order],
                points[4:] if shadow is None else shadow,
                along_m=0.297,
                deep_m=0.21,
                aspect=0.75,
                accuracy=0.002,
            )

    wrong("wrong_way_round", [1, 0, 3, 2])
    wrong("one_rectangle", [0, 2, 1, 3])
    wrong("one_rectangle", [0, 0, 1, 2])
    wrong("two_points", [0, 1, 2, 3], points[[4, 4]])
    wrong("on_floor", [0, 1, 2, 3], np.array([points[4], (0.5, -9.0)]))
