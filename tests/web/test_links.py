"""Links for somebody without an account: what they lead to, what they do not, and how they end."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from datetime import timedelta
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image
from sqlalchemy import select, update

from scout.store import models
from scout.usecases.work import open_work
from tests.web.conftest import Browser
from tests.web.house import PRIVATE, House, built

PHRASE = "four wet horses"


@pytest.fixture(scope="module")
def house(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """An installation with somebody of each role."""
    yield from built(sqlite_template, tmp_path_factory.mktemp("links"))


def link(house: House, of: str, role: str = "producer", **typed: str) -> str:
    """The path of a new link."""
    form = {"name": "the driver", "days": "3", **typed}
    answer = house.as_(role).post(f"/{of}/1/links/new", form)
    assert answer.status_code == 200, answer.text
    found = re.search(r"http://localhost(/r/[\w-]{43})<", answer.text)
    assert found is not None
    return found[1]


def stranger(house: House) -> Browser:
    return Browser(house.app.test_client())


def row(house: House) -> models.Link:
    """The newest link."""
    with open_work(house.settings, reading=True) as work:
        found = work.db.scalars(select(models.Link).order_by(models.Link.id.desc())).first()
    assert found is not None
    return found


def test_a_link_shows_one_print_and_no_other(house: House) -> None:
    path = link(house, "packets")
    visitor = stranger(house)
    page = visitor.get(path)
    assert page.status_code == 200
    assert "Revision 1" in page.text
    assert "Revision 1 is out of date: the last is revision 2." in page.text
    assert "/packets/" not in page.text
    assert "/productions/" not in page.text
    with visitor.client.get(f"{path}/packet.pdf") as pdf:
        assert pdf.data.startswith(b"%PDF")
    with visitor.client.get(f"{path}/pages/1-780.webp") as picture:
        assert picture.mimetype == "image/webp"
    for other in ("/packets/1", "/packets/1.pdf", "/packets/2.pdf", "/productions/1"):
        assert visitor.get(other).status_code == 302, other
    for other in (f"{path}/photos/1.jpg", f"{path}/pages/2-780.webp", f"{path}/pages/1-781.webp"):
        assert visitor.get(other).status_code == 404, other


def test_a_print_that_others_may_not_read_goes_by_no_link(house: House) -> None:
    answer = house.as_("owner").post("/packets/2/links/new", {"name": "anybody", "days": "3"})
    assert answer.status_code == 422
    assert "goes by no link" in answer.text
    assert "anybody" in answer.text


def test_only_a_hash_of_token_and_passphrase_is_kept(house: House) -> None:
    path = link(house, "packets", passphrase=PHRASE)
    token, kept = path.rpartition("/")[2], row(house)
    assert kept.token_sha256 == hashlib.sha256(token.encode()).hexdigest()
    assert kept.passphrase_hash is not None
    assert kept.passphrase_hash.startswith("$argon2id$")
    with open_work(house.settings, reading=True) as work:
        lines = work.db.scalars(select(models.Change.words)).all()
    assert not any(token in line or PHRASE in line for line in lines)


def test_the_days_are_shown_as_the_crew_reads_them_and_cannot_be_moved(house: House) -> None:
    page = stranger(house).get(link(house, "productions")).text
    assert "Talk" in page
    assert [mark for mark in PRIVATE if mark in page] == []
    assert "<form" not in page
    assert "formaction" not in page
    assert "data-day-try" not in page
    assert re.findall(r'<a [^>]*href="(/[^"]*)"', page) == ["/outbox"], (
        "what the phone itself holds"
    )


def test_a_choice_is_shown_as_the_client_may_read_it(house: House) -> None:
    picture, photos = BytesIO(), []
    Image.new("RGB", (64, 48), (200, 40, 40)).save(picture, "JPEG")
    for owner in ("/room/1/photos", "/location/1/photos"):
        file = (BytesIO(picture.getvalue()), f"{len(photos)}.jpg")
        house.as_("scout").post(owner, {"photos": file})
        with open_work(house.settings, reading=True) as work:
            photos = list(work.db.scalars(select(models.Photo.id).order_by(models.Photo.id)))
    assert len(photos) == 2
    path = link(house, "scenes")
    visitor = stranger(house)
    page = visitor.get(path).text
    assert "Talk" in page
    assert "Loft" in page
    for word in (*PRIVATE, "Ines", "CREWMARK", "Mill"):
        assert word not in page, word
    assert f"{path}/photos/{photos[0]}.jpg" in page
    with visitor.client.get(f"{path}/photos/{photos[0]}.jpg") as shown:
        assert shown.mimetype == "image/jpeg"
    assert visitor.get(f"{path}/photos/{photos[1]}.jpg").status_code == 404
    house.as_("producer").done(
        "/candidates/1", {"state": "ruled_out", "reason": "dear", "version": "1"}
    )
    assert visitor.get(f"{path}/photos/{photos[0]}.jpg").status_code == 404
    assert "dear" not in visitor.get(path).text


def test_a_link_is_found_by_nobody_and_kept_nowhere(house: House) -> None:
    path = link(house, "packets")
    for at in (path, f"{path}/packet.pdf", f"{path}/pages/1-780.webp"):
        with stranger(house).client.get(at) as answer:
            assert answer.headers["Referrer-Policy"] == "no-referrer"
            assert "noindex" in answer.headers["X-Robots-Tag"]
            assert answer.headers["Cache-Control"] == "no-store"


def test_what_has_ended_or_never_was_looks_the_same(house: House) -> None:
    visitor, gone = stranger(house), {}
    revoked = link(house, "packets")
    house.as_("producer").done(f"/links/{row(house).id}/revoke")
    expired = link(house, "packets")
    with open_work(house.settings) as work:
        past = work.now() - timedelta(seconds=1)
        work.db.execute(
            update(models.Link).where(models.Link.id == row(house).id).values(ends_at=past)
        )
        work.db.commit()
    never = "/r/" + "x" * 43
    for path in (revoked, expired, never, "/r/a'--", "/r/%00", "/r/é"):
        answer = visitor.get(path)
        assert answer.status_code == 404, path
        gone[path] = re.sub(r"\s+", " ", answer.text)
        for part in ("packet.pdf", "pages/1-780.webp"):
            assert visitor.get(f"{path}/{part}").status_code == 404
    assert len(set(gone.values())) == 1


def test_openings_are_counted_and_listed(house: House) -> None:
    path = link(house, "packets", name="counted one")
    for _ in range(3):
        stranger(house).get(path)
        stranger(house).get(f"{path}/packet.pdf")
    listed = house.as_("producer").get("/links").text
    assert re.search(r"counted one.*?opened 3\s+times", listed, re.S)
    assert path not in listed


def test_a_passphrase_is_asked_for_once_a_session(house: House) -> None:
    path = link(house, "packets", passphrase=PHRASE)
    visitor, other = stranger(house), stranger(house)
    door = visitor.get(path)
    assert "Revision" not in door.text
    assert visitor.get(f"{path}/packet.pdf").status_code == 404
    wrong = visitor.client.post(path, data={"passphrase": "four dry horses"})
    assert wrong.status_code == 422
    assert "four dry horses" not in wrong.text
    assert row(house).opened == 0
    right = visitor.client.post(path, data={"passphrase": PHRASE})
    assert right.status_code == 303
    assert right.headers["Referrer-Policy"] == "no-referrer"
    assert "Revision 1" in visitor.get(path).text
    with visitor.client.get(f"{path}/packet.pdf") as pdf:
        assert pdf.status_code == 200
    assert "Revision" not in other.get(path).text, "what one browser said opens no other's door"
    second = link(house, "packets", passphrase=PHRASE)
    assert "Revision" not in visitor.get(second).text


def test_guessing_a_passphrase_rests_after_ten_tries(house: House) -> None:
    path = link(house, "packets", passphrase=PHRASE)
    visitor = stranger(house)
    tries = [visitor.client.post(path, data={"passphrase": str(n) * 8}) for n in range(11)]
    assert [one.status_code for one in tries] == [422] * 10 + [429]
    assert visitor.client.post(path, data={"passphrase": PHRASE}).status_code == 429
    elsewhere = stranger(house).client.post(
        path, data={"passphrase": PHRASE}, environ_base={"REMOTE_ADDR": "192.0.2.7"}
    )
    assert elsewhere.status_code == 429, "the link itself rests, wherever somebody guesses"


def test_who_may_not_share_makes_and_lists_no_link(house: House) -> None:
    for role in ("crew", "guest"):
        browser = house.as_(role)
        assert browser.get("/links").status_code == 403
        assert browser.get("/packets/1/links/new").status_code == 403
        assert browser.post("/links/1/revoke").status_code == 403


def test_what_a_link_cannot_be_is_said_beside_its_field(house: House) -> None:
    for typed, words in (
        ({"days": "0"}, "1"),
        ({"days": "1000"}, "366"),
        ({"passphrase": "short"}, "8"),
        ({"name": ""}, "needed"),
    ):
        form = {"name": "the driver", "days": "3", **typed}
        answer = house.as_("producer").post("/packets/1/links/new", form)
        assert answer.status_code == 422, typed
        assert 'class="fault"' in answer.text
        assert words in answer.text
    assert house.as_("producer").get("/packets/99/links/new").status_code == 200
    answer = house.as_("producer").post("/packets/99/links/new", {"name": "x", "days": "1"})
    assert answer.status_code == 404
