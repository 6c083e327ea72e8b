"""What a watcher asks of an installation: whether it can serve, and what waits. No fact, no secret."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import timedelta

from sqlalchemy import func, select

from scout import places
from scout.errors import ScoutError
from scout.settings import Settings
from scout.store import engine as databases
from scout.store.models import Printing, Recording
from scout.store.queue import FAILURES, queue
from scout.usecases.work import Work, open_work, utc_now

SILENT = timedelta(seconds=90)  # workers give a sign every twenty; a busy disk may cost one or two


@dataclass(frozen=True)
class Standing:
    """What answers, and how long ago a worker gave a sign; None: none ever did."""

    database: bool
    migrations: bool
    files: bool
    worker_s: float | None

    @property
    def ready(self) -> bool:
        """Whether pages can be served; packets may wait for a worker meanwhile."""
        return self.database and self.migrations and self.files

    @property
    def working(self) -> bool:
        """Whether a worker was heard of lately."""
        return self.worker_s is not None and self.worker_s <= SILENT.total_seconds()


def standing(settings: Settings) -> Standing:
    """Ask database, files and queue. Nothing is raised: what does not answer is said."""
    database = migrations = files = False
    worker_s = None
    with suppress(ScoutError, *FAILURES):
        with open_work(settings, reading=True) as work:
            work.db.scalar(select(1))
            database = True
            migrations = databases.at_newest(settings.url, places.MIGRATIONS)
            files = work.place.answers()
        sign = queue(settings.url, settings.data_dir).last_sign()
        worker_s = None if sign is None else (utc_now() - sign).total_seconds()
    return Standing(database, migrations, files, worker_s)


def jobs(work: Work) -> Mapping[tuple[str, str], int]:
    """How many packets and recordings there are, by kind and state."""
    found = {
        ("packet", "waiting"): 0,
        ("packet", "printing"): 0,
        ("packet", "failed"): 0,
        ("recording", "waiting"): 0,
        ("recording", "failed"): 0,
    }
    for kind, row in (("packet", Printing), ("recording", Recording)):
        for state, count in work.db.execute(select(row.state, func.count()).group_by(row.state)):
            if (kind, state) in found:
                found[kind, state] = count
    return found
