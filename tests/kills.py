"""What is left after kills, counted: `python -m tests.kills web --n 200 --seed 1`.

Real processes in a folder of their own, four people who write notes, edit rooms, upload photos and
ask for packets, and one process after another that is killed (SIGKILL) in the middle of it and started
again: `web`, the pages with whoever prints beside them; `worker`, a `scout work` at a packet;
`postgres`, a whole database server of its own under pages and a worker. At the end what people were
told is kept is counted against what is kept, packets asked for must have come to an end, and
`scout check` must find nothing once `--mend` has taken away what was cut off.
"""

from __future__ import annotations

import hashlib
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
import urllib.request
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass, field, replace
from pathlib import Path

import click
from sqlalchemy import func, select, text
from sqlalchemy.exc import OperationalError

from scout.bench.load import ROOM, Visitor, photo, upload_of
from scout.cli.apart import wanted
from scout.cli.serve_command import listen
from scout.errors import Unavailable
from scout.records import (
    CandidateRecord,
    LocationRecord,
    Person,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
)
from scout.settings import Settings
from scout.store import models
from scout.store.engine import engine
from scout.usecases import locations, people, productions, rooms
from scout.usecases.printings import MOST_TRIES
from scout.usecases.work import open_work, prepare
from scout.web.app import create_app

PATIENCE_S, LAST_PRINTS_S = 60.0, 60.0
PRODUCTIONS, PEOPLE = 6, 4
BUSY_S = {"web": 1.5, "worker": 1.0, "postgres": 2.0}  # at most so long before each kill
FAULTS = frozenset({500, 502, 504})  # 503 says that a part is away, and was kept by whoever typed
AGED_S = (
    3 * 3600.0
)  # what was cut off is left over once it has lain for longer than an upload takes


# Makes processes of the program by fork, each a session of its own: no second loading of it, which on
# a busy machine takes longer than everything between two kills.
NURSERY = """
import os, signal, sys
import scout.cli.serve_command, scout.cli.work_command, scout.pages.packet.printing
signal.signal(signal.SIGCHLD, signal.SIG_IGN)
for line in sys.stdin:
    child = os.fork()
    if child == 0:
        signal.signal(signal.SIGCHLD, signal.SIG_DFL)
        os.dup2(2, 1)
        os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
        command, *arguments = line.split()
        module = getattr(scout.cli, command + "_command")
        module.command.main(arguments, standalone_mode=True)
        os._exit(0)
    print(child, flush=True)
"""


# -- processes ---------------------------------------------------------------------------------
@dataclass
class Forked:
    """A process of the program, made by the nursery, under one name whoever comes and goes."""

    command: str
    env: dict[str, str]
    log: Path
    up: Callable[[], bool] | None = None  # else once it has said something
    pid: int = 0
    _nursery: subprocess.Popen[str] | None = None

    def start(self) -> None:
        with self.log.open("ab") as log:
            said = log.tell()
            if self._nursery is None:
                self._nursery = subprocess.Popen(
                    [sys.executable, "-c", NURSERY],
                    env=self.env,
                    stdin=subprocess.PIPE,
                    stdout=subprocess.PIPE,
                    stderr=log,
                    text=True,
                )
        made = self._nursery
        assert made.stdin is not None
        assert made.stdout is not None
        made.stdin.write(f"{self.command}\n")
        made.stdin.flush()
        self.pid = int(made.stdout.readline())
        until(
            self.up or (lambda: self.log.stat().st_size > said), f"{self.command} did not come up"
        )

    def _gone(self) -> bool:
        return not Path(f"/proc/{self.pid}").exists()

    def kill(self) -> None:
        os.kill(self.pid, signal.SIGKILL)
        until(self._gone, "it was killed and is there")

    def stop(self) -> None:
        with suppress(ProcessLookupError):
            os.kill(self.pid, signal.SIGTERM)
            until(self._gone, "it was asked to end and is there")
        if self._nursery is not None:
            self._nursery.kill()
            self._nursery.wait()


