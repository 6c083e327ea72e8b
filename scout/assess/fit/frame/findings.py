"""What is found of the frame for a setup: framings, and the background."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from scout.assess.answers import (
    Act,
    Change,
    Finding,
    FitAnswer,
    FramingAnswer,
    Level,
    RoomAssessment,
    act,
)
from scout.assess.daylight.judged import judged_light
from scout.assess.fit.frame.framings import framing_rows, through_door
from scout.assess.fit.frame.kinds import (
    BackDepth,
    Backdrop,
    FramingFits,
    FramingHeld,
    FramingNear,
    FramingNone,
    FramingThrough,
    FramingTight,
    FramingUnknown,
)
from scout.assess.fit.levels import (
    FACE_FRAMINGS,
    Framed,
    framing_level,
    lens_level,
    mark_words,
    told_framing,
)
from scout.assess.fit.reasons import listed, measure, metres
from scout.assess.setup import Setup
from scout.assess.stage.floor import ground, lenses_unknown
from scout.calc.fit.lens.framing import FACE_DISTORTION_M
from scout.calc.fit.shadow.landing import SHADOW_FREE_M
from scout.records.doorways import doorways_of
from scout.values import Figure, Many, Name, Said, Word, said, words

BRIGHT_STOPS = 1.0  # a background further over a grey card draws the eye (common practice)
TAPE_M = 0.05  # a length that a tape and two people may miss by (common practice)
HELD = {
    "hand_held": (said("fit.by_hand"), said("fit.loss_held")),
    "clamp": (said("fit.by_clamp"), said("fit.loss_clamp")),
}


def framing_findings(setup: Setup, answer: FitAnswer) -> Iterator[Finding]:
    """Which framing is had, or what keeps it from being had."""
    lens = setup.focal_length_mm
    best = told_framing(answer, setup.framing, lens)
    if best is None or best.row is None:
        row = framing_level(answer, setup.framing or FACE_FRAMINGS[0], lens).row
        unknown = row.unknown if row is not None else None
        because = unknown or lenses_unknown(setup.sheet) or said("fit.no_camera")
        yield FramingUnknown(
            level="unknown", because=because, acts=measure(because), **listed(because)
        )
        return
    if best.level == "problem":
        worst, moves = best.row, _moves(setup, best.row)
        yield FramingNone(
            level="problem",
            framing=Word("framing", worst.name),
            lens=Figure(worst.focal_length_mm, "mm"),
            short=metres(short) if (short := worst.short_m or 0.0) > TAPE_M else None,
            because=worst.why,
            acts=moves[:1],
            instead=moves[1:],
        )
        return
    if setup.framing is None and best.row.name not in FACE_FRAMINGS:
        yield _all_that_fit(setup, answer, best.row, list(best.others), "care")
        return
    yield _framing(setup, answer, best, best.row)
    depth = (best.row.background_m or 0.0) - (best.row.face_distance_m or 0.0)
    if best.row.fits and depth >= SHADOW_FREE_M:
        yield BackDepth(level="good", depth=metres(depth))


def _framing(setup: Setup, answer: FitAnswer, framed: Framed, row: FramingAnswer) -> Finding:
    framing, lens = Word("framing", row.name), Figure(row.focal_length_mm, "mm")
    away, mark = metres(row.face_distance_m or 0.0), mark_words(answer, row)
    if row.through is not None and row.camera_m is not None:
        return FramingThrough(
            level="care",
            framing=framing,
            lens=lens,
            distance=away,
            mark=mark,
            door=Name(row.through),
            beyond=metres(_beyond_m(setup, row.through, row.camera_m)),
            why=None if row.fits else row.why,
            acts=_off_mark(answer, row),
        )
    moves = () if row.fits else _moves(setup, row)
    if not row.fits and row.operator_beside is None and row.behind in HELD:
        return FramingHeld(
            level="care",
            framing=framing,
            lens=lens,
            distance=away,
            mark=mark,
            how=HELD[row.behind][0],
            loss=HELD[row.behind][1],
            acts=(*_off_mark(answer, row, HELD[row.behind][0]), *moves[:1]),
            instead=moves[1:],
        )
    if not row.fits:
        return FramingTight(
            level="care",
            framing=framing,
            lens=lens,
            distance=away,
            mark=mark,
            side=Word("side", row.operator_beside or "left"),
            acts=(*_off_mark(answer, row), *moves[:1]),
            instead=moves[1:],
        )
    if framed.level == "care":
        least = metres(FACE_DISTORTION_M)
        return FramingNear(
            level="care",
            framing=framing,
            lens=lens,
            distance=away,
            mark=mark,
            least=least,
            acts=_off_mark(answer, row),
        )
    fitting = [one for one in answer.framings if lens_level(one) == "good"]
    if setup.framing is not None:
        fitting = [one for one in fitting if one.name == setup.framing]
    return _all_that_fit(setup, answer, row, fitting, "good")


def _all_that_fit(
    setup: Setup, answer: FitAnswer, row: FramingAnswer, fitting: list[FramingAnswer], level: Level
) -> FramingFits:
    lenses: dict[str, list[float]] = {}
    for one in fitting:
        lenses.setdefault(one.name, []).append(one.focal_length_mm)
    missing = dict.fromkeys(one.name for one in answer.framings if one.name not in lenses)
    return FramingFits(
        level=level,
        framing=Word("framing", row.name),
        lens=Figure(row.focal_length_mm, "mm"),
        distance=metres(row.face_distance_m or 0.0),
        mark=mark_words(answer, row),
        acts=_off_mark(answer, row),
        fits=Many(
            tuple(
                said("fit.framing_with", framing=Word("framing", name), lenses=_range(mm))
                for name, mm in lenses.items()
            )
        )
        if len(fitting) > 1
        else None,
        missing=words("framing", missing, "or") if missing and setup.framing is None else None,
    )


def _range(lenses: list[float]) -> Figure | Said:
    short, long = Figure(lenses[0], "mm"), Figure(lenses[-1], "mm")
    return short if short == long else said("fit.lens_range", short=short, long=long)


def _off_mark(answer: FitAnswer, row: FramingAnswer, how: Said | None = None) -> tuple[Act, ...]:
    """The camera set where its lens gives the framing, where that is not its mark, and held so."""
    mark, away = mark_words(answer, row), row.face_distance_m
    if mark is None or away is None:
        return ()
    gain = Change("off_mark", "m", abs(mark.value - away), 0.0)
    lens = Figure(row.focal_length_mm, "mm")
    return (act("camera.place", distance=metres(away), lens=lens, how=how, buys=gain),)


def _moves(setup: Setup, row: FramingAnswer) -> tuple[Act, ...]:
    """What would make a framing fit, each alone, worked out again: the operator beside the camera, the
    subject further back, the camera behind a door; nothing where a tape would not tell.
    """
    acts = []
    short, marks = row.short_m or 0.0, setup.sheet.marks
    if short <= TAPE_M or marks is None or marks.subject is None or marks.camera is None:
        return ()
    away = np.subtract(marks.subject, marks.camera)[:2]
    x, y = np.add(marks.subject[:2], away / np.linalg.norm(away) * (short + 1e-3))
    moved = marks.model_copy(update={"subject": (float(x), float(y), marks.subject[2])})
    sheet = setup.sheet.model_copy(update={"marks": moved})
    heights = (marks.camera[2], marks.subject[2])
    again, _, _ = framing_rows(sheet, replace(ground(sheet.room), heights_m=heights))
    fits = [(one.name, one.focal_length_mm) for one in again if one.fits]
    gain = Change("short_m", "m", short, 0.0)
    if row.operator_beside is not None:
        acts.append(act("operate.beside", side=Word("side", row.operator_beside), buys=gain))
    if (row.name, row.focal_length_mm) in fits:
        acts.append(act("move.back", back=metres(short), buys=gain))
    door = through_door(setup.sheet, row)
    if door is not None:
        beyond = metres(_beyond_m(setup, door[0], door[1]))
        acts.append(act("camera.door", door=Name(door[0]), beyond=beyond, buys=gain))
    return tuple(acts)


def _beyond_m(setup: Setup, door: str, camera_m: tuple[float, float]) -> float:
    """How far behind the inner face of a door's wall a camera stands."""
    doorway = next(one for one in doorways_of(setup.sheet.room) if one.name == door)
    return float(doorway.out_m(np.asarray(camera_m)))


def background_findings(found: RoomAssessment) -> Iterator[Finding]:
    """How bright the background stands against the face."""
    answer, key = found.fit, found.fit.plan.get("key")
    row = next(
        (
            row
            for row in answer.backdrop
            if row.focal_length_mm in answer.judged_mm and row.stops_seen is not None
        ),
        None,
    )
    if row is None or row.stops_seen is None or row.lux is None or key is None or not key.lux:
        return
    # the row has a grey card in the key alone; the day is on the face as it is on the wall
    face, lit = key.lux * 2.0 ** -(key.dim_stops or 0.0), judged_light(found.daylight)
    day = lit.overcast_lux_noon or 0.0 if lit is not None and row.daylight_lux is not None else 0.0
    stops = row.stops_seen - float(np.log2(1.0 + day / face))
    yield Backdrop(
        level="care" if stops > BRIGHT_STOPS else "good",
        about=(Word("surface", row.surface),),
        stops=Figure(stops, "stops"),
        lux=Figure(row.lux, "lux"),
        day=None if row.daylight_lux is None else Figure(row.daylight_lux, "lux"),
    )
