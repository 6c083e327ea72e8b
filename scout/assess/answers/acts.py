"""Every act there is: its code, who does it, when as a rule, and the values it is said with.

How it is said stands under the same code in `words/english/acts.py`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from scout.assess.answers.base import of_kit
from scout.assess.answers.finding import (
    BEFORE,
    LEVELS,
    LOAD_IN,
    ON_DAY,
    Act,
    Change,
    Finding,
    Role,
    When,
)
from scout.values import (
    Area,
    Degrees,
    Hertz,
    Length,
    Many,
    Millimetres,
    Name,
    NoiseLevel,
    Plain,
    Said,
    Shutter,
    Speed,
    Spell,
    Stops,
    Value,
    VoltAmperes,
    Watts,
    Word,
)


@dataclass(frozen=True)
class ActKind:
    """An act in the catalogue."""

    who: Role
    when: When
    values: Mapping[str, Any]


def _kind(who: Role, when: When, **values: Any) -> ActKind:
    return ActKind(who, when, values)


ACTS: Mapping[str, ActKind] = {
    # what to bring
    "bring.lead": _kind("carry", BEFORE, lights=Many, lead=Length),
    "bring.cable": _kind("carry", BEFORE, light=Name, lead=Length, section=Plain),
    "bring.battery": _kind("light", BEFORE, lights=Many),
    "bring.splitter": _kind("light", BEFORE, circuit=Name, leads=Many),
    "swap.light": _kind("light", BEFORE, light=Name, most=VoltAmperes),
    "bring.light": _kind("light", BEFORE, short=Stops),
    "bring.stronger": _kind("light", BEFORE, part=Word, short=Stops),
    # what to measure: buys certainty, never a figure
    "measure": _kind("production", BEFORE, facts=Many),
    # what a kit says, and no tape
    "list.kit": _kind("production", BEFORE),
    "list.facts": _kind("production", BEFORE, facts=Many),
    "propose.room": _kind("production", BEFORE),
    "judge.others": _kind("production", BEFORE, people=Many),
    "ask.hours": _kind("production", BEFORE, place=Name),
    "ask.permit": _kind("production", BEFORE, place=Name, by=Said),
    "measure.cables": _kind("light", BEFORE),
    "measure.circuits": _kind("light", LOAD_IN, circuits=Many),
    # power on the day
    "free.circuit": _kind("production", ON_DAY, circuit=Name, watts=Watts),
    # light and sun
    "light.key": _kind("light", LOAD_IN, light=Name),
    "soften.light": _kind("light", LOAD_IN, lights=Many, stops=Stops),
    "arm.light": _kind("light", LOAD_IN, light=Name, height=Length),
    "leave.light": _kind("light", LOAD_IN, light=Name),
    "close.covering": _kind("light", ON_DAY, windows=Many),
    "cover.windows": _kind("light", ON_DAY, windows=Many),
    "flag.gloss": _kind("light", LOAD_IN, lights=Many, surface=Word),
    "cover.pieces": _kind("light", LOAD_IN, pieces=Many),
    "camera.nd": _kind("camera", ON_DAY, stops=Stops, iso=Speed, hours=Spell),
    "camera.iso": _kind("camera", ON_DAY, iso=Speed),
    # colour
    # on a wall: `along` from its left end as seen from inside, `height` from the floor
    "hang.white": _kind(
        "light", LOAD_IN, surface=Word, area=Area, along=Length, height=Length, lights=Many
    ),
    "stretch.white": _kind(
        "light", LOAD_IN, surface=Word, area=Area, width=Length, depth=Length, lights=Many
    ),
    "lay.white": _kind(
        "light", LOAD_IN, surface=Word, area=Area, width=Length, depth=Length, lights=Many
    ),
    "gel.light": _kind("light", LOAD_IN, gels=Many, lights=Many),
    "gel.practical": _kind("light", LOAD_IN, gels=Many, practical=Name),
    "gel.windows": _kind("light", LOAD_IN, gels=Many, light=Name),
    "key.daylight": _kind("light", LOAD_IN, gels=Many, light=Name),
    "practical.off": _kind("light", ON_DAY, practical=Name),
    "flag.lamp": _kind("light", LOAD_IN, lights=Many, surface=Word),
    "flag.black": _kind("light", LOAD_IN, away=Length, lights=Many),
    "camera.balance": _kind("camera", ON_DAY, surface=Word),
    # space
    "move.back": _kind("camera", LOAD_IN, back=Length),
    "camera.place": _kind("camera", LOAD_IN, distance=Length, lens=Millimetres, how=Said),
    "aim.between": _kind("camera", LOAD_IN, people=Many, lens=Millimetres, apart=Length),
    "camera.door": _kind("camera", LOAD_IN, door=Name, beyond=Length),
    "operate.beside": _kind("camera", ON_DAY, side=Word),
    "clamp.light": _kind("light", LOAD_IN, light=Name, height=Length),
    "camera.shutter": _kind("camera", ON_DAY, shutter=Shutter, mains=Hertz),
    "move.subject": _kind("camera", LOAD_IN, away=Length, surface=Word),
    "turn.subject": _kind("camera", LOAD_IN, turn=Degrees),
    # sound and hours
    "wait.noise": _kind("sound", ON_DAY, noise=Name, spell=Spell),
    "measure.noise": _kind("sound", BEFORE, hours=Spell),
    "have.conditions": _kind("sound", ON_DAY, conditions=Name, level=NoiseLevel),
    "switch.off": _kind("sound", ON_DAY, noise=Name, level=NoiseLevel),
    "hang.blankets": _kind("sound", LOAD_IN, surface=Word, length=Length, along=Length),
    "bring.lav": _kind("sound", BEFORE, distance=Length),
    "hang.mic": _kind("sound", LOAD_IN, mic=Name, height=Length),
    "move.mic": _kind("sound", ON_DAY, mic=Name, within=Length),
}


def act(
    code: str,
    /,
    *,
    who: Role | None = None,
    when: When | None = None,
    buys: Change | None = None,
    **values: Value | None,
) -> Act:
    """An act of the catalogue. Raises KeyError for a code, TypeError for a value it does not know."""
    kind = ACTS[code]
    if unknown := set(values) - set(kind.values):
        raise TypeError(f"{code} knows no {', '.join(sorted(unknown))}")
    return Act(code, who or kind.who, when or kind.when, tuple(values.items()), buys)


# What one person does at one time, in the order in which it can be done (common practice): people
# and camera before lights, for their stands keep out of its frame; what the circuits are before
# anything is plugged in, a cloth on the floor before the stands on it; what covers or filters a lamp
# after it burns; exposure by the light that is there; what is listened to or measured last.
ORDER: tuple[str, ...] = (
    "propose.room",
    "list.kit",
    "list.facts",
    "ask.permit",
    "ask.hours",
    "judge.others",
    "bring.light",
    "bring.stronger",
    "swap.light",
    "bring.battery",
    "bring.lead",
    "bring.cable",
    "bring.splitter",
    "bring.lav",
    "measure.circuits",
    "free.circuit",
    "move.back",
    "move.subject",
    "turn.subject",
    "camera.door",
    "camera.place",
    "aim.between",
    "operate.beside",
    "close.covering",
    "cover.windows",
    "lay.white",
    "light.key",
    "clamp.light",
    "arm.light",
    "leave.light",
    "soften.light",
    "practical.off",
    "hang.white",
    "stretch.white",
    "gel.windows",
    "key.daylight",
    "gel.practical",
    "gel.light",
    "flag.lamp",
    "flag.black",
    "flag.gloss",
    "cover.pieces",
    "hang.blankets",
    "hang.mic",
    "move.mic",
    "switch.off",
    "have.conditions",
    "wait.noise",
    "camera.shutter",
    "camera.iso",
    "camera.nd",
    "camera.balance",
    "measure",
    "measure.cables",
    "measure.noise",
)
_PLACES = {code: place for place, code in enumerate(ORDER)}
WHEN = ("before", "load_in", "by", "between", "on_day")  # in the order in which they fall due


def due(act: Act, of: int = 0) -> tuple[int, float, int, int]:
    """What a person's acts are sorted by: when they fall due, the setup they are of (its place in
    the order of the day), and what has to be done before what.
    """
    at = act.when.at.timestamp() if act.when.at is not None else 0.0
    return WHEN.index(act.when.kind), at, of, _PLACES.get(act.code, len(ORDER))


def with_kit_asked(
    findings: Iterable[Finding], *, has_kit: bool, in_scene: bool
) -> tuple[Finding, ...]:
    """The findings with what a kit says asked of its list instead of a tape. Without any kit all that
    wait for one ask the same: to list it, and to propose a room that no scene is in.
    """
    whole = act("list.kit") if in_scene else act("propose.room")

    def asked(finding: Finding) -> Finding:
        acts: list[Act] = []
        for one in finding.acts:
            facts = tuple(one["facts"]) if one.code == "measure" else ()
            listed = tuple(fact for fact in facts if isinstance(fact, Word) and of_kit(fact.key))
            if not listed:
                acts.append(one)
                continue
            if left := tuple(fact for fact in facts if fact not in listed):
                acts.append(act("measure", facts=Many(left)))
            acts.append(act("list.facts", facts=Many(listed)) if has_kit else whole)
        if (
            not has_kit
            and not acts
            and finding.level == "unknown"
            and any(map(of_kit, finding.rests_on))
        ):
            acts.append(whole)
        return finding if tuple(acts) == finding.acts else replace(finding, acts=tuple(acts))

    return tuple(map(asked, findings))


# Acts of which one alone can be done, with the value that says of what; no value: of the whole
# setup.
RIVALS: tuple[tuple[str | None, frozenset[str]], ...] = (
    ("practical", frozenset({"gel.practical", "practical.off"})),
    ("light", frozenset({"gel.windows", "key.daylight"})),
    (None, frozenset({"camera.balance", "gel.light"})),
    # what is drawn keeps the subject's mark, and one place for the camera
    (None, frozenset({"camera.place", "camera.door", "move.back"})),
    (None, frozenset({"operate.beside", "move.back"})),
)


def without_rivals(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings with one act left of those that exclude each other: that of the worst finding,
    there the one that buys most of what it is measured by, of two alike the first. The others are
    what could be done instead. One camera is balanced to one surface.
    """
    findings = tuple(findings)
    kept: dict[tuple[int, Value | None], tuple[float, float, Act]] = {}
    for finding in findings:
        for act in finding.acts:
            weight = -LEVELS.index(finding.level), _share(act)
            for rivalry in _rivalries(act):
                if rivalry not in kept or weight > kept[rivalry][:2]:
                    kept[rivalry] = (*weight, act)

    def stands(act: Act) -> bool:
        return all(_goes_with(act, kept[rivalry][2]) for rivalry in _rivalries(act))

    return tuple(
        replace(
            finding,
            acts=tuple(act for act in finding.acts if stands(act)),
            instead=(
                *(act for act in finding.acts if not stands(act)),
                *finding.instead,
            ),
        )
        for finding in findings
    )


def _rivalries(act: Act) -> tuple[tuple[int, Value | None], ...]:
    values = dict(act.values)
    return tuple(
        (number, values[of] if of is not None else None)
        for number, (of, codes) in enumerate(RIVALS)
        if act.code in codes
    )


def _share(act: Act) -> float:
    """How much of what an act is measured by it takes away, 0 to 1."""
    return 0.0 if act.buys is None else 1.0 - act.buys.after / max(act.buys.before, 1e-9)


def _goes_with(act: Act, other: Act) -> bool:
    """Whether two acts of one rivalry are the same choice."""
    if act.code != other.code:
        return False
    return act.code != "camera.balance" or act["surface"] == other["surface"]
