"""Photos: sent many at once, each judged alone; shown upright; given back byte for byte."""

from __future__ import annotations

import re
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from html import unescape
from io import BytesIO
from struct import pack
from typing import Any
from urllib.parse import quote
from uuid import uuid4
from zlib import crc32

import pytest
from flask import Flask
from PIL import Image
from werkzeug.test import TestResponse

from scout.pages.packet.crew import photo_of
from scout.settings import Settings
from scout.store import models
from scout.usecases import photos, rooms
from scout.usecases.work import open_work
from scout.web import listening
from scout.web.app import create_app
from tests.web.conftest import Browser, logged_in, value_of
from tests.web.page_check import faults_of

KEPT = (200, 303)  # kept: with something to say of a file (no capture time, say), or with nothing


def send(
    browser: Browser, *files: tuple[bytes, str], to: str = "/room/1/photos", json: bool = False
) -> TestResponse:
    data = {"photos": [(BytesIO(content), name) for content, name in files]}
    return browser.post(
        to,
        data,
        content_type="multipart/form-data",
        headers={"Accept": "application/json"} if json else {},
    )


def test_photos_are_kept_shown_and_given_back(ada: Browser, parlour: str, picture: bytes) -> None:
    assert send(ada, (picture, "kitchen.jpg")).status_code in KEPT
    page = ada.get(parlour)
    assert "/photos/1/thumb.jpg" in page.text
    for size in ("thumb", "screen"):
        shown = ada.get(f"/photos/1/{size}.jpg")
        assert shown.mimetype == "image/jpeg"
        assert "private" in shown.headers["Cache-Control"]
        with Image.open(BytesIO(shown.data)) as image:
            assert image.size == (64, 48)
    original = ada.get("/photos/1/original")
    assert original.data == picture, "byte for byte"
    assert "attachment" in original.headers["Content-Disposition"]
    assert faults_of(ada.get("/photos/1").text) == []


