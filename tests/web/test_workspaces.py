"""Two groups on one server, whose rooms have the same keys: nothing of one is seen by the other, by
page, search, file, key, link, job or figure.

property: a mark that stands in every text of one group is looked for in all that the other is shown.
"""

from __future__ import annotations

import io
import json
import re
import shutil
import threading
import time
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from click.testing import CliRunner
from jinja2 import FileSystemBytecodeCache
from pypdf import PdfReader
from werkzeug.test import Client, TestResponse

from scout import workspaces
from scout.cli import apart, work_command, workspace_command
from scout.errors import Refused
from scout.records import (
    CandidateRecord,
    GateRecord,
    LinkRecord,
    LocationRecord,
    NoteRecord,
    Person,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
    TokenRecord,
)
from scout.settings import Settings
from scout.store import engine as databases
from scout.store import models
from scout.store.queue import queue
from scout.usecases import (
    gates,
    locations,
    notes,
    people,
    productions,
    revisions,
    rooms,
    sharing,
    tokens,
)
from scout.usecases.checking import check
from scout.usecases.work import Who, open_work
from scout.web.people import HALF
from scout.web.security import API
from scout.web.workspaces import NOWHERE, Workspaces
from tests.web.conftest import PASSWORD
from tests.web.real_server import Answer, served
from tests.web.test_printings import until
from tests.web.test_roles import PAGES, addresses

MARKS = {"mill": "MILLMARK", "barn": "BARNMARK"}
OTHER = {"mill": "barn", "barn": "mill"}


@dataclass
class Two:
    """Both groups behind one application, and what opens doors in each."""

    both: Workspaces
    settings: dict[str, Settings]
    session: dict[str, str]
    token: dict[str, str]
    link: dict[str, str]
    code: dict[str, str]

    def ask(self, host: str, path: str, **rest: object) -> TestResponse:
        client = Client(self.both, TestResponse, use_cookies=False)
        return client.get(path, base_url=f"http://{host}", **rest)

    def page(self, name: str, path: str) -> str:
        host = f"{name}.example.org"
        answer = self.ask(host, path, headers={"Cookie": f"sillbook={self.session[name]}"})
        assert answer.status_code in (200, 404), (path, answer.status_code)
        assert answer.data
        answer.close()
        if answer.mimetype == "application/zip":
            with zipfile.ZipFile(io.BytesIO(answer.data)) as archive:
                return archive.read("person.json").decode()
        return answer.text


def fill(settings: Settings, mark: str) -> tuple[str, str, str]:
    """The same rows under the same keys, with a mark in each text; a key, a link, a packet's code."""
    with open_work(settings) as work:
        people.add_person(work, Person(name=mark, email="ada@example.org"), PASSWORD)
    who = Who(1, mark, "ada@example.org", "owner")
    with open_work(settings, who) as work:
        key = tokens.make_token(work, TokenRecord(name=mark))
        place = locations.add_location(
            work,
            LocationRecord(
                name=f"{mark} house", address=mark, latitude_deg=52.0, longitude_deg=0.1
            ),
        )
        shape = {"width_m": 4, "length_m": 5, "height_m": 2.5, "setting": "interior"}
        room = rooms.add_room(work, place, RoomRecord.read({"name": f"{mark} loft", **shape}))
        notes.add_note(work, "room", room, NoteRecord(text=mark))
        gates.add(work, place, GateRecord(label=mark, code=mark))
        job = productions.add_production(
            work,
            ProductionRecord.read(
                {"title": f"{mark} film", "client": mark, "shoot_dates": ["2027-06-20"]}
            ),
        )
        scene = productions.add_scene(work, job, SceneRecord(name=f"{mark} talk"))
        productions.add_candidate(work, scene, room, CandidateRecord(reason=mark))
        code = revisions.code_of(work, job)
        link = sharing.make_link(work, "day", job, LinkRecord(name=mark))
    return key, f"/r/{link}", code


