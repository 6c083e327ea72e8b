"""Facts that do not fit each other: the record's side of the table that a phone's page judges by too."""

from __future__ import annotations

import re
from typing import Any

import pytest

from scout.errors import Refused
from scout.records.checks import sheet_refusals
from scout.records.sheet import RoomSheet
from tests.fitting_facts import FITTING, sheet_of


def refusals_of(facts: dict[str, Any]) -> list[tuple[str, str, str, Refused]]:
    """Kind, label and field of what does not fit, with its refusal."""
    data, found = sheet_of(facts), []
    for one in sheet_refusals(RoomSheet.read(data)):
        part = re.fullmatch(r"room\.(\w+)\[(\d+)\]\.(\w+)", one.path)
        if part is None:
            found.append(("marks", one.path.removeprefix("marks."), "", one))
        else:
            label = data["room"][part[1]][int(part[2])]["id"]
            found.append((part[1], label, part[3], one))
    return found


@pytest.mark.parametrize("number", range(len(FITTING)))
def test_what_does_not_fit_is_refused_at_its_field(number: int) -> None:
    facts, expected = FITTING[number]
    found = [
        (kind, label, field, getattr(one.because, "code", "").removeprefix("sheet."))
        for kind, label, field, one in refusals_of(facts)
    ]
    assert found == expected
