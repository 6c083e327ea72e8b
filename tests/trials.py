"""What a phone sends through trouble, counted: `python -m tests.trials --n 200 --seed 1`.

A real server in a process of its own, a real Chromium, and in each trial one room with a photo and a
note put into the phone's outbox while something goes wrong: the network is cut, the tab is killed,
the session ends, the server is killed in the middle of an upload and started again, the same is sent
twice, an answer is lost on its way back, the phone's storage is full. At the end what the database
holds is counted against what was sent.
"""

from __future__ import annotations

import base64
import hashlib
import io
import json
import multiprocessing
import os
import random
import signal
import socket
import tempfile
import time
import urllib.request
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

import click
from PIL import Image
from playwright.sync_api import BrowserContext, Page, Route, sync_playwright
from sqlalchemy import select

from scout.cli.serve_command import listen, server_of
from scout.records import LocationRecord, Person
from scout.settings import Settings
from scout.store import models
from scout.usecases import people
from scout.usecases.locations import add_location
from scout.usecases.work import open_work, prepare
from tests.browser.conftest import CHROMIUM, FLAGS

EMAIL, PASSWORD = "ada@example.org", "a long enough one 77"
SLOW_BYTES_S = 300_000  # so that an upload of a photo lasts long enough to be cut in its middle
PATIENCE_S = 90.0

# The walk's own bundle, kept in one transaction: what comes after the room waits for it. "full": the
# phone had no room for it, and nothing of it may have been kept.
KEEP = """async ({ name, once, photo }) => {
  const box = await import(document.querySelector('script[src*="outbox"]').src);
  const token = (await (await fetch('/outbox/token')).json()).csrf_token ?? '';
  const bytes = Uint8Array.from(atob(photo), (sign) => sign.charCodeAt(0));
  const sheet = JSON.stringify({ schema: 'room-sheet/1', room: { name } });
  const at = Date.now();
  const all = { state: 'waiting', page: '/outbox', at };
  const after = { ...all, after: once[0] };
  const entries = [
    { ...all, once: once[0], title: name, action: '/locations/1/walk', pairs: [['csrf_token', token], ['sheet', sheet]] },
    { ...after, once: once[1], at: at + 1, title: name, action: '/room/ROOM/photos', accept: 'application/json', pairs: [['csrf_token', token], ['photos', new File([bytes], name + '.jpg', { type: 'image/jpeg' })]] },
    { ...after, once: once[2], at: at + 2, title: name, action: '/room/ROOM/notes/new', pairs: [['csrf_token', token], ['text', 'note of ' + name], ['audience', 'crew']] },
  ];
  try { await box.together(['outbox'], (kind) => { for (const entry of entries) kind('outbox').put(entry); }); }
  catch (error) { return 'full'; }
  return 'kept';
}"""
FLUSH = """async () => {
  const box = await import(document.querySelector('script[src*="outbox"]').src);
  await box.flush();
  return (await box.all('outbox')).map(({ state, status }) => `${state} ${status ?? ''}`.trim());
}"""
# A store that is full from one write on, as browsers say it (Indexed Database API 3.0, "commit a
# transaction" and "put"): by the call, or only as the transaction ends, which then holds nothing.
# Chromium's own override of the quota bites when it likes.
FILL = """async ({ at, way }) => {
  window.box = await import(document.querySelector('script[src*="outbox"]').src);
  const whole = window.whole ??= IDBObjectStore.prototype.put;
  window.bitten = 0;
  let left = at;
  IDBObjectStore.prototype.put = function (...given) {
    if (left-- > 0) return whole.apply(this, given);
    window.bitten += 1;
    if (way === 'put') throw new DOMException('', 'QuotaExceededError');
    const request = whole.apply(this, given);
    this.transaction.abort();
    return request;
  };
}"""
EMPTY = "() => { IDBObjectStore.prototype.put = window.whole; }"
BEGIN = """() => { import(document.querySelector('script[src*="outbox"]').src).then((box) => box.flush()); }"""


def _serve(settings: Settings, port: int) -> None:
    listening = listen("127.0.0.1", port)
    server_of(settings, listening).run()


def _nursery(orders: Connection, settings: Settings, port: int) -> None:
    """Makes servers by fork: a new one costs no second loading of the program."""
    child = 0
    while (order := orders.recv()) != "end":
        if order == "start" and (child := os.fork()) == 0:
            _serve(settings, port)
        if order == "kill":
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
        orders.send("done")


@dataclass
class Server:
    """The server in a process of its own, on one port whoever comes and goes."""

    settings: Settings
    port: int
    orders: Connection = field(init=False)

    def __post_init__(self) -> None:
        fork = multiprocessing.get_context("fork")
        self.orders, other = fork.Pipe()
        made = fork.Process(target=_nursery, args=(other, self.settings, self.port), daemon=True)
        made.start()

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def _order(self, order: str) -> None:
        self.orders.send(order)
        self.orders.recv()

    def start(self) -> None:
        self._order("start")
        until = time.monotonic() + PATIENCE_S
        while time.monotonic() < until:
            try:
                urllib.request.urlopen(f"{self.address}/login", timeout=5).read()
                return
            except OSError:
                time.sleep(0.1)
        raise click.ClickException("the server did not come up")

    def kill(self) -> None:
        self._order("kill")


