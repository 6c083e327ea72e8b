"""What the surfaces of a room do to light: the best bounce for each light, every surface against
every light, and the sides of a face.
"""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import BounceAnswer, Risk, RoomAssessment, SurroundAnswer
from scout.assess.bounce.worst import best_of
from scout.packet.blocks import Desk
from scout.packet.room.mending import RISKS
from scout.packet.setting.table import Cell, Column, Ledger, Row
from scout.packet.setting.text import QUIET
from scout.packet.words import listed, number, surfaces, unknown

NOT_KNOWN = "unknown"
LIGHTS_ABREAST = 4  # more columns than this are too narrow to read on paper


def bounce(desk: Desk, found: RoomAssessment) -> list[Flowable]:
    """What each surface does to each light that is bounced off it, and what surrounds the subject."""
    made = desk.heading("Bounce", 110.0)
    block, around = found.blocks.get("bounce"), found.blocks.get("surround")
    if found.bounce:
        made += _best(
            desk, found.bounce, "\n".join(verdict.because for verdict in found.verdicts).casefold()
        )
        made += _grid(desk, found.bounce)
    else:
        made.append(desk.text("No light was bounced off a surface.", QUIET))
    if found.surround:
        made += _sides(desk, found.surround)
    told = {one.unknown for one in (*found.bounce, *found.surround)}
    made += desk.sentences(
        dict.fromkeys(
            unknown(part.unknown) for part in (block, around) if part and part.unknown not in told
        )
    )
    desk.assume(sentence for part in (block, around) if part for sentence in part.assumed)
    desk.assume(sentence for one in (*found.bounce, *found.surround) for sentence in one.assumed)
    return made


def _best(desk: Desk, rows: Sequence[BounceAnswer], verdicts: str) -> list[Flowable]:
    """A line a light: the surface to use, its figures, and what to do where no verdict has said it."""
    lines: list[Row] = []
    for light in dict.fromkeys(row.light for row in rows):
        best = best_of([row for row in rows if row.light == light])
        if best is None:
            continue
        figures = [_colour(best), number(best.loss_stops, 1, "stops lost"), _warmer(best)]
        shown = ", ".join(part for part in figures if part)
        lines.append(
            Row(
                [
                    Cell(light, bold=True),
                    Cell(surfaces([best.surface])),
                    _risk(best.risk, best.doubt),
                    Cell(shown),
                ],
                _do(best, verdicts),
            )
        )
    columns = [
        Column("Light", 0.8),
        Column("Best off", 0.8),
        Column("Cast", 0.9),
        Column("Figures, and what to do", 3.2),
    ]
    return [Ledger(desk.setter, columns, lines, space_after=6.0)] if lines else []


def _do(best: BounceAnswer, verdicts: str) -> str:
    return f"Do: {best.remedy}" if best.remedy and str(best.remedy) not in verdicts else ""


def _colour(one: BounceAnswer | SurroundAnswer) -> str | None:
    return None if one.delta_e is None else f"ΔE {one.delta_e:.1f}"


def _warmer(one: BounceAnswer) -> str | None:
    if one.mired_shift is not None:
        return f"{one.mired_shift:+.0f} mired"
    return (
        "no white light any more" if one.delta_e is not None else None
    )  # too far from white to have a temperature


def _risk(risk: Risk | None, doubt: str | None) -> Cell:
    return (
        Cell(NOT_KNOWN, level="unknown")
        if risk is None
        else Cell(doubt or risk, bold=True, level=RISKS[risk])
    )


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
                "Cast on a bounced face, its colour difference from the same light direct (ΔE of a grey card), and the light lost.",
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
    stops = number(one.loss_stops, 1, "stops")
    if stops is None and one.loss_stops_range is not None:
        stops = f"{one.loss_stops_range[0]:.1f} to {one.loss_stops_range[1]:.1f} stops"
    words = [one.risk or NOT_KNOWN, _colour(one), stops]
    return Cell(
        " · ".join(word for word in words if word),
        level="unknown" if one.risk is None else RISKS[one.risk],
    )


def _unknowns(
    rows: Sequence[BounceAnswer], lights: Sequence[str], names: Sequence[str]
) -> list[str]:
    """A sentence a reason: which surfaces, and for which lights unless it holds for all of them."""
    reasons: dict[str, dict[str, list[str]]] = {}
    for row in rows:
        if row.unknown:
            reasons.setdefault(row.unknown, {}).setdefault(row.surface, []).append(row.light)
    said = []
    for reason, by_surface in reasons.items():
        by_lights: dict[tuple[str, ...], list[str]] = {}
        for surface, lit in by_surface.items():
            by_lights.setdefault(tuple(lit), []).append(surface)
        parts = []
        for lit_by, those in by_lights.items():
            what = (
                "every surface" if len(those) == len(names) and len(names) > 1 else surfaces(those)
            )
            parts.append(what + ("" if len(lit_by) == len(lights) else f" for {listed(lit_by)}"))
        figures = any(_figures(row) for row in rows if row.unknown == reason)
        said.append(
            f"{'Not all known' if figures else 'Unknown'} of {'; '.join(parts)}: {reason.rstrip('.')}."
        )
    return said


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
    reasons: dict[str, list[str]] = {}
    for row in rows:
        if row.unknown:
            side = (
                ""
                if row.light not in known
                else " (lit side)"
                if row.side == "key"
                else " (shadow side)"
            )
            reasons.setdefault(row.unknown, []).append(row.light + side)
    return made + desk.sentences(
        f"Unknown of {listed(list(dict.fromkeys(who)))} on the subject: {why.rstrip('.')}."
        for why, who in reasons.items()
    )


def _side(one: SurroundAnswer | None) -> Cell:
    if one is None:
        return Cell("")
    share = (
        None
        if one.bounced_share is None or one.side == "shadow"
        else f"{one.bounced_share * 100:.0f} % bounced"
    )
    under = number(one.contrast_stops, 1, "stops under") if one.side == "shadow" else None
    worst = f"off {surfaces([one.worst_surface])}" if one.worst_surface else None
    words = [one.doubt or one.risk or NOT_KNOWN, _colour(one), share, under, worst]
    return Cell(
        " · ".join(word for word in words if word),
        level="unknown" if one.risk is None else RISKS[one.risk],
    )
