"""The choice on the web: the answer first, a decision that is kept, weights two at a time."""

from __future__ import annotations

import re

import pytest

from scout.pages.choice import serving
from tests.web.conftest import Browser


@pytest.fixture
def scene(ada: Browser) -> str:
    """Two rooms of one place for a scene that requires quiet and prefers height."""
    place = ada.done("/locations/new", {"name": "Mill"})
    for name, height, noise in (("Loft", "3", "30"), ("Cellar", "2.2", "28")):
        room = ada.done(f"{place}/rooms/new", {"name": name, "height_m": height})
        ada.done(
            f"{room}/noise/new",
            {"id": "N1", "laeq_db": noise, "method": "meter_class_1"},
        )
    job = ada.done("/productions/new", {"title": "Film", "client": "Mrs Quill"})
    needs = {
        "name": "Talk",
        "needs-0-topic": "noise",
        "needs-0-strength": "must",
        "needs-0-laeq_db": "35",
        "needs-1-topic": "height",
        "needs-1-strength": "wish",
        "needs-1-height_m": "2.6",
        "needs-2-topic": "budget",
        "needs-2-strength": "wish",
        "needs-2-amount": "300",
        "needs-2-currency": "GBP",
    }
    made = ada.done(f"{job}/scenes/new", needs)
    for key in (1, 2):
        ada.done(f"{made}/rooms/{key}")
    return made


