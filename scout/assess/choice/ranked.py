"""The shapes of a choice: its rooms in their order, what each is made up of, what to measure next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from scout.assess.answers import Act
from scout.assess.choice.cells import NeedCell
from scout.assess.choice.compare import ComparedCandidate, Comparison
from scout.values import Said

Status = Literal["met", "not_met", "unknown"]


@dataclass(frozen=True)
class Part:
    """What one need adds to a room: its cell, how it stands, and for what is preferred its share
    of the total.
    """

    topic: str
    need: Said
    required: bool
    status: Status
    weight: float
    worth: float  # 0 to 1 by its curve
    adds: float  # of the total
    cell: NeedCell


@dataclass(frozen=True)
class Ranked:
    """A room in the order of the choice.

    met, asked:  of the required
    first_share: how often it comes first when facts and weights are drawn
    alike:       it cannot be told from the first
    beaten:      the room that shows no worse in any need and better in some
    behind:      the needs in which its cell shows worse than the first's and counts for less, most
                 first; `dark`: those of which nobody knows here, and the first has a cell
    """

    head: ComparedCandidate
    met: int
    asked: int
    missing: tuple[str, ...]
    total: float
    first_share: float
    alike: bool
    beaten: str | None
    behind: tuple[str, ...]
    dark: tuple[str, ...]
    parts: tuple[Part, ...]
    acts: tuple[Act, ...]

    @property
    def known(self) -> bool:
        """Whether anything that is asked is known of it: without that its share is a guess drawn."""
        return any(part.cell.level not in ("unknown", "outside") for part in self.parts)


@dataclass(frozen=True)
class MeasureNext:
    """A doubtful or missing fact, how often knowing it would put another room first, and at which
    figure.
    """

    fact: Said
    topic: str
    room_id: int
    room_name: str
    changes_share: float
    at: Said | None
    instead: str | None


@dataclass(frozen=True)
class Choosing:
    """The choice for one scene. `line`: the answer in a sentence or two; `notes`: what is odd about
    the question; `turns`: the smallest changes that put another room first.
    """

    comparison: Comparison
    ranked: tuple[Ranked, ...]
    measure_next: tuple[MeasureNext, ...]
    line: tuple[Said, ...]
    turns: tuple[Said, ...]
    notes: tuple[Said, ...]
