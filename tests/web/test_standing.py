"""The page a printed code leads to: who holds the paper learns whether it is the last, and nothing
else.
"""

from __future__ import annotations

from datetime import UTC, datetime

from scout.records import ProductionRecord
from scout.settings import Settings
from scout.store import models
from scout.usecases import productions, revisions
from scout.usecases.work import open_work
from tests.web.conftest import Browser
from tests.web.page_check import faults_of


def test_a_stranger_with_the_code_learns_whether_it_is_the_last(
    embedded: Settings, stranger: Browser, ada: Browser
) -> None:
    with open_work(embedded) as work:
        key = productions.add_production(work, ProductionRecord(title="Secret film"))
        token = revisions.code_of(work, key)
        for number, pages in ((1, ["a", "b"]), (2, ["a", "c"])):
            work.db.add(
                models.Packet(
                    production_id=key,
                    revision=number,
                    made_at=datetime(2026, 6, number, tzinfo=UTC),
                    edition="whole",
                    paper="a4",
                    pages=2,
                    sha256="0" * 64,
                    changes=["secret"],
                    held={},
                    page_hashes=pages,
                )
            )
        work.commit()
    at = f"/r/{token}/{{}}/whole__a4_metric"
    old, new = stranger.get(at.format(1)), stranger.get(at.format(2))
    assert (old.status_code, new.status_code) == (200, 200)
    assert "A newer one exists" in old.text
    assert "Swap one page of revision 1: 2." in old.text
    assert "This is the last revision" in new.text
    for page in (old, new):
        assert "ecret" not in page.text
        assert faults_of(page.text) == []
    assert stranger.get("/r/nobody/1/whole__a4_metric").status_code == 404
    ada.done(f"/productions/{key}/packets/code")
    assert stranger.get(at.format(2)).status_code == 404
