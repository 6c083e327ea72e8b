"""What changed between two revisions, as messages a crew can read.

What a revision held and the next does not may have been made private or put in the bin: a text that
is gone is never said again, and of a note only what it says now.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Any, get_args

from scout.packet.content import PacketChange
from scout.records import LocationRecord, ProductionRecord, RoomRecord, SceneRecord
from scout.records.base import Record
from scout.records.parts import PARTS
from scout.records.setups import SetupRecord
from scout.units import Units
from scout.values import Figure, Many, Name, Said, Unit, Value, Word, said
from scout.words import MESSAGES

MOST_LINES = 60
MOST_CHARACTERS = 80
MOST_VALUES = 4  # of a list of words that is said in full
NUMBERED = (
    "crew notes",
    "photos",
    "on_photos",
)  # what lies under these has no name of its own: its number is nothing to read
_UNITS: dict[str, Unit] = {
    "m": "m",
    "m2": "m2",
    "deg": "deg",
    "db": "dB",
    "k": "K",
    "w": "W",
    "a": "A",
    "v": "V",
    "lux": "lux",
    "mm": "mm",
    "s": "s",
    "pct": "%",
}
# where the words of a field stand, if they are not what somebody typed
VOCABULARIES = {
    "state": "state",
    "covering": "covering",
    "finish": "finish",
    "material": "material",
    "setting": "setting",
    "method": "method",
    "framing": "framing",
    "phone_signal": "signal",
    "facing_north": "north",
    "audience": "audience",
}


def _fields(record: Any) -> Iterator[str]:
    """The names of a record's facts and of those of the records in it."""
    if isinstance(record, type) and issubclass(record, Record):
        for name, field in record.model_fields.items():
            yield name
            yield from _fields(field.annotation)
    for inner in get_args(record):
        yield from _fields(inner)


FACTS = frozenset(
    name
    for record in (LocationRecord, RoomRecord, SceneRecord, SetupRecord, ProductionRecord)
    for name in _fields(record)
) | {"candidates", "setups", "marks", "plan", "state", "reason"}


# things that go by two names at once ("room, place"), and the two
Pairs = Mapping[str, Many]


def differences(
    before: Mapping[str, Any], after: Mapping[str, Any], pairs: Pairs = MappingProxyType({})
) -> list[PacketChange]:
    """One message a change, in the order of what is there now; past MOST_LINES the rest is counted.

    before, after: plain JSON objects whose first keys are the names of things (rooms, places,
        scenes)
    """
    found = []
    for name in after:
        of = pairs.get(name, name)
        if name not in before:
            found.append(PacketChange(of, said("change.added")))
        else:
            within = _within(before[name], after[name], (), pairs)
            found += [PacketChange(of, what) for what in within]
    gone = [name for name in before if name not in after]
    found += [PacketChange(pairs.get(name, name), said("change.gone")) for name in gone]
    rest = len(found) - MOST_LINES
    return (
        [*found[:MOST_LINES], PacketChange("", said("change.further", n=rest))]
        if rest > 0
        else found
    )


def consequences(
    before: Mapping[str, Any],
    after: Mapping[str, Any],
    units: Units,
    pairs: Pairs = MappingProxyType({}),
) -> list[PacketChange]:
    """What follows: for each setup that both revisions have, the findings that are new, read
    otherwise, or gone. Each is kept as it is said to either reader, with what it says (`gist`): the
    same said in other words is no change.
    """
    found = []
    for setup, now in after.items():
        was, of = before.get(setup), pairs.get(setup, setup)
        if was is None:
            continue
        for key, said_now in now.items():
            old = was.get(key)
            if old is None:
                found.append(PacketChange(of, said("change.now", line=Name(said_now[units]))))
            elif old["metric"] != said_now["metric"] and not _reworded(old, said_now):
                became = said("change.instead", line=Name(said_now[units]), before=Name(old[units]))
                found.append(PacketChange(of, became))
        found += [
            PacketChange(of, said("change.no_longer", line=Name(old[units])))
            for key, old in was.items()
            if key not in now
        ]
    return found


def _reworded(old: Mapping[str, Any], now: Mapping[str, Any]) -> bool:
    """Whether a finding says the same as before in other words: another version of the program."""
    same = (old.get(key) == now.get(key) for key in ("level", "gist"))
    return "gist" in old and all(same)


