"""What the crew's packet is composed of: the days with their setups, the rooms in reserve, and only
what the edition's readers may see.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from functools import partial
from zoneinfo import ZoneInfo

from scout.assess.choice.findings import permit_to_ask
from scout.assess.setup import Setup
from scout.calc.countries import country_of, emergency_numbers
from scout.calc.held import let_go
from scout.errors import Refused
from scout.packet.content import (
    CrewNote,
    PacketBackup,
    PacketCall,
    PacketContent,
    PacketDay,
    PacketPhoto,
    PacketReserve,
    PacketSetup,
)
from scout.packet.crew.lamps import lamps
from scout.packet.crew.room import below_plan
from scout.packet.editions import CONTENTS
from scout.packet.names import EDITION_READERS, EditionName
from scout.packet.privacy import Reader, cleared, may_read
from scout.pages import assessing
from scout.pages.day import planned, setups
from scout.pages.day.calls import Call
from scout.pages.day.plan import DayRow, DayRuler, day_plan
from scout.pages.day.setups import SetupLine
from scout.pages.packet.plans import place_plan, small_plan
from scout.records import LocationRecord, PhotoRecord, ProductionRecord, SceneRecord
from scout.records.plan import StagePlan
from scout.store import models, translate
from scout.store.queries import common, jobs
from scout.store.queries import places as place_queries
from scout.usecases import noise_windows, photos
from scout.usecases.packets import Heading, Progress
from scout.usecases.work import Work
from scout.values import Figure, Name, Spell, said
from scout.words.figures import Words, when

PLAN_MM = {"a4": (180.0, 240.0), "letter": (185.0, 225.0)}
ROW_MM = 6.3  # of the table of stands below it
LINE_MM, LETTERS_A_LINE = 4.6, 95  # of words under the table
LINES_KEPT = {"a4": 2, "letter": 1}  # so many lines are free


@dataclass(frozen=True)
class Chosen:
    """The setups that the packet is printed for, the rooms that stand in for them, and the scenes
    for which nothing is chosen.
    """

    setups: tuple[SetupLine, ...]
    reserves: tuple[SetupLine, ...]
    backups: tuple[SetupLine, ...]  # of every scene, whether or not their rooms are printed too
    unchosen: tuple[str, ...]


def chosen(work: Work, production_id: int, on: date | None = None) -> Chosen:
    """A scene's first choice; where it has none, the one room that is still proposed for it."""
    lines = [one for one in setups.setups_of(work, production_id) if one.state != "ruled_out"]
    found: list[SetupLine] = []
    reserves: dict[int, SetupLine] = {}
    backups: list[SetupLine] = []
    unchosen = []
    for scene in jobs.scenes(work.db, production_id):
        rows = [one for one in lines if one.scene_id == scene.id]
        first = [one for one in rows if one.state == "first_choice"]
        if not first and len({one.room_id for one in rows}) == 1:
            first = rows
        if not first:
            unchosen.append(scene.name)
        found += first
        backups += [one for one in rows if one.state == "reserve" and one not in first]
        for one in sorted(rows, key=lambda row: row.state != "reserve"):
            if one not in first:
                held = reserves.get(one.room_id)
                if held is None or (held.state, one.state) == ("proposed", "reserve"):
                    reserves[one.room_id] = one
    dated = [one for one in found if on is None or day_of(work, one) == on]
    printed = {one.room_id for one in dated}
    dated.sort(key=lambda one: (day_of(work, one), one.record.from_time or "", one.id))
    of_day = {one.scene_id for one in dated}
    kept = tuple(
        one
        for one in reserves.values()
        if one.room_id not in printed and (on is None or one.scene_id in of_day)
    )
    return Chosen(tuple(dated), kept, tuple(backups), tuple(unchosen))


