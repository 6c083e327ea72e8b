"""Finding rooms over the whole catalogue: by words, tags, distance and what they must give."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import time
from typing import Any, Literal, NamedTuple

from sqlalchemy import null, select

from scout.assess.choice.cells import CandidateFacts, NeedCell
from scout.assess.choice.compare import cells_of
from scout.assess.choice.many import NOTHING
from scout.assess.choice.place_needs import same_tag
from scout.assess.setup import Setup
from scout.calc.distance import distance_m
from scout.errors import Refused
from scout.pages import assessing
from scout.records import CandidateRecord, SceneRecord
from scout.records.kept import LocationRecord, WhenNeed
from scout.store import models, translate
from scout.store.queries import finding as words_of
from scout.store.queries import jobs
from scout.store.queries import places as queries
from scout.usecases import keeping, lines, noise_windows
from scout.usecases.sheets import sheet_of
from scout.usecases.shown import Kept
from scout.usecases.work import Work
from scout.values import Figure, Spell, names, said

Sort = Literal["fit", "name", "distance"]
MOST_JUDGED = 1000  # rooms judged by their needs at once; more are to be narrowed by words first
MOST_SHOWN = 100
MOST_LIT = 12  # rooms whose daylight is worked out, which takes a second or more each


@dataclass(frozen=True)
class Asked:
    """What is sought; `needs` as a scene's, all required."""

    text: str = ""
    tags: tuple[str, ...] = ()
    setting: str = ""
    near: tuple[float, float] | None = None
    within_km: float | None = None
    needs: tuple[dict[str, Any], ...] = ()
    sort: Sort = "fit"


MOST_NAMED, MOST_ROWS = 5, 200


@dataclass(frozen=True)
class FoundRoom:
    """A room that was found; `unknown`: what of the needs nobody recorded; `hours`: those of the
    scene that it is proposed for, by which its noise is judged.
    """

    room_id: int
    name: str
    location_name: str
    away: Figure | None
    cells: tuple[tuple[str, NeedCell], ...]
    unknown: tuple[str, ...]
    hours: Spell | None = None


@dataclass(frozen=True)
class Search:
    """What was found. `left`: rooms that matched and were too many to judge."""

    rooms: tuple[FoundRoom, ...]
    total: int
    left: int
    no_place: bool = False  # a distance was asked for, and not from where


class Match(NamedTuple):
    """What is asked of every room that matches: of thousands, too much to load them whole."""

    room_id: int
    tags: list[str] | None
    latitude_deg: float | None
    longitude_deg: float | None

    def away_m(self, near: tuple[float, float] | None) -> float | None:
        """How far it lies from a point; None where either is not known."""
        if near is None or self.latitude_deg is None or self.longitude_deg is None:
            return None
        return distance_m(*near, self.latitude_deg, self.longitude_deg)


def find(work: Work, asked: Asked) -> Search:
    """The rooms that are as asked for; those of which something is not recorded come after those
    that are known to meet it all. Raises Refused.
    """
    scene = SceneRecord.read(
        {"name": "search", "needs": [{"strength": "must", **need} for need in asked.needs] or None},
        "search",
    )
    query = queries.rooms("", asked.setting or None, None).rows()
    if asked.text.strip():
        query = query.where(words_of.has_words(work.db, asked.text))
    place = models.Location
    # of a large catalogue only what is asked about comes over
    tags = models.Room.tags if asked.tags else null()
    at = (place.latitude_deg, place.longitude_deg) if asked.near else (null(), null())
    matches = [
        Match(*row) for row in work.db.execute(query.with_only_columns(models.Room.id, tags, *at))
    ]
    wanted = {same_tag(tag) for tag in asked.tags}
    matches = [one for one in matches if wanted <= {same_tag(tag) for tag in one.tags or ()}]
    away = {one.room_id: one.away_m(asked.near) for one in matches}
    no_place = asked.within_km is not None and asked.near is None
    if asked.within_km is not None and not no_place:
        limit_m = asked.within_km * 1000.0
        matches = [one for one in matches if (m := away[one.room_id]) is not None and m <= limit_m]
    keys, left = [one.room_id for one in matches[:MOST_JUDGED]], max(0, len(matches) - MOST_JUDGED)
    total = len(keys)
    if asked.sort == "distance":
        keys.sort(key=lambda key: math.inf if (m := away[key]) is None else m)
    if not scene.needs and asked.sort != "name":
        del keys[MOST_SHOWN:]  # nothing more is asked of the others
    rows = _loaded(work, keys)
    found = _judged(work, scene, rows, away) if scene.needs else _plain(rows, away)
    if asked.sort == "name":
        found.sort(key=lambda room: (room.name.casefold(), room.location_name.casefold()))
    elif asked.sort == "distance":
        found.sort(key=lambda room: room.away.value if room.away is not None else math.inf)
    return Search(tuple(found[:MOST_SHOWN]), len(found) if scene.needs else total, left, no_place)


def _loaded(work: Work, keys: list[int]) -> Rows:
    """Rooms with their places, in the order of their keys."""
    room, place = models.Room, models.Location
    query = select(room, place).join(place, place.id == room.location_id).where(room.id.in_(keys))
    held = {row[0].id: (row[0], row[1]) for row in work.db.execute(query)}
    return [held[key] for key in keys]


