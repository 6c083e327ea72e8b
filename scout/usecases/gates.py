"""Codes of doors, gates and alarms: kept sealed, shown one at a time to whoever may see them, and each
showing is a change that the team reads. No list, print, search or file has them.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select

from scout.errors import NotFound, Refused
from scout.records import GateRecord
from scout.store import models
from scout.store.queries import places as queries
from scout.store.queries.common import by_key
from scout.usecases import sealing
from scout.usecases.roles import may, need
from scout.usecases.work import Work
from scout.values import Name, Said, said

KIND = "gatecode"  # of its lines among the changes


@dataclass(frozen=True)
class GateLine:
    """A code as a list has it: everything but the code. `shown`: when and by whom it was last."""

    id: int
    label: str
    version: int
    changed_at: datetime
    changed_by: str | None
    shown: tuple[datetime, str | None] | None


@dataclass(frozen=True)
class Told:
    """A code that is shown now."""

    label: str
    code: str
    note: str | None


def of_place(work: Work, location_id: int) -> tuple[GateLine, ...] | None:
    """The codes of a place, without them; None where whoever asks may not see them."""
    if work.who is not None and not may(work.who.role, "read", "gate"):
        return None
    kind = models.GateCode
    wanted = select(kind).where(kind.location_id == location_id).order_by(kind.label, kind.id)
    rows = list(work.db.scalars(wanted))
    change = models.Change
    showings = (
        select(change.record_id, change.at, change.by)
        .where(change.kind == KIND, change.record_id.in_([row.id for row in rows]))
        .where(change.words.like("% shown"))
        .order_by(change.id)
    )
    last = {key: (at, by) for key, at, by in work.db.execute(showings)} if rows else {}
    return tuple(
        GateLine(row.id, row.label, row.version, row.changed_at, row.changed_by, last.get(row.id))
        for row in rows
    )


def line_of(work: Work, location_id: int, key: int) -> GateLine:
    """One code of a place, without it. Raises NotFound."""
    row = _row(work, "read", location_id, key)
    return GateLine(row.id, row.label, row.version, row.changed_at, row.changed_by, None)


def add(work: Work, location_id: int, record: GateRecord) -> int:
    """Keep a code; returns its key. Raises NotFound, NotAllowed."""
    need(work, "add", "gate")
    place = queries.location(work.db, location_id)
    row = models.GateCode(location_id=place.id)
    _fill(work, row, record)
    work.add(row, f"code of {record.label} added")
    work.commit()
    return row.id


def save(work: Work, location_id: int, key: int, version: int, record: GateRecord) -> None:
    """Keep a code anew over the one that stood there when the form was opened. Raises NotFound,
    NotAllowed, Refused naming `label` where somebody else did so meanwhile.
    """
    row = _row(work, "change", location_id, key)
    if row.version != version:
        by = Name(row.changed_by) if row.changed_by else None
        raise Refused("label", None, said("gate.changed_since", by=by))
    _fill(work, row, record)
    work.log(row, f"code of {record.label} changed")
    work.commit()


def show(work: Work, location_id: int, key: int) -> Told:
    """A code, and that it was shown is kept. Raises NotFound, NotAllowed, Refused where it was
    sealed under another secret.
    """
    row = _row(work, "read", location_id, key)
    try:
        held = json.loads(sealing.opened(sealing.key_of(work.settings), _of(row), row.sealed))
    except sealing.CannotOpen:
        raise Refused("code", None, said("gate.other_secret")) from None
    work.log(row, f"code of {row.label} shown")
    work.commit()
    return Told(row.label, held["code"], held["note"])


def delete(work: Work, location_id: int, key: int) -> None:
    """Forget a code for good: no bin keeps it. Raises NotFound, NotAllowed."""
    row = _row(work, "delete", location_id, key)
    work.log(row, f"code of {row.label} deleted")
    work.db.delete(row)
    work.commit()


def faults(work: Work) -> list[Said]:
    """That codes cannot be opened by this installation's secret, and of how many."""
    rows = list(work.db.scalars(select(models.GateCode)))
    if not rows:
        return []
    key, count = sealing.key_of(work.settings), 0
    for row in rows:
        try:
            sealing.opened(key, _of(row), row.sealed)
        except sealing.CannotOpen:
            count += 1
    return [said("gate.faults", n=count)] if count else []


def reseal(work: Work, was: bytes) -> None:
    """Seal for this installation what came sealed under another's key; what that key does not open
    stays as it is. Nothing is committed.
    """
    key = sealing.key_of(work.settings)
    for row in work.db.scalars(select(models.GateCode)):
        try:
            row.sealed = sealing.seal(key, _of(row), sealing.opened(was, _of(row), row.sealed))
        except sealing.CannotOpen:
            continue


def reword(work: Work, without: Callable[[str], str], *, save: bool = True) -> int:
    """Let every note that is sealed be what `without` makes of it; returns of how many that is
    something else. Nothing is committed.
    """
    rows, count = list(work.db.scalars(select(models.GateCode))), 0
    key = sealing.key_of(work.settings) if rows else b""
    for row in rows:
        try:
            held = json.loads(sealing.opened(key, _of(row), row.sealed))
        except sealing.CannotOpen:
            continue
        new = without(held["note"] or "")
        if new != (held["note"] or ""):
            count += 1
            if save:
                row.sealed = sealing.seal(key, _of(row), json.dumps({**held, "note": new}))
    if save:
        work.db.flush()
    return count


def _row(work: Work, deed: str, location_id: int, key: int) -> models.GateCode:
    need(work, deed, "gate")  # type: ignore[arg-type]  # one of the deeds
    place = queries.location(work.db, location_id)
    row = by_key(work.db, models.GateCode, key)
    if row is None or row.location_id != place.id:
        raise NotFound("gate_code", key)
    return row


def _fill(work: Work, row: models.GateCode, record: GateRecord) -> None:
    held = json.dumps({"code": record.code, "note": record.note})
    row.label, row.sealed = (
        record.label,
        sealing.seal(sealing.key_of(work.settings), _of(row), held),
    )
    row.changed_at, row.changed_by = work.now(), work.name


def _of(row: models.GateCode) -> str:
    return f"gate_code of place {row.location_id}"
