"""Who may do what and who reads what: every address asked in every role, and what stands on the
pages of those who may not read everything.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask, g

from scout.records.people import Role
from scout.usecases import locations
from scout.usecases.roles import ROLES, reads_as
from scout.usecases.work import Who, open_work
from scout.web.app import create_app
from scout.web.bodies import unchanged
from scout.web.rules import OPEN, OWN, rule_of
from scout.web.security import API
from scout.web.work import reading_as
from tests.web.conftest import PASSWORD
from tests.web.house import GATE, PRIVATE, House, built
from tests.web.real_server import served

# common practice, written by hand and apart from the program's own table: what each role may do
# beside reading what the crew may know
EVERYBODY = {
    ("read", kind)
    for kind in [
        "location",
        "room",
        "photo",
        "recording",
        "noise",
        "note",
        "production",
        "scene",
        "day",
        "packet",
        "search",
    ]
}
PLACES = {(deed, "location") for deed in ("add", "change", "delete")}
JOBS = {
    (deed, kind)
    for deed in ("add", "change", "delete")
    for kind in ("production", "scene", "choice", "day", "packet", "note")
}
PRODUCING = {
    *EVERYBODY,
    *PLACES,
    *JOBS,
    *{("read", kind) for kind in ("choice", "original", "file", "bin", "history")},
    ("change", "history"),
    *{(deed, "link") for deed in ("read", "add", "delete")},
    *{("add", "photo"), ("change", "photo"), ("add", "search"), ("delete", "search")},
    *{(deed, "gate") for deed in ("read", "add", "change", "delete")},
}
MEASURING = {
    (deed, kind) for deed in ("add", "change", "delete") for kind in ("room", "recording", "noise")
}
SCOUTING = {*PRODUCING, *MEASURING, ("delete", "photo"), ("add", "file")}
MAY: dict[str, set[tuple[str, str]]] = {
    "guest": EVERYBODY,
    "crew": {*EVERYBODY, ("add", "note"), ("add", "noise"), ("add", "recording")},
    "producer": PRODUCING,
    "scout": SCOUTING,
    "owner": {*SCOUTING, *{(d, "person") for d in ("read", "add", "change", "delete")}},
}


@pytest.fixture(scope="module")
def house(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """An installation with somebody of each role."""
    yield from built(sqlite_template, tmp_path_factory.mktemp("roles"))


def addresses(app: Flask, key: int) -> list[tuple[str, str, str]]:
    """Every address with its method and endpoint; what stands in for its parts is `key`."""
    words = {
        "owner": ["room"],
        "kind": ["windows", "noise"],
        "name": ["A"],
        "size": ["thumb"],
        "filename": ["sillbook.css"],
        "which": ["plan"],
        "way": ["map"],
        "topic": ["light"],
        "of": ["packets"],
        "email": ["nobody@example.org"],
    }
    found = []
    for rule in app.url_map.iter_rules():
        for kind in words["kind"] if "kind" in rule.arguments else [""]:
            parts = {name: words.get(name, [key])[0] for name in rule.arguments}
            if kind and rule.endpoint not in ("parts.say_none", "bin.restore"):
                parts["kind"] = kind
            if rule.endpoint == "map.library":
                parts["name"] = "leaflet.js"
            for method in sorted((rule.methods or set()) - {"HEAD", "OPTIONS"}):
                path = app.url_map.bind("localhost").build(rule.endpoint, parts, method=method)
                found.append((method, path, rule.endpoint))
    return found


def kind_of(path: str, rule: tuple[str, str]) -> tuple[str, str]:
    """The deed, with the kind of a part as its address says it."""
    deed, kind = rule
    if kind in ("part", "binned"):
        kind = "noise" if "/noise" in path else "room"
    return deed, kind


def test_every_address_has_a_rule(house: House) -> None:
    without = [
        f"{method} {path}"
        for method, path, endpoint in addresses(house.app, 1)
        if rule_of(endpoint, method) is None
    ]
    assert without == []


@pytest.mark.parametrize("role", ROLES)
def test_each_role_does_what_it_may_and_nothing_else(house: House, role: Role) -> None:
    browser = house.as_(role)
    token, wrong, asked = browser.token(), [], 0
    for method, path, endpoint in addresses(house.app, 999_999):
        rule = rule_of(endpoint, method)
        if rule in (OPEN, OWN, None):
            continue
        assert isinstance(rule, tuple)
        answer = browser.client.open(path, method=method, headers={"X-CSRFToken": token})
        answer.close()
        asked += 1
        if (answer.status_code == 403) == (kind_of(path, rule) in MAY[role]):
            wrong.append(f"{role} {method} {path}: {answer.status_code}")
        assert answer.status_code < 500, path
    assert wrong == []
    assert asked > 200


def test_an_address_without_a_rule_is_refused_to_everybody(house: House) -> None:
    app = create_app(house.settings)
    app.add_url_rule("/new", "new.page", lambda: "what nobody thought about")
    for role in ROLES:
        answer = House(app, house.settings, house.keys).as_(role).get("/new")
        assert answer.status_code == 403
        assert "nobody thought" not in answer.text


PAGES = (
    "/",
    "/locations",
    "/locations/1",
    "/rooms",
    "/rooms/1",
    "/rooms/1/recorded",
    "/rooms/1/sound",
    "/rooms/1/plan",
    "/rooms/1/power",
    "/rooms/1/daylight",
    "/photos",
    "/map",
    "/find",
    "/productions",
    "/productions/1",
    "/productions/1/day",
    "/scenes/1",
    "/scenes/1/compare",
    "/words",
)


@pytest.mark.parametrize("role", ["scout", "producer", "crew", "guest"])
def test_a_page_leads_nowhere_its_reader_may_not_go(house: House, role: Role) -> None:
    browser, urls, seen = house.as_(role), house.app.url_map.bind("localhost"), 0
    for page in PAGES:
        text = house.page(browser, page)
        leads = [("GET", href) for href in re.findall(r'<a [^>]*?href="([^"]+)"', text)]
        for form in re.findall(r"<form [^>]*>", text):
            action = re.search(r'action="([^"]*)"', form)
            method = "POST" if 'method="post"' in form else "GET"
            leads.append((method, action[1] if action else page))
        leads += [("POST", to) for to in re.findall(r'formaction="([^"]+)"', text)]
        for method, to in leads:
            if not to.startswith("/"):
                continue
            path = to.partition("?")[0].partition("#")[0]
            endpoint, _parts = urls.match(path, method=method)
            rule = rule_of(endpoint, method)
            seen += 1
            may = rule in (OPEN, OWN) or kind_of(path, rule) in MAY[role]  # type: ignore[arg-type]
            assert may, f"{role} is led from {page} by {method} to {to}"
    assert seen > 100


def test_nothing_of_a_page_is_lost_but_what_is_not_for_its_reader(house: House) -> None:
    """property: to whoever may do everything that a page offers, it is the page as it was made."""
    page = house.as_("guest").get("/rooms/1/recorded").text
    assert "Loft" in page
    assert "CREWMARK" in page
    assert "Log out" in page
    assert "Deleted" not in page
    assert not re.search(r"<li>\s*</li>", page)


def test_who_may_not_read_everything_finds_it_nowhere(house: House) -> None:
    team, crew = house.as_("producer"), house.as_("crew")
    programs = [
        path
        for method, path, endpoint in addresses(house.app, 1)
        if method == "GET" and path.startswith(API) and rule_of(endpoint, "GET") != OPEN
    ]
    found: set[str] = set()
    for path in (*PAGES, *programs, "/files/locations.csv"):
        found |= {mark for mark in PRIVATE if mark in house.page(team, path)}
        assert [mark for mark in PRIVATE if mark in house.page(crew, path)] == [], path
    assert found == set(PRIVATE)
    assert not any(GATE in text for text in house.pages.values())
    assert "CREWMARK" in house.page(crew, "/rooms/1/recorded")
    assert crew.get(f"{API}/notes/1").status_code == 404
    assert crew.get(f"{API}/notes/2").status_code == 200
    assert reads_as("guest") == reads_as("crew") == "crew"


def test_a_page_kept_for_one_reader_is_shown_to_no_other(house: House) -> None:
    """Pages keep what they are given for as long as nothing changes, whoever opened them first."""
    for role, reader in (("owner", None), ("guest", "crew"), ("crew", "crew"), ("scout", None)):
        with house.app.test_request_context("/kept"):
            g.by_token = Who(1, role, f"{role}@example.org", role)  # type: ignore[arg-type]
            assert unchanged(lambda: {"as": reading_as()}) == {"as": reader}
    with house.app.test_request_context("/kept"):
        g.reader = "client"
        assert unchanged(lambda: {"as": reading_as()}) == {"as": "client"}


def test_a_search_does_not_tell_what_a_private_note_says(house: House) -> None:
    for word, found in (("PRIVATEMARK", False), ("CREWMARK", True)):
        for role in ("owner", "guest"):
            page = house.as_(role).get(f"/find?text={word}").text
            assert ('href="/rooms/1"' in page) is found, (word, role)


def test_an_edition_for_other_eyes_is_not_there(house: House) -> None:
    for role, status in (("guest", 404), ("crew", 404), ("producer", 200), ("owner", 200)):
        browser = house.as_(role)
        with browser.client.get("/packets/1.pdf") as whole:
            assert whole.status_code == 200
        with browser.client.get("/packets/2.pdf") as production:
            assert production.status_code == status, role
        assert ("/packets/2" in browser.get("/productions/1").text) == (status == 200)


def test_crew_adds_a_noise_reading_and_a_note_that_crew_can_read(house: House) -> None:
    browser = house.as_("crew")
    hidden = browser.post("/room/1/notes/new", {"text": "door sticks", "audience": "private"})
    assert hidden.status_code == 422
    assert "write it for the crew" in hidden.text
    browser.done("/room/1/notes/new", {"text": "door sticks", "audience": "crew"})
    assert "door sticks" in browser.get("/rooms/1/recorded").text
    browser.done("/rooms/1/noise/new", {"id": "N1", "laeq_db": "31"})
    assert house.as_("guest").get("/rooms/1/sound").status_code == 200
    with open_work(house.settings, reading=True) as work:
        # what is hidden from whoever saves stays as it was
        kept = locations.location(work, 1).kept.record
    assert kept.fee_note == "FEEMARK"
    assert kept.contacts is not None
    assert kept.contacts[0].note == "CONTACTMARK"


def test_nobody_makes_themselves_more_than_they_are(house: House) -> None:
    for role in ("scout", "producer", "crew", "guest"):
        browser = house.as_(role)
        path = f"/people/{role}@example.org/role"
        assert browser.post(path, {"role": "owner"}).status_code == 403
        browser.post("/units", {"units": "metric", "role": "owner", "who": "1"})
        with browser.client.session_transaction() as session:
            session["role"] = "owner"
        assert browser.get("/people").status_code == 403


def test_a_role_holds_from_the_next_page_on(house: House) -> None:
    owner, guest = house.as_("owner"), house.as_("guest")
    assert guest.get("/locations/1/edit").status_code == 403
    owner.done("/people/guest@example.org/role", {"role": "producer"})
    assert guest.get("/locations/1/edit").status_code == 200
    owner.done("/people/guest@example.org/role", {"role": "guest"})
    assert guest.get("/locations/1/edit").status_code == 403
    refused = owner.post("/people/guest@example.org/role", {"role": "king"})
    assert refused.status_code == 422
    assert "owner, scout, producer, crew or guest" in refused.text


def test_the_last_owner_stays(house: House) -> None:
    owner = house.as_("owner")
    assert owner.get("/people").status_code == 200
    for path, form in (("role", {"role": "guest"}), ("remove", {})):
        answer = owner.post(f"/people/owner@example.org/{path}", form)
        assert answer.status_code == 422
        assert "make somebody else an owner first" in answer.text


def test_a_guest_is_a_guest_to_the_server_too(house: House) -> None:
    with served(house.settings) as visitor:
        token = re.search(r'name="csrf_token" value="([^"]+)"', visitor.ask("GET", "/login").text)
        assert token is not None
        form = {"email": "guest@example.org", "password": PASSWORD, "csrf_token": token[1]}
        assert visitor.ask("POST", "/login", form).status == 302
        assert visitor.ask("GET", "/rooms/1").status == 200
        assert visitor.ask("GET", "/rooms/1/edit").status == 403
        page = visitor.ask("GET", "/locations/1")
        assert "FEEMARK" not in page.text
        assert page.headers["Cache-Control"] == "no-store"
