"""Packets asked for through servers as people run them: several processes on one folder, killed in
the middle, asked twice.
"""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from datetime import timedelta
from functools import partial
from pathlib import Path
from typing import Any

import psycopg
import pytest
from sqlalchemy import select

from scout import records
from scout.cli import apart
from scout.cli.work_command import print_one
from scout.errors import NotFound, Refused
from scout.pages.packet.printing import PRINTER
from scout.records import CandidateRecord, LocationRecord, ProductionRecord, RoomRecord, SceneRecord
from scout.settings import Settings
from scout.store import models
from scout.store.queue import Queue
from scout.usecases import locations, packets, people, printings, productions, rooms
from scout.usecases.checking import check
from scout.usecases.revisions import Wanted
from scout.usecases.watching import standing
from scout.usecases.work import open_work, prepare
from tests.days import bare_demo
from tests.web.conftest import Browser
from tests.web.page_check import faults_of
from tests.web.real_server import Visitor


@contextmanager
def process(settings: Settings, *arguments: str) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """`scout ...` as a process of its own, once it says that it is up; its first line."""
    env = {**os.environ, "SILLBOOK_DATA": str(settings.data_dir)}
    if settings.database_url:
        env["SILLBOOK_DATABASE_URL"] = settings.database_url
    made = subprocess.Popen(
        [sys.executable, "-m", "scout", *arguments], env=env, stdout=subprocess.PIPE, text=True
    )
    try:
        assert made.stdout is not None
        yield made, made.stdout.readline()
    finally:
        made.kill()
        made.wait(10)
        made.stdout.close()


class Person(Visitor):
    """Somebody logged in at a process."""

    def __init__(self, line: str, email: str, password: str) -> None:
        found = re.search(r":(\d+)/", line)
        assert found is not None, line
        super().__init__(int(found[1]))
        self.ask("GET", "/login")
        answer = self.send("/login", "/login", email=email, password=password)
        assert answer.status == 302

    def send(self, page: str, path: str, **form: str) -> Any:
        token = re.search(r'name="csrf_token" value="([^"]+)"', self.ask("GET", page).text)
        assert token is not None
        return self.ask("POST", path, {**form, "csrf_token": token[1]})

    def print(self, production: int, **form: str) -> str:
        """Ask for a packet; the page on which it is watched."""
        page = f"/productions/{production}"
        answer = self.send(page, f"{page}/packets", **form)
        assert answer.status == 303, answer.text
        return str(answer.headers["Location"])

    def state(self, page: str) -> dict[str, Any]:
        found: dict[str, Any] = json.loads(self.ask("GET", f"{page}.json").text)
        return found


def until(true: Callable[[], bool], seconds: float = 120) -> None:
    """Wait for something, and say that it never came."""
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "it never came"
        time.sleep(0.1)


@pytest.fixture
def short(embedded: Settings) -> tuple[Settings, str, str, int]:
    """One scene in a bare room, in a folder of its own: its packet is printed at once."""
    password = "a long enough one"
    with open_work(embedded) as work:
        people.add_person(work, records.Person(name="Ada", email="ada@example.org"), password)
        place = locations.add_location(work, LocationRecord(name="Weir House"))
        room = rooms.add_room(work, place, RoomRecord(name="Parlour", setting="interior"))
        production = productions.add_production(work, ProductionRecord(title="A film"))
        scene = productions.add_scene(work, production, SceneRecord(name="Talk"))
        productions.add_candidate(work, scene, room, CandidateRecord())
    return embedded, "ada@example.org", password, production


@pytest.fixture
def film(embedded: Settings, tmp_path: Path) -> tuple[Settings, str, str, int]:
    """One scene in a room of the demonstration, in a folder of its own: its packet takes seconds."""
    with open_work(embedded) as work:
        email, password, _ = bare_demo(work, tmp_path / "demo")
        production = productions.add_production(work, ProductionRecord(title="A film"))
        scene = productions.add_scene(work, production, SceneRecord(name="Talk"))
        room = work.db.scalars(select(models.Room.id).order_by(models.Room.id)).first()
        assert room is not None
        productions.add_candidate(work, scene, room, CandidateRecord())
    return embedded, email, password, production


