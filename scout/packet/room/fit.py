"""The space of a room: which lens gives which framing, and where the lights may stand."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Sequence
from functools import partial

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import FitAnswer, FramingAnswer, PlanLight, WayAnswer
from scout.drawing.plan.sheets import tape_lines
from scout.drawing.shapes import Drawing
from scout.packet.blocks import Desk
from scout.packet.content import PacketRoom, PacketStaging
from scout.packet.packing import Part
from scout.packet.room.frame import in_frame
from scout.packet.room.works import planned
from scout.packet.setting.table import Cell, Column, Ledger, Row
from scout.packet.setting.text import BODY, QUIET
from scout.packet.words import length, listed, number, plain, unknown
from scout.records.sheet import RoomRecord
from scout.units import Units

NOT_KNOWN = "unknown"
_WAYS = {
    "none": "No light",
    "bounce": "Bounce",
    "outside": "From outside",
    "clamp": "Clamped",
    "motivated": "From the room",
}
LENSES_ABREAST = 6  # more columns than this are too narrow to read on paper


def fit(desk: Desk, room: PacketRoom) -> list[Part]:
    """For each way the room is used: where the lights stand, what they plug into, what the lenses
    see, each with its plan after it.
    """
    staged = room.stagings or (
        (PacketStaging(assessment=room.assessment),) if room.assessment is not None else ()
    )
    made: list[Part] = []
    for staging in staged:
        made += _staging(desk, room, staging, alone=len(staged) == 1)
    for staging in staged[
        :1
    ]:  # the other ways to light and what is in the frame once, with the first
        made.append(_part(desk, "ways", partial(_ways, desk, staging.assessment.ways)))
        made.append(_part(desk, "frame", partial(in_frame, desk, staging.assessment.fit)))
    return made


def _part(desk: Desk, chain: str, make: Callable[[], list[Flowable]]) -> Part:
    return Part(chain, desk.about("Fit", lambda: desk.guarded("The fit", make)))


def _staging(desk: Desk, room: PacketRoom, staging: PacketStaging, *, alone: bool) -> list[Part]:
    """The plans of one staging, each after its table: a table runs on over the page that a plan
    would turn whole.
    """
    found, answer = staging.assessment, staging.assessment.fit
    scenes = listed(staging.scenes) or "this room"
    heading = "Lights" if alone or not staging.scenes else f"Lights for {scenes}"

    def framed() -> list[Flowable]:
        shown = [
            *(_framings(desk, answer.framings) if answer.framings else []),
            *drawn(staging.shot),
        ]
        return (
            [*desk.heading("Camera and framings", 110.0), *shown, *drawn(staging.wall)]
            if shown or staging.wall is not None
            else []
        )

    def wired() -> list[Flowable]:
        if staging.power is None and not found.power.assignment and not found.power.unplaced:
            return []
        return [*desk.heading("Leads and circuits", 80.0), *planned(desk, found.power)]

    def drawn(plan: Drawing | None) -> list[Flowable]:
        return desk.figure(plan, "") if plan is not None else []

    return [
        _part(
            desk,
            "fit",
            lambda: [
                *desk.heading(heading, 110.0),
                desk.text(_how(staging, scenes), BODY),
                *_lights(desk, answer, room),
            ],
        ),
        Part("fit", drawn(staging.light)),
        _part(desk, "fit", wired),
        Part("fit", drawn(staging.power)),
        _part(desk, "fit", framed),
    ]


def _how(staging: PacketStaging, scenes: str) -> str:
    if staging.kept:
        return f"Drawn by hand and kept for {scenes}: the drawings and the tables beside them are of that plan."
    return f"Worked out for {scenes}: nobody has drawn a plan by hand. The drawings and the tables beside them agree."


def _ways(desk: Desk, ways: Sequence[WayAnswer]) -> list[Flowable]:
    """Other ways to light the face, in the order in which they are tried."""
    if len(ways) < 2:  # the day alone is told with the lights
        return []
    rows = [
        Row(
            (
                Cell(_WAYS[way.way], bold=True),
                _possible(way),
                Cell(number(way.lost_stops, 1, "stops") or ""),
            ),
            " ".join(part for part in (f"{way.told.rstrip('.')}.", unknown(way.unknown)) if part),
        )
        for way in ways
    ]
    desk.assume(sentence for way in ways for sentence in way.assumed)
    heading = desk.heading("Other ways to light the face", 80.0)
    columns = [
        Column("To light the face", 0.8),
        Column("Possible", 2.4),
        Column("Below the key", 0.6, "end"),
    ]
    return [*heading, Ledger(desk.setter, columns, rows, space_after=4.0)]


def _possible(way: WayAnswer) -> Cell:
    return (
        Cell("yes, with care", level="care")
        if way.possible and way.risk in ("medium", "high")
        else _fits(way.possible)
    )


def _framings(desk: Desk, rows: Sequence[FramingAnswer]) -> list[Flowable]:
    """Framing by lens, with the camera's distance in each field; why, a line a framing below."""
    lenses = list(dict.fromkeys(row.focal_length_mm for row in rows))
    names = list(dict.fromkeys(row.name for row in rows))
    of = {(row.name, row.focal_length_mm): row for row in rows}
    made: list[Flowable] = []
    everywhere = {row.unknown for row in rows}
    shared = next(iter(everywhere)) if len(everywhere) == 1 else None  # one reason for all of them
    told = {shared}
    if shared is not None and all(row.distance_m is None for row in rows):
        return desk.sentences([f"Framings: {unknown(shared)}"])
    for start in range(0, len(lenses), LENSES_ABREAST):
        here = lenses[start : start + LENSES_ABREAST]
        columns = [Column("Framing", 1.3), *(Column(f"{lens:g} mm", 1.0) for lens in here)]
        grid = []
        for name in names:
            cells = [
                Cell(plain(name) or "", bold=True),
                *(_framing(desk, of.get((name, lens))) for lens in here),
            ]
            grid.append(
                Row(cells, _reasons([of[name, lens] for lens in here if (name, lens) in of], told))
            )
        made.append(Ledger(desk.setter, columns, grid, space_after=3.0))
    words = "In each field whether it fits, and the way from camera to subject; below it what the nearest miss lacks."
    return [
        *made,
        desk.text(words, QUIET),
        *desk.sentences([f"Whether they fit: {unknown(shared)}" if shared else ""]),
    ]


