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
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import scout
from scout.settings import Settings

log = logging.getLogger("scout.work")
FIRST_PAUSE_S, LONGEST_PAUSE_S = 0.5, 60.0  # before one that ended is started again
SOUND_S = 120.0  # one that lived so long did not end of what it meets at its start
STOPPING_S = 5.0
NICE = 5  # a third of the core where pages want it all: they come first, and a packet still gets on


class _Apart:
    """One process that prints, and a thread that starts it again whenever it ends.

    It reads its standard input until that ends, which it does with this process however this one
    ends: by a key, by a signal, killed. So none is left behind on any system.
    """

    def __init__(self, settings: Settings) -> None:
        self.settings = settings
        self._child: subprocess.Popen[bytes] | None = None
        self._over, self._lock = threading.Event(), threading.Lock()
        self._watching = threading.Thread(target=self._watch, name="printing-apart", daemon=True)
        self._watching.start()

    def _watch(self) -> None:
        pause_s = FIRST_PAUSE_S
        while not self._over.is_set():
            begun, code = time.monotonic(), None
            try:
                with self._lock:
                    if self._over.is_set():
                        return
                    self._child = begin(self.settings)
                code = self._child.wait()
            except OSError as error:  # no memory, no process to be had: tried again
                log.warning("no process that prints: %s", type(error).__name__)
            if self._over.is_set():
                return
            if time.monotonic() - begun > SOUND_S:
                pause_s = FIRST_PAUSE_S
            log.warning("the process that prints ended (%s), started again", code)
            self._over.wait(pause_s)
            pause_s = min(2 * pause_s, LONGEST_PAUSE_S)

    def ask_to_stop(self) -> None:
        """Let it end; what it is at is printed anew by whoever works next."""
        with self._lock:
            self._over.set()
            if self._child is not None and self._child.stdin is not None:
                self._child.stdin.close()

    def wait(self) -> None:
        """Until it ended."""
        if self._child is not None:
            try:
                self._child.wait(STOPPING_S)
            except subprocess.TimeoutExpired:
                self._child.kill()
        self._watching.join(STOPPING_S)


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
    command = [sys.executable, "-m", "scout", "work", "--beside"]
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
    """So many processes that print, for as long as the block lasts."""
    made = [_Apart(settings) for _ in range(count)]
    try:
        yield
    finally:
        for one in made:
            one.ask_to_stop()
        for one in made:
            one.wait()
