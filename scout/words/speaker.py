"""Says a value, a message, a finding or an act for the reader: fills the templates.

Specs of a place in a template: those of figures (`quantities.py`); `plain` for a name or word
without its article; `cap` for a capital first; `date`, `long` (with its weekday), `short` and `month` (without year), `when`
for instants; for lists `or`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, time
from functools import lru_cache
from itertools import groupby
from string import Formatter
from typing import Any, Literal
from unicodedata import bidirectional

from babel.lists import format_list

from scout.assess.answers.finding import Act, Finding, When
from scout.values import Figure, Many, Name, Said, Spell, Word
from scout.words import quantities, times, vocabulary
from scout.words.catalogue import MESSAGES
from scout.words.language import locale_of, translated
from scout.words.reader import Reader, current

ISOLATE, END_ISOLATE = "\u2068", "\u2069"
RIGHT_TO_LEFT = frozenset({"R", "AL", "AN"})
_TURNING = dict.fromkeys((*range(0x202A, 0x202F), *range(0x2066, 0x206A)))
_SURFACE = re.compile(r"(?:room\.)?surfaces\.([^.]+)\.(\w+)")
MOST_LETTERS = 6  # of walls named one by one
_OPTIONAL = re.compile(r"\[([^\[\]]*)\]")
_FORMATTER = Formatter()


def say(value: Any, spec: str = "", reader: Reader | None = None) -> str:
    """Any value, for the current reader or another. A text is returned as it stands."""
    return _say(value, spec, reader or current())


def line(finding: Finding) -> str:
    """A finding in one short line, figures rounded to what can be acted on; in words of its level
    where the catalogue has them, so that a line of care does not sound like a good one.
    """
    levelled = f"{finding.code}.{finding.level}"
    code = levelled if levelled in MESSAGES else finding.code
    return _finding(finding, code, replace(current(), rounded=True))


def full(finding: Finding) -> str:
    """A finding in full, with its exact figures."""
    reader = current()
    code = f"{finding.code}.full"
    if code not in MESSAGES:
        return line(finding)
    return _finding(finding, code, reader)


def act_line(act: Act) -> str:
    """An act in one line, verb first; the time stands apart, see `when_words`."""
    reader = current()
    rounded = replace(reader, rounded=True)
    return _filled(f"act.{act.code}", dict(act.values), rounded)


def or_line(act: Act) -> str:
    """An act that could be done in place of one that stands, with what it would buy."""
    buys = act.buys
    ends = (None, None) if buys is None else (buys.before, buys.after)
    before, after = (
        None if end is None or buys is None else Figure(end, buys.unit) for end in ends
    )
    return _filled("look.or", {"act": act, "before": before, "after": after}, current())


def when_words(when: When) -> str:
    """When an act is due."""
    values = {"at": when.at, "until": when.until}
    return _filled(f"when.{when.kind}", values, current())


def _finding(finding: Finding, code: str, reader: Reader) -> str:
    values = {"level": Word("level", finding.level), **finding.figures()}
    if len(finding.about) == 1:
        values.setdefault("about", finding.about[0])
    elif finding.about:
        values.setdefault("about", Many(finding.about))
    return _filled(code, values, reader)


def _say(value: Any, spec: str, reader: Reader) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, Finding):
        return full(value) if spec == "full" else line(value)
    if isinstance(value, Act):
        return act_line(value)
    if isinstance(value, When):
        return when_words(value)
    if isinstance(value, Figure):
        return quantities.figure(value, spec, reader)
    if isinstance(value, Name):
        return isolated(value.text, reader)
    if isinstance(value, Word):
        return _word(value, spec, reader)
    if isinstance(value, Said):
        text = _filled(value.code, dict(value.values), reader)
        return text if _begins_as_typed(value, reader) else _capital(text, spec)
    if isinstance(value, Many):
        return _many(value, spec, reader)
    if isinstance(value, Spell):
        return _spell(value, reader, _offsets([value], reader))
    if isinstance(value, datetime):
        if spec == "when":
            return times.when(value, reader)
        return times.day(value, reader, spec) if spec in times.FORMS else times.clock(value, reader)
    if isinstance(value, time):
        return times.clock(value, reader)
    if isinstance(value, date):
        return times.day(value, reader, spec or "date")
    if isinstance(value, int):
        return quantities.number(value, 0, reader)
    raise TypeError(f"{value!r} cannot be said")


def _capital(text: str, spec: str) -> str:
    return text[:1].upper() + text[1:] if "cap" in spec.split(",") else text


def _begins_as_typed(value: Any, reader: Reader) -> bool:
    """Whether a message begins with what somebody typed, which keeps its small letter."""
    if isinstance(value, Many):
        return bool(value.items) and _begins_as_typed(value.items[0], reader)
    if not isinstance(value, Said):
        return isinstance(value, Name)
    values = dict(value.values)
    for optional, parts in _parsed(translated(value.code, reader)):
        if optional and any(name is not None and values.get(name) is None for _, name, _ in parts):
            continue
        literal, name, _ = parts[0]
        return not literal and name is not None and _begins_as_typed(values.get(name), reader)
    return False


def isolated(text: str, reader: Reader) -> str:
    """What was typed, as typed; isolated where its direction differs from the sentence's, and
    without what would turn the text round it (Unicode Technical Report 36, 2.4).
    """
    text = text.translate(_TURNING)
    rtl = locale_of(reader.language).text_direction == "rtl"
    other = any(
        (bidirectional(sign) in RIGHT_TO_LEFT) != rtl
        for sign in text
        if bidirectional(sign) in RIGHT_TO_LEFT or bidirectional(sign) == "L"
    )
    return f"{ISOLATE}{text}{END_ISOLATE}" if other else text


def _many(value: Many, spec: str, reader: Reader) -> str:
    style = "or" if spec == "or" or value.style == "or" else "and"
    item_spec = "" if spec == "or" else spec
    if value.items and all(isinstance(one, Word) and one.vocabulary == "surface" for one in value):
        said = _surfaces([one.key for one in value if isinstance(one, Word)], style, reader)
        return _capital(said, spec)
    if value.items and all(isinstance(one, Word) and one.vocabulary == "fact" for one in value):
        said_items = list(_facts([one.key for one in value if isinstance(one, Word)], reader))
        return _capital(listed(said_items, reader, style), spec)
    spells = [one for one in value if isinstance(one, Spell)]
    if spells and len(spells) == len(value):
        offsets = _offsets(spells, reader)
        said_items = [_spell(one, reader, offsets) for one in spells]
    else:
        said_items = [_say(one, item_spec, reader) for one in value]
    if value.style == "list":
        return ", ".join(said_items)
    return listed(said_items, reader, style)


def listed(texts: list[str], reader: Reader, style: str = "and") -> str:
    """`A, B and C` in the reader's language."""
    kind: Literal["or", "standard"] = "or" if style == "or" else "standard"
    return format_list(texts, style=kind, locale=locale_of(reader.language))


