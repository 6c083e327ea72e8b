"""People beside the subject: kept and drawn, lights stand clear of them, but only the subject is
judged; and the second of a framing of two, whom a camera aimed at the first may leave out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from scout.assess.answers import Act, Change, Finding, FitAnswer, act
from scout.assess.fit.kinds import SpaceFinding
from scout.assess.fit.levels import told_framing
from scout.assess.fit.reasons import metres
from scout.assess.setup import Setup
from scout.assess.stage.floor import Point, ground, stage_of
from scout.calc.fit.lens.camera import View, in_frame, off_frame_deg
from scout.calc.fit.stand.lights import Stage
from scout.calc.geometry import FloatArray
from scout.values import Degrees, Figure, Length, Many, Millimetres, Said, Word, said

TWO = "two_people"
SHOULDER_M = 0.25  # from the middle of somebody to the end of a shoulder (common practice)
NEARER_M = 0.05  # the steps in which two chairs are set (common practice)


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


@dataclass(frozen=True, kw_only=True)
class SecondOut(SpaceFinding):
    """A framing of two people from which the second is left out, the camera aimed at the first.

    Why:    it is half a scene; the camera is aimed anew while everybody waits.
    Level:  problem.
    Source: the frame's pyramid, calc.fit.lens.camera; worked out again with the camera aimed
            midway, both of them with their shoulders.
    """

    code = "space.second_out"
    levels = ("problem",)
    rests_on: tuple[str, ...] = ("marks.others",)
    framing: Word
    person: Said
    off: Degrees  # from the nearest edge of the frame
    lens: Millimetres


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
    if setup.framing == TWO and view is not None and len(outside) == len(people):
        wider = [one for one in reversed(views) if one.focal_length_mm < view.focal_length_mm]
        yield _second_out(marks.subject, marks.others, view, wider)
        outside = []  # told by that
    yield OthersUnjudged(
        level="care",
        people=Many(tuple(people)),
        away=metres(away_m),
        outside=Many(tuple(outside)) if outside else None,
        lens=Figure(lens_mm, "mm") if outside and lens_mm is not None else None,
        acts=(act("judge.others", people=Many(tuple(people))),),
    )


def _second_out(
    first: Point, others: Sequence[Point], view: View, wider: Sequence[View]
) -> SecondOut:
    """Of those left out the one nearest to the first is the second."""
    at = min(range(len(others)), key=lambda k: float(np.hypot(*np.subtract(others[k], first)[:2])))
    second, who = others[at], person(at + 2)
    way = np.subtract(second, view.at_m)
    off = float(off_frame_deg(view, way / np.linalg.norm(way)))
    return SecondOut(
        level="problem",
        framing=Word("framing", TWO),
        person=who,
        off=Figure(off, "deg"),
        lens=Figure(view.focal_length_mm, "mm"),
        acts=_between(first, second, Many((person(1), who)), view, wider, off),
    )


def _between(
    first: Point, second: Point, people: Many, view: View, wider: Sequence[View], off: float
) -> tuple[Act, ...]:
    """The camera aimed midway, with the longest lens that holds both; where none does, how near
    together they are set for the scene's own. None where they would stand in each other.
    """
    one, other = np.asarray(first), np.asarray(second)
    middle, half = (one + other) / 2, (one - other) / 2
    x, y, z = map(float, middle)
    gain = Change("off_frame", "deg", off, 0.0)
    own = replace(view, aim_m=(x, y, z))
    for lens in (own, *(replace(each, aim_m=own.aim_m) for each in wider)):
        if _holds(lens, middle, half):
            mm = None if lens is own else Figure(lens.focal_length_mm, "mm")
            return (act("aim.between", people=people, lens=mm, apart=None, buys=gain),)
    now_m = 2 * float(np.linalg.norm(half))
    for apart_m in (
        np.arange(math.floor(now_m / NEARER_M), 2 * SHOULDER_M / NEARER_M, -1) * NEARER_M
    ):
        if _holds(own, middle, half * apart_m / now_m):
            nearer = metres(float(apart_m))
            return (act("aim.between", people=people, lens=None, apart=nearer, buys=gain),)
    return ()


def _holds(lens: View, middle: FloatArray, half: FloatArray) -> bool:
    """Whether a lens holds two people with their shoulders, half of what lies between them to either
    side of a place.
    """
    shoulder = SHOULDER_M * lens.axes[0]
    places = [middle + to * half + side * shoulder for to in (-1, 1) for side in (-1, 1)]
    return bool(in_frame(lens, np.asarray(places)).all())


def person(number: int) -> Said:
    """`person 2`: the subject is the first."""
    return said("drawing.person", n=number)
