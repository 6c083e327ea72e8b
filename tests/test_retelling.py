"""Engine sentences in feet and inches. One inch is 25.4 mm and one foot 12 inches (international
yard and pound agreement, 1959).
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import pytest

from scout.assess.answers import BounceAnswer
from scout.assess.choice.compare import NeedCell
from scout.retelling import retold, retold_answers
from scout.units import parse_length_m


@pytest.mark.parametrize(
    ("metric", "feet"),
    [
        (
            "needs 2.05 m here",
            "needs 6' 8 1/2\" here",
        ),  # by hand: 2050 / 25.4 = 80.71 in, to the half inch 80.5 = 6 ft 8.5 in
        ("at (3.0, 3.0) m.", "at (9' 10\", 9' 10\")."),  # by hand: 118.11 in, 118 = 9 ft 10 in
        (
            "stands at 3.70, 1.86, 2.43 m",
            "stands at 12' 1 1/2\", 6' 1\", 7' 11 1/2\"",
        ),  # by hand: 145.67, 73.23 and 95.67 in
        ("over 32.5 m² of floor", "over 350 sq ft of floor"),  # by hand: 32.5 / 0.09290304 = 349.8
        ("4 m2 of curtain", "43 sq ft of curtain"),  # by hand: 43.06
        (
            "a hall of 1,200 m3",
            "a hall of 42,400 cu ft",
        ),  # by hand: 1200 x 35.3147 = 42 378, to three figures
        ("from 0.9 to 1.5 m", "from 2' 11 1/2\" to 4' 11\""),  # by hand: 35.43 and 59.06 in
        ("5 cm or more", '2" or more'),  # by hand: 1.97 in
        ("a 10 m lead of 1.5 mm2", "a 33 ft lead of 1.5 mm2"),  # by hand: 32.8 ft
        (
            "a black 1 by 1.2 m flag",
            "a black 3' 3 1/2\" by 3' 11\" flag",
        ),  # by hand: 39.37 and 47.24 in
        (
            "above the ceiling (height_m 2.7)",
            "above the ceiling (height 8' 10 1/2\")",
        ),  # by hand: 106.3 in
        (
            "0 m to spare, then -0.30 m",
            "0' 0\" to spare, then -1' 0\"",
        ),  # by hand: 11.81 in, to the half inch 12
        (
            "4 m by 5 m; 6 m.",
            "13' 1 1/2\" by 16' 5\"; 19' 8\".",
        ),  # by hand: 157.48, 196.85 and 236.22 in
    ],
)
def test_what_is_said_in_metres_is_said_in_feet(metric: str, feet: str) -> None:
    assert retold(metric, "feet") == feet
    assert retold(metric, "metric") == metric


@pytest.mark.parametrize(
    "text",
    [
        "the 50 mm lens on a 24.9 x 14.0 mm sensor",
        "sound runs at 343 m/s",
        "9000 lx at 1 m",
        "its lux at 1 m is not recorded",
        "60 dBA at 1 m (ISO 9921)",
        "5 min",
        "lamp K1, M2 and 3 more",
        "1.5 mm2",
        "230 V, 16 A, 3680 W",
        "within 400 km of land",
        "you typed “3.8 m” there",
        "at 10:40, 12 people",
        "R2 m",
        "100 lm/m2",
        "W1m",
        "",
        "32 Hz m",
        "is not a length; give metres or feet and inches, such as 3.8, 3,8 m, 380 cm, 12' 6\" or 12ft 6 1/2in",
        "has no unit; write feet and inches such as 12' 6\", or metres such as 3.8 m",
    ],
)
def test_what_is_no_length_of_a_room_stays(text: str) -> None:
    assert retold(text, "feet") == text


def test_property_what_is_said_again_is_the_same_length_within_its_rounding() -> None:
    """property: read back, each length is within a quarter of an inch (half of the step) of what
    was said, or half a foot where only feet are said.
    """
    for millimetres in range(0, 30_000, 137):
        metric = f"{millimetres / 1000:.2f}"
        again = parse_length_m(retold(f"{metric} m", "feet"))
        assert abs(again - float(metric)) <= 0.00636, metric
    for metres in range(10, 500, 7):
        assert (
            abs(parse_length_m(retold(f"{metres} m", "feet").replace(",", "")) - metres) <= 0.1525
        )
    for hundredths in range(1, 20_000, 97):
        square = re.sub(
            r"[^\d.]", "", retold(f"{hundredths / 100:.2f} m2", "feet").removesuffix(" sq ft")
        )
        assert float(square) == pytest.approx(
            hundredths / 100 * 10.7639104, abs=0.51
        )  # NIST SP 811, B.8: 1 sq ft is 9.290304 E-02 m2


def test_saying_it_twice_changes_nothing() -> None:
    """property: what is in feet has no metres left."""
    for text in (
        "needs 2.05 m",
        "at (3.0, 3.0) m",
        "32.5 m²",
        "10 m of 1.5 mm2",
        "1,200 m3",
        "5 cm",
    ):
        once = retold(text, "feet")
        assert retold(once, "feet") == once


@dataclass(frozen=True)
class Typed:
    """Not an answer of the engine."""

    text: str


def test_answers_are_said_again_and_what_people_typed_is_not() -> None:
    cell, typed = NeedCell("care", "needs 2.05 m", "2.00 m there"), Typed("the 5 m corridor")
    found = retold_answers({"cell": cell, "rows": (cell,), "typed": typed, "words": "5 m"}, "feet")
    assert found["cell"] == NeedCell(
        "care", "needs 6' 8 1/2\"", "6' 6 1/2\" there"
    )  # by hand: 80.71 and 78.74 in
    assert found["rows"] == (found["cell"],)
    assert found["typed"] is typed
    assert found["words"] == "5 m"
    assert retold_answers(cell, "metric") is cell
    named = BounceAnswer(light="the 5 m tube", surface="A", assumed=("stands 5.00 m off",))
    again = retold_answers(named, "feet")
    assert (again.light, again.assumed) == (
        "the 5 m tube",
        ("stands 16' 5\" off",),
    )  # by hand: 196.85 in
