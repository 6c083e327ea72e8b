"""The space of a room: which lens gives which framing, and where the lights may stand."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import FitAnswer, FramingAnswer, PlanLight, WayAnswer
from scout.packet.blocks import Desk
from scout.packet.content import PacketRoom
from scout.packet.table import Cell, Column, Ledger, Row
from scout.packet.text import QUIET
from scout.packet.words import length, number, plain, unknown

NOT_KNOWN = "unknown"
_WAYS = {"none": "No light", "bounce": "Bounce", "outside": "From outside", "clamp": "Clamped", "motivated": "From the room"}
LENSES_ABREAST = 6  # more columns than this are too narrow to read on paper


def fit(desk: Desk, room: PacketRoom) -> list[Flowable]:
    """Which framings the room allows, and where the lights may stand."""
    answer = room.assessment.fit if room.assessment else None
    if answer is None and room.light_plan is None:
        return []
    made = desk.heading("Framings and lights", 110.0)
    if answer and answer.framings:
        made += _framings(desk, answer.framings)
    if room.light_plan is not None:
        made += desk.figure(room.light_plan, "")
    if answer:
        made += _lights(desk, answer)
        made += _shutters(desk, answer)
    if room.assessment is not None:
        made += _ways(desk, room.assessment.ways)
    return made


def _ways(desk: Desk, ways: Sequence[WayAnswer]) -> list[Flowable]:
    """Other ways to light the face, in the order in which they are tried."""
    if len(ways) < 2:  # the day alone is told with the lights
        return []
    rows = [
        Row((Cell(_WAYS[way.way], bold=True), _possible(way), Cell(number(way.lost_stops, 1, "stops") or "")),
            " ".join(part for part in (f"{way.told.rstrip('.')}.", unknown(way.unknown)) if part))
        for way in ways
    ]  # fmt: skip
    desk.assume(sentence for way in ways for sentence in way.assumed)
    return [Ledger(desk.setter, [Column("To light the face", 0.8), Column("Possible", 2.4), Column("Below the key", 0.6, "end")], rows, space_after=4.0)]


def _possible(way: WayAnswer) -> Cell:
    return Cell("yes, with care", level="care") if way.possible and way.risk in ("medium", "high") else _fits(way.possible)


def _shutters(desk: Desk, answer: FitAnswer) -> list[Flowable]:
    """The walk, and the shutters that do not beat with lamps on the mains."""
    said = [answer.motion.told or unknown(answer.motion.unknown) or ""] if answer.motion is not None else []
    said += [f"Steady under lamps on {row.mains_hz:g} Hz: {', '.join(f'1/{1 / s:.3g}' for s in row.safe_shutters_s)} s" for row in answer.flicker]
    desk.assume(sentence for part in (*answer.flicker, *((answer.motion,) if answer.motion else ())) for sentence in part.assumed)
    return desk.sentences(said)


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
            cells = [Cell(plain(name) or "", bold=True), *(_framing(desk, of.get((name, lens))) for lens in here)]
            grid.append(Row(cells, _reasons([of[name, lens] for lens in here if (name, lens) in of], told)))
        made.append(Ledger(desk.setter, columns, grid, space_after=3.0))
    words = "In each field whether it fits, and the way from camera to subject; below it what the nearest miss lacks."
    return [*made, desk.text(words, QUIET), *desk.sentences([f"Whether they fit: {unknown(shared)}" if shared else ""])]


def _framing(desk: Desk, one: FramingAnswer | None) -> Cell:
    if one is None:
        return Cell("")
    word = NOT_KNOWN if one.fits is None else "fits" if one.fits else "no"
    far = length(one.distance_m, desk.units)
    return Cell(f"{word} · {far}" if far else word, level="unknown" if one.fits is None else "good" if one.fits else "problem")


def _reasons(rows: Sequence[FramingAnswer], told: Collection[str | None]) -> str:
    """Why a lens does not do, or does with a catch. A lens that asks for more floor than one already refused is not explained again."""
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
    return Cell(NOT_KNOWN, level="unknown") if fits is None else Cell("yes", level="good") if fits else Cell("no", level="problem")


def _lights(desk: Desk, answer: FitAnswer) -> list[Flowable]:
    """A row a light; what has to be said of it runs below its row."""
    made: list[Flowable] = []
    planned = [*answer.plan.items(), *(("other", light) for light in answer.others)]
    reasons = {light.unknown for _, light in planned}
    shared = next(iter(reasons)) if len(planned) > 1 and len(reasons) == 1 and all(light.at_m is None and light.why is None for _, light in planned) else None
    if shared:
        made += desk.sentences([f"The light plan: {unknown(shared)}"])
    elif planned:
        columns = [
            Column("Place", 0.7), Column("Light", 0.9), Column("Stands at: along and up the plan, height", 2.2), Column("To the face", 0.8, "end"),
            Column("Light there", 0.8, "end"), Column("Fits", 0.6),
        ]  # fmt: skip
        made.append(Ledger(desk.setter, columns, [_light(desk, name, light) for name, light in planned], missing=NOT_KNOWN, space_after=4.0))
    made += desk.sentences([answer.available_light_first or "", unknown(answer.unknown) if answer.unknown != shared else ""])
    parts = (answer, *answer.framings, *answer.plan.values(), *answer.others)
    desk.assume(sentence for part in parts for sentence in part.assumed)
    return made


def _light(desk: Desk, name: str, light: PlanLight) -> Row:
    at = None
    if light.at_m is not None:
        x, y, z = (length(value, desk.units) for value in light.at_m)
        at = f"{x}, {y}; {z}"
    cells = (
        Cell(name, bold=True), Cell(light.light or "none"), Cell(at or ("nowhere" if light.fits is False else NOT_KNOWN)),
        Cell(length(light.distance_m, desk.units) or ""), Cell(number(light.lux, 0, "lux") or ""), _fits(light.fits),
    )  # fmt: skip
    return Row(cells, " ".join(part for part in (f"{light.why.rstrip('.')}." if light.why else "", unknown(light.unknown)) if part))
