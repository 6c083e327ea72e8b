"""Letting somebody in by a link that works once: a new person, or one who forgot the password.

The link is shown once to whoever makes it, and sent by mail where the installation can. Of its token
only a hash is kept; a new link for the same address ends the one before.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import Delete, delete

from scout.errors import NotFound, Refused, RefusedMany
from scout.records import Invited, Person
from scout.store import models
from scout.store.queries import people as queries
from scout.store.queries.common import by_key
from scout.usecases import mail, people
from scout.usecases.roles import need
from scout.usecases.work import Work
from scout.values import Name, said

INVITES_LAST, RESETS_LAST = timedelta(days=7), timedelta(days=1)
REACH = 40  # of a token's characters: what is longer never was one


@dataclass(frozen=True)
class InvitationLine:
    """A link that nobody has used yet. `again`: for somebody who can log in already."""

    id: int
    email: str
    name: str
    role: str
    made_at: datetime
    made_by: str | None
    ends_at: datetime
    over: bool
    again: bool


def invite(work: Work, record: Invited) -> str:
    """Make a link by which a new person comes in; returns its token, which nobody can be shown
    again. Raises RefusedMany for an address or a name that somebody has.
    """
    need(work, "add", "person")
    queries.hold(work.db)
    work.db.execute(_of(record.email))
    refusals = people.taken(work, record)
    if refusals:
        raise RefusedMany(refusals)
    return _make(work, record, record.role, INVITES_LAST, None)


def reset(work: Work, email: str) -> str:
    """Make a link by which a person chooses a new password; the old one holds until then. Returns
    its token. Raises NotFound.
    """
    need(work, "change", "person")
    queries.hold(work.db)
    row = people.called(work, email)
    work.db.execute(_of(row.email))
    return _make(work, Person(email=row.email, name=row.name), row.role, RESETS_LAST, row.id)


def _of(email: str) -> Delete:
    return delete(models.Invitation).where(models.Invitation.email == email.strip().lower())


def _make(work: Work, person: Person, role: str, lasts: timedelta, person_id: int | None) -> str:
    token, now = secrets.token_urlsafe(32), work.now()
    row = models.Invitation(
        person_id=person_id,
        email=person.email.strip().lower(),
        name=person.name,
        role=role,
        token_sha256=people.mark_of(token),
        made_at=now,
        made_by=work.name,
        ends_at=now + lasts,
    )
    deed = "link to a new password of" if person_id is not None else "invitation of"
    work.add(row, f"{deed} {person.name} made")
    work.commit()
    return token


def invitations(work: Work) -> tuple[InvitationLine, ...]:
    """Every link that nobody has used yet, the newest first."""
    need(work, "read", "person")
    return tuple(_line(work, row) for row in queries.invitations(work.db))


def _line(work: Work, row: models.Invitation) -> InvitationLine:
    return InvitationLine(
        row.id,
        row.email,
        row.name,
        row.role,
        row.made_at,
        row.made_by,
        row.ends_at,
        row.ends_at <= work.now(),
        row.person_id is not None,
    )


def revoke(work: Work, key: int) -> None:
    """End a link at once. Raises NotFound."""
    need(work, "delete", "person")
    row = by_key(work.db, models.Invitation, key)
    if row is None:
        raise NotFound("invitation", key)
    work.log(row, f"link for {row.name} revoked")
    work.db.delete(row)
    work.commit()


def opened(work: Work, token: str) -> InvitationLine:
    """Whom a link is for. Raises NotFound, the same for one that never was, was used or is over."""
    return _line(work, _row(work, token))


def _row(work: Work, token: str) -> models.Invitation:
    row = queries.invitation(work.db, people.mark_of(token)) if len(token) < 2 * REACH else None
    if row is None or row.ends_at <= work.now():
        raise NotFound("invitation", "…")
    return row


def come_in(work: Work, token: str, password: str) -> str:
    """Choose the password that a link is for; the link is worth nothing afterwards. Returns the
    person's address. Raises NotFound, Refused naming `new`, RefusedMany.
    """
    queries.hold(work.db)
    row = _row(work, token)
    if (why := people.weak(password, row.email, row.name)) is not None:
        raise Refused("new", None, why)
    email, person = row.email, queries.by_id(work.db, row.person_id or 0)
    invited = Person(email=email, name=row.name)
    role, is_new = row.role, row.person_id is None
    work.db.delete(row)
    work.db.flush()
    if person is not None:
        people.put_password(work, person, password)
    elif is_new:
        refusals = people.taken(work, invited)
        if refusals:  # somebody was let in under that name meanwhile
            raise RefusedMany(Refused("new", None, one.because) for one in refusals)
        people.put_person(work, invited, password, role)
    else:
        raise NotFound("invitation", "…")
    work.commit()
    return email


def mailable(work: Work) -> bool:
    """Whether the installation sends links by mail."""
    return work.settings.mail is not None and work.settings.public_url is not None


def address_of(work: Work, token: str, base: str | None = None) -> str:
    """Where a link leads. `base`: what the browser calls this place, where no setting says it."""
    root = work.settings.public_url or base or f"http://{work.settings.host}:{work.settings.port}"
    return f"{root.rstrip('/')}/join/{token}"


def send(work: Work, email: str, token: str) -> None:
    """Send a link by mail. Raises Unavailable where the mail server does not take it."""
    line = opened(work, token)
    about = said("invite.subject_again") if line.again else said("invite.subject")
    address = Name(address_of(work, token))
    text = said("invite.text", address=address, until=line.ends_at)
    mail.send(work.settings, email, about, text)
