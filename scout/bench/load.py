"""What many people at once meet: reading, editing, uploading and printing together, against several
processes on PostgreSQL and against the embedded default.

People pause between two deeds, as they do. A read is compared with the same reads of one person alone
in the same run; a save of the embedded default has two seconds.
"""

from __future__ import annotations

import http.client
import io
import itertools
import math
import os
import random
import re
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

import numpy as np
from PIL import Image

from scout import places
from scout.bench.catalogue import fill, on_server
from scout.bench.measure import Row, seconds
from scout.records import (
    CandidateRecord,
    LocationRecord,
    Person,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
)
from scout.settings import Settings
from scout.store.queries import jobs
from scout.usecases import locations, people, productions, rooms
from scout.usecases.demo import load_demo
from scout.usecases.work import Work, open_work, prepare
from scout.web.app import create_app

SHARE = 0.02  # of the catalogue: 200 places, 1,000 rooms
RUN_S, IDLE_READS = 60.0, 60
READS, EDITS = 0.80, 0.16  # of what people do; the rest are uploads; printing is somebody's own
MANY, THEIR_PAUSE_S, MOST_TIMES = 50, 5.0, 3.0
FEW, FEW_PAUSE_S, LONGEST_SAVE_S = 20, 1.5, 2.0
PRINT_S, PRINT_PAUSE_S = 300.0, 10.0
ROOM = {"name": "Loft", "setting": "interior", "width_m": 4.0, "length_m": 5.0, "height_m": 2.6}


@dataclass(frozen=True)
class Asked:
    """One deed: what kind, how long it took, and what came back; 0: nothing did."""

    kind: str
    took_s: float
    status: int
    path: str

    @property
    def failed(self) -> bool:
        """Whether somebody would call it an error."""
        return not 200 <= self.status < 400


@dataclass
class Visitor:
    """Somebody with a session, on one of the processes."""

    port: int
    cookie: str
    token: str = ""
    said: list[Asked] = field(default_factory=list)
    _connection: http.client.HTTPConnection | None = None

    def ask(
        self, kind: str, method: str, path: str, body: bytes | None = None, mime: str = ""
    ) -> tuple[str, str]:
        """One deed, kept with its time; what came back and where it leads."""
        headers = {"Cookie": self.cookie, "Accept": "text/html"}
        if body is not None:
            headers |= {"Content-Type": mime, "X-CSRFToken": self.token}
        text = there = ""
        status = 0

        def send() -> None:
            nonlocal text, there, status
            for fresh in (False, True):
                try:
                    if self._connection is None:
                        self._connection = http.client.HTTPConnection(
                            "127.0.0.1", self.port, timeout=60
                        )
                    self._connection.request(method, path, body, headers)
                    answer = self._connection.getresponse()
                    text = answer.read().decode("utf-8", "replace")
                    there, status = answer.headers.get("Location", ""), answer.status
                    for given in answer.headers.get_all("Set-Cookie") or ():
                        if given.startswith(self.cookie.partition("=")[0]):
                            self.cookie = given.partition(";")[0]
                    return
                except (http.client.HTTPException, OSError):
                    self.leave()  # an idle one may be closed; a new one must answer
                    if fresh:
                        return

        took_s = seconds(send)
        self.said.append(Asked(kind, took_s, status, path))
        return text, there

    def form(self, kind: str, path: str, fields: dict[str, str]) -> str:
        """Send a form; where it leads."""
        sent = urlencode(fields).encode()
        return self.ask(kind, "POST", path, sent, "application/x-www-form-urlencoded")[1]

    def leave(self) -> None:
        """Close the connection."""
        if self._connection is not None:
            self._connection.close()
            self._connection = None

    def begin(self) -> None:
        """Take the token of forms from a page."""
        text, _ = self.ask("begin", "GET", "/words")
        found = re.search(r'name="csrf_token" value="([^"]+)"', text)
        if found is None:
            raise RuntimeError(f"no page for whoever is logged in: {self.said[-1]}")
        self.token = found[1]


