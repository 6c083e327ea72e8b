"""What is kept of somebody, taken along and erased by page."""

from __future__ import annotations

import io
import json
import zipfile

from flask import Flask

from scout.records import Person
from scout.usecases import people
from scout.usecases.work import open_work
from tests.web.conftest import PASSWORD, WEIR, Browser, faults, summary


def test_a_person_takes_their_file_along_and_leaves(app: Flask, ada: Browser) -> None:
    with open_work(app.config["SILLBOOK"]) as work:
        people.add_person(work, Person(name="Bo Example", email="bo@example.org"), PASSWORD)
        people.set_role(work, "bo@example.org", "producer")
    bo = Browser(app.test_client())
    assert bo.log_in("bo@example.org").status_code == 302
    place = bo.done("/locations/new", {**WEIR, "contacts-0-name": "Bo Example"})
    answer = bo.get("/mine/file")
    with zipfile.ZipFile(io.BytesIO(answer.data)) as archive:
        told = json.loads(archive.read("person.json"))
    assert told["account"]["email"] == "bo@example.org"
    assert told["contacts_and_crew"][0]["of"] == "Weir House"
    assert PASSWORD not in str(told)
    assert answer.headers["Cache-Control"] == "no-store"

    refused = bo.post("/mine/erase", {"old": "not it"})
    assert refused.status_code == 422
    assert faults(refused) == ["is not the present password"]
    assert "not it" not in refused.text
    assert bo.done("/mine/erase", {"old": PASSWORD}) == "/login"
    assert bo.get("/").status_code == 302
    assert "Bo Example" not in ada.get(place).text
    assert "somebody who left" in ada.get(place).text


def test_an_owner_looks_first_and_then_erases(ada: Browser) -> None:
    place = ada.done("/locations/new", {**WEIR, "contacts-0-name": "Ines Oak"})
    sent = {"name": "Ines Oak", "email": "", "phone": ""}
    looked = ada.post("/people/erase", sent)
    assert looked.status_code == 200
    assert "Location: 1" in looked.text
    assert "Ines Oak" in ada.get(place).text
    assert ada.done("/people/erase", {**sent, "sure": "yes"}) == "/people"
    assert "Ines Oak" not in ada.get(place).text


def test_the_last_owner_is_not_erased(ada: Browser) -> None:
    answer = ada.post("/mine/erase", {"old": PASSWORD})
    assert answer.status_code == 422
    assert "last one" in faults(answer)[0]
    sent = {"name": "Ada Example", "email": "ada@example.org", "sure": "yes"}
    again = ada.post("/people/erase", sent)
    assert again.status_code == 422
    assert summary(again) or faults(again)
