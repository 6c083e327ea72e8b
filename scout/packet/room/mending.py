"""What mends the colour of a room: where the bounced light comes from, the remedies that help most,
mixed light.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import Level, RemedyAnswer, Risk, RoomAssessment
from scout.assess.bounce.recorded import ASSUMED
from scout.drawing.shapes import Drawing
from scout.packet.beside import beside
from scout.packet.blocks import Desk, Figure
from scout.packet.setting.table import Cell, Column, Ledger
from scout.packet.setting.text import QUIET, SMALL
from scout.packet.words import unknown

RISKS: dict[Risk, Level] = {"none": "good", "low": "good", "medium": "care", "high": "problem"}
ORDER: tuple[Risk, ...] = ("none", "low", "medium", "high")
LINES = 8  # of remedies a room: more than the half page that is theirs holds
WORTH = 0.5  # CIEDE2000: a remedy that gains less is not worth the walk
CAUTION = "Gel, cloth and boards near a lamp get hot: use what is made for it, keep it off the lamp, weight every stand."


def mending(desk: Desk, found: RoomAssessment, plan: Drawing | None) -> list[Flowable]:
    """The plan of the bounced light with the best remedies beside it, and mixed light; nothing
    where none of it was worked out.
    """
    if any(row.doubt for row in found.bounce) or any(row.doubt for row in found.surround):
        desk.assume([str(ASSUMED)])
    drawn = desk.figure(plan, "") if plan is not None else []
    if plan is not None and isinstance(drawn[0], Figure):
        title = desk.text(f"{plan.title}, in percent: the closer the hatching, the more.", QUIET)
        return beside(desk, drawn[0], [title, *_said(desk, found)])
    return [*drawn, *_said(desk, found)]


def _said(desk: Desk, found: RoomAssessment) -> list[Flowable]:
    return [*_remedies(desk, found), *_mixed(desk, found)]


def best_remedies(rows: Sequence[RemedyAnswer]) -> list[RemedyAnswer]:
    """What helps most: for every light and side the best, then second ones while there is room, in
    the order of the sides.
    """
    by_target: dict[tuple[str, Any], list[RemedyAnswer]] = {}
    for row in rows:
        if _helps(row):
            by_target.setdefault((row.light, row.target), []).append(row)
    ranked = [sorted(those, key=_rank) for those in by_target.values()]
    chosen = [*(those[0] for those in ranked), *(those[1] for those in ranked if len(those) > 1)][
        :LINES
    ]
    return [row for those in ranked for row in those if row in chosen]


def _helps(row: RemedyAnswer) -> bool:
    if (
        row.delta_e_before is None
        or row.delta_e_after is None
        or row.risk_before is None
        or row.risk_after is None
    ):
        return False
    return row.delta_e_before - row.delta_e_after >= WORTH and ORDER.index(
        row.risk_after
    ) <= ORDER.index(row.risk_before)


def _rank(row: RemedyAnswer) -> tuple[int, float]:
    return ORDER.index(row.risk_after or "high"), row.delta_e_after or 0.0


def _remedies(desk: Desk, found: RoomAssessment) -> list[Flowable]:
    rows = found.remedies
    if rows is None:
        return []
    desk.assume(sentence for row in rows for sentence in row.assumed)
    best = best_remedies(rows)
    if not best:
        judged = any(row.risk for row in found.bounce) or any(row.risk for row in found.surround)
        words = (
            "Of all that was worked out again, nothing mends the colour of this room."
            if rows
            else "No colour here needs mending."
        )
        return desk.sentences([words]) if rows or judged else []
    columns = [
        Column("What mends it, worked out again", 3.0),
        Column("Grey off, ΔE", 0.8),
        Column("Risk", 0.9),
        Column("Stops", 0.45, "end"),
    ]
    lines = [
        (
            Cell(f"{row.light}, {row.target}: {row.action}"),
            f"{row.delta_e_before:.1f} to {row.delta_e_after:.1f}",
            Cell(f"{row.risk_before} to {row.risk_after}", level=RISKS[row.risk_after or "high"]),
            _stops(row.stops_change),
        )
        for row in best
    ]
    return [
        Ledger(desk.setter, columns, lines, missing="unknown", space_after=3.0),
        desk.text(CAUTION, QUIET),
    ]


def _stops(change: float | None) -> str | None:
    return None if change is None else "0" if abs(change) < 0.05 else f"{change:+.1f}"


def _mixed(desk: Desk, found: RoomAssessment) -> list[Flowable]:
    """Daylight in colour, and all the lights together under either sky."""
    told = {one.unknown for name, one in found.blocks.items() if name in ("bounce", "surround")}
    said: list[str] = []
    if found.window_surround and "window_surround" in found.blocks:
        desk.assume(found.blocks["window_surround"].assumed)
    both = [mixed for mixed in (found.mixed, found.mixed_clear) if mixed is not None]
    for mixed, sky in zip(both, ("an overcast", "a clear"), strict=False):
        if (
            mixed.delta_e_between is None and mixed.unknown in told
        ):  # the reason stands above already
            continue
        desk.assume(mixed.assumed)
        parts = []
        if mixed.delta_e_between is not None:
            apart = (
                "" if mixed.mired_between is None else f"{abs(mixed.mired_between):.0f} mired and "
            )
            under = f" under {sky} sky" if mixed.window_cct_k is not None else ""
            parts.append(
                f"Mixed light{under}: with all lights on, the sides of the face are {apart}ΔE {mixed.delta_e_between:.1f} apart ({mixed.risk} risk)."
            )
            parts += [f"{deed}." for deed in mixed.acts]
            parts.append(f"Not all known, {mixed.unknown.rstrip('.')}." if mixed.unknown else "")
        elif mixed.unknown:
            parts.append(f"Mixed light: {unknown(mixed.unknown)}")
        said.append(" ".join(part for part in parts if part))
    return desk.sentences(said, SMALL) if said else []