def addresses(size: int, chance: random.Random) -> str:
    """A page that people read."""
    key = chance.randint(1, size)
    return chance.choice(
        [
            "/",
            "/rooms",
            "/locations",
            f"/rooms?after={key}",
            f"/rooms/{key}",
            f"/locations/{max(1, key // 5)}",
            f"/rooms?text=Loft+{key}",
        ]
    )


def work_on(
    visitor: Visitor,
    room: int,
    size: int,
    pause_s: float,
    over: threading.Event,
    picture: bytes,
    seed: int,
    most: int = 1_000_000,
) -> None:
    """What one person does until it is over, or so many deeds: reads, edits a room of their own and
    its notes, uploads.
    """
    chance = random.Random(seed)  # noqa: S311  # the same deeds in each run
    over.wait(chance.uniform(0, pause_s))
    visitor.begin()
    for _ in range(most):
        if over.is_set():
            return
        dice = chance.random()
        if dice < READS:
            visitor.ask("read", "GET", addresses(size, chance))
        elif dice < READS + EDITS / 2:
            text = f"Heard at {time.monotonic():.3f}"
            visitor.form("save", f"/room/{room}/notes/new", {"text": text, "audience": "crew"})
        elif dice < READS + EDITS:
            page, _ = visitor.ask("read", "GET", f"/rooms/{room}/edit")
            version = re.search(r'name="version" value="(\d+)"', page)
            height = f"{chance.uniform(2.2, 3.4):.2f}"
            sent = {**{key: str(value) for key, value in ROOM.items()}, "height_m": height}
            sent["version"] = version[1] if version else ""
            visitor.form("save", f"/rooms/{room}/edit", sent)
        else:
            body, mime = upload_of(picture, f"{seed}-{chance.random()}")
            visitor.ask("upload", "POST", f"/room/{room}/photos", body, mime)
        over.wait(pause_s * chance.uniform(0.5, 1.5))


def upload_of(picture: bytes, name: str) -> tuple[bytes, str]:
    """A photo as a form sends it, another one for each name."""
    mark = "sillbook-bench-part"
    head = (
        f'--{mark}\r\nContent-Disposition: form-data; name="photos"; filename="{name}.jpg"\r\n'
        "Content-Type: image/jpeg\r\n\r\n"
    )
    comment = name.encode()[:60]  # a comment of the format's own, so that no two are the same
    told = b"\xff\xfe" + (len(comment) + 2).to_bytes(2) + comment
    whole = picture[:2] + told + picture[2:]
    return head.encode() + whole + f"\r\n--{mark}--\r\n".encode(), (
        f"multipart/form-data; boundary={mark}"
    )


def photo() -> bytes:
    """A photo of two megapixels with some grain."""
    grain = np.random.default_rng(5).integers(90, 160, (120, 160, 3), dtype=np.uint8)
    held = io.BytesIO()
    Image.fromarray(grain).resize((1600, 1200)).save(held, "JPEG", quality=88)
    return held.getvalue()


def print_on(
    visitor: Visitor, room: int, production: int, run_s: float, over: threading.Event
) -> list[float]:
    """Print packets of changed facts, one after the other, for a time at least and until one is
    finished; then it is over. How long each took.
    """
    took: list[float] = []
    until = time.monotonic() + run_s
    try:
        visitor.begin()
        for number in itertools.count():
            if time.monotonic() >= until:
                break
            _print(visitor, room, production, number, took)
            over.wait(PRINT_PAUSE_S)
    finally:
        over.set()
    return took


def _print(visitor: Visitor, room: int, production: int, number: int, took: list[float]) -> None:
    note = {"text": f"Print {number}", "audience": "crew"}
    visitor.form("save", f"/room/{room}/notes/new", note)
    begun = time.monotonic()
    making = visitor.form("print", f"/productions/{production}/packets", {"edition": "whole"})
    told = ""
    while making and time.monotonic() < begun + PRINT_S:
        told, _ = visitor.ask("progress", "GET", f"{making}.json")
        if '"over":true' in told.replace(" ", ""):
            break
        time.sleep(0.5)
    if '"state":"done"' not in told.replace(" ", ""):
        visitor.said.append(Asked("print", time.monotonic() - begun, 0, making))
        return
    took.append(time.monotonic() - begun)


