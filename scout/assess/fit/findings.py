"""What is found of the space for a setup: framings, where lights stand, shadows, the boom, the
background, flicker, the walk, and the key's strength.
"""

from __future__ import annotations

from collections.abc import Iterator

from scout.assess.answers import Finding, RoomAssessment, act
from scout.assess.fit.frame.findings import background_findings, framing_findings
from scout.assess.fit.frame.headroom import low_overhead
from scout.assess.fit.frame.mirrored import mirrored
from scout.assess.fit.frame.others import others_unjudged
from scout.assess.fit.kinds import PlanAsks
from scout.assess.fit.light.findings import flicker_findings, walk_findings
from scout.assess.fit.light.mending import dimmed_low
from scout.assess.fit.light.strength import strength
from scout.assess.fit.plan.findings import (
    boom_findings,
    piece_findings,
    place_findings,
    shadow_findings,
)
from scout.assess.setup import Setup
from scout.records.questions import room_questions
from scout.values import names, words


def findings(setup: Setup, found: RoomAssessment) -> tuple[Finding, ...]:
    """What is found of space and key for a setup."""
    answer = found.fit
    places = tuple(place_findings(setup, answer, found))
    left = {act["light"].text for one in places for act in one.acts if act.code == "leave.light"}
    return (
        *framing_findings(setup, answer),
        *others_unjudged(setup, answer),
        *places,
        *mirrored(setup, found),
        *piece_findings(setup, found),
        *strength(setup, found),
        *dimmed_low(answer, left),
        *shadow_findings(answer),
        *boom_findings(setup, answer),
        *background_findings(found),
        *flicker_findings(setup, answer),
        *walk_findings(answer),
        *low_overhead(setup),
        *_asked(setup),
    )


def _asked(setup: Setup) -> Iterator[Finding]:
    for one in room_questions(setup.sheet.room):
        yield PlanAsks(
            level="care",
            about=names(one.names).items,
            rests_on=tuple(f"room.{fact}" for fact in one.facts),
            question=one.what,
            acts=(act("measure", facts=words("fact", one.facts)),),
        )