def test_two_servers_on_one_folder_print_once_what_is_asked_twice(
    film: tuple[Settings, str, str, int],
) -> None:
    settings, email, password, production = film
    with ExitStack() as stack:
        people = [
            Person(
                stack.enter_context(process(settings, "serve", "--port", "0"))[1], email, password
            )
            for _ in range(2)
        ]
        pages: list[str] = []
        asking = [
            threading.Thread(target=lambda one=one: pages.append(one.print(production)))
            for one in people
        ]
        for thread in asking:
            thread.start()
        for thread in asking:
            thread.join(60)
        assert len(pages) == 2
        assert len(set(pages)) == 1, "asked in two processes: one print"
        # either process knows how far it is, whichever prints it
        until(lambda: people[0].state(pages[0])["over"] and people[1].state(pages[0])["over"])
        assert {one.state(pages[0])["state"] for one in people} == {"done"}
        assert "Revision 1 is printed" in people[1].ask("GET", pages[0]).text
    with open_work(settings, reading=True) as work:
        assert [row.revision for row in work.db.scalars(select(models.Packet))] == [1]
        assert check(work).faults == ()


def printers(server: subprocess.Popen[str]) -> dict[int, int]:
    """The processes that a server started, and how nice each is."""
    shown = subprocess.run(
        ["ps", "-A", "-o", "pid=,ppid=,ni=,stat="], capture_output=True, text=True, check=True
    ).stdout
    lines = [line.split() for line in shown.splitlines()]
    return {
        int(pid): int(nice)
        for pid, parent, nice, state in lines
        if int(parent) == server.pid and not state.startswith("Z")
    }