@dataclass(frozen=True)
class House:
    """What there is to work on: keys of the rooms that people edit, of the one that is printed, of
    its production, and a session each.
    """

    rooms: tuple[int, ...]
    printed: int
    production: int
    cookies: tuple[str, ...]


def built(settings: Settings, count: int, share: float = SHARE, *, demo: bool = False) -> House:
    """A catalogue, a room for each person, and a production to print: of one room, or the
    demonstration.
    """
    prepare(settings)
    fill(settings, share)
    prepare(settings)
    with open_work(settings) as work:
        if demo:
            shown = load_demo(work, places.DEMO_DATA)[2]
        place = locations.add_location(
            work,
            LocationRecord.read(
                {"name": "Bench House", "latitude_deg": 52.2, "longitude_deg": 0.12}
            ),
        )
        record = RoomRecord.read(ROOM)
        keys = [rooms.add_room(work, place, record) for _ in range(count + 1)]
        job = productions.add_production(
            work, ProductionRecord.read({"title": "Bench", "shoot_dates": ["2027-06-20"]})
        )
        scene = productions.add_scene(work, job, SceneRecord.read({"name": "Talk"}))
        productions.add_candidate(work, scene, keys[-1], CandidateRecord())
        printed = keys.pop()
        if demo:
            first = jobs.scenes(work.db, shown)[0].id
            job, printed = shown, jobs.candidates(work.db, scene_id=first)[0].room_id
        tokens = [_session(work, number) for number in range(count + 1)]
    app = create_app(settings)
    signer = app.session_interface.get_signing_serializer(app)  # type: ignore[attr-defined]
    name = app.config["SESSION_COOKIE_NAME"]
    cookies = [f"{name}={signer.dumps({'_user_id': one, '_fresh': True})}" for one in tokens]
    return House(tuple(keys), printed, job, tuple(cookies))


def _session(work: Work, number: int) -> str:
    person = Person(name=f"Bench {number}", email=f"bench{number}@example.org")
    row = people.put_person(work, person, "", "owner")  # nobody logs in by it: it is no hash of any
    return people.begin_session(work, row.id)


