"""How good a framing, a light's place and the key's strength are: one function each, which finding,
need, packet and page call.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

import numpy as np

from scout.assess.answers import (
    DaylightAnswer,
    FitAnswer,
    FramingAnswer,
    Level,
    PlanLight,
)
from scout.assess.daylight.judged import judged_light
from scout.assess.setup import Setup
from scout.calc.fit.lens.framing import FACE_DISTORTION_M
from scout.calc.fit.plan.search import RATIO_TOLERANCE_STOPS
from scout.values import Figure

FACE_FRAMINGS = ("medium", "head_and_shoulders", "two_people")  # in the order of their worth
ON_MARK_M = 0.1  # a tripod is set down no finer (common practice)
DEFAULT_RATIO = 4.0  # key to fill where the kit says none (common practice)
SHORT_STOPS = 1.0  # a key short by more is a problem: a stop is lost in ISO (common practice)


@dataclass(frozen=True)
class Framed:
    """How a framing is met: by which lens, and by which others."""

    level: Level
    row: FramingAnswer | None
    others: tuple[FramingAnswer, ...] = ()


def lens_level(row: FramingAnswer) -> Level:
    """How one lens gives one framing: care where a face is distorted, or where the operator has to
    stand beside the camera, hold it, or leave it on a clamp.
    """
    if row.fits is None:
        return "unknown"
    if row.through is not None:
        return "care" if row.fits or row.behind is not None else "problem"
    if not row.fits:
        return "problem" if row.operator_beside is None and row.behind is None else "care"
    return "care" if distorts(row) else "good"


def distorts(row: FramingAnswer) -> bool:
    """Whether the lens of a face framing comes so near that the face is distorted."""
    return row.name in FACE_FRAMINGS and (row.distance_m or 0.0) < FACE_DISTORTION_M


def framing_level(answer: FitAnswer, framing: str, focal_length_mm: float | None = None) -> Framed:
    """How a framing is met by the lenses of the kit, or by one of them: by the best, and of those
    that do it equally well by the one that does so nearest the camera's mark.
    """
    rows = [
        row
        for row in answer.framings
        if row.name == framing and focal_length_mm in (None, row.focal_length_mm)
    ]
    levels = [lens_level(row) for row in rows]
    best = next((level for level in ("good", "care", "problem") if level in levels), None)
    if best is None:
        return Framed("unknown", rows[0] if rows else None)
    alike = [row for row, level in zip(rows, levels, strict=True) if level == best]
    chosen = min(alike, key=lambda row: _off_mark(row, answer.mark_distance_m))
    return Framed(best, chosen, tuple(row for row in alike if row is not chosen))


def told_framing(
    answer: FitAnswer, framing: str | None, focal_length_mm: float | None
) -> Framed | None:
    """The framing that a setup is told by: its own, else the best of those that frame a face, else
    any that fits; of what does not fit, the one that lacks least floor. None: nothing is known.
    """
    wanted = (framing,) if framing is not None else FACE_FRAMINGS
    framed = [framing_level(answer, name, focal_length_mm) for name in wanted]
    levels: tuple[Level, ...] = ("good", "care", "problem")
    best = next((one for level in levels for one in framed if one.level == level), None)
    if best is None or best.row is None or best.level != "problem":
        return best
    fitting = tuple(
        row
        for row in answer.framings
        if row.fits and focal_length_mm in (None, row.focal_length_mm)
    )
    if framing is None and fitting:
        return Framed("care", fitting[-1], fitting)
    rows = [one.row for one in framed if one.level == "problem" and one.row is not None]
    return Framed("problem", min(rows, key=lambda row: row.short_m or float("inf")))


def set_off_mark(
    answer: FitAnswer, framing: str | None, focal_length_mm: float | None
) -> FramingAnswer | None:
    """The framing for which the camera is set elsewhere than on its mark; None where it stays."""
    told = told_framing(answer, framing, focal_length_mm)
    row = None if told is None or told.level == "problem" else told.row
    if row is None or row.camera_m is None or mark_words(answer, row) is None:
        return None
    return row


BEHIND = ("tripod", "beside", "hand_held", "clamp")  # in the order in which they are tried


def held(row: FramingAnswer) -> int:
    """The place of a row in BEHIND: what the camera stands or hangs on."""
    if row.fits or row.behind is None:
        return 0 if row.operator_beside is None else 1
    return BEHIND.index(row.behind)


def _off_mark(row: FramingAnswer, mark_distance_m: float | None) -> tuple[float, float, float]:
    """What it costs first, then how far from its mark the camera would stand; without a mark the
    longest lens, which flatters a face most. What does not fit: by the floor it lacks.

    A distorted face is worse than a bent neck of the operator's, and better than a camera without
    its tripod (common practice).
    """
    lacking, cost = 0.0 if row.fits else row.short_m or 0.0, float(held(row))
    cost += 1.5 if distorts(row) else 0.0
    away = row.face_distance_m
    if mark_distance_m is None or away is None or away <= 0:
        return cost, lacking, -row.focal_length_mm
    return cost, lacking, abs(float(np.log(away / mark_distance_m)))


def mark_words(answer: FitAnswer, row: FramingAnswer) -> Figure | None:
    """How far off the camera's mark is, where a framing is not had from there with its lens: said
    wherever the distance of the framing is.
    """
    mark, away = answer.mark_distance_m, row.face_distance_m
    if mark is None or away is None or abs(mark - away) <= ON_MARK_M:
        return None
    return Figure(mark, "m")


def lenses_that_count(
    answer: FitAnswer, framing: str | None, focal_length_mm: float | None
) -> tuple[float, ...]:
    """The lenses that lights are kept out of the frame of: the scene's, the one that gives its
    framing, or those with which a face can be framed; all when none of that is known.
    """
    if focal_length_mm is not None:
        return (focal_length_mm,)
    if framing is not None:
        row = framing_level(answer, framing).row
        if row is not None and row.fits is not None:
            return (row.focal_length_mm,)
    lenses = tuple(sorted({row.focal_length_mm for row in answer.framings}))
    faces = [row for row in answer.framings if row.name in FACE_FRAMINGS]
    can = [row for row in faces if lens_level(row) in ("good", "care")]
    sturdy = [row for row in can if held(row) <= BEHIND.index("beside")]
    able = {row.focal_length_mm for row in sturdy or can}
    distorting = {row.focal_length_mm for row in faces if row.fits and lens_level(row) == "care"}
    distorting -= {row.focal_length_mm for row in faces if lens_level(row) == "good"}
    return tuple(sorted(able - distorting or able)) or lenses


def place_level(row: PlanLight, part: str) -> Level:
    """How good a light's place is: a key without one is a problem, any other light a care."""
    if row.at_m is None:
        if row.fits is None:
            return "unknown"
        return "problem" if part == "key" else "care"
    return "unknown" if row.fits is None else "good" if row.fits else "care"