def _facts(paths: list[str], reader: Reader) -> Iterator[str]:
    """Facts by name; the same fact of several surfaces in one breath."""
    fields = [_SURFACE.fullmatch(path) for path in paths]
    by_field: dict[str, list[str]] = {}
    for match in fields:
        if match is not None and f"facts.{match[2]}" in MESSAGES:
            by_field.setdefault(match[2], []).append(match[1])
    for path, match in zip(paths, fields, strict=True):
        surfaces = by_field.get(match[2], []) if match is not None else []
        if len(surfaces) < 2:
            yield fact(path, reader)
        elif match is not None and match[1] == surfaces[0]:
            text = translated(f"facts.{match[2]}", reader)
            yield text.replace("{surfaces}", _surfaces(surfaces, "and", reader))


def _surfaces(keys: list[str], style: str, reader: Reader) -> str:
    """`walls A and C and the ceiling`: the walls together, then the others by name."""
    walls = [key for key in keys if vocabulary.is_wall(key)]
    phrases = [_word(Word("surface", key), "", reader) for key in keys if key not in walls]
    if len(walls) == 1:
        phrases.insert(0, _word(Word("surface", walls[0]), "", reader))
    elif walls:
        letters = walls if len(walls) <= MOST_LETTERS else list(_runs(walls, reader))
        phrases.insert(
            0,
            translated("surface.walls", reader).replace("{walls}", listed(letters, reader, style)),
        )
    return listed(phrases, reader, style)


