"""Productions, their scenes, and the rooms proposed for them."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial

from scout.errors import RefusedMany
from scout.records import CandidateRecord, Kit, ProductionRecord, SceneRecord, kit_refusals
from scout.records.kit import Cable, Light, ShortLight
from scout.store import models, translate
from scout.store.queries import common
from scout.store.queries import jobs as queries
from scout.store.queries import places as place_queries
from scout.store.queries.common import BEGINNING, Spot
from scout.usecases import keeping, lines, revisions, setups
from scout.usecases.shown import (
    CandidateLine,
    Kept,
    Page,
    ProductionLine,
    ProductionPage,
    SceneLine,
    ScenePage,
)
from scout.usecases.work import Work


def find_productions(work: Work, *, text: str = "", spot: Spot = BEGINNING) -> Page[ProductionLine]:
    """A page of productions whose title or client holds the text, newest first."""
    return keeping.page(
        work, queries.productions(text.strip()), spot, partial(lines.production_lines, work)
    )


def choices(work: Work, *, also: Iterable[int] = ()) -> list[tuple[int, str]]:
    """Productions to choose from: the newest, and those chosen already."""
    rows = queries.productions("").rows()
    found = list(work.db.scalars(rows.limit(keeping.MOST_CHOICES)))
    left = set(also) - {job.id for job in found}
    found += work.db.scalars(rows.where(models.Production.id.in_(left))) if left else ()
    return [(job.id, job.title) for job in found]


def production(work: Work, key: int) -> ProductionPage:
    """A production with its scenes and packets. Raises NotFound."""
    row = queries.production(work.db, key)
    return ProductionPage(
        keeping.shown(row, translate.to_record(row)),
        tuple(_scene_line(work, scene) for scene in queries.scenes(work.db, key)),
        tuple(revisions.packet_line(p) for p in reversed(row.packets)),
    )


def _scene_line(work: Work, scene: models.Scene) -> SceneLine:
    rooms = queries.candidates(work.db, scene_id=scene.id)
    first = next((room for room in rooms if room.state == "first_choice"), None)
    chosen = None if first is None else lines.room_name(first.room)
    return SceneLine(scene.id, scene.name, scene.production_id, len(rooms), chosen)


def _refuse_kit(record: ProductionRecord) -> None:
    refusals = tuple(kit_refusals(record.kit)) if record.kit else ()
    if refusals:
        raise RefusedMany(refusals)


def add_production(work: Work, record: ProductionRecord) -> int:
    """Start a production; returns its key."""
    _refuse_kit(record)
    row = models.Production()
    translate.fill(row, record)
    work.add(row, f"production {record.title} added")
    work.commit()
    return row.id


def save_production(work: Work, key: int, version: int, record: ProductionRecord) -> None:
    """Save a production over the version it was opened at."""
    _refuse_kit(record)
    keeping.save(
        work, models.Production, key, version, record, f"production {record.title} changed"
    )


def last_kit(work: Work, *, but_for: int | None = None) -> tuple[int, str, Kit] | None:
    """Key, title and kit of the newest production that has one, to start the next from."""
    for row in work.db.scalars(queries.productions("").rows().limit(keeping.MOST_CHOICES)):
        kit = translate.to_record(row).kit
        if kit is not None and row.id != but_for:
            return row.id, row.title, _unpinned(kit)
    return None


def _unpinned(kit: Kit) -> Kit:
    """The kit without where its lights stood in the other job's room."""
    lights = kit.lights and tuple(
        light.model_copy(update={"at_m": None, "aim_m": None}) for light in kit.lights
    )
    return kit.model_copy(update={"lights": lights})


def kit_of(work: Work, key: int) -> tuple[str, Kit | None]:
    """Title and kit of a production, for another one. Raises NotFound."""
    record = translate.to_record(queries.production(work.db, key))
    return record.title, None if record.kit is None else _unpinned(record.kit)


