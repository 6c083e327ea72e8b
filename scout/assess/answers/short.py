"""The short of an answer: its few lines, what each person does, and the one sentence above them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from scout.assess.answers.acts import due
from scout.assess.answers.finding import (
    LEVELS,
    ROLES,
    TOPICS,
    Act,
    Finding,
    Level,
    Role,
    Topic,
    worst_level,
)
from scout.values import Many, Said, said, words

MOST_LINES = 7  # what somebody reads before the first scene
MOST_NAMED = 2  # topics of the one sentence: all of them would say nothing
MOST_OF_A_TOPIC = 2  # of what is no problem: seven lines are to tell of the whole room


@dataclass(frozen=True)
class Line:
    """One line of the short answer: a finding, and what is done about it first."""

    finding: Finding
    act: Act | None


def short(
    findings: Iterable[Finding], most: int = MOST_LINES
) -> tuple[tuple[Line, ...], tuple[Finding, ...]]:
    """The lines that matter most, and the findings that are not among them.

    Worst level first; within a level what somebody can do something about first; one line a code
    and two a topic before anything is told a second time; no act twice. What is good fills up.
    """
    waiting = sorted(
        (finding for finding in findings if finding.level != "outside"),
        key=lambda finding: (LEVELS.index(finding.level), not finding.acts),
    )
    chosen: list[Line] = []
    acts: set[Act] = set()
    for widely in (True, False):
        for finding in waiting:
            if len(chosen) == most:
                break
            if any(line.finding is finding for line in chosen):
                continue
            if widely and not _adds(finding, chosen):
                continue
            act = next((one for one in finding.acts if one.deed not in acts), None)
            if finding.acts and act is None:
                continue  # all there is to do stands in a line above
            if act is not None:
                acts.add(act.deed)
            chosen.append(Line(finding, act))
    chosen.sort(key=lambda line: (LEVELS.index(line.finding.level), line.act is None))
    told = [line.finding for line in chosen]
    rest = tuple(one for one in findings if not any(one is line for line in told))
    return tuple(chosen), rest


def _adds(finding: Finding, chosen: Sequence[Line]) -> bool:
    alike = [line.finding for line in chosen if line.finding.topic == finding.topic]
    if any(line.code == finding.code for line in alike):
        return False
    return finding.level == "problem" or len(alike) < MOST_OF_A_TOPIC


def by_person(findings: Iterable[Finding]) -> Mapping[Role, tuple[Act, ...]]:
    """What each person does, once, in the order in which it falls due and can be done."""
    found = {act.deed: act for finding in findings for act in finding.acts}.values()
    return {
        role: tuple(sorted((act for act in found if act.who == role), key=due))
        for role in ROLES
        if any(act.who == role for act in found)
    }


def topic_levels(findings: Sequence[Finding]) -> Mapping[Topic, Level]:
    """The worst level of each topic that is judged at all."""
    return {
        topic: worst_level(one.level for one in findings if one.topic == topic)
        for topic in TOPICS
        if any(one.topic == topic for one in findings)
    }


def summary(findings: Sequence[Finding]) -> Said:
    """A setup in one sentence: the two worst topics, and how many more are not good."""
    levels = topic_levels(findings)
    alike = {
        topic: sum(one.level == level for one in findings if one.topic == topic)
        for topic, level in levels.items()
    }
    waiting = sorted(
        (topic for topic, level in levels.items() if level in ("problem", "care", "unknown")),
        key=lambda topic: (LEVELS.index(levels[topic]), -alike[topic]),
    )
    named, rest = waiting[:MOST_NAMED], len(waiting[MOST_NAMED:])

    def of(level: Level) -> Many | None:
        return (
            words("topic", at) if (at := [one for one in named if levels[one] == level]) else None
        )

    problem, care, unknown = of("problem"), of("care"), of("unknown")
    more = said("page.rest", n=rest) if rest else None
    if problem is not None:
        return said("page.trouble", problem=problem, care=care, unknown=unknown, rest=more)
    if care is not None:
        return said("page.watch", care=care, unknown=unknown, rest=more)
    if unknown is not None:
        return said("page.not_known", unknown=unknown, rest=more)
    return said("page.fine")