def place_named(work: Work, name: str) -> tuple[float, float]:
    """Where the place of that name lies, or the only one whose name or address holds it. Raises
    Refused, naming those it may be.
    """
    rows = work.db.scalars(queries.locations(name).rows().limit(MOST_ROWS)).all()
    same = [row for row in rows if row.name.casefold() == name.casefold()]
    meant = same if same else rows
    if not meant:
        raise Refused("near", name, said("refused.no_place"))
    if len(meant) > 1:
        several = names([row.name for row in meant[:MOST_NAMED]])
        raise Refused("near", name, said("refused.several_places", places=several))
    latitude, longitude = meant[0].latitude_deg, meant[0].longitude_deg
    if latitude is None or longitude is None:
        raise Refused("near", name, said("refused.place_unplaced"))
    return latitude, longitude


def _km(metres: float | None) -> Figure | None:
    return None if metres is None else Figure(metres / 1000.0, "km")


Rows = Sequence[tuple[models.Room, models.Location]]


def _plain(rows: Rows, away: dict[int, float | None]) -> list[FoundRoom]:
    return [
        FoundRoom(room.id, lines.room_name(room), place.name, _km(away[room.id]), (), ())
        for room, place in rows
    ]


def _judged(
    work: Work, scene: SceneRecord, rows: Rows, away: dict[int, float | None]
) -> list[FoundRoom]:
    """Those that no need keeps out: what is known of most of them first, then what passes. Noise
    and daylight are judged as the room's own page judges them, for the scene it is proposed for.
    """
    topics = tuple(need.topic for need in scene.needs or ())
    as_used = _proposals(work) if {"noise", "lux"} & set(topics) else {}
    found, lit = [], 0
    for room, place in rows:
        candidate = as_used.get(room.id)
        setup = None if candidate is None else _setup(work, room, candidate)
        facts = _facts(work, room, translate.to_record(place), setup)
        cells = _cells(scene, facts, setup)
        levels = [cell.level for cell in cells]
        if "lux" in topics and "fail" not in levels and lit < MOST_LIT:
            setup = setup or _setup(work, room, None)
            facts, lit = replace(facts, assessment=assessing.assessed(setup)), lit + 1
            cells = _cells(scene, facts, setup)
            levels = [cell.level for cell in cells]
        if "fail" in levels:
            continue
        timed = setup is not None and setup.hours is not None and "noise" in topics
        one = FoundRoom(
            room.id,
            facts.room_name,
            place.name,
            _km(away[room.id]),
            tuple(zip(topics, cells, strict=True)),
            tuple(topic for topic, level in zip(topics, levels, strict=True) if level == "unknown"),
            Spell(*setup.hours) if timed and setup is not None and setup.hours else None,
        )
        found.append((levels.count("unknown"), levels.count("care"), one))
    return [one for _, _, one in sorted(found, key=lambda row: row[:2])]


def _proposals(work: Work) -> dict[int, models.Candidate]:
    """The proposal that each room is judged for, by the room's key; see `assessing.chosen`."""
    rows = sorted(jobs.candidates(work.db), key=lambda row: (row.state != "ruled_out", row.id))
    return {row.room_id: row for row in rows}


def _setup(work: Work, room: models.Room, candidate: models.Candidate | None) -> Setup:
    of = None if candidate is None else candidate.scene.production_id
    sheet = sheet_of(work, room, of)
    return assessing.setup_for(work, room, assessing.default_date(work, room.id), candidate, sheet)


def _facts(
    work: Work, room: models.Room, place: LocationRecord, setup: Setup | None
) -> CandidateFacts:
    nothing = replace(NOTHING, date=work.now().date(), timezone=place.timezone)
    noises = tuple(kept.record for kept in noise_windows.noise_windows(work, room.location_id))
    return CandidateFacts(
        room.id,
        room.id,
        lines.room_name(room),
        CandidateRecord(),
        place,
        translate.room_record(room) if setup is None else setup.sheet.room,
        nothing,
        None,
        noises if setup is None else setup.noises,
        room.location_id,
    )


def _cells(scene: SceneRecord, facts: CandidateFacts, setup: Setup | None) -> Sequence[NeedCell]:
    """What the needs come to, at the hours of the setup where it has any."""
    needs = scene.needs or ()
    if setup is None or (setup.from_time is None and setup.until_time is None):
        return cells_of(scene, facts)
    then = WhenNeed(
        topic="when",
        strength="must",
        dates=(setup.on,),
        from_time=_clock(setup.from_time),
        until_time=_clock(setup.until_time),
    )
    return cells_of(scene.model_copy(update={"needs": (*needs, then)}), facts)[: len(needs)]


def _clock(at: time | None) -> str | None:
    return None if at is None else f"{at:%H:%M}"


def saved_searches(work: Work) -> tuple[Kept[dict[str, Any]], ...]:
    """The searches that were kept, by name."""
    rows = work.db.scalars(
        select(models.SavedSearch)
        .where(models.SavedSearch.binned_at.is_(None))
        .order_by(models.SavedSearch.name, models.SavedSearch.id)
    )
    return tuple(keeping.shown(row, {"name": row.name, "asked": row.asked}) for row in rows)
