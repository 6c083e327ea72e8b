"""Backups: everything in one file, or in a folder that keeps each photo once, and back again."""

from __future__ import annotations

from pathlib import Path

from scout.errors import Refused
from scout.store.files import Disk, FileStore
from scout.usecases.archive import FILES, Progress, export_all, import_all, proved
from scout.usecases.work import Work
from scout.values import said

NAMED = "sillbook-{:%Y%m%dT%H%M%S%fZ}.zip"


def back_up(work: Work, target: Path, progress: Progress | None = None) -> tuple[Path, int]:
    """Write a backup, read it back against its sums, and return its file and how many originals it
    holds. Raises Damaged.

    target: a file (name.zip), which then holds everything; or a folder, in which originals and
        packets lie once beside the rows of each backup, so that a further one costs what is new
    """
    whole = target.suffix.lower() == ".zip" and not target.is_dir()
    out = target if whole else target / NAMED.format(work.now())
    count = export_all(work, out, progress, None if whole else FileStore(Disk(target / FILES)))
    proved(out)
    return out, count


def found(source: Path) -> Path:
    """The backup meant: the file itself, or the newest of a folder. Raises Refused."""
    if not source.is_dir():
        return source
    there = sorted(source.glob("sillbook-*.zip"))
    if not there:
        raise Refused("SOURCE", str(source), said("kept.no_backup"))
    return there[-1]


def restore(work: Work, source: Path, progress: Progress | None = None) -> tuple[Path, int]:
    """Bring a backup into an empty database; returns its file and how many originals came. Raises
    Refused, Damaged; nothing comes in then.
    """
    backup = found(source)
    return backup, import_all(work, backup, progress)
