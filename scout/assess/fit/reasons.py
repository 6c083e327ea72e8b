"""What speaks against a place for a light or a camera, and what the next best gives up, as
messages; what the day gives before any lamp does; and what ends not knowing.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from scout.assess.answers import Act, DaylightAnswer, act
from scout.assess.daylight.judged import judged_light
from scout.calc.fit.floor.space import OPERATOR_WIDTH_M, SUBJECT_RADIUS_M
from scout.calc.fit.lens.framing import BEHIND_LENS_M, CameraPlace
from scout.calc.fit.plan.search import NoSpot, Spot
from scout.calc.fit.stand.lights import Lamp, Stage, highest_m
from scout.values import Figure, Many, Name, Said, Spell, Word, names, said

SMALL_DEG = 2.0
FLAT_DEG = 20.0  # light that comes in lower is flat and spills on the wall behind (common practice)
# what keeps a place or a framing from being told, and the facts of the kit that would end it
LISTED = {
    "fit.no_kit": ("kit.lights",),
    "fit.no_lights": ("kit.lights",),
    "fit.no_camera": ("kit.camera.focal_lengths_mm", "kit.camera.sensor_width_mm"),
    "fit.no_lens": ("kit.camera.focal_lengths_mm",),
    "fit.no_sensor": ("kit.camera.sensor_width_mm",),
}
MEASURED = ("unmeasured", "unlisted", "unlisted.many")


def joined(first: Said, *clauses: Said | None) -> Said:
    """A clause and those that follow it."""
    whole = first
    for clause in clauses:
        if clause is not None:
            whole = said("fit.both", first=whole, second=clause)
    return whole


def both(*clauses: Said | None) -> Said | None:
    """Clauses one after another; None when there is none."""
    given = [clause for clause in clauses if clause is not None]
    return joined(*given) if given else None


def metres(value: float) -> Figure:
    """A length."""
    return Figure(value, "m")


def degrees(value: float) -> Figure:
    """An angle, whichever side it is on."""
    return Figure(abs(value), "deg")


def millimetres(lenses: Sequence[float]) -> Many:
    """Lenses by their focal lengths."""
    return Many(tuple(Figure(one, "mm") for one in lenses))


def piece_of(blocks: Sequence[str]) -> Name | Said:
    """The piece of furniture that is meant, where it can only be one."""
    return Name(blocks[0]) if len(blocks) == 1 else said("fit.furniture")


def against(reason: str, stage: Stage, lamp: Lamp, exits: Sequence[str], *, walled: bool) -> Said:
    """One reason against a place, as a clause."""
    top, ceiling = highest_m(stage.space, lamp), stage.space.ceiling_m
    lowered = None
    if ceiling is not None and top < lamp.stand_max_m:
        lowered = said("fit.ceiling", ceiling=metres(ceiling), head=metres(top))
    if reason == "ceiling":
        stand = {"low": metres(lamp.stand_min_m), "high": metres(lamp.stand_max_m)}
        return lowered or said("fit.stand", **stand)
    if reason == "frame":
        lens = Figure(stage.views[0].focal_length_mm, "mm") if stage.views else None
        return said("fit.seen", lens=lens)
    if reason == "subject":
        near = metres(lamp.radius_m + SUBJECT_RADIUS_M)
        clause = said("fit.near_subject", near=near)
        return clause if lowered is None else joined(lowered, clause)
    piece = piece_of([block.name for block in stage.space.blocks])
    return {
        "furniture": said("fit.furniture_there", piece=piece),
        "hidden": said("fit.furniture_hides", piece=piece),
        "beam": said("fit.head_between"),
        "lead": said("fit.no_cable"),
        "wall": said("fit.wall") if walled else said("fit.off_ground"),
        "sight": said("fit.wall_to_subject"),
        "camera": said("fit.on_camera"),
        "exit": said("fit.exit", doors=names(sorted(set(exits)))),
        "path": said("fit.path"),
        "light": said("fit.stand_there"),
    }[reason]


def no_place(found: NoSpot, stage: Stage, lamp: Lamp) -> Said:
    """Why a light has no place at all."""
    if found.reason == "ceiling":
        return said(
            "fit.no_height",
            ceiling=metres(stage.space.ceiling_m or 0.0),
            head=metres(highest_m(stage.space, lamp)),
            least=metres(lamp.stand_min_m),
        )
    if found.reason == "frame":
        return said("fit.always_seen", lens=Figure(stage.views[-1].focal_length_mm, "mm"))
    return said("fit.no_side") if found.reason == "side" else said("fit.no_floor")


def what_is_lost(
    spot: Spot,
    stage: Stage,
    lamp: Lamp,
    exits: Sequence[str],
    *,
    walled: bool,
    round_matters: bool = True,
    height_matters: bool = True,
) -> Said | None:
    """Why the ideal place is not taken and what the place found gives up; None when nothing to
    speak of.
    """
    off_round = round_matters and abs(spot.off_across_deg) > SMALL_DEG
    off_height = height_matters and abs(spot.off_down_deg) > SMALL_DEG
    lost = None
    if off_round or off_height:
        reasons = [
            against(reason, stage, lamp, exits, walled=walled) for reason in spot.against_ideal
        ]
        if (clauses := both(*reasons)) is not None:
            lost = said("fit.off_ideal", against=clauses)
    return both(
        lost,
        said("fit.flat") if height_matters and spot.down_deg < FLAT_DEG else None,
        None if spot.near else said("fit.too_far_off"),
        clear_from(spot, stage),
    )


def clear_from(spot: Spot, stage: Stage) -> Said | None:
    """From which lens on a light is out of frame, where a wider one sees it."""
    lens = spot.clear_from_mm
    if not stage.views or lens is None or lens <= stage.views[0].focal_length_mm:
        return None
    return said("fit.clear_from", lens=Figure(lens, "mm"))


def framing_why(
    place: CameraPlace,
    distance_m: float,
    exits: Sequence[str],
    blocks: Sequence[str] = (),
) -> Said | None:
    """Why a framing does not fit, and where an operator would have floor; None when it does."""
    need = metres(distance_m)
    if place.reason == "room":
        left = place.available_m - distance_m
        if left <= 0:
            return said("fit.short", need=need, available=metres(place.available_m))
        return said(
            "fit.short_behind",
            need=need,
            left=metres(left),
            behind=metres(BEHIND_LENS_M),
            side=None if place.beside is None else Word("side", place.beside),
        )
    if place.reason is None:
        return None if place.through is None else said("fit.door_behind", door=Name(place.through))
    if place.through is not None and place.reason in ("sight", "narrow", "exit"):
        door = Name(place.through)
        return {
            "sight": said("fit.door_jamb", door=door),
            "narrow": said("fit.door_narrow", door=door),
            "exit": said("fit.door_kept", door=door),
        }[place.reason]
    return {
        "head": said("fit.door_head", door=Name(place.through or "")),
        "jambs": said("fit.door_in_shot", door=Name(place.through or "")),
        "leaf": said("fit.door_leaf", door=Name(place.through or "")),
        "sight": said("fit.wall_between"),
        "narrow": said("fit.narrow", across=metres(OPERATOR_WIDTH_M)),
        "furniture": said("fit.on_furniture", piece=piece_of(blocks)),
        "hidden": said("fit.hides_subject", piece=piece_of(blocks)),
        "exit": said("fit.tripod_exit", doors=names(sorted(set(exits)))),
    }[place.reason]


def plane(side: bool) -> Said:
    """The plane that a daylight figure holds on."""
    return said("fit.camera_side") if side else said("fit.level_plane")


def available_light(daylight: DaylightAnswer | None, needed_lux: float | None) -> Said:
    """What is offered before any lamp is."""
    lit = judged_light(daylight) if daylight is not None else None
    skies = () if lit is None else (lit.overcast_lux_noon, lit.clear_lux_noon)
    if daylight is None or lit is None or skies == (None, None):
        return said("fit.day_unknown")
    overcast, clear = (None if lux is None else Figure(lux, "lux") for lux in skies)
    needed = daylight.needed_lux if daylight.needed_lux is not None else needed_lux
    spell = None
    if lit.enough_from is not None and lit.enough_until is not None:
        spell = Spell(lit.enough_from, lit.enough_until)
    return said(
        "fit.day",
        overcast=overcast,
        clear=clear,
        where=plane(lit.side),
        needed=None if needed is None else Figure(needed, "lux"),
        spell=spell,
    )


def listed(because: Said) -> dict[str, Any]:
    """What a finding that cannot be told rests on, where the kit does not list it."""
    return {"rests_on": LISTED[because.code]} if because.code in LISTED else {}


def measure(because: Said) -> tuple[Act, ...]:
    """The act that ends not knowing, where facts that can be measured are what is missing."""
    return (act("measure", facts=because["facts"]),) if because.code in MEASURED else ()
