"""Long work beside the requests: packets are printed one after the other, each telling how far it
is.
"""

from __future__ import annotations

import logging
import secrets
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

from scout.errors import NotFound, ScoutError
from scout.settings import Settings
from scout.usecases.packets import Wanted
from scout.usecases.shown import PacketLine
from scout.usecases.work import Who, Work, open_work
from scout.values import Said, said

log = logging.getLogger("scout.web.jobs")
KEPT = 200  # finished jobs remembered
Print = Callable[[Work, Callable[[int, int], None]], PacketLine]


@dataclass(frozen=True)
class Job:
    """How far a packet is."""

    key: str
    production_id: int
    wanted: Wanted
    state: Literal["waiting", "printing", "done", "failed"] = "waiting"
    done: int = 0
    of: int = 0
    packet: PacketLine | None = None
    because: ScoutError | Said | None = None

    @property
    def over(self) -> bool:
        """Whether there is nothing more to wait for."""
        return self.state in {"done", "failed"}


class Press:
    """Prints packets in the background of one process, one at a time, in the order they were asked
    for.
    """

    def __init__(self, settings: Settings) -> None:
        self.settings = settings
        self._jobs: OrderedDict[str, Job] = OrderedDict()
        self._book = threading.Lock()
        self._turn = threading.Lock()

    def start(self, production_id: int, wanted: Wanted, who: Who | None, print_it: Print) -> Job:
        """Begin; one already waiting or printing that prints the same is given instead of a second."""
        with self._book:
            running = next(
                (
                    job
                    for job in self._jobs.values()
                    if (job.production_id, job.wanted) == (production_id, wanted) and not job.over
                ),
                None,
            )
            if running is not None:
                return running
            job = Job(secrets.token_urlsafe(12), production_id, wanted)
            self._jobs[job.key] = job
            while len(self._jobs) > KEPT:
                self._jobs.popitem(last=False)
        threading.Thread(
            target=self._run, args=(job, who, print_it), name=f"packet-{job.key}", daemon=True
        ).start()
        return job

    def job(self, key: str) -> Job:
        """How far a job is. Raises NotFound, also after the server was started again."""
        with self._book:
            if key not in self._jobs:
                raise NotFound("printing job", key[:40])
            return self._jobs[key]

    def _note(self, job: Job, **news: object) -> None:
        with self._book:
            if job.key in self._jobs:
                self._jobs[job.key] = replace(self._jobs[job.key], **news)  # type: ignore[arg-type]

    def _run(self, job: Job, who: Who | None, print_it: Print) -> None:
        with self._turn:
            self._note(job, state="printing")
            try:
                with open_work(self.settings, who) as work:
                    packet = print_it(work, lambda done, of: self._note(job, done=done, of=of))
            except ScoutError as error:
                self._note(job, state="failed", because=error)
            except (
                Exception
            ):  # the thread's last line of defence: said on the page, kept in the log
                log.exception("packet of production %s failed", job.production_id)
                self._note(job, state="failed", because=said("kept.our_fault"))
            else:
                self._note(job, state="done", packet=packet)
