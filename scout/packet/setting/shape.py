"""From characters to glyphs: which font holds each character, how HarfBuzz joins them, and what
stands for one that no font holds.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import uharfbuzz as hb

from scout.packet.setting.embed import DocumentFont
from scout.packet.setting.fonts import ALWAYS, CJK, Key, Typeface, typeface
from scout.values import Many, Name, said

ZWNJ, ZWJ = "\u200c", "\u200d"
# Signs of the trade that the Latin font lacks, spelled with letters it has; searching and copying
# still gives the sign.
SPELLED = {
    "≤": "<=",
    "≥": ">=",
    "≈": "~",
    "≠": "!=",
    "→": "->",
    "←": "<-",
    "↔": "<->",
    "∞": "inf.",
    "✓": "yes",
    "✔": "yes",
    "●": "•",
    "■": "•",
    "▪": "•",
    "※": "*",
    "℃": "°C",
    "℉": "°F",
}
BOX_SCALE = 0.72  # type size of the code inside a box, of the text around it
BOX_PAD, BOX_RISE = 150.0, 60.0  # thousandths of the type size


class Part(NamedTuple):
    """A stretch of glyphs of one font on one height; lengths in thousandths of the type size."""

    font: DocumentFont
    body: str  # inside of a PDF TJ array
    width: float
    rise: float = 0.0
    scale: float = 1.0
    framed: bool = False


class Cluster(NamedTuple):
    """The least that can be torn off a word: glyphs that belong to some characters, from left to
    right.
    """

    text: str
    width: float
    parts: tuple[Part, ...]


@dataclass(frozen=True)
class Run:
    """Shaped text of one direction; `clusters` in reading order, `parts` from left to right."""

    clusters: tuple[Cluster, ...]
    rtl: bool
    width: float
    missing: frozenset[str] = frozenset()

    @staticmethod
    def of(clusters: Iterable[Cluster], rtl: bool, missing: frozenset[str] = frozenset()) -> Run:
        kept = tuple(clusters)
        return Run(kept, rtl, sum(cluster.width for cluster in kept), missing)

    @cached_property
    def parts(self) -> tuple[Part, ...]:
        return joined(
            part
            for cluster in (reversed(self.clusters) if self.rtl else self.clusters)
            for part in cluster.parts
        )


def _plain(part: Part) -> bool:
    return not (part.rise or part.framed)


def strung(bodies: Iterable[str]) -> str:
    """Several insides of TJ arrays as one; glyphs that follow each other share a string."""
    return " ".join(bodies).replace("> <", "")


def joined(parts: Iterable[Part]) -> tuple[Part, ...]:
    """Neighbours of one font on the line itself become one part."""
    made: list[Part] = []
    held: list[Part] = []

    def close() -> None:
        if held:
            made.append(
                held[0]._replace(
                    body=strung(part.body for part in held), width=sum(part.width for part in held)
                )
            )
            held.clear()

    for part in parts:
        if held and not (_plain(part) and _plain(held[0]) and part.font is held[0].font):
            close()
        held.append(part)
    close()
    return tuple(made)


def is_cjk(character: str) -> bool:
    """Whether a character belongs to Chinese, Japanese or Korean writing (blocks of the Unicode
    standard).
    """
    code = ord(character)
    return (
        0x2E80 <= code <= 0x31FF
        or 0x3200 <= code <= 0x9FFF
        or 0xA960 <= code <= 0xA97F
        or 0xAC00 <= code <= 0xD7FF
        or 0xF900 <= code <= 0xFAFF
        or 0xFE30 <= code <= 0xFE4F
        or 0xFF00 <= code <= 0xFFEF
        or 0x1100 <= code <= 0x11FF
        or 0x20000 <= code <= 0x3FFFF
    )


def han_order(text: str, otherwise: tuple[Key, ...] = CJK) -> tuple[Key, ...]:
    """In which CJK fonts to look, the likeliest first: the same ideograph is drawn differently in
    each country.

    Kana mean Japanese, hangul Korean, bopomofo the traditional forms; ideographs alone follow
    `otherwise`.
    """
    first: Key | None = None
    for character in text:
        code = ord(character)
        if 0x3040 <= code <= 0x30FF or 0x31F0 <= code <= 0x31FF or 0xFF66 <= code <= 0xFF9F:
            first = "jp"
            break
        if 0xAC00 <= code <= 0xD7FF or 0x1100 <= code <= 0x11FF or 0x3130 <= code <= 0x318F:
            first = "kr"
            break
        if 0x3100 <= code <= 0x312F:
            first = "tc"
    return (first, *(key for key in CJK if key != first)) if first else otherwise


def _sticks(character: str) -> bool:
    return character in (ZWJ, ZWNJ) or unicodedata.category(character) in ("Mn", "Mc", "Me")


class TypeCase:
    """All the fonts of one document, and everything shaped with them. One a document; not shared
    between threads.

    han: the order of CJK fonts for ideographs with nothing beside them that tells the language.
    """

    def __init__(self, han: tuple[Key, ...] = CJK) -> None:
        self.han = han
        self.missing_on: dict[
            int, set[str]
        ] = {}  # page number -> characters shown as a boxed code there
        self._faces: dict[Key, Typeface | None] = {}
        self._fonts: dict[tuple[Key, bool], DocumentFont] = {}
        self._chosen: dict[tuple[str, tuple[Key, ...]], Key | None] = {}
        self._runs: dict[tuple[str, bool, bool, tuple[Key, ...]], Run] = {}

    def face(self, key: Key) -> Typeface | None:
        """The typeface of that key, looked for once a document; None when it is not installed."""
        if key not in self._faces:
            self._faces[key] = typeface(key)
        return self._faces[key]

    def font(self, key: Key, bold: bool) -> DocumentFont:
        """The document's font of that key and weight; the key must be an installed one."""
        found = self._fonts.get((key, bold))
        if found is None:
            face = self.face(key)
            assert face is not None, "only keys that `holder` gave are asked for"
            found = self._fonts[(key, bold)] = DocumentFont(face, bold, f"SB{len(self._fonts) + 1}")
        return found

    def addObjects(self, document: Any) -> None:  # noqa: N802 - the name ReportLab calls when a document is written
        for font in self._fonts.values():
            font.add_to(document)

    def named(self, code: str) -> str:
        """The operators of a page with each glyph by its typeface and the text it stands for."""
        fonts = {font.name: font for font in self._fonts.values()}
        held = [""]

        def told(match: re.Match[str]) -> str:
            if match[1] is not None:
                held[0] = match[1]
                font = fonts.get(match[1])
                return match[0] if font is None else f"/{font.face.path.name} {font.bold} Tf"
            font = fonts.get(held[0])
            if font is None:
                return match[0]
            numbers = [int(match[2][k : k + 4], 16) for k in range(0, len(match[2]), 4)]
            return repr([font.stands_for(number) for number in numbers])

        return re.sub(r"/(\S+)(?= [\d.]+ Tf)|<((?:[0-9A-Fa-f]{4})+)>", told, code)

    def holder(self, character: str, han: tuple[Key, ...]) -> Key | None:
        """The first font that has a glyph for the character, or None."""
        asked = (character, han)
        if asked not in self._chosen:
            self._chosen[asked] = self._look(character, han)
        return self._chosen[asked]

    def _look(self, character: str, han: tuple[Key, ...]) -> Key | None:
        code = ord(character)
        devanagari = (
            0x0900 <= code <= 0x097F or 0xA8E0 <= code <= 0xA8FF or 0x1CD0 <= code <= 0x1CFF
        )
        order: tuple[Key, ...] = (
            (*han, *ALWAYS)
            if is_cjk(character)
            else ("devanagari", *ALWAYS)
            if devanagari
            else (*ALWAYS, *han)
        )
        for key in order:
            face = self.face(key)
            if face and code in face.characters:
                return key
        return None

    def blank(self, beside: Run | None, bold: bool, rtl: bool) -> Run:
        """A space in the font of the text it follows, so that a line of one script stays one
        stretch of glyphs.
        """
        font = beside.clusters[-1].parts[-1].font if beside and beside.clusters else None
        key: Key = (
            font.face.key
            if font
            and not beside.missing  # type: ignore[union-attr]
            and ord(" ") in font.face.characters
            else "latin"
        )
        asked = (" ", bold, rtl, (key,))
        found = self._runs.get(asked)
        if found is None:
            found = self._runs[asked] = Run.of(_clusters(self.font(key, bold), " ", rtl), rtl)
        return found

    def shape(
        self,
        text: str,
        *,
        bold: bool = False,
        rtl: bool = False,
        han: tuple[Key, ...] | None = None,
    ) -> Run:
        """Text of one direction, without blanks to break at, as glyphs; kept, since words come
        again.
        """
        asked = (text, bold, rtl, han or self.han)
        found = self._runs.get(asked)
        if found is None:
            found = self._runs[asked] = self._shape(*asked)
        return found

    def _shape(self, text: str, bold: bool, rtl: bool, han: tuple[Key, ...]) -> Run:
        segments: list[tuple[Key | None, str]] = []
        for character in text:
            key = self.holder(character, han)
            if segments and _sticks(character):
                last = segments[-1][0]
                if character in (ZWJ, ZWNJ) and last is None:
                    continue  # joins emoji we cannot draw; nothing to show
                face = self.face(last) if last else None
                if character in (ZWJ, ZWNJ) or (face and ord(character) in face.characters):
                    key = last
            if segments and segments[-1][0] == key:
                segments[-1] = (key, segments[-1][1] + character)
            else:
                segments.append((key, character))
        clusters: list[Cluster] = []
        missing: set[str] = set()
        for key, part in segments:
            if key is not None:
                clusters.extend(_clusters(self.font(key, bold), part, rtl))
                continue
            for character in part:
                if character in SPELLED:
                    clusters.append(self._standing_for(character, SPELLED[character], bold))
                else:
                    missing.add(character)
                    clusters.append(self._boxed(character))
        return Run.of(clusters, rtl, frozenset(missing))

    def _standing_for(self, character: str, spelled: str, bold: bool) -> Cluster:
        font = self.font("latin", bold)
        body, width = _written(font, spelled, character)
        return Cluster(character, width, (Part(font, body, width),))

    def _boxed(self, character: str) -> Cluster:
        font = self.font("latin", bold=False)
        code = ord(character)
        told = "\ufffd" if 0xD800 <= code <= 0xDFFF else character
        body, width = _written(font, f"{code:04X}", told)
        pad = BOX_PAD / BOX_SCALE
        width = width * BOX_SCALE + 2 * BOX_PAD
        return Cluster(
            character,
            width,
            (
                Part(
                    font,
                    f"{-pad:.1f} {body} {-pad:.1f}",
                    width,
                    rise=BOX_RISE,
                    scale=BOX_SCALE,
                    framed=True,
                ),
            ),
        )

    def boxes_note(self, page: int) -> str:
        """One sentence about the characters shown as boxed codes on a page; empty when there are
        none.
        """
        found = sorted(self.missing_on.get(page, ()))
        if not found:
            return ""
        codes = tuple(Name(f"U+{ord(character):04X}") for character in found[:8])
        cjk = any(map(is_cjk, found)) and not any(self.face(key) for key in CJK)
        boxed = said(
            "packet.boxed",
            codes=Many(codes, "list"),
            more=len(found) - 8 if len(found) > 8 else None,
            extra=said("packet.no_cjk") if cjk else None,
        )
        return str(boxed)


