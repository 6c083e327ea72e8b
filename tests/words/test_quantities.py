"""Figures, times and lists as a reader says them."""

from __future__ import annotations

from datetime import UTC, date, datetime, time

import pytest

from scout.values import Figure, Many, Name, Spell, Word, names, words
from scout.words import Reader, reading, say

METRIC, FEET = Reader(), Reader("feet")
LINE, LINE_FEET = Reader(rounded=True), Reader("feet", rounded=True)
NB = "\u00a0"


@pytest.mark.parametrize(
    ("figure", "spec", "reader", "text"),
    [
        # by hand: 3.456 m is 3.45 m to 5 cm; 136.06 in is 11' 4"
        (Figure(3.456, "m"), "", METRIC, f"3.46{NB}m"),
        (Figure(3.456, "m"), "", LINE, f"3.45{NB}m"),
        (Figure(3.456, "m"), "", LINE_FEET, "11' 4\""),
        (Figure(3.47, "m"), "", FEET, "11' 4 1/2\""),
        (Figure(140.0, "m"), "", FEET, f"459{NB}ft"),
        (Figure(10.6, "m"), "lead", METRIC, f"20{NB}m"),
        (Figure(10.6, "m"), "lead", FEET, f"50{NB}ft"),
        (Figure(70, "m"), "lead", METRIC, f"70{NB}m"),
        (Figure(1.0, "stops"), "", METRIC, "1 stop"),
        (Figure(1.3, "stops"), "", LINE, "1½ stops"),
        (Figure(0.6, "stops"), "", LINE, "½ stop"),
        (Figure(0.25, "stops"), "", LINE, "½ stop"),
        (Figure(0.24, "stops"), "", LINE, "under ½ stop"),
        (Figure(0.24, "stops"), "", METRIC, "0.2 stops"),
        (Figure(0.24, "stops"), "signed", LINE, "under ½ stop"),
        (Figure(0.0, "stops"), "", LINE, "0 stops"),
        (Figure(1.3, "stops"), "", METRIC, "1.3 stops"),
        (Figure(1234.5, "lux"), "", LINE, f"1,200{NB}lux"),
        (Figure(34.5, "dBA"), "", METRIC, f"35{NB}dBA"),  # half up, not half to even
        (Figure(-0.2, "dB"), "", METRIC, f"0{NB}dB"),  # no minus before nothing
        (Figure(0.03, "shutter_s"), "", METRIC, "1/33 s"),
        (Figure(0.02, "shutter_s"), "", METRIC, "1/50 s"),
        (Figure(328, "min"), "", METRIC, f"5{NB}h 28{NB}min"),
        (Figure(58, "min"), "", LINE, f"1{NB}h"),
        (Figure(2.1, "m", 1.9, 2.4), "", LINE, f"1.9 to 2.4{NB}m"),
        (Figure(2.4, "ratio"), "", METRIC, "2.4:1"),
        (Figure(0.3048 * 3 - 0.001, "m"), "", FEET, "3' 0\""),  # up into the next foot, never 12"
        # by hand: 0.2032 m is 8 in; 9.290304 m2 is 100 times 0.3048 times 0.3048
        (Figure(0.2032, "m"), "", FEET, '8"'),
        (Figure(0.0, "m"), "", FEET, '0"'),
        (Figure(-0.2032, "m"), "", FEET, '−8"'),
        (Figure(9.290304, "m2"), "", FEET, f"100{NB}sq ft"),
        (Figure(0.28316846592, "m3"), "", FEET, f"10{NB}cu ft"),
        # a quarter of a stop rounds to half a stop; less is a little, and only nought is none
        (Figure(-0.1, "stops"), "", LINE, "under ½ stop"),
        (Figure(0.2, "stops"), "", METRIC, "0.2 stops"),
        (Figure(0.7, "stops", 0.1, 1.6), "", LINE, "0 to 1½ stops"),
        (Figure(-1.0, "stops"), "signed", METRIC, "−1 stop"),
        (Figure(800, "iso"), "", METRIC, "ISO 800"),
        (Figure(12800, "iso"), "", METRIC, "ISO 12800"),
        (Figure(2.8, "f"), "", METRIC, "f/2.8"),
        (Figure(25, "NC"), "", METRIC, "NC-25"),
        (Figure(60, "min"), "", METRIC, f"1{NB}h"),
        (Figure(125, "min"), "", METRIC, f"2{NB}h 05{NB}min"),
    ],
)
def test_figures(figure: Figure, spec: str, reader: Reader, text: str) -> None:
    with reading(reader):
        assert say(figure, spec) == text
        assert format(figure, spec) == text


def test_lists_and_words() -> None:
    assert str(words("surface", ["A", "C", "ceiling"])) == "walls A and C and the ceiling"
    assert str(names(["key", "fill", "back"])) == "key, fill and back"
    assert str(names(["key", "fill"], "or")) == "key or fill"
    assert say(Word("surface", "ceiling"), "cap") == "The ceiling"
    assert str(Word("fact", "room.windows[0].sill_m")) == "window 1 sill"
    assert str(Word("fact", "windows.W1.sill_m")) == "W1 sill"
    assert str(Spell(time(14, 10), time(15, 5))) == "14:10 to 15:05"


def test_what_is_typed_is_said_as_typed_in_any_units() -> None:
    with reading(FEET):
        for typed in ("Softbox 90 cm", "window 2 m from the road", "wall", "{x} [y]"):
            assert str(Name(typed)) == typed
    # Unicode, UAX 9: what runs the other way is isolated, so that its numbers stay in order
    assert str(Name("חדר 12")) == "\u2068חדר 12\u2069"


def test_times_go_by_the_readers_clock() -> None:
    moment = datetime(2026, 6, 20, 13, 10, tzinfo=UTC)
    assert say(moment) == "13:10"
    with reading(Reader(timezone="Europe/Madrid")):
        assert say(moment) == "15:10"
        assert say(moment, "when") == "20 Jun 2026, 15:10"
    assert say(date(2026, 5, 3)) == "3 May 2026"
    assert say(date(2026, 5, 3), "long") == "Sunday 3 May 2026"


def test_a_bare_text_is_no_value() -> None:
    from scout.values import said

    with pytest.raises(TypeError):
        said("value.missing", name="text")  # type: ignore[arg-type]
    assert Many((Name("a"),)) == names(["a"])


@pytest.mark.parametrize(
    ("figure", "metric", "feet"),
    [
        # by hand: what is packed or put on is told to what can be acted on, never less than it is
        (Figure(13 / 3, "stops"), "4½ stops", "4½ stops"),
        (Figure(4.1, "stops"), "4½ stops", "4½ stops"),
        (Figure(4.0, "stops"), "4 stops", "4 stops"),
        (Figure(0.0, "stops"), "0 stops", "0 stops"),
        (Figure(13 / 3, "stops", 0.0, 13 / 3), "0 to 4½ stops", "0 to 4½ stops"),
        (Figure(19.71, "m2"), "19.8 m²", "213 sq ft"),  # 212.16 sq ft
        (Figure(0.1 + 0.2, "m2"), "0.3 m²", "4 sq ft"),
        (Figure(4.81, "m"), "4.85 m", "15' 10\""),  # 189.4 in
        (Figure(12.01, "m"), "12.05 m", "40 ft"),  # 39.4 ft
        (Figure(3.0, "A"), "3 A", "3 A"),
    ],
)
def test_what_is_packed_is_never_rounded_down(figure: Figure, metric: str, feet: str) -> None:
    for reader, told in ((METRIC, metric), (FEET, feet)):
        with reading(reader):
            assert say(figure, "up").replace(NB, " ") == told
