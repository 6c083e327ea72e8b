"""Dates and hours that may be slips of the pen are kept, and said at once."""

from __future__ import annotations

import re
from html import unescape

from tests.web.conftest import Browser


def told(ada: Browser, path: str) -> list[str]:
    """What the next page says once, to be heeded."""
    found = re.findall(r'<p class="told" role="status">(.*?)</p>', ada.get(path).text, re.DOTALL)
    return [" ".join(unescape(re.sub(r"<[^>]+>", "", one)).split()) for one in found]


def test_dates_that_are_past_or_no_shoot_day_are_kept_and_said(ada: Browser) -> None:
    job = ada.done("/productions/new", {"title": "A film", "shoot_dates": "2020-01-01\n1 May 2099"})
    assert next(one for one in told(ada, job) if "past" in one).endswith(
        "1 Jan 2020 is past; kept, change it if the year slipped"
    )
    assert told(ada, job) == []  # once
    same = {"title": "A film", "shoot_dates": "2020-01-01, 2099-05-01", "version": "1"}
    ada.done(f"{job}/edit", {**same, "client": "Quill"})
    assert told(ada, job) == []  # it was so before
    when = {"needs-0-topic": "when", "needs-0-strength": "must", "needs-0-dates": "2099-05-02"}
    hours = {"needs-0-from_time": "18:00", "needs-0-until_time": "10:00"}
    scene = ada.done(f"{job}/scenes/new", {"name": "The talk", **when, **hours})
    first, second = told(ada, scene)
    assert "2 May 2099 is no shoot date: those are 1 Jan 2020 and 1 May 2099" in first
    assert "18:00 to 10:00 runs past midnight" in second


def test_a_year_that_was_left_out_is_said(ada: Browser) -> None:
    job = ada.done("/productions/new", {"title": "A film", "shoot_dates": "12 December"})
    (words,) = told(ada, job)
    assert re.search(r"“12 December” is taken as \w+ 12 December 20\d\d", words)


def test_a_day_that_ends_before_it_begins_is_refused_by_its_field(ada: Browser) -> None:
    job = ada.done("/productions/new", {"title": "A film"})
    late = ada.post(
        f"{job}/day/facts", {"from_time": "18:00", "until_time": "10:00", "version": "0"}
    )
    assert late.status_code == 422
    assert '<a href="#until_time">Not after</a>' in late.text
