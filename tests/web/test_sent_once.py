"""What a phone sends under a name of its own is taken once, however often and however it comes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import uuid4

from scout.usecases import rooms
from tests.web.conftest import PARLOUR, WEIR, Browser


def sent(ada: Browser, path: str, data: dict[str, Any], once: str) -> Any:
    return ada.post(path, data, headers={"X-Once": once, "Accept": "text/html"})


def test_the_same_form_twice_is_one_room(ada: Browser, look: Callable[..., Any]) -> None:
    place = ada.done("/locations/new", WEIR)
    once = str(uuid4())
    first = sent(ada, f"{place}/rooms/new", PARLOUR, once)
    assert first.get_json() == {"there": "/rooms/1"}
    again = sent(ada, f"{place}/rooms/new", PARLOUR, once)
    assert again.get_json() == {"there": "/rooms/1"}, "it leads where the first one led"
    other = sent(ada, f"{place}/rooms/new", PARLOUR, str(uuid4()))
    assert other.get_json() == {"there": "/rooms/2"}
    assert look(lambda work: rooms.find_rooms(work).total) == 2


def test_a_form_without_scripts_carries_its_name_as_a_field(
    ada: Browser, look: Callable[..., Any]
) -> None:
    place = ada.done("/locations/new", WEIR)
    typed = {**PARLOUR, "once": str(uuid4())}
    for _ in range(2):
        assert ada.post(f"{place}/rooms/new", typed).status_code == 303
    assert look(lambda work: rooms.find_rooms(work).total) == 1


def test_what_was_refused_can_be_sent_again_under_its_name(
    ada: Browser, look: Callable[..., Any]
) -> None:
    place = ada.done("/locations/new", WEIR)
    once = str(uuid4())
    assert sent(ada, f"{place}/rooms/new", {**PARLOUR, "width_m": "x"}, once).status_code == 422
    assert sent(ada, f"{place}/rooms/new", PARLOUR, once).get_json() == {"there": "/rooms/1"}


def test_what_is_no_name_is_nothing(ada: Browser) -> None:
    place = ada.done("/locations/new", WEIR)
    for once in ("", "x", "'; drop table sent", "1" * 5000):
        answer = sent(ada, f"{place}/rooms/new", PARLOUR, once)
        assert answer.status_code in (200, 303)


def test_who_is_not_logged_in_is_told_so_and_the_name_stays_free(
    ada: Browser, stranger: Browser, look: Callable[..., Any]
) -> None:
    place = ada.done("/locations/new", WEIR)
    once = str(uuid4())
    answer = stranger.post(f"{place}/rooms/new", PARLOUR, headers={"X-Once": once})
    assert answer.status_code in (401, 400)
    assert sent(ada, f"{place}/rooms/new", PARLOUR, once).get_json() == {"there": "/rooms/1"}


def test_the_phone_is_given_what_it_needs_without_signal(ada: Browser, stranger: Browser) -> None:
    worker = stranger.get("/worker.js")
    assert worker.mimetype == "text/javascript"
    assert '"/outbox"' in worker.text
    assert "/static/sillbook.css?v=" in worker.text
    assert stranger.get("/outbox").status_code == 200
    manifest = stranger.get("/app.webmanifest").get_json(force=True)
    assert manifest["start_url"] == "/"
    assert ada.get("/outbox/token").get_json()["csrf_token"]
    assert "csrf_token" not in stranger.get("/outbox/token").text
