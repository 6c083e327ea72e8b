"""People who may log in, and the log of what was changed."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import BigInteger, ForeignKey, Index, String, Text, false, text
from sqlalchemy.orm import Mapped, mapped_column

from scout.store.models.base import Base, Plain, UtcDateTime


class Person(Base):
    """Somebody who may log in; the password is kept as an argon2 hash."""

    __tablename__ = "person"
    id: Mapped[int] = mapped_column(primary_key=True)
    email: Mapped[str] = mapped_column(String(200), unique=True)  # in lower case
    name: Mapped[str] = mapped_column(String(300))
    password_hash: Mapped[str] = mapped_column(String(300))
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    role: Mapped[str] = mapped_column(String(12), server_default="guest")


class Login(Base):
    """A session: its cookie holds a token, the row the token's hash; without the row it is over."""

    __tablename__ = "login"
    id: Mapped[int] = mapped_column(primary_key=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id", ondelete="CASCADE"), index=True)
    token_sha256: Mapped[str] = mapped_column(String(64), unique=True)
    begun_at: Mapped[datetime] = mapped_column(UtcDateTime)
    agent: Mapped[str | None] = mapped_column(String(200))


class Token(Base):
    """A key by which a program asks in a person's name; only its hash is kept."""

    __tablename__ = "token"
    id: Mapped[int] = mapped_column(primary_key=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id", ondelete="CASCADE"), index=True)
    name: Mapped[str] = mapped_column(String(300))
    token_sha256: Mapped[str] = mapped_column(String(64), unique=True)
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    used_at: Mapped[datetime | None] = mapped_column(UtcDateTime)


class Invitation(Base):
    """A link that lets somebody in once: to choose a first password, or, where it names a person,
    a new one. Only a hash of its token is kept; used or ended, the row goes.
    """

    __tablename__ = "invitation"
    id: Mapped[int] = mapped_column(primary_key=True)
    person_id: Mapped[int | None] = mapped_column(
        ForeignKey("person.id", ondelete="CASCADE"), index=True
    )
    email: Mapped[str] = mapped_column(String(200), unique=True)  # a new link ends the one before
    name: Mapped[str] = mapped_column(String(300))
    role: Mapped[str] = mapped_column(String(12))
    token_sha256: Mapped[str] = mapped_column(String(64), unique=True)
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    made_by: Mapped[str | None] = mapped_column(String(300))
    ends_at: Mapped[datetime] = mapped_column(UtcDateTime)


class SecondStep(Base):
    """That somebody is asked for a code from their phone after the password. `since`: None until a
    first code was right; `last_used`: the half minute of the last code, which works once.
    """

    __tablename__ = "second_step"
    person_id: Mapped[int] = mapped_column(
        ForeignKey("person.id", ondelete="CASCADE"), primary_key=True, autoincrement=False
    )
    secret: Mapped[str] = mapped_column(String(64))
    since: Mapped[datetime | None] = mapped_column(UtcDateTime)
    last_used: Mapped[int]


class RecoveryCode(Base):
    """A code for whoever lost the phone; only its hash is kept, and used the row goes."""

    __tablename__ = "recovery_code"
    id: Mapped[int] = mapped_column(primary_key=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id", ondelete="CASCADE"), index=True)
    code_sha256: Mapped[str] = mapped_column(String(64))


class Passkey(Base):
    """The public half of a key on somebody's device; `used_at`: when the question was asked that it
    answered last, `count`: how often it says it was used.
    """

    __tablename__ = "passkey"
    id: Mapped[int] = mapped_column(primary_key=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id", ondelete="CASCADE"), index=True)
    name: Mapped[str] = mapped_column(String(300))
    credential: Mapped[str] = mapped_column(Text)
    credential_sha256: Mapped[str] = mapped_column(String(64), unique=True)
    public_key: Mapped[str] = mapped_column(Text)
    count: Mapped[int] = mapped_column(BigInteger)
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    used_at: Mapped[datetime | None] = mapped_column(UtcDateTime)


class WrongTry(Base):
    """A password that was not right, or may turn out not to be: whose, by a hash, and when."""

    __tablename__ = "wrong_try"
    __table_args__ = (Index(None, "of", "at"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    at: Mapped[datetime] = mapped_column(UtcDateTime)
    of: Mapped[str] = mapped_column(String(64))


class Sent(Base):
    """A form that a phone sent under a name of its own making: the same again changes nothing."""

    __tablename__ = "sent"
    once: Mapped[str] = mapped_column(String(36), primary_key=True)  # a UUID of the phone's
    at: Mapped[datetime] = mapped_column(UtcDateTime, index=True)
    there: Mapped[str | None] = mapped_column(Text)  # where its answer led


class Change(Base):
    """One line of the log: who did what to which record, when, and what that changed. What one
    person does at once is one change: the lines after its first name that one in `part_of`.
    """

    __tablename__ = "change"
    __table_args__ = (
        Index(
            "ix_change_first",
            "id",
            sqlite_where=text("part_of is null"),
            postgresql_where=text("part_of is null"),
        ),
        Index(None, "kind", "record_id"),
        Index(None, "about", "id"),
        Index(None, "by", "id"),
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    at: Mapped[datetime] = mapped_column(UtcDateTime, index=True)
    by: Mapped[str | None] = mapped_column(String(300))
    kind: Mapped[str] = mapped_column(String(40))
    record_id: Mapped[int]
    words: Mapped[str] = mapped_column(Text)
    part_of: Mapped[int | None] = mapped_column(index=True)
    about: Mapped[str | None] = mapped_column(String(30))  # the room, place or production it is of
    fields: Mapped[dict[str, Any] | None] = mapped_column(Plain)  # of each: before, after
    added: Mapped[bool] = mapped_column(server_default=false())
    undoes: Mapped[int | None] = mapped_column(index=True)  # the change that it takes back


class Move(Base):
    """That everything here is being copied elsewhere (`begun`: people go on, `closing`), has left, or
    is arriving; nobody saves then. `place`: by a hash, where files are since they left while rows stayed.
    """

    __tablename__ = "move"
    key: Mapped[str] = mapped_column(String(32), primary_key=True)
    state: Mapped[str] = mapped_column(String(12))
    place: Mapped[str] = mapped_column(String(64))
    at: Mapped[datetime] = mapped_column(UtcDateTime)
