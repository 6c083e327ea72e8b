"""What the surfaces of a room do to light: the best bounce for each light, every surface against
every light, and the sides of a face.
"""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import BounceAnswer, Risk, RoomAssessment, SurroundAnswer
from scout.assess.bounce.worst import best_of
from scout.packet.blocks import NOT_KNOWN, Desk
from scout.packet.figures.room.mending import RISKS
from scout.packet.setting.table import Cell, Column, Ledger, Row
from scout.packet.setting.text import QUIET
from scout.values import Figure, Many, Name, Said, Word, names, said, words
from scout.words.figures import Words, figure, number, span, surfaces, unknown

LIGHTS_ABREAST = 4  # more columns than this are too narrow to read on paper


def bounce(desk: Desk, found: RoomAssessment) -> list[Flowable]:
    """What each surface does to each light that is bounced off it, and what surrounds the subject."""
    made = desk.heading("Bounce", 110.0)
    block, around = found.blocks.get("bounce"), found.blocks.get("surround")
    if found.bounce:
        made += _best(desk, found.bounce)
        made += _grid(desk, found.bounce)
    else:
        made.append(desk.text("No light was bounced off a surface.", QUIET))
    if found.surround:
        made += _sides(desk, found.surround)
    printed = {one.unknown for one in (*found.bounce, *found.surround)}
    reasons = [part.unknown for part in (block, around) if part and part.unknown not in printed]
    made += desk.sentences(map(unknown, dict.fromkeys(reasons)))
    desk.assume(sentence for part in (block, around) if part for sentence in part.assumed)
    desk.assume(sentence for one in (*found.bounce, *found.surround) for sentence in one.assumed)
    return made


def _best(desk: Desk, rows: Sequence[BounceAnswer]) -> list[Flowable]:
    """A line a light: the surface to use and its figures; what to do stands with the findings."""
    lines: list[Row] = []
    for light in dict.fromkeys(row.light for row in rows):
        best = best_of([row for row in rows if row.light == light])
        if best is None:
            continue
        lost = best.loss_stops
        figures = [
            _colour(best),
            None if lost is None else said("packet.lost", stops=Figure(lost, "stops")),
            _warmer(best),
        ]
        shown = ", ".join(str(part) for part in figures if part)
        risk = _risk(best.risk, best.doubt)
        lines.append(
            Row([Cell(light, bold=True), Cell(surfaces([best.surface])), risk, Cell(shown)])
        )
    columns = [
        Column("Light", 0.8),
        Column("Best off", 0.8),
        Column("Cast", 0.9),
        Column("Figures", 3.2),
    ]
    return [Ledger(desk.setter, columns, lines, space_after=6.0)] if lines else []


def _colour(one: BounceAnswer | SurroundAnswer) -> Said | None:
    cast = one.delta_e
    return None if cast is None else said("packet.cast", cast=Figure(cast, "delta_e"))


def _warmer(one: BounceAnswer) -> Words | None:
    if one.mired_shift is not None:
        return figure(one.mired_shift, "mired", "signed,exact")
    return (
        "no white light any more" if one.delta_e is not None else None
    )  # too far from white to have a temperature


def _risk(risk: Risk | None, doubt: Words | None) -> Cell:
    if risk is None:
        return Cell(NOT_KNOWN, level="unknown")
    return Cell(doubt or Word("risk", risk), bold=True, level=RISKS[risk])


def _grid(desk: Desk, rows: Sequence[BounceAnswer]) -> list[Flowable]:
    """Surface by light; what is unknown for all lights is said below instead, each reason once."""
    lights = list(dict.fromkeys(row.light for row in rows))
    names = list(dict.fromkeys(row.surface for row in rows))
    of = {(row.surface, row.light): row for row in rows}
    known = [
        name
        for name in names
        if any(_figures(of[name, light]) for light in lights if (name, light) in of)
    ]
    made: list[Flowable] = []
    for start in range(0, len(lights) if known else 0, LIGHTS_ABREAST):
        here = lights[start : start + LIGHTS_ABREAST]
        columns = [Column("Surface", 0.6), *(Column(light, 1.3) for light in here)]
        grid = [
            [Cell(name, bold=True), *(_cell(of.get((name, light))) for light in here)]
            for name in known
        ]
        made.append(Ledger(desk.setter, columns, grid, space_after=3.0))
    if known:
        made.append(
            desk.text(
                "Colour cast on a bounced face against the same light direct (1 = just visible), and the light lost.",
                QUIET,
            )
        )
    return made + desk.sentences(_unknowns(rows, lights, names))


