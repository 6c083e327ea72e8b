"""The pages of changes: what changed, field by field, and a button that takes it back."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from scout.store import models
from scout.usecases.work import open_work
from tests.web.conftest import PARLOUR, Browser
from tests.web.house import House, built


def test_a_slip_is_found_and_taken_back(ada: Browser, parlour: str) -> None:
    ada.done(f"{parlour}/edit", {**PARLOUR, "width_m": "15", "version": "1"})
    listed = ada.get("/changes?room=1").text
    assert "Width: 5.00\N{NO-BREAK SPACE}m became 15.00\N{NO-BREAK SPACE}m." in listed
    page = ada.get("/changes/4").text
    assert "Take this change back" in page
    assert page.index(">Now<") < page.index(">Then<")  # what it will put back is shown first
    there = ada.done("/changes/4/undo")
    assert "It takes back" in ada.get(there).text
    assert 'value="5"' in ada.get(f"{parlour}/edit").text
    again = ada.post("/changes/4/undo")
    assert again.status_code == 422
    assert "width was changed again since, by Ada Example" in again.text


def test_feet_read_feet(ada: Browser, parlour: str) -> None:
    ada.done(f"{parlour}/edit", {**PARLOUR, "width_m": "3.048", "version": "1"})
    ada.post("/units", {"units": "feet", "then": "/"})
    # by hand: 3.048 m is 10 ft
    assert ">10&#39; 0&#34;<" in ada.get("/changes/4").text


def test_what_there_is_not_is_not_found(ada: Browser) -> None:
    for path in ("/changes/99", "/changes/99999999999", "/changes?room=99"):
        assert ada.get(path).status_code == 404
    assert ada.post("/changes/99/undo").status_code == 404
    for asked in ("room=x", "on=yesterday", "after=x"):
        assert ada.get(f"/changes?{asked}").status_code in (200, 422)


@pytest.fixture(scope="module")
def house(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    yield from built(sqlite_template, tmp_path_factory.mktemp("history"))


def test_who_sees_and_who_takes_back(house: House) -> None:
    with open_work(house.settings) as work:
        of_room = work.db.scalars(
            models.Change.__table__.select()
            .with_only_columns(models.Change.id)
            .where(models.Change.kind == "room", models.Change.part_of.is_(None))
        ).first()
    for role in ("crew", "guest"):
        assert house.as_(role).get("/changes").status_code == 403
        assert "/changes" not in house.as_(role).get("/words").text
    producer = house.as_("producer")
    assert producer.get(f"/changes/{of_room}").status_code == 200
    assert "may log in" not in producer.get("/changes").text
    assert "may log in" in house.as_("owner").get("/changes").text
    assert producer.post(f"/changes/{of_room}/undo").status_code == 403
