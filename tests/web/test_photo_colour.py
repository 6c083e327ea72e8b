"""A surface's colour picked on a photo: worked out from the original, shown, kept, refused by name."""

from __future__ import annotations

import re
from io import BytesIO

import pytest
from PIL import Image

from scout.media.photos.containers.profiles import display_p3
from tests.web.conftest import PARLOUR, WEIR, Browser
from tests.web.page_check import faults_of

AT = {"card": "0.25, 0.5", "wall": "0.75, 0.4\n0.75, 0.6", "kind": "white", "surface": "B"}


@pytest.fixture
def photo(ada: Browser) -> str:
    """Left half a card of (235, 228, 210), right half a wall of (180, 120, 110), without loss."""
    place = ada.done("/locations/new", {**WEIR, "emergency_care": ""})
    ada.done(f"{place}/rooms/new", PARLOUR)
    image = Image.new("RGB", (400, 300), (235, 228, 210))
    image.paste((180, 120, 110), (200, 0, 400, 300))
    held = BytesIO()
    image.save(held, "PNG")
    ada.post("/room/1/photos", {"photos": [(BytesIO(held.getvalue()), "wall.png")]})
    return "/photos/1/colour"


def test_colour_beside_a_card_is_found_and_kept(ada: Browser, photo: str) -> None:
    page = ada.get(photo)
    assert faults_of(page.text) == []
    assert photo in ada.get("/photos/1").text
    answer = ada.post(photo, AT)
    assert answer.status_code == 200
    assert faults_of(answer.text) == []
    found = re.search(r"#([0-9a-f]{6})</span>, reflects", answer.text)
    assert found is not None
    # by hand: codes to linear by IEC 61966-2-1, .90 wall / card = (.4944 .2179 .2177); back: 255
    # (1.055 v^(1/2.4) - .055) = 186.6, 128.6, 128.5
    assert tuple(bytes.fromhex(found[1])) == pytest.approx((186.6, 128.6, 128.5), abs=1)
    assert ada.done(photo, {**AT, "keep": "1"}).endswith("/rooms/1/recorded")
    assert f"#{found[1]}" in ada.get("/rooms/1/recorded").text


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"wall": ""}, "no pick"),
        ({"wall": "2, 0.5"}, "outside the picture"),
        ({"wall": "here"}, "is not a place"),
        ({"wall": "nan, 0.5"}, "wall"),
        ({"wall": "0.25, 0.5\n0.75, 0.5"}, "apart"),
        ({"card": "0.75, 0.5", "wall": "0.25, 0.5"}, "more than all the light"),
        ({"wall": "0.7, 0.5\n" * 13}, "more than are needed"),
    ],
)
def test_refused_by_name_with_nothing_lost(
    ada: Browser, photo: str, change: dict[str, str], words: str
) -> None:
    answer = ada.post(photo, {**AT, **change})
    assert answer.status_code == 422
    assert words in answer.text
    assert (change.get("wall", AT["wall"]).split("\n")[0]) in answer.text
    assert faults_of(answer.text) == []


def test_without_a_card_it_is_an_estimate(ada: Browser, photo: str) -> None:
    assert "an estimate only" in ada.post(photo, {**AT, "card": ""}).text.lower()


def test_a_surface_that_is_not_there_is_refused(ada: Browser, photo: str) -> None:
    assert ada.post(photo, {**AT, "surface": "Q", "keep": "1"}).status_code in (400, 404, 422)


def test_how_it_was_taken_is_kept_and_told(ada: Browser, photo: str) -> None:
    # property: a photo without a card, or under lamps, is worth less than one beside a card by
    # daylight, and the sheet says which it was
    for change, how in (
        ({}, "photo beside a card, by daylight"),
        ({"lit": "lamps"}, "photo beside a card, under lamps"),
        ({"card": ""}, "photo without a card"),
    ):
        ada.done(photo, {**AT, **change, "keep": "1"})
        measured = ada.get("/rooms/1/room-sheet.json").json["extra"]["measurements"]
        assert (measured[-1]["path"], measured[-1]["how"]) == ("surfaces.B.colour", how)
        assert "CIEDE2000" in measured[-1]["accuracy"]


def test_an_unreadable_profile_is_refused(ada: Browser, photo: str) -> None:
    held = BytesIO()
    Image.new("RGB", (300, 300), (180, 120, 110)).save(
        held, "PNG", icc_profile=b"no profile at all" * 20
    )
    ada.post("/room/1/photos", {"photos": [(BytesIO(held.getvalue()), "odd.png")]})
    answer = ada.post("/photos/2/colour", AT)
    assert answer.status_code == 422
    assert "colour profile that cannot be read" in answer.text


def test_a_wide_gamut_photo_is_read_by_its_profile(ada: Browser, photo: str) -> None:
    # Source: Display P3 primaries (SMPTE EG 432-1): its pure red lies outside sRGB, so read as sRGB
    # numbers (200, 60, 60) would come out less red
    held = BytesIO()
    image = Image.new("RGB", (400, 300), (230, 230, 230))
    image.paste((200, 60, 60), (200, 0, 400, 300))
    image.save(held, "PNG", icc_profile=display_p3())
    ada.post("/room/1/photos", {"photos": [(BytesIO(held.getvalue()), "wide.png")]})
    plain = re.search(r"#([0-9a-f]{6})</span>, reflects", ada.post("/photos/2/colour", AT).text)
    assert plain is not None
    red, green, _ = bytes.fromhex(plain[1])
    # by hand: 0.9 (200, 60, 60) / (230, 230, 230) is code (210, 63, 63) as sRGB; P3's red carried
    # to sRGB is redder: more red, less green and blue
    assert red > 215
    assert green < 50
