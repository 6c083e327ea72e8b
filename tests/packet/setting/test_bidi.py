"""Levels of the bidirectional algorithm, against the library that implements it whole (python-bidi
0.6, Rust unicode-bidi).
"""

from __future__ import annotations

import unicodedata

import pytest
from bidi import get_base_level, get_display
from hypothesis import given, settings
from hypothesis import strategies as st

from scout.packet.setting import bidi


def shown(text: str, base: int) -> str:
    """Our levels as a displayed line; blanks at its end fall back to the paragraph's level (rule
    L1). Nothing is mirrored: the shaper does that.
    """
    levels = bidi.levels(text, base)
    for at in range(len(text) - 1, -1, -1):
        if unicodedata.bidirectional(text[at]) != "WS":
            break
        levels[at] = base
    order = bidi.visual_order(levels)
    return "".join(text[at] for at in order)


@pytest.mark.parametrize(
    "text",
    [
        "plain words 12.5 m",
        "שלום world 12",
        "call الاستقبال (ext. 12) now",
        "مدخل 12-14، Gate 3 (شمال)",
        "abc (שלום) def",
        "שלום (abc) 3,50 €",
        "قياس 5.0 m x 6.5 m",
        "[מפתח] key (a)",
        "12",
    ],
)
def test_whole_lines_match_the_library(text: str) -> None:
    # Source: python-bidi 0.6's get_display, which is the unicode-bidi crate.
    assert bidi.base_level(text) == get_base_level(text)
    assert shown(text, bidi.base_level(text)) == get_display(text)


@settings(max_examples=400, deadline=None)
@given(st.text(alphabet="ab של ער12٣٤.,:+-%()[] x€", max_size=24), st.sampled_from("LR"))
def test_any_mixture_matches_the_library(text: str, base: str) -> None:
    # property: the same display order as an independent implementation, whatever is typed.
    assert shown(text, 1 if base == "R" else 0) == get_display(text, base_dir=base)


def test_numbers_stay_in_order_inside_right_to_left_text() -> None:
    # Source: UAX 9, rule I2: a number in a right to left paragraph takes the next even level.
    assert bidi.levels("א12", 1) == [1, 2, 2]
