"""Writers of SQLite within one process, first come, first served.

SQLite lets one write at a time, and whoever finds it taken sleeps and looks again, ever longer: the
next to come, awake, goes first, and under load somebody's save is always the one that sleeps. Other
processes still meet at SQLite's own door, a few at most.
"""

from __future__ import annotations

import sqlite3
from collections import deque
from threading import Event, Lock
from typing import Any

from sqlalchemy import Connection, Engine, event
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.exc import OperationalError
from sqlalchemy.pool import ConnectionPoolEntry

AT_WORK = "sillbook_writes"


class Line:
    """Those who wait, in their order; the first of them is at work."""

    def __init__(self) -> None:
        self._all: deque[Event] = deque()
        self._lock = Lock()

    def enter(self, most_s: float) -> bool:
        """Wait for one's turn; whether it came within that time."""
        mine = Event()
        with self._lock:
            self._all.append(mine)
            if self._all[0] is mine:
                return True
        if mine.wait(most_s):
            return True
        with self._lock:
            if self._all[0] is mine:  # at the last moment
                return True
            self._all.remove(mine)
        return False

    def leave(self) -> None:
        """Let the next one in."""
        with self._lock:
            self._all.popleft()
            if self._all:
                self._all[0].set()


def in_line(of: Engine) -> Line:
    """The line in front of an engine. Whoever entered for a connection leaves as it commits or rolls
    back (the next one, and nobody else, meets it at SQLite's door for that moment), or as it goes back
    to the pool where it came to neither.
    """
    line = Line()

    def leave(info: dict[Any, Any]) -> None:
        if info.pop(AT_WORK, False):
            line.leave()

    @event.listens_for(of, "commit")
    @event.listens_for(of, "rollback")
    def _ended(connection: Connection) -> None:
        leave(connection.info)

    @event.listens_for(of, "checkin")
    def _given_back(_connection: DBAPIConnection | None, entry: ConnectionPoolEntry) -> None:
        leave(entry.info)

    return line


def take_turn(line: Line, info: dict[Any, Any], most_s: float) -> None:
    """Enter for a connection. Raises OperationalError, as SQLite does where it waited in vain."""
    if not line.enter(most_s):
        locked = sqlite3.OperationalError("database is locked")
        raise OperationalError("BEGIN IMMEDIATE", None, locked)
    info[AT_WORK] = True
