"""A room's pages are drawn once for what they rest on, anew as soon as any of it changes, and hold
nothing of one session.
"""

from __future__ import annotations

import pytest

from scout.drawing import svg
from tests.web.conftest import Browser, value_of


def main_of(browser: Browser, path: str) -> str:
    """What is in the middle of a page."""
    return browser.get(path).text.split("<main")[1].split("<footer")[0]


PAGES = ("", "/sun", "/space", "/daylight", "/bounce")


@pytest.mark.parametrize("page", PAGES)
def test_a_page_is_drawn_once_until_something_changes(
    ada: Browser, second: Browser, parlour: str, page: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: list[object] = []
    render = svg.render

    def counted(*given: object, **named: object) -> object:
        drawn.append(given)
        return render(*given, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(svg, "render", counted)
    first = main_of(ada, parlour + page)
    before = len(drawn)
    assert main_of(ada, parlour + page) == first
    again = main_of(second, parlour + page)
    assert len(drawn) == before, "asked for again, by somebody else too: nothing is drawn"
    assert again == first

    ada.post("/units", {"units": "feet", "then": parlour})
    feet = main_of(ada, parlour + page)
    assert "5.00\u00a0m" not in feet
    assert main_of(second, parlour + page).count("5.00\u00a0m") == first.count("5.00\u00a0m")
    ada.post("/units", {"units": "metric", "then": parlour})

    form = ada.get(f"{parlour}/edit")
    ada.done(
        f"{parlour}/edit",
        {
            "name": "Renamed parlour",
            "setting": "interior",
            "width_m": "5",
            "length_m": "7.77",
            "height_m": "2.7",
            "version": value_of(form, "version"),
        },
    )
    assert "Renamed parlour" in second.get(parlour + page).text


def test_a_template_drawn_once_holds_nothing_of_a_session(ada: Browser, parlour: str) -> None:
    for page in PAGES:
        assert "csrf_token" not in main_of(ada, parlour + page), page
