"""A file is there whole or not at all, and an original is what its name says."""

from __future__ import annotations

import hashlib
import io
import os
from pathlib import Path
from typing import BinaryIO

import pytest

from scout.errors import Damaged, NotFound, Refused
from scout.store.files import FileStore, hash_of, write_atomically, write_bytes
from scout.values import said

# Source: FIPS 180-2, appendix B.1, the worked example of SHA-256 for the message "abc".
ABC = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def everything(folder: Path) -> list[str]:
    """All files under a folder, hidden ones too."""
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file())


def test_an_original_lies_under_its_sha256(tmp_path: Path) -> None:
    store = FileStore(tmp_path)
    kept = store.put(io.BytesIO(b"abc"), most_bytes=3)
    assert (kept.sha256, kept.bytes) == (ABC, 3)
    assert everything(tmp_path) == [f"ba/{ABC}"]
    assert store.get(ABC).read_bytes() == b"abc"
    assert hash_of(kept.path) == ABC
    assert list(store.all()) == [ABC]
    assert store.check(ABC) is None


def test_the_same_bytes_are_kept_once(tmp_path: Path) -> None:
    store = FileStore(tmp_path)
    first, second = (store.put(io.BytesIO(b"abc"), most_bytes=10) for _ in range(2))
    assert first == second
    assert everything(tmp_path) == [f"ba/{ABC}"]


class Failing(io.RawIOBase):
    """A stream that breaks off in the middle."""

    def __init__(self) -> None:
        self.told = 0

    def read(self, size: int = -1, /) -> bytes:
        self.told += 1
        if self.told > 2:
            raise OSError("the line went dead")
        return b"x" * 1000


def test_a_stream_that_breaks_off_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(OSError, match="went dead"):
        FileStore(tmp_path).put(Failing(), most_bytes=10**9)  # type: ignore[arg-type]
    assert everything(tmp_path) == []


def test_too_large_is_refused_by_the_limit_and_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(Refused, match=r"barn\.jpg: is larger than the limit of 2\.5 MB"):
        FileStore(tmp_path).put(io.BytesIO(b"x" * 2_500_001), most_bytes=2_500_000, name="barn.jpg")
    assert everything(tmp_path) == []
    assert (
        FileStore(tmp_path).put(io.BytesIO(b"x" * 2_500_000), most_bytes=2_500_000).bytes
        == 2_500_000
    )


def test_what_is_missing_or_changed_is_said(tmp_path: Path) -> None:
    store = FileStore(tmp_path)
    kept = store.put(io.BytesIO(b"abc"), most_bytes=3)
    kept.path.write_bytes(b"abd")
    assert store.check(ABC) == said("kept.differs")
    with pytest.raises(Damaged, match="ba7816bf8f01"):
        store.require_sound(ABC)
    kept.path.unlink()
    assert store.check(ABC) == said("kept.missing")
    with pytest.raises(NotFound):
        store.get(ABC)


def test_the_same_photo_again_makes_a_damaged_original_whole(tmp_path: Path) -> None:
    store = FileStore(tmp_path)
    store.put(io.BytesIO(b"abc"), most_bytes=3).path.write_bytes(b"rot")
    store.put(io.BytesIO(b"abc"), most_bytes=3)
    assert store.check(ABC) is None


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
    FileStore(tmp_path / "store").put(io.BytesIO(b"abc"), most_bytes=3)
    assert steps == ["fsync", "rename", "fsync"] * 2


def test_a_left_over_of_a_crash_is_no_original(tmp_path: Path) -> None:
    (tmp_path / "ab").mkdir()
    (tmp_path / ".part-xyz").write_bytes(b"half")
    (tmp_path / "ab" / ".part-xyz").write_bytes(b"half")
    assert list(FileStore(tmp_path).all()) == []
    assert list(FileStore(tmp_path / "nowhere").all()) == []
    assert hashlib.sha256(b"abc").hexdigest() == ABC
