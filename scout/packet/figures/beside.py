"""A figure on the left, and what is said of it on the right: what the figure's height does not hold
goes on below, over the whole width.
"""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus.flowables import Flowable

from scout.packet.blocks import Desk
from scout.packet.setting.table import Ledger

GAP = 12.0  # points between the two
NARROWEST = 190.0  # points: in less no table reads well
LONGER = 30.0  # points by which what is said may stand out below the figure


def beside(desk: Desk, figure: Flowable, said: Sequence[Flowable]) -> list[Flowable]:
    """The figure with as much of what is said as fits beside it; the rest runs on below. `said`
    must not have been laid out before.
    """
    wide, high = figure.wrap(desk.width, desk.height)
    right = desk.width - wide - GAP
    if right < NARROWEST or not said:
        return [figure, *said]
    rest, taken, down = list(said), [], 0.0
    while rest:
        one = rest[0]
        room = high + LONGER - down - one.getSpaceBefore()
        tall = one.wrap(right, desk.height)[1]
        if tall > room:
            if isinstance(one, Ledger):
                first, rest[0] = one.cut(right, room)
                taken += [first] if first is not None else []
            break
        taken.append(rest.pop(0))
        down += one.getSpaceBefore() + tall + one.getSpaceAfter()
    return [Beside(figure, taken) if taken else figure, *rest]


class Beside(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """The two, from the same height."""

    def __init__(self, figure: Flowable, said: Sequence[Flowable]) -> None:
        super().__init__()
        self.figure, self.said = figure, said

    def getSpaceBefore(self) -> float:  # noqa: N802
        return 6.0

    def getSpaceAfter(self) -> float:  # noqa: N802
        return 8.0

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        wide, self.high = self.figure.wrap(width, height)
        self.left, right, down = wide + GAP, width - wide - GAP, 0.0
        self.places: list[float] = []  # of the foot of each, from the top
        for one in self.said:
            down += one.getSpaceBefore() + one.wrap(right, height)[1]
            self.places.append(down)
            down += one.getSpaceAfter()
        self.width, self.height = width, max([self.high, *self.places[-1:]])
        return self.width, self.height

    def draw(self) -> None:
        self.figure.drawOn(self.canv, 0.0, self.height - self.high)
        for one, down in zip(self.said, self.places, strict=True):
            one.drawOn(self.canv, self.left, self.height - down)
