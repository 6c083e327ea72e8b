"""A cell of the comparison: how one room meets one need, and how the figure it rests on may lie."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from scout.assess.answers import Level, RoomAssessment
from scout.calc.power.current import CONTINUOUS_SHARE
from scout.records.kept import CandidateRecord, LocationRecord, SceneRecord, WhenNeed
from scout.records.sheet import Kit, RoomRecord
from scout.records.sounds import NoiseWindowRecord
from scout.values import Figure, Many, Name, Said, Value, said

CellLevel = Literal["pass", "care", "fail", "unknown", "outside"]
CELL_LEVELS: Mapping[Level, CellLevel] = {
    "good": "pass",
    "care": "care",
    "problem": "fail",
    "unknown": "unknown",
    "outside": "outside",
}
# whether a cell meets its need, the same in comparison, choice, dates and on paper: one with care does,
# as long as somebody sees to what it says; of one that is not known it cannot be told, and it is not
# counted
MEETS: Mapping[CellLevel, bool | None] = {
    "pass": True,
    "care": True,
    "outside": True,
    "fail": False,
    "unknown": None,
}
WORSE: tuple[CellLevel, ...] = ("outside", "pass", "care", "unknown", "fail")


@dataclass(frozen=True)
class Reading:
    """The figure a cell rests on, on its need's scale, and between which it lies: about it where
    somebody measured it; anywhere between where nobody did, and `figure` is None.
    """

    figure: float | None
    low: float
    high: float

    @classmethod
    def about(cls, figure: float, doubt: float = 0.0) -> Reading:
        """One that was measured, with its doubt either way."""
        return cls(figure, figure - doubt, figure + doubt)

    @classmethod
    def between(cls, low: float, high: float) -> Reading:
        """One that nobody measured."""
        return cls(None, low, high)


@dataclass(frozen=True)
class NeedCell:
    """How one room meets one need; `outside`: the need does not apply there.

    order: what is shown as a figure of which more is better, to be read against other rooms; None:
        the reading's, or none
    """

    level: CellLevel
    figure: Value | None
    why: Said
    reading: Reading | None = None  # None: the level is all there is
    order: float | None = None


@dataclass(frozen=True)
class CandidateFacts:
    """Everything known of one candidate when it is compared."""

    candidate_id: int
    room_id: int
    room_name: str
    candidate: CandidateRecord
    location: LocationRecord
    room: RoomRecord
    assessment: RoomAssessment
    kit: Kit | None = None  # that the room was assessed with, or waits to be
    noises: tuple[NoiseWindowRecord, ...] = ()  # that come back at the place
    location_id: int = 0
    other_dates: tuple[RoomAssessment, ...] = ()  # where the date is not chosen yet

    @property
    def continuous_share(self) -> float:
        """How much of a breaker is planned for hours."""
        return (self.kit.continuous_share if self.kit else None) or CONTINUOUS_SHARE


@dataclass(frozen=True)
class Case:
    facts: CandidateFacts
    scene: SceneRecord

    @property
    def whens(self) -> list[WhenNeed]:
        """The dates and hours that the scene asks for."""
        return [need for need in self.scene.needs or () if isinstance(need, WhenNeed)]


def metres(value: float) -> Figure:
    return Figure(value, "m")


def money(amount: float, currency: str | None) -> Said:
    value = int(amount) if float(amount).is_integer() else Figure(amount)
    return said("need.money", amount=value, currency=Name(currency) if currency else None)


def listed(*parts: Value | None) -> Said:
    given = tuple(part for part in parts if part is not None)
    return said("need.list", parts=Many(given, "list"))


def unknown(because: Any, reading: Reading | None = None) -> NeedCell:
    """A cell of what nobody measured; the reason is another family's."""
    return NeedCell("unknown", said("need.not_measured"), because, reading)
