"""Two people at one thing: for every form and every bin a save against an old version shows both
texts, keeps what was saved, and loses nothing typed.
"""

from __future__ import annotations

from collections.abc import Callable
from html import unescape
from io import BytesIO
from typing import Any

import pytest
from PIL import Image

from tests.web.conftest import PARLOUR, WEIR, Browser, value_of
from tests.web.test_sound import TONE, measured, send

YOURS, THEIRS = "41.24", "37.73"  # two figures that no page has for another reason


class Job:
    """Everything there is to save, made once a test: location 1 with room 1, a production with a
    scene and a candidate.
    """

    def __init__(self, ada: Browser) -> None:
        self.ada = ada
        ada.done("/locations/new", WEIR)
        ada.done("/locations/1/rooms/new", PARLOUR)

    def scene(self) -> None:
        self.ada.done(
            "/productions/new",
            {"title": "A film", "kit-lights-0-id": "key", "kit-camera-iso": "800"},
        )
        self.ada.done("/productions/1/scenes/new", {"name": "Breakfast"})
        self.ada.done("/scenes/1/rooms/1", {})

    def part(self, kind: str, typed: dict[str, Any]) -> None:
        self.ada.done(f"/rooms/1/{kind}/new", typed)

    def photo(self) -> None:
        buffer = BytesIO()
        Image.new("RGB", (64, 48), (200, 40, 40)).save(buffer, "JPEG")
        assert (
            self.ada.post(
                "/location/1/photos", {"photos": (BytesIO(buffer.getvalue()), "mill.jpg")}
            ).status_code
            == 200
        )

    def recording(self) -> None:
        measured(self.ada, send(self.ada, "/rooms/1", TONE))


WINDOW = {
    "id": "W1",
    "wall": "A",
    "offset_m": "1.5",
    "sill_m": "0.9",
    "width_m": "2",
    "height_m": "1.5",
}
FORMS: dict[str, tuple[Callable[[Job], None], str, dict[str, Any], str]] = {
    # what is made first, where the form is, what else it needs, and a field in which two people
    # write unlike things
    "location": (lambda job: None, "/locations/1/edit", WEIR, "hazards"),
    "location's opening hours": (
        lambda job: None,
        "/locations/1/edit",
        {
            **WEIR,
            "opening_hours-week-0-first": "mon",
            "opening_hours-week-0-opens": "09:00",
            "opening_hours-week-0-closes": "17:00",
        },
        "contacts-0-name",
    ),
    "room": (
        lambda job: None,
        "/rooms/1/edit",
        {k: v for k, v in PARLOUR.items() if k != "height_m"},
        "height_m",
    ),
    "marks": (lambda job: None, "/rooms/1/marks", {}, "path"),
    "windows": (lambda job: job.part("windows", WINDOW), "/parts/windows/1", WINDOW, "skyline"),
    "doors": (
        lambda job: job.part("doors", {"id": "D1", "wall": "C"}),
        "/parts/doors/1",
        {"wall": "C"},
        "id",
    ),
    "circuits": (
        lambda job: job.part("circuits", {"id": "K1"}),
        "/parts/circuits/1",
        {"id": "K1"},
        "other_load_w",
    ),
    "outlets": (lambda job: job.part("outlets", {"id": "P1"}), "/parts/outlets/1", {}, "id"),
    "contents": (
        lambda job: job.part("contents", {"material": "seats_wooden", "area_m2": "4"}),
        "/parts/contents/1",
        {"material": "seats_wooden"},
        "area_m2",
    ),
    "practicals": (
        lambda job: job.part("practicals", {"id": "L1"}),
        "/parts/practicals/1",
        {"id": "L1"},
        "lumens",
    ),
    "furniture": (
        lambda job: job.part("furniture", {"id": "F1"}),
        "/parts/furniture/1",
        {"id": "F1"},
        "turn_deg",
    ),
    "noise": (
        lambda job: job.part("noise", {"id": "N1"}),
        "/parts/noise/1",
        {"id": "N1"},
        "laeq_db",
    ),
    "noise by bands": (
        lambda job: job.part("noise", {"id": "N1"}),
        "/parts/noise/1",
        {"id": "N1"},
        "bands_db-hz_125",
    ),
    "surface": (
        lambda job: job.ada.done("/rooms/1/surfaces/A", {"light_reflectance": "0.5"}) and None,
        "/rooms/1/surfaces/A",
        {},
        "light_reflectance",
    ),
    "production": (Job.scene, "/productions/1/edit", {"title": "A film"}, "client"),
    "production's kit": (
        Job.scene,
        "/productions/1/edit",
        {"title": "A film", "kit-lights-0-id": "key"},
        "kit-lights-0-watts",
    ),
    "scene": (Job.scene, "/scenes/1/edit", {"name": "Breakfast"}, "heard"),
    "scene's need": (
        Job.scene,
        "/scenes/1/edit",
        {"name": "Breakfast", "needs-0-topic": "noise", "needs-0-strength": "must"},
        "needs-0-laeq_db",
    ),
    "candidate": (Job.scene, "/candidates/1", {"state": "reserve"}, "reason"),
    "note": (
        lambda job: (
            job.ada.done("/room/1/notes/new", {"text": "first", "audience": "crew"}) and None
        ),
        "/notes/1",
        {"audience": "crew"},
        "text",
    ),
    "photo": (Job.photo, "/photos/1", {}, "caption"),
    "recording": (Job.recording, "/recordings/1", {"purpose": "room"}, "conditions"),
    "facing": (
        lambda job: None,
        "/rooms/1/daylight/facing",
        {"facing-wall": "A", "facing-north": "true"},
        "facing-bearing_deg",
    ),
    "skyline": (lambda job: None, "/rooms/1/daylight/skyline", {}, "skyline"),
}


