"""The candidates of a scene side by side, and each at a glance."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from scout.assess.answers import RoomAssessment
from scout.assess.choice import compare as choice
from scout.assess.choice.cells import CandidateFacts
from scout.assess.choice.choose import choose
from scout.assess.choice.ranked import Choosing
from scout.assess.setup import Setup
from scout.pages import assessing
from scout.pages.once import content_key
from scout.records import CandidateRecord, Marks, ProductionRecord, RoomRecord, SceneRecord
from scout.records.plan import StagePlan
from scout.records.sheet import Kit, Place
from scout.store import models, translate
from scout.store.queries import jobs
from scout.store.queries import places as queries
from scout.usecases import deciding, lines
from scout.usecases.sheets import sheet_of
from scout.usecases.work import Work
from scout.values import Figure, Many, Name, Said, Word, said
from scout.words import Reader, reading
from scout.words.figures import when

MOST_CHANGES = 4
WORTH_SAYING = 0.05


def compare(work: Work, scene_id: int, *, on: date | None = None) -> choice.Comparison:
    """The scene's candidates side by side, all judged on one date, each as the scene uses it.
    Raises NotFound.

    on: None takes the first date still to come that the scene or its production names, else the
        last of them, else today; a room that may be used on several dates is judged on each
    """
    asked = _asked(work, scene_id, on)
    return choice.compare(asked.scene, asked.on, asked.facts)


def choosing(work: Work, scene_id: int, *, on: date | None = None) -> Choosing:
    """Which of the scene's candidates comes first, why, how surely, and what to measure next; see
    `compare`. Raises NotFound.
    """
    asked = _asked(work, scene_id, on)
    table = choice.compare(asked.scene, asked.on, asked.facts)
    return choose(asked.scene, table, asked.facts, work.now().date())


def measure_line(found: Choosing) -> Said | None:
    """The fact to measure next, where knowing it changes one choice in twenty at least."""
    if not found.measure_next or found.measure_next[0].changes_share < WORTH_SAYING:
        return None
    row = found.measure_next[0]
    tenths = Figure(round(10 * row.changes_share, 1))
    return said("choice.measure", fact=row.fact, tenths=tenths)


@dataclass(frozen=True)
class Standing:
    """The facts of a choice as they stand: told from others by all that they rest on, and what
    there is to show of them later.
    """

    facts_sha256: str
    held: Mapping[str, Any]


def standing(work: Work, scene_id: int, on: date | None = None) -> Standing:
    """What a decision keeps. Raises NotFound."""
    asked = _asked(work, scene_id, on or _first_day(work, scene_id))
    table = choice.compare(asked.scene, asked.on, asked.facts)
    with reading(Reader()):  # kept in metres, whoever decides
        rooms = {
            str(facts.candidate_id): {
                "room": facts.room_name,
                "cells": [
                    [row.topic, row.cells[i].level, str(row.cells[i].figure or "")]
                    for row in table.rows
                ],
            }
            for i, facts in enumerate(asked.facts)
        }
    needs = [need.model_dump(mode="json", exclude_none=True) for need in asked.scene.needs or ()]
    key = content_key((asked.scene, *asked.setups))
    return Standing(key, {"on": asked.on.isoformat(), "needs": needs, "rooms": rooms})


@dataclass(frozen=True)
class Decision:
    """What was decided, said; `older`: what has changed since, None where nothing has."""

    candidate_id: int
    line: Said
    older: Said | None


def decision(work: Work, scene_id: int) -> Decision | None:
    """The decision for a scene, held against the facts of today. Raises NotFound."""
    kept = deciding.decided(work, scene_id)
    if kept is None:
        return None
    now = standing(work, scene_id, date.fromisoformat(kept.held["on"]))
    line = said(
        "choice.decided",
        room=Name(kept.room_name),
        at=Name(when(kept.at) or ""),
        who=Name(kept.by) if kept.by else None,
        why=Name(kept.why) if kept.why else None,
    )
    older = None
    if now.facts_sha256 != kept.facts_sha256:
        changed = tuple(_differences(kept.held, now.held))
        older = (
            said("choice.older", changed=Many(changed[:MOST_CHANGES], "list"))
            if changed
            else said("choice.older_alike")
        )
    return Decision(kept.candidate_id, line, older)


def _differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[Said]:
    if before["needs"] != after["needs"]:
        yield said("choice.weights_changed")
    if set(before["rooms"]) != set(after["rooms"]):
        yield said("choice.rooms_changed")
    for key, room in before["rooms"].items():
        now = {cell[0]: cell for cell in after["rooms"].get(key, {"cells": ()})["cells"]}
        for topic, level, figure in room["cells"]:
            then = now.get(topic)
            if then is not None and then[1:] != [level, figure]:
                yield said(
                    "choice.fact_changed",
                    need=Word("need", topic),
                    room=Name(room["room"]),
                    before=Name(figure) if figure else Word("need_level", level),
                    after=Name(then[2]) if then[2] else Word("need_level", then[1]),
                )


@dataclass(frozen=True)
class _Asked:
    scene: SceneRecord
    on: date
    facts: list[CandidateFacts]
    setups: list[Setup]


def _asked(work: Work, scene_id: int, on: date | None) -> _Asked:
    row = jobs.scene(work.db, scene_id)
    today, first = work.now().date(), on or _first_day(work, scene_id)
    production: ProductionRecord = translate.to_record(row.production)
    kit = production.kit
    facts, setups = [], []
    for candidate in jobs.candidates(work.db, scene_id=scene_id):
        room = queries.room(work.db, candidate.room_id)
        sheet = sheet_of(work, room, row.production_id)
        days = () if on is not None else assessing.dates_open(candidate, today)
        of_room = [
            assessing.setup_for(work, room, day, candidate, sheet, by_plan=False)
            for day in days or (first,)
        ]
        setups += of_room
        found = [assessing.assessed(setup) for setup in of_room]
        facts.append(facts_of(room, of_room[0], kit, candidate, found))
    return _Asked(translate.to_record(row), first, facts, setups)


def facts_of(
    room: models.Room,
    setup: Setup,
    kit: Kit | None,
    candidate: models.Candidate | None,
    found: Sequence[RoomAssessment],
) -> CandidateFacts:
    """What a room is compared by for a scene; `found`: its assessment, and those of other dates."""
    return CandidateFacts(
        candidate.id if candidate is not None else 0,
        room.id,
        lines.room_name(room),
        CandidateRecord() if candidate is None else translate.to_record(candidate),
        translate.to_record(room.location),
        setup.sheet.room,
        found[0],
        kit,
        setup.noises,
        room.location_id,
        tuple(found[1:]),
    )


def _first_day(work: Work, scene_id: int) -> date:
    return jobs.first_coming(jobs.dates_of(jobs.scene(work.db, scene_id)), work.now().date())


@dataclass(frozen=True)
class RoomOnDates:
    """A room that may be used on several dates: what it comes to on them, and which those are."""

    line: Said
    dates: tuple[date, ...]


def room_on_dates(
    work: Work, room_id: int, production_id: int | None = None, scene_id: int | None = None
) -> RoomOnDates | None:
    """The worst and the best date of a room; None where there is one at most. Raises NotFound."""
    candidate = assessing.proposal(work, room_id, production_id, scene_id)
    dates = () if candidate is None else assessing.dates_open(candidate, work.now().date())
    if len(dates) < 2:
        return None
    found = [
        assessing.assessed(
            assessing.setup_of(work, room_id, day, production_id=production_id, scene_id=scene_id)
        )
        for day in dates
    ]
    by_day = sorted(found, key=_badness, reverse=True)
    worst, best = by_day[0], by_day[-1]
    if _badness(worst) == _badness(best):
        return RoomOnDates(said("choice.room_alike", n=len(dates)), dates)
    good = {(one.code, one.level) for one in best.findings}
    because = next((one for one in worst.findings if (one.code, one.level) not in good), None)
    line = said(
        "choice.room_on_dates",
        worst=worst.date,
        why=None if because is None else Said(because.code, tuple(because.figures().items())),
        best=best.date,
    )
    return RoomOnDates(line, dates)


def _badness(found: RoomAssessment) -> tuple[int, ...]:
    levels = [one.level for one in found.findings]
    return tuple(levels.count(level) for level in ("problem", "unknown", "care"))


def first_photos(work: Work, scene_id: int, *, ruled_out: bool = True) -> dict[int, int]:
    """The first photo of every candidate's room that may be shown to others, by the room's key.
    `ruled_out`: of rooms that are out of the choice too.
    """
    found = {}
    for row in jobs.candidates(work.db, scene_id=scene_id):
        if row.state == "ruled_out" and not ruled_out:
            continue
        photos = [one for one in queries.photos(work.db, room_id=row.room_id) if one.in_packet]
        if photos:
            found[row.room_id] = photos[0].id
    return found


@dataclass(frozen=True)
class SmallPlan:
    """A room at a glance, as a scene stages it: by name where things stand; lights only where a
    plan is kept.
    """

    room: RoomRecord
    kept: bool
    places: Mapping[str, Place]


def small_plans(work: Work, scene_id: int) -> dict[int, SmallPlan]:
    """A small plan of every candidate whose room is measured, by the candidate's key."""
    found = {}
    for row in jobs.candidates(work.db, scene_id=scene_id):
        room = translate.room_record(row.room)
        if room.corners_m is None:
            continue
        kept = StagePlan.read(row.plan, "plan") if row.plan else StagePlan()
        marks = assessing.marks_of(row.room) or Marks()
        named = {
            "subject": kept.subject or marks.subject,
            "camera": kept.camera or marks.camera,
            **{light.id: light.at_m for light in kept.lights},
        }
        found[row.id] = SmallPlan(
            room,
            row.plan is not None,
            {name: place for name, place in named.items() if place is not None},
        )
    return found
