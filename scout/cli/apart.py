"""Workers in processes of their own beside the pages: whoever reads or saves shares no core's time,
interpreter or memory with a packet at work.
"""

from __future__ import annotations

import logging
import os
import pickle
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from sqlalchemy.exc import SQLAlchemyError

import scout
from scout import workspaces
from scout.errors import ScoutError
from scout.settings import Settings
from scout.store.queue import FAILURES, queue
from scout.usecases import printings
from scout.usecases.work import open_work, utc_now

log = logging.getLogger("scout.work")
FIRST_PAUSE_S, LONGEST_PAUSE_S = 0.5, 60.0  # before one that ended is started again
SOUND_S = 120.0  # one that lived so long did not end of what it meets at its start
STOPPING_S = 5.0
REST_S = 300.0  # one that nobody wanted a packet of for so long ends
POLL_S, SIGN_S = 0.5, 20.0
NICE = 5  # a third of the core where pages want it all: they come first, and a packet still gets on


def wanted(settings: Settings, *, sign: bool = False) -> int:
    """How many packets are waited for in all groups that answer. `sign`: note that they are printed."""
    count = 0
    with suppress(ScoutError):
        for own in workspaces.of_each(settings).values():
            with suppress(ScoutError, SQLAlchemyError, OSError, *FAILURES):
                with open_work(own, reading=True) as work:
                    count += printings.open_count(work)
                if sign:
                    queue(own.url, own.data_dir).sign(utc_now())
    return count


class _Apart:
    """One process that prints, and a thread that starts it when somebody wants a packet that those
    before it in number have no hands for, and again when it ends over one. Meanwhile there is none: it
    keeps hundreds of megabytes.

    It reads its standard input until that ends, which it does with this process however this one
    ends: by a key, by a signal, killed. So none is left behind on any system.
    """

    def __init__(self, settings: Settings, number: int) -> None:
        self.settings, self.number = settings, number
        self._signed_at = float("-inf")
        self._child: subprocess.Popen[bytes] | None = None
        self._over, self._lock = threading.Event(), threading.Lock()
        self._watching = threading.Thread(target=self._watch, name="printing-apart", daemon=True)
        self._watching.start()

    def _watch(self) -> None:
        pause_s = FIRST_PAUSE_S
        while not self._over.is_set():
            if not self._wanted():
                continue
            begun, code = time.monotonic(), None
            try:
                with self._lock:
                    if self._over.is_set():
                        return
                    self._child = begin(self.settings)
                code = self._child.wait()
                with self._lock:
                    _close(self._child)
            except OSError as error:  # no memory, no process to be had: tried again
                log.warning("no process that prints: %s", type(error).__name__)
            if self._over.is_set():
                return
            if code == 0:  # nobody wants anything
                continue
            if time.monotonic() - begun > SOUND_S:
                pause_s = FIRST_PAUSE_S
            log.warning("the process that prints ended (%s), started again", code)
            self._over.wait(pause_s)
            pause_s = min(2 * pause_s, LONGEST_PAUSE_S)

    def _wanted(self) -> bool:
        """Whether somebody waits; else after a while. Whoever prints gives signs; while nobody does, this
        says for them that packets are printed.
        """
        due = time.monotonic() - self._signed_at >= SIGN_S
        if due:
            self._signed_at = time.monotonic()
        if wanted(self.settings, sign=due) > self.number:
            return True
        self._over.wait(POLL_S)
        return False

    def ask_to_stop(self) -> None:
        """Let it end; what it is at is printed anew by whoever works next."""
        with self._lock:
            self._over.set()
            if self._child is not None:
                _close(self._child)

    def wait(self) -> None:
        """Until it ended."""
        if self._child is not None:
            try:
                self._child.wait(STOPPING_S)
            except subprocess.TimeoutExpired:
                self._child.kill()
        self._watching.join(STOPPING_S)


def _close(child: subprocess.Popen[bytes]) -> None:
    assert child.stdin is not None
    child.stdin.close()


def sent_settings() -> Settings:
    """The settings of the pages that this process prints for: no command line shows them, and no
    variable has to name what a command chose.
    """
    found = pickle.load(sys.stdin.buffer)  # noqa: S301  # its own parent wrote it
    if not isinstance(found, Settings):
        raise TypeError(type(found))
    return found


def begin(settings: Settings) -> subprocess.Popen[bytes]:
    """A process that prints for as long as its standard input is open."""
    env = dict(os.environ)
    # the same code, from wherever this process has it
    home = str(Path(scout.__file__).parents[1])
    env["PYTHONPATH"] = os.pathsep.join(filter(None, (home, env.get("PYTHONPATH"))))
    command = [sys.executable, "-m", "scout", "work", "--beside", str(REST_S)]
    own: dict[str, Any]
    if sys.platform == "win32":
        low = subprocess.BELOW_NORMAL_PRIORITY_CLASS
        own = {"creationflags": low | subprocess.CREATE_NEW_PROCESS_GROUP}
    else:
        own = {"start_new_session": True}  # a key on the terminal is for who serves
    child = subprocess.Popen(  # noqa: S603
        command, env=env, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, **own
    )
    assert child.stdin is not None
    pickle.dump(settings, child.stdin)
    child.stdin.flush()
    return child


@contextmanager
def workers_apart(settings: Settings, count: int = 1) -> Iterator[None]:
    """So many processes that print when there is something to, for as long as the block lasts."""
    made = [_Apart(settings, number) for number in range(count)]
    try:
        yield
    finally:
        for one in made:
            one.ask_to_stop()
        for one in made:
            one.wait()