def typed(field: str, figure: str) -> str:
    """What somebody writes into a field, with a figure that only they wrote."""
    if field == "path":
        return f"2; 3; 1.5\n3; {figure[4:]}; 1.5"
    if field == "light_reflectance":
        return f"0.{figure.replace('.', '')}"
    return f"150; 12\n200; {figure}" if field == "skyline" else figure


@pytest.mark.parametrize("called", FORMS)
def test_a_stale_save_shows_both_and_loses_nothing(
    ada: Browser, second: Browser, called: str
) -> None:
    made, path, rest, field = FORMS[called]
    made(Job(ada))
    opened = {"version": value_of(ada.get(path), "version")}
    theirs, yours = typed(field, THEIRS), typed(field, YOURS)
    second.done(path, {**rest, field: theirs, **opened})
    answer = ada.post(path, {**rest, field: yours, **opened})
    assert answer.status_code == 409
    said = unescape(answer.text)
    table = said[said.index('<table class="compare-two') : said.index("</table>")]
    assert yours in table, "what I typed"
    assert theirs in table, "what they saved"
    assert unescape(value_of(answer, field)) == yours, "what I typed stands in the form"
    for name, value in rest.items():
        assert unescape(value_of(answer, name)) == value, name
    assert unescape(value_of(ada.get(path), field)).split() == theirs.split(), (
        "what they saved is kept"
    )
    ada.done(path, {**rest, field: yours, "version": value_of(answer, "version")})
    assert unescape(value_of(second.get(path), field)).split() == yours.split(), (
        "saved again it is on purpose"
    )


BINS = {
    "location": (
        lambda job: None,
        "/locations/1/edit",
        {**WEIR, "hazards": "deep water"},
        "/locations/1/bin",
    ),
    "room": (lambda job: None, "/rooms/1/edit", {**PARLOUR, "storey": "2"}, "/rooms/1/bin"),
    "window": (
        FORMS["windows"][0],
        "/parts/windows/1",
        {**WINDOW, "sill_m": "0.8"},
        "/parts/windows/1/bin",
    ),
    "furniture": (
        FORMS["furniture"][0],
        "/parts/furniture/1",
        {"id": "sofa"},
        "/parts/furniture/1/bin",
    ),
    "note": (FORMS["note"][0], "/notes/1", {"text": "theirs", "audience": "crew"}, "/notes/1/bin"),
    "photo": (Job.photo, "/photos/1", {"caption": "theirs"}, "/photos/1/bin"),
    "production": (Job.scene, "/productions/1/edit", {"title": "theirs"}, "/productions/1/bin"),
    "scene": (Job.scene, "/scenes/1/edit", {"name": "theirs"}, "/scenes/1/bin"),
    "candidate": (
        Job.scene,
        "/candidates/1",
        {"state": "reserve", "reason": "theirs"},
        "/candidates/1/bin",
    ),
    "recording": (
        Job.recording,
        "/recordings/1",
        {"purpose": "room", "conditions": "theirs"},
        "/recordings/1/bin",
    ),
}


@pytest.mark.parametrize("called", BINS)
def test_what_was_changed_meanwhile_is_not_binned_and_what_is_binned_comes_back_whole(
    ada: Browser, second: Browser, called: str
) -> None:
    made, path, rest, to_bin = BINS[called]
    made(Job(ada))
    form = ada.get(path)
    opened = value_of(form, "version")
    second.done(path, {**rest, "version": opened})
    answer = ada.post(to_bin, {"version": opened})
    assert answer.status_code == 409
    assert "changed by somebody else" in answer.text
    page = ada.get(path)
    assert page.status_code == 200, "it is still there"
    ada.done(to_bin, {"version": value_of(page, "version")})
    gone = ada.post(path, {**rest, "version": value_of(page, "version")})
    assert gone.status_code == 404, "a save of what lies in the bin is refused in words"
    restore = [
        part.partition('"')[0]
        for part in ada.get("/bin").text.split('action="')
        if "/restore" in part.partition('"')[0]
    ]
    assert len(restore) == 1
    ada.done(restore[0])
    assert ada.post(restore[0]).status_code in (303, 404), "a second restoring does no harm"
    back = ada.get(path)
    assert [unescape(value_of(back, name)) for name in rest] == list(rest.values())
