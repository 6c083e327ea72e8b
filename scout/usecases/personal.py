"""What is kept of one person: found wherever it stands, and handed to them as a file.

A name of two words or more, an address and a number are looked for in every text. A name of one word
may be a room's or a colour's: it counts where a column says who did something, and among contacts and
crew, and elsewhere its finds are only counted.
"""

from __future__ import annotations

import json
import re
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import IO, Any

from sqlalchemy import select

from scout.records.people import Named
from scout.store import models
from scout.store.queries import named as queries
from scout.store.queries import people as people_queries
from scout.usecases.roles import reads_as
from scout.usecases.work import Work
from scout.values import said

TABLES = models.Base.metadata.tables
LISTS = frozenset({"contacts", "crew"})  # fields that hold people
KEPT_OF_AN_ENTRY = frozenset({"role", "call_time"})  # what somebody does, not who it is
LEAST_DIGITS, TAIL = 6, 9  # of a number; of its end, which countries write alike


@dataclass
class Names:
    """All that names one person, and a text or a record without it."""

    named: Named
    emails: set[str] = field(default_factory=set)
    phones: set[str] = field(default_factory=set)  # digits alone

    def __post_init__(self) -> None:
        self.left = str(said("erase.somebody"))
        self.add(self.named.email, self.named.phone)

    def add(self, email: str | None, phone: str | None) -> None:
        """An address and a number that are theirs too."""
        if email and "@" in email:
            self.emails.add(email.strip().lower())
        if len(digits := _digits(phone)) >= LEAST_DIGITS:
            self.phones.add(digits)
        words = self.named.name.split()
        sure = [_word(email) for email in sorted(self.emails)]
        sure += [_number(digits) for digits in sorted(self.phones)]
        whole = r"(?<!\w)" + r"\s+".join(map(re.escape, words)) + r"(?!\w)"
        sure += [whole] if len(words) > 1 else []
        self.sure = re.compile("|".join(sure), re.I) if sure else None
        self.word = re.compile(whole) if len(words) == 1 else None

    @property
    def needles(self) -> list[str] | None:
        """Strings one of which stands in every text that may name them; None: there are none."""
        if self.phones:  # written with blanks anywhere
            return None
        longest = [
            max(re.findall("[A-Za-z0-9]+", one), key=len, default="")
            for one in (self.named.name, *self.emails)
        ]
        return longest if all(len(one) > 1 for one in longest) else None

    def is_entry(self, entry: Mapping[str, Any]) -> bool:
        """Whether a contact or somebody on the crew is this person."""
        name = str(entry.get("name") or "")
        return (
            _plain(name) == _plain(self.named.name)
            or str(entry.get("email") or "").strip().lower() in self.emails
            or _tail(_digits(entry.get("phone"))) in map(_tail, self.phones)
        )

    def names(self, text: str) -> bool:
        """Whether a text that was printed names them."""
        return any(one is not None and one.search(text) for one in (self.sure, self.word))

    def without(self, value: Any, key: str = "") -> Any:
        """A value of any shape with nobody named in it; `key`: the field it stands in."""
        if isinstance(value, str):
            if key in queries.SIGNED and _plain(value) == _plain(self.named.name):
                return self.left
            return self.sure.sub(self.left, value) if self.sure is not None else value
        if isinstance(value, list):
            return [self._entry(one, key) for one in value]
        if isinstance(value, Mapping):
            return dict(self._fields(value, key))
        return value

    def _entry(self, value: Any, key: str) -> Any:
        if key in LISTS and isinstance(value, Mapping) and self.is_entry(value):
            kept = {name: one for name, one in value.items() if name in KEPT_OF_AN_ENTRY}
            return {"name": self.left, **{name: self.without(one) for name, one in kept.items()}}
        return self.without(value, key)

    def _fields(self, value: Mapping[str, Any], key: str) -> Iterator[tuple[str, Any]]:
        for name, one in value.items():
            if key in LISTS and isinstance(one, Mapping):  # a list that is kept by its names
                here = self._entry(one, key)
                theirs = here.get("name") == self.left and one.get("name") != self.left
                yield (self.left if theirs else self.without(name)), here
            else:
                yield self.without(name), self.without(one, name)

    def told_of(self, value: Any) -> bool:
        """Whether a text says the word that their name is: it may mean something else."""
        if self.word is None:
            return False
        if isinstance(value, str):
            return self.word.search(value) is not None
        if isinstance(value, Mapping):
            return any(self.told_of(one) for pair in value.items() for one in pair)
        return isinstance(value, list) and any(map(self.told_of, value))


def _word(text: str) -> str:
    return r"(?<![\w.+-])" + re.escape(text) + r"(?![\w-])"


def _number(digits: str) -> str:
    """A number however it is grouped, with and without the code of its country."""
    between = r"[\s().\-/]*"
    before = rf"\+?(?:\d{between}){{0,4}}" if len(digits) >= TAIL else r"\+?"
    return r"(?<!\d)" + before + between.join(_tail(digits)) + r"(?!\d)"


def _tail(digits: str) -> str:
    return digits[-TAIL:]


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()


