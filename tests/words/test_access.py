"""How the way in is said."""

from __future__ import annotations

import re

import pytest

from scout.assess.choice.findings import NarrowDoor, WayInEasy
from scout.values import Figure
from scout.words import Reader, full, line, reading


@pytest.mark.parametrize(
    ("steps", "said"),
    [(0, "0 steps, carry 20 m"), (1, "1 step, carry 20 m"), (2, "2 steps, carry")],
)
def test_one_step_is_one(steps: int, said: str) -> None:
    way = WayInEasy(
        level="good", steps=Figure(steps, "count"), carry=Figure(20.4, "m"), door=Figure(0.9, "m")
    )
    with reading(Reader("metric")):
        assert re.sub(r"\s", " ", full(way)).startswith(f"Way in: {said}")


def test_a_narrow_door_is_said_to_the_centimetre() -> None:
    # by hand: 0.78 m rounded to 5 cm would read 0.8 m, which is the border
    with reading(Reader("metric")):
        assert "0.78" in line(NarrowDoor(level="care", door=Figure(0.78, "m")))
