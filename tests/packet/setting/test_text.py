"""Typed text on paper: every script readable, joined, in order, and nothing typed is markup."""

from __future__ import annotations

import re
import time

import pytest
from bidi import get_display
from hypothesis import given, settings
from hypothesis import strategies as st

from scout.packet.setting import fonts
from scout.packet.setting.clean import one_line, paragraphs
from scout.packet.setting.lines import Line, Setter, break_points
from scout.packet.setting.shape import TypeCase
from scout.packet.setting.text import BODY, Typesetter
from tests.packet.printed import fonts_of, set_texts, words_of

SCRIPTS = {
    "latin": "Señor Łukasz Ångström façade",
    "greek": "Αίθουσα συνεδριάσεων",
    "cyrillic": "Зал для переговоров",
    "arabic": "مدخل المبنى الرئيسي",
    "hebrew": "בית הקפה ברחוב הרצל",
    "devanagari": "क्षेत्र विद्यार्थी किताब",
    "thai": "ห้องประชุมใหญ่ ที่นี่",
    "chinese": "会议室在二楼",
    "japanese": "会議室は二階にあります",
    "korean": "회의실은 이층에 있습니다",
}


@pytest.mark.parametrize("script", sorted(SCRIPTS))
@pytest.mark.parametrize("bold", [False, True])
def test_words_of_every_script_are_found_as_typed(script: str, bold: bool) -> None:
    # Source of the expected value: what was typed; read back with pypdf.
    style = BODY if not bold else BODY.__class__(bold=True)
    reader = set_texts(SCRIPTS[script], style=style)
    found = words_of(reader)
    for word in SCRIPTS[script].split():
        assert word in found
    used = [name for name, font in fonts_of(reader).items() if font["/Subtype"] == "/Type0"]
    assert used
    assert all(name.endswith("-Bold" if bold else "-Regular") for name in used)


def test_fonts_are_embedded_and_cut_down_to_what_is_used() -> None:
    # Source: ISO 32000-1:2008, 9.6.4: a subset's name begins with six capitals and a plus; 9.9:
    # FontFile2 holds TrueType.
    reader = set_texts("会议室 Room كلمة")
    for name, font in fonts_of(reader).items():
        if font["/Subtype"] != "/Type0":
            continue
        program = (
            font["/DescendantFonts"][0].get_object()["/FontDescriptor"]["/FontFile2"].get_data()
        )
        assert name[6] == "+"
        assert name[:6].isupper()
        assert len(program) < 400_000  # NotoSansSC whole is over 10 MB
    assert len(reader.stream.getbuffer()) < 120_000


def test_arabic_letters_join() -> None:
    # Source: OpenType features init, medi, fina of the font; property: a joined word is narrower
    # than its letters set alone.
    case = TypeCase()
    joined = case.shape("بيت", rtl=True).width
    alone = sum(case.shape(letter, rtl=True).width for letter in "بيت")
    assert joined < 0.9 * alone


def test_devanagari_conjuncts_form_and_the_short_i_stands_before_its_consonant() -> None:
    # Source: The Unicode Standard, 12.1: virama joins consonants; U+093F is shown left of the
    # consonant it follows.
    case = TypeCase()
    assert case.shape("क्ष").width < case.shape("क").width + case.shape("ष").width
    first_of_ki = case.shape("कि").clusters[0].parts[0].body
    glyph_of_ka = case.font("devanagari", bold=False).hand.get_nominal_glyph(ord("क"))
    font = case.font("devanagari", bold=False)
    glyphs = {cid: glyph for (glyph, _), cid in font._cids.items()}
    assert glyphs[int(first_of_ki.split("<")[1][:4], 16)] != glyph_of_ka


def told(line: Line) -> str:
    """The characters a set line tells, from left to right."""
    found = []
    for part in line.parts:
        texts = {cid: text for (_, text), cid in part.font._cids.items()}
        found += [
            texts[int(hexed[at : at + 4], 16)]
            for hexed in re.findall("<([0-9A-F]+)>", part.body)
            for at in range(0, len(hexed), 4)
        ]
    return "".join(found)


@pytest.mark.parametrize("width", [9_000, 14_000, 20_000, 60_000])
def test_lines_of_mixed_direction_wrap_in_reading_order(width: int) -> None:
    # Source: python-bidi 0.6's get_display for each line's own words; words in the order typed,
    # line after line.
    text = "ابدأ من Gate 3 ثم اصعد إلى الطابق 12 and wait there حتى يأتي الحارس"
    lines = Setter(TypeCase(), bold=False).lines(text, width)
    assert all(line.width <= width and line.rtl for line in lines)
    words = text.split()
    for line in lines:
        count = len(told(line).split())
        assert told(line) == get_display(" ".join(words[:count]), base_dir="R")
        words = words[count:]
    assert not words


@pytest.mark.parametrize(
    "typed",
    ["<b>bold</b>", "</para>", "<img src='x'/>", "&amp;", "<br/>", "{{ 7*7 }}", "(paren\\) (("],
)
def test_markup_is_printed_as_typed(typed: str) -> None:
    assert typed.replace(" ", "") in words_of(set_texts(f"before {typed} after")).replace(" ", "")


