"""What the edition of figures is composed of: every room with its answers and drawings, and the
comparisons.
"""

from __future__ import annotations

from dataclasses import replace

from scout.assess.choice.compare import Comparison
from scout.calc.held import let_go
from scout.packet.figures.content import (
    FiguresContent,
    PacketComparison,
    PacketLocation,
    PacketRoom,
    PacketStaging,
)
from scout.packet.privacy import cleared
from scout.pages import assessing
from scout.pages.choice import candidates
from scout.pages.daylight import printed as daylight_page
from scout.pages.room import bounce as bounce_page
from scout.pages.room import sound as sound_page
from scout.pages.room import stagings
from scout.records import LocationRecord, Measurement, ProductionRecord
from scout.store import models, translate
from scout.store.queries import jobs
from scout.units import Units
from scout.usecases.packets import Progress
from scout.usecases.work import Work


def compose(
    work: Work, production_id: int, units: Units, progress: Progress | None = None
) -> FiguresContent:
    """The edition of figures: every room that is not ruled out, and the rooms side by side."""
    row = jobs.production(work.db, production_id)
    production: ProductionRecord = translate.to_record(row)
    return FiguresContent(
        production=cleared(production, "crew"),
        locations=_locations(
            work, jobs.rooms_in_play(work.db, production_id), row.id, units, progress
        ),
        comparisons=tuple(
            PacketComparison(
                cleared(translate.to_record(scene), "crew"),
                _without_fees(candidates.compare(work, scene.id)),
            )
            for scene in jobs.scenes(work.db, row.id)
        ),
    )


def _without_fees(compared: Comparison) -> Comparison:
    """The comparison as a crew may read it: without fees and without rooms that are ruled out."""
    kept = [k for k, one in enumerate(compared.candidates) if one.state != "ruled_out"]
    return replace(
        compared,
        candidates=tuple(compared.candidates[k] for k in kept),
        rows=tuple(
            replace(row, cells=tuple(row.cells[k] for k in kept))
            for row in compared.rows
            if row.topic != "budget"
        ),
    )


def _locations(
    work: Work,
    rooms: list[models.Room],
    production_id: int,
    units: Units,
    progress: Progress | None,
) -> tuple[PacketLocation, ...]:
    """Each place once, with its rooms in their order."""
    made: dict[int, PacketRoom] = {}
    for done, room in enumerate(rooms):
        if progress:
            progress(done, len(rooms) + 1)
        made[room.id] = _room(work, room, production_id, units)
    found = []
    for place in {room.location_id: room.location for room in rooms}.values():
        record: LocationRecord = translate.to_record(place)
        found.append(
            PacketLocation(
                record=cleared(record, "crew"),
                rooms=tuple(made[room.id] for room in rooms if room.location_id == place.id),
            )
        )
    return tuple(found)


def _room(work: Work, row: models.Room, production_id: int, units: Units) -> PacketRoom:
    production: ProductionRecord = translate.to_record(jobs.production(work.db, production_id))
    on = assessing.default_date(work, row.id, production_id)
    staged = stagings.stagings(work, row.id, production_id, on)
    sheet = staged[0].sheet
    let_go()
    assessment = assessing.assessed(staged[0].setup, None, True)
    drawn = assessing.drawings(work, row.id, assessment, units=units, for_print=True)
    measured: tuple[Measurement, ...] = tuple(translate.to_record(m) for m in row.measurements)
    return PacketRoom(
        room=translate.room_record(row),
        marks=sheet.marks,
        kit=production.kit,
        assessment=assessment,
        plan=drawn.plan,
        timeline=drawn.timeline,
        lux=drawn.lux,
        stagings=tuple(_staged(one, units) for one in staged),
        daylight=daylight_page.for_packet(work, row.id, on, production_id, units, sheet),
        measurements=measured,
        bounce_plan=bounce_page.for_packet(assessment),
        sound=sound_page.for_packet(work, row, on, assessment, production_id),
    )


def _staged(staging: stagings.Staging, units: Units) -> PacketStaging:
    drawn = stagings.drawings(staging, units)
    return PacketStaging(
        scenes=staging.scenes,
        kept=staging.kept,
        assessment=staging.found,
        light=drawn.light,
        power=drawn.power,
        shot=drawn.shot,
        wall=drawn.wall,
    )
