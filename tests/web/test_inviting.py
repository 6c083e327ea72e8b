"""Coming in by a link: shown once, throttled, and no way round the login."""

from __future__ import annotations

import re

from flask import Flask

from scout.usecases import people
from scout.usecases.work import open_work
from tests.web.conftest import Browser, faults
from tests.web.page_check import faults_of

OTHER = "another good one, long"


def link(text: str) -> str:
    found = re.search(r'class="key">http://localhost(/join/[\w-]+)<', text)
    assert found is not None
    return found[1]


def test_somebody_invited_chooses_a_password_and_logs_in(
    app: Flask, ada: Browser, stranger: Browser
) -> None:
    asked = {"name": "Eve", "email": "eve@example.org", "role": "crew"}
    there = link(ada.post("/people/invite", asked).text)
    assert "invited as crew" in ada.get("/people").text
    assert there not in ada.get("/people").text  # it is shown once
    page = stranger.get(there)
    assert faults_of(page.text) == []
    assert "eve@example.org" in page.text
    assert page.headers["Cache-Control"] == "no-store"
    differ = stranger.post(there, {"new": OTHER, "again": "another"})
    assert differ.status_code == 422
    assert OTHER not in differ.text
    weak = stranger.post(there, {"new": "password12", "again": "password12"})
    assert faults(weak) != []
    assert stranger.done(there, {"new": OTHER, "again": OTHER}) == "/login"
    stranger.forget()
    assert stranger.get("/").status_code == 302  # the link itself logs nobody in
    assert stranger.log_in("eve@example.org", OTHER).status_code == 302
    assert stranger.get("/people").status_code == 403  # crew
    assert Browser(app.test_client()).get(there).status_code == 404


def test_a_new_password_by_link_ends_the_sessions(
    app: Flask, ada: Browser, stranger: Browser
) -> None:
    there = link(ada.post("/people/ada@example.org/reset").text)
    stranger.done(there, {"new": OTHER, "again": OTHER})
    stranger.forget()
    assert ada.get("/").status_code == 302
    assert stranger.log_in("ada@example.org", OTHER).status_code == 302
    with open_work(app.config["SILLBOOK"]) as work:
        assert people.log_in(work, "ada@example.org", "a long enough one") is None


def test_guessed_links_are_throttled_and_the_right_one_is_not_kept_out(
    ada: Browser, stranger: Browser
) -> None:
    asked = {"name": "Eve", "email": "eve@example.org", "role": "crew"}
    there = link(ada.post("/people/invite", asked).text)
    found = [stranger.get(f"/join/{n:043}").status_code for n in range(12)]
    assert found == [404] * 10 + [429] * 2
    assert stranger.get(there).status_code == 200
    tries = [
        stranger.post(there, {"new": "password12", "again": "password12"}).status_code
        for _ in range(12)
    ]
    assert tries == [422] * 10 + [429] * 2


def test_a_revoked_link_leads_nowhere(ada: Browser, stranger: Browser) -> None:
    asked = {"name": "Eve", "email": "eve@example.org", "role": "crew"}
    there = link(ada.post("/people/invite", asked).text)
    assert ada.done("/people/invitations/1/revoke") == "/people"
    assert stranger.get(there).status_code == 404
    again = ada.post("/people/invite", {**asked, "email": "ada@example.org", "role": "king"})
    assert again.status_code == 422
    assert len(faults(again)) >= 1
