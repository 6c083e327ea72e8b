"""The shadows that key and back light throw, the boom's among them, and what was given up to keep
them out of the picture.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np

from scout.assess.answers import BoomAnswer, ShadowAnswer
from scout.assess.fit.reasons import degrees, joined, metres, millimetres
from scout.assess.sound.mics import MIC_FACTS
from scout.assess.stage.floor import Ground
from scout.calc.fit.plan.besides import besides
from scout.calc.fit.plan.planned import BesidesOf, Placed, PlanLamp, ThreePoint
from scout.calc.fit.plan.search import Spot
from scout.calc.fit.shadow.boom import (
    THICK_M,
    Boom,
    boom_from,
    cuts_face,
    lenses_that_see,
    shadow_seen,
)
from scout.calc.fit.shadow.cast import HEAD_WIDTH_M, Cast, casts, core_reaches, lens_sees, upright_m
from scout.calc.fit.shadow.landing import penumbra_m
from scout.calc.fit.stand.lights import Lamp, Stage
from scout.calc.geometry import FloatArray
from scout.records.sheet import Light, Mic, RoomSheet
from scout.values import Figure, Name, Said, Word, said

OUTLINE_NOTE = said("fit.shadows_taken")


def boom_mic(sheet: RoomSheet) -> Mic | None:
    """The kit's microphone that hangs on a pole, whose distance from the mouth is recorded."""
    mics = sheet.kit.mics if sheet.kit is not None else None
    return next(
        (mic for mic in mics or () if MIC_FACTS[mic.kind].boomed and mic.distance_m is not None),
        None,
    )


def costs(
    sheet: RoomSheet, stage: Stage, floor: Ground, key: PlanLamp, back: PlanLamp | None
) -> BesidesOf:
    """What each place of key and back light costs for its shadows."""
    mic = boom_mic(sheet)
    far = mic.distance_m if mic is not None else None
    if not floor.walled and far is None:
        return BesidesOf()
    return BesidesOf(
        besides(stage, key.lamp, far, has_walls=floor.walled),
        None if back is None else besides(stage, back.lamp, far, has_walls=floor.walled),
    )


def shadows(
    stage: Stage,
    floor: Ground,
    part: str,
    light: Light,
    lamp: Lamp,
    placed: Placed,
    boom: Boom | None,
) -> tuple[ShadowAnswer, ...]:
    """Every surface on which the light throws head and shoulders, or the boom."""
    if not isinstance(placed.spot, Spot):
        return ()
    at = np.asarray(placed.spot.at_m)
    face = np.asarray(stage.subject_m)
    if float(np.linalg.norm(at - face)) < 0.3:
        return ()
    rows = [
        _row(stage, floor, part, light, lamp, "head and shoulders", cast, at, face, HEAD_WIDTH_M)
        for cast in casts(stage.space, at, upright_m(at, face), has_walls=floor.walled)
    ]
    if boom is not None and not boom_touches(boom, at):
        mic = np.asarray(boom.mic_m)
        rows += [
            _row(stage, floor, part, light, lamp, "boom", cast, at, mic, THICK_M)
            for cast in casts(stage.space, at, _pole(boom), has_walls=floor.walled)
        ]
    return tuple(rows)


def boom_touches(boom: Boom, at: FloatArray) -> bool:
    """Whether the light stands so near the boom that no shadow of it can be drawn."""
    return bool(np.any(np.linalg.norm(_pole(boom) - at, axis=-1) < 0.3))


def _pole(boom: Boom) -> FloatArray:
    mic, end = np.asarray(boom.mic_m), np.asarray(boom.end_m)
    up = np.array([0.0, 0.0, THICK_M / 2.0])
    return np.array([mic - up, mic + up, end + up, end - up])


def _row(
    stage: Stage,
    floor: Ground,
    part: str,
    light: Light,
    lamp: Lamp,
    of: str,
    cast: Cast,
    at: FloatArray,
    thing: FloatArray,
    width_m: float,
) -> ShadowAnswer:
    near = float(np.linalg.norm(thing - at))
    points = tuple((float(x), float(y), float(z)) for x, y, z in cast.polygon_m)
    beyond = (
        cast.beyond_m
        if cast.beyond_m is not None
        else float(np.min(np.linalg.norm(cast.polygon_m - at, axis=1))) - near
    )
    beyond = max(beyond, 0.0)
    known = light.soft_width_m is not None
    return ShadowAnswer(
        light=light.id,
        part="key" if part == "key" else "back",
        of="boom" if of == "boom" else "head and shoulders",
        surface=cast.surface,
        polygon_m=points,
        beyond_m=cast.beyond_m,
        penumbra_m=float(penumbra_m(lamp.soft_width_m, near, beyond)) if known else None,
        hard=bool(core_reaches(width_m, lamp.soft_width_m, near, beyond)) if known else None,
        in_frame_mm=tuple(
            view.focal_length_mm
            for view in stage.views
            if lens_sees(stage.space, view, cast.polygon_m, has_walls=floor.walled)
        ),
        assumed=() if known else (said("fit.width_unknown", light=Name(light.id)),),
    )