def _written(font: DocumentFont, letters: str, told: str) -> tuple[str, float]:
    """Plain letters as glyphs that tell another text: the first tells all of it."""
    glyphs = [font.hand.get_nominal_glyph(ord(letter)) or 0 for letter in letters]
    cids = [font.cid(glyph, "" if at else told) for at, glyph in enumerate(glyphs)]
    return "<" + "".join(f"{cid:04X}" for cid in cids) + ">", sum(
        font.width(glyph) for glyph in glyphs
    )


def _clusters(font: DocumentFont, text: str, rtl: bool) -> list[Cluster]:
    buffer = hb.Buffer()
    buffer.add_codepoints([ord(character) for character in text])
    buffer.guess_segment_properties()
    buffer.direction = "rtl" if rtl else "ltr"
    hb.shape(font.hand, buffer)
    groups: dict[int, list[tuple[int, Any]]] = {}
    for info, position in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
        groups.setdefault(info.cluster, []).append((info.codepoint, position))
    starts = sorted(groups)
    return [
        _cluster(font, text[start:end], groups[start], rtl)
        for start, end in zip(starts, [*starts[1:], len(text)], strict=True)
    ]


def _cluster(font: DocumentFont, text: str, glyphs: list[tuple[int, Any]], rtl: bool) -> Cluster:
    # Readers of the PDF take a glyph on another height, or without width, for another line: the
    # text goes to those that stand on the line.
    order = range(len(glyphs) - 1, -1, -1) if rtl else range(len(glyphs))
    standing = [
        at for at in order if glyphs[at][1].y_offset == 0 and glyphs[at][1].x_advance > 0
    ] or [order[0]]
    told = [""] * len(glyphs)
    for place, at in enumerate(standing):
        told[at] = text[place:] if place == len(standing) - 1 else text[place : place + 1]
    parts: list[Part] = []
    whole = 0.0
    scale = font.to_thousandths
    for (glyph, position), letters in zip(glyphs, told, strict=True):
        advance, shift, rise = (
            position.x_advance * scale,
            position.x_offset * scale,
            position.y_offset * scale,
        )
        cid = font.cid(glyph, letters)
        back = shift + font.width(glyph) - advance
        body = (
            (f"{-shift:.1f} " if abs(shift) > 0.05 else "")
            + f"<{cid:04X}>"
            + (f" {back:.1f}" if abs(back) > 0.05 else "")
        )
        if parts and parts[-1].rise == rise:
            parts[-1] = parts[-1]._replace(
                body=strung((parts[-1].body, body)), width=parts[-1].width + advance
            )
        else:
            parts.append(Part(font, body, advance, rise))
        whole += advance
    return Cluster(text, whole, tuple(parts))
