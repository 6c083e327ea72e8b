"""From paragraphs to lines: where text may break, how much goes on a line, and in which order its
pieces stand.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from scout.packet.setting import bidi
from scout.packet.setting.clean import paragraphs
from scout.packet.setting.fonts import Key
from scout.packet.setting.shape import Part, Run, TypeCase, han_order, is_cjk, joined

ZWSP = "\u200b"
_BLANK = frozenset(
    " \u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2008\u2009\u200a\u205f\u3000" + ZWSP
)
# A line of Chinese or Japanese does not start or end with these (JIS X 4051, the common part of
# it).
_NOT_FIRST = frozenset(
    "、。，．・：；？！‥…ー々〻）］｝〉》」』】〕〗ぁぃぅぇぉっゃゅょゎァィゥェォッャュョヮヵヶ,.!?:;)]}%℃°”’"
)
_NOT_LAST = frozenset("（［｛〈《「『【〔〖([{“‘￥＄$")
_THAI_LEADING = frozenset("เแโใไ")
_NOT_SHOWN = dict.fromkeys(map(ord, bidi.ISOLATES))
_THAI = re.compile("[\u0e00-\u0e7f]")
# feet, inches and their fraction are one figure, and stay on one line
_LENGTH = r"\d+' \d+ \d+/\d+\"|\d+' \d+(?:/\d+)?\"|\d+ \d+/\d+\""
_LENGTHS = re.compile(_LENGTH)
_WORDS = re.compile(rf"(?:{_LENGTH})[^ ]*" r"|[^ ]+?(?<=[^\W\d_])[-–/](?=[^\W\d_])|[^ ]+| +")


@dataclass(frozen=True)
class Word:
    """What stays together on a line, with the blanks after it; widths in thousandths of the type
    size.
    """

    atoms: tuple[tuple[Run, int], ...]  # runs in reading order, each with its bidi level
    width: float
    blanks: tuple[tuple[Run, int], ...] = ()
    blank_width: float = 0.0


@dataclass(frozen=True)
class Line:
    """One set line: its parts from left to right, and whether its paragraph runs right to left."""

    parts: tuple[Part, ...]
    width: float
    rtl: bool
    missing: frozenset[str] = frozenset()


def break_points(text: str) -> list[int]:
    """Positions before which a line may begin, beyond those after blanks (a small part of UAX 14)."""
    found = []
    for at in range(1, len(text)):
        before, after = text[at - 1], text[at]
        if before in _BLANK or after in _BLANK:
            continue
        if before in "-–/":
            if at > 1 and text[at - 2].isalpha() and after.isalpha():
                found.append(at)
        elif is_cjk(before) or is_cjk(after):
            if (
                after not in _NOT_FIRST
                and before not in _NOT_LAST
                and not (0x0300 <= ord(after) <= 0x036F or after in "\u3099\u309a")
            ):
                found.append(at)
        elif after in _THAI_LEADING and _THAI.match(before):
            found.append(at)
    return found


def _pieces(text: str) -> Iterator[tuple[int, int, int]]:
    """(start, end of the word, end of its blanks), in order."""
    points = set(break_points(text))
    kept = {at for one in _LENGTHS.finditer(text) for at in range(*one.span())}
    at = 0
    while at < len(text):
        end = at
        while end < len(text) and (
            end in kept or (text[end] not in _BLANK and not (end > at and end in points))
        ):
            end += 1
        blank = end
        while blank < len(text) and text[blank] in _BLANK:
            blank += 1
        yield at, end, blank
        at = blank


class Setter:
    """Sets text of one weight with one document's fonts, remembering words."""

    def __init__(self, case: TypeCase, bold: bool) -> None:
        self.case, self.bold = case, bold
        self._words: dict[str, Word] = {}

    def words(self, text: str) -> tuple[list[Word], bool]:
        """A paragraph's words, and whether it runs right to left."""
        if text.isascii():
            return self._plain(text), False
        han = han_order(text, self.case.han)
        if bidi.needs_bidi(text):
            text = bidi.numbers_isolated(text)
        else:
            return [
                self._word(text[start:end], text[end:blank], None, 0, han)
                for start, end, blank in _pieces(text)
            ], False
        base = bidi.base_level(text)
        levels = bidi.levels(text, base)
        return [
            self._word(text[start:end], text[end:blank], levels[start:blank], base, han)
            for start, end, blank in _pieces(text)
        ], base == 1

    def _plain(self, text: str) -> list[Word]:
        made: list[Word] = []
        blank = self.case.blank(
            None, self.bold, rtl=False
        )  # not before it is needed: a weight that is never used is not embedded
        for piece in _WORDS.findall(text):
            if piece[0] == " ":
                count = len(piece)
                last = made.pop() if made else Word((), 0.0)
                made.append(
                    Word(last.atoms, last.width, ((blank, 0),) * count, blank.width * count)
                )
                continue
            word = self._words.get(piece)
            if word is None:
                run = self.case.shape(piece, bold=self.bold)
                word = self._words[piece] = Word(((run, 0),), run.width)
            made.append(word)
        return made

    def _word(
        self,
        letters: str,
        blanks: str,
        levels: Sequence[int] | None,
        base: int,
        han: tuple[Key, ...],
    ) -> Word:
        atoms = self._atoms(letters, levels[: len(letters)] if levels else None, han)
        spaces = "".join(
            "  " if blank == "\u3000" else "" if blank == ZWSP else " " for blank in blanks
        )
        level = levels[len(letters)] if levels and blanks else base
        blank = self.case.blank(atoms[-1][0] if atoms else None, self.bold, level % 2 == 1)
        return Word(
            atoms,
            sum(run.width for run, _ in atoms),
            ((blank, level),) * len(spaces),
            blank.width * len(spaces),
        )

    def _atoms(
        self, text: str, levels: Sequence[int] | None, han: tuple[Key, ...]
    ) -> tuple[tuple[Run, int], ...]:
        atoms = []
        start = 0
        for at in range(1, len(text) + 1):
            if at == len(text) or (levels and levels[at] != levels[start]):
                level = levels[start] if levels else 0
                letters = text[start:at].translate(_NOT_SHOWN)
                if letters:
                    run = self.case.shape(letters, bold=self.bold, rtl=level % 2 == 1, han=han)
                    atoms.append((run, level))
                start = at
        return tuple(atoms)

    def lines(self, text: str, width: float) -> list[Line]:
        """Typed text broken to `width` (thousandths of the type size); an empty paragraph is an
        empty line.
        """
        made: list[Line] = []
        for paragraph in paragraphs(text):
            words, rtl = self.words(paragraph)
            made.extend(_fill(words, width, rtl))
        return made