def _figures(one: BounceAnswer) -> bool:
    return any(
        value is not None for value in (one.risk, one.delta_e, one.loss_stops, one.loss_stops_range)
    )


def _cell(one: BounceAnswer | None) -> Cell:
    if one is None:
        return Cell("")
    stops = number(one.loss_stops, 1, "stops") or span(one.loss_stops_range or (), 1, "stops")
    return _figured(one.risk, [one.risk and Word("risk", one.risk), _colour(one), stops])


def _figured(risk: Risk | None, parts: Sequence[Words | None]) -> Cell:
    first, *rest = parts
    shown = " · ".join(str(part) for part in (first or NOT_KNOWN, *rest) if part)
    return Cell(shown, level="unknown" if risk is None else RISKS[risk])


def _unknowns(
    rows: Sequence[BounceAnswer], lights: Sequence[str], surfaces_: Sequence[str]
) -> list[Said]:
    """A message a reason: which surfaces, and for which lights unless it holds for all of them."""
    reasons: dict[Said, dict[str, list[str]]] = {}
    for row in rows:
        if row.unknown:
            reasons.setdefault(row.unknown, {}).setdefault(row.surface, []).append(row.light)
    made = []
    for reason, by_surface in reasons.items():
        by_lights: dict[tuple[str, ...], list[str]] = {}
        for surface, lit in by_surface.items():
            by_lights.setdefault(tuple(lit), []).append(surface)
        parts = []
        for lit_by, those in by_lights.items():
            every = len(those) == len(surfaces_) and len(surfaces_) > 1
            what = said("packet.every_surface") if every else words("surface", those)
            only = None if len(lit_by) == len(lights) else names(lit_by)
            parts.append(said("packet.surfaces_for", what=what, lights=only))
        of = Many(tuple(parts), "list")
        if any(_figures(row) for row in rows if row.unknown == reason):
            made.append(said("packet.not_all_known", of=of, why=reason))
        else:
            made.append(said("packet.unknown_of", of=of, why=reason))
    return made


def _sides(desk: Desk, rows: Sequence[SurroundAnswer]) -> list[Flowable]:
    """A row a light aimed at the subject: its lit side and its shadow side."""
    columns = [
        Column("Light", 0.6),
        Column("On the subject, lit side", 1.7),
        Column("Shadow side", 2.0),
    ]
    of = {(row.light, row.side): row for row in rows}
    lights = list(dict.fromkeys(row.light for row in rows))
    known = [
        light
        for light in lights
        if any(
            row.risk is not None or row.bounced_share is not None
            for row in rows
            if row.light == light
        )
    ]
    made: list[Flowable] = []
    if known:
        lines = [
            [
                Cell(light, bold=True),
                _side(of.get((light, "key"))),
                _side(of.get((light, "shadow"))),
            ]
            for light in known
        ]
        made.append(Ledger(desk.setter, columns, lines, space_after=4.0))
    reasons: dict[Said, list[Said]] = {}
    for row in rows:
        if row.unknown:
            side = None if row.light not in known else Word("side", row.side)
            who = said("packet.light_side", light=Name(row.light), side=side)
            if who not in reasons.setdefault(row.unknown, []):
                reasons[row.unknown].append(who)
    return made + desk.sentences(
        said("packet.unknown_on_subject", of=Many(tuple(who)), why=why)
        for why, who in reasons.items()
    )


def _side(one: SurroundAnswer | None) -> Cell:
    if one is None:
        return Cell("")
    share, under = one.bounced_share, one.contrast_stops
    lit, worst = one.side == "key", one.worst_surface
    parts = [
        one.doubt or (one.risk and Word("risk", one.risk)),
        _colour(one),
        said("packet.bounced", share=Figure(share * 100.0, "%"))
        if lit and share is not None
        else None,
        said("packet.under", stops=Figure(under, "stops"))
        if not lit and under is not None
        else None,
        said("packet.off", surface=Word("surface", worst)) if worst else None,
    ]
    return _figured(one.risk, parts)
