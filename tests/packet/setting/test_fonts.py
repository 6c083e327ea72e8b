"""The cuts of the variable fonts, against the reference implementation of their arithmetic
(fontTools' instancer).
"""

from __future__ import annotations

import io
from typing import Any

import pytest
from fontTools.ttLib import TTFont
from fontTools.varLib import instancer

from scout.errors import Unavailable
from scout.packet.setting import fonts
from scout.packet.setting.fonts import ALWAYS, Key, typeface


@pytest.mark.parametrize(("key", "bold"), [("thai", True), ("hebrew", False), ("hebrew", True)])
def test_a_cut_is_what_fonttools_makes_of_the_same_file(key: Key, bold: bool) -> None:
    # Source: fontTools 4.6x varLib.instancer, for advances and outlines; both round to whole units,
    # so one unit apart is equal.
    face = typeface(key)
    assert face is not None
    expected: Any = instancer.instantiateVariableFont(TTFont(face.path), face.pinned(bold))
    found = TTFont(io.BytesIO(face.cut(bold)))
    assert "fvar" not in found
    assert "gvar" not in found
    assert found["maxp"].numGlyphs == expected["maxp"].numGlyphs
    order, other = expected.getGlyphOrder(), found.getGlyphOrder()
    for one, two in zip(order[:300], other[:300], strict=True):
        assert abs(expected["hmtx"][one][0] - found["hmtx"][two][0]) <= 1
        points, _, _ = expected["glyf"][one].getCoordinates(expected["glyf"])
        drawn, _, _ = found["glyf"][two].getCoordinates(found["glyf"])
        assert len(points) == len(drawn)
        assert all(
            abs(x1 - x2) <= 1 and abs(y1 - y2) <= 1
            for (x1, y1), (x2, y2) in zip(points, drawn, strict=True)
        )


@pytest.mark.parametrize("key", ALWAYS)
def test_the_fonts_of_the_program_are_found_with_their_script(key: Key) -> None:
    # Source: one letter of each script, by its Unicode block.
    face = typeface(key)
    assert face is not None
    assert (
        ord({"latin": "a", "arabic": "ب", "hebrew": "א", "devanagari": "क", "thai": "ก"}[key])
        in face.characters
    )


def test_a_subset_keeps_the_numbers_of_its_glyphs_and_little_else() -> None:
    face = typeface("thai")
    assert face is not None
    whole, part = TTFont(io.BytesIO(face.cut(True))), TTFont(io.BytesIO(face.cut(True, {5, 9})))
    assert len(face.cut(True, {5, 9})) < 0.2 * len(face.cut(True))
    for glyph in (5, 9):
        assert part["hmtx"][part.getGlyphName(glyph)] == whole["hmtx"][whole.getGlyphName(glyph)]
    assert "GSUB" not in part


def test_a_missing_font_of_the_program_is_named_and_a_missing_extra_is_none(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(fonts, "font_path", lambda key: None)
    assert typeface("jp") is None
    with pytest.raises(Unavailable, match="fontpkg_noto_sans"):
        typeface("latin")