def in_frame(row: PlanLight, judged_mm: Sequence[float]) -> bool:
    """Whether every lens that counts sees a light's stand."""
    return bool(judged_mm) and (row.clear_from_mm is None or row.clear_from_mm > max(judged_mm))


@dataclass(frozen=True)
class Daylight:
    """The day's light on the face in a scene's hours. `least`: 0 where no hours are given."""

    least_lux: float
    most_lux: float
    at: datetime | None  # of the most


def daylight_on_face(setup: Setup, daylight: DaylightAnswer) -> Daylight | None:
    """The least and the most daylight on the side of the face that the camera sees, else on a level
    plane, under either sky; None where it is not known.
    """
    mark, lit = daylight.marks.get("subject"), judged_light(daylight)
    if mark is None or lit is None:
        return None
    points = [
        (lux, point.at)
        for point in mark.series
        if setup.within(point.at)
        for lux in (
            (point.camera_overcast_lux, point.camera_clear_lux)
            if lit.side
            else (point.overcast_lux, point.clear_lux)
        )
        if lux is not None
    ]
    if points:
        most, at = max(points, key=lambda point: point[0])
        return Daylight(min(points)[0] if setup.hours is not None else 0.0, most, at)
    noon = [lux for lux in (lit.overcast_lux_noon, lit.clear_lux_noon) if lux is not None]
    return Daylight(0.0, max(noon), None) if noon and setup.hours is None else None


Strong = Literal["strong", "weak", "lost", "turned_away", "unknown"]


@dataclass(frozen=True)
class Strength:
    """How strong the key is. `stops`: over what the camera needs, below 0 short of it; of a key that
    is lost, under the daylight.
    """

    level: Level
    what: Strong
    stops: float | None = None


def key_strength(key: PlanLight, needed_lux: float | None, day: Daylight | None) -> Strength | None:
    """How strong the key is against what the camera needs and against the daylight around it; None
    without a place, which is another matter.
    """
    if key.at_m is None or key.light is None:
        return None
    if key.lux is None:
        return Strength("unknown", "unknown")
    if key.lux <= 0:
        return Strength("problem", "turned_away")
    least = 0.0 if day is None else day.least_lux
    over = None if needed_lux is None else float(np.log2((key.lux + least) / needed_lux))
    if over is not None and over < -RATIO_TOLERANCE_STOPS:
        return Strength("care" if over >= -SHORT_STOPS else "problem", "weak", over)
    if day is not None and day.most_lux > key.lux:
        return Strength("care", "lost", -float(np.log2(day.most_lux / key.lux)))
    return Strength("unknown", "unknown") if over is None else Strength("good", "strong", over)
