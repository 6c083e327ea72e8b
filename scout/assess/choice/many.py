"""Many rooms judged for one scene by what is recorded of them: a room whose facts have changed is
judged again alone. Needs that take the whole assessment of a room are unknown here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from scout.assess.answers import (
    DaylightAnswer,
    EventsAnswer,
    FitAnswer,
    PowerAnswer,
    RoomAssessment,
    SoundAnswer,
)
from scout.assess.choice.cells import CandidateFacts, NeedCell
from scout.assess.choice.choose import needs_as_numbers
from scout.assess.choice.compare import cells_of
from scout.assess.choice.scales import lying, scale_of
from scout.calc.choice import ranking
from scout.records.kept import SceneRecord
from scout.records.sheet import RoomSheet
from scout.values import said

# of many rooms those are drawn that are best at their best; the rest come first in no draw shown
MOST_DRAWN, DRAWS = 60, 300
NOTHING = RoomAssessment(
    date=date(2000, 1, 1),
    sheet=RoomSheet.model_validate({"schema": "room-sheet/1", "room": {"name": "-"}}),
    timezone=None,
    events=EventsAnswer(),
    windows=(),
    daylight=DaylightAnswer(unknown=said("need.no_light")),
    bounce=(),
    surround=(),
    sound=SoundAnswer(),
    power=PowerAnswer(),
    fit=FitAnswer(unknown=said("need.no_framing")),
    cautions=(),
    blocks={},
    placements={},
)


@dataclass(frozen=True)
class Found:
    """A room in the order of the search. `missed`: of the required, unknown ones too."""

    facts: CandidateFacts
    cells: tuple[NeedCell, ...]
    missed: int
    total: float
    first_share: float


class Catalogue:
    """Rooms judged for one scene. Facts never change in place: the same object is the same facts, and
    is not judged again; another one is.
    """

    def __init__(self, scene: SceneRecord) -> None:
        self.scene = scene
        self.scales = [scale_of(need) for need in scene.needs or ()]
        self.needs = needs_as_numbers(scene.needs or (), self.scales)
        self._held: dict[int, tuple[int, CandidateFacts, tuple[NeedCell, ...]]] = {}
        self._rows = np.zeros((5, 0, len(self.scales)))

    def judge(self, rooms: Mapping[int, CandidateFacts]) -> int:
        """Judge what is new or has changed, and forget what is gone; returns how many were judged."""
        if self._held.keys() != rooms.keys():
            kept = [key for key in self._held if key in rooms]
            rows = [self._held[key][0] for key in kept]
            grown = np.zeros((5, len(rooms), len(self.scales)))
            grown[:, : len(rows)] = self._rows[:, rows]
            self._held = {key: (at, *self._held[key][1:]) for at, key in enumerate(kept)}
            self._rows = grown
        judged = 0
        for key, facts in rooms.items():
            held = self._held.get(key)
            if held is not None and held[1] is facts:
                continue
            at = len(self._held) if held is None else held[0]
            cells = cells_of(self.scene, facts)
            self._held[key] = (at, facts, cells)
            lies = [lying(scale, cell) for scale, cell in zip(self.scales, cells, strict=True)]
            self._rows[:, at] = np.array(
                [
                    [np.nan if one.figure is None else one.figure for one in lies],
                    [one.low for one in lies],
                    [one.high for one in lies],
                    [one.spread for one in lies],
                    [cell.level != "outside" for cell in cells],
                ],
                dtype=np.float64,
            )
            judged += 1
        return judged

    def ranked(self, most: int) -> list[Found]:
        """The first of them, in order, with how often each comes first when doubts are drawn."""
        if not self._held or not self.scales:
            return []
        figure, low, high, spread, applies = self._rows
        cells = np.arange(figure.size).reshape(figure.shape)
        facts = ranking.Facts(
            figure,
            low,
            high,
            spread.astype(np.int64),
            np.where(spread == ranking.SURE, -1, cells),
            applies > 0,
        )
        missed, total = ranking.score(self.needs, facts.applies, figure)
        order = ranking.order(missed, total)
        able = ranking.contenders(self.needs, facts, MOST_DRAWN)
        among = facts.of(able)
        numbered = among.fact.copy()
        doubtful = numbered >= 0
        numbered[doubtful] = np.arange(int(doubtful.sum()))
        among = ranking.Facts(
            among.figure, among.low, among.high, among.spread, numbered, among.applies
        )
        drawn = ranking.draw(self.needs, among, 0, DRAWS)
        share = dict(zip(able.tolist(), drawn.first_share.tolist(), strict=True))
        by_row: Sequence[tuple[int, CandidateFacts, tuple[NeedCell, ...]]] = sorted(
            self._held.values(), key=lambda held: held[0]
        )
        return [
            Found(
                by_row[at][1],
                by_row[at][2],
                int(missed[at]),
                float(total[at]),
                share.get(at, 0.0),
            )
            for at in order[:most].tolist()
        ]