def day_of(work: Work, one: SetupLine) -> date:
    """The date of a setup: its own, else that of the kept plan, else the first of its scene that is
    still to come.
    """
    if one.record.on is not None:
        return one.record.on
    dates = planned.dates_of(work, jobs.scene(work.db, one.scene_id), one.room_id)
    return jobs.first_coming(dates, work.now().date())


def compose(
    work: Work,
    production_id: int,
    edition: EditionName,
    on: date | None,
    heading: Heading,
    progress: Progress | None = None,
) -> PacketContent:
    """The content of an edition, cleared for its readers. `on`: of that day alone."""
    reader = EDITION_READERS[edition]
    production: ProductionRecord = translate.to_record(jobs.production(work.db, production_id))
    asked = chosen(work, production_id, on)
    parts = CONTENTS[edition].parts
    total = len(asked.setups) + len(asked.reserves) + 1
    tell = progress or (lambda done, of: None)
    made: list[tuple[SetupLine, PacketSetup]] = []
    rows, calls, rulers = by_plan(work, production_id)
    for done, one in enumerate(asked.setups if "form" not in parts else ()):
        tell(done, total)
        let_go()
        made.append((one, _setup(work, one, rows, reader, heading, "place" in parts)))
    in_room = Counter(one.room_id for one, _ in made)
    made = [(one, replace(setup, in_room=in_room[one.room_id])) for one, setup in made]
    made.sort(key=lambda row: (row[1].date, row[1].hours is None, row[1].hours or ()))
    reserves = []
    for done, one in enumerate(asked.reserves if "reserves" in parts or "days" in parts else ()):
        tell(len(asked.setups) + done, total)
        let_go()
        reserves.append(_reserve(work, one, reader, heading, "reserves" in parts))
    return PacketContent(
        edition=edition,
        production=cleared(production, reader),
        revision=heading.revision,
        printed=heading.printed,
        changes=heading.changes if reader != "owner" else None,
        changes_since=heading.since,
        prepared_by=heading.prepared_by if reader != "owner" else None,
        days=_days(
            work,
            made,
            reader,
            calls if may_read(ProductionRecord, "crew", reader) else (),
            rulers,
            asked.backups,
        ),
        reserves=tuple(reserves),
        unchosen=asked.unchosen if on is None else (),
        address=heading.address,
        known_lines=heading.known_lines,
        known_pages=heading.known_pages,
        swap_since=heading.swap_since,
        paper=heading.paper,
        units=heading.units,
    )


def as_printed(work: Work, one: SetupLine, rows: Sequence[DayRow]) -> Setup:
    """What a setup is judged for on paper: the hours that are printed, those of the days' plan even
    where it is only proposed. Raises NotFound.
    """
    setup = assessing.judged_for(work, one.id, day_of(work, one))
    row = _row_of(one, setup.on, rows)
    if row is None:
        return setup
    begin, end = planned.hours_of(row) or (None, None)
    return replace(setup, from_time=begin, until_time=end)


def _row_of(one: SetupLine, on: date, rows: Sequence[DayRow]) -> DayRow | None:
    wanted = (one.scene_id, one.room_id, on)
    return next((row for row in rows if (row.scene_id, row.room_id, row.on) == wanted), None)


