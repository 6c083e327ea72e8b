"""What the figures assume: what is one room's at the end of its pages, what many rooms share once
at the end of the packet.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from reportlab.platypus.flowables import Flowable

from scout.packet.setting.table import Cell, Column, Ledger
from scout.packet.setting.text import TextStyle, Typesetter
from scout.packet.words import joined, listed

FINE = TextStyle(size=7.0, leading=8.8)


@dataclass
class RoomHeld:
    """The sentences held for one room, by what they are about, in the order in which they came."""

    title: str
    place: str = ""
    names: Sequence[
        str
    ] = ()  # of windows, lights and the like: a sentence with one of them is this room's own
    by_topic: dict[str, dict[str, str]] = field(
        default_factory=dict
    )  # topic -> folded sentence -> sentence

    def add(self, topic: str, sentences: Iterable[str]) -> None:
        """Hold sentences; one that is held already, under whatever topic, is not held again."""
        known = {folded for held in self.by_topic.values() for folded in held}
        for sentence in sentences:
            words = sentence.strip().rstrip(".;, ")
            if words and words.casefold() not in known:
                known.add(words.casefold())
                self.by_topic.setdefault(topic, {})[words.casefold()] = words

    @property
    def folded(self) -> set[str]:
        """Every sentence held, folded."""
        return {folded for held in self.by_topic.values() for folded in held}


class Pending(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """Where a room's own assumptions will stand: known only when all rooms have been read."""

    def __init__(self, room: RoomHeld | None) -> None:
        super().__init__()
        self.room = room  # None: what is shared

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        return 0.0, 0.0

    def draw(self) -> None:
        """Nothing: it is replaced before the pages are made."""


def shared_sentences(rooms: Sequence[RoomHeld]) -> set[str]:
    """The folded sentences that half of the rooms and at least two say to the letter: they are
    printed once, not room by room.
    """
    told = Counter(folded for room in rooms for folded in room.folded)
    return {folded for folded, times in told.items() if times >= 2 and 2 * times >= len(rooms)}


def own_table(setter: Typesetter, room: RoomHeld, shared: set[str]) -> Ledger | None:
    """What only this room's figures assume, a row a topic; None where there is nothing."""
    rows = []
    for topic, held in room.by_topic.items():
        said = joined((words for folded, words in held.items() if folded not in shared), room.names)
        if said:
            rows.append((Cell(topic), Cell(_sentences(said))))
    return _table(setter, rows) if rows else None


def shared_table(setter: Typesetter, rooms: Sequence[RoomHeld], shared: set[str]) -> Ledger | None:
    """What many rooms' figures assume; where it does not hold for all of them, for which it does."""
    rows: dict[str, list[str]] = {}
    told: set[str] = set()
    names = short_names(rooms)
    for room in rooms:
        for topic, held in room.by_topic.items():
            for folded, words in held.items():
                if folded in shared and folded not in told:
                    told.add(folded)
                    rows.setdefault(topic, []).append(
                        words + _where([folded in one.folded for one in rooms], names)
                    )
    return (
        _table(setter, [(Cell(topic), Cell(_sentences(said))) for topic, said in rows.items()])
        if rows
        else None
    )


def _where(holds: Sequence[bool], names: Sequence[str]) -> str:
    """For which rooms a sentence holds, in the fewer words: nothing for all of them, ` (not Garden
    court)` where it holds for most.
    """
    named = [name for name, one in zip(names, holds, strict=True) if one]
    others = [name for name, one in zip(names, holds, strict=True) if not one]
    return (
        ""
        if not others
        else f" (not {listed(others)})"
        if len(named) > len(others)
        else f" ({listed(named)})"
    )


def short_names(rooms: Sequence[RoomHeld]) -> list[str]:
    """The rooms' names; with the place where two share one."""
    shared = Counter(room.title.casefold() for room in rooms)
    return [
        room.title if shared[room.title.casefold()] == 1 else f"{room.title}, {room.place}"
        for room in rooms
    ]


def _sentences(said: Iterable[str]) -> str:
    return " ".join(f"{words[:1].upper()}{words[1:]}." for words in said)


def _table(setter: Typesetter, rows: Sequence[tuple[Cell, Cell]]) -> Ledger:
    return Ledger(setter, [Column("On", 0.4), Column("Taken as given", 4.0)], rows, style=FINE)