def test_one_bad_file_does_not_lose_the_others(
    ada: Browser, parlour: str, picture: bytes, look: Callable[..., Any]
) -> None:
    answer = send(
        ada,
        (picture, "good.jpg"),
        (b"", "empty.jpg"),
        (b"<html>not a picture", "page.jpg"),
        (picture[: len(picture) // 2], "half.jpg"),
    )
    assert answer.status_code == 200
    assert faults_of(answer.text) == []
    kept = look(lambda work: rooms.room(work, 1)).photos
    assert "good.jpg" in [line.original_name for line in kept]
    assert {"empty.jpg", "page.jpg"}.isdisjoint(line.original_name for line in kept)
    for name in ("good.jpg", "empty.jpg", "page.jpg", "half.jpg"):
        assert name in answer.text


def test_the_script_is_told_of_each_file_alone(ada: Browser, parlour: str, picture: bytes) -> None:
    good = send(ada, (picture, "good.jpg"), json=True)
    assert good.status_code == 200
    assert good.json is not None
    assert good.json["files"][0]["photo_id"] == 1
    assert good.json["files"][0]["warnings"] == ["The capture time is not recorded."]
    bad = send(ada, (b"junk", "bad.heic"), json=True)
    assert bad.status_code == 422
    assert bad.json is not None
    assert bad.json["files"][0]["name"] == "bad.heic"
    assert "accepted as JPEG" in bad.json["files"][0]["refused"]
    again = send(ada, (picture, "again.jpg"), json=True)
    assert again.json is not None
    assert again.json["files"][0]["duplicate_of"] == 1


def test_what_a_phone_sent_is_drawn_after_its_answer(
    ada: Browser, parlour: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(listening, "QUIET_S", 0.0)

    def chunk(kind: bytes, data: bytes) -> bytes:
        # W3C, Portable Network Graphics, 5.3: length, type, data, CRC of type and data
        return pack(">I", len(data)) + kind + data + pack(">I", crc32(kind + data))

    header = chunk(b"IHDR", pack(">IIBBBBB", 64, 48, 8, 2, 0, 0, 0))
    unpacked = header + chunk(b"IDAT", b"nothing that zlib packed") + chunk(b"IEND", b"")
    sent = {"photos": [(BytesIO(b"\x89PNG\r\n\x1a\n" + unpacked), "odd.png")]}
    headers = {"X-Once": str(uuid4()), "Accept": "application/json"}
    kind = "multipart/form-data"
    answer = ada.post("/room/1/photos", sent, content_type=kind, headers=headers)
    assert answer.status_code == 200
    assert answer.json is not None
    assert not any("drawn" in one for one in answer.json["files"][0]["warnings"])
    for thread in threading.enumerate():
        if thread.name == "drawer":
            thread.join(30)
    assert "cannot be drawn" in " ".join(ada.get("/photos/1").text.split())


def bare(
    ada: Browser, data: bytes, name: str, once: str | None = None, token: str | None = None
) -> Any:
    """As `outbox.js` sends a photo: the body is the file."""
    token = ada.token() if token is None else token
    headers = {
        "X-Once": once or str(uuid4()),
        "Accept": "application/json",
        "Content-Disposition": f"attachment; filename*=UTF-8''{quote(name)}",
        "X-CSRFToken": token,
    }
    kind = "application/octet-stream"
    return ada.client.post("/room/1/photos", data=data, content_type=kind, headers=headers)


def test_a_photo_alone_needs_no_form_around_it(
    ada: Browser, parlour: str, picture: bytes, look: Callable[..., Any], embedded: Settings
) -> None:
    once, name = str(uuid4()), 'Küche "1"; 2*.jpg'
    assert bare(ada, picture, name, once).get_json()["files"][0]["photo_id"] == 1
    assert bare(ada, picture, name, once).get_json() == {"files": [{"again": True, "name": ""}]}
    (line,) = look(lambda work: rooms.room(work, 1)).photos
    assert line.original_name == name
    assert ada.get("/photos/1/original").data == picture
    refused = bare(ada, b"junk", "bad.heic")
    assert refused.status_code == 422
    assert refused.get_json()["files"][0]["name"] == "bad.heic"
    # property: a name is not used up by what was refused, and none of what was sent is left behind
    assert bare(ada, picture + b"\0", "unnamed").status_code == 200
    parts = (embedded.data_dir / "originals").glob(".part-*")
    assert list(parts) == []


def test_a_photo_alone_is_asked_for_its_token_its_size_and_its_room(
    ada: Browser, parlour: str, tight: Browser, picture: bytes
) -> None:
    assert bare(ada, picture, "a.jpg", token="").status_code == 400
    assert bare(ada, picture, "a.jpg", token="guessed").status_code == 400
    told = bare(tight, picture + b"\0" * 11_500_000, "large.jpg")
    assert told.status_code == 413
    assert bare(tight, picture + b"\0" * 1_200_000, "large.jpg").status_code == 422
    ada.done("/rooms/1/bin", {"version": "1"})
    assert bare(ada, picture, "a.jpg").status_code == 404


def test_nothing_is_drawn_while_photos_arrive(
    embedded: Settings, app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: list[int] = []
    ours = 700_000  # other tests' photos may still be drawn

    def draw(_work: object, key: int) -> None:
        drawn.extend([key] * (key == ours))

    monkeypatch.setattr(listening, "QUIET_S", 0.02)
    monkeypatch.setattr(photos, "draw_kept", draw)
    drawer = listening.Drawer(embedded)
    with app.test_request_context("/room/1/photos", method="POST"):
        drawer.begun()
        drawer.add(ours)
        time.sleep(0.2)
        assert drawn == []
        drawer.over()
    until = time.monotonic() + 10
    while not drawn and time.monotonic() < until:
        time.sleep(0.01)
    assert drawn == [ours]


def test_nothing_chosen_is_said(ada: Browser, parlour: str) -> None:
    for answer in (ada.post("/room/1/photos"), send(ada, (b"", ""))):
        assert answer.status_code == 422
        assert "No file was chosen" in answer.text


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "WEBP"])
def test_each_kind_of_picture(ada: Browser, parlour: str, kind: str) -> None:
    buffer = BytesIO()
    Image.new("RGB", (40, 30), (10, 200, 60)).save(buffer, kind)
    assert send(ada, (buffer.getvalue(), f"picture.{kind.lower()}")).status_code in KEPT
    assert ada.get("/photos/1/thumb.jpg").status_code == 200


def test_a_name_is_only_a_name(ada: Browser, parlour: str, picture: bytes) -> None:
    name = '../../etc/<img src=x onerror=alert(1)>".jpg'
    answer = send(ada, (picture, name))
    assert answer.status_code in KEPT
    for page in (ada.get(parlour), ada.get("/photos/1"), answer):
        assert "<img src=x" not in page.text
    assert ada.get("/photos/1/original").status_code == 200


@pytest.fixture
def tight(embedded: Settings, app: object) -> Browser:
    """The same installation with a limit of one megabyte a file."""
    return logged_in(create_app(replace(embedded, max_upload_bytes=1_000_000)))


def test_the_limit_is_told_before_and_after(tight: Browser, picture: bytes) -> None:
    place = tight.done("/locations/new", {"name": "Weir House"})
    assert "1 MB a file at most" in tight.get(place).text
    one = send(
        tight,
        (picture + b"\0" * 1_200_000, "large.jpg"),
        (picture, "small.jpg"),
        to="/location/1/photos",
    )
    assert one.status_code == 200
    assert "limit of 1 MB" in one.text
    assert "/photos/1" in one.text, "the small one is kept"
    many = send(tight, (picture + b"\0" * 11_500_000, "larger.jpg"), to="/location/1/photos")
    assert many.status_code == 413
    assert "1 MB" in many.text
    assert faults_of(many.text) == []
    told = send(
        tight, (picture + b"\0" * 11_500_000, "larger.jpg"), to="/location/1/photos", json=True
    )
    assert told.status_code == 413
    assert told.json is not None
    assert "1 MB" in told.json["because"][0]


def test_what_people_say_of_a_photo(ada: Browser, parlour: str, picture: bytes) -> None:
    send(ada, (picture, "a.jpg"))
    page = ada.get("/photos/1")
    typed = {
        "caption": "The tool wall",
        "position": "0",
        "taken_at": "2026-05-03T10:40",
        "bearing_deg": "182,5",
        "version": value_of(page, "version"),
    }
    ada.done("/photos/1", typed)  # the tick left out: not in the packet
    page = ada.get("/photos/1")
    assert unescape(value_of(page, "caption")) == "The tool wall"
    assert value_of(page, "taken_at") == "2026-05-03T10:40"
    assert "not in the packet" in ada.get(f"{parlour}/recorded").text
    wrong = ada.post("/photos/1", {"latitude_deg": "52", "version": value_of(page, "version")})
    assert wrong.status_code == 422
    assert 'id="longitude_deg-fault"' in wrong.text


def test_photos_are_put_in_order_and_binned(
    ada: Browser, parlour: str, picture: bytes, look: Callable[..., Any]
) -> None:
    send(ada, (picture, "first.jpg"))
    send(ada, (picture + b"\0", "second.jpg"))
    lines = look(lambda work: rooms.room(work, 1)).photos
    assert [line.original_name for line in lines] == ["first.jpg", "second.jpg"]
    ada.done("/photos/2/move", {"position": "0", "version": str(lines[1].version)})
    assert [line.original_name for line in look(lambda work: rooms.room(work, 1)).photos] == [
        "second.jpg",
        "first.jpg",
    ]
    line = look(lambda work: rooms.room(work, 1)).photos[0]
    ada.done(f"/photos/{line.id}/bin", {"version": str(line.version)})
    assert ada.get(f"/photos/{line.id}/thumb.jpg").status_code == 404
    ada.done(f"/bin/photo/{line.id}/restore")
    assert ada.get(f"/photos/{line.id}/original").data == picture + b"\0"


ARROW = {
    "overlays-0-kind": "arrow",
    "overlays-0-x": "25 %",
    "overlays-0-y": "0.5",
    "overlays-0-to_x": "0.75",
    "overlays-0-to_y": "0.25",
    "overlays-0-text": "<b>This socket",
}


def test_an_arrow_is_drawn_kept_changed_and_removed(
    ada: Browser, parlour: str, picture: bytes
) -> None:
    send(ada, (picture, "kitchen.jpg"))
    page = ada.get("/photos/1")
    sent = {"version": value_of(page, "version"), "position": "0", "in_packet": "yes"}
    tried = ada.post("/photos/1/overlays", ARROW)
    assert tried.mimetype == "image/svg+xml"
    assert "&lt;b&gt;This socket" in tried.text
    assert "arrow" not in ada.get("/photos/1").text.split("<form")[0], "trying keeps nothing"
    assert ada.post("/photos/1", {**sent, **ARROW}).status_code == 303
    page = ada.get("/photos/1")
    assert "arrow: &lt;b&gt;This socket" in page.text
    assert faults_of(page.text) == []
    assert 'value="0.25"' in page.text
    refused = ada.post("/photos/1", {**sent, **ARROW, "overlays-0-to_x": "2"})
    assert refused.status_code == 422
    assert "&lt;b&gt;This socket" in refused.text, "nothing typed is lost"
    stale = ada.post("/photos/1", {**sent, **ARROW, "overlays-0-text": "That one"})
    assert stale.status_code == 409
    sent["version"] = value_of(page, "version")
    assert ada.post("/photos/1", {**sent, **ARROW, "overlays-0-gone": "yes"}).status_code == 303
    assert "This socket" not in ada.get("/photos/1").text
    more = ada.post("/photos/1", {**sent, "more_rows": "overlays"})
    assert 'name="overlays-0-kind"' in more.text, "a row without scripts"


def test_a_photo_is_turned_shown_so_everywhere_and_turned_back(
    ada: Browser, parlour: str, look: Callable[..., Any], embedded: Settings
) -> None:
    buffer = BytesIO()
    lying = Image.new("RGB", (64, 48), (0, 0, 200))
    lying.paste((200, 0, 0), (0, 0, 32, 48))  # the left half red
    lying.save(buffer, "JPEG")
    send(ada, (buffer.getvalue(), "kitchen.jpg"))
    page = ada.get("/photos/1")
    sent = {"version": value_of(page, "version"), "position": "0", "in_packet": "yes"}
    ada.done("/photos/1", {**sent, "turned": "no", **ARROW})

    def turn(deed: str) -> None:
        chosen = f"1:{look(lambda work: photos.photo(work, 1).line.version)}"
        there = ada.done("/photos/chosen", {"deed": deed, "chosen": chosen, "photo": "1"})
        assert there == "/photos/1"

    def top() -> tuple[tuple[int, int], str]:
        """The size of the picture that the page of photos shows, and the ink in its top middle."""
        address = re.search(r'<img src="(/photos/1/thumb[^"]*)"', ada.get("/photos").text)
        assert address is not None
        with Image.open(BytesIO(ada.get(unescape(address[1])).data)) as image:
            red, _, blue = image.getpixel((image.width // 2, 2))  # type: ignore[misc]
            return image.size, "red" if red > blue + 80 else "blue" if blue > red + 80 else "both"

    def arrow() -> tuple[float | None, ...]:
        (one,) = look(lambda work: photos.photo_kept(work, 1).record.overlays)
        return one.x, one.y, one.to_x, one.to_y

    turn("turn_right")
    offered = re.search(r'<a href="(/changes/\d+)">Take it back</a>', ada.get("/photos/1").text)
    assert offered is not None
    assert "turned" in ada.get(offered[1]).text.lower()
    # by hand: clockwise, the left side comes to the top, and (x, y) to (1 - y, x)
    assert top() == ((48, 64), "red")
    assert arrow() == (0.5, 0.25, 0.75, 0.75)
    with open_work(embedded, reading=True) as work:
        printed = photo_of(work, work.db.get_one(models.Photo, 1), None).draw((500, 500))
    assert printed.size == (48, 64)
    assert 'width="48" height="64"' in ada.get("/photos/1").text
    assert ada.get("/photos/1/original").data == buffer.getvalue(), "byte for byte"
    turn("turn_right")
    assert top()[0] == (64, 48)
    assert arrow() == (0.75, 0.5, 0.25, 0.75)

    newest = re.search(r"/changes/(\d+)", ada.get("/changes").text)
    assert newest is not None
    ada.done(f"/changes/{newest[1]}/undo")
    assert top() == ((48, 64), "red")
    assert arrow() == (0.5, 0.25, 0.75, 0.75)
    # the form turns what is drawn along: from a quarter to the right to a quarter to the left
    page = ada.get("/photos/1")
    drawn = {name: value_of(page, name) for name in ARROW}
    version = {"version": value_of(page, "version")}
    ada.done("/photos/1", {**sent, **drawn, **version, "turned": "left"})
    assert top() == ((48, 64), "blue")
    assert arrow() == (0.5, 0.75, 0.25, 0.25)
    turn("turn_right")
    assert top() == ((64, 48), "both")
    assert arrow() == (0.25, 0.5, 0.75, 0.25), "once round"
    assert "turned=" not in ada.get("/photos").text