def _fill(words: Sequence[Word], width: float, rtl: bool) -> list[Line]:
    made: list[Line] = []
    line: list[tuple[Run, int]] = []
    used = 0.0  # of the line, blanks after its last word included
    hanging: tuple[tuple[Run, int], ...] = ()
    for word in words:
        if line and used + word.width > width:
            made.append(_line(line, rtl))
            line, used, hanging = [], 0.0, ()
        if not line and word.width > width:
            *full, word = _torn(word, width)
            made.extend(_line(part.atoms, rtl) for part in full)
        line.extend(hanging)
        line.extend(word.atoms)
        hanging = word.blanks  # blanks at the end of a line are not set
        used += word.width + word.blank_width
    made.append(_line(line, rtl))
    return made


def _torn(word: Word, width: float) -> list[Word]:
    """A word wider than a line, torn between clusters; each piece holds at least one cluster."""
    pieces: list[Word] = []
    atoms: list[tuple[Run, int]] = []
    used = 0.0
    for run, level in word.atoms:
        start, rest = 0, 0.0
        for at, cluster in enumerate(run.clusters):
            if used + rest + cluster.width > width and (atoms or at > start):
                if at > start:
                    atoms.append((Run.of(run.clusters[start:at], run.rtl, run.missing), level))
                pieces.append(Word(tuple(atoms), used + rest))
                atoms, used, start, rest = [], 0.0, at, 0.0
            rest += cluster.width
        if start < len(run.clusters):
            atoms.append(
                (Run.of(run.clusters[start:], run.rtl, run.missing) if start else run, level)
            )
            used += rest
    pieces.append(Word(tuple(atoms), used, word.blanks, word.blank_width))
    return pieces


def _line(atoms: Sequence[tuple[Run, int]], rtl: bool) -> Line:
    missing = frozenset().union(*(run.missing for run, _ in atoms if run.missing))
    order = bidi.visual_order([level for _, level in atoms])
    parts = joined(part for at in order for part in atoms[at][0].parts)
    return Line(parts, sum(run.width for run, _ in atoms), rtl, missing)
