"""Which way each character of a paragraph runs: the resolved levels of the Unicode bidirectional
algorithm.

Isolates are obeyed (the speaker sets them round what was typed); embeddings, overrides and marks
never reach here: `clean` takes them out, so that no typed text can turn what stands round it. Rules
P2-P3, X5a-X6a, X10, W1-W7, N0-N2, I1-I2, and L1-L2 for a finished line.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence

# Unicode Standard Annex 9, BD14-BD16: paired brackets are those with a Bidi_Paired_Bracket; these
# are all that people type.
_OPENS = {
    "(": ")",
    "[": "]",
    "{": "}",
    "⟨": "⟩",
    "〈": "〉",
    "《": "》",
    "「": "」",
    "『": "』",
    "【": "】",
    "（": "）",
    "［": "］",
    "｛": "｝",
}
_CLOSES = {closing: opening for opening, closing in _OPENS.items()}
_STARTS = frozenset({"LRI", "RLI", "FSI"})
_NEUTRAL = frozenset({"B", "S", "WS", "ON", "PDI", *_STARTS})
ISOLATES = "\u2066\u2067\u2068\u2069"  # left, right, by its first letter; the end of any of them
_DEEPEST = 125  # BD2
_MOST_OPEN = 63  # BD16: the stack of open brackets


def base_level(text: str) -> int:
    """0 when the first strong character runs left to right (or there is none), else 1; what stands
    in an isolate is passed over (rules P2, P3).
    """
    depth = 0
    for character in text:
        kind = unicodedata.bidirectional(character)
        if kind in _STARTS:
            depth += 1
        elif kind == "PDI":
            depth = max(depth - 1, 0)
        elif kind in ("L", "R", "AL") and not depth:
            return int(kind != "L")
    return 0


def needs_bidi(text: str) -> bool:
    """Whether anything runs right to left or is an Arabic number; else every level is 0."""
    return not text.isascii() and any(
        unicodedata.bidirectional(character) in ("R", "AL", "AN", "RLI") for character in text
    )


_DIALLED = re.compile(r"\+?\(?[0-9](?:[ ()./\-\u00a0]{0,2}[0-9]){5,}")


def numbers_isolated(text: str) -> str:
    """The text with numbers in several groups, as one dials them, isolated: their groups stand from
    left to right in every script.
    """
    return _DIALLED.sub(
        lambda number: f"\u2066{number[0]}\u2069" if not number[0].isdigit() else number[0], text
    )


def levels(text: str, base: int) -> list[int]:
    """The resolved level of each character: even runs left to right, odd right to left.

    Source: Unicode Standard Annex 9 (Unicode Bidirectional Algorithm), for text without embeddings
        and overrides.
    """
    kinds = [unicodedata.bidirectional(character) or "L" for character in text]
    result = _embedded(text, kinds, base)
    around = list(result)  # the levels before the rules of weak and neutral characters
    for sequence in _sequences(kinds, around):
        level = around[sequence[0]]
        run = [kinds[at] for at in sequence]
        way = "R" if level % 2 else "L"
        before, after = _edges(sequence, kinds, around, base)
        marks = {at for at, kind in enumerate(run) if kind == "NSM"}
        _resolve_weak(run, before)
        _resolve_brackets(run, [text[at] for at in sequence], way, before, marks)
        _resolve_neutral(run, way, before, after)
        for at, kind in zip(sequence, run, strict=True):
            if level % 2 == 0:
                result[at] = level + {"L": 0, "R": 1}.get(kind, 2)  # I1
            else:
                result[at] = level + (0 if kind == "R" else 1)  # I2
    previous = base
    for at, kind in enumerate(kinds):  # X9: boundary neutrals take no part
        if kind == "BN":
            result[at] = previous
        previous = result[at]
    return result


def _embedded(text: str, kinds: Sequence[str], base: int) -> list[int]:
    """The level of each character by the isolates it stands in (rules X5a to X6a)."""
    found: list[int] = []
    open_levels = [base]
    too_deep = 0
    for at, kind in enumerate(kinds):
        if kind == "PDI":
            if too_deep:
                too_deep -= 1
            elif len(open_levels) > 1:
                open_levels.pop()
        found.append(open_levels[-1])
        if kind in _STARTS:
            odd = base_level(_inside(text, kinds, at)) if kind == "FSI" else int(kind == "RLI")
            deeper = open_levels[-1] + 1
            deeper += deeper % 2 != odd
            if deeper > _DEEPEST or too_deep:
                too_deep += 1
            else:
                open_levels.append(deeper)
    return found


def _inside(text: str, kinds: Sequence[str], start: int) -> str:
    """What an isolate holds, to its end or the text's."""
    depth = 0
    for at in range(start, len(kinds)):
        depth += (kinds[at] in _STARTS) - (kinds[at] == "PDI")
        if not depth:
            return text[start + 1 : at]
    return text[start + 1 :]


