"""A position that is more likely a slip than a place is asked about: what was typed stays, a tick
accepts it, and a tick for one place accepts no other.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from io import BytesIO
from typing import Any

import pytest

from scout.usecases import locations, photos
from tests.web.conftest import WEIR, Browser, faults, summary, value_of
from tests.web.page_check import faults_of

# Source for each: an atlas. 0, 0 lies in the Gulf of Guinea, 570 km from Ghana; 52.5 N 2.2 E lies
# in the North Sea, 30 km off
# Suffolk (Europe/London); 30 S 30 W lies in the open South Atlantic; 90 N and 90 S are the poles.
ODD = [
    (("0", "0"), "0, 0", "phone writes when it withholds its position", None),
    (
        ("52,5", "2.2"),
        "52.5, 2.2",
        "Europe/London is the zone of the nearest land",
        "Europe/London",
    ),
    (("-30", "-30"), "-30, -30", "no land within 400\u00a0km", None),
    (("90", "0"), "90, 0", "at a pole", None),
    (("-90", "0"), "-90, 0", "at a pole", "any"),
]


def box_of(text: str) -> str:
    """The box that accepts the position, as the page draws it; empty when it draws none."""
    found = re.search(r'<input type="checkbox" id="place_confirmed"[^>]*>', text)
    return found[0] if found else ""


@pytest.mark.parametrize(
    ("typed", "about", "said", "zone"), ODD, ids=[about for _, about, _, _ in ODD]
)
def test_an_odd_position_is_kept_after_a_question(
    ada: Browser,
    look: Callable[..., Any],
    typed: tuple[str, str],
    about: str,
    said: str,
    zone: str | None,
) -> None:
    form = {
        "name": "Raft",
        "latitude_deg": typed[0],
        "longitude_deg": typed[1],
        "hazards": "deep water",
    }
    assert box_of(ada.get("/locations/new").text) == "", (
        "nothing is asked before there is something to ask"
    )
    asked = ada.post("/locations/new", form)
    assert asked.status_code == 422
    assert [said in words for words in faults(asked)] == [True]
    assert [words.split(":")[0] for words in summary(asked)] == ["Yes, the place is there"]
    assert "(empty)" not in asked.text
    assert faults_of(asked.text) == []
    assert [value_of(asked, name) for name in form] == list(form.values())
    box = box_of(asked.text)
    assert [f'value="{about}"' in box, "checked" in box, 'aria-invalid="true"' in box] == [
        True,
        False,
        True,
    ]
    assert look(lambda work: locations.find_locations(work).total) == 0
    page = ada.done("/locations/new", {**form, "place_confirmed": about})
    record = look(lambda work: locations.location(work, 1).kept.record)
    assert (record.latitude_deg, record.longitude_deg) == tuple(
        float(part.replace(",", ".")) for part in typed
    )
    assert zone == "any" or record.timezone == zone
    ada.done(
        f"{page}/edit", {**form, "hazards": "none", "version": "1"}
    )  # kept so already: not asked again
    assert look(lambda work: locations.location(work, 1).kept.record.hazards) == "none"


def test_a_tick_is_for_the_position_it_was_given_for(
    ada: Browser, place: str, look: Callable[..., Any]
) -> None:
    moved = {
        **WEIR,
        "version": "1",
        "latitude_deg": "52.5",
        "longitude_deg": "2.2",
        "place_confirmed": "0, 0",
    }
    asked = ada.post(f"{place}/edit", moved)
    assert asked.status_code == 422
    box = box_of(asked.text)
    assert ["checked" in box, 'value="52.5, 2.2"' in box] == [False, True]
    wrong = ada.post(f"{place}/edit", {**moved, "place_confirmed": "52.5, 2.2", "steps": "many"})
    assert [("steps" in words.lower(), "sea" in words) for words in summary(wrong)] == [
        (True, False)
    ], "the answer given is not asked for again"
    assert "checked" in box_of(wrong.text), "and stays ticked while another field is mended"
    assert look(lambda work: locations.location(work, 1).kept.record.latitude_deg) == 52.2


def test_the_question_comes_with_the_other_refusals(ada: Browser) -> None:
    asked = ada.post(
        "/locations/new", {"name": "", "latitude_deg": "0", "longitude_deg": "0", "steps": "many"}
    )
    assert [words.split(":")[0] for words in summary(asked)] == [
        "Name",
        "Yes, the place is there",
        "Steps on the way in",
    ]


def test_a_place_on_land_is_not_asked_about(ada: Browser) -> None:
    for lat, lon in (
        ("52.2", "0.12"),
        ("-41.3", "174.8"),
        ("5.6", "0"),
        ("0", "37"),
    ):  # Source: an atlas; Accra and the equator at Mount Kenya
        ada.done("/locations/new", {"name": f"At {lat}", "latitude_deg": lat, "longitude_deg": lon})


def test_a_photo_set_by_hand_to_nought_is_asked_about(
    ada: Browser, place: str, picture: bytes, look: Callable[..., Any]
) -> None:
    ada.post(
        "/location/1/photos",
        {"photos": (BytesIO(picture), "raft.jpg")},
        content_type="multipart/form-data",
    )
    form = {"version": "1", "caption": "From the raft", "latitude_deg": "0", "longitude_deg": "0,0"}
    asked = ada.post("/photos/1", form)
    assert asked.status_code == 422
    assert [
        ("phone writes" in words, value_of(asked, "caption"), value_of(asked, "longitude_deg"))
        for words in faults(asked)
    ] == [(True, "From the raft", "0,0")]
    ada.done("/photos/1", {**form, "place_confirmed": "0, 0"})
    assert look(lambda work: photos.photo_kept(work, 1).record.latitude_deg) == 0.0
    ada.done(
        "/photos/1", {**form, "version": "2", "latitude_deg": "52.5", "longitude_deg": "2.2"}
    )  # a photo may be taken from a boat
