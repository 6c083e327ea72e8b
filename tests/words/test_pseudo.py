"""In a language that marks every template, nothing is left that nobody marked: no sentence is built
anywhere but in the catalogue.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, time
from gettext import NullTranslations
from typing import Any

import pytest

from scout.assess.answers import RoomAssessment
from scout.assess.room import assess_room
from scout.records import RoomSheet
from scout.values import Said, Spoken
from scout.words import Reader, language, reading
from tests.assess.daylight.test_daylight import SHEET

# the letters of a template become letters that no key is for; names of values stay readable
MARKED = {ord(sign): ord(sign) + 0xFEE0 for sign in map(chr, range(33, 127)) if sign.isalpha()}
PLACES = re.compile(r"(\{[^{}]*\})")
UNITS = frozenset({"UTC"})
BABEL = frozenset(
    [
        "Jan",
        "Feb",
        "Mar",
        "Apr",
        "May",
        "June",
        "July",
        "Aug",
        "Sept",
        "Oct",
        "Nov",
        "Dec",
        "and",
        "or",
    ]
)
MODELS = frozenset({"WMM", "IGRF"})  # of the magnetic field: names
ON = date(2026, 6, 21)


class Marking(NullTranslations):
    """Every message in letters of its own."""

    def pgettext(self, context: str, message: str) -> str:
        return "".join(
            part if part.startswith("{") else part.translate(MARKED)
            for part in PLACES.split(message)
        )

    def npgettext(self, context: str, msgid1: str, msgid2: str, n: int) -> str:
        return self.pgettext(context, msgid1 if n == 1 else msgid2)


@pytest.fixture(autouse=True)
def pseudo(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setitem(language.INSTALLED, "xx", Marking())
    monkeypatch.setitem(language.BABEL_NAMES, "xx", "en_GB")
    language.locale_of.cache_clear()
    yield
    language.locale_of.cache_clear()


KIT: dict[str, Any] = {
    **SHEET["kit"],
    "lights": [
        {"id": "Softbox 90", "watts": 300, "supply": "mains", "lux_at_1m": 9000, "cct_k": 5600},
        {"id": "Panel", "watts": 100, "supply": "mains", "lux_at_1m": 900, "cct_k": 3200},
    ],
    "mics": [{"id": "Boom", "kind": "shotgun", "distance_m": 0.6}],
}
SHEETS = {
    "measured": {**SHEET, "kit": KIT},
    "bare": {"schema": "room-sheet/1", "room": {"name": "Attic"}},
    "without colours": {**SHEET, "kit": KIT, "room": {**SHEET["room"], "surfaces": None}},
}


def texts(value: Any) -> Iterator[str]:
    """Everything said in an answer."""
    if isinstance(value, Said):
        yield str(value)
    elif isinstance(value, (tuple, list)):
        for part in value:
            yield from texts(part)
    elif hasattr(value, "__dataclass_fields__") and not isinstance(value, Spoken):
        for name in value.__dataclass_fields__:
            yield from texts(getattr(value, name))
    elif isinstance(value, dict):
        for part in value.values():
            yield from texts(part)


def spoken(found: RoomAssessment) -> Iterator[str]:
    for finding in found.findings:
        yield f"{finding}"
        yield f"{finding:full}"
        for act in finding.acts:
            yield f"{act}"
            yield f"{act.when}"
    yield from texts(found)


def typed(value: Any) -> Iterator[str]:
    """The words that people typed into a sheet."""
    if isinstance(value, str):
        yield from re.findall(r"[A-Za-z]+", value)
    elif isinstance(value, dict):
        for key, part in value.items():
            yield from typed(part)
            yield from re.findall(r"[A-Za-z]+", str(key))
    elif isinstance(value, list):
        for part in value:
            yield from typed(part)


@pytest.mark.parametrize("units", ["metric", "feet"])
@pytest.mark.parametrize("name", SHEETS)
def test_nothing_is_said_that_no_template_says(name: str, units: Any) -> None:
    sheet = RoomSheet.model_validate(SHEETS[name])
    # ISO 3166-1: a country's code is the same in every language
    known = (
        UNITS | BABEL | MODELS | {"GB"} | {*typed(SHEETS[name])} | {chr(65 + i) for i in range(26)}
    )
    found = assess_room(sheet, ON, from_time=time(9), until_time=time(17), framing="medium")
    with reading(Reader(units, "xx")):
        left = {
            (word, text)
            for text in spoken(found)
            for word in re.findall(r"[A-Za-z]{2,}", text)
            if word not in known
        }
    assert sorted({word for word, _ in left}) == [], left
    assert found.findings


def test_what_no_template_says_is_found() -> None:
    with reading(Reader("metric", "xx")):
        assert Marking().pgettext("", "{n} to [{m}]") == "{n} ｔｏ [{m}]"