def gone(pid: int) -> bool:
    """Whether a process is there no more."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return True
    status = Path(f"/proc/{pid}/stat")  # its new parent may not have buried it yet
    return status.exists() and status.read_text().rpartition(")")[2].split()[0] == "Z"


def tries(settings: Settings) -> int:
    """How often the one packet was begun."""
    with open_work(settings, reading=True) as work:
        return work.db.scalars(select(models.Printing.tries)).one()


def fall_silent(settings: Settings) -> None:
    """As if whoever printed had not been heard of for a while."""
    with open_work(settings) as work:
        for row in work.db.scalars(select(models.Printing)):
            row.beat_at -= printings.LOST
        work.commit()


def test_a_print_outlives_the_server_and_the_printer_that_were_killed_over_it(
    film: tuple[Settings, str, str, int],
) -> None:
    settings, email, password, production = film
    with process(settings, "serve", "--port", "0") as (server, line):
        person = Person(line, email, password)
        assert not printers(server), "nothing to print yet"
        page = person.print(production)
        until(lambda: person.state(page)["state"] == "printing")
        ((printer, nice),) = printers(server).items()
        assert nice > os.nice(0), "pages come first"
        server.send_signal(signal.SIGKILL)
        server.wait(10)
        until(lambda: gone(printer), 20)
    fall_silent(settings)
    with process(settings, "serve", "--port", "0") as (server, line):
        person = Person(line, email, password)
        until(lambda: tries(settings) == 2)
        ((printer, _nice),) = printers(server).items()
        os.kill(printer, signal.SIGKILL)
        until(lambda: bool(printers(server)) and printer not in printers(server), 20)
        assert person.state(page)["state"] == "printing", "the pages know of it meanwhile"
        fall_silent(settings)
        until(lambda: person.state(page)["over"])
        assert person.state(page)["state"] == "done"
    with open_work(settings, reading=True) as work:
        assert check(work).faults == ()


def test_a_server_that_is_asked_to_end_ends_in_order_with_whoever_prints_for_it(
    film: tuple[Settings, str, str, int],
) -> None:
    settings, email, password, production = film
    with process(settings, "serve", "--port", "0", "--workers", "3") as (server, line):
        person = Person(line, email, password)
        for edition in ("whole", "form"):  # two hands for two packets, none for a third
            person.print(production, edition=edition)
        until(lambda: len(printers(server)) == 2, 20)
        started = list(printers(server))
        server.send_signal(signal.SIGTERM)
        assert server.wait(20) == 0
        until(lambda: all(gone(one) for one in started), 1)
    log = settings.data_dir / "sillbook.db-wal"
    assert not log.exists() or log.stat().st_size == 0, "all is in the file itself"


def test_whoever_prints_ends_when_nobody_wants_a_packet_and_comes_again(
    short: tuple[Settings, str, str, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    settings, _email, _password, production = short
    monkeypatch.setattr(apart, "REST_S", 0.5)
    begun: list[subprocess.Popen[bytes]] = []
    begin = apart.begin

    def seen(own: Settings) -> subprocess.Popen[bytes]:
        begun.append(begin(own))
        return begun[-1]

    monkeypatch.setattr(apart, "begin", seen)
    with apart.workers_apart(settings):
        until(
            lambda: standing(settings).working, 5
        )  # whoever asks how it stands is told of workers
        assert not begun
        for count, paper in enumerate(("a4", "letter"), 1):
            with open_work(settings) as work:
                key = printings.ask(work, production, Wanted(paper=paper))
            until(partial(over, settings, key))
            until(lambda: begun[-1].poll() == 0, 40)
            assert len(begun) == count


def over(settings: Settings, key: str) -> bool:
    """Whether a packet is printed and no more waited for."""
    with open_work(settings, reading=True) as work:
        one = printings.asked(work, key)
    assert one.state not in {"failed", "cancelled"}
    return one.over


def test_workers_apart_print_for_a_server_that_has_none(
    short: tuple[Settings, str, str, int],
) -> None:
    settings, email, password, production = short
    with process(settings, "serve", "--port", "0", "--workers", "0") as (_, line):
        person = Person(line, email, password)
        page, other = person.print(production, edition="form"), person.print(production)
        assert other != page
        time.sleep(1)
        assert person.state(page)["state"] == "waiting"
        person.send(other, f"{other}/cancel")
        with process(settings, "work"):
            until(lambda: person.state(page)["over"])
        assert person.state(page)["state"] == "done"
        assert person.state(other)["state"] == "cancelled", "what was given up is not printed"


# -- the record of what was asked, on both databases
# -----------------------------------------------------------------------------------------------
@pytest.fixture
def production(settings: Settings) -> int:
    prepare(settings)
    with open_work(settings) as work:
        return productions.add_production(work, ProductionRecord(title="A film"))


def test_what_is_kept_of_the_present_facts_is_given_without_a_worker(
    settings: Settings, production: int
) -> None:
    with open_work(settings) as work:
        printed = packets.print_packet(work, production, PRINTER)
        answer = printings.asked(work, printings.ask(work, production, Wanted()))
        assert (answer.state, answer.packet and answer.packet.id) == ("done", printed.id)
        assert printings.under_way(work, production) == ()
        row = productions.production(work, production).kept
        named = row.record.model_copy(update={"title": "Another film"})
        productions.save_production(work, production, row.version, named)
        assert printings.asked(work, printings.ask(work, production, Wanted())).state == "waiting"


def test_what_no_worker_could_be_told_of_is_on_record_and_found(
    settings: Settings, production: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    def away(*_: object) -> None:
        raise psycopg.OperationalError("the connection is lost")

    monkeypatch.setattr(Queue, "send", away)
    with open_work(settings) as work:
        key = printings.ask(work, production, Wanted())
        assert printings.asked(work, key).state == "waiting"
        monkeypatch.undo()
        later = work.now() + printings.LOST + timedelta(seconds=1)
        work.now = lambda: later
        assert printings.put_back(work) == [key]


def test_the_same_is_one_until_it_is_over_and_a_second_claim_finds_nothing(
    settings: Settings, production: int
) -> None:
    with open_work(settings) as work:
        key = printings.ask(work, production, Wanted())
        assert printings.ask(work, production, Wanted()) == key
        assert printings.ask(work, production, Wanted(paper="letter")) != key
        one = printings.claim(work, key)
        assert one is not None
        assert printings.claim(work, key) is None
        assert [row.state for row in printings.under_way(work, production)] == [
            "printing",
            "waiting",
        ]
        printings.ended(work, one, "failed", because="no paper")
        assert printings.asked(work, key).because == "no paper"
        assert printings.ask(work, production, Wanted()) != key, "what failed can be asked again"
        with pytest.raises(NotFound):
            printings.asked(work, "nothing of the kind")


def test_what_fell_silent_is_printed_by_another_and_the_first_is_not_heard_again(
    settings: Settings, production: int
) -> None:
    with open_work(settings) as work:
        key = printings.ask(work, production, Wanted())
        lost = printings.claim(work, key)
        assert lost is not None
        assert printings.put_back(work) == [], "whoever was heard of a moment ago is alive"
        later = work.now() + printings.LOST + timedelta(seconds=1)
        work.now = lambda: later
        assert printings.put_back(work) == [key]
        taken = printings.claim(work, key)
        assert taken is not None
        assert not printings.beat(work, lost, 1, 2), "it is no longer its own"
        printings.ended(work, lost, "failed", because="too late")
        assert printings.asked(work, key).state == "printing"
        assert printings.beat(work, taken, 1, 2)
        assert (printings.asked(work, key).done, printings.asked(work, key).of) == (1, 2)


def test_what_kills_its_workers_again_and_again_is_given_up(
    settings: Settings, production: int
) -> None:
    with open_work(settings) as work:
        key = printings.ask(work, production, Wanted())
        for _ in range(printings.MOST_TRIES):
            assert printings.claim(work, key) is not None
            later = work.now() + printings.LOST * 2
            work.now = lambda at=later: at
            printings.put_back(work)
        assert printings.asked(work, key).state == "failed"


def test_a_print_that_fails_says_why_and_one_that_breaks_says_nothing_of_its_inside(
    ada: Browser, embedded: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = ada.done("/productions/new", {"title": "A film"})
    why: list[Exception] = [Refused("packet", None, "there is <nothing> to print")]

    def fail(*_: Any, **__: Any) -> Any:
        raise why[0]

    monkeypatch.setattr(packets, "print_packet", fail)
    page = ada.done(f"{job}/packets")
    print_one(embedded, page.rpartition("/")[2])
    said = ada.get(page).text
    assert "there is &lt;nothing&gt; to print" in said
    assert faults_of(said) == []
    why[0] = ZeroDivisionError("inside")
    page = ada.done(f"{job}/packets")
    print_one(embedded, page.rpartition("/")[2])
    said = ada.get(page).text
    assert "went wrong" in said
    assert "inside" not in said


def test_a_cancelled_print_stops_at_its_next_step(settings: Settings, production: int) -> None:
    with open_work(settings) as work:
        key = printings.ask(work, production, Wanted())
        one = printings.claim(work, key)
        assert one is not None
        printings.cancel(work, key)
        assert not printings.beat(work, one, 1, 2)
        printings.ended(work, one, "done")
        assert printings.asked(work, key).state == "cancelled"


def test_two_who_print_at_once_without_the_queue_get_one_revision(
    settings: Settings, production: int
) -> None:
    made: list[tuple[int, int]] = []
    both = threading.Barrier(2, timeout=60)

    def make(*arguments: Any) -> Any:
        done = PRINTER.make(*arguments)
        both.wait()
        return done

    def run() -> None:
        with open_work(settings) as work:
            line = packets.print_packet(
                work, production, packets.Printer(PRINTER.findings, make), Wanted("form")
            )
            made.append((line.id, line.revision))

    threads = [threading.Thread(target=run) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert len(made) == 2
    assert len(set(made)) == 1


def test_the_queue_file_is_for_its_owner_alone(embedded: Settings) -> None:
    with open_work(embedded) as work:
        production = productions.add_production(work, ProductionRecord(title="A film"))
        printings.ask(work, production, Wanted())
    path: Path = embedded.data_dir / "queue.db"
    assert path.stat().st_mode & 0o077 == 0
