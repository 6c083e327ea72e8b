"""Originals kept byte for byte under their SHA-256, and packets under their keys, written whole or not
at all; on this machine's disk, or where `bucket.py` keeps them.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import shutil
import tempfile
import weakref
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any, BinaryIO

from scout.errors import Damaged, NotFound, Refused
from scout.values import Figure, Name, Said, said

CHUNK = 1 << 20
MEGABYTE = 1_000_000
ORIGINALS, PACKETS = "originals", "packets"
PART = ".part-"  # begins the passing names


@dataclass(frozen=True)
class StoredFile:
    """A file in the store; `path`: its bytes on this machine, to be read at once."""

    sha256: str
    bytes: int
    path: Path = field(compare=False)


@dataclass(frozen=True)
class Held:
    """A file that is kept, wherever it lies. `local` brings it onto this machine as a whole; `open`
    reads it from any place on, and moves no more than is read.
    """

    name: str
    bytes: int
    changed_at: float
    open: Callable[[], BinaryIO]
    local: Callable[[], Path]
    path: Path | None = None  # where it lies, if that is this machine


def write_atomically(path: Path, write: Callable[[BinaryIO], None]) -> None:
    """Write a file so that it is there whole or not at all, also when the power fails: temporary
    file, fsync, rename, fsync of the folder.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    part = draft(path.parent, write)
    try:
        _into(part, path)
    finally:
        part.unlink(missing_ok=True)


def write_bytes(path: Path, data: bytes) -> None:
    """Write bytes so that they are there whole or not at all."""
    write_atomically(path, lambda file: (file.write(data), None)[1])


def draft(folder: Path, write: Callable[[BinaryIO], None]) -> Path:
    """A file written under a passing name, all of it on disk; it is gone again where that fails."""
    folder.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=folder, prefix=PART)
    try:
        with os.fdopen(handle, "wb") as file:
            write(file)
            file.flush()
            os.fsync(file.fileno())
    except BaseException:
        with contextlib.suppress(FileNotFoundError):
            Path(name).unlink()
        raise
    return Path(name)


class Arriving:
    """A file as it arrives, under a passing name: hashed while it is written, so that keeping it is
    one fsync and a rename. Gone when it is closed, unless it was kept.
    """

    def __init__(self, folder: Path) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=folder, prefix=PART)
        self.part = Path(name)
        self._file = os.fdopen(handle, "w+b")
        self._digest = hashlib.sha256()
        self.bytes = 0
        self._along = True  # written from its beginning to its end and nowhere else
        # also where a request breaks off before anybody is given the file
        self._gone = weakref.finalize(self, _away, self._file, self.part)

    def write(self, data: bytes) -> int:
        """Write on."""
        if self._along and self._file.tell() != self.bytes:
            self._along = False
        self._digest.update(data)
        self.bytes += len(data)
        return self._file.write(data)

    def whole(self) -> str | None:
        """Its SHA-256, once all of it is on disk and nobody writes any more; None where it must be
        read to know.
        """
        if not self._along:
            return None
        self._file.flush()
        os.fsync(self._file.fileno())
        self._file.close()
        return self._digest.hexdigest()

    def close(self) -> None:
        """Close it, and take it away where nobody kept it."""
        self._gone()

    def __getattr__(self, name: str) -> Any:
        return getattr(self._file, name)

    def __iter__(self) -> Iterator[bytes]:
        return iter(self._file)


def _away(file: BinaryIO, part: Path) -> None:
    file.close()
    part.unlink(missing_ok=True)


def _into(part: Path, path: Path) -> None:
    part.replace(path)
    _settle(path.parent)


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


class Place(ABC):
    """Where files lie, each under a name with `/`. `scratch`: a folder of this machine for what is
    not whole yet.
    """

    scratch: Path

    @abstractmethod
    def take(self, part: Path, name: str, sha256: str) -> Path:
        """Keep a finished file of `scratch`, in one step, over what has the name; returns where its
        bytes are read on this machine.
        """

    @abstractmethod
    def held(self, name: str, sha256: str = "") -> Held:
        """A file; `sha256` is what `local` must bring. Raises NotFound."""

    @abstractmethod
    def entries(self, under: str) -> Iterator[Held]:
        """Everything that lies in a folder and below, in the order of the names."""

    @abstractmethod
    def drop(self, name: str) -> None:
        """Take a file away, if it is there."""

    @abstractmethod
    def answers(self) -> bool:
        """Whether files can be kept there."""

    def write(self, name: str, sha256: str, write: Callable[[BinaryIO], None]) -> None:
        """Write a file under its name, whole or not at all."""
        part = draft(self.scratch, write)
        try:
            self.take(part, name, sha256)
        finally:
            part.unlink(missing_ok=True)

    def fault(self, name: str, sha256: str) -> Said | None:
        """What is wrong with a file that should hold what was stored, or None."""
        try:
            with self.held(name).open() as file:
                found = hashlib.file_digest(file, "sha256").hexdigest()  # type: ignore[arg-type]  # it reads into a buffer too
        except NotFound:
            return said("kept.missing")
        return None if found == sha256 else said("kept.differs")


