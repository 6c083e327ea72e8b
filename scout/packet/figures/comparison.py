"""Candidate rooms side by side, a row a need; no sum, no score."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import Level
from scout.assess.choice.cells import CellLevel, NeedCell
from scout.assess.choice.compare import ComparedCandidate, NeedRow
from scout.packet.blocks import HEADING, Desk, Section
from scout.packet.figures.content import PacketComparison
from scout.packet.setting.table import Cell, Column, Ledger, facts
from scout.packet.setting.text import QUIET
from scout.values import Word, said

ABREAST = 4  # more columns than this are too narrow to read on paper
_MARKS: dict[CellLevel, Level] = {
    "pass": "good",
    "care": "care",
    "fail": "problem",
    "unknown": "unknown",
    "outside": "outside",
}


def comparison_pages(
    desk: Desk, section: Section, compared: PacketComparison, first: bool = True
) -> list[Flowable]:
    """One scene's needs against its candidates, at most four abreast; on the page of the one before
    where it fits whole.
    """
    scene, table = compared.scene, compared.comparison
    made: list[Flowable] = [facts(desk.setter, [("Picture", scene.seen), ("Sound", scene.heard)])]
    if not table.candidates:
        made.append(desk.text("No room is proposed for this scene.", QUIET))
    elif not table.rows:
        made.append(
            desk.text("The scene asks for nothing yet, so there is nothing to compare.", QUIET)
        )
    for start in range(0, len(table.candidates), ABREAST):
        heads = table.candidates[start : start + ABREAST]
        if len(table.candidates) > ABREAST:
            words = said(
                "packet.candidates",
                first=start + 1,
                last=start + len(heads),
                count=len(table.candidates),
            )
            made.append(desk.text(words, HEADING))
        columns = [Column("Need", 1.1), *(Column(_head(head), 1.25) for head in heads)]
        rows: list[list[Cell | str | None]] = [
            [Cell("Choice"), *(Cell(_state(head)) for head in heads)]
        ]
        rows += [
            [Cell(_need(row)), *(_cell(cell) for cell in row.cells[start : start + ABREAST])]
            for row in table.rows
        ]
        rows.append([Cell("Summary"), *(Cell(head.summary) for head in heads)])
        made.append(Ledger(desk.setter, columns, rows))
    if table.candidates:
        made.append(
            desk.text(
                "A room that does not pass what is required is out; what is preferred is weighed by people, not summed here.",
                QUIET,
            )
        )
    return [
        *desk.begin(
            section,
            said("packet.comparison_on", on=table.on),
            None if first else desk.tall(made) + 60.0,
        ),
        *made,
    ]


def _head(head: ComparedCandidate) -> str:
    return f"{head.room_name}\n{head.location_name}"


def _state(head: ComparedCandidate) -> str:
    state = Word("state", head.state)
    return f"{state}: {head.reason}" if head.reason else str(state)


def _need(row: NeedRow) -> str:
    strength = said("packet.strength", strength=Word("strength", row.strength), weight=row.weight)
    return f"{row.need}\n({strength})"


def _cell(cell: NeedCell) -> Cell:
    level = Word("need_level", cell.level)
    figure = f"{level}: {cell.figure}" if cell.figure else str(level)
    return Cell(f"{figure}\n{cell.why}" if cell.why else figure, level=_MARKS[cell.level])