@pytest.fixture(scope="module")
def two(
    sqlite_template: Path,
    tmp_path_factory: pytest.TempPathFactory,
    compiled: FileSystemBytecodeCache,
) -> Iterator[Two]:
    """Both groups, on a machine whose environment gives one secret for all."""
    folder = tmp_path_factory.mktemp("two")
    base = Settings(data_dir=folder, workspaces=folder, secret_key="s" * 40)
    made = Two(Workspaces(base, folder), {}, {}, {}, {}, {})
    for name, mark in MARKS.items():
        new = workspaces.Workspace(name, folder / name, (f"{name}.example.org",))
        own = workspaces.add(base, folder, new).settings(base)
        shutil.copy(sqlite_template, own.data_dir / "sillbook.db")
        made.settings[name] = own
        made.token[name], made.link[name], made.code[name] = fill(own, mark)
    for name in MARKS:
        app = made.both.app_of(made.both.found()[name])
        app.jinja_env.bytecode_cache = compiled
        client = app.test_client()
        with open_work(made.settings[name]) as work, client.session_transaction() as session:
            session["_user_id"], session["_fresh"] = people.begin_session(work, 1), True
        kept = client.get_cookie("sillbook")
        assert kept is not None
        made.session[name] = kept.value
    yield made
    for own in made.settings.values():
        databases.engine(own.url).dispose()


def test_no_page_or_answer_of_one_says_a_word_of_the_other(two: Two) -> None:
    app = two.both.app_of(two.both.found()["mill"])
    programs = [
        path
        for method, path, _ in addresses(app, 1)
        if method == "GET" and path.startswith(API) and not path.endswith("openapi.json")
    ]
    found = [*PAGES, "/changes", "/people", "/links", "/bin", "/mine/file", "/files/locations.csv"]
    found += ["/find?text=loft", "/locations?text=house"]
    told = dict.fromkeys(MARKS, 0)
    for n, path in enumerate((*found, *programs)):
        for name in (("mill", "barn"), ("barn", "mill"))[n % 2]:  # either after the other
            text = two.page(name, path)
            assert MARKS[OTHER[name]] not in text, (name, path)
            told[name] += MARKS[name] in text
    assert min(told.values()) > 30
    for name, other in OTHER.items():
        assert 'href="/rooms/1"' in two.page(name, f"/find?text={MARKS[name]}")
        assert 'href="/rooms/1"' not in two.page(name, f"/find?text={MARKS[other]}")


def test_what_opens_one_opens_nothing_of_the_other(two: Two) -> None:
    for name, other in OTHER.items():
        host, away = f"{name}.example.org", f"{other}.example.org"
        cookie = {"Cookie": f"sillbook={two.session[name]}"}
        assert two.ask(host, "/rooms/1", headers=cookie).status_code == 200
        assert two.ask(away, "/rooms/1", headers=cookie).status_code == 302
        key = {"Authorization": f"Bearer {two.token[name]}"}
        assert two.ask(host, f"{API}/rooms/1", headers=key).status_code == 200
        assert two.ask(away, f"{API}/rooms/1", headers=key).status_code == 401
        assert two.ask(host, two.link[name]).status_code == 200
        assert two.ask(away, two.link[name]).status_code == 404


def test_secrets_are_of_one_alone(two: Two, tmp_path: Path) -> None:
    for base in (two.both.base, replace(two.both.base, secret_key=None)):
        keys = set()
        for name in MARKS:
            new = workspaces.Workspace(name, tmp_path / name, ())
            keys.add(new.settings(base).session_key())
        assert len(keys) == 2
        assert base.secret_key not in keys


def test_whose_password_was_right_here_is_nobody_there(two: Two) -> None:
    """A signed cookie between password and code is worth nothing under another name."""
    mill = two.both.app_of(two.both.found()["mill"]).test_client()
    with mill.session_transaction() as session:
        session[HALF] = (1, "ada@example.org", time.time())
    half = mill.get_cookie("sillbook")
    assert half is not None
    cookie = {"Cookie": f"sillbook={half.value}"}
    assert two.ask("mill.example.org", "/login/code", headers=cookie).status_code == 200
    assert two.ask("barn.example.org", "/login/code", headers=cookie).status_code == 302


def test_a_sealed_code_is_opened_at_home_alone(two: Two) -> None:
    with open_work(two.settings["mill"]) as mill, open_work(two.settings["barn"]) as barn:
        assert gates.show(mill, 1, 1).code == MARKS["mill"]
        row, away = barn.db.get(models.GateCode, 1), mill.db.get(models.GateCode, 1)
        assert row is not None
        assert away is not None
        row.sealed = away.sealed
        barn.db.flush()
        assert len(gates.faults(barn)) == 1
        barn.db.rollback()


