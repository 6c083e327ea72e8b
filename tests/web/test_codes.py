"""A code after the password: by page, throttled, and no way round it."""

from __future__ import annotations

import re
import time
from html import unescape
from urllib.parse import parse_qs, urlsplit

import pyotp
from flask import Flask

from scout.store import models
from scout.usecases.work import open_work
from tests.web.conftest import PASSWORD, Browser, faults
from tests.web.page_check import faults_of


def switched_on(ada: Browser) -> tuple[pyotp.TOTP, list[str]]:
    """The phone, and the recovery codes."""
    assert ada.done("/code") == "/code"
    page = ada.get("/code")
    assert faults_of(page.text) == []
    assert "<svg" in page.text
    found = re.search(r'class="key">([A-Z2-7]{32})<', page.text)
    assert found is not None
    address = re.search(r'href="(otpauth://[^"]+)"', page.text)
    assert address is not None
    # Key Uri Format, from memory: what a tap hands to the app holds the same key as the picture
    assert parse_qs(urlsplit(unescape(address[1])).query)["secret"] == [found[1]]
    phone = pyotp.TOTP(found[1])
    assert faults(ada.post("/code", {"code": "12345"})) != []
    # a code of the half minute before counts, and leaves the next ones unused
    shown = ada.post("/code", {"code": phone.at(int(time.time()) - 30)})
    assert shown.status_code == 200
    given = re.findall(r'class="key">([a-z0-9-]{14})<', shown.text)
    assert len(given) == 10
    assert given[0] not in ada.get("/code").text
    return phone, given


def test_whoever_knows_the_password_alone_is_not_in(
    app: Flask, ada: Browser, stranger: Browser
) -> None:
    phone, given = switched_on(ada)
    answer = stranger.post(
        "/login", {"email": "ada@example.org", "password": PASSWORD, "then": "/bin"}
    )
    assert answer.headers["Location"] == "/login/code?then=/bin"
    assert stranger.get("/locations").status_code == 302  # nobody yet
    page = stranger.get("/login/code?then=/bin")
    assert faults_of(page.text) == []
    wrong = stranger.post("/login/code", {"code": "000000"})
    assert (wrong.status_code, faults(wrong)) == (422, ["is not the code of now, or was used"])
    right = stranger.post("/login/code", {"code": phone.now(), "then": "/bin"})
    assert right.headers["Location"] == "/bin"
    stranger.forget()
    assert stranger.get("/locations").status_code == 200
    other = Browser(app.test_client())
    other.log_in()
    assert other.get("/login/code").status_code == 200
    assert other.post("/login/code", {"code": given[0]}).status_code == 302
    assert other.get("/locations").status_code == 200


def test_codes_are_throttled(app: Flask, ada: Browser, stranger: Browser) -> None:
    switched_on(ada)
    stranger.log_in()
    found = [stranger.post("/login/code", {"code": f"{n:06}"}).status_code for n in range(12)]
    assert found == [422] * 10 + [429] * 2


def test_no_code_is_asked_without_a_password_before(stranger: Browser) -> None:
    for answer in (stranger.get("/login/code"), stranger.post("/login/code", {"code": "123456"})):
        assert answer.headers["Location"] == "/login"


def test_it_is_switched_off_by_password_and_by_an_owner(app: Flask, ada: Browser) -> None:
    switched_on(ada)
    refused = ada.post("/code/off", {"old": "wrong"})
    assert (refused.status_code, faults(refused)) == (422, ["is not the present password"])
    anew = ada.post("/code/off", {"old": PASSWORD, "anew": "yes"})
    assert len(re.findall(r'class="key">([a-z0-9-]{14})<', anew.text)) == 10
    assert ada.done("/code/off", {"old": PASSWORD}) == "/code"
    switched_on(ada)
    assert "No code any more" in ada.get("/people").text
    assert ada.done("/people/ada@example.org/code-off") == "/people"
    with open_work(app.config["SILLBOOK"]) as work:
        assert work.db.get(models.SecondStep, 1) is None