class Disk(Place):
    """A folder of this machine."""

    def __init__(self, root: Path, scratch: Path | None = None) -> None:
        self.root = root
        self.scratch = scratch or root

    def path(self, name: str) -> Path:
        """Where a file lies (or would lie)."""
        return self.root / name

    def take(self, part: Path, name: str, sha256: str) -> Path:
        """Rename it there."""
        final = self.path(name)
        final.parent.mkdir(parents=True, exist_ok=True)
        try:
            _into(part, final)
        except OSError as error:
            if error.errno != errno.EXDEV:  # a folder that lies on another disk
                raise
            with part.open("rb") as file:
                write_atomically(final, partial(shutil.copyfileobj, file))
        return final

    def held(self, name: str, sha256: str = "") -> Held:
        """A file. Raises NotFound."""
        path = self.path(name)
        if not path.is_file():
            raise NotFound("file", name.rpartition("/")[2][:12])
        return self._held(path)

    def _held(self, path: Path) -> Held:
        known = path.stat()
        name = path.relative_to(self.root).as_posix()
        return Held(
            name, known.st_size, known.st_mtime, lambda: path.open("rb"), lambda: path, path
        )

    def entries(self, under: str) -> Iterator[Held]:
        """Every file of a folder, hidden ones too."""
        for path in sorted((self.root / under).rglob("*")):
            if path.is_file():
                yield self._held(path)

    def drop(self, name: str) -> None:
        """Delete it."""
        with contextlib.suppress(FileNotFoundError):
            self.path(name).unlink()

    def answers(self) -> bool:
        """Whether the folder is there and may be written in."""
        return os.access(self.scratch, os.W_OK | os.X_OK)


class FileStore:
    """The originals of a place: `ab/abcd...`, named by what they hold, so that one is never
    overwritten by another.
    """

    def __init__(self, place: Place, under: str = "") -> None:
        self.place, self.under = place, under

    def name(self, sha256: str) -> str:
        """What an original is called in its place."""
        return "/".join(part for part in (self.under, sha256[:2], sha256) if part)

    def held(self, sha256: str) -> Held:
        """An original. Raises NotFound."""
        return self.place.held(self.name(sha256), sha256)

    def get(self, sha256: str) -> Path:
        """An original as a file of this machine. Raises NotFound, Damaged."""
        return self.held(sha256).local()

    def put(self, source: BinaryIO, *, most_bytes: int, name: str = "file") -> StoredFile:
        """Keep what `source` gives, byte for byte. Raises Refused, naming the limit, when it is
        larger; nothing is left behind then.
        """
        if isinstance(source, Arriving) and source.bytes <= most_bytes:
            sha256 = source.whole()
            if sha256 is not None:
                return self._keep(source.part, sha256, source.bytes)
        digest, size = hashlib.sha256(), 0

        def copy(file: BinaryIO) -> None:
            nonlocal size
            while chunk := source.read(CHUNK):
                size += len(chunk)
                if size > most_bytes:
                    limit = Figure(most_bytes / MEGABYTE)
                    raise Refused(name, None, said("kept.too_large", limit=limit))
                digest.update(chunk)
                file.write(chunk)

        part = draft(self.place.scratch, copy)
        return self._keep(part, digest.hexdigest(), size)

    def _keep(self, part: Path, sha256: str, size: int) -> StoredFile:
        try:
            if (
                self.check(sha256) is not None
            ):  # not there yet, or no longer what was stored: the same bytes make it whole again
                path = self.place.take(part, self.name(sha256), sha256)
            else:
                path = self.get(sha256)
            return StoredFile(sha256, size, path)
        finally:
            with contextlib.suppress(FileNotFoundError):
                part.unlink()

    def remove(self, sha256: str) -> None:
        """Take an original away; only for one that no row names."""
        self.place.drop(self.name(sha256))

    def all(self) -> Iterator[str]:
        """The names of all originals."""
        for held in self.place.entries(self.under):
            sha256 = held.name.rpartition("/")[2]
            if held.name == self.name(sha256) and not sha256.startswith("."):
                yield sha256

    def check(self, sha256: str) -> Said | None:
        """What is wrong with one original, or None."""
        return self.place.fault(self.name(sha256), sha256)

    def require_sound(self, sha256: str) -> Held:
        """An original whose bytes are proved. Raises Damaged."""
        fault = self.check(sha256)
        if fault is not None:
            raise Damaged(said("kept.original_fault", original=Name(sha256[:12]), fault=fault))
        return self.held(sha256)


def hash_of(path: Path) -> str:
    """SHA-256 of a file, read in pieces."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
