"""The order of a room's parts on its pages: as they are read, but where a drawing would turn the
page and leave it half empty, what still fits comes first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.platypus.flowables import Flowable

from scout.packet.blocks import Desk

HOLE_MOST = 0.1  # of a page: so much may stay empty at its foot


@dataclass(frozen=True)
class Part:
    """What stays together as it comes; parts of one `chain` keep their order."""

    chain: str
    made: Sequence[Flowable]


def packed(desk: Desk, before: Sequence[Flowable], parts: Sequence[Part]) -> list[Flowable]:
    """The parts in an order that leaves few holes, after `before`, which begins at the top of a
    page.
    """
    waiting = [part for part in parts if part.made]
    made: list[Flowable] = []
    left, _ = desk.flow(before, desk.height)
    while waiting:
        after = [desk.flow(part.made, left) for part in waiting]
        chosen = 0
        if after[0][1] > HOLE_MOST * desk.height:
            free = [
                k
                for k in range(len(waiting))
                if all(one.chain != waiting[k].chain for one in waiting[:k])
            ]
            chosen = next((k for k in free if after[k][1] <= HOLE_MOST * desk.height), 0)
        made += waiting.pop(chosen).made
        left = after[chosen][0]
    return made
