"""What is said of real rooms: short, with no key of the code in it, and each name as typed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from statistics import median

import pytest

from scout.assess.answers import Act, Finding
from scout.units import Units
from scout.values import Many, Name, Spoken
from scout.words import Reader, act_line, full, line, reading
from tests.demo_rooms import assessed

MOST_WORDS, MEDIAN_WORDS = 20, 12
KEY = re.compile(r"[a-z]+_[a-z_]+|[a-z]+\[\d|None|nan|inf\b")
BOTH: tuple[Units, ...] = ("metric", "feet")


def said_of_rooms(units: Units) -> Iterator[tuple[str, Finding | Act, str]]:
    with reading(Reader(units)):
        for room, _, found in assessed():
            for finding in found.findings:
                yield room, finding, line(finding)
                for act in finding.acts:
                    yield room, act, act_line(act)


def names_of(value: Finding | Act) -> Iterator[str]:
    values = value.figures() if isinstance(value, Finding) else dict(value.values)
    for one in values.values():
        if isinstance(one, Name):
            yield one.text
        elif isinstance(one, Many):
            yield from (item.text for item in one if isinstance(item, Name))


def without_names(text: str, value: Finding | Act) -> str:
    for name in names_of(value):
        text = text.replace(name, "N")
    return text


@pytest.mark.parametrize("units", BOTH)
def test_lines_of_rooms_are_short_and_plain(units: Units) -> None:
    lengths = []
    for room, value, text in said_of_rooms(units):
        plain = without_names(text, value)
        assert not KEY.search(plain), (room, text)
        # feet and inches are read as one length
        count = len(re.sub(r"(\d')\s(\d)", r"\1\2", plain).split())
        assert count <= MOST_WORDS, (room, text)
        assert text.strip() == text, (room, text)
        assert "  " not in text, (room, text)
        lengths.append(count)
    assert len(lengths) > 60
    assert median(lengths) <= MEDIAN_WORDS


def test_feet_readers_read_no_metres_and_metric_readers_no_feet() -> None:
    for room, value, text in said_of_rooms("feet"):
        assert not re.search(r"\d[\u00a0 ]?(m|m²|cm)(?![\w²])", without_names(text, value)), (
            room,
            text,
        )
    for room, value, text in said_of_rooms("metric"):
        assert not re.search(r"\d'|\d[\u00a0 ]ft\b", without_names(text, value)), (room, text)


@pytest.mark.parametrize("units", BOTH)
def test_every_answer_of_a_room_says_itself(units: Units) -> None:
    """Everything in an assessment that is to be said can be, in full, without a key of the code."""
    with reading(Reader(units)):
        for room, _, found in assessed():
            for finding in found.findings:
                assert not KEY.search(without_names(full(finding), finding)), (room, full(finding))
            for text in _messages(found):
                assert text, room
                assert not KEY.search(text), (room, text)


def _messages(value: object, depth: int = 0) -> Iterator[str]:
    if isinstance(value, (Finding, Act)) or depth > 6:
        return
    if isinstance(value, Spoken):
        yield re.sub(r"\u2068[^\u2069]*\u2069", "", str(value))
    elif isinstance(value, (tuple, list)):
        for one in value:
            yield from _messages(one, depth + 1)
    elif isinstance(value, dict):
        for one in value.values():
            yield from _messages(one, depth + 1)
    elif hasattr(value, "__dataclass_fields__"):
        for name in value.__dataclass_fields__:
            yield from _messages(getattr(value, name), depth + 1)


def test_nothing_is_green_that_the_kit_cannot_do() -> None:
    for room, setup, found in assessed():
        lights = [light.id for light in (setup.sheet.kit.lights if setup.sheet.kit else None) or ()]
        longest = max(
            (
                cable.length_m
                for cable in (setup.sheet.kit.cables if setup.sheet.kit else None) or ()
                if cable.length_m
            ),
            default=0.0,
        )
        short = {
            row.light
            for row in found.fit.plan.values()
            if row.light in lights and row.lead_m is not None and row.lead_m > longest
        }
        good = [one for one in found.findings if one.topic == "power" and one.level == "good"]
        for finding in good:
            assert not short & set(names_of(finding)), (room, line(finding))
        if short and setup.sheet.room.outlets:
            assert any(act.code == "bring.lead" for one in found.findings for act in one.acts), room
