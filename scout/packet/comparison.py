"""Candidate rooms side by side, a row a need; no sum, no score."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from scout.assess.answers import Level
from scout.assess.choice.compare import CellLevel, ComparedCandidate, NeedCell, NeedRow
from scout.packet.blocks import HEADING, Desk, Section
from scout.packet.content import PacketComparison
from scout.packet.setting.table import Cell, Column, Ledger, facts
from scout.packet.setting.text import QUIET
from scout.packet.words import day, plain

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
    made: list[Flowable] = [
        facts(desk.setter, [("Must be seen", scene.seen), ("Must be heard", scene.heard)])
    ]
    if not table.candidates:
        made.append(desk.text("No room is proposed for this scene.", QUIET))
    elif not table.rows:
        made.append(
            desk.text("The scene asks for nothing yet, so there is nothing to compare.", QUIET)
        )
    for start in range(0, len(table.candidates), ABREAST):
        heads = table.candidates[start : start + ABREAST]
        if len(table.candidates) > ABREAST:
            words = f"Candidates {start + 1} to {start + len(heads)} of {len(table.candidates)}"
            made.append(desk.text(words, HEADING))
        columns = [Column("Need", 1.1), *(Column(_head(head), 1.25) for head in heads)]
        rows: list[list[Cell | str | None]] = [
            [Cell("Choice"), *(Cell(_state(head)) for head in heads)]
        ]
        rows += [
            [Cell(_need(row)), *(_cell(cell) for cell in row.cells[start : start + ABREAST])]
            for row in table.rows
        ]
        rows.append([Cell("In short"), *(Cell(head.summary) for head in heads)])
        made.append(Ledger(desk.setter, columns, rows))
    if table.candidates:
        made.append(
            desk.text(
                "A must that fails rules a room out; wishes are weighed by people, not summed here.",
                QUIET,
            )
        )
    return [
        *desk.begin(
            section, f"Comparison for {day(table.on)}", None if first else desk.tall(made) + 60.0
        ),
        *made,
    ]


def _head(head: ComparedCandidate) -> str:
    return f"{head.room_name}\n{head.location_name}"


def _state(head: ComparedCandidate) -> str:
    return f"{plain(head.state)}: {head.reason}" if head.reason else plain(head.state) or ""


def _need(row: NeedRow) -> str:
    weight = f", weight {row.weight} of 5" if row.weight is not None else ""
    return f"{row.need}\n({row.strength}{weight})"


def _cell(cell: NeedCell) -> Cell:
    figure = f"{cell.level}: {cell.figure}" if cell.figure else cell.level
    return Cell(f"{figure}\n{cell.why}" if cell.why else figure, level=_MARKS[cell.level])
