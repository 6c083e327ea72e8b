"""Recordings are measured beside the requests, one after the other, each telling how far it is."""

from __future__ import annotations

import logging
import threading

from scout.errors import ScoutError
from scout.settings import Settings
from scout.usecases import recordings
from scout.usecases.work import Who, open_work

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
