"""The page of the days: shown, tried, kept, refused; its calendar for those who know its address."""

from __future__ import annotations

import html
import json
import re
import time

import pytest
import vobject
from flask import Flask

from scout.settings import Settings
from scout.usecases.work import open_work
from tests.days import film
from tests.web.conftest import Browser

Shot = tuple[int, list[int]]


@pytest.fixture
def shot(app: Flask, embedded: Settings) -> Shot:
    """A production to plan: its key and its scenes'."""
    with open_work(embedded) as work:
        return film(work)


def state_of(text: str) -> list[dict[str, object]]:
    found = re.search(r'name="state" value="([^"]*)"', text)
    assert found
    rows: list[dict[str, object]] = json.loads(html.unescape(found[1]))
    return rows


def test_a_scene_is_moved_and_nothing_is_kept_till_asked(ada: Browser, shot: Shot) -> None:
    job, keys = shot
    page = ada.get(f"/productions/{job}/day").text
    state = state_of(page)
    assert "Proposed, not kept" in page
    sent = {"state": json.dumps(state), "move": f"{keys[0]}:180", "version": "1"}
    tried = ada.post(f"/productions/{job}/day/try", sent)
    assert tried.status_code == 200
    assert "What turns worse" in tried.text
    assert "Proposed, not kept" in ada.get(f"/productions/{job}/day").text
    moved = state_of(tried.text)
    assert moved != state
    kept = ada.post(f"/productions/{job}/day", {"state": json.dumps(moved), "version": "1"})
    assert kept.status_code == 303
    again = ada.get(f"/productions/{job}/day").text
    assert state_of(again) == moved
    assert "Forget the kept plan" in again
    stale = ada.post(f"/productions/{job}/day", {"state": json.dumps(state), "version": "1"})
    assert stale.status_code == 409


def test_pages_that_only_mention_hours_are_told_whether_they_are_kept(
    ada: Browser, shot: Shot
) -> None:
    job, keys = shot
    hours = f"/productions/{job}/day/hours"
    told = waited(ada, hours)
    state = state_of(ada.get(f"/productions/{job}/day").text)
    assert told.count("proposed") == len(state)
    for one in state:
        assert f'data-of="{one["scene_id"]}-{one["room_id"]}-{one["on"]}"' in told
        assert f"{one['at']} to " in told
    assert told.count("first call") == len({one["on"] for one in state})
    assert f'data-hours="{hours}"' in ada.get(f"/productions/{job}").text
    ada.post(f"/productions/{job}/day", {"state": json.dumps(state), "version": "1"})
    kept = waited(ada, hours)
    assert "proposed" not in kept
    assert f'data-of="{keys[0]}-' in kept
    assert "clashes" not in told + kept
    # by hand: both houses open at 09:00
    early = [{**one, "at": "04:00"} for one in state]
    ada.post(f"/productions/{job}/day", {"state": json.dumps(early), "version": "2"})
    assert 'data-of="clashes"' in waited(ada, hours)
    assert 'data-of="clashes"' in ada.get(f"/productions/{job}").text


def waited(ada: Browser, address: str) -> str:
    """What an address says once it is worked out; the server's threads never wait for it."""
    for _ in range(200):
        answer = ada.get(address)
        if answer.status_code != 202:
            assert answer.status_code == 200
            return " ".join(answer.text.split())
        time.sleep(0.1)
    raise AssertionError("not worked out in 20 s")


def test_what_is_no_plan_is_refused(ada: Browser, shot: Shot) -> None:
    job, keys = shot
    base = {"scene_id": keys[0], "room_id": 1, "on": "2026-10-25", "at": "10:00"}
    bad = ["", "{", "1", '["x"]', json.dumps([{**base, "at": "25:00"}]), json.dumps([base, base])]
    for text in bad:
        for path in ("day/try", "day"):
            answer = ada.post(f"/productions/{job}/{path}", {"state": text, "version": "1"})
            assert answer.status_code == 422, (text, path)
    fine = json.dumps([base])
    assert (
        ada.post(f"/productions/{job}/day/try", {"state": fine, "move": f"{keys[0]}:x"}).status_code
        == 422
    )
    assert ada.get(f"/productions/{job}/day?aim=nothing").status_code == 422
    other = json.dumps([{**base, "scene_id": 999}])
    assert ada.post(f"/productions/{job}/day", {"state": other, "version": "1"}).status_code == 422


def test_times_and_limits_are_typed_and_the_plan_stays(ada: Browser, shot: Shot) -> None:
    job, keys = shot
    state = state_of(ada.get(f"/productions/{job}/day").text)
    ada.post(f"/productions/{job}/day", {"state": json.dumps(state), "version": "1"})
    form = {"from_time": "08:00", "until_time": "07:00", "version": "2"}
    refused = ada.post(f"/productions/{job}/day/facts", form)
    assert refused.status_code == 422
    assert "08:00" in refused.text
    typed = {
        **form,
        "until_time": "20:00",
        "scenes-0-scene_id": str(keys[0]),
        "scenes-0-length_min": "45",
    }
    assert ada.post(f"/productions/{job}/day/facts", typed).status_code == 303
    page = ada.get(f"/productions/{job}/day").text
    assert state_of(page) == state
    assert "08:00 to 20:00" not in page  # typed, so nothing is taken


def test_no_dates_is_said_with_the_way_on(ada: Browser) -> None:
    ada.post("/productions/new", {"title": "Undated"})
    page = ada.get("/productions/1/day")
    assert page.status_code == 200
    assert "has no date to plan" in page.text
    assert "/productions/1/edit#shoot_dates" in page.text


def test_the_calendar_by_file_and_by_private_address(ada: Browser, shot: Shot, app: Flask) -> None:
    job, _ = shot
    file = ada.get(f"/productions/{job}/day.ics?person=Ida")
    assert file.mimetype == "text/calendar"
    assert vobject.readOne(file.text).name == "VCALENDAR"
    assert ada.get(f"/productions/{job}/day.ics?person=Eve").status_code == 422
    page = ada.post(f"/productions/{job}/calendars", {"person": "Ida"}).text
    address = re.search(r'value="http://[^/"]+(/calendar/[^"]+\.ics)"', page)
    assert address
    stranger = app.test_client()
    strange = stranger.get(address[1])
    assert strange.status_code == 200
    assert strange.headers["X-Robots-Tag"] == "noindex"
    assert "private" in strange.headers["Cache-Control"]
    assert vobject.readOne(strange.text).name == "VCALENDAR"
    assert address[1] not in ada.get(f"/productions/{job}/day").text
    ada.post(f"/productions/{job}/calendars/1/revoke", {})
    assert stranger.get(address[1]).status_code == 404
    assert stranger.get(f"/productions/{job}/day.ics").status_code == 302
