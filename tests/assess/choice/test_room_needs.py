"""Needs of the room as measured, at their borders by hand; facts are invented beside each test."""

from __future__ import annotations

import pytest

from scout.assess.choice.compare import cells_of
from scout.values import Figure
from tests.assess.choice.candidates import (
    NOT_MEASURED,
    candidate,
    check,
    judged,
    scene,
)


def test_floor() -> None:
    need = {"topic": "floor", "width_m": 3.0, "length_m": 4.0}
    cell = judged(need, candidate(room={"width_m": 4, "length_m": 3.2}))
    check(cell, "pass", None, "need.floor_fits")
    assert cell.figure.value == pytest.approx(12.8)
    check(
        judged(need, candidate(room={"width_m": 3.9, "length_m": 3.9})),
        "fail",
        None,
        "need.floor_short",
    )
    check(judged(need, candidate(room={"width_m": 3.9})), "unknown", NOT_MEASURED, "unmeasured")


def test_height() -> None:
    need = {"topic": "height", "height_m": 2.7}
    cell = judged(need, candidate(room={"height_m": 2.7}))
    check(cell, "pass", Figure(2.7, "m"), "need.to_spare")
    assert cell.why["gap"].value == 0
    cell = judged(need, candidate(room={"height_m": 2.4}))
    check(cell, "fail", Figure(2.4, "m"), "need.too_low")
    assert cell.why["gap"].value == pytest.approx(0.3)
    check(judged(need), "unknown", NOT_MEASURED, "unmeasured")
    check(
        judged(need, candidate(room={"setting": "exterior"})),
        "pass",
        "need.open_sky",
        "need.no_ceiling",
    )


FACES = {"topic": "facing", "strength": "must", "facing": "north"}
TWO_WINDOWS = {
    "width_m": 4,
    "length_m": 6,
    "windows": [{"id": "W1", "wall": "A"}, {"id": "W2", "wall": "C"}],
}


@pytest.mark.parametrize(
    ("bearing", "doubt", "level"),
    [
        (0, 5, "pass"),
        (350, 5, "pass"),
        (40, 5, "pass"),  # by hand: 45 less 40 is no less than the doubt
        (41, 5, "care"),
        (49, 5, "unknown"),
        (50, 5, "fail"),  # W2, at its back, is 130 off
        (90, 5, "fail"),
        (175, 5, "pass"),  # W2 faces 355
    ],
)
def test_a_window_faces_a_point_within_half_a_quarter(
    bearing: float, doubt: float, level: str
) -> None:
    facing = {"wall": "A", "bearing_deg": bearing, "north": "true", "accuracy_deg": doubt}
    room = candidate(room={**TWO_WINDOWS, "facing": facing})
    assert cells_of(scene(FACES), room)[0].level == level


def test_which_way_it_faces_is_unknown_until_it_is_read() -> None:
    cell = cells_of(scene(FACES), candidate(room=TWO_WINDOWS))[0]
    assert (cell.level, cell.why.code) == ("unknown", "unmeasured")
    assert cells_of(scene(FACES), candidate(room={"windows": []}))[0].level == "fail"
    assert cells_of(scene(FACES), candidate())[0].level == "unknown"
    outdoors = candidate(room={"setting": "exterior"})
    assert cells_of(scene(FACES), outdoors)[0].level == "outside"
