"""A browser without pictures: Flask's test client with the token of its forms, over a real database
of its own.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from argon2 import PasswordHasher
from flask import Flask, g, has_app_context
from flask.testing import FlaskClient
from jinja2 import FileSystemBytecodeCache
from PIL import Image
from werkzeug.routing import Rule
from werkzeug.test import TestResponse

from scout.pages import once
from scout.records import Person
from scout.settings import Settings
from scout.store import engine as databases
from scout.store.writers import AT_WORK
from scout.usecases import people
from scout.usecases.work import Work, open_work
from scout.web.app import create_app

PASSWORD = "a long enough one"
WEIR = {
    "name": "Weir House",
    "latitude_deg": "52.2",
    "longitude_deg": "0.12",
    "address": "1 Example Lane",
}
PARLOUR = {
    "name": "Long parlour",
    "setting": "interior",
    "width_m": "5",
    "length_m": "6.5",
    "height_m": "2.7",
}


@pytest.fixture(autouse=True)
def _no_save_waits_for_figures(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is kept by `once` may take seconds: no request may hold the writer's place over it, whether
    it happens to be worked out already or not.
    """
    named = once.content_key

    def looked_on(asked: Any) -> str:
        opened = g.get("work") if has_app_context() else None
        if opened is not None and opened.db.in_transaction():
            assert AT_WORK not in opened.db.connection().info, "figures under a write lock"
        return named(asked)

    monkeypatch.setattr(once, "content_key", looked_on)


class Browser:
    """One person's session: sends the token of its forms, as a page would."""

    def __init__(self, client: FlaskClient) -> None:
        self.client = client
        self._token = ""

    def get(self, path: str, **rest: Any) -> TestResponse:
        return without_chance(self.client.get(path, buffered=True, **rest))

    def token(self) -> str:
        if not self._token:
            found = re.search(
                r'name="csrf_token" value="([^"]+)"',
                self.client.get("/words", follow_redirects=True).text,
            )
            assert found is not None
            self._token = found[1]
        return self._token

    def post(self, path: str, data: dict[str, Any] | None = None, **rest: Any) -> TestResponse:
        answer = self.client.post(
            path, data={"csrf_token": self.token(), **(data or {})}, buffered=True, **rest
        )
        answer.request.environ[
            "wsgi.input"
        ].close()  # the client spools a long request to disk and leaves it open
        return without_chance(answer)

    def forget(self) -> None:
        """A session begun anew has a token of its own."""
        self._token = ""

    def done(self, path: str, data: dict[str, Any] | None = None) -> str:
        """Post a form that must be accepted; the path it leads to, without anchor."""
        answer = self.post(path, data)
        assert answer.status_code in (302, 303), (answer.status_code, faults(answer))
        return answer.headers["Location"].partition("#")[0]

    def log_in(self, email: str = "ada@example.org", password: str = PASSWORD) -> TestResponse:
        answer = self.post("/login", {"email": email, "password": password})
        self.forget()
        return answer


def without_chance(answer: TestResponse) -> TestResponse:
    """A page without what is drawn by lot: a form's token, or a file's mark, may spell `W1` or `34`
    and fool a test that looks for those.
    """
    if answer.mimetype == "text/html":
        answer.set_data(re.sub(r'(name="csrf_token" value="|\?v=)[^"&]*', r"\1…", answer.text))
    return answer


def faults(answer: TestResponse) -> list[str]:
    """What a page says is wrong, field by field."""
    return [
        re.sub(r"<[^>]+>", "", found)
        for found in re.findall(r'<p class="fault"[^>]*>(.*?)</p>', answer.text, re.S)
    ]


def summary(answer: TestResponse) -> list[str]:
    """What a page says is wrong, at its top."""
    block = re.search(r'<section class="faults".*?</section>', answer.text, re.S)
    return (
        [
            re.sub(r"<[^>]+>", "", found).strip()
            for found in re.findall(r"<li[^>]*>(.*?)</li>", block[0], re.S)
        ]
        if block
        else []
    )


