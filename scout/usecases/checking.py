"""Whether what is kept is whole: the database, and every original against its checksum."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select

from scout import places
from scout.store import engine as databases
from scout.store import models
from scout.store.files import hash_of
from scout.usecases import photos, recordings
from scout.usecases.work import Work


@dataclass(frozen=True)
class CheckReport:
    """What was looked at and what was found wrong."""

    photos: int
    packets: int
    faults: tuple[str, ...]
    unused_originals: int


def check(work: Work) -> CheckReport:
    """Database integrity, migrations at head, every photo file present and matching its hash, every packet likewise."""
    faults = list(databases.integrity_faults(work.db.connection()))
    if not databases.is_current(work.settings.url, places.MIGRATIONS):
        # its tables are not those this program knows: nothing further can be asked of them
        return CheckReport(0, 0, (*faults, "the database is not at the newest revision; start `scout serve` once, which brings it up to date"), 0)
    faults += [*photos.photo_faults(work), *recordings.recording_faults(work)]
    rows = list(work.db.scalars(select(models.Packet)))
    for row in rows:
        path = work.packets_dir / f"{row.id}.pdf"
        if not path.is_file():
            faults.append(f"packet {row.id} (revision {row.revision}) is missing; print it again")
        elif hash_of(path) != row.sha256:
            faults.append(f"packet {row.id} (revision {row.revision}) does not hold what was written")
    named = set(work.db.scalars(select(models.Photo.sha256)))
    kept = named | set(work.db.scalars(select(models.Recording.sha256)))
    held = list(work.files.all())
    return CheckReport(len(named), len(rows), tuple(faults), sum(digest not in kept for digest in held))
