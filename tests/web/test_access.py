"""Who gets in: login on every page, tokens on every form, throttling, the first person, and
headers.
"""

from __future__ import annotations

import re

import pytest
from flask import Flask, url_for
from werkzeug.routing import AnyConverter, IntegerConverter

from scout.settings import Settings
from scout.web.app import create_app
from scout.web.people import DEVICE, remember_device
from scout.web.rules import is_open
from scout.web.security import API, safe_path
from tests.web.conftest import PASSWORD, Browser, logged_in, value_of

UNSAFE = {"POST", "PUT", "PATCH", "DELETE"}


def _paths(app: Flask) -> list[tuple[str, str, str]]:
    """Every rule of the application as (method, path, endpoint), with 1 and harmless words for its
    parts.
    """
    words = {
        "owner": "room",
        "kind": "windows",
        "name": "A",
        "size": "thumb",
        "key": 1,
        "filename": "sillbook.css",
        "which": "plan",
        "way": "map",
        "topic": "light",
        "of": "packets",
    }
    found = []
    for rule in app.url_map.iter_rules():
        with app.test_request_context():
            values = {name: words.get(name, 1) for name in rule.arguments}
            if rule.endpoint == "map.library":
                values["name"] = "leaflet.js"
            path = app.url_map.bind("localhost").build(
                rule.endpoint,
                values,
                method=min(rule.methods or ()),
            )
        found += [
            (method, path, rule.endpoint) for method in (rule.methods or set()) & {"GET", *UNSAFE}
        ]
    return found


def test_every_page_needs_a_login(app: Flask, stranger: Browser) -> None:
    # by hand: the map of addresses is walked, so that a page added later is judged too
    paths = [(method, path) for method, path, endpoint in _paths(app) if not is_open(endpoint)]
    assert len(paths) > 60
    for method, path in paths:
        data = None if method == "GET" else {"csrf_token": stranger.token()}
        answer = stranger.client.open(path, method=method, data=data)
        if method == "GET" and not path.startswith(API):
            assert answer.status_code == 302, path
            assert answer.headers["Location"].startswith("/login"), path
        else:
            assert answer.status_code == 401, path


def test_every_form_needs_its_token(app: Flask, ada: Browser) -> None:
    judged = set()
    for method, path, endpoint in _paths(app):
        if method in UNSAFE and endpoint != "shares.knock":  # which is nobody's in particular
            given = {"name": "typed without a token", "text": "kept"}
            answer = ada.client.open(path, method=method, data=given)
            assert answer.status_code == 400, (method, path)
            assert "Traceback" not in answer.text
            judged.add(method)
    assert judged >= {"POST", "PUT", "DELETE"}


def test_no_number_in_an_address_is_too_large(app: Flask, ada: Browser) -> None:
    """property: a key that no row can have is a row that is not there, for either database."""
    asked, wrong = 0, list[tuple[str, str]]()
    for rule in app.url_map.iter_rules():
        if not any(isinstance(kind, IntegerConverter) for kind in rule._converters.values()):
            continue
        values = {
            name: 10**20
            if isinstance(kind, IntegerConverter)
            else min(kind.items)
            if isinstance(kind, AnyConverter)
            else "A"
            for name, kind in rule._converters.items()
        }
        with app.test_request_context():
            path = url_for(rule.endpoint, **values)
        for method in (rule.methods or set()) & {"GET", *UNSAFE}:
            data = None if method == "GET" else {"csrf_token": ada.token()}
            answer = ada.client.open(path, method=method, data=data)
            wrong += [(method, path)] if answer.status_code >= 500 else []
            asked += 1
    assert wrong == []
    assert asked > 100


def test_text_typed_in_another_session_is_shown_to_copy(ada: Browser, parlour: str) -> None:
    answer = ada.client.post(
        f"{parlour.replace('/rooms', '/room')}/notes/new",
        data={"text": "the long note", "audience": "crew"},
    )
    assert answer.status_code == 400
    assert "the long note" in answer.text