def line(change: PacketChange) -> str:
    """A change on one line, with what it belongs to."""
    if not change.of:
        return str(change.what)
    of = Name(change.of) if isinstance(change.of, str) else change.of
    return str(said("change.line", of=of, what=change.what))


def _within(before: Any, after: Any, path: tuple[str, ...], pairs: Pairs) -> Iterator[Said]:
    if isinstance(before, Mapping) and isinstance(after, Mapping):
        for key in [*after, *(key for key in before if key not in after)]:
            yield from _within(before.get(key), after.get(key), (*path, key), pairs)
    elif _nameless(before) and _nameless(after):
        if len(before) != len(after):
            counts = Figure(len(before)), Figure(len(after))
            where = _where(path, pairs)
            yield said("change.became", where=where, was=counts[0], value=counts[1])
            return
        for number, (one, other) in enumerate(zip(before, after, strict=True), start=1):
            of_several = (str(number),) if len(after) > 1 else ()
            yield from _within(one, other, (*path, *of_several), pairs)
    elif before != after:
        where = _where(path, pairs)
        of_a_note = path[-2:-1] and path[-2] in NUMBERED
        was, now = (value_of(one, path[-1] if path else "") for one in (before, after))
        if before in EMPTY:
            if of_a_note or now is None:
                yield said("change.part_added", where=where, value=now)
            else:
                yield said("change.recorded", where=where, value=now)
        elif after in EMPTY:
            gone = None if isinstance(before, (str, list)) else was
            yield said("change.part_gone", where=where, was=gone)
        elif was is None or now is None or of_a_note:
            yield said("change.changed", where=where, value=now if of_a_note else None)
        else:
            yield said("change.became", where=where, was=was, value=now)


def _nameless(value: Any) -> bool:
    """Whether it is a list of things that go by no name, as setups: they go by their number."""
    return isinstance(value, list) and value != [] and all(isinstance(i, Mapping) for i in value)


EMPTY: tuple[Any, ...] = (None, {}, [])


def _where(path: tuple[str, ...], pairs: Pairs) -> Value:
    parts: list[Value] = []
    for before, part in zip(("", *path), path, strict=False):
        if before in PARTS:  # "window W2": one of its kind
            parts[-1] = Said(f"kind.{before}", (("label", Name(part)),))
        elif before not in NUMBERED:
            parts.append(pairs.get(part) or _part(part))
    whole: Value = parts[0] if parts else said("change.it")
    for inner in parts[1:]:
        whole = said("change.within", outer=whole, inner=inner)
    return whole


def _part(part: str) -> Value:
    if part in NUMBERED:
        return Word("held", part)
    return Word("fact", part) if part in FACTS else Name(part)


def told(value: Any, path: tuple[str, ...]) -> Value:
    """What a value of the record says, with all its parts; that it is not recorded, for None."""
    if value is None or value in EMPTY:
        return said("change.not_recorded")
    if isinstance(value, Mapping):
        return Many(tuple(told(inner, (*path, key)) for key, inner in value.items()), "list")
    if isinstance(value, list):
        return Many(tuple(told(inner, path) for inner in value), "list")
    return value_of(value, path[-1] if path else "") or said("change.not_recorded")


def value_of(value: Any, key: str) -> Value | None:
    """A value of the record under its key, or a few words; None for what has parts, or for more."""
    if isinstance(value, list) and 0 < len(value) <= MOST_VALUES:
        words = [value_of(one, key) for one in value if isinstance(one, str)]
        each = tuple(one for one in words if one is not None)
        return Many(each, "list") if len(each) == len(value) else None
    if value is None or isinstance(value, (Mapping, list)):
        return None
    if isinstance(value, bool):
        return Word("claim", "yes" if value else "no")
    if isinstance(value, (int, float)):
        return Figure(value, _UNITS.get(key.rpartition("_")[2], ""))
    if f"{VOCABULARIES.get(key, '')}.{value}" in MESSAGES:
        return Word(VOCABULARIES[key], value)
    text = " ".join(str(value).split())
    cut = text if len(text) <= MOST_CHARACTERS else f"{text[: MOST_CHARACTERS - 1]}…"
    return said("change.text", text=Name(cut))