@dataclass
class Process:
    """A process of ours, under one name whoever comes and goes."""

    command: list[str]
    env: dict[str, str]
    log: Path
    up: Callable[[], bool]
    user: str | None = None
    running: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        with self.log.open("ab") as log:
            self.running = subprocess.Popen(
                self.command, env=self.env, stdout=log, stderr=log, user=self.user
            )
        until(self.up, f"{self.command} did not come up")

    def kill(self) -> None:
        """Kill it and whatever it started, at once."""
        assert self.running is not None
        pids = [self.running.pid, *children(self.running.pid)]
        for pid in pids:
            with suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        self.running.wait()


def children(parent: int) -> list[int]:
    shown = subprocess.run(
        ["ps", "-o", "pid=", "--ppid", str(parent)], capture_output=True, text=True
    )
    return [int(pid) for pid in shown.stdout.split()]


def until(true: Callable[[], bool], never: str, seconds: float = PATIENCE_S) -> None:
    end = time.monotonic() + seconds
    while not true():
        if time.monotonic() > end:
            raise click.ClickException(never)
        time.sleep(0.05)


def free_port() -> int:
    with listen("127.0.0.1", 0) as made:
        return int(made.getsockname()[1])


@contextmanager
def database_server(folder: Path) -> Iterator[tuple[Process, str]]:
    """A PostgreSQL of its own: its process, and the address of an empty database. It will not run as
    root, who hands it to the user `postgres`.
    """
    user = "postgres" if os.geteuid() == 0 else None
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/postgres"))
    home = found[-1].parent if found else Path(shutil.which("postgres") or "postgres").parent
    folder.mkdir()
    if user:
        shutil.chown(folder, user)
    data = folder / "data"
    made = [home / "initdb", "-D", data, "-U", "sillbook", "-A", "trust", "-E", "UTF8"]
    subprocess.run(made, check=True, user=user, stdout=subprocess.DEVNULL)
    url = f"postgresql+psycopg://sillbook@/postgres?host={folder}"

    def up() -> bool:
        try:
            with engine(url).connect() as connection:
                return connection.scalar(text("select 1")) == 1
        except OperationalError:
            return False

    command = [str(home / "postgres"), "-D", str(data), "-k", str(folder), "-h", ""]
    server = Process(command, dict(os.environ), folder / "log", user=user, up=up)
    server.start()
    try:
        yield server, url
    finally:
        engine(url).dispose()
        server.kill()


# -- what people do ----------------------------------------------------------------------------
@dataclass
class Told:
    """What people were told is kept; of a room's height every value since the last such."""

    notes: list[str] = field(default_factory=list)
    photos: list[str] = field(default_factory=list)
    prints: list[str] = field(default_factory=list)
    heights: dict[int, list[float]] = field(default_factory=dict)
    edits: int = 0

    def count(self) -> int:
        return len(self.notes) + len(self.photos) + len(set(self.prints)) + self.edits


@dataclass
class Someone:
    """One of the people at work, and what is under way."""

    visitor: Visitor
    room: int
    printed: list[tuple[int, int]]  # production and its room
    told: Told
    chance: random.Random
    doing: str = ""
    count: int = 0

    def work(self, over: threading.Event, picture: bytes) -> None:
        while not over.is_set():
            try:
                if not self.visitor.token:
                    self.visitor.begin()
                self._deed(picture)
            except RuntimeError:  # nobody answers: begun again
                pass
            self.doing = ""
            over.wait(self.chance.uniform(0.02, 0.2))

    def _taken(self) -> bool:
        return 200 <= self.visitor.said[-1].status < 400

    def _note(self, room: int) -> None:
        self.count += 1
        words = f"kept {self.room}.{self.count}."
        self.visitor.form("note", f"/room/{room}/notes/new", {"text": words, "audience": "crew"})
        if self._taken():
            self.told.notes.append(words)

    def _deed(self, picture: bytes) -> None:
        self.doing = self.chance.choices(["note", "edit", "upload", "print"], [3, 3, 3, 2])[0]
        if self.doing == "note":
            self._note(self.room)
        elif self.doing == "edit":
            self._edit()
        elif self.doing == "upload":
            self.count += 1
            body, mime = upload_of(picture, f"{self.room}-{self.count}")
            begins = body.index(b"\r\n\r\n") + 4
            digest = hashlib.sha256(body[begins : body.rindex(b"\r\n--")]).hexdigest()
            self.visitor.ask("upload", "POST", f"/room/{self.room}/photos", body, mime)
            if self._taken():
                self.told.photos.append(digest)
        else:
            production, room = self.chance.choice(self.printed)
            self._note(room)  # so that there is something to print
            made = {"edition": self.chance.choice(["whole", "day", "form"])}
            there = self.visitor.form("print", f"/productions/{production}/packets", made)
            if self._taken() and there:
                self.told.prints.append(there.rpartition("/")[2])

    def _edit(self) -> None:
        page, _ = self.visitor.ask("read", "GET", f"/rooms/{self.room}/edit")
        version = re.search(r'name="version" value="(\d+)"', page)
        if version is None:
            return
        height = round(self.chance.uniform(2.2, 3.4), 3)
        sent = {key: str(value) for key, value in ROOM.items()}
        sent |= {"height_m": f"{height:.3f}", "version": version[1]}
        may_be = self.told.heights.setdefault(self.room, [float(str(ROOM["height_m"]))])
        may_be.append(height)
        self.visitor.form("edit", f"/rooms/{self.room}/edit", sent)
        if self._taken():
            may_be[:] = [height]
            self.told.edits += 1


