"""What changed between two revisions, said so that a crew can read it. Expected sentences by hand
from the two states.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.usecases.difference import MOST_LINES, differences


@pytest.mark.parametrize(
    ("before", "after", "sentences"),
    [
        ({}, {"Loft": {}}, ["Loft: added to the packet"]),
        ({"Loft": {}}, {}, ["Loft: no longer in the packet"]),
        (
            {"Loft": {"height_m": 2.4}},
            {"Loft": {"height_m": 2.5}},
            ["Loft: height: 2.4 m became 2.5 m"],
        ),
        ({"Loft": {}}, {"Loft": {"height_m": 2.5}}, ["Loft: height: 2.5 m, not recorded before"]),
        ({"Loft": {"height_m": 2.5}}, {"Loft": {}}, ["Loft: height taken out (was 2.5 m)"]),
        ({"Loft": {"steps": 0}}, {"Loft": {"steps": 3}}, ["Loft: steps: 0 became 3"]),
        (
            {"Loft": {}},
            {"Loft": {"steps": 0}},
            ["Loft: steps: 0, not recorded before"],
        ),  # nought is a value
        (
            {"Loft": {"verified": False}},
            {"Loft": {"verified": True}},
            ["Loft: verified: no became yes"],
        ),
        (
            {"Loft": {"facing": {"bearing_deg": 10}}},
            {"Loft": {"facing": {"bearing_deg": 12}}},
            ["Loft: facing bearing: 10° became 12°"],
        ),
        (
            {"Loft": {"windows": {"W1": {"sill_m": 1}}}},
            {"Loft": {"windows": {"W1": {"sill_m": 1}, "W2": {"sill_m": 2}}}},
            ["Loft: windows W2 added"],
        ),
        (
            {"Loft": {"windows": {"W1": {"sill_m": 1}}}},
            {"Loft": {"windows": {}}},
            ["Loft: windows W1 taken out"],
        ),
        (
            {"Loft": {"noise": {"N1": {"bands_db": {"63": 45}}}}},
            {"Loft": {"noise": {"N1": {"bands_db": {"63": 40}}}}},
            ["Loft: noise N1 bands 63: 45 became 40"],
        ),
        (
            {"Mill": {"crew notes": {}}},
            {"Mill": {"crew notes": {"7": "Ring  twice\n"}}},
            ["Mill: crew notes added: “Ring twice”"],
        ),
        (
            {"Mill": {"crew notes": {"7": "once"}}},
            {"Mill": {"crew notes": {"7": "twice"}}},
            ["Mill: crew notes: “once” became “twice”"],
        ),
        (
            {"Mill": {"photos": {"7": "North wall"}}},
            {"Mill": {"photos": {}}},
            ["Mill: photos taken out (was “North wall”)"],
        ),
        ({"Loft": {"plan_m": [[0, 1]]}}, {"Loft": {"plan_m": [[0, 2]]}}, ["Loft: plan changed"]),
        ({"A": {"x": 1.0}}, {"A": {"x": 1}}, []),
        (
            {"B": {}, "A": {}},
            {"A": {}, "C": {}},
            ["C: added to the packet", "B: no longer in the packet"],
        ),
    ],
)
def test_sentences(before: dict[str, Any], after: dict[str, Any], sentences: list[str]) -> None:
    assert differences(before, after) == sentences


def test_a_long_text_is_cut_and_many_changes_are_counted() -> None:
    sentence = differences({"A": {}}, {"A": {"hours": "x" * 5000}})[0]
    assert len(sentence) < 130
    assert sentence.endswith("…”, not recorded before")
    many = differences({}, {f"Room {i}": {} for i in range(MOST_LINES + 2)})
    assert (len(many), many[-1]) == (MOST_LINES + 1, "and 2 further changes")


PLAIN = st.recursive(
    st.none()
    | st.booleans()
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=3)
    ),
    max_leaves=8,
)
HELD = st.dictionaries(
    st.text(min_size=1, max_size=4),
    st.dictionaries(st.text(max_size=4), PLAIN, max_size=3),
    max_size=3,
)


@given(HELD, HELD)
def test_property_nothing_changed_says_nothing_and_everything_else_can_be_said(
    before: dict[str, Any], after: dict[str, Any]
) -> None:
    assert differences(after, after) == []
    assert all(isinstance(sentence, str) and sentence for sentence in differences(before, after))
