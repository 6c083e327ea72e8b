"""Revisions of a packet that are kept: what they rest on, and whether one still stands, without
loading what prints.
"""

from __future__ import annotations

import hashlib
import json
import re
import secrets
import sys
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from importlib import metadata
from pathlib import Path
from typing import Any, cast

from sqlalchemy import ColumnElement, Select, Table, or_, select
from sqlalchemy.exc import IntegrityError

import scout
from scout.errors import NotFound
from scout.packet.names import EditionName, Paper
from scout.packet.swap import Swap, swap_of
from scout.store import models
from scout.store.files import PACKETS, Held
from scout.store.models.base import Kept
from scout.store.queries import common, jobs
from scout.units import Units
from scout.usecases.shown import PacketLine
from scout.usecases.work import Work

# What a person signs and dates is not what a packet says; a note says who wrote it, and when.
SIGNED = frozenset(Kept.__annotations__) - {"id"}
SAID = {"note": frozenset({"created_at", "created_by"})}
# Tables whose rows no page of any edition rests on.
APART = frozenset(
    {
        "calendar",
        "change",
        "decision",
        "gate_code",
        "invitation",
        "link",
        "login",
        "move",
        "packet",
        "passkey",
        "person",
        "print_template",
        "printing",
        "recovery_code",
        "room_words",  # derived, for searching
        "saved_search",
        "second_step",
        "sent",
        "token",
        "wrong_try",
    }
)
RIM = ("web", "cli", "bench", "_shipped")  # rooms above whatever prints, and no page is theirs


@dataclass(frozen=True)
class Wanted:
    """What is to be printed. `on`: of one day alone."""

    edition: EditionName = "whole"
    on: date | None = None
    paper: Paper = "a4"
    units: Units = "metric"

    @property
    def alike(self) -> dict[str, str]:
        """What tells one print of a revision from another."""
        return {
            "edition": self.edition,
            "on_date": self.on.isoformat() if self.on else "",
            "paper": self.paper,
            "units": self.units,
        }


def as_last(work: Work, production_id: int, units: Units) -> Wanted:
    """What the next print is asked for where nobody says otherwise: as the production's last was,
    `units` for the first. Raises NotFound.
    """
    jobs.production(work.db, production_id)
    newest = jobs.newest_packet(work.db, production_id)
    if newest is None:
        return Wanted(units=units)
    return wanted_of(newest)


def wanted_of(row: models.Packet | models.PrintTemplate) -> Wanted:
    """What a print, or a template, was asked for."""
    return Wanted(
        cast(EditionName, row.edition),
        date.fromisoformat(row.on_date) if row.on_date else None,
        cast(Paper, row.paper),
        cast(Units, row.units),
    )


def kept_print(work: Work, production_id: int, wanted: Wanted) -> PacketLine | None:
    """The print of the present facts by the present program that is kept, its bytes proved; None
    where it has to be printed. Raises NotFound.
    """
    work.read_first()
    jobs.production(work.db, production_id)
    row = jobs.last_packet(work.db, production_id, before=None, **wanted.alike)
    if row is None or row.facts != facts_of(work, production_id):
        return None
    last = jobs.last_packet(work.db, production_id)
    if last is None or last.revision != row.revision:
        return None
    return None if work.place.fault(file_of(row.id), row.sha256) else packet_line(row, again=True)


def facts_of(work: Work, production_id: int) -> str:
    """One name for everything a revision rests on: every row that any edition may show or be
    worked out from, the dates that undated scenes are judged for today, and the program itself.
    """
    rows: dict[str, Any] = {}
    for table, which in _rests_on(production_id).items():
        signed = SIGNED - SAID.get(table.name, frozenset())
        columns = [column for column in table.columns if column.name not in signed]
        found: Select[Any] = select(*columns).where(which).order_by(*table.primary_key)
        rows[table.name] = [list(row) for row in work.db.execute(found)]
    whole = [program(), work.settings.public_url, _dates(work, production_id), rows]
    whole.append(_today(work, production_id))
    plain = json.dumps(whole, sort_keys=True, ensure_ascii=False, default=str)
    return hashlib.sha256(plain.encode("utf-8", "replace")).hexdigest()