def built(settings: Settings) -> tuple[list[int], list[tuple[int, int]], list[str]]:
    """Rooms to edit, productions to print with a room each, and a session for each person."""
    prepare(settings)
    with open_work(settings) as work:
        place = locations.add_location(work, LocationRecord(name="Weir House"))
        made = RoomRecord.read(ROOM)
        keys = [rooms.add_room(work, place, made) for _ in range(PEOPLE + PRODUCTIONS)]
        printed = []
        for room in keys[PEOPLE:]:
            job = productions.add_production(work, ProductionRecord(title=f"Film {room}"))
            scene = productions.add_scene(work, job, SceneRecord(name="Talk"))
            productions.add_candidate(work, scene, room, CandidateRecord())
            printed.append((job, room))
        names = [Person(name=f"P {n}", email=f"p{n}@example.org") for n in range(PEOPLE)]
        rows = [people.put_person(work, one, "", "owner") for one in names]
        tokens = [people.begin_session(work, row.id) for row in rows]
    app = create_app(settings)
    signer = app.session_interface.get_signing_serializer(app)  # type: ignore[attr-defined]
    name = app.config["SESSION_COOKIE_NAME"]
    cookies = [f"{name}={signer.dumps({'_user_id': one, '_fresh': True})}" for one in tokens]
    return keys[:PEOPLE], printed, cookies


# -- the count ---------------------------------------------------------------------------------
def lost(settings: Settings, told: Told) -> list[str]:
    """What somebody was told is kept and is not; packets without an end."""
    faults = []
    with open_work(settings, reading=True) as work:
        kept = set(work.db.scalars(select(models.Note.text)))
        faults += [f"note {one}" for one in told.notes if one not in kept]
        kept = set(work.db.scalars(select(models.Photo.sha256)))
        faults += [f"photo {one}" for one in told.photos if one not in kept]
        for room, may_be in told.heights.items():
            row = work.db.get_one(models.Room, room)
            if not any(abs((row.height_m or 0) - one) < 1e-6 for one in may_be):
                faults.append(f"room {room} is {row.height_m} high, not one of {may_be}")
        for key in dict.fromkeys(told.prints):
            asked = work.db.get(models.Printing, key)
            if asked is None or asked.state not in {"done", "failed"}:
                faults.append(f"print {key}: {asked and asked.state}")
            elif asked.state == "failed" and asked.tries < MOST_TRIES:
                faults.append(f"print {key} failed at try {asked.tries}: {asked.because}")
    return faults


def at_work(settings: Settings) -> bool:
    """Whether a packet is being printed by somebody who is alive."""
    with suppress(Unavailable), open_work(settings, reading=True) as work:
        asked = select(models.Printing.beat_at).where(models.Printing.state == "printing")
        return any((work.now() - beat).total_seconds() < 1.5 for beat in work.db.scalars(asked))
    return False


def checked(settings: Settings, env: dict[str, str]) -> list[str]:
    """What `scout check` still says after `--mend`, once what was cut off has lain for a while."""
    for path in settings.data_dir.rglob("*"):
        if path.is_file() and (".part" in path.name or "originals" in path.parts):
            before = path.stat().st_mtime - AGED_S
            os.utime(path, (before, before))
    for _ in range(2):
        ran = subprocess.run(
            [sys.executable, "-m", "scout", "check", "--mend"],
            env=env,
            capture_output=True,
            text=True,
        )
        click.echo(ran.stdout.strip().splitlines()[0] if ran.stdout else ran.stderr)
    return [] if ran.returncode == 0 else (ran.stdout + ran.stderr).splitlines()


