"""What is held of rooms is the same answer for the same numbers, within its bounds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scout.calc.geometry import FloatArray
from scout.calc.held import bytes_of, held, let_go


@dataclass(frozen=True)
class Answer:
    rows: tuple[FloatArray, ...]


def asking(*bounds: float):  # type: ignore[no-untyped-def]
    asked: list[int] = []

    @held(*bounds)  # type: ignore[arg-type]
    def work_out(count: int) -> Answer:
        asked.append(count)
        return Answer((np.zeros(count),))

    return work_out, asked


def test_the_same_numbers_give_the_same_object_until_it_is_let_go() -> None:
    work_out, asked = asking(2)
    assert work_out(1) is work_out(1)
    work_out(2)
    work_out(1)
    work_out(3)  # property: of three the one that was not asked for longest is forgotten
    work_out(1)
    assert asked == [1, 2, 3]
    let_go()
    work_out(1)
    assert asked == [1, 2, 3, 1]


def test_answers_are_held_within_their_bytes_the_last_one_always() -> None:
    work_out, asked = asking(10, 100.0)
    work_out(5)  # by hand: 5 x 8 = 40 bytes
    work_out(6)  # 48: both fit
    work_out(5)
    assert asked == [5, 6]
    work_out(50)  # 400: alone already too much
    work_out(50)
    work_out(5)
    assert asked == [5, 6, 50, 5]


def test_what_is_kept_outlives_a_room_within_its_bytes_and_not_the_last_one() -> None:
    work_out, asked = asking(10, 1000.0, 100)
    for count in (5, 6, 7):  # by hand: 40, 48 and 56 bytes; the last alone is all that 100 hold
        work_out(count)
    let_go()
    work_out(7)
    assert asked == [5, 6, 7]
    work_out(6)
    assert asked == [5, 6, 7, 6]
    let_go(of_all=True)
    work_out(6)
    assert asked == [5, 6, 7, 6, 6]


def test_bytes_count_an_array_once_and_a_view_as_what_it_keeps_alive() -> None:
    whole = np.zeros(100)  # by hand: 800 bytes
    assert bytes_of(Answer((whole, whole, whole[:3]))) == 800
