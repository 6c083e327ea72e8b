"""What is found of where lights and boom stand, and of the shadows they throw."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from scout.assess.answers import Act, Change, Finding, FitAnswer, PlanLight, RoomAssessment, act
from scout.assess.fit.levels import in_frame, place_level
from scout.assess.fit.light.mending import out_of_frame
from scout.assess.fit.plan.kinds import (
    BoomClear,
    BoomInFrame,
    BoomNoFloor,
    BoomShadow,
    HeadShadow,
    InFrame,
    KeyPlace,
    LightMissing,
    LightNoPlace,
    LightOff,
    OnPiece,
    PlacesUnknown,
)
from scout.assess.fit.plan.shadows import boom_mic
from scout.assess.fit.reasons import degrees, listed, measure, metres, millimetres
from scout.assess.setup import Setup
from scout.calc.fit.shadow.landing import SHADOW_FREE_M
from scout.calc.geometry import inside
from scout.records.piece_checks import RUG_MOST_M
from scout.values import Figure, Name, Word, names, said, words

PARTS = ("key", "fill", "back")


def _all_see(answer: FitAnswer, in_frame_mm: tuple[float, ...]) -> bool:
    return bool(answer.judged_mm) and set(answer.judged_mm) <= set(in_frame_mm)


def place_findings(setup: Setup, answer: FitAnswer, found: RoomAssessment) -> Iterator[Finding]:
    """Where key, fill and back stand, or what is wrong with their places."""
    rows = {part: answer.plan[part] for part in PARTS if part in answer.plan}
    key = rows.get("key")
    if key is None or place_level(key, "key") == "unknown":
        because = (key.unknown if key is not None else None) or said("fit.no_kit")
        yield PlacesUnknown(
            level="unknown", because=because, acts=measure(because), **listed(because)
        )
        return
    missing = [part for part, row in rows.items() if row.light is None and not row.fits]
    for part, row in rows.items():
        if row.light is not None:
            yield from _fault(setup, part, row, answer, found)
    if missing:
        yield LightMissing(level="care", parts=words("part", missing, "or"))
    standing = [row.light for row in rows.values() if row.light is not None and row.fits]
    if key.fits and key.light is not None:
        yield KeyPlace(
            level="good",
            about=(Name(key.light),),
            lights=names(standing),
            round=degrees(key.across_deg or 0.0),
            above=Figure(key.down_deg or 0.0, "deg"),
            distance=metres(key.distance_m or 0.0),
            why=key.why,
        )


def piece_findings(setup: Setup, found: RoomAssessment) -> Iterator[Finding]:
    """Lights put over a piece of furniture: its top carries them, for no stand has its legs there."""
    for placed in found.placements.values():
        for piece in setup.sheet.room.furniture or ():
            low = piece.height_m or 0.0
            if (
                piece.corners_m is not None
                and (piece.height_m is None or low > RUG_MOST_M)
                and placed.at_m[2] >= low
                and bool(inside(piece.corners_m, np.asarray(placed.at_m[:2])))
            ):
                yield OnPiece(level="care", about=(Name(placed.light),), piece=Name(piece.id))
                break


def _fault(
    setup: Setup, part: str, row: PlanLight, answer: FitAnswer, found: RoomAssessment
) -> Iterator[Finding]:
    """What is wrong with a light's place; its cable and its strength are told elsewhere."""
    level, about = place_level(row, part), (Name(row.light or ""),)
    if row.at_m is None and level != "unknown":
        yield LightNoPlace(
            level=level,
            about=about,
            because=row.why or said("fit.no_floor"),
            acts=_clamp(found) if part == "key" else (),
        )
    elif level != "unknown" and in_frame(row, answer.judged_mm):
        able = {one.focal_length_mm for one in answer.framings if one.fits}
        clear = Figure(row.clear_from_mm, "mm") if row.clear_from_mm in able else None
        acts = out_of_frame(setup.sheet, part, row, answer.judged_mm)
        yield InFrame(level="care", about=about, clear=clear, acts=acts)
    elif row.works is False:
        yield LightOff(
            level="care",
            about=about,
            part=Word("part", part),
            round=degrees(row.across_deg or 0.0),
            above=Figure(row.down_deg or 0.0, "deg"),
            because=row.why,
        )


def _clamp(found: RoomAssessment) -> tuple[Act, ...]:
    """A clamp in place of a stand, where it was worked out to have a place."""
    way = next((way for way in found.ways if way.way == "clamp"), None)
    if way is None or not way.possible or way.at_m is None or way.lux is None:
        return ()
    gain = Change("lux", "lux", 0.0, way.lux)
    return (act("clamp.light", light=Name(way.light or ""), height=metres(way.at_m[2]), buys=gain),)


def shadow_findings(answer: FitAnswer) -> Iterator[Finding]:
    """Hard shadows of the head that every lens that counts sees."""
    for row in answer.shadows:
        if (
            row.of == "head and shoulders"
            and row.hard
            and len(row.surface) == 1
            and _all_see(answer, row.in_frame_mm)
        ):
            yield HeadShadow(
                level="care",
                about=(Name(row.light),),
                surface=Word("surface", row.surface),
                beyond=None if row.beyond_m is None else metres(row.beyond_m),
                lenses=millimetres(row.in_frame_mm),
                free=metres(SHADOW_FREE_M),
            )


def boom_findings(setup: Setup, answer: FitAnswer) -> Iterator[Finding]:
    """Where the microphone hangs, and what of it is seen."""
    boom, mic = answer.boom, boom_mic(setup.sheet)
    if boom is None or mic is None or mic.distance_m is None:
        return
    hangs: dict[str, Any] = {
        "about": (Name(boom.mic),),
        "distance": metres(mic.distance_m),
        "height": metres(boom.mic_m[2]),
    }
    if boom.from_side is None:
        hang = act("hang.mic", mic=Name(boom.mic), height=metres(boom.mic_m[2]))
        yield BoomNoFloor(level="care", acts=(hang,), **hangs)
        return
    hangs["side"] = Word("side", boom.from_side)
    seen = _all_see(answer, boom.in_frame_mm)
    for lights, where in ((boom.on_face, said("fit.on_face")), (boom.on_wall, said("fit.on_wall"))):
        if lights:
            yield BoomShadow(level="care", lights=names(lights), where=where, **hangs)
    if seen:
        yield BoomInFrame(level="care", lenses=millimetres(boom.in_frame_mm), **hangs)
    if not (boom.on_face or boom.on_wall or seen) and answer.judged_mm:
        yield BoomClear(level="good", **hangs)
