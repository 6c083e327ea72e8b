"""A light reading from a photo of a card: read, kept, compared, refused by name."""

from __future__ import annotations

import re
from io import BytesIO
from typing import Any

import numpy as np
import pytest
from PIL import Image

from tests.media.photos.drawn import exif, jpeg, ratio, short, text
from tests.web.conftest import PARLOUR, WEIR, Browser
from tests.web.page_check import faults_of

AT = {
    "card": "0.5, 0.5",
    "kind": "grey",
    "hdr": "off",
    "twin": "",
    "mark": "subject",
    "plane": "level",
    "sky": "overcast",
}
# by hand: f/2.8, 1/50 s, ISO 400 and code 118: L = 12.5 x 7.84 x 50 / 400 = 12.25 cd/m2, 0.1812 /
# 0.18 of it, pi / 0.18: 215 lux
LUX = re.compile(r"21[3-8]\s+lux")


def photo(code: int = 118, **told: Any) -> bytes:
    """A grey picture of one code with a camera's EXIF; `told`: fields that differ, None: left out."""
    fields = {
        "original": text(0x9003, "2026:06:21 11:00:00"),
        "offset": text(0x9011, "+01:00"),
        "shutter": ratio(0x829A, (1, 50)),
        "stop": ratio(0x829D, (28, 10)),
        "iso": short(0x8827, 400),
        "width": short(0xA002, 400),
        "height": short(0xA003, 300),
    }
    first = {"changed": text(0x0132, "2026:06:21 11:00:01"), "software": text(0x0131, "17.5")}
    for name, field in told.items():
        (first if name in first else fields)[name] = field
    pixels = np.clip(np.random.default_rng(3).normal(code, 1.5, (300, 400, 1)), 0, 255)
    image = Image.fromarray(np.repeat(np.round(pixels), 3, axis=2).astype(np.uint8))
    main, camera = ([f for f in group.values() if f is not None] for group in (first, fields))
    return jpeg(image, exif(main, camera))


@pytest.fixture
def room(ada: Browser) -> str:
    place = ada.done("/locations/new", {**WEIR, "emergency_care": ""})
    return ada.done(f"{place}/rooms/new", PARLOUR)


def send(ada: Browser, *files: bytes) -> None:
    for number, data in enumerate(files):
        ada.post("/room/1/photos", {"photos": [(BytesIO(data), f"card{number}.jpg")]})


def test_a_card_is_read_and_kept_among_the_readings(ada: Browser, room: str) -> None:
    send(ada, photo(), photo(119))
    page = ada.get("/photos/1/light")
    assert faults_of(page.text) == []
    assert "/photos/1/light" in ada.get("/photos/1").text
    answer = ada.post("/photos/1/light", {**AT, "twin": "2"})
    assert answer.status_code == 200
    assert faults_of(answer.text) == []
    assert "good to ½ stop" in answer.text
    assert ada.done("/photos/1/light", {**AT, "twin": "2", "keep": "1"}).endswith(
        "/rooms/1/recorded"
    )
    (reading,) = ada.get("/rooms/1/room-sheet.json").json["room"]["readings"]
    assert reading["lux"] == pytest.approx(216, rel=0.02)
    assert (reading["how"], reading["doubt_stops"], reading["id"]) == ("card_photo", 0.5, "R1")
    assert reading["taken_at"] == "2026-06-21T11:00:00+01:00"


def test_one_shot_with_hdr_unknown_is_good_to_a_stop(ada: Browser, room: str) -> None:
    send(ada, photo())
    answer = ada.post("/photos/1/light", {**AT, "hdr": ""})
    assert LUX.search(answer.text)
    assert re.search(r"good to 1\sstop", answer.text)
    assert "HDR" in answer.text


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (photo(255), "clipped"),
        (photo(shutter=None), "no exposure data"),
        (photo(iso=None), "no exposure data"),
        (photo(software=text(0x0131, "Adobe Photoshop 25.0")), "worked on with"),
        (photo(changed=text(0x0132, "2026:06:22 09:00:00")), "changed after it was taken"),
        (photo(width=short(0xA002, 4000)), "cut or made smaller"),
        (photo(original=text(0x9003, "2026:06:21 02:00:00")), "when the sun is down"),
    ],
    ids=["clipped", "no shutter", "no speed", "edited", "changed", "rescaled", "at night"],
)
def test_refused_by_name_with_nothing_lost(
    ada: Browser, room: str, data: bytes, words: str
) -> None:
    send(ada, data)
    answer = ada.post("/photos/1/light", {**AT, "keep": "1"})
    assert answer.status_code == 422
    assert words in answer.text
    assert AT["card"] in answer.text
    assert faults_of(answer.text) == []


def test_no_place_or_two_are_refused(ada: Browser, room: str) -> None:
    send(ada, photo())
    for card in ("", "0.5, 0.5\n0.6, 0.6", "2, 0.5", "here"):
        assert ada.post("/photos/1/light", {**AT, "card": card}).status_code == 422
    assert ada.post("/photos/1/light", {**AT, "twin": "99"}).status_code == 404
