"""The page of files: each comes out under its kind, one comes in when it was looked at."""

from __future__ import annotations

from io import BytesIO

from scout.pages.exports import FILES, MIMES
from tests.web.conftest import WEIR, Browser, value_of


def send(ada: Browser, data: bytes, name: str, **more: str) -> tuple[int, str]:
    answer = ada.post("/files/", {"file": (BytesIO(data), name), **more})
    return answer.status_code, answer.text


def test_every_file_goes_out(ada: Browser, parlour: str) -> None:
    for name in (*FILES, "everything.zip"):
        answer = ada.get(f"/files/{name}")
        assert (answer.status_code, answer.mimetype) == (200, MIMES[name.rpartition(".")[2]])
        assert name in answer.headers["Content-Disposition"]
        assert answer.headers["Cache-Control"] == "no-store"  # telephone numbers: kept by nobody
    assert ada.get("/files/nothing.csv").status_code == 404


def test_a_file_is_looked_at_and_then_taken(ada: Browser) -> None:
    table = b"Place,Room,Height\nMill,Hall,2.5\n"
    status, page = send(ada, table, "rooms.csv", tried="1")
    assert (status, "nothing is written yet" in page) == (200, True)
    assert "Hall" not in ada.get("/rooms").text
    assert send(ada, table, "rooms.csv")[0] == 200
    assert "Hall" in ada.get("/rooms").text
    for broken in (b"\x00", b"<gpx", b"x", table.replace(b"2.5", b"high"), b""):
        status, page = send(ada, broken, "rooms.csv", columns="Room=name")
        assert (status, "Nothing was taken" in page, "Room=name" in page) == (422, True, True)
    assert ada.post("/files/", {}).status_code == 422


def test_a_pasted_position_fills_both_fields(ada: Browser) -> None:
    # by hand: 2 + 34/60 + 48/3600 = 2.58
    for pasted in ("51.45, -2.58", "51°27'0\"N 2°34'48\"W"):
        place = ada.done("/locations/new", WEIR | {"latitude_deg": pasted, "longitude_deg": ""})
        form = ada.get(f"{place}/edit")
        assert value_of(form, "latitude_deg") == "51.45"
        assert value_of(form, "longitude_deg") == "-2.58"
    far = ada.post("/locations/new", WEIR | {"latitude_deg": "91.5, 0.25", "longitude_deg": ""})
    assert (far.status_code, value_of(far, "latitude_deg")) == (422, "91.5")
    assert value_of(far, "longitude_deg") == "0.25"
