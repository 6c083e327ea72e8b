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
    """Our levels as a displayed line; blanks and isolates at its end fall back to the
    paragraph's level (rule L1). Nothing is mirrored: the shaper does that.
    """
    levels = bidi.levels(text, base)
    for at in range(len(text) - 1, -1, -1):
        if unicodedata.bidirectional(text[at]) not in ("WS", "LRI", "RLI", "FSI", "PDI"):
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


ISOLATED = "ab של ער12٣.+()x\u2066\u2067\u2068\u2069\u2068\u2069"


@settings(max_examples=600, deadline=None)
@given(st.text(alphabet=ISOLATED, max_size=20), st.sampled_from("LR"))
def test_any_nest_of_isolates_matches_the_library(text: str, base: str) -> None:
    # property: as above, with isolates opened, closed, nested and left open.
    assert shown(text, 1 if base == "R" else 0) == get_display(text, base_dir=base)


@pytest.mark.parametrize(
    ("text", "base"),
    [
        ("\u2067abc\u2069 א", 1),  # P2: what stands in an isolate does not set the paragraph
        ("\u2068אב\u2069 abc", 0),
        ("\u2068אב", 0),  # never closed: it runs to the end
    ],
)
def test_the_paragraph_goes_by_what_is_outside_isolates(text: str, base: int) -> None:
    # Source: UAX 9, rule P2.
    assert bidi.base_level(text) == base == get_base_level(text)


def test_levels_in_isolates() -> None:
    # by hand, UAX 9: FSI and PDI are neutral at level 0; inside, Hebrew is 1 and its number 2
    assert bidi.levels("a \u2068א1\u2069.", 0) == [0, 0, 0, 1, 2, 0, 0]
    # by hand: an LRI in a right to left paragraph opens level 2, the stop after it stays at 1
    assert bidi.levels("א \u20661 2\u2069.", 1) == [1, 1, 1, 2, 2, 2, 1, 1]


PHONE = "01632 960301"


@pytest.mark.parametrize("note", ["اتصل بالحارس {} قبل الساعة", "התקשרו {} לפני", "{} الحارس"])
def test_a_number_to_dial_keeps_its_order_in_any_script(note: str) -> None:
    # common practice: a number is dialled from left to right, whatever stands round it
    text = bidi.numbers_isolated(note.format(PHONE))
    line = shown(text, bidi.base_level(text))
    assert PHONE in line
    assert "+44 (0)20-7946 0958" in shown(bidi.numbers_isolated("אב +44 (0)20-7946 0958 גד"), 1)
    assert bidi.numbers_isolated("12 34") == "12 34"  # two counts side by side are no number


def test_a_stop_stays_at_the_end_of_its_sentence() -> None:
    # property: in a left to right sentence what is isolated changes nothing outside itself
    line = shown("Crew note: \u2068الطابق 2\u2069 is new.", 0)
    assert line.startswith("Crew note: ")
    assert line.endswith(" is new.")


def test_numbers_stay_in_order_inside_right_to_left_text() -> None:
    # Source: UAX 9, rule I2: a number in a right to left paragraph takes the next even level.
    assert bidi.levels("א12", 1) == [1, 2, 2]
