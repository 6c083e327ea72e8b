"""Tokens: keys by which programs ask in a person's name, each told apart, dated and revocable."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from scout.errors import NotFound
from scout.records import TokenRecord
from scout.store import models
from scout.store.queries import people as queries
from scout.store.queries.common import by_key
from scout.usecases.people import asking, mark_of, who_of
from scout.usecases.work import Who, Work

BEGINS = "sillbook_"  # so that whoever finds one in a file or a log knows what it is
USE_KEPT_TO = timedelta(minutes=1)


@dataclass(frozen=True)
class TokenLine:
    """A token as its person sees it: the key itself is shown once and kept nowhere."""

    id: int
    name: str
    made_at: datetime
    used_at: datetime | None


def make_token(work: Work, record: TokenRecord) -> str:
    """Make a token for the person at work; returns the key, which nobody can be shown again."""
    key = BEGINS + secrets.token_urlsafe(32)
    row = models.Token(
        person_id=asking(work).id,
        name=record.name,
        token_sha256=mark_of(key),
        made_at=work.now(),
    )
    work.add(row, f"token {record.name} made")
    work.commit()
    return key


def tokens(work: Work) -> tuple[TokenLine, ...]:
    """The tokens of the person at work, the newest first."""
    return tuple(
        TokenLine(row.id, row.name, row.made_at, row.used_at)
        for row in queries.tokens(work.db, asking(work).id)
    )


def revoke_token(work: Work, key: int) -> None:
    """End one of the tokens of the person at work. Raises NotFound."""
    row = by_key(work.db, models.Token, key)
    if row is None or row.person_id != asking(work).id:
        raise NotFound("token", key)
    work.db.delete(row)
    work.commit()


def person_of_token(work: Work, key: str) -> tuple[Who, bool] | None:
    """The person in whose name a token asks, and whether its use is to be kept anew."""
    row = queries.token(work.db, mark_of(key))
    person = queries.by_id(work.db, row.person_id) if row is not None else None
    if row is None or person is None:
        return None
    due = row.used_at is None or work.now() - row.used_at > USE_KEPT_TO
    return who_of(person), due


def was_used(work: Work, key: str) -> None:
    """Keep when a token was used last, to the minute."""
    row = queries.token(work.db, mark_of(key))
    if row is not None:
        row.used_at = work.now()
        work.commit()


def person_called(work: Work, email: str) -> Who:
    """The person with this address, whoever asks on the machine itself. Raises NotFound."""
    row = queries.by_email(work.db, email)
    if row is None:
        raise NotFound("person", email)
    return who_of(row)
