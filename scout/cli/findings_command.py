"""`scout findings`: every finding and act there can be, with its figures and an example of each."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, time
from types import NoneType
from typing import Annotated, Any, get_args, get_origin

import click

from scout import words
from scout.assess.answers.acts import ACTS, act
from scout.assess.answers.finding import LEVELS, ROLES, TOPICS, Finding, catalogue, figure_types
from scout.cli.common import JSON_OPTION, print_json
from scout.values import Figure, Many, Name, Said, Spell, Unit, Word

# A likely number of each unit, for the examples.
LIKELY: Mapping[Unit, float] = {
    "": 0.5,
    "count": 2,
    "m": 2.4,
    "m2": 4.0,
    "m3": 60.0,
    "mm": 35.0,
    "deg": 30.0,
    "s": 0.6,
    "min": 45.0,
    "Hz": 50.0,
    "dB": 6.0,
    "dBA": 34.0,
    "lux": 640.0,
    "stops": 1.0,
    "%": 80.0,
    "K": 3200.0,
    "mired": 40.0,
    "delta_e": 4.2,
    "W": 650.0,
    "A": 10.0,
    "f": 2.8,
    "shutter_s": 0.02,
}
KINDS: Mapping[Any, tuple[str, Any]] = {  # what a value without a unit is, and an example of it
    Name: ("name", Name("key")),
    Word: ("word", Word("surface", "B")),
    Many: ("list", Many((Name("key"), Name("fill")))),
    Spell: ("time", Spell(time(14, 10), time(15, 5))),
    Said: ("code", Said("value.missing")),
    datetime: ("time", datetime(2026, 6, 20, 14, 10, tzinfo=UTC)),
    time: ("time", time(14, 10)),
    int: ("count", 2),
}


def _plainest(kind: Any) -> Any:
    """The first type of several that a figure may be, None aside."""
    if get_origin(kind) is Annotated or kind in KINDS:
        return kind
    return next((_plainest(one) for one in get_args(kind) if one is not NoneType), kind)


def unit_of(kind: Any) -> str:
    """The unit of an annotated type, or what it is where it has none."""
    plainest = _plainest(kind)
    return get_args(plainest)[1] if get_origin(plainest) is Annotated else KINDS[plainest][0]


def example_of(kind: Any) -> Any:
    """A likely value of an annotated type."""
    plainest = _plainest(kind)
    if get_origin(plainest) is Annotated:
        unit: Unit = get_args(plainest)[1]
        return Figure(LIKELY.get(unit, 1.0), unit)
    return KINDS[plainest][1]


def example_finding(kind: type[Finding]) -> Finding:
    """A finding of a code at its worst level, every figure given."""
    figures = {name: example_of(one) for name, one in figure_types(kind).items()}
    return kind(level=min(kind.levels, key=LEVELS.index), about=(Name("key"),), **figures)


def _meaning(kind: type[Finding]) -> str:
    return (kind.__doc__ or "").strip().partition("\n\n")[0].replace("\n    ", " ")


def findings_json() -> dict[str, Any]:
    """The whole catalogue in plain values."""
    return {
        "levels": list(LEVELS),
        "topics": list(TOPICS),
        "roles": list(ROLES),
        "findings": {
            code: {
                "topic": kind.topic,
                "levels": [level for level in LEVELS if level in kind.levels],
                "meaning": _meaning(kind),
                "figures": {name: unit_of(one) for name, one in figure_types(kind).items()},
                "example": words.line(example_finding(kind)),
            }
            for code, kind in catalogue().items()
        },
        "acts": {
            code: {
                "who": kind.who,
                "when": kind.when.kind,
                "figures": {name: unit_of(one) for name, one in kind.values.items()},
                "example": words.act_line(
                    act(code, **{name: example_of(one) for name, one in kind.values.items()})
                ),
            }
            for code, kind in sorted(ACTS.items())
        },
    }


@click.command(help="Print every code of findings and acts, with its figures and an example.")
@JSON_OPTION
def command(as_json: bool) -> None:
    """The catalogue."""
    made = findings_json()
    if as_json:
        print_json(made)
        return
    for name in ("findings", "acts"):
        click.echo(f"{name.capitalize()}:")
        for code, one in made[name].items():
            click.echo(f"  {code:<26} {one['example']}")