def test_a_wrong_password_counts_where_it_was_given(two: Two) -> None:
    with open_work(two.settings["mill"]) as work:
        for _ in range(20):
            people.may_try(work, "ada@example.org", "192.0.2.1", None)
        assert people.may_try(work, "ada@example.org", "192.0.2.1", None) is None
    with open_work(two.settings["barn"]) as work:
        assert people.may_try(work, "ada@example.org", "192.0.2.1", None) is not None


def counted(two: Two, name: str) -> dict[str, float]:
    answer = two.ask(f"{name}.localhost", "/metrics", environ_base={"REMOTE_ADDR": "127.0.0.1"})
    assert answer.status_code == 200
    lines = re.findall(
        r'^sillbook_requests_total\{.*?rule="([^"]+)".*?\} (\S+)$', answer.text, re.M
    )
    assert not any(mark in answer.text for mark in (*MARKS.values(), *MARKS))
    return {rule: float(value) for rule, value in lines}


def test_figures_are_of_one_alone(two: Two) -> None:
    before, away = counted(two, "mill"), counted(two, "barn")
    two.ask("mill.example.org", "/health")
    assert counted(two, "mill").get("/health", 0) == before.get("/health", 0) + 1
    assert counted(two, "barn").get("/health", 0) == away.get("/health", 0)


@pytest.mark.parametrize(
    ("host", "near", "status"),
    [
        ("mill.example.org", False, 200),
        ("MILL.Example.org.:8520", False, 200),
        ("mill.localhost:8520", True, 200),
        ("mill.localhost", False, 404),  # by its name alone nobody comes in from elsewhere
        ("mill", True, 404),
        ("localhost", True, 404),
        ("127.0.0.1", True, 404),
        ("mill.example.org.evil.example", False, 404),
        ("example.org", False, 404),
        ("ill.example.org", False, 404),
        ("nobody.localhost", True, 404),
    ],
)
def test_hosts(two: Two, host: str, near: bool, status: int) -> None:
    asking = {"REMOTE_ADDR": "127.0.0.1" if near else "192.0.2.7"}
    answer = two.ask(host, "/login", environ_base=asking)
    assert answer.status_code == status
    if status == 404:
        assert answer.data == NOWHERE


def test_what_a_proxy_hands_on_is_not_from_this_machine(two: Two) -> None:
    near = {"REMOTE_ADDR": "127.0.0.1"}
    forwarded = {"X-Forwarded-For": "192.0.2.7"}
    answer = two.ask("mill.localhost", "/login", environ_base=near, headers=forwarded)
    assert answer.status_code == 404
    nameless = Client(two.both, TestResponse).open("/login", environ_overrides={"HTTP_HOST": ""})
    assert nameless.status_code == 404


def test_the_real_server_answers_by_the_host(two: Two) -> None:
    with served(two.both.base) as visitor:
        for name in MARKS:
            visitor.cookie = f"sillbook={two.session[name]}"
            told = visitor.ask("GET", "/locations/1", Host=f"{name}.example.org")
            assert (told.status, MARKS[name] in told.text) == (200, True)
            away = visitor.ask("GET", "/locations/1", Host=f"{OTHER[name]}.example.org")
            assert away.status == 302
        assert visitor.ask("GET", "/locations/1").status == 404  # by the address alone


def test_a_job_is_done_where_it_was_asked(two: Two, monkeypatch: pytest.MonkeyPatch) -> None:
    done: list[tuple[str | None, str]] = []
    came = threading.Event()

    def note(settings: Settings, key: str) -> None:
        done.append((settings.workspace, key))
        came.set()

    monkeypatch.setattr(work_command, "print_one", note)
    with work_command.working(two.both.base):
        for name in MARKS:
            came.clear()
            own = two.settings[name]
            queue(own.url, own.data_dir).send(f"job of {name}")
            assert came.wait(10)
        for own in two.settings.values():
            assert queue(own.url, own.data_dir).last_sign() is not None
    assert done == [("mill", "job of mill"), ("barn", "job of barn")]