def shadow_of_key(
    stage: Stage, rows: Sequence[ShadowAnswer], placed: Placed, alone: Spot | None
) -> Said | None:
    """Where the key throws the head, who sees it, what is left to do, and what was given up for it."""
    if not isinstance(placed.spot, Spot):
        return None
    own = [row for row in rows if row.part == "key" and row.of == "head and shoulders"]
    if not own:
        return said("fit.shadow_nowhere")
    main = max(own, key=lambda row: (row.beyond_m is not None, bool(row.in_frame_mm)))
    on_wall = len(main.surface) == 1
    falls = said(
        "fit.shadow",
        surface=Word("surface", main.surface),
        top=metres(max(z for _, _, z in main.polygon_m)) if on_wall else None,
        edge=metres(main.penumbra_m) if on_wall and main.penumbra_m else None,
        lenses=millimetres(main.in_frame_mm) if on_wall and main.in_frame_mm else None,
    )
    moved = None
    if alone is not None and _moved(placed.spot, alone):
        moved = said(
            "fit.key_moved",
            round=degrees(placed.spot.across_deg),
            above=Figure(placed.spot.down_deg, "deg"),
            alone_round=degrees(alone.across_deg),
            alone_above=Figure(alone.down_deg, "deg"),
        )
    return joined(falls, moved)


def _moved(spot: Spot, alone: Spot) -> bool:
    return (
        abs(abs(spot.across_deg) - abs(alone.across_deg)) > 1.0
        or abs(spot.down_deg - alone.down_deg) > 1.0
    )


def boom_answer(
    sheet: RoomSheet,
    stage: Stage,
    floor: Ground,
    found: ThreePoint,
    lamps: Sequence[tuple[str, PlanLamp, Placed | None]],
) -> tuple[Boom | None, BoomAnswer | None]:
    """The boom from the side on which it does least harm, the side away from the key when both do
    the same; none, and a microphone with no pole, where nobody has floor to hold one.

    stage: with every light on its stand; lamps: those whose light the boom may cut
    """
    mic = boom_mic(sheet)
    if mic is None or mic.distance_m is None:
        return None, None
    stood = [
        (name, lamp, np.asarray(placed.spot.at_m)[None, :])
        for name, lamp, placed in lamps
        if placed is not None and isinstance(placed.spot, Spot)
    ]

    def harm(boom: Boom) -> tuple[int, float]:
        cut = sum(bool(cuts_face(boom, at, stage.subject_m)[0]) for _, _, at in stood)
        return cut, sum(
            float(shadow_seen(stage, boom, at, lamp.lamp.soft_width_m, has_walls=floor.walled)[0])
            for _, lamp, at in stood
        )

    def worth(boom: Boom) -> tuple[bool, int, bool, float]:
        cut, seen = harm(boom)
        return not boom.held, cut, not boom.clear, seen

    both = [boom_from(stage, mic.distance_m, side) for side in (-found.side, found.side)]
    boom = min(both, key=worth)
    if not boom.held:
        seen_by = lenses_that_see(stage, boom)
        return None, BoomAnswer(mic=mic.id, mic_m=boom.mic_m, in_frame_mm=seen_by)
    cut = tuple(name for name, _, at in stood if bool(cuts_face(boom, at, stage.subject_m)[0]))
    seen = tuple(
        name
        for name, lamp, at in stood
        if float(shadow_seen(stage, boom, at, lamp.lamp.soft_width_m, has_walls=floor.walled)[0])
        > 0
    )
    inside = lenses_that_see(stage, boom)
    side: Literal["left", "right"] = "right" if boom.side > 0 else "left"
    return boom, BoomAnswer(
        mic=mic.id,
        from_side=side,
        mic_m=boom.mic_m,
        end_m=boom.end_m,
        in_frame_mm=inside,
        on_face=cut,
        on_wall=seen,
        assumed=(said("fit.boom_taken"),),
    )
