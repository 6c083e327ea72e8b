"""Somebody leaves altogether: the account goes, and their name, address and number leave every row,
what was changed and what was printed too. What they recorded about rooms stays, by somebody who left.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Table, delete, select, update

from scout.errors import NotFound, Refused
from scout.media.pdf_pages import whole_text
from scout.packet.names import Paper
from scout.records.people import Named
from scout.store import engine as databases
from scout.store import models
from scout.store.files import draft
from scout.store.queries import named as queries
from scout.store.queries import people as people_queries
from scout.usecases import gates, people
from scout.usecases.personal import Names, names_of
from scout.usecases.revisions import file_of
from scout.usecases.roles import need
from scout.usecases.work import Work
from scout.values import Name, said

TABLES = models.Base.metadata.tables
Withdrawn = Callable[[Paper], bytes]  # the page that takes a print's place: `packet/withdrawn.py`


@dataclass(frozen=True)
class Erased:
    """What names somebody, or what was taken out. `rows`: how many of each table; `unsure`: of those
    that still say the word that is their name, which may mean something else; `prints`: those taken
    back. `wiped`: whether the database's files are rid of it as well.
    """

    rows: Mapping[str, int]
    unsure: Mapping[str, int]
    private_notes: int = 0
    prints: int = 0
    wiped: bool = True


def found(work: Work, named: Named) -> Erased:
    """What erasing somebody would change; nothing is. Prints are not read for it."""
    need(work, "delete", "person")
    work.read_first()
    _account(work, named)
    names = names_of(work, named)
    hits = list(_hits(work, names))
    unsure = Counter(table.name for table, row, new in hits if _still(names, row, new))
    private = work.db.scalars(_private(names, TABLES["note"].c.id)).all()
    rows = Counter(table.name for table, _, new in hits if new)
    rows["gate_code"] += gates.reword(work, names.without, save=False)
    return Erased(+rows, unsure, len(private))


def erase(work: Work, named: Named, withdrawn: Withdrawn, *, own: bool = False) -> Erased:
    """Erase somebody: by their account's address, or by the name that stands among contacts, crews
    and signatures. Raises NotFound, and Refused for the last owner and for the name of somebody who
    may log in. `own`: whoever is at work leaves.
    """
    if not own:
        need(work, "delete", "person")
    people_queries.hold(work.db)
    account = _account(work, named)
    if account is not None:
        people.keep_an_owner(work, account)
        named = named.model_copy(update={"name": account.name})
    names = names_of(work, named)
    private = _forget_private(work, names)
    prints = _withdraw(work, names, withdrawn)
    rows, unsure = Counter[str](), Counter[str]()
    rows["gate_code"] += gates.reword(work, names.without)
    for table, row, new in _hits(work, names):
        if _still(names, row, new):
            unsure[table.name] += 1
        if new and not (account is not None and table.name == "person" and row["id"] == account.id):
            rows[table.name] += 1
            _rewrite(work, table, row, new)
    _rewrite_words(work, names)
    if account is not None:
        _end_account(work, account)
    by = None if own or work.name == named.name else work.name
    work.db.add(
        models.Change(
            at=work.now(),
            by=by,
            kind="person",
            record_id=0 if account is None else account.id,
            words="somebody who left was erased",
        )
    )
    work.db.expire_all()
    work.commit()
    preparer = work.db.get_bind().dialect.identifier_preparer
    wiped = databases.wipe(work.settings.url, map(preparer.quote, TABLES))
    return Erased(+rows, unsure, private, prints, wiped)


def _account(work: Work, named: Named) -> models.Person | None:
    """The account meant. Raises Refused where the name is that of another who may log in."""
    account = people_queries.by_email(work.db, named.email) if named.email else None
    if account is None and any(
        one.name.casefold() == named.name.casefold() for one in people_queries.everybody(work.db)
    ):
        raise Refused("name", named.name, said("erase.has_account", name=Name(named.name)))
    return account


def _hits(work: Work, names: Names) -> Iterator[tuple[Table, Mapping[str, Any], Mapping[str, Any]]]:
    """Every row that may name them, and what of it changes."""
    for table in (one for one in queries.tables() if one is not TABLES["room_words"]):
        for row in queries.likely_rows(work.db, table, names.needles):
            new = {}
            for column in queries.texts_of(table):
                was = row[column.name]
                now = names.without(was, column.name)
                if now != was:
                    length = getattr(column.type, "length", None)
                    new[column.name] = now[:length] if isinstance(now, str) else now
            yield table, row, new


def _still(names: Names, row: Mapping[str, Any], new: Mapping[str, Any]) -> bool:
    return any(names.told_of(value) for value in {**row, **new}.values())


def _rewrite(work: Work, table: Table, row: Mapping[str, Any], new: Mapping[str, Any]) -> None:
    """Past the Session, which would keep what was before among the changes."""
    values: dict[str, Any] = dict(new)
    # a form opened before would bring the name back: it is too old from here on
    if "version" in table.c and not set(new) <= queries.SIGNED:
        values["version"] = table.c.version + 1
    work.db.execute(update(table).where(*_key(table, row)).values(values))


def _rewrite_words(work: Work, names: Names) -> None:
    """What may be searched of the rooms is made of their texts, and carries no row of its own."""
    words = TABLES["room_words"]
    for row in queries.likely_rows(work.db, words, names.needles):
        if (now := names.without(row["words"])) != row["words"]:
            of = words.c.room_id == row["room_id"]
            work.db.execute(update(words).where(of).values(words=now))


def _key(table: Table, row: Mapping[str, Any]) -> list[Any]:
    return [column == row[column.name] for column in table.primary_key.columns]


def _private(names: Names, *columns: Any) -> Any:
    note = TABLES["note"]
    return select(*columns).where(
        note.c.created_by == names.named.name, note.c.audience == "private"
    )


def _forget_private(work: Work, names: Names) -> int:
    """Their private notes go, which nobody else may read, and what any note said while it was so."""
    note, change = TABLES["note"], TABLES["change"]
    theirs = select(note.c.id).where(note.c.created_by == names.named.name)
    lines = select(change.c.id, change.c.fields).where(
        change.c.kind == "note", change.c.record_id.in_(theirs)
    )
    for row in work.db.execute(lines).all():
        if "private" in (row.fields or {}).get("audience", ()):
            work.db.execute(update(change).where(change.c.id == row.id).values(fields=None))
    keys = list(work.db.scalars(_private(names, note.c.id)))
    for key in keys:
        work.db.execute(delete(note).where(note.c.id == key))
    return len(keys)


def _withdraw(work: Work, names: Names, withdrawn: Withdrawn) -> int:
    """A print that names them becomes one page that says so. Its revision's number stays taken."""
    packet, count = TABLES["packet"], 0
    columns = (packet.c.id, packet.c.sha256, packet.c.made_by, packet.c.paper)
    for row in work.db.execute(select(*columns).order_by(packet.c.id)).all():
        try:
            path = work.place.held(file_of(row.id), row.sha256).local()
        except NotFound:
            continue
        if row.made_by != names.named.name and not names.names(whole_text(path)):
            continue
        body = withdrawn(row.paper)
        sha256 = hashlib.sha256(body).hexdigest()
        part = draft(work.place.scratch, lambda file, body=body: (file.write(body), None)[1])  # type: ignore[misc]
        try:
            work.place.take(part, file_of(row.id), sha256)
        finally:
            part.unlink(missing_ok=True)
        copies = [*(work.settings.cache_dir / "pages").glob(f"{row.sha256}-*"), path]
        for copy in copies:
            if copy.is_relative_to(work.settings.cache_dir):
                copy.unlink(missing_ok=True)
        empty: dict[str, Any] = {
            "facts": "",
            "lines": [],
            "page_hashes": [],
            "swap": None,
            "pages": 1,
        }
        work.db.execute(update(packet).where(packet.c.id == row.id).values(sha256=sha256, **empty))
        count += 1
    return count


def _end_account(work: Work, account: models.Person) -> None:
    """The account with its sessions, tokens and links, and the marks of wrong passwords for it."""
    for name in ("login", "token", "invitation", "second_step", "recovery_code", "passkey"):
        work.db.execute(delete(TABLES[name]).where(TABLES[name].c.person_id == account.id))
    invitation, tried = TABLES["invitation"], TABLES["wrong_try"]
    work.db.execute(delete(invitation).where(invitation.c.email == account.email))
    mark = people.mark_of(f"account {account.email}")
    work.db.execute(delete(tried).where(tried.c.of == mark))
    work.db.execute(delete(TABLES["person"]).where(TABLES["person"].c.id == account.id))
