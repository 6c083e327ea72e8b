"""What is done beside the requests: recordings are measured, one after the other, each telling how far
it is; photos that phones sent are drawn when no more of them come.
"""

from __future__ import annotations

import logging
import threading
import time

from flask import Flask, request

from scout.errors import ScoutError
from scout.settings import Settings
from scout.usecases import photos, recordings
from scout.usecases.work import Who, open_work
from scout.web.security import UPLOADS

DRAWER = "drawer"
QUIET_S = 1.0  # so long no photo has come before those that came are drawn
log = logging.getLogger("scout.web.listening")


class Listener:
    """Measures kept recordings in the background of one process."""

    def __init__(self, settings: Settings) -> None:
        self.settings = settings
        self._done: dict[int, tuple[int, int]] = {}
        self._book = threading.Lock()
        self._turn = threading.Lock()

    def start(self, key: int, who: Who | None) -> None:
        """Begin with one, unless it is begun already."""
        with self._book:
            if key in self._done:
                return
            self._done[key] = (0, 0)
        threading.Thread(
            target=self._run, args=(key, who), name=f"recording-{key}", daemon=True
        ).start()

    def progress(self, key: int) -> tuple[int, int] | None:
        """Seconds measured and seconds there are; None when it is not being measured here."""
        with self._book:
            return self._done.get(key)

    def _note(self, key: int, done: int, of: int) -> None:
        with self._book:
            self._done[key] = (done, of)

    def _run(self, key: int, who: Who | None) -> None:
        try:
            with self._turn, open_work(self.settings, who) as work:
                recordings.measure_recording(
                    work, key, progress=lambda done, of: self._note(key, done, of)
                )
        except ScoutError as error:
            log.warning("recording %s was not measured: %s", key, type(error).__name__)
        # the thread's last line of defence: the row stays waiting and is tried again when it is
        # looked at
        except Exception:
            log.exception("recording %s could not be measured", key)
        finally:
            with self._book:
                self._done.pop(key, None)


class Drawer:
    """Draws kept photos in the background of one process. One that it does not get to is drawn when
    it is first looked at.
    """

    def __init__(self, settings: Settings) -> None:
        self.settings = settings
        self._waiting: list[int] = []
        self._arriving: set[int] = set()  # the threads that take uploads in right now
        self._came = 0.0
        self._at_work = False
        self._book = threading.Lock()

    def add(self, key: int) -> None:
        """Draw one, some time after its answer is given."""
        with self._book:
            self._waiting.append(key)
            self._came = time.monotonic()
            if self._at_work:
                return
            self._at_work = True
        threading.Thread(target=self._run, name="drawer", daemon=True).start()

    def begun(self) -> None:
        """Draw nothing while this thread takes an upload in: of fifty that came at once a second passes
        between two answers, and what is drawn then holds the others up.
        """
        if request.endpoint in UPLOADS:
            with self._book:
                self._arriving.add(threading.get_ident())

    def over(self, _error: BaseException | None = None) -> None:
        """This thread's upload is kept, or refused."""
        with self._book:
            if threading.get_ident() in self._arriving:
                self._arriving.discard(threading.get_ident())
                self._came = time.monotonic()

    def _run(self) -> None:
        while True:
            with self._book:
                came = time.monotonic() if self._arriving else self._came
                left_s = came + QUIET_S - time.monotonic()
                if left_s <= 0:
                    if not self._waiting:
                        self._at_work = False
                        return
                    key = self._waiting.pop(0)
            if left_s > 0:
                time.sleep(left_s)
                continue
            try:
                with open_work(self.settings) as work:
                    photos.draw_kept(work, key)
            except ScoutError as error:
                log.warning("photo %s was not drawn: %s", key, type(error).__name__)
            except Exception:  # the thread's last line of defence: the others are still to be drawn
                log.exception("photo %s could not be drawn", key)


def start(app: Flask, settings: Settings) -> None:
    """Give an application what draws its photos."""
    drawer = app.extensions[DRAWER] = Drawer(settings)
    app.before_request(drawer.begun)
    app.teardown_request(drawer.over)
