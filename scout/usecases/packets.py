"""The crew's packet: an edition printed of the present facts, as the next revision or as the last
one where nothing changed, and what changed said with what follows from it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

from sqlalchemy.exc import IntegrityError

from scout.errors import Refused
from scout.packet.book import PacketResult
from scout.packet.content import PacketChange
from scout.packet.names import Paper
from scout.packet.privacy import cleared
from scout.records import LocationRecord, PhotoRecord, ProductionRecord, SceneRecord
from scout.records.base import Record
from scout.store import models, translate
from scout.store.files import draft
from scout.store.queries import jobs
from scout.store.queries import places as place_queries
from scout.units import Units
from scout.usecases import days, lines, revisions
from scout.usecases.difference import Pairs, consequences, differences, line
from scout.usecases.revisions import Wanted, file_of
from scout.usecases.shown import PacketLine
from scout.usecases.work import Work
from scout.values import Many, Said, names, said
from scout.words import Reader, reading

Progress = Callable[[int, int], None]
MOST_AGAIN = 3  # somebody else printed other facts of the production meanwhile


class PrintedMeanwhile(Refused):
    """Other facts of the production were printed as this revision while it was being set."""


@dataclass(frozen=True)
class Heading:
    """What a revision says of itself."""

    revision: int
    printed: Said
    changes: tuple[PacketChange, ...] | None
    since: Said | None
    prepared_by: str | None
    paper: Paper
    units: Units
    address: str | None = None
    known_lines: frozenset[str] | None = None
    known_pages: tuple[str, ...] = ()
    swap_since: int | None = None


Findings = dict[str, dict[str, Any]]  # of each setup, by what finds them


@dataclass(frozen=True)
class Printer:
    """What works the pages out and sets them; `pages/packet/printing.py` has it.

    findings: the lines of every setup printed, by setup and finding
    make:     an edition as bytes
    """

    findings: Callable[[Work, int, Wanted], Findings]
    make: Callable[[Work, int, Wanted, Heading, Progress | None], tuple[bytes, PacketResult]]


def print_packet(
    work: Work,
    production_id: int,
    printer: Printer,
    wanted: Wanted | None = None,
    *,
    progress: Progress | None = None,
) -> PacketLine:
    """Print an edition of a production's packet. The same facts are the same revision, and an
    edition of it that was printed before is given again as it is. Raises NotFound, Refused.

    The file is on disk, whole, before the row that names it.
    """
    wanted = wanted or Wanted()
    with reading(Reader(wanted.units)):
        for _ in range(MOST_AGAIN):
            try:
                return _print(work, production_id, printer, wanted, progress)
            except PrintedMeanwhile:
                work.db.rollback()
        return _print(work, production_id, printer, wanted, progress)


def _print(
    work: Work,
    production_id: int,
    printer: Printer,
    wanted: Wanted,
    progress: Progress | None,
) -> PacketLine:
    # working out the rooms takes seconds, and so does setting the pages: nobody else's save should
    # wait for it
    kept = revisions.kept_print(work, production_id, wanted)
    if kept is not None:
        return kept
    if work.settings.public_url is not None:
        revisions.code_of(work, production_id)  # it is among the facts
    work.db.rollback()
    work.read_first()
    row = jobs.production(work.db, production_id)
    title = row.title
    last = jobs.last_packet(work.db, production_id)
    facts = revisions.facts_of(work, production_id)
    same = last is not None and last.facts == facts
    revision = 1 if last is None else last.revision if same else last.revision + 1
    made_at = last.made_at if same and last is not None else work.now()
    # every edition of a revision is of one instant
    then = replace(work, now=lambda: made_at)
    rooms = jobs.rooms_in_play(work.db, production_id)  # held till all is printed, see rooms_whole
    held = _held(work, row, rooms)
    alike = jobs.last_packet(work.db, production_id, before=revision, **wanted.alike)
    # whoever reads this edition holds its last print, and what changed is what differs from that
    before = alike or jobs.last_packet(work.db, production_id, before=revision)
    findings = (
        last.findings
        if same and last is not None
        else printer.findings(then, production_id, wanted)
    )
    changes = (
        _changes(before, held, findings, wanted.units, _pairs(work, production_id))
        if before is not None
        else None
    )
    address = revisions.address_of(work, production_id, revision, wanted)
    heading = Heading(
        revision=revision,
        printed=said("packet.at", at=made_at),
        changes=changes,
        since=said("packet.since", n=before.revision, at=before.made_at) if before else None,
        prepared_by=work.name,
        paper=wanted.paper,
        units=wanted.units,
        address=address,
        known_lines=_known(alike),
        known_pages=tuple(alike.page_hashes) if alike is not None else (),
        swap_since=alike.revision if alike is not None and alike.page_hashes else None,
    )
    body, result = printer.make(then, production_id, wanted, heading, progress)
    work.db.rollback()
    made = models.Packet(
        production_id=production_id,
        revision=revision,
        made_at=made_at,
        made_by=work.name,
        **wanted.alike,
        pages=result.pages,
        sha256=hashlib.sha256(body).hexdigest(),
        changes=[line(change) for change in changes or ()],
        held=held,
        facts=facts,
        findings=findings,
        lines=[list(page) for page in result.lines],
        page_hashes=list(result.page_hashes),
        swap=None if result.swap is None else {"since": heading.swap_since, **asdict(result.swap)},
    )
    return _keep(work, made, body, title, result)


def _keep(
    work: Work, made: models.Packet, body: bytes, title: str, result: PacketResult
) -> PacketLine:
    """The file on disk, then its row; what was printed of the same meanwhile is given instead.
    Raises PrintedMeanwhile where other facts took the revision's number meanwhile.
    """
    meanwhile = PrintedMeanwhile(
        "packet", f"revision {made.revision}", said("packet.printed_meanwhile")
    )
    alike = {name: getattr(made, name) for name in ("edition", "on_date", "paper", "units")}
    part = draft(work.place.scratch, lambda file: (file.write(body), None)[1])
    try:
        newest = jobs.last_packet(work.db, made.production_id)
        if newest is not None and newest.revision >= made.revision and newest.facts != made.facts:
            raise meanwhile
        other = jobs.last_packet(work.db, made.production_id, **alike)
        if other is not None and other.revision == made.revision:
            if not work.place.fault(file_of(other.id), other.sha256):
                return revisions.packet_line(other, tuple(result.warnings), again=True)
            for name in ("sha256", "pages", "lines", "page_hashes", "swap"):
                setattr(other, name, getattr(made, name))
            made = other
        else:
            try:
                work.add(made, f"packet revision {made.revision} of {title} printed")
            except IntegrityError:
                work.db.rollback()
                raise meanwhile from None
        work.place.take(part, file_of(made.id), made.sha256)
        work.commit()
    finally:
        part.unlink(missing_ok=True)
    return revisions.packet_line(made, tuple(result.warnings))


def _changes(
    before: models.Packet,
    held: Mapping[str, Any],
    findings: Findings,
    units: Units,
    pairs: Pairs,
) -> tuple[PacketChange, ...]:
    """What of the facts changed, and under each thing what follows from it."""
    facts = differences(before.held, held, pairs)
    follows = consequences(before.findings, findings, units, pairs)
    return (*facts, *follows)


def _pairs(work: Work, production_id: int) -> Pairs:
    """Rooms with their places and scenes with their rooms, as `_held` and the findings name them:
    written as one name, two of different scripts would change places.
    """
    found: dict[str, Many] = {}
    for scene in jobs.scenes(work.db, production_id):
        for candidate in jobs.candidates(work.db, scene_id=scene.id):
            room, place = lines.room_name(candidate.room), candidate.room.location.name
            for two in ((room, place), (scene.name, room)):
                found[", ".join(two)] = names(two, "list")
    return found


def _known(alike: models.Packet | None) -> frozenset[str] | None:
    """What the last print of the same edition said; None where there was none."""
    if alike is None or not alike.lines:
        return None
    return frozenset(key for page in alike.lines for key in page)


def _places(rooms: list[models.Room]) -> list[models.Location]:
    return list({room.location_id: room.location for room in rooms}.values())


def _held(work: Work, production: models.Production, rooms: list[models.Room]) -> dict[str, Any]:
    """Plain facts under names people know, cleared for the crew: what is private is not among
    them, and so never in a list of changes.
    """
    record: ProductionRecord = translate.to_record(production)
    held: dict[str, Any] = {"Production": _facts_of(record)}
    by_plan = _planned(work, production.id)
    if by_plan:
        held["Day plan"] = by_plan
    for scene in jobs.scenes(work.db, production.id):
        kept: SceneRecord = translate.to_record(scene)
        plain = _facts_of(kept)
        plain["candidates"] = {
            f"{lines.room_name(c.room)}, {c.room.location.name}": _chosen(c)
            for c in jobs.candidates(work.db, scene_id=scene.id)
            if c.state != "ruled_out"
        }
        held[_free(held, f"Scene {scene.name}")] = plain
    for place in _places(rooms):
        of_place: LocationRecord = translate.to_record(place)
        held[_free(held, place.name)] = {
            **_facts_of(of_place),
            **_noted_there(work, location_id=place.id),
        }
    for room in rooms:
        held[_free(held, f"{lines.room_name(room)}, {room.location.name}")] = {
            **_plain(translate.room_plain(room)),
            "marks": room.marks or {},
            **_noted_there(work, room_id=room.id),
        }
    return held


def _planned(work: Work, production_id: int) -> dict[str, str]:
    """When each scene begins by the plan that is kept."""
    kept = days.day_kept(work, production_id)
    named = {scene.id: scene.name for scene in jobs.scenes(work.db, production_id)}
    placed = kept.record.placed or () if kept is not None else ()
    return {named[one.scene_id]: f"{one.on} {one.at}" for one in placed if one.scene_id in named}


def _facts_of(record: Record) -> dict[str, Any]:
    """What the crew may read of a record."""
    return _plain(cleared(record, "crew").model_dump(mode="json", exclude_none=True))


def _chosen(candidate: models.Candidate) -> dict[str, Any]:
    setups = [  # a setup's note stands on no page, so no list of changes may say it
        translate.to_record(row).model_dump(mode="json", exclude_none=True, exclude={"note"})
        for row in translate.alive(candidate.setups)
    ]
    return {
        "state": candidate.state,
        "reason": candidate.reason,
        **({"setups": setups} if setups else {}),
        **({"plan": _plain(candidate.plan)} if candidate.plan else {}),
    }


def _free(held: Mapping[str, Any], name: str) -> str:
    """The name, or the first of "name (2)", "name (3)" that nothing else goes by: two places may be
    called alike.
    """
    free, count = name, 1
    while free in held:
        count += 1
        free = f"{name} ({count})"
    return free


def _noted_there(
    work: Work, *, location_id: int | None = None, room_id: int | None = None
) -> dict[str, Any]:
    notes = place_queries.notes(work.db, location_id=location_id, room_id=room_id, crew_only=True)
    shots = place_queries.photos(work.db, location_id=location_id, room_id=room_id)
    printed = [row for row in shots if row.in_packet]
    drawn = {str(row.id): _drawn(row) for row in printed if row.overlays}
    return {
        "crew notes": {str(row.id): row.text for row in notes},
        "photos": {str(row.id): row.caption or row.original_name for row in printed},
        **({"on_photos": drawn} if drawn else {}),
    }


def _drawn(row: models.Photo) -> str:
    """What stands on a photo, and where from its left and top, as the list of changes says it."""
    record: PhotoRecord = translate.to_record(row)
    things = (
        f"{one.kind} ({100 * one.x:.0f} %, {100 * one.y:.0f} %) {one.text or ''}".strip()
        for one in record.overlays or ()
    )
    return f"{row.caption or row.original_name}: {'; '.join(things)}"


def _plain(plain: Mapping[str, Any]) -> dict[str, Any]:
    """Lists of labelled things become objects under their labels, so that one more window is not a
    change of all after it.
    """
    return {key: _labelled(value) for key, value in plain.items()}


def _labelled(value: Any) -> Any:
    if isinstance(value, list) and value and all(isinstance(item, dict) for item in value):
        names = [
            str(
                item.get("id")
                or item.get("name")
                or item.get("material")
                or item.get("topic")
                or i + 1
            )
            for i, item in enumerate(value)
        ]
        if len(set(names)) == len(names):
            return {name: _labelled(item) for name, item in zip(names, value, strict=True)}
    if isinstance(value, dict):
        return {key: _labelled(item) for key, item in value.items()}
    return value