@pytest.mark.postgres
def test_one_may_keep_in_postgresql(on_postgres: Settings, tmp_path: Path, two: Two) -> None:
    base = Settings(data_dir=tmp_path, workspaces=tmp_path, secret_key="s" * 40)
    url = on_postgres.database_url
    new = workspaces.Workspace("inn", tmp_path / "inn", ("inn.example",), url)
    inn = workspaces.add(base, tmp_path, new).settings(base)
    assert inn.url == on_postgres.url
    fill(inn, "INNMARK")
    with open_work(inn) as work:
        session = people.begin_session(work, 1)
    both = Workspaces(base, tmp_path)
    client = both.app_of(both.found()["inn"]).test_client()
    with client.session_transaction(base_url="http://inn.example") as kept:
        kept["_user_id"], kept["_fresh"] = session, True
    text = client.get("/rooms/1", base_url="http://inn.example").text
    assert "INNMARK" in text
    assert not any(mark in text for mark in MARKS.values())
    assert "INNMARK" not in two.page("mill", "/rooms/1")


def test_one_that_is_removed_is_gone_and_keeps_all(two: Two, tmp_path: Path) -> None:
    base = replace(two.both.base, workspaces=tmp_path, data_dir=tmp_path)
    both = Workspaces(base, tmp_path)
    workspaces.add(base, tmp_path, workspaces.Workspace("inn", tmp_path / "inn", ("inn.example",)))
    database = tmp_path / "inn" / "sillbook.db"
    shutil.copy(two.settings["mill"].data_dir / "sillbook.db", database)
    client = Client(both, TestResponse)
    assert client.get("/login", base_url="http://inn.example").status_code != 404
    assert workspaces.remove(tmp_path, "inn") == tmp_path / "inn"
    both._read_at = float("-inf")
    assert client.get("/login", base_url="http://inn.example").status_code == 404
    assert database.is_file()
    assert both._apps == {}
    databases.engine(f"sqlite:///{database}").dispose()


def test_a_file_that_somebody_breaks_closes_no_page(two: Two, tmp_path: Path) -> None:
    base = replace(two.both.base, workspaces=tmp_path, data_dir=tmp_path)
    for name in MARKS:
        new = workspaces.Workspace(name, tmp_path / name, (f"{name}.example",))
        own = workspaces.add(base, tmp_path, new)
        shutil.copy(two.settings[name].data_dir / "sillbook.db", own.folder / "sillbook.db")
    both = Workspaces(base, tmp_path)
    client = Client(both, TestResponse)

    def status(name: str) -> int:
        both._read_at = float("-inf")
        return client.get("/health", base_url=f"http://{name}.example").status_code

    assert status("mill") == 200
    (tmp_path / "barn" / "workspace.json").write_text("{", encoding="utf-8")
    assert (status("mill"), status("barn")) == (200, 200)
    assert set(workspaces.of_each(base)) == {"mill"}, "whose packets are printed meanwhile"
    (tmp_path / "barn" / "workspace.json").unlink()
    (tmp_path / "mill" / "workspace.json").write_text("{", encoding="utf-8")
    assert (status("mill"), status("barn")) == (200, 404), "what is removed is gone all the same"
    again = Client(Workspaces(base, tmp_path), TestResponse)
    assert again.get("/health", base_url="http://mill.example").status_code == 503
    for name in MARKS:
        databases.engine(f"sqlite:///{tmp_path / name / 'sillbook.db'}").dispose()


def test_a_database_that_one_left_may_be_another_s(two: Two, tmp_path: Path) -> None:
    base = replace(two.both.base, workspaces=tmp_path, data_dir=tmp_path)
    urls = [f"sqlite:///{tmp_path / name}" for name in ("one.db", "two.db")]
    for url, name in zip(urls, MARKS, strict=True):
        shutil.copy(two.settings[name].data_dir / "sillbook.db", url.removeprefix("sqlite:///"))
    both = Workspaces(base, tmp_path)
    mill, barn = (workspaces.Workspace(name, tmp_path / name, ()) for name in MARKS)
    both.app_of(replace(mill, database=urls[0]))
    with pytest.raises(Refused):
        both.app_of(replace(barn, database=urls[0]))
    both.app_of(replace(mill, database=urls[1]))
    both.app_of(replace(barn, database=urls[0]))
    for url in urls:
        databases.engine(url).dispose()