@click.command()
@click.argument("victim", type=click.Choice(sorted(BUSY_S)))
@click.option("--n", "count", default=200, show_default=True)
@click.option("--seed", default=1, show_default=True)
@click.option("--apart", is_flag=True, help="Pages are killed, whoever prints goes on by itself.")
def main(victim: str, count: int, seed: int, apart: bool) -> None:
    """Kill, start again, count."""
    chance = random.Random(seed)
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="sillbook-kills-")))
        folder.chmod(0o755)
        settings = Settings(folder / "data")
        env = {key: one for key, one in os.environ.items() if not key.startswith("SILLBOOK_")}
        env |= {"SILLBOOK_DATA": str(settings.data_dir)}
        victims: dict[str, Process | Forked] = {}
        if victim == "postgres":
            server, url = stack.enter_context(database_server(folder / "pg"))
            settings = replace(settings, database_url=url)
            env["SILLBOOK_DATABASE_URL"] = url
            victims["postgres"] = server
        own, printed, cookies = built(settings)
        port = free_port()

        def answers() -> bool:
            with suppress(OSError):
                return bool(urllib.request.urlopen(f"http://127.0.0.1:{port}/health").read())
            return False

        apart = apart or victim != "web"
        serve = f"serve --port {port} --workers {0 if apart else 1}"
        victims["web"] = Forked(serve, env, folder / "web.log", up=answers)
        if apart:
            victims["worker"] = Forked("work", env, folder / "work.log")
        for name in ("web", "worker"):
            if name in victims:
                stack.callback(victims[name].stop)
                victims[name].start()
        told, over, picture = Told(), threading.Event(), photo()
        everybody = [
            Someone(Visitor(port, cookie), room, printed, told, random.Random(f"{seed} {room}"))
            for room, cookie in zip(own, cookies, strict=True)
        ]
        threads = [threading.Thread(target=one.work, args=(over, picture)) for one in everybody]
        for thread in threads:
            thread.start()
        meanwhile: Counter[str] = Counter()
        try:
            for number in range(count):
                if victim == "worker":
                    until(lambda: at_work(settings), "nobody prints any more")
                time.sleep(chance.uniform(0, BUSY_S[victim]))
                meanwhile.update({one.doing for one in everybody if one.doing})
                meanwhile.update(["printing"] if victim != "postgres" and at_work(settings) else [])
                victims[victim].kill()
                time.sleep(chance.uniform(0, 0.3))
                victims[victim].start()
                if number % 20 == 19:
                    click.echo(f"{number + 1} kills, {told.count()} told")
        finally:
            over.set()
            for thread in threads:
                thread.join()
        until(lambda: not wanted(settings), "packets without an end", LAST_PRINTS_S)
        said = [one for someone in everybody for one in someone.visitor.said]
        faults = lost(settings, told)
        faults += [f"{one.kind} {one.path}: {one.status}" for one in said if one.status in FAULTS]
        with open_work(settings, reading=True) as work:
            ended = Counter(work.db.scalars(select(models.Printing.state)))
            again = work.db.scalar(select(func.count()).where(models.Printing.tries > 1))
        for name in ("web", "worker"):
            if name in victims:
                victims[name].stop()
        faults += checked(settings, env)
        click.echo(f"{victim}: {count} kills, seed {seed}; in the middle of {dict(meanwhile)}")
        click.echo(
            f"told: {len(told.notes)} notes, {told.edits} edits, {len(told.photos)} photos, "
            f"{len(set(told.prints))} packets ({dict(ended)}, {again} begun again); "
            f"not taken: {dict(Counter(one.status for one in said if one.failed))}"
        )
        for fault in faults:
            click.echo(f"FAULT {fault}")
        if faults:
            kept = Path(tempfile.mkdtemp(prefix="sillbook-kills-logs-"))
            for log in folder.glob("*.log"):
                shutil.copy(log, kept)
            click.echo(f"logs: {kept}")
        sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main()
