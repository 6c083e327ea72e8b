"""Ten questions of a crew and ten of a scout, each answered within four taps of the first page, on a
phone, by what the page says."""

from __future__ import annotations

import functools
import re
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from scout.settings import Settings
from scout.usecases import work as works
from scout.usecases.work import Work, open_work
from tests.browser.conftest import log_in
from tests.days import bare_demo

# what is asked: what is tapped, one after the other ("link", "fold" or "button" and its first words),
# and what then stands on the screen (common practice: "#" is a selector, all else words)
CREW = {
    "where am I to be, and when": ([], "09:30 to 11:00 proposed"),
    "whom do I ring at the house": ([], "#a[href='tel:+6445550101']"),
    "how do I get there": ([], "#a[href^='geo:-41.3']"),
    "what has to be done in the room": (["link Studio loft Letters"], "Trouble with colour"),
    "what does the camera do": (["link Studio loft Letters", "fold Camera"], "of ND on the lens"),
    "what do the lights do": (["link Studio loft Letters", "fold Light"], "Lay white on the floor"),
    "where does everything stand": (["link Studio loft Letters"], "#img, svg >> nth=-1"),
    "which microphone, how near": (
        ["link Studio loft Letters", "link Sound"],
        "Which microphone, how near",
    ),
    "which socket is on which circuit": (["link Studio loft Letters", "link Power"], "K2"),
    "when is the sun in the room": (["link Studio loft Letters", "link Sun"], "09:30 to 12:20"),
}
SCOUT = {
    "a new place": (["link Record a location"], "#input[name=name]"),
    "a new room, walked": (["link 3 locations", "link Kowhai", "link Walk a room"], "Photos"),
    "more about a room": (["link Studio loft Letters", "link Walk on"], "Photos"),
    "a photo": (["link Studio loft Letters", "link Photo"], "#input[type=file]"),
    "a note": (["link Studio loft Letters", "link Note"], "#textarea"),
    "a reading of the noise": (
        ["link Studio loft Letters", "link Sound", "link Add a noise reading"],
        "#input[name=laeq_db]",
    ),
    "what is missing, and where": (["link Measure Stair hall"], "Measure facing"),
    "a room by what it must have": (["link Rooms"], "#select, input[type=search]"),
    "what was changed, and how to take it back": (
        ["fold Files, people", "link Changes", "link Candidate Back kitchen"],
        "Take this change back",
    ),
    "a sheet from somebody else": (
        ["fold Files, people", "link Import a room sheet"],
        "#input[type=file]",
    ),
}


@pytest.fixture
def page(
    browser: Browser,
    address: str,
    embedded: Settings,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> Iterator[Page]:
    """The first page on a phone, on the morning before a day of shooting."""
    with open_work(embedded) as work:
        email, password, _job = bare_demo(work, tmp_path / "demo")
    eve = datetime(2026, 12, 4, 9, tzinfo=UTC)
    monkeypatch.setattr(works, "Work", functools.partial(Work, now=lambda: eve))
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    page = context.new_page()
    log_in(page, address, email, password)
    yield page
    context.close()


def tap(page: Page, what: str) -> None:
    """As a thumb: the first that is seen and has these words, capitals as they are."""
    kind, _, words = what.partition(" ")
    seen = {"link": "a", "fold": "summary", "button": "button"}[kind]
    said = re.compile(r"\b" + r"\s+".join(words.split()))
    page.locator(f"{seen}:visible", has_text=said).first.tap()


@pytest.mark.browser
def test_within_four_taps_of_the_first_page(page: Page) -> None:
    first = page.url
    for asked, (taps, answer) in (CREW | SCOUT).items():
        assert len(taps) <= 4, asked
        page.goto(first)
        for what in taps:
            tap(page, what)
        found = (
            page.locator(answer[1:]).first
            if answer.startswith("#")
            else page.get_by_text(answer).locator("visible=true").first
        )
        expect(found, asked).to_be_visible(timeout=60_000)  # the plan may still be at work
    assert (len(CREW), len(SCOUT)) == (10, 10)