def _rests_on(production_id: int) -> dict[Table, ColumnElement[bool]]:
    """The tables that a packet rests on, and which of their rows are this production's. Whatever
    hangs on a room or a place that is proposed for it counts; what is in the bin, private, or not
    for the packet does not.
    """
    tables = models.Base.metadata.tables
    production, scene, candidate = (tables[name] for name in ("production", "scene", "candidate"))
    room, location = tables["room"], tables["location"]
    mine = scene.c.production_id == production_id
    scenes = select(scene.c.id).where(mine)
    candidates = select(candidate.c.id).where(candidate.c.scene_id.in_(scenes))
    rooms = select(candidate.c.room_id).where(candidate.c.scene_id.in_(scenes))
    places = select(room.c.location_id).where(room.c.id.in_(rooms))
    hangs_on = {
        "production_id": lambda column: column == production_id,
        "scene_id": lambda column: column.in_(scenes),
        "candidate_id": lambda column: column.in_(candidates),
        "room_id": lambda column: column.in_(rooms),
        "location_id": lambda column: column.in_(places),
    }
    found = {
        production: production.c.id == production_id,
        room: room.c.id.in_(rooms),
        location: location.c.id.in_(places),
    }
    for table in models.Base.metadata.sorted_tables:
        if table.name in APART:
            continue
        if table not in found:
            owners = [key for key in hangs_on if key in table.c]
            # of a candidate the scene alone: its room may be proposed elsewhere too
            owners = ["scene_id"] if "scene_id" in owners else owners
            if not owners:  # of no production; a test asks whoever adds one to name it in APART
                continue
            found[table] = or_(*(hangs_on[key](table.c[key]) for key in owners))
        if "binned_at" in table.c:
            found[table] &= table.c.binned_at.is_(None)
    found[tables["note"]] &= tables["note"].c.audience == "crew"
    found[tables["photo"]] &= tables["photo"].c.in_packet
    return found


def _dates(work: Work, production_id: int) -> list[str]:
    """The date that each scene with a setup without one is judged for today."""
    today = work.now().date()
    undated = {
        row.candidate.scene_id for row in jobs.setups(work.db, production_id) if row.on is None
    }
    return [
        jobs.first_coming(jobs.dates_of(scene), today).isoformat()
        for scene in jobs.scenes(work.db, production_id)
        if scene.id in undated
    ]


def _today(work: Work, production_id: int) -> list[str]:
    """What a page says of the days that are left: which dates have gone by, and today itself while
    a permit is still to be asked for.
    """
    today = work.now().date()
    scenes = jobs.scenes(work.db, production_id)
    setups = jobs.setups(work.db, production_id)
    found = {row.on for row in setups if row.on is not None and row.on < today}
    undated = {row.candidate.scene_id for row in setups if row.on is None}
    for scene in scenes:
        if scene.id in undated:
            found |= {day for day in jobs.dates_of(scene) if day < today}
    places = (candidate.room.location for scene in scenes for candidate in scene.candidates)
    if any(place.permit_lead_days and not place.permit_granted for place in places):
        found.add(today)
    return sorted(day.isoformat() for day in found)


@lru_cache(maxsize=1)
def program(root: Path = Path(scout.__file__).parent) -> str:
    """One name for the program that prints: its code and tables byte for byte, the interpreter, and
    the versions of the libraries it calls.
    """
    whole = hashlib.sha256(sys.version.encode())
    for path in sorted(root.rglob("*")):
        inside = path.relative_to(root)
        if inside.parts[0] in RIM or "__pycache__" in inside.parts or not path.is_file():
            continue
        body = path.read_bytes()
        whole.update(f"{inside.as_posix()} {len(body)}\n".encode())
        whole.update(body)
    for name in _libraries():
        whole.update(f"{name} {metadata.version(name)}\n".encode())
    return whole.hexdigest()


def _libraries() -> list[str]:
    """What is installed of the libraries that the program asks for."""
    try:
        asked = metadata.requires("sillbook") or []
    except metadata.PackageNotFoundError:  # run from a checkout that nobody installed
        return []
    named = {re.split(r"[^\w.-]", line, maxsplit=1)[0] for line in asked if "extra ==" not in line}
    return sorted(name for name in named if any(metadata.distributions(name=name)))


