"""The space of a room: which lens gives which framing, and where the lights may stand."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Sequence
from functools import partial

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import FitAnswer, FramingAnswer, PlanLight, WayAnswer
from scout.drawing.plan.sheets import tape_lines
from scout.drawing.shapes import Drawing
from scout.packet.blocks import NOT_KNOWN, Desk
from scout.packet.figures.content import PacketRoom, PacketStaging
from scout.packet.figures.packing import Part
from scout.packet.figures.room.frame import in_frame, lenses_words
from scout.packet.figures.room.works import planned
from scout.packet.setting.table import Cell, Column, Ledger, Row
from scout.packet.setting.text import BODY, QUIET
from scout.records.sheet import RoomRecord
from scout.values import Figure, Many, Said, Word, names, said
from scout.words.figures import Words, length, number, sentence, unknown

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
        made.append(_part(desk, "frame", partial(in_frame, desk, staging.assessment)))
    return made


def _part(desk: Desk, chain: str, make: Callable[[], list[Flowable]]) -> Part:
    return Part(chain, desk.about("Space", lambda: desk.guarded("Space and light positions", make)))


def _staging(desk: Desk, room: PacketRoom, staging: PacketStaging, *, alone: bool) -> list[Part]:
    """The plans of one staging, each after its table: a table runs on over the page that a plan
    would turn whole.
    """
    found, answer = staging.assessment, staging.assessment.fit
    scenes = names(staging.scenes) if staging.scenes else None
    heading = said("packet.lights", scenes=None if alone else scenes)

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
        return [*desk.heading("Cables and circuits", 80.0), *planned(desk, found.power)]

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


def _how(staging: PacketStaging, scenes: Many | None) -> Said:
    for_ = scenes or said("packet.this_room")
    return said("packet.drawn", scenes=for_) if staging.kept else said("packet.made", scenes=for_)


def _ways(desk: Desk, ways: Sequence[WayAnswer]) -> list[Flowable]:
    """Other ways to light the face, in the order in which they are tried."""
    if len(ways) < 2:  # the day alone is told with the findings
        return []
    rows = [
        Row(
            (
                Cell(_WAYS[way.way], bold=True),
                _possible(way),
                Cell(number(way.lost_stops, 1, "stops") or ""),
            ),
            " ".join(filter(None, (sentence(way.told), unknown(way.unknown)))),
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
    framings = list(dict.fromkeys(row.name for row in rows))
    of = {(row.name, row.focal_length_mm): row for row in rows}
    made: list[Flowable] = []
    everywhere = {row.unknown for row in rows}
    shared = next(iter(everywhere)) if len(everywhere) == 1 else None  # one reason for all of them
    printed = {shared}
    if shared is not None and all(row.distance_m is None for row in rows):
        return desk.sentences([said("packet.framings_unknown", why=shared)])
    for start in range(0, len(lenses), LENSES_ABREAST):
        here = lenses[start : start + LENSES_ABREAST]
        columns = [Column("Framing", 1.3), *(Column(lenses_words([lens]), 1.0) for lens in here)]
        grid = []
        for name in framings:
            cells = [
                Cell(Word("framing", name), bold=True),
                *(_framing(desk, of.get((name, lens))) for lens in here),
            ]
            grid.append(
                Row(
                    cells,
                    _reasons([of[name, lens] for lens in here if (name, lens) in of], printed),
                )
            )
        made.append(Ledger(desk.setter, columns, grid, space_after=3.0))
    words = "In each field whether it fits, and the way from camera to subject; below it what the nearest miss lacks."
    return [
        *made,
        desk.text(words, QUIET),
        *desk.sentences([said("packet.fit_unknown", why=shared) if shared else None]),
    ]


def _framing(desk: Desk, one: FramingAnswer | None) -> Cell:
    if one is None:
        return Cell("")
    word = NOT_KNOWN if one.fits is None else "fits" if one.fits else "no"
    far = length(one.distance_m)
    return Cell(
        f"{word} · {far}" if far else word,
        level="unknown" if one.fits is None else "good" if one.fits else "problem",
    )


def _reasons(rows: Sequence[FramingAnswer], printed: Collection[Words | None]) -> str:
    """Why a lens does not do, or does with a catch. A lens that asks for more floor than one
    already refused is not explained again.
    """
    made: list[Said] = []
    refused_m = math.inf
    for row in rows:
        reason = row.why or row.unknown
        if reason is None or reason in printed:
            continue
        if row.fits is False and row.distance_m is not None:
            if row.distance_m >= refused_m:
                continue
            refused_m = row.distance_m
        lens = lenses_words([row.focal_length_mm])
        made.append(said("packet.lens_why", lens=lens, why=reason))
    return "; ".join(map(str, made))


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
        made += desk.sentences([said("packet.lights_unknown", why=shared)])
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
    made += desk.sentences([unknown(answer.unknown) if answer.unknown != shared else None])
    parts = (answer, *answer.framings, *answer.plan.values(), *answer.others)
    desk.assume(sentence for part in parts for sentence in part.assumed)
    return made


def taped(room: RoomRecord, place: Sequence[float]) -> str:
    """`1.20 m off D, 0.85 m off C`; along and up the plan where no wall can be taped off."""
    tapes = tape_lines(room, place)
    if len(tapes) == 2:
        return str(Many(tuple(tape.words for tape in tapes), "list"))
    across, up = (Figure(float(one), "m") for one in place[:2])
    return str(said("drawing.place", across=across, up=up))


def _light(desk: Desk, name: str, light: PlanLight, room: PacketRoom) -> Row:
    at, down = None, None
    if light.at_m is not None:
        at = taped(room.room, light.at_m)
        if light.aim_m is not None:
            down = math.degrees(
                math.atan2(
                    light.at_m[2] - light.aim_m[2], math.dist(light.at_m[:2], light.aim_m[:2])
                )
            )
    cells = (
        Cell(Word("part", name), bold=True),
        Cell(light.light or "none"),
        Cell(at or ("nowhere" if light.fits is False else NOT_KNOWN)),
        Cell((length(light.at_m[2]) if light.at_m is not None else None) or ""),
        Cell(number(down, 0, "deg") or ""),
        Cell(length(light.distance_m) or ""),
        Cell(number(light.lux, 0, "lux") or ""),
        _fits(light.fits),
    )
    return Row(
        cells,
        " ".join(filter(None, (sentence(light.why), unknown(light.unknown)))),
    )
