"""Candidate rooms side by side: a row a need, a cell a room, each with its figure and its reason;
no score is ever summed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from scout.assess.choice import place_needs, power_needs, room_needs, setup_needs
from scout.assess.choice.cells import MEETS, CandidateFacts, Case, NeedCell, listed
from scout.assess.choice.dates import OnDate, cells_over_dates, on_dates
from scout.assess.choice.scales import settled
from scout.records.kept import Need, SceneRecord
from scout.values import Said, said

_FAMILIES = (room_needs, setup_needs, power_needs, place_needs)
_JUDGES: dict[str, Callable[[Any, Case], NeedCell]] = {
    topic: judge for family in _FAMILIES for topic, judge in family.JUDGES.items()
}
_ASKED: dict[str, Callable[[Any], Said]] = {
    topic: asked for family in _FAMILIES for topic, asked in family.ASKED.items()
}


@dataclass(frozen=True)
class NeedRow:
    """One need across all candidates, in their order."""

    topic: str
    need: Said
    strength: Literal["must", "wish"]
    weight: int | None  # of what is preferred against the rest of it; the required has none
    cells: tuple[NeedCell, ...]


@dataclass(frozen=True)
class ComparedCandidate:
    """A candidate at the head of its column, with plain counts instead of a score. What does not
    apply is not counted.
    """

    candidate_id: int
    room_id: int
    room_name: str
    location_name: str
    state: str
    reason: str | None
    summary: Said
    on: date
    dates: tuple[OnDate, ...] = ()  # from worst to best, where none is chosen yet
    on_dates: Said | None = None


@dataclass(frozen=True)
class Comparison:
    """The comparison of one scene."""

    scene: str
    on: date
    candidates: tuple[ComparedCandidate, ...]
    rows: tuple[NeedRow, ...]


def compare(scene: SceneRecord, on: date, candidates: Sequence[CandidateFacts]) -> Comparison:
    """The scene's needs against every candidate, each need judged on its own."""
    judged = [cells_over_dates(scene, facts, _JUDGES) for facts in candidates]
    rows = tuple(
        NeedRow(
            need.topic,
            need_words(need),
            need.strength,
            need.weight if need.strength == "wish" else None,
            tuple(cells[at] for cells, _ in judged),
        )
        for at, need in enumerate(scene.needs or ())
    )
    heads = tuple(
        _head(facts, list(zip(rows, cells, strict=True)), dates)
        for facts, (cells, dates) in zip(candidates, judged, strict=True)
    )
    return Comparison(scene.name, on, heads, rows)


def cells_of(scene: SceneRecord, facts: CandidateFacts) -> tuple[NeedCell, ...]:
    """How one room meets each of a scene's needs."""
    case = Case(facts, scene)
    return tuple(settled(need, _JUDGES[need.topic](need, case)) for need in scene.needs or ())


def _head(
    facts: CandidateFacts, cells: Sequence[tuple[NeedRow, NeedCell]], dates: tuple[OnDate, ...]
) -> ComparedCandidate:
    applying = [(row, cell) for row, cell in cells if cell.level != "outside"]
    required = [cell.level for row, cell in applying if row.strength == "must"]
    preferred = [(row.weight or 0, cell) for row, cell in applying if row.strength == "wish"]
    parts = []
    if required:
        parts.append(
            said(
                "need.required_met",
                met=sum(MEETS[level] is True for level in required),
                of=len(required),
                care=required.count("care") or None,
                failed=required.count("fail") or None,
                unknown=required.count("unknown") or None,
            )
        )
    if preferred:
        met = sum(weight for weight, cell in preferred if MEETS[cell.level])
        total = sum(weight for weight, _ in preferred)
        parts.append(said("need.preferred_met", met=met, of=total))
    return ComparedCandidate(
        facts.candidate_id,
        facts.room_id,
        facts.room_name,
        facts.location.name,
        facts.candidate.state,
        facts.candidate.reason,
        listed(*parts) if parts else said("need.none"),
        facts.assessment.date,
        dates,
        on_dates(dates),
    )


def need_words(need: Need) -> Said:
    """A need as it is said."""
    return _ASKED[need.topic](need)
