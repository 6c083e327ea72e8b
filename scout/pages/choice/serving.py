"""Which scenes a room would serve, of productions that are not over: by what each requires."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from scout.assess.choice.choose import choose
from scout.assess.choice.compare import compare
from scout.assess.choice.many import NOTHING
from scout.assess.choice.ranked import Part, Ranked
from scout.assess.setup import Setup
from scout.pages import assessing
from scout.pages.choice.candidates import facts_of
from scout.pages.once import content_key
from scout.records import ProductionRecord, SceneRecord
from scout.records.setups import in_common, setups_asked
from scout.store import models, translate
from scout.store.queries import jobs
from scout.store.queries import places as queries
from scout.usecases.sheets import sheet_of
from scout.usecases.work import Work
from scout.values import Said, said

Standing = Literal["serves", "unknown", "fails"]
MOST_SCENES = 200  # judged by what is recorded
MOST_WHOLE = 3  # setups worked out in full: each takes a second or several
# needs that what is recorded does not settle: they take the whole assessment of a room
OF_WHOLE = frozenset({"framing", "daylight", "lux", "sun", "colour", "mic", "watts", "sockets"})


@dataclass(frozen=True)
class SceneServed:
    """A scene, and how the room meets it on its next date.

    state: how the choice stands for the room there; None: it is not proposed
    open_topics: needs that the whole assessment would tell and that was left undone
    """

    scene_id: int
    scene: str
    production_id: int
    production: str
    on: date
    state: str | None
    room: Ranked
    open_topics: tuple[str, ...]

    @property
    def required(self) -> tuple[Part, ...]:
        """The required needs that apply and are not met; those that fail first."""
        wanting = [p for p in self.room.parts if p.required and p.topic in self.room.missing]
        return tuple(sorted(wanting, key=lambda part: part.status == "unknown"))

    @property
    def standing(self) -> Standing:
        """Whether the room would serve: unknown is not met, and is no failure either."""
        if not self.room.missing:
            return "serves"
        return "fails" if any(p.status == "not_met" for p in self.required) else "unknown"


@dataclass(frozen=True)
class Serving:
    """The scenes that a room would serve, may serve, and would not; each with the nearest first.

    without_needs: scenes that ask for nothing yet, by key and name
    left: scenes beyond those judged
    """

    scenes: tuple[SceneServed, ...]
    without_needs: tuple[tuple[int, str], ...]
    left: int

    @property
    def line(self) -> Said:
        """How many there are of each."""
        unknown = len(self.of("unknown")) or None
        return said(
            "choice.serves", serves=len(self.of("serves")), of=len(self.scenes), unknown=unknown
        )

    def of(self, standing: Standing) -> tuple[SceneServed, ...]:
        """The scenes of one standing."""
        return tuple(one for one in self.scenes if one.standing == standing)


def serving(work: Work, room_id: int, *, first: int | None = None) -> Serving:
    """Which scenes a room would serve. All are judged by what is recorded; those that may still be
    met by it in full, the next to be shot first, as far as the time of one page goes. Raises
    NotFound.

    first: the scene to work out in full before others
    """
    row, today = queries.room(work.db, room_id), work.now().date()
    coming = [(scene, jobs.dates_of(scene)) for scene in jobs.every_scene(work.db)]
    coming = [(scene, dates) for scene, dates in coming if not dates or max(dates) >= today]
    asking = [(scene, jobs.first_coming(dates, today)) for scene, dates in coming if scene.needs]
    asking.sort(key=lambda pair: (pair[0].id != first, pair[1]))
    proposed = {one.scene_id: one for one in jobs.candidates(work.db, room_id=room_id)}
    worked_out: set[str] = set()
    found = []
    for scene, on in asking[:MOST_SCENES]:
        candidate = proposed.get(scene.id)
        sheet = sheet_of(work, row, scene.production_id)
        asked = in_common(setups_asked(translate.to_record(scene)))
        kept = None if candidate is not None else asked
        setup = assessing.setup_for(work, row, on, candidate, sheet, kept, by_plan=False)
        found.append(_served(row, scene, candidate, setup, worked_out, today))
    found.sort(key=lambda one: (one.on, one.scene_id))
    silent = tuple((scene.id, scene.name) for scene, _ in coming if not scene.needs)
    return Serving(tuple(found), silent, max(0, len(asking) - MOST_SCENES))


def _served(
    row: models.Room,
    scene: models.Scene,
    candidate: models.Candidate | None,
    setup: Setup,
    worked_out: set[str],
    today: date,
) -> SceneServed:
    record: SceneRecord = translate.to_record(scene)
    job: ProductionRecord = translate.to_record(scene.production)
    by_record = replace(NOTHING, date=setup.on, timezone=row.location.timezone)
    facts = facts_of(row, setup, job.kit, candidate, [by_record])

    def ranked() -> Ranked:
        return choose(record, compare(record, setup.on, [facts]), [facts], today).ranked[0]

    room = ranked()
    dark = [part.topic for part in room.parts if part.topic in OF_WHOLE and part.status != "met"]
    failed = any(part.required and part.status == "not_met" for part in room.parts)
    key = content_key(setup)
    if dark and not failed and (key in worked_out or len(worked_out) < MOST_WHOLE):
        worked_out.add(key)
        facts, dark = replace(facts, assessment=assessing.assessed(setup)), []
        room = ranked()
    return SceneServed(
        scene.id,
        scene.name,
        scene.production_id,
        scene.production.title,
        setup.on,
        None if candidate is None else candidate.state,
        room,
        tuple(dict.fromkeys(dark)),
    )
