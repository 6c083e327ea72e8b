"""The typefaces a packet is set in: where they lie, which characters they hold, and their Regular
and Bold cuts.

All are variable TrueType files installed as Python packages. Nothing is written to disk: HarfBuzz
shapes straight from the variable file
at the weight wanted, and cuts the static instance out of it in the same breath as the subset that
goes into the PDF (a full instance takes
25 ms, where rebuilding one in pure Python takes some ten seconds). So there is no cache of
instances to spoil or to share.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Literal

import uharfbuzz as hb

from scout.errors import Unavailable
from scout.values import Name, said

Key = Literal["latin", "arabic", "hebrew", "devanagari", "thai", "sc", "tc", "jp", "kr"]
ALWAYS: tuple[Key, ...] = ("latin", "arabic", "hebrew", "devanagari", "thai")
CJK: tuple[Key, ...] = ("sc", "tc", "jp", "kr")

# Key -> (package, file inside it). The square brackets belong to the names.
_FILES: dict[Key, tuple[str, str]] = {
    "latin": ("fontpkg_noto_sans", "files/NotoSans[wdth,wght].ttf"),
    "arabic": ("fontpkg_noto_sans_arabic", "files/NotoSansArabic[wdth,wght].ttf"),
    "hebrew": ("justmytype_intl_rtl", "fonts/ofl/notosanshebrew/NotoSansHebrew[wdth,wght].ttf"),
    "devanagari": ("fontpkg_noto_sans_devanagari", "files/NotoSansDevanagari[wdth,wght].ttf"),
    "thai": ("fontpkg_noto_sans_thai", "files/NotoSansThai[wdth,wght].ttf"),
    "sc": ("justmytype_intl_cjk", "fonts/ofl/notosanssc/NotoSansSC[wght].ttf"),
    "tc": ("justmytype_intl_cjk", "fonts/ofl/notosanstc/NotoSansTC[wght].ttf"),
    "jp": ("justmytype_intl_cjk", "fonts/ofl/notosansjp/NotoSansJP[wght].ttf"),
    "kr": ("justmytype_intl_cjk", "fonts/ofl/notosanskr/NotoSansKR[wght].ttf"),
}
REGULAR, BOLD = 400, 700
NORMAL_WIDTH = 100


@dataclass(frozen=True)
class Typeface:
    """One variable font file, opened once a process; everything in it is only read."""

    key: Key
    path: Path
    face: Any  # uharfbuzz.Face
    characters: frozenset[int]
    axes: frozenset[str]

    def pinned(self, bold: bool) -> dict[str, float]:
        """Where each axis of this file stands for Regular or Bold; the width is always normal."""
        wanted = {"wght": float(BOLD if bold else REGULAR), "wdth": float(NORMAL_WIDTH)}
        return {tag: value for tag, value in wanted.items() if tag in self.axes}

    def hand(self, bold: bool) -> Any:
        """A uharfbuzz.Font of this file at the weight wanted, for shaping and measuring."""
        font = hb.Font(self.face)
        font.set_variations(self.pinned(bold))
        return font

    def cut(self, bold: bool, glyphs: set[int] | None = None) -> bytes:
        """A static TrueType font: all of it, or only `glyphs` (which keep their numbers) and no
        layout tables, for embedding.
        """
        wanted = hb.SubsetInput()
        for tag, value in self.pinned(bold).items():
            wanted.pin_axis_location(self.face, tag, value)
        if glyphs is None:
            wanted.keep_everything()
        else:
            wanted.glyph_set.set(glyphs)
            wanted.flags |= (
                hb.SubsetFlags.RETAIN_GIDS
                | hb.SubsetFlags.NO_LAYOUT_CLOSURE
                | hb.SubsetFlags.NOTDEF_OUTLINE
            )
            wanted.drop_table_tag_set.update(
                {hb_tag(tag) for tag in ("GSUB", "GPOS", "GDEF", "name", "STAT", "MATH", "BASE")}
            )
        wanted.flags |= hb.SubsetFlags.SET_OVERLAPS_FLAG
        return bytes(hb.subset(self.face, wanted).blob.data)


def hb_tag(tag: str) -> int:
    """A table's four letters as the number OpenType writes."""
    return int.from_bytes(tag.encode("ascii"), "big")


def font_path(key: Key) -> Path | None:
    """Where the font of `key` lies, or None when its package is not installed."""
    package, inside = _FILES[key]
    spec = find_spec(package)
    for folder in (spec.submodule_search_locations or ()) if spec else ():
        path = Path(folder) / inside
        if path.is_file():
            return path
    return None


_opening = threading.Lock()


@cache
def _open(key: Key, path: Path) -> Typeface:
    face = hb.Face(hb.Blob.from_file_path(str(path)))
    axes = frozenset(axis.tag for axis in face.axis_infos)
    return Typeface(key, path, face, frozenset(face.unicodes), axes)


def typeface(key: Key) -> Typeface | None:
    """The typeface of `key`; None when it is an optional one that is not installed.

    Raises: Unavailable when a font that always belongs to the program is missing.
    """
    path = font_path(key)
    if path is None:
        if key in CJK:
            return None
        raise Unavailable(said("packet.no_font", package=Name(_FILES[key][0])))
    with _opening:  # two packets at once open a large file once
        return _open(key, path)
