"""Findings and acts: what the engines answer with, as values; see `scout/words/` for how they are
said.

A finding is one judged fact about a setup. An act is what one person does at one time that changes
a finding, with what it buys, worked out again with the act done.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from datetime import datetime
from typing import Any, ClassVar, Literal, get_args, get_type_hints

from scout.values import Many, Said, Spoken, Unit, Value, plain_value, plain_values

Level = Literal["problem", "care", "unknown", "good", "outside"]
Topic = Literal["light", "sun", "colour", "sound", "power", "space", "access", "hours"]
Role = Literal["production", "camera", "light", "sound", "carry"]
LEVELS: tuple[Level, ...] = get_args(Level)  # worst first
TOPICS: tuple[Topic, ...] = get_args(Topic)
ROLES: tuple[Role, ...] = get_args(Role)
MOST_ACTS = 3  # a finding offers the three that do most


@dataclass(frozen=True)
class When(Spoken):
    """When an act is due: before the day, at load-in, or by the clock."""

    kind: Literal["before", "load_in", "on_day", "by", "between"] = "on_day"
    at: datetime | None = None
    until: datetime | None = None


BEFORE, LOAD_IN, ON_DAY = When("before"), When("load_in"), When("on_day")


@dataclass(frozen=True)
class Change:
    """What an act buys: a figure before it and after it, both worked out."""

    figure: str  # the name of the figure: "delta_e", "lead_m"
    unit: Unit
    before: float
    after: float


@dataclass(frozen=True)
class Act(Spoken):
    """What one person does; its code is listed in `acts.ACTS` with its values and who does it."""

    code: str
    who: Role
    when: When
    values: tuple[tuple[str, Value | None], ...] = ()
    buys: Change | None = None

    @property
    def deed(self) -> Act:
        """The act by itself: what it buys differs from finding to finding, who does it does not."""
        return replace(self, buys=None)

    def __getitem__(self, name: str) -> Any:
        return dict(self.values)[name]


@dataclass(frozen=True, kw_only=True)
class Finding(Spoken):
    """One judged fact; a subclass is a code, its further fields are the figures."""

    code: ClassVar[str] = ""
    topic: ClassVar[Topic]
    levels: ClassVar[tuple[Level, ...]] = ()  # those it can take
    level: Level
    about: tuple[Value, ...] = ()  # names of lights, windows, walls
    rests_on: tuple[str, ...] = ()  # paths of the sheet: a page links to the fields that change it
    acts: tuple[Act, ...] = ()
    instead: tuple[Act, ...] = ()  # done in place of an act that stands, never beside it

    def said(self) -> Said:
        """Its line as a message, for what quotes it."""
        about = self.about[0] if len(self.about) == 1 else Many(self.about) if self.about else None
        return Said(self.code, tuple({"about": about, **self.figures()}.items()))

    def figures(self) -> dict[str, Any]:
        """The values of this finding by name; None where one is not known or not said."""
        return {name: getattr(self, name) for name in figure_types(type(self))}


BASE_FIELDS = frozenset(field.name for field in fields(Finding))
_TYPES: dict[type[Finding], Mapping[str, Any]] = {}


def figure_types(kind: type[Finding]) -> Mapping[str, Any]:
    """The figures of a code, by name, with their annotated types; read once for each class."""
    if kind not in _TYPES:
        hints = get_type_hints(kind, localns={"Said": Said}, include_extras=True)
        names = [field.name for field in fields(kind) if field.name not in BASE_FIELDS]
        _TYPES[kind] = {name: hints[name] for name in names}
    return _TYPES[kind]


def catalogue() -> dict[str, type[Finding]]:
    """Every code there is, with its class, in the order of their names."""
    import scout.assess.room  # noqa: F401  # whoever assesses a room has met every family

    found: dict[str, type[Finding]] = {}
    waiting = list(Finding.__subclasses__())
    while waiting:
        kind = waiting.pop()
        waiting += kind.__subclasses__()
        if kind.code:
            assert found.get(kind.code, kind) is kind, kind.code  # two of one name
            found[kind.code] = kind
    return dict(sorted(found.items()))


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings in the order of their level, else as they came."""
    return tuple(sorted(findings, key=lambda finding: LEVELS.index(finding.level)))


def worst_level(levels: Iterable[Level]) -> Level:
    """The worst of several levels; `outside` where there are none."""
    return min(levels, key=LEVELS.index, default="outside")


def finding_json(finding: Finding) -> dict[str, Any]:
    """A finding in the published keys, said for whoever reads now."""
    return {
        "code": finding.code,
        "topic": finding.topic,
        "level": finding.level,
        "about": [plain_value(one)["value"] for one in finding.about],
        "line": f"{finding:line}",
        "full": f"{finding:full}",
        "figures": plain_values(finding.figures()),
        "rests_on": list(finding.rests_on),
        "acts": [act_json(act) for act in finding.acts],
        "instead": [act_json(act) for act in finding.instead],
    }


def act_json(act: Act) -> dict[str, Any]:
    """An act in the published keys, said for whoever reads now."""
    buys = None
    if act.buys is not None:
        buys = {
            "figure": act.buys.figure,
            "unit": act.buys.unit,
            "before": act.buys.before,
            "after": act.buys.after,
        }
    when: dict[str, Any] = {"kind": act.when.kind}
    if act.when.at is not None:
        when["at"] = act.when.at.isoformat()
    if act.when.until is not None:
        when["until"] = act.when.until.isoformat()
    figures = plain_values(dict(act.values))
    return {
        "code": act.code,
        "who": act.who,
        "when": when,
        "line": str(act),
        "figures": figures,
        "buys": buys,
    }