def add_light(work: Work, key: int, short: ShortLight) -> None:
    """Add a light, and the lead it comes with, to a production's kit, whatever was changed in it
    meanwhile. Raises NotFound, RefusedMany.
    """
    kept = production(work, key).kept
    record = kept.record
    kit = record.kit or Kit()
    light = Light(**short.model_dump(exclude={"lead_m"}, exclude_none=True))
    more: dict[str, object] = {"lights": (*(kit.lights or ()), light)}
    if short.lead_m is not None:
        more["cables"] = (*(kit.cables or ()), Cable(length_m=short.lead_m))
    changed = record.model_copy(update={"kit": kit.model_copy(update=more)})
    save_production(work, key, kept.version, changed)


def put_kit(work: Work, key: int, kit: Kit) -> None:
    """Give a production another kit; nothing is committed. Raises RefusedMany."""
    row = queries.production(work.db, key)
    record = translate.to_record(row).model_copy(update={"kit": kit})
    _refuse_kit(record)
    translate.fill(row, record)
    work.changed(row, f"kit of {record.title} changed")


def bin_production(work: Work, key: int, version: int) -> None:
    """Move a production to the bin."""
    row = queries.production(work.db, key)
    keeping.bin_row(work, row, version, f"production {row.title} moved to the bin")


def scene(work: Work, key: int) -> ScenePage:
    """A scene with its candidates. Raises NotFound."""
    row = queries.scene(work.db, key)
    return ScenePage(
        keeping.shown(row, translate.to_record(row)),
        keeping.shown(row.production, translate.to_record(row.production)),
        tuple(lines.candidate_line(c) for c in queries.candidates(work.db, scene_id=key)),
    )


def add_scene(work: Work, production_id: int, record: SceneRecord) -> int:
    """Add a scene to a production; returns its key."""
    row = models.Scene(production=queries.production(work.db, production_id))
    translate.fill(row, record)
    work.add(row, f"scene {record.name} added")
    work.commit()
    return row.id


def save_scene(work: Work, key: int, version: int, record: SceneRecord) -> None:
    """Save a scene over the version it was opened at."""
    row = queries.scene(work.db, key)
    if row.version == version:
        setups.follow(work, row, translate.to_record(row), record)
    keeping.save(work, models.Scene, key, version, record, f"scene {record.name} changed")


def bin_scene(work: Work, key: int, version: int) -> None:
    """Move a scene to the bin."""
    row = queries.scene(work.db, key)
    keeping.bin_row(work, row, version, f"scene {row.name} moved to the bin")


def add_candidate(work: Work, scene_id: int, room_id: int, record: CandidateRecord) -> int:
    """Propose a room for a scene; returns its key. A room proposed before comes back with what is
    said now.
    """
    found, place = queries.scene(work.db, scene_id), place_queries.room(work.db, room_id)
    row = queries.candidate_of(work.db, scene_id, room_id)
    words = f"{lines.room_name(place)} proposed for {found.name}"
    if row is None:
        row = models.Candidate(scene_id=scene_id, room_id=room_id)
        translate.fill(row, record)
        work.add(row, words)
    elif row.binned_at is not None:
        translate.fill(row, record)
        row.binned_at = row.binned_by = None
        work.changed(row, words)
    setups.make(work, row)
    work.commit()
    return row.id


def candidate(work: Work, key: int) -> tuple[CandidateLine, Kept[CandidateRecord]]:
    """A candidate. Raises NotFound."""
    row = common.one(work.db, models.Candidate, key)
    return lines.candidate_line(row), keeping.shown(row, translate.to_record(row))


def save_candidate(work: Work, key: int, version: int, record: CandidateRecord) -> None:
    """Where the choice stands, and why."""
    row = common.one(work.db, models.Candidate, key)
    words = f"{lines.room_name(row.room)} for {row.scene.name}: {record.state.replace('_', ' ')}"
    keeping.save(work, models.Candidate, key, version, record, words)


def bin_candidate(work: Work, key: int, version: int) -> None:
    """Take a room out of the choice."""
    row = common.one(work.db, models.Candidate, key)
    keeping.bin_row(
        work, row, version, f"{lines.room_name(row.room)} no longer proposed for {row.scene.name}"
    )
