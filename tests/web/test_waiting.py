"""A page whose figures take long comes at once with what is recorded, and is whole for a script, a
program, and whoever reads without scripts.
"""

from __future__ import annotations

import pytest

from scout.web import waiting
from tests.web.conftest import PARLOUR, Browser

OPENED = {"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"}  # as a browser opens a page


def test_a_page_comes_before_its_figures(
    ada: Browser, place: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    # a room that no other test has had worked out in this process
    parlour = ada.done(f"{place}/rooms/new", {**PARLOUR, "length_m": "6.47"})
    monkeypatch.setattr(waiting, "PATIENCE_S", 0.0)
    form = ada.get(f"{parlour}/edit")
    assert form.status_code == 200, "a page without figures is not waited for"
    early = ada.get(parlour, headers=OPENED)
    assert early.status_code == 202
    for words in ("Long parlour", "Weir House", "5.00\u00a0m", 'role="status"', "<noscript>"):
        assert words in early.text
    assert f'content="0; url={parlour}?whole=1"' in early.text
    assert "The day</h2>" not in early.text

    whole = ada.get(f"{parlour}?whole=1", headers=OPENED)
    assert whole.status_code == 200
    assert "The day</h2>" in whole.text
    # what the script fetched is what the page then shows, without waiting
    assert ada.get(parlour).text.count("The day</h2>") == 1
    assert ada.get(parlour, headers=OPENED).status_code == 200


def test_what_was_done_is_said_with_the_figures_too(
    ada: Browser, place: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(waiting, "PATIENCE_S", 0.0)
    bench = ada.done(f"{place}/rooms/new", {**PARLOUR, "name": "Bench room"})
    with ada.client.session_transaction() as session:
        session["_flashes"] = [("message", "The bench is kept.")]
    early = ada.get(bench, headers=OPENED)
    assert (early.status_code, "The bench is kept." in early.text) == (202, True)
    assert "The bench is kept." in ada.get(bench).text
    assert "The bench is kept." not in ada.get(bench).text