def _setup(
    work: Work,
    one: SetupLine,
    rows: Sequence[DayRow],
    reader: Reader,
    heading: Heading,
    with_plan: bool,
) -> PacketSetup:
    setup = as_printed(work, one, rows)
    found = assessing.assessed(setup, in_full=True)
    candidate = common.one(work.db, models.Candidate, one.candidate_id)
    plan = StagePlan.read(candidate.plan, "plan") if candidate.plan else None
    scene: SceneRecord = translate.to_record(candidate.scene)
    place: LocationRecord = translate.to_record(candidate.room.location)
    lens = assessing.lens_of(setup, found)
    boom = plan.boom if plan is not None else None
    production_id = jobs.scene(work.db, one.scene_id).production_id
    proposed = planned.shot_of(work, production_id, one.scene_id, one.room_id) is None
    row = _row_of(one, setup.on, rows)
    made = PacketSetup(
        key=f"setup-{one.id}",
        scene=cleared(scene, reader),
        date=setup.on,
        hours=setup.hours,
        proposed=proposed,
        within=_within(one) if proposed else None,
        set_up_from=None if row is None else row.set_up_from,
        strike_until=None if row is None else row.strike_until,
        hanging=None if row is None else one.hanging(found.findings),
        framing=setup.framing,
        lens_mm=lens,
        state=candidate.state,  # type: ignore[arg-type]
        reason=candidate.reason if reader != "owner" else None,
        place=cleared(place, reader),
        sheet=setup.sheet,
        found=found,
        photos=_photos(work, reader, room_id=one.room_id, zone=one.timezone),
        notes=_notes(work, reader, room_id=one.room_id, zone=one.timezone),
    )
    if not with_plan:
        return made
    wide, high = PLAN_MM[heading.paper]
    under = sum(math.ceil(len(str(words)) / LETTERS_A_LINE) for _, words in below_plan(made))
    under += sum(2 if one.blind else one.role in ("other", "spare") for one in lamps(made))
    kept = LINES_KEPT[heading.paper]
    high -= ROW_MM * (len(found.placements) + 1) + LINE_MM * max(under - kept, 0)
    return replace(made, plan=place_plan(setup, lens, boom, heading.units, (wide, high)))


def _reserve(
    work: Work, one: SetupLine, reader: Reader, heading: Heading, with_plan: bool
) -> PacketReserve:
    setup = assessing.judged_for(work, one.id, day_of(work, one))
    found = assessing.assessed(setup, in_full=with_plan)
    candidate = common.one(work.db, models.Candidate, one.candidate_id)
    place: LocationRecord = translate.to_record(candidate.room.location)
    return PacketReserve(
        scene=one.scene_name,
        state=candidate.state,  # type: ignore[arg-type]
        reason=candidate.reason,
        place=cleared(place, reader),
        sheet=setup.sheet,
        found=found,
        plan=small_plan(setup, heading.units) if with_plan else None,
    )


def _within(one: SetupLine) -> Spell | None:
    """When a setup may be shot, as it was typed."""
    begin, end = one.record.from_time, one.record.until_time
    return Spell(time.fromisoformat(begin), time.fromisoformat(end)) if begin and end else None


def _days(
    work: Work,
    made: list[tuple[SetupLine, PacketSetup]],
    reader: Reader,
    calls: Sequence[Call],
    rulers: Sequence[DayRuler],
    backups: Sequence[SetupLine],
) -> tuple[PacketDay, ...]:
    """The setups by date and place, in the order of the day."""
    groups: dict[tuple[date, int], list[tuple[SetupLine, PacketSetup]]] = {}
    for line, setup in made:
        groups.setdefault((setup.date, line.location_id), []).append((line, setup))
    days = []
    for (on, location_id), rows in groups.items():
        place: LocationRecord = translate.to_record(place_queries.location(work.db, location_id))
        country = country_of(place.latitude_deg, place.longitude_deg, place.timezone)
        now = work.now().astimezone(ZoneInfo(place.timezone)) if place.timezone else work.now()
        noises = noise_windows.noise_windows(work, location_id)
        ruler = next((one for one in rulers if (one.on, one.zone) == (on, place.timezone)), None)
        days.append(
            PacketDay(
                key=f"day-{on.isoformat()}-{location_id}",
                date=on,
                place=cleared(place, reader),
                setups=tuple(setup for _, setup in rows),
                noises=tuple(cleared(one.record, reader) for one in noises),
                emergency=emergency_numbers(country.codes),
                country=country.codes[0] if len(country.codes) == 1 else None,
                photos=_photos(work, reader, location_id=location_id, zone=place.timezone),
                notes=_notes(work, reader, location_id=location_id, zone=place.timezone),
                calls=tuple(
                    PacketCall(call.person, call.at, call.warnings, call.role)
                    for call in calls
                    if call.on == on and call.location == place.name
                ),
                meals=() if ruler is None else tuple(Spell(*meal) for meal in ruler.meals),
                dusk=None if ruler is None else ruler.dusk,
                gone=on < now.date(),
                backups=_backups(work, [line for line, _ in rows], backups, reader),
                comes_from=_called_at(calls, on, place.name),
                permit=None if reader == "owner" else permit_to_ask(place, on, now.date()),
            )
        )
    return tuple(days)


