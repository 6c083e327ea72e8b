"""The page of a room's bounced light: words first, unmeasured said, nothing refused that a room may
be.
"""

from __future__ import annotations

import re

import pytest

from tests.web.conftest import PARLOUR, WEIR, Browser
from tests.web.page_check import faults_of

LIGHT = {
    "kit-lights-0-id": "key",
    "kit-lights-0-watts": "300",
    "kit-lights-0-cct_k": "5600",
    "kit-lights-0-spectrum": "led",
    "kit-lights-0-lux_at_1m": "9000",
    "kit-lights-0-beam_deg": "55",
}


@pytest.fixture
def room(ada: Browser) -> str:
    place = ada.done("/locations/new", {**WEIR, "emergency_care": ""})
    room = ada.done(f"{place}/rooms/new", PARLOUR)
    ada.done(
        f"{room}/marks",
        {"subject": ["2.5", "3", "1.2"], "camera": ["2.5", "0.8", "1.4"], "version": "1"},
    )
    job = ada.done(
        "/productions/new",
        {"title": "A film", "client": "Marram", "shoot_dates": "2026-06-21", **LIGHT},
    )
    scene = ada.done(f"{job}/scenes/new", {"name": "The talk"})
    ada.done(f"{scene}/rooms/1")
    return room


def test_a_room_without_colours_shows_a_range_and_says_why(ada: Browser, room: str) -> None:
    ada.done(f"{room}/surfaces/A", {"colour-srgb": "#8f4032"})
    text = ada.get(f"{room}/bounce").text
    assert faults_of(text) == []
    assert "between charcoal and off-white" in text
    assert "brick red" in text
    assert "Unknown: wall B colour is not measured." in text
    assert "Unknown: wall A colour" not in text  # that one is
    assert "colours of walls B, C and D, the floor and the ceiling are not measured." in text
    assert "stops, by how pale the unmeasured surfaces are" in text


def test_a_measured_room_shows_skins_shares_and_remedies(ada: Browser, room: str) -> None:
    for name in ("A", "B", "C", "D"):
        ada.done(f"{room}/surfaces/{name}", {"colour-srgb": "#7d2f2a"})
    ada.done(f"{room}/surfaces/ceiling", {"colour-srgb": "#f5f1e6"})
    ada.done(f"{room}/surfaces/floor", {"light_reflectance": "0.2"})
    text = ada.get(f"{room}/bounce").text
    assert faults_of(text) == []
    for words in (
        "golden skin",
        "Spill from",
        "White-balance to",
        "Stretch white under",
        "Where the bounced light",
        "mired",
        "Mixed light",
        "Daylight on the subject",
        "Unknown: windows are not measured.",
    ):
        assert words in text
    fixes = re.findall(r"Cast ([\d.]+)\s+becomes\s+<span class=\"figure\">\s*([\d.]+)</span>", text)
    assert fixes
    # property: nothing is listed that does not make the cast less
    assert all(float(after) < float(before) for before, after in fixes)
    assert 'style="' not in text


def test_an_empty_room_and_a_missing_one(ada: Browser) -> None:
    place = ada.done("/locations/new", {**WEIR, "emergency_care": ""})
    bare = ada.done(f"{place}/rooms/new", {"name": "Bare"})
    text = ada.get(f"{bare}/bounce").text
    assert faults_of(text) == []
    assert "not measured" in text
    assert ada.get("/rooms/999/bounce").status_code == 404
