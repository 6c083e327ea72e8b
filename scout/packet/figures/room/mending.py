"""Fixes of the colour of a room: where the bounced light comes from, what helps most, mixed light."""

from __future__ import annotations

from collections.abc import Sequence
from typing import get_args

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import Level, RemedyAnswer, Risk, RoomAssessment
from scout.assess.recorded import ASSUMED
from scout.drawing.shapes import Drawing
from scout.packet.blocks import NOT_KNOWN, Desk, Drawn
from scout.packet.figures.beside import beside
from scout.packet.setting.table import Cell, Column, Ledger
from scout.packet.setting.text import QUIET, SMALL
from scout.values import Figure, Name, Said, Word, said
from scout.words.figures import Words, act_message, figure, sentence

RISKS: dict[Risk, Level] = {"none": "good", "low": "good", "medium": "care", "high": "problem"}
RISKS_IN_ORDER: tuple[Risk, ...] = get_args(Risk)
LINES = 8  # of remedies a room: more than the half page that is theirs holds
CAUTION = "Gel, cloth and boards near a lamp get hot: use what is made for it, keep it off the lamp, weight every stand."


def mending(desk: Desk, found: RoomAssessment, plan: Drawing | None) -> list[Flowable]:
    """The plan of the bounced light with the best remedies beside it, and mixed light; nothing
    where none of it was worked out.
    """
    if any(row.doubt for row in found.bounce) or any(row.doubt for row in found.surround):
        desk.assume([ASSUMED])
    drawn = desk.figure(plan, "") if plan is not None else []
    words = [*_remedies(desk, found), *_mixed(desk, found)]
    if plan is not None and isinstance(drawn[0], Drawn):
        title = desk.text(said("packet.hatched", plan=Name(plan.title)), QUIET)
        return beside(desk, drawn[0], [title, *words])
    return [*drawn, *words]


def best_remedies(rows: Sequence[RemedyAnswer]) -> list[RemedyAnswer]:
    """What helps most: for every light and side the best, then second ones while there is room, in
    the order of the sides.
    """
    by_target: dict[tuple[str, Words], list[RemedyAnswer]] = {}
    for row in rows:
        by_target.setdefault((row.light, row.target), []).append(row)
    ranked = [sorted(those, key=_rank) for those in by_target.values()]
    chosen = [*(those[0] for those in ranked), *(those[1] for those in ranked if len(those) > 1)][
        :LINES
    ]
    return [row for those in ranked for row in those if row in chosen]


def _rank(row: RemedyAnswer) -> tuple[int, float]:
    return RISKS_IN_ORDER.index(row.risk_after), row.delta_e_after


def _remedies(desk: Desk, found: RoomAssessment) -> list[Flowable]:
    rows = found.remedies
    if rows is None:
        return []
    desk.assume(sentence for row in rows for sentence in row.assumed)
    if not rows:
        judged = any(row.risk for row in found.bounce) or any(row.risk for row in found.surround)
        return desk.sentences(
            ["No fix of the colour is needed here, or none helps"] if judged else []
        )
    columns = [
        Column("Fixes, worked out again", 3.0),
        Column("Colour cast", 0.8),
        Column("Risk", 0.9),
        Column("Stops", 0.45, "end"),
    ]
    lines = [
        (
            Cell(_fix(row)),
            _from_to(*map(_cast, (row.delta_e_before, row.delta_e_after))),
            Cell(
                _from_to(*map(_risk, (row.risk_before, row.risk_after))),
                level=RISKS[row.risk_after],
            ),
            figure(row.stops_change, "stops", "1,signed,exact,bare"),
        )
        for row in best_remedies(rows)
    ]
    return [
        Ledger(desk.setter, columns, lines, missing=NOT_KNOWN, space_after=3.0),
        desk.text(CAUTION, QUIET),
    ]


def _fix(row: RemedyAnswer) -> Said:
    return said(
        "packet.fix",
        light=Name(row.light),
        target=row.target,
        action=act_message(row.action),
    )


def _from_to(before: Figure | Word | None, after: Figure | Word | None) -> Said:
    return said("packet.from_to", before=before, after=after)


def _cast(delta_e: float | None) -> Figure | None:
    return None if delta_e is None else Figure(delta_e, "delta_e")


def _risk(risk: str | None) -> Word | None:
    return None if risk is None else Word("risk", risk)


def _mixed(desk: Desk, found: RoomAssessment) -> list[Flowable]:
    """All the lights together under either sky."""
    printed = {one.unknown for name, one in found.blocks.items() if name in ("bounce", "surround")}
    if found.window_surround and "window_surround" in found.blocks:
        desk.assume(found.blocks["window_surround"].assumed)
    made: list[Words] = []
    both = [mixed for mixed in (found.mixed, found.mixed_clear) if mixed is not None]
    for mixed, sky in zip(both, ("overcast", "clear"), strict=False):
        if mixed.delta_e_between is None and mixed.unknown in printed:  # it stands above already
            continue
        desk.assume(mixed.assumed)
        if mixed.delta_e_between is not None:
            apart = mixed.mired_between
            sides = said(
                "packet.mixed",
                sky=Word("sky", sky) if mixed.window_cct_k is not None else None,
                mired=None if apart is None else Figure(abs(apart), "mired"),
                cast=Figure(mixed.delta_e_between, "delta_e"),
                risk=Word("risk", mixed.risk or "none"),
            )
            parts: list[Words] = [sides, *mixed.acts]
            if mixed.unknown:
                parts.append(said("packet.mixed_part", why=mixed.unknown))
            made.append(" ".join(sentence(part) for part in parts if part))
        elif mixed.unknown:
            made.append(said("packet.mixed_unknown", why=mixed.unknown))
    return desk.sentences(made, SMALL)
