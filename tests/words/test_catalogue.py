"""The catalogue as a whole: every code is said, with its own values, in few words, names intact."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime, time
from pathlib import Path
from statistics import median
from string import Formatter
from typing import Annotated, Any, get_args, get_origin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scout.assess.answers import Act, Finding
from scout.assess.answers.acts import ACTS
from scout.assess.answers.finding import LEVELS, ROLES, TOPICS, catalogue, figure_types
from scout.values import Figure, Many, Name, Said, Spell, Word
from scout.words import MESSAGES, Reader, full, line, reading
from scout.words.vocabulary import code_of

SCOUT = Path(__file__).resolve().parents[2] / "scout"
MOST_WORDS, MEDIAN_WORDS = 20, 12
TURNING = set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")  # never said as typed
# Words that a text written by somebody holds may be anything; these are the awkward ones.
NAMES = st.text(min_size=1, max_size=12).filter(
    lambda text: text.strip() == text and "None" not in text and not set(text) & TURNING
) | st.sampled_from(
    ["Softbox 90 cm", "wall", "Boom 3 m", "כיסא 3", "{key}", "[fill]", "key and fill", "W1"]
)


def fields_of(template: str | tuple[str, str, str]) -> set[str]:
    texts = template[:2] if isinstance(template, tuple) else (template,)
    found = {name for text in texts for _, name, _, _ in Formatter().parse(text) if name}
    return found | ({template[2]} if isinstance(template, tuple) else set())


def calls() -> Iterator[tuple[Path, int, str, set[str], bool]]:
    """Every `said("code", ...)` and `act("code", ...)` in the program, with the names it gives."""
    for path in sorted(SCOUT.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Name)
                and node.func.id in ("said", "act")
                and node.args
                and isinstance(node.args[0], ast.Constant)
            ):
                given_names = {one.arg for one in node.keywords if one.arg}
                spread = any(one.arg is None for one in node.keywords)
                prefix = "act." if node.func.id == "act" else ""
                yield path, node.lineno, prefix + str(node.args[0].value), given_names, spread


def test_every_message_of_the_code_is_in_the_catalogue_with_its_values() -> None:
    wrong = []
    for path, number, code, given_names, spread in calls():
        where = f"{path.name}:{number} {code}"
        if code not in MESSAGES:
            wrong.append(f"{where} is in no catalogue")
        elif not spread and (missing := fields_of(MESSAGES[code]) - given_names):
            wrong.append(f"{where} is not given {', '.join(sorted(missing))}")
    assert wrong == []


def test_no_line_begins_with_what_was_typed() -> None:
    """A light may be called key: a line that began with its name would begin small."""
    typed = []
    for code, kind in catalogue().items():
        template = MESSAGES[code]
        first = re.match(r"\{(\w+)\}", template[0] if isinstance(template, tuple) else template)
        if first and (first[1] == "about" or figure_types(kind).get(first[1]) in (Name, Many)):
            typed.append(code)
    assert typed == []


def test_every_finding_and_act_is_said_with_its_own_values() -> None:
    wrong = []
    for code, kind in catalogue().items():
        own = {*figure_types(kind), "about", "level"}
        for key in (code, f"{code}.full", *(f"{code}.{level}" for level in kind.levels)):
            if key not in MESSAGES:
                if key == code:
                    wrong.append(f"{code} has no line")
            elif missing := fields_of(MESSAGES[key]) - own:
                wrong.append(f"{key} asks for {', '.join(sorted(missing))}")
    for code, kind in ACTS.items():
        if f"act.{code}" not in MESSAGES:
            wrong.append(f"act {code} has no line")
        elif missing := fields_of(MESSAGES[f"act.{code}"]) - set(kind.values):
            wrong.append(f"act {code} asks for {', '.join(sorted(missing))}")
    assert wrong == []


def test_no_template_is_left_over() -> None:
    used = {code for _, _, code, _, _ in calls()} | {f"act.{code}" for code in ACTS}
    used |= {code for kind in catalogue() for code in (kind, f"{kind}.full")}
    used |= {f"{code}.{level}" for code, kind in catalogue().items() for level in kind.levels}
    source = "\n".join(
        path.read_text(encoding="utf-8")
        for path in SCOUT.rglob("*.py")
        if "english" not in path.parts
    )
    vocabularies = {code.split(".")[0] + "." for code in vocabulary_codes()}
    left = [
        code
        for code in MESSAGES
        if code not in used
        and f'"{code}"' not in source
        and not any(code.startswith(one) for one in vocabularies)
    ]
    assert left == []


def vocabulary_codes() -> set[str]:
    # this test alone asks
    from scout.words.english import (
        dayneeds,
        editions,
        events,
        facts,
        furniture,
        topics,
        units,
        vocabulary,
    )

    files = (vocabulary, units, facts, furniture, topics, events, editions, dayneeds)
    return {code for file in files for code in file.MESSAGES}


def test_codes_topics_and_levels_are_declared() -> None:
    for code, kind in catalogue().items():
        assert kind.topic in TOPICS, code
        assert code.startswith(f"{kind.topic}."), code
        assert kind.levels, code
        assert set(kind.levels) <= set(LEVELS), code
        assert (kind.__doc__ or "").count("Why:") == 1, f"{code}: say why in its docstring"
    for code, act_kind in ACTS.items():
        assert act_kind.who in ROLES, code


def a_value(kind: Any, name: str) -> st.SearchStrategy[Any]:
    """Any value of an annotated type."""
    if get_origin(kind) is Annotated:
        unit = get_args(kind)[1]
        positive = unit not in ("deg", "mired", "dB", "stops", "", "dBA")
        numbers = st.floats(0.01 if positive else -400, 4000, allow_nan=False)
        return numbers.map(lambda number: Figure(number, unit))
    options = [one for one in get_args(kind) if one is not type(None)]
    if options and get_origin(kind) is not tuple:
        made = st.one_of([a_value(one, name) for one in options])
        return st.none() | made if type(None) in get_args(kind) else made
    if kind is Name:
        return NAMES.map(Name)
    if kind is Word:
        return st.sampled_from([Word("surface", "A"), Word("surface", "ceiling")])
    if kind is Many:
        return st.lists(NAMES.map(Name), min_size=1, max_size=3).map(lambda some: Many(tuple(some)))
    if kind is Spell:
        return st.just(Spell(time(10, 5), time(12, 30)))
    if kind is Said:
        return st.just(Said("value.missing"))
    if kind is datetime:
        return st.just(datetime(2026, 6, 20, 14, 10, tzinfo=UTC))
    if kind is int:
        return st.integers(1, 30)
    raise AssertionError(f"{name}: {kind} is no type that a finding may carry")


@st.composite
def findings(draw: st.DrawFn, kind: type[Finding]) -> Finding:
    values = {name: draw(a_value(one, name)) for name, one in figure_types(kind).items()}
    level = draw(st.sampled_from(kind.levels))
    return kind(level=level, about=(Name(draw(NAMES)),), **values)


def names_in(values: Mapping[str, Any]) -> Iterator[str]:
    for value in values.values():
        if isinstance(value, Name):
            yield value.text
        elif isinstance(value, Many):
            yield from (one.text for one in value if isinstance(one, Name))


@pytest.mark.parametrize("code", sorted(catalogue()))
@pytest.mark.parametrize("units", ["metric", "feet"])
def test_any_finding_is_said_with_names_as_typed(code: str, units: str) -> None:
    kind = catalogue()[code]
    asked = fields_of(MESSAGES[code])

    @settings(max_examples=15, deadline=None, database=None)
    @given(findings(kind))
    def check(finding: Finding) -> None:
        with reading(Reader(units)):  # type: ignore[arg-type]
            said, whole = line(finding), full(finding)
        optional = str(MESSAGES[code]).count("[")
        figures = {name: one for name, one in finding.figures().items() if name in asked}
        if not optional:
            assert all(name in said for name in names_in(figures))
        assert said
        assert whole
        assert "None" not in said
        assert "None" not in whole

    check()


def test_lines_are_short() -> None:
    lengths = []
    for code in (*catalogue(), *(f"act.{code}" for code in ACTS)):
        template = MESSAGES[code]
        texts = template[:2] if isinstance(template, tuple) else (template,)
        for text in texts:
            plain = re.sub(r"\[[^\]]*\]", "", text)  # what is always there
            count = len(re.sub(r"\{[^}]*\}", "x", plain).split())
            assert count <= MOST_WORDS, f"{code}: {text}"
            lengths.append(count)
    assert median(lengths) <= MEDIAN_WORDS


def test_every_word_of_the_sheet_is_said() -> None:
    for vocabulary, key in (("mic", "omni_clip"), ("material", "person"), ("surface", "floor")):
        code_of(vocabulary, key)


def test_an_act_knows_its_values() -> None:
    assert all(isinstance(Act(code, kind.who, kind.when), Act) for code, kind in ACTS.items())