def _sequences(kinds: Sequence[str], embedded: Sequence[int]) -> Iterator[list[int]]:
    """The isolating run sequences (BD13): positions of one level, over the isolates between them."""
    waiting: list[list[int]] = []  # those that end in the start of an isolate
    current: list[int] | None = None
    made: list[list[int]] = []
    for at, kind in enumerate(kinds):
        if kind == "BN":
            continue
        if kind == "PDI" and waiting and embedded[waiting[-1][-1]] == embedded[at]:
            current = waiting.pop()
        elif current is None or embedded[current[-1]] != embedded[at]:
            current = []
            made.append(current)
        current.append(at)
        if kind in _STARTS:
            waiting.append(current)
            current = None
    yield from made


def _edges(
    sequence: Sequence[int], kinds: Sequence[str], embedded: Sequence[int], base: int
) -> tuple[str, str]:
    """The directions that stand for what is before and after a sequence (rule X10)."""
    level = embedded[sequence[0]]
    before = next(
        (embedded[at] for at in range(sequence[0] - 1, -1, -1) if kinds[at] != "BN"), base
    )
    after = base
    if kinds[sequence[-1]] not in _STARTS:
        places = range(sequence[-1] + 1, len(kinds))
        after = next((embedded[at] for at in places if kinds[at] != "BN"), base)
    first, last = ("R" if max(level, one) % 2 else "L" for one in (before, after))
    return first, last


def _resolve_weak(run: list[str], edge: str) -> None:
    before, strong = edge, edge
    for at, kind in enumerate(run):  # W1, W2
        if kind == "NSM":
            kind = "ON" if before == "PDI" or before in _STARTS else before
        if kind == "EN" and strong == "AL":
            kind = "AN"
        if kind in ("L", "R", "AL"):
            strong = kind
        run[at] = before = kind
    for at, kind in enumerate(run):  # W3
        if kind == "AL":
            run[at] = "R"
    for at in range(1, len(run) - 1):  # W4
        one, other = run[at - 1], run[at + 1]
        if one == other and (
            (run[at] == "ES" and one == "EN") or (run[at] == "CS" and one in ("EN", "AN"))
        ):
            run[at] = one
    at = 0
    while at < len(run):  # W5
        if run[at] != "ET":
            at += 1
            continue
        end = at
        while end < len(run) and run[end] == "ET":
            end += 1
        if (at and run[at - 1] == "EN") or (end < len(run) and run[end] == "EN"):
            run[at:end] = ["EN"] * (end - at)
        at = end
    strong = edge
    for at, kind in enumerate(run):  # W6, W7
        if kind in ("ES", "ET", "CS"):
            run[at] = "ON"
        elif kind == "EN" and strong == "L":
            run[at] = "L"
        if run[at] in ("L", "R"):
            strong = run[at]


def _direction(kind: str) -> str | None:
    return "L" if kind == "L" else "R" if kind in ("R", "EN", "AN") else None


def _resolve_brackets(
    run: list[str], characters: Sequence[str], way: str, edge: str, marks: set[int]
) -> None:
    """N0: a pair of brackets goes with what it holds."""
    opened: list[tuple[str, int]] = []
    pairs: list[tuple[int, int]] = []
    for at, character in enumerate(characters):
        if run[at] != "ON":
            continue
        if character in _OPENS:
            if len(opened) == _MOST_OPEN:
                pairs = []
                break
            opened.append((_OPENS[character], at))
        elif character in _CLOSES:
            for depth in range(len(opened) - 1, -1, -1):
                if opened[depth][0] == character:
                    pairs.append((opened[depth][1], at))
                    del opened[depth:]
                    break
    for start, end in sorted(pairs):
        inside = {_direction(kind) for kind in run[start + 1 : end]} - {None}
        if way in inside:
            found = way
        elif inside:
            opposite = "L" if way == "R" else "R"
            before = next((one for one in map(_direction, reversed(run[:start])) if one), edge)
            found = opposite if before == opposite else way
        else:
            continue
        for bracket in (start, end):
            run[bracket] = found
            follower = bracket + 1
            while follower < len(run) and follower in marks:  # marks on a bracket follow it
                run[follower] = found
                follower += 1


def _resolve_neutral(run: list[str], way: str, first: str, last: str) -> None:
    at = 0
    while at < len(run):  # N1, N2
        if run[at] not in _NEUTRAL:
            at += 1
            continue
        end = at
        while end < len(run) and run[end] in _NEUTRAL:
            end += 1
        before = (_direction(run[at - 1]) if at else first) or way
        after = (_direction(run[end]) if end < len(run) else last) or way
        run[at:end] = [before if before == after else way] * (end - at)
        at = end


def visual_order(line: Sequence[int]) -> list[int]:
    """Positions of a finished line from left to right, given each piece's level (rule L2)."""
    order = list(range(len(line)))
    if not line or max(line) == 0:
        return order
    odd = [level for level in line if level % 2]
    for level in range(max(line), (min(odd) if odd else max(line) + 1) - 1, -1):
        at = 0
        while at < len(order):
            if line[order[at]] < level:
                at += 1
                continue
            end = at
            while end < len(order) and line[order[end]] >= level:
                end += 1
            order[at:end] = order[at:end][::-1]
            at = end
    return order
