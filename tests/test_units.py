"""Lengths and numbers as people type them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout import units
from scout.errors import Refused
from scout.web.forms.fields import exact_length
from tests.typed_lengths import ASKED, BEARINGS, LENGTHS, NO_BEARINGS, NO_LENGTHS


@pytest.mark.parametrize(("text", "metres"), LENGTHS)
def test_lengths_are_read_as_a_tape_reads(text: str, metres: float) -> None:
    assert units.parse_length_m(text) == pytest.approx(metres, abs=1e-9)


@pytest.mark.parametrize("text", ["", " ", "1e400", *NO_LENGTHS])
def test_what_would_be_a_guess_is_refused_by_name(text: str) -> None:
    with pytest.raises(Refused) as refusal:
        units.parse_length_m(text, name="room.width_m")
    assert refusal.value.path == "room.width_m"
    assert str(refusal.value).startswith("room.width_m:")


@pytest.mark.parametrize(("text", "degrees", "doubt"), BEARINGS)
def test_bearings_are_degrees_or_words_of_the_compass(
    text: str, degrees: float, doubt: float | None
) -> None:
    assert units.parse_bearing(text, name="bearing_deg") == (degrees, doubt)


@pytest.mark.parametrize("text", NO_BEARINGS)
def test_what_is_no_bearing_is_refused_by_name(text: str) -> None:
    with pytest.raises(Refused) as refusal:
        units.parse_bearing(text, name="facing.bearing_deg")
    assert (refusal.value.path, refusal.value.because.code) == (
        "facing.bearing_deg",
        "typed.no_bearing",
    )


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


@pytest.mark.parametrize(("text", "system", "most_m", "offers"), ASKED)
def test_a_number_that_may_be_several_lengths_is_asked_about(
    text: str, system: units.Units, most_m: float, offers: tuple[str, ...]
) -> None:
    assert units.could_be(text, system, most_m) == offers


@given(
    st.floats(min_value=-5000, max_value=5000, allow_nan=False).map(lambda m: f"{m:.2f}"),
    st.sampled_from(["metric", "feet"]),
    st.sampled_from([5.0, 200.0, 1000.0, 100_000.0]),
)
def test_property_each_offer_is_a_length_that_is_taken_and_asks_nothing_more(
    text: str, system: units.Units, most_m: float
) -> None:
    for offer in units.could_be(text, system, most_m):
        assert units.could_be(offer, system, most_m) == ()
        assert abs(units.parse_length_m(offer)) <= most_m


@given(
    st.floats(min_value=-900, max_value=900, allow_nan=False), st.sampled_from(["metric", "feet"])
)
def test_property_no_field_asks_about_what_is_kept(length_m: float, system: units.Units) -> None:
    shown = exact_length(length_m, system)
    assert units.parse_length_m(shown) == pytest.approx(length_m, abs=1e-9)
    assert units.could_be(shown, system) == ()
