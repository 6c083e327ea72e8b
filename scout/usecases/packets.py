"""The crew's packet: everything joined, printed as the next revision, and what changed since the
last said on its cover.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from sqlalchemy.exc import IntegrityError

from scout.errors import NotFound, Refused
from scout.packet.build import build_packet
from scout.packet.content import PacketContent
from scout.records import LocationRecord, ProductionRecord
from scout.store import models, translate
from scout.store.files import hash_of
from scout.store.queries import common, jobs
from scout.store.queries import places as place_queries
from scout.units import Units
from scout.usecases import lines
from scout.usecases.difference import differences, line
from scout.usecases.shown import PacketLine
from scout.usecases.work import Work
from scout.values import Said, said
from scout.words import Reader, reading

Paper = Literal["a4", "letter"]
Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Heading:
    """What a revision says of itself."""

    revision: Said
    generated_at: Said
    changes: tuple[Any, ...] | None
    changes_since: Said | None
    prepared_by: str | None
    paper: Paper
    units: Units


Compose = Callable[
    [Work, models.Production, list[models.Room], Heading, Progress | None], PacketContent
]


def print_packet(
    work: Work,
    production_id: int,
    compose: Compose,
    *,
    paper: Paper = "a4",
    units: Units = "metric",
    progress: Progress | None = None,
) -> PacketLine:
    """Print the next revision of a production's packet, its content as `pages/packet.py` composes
    it. Raises NotFound.

    The file is on disk, whole, before the row that names it.
    """
    with reading(Reader(units)):
        return _print(work, production_id, compose, paper, units, progress)


def _print(
    work: Work,
    production_id: int,
    compose: Compose,
    paper: Paper,
    units: Units,
    progress: Progress | None,
) -> PacketLine:
    # working out the rooms takes seconds, and so does setting the pages: nobody else's save should
    # wait for it
    work.read_first()
    row = jobs.production(work.db, production_id)
    last = jobs.last_packet(work.db, production_id)
    revision = last.revision + 1 if last else 1
    rooms = _rooms(work, production_id)
    now = work.now()
    held = _held(work, row, rooms)
    changes = tuple(differences(last.held, held)) if last else None
    heading = Heading(
        revision=said("packet.revision", n=revision),
        generated_at=said("packet.at", at=now),
        changes=changes,
        changes_since=said("packet.since", n=last.revision, at=last.made_at) if last else None,
        prepared_by=work.name,
        paper=paper,
        units=units,
    )
    content = compose(work, row, rooms, heading, progress)
    work.db.rollback()
    part = work.packets_dir / f".making-{uuid.uuid4().hex}.pdf"
    try:
        result = build_packet(content, part)
        made = models.Packet(
            production_id=production_id,
            revision=revision,
            made_at=now,
            made_by=work.name,
            paper=paper,
            pages=result.pages,
            sha256=hash_of(part),
            changes=[line(change) for change in changes or ()],
            held=held,
        )
        try:
            work.add(made, f"packet revision {revision} of {content.production.title} printed")
        except IntegrityError:
            raise Refused(
                "packet",
                f"revision {revision}",
                "was printed by somebody else meanwhile; print again",
            ) from None
        part.replace(
            work.packets_dir / f"{made.id}.pdf"
        )  # on disk, whole, before the row that names it
        work.commit()
    finally:
        part.unlink(missing_ok=True)
    if progress:
        progress(len(rooms) + 1, len(rooms) + 1)
    return lines.packet_line(made, tuple(result.warnings))


def packet_file(work: Work, key: int) -> tuple[Path, str]:
    """The file of a printed packet and what to call it. Raises NotFound."""
    row = work.db.get(models.Packet, key) if common.is_key(key) else None
    path = work.packets_dir / f"{key}.pdf"
    if row is None or not path.is_file():
        raise NotFound("packet", key)
    title = (
        "".join(ch if ch.isalnum() else "-" for ch in row.production.title.lower()).strip("-")[:60]
        or "packet"
    )
    return path, f"{title}-r{row.revision}.pdf"


def _rooms(work: Work, production_id: int) -> list[models.Room]:
    """The rooms proposed for any scene of the production and not ruled out, each once, by place and
    name.
    """
    found: dict[int, models.Room] = {}
    for scene in jobs.scenes(work.db, production_id):
        for candidate in jobs.candidates(work.db, scene_id=scene.id):
            if candidate.state != "ruled_out":
                found[candidate.room_id] = place_queries.room(work.db, candidate.room_id)
    return sorted(
        found.values(),
        key=lambda room: (
            room.location.name.casefold(),
            room.location_id,
            (room.name or "").casefold(),
            room.id,
        ),
    )


def _places(rooms: list[models.Room]) -> list[models.Location]:
    return list({room.location_id: room.location for room in rooms}.values())


# -- what a revision held, so that the next can say what changed
# -------------------------------------------------------
def _held(work: Work, production: models.Production, rooms: list[models.Room]) -> dict[str, Any]:
    """Plain facts under names people know; what is private is not among them."""
    held: dict[str, Any] = {"Production": _plain(translate.plain_of(production, ProductionRecord))}
    for scene in jobs.scenes(work.db, production.id):
        plain = _plain(translate.plain_of(scene, translate.RECORDS[models.Scene]))
        plain["candidates"] = {
            f"{lines.room_name(c.room)}, {c.room.location.name}": _chosen(c)
            for c in jobs.candidates(work.db, scene_id=scene.id)
        }
        held[_free(held, f"Scene {scene.name}")] = plain
    for place in _places(rooms):
        held[_free(held, place.name)] = {
            **_plain(translate.plain_of(place, LocationRecord)),
            **_noted_there(work, location_id=place.id),
        }
    for room in rooms:
        held[_free(held, f"{lines.room_name(room)}, {room.location.name}")] = {
            **_plain(translate.room_plain(room)),
            "marks": room.marks or {},
            **_noted_there(work, room_id=room.id),
        }
    return held


def _chosen(candidate: models.Candidate) -> dict[str, Any]:
    return {
        "state": candidate.state,
        "reason": candidate.reason,
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
    return {
        "crew notes": {str(row.id): row.text for row in notes},
        "photos": {str(row.id): row.caption or row.original_name for row in shots if row.in_packet},
    }


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
