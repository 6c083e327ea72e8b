"""Deciding on a room: who, when, why, and the facts as they stood."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select

from scout.calc.choice.weights import Pair, pair_weights
from scout.records import CandidateRecord
from scout.records.kept import MOST_WEIGHT, SceneRecord
from scout.store import models, translate
from scout.store.queries import common, jobs
from scout.usecases import keeping, lines, productions
from scout.usecases.work import Work


@dataclass(frozen=True)
class Decided:
    """What was decided for a scene. `held`: the facts as they stood."""

    room_name: str
    candidate_id: int
    at: datetime
    by: str | None
    why: str | None
    facts_sha256: str
    held: Mapping[str, Any]


def decide(
    work: Work,
    candidate_id: int,
    version: int,
    record: CandidateRecord,
    facts_sha256: str,
    held: Mapping[str, Any],
) -> None:
    """Where the choice stands for a room, and why; a first choice is a decision: the facts are kept
    as they stand, and what was first before becomes the reserve. Raises NotFound, Stale.
    """
    row = common.one(work.db, models.Candidate, candidate_id)
    if record.state == "first_choice" and row.version == version:
        for other in jobs.candidates(work.db, scene_id=row.scene_id):
            if other.id != row.id and other.state == "first_choice":
                other.state = "reserve"
                work.changed(other, f"{lines.room_name(other.room)} is no longer the first choice")
        decision = models.Decision(
            scene_id=row.scene_id,
            candidate_id=row.id,
            at=work.now(),
            by=work.name,
            why=record.reason,
            facts_sha256=facts_sha256,
            held=dict(held),
        )
        work.add(decision, f"{lines.room_name(row.room)} chosen for {row.scene.name}")
    productions.save_candidate(work, candidate_id, version, record)


def decided(work: Work, scene_id: int) -> Decided | None:
    """The last decision for a scene, as long as its room is still the first choice."""
    row = work.db.scalar(
        select(models.Decision)
        .where(models.Decision.scene_id == scene_id)
        .order_by(models.Decision.id.desc())
        .limit(1)
    )
    if row is None:
        return None
    candidate = work.db.get(models.Candidate, row.candidate_id)
    if candidate is None or candidate.binned_at is not None or candidate.state != "first_choice":
        return None
    return Decided(
        lines.room_name(candidate.room),
        candidate.id,
        row.at,
        row.by,
        row.why,
        row.facts_sha256,
        row.held,
    )


def weigh(work: Work, scene_id: int, version: int, pairs: Sequence[Pair]) -> float:
    """Weights of what a scene prefers, from choices between two at a time (by their order among the
    preferred); returns the greatest factor by which a choice misses them. Raises NotFound, Stale,
    and Refused when the choices do not hang together.
    """
    row = jobs.scene(work.db, scene_id)
    scene: SceneRecord = translate.to_record(row)
    preferred = [at for at, need in enumerate(scene.needs or ()) if need.strength == "wish"]
    weights, misses = pair_weights(len(preferred), pairs)
    needs = list(scene.needs or ())
    for at, share in zip(preferred, weights, strict=True):
        weight = max(1, round(float(share) * MOST_WEIGHT))
        needs[at] = needs[at].model_copy(update={"weight": weight})
    weighed = scene.model_copy(update={"needs": tuple(needs)})
    words = f"scene {scene.name} weighed two needs at a time"
    keeping.save(work, models.Scene, scene_id, version, weighed, words)
    return misses
