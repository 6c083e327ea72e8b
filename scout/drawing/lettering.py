"""Letters on a drawing: how wide they run, how they are clipped and broken, and the hand that sets
them.

Widths default to those of Helvetica (Adobe font metrics, the standard PDF fonts), which Arial and
Liberation Sans share; other
scripts are estimated on the wide side. Whoever owns real fonts passes their own measure.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

from scout.drawing.shapes import CAP_HEIGHT, Anchor, Ink, Pen, Point, Text, turned
from scout.units import Units
from scout.values import Figure
from scout.words import Reader, current, say
from scout.words.figures import Words

TextWidth = Callable[[str, float], float]  # (text, size) -> width, in the unit of the size
ELLIPSIS = "…"
# Source: Adobe Core 14 AFM files, Helvetica, characters 32 to 126, thousandths of the size.
_HELVETICA = (
    278,
    278,
    355,
    556,
    556,
    889,
    667,
    191,
    333,
    333,
    389,
    584,
    278,
    333,
    278,
    278,
    556,
    556,
    556,
    556,
    556,
    556,
    556,
    556,
    556,
    556,
    278,
    278,
    584,
    584,
    584,
    556,
    1015,
    667,
    667,
    722,
    722,
    667,
    611,
    778,
    722,
    278,
    500,
    667,
    556,
    833,
    722,
    778,
    667,
    778,
    722,
    667,
    611,
    722,
    667,
    944,
    667,
    667,
    611,
    278,
    278,
    278,
    469,
    556,
    333,
    556,
    556,
    500,
    556,
    556,
    278,
    556,
    556,
    222,
    222,
    500,
    222,
    833,
    556,
    556,
    556,
    556,
    333,
    500,
    278,
    556,
    500,
    722,
    500,
    500,
    500,
    334,
    260,
    334,
    584,
)
_OTHERS = {
    "°": 400,
    "–": 556,
    "…": 1000,
    "±": 584,
    "²": 333,
    "×": 584,
    "·": 278,
    "’": 222,
    "\u00a0": 278,
}
_UNSEEN = {"Cc", "Cs", "Co", "Cn", "Zl", "Zp"}
_TURNS = set(
    "\u200e\u200f\u202a\u202b\u202c\u202d\u202e\ufeff"
)  # isolates stay: the speaker sets them
BOLD_WIDER = 1.08


@lru_cache(maxsize=8192)  # the same words are measured at every scale that is tried
def helvetica_width(text: str, size: float) -> float:
    """Width of a line of letters, in the unit of the size; other scripts than Latin estimated on
    the wide side.
    """
    return size * sum(_thousandths(ch) for ch in text) / 1000.0


def is_measured(text: str) -> bool:
    """Whether the width of every letter is known from the font's own table, and none is an
    estimate.
    """
    return all(" " <= ch <= "~" or ch in _OTHERS for ch in text)


def _thousandths(ch: str) -> int:
    if " " <= ch <= "~":
        return _HELVETICA[ord(ch) - 32]
    if ch in _OTHERS:
        return _OTHERS[ch]
    if unicodedata.category(ch) in {"Mn", "Me", "Cf"}:
        return 0
    if unicodedata.east_asian_width(ch) in {"W", "F"}:
        return 1000
    base = unicodedata.normalize("NFD", ch)[0]
    if " " <= base <= "~":
        return _HELVETICA[ord(base) - 32]
    return 700


def tidy(text: str) -> str:
    """One printable line: control characters and marks that turn the direction of what follows are
    dropped, spaces run together.
    """
    kept = "".join(
        " " if ch.isspace() else ch
        for ch in text
        if ch.isspace() or (unicodedata.category(ch) not in _UNSEEN and ch not in _TURNS)
    )
    return " ".join(kept.split())


def clip(text: str, most_mm: float, size_mm: float, text_width: TextWidth = helvetica_width) -> str:
    """The text, cut with an ellipsis where it would run wider than most_mm; empty when not even the
    ellipsis fits.
    """
    text = tidy(text)
    if text_width(text[:400], size_mm) <= most_mm and len(text) <= 400:
        return text
    low, high = 0, min(len(text), 400)
    while low < high:
        middle = (low + high + 1) // 2
        if text_width(text[:middle].rstrip() + ELLIPSIS, size_mm) <= most_mm:
            low = middle
        else:
            high = middle - 1
    while 0 < low < len(text) and (
        unicodedata.combining(text[low]) or text[low] in "\u200d\ufe0f" or text[low - 1] == "\u200d"
    ):
        low -= 1  # never part a letter from its marks, nor a joined sign from itself
    cut = text[:low].rstrip()
    return cut + ELLIPSIS if cut or text_width(ELLIPSIS, size_mm) <= most_mm else ""


def broken(
    text: str,
    most_mm: float,
    size_mm: float,
    text_width: TextWidth = helvetica_width,
    lines_most: int = 40,
) -> tuple[str, ...]:
    """The text as lines no wider than most_mm; a word wider than the line is clipped, and so is
    what goes past lines_most.
    """
    lines: list[str] = []
    current = ""
    for word in tidy(text).split(" "):
        longer = f"{current} {word}".strip()
        if text_width(longer, size_mm) <= most_mm:
            current = longer
            continue
        if current:
            lines.append(current)
        current = (
            word
            if text_width(word, size_mm) <= most_mm
            else clip(word, most_mm, size_mm, text_width)
        )
    lines.append(current)
    if len(lines) > lines_most:
        lines = [
            *lines[: lines_most - 1],
            clip(lines[lines_most - 1] + " " + ELLIPSIS, most_mm, size_mm, text_width),
        ]
    return tuple(line for line in lines if line)


WEIGHTS_MM = {"hair": 0.13, "fine": 0.18, "thin": 0.25, "medium": 0.35, "bold": 0.5, "thick": 0.7}
PRINT_TEXT_MM = 2.6
# Of plans and of whatever a screen shows; most letters are set at nine tenths: 8 points on paper, and
# 12 px where 112 mm take the 358 px that a phone of 390 px leaves between its margins.
PLAN_PRINT_TEXT_MM, SCREEN_TEXT_MM, SCREEN_WIDE_MM = 3.15, 4.2, 112.0


@dataclass(frozen=True)
class Hand:
    """The hand that draws one sheet: size of its letters, how wide they run, its units. Weights of
    line go with the letters.
    """

    text_mm: float = PRINT_TEXT_MM
    text_width: TextWidth = helvetica_width
    units: Units = "metric"

    def pen(self, weight: str = "fine", ink: Ink = "ink", dash: tuple[float, ...] = ()) -> Pen:
        """A pen of the named weight; `dash` in parts of the size of the letters."""
        return Pen(
            round(WEIGHTS_MM[weight] * self.text_mm / PRINT_TEXT_MM, 3),
            ink,
            tuple(part * self.text_mm for part in dash),
        )

    def width(self, text: Words, size: float = 1.0, *, bold: bool = False) -> float:
        """Width of a line of letters [mm]; `size` in parts of the size of the letters."""
        return self.text_width(self.say(text), self.text_mm * size) * (BOLD_WIDER if bold else 1.0)

    def write(
        self,
        at: Point,
        text: Words,
        *,
        size: float = 1.0,
        anchor: Anchor = "start",
        ink: Ink = "ink",
        bold: bool = False,
        angle_deg: float = 0.0,
        backed: bool = False,
        most_mm: float | None = None,
    ) -> Text:
        """One line of letters on its baseline, clipped to most_mm."""
        text, size_mm = self.say(text), self.text_mm * size
        shown = (
            tidy(text)
            if most_mm is None
            else clip(text, most_mm / (BOLD_WIDER if bold else 1.0), size_mm, self.text_width)
        )
        return Text(
            at,
            shown,
            size_mm,
            self.width(shown, size, bold=bold),
            anchor,
            ink,
            bold,
            angle_deg,
            backed,
        )

    def centred(
        self,
        at: Point,
        text: Words,
        *,
        size: float = 1.0,
        angle_deg: float = 0.0,
        ink: Ink = "ink",
        bold: bool = False,
        backed: bool = False,
        most_mm: float | None = None,
    ) -> Text:
        """One line of letters whose middle, both ways, is at the point."""
        drop = turned((0.0, -CAP_HEIGHT / 2 * self.text_mm * size), angle_deg)
        return self.write(
            (at[0] + drop[0], at[1] + drop[1]),
            text,
            size=size,
            anchor="middle",
            ink=ink,
            bold=bold,
            angle_deg=angle_deg,
            backed=backed,
            most_mm=most_mm,
        )

    def length(self, length_m: float, *, unit: bool = True) -> str:
        """A length as it stands on a drawing: `5.00 m` (or `5.00` in a chain of dimensions), or
        feet and inches.
        """
        figure = Figure(length_m, "m")
        return self.say(figure, "size,exact" if unit else "size,exact,bare")

    @property
    def reader(self) -> Reader:
        """Who reads the sheet."""
        return replace(current(), units=self.units)

    def say(self, words: Words, spec: str = "") -> str:
        """A text as it stands on the sheet, in the sheet's units."""
        return say(words, spec, self.reader)