def _backups(
    work: Work, lines: Sequence[SetupLine], backups: Sequence[SetupLine], reader: Reader
) -> tuple[PacketBackup, ...]:
    """The rooms that stand in for those of some setups, each once."""
    scenes = {line.scene_id for line in lines}
    by_room = {one.room_id: one for one in backups if one.scene_id in scenes}
    found = []
    for one in by_room.values():
        place: LocationRecord = translate.to_record(
            place_queries.location(work.db, one.location_id)
        )
        found.append(PacketBackup(one.room_name, cleared(place, reader)))
    return tuple(found)


def _called_at(calls: Sequence[Call], on: date, place: str) -> Name | None:
    """Where everybody is called on a day, if not to this place."""
    called = [call.location for call in calls if call.on == on]
    return Name(called[0]) if called and place not in called else None


def by_plan(
    work: Work, production_id: int
) -> tuple[Sequence[DayRow], Sequence[Call], Sequence[DayRuler]]:
    """When each scene is shot, who is called when, and each date's meals and dusk, by the day's
    plan; nothing where no scene has a date.
    """
    try:
        found = day_plan(work, production_id)
    except Refused:
        return (), (), ()
    calls = found.calls
    if not found.kept:
        doubt = said("day.call.proposed")
        calls = tuple(replace(call, warnings=(doubt, *call.warnings)) for call in calls)
    return found.rows, sorted(calls, key=lambda call: (call.at, call.person)), found.days


def _photos(
    work: Work,
    reader: Reader,
    *,
    location_id: int | None = None,
    room_id: int | None = None,
    zone: str | None,
) -> tuple[PacketPhoto, ...]:
    if reader == "owner":  # what else a photo shows is nobody's to judge here
        return ()
    rows = place_queries.photos(work.db, location_id=location_id, room_id=room_id)
    return tuple(photo_of(work, row, zone) for row in rows if row.in_packet)


def photo_of(work: Work, row: models.Photo, zone: str | None) -> PacketPhoto:
    """A photo as a packet takes it, its file read when its page is set."""
    facts: list[Words] = ["time not recorded"]
    if row.taken_at:
        at = datetime.fromisoformat(row.taken_at)
        there = at.astimezone(ZoneInfo(zone)) if zone and at.tzinfo else at
        facts = [said("packet.taken", at=there.replace(tzinfo=None))]
    if row.bearing_deg is not None:
        facts.append(said("packet.looking", bearing=Figure(row.bearing_deg, "deg")))
    record: PhotoRecord = translate.to_record(row)
    return PacketPhoto(
        row.original_name,
        partial(
            photos.draw_to_print,
            work.files,
            work.settings.cache_dir,
            row.sha256,
            photos.TURNS_DEG[row.turned],
        ),
        row.caption,
        tuple(facts),
        record.overlays or (),
    )


def _notes(
    work: Work,
    reader: Reader,
    *,
    location_id: int | None = None,
    room_id: int | None = None,
    zone: str | None,
) -> tuple[CrewNote, ...]:
    """Crew notes alone: private ones are not even asked for."""
    if reader == "owner":
        return ()
    rows = place_queries.notes(work.db, location_id=location_id, room_id=room_id, crew_only=True)
    return tuple(
        CrewNote(row.text, row.created_by, when(row.created_at, zone or "UTC")) for row in rows
    )