@contextmanager
def process(settings: Settings, *command: str) -> Iterator[int]:
    """A process of the program, and the port of its pages; ended with the block."""
    env = {key: one for key, one in os.environ.items() if not key.startswith("SILLBOOK_")}
    env |= {"SILLBOOK_DATA": str(settings.data_dir), "PYTHONUNBUFFERED": "1"}
    if settings.database_url is not None:
        env["SILLBOOK_DATABASE_URL"] = settings.database_url
    running = subprocess.Popen(  # noqa: S603
        [sys.executable, "-m", "scout", *command],
        env=env,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    assert running.stdout is not None
    try:
        first = running.stdout.readline()
        found = re.search(r":(\d+)/", first)
        yield int(found[1]) if found else 0
    finally:
        running.terminate()
        try:
            running.wait(15)
        except subprocess.TimeoutExpired:
            running.kill()
            running.wait()
        running.stdout.close()


def together(
    house: House, ports: Sequence[int], pause_s: float, run_s: float, size: int
) -> tuple[list[Asked], list[float]]:
    """Everybody at work at once: all that was asked, and how long each packet took."""
    picture, over = photo(), threading.Event()
    visitors = [
        Visitor(port, cookie)
        for port, cookie in zip(itertools.cycle(ports), house.cookies, strict=False)
    ]
    printed: list[float] = []
    threads = [
        threading.Thread(target=work_on, args=(visitor, room, size, pause_s, over, picture, number))
        for number, (visitor, room) in enumerate(zip(visitors, house.rooms, strict=False))
    ]
    threads.append(
        threading.Thread(
            target=lambda: printed.extend(
                print_on(visitors[-1], house.printed, house.production, run_s, over)
            )
        )
    )
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    for visitor in visitors:
        visitor.leave()
    return [one for visitor in visitors for one in visitor.said], printed


def p95_s(asked: Sequence[Asked], kind: str) -> float:
    """The time that 95 of 100 deeds of a kind take at most. Raises ValueError where there is none."""
    took = sorted(one.took_s for one in asked if one.kind == kind)
    if not took:
        raise ValueError(f"nobody did a {kind}")
    return took[math.ceil(0.95 * len(took)) - 1]


def idle_s(house: House, ports: Sequence[int], size: int, count: int = IDLE_READS) -> float:
    """The same for one person alone, on all processes in turn, after as many reads to warm up."""
    chance = random.Random(7)  # noqa: S311  # the same reads in each run
    alone = [Visitor(port, house.cookies[0]) for port in ports]
    for number in range(2 * count):
        kind = "warm" if number < count else "read"
        alone[number % len(alone)].ask(kind, "GET", addresses(size, chance))
    for visitor in alone:
        visitor.leave()
    return p95_s([one for visitor in alone for one in visitor.said], "read")


def errors_row(name: str, asked: Sequence[Asked]) -> Row:
    """How many deeds failed, with the first that did."""
    failed = [one for one in asked if one.failed]
    told = f", first {failed[0].kind} {failed[0].path}: {failed[0].status}" if failed else ""
    title, share = f"{name}: errors of {len(asked)} deeds{told}", round(len(failed) / len(asked), 4)
    return Row(title, len(failed), "errors", "all deeds", share, "at most 0", not failed)


def most_row(name: str, value_s: float, floor: str, floor_s: float, most: float) -> Row:
    """A time that may be so many floors at most."""
    ratio = value_s / floor_s
    ms, told = round(value_s * 1000, 1), f"{floor} ({floor_s * 1000:.0f} ms)"
    return Row(name, ms, "ms", told, round(ratio, 2), f"at most {most:g}", ratio <= most)


def printed_row(name: str, printed: Sequence[float]) -> Row:
    """Packets finished while everybody was at work."""
    slowest, count = max(printed, default=0.0), len(printed)
    title = f"{name}: packets printed meanwhile, the slowest in {slowest:.1f} s"
    return Row(title, count, "packets", "one packet", count, "at least 1", bool(printed))


def rows() -> Iterator[Row]:
    """The embedded default; and several processes, where a PostgreSQL server is named."""
    yield from _embedded()
    if (server := os.environ.get("SILLBOOK_TEST_POSTGRES_URL")) is not None:
        yield from _several(server)


def _embedded() -> Iterator[Row]:
    with tempfile.TemporaryDirectory(prefix="sillbook-bench-") as folder, ExitStack() as stack:
        settings = Settings(Path(folder))
        house = built(settings, FEW, demo=True)
        size = round(50_000 * SHARE)
        port = stack.enter_context(process(settings, "serve", "--port", "0"))
        idle_s(house, [port], size)
        asked, printed = together(house, [port], FEW_PAUSE_S, RUN_S, size)
    name = f"{FEW} people, embedded"
    yield errors_row(name, asked)
    longest = max(one.took_s for one in asked if one.kind == "save")
    yield most_row(f"{name}: the longest save", longest, "two seconds", LONGEST_SAVE_S, 1.0)
    yield printed_row(name, printed)


def _several(server: str) -> Iterator[Row]:
    with (
        tempfile.TemporaryDirectory(prefix="sillbook-bench-") as folder,
        on_server(server) as url,
        ExitStack() as stack,
    ):
        settings = Settings(Path(folder), database_url=url)
        house = built(settings, MANY, demo=True)
        size = round(50_000 * SHARE)
        serve = ("serve", "--port", "0", "--workers", "0")
        ports = [stack.enter_context(process(settings, *serve)) for _ in range(3)]
        for _ in range(2):
            stack.enter_context(process(settings, "work"))
        alone_s = idle_s(house, ports, size)
        asked, printed = together(house, ports, THEIR_PAUSE_S, RUN_S, size)
    name = f"{MANY} people, three processes and two workers, PostgreSQL"
    yield errors_row(name, asked)
    read_s = p95_s(asked, "read")
    yield most_row(f"{name}: reads, 95 of 100", read_s, "the same alone", alone_s, MOST_TIMES)
    yield most_row(f"{name}: saves, 95 of 100", p95_s(asked, "save"), "two seconds", 2.0, 1.0)
    yield printed_row(name, printed)
