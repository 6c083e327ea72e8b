"""Links for somebody without an account: to one print, the days or one choice of room; each ends by
itself, can be revoked, counts how often it was opened, and may ask for a passphrase.
"""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal, cast

from sqlalchemy import select, update

from scout.errors import NotFound, Refused
from scout.packet.names import EDITION_READERS, EditionName
from scout.packet.privacy import Reader
from scout.records import LinkRecord
from scout.store import models
from scout.store.queries import jobs
from scout.store.queries.common import by_key
from scout.usecases import people, revisions
from scout.usecases.roles import need
from scout.usecases.work import Work
from scout.values import Word, said

Shared = Literal["packet", "day", "choice"]
# as which reader of paper whoever holds a link sees what it leads to; a print has its own
READERS: Mapping[Shared, Reader] = {"day": "crew", "choice": "client"}
PRINTS_FOR: tuple[Reader, ...] = ("crew", "owner")


@dataclass(frozen=True)
class LinkLine:
    """A link as it is listed: its address was shown once and is kept nowhere."""

    id: int
    production_id: int
    title: str  # of the production
    kind: Shared
    record_id: int
    name: str
    made_at: datetime
    made_by: str | None
    ends_at: datetime
    over: bool  # ended or revoked
    revoked: bool
    opened: int
    opened_at: datetime | None
    passphrase: bool


@dataclass(frozen=True)
class Opened:
    """What a link leads to, and as whom its holder reads it. `door`: what somebody has said who
    knew the passphrase; None where none is asked for.
    """

    id: int
    kind: Shared
    record_id: int
    production_id: int
    reader: Reader
    door: str | None


def make_link(work: Work, kind: Shared, key: int, record: LinkRecord) -> str:
    """Make a link; returns its token, which nobody can be shown again. Raises NotFound, and Refused
    for a print that others than crew and owner read.
    """
    need(work, "add", "link")
    production_id, _reader = _target(work, kind, key)
    token, now = secrets.token_urlsafe(32), work.now()
    phrase = record.passphrase
    row = models.Link(
        production_id=production_id,
        kind=kind,
        record_id=key,
        name=record.name,
        token_sha256=people.mark_of(token),
        passphrase_hash=None if phrase is None else people.hashed(phrase),
        made_at=now,
        made_by=work.name,
        ends_at=now + timedelta(days=record.days),
        opened=0,
    )
    work.add(row, f"link for {record.name} made")
    work.commit()
    return token


def _target(work: Work, kind: Shared, key: int) -> tuple[int, Reader]:
    """The production that something belongs to, and who reads it. Raises NotFound, Refused."""
    if kind == "day":
        return jobs.production(work.db, key).id, READERS["day"]
    if kind == "choice":
        return jobs.scene(work.db, key).production_id, READERS["choice"]
    row, _ = revisions.packet_row(work, key)
    jobs.production(work.db, row.production_id)  # a print outlives its production in the bin
    reader = EDITION_READERS[cast(EditionName, row.edition)]
    if reader not in PRINTS_FOR:
        raise Refused(
            "packet", None, said("link.not_by_link", edition=Word("edition", row.edition))
        )
    return row.production_id, reader


def links(work: Work) -> tuple[LinkLine, ...]:
    """Every link there is, those that lead somewhere first, the newest first."""
    need(work, "read", "link")
    now = work.now()
    rows = work.db.execute(
        select(models.Link, models.Production.title)
        .join(models.Production, models.Production.id == models.Link.production_id)
        .order_by(models.Link.id.desc())
    )
    lines = [
        LinkLine(
            row.id,
            row.production_id,
            title,
            cast(Shared, row.kind),
            row.record_id,
            row.name,
            row.made_at,
            row.made_by,
            row.ends_at,
            row.revoked_at is not None or row.ends_at <= now,
            row.revoked_at is not None,
            row.opened,
            row.opened_at,
            row.passphrase_hash is not None,
        )
        for row, title in rows
    ]
    return tuple(sorted(lines, key=lambda line: line.over))


def revoke_link(work: Work, key: int) -> None:
    """End a link at once. Raises NotFound."""
    need(work, "delete", "link")
    row = by_key(work.db, models.Link, key)
    if row is None:
        raise NotFound("link", key)
    if row.revoked_at is None:
        row.revoked_at = work.now()
        work.log(row, f"link for {row.name} revoked")
        work.commit()


def opened(work: Work, token: str) -> Opened:
    """What a token leads to. Raises NotFound, the same for one that never was, has ended or was
    revoked, and where what it leads to is gone.
    """
    row = work.db.scalar(
        select(models.Link).where(models.Link.token_sha256 == people.mark_of(token))
    )
    if row is None or row.revoked_at is not None or row.ends_at <= work.now():
        raise NotFound("link", "…")
    kind = cast(Shared, row.kind)
    try:
        production_id, reader = _target(work, kind, row.record_id)
    except NotFound:
        raise NotFound("link", "…") from None
    door = None
    if row.passphrase_hash is not None:
        door = people.mark_of(f"{token} {row.passphrase_hash}")
    return Opened(row.id, kind, row.record_id, production_id, reader, door)


def count(work: Work, link: Opened) -> None:
    """Keep that a link was opened, and when."""
    work.db.execute(
        update(models.Link)
        .where(models.Link.id == link.id)
        .values(opened=models.Link.opened + 1, opened_at=work.now())
    )
    work.commit()


def knows(work: Work, link: Opened, passphrase: str) -> bool:
    """Whether somebody knows a link's passphrase."""
    row = work.db.get(models.Link, link.id)
    kept = row.passphrase_hash if row is not None else None
    return kept is not None and people.verified(kept, passphrase)
