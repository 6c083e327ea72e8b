"""Setups of the rooms that are proposed: made with the proposal, changed, added, binned."""

from __future__ import annotations

from itertools import zip_longest

from scout.records import SceneRecord, SetupRecord
from scout.records.setups import setups_asked
from scout.store import models, translate
from scout.store.queries import common
from scout.usecases import keeping, lines
from scout.usecases.shown import CandidateLine, Kept
from scout.usecases.work import Work


def add_setup(work: Work, candidate_id: int, record: SetupRecord) -> int:
    """Add a setup to a room that is proposed; returns its key. Raises NotFound."""
    candidate = common.one(work.db, models.Candidate, candidate_id)
    row = _make(work, candidate, record)
    work.commit()
    return row.id


def setup(work: Work, key: int) -> tuple[Kept[SetupRecord], CandidateLine]:
    """A setup, and the proposal it belongs to. Raises NotFound."""
    row = common.one(work.db, models.Setup, key)
    return keeping.shown(row, translate.to_record(row)), lines.candidate_line(row.candidate)


def save_setup(work: Work, key: int, version: int, record: SetupRecord) -> None:
    """Save a setup over the version it was opened at. Raises NotFound, Stale."""
    row = common.one(work.db, models.Setup, key)
    words = f"setup of {row.candidate.scene.name} in {lines.room_name(row.candidate.room)} changed"
    keeping.save(work, models.Setup, key, version, record, words)


def bin_setup(work: Work, key: int, version: int) -> None:
    """Move a setup to the bin. Raises NotFound, Stale."""
    row = common.one(work.db, models.Setup, key)
    words = f"setup of {row.candidate.scene.name} moved to the bin"
    keeping.bin_row(work, row, version, words)


def make(work: Work, candidate: models.Candidate) -> None:
    """The setups that its scene asks for, where a proposal has none; without committing."""
    if translate.alive(candidate.setups):
        return
    for record in setups_asked(translate.to_record(candidate.scene)):
        _make(work, candidate, record)


def follow(work: Work, scene: models.Scene, before: SceneRecord, after: SceneRecord) -> None:
    """A scene's dates, hours or framing changed: setups that are still as they were made are made
    anew; those that somebody changed stay. Without committing.
    """
    old, new = setups_asked(before), setups_asked(after)
    if old == new:
        return
    for candidate in translate.alive(scene.candidates):
        rows = translate.alive(candidate.setups)
        if tuple(translate.to_record(row) for row in rows) != old:
            continue
        for row, record in zip_longest(rows, new):
            if row is None:
                _make(work, candidate, record)
            elif record is None:
                row.binned_at, row.binned_by = work.now(), work.name
                work.changed(row, f"setup of {scene.name} moved to the bin")
            else:
                translate.fill(row, record)
                work.changed(row, f"setup of {scene.name} follows its scene")


def _make(work: Work, candidate: models.Candidate, record: SetupRecord) -> models.Setup:
    words = f"setup of {candidate.scene.name} added"  # read first: reading flushes
    row = models.Setup(candidate=candidate)
    translate.fill(row, record)
    work.add(row, words)
    return row
