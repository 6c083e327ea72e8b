"""Whether what is kept is whole: the database, and every original against its checksum."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import select

from scout import places
from scout.errors import NotFound
from scout.settings import Settings
from scout.store import engine as databases
from scout.store import models
from scout.store.files import ORIGINALS, PACKETS, PART, Disk
from scout.usecases import gates, photos, recordings
from scout.usecases.revisions import file_of
from scout.usecases.work import Work, place_of, utc_now
from scout.values import Name, Said, said

UPLOAD_LASTS = timedelta(hours=1)  # an hour at 300 kB/s is a gigabyte, the largest recording


@dataclass(frozen=True)
class CheckReport:
    """What was looked at and what was found wrong; left_over: files that nothing on record names,
    by their place in the data folder.
    """

    photos: int
    packets: int
    faults: tuple[Said | Name, ...]  # a text where the database itself says it
    unused_originals: int
    recordings: int = 0
    left_over: tuple[str, ...] = ()


def check(work: Work) -> CheckReport:
    """Database integrity, migrations at head, every photo file present and matching its hash, every
    packet likewise.
    """
    faults: list[Said | Name] = [*databases.integrity_faults(work.db.connection())]
    if not databases.is_current(work.settings.url, places.MIGRATIONS):
        # its tables are not those this program knows: nothing further can be asked of them
        return CheckReport(0, 0, (*faults, said("kept.not_newest")), 0)
    faults += [
        *photos.photo_faults(work),
        *recordings.recording_faults(work),
        *gates.faults(work),
    ]
    rows = list(work.db.scalars(select(models.Packet)))
    for row in rows:
        if fault := work.place.fault(file_of(row.id), row.sha256):
            packet = Name(str(row.id))
            faults.append(
                said("kept.packet_fault", packet=packet, revision=row.revision, fault=fault)
            )
    left_over = _left_over(
        work, {file_of(row.id) for row in rows}
    )  # before the rows are asked: what is uploaded meanwhile has its row by then
    named = set(work.db.scalars(select(models.Photo.sha256)))
    heard = set(work.db.scalars(select(models.Recording.sha256)))
    unused = [digest for digest in work.files.all() if digest not in named | heard]
    originals = map(work.files.name, unused)
    return CheckReport(
        len(named), len(rows), tuple(faults), len(unused), len(heard), (*left_over, *originals)
    )


def mend(work: Work, left_over: Iterable[str]) -> int:
    """Take away what a check found left over, if it has lain there for longer than any upload takes;
    returns how many files went.
    """
    before = _before(work.now())
    taken, here = 0, Disk(work.settings.data_dir)
    for name in left_over:
        place = here if PART in name else work.place  # what is written begins on this machine
        with suppress(NotFound):  # somebody else took it away meanwhile
            if place.held(name).changed_at < before:
                place.drop(name)
                taken += 1
    return taken


def sweep(settings: Settings) -> None:
    """Take away what uploads left that were cut off by the server's own end, old enough to be
    nobody's: at each start, for nobody need know of it. `mend` looks further.
    """
    before = _before(utc_now())
    for folder in (settings.data_dir, place_of(settings).scratch):
        for part in folder.glob(f"{PART}*"):
            with suppress(OSError):  # another process took it away, or the folder is not ours
                if part.stat().st_mtime < before:
                    part.unlink()


def _before(now: datetime) -> float:
    return (now - UPLOAD_LASTS).timestamp()


def _left_over(work: Work, packets: set[str]) -> list[str]:
    """Parts of writes that were cut off, and whatever else lies among the originals and packets
    without being one.
    """
    names = [held.name for held in work.place.entries(ORIGINALS)]
    found = [name for name in names if name != work.files.name(name.rpartition("/")[2])]
    found += [held.name for held in work.place.entries(PACKETS) if held.name not in packets]
    root, cache = work.settings.data_dir, work.settings.cache_dir
    parts = [*sorted(root.glob(f"{PART}*")), *sorted(cache.rglob(f"{PART}*"))]
    return found + [path.relative_to(root).as_posix() for path in parts if path.is_file()]
