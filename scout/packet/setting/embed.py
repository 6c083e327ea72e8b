"""One weight of one typeface inside one PDF: glyphs by number, each knowing the characters it
stands for.

A glyph alone does not tell the text it was shaped from: one vowel sign serves many syllables, a
    ligature several letters. So every pair
(glyph, text) gets a number of its own (a CID), the CIDToGIDMap leads from it to the glyph and the
ToUnicode map to the text. What is copied
or searched is then what was typed. Source: ISO 32000-1:2008, 9.7.4 (CIDFonts), 9.10.3 (ToUnicode
CMaps).
"""

from __future__ import annotations

import hashlib
import struct
from typing import Any

import uharfbuzz as hb
from reportlab.pdfbase import pdfdoc

from scout.packet.setting.fonts import Typeface

# Beyond so many pairs a glyph keeps its look but no text, so that numbers cannot run out: 34,000 +
# the 31,036 glyphs of the largest file.
MOST_PAIRS = 34_000
_BFCHAR_AT_ONCE = 100  # 9.7.5.4 of the standard's CMap resources: at most 100 lines a block
_SYMBOLIC = 4


class DocumentFont:
    """A font of one document: `cid` while the pages are set, `add_to` once when the document is
    written.
    """

    def __init__(self, face: Typeface, bold: bool, name: str) -> None:
        self.face, self.bold, self.name = face, bold, name
        self.hand = face.hand(bold)
        self.to_thousandths = 1000.0 / float(face.face.upem)
        self._cids: dict[tuple[int, str], int] = {(0, ""): 0}
        self._pairs: list[tuple[int, str]] = []
        self._widths: dict[int, float] = {}

    def cid(self, glyph: int, text: str) -> int:
        """The number under which `glyph`, standing for `text`, is written in this document."""
        found = self._cids.get((glyph, text))
        if found is None:
            if text and len(self._cids) > MOST_PAIRS:
                return self.cid(glyph, "")
            found = self._cids[(glyph, text)] = len(self._cids)
        return found

    def stands_for(self, cid: int) -> tuple[int, str]:
        """The glyph of a number, and the text it stands for."""
        if len(self._pairs) != len(self._cids):
            self._pairs = list(self._cids)
        return self._pairs[cid]

    def width(self, glyph: int) -> float:
        """Advance of a glyph in thousandths of the type size."""
        found = self._widths.get(glyph)
        if found is None:
            found = self._widths[glyph] = round(
                self.hand.get_glyph_h_advance(glyph) * self.to_thousandths, 2
            )
        return found

    def add_to(self, document: Any) -> None:
        """Write the font's objects into a ReportLab document, cut down to the glyphs that were
        used.
        """
        glyphs = [glyph for glyph, _ in self._cids]
        program = self.face.cut(self.bold, set(glyphs))
        style = "Bold" if self.bold else "Regular"
        prefix = "".join(chr(65 + byte % 26) for byte in hashlib.sha256(program).digest()[:6])
        base = pdfdoc.PDFName(f"{prefix}+{self.face.path.stem.split('[')[0]}-{style}")

        def stream(content: bytes | str, **entries: Any) -> Any:
            made = pdfdoc.PDFStream(content=content)
            made.dictionary.dict.update(entries)
            if document.compression:
                made.filters = [pdfdoc.PDFZCompress]
            return document.Reference(made)

        scale = self.to_thousandths
        left, low, right, high = struct.unpack(
            ">4h", hb.Face(program).reference_table("head").data[36:44]
        )
        extents = self.hand.get_font_extents("ltr")
        descriptor = pdfdoc.PDFDictionary(
            {
                "Type": pdfdoc.PDFName("FontDescriptor"),
                "FontName": base,
                "Flags": _SYMBOLIC,
                "FontBBox": pdfdoc.PDFArray(
                    [round(edge * scale) for edge in (left, low, right, high)]
                ),
                "ItalicAngle": 0,
                "Ascent": round(extents.ascender * scale),
                "Descent": round(extents.descender * scale),
                "CapHeight": 714,  # Noto Sans; only read when a viewer must substitute the font
                "StemV": 140 if self.bold else 80,
                "FontFile2": stream(program, Length1=len(program)),
            }
        )
        descendant = pdfdoc.PDFDictionary(
            {
                "Type": pdfdoc.PDFName("Font"),
                "Subtype": pdfdoc.PDFName("CIDFontType2"),
                "BaseFont": base,
                "CIDSystemInfo": pdfdoc.PDFDictionary(
                    {
                        "Registry": pdfdoc.PDFString("Adobe"),
                        "Ordering": pdfdoc.PDFString("Identity"),
                        "Supplement": 0,
                    }
                ),
                "FontDescriptor": document.Reference(descriptor),
                "DW": 1000,
                "W": pdfdoc.PDFArray([0, pdfdoc.PDFArray([self.width(glyph) for glyph in glyphs])]),
                "CIDToGIDMap": stream(struct.pack(f">{len(glyphs)}H", *glyphs)),
            }
        )
        whole = pdfdoc.PDFDictionary(
            {
                "Type": pdfdoc.PDFName("Font"),
                "Subtype": pdfdoc.PDFName("Type0"),
                "BaseFont": base,
                "Encoding": pdfdoc.PDFName("Identity-H"),
                "DescendantFonts": pdfdoc.PDFArray([document.Reference(descendant)]),
                "ToUnicode": stream(self._to_unicode()),
            }
        )
        document.idToObject["BasicFonts"].dict[self.name] = document.Reference(whole)

    def _to_unicode(self) -> str:
        lines = [f"<{cid:04X}> <{utf16(text)}>" for (_, text), cid in self._cids.items() if cid]
        blocks = []
        for start in range(0, len(lines), _BFCHAR_AT_ONCE):
            part = lines[start : start + _BFCHAR_AT_ONCE]
            blocks.append(f"{len(part)} beginbfchar\n" + "\n".join(part) + "\nendbfchar\n")
        return (
            "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
            "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n"
            "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"
            "1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n"
            f"{''.join(blocks)}endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n"
        )


def utf16(text: str) -> str:
    return text.encode("utf-16-be", "replace").hex().upper()
