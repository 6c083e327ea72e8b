"""Positions as people paste them. property: whatever the way of writing, the same place."""

from __future__ import annotations

import pytest

from scout.errors import Refused
from scout.units import parse_degrees, parse_position

POSITIONS = [
    # by hand: 51 + 27/60 = 51.45; 2 + 34/60 + 48/3600 = 2.58
    "51.45, -2.58",
    "51.45,-2.58",
    "51.45 -2.58",
    " (51.45; −2.58) ",
    "51,45, -2,58",
    "51,45; -2,58",
    "51.45° N, 2.58° W",
    "51°27'0\"N 2°34'48\"W",
    "51° 27′ 00″ N, 2° 34′ 48″ W",
    "51°27'N 2°34.8'W",
    "N 51° 27.0' W 2° 34.8'",
    "N51.45 W2.58",
    "2°34'48\"W 51°27'0\"N",
    "51º27'0''N 2º34'48''W",
]


@pytest.mark.parametrize("text", POSITIONS)
def test_a_pasted_position_is_understood(text: str) -> None:
    assert parse_position(text) == pytest.approx((51.45, -2.58), abs=1e-9)


NO_POSITIONS = [
    "51.45",
    "51,45",
    "",
    "home",
    "51.45, -2.58, 12",
    "51°61'N 2°0'W",
    "N51 N2",
    "-51 S, 2 W",
    "51.45N",
    "51 27",
    "1.234,5",
    "1,234.5",
]


@pytest.mark.parametrize("text", NO_POSITIONS)
def test_what_is_no_pair_is_left_alone(text: str) -> None:
    assert parse_position(text) is None


def test_one_angle() -> None:
    assert parse_degrees("51°27'0\"N", name="latitude_deg") == pytest.approx(51.45, abs=1e-9)
    assert parse_degrees("2°34'48\"W", name="longitude_deg") == pytest.approx(-2.58, abs=1e-9)
    assert parse_degrees("51,45", name="latitude_deg") == 51.45
    for text in ("2°34'48\"W", "N51 N", "1_0", "nan", "51°60'N"):
        with pytest.raises(Refused) as refused:
            parse_degrees(text, name="latitude_deg")
        assert refused.value.path == "latitude_deg"