@dataclass
class Trial:
    """One room with a photo and a note."""

    name: str
    photo: bytes
    once: list[str]


@dataclass
class Phone:
    """A phone and what it is put through."""

    context: BrowserContext
    server: Server
    chance: random.Random
    page: Page = field(init=False)

    def __post_init__(self) -> None:
        self.log_in()

    def open(self) -> None:
        self.page = self.context.new_page()
        self.page.goto(f"{self.server.address}/outbox")

    def log_in(self) -> None:
        self.page = self.context.new_page()
        self.page.goto(f"{self.server.address}/login")
        if self.page.locator("input[name=email]").count():  # an answer on its way kept the session
            self.page.fill("input[name=email]", EMAIL)
            self.page.fill("input[name=password]", PASSWORD)
            self.page.click("main button")
            self.page.wait_for_url(f"{self.server.address}/")
        self.page.goto(f"{self.server.address}/outbox")

    def keep(self, trial: Trial) -> str:
        photo = base64.b64encode(trial.photo).decode()
        given = {"name": trial.name, "once": trial.once, "photo": photo}
        return str(self.page.evaluate(KEEP, given))

    def begin(self) -> None:
        self.page.evaluate(BEGIN)

    def wait(self, most_s: float) -> None:
        self.page.wait_for_timeout(1000 * self.chance.uniform(0, most_s))

    def slowly(self) -> None:
        line = self.context.new_cdp_session(self.page)
        line.send("Network.enable")
        slow = {"offline": False, "latency": 20, "downloadThroughput": -1}
        line.send("Network.emulateNetworkConditions", {**slow, "uploadThroughput": SLOW_BYTES_S})

    def settle(self) -> list[str]:
        """All is well again: what waits goes, by itself. What is left after a while."""
        left: list[str] = []
        until = time.monotonic() + PATIENCE_S
        while time.monotonic() < until:
            left = self.page.evaluate(FLUSH)
            if not left:
                break
            if any(one.startswith("login") for one in left):
                self.page.close()
                self.log_in()
            self.page.wait_for_timeout(150)
        return left


def cut(phone: Phone, trial: Trial) -> None:
    """The network goes while it is sent."""
    phone.slowly()
    phone.keep(trial)
    phone.begin()
    phone.wait(1.5)
    phone.context.set_offline(True)
    phone.page.wait_for_timeout(200)
    phone.context.set_offline(False)
    phone.page.close()
    phone.open()


def killed(phone: Phone, trial: Trial) -> None:
    """The tab is killed while it is sent."""
    phone.slowly()
    phone.keep(trial)
    phone.begin()
    phone.wait(1.2)
    phone.page.close(run_before_unload=False)
    phone.open()


def ended(phone: Phone, trial: Trial) -> None:
    """The session ends before, or while, it is sent."""
    phone.keep(trial)
    if phone.chance.random() < 0.5:
        phone.context.clear_cookies()
        phone.begin()
    else:
        phone.begin()
        phone.wait(0.4)
        phone.context.clear_cookies()
    phone.page.wait_for_timeout(200)
    phone.page.close()
    phone.log_in()


def restarted(phone: Phone, trial: Trial) -> None:
    """The server is killed while it is sent, and comes up again."""
    phone.slowly()
    phone.keep(trial)
    phone.begin()
    phone.wait(2.0)
    phone.server.kill()
    phone.page.close()
    phone.server.start()
    phone.open()


def twice(phone: Phone, trial: Trial) -> None:
    """Two tabs send it, without the lock by which one waits for the other."""
    other = phone.context.new_page()
    for page in (phone.page, other):
        page.add_init_script("Object.defineProperty(navigator, 'locks', { value: undefined });")
        page.goto(f"{phone.server.address}/outbox")
    phone.keep(trial)
    other.evaluate(BEGIN)
    phone.begin()
    phone.wait(0.5)
    other.close()
    phone.page.close()
    phone.open()


def unheard(phone: Phone, trial: Trial) -> None:
    """The server takes it, and its answer is lost."""

    def lose(route: Route) -> None:
        if route.request.method == "POST" and phone.chance.random() < 0.7:
            route.fetch()
            route.abort()
        else:
            route.continue_()

    phone.keep(trial)
    phone.page.route("**/*", lose)
    phone.begin()
    phone.page.wait_for_timeout(600)
    phone.page.unroute_all(behavior="ignoreErrors")
    phone.page.close()
    phone.open()