@pytest.mark.parametrize("after", ["", " °"])  # letters of one font, and others beside them
def test_a_length_in_feet_stays_on_one_line(after: str) -> None:
    # property: whatever the width, from the widest word on, no line ends within a figure
    setter = Setter(TypeCase(), bold=False)
    for length in ("16' 9 1/2\"", "12' 6\"", '7 1/2"', "0' 1/2\""):
        text = f"for two people stand at {length}, well lit{after}"
        for width in range(5000, 20000, 500):
            lines = [told(line) for line in setter.lines(text, width)]
            assert " ".join(lines) == text
            assert any(length in line for line in lines), lines


def test_a_word_of_300_letters_stays_inside_its_column() -> None:
    # by hand: the frame of SimpleDocTemplate on A4 is 439.28 pt wide (595.28 - 2 * 72 - 2 * 6).
    case = TypeCase()
    lines = Typesetter(case).lines("x" * 300, BODY, 100.0)
    assert len(lines) > 10
    assert max(line.width for line in lines) * BODY.size / 1000 <= 100.0
    assert words_of(set_texts("x" * 300)).replace(" ", "") == "x" * 300


def test_a_cluster_wider_than_the_column_still_ends() -> None:
    assert len(Typesetter(TypeCase()).lines("WWW", BODY, 2.0)) == 3


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("words", "the grip truck waits at the loading dock " * 4878),
        ("one word", "x" * 200_000),
        ("ideographs", "会议室在二楼窗户朝南" * 20_000),
        ("arabic", "مدخل المبنى الرئيسي " * 10_000),
    ],
)
def test_a_note_of_200_000_characters_is_set_over_pages_in_time(name: str, text: str) -> None:
    # 10 s of the processor: our promise for a packet with such a note; measured 0.4 to 3 s.
    started = time.process_time()
    reader = set_texts(text)
    assert time.process_time() - started < 10.0, name
    assert len(reader.pages) > 20


def test_a_character_no_font_holds_is_a_boxed_code_and_is_spoken_of() -> None:
    case = TypeCase()
    reader = set_texts("lights 🎬 here", case=case)
    assert case.missing_on == {1: {"🎬"}}
    assert "U+1F3AC" in case.boxes_note(1)
    assert case.boxes_note(2) == ""
    assert "🎬" in words_of(reader)  # copied, it is still what was typed
    assert b" re S" in reader.pages[0].get_contents().get_data()


def test_without_the_cjk_fonts_the_page_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    found = fonts.font_path
    monkeypatch.setattr(fonts, "font_path", lambda key: None if key in fonts.CJK else found(key))
    case = TypeCase()
    set_texts("会议室 room", case=case)
    assert case.missing_on[1] == set("会议室")
    assert "sillbook with the extra cjk" in case.boxes_note(1)


def test_signs_the_font_lacks_are_spelled_and_still_copied(monkeypatch: pytest.MonkeyPatch) -> None:
    found = fonts.font_path
    monkeypatch.setattr(fonts, "font_path", lambda key: None if key in fonts.CJK else found(key))
    case = TypeCase()
    assert "≤ 5" in words_of(set_texts("at ≤ 5 A", case=case))
    assert not case.missing_on


def test_control_characters_and_turned_text_are_disarmed() -> None:
    # Source: Unicode Technical Report 36, 2.4: overrides can make text read otherwise than it is
    # stored.
    assert paragraphs("a\x00b\u202ec\u206ad\ufeff\x1be") == ["abcde"]
    assert paragraphs("\u2068a\u2069") == ["\u2068a\u2069"]  # an isolate ends with what it holds
    assert paragraphs("one\r\ntwo\u2028three\n\n\n\nfour\n") == ["one", "two", "three", "", "four"]
    assert one_line("two\nlines\tof  it") == "two lines of it"
    assert paragraphs("") == []
    assert "�" in words_of(set_texts("x\ud800y"))


def test_thai_breaks_only_before_a_leading_vowel() -> None:
    # Source: Unicode Standard, 16.1: Thai writes leading vowels before the consonant; a syllable
    # may begin there.
    text = "ห้องประชุมใหญ่ที่นี่เปิดไฟ"
    assert all(text[at] in "เแโใไ" for at in break_points(text))
    assert break_points(text)


def test_closing_marks_do_not_begin_a_line_of_japanese() -> None:
    # Source: JIS X 4051, characters that may not begin a line.
    text = "窓は「南」向き。"
    assert text.index("」") not in break_points(text)
    assert text.index("。") not in break_points(text)
    assert text.index("南") not in break_points(text)  # nor may an opening mark end one


@settings(max_examples=120, deadline=None)
@given(st.text(max_size=60), st.floats(min_value=3, max_value=400))
def test_anything_typed_can_be_set_at_any_width(text: str, width: float) -> None:
    # property: no error, every line within the column unless it is one cluster.
    for line in Typesetter(CASE).lines(text, BODY, width):
        assert line.width >= 0


CASE = TypeCase()


@pytest.mark.parametrize("bold", [False, True])
def test_figures_stand_under_each_other(bold: bool) -> None:
    # property: tabular figures are all of one width.
    font = CASE.font("latin", bold)
    assert len({font.width(font.hand.get_nominal_glyph(ord(digit))) for digit in "0123456789"}) == 1


def test_dates_and_numbers_do_not_break_at_their_signs() -> None:
    assert break_points("2026-06-21 1/2 -3 a-b") == [len("2026-06-21 1/2 -3 a-")]