def value_of(answer: TestResponse, name: str) -> str:
    """What stands in a field of a page, as the page has it."""
    area = re.search(
        rf'<textarea[^>]* name="{re.escape(name)}"[^>]*>\n?(.*?)</textarea>', answer.text, re.S
    )
    if area:
        return area[1]
    box = re.search(
        rf'<input[^>]* name="{re.escape(name)}"[^>]* value="([^"]*)"', answer.text
    ) or re.search(rf'<input[^>]* name="{re.escape(name)}"[^>]*value="([^"]*)"', answer.text)
    if box:
        return box[1]
    select = re.search(rf'<select[^>]* name="{re.escape(name)}".*?</select>', answer.text, re.S)
    chosen = re.search(r'<option value="([^"]*)" selected', select[0]) if select else None
    return chosen[1] if chosen else ""


@pytest.fixture(scope="module", autouse=True)
def quick_hashes() -> Iterator[None]:
    """argon2 with little work: what these tests ask of it is the same, and they ask a hundred
    times.
    """
    with pytest.MonkeyPatch.context() as patch:
        hasher = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
        patch.setattr(people, "_hasher", hasher)
        patch.setattr(people, "_NOBODY", hasher.hash("nobody has this password"))
        yield


@pytest.fixture(scope="session", autouse=True)
def addresses_compiled_once() -> Iterator[None]:
    """What makes a page's address is compiled once for all the applications of a session: each test
    makes one, and 220 addresses take longer to compile than most tests to run.
    """
    held: dict[tuple[str, bool], Callable[..., tuple[str, str]]] = {}
    compiling = Rule._compile_builder

    def once(rule: Rule, append_unknown: bool = True) -> Callable[..., tuple[str, str]]:
        if rule.defaults:
            return compiling(rule, append_unknown)
        key = (rule.rule, append_unknown)
        if key not in held:
            held[key] = compiling(rule, append_unknown)
        return held[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Rule, "_compile_builder", once)
        yield


@pytest.fixture(scope="session")
def ada_template(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty database in which Ada may log in, to copy: hashing her password for every test would
    take longer than the tests.
    """
    settings = Settings(data_dir=tmp_path_factory.mktemp("ada"))
    path = settings.data_dir / "sillbook.db"
    shutil.copy(sqlite_template, path)
    with open_work(settings) as work:
        people.add_person(work, Person(name="Ada Example", email="ada@example.org"), PASSWORD)
    databases.engine(settings.url).dispose()
    return path


@pytest.fixture(scope="session")
def compiled(tmp_path_factory: pytest.TempPathFactory) -> FileSystemBytecodeCache:
    """Compiled templates, shared by the applications of all tests."""
    return FileSystemBytecodeCache(str(tmp_path_factory.mktemp("templates")))


@pytest.fixture
def app(embedded: Settings, ada_template: Path, compiled: FileSystemBytecodeCache) -> Flask:
    """The application over an empty database in which Ada may log in."""
    shutil.copy(ada_template, embedded.data_dir / "sillbook.db")
    made = create_app(embedded)
    made.jinja_env.bytecode_cache = compiled
    return made


def logged_in(app: Flask) -> Browser:
    """Ada's session, begun without the work of checking her password."""
    browser = Browser(app.test_client())
    with (
        browser.client.session_transaction() as session,
        open_work(app.config["SILLBOOK"]) as work,
    ):
        session["_user_id"], session["_fresh"] = people.begin_session(work, 1), True
    assert browser.get("/words").status_code == 200
    return browser


@pytest.fixture
def stranger(app: Flask) -> Browser:
    """Somebody not logged in."""
    return Browser(app.test_client())


@pytest.fixture
def ada(app: Flask) -> Browser:
    """Ada, logged in."""
    return logged_in(app)


@pytest.fixture
def second(app: Flask) -> Browser:
    """Ada again, on another machine."""
    return logged_in(app)


@pytest.fixture
def look(embedded: Settings) -> Callable[[Callable[[Work], Any]], Any]:
    """What is kept, read past the pages."""

    def ask(question: Callable[[Work], Any]) -> Any:
        with open_work(embedded, reading=True) as work:
            return question(work)

    return ask


@pytest.fixture
def place(ada: Browser) -> str:
    """The page of a location."""
    return ada.done("/locations/new", WEIR)


@pytest.fixture
def parlour(ada: Browser, place: str) -> str:
    """The page of a room in it."""
    return ada.done(f"{place}/rooms/new", PARLOUR)


@pytest.fixture
def picture() -> bytes:
    """A small photo."""
    buffer = BytesIO()
    Image.new("RGB", (64, 48), (200, 40, 40)).save(buffer, "JPEG")
    return buffer.getvalue()