def full(phone: Phone, trial: Trial) -> None:
    """The phone has no room left, at a drawn one of the five writes that sending takes: three that
    keep it, two that tell photo and note where their room went. Later there is room.
    """
    at, way = phone.chance.randrange(5), phone.chance.choice(("put", "commit"))
    phone.page.evaluate(FILL, {"at": at, "way": way})
    said = phone.keep(trial)
    if (said == "full") != (at < 3):
        raise click.ClickException(f"{trial.name}: write {at} failed, and the page said {said}")
    if said == "kept":
        phone.begin()
    phone.page.wait_for_function("() => window.bitten")
    phone.page.wait_for_timeout(200)
    phone.page.evaluate(EMPTY)
    if said == "full":
        if phone.page.evaluate("async () => { return (await box.all('outbox')).length }"):
            raise click.ClickException(f"{trial.name}: half of it was kept")
        phone.keep(trial)
    phone.begin()
    FULL[f"{said}, {way}"] += 1


FULL: Counter[str] = Counter()
TROUBLES: dict[str, Callable[[Phone, Trial], None]] = {
    "network cut": cut,
    "tab killed": killed,
    "session ended": ended,
    "server restarted": restarted,
    "sent twice": twice,
    "answer lost": unheard,
    "storage full": full,
}


def picture(seed: int) -> bytes:
    """A photo that no other trial sends, of some hundred kilobytes."""
    noise = random.Random(seed).randbytes(320 * 240 * 3)
    held = io.BytesIO()
    Image.frombytes("RGB", (320, 240), noise).save(held, "JPEG", quality=95)
    return held.getvalue()


def counted(settings: Settings, trials: list[Trial]) -> dict[str, tuple[int, int]]:
    """Of each kind of thing, how many of those sent are lost, and how many are there twice."""
    with open_work(settings, reading=True) as work:
        held: dict[str, Counter[str | None]] = {
            "rooms": Counter(work.db.scalars(select(models.Room.name))),
            "photos": Counter(work.db.scalars(select(models.Photo.sha256))),
            "notes": Counter(work.db.scalars(select(models.Note.text))),
        }
    sent = {
        "rooms": [trial.name for trial in trials],
        "photos": [hashlib.sha256(trial.photo).hexdigest() for trial in trials],
        "notes": [f"note of {trial.name}" for trial in trials],
    }
    return {
        kind: (
            sum(held[kind][one] == 0 for one in sent[kind]),
            sum(held[kind][one] > 1 for one in sent[kind]),
        )
        for kind in sent
    }


@click.command(help=__doc__)
@click.option("--n", "count", default=200, show_default=True, help="How many trials.")
@click.option("--seed", default=1, show_default=True, help="What chance begins with.")
@click.option(
    "--kind", "kinds", multiple=True, type=click.Choice(list(TROUBLES)), help="Only these."
)
def command(count: int, seed: int, kinds: tuple[str, ...]) -> None:
    """Run trials and print what was lost and doubled."""
    if CHROMIUM is None:
        raise click.ClickException("no Chromium is installed")
    chance = random.Random(seed)
    with tempfile.TemporaryDirectory(prefix="sillbook-trials-") as folder:
        settings = Settings(data_dir=Path(folder))
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = int(free.getsockname()[1])
        server = Server(settings, port)  # before anything has threads
        prepare(settings)
        with open_work(settings) as work:
            people.add_person(work, Person(email=EMAIL, name="Ada"), PASSWORD)
            add_location(work, LocationRecord(name="Weir House"))
        server.start()
        try:
            found = _run(server, count, chance, seed, kinds or tuple(TROUBLES))
        finally:
            server.kill()
            server.orders.send("end")
        found |= {"counted": counted(settings, found.pop("trials"))}
    for name, value in found.items():
        click.echo(f"{name}: {json.dumps(value)}")
    bad = found["left waiting"] or any(sum(pair) for pair in found["counted"].values())
    raise SystemExit(1 if bad else 0)


def _run(
    server: Server, count: int, chance: random.Random, seed: int, wanted: tuple[str, ...]
) -> dict[str, Any]:
    trials: list[Trial] = []
    kinds, left = Counter[str](), []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        phone = Phone(browser.new_context(viewport={"width": 390, "height": 780}), server, chance)
        for number in range(count):
            kind = wanted[number % len(wanted)]
            uuids = [f"{chance.getrandbits(32):08x}-0000-4000-8000-{number:012x}" for _ in range(3)]
            trial = Trial(f"{kind} {number}", picture(1_000_000 * seed + number), uuids)
            trials.append(trial)
            begun = time.monotonic()
            TROUBLES[kind](phone, trial)
            kinds[kind] += 1
            waiting = phone.settle()
            click.echo(f"{trial.name}: {time.monotonic() - begun:.1f} s", err=True)
            if waiting:
                left.append(f"{trial.name}: {waiting}")
        browser.close()
    return {
        "trials": trials,
        "of each kind": dict(kinds),
        "storage full was": dict(FULL),
        "left waiting": left,
    }


if __name__ == "__main__":
    command()
