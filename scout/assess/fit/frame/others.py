"""People beside the subject: kept and drawn, lights stand clear of them, but only the subject is judged."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from scout.assess.answers import Finding, FitAnswer, act
from scout.assess.fit.kinds import SpaceFinding
from scout.assess.fit.levels import told_framing
from scout.assess.fit.reasons import metres
from scout.assess.setup import Setup
from scout.assess.stage.floor import ground, stage_of
from scout.calc.fit.lens.camera import in_frame
from scout.calc.fit.stand.lights import Stage
from scout.values import Figure, Length, Many, Millimetres, Said, said


@dataclass(frozen=True, kw_only=True)
class OthersUnjudged(SpaceFinding):
    """People beside the subject, whose face, framing and sound nothing here answers for.

    Why:    a talk of two that is planned for one has one of them dark, soft or far from the microphone.
    Level:  care.
    Source: the frame's pyramid, calc.fit.lens.camera, for who is out of the picture; else what is
            judged and what is not.
    """

    code = "space.others_unjudged"
    levels = ("care",)
    rests_on: tuple[str, ...] = ("marks.others",)
    people: Many
    away: Length  # of the furthest from the subject, in plan
    outside: Many | None  # of them, who is out of the picture
    lens: Millimetres | None


def others_unjudged(setup: Setup, answer: FitAnswer) -> Iterator[Finding]:
    """That people beside the subject are not judged, and who of them the lens does not see."""
    marks = setup.sheet.marks
    if marks is None or marks.subject is None or not marks.others:
        return
    people = [person(at) for at in range(2, len(marks.others) + 2)]
    middle = np.asarray(marks.subject[:2])
    away_m = max(float(np.hypot(*(np.asarray(one[:2]) - middle))) for one in marks.others)
    outside: list[Said] = []
    stage = stage_of(setup.sheet, ground(setup.sheet.room))
    best = told_framing(answer, setup.framing, setup.focal_length_mm)
    lens_mm = None if best is None or best.row is None else best.row.focal_length_mm
    views = stage.views if isinstance(stage, Stage) else ()
    view = next((one for one in views if one.focal_length_mm == lens_mm), None)
    if view is not None:
        held = in_frame(view, np.asarray(marks.others))
        outside = [who for who, sees in zip(people, held, strict=True) if not sees]
    yield OthersUnjudged(
        level="care",
        people=Many(tuple(people)),
        away=metres(away_m),
        outside=Many(tuple(outside)) if outside else None,
        lens=Figure(lens_mm, "mm") if outside and lens_mm is not None else None,
        acts=(act("judge.others", people=Many(tuple(people))),),
    )


def person(number: int) -> Said:
    """`person 2`: the subject is the first."""
    return said("drawing.person", n=number)
