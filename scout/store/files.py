"""Originals kept byte for byte under their SHA-256, written whole or not at all."""

from __future__ import annotations

import contextlib
import hashlib
import os
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from scout.errors import Damaged, NotFound, Refused
from scout.values import Figure, Name, Said, said

CHUNK = 1 << 20
MEGABYTE = 1_000_000


@dataclass(frozen=True)
class StoredFile:
    """A file in the store."""

    sha256: str
    bytes: int
    path: Path


def write_atomically(path: Path, write: Callable[[BinaryIO], None]) -> None:
    """Write a file so that it is there whole or not at all, also when the power fails: temporary
    file, fsync, rename, fsync of the folder.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".part-")
    try:
        with os.fdopen(handle, "wb") as file:
            write(file)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(path)
    except BaseException:
        with contextlib.suppress(FileNotFoundError):
            Path(name).unlink()
        raise
    _settle(path.parent)


def write_bytes(path: Path, data: bytes) -> None:
    """Write bytes so that they are there whole or not at all."""
    write_atomically(path, lambda file: (file.write(data), None)[1])


def _settle(folder: Path) -> None:
    """Make the names in a folder last through a power cut; Windows does so by itself and opens no
    folder.
    """
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


class FileStore:
    """The originals of one data folder: `originals/ab/abcd...`, named by what they hold, so that
    one is never overwritten.
    """

    def __init__(self, root: Path) -> None:
        self.root = root

    def path(self, sha256: str) -> Path:
        """Where an original lies (or would lie)."""
        return self.root / sha256[:2] / sha256

    def get(self, sha256: str) -> Path:
        """The file of an original. Raises NotFound."""
        path = self.path(sha256)
        if not path.is_file():
            raise NotFound("file", sha256[:12])
        return path

    def put(self, source: BinaryIO, *, most_bytes: int, name: str = "file") -> StoredFile:
        """Keep what `source` gives, byte for byte. Raises Refused, naming the limit, when it is
        larger; nothing is left behind then.
        """
        self.root.mkdir(parents=True, exist_ok=True)
        digest, size = hashlib.sha256(), 0
        handle, part = tempfile.mkstemp(dir=self.root, prefix=".part-")
        try:
            with os.fdopen(handle, "wb") as file:
                while chunk := source.read(CHUNK):
                    size += len(chunk)
                    if size > most_bytes:
                        limit = Figure(most_bytes / MEGABYTE)
                        raise Refused(name, None, said("kept.too_large", limit=limit))
                    digest.update(chunk)
                    file.write(chunk)
                file.flush()
                os.fsync(file.fileno())
            sha256 = digest.hexdigest()
            final = self.path(sha256)
            if (
                self.check(sha256) is not None
            ):  # not there yet, or no longer what was stored: the same bytes make it whole again
                final.parent.mkdir(exist_ok=True)
                Path(part).replace(final)
                _settle(final.parent)
            return StoredFile(sha256, size, final)
        finally:
            with contextlib.suppress(FileNotFoundError):
                Path(part).unlink()

    def remove(self, sha256: str) -> None:
        """Take an original away; only for one that no row names."""
        with contextlib.suppress(FileNotFoundError):
            self.path(sha256).unlink()

    def all(self) -> Iterator[str]:
        """The names of all originals."""
        if self.root.is_dir():
            for path in sorted(self.root.glob("??/*")):
                if (
                    path.is_file()
                    and path == self.path(path.name)
                    and not path.name.startswith(".")
                ):
                    yield path.name

    def check(self, sha256: str) -> Said | None:
        """What is wrong with one original, or None."""
        return fault_of(self.path(sha256), sha256)

    def answers(self) -> bool:
        """Whether originals can be written."""
        return os.access(self.root, os.W_OK | os.X_OK)

    def require_sound(self, sha256: str) -> Path:
        """The file of an original whose bytes are proved. Raises Damaged."""
        fault = self.check(sha256)
        if fault is not None:
            raise Damaged(said("kept.original_fault", original=Name(sha256[:12]), fault=fault))
        return self.path(sha256)


def fault_of(path: Path, sha256: str) -> Said | None:
    """What is wrong with a file that should hold what was stored, or None."""
    if not path.is_file():
        return said("kept.missing")
    return None if hash_of(path) == sha256 else said("kept.differs")


def hash_of(path: Path) -> str:
    """SHA-256 of a file, read in pieces."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
