"""Which way each character of a paragraph runs: the resolved levels of the Unicode bidirectional
algorithm.

Explicit controls (embeddings, overrides, isolates) never reach here: `clean` takes them out, so
that no typed text can turn what
stands round it. What is left of the algorithm is one run at the paragraph's level: rules P2-P3,
W1-W7, N0-N2, I1-I2, and L1-L2 for a finished line.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

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
_NEUTRAL = frozenset({"B", "S", "WS", "ON"})
_MOST_OPEN = 63  # BD16: the stack of open brackets


def base_level(text: str) -> int:
    """0 when the first strong character runs left to right (or there is none), else 1 (rules P2,
    P3).
    """
    for character in text:
        kind = unicodedata.bidirectional(character)
        if kind == "L":
            return 0
        if kind in ("R", "AL"):
            return 1
    return 0


def needs_bidi(text: str) -> bool:
    """Whether any character runs right to left or is an Arabic number; without one, every level is
    0.
    """
    return not text.isascii() and any(
        unicodedata.bidirectional(character) in ("R", "AL", "AN") for character in text
    )


def levels(text: str, base: int) -> list[int]:
    """The resolved level of each character: even runs left to right, odd right to left.

    Source: Unicode Standard Annex 9 (Unicode Bidirectional Algorithm), rules W1 to I2, for text
        without explicit controls.
    """
    kinds = [unicodedata.bidirectional(character) or "L" for character in text]
    shown = [
        at for at, kind in enumerate(kinds) if kind != "BN"
    ]  # X9: boundary neutrals take no part
    run = [kinds[at] for at in shown]
    edge = "R" if base % 2 else "L"
    marks = {at for at, kind in enumerate(run) if kind == "NSM"}
    _resolve_weak(run, edge)
    _resolve_brackets(run, [text[at] for at in shown], edge, marks)
    _resolve_neutral(run, edge)
    result = [base] * len(text)
    for at, kind in zip(shown, run, strict=True):
        if base % 2 == 0:
            result[at] = base + {"L": 0, "R": 1}.get(kind, 2)  # I1
        else:
            result[at] = base + (0 if kind == "R" else 1)  # I2
    previous = base
    taken = set(shown)
    for at in range(len(text)):
        if at not in taken:
            result[at] = previous
        previous = result[at]
    return result


def _resolve_weak(run: list[str], edge: str) -> None:
    before, strong = edge, edge
    for at, kind in enumerate(run):  # W1, W2
        if kind == "NSM":
            kind = before
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
    run: list[str], characters: Sequence[str], edge: str, marks: set[int]
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
        if edge in inside:
            found = edge
        elif inside:
            opposite = "L" if edge == "R" else "R"
            before = next(
                (way for way in (_direction(kind) for kind in reversed(run[:start])) if way), edge
            )
            found = opposite if before == opposite else edge
        else:
            continue
        for bracket in (start, end):
            run[bracket] = found
            follower = bracket + 1
            while follower < len(run) and follower in marks:  # marks on a bracket follow it
                run[follower] = found
                follower += 1


def _resolve_neutral(run: list[str], edge: str) -> None:
    at = 0
    while at < len(run):  # N1, N2
        if run[at] not in _NEUTRAL:
            at += 1
            continue
        end = at
        while end < len(run) and run[end] in _NEUTRAL:
            end += 1
        before = (_direction(run[at - 1]) if at else edge) or edge
        after = (_direction(run[end]) if end < len(run) else edge) or edge
        run[at:end] = [before if before == after else edge] * (end - at)
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