def _framing(desk: Desk, one: FramingAnswer | None) -> Cell:
    if one is None:
        return Cell("")
    word = NOT_KNOWN if one.fits is None else "fits" if one.fits else "no"
    far = length(one.distance_m, desk.units)
    return Cell(
        f"{word} · {far}" if far else word,
        level="unknown" if one.fits is None else "good" if one.fits else "problem",
    )


def _reasons(rows: Sequence[FramingAnswer], told: Collection[str | None]) -> str:
    """Why a lens does not do, or does with a catch. A lens that asks for more floor than one
    already refused is not explained again.
    """
    said: list[str] = []
    refused_m = math.inf
    for row in rows:
        reason = row.why or row.unknown
        if reason is None or reason in told:
            continue
        if row.fits is False and row.distance_m is not None:
            if row.distance_m >= refused_m:
                continue
            refused_m = row.distance_m
        said.append(f"{row.focal_length_mm:g} mm {reason.rstrip('.')}")
    return "; ".join(said)


def _fits(fits: bool | None) -> Cell:
    return (
        Cell(NOT_KNOWN, level="unknown")
        if fits is None
        else Cell("yes", level="good")
        if fits
        else Cell("no", level="problem")
    )


def _lights(desk: Desk, answer: FitAnswer, room: PacketRoom) -> list[Flowable]:
    """A row a light; what has to be said of it runs below its row."""
    made: list[Flowable] = []
    planned = [*answer.plan.items(), *(("other", light) for light in answer.others)]
    reasons = {light.unknown for _, light in planned}
    shared = (
        next(iter(reasons))
        if len(planned) > 1
        and len(reasons) == 1
        and all(light.at_m is None and light.why is None for _, light in planned)
        else None
    )
    if shared:
        made += desk.sentences([f"The light plan: {unknown(shared)}"])
    elif planned:
        columns = [
            Column("Place", 0.6),
            Column("Light", 0.8),
            Column("Stands, by tape", 2.1),
            Column("Head", 0.6, "end"),
            Column("Down", 0.5, "end"),
            Column("To the face", 0.7, "end"),
            Column("Light there", 0.7, "end"),
            Column("Fits", 0.6),
        ]
        made.append(
            Ledger(
                desk.setter,
                columns,
                [_light(desk, name, light, room) for name, light in planned],
                missing=NOT_KNOWN,
                space_after=4.0,
            )
        )
    made += desk.sentences(
        [
            answer.available_light_first or "",
            unknown(answer.unknown) if answer.unknown != shared else "",
        ]
    )
    parts = (answer, *answer.framings, *answer.plan.values(), *answer.others)
    desk.assume(sentence for part in parts for sentence in part.assumed)
    return made


def taped(room: RoomRecord, place: Sequence[float], units: Units) -> str:
    """`1.20 m off wall D, 0.85 m off wall C`; along and up the plan where no wall can be taped off."""
    tapes = tape_lines(room, place)
    if len(tapes) == 2:
        return ", ".join(f"{length(tape.distance_m, units)} off {tape.wall}" for tape in tapes)
    return f"{length(place[0], units)} along and {length(place[1], units)} up the plan"


def _light(desk: Desk, name: str, light: PlanLight, room: PacketRoom) -> Row:
    at, down = None, None
    if light.at_m is not None:
        at = taped(room.room, light.at_m, desk.units)
        if light.aim_m is not None:
            down = math.degrees(
                math.atan2(
                    light.at_m[2] - light.aim_m[2], math.dist(light.at_m[:2], light.aim_m[:2])
                )
            )
    cells = (
        Cell(name, bold=True),
        Cell(light.light or "none"),
        Cell(at or ("nowhere" if light.fits is False else NOT_KNOWN)),
        Cell((length(light.at_m[2], desk.units) if light.at_m is not None else None) or ""),
        Cell(f"{down:.0f}°" if down is not None else ""),
        Cell(length(light.distance_m, desk.units) or ""),
        Cell(number(light.lux, 0, "lux") or ""),
        _fits(light.fits),
    )
    return Row(
        cells,
        " ".join(
            part
            for part in (f"{light.why.rstrip('.')}." if light.why else "", unknown(light.unknown))
            if part
        ),
    )