def _digits(text: Any) -> str:
    return re.sub(r"\D", "", str(text or ""))


def entries_of(value: Any) -> Iterable[Mapping[str, Any]]:
    """The people of a list of contacts, or of a crew."""
    return [one for one in value or () if isinstance(one, Mapping)]


def names_of(work: Work, named: Named) -> Names:
    """All that names a person: what is given, and what stands beside the name among contacts and
    crews, unless somebody else is reached by it too.
    """
    names = Names(named)
    others: set[str] = set()
    theirs: list[tuple[str, str]] = []
    for column in (models.Location.contacts, models.Production.crew):
        for held in work.db.scalars(select(column).where(column.is_not(None))):
            for entry in entries_of(held):
                pair = str(entry.get("email") or "").strip().lower(), _digits(entry.get("phone"))
                if names.is_entry(entry):
                    theirs.append(pair)
                else:
                    others.update(pair)
    for email, phone in theirs:
        names.add(*(one if one and one not in others else None for one in (email, phone)))
    return names


def write_file(work: Work, named: Named, to: IO[bytes]) -> None:
    """All that is kept of a person, as one ZIP: JSON, and a text that says what it is."""
    plain = json.dumps(all_of(work, named), ensure_ascii=False, indent=2, default=_dated)
    with zipfile.ZipFile(to, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("README.txt", str(said("erase.readme", at=work.now())))
        archive.writestr("person.json", plain.encode("utf-8", "backslashreplace"))


def _dated(value: Any) -> str:
    return value.isoformat() if isinstance(value, date | datetime) else str(value)


def all_of(work: Work, named: Named) -> dict[str, Any]:
    """All that is kept of a person: account, sessions, tokens, changes, notes, what they signed,
    and where they stand among contacts and crews. Never a secret, nor what is only its hash.
    """
    account = people_queries.by_email(work.db, named.email) if named.email else None
    name = account.name if account is not None else named.name
    mine = [] if account is None else people_queries.logins(work.db, account.id)
    keys = [] if account is None else people_queries.tokens(work.db, account.id)
    of = models.Passkey.person_id == (0 if account is None else account.id)
    devices = work.db.scalars(select(models.Passkey).where(of).order_by(models.Passkey.id))
    return {
        "account": None
        if account is None
        else _only(account, "email", "name", "role", "created_at"),
        "sessions": [_only(row, "begun_at", "agent") for row in mine],
        "tokens": [_only(row, "name", "made_at", "used_at") for row in keys],
        "passkeys": [_only(row, "name", "made_at", "used_at") for row in devices],
        "second_step_since": None
        if account is None or (step := work.db.get(models.SecondStep, account.id)) is None
        else step.since,
        "changes": list(_changes(work, name)),
        "notes": list(_notes(work, name)),
        "signed": {
            table.name: rows
            for table in queries.tables()
            if table.name != "change"
            and (rows := [_theirs(row, name) for row in queries.signed_rows(work.db, table, name)])
        },
        "contacts_and_crew": list(_entries(work, names_of(work, named))),
    }


def _only(row: Any, *fields: str) -> dict[str, Any]:
    return {one: getattr(row, one) for one in fields}


def _theirs(row: Mapping[str, Any], name: str) -> dict[str, Any]:
    """A row's key and as what it names them: who else signed it is nobody's but theirs."""
    kept = {key: value for key, value in row.items() if key not in queries.SIGNED}
    return {**kept, "as": [key for key in row if key in queries.SIGNED and row[key] == name]}


def _changes(work: Work, name: str) -> Iterator[dict[str, Any]]:
    table = TABLES["change"]
    columns = [table.c[one] for one in ("id", "at", "kind", "record_id", "words", "fields")]
    # what stood there before somebody else may have said, who is for other eyes
    whole = work.who is None or reads_as(work.who.role) is None
    for row in work.db.execute(select(*columns).where(table.c.by == name).order_by(table.c.id)):
        fields = row.fields or {}
        kept = fields if whole else {key: pair[1] for key, pair in fields.items()}
        yield {**row._asdict(), "fields": kept}


def _notes(work: Work, name: str) -> Iterator[dict[str, Any]]:
    table = TABLES["note"]
    left_out = {"version", *(one for one in queries.SIGNED if one in table.c)}
    columns = [one for one in table.columns if one.name not in left_out]
    wanted = select(*columns).where(table.c.created_by == name).order_by(table.c.id)
    yield from (row._asdict() for row in work.db.execute(wanted))


def _entries(work: Work, names: Names) -> Iterator[dict[str, Any]]:
    # whole rows, so that whoever may not read everything finds no more than on the pages
    for kind, held in ((models.Location, "contacts"), (models.Production, "crew")):
        rows: Iterable[Any] = work.db.scalars(select(kind).order_by(kind.id))
        for row in rows:
            for entry in entries_of(getattr(row, held)):
                if names.is_entry(entry):
                    of = getattr(row, "title", None) or getattr(row, "name", None)
                    yield {"of": of, "list": held, "entry": dict(entry)}
