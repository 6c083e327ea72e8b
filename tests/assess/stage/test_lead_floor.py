"""The floor as leads cross it: which pieces they go round, and behind which none is laid."""

from __future__ import annotations

from typing import Any

import pytest

from scout.assess.stage.floor import lead_floor
from scout.calc.power.ways import Floor
from scout.records.sheet import RoomRecord

# wall C runs along y 0, from x 5 to 0; the sofa is 2 m wide and 0.9 m deep, its middle at x 2.5
SOFA = {"id": "sofa", "width_m": 2.0, "depth_m": 0.9, "height_m": 0.85}


def floor(**piece: Any) -> Floor:
    room = {"name": "R", "setting": "interior", "width_m": 5.0, "length_m": 6.0}
    made = lead_floor(RoomRecord.read({**room, "furniture": [{**SOFA, **piece}]}), None)
    assert made is not None
    return made


@pytest.mark.parametrize(
    ("piece", "long"),
    [
        # by hand: round the front, 0.95 m from the wall: hypot(1, .95) twice, and 2 m
        ({"at_m": [2.5, 0.50]}, 2 * 1.3793 + 2.0),
        # 0.07 m off the wall a lead is laid behind it
        ({"at_m": [2.5, 0.52]}, 4.0),
        # what hangs on the wall has the floor free below it
        ({"at_m": [2.5, 0.50], "clear_below_m": 0.9, "height_m": 1.5}, 4.0),
        ({"at_m": [2.5, 0.50], "clear_below_m": 0.7}, 2 * 1.3793 + 2.0),
        # turned by 90 degrees, flush by its narrow side: 0.9 m wide, to 2.05 m
        ({"at_m": [2.5, 1.05], "turn_deg": 90}, 2 * 2.5700 + 0.9),
    ],
)
def test_no_lead_is_laid_behind_what_stands_flush(piece: dict[str, Any], long: float) -> None:
    assert floor(**piece).way((0.5, 0.0), (4.5, 0.0)).length_m == pytest.approx(long, abs=1e-3)


def test_a_socket_behind_a_piece_is_reached_from_its_end() -> None:
    way = floor(at_m=[2.5, 0.48]).way((2.0, 0.0), (0.5, 2.0))
    assert way.path_m == ((2.0, 0.0), (1.5, 0.0), (0.5, 2.0))
    assert way.inside_m == (0.0,)
