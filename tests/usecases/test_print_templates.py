"""Choices of a print under a name, kept by two people at the same instant."""

from __future__ import annotations

import pytest

from scout.records import ProductionRecord
from scout.usecases import print_templates, productions
from scout.usecases.revisions import Wanted
from scout.usecases.work import Work


def test_what_two_keep_under_one_name_at_once_is_the_later_one(
    work: Work, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = productions.add_production(work, ProductionRecord.read({"title": "Tide"}))
    first, second = Wanted("whole", None, "a4", "metric"), Wanted("light", None, "letter", "feet")
    print_templates.keep_template(work, job, "crew", first)
    rows, seen = print_templates._rows, list[int]()

    def not_yet(work: Work, production_id: int) -> list[print_templates.PrintTemplate]:
        seen.append(production_id)  # who looked first saw none
        return [] if len(seen) == 1 else rows(work, production_id)

    monkeypatch.setattr(print_templates, "_rows", not_yet)
    print_templates.keep_template(work, job, "crew", second)
    assert [one.wanted for one in print_templates.templates(work, job)] == [second]
