"""Lengths as people type them. Inch and foot: international yard and pound agreement of 1959 (1 in
= 25.4 mm exactly).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout import units
from scout.errors import Refused


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("3.8", 3.8),
        ("3,8 m", 3.8),
        ("3.8m", 3.8),
        ("380 cm", 3.8),
        ("3800mm", 3.8),
        (" 2 m ", 2.0),
        ("3m80", 3.8),
        ("-0.5", -0.5),
        (".5", 0.5),
        ("٣", 3.0),
        # by hand: 12 ft 6 in = 150 in = 3.81 m
        ("12' 6\"", 3.81),
        ("12'6", 3.81),
        ("12ft 6in", 3.81),
        ("12 feet 6 inches", 3.81),
        ("12’ 6”", 3.81),
        ("12′ 6″", 3.81),
        ("12.5 ft", 3.81),
        # by hand: 150.5 in x 0.0254 = 3.8227 m
        ("12ft 6 1/2in", 3.8227),
        ("12' 6-1/2\"", 3.8227),
        ("12' 6½\"", 3.8227),
        ("150.5 in", 3.8227),
        ("12' 1/2\"", 3.6703),
        ("12'", 3.6576),
        ('78"', 1.9812),
    ],
)
def test_lengths_are_read_as_a_tape_reads(text: str, metres: float) -> None:
    assert units.parse_length_m(text) == pytest.approx(metres, abs=1e-9)


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "abc",
        "nan",
        "inf",
        "-inf",
        "1_000",
        "1e400",
        "1.234,5",
        "1,234.5",
        "12' 14\"",
        "12' 3/0\"",
        "12' 5/4\"",
        "12.5' 6\"",
        "3 m 5 ft",
        "0x10",
        "1 2",
        "--3",
    ],
)
def test_what_would_be_a_guess_is_refused_by_name(text: str) -> None:
    with pytest.raises(Refused) as refusal:
        units.parse_length_m(text, name="room.width_m")
    assert refusal.value.path == "room.width_m"
    assert str(refusal.value).startswith("room.width_m:")


@pytest.mark.parametrize("text", ["nan", "inf", "1_000", "1e999", "five", ""])
def test_what_float_would_take_or_choke_on_is_refused(text: str) -> None:
    with pytest.raises(Refused):
        units.parse_number(text, name="watts")


def test_numbers_take_a_comma_or_a_point() -> None:
    assert units.parse_number("3,5") == units.parse_number(" 3.5 ") == 3.5
    assert units.parse_number("−41,755") == -41.755
    assert units.parse_number("2e3") == 2000.0


@given(
    st.floats(min_value=-200, max_value=200, allow_nan=False), st.sampled_from(["metric", "feet"])
)
def test_property_what_a_field_shows_reads_back_equal(length_m: float, system: units.Units) -> None:
    assert units.parse_length_m(units.length_as_typed(length_m, system)) == pytest.approx(
        length_m, abs=1.01e-4
    )
