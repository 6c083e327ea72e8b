"""Everything that can be refused or can fail, in one tree.

ScoutError                      its text may be shown to a person as it stands
|-- Refused                     one thing given cannot be accepted; names its path
|   |-- OutOfRange              a calculation was handed a number outside what its formula covers
|-- RefusedMany                 several refusals of one form or one document, in the order of its
fields
|-- NotFound                    what was asked for is not there (or lies in the bin)
|-- Stale                       a save against an older version; carries both texts, nothing is lost
|-- NotAllowed                  the person may not do this
|-- Damaged                     a file or a database on disk is not what was written
|-- Unavailable                 something outside (a server, an optional font) is not there
|   |-- Full                    there is no room left to write in
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from scout.values import Name, Said, Spoken, Word, said

MOST_REFUSALS = 200  # a file gone wrong as a whole is not told by the megabyte


class ScoutError(Exception):
    """Base of all that this program raises on purpose; its text is meant for people, and said for
    whoever reads it, when they read it.
    """


class Refused(ScoutError):
    """Something given cannot be accepted. Its text is shown as it stands, beside the field it
    names; a reason that is a message is said for whoever reads it.
    """

    def __init__(self, path: str, given: object, because: Said | str) -> None:
        super().__init__(path, given, because)
        self.path, self.given, self.because = path, given, because

    def __str__(self) -> str:
        shown = shorten(self.given)
        return f"{self.path}: {shown} {self.because}" if shown else f"{self.path}: {self.because}"


class OutOfRange(Refused):
    """A calculation was handed a number outside what its formula covers."""


class RefusedMany(ScoutError):
    """Several refusals at once: a form or a document shows them all, not the first alone."""

    def __init__(self, refusals: Iterable[Refused]) -> None:
        given = tuple(refusals)
        if not given:
            raise ValueError("RefusedMany needs at least one refusal")
        more = len(given) - MOST_REFUSALS
        self.refusals = (
            given
            if more <= 0
            else (
                *given[:MOST_REFUSALS],
                Refused("more", None, said("refusal.more", count=more)),
            )
        )
        super().__init__(self.refusals)

    def __str__(self) -> str:
        return "\n".join(str(refusal) for refusal in self.refusals)


class NotFound(ScoutError):
    """What was asked for is not there, or lies in the bin."""

    def __init__(self, kind: str, key: object) -> None:
        super().__init__(
            said("refusal.not_found", thing=Word("thing", kind), key=Name(shorten(key)))
        )
        self.kind, self.key = kind, key


class Stale(ScoutError):
    """Somebody saved this record after it was opened here; `yours` and `theirs` are both whole."""

    def __init__(
        self,
        kind: str,
        key: object,
        yours: Mapping[str, Any],
        theirs: Mapping[str, Any],
        version: int,
    ) -> None:
        super().__init__(said("refusal.stale", thing=Word("thing", kind)))
        self.kind, self.key, self.yours, self.theirs, self.version = (
            kind,
            key,
            dict(yours),
            dict(theirs),
            version,
        )


class NotAllowed(ScoutError):
    """The person may not do this."""


class SentBefore(ScoutError):
    """A phone sent the same thing again; it was taken the first time. `there`: where that led."""

    def __init__(self, there: str | None = None) -> None:
        super().__init__(there)
        self.there = there


class Damaged(ScoutError):
    """A file or a database on disk is not what was written."""


class Unavailable(ScoutError):
    """Something outside this program that is needed now is not there."""


class Full(Unavailable):
    """There is no room left to write in."""


def shorten(given: object, most: int = 80) -> str:
    """What was given, as one short printable line (empty for None)."""
    if given is None:
        return ""
    if isinstance(given, Spoken):
        given = f"{given:typed}"
    text = given if isinstance(given, str) else repr(given)
    text = "".join(ch if ch.isprintable() else " " for ch in text).strip()
    if isinstance(given, str) and not text:
        return "(empty)"
    return text if len(text) <= most else f"{text[: most - 3]}..."
