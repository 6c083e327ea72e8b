"""Noises that come back at a place: recorded, listed, binned."""

from __future__ import annotations

from scout.records.sounds import NoiseWindowRecord
from scout.store import models, translate
from scout.store.queries import common, sounds
from scout.usecases import keeping
from scout.usecases.notes import owner_of
from scout.usecases.shown import Kept
from scout.usecases.work import Work


def add_noise_window(work: Work, location_id: int, record: NoiseWindowRecord) -> int:
    """Record a noise that comes back; returns its key. Raises NotFound."""
    owner_of(work, "location", location_id)
    row = models.NoiseWindow(location_id=location_id)
    translate.fill(row, record)
    work.add(row, "recurring noise added")
    work.commit()
    return row.id


def noise_windows(work: Work, location_id: int) -> tuple[Kept[NoiseWindowRecord], ...]:
    """A place's recurring noises, by the hour."""
    return tuple(
        keeping.shown(row, translate.to_record(row))
        for row in sounds.noise_windows(work.db, location_id)
    )


def bin_noise_window(work: Work, key: int, version: int) -> None:
    """Move a recurring noise to the bin."""
    keeping.bin_row(
        work,
        common.one(work.db, models.NoiseWindow, key),
        version,
        "recurring noise moved to the bin",
    )