def test_text_typed_after_the_session_ended_is_not_lost(stranger: Browser) -> None:
    answer = stranger.post(
        "/room/1/notes/new", {"text": "an hour's typing", "password": "not shown"}
    )
    assert answer.status_code == 401
    assert "an hour&#39;s typing" in answer.text
    assert "not shown" not in answer.text


def test_logging_out_stands_at_the_head_and_at_the_foot(ada: Browser) -> None:
    page = ada.get("/locations").text
    head, _, foot = page.partition("<main")
    assert head.count('action="/logout"') == foot.count('action="/logout"') == 1


def test_login_and_logout(stranger: Browser) -> None:
    assert stranger.log_in().status_code in (302, 303)
    assert stranger.get("/").status_code == 200
    assert stranger.get("/logout").status_code == 405, "a link must not log anybody out"
    kept = stranger.client.get_cookie("sillbook")
    assert kept is not None
    assert stranger.post("/logout").status_code in (302, 303)
    assert stranger.get("/").status_code == 302
    stranger.client.set_cookie("sillbook", kept.value)
    assert stranger.get("/locations").status_code == 302, (
        "a cookie kept from before is worth nothing"
    )


def test_a_form_s_token_changes_when_somebody_logs_in(stranger: Browser) -> None:
    before = stranger.token()
    stranger.log_in()
    assert stranger.token() != before


def test_sessions_are_listed_and_ended(app: Flask, ada: Browser) -> None:
    other = Browser(app.test_client())
    other.log_in()
    page = ada.get("/sessions")
    ends = re.findall(r'action="(/sessions/\d+/end)"', page.text)
    assert (len(ends), page.text.count(">Log out there<")) == (2, 2)
    newest = ends[0]
    ada.done(newest)
    assert other.get("/").status_code == 302
    assert ada.get("/").status_code == 200


def test_guessing_elsewhere_does_not_keep_out_who_was_here_before(app: Flask) -> None:
    known, guesser = Browser(app.test_client()), Browser(app.test_client())
    known.log_in()
    known.post("/logout")
    known.forget()
    for _ in range(10):
        guesser.log_in(password="wrong")
    assert guesser.log_in().status_code == 429
    assert known.log_in().status_code in (302, 303)
    forged = Browser(app.test_client())
    forged.client.set_cookie("sillbook_device", "made up")
    assert forged.log_in().status_code == 429


def test_a_restart_does_not_forget_wrong_tries(app: Flask, stranger: Browser) -> None:
    for _ in range(10):
        stranger.log_in(password="wrong")
    again = Browser(create_app(app.config["SILLBOOK"]).test_client())
    assert again.log_in().status_code == 429


def test_wrong_password_keeps_the_address_and_not_the_password(stranger: Browser) -> None:
    answer = stranger.log_in(password="quite wrong indeed")
    assert answer.status_code == 422
    assert value_of(answer, "email") == "ada@example.org"
    assert "quite wrong indeed" not in answer.text
    unknown = stranger.log_in(email="nobody@example.org")
    said = re.compile(r"<li>.*?</li>")
    assert said.findall(unknown.text) == said.findall(answer.text), (
        "the answer must not tell who may log in"
    )


def test_an_account_rests_after_ten_wrong_tries(stranger: Browser) -> None:
    for _ in range(10):
        assert stranger.log_in(password="wrong").status_code == 422
    answer = stranger.log_in(password=PASSWORD)
    assert answer.status_code == 429
    assert "Too many wrong tries" in answer.text
    assert value_of(answer, "email") == "ada@example.org"
    assert int(answer.headers["Retry-After"]) > 0
    assert stranger.log_in(email="Ada@Example.org ").status_code == 429, (
        "the same account in other letters"
    )


def test_an_address_rests_whatever_the_accounts(stranger: Browser) -> None:
    answers = [
        stranger.log_in(email=f"guess{i}@example.org", password="wrong").status_code
        for i in range(21)
    ]
    assert answers[:20] == [422] * 20
    assert answers[20] == 429


def test_right_passwords_are_not_counted(app: Flask) -> None:
    for _ in range(12):
        assert Browser(app.test_client()).log_in().status_code in (302, 303)


