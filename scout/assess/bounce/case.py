"""A cast to mend: light on a side of the face or off a surface, and what it is with something done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Protocol

import numpy as np

from scout.assess.answers import (
    Act,
    BounceAnswer,
    Change,
    RemedyAnswer,
    Risk,
    SurroundAnswer,
    WindowLightAnswer,
)
from scout.assess.bounce.start import ROUGHLY
from scout.assess.bounce.worst import helps, is_deep
from scout.calc.bounce.cloth import Cloth
from scout.calc.bounce.reach import CLOSED, lux_of
from scout.calc.bounce.shift import Shift, casts
from scout.calc.geometry import FloatArray
from scout.values import Said, Word

TO_MEND: tuple[Risk, ...] = ("medium", "high")
Cloths = tuple[Cloth, ...]  # what hangs in a room at once
Target = Said | Word  # a bounce off a surface, or a side of the face


@dataclass(frozen=True)
class Outcome:
    """A cast with something done, and how many stops more there are of its light."""

    delta_e: float
    risk: Risk
    stops: float


class Again(Protocol):
    """What a case is in other rooms."""

    def __call__(
        self, rooms: Sequence[Cloths], closed: float
    ) -> Sequence[tuple[FloatArray, FloatArray]]:
        """With each set of cloths hung: (71,) what the camera is balanced to, (71,) what arrives;
        closed as in `importance`.
        """


@dataclass(frozen=True, eq=False)
class Case:
    """A spectrum to mend: whose it is, how it was before, and what it is in another room.

    covered: the surface to blame, or None; weight: (p,) how much each patch matters to it
    own:     what else was tried for it
    """

    light: str
    target: Target
    row: BounceAnswer | SurroundAnswer | WindowLightAnswer
    direct: FloatArray  # (71,) what the camera is balanced to
    before: FloatArray  # (71,) what arrives
    shift: Shift
    covered: str | None
    weight: FloatArray
    again: Again
    own: tuple[RemedyAnswer | None, ...] = ()

    @cached_property
    def _tried(self) -> dict[Cloths, Outcome | None]:
        return {(): self._judged(self.before[None], self.direct)[0]}

    def with_cloths(self, cloths: Cloths) -> Outcome | None:
        """What has come of it with cloths hung, worked out once; None where no light is
        left to judge."""
        if cloths not in self._tried:
            (self._tried[cloths],) = self._outcomes([cloths], CLOSED)
        return self._tried[cloths]

    def roughly(self, rooms: Sequence[Cloths]) -> list[Outcome | None]:
        """The same of several sets of cloths, near enough to tell which does most."""
        return self._outcomes(rooms, ROUGHLY)

    def _outcomes(self, rooms: Sequence[Cloths], closed: float) -> list[Outcome | None]:
        found = self.again(rooms, closed)
        if any(direct is not self.direct for direct, _ in found):
            return [self._judged(spectrum[None], direct)[0] for direct, spectrum in found]
        return self._judged(np.stack([spectrum for _, spectrum in found]), self.direct)

    @property
    def doubt(self) -> float:
        """Half of what the doubt of the surface colours allows of the cast."""
        low, high = self.row.delta_e_range or (0.0, 0.0)
        return (high - low) / 2

    def helped_by(self, row: RemedyAnswer) -> bool:
        """Whether the cast falls by more than its doubt."""
        casts, risks = (
            (row.delta_e_before, row.delta_e_after),
            (row.risk_before, row.risk_after),
        )
        return helps(*casts, self.doubt, *risks)

    def cleaner(self, then: Outcome) -> bool:
        """The same of what has come of it."""
        now = self.shift
        return helps(now.delta_e, then.delta_e, self.doubt, now.risk, then.risk)

    def _judged(self, spectra: FloatArray, direct: FloatArray) -> list[Outcome | None]:
        """What spectra (n, 71) in its place come to against a card; None where no light is left to
        judge.
        """
        share = lux_of(spectra, 1.0) / float(lux_of(self.before, 1.0))
        if not share.min() > 1e-9:
            return [
                self._judged(one[None], direct)[0] if left > 1e-9 else None
                for one, left in zip(spectra, share, strict=True)
            ]
        return [
            Outcome(delta_e, risk, stops)
            for risk, delta_e, stops in zip(
                *casts(direct, spectra), np.log2(share).tolist(), strict=True
            )
        ]

    def after(self, deed: Act, spectrum: FloatArray) -> RemedyAnswer | None:
        """The row of an act for another spectrum in its place; None where no light is left."""
        (then,) = self._judged(spectrum[None], self.direct)
        return None if then is None else self.row_of(deed, then)

    def row_of(self, deed: Act, then: Outcome) -> RemedyAnswer:
        """The row of an act that brings its cast to what has come of it."""
        fell, risks = (self.shift.delta_e, then.delta_e), (self.shift.risk, then.risk)
        return self.bought(deed, "delta_e", fell, risks, then.stops)

    def bought(
        self,
        deed: Act,
        figure: str,
        casts: tuple[float, float],
        risks: tuple[Risk, Risk],
        stops: float,
    ) -> RemedyAnswer:
        """The row of an act that brings its cast from one figure to another."""
        return RemedyAnswer(
            light=self.light,
            target=self.target,
            surface=self.covered,
            action=replace(deed, buys=Change(figure, "delta_e", *casts)),
            delta_e_before=casts[0],
            delta_e_after=casts[1],
            risk_before=risks[0],
            risk_after=risks[1],
            stops_change=stops,
        )

    def weight_of(self, risk: Risk) -> int:
        """How bad a cast of this light is: 0 clean, 1 care, 2 a problem. One that a deep shadow hides
        counts as care, whatever is done: what lifts the shadow also cleans it.
        """
        if risk not in TO_MEND:
            return 0
        row = self.row
        hidden = not isinstance(row, BounceAnswer) and is_deep(row.side, row.contrast_stops)
        return 1 if risk == "medium" or hidden else 2