def words(text: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", text).split())


def test_the_answer_comes_first_and_a_decision_keeps_its_facts(ada: Browser, scene: str) -> None:
    page = words(ada.get(f"{scene}/compare").text)
    assert "Take Loft: the ceiling is high enough" in page
    assert "Cellar loses on the ceiling" in page
    ada.done(
        "/candidates/1",
        {"version": "1", "state": "first_choice", "reason": "high and quiet"},
    )
    assert "chosen: Loft , of 2 rooms proposed" in words(ada.get("/productions/1").text)
    page = words(ada.get(f"{scene}/compare").text)
    assert "Loft was chosen" in page
    assert "high and quiet" in page
    assert "Decided on older facts" not in page
    ada.done("/rooms/1/noise/new", {"id": "N2", "laeq_db": "50", "method": "meter_class_1"})
    page = words(ada.get(f"{scene}/compare").text)
    assert "Decided on older facts: Noise, Loft:" in page
    assert "Take Cellar" in page  # one new reading changed the first choice
    assert "Loft loses on noise" in page
    ada.done("/candidates/2", {"version": "1", "state": "first_choice", "reason": ""})
    page = words(ada.get(f"{scene}/compare").text)
    assert "Cellar was chosen" in page
    assert "Loft backup" in page  # one first choice a scene


def test_the_clients_page_holds_nothing_private(ada: Browser, scene: str) -> None:
    ada.done("/candidates/1", {"version": "1", "state": "first_choice", "reason": "owes us one"})
    page = ada.get(f"{scene}/client").text
    assert "Mrs Quill" in page
    assert "Take Loft" in words(page)
    assert "owes us one" not in page
    assert "300" not in page


def test_needs_are_weighed_two_at_a_time(ada: Browser, scene: str) -> None:
    page = ada.get(f"{scene}/weigh").text
    assert "Ceiling height" in page
    version = re.findall(r'name="version" value="(\d+)"', page)[0]
    refused = ada.post(f"{scene}/weigh", {"version": version})
    assert refused.status_code == 422
    ada.done(f"{scene}/weigh", {"version": version, "pair-0": "more"})
    # by hand: three times as much: 75 and 25 of 100
    assert "weight 75" in words(ada.get(scene).text)
    assert "weight 25" in words(ada.get(scene).text)
    assert ada.post(f"{scene}/weigh", {"version": version, "pair-0": "more"}).status_code == 409


def test_a_scene_starts_from_needs_of_its_kind(ada: Browser, scene: str) -> None:
    page = ada.get("/productions/1/scenes/new?preset=interview").text
    assert re.findall(r'name="needs-\d+-topic" value="(\w+)"', page)[:3] == [
        "framing",
        "depth",
        "noise",
    ]
    ada.done("/productions/1/edit", {"version": "1", "title": "Film", "shoot_dates": "2099-06-20"})
    page = ada.get("/productions/1/scenes/new?preset=interview").text
    assert re.findall(r'name="needs-\d+-topic" value="(\w+)"', page)[:2] == ["when", "framing"]
    assert "2099-06-20</textarea>" in page
    page = ada.get("/productions/1/scenes/new?preset=nothing").text
    assert re.findall(r'name="needs-\d+-topic" value="(\w+)"', page) == []


def test_a_date_not_chosen_is_said_on_the_pages(ada: Browser, scene: str) -> None:
    """Two dates of the production, none of the setup's own: both are judged, on the choice and on
    the room.
    """
    ada.done(
        "/locations/1/edit",
        {
            "version": "1",
            "name": "Mill",
            "latitude_deg": "53",
            "longitude_deg": "0",
            "timezone": "Europe/London",
        },
    )
    ada.done(
        "/productions/1/edit",
        {
            "version": "1",
            "title": "Film",
            "client": "Mrs Quill",
            "shoot_dates": "2031-06-20\n2031-12-05",
        },
    )
    page = words(ada.get(f"{scene}/compare").text)
    assert "Judged on 20 Jun 2031 and 5 Dec 2031: each row says the worst of them" in page
    assert "1 of 1 required on each of the dates" in page
    assert "The 2 dates tried come to the same" in words(ada.get("/rooms/1?for=1").text)
    one = words(ada.get(f"{scene}/compare?on=2031-06-20").text)
    assert "Judged on" not in one


@pytest.fixture
def loft(ada: Browser, scene: str) -> str:
    """The loft, a scene it is too loud for, one over for good, and one that asks for nothing."""
    job = ada.done("/productions/new", {"title": "Next film", "shoot_dates": "2099-05-01"})
    quiet = {"needs-0-topic": "noise", "needs-0-strength": "must", "needs-0-laeq_db": "20"}
    ada.done(f"{job}/scenes/new", {"name": "Whisper", **quiet})
    ada.done(f"{job}/scenes/new", {"name": "Anything"})
    framing = {"needs-0-topic": "framing", "needs-0-strength": "must", "needs-0-framing": "wide"}
    ada.done(f"{job}/scenes/new", {"name": "Crowd", **framing})
    past = ada.done("/productions/new", {"title": "Old film", "shoot_dates": "2001-05-01"})
    ada.done(f"{past}/scenes/new", {"name": "Long ago", **quiet})
    return "/rooms/1"


def test_a_room_says_which_scenes_it_would_serve(ada: Browser, loft: str) -> None:
    """by hand: 30 dBA is under the talk's 35 and over the whisper's 20; the framing needs a plan."""
    assert 'href="/rooms/1/scenes"' in ada.get(loft).text
    page = words(ada.get(f"{loft}/scenes").text)
    assert "It would serve 1 of 3 scenes; 1 not known yet" in page
    serves, _, rest = page.partition("Not known yet")
    unknown, _, fails = rest.partition("It would not")
    assert "It would serve Talk" in serves
    assert "1 of 1 required met" in serves
    assert "proposed" in serves  # as it is already
    assert "Crowd" in unknown
    assert "Whisper" in fails
    assert "does not pass Noise room noise 20 dBA or less 29 to 31 dBA" in fails
    assert "Long ago" not in page  # its production is over
    assert "Without needs yet: Anything" in page


def test_a_room_is_proposed_from_there(ada: Browser, loft: str) -> None:
    page = ada.get(f"{loft}/scenes").text
    assert "/scenes/1/rooms/1" not in page  # proposed already
    ada.done("/scenes/2/rooms/1")
    assert "/scenes/2/rooms/1" not in ada.get(f"{loft}/scenes").text
    assert "0 of 1 required met" in words(ada.get("/scenes/2/compare").text)


def test_what_takes_long_is_left_and_named(
    ada: Browser, loft: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """property: with no room to work in full, nothing is claimed of what only that would tell."""
    monkeypatch.setattr(serving, "MOST_WHOLE", 0)
    page = words(ada.get(f"{loft}/scenes").text)
    assert "Framing framing: wide not worked out yet" in page
    assert (
        "It would serve 1 of 3 scenes; 1 not known yet" in page
    )  # noise is settled by its reading