def _other_name(url: str) -> str:
    """The same database as its server knows it, under an address that reads otherwise."""
    return f"{url}{'&' if '?' in url else '?'}application_name=other"


@pytest.mark.postgres
def test_a_database_is_one_under_all_the_names_of_its_server(
    on_postgres: Settings, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    url = on_postgres.database_url
    assert url is not None
    monkeypatch.setenv("SILLBOOK_WORKSPACES", str(tmp_path))
    ran = CliRunner().invoke(workspace_command.command, ["add", "inn", "--database", url])
    assert ran.exit_code == 0, ran.output
    again = ["add", "weir", "--database", _other_name(url)]
    ran = CliRunner().invoke(workspace_command.command, again)
    assert isinstance(ran.exception, Refused), ran.output
    assert "inn" in str(ran.exception)
    base = Settings(data_dir=tmp_path, workspaces=tmp_path, secret_key="s" * 40)
    assert set(workspaces.all_in(tmp_path)) == {"inn"}, "what was refused is there for nobody"
    # and one that a hand wrote into its file: whoever is opened first has it
    new = workspaces.Workspace("weir", tmp_path / "weir", (), _other_name(url))
    workspaces.add(base, tmp_path, new)
    near = {"base_url": "http://weir.localhost", "environ_base": {"REMOTE_ADDR": "127.0.0.1"}}
    client = Client(Workspaces(base, tmp_path), TestResponse)
    assert client.get("/login", **near | {"base_url": "http://inn.localhost"}).status_code != 503
    assert client.get("/login", **near).status_code == 503
    databases.engine(_other_name(url)).dispose()


def test_a_file_is_one_database_under_two_names(two: Two, tmp_path: Path) -> None:
    own = two.settings["mill"].data_dir / "sillbook.db"
    (tmp_path / "other.db").hardlink_to(own)
    alias = f"sqlite:///{tmp_path / 'other.db'}"
    assert databases.identity(alias) == databases.identity(two.settings["mill"].url)
    assert databases.identity(alias) != databases.identity(two.settings["barn"].url)
    databases.engine(alias).dispose()


def test_packets_of_two_groups_are_printed_side_by_side(two: Two) -> None:
    asked: dict[str, list[str]] = {}
    with served(two.both.base) as visitor:

        def ask(name: str, method: str, path: str, **form: str) -> Answer:
            visitor.cookie = f"sillbook={two.session[name]}"
            host = f"{name}.example.org"
            if method == "POST":
                page = visitor.ask("GET", "/words", Host=host).text
                token = re.search(r'name="csrf_token" value="([^"]+)"', page)
                assert token is not None
                form = {**form, "csrf_token": token[1]}
            return visitor.ask(method, path, form if method == "POST" else None, Host=host)

        def over() -> bool:
            return all(
                json.loads(ask(name, "GET", f"{page}.json").text)["over"]
                for name, pages in asked.items()
                for page in pages
            )

        for edition in ("form", "day"):
            for name in MARKS:
                there = ask(name, "POST", "/productions/1/packets", edition=edition)
                assert there.status == 303, there.text
                asked.setdefault(name, []).append(str(there.headers["Location"]))
        given_up = asked["barn"][1]
        ask("mill", "POST", f"{given_up}/cancel")  # another group's
        assert json.loads(ask("barn", "GET", f"{given_up}.json").text)["state"] == "waiting"
        assert ask("barn", "POST", f"{given_up}/cancel").status in (302, 303)
        with apart.workers_apart(two.both.base, 2):
            until(over)
        for name, pages in asked.items():
            for page in pages:
                told = json.loads(ask(name, "GET", f"{page}.json").text)
                assert told["state"] == ("cancelled" if page == given_up else "done"), told
                assert ask(OTHER[name], "GET", f"{page}.json").status == 404
    for name, own in two.settings.items():
        printed = sorted((own.data_dir / "packets").iterdir())
        assert len(printed) == (2 if name == "mill" else 1)
        text = "".join(page.extract_text() for one in printed for page in PdfReader(one).pages)
        assert MARKS[name] in text
        assert MARKS[OTHER[name]] not in text
        with open_work(own, reading=True) as work:
            assert not [one for one in check(work).left_over if "originals" not in one]
    assert not list(two.both.base.data_dir.glob("*.part*"))
