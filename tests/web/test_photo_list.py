"""Photos of every owner on one page: found, and changed together or not at all."""

from __future__ import annotations

import re
from collections.abc import Callable
from io import BytesIO
from typing import Any

from scout.usecases import photos
from tests.web.conftest import Browser
from tests.web.page_check import faults_of


def sent(ada: Browser, owner: str, picture: bytes, name: str) -> None:
    answer = ada.post(
        f"/{owner}/photos",
        {"photos": [(BytesIO(picture), name)]},
        content_type="multipart/form-data",
    )
    assert answer.status_code in (200, 303)


def chosen_of(page: str) -> list[str]:
    return re.findall(r'name="chosen" value="(\d+:\d+)"', page)


def test_photos_are_found_moved_and_deleted_together(
    ada: Browser, parlour: str, picture: bytes, look: Callable[..., Any]
) -> None:
    sent(ada, "location/1", picture, "yard.jpg")
    sent(ada, "room/1", picture + b"\0", "window.jpg")
    page = ada.get("/photos")
    assert faults_of(page.text) == []
    both = chosen_of(page.text)
    assert len(both) == 2
    screens = re.findall(r'data-screen="([^"]+)"', page.text)  # what the slider lays on one another
    assert [ada.get(one).mimetype for one in screens] == ["image/jpeg"] * 2
    assert len(chosen_of(ada.get("/photos?text=yard").text)) == 1
    assert len(chosen_of(ada.get("/photos?text=Long parlour").text)) == 1

    refused = ada.post("/photos/chosen", {"deed": "move", "chosen": both})
    assert refused.status_code == 422
    assert refused.text.count(" checked") == 2, "what was ticked stays ticked"
    assert ada.post("/photos/chosen", {"deed": "print"}).status_code == 422
    assert ada.post("/photos/chosen", {"deed": "paint", "chosen": both}).status_code == 422

    ada.done("/photos/chosen", {"deed": "move", "chosen": both, "to": "room:1"})
    assert len(chosen_of(ada.get("/photos?text=Long parlour").text)) == 2
    assert look(lambda work: photos.photo(work, 1).owner) == "room"
    again = chosen_of(ada.get("/photos").text)
    ada.done("/photos/chosen", {"deed": "leave_out", "chosen": again[:1]})
    # one of the two is shown with an old version now: neither is deleted
    assert ada.post("/photos/chosen", {"deed": "delete", "chosen": again}).status_code == 409
    assert len(chosen_of(ada.get("/photos").text)) == 2
    ada.done("/photos/chosen", {"deed": "delete", "chosen": chosen_of(ada.get("/photos").text)})
    assert chosen_of(ada.get("/photos").text) == []
    assert "yard.jpg" in ada.get("/bin").text