@dataclass(frozen=True)
class Standing:
    """How a printed revision stands: the newest, and what of this print to swap for it. `swap` is
    None where this edition is not printed in the newest yet, or where its pages are not known.
    """

    revision: int
    newest: int
    swap: Swap | None = None


def address_of(work: Work, production_id: int, revision: int, wanted: Wanted) -> str | None:
    """Where the code on the front leads; None where the installation has no public address. The
    production's token is made when it is first needed.
    """
    if work.settings.public_url is None:
        return None
    token = code_of(work, production_id)
    return f"{work.settings.public_url}/r/{token}/{revision}/{'_'.join(wanted.alike.values())}"


def code_of(work: Work, production_id: int, *, anew: bool = False) -> str:
    """The token of a production's packets; `anew`: another, and those on paper lead nowhere. Raises
    NotFound.
    """
    row = common.by_key(work.db, models.PacketCode, production_id)
    if row is not None and not anew:
        return row.token
    jobs.production(work.db, production_id)
    work.db.rollback()
    made = models.PacketCode(production_id=production_id, token=secrets.token_urlsafe(16))
    work.db.merge(made)
    try:
        work.commit()
    except IntegrityError:  # somebody printed at the same instant
        work.db.rollback()
        return code_of(work, production_id)
    return made.token


def standing(work: Work, token: str, revision: int, which: str) -> Standing:
    """How a printed revision stands, for whoever holds its paper. Raises NotFound, and tells
    nobody whether it is the token or the print that there is not.
    """
    code = work.db.scalar(select(models.PacketCode).where(models.PacketCode.token == token[:32]))
    parts = which.split("_")
    names = ("edition", "on_date", "paper", "units")
    if code is None or len(parts) != len(names) or not common.is_key(revision):
        raise NotFound("packet", revision)
    alike = dict(zip(names, parts, strict=True))
    held = jobs.last_packet(work.db, code.production_id, before=revision + 1, **alike)
    newest = jobs.last_packet(work.db, code.production_id)
    if held is None or newest is None or held.revision != revision:
        raise NotFound("packet", revision)
    last = jobs.last_packet(work.db, code.production_id, before=None, **alike)
    known = last is not None and last.revision == newest.revision and held.page_hashes
    swap = swap_of(held.page_hashes, last.page_hashes) if known and last is not None else None
    return Standing(revision, newest.revision, swap)


def newest(work: Work, production_id: int) -> int:
    """The last revision of a production's packet; 0 where none is printed."""
    row = jobs.last_packet(work.db, production_id)
    return 0 if row is None else row.revision


def packet_line(
    row: models.Packet, warnings: tuple[str, ...] = (), again: bool = False
) -> PacketLine:
    """A printed edition in a list."""
    changes: list[Any] = row.changes
    return PacketLine(
        row.id,
        row.production_id,
        row.revision,
        row.made_at,
        row.made_by,
        row.edition,
        row.on_date,
        row.pages,
        row.paper,
        row.units,
        tuple(changes),
        warnings,
        again,
        row.swap,
    )


def file_of(key: int) -> str:
    """What the file of a print is called."""
    return f"{PACKETS}/{key}.pdf"


def packet_row(work: Work, key: int) -> tuple[models.Packet, Held]:
    """A print and its file. Raises NotFound."""
    row = common.by_key(work.db, models.Packet, key)
    if row is None:
        raise NotFound("packet", key)
    try:
        return row, work.place.held(file_of(key), row.sha256)
    except NotFound:
        raise NotFound("packet", key) from None


def packet_file(work: Work, key: int) -> tuple[Path, str]:
    """The file of a printed packet and what to call it. Raises NotFound."""
    row, held = packet_row(work, key)
    title = (
        "".join(ch if ch.isalnum() else "-" for ch in row.production.title.lower()).strip("-")[:60]
        or "packet"
    )
    edition = "" if row.edition == "whole" else f"-{row.edition}"
    day = f"-{row.on_date}" if row.on_date else ""
    return held.local(), f"{title}{edition}{day}-r{row.revision}.pdf"
