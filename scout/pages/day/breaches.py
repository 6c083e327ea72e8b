"""Breaches and clashes of a day plan as messages."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from scout.calc.day.problem import Breach, BreachKind, Clause, Problem
from scout.values import Figure, Name, Said, Word, said


def breach_said(
    breach: Breach, problem: Problem, names: Sequence[Name], dates: Sequence[date]
) -> Said:
    """Something required that a plan breaks, and by how much."""
    by = Figure(breach.minutes, "min")
    if breach.kind == "order" and breach.scene is not None and breach.other is not None:
        return said("day.broken.order", scene=names[breach.scene], other=names[breach.other], by=by)
    if breach.scene is not None:
        return said(
            "day.broken.scene", scene=names[breach.scene], by=by, kind=Word("day_need", breach.kind)
        )
    rules = problem.rules
    on = dates[breach.day or 0]
    if breach.kind == "crew_hours":
        return said("day.broken.crew_hours", on=on, by=by, most=Figure(rules.crew_min / 60, "h"))
    if breach.kind == "rest":
        return said("day.broken.rest", on=on, by=by, least=Figure(rules.rest_min / 60, "h"))
    return said("day.broken.meal", on=on, by=by, most=Figure(rules.meal_within_min / 60, "h"))


def clause_said(clause: Clause, names: Sequence[Name], dates: Sequence[date]) -> Said:
    """One requirement of those that clash."""
    kind = Word("day_need", clause.kind)
    if clause.scene is not None:
        return said("day.clash.scene", scene=names[clause.scene], kind=kind)
    return said("day.clash.day", on=dates[clause.day or 0], kind=kind)


def outside_said(kind: BreachKind, minutes: int) -> Said:
    """What of a scene's wishes is missed."""
    return said("day.missed", by=Figure(minutes, "min"), kind=Word("day_need", kind))
