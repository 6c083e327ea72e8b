"""Packets printed with progress, and room sheets out and in."""

from __future__ import annotations

import json
import re
import time
from io import BytesIO

import pytest
from jsonschema import Draft202012Validator
from PIL import Image
from pypdf import PdfReader

from scout.cli.work_command import workers
from scout.settings import Settings
from tests.web.conftest import PARLOUR, Browser
from tests.web.page_check import faults_of


# -- packets
# ----------------------------------------------------------------------------------------------------------
def wait(browser: Browser, page: str, seconds: float = 60) -> None:
    """Until the job of a page is over."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        answer = browser.get(f"{page}.json")
        assert answer.json is not None
        if answer.json["over"]:
            return
        time.sleep(0.05)
    pytest.fail("the packet was never done")


def test_a_packet_is_printed_and_downloaded(ada: Browser, parlour: str, embedded: Settings) -> None:
    job = ada.done("/productions/new", {"title": "The Weir <film>", "shoot_dates": "2026-06-21"})
    scene = ada.done(
        f"{job}/scenes/new",
        {
            "name": "The talk",
            "needs-0-topic": "noise",
            "needs-0-strength": "must",
            "needs-0-laeq_db": "30",
        },
    )
    ada.done(f"{scene}/rooms/1")
    page = ada.done(f"{job}/packets", {"paper": "letter"})
    assert faults_of(ada.get(page).text) == []
    with workers(embedded):
        wait(ada, page)
    done = ada.get(page)
    assert "Revision 1 is printed" in done.text
    assert faults_of(done.text) == []
    link = re.search(r'href="(/packets/\d+\.pdf)"', done.text)
    assert link is not None
    file = ada.get(link[1])
    assert file.data.startswith(b"%PDF-")
    assert "attachment" in file.headers["Content-Disposition"]
    listed = ada.get(job).text
    assert "Revision 1" in listed
    # the next is asked for as this one was
    assert re.search(r'value="letter" selected', listed)
    looked = ada.get(re.search(r'href="(/packets/\d+)"', listed)[1])  # type: ignore[index]
    assert faults_of(looked.text) == []
    pictures = re.findall(r'src="(/packets/\d+/\d+-780\.webp)"', looked.text)
    assert len(pictures) == len(PdfReader(BytesIO(file.data)).pages)
    page = ada.get(pictures[0])
    assert (page.status_code, page.mimetype) == (200, "image/webp")
    wide, high = Image.open(BytesIO(page.data)).size
    assert (wide, high) == (780, pytest.approx(780 * 11 / 8.5, abs=1))  # by hand: Letter
    for wrong in ("/0-780.webp", "/99-780.webp", "/1-5.webp"):
        assert ada.get(pictures[0].rpartition("/")[0] + wrong).status_code == 404
    viewed = ada.get(f"{link[1]}?look=1")
    assert viewed.headers["Content-Disposition"].startswith("inline")


def test_another_paper_is_refused(ada: Browser) -> None:
    job = ada.done("/productions/new", {"title": "A film"})
    answer = ada.post(f"{job}/packets", {"paper": "a0"})
    assert answer.status_code == 422
    assert "a4, letter" in answer.text


def test_a_template_is_kept_with_a_print_printed_by_its_name_and_forgotten(ada: Browser) -> None:
    job = ada.done("/productions/new", {"title": "A film"})
    light = {"edition": "light", "paper": "letter", "units": "feet", "date": "2026-06-13"}
    for name in ("Gaffer  paper", "Gaffer paper"):  # of one name there is one
        ada.done(f"{job}/packets", {**light, "template_name": name})
    page = ada.get(job)
    assert faults_of(page.text) == []
    assert page.text.count('name="template" value="Gaffer paper"') == 1
    # the same is asked for by its name as by its choices: one print under way
    assert ada.done(f"{job}/packets", {"template": "Gaffer paper"}) == ada.done(
        f"{job}/packets", light
    )
    ada.done(f"{job}/packets", {**light, "paper": "a4", "template_name": "Gaffer paper"})
    assert "US Letter · feet" not in ada.get(job).text
    (forget,) = re.findall(r'action="(/packets/templates/\d+/forget)"', page.text)
    ada.done(forget, {})
    assert "Gaffer paper" not in ada.get(job).text.partition('id="packets"')[2]
    assert ada.post(forget, {}).status_code == 404
    for wrong in ({"template": "Gaffer paper"}, {"template_name": "n" * 301}):
        answer = ada.post(f"{job}/packets", wrong)
        assert answer.status_code == 422
        assert "template" in answer.text


# -- room sheets
# ------------------------------------------------------------------------------------------------------
def test_a_room_goes_out_and_comes_in_again(ada: Browser, parlour: str) -> None:
    ada.done(
        f"{parlour}/windows/new",
        {
            "id": "W1",
            "wall": "A",
            "offset_m": "1.5",
            "width_m": "2",
            "sill_m": "0.9",
            "height_m": "1.5",
        },
    )
    sheet = ada.get(f"{parlour}/room-sheet.json")
    assert "attachment" in sheet.headers["Content-Disposition"]
    document = json.loads(sheet.text)
    Draft202012Validator(json.loads(ada.get("/room-sheet.schema.json").text)).validate(document)
    room = ada.done("/sheets/read", {"text": sheet.text, "location": "1"})
    again = json.loads(ada.get(f"{room}/room-sheet.json").text)
    assert again["room"] == document["room"]
    assert again["location"] == document["location"]


def test_every_refusal_of_a_sheet_is_shown_with_its_path(ada: Browser) -> None:
    room = {
        "name": "Bad",
        "width_m": 5,
        "length_m": 6.5,
        "height_m": 2.7,
        "colour": "red",
        "windows": [{"id": "W1", "wall": "A"}, {"id": "W2", "wall": "A", "sill_m": -1}],
    }
    text = json.dumps({"schema": "room-sheet/1", "room": room})
    answer = ada.post("/sheets/read", {"text": text})
    assert answer.status_code == 422
    assert "room.colour" in answer.text
    assert "room.windows[1].sill_m" in answer.text
    assert "room-sheet/1" in answer.text, "what was pasted is still there"
    assert faults_of(answer.text) == []


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"not json",
        b'{"schema": NaN}',
        b"\xff\xfe\x00",
        b"[" * 100_000,
        b"[]",
        b'{"a":1,"a":2}',
        b"null",
    ],
    ids=["empty", "words", "NaN", "not UTF-8", "nested", "a list", "a key twice", "null"],
)
def test_what_is_no_sheet_is_refused_in_words(ada: Browser, content: bytes) -> None:
    answer = ada.post(
        "/sheets/read",
        {"sheet": (BytesIO(content), "room.json")},
        content_type="multipart/form-data",
    )
    assert answer.status_code == 422
    assert faults_of(answer.text) == []


def test_a_sheet_in_a_file_makes_its_own_location(ada: Browser) -> None:
    sheet = {
        "schema": "room-sheet/1",
        "location": {"name": "Weir House", "latitude_deg": 52.2, "longitude_deg": 0.12},
        "room": {"name": PARLOUR["name"], "width_m": 5.0, "length_m": 6.5},
    }
    room = ada.done(
        "/sheets/read", {"sheet": (BytesIO(json.dumps(sheet).encode("utf-8-sig")), "room.json")}
    )
    assert "Weir House" in ada.get(room).text