def test_after_login_one_goes_where_one_wanted(stranger: Browser) -> None:
    wanted = stranger.get("/rooms?text=hall")
    assert wanted.headers["Location"] == "/login?then=/rooms?text%3Dhall"
    page = stranger.get(wanted.headers["Location"])
    answer = stranger.post(
        "/login", {"email": "ada@example.org", "password": PASSWORD, "then": value_of(page, "then")}
    )
    assert answer.headers["Location"] == "/rooms?text=hall"


@pytest.mark.parametrize(
    "target",
    [
        "https://evil.example/",
        "//evil.example/",
        "/\\evil.example",
        "javascript:alert(1)",
        "",
        "http:/x",
        "/\nx",
        "\\\\evil",
    ],
)
def test_no_redirect_leads_elsewhere(stranger: Browser, target: str) -> None:
    assert safe_path(target, "/") == "/"
    answer = stranger.post(
        "/login", {"email": "ada@example.org", "password": PASSWORD, "then": target}
    )
    assert answer.headers["Location"] == "/"


def test_headers_and_cookie(stranger: Browser) -> None:
    answer = stranger.log_in()
    policy = answer.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "*" not in policy
    assert "frame-ancestors 'none'" in policy
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Referrer-Policy"] == "same-origin"
    cookies = answer.headers.getlist("Set-Cookie")
    assert {cookie.split("=")[0] for cookie in cookies} == {"sillbook", DEVICE}
    for cookie in cookies:
        assert "HttpOnly" in cookie
        assert "SameSite=Lax" in cookie
        assert "Path=/" in cookie
        assert "Domain" not in cookie, "no other name of the same machine's is given it"
        # plain http on the own machine; a Secure cookie would never come back
        assert "Secure" not in cookie


def test_a_session_that_somebody_else_laid_down_is_not_logged_in(
    app: Flask, stranger: Browser
) -> None:
    stranger.get("/login")
    laid = stranger.client.get_cookie("sillbook")
    assert laid is not None
    stranger.log_in()
    known = stranger.client.get_cookie("sillbook")
    assert known is not None
    assert known.value != laid.value
    other = Browser(app.test_client())
    other.client.set_cookie("sillbook", laid.value)
    assert other.get("/locations").status_code == 302
    assert stranger.get("/locations").status_code == 200


@pytest.mark.parametrize(
    ("path", "host", "status"),
    [
        ("/login", "localhost", 200),
        ("/nowhere", "localhost", 302),
        ("/static/sillbook.css", "localhost", 200),
        ("/health", "localhost", 200),
        ("/r/guessed", "localhost", 404),
        ("/api/v1/rooms", "localhost", 401),
        ("/login", "a b", 400),
    ],
)
def test_no_answer_is_shown_in_a_frame_or_taken_for_another_kind(
    stranger: Browser, path: str, host: str, status: int
) -> None:
    answer = stranger.client.get(path, headers={"Host": host})
    answer.close()
    assert answer.status_code == status
    assert answer.headers["X-Frame-Options"] == "DENY"
    assert "frame-ancestors 'none'" in answer.headers["Content-Security-Policy"]
    assert answer.headers["X-Content-Type-Options"] == "nosniff"


def test_over_https_the_cookie_is_secure(embedded: Settings) -> None:
    from dataclasses import replace

    app = create_app(replace(embedded, https=True))
    answer = app.test_client().get("/first-user", base_url="https://localhost")
    assert "Secure" in answer.headers["Set-Cookie"]
    with app.test_request_context(base_url="https://localhost"):
        marked = remember_device(app.make_response("")).headers["Set-Cookie"]
    assert "Secure" in marked
    assert answer.headers["Strict-Transport-Security"].startswith("max-age=")


def test_a_forged_session_is_nobody(app: Flask, stranger: Browser) -> None:
    for forged in ("not a number", "999999", "1 or 1=1", "-1", "9" * 40):
        with stranger.client.session_transaction() as session:
            session["_user_id"] = forged
        assert stranger.get("/").status_code == 302


# -- the first person
# -------------------------------------------------------------------------------------------------
FIRST = {"name": "Ada", "email": "ada@example.org", "password": PASSWORD, "again": PASSWORD}


