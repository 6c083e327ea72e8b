"""The table of the kinds of part, held to the record, to the words and to the rows.

Expected answers: `property:` throughout: what one place lists, the others know.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, get_args, get_origin

import pytest

from scout.records import RoomRecord
from scout.records.base import Record
from scout.records.parts import OWN_ROOM_FIELDS, PARTS, next_label
from scout.store import models, translate
from scout.words import MESSAGES


def _inside(annotation: Any) -> Iterator[Any]:
    yield annotation
    for one in get_args(annotation):
        yield from _inside(one)


def _parts_of(name: str) -> type[Record] | None:
    """The record that a field of a room holds a list of."""
    for held in _inside(RoomRecord.model_fields[name].annotation):
        for one in get_args(held) if get_origin(held) is tuple else ():
            if isinstance(one, type) and issubclass(one, Record):
                return one
    return None


def test_every_list_of_records_in_a_room_is_a_kind_of_part() -> None:
    lists = {
        name: _parts_of(name)
        for name in RoomRecord.model_fields
        if name != "skyline" and _parts_of(name) is not None
    }
    assert lists == {name: kind.record for name, kind in PARTS.items()}
    assert list(lists) == list(PARTS)  # in the order of the sheet


def test_what_is_neither_part_nor_surface_is_the_room_s_own() -> None:
    assert {*OWN_ROOM_FIELDS, *PARTS, "surfaces"} == set(RoomRecord.model_fields)
    assert len(OWN_ROOM_FIELDS) + len(PARTS) + 1 == len(RoomRecord.model_fields)
    assert {"name", "setting", "facing", "skyline"} <= set(OWN_ROOM_FIELDS)


@pytest.mark.parametrize("name", PARTS)
def test_a_kind_has_its_words_its_rows_and_its_record(name: str) -> None:
    kind = PARTS[name]
    assert kind.name == name
    assert {f"kind.{kind.one.key}", f"kind.{kind.many.key}", f"kind.{name}"} <= set(MESSAGES)
    assert models.PARTS[name].__name__ == kind.record.__name__
    assert getattr(models.Room, name).property.mapper.class_ is models.PARTS[name]
    assert translate.RECORDS[models.PARTS[name]] is kind.record


def test_labels_begin_with_a_letter_of_their_own() -> None:
    letters = [kind.letter for kind in PARTS.values() if "id" in kind.record.model_fields]
    assert None not in letters
    assert len(set(letters)) == len(letters)
    assert [n for n, k in PARTS.items() if k.letter is None] == ["contents"]


def test_the_next_label_is_the_first_that_nothing_has() -> None:
    room = RoomRecord.read(
        {
            "windows": [{"id": "W1", "wall": "A"}, {"id": "W3", "wall": "A"}],
            "outlets": [{"id": "W2"}],  # any label may stand on anything
        }
    )
    assert next_label(room, "windows") == "W4"
    assert next_label(room, "doors") == "D1"
    assert next_label(RoomRecord(), "windows") == "W1"
    assert next_label(room, "contents") is None


def test_only_readings_cannot_be_looked_for_in_vain() -> None:
    assert [name for name, kind in PARTS.items() if not kind.can_be_none] == ["noise", "readings"]