def _runs(walls: list[str], reader: Reader) -> Iterator[str]:
    """Letters of walls, those that follow each other as `A to F`."""
    from scout.calc.geometry import wall_number  # whoever names few walls waits for no numpy

    numbers = sorted(map(wall_number, walls))
    letters = {wall_number(wall): wall for wall in walls}
    for _, run in groupby(enumerate(numbers), lambda pair: pair[1] - pair[0]):
        found = [letters[number] for _, number in run]
        if len(found) < 3:
            yield from found
        else:
            text = translated("surface.run", reader)
            yield text.replace("{first}", found[0]).replace("{last}", found[-1])


def _offsets(spells: Sequence[Spell], reader: Reader) -> bool:
    """Whether the clocks change within these spells: each then says its distance from UTC."""
    ends = [end for one in spells for end in (one.start, one.end)]
    return len({times.offset_for(end, reader) for end in ends}) > 1


def _spell(value: Spell, reader: Reader, offsets: bool) -> str:
    start, end = (
        times.clock(end, reader) + (f" ({times.offset_for(end, reader)})" if offsets else "")
        for end in (value.start, value.end)
    )
    return translated("spell", reader).replace("{start}", start).replace("{end}", end)


def _word(value: Word, spec: str, reader: Reader) -> str:
    if value.vocabulary == "fact":
        return _capital(fact(value.key, reader), spec)
    if value.vocabulary == "weekday":
        return times.weekday(value.key, reader)
    code, values = vocabulary.code_of(value.vocabulary, value.key, plain="plain" in spec.split(","))
    text = translated(code, reader)
    for name, inside in values.items():
        text = text.replace("{" + name + "}", inside)
    return _capital(text, spec)


def fact(path: str, reader: Reader) -> str:
    """A path of the sheet as it is said: `room.windows[0].sill_m` becomes `window 1 sill`."""
    return (
        " ".join(
            part if code is None else translated(code, reader).replace("{label}", part)
            for code, part in vocabulary.fact_parts(path)
        )
        or path
    )


def _filled(code: str, values: Mapping[str, Any], reader: Reader) -> str:
    template = MESSAGES[code]
    count = None
    if isinstance(template, tuple):
        counted = values[template[2]]
        count = (
            counted.value
            if isinstance(counted, Figure)
            else counted
            if isinstance(counted, int)
            else len(counted)
            if isinstance(counted, Many)
            else 1
        )
    text = translated(code, reader, count)
    return "".join(_pieces(text, values, reader))


def _pieces(text: str, values: Mapping[str, Any], reader: Reader) -> Iterator[str]:
    for optional, parts in _parsed(text):
        if optional and any(name is not None and values.get(name) is None for _, name, _ in parts):
            continue
        for literal, name, spec in parts:
            yield literal
            if name is not None:
                value = values.get(name)
                yield _say(MISSING if value is None else value, spec or "", reader)


MISSING = Said("value.missing")


@lru_cache(maxsize=4096)
def _parsed(text: str) -> tuple[tuple[bool, tuple[tuple[str, str | None, str | None], ...]], ...]:
    made = []
    for i, part in enumerate(_OPTIONAL.split(text)):
        if part:
            fields = tuple((lit, name, spec) for lit, name, spec, _ in _FORMATTER.parse(part))
            made.append((bool(i % 2), fields))
    return tuple(made)
