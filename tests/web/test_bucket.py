"""The pages over files in a bucket: the same bytes come back, parts are sent where parts are asked
for, and a store that is silent loses nobody's work.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import replace
from http.server import ThreadingHTTPServer
from pathlib import Path

import pytest
from flask import Flask

from scout.settings import Settings
from scout.store.models import Packet, Photo
from scout.usecases import archive, checking
from scout.usecases.work import open_work, place_of, prepare
from scout.web.app import create_app
from tests.conftest import Buckets
from tests.media.recordings.made import noise, plain_wav
from tests.web.conftest import PARLOUR, WEIR, Browser, logged_in


@pytest.fixture
def kept(embedded: Settings, app: Flask, buckets: Buckets) -> Iterator[Settings]:
    """Settings with files in a bucket."""
    yield replace(embedded, files=buckets.new())
    place_of.cache_clear()


def over(app: Flask, settings: Settings) -> Browser:
    """Ada at the pages of other settings, on the same database."""
    made = create_app(settings)
    made.jinja_env.bytecode_cache = app.jinja_env.bytecode_cache
    return logged_in(made)


def test_what_is_uploaded_lies_in_the_bucket_and_comes_back(
    kept: Settings, app: Flask, picture: bytes, buckets: Buckets, tmp_path: Path
) -> None:
    ada = over(app, kept)
    ada.done(f"{ada.done('/locations/new', WEIR)}/rooms/new", PARLOUR)
    sound = plain_wav(noise(48_000, 1, -60, 1, high_hz=6000), 48_000)
    sent = ada.post("/room/1/photos", {"photos": (io.BytesIO(picture), "a.jpg")})
    assert sent.status_code == 200  # with what it has to say of a picture without a time
    ada.done("/rooms/1/recordings", {"recordings": (io.BytesIO(sound), "loft.wav")})
    assert list((kept.data_dir / "originals").rglob("?*")) == []
    for copy in (kept.cache_dir / "files").glob("??/*"):
        copy.unlink()

    assert ada.get("/photos/1/original").data == picture
    assert ada.get("/photos/1/thumb.jpg").status_code == 200
    assert ada.get("/recordings/1/original").data == sound
    part = ada.get("/recordings/1/play", headers={"Range": "bytes=100-149"})
    assert (part.status_code, part.data) == (206, sound[100:150])
    # RFC 9110, 14.4: first-last/complete
    assert part.headers["Content-Range"] == f"bytes 100-149/{len(sound)}"
    beyond = ada.get("/recordings/1/play", headers={"Range": f"bytes={len(sound)}-"})
    assert beyond.status_code == 416

    with open_work(kept) as work:
        body = b"%PDF- as printed"
        digest = work.files.put(io.BytesIO(body), most_bytes=99).sha256
        assert checking.check(work).left_over == (f"originals/{digest[:2]}/{digest}",)
        assert checking.mend(work, checking.check(work).left_over) == 0  # it may be under way
        assert checking.check(work).faults == ()
        assert archive.export_all(work, tmp_path / "all.zip") == 2
        original = work.db.get(Photo, 1)
        assert original is not None
        work.files.remove(original.sha256)
        (fault,) = checking.check(work).faults
        assert str(fault) == "photo 1 (a.jpg) is missing"
        assert work.db.query(Packet).count() == 0
    other = Settings(tmp_path / "other", files=buckets.new())
    prepare(other)
    with open_work(other) as work:
        archive.import_all(work, tmp_path / "all.zip")
        assert checking.check(work) == checking.CheckReport(1, 0, (), 0, 1)


def test_a_store_that_is_silent_is_said_and_nothing_typed_is_lost(
    embedded: Settings, app: Flask, picture: bytes, buckets: Buckets
) -> None:
    with ThreadingHTTPServer(("127.0.0.1", 0), None) as taken:  # type: ignore[arg-type]
        port = taken.server_address[1]  # free again as soon as this ends
    ada = over(app, replace(embedded, files=f"s3://nobody?endpoint=http://127.0.0.1:{port}"))
    ada.done("/locations/new", WEIR)
    answer = ada.post(
        "/location/1/photos",
        {"photos": (io.BytesIO(picture), "a.jpg"), "caption": "the north wall"},
    )
    assert answer.status_code == 503
    assert "store of files does not answer" in answer.text
    assert "the north wall" in answer.text
    assert f"127.0.0.1:{port}" not in answer.text
    assert "SECRETKEY" not in answer.text
    ready = ada.get("/ready")
    assert (ready.status_code, ready.json["database"], ready.json["files"]) == (503, True, False)  # type: ignore[index]
    with open_work(embedded) as work:
        assert work.db.query(Photo).count() == 0
    place_of.cache_clear()
