"""Comb filter, flutter and modes."""

from __future__ import annotations

import numpy as np
import pyroomacoustics
import pytest

from scout.calc.sound.boundaries import comb, flutter, flutter_warns, modes
from scout.errors import OutOfRange
from tests.refusing import refused


@pytest.mark.parametrize(
    ("geometry", "notch", "level", "colours"),
    [
        # By hand: rd = sqrt(D^2 + (hs-hm)^2), rr = sqrt(D^2 + (hs+hm)^2), first notch c/(2(rr-rd)),
        # level 20 log10(rd/rr).
        ((1.0, 0.4, 0.4), 611, -2.1, True),
        ((2.2, 1.2, 1.4), 143, -3.8, True),
        ((0.7, 1.5, 2.0), 63, -12.4, False),
        ((1.0, 0.4, 0.02), 11_600, -0.1, True),
    ],
)
def test_comb(
    geometry: tuple[float, float, float], notch: float, level: float, colours: bool
) -> None:
    found = comb(*geometry)
    assert found.first_notch_hz == pytest.approx(notch, rel=0.01)
    assert found.reflection_db == pytest.approx(level, abs=0.06)
    assert found.colours is colours


@pytest.mark.parametrize(
    ("case", "repeats", "decay", "room_s", "warns"),
    [
        # By hand: c/(2L); after n round trips -ln((1-a1)(1-a2)) (n - 1) + 2 ln n reaches 13.82:
        # n 82.8, 13.0 and 49.0; warned of when it outlasts 1.3 times the room.
        ((4.0, 0.03, 0.03), 42.9, 1.93, 0.6, True),
        ((4.0, 0.03, 0.03), 42.9, 1.93, 2.0, False),
        ((4.0, 0.03, 0.5), 42.9, 0.303, 0.6, False),
        ((2.5, 0.02, 0.1), 68.6, 0.714, 0.6, False),
    ],
)
def test_flutter(
    case: tuple[float, float, float], repeats: float, decay: float, room_s: float, warns: bool
) -> None:
    echo = flutter(*case)
    assert echo.repeats_hz == pytest.approx(repeats, abs=0.06)
    assert echo.decay_s == pytest.approx(decay, abs=0.005)
    assert flutter_warns(echo, case[0], room_s) is warns


def test_flutter_spreads_as_image_sources_do() -> None:
    # Source: pyroomacoustics, image sources between two walls of absorption 0.4 and 0.5, 3 m apart,
    # nothing thrown back by the others
    pyroomacoustics.constants.set("c", 343.2)
    nothing = pyroomacoustics.Material(0.9999)
    names = ("east", "west", "north", "south", "floor", "ceiling")
    walls = dict.fromkeys(names, nothing) | {
        "east": pyroomacoustics.Material(0.4),
        "west": pyroomacoustics.Material(0.5),
    }
    room = pyroomacoustics.ShoeBox((3.0, 4.4, 5.3), fs=16000, materials=walls, max_order=20)
    room.add_source([1.5, 1.7, 2.0])
    room.add_microphone([1.5, 2.7, 2.0])
    room.compute_rir()
    response = room.rir[0][0]
    begins = pyroomacoustics.constants.get("frac_delay_length") // 2

    def level(trips: int) -> float:
        at = begins + np.hypot(trips * 6.0, 1.0) / 343.2 * 16000
        return 10.0 * np.log10(np.sum(response[int(at) - 20 : int(at) + 20] ** 2))

    echo = flutter(3.0, 0.4, 0.5)
    trips = echo.decay_s * echo.repeats_hz
    below, above = (level(int(trips) + more) - level(1) for more in (0, 1))
    assert above - 0.5 <= -60.0 <= below + 0.5


def test_near_walls_do_not_flutter_audibly() -> None:
    assert not flutter_warns(
        flutter(1.2, 0.03, 0.03), 1.2, 0.3
    )  # common practice: only from 2.5 m apart


def test_modes_of_a_small_room() -> None:
    # Source: Rayleigh's formula by hand, 5 x 4 x 2.5 m at 20 degC; 001 and 200 coincide, as do 011
    # and 210.
    found = modes((5, 4, 2.5), 81)
    assert [mode.frequency_hz for mode in found] == pytest.approx(
        [34.32, 42.90, 54.94, 68.64, 68.64, 76.74, 80.94, 80.94], abs=0.01
    )
    assert [mode.order for mode in found[:3]] == [(1, 0, 0), (0, 1, 0), (1, 1, 0)]
    assert {mode.order for mode in found[3:5]} == {(0, 0, 1), (2, 0, 0)}
    assert {mode.order for mode in found[6:]} == {(0, 1, 1), (2, 1, 0)}


def test_refusals() -> None:
    with pytest.raises(OutOfRange, match="mic_m"):
        comb(1, 0.4, 0)
    with pytest.raises(OutOfRange, match="below 1"):
        flutter(4, 1.0, 0.1)
    with pytest.raises(OutOfRange, match="absorption_one"):
        flutter(4, 0, 0)
    with refused("refusal.shapes", "size_m"):
        modes((5, 4), 80)
