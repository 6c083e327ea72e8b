"""Packets asked for: on record until they are printed, so that any process sees them, any worker
may print them, and none is lost with whoever was at it.
"""

from __future__ import annotations

import hashlib
import json
import logging
import secrets
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from typing import Any, Literal, cast

from sqlalchemy import ColumnElement, delete, func, select, update
from sqlalchemy.exc import IntegrityError

from scout.errors import NotFound
from scout.store.models import Packet, Printing
from scout.store.queue import FAILURES, queue
from scout.usecases import revisions
from scout.usecases.revisions import Wanted
from scout.usecases.shown import PacketLine
from scout.usecases.work import Work
from scout.values import said

log = logging.getLogger("scout.work")
State = Literal["waiting", "printing", "done", "failed", "cancelled"]
LOST = timedelta(seconds=15)  # a worker that was not heard of for so long is taken for dead
MOST_TRIES = 3  # what kills its worker again and again is given up
KEPT = timedelta(days=30)


@dataclass(frozen=True)
class Asked:
    """A packet asked for, and how far it is."""

    key: str
    production_id: int
    wanted: Wanted
    state: State
    tries: int
    done: int
    of: int
    because: str | None
    asked_by: str | None
    packet: PacketLine | None = None

    @property
    def over(self) -> bool:
        """Whether there is nothing more to wait for."""
        return self.state not in {"waiting", "printing"}


def ask(work: Work, production_id: int, wanted: Wanted) -> str:
    """Ask for a packet; returns the key of what was asked. The same asked for again before it is
    printed, by whomever and in whichever process, is the one that is under way; what is kept of the
    present facts is given at once.
    """
    plain = asdict(wanted) | {"on": wanted.on.isoformat() if wanted.on else None}
    named = json.dumps([production_id, plain], sort_keys=True)
    same = hashlib.sha256(named.encode()).hexdigest()
    under_way = select(Printing.key).where(Printing.same == same)
    if (key := work.db.scalar(under_way)) is not None:
        return key
    kept = revisions.kept_print(work, production_id, wanted)
    work.db.rollback()
    now = work.now()
    work.db.execute(delete(Printing).where(Printing.asked_at < now - KEPT, Printing.same.is_(None)))
    row = Printing(
        key=secrets.token_urlsafe(16),
        production_id=production_id,
        wanted=plain,
        same=same if kept is None else None,
        state="waiting" if kept is None else "done",
        packet_id=kept.id if kept is not None else None,
        tries=0,
        done=0,
        of=0,
        warnings=[],
        asked_at=now,
        asked_by=work.name,
        beat_at=now,
    )
    try:
        work.db.add(row)
        work.commit()
    except IntegrityError:
        work.db.rollback()
        if (key := work.db.scalar(under_way)) is None:
            raise
        return key
    if kept is None:
        wake(work, row.key)
    return row.key


def wake(work: Work, key: str) -> None:
    """Tell the workers of a packet that waits. A queue that does not answer is no reason to refuse what
    is on record: who looks for what lost its worker finds it.
    """
    try:
        queue(work.settings.url, work.settings.data_dir).send(key)
    except FAILURES as error:
        log.warning("no worker was told of a packet: %s", type(error).__name__)


def asked(work: Work, key: str) -> Asked:
    """How far a packet is. Raises NotFound."""
    row = work.db.get(Printing, key[:32], populate_existing=True)
    if row is None:
        raise NotFound("printing job", key[:40])
    packet = work.db.get(Packet, row.packet_id) if row.packet_id is not None else None
    line = revisions.packet_line(packet, tuple(row.warnings)) if packet is not None else None
    return _shown(row, line)


def under_way(work: Work, production_id: int) -> tuple[Asked, ...]:
    """What of a production waits or is being printed, in the order in which it was asked for."""
    rows = work.db.scalars(
        select(Printing)
        .where(Printing.production_id == production_id, Printing.same.is_not(None))
        .order_by(Printing.asked_at)
    )
    return tuple(_shown(row) for row in rows)


def _shown(row: Printing, packet: PacketLine | None = None) -> Asked:
    plain: dict[str, Any] = {**row.wanted}
    plain["on"] = date.fromisoformat(plain["on"]) if plain["on"] else None
    plain.pop("address", None)  # asked for by an earlier version
    return Asked(
        row.key,
        row.production_id,
        Wanted(**plain),
        cast(State, row.state),
        row.tries,
        row.done,
        row.of,
        row.because,
        row.asked_by,
        packet,
    )


def open_count(work: Work) -> int:
    """How many packets wait or are being printed."""
    asked = select(func.count()).where(Printing.same.is_not(None))
    return work.db.scalar(asked) or 0


def cancel(work: Work, key: str) -> None:
    """Give up a packet that is not printed yet; its worker stops at its next step."""
    work.db.execute(
        update(Printing)
        .where(Printing.key == key, Printing.same.is_not(None))
        .values(state="cancelled", same=None)
    )
    work.commit()


def claim(work: Work, key: str) -> Asked | None:
    """Take a waiting packet to print it; None where somebody else did, or it was given up."""
    taken = work.db.execute(
        update(Printing)
        .where(Printing.key == key, Printing.state == "waiting")
        .values(state="printing", tries=Printing.tries + 1, beat_at=work.now(), done=0, of=0)
    )
    work.commit()
    return asked(work, key) if taken.rowcount else None  # type: ignore[attr-defined]


def beat(work: Work, one: Asked, done: int, of: int) -> bool:
    """Say that it is still being printed, and how far it is; whether it is still this worker's."""
    kept = _ours(work, one, beat_at=work.now(), done=done, of=of)
    work.commit()
    return kept


def ended(
    work: Work,
    one: Asked,
    state: State,
    *,
    packet: PacketLine | None = None,
    because: str | None = None,
) -> None:
    """Say how it ended."""
    _ours(
        work,
        one,
        state=state,
        same=None,
        packet_id=packet.id if packet else None,
        warnings=list(packet.warnings) if packet else [],
        because=because,
    )
    work.commit()


def _ours(work: Work, one: Asked, **news: Any) -> bool:
    """Note something, if nobody else has taken it over and it was not given up."""
    mine = Printing.key == one.key, Printing.state == "printing", Printing.tries == one.tries
    return bool(work.db.execute(update(Printing).where(*mine).values(**news)).rowcount)  # type: ignore[attr-defined]


def silent(work: Work) -> bool:
    """Whether there is something to put back; asks without taking a writer's place."""
    return work.db.scalar(select(Printing.key).where(*_silent(work)).limit(1)) is not None


def _silent(work: Work) -> tuple[ColumnElement[bool], ...]:
    return Printing.same.is_not(None), Printing.beat_at < work.now() - LOST


def put_back(work: Work) -> Sequence[str]:
    """Let what lost its worker, or never reached one, be printed; returns its keys."""
    now = work.now()
    rows = list(work.db.scalars(select(Printing).where(*_silent(work))))
    keys = []
    for row in rows:
        if row.tries >= MOST_TRIES:
            row.state, row.same, row.because = "failed", None, str(said("kept.our_fault"))
        else:
            row.state, row.beat_at = "waiting", now
            keys.append(row.key)
    if rows:
        work.commit()
    for key in keys:
        wake(work, key)
    return keys
