"""Messages alike but for one name are one, whatever the names are."""

from __future__ import annotations

from itertools import product
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from scout.assess.answers import merged, unmeasured
from scout.assess.answers.alike import PLURAL
from scout.values import Figure, Many, Name, Said, Word, names, said

LIGHTS = st.sampled_from(["key", "fill", "wall", "key and fill", "", "Softbox 90 cm"])
ONE = st.one_of(
    LIGHTS.map(Name),
    st.sampled_from(["A", "ceiling"]).map(lambda key: Word("surface", key)),
    st.lists(LIGHTS, min_size=1, max_size=2).map(names),
    st.sampled_from([Figure(1.0, "m"), Figure(2.0, "m")]),
    st.none(),
)
MESSAGES = st.lists(
    st.builds(
        lambda code, a, b: Said(code, (("a", a), ("b", b))), st.sampled_from(["x", "y"]), ONE, ONE
    ),
    max_size=7,
)


def test_what_is_no_message_is_kept_once() -> None:
    assert merged(["a", "b", "a"]) == ["a", "b"]


def apart(message: Said) -> set[Any]:
    """What a message says, name by name."""
    options = [value.items if isinstance(value, Many) else (value,) for _, value in message.values]
    return {(PLURAL.get(message.code, message.code), *those) for those in product(*options)}


@given(MESSAGES)
def test_property_nothing_is_added_and_nothing_is_lost(messages: list[Said]) -> None:
    before = {one for message in messages for one in apart(message)}
    after = {one for message in merged(messages) for one in apart(message)}
    assert after == before


@given(MESSAGES)
def test_property_again_changes_no_more_than_once_and_order_is_kept(messages: list[Said]) -> None:
    once = merged(messages)
    assert len(once) <= len(set(messages))
    # in the order in which each first says what none before it says
    told, first = set[Any](), list[int]()
    for one in once:
        new, told = apart(one) - told, told | apart(one)
        first += [at for at, message in enumerate(messages) if apart(message) & new][:1]
    assert first == sorted(first)


def test_one_name_apart_is_one_message() -> None:
    assert merged([unmeasured("windows.W1.sill_m"), unmeasured("windows.W2.sill_m")]) == [
        unmeasured("windows.W1.sill_m", "windows.W2.sill_m")
    ]
    assert str(merged([unmeasured("windows.W1.sill_m"), unmeasured("windows.W2.sill_m")])[0]) == (
        "W1 sill and W2 sill are not measured"
    )
    dim = [said("value.missing", light=Name(one), short=Figure(2.0, "stops")) for one in "ab"]
    assert merged(dim) == [said("value.missing", light=names("ab"), short=Figure(2.0, "stops"))]


def test_what_differs_otherwise_stays_apart() -> None:
    figures = [said("value.missing", of=Name("a"), by=Figure(one, "m")) for one in (1.0, 2.0)]
    assert merged(figures) == figures
    two = [
        said("value.missing", a=Name("a"), b=Name("b")),
        said("value.missing", a=Name("c"), b=Name("d")),
    ]
    assert merged(two) == two
    # by hand: having grown in a, it may not grow in b as well: that would say four things of three
    third = said("value.missing", a=Name("a"), b=Name("d"))
    first = said("value.missing", a=Name("a"), b=Name("b"))
    second = said("value.missing", a=Name("c"), b=Name("b"))
    assert merged([first, second, third]) == [
        said("value.missing", a=names("ac"), b=Name("b")),
        third,
    ]
    mixed = [said("value.missing", a=Name("A")), said("value.missing", a=Word("surface", "A"))]
    assert merged(mixed) == mixed
