"""A file is there whole or not at all, and an original is what its name says: on a disk, and in a
bucket.
"""

from __future__ import annotations

import errno
import hashlib
import io
import os
from pathlib import Path
from typing import BinaryIO, cast

import pytest

from scout.errors import Damaged, NotFound, Refused, Unavailable
from scout.store import bucket as buckets_code
from scout.store.bucket import Bucket
from scout.store.files import (
    Arriving,
    Disk,
    FileStore,
    Place,
    hash_of,
    write_atomically,
    write_bytes,
)
from scout.values import said
from tests.conftest import Buckets

# Source: FIPS 180-2, appendix B.1, the worked example of SHA-256 for the message "abc".
ABC = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def everything(folder: Path) -> list[str]:
    """All files under a folder, hidden ones too."""
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file())


@pytest.fixture(params=["disk", "bucket"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Place:
    """Either kind of place, empty; `behind` is the folder in which its bytes come to lie."""
    if request.param == "disk":
        return Disk(tmp_path / "kept")
    return Bucket(request.getfixturevalue("buckets").new(), tmp_path / "copies")


@pytest.fixture
def behind(place: Place, request: pytest.FixtureRequest) -> Path:
    """The folder in which a place's bytes come to lie."""
    if isinstance(place, Disk):
        return place.root
    server: Buckets = request.getfixturevalue("buckets")
    return max(server.folder.iterdir(), key=lambda path: path.stat().st_ctime_ns) / "kept"


def test_an_original_lies_under_its_sha256(place: Place, behind: Path) -> None:
    store = FileStore(place, "originals")
    kept = store.put(io.BytesIO(b"abc"), most_bytes=3)
    assert (kept.sha256, kept.bytes) == (ABC, 3)
    assert everything(behind) == [f"originals/ba/{ABC}"]
    assert store.get(ABC).read_bytes() == b"abc"
    assert hash_of(kept.path) == ABC
    assert list(store.all()) == [ABC]
    assert store.check(ABC) is None
    assert place.answers()
    store.remove(ABC)
    store.remove(ABC)
    assert everything(behind) == []


def test_the_same_bytes_are_kept_once(place: Place, behind: Path) -> None:
    store = FileStore(place)
    first, second = (store.put(io.BytesIO(b"abc"), most_bytes=10) for _ in range(2))
    assert first == second
    assert everything(behind) == [f"ba/{ABC}"]


class Failing(io.RawIOBase):
    """A stream that breaks off in the middle."""

    def __init__(self) -> None:
        self.told = 0

    def read(self, size: int = -1, /) -> bytes:
        self.told += 1
        if self.told > 2:
            raise OSError("the line went dead")
        return b"x" * 1000


def test_a_stream_that_breaks_off_leaves_nothing(place: Place, behind: Path) -> None:
    with pytest.raises(OSError, match="went dead"):
        FileStore(place).put(Failing(), most_bytes=10**9)  # type: ignore[arg-type]
    assert everything(behind) + everything(place.scratch) == []


def test_too_large_is_refused_by_the_limit_and_leaves_nothing(place: Place, behind: Path) -> None:
    with pytest.raises(Refused, match=r"barn\.jpg: is larger than the limit of 2\.5 MB"):
        FileStore(place).put(io.BytesIO(b"x" * 2_500_001), most_bytes=2_500_000, name="barn.jpg")
    assert everything(behind) + everything(place.scratch) == []
    assert (
        FileStore(place).put(io.BytesIO(b"x" * 2_500_000), most_bytes=2_500_000).bytes == 2_500_000
    )


def test_what_is_missing_or_changed_is_said(place: Place, behind: Path) -> None:
    store = FileStore(place)
    kept = store.put(io.BytesIO(b"abc"), most_bytes=3)
    (behind / "ba" / ABC).write_bytes(b"abd")
    assert store.check(ABC) == said("kept.differs")
    with pytest.raises(Damaged, match="ba7816bf8f01"):
        store.require_sound(ABC)
    kept.path.unlink(missing_ok=True)
    if isinstance(place, Bucket):  # what is fetched is proved
        with pytest.raises(Damaged, match="ba7816bf8f01"):
            store.get(ABC)
        assert everything(place.copies) == []
    (behind / "ba" / ABC).unlink(missing_ok=True)
    assert store.check(ABC) == said("kept.missing")
    with pytest.raises(NotFound):
        store.get(ABC)


def test_the_same_photo_again_makes_a_damaged_original_whole(place: Place, behind: Path) -> None:
    store = FileStore(place)
    store.put(io.BytesIO(b"abc"), most_bytes=3)
    (behind / "ba" / ABC).write_bytes(b"rot")
    store.put(io.BytesIO(b"abc"), most_bytes=3)
    assert store.check(ABC) is None


def test_a_large_file_is_read_from_any_place_on(place: Place) -> None:
    """Larger than the 5 MB from which a bucket takes a file in parts (the smallest part of S3)."""
    body = hashlib.shake_128(b"property: any bytes").digest(11_000_003)
    kept = FileStore(place).put(io.BytesIO(body), most_bytes=1 << 30)
    assert kept.sha256 == hashlib.sha256(body).hexdigest()
    if isinstance(place, Bucket):
        kept.path.unlink()
    held = FileStore(place).held(kept.sha256)
    assert held.bytes == len(body)
    with held.open() as file:
        assert file.seek(7_000_001) == 7_000_001
        assert file.read(9) == body[7_000_001:7_000_010]
        file.seek(0)
        assert file.read() == body
    if isinstance(place, Bucket):
        assert everything(place.copies) == []  # what is only read from is not brought here


def test_a_name_is_written_over_in_one_step_and_listed(place: Place) -> None:
    for body in (b"old", b"new"):
        digest = hashlib.sha256(body).hexdigest()
        place.write("packets/1.pdf", digest, lambda file, body=body: file.write(body))  # type: ignore[misc]
    place.write("other/x", digest, lambda file: (file.write(b"new"), None)[1])
    assert place.held("packets/1.pdf", digest).local().read_bytes() == b"new"
    assert [(one.name, one.bytes) for one in place.entries("packets")] == [("packets/1.pdf", 3)]
    with pytest.raises(NotFound):
        place.held("packets/2.pdf")


def test_copies_of_a_bucket_go_when_they_are_many_and_old(
    buckets: Buckets, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = FileStore(Bucket(buckets.new(), tmp_path))
    monkeypatch.setattr(buckets_code, "KEPT_HERE", 2)
    first = store.put(io.BytesIO(b"abc"), most_bytes=3)
    os.utime(first.path, (0, 0))
    second = store.put(io.BytesIO(b"abd"), most_bytes=3)
    assert (first.path.is_file(), second.path.is_file()) == (False, True)  # one is young
    assert store.get(ABC).read_bytes() == b"abc"


def test_a_bucket_that_does_not_answer_is_said_without_its_address(
    buckets: Buckets, tmp_path: Path
) -> None:
    nowhere = FileStore(Bucket(buckets.new().replace("s3://b", "s3://other-b"), tmp_path / "a"))
    for asked in (lambda: nowhere.put(io.BytesIO(b"abc"), most_bytes=3), nowhere.place.answers):
        with pytest.raises(Unavailable) as failed:
            asked()
        assert "127.0.0.1" not in str(failed.value)
    assert everything(tmp_path) == []


def test_a_folder_on_another_disk_takes_its_files_by_copying(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rename = Path.replace

    def across(self: Path, target: Path) -> Path:
        if self.parent != target.parent:
            raise OSError(errno.EXDEV, "Invalid cross-device link")
        return rename(self, target)

    monkeypatch.setattr(Path, "replace", across)
    FileStore(Disk(tmp_path)).put(io.BytesIO(b"abc"), most_bytes=3)
    assert everything(tmp_path) == [f"ba/{ABC}"]


def test_a_write_that_fails_leaves_the_old_file_alone(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "packet.pdf"
    write_bytes(path, b"old")

    def half(file: BinaryIO) -> None:
        file.write(b"new, but on")
        raise OSError(28, "No space left on device")

    with pytest.raises(OSError, match="No space left"):
        write_atomically(path, half)
    assert everything(tmp_path) == ["deep/packet.pdf"]
    assert path.read_bytes() == b"old"


def test_bytes_are_on_disk_before_the_name_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # property: fsync of the file, rename, fsync of the folder, in that order, so that a power cut
    # leaves the old or the new
    steps: list[str] = []
    fsync, replace = os.fsync, Path.replace

    def synced(handle: int) -> None:
        steps.append("fsync")
        fsync(handle)

    def replaced(self: Path, target: Path) -> Path:
        steps.append("rename")
        return replace(self, target)

    monkeypatch.setattr(os, "fsync", synced)
    monkeypatch.setattr(Path, "replace", replaced)
    write_bytes(tmp_path / "a", b"1")
    FileStore(Disk(tmp_path / "store")).put(io.BytesIO(b"abc"), most_bytes=3)
    assert steps == ["fsync", "rename", "fsync"] * 2


def test_a_left_over_of_a_crash_is_no_original(tmp_path: Path) -> None:
    (tmp_path / "ab").mkdir()
    (tmp_path / ".part-xyz").write_bytes(b"half")
    (tmp_path / "ab" / ".part-xyz").write_bytes(b"half")
    assert list(FileStore(Disk(tmp_path)).all()) == []
    assert list(FileStore(Disk(tmp_path / "nowhere")).all()) == []
    assert hashlib.sha256(b"abc").hexdigest() == ABC


def test_what_arrives_is_kept_without_a_second_copy(place: Place, behind: Path) -> None:
    store, kept = FileStore(place, "originals"), b"abc"
    file = Arriving(place.scratch)
    file.write(kept[:1])
    file.write(kept[1:])
    file.seek(0)
    assert [*file] == [kept]  # whoever is handed it reads it like any other
    stored = store.put(cast(BinaryIO, file), most_bytes=3)
    assert (stored.sha256, stored.bytes, stored.path.read_bytes()) == (ABC, 3, kept)
    file.close()  # as a request does at its end
    assert everything(behind) == [f"originals/ba/{ABC}"]
    assert [name for name in everything(place.scratch) if ".part-" in name] == []


def test_what_arrives_and_is_not_kept_is_gone(place: Place) -> None:
    store = FileStore(place, "originals")
    large, written_over, dropped = (Arriving(place.scratch) for _ in range(3))
    for file in (large, written_over, dropped):
        file.write(b"xbc")
        file.seek(0)
    with pytest.raises(Refused):
        store.put(cast(BinaryIO, large), most_bytes=2)
    # what was not written from beginning to end is read anew
    written_over.write(b"a")
    written_over.seek(0)
    assert store.put(cast(BinaryIO, written_over), most_bytes=3).sha256 == ABC
    large.close()
    written_over.close()
    del dropped, file  # a request that broke off: nobody was given it
    assert [name for name in everything(place.scratch) if ".part-" in name] == []
