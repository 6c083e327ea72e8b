"""How long a move takes, by the rules of thumb that are said beside every plan."""

from __future__ import annotations

import pytest

from scout.calc.day.moves import carry_min, drive_min
from scout.calc.distance import distance_m
from scout.errors import OutOfRange


def test_a_move_by_road_follows_from_a_published_distance() -> None:
    # Source: Karney, test set for geodesics, GeodTest.dat: 76.1478894 m
    next_door = distance_m(19.707097385334, 0.0, 19.707739582810257, 0.00026025642810105)
    # by hand: 10 min for doors and parking, 0.0761 km x 1.3 / 40 km/h are 0.15 min: 11 begun
    assert drive_min(next_door) == 11
    # Source: the same: 1 665 550.2847 m; by hand: x 1.3 / 40 km/h are 3247.8 min, and 10
    far = distance_m(31.371144087006, 0.0, 28.909631785856762, 17.071526465331372)
    assert drive_min(far) == 3258
    assert drive_min(0.0) == 10


def test_a_carry_goes_there_and_back_on_every_trip_but_the_last() -> None:
    # by hand: four trips are seven ways; 60 m and 20 steps take 80 s a way: 560 s
    assert carry_min(60.0, 20) == 10
    assert carry_min(0.0, 0) == 0
    with pytest.raises(OutOfRange):
        carry_min(-1.0, 0)
    with pytest.raises(OutOfRange):
        drive_min(-1.0)
