"""`scout work`: workers that print packets, apart from the pages; and the same started by `scout
serve`.
"""

from __future__ import annotations

import logging
import os
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress

import click
from huey.consumer import Consumer

from scout import logs, workspaces
from scout.cli.apart import NICE, sent_settings, wanted
from scout.cli.common import stop_in_order
from scout.errors import ScoutError
from scout.settings import Settings
from scout.store.queue import queue
from scout.usecases import packets, printings
from scout.usecases.work import Who, foreseen, open_work, prepare, utc_now
from scout.values import said
from scout.words import Reader, reading

log = logging.getLogger("scout.work")
BEAT_S, SWEEP_S, POLL_S, SIGN_S = 1.0, 3.0, 0.5, 20.0


class GivenUp(Exception):
    """The packet at work was cancelled, or another worker has taken it over."""


class _Consumer(Consumer):  # type: ignore[misc]
    """Threads of this process, whose signals are its own affair."""

    def _set_signal_handlers(self) -> None:
        pass


class _Beat:
    """Says every second that a packet is being printed and how far it is."""

    def __init__(self, settings: Settings, one: printings.Asked) -> None:
        self.settings, self.one = settings, one
        self.done, self.of, self.kept = 0, 0, True
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._run, name=f"beat-{one.key}", daemon=True)

    def progress(self, done: int, of: int) -> None:
        """Note a step. Raises GivenUp."""
        self.done, self.of = done, of
        if not self.kept:
            raise GivenUp

    def _run(self) -> None:
        while not self._over.wait(BEAT_S):
            # a database that does not answer for a moment is no reason to stop printing
            with suppress(ScoutError), open_work(self.settings) as work:
                self.kept = printings.beat(work, self.one, self.done, self.of)

    def __enter__(self) -> _Beat:
        self._thread.start()
        return self

    def __exit__(self, *_error: object) -> None:
        self._over.set()
        self._thread.join()


def print_one(settings: Settings, key: str) -> None:
    """Print one packet that waits, if nobody else does."""
    with open_work(settings) as work:
        one = printings.claim(work, key)
    if one is None:
        return
    from scout.pages.packet.printing import PRINTER  # nobody who waits needs what prints

    who = Who(0, one.asked_by, "", "owner") if one.asked_by else None
    state: printings.State = "done"
    line = because = None
    with reading(Reader(one.wanted.units)):
        try:
            with _Beat(settings, one) as beat, open_work(settings, who) as work:
                line = packets.print_packet(
                    work, one.production_id, PRINTER, one.wanted, progress=beat.progress
                )
        except GivenUp:
            return
        except ScoutError as error:
            state, because = "failed", str(error)
        except (
            Exception
        ) as error:  # the worker's last line of defence: said on the page, kept in the log
            log.exception("packet of production %s failed", one.production_id)
            state, because = "failed", str(foreseen(error) or said("kept.our_fault"))
    with open_work(settings) as work:
        printings.ended(work, one, state, packet=line, because=because)


@contextmanager
def workers(settings: Settings, count: int = 1) -> Iterator[None]:
    """Workers in threads of this process for as long as the block lasts. What they were at when it
    ends is printed anew by whoever works next.
    """
    carried = queue(settings.url, settings.data_dir)
    carried.run = lambda key: print_one(settings, key)
    consumer = _Consumer(
        carried.huey,
        workers=count,
        periodic=False,
        initial_delay=POLL_S / 5,
        max_delay=POLL_S,
        check_worker_health=False,
    )
    over = threading.Event()

    def sweep() -> None:
        signed = -SIGN_S
        while True:
            try:
                if time.monotonic() - signed >= SIGN_S:
                    carried.sign(utc_now())
                    signed = time.monotonic()
                with open_work(settings, reading=True) as work:
                    lost = printings.silent(work)
                if lost:
                    with open_work(settings) as work:
                        printings.put_back(work)
            except Exception:  # tried again: what waits must not wait for a person
                log.exception("looking for packets without a worker failed")
            if over.wait(SWEEP_S):
                return

    sweeper = threading.Thread(target=sweep, name="sweep", daemon=True)
    consumer.start()
    sweeper.start()
    try:
        yield
    finally:
        over.set()
        consumer.stop()
        sweeper.join()


@contextmanager
def working(settings: Settings, count: int = 1) -> Iterator[None]:
    """The workers of an installation: of its one group, or of each workspace there is or comes to be."""
    if settings.workspaces is None or settings.workspace is not None:
        with workers(settings, count):
            yield
        return
    over = threading.Event()
    at_work: dict[str, tuple[Settings, ExitStack]] = {}

    def look() -> None:
        wanted = workspaces.of_each(settings)
        for name, (was, stack) in list(at_work.items()):
            if wanted.get(name) != was:
                del at_work[name]
                stack.close()
        for name in sorted(wanted.keys() - at_work.keys()):
            try:
                prepare(wanted[name])
                stack = ExitStack()
                stack.enter_context(workers(wanted[name], count))
                at_work[name] = wanted[name], stack
            except ScoutError as error:  # tried again, and the others go on
                log.warning("workspace %s cannot be opened: %s", name, type(error).__name__)

    def keep_looking() -> None:
        while True:
            try:
                look()
            except Exception:
                log.exception("looking for workspaces failed")
            if over.wait(SWEEP_S):
                return

    looker = threading.Thread(target=keep_looking, name="workspaces", daemon=True)
    looker.start()
    try:
        yield
    finally:
        over.set()
        looker.join()
        for _was, stack in at_work.values():
            stack.close()


@click.command(help="Print packets that people ask for on the pages, until stopped.")
@click.option(
    "--workers",
    "count",
    type=click.IntRange(1, 64),
    default=1,
    show_default=True,
    help="How many packets at once.",
)
@click.option("--beside", type=float, default=None, hidden=True)
def command(count: int, beside: float | None) -> None:
    """Work. `beside`: behind the pages of whoever holds the other end of standard input, with their
    settings, for as long as that is open and somebody wanted a packet within so many seconds.
    """
    settings = sent_settings() if beside is not None else Settings.from_environment(several=True)
    logs.start(settings)
    stop_in_order()
    if beside is not None and sys.platform != "win32":  # there its parent has seen to it
        os.nice(NICE)
    if settings.workspaces is None or settings.workspace is not None:
        prepare(settings)
    with working(settings, count):
        click.echo(said("look.working", n=count))
        sys.stdout.flush()
        with suppress(KeyboardInterrupt):
            if beside is not None:
                _until_rest(settings, beside)
            else:
                threading.Event().wait()


def _until_rest(settings: Settings, rest_s: float) -> None:
    """Until standard input ends, or nobody has wanted a packet for so long: what this process has
    loaded and keeps of rooms is hundreds of megabytes.
    """
    alone = threading.Event()

    def listen() -> None:
        while os.read(0, 4096):  # by its number: a reader of ours would hold its lock as we end
            pass
        alone.set()

    threading.Thread(target=listen, name="pages", daemon=True).start()
    quiet_since = time.monotonic()
    while not alone.wait(min(SWEEP_S, rest_s)):
        if wanted(settings):
            quiet_since = time.monotonic()
        elif time.monotonic() - quiet_since >= rest_s:
            return
