"""What every finding of space is, and what its room sheet asks of itself."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from scout.assess.answers import Finding
from scout.assess.answers.finding import Topic
from scout.values import Said

FLOOR = ("room.plan_m", "marks.subject", "marks.camera")


@dataclass(frozen=True, kw_only=True)
class SpaceFinding(Finding):
    """One of how a setup fits into its room."""

    topic: ClassVar[Topic] = "space"
    rests_on: tuple[str, ...] = FLOOR


@dataclass(frozen=True, kw_only=True)
class PlanAsks(SpaceFinding):
    """Something of the plan that is hardly so: a door over a window by centimetres, a socket in a
    door's opening.

    Why:    a slip of the tape moves light, cables and ways out.
    Level:  care.
    Source: frames are measured inside or outside, up to 5 cm apart (common practice).
    """

    code = "space.plan_asks"
    levels = ("care",)
    question: Said
