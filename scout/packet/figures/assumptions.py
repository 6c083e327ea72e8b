"""What the figures assume: what is one room's at the end of its pages, what many rooms share once
at the end of the packet.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import merged
from scout.packet.setting.table import Cell, Column, Ledger
from scout.packet.setting.text import TextStyle, Typesetter
from scout.values import Said, names, said
from scout.words.figures import sentence

FINE = TextStyle(size=8.0, leading=9.8)


@dataclass
class RoomHeld:
    """The messages held for one room, by what they are about, in the order in which they came."""

    title: str
    place: str = ""
    by_topic: dict[str, dict[Said, None]] = field(default_factory=dict)

    def add(self, topic: str, messages: Iterable[Said]) -> None:
        """Hold messages; one that is held already, under whatever topic, is not held again."""
        for message in messages:
            if message not in self.held:
                self.by_topic.setdefault(topic, {})[message] = None

    @property
    def held(self) -> set[Said]:
        """Every message held."""
        return {message for messages in self.by_topic.values() for message in messages}


class Pending(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """Where a room's own assumptions will stand: known only when all rooms have been read."""

    def __init__(self, room: RoomHeld | None) -> None:
        super().__init__()
        self.room = room  # None: what is shared

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        return 0.0, 0.0

    def draw(self) -> None:
        """Nothing: it is replaced before the pages are made."""


def shared_messages(rooms: Sequence[RoomHeld]) -> set[Said]:
    """The messages that half of the rooms and at least two hold: they are printed once, not room by
    room.
    """
    count = Counter(message for room in rooms for message in room.held)
    return {message for message, times in count.items() if times >= 2 and 2 * times >= len(rooms)}


def own_table(setter: Typesetter, room: RoomHeld, shared: set[Said]) -> Ledger | None:
    """What only this room's figures assume, a row a topic; None where there is nothing."""
    rows = []
    for topic, held in room.by_topic.items():
        own = merged(message for message in held if message not in shared)
        if own:
            rows.append((Cell(topic), Cell(_sentences(own))))
    elsewhere = (
        " (what several rooms share stands before the cautions)" if shared & room.held else ""
    )
    return _table(setter, rows, elsewhere) if rows else None


def shared_table(setter: Typesetter, rooms: Sequence[RoomHeld], shared: set[Said]) -> Ledger | None:
    """What many rooms' figures assume; where it does not hold for all of them, for which it does."""
    rows: dict[str, dict[Said | None, list[Said]]] = {}
    printed: set[Said] = set()
    for room in rooms:
        for topic, held in room.by_topic.items():
            for message in held:
                if message in shared and message not in printed:
                    printed.add(message)
                    scopes = rows.setdefault(topic, {None: []})
                    scopes.setdefault(_where(message, rooms), []).append(message)
    if not rows:
        return None
    return _table(setter, [(Cell(topic), Cell(_scoped(scopes))) for topic, scopes in rows.items()])


def _scoped(scopes: Mapping[Said | None, Sequence[Said]]) -> str:
    """What holds for all rooms first, then a paragraph for those that some are left out of."""
    return "\n".join(
        (f"{scope}: " if scope else "") + _sentences(messages)
        for scope, messages in scopes.items()
        if messages
    )


def _where(message: Said, rooms: Sequence[RoomHeld]) -> Said | None:
    """The rooms a message holds for, in the fewer words: None where it holds for all of them, those
    it does not hold for where it holds for most.
    """
    titles = short_names(rooms)
    holds = [message in room.held for room in rooms]
    those = names(title for title, one in zip(titles, holds, strict=True) if one)
    others = names(title for title, one in zip(titles, holds, strict=True) if not one)
    if not len(others):
        return None
    if len(those) > len(others):
        return said("packet.assumed_not", rooms=others)
    return said("packet.assumed_for", rooms=those)


def short_names(rooms: Sequence[RoomHeld]) -> list[str]:
    """The rooms' names; with the place where two share one."""
    shared = Counter(room.title.casefold() for room in rooms)
    return [
        room.title if shared[room.title.casefold()] == 1 else f"{room.title}, {room.place}"
        for room in rooms
    ]


def _sentences(messages: Iterable[Said]) -> str:
    return " ".join(map(sentence, messages))


def _table(setter: Typesetter, rows: Sequence[tuple[Cell, Cell]], elsewhere: str = "") -> Ledger:
    columns = [Column("On", 0.4), Column("Taken as given" + elsewhere, 4.0)]
    return Ledger(setter, columns, rows, style=FINE)
