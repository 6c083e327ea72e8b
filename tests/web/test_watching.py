"""Whether it answers, figures and log lines: told to whom they are for, and never a fact in them."""

from __future__ import annotations

import io
import json
import logging
import re
import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

import pytest
from flask import Flask
from prometheus_client.parser import text_string_to_metric_families

from scout import logs
from scout.settings import Settings
from scout.store import engine as databases
from scout.store.queue import queue
from scout.usecases import watching as asked
from scout.usecases.work import utc_now
from scout.web.app import create_app
from scout.web.watching import Figures
from tests.web.conftest import WEIR, Browser, logged_in

TOKEN = "a token of many letters 42"
ELSEWHERE = {"REMOTE_ADDR": "192.0.2.7"}  # RFC 5737: an address for documentation


def figure(text: str, name: str, **labels: str) -> float:
    """One figure of a page of metrics, read by the library's own parser."""
    found = [
        sample.value
        for family in text_string_to_metric_families(text)
        for sample in family.samples
        if sample.name == name and labels.items() <= sample.labels.items()
    ]
    assert len(found) == 1, (name, labels, found)
    return found[0]


def again(app: Flask) -> None:
    """Forget what was told a moment ago."""
    figures: Figures = app.extensions["sillbook_figures"]
    figures.held = None


def test_ready_says_what_does_not_answer(
    app: Flask, stranger: Browser, embedded: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = {"database": True, "migrations": True, "files": True, "workers": False}
    answer = stranger.get("/ready")
    assert (answer.status_code, answer.json) == (
        200,
        {"status": "no workers", "worker_silent_s": None, **whole},
    )
    carried = queue(embedded.url, embedded.data_dir)
    carried.sign(utc_now())
    again(app)
    assert stranger.get("/ready").json["status"] == "ready"  # type: ignore[index]
    carried.sign(utc_now() - asked.SILENT - timedelta(seconds=5))
    again(app)
    told = stranger.get("/ready").json
    assert told is not None
    assert (told["status"], told["workers"]) == ("no workers", False)
    assert told["worker_silent_s"] in (95, 96)

    shutil.rmtree(embedded.data_dir / "originals")
    again(app)
    answer = stranger.get("/ready")
    assert (answer.status_code, answer.json["files"]) == (503, False)  # type: ignore[index]
    monkeypatch.setattr(databases, "_newest_file", lambda _folder: "9999")
    again(app)
    assert stranger.get("/ready").json["migrations"] is False  # type: ignore[index]


def test_ready_where_the_database_is_gone(app: Flask, embedded: Settings) -> None:
    databases.engine(embedded.url).dispose()
    (embedded.data_dir / "sillbook.db").write_bytes(
        b"no database at all, but as long as a header" * 9
    )
    found = asked.standing(embedded)
    assert (found.database, found.ready) == (False, False)
    again(app)
    text = app.test_client().get("/metrics").text
    assert figure(text, "sillbook_ready") == 0
    assert "sillbook_jobs" not in text  # not measured is no zero


def test_figures_are_counted_by_rule_and_hold_no_fact(app: Flask, ada: Browser) -> None:
    place = ada.done("/locations/new", {**WEIR, "name": "MARKER house"})
    ada.get(place)
    ada.get(place)
    ada.get("/r/MARKER-token/1/whole")
    ada.get("/MARKER/nowhere?q=MARKER")
    ada.client.open("/", method="MARKER")
    text = ada.get("/metrics").text
    rule = {"rule": "/locations/<int:location_id>", "method": "GET"}
    assert figure(text, "sillbook_requests_total", **rule, status="200") == 2
    assert figure(text, "sillbook_request_seconds_count", **rule) == 2
    assert figure(text, "sillbook_request_seconds_bucket", **rule, le="+Inf") == 2
    assert figure(text, "sillbook_requests_total", rule="none", status="404") == 1
    assert figure(text, "sillbook_jobs", kind="packet", state="waiting") == 0
    assert figure(text, "sillbook_decoding_waiting") == 0
    assert "MARKER" not in text
    assert not re.search(r"ada@|127\.0\.0\.1|Weir", text)


def test_figures_are_for_this_machine_or_the_token(embedded: Settings, app: Flask) -> None:
    ada = logged_in(app)
    assert ada.get("/metrics").status_code == 200
    assert ada.get("/metrics", environ_overrides=ELSEWHERE).status_code == 403  # whoever it is
    forwarded = {"X-Forwarded-For": "127.0.0.1"}
    assert ada.get("/metrics", headers=forwarded).status_code == 403
    with_token = Browser(create_app(replace(embedded, metrics_token=TOKEN)).test_client())
    for sent, status in ((TOKEN, 200), (TOKEN[:-1], 403), ("é", 403)):
        bearer = {"Authorization": f"Bearer {sent}"}
        answer = with_token.get("/metrics", environ_overrides=ELSEWHERE, headers=bearer)
        assert answer.status_code == status
        assert TOKEN not in answer.text


@pytest.fixture
def lines() -> Iterator[io.StringIO]:
    """What the log holds, written as the setting asks."""
    root, ours = logging.getLogger(), logging.getLogger("scout")
    before = root.handlers[:], root.level, ours.level
    held = io.StringIO()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("sys.stderr", held)
        logs.start(Settings(data_dir=None, log="json"))  # type: ignore[arg-type]
    yield held
    root.handlers[:], level, own = before
    root.setLevel(level)
    ours.setLevel(own)


def test_a_line_a_request_and_no_fact_token_or_address_in_it(
    embedded: Settings, app: Flask, lines: io.StringIO, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = create_app(replace(embedded, log="json"))
    ada = logged_in(made)
    place = ada.done("/locations/new", {**WEIR, "name": "MARKER house"})
    ada.get(f"{place}?text=MARKER")
    ada.get("/r/MARKER-token/1/whole")
    ada.post("/locations/new", {"name": "", "address": "MARKER lane 4"})
    ada.log_in("marker@example.org", "MARKER wrong")

    def fails(*_given: object) -> None:
        raise ValueError("MARKER lane 4 is no number")

    monkeypatch.setattr("scout.web.home.home_page.next_day", fails)
    assert logged_in(made).get("/").status_code == 500
    logging.getLogger("huey").error("task %s failed", "MARKER")
    told = [json.loads(line) for line in lines.getvalue().splitlines()]
    pages = [one for one in told if one["said"] == "request"]
    shown = next(one for one in pages if one["rule"] == "/locations/<int:location_id>")
    assert {**shown, "at": "", "ms": 0} == {
        "at": "",
        "level": "info",
        "of": "scout.web.requests",
        "said": "request",
        "rule": "/locations/<int:location_id>",
        "method": "GET",
        "status": 200,
        "ms": 0,
    }
    (failed,) = [one for one in told if "error" in one]
    assert (failed["error"], failed["said"]) == ("ValueError", "unforeseen error on GET /")
    assert failed["where"][-1].endswith("fails")
    assert [one["said"] for one in told if one["of"] == "huey"] == ["task %s failed"]
    assert not re.search(r"MARKER|marker@|ada@|127\.0\.0\.1|long enough", lines.getvalue())