@pytest.fixture
def newcomer(embedded: Settings) -> Browser:
    """A browser at an installation where nobody can log in yet."""
    return Browser(create_app(embedded).test_client())


def test_the_first_person_is_entered_on_the_machine_itself(newcomer: Browser) -> None:
    assert newcomer.get("/").headers["Location"] == "/first-user"
    assert newcomer.post("/first-user", FIRST).status_code in (302, 303)
    newcomer.forget()
    assert newcomer.get("/").status_code == 200
    assert newcomer.get("/first-user").status_code == 302
    assert newcomer.post("/first-user", {**FIRST, "email": "eve@example.org"}).status_code == 403


@pytest.mark.parametrize(
    "elsewhere",
    [
        {"environ_base": {"REMOTE_ADDR": "192.168.1.20"}},
        {"headers": {"X-Forwarded-For": "203.0.113.9"}},
        {"headers": {"Forwarded": "for=203.0.113.9"}},
        {"headers": {"X-Real-IP": "203.0.113.9"}},
        {"base_url": "http://rebound.example/"},
    ],
    ids=[
        "other machine",
        "passed on",
        "passed on, standard header",
        "passed on, real ip",
        "another name for this machine",
    ],
)
def test_nobody_else_can_be_the_first(newcomer: Browser, elsewhere: dict[str, object]) -> None:
    newcomer.token()
    assert newcomer.client.get("/first-user", **elsewhere).status_code == 403
    answer = newcomer.client.post(
        "/first-user", data={**FIRST, "csrf_token": newcomer.token()}, **elsewhere
    )
    assert answer.status_code in (400, 403)
    assert newcomer.get("/").headers["Location"] == "/first-user", "nobody was added"


def test_a_first_person_that_cannot_be_keeps_what_was_typed(newcomer: Browser) -> None:
    answer = newcomer.post(
        "/first-user", {"name": "Ada", "email": "no address", "password": "short", "again": "other"}
    )
    assert answer.status_code == 422
    assert value_of(answer, "name") == "Ada"
    assert value_of(answer, "email") == "no address"
    assert "short" not in value_of(answer, "password")
    assert "is not the same as the password" in answer.text


def test_a_password_can_be_changed(ada: Browser, stranger: Browser) -> None:
    wrong = ada.post(
        "/password", {"old": "guess", "new": "another long one", "again": "another long one"}
    )
    assert wrong.status_code == 422
    assert "is not the present password" in wrong.text
    differs = ada.post(
        "/password", {"old": PASSWORD, "new": "another long one", "again": "another"}
    )
    assert differs.status_code == 422
    ada.done("/password", {"old": PASSWORD, "new": "another long one", "again": "another long one"})
    assert stranger.log_in().status_code == 422
    assert stranger.log_in(password="another long one").status_code in (302, 303)


def test_health_tells_nothing_but_health(stranger: Browser) -> None:
    answer = stranger.get("/health")
    assert answer.status_code == 200
    assert answer.json == {"status": "ok"}


def test_a_new_password_ends_the_other_sessions_and_not_this_one(
    app: Flask, stranger: Browser
) -> None:
    stranger.log_in()
    ada, second = logged_in(app), logged_in(app)
    assert [one.get("/words").status_code for one in (ada, second, stranger)] == [200] * 3
    ada.done("/password", {"old": PASSWORD, "new": "another long one", "again": "another long one"})
    assert ada.get("/words").status_code == 200
    for other in (second, stranger):
        assert other.get("/words").headers["Location"].startswith("/login")


def test_the_present_password_cannot_be_guessed_for_ever(ada: Browser) -> None:
    """property: as many tries as at the door, then a rest, in words."""
    wrong = {"old": "guess", "new": "another long one", "again": "another long one"}
    assert [ada.post("/password", wrong).status_code for _ in range(10)] == [422] * 10
    answer = ada.post("/password", wrong)
    assert answer.status_code == 429
    assert "Wait ten minutes" in answer.text
    assert ada.get("/words").status_code == 200
