"""Messages kept in a row.

Expected answers: `property:` what is kept comes back the same, through JSON text.
"""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, time
from typing import Any

import pytest

from scout.store.messages import keep, kept
from scout.values import Figure, Many, Name, Said, Spell, Word, said


@pytest.mark.parametrize(
    "value",
    [
        Figure(2.4, "m"),
        Figure(28.0, "dBA", 25.0, 31.0),
        Name("Boom 3 m"),
        Word("surface", "A"),
        Spell(time(14, 10), time(15, 5)),
        Spell(datetime(2026, 5, 3, 10, tzinfo=UTC), datetime(2026, 5, 3, 11, tzinfo=UTC)),
        Many((Name("a"), Figure(1.0)), "or"),
        date(2026, 5, 3),
        datetime(2026, 5, 3, 10, 40, tzinfo=UTC),
        time(9, 30),
        7,
        None,
    ],
)
def test_property_a_message_comes_back_as_it_was(value: Any) -> None:
    for message in (said("record.missing"), Said("any", (("one", value), ("two", Name("x"))))):
        assert kept(json.loads(json.dumps(keep(message)))) == message
    assert kept(json.loads(json.dumps(keep(Many((said("a.b"),)))))) == Many((Said("a.b"),))


def test_what_an_earlier_version_kept_as_text_stays_that_text() -> None:
    assert kept("The capture time is not recorded.") == Name("The capture time is not recorded.")
