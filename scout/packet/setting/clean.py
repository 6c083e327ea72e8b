"""Typed text made safe to set: split into paragraphs, and without characters that command instead
of showing.
"""

from __future__ import annotations

import re
import unicodedata

TAB = "    "
_ENDS = re.compile("\r\n|[\n\r\v\f\x1c-\x1e\x85\u2028\u2029]")
# Left out: what turns the direction of text (Unicode Technical Report 36, 2.4), marks of byte
# order, invisible operators, variation selectors (we have one form of each glyph), and tags.
# Isolates stay: the speaker sets them round what was typed, and they end with the paragraph. A
# zero-width space stays: it says where a word may break.
_UNSEEN = re.compile(
    "[\x00-\x08\x0e-\x1b\x1f\x7f-\x84\x86-\x9f\u00ad\u061c\u200e\u200f\u202a-\u202e\u2060-\u2065\u206a-\u206f\ufeff\ufe00-\ufe0f\ufff9-\ufffb"
    "\U000e0000-\U000e007f\U000e0100-\U000e01ef]"
)


def paragraphs(text: str) -> list[str]:
    """Typed text as paragraphs to set. Of several empty lines in a row one is kept; none at either
    end.
    """
    shown = _UNSEEN.sub("", _ENDS.sub("\n", text)).replace("\t", TAB)
    if not shown.isascii():
        shown = unicodedata.normalize("NFC", shown)
    kept: list[str] = []
    for line in shown.split("\n"):
        line = line.rstrip(" ")
        if line or (kept and kept[-1]):
            kept.append(line)
    while kept and not kept[-1]:
        kept.pop()
    return kept


def one_line(text: str) -> str:
    """The same on one line, for titles, bookmarks and running heads."""
    return " ".join(" ".join(paragraphs(text)).split())
