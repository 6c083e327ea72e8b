"""Codes of doors by page: shown by a button, to the team, for half a minute, kept by no cache."""

from __future__ import annotations

import logging
import re

import pytest
from flask import Flask

from scout.web.security import API
from tests.web.conftest import PASSWORD, Browser, faults, value_of
from tests.web.page_check import faults_of
from tests.web.real_server import served

SECRET = "Zq4711#"  # invented
TYPED = {"label": "Garden gate", "code": SECRET, "note": "push hard"}


@pytest.fixture
def gate(ada: Browser, place: str) -> str:
    """The address of a code."""
    assert ada.done(f"{place}/codes/new", TYPED) == place
    return f"{place}/codes/1"


def test_a_button_shows_it_for_half_a_minute(ada: Browser, place: str, gate: str) -> None:
    page = ada.get(place)
    assert "Garden gate" in page.text
    assert "never shown" in page.text
    assert faults_of(page.text) == []
    shown = ada.post(f"{gate}/show")
    assert SECRET in shown.text
    assert "push hard" in shown.text
    assert faults_of(shown.text) == []
    assert shown.headers["Cache-Control"] == "no-store"
    assert shown.headers["Refresh"] == f"30; url={place}#codes"
    assert "to <span" in re.sub(r"\s+", " ", ada.get(place).text)
    assert "ode of Garden gate shown" in ada.get("/changes").text
    assert ada.get(f"{gate}/show").status_code == 405  # by no link
    assert ada.client.post(f"{gate}/show").status_code == 400  # without its form's token


def test_no_page_file_or_answer_of_a_program_has_it(
    ada: Browser, place: str, gate: str, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    ada.post(f"{gate}/show")
    ada.done(gate, {**TYPED, "version": "1"})
    number = place.rpartition("/")[2]
    found = [place, f"{place}/edit", gate, "/changes", "/bin", "/locations", "/mine/file"]
    found += [f"/find?text={SECRET[:6]}", f"{API}/locations", f"{API}/locations/{number}"]
    found += [f"/changes/{key}" for key in range(1, 6)]
    for path in (*found, "/files/locations.csv"):
        answer = ada.get(path)
        assert answer.status_code == 200, path
        assert SECRET.encode() not in answer.data, path
    assert SECRET not in caplog.text


def test_it_is_typed_anew_refused_and_deleted(ada: Browser, place: str, gate: str) -> None:
    form = ada.get(gate)
    assert value_of(form, "label") == "Garden gate"
    assert value_of(form, "code") == ""
    assert len(faults(ada.post(gate, {**TYPED, "code": "", "version": "1"}))) == 1
    ada.done(gate, {**TYPED, "code": "0000", "version": value_of(form, "version")})
    assert "0000" in ada.post(f"{gate}/show").text
    stale = ada.post(gate, {**TYPED, "version": "1"})
    assert stale.status_code == 422
    assert "typed anew since" in faults(stale)[0]
    assert f'action="{gate}/delete"' in form.text
    assert f'action="{gate}/delete"' not in ada.get(place).text  # no slip of the thumb
    assert ada.done(f"{gate}/delete") == place
    assert ada.post(f"{gate}/show").status_code == 404
    assert "deleted" in ada.get("/changes").text


def test_a_lost_secret_is_said(app: Flask, ada: Browser, place: str, gate: str) -> None:
    settings = app.config["SILLBOOK"]
    (settings.data_dir / "session.key").write_text("x" * 48)
    answer = ada.post(f"{gate}/show", follow_redirects=True)
    assert "sealed under another secret" in answer.text


def test_the_real_server_shows_it_once_and_keeps_it_nowhere(
    app: Flask, ada: Browser, place: str, gate: str
) -> None:
    with served(app.config["SILLBOOK"]) as visitor:
        token = re.search(r'name="csrf_token" value="([^"]+)"', visitor.ask("GET", "/login").text)
        assert token is not None
        form = {"email": "ada@example.org", "password": PASSWORD, "csrf_token": token[1]}
        assert visitor.ask("POST", "/login", form).status == 302
        page = visitor.ask("GET", place)
        assert SECRET not in page.text
        token = re.search(r'name="csrf_token" value="([^"]+)"', page.text)
        assert token is not None
        shown = visitor.ask("POST", f"{gate}/show", {"csrf_token": token[1]})
        assert SECRET in shown.text
        assert shown.headers["Cache-Control"] == "no-store"
        assert visitor.ask("POST", f"{gate}/show", {}).status == 400
        assert visitor.ask("GET", "/changes").text.count("Garden gate shown") == 1
        visitor.cookie = ""
        assert visitor.ask("POST", f"{gate}/show", {"csrf_token": token[1]}).status in (400, 401)
