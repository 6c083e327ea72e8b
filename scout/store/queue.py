"""What wakes workers: a queue beside the database, in a file of the data folder or on the same
PostgreSQL. It carries keys alone and may be lost at any time; what was asked stands in `printing`.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from typing import Any

import psycopg
from huey import Huey, PostgresHuey, SqliteHuey
from huey.constants import EmptyData
from sqlalchemy.engine import make_url

NAME = "sillbook"
TASK = "printing"
SIGN = "sign"
# the queue speaks to its database by itself
FAILURES: tuple[type[Exception], ...] = (sqlite3.Error, psycopg.Error)
Run = Callable[[str], None]


class Queue:
    """The queue of one installation, as one process sees it. `run` is what a worker does with a key."""

    def __init__(self, huey: Huey) -> None:
        self.huey = huey
        self.run: Run | None = None
        self._task = huey.task(name=TASK)(self._carried)

    def _carried(self, key: str) -> None:
        if self.run is not None:
            self.run(key)

    def send(self, key: str) -> None:
        """Wake a worker, in whichever process it waits."""
        self._task(key)

    def sign(self, now: datetime) -> None:
        """Note that a worker is there. It stands here, not in a table of ours: pages that hold for as
        long as nobody commits would end with it.
        """
        self.huey.storage.put_data(SIGN, now.isoformat().encode())

    def last_sign(self) -> datetime | None:
        """When a worker was last there; None: none ever was."""
        found = self.huey.storage.peek_data(SIGN)
        return None if found is EmptyData else datetime.fromisoformat(bytes(found).decode())


@lru_cache(maxsize=128)  # of as many workspaces
def queue(url: str, folder: Path) -> Queue:
    """The queue of an installation; made once a process."""
    if not url.startswith("sqlite"):
        parsed = make_url(url).set(drivername="postgresql")
        dsn = parsed.render_as_string(hide_password=False)
        return Queue(PostgresHuey(NAME, results=False, dsn=dsn, table_prefix=f"{NAME}_queue"))
    path = folder / "queue.db"
    if not path.exists():
        os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
    options: dict[str, Any] = {"filename": str(path), "fsync": False, "strict_fifo": True}
    return Queue(SqliteHuey(NAME, results=False, **options))
