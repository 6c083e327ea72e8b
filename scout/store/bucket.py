"""Files in any store that speaks S3, with what was read lately also on this machine's disk."""

from __future__ import annotations

import io
import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from time import time
from typing import TYPE_CHECKING, Any, BinaryIO, cast
from urllib.parse import parse_qs, urlsplit

from scout.errors import Damaged, NotFound, Unavailable
from scout.store.files import CHUNK, Held, Place, draft, hash_of
from scout.values import Name, said

if TYPE_CHECKING:
    from obstore.store import S3Store

READ_AT_ONCE = 4 * CHUNK  # a range a request: a store far away takes a tenth of a second for each
KEPT_HERE = 4_000_000_000  # bytes of copies on this machine, beyond which the oldest go
YOUNG_S = 600.0  # a copy somebody was just handed may not be opened yet
PARTS_AT_ONCE = 4  # of 5 MB each, of a large file on its way


class Bucket(Place):
    """A bucket, or what stands under a prefix in one: `s3://BUCKET/PREFIX?endpoint=...&region=...`.
    Whoever asks is known by the usual AWS_ variables or by the machine; no key stands in the address.
    """

    def __init__(self, url: str, copies: Path) -> None:
        try:
            from obstore.store import S3Store
        except ImportError:
            raise Unavailable(said("kept.no_obstore")) from None
        parts = urlsplit(url)
        asked = {key: found[0] for key, found in parse_qs(parts.query).items()}
        config: dict[str, Any] = {"disable_bulk_delete": True}  # which not every store knows
        if "endpoint" in asked:
            config["endpoint"] = asked["endpoint"]
        if "region" in asked or "endpoint" in asked:
            config["region"] = asked.get("region", "us-east-1")
        with answering():
            self._store: S3Store = S3Store(
                parts.netloc,
                prefix=parts.path.strip("/") or None,
                config=cast(Any, config),
                client_options={
                    "allow_http": asked.get("endpoint", "").startswith("http:"),
                    "connect_timeout": "4s",
                    "timeout": "60s",
                },
                retry_config={
                    "max_retries": 3,
                    "retry_timeout": timedelta(seconds=8),
                    "backoff": {
                        "init_backoff": timedelta(milliseconds=100),
                        "max_backoff": timedelta(seconds=2),
                        "base": 2,
                    },
                },
            )
        self.copies = self.scratch = copies

    def take(self, part: Path, name: str, sha256: str) -> Path:
        """Send it; large files in parts, which the store joins at the end or not at all. The signed
        request carries the SHA-256 of what it sends, and the store refuses another. What was sent stays as a copy here.
        """
        import obstore

        with answering():
            obstore.put(self._store, name, part, max_concurrency=PARTS_AT_ONCE)
        return self._as_copy(part, sha256)

    def held(self, name: str, sha256: str = "") -> Held:
        """A file. Raises NotFound."""
        import obstore

        with answering(name):
            return self._held(cast("dict[str, Any]", obstore.head(self._store, name)), sha256)

    def _held(self, known: dict[str, Any], sha256: str = "") -> Held:
        name, size = known["path"], known["size"]
        return Held(
            name,
            size,
            known["last_modified"].timestamp(),
            lambda: cast(BinaryIO, io.BufferedReader(_Ranges(self._store, name, size))),
            lambda: self._local(name, size, sha256),
        )

    def entries(self, under: str) -> Iterator[Held]:
        """Everything under a name; the store lists in the order of the names."""
        import obstore

        with answering():
            for page in obstore.list(self._store, under or None):
                for known in page:
                    yield self._held(cast("dict[str, Any]", known))

    def drop(self, name: str) -> None:
        """Delete it there; a copy here goes by its age."""
        import obstore

        with answering():
            obstore.delete(self._store, name)

    def answers(self) -> bool:
        """Whether the store lists what it holds, to us."""
        import obstore

        with answering():
            for _page in obstore.list(self._store, "originals/0", chunk_size=1):
                break
        return True

    def _copy(self, sha256: str) -> Path:
        return self.copies / sha256[:2] / sha256

    def _as_copy(self, part: Path, sha256: str) -> Path:
        path = self._copy(sha256)
        path.parent.mkdir(parents=True, exist_ok=True)
        part.replace(path)
        self._forget_oldest()
        return path

    def _local(self, name: str, size: int, sha256: str) -> Path:
        """The copy on this machine, fetched if it is not there. Raises Damaged for other bytes than
        were stored.
        """
        path = self._copy(sha256)
        if path.is_file() and path.stat().st_size == size:
            os.utime(path)
            return path

        def fetch(file: BinaryIO) -> None:
            with io.BufferedReader(_Ranges(self._store, name, size)) as source:
                while chunk := source.read(READ_AT_ONCE):
                    file.write(chunk)

        part = draft(self.scratch, fetch)
        try:
            if hash_of(part) != sha256:
                fault = said("kept.differs")
                raise Damaged(said("kept.original_fault", original=Name(sha256[:12]), fault=fault))
            return self._as_copy(part, sha256)
        finally:
            part.unlink(missing_ok=True)

    def _forget_oldest(self) -> None:
        """Let copies go that were not asked for lately, once there are too many bytes of them."""
        found = [(path.stat(), path) for path in self.copies.glob("??/*")]
        over = sum(known.st_size for known, _ in found) - KEPT_HERE
        for known, path in sorted(found, key=lambda one: one[0].st_mtime):
            if over <= 0 or time() - known.st_mtime < YOUNG_S:
                return
            path.unlink(missing_ok=True)
            over -= known.st_size


class _Ranges(io.RawIOBase):
    """A file of the store read piece by piece, from wherever it is wanted."""

    def __init__(self, store: S3Store, name: str, size: int) -> None:
        import obstore

        self._file = obstore.open_reader(store, name, buffer_size=READ_AT_ONCE, size=size)

    def readable(self) -> bool:
        """It is."""
        return True

    def seekable(self) -> bool:
        """It is."""
        return True

    def seek(self, offset: int, whence: int = 0) -> int:
        """Go on from elsewhere; nothing moves yet."""
        return self._file.seek(offset, whence)

    def tell(self) -> int:
        """Where it stands."""
        return self._file.tell()

    def readinto(self, buffer: Any) -> int:
        """The next bytes. Raises Unavailable."""
        with answering():
            data = self._file.read(len(buffer))
        buffer[: len(data)] = memoryview(data)
        return len(data)


@contextmanager
def answering(name: str = "") -> Iterator[None]:
    """What a store answers, as what it means to people: NotFound for a name it does not have, else
    Unavailable. Its own words hold addresses, and stay here.
    """
    from obstore.exceptions import BaseError

    try:
        yield
    except FileNotFoundError:
        if name:
            raise NotFound("file", name.rpartition("/")[2][:12]) from None
        raise Unavailable(said("kept.no_bucket")) from None
    except (BaseError, PermissionError, OSError) as error:
        if isinstance(error, OSError) and error.errno is not None:
            raise  # this machine's own disk
        kind = Name(type(error).__name__.removesuffix("Error"))
        raise Unavailable(said("kept.store_silent", kind=kind)) from None
